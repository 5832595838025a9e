/* test_quality.c -- sharpness, smear, exposure and fingerprint of a plane, and of JPEGs on the way to their preview.
 *
 * Sources: variance of the Laplacian as OpenCV computes it, cv2.Laplacian(a, cv2.CV_64F).var(), border reflect-101 (values
 * recomputed), and ImageMagick's convolution as an independent tool; difference hash: recipe in quality.h, values recomputed
 * with OpenCV's INTER_AREA; smear: the error function; the photos of a public collection of EXIF samples.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "test.h"

#include "photo/jpeg-private.h"

#include <gablebook/exif.h>
#include <gablebook/jpeg.h>
#include <gablebook/quality.h>
#include <stdio.h>
#include <string.h>

#include <jpeglib.h>

/* --- pictures --- */

typedef struct {
    int width, height;
    guint8 *pixels;
} Plane;

static void plane_clear(Plane *p)
{
    g_clear_pointer(&p->pixels, g_free);
}
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(Plane, plane_clear)

typedef double (*Painter)(int x, int y, double detail);

static Plane paint(int width, int height, Painter painter, double detail)
{
    Plane p = { width, height, g_malloc((gsize)width * height) };
    for (int y = 0; y < height; y++)
        for (int x = 0; x < width; x++)
            p.pixels[(gsize)y * width + x] = (guint8)lround(painter(x, y, detail));
    return p;
}

static GbQuality measure(const Plane *p)
{
    GbQuality q;
    gb_quality_measure(p->pixels, p->width, p->height, 1, &q);
    return q;
}

static GbQuality measure_painted(int width, int height, Painter painter, double detail)
{
    g_auto(Plane) p = paint(width, height, painter, detail);
    return measure(&p);
}

static double waves(int x, int y, double unused) { (void)unused; return (7 * x + 13 * y) % 256; }
static double checker(int x, int y, double unused) { (void)unused; return (x / 8 + y / 8) % 2 ? 255 : 0; }
static double step_200(int x, int y, double unused) { (void)y, (void)unused; return x < 32 ? 0 : 200; }
static double one_pixel(int x, int y, double unused) { (void)unused; return x == 2 && y == 2 ? 100 : 0; }
static double flat(int x, int y, double value) { (void)x, (void)y; return value; }
static double ramp_up(int x, int y, double unused) { (void)y, (void)unused; return 3 * x; }
static double ramp_down(int x, int y, double unused) { (void)y, (void)unused; return 255 - 3 * x; }
static double squares(int x, int y, double more) { return (x * x + 17 * y) % 251 + more; }
static double all_values(int x, int y, double unused) { (void)unused; return (x + 16 * y) % 256; }
static double noise(int x, int y, double unused) { (void)unused; return (x * 7919 + y * 104729 + x * y * 31) % 251; }

/* A step of a Gaussian smear: the integral of a Gaussian. sigma 0: sharp. */
static double gaussian_step(double distance, double sigma)
{
    return sigma > 0 ? (1 + erf(distance / (sigma * G_SQRT2))) / 2 : distance > 0;
}

/* Bars 50 px wide, dark and light in turn. */
static double bar(double at, double sigma)
{
    double place = fmod(at, 100);
    return 40 + 160 * (gaussian_step(place - 25, sigma) - gaussian_step(place - 75, sigma));
}

static double bars_across(int x, int y, double sigma) { (void)y; return bar(x, sigma); }
static double bars_down(int x, int y, double sigma) { (void)x; return bar(y, sigma); }
/* Smeared along x alone, as by a shake: the lower half's lines stay sharp. */
static double bars_shaken(int x, int y, double sigma) { return y < 200 ? bar(x, sigma) : bar(y, 0); }

/* --- sharpness --- */

static void variance_of_the_laplacian_is_that_of_opencv(void **state)
{
    (void)state;
    assert_near(measure_painted(64, 64, waves, 0).sharpness, 17062.746094, 1e-6);
    assert_near(measure_painted(64, 64, checker, 0).sharpness, 34671.533203, 1e-6);
    assert_near(measure_painted(64, 64, step_200, 0).sharpness, 1250, 1e-9);
    assert_near(measure_painted(5, 5, one_pixel, 0).sharpness, 8000, 1e-9);
    assert_near(measure_painted(64, 64, flat, 77).sharpness, 0, 0);
}

/* The checker through 5x5 Gaussian weights of sigma 1 as OpenCV has them for bytes: in 256ths, what rounding loses carried inwards;
 * border reflected without repeating the edge. */
static double blurred_checker(int x, int y, double unused)
{
    static const int weights[] = { 14, 62, 104, 62, 14 };
    double sum = 0;
    for (int dy = -2; dy <= 2; dy++)
        for (int dx = -2; dx <= 2; dx++) {
            int u = ABS(x + dx), v = ABS(y + dy);
            sum += weights[dx + 2] * weights[dy + 2] * checker(u > 63 ? 126 - u : u, v > 63 ? 126 - v : v, unused);
        }
    return sum / 65536;
}

static void a_blurred_checker_has_the_variance_of_opencv(void **state)
{
    (void)state;
    assert_near(measure_painted(64, 64, blurred_checker, 0).sharpness, 1951.208984, 1e-6);
}

/* The plane with a border of one pixel, reflected as we say we do it, as a file for ImageMagick. */
static void write_reflected(const Plane *p, const char *path)
{
    g_autoptr(GByteArray) out = g_byte_array_new();
    g_autofree char *head = g_strdup_printf("P5\n%d %d\n255\n", p->width + 2, p->height + 2);
    g_byte_array_append(out, (const guint8 *)head, (guint)strlen(head));
    for (int y = -1; y <= p->height; y++)
        for (int x = -1; x <= p->width; x++) {
            int u = x < 0 ? 1 : x == p->width ? x - 2 : x, v = y < 0 ? 1 : y == p->height ? y - 2 : y;
            g_byte_array_append(out, p->pixels + (gsize)v * p->width + u, 1);
        }
    assert_true(g_file_set_contents(path, (const char *)out->data, out->len, NULL));
}

/* Standard deviation of the Laplacian, an eighth of it around mid-grey so that nothing is cut off. Measured: within 0.02 %. */
static double imagemagick_variance(const char *path)
{
    g_autofree char *out = NULL;
    const char *const argv[] = { "convert", path, "-define", "convolve:scale=0.125", "-bias", "50%", "-morphology", "Convolve",
                                 "3x3: 0,1,0 1,-4,1 0,1,0", "-shave", "1x1", "-format", "%[fx:standard_deviation]", "info:", NULL };
    assert_int_equal(run(argv, &out, NULL), 0);
    return pow(g_ascii_strtod(out, NULL) * 255 / 0.125, 2);
}

static void imagemagicks_convolution_gives_the_same_variance(void **state)
{
    if (!have_program("convert"))
        skip();
    g_autofree char *path = g_build_filename(*state, "plane.pgm", NULL);
    static const struct { Painter painter; double detail; } rows[] = { { waves, 0 }, { noise, 0 }, { bars_across, 2 }, { squares, 0 } };
    for (gsize i = 0; i < G_N_ELEMENTS(rows); i++) {
        g_auto(Plane) p = paint(331, 200, rows[i].painter, rows[i].detail);
        write_reflected(&p, path);
        double theirs = imagemagick_variance(path), ours = measure(&p).sharpness;
        print_message("ours %.3f, ImageMagick %.3f\n", ours, theirs);
        assert_near(ours / theirs, 1, 0.002);
    }
}

/* --- smear --- */

static void the_smear_of_a_gaussian_edge_is_its_standard_deviation(void **state)
{
    (void)state;
    static const double sigmas[] = { 0.7, 1, 1.5, 2, 3, 4 };
    for (gsize i = 0; i < G_N_ELEMENTS(sigmas); i++) {
        double across = measure_painted(800, 400, bars_across, sigmas[i]).smear_px;
        double down = measure_painted(400, 800, bars_down, sigmas[i]).smear_px;
        print_message("sigma %.1f: %.2f across, %.2f down\n", sigmas[i], across, down);
        assert_near(across, sigmas[i], 0.12 * sigmas[i]);
        assert_near(down, sigmas[i], 0.12 * sigmas[i]);
    }
}

static void a_sharp_edge_has_the_least_smear(void **state)
{
    (void)state;
    assert_near(measure_painted(800, 400, bars_across, 0).smear_px, 0.4, 0.01);
    assert_near(measure_painted(400, 800, bars_down, 0).smear_px, 0.4, 0.01);
}

static void a_shake_along_one_direction_counts_though_the_other_is_sharp(void **state)
{
    (void)state;
    assert_near(measure_painted(800, 400, bars_shaken, 2).smear_px, 2, 0.25);
}

static void where_there_are_no_edges_smear_is_unknown(void **state)
{
    (void)state;
    assert_true(isnan(measure_painted(400, 400, flat, 120).smear_px));
    assert_true(isnan(measure_painted(80, 64, ramp_up, 0).smear_px)); /* 24 of 255 within 8 px is no edge */
    assert_true(isnan(measure_painted(8, 400, bars_down, 0).smear_px));
}

/* --- exposure and fingerprint --- */

static void every_value_once_has_its_percentiles_and_shares(void **state)
{
    (void)state;
    GbQuality q = measure_painted(16, 16, all_values, 0);
    assert_near(q.mean, 127.5, 0);
    assert_near(q.dark, 12, 0); /* 13 of 256 are 5.1 % */
    assert_near(q.middle, 127, 0);
    assert_near(q.light, 243, 0);
    assert_near(q.black, 16 / 256.0, 0);
    assert_near(q.white, 16 / 256.0, 0);
}

static void difference_hashes_are_those_of_the_recipe(void **state)
{
    (void)state;
    assert_true(measure_painted(72, 64, ramp_up, 0).hash == G_MAXUINT64);
    assert_true(measure_painted(72, 64, ramp_down, 0).hash == 0);
    assert_true(measure_painted(72, 64, squares, 0).hash == G_GUINT64_CONSTANT(0xab55aa56a75a55a8));
    assert_true(measure_painted(72, 64, squares, 3).hash == G_GUINT64_CONSTANT(0xab55aa56a75a55a8));
    assert_int_equal(gb_quality_hash_distance(0, G_MAXUINT64), 64);
    assert_int_equal(gb_quality_hash_distance(0x8001, 0x8000), 1);
}

static void a_picture_stored_turned_has_the_hash_of_the_upright_one(void **state)
{
    (void)state;
    for (int orientation = 1; orientation <= 8; orientation++) {
        g_auto(Plane) stored = paint(90, 80, noise, 0);
        gboolean swaps = gb_upright_swaps(orientation);
        g_auto(Plane) upright = { swaps ? 80 : 90, swaps ? 90 : 80, g_malloc(90 * 80) };
        for (int y = 0; y < stored.height; y++)
            gb_upright_put_row(upright.pixels, stored.pixels + y * 90, y, 90, 80, 1, orientation);
        GbQuality turned;
        gb_quality_measure(stored.pixels, stored.width, stored.height, orientation, &turned);
        assert_true(turned.hashed);
        assert_true(turned.hash == measure(&upright).hash);
    }
}

/* --- the smallest planes --- */

static void the_smallest_planes_are_measured_without_a_hash(void **state)
{
    (void)state;
    static const int sizes[][2] = { { 1, 1 }, { 2, 1 }, { 1, 2 }, { 2, 2 }, { 3, 1 }, { 8, 8 }, { 9, 7 }, { 1, 500 }, { 500, 1 } };
    for (gsize i = 0; i < G_N_ELEMENTS(sizes); i++) {
        GbQuality q = measure_painted(sizes[i][0], sizes[i][1], flat, 9);
        assert_near(q.sharpness, 0, 0);
        assert_near(q.smear_px, NAN, 0);
        assert_near(q.mean, 9, 0);
        assert_near(q.middle, 9, 0);
        assert_near(q.black, 1, 0);
        assert_false(q.hashed);
    }
    assert_true(measure_painted(9, 8, flat, 9).hashed);
    /* 0 and 100: each sees the other on both sides and itself above and below: +200 and -200 */
    GbQuality pair;
    gb_quality_measure((const guint8[]){ 0, 100 }, 2, 1, 1, &pair);
    assert_near(pair.sharpness, 40000, 0);
    gb_quality_measure((const guint8[]){ 0, 100 }, 1, 2, 6, &pair);
    assert_near(pair.sharpness, 40000, 0);
}

/* --- JPEGs --- */

/* p as a JPEG; channels of JCS_GRAYSCALE, JCS_RGB or JCS_CMYK (without Adobe's inversion), all with the grey of p. */
static GBytes *encode(const Plane *p, J_COLOR_SPACE space)
{
    struct jpeg_compress_struct codec = { 0 };
    struct jpeg_error_mgr errors;
    int channels = space == JCS_GRAYSCALE ? 1 : space == JCS_RGB ? 3 : 4;
    codec.err = jpeg_std_error(&errors);
    jpeg_create_compress(&codec);
    unsigned char *out = NULL;
    unsigned long n = 0;
    jpeg_mem_dest(&codec, &out, &n);
    codec.image_width = (JDIMENSION)p->width;
    codec.image_height = (JDIMENSION)p->height;
    codec.input_components = channels;
    codec.in_color_space = space;
    jpeg_set_defaults(&codec);
    jpeg_set_quality(&codec, 95, TRUE);
    codec.write_Adobe_marker = FALSE;
    jpeg_start_compress(&codec, TRUE);
    g_autofree guint8 *row = g_malloc0((gsize)p->width * channels);
    for (int y = 0; y < p->height; y++) {
        for (int x = 0; x < p->width; x++) {
            guint8 grey = p->pixels[(gsize)y * p->width + x];
            if (space == JCS_CMYK)
                row[4 * x + 3] = 255 - grey; /* black ink alone */
            else
                memset(row + channels * x, grey, channels);
        }
        JSAMPROW rows = row;
        jpeg_write_scanlines(&codec, &rows, 1);
    }
    jpeg_finish_compress(&codec);
    jpeg_destroy_compress(&codec);
    GBytes *bytes = g_bytes_new(out, n);
    free(out);
    return bytes;
}

static GbQuality survey(GBytes *jpeg, int orientation)
{
    gsize n;
    const void *data = g_bytes_get_data(jpeg, &n);
    GbQuality q;
    gboolean damaged;
    g_autoptr(GError) error = NULL;
    g_autoptr(GBytes) preview = gb_jpeg_survey(data, n, orientation, 320, 82, &q, &damaged, &error);
    g_autoptr(GBytes) alone = gb_jpeg_shrink(data, n, orientation, 320, 82, NULL, NULL);
    assert_no_error(error);
    assert_false(damaged);
    assert_true(g_bytes_equal(preview, alone));
    return q;
}

static void grey_rgb_and_cmyk_of_one_picture_measure_alike_and_give_the_same_preview_as_before(void **state)
{
    (void)state;
    g_auto(Plane) p = paint(320, 240, bars_across, 1.5);
    GbQuality wanted = measure(&p);
    static const J_COLOR_SPACE spaces[] = { JCS_GRAYSCALE, JCS_RGB, JCS_CMYK };
    for (gsize i = 0; i < G_N_ELEMENTS(spaces); i++) {
        g_autoptr(GBytes) jpeg = encode(&p, spaces[i]);
        GbQuality q = survey(jpeg, 6);
        assert_int_equal(q.width, 320);
        assert_int_equal(q.smear_side_px, 320);
        assert_near(q.mean, wanted.mean, 1);
        assert_near(q.middle, wanted.middle, 2);
        assert_near(q.smear_px, wanted.smear_px, 0.1);
        assert_near(q.sharpness / wanted.sharpness, 1, 0.03);
    }
}

static void jpegs_of_one_and_two_pixels_are_surveyed(void **state)
{
    (void)state;
    static const int sizes[][2] = { { 1, 1 }, { 2, 1 }, { 1, 2 }, { 17, 1 } };
    static const J_COLOR_SPACE spaces[] = { JCS_GRAYSCALE, JCS_RGB, JCS_CMYK };
    for (gsize i = 0; i < G_N_ELEMENTS(sizes) * G_N_ELEMENTS(spaces); i++) {
        const int *size = sizes[i % G_N_ELEMENTS(sizes)];
        g_auto(Plane) p = paint(size[0], size[1], flat, 250);
        g_autoptr(GBytes) jpeg = encode(&p, spaces[i / G_N_ELEMENTS(sizes)]);
        GbQuality q = survey(jpeg, 8);
        assert_int_equal(q.width, size[0]);
        assert_int_equal(q.height, size[1]);
        assert_near(q.middle, 250, 2);
        assert_near(q.white, 1, 0);
        assert_near(q.smear_px, NAN, 0);
        assert_false(q.hashed);
    }
}

/* 4000 px come at an eighth, 500 px, where a smear of 8 px of the original is 1 px. */
static void a_large_picture_is_looked_at_closer_only_when_it_does_not_look_sharp(void **state)
{
    (void)state;
    const double zoomed_sigma = 8;
    g_auto(Plane) sharp = paint(4000, 400, bars_across, 0), soft = paint(4000, 400, bars_across, zoomed_sigma);
    g_autoptr(GBytes) sharp_jpeg = encode(&sharp, JCS_GRAYSCALE), soft_jpeg = encode(&soft, JCS_GRAYSCALE);
    GbQuality of_sharp = survey(sharp_jpeg, 1), of_soft = survey(soft_jpeg, 1);
    assert_int_equal(of_sharp.width, 500);
    assert_int_equal(of_sharp.smear_side_px, 500);
    assert_true(of_sharp.smear_px < 0.53);
    assert_int_equal(of_soft.width, 500);
    assert_int_equal(of_soft.smear_side_px, 1000);
    assert_near(of_soft.smear_px, zoomed_sigma / 4, 0.2);
}

static void half_a_jpeg_is_measured_and_said_to_be_damaged(void **state)
{
    (void)state;
    g_auto(Plane) p = paint(800, 600, noise, 0);
    g_autoptr(GBytes) jpeg = encode(&p, JCS_RGB);
    gsize n;
    const void *data = g_bytes_get_data(jpeg, &n);
    GbQuality q;
    gboolean damaged = FALSE;
    g_autoptr(GBytes) preview = gb_jpeg_survey(data, n / 2, 1, 320, 82, &q, &damaged, NULL);
    assert_non_null(preview);
    assert_true(damaged);
    assert_int_equal(q.width, 800);
    assert_int_equal(q.height, 600);
    assert_null(gb_jpeg_survey(data, 100, 1, 320, 82, &q, &damaged, NULL));
}

static GbQuality survey_file(const char *path)
{
    g_autofree char *data = NULL;
    gsize n;
    GbJpegHeader header;
    GbExif exif;
    assert_true(g_file_get_contents(path, &data, &n, NULL));
    assert_true(gb_jpeg_header(data, n, &header, NULL));
    gb_exif_init(&exif);
    if (header.exif != NULL)
        gb_exif_read(&exif, g_bytes_get_data(header.exif, NULL), g_bytes_get_size(header.exif));
    g_autoptr(GBytes) jpeg = g_bytes_new(data, n);
    GbQuality q = survey(jpeg, exif.orientation);
    gb_exif_clear(&exif);
    gb_jpeg_header_clear(&header);
    return q;
}

/* Measured: at most 1 bit. */
/* Asked before a test allocates anything: skip() jumps, and what g_auto owns would leak. */
static gboolean have_real_photo(const char *name)
{
    g_autofree char *path = real_photo(name);
    return path != NULL;
}

static void the_eight_orientations_of_a_photo_have_one_hash(void **state)
{
    (void)state;
    if (!have_real_photo("orientation/landscape_1.jpg"))
        skip();
    static const char *const shapes[] = { "landscape", "portrait" };
    for (int i = 0; i < 16; i++) {
        g_autofree char *name = g_strdup_printf("orientation/%s_%d.jpg", shapes[i / 8], i % 8 + 1);
        g_autofree char *first = g_strdup_printf("orientation/%s_1.jpg", shapes[i / 8]);
        g_autofree char *path = real_photo(name), *first_path = real_photo(first);
        assert_non_null(path);
        assert_in_range(gb_quality_hash_distance(survey_file(path).hash, survey_file(first_path).hash), 0, 3);
    }
}

/* ImageMagick blurs, we measure: the worse the blur, the larger the smear and the smaller the variance. */
static void a_camera_photo_blurred_by_imagemagick_is_seen_as_blurred(void **state)
{
    static const char *const names[] = { "iphone_hdr_NO.jpg", "HMD_Nokia_8.3_5G.jpg" };
    static const char *const blurs[][2] = { { "-gaussian-blur", "0x0.3" }, { "-gaussian-blur", "0x3" }, { "-motion-blur", "0x10+0" },
                                            { "-motion-blur", "0x10+45" }, { "-motion-blur", "0x10+90" } };
    if (!have_program("convert") || !have_real_photo(names[0]) || !have_real_photo(names[1]))
        skip();
    for (gsize i = 0; i < G_N_ELEMENTS(names) * G_N_ELEMENTS(blurs); i++) {
        const char *const *blur = blurs[i % G_N_ELEMENTS(blurs)];
        g_autofree char *photo = real_photo(names[i / G_N_ELEMENTS(blurs)]), *blurred = g_build_filename(*state, "blurred.jpg", NULL);
        const char *const argv[] = { "convert", photo, "-resize", "1600x1600", blur[0], blur[1], "-quality", "88", blurred, NULL };
        assert_int_equal(run(argv, NULL, NULL), 0);
        GbQuality q = survey_file(blurred);
        print_message("%s %s %s: smear %.2f px, variance %.0f\n", names[i / G_N_ELEMENTS(blurs)], blur[0], blur[1], q.smear_px,
                      q.sharpness);
        if (i % G_N_ELEMENTS(blurs) == 0)
            assert_true(q.smear_px < 0.8);
        else
            assert_true(q.smear_px > 1.1);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(variance_of_the_laplacian_is_that_of_opencv),
        cmocka_unit_test(a_blurred_checker_has_the_variance_of_opencv),
        test_in_folder(imagemagicks_convolution_gives_the_same_variance),
        cmocka_unit_test(the_smear_of_a_gaussian_edge_is_its_standard_deviation),
        cmocka_unit_test(a_sharp_edge_has_the_least_smear),
        cmocka_unit_test(a_shake_along_one_direction_counts_though_the_other_is_sharp),
        cmocka_unit_test(where_there_are_no_edges_smear_is_unknown),
        cmocka_unit_test(every_value_once_has_its_percentiles_and_shares),
        cmocka_unit_test(difference_hashes_are_those_of_the_recipe),
        cmocka_unit_test(a_picture_stored_turned_has_the_hash_of_the_upright_one),
        cmocka_unit_test(the_smallest_planes_are_measured_without_a_hash),
        cmocka_unit_test(grey_rgb_and_cmyk_of_one_picture_measure_alike_and_give_the_same_preview_as_before),
        cmocka_unit_test(jpegs_of_one_and_two_pixels_are_surveyed),
        cmocka_unit_test(a_large_picture_is_looked_at_closer_only_when_it_does_not_look_sharp),
        cmocka_unit_test(half_a_jpeg_is_measured_and_said_to_be_damaged),
        cmocka_unit_test(the_eight_orientations_of_a_photo_have_one_hash),
        test_in_folder(a_camera_photo_blurred_by_imagemagick_is_seen_as_blurred),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
