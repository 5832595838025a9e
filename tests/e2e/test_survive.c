/* test_survive.c -- kill -9 in the midst of everything a person does with a claim.
 *
 * The moment is the number of a call that changes a file, counted by killer.c: it can be named and met again, and nothing waits for a clock.
 * A day's work is done once, with a copy of the folder before each command; then a command is done again on such a copy and killed at one
 * of its calls. Random numbers have a fixed seed. The long form (make torture) takes every call of every command.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "../survive_support.h"

#include <glib/gstdio.h>
#include <signal.h>
#include <unistd.h>

#define ROUNDS 300         /* at random calls */
#define ROUNDS_TORTURE 3000
#define MOST_OF_ONE 30     /* calls of one command that are gone through every day, evenly spread */

/* --- killing --- */

static void kill_at(const char *folder, const char *killer, const Stage *stage, guint step)
{
    g_autofree char *work = g_build_filename(folder, "day", NULL), *at = g_strdup_printf("GB_KILL_AT=%u", step), *said = NULL;
    g_autofree char *when = g_strdup_printf("killed at call %u of %u", step, stage->steps);
    const char *const env[] = { killer, at, NULL };
    copy_tree(stage->before, work);
    int status = run_line(work, env, stage->passage.deed->line, &said, NULL);
    if (status != 128 + SIGKILL && status != 0) /* threads do not always make as many calls */
        fail_msg("%s, %s: ended with %d", stage->passage.deed->line, when, status);
    assert_survived(work, &stage->passage, said, when);
}

static void killed_at_random_calls_of_a_days_work_nothing_is_lost_and_the_same_command_completes_it(void **state)
{
    if (is_sanitized())
        skip();
    g_autofree char *killer = build_preload(*state, "killer");
    g_autoptr(GArray) stages = record_day(*state, killer);
    g_autoptr(GRand) random = g_rand_new_with_seed(20260516);
    guint all = 0;
    for (guint i = 0; i < stages->len; i++)
        all += g_array_index(stages, Stage, i).steps;
    guint rounds = is_torture() ? ROUNDS_TORTURE : ROUNDS;
    for (guint round = 0; round < rounds; round++) {
        guint step = (guint)g_rand_int_range(random, 0, (gint)all), i = 0;
        for (; step >= g_array_index(stages, Stage, i).steps; i++)
            step -= g_array_index(stages, Stage, i).steps;
        kill_at(*state, killer, &g_array_index(stages, Stage, i), step + 1);
    }
    print_message("killed at %u of %u calls of %u commands\n", rounds, all, stages->len);
}

/* At every call from the first to the last, or at some of them. Returns at how many. */
static guint kill_through(const char *folder, const char *killer, const Stage *stage)
{
    guint kills = is_torture() ? stage->steps : MIN(stage->steps, MOST_OF_ONE);
    for (guint i = 0; i < kills; i++)
        kill_at(folder, killer, stage, 1 + i * stage->steps / kills);
    return kills;
}

static gboolean begins_with_one_of(const char *line, const char *const *words)
{
    for (gsize i = 0; words[i] != NULL; i++)
        if (g_str_has_prefix(line, words[i]))
            return TRUE;
    return FALSE;
}

/* Every day: those that test_kill.c does not go through in this way. */
static void killed_at_one_call_after_the_other_nothing_is_lost_and_the_same_command_completes_it(void **state)
{
    static const char *const few[] = { "new ", "undo ", "report c --pdf", "export ", NULL };
    static const char *const every[] = { "", NULL };
    if (is_sanitized())
        skip();
    g_autofree char *killer = build_preload(*state, "killer");
    g_autoptr(GArray) stages = record_day(*state, killer);
    guint kills = 0;
    for (guint i = 0; i < stages->len; i++) {
        const Stage *stage = &g_array_index(stages, Stage, i);
        if (!begins_with_one_of(stage->passage.deed->line, is_torture() ? every : few))
            continue;
        kills += kill_through(*state, killer, stage);
    }
    print_message("killed at %u calls\n", kills);
}

static void killed_at_one_call_after_the_other_while_an_older_claim_is_brought_forward_it_is_brought_forward_by_the_next_program(void **state)
{
    static const Deed looks = { "list c", TRUE, NULL };
    if (is_sanitized())
        skip();
    g_autofree char *killer = build_preload(*state, "killer"), *work = g_build_filename(*state, "day", NULL);
    assert_int_equal(g_mkdir(work, 0755), 0);
    guint kills = 0;
    for (int version = 1; version < 6; version++) {
        make_old_claim(work, version);
        Stage stage = record_deed(*state, work, killer, &looks, (guint)version);
        assert_verified(work, "brought forward");
        kills += kill_through(*state, killer, &stage);
        clear_stage(&stage);
    }
    print_message("killed at %u calls\n", kills);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        test_in_folder(killed_at_random_calls_of_a_days_work_nothing_is_lost_and_the_same_command_completes_it),
        test_in_folder(killed_at_one_call_after_the_other_nothing_is_lost_and_the_same_command_completes_it),
        test_in_folder(killed_at_one_call_after_the_other_while_an_older_claim_is_brought_forward_it_is_brought_forward_by_the_next_program),
    };
    /* What a kill leaves behind does not depend on the disk, and memory has no fsync to wait for. */
    if (access("/dev/shm", W_OK) == 0)
        g_setenv("TMPDIR", "/dev/shm", TRUE);
    return cmocka_run_group_tests(tests, NULL, NULL);
}
