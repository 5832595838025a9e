/* support.c -- see test.h.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "test.h"

#include <gablebook/error.h>
#include <gio/gio.h>
#include <glib/gstdio.h>
#include <locale.h>
#include <sys/wait.h>

void assert_near_at(double seen, double wanted, double within, const char *what, const char *file, int line)
{
    if ((isnan(seen) && isnan(wanted)) || fabs(seen - wanted) <= within)
        return;
    print_error("%s is %.12g, wanted %.12g within %g\n", what, seen, wanted, within);
    _fail(file, line);
}

void assert_no_error_at(GError *error, const char *file, int line)
{
    if (error == NULL)
        return;
    print_error("unexpected error: %s\n", error->message);
    _fail(file, line);
}

void assert_error_at(GError **error, int code, const char *part, const char *file, int line)
{
    if (*error == NULL) {
        print_error("no error, wanted one that says '%s'\n", part);
        _fail(file, line);
    }
    if ((*error)->domain != GB_ERROR || (*error)->code != code || strstr((*error)->message, part) == NULL) {
        print_error("error %s %d '%s', wanted code %d with '%s'\n", g_quark_to_string((*error)->domain), (*error)->code,
                    (*error)->message, code, part);
        _fail(file, line);
    }
    g_clear_error(error);
}

int setup_folder(void **state)
{
    *state = g_dir_make_tmp("gablebook-test-XXXXXX", NULL);
    return *state == NULL;
}

int teardown_folder(void **state)
{
    remove_tree(*state);
    g_free(*state);
    return 0;
}

void remove_tree(const char *path)
{
    if (g_file_test(path, G_FILE_TEST_IS_DIR) && !g_file_test(path, G_FILE_TEST_IS_SYMLINK)) {
        (void)g_chmod(path, 0700);
        g_autoptr(GDir) dir = g_dir_open(path, 0, NULL);
        const char *name;
        while (dir != NULL && (name = g_dir_read_name(dir)) != NULL) {
            g_autofree char *inside = g_build_filename(path, name, NULL);
            remove_tree(inside);
        }
    }
    (void)g_remove(path);
}

char *source_path(const char *relative)
{
    const char *top = g_getenv("GB_SOURCE");
    return g_build_filename(top ? top : ".", relative, NULL);
}

char *real_photo(const char *name)
{
    g_autofree char *beside = g_build_filename("..", "shared", "real-photos", name, NULL);
    g_autofree char *path = source_path(beside);
    return g_file_test(path, G_FILE_TEST_EXISTS) ? g_steal_pointer(&path) : NULL;
}

gboolean have_program(const char *name)
{
    g_autofree char *path = g_find_program_in_path(name);
    if (path == NULL && g_getenv("CI") != NULL)
        fail_msg("%s is not installed, and this is CI", name);
    return path != NULL;
}

/* localedef complains of all that this locale leaves out, and makes it. */
gboolean make_decimal_comma(const char *folder)
{
    static const char definition[] = "LC_NUMERIC\ndecimal_point \",\"\nthousands_sep \".\"\ngrouping 3;3\nEND LC_NUMERIC\n";
    g_autofree char *source = g_build_filename(folder, "comma", NULL), *made = g_build_filename(folder, "comma_XX", NULL);
    g_autofree char *numeric = g_build_filename(made, "LC_NUMERIC", NULL);
    if (!have_program("localedef") || !g_file_set_contents(source, definition, -1, NULL))
        return FALSE;
    run((const char *const[]){ "localedef", "-c", "-i", source, "-f", "ANSI_X3.4-1968", made, NULL }, NULL, NULL);
    return g_setenv("LOCPATH", folder, TRUE) && g_file_test(numeric, G_FILE_TEST_EXISTS);
}

gboolean use_decimal_comma(const char *folder)
{
    return make_decimal_comma(folder) && setlocale(LC_NUMERIC, "comma_XX") != NULL;
}

int run(const char *const *argv, char **out, char **err)
{
    int status = 0;
    g_autoptr(GError) error = NULL;
    GSpawnFlags flags = G_SPAWN_SEARCH_PATH | (out ? 0 : G_SPAWN_STDOUT_TO_DEV_NULL) | (err ? 0 : G_SPAWN_STDERR_TO_DEV_NULL);
    if (!g_spawn_sync(NULL, (char **)argv, NULL, flags, NULL, NULL, out, err, &status, &error))
        fail_msg("%s", error->message);
    return WIFEXITED(status) ? WEXITSTATUS(status) : 128 + WTERMSIG(status);
}

int gablebook(char **out, char **err, ...)
{
    const char *program = g_getenv("GB_PROGRAM");
    g_autoptr(GPtrArray) argv = g_ptr_array_new();
    g_ptr_array_add(argv, (gpointer)(program ? program : "gablebook"));
    va_list more;
    va_start(more, err);
    for (const char *word; (word = va_arg(more, const char *)) != NULL;)
        g_ptr_array_add(argv, (gpointer)word);
    va_end(more);
    g_ptr_array_add(argv, NULL);
    return run((const char *const *)argv->pdata, out, err);
}

char *slurp(const char *path)
{
    char *text = NULL;
    g_autoptr(GError) error = NULL;
    if (!g_file_get_contents(path, &text, NULL, &error))
        fail_msg("%s", error->message);
    return text;
}
