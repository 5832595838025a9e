/* image.h -- one photo in memory, whatever its format: its header, small upright pictures of it, what its pixels say.
 *
 * JPEG, HEIC and PNG, told apart by their first bytes (format.h). JPEG is read as jpeg.h says. PNG is read by libpng, with what is
 * transparent on white. HEIC is decoded by a program of its own, gablebook-heic, with limits on memory and time, started when
 * a HEIC is met: a decoder that dies, hangs or is not there costs that photo and one sentence. All pictures made here are JPEG
 * without metadata.
 *
 * A HEIC file says itself how it is to be turned, and the decoder has obeyed; what its EXIF says of orientation is the same thing told
 * twice, and is passed over here.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_IMAGE_H
#define GABLEBOOK_IMAGE_H

#include <gablebook/exif.h>
#include <gablebook/format.h>
#include <gablebook/quality.h>

G_BEGIN_DECLS

#define GB_IMAGE_MAX_BYTES (256u << 20) /* a larger photo is refused before it is read */

typedef struct {
    GbFormat format;
    int width, height; /* as decoded, pixels: before the turn that exif.orientation asks for */
    GbExif exif;       /* its orientation is the turn that is still to be made */
} GbImageHeader;

/* Read the header. header is filled only on success; clear it with gb_image_header_clear.
 *   data  the whole file, n bytes, BORROWED for the call
 * GB_ERROR_FOREIGN when it is no photo, GB_ERROR_DAMAGED, GB_ERROR_TOO_LARGE (more than 200 megapixels); GB_ERROR_STATE when the decoder
 * for HEIC can't be started. */
gboolean gb_image_header(const void *data, gsize n, GbImageHeader *header, GError **error);
/* The same of a file; of a JPEG no more is read than needed. Messages name the file. Also GB_ERROR_IO. */
gboolean gb_image_header_file(const char *path, GbImageHeader *header, GError **error);
void gb_image_header_clear(GbImageHeader *header);
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(GbImageHeader, gb_image_header_clear)

/* Make a smaller upright picture, and survey the pixels on the way; as gb_jpeg_shrink and gb_jpeg_survey (jpeg.h), whatever the format.
 *   orientation  1 ... 8: the header's
 * Returns JPEG bytes OWNED by the caller. Errors as above. */
GBytes *gb_image_shrink(const void *data, gsize n, int orientation, int max_px, int quality, gboolean *damaged, GError **error);
GBytes *gb_image_survey(const void *data, gsize n, int orientation, int max_px, int quality, GbQuality *measured,
                        gboolean *damaged, GError **error);

G_END_DECLS
#endif
