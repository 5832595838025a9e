/* test_dry_run.c -- a dry run says what the import does, and writes nothing.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "claim_support.h"
#include "photo_support.h"

#include <gablebook/dry_run.h>
#include <gablebook/error.h>
#include <gablebook/history.h>
#include <math.h>

static const char *const outcomes[] = { "new", "back", "known", "left out", "attached" };

static void put_card(void **state)
{
    g_autofree char *card = g_build_filename(*state, "card", NULL);
    g_free(put_photo(card, "IMG_1.JPG", 1));
    g_free(put_photo(card, "IMG_2.JPG", 2));
    g_free(put_photo(card, "b/IMG_3.JPG", 3));
    g_free(put_file(card, "notes.txt", "call the insured", 16));
    g_free(put_file(card, "empty.jpg", "", 0));
    g_free(put_file(card, "clip.mp4", "\0\0\0\x18" "ftypmp42\0\0\0\0mp42isom\0\0\0\0", 28));
}

static char *foreseen(void **state, GbLog *log)
{
    g_autoptr(GError) error = NULL;
    g_autofree char *card = g_build_filename(*state, "card", NULL);
    g_autoptr(GPtrArray) files = gb_dry_run(log, (const char *const[]){ card, NULL }, 0, &error);
    assert_no_error(error);
    GString *said = g_string_new(NULL);
    for (guint i = 0; i < files->len; i++) {
        const GbDryFile *file = files->pdata[i];
        g_string_append_printf(said, "%s %s\n", file->path + strlen(card) + 1, outcomes[file->outcome]);
    }
    return g_string_free(said, FALSE);
}

static void on_file(const GbImportFile *file, const GbImportTally *tally, gpointer user)
{
    GString *said = user;
    (void)tally;
    g_string_append_printf(said, "%s %s\n", strstr(file->path, "card/") + 5, outcomes[file->outcome]);
}

static char *imported(void **state, GbLog *log)
{
    GbImportTally tally;
    g_autoptr(GError) error = NULL;
    GString *said = g_string_new(NULL);
    g_autofree char *card = g_build_filename(*state, "card", NULL);
    const GbImportWatch watch = { .file = on_file, .user = said };
    gb_import(log, (const char *const[]){ card, NULL }, &watch, &tally, &error);
    assert_no_error(error);
    return g_string_free(said, FALSE);
}

static void it_foresees_what_the_import_then_does(void **state)
{
    g_autoptr(GbLog) log = new_claim(state);
    put_card(state);
    g_autofree char *before = foreseen(state, log), *did = imported(state, log);
    assert_string_equal(before, did);
    assert_string_equal(before, "IMG_1.JPG new\nIMG_2.JPG new\nb/IMG_3.JPG new\nclip.mp4 attached\nempty.jpg left out\nnotes.txt left out\n");
    g_autofree char *again = foreseen(state, log), *did_again = imported(state, log);
    assert_string_equal(again, did_again);
    assert_non_null(strstr(again, "b/IMG_3.JPG known\n"));
    assert_non_null(strstr(again, "clip.mp4 known\n"));
}

static void it_foresees_what_comes_back_after_an_undo(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbLog) log = new_claim(state);
    put_card(state);
    g_autofree char *first = imported(state, log);
    g_autofree char *undone = NULL;
    assert_true(gb_history_undo(log, &undone, &error));
    g_autofree char *seen = foreseen(state, log), *did = imported(state, log);
    assert_non_null(strstr(seen, "IMG_2.JPG back\n"));
    assert_non_null(strstr(did, "IMG_2.JPG back\n"));
}

static void it_writes_nothing(void **state)
{
    g_autoptr(GbLog) log = new_claim(state);
    put_card(state);
    g_autofree char *folder = claim_path(state), *before = NULL, *after = NULL;
    g_autofree char *script = g_strdup_printf("cd '%s' && find . -printf '%%p %%s %%T@\\n' | sort", folder);
    assert_int_equal(run((const char *[]){ "sh", "-c", script, NULL }, &before, NULL), 0);
    g_autofree char *seen = foreseen(state, log);
    assert_int_equal(run((const char *[]){ "sh", "-c", script, NULL }, &after, NULL), 0);
    assert_string_equal(after, before);
}

/* Times, position and direction against exiftool on a photo it wrote itself. */
static void it_reads_what_the_camera_wrote_without_decoding(void **state)
{
    if (!have_program("exiftool"))
        skip();
    g_autoptr(GbLog) log = new_claim(state);
    g_autofree char *card = g_build_filename(*state, "card", NULL), *path = put_photo(card, "IMG_1.JPG", 1);
    const char *const argv[] = { "exiftool", "-q", "-overwrite_original", "-DateTimeOriginal=2026:05:14 15:02:08", "-GPSLatitude=32.5",
        "-GPSLatitudeRef=N", "-GPSLongitude=97.25", "-GPSLongitudeRef=W", "-GPSImgDirection=205", "-GPSImgDirectionRef=T", path, NULL };
    assert_int_equal(run(argv, NULL, NULL), 0);
    g_autoptr(GPtrArray) files = gb_dry_run(log, (const char *const[]){ path, NULL }, 1, NULL);
    const GbDryFile *file = files->pdata[0];
    g_autofree char *taken = gb_time_text(file->exif.taken_local_s);
    assert_string_equal(taken, "2026-05-14 15:02:08");
    assert_near(file->exif.lat_deg, 32.5, 1e-6);
    assert_near(file->exif.lon_deg, -97.25, 1e-6);
    assert_near(file->exif.heading_deg, 205, 1e-6);
    assert_true(file->width == 64 && file->height == 48);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        test_in_folder(it_foresees_what_the_import_then_does),
        test_in_folder(it_foresees_what_comes_back_after_an_undo),
        test_in_folder(it_writes_nothing),
        test_in_folder(it_reads_what_the_camera_wrote_without_decoding),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
