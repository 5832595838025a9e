/* fuzz_picture.c -- a JPEG or PNG as import takes it: header, EXIF, survey. HEIC is decoded by another program: see fuzz_decoder.c.
 *
 * Pictures that claim many pixels are left at their header here, for speed; tests/test_hostile_pictures.c decodes the largest.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "fuzz.h"

#include <gablebook/image.h>
#include <gablebook/jpeg.h>

#define PIXELS_MAX (512 * 512)

/* --- checksums of a PNG's chunks are made right again, or nothing behind them would ever be reached --- */

static guint32 be32(const uint8_t *p)
{
    return (guint32)p[0] << 24 | (guint32)p[1] << 16 | (guint32)p[2] << 8 | p[3];
}

/* PNG specification (ISO/IEC 15948), annex D. */
static guint32 crc_of(const uint8_t *p, gsize n)
{
    guint32 crc = ~0u;
    while (n-- > 0) {
        crc ^= *p++;
        for (int bit = 0; bit < 8; bit++)
            crc = crc >> 1 ^ (crc & 1 ? 0xEDB88320u : 0);
    }
    return ~crc;
}

static void mend_checksums(uint8_t *data, gsize n)
{
    for (gsize at = 8; n > at && n - at >= 12;) {
        gsize length = be32(data + at);
        if (length > n - at - 12)
            return;
        guint32 crc = GUINT32_TO_BE(crc_of(data + at + 4, length + 4));
        memcpy(data + at + 8 + length, &crc, 4);
        at += 12 + length;
    }
}

size_t LLVMFuzzerCustomMutator(uint8_t *data, size_t n, size_t max, unsigned seed)
{
    n = LLVMFuzzerMutate(data, n, max);
    if (n > 8 && memcmp(data, "\x89PNG", 4) == 0 && seed % 8 != 0)
        mend_checksums(data, n);
    return n;
}

/* --- the target --- */

static void survey(const uint8_t *data, size_t n, const GbImageHeader *header, int max_px)
{
    g_autoptr(GError) error = NULL;
    GbQuality measured;
    gboolean damaged;
    g_autoptr(GBytes) small =
        gb_image_survey(data, n, header->exif.orientation, max_px, 80, n % 2 ? &measured : NULL, &damaged, &error);
    if (small == NULL) {
        holds_sentence(&error);
        return;
    }
    GbJpegHeader made;
    holds(gb_jpeg_header(g_bytes_get_data(small, NULL), g_bytes_get_size(small), &made, NULL));
    holds(made.width <= max_px && made.height <= max_px && made.exif == NULL && !made.progressive);
    gb_jpeg_header_clear(&made);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t n)
{
    static const int sizes[] = { 1, 40, 320, 1000 };
    g_autoptr(GError) error = NULL;
    GbImageHeader header;
    if (gb_format_of(data, n) == GB_FORMAT_HEIC)
        return 0;
    if (!gb_image_header(data, n, &header, &error)) {
        holds_sentence(&error);
        return 0;
    }
    holds(header.width >= 1 && header.width <= 65535 && header.height >= 1 && header.height <= 65535);
    if ((gint64)header.width * header.height <= PIXELS_MAX)
        survey(data, n, &header, sizes[n / 2 % G_N_ELEMENTS(sizes)]);
    gb_image_header_clear(&header);
    return 0;
}
