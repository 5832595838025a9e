/* test_builtin.c -- the files that travel in the program.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "test.h"

#include <gablebook/builtin.h>
#include <gablebook/error.h>
#include <pthread.h>
#include <sys/wait.h>
#include <unistd.h>

enum { THREADS = 8, PROGRAMS = 300 };

static void *read_one(void *barrier)
{
    pthread_barrier_wait(barrier);
    g_autofree char *text = gb_builtin_text("templates/subjects.ini", NULL);
    return text == NULL ? NULL : barrier;
}

/* What a program does whose threads all begin with a built-in file: 0 when each got it. */
static int begin_with_all_threads(void)
{
    pthread_barrier_t barrier;
    pthread_t threads[THREADS];
    int failed = 0;
    pthread_barrier_init(&barrier, NULL, THREADS);
    for (int i = 0; i < THREADS; i++)
        failed += pthread_create(&threads[i], NULL, read_one, &barrier) != 0;
    for (int i = 0; i < THREADS; i++) {
        void *got;
        pthread_join(threads[i], &got);
        failed += got == NULL;
    }
    return failed;
}

/* GLib makes a resource ready at its first use, and a thread that comes while another does so was given none (GLib 2.74): the first
 * requests of a server crashed it. Once in some hundred programs, so there are many. Must be the first test: nothing was read yet. */
static void many_threads_may_be_the_first_to_ask(void **state)
{
    (void)state;
    for (int i = 0; i < PROGRAMS; i++) {
        int status;
        pid_t child = fork();
        assert_true(child >= 0);
        if (child == 0)
            _exit(begin_with_all_threads());
        assert_int_equal(waitpid(child, &status, 0), child);
        assert_true(WIFEXITED(status));
        assert_int_equal(WEXITSTATUS(status), 0);
    }
}

static void what_is_not_built_in_is_an_error_that_names_it(void **state)
{
    (void)state;
    g_autoptr(GError) error = NULL;
    assert_null(gb_builtin_text("templates/none.ini", &error));
    assert_error(error, GB_ERROR_UNKNOWN, "'templates/none.ini' is not part of this program");
    g_auto(GStrv) names = gb_builtin_names("templates/nowhere"), lists = gb_builtin_names("templates/checklists");
    assert_int_equal(g_strv_length(names), 0);
    assert_true(g_strv_contains((const char *const *)lists, "exterior-wind-hail.ini"));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(many_threads_may_be_the_first_to_ask),
        cmocka_unit_test(what_is_not_built_in_is_an_error_that_names_it),
    };
    return cmocka_run_group_tests_name("builtin", tests, NULL, NULL);
}
