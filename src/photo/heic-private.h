/* heic-private.h -- HEIC pictures, and what their decoder says. Only for src/photo/, its tests, and the decoder itself (src/heic/).
 *
 * The decoder is the program gablebook-heic:
 *
 *     gablebook-heic header < FILE         what is in it
 *     gablebook-heic PX < FILE             and the pixels: of the embedded thumbnail if its longest side has PX or more, else of the picture
 *
 * It answers with one GbHeicReply, then message_bytes of a message (when it failed) or exif_bytes of EXIF ("Exif\0\0" first), then profile_bytes
 * of an ICC profile, then pixel_height rows of pixel_width RGB pixels of 8 bits, turned as the file says. It is our own program on the same machine, but may have been
 * taken over by what it reads: whoever reads this trusts no number in it.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_HEIC_PRIVATE_H
#define GABLEBOOK_HEIC_PRIVATE_H

#include <gablebook/quality.h>
#include <glib.h>

G_BEGIN_DECLS

#define GB_HEIC_PROGRAM "gablebook-heic"
#define GB_HEIC_MAGIC 0x31454847u
#define GB_HEIC_MAX_SIDE 65535
#define GB_HEIC_MAX_EXIF_BYTES (1u << 20)
#define GB_HEIC_MAX_PROFILE_BYTES (4u << 20)
#define GB_HEIC_MAX_MESSAGE_BYTES 300
#define GB_HEIC_WHOLE G_MAXINT /* PX for which no thumbnail is good enough */

typedef enum { GB_HEIC_OK, GB_HEIC_DAMAGED, GB_HEIC_TOO_LARGE } GbHeicStatus;

typedef struct {
    guint32 magic, status;
    gint32 width, height;             /* of the picture, turned */
    gint32 pixel_width, pixel_height; /* of what follows; 0 for a header alone */
    guint32 damaged;                  /* part of it could not be read */
    guint32 exif_bytes, message_bytes, profile_bytes;
    gint32 primaries;                 /* of the colours, where there is no profile: ITU-T H.273, table 2; 2 unknown */
} GbHeicReply;

/* Size, turned, and the EXIF block: OWNED by the caller, NULL where there is none. */
gboolean gb_heic_header(const void *data, gsize n, int *width, int *height, GBytes **exif, GError **error);
/* As gb_image_survey. With measured the pixels are those of the whole picture, never of a thumbnail. */
GBytes *gb_heic_survey(const void *data, gsize n, int orientation, int max_px, int quality, GbQuality *measured, gboolean *damaged,
                       GError **error);
/* The same with another limit of time than the usual one, for the tests. */
GBytes *gb_heic_survey_within(const void *data, gsize n, int orientation, int max_px, int quality, int limit_ms, GbQuality *measured,
                              gboolean *damaged, GError **error);

G_END_DECLS
#endif
