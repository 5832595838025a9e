/* shot_list.c -- which photos prove a thing: tables of two columns, read and written alike. See log-private.h.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "log-private.h"

gboolean gb_shot_list_read(GbLog *log, const char *sql, gint64 of, GArray **shots, GError **error)
{
    g_autoptr(sqlite3_stmt) stmt = gb_log_prepare(log, sql, error);
    *shots = g_array_new(FALSE, FALSE, sizeof(gint64));
    if (stmt == NULL)
        return FALSE;
    gb_bind_int(stmt, ":of", of);
    for (gboolean row = TRUE; row;) {
        if (!gb_log_step(log, stmt, &row, error))
            return FALSE;
        gint64 number = row ? sqlite3_column_int64(stmt, 0) : 0;
        if (row)
            g_array_append_val(*shots, number);
    }
    return TRUE;
}

gboolean gb_shot_list_write(GbLog *log, const char *delete_sql, const char *insert_sql, gint64 of, const GArray *shots, GError **error)
{
    g_autoptr(sqlite3_stmt) out = gb_log_prepare(log, delete_sql, error);
    g_autoptr(sqlite3_stmt) in = out == NULL ? NULL : gb_log_prepare(log, insert_sql, error);
    if (in == NULL)
        return FALSE;
    gb_bind_int(out, ":of", of);
    if (!gb_log_finish(log, out, error))
        return FALSE;
    for (guint i = 0; shots != NULL && i < shots->len; i++) {
        gb_bind_int(in, ":of", of);
        gb_bind_int(in, ":shot", g_array_index(shots, gint64, i));
        if (!gb_log_finish(log, in, error))
            return FALSE;
    }
    return TRUE;
}
