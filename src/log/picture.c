/* picture.c -- see picture.h.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <gablebook/picture.h>

#include <gablebook/digest.h>
#include <gablebook/error.h>
#include <gablebook/file.h>
#include <gablebook/image.h>

#define CACHED_MAX_BYTES (64u << 20)

static char *cache_path(const GbLog *log, const char *sha256, int px)
{
    g_autofree char *size = g_strdup_printf("%d", px);
    g_autofree char *name = g_strconcat(sha256, ".jpg", NULL);
    return gb_log_path(log, "cache", size, name, NULL);
}

static gboolean looks_whole(GBytes *picture)
{
    gsize n;
    const guint8 *data = g_bytes_get_data(picture, &n);
    return n > 4 && data[0] == 0xff && data[1] == 0xd8 && data[n - 2] == 0xff && data[n - 1] == 0xd9;
}

void gb_picture_keep(const GbLog *log, const char *sha256, int px, GBytes *picture)
{
    g_autofree char *path = cache_path(log, sha256, px);
    g_autofree char *folder = g_path_get_dirname(path);
    gsize n;
    const void *data = g_bytes_get_data(picture, &n);
    if (g_mkdir_with_parents(folder, 0777) == 0)
        gb_file_place(path, data, n, 0644, FALSE, NULL);
}

/* The original's bytes, only if they are still the ones that were imported. */
static GBytes *read_original(const GbLog *log, const GbShot *shot, GError **error)
{
    char sha256[GB_DIGEST_HEX];
    g_autofree char *path = gb_log_path(log, "originals", shot->stored_name, NULL);
    g_autoptr(GBytes) bytes = gb_file_read(path, GB_IMAGE_MAX_BYTES, error);
    if (bytes == NULL || !gb_digest(g_bytes_get_data(bytes, NULL), g_bytes_get_size(bytes), sha256, error))
        return NULL;
    if (strcmp(sha256, shot->sha256) == 0)
        return g_steal_pointer(&bytes);
    g_set_error(error, GB_ERROR, GB_ERROR_DAMAGED, "%s: is no longer the file that was imported (its SHA-256 differs)", path);
    return NULL;
}

GBytes *gb_picture(const GbLog *log, const GbShot *shot, int px, GError **error)
{
    g_autofree char *path = cache_path(log, shot->sha256, px);
    g_autoptr(GBytes) cached = gb_file_read(path, CACHED_MAX_BYTES, NULL);
    if (cached != NULL && looks_whole(cached))
        return g_steal_pointer(&cached);
    g_autoptr(GBytes) original = read_original(log, shot, error);
    if (original == NULL)
        return NULL;
    gsize n;
    const void *data = g_bytes_get_data(original, &n);
    g_autoptr(GBytes) picture = gb_image_shrink(data, n, shot->exif.orientation, px, GB_PICTURE_QUALITY, NULL, error);
    if (picture == NULL) {
        g_prefix_error(error, "%s: ", shot->stored_name);
        return NULL;
    }
    gb_picture_keep(log, shot->sha256, px, picture);
    return g_steal_pointer(&picture);
}
