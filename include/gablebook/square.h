/* square.h -- test squares: the hits counted on a marked piece of a slope, or why none was marked.
 *
 * The usual square is ten by ten feet, one on each slope, where the damage is greatest. How many hits matter differs from carrier to
 * carrier, so nothing here judges: a threshold that somebody set for the claim is shown as theirs.
 *
 * Near the edge of a roof nobody looks at chalk: mark and count only where it is safe to stand, and say why where it is not.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_SQUARE_H
#define GABLEBOOK_SQUARE_H

#include <gablebook/claim.h>
#include <gablebook/log.h>

G_BEGIN_DECLS

/* The subject of photos that show one; with a count, such a photo is a test square by itself (known.h). */
#define GB_SQUARE_SUBJECT "test-square"
/* What is meant where a person says no size. */
#define GB_SQUARE_USUAL_SIZE "10 x 10 ft"

/* Text OWNED by the struct. */
typedef struct {
    gint64 id;
    gint64 place;    /* GbPlace id of the slope */
    guint number;    /* on its slope, from 1 */
    char *size;      /* as typed; NULL not drawn */
    double width_in, height_in; /* inches; NAN not drawn */
    guint hits;      /* meaningless where not drawn */
    char *not_drawn; /* why; NULL: it was drawn and counted */
    char *note;      /* NULL none */
    char *who;       /* who recorded it */
    gint64 at_utc_s;
    GArray *shots;   /* gint64 numbers of the photos named as its proof, rising; may be empty */
} GbSquare;

/* All recorded squares by place and number: array of GbSquare, OWNED by the caller (g_ptr_array_unref). */
GPtrArray *gb_squares_load(GbLog *log, GError **error);
/* The square of that slope and number, or NULL. BORROWED from the array. O(n). */
GbSquare *gb_squares_at(const GPtrArray *squares, gint64 place, guint number);

/* How many hits in a square matter, as somebody set it for this claim. */
typedef struct {
    guint hits;
    char *source; /* who says so: "the carrier's guide" */
    char *who;    /* who set it */
} GbThreshold;

/* The threshold; *threshold is NULL when none is set, else OWNED by the caller (gb_threshold_free). */
gboolean gb_threshold_load(GbLog *log, GbThreshold **threshold, GError **error);
void gb_threshold_free(GbThreshold *threshold); /* NULL is allowed */
G_DEFINE_AUTOPTR_CLEANUP_FUNC(GbThreshold, gb_threshold_free)

/* --- the verb --- */

/* What to change. NULL leaves a thing as it is, "" takes it back. Text BORROWED for the call. */
typedef struct {
    const char *number;    /* which square of the slope, "1" to "9"; NULL: the first */
    const char *hits;      /* a whole number; takes the place of a reason for not drawing it */
    const char *size;      /* "10 x 10 ft"; of a new one absent: that */
    const char *not_drawn; /* why; takes the place of hits and size */
    const char *note;
    const char *shots;     /* "46, 47": exactly these */
} GbSquareEdit;

/* Record a test square, or change it; one change in the history.
 *   slope    in a person's words
 *   summary  "front slope: test square 10 x 10 ft, 9 hits; shots 39, 40", OWNED by the caller; may be NULL
 * GB_ERROR_SYNTAX, _UNKNOWN, _UNCLEAR, _TOO_LARGE of its words, GB_ERROR_STATE when the place is no slope, or a new square has
 * neither hits nor a reason, or both are given. Nothing was changed on failure. */
gboolean gb_square_say(GbLog *log, const char *slope, const GbSquareEdit *edit, char **summary, GError **error);

/* Take a recorded square back. GB_ERROR_STATE when there is none. */
gboolean gb_square_drop(GbLog *log, const char *slope, const char *number, char **summary, GError **error);

/* Set the claim's threshold, "" takes it back. source: who says so; wanted, for a number alone would look like the program's. */
gboolean gb_threshold_set(GbLog *log, const char *hits, const char *source, char **summary, GError **error);

G_END_DECLS
#endif
