/* export.c -- see export.h.
 *
 * Pictures do not shrink any more, so entries are stored as they are: the archive is written as fast as the disk takes it, and a
 * damaged one can be mended by hand.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <gablebook/export.h>

#include "sums.h"

#include <archive.h>
#include <archive_entry.h>
#include <errno.h>
#include <fcntl.h>
#include <gablebook/digest.h>
#include <gablebook/error.h>
#include <gablebook/file.h>
#include <gablebook/verify.h>
#include <glib/gstdio.h>
#include <sys/stat.h>
#include <unistd.h>

#define PIECE (256 * 1024)
#define DEPTH_MAX 16

typedef struct {
    struct archive *zip;
    GbFileWriter *out;
    const char *top;  /* the folder's name in the archive */
    gint64 time_s;    /* of every entry */
    GString *manifest;
    guint files;
    const GbProgress *progress;
    GError *failure;  /* of out, from within libarchive */
} Exporter;

/* libarchive's writer: errors are kept, for its own are numbers. */
static la_ssize_t write_out(struct archive *zip, void *data, const void *bytes, size_t n)
{
    Exporter *exporter = data;
    if (gb_file_writer_add(exporter->out, bytes, n, exporter->failure == NULL ? &exporter->failure : NULL))
        return (la_ssize_t)n;
    archive_set_error(zip, EIO, "write");
    return -1;
}

static gboolean zip_failed(Exporter *exporter, const char *name, GError **error)
{
    if (exporter->failure != NULL)
        g_propagate_error(error, g_steal_pointer(&exporter->failure));
    else
        g_set_error(error, GB_ERROR, GB_ERROR_IO, "%s: can't be put into the archive: %s; nothing was written", name,
                    archive_error_string(exporter->zip));
    return FALSE;
}

static gboolean begin_entry(Exporter *exporter, const char *name, gint64 bytes, GError **error)
{
    g_autofree char *full = g_strconcat(exporter->top, "/", name, NULL);
    struct archive_entry *entry = archive_entry_new();
    archive_entry_set_pathname_utf8(entry, full);
    archive_entry_set_filetype(entry, AE_IFREG);
    archive_entry_set_perm(entry, 0644);
    archive_entry_set_size(entry, bytes);
    archive_entry_set_mtime(entry, exporter->time_s, 0);
    int code = archive_write_header(exporter->zip, entry);
    archive_entry_free(entry);
    return code == ARCHIVE_OK || zip_failed(exporter, name, error);
}

static gboolean file_failed(const char *path, GError **error)
{
    int saved = errno;
    g_autofree char *shown = g_filename_display_name(path);
    g_set_error(error, GB_ERROR, GB_ERROR_IO, "%s: can't be read: %s; nothing was exported", shown, g_strerror(saved));
    return FALSE;
}

/* The bytes of an open file, which has so many: neither fewer nor more go in than its entry says. */
static gboolean add_bytes(Exporter *exporter, int fd, gint64 bytes, const char *path, GbDigester *digester, GError **error)
{
    g_autofree guint8 *piece = g_malloc(PIECE);
    while (bytes > 0) {
        gssize got = read(fd, piece, (gsize)MIN(bytes, PIECE));
        if (got < 0 && errno == EINTR)
            continue;
        if (got == 0)
            errno = EIO; /* it became shorter */
        if (got <= 0)
            return file_failed(path, error);
        if (archive_write_data(exporter->zip, piece, (gsize)got) != got)
            return zip_failed(exporter, path, error);
        if (!gb_digester_add(digester, piece, (gsize)got, error))
            return FALSE;
        bytes -= got;
    }
    return TRUE;
}

static gboolean add_open_file(Exporter *exporter, int fd, const char *path, const char *name, GError **error)
{
    struct stat st;
    char sha256[GB_DIGEST_HEX];
    g_autoptr(GbDigester) digester = gb_digester_new(error);
    if (digester == NULL)
        return FALSE;
    if (fstat(fd, &st) != 0)
        return file_failed(path, error);
    if (!begin_entry(exporter, name, st.st_size, error) || !add_bytes(exporter, fd, st.st_size, path, digester, error) ||
        !gb_digester_end(digester, sha256, error))
        return FALSE;
    gb_sums_add(exporter->manifest, sha256, name);
    exporter->files++;
    return TRUE;
}

static gboolean add_file(Exporter *exporter, const char *path, const char *name, GError **error)
{
    if (!gb_progress_tell(exporter->progress, exporter->files, 0, error)) {
        g_prefix_error(error, "nothing was exported: ");
        return FALSE;
    }
    int fd = open(path, O_RDONLY | O_CLOEXEC | O_NOFOLLOW | O_NONBLOCK);
    if (fd < 0)
        return file_failed(path, error);
    gboolean ok = add_open_file(exporter, fd, path, name, error);
    close(fd);
    return ok;
}

static gint compare_names(gconstpointer a, gconstpointer b)
{
    return strcmp(*(const char *const *)a, *(const char *const *)b);
}

/* Regular files of a folder, to the bottom, by name. Links lead elsewhere and stay out; a folder that is not there holds none. */
static gboolean add_folder(Exporter *exporter, const char *path, const char *name, int depth, GError **error)
{
    g_autoptr(GDir) dir = depth < DEPTH_MAX ? g_dir_open(path, 0, NULL) : NULL;
    g_autoptr(GPtrArray) names = g_ptr_array_new_with_free_func(g_free);
    const char *entry;
    while (dir != NULL && (entry = g_dir_read_name(dir)) != NULL)
        if (!g_str_has_prefix(entry, "."))
            g_ptr_array_add(names, g_strdup(entry));
    g_ptr_array_sort(names, compare_names);
    for (guint i = 0; i < names->len; i++) {
        g_autofree char *inner = g_build_filename(path, names->pdata[i], NULL), *inner_name = g_strconcat(name, "/", names->pdata[i], NULL);
        GStatBuf st;
        if (g_lstat(inner, &st) != 0)
            return file_failed(inner, error);
        gboolean ok = S_ISDIR(st.st_mode)   ? add_folder(exporter, inner, inner_name, depth + 1, error)
                      : S_ISREG(st.st_mode) ? add_file(exporter, inner, inner_name, error)
                                            : TRUE;
        if (!ok)
            return FALSE;
    }
    return TRUE;
}

static gboolean add_manifest(Exporter *exporter, GError **error)
{
    const GString *text = exporter->manifest;
    return begin_entry(exporter, GB_MANIFEST_NAME, (gint64)text->len, error) &&
           (archive_write_data(exporter->zip, text->str, text->len) == (la_ssize_t)text->len ||
            zip_failed(exporter, GB_MANIFEST_NAME, error));
}

static gboolean add_all(Exporter *exporter, GbLog *log, const char *database, GError **error)
{
    static const char *const folders[] = { "originals", "reports", "templates" };
    if (!add_file(exporter, database, "claim.db", error))
        return FALSE;
    for (gsize i = 0; i < G_N_ELEMENTS(folders); i++) {
        g_autofree char *path = gb_log_path(log, folders[i], NULL);
        if (!add_folder(exporter, path, folders[i], 0, error))
            return FALSE;
    }
    return add_manifest(exporter, error);
}

static gboolean write_zip(Exporter *exporter, GbLog *log, const char *database, GError **error)
{
    exporter->zip = archive_write_new();
    archive_write_set_format_zip(exporter->zip);
    archive_write_set_options(exporter->zip, "zip:compression=store,zip:hdrcharset=UTF-8");
    archive_write_set_bytes_in_last_block(exporter->zip, 1);
    gboolean ok = archive_write_open(exporter->zip, exporter, NULL, write_out, NULL) == ARCHIVE_OK ||
                  zip_failed(exporter, "the archive", error);
    ok = ok && add_all(exporter, log, database, error);
    if (archive_write_close(exporter->zip) != ARCHIVE_OK && ok)
        ok = zip_failed(exporter, "the archive", error);
    archive_write_free(exporter->zip);
    g_clear_error(&exporter->failure);
    return ok && gb_file_writer_finish(exporter->out, error);
}

/* The folder's own name, also where it was given as "." or with a slash behind. OWNED by the caller. */
static char *folder_name(const char *folder)
{
    g_autofree char *whole = g_canonicalize_filename(folder, NULL);
    g_autofree char *name = g_path_get_basename(whole);
    return g_utf8_make_valid(strcmp(name, "/") == 0 ? "claim" : name, -1);
}

char *gb_export_path(const char *folder)
{
    g_autofree char *whole = g_canonicalize_filename(folder, NULL);
    return g_strconcat(whole, ".claim.zip", NULL);
}

/* Where to: beside the folder, if nobody says otherwise; never inside it. OWNED by the caller. */
static char *choose_path(const GbLog *log, const char *path, GError **error)
{
    g_autofree char *folder = g_canonicalize_filename(gb_log_folder(log), NULL);
    g_autofree char *chosen = path != NULL ? g_canonicalize_filename(path, NULL) : gb_export_path(folder);
    g_autofree char *inside = g_strconcat(folder, "/", NULL);
    if (g_str_has_prefix(chosen, inside)) {
        g_set_error(error, GB_ERROR, GB_ERROR_STATE, "%s: lies in the claim's own folder; nothing was exported", chosen);
        return NULL;
    }
    return g_steal_pointer(&chosen);
}

static gboolean export_with(GbLog *log, const char *database, const char *path, const GbProgress *progress, guint *files, GError **error)
{
    gint64 time_s;
    g_autofree char *top = folder_name(gb_log_folder(log));
    g_autoptr(GString) manifest = g_string_new(NULL);
    g_autoptr(GbFileWriter) out = NULL;
    gb_file_sweep_beside(path);
    if (!gb_log_copy(log, database, &time_s, error) || (out = gb_file_writer_new(path, 0644, error)) == NULL)
        return FALSE;
    Exporter exporter = { NULL, out, top, time_s, manifest, 0, progress, NULL };
    if (!write_zip(&exporter, log, database, error))
        return FALSE;
    if (files != NULL)
        *files = exporter.files;
    return TRUE;
}

gboolean gb_export(GbLog *log, const char *path, const GbProgress *progress, char **written, guint *files, GError **error)
{
    g_autofree char *chosen = choose_path(log, path, error);
    g_autofree char *temporary = chosen == NULL ? NULL : g_dir_make_tmp("gablebook-export-XXXXXX", error);
    if (temporary == NULL)
        return FALSE;
    g_autofree char *database = g_build_filename(temporary, "claim.db", NULL);
    gboolean ok = export_with(log, database, chosen, progress, files, error);
    g_unlink(database);
    g_rmdir(temporary);
    if (ok && written != NULL)
        *written = g_steal_pointer(&chosen);
    return ok;
}
