/* test_faults.c -- calls that fail: the card is pulled, the disk is full, can't be written or answers with errors; names without case, a
 * wrong clock.
 *
 * The faults are made by faulty.c, which is preloaded: the n-th call of a kind fails, and all after it, as on a disk that is full. Every
 * command of a day's work (survive_support.h) goes through them. After each the claim is good, what was said is true, and the
 * same command without the fault completes it.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "../survive_support.h"

#include <errno.h>
#include <glib/gstdio.h>
#include <unistd.h>

/* --- faults of a day's work --- */

typedef struct {
    const char *call;
    int number;
} Fault;

static const Fault faults[] = {
    { "write", ENOSPC }, { "write", EIO }, { "sync", EIO }, { "rename", EROFS }, { "rename", EIO }, { "open", EROFS }, { "unlink", EIO },
    { "mkdir", ENOSPC },
};

#define MOST_OF_ONE 3 /* places of one fault in one command, every day */

typedef struct {
    const char *folder, *faulty;
    const Stage *stage;
    Fault fault;
} Trial;

static char *work_of(const Trial *trial)
{
    return g_build_filename(trial->folder, "day", NULL);
}

/* Once with nothing failing: how many calls there are. */
static guint count_calls(const Trial *trial)
{
    g_autofree char *work = work_of(trial), *count = g_build_filename(trial->folder, "count", NULL), *err = NULL;
    g_autofree char *fault = g_strdup_printf("GB_FAULT=%s %d 0 /day/", trial->fault.call, trial->fault.number);
    g_autofree char *into = g_strdup_printf("GB_FAULT_COUNT=%s", count);
    const char *const env[] = { trial->faulty, fault, into, NULL };
    copy_tree(trial->stage->before, work);
    if (run_line(work, env, trial->stage->passage.deed->line, NULL, &err) != 0)
        fail_msg("%s: %s", trial->stage->passage.deed->line, err);
    g_autofree char *text = slurp(count);
    return (guint)atoi(text);
}

/* One line for each thing that went wrong, from the program and not from its libraries; what it says of the claim is so. */
static void assert_told_truly(const Trial *trial, int status, const char *out, const char *err, const char *when)
{
    const Deed *deed = trial->stage->passage.deed;
    const char *said = status == 0 ? out : err;
    if (status > 2 || (status != 0 && !deed->in_parts && !g_str_has_prefix(err, "gablebook: ")))
        fail_msg("%s, %s: %d, %s%s", deed->line, when, status, out, err);
    if (status == 2 && strchr(err, '\n') != err + strlen(err) - 1)
        fail_msg("%s, %s: %s", deed->line, when, err);
    if (strstr(said, "nothing was changed") == NULL)
        return;
    g_autofree char *work = work_of(trial), *now = claim_text(work, !deed->in_parts);
    if (!deed->in_parts && strcmp(now, trial->stage->passage.before) != 0)
        fail_msg("%s, %s: it said '%s', and that is not so", deed->line, when, said);
}

static void try_at(const Trial *trial, guint from)
{
    const Deed *deed = trial->stage->passage.deed;
    g_autofree char *work = work_of(trial), *out = NULL, *err = NULL;
    g_autofree char *fault = g_strdup_printf("GB_FAULT=%s %d %u /day/", trial->fault.call, trial->fault.number, from);
    g_autofree char *when = g_strdup_printf("with %s", fault);
    const char *const env[] = { trial->faulty, fault, NULL };
    copy_tree(trial->stage->before, work);
    int status = run_line(work, env, deed->line, &out, &err);
    assert_told_truly(trial, status, out, err, when);
    assert_survived(work, &trial->stage->passage, status == 0 ? out : NULL, when);
}

static void whatever_call_fails_the_claim_is_good_and_what_was_said_is_true(void **state)
{
    if (is_sanitized())
        skip(); /* the sanitizer's runtime wants to be the first library */
    guint tries = 0;
    g_autofree char *faulty = build_preload(*state, "faulty");
    g_autoptr(GArray) stages = record_day(*state, NULL);
    for (guint i = 0; i < stages->len; i++)
        for (gsize f = 0; f < G_N_ELEMENTS(faults); f++) {
            const Trial trial = { *state, faulty, &g_array_index(stages, Stage, i), faults[f] };
            guint calls = count_calls(&trial), some = is_torture() ? calls : MIN(calls, MOST_OF_ONE);
            for (guint n = 0; n < some; n++, tries++) /* the last ones matter most: there the log is written */
                try_at(&trial, calls - n * calls / some);
        }
    print_message("%u faults\n", tries);
}

static void a_days_work_needs_no_hard_links(void **state)
{
    if (is_sanitized())
        skip();
    g_autofree char *faulty = build_preload(*state, "faulty");
    const char *const env[] = { faulty, "GB_FAULT=link 1 1 /", NULL };
    make_cards(*state);
    for (guint i = 0; day[i].line != NULL; i++) {
        g_autofree char *err = NULL;
        if (run_line(*state, env, day[i].line, NULL, &err) != 0)
            fail_msg("%s: %s", day[i].line, err);
    }
    assert_verified(*state, "without hard links");
}

/* --- the card --- */

static guint count_lines_with(const char *text, const char *part)
{
    guint n = 0;
    for (const char *at = text; (at = strstr(at, part)) != NULL; at++)
        n++;
    return n;
}

/* 12 photos of about 10 kB. */
static void a_card_that_is_pulled_costs_the_photos_that_were_not_read_and_each_is_named(void **state)
{
    static const guint bytes[] = { 1, 9000, 30000, 60000, 100000 };
    if (is_sanitized())
        skip();
    g_autofree char *faulty = build_preload(*state, "faulty"), *claim = g_build_filename(*state, "c", NULL);
    make_card(*state, "card", 12, 96);
    for (gsize i = 0; i < G_N_ELEMENTS(bytes); i++) {
        g_autofree char *fault = g_strdup_printf("GB_FAULT=read 5 %u /card/", bytes[i]), *out = NULL, *err = NULL, *tally = NULL;
        const char *const env[] = { faulty, fault, NULL };
        remove_tree(claim);
        assert_int_equal(run_line(*state, NULL, "new c", NULL, NULL), 0);
        assert_int_equal(run_line(*state, env, "import c card", &out, &err), 1);
        ClaimState pulled = assert_sound(claim, fault);
        guint left = count_lines_with(out, "Input/output error; left out");
        assert_int_equal(pulled.shots + left, 12);
        assert_true(left > 0);
        tally = g_strdup_printf("%u left out", left);
        assert_has(out, tally);
        assert_int_equal(pulled.aside + pulled.unentered, 0);
        assert_int_equal(run_line(*state, NULL, "import c card", NULL, NULL), 0);
        assert_int_equal(assert_sound(claim, "after it").shots, 12);
        assert_verified(*state, fault);
    }
}

/* As another user than root, who may read everything. */
static void a_file_that_may_not_be_read_is_named_and_the_others_are_taken_in(void **state)
{
    gboolean root = geteuid() == 0;
    if (root && (!have_program("setpriv") || is_sanitized())) {
        print_message("this is root, and setpriv is not there to become somebody else\n");
        skip();
    }
    g_autofree char *out = NULL, *program = g_build_filename(*state, "gablebook", NULL);
    const char *copy[] = { "cp", g_getenv("GB_PROGRAM"), program, NULL };
    make_card(*state, "card", 3, 64);
    assert_int_equal(run(copy, NULL, NULL), 0);
    const char *as = root ? "setpriv --reuid=65534 --regid=65534 --clear-groups" : "";
    g_autofree char *script = g_strdup_printf("chmod 000 card/IMG_0002.JPG && mkdir own && chmod 777 own . && %s ./gablebook new own/c && "
                                              "%s ./gablebook import own/c card", as, as);
    assert_int_equal(sh(*state, &out, NULL, script), 1);
    assert_has(out, "card/IMG_0002.JPG: can't open: Permission denied; left out");
    assert_has(out, "2 photos taken in, 1 left out.");
}

/* --- names --- */

/* Where case is folded, IMG_1.JPG and img_1.jpg are one name: on the card of a camera and of a phone they may both be. */
static void names_that_differ_by_case_alone_never_meet_in_originals(void **state)
{
    if (is_sanitized())
        skip();
    g_autofree char *faulty = build_preload(*state, "faulty"), *claim = g_build_filename(*state, "c", NULL);
    const char *const env[] = { faulty, "GB_FOLD=c/originals", NULL };
    g_autofree char *card = g_build_filename(*state, "card", NULL);
    static const char *const names[] = { "IMG_1.JPG", "img_1.jpg", "Img_1.Jpg", "IMG_1.jpg" };
    assert_int_equal(g_mkdir(card, 0755), 0);
    for (guint i = 0; i < G_N_ELEMENTS(names); i++) {
        g_autofree char *path = g_build_filename(card, names[i], NULL);
        make_noise(path, i, 64);
    }
    assert_int_equal(run_line(*state, env, "new c", NULL, NULL), 0);
    assert_int_equal(run_line(*state, env, "import c card", NULL, NULL), 0);
    ClaimState all = assert_sound(claim, "folded");
    assert_int_equal(all.shots, 4);
    assert_int_equal(all.unentered, 0);
}

/* The same bytes under two such names: the second copy that is not needed is the first one's file there. */
static void the_same_photo_under_names_that_differ_by_case_alone_is_kept_once_and_not_lost(void **state)
{
    if (is_sanitized())
        skip();
    g_autofree char *faulty = build_preload(*state, "faulty"), *claim = g_build_filename(*state, "c", NULL);
    const char *const env[] = { faulty, "GB_FOLD=c/originals", NULL };
    static const char *const names[] = { "IMG_1.JPG", "img_1.jpg", "Img_1.Jpg", "IMG_1.jpg" };
    g_autofree char *card = g_build_filename(*state, "card", NULL);
    assert_int_equal(g_mkdir(card, 0755), 0);
    for (guint i = 0; i < G_N_ELEMENTS(names); i++) {
        g_autofree char *path = g_build_filename(card, names[i], NULL);
        make_noise(path, 1, 64);
    }
    for (guint round = 0; round < (is_torture() ? 200 : 20); round++) {
        remove_tree(claim);
        assert_int_equal(run_line(*state, env, "new c", NULL, NULL), 0);
        assert_int_equal(run_line(*state, env, "import c card", NULL, NULL), 0);
        ClaimState all = assert_sound(claim, "folded");
        assert_int_equal(all.originals, 1);
    }
}

/* --- the clock --- */

/* A month ahead at first, as after a dead battery; then it is set back. */
static void a_clock_that_is_set_back_leaves_numbers_and_order_and_shows_no_negative_age(void **state)
{
    if (is_sanitized())
        skip();
    g_autofree char *faulty = build_preload(*state, "faulty"), *history = NULL, *desk = NULL, *rows = NULL, *claim = g_build_filename(*state, "c", NULL);
    const char *const ahead[] = { faulty, "GB_CLOCK=2678400", NULL };
    make_cards(*state);
    for (guint i = 0; day[i].line != NULL; i++) {
        g_autofree char *err = NULL;
        if (run_line(*state, i < 10 ? ahead : NULL, day[i].line, NULL, &err) != 0)
            fail_msg("%s: %s", day[i].line, err);
    }
    assert_verified(*state, "set back");
    assert_int_equal(assert_sound(claim, "set back").originals, 6);
    assert_int_equal(run_line(*state, NULL, "history c --json", &history, NULL), 0);
    const char *import = strstr(history, "\"import\""), *tag = strstr(history, "\"tag\""), *edit = strstr(history, "\"edit\"");
    assert_non_null(import);
    assert_non_null(tag);
    assert_non_null(edit);
    assert_true((import < tag) == (tag < edit)); /* as done, not as dated */
    assert_int_equal(run_line(*state, NULL, "desk . --json", &desk, NULL), 0);
    assert_has(desk, "Ines Marlow");
    assert_has_not(desk, "\"age_days\": -");
    assert_int_equal(run_line(*state, NULL, "desk .", &rows, NULL), 0);
    for (const char *at = rows; (at = strstr(at, " -")) != NULL; at++)
        assert_false(g_ascii_isdigit(at[2]));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        test_in_folder(whatever_call_fails_the_claim_is_good_and_what_was_said_is_true),
        test_in_folder(a_days_work_needs_no_hard_links),
        test_in_folder(a_card_that_is_pulled_costs_the_photos_that_were_not_read_and_each_is_named),
        test_in_folder(a_file_that_may_not_be_read_is_named_and_the_others_are_taken_in),
        test_in_folder(names_that_differ_by_case_alone_never_meet_in_originals),
        test_in_folder(the_same_photo_under_names_that_differ_by_case_alone_is_kept_once_and_not_lost),
        test_in_folder(a_clock_that_is_set_back_leaves_numbers_and_order_and_shows_no_negative_age),
    };
    if (access("/dev/shm", W_OK) == 0)
        g_setenv("TMPDIR", "/dev/shm", TRUE);
    return cmocka_run_group_tests(tests, NULL, NULL);
}
