/* test_migrate.c -- bringing claims of older versions forward: the steps themselves, and one claim of every version there was.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "claim_support.h"

#include <gablebook/dossier.h>
#include <gablebook/error.h>
#include <gablebook/history.h>
#include <glib/gstdio.h>
#include <log/log-private.h>

/* --- the steps --- */

static sqlite3 *version_1(void)
{
    sqlite3 *db = NULL;
    assert_int_equal(sqlite3_open(":memory:", &db), SQLITE_OK);
    raw_exec(db, "CREATE TABLE t (a); INSERT INTO t VALUES (1); PRAGMA user_version = 1");
    return db;
}

static void assert_text(sqlite3 *db, const char *sql, const char *wanted)
{
    g_autofree char *seen = raw_text(db, sql);
    assert_string_equal(seen, wanted);
}

static char *good(int version, GError **error)
{
    (void)error;
    return g_strdup_printf("ALTER TABLE t ADD COLUMN v%d; UPDATE t SET v%d = %d -- and a remark at the end", version, version, version);
}

/* The step to 3 fails half way. */
static char *bad_at_3(int version, GError **error)
{
    return version == 3 ? g_strdup("ALTER TABLE t ADD COLUMN v3; INSERT INTO t VALUES (7, 7, 7); UPDATE nowhere SET x = 1") : good(version, error);
}

static char *none_at_3(int version, GError **error)
{
    if (version < 3)
        return good(version, error);
    g_set_error(error, GB_ERROR, GB_ERROR_IO, "there is no step to %d", version);
    return NULL;
}

static void steps_run_one_by_one_and_set_the_version(void **state)
{
    (void)state;
    g_autoptr(GError) error = NULL;
    sqlite3 *db = version_1();
    assert_true(gb_migrate(db, 1, 4, good, NULL, &error));
    assert_text(db, "SELECT a || v2 || v3 || v4 FROM t", "1234");
    assert_text(db, "PRAGMA user_version", "4");
    assert_true(gb_migrate(db, 4, 4, bad_at_3, NULL, &error)); /* nothing to do */
    assert_true(sqlite3_get_autocommit(db));
    sqlite3_close(db);
}

static void a_step_that_fails_leaves_the_version_and_content_before_it(void **state)
{
    (void)state;
    g_autoptr(GError) error = NULL;
    sqlite3 *db = version_1();
    assert_false(gb_migrate(db, 1, 4, bad_at_3, NULL, &error));
    assert_error(error, GB_ERROR_DAMAGED, "can't be brought from format 2 to 3: no such table: nowhere; it stays at 2");
    assert_text(db, "PRAGMA user_version", "2");
    assert_text(db, "SELECT count(*) FROM t", "1");
    assert_text(db, "SELECT group_concat(name) FROM pragma_table_info('t')", "a,v2");
    assert_true(sqlite3_get_autocommit(db)); /* no transaction is left open */
    assert_true(gb_migrate(db, 2, 4, good, NULL, &error));
    sqlite3_close(db);
}

/* Two programs open an old claim at once: the second one found the old version, and waited for the first. */
static void what_another_program_brought_forward_meanwhile_is_left_as_it_is(void **state)
{
    (void)state;
    g_autoptr(GError) error = NULL;
    sqlite3 *db = version_1();
    assert_true(gb_migrate(db, 1, 3, good, NULL, &error));
    assert_true(gb_migrate(db, 1, 4, good, NULL, &error));
    assert_no_error(error);
    assert_text(db, "SELECT a || v2 || v3 || v4 FROM t", "1234");
    assert_text(db, "PRAGMA user_version", "4");
    assert_true(sqlite3_get_autocommit(db));
    sqlite3_close(db);
}

static void a_step_that_is_not_there_stops_before_it(void **state)
{
    (void)state;
    g_autoptr(GError) error = NULL;
    sqlite3 *db = version_1();
    assert_false(gb_migrate(db, 1, 4, none_at_3, NULL, &error));
    assert_error(error, GB_ERROR_IO, "there is no step to 3");
    assert_text(db, "PRAGMA user_version", "2");
    sqlite3_close(db);
}

/* Two programs open an old claim at once: the slower one asked for the version before the other's steps. */
static void steps_that_another_program_made_meanwhile_are_not_made_again(void **state)
{
    (void)state;
    g_autoptr(GError) error = NULL;
    sqlite3 *db = version_1();
    assert_true(gb_migrate(db, 1, 3, good, NULL, &error));
    assert_true(gb_migrate(db, 1, 4, good, NULL, &error));
    assert_no_error(error);
    assert_text(db, "SELECT a || v2 || v3 || v4 FROM t", "1234");
    sqlite3_close(db);
}

static gboolean mark_the_end(gpointer db, GError **error)
{
    (void)error;
    raw_exec(db, "UPDATE t SET a = a + 100");
    return TRUE;
}

static gboolean refuse_the_end(gpointer db, GError **error)
{
    mark_the_end(db, error);
    g_set_error(error, GB_ERROR, GB_ERROR_IO, "no end");
    return FALSE;
}

static void what_belongs_to_the_last_step_is_done_with_it_or_the_step_is_not(void **state)
{
    (void)state;
    g_autoptr(GError) error = NULL;
    sqlite3 *db = version_1();
    const GbMigrateEnd bad = { refuse_the_end, db }, end = { mark_the_end, db };
    assert_false(gb_migrate(db, 1, 3, good, &bad, &error));
    assert_error(error, GB_ERROR_IO, "no end");
    assert_text(db, "PRAGMA user_version", "2");
    assert_text(db, "SELECT a FROM t", "1");
    assert_true(gb_migrate(db, 2, 3, good, &end, &error));
    assert_text(db, "SELECT a FROM t", "101");
    sqlite3_close(db);
}

static void every_step_this_program_needs_is_built_in(void **state)
{
    (void)state;
    for (int version = 2; version <= GB_SCHEMA_VERSION; version++) {
        g_autoptr(GError) error = NULL;
        g_autofree char *script = gb_migrate_builtin(version, &error);
        assert_no_error(error);
        assert_non_null(script);
    }
    g_autoptr(GError) error = NULL;
    assert_null(gb_migrate_builtin(GB_SCHEMA_VERSION + 1, &error));
    assert_non_null(error);
}

/* --- a claim of every version --- */

/* Make FOLDER/claim out of tests/claims/vN.sql, in a folder like any claim's. */
static void restore(void **state, int version)
{
    g_autofree char *name = g_strdup_printf("tests/claims/v%d.sql", version), *sql_path = source_path(name);
    g_autofree char *folder = claim_path(state), *sql = slurp(sql_path);
    static const char *const folders[] = { "originals", "cache", "reports" };
    if (g_file_test(folder, G_FILE_TEST_EXISTS))
        remove_tree(folder);
    for (gsize i = 0; i < G_N_ELEMENTS(folders); i++) {
        g_autofree char *path = g_build_filename(folder, folders[i], NULL);
        assert_int_equal(g_mkdir_with_parents(path, 0700), 0);
    }
    sqlite3 *db = raw_connection(state);
    g_autofree char *head = g_strdup_printf("PRAGMA application_id = %d; PRAGMA user_version = %d", GB_APPLICATION_ID, version);
    raw_exec(db, sql);
    raw_exec(db, head);
    sqlite3_close(db);
}

static void for_every_version(void **state, void (*test)(void **state))
{
    for (int version = 1; version <= GB_SCHEMA_VERSION; version++) {
        restore(state, version);
        test(state);
    }
}

static void assert_caption(const GbDossier *dossier, gint64 number, const char *wanted)
{
    g_autofree char *caption = gb_shot_caption(gb_shots_by_number(dossier->shots, number), dossier->places, dossier->catalogue);
    assert_string_equal(caption, wanted);
}

static void read_right(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbLog) log = open_claim(state);
    g_autoptr(GbDossier) dossier = gb_dossier_load(log, &error);
    assert_no_error(error);
    assert_string_equal(dossier->claim->insured, "Ines O'Marlow");
    assert_string_equal(dossier->claim->number, "LK-20260514");
    assert_string_equal(dossier->claim->cause, "hail");
    assert_near(dossier->claim->front_azimuth_deg, 205, 0);
    assert_null(dossier->claim->adjuster);
    assert_int_equal(dossier->structures->len, 2);
    assert_int_equal(dossier->places->len, 19);
    assert_int_equal(dossier->shots->len, 3);
    const GbShot *first = dossier->shots->pdata[0];
    assert_int_equal(first->number, 1);
    assert_string_equal(first->exif.model, "LF-7");
    assert_near(first->exif.taken_local_s, 1778770928.25, 1e-6);
    assert_int_equal(first->exif.offset_min, -300);
    assert_near(first->exif.lon_deg, -97.25, 1e-9);
    assert_int_equal(first->exif.heading_ref, 'T');
    assert_near(first->value_number, 9, 0);
    assert_caption(dossier, 2, "Lap siding, \"4 in\" <showing>");
    assert_caption(dossier, 3, "Front elevation, overview");
    assert_true(gb_shots_by_number(dossier->shots, 3)->left_out);
    assert_true(isnan(gb_shots_by_number(dossier->shots, 3)->exif.taken_local_s));
    const GbCheckLine *line = gb_check_find(dossier->check, "test square left slope", &error);
    assert_int_equal(line->state, GB_CHECK_WAIVED);
    assert_string_equal(line->waived_why, "Slate, too steep to walk");
    assert_string_equal(line->waived_who, "Ada Quill");
}

/* Photos that came in before their pixels were measured have no measures: not measures of nothing. */
static void photos_taken_in_before_version_2_are_not_measured(void **state)
{
    g_autoptr(GError) error = NULL;
    for (int version = 1; version <= GB_SCHEMA_VERSION; version++) {
        restore(state, version);
        g_autoptr(GbLog) log = open_claim(state);
        g_autoptr(GPtrArray) shots = gb_shots_load(log, &error);
        assert_no_error(error);
        for (guint i = 0; i < shots->len; i++)
            assert_int_equal(((GbShot *)shots->pdata[i])->measured, version >= 2);
    }
}

/* Redo what is undone, undo everything, redo everything: the changesets of old versions still apply. */
static void go_back_and_forth(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbLog) log = open_claim(state);
    g_autofree char *start = dump_work(state), *summary = NULL;
    guint entries = history_length(log);
    assert_int_equal(entries, 8);
    assert_true(gb_history_redo(log, &summary, &error));
    assert_string_equal(summary, "tag: shot 3: caption written");
    g_autofree char *redone = dump_work(state);
    assert_non_null(strstr(redone, "taken back"));
    for (guint i = 0; i < entries; i++)
        if (!gb_history_undo(log, NULL, &error))
            fail_msg("undo %u: %s", i + 1, error->message);
    g_autoptr(GPtrArray) none = gb_shots_load(log, &error);
    g_autoptr(GPtrArray) places = gb_places_load(log, &error);
    assert_int_equal(none->len, 0);
    assert_int_equal(places->len, 11);
    assert_false(gb_history_undo(log, NULL, &error));
    assert_error(error, GB_ERROR_STATE, "nothing to undo");
    for (guint i = 0; i + 1 < entries; i++)
        if (!gb_history_redo(log, NULL, &error))
            fail_msg("redo %u: %s", i + 1, error->message);
    g_autofree char *again = dump_work(state);
    assert_string_equal(again, start);
    for (guint i = 1; i <= entries; i++) {
        g_autoptr(GPtrArray) values = gb_history_values(log, i, &error);
        assert_no_error(error);
        assert_true(values->len > 0);
    }
}

/* Every column of every table, and every index: "shot.number INTEGER 0 1 | ...". OWNED by the caller. */
static char *columns(void **state)
{
    sqlite3 *db = raw_connection(state);
    char *text = raw_text(db,
        "SELECT group_concat(line, char(10)) FROM (SELECT s.type || ' ' || s.name || '.' || ifnull(c.name, '') || ' ' ||"
        " ifnull(c.type, '') || ' ' || ifnull(c.\"notnull\", '') || ' ' || ifnull(c.pk, '') || ' ' || ifnull(c.dflt_value, '') AS line"
        " FROM sqlite_schema s LEFT JOIN pragma_table_xinfo(s.name) c ORDER BY s.type, s.name, c.cid)");
    sqlite3_close(db);
    return text;
}

static void have_the_columns_of_a_new_claim(void **state)
{
    gb_log_free(open_claim(state));
    g_autofree char *opened = columns(state), *folder = claim_path(state);
    remove_tree(folder);
    gb_log_free(new_claim(state));
    g_autofree char *fresh = columns(state);
    assert_non_null(strstr(fresh, "shot.hand_order"));
    assert_string_equal(opened, fresh);
}

static void claims_of_every_version_read_right(void **state)
{
    for_every_version(state, read_right);
}

static void the_history_of_every_version_can_be_undone_and_redone(void **state)
{
    for_every_version(state, go_back_and_forth);
}

static void claims_of_every_version_get_the_columns_of_a_new_one(void **state)
{
    for_every_version(state, have_the_columns_of_a_new_claim);
}

static void a_claim_of_a_newer_version_is_refused_unchanged(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autofree char *folder = claim_path(state), *file = g_build_filename(folder, "claim.db", NULL), *before = NULL, *after = NULL;
    gsize n_before, n_after;
    restore(state, GB_SCHEMA_VERSION);
    sqlite3 *db = raw_connection(state);
    g_autofree char *head = g_strdup_printf("PRAGMA user_version = %d", GB_SCHEMA_VERSION + 1);
    raw_exec(db, head);
    sqlite3_close(db);
    assert_true(g_file_get_contents(file, &before, &n_before, NULL));
    assert_null(gb_log_open(folder, GB_LOG_WRITE, &error));
    assert_error(error, GB_ERROR_VERSION, "was written by a newer gablebook");
    assert_true(g_file_get_contents(file, &after, &n_after, NULL));
    assert_int_equal(n_after, n_before);
    assert_memory_equal(after, before, n_before);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(steps_run_one_by_one_and_set_the_version),
        cmocka_unit_test(a_step_that_fails_leaves_the_version_and_content_before_it),
        cmocka_unit_test(what_another_program_brought_forward_meanwhile_is_left_as_it_is),
        cmocka_unit_test(a_step_that_is_not_there_stops_before_it),
        cmocka_unit_test(steps_that_another_program_made_meanwhile_are_not_made_again),
        cmocka_unit_test(what_belongs_to_the_last_step_is_done_with_it_or_the_step_is_not),
        cmocka_unit_test(every_step_this_program_needs_is_built_in),
        test_in_folder(claims_of_every_version_read_right),
        test_in_folder(photos_taken_in_before_version_2_are_not_measured),
        test_in_folder(the_history_of_every_version_can_be_undone_and_redone),
        test_in_folder(claims_of_every_version_get_the_columns_of_a_new_one),
        test_in_folder(a_claim_of_a_newer_version_is_refused_unchanged),
    };
    return cmocka_run_group_tests_name("migrate", tests, NULL, NULL);
}
