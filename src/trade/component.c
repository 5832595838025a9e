/* component.c -- what can be damaged and put right. See component.h.
 *
 * As with the subjects: a file is applied to a copy, and the copy takes the place of the list only when all of it is sound.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <gablebook/component.h>

#include "trade/trade-private.h"
#include <gablebook/builtin.h>
#include <gablebook/error.h>
#include <gablebook/ini.h>
#include <gablebook/quote.h>
#include <gablebook/roof.h>
#include <gablebook/word.h>

enum { COMPONENTS_MAX = 1000, NAME_MAX_BYTES = 60, SEEN_MAX = 50 };

#define FILE_NAME "templates/components.ini"

struct GbComponents {
    GPtrArray *list; /* of GbComponent, owned */
};

static const char *const file_keys[] = { "name", "unit", "measure", "seen", NULL };
static const char *const causes[] = { "hail", "wind", "water", "fire", "impact", "wear", "other", NULL };
static const char *const actions[] = { "remove and replace", "repair", "detach and reset", "clean", GB_ACTION_NONE, NULL };

const char *const *gb_finding_causes(void)
{
    return causes;
}

const char *const *gb_finding_actions(void)
{
    return actions;
}

/* --- one section --- */

static void component_free(gpointer data)
{
    GbComponent *component = data;
    g_free(component->id);
    g_free(component->name);
    g_free(component->measure);
    g_strfreev(component->seen);
    g_free(component);
}

static gpointer component_copy(gconstpointer data, gpointer unused)
{
    (void)unused;
    const GbComponent *from = data;
    GbComponent *component = g_new0(GbComponent, 1);
    *component = (GbComponent){ g_strdup(from->id), g_strdup(from->name), from->unit, g_strdup(from->measure),
                                g_strdupv(from->seen) };
    return component;
}

static GbComponent *find_id(const GPtrArray *list, const char *id)
{
    for (guint i = 0; i < list->len; i++) {
        GbComponent *component = list->pdata[i];
        if (g_str_equal(component->id, id))
            return component;
    }
    return NULL;
}

static gboolean take_unit(GbComponent *component, const GbIni *ini, GError **error)
{
    const char *given = gb_ini_get(ini, component->id, "unit");
    if (given == NULL || gb_unit_from_code(given, &component->unit))
        return TRUE;
    g_autofree char *shown = gb_quote(given);
    return gb_ini_fail(ini, component->id, "unit", error, "%s is no unit; there are EA, LF, SF and SQ", shown);
}

/* Given and empty takes the built-in measure away. */
static gboolean take_measure(GbComponent *component, const GbIni *ini, GError **error)
{
    g_autoptr(GError) why = NULL;
    GbRoofQuantity quantity;
    if (gb_ini_line(ini, component->id, "measure") == gb_ini_line(ini, component->id, NULL))
        return TRUE;
    const char *given = gb_ini_get(ini, component->id, "measure");
    if (given != NULL && !gb_roof_quantity_parse(given, &quantity, &why))
        return gb_ini_fail(ini, component->id, "measure", error, "%s", why->message);
    g_free(component->measure);
    component->measure = given != NULL ? g_strdup(gb_roof_quantity_word(quantity)) : NULL;
    return TRUE;
}

static gboolean take_seen(GbComponent *component, const GbIni *ini, GError **error)
{
    if (gb_ini_line(ini, component->id, "seen") == gb_ini_line(ini, component->id, NULL))
        return TRUE;
    g_strfreev(component->seen);
    component->seen = gb_ini_list(ini, component->id, "seen");
    return g_strv_length(component->seen) <= SEEN_MAX ||
           gb_ini_fail(ini, component->id, "seen", error, "more than %d subjects", SEEN_MAX);
}

static GbComponent *add(GPtrArray *list, const GbIni *ini, const char *id, GError **error)
{
    g_autofree char *shown = gb_quote(id);
    if (!gb_section_check_id(ini, id, "component", error))
        return NULL;
    if (gb_ini_get(ini, id, "name") == NULL || gb_ini_get(ini, id, "unit") == NULL) {
        gb_ini_fail(ini, id, NULL, error, "the new component %s has no %s", shown, gb_ini_get(ini, id, "name") == NULL ? "name" : "unit");
        return NULL;
    }
    if (list->len >= COMPONENTS_MAX) {
        gb_ini_fail(ini, id, NULL, error, "with %s there would be more than %d components", shown, COMPONENTS_MAX);
        return NULL;
    }
    GbComponent *component = g_new0(GbComponent, 1);
    component->id = g_strdup(id);
    component->seen = g_new0(char *, 1);
    g_ptr_array_add(list, component);
    return component;
}

static gboolean apply_section(GPtrArray *list, const GbIni *ini, const char *id, GError **error)
{
    GbComponent *component = find_id(list, id);
    if (component == NULL)
        component = add(list, ini, id, error);
    return component != NULL && gb_section_take_text(ini, id, "name", NAME_MAX_BYTES, &component->name, error) && take_unit(component, ini, error) &&
           take_measure(component, ini, error) && take_seen(component, ini, error);
}

/* --- a file --- */

static gboolean check_words(const GPtrArray *list, const GbIni *ini, GError **error)
{
    g_autofree GbNamed *named = g_new(GbNamed, list->len);
    for (guint i = 0; i < list->len; i++) {
        const GbComponent *component = list->pdata[i];
        named[i] = (GbNamed){ component->id, component->name };
    }
    return gb_section_names_differ(ini, named, list->len, error);
}

static gboolean apply(GbComponents *components, const GbIni *ini, GError **error)
{
    g_autoptr(GPtrArray) copy = g_ptr_array_copy(components->list, component_copy, NULL);
    for (const char *const *section = gb_ini_sections(ini); *section != NULL; section++)
        if (!apply_section(copy, ini, *section, error))
            return FALSE;
    if (!check_words(copy, ini, error))
        return FALSE;
    g_ptr_array_unref(components->list);
    components->list = g_steal_pointer(&copy);
    return TRUE;
}

/* --- the door --- */

GbComponents *gb_components_builtin(GError **error)
{
    g_autofree char *text = gb_builtin_text(FILE_NAME, error);
    g_autoptr(GbIni) ini = text == NULL ? NULL : gb_ini_parse(FILE_NAME, text, file_keys, error);
    if (ini == NULL)
        return NULL;
    g_autoptr(GbComponents) components = g_new0(GbComponents, 1);
    components->list = g_ptr_array_new_with_free_func(component_free);
    return apply(components, ini, error) ? g_steal_pointer(&components) : NULL;
}

gboolean gb_components_extend(GbComponents *components, const char *path, GError **error)
{
    g_autoptr(GbIni) ini = gb_ini_load(path, file_keys, error);
    return ini != NULL && apply(components, ini, error);
}

guint gb_components_size(const GbComponents *components)
{
    return components->list->len;
}

const GbComponent *gb_components_peek(const GbComponents *components, guint i)
{
    return components->list->pdata[i];
}

const GbComponent *gb_components_by_id(const GbComponents *components, const char *id)
{
    return find_id(components->list, id);
}

const GbComponent *gb_components_find(const GbComponents *components, const char *text, GError **error)
{
    const GbComponent *exact = find_id(components->list, text);
    if (exact != NULL)
        return exact;
    g_autofree const char **names = g_new(const char *, components->list->len);
    for (guint i = 0; i < components->list->len; i++)
        names[i] = gb_components_peek(components, i)->name;
    gssize found = gb_word_find(text, names, components->list->len, "component", error);
    return found < 0 ? NULL : gb_components_peek(components, (guint)found);
}

const GbComponent *gb_components_by_subject(const GbComponents *components, const char *subject_id)
{
    for (guint i = 0; i < components->list->len; i++)
        if (g_strv_contains((const char *const *)gb_components_peek(components, i)->seen, subject_id))
            return gb_components_peek(components, i);
    return NULL;
}

void gb_components_free(GbComponents *components)
{
    if (components == NULL)
        return;
    g_ptr_array_unref(components->list);
    g_free(components);
}
