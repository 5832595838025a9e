/* test_history.c -- changes, undo, redo: against a plain model of what they should be.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "claim_support.h"

#include <gablebook/error.h>
#include <gablebook/history.h>
#include <log/log-private.h>
#include <log/rows.h>

/* One change: give a shot a place and a caption. */
static void say(GbLog *log, gint64 number, gint64 place, const char *caption)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbChange) change = gb_change_begin(log, "tag", &error);
    const GbShot shot = { .number = number, .place = place, .caption = (char *)caption, .value_number = (double)NAN };
    assert_true(gb_shot_store(log, &shot, &error));
    assert_true(gb_change_save(change, "said", &error));
}

static void enter_some(GbLog *log, guint n)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbChange) change = gb_change_begin(log, "import", &error);
    for (guint i = 1; i <= n; i++)
        enter_photo(log, i, i);
    assert_true(gb_change_save(change, "some", &error));
}

static void a_change_is_one_entry_with_who_before_and_after(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbLog) log = new_claim(state);
    gb_log_set_who(log, "Ada Quill");
    enter_some(log, 2);
    say(log, 2, 3, "first");
    say(log, 2, 4, "second");
    g_autoptr(GPtrArray) entries = gb_history_load(log, &error);
    assert_int_equal(entries->len, 3);
    const GbHistoryEntry *last = entries->pdata[2];
    assert_string_equal(last->verb, "tag");
    assert_string_equal(last->who, "Ada Quill");
    assert_true(last->at_utc_s > 1700000000);
    g_autoptr(GPtrArray) values = gb_history_values(log, last->id, &error);
    assert_no_error(error);
    assert_int_equal(values->len, 2);
    const GbHistoryValue *caption = values->pdata[1];
    assert_string_equal(caption->table, "shot");
    assert_string_equal(caption->row, "2");
    assert_string_equal(caption->column, "caption");
    assert_string_equal(caption->before, "first");
    assert_string_equal(caption->after, "second");
    const GbHistoryValue *place = values->pdata[0];
    assert_string_equal(place->before, "front"); /* a place is named, not numbered */
    assert_string_equal(place->after, "right");
    assert_null(gb_history_values(log, 99, &error));
    assert_error(error, GB_ERROR_UNKNOWN, "no entry 99");
}

static void a_change_that_changes_nothing_leaves_no_entry(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbLog) log = new_claim(state);
    enter_some(log, 1);
    say(log, 1, 3, "x");
    say(log, 1, 3, "x");
    g_autoptr(GPtrArray) entries = gb_history_load(log, &error);
    assert_int_equal(entries->len, 2);
}

static void a_change_that_is_freed_without_save_never_was(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbLog) log = new_claim(state);
    g_autofree char *before = dump_work(state);
    GbChange *change = gb_change_begin(log, "import", &error);
    enter_photo(log, 1, 1);
    gb_change_free(change);
    g_autofree char *after = dump_work(state);
    assert_string_equal(before, after);
    enter_some(log, 1); /* and the log can be written again */
}

static void undoing_an_import_keeps_the_originals_and_their_numbers(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autofree char *summary = NULL;
    g_autoptr(GbLog) log = new_claim(state);
    enter_some(log, 3);
    assert_true(gb_history_undo(log, &summary, &error));
    assert_string_equal(summary, "import: some");
    g_autoptr(GPtrArray) none = gb_shots_load(log, &error);
    assert_int_equal(none->len, 0);
    gint64 number;
    gboolean in_claim;
    g_autofree char *sha256 = g_strdup_printf("%064x", 2);
    g_autofree char *stored = NULL;
    assert_true(gb_original_find(log, sha256, &number, &in_claim, &stored, &error));
    assert_int_equal(number, 2);
    assert_false(in_claim);
    g_autoptr(GbChange) change = gb_change_begin(log, "import", &error);
    assert_int_equal(enter_photo(log, 4, 4), 4); /* 1 to 3 are never given out again */
}

static void there_is_nothing_to_undo_or_redo_in_a_new_claim(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autofree char *summary = NULL;
    g_autoptr(GbLog) log = new_claim(state);
    assert_false(gb_history_undo(log, &summary, &error));
    assert_error(error, GB_ERROR_STATE, "nothing to undo");
    assert_false(gb_history_redo(log, &summary, &error));
    assert_error(error, GB_ERROR_STATE, "nothing to redo");
}

static void a_new_change_ends_the_redo_and_the_record_keeps_both(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autofree char *first = NULL, *second = NULL;
    g_autoptr(GbLog) log = new_claim(state);
    enter_some(log, 1);
    say(log, 1, 3, "a");
    assert_true(gb_history_undo(log, &first, &error));
    say(log, 1, 4, "b");
    assert_false(gb_history_redo(log, &second, &error));
    assert_error(error, GB_ERROR_STATE, "nothing to redo");
    g_autoptr(GPtrArray) entries = gb_history_load(log, &error);
    assert_int_equal(entries->len, 3);
    const GbHistoryEntry *dropped = entries->pdata[1];
    assert_string_equal(dropped->state, "dropped");
    assert_int_equal(dropped->steps->len, 2);
}

static void several_saves_of_one_change_are_one_entry_and_one_undo(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autofree char *summary = NULL;
    g_autoptr(GbLog) log = new_claim(state);
    g_autofree char *before = dump_work(state);
    g_autoptr(GbChange) change = gb_change_begin(log, "import", &error);
    enter_photo(log, 1, 1);
    assert_true(gb_change_save(change, "1 photo", &error));
    assert_true(gb_change_more(change, &error));
    enter_photo(log, 2, 2);
    assert_true(gb_change_save(change, "2 photos", &error));
    g_autofree char *after = dump_work(state);
    assert_true(gb_history_undo(log, &summary, &error));
    assert_string_equal(summary, "import: 2 photos");
    g_autofree char *undone = dump_work(state);
    assert_string_equal(undone, before);
    g_free(g_steal_pointer(&summary));
    assert_true(gb_history_redo(log, &summary, &error));
    g_autofree char *redone = dump_work(state);
    assert_string_equal(redone, after);
}

/* Against a model: a list of whole states with a cursor. 300 random steps, the claim reopened now and then. */
static void random_changes_undos_and_redos_do_what_a_list_of_states_does(void **state)
{
    g_autoptr(GRand) random = g_rand_new_with_seed(20260514);
    g_autoptr(GbLog) log = new_claim(state);
    enter_some(log, 6);
    g_autoptr(GPtrArray) states = g_ptr_array_new_with_free_func(g_free);
    g_ptr_array_add(states, dump_work(state));
    guint at = 0; /* states[at] is now; undo goes down, redo up */
    for (int step = 0; step < 300; step++) {
        g_autoptr(GError) error = NULL;
        g_autofree char *summary = NULL;
        gint32 dice = g_rand_int_range(random, 0, 10);
        if (dice < 3 && at > 0) {
            assert_true(gb_history_undo(log, &summary, &error));
            at--;
        } else if (dice < 5) {
            gboolean can = at + 1 < states->len;
            assert_int_equal(gb_history_redo(log, &summary, &error), can);
            at += can;
        } else {
            g_autofree char *caption = g_strdup_printf("step %d", step);
            say(log, g_rand_int_range(random, 1, 7), g_rand_int_range(random, 0, 12), caption);
            g_ptr_array_set_size(states, (gint)at + 1);
            g_ptr_array_add(states, dump_work(state));
            at++;
        }
        g_autofree char *now = dump_work(state);
        assert_string_equal(now, states->pdata[at]);
        if (step % 25 == 0) {
            gb_log_free(log);
            log = open_claim(state);
        }
    }
}

/* A claim from elsewhere may carry a changeset that would rewrite the facts of the files. */
static void a_changeset_on_other_tables_is_not_applied(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autofree char *summary = NULL;
    g_autoptr(GbLog) log = new_claim(state);
    enter_some(log, 1);
    sqlite3 *db = gb_log_db(log);
    sqlite3_session *session = NULL;
    assert_int_equal(sqlite3session_create(db, "main", &session), SQLITE_OK);
    sqlite3session_attach(session, "original");
    raw_exec(db, "UPDATE original SET source_name = 'true.jpg'");
    int n;
    void *changeset;
    assert_int_equal(sqlite3session_changeset(session, &n, &changeset), SQLITE_OK);
    sqlite3session_delete(session);
    sqlite3_stmt *stmt = NULL;
    sqlite3_prepare_v2(db, "UPDATE history_part SET changeset = ?", -1, &stmt, NULL);
    sqlite3_bind_blob(stmt, 1, changeset, n, sqlite3_free);
    assert_int_equal(sqlite3_step(stmt), SQLITE_DONE);
    sqlite3_finalize(stmt);
    assert_false(gb_history_undo(log, &summary, &error));
    assert_error(error, GB_ERROR_STATE, "record is damaged");
    g_autofree char *name = raw_text(db, "SELECT source_name FROM original");
    assert_string_equal(name, "true.jpg");
}

static void a_changeset_of_rubbish_is_refused_and_changes_nothing(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autofree char *summary = NULL;
    g_autoptr(GbLog) log = new_claim(state);
    enter_some(log, 1);
    g_autofree char *before = dump_work(state);
    raw_exec(gb_log_db(log), "UPDATE history_part SET changeset = x'54ff00aabbccddeeff0011'");
    assert_false(gb_history_undo(log, &summary, &error));
    assert_error(error, GB_ERROR_STATE, "no longer fits");
    g_autofree char *after = dump_work(state);
    assert_string_equal(before, after);
}

/* Every cut and every single bent byte of a real changeset: refused or applied, but always an answer. */
static void a_bent_changeset_always_gets_an_answer(void **state)
{
    g_autoptr(GbLog) log = new_claim(state);
    enter_some(log, 3);
    say(log, 2, 3, "words");
    sqlite3 *db = gb_log_db(log);
    raw_exec(db, "CREATE TEMP TABLE kept AS SELECT changeset FROM main.history_part WHERE history = 2");
    g_autofree char *length = raw_text(db, "SELECT length(changeset) FROM kept");
    guint n = (guint)g_ascii_strtoull(length, NULL, 10);
    guint refused = 0;
    for (guint at = 0; at < n; at++)
        for (int way = 0; way < 3; way++) {
            g_autoptr(GError) error = NULL;
            g_autofree char *summary = NULL;
            g_autofree char *sql = g_strdup_printf(
                way == 0 ? "UPDATE main.history_part SET changeset = (SELECT substr(changeset, 1, %u) FROM kept) WHERE history = 2"
                : way == 1 ? "UPDATE main.history_part SET changeset = (SELECT CAST(substr(changeset, 1, %u) || x'ff' || substr(changeset,"
                             " %u) AS BLOB) FROM kept) WHERE history = 2"
                           : "UPDATE main.history_part SET changeset = (SELECT CAST(substr(changeset, 1, %u) || x'05' ||"
                             " substr(changeset, %u) AS BLOB) FROM kept) WHERE history = 2", at, at + 2);
            raw_exec(db, "SAVEPOINT bent");
            raw_exec(db, sql);
            g_autoptr(GPtrArray) values = gb_history_values(log, 2, &error);
            refused += values == NULL;
            raw_exec(db, "ROLLBACK TO bent; RELEASE bent");
        }
    assert_true(refused > n);
}

/* An update that does not say whose: SQLite 3.40 looks for the key behind a null pointer. */
static void a_changeset_of_an_update_without_its_key_is_refused(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbLog) log = new_claim(state);
    enter_some(log, 3);
    say(log, 2, 3, "words");
    sqlite3 *db = gb_log_db(log);
    g_autofree char *whole = raw_text(db, "SELECT hex(changeset) FROM history_part WHERE history = 2");
    g_autoptr(GString) bent = g_string_new(whole);
    assert_true(g_string_replace(bent, "1700010000000000000002", "170000", 0) == 1); /* update, direct, key 2 */
    g_autofree char *sql = g_strdup_printf("UPDATE history_part SET changeset = x'%s' WHERE history = 2", bent->str);
    raw_exec(db, sql);
    assert_false(gb_history_undo(log, NULL, &error));
    assert_error(error, GB_ERROR_STATE, "no longer fits");
    assert_null(gb_history_values(log, 2, &error));
    assert_non_null(error);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        test_in_folder(a_change_is_one_entry_with_who_before_and_after),
        test_in_folder(a_change_that_changes_nothing_leaves_no_entry),
        test_in_folder(a_change_that_is_freed_without_save_never_was),
        test_in_folder(undoing_an_import_keeps_the_originals_and_their_numbers),
        test_in_folder(there_is_nothing_to_undo_or_redo_in_a_new_claim),
        test_in_folder(a_new_change_ends_the_redo_and_the_record_keeps_both),
        test_in_folder(several_saves_of_one_change_are_one_entry_and_one_undo),
        test_in_folder(random_changes_undos_and_redos_do_what_a_list_of_states_does),
        test_in_folder(a_changeset_on_other_tables_is_not_applied),
        test_in_folder(a_changeset_of_rubbish_is_refused_and_changes_nothing),
        test_in_folder(a_bent_changeset_always_gets_an_answer),
        test_in_folder(a_changeset_of_an_update_without_its_key_is_refused),
    };
    return cmocka_run_group_tests_name("history", tests, NULL, NULL);
}
