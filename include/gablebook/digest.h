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

/* In parts, for what is never in memory at once. */
typedef struct GbDigester GbDigester; /* contents: src/photo/digest.c */
GbDigester *gb_digester_new(GError **error); /* OWNED by the caller; NULL with GB_ERROR_IO as above */
gboolean gb_digester_add(GbDigester *digester, const void *data, gsize n, GError **error);
/* The digest of all that was added. Once; then only free it. */
gboolean gb_digester_end(GbDigester *digester, char hex[GB_DIGEST_HEX], GError **error);
void gb_digester_free(GbDigester *digester); /* NULL is allowed */
G_DEFINE_AUTOPTR_CLEANUP_FUNC(GbDigester, gb_digester_free)

G_END_DECLS
#endif
