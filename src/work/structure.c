/* structure.c -- the verb structure: what stands on the property. See structure.h.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <gablebook/structure.h>

#include "work-private.h"

#include <gablebook/error.h>
#include <gablebook/escape.h>
#include <gablebook/finding.h>
#include <gablebook/history.h>
#include <gablebook/quote.h>
#include <gablebook/roofs.h>
#include <gablebook/shot.h>
#include <gablebook/word.h>
#include <log/rows.h>

#define NAME_MAX_BYTES 80
#define ROOMS_MAX 200

/* --- words --- */

/* "front, rear", "all", "none" to a set of faces. */
static gboolean parse_faces(const char *text, gboolean faces[GB_FACES], GError **error)
{
    gboolean all = g_ascii_strcasecmp(text, "all") == 0;
    for (int f = 0; f < GB_FACES; f++)
        faces[f] = all;
    if (all || g_ascii_strcasecmp(text, "none") == 0 || *text == '\0')
        return TRUE;
    g_auto(GStrv) words = g_strsplit_set(text, ",; ", -1);
    for (char **word = words; *word != NULL; word++) {
        GbFace face;
        if (**word == '\0')
            continue;
        if (!gb_face_parse(*word, &face, error))
            return FALSE;
        faces[face] = TRUE;
    }
    return TRUE;
}

/* A name a person gives: clean, not too long. OWNED by the caller, NULL with error. */
static char *clean_name(const char *text, const char *what, GError **error)
{
    g_autofree char *name = gb_clean_text(text, strlen(text));
    if (name == NULL || strlen(name) > NAME_MAX_BYTES) {
        g_autofree char *shown = gb_quote(text);
        g_set_error(error, GB_ERROR, GB_ERROR_SYNTAX, "%s can't be the name of a %s: it must have 1 to %d bytes; nothing was changed",
                    shown, what, NAME_MAX_BYTES);
        return NULL;
    }
    return g_steal_pointer(&name);
}

static gboolean is_named(const GPtrArray *rooms, const char *room)
{
    for (guint i = 0; i < rooms->len; i++)
        if (g_ascii_strcasecmp(rooms->pdata[i], room) == 0)
            return TRUE;
    return FALSE;
}

static GPtrArray *parse_rooms(const char *text, GError **error)
{
    g_autoptr(GPtrArray) rooms = g_ptr_array_new_with_free_func(g_free);
    if (g_ascii_strcasecmp(text, "none") == 0)
        return g_steal_pointer(&rooms);
    g_auto(GStrv) words = g_strsplit_set(text, ",;", -1);
    for (char **word = words; *word != NULL; word++) {
        if (*g_strstrip(*word) == '\0')
            continue;
        g_autofree char *room = clean_name(*word, "room", error);
        if (room == NULL)
            return NULL;
        if (is_named(rooms, room))
            continue;
        if (rooms->len == ROOMS_MAX) { /* here, not after the last: each is held against all before it */
            g_set_error(error, GB_ERROR, GB_ERROR_TOO_LARGE, "a structure has at most %d rooms; nothing was changed", ROOMS_MAX);
            return NULL;
        }
        g_ptr_array_add(rooms, g_steal_pointer(&room));
    }
    return g_steal_pointer(&rooms);
}

/* A known kind, or NULL with error. BORROWED for ever. */
static const char *find_kind(const char *text, GError **error)
{
    const char *const *kinds = gb_structure_kinds();
    gssize found = gb_word_find(text, kinds, g_strv_length((char **)kinds), "kind of structure", error);
    return found < 0 ? NULL : kinds[found];
}

static const GbStructure *find_structure(const GPtrArray *structures, const char *name)
{
    for (guint i = 0; i < structures->len; i++) {
        const GbStructure *structure = structures->pdata[i];
        if (g_ascii_strcasecmp(structure->name, name) == 0)
            return structure;
    }
    return NULL;
}

/* --- parts --- */

static const GbPlace *find_part(const GPtrArray *places, gint64 structure, GbPlaceKind kind, GbFace face, const char *room)
{
    gboolean faced = kind == GB_PLACE_ELEVATION || kind == GB_PLACE_SLOPE;
    for (guint i = 0; i < places->len; i++) {
        const GbPlace *place = places->pdata[i];
        if (place->structure == structure && place->kind == kind && (!faced || place->face == face) &&
            (kind != GB_PLACE_ROOM || g_ascii_strcasecmp(place->room, room) == 0))
            return place;
    }
    return NULL;
}

/* A slope that was measured, by itself or with the whole roof, and such a roof stay until their measurements are taken out. */
static gboolean is_measured(GbLog *log, const GPtrArray *places, const GbPlace *place, gboolean *measured, GError **error)
{
    g_autoptr(GbRoof) roof = gb_roofs_load(log, places, error);
    *measured = FALSE;
    for (guint i = 0; roof != NULL && i < roof->slopes->len; i++)
        *measured = *measured || ((const GbRoofSlope *)roof->slopes->pdata[i])->place == place->id;
    for (guint i = 0; roof != NULL && i < roof->entries->len; i++) {
        const GbRoofEntry *entry = roof->entries->pdata[i];
        gboolean belongs = gb_roof_shape_is_whole(entry->shape) ? place->kind == GB_PLACE_ROOF && place->structure == entry->structure
                                                                : entry->places[entry->face] == place->id;
        *measured = *measured || belongs; /* also one that can't be computed */
    }
    return roof != NULL;
}

static gboolean refuse_measured(const GbPlace *place, GError **error)
{
    g_autofree char *shown = gb_quote(place->label);
    g_set_error(error, GB_ERROR, GB_ERROR_STATE, "%s has measurements: take those out first, with gablebook roof ... --remove; nothing was changed",
                shown);
    return FALSE;
}

/* What all the steps below need. */
typedef struct {
    GbLog *log;
    gint64 structure;
    const GPtrArray *places; /* as they were before */
    const GPtrArray *shots, *findings;
} Work;

static gboolean fail_in_use(const GbPlace *place, guint there, const char *what, GError **error)
{
    g_autofree char *shown = gb_quote(place->label);
    g_set_error(error, GB_ERROR, GB_ERROR_STATE, "%s still has %u %s%s: give %s another place first; nothing was changed",
                shown, there, what, there == 1 ? "" : "s", there == 1 ? "it" : "them");
    return FALSE;
}

static gboolean remove_part(const Work *work, const GbPlace *place, GError **error)
{
    guint shots = 0, findings = 0;
    for (guint i = 0; i < work->shots->len; i++)
        shots += ((const GbShot *)work->shots->pdata[i])->place == place->id;
    for (guint i = 0; i < work->findings->len; i++)
        findings += ((const GbFinding *)work->findings->pdata[i])->place == place->id;
    if (shots > 0)
        return fail_in_use(place, shots, "shot", error);
    if (findings > 0)
        return fail_in_use(place, findings, "finding", error);
    gboolean measured;
    if (!is_measured(work->log, work->places, place, &measured, error))
        return FALSE;
    if (measured)
        return refuse_measured(place, error);
    return gb_place_is_free(work->log, place, error) && gb_place_remove(work->log, place->id, error);
}

static gboolean set_part(const Work *work, GbPlaceKind kind, GbFace face, const char *room, gboolean wanted, GError **error)
{
    const GbPlace *there = find_part(work->places, work->structure, kind, face, room);
    if (wanted == (there != NULL))
        return TRUE;
    return wanted ? gb_place_add(work->log, work->structure, kind, face, room, error)
                  : remove_part(work, there, error);
}

static gboolean set_faces(const Work *work, GbPlaceKind kind, const char *text, GError **error)
{
    gboolean faces[GB_FACES], any = FALSE;
    if (text == NULL)
        return TRUE;
    if (!parse_faces(text, faces, error))
        return FALSE;
    for (int f = 0; f < GB_FACES; f++) {
        any = any || faces[f];
        if (!set_part(work, kind, (GbFace)f, NULL, faces[f], error))
            return FALSE;
    }
    return kind != GB_PLACE_SLOPE || set_part(work, GB_PLACE_ROOF, GB_FACE_FRONT, NULL, any, error);
}

static gboolean set_rooms(const Work *work, const char *text, GError **error)
{
    if (text == NULL)
        return TRUE;
    g_autoptr(GPtrArray) rooms = parse_rooms(text, error);
    if (rooms == NULL)
        return FALSE;
    for (guint i = 0; i < work->places->len; i++) {
        const GbPlace *place = work->places->pdata[i];
        if (place->structure == work->structure && place->kind == GB_PLACE_ROOM && !is_named(rooms, place->room) &&
            !remove_part(work, place, error))
            return FALSE;
    }
    for (guint i = 0; i < rooms->len; i++)
        if (!set_part(work, GB_PLACE_ROOM, GB_FACE_FRONT, rooms->pdata[i], TRUE, error))
            return FALSE;
    return TRUE;
}

/* Every place must be found by its own label: a room called "front" would make the wall of that name unclear for ever, and one
 * called "-" could not be typed. */
static gboolean can_be_named(const GPtrArray *places, GError **error)
{
    for (guint i = 0; i < places->len; i++) {
        const GbPlace *place = places->pdata[i];
        if (gb_places_find(places, place->label, NULL) == place)
            continue;
        g_autofree char *shown = gb_quote(place->label);
        g_set_error(error, GB_ERROR, GB_ERROR_STATE, "%s can't be told from another place of the claim by that name; nothing was changed",
                    shown);
        return FALSE;
    }
    return TRUE;
}

/* "garage: front, right; slopes left, right; rooms attic" */
static char *describe(const GPtrArray *places, const char *name)
{
    GString *text = g_string_new(name);
    const GbPlace *before = NULL;
    for (guint i = 0; i < places->len; i++) {
        const GbPlace *place = places->pdata[i];
        if (g_ascii_strcasecmp(place->structure_name, name) != 0 || place->kind == GB_PLACE_WHOLE || place->kind == GB_PLACE_ROOF)
            continue;
        const char *between = before == NULL ? ": " : before->kind == place->kind ? ", " : "; ";
        gboolean first = before == NULL || before->kind != place->kind;
        g_string_append(text, between);
        if (first && place->kind == GB_PLACE_SLOPE)
            g_string_append(text, "slopes ");
        if (first && place->kind == GB_PLACE_ROOM)
            g_string_append(text, "rooms ");
        g_string_append(text, place->kind == GB_PLACE_ROOM ? place->room : gb_face_word(place->face));
        before = place;
    }
    return g_string_free(text, FALSE);
}

/* --- the verbs --- */

/* Add the structure with its whole, when it is new. */
static gboolean ensure(Work *work, const GbStructureEdit *edit, const char *name, GError **error)
{
    g_autoptr(GPtrArray) structures = gb_structures_load(work->log, error);
    if (structures == NULL)
        return FALSE;
    const GbStructure *there = find_structure(structures, name);
    if (there != NULL && edit->kind != NULL) {
        const char *kind = find_kind(edit->kind, error);
        if (kind == NULL)
            return FALSE;
        if (strcmp(kind, there->kind) != 0) {
            g_autofree char *shown = gb_quote(name);
            g_set_error(error, GB_ERROR, GB_ERROR_STATE, "%s is a %s already; nothing was changed", shown, there->kind);
            return FALSE;
        }
    }
    if (there != NULL) {
        work->structure = there->id;
        return TRUE;
    }
    const char *kind = edit->kind != NULL ? find_kind(edit->kind, error) : find_kind(name, NULL);
    if (kind == NULL && edit->kind != NULL)
        return FALSE;
    if (kind == NULL)
        kind = "other";
    if (strcmp(kind, "dwelling") == 0) {
        g_set_error(error, GB_ERROR, GB_ERROR_STATE, "a claim has one dwelling, and it is there already; nothing was changed");
        return FALSE;
    }
    return gb_structure_add(work->log, name, kind, &work->structure, error) &&
           gb_place_add(work->log, work->structure, GB_PLACE_WHOLE, GB_FACE_FRONT, NULL, error);
}

gboolean gb_structure_edit(GbLog *log, const GbStructureEdit *edit, char **summary, GError **error)
{
    g_autofree char *name = clean_name(edit->name, "structure", error);
    if (name == NULL)
        return FALSE;
    g_autoptr(GbChange) change = gb_change_begin(log, "structure", error);
    g_autoptr(GPtrArray) places = change == NULL ? NULL : gb_places_load(log, error);
    g_autoptr(GPtrArray) shots = places == NULL ? NULL : gb_shots_load(log, error);
    g_autoptr(GPtrArray) findings = shots == NULL ? NULL : gb_findings_load(log, error);
    if (findings == NULL)
        return FALSE;
    Work work = { .log = log, .places = places, .shots = shots, .findings = findings };
    if (!ensure(&work, edit, name, error) || !set_faces(&work, GB_PLACE_ELEVATION, edit->elevations, error) ||
        !set_faces(&work, GB_PLACE_SLOPE, edit->slopes, error) || !set_rooms(&work, edit->rooms, error))
        return FALSE;
    g_autoptr(GPtrArray) after = gb_places_load(log, error);
    if (after == NULL || !can_be_named(after, error))
        return FALSE;
    g_autofree char *text = describe(after, name);
    if (!gb_change_save(change, text, error))
        return FALSE;
    if (summary != NULL)
        *summary = g_steal_pointer(&text);
    return TRUE;
}

static gboolean drop(GbLog *log, const GbStructure *structure, GError **error)
{
    g_autoptr(GPtrArray) places = gb_places_load(log, error);
    g_autoptr(GPtrArray) shots = places == NULL ? NULL : gb_shots_load(log, error);
    g_autoptr(GPtrArray) findings = shots == NULL ? NULL : gb_findings_load(log, error);
    if (findings == NULL)
        return FALSE;
    const Work work = { .log = log, .structure = structure->id, .places = places, .shots = shots, .findings = findings };
    for (guint i = 0; i < places->len; i++) {
        const GbPlace *place = places->pdata[i];
        if (place->structure == structure->id && !remove_part(&work, place, error))
            return FALSE;
    }
    return gb_structure_remove(log, structure->id, error);
}

static void fail_unknown(const GPtrArray *structures, const char *name, GError **error)
{
    g_autofree const char **names = g_new(const char *, structures->len);
    for (guint i = 0; i < structures->len; i++)
        names[i] = ((const GbStructure *)structures->pdata[i])->name;
    g_autofree char *shown = gb_quote(name), *nearest = gb_quote_nearest(name, names, structures->len);
    g_set_error(error, GB_ERROR, GB_ERROR_UNKNOWN, "there is no structure %s in this claim%s%s", shown, nearest ? "; nearest: " : "",
                nearest ? nearest : "");
}

gboolean gb_structure_drop(GbLog *log, const char *name, GError **error)
{
    g_autoptr(GbChange) change = gb_change_begin(log, "structure", error);
    g_autoptr(GPtrArray) structures = change == NULL ? NULL : gb_structures_load(log, error);
    if (structures == NULL)
        return FALSE;
    const GbStructure *structure = find_structure(structures, name);
    if (structure == NULL) {
        fail_unknown(structures, name, error);
        return FALSE;
    }
    if (strcmp(structure->kind, "dwelling") == 0) {
        g_set_error(error, GB_ERROR, GB_ERROR_STATE, "the dwelling can't be taken out of its claim");
        return FALSE;
    }
    g_autofree char *summary = g_strdup_printf("%s taken out", structure->name);
    return drop(log, structure, error) && gb_change_save(change, summary, error);
}
