/* decided_recorded.c -- facts, test squares, notes, findings, roof measurements and clocks as decided.h shows and compares them.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "work-private.h"

#include <gablebook/decided.h>
#include <gablebook/dossier.h>
#include <gablebook/error.h>
#include <gablebook/roofs.h>
#include <math.h>

G_DEFINE_AUTOPTR_CLEANUP_FUNC(json_t, json_decref)

/* --- what is decided --- */

static void set_text(json_t *object, const char *key, const char *text)
{
    if (text != NULL && *text != '\0')
        json_object_set_new(object, key, json_string(text));
}

static void set_shots(json_t *object, const GArray *shots)
{
    json_t *array = json_array();
    for (guint i = 0; shots != NULL && i < shots->len; i++)
        json_array_append_new(array, json_integer(g_array_index(shots, gint64, i)));
    json_object_set_new(object, "shots", array);
}

json_t *gb_decided_fact(const GbFact *fact)
{
    json_t *decided = json_object();
    set_text(decided, "value", fact->written);
    set_text(decided, "how", gb_how_word(fact->how));
    set_text(decided, "note", fact->note);
    set_shots(decided, fact->shots);
    return decided;
}

json_t *gb_decided_square(const GbSquare *square)
{
    json_t *decided = json_object();
    set_text(decided, "size", square->size);
    if (square->not_drawn == NULL)
        json_object_set_new(decided, "hits", json_integer(square->hits));
    set_text(decided, "not_drawn", square->not_drawn);
    set_text(decided, "note", square->note);
    set_shots(decided, square->shots);
    return decided;
}

json_t *gb_decided_note(const GbNote *note)
{
    json_t *decided = json_object();
    set_text(decided, "text", note->text);
    if (note->in_report)
        json_object_set_new(decided, "in_report", json_true());
    return decided;
}

json_t *gb_decided_finding(const GbFinding *finding)
{
    json_t *decided = json_object();
    json_object_set_new(decided, "place", json_integer(finding->place));
    set_text(decided, "component", finding->component);
    set_text(decided, "cause", finding->cause);
    set_text(decided, "action", finding->action);
    set_text(decided, "quantity", finding->quantity);
    set_text(decided, "note", finding->note);
    set_shots(decided, finding->shots);
    return decided;
}

json_t *gb_decided_roof_entry(const GbRoofEntry *entry)
{
    json_t *decided = json_object(), *given = json_object();
    g_autofree char *where = gb_roofs_where(entry);
    set_text(decided, "where", where);
    set_text(decided, "section", entry->section);
    set_text(decided, "shape", gb_roof_shape_word(entry->shape));
    for (int g = 0; g < GB_ROOF_GIVENS; g++)
        set_text(given, gb_roof_given_word((GbRoofGiven)g), entry->given[g].text);
    json_object_set_new(decided, "given", given);
    if (gb_roof_shape_is_whole(entry->shape)) {
        set_text(decided, "ridge_runs", gb_roof_ridge_word(entry->ridge_to_rear));
        return decided;
    }
    set_text(decided, "left_side", gb_edge_word(entry->left));
    set_text(decided, "right_side", gb_edge_word(entry->right));
    set_text(decided, "top", gb_edge_word(entry->top));
    set_text(decided, "bottom", gb_edge_word(entry->bottom));
    if (entry->cut_out)
        json_object_set_new(decided, "cut_out", json_true());
    return decided;
}

json_t *gb_decided_threshold(const GbThreshold *threshold)
{
    json_t *decided = json_object();
    json_object_set_new(decided, "hits", json_integer(threshold->hits));
    set_text(decided, "source", threshold->source);
    return decided;
}

json_t *gb_decided_roof_settings(const GbRoofSettings *settings)
{
    json_t *decided = json_object(), *pitches = json_array();
    if (!isnan(settings->waste_percent))
        json_object_set_new(decided, "waste_percent", json_real(settings->waste_percent));
    for (guint b = 0; b < settings->n_bands; b++) {
        g_autofree char *text = gb_steep_band_text(&settings->bands[b]);
        json_array_append_new(pitches, json_string(text));
    }
    json_object_set_new(decided, "steep_pitches", pitches);
    return decided;
}

/* --- is it still so? --- */

static const char *const fact_fields[] = { "value", "how", "note", "shots", NULL };
static const char *const square_fields[] = { "size", "hits", "not_drawn", "note", "shots", NULL };
static const char *const note_fields[] = { "text", "in_report", NULL };
static const char *const finding_fields[] = { "place", "component", "cause", "action", "quantity", "note", "shots", NULL };
static const char *const entry_fields[] = { "where", "section", "shape", "given", "left_side", "right_side", "top", "bottom",
                                            "cut_out", "ridge_runs", NULL };
static const char *const threshold_fields[] = { "hits", "source", NULL };
static const char *const settings_fields[] = { "waste_percent", "steep_pitches", NULL };

/* now is TAKEN; NULL: there is none. what: its name as a field. */
static gboolean hold(const json_t *was, json_t *now, const char *const *fields, const char *what, json_t *conflicts, GError **error)
{
    g_autoptr(json_t) is = now;
    g_autofree char *whose = g_strconcat("the ", what, NULL);
    if (was != NULL && !json_is_object(was) && !json_is_null(was))
        return gb_decided_compare(was, is, fields, 0, conflicts, error); /* says what is wrong with it */
    if ((json_object_size(was) == 0) != (is == NULL))
        gb_decided_conflict(conflicts, 0, what, NULL, is);
    else if (is != NULL && !gb_decided_compare(was, is, fields, 0, conflicts, error))
        return FALSE;
    return gb_decided_settle(conflicts, whose, error);
}

gboolean gb_decided_fact_still(GbLog *log, const char *place, const char *kind, const json_t *was, json_t *conflicts, GError **error)
{
    g_autoptr(GbDossier) dossier = gb_dossier_load(log, error);
    const GbPlace *where = dossier == NULL ? NULL : gb_places_find(dossier->places, place, error);
    const GbFactKind *which = where == NULL ? NULL : gb_factlist_find(dossier->factlist, kind, error);
    if (which == NULL)
        return FALSE;
    const GbPlace *home = gb_fact_home(dossier->places, which, where); /* NULL: the verb will refuse it */
    const GbFact *fact = home == NULL ? NULL : gb_facts_at(dossier->facts, home->id, which->id);
    return hold(was, fact == NULL ? NULL : gb_decided_fact(fact), fact_fields, "fact", conflicts, error);
}

gboolean gb_decided_square_still(GbLog *log, const char *slope, const char *number, const json_t *was, json_t *conflicts, GError **error)
{
    guint64 which = 1; /* what is no number the verb refuses */
    g_autoptr(GPtrArray) places = gb_places_load(log, error);
    const GbPlace *where = places == NULL ? NULL : gb_places_find(places, slope, error);
    g_autoptr(GPtrArray) squares = where == NULL ? NULL : gb_squares_load(log, error);
    if (squares == NULL)
        return FALSE;
    if (number != NULL)
        g_ascii_string_to_unsigned(number, 10, 1, 9, &which, NULL);
    const GbSquare *square = gb_squares_at(squares, where->id, (guint)which);
    return hold(was, square == NULL ? NULL : gb_decided_square(square), square_fields, "square", conflicts, error);
}

gboolean gb_decided_note_still(GbLog *log, gint64 number, const json_t *was, json_t *conflicts, GError **error)
{
    g_autoptr(GPtrArray) notes = gb_notes_load(log, error);
    if (notes == NULL)
        return FALSE;
    const GbNote *note = gb_notes_by_number(notes, number);
    return hold(was, note == NULL ? NULL : gb_decided_note(note), note_fields, "note", conflicts, error);
}

gboolean gb_decided_finding_still(GbLog *log, gint64 number, const json_t *was, json_t *conflicts, GError **error)
{
    g_autoptr(GPtrArray) findings = gb_findings_load(log, error);
    if (findings == NULL)
        return FALSE;
    const GbFinding *finding = gb_findings_by_number(findings, number);
    return hold(was, finding == NULL ? NULL : gb_decided_finding(finding), finding_fields, "finding", conflicts, error);
}

gboolean gb_decided_roof_entry_still(GbLog *log, gint64 id, const json_t *was, json_t *conflicts, GError **error)
{
    g_autoptr(GPtrArray) places = gb_places_load(log, error);
    g_autoptr(GbRoof) roof = places == NULL ? NULL : gb_roofs_load(log, places, error);
    const GbRoofEntry *entry = NULL;
    if (roof == NULL)
        return FALSE;
    for (guint i = 0; i < roof->entries->len && entry == NULL; i++)
        if (((const GbRoofEntry *)roof->entries->pdata[i])->id == id)
            entry = roof->entries->pdata[i];
    return hold(was, entry == NULL ? NULL : gb_decided_roof_entry(entry), entry_fields, "entry", conflicts, error);
}

gboolean gb_decided_threshold_still(GbLog *log, const json_t *was, json_t *conflicts, GError **error)
{
    g_autoptr(GbThreshold) threshold = NULL;
    return gb_threshold_load(log, &threshold, error) &&
           hold(was, threshold == NULL ? NULL : gb_decided_threshold(threshold), threshold_fields, "threshold", conflicts, error);
}

/* Settings are always there: {} says nothing of them. */
gboolean gb_decided_roof_settings_still(GbLog *log, const json_t *was, json_t *conflicts, GError **error)
{
    g_autoptr(GPtrArray) places = gb_places_load(log, error);
    g_autoptr(GbRoof) roof = places == NULL ? NULL : gb_roofs_load(log, places, error);
    g_autoptr(json_t) now = roof == NULL ? NULL : gb_decided_roof_settings(&roof->settings);
    return now != NULL && gb_decided_compare(was, now, settings_fields, 0, conflicts, error) &&
           gb_decided_settle(conflicts, "the roof's settings", error);
}

gboolean gb_decided_camera_still(GbLog *log, const char *camera, const json_t *was, json_t *conflicts, GError **error)
{
    static const char *const fields[] = { "said", NULL };
    g_autoptr(GbCameras) cameras = gb_cameras_load(log, error);
    const GbCamera *found = cameras == NULL ? NULL : gb_cameras_find(cameras, camera, error);
    if (found == NULL)
        return FALSE;
    g_autoptr(json_t) now = json_object();
    set_text(now, "said", found->said);
    return gb_decided_compare(was, now, fields, 0, conflicts, error) && gb_decided_settle(conflicts, found->name, error);
}

gboolean gb_decided_pair_still(GbLog *log, gint64 shot, const json_t *was, json_t *conflicts, GError **error)
{
    static const char *const fields[] = { "other", NULL };
    g_autoptr(GbCameras) cameras = gb_cameras_load(log, error);
    g_autoptr(json_t) now = json_object();
    if (cameras == NULL)
        return FALSE;
    for (guint i = 0; i < cameras->pairs->len; i++) {
        const GbCameraPair *pair = &g_array_index(cameras->pairs, GbCameraPair, i);
        if (pair->shot == shot)
            json_object_set_new(now, "other", json_integer(pair->other));
    }
    return gb_decided_compare(was, now, fields, 0, conflicts, error) && gb_decided_settle(conflicts, "the pair of shots", error);
}
