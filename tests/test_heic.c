/* test_heic.c -- HEIC as phones write it, and what hostile files and broken decoders do to us (one sentence).
 *
 * Sources: libheif writes files with the turns, EXIF items, thumbnails and transparency that phones write (ISO/IEC 23008-12: irot, imir, the
 * EXIF item with its four bytes; CIPA DC-008 for the eight orientations); heif-enc writes others; exiftool reads the EXIF of a real phone's
 * file; the pixels that went in are the reference for those that come out, and ImageMagick for the real file. PSNR floors lie about 3 dB
 * under what was measured.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "pixel_support.h"

#include <gablebook/error.h>
#include <gablebook/image.h>
#include <gablebook/jpeg.h>
#include <glib/gstdio.h>
#include <jansson.h>
#include <libheif/heif.h>
#include <string.h>

#include "photo/child-private.h"
#include "photo/colour-private.h"
#include "photo/heic-private.h"

G_DEFINE_AUTOPTR_CLEANUP_FUNC(json_t, json_decref)

/* --- writing --- */

typedef struct {
    int turn;                 /* irot and imir as this EXIF orientation would say; 0: none */
    const void *exif;         /* or NULL */
    gsize exif_bytes;
    int thumbnail_px;         /* 0: none */
    gboolean red_thumbnail;   /* another picture, so that one sees which was taken */
    gboolean square_thumbnail;
    gboolean clear;           /* all transparent */
    int primaries, transfer;  /* ITU-T H.273; 0: libheif's own, which are sRGB's */
    GBytes *profile;          /* ICC, or NULL */
} Make;

#define must(CALL) assert_int_equal((CALL).code, heif_error_Ok)

static struct heif_image *to_heif(const Picture *p, gboolean clear)
{
    struct heif_image *image;
    int stride;
    must(heif_image_create(p->width, p->height, heif_colorspace_RGB, clear ? heif_chroma_interleaved_RGBA : heif_chroma_interleaved_RGB, &image));
    must(heif_image_add_plane(image, heif_channel_interleaved, p->width, p->height, 8));
    guint8 *plane = heif_image_get_plane(image, heif_channel_interleaved, &stride);
    for (int y = 0; y < p->height; y++)
        for (int x = 0; x < p->width; x++)
            for (int c = 0; c < 3 + clear; c++)
                plane[(gsize)stride * y + (gsize)x * (3 + (gsize)clear) + c] =
                    c == 3 ? 0 : p->pixels[((gsize)p->width * y + x) * 3 + c];
    return image;
}

static struct heif_error append(struct heif_context *context, const void *data, size_t n, void *to)
{
    (void)context;
    g_byte_array_append(to, data, (guint)n);
    return (struct heif_error){ heif_error_Ok, heif_suberror_Unspecified, "" };
}

static Picture red(int width, int height)
{
    Picture p = { width, height, 3, g_malloc0(3 * (gsize)width * height) };
    for (int i = 0; i < width * height; i++)
        p.pixels[3 * i] = 250;
    return p;
}

static void add_thumbnail(struct heif_context *context, struct heif_encoder *encoder, const struct heif_image_handle *master, const Picture *p,
                          const Make *make)
{
    int width = make->square_thumbnail ? p->height : p->width;
    g_auto(Picture) large = make->red_thumbnail ? red(width, p->height) : scene(width, p->height, 3);
    struct heif_image *image = to_heif(&large, FALSE);
    struct heif_image_handle *handle;
    must(heif_context_encode_thumbnail(context, image, master, encoder, NULL, make->thumbnail_px, &handle));
    heif_image_handle_release(handle);
    heif_image_release(image);
}

/* NULL for libheif's own. */
static struct heif_color_profile_nclx *nclx_of(const Make *make)
{
    if (make->primaries == 0)
        return NULL;
    struct heif_color_profile_nclx *colours = g_new0(struct heif_color_profile_nclx, 1);
    *colours = (struct heif_color_profile_nclx){ .version = 1, .color_primaries = make->primaries, .transfer_characteristics = make->transfer,
                                                 .matrix_coefficients = heif_matrix_coefficients_ITU_R_BT_601_6, .full_range_flag = 1 };
    return colours;
}

/* A HEIC file. OWNED by the caller. */
static GBytes *heic_of(const Picture *p, const Make *make)
{
    struct heif_context *context = heif_context_alloc();
    struct heif_encoder *encoder;
    struct heif_image *image = to_heif(p, make->clear);
    struct heif_image_handle *handle;
    struct heif_encoding_options *options = heif_encoding_options_alloc();
    options->image_orientation = (enum heif_orientation)MAX(1, make->turn);
    g_autofree struct heif_color_profile_nclx *colours = nclx_of(make);
    if (colours != NULL)
        must(heif_image_set_nclx_color_profile(image, colours));
    options->macOS_compatibility_workaround_no_nclx_profile = 0; /* libheif leaves the numbers out otherwise */
    if (make->profile != NULL)
        must(heif_image_set_raw_color_profile(image, "prof", g_bytes_get_data(make->profile, NULL), g_bytes_get_size(make->profile)));
    must(heif_context_get_encoder_for_format(context, heif_compression_HEVC, &encoder));
    heif_encoder_set_lossy_quality(encoder, 90);
    heif_encoder_set_parameter_string(encoder, "preset", "ultrafast");
    must(heif_context_encode_image(context, image, encoder, options, &handle));
    if (make->thumbnail_px > 0)
        add_thumbnail(context, encoder, handle, p, make);
    if (make->exif != NULL)
        must(heif_context_add_exif_metadata(context, handle, make->exif, (int)make->exif_bytes));
    GByteArray *bytes = g_byte_array_new();
    struct heif_writer writer = { 1, append };
    must(heif_context_write(context, &writer, bytes));
    heif_encoding_options_free(options);
    heif_image_handle_release(handle);
    heif_image_release(image);
    heif_encoder_release(encoder);
    heif_context_free(context);
    return g_byte_array_free_to_bytes(bytes);
}

static GBytes *scene_heic(int width, int height, const Make *make)
{
    g_auto(Picture) p = scene(width, height, 3);
    return heic_of(&p, make);
}

/* A TIFF structure that says this orientation and a model of two letters, "Q" and a NUL. */
static void put_exif(guint8 to[44], int orientation)
{
    static const guint8 tiff[44] = { 'E', 'x', 'i', 'f', 0, 0, 'I', 'I', '*', 0, 8, 0, 0, 0, 2, 0,
                                     0x10, 0x01, 2, 0, 2, 0, 0, 0, 'Q', 0, 0, 0,
                                     0x12, 0x01, 3, 0, 1, 0, 0, 0, 1, 0, 0, 0 };
    memcpy(to, tiff, sizeof tiff);
    to[36] = (guint8)orientation;
}

/* --- reading --- */

static GBytes *shrink(GBytes *heic, int max_px, gboolean *damaged, GError **error)
{
    gsize n;
    const void *data = g_bytes_get_data(heic, &n);
    return gb_image_shrink(data, n, 1, max_px, 95, damaged, error);
}

static Picture shrunk(GBytes *heic, int max_px)
{
    g_autoptr(GError) error = NULL;
    gboolean damaged = TRUE;
    g_autoptr(GBytes) jpeg = shrink(heic, max_px, &damaged, &error);
    assert_no_error(error);
    assert_false(damaged);
    return picture_of_jpeg(jpeg);
}

static void read_header(GBytes *heic, GbImageHeader *header)
{
    g_autoptr(GError) error = NULL;
    gsize n;
    const void *data = g_bytes_get_data(heic, &n);
    gb_image_header(data, n, header, &error);
    assert_no_error(error);
    assert_int_equal(header->format, GB_FORMAT_HEIC);
}

/* The scene, turned as the table of the standard has it (upright.c is tested against it in test_jpeg.c). */
static Picture turned_scene(int width, int height, int orientation)
{
    g_auto(Picture) stored = scene(width, height, 3);
    gboolean swaps = orientation >= 5;
    Picture p = { swaps ? height : width, swaps ? width : height, 3, g_malloc(3 * (gsize)width * height) };
    for (int y = 0; y < height; y++)
        for (int x = 0; x < width; x++) {
            int tx = orientation == 2 || orientation == 3 ? width - 1 - x : x, ty = orientation == 3 || orientation == 4 ? height - 1 - y : y;
            if (swaps) {
                tx = orientation == 6 || orientation == 7 ? height - 1 - y : y;
                ty = orientation == 7 || orientation == 8 ? width - 1 - x : x;
            }
            memcpy(p.pixels + 3 * ((gsize)p.width * ty + tx), stored.pixels + 3 * ((gsize)width * y + x), 3);
        }
    return p;
}

/* --- what is in a file --- */

static void the_pixels_that_went_in_come_out(void **state)
{
    (void)state;
    g_auto(Picture) before = scene(200, 120, 3);
    g_autoptr(GBytes) heic = heic_of(&before, &(Make){ 0 });
    g_auto(Picture) after = shrunk(heic, 1000);
    double db = luma_psnr(&before, &after);
    print_message("%.1f dB\n", db);
    assert_true(db > 40);
}

/* Phones write the same turn twice. It must be made once; and where only the EXIF has one, by the standard none. */
static void a_picture_is_turned_once_whatever_its_exif_says_beside(void **state)
{
    (void)state;
    for (int turn = 1; turn <= 8; turn++)
        for (int agrees = 0; agrees < 2; agrees++) {
            guint8 exif[44];
            int said = agrees ? turn : 9 - turn;
            put_exif(exif, said);
            g_autoptr(GBytes) heic = scene_heic(160, 96, &(Make){ .turn = turn, .exif = exif, .exif_bytes = sizeof exif });
            g_auto(GbImageHeader) header = { 0 };
            read_header(heic, &header);
            assert_int_equal(header.width, turn >= 5 ? 96 : 160);
            assert_int_equal(header.height, turn >= 5 ? 160 : 96);
            assert_int_equal(header.exif.orientation, 1);
            assert_string_equal(header.exif.model, "Q");
            g_auto(Picture) seen = shrunk(heic, 1000), wanted = turned_scene(160, 96, turn);
            double db = luma_psnr(&seen, &wanted);
            if (db < 35)
                fail_msg("turn %d, EXIF %d: %.1f dB", turn, said, db);
        }
}

/* The item's first four bytes say how many come before the TIFF structure: 6 ("Exif", 0, 0) or none. */
static void exif_is_found_behind_its_four_bytes_with_and_without_a_mark(void **state)
{
    (void)state;
    guint8 exif[44];
    put_exif(exif, 1);
    for (gsize skip_mark = 0; skip_mark <= 6; skip_mark += 6) {
        g_autoptr(GBytes) heic = scene_heic(64, 64, &(Make){ .exif = exif + skip_mark, .exif_bytes = sizeof exif - skip_mark });
        g_auto(GbImageHeader) header = { 0 };
        read_header(heic, &header);
        assert_string_equal(header.exif.model, "Q");
        assert_true(isnan(header.exif.taken_local_s));
    }
}

static void an_exif_item_that_points_outside_of_itself_is_passed_over(void **state)
{
    (void)state;
    guint8 exif[44], item[48] = { 0, 0, 0, 6 };
    put_exif(exif, 1);
    g_autoptr(GBytes) heic = scene_heic(64, 64, &(Make){ .exif = exif, .exif_bytes = sizeof exif });
    gsize n;
    g_autofree guint8 *data = g_memdup2(g_bytes_get_data(heic, &n), g_bytes_get_size(heic));
    memcpy(item + 4, exif, sizeof exif);
    guint8 *at = memmem(data, n, item, sizeof item);
    assert_non_null(at);
    static const guint8 offsets[][4] = { { 0, 0, 0, 44 }, { 0, 0, 0, 45 }, { 0x7F, 0xFF, 0xFF, 0xFF }, { 0xFF, 0xFF, 0xFF, 0xFC } };
    for (gsize i = 0; i < G_N_ELEMENTS(offsets); i++) {
        g_auto(GbImageHeader) header = { 0 };
        memcpy(at, offsets[i], 4);
        g_autoptr(GBytes) bad = g_bytes_new(data, n);
        read_header(bad, &header);
        assert_null(header.exif.model);
    }
}

/* The thumbnail is red here, so one sees which was taken. */
static void a_thumbnail_serves_where_it_is_large_enough_and_of_the_same_shape(void **state)
{
    (void)state;
    g_autoptr(GBytes) heic = scene_heic(320, 192, &(Make){ .thumbnail_px = 160, .red_thumbnail = TRUE });
    g_autoptr(GBytes) square = scene_heic(320, 192, &(Make){ .thumbnail_px = 160, .red_thumbnail = TRUE, .square_thumbnail = TRUE });
    g_auto(Picture) small = shrunk(heic, 160), large = shrunk(heic, 161), cropped = shrunk(square, 160);
    assert_true(small.pixels[0] > 230 && small.pixels[2] < 40);
    assert_int_equal(small.width, 160);
    assert_int_equal(small.height, 96);
    assert_true(large.pixels[0] < 60 && large.pixels[2] > 150); /* the scene's corner */
    assert_int_equal(large.width, 161);
    assert_true(cropped.pixels[0] < 60);
    GbQuality measured;
    g_autoptr(GError) error = NULL;
    gsize n;
    const void *data = g_bytes_get_data(heic, &n);
    g_autoptr(GBytes) preview = gb_image_survey(data, n, 1, 100, 90, &measured, NULL, &error);
    g_auto(Picture) surveyed = picture_of_jpeg(preview);
    assert_true(surveyed.pixels[0] < 60); /* what is measured is the photo */
}

static void what_is_transparent_lies_on_white(void **state)
{
    (void)state;
    g_autoptr(GBytes) heic = scene_heic(64, 64, &(Make){ .clear = TRUE });
    g_auto(Picture) p = shrunk(heic, 64);
    for (int i = 0; i < p.width * p.height * 3; i++)
        assert_true(p.pixels[i] >= 250);
}

/* The middle of a picture of one colour, { 160, 90, 80 }. */
static void assert_shown(const Make *make, const double wanted[3])
{
    g_auto(Picture) p = { 64, 64, 3, g_malloc(3 * 64 * 64) };
    for (int i = 0; i < 64 * 64; i++)
        memcpy(p.pixels + 3 * i, (const guint8[]){ 160, 90, 80 }, 3);
    g_autoptr(GBytes) heic = heic_of(&p, make);
    g_auto(Picture) seen = shrunk(heic, 48);
    for (int c = 0; c < 3; c++)
        assert_near(seen.pixels[3 * (24 * 48 + 24) + c], wanted[c], 3);
}

/* Wanted: from the primaries of ITU-T H.273, table 2 (9: BT.2020, 12: P3 with D65), with the curve of sRGB, recomputed. What is meant for bright screens
 * (16: PQ, 18: HLG) would need more than other primaries, and stays. */
static void colours_come_out_in_srgb_whether_a_profile_or_numbers_tell_of_them(void **state)
{
    (void)state;
    static const double plain[3] = { 160, 90, 80 }, p3[3] = { 171.1, 85.4, 76.5 }, wide[3] = { 190.5, 75.5, 76.4 };
    g_autoptr(GBytes) profile = gb_profile_of_primaries(12), wrong = g_bytes_new_static("wrong", 5);
    assert_shown(&(Make){ 0 }, plain);
    assert_shown(&(Make){ .primaries = 1, .transfer = 13 }, plain);
    assert_shown(&(Make){ .primaries = 12, .transfer = 13 }, p3);
    assert_shown(&(Make){ .primaries = 9, .transfer = 1 }, wide);
    assert_shown(&(Make){ .primaries = 9, .transfer = 16 }, plain);
    assert_shown(&(Make){ .primaries = 9, .transfer = 18 }, plain);
    assert_shown(&(Make){ .profile = profile }, p3);
    assert_shown(&(Make){ .profile = wrong }, plain);
}

/* heif-enc: 10 bits, a monochrome picture, one in AV1; each against the picture that went in. */
static void files_of_heif_enc_show_what_went_in(void **state)
{
    if (!have_program("heif-enc") || !have_program("convert"))
        skip();
    static const char *const ways[] = { "", "-b 10", "-L", "-t 64", "-A" };
    g_autofree char *ppm = g_build_filename(*state, "in.ppm", NULL);
    g_auto(Picture) before = scene(256, 192, 3);
    save_ppm(&before, ppm);
    for (gsize i = 0; i < G_N_ELEMENTS(ways); i++) {
        g_autofree char *command = g_strdup_printf("cd '%s' && convert in.ppm in.png && heif-enc -q 90 %s in.png -o x.heic", (char *)*state, ways[i]);
        g_autofree char *path = g_build_filename(*state, "x.heic", NULL);
        if (run((const char *[]){ "sh", "-c", command, NULL }, NULL, NULL) != 0) {
            print_message("heif-enc %s: can't here\n", ways[i]);
            continue;
        }
        g_autoptr(GBytes) heic = load_file(path);
        g_auto(Picture) after = shrunk(heic, 256);
        double db = luma_psnr(&before, &after);
        print_message("heif-enc %s: %.1f dB\n", ways[i], db);
        assert_true(db > 38);
    }
}

/* --- a real phone's --- */

static double number_of(const json_t *photo, const char *key)
{
    const json_t *value = json_object_get(photo, key);
    return json_is_number(value) ? json_number_value(value) : (double)NAN;
}

static gboolean have_phones_file(void)
{
    g_autofree char *path = real_photo("IMG_5195.HEIC");
    return path != NULL;
}

static void a_phones_exif_is_read_as_exiftool_reads_it(void **state)
{
    (void)state;
    if (!have_phones_file() || !have_program("exiftool"))
        skip();
    g_autofree char *path = real_photo("IMG_5195.HEIC"), *out = NULL;
    assert_int_equal(run((const char *[]){ "exiftool", "-j", "-n", path, NULL }, &out, NULL), 0);
    g_autoptr(json_t) list = json_loads(out, 0, NULL);
    const json_t *photo = json_array_get(list, 0);
    g_autoptr(GBytes) heic = load_file(path);
    g_auto(GbImageHeader) header = { 0 };
    read_header(heic, &header);
    const GbExif *exif = &header.exif;
    g_autofree char *taken = gb_time_text(exif->taken_local_s), *said = g_strdup(json_string_value(json_object_get(photo, "DateTimeOriginal")));
    said[4] = said[7] = '-';
    assert_int_equal(header.width, number_of(photo, "ImageWidth"));
    assert_int_equal(header.height, number_of(photo, "ImageHeight"));
    assert_string_equal(exif->make, json_string_value(json_object_get(photo, "Make")));
    assert_string_equal(exif->model, json_string_value(json_object_get(photo, "Model")));
    assert_string_equal(taken, said);
    assert_near(exif->lat_deg, number_of(photo, "GPSLatitude"), 1e-9);
    assert_near(exif->lon_deg, number_of(photo, "GPSLongitude"), 1e-9);
    assert_near(exif->alt_m, number_of(photo, "GPSAltitude"), 1e-6);
    assert_near(exif->heading_deg, number_of(photo, "GPSImgDirection"), 1e-6);
    assert_int_equal(exif->heading_ref, json_string_value(json_object_get(photo, "GPSImgDirectionRef"))[0]);
    assert_near(exif->position_error_m, number_of(photo, "GPSHPositioningError"), 1e-6);
    assert_near(exif->focal_35mm_mm, number_of(photo, "FocalLengthIn35mmFormat"), 0);
}

/* ImageMagick turns and shrinks; the HEVC inside it decodes with the same library as we do. */
static void a_phones_photo_shrinks_as_imagemagick_shrinks_it(void **state)
{
    (void)state;
    if (!have_phones_file() || !have_program("convert"))
        skip();
    g_autofree char *path = real_photo("IMG_5195.HEIC");
    g_autoptr(GBytes) heic = load_file(path);
    g_auto(Picture) seen = shrunk(heic, 640);
    g_autofree char *size = g_strdup_printf("%dx%d!", seen.width, seen.height);
    g_auto(Picture) theirs = picture_by_magick(path, "-auto-orient", "-scale", size, NULL);
    double db = luma_psnr(&seen, &theirs);
    print_message("%.1f dB to ImageMagick\n", db);
    assert_true(db > 36);
}

/* The same photo as HEIC, and decoded and written as JPEG: what is measured must compare. */
static void a_survey_tells_of_a_heic_what_it_tells_of_the_same_picture_as_jpeg(void **state)
{
    if (!have_phones_file() || !have_program("convert"))
        skip();
    g_autofree char *path = real_photo("IMG_5195.HEIC"), *jpeg_path = g_build_filename(*state, "x.jpg", NULL);
    assert_int_equal(run((const char *[]){ "convert", path, "-quality", "97", jpeg_path, NULL }, NULL, NULL), 0);
    g_autoptr(GBytes) heic = load_file(path), jpeg = load_file(jpeg_path);
    GbQuality q[2];
    GBytes *files[] = { heic, jpeg };
    for (int i = 0; i < 2; i++) {
        gsize n;
        const void *data = g_bytes_get_data(files[i], &n);
        g_autoptr(GError) error = NULL;
        g_autoptr(GBytes) preview = gb_image_survey(data, n, 1, 320, 82, &q[i], NULL, &error);
        assert_no_error(error);
        print_message("%d x %d: variance %.0f, smear %.2f of %d px, mean %.1f, hash %016" G_GINT64_MODIFIER "x\n", q[i].width,
                      q[i].height, q[i].sharpness, q[i].smear_px, q[i].smear_side_px, q[i].mean, q[i].hash);
    }
    assert_int_equal(q[0].width, q[1].width);
    assert_int_equal(q[0].height, q[1].height);
    assert_near(q[0].sharpness / q[1].sharpness, 1, 0.1);
    assert_near(q[0].smear_px, q[1].smear_px, 0.05);
    assert_int_equal(q[0].smear_side_px, q[1].smear_side_px);
    assert_near(q[0].mean, q[1].mean, 1);
    assert_true(gb_quality_hash_distance(q[0].hash, q[1].hash) <= 2);
}

/* --- hostile files --- */

static void a_file_cut_anywhere_is_refused_as_damaged(void **state)
{
    (void)state;
    guint8 exif[44];
    put_exif(exif, 1);
    g_autoptr(GBytes) heic = scene_heic(128, 96, &(Make){ .exif = exif, .exif_bytes = sizeof exif, .thumbnail_px = 64 });
    gsize n = g_bytes_get_size(heic);
    guint shown = 0;
    for (gsize cut = 12; cut < n; cut += 1 + n / 60) {
        g_autoptr(GError) error = NULL;
        g_autofree guint8 *part = g_memdup2(g_bytes_get_data(heic, NULL), cut);
        g_autoptr(GBytes) jpeg = gb_image_shrink(part, cut, 1, 100, 80, NULL, &error);
        shown += jpeg != NULL;
        if (jpeg == NULL)
            assert_error(error, GB_ERROR_DAMAGED, "the HEIC is damaged and can't be read (");
    }
    print_message("%u of the parts still show a picture\n", shown);
    assert_true(shown < 20);
}

static void a_file_with_flipped_bits_is_a_picture_or_an_error(void **state)
{
    (void)state;
    g_autoptr(GBytes) heic = scene_heic(128, 96, &(Make){ 0 });
    gsize n;
    g_autofree guint8 *data = g_memdup2(g_bytes_get_data(heic, &n), g_bytes_get_size(heic));
    g_autoptr(GRand) random = g_rand_new_with_seed(3);
    guint errors = 0;
    for (int i = 0; i < 100; i++) {
        g_autoptr(GError) error = NULL;
        gsize at = (gsize)g_rand_int_range(random, 12, (gint32)n);
        guint8 bit = (guint8)(1 << g_rand_int_range(random, 0, 8));
        data[at] ^= bit;
        g_autoptr(GBytes) jpeg = gb_image_shrink(data, n, 1, 100, 80, NULL, &error);
        assert_true((jpeg == NULL) == (error != NULL));
        errors += jpeg == NULL;
        data[at] ^= bit;
    }
    print_message("%u of 100 refused\n", errors);
}

static void sizes_no_picture_has_are_refused_before_they_are_decoded(void **state)
{
    (void)state;
    g_autoptr(GBytes) heic = scene_heic(128, 96, &(Make){ 0 });
    gsize n;
    g_autofree guint8 *data = g_memdup2(g_bytes_get_data(heic, &n), g_bytes_get_size(heic));
    guint8 *ispe = memmem(data, n, "ispe", 4);
    assert_non_null(ispe);
    static const guint32 sizes[][2] = { { 65535, 65535 }, { 20000, 20000 }, { 0x7FFFFFFF, 0x7FFFFFFF }, { 0xFFFFFFFF, 1 } };
    for (gsize i = 0; i < G_N_ELEMENTS(sizes); i++) {
        const guint32 big_endian[] = { GUINT32_TO_BE(sizes[i][0]), GUINT32_TO_BE(sizes[i][1]) };
        g_autoptr(GError) error = NULL;
        memcpy(ispe + 8, big_endian, 8);
        assert_null(gb_image_shrink(data, n, 1, 100, 80, NULL, &error));
        assert_int_equal(error->code, GB_ERROR_TOO_LARGE);
        print_message("%s\n", error->message);
        g_clear_error(&error);
        GbImageHeader header;
        assert_false(gb_image_header(data, n, &header, &error));
        assert_int_equal(error->code, GB_ERROR_TOO_LARGE);
    }
}

/* --- broken decoders --- */

/* Decode with a decoder of ours, a shell script in the test's folder; the error's message, OWNED by the caller. */
static char *told_with_decoder(void **state, const char *script, int limit_ms, int code)
{
    static const char heic[] = "\0\0\0\x18" "ftypheic\0\0\0\0mif1heic";
    g_autofree char *before = g_strdup(g_getenv("GABLEBOOK_LIBEXEC")), *path = g_build_filename(*state, GB_HEIC_PROGRAM, NULL);
    g_autoptr(GError) error = NULL;
    if (script != NULL) {
        g_autofree char *text = g_strconcat("#!/bin/sh\n", script, "\n", NULL);
        assert_true(g_file_set_contents(path, text, -1, NULL));
        assert_int_equal(g_chmod(path, 0700), 0);
    } else
        (void)g_remove(path);
    g_setenv("GABLEBOOK_LIBEXEC", *state, TRUE);
    assert_null(gb_heic_survey_within(heic, sizeof heic, 1, 320, 82, limit_ms, NULL, NULL, &error));
    if (before != NULL)
        g_setenv("GABLEBOOK_LIBEXEC", before, TRUE);
    else
        g_unsetenv("GABLEBOOK_LIBEXEC");
    assert_int_equal(error->code, code);
    return g_strdup(error->message);
}

static void assert_told(void **state, const char *script, int code, const char *part)
{
    g_autofree char *message = told_with_decoder(state, script, 60000, code);
    if (strstr(message, part) == NULL)
        fail_msg("'%s' without '%s'", message, part);
}

static void a_decoder_that_dies_is_one_sentence(void **state)
{
    assert_told(state, "kill -9 $$", GB_ERROR_DAMAGED, "the decoder for HEIC broke down over it (signal 9)");
    assert_told(state, "kill -SEGV $$", GB_ERROR_DAMAGED, "broke down over it (signal 11)");
    assert_told(state, "kill -XCPU $$", GB_ERROR_DAMAGED, "used too much time and was ended");
    assert_told(state, "exit 1", GB_ERROR_DAMAGED, "gave up over it");
    assert_told(state, "exit 127", GB_ERROR_STATE, "can't be started: a library that it needs is missing");
}

static void a_decoder_that_hangs_is_ended_at_its_limit(void **state)
{
    g_autofree char *message = told_with_decoder(state, "exec tail -f /dev/null", 200, GB_ERROR_DAMAGED);
    assert_string_equal(message, "the decoder for HEIC took longer than 0.2 s and was ended");
    /* one that goes on saying nothing of use is no better */
    g_autofree char *drips = told_with_decoder(state, "printf 'GHE1\\0\\0\\0'; exec tail -f /dev/null", 200, GB_ERROR_DAMAGED);
    assert_string_equal(drips, message);
}

static void a_decoder_that_talks_nonsense_is_not_believed(void **state)
{
    /* magic, status, width, height, pixel width, pixel height, damaged, EXIF bytes, message bytes, profile bytes, primaries:
     * eleven words of four bytes */
#define OK4 "GHE1\\0\\0\\0\\0"
#define TEN "\\012\\0\\0\\0"
#define NIL "\\0\\0\\0\\0"
#define HUGE4 "\\377\\377\\377\\177"
    static const char *const said[] = {
        "printf 'no decoder at all, and quite a lot of it, as if it were a picture'",
        "printf '" OK4 HUGE4 TEN TEN TEN NIL NIL NIL NIL NIL "'",
        "printf '" OK4 TEN TEN HUGE4 TEN NIL NIL NIL NIL NIL "'",
        "printf '" OK4 TEN TEN TEN "\\0\\0\\0\\200" NIL NIL NIL NIL NIL "'",
        "printf '" OK4 TEN TEN TEN TEN NIL HUGE4 NIL NIL NIL "'",
        "printf '" OK4 TEN TEN TEN TEN NIL NIL HUGE4 NIL NIL "'",
        "printf '" OK4 TEN TEN TEN TEN NIL NIL NIL HUGE4 NIL "'",
        "printf '" OK4 NIL NIL NIL NIL NIL NIL NIL NIL NIL "'",
        "printf 'GHE1\\011\\0\\0\\0" TEN TEN TEN TEN NIL NIL NIL NIL NIL "'",
    };
    for (gsize i = 0; i < G_N_ELEMENTS(said); i++)
        assert_told(state, said[i], GB_ERROR_DAMAGED, "the decoder for HEIC answers nonsense to it");
    assert_told(state, "printf '" OK4 TEN TEN NIL NIL NIL NIL NIL NIL NIL "'", GB_ERROR_DAMAGED, "gave no pixels");
    assert_told(state, "printf '" OK4 TEN TEN TEN TEN NIL NIL NIL NIL NIL "rows'", GB_ERROR_DAMAGED, "gave up over it");
    assert_told(state, "printf 'GHE1\\001\\0\\0\\0" NIL NIL NIL NIL NIL NIL "\\006\\0\\0\\0" NIL NIL "\\033[31mx'", GB_ERROR_DAMAGED, "can't be read ([31mx)");
}

static void a_decoder_that_is_not_there_is_one_sentence(void **state)
{
    assert_told(state, NULL, GB_ERROR_STATE, "the decoder for HEIC can't be started: No such file or directory");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_pixels_that_went_in_come_out),
        cmocka_unit_test(a_picture_is_turned_once_whatever_its_exif_says_beside),
        cmocka_unit_test(exif_is_found_behind_its_four_bytes_with_and_without_a_mark),
        cmocka_unit_test(an_exif_item_that_points_outside_of_itself_is_passed_over),
        cmocka_unit_test(a_thumbnail_serves_where_it_is_large_enough_and_of_the_same_shape),
        cmocka_unit_test(what_is_transparent_lies_on_white),
        cmocka_unit_test(colours_come_out_in_srgb_whether_a_profile_or_numbers_tell_of_them),
        test_in_folder(files_of_heif_enc_show_what_went_in),
        cmocka_unit_test(a_phones_exif_is_read_as_exiftool_reads_it),
        cmocka_unit_test(a_phones_photo_shrinks_as_imagemagick_shrinks_it),
        test_in_folder(a_survey_tells_of_a_heic_what_it_tells_of_the_same_picture_as_jpeg),
        cmocka_unit_test(a_file_cut_anywhere_is_refused_as_damaged),
        cmocka_unit_test(a_file_with_flipped_bits_is_a_picture_or_an_error),
        cmocka_unit_test(sizes_no_picture_has_are_refused_before_they_are_decoded),
        test_in_folder(a_decoder_that_dies_is_one_sentence),
        test_in_folder(a_decoder_that_hangs_is_ended_at_its_limit),
        test_in_folder(a_decoder_that_talks_nonsense_is_not_believed),
        test_in_folder(a_decoder_that_is_not_there_is_one_sentence),
    };
    return cmocka_run_group_tests_name("heic", tests, NULL, NULL);
}
