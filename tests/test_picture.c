/* test_picture.c -- smaller pictures of the shots, and the cache they are kept in.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "claim_support.h"
#include "photo_support.h"

#include <gablebook/error.h>
#include <gablebook/import.h>
#include <gablebook/jpeg.h>
#include <gablebook/picture.h>
#include <glib/gstdio.h>

/* A claim with one photo of 400 x 100 pixels. */
static GbLog *one_photo(void **state)
{
    g_autoptr(GError) error = NULL;
    GbImportTally tally;
    GbLog *log = new_claim(state);
    g_autoptr(GBytes) bytes = jpeg_bytes(400, 100, 1);
    g_autofree char *path = put_file(*state, "IMG_1.JPG", g_bytes_get_data(bytes, NULL), g_bytes_get_size(bytes));
    gb_import(log, (const char *const[]){ path, NULL }, NULL, &tally, &error);
    assert_no_error(error);
    return log;
}

static char *cached_path(GbLog *log, const GbShot *shot, const char *px)
{
    g_autofree char *name = g_strconcat(shot->sha256, ".jpg", NULL);
    return gb_log_path(log, "cache", px, name, NULL);
}

static void assert_size(GBytes *picture, int width, int height)
{
    g_autoptr(GError) error = NULL;
    GbJpegHeader header;
    gb_jpeg_header(g_bytes_get_data(picture, NULL), g_bytes_get_size(picture), &header, &error);
    assert_no_error(error);
    assert_int_equal(header.width, width);
    assert_int_equal(header.height, height);
    gb_jpeg_header_clear(&header);
}

static void a_picture_has_the_side_asked_for_is_never_enlarged_and_is_kept(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbLog) log = one_photo(state);
    g_autoptr(GPtrArray) shots = gb_shots_load(log, &error);
    const GbShot *shot = shots->pdata[0];
    g_autoptr(GBytes) small = gb_picture(log, shot, 200, &error);
    g_autoptr(GBytes) full = gb_picture(log, shot, 4000, &error);
    assert_no_error(error);
    assert_size(small, 200, 50);
    assert_size(full, 400, 100);
    g_autofree char *path = cached_path(log, shot, "200");
    g_autoptr(GBytes) other = jpeg_bytes(20, 10, 5);
    assert_true(g_file_set_contents(path, g_bytes_get_data(other, NULL), (gssize)g_bytes_get_size(other), NULL));
    g_autoptr(GBytes) cached = gb_picture(log, shot, 200, &error); /* what is in the cache and whole is taken from there */
    assert_size(cached, 20, 10);
}

static void a_picture_is_turned_upright(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbLog) log = one_photo(state);
    g_autoptr(GPtrArray) shots = gb_shots_load(log, &error);
    GbShot *shot = shots->pdata[0];
    shot->exif.orientation = 6;
    g_autoptr(GBytes) picture = gb_picture(log, shot, 100, &error);
    assert_no_error(error);
    assert_size(picture, 25, 100);
}

static void a_cache_that_is_gone_or_spoilt_comes_back(void **state)
{
    static const struct { const char *bytes; gssize n; } spoilt[] = {
        { "", 0 }, { "\xff\xd8", 2 }, { "no picture at all", -1 }, { "\xff\xd8 cut short", -1 }, { "not so \xff\xd9", -1 }, { "\xff\xd8\xff\xd9", 4 },
    };
    g_autoptr(GError) error = NULL;
    g_autoptr(GbLog) log = one_photo(state);
    g_autoptr(GPtrArray) shots = gb_shots_load(log, &error);
    g_autofree char *path = cached_path(log, shots->pdata[0], "120"), *cache = gb_log_path(log, "cache", NULL);
    g_autoptr(GBytes) first = gb_picture(log, shots->pdata[0], 120, &error);
    for (gsize i = 0; i < G_N_ELEMENTS(spoilt); i++) {
        assert_true(g_file_set_contents(path, spoilt[i].bytes, spoilt[i].n, NULL));
        g_autoptr(GBytes) again = gb_picture(log, shots->pdata[0], 120, &error);
        assert_no_error(error);
        assert_true(g_bytes_equal(again, first));
    }
    remove_tree(cache);
    g_autoptr(GBytes) again = gb_picture(log, shots->pdata[0], 120, &error);
    assert_true(g_bytes_equal(again, first));
    assert_true(g_file_test(path, G_FILE_TEST_EXISTS));
}

static void a_cache_that_cannot_be_written_is_no_error(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbLog) log = one_photo(state);
    g_autoptr(GPtrArray) shots = gb_shots_load(log, &error);
    g_autofree char *cache = gb_log_path(log, "cache", NULL);
    remove_tree(cache);
    assert_true(g_file_set_contents(cache, "in the way", -1, NULL));
    g_autoptr(GBytes) picture = gb_picture(log, shots->pdata[0], 120, &error);
    assert_no_error(error);
    assert_size(picture, 120, 30);
}

static void an_original_that_is_missing_changed_or_unreadable_gives_no_picture(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbLog) log = one_photo(state);
    g_autoptr(GPtrArray) shots = gb_shots_load(log, &error);
    const GbShot *shot = shots->pdata[0];
    g_autofree char *path = gb_log_path(log, "originals", shot->stored_name, NULL);
    g_autoptr(GBytes) other = jpeg_bytes(400, 100, 2);
    assert_int_equal(g_unlink(path), 0);
    assert_null(gb_picture(log, shot, 120, &error));
    assert_error(error, GB_ERROR_IO, shot->stored_name);
    assert_true(g_file_set_contents(path, g_bytes_get_data(other, NULL), (gssize)g_bytes_get_size(other), NULL));
    assert_null(gb_picture(log, shot, 120, &error));
    assert_error(error, GB_ERROR_DAMAGED, "is no longer the file that was imported (its SHA-256 differs)");
    GbShot text = *shot;
    assert_true(g_file_set_contents(path, "text", -1, NULL));
    g_autofree char *sum = sha256sum(path);
    text.sha256 = sum;
    assert_null(gb_picture(log, &text, 120, &error));
    assert_non_null(strstr(error->message, shot->stored_name)); /* the message names the file */
    g_autofree char *cached = cached_path(log, &text, "120");
    assert_false(g_file_test(cached, G_FILE_TEST_EXISTS));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        test_in_folder(a_picture_has_the_side_asked_for_is_never_enlarged_and_is_kept),
        test_in_folder(a_picture_is_turned_upright),
        test_in_folder(a_cache_that_is_gone_or_spoilt_comes_back),
        test_in_folder(a_cache_that_cannot_be_written_is_no_error),
        test_in_folder(an_original_that_is_missing_changed_or_unreadable_gives_no_picture),
    };
    return cmocka_run_group_tests_name("picture", tests, NULL, NULL);
}
