/* test_set.c -- sets: what is read, what is refused, what a copy does with what lies there.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "test.h"

#include <gablebook/error.h>
#include <gablebook/set.h>
#include <glib/gstdio.h>

static void put(const char *folder, const char *name, const char *text)
{
    g_autofree char *path = g_build_filename(folder, name, NULL), *in = g_path_get_dirname(path);
    assert_int_equal(g_mkdir_with_parents(in, 0755), 0);
    assert_true(g_file_set_contents(path, text, -1, NULL));
}

#define LIST "[checklist]\nname = L\n[a]\nwhat = A\nwhere = once\n"

static void the_only_checklist_is_known_and_of_several_none(void **state)
{
    g_autoptr(GError) error = NULL;
    put(*state, "checklists/one.ini", LIST);
    g_autoptr(GbSet) one = gb_set_read(*state, &error);
    assert_no_error(error);
    assert_string_equal(gb_set_only_checklist(one), "one");
    assert_true(gb_set_has_checklist(one, "one"));
    assert_false(gb_set_has_checklist(one, "on"));
    put(*state, "checklists/two.ini", LIST);
    g_autoptr(GbSet) two = gb_set_read(*state, &error);
    assert_no_error(error);
    assert_null(gb_set_only_checklist(two));
}

static void what_is_no_set_is_refused(void **state)
{
    GError *error = NULL;
    g_autofree char *nowhere = g_build_filename(*state, "nowhere", NULL);
    assert_null(gb_set_read(nowhere, &error));
    assert_error(error, GB_ERROR_IO, "no such folder");
    for (guint i = 0; i <= 200; i++) {
        g_autofree char *name = g_strdup_printf("report/%u.txt", i);
        put(*state, name, "x");
    }
    assert_null(gb_set_read(*state, &error));
    assert_error(error, GB_ERROR_TOO_LARGE, "more than 200 files");
}

/* A set of a.txt and report/b.txt, read. OWNED by the caller. */
static GbSet *read_pair(const char *folder)
{
    GError *error = NULL;
    g_autofree char *from = g_build_filename(folder, "set", NULL);
    put(from, "a.txt", "a");
    put(from, "report/b.txt", "b");
    GbSet *set = gb_set_read(from, &error);
    assert_no_error(error);
    return set;
}

static void a_copy_to_where_no_folder_can_be_made_says_so(void **state)
{
    GError *error = NULL;
    g_autofree char *to = g_build_filename(*state, "to", NULL);
    g_autoptr(GbSet) set = read_pair(*state);
    put(*state, "to", "in the way");
    assert_false(gb_set_copy(set, to, &error));
    assert_error(error, GB_ERROR_IO, "can't be made");
}

static void what_lies_there_from_before_is_not_touched_and_nothing_is_copied(void **state)
{
    static const char *const names[] = { "report", "a.txt", "report/b.txt", "report/other.txt" };
    g_autofree char *to = g_build_filename(*state, "to", NULL);
    g_autoptr(GbSet) set = read_pair(*state);
    for (gsize i = 0; i < G_N_ELEMENTS(names); i++) {
        GError *error = NULL;
        put(to, names[i], "my own");
        g_autofree char *path = g_build_filename(to, names[i], NULL), *other = g_build_filename(to, i == 1 ? "report/b.txt" : "a.txt", NULL);
        assert_false(gb_set_copy(set, to, &error));
        assert_error(error, GB_ERROR_STATE, "lies there from before");
        g_autofree char *text = slurp(path);
        assert_string_equal(text, "my own");
        assert_false(g_file_test(other, G_FILE_TEST_EXISTS));
        remove_tree(to);
    }
}

static void a_copy_that_was_broken_off_is_completed(void **state)
{
    GError *error = NULL;
    g_autofree char *to = g_build_filename(*state, "to", NULL), *inside = g_build_filename(to, "report/b.txt", NULL);
    g_autoptr(GbSet) set = read_pair(*state);
    put(to, "a.txt", "a");
    gboolean ok = gb_set_copy(set, to, &error);
    assert_no_error(error);
    assert_true(ok);
    g_autofree char *text = slurp(inside);
    assert_string_equal(text, "b");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        test_in_folder(the_only_checklist_is_known_and_of_several_none),
        test_in_folder(what_is_no_set_is_refused),
        test_in_folder(a_copy_to_where_no_folder_can_be_made_says_so),
        test_in_folder(what_lies_there_from_before_is_not_touched_and_nothing_is_copied),
        test_in_folder(a_copy_that_was_broken_off_is_completed),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
