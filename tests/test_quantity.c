/* test_quantity.c -- how much: numbers with units, and measurements that are followed.
 *
 * Sources: a square is 100 square feet of roof (US Army EN5156, para. 3-15); a foot is 0.3048 m exactly (international
 * foot, 1959), so a square metre is 10.7639 square feet (recomputed). The codes EA, LF, SF, SQ: common practice, no
 * source.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "test.h"

#include <gablebook/error.h>
#include <gablebook/quantity.h>

static void reads(const char *text, double amount, GbUnit unit)
{
    g_autoptr(GError) error = NULL;
    g_auto(GbQuantity) quantity = { 0 };
    gb_quantity_parse(text, GB_UNIT_NONE, NULL, &quantity, &error);
    assert_no_error(error);
    assert_near(quantity.amount, amount, 1e-4);
    assert_int_equal(quantity.unit, unit);
    assert_null(quantity.measure);
}

static void refused(const char *text, GbUnit usual, const char *part)
{
    g_autoptr(GError) error = NULL;
    GbQuantity quantity = { .amount = 7, .unit = GB_UNIT_SF };
    assert_false(gb_quantity_parse(text, usual, NULL, &quantity, &error));
    assert_error(error, GB_ERROR_SYNTAX, part);
    assert_near(quantity.amount, 7, 0); /* untouched */
}

static void every_usual_spelling_of_a_unit_is_read(void **state)
{
    (void)state;
    reads("12 LF", 12, GB_UNIT_LF);
    reads("12lf", 12, GB_UNIT_LF);
    reads("12.5 linear feet", 12.5, GB_UNIT_LF);
    reads("1 foot", 1, GB_UNIT_LF);
    reads("3 1/2 SQ", 3.5, GB_UNIT_SQ);
    reads("3½ squares", 3.5, GB_UNIT_SQ);
    reads("3.5sq.", 3.5, GB_UNIT_SQ);
    reads("350 sq ft", 350, GB_UNIT_SF);
    reads("350 sq. ft.", 350, GB_UNIT_SF);
    reads("350 ft²", 350, GB_UNIT_SF);
    reads("1,250 SF", 1250, GB_UNIT_SF);
    reads("2 EA", 2, GB_UNIT_EA);
    reads("2 pieces", 2, GB_UNIT_EA);
}

static void lengths_are_linear_feet_and_metres_become_feet(void **state)
{
    (void)state;
    reads("10'6\"", 10.5, GB_UNIT_LF);
    reads("10 ft 6 in", 10.5, GB_UNIT_LF);
    reads("18 in", 1.5, GB_UNIT_LF);
    reads("3.048 m", 10, GB_UNIT_LF);
    reads("10 m²", 107.6391, GB_UNIT_SF);
}

static void a_plain_number_is_in_the_usual_unit_and_refused_where_there_is_none(void **state)
{
    (void)state;
    g_autoptr(GError) error = NULL;
    g_auto(GbQuantity) quantity = { 0 };
    gb_quantity_parse(" 2 ", GB_UNIT_EA, NULL, &quantity, &error);
    assert_no_error(error);
    assert_near(quantity.amount, 2, 0);
    assert_int_equal(quantity.unit, GB_UNIT_EA);
    refused("2", GB_UNIT_NONE, "of what unit? EA (each), LF (linear feet), SF (square feet) or SQ (squares)");
}

static void what_is_no_quantity_is_refused_with_the_way_to_write_one(void **state)
{
    (void)state;
    static const char *const texts[] = { "", "some", "LF", "12 XX", "12 LF 3", "-3 LF", "1e3 LF", "0x3 EA", "12,50 SF", "1/0 SQ x", "two EA" };
    for (gsize i = 0; i < G_N_ELEMENTS(texts); i++)
        refused(texts[i], GB_UNIT_SF, "write it like 12 LF, 3.5 SQ");
    refused("0 LF", GB_UNIT_LF, "more than nothing");
    refused("1/0 SQ", GB_UNIT_SQ, "more than nothing");
    refused("1000001 SF", GB_UNIT_SF, "more than 1,000,000");
    refused("1.5 EA", GB_UNIT_EA, "whole number");
}

static void follows(const char *text, const char *usual_measure, const char *measure, GbUnit unit)
{
    g_autoptr(GError) error = NULL;
    g_auto(GbQuantity) quantity = { 0 };
    gb_quantity_parse(text, GB_UNIT_LF, usual_measure, &quantity, &error);
    assert_no_error(error);
    assert_string_equal(quantity.measure, measure);
    assert_int_equal(quantity.unit, unit);
    assert_true(isnan(quantity.amount));
}

static void a_quantity_may_follow_a_measurement(void **state)
{
    (void)state;
    follows("= drip edge", NULL, "drip edge", GB_UNIT_NONE);
    follows("=Drip  Edge", NULL, "drip edge", GB_UNIT_NONE);
    follows("= area, sf", NULL, "area", GB_UNIT_SF);
    follows("=", "ridge cap", "ridge cap", GB_UNIT_NONE);
    follows("= eave, of the porch", NULL, "eave, of the porch", GB_UNIT_NONE);
    refused("=", GB_UNIT_LF, "say which measurement it follows");
}

static void squares_and_square_feet_convert_and_nothing_else_does(void **state)
{
    (void)state;
    double converted;
    assert_true(gb_unit_convert(1342, GB_UNIT_SF, GB_UNIT_SQ, &converted));
    assert_near(converted, 13.42, 1e-9);
    assert_true(gb_unit_convert(3.5, GB_UNIT_SQ, GB_UNIT_SF, &converted));
    assert_near(converted, 350, 1e-9);
    assert_true(gb_unit_convert(3, GB_UNIT_EA, GB_UNIT_EA, &converted));
    assert_near(converted, 3, 0);
    assert_false(gb_unit_convert(3, GB_UNIT_LF, GB_UNIT_SF, &converted));
    assert_false(gb_unit_convert(3, GB_UNIT_EA, GB_UNIT_LF, &converted));
}

static void writes(double amount, GbUnit unit, const char *wanted)
{
    g_autofree char *text = gb_quantity_text(amount, unit);
    assert_string_equal(text, wanted);
}

static void a_quantity_is_written_short_and_reads_back(void **state)
{
    (void)state;
    writes(12, GB_UNIT_LF, "12 LF");
    writes(13.4164, GB_UNIT_SQ, "13.42 SQ");
    writes(3.5, GB_UNIT_SQ, "3.5 SQ");
    writes(1250, GB_UNIT_SF, "1,250 SF");
    writes(1234567.25, GB_UNIT_SF, "1,234,567.25 SF");
    writes(999.999, GB_UNIT_SF, "1,000 SF");
    reads("1,000 SF", 1000, GB_UNIT_SF);
    for (guint unit = GB_UNIT_EA; unit < GB_UNITS; unit++) {
        g_autofree char *named = g_strdup_printf("3 %s", gb_unit_name((GbUnit)unit));
        reads(named, 3, (GbUnit)unit); /* "3 each", "3 squares": the full names are spellings too */
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_usual_spelling_of_a_unit_is_read),
        cmocka_unit_test(lengths_are_linear_feet_and_metres_become_feet),
        cmocka_unit_test(a_plain_number_is_in_the_usual_unit_and_refused_where_there_is_none),
        cmocka_unit_test(what_is_no_quantity_is_refused_with_the_way_to_write_one),
        cmocka_unit_test(a_quantity_may_follow_a_measurement),
        cmocka_unit_test(squares_and_square_feet_convert_and_nothing_else_does),
        cmocka_unit_test(a_quantity_is_written_short_and_reads_back),
    };
    return cmocka_run_group_tests_name("quantity", tests, NULL, NULL);
}
