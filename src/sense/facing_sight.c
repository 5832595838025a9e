/* facing_sight.c -- how a shot looks from each place, and what believed shots say of the house.
 *
 * A structure is a rectangle: centre, front azimuth, half width, half depth. From a wall one stands some way out, by the
 * distance, and looks at it, a bit off its normal; on a roof one stands within the rectangle and looks anywhere; positions
 * carry their stated error, headings the compass's. Learning is the other way round: each shot, by the belief in each of
 * its states, pulls centre and sides (least squares), front azimuth (mean of the headings' residuals), compass
 * spread and ground level. Priors keep few or strange shots from running away with the house.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "sense/facing-private.h"

#include <gablebook/circular.h>
#include <math.h>

#define SQUARE(x) ((x) * (x))
#define RAD (G_PI / 180)

/* How far out of a wall one stands, and how far the camera turns off: overview, mid-range, close-up. */
static const double out_m[CLASSES] = { 9.5, 3.8, 1.1 }, out_sd_m[CLASSES] = { 4.0, 1.7, 0.7 };
static const double off_var[CLASSES] = { SQUARE(16 * RAD), SQUARE(24 * RAD), SQUARE(28 * RAD) };
#define OUTBUILDING_OUT 0.7 /* times these: sheds are smaller */

/* Densities where a shot is nothing of what is modelled: within a large yard, any heading. */
#define YARD_M 90.0
#define STRAY_POSITION 0.02
#define STRAY_HEADING 0.10
#define ANY_POSITION (1 / (YARD_M * YARD_M))
#define ANY_HEADING (1 / (2 * G_PI))

/* Roofs stand about this far over the ground, cameras on them. */
#define ROOF_UP_M 3.8
#define ROOF_UP_VAR SQUARE(1.3)
#define ALTITUDE_STRAY 0.02

#define COMPASS_PRIOR_VAR SQUARE(12 * RAD)
#define COMPASS_PRIOR_SHOTS 8
#define BIAS_VAR SQUARE(7 * RAD)
#define BIAS_MAX (30 * RAD)
#define FRONT_UNKNOWN_VAR SQUARE(45 * RAD)
#define CENTRE_VAR SQUARE(7.0)
#define SIZE_VAR SQUARE(2.5)
#define FRONT_TOGETHER 1.5 /* how many square-on shots an outbuilding needs to stand otherwise than the house */

/* The outward normal of a face, east and north, and the sizes that go with it. */
typedef struct {
    double e, n;
    double half_out, half_across;
} Normal;

static Normal normal_of(const GbBody *body, GbFace face)
{
    double azimuth = body->front_rad - (double)face * G_PI / 2; /* front F, right F-90, rear F+180, left F+90 */
    gboolean along = face == GB_FACE_FRONT || face == GB_FACE_REAR;
    return (Normal){ .e = sin(azimuth), .n = cos(azimuth),
                     .half_out = along ? body->half_depth_m : body->half_width_m,
                     .half_across = along ? body->half_width_m : body->half_depth_m };
}

static double gauss(double x, double variance)
{
    return exp(-0.5 * x * x / variance) / sqrt(2 * G_PI * variance);
}

static double with_stray(double density, double stray, double any)
{
    return (1 - stray) * density + stray * any;
}

/* Density of the heading for one who looks along (e, n), off by variance. */
static double heading_density(const GbSight *sight, double e, double n, double variance)
{
    double kappa = MAX(1 / variance, 0.2);
    double along = sight->look_e * e + sight->look_n * n;
    double density = exp(kappa * (along - 1)) / (2 * G_PI * gb_bessel_i0_scaled(kappa));
    return with_stray(density, STRAY_HEADING, ANY_HEADING);
}

/* Where an overview looks: at the wall's middle, as far as the position tells from where. Unit vector; adds what the
 * position's error makes unsure of it. */
static void aim(const GbSight *sight, const Normal *normal, double out, double across, double across_var, double *e, double *n,
                double *variance)
{
    double te = normal->n, tn = -normal->e;
    *e = -normal->e;
    *n = -normal->n;
    if (!sight->has_position) {
        *variance += SQUARE(14 * RAD);
        return;
    }
    double keep = across_var / (across_var + sight->variance_m2);
    double side = 0.75 * across * keep, ahead = MAX(out + 0.35 * normal->half_out, 5);
    double length = hypot(side, ahead);
    *e = (-normal->e * ahead - te * side) / length;
    *n = (-normal->n * ahead - tn * side) / length;
    *variance += SQUARE(0.75 * ahead / length / length) * across_var * (1 - keep);
}

static double across_variance(const Normal *normal, guint class)
{
    return class == 0 ? SQUARE(0.45 * normal->half_across + 2.5) : SQUARE(0.58 * normal->half_across);
}

static void wall_densities(const GbHypothesis *h, const GbSight *sight, const GbBody *body, gboolean home, GbFace face, double *out)
{
    Normal normal = normal_of(body, face);
    double de = sight->east_m - body->east_m, dn = sight->north_m - body->north_m;
    double away = de * normal.e + dn * normal.n - normal.half_out, across = de * normal.n - dn * normal.e;
    double shrink = home ? 1 : OUTBUILDING_OUT, unsure = sight->variance_m2 + body->variance_m2;
    for (guint c = 0; c < CLASSES; c++) {
        double density = 1, across_var = across_variance(&normal, c);
        if (sight->has_position) {
            double v_out = SQUARE(out_sd_m[c] * shrink) + unsure, v_across = across_var + unsure;
            double x = away - out_m[c] * shrink;
            density = exp(-0.5 * (x * x / v_out + across * across / v_across)) / (2 * G_PI * sqrt(v_out * v_across));
            density = with_stray(density, STRAY_POSITION, ANY_POSITION);
        }
        if (sight->has_heading) {
            double e = -normal.e, n = -normal.n, variance = h->compass_var + off_var[c];
            if (!home && !body->front_given)
                variance += SQUARE(25 * RAD);
            if (c == 0 && home)
                aim(sight, &normal, away, across, across_var, &e, &n, &variance);
            density *= heading_density(sight, e, n, variance);
        }
        out[c] = density;
    }
}

/* Somewhere around a point of the body's own frame, out along a face; looking anywhere. */
static double around_density(const GbSight *sight, const GbBody *body, GbFace face, double out_by, double sd_out, double sd_across)
{
    double density = 1;
    if (sight->has_position) {
        Normal normal = normal_of(body, face);
        double de = sight->east_m - body->east_m, dn = sight->north_m - body->north_m;
        double x = de * normal.e + dn * normal.n - out_by, y = de * normal.n - dn * normal.e;
        double unsure = sight->variance_m2 + body->variance_m2;
        density = gauss(x, SQUARE(sd_out) + unsure) * gauss(y, SQUARE(sd_across) + unsure);
        density = with_stray(density, STRAY_POSITION, ANY_POSITION);
    }
    return sight->has_heading ? density * ANY_HEADING : density;
}

static double roof_density(const GbSight *sight, const GbBody *body, const GbFacingPlace *place)
{
    if (place->kind == GB_PLACE_SLOPE) {
        Normal normal = normal_of(body, place->face);
        return around_density(sight, body, place->face, 0.45 * normal.half_out, 0.35 * normal.half_out, 0.5 * normal.half_across);
    }
    return around_density(sight, body, GB_FACE_FRONT, 0, 0.5 * body->half_depth_m, 0.5 * body->half_width_m);
}

/* The site: mostly seen from the street, in front. */
static double site_density(const GbSight *sight, const GbBody *house)
{
    return 0.7 * around_density(sight, house, GB_FACE_FRONT, house->half_depth_m + 14, 8, 12) +
           0.3 * around_density(sight, house, GB_FACE_FRONT, 0, 22, 22);
}

/* Of a whole structure: around it, looking at it. */
static double whole_density(const GbHypothesis *h, const GbSight *sight, const GbBody *body, gboolean home)
{
    double spread = home ? 12 : 9;
    double density = around_density(sight, body, GB_FACE_FRONT, 0, spread, spread);
    if (!home || !sight->has_heading || !sight->has_position)
        return density;
    double de = body->east_m - sight->east_m, dn = body->north_m - sight->north_m, far = hypot(de, dn);
    if (far < 1)
        return density;
    double variance = h->compass_var + SQUARE(20 * RAD) + sight->variance_m2 / SQUARE(MAX(far, 5));
    return density / ANY_HEADING * heading_density(sight, de / far, dn / far, variance);
}

static double altitude_density(const GbHypothesis *h, const GbSight *sight, gboolean up)
{
    if (!sight->has_altitude)
        return 1;
    double over = sight->altitude_m - h->ground_m;
    double density = up ? gauss(over - ROOF_UP_M, h->altitude_var + ROOF_UP_VAR) : gauss(over, h->altitude_var);
    return with_stray(density, ALTITUDE_STRAY, 0.05);
}

static void place_densities(const GbHypothesis *h, const GbSight *sight, const GbFacingPlace *place, double *out)
{
    gboolean home = place->kind == GB_PLACE_SITE || (gsize)place->structure == h->dwelling;
    const GbBody *body = &h->bodies[place->kind == GB_PLACE_SITE ? h->dwelling : (gsize)place->structure];
    gboolean up = place->kind == GB_PLACE_ROOF || place->kind == GB_PLACE_SLOPE;
    double altitude = altitude_density(h, sight, up);
    if (place->kind == GB_PLACE_ELEVATION) {
        wall_densities(h, sight, body, home, place->face, out);
        for (guint c = 0; c < CLASSES; c++)
            out[c] *= altitude;
        return;
    }
    double density = place->kind == GB_PLACE_SITE    ? site_density(sight, body)
                     : place->kind == GB_PLACE_WHOLE ? whole_density(h, sight, body, home)
                                                     : roof_density(sight, body, place); /* a room too: within the walls */
    for (guint c = 0; c < CLASSES; c++)
        out[c] = density * altitude;
}

/* The sight as a compass without that error would have it. */
static GbSight turn_back(const GbSight *sight, double bias_rad)
{
    GbSight turned = *sight;
    double c = cos(bias_rad), s = sin(bias_rad);
    turned.look_e = sight->look_e * c - sight->look_n * s;
    turned.look_n = sight->look_n * c + sight->look_e * s;
    return turned;
}

void gb_sight_densities(const GbFacingInput *input, const GbHypothesis *hypothesis, const GbSight *sight, double *out)
{
    gsize k = input->n_places;
    GbSight turned = turn_back(sight, hypothesis->bias_rad);
    for (gsize p = 0; p <= k; p++) {
        double *d = out + p * CLASSES;
        if (sight->place >= 0 && (gsize)sight->place != p) {
            d[0] = d[1] = d[2] = 0;
            continue;
        }
        if (p < k)
            place_densities(hypothesis, &turned, &input->places[p], d);
        else
            d[0] = d[1] = d[2] = (sight->has_position ? ANY_POSITION : 1) * (sight->has_heading ? ANY_HEADING : 1) *
                                 (sight->has_altitude ? 0.05 : 1);
        for (int class = 0; class < CLASSES; class++)
            if (sight->class >= 0 && class != sight->class)
                d[class] = 0;
    }
}

/* --- learning --- */

/* Normal equations of a structure's centre and half sizes: x = (east, north, half width, half depth). */
typedef struct {
    double a[4][4], b[4];
} Squares;

static void squares_add(Squares *squares, const double *row, double value, double weight)
{
    for (guint i = 0; i < 4; i++) {
        for (guint j = 0; j < 4; j++)
            squares->a[i][j] += weight * row[i] * row[j];
        squares->b[i] += weight * row[i] * value;
    }
}

static void squares_prior(Squares *squares, guint i, double value, double variance)
{
    squares->a[i][i] += 1 / variance;
    squares->b[i] += value / variance;
}

/* Gauss's elimination; the priors make it positive definite, so no pivoting. Leaves the solution in b; returns the variance of
 * x[0] given the others. */
static double squares_solve(Squares *squares)
{
    double east_variance = 1 / squares->a[0][0];
    for (guint i = 0; i < 4; i++)
        for (guint r = i + 1; r < 4; r++) {
            double factor = squares->a[r][i] / squares->a[i][i];
            for (guint c = i; c < 4; c++)
                squares->a[r][c] -= factor * squares->a[i][c];
            squares->b[r] -= factor * squares->b[i];
        }
    for (guint i = 4; i-- > 0;) {
        for (guint c = i + 1; c < 4; c++)
            squares->b[i] -= squares->a[i][c] * squares->b[c];
        squares->b[i] /= squares->a[i][i];
    }
    return east_variance;
}

/* What one structure's believed shots add up to. */
typedef struct {
    Squares squares;
    double turn_c, turn_s; /* residuals of the headings from the face's normal, weighted by how much each can tell */
} Pull;

/* What all believed shots say of compass and altitude. */
typedef struct {
    double compass_sum, compass_weight;
    double ground_sum, ground_weight, altitude_sum;
} Tally;

static void learn_wall(const GbHypothesis *h, const GbSight *sight, const GbFacingPlace *place, const double *belief, Pull *pull,
                       Tally *tally)
{
    const GbBody *body = &h->bodies[place->structure];
    gboolean home = (gsize)place->structure == h->dwelling;
    Normal normal = normal_of(body, place->face);
    gboolean along = place->face == GB_FACE_FRONT || place->face == GB_FACE_REAR;
    double de = sight->east_m - body->east_m, dn = sight->north_m - body->north_m;
    double away = de * normal.e + dn * normal.n - normal.half_out, across = de * normal.n - dn * normal.e;
    for (guint c = 0; c < CLASSES; c++) {
        double weight = belief[c], across_var = across_variance(&normal, c);
        if (weight < 1e-4)
            continue;
        if (sight->has_position) {
            double shrink = home ? 1 : OUTBUILDING_OUT;
            /* out = (p - centre) n - half_out, across = (p - centre) t: linear in what is sought */
            double row[4] = { normal.e, normal.n, along ? 0 : 1, along ? 1 : 0 };
            double value = sight->east_m * normal.e + sight->north_m * normal.n - out_m[c] * shrink;
            squares_add(&pull->squares, row, value, weight / (SQUARE(out_sd_m[c] * shrink) + sight->variance_m2));
            double side[4] = { normal.n, -normal.e, 0, 0 };
            squares_add(&pull->squares, side, sight->east_m * normal.n - sight->north_m * normal.e,
                        weight / (across_var + sight->variance_m2));
        }
        if (sight->has_heading) {
            double e = -normal.e, n = -normal.n, variance = h->compass_var + off_var[c];
            if (c == 0 && home)
                aim(sight, &normal, away, across, across_var, &e, &n, &variance);
            double k = weight / variance, cosine = sight->look_e * e + sight->look_n * n;
            if (cosine < 0.3) /* a stray */
                continue;
            pull->turn_c += k * cosine;
            pull->turn_s += k * (sight->look_e * n - sight->look_n * e);
            if (home) {
                tally->compass_sum += weight * (2 * (1 - cosine) - (variance - h->compass_var));
                tally->compass_weight += weight;
            }
        }
    }
}

static void learn_roof(const GbHypothesis *h, const GbSight *sight, const GbFacingPlace *place, double weight, Pull *pull)
{
    const GbBody *body = &h->bodies[place->structure];
    if (!sight->has_position || weight < 1e-4)
        return;
    double spread = SQUARE(0.5 * (body->half_depth_m + body->half_width_m) / 2) + sight->variance_m2;
    double out_by = 0;
    Normal normal = normal_of(body, place->face);
    if (place->kind == GB_PLACE_SLOPE)
        out_by = 0.45 * normal.half_out;
    squares_add(&pull->squares, (double[]){ 1, 0, 0, 0 }, sight->east_m - normal.e * out_by, weight / spread);
    squares_add(&pull->squares, (double[]){ 0, 1, 0, 0 }, sight->north_m - normal.n * out_by, weight / spread);
}

static void learn_altitude(const GbHypothesis *h, const GbSight *sight, double ground, double up, Tally *tally)
{
    if (!sight->has_altitude)
        return;
    double over = sight->altitude_m - h->ground_m;
    if (fabs(over) > 4 * sqrt(h->altitude_var) + 8)
        return;
    double from_roof = up * h->altitude_var / (h->altitude_var + ROOF_UP_VAR);
    tally->ground_sum += ground * over + from_roof * (over - ROOF_UP_M);
    tally->altitude_sum += ground * SQUARE(over) + from_roof * SQUARE(over - ROOF_UP_M);
    tally->ground_weight += ground + from_roof;
}

static void learn_sight(const GbFacingInput *input, const GbHypothesis *h, const GbSight *sight, const double *belief, Pull *pulls,
                        Tally *tally)
{
    double up = 0, ground = 0;
    for (gsize p = 0; p < input->n_places; p++) {
        const GbFacingPlace *place = &input->places[p];
        const double *b = belief + p * CLASSES;
        double all = b[0] + b[1] + b[2];
        if (place->kind == GB_PLACE_ELEVATION)
            learn_wall(h, sight, place, b, &pulls[place->structure], tally);
        if (place->kind == GB_PLACE_ROOF || place->kind == GB_PLACE_SLOPE) {
            learn_roof(h, sight, place, all, &pulls[place->structure]);
            up += all;
        } else {
            ground += all;
        }
    }
    learn_altitude(h, sight, ground, up, tally);
}

static void move_body(const GbBody *start, Pull *pull, gboolean home, const GbBody *house, GbBody *body)
{
    Squares *squares = &pull->squares;
    double loose = home ? CENTRE_VAR : SQUARE(16.0), fixed = 1e-9;
    double east = home || start->centre_given ? start->east_m : house->east_m;
    double north = home || start->centre_given ? start->north_m : house->north_m;
    squares_prior(squares, 0, east, start->centre_given ? fixed : loose);
    squares_prior(squares, 1, north, start->centre_given ? fixed : loose);
    squares_prior(squares, 2, start->half_width_m, start->size_given ? fixed : home ? SIZE_VAR : 1);
    squares_prior(squares, 3, start->half_depth_m, start->size_given ? fixed : home ? SIZE_VAR : 1);
    double variance = squares_solve(squares);
    body->variance_m2 = start->centre_given ? 0 : home ? variance : variance + 1;
    if (!start->centre_given) {
        body->east_m = squares->b[0];
        body->north_m = squares->b[1];
    }
    if (!start->size_given) {
        body->half_width_m = CLAMP(squares->b[2], home ? 4 : 1.5, 20);
        body->half_depth_m = CLAMP(squares->b[3], home ? 3.5 : 1.5, 15);
    }
}

/* The turn that fits residuals best when a prior of that strength pulls back by apart. */
static double turn_by(const Pull *pull, double strength, double apart)
{
    return atan2(pull->turn_s - strength * sin(apart), pull->turn_c + strength * cos(apart));
}

/* The house turns with its headings; where its front is given, the compass is off instead. */
static void turn_house(const Pull *pull, GbHypothesis *h)
{
    GbBody *house = &h->bodies[h->dwelling];
    double strength = hypot(pull->turn_c, pull->turn_s);
    if (house->front_given) {
        h->bias_rad = CLAMP(h->bias_rad + turn_by(pull, 1 / BIAS_VAR, h->bias_rad), -BIAS_MAX, BIAS_MAX);
        h->front_var = 0;
        return;
    }
    h->front_var = MIN(strength > 0 ? 1 / strength : FRONT_UNKNOWN_VAR, FRONT_UNKNOWN_VAR);
    if (strength > 0)
        house->front_rad += turn_by(pull, 0, 0);
}

static void turn_outbuilding(const Pull *pull, const GbBody *house, GbBody *body)
{
    double tie = FRONT_TOGETHER / (COMPASS_PRIOR_VAR + off_var[0]);
    if (!body->front_given)
        body->front_rad += turn_by(pull, tie, body->front_rad - house->front_rad);
}

void gb_sight_learn(const GbFacingInput *input, const GbSight *sights, gsize n, const double *belief, const GbHypothesis *start,
                    GbHypothesis *hypothesis)
{
    GbHypothesis *h = hypothesis;
    gsize width = (input->n_places + 1) * CLASSES;
    g_autofree Pull *pulls = g_new0(Pull, h->n_bodies);
    Tally tally = { 0 };
    for (gsize t = 0; t < n; t++) {
        GbSight turned = turn_back(&sights[t], h->bias_rad);
        learn_sight(input, h, &turned, belief + t * width, pulls, &tally);
    }

    turn_house(&pulls[h->dwelling], h);
    GbBody *house = &h->bodies[h->dwelling];
    move_body(&start->bodies[h->dwelling], &pulls[h->dwelling], TRUE, house, house);
    for (gsize s = 0; s < h->n_bodies; s++) {
        if (s == h->dwelling)
            continue;
        turn_outbuilding(&pulls[s], house, &h->bodies[s]);
        move_body(&start->bodies[s], &pulls[s], FALSE, house, &h->bodies[s]);
    }
    h->compass_var = (COMPASS_PRIOR_VAR * COMPASS_PRIOR_SHOTS + tally.compass_sum) / (COMPASS_PRIOR_SHOTS + tally.compass_weight);
    h->compass_var = CLAMP(h->compass_var, SQUARE(4 * RAD), SQUARE(35 * RAD));
    if (tally.ground_weight > 0) {
        double shift = tally.ground_sum / tally.ground_weight;
        h->ground_m += shift;
        double prior = 6;
        h->altitude_var = (prior * 4 + tally.altitude_sum - tally.ground_weight * shift * shift) / (prior + tally.ground_weight);
        h->altitude_var = MAX(h->altitude_var, 0.15);
    }
}
