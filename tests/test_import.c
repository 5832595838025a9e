/* test_import.c -- the verb import: which files are taken, what is kept of them, what is said of the rest.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "claim_support.h"
#include "photo_support.h"

#include <gablebook/error.h>
#include <gablebook/history.h>
#include <gablebook/import.h>
#include <gablebook/jpeg.h>
#include <glib/gstdio.h>
#include <sys/stat.h>
#include <unistd.h>

/* --- what every test does: import one path, and remember what was said of each file --- */

typedef struct {
    GbImportTally tally;
    GString *said;  /* "IMG_1.JPG new 1\n" a file */
    GString *messages;
    guint stop_after; /* files; 0: never */
} Seen;

static void on_file(const GbImportFile *file, const GbImportTally *tally, gpointer user)
{
    static const char *const outcomes[] = { "new", "back", "known", "left out" };
    Seen *seen = user;
    g_autofree char *name = g_path_get_basename(file->path);
    g_string_append_printf(seen->said, "%s %s", name, outcomes[file->outcome]);
    if (file->number != 0)
        g_string_append_printf(seen->said, " %d", (int)file->number);
    g_string_append_c(seen->said, '\n');
    if (file->message != NULL)
        g_string_append_printf(seen->messages, "%s\n", file->message);
    seen->tally = *tally;
}

static void on_looked(gint64 number, const char *message, const GbSurveyTally *survey, gpointer user)
{
    Seen *seen = user;
    (void)number, (void)survey;
    if (message != NULL)
        g_string_append_printf(seen->messages, "%s\n", message);
}

static gboolean stop(gpointer user)
{
    const Seen *seen = user;
    return seen->stop_after != 0 && seen->tally.fresh >= seen->stop_after;
}

static void clear_seen(Seen *seen)
{
    g_string_free(seen->said, TRUE);
    g_string_free(seen->messages, TRUE);
}
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(Seen, clear_seen)

static Seen nothing_seen(void)
{
    return (Seen){ .said = g_string_new(NULL), .messages = g_string_new(NULL) };
}

static gboolean import_with(GbLog *log, const char *path, guint threads, Seen *seen, GError **error)
{
    const GbImportWatch watch = { .file = on_file, .stop = stop, .user = seen, .threads = threads, .looked = on_looked };
    return gb_import(log, (const char *const[]){ path, NULL }, &watch, &seen->tally, error);
}

/* Import that must work: what was said of the files. */
static Seen imported(GbLog *log, const char *path)
{
    g_autoptr(GError) error = NULL;
    Seen seen = nothing_seen();
    import_with(log, path, 0, &seen, &error);
    assert_no_error(error);
    return seen;
}

static char *card_path(void **state)
{
    return g_build_filename(*state, "card", NULL);
}

static void put(void **state, const char *name, guint seed)
{
    g_autofree char *card = card_path(state);
    g_free(put_photo(card, name, seed));
}

static void put_text(void **state, const char *name, const char *text)
{
    g_autofree char *card = card_path(state);
    g_free(put_file(card, name, text, strlen(text)));
}

static char *original_path(GbLog *log, const GbShot *shot)
{
    return gb_log_path(log, "originals", shot->stored_name, NULL);
}

static guint files_in(GbLog *log, const char *folder)
{
    guint n = 0;
    g_autofree char *path = gb_log_path(log, folder, NULL);
    g_autoptr(GDir) dir = g_dir_open(path, 0, NULL);
    while (dir != NULL && g_dir_read_name(dir) != NULL)
        n++;
    return n;
}

/* --- which files --- */

static void folders_are_searched_to_the_bottom_in_order_of_name(void **state)
{
    g_autofree char *card = card_path(state);
    g_autoptr(GbLog) log = new_claim(state);
    put(state, "b/IMG_3.JPG", 3);
    put(state, "b/IMG_10.JPG", 10);
    put(state, "c.JPG", 4);
    put(state, "a/deep/IMG_2.JPG", 2);
    put(state, "a/IMG_1.JPG", 1);
    g_auto(Seen) seen = imported(log, card);
    assert_string_equal(seen.said->str, "IMG_1.JPG new 1\nIMG_2.JPG new 2\nIMG_10.JPG new 3\nIMG_3.JPG new 4\nc.JPG new 5\n");
    assert_string_equal(seen.messages->str, "");
    assert_int_equal(seen.tally.total, 5);
    assert_int_equal(seen.tally.bytes, seen.tally.total_bytes);
    assert_false(seen.tally.stopped);
}

static void dot_names_and_links_to_folders_are_passed_over_links_to_files_are_taken(void **state)
{
    g_autofree char *card = card_path(state);
    g_autofree char *real = g_build_filename(card, "real.jpg", NULL), *link = g_build_filename(card, "z-link.jpg", NULL);
    g_autofree char *elsewhere = g_build_filename(*state, "elsewhere", NULL), *folder_link = g_build_filename(card, "y", NULL);
    g_autofree char *other = put_photo(elsewhere, "other.jpg", 7);
    g_autoptr(GbLog) log = new_claim(state);
    put(state, "real.jpg", 1);
    put(state, "._real.jpg", 2);
    put(state, ".trash/old.jpg", 3);
    assert_int_equal(symlink(other, link), 0);
    assert_int_equal(symlink(elsewhere, folder_link), 0);
    g_auto(Seen) seen = imported(log, card);
    assert_string_equal(seen.said->str, "real.jpg new 1\nz-link.jpg new 2\n");
    g_auto(Seen) named = imported(log, folder_link); /* a link that the user names is meant */
    assert_string_equal(named.said->str, "other.jpg known 2\n");
}

static void sidecars_are_passed_over_counted_and_named_once_by_kind(void **state)
{
    g_autofree char *card = card_path(state);
    g_autoptr(GbLog) log = new_claim(state);
    put(state, "IMG_1.JPG", 1);
    put_text(state, "IMG_1.AAE", "<?xml version=\"1.0\"?><plist/>");
    put_text(state, "IMG_1.xmp", "<x:xmpmeta/>");
    put_text(state, "IMG_1.JPG.xmp", "<x:xmpmeta/>");
    put(state, "MVI_2.THM", 2); /* 64 x 48 pixels */
    put_text(state, "b/thumbs.DB", "\xD0\xCF\x11\xE0");
    put_text(state, "b/desktop.ini", "");
    g_auto(Seen) seen = imported(log, card);
    assert_string_equal(seen.said->str, "IMG_1.JPG new 1\n");
    assert_string_equal(seen.messages->str, "");
    assert_int_equal(seen.tally.total, 1);
    g_autofree char *text = gb_sidecars_text(&seen.tally.sidecars);
    assert_string_equal(text, "6 sidecar files (.aae, .xmp, .thm, Thumbs.db, desktop.ini) passed over");
    g_autofree char *one = gb_sidecars_text(&(GbSidecars){ 1, 1 }), *none = gb_sidecars_text(&(GbSidecars){ 0 });
    assert_string_equal(one, "1 sidecar file (.aae) passed over");
    assert_null(none);
}

static void a_photo_called_like_a_sidecar_is_a_photo_and_a_name_like_one_is_left_out(void **state)
{
    g_autofree char *card = card_path(state);
    g_autoptr(GbLog) log = new_claim(state);
    g_autoptr(GBytes) jpeg = jpeg_bytes(64, 48, 3);
    g_autoptr(GByteArray) large = g_byte_array_new();
    g_byte_array_append(large, g_bytes_get_data(jpeg, NULL), (guint)g_bytes_get_size(jpeg));
    g_byte_array_set_size(large, 256 * 1024 + 1); /* what comes after a JPEG's end is no part of it */
    memset(large->data + g_bytes_get_size(jpeg), 0, large->len - g_bytes_get_size(jpeg));
    put(state, "a.aae", 1);
    g_free(put_file(card, "b.thm", large->data, large->len));
    put_text(state, "myThumbs.db", "x");
    put_text(state, "xmp", "x");
    g_auto(Seen) seen = imported(log, card);
    assert_string_equal(seen.said->str, "a.aae new 1\nb.thm new 2\nmyThumbs.db left out\nxmp left out\n");
    assert_int_equal(seen.tally.sidecars.n, 0);
}

static void what_is_no_photo_is_left_out_with_the_reason_and_the_rest_goes_on(void **state)
{
    g_autofree char *card = card_path(state), *fifo = g_build_filename(card, "fifo", NULL), *lost = g_build_filename(card, "lost", NULL);
    g_autoptr(GbLog) log = new_claim(state);
    put(state, "a.jpg", 1);
    put_text(state, "empty.jpg", "");
    put_text(state, "notes.jpg", "call the insured on Monday\n");
    put_text(state, "cut.jpg", "\xff\xd8\xff\xe0");
    put(state, "z.jpg", 2);
    assert_int_equal(mkfifo(fifo, 0600), 0);
    assert_int_equal(symlink("nowhere", lost), 0);
    g_auto(Seen) seen = imported(log, card);
    assert_string_equal(seen.said->str, "a.jpg new 1\ncut.jpg left out\nempty.jpg left out\nfifo left out\nlost left out\n"
                                        "notes.jpg left out\nz.jpg new 2\n");
    g_auto(GStrv) messages = g_strsplit(seen.messages->str, "\n", -1);
    static const char *const names[] = { "cut.jpg: ", "empty.jpg: ", "fifo: is no regular file", "lost: can't open: ", "notes.jpg: " };
    for (gsize i = 0; i < G_N_ELEMENTS(names); i++) {
        assert_true(g_str_has_prefix(messages[i], card)); /* names the file by its path, once */
        assert_non_null(strstr(messages[i], names[i]));
        assert_null(strstr(strstr(messages[i], card) + 1, card));
        assert_true(g_str_has_suffix(messages[i], "; left out"));
    }
    assert_int_equal(seen.tally.left_out, 5);
    assert_int_equal(files_in(log, "originals"), 2);
}

static void files_too_large_and_folders_too_deep_are_left_out(void **state)
{
    g_autofree char *card = card_path(state), *huge = g_build_filename(card, "huge.jpg", NULL);
    g_autoptr(GbLog) log = new_claim(state);
    g_autoptr(GString) deep = g_string_new(NULL);
    for (int i = 0; i < 70; i++)
        g_string_append(deep, "d/");
    g_string_append(deep, "IMG_1.JPG");
    put(state, deep->str, 1);
    put(state, "huge.jpg", 2);
    assert_int_equal(truncate(huge, (off_t)GB_JPEG_MAX_BYTES + 1), 0); /* a hole: takes no room */
    g_auto(Seen) seen = imported(log, card);
    assert_string_equal(seen.said->str, "d left out\nhuge.jpg left out\n");
    assert_non_null(strstr(seen.messages->str, "/d: lies too deep, in folders within folders; left out"));
    assert_non_null(strstr(seen.messages->str, "huge.jpg: has 268435457 bytes; at most 268435456 are read; left out"));
    assert_int_equal(history_length(log), 0);
}

static void a_path_that_does_not_exist_is_left_out_and_the_others_are_taken(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autofree char *card = card_path(state), *photo = g_build_filename(card, "a.jpg", NULL);
    g_autoptr(GbLog) log = new_claim(state);
    GbImportTally tally;
    put(state, "a.jpg", 1);
    assert_true(gb_import(log, (const char *const[]){ "/no/such/card", photo, photo, NULL }, NULL, &tally, &error));
    assert_int_equal(tally.left_out, 1);
    assert_int_equal(tally.fresh, 1);
    assert_int_equal(tally.known, 1); /* named twice */
    g_autofree char *said = last_summary(log);
    assert_string_equal(said, "1 photo from /no/such/card and 2 more"); /* not all names of a whole day */
    assert_true(gb_import(log, (const char *const[]){ NULL }, NULL, &tally, &error));
    assert_int_equal(tally.total, 0);
    assert_int_equal(history_length(log), 1);
}

static void a_jpeg_is_known_by_its_content_not_by_its_name(void **state)
{
    g_autofree char *card = card_path(state);
    g_autoptr(GbLog) log = new_claim(state);
    put(state, "IMG.dat", 1);
    put(state, "noending", 2);
    g_auto(Seen) seen = imported(log, card);
    assert_string_equal(seen.said->str, "IMG.dat new 1\nnoending new 2\n");
    g_autoptr(GPtrArray) shots = gb_shots_load(log, NULL);
    assert_string_equal(((GbShot *)shots->pdata[0])->source_name, "IMG.dat");
    assert_true(g_str_has_suffix(((GbShot *)shots->pdata[0])->stored_name, ".jpg"));
}

/* A claim folder made among the photos: its previews must not come back as photos. */
static void claims_own_folders_are_passed_over(void **state)
{
    g_autoptr(GbLog) log = new_claim(state); /* FOLDER/claim */
    g_autofree char *photo = put_photo(*state, "IMG_1.JPG", 1), *path = claim_path(state);
    g_auto(Seen) first = imported(log, *state);
    g_auto(Seen) second = imported(log, *state);
    assert_string_equal(first.said->str, "IMG_1.JPG new 1\n");
    assert_string_equal(second.said->str, "IMG_1.JPG known 1\n");
    g_auto(Seen) named = imported(log, path); /* who names it is told */
    assert_int_equal(named.tally.left_out, 1);
    assert_non_null(strstr(named.messages->str, "is a claim's own folder"));
}

/* --- HEIC and PNG --- */

/* A card of a JPEG, two HEIC by heif-enc (one called .jpg) and a PNG. */
static void put_formats(void **state)
{
    g_autofree char *card = card_path(state);
    put(state, "a.jpg", 1);
    g_autofree char *script = g_strdup_printf("cd '%s' && convert -size 200x150 gradient:red-blue e.png && heif-enc -q 60 e.png -o b.HEIC >/dev/null &&"
                                              " heif-enc -q 40 e.png -o c.jpg > /dev/null", card);
    assert_int_equal(run((const char *[]){ "sh", "-c", script, NULL }, NULL, NULL), 0);
}

static gboolean have_writers(void)
{
    return have_program("heif-enc") && have_program("convert");
}

static void heic_and_png_are_photos_whatever_they_are_called(void **state)
{
    if (!have_writers())
        skip();
    g_autofree char *card = card_path(state);
    g_autoptr(GbLog) log = new_claim(state);
    put_formats(state);
    g_auto(Seen) seen = imported(log, card);
    assert_string_equal(seen.said->str, "a.jpg new 1\nb.HEIC new 2\nc.jpg new 3\ne.png new 4\n");
    assert_string_equal(seen.messages->str, "");
    g_autoptr(GPtrArray) shots = gb_shots_load(log, NULL);
    static const char *const endings[] = { ".jpg", ".HEIC", ".heic", ".png" };
    for (guint i = 0; i < 4; i++) {
        const GbShot *shot = gb_shots_by_number(shots, i + 1);
        g_autofree char *source = g_build_filename(card, shot->source_name, NULL), *kept = original_path(log, shot);
        g_autofree char *source_sum = sha256sum(source), *kept_sum = sha256sum(kept);
        g_autofree char *preview = g_strconcat(shot->sha256, ".jpg", NULL), *cached = gb_log_path(log, "cache", "320", preview, NULL);
        assert_string_equal(kept_sum, source_sum);
        assert_true(g_str_has_suffix(shot->stored_name, endings[i]));
        assert_true(g_file_test(cached, G_FILE_TEST_EXISTS));
        assert_true(shot->measured);
        assert_int_equal(shot->width, i == 0 ? 64 : 200);
    }
}

/* A decoder of ours in place of the real one: the photos it should read are left out, each with its sentence; the rest goes on. */
static void a_decoder_that_is_killed_costs_its_photos_and_the_import_goes_on(void **state)
{
    if (!have_writers())
        skip();
    g_autofree char *card = card_path(state), *before = g_strdup(g_getenv("GABLEBOOK_LIBEXEC"));
    g_autofree char *decoder = put_file(*state, "gablebook-heic", "#!/bin/sh\nkill -9 $$\n", 20);
    g_autoptr(GbLog) log = new_claim(state);
    put_formats(state);
    assert_int_equal(g_chmod(decoder, 0700), 0);
    g_setenv("GABLEBOOK_LIBEXEC", *state, TRUE);
    g_auto(Seen) seen = imported(log, card);
    if (before != NULL)
        g_setenv("GABLEBOOK_LIBEXEC", before, TRUE);
    else
        g_unsetenv("GABLEBOOK_LIBEXEC");
    assert_string_equal(seen.said->str, "a.jpg new 1\nb.HEIC left out\nc.jpg left out\ne.png new 2\n");
    assert_non_null(strstr(seen.messages->str, "b.HEIC: the decoder for HEIC broke down over it (signal 9); left out\n"));
    assert_non_null(strstr(seen.messages->str, "c.jpg: the decoder for HEIC broke down over it (signal 9); left out\n"));
    g_auto(Seen) again = imported(log, card); /* with a sound decoder they come in */
    assert_string_equal(again.said->str, "a.jpg known 1\nb.HEIC new 3\nc.jpg new 4\ne.png known 2\n");
}

/* --- what is kept --- */

static void the_original_is_the_same_bytes_read_only_and_the_source_is_untouched(void **state)
{
    g_autofree char *card = card_path(state), *source = put_photo(card, "IMG_0001.JPG", 1);
    g_autoptr(GbLog) log = new_claim(state);
    struct stat before, after, kept;
    assert_int_equal(chmod(source, 0640), 0);
    assert_int_equal(stat(source, &before), 0);
    g_auto(Seen) seen = imported(log, source);
    g_autoptr(GPtrArray) shots = gb_shots_load(log, NULL);
    const GbShot *shot = shots->pdata[0];
    g_autofree char *original = original_path(log, shot);
    g_autofree char *source_sum = sha256sum(source), *kept_sum = sha256sum(original);
    assert_string_equal(kept_sum, source_sum);
    assert_string_equal(shot->sha256, source_sum);
    assert_int_equal(shot->bytes, before.st_size);
    assert_int_equal(shot->width, 64);
    assert_int_equal(shot->height, 48);
    assert_false(shot->damaged);
    assert_int_equal(stat(original, &kept), 0);
    assert_int_equal(kept.st_mode & 07777, 0444);
    assert_int_equal(stat(source, &after), 0);
    assert_int_equal(after.st_mode, before.st_mode);
    assert_int_equal(after.st_ino, before.st_ino);
    assert_true(after.st_mtim.tv_sec == before.st_mtim.tv_sec && after.st_mtim.tv_nsec == before.st_mtim.tv_nsec);
    g_autofree char *preview = g_strconcat(shot->sha256, ".jpg", NULL), *cached = gb_log_path(log, "cache", "320", preview, NULL);
    assert_true(g_file_test(cached, G_FILE_TEST_EXISTS));
}

/* exiftool writes what a camera would; the log must hold the same. */
static void what_the_camera_wrote_is_in_the_log(void **state)
{
    if (!have_program("exiftool"))
        skip();
    g_autofree char *card = card_path(state), *path = put_photo(card, "IMG_0001.JPG", 1);
    const char *const argv[] = { "exiftool", "-q", "-overwrite_original", "-Make=Larkfield", "-Model=LF-7", "-Orientation#=6",
        "-DateTimeOriginal=2026:05:14 15:02:08", "-SubSecTimeOriginal=25", "-OffsetTimeOriginal=-05:00", "-GPSLatitude=32.5",
        "-GPSLatitudeRef=N", "-GPSLongitude=97.25", "-GPSLongitudeRef=W", "-GPSImgDirection=205", "-GPSImgDirectionRef=T", path, NULL };
    assert_int_equal(run(argv, NULL, NULL), 0);
    g_autoptr(GbLog) log = new_claim(state);
    g_auto(Seen) seen = imported(log, path);
    g_autoptr(GPtrArray) shots = gb_shots_load(log, NULL);
    const GbExif *exif = &((GbShot *)shots->pdata[0])->exif;
    assert_string_equal(exif->make, "Larkfield");
    assert_string_equal(exif->model, "LF-7");
    assert_int_equal(exif->orientation, 6);
    assert_near(exif->taken_local_s, 1778770928.25, 1e-6); /* date -u -d '2026-05-14 15:02:08' +%s */
    assert_true(exif->has_offset);
    assert_int_equal(exif->offset_min, -300);
    assert_near(exif->lat_deg, 32.5, 1e-6);
    assert_near(exif->lon_deg, -97.25, 1e-6);
    assert_near(exif->heading_deg, 205, 1e-6);
    assert_int_equal(exif->heading_ref, 'T');
}

static void a_partly_damaged_photo_is_taken_as_it_is_and_marked(void **state)
{
    g_autofree char *card = card_path(state);
    g_autoptr(GbLog) log = new_claim(state);
    g_autoptr(GBytes) whole = jpeg_bytes(256, 256, 1);
    g_autofree char *half = put_file(card, "half.jpg", g_bytes_get_data(whole, NULL), g_bytes_get_size(whole) / 2);
    g_auto(Seen) seen = imported(log, card);
    assert_string_equal(seen.said->str, "half.jpg new 1\n");
    assert_non_null(strstr(seen.messages->str, "half.jpg (shot 1): damaged, only partly readable; taken in as it is"));
    g_autoptr(GPtrArray) shots = gb_shots_load(log, NULL);
    assert_true(((GbShot *)shots->pdata[0])->damaged);
    g_autofree char *original = original_path(log, shots->pdata[0]);
    g_autofree char *source_sum = sha256sum(half), *kept_sum = sha256sum(original);
    assert_string_equal(kept_sum, source_sum);
}

static void names_in_originals_are_safe_and_never_collide(void **state)
{
    g_autofree char *longest = g_strnfill(251, 'n');
    g_autofree char *long_name = g_strconcat(longest, ".JPG", NULL);
    const char *const names[] = { "-rf.jpg", "a\\b:c.jpg", "con.jpg", "tab\there.jpg", "esc\x1b[31m.jpg", "quo\"te.jpg", "st*r?.jpg",
        "\xff\xfe\xe9.jpg", "\xf0\x9f\x8f\xa0 house.jpg", "caf\xc3\xa9.jpg", "cafe\xcc\x81.jpg", "IMG.JPG", "img.jpg", "x.jpeg",
        "line\nend.jpg", " .jpg", "rtl\xe2\x80\xaegpj.jpg", long_name };
    g_autoptr(GbLog) log = new_claim(state);
    g_autofree char *card = card_path(state);
    for (gsize i = 0; i < G_N_ELEMENTS(names); i++)
        put(state, names[i], 100 + (guint)i);
    g_auto(Seen) seen = imported(log, card);
    assert_int_equal(seen.tally.fresh, G_N_ELEMENTS(names));
    assert_int_equal(files_in(log, "originals"), G_N_ELEMENTS(names));
    g_autoptr(GPtrArray) shots = gb_shots_load(log, NULL);
    g_autoptr(GHashTable) stored = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL);
    for (guint i = 0; i < shots->len; i++) {
        const GbShot *shot = shots->pdata[i];
        g_autofree char *path = original_path(log, shot), *sum = sha256sum(path);
        assert_string_equal(sum, shot->sha256);
        assert_true(g_utf8_validate(shot->source_name, -1, NULL) && g_utf8_validate(shot->stored_name, -1, NULL));
        assert_null(strpbrk(shot->stored_name, "/\\:*?\"<>|\t\n\x1b\x7f"));
        assert_true(shot->stored_name[0] != '.' && shot->stored_name[0] != '-');
        assert_true(strlen(shot->stored_name) <= 130);
        assert_true(g_hash_table_add(stored, g_utf8_casefold(shot->stored_name, -1))); /* also where case does not count */
    }
}

/* --- again --- */

static void the_same_bytes_are_recognised_also_under_another_name(void **state)
{
    g_autofree char *card = card_path(state);
    g_autoptr(GbLog) log = new_claim(state);
    put(state, "a/IMG_1.JPG", 1);
    put(state, "b/IMG_1.JPG", 1);
    put(state, "c/copy of 1.JPG", 1);
    put(state, "d/IMG_1.JPG", 2); /* the same name, other bytes */
    g_auto(Seen) first = imported(log, card);
    assert_string_equal(first.said->str, "IMG_1.JPG new 1\nIMG_1.JPG known 1\ncopy of 1.JPG known 1\nIMG_1.JPG new 2\n");
    assert_non_null(strstr(first.messages->str, "copy of 1.JPG: the same photo is in the claim already as number 1; not stored again\n"));
    assert_int_equal(files_in(log, "originals"), 2); /* no spare copy is left */
    g_auto(Seen) second = imported(log, card);
    assert_string_equal(second.said->str, "IMG_1.JPG known 1\nIMG_1.JPG known 1\ncopy of 1.JPG known 1\nIMG_1.JPG known 2\n");
    assert_int_equal(files_in(log, "originals"), 2);
    assert_int_equal(history_length(log), 1);
}

static void after_undo_the_same_photos_come_back_under_their_old_numbers(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autofree char *card = card_path(state), *later = g_build_filename(*state, "later", NULL);
    g_autoptr(GbLog) log = new_claim(state);
    put(state, "1.jpg", 1);
    put(state, "2.jpg", 2);
    g_auto(Seen) first = imported(log, card);
    assert_true(gb_history_undo(log, NULL, &error));
    g_autofree char *photo = put_photo(later, "0.jpg", 3);
    g_auto(Seen) other = imported(log, later);
    assert_string_equal(other.said->str, "0.jpg new 3\n");
    g_auto(Seen) again = imported(log, card);
    assert_string_equal(again.said->str, "1.jpg back 1\n2.jpg back 2\n");
    assert_int_equal(again.tally.back, 2);
    assert_non_null(strstr(again.messages->str, "2.jpg: was in the claim before; back as number 2"));
}

static void an_original_that_is_gone_is_put_back(void **state)
{
    g_autofree char *card = card_path(state);
    g_autoptr(GbLog) log = new_claim(state);
    put(state, "1.jpg", 1);
    g_auto(Seen) first = imported(log, card);
    g_autoptr(GPtrArray) shots = gb_shots_load(log, NULL);
    g_autofree char *original = original_path(log, shots->pdata[0]);
    assert_int_equal(g_unlink(original), 0);
    g_auto(Seen) again = imported(log, card);
    assert_string_equal(again.said->str, "1.jpg known 1\n");
    assert_non_null(strstr(again.messages->str, "its missing original was put back"));
    g_autofree char *sum = sha256sum(original);
    assert_string_equal(sum, ((GbShot *)shots->pdata[0])->sha256);
}

static void what_a_killed_import_left_in_originals_is_used(void **state)
{
    g_autofree char *card = card_path(state), *photo = put_photo(card, "1.jpg", 1), *sum = sha256sum(photo), *bytes = NULL;
    g_autoptr(GbLog) log = new_claim(state);
    gsize n;
    assert_true(g_file_get_contents(photo, &bytes, &n, NULL));
    g_autofree char *originals = gb_log_path(log, "originals", NULL), *name = g_strdup_printf("1-%.12s.jpg", sum);
    g_autofree char *left = put_file(originals, name, bytes, n);
    g_auto(Seen) seen = imported(log, card);
    assert_string_equal(seen.said->str, "1.jpg new 1\n");
    assert_int_equal(files_in(log, "originals"), 1);
}

/* A file under the very name: it is not overwritten, whoever put it there. */
static void a_name_taken_by_other_bytes_is_not_overwritten(void **state)
{
    g_autofree char *card = card_path(state), *photo = put_photo(card, "1.jpg", 1), *sum = sha256sum(photo);
    g_autoptr(GbLog) log = new_claim(state);
    g_autofree char *originals = gb_log_path(log, "originals", NULL), *name = g_strdup_printf("1-%.12s.jpg", sum);
    g_autofree char *theirs = put_file(originals, name, "mine", 4);
    put(state, "2.jpg", 2);
    g_auto(Seen) seen = imported(log, card);
    assert_string_equal(seen.said->str, "1.jpg left out\n2.jpg new 1\n");
    assert_true(g_str_has_prefix(seen.messages->str, photo)); /* the file that the user knows is named first */
    assert_non_null(strstr(seen.messages->str, "is there already with other bytes; it was not touched; left out"));
    g_autofree char *still = slurp(theirs);
    assert_string_equal(still, "mine");
}

/* --- many --- */

static void numbers_follow_the_files_whatever_thread_is_first(void **state)
{
    static const guint threads[] = { 1, 8 };
    g_autofree char *card = card_path(state), *seen_first = NULL;
    for (guint i = 0; i < 40; i++) {
        g_autofree char *name = g_strdup_printf("IMG_%04u.JPG", i);
        g_autoptr(GBytes) bytes = jpeg_bytes(i % 7 == 0 ? 900 : 20, 30, i); /* the first is the slowest */
        g_free(put_file(card, name, g_bytes_get_data(bytes, NULL), g_bytes_get_size(bytes)));
    }
    for (gsize t = 0; t < G_N_ELEMENTS(threads); t++) {
        g_autoptr(GError) error = NULL;
        g_autofree char *path = g_strdup_printf("%s/claim-%u", (char *)*state, threads[t]);
        g_autoptr(GbLog) log = gb_log_create(path, &error);
        g_auto(Seen) seen = nothing_seen();
        assert_true(import_with(log, card, threads[t], &seen, &error));
        g_autoptr(GPtrArray) shots = gb_shots_load(log, &error);
        for (guint i = 0; i < shots->len; i++) {
            const GbShot *shot = shots->pdata[i];
            g_string_append_printf(seen.said, "%d %s %s %s\n", (int)shot->number, shot->source_name, shot->stored_name, shot->sha256);
        }
        if (t == 0)
            seen_first = g_strdup(seen.said->str);
        assert_string_equal(seen.said->str, seen_first);
        assert_int_equal(seen.tally.fresh, 40);
    }
}

static void an_import_of_several_batches_is_one_entry_and_one_undo(void **state)
{
    g_autofree char *card = card_path(state);
    g_autoptr(GbLog) log = new_claim(state);
    g_autofree char *before = dump_work(state);
    for (guint i = 0; i < 300; i++) { /* batches of 256 at most */
        g_autofree char *name = g_strdup_printf("IMG_%04u.JPG", i);
        put(state, name, i);
    }
    g_auto(Seen) seen = imported(log, card);
    assert_int_equal(seen.tally.fresh, 300);
    assert_int_equal(history_length(log), 1);
    g_autofree char *said = last_summary(log), *wanted = g_strdup_printf("300 photos from %s", card);
    assert_string_equal(said, wanted);
    sqlite3 *db = raw_connection(state);
    g_autofree char *parts = raw_text(db, "SELECT count(*) > 1 FROM history_part");
    sqlite3_close(db);
    assert_string_equal(parts, "1");
    assert_undo_brings_back(state, log, before);
    assert_int_equal(files_in(log, "originals"), 300); /* nothing is ever thrown away */
}

static void a_stopped_import_keeps_what_is_done_and_a_second_brings_the_rest(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autofree char *card = card_path(state);
    g_autoptr(GbLog) log = new_claim(state);
    for (guint i = 0; i < 600; i++) {
        g_autofree char *name = g_strdup_printf("IMG_%04u.JPG", i);
        put(state, name, i);
    }
    g_auto(Seen) first = nothing_seen();
    first.stop_after = 1; /* known after the first batch */
    assert_true(import_with(log, card, 1, &first, &error));
    assert_true(first.tally.stopped);
    assert_in_range(first.tally.fresh, 1, 599);
    g_autoptr(GPtrArray) done = gb_shots_load(log, &error);
    assert_int_equal(done->len, first.tally.fresh);
    g_auto(Seen) second = imported(log, card);
    assert_false(second.tally.stopped);
    assert_int_equal(second.tally.known, first.tally.fresh);
    assert_int_equal(second.tally.fresh + second.tally.known, 600);
    g_autoptr(GPtrArray) all = gb_shots_load(log, &error);
    for (guint i = 0; i < 600; i++)
        assert_int_equal(((GbShot *)all->pdata[i])->number, i + 1);
}

static void a_claim_that_cannot_take_more_says_so_and_enters_nothing(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autofree char *card = card_path(state);
    g_autoptr(GbLog) log = new_claim(state);
    g_autofree char *originals = gb_log_path(log, "originals", NULL), *before = dump_work(state);
    put(state, "1.jpg", 1);
    put(state, "2.jpg", 2);
    assert_int_equal(g_rmdir(originals), 0);
    assert_true(g_file_set_contents(originals, "in the way", -1, NULL));
    g_auto(Seen) seen = nothing_seen();
    assert_false(import_with(log, card, 0, &seen, &error));
    assert_non_null(strstr(error->message, "1.jpg: can't be kept: "));
    assert_error(error, GB_ERROR_IO, "stopped before any of the 2 files was in the claim");
    assert_int_equal(seen.tally.total, 2);
    assert_int_equal(seen.tally.fresh, 0);
    assert_int_equal(history_length(log), 0);
    g_autofree char *after = dump_work(state);
    assert_string_equal(after, before);
    g_unlink(originals);
    assert_int_equal(g_mkdir(originals, 0700), 0);
    g_auto(Seen) again = imported(log, card);
    assert_int_equal(again.tally.fresh, 2);
}

static void a_claim_open_for_reading_takes_nothing(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autofree char *card = card_path(state), *path = claim_path(state);
    gb_log_free(new_claim(state));
    put(state, "1.jpg", 1);
    g_autoptr(GbLog) log = gb_log_open(path, GB_LOG_READ, &error);
    g_auto(Seen) seen = nothing_seen();
    assert_false(import_with(log, card, 0, &seen, &error));
    assert_non_null(error);
    assert_int_equal(seen.tally.fresh, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        test_in_folder(folders_are_searched_to_the_bottom_in_order_of_name),
        test_in_folder(dot_names_and_links_to_folders_are_passed_over_links_to_files_are_taken),
        test_in_folder(sidecars_are_passed_over_counted_and_named_once_by_kind),
        test_in_folder(a_photo_called_like_a_sidecar_is_a_photo_and_a_name_like_one_is_left_out),
        test_in_folder(what_is_no_photo_is_left_out_with_the_reason_and_the_rest_goes_on),
        test_in_folder(files_too_large_and_folders_too_deep_are_left_out),
        test_in_folder(a_path_that_does_not_exist_is_left_out_and_the_others_are_taken),
        test_in_folder(a_jpeg_is_known_by_its_content_not_by_its_name),
        test_in_folder(claims_own_folders_are_passed_over),
        test_in_folder(heic_and_png_are_photos_whatever_they_are_called),
        test_in_folder(a_decoder_that_is_killed_costs_its_photos_and_the_import_goes_on),
        test_in_folder(the_original_is_the_same_bytes_read_only_and_the_source_is_untouched),
        test_in_folder(what_the_camera_wrote_is_in_the_log),
        test_in_folder(a_partly_damaged_photo_is_taken_as_it_is_and_marked),
        test_in_folder(names_in_originals_are_safe_and_never_collide),
        test_in_folder(the_same_bytes_are_recognised_also_under_another_name),
        test_in_folder(after_undo_the_same_photos_come_back_under_their_old_numbers),
        test_in_folder(an_original_that_is_gone_is_put_back),
        test_in_folder(what_a_killed_import_left_in_originals_is_used),
        test_in_folder(a_name_taken_by_other_bytes_is_not_overwritten),
        test_in_folder(numbers_follow_the_files_whatever_thread_is_first),
        test_in_folder(an_import_of_several_batches_is_one_entry_and_one_undo),
        test_in_folder(a_stopped_import_keeps_what_is_done_and_a_second_brings_the_rest),
        test_in_folder(a_claim_that_cannot_take_more_says_so_and_enters_nothing),
        test_in_folder(a_claim_open_for_reading_takes_nothing),
    };
    return cmocka_run_group_tests_name("import", tests, NULL, NULL);
}
