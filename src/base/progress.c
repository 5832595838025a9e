/* progress.c -- see progress.h.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <gablebook/progress.h>

#include <gablebook/error.h>

gboolean gb_progress_tell(const GbProgress *progress, guint done, guint total, GError **error)
{
    if (progress == NULL || progress->on(done, total, progress->user))
        return TRUE;
    g_set_error(error, GB_ERROR, GB_ERROR_STOPPED, "stopped, as was asked for");
    return FALSE;
}
