/* test_demo.c -- the demo photos say in their EXIF what is true of the scene, but for the errors that are stated.
 *
 * Source: demo-photos/truth.csv, written from the scene that the pictures were rendered from.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "test.h"

#include <gablebook/exif.h>
#include <gablebook/file.h>
#include <gablebook/jpeg.h>

/* The declination at both properties on that day (World Magnetic Model 2025): 3.0 degrees east; demo-photos/README.md. */
#define DECLINATION_DEG 3.0
#define SLOW_S (67 * 60) /* the compact's clock */

typedef struct {
    char **cell;
    GbJpegHeader header;
    GbExif exif;
    guint64 bytes;
    gboolean compact; /* the second camera */
} Shot;

enum { FILE_NAME, PLACE, SUBJECT, DISTANCE, PROPERTY, TRUE_TIME, LAT, LON, ALT, HEADING, FAULT, SHOWS, COLUMNS };

static void free_shot(gpointer data)
{
    Shot *shot = data;
    g_strfreev(shot->cell);
    gb_jpeg_header_clear(&shot->header);
    gb_exif_clear(&shot->exif);
    g_free(shot);
}

static Shot *read_shot(const char *line)
{
    g_autoptr(GError) error = NULL;
    Shot *shot = g_new0(Shot, 1);
    gb_exif_init(&shot->exif);
    assert_null(strchr(line, '"')); /* no cell needs quoting, so that a shell script can read the file too */
    shot->cell = g_strsplit(line, ",", -1);
    assert_int_equal(g_strv_length(shot->cell), COLUMNS);
    g_autofree char *relative = g_build_filename("demo-photos", shot->cell[FILE_NAME], NULL);
    g_autofree char *path = source_path(relative);
    g_autoptr(GBytes) bytes = gb_file_read(path, GB_JPEG_MAX_BYTES, &error);
    assert_no_error(error);
    shot->bytes = g_bytes_get_size(bytes);
    assert_true(gb_jpeg_header(g_bytes_get_data(bytes, NULL), shot->bytes, &shot->header, &error));
    assert_non_null(shot->header.exif);
    gb_exif_read(&shot->exif, g_bytes_get_data(shot->header.exif, NULL), g_bytes_get_size(shot->header.exif));
    shot->compact = g_strcmp0(shot->exif.make, "Pellow") == 0;
    return shot;
}

static int setup_shots(void **state)
{
    g_autofree char *path = source_path("demo-photos/truth.csv");
    g_autofree char *text = slurp(path);
    g_auto(GStrv) lines = g_strsplit(text, "\n", -1);
    GPtrArray *shots = g_ptr_array_new_with_free_func(free_shot);
    for (guint i = 1; lines[i] != NULL && *lines[i] != '\0'; i++)
        g_ptr_array_add(shots, read_shot(g_strchomp(lines[i])));
    *state = shots;
    return 0;
}

static int teardown_shots(void **state)
{
    g_ptr_array_unref(*state);
    return 0;
}

static double number(const Shot *shot, int column)
{
    return g_ascii_strtod(shot->cell[column], NULL);
}

static gboolean has_fault(const Shot *shot, const char *fault)
{
    return strstr(shot->cell[FAULT], fault) != NULL;
}

static double true_utc_s(const Shot *shot)
{
    g_autoptr(GDateTime) time = g_date_time_new_from_iso8601(shot->cell[TRUE_TIME], NULL);
    assert_non_null(time);
    return (double)g_date_time_to_unix(time);
}

/* Difference of two directions, -180 ... 180. */
static double turn(double a, double b)
{
    return remainder(a - b, 360);
}

/* East and north error of a position in metres. At this scale a degree is what it is on the ellipsoid at 38.7 N (WGS84 radii of
 * curvature, references: NIMA TR8350.2): 111.0 km north, 86.9 km east. */
static double error_m(const Shot *shot)
{
    double north = (shot->exif.lat_deg - number(shot, LAT)) * 111005;
    double east = (shot->exif.lon_deg - number(shot, LON)) * 86951;
    return hypot(north, east);
}

static void the_set_is_large_enough_to_look_like_work_and_small_enough_to_ship(void **state)
{
    GPtrArray *shots = *state;
    guint64 bytes = 0;
    assert_true(shots->len >= 50);
    for (guint i = 0; i < shots->len; i++) {
        const Shot *shot = shots->pdata[i];
        bytes += shot->bytes;
        assert_int_equal(shot->header.width, 1600);
        assert_int_equal(shot->header.height, 1200);
    }
    assert_true(bytes < 16000000);
}

static void every_picture_is_in_the_truth_and_the_other_way_round(void **state)
{
    GPtrArray *shots = *state;
    g_autofree char *folder = source_path("demo-photos");
    g_autoptr(GDir) dir = g_dir_open(folder, 0, NULL);
    const char *name;
    guint pictures = 0;
    while ((name = g_dir_read_name(dir)) != NULL)
        pictures += g_str_has_suffix(name, ".JPG");
    assert_int_equal(pictures, shots->len);
}

static void clocks_are_right_on_the_phone_and_67_minutes_slow_on_the_compact(void **state)
{
    GPtrArray *shots = *state;
    guint compact = 0;
    for (guint i = 0; i < shots->len; i++) {
        const Shot *shot = shots->pdata[i];
        const double zone_s = -5 * 3600, slow_s = shot->compact ? SLOW_S : 0;
        assert_near(shot->exif.taken_local_s, true_utc_s(shot) + zone_s - slow_s, 0);
        assert_int_equal(shot->exif.has_offset, !shot->compact);
        if (!shot->compact)
            assert_int_equal(shot->exif.offset_min, -300);
        assert_int_equal(has_fault(shot, "clock 67 min slow"), shot->compact);
        compact += shot->compact;
    }
    assert_true(compact >= 5);
}

static void gps_time_is_true_utc_where_there_is_one(void **state)
{
    GPtrArray *shots = *state;
    guint without = 0;
    for (guint i = 0; i < shots->len; i++) {
        const Shot *shot = shots->pdata[i];
        gboolean none = has_fault(shot, "no GPS"); /* none at all, or no time */
        assert_int_equal(isnan(shot->exif.gps_utc_s), none);
        if (!none)
            assert_near(shot->exif.gps_utc_s, true_utc_s(shot), 0);
        without += none;
    }
    assert_in_range(without, 2, 8);
}

/* Each axis is normal with the stated error: the mean of (error / stated)^2 over n shots is 2 with sd 2/sqrt(n). */
static void positions_are_off_by_about_the_error_they_state(void **state)
{
    GPtrArray *shots = *state;
    double sum = 0;
    guint n = 0;
    for (guint i = 0; i < shots->len; i++) {
        const Shot *shot = shots->pdata[i];
        assert_int_equal(isnan(shot->exif.lat_deg), has_fault(shot, "no GPS") && !has_fault(shot, "no GPS time"));
        if (isnan(shot->exif.lat_deg))
            continue;
        assert_true(shot->exif.position_error_m >= 3 && shot->exif.position_error_m <= 9);
        double ratio = error_m(shot) / shot->exif.position_error_m;
        assert_true(ratio < 4.5);
        sum += ratio * ratio;
        n++;
    }
    assert_true(n > 40);
    assert_near(sum / n, 2, 4 * 2 / sqrt(n));
}

static void headings_are_true_on_the_phone_and_magnetic_on_the_compact(void **state)
{
    GPtrArray *shots = *state;
    for (guint i = 0; i < shots->len; i++) {
        const Shot *shot = shots->pdata[i];
        if (isnan(shot->exif.heading_deg))
            continue;
        double declination = shot->compact ? DECLINATION_DEG : 0, sd = shot->compact ? 8 : 4;
        assert_int_equal(shot->exif.heading_ref, shot->compact ? 'M' : 'T');
        assert_true(fabs(turn(shot->exif.heading_deg + declination, number(shot, HEADING))) < 4 * sd);
    }
}

static void altitude_is_that_of_the_scene_within_the_stated_error(void **state)
{
    GPtrArray *shots = *state;
    for (guint i = 0; i < shots->len; i++) {
        const Shot *shot = shots->pdata[i];
        if (!isnan(shot->exif.alt_m))
            assert_near(shot->exif.alt_m, number(shot, ALT), 4.5 * shot->exif.position_error_m);
    }
}

static guint count_faults(const GPtrArray *shots, const char *fault)
{
    guint n = 0;
    for (guint i = 0; i < shots->len; i++)
        n += has_fault(shots->pdata[i], fault);
    return n;
}

static void the_planted_trouble_is_there(void **state)
{
    GPtrArray *shots = *state;
    assert_true(count_faults(shots, "near-duplicate") >= 3);
    assert_int_equal(count_faults(shots, "blurred"), 1);
    assert_int_equal(count_faults(shots, "overexposed"), 1);
    assert_true(count_faults(shots, "stored turned") >= 8);
    for (guint i = 0; i < shots->len; i++) {
        const Shot *shot = shots->pdata[i];
        assert_int_equal(has_fault(shot, "stored turned"), shot->exif.orientation != 1);
    }
}

static gboolean is_shown(const GPtrArray *shots, const char *property, const char *place, const char *subject)
{
    for (guint i = 0; i < shots->len; i++) {
        const Shot *shot = shots->pdata[i];
        if (strcmp(shot->cell[PROPERTY], property) == 0 && strcmp(shot->cell[PLACE], place) == 0 &&
            (subject == NULL || strcmp(shot->cell[SUBJECT], subject) == 0))
            return TRUE;
    }
    return FALSE;
}

static void what_is_missing_on_purpose_is_missing_and_its_neighbours_are_there(void **state)
{
    GPtrArray *shots = *state;
    assert_false(is_shown(shots, "1", "rear slope", "test square"));
    assert_false(is_shown(shots, "1", "garage rear", NULL));
    static const char *const slopes[] = { "front slope", "right slope", "left slope" };
    for (gsize i = 0; i < G_N_ELEMENTS(slopes); i++)
        assert_true(is_shown(shots, "1", slopes[i], "test square"));
    static const char *const elevations[] = { "front", "right", "rear", "left", "garage front", "garage right", "garage left" };
    for (gsize i = 0; i < G_N_ELEMENTS(elevations); i++)
        assert_true(is_shown(shots, "1", elevations[i], "overview"));
    static const char *const subjects[][2] = {
        { "site", "address" },          { "front", "window screen" },     { "front", "gutter" },         { "right", "downspout" },
        { "right", "siding size" },     { "left slope", "layers" },       { "left slope", "drip edge" }, { "front slope", "pitch" },
        { "front slope", "ridge vent" }, { "front slope", "pipe flashing" }, { "rear slope", "wind damage" }, { "fence", "fence" },
    };
    for (gsize i = 0; i < G_N_ELEMENTS(subjects); i++)
        assert_true(is_shown(shots, "1", subjects[i][0], subjects[i][1]));
    assert_true(is_shown(shots, "2", "front", "overview"));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_set_is_large_enough_to_look_like_work_and_small_enough_to_ship),
        cmocka_unit_test(every_picture_is_in_the_truth_and_the_other_way_round),
        cmocka_unit_test(clocks_are_right_on_the_phone_and_67_minutes_slow_on_the_compact),
        cmocka_unit_test(gps_time_is_true_utc_where_there_is_one),
        cmocka_unit_test(positions_are_off_by_about_the_error_they_state),
        cmocka_unit_test(headings_are_true_on_the_phone_and_magnetic_on_the_compact),
        cmocka_unit_test(altitude_is_that_of_the_scene_within_the_stated_error),
        cmocka_unit_test(the_planted_trouble_is_there),
        cmocka_unit_test(what_is_missing_on_purpose_is_missing_and_its_neighbours_are_there),
    };
    return cmocka_run_group_tests_name("demo", tests, setup_shots, teardown_shots);
}
