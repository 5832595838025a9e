/* facing.h -- which place of the property does each photo show? What heading, position and order of the walk tell.
 *
 * Per shot a probability for every place of the claim and one for "cannot tell"; the best place with a calibrated confidence (of
 * the shots it is nine tenths sure of, about nine in ten are right; `make bench-suggest` measures that) and one plain line of
 * reason. What the user has tagged is taken as certain and teaches the rest: where the walls are, how good the compass is.
 * Where the front looks and where the house stands are estimated when they are not given.
 *
 * Call sequence: fill a GbFacingInput with BORROWED arrays, gb_facing_estimate, read the answers, gb_facing_free. The answers keep
 * nothing of the input. The same input gives the same answers; after a new tag call again: it takes some hundredths of a second
 * for a claim. Time and memory are linear in the shots.
 *
 * Knows no database: numbers in, numbers out. A suggestion is a belief, not a decision.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_FACING_H
#define GABLEBOOK_FACING_H

#include <gablebook/place.h>
#include <glib.h>

G_BEGIN_DECLS

/* One shot. NAN where unknown; values that can't be (infinite, a million metres away) are taken as unknown. */
typedef struct {
    gint64 number;       /* the shot's number, for the lines of reason */
    double time_s;       /* corrected capture time, seconds from any epoch */
    double east_m;       /* camera position from an origin anywhere within some hundred metres; both or neither */
    double north_m;
    double error_m;      /* stated horizontal error: about two of three positions lie within it; unknown: 8 m are taken */
    double altitude_m;   /* above anything, the same for all shots */
    double heading_deg;  /* where the camera looked, from TRUE north, any turn */
    int place;           /* what the user said: index into places; -1 nothing yet */
    GbDistance distance; /* what the user said, or GB_DISTANCE_UNKNOWN */
} GbFacingShot;

/* One thing that stands on the property. NAN where unknown. */
typedef struct {
    const char *name; /* "garage", for the lines of reason; BORROWED for the call */
    gboolean is_dwelling;
    double front_azimuth_deg; /* outward normal of its front wall, true; of an outbuilding unknown: about as the dwelling's */
    double east_m, north_m;   /* its centre; both or neither */
    double width_m, depth_m;  /* along the front wall; from front to rear */
} GbFacingStructure;

/* One place. */
typedef struct {
    GbPlaceKind kind;
    GbFace face;   /* elevations and slopes only */
    int structure; /* index into structures; ignored for the site */
} GbFacingPlace;

typedef struct {
    const GbFacingShot *shots; /* in any order; shots without a time get no help from their neighbours */
    gsize n_shots;
    const GbFacingStructure *structures; /* one should be the dwelling; else the first is taken for it */
    gsize n_structures;
    const GbFacingPlace *places;
    gsize n_places;
} GbFacingInput;

/* Where the dwelling stands, as given or as estimated. A spread is a standard deviation; 0 where the value was given. */
typedef struct {
    double front_azimuth_deg, front_spread_deg; /* NAN, NAN: nothing tells */
    double east_m, north_m, centre_spread_m;    /* NAN: nothing tells */
    double width_m, depth_m;
    double compass_spread_deg; /* how far headings lie from where the camera must have looked; NAN: no headings */
    double compass_bias_deg;   /* what headings are too large by, when the front is given; else 0 */
} GbFacingHouse;

typedef struct {
    int place;                       /* index of the best place; -1: nothing tells. Of a tagged shot: the tag */
    double confidence;               /* 0..1, calibrated; 1 for a tagged shot; 0 for place -1 */
    double cannot_tell;              /* 0..1: that it shows none of the places, or that nothing tells */
    double distance[GB_DISTANCES];   /* probability of overview, mid-range, close-up; [GB_DISTANCE_UNKNOWN]: nothing tells */
    const char *reason;              /* "heading 27 deg, 11 m out from the right wall, between shots 14 and 16"; never NULL */
} GbFacingAnswer;

typedef struct GbFacing GbFacing; /* contents: src/sense/facing.c */

/* Estimate the place of every shot.
 * Returns answers OWNED by the caller (gb_facing_free), or NULL with GB_ERROR_TOO_LARGE when there are more than 500 places, or
 * shots times places is more than 5,000,000. GB_ERROR_STATE when a place names a structure that isn't there. No shots, or no places, is no error. */
GbFacing *gb_facing_estimate(const GbFacingInput *input, GError **error);

/* The answer for shots[shot]. BORROWED until gb_facing_free; shot < n_shots. */
const GbFacingAnswer *gb_facing_answer(const GbFacing *facing, gsize shot);
/* Probability that shots[shot] shows places[place]; over all places, with cannot_tell, they add up to 1. */
double gb_facing_probability(const GbFacing *facing, gsize shot, gsize place);
/* Where the dwelling stands. BORROWED likewise. */
const GbFacingHouse *gb_facing_house(const GbFacing *facing);
void gb_facing_free(GbFacing *facing); /* NULL is allowed */
G_DEFINE_AUTOPTR_CLEANUP_FUNC(GbFacing, gb_facing_free)

G_END_DECLS
#endif
