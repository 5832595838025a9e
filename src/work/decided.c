/* decided.c -- see decided.h. One comparison serves all: the members that somebody saw against the object as it would be shown now.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "work-private.h"

#include <gablebook/decided.h>

#include <gablebook/dossier.h>
#include <gablebook/error.h>
#include <gablebook/history.h>
#include <gablebook/numbers.h>
#include <math.h>

G_DEFINE_AUTOPTR_CLEANUP_FUNC(json_t, json_decref)

/* --- what is said --- */

/* Absent text is an absent member, not null. */
static void set_text(json_t *object, const char *key, const char *text)
{
    if (text != NULL && *text != '\0')
        json_object_set_new(object, key, json_string(text));
}

json_t *gb_decided_claim(const GbClaim *claim)
{
    json_t *said = json_object();
    set_text(said, "insured", claim->insured);
    set_text(said, "number", claim->number);
    set_text(said, "address", claim->address);
    set_text(said, "loss_date", claim->loss_date);
    set_text(said, "inspection_date", claim->inspection_date);
    set_text(said, "cause", claim->cause);
    set_text(said, "adjuster", claim->adjuster);
    set_text(said, "checklist", claim->checklist);
    if (!isnan(claim->front_azimuth_deg))
        json_object_set_new(said, "front_azimuth_deg", json_real(claim->front_azimuth_deg));
    return said;
}

/* "front, rear", in walk order; "none". */
static void set_parts(json_t *said, const char *key, GbPlaceKind kind, gint64 structure, const GPtrArray *places)
{
    g_autoptr(GString) parts = g_string_new(NULL);
    for (guint i = 0; i < places->len; i++) {
        const GbPlace *place = places->pdata[i];
        if (place->structure == structure && place->kind == kind)
            g_string_append_printf(parts, "%s%s", parts->len > 0 ? ", " : "", kind == GB_PLACE_ROOM ? place->room : gb_face_word(place->face));
    }
    set_text(said, key, parts->len > 0 ? parts->str : "none");
}

json_t *gb_decided_structure(const GbStructure *structure, const GPtrArray *places)
{
    json_t *said = json_object();
    set_text(said, "name", structure->name);
    set_text(said, "kind", structure->kind);
    set_parts(said, "elevations", GB_PLACE_ELEVATION, structure->id, places);
    set_parts(said, "slopes", GB_PLACE_SLOPE, structure->id, places);
    set_parts(said, "rooms", GB_PLACE_ROOM, structure->id, places);
    return said;
}

json_t *gb_decided_shot(const GbShot *shot)
{
    json_t *said = json_object();
    if (shot->place != 0)
        json_object_set_new(said, "place", json_integer(shot->place));
    set_text(said, "subject", shot->subject);
    set_text(said, "distance", gb_distance_word(shot->distance));
    set_text(said, "value", shot->value);
    set_text(said, "caption", shot->caption);
    if (shot->left_out)
        json_object_set_new(said, "left_out", json_true());
    return said;
}

json_t *gb_decided_mark(const GbMark *mark)
{
    json_t *said = json_object(), *points = json_array();
    for (guint i = 0; i < mark->n_points; i++)
        json_array_append_new(points, json_pack("[f, f]", mark->points[i].x, mark->points[i].y));
    json_object_set_new(said, "shot", json_integer(mark->shot));
    set_text(said, "kind", gb_mark_kind_word(mark->kind));
    json_object_set_new(said, "points", points);
    set_text(said, "text", mark->text);
    set_text(said, "length", mark->length);
    return said;
}

/* --- is it still so? --- */

static const char *const claim_fields[] = { "insured", "number", "address", "loss_date", "inspection_date", "cause", "adjuster",
                                            "checklist", "front_azimuth_deg", NULL };
static const char *const structure_fields[] = { "name", "kind", "elevations", "slopes", "rooms", NULL };
static const char *const shot_fields[] = { "place", "subject", "distance", "value", "caption", "left_out", NULL };
static const char *const mark_fields[] = { "shot", "kind", "points", "text", "length", NULL };
static const char *const waiver_fields[] = { "why", NULL };
static const char *const entry_fields[] = { "entry", NULL };

/* Absent, null and false are one; numbers are compared as numbers, for 205 may come back for 205.0. */
static gboolean is_same(const json_t *was, const json_t *now)
{
    if (json_is_null(was) || json_is_false(was))
        was = NULL;
    if (json_is_null(now) || json_is_false(now))
        now = NULL;
    if (was == NULL || now == NULL)
        return was == now;
    if (json_is_array(was) && json_is_array(now)) {
        gboolean same = json_array_size(was) == json_array_size(now);
        for (gsize i = 0; same && i < json_array_size(was); i++)
            same = is_same(json_array_get(was, i), json_array_get(now, i));
        return same;
    }
    if (json_is_number(was) && json_is_number(now))
        return fabs(json_number_value(was) - json_number_value(now)) < 1e-6; /* what is shown is rounded */
    return json_equal(was, now);
}

static gboolean misread(GError **error, const char *what)
{
    g_set_error(error, GB_ERROR, GB_ERROR_SYNTAX, "'was' %s; nothing was changed", what);
    return FALSE;
}

void gb_decided_conflict(json_t *conflicts, gint64 shot, const char *field, json_t *was, json_t *now)
{
    json_t *conflict = json_object();
    if (shot != 0)
        json_object_set_new(conflict, "shot", json_integer(shot));
    json_object_set_new(conflict, "field", json_string(field));
    if (was != NULL && !json_is_null(was))
        json_object_set(conflict, "was", was);
    if (now != NULL && !json_is_null(now))
        json_object_set(conflict, "now", now);
    json_array_append_new(conflicts, conflict);
}

gboolean gb_decided_compare(const json_t *was, const json_t *now, const char *const *fields, gint64 shot, json_t *conflicts, GError **error)
{
    const char *field;
    json_t *seen;
    if (!json_is_object(was))
        return misread(error, "is no object");
    json_object_foreach((json_t *)was, field, seen) {
        if (!g_strv_contains(fields, field))
            return misread(error, "has a member that nothing here has");
        json_t *is = json_object_get(now, field);
        if (!is_same(seen, is))
            gb_decided_conflict(conflicts, shot, field, seen, is);
    }
    return TRUE;
}

gboolean gb_decided_settle(const json_t *conflicts, const char *whose, GError **error)
{
    gsize n = json_array_size(conflicts);
    if (n == 0)
        return TRUE;
    const json_t *first = json_array_get(conflicts, 0);
    const json_t *shot = json_object_get(first, "shot");
    const char *field = json_string_value(json_object_get(first, "field"));
    g_autofree char *number = g_strdup_printf("shot %" JSON_INTEGER_FORMAT, json_integer_value(shot));
    gboolean unit = g_str_has_suffix(field, "_deg");
    g_autofree char *readable = g_strdelimit(g_strndup(field, strlen(field) - (unit ? strlen("_deg") : 0)), "_", ' ');
    g_autofree char *changed = strcmp(field, "shot") == 0 ? g_strdup(" is no longer in the claim")
                                                          : g_strdup_printf(": %s was changed meanwhile", readable);
    g_autofree char *more = n == 1 ? g_strdup("") : g_strdup_printf(", and %" G_GSIZE_FORMAT " thing%s more", n - 1, n == 2 ? "" : "s");
    g_set_error(error, GB_ERROR, GB_ERROR_STALE, "%s%s%s; nothing was changed", shot == NULL ? whose : number, changed, more);
    return FALSE;
}

/* The numbers that an object's keys say, each a range; NULL with error. */
static GArray *read_numbers(const json_t *was, GError **error)
{
    g_autoptr(GArray) numbers = g_array_new(FALSE, FALSE, sizeof(GbRange));
    const char *key;
    json_t *unused;
    json_object_foreach((json_t *)was, key, unused) {
        guint64 number;
        if (!g_ascii_string_to_unsigned(key, 10, 1, G_MAXINT64, &number, NULL)) {
            misread(error, "has a key that is no shot's number");
            return NULL;
        }
        const GbRange range = { (gint64)number, (gint64)number };
        g_array_append_val(numbers, range);
    }
    return g_steal_pointer(&numbers);
}

gboolean gb_decided_shots_still(GbLog *log, const json_t *was, json_t *conflicts, GError **error)
{
    if (!json_is_object(was))
        return misread(error, "is no object");
    g_autoptr(GArray) numbers = read_numbers(was, error);
    g_autoptr(GPtrArray) shots = numbers == NULL ? NULL : gb_shots_load_ranges(log, numbers, error);
    if (shots == NULL)
        return FALSE;
    const char *key;
    json_t *seen;
    guint i = 0;
    json_object_foreach((json_t *)was, key, seen) {
        gint64 number = g_array_index(numbers, GbRange, i++).first;
        const GbShot *shot = gb_shots_by_number(shots, number);
        g_autoptr(json_t) now = shot == NULL ? NULL : gb_decided_shot(shot);
        if (shot == NULL)
            gb_decided_conflict(conflicts, number, "shot", NULL, NULL);
        else if (!gb_decided_compare(seen, now, shot_fields, number, conflicts, error))
            return FALSE;
    }
    return gb_decided_settle(conflicts, NULL, error);
}

static gint compare_in_place(gconstpointer a, gconstpointer b, gpointer catalogue)
{
    const GbShot *s = *(GbShot *const *)a, *t = *(GbShot *const *)b;
    return gb_shot_compare(s, gb_shot_distance(s, catalogue), t, gb_shot_distance(t, catalogue));
}

/* The numbers of a place's shots in the order the report has them. OWNED by the caller. */
static json_t *order_now(const GPtrArray *shots, gint64 place, GbCatalogue *catalogue)
{
    g_autoptr(GPtrArray) there = g_ptr_array_new();
    for (guint i = 0; i < shots->len; i++)
        if (((const GbShot *)shots->pdata[i])->place == place)
            g_ptr_array_add(there, shots->pdata[i]);
    g_ptr_array_sort_with_data(there, compare_in_place, catalogue);
    json_t *numbers = json_array();
    for (guint i = 0; i < there->len; i++)
        json_array_append_new(numbers, json_integer(((const GbShot *)there->pdata[i])->number));
    return numbers;
}

gboolean gb_decided_order_still(GbLog *log, const json_t *was, json_t *conflicts, GError **error)
{
    json_t *first = json_array_get(was, 0);
    if (!json_is_integer(first))
        return misread(error, "is no list of shots");
    g_autoptr(GPtrArray) shots = gb_shots_load(log, error);
    g_autoptr(GbCatalogue) catalogue = shots == NULL ? NULL : gb_dossier_catalogue(log, error);
    if (catalogue == NULL)
        return FALSE;
    const GbShot *shot = gb_shots_by_number(shots, json_integer_value(first));
    g_autoptr(json_t) now = shot == NULL ? NULL : order_now(shots, shot->place, catalogue);
    if (!is_same(was, now))
        gb_decided_conflict(conflicts, 0, "order", (json_t *)was, now);
    return gb_decided_settle(conflicts, "the place", error);
}

gboolean gb_decided_claim_still(GbLog *log, const json_t *was, json_t *conflicts, GError **error)
{
    g_autoptr(GbClaim) claim = gb_claim_load(log, error);
    g_autoptr(json_t) now = claim == NULL ? NULL : gb_decided_claim(claim);
    return now != NULL && gb_decided_compare(was, now, claim_fields, 0, conflicts, error) &&
           gb_decided_settle(conflicts, "the claim", error);
}

gboolean gb_decided_structure_still(GbLog *log, const char *name, const json_t *was, json_t *conflicts, GError **error)
{
    g_autoptr(GPtrArray) structures = gb_structures_load(log, error);
    g_autoptr(GPtrArray) places = structures == NULL ? NULL : gb_places_load(log, error);
    g_autoptr(json_t) now = NULL;
    for (guint i = 0; places != NULL && i < structures->len && now == NULL; i++) {
        const GbStructure *structure = structures->pdata[i];
        if (g_ascii_strcasecmp(structure->name, name) == 0)
            now = gb_decided_structure(structure, places);
    }
    if (places == NULL || !gb_decided_compare(was, now, structure_fields, 0, conflicts, error))
        return FALSE;
    if (json_object_size(was) == 0 && now != NULL)
        gb_decided_conflict(conflicts, 0, "structure", NULL, now);
    return gb_decided_settle(conflicts, name, error);
}

gboolean gb_decided_waiver_still(GbLog *log, const char *requirement, const json_t *was, json_t *conflicts, GError **error)
{
    g_autoptr(GbDossier) dossier = gb_dossier_load(log, error);
    const GbCheckLine *line = dossier == NULL ? NULL : gb_check_find(dossier->check, requirement, error);
    if (line == NULL)
        return FALSE;
    g_autoptr(json_t) now = json_object();
    for (guint i = 0; i < dossier->waivers->len; i++) {
        const GbWaiver *waiver = dossier->waivers->pdata[i];
        if (strcmp(waiver->key, line->key) == 0)
            set_text(now, "why", waiver->why);
    }
    return gb_decided_compare(was, now, waiver_fields, 0, conflicts, error) && gb_decided_settle(conflicts, line->label, error);
}

gboolean gb_decided_mark_still(GbLog *log, gint64 id, const json_t *was, json_t *conflicts, GError **error)
{
    g_autoptr(GPtrArray) marks = gb_marks_load(log, error);
    g_autoptr(json_t) now = NULL;
    if (marks == NULL)
        return FALSE;
    for (guint i = 0; i < marks->len && now == NULL; i++)
        if (((const GbMark *)marks->pdata[i])->id == id)
            now = gb_decided_mark(marks->pdata[i]);
    if (now == NULL)
        gb_decided_conflict(conflicts, 0, "mark", NULL, NULL);
    return (now == NULL || gb_decided_compare(was, now, mark_fields, 0, conflicts, error)) &&
           gb_decided_settle(conflicts, "the mark", error);
}

gboolean gb_decided_entry_still(GbLog *log, gboolean redo, const json_t *was, json_t *conflicts, GError **error)
{
    gint64 entry;
    g_autofree char *summary = NULL;
    if (!gb_history_next(log, redo, &entry, &summary, error))
        return FALSE;
    g_autoptr(json_t) now = json_object();
    if (entry != 0)
        json_object_set_new(now, "entry", json_integer(entry));
    return gb_decided_compare(was, now, entry_fields, 0, conflicts, error) && gb_decided_settle(conflicts, "the history", error);
}
