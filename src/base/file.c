/* file.c -- bounded reads, all-or-nothing writes. See file.h.
 *
 * What is being written carries the name ".aside-HOST-PID-XXXXXX" beside its target, so that a later run can tell
 * leftovers of a killed process from the work of a living one.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <gablebook/file.h>

#include <errno.h>
#include <fcntl.h>
#include <gablebook/error.h>
#include <signal.h>
#include <sys/stat.h>
#include <unistd.h>

#define ASIDE_PREFIX ".aside-"
#define LARGEST_WRITE (1u << 30) /* one write(2) takes no more than 2 GiB */

static gboolean fail(GError **error, const char *doing, const char *path)
{
    int saved = errno;
    g_autofree char *shown = g_filename_display_name(path);
    g_set_error(error, GB_ERROR, GB_ERROR_IO, "%s: %s: %s", shown, doing, g_strerror(saved));
    return FALSE;
}

/* --- reading --- */

static gboolean read_all(int fd, guint8 *into, gsize n, const char *path, GError **error)
{
    for (gsize have = 0; have < n;) {
        gssize got = read(fd, into + have, MIN(n - have, LARGEST_WRITE));
        if (got < 0 && errno == EINTR)
            continue;
        if (got < 0)
            return fail(error, "can't read", path);
        if (got == 0) {
            g_autofree char *shown = g_filename_display_name(path);
            g_set_error(error, GB_ERROR, GB_ERROR_IO, "%s: became shorter while it was read", shown);
            return FALSE;
        }
        have += (gsize)got;
    }
    return TRUE;
}

/* head: a larger file is no error, its first max_bytes are read. */
static GBytes *read_open(int fd, const char *path, gsize max_bytes, gboolean head, GError **error)
{
    g_autofree char *shown = g_filename_display_name(path);
    struct stat st;
    if (fstat(fd, &st) != 0) {
        fail(error, "can't read", path);
        return NULL;
    }
    if (!S_ISREG(st.st_mode)) {
        g_set_error(error, GB_ERROR, GB_ERROR_FOREIGN, "%s: is no regular file", shown);
        return NULL;
    }
    if ((guint64)st.st_size > max_bytes && !head) {
        g_set_error(error, GB_ERROR, GB_ERROR_TOO_LARGE, "%s: has %" G_GINT64_FORMAT " bytes; at most %" G_GSIZE_FORMAT
                    " are read", shown, (gint64)st.st_size, max_bytes);
        return NULL;
    }
    gsize n = (gsize)MIN((guint64)st.st_size, max_bytes);
    g_autofree guint8 *data = g_try_malloc(n + 1);
    if (data == NULL) {
        g_set_error(error, GB_ERROR, GB_ERROR_TOO_LARGE, "%s: not enough memory for its %" G_GSIZE_FORMAT " bytes", shown, n);
        return NULL;
    }
    if (!read_all(fd, data, n, path, error))
        return NULL;
    return g_bytes_new_take(g_steal_pointer(&data), n);
}

static GBytes *read_file(const char *path, gsize max_bytes, gboolean head, GError **error)
{
    /* O_NONBLOCK: opening a FIFO must not wait for its other end. */
    int fd = open(path, O_RDONLY | O_CLOEXEC | O_NOCTTY | O_NONBLOCK);
    if (fd < 0) {
        fail(error, "can't open", path);
        return NULL;
    }
    GBytes *bytes = read_open(fd, path, max_bytes, head, error);
    close(fd);
    return bytes;
}

GBytes *gb_file_read(const char *path, gsize max_bytes, GError **error)
{
    return read_file(path, max_bytes, FALSE, error);
}

GBytes *gb_file_read_head(const char *path, gsize n, GError **error)
{
    return read_file(path, n, TRUE, error);
}

static guint line_of(const char *text, const char *at)
{
    guint line = 1;
    for (const char *c = text; c < at; c++)
        line += *c == '\n';
    return line;
}

char *gb_file_read_text(const char *path, gsize max_bytes, GError **error)
{
    g_autoptr(GBytes) bytes = gb_file_read(path, max_bytes, error);
    if (bytes == NULL)
        return NULL;
    gsize n;
    const char *data = g_bytes_get_data(bytes, &n);
    const char *bad;
    if (n > 0 && !g_utf8_validate_len(data, n, &bad)) { /* a NUL byte is invalid here too */
        g_autofree char *shown = g_filename_display_name(path);
        g_set_error(error, GB_ERROR, GB_ERROR_SYNTAX, "%s:%u: is not UTF-8 text", shown, line_of(data, bad));
        return NULL;
    }
    gboolean marked = n >= 3 && memcmp(data, "\xef\xbb\xbf", 3) == 0;
    return g_strndup(n > 0 ? data + 3 * marked : "", n - 3 * marked);
}

/* --- writing --- */

struct GbFileWriter {
    char *path;  /* the final name */
    char *aside; /* what is being written; NULL once it has its final name */
    int fd;      /* -1 once closed */
};

GbFileWriter *gb_file_writer_new(const char *path, int mode, GError **error)
{
    g_autofree char *folder = g_path_get_dirname(path);
    g_autofree char *name = g_strdup_printf(ASIDE_PREFIX "%s-%d-XXXXXX", g_get_host_name(), (int)getpid());
    g_autofree char *aside = g_build_filename(folder, name, NULL);
    int fd = g_mkstemp_full(aside, O_WRONLY | O_CLOEXEC, mode); /* and not fchmod: that would pass over the umask */
    if (fd < 0) {
        fail(error, "can't be written", path);
        return NULL;
    }
    GbFileWriter *out = g_new(GbFileWriter, 1);
    *out = (GbFileWriter){ .path = g_strdup(path), .aside = g_steal_pointer(&aside), .fd = fd };
    return out;
}

gboolean gb_file_writer_add(GbFileWriter *out, const void *data, gsize n, GError **error)
{
    const guint8 *from = data;
    while (n > 0) {
        gssize put = write(out->fd, from, MIN(n, LARGEST_WRITE));
        if (put < 0 && errno == EINTR)
            continue;
        if (put < 0)
            return fail(error, "can't be written", out->path);
        from += put;
        n -= (gsize)put;
    }
    return TRUE;
}

const char *gb_file_writer_aside(const GbFileWriter *out)
{
    return out->aside;
}

/* Give the written file its name. close() is looked at: network file systems report a full disk only there. */
static gboolean finish(GbFileWriter *out, gboolean sync, GError **error)
{
    gboolean ok = !sync || fsync(out->fd) == 0;
    if (close(out->fd) != 0)
        ok = FALSE;
    out->fd = -1;
    if (!ok || rename(out->aside, out->path) != 0)
        return fail(error, "can't be written", out->path);
    g_clear_pointer(&out->aside, g_free);
    return TRUE;
}

gboolean gb_file_writer_finish(GbFileWriter *out, GError **error)
{
    g_autofree char *folder = g_path_get_dirname(out->path);
    return finish(out, TRUE, error) && gb_file_sync_folder(folder, error);
}

void gb_file_writer_free(GbFileWriter *out)
{
    if (out == NULL)
        return;
    if (out->fd >= 0)
        close(out->fd);
    if (out->aside != NULL)
        unlink(out->aside);
    g_free(out->aside);
    g_free(out->path);
    g_free(out);
}

gboolean gb_file_place(const char *path, const void *data, gsize n, int mode, gboolean sync, GError **error)
{
    g_autoptr(GbFileWriter) out = gb_file_writer_new(path, mode, error);
    return out != NULL && gb_file_writer_add(out, data, n, error) && finish(out, sync, error);
}

gboolean gb_file_write(const char *path, const void *data, gsize n, int mode, GError **error)
{
    g_autofree char *folder = g_path_get_dirname(path);
    return gb_file_place(path, data, n, mode, TRUE, error) && gb_file_sync_folder(folder, error);
}

gboolean gb_file_sync_folder(const char *folder, GError **error)
{
    int fd = open(folder, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    if (fd < 0)
        return fail(error, "can't be made durable", folder);
    gboolean ok = fsync(fd) == 0 || errno == EINVAL || errno == ENOTSUP; /* some file systems have no such thing */
    if (!ok)
        fail(error, "can't be made durable", folder);
    close(fd);
    return ok;
}

/* Whether a name is that of an aside file whose writer lived on this machine and is gone. The end is looked at too: this machine's name
 * may be the beginning of another's. */
static gboolean is_left_over(const char *name)
{
    g_autofree char *ours = g_strdup_printf(ASIDE_PREFIX "%s-", g_get_host_name());
    if (!g_str_has_prefix(name, ours))
        return FALSE;
    char *end;
    gint64 pid = g_ascii_strtoll(name + strlen(ours), &end, 10);
    return pid > 0 && pid <= G_MAXINT && *end == '-' && strlen(end) == strlen("-XXXXXX") && kill((pid_t)pid, 0) != 0 && errno == ESRCH;
}

void gb_file_sweep(const char *folder)
{
    g_autoptr(GDir) dir = g_dir_open(folder, 0, NULL);
    const char *name;
    while (dir != NULL && (name = g_dir_read_name(dir)) != NULL)
        if (is_left_over(name)) {
            g_autofree char *path = g_build_filename(folder, name, NULL);
            unlink(path);
        }
}

void gb_file_sweep_beside(const char *path)
{
    g_autofree char *folder = g_path_get_dirname(path);
    gb_file_sweep(folder);
}
