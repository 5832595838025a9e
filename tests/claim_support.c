/* claim_support.c -- see claim_support.h.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "claim_support.h"

#include <gablebook/history.h>
#include <log/rows.h>

char *claim_path(void **state)
{
    return g_build_filename(*state, "claim", NULL);
}

GbLog *new_claim(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autofree char *path = claim_path(state);
    GbLog *log = gb_log_create(path, &error);
    assert_no_error(error);
    return log;
}

GbLog *open_claim(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autofree char *path = claim_path(state);
    GbLog *log = gb_log_open(path, GB_LOG_WRITE, &error);
    assert_no_error(error);
    return log;
}

gint64 enter_file(GbLog *log, guint i, const char *name, const GbExif *exif, const GbQuality *quality)
{
    g_autoptr(GError) error = NULL;
    g_autofree char *sha256 = g_strdup_printf("%064x", i);
    GbShot shot = { .sha256 = sha256, .source_name = (char *)name, .stored_name = (char *)name, .bytes = 1000, .width = 40, .height = 30,
                    .exif = *exif, .measured = quality != NULL };
    gint64 number = 0;
    if (quality != NULL)
        shot.quality = *quality;
    gboolean ok = gb_original_add(log, &shot, 1700000000, &number, &error) && gb_shot_enter(log, number, &error);
    shot.number = number;
    ok = ok && (quality == NULL || gb_surveys_add(log, (GbShot *[]){ &shot }, 1, &error));
    assert_no_error(error);
    assert_true(ok);
    return number;
}

gint64 enter_photo(GbLog *log, guint i, double taken_local_s)
{
    g_autofree char *name = g_strdup_printf("IMG_%04u.JPG", i);
    GbExif exif;
    gb_exif_init(&exif);
    exif.taken_local_s = taken_local_s;
    return enter_file(log, i, name, &exif, NULL);
}

void enter_photos(GbLog *log, guint n)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbChange) change = gb_change_begin(log, "import", &error);
    assert_no_error(error);
    for (guint i = 1; i <= n; i++)
        enter_photo(log, i, 1778770000.0 + i);
    assert_true(gb_change_save(change, "some photos", &error));
}

guint history_length(GbLog *log)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GPtrArray) entries = gb_history_load(log, &error);
    assert_no_error(error);
    return entries->len;
}

char *last_summary(GbLog *log)
{
    g_autoptr(GPtrArray) entries = gb_history_load(log, NULL);
    assert_non_null(entries);
    return g_strdup(entries->len == 0 ? "" : ((const GbHistoryEntry *)entries->pdata[entries->len - 1])->summary);
}

void assert_undo_brings_back(void **state, GbLog *log, const char *before)
{
    g_autoptr(GError) error = NULL;
    gb_history_undo(log, NULL, &error);
    assert_no_error(error);
    g_autofree char *after = dump_work(state);
    assert_string_equal(after, before);
}

sqlite3 *raw_connection(void **state)
{
    g_autofree char *folder = claim_path(state);
    g_autofree char *path = g_build_filename(folder, "claim.db", NULL);
    sqlite3 *db = NULL;
    assert_int_equal(sqlite3_open(path, &db), SQLITE_OK);
    return db;
}

void raw_exec(sqlite3 *db, const char *sql)
{
    char *message = NULL;
    if (sqlite3_exec(db, sql, NULL, NULL, &message) != SQLITE_OK)
        fail_msg("%s: %s", sql, message);
}

char *raw_text(sqlite3 *db, const char *sql)
{
    sqlite3_stmt *stmt = NULL;
    assert_int_equal(sqlite3_prepare_v2(db, sql, -1, &stmt, NULL), SQLITE_OK);
    char *text = sqlite3_step(stmt) == SQLITE_ROW ? g_strdup((const char *)sqlite3_column_text(stmt, 0)) : NULL;
    sqlite3_finalize(stmt);
    return text;
}

static int add_row(void *user, int n, char **values, char **names)
{
    for (int i = 0; i < n; i++)
        g_string_append_printf(user, "%s=%s|", names[i], values[i] ? values[i] : "NULL");
    g_string_append_c(user, '\n');
    return 0;
}

char *dump_work(void **state)
{
    static const char *const tables[] = { "claim", "structure", "place", "shot", "waiver", "clock_word", "clock_pair", "fact", "fact_shot",
                                         "test_square", "test_square_shot", "square_threshold", "note", "roof_entry", "roof_given", "roof_setting",
                                         "finding", "finding_shot", "mark", "attached" };
    sqlite3 *db = raw_connection(state);
    GString *dump = g_string_new(NULL);
    for (gsize i = 0; i < G_N_ELEMENTS(tables); i++) {
        g_autofree char *sql = g_strdup_printf("SELECT t.*, 0 FROM %s t ORDER BY 1, 2", tables[i]); /* 0: a table may have one column */
        g_string_append_printf(dump, "%s\n", tables[i]);
        assert_int_equal(sqlite3_exec(db, sql, add_row, dump, NULL), SQLITE_OK);
    }
    sqlite3_close(db);
    return g_string_free(dump, FALSE);
}
