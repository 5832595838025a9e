/* structure.h -- the buildings and other things of the claim, and the parts they have.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_STRUCTURE_H
#define GABLEBOOK_STRUCTURE_H

#include <gablebook/claim.h>

G_BEGIN_DECLS

/* What a structure is to be. NULL leaves a part as it is. Text BORROWED for the call. */
typedef struct {
    const char *name;       /* "garage"; a structure of that name is changed, else one is added */
    const char *kind;       /* one of gb_structure_kinds(); NULL for a new one: its name, if that is a kind, else "other" */
    const char *elevations; /* "front, right", "all" or "none": exactly these */
    const char *slopes;     /* likewise; a roof as a whole comes with the first slope and goes with the last */
    const char *rooms;      /* "kitchen, bath" or "none": exactly these */
} GbStructureEdit;

/* Add or change a structure; one change in the history.
 *   summary  what it is now: "garage: front, right, rear, left; slopes left, right", OWNED by the caller; may be NULL
 * GB_ERROR_STATE when a part that is no longer wanted has shots, findings, facts, test squares, notes or roof measurements: move or take them
 * out first; when a name would make two places read alike (a room "front"). GB_ERROR_SYNTAX, _UNKNOWN, _UNCLEAR of its words,
 * GB_ERROR_TOO_LARGE above 200 rooms. Nothing was changed on failure. */
gboolean gb_structure_edit(GbLog *log, const GbStructureEdit *edit, char **summary, GError **error);

/* Take a structure out, with all its parts. GB_ERROR_UNKNOWN; GB_ERROR_STATE when anything of the above belongs to it,
 * or when it is the dwelling. */
gboolean gb_structure_drop(GbLog *log, const char *name, GError **error);

G_END_DECLS
#endif
