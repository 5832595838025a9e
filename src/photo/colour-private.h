/* colour-private.h -- the colours of a picture, as its profile means them. Only for src/photo/ and its tests.
 *
 * A smaller picture has no profile, so whoever shows it takes its numbers for sRGB. Where the photo's own profile says something else
 * (phones: Display P3), the small picture is converted, once it is small. Measures of quality are taken of the photo as it was decoded.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_COLOUR_PRIVATE_H
#define GABLEBOOK_COLOUR_PRIVATE_H

#include "jpeg-private.h"

#include <glib.h>

G_BEGIN_DECLS

#define GB_PROFILE_MAX_BYTES (4u << 20) /* a camera's has some hundred bytes, one with tables for a printer a megabyte or two */

/* Bring n pixels to sRGB, in place.
 *   profile  an ICC profile (ISO 15076-1) from a file, of profile_bytes; NULL none. What is broken, larger than GB_PROFILE_MAX_BYTES or not
 *            of RGB pictures is passed over: a photo is never refused for its profile
 *   kind     what the pixels are; grey ones stay
 * Returns what they are now: YCC that were converted are RGB. Where the profile is sRGB itself, nothing is done. */
GbPixels gb_to_srgb(const void *profile, gsize profile_bytes, guint8 *pixels, gsize n, GbPixels kind);

/* An ICC profile of colour primaries by their number in ITU-T H.273, table 2, with the curve of sRGB. NULL for those that are sRGB's,
 * unknown, or never a photo's. OWNED by the caller. */
GBytes *gb_profile_of_primaries(int primaries);

G_END_DECLS
#endif
