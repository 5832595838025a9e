/* test_file.c -- bounded reads, all-or-nothing writes.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "test.h"

#include <gablebook/error.h>
#include <gablebook/file.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

static char *in(void **state, const char *name)
{
    return g_build_filename(*state, name, NULL);
}

static guint files_in(const char *folder)
{
    g_autoptr(GDir) dir = g_dir_open(folder, 0, NULL);
    guint n = 0;
    while (g_dir_read_name(dir) != NULL)
        n++;
    return n;
}

static void what_was_written_is_read_back_with_its_mode(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autofree char *path = in(state, "a");
    assert_true(gb_file_write(path, "one\0two", 7, 0444, &error));
    g_autoptr(GBytes) back = gb_file_read(path, 7, &error);
    assert_no_error(error);
    assert_int_equal(g_bytes_get_size(back), 7);
    assert_memory_equal(g_bytes_get_data(back, NULL), "one\0two", 7);
    struct stat st;
    assert_int_equal(stat(path, &st), 0);
    assert_int_equal(st.st_mode & 0777, 0444);
    assert_int_equal(files_in(*state), 1);
}

/* As open(2) has it: what a person's umask keeps from others is kept from them here too. */
static void a_umask_keeps_others_out_of_what_is_written(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autofree char *path = in(state, "a");
    mode_t before = umask(077);
    gboolean written = gb_file_write(path, "x", 1, 0644, &error);
    umask(before);
    assert_true(written);
    struct stat st;
    assert_int_equal(stat(path, &st), 0);
    assert_int_equal(st.st_mode & 0777, 0600);
}

static void a_file_above_the_bound_is_refused_and_one_at_the_bound_is_not(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autofree char *path = in(state, "a");
    assert_true(gb_file_write(path, "12345678", 8, 0644, &error));
    assert_null(gb_file_read(path, 7, &error));
    assert_error(error, GB_ERROR_TOO_LARGE, "has 8 bytes");
    g_autoptr(GBytes) all = gb_file_read(path, 8, &error);
    assert_non_null(all);
}

static void folders_pipes_and_missing_files_are_refused_without_waiting(void **state)
{
    g_autoptr(GError) error = NULL;
    assert_null(gb_file_read(*state, 10, &error));
    assert_error(error, GB_ERROR_FOREIGN, "no regular file");
    g_autofree char *pipe = in(state, "pipe");
    assert_int_equal(mkfifo(pipe, 0600), 0);
    assert_null(gb_file_read(pipe, 10, &error));
    assert_error(error, GB_ERROR_FOREIGN, "no regular file");
    g_autofree char *none = in(state, "none");
    assert_null(gb_file_read(none, 10, &error));
    assert_error(error, GB_ERROR_IO, "No such file");
}

static void text_loses_its_byte_order_mark_and_bad_utf8_is_named_by_line(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autofree char *path = in(state, "a");
    assert_true(gb_file_write(path, "\xef\xbb\xbfwords", 8, 0644, &error));
    g_autofree char *text = gb_file_read_text(path, 100, &error);
    assert_string_equal(text, "words");
    assert_true(gb_file_write(path, "one\ntwo\n\xff", 9, 0644, &error));
    assert_null(gb_file_read_text(path, 100, &error));
    assert_error(error, GB_ERROR_SYNTAX, "a:3: is not UTF-8");
    assert_true(gb_file_write(path, "a\0b", 3, 0644, &error));
    assert_null(gb_file_read_text(path, 100, &error));
    assert_error(error, GB_ERROR_SYNTAX, "a:1:");
    assert_true(gb_file_write(path, "", 0, 0644, &error));
    g_autofree char *empty = gb_file_read_text(path, 100, &error);
    assert_string_equal(empty, "");
}

static void a_writer_freed_early_leaves_the_old_file_and_nothing_else(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autofree char *path = in(state, "a");
    assert_true(gb_file_write(path, "old", 3, 0644, &error));
    GbFileWriter *out = gb_file_writer_new(path, 0644, &error);
    assert_true(gb_file_writer_add(out, "new and long", 12, &error));
    gb_file_writer_free(out);
    g_autofree char *now = slurp(path);
    assert_string_equal(now, "old");
    assert_int_equal(files_in(*state), 1);
}

static void writing_into_a_missing_folder_names_the_file(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autofree char *path = in(state, "no/such");
    assert_false(gb_file_write(path, "x", 1, 0644, &error));
    assert_error(error, GB_ERROR_IO, "no/such: can't be written: No such file");
}

static void sweeping_removes_what_a_dead_process_left_and_keeps_what_a_living_one_writes(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autofree char *path = in(state, "a");
    pid_t child = fork();
    if (child == 0) {
        (void)!gb_file_writer_new(path, 0644, NULL);
        _exit(0);
    }
    int status;
    assert_int_equal(waitpid(child, &status, 0), child);
    g_autoptr(GbFileWriter) living = gb_file_writer_new(path, 0644, &error);
    assert_int_equal(files_in(*state), 2);
    gb_file_sweep(*state);
    assert_int_equal(files_in(*state), 1);
    assert_true(gb_file_writer_finish(living, &error));
}

/* Were this machine "alder", that one would be "alder-PID", and its process 4711. */
static void sweeping_leaves_what_a_machine_of_a_longer_name_writes(void **state)
{
    pid_t gone = fork();
    if (gone == 0)
        _exit(0);
    assert_int_equal(waitpid(gone, NULL, 0), gone);
    g_autofree char *name = g_strdup_printf(".aside-%s-%d-4711-abcdef", g_get_host_name(), (int)gone);
    g_autofree char *path = in(state, name);
    assert_true(g_file_set_contents(path, "x", 1, NULL));
    gb_file_sweep(*state);
    assert_int_equal(files_in(*state), 1);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        test_in_folder(what_was_written_is_read_back_with_its_mode),
        test_in_folder(a_umask_keeps_others_out_of_what_is_written),
        test_in_folder(a_file_above_the_bound_is_refused_and_one_at_the_bound_is_not),
        test_in_folder(folders_pipes_and_missing_files_are_refused_without_waiting),
        test_in_folder(text_loses_its_byte_order_mark_and_bad_utf8_is_named_by_line),
        test_in_folder(a_writer_freed_early_leaves_the_old_file_and_nothing_else),
        test_in_folder(writing_into_a_missing_folder_names_the_file),
        test_in_folder(sweeping_removes_what_a_dead_process_left_and_keeps_what_a_living_one_writes),
        test_in_folder(sweeping_leaves_what_a_machine_of_a_longer_name_writes),
    };
    return cmocka_run_group_tests_name("file", tests, NULL, NULL);
}
