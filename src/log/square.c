/* square.c -- rows of test squares and of the claim's threshold. See square.h and rows.h.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "log-private.h"
#include "rows.h"

#include <math.h>

static void free_square(gpointer data)
{
    GbSquare *square = data;
    g_free(square->size);
    g_free(square->not_drawn);
    g_free(square->note);
    g_free(square->who);
    g_clear_pointer(&square->shots, g_array_unref);
    g_free(square);
}

#define SQUARE_COLUMNS "id, place, number, size, width_in, height_in, hits, not_drawn, note, who, at_utc_s"
enum { ID, PLACE, NUMBER, SIZE, WIDTH, HEIGHT, HITS, NOT_DRAWN, NOTE, WHO, AT };

/* FALSE when the row is none that this program writes. */
static gboolean read_square(sqlite3_stmt *row, GbSquare *square)
{
    gboolean counted = sqlite3_column_type(row, HITS) != SQLITE_NULL;
    gint64 hits = sqlite3_column_int64(row, HITS);
    square->id = sqlite3_column_int64(row, ID);
    square->place = sqlite3_column_int64(row, PLACE);
    square->number = (guint)CLAMP(sqlite3_column_int64(row, NUMBER), 1, 9);
    square->size = gb_column_text(row, SIZE);
    square->width_in = gb_column_double(row, WIDTH);
    square->height_in = gb_column_double(row, HEIGHT);
    square->hits = (guint)CLAMP(hits, 0, G_MAXINT);
    square->not_drawn = gb_column_text(row, NOT_DRAWN);
    square->note = gb_column_text(row, NOTE);
    square->who = gb_column_text(row, WHO);
    square->at_utc_s = sqlite3_column_int64(row, AT);
    return counted == (square->not_drawn == NULL) && square->who != NULL && (square->size == NULL) == isnan(square->width_in) &&
           isnan(square->width_in) == isnan(square->height_in);
}

GPtrArray *gb_squares_load(GbLog *log, GError **error)
{
    g_autoptr(sqlite3_stmt) stmt = gb_log_prepare(log, "SELECT " SQUARE_COLUMNS " FROM test_square ORDER BY place, number", error);
    g_autoptr(GPtrArray) squares = g_ptr_array_new_with_free_func(free_square);
    for (gboolean row = TRUE; row;) {
        if (stmt == NULL || !gb_log_step(log, stmt, &row, error))
            return NULL;
        if (!row)
            break;
        GbSquare *square = g_new0(GbSquare, 1);
        g_ptr_array_add(squares, square);
        if (!read_square(stmt, square)) {
            gb_log_senseless(log, "a test square", error);
            return NULL;
        }
        if (!gb_shot_list_read(log, "SELECT shot FROM test_square_shot WHERE square = :of ORDER BY shot", square->id, &square->shots, error))
            return NULL;
    }
    return g_steal_pointer(&squares);
}

GbSquare *gb_squares_at(const GPtrArray *squares, gint64 place, guint number)
{
    for (guint i = 0; i < squares->len; i++) {
        GbSquare *square = squares->pdata[i];
        if (square->place == place && square->number == number)
            return square;
    }
    return NULL;
}

static gboolean write_shots(GbLog *log, gint64 id, const GArray *shots, GError **error)
{
    return gb_shot_list_write(log, "DELETE FROM test_square_shot WHERE square = :of",
                              "INSERT INTO test_square_shot (square, shot) VALUES (:of, :shot)", id, shots, error);
}

gboolean gb_square_store(GbLog *log, GbSquare *square, GError **error)
{
    g_autoptr(sqlite3_stmt) stmt = gb_log_prepare(log, square->id == 0
        ? "INSERT INTO test_square (id, place, number, size, width_in, height_in, hits, not_drawn, note, who, at_utc_s)"
          " VALUES (:id, :place, :number, :size, :width, :height, :hits, :not_drawn, :note, :who, :at)"
        : "UPDATE test_square SET place = :place, number = :number, size = :size, width_in = :width, height_in = :height, hits = :hits,"
          " not_drawn = :not_drawn, note = :note, who = :who, at_utc_s = :at WHERE id = :id", error);
    if (stmt == NULL)
        return FALSE;
    gb_bind_null_or_int(stmt, ":id", square->id != 0, square->id);
    gb_bind_int(stmt, ":place", square->place);
    gb_bind_int(stmt, ":number", square->number);
    gb_bind_text(stmt, ":size", square->size);
    gb_bind_double(stmt, ":width", square->width_in);
    gb_bind_double(stmt, ":height", square->height_in);
    gb_bind_null_or_int(stmt, ":hits", square->not_drawn == NULL, square->hits);
    gb_bind_text(stmt, ":not_drawn", square->not_drawn);
    gb_bind_text(stmt, ":note", square->note);
    gb_bind_text(stmt, ":who", gb_log_who(log));
    gb_bind_int(stmt, ":at", g_get_real_time() / G_USEC_PER_SEC);
    if (!gb_log_finish(log, stmt, error))
        return FALSE;
    if (square->id == 0)
        square->id = sqlite3_last_insert_rowid(gb_log_db(log));
    return write_shots(log, square->id, square->shots, error);
}

gboolean gb_square_remove(GbLog *log, gint64 id, GError **error)
{
    g_autoptr(sqlite3_stmt) stmt = gb_log_prepare(log, "DELETE FROM test_square WHERE id = :id", error);
    if (stmt == NULL || !write_shots(log, id, NULL, error))
        return FALSE;
    gb_bind_int(stmt, ":id", id);
    return gb_log_finish(log, stmt, error);
}

/* --- the threshold --- */

void gb_threshold_free(GbThreshold *threshold)
{
    if (threshold == NULL)
        return;
    g_free(threshold->source);
    g_free(threshold->who);
    g_free(threshold);
}

gboolean gb_threshold_load(GbLog *log, GbThreshold **threshold, GError **error)
{
    gboolean row;
    g_autoptr(sqlite3_stmt) stmt = gb_log_prepare(log, "SELECT hits, source, who FROM square_threshold WHERE id = 1", error);
    *threshold = NULL;
    if (stmt == NULL || !gb_log_step(log, stmt, &row, error))
        return FALSE;
    if (!row)
        return TRUE;
    g_autoptr(GbThreshold) found = g_new0(GbThreshold, 1);
    found->hits = (guint)CLAMP(sqlite3_column_int64(stmt, 0), 0, G_MAXINT);
    found->source = gb_column_text(stmt, 1);
    found->who = gb_column_text(stmt, 2);
    if (found->source == NULL || found->who == NULL) {
        gb_log_senseless(log, "a threshold", error);
        return FALSE;
    }
    *threshold = g_steal_pointer(&found);
    return TRUE;
}

gboolean gb_threshold_store(GbLog *log, guint hits, const char *source, GError **error)
{
    g_autoptr(sqlite3_stmt) stmt = gb_log_prepare(log, hits == 0 ? "DELETE FROM square_threshold"
        : "INSERT INTO square_threshold (id, hits, source, who) VALUES (1, :hits, :source, :who)"
          " ON CONFLICT (id) DO UPDATE SET hits = excluded.hits, source = excluded.source, who = excluded.who", error);
    if (stmt == NULL)
        return FALSE;
    if (hits > 0) {
        gb_bind_int(stmt, ":hits", hits);
        gb_bind_text(stmt, ":source", source);
        gb_bind_text(stmt, ":who", gb_log_who(log));
    }
    return gb_log_finish(log, stmt, error);
}
