/* test_camera.c -- the cameras of a claim: names, who is who, and what was said of their clocks.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "claim_support.h"

#include <gablebook/camera.h>
#include <gablebook/correct.h>
#include <gablebook/error.h>
#include <gablebook/history.h>

#define NOON 1778760000.0 /* 2026-05-14 12:00 */
#define UNKNOWN ((double)NAN)

static GbExif exif_of(const char *make, const char *model, const char *serial, double local_s, double utc_s)
{
    GbExif exif;
    gb_exif_init(&exif);
    exif.make = (char *)make;
    exif.model = (char *)model;
    exif.serial = (char *)serial;
    exif.taken_local_s = local_s;
    exif.gps_utc_s = utc_s;
    return exif;
}

static void enter(GbLog *log, guint i, const char *name, GbExif exif)
{
    g_autoptr(GbChange) change = gb_change_begin(log, "import", NULL);
    enter_file(log, i, name, &exif, NULL);
    assert_true(gb_change_save(change, "a photo", NULL));
}

/* Whichever way they are asked for, the cameras are the same. */
static GbCameras *load(GbLog *log)
{
    g_autoptr(GError) error = NULL;
    GbCameras *cameras = gb_cameras_load(log, &error);
    assert_no_error(error);
    g_autoptr(GPtrArray) shots = gb_shots_load(log, &error);
    g_autoptr(GbCameras) same = gb_cameras_of(log, shots, &error);
    assert_no_error(error);
    assert_int_equal(same->cameras->len, cameras->cameras->len);
    assert_int_equal(same->pairs->len, cameras->pairs->len);
    for (guint i = 0; i < same->cameras->len; i++) {
        const GbCamera *one = same->cameras->pdata[i], *other = cameras->cameras->pdata[i];
        assert_string_equal(one->key, other->key);
        assert_string_equal(one->name, other->name);
        assert_int_equal(one->shots, other->shots);
        assert_int_equal(one->stretches->len, other->stretches->len);
        for (guint k = 0; k < one->stretches->len; k++) {
            const GbClockStretch *a = &g_array_index(one->stretches, GbClockStretch, k), *b = &g_array_index(other->stretches, GbClockStretch, k);
            assert_int_equal(a->first, b->first);
            assert_int_equal(a->last, b->last);
            assert_int_equal(a->how, b->how);
        }
    }
    return cameras;
}

static const GbCamera *camera(const GbCameras *cameras, guint i)
{
    assert_true(i < cameras->cameras->len);
    return cameras->cameras->pdata[i];
}

/* --- names and keys --- */

static void a_name_is_make_and_model_and_says_the_make_once(void **state)
{
    (void)state;
    static const struct { const char *make, *model, *name; } cases[] = {
        { "Acme", "One", "Acme One" },
        { "Acme", "Acme One", "Acme One" },
        { "ACME CORPORATION", "Acme D90", "Acme D90" }, /* the legal form stands in the make alone */
        { "Acme", NULL, "Acme" },
        { NULL, "One", "One" },
        { NULL, NULL, "" },
        { "Acme", "acme one", "acme one" },
        { "Other", "Acme One", "Other Acme One" },
    };
    for (gsize i = 0; i < G_N_ELEMENTS(cases); i++) {
        const GbExif exif = exif_of(cases[i].make, cases[i].model, "S", 0, 0);
        g_autofree char *name = gb_camera_name(&exif);
        assert_string_equal(name, cases[i].name);
    }
}

static void a_key_tells_make_model_and_serial_apart_and_is_empty_for_none(void **state)
{
    (void)state;
    const GbExif some[] = {
        exif_of("A", "B", "C", 0, 0), exif_of("A", "B", NULL, 0, 0), exif_of("A", NULL, "B", 0, 0), exif_of(NULL, "A", "B", 0, 0),
        exif_of(NULL, NULL, "A", 0, 0), exif_of("AB", NULL, "C", 0, 0), exif_of(NULL, NULL, NULL, 0, 0),
    };
    for (gsize i = 0; i < G_N_ELEMENTS(some); i++)
        for (gsize j = 0; j < G_N_ELEMENTS(some); j++) {
            g_autofree char *a = gb_camera_key(&some[i]), *b = gb_camera_key(&some[j]);
            assert_int_equal(strcmp(a, b) == 0, i == j);
        }
    g_autofree char *none = gb_camera_key(&some[G_N_ELEMENTS(some) - 1]);
    assert_string_equal(none, "");
}

static void two_cameras_of_one_model_are_told_apart_by_their_serial_numbers(void **state)
{
    g_autoptr(GbLog) log = new_claim(state);
    g_autoptr(GError) error = NULL;
    enter(log, 1, "A1.JPG", exif_of("Acme", "One", "S-17", NOON, UNKNOWN));
    enter(log, 2, "A2.JPG", exif_of("Acme", "One", "S-99", NOON + 60, UNKNOWN));
    enter(log, 3, "A3.JPG", exif_of("Acme", "One", NULL, NOON + 120, UNKNOWN));
    enter(log, 4, "A4.JPG", exif_of("Acme", "Two", "S-17", NOON + 180, UNKNOWN));
    enter(log, 5, "A5.JPG", exif_of(NULL, NULL, NULL, NOON + 240, UNKNOWN));
    enter(log, 6, "A6.JPG", exif_of("Acme", "One", "S-17", NOON + 300, UNKNOWN));
    g_autoptr(GbCameras) cameras = load(log);
    static const char *const names[] = { "Acme One, serial S-17", "Acme One, serial S-99", "Acme One, no serial", "Acme Two", "unknown camera" };
    assert_int_equal(cameras->cameras->len, G_N_ELEMENTS(names));
    for (guint i = 0; i < G_N_ELEMENTS(names); i++) {
        assert_string_equal(camera(cameras, i)->name, names[i]);
        assert_int_equal(camera(cameras, i)->shots, i == 0 ? 2 : 1);
    }
    assert_ptr_equal(gb_cameras_find(cameras, "s-99", &error), camera(cameras, 1));
    assert_ptr_equal(gb_cameras_find(cameras, "one no serial", &error), camera(cameras, 2));
    assert_ptr_equal(gb_cameras_find(cameras, "two", &error), camera(cameras, 3));
    assert_ptr_equal(gb_cameras_find(cameras, "unknown", &error), camera(cameras, 4));
    assert_null(gb_cameras_find(cameras, "acme one", &error));
    assert_error(error, GB_ERROR_UNCLEAR, "Acme One, serial S-99");
    assert_null(gb_cameras_find(cameras, "three", &error));
    assert_error(error, GB_ERROR_UNKNOWN, "three");
}

static void a_claim_without_photos_has_no_cameras(void **state)
{
    g_autoptr(GbLog) log = new_claim(state);
    g_autoptr(GError) error = NULL;
    g_autoptr(GbCameras) cameras = load(log);
    assert_int_equal(cameras->cameras->len, 0);
    assert_null(gb_cameras_find(cameras, "any", &error));
    assert_error(error, GB_ERROR_UNKNOWN, "any");
}

/* --- stretches --- */

static void a_stretch_names_its_first_and_last_shot_by_their_numbers(void **state)
{
    g_autoptr(GbLog) log = new_claim(state);
    /* the numbers run against the card's order: file B4 came in first */
    for (guint i = 1; i <= 4; i++) {
        g_autofree char *name = g_strdup_printf("B%u.JPG", 5 - i);
        enter(log, i, name, exif_of("Acme", "One", NULL, NOON + 60 * (5 - i), NOON + 60 * (5 - i) + 18000));
    }
    enter(log, 5, "A1.JPG", exif_of("Acme", "Two", NULL, NOON - 3600, NOON + 18000));
    g_autoptr(GbCameras) cameras = load(log);
    assert_string_equal(camera(cameras, 0)->name, "Acme Two"); /* by first use on the card */
    assert_int_equal(camera(cameras, 1)->stretches->len, 1);
    const GbClockStretch *one = &g_array_index(camera(cameras, 1)->stretches, GbClockStretch, 0);
    assert_int_equal(one->first, 4);
    assert_int_equal(one->last, 1);
    assert_int_equal(one->shots, 4);
    assert_int_equal(one->how, GB_CLOCK_GPS);
    assert_near(one->error_s, 0, 1e-6);
    const GbClockStretch *two = &g_array_index(camera(cameras, 0)->stretches, GbClockStretch, 0);
    assert_int_equal(two->first, 5);
    assert_int_equal(two->last, 5);
}

static void a_camera_without_times_has_no_stretch(void **state)
{
    g_autoptr(GbLog) log = new_claim(state);
    enter(log, 1, "A.JPG", exif_of("Acme", "One", NULL, UNKNOWN, UNKNOWN));
    g_autoptr(GbCameras) cameras = load(log);
    assert_int_equal(camera(cameras, 0)->shots, 1);
    assert_int_equal(camera(cameras, 0)->stretches->len, 0);
}

/* --- words and pairs --- */

/* Phone with GPS: shot 1. Compact: shots 2 and 3. */
static GbLog *phone_and_compact(void **state)
{
    GbLog *log = new_claim(state);
    enter(log, 1, "P1.JPG", exif_of("Acme", "Phone", NULL, NOON, NOON + 18000));
    enter(log, 2, "C1.JPG", exif_of("Acme", "Compact", NULL, NOON - 4000, UNKNOWN));
    enter(log, 3, "C2.JPG", exif_of("Acme", "Compact", NULL, NOON - 3900, UNKNOWN));
    return log;
}

static const GbShot *shot(const GPtrArray *shots, gint64 number)
{
    const GbShot *found = gb_shots_by_number(shots, number);
    assert_non_null(found);
    return found;
}

static void words_and_pairs_are_there_when_the_claim_is_opened_again(void **state)
{
    GbLog *first = phone_and_compact(state);
    assert_true(gb_correct_say(first, "phone", "30 s fast", NULL, NULL));
    assert_true(gb_correct_pair(first, 2, 1, NULL, NULL));
    gb_log_free(first);
    g_autoptr(GbLog) log = open_claim(state);
    g_autoptr(GbCameras) cameras = load(log);
    const GbCamera *phone = gb_cameras_find(cameras, "phone", NULL), *compact = gb_cameras_find(cameras, "compact", NULL);
    assert_string_equal(phone->said, "30 s fast");
    assert_null(compact->said);
    assert_int_equal(cameras->pairs->len, 1);
    const GbCameraPair *pair = &g_array_index(cameras->pairs, GbCameraPair, 0);
    assert_true(pair->shot == 2 && pair->other == 1);
    assert_int_equal(g_array_index(compact->stretches, GbClockStretch, 0).how, GB_CLOCK_PAIRED);
    g_autoptr(GPtrArray) shots = gb_shots_load(log, NULL);
    assert_near(shot(shots, 1)->time.correction_s, -30, 0);
    assert_near(shot(shots, 2)->time.utc_s, shot(shots, 1)->time.utc_s, 1e-6);
}

static void a_pair_with_a_shot_that_left_the_claim_is_passed_over_and_counts_again_when_it_is_back(void **state)
{
    g_autoptr(GbLog) log = phone_and_compact(state);
    sqlite3 *db = raw_connection(state);
    enter(log, 4, "P2.JPG", exif_of("Acme", "Phone", NULL, NOON + 600, NOON + 18600));
    enter(log, 5, "T1.JPG", exif_of("Acme", "Third", NULL, NOON - 900, UNKNOWN));
    assert_true(gb_correct_pair(log, 2, 1, NULL, NULL));
    assert_true(gb_correct_pair(log, 5, 4, NULL, NULL));
    raw_exec(db, "DELETE FROM shot WHERE number = 1"); /* as the undo of its import does; the original stays */
    g_autoptr(GPtrArray) without = gb_shots_load(log, NULL);
    assert_int_equal(without->len, 4);
    assert_int_equal(shot(without, 5)->time.how, GB_CLOCK_PAIRED); /* the other pair holds */
    assert_int_not_equal(shot(without, 2)->time.how, GB_CLOCK_PAIRED);
    raw_exec(db, "INSERT INTO shot (number) VALUES (1)");
    sqlite3_close(db);
    g_autoptr(GPtrArray) with = gb_shots_load(log, NULL);
    assert_int_equal(shot(with, 2)->time.how, GB_CLOCK_PAIRED);
}

/* Pairs that can't be followed are passed over as a whole; what was said in words still holds, and no claim is lost over it. */
static void pairs_that_make_no_sense_are_passed_over_and_words_still_hold(void **state)
{
    static const char *const pairs[] = {
        "INSERT INTO clock_pair VALUES (2, 3)",                                       /* of one camera */
        "INSERT INTO clock_pair VALUES (2, 1); INSERT INTO clock_pair VALUES (1, 3)", /* a circle */
    };
    g_autoptr(GbLog) log = phone_and_compact(state);
    assert_true(gb_correct_say(log, "phone", "30 s fast", NULL, NULL));
    sqlite3 *db = raw_connection(state);
    for (gsize i = 0; i < G_N_ELEMENTS(pairs); i++) {
        raw_exec(db, "DELETE FROM clock_pair");
        raw_exec(db, pairs[i]);
        g_autoptr(GPtrArray) shots = gb_shots_load(log, NULL);
        assert_non_null(shots);
        assert_int_equal(shot(shots, 1)->time.how, GB_CLOCK_SAID);
        assert_near(shot(shots, 1)->time.correction_s, -30, 0);
        g_autoptr(GbCameras) cameras = load(log);
        assert_int_equal(cameras->cameras->len, 2);
    }
    sqlite3_close(db);
}

static void a_word_on_a_camera_that_left_the_claim_is_passed_over(void **state)
{
    g_autoptr(GbLog) log = phone_and_compact(state);
    assert_true(gb_correct_say(log, "compact", "67 min slow", NULL, NULL));
    sqlite3 *db = raw_connection(state);
    raw_exec(db, "DELETE FROM shot WHERE number > 1");
    sqlite3_close(db);
    g_autoptr(GbCameras) cameras = load(log);
    assert_int_equal(cameras->cameras->len, 1);
    assert_string_equal(camera(cameras, 0)->name, "Acme Phone");
    assert_null(camera(cameras, 0)->said);
}

static void a_word_that_no_person_can_have_said_is_damage_and_says_so(void **state)
{
    static const char *const values[] = { "9e999", "-9e999", "1e12" };
    g_autoptr(GbLog) log = phone_and_compact(state);
    sqlite3 *db = raw_connection(state);
    for (gsize i = 0; i < G_N_ELEMENTS(values); i++) {
        g_autoptr(GError) error = NULL;
        g_autofree char *sql = g_strdup_printf("INSERT OR REPLACE INTO clock_word VALUES ('Acme|Phone|', 'right', %s)", values[i]);
        raw_exec(db, sql);
        assert_null(gb_shots_load(log, &error));
        assert_error(error, GB_ERROR_DAMAGED, "a word on a clock that makes no sense");
        assert_null(gb_cameras_load(log, &error));
        assert_error(error, GB_ERROR_DAMAGED, "a word on a clock that makes no sense");
    }
    sqlite3_close(db);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_name_is_make_and_model_and_says_the_make_once),
        cmocka_unit_test(a_key_tells_make_model_and_serial_apart_and_is_empty_for_none),
        test_in_folder(two_cameras_of_one_model_are_told_apart_by_their_serial_numbers),
        test_in_folder(a_claim_without_photos_has_no_cameras),
        test_in_folder(a_stretch_names_its_first_and_last_shot_by_their_numbers),
        test_in_folder(a_camera_without_times_has_no_stretch),
        test_in_folder(words_and_pairs_are_there_when_the_claim_is_opened_again),
        test_in_folder(a_pair_with_a_shot_that_left_the_claim_is_passed_over_and_counts_again_when_it_is_back),
        test_in_folder(pairs_that_make_no_sense_are_passed_over_and_words_still_hold),
        test_in_folder(a_word_on_a_camera_that_left_the_claim_is_passed_over),
        test_in_folder(a_word_that_no_person_can_have_said_is_damage_and_says_so),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
