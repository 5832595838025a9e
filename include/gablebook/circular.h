/* circular.h -- statistics of directions: their mean, how closely they agree, the von Mises law.
 *
 * 359 and 1 degree have the mean 0, not 180: directions are added as unit vectors. The length of their mean vector, R, is 1
 * where all agree and 0 where they cancel out; then there is no mean direction, and NAN says so.
 *
 * Knows no database: numbers in, numbers out.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_CIRCULAR_H
#define GABLEBOOK_CIRCULAR_H

#include <glib.h>

G_BEGIN_DECLS

/* The mean direction, 0 <= mean < 360; NAN when nothing is known or the directions cancel out.
 *   deg      directions, any turn; those that aren't finite are passed over
 *   weights  NULL: all alike; else as many, negative or unknown ones count nothing
 *   length   where R goes (NAN when nothing is known); may be NULL */
double gb_circular_mean_deg(const double *deg, const double *weights, gsize n, double *length);

/* The circular standard deviation sqrt(-2 ln R), in degrees; 0 for R = 1, INFINITY for R = 0, NAN outside 0..1. */
double gb_circular_sd_deg(double length);

/* From b to a the short way round: -180 < difference <= 180; NAN when either is unknown. */
double gb_circular_difference_deg(double a_deg, double b_deg);

/* exp(-x) I0(x), the modified Bessel function of order 0 that can't overflow; x >= 0. Within 2e-7 of I0, relative. */
double gb_bessel_i0_scaled(double x);

/* A(k) = I1(k) / I0(k): the R that a von Mises law of concentration k has. k >= 0. Within 5e-7. */
double gb_von_mises_length(double kappa);

/* The concentration whose R this is: the maximum-likelihood estimate. 0 for R <= 0; capped at 10,000 (a spread of 0.6 deg). NAN for NAN. */
double gb_von_mises_kappa(double length);

/* Density at deg, per radian, of the von Mises law around mean_deg. */
double gb_von_mises_density(double deg, double mean_deg, double kappa);

G_END_DECLS
#endif
