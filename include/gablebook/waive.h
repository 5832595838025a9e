/* waive.h -- saying why a requirement can't be met.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_WAIVE_H
#define GABLEBOOK_WAIVE_H

#include <gablebook/log.h>

G_BEGIN_DECLS

/* Waive a line of the check, or take the waiver back; one change in the history.
 *   requirement  the line in a person's words: "test square rear slope"
 *   why          the reason, not empty; NULL takes the waiver back
 *   summary      what was done, OWNED by the caller; may be NULL
 * GB_ERROR_SYNTAX for a reason that is none; GB_ERROR_UNKNOWN, _UNCLEAR; GB_ERROR_STATE when there is nothing to waive (it is there) or no waiver to take back. */
gboolean gb_waive(GbLog *log, const char *requirement, const char *why, char **summary, GError **error);

G_END_DECLS
#endif
