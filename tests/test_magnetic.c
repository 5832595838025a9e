/* test_magnetic.c -- the magnetic model against the values its makers publish with it.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "test.h"

#include <gablebook/error.h>
#include <gablebook/magnetic.h>

static GbMagnetic field_at(double lat, double lon, double height_m, double year)
{
    GbMagnetic field;
    g_autoptr(GError) error = NULL;
    assert_true(gb_magnetic_field(lat, lon, height_m, year, &field, &error));
    assert_no_error(error);
    return field;
}

/* Source: NOAA NCEI and British Geological Survey, "Test Values for WMM2025", all 12 rows. */
static void the_twelve_published_test_values_come_out(void **state)
{
    (void)state;
    static const struct { double year, km, lat, lon, d, i, x, y, z; } rows[] = {
        { 2025.0, 0, 80, 0, 1.28, 83.21, 6521.6, 145.9, 54791.5 },
        { 2025.0, 0, 0, 120, -0.16, -14.93, 39677.8, -109.6, -10580.2 },
        { 2025.0, 0, -80, 240, 68.78, -72.00, 6117.5, 15751.9, -52022.5 },
        { 2025.0, 100, 80, 0, 0.85, 83.26, 6216.0, 92.4, 52598.8 },
        { 2025.0, 100, 0, 120, -0.15, -15.08, 37688.6, -96.2, -10152.1 },
        { 2025.0, 100, -80, 240, 68.21, -72.19, 5907.6, 14780.3, -49540.7 },
        { 2027.5, 0, 80, 0, 2.59, 83.24, 6500.8, 294.5, 54869.4 },
        { 2027.5, 0, 0, 120, -0.24, -14.65, 39701.6, -167.4, -10381.8 },
        { 2027.5, 0, -80, 240, 68.49, -71.92, 6200.7, 15730.3, -51783.7 },
        { 2027.5, 100, 80, 0, 2.16, 83.29, 6196.7, 233.8, 52670.5 },
        { 2027.5, 100, 0, 120, -0.23, -14.81, 37711.5, -148.7, -9969.8 },
        { 2027.5, 100, -80, 240, 67.93, -72.10, 5984.0, 14760.1, -49317.7 },
    };
    for (gsize r = 0; r < G_N_ELEMENTS(rows); r++) {
        GbMagnetic f = field_at(rows[r].lat, rows[r].lon, rows[r].km * 1000, rows[r].year);
        assert_near(f.declination_deg, rows[r].d, 0.00501);
        assert_near(f.inclination_deg, rows[r].i, 0.00501);
        assert_near(f.north_nt, rows[r].x, 0.0501);
        assert_near(f.east_nt, rows[r].y, 0.0501);
        assert_near(f.down_nt, rows[r].z, 0.0501);
    }
}

/* Source: the head of the file. It holds points at 88 and 89 degrees, at both magnetic poles and beside the date line. */
static void the_hundred_high_precision_points_agree_to_a_thousandth_of_a_nanotesla(void **state)
{
    (void)state;
    g_autofree char *path = source_path("tests/wmm2025-values.csv");
    g_autofree char *text = slurp(path);
    g_auto(GStrv) lines = g_strsplit(text, "\n", -1);
    int rows = 0;
    double worst_nt = 0, worst_deg = 0;
    for (char **line = lines; *line != NULL; line++) {
        if (**line == '#' || **line == '\0')
            continue;
        g_auto(GStrv) cells = g_strsplit(*line, ",", -1);
        double v[8];
        assert_int_equal(g_strv_length(cells), 8);
        for (int i = 0; i < 8; i++)
            v[i] = g_ascii_strtod(cells[i], NULL);
        GbMagnetic f = field_at(v[2], v[3], v[1] * 1000, v[0]);
        worst_nt = MAX(worst_nt, MAX(fabs(f.north_nt - v[4]), MAX(fabs(f.east_nt - v[5]), fabs(f.down_nt - v[6]))));
        worst_deg = MAX(worst_deg, fabs(f.declination_deg - atan2(v[5], v[4]) * 180 / G_PI));
        assert_near(f.declination_deg, v[7], 0.00501);
        rows++;
    }
    print_message("%d points: at most %.2g nT, %.2g deg off\n", rows, worst_nt, worst_deg);
    assert_int_equal(rows, 100);
    assert_true(worst_nt < 1e-3);
    assert_true(worst_deg < 1e-5);
}

/* Source: recomputed with an independent public implementation of the same model; 2026.5. */
static void cities_of_the_country_have_their_declination(void **state)
{
    (void)state;
    static const struct { double lat, lon, km, d; } cities[] = {
        { 32.7767, -96.7970, 0.13, 2.5548 }, { 39.7392, -104.9903, 1.6, 7.5137 },   { 44.9778, -93.2650, 0.25, -0.1364 },
        { 25.7617, -80.1918, 0, -7.3640 },   { 47.6062, -122.3321, 0.05, 14.9048 }, { 42.3601, -71.0589, 0.01, -13.9479 },
    };
    for (gsize i = 0; i < G_N_ELEMENTS(cities); i++) {
        GbMagnetic f = field_at(cities[i].lat, cities[i].lon, cities[i].km * 1000, 2026.5);
        assert_near(f.declination_deg, cities[i].d, 0.00006);
        assert_true(f.sigma_deg > 0.3 && f.sigma_deg < 0.45);
    }
}

/* Source: WMM2025 report, error model D sigma = sqrt(0.26^2 + (5417/H)^2), seen quoted: about 0.37 at H = 20 000. */
static void the_stated_error_grows_where_the_compass_loses_its_hold(void **state)
{
    (void)state;
    GbMagnetic f = field_at(44.9778, -93.2650, 250, 2026.5);
    double h = hypot(f.north_nt, f.east_nt);
    assert_near(f.sigma_deg, sqrt(0.26 * 0.26 + 5417 / h * (5417 / h)), 1e-12);
    assert_true(field_at(86, 140, 0, 2025).sigma_deg > 2); /* beside the north magnetic pole */
    for (double lon = -180; lon <= 180; lon += 0.5)
        assert_true(field_at(85.8, lon, 0, 2025).sigma_deg <= 180);
}

static void at_the_poles_the_field_is_one_whatever_meridian_is_called_north(void **state)
{
    (void)state;
    for (int pole = -1; pole <= 1; pole += 2)
        for (double lon = -180; lon <= 180; lon += 30) {
            GbMagnetic here = field_at(90 * pole, lon, 0, 2026), beside = field_at(89.9999999 * pole, lon, 0, 2026);
            GbMagnetic zero = field_at(90 * pole, 0, 0, 2026);
            assert_near(here.north_nt, beside.north_nt, 0.01);
            assert_near(here.east_nt, beside.east_nt, 0.01);
            assert_near(hypot(here.north_nt, here.east_nt), hypot(zero.north_nt, zero.east_nt), 1e-6);
            assert_near(here.down_nt, zero.down_nt, 1e-6);
            /* Turned by the meridian: the same arrow. */
            assert_near(remainder(here.declination_deg - pole * lon - zero.declination_deg, 360), 0, 1e-6);
        }
}

static void both_names_of_the_date_line_and_of_any_meridian_give_one_field(void **state)
{
    (void)state;
    for (double lat = -85; lat <= 85; lat += 17) {
        assert_near(field_at(lat, 180, 0, 2027).declination_deg, field_at(lat, -180, 0, 2027).declination_deg, 1e-9);
        assert_near(field_at(lat, 263, 0, 2027).declination_deg, field_at(lat, -97, 0, 2027).declination_deg, 1e-9);
        assert_near(field_at(lat, 179.99999, 0, 2027).declination_deg, field_at(lat, -179.99999, 0, 2027).declination_deg, 1e-3);
    }
}

static void height_unknown_counts_as_sea_level_and_a_kilometre_hardly_matters(void **state)
{
    (void)state;
    assert_near(field_at(39.7392, -104.9903, NAN, 2026.5).declination_deg, field_at(39.7392, -104.9903, 0, 2026.5).declination_deg, 0);
    double worst = 0;
    for (double lat = -90; lat <= 90; lat += 2)
        for (double lon = -180; lon < 180; lon += 5) {
            GbMagnetic low = field_at(lat, lon, 0, 2026), high = field_at(lat, lon, 1000, 2026);
            if (low.sigma_deg < 1)
                worst = MAX(worst, fabs(remainder(low.declination_deg - high.declination_deg, 360)));
        }
    print_message("a kilometre of height turns the needle by at most %.3g deg\n", worst);
    assert_true(worst < 0.03);
}

static void a_date_outside_of_the_models_years_is_refused_in_one_sentence(void **state)
{
    (void)state;
    static const double years[] = { 2024.999, 2030.001, 1999, 2101, -INFINITY, INFINITY };
    for (gsize i = 0; i < G_N_ELEMENTS(years); i++) {
        GbMagnetic field;
        g_autoptr(GError) error = NULL;
        assert_false(gb_magnetic_field(38, -97, 400, years[i], &field, &error));
        assert_error(error, GB_ERROR_STATE, "2025 to 2029");
        assert_true(isnan(field.declination_deg) && isnan(field.sigma_deg) && isnan(field.down_nt));
    }
    GbMagnetic field;
    g_autoptr(GError) error = NULL;
    assert_false(gb_magnetic_field(38, -97, 400, NAN, &field, &error));
    assert_error(error, GB_ERROR_STATE, "without a date");
    field_at(38, -97, 400, 2025.0);
    field_at(38, -97, 400, 2030.0);
}

static void what_is_no_place_is_refused(void **state)
{
    (void)state;
    static const double places[][3] = { { NAN, 0, 0 }, { 0, NAN, 0 }, { 90.1, 0, 0 }, { 0, 361, 0 }, { 0, 0, 1e6 }, { 0, 0, -20000 } };
    for (gsize i = 0; i < G_N_ELEMENTS(places); i++) {
        GbMagnetic field;
        g_autoptr(GError) error = NULL;
        assert_false(gb_magnetic_field(places[i][0], places[i][1], places[i][2], 2026, &field, &error));
        assert_error(error, GB_ERROR_SYNTAX, "no place");
    }
}

/* Source: seconds by date -u -d; leap year 2028. */
static void a_moment_has_its_decimal_year(void **state)
{
    (void)state;
    assert_near(gb_magnetic_year(1735689600), 2025.0, 0);         /* 2025-01-01 */
    assert_near(gb_magnetic_year(1782993600), 2026.5, 1e-9);      /* 2026-07-02 12:00 */
    assert_near(gb_magnetic_year(1846022400), 2028.49726776, 1e-7); /* 2028-07-01: day 182 of 366 */
    assert_near(gb_magnetic_year(-0.5), 1970, 1e-6);
    assert_true(gb_magnetic_year(1893455999.999) < 2030);
    assert_true(isnan(gb_magnetic_year(NAN)) && isnan(gb_magnetic_year(1e18)) && isnan(gb_magnetic_year(-INFINITY)));
}

/* 356.9 + 7.5 goes on over north; the Nokia's 56 M in Helsinki is 65.87 (its year 2022, declination 9.87, by exiftool and WMM2020). */
static void a_magnetic_heading_turns_by_the_declination_and_stays_on_the_dial(void **state)
{
    (void)state;
    assert_near(gb_magnetic_to_true(56, 9.87), 65.87, 1e-9);
    assert_near(gb_magnetic_to_true(356.9, 7.5), 4.4, 1e-9);
    assert_near(gb_magnetic_to_true(3, -14), 349, 1e-9);
    assert_near(gb_magnetic_to_true(0, -1e-15), 0, 1e-9);
    assert_true(gb_magnetic_to_true(0, -1e-15) < 360);
    assert_true(isnan(gb_magnetic_to_true(NAN, 3)) && isnan(gb_magnetic_to_true(3, NAN)));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_twelve_published_test_values_come_out),
        cmocka_unit_test(the_hundred_high_precision_points_agree_to_a_thousandth_of_a_nanotesla),
        cmocka_unit_test(cities_of_the_country_have_their_declination),
        cmocka_unit_test(the_stated_error_grows_where_the_compass_loses_its_hold),
        cmocka_unit_test(at_the_poles_the_field_is_one_whatever_meridian_is_called_north),
        cmocka_unit_test(both_names_of_the_date_line_and_of_any_meridian_give_one_field),
        cmocka_unit_test(height_unknown_counts_as_sea_level_and_a_kilometre_hardly_matters),
        cmocka_unit_test(a_date_outside_of_the_models_years_is_refused_in_one_sentence),
        cmocka_unit_test(what_is_no_place_is_refused),
        cmocka_unit_test(a_moment_has_its_decimal_year),
        cmocka_unit_test(a_magnetic_heading_turns_by_the_declination_and_stays_on_the_dial),
    };
    return cmocka_run_group_tests_name("magnetic", tests, NULL, NULL);
}
