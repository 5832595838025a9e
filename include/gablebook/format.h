/* format.h -- what a file is, by its first bytes; its name is not asked.
 *
 * Three kinds of format: photos, which can be shown; attachments, which a camera writes beside them and which are kept unseen; and what is
 * neither.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_FORMAT_H
#define GABLEBOOK_FORMAT_H

#include <glib.h>

G_BEGIN_DECLS

#define GB_FORMAT_HEAD_BYTES 4096 /* so many first bytes tell all that can be told */

typedef enum {
    GB_FORMAT_UNKNOWN, /* a text file, an empty file, anything else */
    GB_FORMAT_JPEG,
    GB_FORMAT_HEIC,     /* HEIF: HEVC or AV1 inside */
    GB_FORMAT_PNG,
    GB_FORMAT_RAW,      /* a camera's sensor data: DNG, CR2, CR3, NEF, ARW, ORF, RW2, RAF ... */
    GB_FORMAT_VIDEO,
    GB_FORMAT_SOUND,
    GB_FORMAT_DOCUMENT, /* PDF */
    GB_FORMAT_PICTURE,  /* TIFF, WebP, GIF, BMP: pictures that are not shown here */
} GbFormat;
#define GB_FORMATS (GB_FORMAT_PICTURE + 1)

/* By the first n bytes of a file, BORROWED for the call. */
GbFormat gb_format_of(const void *head, gsize n);

/* The same of a file; GB_FORMAT_UNKNOWN also when it can't be read: whoever reads it then learns why. */
GbFormat gb_format_of_file(const char *path);

gboolean gb_format_is_photo(GbFormat format);
gboolean gb_format_is_attachment(GbFormat format);

/* The word for it, also in the log: "JPEG", "HEIC", "PNG", "raw photo", "video", "sound recording", "document", "picture"; NULL for
 * GB_FORMAT_UNKNOWN. Constant. */
const char *gb_format_word(GbFormat format);
/* Whether a name's ending is one that files of this format have: ".heic" is, for HEIC. */
gboolean gb_format_has_ending(GbFormat format, const char *ending);
/* The ending for a file whose own does not fit: ".jpg", ".heic"; ".bin" where there are too many. Constant. */
const char *gb_format_ending(GbFormat format);

G_END_DECLS
#endif
