/* test_numbers.c -- lists of shot numbers.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "test.h"

#include <gablebook/error.h>
#include <gablebook/numbers.h>

static void a_list_holds_its_numbers_and_no_others(void **state)
{
    (void)state;
    g_autoptr(GError) error = NULL;
    g_autoptr(GArray) ranges = gb_numbers_parse(" 3, 7 - 12 ,999999999", &error);
    assert_no_error(error);
    assert_int_equal(ranges->len, 3);
    const gint64 in[] = { 3, 7, 9, 12, 999999999 }, out[] = { 0, 2, 4, 6, 13, -3 };
    for (gsize i = 0; i < G_N_ELEMENTS(in); i++)
        assert_true(gb_numbers_hold(ranges, in[i]));
    for (gsize i = 0; i < G_N_ELEMENTS(out); i++)
        assert_false(gb_numbers_hold(ranges, out[i]));
}

static void what_is_no_list_is_refused(void **state)
{
    (void)state;
    static const char *const texts[] = { "", ",", "3,", "a", "3-", "-3", "12-7", "0", "1.5", "1000000000", "3 4", "0x3", "99999999999999999999" };
    for (gsize i = 0; i < G_N_ELEMENTS(texts); i++) {
        g_autoptr(GError) error = NULL;
        assert_null(gb_numbers_parse(texts[i], &error));
        assert_error(error, GB_ERROR_SYNTAX, "shot numbers");
    }
}

static void a_hostile_list_gets_one_short_line(void **state)
{
    (void)state;
    g_autoptr(GError) error = NULL;
    g_autofree char *text = g_strnfill(100000, '9');
    assert_null(gb_numbers_parse(text, &error));
    assert_true(strlen(error->message) < 200);
    g_clear_error(&error);
    assert_null(gb_numbers_parse("3\n\x1b[1m\xff", &error));
    assert_error(error, GB_ERROR_SYNTAX, "'3\xEF\xBF\xBD\xEF\xBF\xBD[1m\xEF\xBF\xBD' is no list of shot numbers");
}

static void runs_of_three_and_more_are_joined(void **state)
{
    (void)state;
    const gint64 numbers[] = { 1, 2, 4, 7, 8, 9, 12 };
    g_autofree char *text = gb_numbers_text(numbers, G_N_ELEMENTS(numbers));
    assert_string_equal(text, "1, 2, 4, 7-9, 12");
    g_autofree char *none = gb_numbers_text(numbers, 0);
    assert_string_equal(none, "");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_list_holds_its_numbers_and_no_others),
        cmocka_unit_test(what_is_no_list_is_refused),
        cmocka_unit_test(a_hostile_list_gets_one_short_line),
        cmocka_unit_test(runs_of_three_and_more_are_joined),
    };
    return cmocka_run_group_tests_name("numbers", tests, NULL, NULL);
}
