/* facing_fit.c -- the few explanations of an inspection that are worth believing in.
 *
 * Expectation-maximisation finds the nearest good explanation, not the best, and a house looks much the same after a quarter
 * turn. So it is started from front azimuths all around, on some of the shots; the distinct ones among the best then go
 * both ways round the house on more shots. With the front given, only the ways round are left.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "sense/facing-private.h"

#include <math.h>

#define RAD (G_PI / 180)
#define SEARCH_SHOTS 110 /* enough to find the front; more cost time and change nothing */
#define REFINE_SHOTS 400
#define SEARCH_STEPS 3
#define REFINE_STEPS 4
#define MODES 5             /* distinct front azimuths that are followed */
#define MODE_APART (25 * RAD)
#define MODE_WORSE 30.0     /* nats behind the best: not worth following */
#define USUAL_WAY 0.78      /* front, right, rear, left: of those who go round */

/* What an unknown house is like. */
#define HALF_WIDTH_M 7.5
#define HALF_DEPTH_M 5.5
#define OUTBUILDING_HALF_M 2.8
#define OUTBUILDING_VAR 220.0

GbHypothesis *gb_hypothesis_copy(const GbHypothesis *hypothesis)
{
    GbHypothesis *copy = g_memdup2(hypothesis, sizeof *hypothesis);
    copy->bodies = g_memdup2(hypothesis->bodies, hypothesis->n_bodies * sizeof(GbBody));
    return copy;
}

void gb_hypothesis_free(GbHypothesis *hypothesis)
{
    if (hypothesis == NULL)
        return;
    g_free(hypothesis->bodies);
    g_free(hypothesis);
}

/* Some of the sights, evenly, and the tagged ones; gaps added up. Array of GbSight. */
static GArray *some_of(const GbSight *sights, gsize n, gsize wanted)
{
    GArray *some = g_array_new(FALSE, FALSE, sizeof(GbSight));
    gsize stride = (n + wanted - 1) / MAX(wanted, 1), tagged = 0;
    double gap = 0;
    for (gsize i = 0; i < n; i++) {
        gap += sights[i].gap_s;
        gboolean keep_tag = sights[i].place >= 0 && tagged < wanted;
        if (i % MAX(stride, 1) != 0 && !keep_tag)
            continue;
        tagged += keep_tag;
        GbSight sight = sights[i];
        sight.gap_s = gap;
        g_array_append_val(some, sight);
        gap = 0;
    }
    return some;
}

static double median(GArray *values)
{
    double *v = (double *)(void *)values->data;
    guint n = values->len;
    for (guint i = 1; i < n; i++) /* at most SEARCH_SHOTS twice over */
        for (guint j = i; j > 0 && v[j] < v[j - 1]; j--) {
            double swap = v[j];
            v[j] = v[j - 1];
            v[j - 1] = swap;
        }
    return n % 2 ? v[n / 2] : (v[n / 2 - 1] + v[n / 2]) / 2;
}

/* Where the lines of sight pass each other most closely, held a little to the camera positions themselves. */
static void rough_centre(const GArray *sights, double *east, double *north)
{
    double across_weight = 1, near_weight = 0.15, east_was = NAN, north_was = NAN;
    for (int round = 0; round < 3; round++) {
        double ee = 1e-9, en = 0, nn = 1e-9, be = 0, bn = 0;
        for (guint i = 0; i < sights->len; i++) {
            const GbSight *s = &g_array_index(sights, GbSight, i);
            if (!s->has_position)
                continue;
            double weight = 1 / (9 + s->variance_m2), le = s->has_heading ? s->look_e : 0, ln = s->has_heading ? s->look_n : 0;
            if (round > 0) /* the strange ones count less */
                weight /= 1 + pow(hypot(s->east_m - east_was, s->north_m - north_was) / 25, 4);
            double aee = weight * (near_weight + (s->has_heading ? across_weight * (1 - le * le) : 0));
            double ann = weight * (near_weight + (s->has_heading ? across_weight * (1 - ln * ln) : 0));
            double aen = s->has_heading ? -weight * across_weight * le * ln : 0;
            ee += aee;
            nn += ann;
            en += aen;
            be += aee * s->east_m + aen * s->north_m;
            bn += aen * s->east_m + ann * s->north_m;
        }
        double det = ee * nn - en * en;
        east_was = *east = (be * nn - bn * en) / det;
        north_was = *north = (bn * ee - be * en) / det;
    }
}

static GbBody body_of(const GbFacingStructure *structure, gboolean home)
{
    GbBody body = { .half_width_m = home ? HALF_WIDTH_M : OUTBUILDING_HALF_M,
                    .half_depth_m = home ? HALF_DEPTH_M : OUTBUILDING_HALF_M };
    if (structure == NULL)
        return body;
    body.front_given = isfinite(structure->front_azimuth_deg);
    body.centre_given = isfinite(structure->east_m) && isfinite(structure->north_m);
    body.size_given = structure->width_m > 0 && structure->width_m < 500 && structure->depth_m > 0 && structure->depth_m < 500;
    if (body.front_given)
        body.front_rad = fmod(structure->front_azimuth_deg, 360) * RAD;
    if (body.centre_given) {
        body.east_m = structure->east_m;
        body.north_m = structure->north_m;
    }
    if (body.size_given) {
        body.half_width_m = structure->width_m / 2;
        body.half_depth_m = structure->depth_m / 2;
    }
    return body;
}

/* Before anything is learnt. */
static GbHypothesis *starting_point(const GbFacingInput *input, const GArray *sights, gsize dwelling)
{
    GbHypothesis *h = g_new0(GbHypothesis, 1);
    h->dwelling = dwelling;
    h->n_bodies = MAX(input->n_structures, 1);
    h->bodies = g_new0(GbBody, h->n_bodies);
    double east = 0, north = 0;
    rough_centre(sights, &east, &north);
    for (gsize s = 0; s < h->n_bodies; s++) {
        GbBody *body = &h->bodies[s];
        *body = body_of(s < input->n_structures ? &input->structures[s] : NULL, s == dwelling);
        if (!body->centre_given) {
            body->east_m = east;
            body->north_m = north;
            body->variance_m2 = s == dwelling ? 0 : OUTBUILDING_VAR;
        }
    }
    for (gsize s = 0; s < h->n_bodies; s++) /* around the house, where that is known */
        if (s != dwelling && !h->bodies[s].centre_given) {
            h->bodies[s].east_m = h->bodies[dwelling].east_m;
            h->bodies[s].north_m = h->bodies[dwelling].north_m;
        }
    g_autoptr(GArray) altitudes = g_array_new(FALSE, FALSE, sizeof(double));
    for (guint i = 0; i < sights->len; i++)
        if (g_array_index(sights, GbSight, i).has_altitude)
            g_array_append_val(altitudes, g_array_index(sights, GbSight, i).altitude_m);
    h->ground_m = altitudes->len > 0 ? median(altitudes) - 0.8 : 0;
    h->compass_var = pow(12 * RAD, 2);
    h->altitude_var = 6;
    h->front_var = pow(60 * RAD, 2);
    return h;
}

static void turn_all(GbHypothesis *h, double front_rad)
{
    for (gsize s = 0; s < h->n_bodies; s++)
        if (!h->bodies[s].front_given)
            h->bodies[s].front_rad = h->bodies[h->dwelling].front_given ? h->bodies[h->dwelling].front_rad : front_rad;
}

double gb_fit_smooth(const GbFacingInput *input, const GbWalk *walk, const GbHypothesis *hypothesis, const GbSight *sights, gsize n,
                     double *emission, double *belief)
{
    gsize width = (input->n_places + 1) * CLASSES;
    for (gsize t = 0; t < n; t++)
        gb_sight_densities(input, hypothesis, &sights[t], emission + t * width);
    return gb_walk_smooth(walk, sights, n, emission, belief);
}

/* Some steps of expectation and maximisation; log_evidence is then that of the last expectation. */
static void improve(const GbFacingInput *input, const GbWalk *walk, const GArray *sights, const GbHypothesis *start, int steps,
                    GbHypothesis *h)
{
    gsize n = sights->len, width = (input->n_places + 1) * CLASSES;
    const GbSight *first = (const GbSight *)(const void *)sights->data;
    g_autofree double *emission = g_new(double, n * width);
    g_autofree double *belief = g_new(double, n * width);
    for (int step = 0; step < steps; step++) {
        h->log_evidence = gb_fit_smooth(input, walk, h, first, n, emission, belief);
        if (step + 1 < steps)
            gb_sight_learn(input, first, n, belief, start, h);
    }
}

static gint by_evidence(gconstpointer a, gconstpointer b)
{
    const GbHypothesis *x = *(GbHypothesis *const *)a, *y = *(GbHypothesis *const *)b;
    return x->log_evidence < y->log_evidence ? 1 : x->log_evidence > y->log_evidence ? -1 : 0;
}

static gboolean is_new(const GPtrArray *modes, const GbHypothesis *h)
{
    for (guint i = 0; i < modes->len; i++) {
        const GbHypothesis *mode = modes->pdata[i];
        double apart = remainder(mode->bodies[mode->dwelling].front_rad - h->bodies[h->dwelling].front_rad, 2 * G_PI);
        if (fabs(apart) < MODE_APART || mode->log_evidence - h->log_evidence > MODE_WORSE)
            return FALSE;
    }
    return TRUE;
}

/* The distinct fronts worth following: array of GbHypothesis. */
static GPtrArray *find_fronts(const GbFacingInput *input, const GArray *sights, const GbHypothesis *start)
{
    g_autoptr(GPtrArray) tried = g_ptr_array_new_with_free_func((GDestroyNotify)gb_hypothesis_free);
    g_autoptr(GbWalk) walk = gb_walk_new(input, start->dwelling, 0);
    gboolean headings = FALSE, given = start->bodies[start->dwelling].front_given;
    for (guint i = 0; i < sights->len; i++)
        headings |= g_array_index(sights, GbSight, i).has_heading;
    int fronts = given ? 1 : headings ? 12 : 24; /* only headings turn a front between the steps */
    for (int i = 0; i < fronts; i++) {
        GbHypothesis *h = gb_hypothesis_copy(start);
        turn_all(h, 2 * G_PI * i / fronts);
        improve(input, walk, sights, start, SEARCH_STEPS, h);
        g_ptr_array_add(tried, h);
    }
    g_ptr_array_sort(tried, by_evidence);
    GPtrArray *modes = g_ptr_array_new_with_free_func((GDestroyNotify)gb_hypothesis_free);
    for (guint i = 0; i < tried->len && modes->len < MODES; i++)
        if (is_new(modes, tried->pdata[i]))
            g_ptr_array_add(modes, gb_hypothesis_copy(tried->pdata[i]));
    return modes;
}

GPtrArray *gb_fit_hypotheses(const GbFacingInput *input, const GbSight *sights, gsize n, gsize dwelling)
{
    g_autoptr(GArray) few = some_of(sights, n, SEARCH_SHOTS);
    g_autoptr(GArray) more = some_of(sights, n, REFINE_SHOTS);
    g_autoptr(GbHypothesis) start = starting_point(input, few, dwelling);
    g_autoptr(GPtrArray) fronts = find_fronts(input, few, start);
    GPtrArray *found = g_ptr_array_new_with_free_func((GDestroyNotify)gb_hypothesis_free);
    for (int turn = 1; turn >= -1; turn -= 2) {
        g_autoptr(GbWalk) walk = gb_walk_new(input, dwelling, turn);
        for (guint i = 0; i < fronts->len; i++) {
            GbHypothesis *h = gb_hypothesis_copy(fronts->pdata[i]);
            h->turn = turn;
            improve(input, walk, more, start, REFINE_STEPS, h);
            h->log_evidence += log(turn > 0 ? USUAL_WAY : 1 - USUAL_WAY);
            g_ptr_array_add(found, h);
        }
    }
    g_ptr_array_sort(found, by_evidence);
    return found;
}
