/* hostile_support.c -- see hostile_support.h.
 *
 * Where only a header matters, a file is put together byte by byte: ITU-T T.81 (JPEG), ISO/IEC 15948 (PNG), CIPA DC-008 (EXIF), ISO/IEC
 * 14496-12 (boxes of HEIC). Else libjpeg writes it and a byte is changed.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "hostile_support.h"

#include "photo_support.h"

#include <gio/gio.h>
#include <stdio.h>

#include <jpeglib.h>

static void add(GByteArray *to, const void *bytes, gsize n)
{
    g_byte_array_append(to, bytes, (guint)n);
}
#define ADD(to, text) add((to), (text), sizeof(text) - 1)

static void add_number(GByteArray *to, guint64 value, int bytes)
{
    while (bytes-- > 0)
        add(to, &(guint8){ (guint8)(value >> 8 * bytes) }, 1);
}

static GBytes *done(GByteArray *array)
{
    return g_byte_array_free_to_bytes(array);
}

/* --- JPEG --- */

static void add_segment(GByteArray *to, int marker, const void *payload, gsize n)
{
    add(to, (const guint8[]){ 0xFF, (guint8)marker }, 2);
    add_number(to, n + 2, 2);
    add(to, payload, n);
}

/* SOI, tables of one quantizer and of two codes each (0 bit: nothing; for blocks also: end of many), and a frame of so many components. */
static GByteArray *begin_jpeg(int frame, int precision, guint width, guint height, int components)
{
    GByteArray *out = g_byte_array_new();
    guint8 quantizers[65], codes[19] = { 0, 1, 1, [17] = 0, [18] = 1 };
    memset(quantizers, 1, sizeof quantizers);
    quantizers[0] = 0;
    ADD(out, "\xFF\xD8");
    add_segment(out, 0xDB, quantizers, sizeof quantizers);
    add_segment(out, 0xC4, codes, sizeof codes);
    codes[0] = 0x10, codes[18] = 0xE0;
    add_segment(out, 0xC4, codes, sizeof codes);
    g_autoptr(GByteArray) head = g_byte_array_new();
    add_number(head, (guint64)precision, 1);
    add_number(head, height, 2);
    add_number(head, width, 2);
    add_number(head, (guint64)components, 1);
    for (int i = 1; i <= components; i++)
        add(head, (const guint8[]){ (guint8)i, 0x11, 0 }, 3);
    add_segment(out, frame, head->data, head->len);
    return out;
}

static void add_scan(GByteArray *to, int first, int components, int from, int until, int approximation)
{
    g_autoptr(GByteArray) head = g_byte_array_new();
    add_number(head, (guint64)components, 1);
    for (int i = 0; i < components; i++)
        add(head, (const guint8[]){ (guint8)(first + i), 0 }, 2);
    add(head, (const guint8[]){ (guint8)from, (guint8)until, (guint8)approximation }, 3);
    add_segment(to, 0xDA, head->data, head->len);
}

static GBytes *header_of(int frame, int precision, guint width, guint height)
{
    GByteArray *out = begin_jpeg(frame, precision, width, height, 3);
    add_scan(out, 1, 3, 0, 63, 0);
    ADD(out, "\xFF\xD9");
    return done(out);
}

static GBytes *make_65535(void)
{
    return header_of(0xC0, 8, 65535, 65535);
}

static GBytes *make_65500(void)
{
    return header_of(0xC0, 8, 65500, 65500);
}

static GBytes *make_200_megapixels(void)
{
    return header_of(0xC0, 8, 65500, 3053);
}

static GBytes *make_12_bit(void)
{
    return header_of(0xC1, 12, 64, 48);
}

static GBytes *make_lossless(void)
{
    return header_of(0xC3, 8, 64, 48);
}

/* Progressive scans without any data. */
static GBytes *scans(guint px, int n)
{
    GByteArray *out = begin_jpeg(0xC2, 8, px, px, 3);
    add_scan(out, 1, 3, 0, 0, 1);
    for (int i = 1; i < n; i++)
        add_scan(out, 1 + i % 3, 1, 1, 63, 0);
    ADD(out, "\xFF\xD9");
    return done(out);
}

static GBytes *make_5000_scans(void)
{
    return scans(64, 5000);
}

static GBytes *make_99_large_scans(void)
{
    return scans(8000, 99);
}

static GBytes *make_progressive_200_megapixels(void)
{
    return scans(14000, 10);
}

typedef enum { PLAIN, ARITHMETIC, CMYK, YCCK } Coding;

static GBytes *coded(Coding coding)
{
    struct jpeg_compress_struct jpeg;
    struct jpeg_error_mgr errors;
    unsigned char *data = NULL;
    unsigned long n = 0;
    JSAMPLE row[4 * 64];
    jpeg.err = jpeg_std_error(&errors);
    jpeg_create_compress(&jpeg);
    jpeg_mem_dest(&jpeg, &data, &n);
    jpeg.image_width = 64;
    jpeg.image_height = 48;
    jpeg.input_components = coding >= CMYK ? 4 : 3;
    jpeg.in_color_space = coding >= CMYK ? JCS_CMYK : JCS_RGB;
    jpeg_set_defaults(&jpeg);
    if (coding == YCCK)
        jpeg_set_colorspace(&jpeg, JCS_YCCK);
    jpeg.arith_code = coding == ARITHMETIC;
    jpeg_start_compress(&jpeg, TRUE);
    for (guint y = 0; y < 48; y++) {
        for (guint i = 0; i < sizeof row; i++)
            row[i] = (JSAMPLE)(i * 3 + y * 5);
        jpeg_write_scanlines(&jpeg, (JSAMPROW[]){ row }, 1);
    }
    jpeg_finish_compress(&jpeg);
    jpeg_destroy_compress(&jpeg);
    return g_bytes_new_with_free_func(data, n, free, data);
}

static GBytes *make_arithmetic(void)
{
    return coded(ARITHMETIC);
}

static GBytes *make_cmyk(void)
{
    return coded(CMYK);
}

static GBytes *make_ycck(void)
{
    return coded(YCCK);
}

static GBytes *first_of_plain(gsize n)
{
    g_autoptr(GBytes) whole = jpeg_bytes(200, 150, 1);
    gsize all = g_bytes_get_size(whole);
    return g_bytes_new_from_bytes(whole, 0, n == 0 ? all - 2 : n);
}

static GBytes *make_without_end(void)
{
    return first_of_plain(0);
}

static GBytes *make_cut_in_pixels(void)
{
    return first_of_plain(9000);
}

static GBytes *make_cut_in_header(void)
{
    return first_of_plain(200);
}

static GBytes *make_start_alone(void)
{
    return g_bytes_new_static("\xFF\xD8\xFF", 3);
}

static GBytes *make_nothing(void)
{
    return g_bytes_new_static("", 0);
}

static GBytes *make_a_page(void)
{
    return g_bytes_new_static("<html>not found</html>", 22);
}

/* So many segments with a payload, then a sound picture. */
static GBytes *behind_segments(guint times, int marker, const void *payload, gsize n)
{
    g_autoptr(GBytes) picture = coded(PLAIN);
    GByteArray *out = g_byte_array_new();
    ADD(out, "\xFF\xD8");
    for (guint i = 0; i < times; i++)
        add_segment(out, marker, payload, n);
    add(out, (const guint8 *)g_bytes_get_data(picture, NULL) + 2, g_bytes_get_size(picture) - 2);
    return done(out);
}

static GBytes *make_a_million_segments(void)
{
    return behind_segments(1000000, 0xE1, NULL, 0);
}

/* Each the last of 255 pieces of a colour profile. */
static GBytes *make_a_million_profiles(void)
{
    return behind_segments(1000000, 0xE2, "ICC_PROFILE\0\xFF\xFFx", 15);
}

static GBytes *make_large_segments(void)
{
    g_autofree guint8 *payload = g_malloc0(65533);
    memcpy(payload, "Exif\0", 6);
    return behind_segments(400, 0xE1, payload, 65533);
}

/* A length of 0 is shorter than itself. */
static GBytes *make_segment_of_no_length(void)
{
    g_autoptr(GBytes) picture = coded(PLAIN);
    GByteArray *out = g_byte_array_new();
    ADD(out, "\xFF\xD8\xFF\xE1\0\0");
    add(out, (const guint8 *)g_bytes_get_data(picture, NULL) + 2, g_bytes_get_size(picture) - 2);
    return done(out);
}

/* --- EXIF --- */

/* A block of one directory, big-endian: entries of tag, type, count and four bytes of value, then what they point to. */
typedef struct {
    guint16 tag, type;
    guint32 count, value;
} Field;

static GBytes *with_exif(const Field *fields, guint n, guint32 next, const void *more, gsize more_n)
{
    g_autoptr(GByteArray) block = g_byte_array_new();
    ADD(block, "Exif\0\0MM\0*");
    add_number(block, 8, 4);
    add_number(block, n, 2);
    for (guint i = 0; i < n; i++) {
        add_number(block, fields[i].tag, 2);
        add_number(block, fields[i].type, 2);
        add_number(block, fields[i].count, 4);
        add_number(block, fields[i].value, 4);
    }
    add_number(block, next, 4);
    add(block, more, more_n);
    return behind_segments(1, 0xE1, block->data, block->len);
}
#define AFTER(n) (8 + 2 + 12 * (n) + 4) /* where what they point to begins */

enum { ASCII = 2, SHORT = 3, LONG = 4, RATIONAL = 5 };

static GBytes *make_loops(void)
{
    static const Field fields[] = { { 0x8769, LONG, 1, 8 }, { 0x8825, LONG, 1, 8 }, { 0xA005, LONG, 1, 8 } };
    return with_exif(fields, G_N_ELEMENTS(fields), 8, NULL, 0);
}

static GBytes *make_huge_counts(void)
{
    static const Field fields[] = { { 0x010F, ASCII, 0xFFFFFFFF, AFTER(3) }, { 0x0110, ASCII, 0x7FFFFFFF, 8 },
                                    { 0x9003, RATIONAL, 0x20000001, AFTER(3) } };
    return with_exif(fields, G_N_ELEMENTS(fields), 0, "text", 4);
}

static GBytes *make_offsets_outside(void)
{
    static const Field fields[] = { { 0x010F, ASCII, 40, 0xFFFFFFF0 }, { 0x0110, ASCII, 40, 60000 }, { 0x8769, LONG, 1, 0x80000000 },
                                    { 0x8825, LONG, 1, 0xFFFFFFFF } };
    return with_exif(fields, G_N_ELEMENTS(fields), 0xFFFFFFFE, NULL, 0);
}

static GBytes *make_65535_entries(void)
{
    g_autoptr(GByteArray) block = g_byte_array_new();
    ADD(block, "Exif\0\0MM\0*\0\0\0\x08\xFF\xFF");
    while (block->len < 65500)
        ADD(block, "\x87\x69\0\x04\0\0\0\x01\0\0\0\x08");
    return behind_segments(1, 0xE1, block->data, block->len);
}

/* Camera, date and place, and nothing in them means anything. */
static GBytes *make_nonsense(void)
{
    enum { N = 4, GPS_N = 5, VALUES = AFTER(N) + 2 + 12 * GPS_N + 4 };
    static const Field fields[N] = { { 0x010F, ASCII, 12, VALUES }, { 0x9003, ASCII, 20, VALUES + 12 }, { 0x0112, SHORT, 1, 99 << 16 },
                                     { 0x8825, LONG, 1, AFTER(N) } };
    static const Field gps[GPS_N] = { { 1, ASCII, 2, 'N' << 24 }, { 2, RATIONAL, 3, VALUES + 32 }, { 3, ASCII, 2, 'W' << 24 },
                                      { 4, RATIONAL, 3, VALUES + 56 }, { 17, RATIONAL, 1, VALUES + 80 } };
    g_autoptr(GByteArray) more = g_byte_array_new();
    add_number(more, GPS_N, 2);
    for (guint i = 0; i < GPS_N; i++) {
        add_number(more, gps[i].tag, 2);
        add_number(more, gps[i].type, 2);
        add_number(more, gps[i].count, 4);
        add_number(more, gps[i].value, 4);
    }
    add_number(more, 0, 4);
    ADD(more, "\xC3\x28\xFF\xFE\x1B[31mx\0\0");
    ADD(more, "0000:00:00 00:00:00\0");
    static const guint32 angles[] = { 91, 1, 0, 1, 0, 1, /* 91 degrees */ 97, 1, 0, 0, 0, 1, /* minutes unknown */ 0, 0 };
    for (gsize i = 0; i < G_N_ELEMENTS(angles); i++)
        add_number(more, angles[i], 4);
    return with_exif(fields, N, 0, more->data, more->len);
}

/* --- PNG --- */

static guint32 crc_of(const guint8 *p, gsize n)
{
    guint32 crc = ~0u;
    while (n-- > 0) {
        crc ^= *p++;
        for (int bit = 0; bit < 8; bit++)
            crc = crc >> 1 ^ (crc & 1 ? 0xEDB88320u : 0);
    }
    return ~crc;
}

static void add_chunk(GByteArray *to, const char *name, const void *data, gsize n)
{
    add_number(to, n, 4);
    guint at = to->len;
    add(to, name, 4);
    add(to, data, n);
    add_number(to, crc_of(to->data + at, n + 4), 4);
}

/* Eight-bit grey. */
static GByteArray *begin_png(guint32 width, guint32 height, gboolean interlaced)
{
    GByteArray *out = g_byte_array_new();
    g_autoptr(GByteArray) head = g_byte_array_new();
    add_number(head, width, 4);
    add_number(head, height, 4);
    add(head, (const guint8[]){ 8, 0, 0, 0, interlaced }, 5);
    ADD(out, "\x89PNG\r\n\x1A\n");
    add_chunk(out, "IHDR", head->data, head->len);
    return out;
}

/* n zero bytes, by zlib. */
static GByteArray *deflated_zeros(gsize n)
{
    g_autoptr(GConverter) zlib = G_CONVERTER(g_zlib_compressor_new(G_ZLIB_COMPRESSOR_FORMAT_ZLIB, 9));
    g_autofree guint8 *zeros = g_malloc0(1 << 20);
    guint8 piece[4096];
    GByteArray *out = g_byte_array_new();
    for (GConverterResult result = G_CONVERTER_CONVERTED; result != G_CONVERTER_FINISHED;) {
        gsize some = MIN(n, 1 << 20), taken, made;
        result = g_converter_convert(zlib, zeros, some, piece, sizeof piece, some == n ? G_CONVERTER_INPUT_AT_END : 0, &taken, &made, NULL);
        g_assert_true(result != G_CONVERTER_ERROR);
        add(out, piece, made);
        n -= taken;
    }
    return out;
}

static GBytes *finish_png(GByteArray *out, gsize width, gsize height)
{
    g_autoptr(GByteArray) rows = deflated_zeros((width + 1) * height);
    add_chunk(out, "IDAT", rows->data, rows->len);
    add_chunk(out, "IEND", NULL, 0);
    return done(out);
}

static GBytes *make_png_of_2_to_31(void)
{
    return finish_png(begin_png(0x7FFFFFFF, 0x7FFFFFFF, FALSE), 16, 16);
}

static GBytes *make_png_interlaced_200_megapixels(void)
{
    return finish_png(begin_png(14000, 14000, TRUE), 16, 16);
}

static GBytes *make_png_bomb(void)
{
    return finish_png(begin_png(14000, 14000, FALSE), 14000, 14000);
}

/* A colour profile and a text that unpack to 256 MB, in 256 KB. */
static GBytes *make_png_packed_extras(void)
{
    GByteArray *out = begin_png(16, 16, FALSE);
    g_autoptr(GByteArray) zeros = deflated_zeros((gsize)256 << 20);
    g_byte_array_prepend(zeros, (const guint8 *)"icc\0", 5);
    add_chunk(out, "iCCP", zeros->data, zeros->len);
    add_chunk(out, "zTXt", zeros->data, zeros->len);
    return finish_png(out, 16, 16);
}

static GBytes *make_png_exif_of_2_gb(void)
{
    GByteArray *out = begin_png(16, 16, FALSE);
    add_number(out, 0x77000000, 4);
    ADD(out, "eXIfMM\0*");
    return done(out);
}

static GBytes *make_png_cut(void)
{
    GByteArray *out = begin_png(16, 16, FALSE);
    g_autoptr(GByteArray) rows = deflated_zeros(17 * 8);
    add_chunk(out, "IDAT", rows->data, rows->len);
    return done(out);
}

/* --- HEIC --- */

static GByteArray *begin_heic(void)
{
    GByteArray *out = g_byte_array_new();
    ADD(out, "\0\0\0\x18" "ftypheic\0\0\0\0mif1heic");
    return out;
}

/* Boxes that claim to be larger than the file, and ever more of them in each other. */
static GBytes *make_heic_of_boxes(void)
{
    GByteArray *out = begin_heic();
    for (int i = 0; i < 3000; i++)
        ADD(out, "\xFF\xFF\xFF\xFFmeta\0\0\0\0");
    return done(out);
}

static GBytes *make_heic_of_endless_boxes(void)
{
    GByteArray *out = begin_heic();
    ADD(out, "\0\0\0\x01meta\xFF\xFF\xFF\xFF\xFF\xFF\xFF\xFF\0\0\0\0");
    ADD(out, "\0\0\0\x10iloc\x02\0\0\0\x44\x40\xFF\xFF\xFF\xFF");
    return done(out);
}

static GBytes *make_heic_without_anything(void)
{
    return done(begin_heic());
}

const HostileFile *hostile_files(gsize *n)
{
    static const HostileFile files[] = {
        { "65535.jpg", make_65535, HOSTILE_REFUSED, "too large", 16 },
        { "65500.jpg", make_65500, HOSTILE_REFUSED, "claims 65500 x 65500 pixels", 16 },
        { "200-megapixels.jpg", make_200_megapixels, HOSTILE_PARTLY, NULL, 64 },
        { "12-bit.jpg", make_12_bit, HOSTILE_REFUSED, "precision 12", 16 },
        { "lossless.jpg", make_lossless, HOSTILE_REFUSED, "SOF type", 16 },
        { "5000-scans.jpg", make_5000_scans, HOSTILE_UNSHOWN, "more than 100 scans", 16 },
        { "99-large-scans.jpg", make_99_large_scans, HOSTILE_PARTLY, NULL, 450 },
        { "progressive-200-megapixels.jpg", make_progressive_200_megapixels, HOSTILE_UNSHOWN, "too large", 64 },
        { "arithmetic.jpg", make_arithmetic, HOSTILE_WHOLE, NULL, 16 },
        { "cmyk.jpg", make_cmyk, HOSTILE_WHOLE, NULL, 16 },
        { "ycck.jpg", make_ycck, HOSTILE_WHOLE, NULL, 16 },
        { "without-end.jpg", make_without_end, HOSTILE_PARTLY, NULL, 16 },
        { "cut-in-pixels.jpg", make_cut_in_pixels, HOSTILE_PARTLY, NULL, 16 },
        { "cut-in-header.jpg", make_cut_in_header, HOSTILE_REFUSED, "damaged", 16 },
        { "start-alone.jpg", make_start_alone, HOSTILE_REFUSED, "damaged", 16 },
        { "nothing.jpg", make_nothing, HOSTILE_REFUSED, "empty", 16 },
        { "page.jpg", make_a_page, HOSTILE_REFUSED, "no photo", 16 },
        { "a-million-segments.jpg", make_a_million_segments, HOSTILE_WHOLE, NULL, 32 },
        { "a-million-profiles.jpg", make_a_million_profiles, HOSTILE_WHOLE, NULL, 48 },
        { "large-segments.jpg", make_large_segments, HOSTILE_WHOLE, NULL, 64 },
        { "segment-of-no-length.jpg", make_segment_of_no_length, HOSTILE_WHOLE, NULL, 16 },
        { "loops.jpg", make_loops, HOSTILE_WHOLE, NULL, 16 },
        { "huge-counts.jpg", make_huge_counts, HOSTILE_WHOLE, NULL, 16 },
        { "offsets-outside.jpg", make_offsets_outside, HOSTILE_WHOLE, NULL, 16 },
        { "65535-entries.jpg", make_65535_entries, HOSTILE_WHOLE, NULL, 32 },
        { "nonsense.jpg", make_nonsense, HOSTILE_WHOLE, NULL, 16 },
        { "2-to-31.png", make_png_of_2_to_31, HOSTILE_REFUSED, "claims 2147483647 x 2147483647 pixels", 16 },
        { "interlaced.png", make_png_interlaced_200_megapixels, HOSTILE_REFUSED, "interlaced", 16 },
        { "bomb.png", make_png_bomb, HOSTILE_WHOLE, NULL, 32 },
        { "packed-extras.png", make_png_packed_extras, HOSTILE_WHOLE, NULL, 32 },
        { "exif-of-2-gb.png", make_png_exif_of_2_gb, HOSTILE_REFUSED, "ends too early", 16 },
        { "cut.png", make_png_cut, HOSTILE_PARTLY, NULL, 16 },
        { "boxes.heic", make_heic_of_boxes, HOSTILE_REFUSED, "HEIC is damaged", 16 },
        { "endless-boxes.heic", make_heic_of_endless_boxes, HOSTILE_REFUSED, "HEIC is damaged", 16 },
        { "without-anything.heic", make_heic_without_anything, HOSTILE_REFUSED, "HEIC is damaged", 16 },
    };
    *n = G_N_ELEMENTS(files);
    return files;
}
