/* roofs.c -- rows of roof measurements. See roofs.h and rows.h.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "log-private.h"
#include "rows.h"

#include <gablebook/roofs.h>
#include <math.h>

/* --- entries --- */

#define ENTRY_COLUMNS "id, place, section, shape, bottom, top, left_side, right_side, cut_out, ridge_to_rear"
enum { ID, PLACE, SECTION, SHAPE, BOTTOM, TOP, LEFT_SIDE, RIGHT_SIDE, CUT_OUT, RIDGE_TO_REAR };

static gboolean fail_senseless(GbLog *log, GError **error)
{
    return gb_log_senseless(log, "a roof measurement", error);
}

GbRoofEntry *gb_roofs_new_entry(const GPtrArray *places, gint64 structure, GbRoofShape shape)
{
    GbRoofEntry *entry = gb_roof_entry_new(shape);
    entry->structure = structure;
    for (guint i = 0; i < places->len; i++) {
        const GbPlace *place = places->pdata[i];
        if (place->structure != structure)
            continue;
        if (entry->structure_name == NULL)
            entry->structure_name = g_strdup(place->structure_name);
        entry->on_dwelling = place->on_dwelling;
        if (place->kind == GB_PLACE_SLOPE)
            entry->places[place->face] = place->id;
    }
    return entry;
}

char *gb_roofs_where(const GbRoofEntry *entry)
{
    if (gb_roof_shape_is_whole(entry->shape))
        return g_strdup(entry->structure_name);
    return gb_place_label(GB_PLACE_SLOPE, entry->structure_name, entry->on_dwelling, entry->face, NULL);
}

static gboolean read_edge(sqlite3_stmt *row, int column, GbEdge *edge)
{
    g_autofree char *word = gb_column_text(row, column);
    return word != NULL && gb_edge_from_word(word, edge);
}

/* NULL when the row is none that this program writes. */
static GbRoofEntry *read_entry(sqlite3_stmt *row, const GPtrArray *places)
{
    g_autofree char *word = gb_column_text(row, SHAPE), *section = gb_column_text(row, SECTION);
    const GbPlace *place = gb_places_by_id(places, sqlite3_column_int64(row, PLACE));
    GbRoofShape shape;
    if (word == NULL || section == NULL || place == NULL || !gb_roof_shape_from_word(word, &shape) ||
        place->kind != (gb_roof_shape_is_whole(shape) ? GB_PLACE_ROOF : GB_PLACE_SLOPE))
        return NULL;
    g_autoptr(GbRoofEntry) entry = gb_roofs_new_entry(places, place->structure, shape);
    entry->id = sqlite3_column_int64(row, ID);
    entry->face = place->face;
    entry->cut_out = sqlite3_column_int(row, CUT_OUT) != 0;
    entry->ridge_to_rear = sqlite3_column_int(row, RIDGE_TO_REAR) != 0;
    g_free(entry->section);
    entry->section = g_steal_pointer(&section);
    if (!read_edge(row, BOTTOM, &entry->bottom) || !read_edge(row, TOP, &entry->top) || !read_edge(row, LEFT_SIDE, &entry->left) ||
        !read_edge(row, RIGHT_SIDE, &entry->right))
        return NULL;
    return g_steal_pointer(&entry);
}

static void free_entry(gpointer entry)
{
    gb_roof_entry_free(entry);
}

static GPtrArray *load_entries(GbLog *log, const GPtrArray *places, GError **error)
{
    g_autoptr(sqlite3_stmt) stmt = gb_log_prepare(log, "SELECT " ENTRY_COLUMNS " FROM roof_entry ORDER BY id", error);
    g_autoptr(GPtrArray) entries = g_ptr_array_new_with_free_func(free_entry);
    for (gboolean row = TRUE; row;) {
        if (stmt == NULL || !gb_log_step(log, stmt, &row, error))
            return NULL;
        GbRoofEntry *entry = row && entries->len < GB_ROOFS_MAX ? read_entry(stmt, places) : NULL;
        if (row && entry == NULL) {
            fail_senseless(log, error);
            return NULL;
        }
        if (row)
            g_ptr_array_add(entries, entry);
    }
    return g_steal_pointer(&entries);
}

/* --- what was measured of them --- */

static GbRoofEntry *find_entry(const GPtrArray *entries, gint64 id)
{
    for (guint i = 0; i < entries->len; i++)
        if (((GbRoofEntry *)entries->pdata[i])->id == id)
            return entries->pdata[i];
    return NULL;
}

static gboolean load_givens(GbLog *log, const GPtrArray *entries, GError **error)
{
    g_autoptr(sqlite3_stmt) stmt = gb_log_prepare(log, "SELECT entry, what, typed, number FROM roof_given", error);
    for (gboolean row = TRUE; row;) {
        if (stmt == NULL || !gb_log_step(log, stmt, &row, error))
            return FALSE;
        if (!row)
            break;
        GbRoofEntry *entry = find_entry(entries, sqlite3_column_int64(stmt, 0));
        g_autofree char *what = gb_column_text(stmt, 1), *typed = gb_column_text(stmt, 2);
        GbRoofGiven given;
        if (entry == NULL || what == NULL || typed == NULL || !gb_roof_given_from_word(what, &given) || entry->given[given].text != NULL)
            return fail_senseless(log, error);
        entry->given[given] = (GbRoofValue){ g_steal_pointer(&typed), gb_column_double(stmt, 3) };
    }
    return TRUE;
}

static gboolean load_settings(GbLog *log, GbRoofSettings *settings, GError **error)
{
    gboolean row = FALSE;
    g_autoptr(sqlite3_stmt) stmt = gb_log_prepare(log, "SELECT waste_percent, steep FROM roof_setting WHERE id = 1", error);
    if (stmt == NULL || !gb_log_step(log, stmt, &row, error))
        return FALSE;
    if (!row)
        return TRUE;
    g_autofree char *steep = gb_column_text(stmt, 1);
    settings->waste_percent = gb_column_double(stmt, 0);
    return steep == NULL || gb_roof_settings_take_steep(settings, steep, NULL) || fail_senseless(log, error);
}

GbRoof *gb_roofs_load(GbLog *log, const GPtrArray *places, GError **error)
{
    GbRoofSettings settings;
    gb_roof_settings_init(&settings);
    g_autoptr(GPtrArray) entries = load_entries(log, places, error);
    if (entries == NULL || !load_givens(log, entries, error) || !load_settings(log, &settings, error)) {
        gb_roof_settings_clear(&settings);
        return NULL;
    }
    return gb_roof_new(g_steal_pointer(&entries), &settings);
}

/* --- writing --- */

static gboolean store_given(GbLog *log, gint64 entry, GbRoofGiven given, const GbRoofValue *value, GError **error)
{
    g_autoptr(sqlite3_stmt) stmt = gb_log_prepare(log,
        "INSERT INTO roof_given (entry, what, typed, number) VALUES (:entry, :what, :typed, :number)", error);
    if (stmt == NULL)
        return FALSE;
    gb_bind_int(stmt, ":entry", entry);
    gb_bind_text(stmt, ":what", gb_roof_given_word(given));
    gb_bind_text(stmt, ":typed", value->text);
    gb_bind_double(stmt, ":number", value->number);
    return gb_log_finish(log, stmt, error);
}

static gboolean remove_where(GbLog *log, const char *sql, gint64 id, GError **error)
{
    g_autoptr(sqlite3_stmt) stmt = gb_log_prepare(log, sql, error);
    if (stmt == NULL)
        return FALSE;
    gb_bind_int(stmt, ":id", id);
    return gb_log_finish(log, stmt, error);
}

gboolean gb_roof_entry_store(GbLog *log, const GbRoofEntry *entry, gint64 place, gint64 *id, GError **error)
{
    g_autoptr(sqlite3_stmt) stmt = gb_log_prepare(log,
        "INSERT INTO roof_entry (" ENTRY_COLUMNS ") VALUES (:id, :place, :section, :shape, :bottom, :top, :left, :right, :cut_out, :to_rear)"
        " ON CONFLICT (id) DO UPDATE SET place = excluded.place, section = excluded.section, shape = excluded.shape, bottom = excluded.bottom,"
        " top = excluded.top, left_side = excluded.left_side, right_side = excluded.right_side, cut_out = excluded.cut_out,"
        " ridge_to_rear = excluded.ridge_to_rear", error);
    if (stmt == NULL)
        return FALSE;
    gb_bind_null_or_int(stmt, ":id", entry->id != 0, entry->id);
    gb_bind_int(stmt, ":place", place);
    gb_bind_text(stmt, ":section", entry->section);
    gb_bind_text(stmt, ":shape", gb_roof_shape_word(entry->shape));
    gb_bind_text(stmt, ":bottom", gb_edge_word(entry->bottom));
    gb_bind_text(stmt, ":top", gb_edge_word(entry->top));
    gb_bind_text(stmt, ":left", gb_edge_word(entry->left));
    gb_bind_text(stmt, ":right", gb_edge_word(entry->right));
    gb_bind_int(stmt, ":cut_out", entry->cut_out);
    gb_bind_int(stmt, ":to_rear", entry->ridge_to_rear);
    if (!gb_log_finish(log, stmt, error))
        return FALSE;
    *id = entry->id != 0 ? entry->id : sqlite3_last_insert_rowid(gb_log_db(log));
    if (!remove_where(log, "DELETE FROM roof_given WHERE entry = :id", *id, error))
        return FALSE;
    for (guint g = 0; g < GB_ROOF_GIVENS; g++)
        if (!isnan(entry->given[g].number) && !store_given(log, *id, (GbRoofGiven)g, &entry->given[g], error))
            return FALSE;
    return TRUE;
}

gboolean gb_roof_entry_remove(GbLog *log, gint64 id, GError **error)
{
    return remove_where(log, "DELETE FROM roof_given WHERE entry = :id", id, error) &&
           remove_where(log, "DELETE FROM roof_entry WHERE id = :id", id, error);
}

gboolean gb_roof_settings_store(GbLog *log, const GbRoofSettings *settings, GError **error)
{
    g_autoptr(sqlite3_stmt) stmt = gb_log_prepare(log,
        "INSERT INTO roof_setting (id, waste_percent, steep) VALUES (1, :waste, :steep)"
        " ON CONFLICT (id) DO UPDATE SET waste_percent = excluded.waste_percent, steep = excluded.steep", error);
    if (stmt == NULL)
        return FALSE;
    gb_bind_double(stmt, ":waste", settings->waste_percent);
    gb_bind_text(stmt, ":steep", settings->steep);
    return gb_log_finish(log, stmt, error);
}
