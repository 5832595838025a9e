/* facing-private.h -- what facing.c and its helpers share; for src/sense/facing*.c only.
 *
 * The model. A hidden Markov chain runs over the shots in order of time. Its states are (place, distance): what a shot shows and
 * from how far. facing_walk.c knows how people go from place to place, facing_sight.c how heading, position and
 * altitude look from each state and what the states, once believed, say of the house; facing_fit.c turns the two into the
 * best explanations of a whole inspection (a hypothesis each: front azimuth, centre, way round); facing.c averages them,
 * weighted by how well they explain the data; facing_confidence.c calibrates; facing_reason.c says it in words.
 *
 * One state more than the places have stands for "none of these".
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_FACING_PRIVATE_H
#define GABLEBOOK_FACING_PRIVATE_H

#include <gablebook/facing.h>

#define CLASSES 3 /* overview, mid-range, close-up; class = distance - GB_DISTANCE_OVERVIEW */

/* One shot made ready: checked, in order of time. */
typedef struct {
    gsize shot;   /* index in the caller's array */
    double gap_s; /* since the one before; INFINITY: order tells nothing */
    gboolean has_position, has_heading, has_altitude;
    double east_m, north_m;
    double variance_m2; /* of the position, each way, grown where several shots share one error */
    double look_e, look_n; /* unit vector of the heading */
    double altitude_m;
    int place; /* the user's, or -1 */
    int class; /* the user's, or -1 */
} GbSight;

/* A structure as a hypothesis has it. */
typedef struct {
    double front_rad;
    double east_m, north_m, variance_m2; /* of the centre: what isn't known of it yet */
    double half_width_m, half_depth_m;
    gboolean front_given, centre_given, size_given;
} GbBody;

/* One explanation of the inspection. */
typedef struct {
    GbBody *bodies; /* OWNED; n_structures, at least 1 */
    gsize n_bodies;
    gsize dwelling;
    int turn; /* way round the house: +1 front right rear left, -1 the other, 0 either */
    double bias_rad;
    double compass_var;
    double ground_m, altitude_var;
    double front_var;  /* of the front azimuth, given this explanation; rad^2 */
    double log_evidence;
} GbHypothesis;

GbHypothesis *gb_hypothesis_copy(const GbHypothesis *hypothesis);
void gb_hypothesis_free(GbHypothesis *hypothesis);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(GbHypothesis, gb_hypothesis_free)

/* How people go: made once for a list of places and a way round. */
typedef struct GbWalk GbWalk;
GbWalk *gb_walk_new(const GbFacingInput *input, gsize dwelling, int turn);
void gb_walk_free(GbWalk *walk);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(GbWalk, gb_walk_free)
/* Forward and backward over n sights. emission and belief: n x (places + 1) x CLASSES; emission is overwritten. Returns the log
 * likelihood. */
double gb_walk_smooth(const GbWalk *walk, const GbSight *sights, gsize n, double *emission, double *belief);

/* Densities of one sight in every state of a hypothesis. out: (places + 1) x CLASSES. */
void gb_sight_densities(const GbFacingInput *input, const GbHypothesis *hypothesis, const GbSight *sight, double *out);
/* Move the hypothesis to where the beliefs say it should be: one M-step. */
void gb_sight_learn(const GbFacingInput *input, const GbSight *sights, gsize n, const double *belief, const GbHypothesis *start,
                    GbHypothesis *hypothesis);

/* The best explanations, most likely first, their log_evidence comparable. Array of GbHypothesis, OWNED by the caller. */
GPtrArray *gb_fit_hypotheses(const GbFacingInput *input, const GbSight *sights, gsize n, gsize dwelling);
/* Smooth all sights under one explanation: belief as gb_walk_smooth. */
double gb_fit_smooth(const GbFacingInput *input, const GbWalk *walk, const GbHypothesis *hypothesis, const GbSight *sights, gsize n,
                     double *emission, double *belief);

/* The share of shots of this raw probability that were right in simulated inspections.
 *   tags  how many shots the user tagged;  front_given  whether the front azimuth was known */
double gb_confidence_calibrate(double raw, gsize tags, gboolean front_given);

/* The line of reason. OWNED by the caller. */
char *gb_reason_compose(const GbFacingInput *input, const GbHypothesis *hypothesis, const GbSight *sights, gsize n, gsize i,
                        const int *best, double runner_up_confidence, int runner_up);

#endif
