/* test_browser.c -- the sorting table in a real browser: every suite in tests/browser, run by Node with Chromium.
 *
 * The suites are JavaScript because the browser is driven by playwright-core; what a claim holds afterwards they ask of the command line.
 * Each is one test here; its own sentences are printed when one of them is false.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "../test.h"

static void run_suite(const char *name)
{
    const char *npm = g_getenv("GB_NPM");
    g_autofree char *driver = npm != NULL ? g_build_filename(npm, "node_modules", "playwright-core", "package.json", NULL) : NULL;
    gboolean ready = have_program("node") && have_program("chromium") && have_program("convert");
    if (!ready || driver == NULL || !g_file_test(driver, G_FILE_TEST_EXISTS)) {
        if (g_getenv("CI") != NULL)
            fail_msg("the browser tests want node, chromium and what `make test-tools` brings");
        g_clear_pointer(&driver, g_free);
        skip();
        return;
    }
    g_autofree char *suite = g_strdup_printf("tests/browser/%s.mjs", name), *path = source_path(suite), *out = NULL, *err = NULL;
    const char *argv[] = { "node", path, NULL };
    if (run(argv, &out, &err) != 0)
        fail_msg("%s:\n%s\n%s", suite, out, err);
}

static void a_whole_claim_is_sorted_by_keys_alone(void **state)
{
    (void)state;
    run_suite("keys");
}

static void a_whole_claim_is_sorted_by_pointer_alone(void **state)
{
    (void)state;
    run_suite("pointer");
}

static void fingers_are_enough_and_360_pixels_too(void **state)
{
    (void)state;
    run_suite("touch");
}

static void marks_lie_where_they_were_drawn_and_leave_the_original_alone(void **state)
{
    (void)state;
    run_suite("marks");
}

static void two_windows_see_each_other_and_nothing_is_overwritten(void **state)
{
    (void)state;
    run_suite("windows");
}

static void dropped_and_chosen_photos_come_in(void **state)
{
    (void)state;
    run_suite("bring");
}

static void findings_facts_squares_notes_and_measures_are_written(void **state)
{
    (void)state;
    run_suite("forms");
}

static void the_report_is_built_shown_and_handed_over(void **state)
{
    (void)state;
    run_suite("report");
}

static void markup_is_shown_as_text(void **state)
{
    (void)state;
    run_suite("hostile");
}

static void axe_finds_nothing(void **state)
{
    (void)state;
    run_suite("access");
}

static void axe_finds_nothing_in_what_leaves_the_house(void **state)
{
    (void)state;
    run_suite("reports");
}

int main(void)
{
    /* A browser tells nothing about our memory that test_web does not, and takes minutes. */
    if (g_strcmp0(g_getenv("GB_MODE"), "asan") == 0) {
        puts("browser: the page is looked at with the plain program only; the server stands in test_web");
        return 0;
    }
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_whole_claim_is_sorted_by_keys_alone),
        cmocka_unit_test(a_whole_claim_is_sorted_by_pointer_alone),
        cmocka_unit_test(fingers_are_enough_and_360_pixels_too),
        cmocka_unit_test(marks_lie_where_they_were_drawn_and_leave_the_original_alone),
        cmocka_unit_test(two_windows_see_each_other_and_nothing_is_overwritten),
        cmocka_unit_test(dropped_and_chosen_photos_come_in),
        cmocka_unit_test(findings_facts_squares_notes_and_measures_are_written),
        cmocka_unit_test(the_report_is_built_shown_and_handed_over),
        cmocka_unit_test(markup_is_shown_as_text),
        cmocka_unit_test(axe_finds_nothing),
        cmocka_unit_test(axe_finds_nothing_in_what_leaves_the_house),
    };
    return cmocka_run_group_tests_name("browser", tests, NULL, NULL);
}
