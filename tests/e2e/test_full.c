/* test_full.c -- a full disk, a card that can't be written, a claim that can't be written.
 *
 * The disk is a small file system in memory, mounted in a namespace of this process alone: nothing of it outlives the suite. Where that is
 * not allowed the suite says so and skips.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "../e2e_support.h"

#include <errno.h>
#include <glib/gstdio.h>
#include <linux/sched.h>
#include <sys/mount.h>
#include <sys/stat.h>
#include <sys/syscall.h>
#include <unistd.h>

static char *why_not; /* NULL: file systems can be mounted */

static gboolean write_file(const char *path, const char *text)
{
    FILE *file = fopen(path, "w");
    gboolean ok = file != NULL && fputs(text, file) >= 0;
    return file != NULL && fclose(file) == 0 && ok;
}

/* A user namespace in which we are root, for those who are not. */
static gboolean become_root_of_a_namespace(void)
{
    g_autofree char *uids = g_strdup_printf("0 %u 1", (guint)getuid()), *gids = g_strdup_printf("0 %u 1", (guint)getgid());
    return syscall(SYS_unshare, CLONE_NEWUSER) == 0 && write_file("/proc/self/setgroups", "deny") && write_file("/proc/self/uid_map", uids) &&
           write_file("/proc/self/gid_map", gids);
}

static int setup_mounts(void **state)
{
    (void)state;
    g_autofree char *folder = g_dir_make_tmp("gablebook-test-XXXXXX", NULL);
    if ((geteuid() != 0 && !become_root_of_a_namespace()) || syscall(SYS_unshare, CLONE_NEWNS) != 0 ||
        mount("none", "/", NULL, MS_REC | MS_PRIVATE, NULL) != 0 || mount("none", folder, "tmpfs", 0, "size=64k") != 0)
        why_not = g_strdup(g_strerror(errno));
    else
        umount2(folder, MNT_DETACH);
    g_rmdir(folder);
    return 0;
}

/* FOLDER/disk with so much room, a card of 30 photos of about 110 kB each in FOLDER/card. Skips where nothing can be mounted. */
static void mount_disk(const char *folder, const char *room)
{
    if (why_not != NULL) {
        print_message("a file system can't be mounted here: %s\n", why_not);
        skip();
    }
    g_autofree char *disk = g_build_filename(folder, "disk", NULL), *options = g_strdup_printf("size=%s", room);
    assert_int_equal(g_mkdir(disk, 0755), 0);
    assert_int_equal(mount("none", disk, "tmpfs", 0, options), 0);
    make_card(folder, "card", 30, 320);
}

static void remount(const char *folder, unsigned long flags, const char *options)
{
    g_autofree char *disk = g_build_filename(folder, "disk", NULL);
    assert_int_equal(mount("none", disk, NULL, MS_REMOUNT | flags, options), 0);
}

static int teardown_disk(void **state)
{
    g_autofree char *disk = g_build_filename(*state, "disk", NULL);
    umount2(disk, MNT_DETACH);
    return teardown_folder(state);
}
#define test_on_disk(f) cmocka_unit_test_setup_teardown(f, setup_folder, teardown_disk)

/* Fill what is left of the disk but for so many bytes, which rounds down to pages. */
static void fill(const char *folder, guint but_kib)
{
    g_autofree char *script = g_strdup_printf("dd if=/dev/zero of=disk/filler bs=4k 2>/dev/null; truncate -s -%uk disk/filler", but_kib);
    assert_int_equal(sh(folder, NULL, NULL, script), 0);
}

static void assert_one_error_line(const char *err, const char *part)
{
    assert_has(err, part);
    assert_true(g_str_has_prefix(err, "gablebook: "));
    assert_ptr_equal(strchr(err, '\n'), err + strlen(err) - 1);
}

/* --- full --- */

static void an_import_onto_a_full_disk_says_what_is_safe_and_completes_when_there_is_room(void **state)
{
    mount_disk(*state, "2m");
    g_autofree char *out = NULL, *err = NULL, *claim = g_build_filename(*state, "disk", "c", NULL);
    assert_int_equal(sh(*state, NULL, NULL, "gablebook new disk/c"), 0);
    assert_int_equal(sh(*state, &out, &err, "gablebook import disk/c card"), 2);
    assert_one_error_line(err, "run the same import again");
    if (strstr(err, "No space left on device") == NULL) /* of a photo */
        assert_has(err, "the disk is full");            /* of the log */
    ClaimState full = assert_sound(claim, "full");
    g_autofree char *safe = full.originals == 0 ? g_strdup("stopped before any of the 30 files was in the claim")
                                                : g_strdup_printf("stopped after %u of 30 files, which are safe", full.originals);
    assert_has(err, safe);
    assert_int_equal(full.aside, 0);
    assert_true(full.originals < 30);
    assert_int_equal(sh(*state, NULL, NULL, "gablebook list disk/c && gablebook history disk/c"), 0);

    remount(*state, 0, "size=20m");
    assert_int_equal(sh(*state, NULL, NULL, "gablebook import disk/c card"), 0);
    ClaimState done = assert_sound(claim, "after making room");
    assert_int_equal(done.originals, 30);
    assert_int_equal(done.shots, 30);
    assert_int_equal(done.aside + done.unentered, 0);
}

/* Whatever it is that does not fit: the photo, the preview, the journal, the row. */
static void wherever_the_room_ends_the_claim_is_good(void **state)
{
    mount_disk(*state, "1m");
    g_autofree char *claim = g_build_filename(*state, "disk", "c", NULL);
    guint refused = 0;
    for (guint kib = 4; kib <= 400; kib += kib < 64 ? 4 : 48) {
        g_autofree char *when = g_strdup_printf("with room for %u KiB", kib), *err = NULL;
        assert_int_equal(sh(*state, NULL, NULL, "rm -rf disk/*; gablebook new disk/c"), 0);
        fill(*state, kib);
        int status = sh(*state, NULL, &err, "gablebook import disk/c card/IMG_0001.JPG card/IMG_0002.JPG");
        ClaimState state_of = assert_sound(claim, when);
        assert_int_equal(state_of.aside, 0);
        if (status != 0) {
            assert_int_equal(status, 2);
            assert_one_error_line(err, "stopped ");
            refused++;
        } else
            assert_int_equal(state_of.shots, 2);
        assert_int_equal(sh(*state, NULL, NULL, "rm disk/filler; gablebook import disk/c card/IMG_0001.JPG card/IMG_0002.JPG"), 0);
        state_of = assert_sound(claim, when);
        assert_int_equal(state_of.shots, 2);
        assert_int_equal(state_of.unentered, 0);
    }
    assert_true(refused > 10);
}

static void a_new_claim_that_does_not_fit_leaves_nothing_behind(void **state)
{
    mount_disk(*state, "1m");
    guint refused = 0;
    for (guint kib = 0; kib <= 400; kib += 16) {
        g_autofree char *err = NULL;
        assert_int_equal(sh(*state, NULL, NULL, "rm -rf disk/*"), 0);
        fill(*state, kib);
        if (sh(*state, NULL, &err, "gablebook new disk/c --insured 'Rosa Test'") == 0)
            continue;
        refused++;
        assert_one_error_line(err, "disk/c");
        assert_int_equal(sh(*state, NULL, NULL, "test -e disk/c"), 1);
    }
    assert_true(refused > 3);
    assert_true(refused < 26);
}

static void a_tag_that_does_not_fit_changes_nothing(void **state)
{
    mount_disk(*state, "2m");
    g_autofree char *before = NULL, *after = NULL, *err = NULL, *claim = g_build_filename(*state, "disk", "c", NULL);
    assert_int_equal(sh(*state, NULL, NULL, "gablebook new disk/c && gablebook import disk/c card/IMG_0001.JPG"), 0);
    assert_int_equal(sh(*state, &before, NULL, "gablebook list disk/c --json; gablebook history disk/c"), 0);
    fill(*state, 0);
    assert_int_equal(sh(*state, NULL, &err, "gablebook tag disk/c 1 --place front --caption 'The front.'"), 2);
    assert_one_error_line(err, "full");
    assert_has(err, "nothing was changed");
    assert_int_equal(sh(*state, &after, NULL, "gablebook list disk/c --json; gablebook history disk/c"), 0);
    assert_string_equal(after, before);
    assert_sound(claim, "full");
}

static void a_report_that_does_not_fit_leaves_the_old_one(void **state)
{
    mount_disk(*state, "4m");
    g_autofree char *err = NULL;
    assert_int_equal(sh(*state, NULL, NULL, "gablebook new disk/c && gablebook import disk/c card/IMG_000*.JPG && gablebook report disk/c &&"
                                            " cp disk/c/reports/photo-report.html old.html && gablebook tag disk/c 1 --place front"), 0);
    fill(*state, 40);
    assert_int_equal(sh(*state, NULL, &err, "gablebook report disk/c"), 2);
    assert_one_error_line(err, "No space left on device");
    assert_has(err, "photo-report.html");
    assert_int_equal(sh(*state, NULL, NULL, "cmp old.html disk/c/reports/photo-report.html && test \"$(ls -A disk/c/reports | wc -l)\" = 1"), 0);
}

/* --- read-only --- */

static void a_card_that_cannot_be_written_is_imported_as_it_is(void **state)
{
    mount_disk(*state, "8m");
    g_autofree char *out = NULL;
    assert_int_equal(sh(*state, NULL, NULL, "mkdir disk/DCIM && cp card/* disk/DCIM && gablebook new c"), 0);
    remount(*state, MS_RDONLY, "size=8m");
    assert_int_equal(sh(*state, &out, NULL, "gablebook import c disk"), 0);
    assert_string_equal(out, "30 photos taken in.\n");
}

static void a_claim_that_cannot_be_written_can_be_read_and_says_so_when_changed(void **state)
{
    mount_disk(*state, "8m");
    static const char *const reads[] = { "list disk/c", "check disk/c", "history disk/c", "structure disk/c", "edit disk/c",
                                         "report disk/c --out here.html" };
    static const char *const writes[] = { "import disk/c card/IMG_0003.JPG", "tag disk/c 1 --place front", "undo disk/c",
                                          "edit disk/c --insured X", "waive disk/c address --why dark", "structure disk/c shed",
                                          "report disk/c" };
    assert_int_equal(sh(*state, NULL, NULL, "gablebook new disk/c && gablebook import disk/c card/IMG_0001.JPG card/IMG_0002.JPG"), 0);
    remount(*state, MS_RDONLY, "size=8m");
    for (gsize i = 0; i < G_N_ELEMENTS(reads); i++) {
        g_autofree char *script = g_strdup_printf("gablebook %s", reads[i]), *out = NULL, *err = NULL;
        int status = sh(*state, &out, &err, script);
        if (status == 2 || *err != '\0')
            fail_msg("%s: %s", script, err);
    }
    for (gsize i = 0; i < G_N_ELEMENTS(writes); i++) {
        g_autofree char *script = g_strdup_printf("gablebook %s", writes[i]), *out = NULL, *err = NULL;
        if (sh(*state, &out, &err, script) != 2)
            fail_msg("%s: no error, but: %s%s", script, out, err);
        assert_one_error_line(err, "disk/c");
        if (strstr(err, "can't be written") == NULL)
            fail_msg("%s: %s", script, err);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        test_on_disk(an_import_onto_a_full_disk_says_what_is_safe_and_completes_when_there_is_room),
        test_on_disk(wherever_the_room_ends_the_claim_is_good),
        test_on_disk(a_new_claim_that_does_not_fit_leaves_nothing_behind),
        test_on_disk(a_tag_that_does_not_fit_changes_nothing),
        test_on_disk(a_report_that_does_not_fit_leaves_the_old_one),
        test_on_disk(a_card_that_cannot_be_written_is_imported_as_it_is),
        test_on_disk(a_claim_that_cannot_be_written_can_be_read_and_says_so_when_changed),
    };
    int failed = cmocka_run_group_tests(tests, setup_mounts, NULL);
    g_free(why_not);
    return failed;
}
