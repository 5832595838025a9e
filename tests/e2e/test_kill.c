/* test_kill.c -- the claim after kill -9 at any moment of an import, and after Ctrl-C.
 *
 * Two ways to find the moment. Steps: killer.c is preloaded and kills at the n-th call that changes a file, for every n until the import
 * ends by itself. Times: a SIGKILL at a random part of the time that a whole import took, also where nothing can be preloaded (sanitizers).
 * Random numbers have a fixed seed.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "../e2e_support.h"

#include <glib/gstdio.h>
#include <signal.h>
#include <sys/wait.h>
#include <unistd.h>

static gboolean sanitized(void)
{
    return g_strcmp0(g_getenv("GB_MODE"), "asan") == 0;
}

/* A fresh claim FOLDER/c; an earlier one is removed. Its path, OWNED by the caller. */
static char *fresh_claim(const char *folder)
{
    char *claim = g_build_filename(folder, "c", NULL);
    remove_tree(claim);
    assert_int_equal(gablebook(NULL, NULL, "new", claim, NULL), 0);
    return claim;
}

/* What the interrupted import began, the same import ends: every photo once, nothing else left. */
static void assert_completes(const char *claim, const char *card, guint photos, const char *when)
{
    g_autofree char *out = NULL, *err = NULL;
    int status = gablebook(&out, &err, "import", claim, card, NULL);
    if (status != 0)
        fail_msg("%s: the import after it ended with %d: %s%s", when, status, out, err);
    ClaimState state = assert_sound(claim, when);
    if (state.originals != photos || state.shots != photos || state.aside != 0 || state.unentered != 0)
        fail_msg("%s: then %u originals and %u shots of %u, %u aside files, %u unknown files", when, state.originals, state.shots, photos,
                 state.aside, state.unentered);
}

/* --- steps --- */

static char *build_killer(const char *folder)
{
    g_autofree char *source = source_path("tests/e2e/killer.c");
    char *library = g_build_filename(folder, "killer.so", NULL);
    const char *argv[] = { "cc", "-shared", "-fPIC", "-O1", "-o", library, source, "-ldl", NULL };
    assert_int_equal(run(argv, NULL, NULL), 0);
    return library;
}

/* Returns as run() does. count may be NULL. */
static int import_with_killer(const char *killer, guint step, const char *count, const char *claim, const char *card)
{
    g_autofree char *preload = g_strdup_printf("LD_PRELOAD=%s", killer);
    g_autofree char *at = g_strdup_printf("GB_KILL_AT=%u", step);
    g_autofree char *into = g_strdup_printf("GB_KILL_COUNT=%s", count != NULL ? count : "");
    const char *argv[] = { "env", preload, at, into, g_getenv("GB_PROGRAM"), "import", claim, card, NULL };
    return run(argv, NULL, NULL);
}

/* How many steps a whole import takes. */
static guint count_steps(const char *folder, const char *killer, const char *card)
{
    g_autofree char *claim = fresh_claim(folder);
    g_autofree char *count = g_build_filename(folder, "count", NULL);
    assert_int_equal(import_with_killer(killer, 0, count, claim, card), 0);
    g_autofree char *text = slurp(count);
    return (guint)atoi(text);
}

/* Returns whether the import was killed there. */
static gboolean kill_at_step(const char *folder, const char *killer, guint step, const char *card, guint photos)
{
    g_autofree char *claim = fresh_claim(folder);
    g_autofree char *when = g_strdup_printf("killed at step %u", step);
    int status = import_with_killer(killer, step, NULL, claim, card);
    if (status == 0)
        return FALSE;
    assert_int_equal(status, 128 + SIGKILL);
    assert_sound(claim, when);
    assert_completes(claim, card, photos, when);
    return TRUE;
}

static void killed_at_every_single_step_of_an_import_the_claim_is_good_and_the_same_import_completes_it(void **state)
{
    const guint photos = 4;
    if (sanitized())
        skip(); /* the sanitizer's runtime wants to be the first library */
    g_autofree char *killer = build_killer(*state);
    g_autofree char *card = g_build_filename(*state, "card", NULL);
    make_card(*state, "card", photos, 200);
    guint step = 1;
    while (kill_at_step(*state, killer, step, card, photos))
        step++;
    print_message("killed at %u steps\n", step - 1);
    assert_true(step > photos * 5); /* the killer was at work: write, fsync, rename ... of every photo */
}

/* More files than one batch: the first transaction is committed while others wait. */
static void killed_at_steps_of_an_import_of_several_batches_the_claim_is_good_and_the_same_import_completes_it(void **state)
{
    const guint photos = 140;
    if (sanitized())
        skip();
    g_autofree char *killer = build_killer(*state);
    g_autofree char *card = g_build_filename(*state, "card", NULL);
    make_card(*state, "card", photos, 24);
    guint all = count_steps(*state, killer, card), killed = 0;
    g_autoptr(GRand) random = g_rand_new_with_seed(20260514);
    for (guint i = 0; i < 40; i++) {
        /* half of them among the last ones: the last batch being entered */
        guint step = i % 2 ? (guint)g_rand_int_range(random, 1, (gint)all) : all - (guint)g_rand_int_range(random, 0, 60);
        killed += kill_at_step(*state, killer, step, card, photos);
    }
    assert_true(killed > 30);
}

/* --- times --- */

/* Start importing FOLDER/card into FOLDER/c, after a shell command; what it says goes to FOLDER/said. */
static GPid start_import(const char *folder, const char *first)
{
    GPid pid;
    g_autoptr(GError) error = NULL;
    g_autofree char *script = g_strdup_printf("%s; exec \"$GB_PROGRAM\" import c card >said 2>&1", first);
    const char *argv[] = { "/bin/sh", "-c", script, NULL };
    g_spawn_async(folder, (char **)argv, NULL, G_SPAWN_DO_NOT_REAP_CHILD, NULL, NULL, &pid, &error);
    assert_no_error(error);
    return pid;
}

static int status_of(GPid pid)
{
    int status;
    assert_int_equal(waitpid(pid, &status, 0), pid);
    return WIFEXITED(status) ? WEXITSTATUS(status) : 128 + WTERMSIG(status);
}

/* Let it run until the moment, or until it ends; then SIGKILL. Returns as run() does. */
static int end_import(GPid pid, gint64 after_us)
{
    gint64 until = g_get_monotonic_time() + after_us;
    siginfo_t over = { 0 };
    while (over.si_pid != pid && g_get_monotonic_time() < until) {
        assert_int_equal(waitid(P_PID, (id_t)pid, &over, WEXITED | WNOHANG | WNOWAIT), 0);
        g_thread_yield();
    }
    kill(pid, SIGKILL); /* an ended child, not waited for yet, minds nothing */
    return status_of(pid);
}

static gint64 whole_import_us(const char *folder)
{
    g_autofree char *claim = fresh_claim(folder);
    gint64 start = g_get_monotonic_time();
    assert_int_equal(end_import(start_import(folder, ":"), 60 * G_USEC_PER_SEC), 0);
    return g_get_monotonic_time() - start;
}

static void killed_at_random_times_the_claim_is_good_and_the_same_import_completes_it(void **state)
{
    const guint photos = 40, rounds = sanitized() ? 8 : 60;
    g_autofree char *card = g_build_filename(*state, "card", NULL);
    make_card(*state, "card", photos, 350);
    gint64 whole_us = whole_import_us(*state);
    g_autoptr(GRand) random = g_rand_new_with_seed(20260515);
    guint killed = 0;
    for (guint i = 0; i < rounds; i++) {
        g_autofree char *claim = fresh_claim(*state);
        gint64 after_us = (gint64)(g_rand_double(random) * (double)whole_us);
        g_autofree char *when = g_strdup_printf("killed after %" G_GINT64_FORMAT " of %" G_GINT64_FORMAT " us", after_us, whole_us);
        killed += end_import(start_import(*state, ":"), after_us) == 128 + SIGKILL;
        assert_sound(claim, when);
        assert_completes(claim, card, photos, when);
    }
    print_message("killed %u of %u times within %" G_GINT64_FORMAT " ms\n", killed, rounds, whole_us / 1000);
    assert_true(killed > 0);
}

/* --- Ctrl-C --- */

static gboolean holds_something(const char *folder)
{
    g_autoptr(GDir) dir = g_dir_open(folder, 0, NULL);
    return dir != NULL && g_dir_read_name(dir) != NULL;
}

/* Until the first original is on its way, or the import is over. */
static void wait_until_at_work(GPid pid, const char *claim)
{
    g_autofree char *originals = g_build_filename(claim, "originals", NULL);
    siginfo_t over = { 0 };
    while (over.si_pid != pid && !holds_something(originals))
        assert_int_equal(waitid(P_PID, (id_t)pid, &over, WEXITED | WNOHANG | WNOWAIT), 0);
}

static void an_interrupted_import_says_what_is_safe_and_the_same_import_completes_it(void **state)
{
    const guint photos = 200;
    g_autofree char *card = g_build_filename(*state, "card", NULL);
    g_autofree char *said = g_build_filename(*state, "said", NULL);
    make_card(*state, "card", photos, 500);
    const int signals[] = { SIGINT, SIGTERM, SIGHUP };
    for (gsize i = 0; i < G_N_ELEMENTS(signals); i++) {
        g_autofree char *claim = fresh_claim(*state);
        GPid pid = start_import(*state, ":");
        wait_until_at_work(pid, claim);
        kill(pid, signals[i]);
        int status = status_of(pid);
        g_autofree char *out = slurp(said);
        assert_has(out, "Stopped: ");
        assert_has(out, "safe");
        assert_int_equal(status, 1);
        ClaimState sound = assert_sound(claim, "interrupted");
        assert_true(sound.originals < photos);
        assert_int_equal(sound.aside, 0);
        assert_completes(claim, card, photos, "interrupted");
    }
}

static void an_import_under_nohup_goes_on_when_the_terminal_is_closed(void **state)
{
    const guint photos = 60;
    make_card(*state, "card", photos, 500);
    g_autofree char *claim = fresh_claim(*state);
    GPid pid = start_import(*state, "trap '' HUP"); /* what nohup does */
    wait_until_at_work(pid, claim);
    kill(pid, SIGHUP);
    assert_int_equal(status_of(pid), 0);
    assert_int_equal(assert_sound(claim, "after SIGHUP").shots, photos);
}

/* --- other commands --- */

static void killed_at_every_step_of_a_report_the_report_is_the_old_one_or_the_new_one(void **state)
{
    if (sanitized())
        skip();
    g_autofree char *killer = build_killer(*state);
    g_autofree char *preload = g_strdup_printf("LD_PRELOAD=%s", killer);
    make_card(*state, "card", 2, 64);
    assert_int_equal(sh(*state, NULL, NULL, "gablebook new c && gablebook import c card && gablebook undo c &&"
                                            " gablebook report c --out old.html && gablebook redo c && gablebook report c --out new.html"), 0);
    g_autofree char *old_path = g_build_filename(*state, "old.html", NULL), *new_path = g_build_filename(*state, "new.html", NULL);
    g_autofree char *path = g_build_filename(*state, "page.html", NULL), *claim = g_build_filename(*state, "c", NULL);
    g_autofree char *old_page = slurp(old_path), *new_page = slurp(new_path);
    assert_string_not_equal(old_page, new_page);
    guint step = 0, kept = 0;
    for (int status = -1; status != 0;) {
        assert_true(g_file_set_contents(path, old_page, -1, NULL));
        g_autofree char *at = g_strdup_printf("GB_KILL_AT=%u", ++step);
        const char *argv[] = { "env", preload, at, g_getenv("GB_PROGRAM"), "report", claim, "--out", path, NULL };
        status = run(argv, NULL, NULL);
        g_autofree char *page = slurp(path);
        assert_true(strcmp(page, new_page) == 0 || (status != 0 && strcmp(page, old_page) == 0));
        kept += strcmp(page, old_page) == 0;
    }
    assert_true(kept > 2); /* the killer was at work */
}

static void killed_at_every_step_of_a_tag_it_is_done_whole_or_not_at_all(void **state)
{
    if (sanitized())
        skip();
    g_autofree char *killer = build_killer(*state);
    g_autofree char *preload = g_strdup_printf("LD_PRELOAD=%s", killer), *claim = g_build_filename(*state, "c", NULL);
    make_card(*state, "card", 3, 64);
    assert_int_equal(sh(*state, NULL, NULL, "gablebook new c && gablebook import c card"), 0);
    guint step = 0, tagged = 0, not_done = 0;
    for (int status = -1; status != 0;) {
        g_autofree char *at = g_strdup_printf("GB_KILL_AT=%u", ++step), *words = g_strdup_printf("try %u.", step);
        const char *argv[] = { "env", preload, at, g_getenv("GB_PROGRAM"), "tag", claim, "1-3", "--caption", words, NULL };
        g_autofree char *list = NULL, *history = NULL;
        status = run(argv, NULL, NULL);
        assert_sound(claim, words);
        assert_int_equal(gablebook(&list, NULL, "list", claim, "--json", NULL), 0);
        assert_int_equal(gablebook(&history, NULL, "history", claim, NULL), 0);
        g_auto(GStrv) parts = g_strsplit(list, words, -1);
        guint done = g_strv_length(parts) - 1;
        assert_true(done == 3 || (done == 0 && status != 0));
        g_auto(GStrv) entries = g_strsplit(history, ": shots 1-3", -1);
        tagged += done == 3;
        assert_int_equal(g_strv_length(entries) - 1, tagged); /* the history knows of it, or does not */
        not_done += done == 0;
    }
    assert_true(not_done > 2);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        test_in_folder(killed_at_every_single_step_of_an_import_the_claim_is_good_and_the_same_import_completes_it),
        test_in_folder(killed_at_steps_of_an_import_of_several_batches_the_claim_is_good_and_the_same_import_completes_it),
        test_in_folder(killed_at_random_times_the_claim_is_good_and_the_same_import_completes_it),
        test_in_folder(an_interrupted_import_says_what_is_safe_and_the_same_import_completes_it),
        test_in_folder(an_import_under_nohup_goes_on_when_the_terminal_is_closed),
        test_in_folder(killed_at_every_step_of_a_report_the_report_is_the_old_one_or_the_new_one),
        test_in_folder(killed_at_every_step_of_a_tag_it_is_done_whole_or_not_at_all),
    };
    /* What a kill leaves behind does not depend on the disk, and memory has no fsync to wait for. */
    if (access("/dev/shm", W_OK) == 0)
        g_setenv("TMPDIR", "/dev/shm", TRUE);
    return cmocka_run_group_tests(tests, NULL, NULL);
}
