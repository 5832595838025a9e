/* picture.c -- see picture.h.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <gablebook/picture.h>

#include <fcntl.h>
#include <gablebook/digest.h>
#include <gablebook/error.h>
#include <gablebook/file.h>
#include <gablebook/jpeg.h>
#include <sys/stat.h>
#include <unistd.h>

#define CACHED_MAX_BYTES (64u << 20)

static char *cache_path(const GbLog *log, const char *sha256, int px, int quality)
{
    g_autofree char *size = quality == GB_PICTURE_QUALITY ? g_strdup_printf("%d", px) : g_strdup_printf("%d-q%d", px, quality);
    g_autofree char *name = g_strconcat(sha256, ".jpg", NULL);
    return gb_log_path(log, "cache", size, name, NULL);
}

static gboolean looks_whole(const guint8 head[2], const guint8 tail[2])
{
    return head[0] == 0xff && head[1] == 0xd8 && tail[0] == 0xff && tail[1] == 0xd9;
}

gsize gb_picture_kept(const GbLog *log, const GbShot *shot, int px, int quality)
{
    g_autofree char *path = cache_path(log, shot->sha256, px, quality);
    int fd = open(path, O_RDONLY | O_CLOEXEC | O_NOCTTY | O_NONBLOCK);
    if (fd < 0)
        return 0;
    struct stat st;
    guint8 head[2], tail[2];
    gboolean whole = fstat(fd, &st) == 0 && S_ISREG(st.st_mode) && st.st_size > 4 && st.st_size <= CACHED_MAX_BYTES &&
                     pread(fd, head, sizeof head, 0) == sizeof head &&
                     pread(fd, tail, sizeof tail, st.st_size - (off_t)sizeof tail) == sizeof tail && looks_whole(head, tail);
    close(fd);
    return whole ? (gsize)st.st_size : 0;
}

static void keep(const GbLog *log, const char *sha256, int px, int quality, GBytes *picture)
{
    g_autofree char *path = cache_path(log, sha256, px, quality);
    g_autofree char *folder = g_path_get_dirname(path);
    gsize n;
    const void *data = g_bytes_get_data(picture, &n);
    if (g_mkdir_with_parents(folder, 0777) == 0)
        gb_file_place(path, data, n, 0644, FALSE, NULL);
}

void gb_picture_keep(const GbLog *log, const char *sha256, int px, GBytes *picture)
{
    keep(log, sha256, px, GB_PICTURE_QUALITY, picture);
}

/* The original's bytes, only if they are still the ones that were imported. */
static GBytes *read_original(const GbLog *log, const GbShot *shot, GError **error)
{
    char sha256[GB_DIGEST_HEX];
    g_autofree char *path = gb_log_path(log, "originals", shot->stored_name, NULL);
    g_autoptr(GBytes) bytes = gb_file_read(path, GB_JPEG_MAX_BYTES, error);
    if (bytes == NULL || !gb_digest(g_bytes_get_data(bytes, NULL), g_bytes_get_size(bytes), sha256, error))
        return NULL;
    if (strcmp(sha256, shot->sha256) == 0)
        return g_steal_pointer(&bytes);
    g_set_error(error, GB_ERROR, GB_ERROR_DAMAGED, "%s: is no longer the file that was imported (its SHA-256 differs)", path);
    return NULL;
}

GBytes *gb_picture_make(const GbLog *log, const GbShot *shot, GBytes *original, int px, int quality, GError **error)
{
    gsize n;
    const void *data = g_bytes_get_data(original, &n);
    GBytes *picture = gb_jpeg_shrink(data, n, shot->exif.orientation, px, quality, NULL, error);
    if (picture == NULL)
        g_prefix_error(error, "%s: ", shot->stored_name);
    else
        keep(log, shot->sha256, px, quality, picture);
    return picture;
}

GBytes *gb_picture_at(const GbLog *log, const GbShot *shot, int px, int quality, GError **error)
{
    g_autofree char *path = cache_path(log, shot->sha256, px, quality);
    g_autoptr(GBytes) cached = gb_file_read(path, CACHED_MAX_BYTES, NULL);
    gsize n = 0;
    const guint8 *data = cached != NULL ? g_bytes_get_data(cached, &n) : NULL;
    if (n > 4 && looks_whole(data, data + n - 2))
        return g_steal_pointer(&cached);
    g_autoptr(GBytes) original = read_original(log, shot, error);
    return original != NULL ? gb_picture_make(log, shot, original, px, quality, error) : NULL;
}

GBytes *gb_picture(const GbLog *log, const GbShot *shot, int px, GError **error)
{
    return gb_picture_at(log, shot, px, GB_PICTURE_QUALITY, error);
}
