/* test_decided.c -- what people said as JSON, and a change's condition: refused, it leaves nothing behind.
 *
 * What each kind of change compares is asked through the server in e2e/test_web.c; here is what that rests on.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "claim_support.h"

#include <gablebook/edit.h>
#include <gablebook/error.h>
#include <gablebook/history.h>
#include <gablebook/decided.h>
#include <gablebook/tag.h>

G_DEFINE_AUTOPTR_CLEANUP_FUNC(json_t, json_decref)

/* --- the condition --- */

static gboolean refuse(GbLog *log, gpointer user, GError **error)
{
    (void)log;
    ++*(guint *)user;
    g_set_error(error, GB_ERROR, GB_ERROR_STALE, "somebody was quicker; nothing was changed");
    return FALSE;
}

static gboolean allow(GbLog *log, gpointer user, GError **error)
{
    (void)error;
    g_autoptr(GPtrArray) shots = gb_shots_load(log, NULL); /* reading within the change's transaction */
    ++*(guint *)user;
    return shots != NULL;
}

static void a_change_whose_condition_fails_never_was(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbLog) log = new_claim(state);
    enter_photos(log, 2);
    assert_true(gb_tag(log, "1", &(GbTag){ .place = "rear" }, NULL, &error));
    g_autofree char *before = dump_work(state);
    guint asked = 0, length = history_length(log);
    gint64 version, after;
    assert_true(gb_history_version(log, &version, &error));
    gb_change_set_guard(log, refuse, &asked);
    assert_false(gb_tag(log, "1", &(GbTag){ .place = "left" }, NULL, &error));
    assert_error(error, GB_ERROR_STALE, "somebody was quicker");
    assert_false(gb_history_undo(log, NULL, &error));
    assert_error(error, GB_ERROR_STALE, "somebody was quicker");
    assert_int_equal(asked, 2);
    g_autofree char *now = dump_work(state);
    assert_string_equal(now, before);
    assert_int_equal(history_length(log), length);
    assert_true(gb_history_version(log, &after, &error));
    assert_int_equal(after, version);
    gb_change_set_guard(log, allow, &asked); /* and the log is free again */
    assert_true(gb_tag(log, "1", &(GbTag){ .place = "left" }, NULL, &error));
    gb_change_set_guard(log, NULL, NULL);
    assert_true(gb_history_undo(log, NULL, &error));
    assert_int_equal(asked, 3);
}

/* --- where the log stands --- */

static void every_change_undo_and_redo_moves_the_version_and_reading_does_not(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbLog) log = new_claim(state);
    enter_photos(log, 1);
    gint64 seen[4], same;
    assert_true(gb_history_version(log, &seen[0], &error));
    assert_true(gb_tag(log, "1", &(GbTag){ .place = "rear" }, NULL, &error));
    assert_true(gb_history_version(log, &seen[1], &error));
    assert_true(gb_history_undo(log, NULL, &error));
    assert_true(gb_history_version(log, &seen[2], &error));
    assert_true(gb_history_redo(log, NULL, &error));
    assert_true(gb_history_version(log, &seen[3], &error));
    for (int i = 1; i < 4; i++)
        assert_true(seen[i] > seen[i - 1]);
    g_autoptr(GPtrArray) shots = gb_shots_load(log, &error);
    assert_true(gb_tag(log, "1", &(GbTag){ .place = "rear" }, NULL, &error)); /* changes nothing */
    assert_true(gb_history_version(log, &same, &error));
    assert_int_equal(same, seen[3]);
}

static void what_comes_next_is_what_undo_and_redo_do(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbLog) log = new_claim(state);
    gint64 entry;
    char *summary;
    assert_true(gb_history_next(log, FALSE, &entry, &summary, &error));
    assert_int_equal(entry, 0);
    assert_null(summary);
    enter_photos(log, 1);
    assert_true(gb_history_next(log, FALSE, &entry, &summary, &error));
    assert_int_equal(entry, 1);
    assert_string_equal(summary, "import: some photos");
    g_free(summary);
    assert_true(gb_history_undo(log, NULL, &error));
    assert_true(gb_history_next(log, TRUE, &entry, &summary, &error));
    assert_int_equal(entry, 1);
    g_free(summary);
}

static void freezes_may_be_nested_and_end_with_the_last_thaw(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbLog) log = new_claim(state), other = open_claim(state);
    enter_photos(log, 1);
    gint64 first, second;
    assert_true(gb_log_freeze(other, &error));
    assert_true(gb_history_version(other, &first, &error));
    assert_true(gb_log_freeze(other, &error));
    gb_log_thaw(other);
    sqlite3 *db = raw_connection(state); /* a writer that does not wait: still held up */
    assert_int_equal(sqlite3_exec(db, "UPDATE claim SET insured = 'x'", NULL, NULL, NULL), SQLITE_BUSY);
    gb_log_thaw(other);
    gb_log_thaw(other); /* one too many does nothing */
    assert_int_equal(sqlite3_exec(db, "UPDATE claim SET insured = 'x'", NULL, NULL, NULL), SQLITE_OK);
    sqlite3_close(db);
    assert_true(gb_history_version(other, &second, &error));
    assert_int_equal(first, second); /* what has no entry in the history is no change */
}

/* --- what was seen --- */

static void what_is_unknown_may_be_absent_or_null(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbLog) log = new_claim(state);
    enter_photos(log, 1);
    g_autoptr(json_t) conflicts = json_array(), empty = json_pack("{s{}}", "1"), null = json_pack("{s{snsn}}", "1", "place", "left_out");
    assert_true(gb_decided_shots_still(log, empty, conflicts, &error));
    assert_true(gb_decided_shots_still(log, null, conflicts, &error));
    g_autoptr(json_t) other = json_pack("{s{sisb}s{}}", "1", "place", 4, "left_out", 1, "9");
    assert_false(gb_decided_shots_still(log, other, conflicts, &error));
    assert_error(error, GB_ERROR_STALE, "shot 1: place was changed meanwhile, and 2 things more; nothing was changed");
    assert_int_equal(json_array_size(conflicts), 3);
}

static void a_direction_is_the_same_when_it_comes_back_as_it_was_shown(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbLog) log = new_claim(state);
    assert_true(gb_edit(log, &(GbEdit){ .front_azimuth = "202.123456789" }, &error));
    g_autoptr(json_t) conflicts = json_array(), rounded = json_pack("{sf}", "front_azimuth_deg", 202.1234568), whole = json_pack("{si}", "front_azimuth_deg", 202);
    assert_true(gb_decided_claim_still(log, rounded, conflicts, &error));
    assert_false(gb_decided_claim_still(log, whole, conflicts, &error));
    assert_error(error, GB_ERROR_STALE, "the claim: front azimuth was changed meanwhile");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        test_in_folder(a_change_whose_condition_fails_never_was),
        test_in_folder(every_change_undo_and_redo_moves_the_version_and_reading_does_not),
        test_in_folder(what_comes_next_is_what_undo_and_redo_do),
        test_in_folder(freezes_may_be_nested_and_end_with_the_last_thaw),
        test_in_folder(what_is_unknown_may_be_absent_or_null),
        test_in_folder(a_direction_is_the_same_when_it_comes_back_as_it_was_shown),
    };
    return cmocka_run_group_tests_name("decided", tests, NULL, NULL);
}
