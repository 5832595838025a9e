/* jpeg.h -- one JPEG in memory: its header, its EXIF block, small upright pictures of it, what its pixels say.
 *
 * Pictures are decoded at the smallest scale that serves (libjpeg's 1/8 ... 1/1), brought to size by area
 * mean, turned upright, and written as baseline JPEG without any metadata: no orientation tag is left that
 * a viewer could apply a second time. Hostile input is bounded: at most 200 megapixels, a cap on libjpeg's
 * memory, at most 100 scans. No global state; every call may run in its own thread.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_JPEG_H
#define GABLEBOOK_JPEG_H

#include <gablebook/quality.h>
#include <glib.h>

G_BEGIN_DECLS

#define GB_JPEG_MAX_BYTES (256u << 20) /* a larger file is refused before it is read */

typedef struct {
    int width, height;   /* as stored, pixels, before any turning */
    int components;      /* 1 grey, 3 colour, 4 CMYK */
    gboolean progressive;
    GBytes *exif;        /* the APP1 block that begins "Exif\0\0" (first one), or NULL; OWNED by the struct */
} GbJpegHeader;

/* Read the header. header is filled only on success; clear it with gb_jpeg_header_clear.
 *   data  the whole file, n bytes, BORROWED for the call
 * GB_ERROR_FOREIGN when it is no JPEG (by its first bytes), GB_ERROR_DAMAGED when the header can't be read,
 * GB_ERROR_TOO_LARGE above the bounds. O(header). */
gboolean gb_jpeg_header(const void *data, gsize n, GbJpegHeader *header, GError **error);
void gb_jpeg_header_clear(GbJpegHeader *header);

/* Make a smaller upright picture.
 *   orientation  1 ... 8, the turn to apply (EXIF meaning)
 *   max_px       longest side of the result; never enlarged
 *   quality      1 ... 100
 *   damaged      set TRUE when part of the picture could not be read (the rest is shown); may be NULL
 * Returns JPEG bytes OWNED by the caller, grey for grey input, else RGB (CMYK is converted).
 * GB_ERROR_FOREIGN, _DAMAGED, _TOO_LARGE as above; _TOO_LARGE also for more scans than the bound. */
GBytes *gb_jpeg_shrink(const void *data, gsize n, int orientation, int max_px, int quality, gboolean *damaged, GError **error);

#define GB_SURVEY_PX 640 /* longest side of a plane that shows a blur as a report would */

/* The same picture, and what its pixels say. Measured is the grey picture at the scale that max_px needs, without decoding twice:
 * sharpness compares photos of one size surveyed for one max_px. Only when that scale is below GB_SURVEY_PX and the picture does not
 * look sharp beyond doubt in it (one in twelve of a usual card), is it decoded again at a larger one for smear_px.
 * What could not be read counts as grey: don't trust the measures of a damaged photo. measured may be NULL. */
GBytes *gb_jpeg_survey(const void *data, gsize n, int orientation, int max_px, int quality, GbQuality *measured,
                       gboolean *damaged, GError **error);

G_END_DECLS
#endif
