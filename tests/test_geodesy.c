/* test_geodesy.c -- distances and directions against published lines and against PROJ's geod.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "test.h"

#include <gablebook/geodesy.h>

typedef struct {
    double lat1, lon1, lat2, lon2, azimuth, metres;
} Line;

static double turn_between(double a, double b)
{
    return fabs(remainder(a - b, 360));
}

/* Source: geod 9.1.1 (-I +ellps=WGS84) and GeodSolve 2.1.2 agree on all of these. */
static void lines_up_to_twelve_kilometres_are_those_of_geod_and_geodsolve(void **state)
{
    (void)state;
    static const Line lines[] = {
        { 32.7767000, -96.7970000, 32.7767319, -96.7969623, 44.953860, 4.99908 },
        { 32.7767000, -96.7970000, 32.7766202, -96.7969135, 137.518964, 11.99979 },
        { 39.7392000, -104.9903000, 39.7394252, -104.9903000, 0.000000, 25.00387 },
        { 39.7392000, -104.9903000, 39.7392000, -104.9897167, 89.999814, 49.99922 },
        { 44.9778000, -93.2650000, 44.9772985, -93.2656362, 222.000392, 74.99549 },
        { 25.7617000, -80.1918000, 25.7623963, -80.1927163, 310.002952, 120.00034 },
        { 35.4676000, -97.5164000, 35.4657976, -97.5164385, 181.001143, 200.00527 },
        { 61.2181000, -149.9003000, 61.2192610, -149.8913120, 75.000303, 499.99864 },
        { 21.3069000, -157.8583000, 21.3037622, -157.8772827, 259.999858, 2000.00359 },
        { 41.8781000, -87.6298000, 41.9686814, -87.5509538, 33.000024, 11999.99817 },
        { 38.7312, -97.4121, 38.73075, -97.41265, -136.247893, 69.1567 },
        { 64.1466, -21.9426, 64.1467, -21.9420, 69.107218, 31.2604 },
        { -33.8688, 151.2093, -33.8690, 151.2090, -128.631753, 35.5336 },
        { 0, 179.9999, 0, -179.9999, 90, 22.2639 }, /* across the date line */
        { 38.7312, -97.4121, 38.7312, -97.4120, 89.999969, 8.6953 },
        { 38.7312, -97.4121, 38.7313, -97.4121, 0, 11.1010 },
        { 38.7312, -97.4121, 38.731335, -97.411927, 45.107734, 21.2340 },
        { 38.7312, -97.4121, 38.7330, -97.4100, 42.421215, 270.6844 },
        { 38.7312, -97.4121, 38.7482, -97.4121, 0, 1887.1788 },
    };
    for (gsize i = 0; i < G_N_ELEMENTS(lines); i++) {
        GbLine line = gb_geodesy_line(lines[i].lat1, lines[i].lon1, lines[i].lat2, lines[i].lon2);
        assert_near(line.distance_m, lines[i].metres, 0.00006); /* half of the last digit given, and a hair */
        assert_near(turn_between(line.azimuth_deg, lines[i].azimuth), 0, 0.00001);
    }
}

/* Source: Geoscience Australia, Vincenty inverse page and GDA Technical Manual ch. 4 (ellipsoid GRS80, here the same to 0.1 mm):
 * Flinders Peak to Buninyong, 54 972.271 m, azimuth 306 52 05.37, reverse 127 10 25.07. */
static void flinders_peak_to_buninyong_is_as_published(void **state)
{
    (void)state;
    const double flinders[] = { -(37 + 57 / 60.0 + 3.72030 / 3600), 144 + 25 / 60.0 + 29.52440 / 3600 };
    const double buninyong[] = { -(37 + 39 / 60.0 + 10.15610 / 3600), 143 + 55 / 60.0 + 35.38390 / 3600 };
    GbLine there = gb_geodesy_line(flinders[0], flinders[1], buninyong[0], buninyong[1]);
    GbLine back = gb_geodesy_line(buninyong[0], buninyong[1], flinders[0], flinders[1]);
    assert_near(there.distance_m, 54972.271, 0.0015);
    assert_near(there.azimuth_deg, 306 + 52 / 60.0 + 5.37 / 3600, 0.01 / 3600);
    assert_near(back.distance_m, there.distance_m, 1e-4);
    assert_near(back.azimuth_deg, 127 + 10 / 60.0 + 25.07 / 3600, 0.01 / 3600);
}

/* Source: Karney, Algorithms for geodesics, J. Geodesy 87 (2013); test set of GeographicLib. */
static void a_line_across_a_continent_is_within_half_a_percent_and_has_no_direction(void **state)
{
    (void)state;
    GbLine americas = gb_geodesy_line(35.60777, -139.44815, -11.17491, -69.95921);
    assert_near(americas.distance_m / 8935244.5604818305, 1, 0.005);
    assert_true(isnan(americas.azimuth_deg));
    GbLine oceans = gb_geodesy_line(-58.93002, -8.90775, -8.91104, 133.13503);
    assert_near(oceans.distance_m / 11756066.0219864627, 1, 0.005);
}

/* A band of the table in geodesy.h: lines between these lengths, and what they may be off. */
typedef struct {
    double from_m, to_m, within_m, within_deg;
} Band;

static const Band bands[] = {
    { 1, 2000, 1e-6, 1e-5 }, { 2000, 100e3, 0.0001, 1e-5 }, { 100e3, 500e3, 0.05, 3e-4 },
    { 500e3, 10000e3, 50e3, INFINITY }, { 10000e3, 20000e3, 1000e3, INFINITY },
};
enum { LINES_A_BAND = 3000 };

/* Seeded; uniform over the latitudes, poles and the date line included; every tenth line begins within 100 m of a pole or the date line. */
static void draw_line(GRand *rand, const Band *band, Line *line)
{
    line->lat1 = g_rand_double_range(rand, -90, 90);
    line->lon1 = g_rand_double_range(rand, -180, 180);
    int edge = g_rand_int_range(rand, 0, 20);
    if (edge == 0)
        line->lat1 = copysign(90 - g_rand_double_range(rand, 0, 0.001), line->lat1);
    else if (edge == 1)
        line->lon1 = copysign(180 - g_rand_double_range(rand, 0, 0.001), line->lon1);
    /* A rough spherical walk: only the ends matter, geod says how far apart they are. */
    double phi = line->lat1 * G_PI / 180, a = g_rand_double_range(rand, 0, 2 * G_PI);
    double s = exp(g_rand_double_range(rand, log(band->from_m), log(band->to_m))) / 6371e3;
    double sine = sin(phi) * cos(s) + cos(phi) * sin(s) * cos(a);
    line->lat2 = asin(CLAMP(sine, -1, 1)) * 180 / G_PI;
    line->lon2 = line->lon1 + atan2(sin(a) * sin(s) * cos(phi), cos(s) - sin(phi) * sine) * 180 / G_PI;
}

/* All lines in one run of geod; fills in azimuth and metres. */
static void ask_geod(const char *folder, GArray *lines)
{
    g_autoptr(GString) text = g_string_new(NULL);
    for (guint i = 0; i < lines->len; i++) {
        const Line *line = &g_array_index(lines, Line, i);
        char number[4][G_ASCII_DTOSTR_BUF_SIZE];
        const double values[] = { line->lat1, line->lon1, line->lat2, line->lon2 };
        for (int k = 0; k < 4; k++)
            g_string_append_printf(text, "%s ", g_ascii_formatd(number[k], sizeof number[k], "%.12f", values[k]));
        g_string_append_c(text, '\n');
    }
    g_autofree char *path = g_build_filename(folder, "lines", NULL);
    assert_true(g_file_set_contents(path, text->str, -1, NULL));
    g_autofree char *out = NULL;
    const char *const argv[] = { "geod", "-I", "+ellps=WGS84", "-f", "%.9f", "-F", "%.7f", path, NULL };
    assert_int_equal(run(argv, &out, NULL), 0);
    char *at = out;
    for (guint i = 0; i < lines->len; i++) {
        Line *line = &g_array_index(lines, Line, i);
        line->azimuth = g_ascii_strtod(at, &at);
        (void)g_ascii_strtod(at, &at); /* the back azimuth */
        line->metres = g_ascii_strtod(at, &at);
    }
    assert_string_equal(g_strstrip(at), "");
}

static void check_band(const Band *band, const Line *lines)
{
    double metres = 0, turn = 0, share = 0;
    for (guint i = 0; i < LINES_A_BAND; i++) {
        GbLine seen = gb_geodesy_line(lines[i].lat1, lines[i].lon1, lines[i].lat2, lines[i].lon2);
        metres = MAX(metres, fabs(seen.distance_m - lines[i].metres));
        share = MAX(share, fabs(seen.distance_m / lines[i].metres - 1));
        if (lines[i].metres <= 1e6)
            turn = MAX(turn, turn_between(seen.azimuth_deg, lines[i].azimuth));
    }
    print_message("lines up to %8.0f m: off by at most %.3g mm (%.2g), %.3g deg\n", band->to_m, metres * 1000, share, turn);
    assert_true(metres <= band->within_m);
    assert_true(turn <= band->within_deg);
    assert_true(share <= (band->to_m <= 10000e3 ? 0.005 : 0.05));
}

static void random_lines_all_over_the_earth_are_as_near_to_geod_as_the_header_says(void **state)
{
    if (!have_program("geod")) {
        print_message("geod (package proj-bin) is not installed\n");
        skip();
    }
    GRand *rand = g_rand_new_with_seed(418);
    g_autoptr(GArray) lines = g_array_new(FALSE, TRUE, sizeof(Line));
    for (gsize b = 0; b < G_N_ELEMENTS(bands); b++)
        for (int i = 0; i < LINES_A_BAND; i++) {
            Line line = { 0 };
            draw_line(rand, &bands[b], &line);
            g_array_append_val(lines, line);
        }
    g_rand_free(rand);
    ask_geod(*state, lines);
    for (gsize b = 0; b < G_N_ELEMENTS(bands); b++)
        check_band(&bands[b], &g_array_index(lines, Line, b * LINES_A_BAND));
}

static void metres_in_a_plane_lead_back_to_the_position(void **state)
{
    (void)state;
    static const double origins[][2] = { { 38.7312, -97.4121 }, { -33.8688, 151.2093 }, { 0, 179.9999 }, { 64.1, -180 }, { 0, 0 },
                                         { 90, 0 }, { -90, 45 }, { 89.9995, 10 } };
    for (gsize o = 0; o < G_N_ELEMENTS(origins); o++) {
        GbPlane plane;
        assert_true(gb_plane_init(&plane, origins[o][0], origins[o][1]));
        for (double reach = 0.5; reach < 1e5; reach *= 3.7)
            for (int a = 0; a < 16; a++) {
                double east = reach * sin(a * G_PI / 8), north = reach * cos(a * G_PI / 8), lat, lon, east2, north2;
                gb_plane_position(&plane, east, north, &lat, &lon);
                gb_plane_metres(&plane, lat, lon, &east2, &north2);
                assert_near(east2, east, 1e-6);
                assert_near(north2, north, 1e-6);
                assert_true(fabs(lon) <= 180 && fabs(lat) <= 90);
            }
    }
}

static void a_plane_keeps_distance_and_direction_from_its_origin(void **state)
{
    (void)state;
    GbPlane plane;
    double east, north;
    gb_plane_init(&plane, 38.7312, -97.4121);
    gb_plane_metres(&plane, 38.7330, -97.4100, &east, &north); /* geod: 270.6844 m, 42.421215 deg */
    assert_near(hypot(east, north), 270.6844, 0.00006);
    assert_near(atan2(east, north) * 180 / G_PI, 42.421215, 0.00001);
    gb_plane_metres(&plane, 38.7312, -97.4121, &east, &north);
    assert_near(east, 0, 0);
    assert_near(north, 0, 0);
}

static void between_two_other_points_a_plane_is_as_true_as_the_header_says(void **state)
{
    (void)state;
    static const struct { double reach_m, within_m; } rings[] = { { 2000, 0.0001 }, { 50000, 1 } };
    GbPlane plane;
    gb_plane_init(&plane, 61.2181, -149.9003);
    for (gsize r = 0; r < G_N_ELEMENTS(rings); r++) {
        double worst = 0;
        for (int a = 0; a < 24; a++)
            for (int b = 0; b < a; b++) {
                double e[2], n[2], lat[2], lon[2];
                for (int k = 0; k < 2; k++) {
                    e[k] = rings[r].reach_m * sin((k ? a : b) * G_PI / 12);
                    n[k] = rings[r].reach_m * cos((k ? a : b) * G_PI / 12);
                    gb_plane_position(&plane, e[k], n[k], &lat[k], &lon[k]);
                }
                GbLine line = gb_geodesy_line(lat[0], lon[0], lat[1], lon[1]);
                worst = MAX(worst, fabs(line.distance_m - hypot(e[0] - e[1], n[0] - n[1])));
            }
        print_message("plane, points %.0f m out: off by at most %.3g mm\n", rings[r].reach_m, worst * 1000);
        assert_true(worst <= rings[r].within_m);
    }
}

static void over_a_pole_and_across_the_date_line_lines_stay_short(void **state)
{
    (void)state;
    GbLine pole = gb_geodesy_line(89.9999, 0, 89.9999, 180);
    assert_near(pole.distance_m, 22.3388, 0.001); /* R: geod -I, 22.3388 m */
    assert_near(pole.azimuth_deg, 0, 1e-9);
    GbLine line = gb_geodesy_line(52, 179.9995, 52, -179.9995);
    assert_near(line.distance_m, gb_geodesy_line(52, 0, 52, 0.001).distance_m, 1e-6);
    assert_near(line.azimuth_deg, 90, 0.001);
    assert_near(gb_geodesy_line(10, 190, 10, -170).distance_m, 0, 1e-6); /* one meridian under two names */
}

static void the_same_point_has_no_direction_and_no_position_has_no_distance(void **state)
{
    (void)state;
    GbLine same = gb_geodesy_line(38.7312, -97.4121, 38.7312, -97.4121);
    assert_near(same.distance_m, 0, 0);
    assert_true(isnan(same.azimuth_deg));
    static const double none[][2] = { { NAN, 0 }, { 0, NAN }, { 90.1, 0 }, { -91, 0 }, { 0, 361 }, { INFINITY, 0 } };
    for (gsize i = 0; i < G_N_ELEMENTS(none); i++) {
        assert_true(isnan(gb_geodesy_line(none[i][0], none[i][1], 0, 0).distance_m));
        assert_true(isnan(gb_geodesy_line(0, 0, none[i][0], none[i][1]).distance_m));
        GbPlane plane;
        double a = 0, b = 0;
        assert_false(gb_plane_init(&plane, none[i][0], none[i][1]));
        gb_plane_metres(&plane, 0, 0, &a, &b);
        assert_true(isnan(a) && isnan(b));
        gb_plane_position(&plane, 1, 1, &a, &b);
        assert_true(isnan(a) && isnan(b));
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(lines_up_to_twelve_kilometres_are_those_of_geod_and_geodsolve),
        cmocka_unit_test(flinders_peak_to_buninyong_is_as_published),
        cmocka_unit_test(a_line_across_a_continent_is_within_half_a_percent_and_has_no_direction),
        test_in_folder(random_lines_all_over_the_earth_are_as_near_to_geod_as_the_header_says),
        cmocka_unit_test(metres_in_a_plane_lead_back_to_the_position),
        cmocka_unit_test(a_plane_keeps_distance_and_direction_from_its_origin),
        cmocka_unit_test(between_two_other_points_a_plane_is_as_true_as_the_header_says),
        cmocka_unit_test(over_a_pole_and_across_the_date_line_lines_stay_short),
        cmocka_unit_test(the_same_point_has_no_direction_and_no_position_has_no_distance),
    };
    return cmocka_run_group_tests_name("geodesy", tests, NULL, NULL);
}
