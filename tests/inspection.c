/* inspection.c -- see inspection.h.
 *
 * The house's own frame: f metres towards the street, r metres towards the right hand of who faces the front, from the middle.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "inspection.h"

#include <gablebook/geodesy.h>
#include <gablebook/magnetic.h>
#include <math.h>

#define RAD (G_PI / 180)

/* A thing with four walls, in the world. */
typedef struct {
    double front_deg, east_m, north_m;
    double half_width, half_depth;
    double wing_out, wing_from, wing_to; /* a part of the front wall stands out */
    double room[GB_FACES];               /* how far one can step back */
    double eave_m;
} House;

typedef struct {
    GRand *rand;
    Inspection *out;
    House house, garage;
    double time_s;
    double share_s; /* for how long errors hang together */
    double gps_e, gps_n, gps_up, compass; /* present errors */
    double bias_deg, altitude_sd;
    gboolean altitudes, states_error, dark; /* dark: in a run without GPS */
    double without_gps;
} Walker;

static double uniform(Walker *w, double low, double high)
{
    return g_rand_double_range(w->rand, low, high);
}

static gboolean chance(Walker *w, double p)
{
    return g_rand_double(w->rand) < p;
}

static double normal(Walker *w, double sd)
{
    double u = 1 - g_rand_double(w->rand), v = g_rand_double(w->rand);
    return sd * sqrt(-2 * log(u)) * cos(2 * G_PI * v);
}

static double or_drawn(Walker *w, double fixed, double low, double high)
{
    double drawn = uniform(w, low, high);
    return isnan(fixed) ? drawn : fixed;
}

static int place_of(const Inspection *out, GbPlaceKind kind, int structure, GbFace face)
{
    for (guint i = 0; i < out->places->len; i++) {
        const GbFacingPlace *p = &g_array_index(out->places, GbFacingPlace, i);
        gboolean faced = kind == GB_PLACE_ELEVATION || kind == GB_PLACE_SLOPE;
        if (p->kind == kind && p->structure == structure && (!faced || p->face == face))
            return (int)i;
    }
    return -1;
}

static void add_place(Inspection *out, GbPlaceKind kind, int structure, GbFace face)
{
    GbFacingPlace place = { kind, face, structure };
    g_array_append_val(out->places, place);
}

static void add_structure(Inspection *out, const char *name, gboolean dwelling, double front_deg)
{
    GbFacingStructure s = { name, dwelling, front_deg, NAN, NAN, NAN, NAN };
    g_array_append_val(out->structures, s);
}

/* --- taking one shot --- */

/* The errors of the moment wander. */
static void wander(Walker *w, double seconds)
{
    double keep = exp(-seconds / w->share_s), fresh = sqrt(1 - keep * keep);
    double sd = w->out->error_m / 1.51;
    w->gps_e = keep * w->gps_e + fresh * normal(w, sd);
    w->gps_n = keep * w->gps_n + fresh * normal(w, sd);
    w->gps_up = keep * w->gps_up + fresh * normal(w, w->altitude_sd);
    w->compass = keep * w->compass + fresh * normal(w, w->out->compass_deg * 0.6);
    if (chance(w, 0.25)) /* runs of four, on average */
        w->dark = chance(w, w->without_gps);
}

static void wait_for(Walker *w, double seconds)
{
    if (chance(w, 0.05))
        seconds += uniform(w, 100, 900); /* a talk, a call, a note */
    w->time_s += seconds;
    wander(w, seconds);
}

/* Stand at (e, n), so high, and look that way. */
static void shoot(Walker *w, int place, GbDistance distance, double e, double n, double up, double heading_deg)
{
    if (place < 0)
        return;
    Inspection *out = w->out;
    GbFacingShot shot = { .number = out->shots->len + 1, .time_s = w->time_s, .place = -1,
                          .east_m = NAN, .north_m = NAN, .error_m = NAN, .altitude_m = NAN, .heading_deg = NAN };
    double wild = chance(w, 0.015) ? 3 : 1;
    if (!w->dark) {
        shot.east_m = e + wild * w->gps_e + normal(w, 0.3);
        shot.north_m = n + wild * w->gps_n + normal(w, 0.3);
        if (w->states_error)
            shot.error_m = out->error_m * exp(normal(w, 0.25));
        if (w->altitudes)
            shot.altitude_m = 250 + up + w->gps_up + normal(w, 0.4);
    }
    if (chance(w, w->dark ? 0.3 : 0.95)) {
        double off = w->bias_deg + w->compass + normal(w, out->compass_deg * 0.7);
        shot.heading_deg = fmod((chance(w, 0.02) ? uniform(w, 0, 360) : heading_deg + off) + 720, 360);
    }
    g_array_append_val(out->shots, shot);
    g_array_append_val(out->truth, place);
    g_array_append_val(out->distance, distance);
}

/* From (f, r) of a house to the world. */
static void to_world(const House *h, double f, double r, double *e, double *n)
{
    double front = h->front_deg * RAD, right = front - G_PI / 2;
    *e = h->east_m + f * sin(front) + r * sin(right);
    *n = h->north_m + f * cos(front) + r * cos(right);
}

/* From (out of the wall, across it to its front's right hand side ...) of a face to (f, r); out counts from the middle. */
static void to_frame(GbFace face, double out, double across, double *f, double *r)
{
    *f = face == GB_FACE_FRONT ? out : face == GB_FACE_REAR ? -out : across;
    *r = face == GB_FACE_RIGHT ? out : face == GB_FACE_LEFT ? -out : across;
}

static void shoot_towards(Walker *w, int place, GbDistance distance, const House *h, GbFace face, const double camera[2],
                          const double target[2], double up, double off_deg)
{
    double f, r, e, n, te, tn;
    to_frame(face, camera[0], camera[1], &f, &r);
    to_world(h, f, r, &e, &n);
    to_frame(face, target[0], target[1], &f, &r);
    to_world(h, f, r, &te, &tn);
    shoot(w, place, distance, e, n, up, atan2(te - e, tn - n) / RAD + off_deg);
}

static gboolean is_along(GbFace face)
{
    return face == GB_FACE_FRONT || face == GB_FACE_REAR;
}

static double half_across(const House *h, GbFace face)
{
    return is_along(face) ? h->half_width : h->half_depth;
}

/* Where the wall is at that spot: the wing stands out. */
static double wall_at(const House *h, GbFace face, double across)
{
    double half = is_along(face) ? h->half_depth : h->half_width;
    return half + (face == GB_FACE_FRONT && across > h->wing_from && across < h->wing_to ? h->wing_out : 0);
}

/* --- what people do at a wall --- */

static void overview(Walker *w, const House *h, int place, GbFace face)
{
    double half = half_across(h, face);
    double away = MIN(h->room[face], uniform(w, 6, 16)) + (is_along(face) ? h->half_depth : h->half_width);
    double camera[] = { away, uniform(w, -0.4, 0.4) * half }, target[] = { 0.5 * away, uniform(w, -0.3, 0.3) * half };
    shoot_towards(w, place, GB_DISTANCE_OVERVIEW, h, face, camera, target, 1.5, normal(w, 4));
}

static void corner(Walker *w, const House *h, int place, GbFace face)
{
    double half = half_across(h, face), side = chance(w, 0.5) ? 1 : -1;
    double camera[] = { wall_at(h, face, 0) + MIN(h->room[face], uniform(w, 2, 9)), side * (half + uniform(w, 1, 7)) };
    double target[] = { wall_at(h, face, 0) * uniform(w, 0.5, 1), side * half * uniform(w, -0.2, 0.9) };
    shoot_towards(w, place, GB_DISTANCE_OVERVIEW, h, face, camera, target, 1.5, normal(w, 5));
}

static double off_axis(Walker *w)
{
    return chance(w, 0.15) ? uniform(w, -40, 40) : 40 * (uniform(w, 0, 1) + uniform(w, 0, 1) - 1);
}

static void item_at(Walker *w, const House *h, int place, GbFace face, GbDistance distance, double across)
{
    double away = distance == GB_DISTANCE_MID ? MIN(uniform(w, 1.8, 6), h->room[face]) : uniform(w, 0.4, 1.6);
    double angle = off_axis(w) * RAD, wall = wall_at(h, face, across);
    double camera[] = { wall + away * cos(angle), across + away * sin(angle) }, target[] = { wall, across };
    double off = chance(w, 0.04) ? uniform(w, -180, 180) : normal(w, distance == GB_DISTANCE_MID ? 5 : 9);
    shoot_towards(w, place, distance, h, face, camera, target, 1.3, off);
}

static void item(Walker *w, const House *h, int place, GbFace face)
{
    double across = uniform(w, -0.95, 0.95) * half_across(h, face);
    if (chance(w, 0.8)) {
        item_at(w, h, place, face, GB_DISTANCE_MID, across);
        wait_for(w, uniform(w, 4, 30));
    }
    for (int closes = g_rand_int_range(w->rand, 1, 3); closes > 0; closes--) {
        item_at(w, h, place, face, GB_DISTANCE_CLOSE, across);
        wait_for(w, uniform(w, 2, 25));
    }
}

/* Something of the next side, seen from this one's corner. */
static void detour(Walker *w, const House *h, int structure, GbFace face)
{
    GbFace other = (face + (chance(w, 0.5) ? 1 : 3)) % GB_FACES;
    item_at(w, h, place_of(w->out, GB_PLACE_ELEVATION, structure, other), other, GB_DISTANCE_MID,
            uniform(w, 0.6, 0.95) * half_across(h, other) * (chance(w, 0.5) ? 1 : -1));
    wait_for(w, uniform(w, 5, 30));
}

static void side(Walker *w, const House *h, int structure, GbFace face, int items)
{
    int place = place_of(w->out, GB_PLACE_ELEVATION, structure, face);
    gboolean first = chance(w, 0.85);
    for (int i = 0; i < 2; i++) {
        if (first == (i == 0)) {
            overview(w, h, place, face);
            wait_for(w, uniform(w, 8, 50));
            for (int corners = g_rand_int_range(w->rand, 0, structure == 0 ? 3 : 1 + chance(w, 0.3)); corners > 0; corners--) {
                corner(w, h, place, face);
                wait_for(w, uniform(w, 8, 45));
            }
        } else {
            for (int left = items; left > 0; left--) {
                item(w, h, place, face);
                wait_for(w, uniform(w, 5, 60));
            }
        }
    }
    if (structure == 0 && chance(w, 0.12))
        detour(w, h, structure, face);
}

/* --- the other parts of the day --- */

static void address(Walker *w)
{
    double camera[] = { w->house.half_depth + uniform(w, 6, 25), uniform(w, -12, 12) };
    double target[] = { w->house.half_depth, uniform(w, -6, 6) };
    double off = chance(w, 0.4) ? uniform(w, -180, 180) : uniform(w, -40, 40);
    shoot_towards(w, place_of(w->out, GB_PLACE_SITE, -1, 0), GB_DISTANCE_MID, &w->house, GB_FACE_FRONT, camera, target, 1.5, off);
    wait_for(w, uniform(w, 15, 90));
}

static void slope_shot(Walker *w, GbFace face, GbDistance distance)
{
    const House *h = &w->house;
    int place = place_of(w->out, GB_PLACE_SLOPE, 0, face);
    double half_out = is_along(face) ? h->half_depth : h->half_width, out = uniform(w, 0.08, 0.95);
    double camera[] = { out * half_out, uniform(w, -0.85, 0.85) * half_across(h, face) * (1 - 0.35 * (1 - out)) };
    double way = chance(w, 0.35) ? 90 : chance(w, 0.5) ? 180 : chance(w, 0.5) ? 0 : uniform(w, 0, 360);
    double target[] = { 0, camera[1] };
    shoot_towards(w, place, distance, h, face, camera, target, 1.4 + h->eave_m + (1 - out) * half_out * 0.5,
                  way * (chance(w, 0.5) ? 1 : -1) + normal(w, 20));
    wait_for(w, uniform(w, 8, 110));
}

static void roof_shot(Walker *w)
{
    double camera[] = { uniform(w, -0.3, 0.3) * w->house.half_depth, uniform(w, -0.9, 0.9) * w->house.half_width };
    double target[] = { camera[0] + 1, camera[1] };
    shoot_towards(w, place_of(w->out, GB_PLACE_ROOF, 0, 0), GB_DISTANCE_MID, &w->house, GB_FACE_FRONT, camera, target,
                  w->house.eave_m + 3.5, uniform(w, -180, 180));
    wait_for(w, uniform(w, 8, 110));
}

static void roof(Walker *w, gboolean hip, gboolean front_and_rear)
{
    wait_for(w, uniform(w, 120, 500));
    int first = g_rand_int_range(w->rand, 0, GB_FACES), step = chance(w, 0.7) ? 1 : 3;
    for (int i = 0; i < GB_FACES; i++) {
        GbFace face = (GbFace)((first + i * step) % GB_FACES);
        if (!hip && is_along(face) != front_and_rear)
            continue;
        slope_shot(w, face, GB_DISTANCE_OVERVIEW);
        for (int more = g_rand_int_range(w->rand, 2, 7); more > 0; more--)
            slope_shot(w, face, chance(w, 0.35) ? GB_DISTANCE_MID : GB_DISTANCE_CLOSE);
        if (chance(w, 0.3))
            roof_shot(w);
        wait_for(w, uniform(w, 10, 150));
    }
    wait_for(w, uniform(w, 60, 300));
}

static void outbuildings(Walker *w, gboolean garage, gboolean fence)
{
    wait_for(w, uniform(w, 20, 120));
    int first = g_rand_int_range(w->rand, 0, GB_FACES);
    for (int i = 0, sides = garage ? g_rand_int_range(w->rand, 1, 5) : 0; i < sides; i++) {
        side(w, &w->garage, 1, (GbFace)((first + i) % GB_FACES), chance(w, 0.5) ? 1 : 0);
        wait_for(w, uniform(w, 10, 60));
    }
    for (int i = 0, shots = fence ? g_rand_int_range(w->rand, 1, 5) : 0; i < shots; i++) {
        double camera[] = { w->house.half_depth + uniform(w, 2, 18), uniform(w, -16, 16) }, target[] = { camera[0] + 5, camera[1] };
        shoot_towards(w, place_of(w->out, GB_PLACE_WHOLE, garage ? 2 : 1, 0), GB_DISTANCE_MID, &w->house, GB_FACE_REAR, camera, target,
                      1.4, uniform(w, -110, 110));
        wait_for(w, uniform(w, 8, 60));
    }
}

static void inside(Walker *w)
{
    wait_for(w, uniform(w, 60, 400));
    for (int shots = g_rand_int_range(w->rand, 3, 8); shots > 0; shots--) {
        double camera[] = { uniform(w, -0.7, 0.7) * w->house.half_depth, uniform(w, -0.7, 0.7) * w->house.half_width };
        double target[] = { camera[0] + 1, camera[1] };
        shoot_towards(w, place_of(w->out, GB_PLACE_ROOM, 0, 0), GB_DISTANCE_MID, &w->house, GB_FACE_FRONT, camera, target, 1.5,
                      uniform(w, -180, 180));
        wait_for(w, uniform(w, 8, 60));
    }
}

/* --- a property --- */

static House house_new(Walker *w)
{
    House h = { .front_deg = uniform(w, 0, 360), .east_m = uniform(w, -60, 60), .north_m = uniform(w, -60, 60) };
    h.half_width = uniform(w, 5, 12);
    h.half_depth = uniform(w, 4, 7.5);
    h.eave_m = uniform(w, 2.4, 5.5);
    h.room[GB_FACE_FRONT] = uniform(w, 8, 25);
    h.room[GB_FACE_REAR] = uniform(w, 5, 20);
    h.room[GB_FACE_RIGHT] = uniform(w, 2.5, 11);
    h.room[GB_FACE_LEFT] = uniform(w, 2.5, 11);
    if (chance(w, 0.5)) {
        h.wing_out = uniform(w, 1, 5);
        h.wing_from = uniform(w, -1, 0.4) * h.half_width;
        h.wing_to = h.wing_from + uniform(w, 0.4, 0.9) * h.half_width;
    }
    return h;
}

static House garage_new(Walker *w)
{
    House g = { .half_width = uniform(w, 2, 3.6), .half_depth = uniform(w, 2.5, 3.8), .eave_m = 2.4 };
    for (guint i = 0; i < GB_FACES; i++)
        g.room[i] = uniform(w, 4, 9);
    double askew = chance(w, 0.65) ? 0 : chance(w, 0.5) ? (chance(w, 0.5) ? 90 : -90) : uniform(w, -180, 180);
    g.front_deg = w->house.front_deg + askew;
    double r = (w->house.half_width + uniform(w, -8, 7)) * (chance(w, 0.5) ? 1 : -1);
    to_world(&w->house, -w->house.half_depth - uniform(w, 5, 16), r, &g.east_m, &g.north_m);
    return g;
}

static void list_places(Inspection *out, gboolean hip, gboolean front_and_rear, gboolean rooms, gboolean garage, gboolean fence)
{
    add_place(out, GB_PLACE_SITE, -1, 0);
    add_place(out, GB_PLACE_WHOLE, 0, 0);
    for (GbFace f = 0; f < GB_FACES; f++)
        add_place(out, GB_PLACE_ELEVATION, 0, f);
    add_place(out, GB_PLACE_ROOF, 0, 0);
    for (GbFace f = 0; f < GB_FACES; f++)
        if (hip || is_along(f) == front_and_rear)
            add_place(out, GB_PLACE_SLOPE, 0, f);
    if (rooms)
        add_place(out, GB_PLACE_ROOM, 0, 0);
    if (garage) {
        add_structure(out, "garage", FALSE, NAN);
        add_place(out, GB_PLACE_WHOLE, 1, 0);
        for (GbFace f = 0; f < GB_FACES; f++)
            add_place(out, GB_PLACE_ELEVATION, 1, f);
        add_place(out, GB_PLACE_ROOF, 1, 0);
        add_place(out, GB_PLACE_SLOPE, 1, GB_FACE_RIGHT);
        add_place(out, GB_PLACE_SLOPE, 1, GB_FACE_LEFT);
    }
    if (fence) {
        add_structure(out, "fence", FALSE, NAN);
        add_place(out, GB_PLACE_WHOLE, garage ? 2 : 1, 0);
    }
}

/* The order of the sides: mostly the usual one. */
static void choose_order(Walker *w, GbFace *order)
{
    static const GbFace orders[][GB_FACES] = {
        { GB_FACE_FRONT, GB_FACE_RIGHT, GB_FACE_REAR, GB_FACE_LEFT },
        { GB_FACE_FRONT, GB_FACE_LEFT, GB_FACE_REAR, GB_FACE_RIGHT },
        { GB_FACE_FRONT, GB_FACE_REAR, GB_FACE_RIGHT, GB_FACE_LEFT },
    };
    double u = g_rand_double(w->rand);
    memcpy(order, orders[u < 0.66 ? 0 : u < 0.84 ? 1 : 2], sizeof orders[0]);
    if (u < 0.95)
        return;
    for (int i = GB_FACES - 1; i > 0; i--) {
        int j = g_rand_int_range(w->rand, 0, i + 1);
        GbFace swap = order[i];
        order[i] = order[j];
        order[j] = swap;
    }
}

static int items_here(Walker *w)
{
    return g_rand_int_range(w->rand, 0, 3) + g_rand_int_range(w->rand, 0, 3);
}

static void go_round(Walker *w, gboolean out_between, gboolean garage, gboolean fence)
{
    GbFace order[GB_FACES];
    choose_order(w, order);
    int between = g_rand_int_range(w->rand, 0, 3);
    for (int i = 0; i < GB_FACES; i++) {
        if (chance(w, 0.97)) /* a side can be behind a fence with a dog */
            side(w, &w->house, 0, order[i], items_here(w));
        wait_for(w, uniform(w, 15, 150));
        if (out_between && i == between)
            outbuildings(w, garage, fence);
    }
}

static void whole_day(Walker *w, gboolean hip, gboolean front_and_rear, gboolean rooms, gboolean garage, gboolean fence)
{
    double roof_when = g_rand_double(w->rand), out_when = g_rand_double(w->rand);
    gboolean has_roof = chance(w, 0.88);
    if (chance(w, 0.75))
        address(w);
    if (has_roof && roof_when < 0.12)
        roof(w, hip, front_and_rear);
    go_round(w, out_when < 0.25, garage, fence);
    if (out_when >= 0.25 && out_when < 0.85)
        outbuildings(w, garage, fence);
    if (has_roof && roof_when >= 0.12)
        roof(w, hip, front_and_rear);
    if (out_when >= 0.85)
        outbuildings(w, garage, fence);
    if (rooms)
        inside(w);
    if (chance(w, 0.2)) {
        GbFace face = (GbFace)g_rand_int_range(w->rand, 0, GB_FACES);
        item(w, &w->house, place_of(w->out, GB_PLACE_ELEVATION, 0, face), face);
    }
}

static Inspection *inspection_empty(void)
{
    Inspection *out = g_new0(Inspection, 1);
    out->shots = g_array_new(FALSE, FALSE, sizeof(GbFacingShot));
    out->truth = g_array_new(FALSE, FALSE, sizeof(int));
    out->distance = g_array_new(FALSE, FALSE, sizeof(GbDistance));
    out->places = g_array_new(FALSE, FALSE, sizeof(GbFacingPlace));
    out->structures = g_array_new(FALSE, FALSE, sizeof(GbFacingStructure));
    return out;
}

static void walker_start(Walker *w, guint32 seed, const InspectionKind *kind)
{
    Inspection *out = w->out = inspection_empty();
    w->rand = g_rand_new_with_seed(seed);
    out->error_m = or_drawn(w, kind->error_m, 3, 15);
    out->compass_deg = or_drawn(w, kind->compass_deg, 5, 25);
    w->without_gps = or_drawn(w, kind->without_gps, 0, 0.4);
    w->share_s = uniform(w, 30, 120);
    w->altitude_sd = uniform(w, 0.5, 4);
    w->altitudes = chance(w, 0.7);
    w->states_error = chance(w, 0.85);
    w->bias_deg = normal(w, 0.4 * out->compass_deg);
    w->dark = chance(w, w->without_gps);
    w->time_s = 1.7e9 + uniform(w, 0, 1e6);
    wander(w, 1e6);
    w->house = house_new(w);
    w->garage = garage_new(w);
    out->front_deg = w->house.front_deg;
    out->east_m = w->house.east_m;
    out->north_m = w->house.north_m;
}

Inspection *inspection_new(guint32 seed, const InspectionKind *kind)
{
    Walker w = { 0 };
    walker_start(&w, seed, kind);
    gboolean hip = chance(&w, 0.5), front_and_rear = chance(&w, 0.7), rooms = chance(&w, 0.15), garage = chance(&w, 0.55);
    gboolean fence = chance(&w, 0.4);
    add_structure(w.out, "house", TRUE, kind->front_given ? w.out->front_deg : (double)NAN);
    list_places(w.out, hip, front_and_rear, rooms, garage, fence);
    whole_day(&w, hip, front_and_rear, rooms, garage, fence);
    g_rand_free(w.rand);
    return w.out;
}

Inspection *inspection_long(guint32 seed, gsize shots)
{
    Walker w = { 0 };
    walker_start(&w, seed, &(InspectionKind){ 5, 10, 0.1, FALSE });
    add_structure(w.out, "house", TRUE, NAN);
    list_places(w.out, TRUE, TRUE, FALSE, TRUE, TRUE);
    while (w.out->shots->len < shots)
        whole_day(&w, TRUE, TRUE, FALSE, TRUE, TRUE);
    g_array_set_size(w.out->shots, (guint)shots);
    g_rand_free(w.rand);
    return w.out;
}

/* --- the demo card --- */

enum { CSV_FILE, CSV_PLACE, CSV_PROPERTY = 4, CSV_COLUMNS = 12 };

#define DEMO_LATITUDE 38.7312 /* about the middle of the first property */
#define DEMO_LONGITUDE (-97.4121)

static void demo_structure(Inspection *demo, const char *name, gboolean dwelling, gboolean all)
{
    int structure = (int)demo->structures->len;
    GbFacingStructure s = { name, dwelling, NAN, NAN, NAN, NAN, NAN };
    g_array_append_val(demo->structures, s);
    GbFacingPlace place = { GB_PLACE_WHOLE, 0, structure };
    g_array_append_val(demo->places, place);
    for (GbFace f = 0; all && f < GB_FACES; f++) {
        place = (GbFacingPlace){ GB_PLACE_ELEVATION, f, structure };
        g_array_append_val(demo->places, place);
    }
    for (GbFace f = 0; all && f < GB_FACES; f++) {
        place = (GbFacingPlace){ GB_PLACE_SLOPE, f, structure };
        if (dwelling || f == GB_FACE_RIGHT || f == GB_FACE_LEFT)
            g_array_append_val(demo->places, place);
    }
    place = (GbFacingPlace){ GB_PLACE_ROOF, 0, structure };
    if (all)
        g_array_append_val(demo->places, place);
}

static int demo_place(const Inspection *demo, const char *label)
{
    for (guint i = 0; i < demo->places->len; i++) {
        const GbFacingPlace *p = &g_array_index(demo->places, GbFacingPlace, i);
        const GbFacingStructure *s = &g_array_index(demo->structures, GbFacingStructure, MAX(p->structure, 0));
        g_autofree char *own = gb_place_label(p->kind, s->name, s->is_dwelling, p->face, NULL);
        if (g_str_equal(own, label))
            return (int)i;
    }
    return -1;
}

static const GbCardPhoto *find_photo(const GbCard *card, const char *name)
{
    for (guint i = 0; i < card->photos->len; i++) {
        const GbCardPhoto *photo = card->photos->pdata[i];
        g_autofree char *base = g_path_get_basename(photo->path);
        if (g_str_equal(base, name))
            return photo;
    }
    return NULL;
}

static double true_heading(const GbCardPhoto *photo, const GbPlane *plane)
{
    GbMagnetic field;
    if (photo->exif.heading_ref != 'M')
        return photo->exif.heading_deg;
    gb_magnetic_field(plane->lat_deg, plane->lon_deg, NAN, gb_magnetic_year(photo->time.utc_s), &field, NULL);
    return gb_magnetic_to_true(photo->exif.heading_deg, field.declination_deg);
}

/* A shot as its photo carries it, with what it truly shows. */
static void demo_shot(Inspection *demo, char **column, const GbCardPhoto *photo)
{
    GbPlane plane;
    int truth = demo_place(demo, column[CSV_PLACE]);
    GbDistance distance = GB_DISTANCE_UNKNOWN;
    if (truth < 0 || photo == NULL)
        return;
    GbFacingShot shot = { .number = demo->shots->len + 1, .place = -1, .time_s = photo->time.utc_s, .error_m = photo->exif.position_error_m,
                          .altitude_m = photo->exif.alt_m };
    gb_plane_init(&plane, DEMO_LATITUDE, DEMO_LONGITUDE);
    gb_plane_metres(&plane, photo->exif.lat_deg, photo->exif.lon_deg, &shot.east_m, &shot.north_m);
    shot.heading_deg = true_heading(photo, &plane);
    g_array_append_val(demo->shots, shot);
    g_array_append_val(demo->truth, truth);
    g_array_append_val(demo->distance, distance);
}

Inspection *inspection_demo(const char *text, const GbCard *card)
{
    Inspection *demo = inspection_empty();
    GbFacingPlace site = { GB_PLACE_SITE, 0, -1 };
    g_array_append_val(demo->places, site);
    demo_structure(demo, "dwelling", TRUE, TRUE);
    demo_structure(demo, "garage", FALSE, TRUE);
    demo_structure(demo, "fence", FALSE, FALSE);
    demo->front_deg = 205;
    g_auto(GStrv) lines = g_strsplit(text, "\n", -1);
    for (guint i = 1; lines[i] != NULL; i++) {
        g_auto(GStrv) column = g_strsplit(g_strchomp(lines[i]), ",", -1);
        if (g_strv_length(column) == CSV_COLUMNS && g_str_equal(column[CSV_PROPERTY], "1"))
            demo_shot(demo, column, find_photo(card, column[CSV_FILE]));
    }
    return demo;
}

GbFacingInput inspection_input(const Inspection *inspection)
{
    return (GbFacingInput){
        .shots = (const GbFacingShot *)(const void *)inspection->shots->data,
        .n_shots = inspection->shots->len,
        .structures = (const GbFacingStructure *)(const void *)inspection->structures->data,
        .n_structures = inspection->structures->len,
        .places = (const GbFacingPlace *)(const void *)inspection->places->data,
        .n_places = inspection->places->len,
    };
}

gboolean inspection_is_elevation(const Inspection *inspection, gsize shot)
{
    int place = g_array_index(inspection->truth, int, shot);
    const GbFacingPlace *p = &g_array_index(inspection->places, GbFacingPlace, place);
    return p->kind == GB_PLACE_ELEVATION && p->structure == 0;
}

static int least_sure(const Inspection *inspection, const GbFacing *facing)
{
    int least = -1;
    for (guint i = 0; i < inspection->shots->len; i++) {
        if (g_array_index(inspection->shots, GbFacingShot, i).place >= 0)
            continue;
        double confidence = gb_facing_answer(facing, i)->confidence;
        if (least < 0 || confidence < gb_facing_answer(facing, (gsize)least)->confidence)
            least = (int)i;
    }
    return least;
}

void inspection_tag(Inspection *inspection, gsize more, const GbFacing *facing, guint32 seed)
{
    g_autoptr(GRand) rand = g_rand_new_with_seed(seed);
    for (guint tries = 0; more > 0 && tries < 10000; tries++) {
        int i = facing != NULL ? least_sure(inspection, facing) : g_rand_int_range(rand, 0, (gint32)inspection->shots->len);
        if (i < 0)
            return;
        GbFacingShot *shot = &g_array_index(inspection->shots, GbFacingShot, i);
        if (shot->place >= 0)
            continue;
        shot->place = g_array_index(inspection->truth, int, i);
        more--;
    }
}

void inspection_free(Inspection *inspection)
{
    if (inspection == NULL)
        return;
    g_array_unref(inspection->shots);
    g_array_unref(inspection->truth);
    g_array_unref(inspection->distance);
    g_array_unref(inspection->places);
    g_array_unref(inspection->structures);
    g_free(inspection);
}
