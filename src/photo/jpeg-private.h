/* jpeg-private.h -- the steps between decoding and encoding. Only for src/photo/ and its tests.
 *
 *     decoded rows -> GbResample (row in, now and then a smaller row out) -> gb_upright_put_row -> gb_to_srgb -> gb_jpeg_encode
 *
 * libjpeg decodes at a scale that serves and jpeg.c goes these steps itself; other decoders give the picture at full size, and
 * GbShrink goes them. Only the small upright picture is ever held whole; its bound is the caller's max_px.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_JPEG_PRIVATE_H
#define GABLEBOOK_JPEG_PRIVATE_H

#include <gablebook/quality.h>
#include <glib.h>

G_BEGIN_DECLS

/* A picture made smaller by area mean, row by row, in whole numbers: the same bytes on every machine. */
typedef struct GbResample GbResample;
/* From in_width x in_height to out_width x out_height, neither side enlarged, 1 or 3 channels interleaved. OWNED by the
 * caller; NULL when memory is refused. */
GbResample *gb_resample_new(int in_width, int in_height, int out_width, int out_height, int channels);
/* The next row from the top. Returns a finished row of the result (BORROWED until the next call), or NULL when it takes more
 * rows; after the last row in, the last row out has come. */
const guint8 *gb_resample_add(GbResample *r, const guint8 *row);
void gb_resample_free(GbResample *r); /* NULL is allowed */
G_DEFINE_AUTOPTR_CLEANUP_FUNC(GbResample, gb_resample_free)

/* Whether this EXIF orientation (1 ... 8) swaps width and height. */
gboolean gb_upright_swaps(int orientation);
/* Put row y of a stored picture of width x height where it belongs in the upright one.
 *   upright  width * height * channels bytes; its rows are height long where gb_upright_swaps, else width */
void gb_upright_put_row(guint8 *upright, const guint8 *row, int y, int width, int height, int channels, int orientation);

/* --- what every format shares --- */

#define GB_MAX_PIXELS (200 * 1000 * 1000) /* largest phone sensors on sale; a header may claim 4,290 megapixels */
#define GB_LOST_GREY 128                  /* what is shown where nothing could be read */

/* The side that goes with a longest side of max_px, rounded, at least 1. */
int gb_scaled_side(int side, int longest, int max_px);
/* Whether a decoded side is good to be brought to this size. */
gboolean gb_side_serves(int decoded, int wanted);
/* A first look that did not see the picture sharp beyond doubt, at less than GB_SURVEY_PX. */
gboolean gb_needs_closer_look(const GbQuality *measured);
/* What the bytes of a pixel are. YCC: as a JPEG stores colours (luma first), so nothing is converted between decoding and encoding. */
typedef enum { GB_PIXELS_GREY, GB_PIXELS_RGB, GB_PIXELS_YCC } GbPixels;
/* Luma of such pixels. */
void gb_put_luma(guint8 *restrict luma, const guint8 *restrict row, gsize n, GbPixels pixels);

/* A baseline JPEG of width * height pixels of 1 or 3 bytes. OWNED by the caller. */
GBytes *gb_jpeg_encode(const guint8 *data, int width, int height, GbPixels pixels, int quality, GError **error);

/* --- a picture that comes row by row at full size --- */

typedef struct GbShrink GbShrink; /* contents: src/photo/shrink.c */
/* width, height: at least 1, at most 65535 each and GB_MAX_PIXELS together; channels 1 or 3; the rest as for gb_jpeg_survey;
 * survey: measures will be wanted. GB_ERROR_TOO_LARGE when memory is refused. OWNED by the caller. */
GbShrink *gb_shrink_new(int width, int height, int channels, int orientation, int max_px, gboolean survey, GError **error);
void gb_shrink_add(GbShrink *shrink, const guint8 *row); /* the next from the top; too many are passed over */
/* The picture, once; rows that did not come are grey. profile, of profile_bytes: the picture's own, as gb_to_srgb takes it, or NULL. measured
 * may be NULL, and must be without survey. */
GBytes *gb_shrink_finish(GbShrink *shrink, const void *profile, gsize profile_bytes, int quality, GbQuality *measured, GError **error);
void gb_shrink_free(GbShrink *shrink); /* NULL is allowed */
G_DEFINE_AUTOPTR_CLEANUP_FUNC(GbShrink, gb_shrink_free)

G_END_DECLS
#endif
