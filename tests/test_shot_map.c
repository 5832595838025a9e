/* test_shot_map.c -- the plan of camera positions: held against where the demo's cameras truly stood; harmless, readable without eyes, and
 * nobody's but the file's.
 *
 * Source: demo-photos/truth.csv, written from the scene that the pictures were rendered from; the errors are those that the photos state.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "claim_support.h"
#include "photo_support.h"

#include <gablebook/edit.h>
#include <gablebook/error.h>
#include <gablebook/file.h>
#include <gablebook/history.h>
#include <gablebook/jpeg.h>
#include <gablebook/report.h>
#include <gablebook/roofs.h>
#include <gablebook/structure.h>
#include <gablebook/suggest.h>
#include <gablebook/tag.h>
#include <jansson.h>

#define HOSTILE "<b>shed</b> & \"co\""

enum { FILE_NAME, PLACE, SUBJECT, DISTANCE, PROPERTY, TRUE_TIME, LAT, LON, ALTITUDE, HEADING, COLUMNS };

/* What the cameras wrote: the demo's photos of the first property, entered without their pictures, shot i+1 being lines[i]. *truth: its lines,
 * OWNED by the caller (g_strfreev). */
static GbLog *demo_claim(void **state, char ***truth)
{
    g_autoptr(GError) error = NULL;
    g_autofree char *csv = source_path("demo-photos/truth.csv"), *text = slurp(csv);
    g_auto(GStrv) lines = g_strsplit(text, "\n", -1);
    g_autoptr(GPtrArray) kept = g_ptr_array_new();
    GbLog *log = new_claim(state);
    g_autoptr(GbChange) change = gb_change_begin(log, "import", &error);
    for (guint i = 1; lines[i] != NULL && *lines[i] != '\0'; i++) {
        g_auto(GStrv) cells = g_strsplit(lines[i], ",", -1);
        if (strcmp(cells[PROPERTY], "1") != 0)
            continue;
        g_autofree char *relative = g_strconcat("demo-photos/", cells[FILE_NAME], NULL), *path = source_path(relative);
        g_autoptr(GBytes) bytes = gb_file_read(path, GB_JPEG_MAX_BYTES, &error);
        GbJpegHeader header = { 0 };
        GbExif exif;
        gb_exif_init(&exif);
        assert_true(gb_jpeg_header(g_bytes_get_data(bytes, NULL), g_bytes_get_size(bytes), &header, &error));
        gb_exif_read(&exif, g_bytes_get_data(header.exif, NULL), g_bytes_get_size(header.exif));
        g_ptr_array_add(kept, g_strdup(lines[i]));
        assert_int_equal(enter_file(log, kept->len, cells[FILE_NAME], &exif, NULL), kept->len);
        gb_exif_clear(&exif);
        gb_jpeg_header_clear(&header);
    }
    assert_true(gb_change_save(change, "photos", &error));
    assert_no_error(error);
    g_ptr_array_add(kept, NULL);
    *truth = (char **)g_ptr_array_free(g_steal_pointer(&kept), FALSE);
    return log;
}

static json_t *model_for(GbLog *log, GbReader reader)
{
    g_autoptr(GError) error = NULL;
    json_t *model = gb_report_json(log, &(GbReportOptions){ .reader = reader }, &error);
    assert_no_error(error);
    return model;
}

static double number(const json_t *object, const char *key)
{
    return json_number_value(json_object_get(object, key));
}

static const char *text(const json_t *object, const char *key)
{
    return json_string_value(json_object_get(object, key));
}

/* The stated error is a standard deviation on each axis (test_demo.c): all lie within four of it, more than half within one and a half, where
 * two thirds are expected. What the photo states as its direction is within 30 degrees of the truth. */
static void cameras_stand_where_they_stood_and_look_where_they_looked(void **state)
{
    g_autoptr(GError) error = NULL;
    g_auto(GStrv) truth = NULL;
    g_autoptr(GbLog) log = demo_claim(state, &truth);
    g_autoptr(GPtrArray) shots = gb_shots_load(log, &error);
    GbPlane plane;
    assert_true(gb_suggest_map(shots, &plane));
    json_t *model = model_for(log, GB_READER_FILE);
    const json_t *cameras = json_object_get(json_object_get(model, "map"), "cameras"), *camera, *first = json_array_get(cameras, 0);
    const json_t *last = json_array_get(cameras, json_array_size(cameras) - 1);
    double px_per_m = (number(last, "x") - number(first, "x")) / (number(last, "east_m") - number(first, "east_m"));
    guint near = 0, n = 0;
    gsize i;
    assert_true(json_array_size(cameras) >= 50);
    assert_true(px_per_m > 2);
    json_array_foreach(cameras, i, camera) {
        const GbShot *shot = gb_shots_by_number(shots, (gint64)number(camera, "shot"));
        g_auto(GStrv) cells = g_strsplit(truth[shot->number - 1], ",", -1);
        double east_m, north_m, error_m = shot->exif.position_error_m;
        gb_plane_metres(&plane, g_ascii_strtod(cells[LAT], NULL), g_ascii_strtod(cells[LON], NULL), &east_m, &north_m);
        double off_m = hypot(number(camera, "east_m") - east_m, number(camera, "north_m") - north_m);
        assert_true(off_m < 4 * error_m);
        near += off_m < 1.5 * error_m;
        n++;
        /* north is up, and both axes have one scale */
        assert_near(number(camera, "x") - number(first, "x"), px_per_m * (number(camera, "east_m") - number(first, "east_m")), 0.01);
        assert_near(number(first, "y") - number(camera, "y"), px_per_m * (number(camera, "north_m") - number(first, "north_m")), 0.01);
        if (json_object_get(camera, "heading_deg") != NULL)
            assert_true(fabs(remainder(number(camera, "heading_deg") - g_ascii_strtod(cells[HEADING], NULL), 360)) < 30);
    }
    assert_true(2 * near > n);
    json_decref(model);
}

typedef struct {
    GString *words, *desc;
    guint lines;
    gboolean in_text, in_desc;
} Seen;

static void see(GMarkupParseContext *context, const char *name, const char **names, const char **values, gpointer user, GError **error)
{
    Seen *seen = user;
    (void)context, (void)names, (void)values, (void)error;
    static const char *const known[] = { "svg", "title", "desc", "g", "line", "text", NULL };
    assert_true(g_strv_contains(known, name));
    seen->in_text = strcmp(name, "text") == 0;
    seen->in_desc = strcmp(name, "desc") == 0;
    seen->lines += strcmp(name, "line") == 0;
}

static void leave(GMarkupParseContext *context, const char *name, gpointer user, GError **error)
{
    Seen *seen = user;
    (void)context, (void)name, (void)error;
    seen->in_text = seen->in_desc = FALSE;
}

static void hear(GMarkupParseContext *context, const char *said, gsize n, gpointer user, GError **error)
{
    Seen *seen = user;
    (void)context, (void)error;
    if (seen->in_text)
        g_string_append_len(seen->words, said, (gssize)n);
    if (seen->in_desc)
        g_string_append_len(seen->desc, said, (gssize)n);
    if (seen->in_text)
        g_string_append_c(seen->words, '\n');
}

/* Source: GLib's own parser of markup. */
static void markup_in_names_stays_text_and_all_is_told_in_words(void **state)
{
    g_autoptr(GError) error = NULL;
    g_auto(GStrv) truth = NULL;
    g_autoptr(GbLog) log = demo_claim(state, &truth);
    gb_edit(log, &(GbEdit){ .front_azimuth = "205" }, &error);
    assert_no_error(error);
    gb_structure_edit(log, &(GbStructureEdit){ .name = HOSTILE, .kind = "shed", .elevations = "front" }, NULL, &error);
    assert_no_error(error);
    gb_tag(log, "2", &(GbTag){ .place = HOSTILE " front" }, NULL, &error);
    assert_no_error(error);
    json_t *model = model_for(log, GB_READER_FILE);
    const json_t *map = json_object_get(model, "map");
    Seen seen = { .words = g_string_new(NULL), .desc = g_string_new(NULL) };
    static const GMarkupParser parser = { .start_element = see, .end_element = leave, .text = hear };
    GMarkupParseContext *context = g_markup_parse_context_new(&parser, 0, &seen, NULL);
    g_markup_parse_context_parse(context, text(map, "plan"), -1, &error);
    assert_no_error(error);
    g_markup_parse_context_free(context);
    assert_non_null(strstr(seen.words->str, "dwelling\n"));
    assert_non_null(strstr(seen.words->str, "N\n"));
    assert_non_null(strstr(seen.desc->str, "The cameras state errors of ± "));
    assert_non_null(strstr(seen.desc->str, "its front faces as was entered; its size is not measured"));
    assert_string_equal(seen.desc->str, text(map, "said"));
    assert_true(seen.lines > 2 * json_array_size(json_object_get(map, "cameras")));
    g_string_free(seen.words, TRUE);
    g_string_free(seen.desc, TRUE);
    json_decref(model);
    g_autofree char *written = NULL, *again = NULL, *other = g_build_filename(*state, "again.html", NULL);
    gb_report_build(log, &(GbReportOptions){ 0 }, &written, &error);
    assert_no_error(error);
    gb_report_build(log, &(GbReportOptions){ .out = other }, NULL, &error);
    assert_no_error(error);
    g_autofree char *page = slurp(written);
    again = slurp(other);
    assert_string_equal(page, again);
    assert_null(strstr(page, "<b>shed"));
    assert_non_null(strstr(page, "<bdi>&lt;b&gt;shed&lt;/b&gt;"));
    assert_non_null(strstr(page, "aria-labelledby=\"map-title map-desc\""));
    assert_non_null(strstr(page, "The positions of the plan as a list"));
}

static void the_insured_and_the_reviewer_get_no_positions(void **state)
{
    g_auto(GStrv) truth = NULL;
    g_autoptr(GbLog) log = demo_claim(state, &truth);
    for (int reader = GB_READER_REVIEWER; reader <= GB_READER_INSURED; reader++) {
        json_t *model = model_for(log, (GbReader)reader);
        char *dumped = json_dumps(model, 0);
        assert_null(json_object_get(model, "map"));
        assert_null(strstr(dumped, "east_m"));
        free(dumped);
        json_decref(model);
    }
}

static void without_positions_there_is_no_map(void **state)
{
    g_autoptr(GbLog) log = new_claim(state);
    json_t *bare = model_for(log, GB_READER_FILE);
    assert_null(json_object_get(bare, "map"));
    json_decref(bare);
    enter_photos(log, 3);
    json_t *model = model_for(log, GB_READER_FILE);
    assert_null(json_object_get(model, "map"));
    json_decref(model);
}

static void one_at(GbLog *log, guint i, double lat_deg, double lon_deg)
{
    g_autofree char *name = g_strdup_printf("IMG_%u.JPG", i);
    GbExif exif;
    gb_exif_init(&exif);
    exif.lat_deg = lat_deg;
    exif.lon_deg = lon_deg;
    enter_file(log, i, name, &exif, NULL);
}

static void a_camera_far_away_is_listed_and_does_not_shrink_the_plan(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbLog) log = new_claim(state);
    g_autoptr(GbChange) change = gb_change_begin(log, "import", &error);
    one_at(log, 1, 38.7310, -97.4121);
    one_at(log, 2, 38.7311, -97.4121);
    one_at(log, 3, 38.7310, -97.4122);
    one_at(log, 4, 39.7310, -97.4122); /* 111 km north */
    enter_photo(log, 5, 1778770000.0);
    assert_true(gb_change_save(change, "photos", &error));
    json_t *model = model_for(log, GB_READER_FILE);
    const json_t *map = json_object_get(model, "map"), *cameras = json_object_get(map, "cameras"), *camera;
    gsize i;
    assert_int_equal(json_array_size(cameras), 4);
    assert_non_null(strstr(text(map, "said"), "1 of 5 photos have no position."));
    assert_non_null(strstr(text(map, "said"), "state no error"));
    json_array_foreach(cameras, i, camera) {
        gboolean far = number(camera, "shot") == 4;
        assert_int_equal(strstr(text(camera, "where"), "not on the plan") != NULL, far);
        if (!far)
            assert_true(number(camera, "x") > 0 && number(camera, "x") < 640);
        assert_string_equal(text(camera, "looking"), "not stated");
    }
    json_t *chosen = gb_report_json(log, &(GbReportOptions){ .shots = "1,5" }, &error);
    assert_no_error(error);
    assert_non_null(strstr(text(json_object_get(chosen, "map"), "said"), "1 of 2 photos have no position."));
    json_decref(chosen);
    assert_true(fabs(number(json_array_get(cameras, 0), "y") - number(json_array_get(cameras, 1), "y")) > 50);
    json_decref(model);
}

/* 144 cameras some twelve pixels apart: a number takes more. */
static void numbers_without_room_are_left_to_the_list_and_that_is_said(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbLog) log = new_claim(state);
    g_autoptr(GbChange) change = gb_change_begin(log, "import", &error);
    for (guint i = 0; i < 144; i++)
        one_at(log, i + 1, 38.7310 + (i / 12) * 2.5 / 111005, -97.4121 + (i % 12) * 2.5 / 86951);
    one_at(log, 145, 38.7310, -97.4121 + 110.0 / 86951);
    assert_true(gb_change_save(change, "photos", &error));
    json_t *model = model_for(log, GB_READER_FILE);
    const json_t *map = json_object_get(model, "map");
    const char *plan = text(map, "plan");
    guint numbers = 0;
    for (const char *at = plan; (at = strstr(at, "<text")) != NULL; at++)
        numbers++;
    assert_in_range(numbers, 20, 140);
    assert_non_null(strstr(plan, "Where numbers had no room, the list has them."));
    assert_int_equal(json_array_size(json_object_get(map, "cameras")), 145);
    json_decref(model);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        test_in_folder(cameras_stand_where_they_stood_and_look_where_they_looked),
        test_in_folder(markup_in_names_stays_text_and_all_is_told_in_words),
        test_in_folder(the_insured_and_the_reviewer_get_no_positions),
        test_in_folder(without_positions_there_is_no_map),
        test_in_folder(numbers_without_room_are_left_to_the_list_and_that_is_said),
        test_in_folder(a_camera_far_away_is_listed_and_does_not_shrink_the_plan),
    };
    return cmocka_run_group_tests_name("shot map", tests, NULL, NULL);
}
