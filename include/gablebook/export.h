/* export.h -- a claim as one zip, for handing over.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_EXPORT_H
#define GABLEBOOK_EXPORT_H

#include <gablebook/log.h>
#include <gablebook/progress.h>

G_BEGIN_DECLS

/* Put a claim into a zip: a whole copy of the database (also while others write), originals, reports, the claim's own templates, and
 * manifest.sha256, a list of all of them as the program sha256sum reads it. The cache is left out: it comes back.
 *   log     open; BORROWED
 *   progress who follows along; NULL nobody
 *   path    of the zip; NULL: the folder's name with ".claim.zip", beside the folder
 *   written where it is, OWNED by the caller; may be NULL
 *   files   how many went in; may be NULL
 * Same content, same bytes: the entries' times are that of the last change. All or nothing. A missing or changed original does not stop it: what
 * is there is handed over, and verify says what differs. GB_ERROR_IO; GB_ERROR_STATE: path lies in the claim's own folder; GB_ERROR_STOPPED. */
gboolean gb_export(GbLog *log, const char *path, const GbProgress *progress, char **written, guint *files, GError **error);

/* Where that is if nobody says otherwise: folder's whole path with ".claim.zip". OWNED by the caller. */
char *gb_export_path(const char *folder);

G_END_DECLS
#endif
