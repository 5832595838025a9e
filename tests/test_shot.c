/* test_shot.c -- shots of a claim: their order, captions and distances.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "claim_support.h"

#include <gablebook/error.h>
#include <gablebook/history.h>
#include <log/rows.h>

static void enter(GbLog *log, guint n, const double *taken_local_s)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbChange) change = gb_change_begin(log, "import", &error);
    for (guint i = 0; i < n; i++)
        enter_photo(log, i + 1, taken_local_s[i]);
    assert_true(gb_change_save(change, "photos", &error));
}

static void shots_come_by_time_with_sub_seconds_then_name_unknown_times_last(void **state)
{
    const double taken[] = { (double)NAN, 1778770928.75, 1778770928.25, 1778770928.75, (double)NAN, 0, -86400 };
    const gint64 wanted[] = { 7, 6, 3, 2, 4, 1, 5 };
    g_autoptr(GError) error = NULL;
    g_autoptr(GbLog) log = new_claim(state);
    enter(log, G_N_ELEMENTS(taken), taken);
    g_autoptr(GPtrArray) shots = gb_shots_load(log, &error);
    assert_no_error(error);
    assert_int_equal(shots->len, G_N_ELEMENTS(wanted));
    for (guint i = 0; i < shots->len; i++)
        assert_int_equal(((GbShot *)shots->pdata[i])->number, wanted[i]);
    assert_int_equal(gb_shots_by_number(shots, 3)->number, 3);
    assert_null(gb_shots_by_number(shots, 8));
    assert_null(gb_shots_by_number(shots, 0));
}

static void what_was_stored_is_what_is_loaded_and_unknown_stays_unknown(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbLog) log = new_claim(state);
    enter_photos(log, 1);
    g_autoptr(GPtrArray) bare = gb_shots_load(log, &error);
    const GbShot *none = bare->pdata[0];
    assert_int_equal(none->place, 0);
    assert_true(none->subject == NULL && none->value == NULL && none->caption == NULL && none->exif.make == NULL);
    assert_int_equal(none->distance, GB_DISTANCE_UNKNOWN);
    assert_true(isnan(none->value_number) && isnan(none->exif.lat_deg) && isnan(none->exif.heading_deg) && isnan(none->exif.alt_m));
    assert_false(none->exif.has_offset);
    assert_int_equal(none->exif.heading_ref, 0);
    assert_int_equal(none->hand_order, 0);
    const GbShot said = { .number = 1, .place = 5, .subject = (char *)"pitch", .distance = GB_DISTANCE_MID, .value = (char *)"6/12",
                          .value_number = 6, .caption = (char *)"c", .left_out = TRUE, .hand_order = 4 };
    g_autoptr(GbChange) change = gb_change_begin(log, "tag", &error);
    assert_true(gb_shot_store(log, &said, &error));
    assert_true(gb_change_save(change, "said", &error));
    g_autoptr(GPtrArray) shots = gb_shots_load(log, &error);
    const GbShot *shot = shots->pdata[0];
    assert_int_equal(shot->place, 5);
    assert_string_equal(shot->subject, "pitch");
    assert_int_equal(shot->distance, GB_DISTANCE_MID);
    assert_string_equal(shot->value, "6/12");
    assert_near(shot->value_number, 6, 0);
    assert_string_equal(shot->caption, "c");
    assert_true(shot->left_out);
    assert_int_equal(shot->hand_order, 4);
}

/* Each shot of the list comes before all that follow it. */
static void within_a_place_the_hand_comes_first_then_the_distance_then_the_time(void **state)
{
    (void)state;
    GbShot shots[] = {
        { .number = 9, .hand_order = 1, .distance = GB_DISTANCE_CLOSE, .exif.taken_local_s = 900, .source_name = (char *)"z" },
        { .number = 8, .hand_order = 2, .distance = GB_DISTANCE_OVERVIEW, .exif.taken_local_s = 1, .source_name = (char *)"z" },
        { .number = 7, .distance = GB_DISTANCE_OVERVIEW, .exif.taken_local_s = 500, .source_name = (char *)"z" },
        { .number = 6, .distance = GB_DISTANCE_OVERVIEW, .exif.taken_local_s = (double)NAN, .source_name = (char *)"a" },
        { .number = 5, .distance = GB_DISTANCE_MID, .exif.taken_local_s = 400.25, .source_name = (char *)"z" },
        { .number = 4, .distance = GB_DISTANCE_MID, .exif.taken_local_s = 400.75, .source_name = (char *)"a" },
        { .number = 3, .distance = GB_DISTANCE_CLOSE, .exif.taken_local_s = 300, .source_name = (char *)"a" },
        { .number = 1, .distance = GB_DISTANCE_CLOSE, .exif.taken_local_s = 300, .source_name = (char *)"b" },
        { .number = 2, .distance = GB_DISTANCE_CLOSE, .exif.taken_local_s = 300, .source_name = (char *)"b" },
        { .number = 10, .distance = GB_DISTANCE_UNKNOWN, .exif.taken_local_s = 1, .source_name = (char *)"a" },
        { .number = 11, .distance = GB_DISTANCE_UNKNOWN, .exif.taken_local_s = (double)NAN, .source_name = (char *)"a" },
        { .number = 12, .distance = GB_DISTANCE_UNKNOWN, .exif.taken_local_s = (double)NAN, .source_name = (char *)"a" },
    };
    for (gsize i = 0; i < G_N_ELEMENTS(shots); i++)
        for (gsize j = 0; j < G_N_ELEMENTS(shots); j++) {
            int order = gb_shot_compare(&shots[i], shots[i].distance, &shots[j], shots[j].distance);
            assert_int_equal((order > 0) - (order < 0), (i > j) - (i < j));
        }
}

static void the_distance_is_the_users_else_what_the_subject_usually_is(void **state)
{
    (void)state;
    g_autoptr(GbCatalogue) catalogue = gb_catalogue_builtin(NULL);
    const GbShot none = { 0 }, said = { .subject = (char *)"siding-size", .distance = GB_DISTANCE_MID },
                 usual = { .subject = (char *)"siding-size" }, gone = { .subject = (char *)"no-such-subject" };
    assert_int_equal(gb_shot_distance(&none, catalogue), GB_DISTANCE_UNKNOWN);
    assert_int_equal(gb_shot_distance(&said, catalogue), GB_DISTANCE_MID);
    assert_int_equal(gb_shot_distance(&usual, catalogue), gb_catalogue_by_id(catalogue, "siding-size")->distance);
    assert_int_equal(gb_shot_distance(&gone, catalogue), GB_DISTANCE_UNKNOWN);
}

static void a_caption_is_the_users_else_what_is_known_and_never_null(void **state)
{
    g_autoptr(GbLog) log = new_claim(state);
    g_autoptr(GbCatalogue) catalogue = gb_catalogue_builtin(NULL);
    g_autoptr(GPtrArray) places = gb_places_load(log, NULL);
    const gint64 rear_slope = gb_places_find(places, "rear slope", NULL)->id;
    const struct { GbShot shot; const char *caption; } cases[] = {
        { { 0 }, "" },
        { { .caption = (char *)"mine", .place = rear_slope }, "mine" },
        { { .place = rear_slope }, "Rear slope" },
        { { .place = rear_slope, .distance = GB_DISTANCE_CLOSE }, "Rear slope, close-up" },
        { { .place = 99, .subject = (char *)"no-such-subject" }, "" }, /* both are gone: nothing is made up */
    };
    for (gsize i = 0; i < G_N_ELEMENTS(cases); i++) {
        g_autofree char *caption = gb_shot_caption(&cases[i].shot, places, catalogue);
        assert_string_equal(caption, cases[i].caption);
    }
}

/* A database from elsewhere, made without the schema's checks. */
static void names_that_lead_out_of_originals_are_refused(void **state)
{
    static const char *const names[] = { "'../../x.jpg'", "'/etc/passwd'", "'..'", "'.'", "''" };
    g_autoptr(GbLog) log = new_claim(state);
    enter_photos(log, 1);
    sqlite3 *db = raw_connection(state);
    raw_exec(db, "PRAGMA ignore_check_constraints = 1");
    for (gsize i = 0; i < G_N_ELEMENTS(names); i++) {
        g_autoptr(GError) error = NULL;
        g_autofree char *sql = g_strdup_printf("UPDATE original SET stored_name = %s", names[i]);
        raw_exec(db, sql);
        assert_null(gb_shots_load(log, &error));
        assert_error(error, GB_ERROR_DAMAGED, "claim.db holds");
        assert_null(gb_original_names(log, &error));
        assert_error(error, GB_ERROR_DAMAGED, "claim.db holds an original that makes no sense");
    }
    sqlite3_close(db);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        test_in_folder(shots_come_by_time_with_sub_seconds_then_name_unknown_times_last),
        test_in_folder(what_was_stored_is_what_is_loaded_and_unknown_stays_unknown),
        cmocka_unit_test(within_a_place_the_hand_comes_first_then_the_distance_then_the_time),
        cmocka_unit_test(the_distance_is_the_users_else_what_the_subject_usually_is),
        test_in_folder(a_caption_is_the_users_else_what_is_known_and_never_null),
        test_in_folder(names_that_lead_out_of_originals_are_refused),
    };
    return cmocka_run_group_tests_name("shot", tests, NULL, NULL);
}
