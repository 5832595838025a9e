/* geodesy.h -- distances, directions and local metres on the earth's ellipsoid (WGS84).
 *
 * A property is a hundred metres wide, a day's drive a few hundred kilometres: over that the straight line through the earth,
 * bent by the ellipsoid's own radius in its direction, is as good as a geodesic. It knows no date line and no pole. Positions are
 * degrees, north and east positive; one that is none (NAN, |latitude| > 90, |longitude| > 360) gives NAN.
 *
 * Largest error met on 3,000 random lines a band over all latitudes, against PROJ's geod (tests/test_geodesy.c):
 *     up to      2 km   0.001 mm   0.00001 deg (lines from 1 m on)
 *     up to    100 km   0.1 mm     0.00001 deg
 *     up to    500 km   50 mm      0.0003 deg
 *     up to 10,000 km   0.5 %      direction not given beyond 1,000 km
 *     beyond            5 %
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_GEODESY_H
#define GABLEBOOK_GEODESY_H

#include <glib.h>

G_BEGIN_DECLS

typedef struct {
    double distance_m;  /* along the ground at height 0; NAN when a position is none */
    double azimuth_deg; /* direction at the first position, from true north by east, 0 <= a < 360; NAN when the distance
                           is unknown, under 0.001 mm or over 1,000 km. At a pole north is the first position's own meridian */
} GbLine;

GbLine gb_geodesy_line(double lat1_deg, double lon1_deg, double lat2_deg, double lon2_deg);

/* A map of the surroundings: metres east and north of an origin, so that distance and direction FROM THE ORIGIN are those of
 * gb_geodesy_line. Between two other points within 2 km of it they are right to 0.1 mm, within 50 km to 1 m. Plain values: copy at will. */
typedef struct {
    double lat_deg, lon_deg; /* the origin */
    double point[3], east[3], north[3], up[3]; /* the same as the earth sees it: metres from its centre, three unit vectors */
} GbPlane;

/* FALSE when the origin is no position; then every answer of this plane is NAN. */
gboolean gb_plane_init(GbPlane *plane, double lat_deg, double lon_deg);
/* Where a position lies in it. NAN for what is no position or over 1,000 km away. */
void gb_plane_metres(const GbPlane *plane, double lat_deg, double lon_deg, double *east_m, double *north_m);
/* And back: undoes gb_plane_metres to 0.001 mm within 100 km; longitude from -180 to 180. NAN for NAN and over 1,000 km. */
void gb_plane_position(const GbPlane *plane, double east_m, double north_m, double *lat_deg, double *lon_deg);

G_END_DECLS
#endif
