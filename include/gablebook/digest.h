/* digest.h -- SHA-256 (FIPS 180-4), the name of a photo's bytes.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_DIGEST_H
#define GABLEBOOK_DIGEST_H

#include <glib.h>

G_BEGIN_DECLS

#define GB_DIGEST_HEX 65 /* 64 lower-case hexadecimal digits and a NUL */

/* Digest of n bytes into hex. FALSE with GB_ERROR_IO only when the crypto library refuses. */
gboolean gb_digest(const void *data, gsize n, char hex[GB_DIGEST_HEX], GError **error);

/* Digest of a file, read in pieces. GB_ERROR_IO names the file. */
gboolean gb_digest_file(const char *path, char hex[GB_DIGEST_HEX], GError **error);

G_END_DECLS
#endif
