/* test_verify.c -- a claim, as a folder and as an archive: sound when it is, and whatever byte is changed is found and named.
 *
 * The archive is held against tools from outside: unzip (Info-ZIP) reads it, sha256sum (GNU coreutils) checks its manifest.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "claim_support.h"

#include <archive.h>
#include <archive_entry.h>
#include <gablebook/error.h>
#include <gablebook/export.h>
#include <gablebook/import.h>
#include <gablebook/report.h>
#include <gablebook/tag.h>
#include <gablebook/verify.h>
#include <glib/gstdio.h>

/* A claim of three photos with a report. */
static GbLog *make_claim(void **state)
{
    g_autoptr(GError) error = NULL;
    GbImportTally tally;
    GbLog *log = new_claim(state);
    g_autofree char *one = source_path("demo-photos/IMG_2101.JPG"), *two = source_path("demo-photos/IMG_2102.JPG"),
                    *three = source_path("demo-photos/CRV00031.JPG");
    const char *const paths[] = { one, two, three, NULL };
    assert_true(gb_import(log, paths, NULL, &tally, &error));
    assert_int_equal(tally.fresh, 3);
    assert_true(gb_report_build(log, &(GbReportOptions){ .picture_px = 64 }, NULL, &error));
    return log;
}

static GbVerification *verify(const char *path)
{
    g_autoptr(GError) error = NULL;
    GbVerification *result = gb_verify(path, NULL, &error);
    assert_no_error(error);
    assert_non_null(result);
    return result;
}

static char *lines(const GPtrArray *list)
{
    g_autoptr(GString) text = g_string_new(NULL);
    for (guint i = 0; i < list->len; i++)
        g_string_append_printf(text, "%s\n", (const char *)list->pdata[i]);
    return g_string_free(g_steal_pointer(&text), FALSE);
}

static void assert_sound(const char *path)
{
    g_autoptr(GbVerification) result = verify(path);
    g_autofree char *faults = lines(result->faults);
    assert_string_equal(faults, "");
    assert_int_equal(result->originals, 3);
    assert_int_equal(result->reports, 1);
    assert_true(result->has_state);
}

/* Exactly one fault, and it holds all that a person wants to know. */
static void assert_fault(const char *path, const char *name, const char *what)
{
    g_autoptr(GbVerification) result = verify(path);
    g_autofree char *faults = lines(result->faults);
    if (result->faults->len != 1 || strstr(faults, name) == NULL || strstr(faults, what) == NULL)
        fail_msg("wanted one fault with '%s' and '%s', seen: %s", name, what, faults);
}

/* The only file of that beginning in a folder of the claim. OWNED by the caller. */
static char *find(void **state, const char *folder, const char *beginning)
{
    g_autofree char *claim = claim_path(state), *path = g_build_filename(claim, folder, NULL);
    g_autoptr(GDir) dir = g_dir_open(path, 0, NULL);
    const char *name;
    while ((name = g_dir_read_name(dir)) != NULL)
        if (g_str_has_prefix(name, beginning))
            return g_build_filename(path, name, NULL);
    fail_msg("%s holds no %s", folder, beginning);
    return NULL;
}

static void flip(const char *path, gsize at)
{
    g_autofree char *bytes = NULL;
    gsize n;
    assert_int_equal(g_chmod(path, 0600), 0);
    assert_true(g_file_get_contents(path, &bytes, &n, NULL));
    assert_true(at < n);
    bytes[at] ^= 1;
    assert_true(g_file_set_contents(path, bytes, (gssize)n, NULL));
}

static gsize size_of(const char *path)
{
    GStatBuf st;
    assert_int_equal(g_stat(path, &st), 0);
    return (gsize)st.st_size;
}

/* --- a folder --- */

static void a_claim_is_sound_before_and_after_it_is_used(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autofree char *claim = claim_path(state);
    g_autoptr(GbLog) log = make_claim(state);
    assert_sound(claim);
    gb_tag(log, "1", &(GbTag){ .place = "front" }, NULL, &error);
    assert_sound(claim);
    g_autoptr(GbVerification) result = verify(claim);
    assert_int_equal(result->remarks->len, 1);
    assert_non_null(strstr(result->remarks->pdata[0], "was built from state 1; the log has gone on to 2"));
}

static void a_changed_or_missing_original_is_named(void **state)
{
    gb_log_free(make_claim(state));
    g_autofree char *claim = claim_path(state), *first = find(state, "originals", "IMG_2101"), *second = find(state, "originals", "IMG_2102");
    flip(first, size_of(first) - 1);
    assert_fault(claim, "originals/IMG_2101", "is no longer the file that was taken in");
    flip(first, size_of(first) - 1);
    assert_sound(claim);
    g_unlink(second);
    assert_fault(claim, "originals/IMG_2102", "is gone; the log has it");
}

static void whatever_byte_of_a_report_is_changed_is_found(void **state)
{
    gb_log_free(make_claim(state));
    g_autofree char *claim = claim_path(state), *report = find(state, "reports", "photo-report");
    gsize n = size_of(report);
    for (gsize from_end = 1; from_end < 140; from_end += 3) { /* the last line, and a little of what is before it */
        flip(report, n - from_end);
        assert_fault(claim, "reports/photo-report.html", "was changed after it was built");
        flip(report, n - from_end);
    }
    flip(report, n / 2);
    assert_fault(claim, "reports/photo-report.html", "was changed after it was built");
}

static void a_report_of_a_state_that_never_was_is_found(void **state)
{
    g_autoptr(GError) error = NULL;
    gb_log_free(make_claim(state));
    g_autofree char *claim = claim_path(state), *report = find(state, "reports", "photo-report"), *page = slurp(report);
    remove_tree(claim);
    gb_log_free(make_claim(state)); /* the same photos, taken in at another time */
    sqlite3 *db = raw_connection(state);
    raw_exec(db, "UPDATE seal SET sha256 = replace(sha256, substr(sha256, 1, 1), 'z')");
    sqlite3_close(db);
    assert_true(g_file_set_contents(report, page, -1, NULL));
    g_autoptr(GbVerification) result = verify(claim);
    g_autofree char *faults = lines(result->faults);
    assert_non_null(strstr(faults, "the log was never in that state"));
}

static void a_value_changed_in_the_database_is_found(void **state)
{
    gb_log_free(make_claim(state));
    g_autofree char *claim = claim_path(state);
    sqlite3 *db = raw_connection(state);
    raw_exec(db, "UPDATE shot SET caption = 'Nothing to see' WHERE number = 2");
    sqlite3_close(db);
    assert_fault(claim, "claim.db", "was changed by something else than gablebook");
}

static void strangers_are_remarked_and_no_fault(void **state)
{
    gb_log_free(make_claim(state));
    g_autofree char *claim = claim_path(state), *photo = g_build_filename(claim, "originals", "stranger.jpg", NULL),
                    *note = g_build_filename(claim, "reports", "letter.txt", NULL);
    assert_true(g_file_set_contents(photo, "x", 1, NULL) && g_file_set_contents(note, "x", 1, NULL));
    g_autoptr(GbVerification) result = verify(claim);
    g_autofree char *remarks = lines(result->remarks);
    assert_int_equal(result->faults->len, 0);
    assert_non_null(strstr(remarks, "originals/stranger.jpg: is not in the log"));
    assert_non_null(strstr(remarks, "reports/letter.txt: is no report of this program"));
}

/* --- an archive --- */

static char *export(void **state, const char *name)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbLog) log = open_claim(state);
    char *path = g_build_filename(*state, name, NULL);
    gb_export(log, path, NULL, NULL, NULL, &error);
    assert_no_error(error);
    return path;
}

static void an_archive_is_sound_and_tools_from_outside_agree(void **state)
{
    gb_log_free(make_claim(state));
    g_autofree char *zip = export(state, "a.zip"), *out = NULL;
    assert_sound(zip);
    if (!have_program("unzip") || !have_program("sha256sum"))
        skip();
    g_autofree char *script = g_strdup_printf("cd '%s' && unzip -tq a.zip && mkdir x && cd x && unzip -q ../a.zip && cd claim &&"
                                              " sha256sum -c --quiet manifest.sha256 && diff -r originals ../../claim/originals &&"
                                              " diff -r reports ../../claim/reports && wc -l < manifest.sha256", (char *)*state);
    const char *argv[] = { "sh", "-c", script, NULL };
    int status = run(argv, &out, NULL);
    if (status != 0 || strstr(out, "\n5\n") == NULL) /* three photos, a report, claim.db */
        fail_msg("%d: %s", status, out);
}

static void the_same_claim_gives_the_same_archive_byte_for_byte(void **state)
{
    gb_log_free(make_claim(state));
    g_autofree char *one = export(state, "1.zip"), *two = export(state, "2.zip"), *a = NULL, *b = NULL;
    gsize n, m;
    assert_true(g_file_get_contents(one, &a, &n, NULL) && g_file_get_contents(two, &b, &m, NULL));
    assert_int_equal(n, m);
    assert_memory_equal(a, b, n);
}

static void whatever_byte_of_a_file_in_an_archive_is_changed_is_found(void **state)
{
    gb_log_free(make_claim(state));
    g_autofree char *zip = export(state, "a.zip"), *whole = NULL;
    gsize n;
    assert_true(g_file_get_contents(zip, &whole, &n, NULL));
    GRand *random = g_rand_new_with_seed(11);
    for (guint i = 0; i < 60; i++) {
        gsize at = (gsize)g_rand_int_range(random, 100, (gint32)n - 4000); /* the directory at the end holds no content */
        g_autofree char *bent = g_memdup2(whole, n);
        bent[at] ^= (char)(1 << g_rand_int_range(random, 0, 8));
        assert_true(g_file_set_contents(zip, bent, (gssize)n, NULL));
        g_autoptr(GbVerification) result = verify(zip);
        if (result->faults->len == 0)
            fail_msg("byte %u of %u", (guint)at, (guint)n);
    }
    g_rand_free(random);
}

/* An archive made by hand: entries of a name and a text. */
static char *hostile(void **state, const char *const *entries)
{
    char *path = g_build_filename(*state, "hostile.zip", NULL);
    struct archive *zip = archive_write_new();
    archive_write_set_format_zip(zip);
    assert_int_equal(archive_write_open_filename(zip, path), ARCHIVE_OK);
    for (; *entries != NULL; entries += 2) {
        struct archive_entry *entry = archive_entry_new();
        archive_entry_set_pathname(entry, entries[0]);
        archive_entry_set_filetype(entry, AE_IFREG);
        archive_entry_set_size(entry, (gint64)strlen(entries[1]));
        archive_write_header(zip, entry);
        archive_write_data(zip, entries[1], strlen(entries[1]));
        archive_entry_free(entry);
    }
    archive_write_close(zip);
    archive_write_free(zip);
    return path;
}

static void an_archive_that_leads_out_of_its_folder_writes_nothing_and_is_refused(void **state)
{
    static const char *const entries[] = { "../evil", "x", "/tmp/gablebook-evil", "x", "c/../../evil", "x", "c/claim.db", "no database",
                                           "c/manifest.sha256", "rubbish", "c/claim.db", "again", NULL };
    g_autofree char *zip = hostile(state, entries), *evil = g_build_filename(*state, "..", "evil", NULL);
    g_autoptr(GbVerification) result = verify(zip);
    g_autofree char *faults = lines(result->faults);
    assert_non_null(strstr(faults, "manifest.sha256:1: is no digest and name"));
    assert_non_null(strstr(faults, "c/claim.db: is not a file that an export puts there, or is there twice"));
    assert_non_null(strstr(faults, "claim.db is not a claim's database"));
    assert_false(g_file_test(evil, G_FILE_TEST_EXISTS) || g_file_test("/tmp/gablebook-evil", G_FILE_TEST_EXISTS));
}

static void what_is_no_claim_is_refused_by_name(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autofree char *file = g_build_filename(*state, "x.txt", NULL), *nothing = g_build_filename(*state, "gone", NULL);
    assert_true(g_file_set_contents(file, "no archive", -1, NULL));
    assert_null(gb_verify(*state, NULL, &error));
    assert_error(error, GB_ERROR_FOREIGN, "is no claim folder");
    assert_null(gb_verify(file, NULL, &error));
    assert_error(error, GB_ERROR_FOREIGN, "x.txt: is neither a claim folder nor an archive of one");
    assert_null(gb_verify(nothing, NULL, &error));
    assert_error(error, GB_ERROR_IO, "gone: there is no such file or folder");
}

typedef struct {
    guint stop_at; /* 0: never */
    gint calls;    /* atomic */
    guint most, total;
} Follower;

static gboolean follow(guint done, guint total, gpointer user)
{
    Follower *follower = user;
    g_atomic_int_inc(&follower->calls);
    follower->most = MAX(follower->most, done);
    follower->total = total;
    return follower->stop_at == 0 || done < follower->stop_at;
}

static void long_work_says_how_far_it_is(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbLog) log = make_claim(state);
    g_autofree char *claim = claim_path(state), *path = g_build_filename(*state, "a.zip", NULL);
    guint files = 0;
    Follower exporting = { 0 }, zip = { 0 }, folder = { 0 };
    assert_true(gb_export(log, path, &(GbProgress){ follow, &exporting }, NULL, &files, &error));
    assert_int_equal(exporting.calls, files);
    g_autoptr(GbVerification) archive = gb_verify(path, &(GbProgress){ follow, &zip }, &error);
    assert_no_error(error);
    assert_int_equal(zip.calls, files + 1); /* and the manifest */
    g_autoptr(GbVerification) whole = gb_verify(claim, &(GbProgress){ follow, &folder }, &error);
    assert_no_error(error);
    assert_int_equal(folder.most, whole->originals + whole->reports);
    assert_int_equal(folder.total, folder.most);
}

static void long_work_that_is_stopped_leaves_nothing_behind(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbLog) log = make_claim(state);
    g_autofree char *claim = claim_path(state), *path = export(state, "a.zip"), *before = NULL, *after = NULL;
    gsize n, m;
    assert_true(g_file_get_contents(path, &before, &n, NULL));
    Follower follower = { .stop_at = 2 };
    const GbProgress progress = { follow, &follower };
    assert_false(gb_export(log, path, &progress, NULL, NULL, &error));
    assert_error(error, GB_ERROR_STOPPED, "nothing was exported: stopped, as was asked for");
    assert_true(g_file_get_contents(path, &after, &m, NULL)); /* the zip of before is the zip still */
    assert_int_equal(m, n);
    assert_memory_equal(after, before, n);
    assert_null(gb_verify(claim, &progress, &error));
    assert_error(error, GB_ERROR_STOPPED, "stopped");
    assert_null(gb_verify(path, &progress, &error));
    assert_error(error, GB_ERROR_STOPPED, "stopped");
}

static void an_export_into_the_claim_itself_is_refused(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autofree char *claim = claim_path(state), *inside = g_build_filename(claim, "reports", "a.zip", NULL);
    g_autoptr(GbLog) log = make_claim(state);
    assert_false(gb_export(log, inside, NULL, NULL, NULL, &error));
    assert_error(error, GB_ERROR_STATE, "lies in the claim's own folder; nothing was exported");
    assert_false(g_file_test(inside, G_FILE_TEST_EXISTS));
}

static void an_export_of_a_damaged_claim_hands_over_what_is_there_and_verify_says_what_is_not(void **state)
{
    gb_log_free(make_claim(state));
    g_autofree char *first = find(state, "originals", "IMG_2101");
    flip(first, 100);
    g_autofree char *zip = export(state, "a.zip");
    assert_fault(zip, "originals/IMG_2101", "is no longer the file that was taken in");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        test_in_folder(a_claim_is_sound_before_and_after_it_is_used),
        test_in_folder(a_changed_or_missing_original_is_named),
        test_in_folder(whatever_byte_of_a_report_is_changed_is_found),
        test_in_folder(a_report_of_a_state_that_never_was_is_found),
        test_in_folder(a_value_changed_in_the_database_is_found),
        test_in_folder(strangers_are_remarked_and_no_fault),
        test_in_folder(an_archive_is_sound_and_tools_from_outside_agree),
        test_in_folder(the_same_claim_gives_the_same_archive_byte_for_byte),
        test_in_folder(whatever_byte_of_a_file_in_an_archive_is_changed_is_found),
        test_in_folder(an_archive_that_leads_out_of_its_folder_writes_nothing_and_is_refused),
        test_in_folder(what_is_no_claim_is_refused_by_name),
        test_in_folder(long_work_says_how_far_it_is),
        test_in_folder(long_work_that_is_stopped_leaves_nothing_behind),
        test_in_folder(an_export_into_the_claim_itself_is_refused),
        test_in_folder(an_export_of_a_damaged_claim_hands_over_what_is_there_and_verify_says_what_is_not),
    };
    return cmocka_run_group_tests_name("verify", tests, NULL, NULL);
}
