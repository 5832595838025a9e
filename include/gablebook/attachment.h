/* attachment.h -- files that a camera wrote beside the photos: raw photos, videos, sound. Kept like photos, byte for byte in originals/, and
 * listed, but never shown.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_ATTACHMENT_H
#define GABLEBOOK_ATTACHMENT_H

#include <gablebook/log.h>

G_BEGIN_DECLS

/* Text OWNED by the struct. */
typedef struct {
    gint64 id;
    char *sha256;      /* 64 hex digits */
    char *source_name; /* the file's name on the card, valid UTF-8 */
    char *stored_name; /* its name in originals/ */
    char *kind;        /* gb_format_word: "raw photo", "video" ... */
    gint64 bytes;
    gint64 beside;     /* the shot whose file has the same name but for the ending ("IMG_2101.DNG" of "IMG_2101.JPG"); 0: none, or several */
} GbAttachment;

/* The attachments of the claim by file name. Array of GbAttachment, OWNED by the caller (g_ptr_array_unref).
 *   shots  gb_shots_load, for beside; BORROWED for the call */
GPtrArray *gb_attachments_load(GbLog *log, const GPtrArray *shots, GError **error);

G_END_DECLS
#endif
