/* waiver.c -- rows of what was waived. See waiver.h and rows.h.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "log-private.h"
#include "rows.h"

static void free_waiver(gpointer data)
{
    GbWaiver *waiver = data;
    g_free(waiver->key);
    g_free(waiver->why);
    g_free(waiver->who);
    g_free(waiver);
}

GPtrArray *gb_waivers_load(GbLog *log, GError **error)
{
    g_autoptr(sqlite3_stmt) stmt = gb_log_prepare(log, "SELECT key, why, who, at_utc_s FROM waiver ORDER BY key", error);
    g_autoptr(GPtrArray) waivers = g_ptr_array_new_with_free_func(free_waiver);
    for (gboolean row = TRUE; row;) {
        if (stmt == NULL || !gb_log_step(log, stmt, &row, error))
            return NULL;
        if (row) {
            GbWaiver *waiver = g_new0(GbWaiver, 1);
            waiver->key = gb_column_text(stmt, 0);
            waiver->why = gb_column_text(stmt, 1);
            waiver->who = gb_column_text(stmt, 2);
            waiver->at_utc_s = sqlite3_column_int64(stmt, 3);
            g_ptr_array_add(waivers, waiver);
            if (waiver->key == NULL || waiver->why == NULL || waiver->who == NULL) {
                gb_log_senseless(log, "a waiver", error);
                return NULL;
            }
        }
    }
    return g_steal_pointer(&waivers);
}

gboolean gb_waiver_store(GbLog *log, const GbWaiver *waiver, GError **error)
{
    g_autoptr(sqlite3_stmt) stmt = gb_log_prepare(log,
        "INSERT INTO waiver (key, why, who, at_utc_s) VALUES (:key, :why, :who, :at)"
        " ON CONFLICT (key) DO UPDATE SET why = excluded.why, who = excluded.who, at_utc_s = excluded.at_utc_s", error);
    if (stmt == NULL)
        return FALSE;
    gb_bind_text(stmt, ":key", waiver->key);
    gb_bind_text(stmt, ":why", waiver->why);
    gb_bind_text(stmt, ":who", waiver->who);
    gb_bind_int(stmt, ":at", waiver->at_utc_s);
    return gb_log_finish(log, stmt, error);
}

gboolean gb_waiver_remove(GbLog *log, const char *key, GError **error)
{
    g_autoptr(sqlite3_stmt) stmt = gb_log_prepare(log, "DELETE FROM waiver WHERE key = :key", error);
    if (stmt == NULL)
        return FALSE;
    gb_bind_text(stmt, ":key", key);
    return gb_log_finish(log, stmt, error);
}
