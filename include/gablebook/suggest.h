/* suggest.h -- what the program believes of shots that nobody has placed: never more than a belief, until a person accepts it.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_SUGGEST_H
#define GABLEBOOK_SUGGEST_H

#include <gablebook/dossier.h>
#include <gablebook/facing.h>

G_BEGIN_DECLS

/* Text OWNED by the struct. */
typedef struct {
    gint64 number;       /* of the shot */
    gint64 place;        /* the likeliest place; 0: nothing tells */
    double confidence;   /* 0 ... 1, calibrated: of those at 0.9, about nine in ten are right */
    GbDistance distance; /* the likeliest distance, or GB_DISTANCE_UNKNOWN */
    double distance_confidence;
    char *reason;        /* "heading 27 deg, 11 m out from the right wall, between shots 14 and 16" */
} GbSuggestion;

typedef struct {
    GPtrArray *suggestions; /* of GbSuggestion, for the shots without a place, in the order of time */
    GbFacingHouse house;    /* where the dwelling stands, as far as it is known or was estimated; metres from the mean position */
    char *caution;          /* what makes all of it less sure: magnetic headings that can't be corrected ...; NULL nothing */
} GbSuggestions;

/* Suggest places for the shots of a claim that have none; those that have one teach the rest. dossier is BORROWED for the call.
 * OWNED by the caller (gb_suggestions_free). NULL with GB_ERROR_TOO_LARGE. */
GbSuggestions *gb_suggest(const GbDossier *dossier, GError **error);
void gb_suggestions_free(GbSuggestions *suggestions); /* NULL is allowed */
G_DEFINE_AUTOPTR_CLEANUP_FUNC(GbSuggestions, gb_suggestions_free)

/* Take the suggestions of at least this confidence as places, and distances that are as sure where nobody said one; one change in the
 * history. A shot that has a place keeps it.
 *   confidence  0.5 ... 1
 *   accepted    how many; may be NULL
 * GB_ERROR_SYNTAX for a confidence out of range. */
gboolean gb_suggest_accept(GbLog *log, double confidence, guint *accepted, GError **error);

G_END_DECLS
#endif
