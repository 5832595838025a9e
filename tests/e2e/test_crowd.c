/* test_crowd.c -- several programs that write to one claim at once: every edit that was accepted is there, and every one is accepted.
 *
 * Eight processes edit through the library, each with the claim opened for itself, as eight sorting tables would. An edit carries its
 * process and number, so that it is found again in the log and in the history. The long form (make torture) makes 1,000 edits each.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "../survive_support.h"

#include <gablebook/fact.h>
#include <gablebook/note.h>
#include <gablebook/tag.h>
#include <sqlite3.h>
#include <sys/wait.h>
#include <unistd.h>

#define PROCESSES 8
#define EDITS 60
#define EDITS_TORTURE 1000
#define KINDS 4 /* of edits, in turn */

static guint edits(void)
{
    return is_torture() ? EDITS_TORTURE : EDITS;
}

/* Edit number i of process p: a caption of the process's own shot, a note, a fact that all say, a caption that all write. */
static gboolean edit(GbLog *log, guint p, guint i, GError **error)
{
    g_autofree char *words = g_strdup_printf("By %u, edit %u.", p, i), *own = g_strdup_printf("%u", p + 1);
    const char *storeys[] = { "1", "2", "3" };
    switch (i % KINDS) {
    case 0:
        return gb_tag(log, own, &(GbTag){ .caption = words }, NULL, error);
    case 1:
        return gb_note_add(log, "front", 0, words, GB_NOTE_KEEP, NULL, NULL, error);
    case 2:
        return gb_fact_say(log, "dwelling", "storeys", &(GbFactEdit){ .value = storeys[i % 3], .note = words }, NULL, error);
    default:
        return gb_tag(log, "9", &(GbTag){ .caption = words }, NULL, error);
    }
}

/* In a process of its own: no asserts of cmocka. */
static int edit_all(const char *claim, guint p)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbLog) log = gb_log_open(claim, GB_LOG_WRITE, &error);
    for (guint i = 0; log != NULL && i < edits(); i++)
        if (!edit(log, p, i, &error)) {
            g_printerr("process %u, edit %u: %s\n", p, i, error->message);
            return 1;
        }
    return log == NULL;
}

static void run_crowd(const char *claim)
{
    pid_t pids[PROCESSES];
    for (guint p = 0; p < PROCESSES; p++) {
        pids[p] = fork();
        assert_true(pids[p] >= 0);
        if (pids[p] == 0)
            _exit(edit_all(claim, p));
    }
    guint failed = 0;
    for (guint p = 0; p < PROCESSES; p++) {
        int status;
        assert_int_equal(waitpid(pids[p], &status, 0), pids[p]);
        failed += status != 0;
    }
    assert_int_equal(failed, 0);
}

/* The first column of all rows, OWNED by the caller. */
static GPtrArray *column(const char *claim, const char *sql)
{
    g_autofree char *path = g_build_filename(claim, "claim.db", NULL);
    GPtrArray *texts = g_ptr_array_new_with_free_func(g_free);
    sqlite3 *db = NULL;
    sqlite3_stmt *stmt = NULL;
    assert_int_equal(sqlite3_open_v2(path, &db, SQLITE_OPEN_READONLY, NULL), SQLITE_OK);
    assert_int_equal(sqlite3_prepare_v2(db, sql, -1, &stmt, NULL), SQLITE_OK);
    while (sqlite3_step(stmt) == SQLITE_ROW)
        g_ptr_array_add(texts, g_strdup((const char *)sqlite3_column_text(stmt, 0)));
    sqlite3_finalize(stmt);
    sqlite3_close(db);
    return texts;
}

/* Each once, those of one process in their order. every: only each so manieth edit, beginning with first, is looked for. */
static void assert_all_there(const GPtrArray *texts, guint first, guint every)
{
    guint next[PROCESSES], found = 0;
    for (guint p = 0; p < PROCESSES; p++)
        next[p] = first;
    for (guint t = 0; t < texts->len; t++) {
        guint p, i;
        const char *words = strstr(texts->pdata[t], "By ");
        if (words == NULL || sscanf(words, "By %u, edit %u.", &p, &i) != 2)
            continue;
        assert_true(p < PROCESSES);
        assert_int_equal(i, next[p]);
        next[p] += every;
        found++;
    }
    assert_int_equal(found, PROCESSES * edits() / every);
}

static void of_eight_programs_that_write_at_once_no_edit_is_lost_and_the_history_has_them_all(void **state)
{
    g_autofree char *claim = g_build_filename(*state, "c", NULL);
    make_card(*state, "card", 9, 64);
    assert_int_equal(run_line(*state, NULL, "new c", NULL, NULL), 0);
    assert_int_equal(run_line(*state, NULL, "import c card", NULL, NULL), 0);
    gint64 start = g_get_monotonic_time();
    run_crowd(claim);
    print_message("%u processes, %u edits each: %.1f s\n", PROCESSES, edits(), (double)(g_get_monotonic_time() - start) / 1e6);

    g_autoptr(GPtrArray) notes = column(claim, "SELECT text FROM note ORDER BY id");
    assert_all_there(notes, 1, KINDS);
    g_autoptr(GPtrArray) entries = column(claim, "SELECT summary FROM history ORDER BY id");
    assert_int_equal(entries->len, 1 + PROCESSES * edits());
    g_autoptr(GPtrArray) note_entries = column(claim, "SELECT summary FROM history WHERE verb = 'note' ORDER BY id");
    assert_all_there(note_entries, 1, KINDS);
    g_autoptr(GPtrArray) fact_entries = column(claim, "SELECT summary FROM history WHERE verb = 'fact' ORDER BY id");
    assert_all_there(fact_entries, 2, KINDS);
    g_autoptr(GPtrArray) tag_entries = column(claim, "SELECT count(*) FROM history WHERE verb = 'tag' GROUP BY summary ORDER BY summary");
    for (guint p = 0; p <= PROCESSES; p++) /* of each process's own shot, then of the one they share */
        assert_int_equal(atoi(tag_entries->pdata[p]), (p < PROCESSES ? 1 : PROCESSES) * edits() / KINDS);
    g_autoptr(GPtrArray) parts = column(claim, "SELECT count(*) FROM history_part");
    assert_int_equal(atoi(parts->pdata[0]), 1 + PROCESSES * edits());
    g_autoptr(GPtrArray) captions = column(claim, "SELECT caption FROM shot WHERE number <= 8 ORDER BY number");
    for (guint p = 0; p < PROCESSES; p++) {
        g_autofree char *last = g_strdup_printf("By %u, edit %u.", p, edits() - KINDS);
        assert_string_equal(captions->pdata[p], last);
    }
    assert_verified(*state, "after the crowd");
}

/* All taken back again, step by step: the history fits what it was made of, whoever came between. */
static void what_a_crowd_wrote_can_be_undone_to_the_beginning(void **state)
{
    g_autofree char *claim = g_build_filename(*state, "c", NULL);
    make_card(*state, "card", 9, 64);
    assert_int_equal(run_line(*state, NULL, "new c", NULL, NULL), 0);
    assert_int_equal(run_line(*state, NULL, "import c card", NULL, NULL), 0);
    g_autofree char *before = claim_text(*state, FALSE), *after = NULL;
    pid_t pids[PROCESSES];
    for (guint p = 0; p < PROCESSES; p++)
        if ((pids[p] = fork()) == 0) {
            g_autoptr(GbLog) log = gb_log_open(claim, GB_LOG_WRITE, NULL);
            gboolean ok = log != NULL;
            for (guint i = 0; ok && i < 2 * KINDS; i++)
                ok = edit(log, p, i, NULL);
            _exit(!ok);
        }
    for (guint p = 0; p < PROCESSES; p++) {
        int status = 1;
        assert_int_equal(waitpid(pids[p], &status, 0), pids[p]);
        assert_int_equal(status, 0);
    }
    for (guint i = 0; i < PROCESSES * 2 * KINDS; i++)
        assert_int_equal(run_line(*state, NULL, "undo c", NULL, NULL), 0);
    after = claim_text(*state, FALSE);
    assert_string_equal(after, before);
    assert_verified(*state, "undone");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        test_in_folder(of_eight_programs_that_write_at_once_no_edit_is_lost_and_the_history_has_them_all),
        test_in_folder(what_a_crowd_wrote_can_be_undone_to_the_beginning),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
