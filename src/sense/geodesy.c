/* geodesy.c -- see geodesy.h.
 *
 * Both ends are turned into points in space. Their difference, seen from the first end's own horizon, gives the direction; its
 * length is a chord, and the arc over a chord follows from the radius of curvature of the ellipsoid in that direction (Euler:
 * 1/R = cos^2/M + sin^2/N, with the meridian's and the prime vertical's radii at the middle latitude).
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <gablebook/geodesy.h>

#include <math.h>

static const double semi_major_m = 6378137.0, flattening = 1 / 298.257223563;
#define E2 (flattening * (2 - flattening)) /* first eccentricity squared */

#define DIRECTION_MAX_M 1e6
#define DIRECTION_MIN_M 1e-6

static double radians(double deg)
{
    return deg * (G_PI / 180);
}

static double degrees(double rad)
{
    return rad * (180 / G_PI);
}

static double dot(const double a[3], const double b[3])
{
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
}

static gboolean is_position(double lat_deg, double lon_deg)
{
    return fabs(lat_deg) <= 90 && fabs(lon_deg) <= 360; /* FALSE for NAN */
}

gboolean gb_plane_init(GbPlane *plane, double lat_deg, double lon_deg)
{
    gboolean good = is_position(lat_deg, lon_deg);
    double phi = radians(good ? lat_deg : (double)NAN), lambda = radians(good ? lon_deg : (double)NAN);
    double sp = sin(phi), cp = cos(phi), sl = sin(lambda), cl = cos(lambda);
    double n = semi_major_m / sqrt(1 - E2 * sp * sp);
    *plane = (GbPlane){ .lat_deg = good ? lat_deg : (double)NAN, .lon_deg = good ? lon_deg : (double)NAN,
                        .point = { n * cp * cl, n * cp * sl, n * (1 - E2) * sp },
                        .east = { -sl, cl, 0 }, .north = { -sp * cl, -sp * sl, cp }, .up = { cp * cl, cp * sl, sp } };
    return good;
}

/* Radius of curvature at a latitude in a direction given by its north and east parts (any length). */
static double radius_m(double lat_deg, double north, double east)
{
    double s = sin(radians(lat_deg)), w2 = 1 - E2 * s * s;
    double n = semi_major_m / sqrt(w2), m = n * (1 - E2) / w2;
    double all = north * north + east * east;
    return all > 0 ? all / (north * north / m + east * east / n) : sqrt(m * n);
}

/* Distance and the parts of the direction from the plane's origin. */
static double measure(const GbPlane *from, double lat_deg, double lon_deg, double *north, double *east)
{
    GbPlane to;
    if (!gb_plane_init(&to, lat_deg, lon_deg))
        return NAN;
    const double d[3] = { to.point[0] - from->point[0], to.point[1] - from->point[1], to.point[2] - from->point[2] };
    *north = dot(d, from->north);
    *east = dot(d, from->east);
    double chord = sqrt(dot(d, d));
    /* The middle latitude, or, for what goes over a pole, the latitude of the chord's middle. */
    double mid[3] = { to.point[0] + from->point[0], to.point[1] + from->point[1], to.point[2] + from->point[2] };
    double mid_lat = degrees(atan2(mid[2] / (1 - E2), hypot(mid[0], mid[1])));
    double r = radius_m(mid_lat, *north, *east);
    return 2 * r * asin(MIN(1, chord / (2 * r)));
}

GbLine gb_geodesy_line(double lat1_deg, double lon1_deg, double lat2_deg, double lon2_deg)
{
    GbPlane from;
    double north = NAN, east = NAN;
    if (!gb_plane_init(&from, lat1_deg, lon1_deg))
        return (GbLine){ NAN, NAN };
    GbLine line = { measure(&from, lat2_deg, lon2_deg, &north, &east), NAN };
    if (line.distance_m >= DIRECTION_MIN_M && line.distance_m <= DIRECTION_MAX_M) {
        double azimuth = degrees(atan2(east, north));
        line.azimuth_deg = azimuth < 0 ? azimuth + 360 : azimuth;
        if (line.azimuth_deg >= 360) /* -1e-15 + 360 rounds up */
            line.azimuth_deg = 0;
    }
    return line;
}

void gb_plane_metres(const GbPlane *plane, double lat_deg, double lon_deg, double *east_m, double *north_m)
{
    double north = NAN, east = NAN;
    double distance = measure(plane, lat_deg, lon_deg, &north, &east), level = hypot(north, east);
    if (!(distance <= DIRECTION_MAX_M))
        *east_m = *north_m = NAN;
    else {
        *east_m = level > 0 ? distance * east / level : 0;
        *north_m = level > 0 ? distance * north / level : 0;
    }
}

/* Go along the circle that fits the ellipsoid at the origin; the foot of what is reached (Bowring 1976, one step: exact here). */
static void walk(const GbPlane *plane, double east_m, double north_m, double *lat_deg, double *lon_deg)
{
    double distance = hypot(east_m, north_m), r = radius_m(plane->lat_deg, north_m, east_m);
    double along = distance > 0 ? r * sin(distance / r) / distance : 0, down = r * (1 - cos(distance / r));
    double p[3];
    for (int i = 0; i < 3; i++)
        p[i] = plane->point[i] + along * (east_m * plane->east[i] + north_m * plane->north[i]) - down * plane->up[i];
    double level = hypot(p[0], p[1]), b = semi_major_m * (1 - flattening);
    double u = atan2(p[2] * semi_major_m, level * b);
    *lat_deg = degrees(atan2(p[2] + E2 / (1 - E2) * b * pow(sin(u), 3), level - E2 * semi_major_m * pow(cos(u), 3)));
    *lon_deg = degrees(atan2(p[1], p[0]));
}

void gb_plane_position(const GbPlane *plane, double east_m, double north_m, double *lat_deg, double *lon_deg)
{
    *lat_deg = *lon_deg = NAN;
    if (!(hypot(east_m, north_m) <= DIRECTION_MAX_M) || isnan(plane->lat_deg))
        return;
    double east = east_m, north = north_m, got_east, got_north;
    for (int i = 0; i < 4; i++) { /* each round makes what is missing a thousandth */
        walk(plane, east, north, lat_deg, lon_deg);
        gb_plane_metres(plane, *lat_deg, *lon_deg, &got_east, &got_north);
        east += east_m - got_east;
        north += north_m - got_north;
    }
}
