/* test_jpeg.c -- small upright pictures, and what hostile files do to us (nothing).
 *
 * Sources: TIFF 6.0 / CIPA DC-008 for the eight orientations (2x3 table recomputed with ImageMagick -auto-orient); ImageMagick
 * as an independent reader, turner and resizer; the orientation set of a public collection of EXIF samples. PSNR floors lie
 * about 3 dB under what was measured; the measured values stand beside them.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "pixel_support.h"

#include "photo/jpeg-private.h"

#include <gablebook/error.h>
#include <gablebook/exif.h>
#include <gablebook/jpeg.h>
#include <stdio.h>
#include <string.h>

#include <jpeglib.h>
#include <lcms2.h>

G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(GbJpegHeader, gb_jpeg_header_clear)

/* --- JPEGs of every make --- */

typedef enum { PLAIN, PROGRESSIVE, ARITHMETIC } Coding;

/* A picture as JPEG bytes of a chosen make, OWNED by the caller. space: of pixels and file (JCS_RGB becomes YCbCr). */
static GBytes *encode(const Picture *p, J_COLOR_SPACE space, Coding coding, gboolean adobe)
{
    struct jpeg_compress_struct codec = { 0 };
    struct jpeg_error_mgr errors;
    codec.err = jpeg_std_error(&errors);
    jpeg_create_compress(&codec);
    unsigned char *out = NULL;
    unsigned long n = 0;
    jpeg_mem_dest(&codec, &out, &n);
    codec.image_width = (JDIMENSION)p->width;
    codec.image_height = (JDIMENSION)p->height;
    codec.input_components = p->channels;
    codec.in_color_space = space;
    jpeg_set_defaults(&codec);
    jpeg_set_quality(&codec, 95, TRUE);
    if (coding == PROGRESSIVE)
        jpeg_simple_progression(&codec);
    codec.arith_code = coding == ARITHMETIC;
    codec.write_Adobe_marker = adobe;
    jpeg_start_compress(&codec, TRUE);
    while (codec.next_scanline < codec.image_height) {
        JSAMPROW row = p->pixels + (gsize)codec.next_scanline * p->width * p->channels;
        jpeg_write_scanlines(&codec, &row, 1);
    }
    jpeg_finish_compress(&codec);
    jpeg_destroy_compress(&codec);
    GBytes *bytes = g_bytes_new(out, n);
    free(out);
    return bytes;
}

static GBytes *scene_jpeg(int width, int height, Coding coding)
{
    g_auto(Picture) p = scene(width, height, 3);
    return encode(&p, JCS_RGB, coding, FALSE);
}

/* Paint the middle over, where each picture of the orientation set shows its own number. */
static void hide_middle(Picture *p)
{
    for (int y = p->height * 3 / 8; y < p->height * 5 / 8; y++)
        memset(p->pixels + ((gsize)y * p->width + p->width * 2 / 5) * p->channels, 0, (gsize)p->width / 5 * p->channels);
}

/* Asked before a test allocates: skip() jumps, and what it jumps over leaks. */
static gboolean have_real_photos(void)
{
    g_autofree char *path = real_photo("orientation/portrait_8.jpg");
    return path != NULL;
}

static GBytes *shrink(GBytes *jpeg, int orientation, int max_px, gboolean *damaged)
{
    gsize n;
    const void *data = g_bytes_get_data(jpeg, &n);
    g_autoptr(GError) error = NULL;
    GBytes *small = gb_jpeg_shrink(data, n, orientation, max_px, 90, damaged, &error);
    assert_no_error(error);
    assert_non_null(small);
    return small;
}

/* A sound file, shrunk and looked at. */
static Picture shrunk(GBytes *jpeg, int orientation, int max_px)
{
    gboolean damaged = FALSE;
    g_autoptr(GBytes) small = shrink(jpeg, orientation, max_px, &damaged);
    assert_false(damaged);
    return picture_of_jpeg(small);
}

static void assert_refused(const void *data, gsize n, int code, const char *part)
{
    g_autoptr(GError) error = NULL;
    assert_null(gb_jpeg_shrink(data, n, 1, 100, 80, NULL, &error));
    assert_error(error, code, part);
}

/* --- turning and resampling alone --- */

/* Stored 10 20 30 / 40 50 60. Recomputed: ImageMagick -auto-orient and vips autorot give the same. */
static void the_eight_orientations_turn_six_pixels_as_the_table_says(void **state)
{
    (void)state;
    static const guint8 stored[2][3] = { { 10, 20, 30 }, { 40, 50, 60 } };
    static const guint8 upright[9][6] = {
        { 0 },
        { 10, 20, 30, 40, 50, 60 }, { 30, 20, 10, 60, 50, 40 }, { 60, 50, 40, 30, 20, 10 }, { 40, 50, 60, 10, 20, 30 },
        { 10, 40, 20, 50, 30, 60 }, { 40, 10, 50, 20, 60, 30 }, { 60, 30, 50, 20, 40, 10 }, { 30, 60, 20, 50, 10, 40 },
    };
    for (int orientation = 1; orientation <= 8; orientation++) {
        guint8 grey[6] = { 0 }, rgb[18] = { 0 };
        for (int y = 0; y < 2; y++) {
            guint8 row[9];
            for (int i = 0; i < 9; i++)
                row[i] = (guint8)(stored[y][i / 3] + i % 3);
            gb_upright_put_row(grey, stored[y], y, 3, 2, 1, orientation);
            gb_upright_put_row(rgb, row, y, 3, 2, 3, orientation);
        }
        assert_memory_equal(grey, upright[orientation], 6);
        for (int i = 0; i < 18; i++)
            assert_int_equal(rgb[i], upright[orientation][i / 3] + i % 3);
        assert_int_equal(gb_upright_swaps(orientation), orientation >= 5);
    }
}

/* Own arithmetic: means of whole and of divided pixels. */
static void area_means_are_exact(void **state)
{
    (void)state;
    g_autoptr(GbResample) halves = gb_resample_new(4, 2, 2, 1, 1);
    assert_null(gb_resample_add(halves, (const guint8[]){ 0, 100, 255, 255 }));
    const guint8 *row = gb_resample_add(halves, (const guint8[]){ 100, 200, 255, 254 });
    assert_int_equal(row[0], 100);
    assert_int_equal(row[1], 255); /* 254.75 */
    g_autoptr(GbResample) thirds = gb_resample_new(3, 3, 2, 2, 1); /* a pixel of the result covers 1.5 x 1.5 */
    assert_null(gb_resample_add(thirds, (const guint8[]){ 90, 0, 0 }));
    row = gb_resample_add(thirds, (const guint8[]){ 0, 0, 0 });
    assert_int_equal(row[0], 40); /* 90 / 2.25 */
    assert_int_equal(row[1], 0);
    row = gb_resample_add(thirds, (const guint8[]){ 0, 0, 225 });
    assert_int_equal(row[0], 0);
    assert_int_equal(row[1], 100);
}

static void resampling_gives_every_row_and_keeps_the_mean(void **state)
{
    (void)state;
    static const int sizes[][4] = { { 100, 77, 64, 49 }, { 33, 50, 1, 1 }, { 7, 7, 7, 7 }, { 640, 3, 319, 2 }, { 3, 640, 2, 319 } };
    for (gsize s = 0; s < G_N_ELEMENTS(sizes); s++) {
        const int *z = sizes[s];
        g_autoptr(GbResample) r = gb_resample_new(z[0], z[1], z[2], z[3], 3);
        g_autofree guint8 *row = g_malloc(3 * (gsize)z[0]);
        double in = 0, out = 0;
        int rows = 0;
        for (int y = 0; y < z[1]; y++) {
            for (int i = 0; i < 3 * z[0]; i++)
                in += row[i] = (guint8)(7 * i + 13 * y);
            const guint8 *done = gb_resample_add(r, row);
            rows += done != NULL;
            for (int i = 0; done != NULL && i < 3 * z[2]; i++)
                out += done[i];
        }
        assert_int_equal(rows, z[3]);
        assert_near(out / (3.0 * z[2] * z[3]), in / (3.0 * z[0] * z[1]), 0.5);
    }
}

/* --- sound pictures --- */

static void a_header_tells_size_components_and_coding(void **state)
{
    (void)state;
    static const Coding codings[] = { PLAIN, PROGRESSIVE, ARITHMETIC };
    for (gsize i = 0; i < G_N_ELEMENTS(codings); i++) {
        g_autoptr(GBytes) jpeg = scene_jpeg(123, 45, codings[i]);
        g_auto(GbJpegHeader) header = { 0 };
        g_autoptr(GError) error = NULL;
        assert_true(gb_jpeg_header(g_bytes_get_data(jpeg, NULL), g_bytes_get_size(jpeg), &header, &error));
        assert_no_error(error);
        assert_int_equal(header.width, 123);
        assert_int_equal(header.height, 45);
        assert_int_equal(header.components, 3);
        assert_int_equal(header.progressive, codings[i] == PROGRESSIVE);
        assert_null(header.exif);
    }
}

/* A JPEG with these APP1 payloads in this order, right after SOI. */
static GByteArray *with_app1(GBytes *jpeg, const char *const *payloads, const gsize *lengths, gsize n)
{
    gsize bytes;
    const guint8 *data = g_bytes_get_data(jpeg, &bytes);
    GByteArray *out = g_byte_array_new();
    g_byte_array_append(out, data, 2);
    for (gsize i = 0; i < n; i++) {
        guint8 head[4] = { 0xFF, 0xE1, (guint8)((lengths[i] + 2) >> 8), (guint8)(lengths[i] + 2) };
        g_byte_array_append(out, head, 4);
        g_byte_array_append(out, (const guint8 *)payloads[i], (guint)lengths[i]);
    }
    g_byte_array_append(out, data + 2, (guint)(bytes - 2));
    return out;
}

static void the_first_app1_that_begins_exif_is_the_block(void **state)
{
    (void)state;
    g_autoptr(GBytes) plain = scene_jpeg(16, 16, PLAIN);
    static const char *const payloads[] = { "Exif", "http://ns.adobe.com/xap/1.0/\0<x/>", "Exif\0\0first", "Exif\0\0second" };
    static const gsize lengths[] = { 4, 33, 11, 12 };
    g_autoptr(GByteArray) jpeg = with_app1(plain, payloads, lengths, 4);
    g_auto(GbJpegHeader) header = { 0 };
    assert_true(gb_jpeg_header(jpeg->data, jpeg->len, &header, NULL));
    assert_non_null(header.exif);
    assert_int_equal(g_bytes_get_size(header.exif), 11);
    assert_memory_equal(g_bytes_get_data(header.exif, NULL), "Exif\0\0first", 11);
}

static void the_longest_side_becomes_max_px_and_is_never_enlarged(void **state)
{
    (void)state;
    static const int rows[][5] = { /* stored, max_px, result */
        { 640, 480, 320, 320, 240 }, { 640, 480, 100, 100, 75 }, { 480, 640, 100, 75, 100 }, { 641, 479, 333, 333, 249 },
        { 640, 480, 640, 640, 480 }, { 640, 480, 5000, 640, 480 }, { 640, 480, 1, 1, 1 }, { 1000, 3, 100, 100, 1 },
        { 3, 1000, 100, 1, 100 }, { 1, 1, 7, 1, 1 }, { 16, 16, 15, 15, 15 },
    };
    for (gsize i = 0; i < G_N_ELEMENTS(rows); i++) {
        g_autoptr(GBytes) jpeg = scene_jpeg(rows[i][0], rows[i][1], PLAIN);
        g_auto(Picture) upright = shrunk(jpeg, 1, rows[i][2]), turned = shrunk(jpeg, 6, rows[i][2]);
        assert_int_equal(upright.width, rows[i][3]);
        assert_int_equal(upright.height, rows[i][4]);
        assert_int_equal(turned.width, rows[i][4]);
        assert_int_equal(turned.height, rows[i][3]);
    }
}

static void the_same_input_gives_the_same_bytes(void **state)
{
    (void)state;
    g_autoptr(GBytes) jpeg = scene_jpeg(300, 200, PLAIN);
    g_autoptr(GBytes) one = shrink(jpeg, 5, 77, NULL), two = shrink(jpeg, 5, 77, NULL);
    assert_true(g_bytes_equal(one, two));
}

/* How often a marker of this kind stands before the scan. */
static int count_markers(GBytes *jpeg, guint8 first, guint8 last)
{
    gsize n, at = 2;
    const guint8 *data = g_bytes_get_data(jpeg, &n);
    int count = 0;
    while (at + 4 <= n && data[at] == 0xFF && data[at + 1] != 0xDA) {
        count += data[at + 1] >= first && data[at + 1] <= last;
        at += 2 + ((gsize)data[at + 2] << 8 | data[at + 3]);
    }
    assert_true(at + 4 <= n);
    return count;
}

static void the_result_is_baseline_and_has_nothing_a_viewer_could_turn_again(void **state)
{
    (void)state;
    g_autoptr(GBytes) plain = scene_jpeg(64, 48, PROGRESSIVE);
    static const char *const payloads[] = { "Exif\0\0II*\0\x08\0\0\0\x01\0\x12\x01\x03\0\x01\0\0\0\x06\0\0\0\0\0\0\0" };
    static const gsize lengths[] = { 32 };
    g_autoptr(GByteArray) jpeg = with_app1(plain, payloads, lengths, 1);
    g_autoptr(GBytes) bytes = g_bytes_new(jpeg->data, jpeg->len), small = shrink(bytes, 6, 32, NULL);
    assert_int_equal(count_markers(bytes, 0xE1, 0xEF), 1);
    assert_int_equal(count_markers(small, 0xE1, 0xEF), 0); /* no APP1 ... APP15: no EXIF, XMP, ICC */
    assert_int_equal(count_markers(small, 0xFE, 0xFE), 0); /* no comment */
    assert_int_equal(count_markers(small, 0xC0, 0xC0), 1); /* SOF0: baseline */
    g_auto(Picture) p = picture_of_jpeg(small);
    assert_int_equal(p.width, 24);
    assert_int_equal(p.height, 32);
}

/* Against the same scene painted at the small size. Measured: 44.1 dB in colour, 47.9 dB grey, whatever the coding. */
static void progressive_arithmetic_and_grey_pictures_come_out_alike(void **state)
{
    (void)state;
    g_auto(Picture) wanted = scene(80, 60, 3), wanted_grey = scene(80, 60, 1), grey = scene(640, 480, 1);
    static const Coding codings[] = { PLAIN, PROGRESSIVE, ARITHMETIC };
    for (gsize i = 0; i < G_N_ELEMENTS(codings); i++) {
        g_autoptr(GBytes) jpeg = scene_jpeg(640, 480, codings[i]), grey_jpeg = encode(&grey, JCS_GRAYSCALE, codings[i], FALSE);
        g_auto(Picture) seen = shrunk(jpeg, 1, 80), seen_grey = shrunk(grey_jpeg, 1, 80);
        double colour_db = psnr(&seen, &wanted), grey_db = psnr(&seen_grey, &wanted_grey);
        print_message("scene %.1f dB, grey %.1f dB\n", colour_db, grey_db);
        assert_true(colour_db > 41);
        assert_true(grey_db > 45);
    }
}

/* CMYK without a profile: red = 255 (1 - C)(1 - K). Adobe's marker says that the bytes are inverted. */
static void cmyk_becomes_rgb_with_and_without_adobes_inversion(void **state)
{
    (void)state;
    static const guint8 inks[][7] = { /* C M Y K, R G B */
        { 0, 0, 0, 0, 255, 255, 255 }, { 0, 0, 0, 255, 0, 0, 0 }, { 0, 255, 255, 0, 255, 0, 0 }, { 255, 0, 0, 0, 0, 255, 255 },
        { 0, 0, 0, 128, 127, 127, 127 }, { 128, 0, 0, 128, 63, 127, 127 },
    };
    for (gsize i = 0; i < G_N_ELEMENTS(inks); i++)
        for (int adobe = 0; adobe < 2; adobe++) {
            g_auto(Picture) p = { 16, 16, 4, g_malloc(16 * 16 * 4) };
            for (int k = 0; k < 16 * 16 * 4; k++)
                p.pixels[k] = (guint8)(adobe ? 255 - inks[i][k % 4] : inks[i][k % 4]);
            g_autoptr(GBytes) jpeg = encode(&p, JCS_CMYK, PLAIN, adobe);
            g_auto(Picture) seen = shrunk(jpeg, 1, 8);
            assert_int_equal(seen.channels, 3);
            for (int c = 0; c < 3; c++)
                assert_near(seen.pixels[c], inks[i][4 + c], 3);
        }
}

/* --- against ImageMagick --- */

/* The profile of sRGB, written to a file. OWNED by the caller. */
static char *srgb_file(const char *folder)
{
    char *path = g_build_filename(folder, "srgb.icc", NULL);
    cmsHPROFILE srgb = cmsCreate_sRGBProfile();
    assert_true(cmsSaveProfileToFile(srgb, path));
    cmsCloseProfile(srgb);
    return path;
}

/* What ImageMagick makes of a file: turned, converted to sRGB where it has a profile, brought to exactly this size by area mean (-scale), as RGB. */
static Picture magick(const char *folder, const char *path, int width, int height)
{
    g_autofree char *srgb = srgb_file(folder);
    g_autofree char *size = g_strdup_printf("%dx%d!", width, height);
    g_autofree char *out = g_build_filename(folder, "magick.rgb", NULL), *target = g_strconcat("rgb:", out, NULL);
    assert_int_equal(run((const char *[]){ "convert", path, "-auto-orient", "-profile", srgb, "-scale", size, "-depth", "8", target, NULL },
                         NULL, NULL), 0);
    gsize n;
    Picture p = { width, height, 3, NULL };
    assert_true(g_file_get_contents(out, (char **)&p.pixels, &n, NULL));
    assert_int_equal(n, (gsize)width * height * 3);
    return p;
}

static int orientation_of(GBytes *jpeg)
{
    g_auto(GbJpegHeader) header = { 0 };
    assert_true(gb_jpeg_header(g_bytes_get_data(jpeg, NULL), g_bytes_get_size(jpeg), &header, NULL));
    assert_non_null(header.exif);
    GbExif exif;
    gb_exif_init(&exif);
    gb_exif_read(&exif, g_bytes_get_data(header.exif, NULL), g_bytes_get_size(header.exif));
    int orientation = exif.orientation;
    gb_exif_clear(&exif);
    return orientation;
}

/* The files differ in the number painted in the middle and in what made them; all but the first of each shape have a profile with a gamma of 1.8,
 * and were 24 dB off the first until it was followed. Measured here: 38.8 dB and more; against ImageMagick, each by itself, 34.8; the wrong way
 * round under 18. */
static void all_eight_come_out_the_same(const char *folder, const char *shape)
{
    g_auto(Picture) first = { 0 };
    for (int i = 1; i <= 8; i++) {
        g_autofree char *name = g_strdup_printf("orientation/%s_%d.jpg", shape, i), *path = real_photo(name);
        assert_non_null(path);
        g_autoptr(GBytes) jpeg = load_file(path);
        int orientation = orientation_of(jpeg);
        assert_int_equal(orientation, i);
        g_auto(Picture) seen = shrunk(jpeg, orientation, 120);
        assert_int_equal(MAX(seen.width, seen.height), 120);
        assert_int_equal(seen.width > seen.height, strcmp(shape, "landscape") == 0);
        g_auto(Picture) theirs = magick(folder, path, seen.width, seen.height);
        double magick_db = luma_psnr(&seen, &theirs);
        hide_middle(&seen);
        double db = i == 1 ? 99 : luma_psnr(&seen, &first);
        print_message("%s_%d: %.1f dB to the first, %.1f dB to ImageMagick\n", shape, i, db, magick_db);
        assert_true(db > 35);
        assert_true(magick_db > 33);
        g_auto(Picture) reversed = shrunk(jpeg, (const int[]){ 0, 3, 4, 1, 2, 7, 8, 5, 6 }[i], 120);
        assert_true(luma_psnr(&reversed, &theirs) < 18);
        if (i == 1) {
            first = seen;
            seen.pixels = NULL;
        }
    }
}

static void the_eight_landscapes_and_portraits_become_one_picture_each(void **state)
{
    if (!have_program("convert") || !have_real_photos())
        skip();
    all_eight_come_out_the_same(*state, "landscape");
    all_eight_come_out_the_same(*state, "portrait");
}

/* Measured: 33.9 dB (100 px) to 38.9 dB (640 px, the full size); what quality 90 loses is the most of it. */
static void a_camera_photo_shrinks_as_imagemagick_shrinks_it(void **state)
{
    if (!have_real_photos() || !have_program("convert"))
        skip();
    g_autofree char *path = real_photo("DSCN0010.jpg");
    g_autoptr(GBytes) jpeg = load_file(path);
    static const int sizes[] = { 100, 160, 320, 500, 640 };
    for (gsize i = 0; i < G_N_ELEMENTS(sizes); i++) {
        g_auto(Picture) seen = shrunk(jpeg, 1, sizes[i]);
        g_auto(Picture) theirs = magick(*state, path, seen.width, seen.height);
        print_message("%d px: %.1f dB to ImageMagick\n", sizes[i], luma_psnr(&seen, &theirs));
        assert_true(luma_psnr(&seen, &theirs) > 32);
    }
}

static void a_cmyk_file_of_imagemagick_looks_as_it_did(void **state)
{
    if (!have_program("convert"))
        skip();
    g_autofree char *rgb = g_build_filename(*state, "rgb.jpg", NULL), *cmyk = g_build_filename(*state, "cmyk.jpg", NULL);
    g_autoptr(GBytes) jpeg = scene_jpeg(320, 240, PLAIN);
    assert_true(g_file_set_contents(rgb, g_bytes_get_data(jpeg, NULL), (gssize)g_bytes_get_size(jpeg), NULL));
    assert_int_equal(run((const char *[]){ "convert", rgb, "-colorspace", "CMYK", "-quality", "95", cmyk, NULL }, NULL, NULL), 0);
    g_autoptr(GBytes) inks = load_file(cmyk);
    g_auto(GbJpegHeader) header = { 0 };
    assert_true(gb_jpeg_header(g_bytes_get_data(inks, NULL), g_bytes_get_size(inks), &header, NULL));
    assert_int_equal(header.components, 4);
    g_auto(Picture) seen = shrunk(inks, 1, 80), wanted = scene(80, 60, 3);
    print_message("CMYK: %.1f dB\n", psnr(&seen, &wanted)); /* measured: 44.6 */
    assert_true(psnr(&seen, &wanted) > 41);
}

/* --- hostile and damaged files --- */

static void what_is_no_jpeg_is_foreign(void **state)
{
    (void)state;
    static const char *const texts[] = { "", "hello, this is a text file", "\x89PNG\r\n\x1a\n", "\xFF\xD8", "GIF89a" };
    for (gsize i = 0; i < G_N_ELEMENTS(texts); i++) {
        GbJpegHeader header = { 0 };
        g_autoptr(GError) error = NULL;
        assert_false(gb_jpeg_header(texts[i], strlen(texts[i]), &header, &error));
        assert_error(error, GB_ERROR_FOREIGN, *texts[i] == '\0' ? "empty" : "no JPEG");
        assert_refused(texts[i], strlen(texts[i]), GB_ERROR_FOREIGN, "the file");
    }
    assert_refused(NULL, 0, GB_ERROR_FOREIGN, "empty");
}

/* Where the frame header's height stands (width two bytes after it), in a file of our own making. */
static gsize find_size(const guint8 *data, gsize n)
{
    gsize at = 2;
    while (at + 9 < n && !(data[at + 1] >= 0xC0 && data[at + 1] <= 0xCF && data[at + 1] != 0xC4 && data[at + 1] != 0xCC))
        at += 2 + ((gsize)data[at + 2] << 8 | data[at + 3]);
    return at + 5;
}

static GByteArray *claiming(Coding coding, int width, int height)
{
    g_autoptr(GBytes) jpeg = scene_jpeg(16, 16, coding);
    GByteArray *out = g_byte_array_new();
    g_byte_array_append(out, g_bytes_get_data(jpeg, NULL), (guint)g_bytes_get_size(jpeg));
    guint8 *size = out->data + find_size(out->data, out->len);
    size[0] = (guint8)(height >> 8), size[1] = (guint8)height, size[2] = (guint8)(width >> 8), size[3] = (guint8)width;
    return out;
}

static void a_few_bytes_that_claim_thousands_of_megapixels_are_refused(void **state)
{
    (void)state;
    static const struct { Coding coding; int width, height; const char *part; } rows[] = {
        { PLAIN, 65500, 65500, "65500 x 65500" }, { PROGRESSIVE, 65500, 65500, "65500 x 65500" },
        { PLAIN, 65535, 65535, "too large" }, { PLAIN, 20000, 10001, "200 megapixels" },
        { PROGRESSIVE, 16000, 12500, "too large" }, /* within 200 megapixels, but its coefficients are not within memory */
    };
    for (gsize i = 0; i < G_N_ELEMENTS(rows); i++) {
        g_autoptr(GByteArray) jpeg = claiming(rows[i].coding, rows[i].width, rows[i].height);
        assert_refused(jpeg->data, jpeg->len, GB_ERROR_TOO_LARGE, rows[i].part);
    }
}

static void a_picture_without_width_or_height_is_damaged(void **state)
{
    (void)state;
    g_autoptr(GByteArray) flat = claiming(PLAIN, 16, 0), thin = claiming(PLAIN, 0, 16);
    assert_refused(flat->data, flat->len, GB_ERROR_DAMAGED, "damaged");
    assert_refused(thin->data, thin->len, GB_ERROR_DAMAGED, "damaged");
}

/* Repeat the last scan of a progressive file. Each scan costs a pass over the picture and few bytes. */
static GByteArray *scan_bomb(int times)
{
    g_autoptr(GBytes) jpeg = scene_jpeg(64, 64, PROGRESSIVE);
    gsize n, last = 0;
    const guint8 *data = g_bytes_get_data(jpeg, &n);
    for (gsize i = 0; i + 1 < n; i++)
        if (data[i] == 0xFF && data[i + 1] == 0xDA)
            last = i;
    GByteArray *out = g_byte_array_new();
    g_byte_array_append(out, data, (guint)last);
    for (int i = 0; i < times; i++)
        g_byte_array_append(out, data + last, (guint)(n - 2 - last));
    g_byte_array_append(out, data + n - 2, 2);
    return out;
}

static void more_than_a_hundred_scans_are_refused(void **state)
{
    (void)state;
    g_autoptr(GByteArray) bomb = scan_bomb(5000), tame = scan_bomb(20);
    assert_refused(bomb->data, bomb->len, GB_ERROR_TOO_LARGE, "more than 100 scans");
    g_autoptr(GError) error = NULL;
    g_autoptr(GBytes) small = gb_jpeg_shrink(tame->data, tame->len, 1, 32, 80, NULL, &error);
    assert_no_error(error);
    assert_non_null(small);
}

/* Cut at many points: an error before the pixels, a flag in them, and the whole upper part is still there. */
static void cut_anywhere(Coding coding)
{
    g_auto(Picture) noisy = scene(160, 120, 3);
    for (int i = 0; i < 160 * 120 * 3; i++)
        noisy.pixels[i] = (guint8)(noisy.pixels[i] + (i * 7919 >> 4) % 23);
    g_autoptr(GBytes) jpeg = encode(&noisy, JCS_RGB, coding, FALSE);
    g_auto(Picture) whole = shrunk(jpeg, 1, 80);
    gsize n;
    const guint8 *data = g_bytes_get_data(jpeg, &n);
    int errors = 0, flags = 0;
    for (gsize cut = 0; cut < n; cut += 1 + cut / 40) {
        g_autofree guint8 *part = g_memdup2(data, cut);
        gboolean damaged = FALSE;
        g_autoptr(GError) error = NULL;
        g_autoptr(GBytes) small = gb_jpeg_shrink(part, cut, 1, 80, 90, &damaged, &error);
        assert_true((small == NULL) == (error != NULL));
        errors += small == NULL;
        flags += damaged;
        if (small == NULL)
            continue;
        assert_true(damaged);
        g_auto(Picture) seen = picture_of_jpeg(small);
        assert_int_equal(seen.height, 60);
        if (coding == PLAIN && cut > n * 3 / 4) {
            seen.height = whole.height = 30; /* only the upper half */
            assert_true(psnr(&seen, &whole) > 40);
            whole.height = 60;
        }
    }
    assert_true(errors > 10);
    assert_true(flags > 10);
}

static void a_file_cut_short_is_an_error_or_shown_as_far_as_it_goes(void **state)
{
    (void)state;
    cut_anywhere(PLAIN);
    cut_anywhere(PROGRESSIVE);
    cut_anywhere(ARITHMETIC);
}

static void a_file_with_any_byte_changed_is_survived(void **state)
{
    (void)state;
    for (int coding = PLAIN; coding <= ARITHMETIC; coding++) {
        g_autoptr(GBytes) jpeg = scene_jpeg(40, 40, coding);
        gsize n;
        g_autofree guint8 *data = g_memdup2(g_bytes_get_data(jpeg, &n), g_bytes_get_size(jpeg));
        n = g_bytes_get_size(jpeg);
        for (gsize i = 2; i < n; i++) {
            guint8 kept = data[i];
            data[i] ^= (guint8)(i % 3 == 0 ? 0xFF : 1 << i % 8);
            g_autoptr(GError) error = NULL;
            gboolean damaged = FALSE;
            g_autoptr(GBytes) small = gb_jpeg_shrink(data, n, 8, 20, 80, &damaged, &error);
            assert_true((small == NULL) == (error != NULL));
            data[i] = kept;
        }
    }
}

static void a_sound_camera_photo_has_no_damage_and_half_of_it_has(void **state)
{
    (void)state;
    static const char *const names[] = { "DSCN0010.jpg", "DSCN0042.jpg", "HMD_Nokia_8.3_5G.jpg", "iphone_hdr_NO.jpg" };
    if (!have_real_photos())
        skip();
    for (gsize i = 0; i < G_N_ELEMENTS(names); i++) {
        g_autofree char *path = real_photo(names[i]);
        g_autoptr(GBytes) jpeg = load_file(path), half = g_bytes_new_from_bytes(jpeg, 0, g_bytes_get_size(jpeg) / 2);
        gboolean damaged = FALSE;
        g_autoptr(GBytes) small = shrink(jpeg, 1, 160, &damaged);
        assert_false(damaged);
        g_autoptr(GBytes) small_half = shrink(half, 1, 160, &damaged);
        assert_true(damaged);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_eight_orientations_turn_six_pixels_as_the_table_says),
        cmocka_unit_test(area_means_are_exact),
        cmocka_unit_test(resampling_gives_every_row_and_keeps_the_mean),
        cmocka_unit_test(a_header_tells_size_components_and_coding),
        cmocka_unit_test(the_first_app1_that_begins_exif_is_the_block),
        cmocka_unit_test(the_longest_side_becomes_max_px_and_is_never_enlarged),
        cmocka_unit_test(the_same_input_gives_the_same_bytes),
        cmocka_unit_test(the_result_is_baseline_and_has_nothing_a_viewer_could_turn_again),
        cmocka_unit_test(progressive_arithmetic_and_grey_pictures_come_out_alike),
        cmocka_unit_test(cmyk_becomes_rgb_with_and_without_adobes_inversion),
        test_in_folder(the_eight_landscapes_and_portraits_become_one_picture_each),
        test_in_folder(a_camera_photo_shrinks_as_imagemagick_shrinks_it),
        test_in_folder(a_cmyk_file_of_imagemagick_looks_as_it_did),
        cmocka_unit_test(what_is_no_jpeg_is_foreign),
        cmocka_unit_test(a_few_bytes_that_claim_thousands_of_megapixels_are_refused),
        cmocka_unit_test(a_picture_without_width_or_height_is_damaged),
        cmocka_unit_test(more_than_a_hundred_scans_are_refused),
        cmocka_unit_test(a_file_cut_short_is_an_error_or_shown_as_far_as_it_goes),
        cmocka_unit_test(a_file_with_any_byte_changed_is_survived),
        cmocka_unit_test(a_sound_camera_photo_has_no_damage_and_half_of_it_has),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
