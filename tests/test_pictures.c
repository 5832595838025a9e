/* test_pictures.c -- the pictures of a report: which originals are read, what is found wrong with them, how a budget is met.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "claim_support.h"
#include "photo_support.h"

#include <gablebook/attachment.h>
#include <gablebook/import.h>
#include <glib/gstdio.h>
#include <report/report-private.h>
#include <utime.h>

#define PX 200

/* A claim with n photos of 400 x 300 pixels. OWNED by the caller. */
static GbLog *claim_of(void **state, guint n)
{
    g_autoptr(GError) error = NULL;
    g_autofree char *card = g_build_filename(*state, "card", NULL);
    GbImportTally tally;
    GbLog *log = new_claim(state);
    for (guint i = 0; i < n; i++) {
        g_autofree char *name = g_strdup_printf("IMG_%u.JPG", i);
        g_autoptr(GBytes) bytes = jpeg_bytes(400, 300, i + 1);
        g_autofree char *path = put_file(card, name, g_bytes_get_data(bytes, NULL), g_bytes_get_size(bytes));
    }
    gb_import(log, (const char *const[]){ card, NULL }, NULL, &tally, &error);
    assert_no_error(error);
    return log;
}

static char *original(GbLog *log, const GbShot *shot)
{
    return gb_log_path(log, "originals", shot->stored_name, NULL);
}

static const char *problem_of(GbLog *log, const GPtrArray *shots, GbPictures **pictures)
{
    *pictures = gb_pictures_new(log, shots, PX);
    gb_pictures_prepare(*pictures);
    return gb_pictures_problem(*pictures, ((const GbShot *)shots->pdata[0])->number);
}

/* Other bytes of the same length, and the file's old time. */
static void change_quietly(const char *path)
{
    GStatBuf st;
    g_autofree char *text = NULL;
    gsize n;
    assert_int_equal(g_stat(path, &st), 0);
    assert_true(g_file_get_contents(path, &text, &n, NULL));
    text[n / 2] ^= 1;
    (void)g_chmod(path, 0644);
    FILE *file = g_fopen(path, "r+b");
    assert_int_equal(fwrite(text, 1, n, file), n);
    assert_int_equal(fclose(file), 0);
    const struct utimbuf times = { st.st_atime, st.st_mtime };
    assert_int_equal(g_utime(path, (struct utimbuf *)&times), 0);
}

/* Note in the cache that a file was read in its present state and found right. */
static void note_file(GbLog *log, const char *sha256, const char *path)
{
    gboolean settled;
    g_autoptr(GHashTable) seen = gb_seen_load(log);
    g_hash_table_insert(seen, g_strdup(sha256), gb_seen_state(path, &settled));
    gb_seen_save(log, seen);
}

static void note_as_read(GbLog *log, const GbShot *shot)
{
    g_autofree char *path = original(log, shot);
    note_file(log, shot->sha256, path);
}

static void what_was_noted_is_found_again(void **state)
{
    g_autoptr(GbLog) log = claim_of(state, 2);
    g_autoptr(GPtrArray) shots = gb_shots_load(log, NULL);
    note_as_read(log, shots->pdata[0]);
    note_as_read(log, shots->pdata[1]);
    g_autoptr(GHashTable) seen = gb_seen_load(log);
    assert_int_equal(g_hash_table_size(seen), 2);
    assert_non_null(g_hash_table_lookup(seen, ((const GbShot *)shots->pdata[1])->sha256));
}

static void an_original_changed_since_it_was_read_is_noticed_though_size_and_time_are_the_old_ones(void **state)
{
    g_autoptr(GbPictures) pictures = NULL;
    g_autoptr(GbLog) log = claim_of(state, 1);
    g_autoptr(GPtrArray) shots = gb_shots_load(log, NULL);
    g_autofree char *path = original(log, shots->pdata[0]);
    assert_null(problem_of(log, shots, &pictures));
    g_clear_pointer(&pictures, gb_pictures_free);
    note_as_read(log, shots->pdata[0]);
    change_quietly(path);
    assert_string_equal(problem_of(log, shots, &pictures), "its original is no longer the file that was taken in: its SHA-256 differs");
}

/* Shown by a note that is wrong: nothing is read that would contradict it. What only a reading can find, verify finds. */
static void an_original_that_was_not_touched_since_is_not_read_again(void **state)
{
    g_autoptr(GbPictures) pictures = NULL;
    g_autoptr(GbLog) log = claim_of(state, 1);
    g_autoptr(GPtrArray) shots = gb_shots_load(log, NULL);
    g_autofree char *path = original(log, shots->pdata[0]);
    assert_null(problem_of(log, shots, &pictures)); /* its picture is kept now */
    g_clear_pointer(&pictures, gb_pictures_free);
    change_quietly(path);
    note_as_read(log, shots->pdata[0]);
    assert_null(problem_of(log, shots, &pictures));
}

/* Likewise of a file beside the photos: a video may have gigabytes. */
static void a_file_beside_the_photos_that_was_not_touched_since_is_not_read_again(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbLog) log = claim_of(state, 1);
    g_autofree char *more = g_build_filename(*state, "more", NULL), *memo = put_file(more, "memo.PDF", "%PDF-1.4 invented", 17);
    GbImportTally tally;
    gb_import(log, (const char *const[]){ more, NULL }, NULL, &tally, &error);
    assert_no_error(error);
    g_autoptr(GPtrArray) shots = gb_shots_load(log, NULL), attachments = gb_attachments_load(log, shots, &error);
    assert_no_error(error);
    assert_int_equal(attachments->len, 1);
    const GbAttachment *attachment = attachments->pdata[0];
    g_autofree char *path = gb_log_path(log, "originals", attachment->stored_name, NULL);
    change_quietly(path);
    for (int noted = 0; noted < 2; noted++) {
        g_autoptr(json_t) model = json_pack("{s:[], s:{}, s:{s:i}}", "files", "counts", "originals", "read", 1);
        gb_put_attached(model, log, attachments);
        const json_t *file = json_array_get(json_object_get(json_object_get(model, "attached"), "files"), 0);
        assert_int_equal(json_object_get(file, "problem") == NULL, noted);
        note_file(log, attachment->sha256, path);
    }
}

/* An original that can't be shown has no picture in the report, though the cache may have one. */
static void a_picture_that_cannot_be_shown_costs_nothing(void **state)
{
    g_autoptr(GbPictures) pictures = NULL;
    g_autoptr(GbLog) log = claim_of(state, 1);
    g_autoptr(GPtrArray) shots = gb_shots_load(log, NULL);
    g_autofree char *path = original(log, shots->pdata[0]);
    assert_null(problem_of(log, shots, &pictures));
    assert_true(gb_pictures_total(pictures) > 0);
    g_clear_pointer(&pictures, gb_pictures_free);
    change_quietly(path);
    assert_non_null(problem_of(log, shots, &pictures));
    assert_near(gb_pictures_total(pictures), 0, 0);
}

static void a_note_that_is_rubbish_is_no_harm(void **state)
{
    g_autoptr(GbPictures) pictures = NULL;
    g_autoptr(GbLog) log = claim_of(state, 1);
    g_autoptr(GPtrArray) shots = gb_shots_load(log, NULL);
    g_autofree char *path = gb_log_path(log, "cache", "originals.seen", NULL);
    assert_true(g_file_set_contents(path, "rubbish\n\xff\xfe", -1, NULL));
    assert_null(problem_of(log, shots, &pictures));
}

static void a_budget_makes_pictures_smaller_and_the_same_one_makes_the_same(void **state)
{
    g_autoptr(GbLog) log = claim_of(state, 30);
    g_autoptr(GPtrArray) shots = gb_shots_load(log, NULL);
    g_autoptr(GbPictures) first = gb_pictures_new(log, shots, 400), second = gb_pictures_new(log, shots, 400);
    gb_pictures_prepare(first);
    double whole = gb_pictures_total(first);
    assert_true(gb_pictures_fit(first, whole, FALSE));
    assert_near(gb_pictures_total(first), whole, 0);
    assert_true(gb_pictures_fit(first, whole / 2, FALSE));
    assert_true(gb_pictures_total(first) <= whole / 2);
    gb_pictures_prepare(second);
    assert_true(gb_pictures_fit(second, whole / 2, FALSE));
    assert_near(gb_pictures_total(second), gb_pictures_total(first), 0);
    assert_false(gb_pictures_fit(second, 1000, FALSE));
}

static void pictures_that_are_not_shown_cost_nothing(void **state)
{
    g_autoptr(GbLog) log = claim_of(state, 3);
    g_autoptr(GPtrArray) shots = gb_shots_load(log, NULL);
    g_autoptr(GbPictures) pictures = gb_pictures_new(log, shots, PX);
    gb_pictures_prepare(pictures);
    gb_pictures_use_none(pictures);
    assert_near(gb_pictures_total(pictures), 0, 0);
    assert_true(gb_pictures_fit(pictures, 1, FALSE));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        test_in_folder(what_was_noted_is_found_again),
        test_in_folder(an_original_changed_since_it_was_read_is_noticed_though_size_and_time_are_the_old_ones),
        test_in_folder(an_original_that_was_not_touched_since_is_not_read_again),
        test_in_folder(a_file_beside_the_photos_that_was_not_touched_since_is_not_read_again),
        test_in_folder(a_picture_that_cannot_be_shown_costs_nothing),
        test_in_folder(a_note_that_is_rubbish_is_no_harm),
        test_in_folder(a_budget_makes_pictures_smaller_and_the_same_one_makes_the_same),
        test_in_folder(pictures_that_are_not_shown_cost_nothing),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
