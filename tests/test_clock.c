/* test_clock.c -- clocks held against real camera files, the time zone database, the demo's truth and a simulator.
 *
 * Sources: camera clock and GPS time of real files as exiftool reads them, their zone from place and date; zone changes from the
 * system's tz database (GTimeZone); the rest is arithmetic written out beside the check.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "test.h"

#include <gablebook/clock.h>
#include <gablebook/error.h>
#include <gablebook/file.h>
#include <gablebook/jpeg.h>
#include <string.h>

#define DAY 86400.0
#define HOUR 3600.0

/* --- readings --- */

/* "2026-05-14 15:02:08.25" as seconds since 1970, by GLib's calendar. */
static double at(const char *text)
{
    g_autoptr(GTimeZone) utc = g_time_zone_new_utc();
    g_autoptr(GDateTime) t = g_date_time_new_from_iso8601(text, utc);
    assert_non_null(t);
    return (double)g_date_time_to_unix(t) + g_date_time_get_microsecond(t) / 1e6;
}

static GbReading reading(guint camera, double local_s)
{
    return (GbReading){ .camera = camera, .local_s = local_s, .gps_utc_s = NAN, .gps_day_s = NAN, .lat_deg = NAN, .lon_deg = NAN };
}

static GbReading with_gps(guint camera, double local_s, double utc_s)
{
    GbReading r = reading(camera, local_s);
    r.gps_utc_s = utc_s;
    r.gps_day_s = fmod(utc_s, DAY);
    return r;
}

static GbReading with_tag(guint camera, double local_s, int offset_min)
{
    GbReading r = reading(camera, local_s);
    r.has_offset = TRUE;
    r.offset_min = offset_min;
    return r;
}

static GbReading with_both(guint camera, double local_s, int offset_min, double utc_s)
{
    GbReading r = with_gps(camera, local_s, utc_s);
    r.has_offset = TRUE;
    r.offset_min = offset_min;
    return r;
}

static GbClockCard *solve(const GbReading *readings, gsize n)
{
    g_autoptr(GError) error = NULL;
    GbClockCard *card = gb_clock_card(readings, n, NULL, 0, NULL, 0, &error);
    assert_no_error(error);
    assert_int_equal(card->n, n);
    return card;
}

static GbClockCard *solve_with(const GbReading *readings, gsize n, const GbClockPair *pairs, gsize n_pairs,
                               const GbClockWord *words, gsize n_words)
{
    g_autoptr(GError) error = NULL;
    GbClockCard *card = gb_clock_card(readings, n, pairs, n_pairs, words, n_words, &error);
    assert_no_error(error);
    return card;
}

static void assert_unknown(double value)
{
    assert_true(isnan(value));
}

/* --- real files, one reading each --- */

/* Source: exiftool on the files named; zone from the place and date of each. */
static const struct {
    const char *file, *local, *gps; /* gps: a date and time, or a time of day alone */
    double lon_deg;
    int zone_min;
    double error_s;
    int stamp_days;
} real_rows[] = {
    { "iphone_hdr_NO.jpg", "2015-04-10 20:12:23.016", "2015-04-10 18:12:22.06", -3.7, 120, 0.956, 0 },
    { "HMD_Nokia_8.3_5G.jpg", "2022-08-14 14:12:31", "2022-08-14 11:12:32", 24.9, 180, -1, 0 },
    { "DSCN0010.jpg", "2008-10-22 16:28:39", "2008-10-23 14:27:07.24", 11.88, 120, 91.76, 1 },
    { "DSCN0042.jpg", "2008-10-22 17:00:07", "2008-10-23 14:57:41.37", 11.88, 120, 145.63, 1 },
    { "test1.jpg", "2013-02-06 16:00:03", "00:00:02.49", -122.4, -480, 0.51, 0 },
    { "test2.jpg", "2012-12-23 14:47:49", "22:47:49", -122.4, -480, 0, 0 },
    { "test3.jpg", "2012-12-22 19:40:02", "03:39:45.27", -122.4, -480, 16.73, 0 },
    { "IMG_0001.JPG", "2016-03-24 14:49:51.308", "2016-03-24 06:49:47.57", 116.4, 480, 3.738, 0 },
};

static GbReading real_reading(guint i, double lon_deg)
{
    GbReading r = reading(0, at(real_rows[i].local));
    if (strlen(real_rows[i].gps) > 12) {
        r.gps_utc_s = at(real_rows[i].gps);
        r.gps_day_s = fmod(r.gps_utc_s, DAY);
    } else {
        g_autofree char *text = g_strconcat("1970-01-01 ", real_rows[i].gps, NULL);
        r.gps_day_s = at(text);
    }
    r.lon_deg = lon_deg;
    r.lat_deg = isnan(lon_deg) ? (double)NAN : 40;
    return r;
}

static void check_real_row(guint i, double lon_deg)
{
    print_message("%s %s longitude\n", real_rows[i].file, isnan(lon_deg) ? "without" : "with");
    GbReading r = real_reading(i, lon_deg);
    g_autoptr(GbClockCard) card = solve(&r, 1);
    const GbClockStretch *s = &card->stretches[0];
    assert_int_equal(s->how, GB_CLOCK_GPS);
    assert_int_equal(s->zone_how, GB_ZONE_ROUNDED);
    assert_int_equal(s->zone_min, real_rows[i].zone_min);
    assert_near(s->error_s, real_rows[i].error_s, 0.001);
    assert_int_equal(s->stamp_days, real_rows[i].stamp_days);
    assert_near(card->times[0].utc_s, r.local_s - real_rows[i].zone_min * 60 - real_rows[i].error_s, 0.001);
    assert_near(card->times[0].correction_s, -real_rows[i].error_s, 0.001);
    assert_int_equal(s->used, 1);
    assert_unknown(s->spread_s);
}

static void each_real_file_alone_has_the_zone_of_its_place_and_the_error_of_its_clock(void **state)
{
    (void)state;
    for (guint i = 0; i < G_N_ELEMENTS(real_rows); i++) {
        check_real_row(i, real_rows[i].lon_deg);
        check_real_row(i, NAN);
    }
}

/* Source: IMG_5195.HEIC read by exiftool: 15:47:53.054, tag -05:00, no GPS time. */
static void a_tag_without_gps_gives_the_zone_and_an_assumed_error(void **state)
{
    (void)state;
    GbReading r = with_tag(4, at("2021-04-11 15:47:53.054"), -300);
    g_autoptr(GbClockCard) card = solve(&r, 1);
    assert_int_equal(card->times[0].how, GB_CLOCK_TAG);
    assert_int_equal(card->times[0].zone_how, GB_ZONE_TAG);
    assert_int_equal(card->times[0].zone_min, -300);
    assert_near(card->times[0].utc_s, at("2021-04-11 20:47:53.054"), 0.001);
    assert_near(card->stretches[0].error_s, 0, 0);
    assert_int_equal(card->stretches[0].used, 0);
}

/* --- real files, through the EXIF reader --- */

typedef struct {
    GbExif exif;
    GbReading reading;
} RealFile;

static void read_file(const char *path, guint camera, const char *name, RealFile *out)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GBytes) bytes = gb_file_read(path, GB_JPEG_MAX_BYTES, &error);
    assert_no_error(error);
    gsize n;
    const void *data = g_bytes_get_data(bytes, &n);
    GbJpegHeader header;
    assert_true(gb_jpeg_header(data, n, &header, &error));
    gb_exif_init(&out->exif);
    gsize length;
    const guint8 *block = g_bytes_get_data(header.exif, &length);
    gb_exif_read(&out->exif, block, length);
    gb_jpeg_header_clear(&header);
    out->reading = gb_reading_from_exif(&out->exif, camera, name);
}

static void check_real_file(const char *name, int zone_min, double error_s)
{
    g_autofree char *path = real_photo(name);
    if (path == NULL) {
        print_message("%s is not here\n", name);
        skip();
    }
    RealFile file;
    read_file(path, 1, name, &file);
    g_autoptr(GbClockCard) card = solve(&file.reading, 1);
    assert_int_equal(card->stretches[0].zone_min, zone_min);
    assert_near(card->stretches[0].error_s, error_s, 0.001);
    assert_false(card->stretches[0].tag_contradicted);
    gb_exif_clear(&file.exif);
}

static void the_phone_in_madrid_is_a_second_fast(void **state)
{
    (void)state;
    check_real_file("iphone_hdr_NO.jpg", 120, 0.956);
}

static void the_phone_in_helsinki_is_a_second_slow_and_its_tag_is_right(void **state)
{
    (void)state;
    check_real_file("HMD_Nokia_8.3_5G.jpg", 180, -1);
}

/* Source: exiftool. Differences 91.76 91.76 92.77 91.97 91.97 92.09 94.10 96.81 145.63 s; the smallest is the freshest fix. */
static void nine_shots_with_ageing_fixes_give_the_low_end_of_their_scatter(void **state)
{
    (void)state;
    const char *const names[] = { "DSCN0010.jpg", "DSCN0012.jpg", "DSCN0021.jpg", "DSCN0025.jpg", "DSCN0027.jpg",
                                  "DSCN0029.jpg", "DSCN0038.jpg", "DSCN0040.jpg", "DSCN0042.jpg" };
    RealFile files[G_N_ELEMENTS(names)];
    GbReading readings[G_N_ELEMENTS(names)];
    for (guint i = 0; i < G_N_ELEMENTS(names); i++) {
        g_autofree char *path = real_photo(names[i]);
        if (path == NULL) {
            print_message("%s is not here\n", names[i]);
            skip();
        }
        read_file(path, 1, names[i], &files[i]);
        readings[i] = files[i].reading;
    }
    g_autoptr(GbClockCard) card = solve(readings, G_N_ELEMENTS(names));
    assert_int_equal(card->n_stretches, 1);
    assert_int_equal(card->stretches[0].zone_min, 120);
    assert_int_equal(card->stretches[0].stamp_days, 1);
    assert_int_equal(card->stretches[0].used, 9);
    assert_near(card->stretches[0].error_s, 91.76, 0.5);
    assert_near(card->stretches[0].spread_s, 0.3, 0.3);
    for (guint i = 0; i < G_N_ELEMENTS(names); i++)
        gb_exif_clear(&files[i].exif);
}

/* --- the demo --- */

/* The shots of the demo's compact that carry GPS time: 67 minutes slow, no tag; beside a phone that states -05:00. */
static void a_compact_67_min_slow_beside_a_phone_is_not_called_another_zone(void **state)
{
    (void)state;
    double start = at("2026-05-14 20:21:40");
    GbReading r[] = {
        with_both(1, at("2026-05-14 15:02:08"), -300, at("2026-05-14 20:02:08")),
        with_both(1, at("2026-05-14 15:22:35"), -300, at("2026-05-14 20:22:35")),
        with_gps(2, start - 5 * HOUR - 67 * 60, start),
        reading(2, start + 6 * 60 - 5 * HOUR - 67 * 60),
        with_gps(2, start + 8 * 60 - 5 * HOUR - 67 * 60, start + 8 * 60),
    };
    g_autoptr(GbClockCard) card = solve(r, G_N_ELEMENTS(r));
    assert_int_equal(card->n_stretches, 2);
    assert_int_equal(card->stretches[0].how, GB_CLOCK_GPS);
    assert_near(card->stretches[0].error_s, 0, 0.001);
    assert_int_equal(card->stretches[1].zone_how, GB_ZONE_NEAR);
    assert_int_equal(card->stretches[1].zone_min, -300);
    assert_near(card->stretches[1].error_s, -67 * 60, 0.001);
    assert_near(card->times[3].local_s, at("2026-05-14 15:27:40"), 0.001);
    assert_near(card->times[3].correction_s, 67 * 60, 0.001);
    const guint order[] = { 0, 2, 1, 3, 4 };
    assert_memory_equal(card->order, order, sizeof order);
    /* Alone, it is an hour west and 7 min slow: another split of the same truth. */
    g_autoptr(GbClockCard) alone = solve(r + 2, 3);
    assert_int_equal(alone->stretches[0].zone_min, -360);
    assert_near(alone->stretches[0].error_s, -7 * 60, 0.001);
    assert_near(alone->times[1].utc_s, card->times[3].utc_s, 0.001);
}

/* The demo's truth, or NULL. OWNED by the caller. */
static char *demo_truth(void)
{
    g_autofree char *path = source_path("demo-photos/truth.csv");
    return g_file_test(path, G_FILE_TEST_EXISTS) ? slurp(path) : NULL;
}

static void the_demo_card_comes_out_within_2_s_of_its_truth(void **state)
{
    (void)state;
    g_autofree char *text = demo_truth();
    if (text == NULL) {
        print_message("demo-photos/truth.csv is not here\n");
        if (g_getenv("CI") != NULL)
            fail_msg("and this is CI");
        skip();
    }
    g_auto(GStrv) lines = g_strsplit(g_strstrip(text), "\n", -1);
    guint n = g_strv_length(lines) - 1;
    g_autofree RealFile *files = g_new(RealFile, n);
    g_autofree GbReading *readings = g_new(GbReading, n);
    g_autofree double *truth = g_new(double, n);
    for (guint i = 0; i < n; i++) {
        g_auto(GStrv) cells = g_strsplit(lines[i + 1], ",", -1);
        g_autofree char *relative = g_build_filename("demo-photos", cells[0], NULL);
        g_autofree char *path = source_path(relative);
        read_file(path, g_str_has_prefix(cells[0], "CRV"), NULL, &files[i]);
        readings[i] = files[i].reading;
        truth[i] = at(cells[5]);
    }
    g_autoptr(GbClockCard) card = solve(readings, n);
    assert_int_equal(card->n_stretches, 2);
    assert_near(card->stretches[0].error_s, 0, 2);
    assert_near(card->stretches[1].error_s, -67 * 60, 2);
    for (guint i = 0; i < n; i++) {
        assert_int_equal(card->times[i].zone_min, -300);
        assert_near(card->times[i].utc_s, truth[i], 2);
        assert_near(card->times[i].local_s, truth[i] - 5 * HOUR, 2);
    }
    for (guint i = 1; i < n; i++)
        assert_true(truth[card->order[i - 1]] <= truth[card->order[i]]);
    for (guint i = 0; i < n; i++)
        gb_exif_clear(&files[i].exif);
}

/* --- days, date line, calendar --- */

static void check_one(GbReading r, int zone_min, double error_s, const char *utc)
{
    g_autoptr(GbClockCard) card = solve(&r, 1);
    assert_int_equal(card->stretches[0].zone_min, zone_min);
    assert_near(card->stretches[0].error_s, error_s, 0.001);
    assert_near(card->times[0].utc_s, at(utc), 0.001);
}

/* Source for the zones: the tz database (Pacific/Kiritimati +14, Pacific/Apia +13, Pacific/Auckland +13 in January, Pacific/Pago_Pago -11,
 * Asia/Kathmandu +05:45, Pacific/Chatham +13:45 in January). */
static void zones_at_the_date_line_and_odd_quarters_are_kept(void **state)
{
    (void)state;
    check_one(with_gps(0, at("2026-01-02 00:30:05"), at("2026-01-01 10:30:00")), 14 * 60, 5, "2026-01-01 10:30:00");
    check_one(with_gps(0, at("2026-01-02 12:00:00"), at("2026-01-01 23:00:00")), 13 * 60, 0, "2026-01-01 23:00:00");
    check_one(with_gps(0, at("2025-12-31 23:00:00"), at("2026-01-01 10:00:00")), -11 * 60, 0, "2026-01-01 10:00:00");
    check_one(with_gps(0, at("2026-01-01 05:45:00"), at("2026-01-01 00:00:00")), 345, 0, "2026-01-01 00:00:00");
    check_one(with_gps(0, at("2026-01-01 13:45:00"), at("2026-01-01 00:00:00")), 825, 0, "2026-01-01 00:00:00");
    GbReading samoa = with_gps(0, at("2026-01-02 12:00:00"), at("2026-01-01 23:00:00"));
    samoa.lat_deg = -13.8;
    samoa.lon_deg = -171.8; /* the sun says -11, the law +13: a date that is there is believed */
    check_one(samoa, 13 * 60, 0, "2026-01-01 23:00:00");
}

static void a_gps_time_without_date_takes_the_day_from_tag_or_longitude_and_says_when_it_is_unsure(void **state)
{
    (void)state;
    GbReading auckland = reading(0, at("2026-01-02 12:00:00"));
    auckland.gps_day_s = 23 * HOUR;
    g_autoptr(GbClockCard) unplaced = solve(&auckland, 1);
    assert_int_equal(unplaced->stretches[0].zone_min, -11 * 60);
    assert_true(unplaced->stretches[0].day_unsure);
    auckland.lat_deg = -36.8;
    auckland.lon_deg = 174.8;
    check_one(auckland, 13 * 60, 0, "2026-01-01 23:00:00");
    auckland.lon_deg = -171.8; /* misled by the sun, but a tag settles it */
    auckland.has_offset = TRUE;
    auckland.offset_min = 13 * 60;
    check_one(auckland, 13 * 60, 0, "2026-01-01 23:00:00");
    GbReading kansas = reading(0, at("2026-05-14 15:00:00"));
    kansas.gps_day_s = 20 * HOUR;
    g_autoptr(GbClockCard) sure = solve(&kansas, 1);
    assert_false(sure->stretches[0].day_unsure);
}

static void new_year_and_leap_day_are_ordinary_days(void **state)
{
    (void)state;
    check_one(with_gps(0, at("2025-12-31 23:59:50"), at("2026-01-01 05:59:55")), -360, -5, "2026-01-01 05:59:55");
    check_one(with_gps(0, at("2028-02-29 22:00:00"), at("2028-03-01 04:00:00")), -360, 0, "2028-03-01 04:00:00");
    GbReading undated = reading(0, at("2028-02-29 22:00:00"));
    undated.gps_day_s = 4 * HOUR;
    check_one(undated, -360, 0, "2028-03-01 04:00:00");
    undated.local_s = at("2025-12-31 20:00:00");
    undated.gps_day_s = 2 * HOUR;
    check_one(undated, -360, 0, "2026-01-01 02:00:00");
}

/* Source: IS-GPS-200: the week number of the civil message has 10 bits. */
static void a_gps_date_1024_weeks_early_is_mended(void **state)
{
    (void)state;
    double utc = at("2024-06-10 15:00:00");
    GbReading r = with_gps(0, utc - 5 * HOUR + 3, utc - 7168 * DAY);
    g_autoptr(GbClockCard) card = solve(&r, 1);
    assert_int_equal(card->stretches[0].stamp_days, -7168);
    assert_near(card->times[0].utc_s, utc, 3.001);
    assert_near(card->stretches[0].error_s, 3, 0.001);
}

static void a_clock_years_off_is_corrected_by_gps_and_its_zone_is_unknown(void **state)
{
    (void)state;
    double utc = at("2026-05-14 20:00:00");
    GbReading r[] = { with_gps(0, at("2016-01-01 00:07:00"), utc), with_gps(0, at("2016-01-01 00:08:00"), utc + 60) };
    g_autoptr(GbClockCard) card = solve(r, 2);
    assert_near(card->times[1].utc_s, utc + 60, 0.001);
    assert_int_equal(card->times[1].zone_how, GB_ZONE_NONE);
    assert_unknown(card->times[1].local_s);
    assert_unknown(card->stretches[0].error_s);
    GbReading tagged = with_both(0, at("2016-01-01 00:07:00"), -300, utc);
    g_autoptr(GbClockCard) zoned = solve(&tagged, 1);
    assert_near(zoned->times[0].local_s, utc - 5 * HOUR, 0.001);
    assert_true(zoned->stretches[0].tag_contradicted);
}

/* --- tags against GPS --- */

static void a_tag_of_another_zone_is_contradicted_and_gps_gives_the_zone(void **state)
{
    (void)state;
    GbReading r = with_both(0, at("2026-05-14 15:00:01"), -360, at("2026-05-14 20:00:00"));
    g_autoptr(GbClockCard) card = solve(&r, 1);
    assert_true(card->stretches[0].tag_contradicted);
    assert_int_equal(card->stretches[0].tag_min, -360);
    assert_int_equal(card->stretches[0].zone_min, -300);
    assert_int_equal(card->stretches[0].zone_how, GB_ZONE_ROUNDED);
    assert_near(card->stretches[0].error_s, 1, 0.001);
}

static void a_tagged_clock_67_min_slow_keeps_its_tag_and_says_so(void **state)
{
    (void)state;
    GbReading r = with_both(0, at("2026-05-14 13:53:00"), -300, at("2026-05-14 20:00:00"));
    g_autoptr(GbClockCard) card = solve(&r, 1);
    assert_true(card->stretches[0].tag_contradicted);
    assert_int_equal(card->stretches[0].zone_min, -300);
    assert_near(card->stretches[0].error_s, -67 * 60, 0.001);
}

static void a_zone_is_not_borrowed_from_afar_or_from_another_week(void **state)
{
    (void)state;
    GbReading r[] = {
        with_both(1, at("2026-05-14 15:00:00"), -300, at("2026-05-14 20:00:00")),
        with_gps(2, at("2026-05-14 14:53:00"), at("2026-05-14 21:00:00")),
    };
    r[0].lat_deg = 38.73, r[0].lon_deg = -97.41;
    r[1].lat_deg = 38.73, r[1].lon_deg = -104.8; /* 640 km west, where the clocks show an hour less */
    g_autoptr(GbClockCard) afar = solve(r, 2);
    assert_int_equal(afar->stretches[1].zone_how, GB_ZONE_ROUNDED);
    assert_int_equal(afar->stretches[1].zone_min, -360);
    r[1].lon_deg = -97.42;
    g_autoptr(GbClockCard) near = solve(r, 2);
    assert_int_equal(near->stretches[1].zone_min, -300);
    r[1].local_s += 7 * DAY;
    r[1].gps_utc_s += 7 * DAY;
    g_autoptr(GbClockCard) later = solve(r, 2);
    assert_int_equal(later->stretches[1].zone_min, -360);
}

/* --- daylight saving, held against the tz database --- */

/* Minutes east of UTC in Chicago, or skip. */
static int chicago_min(double utc_s)
{
    g_autoptr(GTimeZone) zone = g_time_zone_new_identifier("America/Chicago");
    if (zone == NULL) {
        print_message("the tz database is not installed\n");
        if (g_getenv("CI") != NULL)
            fail_msg("and this is CI");
        skip();
    }
    return g_time_zone_get_offset(zone, g_time_zone_find_interval(zone, G_TIME_TYPE_UNIVERSAL, (gint64)utc_s)) / 60;
}

/* Eight hours around a change: a phone that follows it, with and without tag, and a compact that does not. */
static void check_change(const char *around)
{
    enum { N = 48 };
    GbReading r[3 * N];
    double middle = at(around), truth[3 * N];
    for (int i = 0; i < N; i++) {
        double utc = middle + (i - N / 2) * 600 + 60;
        for (int c = 0; c < 3; c++)
            truth[3 * i + c] = utc + 90 * c;
        r[3 * i] = with_both(0, truth[3 * i] + chicago_min(truth[3 * i]) * 60, chicago_min(truth[3 * i]), truth[3 * i]);
        r[3 * i + 1] = with_gps(1, truth[3 * i + 1] + chicago_min(truth[3 * i + 1]) * 60 + 2, truth[3 * i + 1]);
        r[3 * i + 2] = with_gps(2, truth[3 * i + 2] - 6 * HOUR + 4, truth[3 * i + 2]);
    }
    g_autoptr(GbClockCard) card = solve(r, 3 * N);
    assert_int_equal(card->n_stretches, 6);
    for (int i = 0; i < 3 * N; i++) {
        int zone = chicago_min(truth[i]);
        assert_near(card->times[i].utc_s, truth[i], 0.001);
        assert_int_equal(card->times[i].zone_min, zone);
        assert_near(card->times[i].local_s, truth[i] + zone * 60, 0.001);
        assert_int_equal(card->order[i], i);
        double error = i % 3 == 0 ? 0 : i % 3 == 1 ? 2 : 4 - (zone + 360) * 60;
        assert_near(card->stretches[card->times[i].stretch].error_s, error, 0.001);
    }
    /* The phone without tag, alone: the change is found as a jump. */
    GbReading alone[N];
    for (int i = 0; i < N; i++)
        alone[i] = r[3 * i + 1];
    g_autoptr(GbClockCard) single = solve(alone, N);
    assert_int_equal(single->n_stretches, 2);
    for (int i = 0; i < N; i++)
        assert_int_equal(single->times[i].zone_min, chicago_min(truth[3 * i + 1]));
}

static void clocks_through_the_start_of_daylight_saving_keep_their_true_order(void **state)
{
    (void)state;
    check_change("2026-03-08 08:00:00");
}

static void clocks_through_the_end_of_daylight_saving_keep_their_true_order(void **state)
{
    (void)state;
    check_change("2026-11-01 07:00:00");
}

/* --- a clock that was set --- */

enum { CARD = 40 };

/* A card of one camera in -05:00, a shot a minute; from shot `from` on the clock shows `jump` more. */
static void make_card(GbReading *r, double *truth, int from, double jump)
{
    for (int i = 0; i < CARD; i++) {
        truth[i] = at("2026-05-14 18:00:00") + 60 * i + (i >= 20 ? 1800 : 0); /* a pause before shot 20 */
        r[i] = with_gps(0, truth[i] - 5 * HOUR + (i >= from ? jump : 0), truth[i]);
    }
}

static void check_jump(int from, double jump)
{
    GbReading r[CARD];
    double truth[CARD];
    make_card(r, truth, from, jump);
    g_autoptr(GbClockCard) card = solve(r, CARD);
    assert_int_equal(card->n_stretches, 2);
    assert_int_equal(card->stretches[0].last, from - 1);
    assert_int_equal(card->stretches[1].first, from);
    assert_near(card->stretches[1].offset_s - card->stretches[0].offset_s, jump, 0.001);
    for (int i = 0; i < CARD; i++)
        assert_near(card->times[i].utc_s, truth[i], 0.001);
}

static void a_clock_set_by_hand_a_changed_zone_and_a_battery_swap_are_found(void **state)
{
    (void)state;
    check_jump(17, 67 * 60);
    check_jump(17, -67 * 60);
    check_jump(3, 3600);
    check_jump(38, -3600);
    check_jump(20, -180);
    check_jump(20, at("2016-01-01 00:00:00") - at("2026-05-14 13:50:00"));
}

static void the_last_shot_alone_shows_a_clock_set_back_and_not_one_set_forward(void **state)
{
    (void)state;
    check_jump(CARD - 1, -1200);
    GbReading r[CARD];
    double truth[CARD];
    make_card(r, truth, CARD - 1, 1200);
    g_autoptr(GbClockCard) card = solve(r, CARD);
    assert_int_equal(card->n_stretches, 1);
}

static void shots_without_gps_around_a_set_clock_fall_on_the_right_side_of_it(void **state)
{
    (void)state;
    const double jumps[] = { 67 * 60, -67 * 60 };
    for (guint k = 0; k < G_N_ELEMENTS(jumps); k++) {
        GbReading r[CARD];
        double truth[CARD];
        make_card(r, truth, 17, jumps[k]);
        for (int i = 14; i < 24; i++)
            r[i].gps_utc_s = r[i].gps_day_s = NAN;
        g_autoptr(GbClockCard) card = solve(r, CARD);
        assert_int_equal(card->n_stretches, 2);
        assert_int_equal(card->stretches[1].first, 17);
        for (int i = 0; i < CARD; i++)
            assert_near(card->times[i].utc_s, truth[i], 0.001);
    }
}

static void old_fixes_are_not_taken_for_a_set_clock(void **state)
{
    (void)state;
    GbReading r[CARD];
    double truth[CARD];
    make_card(r, truth, CARD, 0);
    const int old[] = { 0, 9, 10, 11, 12, 25, 39 };           /* yesterday's, indoors four times the same, two alone */
    const double fix[] = { -70000, -300, -300, -300, -300, -900, -5000 };
    for (guint k = 0; k < G_N_ELEMENTS(old); k++) {
        double utc = (old[k] >= 9 && old[k] <= 12 ? truth[9] : truth[old[k]]) + fix[k];
        r[old[k]] = with_gps(0, truth[old[k]] - 5 * HOUR, utc);
    }
    g_autoptr(GbClockCard) card = solve(r, CARD);
    assert_int_equal(card->n_stretches, 1);
    assert_near(card->stretches[0].error_s, 0, 0.001);
    assert_int_equal(card->stretches[0].used, CARD - 7);
}

/* 18 s: GPS time before UTC in 2026, which a receiver writes until it has the leap seconds. */
static void one_bad_receiver_value_below_the_rest_does_not_move_the_answer(void **state)
{
    (void)state;
    GbReading r[CARD];
    double truth[CARD];
    make_card(r, truth, CARD, 0);
    r[0].gps_utc_s += 18;
    r[0].gps_day_s += 18;
    g_autoptr(GbClockCard) card = solve(r, CARD);
    assert_near(card->stretches[0].error_s, 0, 0.001);
}

/* --- words and pairs --- */

static void check_words(const char *text, double error_s)
{
    g_autoptr(GError) error = NULL;
    double seen = NAN;
    gb_clock_parse(text, &seen, &error);
    assert_no_error(error);
    assert_near(seen, error_s, 1e-9);
}

static void clock_words_are_understood_in_every_usual_spelling(void **state)
{
    (void)state;
    check_words("1 h 7 min slow", -4020);
    check_words("1h7m slow", -4020);
    check_words("67 min slow", -4020);
    check_words(" 67  Minutes  too SLOW ", -4020);
    check_words("1 hour, 7 minutes behind", -4020);
    check_words("1 hr. and 7 mins. behind", -4020);
    check_words("2:05:10 fast", 7510);
    check_words("1.5 hours ahead", 5400);
    check_words("1 d 30 s slow", -86430);
    check_words("3652 days slow", -3652 * DAY);
    check_words("0 s fast", 0);
    check_words("right", 0);
    check_words("Correct", 0);
}

static void check_refused(const char *text, int code, const char *part)
{
    GError *error = NULL;
    double seen = 42;
    assert_false(gb_clock_parse(text, &seen, &error));
    assert_error(error, code, part);
    assert_near(seen, 42, 0);
}

static void clock_words_with_two_meanings_are_refused_with_the_reason(void **state)
{
    (void)state;
    check_refused("1:07 slow", GB_ERROR_UNCLEAR, "hours or minutes");
    check_refused("67 slow", GB_ERROR_UNCLEAR, "no unit");
    check_refused("67 min", GB_ERROR_UNCLEAR, "slow or fast");
    check_refused("2:05:10", GB_ERROR_UNCLEAR, "slow or fast");
    check_refused("-67 min slow", GB_ERROR_SYNTAX, "write it like");
    check_refused("7 min 1 h slow", GB_ERROR_SYNTAX, "write it like");
    check_refused("1 h 1 h slow", GB_ERROR_SYNTAX, "write it like");
    check_refused("slow", GB_ERROR_SYNTAX, "write it like");
    check_refused("", GB_ERROR_SYNTAX, "write it like");
    check_refused("nan h slow", GB_ERROR_SYNTAX, "write it like");
    check_refused("1e9 h slow", GB_ERROR_SYNTAX, "write it like");
    check_refused("2:65:10 fast", GB_ERROR_SYNTAX, "write it like");
    check_refused("36526 d fast", GB_ERROR_SYNTAX, "100 years");
    check_refused("\xff", GB_ERROR_SYNTAX, "write it like");
}

static void clock_text_says_what_the_parser_takes_back(void **state)
{
    (void)state;
    const struct { double error_s; const char *text; } rows[] = {
        { -4020, "1 h 7 min slow" }, { 0.94, "1 s fast" }, { -0.4, "right" }, { 90061, "1 d 1 h 1 min 1 s fast" },
        { 7200, "2 h fast" },
    };
    for (guint i = 0; i < G_N_ELEMENTS(rows); i++) {
        g_autofree char *text = gb_clock_text(rows[i].error_s);
        assert_string_equal(text, rows[i].text);
        check_words(text, round(rows[i].error_s));
    }
    g_autofree char *unknown = gb_clock_text(NAN), *nepal = gb_zone_text(345), *kansas = gb_zone_text(-300), *half = gb_zone_text(-30);
    assert_string_equal(unknown, "");
    assert_string_equal(nepal, "UTC+05:45");
    assert_string_equal(kansas, "UTC-05:00");
    assert_string_equal(half, "UTC-00:30");
}

static void a_word_corrects_a_camera_that_knows_nothing_else(void **state)
{
    (void)state;
    GbReading r[] = {
        with_tag(1, at("2026-05-14 15:20:00"), -300), with_tag(1, at("2026-05-14 15:22:00"), -300),
        reading(2, at("2026-05-14 14:14:00")),
    };
    GbClockWord word = { 2, -67 * 60 };
    g_autoptr(GbClockCard) card = solve_with(r, 3, NULL, 0, &word, 1);
    assert_int_equal(card->times[2].how, GB_CLOCK_SAID);
    assert_int_equal(card->times[2].zone_how, GB_ZONE_NEAR);
    assert_near(card->times[2].local_s, at("2026-05-14 15:21:00"), 0.001);
    assert_near(card->times[2].utc_s, at("2026-05-14 20:21:00"), 0.001);
    const guint order[] = { 0, 2, 1 };
    assert_memory_equal(card->order, order, sizeof order);
    /* Alone on its card it has no zone: local time is corrected, UTC stays unknown. */
    g_autoptr(GbClockCard) alone = solve_with(r + 2, 1, NULL, 0, &word, 1);
    assert_near(alone->times[0].local_s, at("2026-05-14 15:21:00"), 0.001);
    assert_unknown(alone->times[0].utc_s);
    assert_int_equal(alone->times[0].zone_how, GB_ZONE_NONE);
}

static void a_word_outweighs_gps_and_splits_its_difference(void **state)
{
    (void)state;
    GbReading r = with_gps(2, at("2026-05-14 14:14:40"), at("2026-05-14 20:21:40"));
    GbClockWord words[] = { { 2, 0 }, { 2, -67 * 60 } }; /* the later one counts */
    g_autoptr(GbClockCard) card = solve_with(&r, 1, NULL, 0, words, 2);
    assert_int_equal(card->times[0].how, GB_CLOCK_SAID);
    assert_int_equal(card->times[0].zone_min, -300);
    assert_near(card->times[0].utc_s, at("2026-05-14 20:21:40"), 0.001);
}

static void pairs_correct_a_camera_and_may_lean_on_each_other(void **state)
{
    (void)state;
    GbReading r[] = {
        with_tag(1, at("2026-05-14 15:20:00"), -300),
        reading(2, at("2020-01-01 00:00:10")), reading(2, at("2020-01-01 00:01:00")),
        reading(3, at("2026-05-14 09:00:00")), reading(3, at("2026-05-14 09:05:00")),
    };
    GbClockPair pairs[] = { { 4, 2 }, { 1, 0 } }; /* given in the wrong order on purpose */
    g_autoptr(GbClockCard) card = solve_with(r, 5, pairs, 2, NULL, 0);
    assert_int_equal(card->times[1].how, GB_CLOCK_PAIRED);
    assert_near(card->times[1].local_s, at("2026-05-14 15:20:00"), 0.001);
    assert_near(card->times[2].local_s, at("2026-05-14 15:20:50"), 0.001);
    assert_near(card->times[4].local_s, at("2026-05-14 15:20:50"), 0.001);
    assert_near(card->times[3].utc_s, at("2026-05-14 20:15:50"), 0.001);
    /* Without any zone on the card, local times are brought together. */
    g_autoptr(GbClockCard) zoneless = solve_with(r + 1, 4, (GbClockPair[]){ { 3, 1 } }, 1, NULL, 0);
    assert_near(zoneless->times[3].local_s, at("2020-01-01 00:01:00"), 0.001);
    assert_unknown(zoneless->times[3].utc_s);
}

static void check_bad_pair(const GbReading *r, gsize n, const GbClockPair *pairs, gsize n_pairs, int code, const char *part)
{
    GError *error = NULL;
    assert_null(gb_clock_card(r, n, pairs, n_pairs, NULL, 0, &error));
    assert_error(error, code, part);
}

static void pairs_that_cannot_be_are_refused(void **state)
{
    (void)state;
    GbReading r[] = { reading(1, 1000), reading(1, 1100), reading(2, 2000), reading(3, NAN) };
    check_bad_pair(r, 4, (GbClockPair[]){ { 0, 1 } }, 1, GB_ERROR_UNKNOWN, "one camera");
    check_bad_pair(r, 4, (GbClockPair[]){ { 0, 9 } }, 1, GB_ERROR_UNKNOWN, "not there");
    check_bad_pair(r, 4, (GbClockPair[]){ { 0, 3 } }, 1, GB_ERROR_UNKNOWN, "without a time");
    check_bad_pair(r, 4, (GbClockPair[]){ { 0, 2 }, { 2, 1 } }, 2, GB_ERROR_STATE, "circle");
}

/* --- order, empty cards --- */

static void the_order_is_total_and_does_not_depend_on_the_order_of_the_array(void **state)
{
    (void)state;
    GbReading r[] = { with_tag(1, 7000, 0), with_tag(2, 7000, 0), with_tag(3, 10600, 60), reading(4, NAN),
                      with_tag(5, 6999, 0), reading(6, NAN) };
    const char *const names[] = { "b", "a", "c", "z", "y", "x" }, *const wanted = "yabcxz";
    for (guint i = 0; i < G_N_ELEMENTS(r); i++)
        r[i].name = names[i];
    for (guint turn = 0; turn < G_N_ELEMENTS(r); turn++) {
        GbReading turned[G_N_ELEMENTS(r)];
        for (guint i = 0; i < G_N_ELEMENTS(r); i++)
            turned[i] = r[(i + turn) % G_N_ELEMENTS(r)];
        g_autoptr(GbClockCard) card = solve(turned, G_N_ELEMENTS(r));
        for (guint i = 0; i < G_N_ELEMENTS(r); i++)
            assert_int_equal(turned[card->order[i]].name[0], wanted[i]);
    }
}

static void a_shot_without_a_reading_has_its_gps_time_or_nothing(void **state)
{
    (void)state;
    GbReading r[] = { with_gps(1, NAN, at("2026-05-14 20:00:00")), reading(1, NAN) };
    g_autoptr(GbClockCard) card = solve(r, 2);
    assert_int_equal(card->n_stretches, 0);
    assert_int_equal(card->times[0].stretch, -1);
    assert_near(card->times[0].utc_s, at("2026-05-14 20:00:00"), 0.001);
    assert_unknown(card->times[0].local_s);
    assert_unknown(card->times[1].utc_s);
    assert_int_equal(card->times[1].how, GB_CLOCK_NONE);
    g_autoptr(GbClockCard) empty = solve(NULL, 0);
    assert_int_equal(empty->n, 0);
}

/* --- alignment, held against a simulator --- */

typedef struct {
    GbReading readings[200];
    double truth[200];
    gsize n;
    double offset_s; /* of camera 2 */
} Day;

static double normal(GRand *rand)
{
    return sqrt(-2 * log(1 - g_rand_double(rand))) * cos(2 * G_PI * g_rand_double(rand));
}

/* A camera's clock: mostly about right, sometimes in the other season's hour, sometimes anything. */
static double draw_error(GRand *rand)
{
    double kind = g_rand_double(rand);
    if (kind < 0.4)
        return 90 * normal(rand);
    if (kind < 0.6)
        return (g_rand_boolean(rand) ? HOUR : -HOUR) + 90 * normal(rand);
    return g_rand_double_range(rand, -9, 9) * HOUR;
}

/* One to three inspections of 20 to 60 shots, a gap of some 40 s between shots, longer where one walks on, and drives between; the
 * second camera takes over for some shots at a time. */
static void draw_day(GRand *rand, Day *day)
{
    double t = at("2026-05-14 14:00:00") + g_rand_double_range(rand, 0, 4 * HOUR);
    int visits = g_rand_int_range(rand, 1, 4), camera = 1;
    double to_second = g_rand_double_range(rand, 0.03, 0.12);
    day->n = 0;
    day->offset_s = -5 * HOUR + draw_error(rand);
    for (int v = 0; v < visits; v++) {
        for (int i = g_rand_int_range(rand, 20, 61); i > 0; i--) {
            gboolean change = g_rand_double(rand) < (camera == 1 ? to_second : 0.2);
            camera = change ? 3 - camera : camera;
            t += 40 * exp(0.8 * normal(rand)) + (change ? 8 : 0);
            t += g_rand_double(rand) < 0.08 ? g_rand_double_range(rand, 60, 400) : 0;
            day->truth[day->n] = t;
            day->readings[day->n++] = camera == 1 ? with_tag(1, floor(t) - 5 * HOUR, -300)
                                                  : reading(2, floor(t + day->offset_s));
        }
        t += g_rand_double_range(rand, 0.4, 2) * HOUR;
    }
}

static int second_shot(const Day *day, int at_least)
{
    int seen = 0, first = -1;
    for (gsize i = 0; i < day->n; i++)
        if (day->readings[i].camera == 2) {
            first = first < 0 ? (int)i : first;
            seen++;
        }
    return seen >= at_least ? first : -1;
}

/* Measured: 278 of 400 days aligned, 277 of them within 90 s; the floors leave some room. */
static void alignment_without_gps_is_right_when_it_says_so(void **state)
{
    (void)state;
    g_autoptr(GRand) rand = g_rand_new_with_seed(20260514);
    int days = 0, found = 0, right = 0;
    double promised = 0;
    while (days < 400) {
        g_autofree Day *day = g_new(Day, 1);
        draw_day(rand, day);
        int shot = second_shot(day, 5);
        if (shot < 0)
            continue;
        days++;
        g_autoptr(GbClockCard) card = solve(day->readings, day->n);
        const GbClockStretch *s = &card->stretches[card->times[shot].stretch];
        gboolean close = fabs(s->offset_s - day->offset_s) <= 90;
        if (s->how == GB_CLOCK_ALIGNED) {
            found++;
            right += close;
            promised += s->confidence;
        }
    }
    print_message("400 days: %d aligned, %d of them within 90 s (%.1f %%; promised %.1f %%)\n",
                  found, right, 100.0 * right / found, 100 * promised / found);
    assert_true(found >= 240);
    assert_true(right >= 0.97 * found);
}

static void a_camera_that_cannot_be_aligned_is_taken_as_it_is_and_says_so(void **state)
{
    (void)state;
    GbReading r[] = { with_tag(1, at("2026-05-14 15:00:00"), -300), reading(2, at("2026-05-14 11:00:00")) };
    g_autoptr(GbClockCard) card = solve(r, 2);
    assert_int_equal(card->times[1].how, GB_CLOCK_NONE);
    assert_true(card->stretches[1].confidence < 0.9);
    assert_near(card->times[1].local_s, r[1].local_s, 0);
    assert_near(card->times[1].utc_s, at("2026-05-14 16:00:00"), 0.001);
    assert_near(card->times[1].correction_s, 0, 0);
    /* Years away, or with nobody to compare, there is not even a guess. */
    r[1].local_s -= 3650 * DAY;
    g_autoptr(GbClockCard) away = solve(r, 2);
    assert_unknown(away->stretches[1].confidence);
    assert_unknown(away->times[1].utc_s);
    g_autoptr(GbClockCard) alone = solve(r + 1, 1);
    assert_near(alone->times[0].local_s, r[1].local_s, 0);
    assert_unknown(alone->times[0].utc_s);
}

/* The demo's shots with the compact's GPS taken away: seven shots are too few to be sure, and the guess is the truth. */
static void seven_shots_are_too_few_to_be_sure_but_the_best_guess_is_told(void **state)
{
    (void)state;
    const char *const phone[] = {
        "15:02:08", "15:03:02", "15:03:41", "15:04:20", "15:05:15", "15:06:30", "15:06:31", "15:06:32", "15:07:05",
        "15:08:10", "15:11:20", "15:12:02", "15:12:50", "15:13:14", "15:14:20", "15:14:41", "15:16:05", "15:16:44",
        "15:19:30", "15:20:08", "15:20:50", "15:22:35", "15:24:10", "15:24:48", "15:24:55", "15:25:30", "15:25:52",
        "15:26:10", "15:38:15", "15:38:50", "15:42:10", "15:48:30", "15:49:05", "15:50:10", "15:51:30", "15:53:05",
        "15:55:10", "15:57:20", "16:00:15", "16:00:48", "16:04:10", "16:05:30", "16:05:58", "16:07:15", "16:09:20",
        "16:12:05", "16:15:40", "17:31:10", "17:32:05", "17:34:30", "17:37:00", "17:39:20", "17:40:05", "17:46:30",
    };
    const char *const compact[] = { "14:14:40", "14:20:40", "14:21:35", "14:24:10", "14:25:20", "14:26:30", "14:27:05" };
    GbReading r[G_N_ELEMENTS(phone) + G_N_ELEMENTS(compact)];
    guint n = 0;
    for (guint i = 0; i < G_N_ELEMENTS(phone); i++) {
        g_autofree char *text = g_strconcat("2026-05-14 ", phone[i], NULL);
        r[n++] = with_tag(1, at(text), -300);
    }
    for (guint i = 0; i < G_N_ELEMENTS(compact); i++) {
        g_autofree char *text = g_strconcat("2026-05-14 ", compact[i], NULL);
        r[n++] = reading(2, at(text));
    }
    g_autoptr(GbClockCard) card = solve(r, n);
    assert_int_equal(card->stretches[1].how, GB_CLOCK_NONE);
    assert_near(card->stretches[1].guess_s, -67 * 60, 60);
}

/* A clock without GPS that is set back by an hour; then a card whose files came in no order at all. */
static void a_clock_without_gps_that_goes_back_was_set_unless_the_array_is_out_of_order(void **state)
{
    (void)state;
    GbReading r[CARD];
    for (int i = 0; i < CARD; i++)
        r[i] = reading(0, 60 * i - (i >= 17 ? 3600 : 0));
    g_autoptr(GbClockCard) set = solve(r, CARD);
    assert_int_equal(set->n_stretches, 2);
    assert_int_equal(set->stretches[1].first, 17);
    for (int i = 0; i < CARD; i++)
        r[i] = reading(0, 600 * (i * 17 % CARD));
    g_autoptr(GbClockCard) shuffled = solve(r, CARD);
    assert_int_equal(shuffled->n_stretches, 1);
}

/* No source: whatever the files say, every shot is in the order once, and unknown stays apart from known. */
static void any_readings_at_all_give_a_whole_order(void **state)
{
    (void)state;
    enum { N = 300 };
    g_autoptr(GRand) rand = g_rand_new_with_seed(7);
    for (int round = 0; round < 60; round++) {
        GbReading r[N];
        double span = pow(10, g_rand_double_range(rand, 1, 11));
        for (int i = 0; i < N; i++) {
            r[i] = with_gps(g_rand_int_range(rand, 0, 6), g_rand_double_range(rand, 0, span), g_rand_double_range(rand, 0, span));
            if (g_rand_double(rand) < 0.3)
                r[i].local_s = NAN;
            if (g_rand_double(rand) < 0.6)
                r[i].gps_utc_s = NAN;
            if (g_rand_double(rand) < 0.3 || r[i].camera > 3)
                r[i].gps_utc_s = r[i].gps_day_s = NAN;
            r[i].has_offset = r[i].camera < 2 && g_rand_boolean(rand);
            r[i].offset_min = g_rand_int_range(rand, -840, 841);
            if (g_rand_boolean(rand))
                r[i].lat_deg = g_rand_double_range(rand, -90, 90), r[i].lon_deg = g_rand_double_range(rand, -180, 180);
        }
        GbClockWord word = { 3, g_rand_double_range(rand, -span, span) };
        g_autoptr(GbClockCard) card = solve_with(r, N, NULL, 0, &word, 1);
        gboolean seen[N] = { FALSE };
        for (int i = 0; i < N; i++) {
            assert_false(seen[card->order[i]]);
            seen[card->order[i]] = TRUE;
            const GbClockTime *t = &card->times[i];
            assert_int_equal(t->stretch < 0, isnan(r[i].local_s));
            if (!isnan(t->local_s) && !isnan(t->utc_s))
                assert_near(t->local_s - t->utc_s, t->zone_min * 60, 0.01);
            if (!isnan(t->correction_s))
                assert_near(t->reading_s + t->correction_s, t->local_s, 0.01);
        }
    }
}

/* A claim may come from anywhere: an offset of 4,000 years makes no sense, and no overflow. */
static void an_absurd_offset_tag_is_carried_as_it_is(void **state)
{
    (void)state;
    GbReading r[] = { with_tag(1, 7000, 0), reading(1, 7010), reading(2, NAN) };
    r[0].offset_min = r[2].offset_min = G_MAXINT;
    r[2].has_offset = TRUE;
    g_autoptr(GbClockCard) card = gb_clock_card(r, G_N_ELEMENTS(r), NULL, 0, NULL, 0, NULL);
    for (gsize i = 0; i < G_N_ELEMENTS(r); i++)
        assert_int_equal(card->times[i].zone_min, G_MAXINT);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(each_real_file_alone_has_the_zone_of_its_place_and_the_error_of_its_clock),
        cmocka_unit_test(a_tag_without_gps_gives_the_zone_and_an_assumed_error),
        cmocka_unit_test(the_phone_in_madrid_is_a_second_fast),
        cmocka_unit_test(the_phone_in_helsinki_is_a_second_slow_and_its_tag_is_right),
        cmocka_unit_test(nine_shots_with_ageing_fixes_give_the_low_end_of_their_scatter),
        cmocka_unit_test(a_compact_67_min_slow_beside_a_phone_is_not_called_another_zone),
        cmocka_unit_test(the_demo_card_comes_out_within_2_s_of_its_truth),
        cmocka_unit_test(zones_at_the_date_line_and_odd_quarters_are_kept),
        cmocka_unit_test(a_gps_time_without_date_takes_the_day_from_tag_or_longitude_and_says_when_it_is_unsure),
        cmocka_unit_test(new_year_and_leap_day_are_ordinary_days),
        cmocka_unit_test(a_gps_date_1024_weeks_early_is_mended),
        cmocka_unit_test(a_clock_years_off_is_corrected_by_gps_and_its_zone_is_unknown),
        cmocka_unit_test(a_tag_of_another_zone_is_contradicted_and_gps_gives_the_zone),
        cmocka_unit_test(a_tagged_clock_67_min_slow_keeps_its_tag_and_says_so),
        cmocka_unit_test(a_zone_is_not_borrowed_from_afar_or_from_another_week),
        cmocka_unit_test(clocks_through_the_start_of_daylight_saving_keep_their_true_order),
        cmocka_unit_test(clocks_through_the_end_of_daylight_saving_keep_their_true_order),
        cmocka_unit_test(a_clock_set_by_hand_a_changed_zone_and_a_battery_swap_are_found),
        cmocka_unit_test(the_last_shot_alone_shows_a_clock_set_back_and_not_one_set_forward),
        cmocka_unit_test(shots_without_gps_around_a_set_clock_fall_on_the_right_side_of_it),
        cmocka_unit_test(old_fixes_are_not_taken_for_a_set_clock),
        cmocka_unit_test(one_bad_receiver_value_below_the_rest_does_not_move_the_answer),
        cmocka_unit_test(clock_words_are_understood_in_every_usual_spelling),
        cmocka_unit_test(clock_words_with_two_meanings_are_refused_with_the_reason),
        cmocka_unit_test(clock_text_says_what_the_parser_takes_back),
        cmocka_unit_test(a_word_corrects_a_camera_that_knows_nothing_else),
        cmocka_unit_test(a_word_outweighs_gps_and_splits_its_difference),
        cmocka_unit_test(pairs_correct_a_camera_and_may_lean_on_each_other),
        cmocka_unit_test(pairs_that_cannot_be_are_refused),
        cmocka_unit_test(the_order_is_total_and_does_not_depend_on_the_order_of_the_array),
        cmocka_unit_test(a_shot_without_a_reading_has_its_gps_time_or_nothing),
        cmocka_unit_test(alignment_without_gps_is_right_when_it_says_so),
        cmocka_unit_test(a_camera_that_cannot_be_aligned_is_taken_as_it_is_and_says_so),
        cmocka_unit_test(seven_shots_are_too_few_to_be_sure_but_the_best_guess_is_told),
        cmocka_unit_test(a_clock_without_gps_that_goes_back_was_set_unless_the_array_is_out_of_order),
        cmocka_unit_test(any_readings_at_all_give_a_whole_order),
        cmocka_unit_test(an_absurd_offset_tag_is_carried_as_it_is),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
