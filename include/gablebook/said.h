/* said.h -- the numbers that a person's own words say: "pitch 8/12", "two layers", "12 hits", "two-story", "siding
 * exposure 5 in".
 *
 * For holding a caption against what was recorded. Only a number that stands with its unit or its word counts; a bare
 * number ("at 4 Elm Lane") says nothing.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_SAID_H
#define GABLEBOOK_SAID_H

#include <glib.h>

G_BEGIN_DECLS

typedef enum {
    GB_SAID_PITCH,   /* inches of rise per 12 in of run */
    GB_SAID_LAYERS,
    GB_SAID_HITS,
    GB_SAID_STOREYS,
    GB_SAID_YEARS,
    GB_SAID_LENGTH   /* inches */
} GbSaidKind;

typedef struct {
    GbSaidKind kind;
    double low, high; /* equal but for a range ("12-15 years") */
    char *text;       /* the words themselves, lower case: "8/12", "two layers"; OWNED by the struct */
} GbSaid;

/* All that words say, kind by kind and within a kind in their order: array of GbSaid, OWNED by the caller
 * (g_ptr_array_unref). A pitch written with a slash counts only beside the word pitch, slope, gauge or steep: 5/12 may
 * be a date. Texts above 8 KiB say nothing. */
GPtrArray *gb_said(const char *text);

/* How many of some things words say there are: "4 pipe flashings" says 4 of "Pipe flashings", one "pipe flashing" or
 * "two pipe flashings" likewise. FALSE when they don't say. */
gboolean gb_said_count(const char *text, const char *things, double *count);

G_END_DECLS
#endif
