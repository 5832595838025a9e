/* magnetic.c -- see magnetic.h.
 *
 * The model is a series of spherical harmonics, written from its public description: place to geocentric latitude and radius,
 * Schmidt semi-normalised Legendre functions by recursion over the degree, sum, turn the answer back to the ellipsoid's vertical.
 * For orders above 0 the recursion carries P / sin(colatitude): the east part needs that quotient, and at a pole it exists where a
 * division would not.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <gablebook/magnetic.h>

#include <gablebook/error.h>
#include <gablebook/measure.h>
#include <math.h>

#include "sense/magnetic-private.h"

#define SHIFT (GB_WMM_DEGREE + 1)

static const double reference_radius_m = 6371200.0;
static const double semi_major_m = 6378137.0, flattening = 1 / 298.257223563;

/* Functions of the geocentric colatitude, index [n][m]: q is P for m = 0 and P / sin for the others; slope is dP by the colatitude. */
typedef struct {
    double q[SHIFT][SHIFT], slope[SHIFT][SHIFT];
} Legendre;

typedef struct {
    double north, east, down;
} Vector;

/* P itself. */
static double full(const Legendre *l, int n, int m, double sine)
{
    return m == 0 ? l->q[n][m] : l->q[n][m] * sine;
}

/* The functions on the diagonal n = m start each order. */
static void fill_diagonal(Legendre *l, double cosine, double sine)
{
    l->q[0][0] = 1;
    l->q[1][1] = 1;
    l->slope[1][1] = cosine;
    for (int m = 2; m < SHIFT; m++) {
        double f = sqrt((2.0 * m - 1) / (2.0 * m));
        l->q[m][m] = f * sine * l->q[m - 1][m - 1];
        l->slope[m][m] = f * (cosine * full(l, m - 1, m - 1, sine) + sine * l->slope[m - 1][m - 1]);
    }
}

static void fill(Legendre *l, double cosine, double sine)
{
    *l = (Legendre){ 0 };
    fill_diagonal(l, cosine, sine);
    for (int m = 0; m < SHIFT; m++)
        for (int n = m + 1; n < SHIFT; n++) {
            double now = sqrt((double)n * n - (double)m * m), one = (2.0 * n - 1) / now;
            double two = n - 2 < m ? 0 : sqrt((n - 1.0) * (n - 1.0) - (double)m * m) / now;
            double q2 = n - 2 < m ? 0 : l->q[n - 2][m], slope2 = n - 2 < m ? 0 : l->slope[n - 2][m];
            l->q[n][m] = one * cosine * l->q[n - 1][m] - two * q2;
            l->slope[n][m] = one * (cosine * l->slope[n - 1][m] - sine * full(l, n - 1, m, sine)) - two * slope2;
        }
}

/* The field in the geocentric frame. */
static Vector sum(const Legendre *l, double sine, double lon, double radius_m, double years)
{
    Vector v = { 0, 0, 0 };
    for (int i = 0; i < GB_WMM_ROWS; i++) {
        const GbWmmRow *row = &gb_wmm2025[i];
        double g = row->g + years * row->g_a_year, h = row->h + years * row->h_a_year;
        double c = cos(row->m * lon), s = sin(row->m * lon), fall = pow(reference_radius_m / radius_m, row->n + 2);
        v.north += fall * (g * c + h * s) * l->slope[row->n][row->m];
        v.east += fall * row->m * (g * s - h * c) * l->q[row->n][row->m];
        v.down -= fall * (row->n + 1) * (g * c + h * s) * full(l, row->n, row->m, sine);
    }
    return v;
}

static Vector field_at(double lat, double lon, double height_m, double years)
{
    double e2 = flattening * (2 - flattening), n = semi_major_m / sqrt(1 - e2 * sin(lat) * sin(lat));
    double level = (n + height_m) * cos(lat), up = (n * (1 - e2) + height_m) * sin(lat), radius = hypot(level, up);
    Legendre l;
    fill(&l, up / radius, level / radius);
    Vector v = sum(&l, level / radius, lon, radius, years);
    double turn = atan2(up, level) - lat;
    return (Vector){ v.north * cos(turn) - v.down * sin(turn), v.east, v.north * sin(turn) + v.down * cos(turn) };
}

static gboolean is_in_range(double lat_deg, double lon_deg, double height_m, double year, GError **error)
{
    if (!(fabs(lat_deg) <= 90 && fabs(lon_deg) <= 360 && height_m >= -10000 && height_m <= 850000)) {
        g_autofree char *lat = gb_number_text(lat_deg, 4), *lon = gb_number_text(lon_deg, 4), *height = gb_number_text(height_m, 0);
        g_set_error(error, GB_ERROR, GB_ERROR_SYNTAX,
                    "latitude %s, longitude %s, height %s m is no place on earth, so magnetic north there is unknown", lat, lon, height);
        return FALSE;
    }
    if (isnan(year)) {
        g_set_error(error, GB_ERROR, GB_ERROR_STATE, "magnetic north moves, and without a date it is unknown");
        return FALSE;
    }
    if (!(year >= GB_WMM_EPOCH && year <= GB_WMM_EPOCH + GB_WMM_YEARS)) {
        g_set_error(error, GB_ERROR, GB_ERROR_STATE,
                    "the magnetic model here holds for the years 2025 to 2029, so magnetic north in %.0f is unknown", floor(year));
        return FALSE;
    }
    return TRUE;
}

gboolean gb_magnetic_field(double lat_deg, double lon_deg, double height_m, double year, GbMagnetic *field, GError **error)
{
    *field = (GbMagnetic){ NAN, NAN, NAN, NAN, NAN, NAN };
    double height = isnan(height_m) ? 0 : height_m;
    if (!is_in_range(lat_deg, lon_deg, height, year, error))
        return FALSE;
    const double deg = G_PI / 180;
    Vector v = field_at(lat_deg * deg, lon_deg * deg, height, year - GB_WMM_EPOCH);
    double level = hypot(v.north, v.east);
    field->declination_deg = atan2(v.east, v.north) / deg;
    field->sigma_deg = MIN(180.0, hypot(0.26, 5417 / level));
    field->inclination_deg = atan2(v.down, level) / deg;
    field->north_nt = v.north;
    field->east_nt = v.east;
    field->down_nt = v.down;
    return TRUE;
}

double gb_magnetic_year(double utc_s)
{
    const double from = -62135596800.0, to = 253402300800.0; /* the years GLib knows */
    if (!(utc_s >= from && utc_s < to))
        return NAN;
    g_autoptr(GDateTime) moment = g_date_time_new_from_unix_utc((gint64)floor(utc_s));
    int year = g_date_time_get_year(moment);
    g_autoptr(GDateTime) begin = g_date_time_new_utc(year, 1, 1, 0, 0, 0);
    double length_s = g_date_is_leap_year((GDateYear)year) ? 366 * 86400.0 : 365 * 86400.0;
    return year + MIN((utc_s - (double)g_date_time_to_unix(begin)) / length_s, 1 - 1e-9);
}

double gb_magnetic_to_true(double heading_deg, double declination_deg)
{
    double heading = fmod(heading_deg + declination_deg, 360);
    if (heading < 0)
        heading += 360;
    return heading >= 360 ? 0 : heading; /* -1e-15 + 360 rounds up */
}
