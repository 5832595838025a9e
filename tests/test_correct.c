/* test_correct.c -- people's words on clocks: said, taken back, refused, undone.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "claim_support.h"

#include <gablebook/correct.h>
#include <gablebook/error.h>
#include <gablebook/history.h>

#define NOON 1778760000.0 /* 2026-05-14 12:00, whose clock it is left open */

/* Enter shot i of a camera. utc_s: its GPS time, NAN none. */
static void enter(GbLog *log, guint i, const char *make, const char *model, const char *serial, double local_s, double utc_s)
{
    g_autofree char *name = g_strdup_printf("%s_%04u.JPG", model, i);
    GbExif exif;
    gb_exif_init(&exif);
    exif.make = (char *)make;
    exif.model = (char *)model;
    exif.serial = (char *)serial;
    exif.taken_local_s = local_s;
    exif.gps_utc_s = utc_s;
    enter_file(log, i, name, &exif, NULL);
}

/* Shots 1-4 of a phone with GPS, five hours west, its clock right; 5-8 of a compact that knows its own clock alone; 9 of a third camera,
 * 10 of it without a time. */
static GbLog *two_cameras(void **state)
{
    GbLog *log = new_claim(state);
    g_autoptr(GbChange) change = gb_change_begin(log, "import", NULL);
    for (guint i = 1; i <= 4; i++)
        enter(log, i, "Acme", "Phone", "P1", NOON + 60 * i, NOON + 60 * i + 5 * 3600);
    for (guint i = 5; i <= 8; i++)
        enter(log, i, "Acme", "Compact", "C1", NOON - 4020 + 60 * i, (double)NAN);
    enter(log, 9, "Other", "Third", NULL, NOON + 900, (double)NAN);
    enter(log, 10, "Other", "Third", NULL, (double)NAN, (double)NAN);
    assert_true(gb_change_save(change, "photos", NULL));
    return log;
}

static GbClockTime time_of(GbLog *log, gint64 number)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GPtrArray) shots = gb_shots_load(log, &error);
    assert_no_error(error);
    return gb_shots_by_number(shots, number)->time;
}

static void say(GbLog *log, const char *camera, const char *said, const char *wanted)
{
    g_autoptr(GError) error = NULL;
    g_autofree char *summary = NULL, *last = NULL;
    gb_correct_say(log, camera, said, &summary, &error);
    assert_no_error(error);
    assert_string_equal(summary, wanted);
    last = last_summary(log);
    assert_string_equal(last, wanted);
}

static void pair(GbLog *log, gint64 shot, gint64 other)
{
    g_autoptr(GError) error = NULL;
    gb_correct_pair(log, shot, other, NULL, &error);
    assert_no_error(error);
}

static void refused_word(void **state, GbLog *log, const char *camera, const char *said, GbErrorCode code, const char *part)
{
    g_autoptr(GError) error = NULL;
    g_autofree char *before = dump_work(state), *summary = NULL;
    guint entries = history_length(log);
    assert_false(gb_correct_say(log, camera, said, &summary, &error));
    assert_error(error, (int)code, part);
    assert_null(summary);
    g_autofree char *after = dump_work(state);
    assert_string_equal(after, before);
    assert_int_equal(history_length(log), entries);
}

static void refused_pair(void **state, GbLog *log, gint64 shot, gint64 other, GbErrorCode code, const char *part)
{
    g_autoptr(GError) error = NULL;
    g_autofree char *before = dump_work(state), *summary = NULL;
    guint entries = history_length(log);
    assert_false(gb_correct_pair(log, shot, other, &summary, &error));
    assert_error(error, (int)code, part);
    assert_null(summary);
    g_autofree char *after = dump_work(state);
    assert_string_equal(after, before);
    assert_int_equal(history_length(log), entries);
}

static void a_word_corrects_all_shots_of_its_camera_and_no_other(void **state)
{
    g_autoptr(GbLog) log = two_cameras(state);
    say(log, "compact", "1 h 7 min slow", "Acme Compact: 1 h 7 min slow");
    for (gint64 number = 5; number <= 8; number++) {
        GbClockTime time = time_of(log, number);
        assert_int_equal(time.how, GB_CLOCK_SAID);
        assert_near(time.correction_s, 4020, 0);
        assert_near(time.local_s, NOON + 60 * (double)number, 0);
        assert_near(time.utc_s, NOON + 60 * (double)number + 5 * 3600, 0);
        assert_near(time.reading_s, NOON - 4020 + 60 * (double)number, 0); /* the camera's own reading stays */
    }
    assert_int_equal(time_of(log, 1).how, GB_CLOCK_GPS);
    assert_near(time_of(log, 1).correction_s, 0, 1e-9);
    assert_int_not_equal(time_of(log, 9).how, GB_CLOCK_SAID);
}

static void a_new_word_replaces_the_old_and_an_empty_one_takes_it_back(void **state)
{
    g_autoptr(GbLog) log = two_cameras(state);
    GbClockTime untold = time_of(log, 5);
    say(log, "compact", "1 h 7 min slow", "Acme Compact: 1 h 7 min slow");
    say(log, "Acme Compact", "2:00:30 fast", "Acme Compact: 2:00:30 fast");
    assert_near(time_of(log, 5).correction_s, -7230, 0);
    say(log, "compact", "right", "Acme Compact: right");
    assert_near(time_of(log, 5).correction_s, 0, 0);
    assert_int_equal(time_of(log, 5).how, GB_CLOCK_SAID);
    say(log, "compact", "", "Acme Compact: word on its clock taken back");
    assert_near(time_of(log, 5).utc_s, untold.utc_s, 0);
    assert_int_equal(time_of(log, 5).how, untold.how);
    say(log, "compact", "right", "Acme Compact: right");
    say(log, "compact", NULL, "Acme Compact: word on its clock taken back");
}

static void the_same_word_again_is_no_change(void **state)
{
    g_autoptr(GbLog) log = two_cameras(state);
    say(log, "compact", "67 min slow", "Acme Compact: 67 min slow");
    guint entries = history_length(log);
    assert_true(gb_correct_say(log, "compact", "67 min slow", NULL, NULL));
    assert_int_equal(history_length(log), entries);
}

static void words_that_say_nothing_clear_are_refused_and_change_nothing(void **state)
{
    g_autoptr(GbLog) log = two_cameras(state);
    g_autofree char *endless = g_strnfill(200, '1');
    refused_word(state, log, "compact", "1:07", GB_ERROR_UNCLEAR, "1:07");
    refused_word(state, log, "compact", "67", GB_ERROR_UNCLEAR, "67");
    refused_word(state, log, "compact", "67 min", GB_ERROR_UNCLEAR, "slow");
    refused_word(state, log, "compact", "soon", GB_ERROR_SYNTAX, "soon");
    refused_word(state, log, "compact", " ", GB_ERROR_SYNTAX, "write");
    refused_word(state, log, "compact", endless, GB_ERROR_SYNTAX, "write");
    refused_word(state, log, "compact", "101 years slow", GB_ERROR_SYNTAX, "");
    refused_word(state, log, "kodachrome", "right", GB_ERROR_UNKNOWN, "kodachrome");
    refused_word(state, log, "acme", "right", GB_ERROR_UNCLEAR, "Acme Compact");
    refused_word(state, log, "", "right", GB_ERROR_UNKNOWN, "camera");
    refused_word(state, log, "compact", "", GB_ERROR_STATE, "nothing was said of the clock of Acme Compact");
}

static void control_characters_in_a_word_do_not_reach_the_history(void **state)
{
    g_autoptr(GbLog) log = two_cameras(state);
    g_autoptr(GError) error = NULL;
    g_autofree char *summary = NULL;
    if (!gb_correct_say(log, "compact", "67 min\x1b slow\n", &summary, &error)) {
        assert_error(error, GB_ERROR_SYNTAX, "");
        return;
    }
    g_autofree char *last = last_summary(log);
    assert_null(strpbrk(summary, "\x1b\n"));
    assert_null(strpbrk(last, "\x1b\n"));
}

static void a_pair_gives_the_first_the_time_of_the_second(void **state)
{
    g_autoptr(GbLog) log = two_cameras(state);
    g_autofree char *summary = NULL;
    assert_true(gb_correct_pair(log, 5, 2, &summary, NULL));
    assert_string_equal(summary, "shot 5 = shot 2");
    assert_near(time_of(log, 5).utc_s, time_of(log, 2).utc_s, 1e-6);
    assert_near(time_of(log, 6).utc_s, time_of(log, 2).utc_s + 60, 1e-6); /* and its neighbours go with it */
    assert_int_equal(time_of(log, 5).how, GB_CLOCK_PAIRED);
    pair(log, 5, 3); /* another word on the same shot replaces the first */
    assert_near(time_of(log, 5).utc_s, time_of(log, 3).utc_s, 1e-6);
    g_autoptr(GbCameras) cameras = gb_cameras_load(log, NULL);
    assert_int_equal(cameras->pairs->len, 1);
    pair(log, 5, 0);
    assert_int_not_equal(time_of(log, 5).how, GB_CLOCK_PAIRED);
}

static void pairs_that_can_not_be_are_refused_and_change_nothing(void **state)
{
    g_autoptr(GbLog) log = two_cameras(state);
    refused_pair(state, log, 5, 99, GB_ERROR_UNKNOWN, "no shot 99");
    refused_pair(state, log, 99, 5, GB_ERROR_UNKNOWN, "no shot 99");
    refused_pair(state, log, -1, 5, GB_ERROR_UNKNOWN, "no shot -1");
    refused_pair(state, log, 5, 6, GB_ERROR_STATE, "both are of one camera");
    refused_pair(state, log, 5, 5, GB_ERROR_STATE, "both are of one camera");
    refused_pair(state, log, 10, 1, GB_ERROR_STATE, "the first has no time");
    refused_pair(state, log, 5, 10, GB_ERROR_STATE, "the time of the second is not known");
    refused_pair(state, log, 5, 0, GB_ERROR_STATE, "shot 5 is in no pair");
}

/* Each leans on the other: no clock could be corrected, and all words on clocks would have been passed over without a word. */
static void pairs_that_would_lean_on_each_other_in_a_circle_are_refused(void **state)
{
    g_autoptr(GbLog) log = two_cameras(state);
    pair(log, 5, 2);
    GbClockTime before = time_of(log, 5);
    refused_pair(state, log, 3, 6, GB_ERROR_STATE, "in a circle");
    assert_near(time_of(log, 5).utc_s, before.utc_s, 0);
    pair(log, 9, 5); /* a chain is none */
    refused_pair(state, log, 1, 9, GB_ERROR_STATE, "in a circle");
    say(log, "phone", "right", "Acme Phone: right"); /* a word ends it: the phone leans on nobody */
    pair(log, 3, 6);
    assert_int_equal(time_of(log, 5).how, GB_CLOCK_PAIRED);
    refused_word(state, log, "phone", "", GB_ERROR_STATE, "the word can't be taken back");
    pair(log, 3, 0);
    say(log, "phone", "", "Acme Phone: word on its clock taken back");
}

static void undo_takes_words_and_pairs_back_and_redo_says_them_again(void **state)
{
    g_autoptr(GbLog) log = two_cameras(state);
    g_autoptr(GError) error = NULL;
    g_autofree char *nothing = dump_work(state);
    say(log, "compact", "67 min slow", "Acme Compact: 67 min slow");
    g_autofree char *word = dump_work(state);
    pair(log, 9, 1);
    g_autofree char *both = dump_work(state);
    pair(log, 9, 2);
    assert_undo_brings_back(state, log, both);
    assert_undo_brings_back(state, log, word);
    assert_undo_brings_back(state, log, nothing);
    assert_int_not_equal(time_of(log, 5).how, GB_CLOCK_SAID);
    assert_true(gb_history_redo(log, NULL, &error) && gb_history_redo(log, NULL, &error));
    g_autofree char *again = dump_work(state);
    assert_string_equal(again, both);
    assert_int_equal(time_of(log, 5).how, GB_CLOCK_SAID);
    assert_int_equal(time_of(log, 9).how, GB_CLOCK_PAIRED);
    say(log, "compact", "", "Acme Compact: word on its clock taken back");
    assert_undo_brings_back(state, log, both);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        test_in_folder(a_word_corrects_all_shots_of_its_camera_and_no_other),
        test_in_folder(a_new_word_replaces_the_old_and_an_empty_one_takes_it_back),
        test_in_folder(the_same_word_again_is_no_change),
        test_in_folder(words_that_say_nothing_clear_are_refused_and_change_nothing),
        test_in_folder(control_characters_in_a_word_do_not_reach_the_history),
        test_in_folder(a_pair_gives_the_first_the_time_of_the_second),
        test_in_folder(pairs_that_can_not_be_are_refused_and_change_nothing),
        test_in_folder(pairs_that_would_lean_on_each_other_in_a_circle_are_refused),
        test_in_folder(undo_takes_words_and_pairs_back_and_redo_says_them_again),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
