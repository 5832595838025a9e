/* progress.h -- how far long work is, and whether it should stop.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_PROGRESS_H
#define GABLEBOOK_PROGRESS_H

#include <glib.h>

G_BEGIN_DECLS

/* How the caller of long work follows along. BORROWED for the call. */
typedef struct {
    /* Called once a file, from any thread of the work.
     *   done   files so far
     *   total  of how many; 0 not known
     * FALSE: stop. */
    gboolean (*on)(guint done, guint total, gpointer user);
    gpointer user;
} GbProgress;

/* Tell it, if anybody listens (progress NULL: nobody). FALSE with GB_ERROR_STOPPED when the work should stop. */
gboolean gb_progress_tell(const GbProgress *progress, guint done, guint total, GError **error);

G_END_DECLS
#endif
