/* stray.c -- see stray.h.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <gablebook/stray.h>

#include <gablebook/geodesy.h>
#include <math.h>

#define ERROR_UNKNOWN_M 25.0

/* The centre of the property with most positions: the caller does not know better. */
static void find_centre(const GbVisitShot *shots, gsize n, double *lat_deg, double *lon_deg)
{
    g_autoptr(GbVisits) visits = gb_visits_split(shots, n);
    g_autofree guint *located = g_new0(guint, visits->n_properties + 1);
    const GbVisit *best = NULL;
    for (guint i = 0; i < visits->n_visits; i++)
        if (visits->visits[i].property != GB_VISIT_NO_PROPERTY)
            located[visits->visits[i].property] += visits->visits[i].located;
    for (guint i = 0; i < visits->n_visits; i++) {
        const GbVisit *v = &visits->visits[i];
        if (v->property == GB_VISIT_NO_PROPERTY)
            continue;
        guint seen = located[v->property], most = best == NULL ? 0 : located[best->property];
        if (seen > most || (best != NULL && v->property == best->property && v->located > best->located))
            best = v;
    }
    *lat_deg = best == NULL ? (double)NAN : best->lat_deg;
    *lon_deg = best == NULL ? (double)NAN : best->lon_deg;
}

static int compare_doubles(gconstpointer a, gconstpointer b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

/* The longest run of times without a long break; NAN when no time is known. */
static void find_times(const GbVisitShot *shots, gsize n, double *first_s, double *last_s)
{
    g_autoptr(GArray) times = g_array_new(FALSE, FALSE, sizeof(double));
    for (gsize i = 0; i < n; i++)
        if (isfinite(shots[i].time_s))
            g_array_append_val(times, shots[i].time_s);
    g_array_sort(times, compare_doubles);
    const double *t = (const double *)(gpointer)times->data;
    *first_s = *last_s = NAN;
    for (guint from = 0, most = 0; from < times->len;) {
        guint to = from + 1;
        while (to < times->len && t[to] - t[to - 1] < GB_VISIT_RETURN_S)
            to++;
        if (to - from > most) {
            most = to - from;
            *first_s = t[from];
            *last_s = t[to - 1];
        }
        from = to;
    }
}

static GbStray look_at(const GbVisitShot *shot, guint index, double lat_deg, double lon_deg, double first_s, double last_s)
{
    GbStray s = { .shot = index, .distance_m = gb_geodesy_line(lat_deg, lon_deg, shot->lat_deg, shot->lon_deg).distance_m };
    double error_m = shot->error_m >= 0 && isfinite(shot->error_m) ? shot->error_m : ERROR_UNKNOWN_M;
    s.allowed_m = isnan(s.distance_m) ? s.distance_m : GB_VISIT_REACH_M + 2 * error_m;
    s.apart_s = isfinite(shot->time_s) ? MAX(MAX(first_s - shot->time_s, shot->time_s - last_s), 0.0) : (double)NAN;
    s.far = s.distance_m > s.allowed_m;
    s.untimely = s.apart_s > GB_VISIT_RETURN_S;
    return s;
}

GArray *gb_strays_find(const GbVisitShot *shots, gsize n, double lat_deg, double lon_deg)
{
    GArray *strays = g_array_new(FALSE, FALSE, sizeof(GbStray));
    double first_s, last_s;
    if (isnan(lat_deg) || isnan(lon_deg))
        find_centre(shots, n, &lat_deg, &lon_deg);
    find_times(shots, n, &first_s, &last_s);
    for (gsize i = 0; i < n; i++) {
        GbStray s = look_at(&shots[i], (guint)i, lat_deg, lon_deg, first_s, last_s);
        if (s.far || s.untimely)
            g_array_append_val(strays, s);
    }
    return strays;
}
