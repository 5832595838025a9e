/* facing_confidence.c -- what a probability of the model is worth.
 *
 * The model's own probability is too sure of itself: real walks and errors hang together more than it knows. The table maps its
 * log odds to those found right.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "sense/facing-private.h"

#include <math.h>

/* Obtained by `make bench-suggest BENCH_ARGS='--seed 11 --inspections 400 --quick --fit'`: logistic regression of right or wrong on
 * the model's log odds, over 1,200 invented inspections (usual and any errors). That prints offsets and slopes relative to
 * the ones standing here; measure with another seed. */
static const struct { double offset, slope; } calibration[2][3] = {
    /* no tag           1 to 3 tags        4 and more */
    { { 0.356, 1.002 },  { 0.133, 0.772 },  { 0.001, 0.839 } },  /* front azimuth unknown */
    { { -0.040, 0.645 }, { -0.051, 0.684 }, { -0.030, 0.753 } }, /* given */
};

double gb_confidence_calibrate(double raw, gsize tags, gboolean front_given)
{
    guint column = tags >= 4 ? 2 : tags > 0 ? 1 : 0;
    guint row = front_given ? 1 : 0;
    double p = CLAMP(raw, 1e-6, 1 - 1e-6);
    double odds = calibration[row][column].offset + calibration[row][column].slope * log(p / (1 - p));
    return 1 / (1 + exp(-odds));
}
