/* scan.c -- which files a person means who names files and folders. See work-private.h.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "work-private.h"

#include <glib/gstdio.h>

#define DEPTH_MAX 64 /* folders within folders */
#define FILES_MAX 1000000

static void free_found(gpointer data)
{
    GbFound *found = data;
    g_free(found->path);
    g_free(found->why_not);
    g_free(found);
}

static void add_found(GPtrArray *files, const char *path, const GStatBuf *st, const char *why_not)
{
    GbFound *found = g_new(GbFound, 1);
    *found = (GbFound){ g_strdup(path), st != NULL && S_ISREG(st->st_mode) ? (guint64)st->st_size : 0, g_strdup(why_not) };
    g_ptr_array_add(files, found);
}

/* What a claim's folder holds are copies and small pictures of photos: nothing to take in. */
static gboolean is_claim(const char *folder)
{
    g_autofree char *path = g_build_filename(folder, "claim.db", NULL);
    return g_file_test(path, G_FILE_TEST_EXISTS);
}

static gint compare_names(gconstpointer a, gconstpointer b)
{
    return strcmp(*(const char *const *)a, *(const char *const *)b);
}

typedef struct {
    GPtrArray *files;
    GbSidecars *sidecars;
} Scan;

static void scan_folder(Scan *to, const char *folder, int depth);

/* A file, or a link to one. */
static void scan_file(Scan *to, const char *path, const GStatBuf *st)
{
    if (!S_ISREG(st->st_mode) || !gb_sidecars_add(to->sidecars, path, (guint64)st->st_size))
        add_found(to->files, path, st, NULL);
}

/* named: by the user, not met in a folder. What can't be looked at becomes a found as well: its worker says why. */
static void scan(Scan *to, const char *path, gboolean named, int depth)
{
    GStatBuf st;
    GPtrArray *files = to->files;
    if (files->len >= FILES_MAX)
        return;
    if ((named ? g_stat(path, &st) : g_lstat(path, &st)) != 0)
        add_found(files, path, NULL, NULL);
    else if (S_ISDIR(st.st_mode) && is_claim(path)) {
        if (named)
            add_found(files, path, NULL, "is a claim's own folder; its photos are in originals/ inside");
    } else if (S_ISDIR(st.st_mode))
        scan_folder(to, path, depth);
    else if (S_ISLNK(st.st_mode)) { /* a link to a file is taken, one to a folder may lead anywhere */
        if (g_stat(path, &st) != 0 || !S_ISDIR(st.st_mode))
            scan_file(to, path, &st);
    } else
        scan_file(to, path, &st);
}

static void scan_folder(Scan *to, const char *folder, int depth)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GDir) dir = depth < DEPTH_MAX ? g_dir_open(folder, 0, &error) : NULL;
    if (dir == NULL) {
        add_found(to->files, folder, NULL, error != NULL ? error->message : "lies too deep, in folders within folders");
        return;
    }
    g_autoptr(GPtrArray) names = g_ptr_array_new_with_free_func(g_free);
    const char *name;
    while ((name = g_dir_read_name(dir)) != NULL)
        if (name[0] != '.')
            g_ptr_array_add(names, g_strdup(name));
    g_ptr_array_sort(names, compare_names);
    for (guint i = 0; i < names->len; i++) {
        g_autofree char *path = g_build_filename(folder, names->pdata[i], NULL);
        scan(to, path, FALSE, depth + 1);
    }
}

GPtrArray *gb_scan(const char *const *paths, GbSidecars *sidecars)
{
    *sidecars = (GbSidecars){ 0 };
    Scan to = { g_ptr_array_new_with_free_func(free_found), sidecars };
    for (; *paths != NULL; paths++)
        scan(&to, *paths, TRUE, 0);
    return to.files;
}
