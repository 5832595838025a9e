/* claim.c -- rows of the claim, its structures and places. See claim.h and rows.h.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "log-private.h"
#include "rows.h"

#include <gablebook/error.h>
#include <gablebook/word.h>

/* --- the claim --- */

#define CLAIM_COLUMNS "insured, number, address, loss_date, inspection_date, cause, adjuster, checklist, front_azimuth_deg"
enum { INSURED, NUMBER, ADDRESS, LOSS_DATE, INSPECTION_DATE, CAUSE, ADJUSTER, CHECKLIST, FRONT_AZIMUTH };

GbClaim *gb_claim_load(GbLog *log, GError **error)
{
    gboolean row;
    g_autoptr(sqlite3_stmt) stmt = gb_log_prepare(log, "SELECT " CLAIM_COLUMNS " FROM claim WHERE id = 1", error);
    if (stmt == NULL || !gb_log_step(log, stmt, &row, error))
        return NULL;
    if (!row) {
        g_set_error(error, GB_ERROR, GB_ERROR_DAMAGED, "%s: claim.db holds no claim", gb_log_folder(log));
        return NULL;
    }
    GbClaim *claim = g_new0(GbClaim, 1);
    claim->insured = gb_column_text(stmt, INSURED);
    claim->number = gb_column_text(stmt, NUMBER);
    claim->address = gb_column_text(stmt, ADDRESS);
    claim->loss_date = gb_column_text(stmt, LOSS_DATE);
    claim->inspection_date = gb_column_text(stmt, INSPECTION_DATE);
    claim->cause = gb_column_text(stmt, CAUSE);
    claim->adjuster = gb_column_text(stmt, ADJUSTER);
    claim->checklist = gb_column_text(stmt, CHECKLIST);
    claim->front_azimuth_deg = gb_column_double(stmt, FRONT_AZIMUTH);
    return claim;
}

gboolean gb_claim_store(GbLog *log, const GbClaim *claim, GError **error)
{
    g_autoptr(sqlite3_stmt) stmt = gb_log_prepare(log,
        "UPDATE claim SET insured = :insured, number = :number, address = :address, loss_date = :loss_date,"
        " inspection_date = :inspection_date, cause = :cause, adjuster = :adjuster, checklist = :checklist,"
        " front_azimuth_deg = :front_azimuth_deg WHERE id = 1", error);
    if (stmt == NULL)
        return FALSE;
    gb_bind_text(stmt, ":insured", claim->insured);
    gb_bind_text(stmt, ":number", claim->number);
    gb_bind_text(stmt, ":address", claim->address);
    gb_bind_text(stmt, ":loss_date", claim->loss_date);
    gb_bind_text(stmt, ":inspection_date", claim->inspection_date);
    gb_bind_text(stmt, ":cause", claim->cause);
    gb_bind_text(stmt, ":adjuster", claim->adjuster);
    gb_bind_text(stmt, ":checklist", claim->checklist);
    gb_bind_double(stmt, ":front_azimuth_deg", claim->front_azimuth_deg);
    return gb_log_finish(log, stmt, error);
}

gboolean gb_claim_begin(GbLog *log, const GbClaim *claim, GError **error)
{
    return gb_claim_store(log, claim, error) && gb_state_seal(log, error);
}

void gb_claim_free(GbClaim *claim)
{
    if (claim == NULL)
        return;
    g_free(claim->insured);
    g_free(claim->number);
    g_free(claim->address);
    g_free(claim->loss_date);
    g_free(claim->inspection_date);
    g_free(claim->cause);
    g_free(claim->adjuster);
    g_free(claim->checklist);
    g_free(claim);
}

/* --- structures --- */

static void free_structure(gpointer data)
{
    GbStructure *structure = data;
    g_free(structure->name);
    g_free(structure->kind);
    g_free(structure);
}

GPtrArray *gb_structures_load(GbLog *log, GError **error)
{
    g_autoptr(sqlite3_stmt) stmt =
        gb_log_prepare(log, "SELECT id, name, kind FROM structure ORDER BY kind <> 'dwelling', id", error);
    g_autoptr(GPtrArray) structures = g_ptr_array_new_with_free_func(free_structure);
    for (gboolean row = TRUE; row;) {
        if (stmt == NULL || !gb_log_step(log, stmt, &row, error))
            return NULL;
        if (row) {
            GbStructure *structure = g_new0(GbStructure, 1);
            structure->id = sqlite3_column_int64(stmt, 0);
            structure->name = gb_column_text(stmt, 1);
            structure->kind = gb_column_text(stmt, 2);
            g_ptr_array_add(structures, structure);
            if (structure->name == NULL || structure->kind == NULL) {
                gb_log_senseless(log, "a structure", error);
                return NULL;
            }
        }
    }
    return g_steal_pointer(&structures);
}

gboolean gb_structure_add(GbLog *log, const char *name, const char *kind, gint64 *id, GError **error)
{
    g_autoptr(sqlite3_stmt) stmt = gb_log_prepare(log, "INSERT INTO structure (name, kind) VALUES (:name, :kind)", error);
    if (stmt == NULL)
        return FALSE;
    gb_bind_text(stmt, ":name", name);
    gb_bind_text(stmt, ":kind", kind);
    if (!gb_log_finish(log, stmt, error))
        return FALSE;
    *id = sqlite3_last_insert_rowid(gb_log_db(log));
    return TRUE;
}

gboolean gb_structure_remove(GbLog *log, gint64 id, GError **error)
{
    g_autoptr(sqlite3_stmt) stmt = gb_log_prepare(log, "DELETE FROM structure WHERE id = :id", error);
    if (stmt == NULL)
        return FALSE;
    gb_bind_int(stmt, ":id", id);
    return gb_log_finish(log, stmt, error);
}

/* --- places --- */

static void free_place(gpointer data)
{
    GbPlace *place = data;
    g_free(place->structure_name);
    g_free(place->structure_kind);
    g_free(place->room);
    g_free(place->label);
    g_free(place->title);
    g_free(place);
}

#define PLACE_COLUMNS "p.id, p.structure, p.kind, p.face, p.room, s.name, s.kind"
enum { PLACE_ID, PLACE_STRUCTURE, PLACE_KIND, PLACE_FACE, PLACE_ROOM, STRUCTURE_NAME, STRUCTURE_KIND };

static gboolean read_face(const char *word, GbFace *face)
{
    for (int f = 0; f < GB_FACES; f++)
        if (g_strcmp0(word, gb_face_word((GbFace)f)) == 0) {
            *face = (GbFace)f;
            return TRUE;
        }
    return FALSE;
}

/* NULL when the row is none that this program writes. */
static GbPlace *read_place(sqlite3_stmt *row)
{
    g_autofree char *kind = gb_column_text(row, PLACE_KIND);
    g_autofree char *face = gb_column_text(row, PLACE_FACE);
    GbPlace *place = g_new0(GbPlace, 1);
    place->id = sqlite3_column_int64(row, PLACE_ID);
    place->structure = sqlite3_column_int64(row, PLACE_STRUCTURE);
    place->room = gb_column_text(row, PLACE_ROOM);
    place->structure_name = gb_column_text(row, STRUCTURE_NAME);
    place->structure_kind = gb_column_text(row, STRUCTURE_KIND);
    if (place->structure_name == NULL)
        place->structure_name = g_strdup("");
    if (place->structure_kind == NULL)
        place->structure_kind = g_strdup("");
    place->on_dwelling = strcmp(place->structure_kind, "dwelling") == 0;
    gboolean faced = kind != NULL && gb_place_kind_from_word(kind, &place->kind) &&
                     (place->kind == GB_PLACE_ELEVATION || place->kind == GB_PLACE_SLOPE);
    if (kind == NULL || !gb_place_kind_from_word(kind, &place->kind) || (faced && !read_face(face, &place->face)) ||
        (place->kind == GB_PLACE_ROOM && place->room == NULL)) {
        free_place(place);
        return NULL;
    }
    place->label = gb_place_label(place->kind, place->structure_name, place->on_dwelling, place->face, place->room);
    place->title = gb_place_title(place->kind, place->structure_name, place->on_dwelling, place->face, place->room);
    return place;
}

/* In walk order: site, dwelling, other structures as added; in each whole, elevations, roof, slopes, rooms. */
static int compare_places(gconstpointer a, gconstpointer b)
{
    const GbPlace *p = *(const GbPlace *const *)a, *q = *(const GbPlace *const *)b;
    gint64 order[][2] = {
        { p->kind != GB_PLACE_SITE, q->kind != GB_PLACE_SITE },
        { !p->on_dwelling, !q->on_dwelling },
        { p->structure, q->structure },
        { p->kind, q->kind },
        { p->face, q->face },
        { p->id, q->id },
    };
    for (gsize i = 0; i < G_N_ELEMENTS(order); i++)
        if (order[i][0] != order[i][1])
            return order[i][0] < order[i][1] ? -1 : 1;
    return 0;
}

GPtrArray *gb_places_load(GbLog *log, GError **error)
{
    g_autoptr(sqlite3_stmt) stmt = gb_log_prepare(log,
        "SELECT " PLACE_COLUMNS " FROM place p LEFT JOIN structure s ON s.id = p.structure", error);
    g_autoptr(GPtrArray) places = g_ptr_array_new_with_free_func(free_place);
    for (gboolean row = TRUE; row;) {
        if (stmt == NULL || !gb_log_step(log, stmt, &row, error))
            return NULL;
        GbPlace *place = row ? read_place(stmt) : NULL;
        if (row && place == NULL) {
            gb_log_senseless(log, "a place", error);
            return NULL;
        }
        if (row)
            g_ptr_array_add(places, place);
    }
    g_ptr_array_sort(places, compare_places);
    return g_steal_pointer(&places);
}

const GbPlace *gb_places_find(const GPtrArray *places, const char *text, GError **error)
{
    g_autofree const char **labels = g_new(const char *, places->len);
    for (guint i = 0; i < places->len; i++)
        labels[i] = ((const GbPlace *)places->pdata[i])->label;
    gssize found = gb_word_find(text, labels, places->len, "place", error);
    return found < 0 ? NULL : places->pdata[found];
}

const GbPlace *gb_places_by_id(const GPtrArray *places, gint64 id)
{
    for (guint i = 0; i < places->len; i++)
        if (((const GbPlace *)places->pdata[i])->id == id)
            return places->pdata[i];
    return NULL;
}

gboolean gb_place_add(GbLog *log, gint64 structure, GbPlaceKind kind, GbFace face, const char *room, GError **error)
{
    g_autoptr(sqlite3_stmt) stmt = gb_log_prepare(log,
        "INSERT INTO place (structure, kind, face, room) VALUES (:structure, :kind, :face, :room)", error);
    if (stmt == NULL)
        return FALSE;
    gboolean faced = kind == GB_PLACE_ELEVATION || kind == GB_PLACE_SLOPE;
    gb_bind_null_or_int(stmt, ":structure", kind != GB_PLACE_SITE, structure);
    gb_bind_text(stmt, ":kind", gb_place_kind_word(kind));
    gb_bind_text(stmt, ":face", faced ? gb_face_word(face) : NULL);
    gb_bind_text(stmt, ":room", kind == GB_PLACE_ROOM ? room : NULL);
    return gb_log_finish(log, stmt, error);
}

gboolean gb_place_remove(GbLog *log, gint64 id, GError **error)
{
    g_autoptr(sqlite3_stmt) stmt = gb_log_prepare(log, "DELETE FROM place WHERE id = :id", error);
    if (stmt == NULL)
        return FALSE;
    gb_bind_int(stmt, ":id", id);
    return gb_log_finish(log, stmt, error);
}
