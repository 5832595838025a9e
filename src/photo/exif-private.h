/* exif-private.h -- a bounded walk over the bare TIFF structure of an EXIF block, for what libexif does not
 * offer. Only for src/photo/ and its tests.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_EXIF_PRIVATE_H
#define GABLEBOOK_EXIF_PRIVATE_H

#include <glib.h>

G_BEGIN_DECLS

#define GB_EXIF_MARK_BYTES 6 /* "Exif\0\0" */

typedef struct {
    const guint8 *bytes; /* from the byte order mark on, which all offsets count from; BORROWED */
    gsize n;
    gboolean little;
} GbTiff;

/* Look at the head of an EXIF block. FALSE when it is none. */
gboolean gb_tiff_open(GbTiff *tiff, const guint8 *block, gsize n);
/* Numbers in the block's byte order; 0 past the end. */
guint16 gb_tiff_u16(const GbTiff *tiff, gsize at);
guint32 gb_tiff_u32(const GbTiff *tiff, gsize at);
/* How many entries of 12 bytes the directory at that offset has within the block; the first begins at + 2. */
guint gb_tiff_entries(const GbTiff *tiff, gsize at);

/* Give every MakerNote entry another tag, in place: libexif then keeps its bytes but does not interpret them. FALSE when one may be left,
 * for there are more directories than a sane block has: then libexif must not see it. */
gboolean gb_tiff_hide_maker_notes(guint8 *block, gsize n);

G_END_DECLS
#endif
