/* find.c -- the claim folders in a folder. See desk.h.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "desk-private.h"

#include <gablebook/error.h>

#define DEPTH_MAX 4

static gboolean is_claim(const char *folder)
{
    g_autofree char *db = g_build_filename(folder, "claim.db", NULL);
    return g_file_test(db, G_FILE_TEST_IS_REGULAR);
}

static gint by_text(gconstpointer a, gconstpointer b)
{
    return strcmp(*(char *const *)a, *(char *const *)b);
}

static void find_in(const char *folder, GDir *dir, guint depth, GPtrArray *found)
{
    g_autoptr(GPtrArray) names = g_ptr_array_new_with_free_func(g_free);
    const char *name;
    while ((name = g_dir_read_name(dir)) != NULL)
        if (*name != '.')
            g_ptr_array_add(names, g_strdup(name));
    g_ptr_array_sort(names, by_text);
    for (guint i = 0; i < names->len; i++) {
        g_autofree char *path = g_build_filename(folder, names->pdata[i], NULL);
        if (!g_file_test(path, G_FILE_TEST_IS_DIR) || g_file_test(path, G_FILE_TEST_IS_SYMLINK))
            continue;
        if (is_claim(path)) {
            g_ptr_array_add(found, g_steal_pointer(&path));
            continue;
        }
        g_autoptr(GDir) inside = depth < DEPTH_MAX ? g_dir_open(path, 0, NULL) : NULL;
        if (inside != NULL)
            find_in(path, inside, depth + 1, found);
    }
}

char **gb_desk_find(const char *folder, GError **error)
{
    g_autoptr(GDir) dir = g_dir_open(folder, 0, NULL);
    if (dir == NULL) {
        g_autofree char *shown = g_filename_display_name(folder);
        g_set_error(error, GB_ERROR, GB_ERROR_IO, "%s: %s", shown, !g_file_test(folder, G_FILE_TEST_EXISTS) ? "there is no such folder"
                    : g_file_test(folder, G_FILE_TEST_IS_DIR) ? "can't be looked through: you may not read it" : "is no folder");
        return NULL;
    }
    GPtrArray *found = g_ptr_array_new();
    if (is_claim(folder))
        g_ptr_array_add(found, g_strdup(folder));
    else
        find_in(folder, dir, 1, found);
    g_ptr_array_add(found, NULL);
    return (char **)g_ptr_array_free(found, FALSE);
}
