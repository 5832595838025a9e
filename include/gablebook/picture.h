/* picture.h -- smaller upright pictures of the shots, kept in cache/PX/SHA256.jpg (another quality than the usual one: in
 * cache/PX-qQUALITY/).
 *
 * The cache may be deleted at any time and comes back. What is found in it is not trusted to be whole: a power cut may have left
 * rubbish, so an entry that does not begin and end like a JPEG is made again. A picture is always made from the original, never from
 * another picture: nothing is compressed twice.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_PICTURE_H
#define GABLEBOOK_PICTURE_H

#include <gablebook/shot.h>

G_BEGIN_DECLS

#define GB_PICTURE_QUALITY 82 /* JPEG quality of a picture where no other is asked for */

/* The picture of a shot with a longest side of px (never enlarged), upright, without metadata: from the cache, else made from the
 * original and kept. OWNED by the caller (g_bytes_unref). NULL when the original is missing, changed (its digest no longer fits)
 * or unreadable. Uses the folder alone, not the database: may be called in any thread. */
GBytes *gb_picture(const GbLog *log, const GbShot *shot, int px, GError **error);
/* The same at a JPEG quality of 1 ... 100. */
GBytes *gb_picture_at(const GbLog *log, const GbShot *shot, int px, int quality, GError **error);

/* How many bytes that picture has in the cache; 0 when it is not there, or not whole. Reads a few bytes only. */
gsize gb_picture_kept(const GbLog *log, const GbShot *shot, int px, int quality);

/* Make the picture from the original's bytes, which the caller has read and knows to be the right ones (BORROWED for the call), and
 * keep it. Otherwise as gb_picture_at. */
GBytes *gb_picture_make(const GbLog *log, const GbShot *shot, GBytes *original, int px, int quality, GError **error);

/* Keep a picture of the usual quality that was made already. A cache that can't be written is no error. */
void gb_picture_keep(const GbLog *log, const char *sha256, int px, GBytes *picture);

G_END_DECLS
#endif
