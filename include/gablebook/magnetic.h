/* magnetic.h -- how far does a compass point from true north?
 *
 * World Magnetic Model 2025: place, height and date in, declination out. true = magnetic + declination. What stands near the
 * compass (a car, a steel door, a magnet in the phone's case) is not in any model and is often more.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_MAGNETIC_H
#define GABLEBOOK_MAGNETIC_H

#include <glib.h>

G_BEGIN_DECLS

typedef struct {
    double declination_deg; /* of magnetic from true north, east positive, -180 < d <= 180 */
    double sigma_deg;       /* its standard error as the model's makers state it: sqrt(0.26^2 + (5417/H)^2), H in nT; at most 180.
                               About 0.4 where people live; tens of degrees near the magnetic poles, where a compass is of no use */
    double inclination_deg; /* down positive */
    double north_nt, east_nt, down_nt; /* the field itself */
} GbMagnetic;

/* The field at a place and moment.
 *   lat_deg, lon_deg  WGS84, north and east positive; |lat| <= 90, |lon| <= 360. At a pole north is the meridian of lon_deg
 *   height_m          above the ellipsoid, -10,000 ... 850,000; above sea level will do, and NAN (unknown) counts as 0: a
 *                     kilometre is worth under 0.03 deg wherever sigma_deg is under 1
 *   year              decimal year (gb_magnetic_year), 2025.0 ... 2030.0: the years the model is made for
 * FALSE with GB_ERROR_STATE for a date outside of these or unknown, GB_ERROR_SYNTAX for what is no place; then *field is NAN
 * throughout. */
gboolean gb_magnetic_field(double lat_deg, double lon_deg, double height_m, double year, GbMagnetic *field, GError **error);

/* Decimal year of a moment, seconds since 1970-01-01 UTC: 2026-07-02 12:00 is 2026.5. NAN for NAN and what is not within the years
 * 1 to 9999. Local time does as well: a day changes nothing that shows. */
double gb_magnetic_year(double utc_s);

/* A heading from magnetic north, made true: 0 <= h < 360; NAN when one of the two is. */
double gb_magnetic_to_true(double heading_deg, double declination_deg);

G_END_DECLS
#endif
