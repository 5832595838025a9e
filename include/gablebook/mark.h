/* mark.h -- what a person draws over a photo: data beside it, never part of it.
 *
 * Points are shares of the upright picture's width and height, 0 to 1 from its top left corner, so they fit every size of it. What is
 * measured on a picture holds only where the things measured lie in one plane that the camera looked at squarely; an angle is a roof's pitch
 * only if the camera was level and square to the gable too. Whoever shows a measure shows that caution (gb_mark_caution).
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_MARK_H
#define GABLEBOOK_MARK_H

#include <gablebook/log.h>

G_BEGIN_DECLS

typedef enum {
    GB_MARK_ARROW,   /* tail, tip */
    GB_MARK_ELLIPSE, /* two opposite corners of its box */
    GB_MARK_CHALK,   /* a stroke: 2 to GB_MARK_POINTS_MAX points */
    GB_MARK_TEXT,    /* where its first line begins */
    GB_MARK_SCALE,   /* both ends of something of known length */
    GB_MARK_LINE,    /* both ends of something to be measured against the nearest scale of the picture */
    GB_MARK_ANGLE,   /* the end of one line, the corner, the end of the other */
    GB_MARK_KINDS
} GbMarkKind;

#define GB_MARK_POINTS_MAX 2000
#define GB_MARKS_MAX 200 /* on one photo */

/* "arrow", "ellipse", "chalk", "text", "scale", "line", "angle". */
const char *gb_mark_kind_word(GbMarkKind kind);

typedef struct {
    double x, y;
} GbMarkPoint;

/* Text and points OWNED by the struct. */
typedef struct {
    gint64 id; /* its for ever */
    gint64 shot;
    GbMarkKind kind;
    GbMarkPoint *points;
    guint n_points;
    char *text;       /* NULL none */
    char *length;     /* of a scale, as typed; else NULL */
    double length_in; /* the same in inches; else NAN */
} GbMark;

/* All marks of the claim in the order they were drawn: array of GbMark, OWNED by the caller (g_ptr_array_unref). */
GPtrArray *gb_marks_load(GbLog *log, GError **error);
void gb_mark_free(GbMark *mark); /* NULL is allowed */
G_DEFINE_AUTOPTR_CLEANUP_FUNC(GbMark, gb_mark_free)

/* --- measured; width and height are those of the upright picture, in any unit --- */

/* How long a line is, in inches: its length in the picture through that of the scale whose middle is nearest to its own. NAN for another kind
 * of mark, and without a scale among marks (of GbMark, of the same photo; BORROWED). */
double gb_mark_length_in(const GbMark *line, const GPtrArray *marks, double width, double height);
/* The angle at the corner, 0 to 180 degrees; NAN for another kind and for a corner that is one of the ends. */
double gb_mark_angle_deg(const GbMark *angle, double width, double height);
/* The pitch that this angle is when one of its lines is level, "7.5:12", from the acute angle; NULL steeper than 48:12. OWNED by the caller. */
char *gb_mark_pitch(double angle_deg);

/* A mark in words: "arrow: bruise", "line, 23.5 in against 10 ft", "angle, 32.0 degrees or pitch 7.5:12". OWNED by the caller. */
char *gb_mark_words(const GbMark *mark, const GPtrArray *marks, double width, double height);
/* What must be said beside a measure. NULL for marks that measure nothing. BORROWED for ever. */
const char *gb_mark_caution(GbMarkKind kind);

/* --- the verb --- */

/* What to draw, or how to change what is drawn. BORROWED for the call. */
typedef struct {
    gint64 mark; /* which one to change; 0: a new one */
    gint64 shot; /* of a new one */
    const char *kind;   /* of a new one, in a person's words (word.h) */
    const GbMarkPoint *points; /* NULL leaves them */
    guint n_points;
    const char *text;   /* NULL leaves it, "" takes it away */
    const char *length; /* of a scale: "10 ft" (measure.h); NULL leaves it */
} GbMarkEdit;

/* Draw a mark or change one; one change in the history.
 *   mark     its id; may be NULL
 *   summary  what was done, OWNED by the caller; may be NULL
 * GB_ERROR_SYNTAX (points out of the picture or of another number than the kind has, a text mark without text, a scale without length),
 * _UNKNOWN (no such shot, mark, kind), _UNCLEAR, _TOO_LARGE, _STATE (a length for what is no scale): nothing was changed. */
gboolean gb_mark(GbLog *log, const GbMarkEdit *edit, gint64 *mark, char **summary, GError **error);
/* Take a mark away. GB_ERROR_UNKNOWN. */
gboolean gb_mark_drop(GbLog *log, gint64 mark, char **summary, GError **error);

G_END_DECLS
#endif
