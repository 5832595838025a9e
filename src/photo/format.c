/* format.c -- what a file is. See format.h.
 *
 * Sources of the marks: ISO/IEC 14496-12 (the ftyp box: video, sound, HEIF's brands in ISO/IEC 23008-12), PNG third edition 5.2, TIFF 6.0,
 * RIFF, RFC 9559 (Matroska), ISO 32000 (PDF); raw formats as cameras write them (DNG 1.7; the others: common practice, no source).
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <gablebook/format.h>

#include "exif-private.h"

#include <gablebook/file.h>

enum { TAG_SUB_IFDS = 0x014A, TAG_EXIF_IFD = 0x8769, TAG_DNG_VERSION = 0xC612 };

/* What files of a format are called. Endings in lower case; the first is for files whose own does not fit. */
static const struct {
    const char *word, *endings[12];
} formats[GB_FORMATS] = {
    [GB_FORMAT_JPEG] = { "JPEG", { ".jpg", ".jpeg", ".jpe" } },
    [GB_FORMAT_HEIC] = { "HEIC", { ".heic", ".heif", ".hif", ".avif" } },
    [GB_FORMAT_PNG] = { "PNG", { ".png" } },
    [GB_FORMAT_RAW] = { "raw photo", { ".bin", ".dng", ".cr2", ".cr3", ".nef", ".nrw", ".arw", ".orf", ".rw2", ".raf", ".pef" } },
    [GB_FORMAT_VIDEO] = { "video", { ".bin", ".mov", ".mp4", ".m4v", ".3gp", ".avi", ".mkv", ".webm", ".mts" } },
    [GB_FORMAT_SOUND] = { "sound recording", { ".bin", ".m4a", ".wav", ".mp3", ".ogg", ".amr", ".flac" } },
    [GB_FORMAT_DOCUMENT] = { "document", { ".pdf" } },
    [GB_FORMAT_PICTURE] = { "picture", { ".bin", ".tif", ".tiff", ".webp", ".gif", ".bmp" } },
};

/* Bytes at an offset, and where one mark is not enough a second. */
static const struct {
    GbFormat format;
    guint8 at, length;
    const char *bytes;
    guint8 also_at, also_length;
    const char *also;
} marks[] = {
    { GB_FORMAT_JPEG, 0, 3, "\xFF\xD8\xFF", 0, 0, "" },
    { GB_FORMAT_PNG, 0, 8, "\x89PNG\r\n\x1A\n", 0, 0, "" },
    { GB_FORMAT_DOCUMENT, 0, 5, "%PDF-", 0, 0, "" },
    { GB_FORMAT_RAW, 0, 8, "FUJIFILM", 8, 7, "CCD-RAW" },
    { GB_FORMAT_RAW, 0, 4, "IIRO", 0, 0, "" },
    { GB_FORMAT_RAW, 0, 4, "IIRS", 0, 0, "" },
    { GB_FORMAT_RAW, 0, 4, "MMOR", 0, 0, "" },
    { GB_FORMAT_RAW, 0, 4, "IIU\0", 0, 0, "" },
    { GB_FORMAT_RAW, 0, 4, "FOVb", 0, 0, "" },
    { GB_FORMAT_VIDEO, 0, 4, "RIFF", 8, 4, "AVI " },
    { GB_FORMAT_VIDEO, 0, 4, "\x1A\x45\xDF\xA3", 0, 0, "" },
    { GB_FORMAT_VIDEO, 4, 4, "moov", 0, 0, "" }, /* QuickTime before there was ftyp */
    { GB_FORMAT_VIDEO, 4, 4, "mdat", 0, 0, "" },
    { GB_FORMAT_VIDEO, 4, 4, "wide", 0, 0, "" },
    { GB_FORMAT_SOUND, 0, 4, "RIFF", 8, 4, "WAVE" },
    { GB_FORMAT_SOUND, 0, 3, "ID3", 0, 0, "" },
    { GB_FORMAT_SOUND, 0, 4, "OggS", 0, 0, "" },
    { GB_FORMAT_SOUND, 0, 4, "fLaC", 0, 0, "" },
    { GB_FORMAT_SOUND, 0, 5, "#!AMR", 0, 0, "" },
    { GB_FORMAT_PICTURE, 0, 4, "RIFF", 8, 4, "WEBP" },
    { GB_FORMAT_PICTURE, 0, 6, "GIF87a", 0, 0, "" },
    { GB_FORMAT_PICTURE, 0, 6, "GIF89a", 0, 0, "" },
    { GB_FORMAT_PICTURE, 0, 2, "BM", 6, 4, "\0\0\0\0" },
};

static gboolean has(const guint8 *head, gsize n, gsize at, gsize length, const char *bytes)
{
    return at + length <= n && memcmp(head + at, bytes, length) == 0;
}

/* The brands of an ftyp box: the major one, then those it is compatible with. The first that says anything decides. */
static GbFormat of_brand(const guint8 *brand)
{
    static const struct {
        char brand[5];
        GbFormat format;
    } known[] = {
        { "heic", GB_FORMAT_HEIC }, { "heix", GB_FORMAT_HEIC }, { "heim", GB_FORMAT_HEIC }, { "heis", GB_FORMAT_HEIC },
        { "hevc", GB_FORMAT_HEIC }, { "hevx", GB_FORMAT_HEIC }, { "mif1", GB_FORMAT_HEIC }, { "mif2", GB_FORMAT_HEIC },
        { "msf1", GB_FORMAT_HEIC }, { "avif", GB_FORMAT_HEIC }, { "avis", GB_FORMAT_HEIC }, { "crx ", GB_FORMAT_RAW },
        { "M4A ", GB_FORMAT_SOUND }, { "M4B ", GB_FORMAT_SOUND },
    };
    for (gsize i = 0; i < G_N_ELEMENTS(known); i++)
        if (memcmp(brand, known[i].brand, 4) == 0)
            return known[i].format;
    return GB_FORMAT_UNKNOWN;
}

/* A file of boxes that is no picture is a film: there are too many brands of those to know them all. */
static GbFormat of_boxes(const guint8 *head, gsize n)
{
    gsize end = (gsize)head[0] << 24 | (gsize)head[1] << 16 | (gsize)head[2] << 8 | head[3];
    GbFormat format = n >= 12 ? of_brand(head + 8) : GB_FORMAT_UNKNOWN;
    for (gsize at = 16; format == GB_FORMAT_UNKNOWN && at + 4 <= MIN(end, n); at += 4)
        format = of_brand(head + at);
    return format == GB_FORMAT_UNKNOWN ? GB_FORMAT_VIDEO : format;
}

/* Raw files are TIFF with the sensor's data in a directory below the first, or with a camera's EXIF. */
static GbFormat of_tiff(const guint8 *head, gsize n)
{
    GbTiff tiff = { head, n, head[0] == 'I' };
    gsize at = gb_tiff_u32(&tiff, 4);
    for (guint i = 0, entries = gb_tiff_entries(&tiff, at); i < entries; i++) {
        guint16 tag = gb_tiff_u16(&tiff, at + 2 + 12 * (gsize)i);
        if (tag == TAG_SUB_IFDS || tag == TAG_EXIF_IFD || tag == TAG_DNG_VERSION)
            return GB_FORMAT_RAW;
    }
    return GB_FORMAT_PICTURE;
}

/* Camcorders' streams have a byte 47h every 188 bytes (ISO/IEC 13818-1), or every 192 after four of a time stamp (AVCHD). */
static gboolean is_stream(const guint8 *head, gsize n)
{
    for (gsize step = 188, at = 0; step <= 192; step += 4, at += 4) {
        gsize seen = 0;
        while (seen < 4 && at + seen * step < n && head[at + seen * step] == 0x47)
            seen++;
        if (seen == 4)
            return TRUE;
    }
    return FALSE;
}

GbFormat gb_format_of(const void *data, gsize n)
{
    const guint8 *head = data;
    for (gsize i = 0; i < G_N_ELEMENTS(marks); i++)
        if (has(head, n, marks[i].at, marks[i].length, marks[i].bytes) &&
            has(head, n, marks[i].also_at, marks[i].also_length, marks[i].also))
            return marks[i].format;
    if (has(head, n, 4, 4, "ftyp"))
        return of_boxes(head, n);
    if (has(head, n, 0, 4, "II*\0") || has(head, n, 0, 4, "MM\0*"))
        return of_tiff(head, n);
    return is_stream(head, n) ? GB_FORMAT_VIDEO : GB_FORMAT_UNKNOWN;
}

GbFormat gb_format_of_file(const char *path)
{
    g_autoptr(GBytes) head = gb_file_read_head(path, GB_FORMAT_HEAD_BYTES, NULL);
    return head == NULL ? GB_FORMAT_UNKNOWN : gb_format_of(g_bytes_get_data(head, NULL), g_bytes_get_size(head));
}

gboolean gb_format_is_photo(GbFormat format)
{
    return format == GB_FORMAT_JPEG || format == GB_FORMAT_HEIC || format == GB_FORMAT_PNG;
}

gboolean gb_format_is_attachment(GbFormat format)
{
    return format != GB_FORMAT_UNKNOWN && !gb_format_is_photo(format);
}

const char *gb_format_word(GbFormat format)
{
    return formats[format].word;
}

gboolean gb_format_has_ending(GbFormat format, const char *ending)
{
    const char *const *endings = formats[format].endings;
    for (gsize i = strcmp(gb_format_ending(format), ".bin") == 0; i < G_N_ELEMENTS(formats[0].endings) && endings[i] != NULL; i++)
        if (g_ascii_strcasecmp(ending, endings[i]) == 0)
            return TRUE;
    return FALSE;
}

const char *gb_format_ending(GbFormat format)
{
    return formats[format].endings[0] != NULL ? formats[format].endings[0] : ".bin";
}
