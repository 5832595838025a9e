/* test_hostile.c -- claim folders, archives, templates and checklists that somebody made to do harm.
 *
 * Whatever they hold, each command ends by itself, says in one line what is wrong, and nothing from outside of the claim gets into what
 * it writes. A file of our own stands for the secret that a link or a name leads to.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "../survive_support.h"

#include <archive.h>
#include <archive_entry.h>
#include <glib/gstdio.h>
#include <sqlite3.h>
#include <sys/stat.h>
#include <unistd.h>

#define SECRET "a-line-of-somebody-elses-file"

/* FOLDER/base, a claim of two photos, and FOLDER/secret/secret.txt beside it. */
static void make_base(const char *folder)
{
    make_card(folder, "card", 2, 64);
    g_autofree char *secrets = g_build_filename(folder, "secret", NULL), *secret = g_build_filename(secrets, "secret.txt", NULL);
    assert_int_equal(g_mkdir(secrets, 0755), 0);
    assert_true(g_file_set_contents(secret, SECRET "\n", -1, NULL));
    assert_int_equal(run_line(folder, NULL, "new base", NULL, NULL), 0);
    assert_int_equal(run_line(folder, NULL, "import base card", NULL, NULL), 0);
}

/* FOLDER/c is a copy of base, changed by a line of shell in it. */
static void make_bad(const char *folder, const char *script)
{
    g_autofree char *whole = g_strdup_printf("rm -rf c *.zip && cp -a base c && cd c && set -e; first=$(ls originals | head -n 1); %s", script);
    assert_int_equal(sh(folder, NULL, NULL, whole), 0);
}

static void change_database(const char *folder, const char *sql)
{
    g_autofree char *path = g_build_filename(folder, "c", "claim.db", NULL);
    char *message = NULL;
    sqlite3 *db = NULL;
    assert_int_equal(sqlite3_open(path, &db), SQLITE_OK);
    if (sqlite3_exec(db, sql, NULL, NULL, &message) != SQLITE_OK)
        fail_msg("%s: %s", sql, message);
    sqlite3_close(db);
}

/* Ends within half a minute, is not killed; an error is one line. Returns the status. */
static int ends_well(const char *folder, const char *line, char **out)
{
    g_autofree char *err = NULL, *script = g_strdup_printf("ulimit -f 1000000; exec timeout 30 gablebook %s", line);
    int status = sh(folder, out, &err, script);
    if (status > 2 || (status == 2 && (!g_str_has_prefix(err, "gablebook: ") || strchr(err, '\n') != err + strlen(err) - 1)))
        fail_msg("%s: ended with %d: %s", line, status, err);
    return status;
}

/* All that is written and printed is free of the secret. */
static void assert_keeps_to_itself(const char *folder, const char *what)
{
    static const char *const lines[] = { "list c", "check c", "verify c", "report c --for insured --out r1.html", "report c --out r2.html",
                                         "report c --pdf --out r3.pdf", "export c --out z.zip", "tag c 1 --place front", "list c --json" };
    for (gsize i = 0; i < G_N_ELEMENTS(lines); i++) {
        g_autofree char *out = NULL;
        ends_well(folder, lines[i], &out);
        if (strstr(out, SECRET) != NULL)
            fail_msg("%s: %s shows the secret", what, lines[i]);
    }
    if (sh(folder, NULL, NULL, "cat r1.html r2.html r3.pdf z.zip 2>/dev/null | grep -q " SECRET) == 0)
        fail_msg("%s: the secret is in what was written", what);
    assert_int_equal(sh(folder, NULL, NULL, "rm -f r1.html r2.html r3.pdf z.zip"), 0);
}

static void a_database_that_is_none_of_ours_is_named_and_not_used(void **state)
{
    static const char *const scripts[] = {
        "truncate -s 100000 claim.db", "rm claim.db; mkdir claim.db", "rm claim.db; mkfifo claim.db", "rm claim.db; ln -s /dev/zero claim.db",
        "rm claim.db; ln -s ../base/claim.db claim.db", "head -c 5000 /dev/zero >claim.db", ": >claim.db",
        "printf '\\377\\377\\377\\376' | dd of=claim.db bs=1 seek=28 conv=notrunc 2>/dev/null",
    };
    make_base(*state);
    for (gsize i = 0; i < G_N_ELEMENTS(scripts); i++) {
        g_autofree char *found = NULL;
        make_bad(*state, scripts[i]);
        assert_int_equal(ends_well(*state, "list c", NULL), 2);
        assert_int_equal(ends_well(*state, "tag c 1 --place front", NULL), 2);
        assert_int_equal(ends_well(*state, "report c --out r.html", NULL), 2);
        assert_int_equal(ends_well(*state, "export c --out z.zip", NULL), 2);
        assert_true(ends_well(*state, "verify c", &found) >= 1);
        assert_true(strstr(found, "FAULT") != NULL || *found == '\0');
    }
    make_bad(*state, ":");
    change_database(*state, "PRAGMA application_id = 252006673"); /* another program's */
    assert_int_equal(ends_well(*state, "list c", NULL), 2);
}

static void what_runs_by_itself_in_a_database_does_not_run_and_verify_names_it(void **state)
{
    static const char *const changes[] = {
        "CREATE TRIGGER t AFTER UPDATE ON shot BEGIN DELETE FROM shot; END;"
        "CREATE TRIGGER t2 AFTER INSERT ON history BEGIN UPDATE original SET source_name = 'other'; END",
        "ALTER TABLE note RENAME TO note2; CREATE VIEW note AS SELECT * FROM note2",
        "DROP TABLE waiver", "ALTER TABLE shot RENAME COLUMN caption TO words", "CREATE TABLE other (a)",
    };
    make_base(*state);
    for (gsize i = 0; i < G_N_ELEMENTS(changes); i++) {
        g_autofree char *found = NULL, *claim = g_build_filename(*state, "c", NULL);
        make_bad(*state, ":");
        change_database(*state, changes[i]);
        ends_well(*state, "tag c 1 --place front", NULL);
        assert_int_equal(assert_sound(claim, changes[i]).shots, 2);
        assert_int_equal(ends_well(*state, "verify c", &found), 1);
        assert_has(found, "claim.db: its tables are not those of a claim");
    }
}

static void links_in_a_claim_lead_nowhere(void **state)
{
    static const char *const scripts[] = {
        "rm -f originals/$first; ln -s ../../secret/secret.txt originals/$first",
        "rm -rf originals; ln -s ../secret originals",
        "rm -rf reports; ln -s ../secret reports",
        "ln -s ../secret templates",
        "mkdir templates; ln -s ../../secret/secret.txt templates/next.txt",
        "mkdir -p templates/report; ln -s ../../../secret/secret.txt templates/report/photo-report.html",
        "mkdir -p templates/report; ln -s ../../../secret/secret.txt templates/report/figure.html",
        "mkdir templates; ln -s ../../secret/secret.txt templates/letterhead.ini",
        "rm -rf cache; ln -s ../secret cache",
        "ln -s ../../secret/secret.txt reports/secret.html",
        "rm -f originals/$first; mkfifo originals/$first", "rm -f originals/$first; mkdir originals/$first",
    };
    make_base(*state);
    for (gsize i = 0; i < G_N_ELEMENTS(scripts); i++) {
        make_bad(*state, scripts[i]);
        assert_keeps_to_itself(*state, scripts[i]);
    }
    assert_int_equal(sh(*state, NULL, NULL, "test \"$(ls secret)\" = secret.txt && grep -qx " SECRET " secret/secret.txt"), 0);
}

static void stored_names_that_lead_out_of_originals_are_not_followed(void **state)
{
    static const char *const names[] = { "../../secret/secret.txt", "../secret/secret.txt", "/etc/hostname", "..", "." };
    make_base(*state);
    for (gsize i = 0; i < G_N_ELEMENTS(names); i++) {
        g_autofree char *sql = g_strdup_printf("PRAGMA ignore_check_constraints = 1; UPDATE original SET stored_name = '%s' WHERE id = 1", names[i]);
        make_bad(*state, ":");
        change_database(*state, sql);
        assert_keeps_to_itself(*state, names[i]);
    }
}

static void long_and_odd_names_are_taken_in_and_stay_themselves(void **state)
{
    g_autofree char *card = g_build_filename(*state, "card", NULL), *claim = g_build_filename(*state, "c", NULL);
    g_autofree char *stem = g_strnfill(251, 'n'), *longest = g_strconcat(stem, ".JPG", NULL); /* a name has at most 255 bytes */
    const char *const names[] = { longest, "\xff\xfe\x80.JPG", "a\nb\033[31m.JPG", "-rf.JPG", "CON.JPG", "x<b>&\"'.JPG", "\xc3\xa4\xc3\xa4" };
    assert_int_equal(g_mkdir(card, 0755), 0);
    for (guint i = 0; i < G_N_ELEMENTS(names); i++) {
        g_autofree char *path = g_build_filename(card, names[i], NULL);
        make_noise(path, i, 64);
    }
    assert_int_equal(run_line(*state, NULL, "new c", NULL, NULL), 0);
    assert_int_equal(ends_well(*state, "import c card", NULL), 0);
    assert_int_equal(assert_sound(claim, "odd names").shots, G_N_ELEMENTS(names));
    assert_verified(*state, "odd names");
    assert_int_equal(ends_well(*state, "report c", NULL), 0);
    assert_int_equal(ends_well(*state, "export c --out z.zip", NULL), 0);
    static const char *const locales[] = { "LC_ALL=C", "LC_ALL=C.UTF-8" }; /* names in a zip are UTF-8 whatever the user's are */
    for (gsize i = 0; i < G_N_ELEMENTS(locales); i++)
        assert_int_equal(run_line(*state, (const char *[]){ locales[i], NULL }, "verify z.zip", NULL, NULL), 0);
}

/* --- archives --- */

/* An entry of n bytes of text, or a link. */
static void put_entry(struct archive *zip, const char *name, gsize n, const char *link)
{
    static char zeros[1 << 16];
    struct archive_entry *entry = archive_entry_new();
    archive_entry_set_pathname(entry, name);
    archive_entry_set_filetype(entry, link != NULL ? AE_IFLNK : AE_IFREG);
    archive_entry_set_perm(entry, 0644);
    if (link != NULL)
        archive_entry_set_symlink(entry, link);
    else
        archive_entry_set_size(entry, (gint64)n);
    assert_int_equal(archive_write_header(zip, entry), ARCHIVE_OK);
    for (gsize done = 0; link == NULL && done < n; done += sizeof zeros)
        assert_true(archive_write_data(zip, zeros, MIN(sizeof zeros, n - done)) > 0);
    archive_entry_free(entry);
}

static struct archive *new_zip(const char *folder)
{
    g_autofree char *path = g_build_filename(folder, "bad.zip", NULL);
    struct archive *zip = archive_write_new();
    archive_write_set_format_zip(zip);
    assert_int_equal(archive_write_open_filename(zip, path), ARCHIVE_OK);
    return zip;
}

static void an_archive_with_links_and_paths_that_lead_out_is_named_and_nothing_is_written(void **state)
{
    g_autofree char *found = NULL;
    struct archive *zip = new_zip(*state);
    put_entry(zip, "c/originals/a.jpg", 0, "/etc/passwd");
    put_entry(zip, "../out.txt", 10, NULL);
    put_entry(zip, "/tmp/gablebook-out.txt", 10, NULL);
    put_entry(zip, "c/../../out.txt", 10, NULL);
    archive_write_free(zip);
    assert_int_equal(ends_well(*state, "verify bad.zip", &found), 1);
    assert_has(found, "c/originals/a.jpg: is not a file that an export puts there");
    assert_int_equal(sh(*state, NULL, NULL, "test -e ../out.txt || test -e out.txt || test -e /tmp/gablebook-out.txt"), 1);
}

/* A GiB of zeros in a MB; also as a database, which is unpacked, and as a list and a report, which are looked into. */
static void an_archive_that_unpacks_to_far_more_than_it_has_is_not_read_to_its_end(void **state)
{
    static const char *const names[] = { "c/originals/a.jpg", "c/claim.db", "c/manifest.sha256", "c/reports/a.html" };
    for (gsize i = 0; i < G_N_ELEMENTS(names); i++) {
        g_autofree char *found = NULL;
        struct archive *zip = new_zip(*state);
        put_entry(zip, names[i], (gsize)1 << 30, NULL);
        archive_write_free(zip);
        assert_int_equal(ends_well(*state, "verify bad.zip", &found), 1);
        assert_has(found, "unpacks to more than 100 times what the whole archive has");
    }
}

static void what_is_not_there_is_said_so(void **state)
{
    g_autofree char *err = NULL;
    assert_int_equal(run_line(*state, NULL, "verify nowhere", NULL, &err), 2);
    assert_string_equal(err, "gablebook: nowhere: there is no such file or folder\n");
}

/* --- templates and checklists --- */

static void a_template_that_would_never_end_is_named(void **state)
{
    static const struct { const char *script, *part; } bad[] = {
        { "yes '{{#a}}' | tr -d '\\n' | head -c 1000000 >$t/photo-report.html", "sections nest deeper than 64" },
        { "echo '{{> figure.html}}' >$t/photo-report.html; cp $t/photo-report.html $t/figure.html", "includes itself without end" },
        { "{ i=0; while [ $i -lt 30 ]; do printf '{{#chapters}}'; i=$((i + 1)); done; printf 'xxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxx';"
          " while [ $i -gt 0 ]; do printf '{{/chapters}}'; i=$((i - 1)); done; } >$t/photo-report.html", "writes without end" },
        { "head -c 100000000 /dev/zero | tr '\\0' x >$t/photo-report.html", "at most 1048576 are read" },
    };
    make_base(*state);
    for (gsize i = 0; i < G_N_ELEMENTS(bad); i++) {
        g_autofree char *script = g_strdup_printf("t=templates/report; mkdir -p $t; %s", bad[i].script), *err = NULL;
        make_bad(*state, script);
        assert_int_equal(sh(*state, NULL, &err, "ulimit -f 1000000; timeout 60 gablebook report c"), 2);
        assert_has(err, bad[i].part);
        assert_int_equal(sh(*state, NULL, NULL, "test -z \"$(ls -A c/reports)\""), 0);
    }
}

static void files_of_a_hundred_megabytes_where_a_list_is_wanted_are_named(void **state)
{
    static const char *const names[] = { "subjects.ini", "facts.ini", "components.ini", "letterhead.ini", "next.txt" };
    make_base(*state);
    for (gsize i = 0; i < G_N_ELEMENTS(names); i++) {
        g_autofree char *script = g_strdup_printf("mkdir templates; head -c 100000000 /dev/zero | tr '\\0' x >templates/%s", names[i]), *err = NULL;
        make_bad(*state, script);
        assert_int_equal(run_line(*state, NULL, "report c --for insured", NULL, &err), 2);
        assert_has(err, names[i]);
        assert_has(err, "has 100000000 bytes");
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        test_in_folder(a_database_that_is_none_of_ours_is_named_and_not_used),
        test_in_folder(what_runs_by_itself_in_a_database_does_not_run_and_verify_names_it),
        test_in_folder(links_in_a_claim_lead_nowhere),
        test_in_folder(stored_names_that_lead_out_of_originals_are_not_followed),
        test_in_folder(long_and_odd_names_are_taken_in_and_stay_themselves),
        test_in_folder(an_archive_with_links_and_paths_that_lead_out_is_named_and_nothing_is_written),
        test_in_folder(an_archive_that_unpacks_to_far_more_than_it_has_is_not_read_to_its_end),
        test_in_folder(what_is_not_there_is_said_so),
        test_in_folder(a_template_that_would_never_end_is_named),
        test_in_folder(files_of_a_hundred_megabytes_where_a_list_is_wanted_are_named),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
