/* test_said.c -- what captions say in numbers, and what they don't.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "test.h"

#include <gablebook/said.h>

/* "kind low[-high] text; ..." */
static void says(const char *caption, const char *wanted)
{
    static const char *const kinds[] = { "pitch", "layers", "hits", "storeys", "years", "length" };
    g_autoptr(GPtrArray) all = gb_said(caption);
    g_autoptr(GString) text = g_string_new(NULL);
    for (guint i = 0; i < all->len; i++) {
        const GbSaid *said = all->pdata[i];
        g_string_append_printf(text, "%s%s %g", i > 0 ? "; " : "", kinds[said->kind], said->low);
        if (said->high > said->low)
            g_string_append_printf(text, "-%g", said->high);
        g_string_append_printf(text, " '%s'", said->text);
    }
    if (strcmp(text->str, wanted) != 0)
        fail_msg("'%s' says %s; wanted %s", caption, text->str, wanted);
}

static void a_number_with_its_word_or_unit_is_heard(void **state)
{
    (void)state;
    says("Front slope, pitch 8/12", "pitch 8 '8/12'");
    says("Gauge at the eave: 7 1/2:12", "pitch 7.5 '7 1/2:12'");
    says("Rises 6 in 12", "pitch 6 '6 in 12'");
    says("Two layers at the rake", "layers 2 'two layers'");
    says("1 layer, seen at the eave", "layers 1 '1 layer'");
    says("Test square: 12 hits", "hits 12 '12 hits'");
    says("No hits in this square", "hits 0 'no hits'");
    says("Nine hail hits", "hits 9 'nine hail hits'");
    says("The two-story wing", "storeys 2 'two-story'");
    says("1½ storeys at the rear", "storeys 1.5 '1 1/2 storeys'");
    says("About 12-15 years old", "years 12-15 '12-15 years'");
    says("a 20-year-old roof", "years 20 '20-year'");
    says("Siding exposure 4 1/2″", "length 4.5 '4 1/2\"'");
    says("Eave at 10'4\", gutter 5 in", "length 124 '10'4\"'; length 5 '5 in'");
    says("Hailstone, 32 mm", "length 1.25984 '32 mm'");
}

static void a_bare_number_a_date_and_an_address_say_nothing(void **state)
{
    (void)state;
    says("House number 418", "");
    says("Taken 5/12", "");
    says("Taken 5/12/2026, slope dry", "");
    says("IMG_2104 hits the spot", "");
    says("Lot 12 in block 4", "");
    says("418 Elm Lane, unit 3", "");
    says("3 of 12 photos", "");
    says("v1.2 layers-of-paint", "");
    says("", "");
}

static void a_text_that_is_too_long_or_not_utf_8_says_nothing(void **state)
{
    (void)state;
    g_autofree char *blanks = g_strnfill(9000, ' '), *text = g_strconcat(blanks, "2 layers", NULL);
    says(text, "");
    says("2 layers \xff", "");
}

static void counted(const char *caption, const char *things, double wanted)
{
    double count = NAN;
    gboolean said = gb_said_count(caption, things, &count);
    assert_int_equal(said, !isnan(wanted));
    if (said)
        assert_near(count, wanted, 0);
}

static void things_are_counted_by_their_name(void **state)
{
    (void)state;
    counted("All 4 pipe flashings", "Pipe flashings", 4);
    counted("One pipe flashing of four", "Pipe flashings", 1);
    counted("Three skylights", "Skylights", 3);
    counted("Pipe flashing 2", "Pipe flashings", NAN);
    counted("4 (pipe) flashings", "Pipe flashings", NAN);
    counted("4 c++ tubes", "C++ tubes", 4); /* a claim's own name is no pattern */
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_number_with_its_word_or_unit_is_heard),
        cmocka_unit_test(a_bare_number_a_date_and_an_address_say_nothing),
        cmocka_unit_test(a_text_that_is_too_long_or_not_utf_8_says_nothing),
        cmocka_unit_test(things_are_counted_by_their_name),
    };
    return cmocka_run_group_tests_name("said", tests, NULL, NULL);
}
