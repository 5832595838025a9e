/* png-private.h -- PNG pictures. Only for src/photo/ and its tests.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_PNG_PRIVATE_H
#define GABLEBOOK_PNG_PRIVATE_H

#include <gablebook/quality.h>
#include <glib.h>

G_BEGIN_DECLS

/* Size, and the EXIF block ("Exif\0\0" before it) of an eXIf chunk: OWNED by the caller, NULL where there is none. */
gboolean gb_png_header(const void *data, gsize n, int *width, int *height, GBytes **exif, GError **error);
/* As gb_image_survey. */
GBytes *gb_png_survey(const void *data, gsize n, int orientation, int max_px, int quality, GbQuality *measured, gboolean *damaged,
                      GError **error);

G_END_DECLS
#endif
