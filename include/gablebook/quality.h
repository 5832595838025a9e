/* quality.h -- what the pixels of one decoded grey picture say: how sharp, how exposed, how like another.
 *
 * Pixels in, numbers out: whether a number is good or bad for this card is decided in burst.h. gb_jpeg_survey (jpeg.h) measures a
 * photo on the way to its preview, without decoding it twice.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_QUALITY_H
#define GABLEBOOK_QUALITY_H

#include <glib.h>

G_BEGIN_DECLS

#define GB_QUALITY_BLACK 15  /* a pixel not above this shows nothing ... */
#define GB_QUALITY_WHITE 240 /* ... nor one not below this: 6 % of the range at either end */

typedef struct {
    int width, height; /* of the plane that was measured, pixels, as stored */

    /* Variance of the 4-neighbour Laplacian over all pixels, border reflected without repeating the edge. Grows with detail as
     * well as with focus, so it compares pictures of one scene; across scenes shingles beat siding however blurred. */
    double sharpness;

    /* How far the sharpest edges are smeared: the standard deviation, in pixels, of the Gaussian that would do it (from 10 to 90 %
     * of an edge are 2.56 of them). Of the two directions the worse: a shake smears one. Hardly depends on what is shown. 0.4 is
     * as low as it goes; NAN where no direction has edges to judge by. The pixels are those of a picture whose longest side is
     * smear_side_px: this plane, or one decoded larger for the purpose. */
    double smear_px;
    int smear_side_px;

    double mean;               /* 0 ... 255, as the others below */
    double dark, middle, light; /* values that 5, 50 and 95 % of the pixels do not exceed */
    double black, white;       /* shares of pixels, 0 ... 1: not above GB_QUALITY_BLACK, not below GB_QUALITY_WHITE */

    /* Difference hash of the upright picture: 9 x 8 area means, a bit set where one is darker than its right neighbour, rows from
     * the top, the first bit highest. hashed is FALSE for a picture smaller than that. */
    gboolean hashed;
    guint64 hash;
} GbQuality;

/* Measure a plane.
 *   luma         width * height bytes, row by row, no padding, BORROWED for the call
 *   width, height  at least 1, at most 65535
 *   orientation  1 ... 8, the turn that makes it upright (EXIF meaning); only the hash depends on it
 * O(pixels). */
void gb_quality_measure(const guint8 *luma, int width, int height, int orientation, GbQuality *quality);

/* How many of the 64 bits differ: about 32 between unrelated pictures. */
int gb_quality_hash_distance(guint64 a, guint64 b);

G_END_DECLS
#endif
