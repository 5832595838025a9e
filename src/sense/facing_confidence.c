/* facing_confidence.c -- what a probability of the model is worth.
 *
 * The model's own probability is too sure of itself: real walks and errors hang together more than it knows. The table maps its
 * log odds to those found right.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "sense/facing-private.h"

#include <math.h>

static const struct { double offset, slope; } calibration[] = {
    { 0, 1 }, { 0, 1 }, { 0, 1 }, { 0, 1 },
};

double gb_confidence_calibrate(double raw, gsize tags, gboolean front_given)
{
    guint row = tags >= 4 ? 3 : tags > 0 ? 2 : front_given ? 1 : 0;
    double p = CLAMP(raw, 1e-6, 1 - 1e-6);
    double odds = calibration[row].offset + calibration[row].slope * log(p / (1 - p));
    return 1 / (1 + exp(-odds));
}
