/* test_png.c -- PNG pictures: every kind of them, and what hostile ones do to us (nothing).
 *
 * Sources: ImageMagick writes the kinds (PNG third edition, table 9: colour types and depths) and reads them again, laid on white;
 * exiftool writes the EXIF; hostile files are made here, with checksums by zlib's own crc32 as the standard's annex D has it. 45.6 dB
 * and more were measured where 42 are asked for.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "pixel_support.h"

#include <gablebook/error.h>
#include <gablebook/image.h>
#include <glib/gstdio.h>
#include <string.h>

/* --- help --- */

/* A PNG by ImageMagick: "convert SCENE operators NAME". OWNED by the caller. */
static char *make_png(void **state, const char *name, const char *operators)
{
    char *path = g_build_filename(*state, name, NULL);
    g_autofree char *ppm = g_build_filename(*state, "scene.ppm", NULL);
    g_auto(Picture) p = scene(97, 61, 3);
    save_ppm(&p, ppm);
    g_autofree char *command = g_strdup_printf("convert '%s' %s '%s'", ppm, operators, path);
    assert_int_equal(run((const char *[]){ "sh", "-c", command, NULL }, NULL, NULL), 0);
    return path;
}

static GBytes *shrink(GBytes *png, int orientation, int max_px, gboolean *damaged, GError **error)
{
    gsize n;
    const void *data = g_bytes_get_data(png, &n);
    return gb_image_shrink(data, n, orientation, max_px, 95, damaged, error);
}

static Picture as_rgb(const Picture *p)
{
    gsize n = (gsize)p->width * p->height;
    Picture rgb = { p->width, p->height, 3, g_malloc(3 * n) };
    for (gsize i = 0; i < 3 * n; i++)
        rgb.pixels[i] = p->pixels[p->channels == 1 ? i / 3 : i];
    return rgb;
}

/* The sound file, at its own size, against ImageMagick. */
static double against_magick(const char *path, const char *background)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GBytes) png = load_file(path);
    gboolean damaged = TRUE;
    g_autoptr(GBytes) jpeg = shrink(png, 1, 1000, &damaged, &error);
    assert_no_error(error);
    assert_false(damaged);
    g_auto(Picture) ours = picture_of_jpeg(jpeg);
    g_auto(Picture) seen = as_rgb(&ours);
    g_auto(Picture) theirs = picture_by_magick(path, "-background", background, "-flatten", NULL);
    return luma_psnr(&seen, &theirs);
}

static guint32 crc32_of(const guint8 *data, gsize n)
{
    guint32 crc = 0xFFFFFFFF;
    for (gsize i = 0; i < n; i++) {
        crc ^= data[i];
        for (int k = 0; k < 8; k++)
            crc = crc & 1 ? crc >> 1 ^ 0xEDB88320 : crc >> 1;
    }
    return ~crc;
}

static void put_u32(guint8 *to, guint32 value)
{
    value = GUINT32_TO_BE(value);
    memcpy(to, &value, 4);
}

/* A sound file with another size in its header, checksum and all. OWNED by the caller. */
static GBytes *claim_size(GBytes *png, guint32 width, guint32 height)
{
    gsize n;
    guint8 *data = g_memdup2(g_bytes_get_data(png, &n), g_bytes_get_size(png));
    put_u32(data + 16, width);
    put_u32(data + 20, height);
    put_u32(data + 29, crc32_of(data + 12, 17));
    return g_bytes_new_take(data, n);
}

/* --- kinds --- */

static void every_kind_of_png_shows_what_imagemagick_shows_of_it(void **state)
{
    if (!have_program("convert"))
        skip();
    static const struct {
        const char *name, *operators;
    } kinds[] = {
        { "grey-1", "-colorspace gray -threshold 50% -depth 1 -define png:color-type=0 -define png:bit-depth=1" },
        { "grey-2", "-colorspace gray -posterize 4 -define png:color-type=0 -define png:bit-depth=2" },
        { "grey-4", "-colorspace gray -posterize 16 -define png:color-type=0 -define png:bit-depth=4" },
        { "grey-8", "-colorspace gray -define png:color-type=0 -define png:bit-depth=8" },
        { "grey-16", "-colorspace gray -depth 16 -define png:color-type=0 -define png:bit-depth=16" },
        { "rgb-8", "-define png:color-type=2" },
        { "rgb-16", "-depth 16 -define png:color-type=2 -define png:bit-depth=16" },
        { "palette-1", "+dither -colors 2 -define png:color-type=3 -define png:bit-depth=1" },
        { "palette-2", "+dither -colors 4 -define png:color-type=3 -define png:bit-depth=2" },
        { "palette-4", "+dither -colors 16 -define png:color-type=3 -define png:bit-depth=4" },
        { "palette-8", "+dither -colors 200 -define png:color-type=3 -define png:bit-depth=8" },
        { "grey-alpha-8", "-colorspace gray -alpha set -channel A -evaluate set 40% +channel -define png:color-type=4" },
        { "rgb-alpha-8", "-alpha set -channel A -evaluate set 60% +channel -define png:color-type=6" },
        { "rgb-alpha-16", "-depth 16 -alpha set -channel A -evaluate set 60% +channel -define png:color-type=6 -define png:bit-depth=16" },
        { "one-clear-colour", "-fill '#102030' -draw 'rectangle 10,10 40,40' -transparent '#102030' -define png:color-type=2" },
        { "clear-palette", "+dither -colors 15 -fill '#102030' -draw 'rectangle 10,10 40,40' -transparent '#102030' -define png:color-type=3" },
    };
    for (gsize i = 0; i < G_N_ELEMENTS(kinds); i++)
        for (int interlaced = 0; interlaced < 2; interlaced++) {
            g_autofree char *operators = g_strconcat(kinds[i].operators, interlaced ? " -interlace PNG" : "", NULL);
            g_autofree char *path = make_png(state, "x.png", operators);
            double db = against_magick(path, "white");
            print_message("%s%s: %.1f dB\n", kinds[i].name, interlaced ? ", interlaced" : "", db);
            assert_true(db > 42);
        }
}

static void what_is_transparent_lies_on_white_and_not_on_black(void **state)
{
    if (!have_program("convert"))
        skip();
    g_autofree char *path = make_png(state, "x.png", "-alpha set -channel A -evaluate set 0% +channel -define png:color-type=6");
    g_autoptr(GBytes) png = load_file(path), jpeg = shrink(png, 1, 50, NULL, NULL);
    g_auto(Picture) p = picture_of_jpeg(jpeg);
    for (int i = 0; i < p.width * p.height * p.channels; i++)
        assert_true(p.pixels[i] >= 254);
}

static void orientation_of_an_exif_chunk_is_read_wherever_it_stands(void **state)
{
    if (!have_program("convert") || !have_program("exiftool"))
        skip();
    g_autoptr(GError) error = NULL;
    g_autofree char *path = make_png(state, "x.png", "-define png:exclude-chunk=date,time");
    assert_int_equal(run((const char *[]){ "exiftool", "-q", "-n", "-overwrite_original", "-EXIF:Orientation=6", "-EXIF:Model=Pad 5",
                                           "-EXIF:DateTimeOriginal=2026:05:14 15:02:08", path, NULL }, NULL, NULL), 0);
    g_autoptr(GBytes) png = load_file(path);
    gsize n;
    const guint8 *data = g_bytes_get_data(png, &n);
    g_auto(GbImageHeader) header = { 0 };
    assert_true(gb_image_header(data, n, &header, &error));
    assert_int_equal(header.format, GB_FORMAT_PNG);
    assert_int_equal(header.width, 97);
    assert_int_equal(header.height, 61);
    assert_int_equal(header.exif.orientation, 6);
    assert_string_equal(header.exif.model, "Pad 5");
    assert_near(header.exif.taken_local_s, 1778770928, 1e-6);
    g_autoptr(GBytes) jpeg = shrink(png, header.exif.orientation, 97, NULL, &error);
    g_auto(Picture) seen = picture_of_jpeg(jpeg);
    g_auto(Picture) theirs = picture_by_magick(path, "-rotate", "90", NULL);
    assert_true(luma_psnr(&seen, &theirs) > 40);
}

/* --- hostile files --- */

static void sizes_no_picture_has_are_refused_before_anything_is_allocated(void **state)
{
    if (!have_program("convert"))
        skip();
    g_autofree char *path = make_png(state, "x.png", ""), *interlaced_path = make_png(state, "y.png", "-interlace PNG");
    g_autoptr(GBytes) png = load_file(path), interlaced = load_file(interlaced_path);
    static const guint32 sizes[][2] = { { 65535, 65535 }, { 65536, 1 }, { 1, 0x7FFFFFFF }, { 0x7FFFFFFF, 0x7FFFFFFF }, { 0xFFFFFFFF, 2 } };
    for (gsize i = 0; i < G_N_ELEMENTS(sizes); i++) {
        g_autoptr(GError) error = NULL;
        g_autoptr(GBytes) bad = claim_size(png, sizes[i][0], sizes[i][1]);
        assert_null(shrink(bad, 1, 100, NULL, &error));
        assert_error(error, GB_ERROR_TOO_LARGE, "pixels, more than 200 megapixels or 65535 on a side; it was not decoded");
    }
    g_autoptr(GError) error = NULL;
    g_autoptr(GBytes) bad = claim_size(interlaced, 9000, 9000);
    assert_null(shrink(bad, 1, 100, NULL, &error));
    assert_error(error, GB_ERROR_TOO_LARGE, "claims 9000 x 9000 pixels, interlaced, more than 64 megapixels");
    g_autoptr(GBytes) empty = claim_size(png, 0, 5);
    assert_null(shrink(empty, 1, 100, NULL, &error));
    assert_error(error, GB_ERROR_DAMAGED, "the PNG is damaged and can't be read");
}

static void a_file_cut_anywhere_is_shown_in_part_or_refused_as_damaged(void **state)
{
    if (!have_program("convert"))
        skip();
    static const char *const operators[] = { "", "-interlace PNG" };
    for (gsize k = 0; k < G_N_ELEMENTS(operators); k++) {
        g_autofree char *path = make_png(state, "x.png", operators[k]);
        g_autoptr(GBytes) png = load_file(path);
        gsize n = g_bytes_get_size(png);
        guint shown = 0, refused = 0;
        for (gsize cut = 1; cut < n; cut += 1 + n / 300) {
            g_autoptr(GError) error = NULL;
            g_autofree guint8 *part = g_memdup2(g_bytes_get_data(png, NULL), cut);
            gboolean damaged = FALSE;
            g_autoptr(GBytes) jpeg = gb_image_shrink(part, cut, 1, 50, 80, &damaged, &error);
            if (jpeg != NULL)
                assert_true(damaged);
            else
                assert_true(error->code == GB_ERROR_DAMAGED || (cut < 8 && error->code == GB_ERROR_FOREIGN));
            shown += jpeg != NULL;
            refused += jpeg == NULL;
        }
        assert_true(shown > 100 && refused > 0);
    }
}

/* Bits are flipped one after the other, everywhere: nothing crashes, and what is no error is a picture. */
static void a_file_with_flipped_bits_is_a_picture_or_an_error(void **state)
{
    if (!have_program("convert"))
        skip();
    g_autofree char *path = make_png(state, "x.png", "+dither -colors 15 -transparent '#102030' -define png:color-type=3 -interlace PNG");
    g_autoptr(GBytes) png = load_file(path);
    gsize n;
    g_autofree guint8 *data = g_memdup2(g_bytes_get_data(png, &n), g_bytes_get_size(png));
    g_autoptr(GRand) random = g_rand_new_with_seed(5);
    for (int i = 0; i < 400; i++) {
        g_autoptr(GError) error = NULL;
        gsize at = (gsize)g_rand_int_range(random, 0, (gint32)n);
        guint8 bit = (guint8)(1 << g_rand_int_range(random, 0, 8));
        data[at] ^= bit;
        g_auto(GbImageHeader) header = { 0 };
        (void)gb_image_header(data, n, &header, NULL);
        g_autoptr(GBytes) jpeg = gb_image_shrink(data, n, 1, 50, 80, NULL, &error);
        assert_true((jpeg == NULL) == (error != NULL));
        data[at] ^= bit;
    }
}

/* A chunk of text that unpacks to much more than it is: libpng is told to keep none of it. */
static void chunks_that_are_no_pixels_are_passed_over_however_large_they_claim_to_be(void **state)
{
    if (!have_program("convert"))
        skip();
    g_autoptr(GError) error = NULL;
    g_autofree char *path = make_png(state, "x.png", "-define png:exclude-chunk=all");
    g_autoptr(GBytes) png = load_file(path);
    gsize n;
    const guint8 *data = g_bytes_get_data(png, &n);
    guint8 chunk[12 + 20] = { 0, 0, 0, 20, 'z', 'T', 'X', 't', 'k', 0, 0, 0x78, 0x9c };
    put_u32(chunk + 28, crc32_of(chunk + 4, 24));
    GByteArray *with = g_byte_array_new();
    g_byte_array_append(with, data, 33);
    for (int i = 0; i < 2000; i++)
        g_byte_array_append(with, chunk, sizeof chunk);
    static const guint8 endless[12] = { 0x7F, 0xFF, 0xFF, 0xF0, 'e', 'X', 'I', 'f' };
    g_byte_array_append(with, data + 33, (guint)n - 33);
    g_byte_array_append(with, endless, sizeof endless); /* after the end */
    g_autoptr(GBytes) bytes = g_byte_array_free_to_bytes(with);
    gboolean damaged = TRUE;
    g_autoptr(GBytes) jpeg = shrink(bytes, 1, 50, &damaged, &error);
    assert_no_error(error);
    assert_false(damaged);
    g_auto(GbImageHeader) header = { 0 };
    assert_true(gb_image_header(g_bytes_get_data(bytes, NULL), g_bytes_get_size(bytes), &header, &error));
    assert_null(header.exif.model);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        test_in_folder(every_kind_of_png_shows_what_imagemagick_shows_of_it),
        test_in_folder(what_is_transparent_lies_on_white_and_not_on_black),
        test_in_folder(orientation_of_an_exif_chunk_is_read_wherever_it_stands),
        test_in_folder(sizes_no_picture_has_are_refused_before_anything_is_allocated),
        test_in_folder(a_file_cut_anywhere_is_shown_in_part_or_refused_as_damaged),
        test_in_folder(a_file_with_flipped_bits_is_a_picture_or_an_error),
        test_in_folder(chunks_that_are_no_pixels_are_passed_over_however_large_they_claim_to_be),
    };
    return cmocka_run_group_tests_name("png", tests, NULL, NULL);
}
