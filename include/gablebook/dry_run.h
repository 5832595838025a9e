/* dry_run.h -- what an import would do, without doing it: headers are read, no pixel is decoded, nothing is written.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_DRY_RUN_H
#define GABLEBOOK_DRY_RUN_H

#include <gablebook/exif.h>
#include <gablebook/format.h>
#include <gablebook/import.h>

G_BEGIN_DECLS

/* One file, in the order of the import. Text OWNED by the struct. */
typedef struct {
    char *path;
    GbImportOutcome outcome; /* what would become of it */
    GbFormat format;
    guint64 bytes;
    gint64 number;     /* of the shot it is or was; 0 none */
    char *message;     /* one sentence where there is something to say; NULL */
    int width, height; /* of a photo, as stored, before turning; else 0 */
    GbExif exif;       /* of a photo; else everything unknown */
} GbDryFile;

/* Look at files and folders as gb_import would find them. Only a file as long as one that the log has is read whole, to tell whether it
 * is the same; a file that would be found broken on reading it whole is not noticed.
 *   paths    NULL-terminated
 *   threads  0: as many as there are processors
 *   sidecars those that would be passed over
 * Array of GbDryFile, OWNED by the caller (g_ptr_array_unref); NULL when the log can't be read. */
GPtrArray *gb_dry_run(GbLog *log, const char *const *paths, guint threads, GbSidecars *sidecars, GError **error);

G_END_DECLS
#endif
