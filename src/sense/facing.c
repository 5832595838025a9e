/* facing.c -- from a claim's shots to suggestions. The model: facing-private.h.
 *
 * Make the shots ready, find the explanations, let each smooth all shots, and average by how well each explains them: where
 * two fronts explain the day alike, the confidence says so. Only then calibrate and put into words.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "sense/facing-private.h"

#include <gablebook/error.h>
#include <math.h>

#define CELLS_MAX 5000000 /* shots x places */
#define PLACES_MAX 500     /* the walk's table is their square */
#define RAD (G_PI / 180)
#define SQUARE(x) ((x) * (x))

/* Bounds of what can be meant; outside is unknown. */
#define FAR_M 20000.0
#define TIME_MAX_S 1e12
#define ERROR_UNSTATED_M 8.0
#define ERROR_MIN_M 1.0
#define ERROR_MAX_M 2000.0
#define ERROR_TO_SD 1.51 /* two of three lie within 1.51 standard deviations in the plane */

/* Positions taken soon after each other share most of their error; how long, and how much of it each repetition tells anew. */
#define SHARED_S 80.0
#define SHARED_GROWTH 1.2

/* Explanations: how sharply evidence divides them (real data are less independent than the model's), and how few may count. */
#define EVIDENCE_POWER 1.0
#define WEIGHT_MIN 0.01
#define EXPLANATIONS_MAX 5

struct GbFacing {
    gsize n_shots, n_places;
    GbFacingAnswer *answers;
    double *probability; /* n_shots x n_places */
    GbFacingHouse house;
};

/* --- making ready --- */

static gboolean known(double value, double most)
{
    return isfinite(value) && fabs(value) <= most;
}

static GbSight sight_of(const GbFacingInput *input, gsize i)
{
    const GbFacingShot *shot = &input->shots[i];
    GbSight sight = { .shot = i, .place = -1, .class = -1 };
    sight.has_position = known(shot->east_m, FAR_M) && known(shot->north_m, FAR_M);
    sight.has_heading = known(shot->heading_deg, 1e6);
    sight.has_altitude = known(shot->altitude_m, FAR_M);
    if (sight.has_position) {
        double error = shot->error_m > 0 ? CLAMP(shot->error_m, ERROR_MIN_M, ERROR_MAX_M) : ERROR_UNSTATED_M;
        sight.east_m = shot->east_m;
        sight.north_m = shot->north_m;
        sight.variance_m2 = SQUARE(error / ERROR_TO_SD);
    }
    if (sight.has_heading) {
        sight.look_e = sin(shot->heading_deg * RAD);
        sight.look_n = cos(shot->heading_deg * RAD);
    }
    if (sight.has_altitude)
        sight.altitude_m = shot->altitude_m;
    if (shot->place >= 0 && (gsize)shot->place < input->n_places)
        sight.place = shot->place;
    if (shot->distance >= GB_DISTANCE_OVERVIEW && shot->distance < GB_DISTANCES)
        sight.class = (int)shot->distance - GB_DISTANCE_OVERVIEW;
    return sight;
}

static gint by_time(gconstpointer a, gconstpointer b, gpointer shots)
{
    const GbSight *x = a, *y = b;
    const GbFacingShot *all = shots;
    double tx = all[x->shot].time_s, ty = all[y->shot].time_s;
    gboolean kx = known(tx, TIME_MAX_S), ky = known(ty, TIME_MAX_S);
    if (kx != ky)
        return kx ? -1 : 1;
    if (kx && tx != ty)
        return tx < ty ? -1 : 1;
    return x->shot < y->shot ? -1 : x->shot > y->shot;
}

/* One error shared by several positions counts once: grow each one's variance by how many share it. */
static void grow_shared_errors(GbSight *sights, gsize n)
{
    g_autofree double *company = g_new0(double, n);
    double run = 0;
    for (gsize i = 0; i < n; i++) {
        run *= exp(-sights[i].gap_s / SHARED_S);
        company[i] += run;
        run += sights[i].has_position;
    }
    run = 0;
    for (gsize i = n; i-- > 0;) {
        company[i] += run;
        run = (run + sights[i].has_position) * exp(-sights[i].gap_s / SHARED_S);
    }
    for (gsize i = 0; i < n; i++)
        sights[i].variance_m2 *= 1 + SHARED_GROWTH * company[i];
}

static GArray *make_ready(const GbFacingInput *input)
{
    GArray *sights = g_array_sized_new(FALSE, TRUE, sizeof(GbSight), (guint)input->n_shots);
    for (gsize i = 0; i < input->n_shots; i++) {
        GbSight sight = sight_of(input, i);
        g_array_append_val(sights, sight);
    }
    g_array_sort_with_data(sights, by_time, (gpointer)input->shots);
    double before = NAN;
    for (guint i = 0; i < sights->len; i++) {
        GbSight *sight = &g_array_index(sights, GbSight, i);
        double time_s = input->shots[sight->shot].time_s;
        gboolean timed = known(time_s, TIME_MAX_S);
        sight->gap_s = !timed ? (double)INFINITY : i > 0 ? time_s - before : 0;
        before = time_s;
    }
    grow_shared_errors((GbSight *)(void *)sights->data, sights->len);
    return sights;
}

static gsize dwelling_of(const GbFacingInput *input)
{
    for (gsize s = 0; s < input->n_structures; s++)
        if (input->structures[s].is_dwelling)
            return s;
    return 0;
}

static gboolean any_evidence(const GbSight *sights, gsize n)
{
    for (gsize i = 0; i < n; i++)
        if (sights[i].has_heading || sights[i].has_position || sights[i].place >= 0)
            return TRUE;
    return FALSE;
}

/* --- averaging --- */

static void average_weights(GPtrArray *hypotheses, double *weights)
{
    const GbHypothesis *best = hypotheses->pdata[0];
    double sum = 0;
    for (guint i = 0; i < hypotheses->len; i++) {
        const GbHypothesis *h = hypotheses->pdata[i];
        weights[i] = i < EXPLANATIONS_MAX ? exp(EVIDENCE_POWER * (h->log_evidence - best->log_evidence)) : 0;
        if (weights[i] < WEIGHT_MIN)
            weights[i] = 0;
        sum += weights[i];
    }
    for (guint i = 0; i < hypotheses->len; i++)
        weights[i] /= sum;
}

static void add_beliefs(GbFacing *facing, const GbSight *sights, const double *belief, double weight)
{
    gsize k = facing->n_places, width = (k + 1) * CLASSES;
    for (gsize t = 0; t < facing->n_shots; t++) {
        GbFacingAnswer *answer = &facing->answers[sights[t].shot];
        double *p = facing->probability + sights[t].shot * k;
        for (gsize s = 0; s < width; s++) {
            double b = weight * belief[t * width + s];
            if (s / CLASSES < k)
                p[s / CLASSES] += b;
            else
                answer->cannot_tell += b;
            answer->distance[GB_DISTANCE_OVERVIEW + s % CLASSES] += b;
        }
    }
}

static gboolean average(GbFacing *facing, const GbFacingInput *input, const GbSight *sights, GPtrArray *hypotheses,
                        const double *weights, GError **error)
{
    gsize cells = facing->n_shots * (facing->n_places + 1) * CLASSES;
    g_autofree double *emission = g_try_new(double, cells);
    g_autofree double *belief = g_try_new(double, cells);
    if (emission == NULL || belief == NULL) {
        g_set_error(error, GB_ERROR, GB_ERROR_TOO_LARGE, "there is not enough memory to suggest places for %" G_GSIZE_FORMAT " shots",
                    facing->n_shots);
        return FALSE;
    }
    for (guint i = 0; i < hypotheses->len; i++) {
        const GbHypothesis *h = hypotheses->pdata[i];
        if (!(weights[i] > 0))
            continue;
        g_autoptr(GbWalk) walk = gb_walk_new(input, h->dwelling, h->turn);
        gb_fit_smooth(input, walk, h, sights, facing->n_shots, emission, belief);
        add_beliefs(facing, sights, belief, weights[i]);
    }
    return TRUE;
}

static GbFacingHouse house_of(const GbSight *sights, gsize n, GPtrArray *hypotheses, const double *weights)
{
    const GbHypothesis *best = hypotheses->pdata[0];
    const GbBody *body = &best->bodies[best->dwelling];
    double front_var = 0, centre_var = 0;
    for (guint i = 0; i < hypotheses->len; i++) {
        const GbHypothesis *h = hypotheses->pdata[i];
        const GbBody *other = &h->bodies[h->dwelling];
        front_var += weights[i] * (h->front_var + SQUARE(remainder(other->front_rad - body->front_rad, 2 * G_PI)));
        centre_var += weights[i] * (other->variance_m2 + (SQUARE(other->east_m - body->east_m) + SQUARE(other->north_m - body->north_m)) / 2);
    }
    gboolean positions = FALSE, headings = FALSE;
    for (gsize i = 0; i < n; i++) {
        positions |= sights[i].has_position;
        headings |= sights[i].has_heading;
    }
    gboolean front = body->front_given || positions || headings, centre = body->centre_given || positions;
    return (GbFacingHouse){
        .front_azimuth_deg = front ? fmod(fmod(body->front_rad / RAD, 360) + 360, 360) : (double)NAN,
        .front_spread_deg = !front ? (double)NAN : body->front_given ? 0 : sqrt(front_var) / RAD,
        .east_m = centre ? body->east_m : (double)NAN,
        .north_m = centre ? body->north_m : (double)NAN,
        .centre_spread_m = !centre ? (double)NAN : body->centre_given ? 0 : sqrt(centre_var),
        .width_m = 2 * body->half_width_m,
        .depth_m = 2 * body->half_depth_m,
        .compass_spread_deg = headings ? sqrt(best->compass_var) / RAD : (double)NAN,
        .compass_bias_deg = best->bias_rad / RAD,
    };
}

/* --- answering --- */

/* Nothing of this shot's own, and no neighbours to lend it anything. */
static gboolean is_blank(const GbSight *sight)
{
    return !sight->has_heading && !sight->has_position && !isfinite(sight->gap_s) && sight->place < 0;
}

static void answer_nothing(GbFacing *facing, gsize shot)
{
    GbFacingAnswer *answer = &facing->answers[shot];
    for (gsize p = 0; p < facing->n_places; p++)
        facing->probability[shot * facing->n_places + p] = 0;
    *answer = (GbFacingAnswer){ .place = -1, .cannot_tell = 1, .distance = { [GB_DISTANCE_UNKNOWN] = 1 } };
}

static int best_of(const double *p, gsize n, int except)
{
    int best = -1;
    for (gsize i = 0; i < n; i++)
        if ((int)i != except && (best < 0 || p[i] > p[best]))
            best = (int)i;
    return best;
}

/* The best place gets its calibrated probability; the others and "cannot tell" share the rest as before. */
static void calibrate(GbFacing *facing, const GbSight *sight, gsize tags, gboolean front_given)
{
    gsize k = facing->n_places;
    double *p = facing->probability + sight->shot * k;
    GbFacingAnswer *answer = &facing->answers[sight->shot];
    int best = best_of(p, k, -1);
    double raw = best >= 0 ? p[best] : 0;
    if (sight->place >= 0) {
        answer->place = sight->place;
        answer->confidence = 1;
        return;
    }
    if (best < 0 || raw < answer->cannot_tell) {
        answer->place = -1;
        answer->confidence = 0;
        return;
    }
    answer->place = best;
    answer->confidence = gb_confidence_calibrate(raw, tags, front_given);
    double others = 1 - raw, factor = others > 1e-12 ? (1 - answer->confidence) / others : 0;
    for (gsize i = 0; i < k; i++)
        p[i] = (int)i == best ? answer->confidence : p[i] * factor;
    answer->cannot_tell = others > 1e-12 ? answer->cannot_tell * factor : 1 - answer->confidence;
}

static void answer_all(GbFacing *facing, const GbFacingInput *input, const GbSight *sights, const GbHypothesis *best_fit)
{
    gsize n = facing->n_shots, tags = 0;
    for (gsize t = 0; t < n; t++)
        tags += sights[t].place >= 0;
    g_autofree int *best = g_new(int, n);
    for (gsize t = 0; t < n; t++) {
        if (is_blank(&sights[t]) || best_fit == NULL)
            answer_nothing(facing, sights[t].shot);
        else
            calibrate(facing, &sights[t], tags, best_fit->bodies[best_fit->dwelling].front_given);
        best[t] = facing->answers[sights[t].shot].place;
    }
    for (gsize t = 0; t < n; t++) {
        const double *p = facing->probability + sights[t].shot * facing->n_places;
        int second = best_of(p, facing->n_places, best[t]);
        facing->answers[sights[t].shot].reason =
            gb_reason_compose(input, best_fit, sights, n, t, best, second >= 0 ? p[second] : 0, second);
    }
}

static gboolean check_input(const GbFacingInput *input, GError **error)
{
    if (input->n_places > PLACES_MAX || (input->n_places > 0 && input->n_shots > CELLS_MAX / input->n_places)) {
        g_set_error(error, GB_ERROR, GB_ERROR_TOO_LARGE,
                    "%" G_GSIZE_FORMAT " shots and %" G_GSIZE_FORMAT " places are too many to suggest places for; nothing was suggested",
                    input->n_shots, input->n_places);
        return FALSE;
    }
    for (gsize p = 0; p < input->n_places; p++) {
        const GbFacingPlace *place = &input->places[p];
        if (place->kind != GB_PLACE_SITE && (place->structure < 0 || (gsize)place->structure >= input->n_structures)) {
            g_set_error(error, GB_ERROR, GB_ERROR_STATE, "place %" G_GSIZE_FORMAT " belongs to no structure; nothing was suggested", p);
            return FALSE;
        }
    }
    return TRUE;
}

GbFacing *gb_facing_estimate(const GbFacingInput *input, GError **error)
{
    if (!check_input(input, error))
        return NULL;
    g_autoptr(GbFacing) facing = g_new0(GbFacing, 1);
    facing->n_shots = input->n_shots;
    facing->n_places = input->n_places;
    facing->answers = g_new0(GbFacingAnswer, input->n_shots);
    facing->probability = g_new0(double, input->n_shots * input->n_places);
    facing->house = (GbFacingHouse){ NAN, NAN, NAN, NAN, NAN, NAN, NAN, NAN, 0 };

    g_autoptr(GArray) ready = make_ready(input);
    const GbSight *sights = (const GbSight *)(const void *)ready->data;
    if (input->n_places == 0 || !any_evidence(sights, ready->len)) {
        answer_all(facing, input, sights, NULL);
        return g_steal_pointer(&facing);
    }
    g_autoptr(GPtrArray) hypotheses = gb_fit_hypotheses(input, sights, ready->len, dwelling_of(input));
    g_autofree double *weights = g_new0(double, hypotheses->len);
    average_weights(hypotheses, weights);
    if (!average(facing, input, sights, hypotheses, weights, error))
        return NULL;
    facing->house = house_of(sights, ready->len, hypotheses, weights);
    answer_all(facing, input, sights, hypotheses->pdata[0]);
    return g_steal_pointer(&facing);
}

const GbFacingAnswer *gb_facing_answer(const GbFacing *facing, gsize shot)
{
    g_return_val_if_fail(shot < facing->n_shots, NULL);
    return &facing->answers[shot];
}

double gb_facing_probability(const GbFacing *facing, gsize shot, gsize place)
{
    g_return_val_if_fail(shot < facing->n_shots && place < facing->n_places, NAN);
    return facing->probability[shot * facing->n_places + place];
}

const GbFacingHouse *gb_facing_house(const GbFacing *facing)
{
    return &facing->house;
}

void gb_facing_free(GbFacing *facing)
{
    if (facing == NULL)
        return;
    for (gsize i = 0; i < facing->n_shots; i++)
        g_free((char *)facing->answers[i].reason);
    g_free(facing->answers);
    g_free(facing->probability);
    g_free(facing);
}
