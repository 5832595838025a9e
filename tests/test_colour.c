/* test_colour.c -- photos whose colours are not sRGB come out in sRGB; what is wrong with a profile does no harm.
 *
 * Sources: primaries of SMPTE EG 432-1 with the white D65 and the curve of IEC 61966-2-1 (Display P3, published), from which the expected colours are
 * recomputed here in doubles, without Little CMS; ImageMagick's own conversion of the same files; ISO 15076-1 for profiles and their
 * pieces in a JPEG (annex B.4). Profiles are written by Little CMS.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "pixel_support.h"

#include <gablebook/image.h>
#include <jpeglib.h>
#include <lcms2.h>
#include <string.h>

#include "photo/colour-private.h"

#define PATCH_PX 64
#define N_PATCHES G_N_ELEMENTS(patches)

/* None near the edge of sRGB: there a step of Display P3 is several of sRGB, and JPEG's own rounding would be seen many times over. */
static const guint8 patches[][3] = {
    { 0, 0, 0 },      { 255, 255, 255 }, { 128, 128, 128 }, { 60, 60, 60 },   { 160, 90, 80 },   { 90, 140, 80 },  { 80, 90, 150 },
    { 200, 170, 60 }, { 70, 150, 160 },  { 150, 80, 150 },  { 190, 150, 130 }, { 110, 60, 45 },
};

/* --- what is right, recomputed --- */

static void invert(const double m[3][3], double out[3][3])
{
    double det = 0;
    for (int i = 0; i < 3; i++)
        det += m[0][i] * (m[1][(i + 1) % 3] * m[2][(i + 2) % 3] - m[1][(i + 2) % 3] * m[2][(i + 1) % 3]);
    for (int i = 0; i < 3; i++)
        for (int j = 0; j < 3; j++)
            out[i][j] = (m[(j + 1) % 3][(i + 1) % 3] * m[(j + 2) % 3][(i + 2) % 3] -
                         m[(j + 1) % 3][(i + 2) % 3] * m[(j + 2) % 3][(i + 1) % 3]) / det;
}

static void times(const double m[3][3], const double v[3], double out[3])
{
    for (int i = 0; i < 3; i++)
        out[i] = m[i][0] * v[0] + m[i][1] * v[1] + m[i][2] * v[2];
}

/* Light of RGB to XYZ, from chromaticities of the three and of the white D65 (SMPTE RP 177). */
static void to_xyz(const double xy[3][2], double m[3][3])
{
    double columns[3][3], inverse[3][3], scale[3];
    const double white[3] = { 0.3127 / 0.3290, 1, (1 - 0.3127 - 0.3290) / 0.3290 };
    for (int c = 0; c < 3; c++) {
        columns[0][c] = xy[c][0] / xy[c][1];
        columns[1][c] = 1;
        columns[2][c] = (1 - xy[c][0] - xy[c][1]) / xy[c][1];
    }
    invert(columns, inverse);
    times(inverse, white, scale);
    for (int i = 0; i < 3; i++)
        for (int c = 0; c < 3; c++)
            m[i][c] = columns[i][c] * scale[c];
}

static const double p3_xy[3][2] = { { 0.680, 0.320 }, { 0.265, 0.690 }, { 0.150, 0.060 } };
static const double srgb_xy[3][2] = { { 0.640, 0.330 }, { 0.300, 0.600 }, { 0.150, 0.060 } };

static double light(double v)
{
    return v <= 0.04045 ? v / 12.92 : pow((v + 0.055) / 1.055, 2.4);
}

static double number(double l)
{
    l = CLAMP(l, 0, 1);
    return 255 * (l <= 0.0031308 ? 12.92 * l : 1.055 * pow(l, 1 / 2.4) - 0.055);
}

/* A colour of Display P3 as sRGB. */
static void wanted(const guint8 p3[3], double srgb[3])
{
    double from[3][3], to[3][3], back[3][3], xyz[3], rgb[3], lights[3] = { light(p3[0] / 255.0), light(p3[1] / 255.0), light(p3[2] / 255.0) };
    to_xyz(p3_xy, from);
    to_xyz(srgb_xy, to);
    invert(to, back);
    times(from, lights, xyz);
    times(back, xyz, rgb);
    for (int c = 0; c < 3; c++)
        srgb[c] = number(rgb[c]);
}

/* --- profiles --- */

static GBytes *saved(cmsHPROFILE profile)
{
    cmsUInt32Number n = 0;
    assert_true(cmsSaveProfileToMem(profile, NULL, &n));
    guint8 *bytes = g_malloc(n);
    assert_true(cmsSaveProfileToMem(profile, bytes, &n));
    cmsCloseProfile(profile);
    return g_bytes_new_take(bytes, n);
}

static cmsHPROFILE rgb_profile(const double xy[3][2], cmsToneCurve *curve)
{
    const cmsCIExyYTRIPLE primaries = { { xy[0][0], xy[0][1], 1 }, { xy[1][0], xy[1][1], 1 }, { xy[2][0], xy[2][1], 1 } };
    cmsHPROFILE profile = cmsCreateRGBProfile(&(cmsCIExyY){ 0.3127, 0.3290, 1 }, &primaries, (cmsToneCurve *[]){ curve, curve, curve });
    cmsFreeToneCurve(curve);
    return profile;
}

static cmsToneCurve *srgb_curve(void)
{
    return cmsBuildParametricToneCurve(NULL, 4, (const double[]){ 2.4, 1 / 1.055, 0.055 / 1.055, 1 / 12.92, 0.04045 });
}

static GBytes *display_p3(void)
{
    return saved(rgb_profile(p3_xy, srgb_curve()));
}

/* The same with a text of so many letters in it. */
static GBytes *display_p3_with_text(gsize letters)
{
    cmsHPROFILE profile = rgb_profile(p3_xy, srgb_curve());
    g_autofree char *text = g_strnfill(letters, 'x');
    cmsMLU *mlu = cmsMLUalloc(NULL, 1);
    assert_true(cmsMLUsetASCII(mlu, "en", "US", text));
    assert_true(cmsWriteTag(profile, cmsSigCopyrightTag, mlu));
    cmsMLUfree(mlu);
    return saved(profile);
}

/* sRGB as many makers write it: a table of the curve in place of the formula. */
static GBytes *srgb_by_table(void)
{
    guint16 table[1024];
    for (int i = 0; i < 1024; i++)
        table[i] = (guint16)lround(65535 * light(i / 1023.0));
    return saved(rgb_profile(srgb_xy, cmsBuildTabulatedToneCurve16(NULL, 1024, table)));
}

/* --- pictures --- */

static Picture patchwork(void)
{
    Picture p = { PATCH_PX * (int)N_PATCHES, PATCH_PX, 3, NULL };
    p.pixels = g_malloc(3 * (gsize)p.width * p.height);
    for (int i = 0; i < p.width * p.height; i++)
        memcpy(p.pixels + 3 * i, patches[i % p.width / PATCH_PX], 3);
    return p;
}

static GBytes *jpeg_with(const Picture *p, GBytes *profile)
{
    struct jpeg_compress_struct codec = { 0 };
    struct jpeg_error_mgr errors;
    guint8 *out = NULL;
    unsigned long n = 0;
    codec.err = jpeg_std_error(&errors);
    jpeg_create_compress(&codec);
    jpeg_mem_dest(&codec, &out, &n);
    codec.image_width = (JDIMENSION)p->width;
    codec.image_height = (JDIMENSION)p->height;
    codec.input_components = p->channels;
    codec.in_color_space = p->channels == 1 ? JCS_GRAYSCALE : JCS_RGB;
    jpeg_set_defaults(&codec);
    jpeg_set_quality(&codec, 100, TRUE);
    jpeg_start_compress(&codec, TRUE);
    if (profile != NULL)
        jpeg_write_icc_profile(&codec, g_bytes_get_data(profile, NULL), (unsigned int)g_bytes_get_size(profile));
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

static GBytes *patches_with(GBytes *profile)
{
    g_auto(Picture) p = patchwork();
    return jpeg_with(&p, profile);
}

static GBytes *small(GBytes *file, int max_px, GbQuality *measured)
{
    g_autoptr(GError) error = NULL;
    gboolean damaged = TRUE;
    gsize n;
    const void *data = g_bytes_get_data(file, &n);
    GBytes *jpeg = gb_image_survey(data, n, 1, max_px, 100, measured, &damaged, &error);
    assert_no_error(error);
    assert_false(damaged);
    return jpeg;
}

/* The colour in the middle of a patch. */
static const guint8 *seen_at(const Picture *p, gsize i)
{
    int x = (int)((2 * i + 1) * p->width / (2 * N_PATCHES));
    return p->pixels + 3 * ((gsize)p->height / 2 * p->width + x);
}

/* from: the same picture with the numbers of Display P3, as decoded. */
static void assert_colours(const Picture *seen, const Picture *from, int within)
{
    for (gsize i = 0; i < N_PATCHES; i++) {
        double srgb[3];
        wanted(seen_at(from, i), srgb);
        for (int c = 0; c < 3; c++)
            assert_near(seen_at(seen, i)[c], srgb[c], within);
    }
}

static void assert_unchanged(GBytes *profile)
{
    g_autoptr(GBytes) plain = patches_with(NULL), file = patches_with(profile);
    g_autoptr(GBytes) small_plain = small(plain, 120, NULL), small_file = small(file, 120, NULL);
    assert_true(g_bytes_equal(small_plain, small_file));
}

/* --- tests --- */

/* The reference itself: the reddest, greenest and bluest sRGB as numbers of Display P3, as CSS Color 4 states them (0.9175 0.2003 0.1386; 0.4584
 * 0.9853 0.2983; 0 0 0.9596: from memory), come back. */
static void the_reference_knows_the_corners_of_srgb(void **state)
{
    (void)state;
    static const guint8 p3[3][3] = { { 234, 51, 35 }, { 117, 251, 76 }, { 0, 0, 245 } };
    for (int i = 0; i < 3; i++) {
        double srgb[3];
        wanted(p3[i], srgb);
        for (int c = 0; c < 3; c++)
            assert_near(srgb[c], c == i ? 255 : 0, c == i ? 1 : 12); /* near black a step of P3 is many of sRGB */
    }
}

static void colours_of_display_p3_come_out_as_the_published_primaries_say(void **state)
{
    (void)state;
    g_autoptr(GBytes) p3 = display_p3(), file = patches_with(p3), plain = patches_with(NULL);
    g_auto(Picture) from = picture_of_jpeg(file);
    static const int sizes[] = { PATCH_PX * N_PATCHES, PATCH_PX * N_PATCHES / 2, PATCH_PX * N_PATCHES / 8, PATCH_PX * N_PATCHES / 16 };
    for (gsize i = 0; i < G_N_ELEMENTS(sizes); i++) { /* whole, half; by means of blocks, and those made smaller */
        g_autoptr(GBytes) ours = small(file, sizes[i], NULL), dull = small(plain, sizes[i], NULL);
        g_auto(Picture) seen = picture_of_jpeg(ours), not_converted = picture_of_jpeg(dull);
        assert_colours(&seen, &from, 2);
        assert_true(seen_at(&seen, 9)[0] - seen_at(&not_converted, 9)[0] >= 8); /* { 150, 80, 150 }: what went wrong without */
    }
}

static void imagemagick_converts_the_same_jpeg_and_png_to_the_same_colours(void **state)
{
    if (!have_program("convert"))
        skip();
    g_autoptr(GBytes) p3 = display_p3(), srgb = saved(cmsCreate_sRGBProfile()), jpeg = patches_with(p3);
    g_autofree char *jpeg_path = g_build_filename(*state, "p3.jpg", NULL), *png_path = g_build_filename(*state, "p3.png", NULL);
    g_autofree char *deep_path = g_build_filename(*state, "deep.png", NULL), *to = g_build_filename(*state, "srgb.icc", NULL);
    assert_true(g_file_set_contents(jpeg_path, g_bytes_get_data(jpeg, NULL), (gssize)g_bytes_get_size(jpeg), NULL));
    assert_true(g_file_set_contents(to, g_bytes_get_data(srgb, NULL), (gssize)g_bytes_get_size(srgb), NULL));
    assert_int_equal(run((const char *[]){ "convert", jpeg_path, png_path, NULL }, NULL, NULL), 0);
    assert_int_equal(run((const char *[]){ "convert", jpeg_path, "-depth", "16", "-interlace", "PNG", deep_path, NULL }, NULL, NULL), 0);
    const char *const paths[] = { jpeg_path, png_path, deep_path };
    for (gsize i = 0; i < G_N_ELEMENTS(paths); i++) {
        g_autoptr(GBytes) file = load_file(paths[i]), ours = small(file, 120, NULL);
        g_auto(Picture) seen = picture_of_jpeg(ours), theirs = picture_by_magick(paths[i], "-profile", to, NULL);
        for (gsize k = 0; k < N_PATCHES; k++)
            for (int c = 0; c < 3; c++)
                assert_near(seen_at(&seen, k)[c], seen_at(&theirs, k)[c], 2);
    }
}

/* The file of a real phone, on both ways that its HEIC goes: its thumbnail, and the whole picture. exiftool takes the profile out, which ImageMagick
 * does not see in a HEIC. */
static void a_real_phones_heic_has_the_colours_that_imagemagick_converts_it_to(void **state)
{
    g_autofree char *path = real_photo("IMG_5195.HEIC");
    if (path == NULL || !have_program("convert") || !have_program("exiftool"))
        skip();
    g_autoptr(GBytes) srgb = saved(cmsCreate_sRGBProfile()), file = load_file(path);
    g_autofree char *to = g_build_filename(*state, "srgb.icc", NULL), *own = g_build_filename(*state, "own.icc", NULL);
    assert_true(g_file_set_contents(to, g_bytes_get_data(srgb, NULL), (gssize)g_bytes_get_size(srgb), NULL));
    const char *const extract[] = { "sh", "-c", "exiftool -b -icc_profile \"$1\" > \"$2\"", "sh", path, own, NULL };
    assert_int_equal(run(extract, NULL, NULL), 0);
    for (int px = 320; px <= 640; px *= 2) {
        g_autofree char *size = g_strdup_printf("%dx%d", px, px);
        g_autoptr(GBytes) ours = small(file, px, NULL);
        g_auto(Picture) seen = picture_of_jpeg(ours);
        g_auto(Picture) theirs = picture_by_magick(path, "-profile", own, "-profile", to, "-filter", "box", "-resize", size, NULL);
        g_auto(Picture) dull = picture_by_magick(path, "-filter", "box", "-resize", size, NULL);
        print_message("%d px: %.1f dB, not converted %.1f dB\n", px, psnr(&seen, &theirs), psnr(&seen, &dull));
        assert_true(psnr(&seen, &theirs) > psnr(&seen, &dull) + (px == 320 ? 2 : 5)); /* measured: 38.6 to 35.4, 42.3 to 35.8 */
    }
}

static void a_profile_in_several_pieces_is_put_together_and_one_with_a_piece_missing_is_none(void **state)
{
    (void)state;
    g_autoptr(GBytes) large = display_p3_with_text(80000), file = patches_with(large);
    assert_true(g_bytes_get_size(large) > 2 * 65519);
    g_autoptr(GBytes) ours = small(file, 120, NULL);
    g_auto(Picture) seen = picture_of_jpeg(ours), from = picture_of_jpeg(file);
    assert_colours(&seen, &from, 2);

    gsize n;
    g_autofree guint8 *data = g_memdup2(g_bytes_get_data(file, &n), g_bytes_get_size(file));
    guint8 *second = memmem(data + 1000, n - 1000, "ICC_PROFILE\0\2", 13);
    assert_non_null(second);
    static const guint8 wrong[][2] = { { 9, 3 }, { 0, 3 }, { 1, 3 }, { 3, 3 }, { 2, 4 }, { 2, 2 }, { 255, 255 } }; /* number, and of how many */
    g_autoptr(GBytes) plain = patches_with(NULL), small_plain = small(plain, 120, NULL);
    for (gsize i = 0; i < G_N_ELEMENTS(wrong); i++) {
        memcpy(second + 12, wrong[i], 2);
        g_autoptr(GBytes) broken = g_bytes_new(data, n), small_broken = small(broken, 120, NULL);
        assert_true(g_bytes_equal(small_broken, small_plain));
    }
}

static void a_profile_that_is_srgb_changes_no_byte(void **state)
{
    (void)state;
    g_autoptr(GBytes) own = saved(cmsCreate_sRGBProfile()), table = srgb_by_table();
    assert_unchanged(own);
    assert_unchanged(table);
}

static void what_is_no_profile_of_rgb_pictures_is_passed_over(void **state)
{
    (void)state;
    g_autoptr(GBytes) huge = display_p3_with_text(GB_PROFILE_MAX_BYTES / 2 + 100000);
    g_autoptr(GBytes) lab = saved(cmsCreateLab4Profile(NULL)), noise = g_bytes_new_static("no profile", 10);
    cmsToneCurve *curve = cmsBuildGamma(NULL, 1.8);
    g_autoptr(GBytes) grey = saved(cmsCreateGrayProfile(cmsD50_xyY(), curve));
    cmsFreeToneCurve(curve);
    g_autoptr(GBytes) ink = saved(cmsCreateInkLimitingDeviceLink(cmsSigCmykData, 300));
    assert_true(g_bytes_get_size(huge) > GB_PROFILE_MAX_BYTES);
    GBytes *const profiles[] = { huge, lab, noise, grey, ink };
    for (gsize i = 0; i < G_N_ELEMENTS(profiles); i++)
        assert_unchanged(profiles[i]);
}

static void a_grey_picture_stays_as_it_is(void **state)
{
    (void)state;
    g_auto(Picture) p = scene(160, 120, 1);
    g_autoptr(GBytes) p3 = display_p3(), plain = jpeg_with(&p, NULL), file = jpeg_with(&p, p3);
    g_autoptr(GBytes) small_plain = small(plain, 80, NULL), small_file = small(file, 80, NULL);
    assert_true(g_bytes_equal(small_plain, small_file));
}

static void the_measures_are_those_of_the_photo_as_it_was_decoded(void **state)
{
    (void)state;
    g_auto(Picture) p = scene(1600, 1200, 3);
    g_autoptr(GBytes) p3 = display_p3(), plain = jpeg_with(&p, NULL), file = jpeg_with(&p, p3);
    GbQuality without = { 0 }, with = { 0 };
    g_autoptr(GBytes) one = small(plain, 200, &without), two = small(file, 200, &with);
    assert_false(g_bytes_equal(one, two));
    assert_memory_equal(&without, &with, sizeof with);
}

static gpointer shrink_again(gpointer file)
{
    return small(file, 120, NULL);
}

static void the_same_photo_gives_the_same_bytes_in_every_thread(void **state)
{
    (void)state;
    g_autoptr(GBytes) p3 = display_p3(), file = patches_with(p3), first = small(file, 120, NULL);
    GThread *threads[8];
    for (gsize i = 0; i < G_N_ELEMENTS(threads); i++)
        threads[i] = g_thread_new("shrink", shrink_again, file);
    for (gsize i = 0; i < G_N_ELEMENTS(threads); i++) {
        g_autoptr(GBytes) again = g_thread_join(threads[i]);
        assert_true(g_bytes_equal(first, again));
    }
}

/* Survived, whatever comes out: three bytes changed, or the end gone, of profiles with curves and with tables. */
static void profiles_with_changed_bytes_are_survived(void **state)
{
    (void)state;
    g_autoptr(GBytes) p3 = display_p3(), table = srgb_by_table(), lab = saved(cmsCreateLab2Profile(NULL));
    GBytes *const profiles[] = { p3, table, lab };
    GRand *rand = g_rand_new_with_seed(9);
    for (int i = 0; i < 3000; i++) {
        gsize n;
        g_autofree guint8 *data = g_memdup2(g_bytes_get_data(profiles[i % 3], &n), g_bytes_get_size(profiles[i % 3]));
        for (int k = 0; k < 3; k++)
            data[g_rand_int_range(rand, 0, (gint32)MIN(n, 700))] = (guint8)g_rand_int_range(rand, 0, 256);
        gsize kept = i % 4 == 0 ? (gsize)g_rand_int_range(rand, 0, (gint32)n) : n;
        g_autofree guint8 *cut = g_memdup2(data, MAX(1, kept));
        guint8 pixels[4][3] = { { 1, 2, 3 }, { 250, 1, 128 }, { 0, 255, 7 }, { 90, 90, 90 } };
        gb_to_srgb(cut, kept, pixels[0], 4, i % 2 == 0 ? GB_PIXELS_YCC : GB_PIXELS_RGB);
    }
    g_rand_free(rand);
}

static void primaries_by_number_are_those_of_the_table(void **state)
{
    (void)state;
    g_autoptr(GBytes) p3 = gb_profile_of_primaries(12), wide = gb_profile_of_primaries(9);
    g_auto(Picture) p = patchwork(), from = patchwork();
    assert_int_equal(gb_to_srgb(g_bytes_get_data(p3, NULL), g_bytes_get_size(p3), p.pixels, (gsize)p.width * p.height, GB_PIXELS_RGB),
                     GB_PIXELS_RGB);
    assert_colours(&p, &from, 1);
    assert_non_null(wide);
    static const int others[] = { -1, 0, 1, 2, 5, 6, 10, 22, 255, G_MAXINT };
    for (gsize i = 0; i < G_N_ELEMENTS(others); i++)
        assert_null(gb_profile_of_primaries(others[i]));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_reference_knows_the_corners_of_srgb),
        cmocka_unit_test(colours_of_display_p3_come_out_as_the_published_primaries_say),
        test_in_folder(imagemagick_converts_the_same_jpeg_and_png_to_the_same_colours),
        test_in_folder(a_real_phones_heic_has_the_colours_that_imagemagick_converts_it_to),
        cmocka_unit_test(a_profile_in_several_pieces_is_put_together_and_one_with_a_piece_missing_is_none),
        cmocka_unit_test(a_profile_that_is_srgb_changes_no_byte),
        cmocka_unit_test(what_is_no_profile_of_rgb_pictures_is_passed_over),
        cmocka_unit_test(a_grey_picture_stays_as_it_is),
        cmocka_unit_test(the_measures_are_those_of_the_photo_as_it_was_decoded),
        cmocka_unit_test(the_same_photo_gives_the_same_bytes_in_every_thread),
        cmocka_unit_test(profiles_with_changed_bytes_are_survived),
        cmocka_unit_test(primaries_by_number_are_those_of_the_table),
    };
    return cmocka_run_group_tests_name("colour", tests, NULL, NULL);
}
