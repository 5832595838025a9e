/* tiff.c -- the directories (IFDs) of an EXIF block, walked within bounds. See exif-private.h.
 *
 * libexif reads the values. This is for two things it has no call for: to leave MakerNotes alone, whose decoders are
 * where most of its security faults were, and to point at the thumbnail inside the block.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "exif-private.h"

#include <gablebook/exif.h>

enum {
    ENTRY_BYTES = 12,
    MAX_DIRECTORIES = 16, /* of a sane block: 0th, 1st, Exif, GPS, Interoperability */
    MAX_WALKS = 4,        /* of a sane block two: one that hides, one that finds nothing */

    TAG_THUMBNAIL_OFFSET = 0x0201,
    TAG_THUMBNAIL_LENGTH = 0x0202,
    TAG_EXIF_IFD = 0x8769,
    TAG_GPS_IFD = 0x8825,
    TAG_MAKER_NOTE = 0x927C,
    TAG_INTEROPERABILITY_IFD = 0xA005,
    TAG_NOBODYS = 0xFEFE, /* means nothing to anyone, and is the same in either byte order */

    TYPE_SHORT = 3,
    TYPE_LONG = 4,
};

gboolean gb_tiff_open(GbTiff *tiff, const guint8 *block, gsize n)
{
    if (block == NULL || n < GB_EXIF_MARK_BYTES + 8 || memcmp(block, "Exif\0", GB_EXIF_MARK_BYTES) != 0)
        return FALSE;
    *tiff = (GbTiff){ block + GB_EXIF_MARK_BYTES, n - GB_EXIF_MARK_BYTES, FALSE };
    tiff->little = memcmp(tiff->bytes, "II", 2) == 0;
    return (tiff->little || memcmp(tiff->bytes, "MM", 2) == 0) && gb_tiff_u16(tiff, 2) == 42;
}

guint16 gb_tiff_u16(const GbTiff *tiff, gsize at)
{
    if (at > tiff->n || tiff->n - at < 2)
        return 0;
    const guint8 *p = tiff->bytes + at;
    return tiff->little ? (guint16)(p[0] | p[1] << 8) : (guint16)(p[0] << 8 | p[1]);
}

guint32 gb_tiff_u32(const GbTiff *tiff, gsize at)
{
    if (at > tiff->n || tiff->n - at < 4)
        return 0;
    guint32 first = gb_tiff_u16(tiff, at), second = gb_tiff_u16(tiff, at + 2);
    return tiff->little ? second << 16 | first : first << 16 | second;
}

guint gb_tiff_entries(const GbTiff *tiff, gsize at)
{
    if (at > tiff->n || tiff->n - at < 2)
        return 0;
    return MIN(gb_tiff_u16(tiff, at), (guint)((tiff->n - at - 2) / ENTRY_BYTES));
}

/* The offset of the directory after the one at `at`; 0 when there is none. */
static gsize next_directory(const GbTiff *tiff, gsize at)
{
    return gb_tiff_u32(tiff, at + 2 + (gsize)ENTRY_BYTES * gb_tiff_u16(tiff, at));
}

/* One walk over all directories. *hidden: how many notes it hid. FALSE when there are more directories than are followed. */
static gboolean hide_once(const GbTiff *tiff, guint8 *bytes, guint *hidden)
{
    gsize waiting[MAX_DIRECTORIES] = { gb_tiff_u32(tiff, 4), next_directory(tiff, gb_tiff_u32(tiff, 4)) };
    guint found = 2;
    for (guint d = 0; d < found; d++) {
        guint entries = gb_tiff_entries(tiff, waiting[d]);
        for (guint i = 0; i < entries; i++) {
            gsize entry = waiting[d] + 2 + (gsize)ENTRY_BYTES * i;
            guint16 tag = gb_tiff_u16(tiff, entry);
            if (tag == TAG_MAKER_NOTE) {
                memset(bytes + entry, TAG_NOBODYS & 0xFF, 2);
                ++*hidden;
            } else if (tag == TAG_EXIF_IFD || tag == TAG_GPS_IFD || tag == TAG_INTEROPERABILITY_IFD) {
                if (found == MAX_DIRECTORIES)
                    return FALSE;
                waiting[found++] = gb_tiff_u32(tiff, entry + 8);
            }
        }
    }
    return TRUE;
}

/* A hostile block may have its directories one in the other, so that hiding a note in one turns a pointer of the other to a place where
 * nobody has looked: it is done until a walk finds nothing more. */
gboolean gb_tiff_hide_maker_notes(guint8 *block, gsize n)
{
    GbTiff tiff;
    if (!gb_tiff_open(&tiff, block, n))
        return TRUE;
    for (int walk = 0; walk < MAX_WALKS; walk++) {
        guint hidden = 0;
        if (!hide_once(&tiff, block + GB_EXIF_MARK_BYTES, &hidden))
            return FALSE;
        if (hidden == 0)
            return TRUE;
    }
    return FALSE;
}

/* The value of a SHORT or LONG entry of one component, 0 where the directory has none. */
static guint32 number_in(const GbTiff *tiff, gsize directory, guint16 tag)
{
    guint entries = gb_tiff_entries(tiff, directory);
    for (guint i = 0; i < entries; i++) {
        gsize entry = directory + 2 + (gsize)ENTRY_BYTES * i;
        if (gb_tiff_u16(tiff, entry) != tag || gb_tiff_u32(tiff, entry + 4) != 1)
            continue;
        switch (gb_tiff_u16(tiff, entry + 2)) {
        case TYPE_SHORT: return gb_tiff_u16(tiff, entry + 8);
        case TYPE_LONG: return gb_tiff_u32(tiff, entry + 8);
        }
    }
    return 0;
}

const guint8 *gb_exif_thumbnail(const guint8 *block, gsize n, gsize *length)
{
    *length = 0;
    GbTiff tiff;
    if (!gb_tiff_open(&tiff, block, n))
        return NULL;
    gsize directory = next_directory(&tiff, gb_tiff_u32(&tiff, 4));
    if (directory == 0)
        return NULL;
    gsize at = number_in(&tiff, directory, TAG_THUMBNAIL_OFFSET), bytes = number_in(&tiff, directory, TAG_THUMBNAIL_LENGTH);
    if (at == 0 || bytes < 4 || at > tiff.n || bytes > tiff.n - at || memcmp(tiff.bytes + at, "\xFF\xD8\xFF", 3) != 0)
        return NULL;
    *length = bytes;
    return tiff.bytes + at;
}
