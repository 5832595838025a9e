/* migrate.c -- bringing the database of an older gablebook forward.
 *
 * Whoever raises GB_SCHEMA_VERSION adds src/log/migrate-N.sql, which makes version N of N-1, and tests/claims/vN.sql, a
 * claim of the new version as text.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "log-private.h"

#include <gablebook/builtin.h>
#include <gablebook/error.h>

char *gb_migrate_builtin(int version, GError **error)
{
    g_autofree char *path = g_strdup_printf("src/log/migrate-%d.sql", version);
    return gb_builtin_text(path, error);
}

/* Whether the database is at that version by now, or further: another program may have opened it at the same moment. */
static gboolean is_there(sqlite3 *db, int version)
{
    g_autoptr(sqlite3_stmt) stmt = NULL;
    return sqlite3_prepare_v2(db, "PRAGMA user_version", -1, &stmt, NULL) == SQLITE_OK && sqlite3_step(stmt) == SQLITE_ROW &&
           sqlite3_column_int(stmt, 0) >= version;
}

/* The version is set in the same transaction: a database is at one version or at the next, never between. */
static gboolean step(sqlite3 *db, int version, const char *script, GError **error)
{
    g_autofree char *sql = g_strdup_printf("%s\n;PRAGMA user_version = %d", script, version);
    if (sqlite3_exec(db, "BEGIN IMMEDIATE", NULL, NULL, NULL) == SQLITE_OK &&
        (is_there(db, version) || sqlite3_exec(db, sql, NULL, NULL, NULL) == SQLITE_OK) && sqlite3_exec(db, "COMMIT", NULL, NULL, NULL) == SQLITE_OK)
        return TRUE;
    g_set_error(error, GB_ERROR, GB_ERROR_DAMAGED, "can't be brought from format %d to %d: %s; it stays at %d", version - 1,
                version, sqlite3_errmsg(db), version - 1);
    sqlite3_exec(db, "ROLLBACK", NULL, NULL, NULL);
    return FALSE;
}

gboolean gb_migrate(sqlite3 *db, int from, int to, char *(*script)(int version, GError **error), GError **error)
{
    for (int version = from + 1; version <= to; version++) {
        g_autofree char *sql = script(version, error);
        if (sql == NULL || !step(db, version, sql, error))
            return FALSE;
    }
    return TRUE;
}
