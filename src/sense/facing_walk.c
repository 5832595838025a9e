/* facing_walk.c -- how people go round a house with a camera: a Markov chain over (place, distance), and its smoothing.
 *
 * Between two shots a person stays or moves. Staying is likely, less so after a long gap (a gap is a stop, a walk, a ladder);
 * on a roof gaps are longer. Who moves goes by preference: round the walls one way, then the roof, then outbuildings; but
 * nothing has probability zero. Arriving somewhere, people step back for the overview first, then come nearer.
 *
 * The table is places x places and does not depend on the gap, so a step costs that square and no exponentials.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "sense/facing-private.h"

#include <math.h>

typedef enum { ZONE_SITE, ZONE_WHOLE, ZONE_WALLS, ZONE_ROOF, ZONE_ROOMS, ZONES } Zone;

struct GbWalk {
    gsize n;         /* places and "none of these" */
    double *move;    /* n x n: where one goes who leaves */
    double *start;   /* n: the first shot */
    double *anywhere; /* n: a shot of which the order is unknown */
    Zone *zone;      /* n */
};

/* Chance to stay over a gap of 0, and the time over which it fades. The last line is "none of these". */
static const struct { double now, fade_s; } staying[ZONES + 1] = {
    [ZONE_SITE] = { 0.60, 150 },  [ZONE_WHOLE] = { 0.80, 200 }, [ZONE_WALLS] = { 0.95, 400 },
    [ZONE_ROOF] = { 0.90, 500 },  [ZONE_ROOMS] = { 0.92, 500 }, [ZONES] = { 0.25, 60 },
};

/* Distance of the first shot at a place, and of the next there. */
static const double arriving[CLASSES] = { 0.72, 0.18, 0.10 };
static const double next_there[CLASSES][CLASSES] = { { 0.34, 0.46, 0.20 }, { 0.12, 0.33, 0.55 }, { 0.12, 0.46, 0.42 } };

static Zone zone_of(GbPlaceKind kind)
{
    switch (kind) {
    case GB_PLACE_ELEVATION: return ZONE_WALLS;
    case GB_PLACE_ROOF:
    case GB_PLACE_SLOPE: return ZONE_ROOF;
    case GB_PLACE_ROOM: return ZONE_ROOMS;
    case GB_PLACE_WHOLE: return ZONE_WHOLE;
    default: return ZONE_SITE;
    }
}

/* How readily one goes from wall to wall: on, back, across; by the way round. */
static double around(GbFace from, GbFace to, int turn)
{
    static const double on = 1.0, back = 0.14, across = 0.14;
    int step = ((int)to - (int)from + GB_FACES) % GB_FACES;
    if (step == 2)
        return across;
    if (turn == 0)
        return (on + back) / 2;
    return (step == 1) == (turn > 0) ? on : back;
}

/* From zone to zone of the same structure, before the share of each place in it. */
static const double zone_move[ZONES][ZONES] = {
    /*                 site  whole walls roof  rooms */
    [ZONE_SITE]  = {   0.10, 0.04, 1.00, 0.15, 0.03 },
    [ZONE_WHOLE] = {   0.05, 0.05, 0.60, 0.15, 0.03 },
    [ZONE_WALLS] = {   0.04, 0.03, 1.00, 0.22, 0.03 },
    [ZONE_ROOF]  = {   0.04, 0.03, 0.30, 1.00, 0.04 },
    [ZONE_ROOMS] = {   0.04, 0.03, 0.30, 0.10, 1.00 },
};
/* To a zone of another structure: times this. From an outbuilding one comes back to the house more readily than one goes there. */
#define GO_OUT 0.12
#define COME_BACK 0.6

/* A fence has none, and is photographed as a whole; a garage is by its sides. */
static gboolean has_walls(const GbFacingInput *input, int structure)
{
    for (gsize i = 0; i < input->n_places; i++)
        if (input->places[i].kind == GB_PLACE_ELEVATION && input->places[i].structure == structure)
            return TRUE;
    return FALSE;
}

static double readiness(const GbFacingInput *input, gsize dwelling, int turn, const GbFacingPlace *from, const GbFacingPlace *to)
{
    Zone a = zone_of(from->kind), b = zone_of(to->kind);
    gboolean to_site = b == ZONE_SITE, from_site = a == ZONE_SITE;
    double weight = zone_move[a][b];
    gboolean same = to_site || (from_site ? (gsize)to->structure == dwelling : from->structure == to->structure);
    if (!same)
        weight = b == ZONE_WHOLE ? (has_walls(input, to->structure) ? 0.1 : 0.5) : b == ZONE_WALLS ? 1 : zone_move[ZONE_WALLS][b];
    if (!same)
        weight *= (gsize)to->structure == dwelling ? COME_BACK : GO_OUT;
    if (same && a == ZONE_WALLS && b == ZONE_WALLS)
        return weight * around(from->face, to->face, turn);
    if (same && from->kind == GB_PLACE_SLOPE && to->kind == GB_PLACE_SLOPE)
        return weight * (0.3 + around(from->face, to->face, turn));
    if (same && b == ZONE_WALLS && a != ZONE_WALLS) /* who comes to the walls of a house mostly begins at its front */
        return weight * (to->face != GB_FACE_FRONT ? (from_site ? 0.04 : 0.17) : from_site ? 0.88 : 0.5);
    gsize share = 0;
    for (gsize i = 0; i < input->n_places; i++)
        share += zone_of(input->places[i].kind) == b && input->places[i].structure == to->structure;
    return weight / (double)MAX(share, 1);
}

/* What the first shot of an inspection shows. */
static double first_shot(const GbFacingPlace *place, gsize dwelling)
{
    if (place->kind == GB_PLACE_SITE)
        return 3.0;
    gboolean home = (gsize)place->structure == dwelling;
    if (place->kind == GB_PLACE_ELEVATION)
        return home ? (place->face == GB_FACE_FRONT ? 2.2 : 0.08) : 0.02;
    return place->kind == GB_PLACE_WHOLE ? (home ? 0.2 : 0.02) : 0.02;
}

static void normalise(double *row, gsize n)
{
    double sum = 0;
    for (gsize i = 0; i < n; i++)
        sum += row[i];
    for (gsize i = 0; i < n; i++)
        row[i] /= sum;
}

#define TO_NONE 0.03 /* of all moves and starts lead to none of these places */

GbWalk *gb_walk_new(const GbFacingInput *input, gsize dwelling, int turn)
{
    GbWalk *walk = g_new0(GbWalk, 1);
    gsize k = input->n_places, n = k + 1;
    walk->n = n;
    walk->move = g_new0(double, n * n);
    walk->start = g_new0(double, n);
    walk->anywhere = g_new0(double, n);
    walk->zone = g_new0(Zone, n);
    double sum = 0;
    for (gsize i = 0; i < k; i++) {
        walk->zone[i] = zone_of(input->places[i].kind);
        walk->start[i] = first_shot(&input->places[i], dwelling);
        walk->anywhere[i] = walk->zone[i] == ZONE_WALLS || walk->zone[i] == ZONE_ROOF ? 1 : 0.3;
        if (walk->zone[i] != ZONE_SITE && (gsize)input->places[i].structure != dwelling)
            walk->anywhere[i] *= 0.25;
        double row = 0;
        for (gsize j = 0; j < k; j++)
            if (i != j)
                row += walk->move[i * n + j] = readiness(input, dwelling, turn, &input->places[i], &input->places[j]);
        walk->move[i * n + k] = row > 0 ? row * TO_NONE : 1;
        normalise(walk->move + i * n, n);
        sum += walk->anywhere[i];
    }
    walk->zone[k] = ZONES;
    walk->anywhere[k] = sum > 0 ? sum * TO_NONE : 1;
    memcpy(walk->move + k * n, walk->anywhere, n * sizeof(double));
    walk->move[k * n + k] = k > 0 ? 0 : 1;
    normalise(walk->move + k * n, n);
    walk->start[k] = k > 0 ? 0.08 : 1;
    normalise(walk->start, n);
    normalise(walk->anywhere, n);
    return walk;
}

void gb_walk_free(GbWalk *walk)
{
    if (walk == NULL)
        return;
    g_free(walk->move);
    g_free(walk->start);
    g_free(walk->anywhere);
    g_free(walk->zone);
    g_free(walk);
}

static void stay_chances(double gap_s, double *stay)
{
    for (guint z = 0; z <= ZONES; z++)
        stay[z] = staying[z].now * exp(-gap_s / staying[z].fade_s);
}

/* The prior of the states of sight t, given the belief in those of t - 1. */
static void predict(const GbWalk *walk, double gap_s, const double *before, double *now)
{
    gsize n = walk->n;
    double stay[ZONES + 1];
    stay_chances(gap_s, stay);
    g_autofree double *arrive = g_new0(double, n);
    for (gsize i = 0; i < n; i++) {
        const double *b = before + i * CLASSES;
        double leaving = (b[0] + b[1] + b[2]) * (1 - stay[walk->zone[i]]);
        const double *row = walk->move + i * n;
        for (gsize j = 0; j < n; j++)
            arrive[j] += leaving * row[j];
    }
    for (gsize j = 0; j < n; j++)
        for (guint c = 0; c < CLASSES; c++) {
            const double *b = before + j * CLASSES;
            double there = b[0] * next_there[0][c] + b[1] * next_there[1][c] + b[2] * next_there[2][c];
            now[j * CLASSES + c] = arrive[j] * arriving[c] + stay[walk->zone[j]] * there;
        }
}

static void spread_out(const double *places, gsize n, double *now)
{
    for (gsize j = 0; j < n; j++)
        for (guint c = 0; c < CLASSES; c++)
            now[j * CLASSES + c] = places[j] * arriving[c];
}

/* Messages of the later shots: after are those of t + 1 already times its densities; now become those of t. */
static void look_back(const GbWalk *walk, double gap_s, const double *after, double *now)
{
    gsize n = walk->n;
    double stay[ZONES + 1];
    stay_chances(gap_s, stay);
    g_autofree double *arrive = g_new(double, n);
    for (gsize j = 0; j < n; j++) {
        const double *a = after + j * CLASSES;
        arrive[j] = a[0] * arriving[0] + a[1] * arriving[1] + a[2] * arriving[2];
    }
    for (gsize i = 0; i < n; i++) {
        const double *row = walk->move + i * n, *a = after + i * CLASSES;
        double left = 0, s = stay[walk->zone[i]];
        for (gsize j = 0; j < n; j++)
            left += row[j] * arrive[j];
        for (guint c = 0; c < CLASSES; c++)
            now[i * CLASSES + c] =
                (1 - s) * left + s * (next_there[c][0] * a[0] + next_there[c][1] * a[1] + next_there[c][2] * a[2]);
    }
}

static double scale_to_one(double *values, gsize n)
{
    double sum = 0;
    for (gsize i = 0; i < n; i++)
        sum += values[i];
    if (!(sum > 0)) { /* the densities have a floor, so only underflow leads here: then nothing was learnt */
        for (gsize i = 0; i < n; i++)
            values[i] = 1 / (double)n;
        return 1e-300;
    }
    for (gsize i = 0; i < n; i++)
        values[i] /= sum;
    return sum;
}

double gb_walk_smooth(const GbWalk *walk, const GbSight *sights, gsize n, double *emission, double *belief)
{
    gsize width = walk->n * CLASSES;
    double log_likelihood = 0;
    for (gsize t = 0; t < n; t++) {
        double *now = belief + t * width, *e = emission + t * width;
        if (t > 0 && isfinite(sights[t].gap_s))
            predict(walk, sights[t].gap_s, now - width, now);
        else
            spread_out(isfinite(sights[t].gap_s) ? walk->start : walk->anywhere, walk->n, now);
        for (gsize s = 0; s < width; s++)
            now[s] *= e[s];
        log_likelihood += log(scale_to_one(now, width));
    }
    g_autofree double *later = g_new(double, width);
    for (gsize t = n; t-- > 1;) {
        if (!isfinite(sights[t].gap_s)) /* nothing to hand on; later holds that of nobody */
            continue;
        double *after = emission + t * width, *now = belief + (t - 1) * width;
        look_back(walk, sights[t].gap_s, after, later);
        scale_to_one(later, width);
        for (gsize s = 0; s < width; s++) {
            now[s] *= later[s];
            emission[(t - 1) * width + s] *= later[s];
        }
        scale_to_one(now, width);
        scale_to_one(emission + (t - 1) * width, width);
    }
    return log_likelihood;
}
