/* circular.c -- see circular.h.
 *
 * Bessel functions by the polynomials of Abramowitz and Stegun, Handbook of Mathematical Functions, 9.8.1 to 9.8.4: headings
 * are never known to more than two or three digits, so seven are enough, and they cost a few multiplications.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <gablebook/circular.h>

#include <math.h>

#define RAD (G_PI / 180)
#define KAPPA_MAX 10000
/* Below this the mean vector is rounding, not direction. */
#define LENGTH_NONE 1e-9

double gb_circular_mean_deg(const double *deg, const double *weights, gsize n, double *length)
{
    double c = 0, s = 0, sum = 0;
    for (gsize i = 0; i < n; i++) {
        double weight = weights != NULL ? weights[i] : 1;
        if (!isfinite(deg[i]) || !(weight > 0) || !isfinite(weight))
            continue;
        c += weight * cos(deg[i] * RAD);
        s += weight * sin(deg[i] * RAD);
        sum += weight;
    }
    double r = sum > 0 ? hypot(c, s) / sum : (double)NAN;
    if (length != NULL)
        *length = r > 1 ? 1 : r;
    if (!(r > LENGTH_NONE))
        return NAN;
    double mean = fmod(atan2(s, c) / RAD + 360, 360);
    return mean;
}

double gb_circular_sd_deg(double length)
{
    if (!(length >= 0 && length <= 1))
        return NAN;
    return length > 0 ? sqrt(-2 * log(length)) / RAD : (double)INFINITY;
}

double gb_circular_difference_deg(double a_deg, double b_deg)
{
    double difference = remainder(a_deg - b_deg, 360);
    return difference <= -180 ? 180 : difference;
}

static double polynomial(const double *coefficients, guint n, double x)
{
    double sum = 0;
    for (guint i = n; i-- > 0;)
        sum = sum * x + coefficients[i];
    return sum;
}

#define SPLIT 3.75 /* where the two polynomials of each function meet */

double gb_bessel_i0_scaled(double x)
{
    static const double near[] = { 1, 3.5156229, 3.0899424, 1.2067492, 0.2659732, 0.0360768, 0.0045813 };
    static const double far[] = { 0.39894228, 0.01328592, 0.00225319, -0.00157565, 0.00916281, -0.02057706, 0.02635537, -0.01647633,
                                  0.00392377 };
    if (x < SPLIT)
        return exp(-x) * polynomial(near, G_N_ELEMENTS(near), (x / SPLIT) * (x / SPLIT));
    return polynomial(far, G_N_ELEMENTS(far), SPLIT / x) / sqrt(x);
}

static double bessel_i1_scaled(double x)
{
    static const double near[] = { 0.5, 0.87890594, 0.51498869, 0.15084934, 0.02658733, 0.00301532, 0.00032411 };
    static const double far[] = { 0.39894228, -0.03988024, -0.00362018, 0.00163801, -0.01031555, 0.02282967, -0.02895312, 0.01787654,
                                  -0.00420059 };
    if (x < SPLIT)
        return exp(-x) * x * polynomial(near, G_N_ELEMENTS(near), (x / SPLIT) * (x / SPLIT));
    return polynomial(far, G_N_ELEMENTS(far), SPLIT / x) / sqrt(x);
}

double gb_von_mises_length(double kappa)
{
    return bessel_i1_scaled(kappa) / gb_bessel_i0_scaled(kappa);
}

/* Fisher's approximation, then Newton with A'(k) = 1 - A(k)/k - A(k)^2. */
double gb_von_mises_kappa(double length)
{
    double r = length;
    if (isnan(r) || r <= 0)
        return isnan(r) ? (double)NAN : 0;
    if (r >= gb_von_mises_length(KAPPA_MAX))
        return KAPPA_MAX;
    double kappa = r < 0.53 ? 2 * r + r * r * r + 5 * pow(r, 5) / 6
                   : r < 0.85 ? -0.4 + 1.39 * r + 0.43 / (1 - r)
                              : 1 / (r * r * r - 4 * r * r + 3 * r);
    if (kappa > 100) /* there the polynomials' last digits would lead Newton, and Fisher's is exact enough */
        return kappa;
    for (int i = 0; i < 4; i++) {
        double a = gb_von_mises_length(kappa);
        kappa -= (a - r) / (1 - a / kappa - a * a);
    }
    return kappa;
}

double gb_von_mises_density(double deg, double mean_deg, double kappa)
{
    return exp(kappa * (cos((deg - mean_deg) * RAD) - 1)) / (2 * G_PI * gb_bessel_i0_scaled(kappa));
}
