/* correct.h -- a person's word on a camera's clock.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_CORRECT_H
#define GABLEBOOK_CORRECT_H

#include <gablebook/camera.h>

G_BEGIN_DECLS

/* Say how wrong a camera's clock is; one change in the history.
 *   camera   its name, in a person's words (word.h)
 *   said     "1 h 7 min slow", "2:05:10 fast", "right" (clock.h); NULL or "" takes the word back
 *   summary  what was done, OWNED by the caller; may be NULL
 * GB_ERROR_SYNTAX, _UNCLEAR, _UNKNOWN, _STATE (there is no word to take back): nothing was changed. */
gboolean gb_correct_say(GbLog *log, const char *camera, const char *said, char **summary, GError **error);

/* Say that a shot was taken at the same moment as one of another camera, whose clock is trusted; one change in the history.
 *   other  0 takes the pair of this shot back
 * GB_ERROR_UNKNOWN: no such shot; GB_ERROR_STATE: both of one camera, without a time, the trusted camera's own clock is
 * unknown, or is itself corrected by pairs with this one. */
gboolean gb_correct_pair(GbLog *log, gint64 shot, gint64 other, char **summary, GError **error);

G_END_DECLS
#endif
