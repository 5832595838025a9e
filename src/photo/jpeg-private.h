/* jpeg-private.h -- the two steps between decoding and encoding. Only for src/photo/ and its tests.
 *
 *     libjpeg rows -> GbResample (row in, now and then a smaller row out) -> gb_upright_put_row -> libjpeg
 *
 * Only the small upright picture is ever held whole; its bound is the caller's max_px.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_JPEG_PRIVATE_H
#define GABLEBOOK_JPEG_PRIVATE_H

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

G_END_DECLS
#endif
