/* photo_support.h -- small JPEG files made by the test.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_PHOTO_SUPPORT_H
#define GABLEBOOK_PHOTO_SUPPORT_H

#include "test.h"

/* A JPEG of that size whose picture, and so whose bytes, depend on seed. OWNED by the caller. */
GBytes *jpeg_bytes(guint width, guint height, guint seed);
/* Write bytes to FOLDER/name, folders on the way included. Returns the path, OWNED by the caller. */
char *put_file(const char *folder, const char *name, const void *data, gsize n);
/* Write a JPEG of 64 x 48 pixels and that seed. Returns the path, OWNED by the caller. */
char *put_photo(const char *folder, const char *name, guint seed);
/* The SHA-256 of a file as sha256sum (coreutils) says it, OWNED by the caller. */
char *sha256sum(const char *path);

#endif
