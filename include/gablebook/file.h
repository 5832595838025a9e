/* file.h -- reading within bounds, writing all or nothing.
 *
 * A file that is written here is complete or absent, also after a crash or a pulled plug: it is
 * written beside its final name, fsynced, renamed, and its folder fsynced.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_FILE_H
#define GABLEBOOK_FILE_H

#include <glib.h>

G_BEGIN_DECLS

/* Read a regular file whole, once.
 *   max_bytes  refuse anything larger before allocating (GB_ERROR_TOO_LARGE)
 * Returns the bytes, OWNED by the caller (g_bytes_unref), or NULL: GB_ERROR_IO (the message names the
 * file and the reason), GB_ERROR_FOREIGN for what is no regular file (a device, a socket, a FIFO:
 * nothing is read of it). */
GBytes *gb_file_read(const char *path, gsize max_bytes, GError **error);

/* Read at most the first n bytes of a regular file; otherwise as gb_file_read. */
GBytes *gb_file_read_head(const char *path, gsize n, GError **error);

/* Read a text file: as above; a byte-order mark is dropped, text that is not UTF-8 is
 * GB_ERROR_SYNTAX with the line. Returns a NUL-terminated string OWNED by the caller (g_free). */
char *gb_file_read_text(const char *path, gsize max_bytes, GError **error);

/* Write bytes to path, all or nothing, replacing what was there. mode as for open(2), e.g. 0644: less what the umask takes.
 * On failure the old file, if any, is untouched and nothing is left behind. GB_ERROR_IO. */
gboolean gb_file_write(const char *path, const void *data, gsize n, int mode, GError **error);

/* The same without making the new name durable: for many files in one folder. Only after
 * gb_file_sync_folder is the file sure to be found again. With sync FALSE the content is not fsynced either: for a
 * cache, whose reader must expect rubbish after a power cut. */
gboolean gb_file_place(const char *path, const void *data, gsize n, int mode, gboolean sync, GError **error);

/* The same for a file that is produced piece by piece.
 *
 *     g_autoptr(GbFileWriter) out = gb_file_writer_new(path, 0644, error);
 *     gb_file_writer_add(out, data, n, error) ...
 *     gb_file_writer_finish(out, error)
 *
 * Freed without finish, it leaves nothing behind. One writer is used by one thread. */
typedef struct GbFileWriter GbFileWriter;
GbFileWriter *gb_file_writer_new(const char *path, int mode, GError **error); /* OWNED by the caller */
gboolean gb_file_writer_add(GbFileWriter *out, const void *data, gsize n, GError **error);
/* The name that it has while it is written, for a library that wants a name; BORROWED until finish. */
const char *gb_file_writer_aside(const GbFileWriter *out);
gboolean gb_file_writer_finish(GbFileWriter *out, GError **error);
void gb_file_writer_free(GbFileWriter *out); /* NULL is allowed */
G_DEFINE_AUTOPTR_CLEANUP_FUNC(GbFileWriter, gb_file_writer_free)

/* Remove what writers of this machine that are no longer alive left beside their targets in a folder. */
void gb_file_sweep(const char *folder);
/* The same in the folder in which a file lies. */
void gb_file_sweep_beside(const char *path);

/* Make the names in a folder durable (fsync of the folder). A file system that cannot is no error. */
gboolean gb_file_sync_folder(const char *folder, GError **error);

G_END_DECLS
#endif
