/* fuzz_changeset.c -- an entry of a claim's history. What gb_changeset_is_sound lets pass, SQLite must be able to take: SQLite 3.40 never
 * returns from inverting some blobs, and that is what the look beforehand is for.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "fuzz.h"

#include <log/log-private.h>

static gboolean is_table(const char *name)
{
    return strcmp(name, "shot") == 0 || strcmp(name, "t") == 0;
}

static int skip_conflict(void *user, int kind, sqlite3_changeset_iter *at)
{
    (void)user, (void)kind, (void)at;
    return SQLITE_CHANGESET_OMIT;
}

static sqlite3 *db;

int LLVMFuzzerInitialize(int *argc, char ***argv)
{
    (void)argc, (void)argv;
    holds(sqlite3_open(":memory:", &db) == SQLITE_OK);
    holds(sqlite3_exec(db, "CREATE TABLE shot(id INTEGER PRIMARY KEY, place TEXT, note TEXT) STRICT;"
                           "CREATE TABLE t(a INTEGER, b TEXT, c REAL, d BLOB, PRIMARY KEY(a, b)) STRICT", NULL, NULL, NULL) == SQLITE_OK);
    return 0;
}

static void apply(const void *changeset, int n)
{
    holds(sqlite3_exec(db, "BEGIN", NULL, NULL, NULL) == SQLITE_OK);
    sqlite3changeset_apply(db, n, (void *)changeset, NULL, skip_conflict, NULL);
    holds(sqlite3_exec(db, "ROLLBACK", NULL, NULL, NULL) == SQLITE_OK);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t n)
{
    void *inverse = NULL;
    int inverse_n = 0;
    if (!gb_changeset_is_sound(data, n, is_table))
        return 0;
    apply(data, (int)n);
    if (sqlite3changeset_invert((int)n, data, &inverse_n, &inverse) == SQLITE_OK)
        apply(inverse, inverse_n);
    sqlite3_free(inverse);
    return 0;
}
