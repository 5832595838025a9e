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

static int version_of(sqlite3 *db)
{
    g_autoptr(sqlite3_stmt) stmt = NULL;
    gboolean ok = sqlite3_prepare_v2(db, "PRAGMA user_version", -1, &stmt, NULL) == SQLITE_OK && sqlite3_step(stmt) == SQLITE_ROW;
    return ok ? sqlite3_column_int(stmt, 0) : -1;
}

static gboolean run_script(sqlite3 *db, int version, const char *script, GError **error)
{
    g_autofree char *sql = g_strdup_printf("%s\n;PRAGMA user_version = %d", script, version);
    if (sqlite3_exec(db, sql, NULL, NULL, NULL) == SQLITE_OK)
        return TRUE;
    g_set_error(error, GB_ERROR, GB_ERROR_DAMAGED, "can't be brought from format %d to %d: %s; it stays at %d", version - 1,
                version, sqlite3_errmsg(db), version - 1);
    return FALSE;
}

static gboolean run(sqlite3 *db, const char *sql, int version, GError **error)
{
    if (sqlite3_exec(db, sql, NULL, NULL, NULL) == SQLITE_OK)
        return TRUE;
    g_set_error(error, GB_ERROR, GB_ERROR_IO, "can't be brought from format %d to %d: %s; it stays at %d", version - 1, version,
                sqlite3_errmsg(db), version - 1);
    return FALSE;
}

/* The version is set in the same transaction: a database is at one version or at the next, never between. Another program may have
 * been quicker: which version it is, is asked when nobody else can write any more. */
static gboolean step(sqlite3 *db, int version, const char *script, const GbMigrateEnd *end, GError **error)
{
    if (!run(db, "BEGIN IMMEDIATE", version, error))
        return FALSE;
    gboolean done_by_another = version_of(db) >= version;
    if ((done_by_another || (run_script(db, version, script, error) && (end == NULL || end->function(end->user, error)))) &&
        run(db, "COMMIT", version, error))
        return TRUE;
    sqlite3_exec(db, "ROLLBACK", NULL, NULL, NULL);
    return FALSE;
}

gboolean gb_migrate(sqlite3 *db, int from, int to, char *(*script)(int version, GError **error), const GbMigrateEnd *end, GError **error)
{
    for (int version = from + 1; version <= to; version++) {
        g_autofree char *sql = script(version, error);
        if (sql == NULL || !step(db, version, sql, version == to ? end : NULL, error))
            return FALSE;
    }
    return TRUE;
}
