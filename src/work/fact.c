/* fact.c -- the verb fact: what a person records of a place. See fact.h.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <gablebook/fact.h>

#include "work-private.h"

#include <gablebook/dossier.h>
#include <gablebook/error.h>
#include <gablebook/history.h>
#include <gablebook/known.h>
#include <gablebook/numbers.h>
#include <gablebook/quote.h>
#include <log/rows.h>
#include <math.h>

#define VALUE_MAX_BYTES 200
#define NOTE_MAX_BYTES 2000

/* What a person's words mean in this claim. */
typedef struct {
    GbCatalogue *catalogue;
    GbFactlist *list;
    GPtrArray *places, *shots, *facts;
    const GbFactKind *kind; /* BORROWED from the list */
    const GbPlace *place;   /* where the fact belongs; BORROWED from places */
} Scene;

static void clear_scene(Scene *scene)
{
    g_clear_pointer(&scene->facts, g_ptr_array_unref);
    g_clear_pointer(&scene->shots, g_ptr_array_unref);
    g_clear_pointer(&scene->places, g_ptr_array_unref);
    gb_factlist_free(scene->list);
    gb_catalogue_free(scene->catalogue);
}
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(Scene, clear_scene)

static gboolean find_home(Scene *scene, const char *place_words, GError **error)
{
    const GbPlace *said = gb_places_find(scene->places, place_words, error);
    if (said == NULL)
        return FALSE;
    scene->place = gb_fact_home(scene->places, scene->kind, said);
    if (scene->place != NULL)
        return TRUE;
    g_autofree char *where = gb_fact_where_text(scene->kind), *name = gb_quote(scene->kind->name), *label = gb_quote(said->label);
    g_set_error(error, GB_ERROR, GB_ERROR_STATE, "%s is said of %s, and %s is none; nothing was changed", name, where, label);
    return FALSE;
}

/* Within the change: what is read here must not be changed by another program before it is written. */
static gboolean load_scene(Scene *scene, GbLog *log, const char *place, const char *kind, GError **error)
{
    return (scene->catalogue = gb_dossier_catalogue(log, error)) != NULL &&
           (scene->list = gb_dossier_factlist(log, scene->catalogue, error)) != NULL &&
           (scene->places = gb_places_load(log, error)) != NULL && (scene->shots = gb_shots_load(log, error)) != NULL &&
           (scene->facts = gb_facts_load(log, error)) != NULL &&
           (scene->kind = gb_factlist_find(scene->list, kind, error)) != NULL && find_home(scene, place, error);
}

/* --- what changes --- */

static gboolean fail_state(const Scene *scene, const char *what, GError **error)
{
    g_set_error(error, GB_ERROR, GB_ERROR_STATE, "%s: %s %s; nothing was changed", scene->place->label, scene->kind->name, what);
    return FALSE;
}

static gboolean set_value(const Scene *scene, GbFact *fact, const char *text, GError **error)
{
    GbFactValue value;
    g_autofree char *kept = NULL;
    if (text == NULL)
        return fact->written != NULL || fail_state(scene, "is not recorded yet: give its value", error);
    if (!gb_take_words(text, VALUE_MAX_BYTES, "value", &kept, error))
        return FALSE;
    if (kept == NULL) {
        g_set_error(error, GB_ERROR, GB_ERROR_SYNTAX, "%s: the value is empty; nothing was changed", scene->kind->name);
        return FALSE;
    }
    if (!gb_fact_value_parse(scene->kind, kept, &value, error)) {
        g_prefix_error(error, "%s: ", scene->kind->name);
        return FALSE;
    }
    g_free(fact->written);
    g_free(fact->choice);
    fact->written = g_steal_pointer(&kept);
    fact->choice = g_strdup(value.choice);
    fact->low = value.low;
    fact->high = value.high;
    return TRUE;
}

static gboolean set_how(const Scene *scene, GbFact *fact, const char *text, GError **error)
{
    if (text != NULL && *text != '\0')
        return gb_how_parse(text, &fact->how, error);
    if (text != NULL || fact->id == 0)
        fact->how = scene->kind->how;
    return TRUE;
}

static gboolean set_note(GbFact *fact, const char *text, GError **error)
{
    char *kept;
    if (text == NULL)
        return TRUE;
    if (!gb_take_words(text, NOTE_MAX_BYTES, "note", &kept, error))
        return FALSE;
    g_free(fact->note);
    fact->note = kept;
    return TRUE;
}

static gboolean set_shots(const Scene *scene, GbFact *fact, const char *text, GError **error)
{
    if (text == NULL)
        return TRUE;
    GArray *numbers = gb_find_shot_numbers(scene->shots, text, error);
    if (numbers == NULL)
        return FALSE;
    g_clear_pointer(&fact->shots, g_array_unref);
    fact->shots = numbers;
    return TRUE;
}

/* "roof: Layers 1, counted; shot 36; measured at the rake" */
static char *describe(const Scene *scene, const GbFact *fact)
{
    const GbFactValue value = { fact->low, fact->high, fact->choice };
    g_autofree char *shown = gb_fact_value_shown(scene->kind->type, fact->written, &value);
    GString *text = g_string_new(NULL);
    g_string_printf(text, "%s: %s %s, %s", scene->place->label, scene->kind->name, shown, gb_how_word(fact->how));
    if (fact->shots != NULL && fact->shots->len > 0) {
        g_autofree char *numbers = gb_numbers_text(&g_array_index(fact->shots, gint64, 0), fact->shots->len);
        g_string_append_printf(text, "; shot%s %s", fact->shots->len == 1 ? "" : "s", numbers);
    }
    if (fact->note != NULL)
        g_string_append_printf(text, "; %s", fact->note);
    return g_string_free(text, FALSE);
}

/* --- the verb --- */

/* The fact that is there, else a new one, added to the loaded ones. BORROWED from them. */
static GbFact *fact_of(const Scene *scene)
{
    GbFact *fact = gb_facts_at(scene->facts, scene->place->id, scene->kind->id);
    if (fact != NULL)
        return fact;
    fact = g_new0(GbFact, 1);
    fact->place = scene->place->id;
    fact->kind = g_strdup(scene->kind->id);
    fact->low = fact->high = NAN;
    g_ptr_array_add(scene->facts, fact);
    return fact;
}

gboolean gb_fact_say(GbLog *log, const char *place, const char *kind, const GbFactEdit *edit, char **summary, GError **error)
{
    g_auto(Scene) scene = { 0 };
    g_autoptr(GbChange) change = gb_change_begin(log, "fact", error);
    if (change == NULL || !load_scene(&scene, log, place, kind, error))
        return FALSE;
    GbFact *fact = fact_of(&scene);
    if (!set_value(&scene, fact, edit->value, error) || !set_how(&scene, fact, edit->how, error) || !set_note(fact, edit->note, error) ||
        !set_shots(&scene, fact, edit->shots, error))
        return FALSE;
    g_autofree char *text = describe(&scene, fact);
    if (!gb_fact_store(log, fact, error) || !gb_change_save(change, text, error))
        return FALSE;
    if (summary != NULL)
        *summary = g_steal_pointer(&text);
    return TRUE;
}

/* A fact of a kind that the claim's own list has lost can still be taken back, by its id. */
static const GbFact *find_orphan(const Scene *scene, const char *place, const char *kind)
{
    const GbPlace *found = scene->facts == NULL ? NULL : gb_places_find(scene->places, place, NULL);
    return found == NULL ? NULL : gb_facts_at(scene->facts, found->id, kind);
}

gboolean gb_fact_drop(GbLog *log, const char *place, const char *kind, char **summary, GError **error)
{
    g_auto(Scene) scene = { 0 };
    g_autoptr(GError) cause = NULL;
    g_autoptr(GbChange) change = gb_change_begin(log, "fact", error);
    if (change == NULL)
        return FALSE;
    gboolean understood = load_scene(&scene, log, place, kind, &cause);
    const GbFact *fact = understood ? gb_facts_at(scene.facts, scene.place->id, scene.kind->id) : find_orphan(&scene, place, kind);
    if (fact == NULL && understood)
        return fail_state(&scene, "is not recorded", error);
    if (fact == NULL) {
        g_propagate_error(error, g_steal_pointer(&cause));
        return FALSE;
    }
    g_autofree char *text = g_strdup_printf("%s: %s taken back", gb_places_by_id(scene.places, fact->place)->label,
                                            scene.kind != NULL ? scene.kind->name : kind);
    if (!gb_fact_remove(log, fact->id, error) || !gb_change_save(change, text, error))
        return FALSE;
    if (summary != NULL)
        *summary = g_steal_pointer(&text);
    return TRUE;
}
