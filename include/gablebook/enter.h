/* enter.h -- the verb that enters roof measurements. What they mean: roof.h.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_ENTER_H
#define GABLEBOOK_ENTER_H

#include <gablebook/log.h>
#include <gablebook/roof.h>

G_BEGIN_DECLS

typedef enum {
    GB_CUT_OUT_KEEP, /* as it is; a new one is roof */
    GB_CUT_OUT,      /* not roof, but taken out of it */
    GB_CUT_OUT_NOT   /* roof (again) */
} GbEnterCutOut;

/* A person's words. NULL leaves a part as it is, of a new entry as is usual for its shape. BORROWED for the call. */
typedef struct {
    gint64 change;       /* the number of an entry that is to be changed; 0: a new one */
    const char *where;   /* "rear slope", "garage left"; of a whole roof the structure: "dwelling", "garage" */
    const char *shape;   /* "trapezoid", "hip" ... */
    const char *section; /* "wing" */
    const char *given[GB_ROOF_GIVENS]; /* "16'9\"", "6/12"; "none" takes one back */
    const char *left_side, *right_side; /* what its sides are: "rake", "hip", "valley", "wall"; "usual": as usual for its shape again */
    const char *top, *bottom; /* likewise */
    GbEnterCutOut cut_out; /* changed, its edges are the usual ones of what it is then, but those that are said too */
    const char *ridge_runs; /* of a whole roof: "along the street" or "front to rear" (word.h); "usual", and a new one: along the longer walls */
} GbEnter;

/* Enter a slope or a whole roof, or change one; one change in the history.
 *   id       the entry's number; may be NULL
 *   summary  what it is now: "roof entry 3: rear slope, trapezoid, eave 40', ...: 419.3 sq ft", OWNED by the caller; may be NULL
 * GB_ERROR_UNKNOWN, _UNCLEAR of its words, _SYNTAX of its measurements, or where it can't be computed; _STATE where the structure lacks a
 * slope that the roof has; _TOO_LARGE above GB_ROOFS_MAX. Contradictions are no error: they are told with the roof. Nothing was
 * changed on failure. */
gboolean gb_enter_roof(GbLog *log, const GbEnter *enter, gint64 *id, char **summary, GError **error);

/* Take an entry out. GB_ERROR_UNKNOWN. */
gboolean gb_enter_remove(GbLog *log, gint64 id, char **summary, GError **error);

/* Set the waste and the steep pitches; NULL leaves one as it is, "none" takes it back. GB_ERROR_SYNTAX. */
gboolean gb_enter_settings(GbLog *log, const char *waste, const char *steep, char **summary, GError **error);

G_END_DECLS
#endif
