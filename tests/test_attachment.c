/* test_attachment.c -- files beside the photos: never lost, listed, undone and redone with their import, held against their digest.
 *
 * sha256sum says whether the bytes are the same.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "claim_support.h"
#include "photo_support.h"

#include <gablebook/dossier.h>
#include <gablebook/error.h>
#include <gablebook/history.h>
#include <gablebook/image.h>
#include <gablebook/import.h>
#include <gablebook/list.h>
#include <gablebook/report.h>
#include <gablebook/verify.h>
#include <glib/gstdio.h>
#include <sys/stat.h>
#include <unistd.h>

G_DEFINE_AUTOPTR_CLEANUP_FUNC(json_t, json_decref)

static const guint8 film_head[] = { 0, 0, 0, 20, 'f', 't', 'y', 'p', 'q', 't', ' ', ' ', 0, 0, 0, 0, 'q', 't', ' ', ' ' };
static const guint8 raw_head[] = { 'I', 'I', '*', 0, 8, 0, 0, 0, 1, 0, 0x4A, 1, 4, 0, 1, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0 };

/* FOLDER/card/name with a head and something of its own. OWNED by the caller. */
static char *put(void **state, const char *name, const guint8 *head, gsize n, const char *more)
{
    g_autofree char *card = g_build_filename(*state, "card", NULL);
    g_autoptr(GByteArray) bytes = g_byte_array_new();
    g_byte_array_append(bytes, head, (guint)n);
    g_byte_array_append(bytes, (const guint8 *)more, (guint)strlen(more));
    return put_file(card, name, bytes->data, bytes->len);
}

static char *put_film(void **state, const char *name, const char *more)
{
    return put(state, name, film_head, sizeof film_head, more);
}

static char *put_raw(void **state, const char *name, const char *more)
{
    return put(state, name, raw_head, sizeof raw_head, more);
}

static void put_shot(void **state, const char *name, guint seed)
{
    g_autofree char *card = g_build_filename(*state, "card", NULL);
    g_free(put_photo(card, name, seed));
}

static void note_message(const GbImportFile *file, const GbImportTally *tally, gpointer messages)
{
    (void)tally;
    if (file->message != NULL)
        g_string_append_printf(messages, "%s\n", file->message);
}

/* Import FOLDER/card; what was said. OWNED by the caller. */
static char *import(void **state, GbLog *log, GbImportTally *tally)
{
    g_autoptr(GError) error = NULL;
    g_autofree char *card = g_build_filename(*state, "card", NULL);
    GString *messages = g_string_new(NULL);
    const GbImportWatch watch = { .file = note_message, .user = messages };
    gb_import(log, (const char *const[]){ card, NULL }, &watch, tally, &error);
    assert_no_error(error);
    return g_string_free(messages, FALSE);
}

/* "IMG_1.DNG raw photo beside 1\n" each. OWNED by the caller. */
static char *listed(GbLog *log)
{
    g_autoptr(GError) error = NULL;
    GString *text = g_string_new(NULL);
    g_autoptr(GbDossier) dossier = gb_dossier_load(log, &error);
    assert_no_error(error);
    for (guint i = 0; i < dossier->attachments->len; i++) {
        const GbAttachment *a = dossier->attachments->pdata[i];
        g_string_append_printf(text, "%s %s beside %d\n", a->source_name, a->kind, (int)a->beside);
    }
    return g_string_free(text, FALSE);
}

static void assert_listed(GbLog *log, const char *wanted)
{
    g_autofree char *seen = listed(log);
    assert_string_equal(seen, wanted);
}

/* Where the i-th attachment lies. OWNED by the caller. */
static char *kept_path(GbLog *log, guint i)
{
    g_autoptr(GbDossier) dossier = gb_dossier_load(log, NULL);
    return gb_log_path(log, "originals", ((GbAttachment *)dossier->attachments->pdata[i])->stored_name, NULL);
}

static void raw_photos_and_films_are_kept_byte_for_byte_read_only_and_named_at_import(void **state)
{
    g_autoptr(GbLog) log = new_claim(state);
    g_autofree char *raw = put_raw(state, "IMG_1.DNG", "sensor"), *film = put_film(state, "IMG_2.MOV", "film");
    put_shot(state, "IMG_1.JPG", 1);
    GbImportTally tally;
    g_autofree char *said = import(state, log, &tally), *wanted = g_strdup_printf("%s: raw photo; kept as an attachment: no preview\n"
        "%s: video; kept as an attachment: no preview\n", raw, film);
    assert_string_equal(said, wanted);
    assert_int_equal(tally.fresh, 1);
    assert_int_equal(tally.attached, 2);
    assert_int_equal(tally.left_out, 0);
    assert_int_equal(gb_import_done(&tally), 3);
    assert_listed(log, "IMG_1.DNG raw photo beside 1\nIMG_2.MOV video beside 0\n");
    g_autofree char *kept = kept_path(log, 0), *kept_sum = sha256sum(kept), *sum = sha256sum(raw), *name = g_path_get_basename(kept);
    struct stat st;
    assert_string_equal(kept_sum, sum);
    assert_true(g_str_has_prefix(name, "IMG_1-"));
    assert_true(g_str_has_suffix(name, ".DNG"));
    assert_int_equal(stat(kept, &st), 0);
    assert_int_equal(st.st_mode & 07777, 0444);
    g_autofree char *summary = last_summary(log), *summary_wanted = g_strdup_printf("1 photo and 2 attachments from %s/card", (char *)*state);
    assert_string_equal(summary, summary_wanted);
}

static void they_go_and_come_with_their_import_undone_redone_and_repeated(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbLog) log = new_claim(state);
    g_free(put_film(state, "IMG_2.MOV", "film"));
    GbImportTally tally;
    g_free(import(state, log, &tally));
    assert_true(gb_history_undo(log, NULL, &error));
    assert_listed(log, "");
    assert_true(gb_history_redo(log, NULL, &error));
    assert_listed(log, "IMG_2.MOV video beside 0\n");
    assert_true(gb_history_undo(log, NULL, &error));
    g_free(import(state, log, &tally));
    assert_int_equal(tally.attached, 1);
    assert_listed(log, "IMG_2.MOV video beside 0\n");
    g_autofree char *again = import(state, log, &tally);
    assert_int_equal(tally.known, 1);
    assert_non_null(strstr(again, "IMG_2.MOV: the same file is attached already; not stored again"));
    sqlite3 *db = raw_connection(state);
    g_autofree char *rows = raw_text(db, "SELECT count(*) || ' ' || max(id) FROM attachment");
    sqlite3_close(db);
    assert_string_equal(rows, "1 1");
    g_autoptr(GbVerification) sound = gb_verify(gb_log_folder(log), NULL, &error);
    assert_no_error(error);
    assert_int_equal(sound->faults->len + sound->remarks->len, 0);
}

static void the_same_bytes_under_two_names_are_kept_once(void **state)
{
    g_autoptr(GbLog) log = new_claim(state);
    g_free(put_film(state, "a.MOV", "film"));
    g_free(put_film(state, "b.mov", "film"));
    GbImportTally tally;
    g_free(import(state, log, &tally));
    assert_int_equal(tally.attached, 1);
    assert_int_equal(tally.known, 1);
    g_autofree char *originals = gb_log_path(log, "originals", NULL);
    g_autoptr(GDir) dir = g_dir_open(originals, 0, NULL);
    assert_non_null(g_dir_read_name(dir));
    assert_null(g_dir_read_name(dir));
}

static void one_that_is_gone_is_put_back_and_one_that_was_changed_is_found(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbLog) log = new_claim(state);
    g_free(put_film(state, "a.MOV", "film"));
    GbImportTally tally;
    g_free(import(state, log, &tally));
    g_autofree char *kept = kept_path(log, 0);
    assert_int_equal(g_unlink(kept), 0);
    g_autofree char *said = import(state, log, &tally);
    assert_non_null(strstr(said, "attached already; its missing original was put back"));
    assert_true(g_file_test(kept, G_FILE_TEST_EXISTS));
    assert_int_equal(g_chmod(kept, 0600), 0);
    assert_true(g_file_set_contents(kept, "another film", -1, NULL));
    g_autoptr(GbVerification) found = gb_verify(gb_log_folder(log), NULL, &error);
    assert_int_equal(found->faults->len, 1);
    assert_non_null(strstr(found->faults->pdata[0], "is no longer the file that was taken in"));
}

static void a_name_taken_by_other_bytes_is_not_overwritten(void **state)
{
    g_autoptr(GbLog) log = new_claim(state);
    g_autofree char *film = put_film(state, "a.MOV", "film"), *sum = sha256sum(film), *name = g_strdup_printf("a-%.12s.MOV", sum);
    g_autofree char *originals = gb_log_path(log, "originals", NULL), *theirs = put_file(originals, name, "mine", 4);
    GbImportTally tally;
    g_autofree char *said = import(state, log, &tally), *still = slurp(theirs);
    assert_int_equal(tally.left_out, 1);
    assert_non_null(strstr(said, "is there already with other bytes; it was not touched; left out"));
    assert_string_equal(still, "mine");
}

/* A minute of film is larger than what is read of a photo. */
static void a_film_larger_than_any_photo_may_be_is_kept(void **state)
{
    g_autoptr(GbLog) log = new_claim(state);
    g_autofree char *film = put_film(state, "long.MOV", "film");
    assert_int_equal(truncate(film, (off_t)GB_IMAGE_MAX_BYTES + 1000), 0);
    GbImportTally tally;
    g_free(import(state, log, &tally));
    assert_int_equal(tally.attached, 1);
    g_autofree char *kept = kept_path(log, 0), *kept_sum = sha256sum(kept), *sum = sha256sum(film);
    assert_string_equal(kept_sum, sum);
}

static void only_a_shot_that_is_alone_in_its_name_is_the_one_beside(void **state)
{
    g_autoptr(GbLog) log = new_claim(state);
    g_free(put_raw(state, "img_1.dng", "a"));
    g_free(put_raw(state, "IMG_2.DNG", "b"));
    g_free(put_raw(state, "noending", "c"));
    put_shot(state, "IMG_1.JPG", 1);
    put_shot(state, "IMG_2.JPG", 2);
    put_shot(state, "other/IMG_2.JPG", 3);
    GbImportTally tally;
    g_free(import(state, log, &tally));
    assert_listed(log, "IMG_2.DNG raw photo beside 0\nimg_1.dng raw photo beside 1\nnoending raw photo beside 0\n");
    g_autofree char *kept = kept_path(log, 2);
    assert_true(g_str_has_suffix(kept, ".bin"));
    g_autoptr(GbDossier) dossier = gb_dossier_load(log, NULL);
    g_autoptr(json_t) json = gb_list_attachments_json(dossier);
    assert_int_equal(json_integer_value(json_object_get(json_array_get(json, 1), "beside")), 1);
    assert_true(json_is_null(json_object_get(json_array_get(json, 0), "beside")));
}

static char *build_report(GbLog *log)
{
    g_autoptr(GError) error = NULL;
    g_autofree char *path = NULL;
    gb_report_build(log, &(GbReportOptions){ .picture_px = 64 }, &path, &error);
    assert_no_error(error);
    return slurp(path);
}

static void the_report_lists_them_among_the_files_and_says_when_one_is_missing(void **state)
{
    g_autoptr(GbLog) log = new_claim(state);
    put_shot(state, "IMG_1.JPG", 1);
    GbImportTally tally;
    g_free(import(state, log, &tally));
    g_autofree char *without = build_report(log);
    assert_null(strstr(without, "Kept beside the photos"));
    g_free(put_raw(state, "IMG_1.DNG", "a<b>"));
    g_free(put_film(state, "<i>.MOV", "b"));
    g_free(import(state, log, &tally));
    g_autofree char *page = build_report(log);
    assert_non_null(strstr(page, "Kept beside the photos <span class=\"count\">2 files</span>"));
    assert_non_null(strstr(page, "<a href=\"#figure-1\">1</a></td><td class=\"shot\">1</td><th scope=\"row\"><bdi>IMG_1.DNG</bdi>"));
    assert_non_null(strstr(page, "<bdi>&lt;i&gt;.MOV</bdi>"));
    assert_non_null(strstr(page, "<td>video</td>"));
    assert_non_null(strstr(page, "no change of them. Each is byte for byte"));
    g_autofree char *kept = kept_path(log, 0);
    assert_int_equal(g_unlink(kept), 0);
    g_autofree char *bad = build_report(log);
    assert_non_null(strstr(bad, "</span> it is missing from the claim folder</span>"));
    assert_null(strstr(bad, "Each is byte for byte"));
}

static void a_database_whose_names_lead_out_of_the_folder_is_refused(void **state)
{
    g_autoptr(GError) error = NULL;
    gb_log_free(new_claim(state));
    sqlite3 *db = raw_connection(state);
    raw_exec(db, "INSERT INTO attachment VALUES (1, printf('%064d', 1), 'a', '..', 'video', 1, 1); INSERT INTO attached VALUES (1)");
    sqlite3_close(db);
    g_autoptr(GbLog) log = open_claim(state);
    g_autoptr(GPtrArray) none = g_ptr_array_new();
    assert_null(gb_attachments_load(log, none, &error));
    assert_error(error, GB_ERROR_DAMAGED, "holds an attachment that makes no sense");
    assert_null(gb_attachment_names(log, &error));
    assert_error(error, GB_ERROR_DAMAGED, "makes no sense");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        test_in_folder(raw_photos_and_films_are_kept_byte_for_byte_read_only_and_named_at_import),
        test_in_folder(they_go_and_come_with_their_import_undone_redone_and_repeated),
        test_in_folder(the_same_bytes_under_two_names_are_kept_once),
        test_in_folder(one_that_is_gone_is_put_back_and_one_that_was_changed_is_found),
        test_in_folder(a_name_taken_by_other_bytes_is_not_overwritten),
        test_in_folder(a_film_larger_than_any_photo_may_be_is_kept),
        test_in_folder(only_a_shot_that_is_alone_in_its_name_is_the_one_beside),
        test_in_folder(the_report_lists_them_among_the_files_and_says_when_one_is_missing),
        test_in_folder(a_database_whose_names_lead_out_of_the_folder_is_refused),
    };
    return cmocka_run_group_tests_name("attachment", tests, NULL, NULL);
}
