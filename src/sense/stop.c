/* stop.c -- see stop.h.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <gablebook/stop.h>

#include <math.h>

#define ERROR_UNKNOWN_M 5.0

static int compare_doubles(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

/* The middle one of the gaps between two shots; NAN when there is none. */
static double usual_gap(const GbStopShot *shots, gsize n)
{
    g_autofree double *gaps = g_new(double, n + 1);
    gsize count = 0;
    for (gsize i = 1; i < n; i++)
        if (shots[i].time_s >= shots[i - 1].time_s)
            gaps[count++] = shots[i].time_s - shots[i - 1].time_s;
    if (count == 0)
        return (double)NAN;
    qsort(gaps, count, sizeof *gaps, compare_doubles);
    return gaps[count / 2];
}

/* The stop that is going on: the mean of its positions so far. */
typedef struct {
    double east_m, north_m, error_m;
    guint located;
} Spot;

static double error_of(const GbStopShot *shot)
{
    return shot->error_m >= 0 ? shot->error_m : ERROR_UNKNOWN_M;
}

static gboolean is_located(const GbStopShot *shot)
{
    return isfinite(shot->east_m) && isfinite(shot->north_m);
}

static gboolean walked(const Spot *spot, const GbStopShot *shot)
{
    if (spot->located == 0 || !is_located(shot))
        return FALSE;
    double distance_m = hypot(shot->east_m - spot->east_m, shot->north_m - spot->north_m);
    return distance_m > GB_STOP_WALK_M && distance_m > spot->error_m + error_of(shot);
}

static void stay(Spot *spot, const GbStopShot *shot)
{
    if (!is_located(shot))
        return;
    double share = 1.0 / ++spot->located;
    spot->east_m += (shot->east_m - spot->east_m) * share;
    spot->north_m += (shot->north_m - spot->north_m) * share;
    spot->error_m += (error_of(shot) - spot->error_m) * share;
}

void gb_stops_number(const GbStopShot *shots, gsize n, guint *stops)
{
    double gap_s = usual_gap(shots, n);
    double pause_s = isnan(gap_s) ? GB_STOP_PAUSE_MIN_S : CLAMP(4 * gap_s, GB_STOP_PAUSE_MIN_S, GB_STOP_PAUSE_MAX_S);
    Spot spot = { 0 };
    guint stop = 0;
    for (gsize i = 0; i < n; i++) {
        gboolean timed = !isnan(shots[i].time_s), before_timed = i > 0 && !isnan(shots[i - 1].time_s);
        gboolean paused = timed && before_timed && shots[i].time_s - shots[i - 1].time_s > pause_s;
        if (i == 0 || paused || timed != before_timed || (timed && walked(&spot, &shots[i]))) {
            stop++;
            spot = (Spot){ 0 };
        }
        stay(&spot, &shots[i]);
        stops[i] = stop;
    }
}
