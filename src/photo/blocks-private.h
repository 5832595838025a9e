/* blocks-private.h -- a photo at an eighth of its size, quickly. Only for src/photo/ and its tests.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_BLOCKS_PRIVATE_H
#define GABLEBOOK_BLOCKS_PRIVATE_H

#include <glib.h>
#include <stdio.h>

#include <jpeglib.h>

G_BEGIN_DECLS

/* The means of one component's 8 x 8 blocks, 0 ... 255, row by row: width * height bytes. */
typedef struct {
    int width, height;
    guint8 *means;
} GbBlocks;

/* Read them.
 *   codec   its header was read (jpeg_read_header) from memory that holds the whole file; not changed
 *   blocks  of luma, Cb, Cr, or of grey alone: width and height of the photo, divided by 8 and, for chroma, by the sampling, rounded up
 * TRUE: the scan was read to its end without a fault; OWNED by the caller (gb_blocks_clear). FALSE: no photo of the usual kind, or something
 * is wrong with it, or memory is short: nothing is held, and libjpeg can go on from the header. O(bytes). */
gboolean gb_blocks_read(const struct jpeg_decompress_struct *codec, GbBlocks blocks[3]);
void gb_blocks_clear(GbBlocks blocks[3]);

G_END_DECLS
#endif
