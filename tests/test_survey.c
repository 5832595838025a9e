/* test_survey.c -- looking at photos behind their import: nothing of it is lost, nothing is done twice, nothing else waits for it.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "claim_support.h"
#include "photo_support.h"

#include <gablebook/error.h>
#include <gablebook/import.h>
#include <gablebook/state.h>
#include <glib/gstdio.h>
#include <log/rows.h>

/* --- what the tests do --- */

static char *card_path(void **state)
{
    return g_build_filename(*state, "card", NULL);
}

static void put_photos(void **state, guint n)
{
    g_autofree char *card = card_path(state);
    for (guint i = 1; i <= n; i++) {
        g_autofree char *name = g_strdup_printf("IMG_%04u.JPG", i);
        g_free(put_photo(card, name, i));
    }
}

static GbImportTally import_later(void **state, GbLog *log)
{
    GbImportTally tally;
    g_autoptr(GError) error = NULL;
    g_autofree char *card = card_path(state);
    const GbImportWatch watch = { .later = TRUE };
    assert_true(gb_import(log, (const char *const[]){ card, NULL }, &watch, &tally, &error));
    assert_no_error(error);
    return tally;
}

static guint waiting(GbLog *log)
{
    guint n;
    assert_true(gb_survey_waiting(log, &n, NULL));
    return n;
}

static GbSurveyTally look(GbLog *log)
{
    GbSurveyTally tally;
    g_autoptr(GError) error = NULL;
    assert_true(gb_survey(log, FALSE, NULL, &tally, &error));
    assert_no_error(error);
    return tally;
}

static gboolean has_preview(GbLog *log, const GbShot *shot)
{
    g_autofree char *name = g_strconcat(shot->sha256, ".jpg", NULL), *path = gb_log_path(log, "cache", "320", name, NULL);
    return g_file_test(path, G_FILE_TEST_EXISTS);
}

static char *original_of(GbLog *log, guint i)
{
    g_autoptr(GPtrArray) shots = gb_shots_load(log, NULL);
    return gb_log_path(log, "originals", ((GbShot *)shots->pdata[i])->stored_name, NULL);
}

/* A photo whose header is sound and which can't be decoded: without its quantisation tables (ITU-T T.81, B.2.4.1). */
static void put_undecodable(void **state, const char *name)
{
    g_autofree char *card = card_path(state);
    g_autoptr(GBytes) bytes = jpeg_bytes(64, 48, 9);
    g_autoptr(GByteArray) out = g_byte_array_new();
    gsize n, at = 2;
    const guint8 *data = g_bytes_get_data(bytes, &n);
    g_byte_array_append(out, data, 2);
    while (at + 4 <= n && data[at + 1] != 0xda) { /* to the scan */
        gsize length = 2 + (gsize)(data[at + 2] << 8 | data[at + 3]);
        if (data[at + 1] != 0xdb)
            g_byte_array_append(out, data + at, (guint)length);
        at += length;
    }
    g_byte_array_append(out, data + at, (guint)(n - at));
    g_free(put_file(card, name, out->data, out->len));
}

/* --- --- */

static void photos_are_in_the_claim_and_safe_before_anybody_looks_at_them(void **state)
{
    g_autoptr(GbLog) log = new_claim(state);
    put_photos(state, 3);
    GbImportTally tally = import_later(state, log);
    assert_int_equal(tally.fresh, 3);
    assert_int_equal(waiting(log), 3);
    g_autoptr(GPtrArray) shots = gb_shots_load(log, NULL);
    for (guint i = 0; i < 3; i++) {
        const GbShot *shot = shots->pdata[i];
        g_autofree char *original = original_of(log, i), *sum = sha256sum(original);
        assert_string_equal(sum, shot->sha256);
        assert_int_equal(shot->width, 64);
        assert_false(shot->looked_at || shot->measured || shot->damaged || shot->weak != NULL || has_preview(log, shot));
    }
}

static void looking_later_finds_what_looking_at_once_finds(void **state)
{
    g_autoptr(GbLog) log = new_claim(state);
    put_photos(state, 5);
    import_later(state, log);
    GbSurveyTally tally = look(log);
    assert_true(tally.total == 5 && tally.done == 5 && tally.troubled == 0 && tally.missed == 0);
    assert_int_equal(waiting(log), 0);
    g_autofree char *other = g_build_filename(*state, "other", NULL), *card = card_path(state);
    g_autoptr(GbLog) at_once = gb_log_create(other, NULL);
    GbImportTally imported;
    assert_true(gb_import(at_once, (const char *const[]){ card, NULL }, NULL, &imported, NULL));
    g_autoptr(GPtrArray) shots = gb_shots_load(log, NULL), wanted = gb_shots_load(at_once, NULL);
    for (guint i = 0; i < 5; i++) {
        const GbShot *a = shots->pdata[i], *b = wanted->pdata[i];
        assert_true(a->looked_at && a->measured && has_preview(log, a) && has_preview(at_once, b));
        assert_true(a->quality.sharpness == b->quality.sharpness && a->quality.hash == b->quality.hash && a->quality.width == b->quality.width);
    }
    assert_int_equal(look(log).total, 0); /* once is enough */
}

static gboolean stop_at_once(gpointer user)
{
    (void)user;
    return TRUE;
}

static void what_was_stopped_goes_on_in_another_run_also_by_the_next_import(void **state)
{
    GbSurveyTally tally;
    g_autoptr(GbLog) log = new_claim(state);
    put_photos(state, 20);
    import_later(state, log);
    const GbSurveyWatch watch = { .stop = stop_at_once };
    assert_true(gb_survey(log, FALSE, &watch, &tally, NULL));
    assert_true(tally.stopped && tally.done < 20);
    assert_int_equal(waiting(log), 20 - tally.done);
    GbImportTally imported;
    assert_true(gb_import(log, (const char *const[]){ NULL }, NULL, &imported, NULL));
    assert_int_equal(imported.survey.done, 20 - tally.done);
    assert_int_equal(waiting(log), 0);
}

static void a_photo_of_which_no_picture_can_be_made_is_kept_and_says_why(void **state)
{
    g_autoptr(GbLog) log = new_claim(state);
    put_photos(state, 1);
    put_undecodable(state, "IMG_0002.JPG");
    import_later(state, log);
    GbSurveyTally tally = look(log);
    assert_true(tally.done == 2 && tally.troubled == 1);
    assert_int_equal(waiting(log), 0); /* looking again would tell no more */
    g_autoptr(GPtrArray) shots = gb_shots_load(log, NULL);
    const GbShot *shot = gb_shots_by_number(shots, 2);
    assert_true(shot->looked_at && !shot->measured);
    assert_string_equal(shot->trouble, "the JPEG is damaged and can't be read (Quantization table 0x00 was not defined)");
    assert_string_equal(shot->weak, "no picture: the JPEG is damaged and can't be read (Quantization table 0x00 was not defined)");
    g_autofree char *original = original_of(log, 1), *sum = sha256sum(original);
    assert_string_equal(sum, shot->sha256);
}

static void a_missing_or_changed_original_is_missed_and_looked_at_when_it_is_back(void **state)
{
    g_autoptr(GbLog) log = new_claim(state);
    put_photos(state, 3);
    import_later(state, log);
    g_autofree char *first = original_of(log, 0), *second = original_of(log, 1), *aside = g_strconcat(first, ".aside", NULL);
    g_autofree char *content = NULL;
    gsize n;
    assert_int_equal(g_rename(first, aside), 0);
    assert_true(g_file_get_contents(second, &content, &n, NULL));
    content[n / 2] ^= 1;
    assert_true(g_file_set_contents(second, content, (gssize)n, NULL));
    GbSurveyTally tally = look(log);
    assert_true(tally.done == 3 && tally.missed == 2);
    assert_int_equal(waiting(log), 2);
    content[n / 2] ^= 1;
    assert_true(g_file_set_contents(second, content, (gssize)n, NULL));
    assert_int_equal(g_rename(aside, first), 0);
    assert_int_equal(look(log).missed, 0);
    assert_int_equal(waiting(log), 0);
}

/* A HEIC whose decoder is gone when it is looked at. */
static void a_decoder_that_is_not_there_costs_no_photo_its_picture(void **state)
{
    if (!have_program("heif-enc") || !have_program("convert"))
        skip();
    g_autofree char *card = card_path(state), *before = g_strdup(g_getenv("GABLEBOOK_LIBEXEC"));
    g_autofree char *script = g_strdup_printf("mkdir '%s' && cd '%s' && convert -size 200x150 gradient:red-blue e.png && "
                                              "heif-enc -q 60 e.png -o b.HEIC >/dev/null && rm e.png", card, card);
    g_autoptr(GbLog) log = new_claim(state);
    assert_int_equal(run((const char *[]){ "sh", "-c", script, NULL }, NULL, NULL), 0);
    import_later(state, log);
    assert_int_equal(waiting(log), 1);
    g_setenv("GABLEBOOK_LIBEXEC", *state, TRUE);
    GbSurveyTally tally = look(log);
    if (before != NULL)
        g_setenv("GABLEBOOK_LIBEXEC", before, TRUE);
    else
        g_unsetenv("GABLEBOOK_LIBEXEC");
    assert_true(tally.missed == 1 && tally.troubled == 0);
    assert_int_equal(look(log).troubled, 0);
    assert_int_equal(waiting(log), 0);
}

static void what_was_found_first_stands_when_two_look_at_one_photo(void **state)
{
    g_autoptr(GbLog) log = new_claim(state);
    GbShot shot = { .damaged = FALSE, .trouble = (char *)"first" };
    enter_photos(log, 1);
    shot.number = 1;
    assert_true(gb_surveys_add(log, (GbShot *[]){ &shot }, 1, NULL));
    shot.trouble = (char *)"second";
    assert_true(gb_surveys_add(log, (GbShot *[]){ &shot }, 1, NULL));
    g_autoptr(GPtrArray) shots = gb_shots_load(log, NULL);
    assert_string_equal(((GbShot *)shots->pdata[0])->trouble, "first");
}

static void looking_is_no_change_and_a_changed_byte_of_it_is_found(void **state)
{
    GbState before, after;
    gboolean sound;
    g_autoptr(GbLog) log = new_claim(state);
    put_photos(state, 2);
    import_later(state, log);
    assert_true(gb_state_load(log, &before, NULL));
    look(log);
    assert_true(gb_state_check(log, &after, &sound, NULL));
    assert_true(sound);
    assert_string_equal(after.sha256, before.sha256);
    assert_int_equal(history_length(log), 1);
    sqlite3 *db = raw_connection(state);
    raw_exec(db, "UPDATE survey SET luma_mean = luma_mean + 1 WHERE original = 2");
    sqlite3_close(db);
    assert_true(gb_state_check(log, &after, &sound, NULL));
    assert_false(sound);
}

static void a_claim_that_cannot_be_written_is_left_as_it_is(void **state)
{
    GbSurveyTally tally;
    g_autofree char *folder = claim_path(state);
    {
        g_autoptr(GbLog) log = new_claim(state);
        put_photos(state, 1);
        import_later(state, log);
    }
    g_autoptr(GbLog) log = gb_log_open(folder, GB_LOG_READ, NULL);
    g_autofree char *away = g_strconcat(folder, ".away", NULL);
    assert_int_equal(g_rename(folder, away), 0); /* nothing can be opened for writing there, whoever runs the test */
    assert_true(gb_survey_finish(log, NULL, &tally, NULL));
    assert_int_equal(tally.done, 0);
    assert_int_equal(g_rename(away, folder), 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        test_in_folder(photos_are_in_the_claim_and_safe_before_anybody_looks_at_them),
        test_in_folder(looking_later_finds_what_looking_at_once_finds),
        test_in_folder(what_was_stopped_goes_on_in_another_run_also_by_the_next_import),
        test_in_folder(a_photo_of_which_no_picture_can_be_made_is_kept_and_says_why),
        test_in_folder(a_missing_or_changed_original_is_missed_and_looked_at_when_it_is_back),
        test_in_folder(a_decoder_that_is_not_there_costs_no_photo_its_picture),
        test_in_folder(what_was_found_first_stands_when_two_look_at_one_photo),
        test_in_folder(looking_is_no_change_and_a_changed_byte_of_it_is_found),
        test_in_folder(a_claim_that_cannot_be_written_is_left_as_it_is),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
