/* upright.c -- the eight EXIF orientations. See jpeg-private.h.
 *
 * CIPA DC-008 / TIFF 6.0: the value says where the stored row 0 and column 0 lie in the upright picture. Whatever
 * the turn, a step along a stored row is a constant step in the upright one: so each value is one start and one stride.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "jpeg-private.h"

gboolean gb_upright_swaps(int orientation)
{
    return orientation >= 5 && orientation <= 8;
}

void gb_upright_put_row(guint8 *upright, const guint8 *row, int y, int width, int height, int channels, int orientation)
{
    gssize w = width, h = height, start, stride; /* in pixels of the upright picture */
    switch (orientation) {
    default: start = y * w;                   stride = 1;  break; /* 1: row 0 top, column 0 left */
    case 2:  start = y * w + w - 1;           stride = -1; break; /* top, right */
    case 3:  start = (h - 1 - y) * w + w - 1; stride = -1; break; /* bottom, right */
    case 4:  start = (h - 1 - y) * w;         stride = 1;  break; /* bottom, left */
    case 5:  start = y;                       stride = h;  break; /* left, top */
    case 6:  start = h - 1 - y;               stride = h;  break; /* right, top */
    case 7:  start = (w - 1) * h + h - 1 - y; stride = -h; break; /* right, bottom */
    case 8:  start = (w - 1) * h + y;         stride = -h; break; /* left, bottom */
    }
    guint8 *to = upright + start * channels;
    for (gssize x = 0; x < w; x++, row += channels, to += stride * channels)
        for (int c = 0; c < channels; c++)
            to[c] = row[c];
}
