/* picture.h -- smaller upright pictures of the shots, kept in cache/PX/SHA256.jpg.
 *
 * The cache may be deleted at any time and comes back. What is found in it is not trusted to be whole: a power cut may have left
 * rubbish, so an entry that does not begin and end like a JPEG is made again.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_PICTURE_H
#define GABLEBOOK_PICTURE_H

#include <gablebook/shot.h>

G_BEGIN_DECLS

#define GB_PICTURE_QUALITY 82 /* JPEG quality of all pictures made here */

/* The picture of a shot with a longest side of px (never enlarged), upright, without metadata: from the cache, else made from the
 * original and kept. OWNED by the caller (g_bytes_unref). NULL when the original is missing, changed (its digest no longer fits)
 * or unreadable. Uses the folder alone, not the database: may be called in any thread. */
GBytes *gb_picture(const GbLog *log, const GbShot *shot, int px, GError **error);

/* Keep a picture that was made already. A cache that can't be written is no error. */
void gb_picture_keep(const GbLog *log, const char *sha256, int px, GBytes *picture);

G_END_DECLS
#endif
