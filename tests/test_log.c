/* test_log.c -- making and opening claim folders, also hostile ones.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "claim_support.h"

#include <gablebook/claim.h>
#include <gablebook/error.h>
#include <glib/gstdio.h>
#include <gablebook/file.h>
#include <gablebook/history.h>
#include <log/log-private.h>
#include <log/rows.h>
#include <sys/stat.h>
#include <sys/syscall.h>
#include <unistd.h>

static void a_new_claim_has_the_site_and_a_dwelling_with_its_walls_and_slopes(void **state)
{
    static const char *const labels[] = { "site", "dwelling", "front", "right", "rear", "left", "roof",
                                          "front slope", "right slope", "rear slope", "left slope" };
    g_autoptr(GError) error = NULL;
    g_autoptr(GbLog) log = new_claim(state);
    g_autoptr(GPtrArray) places = gb_places_load(log, &error);
    assert_no_error(error);
    assert_int_equal(places->len, G_N_ELEMENTS(labels));
    for (guint i = 0; i < places->len; i++)
        assert_string_equal(((GbPlace *)places->pdata[i])->label, labels[i]);
    g_autoptr(GbClaim) claim = gb_claim_load(log, &error);
    assert_null(claim->insured);
    assert_true(isnan(claim->front_azimuth_deg));
}

static void a_closed_claim_is_one_file_without_journals(void **state)
{
    g_autoptr(GError) error = NULL;
    GbLog *log = new_claim(state);
    GbChange *change = gb_change_begin(log, "test", &error);
    enter_photo(log, 1, 0);
    assert_true(gb_change_save(change, "x", &error));
    gb_change_free(change);
    gb_log_free(log);
    g_autofree char *path = claim_path(state);
    g_autoptr(GDir) dir = g_dir_open(path, 0, NULL);
    const char *name;
    while ((name = g_dir_read_name(dir)) != NULL)
        assert_true(g_str_equal(name, "claim.db") || g_str_equal(name, "originals") || g_str_equal(name, "cache") ||
                    g_str_equal(name, "reports"));
}

static void a_folder_that_holds_something_is_not_made_a_claim(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autofree char *file = g_build_filename(*state, "mine.txt", NULL);
    assert_true(gb_file_write(file, "x", 1, 0644, &error));
    assert_null(gb_log_create(*state, &error));
    assert_error(error, GB_ERROR_STATE, "not an empty folder");
    g_autoptr(GDir) dir = g_dir_open(*state, 0, NULL);
    assert_string_equal(g_dir_read_name(dir), "mine.txt");
    assert_null(g_dir_read_name(dir));
}

/* Of a program killed while it made one: test_survive.c kills it at every step. */
static void a_claim_that_was_begun_and_not_finished_is_made_and_what_has_photos_is_not(void **state)
{
    g_autoptr(GError) error = NULL;
    static const char *const entries[] = { "claim.db", "originals", "originals/mine.jpg" };
    for (gsize n = 1; n <= G_N_ELEMENTS(entries); n++) {
        g_autofree char *folder = g_strdup_printf("%s/%u", (char *)*state, (guint)n);
        assert_int_equal(g_mkdir(folder, 0755), 0);
        for (gsize i = 0; i < n; i++) {
            g_autofree char *path = g_build_filename(folder, entries[i], NULL);
            assert_true(i == 1 ? g_mkdir(path, 0755) == 0 : gb_file_write(path, "", 0, 0644, &error));
        }
        g_autoptr(GbLog) log = gb_log_create(folder, &error);
        if (n == 3)
            assert_error(error, GB_ERROR_STATE, "not an empty folder");
        else
            assert_no_error(error);
        assert_true((log != NULL) == (n < 3));
    }
}

static void an_empty_folder_becomes_a_claim_and_a_claim_inside_a_missing_one_does_not(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbLog) log = gb_log_create(*state, &error);
    assert_no_error(error);
    g_autofree char *deep = g_build_filename(*state, "no", "such", NULL);
    assert_null(gb_log_create(deep, &error));
    assert_error(error, GB_ERROR_IO, "can't be made");
}

static void what_is_no_claim_is_refused_with_its_reason(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autofree char *none = g_build_filename(*state, "none", NULL);
    assert_null(gb_log_open(none, GB_LOG_READ, &error));
    assert_error(error, GB_ERROR_IO, "no such folder");
    assert_null(gb_log_open(*state, GB_LOG_READ, &error));
    assert_error(error, GB_ERROR_FOREIGN, "holds no claim.db");
    g_autofree char *db = g_build_filename(*state, "claim.db", NULL);
    assert_true(gb_file_write(db, "", 0, 0644, &error));
    assert_null(gb_log_open(*state, GB_LOG_READ, &error));
    assert_error(error, GB_ERROR_FOREIGN, "begun here and not finished; run the same gablebook new again");
    g_autofree char *text = g_strnfill(5000, 'x');
    assert_true(gb_file_write(db, text, 5000, 0644, &error));
    assert_null(gb_log_open(*state, GB_LOG_READ, &error));
    assert_error(error, GB_ERROR_DAMAGED, "not a claim's database");
}

static void another_programs_database_and_a_newer_claim_are_refused(void **state)
{
    g_autoptr(GError) error = NULL;
    gb_log_free(new_claim(state));
    g_autofree char *path = claim_path(state);
    sqlite3 *db = raw_connection(state);
    raw_exec(db, "PRAGMA user_version = 9999");
    assert_null(gb_log_open(path, GB_LOG_WRITE, &error));
    assert_error(error, GB_ERROR_VERSION, "newer gablebook (format 9999");
    raw_exec(db, "PRAGMA user_version = 1; PRAGMA application_id = 7");
    assert_null(gb_log_open(path, GB_LOG_WRITE, &error));
    assert_error(error, GB_ERROR_FOREIGN, "not a claim's database");
    sqlite3_close(db);
}

static void a_damaged_database_is_named_and_never_crashes(void **state)
{
    g_autoptr(GError) error = NULL;
    gb_log_free(new_claim(state));
    g_autofree char *path = claim_path(state);
    g_autofree char *file = g_build_filename(path, "claim.db", NULL);
    g_autofree char *whole = NULL;
    gsize n;
    assert_true(g_file_get_contents(file, &whole, &n, NULL));
    guint refused = 0;
    for (gsize cut = 100; cut < n; cut += 1500) {
        assert_true(gb_file_write(file, whole, cut, 0644, &error));
        g_autoptr(GbLog) log = gb_log_open(path, GB_LOG_READ, &error);
        refused += log == NULL;
        g_clear_error(&error);
    }
    assert_true(refused > 5);
    for (gsize at = 0; at < n; at += 97) { /* a byte changed: refused, or opened and read without a crash */
        g_autofree char *bent = g_memdup2(whole, n);
        bent[at] = (char)(bent[at] ^ 0x5a);
        assert_true(gb_file_write(file, bent, n, 0644, &error));
        g_autoptr(GbLog) log = gb_log_open(path, GB_LOG_READ, NULL);
        g_autoptr(GPtrArray) places = log == NULL ? NULL : gb_places_load(log, NULL);
        g_autoptr(GPtrArray) shots = log == NULL ? NULL : gb_shots_load(log, NULL);
        g_autoptr(GbClaim) claim = log == NULL ? NULL : gb_claim_load(log, NULL);
        (void)places, (void)shots, (void)claim;
    }
}

static void a_database_that_is_a_link_to_elsewhere_is_refused(void **state)
{
    g_autoptr(GError) error = NULL;
    gb_log_free(new_claim(state));
    g_autofree char *path = claim_path(state);
    g_autofree char *file = g_build_filename(path, "claim.db", NULL);
    g_autofree char *elsewhere = g_build_filename(*state, "elsewhere.db", NULL);
    assert_int_equal(rename(file, elsewhere), 0);
    assert_int_equal(symlink(elsewhere, file), 0);
    assert_null(gb_log_open(path, GB_LOG_WRITE, &error));
    assert_error(error, GB_ERROR_FOREIGN, "is no claim folder");
}

static void triggers_in_a_database_from_elsewhere_do_not_run(void **state)
{
    g_autoptr(GError) error = NULL;
    gb_log_free(new_claim(state));
    sqlite3 *db = raw_connection(state);
    raw_exec(db, "CREATE TRIGGER evil AFTER UPDATE ON claim BEGIN DELETE FROM place WHERE kind = 'roof'; END");
    g_autoptr(GbLog) log = open_claim(state);
    g_autoptr(GbChange) change = gb_change_begin(log, "edit", &error);
    g_autoptr(GbClaim) claim = gb_claim_load(log, &error);
    claim->insured = g_strdup("Ada Quill");
    assert_true(gb_claim_store(log, claim, &error));
    assert_true(gb_change_save(change, "insured", &error));
    g_autofree char *insured = raw_text(db, "SELECT insured FROM claim");
    g_autofree char *roofs = raw_text(db, "SELECT count(*) FROM place WHERE kind = 'roof'");
    assert_string_equal(insured, "Ada Quill");
    assert_string_equal(roofs, "1");
    sqlite3_close(db);
}

/* A view in place of a table could say anything; it is not read. */
static void a_view_in_place_of_a_table_is_not_read(void **state)
{
    gb_log_free(new_claim(state));
    sqlite3 *db = raw_connection(state);
    raw_exec(db, "ALTER TABLE waiver RENAME TO other; CREATE VIEW waiver AS SELECT key, why, who, at_utc_s FROM other");
    sqlite3_close(db);
    g_autoptr(GError) error = NULL;
    g_autoptr(GbLog) log = open_claim(state);
    assert_null(gb_waivers_load(log, &error));
    assert_non_null(error);
}

static void a_stored_name_that_leads_out_of_the_folder_is_refused(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbLog) log = new_claim(state);
    g_autoptr(GbChange) change = gb_change_begin(log, "import", &error);
    enter_photo(log, 1, 0);
    assert_true(gb_change_save(change, "x", &error));
    sqlite3 *db = raw_connection(state);
    raw_exec(db, "PRAGMA ignore_check_constraints = 1; UPDATE original SET stored_name = '../../etc/passwd'");
    sqlite3_close(db);
    assert_null(gb_shots_load(log, &error));
    assert_error(error, GB_ERROR_DAMAGED, "makes no sense");
}

/* The tables of a database that somebody bent need not have the schema's NOT NULL. */
static void rows_without_what_must_be_there_are_refused_not_believed(void **state)
{
    static const struct { const char *sql; gpointer (*load)(GbLog *log, GError **error); } cases[] = {
        { "DROP TABLE waiver; CREATE TABLE waiver (key, why, who, at_utc_s); INSERT INTO waiver (why, who) VALUES ('x', 'y')",
          (gpointer (*)(GbLog *, GError **))gb_waivers_load },
        { "DROP TABLE waiver; CREATE TABLE waiver (key, why, who, at_utc_s); INSERT INTO waiver (key, who) VALUES ('x', 'y')",
          (gpointer (*)(GbLog *, GError **))gb_waivers_load },
        { "DROP TABLE structure; CREATE TABLE structure (id INTEGER PRIMARY KEY, name, kind); INSERT INTO structure (name) VALUES ('dwelling')",
          (gpointer (*)(GbLog *, GError **))gb_structures_load },
        { "DROP TABLE history; CREATE TABLE history (id INTEGER PRIMARY KEY, verb, summary, state); INSERT INTO history (verb, state)"
          " VALUES ('edit', 'done'); INSERT INTO history_step (history, step, who, at_utc_s) VALUES (1, 'done', 'x', 0)",
          (gpointer (*)(GbLog *, GError **))gb_history_load },
        { "DROP TABLE history_step; CREATE TABLE history_step (id INTEGER PRIMARY KEY, history, step, who, at_utc_s); INSERT INTO history"
          " (verb, summary, state) VALUES ('edit', 'x', 'done'); INSERT INTO history_step (history, step) VALUES (1, 'done')",
          (gpointer (*)(GbLog *, GError **))gb_history_load },
    };
    for (gsize i = 0; i < G_N_ELEMENTS(cases); i++) {
        g_autoptr(GError) error = NULL;
        g_autofree char *path = claim_path(state);
        gb_log_free(new_claim(state));
        sqlite3 *db = raw_connection(state);
        raw_exec(db, cases[i].sql);
        sqlite3_close(db);
        g_autoptr(GbLog) log = open_claim(state);
        assert_null(cases[i].load(log, &error));
        assert_error(error, GB_ERROR_DAMAGED, "makes no sense");
        remove_tree(path);
    }
}

static void a_summary_that_is_not_there_is_no_next_step(void **state)
{
    g_autoptr(GError) error = NULL;
    gb_log_free(new_claim(state));
    sqlite3 *db = raw_connection(state);
    raw_exec(db, "DROP TABLE history; CREATE TABLE history (id INTEGER PRIMARY KEY, verb, summary, state); INSERT INTO history (verb, state)"
                 " VALUES ('edit', 'done')");
    sqlite3_close(db);
    g_autoptr(GbLog) log = open_claim(state);
    g_autofree char *summary = NULL;
    gint64 entry;
    assert_false(gb_history_next(log, FALSE, &entry, &summary, &error));
    assert_error(error, GB_ERROR_DAMAGED, "makes no sense");
    assert_false(gb_history_undo(log, &summary, &error));
    assert_error(error, GB_ERROR_DAMAGED, "makes no sense");
}

/* What fsync was called for, in the place of libc's, which does the work. */
static GPtrArray *synced;

int fsync(int fd)
{
    g_autofree char *link = g_strdup_printf("/proc/self/fd/%d", fd), *path = g_file_read_link(link, NULL);
    if (synced != NULL && path != NULL)
        g_ptr_array_add(synced, g_steal_pointer(&path));
    return (int)syscall(SYS_fsync, fd);
}

/* POSIX, fsync(): of a folder it makes the names in it durable, so a folder's own name is its parent's matter. */
static void the_name_of_a_new_claim_is_made_durable_in_the_folder_that_holds_it(void **state)
{
    g_autofree char *path = g_build_filename(*state, "claim", NULL);
    synced = g_ptr_array_new_with_free_func(g_free);
    GbLog *log = gb_log_create(path, NULL);
    g_autoptr(GPtrArray) seen = g_steal_pointer(&synced);
    assert_non_null(log);
    gb_log_free(log);
    assert_true(g_ptr_array_find_with_equal_func(seen, path, g_str_equal, NULL));
    assert_true(g_ptr_array_find_with_equal_func(seen, *state, g_str_equal, NULL));
}

static void a_log_opened_for_reading_writes_nothing(void **state)
{
    g_autoptr(GError) error = NULL;
    gb_log_free(new_claim(state));
    g_autofree char *path = claim_path(state);
    g_autoptr(GbLog) log = gb_log_open(path, GB_LOG_READ, &error);
    assert_no_error(error);
    g_autoptr(GbChange) change = gb_change_begin(log, "edit", &error);
    g_autoptr(GbClaim) claim = gb_claim_load(log, NULL);
    claim->insured = g_strdup("x");
    assert_false(change != NULL && gb_claim_store(log, claim, &error));
    assert_non_null(error);
}

static void what_is_read_between_freeze_and_thaw_is_one_state(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbLog) log = new_claim(state);
    assert_true(gb_log_freeze(log, &error));
    g_autoptr(GbClaim) before = gb_claim_load(log, &error);
    sqlite3 *db = raw_connection(state);
    assert_int_equal(sqlite3_exec(db, "UPDATE claim SET insured = 'late'", NULL, NULL, NULL), SQLITE_BUSY);
    gb_log_thaw(log);
    raw_exec(db, "UPDATE claim SET insured = 'late'");
    sqlite3_close(db);
    g_autoptr(GbClaim) after = gb_claim_load(log, &error);
    assert_null(before->insured);
    assert_string_equal(after->insured, "late");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        test_in_folder(a_new_claim_has_the_site_and_a_dwelling_with_its_walls_and_slopes),
        test_in_folder(a_closed_claim_is_one_file_without_journals),
        test_in_folder(a_folder_that_holds_something_is_not_made_a_claim),
        test_in_folder(a_claim_that_was_begun_and_not_finished_is_made_and_what_has_photos_is_not),
        test_in_folder(an_empty_folder_becomes_a_claim_and_a_claim_inside_a_missing_one_does_not),
        test_in_folder(what_is_no_claim_is_refused_with_its_reason),
        test_in_folder(another_programs_database_and_a_newer_claim_are_refused),
        test_in_folder(a_damaged_database_is_named_and_never_crashes),
        test_in_folder(a_database_that_is_a_link_to_elsewhere_is_refused),
        test_in_folder(triggers_in_a_database_from_elsewhere_do_not_run),
        test_in_folder(a_view_in_place_of_a_table_is_not_read),
        test_in_folder(a_stored_name_that_leads_out_of_the_folder_is_refused),
        test_in_folder(rows_without_what_must_be_there_are_refused_not_believed),
        test_in_folder(a_summary_that_is_not_there_is_no_next_step),
        test_in_folder(the_name_of_a_new_claim_is_made_durable_in_the_folder_that_holds_it),
        test_in_folder(a_log_opened_for_reading_writes_nothing),
        test_in_folder(what_is_read_between_freeze_and_thaw_is_one_state),
    };
    return cmocka_run_group_tests_name("log", tests, NULL, NULL);
}
