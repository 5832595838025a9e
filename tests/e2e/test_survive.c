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

/* One command with the folder before it. */
typedef struct {
    Passage passage;
    char *before; /* folder */
    guint steps;  /* calls that change a file, from its beginning to its end */
} Stage;

static void clear_stage(gpointer data)
{
    Stage *stage = data;
    clear_passage(&stage->passage);
    g_free(stage->before);
}

static char *killer_of(const char *folder)
{
    g_autofree char *library = build_preload(folder, "killer");
    return g_strdup_printf("LD_PRELOAD=%s", library);
}

/* --- doing it once --- */

static guint photos_in(const char *text)
{
    const char *rows = strstr(text, "--- shot\n");
    guint n = 0;
    for (const char *at = rows == NULL ? NULL : rows + strlen("--- shot\n"); at != NULL && *at != '\0' && *at != '-'; at = strchr(at, '\n') + 1)
        n++;
    return n;
}

/* Do a command in work, with a copy of work before it. */
static Stage record(const char *folder, const char *work, const char *killer, const Deed *deed, guint number)
{
    g_autofree char *name = g_strdup_printf("before-%u", number), *count = g_build_filename(folder, "count", NULL), *err = NULL;
    g_autofree char *into = g_strdup_printf("GB_KILL_COUNT=%s", count);
    const char *const env[] = { killer, into, NULL };
    Stage stage = { .before = g_build_filename(folder, name, NULL) };
    stage.passage.deed = deed;
    stage.passage.before = claim_text(work, !deed->in_parts);
    copy_tree(work, stage.before);
    if (run_line(work, env, deed->line, NULL, &err) != 0)
        fail_msg("%s: %s", deed->line, err);
    stage.passage.after = claim_text(work, !deed->in_parts);
    stage.passage.photos_after = photos_in(stage.passage.after);
    g_autofree char *text = slurp(count);
    stage.steps = (guint)atoi(text);
    assert_true(stage.steps > 0);
    return stage;
}

/* The whole day: an array of Stage. OWNED by the caller. */
static GArray *record_day(const char *folder, const char *killer)
{
    GArray *stages = g_array_new(FALSE, FALSE, sizeof(Stage));
    g_array_set_clear_func(stages, clear_stage);
    g_autofree char *work = g_build_filename(folder, "work", NULL);
    assert_int_equal(g_mkdir(work, 0755), 0);
    make_cards(work);
    for (guint i = 0; day[i].line != NULL; i++) {
        Stage stage = record(folder, work, killer, &day[i], i);
        g_array_append_val(stages, stage);
    }
    return stages;
}

/* --- killing --- */

static void kill_at(const char *folder, const char *killer, const Stage *stage, guint step)
{
    g_autofree char *work = g_build_filename(folder, "work", NULL), *at = g_strdup_printf("GB_KILL_AT=%u", step), *said = NULL;
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
    g_autofree char *killer = killer_of(*state);
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
    g_autofree char *killer = killer_of(*state);
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
    g_autofree char *killer = killer_of(*state), *work = g_build_filename(*state, "work", NULL);
    assert_int_equal(g_mkdir(work, 0755), 0);
    guint kills = 0;
    for (int version = 1; version < 6; version++) {
        make_old_claim(work, version);
        Stage stage = record(*state, work, killer, &looks, (guint)version);
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
