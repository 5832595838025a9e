/* enter.c -- the verb that enters roof measurements. See enter.h.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <gablebook/enter.h>

#include <gablebook/error.h>
#include <gablebook/escape.h>
#include <gablebook/history.h>
#include <gablebook/measure.h>
#include <gablebook/quote.h>
#include <gablebook/roofs.h>
#include <gablebook/word.h>
#include <log/rows.h>
#include <math.h>

#define SECTION_MAX_BYTES 40
#define UNCHANGED "; nothing was changed"

/* --- where --- */

/* What can be meant: a slope's own places, or for a whole roof the structures. */
static gboolean can_be(const GbPlace *place, gboolean whole)
{
    return whole ? place->kind == GB_PLACE_WHOLE || place->kind == GB_PLACE_ROOF : place->kind == GB_PLACE_SLOPE;
}

static const GbPlace *find_where(const GPtrArray *places, const char *text, gboolean whole, GError **error)
{
    g_autoptr(GPtrArray) labels = g_ptr_array_new(), these = g_ptr_array_new();
    for (guint i = 0; i < places->len; i++) {
        const GbPlace *place = places->pdata[i];
        if (!can_be(place, whole))
            continue;
        g_ptr_array_add(these, (gpointer)place);
        g_ptr_array_add(labels, place->label);
    }
    const char *const *words = (const char *const *)labels->pdata;
    /* "left" is the dwelling's left slope, though "garage left slope" has that word too */
    g_autofree char *in_full = whole ? NULL : g_strconcat(text, " slope", NULL);
    gssize found = whole ? -1 : gb_word_find(in_full, words, labels->len, "slope", NULL);
    if (found < 0)
        found = gb_word_find(text, words, labels->len, whole ? "structure" : "slope", error);
    return found < 0 ? NULL : these->pdata[found];
}

/* Where the row belongs: the slope itself, or the roof of the structure. 0 with error where there is none. */
static gint64 place_of(const GPtrArray *places, const GbRoofEntry *entry, GError **error)
{
    for (guint i = 0; i < places->len; i++) {
        const GbPlace *place = places->pdata[i];
        gboolean is_it = gb_roof_shape_is_whole(entry->shape) ? place->kind == GB_PLACE_ROOF
                                                              : place->kind == GB_PLACE_SLOPE && place->face == entry->face;
        if (is_it && place->structure == entry->structure)
            return place->id;
    }
    g_autofree char *shown = gb_quote(entry->structure_name);
    g_set_error(error, GB_ERROR, GB_ERROR_STATE, "%s has no roof slopes: give it some first, with gablebook structure ... --slopes" UNCHANGED, shown);
    return 0;
}

/* A whole roof has slopes that the structure must have. */
static gboolean has_slopes(const GbRoofEntry *entry, GError **error)
{
    for (int face = 0; gb_roof_shape_is_whole(entry->shape) && face < GB_FACES; face++) {
        gboolean at_front_or_rear = face == GB_FACE_FRONT || face == GB_FACE_REAR;
        gboolean gable_end = entry->shape == GB_ROOF_GABLE && at_front_or_rear == entry->ridge_to_rear;
        if (gable_end || entry->places[face] != 0)
            continue;
        g_autofree char *shown = gb_quote(entry->structure_name);
        g_set_error(error, GB_ERROR, GB_ERROR_STATE, "%s has no %s slope, and this roof has one: add it first, with gablebook structure ... --slopes"
                    UNCHANGED, shown, gb_face_word((GbFace)face));
        return FALSE;
    }
    return TRUE;
}

/* --- the words of an entry --- */

static gboolean apply_section(GbRoofEntry *entry, const char *text, GError **error)
{
    if (text == NULL)
        return TRUE;
    g_autofree char *section = strlen(text) > SECTION_MAX_BYTES ? NULL : gb_clean_text(text, strlen(text));
    if (section == NULL) {
        g_set_error(error, GB_ERROR, GB_ERROR_SYNTAX, "the name of a section has 1 to %d bytes", SECTION_MAX_BYTES);
        return FALSE;
    }
    g_free(entry->section);
    entry->section = g_steal_pointer(&section);
    return TRUE;
}

static gboolean apply_given(GbRoofEntry *entry, GbRoofGiven given, const char *text, GError **error)
{
    if (text == NULL)
        return TRUE;
    if (g_ascii_strcasecmp(text, "none") != 0)
        return gb_roof_entry_take(entry, given, text, error);
    g_clear_pointer(&entry->given[given].text, g_free);
    entry->given[given].number = NAN;
    return TRUE;
}

#define USUAL "usual"

static gboolean apply_edge(GbEdge *edge, GbEdge usual, const char *text, GError **error)
{
    if (text == NULL)
        return TRUE;
    if (g_ascii_strcasecmp(text, USUAL) != 0)
        return gb_edge_parse(text, edge, error);
    *edge = usual;
    return TRUE;
}

static gboolean apply_edges(GbRoofEntry *entry, const GbEnter *enter, GError **error)
{
    GbRoofEntry usual = { .shape = entry->shape, .cut_out = entry->cut_out };
    gb_roof_entry_usual_edges(&usual);
    gboolean said = enter->left_side != NULL || enter->right_side != NULL || enter->top != NULL || enter->bottom != NULL ||
                    enter->cut_out == GB_CUT_OUT;
    if (said && gb_roof_shape_is_whole(entry->shape)) {
        g_set_error(error, GB_ERROR, GB_ERROR_SYNTAX, "what its edges are, and that it is cut out, is said of one slope, not of a whole roof");
        return FALSE;
    }
    return apply_edge(&entry->left, usual.left, enter->left_side, error) && apply_edge(&entry->right, usual.right, enter->right_side, error) &&
           apply_edge(&entry->top, usual.top, enter->top, error) && apply_edge(&entry->bottom, usual.bottom, enter->bottom, error);
}

static gboolean apply_ridge(GbRoofEntry *entry, const GbEnter *enter, GError **error)
{
    const char *const ways[] = { gb_roof_ridge_word(FALSE), gb_roof_ridge_word(TRUE) };
    gboolean whole = gb_roof_shape_is_whole(entry->shape);
    if (enter->ridge_runs == NULL) {
        if (whole && enter->change == 0)
            entry->ridge_to_rear = gb_roof_entry_usual_ridge(entry);
        return TRUE;
    }
    if (!whole) {
        g_set_error(error, GB_ERROR, GB_ERROR_SYNTAX, "which way the ridge runs is said of a whole roof, not of one slope");
        return FALSE;
    }
    if (g_ascii_strcasecmp(enter->ridge_runs, USUAL) == 0) {
        entry->ridge_to_rear = gb_roof_entry_usual_ridge(entry);
        return TRUE;
    }
    gssize way = gb_word_find(enter->ridge_runs, ways, G_N_ELEMENTS(ways), "way for a ridge", error);
    entry->ridge_to_rear = way == 1;
    return way >= 0;
}

static gboolean apply(GbRoofEntry *entry, const GbEnter *enter, GError **error)
{
    gboolean cut_out = enter->cut_out == GB_CUT_OUT_KEEP ? entry->cut_out : enter->cut_out == GB_CUT_OUT;
    if (cut_out != entry->cut_out) {
        entry->cut_out = cut_out;
        gb_roof_entry_usual_edges(entry);
    }
    for (guint g = 0; g < GB_ROOF_GIVENS; g++)
        if (!apply_given(entry, (GbRoofGiven)g, enter->given[g], error))
            return FALSE;
    return apply_section(entry, enter->section, error) && apply_edges(entry, enter, error) && apply_ridge(entry, enter, error) &&
           gb_roof_entry_check(entry, error);
}

/* --- new or changed --- */

static gboolean fail_entry(gint64 id, GError **error)
{
    g_set_error(error, GB_ERROR, GB_ERROR_UNKNOWN, "there is no roof entry %" G_GINT64_FORMAT "; gablebook roof FOLDER lists them" UNCHANGED, id);
    return FALSE;
}

/* A copy of an entry as it stands, or with another shape: then its edges are the usual ones of that shape. */
static GbRoofEntry *copy_entry(const GPtrArray *places, const GbRoofEntry *from, GbRoofShape shape)
{
    GbRoofEntry *entry = gb_roofs_new_entry(places, from->structure, shape);
    entry->id = from->id;
    entry->face = from->face;
    g_free(entry->section);
    entry->section = g_strdup(from->section);
    entry->cut_out = from->cut_out;
    entry->ridge_to_rear = from->ridge_to_rear;
    for (guint g = 0; g < GB_ROOF_GIVENS; g++)
        entry->given[g] = (GbRoofValue){ g_strdup(from->given[g].text), from->given[g].number };
    gb_roof_entry_usual_edges(entry);
    if (shape == from->shape)
        entry->bottom = from->bottom, entry->top = from->top, entry->left = from->left, entry->right = from->right;
    return entry;
}

static const GbRoofEntry *entry_of(const GbRoof *roof, gint64 id)
{
    for (guint i = 0; i < roof->entries->len; i++)
        if (((const GbRoofEntry *)roof->entries->pdata[i])->id == id)
            return roof->entries->pdata[i];
    return NULL;
}

static gboolean move_to(GbRoofEntry **entry, const GPtrArray *places, const char *where, GError **error)
{
    if (where == NULL)
        return TRUE;
    const GbPlace *place = find_where(places, where, gb_roof_shape_is_whole((*entry)->shape), error);
    if (place == NULL)
        return FALSE;
    (*entry)->face = place->face;
    if (place->structure == (*entry)->structure)
        return TRUE;
    GbRoofEntry *there = gb_roofs_new_entry(places, place->structure, (*entry)->shape);
    (*entry)->structure = place->structure;
    memcpy((*entry)->places, there->places, sizeof there->places);
    (*entry)->on_dwelling = there->on_dwelling;
    g_free((*entry)->structure_name);
    (*entry)->structure_name = g_steal_pointer(&there->structure_name);
    gb_roof_entry_free(there);
    return TRUE;
}

static GbRoofEntry *begin_new(const GPtrArray *places, const GbEnter *enter, GError **error)
{
    GbRoofShape shape;
    if (enter->shape == NULL || enter->where == NULL) {
        g_set_error(error, GB_ERROR, GB_ERROR_SYNTAX, "a new roof entry must say where it is and which shape it has" UNCHANGED);
        return NULL;
    }
    if (!gb_roof_shape_parse(enter->shape, &shape, error))
        return NULL;
    const GbPlace *place = find_where(places, enter->where, gb_roof_shape_is_whole(shape), error);
    if (place == NULL)
        return NULL;
    GbRoofEntry *entry = gb_roofs_new_entry(places, place->structure, shape);
    entry->face = place->face;
    return entry;
}

static GbRoofEntry *begin_change(const GbRoof *roof, const GPtrArray *places, const GbEnter *enter, GError **error)
{
    const GbRoofEntry *from = entry_of(roof, enter->change);
    if (from == NULL) {
        fail_entry(enter->change, error);
        return NULL;
    }
    GbRoofShape shape = from->shape;
    if (enter->shape != NULL && !gb_roof_shape_parse(enter->shape, &shape, error))
        return NULL;
    if (gb_roof_shape_is_whole(shape) != gb_roof_shape_is_whole(from->shape)) {
        g_set_error(error, GB_ERROR, GB_ERROR_SYNTAX, "a slope can't become a whole roof, nor the other way round: enter a new one");
        return NULL;
    }
    g_autoptr(GbRoofEntry) entry = copy_entry(places, from, shape);
    return move_to(&entry, places, enter->where, error) ? g_steal_pointer(&entry) : NULL;
}

/* "roof entry 3: rear slope, trapezoid, eave 40 ft, ridge 10 ft, up 16'9\": 419.3 sq ft" */
static char *describe(const GbRoofEntry *entry, gint64 id, const GbRoof *after)
{
    GString *text = g_string_new(NULL);
    g_autofree char *where = gb_roofs_where(entry);
    g_string_append_printf(text, "roof entry %" G_GINT64_FORMAT ": %s", id, where);
    if (g_ascii_strcasecmp(entry->section, "main") != 0)
        g_string_append_printf(text, " (%s)", entry->section);
    g_string_append_printf(text, ", %s%s%s", gb_roof_shape_word(entry->shape), gb_roof_shape_is_whole(entry->shape) ? " roof" : "",
                           entry->cut_out ? " cut out" : "");
    for (guint g = 0; g < GB_ROOF_GIVENS; g++)
        if (entry->given[g].text != NULL)
            g_string_append_printf(text, ", %s %s", gb_roof_given_word((GbRoofGiven)g), entry->given[g].text);
    g_autofree char *unusual = gb_roof_entry_unusual_text(entry);
    if (unusual != NULL)
        g_string_append_printf(text, ", %s", unusual);
    double area = 0;
    for (guint i = 0; i < after->slopes->len; i++) {
        const GbRoofSlope *slope = after->slopes->pdata[i];
        area += slope->entry->id == id ? slope->area_sqft : 0;
    }
    g_autofree char *shown = gb_area_text(area, GB_UNITS_FEET);
    g_string_append_printf(text, ": %s", shown);
    return g_string_free(text, FALSE);
}

static gboolean finish(GbChange *change, const char *text, char **summary, GError **error)
{
    if (!gb_change_save(change, text, error))
        return FALSE;
    if (summary != NULL)
        *summary = g_strdup(text);
    return TRUE;
}

static gboolean is_full(const GbRoof *roof, GError **error)
{
    if (roof->entries->len < GB_ROOFS_MAX)
        return FALSE;
    g_set_error(error, GB_ERROR, GB_ERROR_TOO_LARGE, "a claim has at most %d roof entries" UNCHANGED, GB_ROOFS_MAX);
    return TRUE;
}

gboolean gb_enter_roof(GbLog *log, const GbEnter *enter, gint64 *id, char **summary, GError **error)
{
    g_autoptr(GbChange) change = gb_change_begin(log, "roof", error);
    g_autoptr(GPtrArray) places = change == NULL ? NULL : gb_places_load(log, error);
    g_autoptr(GbRoof) roof = places == NULL ? NULL : gb_roofs_load(log, places, error);
    if (roof == NULL || (enter->change == 0 && is_full(roof, error)))
        return FALSE;
    g_autoptr(GbRoofEntry) entry = enter->change == 0 ? begin_new(places, enter, error) : begin_change(roof, places, enter, error);
    if (entry == NULL || !apply(entry, enter, error))
        return FALSE;
    gint64 number = 0, place = has_slopes(entry, error) ? place_of(places, entry, error) : 0;
    if (place == 0 || !gb_roof_entry_store(log, entry, place, &number, error))
        return FALSE;
    g_autoptr(GbRoof) after = gb_roofs_load(log, places, error);
    if (after == NULL)
        return FALSE;
    g_autofree char *text = describe(entry, number, after);
    if (!finish(change, text, summary, error))
        return FALSE;
    if (id != NULL)
        *id = number;
    return TRUE;
}

gboolean gb_enter_remove(GbLog *log, gint64 id, char **summary, GError **error)
{
    g_autoptr(GbChange) change = gb_change_begin(log, "roof", error);
    g_autoptr(GPtrArray) places = change == NULL ? NULL : gb_places_load(log, error);
    g_autoptr(GbRoof) roof = places == NULL ? NULL : gb_roofs_load(log, places, error);
    if (roof == NULL)
        return FALSE;
    const GbRoofEntry *entry = entry_of(roof, id);
    if (entry == NULL)
        return fail_entry(id, error);
    g_autofree char *where = gb_roofs_where(entry);
    g_autofree char *text = g_strdup_printf("roof entry %" G_GINT64_FORMAT " taken out: %s, %s", id, where, gb_roof_shape_word(entry->shape));
    return gb_roof_entry_remove(log, id, error) && finish(change, text, summary, error);
}

static char *describe_settings(const GbRoofSettings *settings)
{
    GString *text = g_string_new(NULL);
    if (isnan(settings->waste_percent))
        g_string_append(text, "no waste");
    else {
        g_autofree char *percent = gb_number_text(settings->waste_percent, 3);
        g_string_append_printf(text, "waste %s %%", percent);
    }
    g_string_append_printf(text, "; steep: %s", settings->steep != NULL ? settings->steep : "over 4/12");
    return g_string_free(text, FALSE);
}

gboolean gb_enter_settings(GbLog *log, const char *waste, const char *steep, char **summary, GError **error)
{
    g_autoptr(GbChange) change = gb_change_begin(log, "roof", error);
    g_autoptr(GPtrArray) places = change == NULL ? NULL : gb_places_load(log, error);
    g_autoptr(GbRoof) roof = places == NULL ? NULL : gb_roofs_load(log, places, error);
    if (roof == NULL)
        return FALSE;
    GbRoofSettings *settings = &roof->settings;
    if (waste != NULL && g_ascii_strcasecmp(waste, "none") == 0)
        settings->waste_percent = NAN;
    else if (waste != NULL && !gb_roof_settings_take_waste(settings, waste, error))
        return FALSE;
    if (steep != NULL && g_ascii_strcasecmp(steep, "none") == 0)
        g_clear_pointer(&settings->steep, g_free); /* the usual one again */
    else if (steep != NULL && !gb_roof_settings_take_steep(settings, steep, error))
        return FALSE;
    g_autofree char *text = describe_settings(settings);
    return gb_roof_settings_store(log, settings, error) && finish(change, text, summary, error);
}
