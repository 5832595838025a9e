/* test_measure.c -- pitches, lengths and counts as people write them, against published tables and worked examples.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "test.h"

#include <gablebook/error.h>
#include <gablebook/measure.h>
#include <locale.h>

/* Source: roof table recomputed with an independent tool from degrees = atan(rise/12), multiplier sqrt(1 + (rise/12)^2), hip factor
 * sqrt(2 + (rise/12)^2); its rows for 7, 8, 13 and 16 agree with the published examples below. */
static const struct { double rise, deg, percent, area, hip; } roof_table[] = {
    { 1, 4.76, 8.3, 1.0035, 1.4167 },     { 2, 9.46, 16.7, 1.0138, 1.4240 },    { 3, 14.04, 25.0, 1.0308, 1.4361 },
    { 4, 18.43, 33.3, 1.0541, 1.4530 },   { 5, 22.62, 41.7, 1.0833, 1.4743 },   { 6, 26.57, 50.0, 1.1180, 1.5000 },
    { 7, 30.26, 58.3, 1.1577, 1.5298 },   { 7.5, 32.01, 62.5, 1.1792, 1.5462 }, { 8, 33.69, 66.7, 1.2019, 1.5635 },
    { 9, 36.87, 75.0, 1.2500, 1.6008 },   { 10, 39.81, 83.3, 1.3017, 1.6415 },  { 11, 42.51, 91.7, 1.3566, 1.6853 },
    { 12, 45.00, 100.0, 1.4142, 1.7321 }, { 13, 47.29, 108.3, 1.4743, 1.7815 }, { 14, 49.40, 116.7, 1.5366, 1.8333 },
    { 15, 51.34, 125.0, 1.6008, 1.8875 }, { 16, 53.13, 133.3, 1.6667, 1.9437 }, { 17, 54.78, 141.7, 1.7341, 2.0017 },
    { 18, 56.31, 150.0, 1.8028, 2.0616 }, { 19, 57.72, 158.3, 1.8727, 2.1230 }, { 20, 59.04, 166.7, 1.9437, 2.1858 },
    { 21, 60.26, 175.0, 2.0156, 2.2500 }, { 22, 61.39, 183.3, 2.0883, 2.3154 }, { 23, 62.45, 191.7, 2.1619, 2.3819 },
    { 24, 63.43, 200.0, 2.2361, 2.4495 },
};

static double pitch(const char *text)
{
    g_autoptr(GError) error = NULL;
    double rise = NAN;
    if (!gb_pitch_parse(text, &rise, &error))
        fail_msg("%s", error->message);
    return rise;
}

static double length(const char *text)
{
    g_autoptr(GError) error = NULL;
    double inches = NAN;
    if (!gb_length_parse(text, &inches, &error))
        fail_msg("%s", error->message);
    return inches;
}

static void pitch_refused(const char *text, const char *part)
{
    g_autoptr(GError) error = NULL;
    double rise = -1;
    if (gb_pitch_parse(text, &rise, &error))
        fail_msg("'%s' was taken as %g", text, rise);
    assert_error(error, GB_ERROR_SYNTAX, part);
    assert_near(rise, -1, 0);
}

static void length_refused(const char *text, const char *part)
{
    g_autoptr(GError) error = NULL;
    double inches = -1;
    if (gb_length_parse(text, &inches, &error))
        fail_msg("'%s' was taken as %g", text, inches);
    assert_error(error, GB_ERROR_SYNTAX, part);
    assert_near(inches, -1, 0);
}

static void the_roof_table_comes_out(void **state)
{
    (void)state;
    for (guint i = 0; i < G_N_ELEMENTS(roof_table); i++) {
        assert_near(gb_pitch_degrees(roof_table[i].rise), roof_table[i].deg, 0.005);
        assert_near(gb_pitch_multiplier(roof_table[i].rise), roof_table[i].area, 0.00005);
        assert_near(gb_pitch_hip_factor(roof_table[i].rise), roof_table[i].hip, 0.00005);
    }
}

static void a_pitch_in_degrees_or_percent_is_the_same_roof(void **state)
{
    (void)state;
    for (guint i = 0; i < G_N_ELEMENTS(roof_table); i++) {
        char number[G_ASCII_DTOSTR_BUF_SIZE];
        g_autofree char *deg = g_strconcat(g_ascii_formatd(number, sizeof number, "%.2f", roof_table[i].deg), " deg", NULL);
        g_autofree char *percent = g_strconcat(g_ascii_formatd(number, sizeof number, "%.1f", roof_table[i].percent), "%", NULL);
        assert_near(pitch(deg), roof_table[i].rise, 0.006);
        assert_near(pitch(percent), roof_table[i].rise, 0.007);
    }
}

/* Sources: US Navy NAVEDTRA 14044, ch. 2 (rafter 7 in 12, span 16 ft; hip 8 in 12, run 15 ft); US Army EN0069 fig. 2-17
 * (13 and 16 in 12); Griffith, Carpentry (1916), sec. 20 (hip run over 12 in). All published. */
static void published_rafters_come_out(void **state)
{
    (void)state;
    assert_near(12 * gb_pitch_multiplier(7), 13.89, 0.005);
    assert_near(8 * 12 * gb_pitch_multiplier(7), 111.125, 1.0 / 16);
    assert_near(12 * gb_pitch_hip_factor(8), 18.76, 0.005);
    assert_near(15 * gb_pitch_hip_factor(8), 23.45, 0.005);
    assert_near(15 * gb_pitch_hip_factor(0), 21.21, 0.005);
    assert_near(12 * gb_pitch_multiplier(13), 17.69, 0.005);
    assert_near(12 * gb_pitch_multiplier(16), 20.00, 0.005);
    assert_near(12 * gb_pitch_hip_factor(0), 16.97, 0.005);
}

static void a_pitch_is_read_in_any_usual_spelling(void **state)
{
    (void)state;
    const char *const six[] = { "6/12", "6:12", "6-12", "6 in 12", "6 / 12", " 6/12 ", "6 IN 12", "6\" in 12\"", "6 in. per ft", "6\"/ft",
                                "6 over 12", "6 on 12", "6 in per foot", "6″:12″", "6 to 12", "50%", "50 %", "50 percent", "6.0/12",
                                "6∶12", "6–12", "6⁄12" };
    for (guint i = 0; i < G_N_ELEMENTS(six); i++)
        assert_near(pitch(six[i]), 6, 1e-9);
    const char *const seven_and_a_half[] = { "7.5/12", "7 1/2:12", "7-1/2/12", "7½/12", "7 ½:12", "7-½ in 12", "7 2/4/12", "7 1⁄2:12" };
    for (guint i = 0; i < G_N_ELEMENTS(seven_and_a_half); i++)
        assert_near(pitch(seven_and_a_half[i]), 7.5, 1e-9);
    assert_near(pitch("1/4:12"), 0.25, 1e-9);
    assert_near(pitch("¼ in per foot"), 0.25, 1e-9);
    assert_near(pitch(".5/12"), 0.5, 1e-9);
    assert_near(pitch("0/12"), 0, 0);
    assert_near(pitch("48/12"), 48, 0);
    const char *const thirty_two[] = { "32 deg", "32°", "32 °", "32º", "32 degrees", "32deg." };
    for (guint i = 0; i < G_N_ELEMENTS(thirty_two); i++)
        assert_near(gb_pitch_degrees(pitch(thirty_two[i])), 32, 1e-9);
}

static void a_pitch_that_could_mean_two_things_is_refused(void **state)
{
    (void)state;
    pitch_refused("6", "'6' is no clear pitch; write 6/12");
    pitch_refused("7 1/2", "clear pitch");
    pitch_refused("1/4", "clear pitch"); /* rise over span in old books, rise over run elsewhere */
    pitch_refused("6/10", "clear pitch");
    pitch_refused("6:10", "write it like 6/12");
}

static void a_pitch_that_is_none_is_refused(void **state)
{
    (void)state;
    const char *const none[] = { "", " ", "-3/12", "6/0", "1e99", "1e1/12", "6/12x", "6/12 or so", "x6/12", "nan", "NaN/12", "inf", "inf/12",
                                 "0x6/12", "+6/12", "6//12", "6/-12", "6,5/12", "7 3/2/12", "1/0:12", "90 deg", "91 deg", "٦/12", "6 12",
                                 "6\n/12\n7", "6/12\xff" };
    for (guint i = 0; i < G_N_ELEMENTS(none); i++)
        pitch_refused(none[i], "");
    pitch_refused("49/12", "steeper than 48/12");
    pitch_refused("89 deg", "steeper than 48/12");
    g_autofree char *nines = g_strnfill(100000, '9');
    pitch_refused(nines, "…");
}

static void a_length_is_read_in_any_usual_spelling(void **state)
{
    (void)state;
    const struct { const char *text; double inches; } cases[] = {
        { "4", 4 },                { "4 in", 4 },              { "4\"", 4 },              { "4in", 4 },
        { "4 inches", 4 },         { "4 in.", 4 },             { "4''", 4 },              { "4″", 4 },
        { "4”", 4 },               { "4 1/2 in", 4.5 },        { "4½\"", 4.5 },           { "4-1/2\"", 4.5 },
        { "½ in", 0.5 },           { "1 ¼", 1.25 },            { "¾\"", 0.75 },           { "5 5/8", 5.625 },
        { "5⅝\"", 5.625 },         { ".88", 0.88 },            { "10 ft", 120 },          { "10'", 120 },
        { "10′", 120 },            { "10’", 120 },             { "10 feet", 120 },        { "10.5 ft", 126 },
        { "10½ ft", 126 },         { "10'4\"", 124 },          { "10' 4\"", 124 },        { "10'-4\"", 124 },
        { "10 ft 4 in", 124 },     { "10ft4in", 124 },         { "10′4″", 124 },          { "10’4”", 124 },
        { "10' 4 1/2\"", 124.5 },  { "10'4½\"", 124.5 },       { "10' 4", 124 },          { "10' 0\"", 120 },
        { "0' 6\"", 6 },           { "1000 ft", 12000 },       { "8 FT 2 IN", 98 },       { "10'4''", 124 },
        { "12 mm", 12 / 25.4 },    { "10.16 cm", 4 },          { "3.15 m", 3150 / 25.4 }, { "25.4mm", 1 }, /* inch = 25.4 mm exactly */
    };
    for (guint i = 0; i < G_N_ELEMENTS(cases); i++)
        assert_near(length(cases[i].text), cases[i].inches, 1e-9);
}

static void a_length_that_is_none_is_refused(void **state)
{
    (void)state;
    const char *const none[] = { "", "x", "12 ft 14 in", "10'12\"", "10.5 ft 4 in", "-4", "+4", "4 in 5", "4 in x", "1e3", "1e99", "nan", "inf",
                                 "infinity", "0x10", "4,5", "1/0", "4 3/2", "4 yd", "4 m 5", "in", "'", "\"", "ft", "4 1/2/3", "--", "4 in\n5",
                                 "4 km", "four", "10'4'", "4\xff" };
    for (guint i = 0; i < G_N_ELEMENTS(none); i++)
        length_refused(none[i], "is no length; write it like");
    length_refused("0", "more than nothing");
    length_refused("0' 0\"", "more than nothing");
    length_refused("1001 ft", "longer than 1000 ft");
    length_refused("99999 m", "longer than 1000 ft");
    g_autofree char *nines = g_strnfill(100000, '9');
    length_refused(nines, "…");
}

static void a_roof_length_without_a_unit_is_refused(void **state)
{
    (void)state;
    g_autoptr(GError) error = NULL;
    double inches = -1;
    assert_true(gb_length_parse_with_unit("40'", &inches, &error));
    assert_near(inches, 480, 0);
    assert_true(gb_length_parse_with_unit("10' 4", &inches, &error)); /* feet are named: the rest are inches */
    assert_near(inches, 124, 0);
    const char *const bare[] = { "40", " 40.5 ", "16 3/4" };
    for (guint i = 0; i < G_N_ELEMENTS(bare); i++) {
        assert_false(gb_length_parse_with_unit(bare[i], &inches, &error));
        assert_error(error, GB_ERROR_SYNTAX, "no clear length; write 40' or 40 ft");
    }
    assert_near(inches, 124, 0);
}

/* Source of the factors: the international foot and inch, 0.3048 m and 25.4 mm exactly (NIST SP 811). */
static void a_measure_is_shown_in_feet_and_eighths_or_in_metres(void **state)
{
    (void)state;
    const struct { double inches; const char *feet, *metres; } lengths[] = {
        { 480, "40' 0\"", "12.19 m" },   { 201.25, "16' 9 1/4\"", "5.11 m" }, { 9.5, "9 1/2\"", "0.24 m" }, { 124.5, "10' 4 1/2\"", "3.16 m" },
        { 0.125, "1/8\"", "0.00 m" },    { 11.95, "1' 0\"", "0.30 m" },       { 0, "0\"", "0.00 m" },       { 12.0625, "1' 0 1/8\"", "0.31 m" },
        { 3150 / 25.4, "10' 4\"", "3.15 m" },
    };
    for (guint i = 0; i < G_N_ELEMENTS(lengths); i++) {
        g_autofree char *feet = gb_length_text(lengths[i].inches, GB_UNITS_FEET), *metres = gb_length_text(lengths[i].inches, GB_UNITS_METRES);
        assert_string_equal(feet, lengths[i].feet);
        assert_string_equal(metres, lengths[i].metres);
    }
    g_autofree char *sqft = gb_area_text(1341.64, GB_UNITS_FEET), *m2 = gb_area_text(1341.64, GB_UNITS_METRES);
    assert_string_equal(sqft, "1341.6 sq ft");
    assert_string_equal(m2, "124.64 m²"); /* 1341.64 x 0.09290304 */
    g_autofree char *squares = gb_squares_text(260.1);
    assert_string_equal(squares, "2.60"); /* a square is 100 sq ft: US Army EN5156 para. 3-15 */
}

static void a_pitch_and_a_number_are_shown_without_needless_zeros(void **state)
{
    (void)state;
    const struct { double number; int places; const char *text; } numbers[] = {
        { 12.5, 2, "12.5" }, { 40, 2, "40" }, { 100, 0, "100" }, { 0, 3, "0" }, { 0.1, 1, "0.1" }, { 1.006, 2, "1.01" },
    };
    for (guint i = 0; i < G_N_ELEMENTS(numbers); i++) {
        g_autofree char *text = gb_number_text(numbers[i].number, numbers[i].places);
        assert_string_equal(text, numbers[i].text);
    }
    g_autofree char *six = gb_pitch_text(6), *half = gb_pitch_text(7.5), *degrees = gb_pitch_text(pitch("32 deg"));
    assert_string_equal(six, "6/12");
    assert_string_equal(half, "7.5/12");
    assert_string_equal(degrees, "7.5/12"); /* 32 deg is 7.498 in 12 */
}

static void a_count_is_whole_and_layers_are_one_to_nine(void **state)
{
    (void)state;
    g_autoptr(GError) error = NULL;
    double number = NAN;
    assert_true(gb_value_parse(GB_VALUE_COUNT, " 0 ", &number, &error));
    assert_near(number, 0, 0);
    assert_true(gb_value_parse(GB_VALUE_COUNT, "12", &number, &error));
    assert_near(number, 12, 0);
    assert_true(gb_value_parse(GB_VALUE_LAYERS, "2", &number, &error));
    assert_near(number, 2, 0);
    const char *const no_count[] = { "", "-1", "1.5", "1e3", "0x10", "nine", "9 hits", "1000000" };
    for (guint i = 0; i < G_N_ELEMENTS(no_count); i++) {
        assert_false(gb_value_parse(GB_VALUE_COUNT, no_count[i], &number, &error));
        assert_error(error, GB_ERROR_SYNTAX, "is no count");
    }
    const char *const no_layers[] = { "", "0", "10", "1.5", "two" };
    for (guint i = 0; i < G_N_ELEMENTS(no_layers); i++) {
        assert_false(gb_value_parse(GB_VALUE_LAYERS, no_layers[i], &number, &error));
        assert_error(error, GB_ERROR_SYNTAX, "from 1 to 9");
    }
}

static void each_kind_of_value_is_held_to_its_own_spelling(void **state)
{
    (void)state;
    g_autoptr(GError) error = NULL;
    double number = 0;
    assert_true(gb_value_parse(GB_VALUE_PITCH, "7/12", &number, &error));
    assert_near(number, 7, 0);
    assert_true(gb_value_parse(GB_VALUE_LENGTH, "7/12", &number, &error)); /* seven twelfths of an inch */
    assert_near(number, 7.0 / 12, 1e-12);
    assert_true(gb_value_parse(GB_VALUE_TEXT, "18 % at the baseboard", &number, &error));
    assert_near(number, NAN, 0);
    assert_false(gb_value_parse(GB_VALUE_NONE, "%s", &number, &error));
    assert_error(error, GB_ERROR_SYNTAX, "this subject carries no value, so '%s' was not taken");
}

static void every_kind_reads_back_from_its_word(void **state)
{
    (void)state;
    g_autoptr(GError) error = NULL;
    GbValueKind kind;
    for (int i = GB_VALUE_NONE; i <= GB_VALUE_TEXT; i++) {
        assert_true(gb_value_kind_parse(gb_value_kind_word(i), &kind, &error));
        assert_int_equal(kind, i);
    }
    assert_false(gb_value_kind_parse("lenght", &kind, &error));
    assert_error(error, GB_ERROR_UNKNOWN, "'lenght' is no kind of value; there are none, pitch, length");
}

static void a_decimal_comma_locale_changes_nothing(void **state)
{
    if (!use_decimal_comma(*state))
        skip();
    double rise = pitch("7.5/12");
    setlocale(LC_NUMERIC, "C");
    assert_near(rise, 7.5, 1e-9);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_roof_table_comes_out),
        cmocka_unit_test(a_pitch_in_degrees_or_percent_is_the_same_roof),
        cmocka_unit_test(published_rafters_come_out),
        cmocka_unit_test(a_pitch_is_read_in_any_usual_spelling),
        cmocka_unit_test(a_pitch_that_could_mean_two_things_is_refused),
        cmocka_unit_test(a_pitch_that_is_none_is_refused),
        cmocka_unit_test(a_length_is_read_in_any_usual_spelling),
        cmocka_unit_test(a_length_that_is_none_is_refused),
        cmocka_unit_test(a_roof_length_without_a_unit_is_refused),
        cmocka_unit_test(a_measure_is_shown_in_feet_and_eighths_or_in_metres),
        cmocka_unit_test(a_pitch_and_a_number_are_shown_without_needless_zeros),
        cmocka_unit_test(a_count_is_whole_and_layers_are_one_to_nine),
        cmocka_unit_test(each_kind_of_value_is_held_to_its_own_spelling),
        cmocka_unit_test(every_kind_reads_back_from_its_word),
        test_in_folder(a_decimal_comma_locale_changes_nothing),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
