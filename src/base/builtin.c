/* builtin.c -- files carried in the program as a GResource; the build makes the data. See builtin.h.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <gablebook/builtin.h>

#include <gablebook/error.h>
#include <gio/gio.h>

GResource *gb_builtin_get_resource(void); /* made by glib-compile-resources */

/* GLib makes it ready at the first call, and gives NULL to a thread that calls meanwhile (2.74): the first one goes alone. */
static GResource *get_resource(void)
{
    static gsize ready;
    if (g_once_init_enter(&ready)) {
        gb_builtin_get_resource();
        g_once_init_leave(&ready, 1);
    }
    return gb_builtin_get_resource();
}

GBytes *gb_builtin_bytes(const char *path, GError **error)
{
    g_autofree char *full = g_strconcat("/gablebook/", path, NULL);
    GBytes *bytes = g_resource_lookup_data(get_resource(), full, G_RESOURCE_LOOKUP_FLAGS_NONE, NULL);
    if (bytes == NULL)
        g_set_error(error, GB_ERROR, GB_ERROR_UNKNOWN, "'%s' is not part of this program", path);
    return bytes;
}

char *gb_builtin_text(const char *path, GError **error)
{
    g_autoptr(GBytes) bytes = gb_builtin_bytes(path, error);
    if (bytes == NULL)
        return NULL;
    gsize n;
    const char *data = g_bytes_get_data(bytes, &n);
    return g_strndup(data, n);
}

static int compare_names(const void *a, const void *b)
{
    return strcmp(*(const char *const *)a, *(const char *const *)b);
}

char **gb_builtin_names(const char *folder)
{
    g_autofree char *full = g_strconcat("/gablebook/", folder, "/", NULL);
    char **names = g_resource_enumerate_children(get_resource(), full, G_RESOURCE_LOOKUP_FLAGS_NONE, NULL);
    if (names == NULL)
        return g_new0(char *, 1);
    qsort(names, g_strv_length(names), sizeof *names, compare_names);
    return names;
}
