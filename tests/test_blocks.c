/* test_blocks.c -- the quick way to an eighth of a photo's size gives what libjpeg gives, or nothing.
 *
 * Reference: libjpeg-turbo itself, decoding at scale 1/8 (its jpeg_idct_1x1 is the mean of a block), with its own notion of damage.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "test.h"

#include <photo/blocks-private.h>
#include <setjmp.h>

/* --- photos of all kinds --- */

typedef struct {
    int width, height, components, h, v, quality, restart_interval;
    gboolean optimised, progressive, apart; /* apart: a scan for each component */
    gboolean flat;                          /* hardly any detail: blocks end early */
} Kind;

/* Noise over a gradient, or hardly any, so that all lengths of codes occur. OWNED by the caller. */
static GBytes *encode(const Kind *kind, guint seed)
{
    struct jpeg_compress_struct jpeg;
    struct jpeg_error_mgr errors;
    unsigned char *data = NULL;
    unsigned long n = 0;
    static const jpeg_scan_info scans[] = { { 1, { 0 }, 0, 63, 0, 0 }, { 1, { 1 }, 0, 63, 0, 0 }, { 1, { 2 }, 0, 63, 0, 0 } };
    g_autoptr(GRand) random = g_rand_new_with_seed(seed);
    g_autofree JSAMPLE *row = g_malloc((gsize)kind->width * (gsize)kind->components);
    jpeg.err = jpeg_std_error(&errors);
    jpeg_create_compress(&jpeg);
    jpeg_mem_dest(&jpeg, &data, &n);
    jpeg.image_width = (JDIMENSION)kind->width;
    jpeg.image_height = (JDIMENSION)kind->height;
    jpeg.input_components = kind->components;
    jpeg.in_color_space = kind->components == 1 ? JCS_GRAYSCALE : kind->components == 3 ? JCS_RGB : JCS_CMYK;
    jpeg_set_defaults(&jpeg);
    jpeg_set_quality(&jpeg, kind->quality, TRUE);
    jpeg.comp_info[0].h_samp_factor = kind->h;
    jpeg.comp_info[0].v_samp_factor = kind->v;
    jpeg.restart_interval = (unsigned)kind->restart_interval;
    jpeg.optimize_coding = kind->optimised;
    if (kind->apart) {
        jpeg.scan_info = scans;
        jpeg.num_scans = 3;
    }
    if (kind->progressive)
        jpeg_simple_progression(&jpeg);
    jpeg_start_compress(&jpeg, TRUE);
    while (jpeg.next_scanline < jpeg.image_height) {
        for (int i = 0; i < kind->width * kind->components; i++) {
            int noise = kind->flat ? g_rand_int_range(random, 0, 3) : g_rand_int_range(random, -90, 91);
            row[i] = (JSAMPLE)CLAMP(i * 255 / (kind->width * kind->components) + noise, 0, 255);
        }
        jpeg_write_scanlines(&jpeg, (JSAMPROW[]){ row }, 1);
    }
    jpeg_finish_compress(&jpeg);
    jpeg_destroy_compress(&jpeg);
    return g_bytes_new_with_free_func(data, n, free, data);
}

/* --- reading them both ways --- */

typedef struct {
    struct jpeg_decompress_struct codec;
    struct jpeg_error_mgr errors;
    jmp_buf jump;
} Reader;

static void give_up(j_common_ptr codec)
{
    longjmp(((Reader *)codec->client_data)->jump, 1);
}

static void say_nothing(j_common_ptr codec)
{
    (void)codec;
}

static void open_reader(Reader *r)
{
    r->codec.err = jpeg_std_error(&r->errors);
    r->errors.error_exit = give_up;
    r->errors.output_message = say_nothing;
    jpeg_create_decompress(&r->codec);
    r->codec.client_data = r;
}

/* Without the first bytes that a reader wants, FALSE as well. */
static gboolean read_quickly(const void *data, gsize n, GbBlocks blocks[3])
{
    Reader r;
    volatile gboolean ok = FALSE;
    open_reader(&r);
    if (setjmp(r.jump) == 0) {
        jpeg_mem_src(&r.codec, data, n);
        jpeg_read_header(&r.codec, TRUE);
        ok = gb_blocks_read(&r.codec, blocks);
    }
    jpeg_destroy_decompress(&r.codec);
    return ok;
}

/* At 1/8, in colours as they are stored, or grey alone. NULL: libjpeg gave up, or warned. OWNED by the caller. */
static guint8 *read_slowly(const void *data, gsize n, J_COLOR_SPACE colours, int *width, int *height)
{
    Reader r;
    guint8 *volatile pixels = NULL;
    open_reader(&r);
    if (setjmp(r.jump) == 0) {
        jpeg_mem_src(&r.codec, data, n);
        jpeg_read_header(&r.codec, TRUE);
        r.errors.num_warnings = 0; /* of what stands before the picture */
        r.codec.out_color_space = colours;
        r.codec.scale_num = 1;
        r.codec.scale_denom = 8;
        jpeg_start_decompress(&r.codec);
        gsize stride = (gsize)r.codec.output_width * (gsize)r.codec.output_components;
        *width = (int)r.codec.output_width;
        *height = (int)r.codec.output_height;
        pixels = g_malloc(stride * r.codec.output_height);
        while (r.codec.output_scanline < r.codec.output_height)
            jpeg_read_scanlines(&r.codec, (JSAMPROW[]){ pixels + stride * r.codec.output_scanline }, 1);
        jpeg_finish_decompress(&r.codec);
    } else
        r.errors.num_warnings = 1;
    guint8 *read = pixels;
    if (r.errors.num_warnings > 0)
        g_clear_pointer(&read, g_free);
    jpeg_destroy_decompress(&r.codec);
    return read;
}

static void assert_luma_as_libjpeg(const void *data, gsize n, const GbBlocks *luma)
{
    int width = 0, height = 0;
    g_autofree guint8 *wanted = read_slowly(data, n, JCS_GRAYSCALE, &width, &height);
    assert_non_null(wanted); /* what was read quickly is sound */
    assert_int_equal(luma->width, width);
    assert_int_equal(luma->height, height);
    assert_memory_equal(luma->means, wanted, (gsize)width * (gsize)height);
}

/* --- --- */

static void luma_is_what_libjpeg_gives_bit_by_bit_in_every_usual_kind_of_photo(void **state)
{
    static const struct { int h, v; } samplings[] = { { 1, 1 }, { 2, 1 }, { 1, 2 }, { 2, 2 } };
    static const struct { int width, height; } sizes[] = { { 1, 1 }, { 7, 9 }, { 8, 8 }, { 16, 16 }, { 17, 33 }, { 200, 150 }, { 333, 77 } };
    static const int qualities[] = { 1, 30, 75, 85, 95, 100 }, restarts[] = { 0, 1, 3, 100 };
    guint seed = 1;
    (void)state;
    for (gsize s = 0; s < G_N_ELEMENTS(samplings); s++)
        for (gsize z = 0; z < G_N_ELEMENTS(sizes); z++)
            for (gsize q = 0; q < G_N_ELEMENTS(qualities); q++)
                for (int components = 1; components <= 3; components += 2, seed++) {
                    const Kind kind = { .width = sizes[z].width, .height = sizes[z].height, .components = components, .h = samplings[s].h,
                                        .v = samplings[s].v, .quality = qualities[q], .restart_interval = restarts[seed % 4],
                                        .optimised = seed % 3 == 0, .flat = seed % 5 == 0 };
                    GbBlocks blocks[3];
                    gsize n;
                    g_autoptr(GBytes) bytes = encode(&kind, seed);
                    const void *data = g_bytes_get_data(bytes, &n);
                    assert_true(read_quickly(data, n, blocks));
                    assert_luma_as_libjpeg(data, n, &blocks[0]);
                    gb_blocks_clear(blocks);
                }
}

/* Where nothing is subsampled libjpeg takes the means of chroma too. */
static void chroma_is_what_libjpeg_gives_where_it_is_not_subsampled(void **state)
{
    (void)state;
    const Kind kind = { .width = 203, .height = 151, .components = 3, .h = 1, .v = 1, .quality = 85 };
    GbBlocks blocks[3];
    gsize n;
    int width = 0, height = 0;
    g_autoptr(GBytes) bytes = encode(&kind, 7);
    const void *data = g_bytes_get_data(bytes, &n);
    g_autofree guint8 *wanted = read_slowly(data, n, JCS_YCbCr, &width, &height);
    assert_true(read_quickly(data, n, blocks));
    for (int c = 0; c < 3; c++)
        for (int i = 0; i < width * height; i++)
            assert_int_equal(blocks[c].means[i], wanted[3 * i + c]);
    gb_blocks_clear(blocks);
}

static void the_demo_photos_are_read_so(void **state)
{
    g_autofree char *folder = source_path("demo-photos");
    g_autoptr(GDir) dir = g_dir_open(folder, 0, NULL);
    guint photos = 0;
    const char *name;
    (void)state;
    while (dir != NULL && (name = g_dir_read_name(dir)) != NULL) {
        if (!g_str_has_suffix(name, ".JPG"))
            continue;
        GbBlocks blocks[3];
        gsize n;
        g_autofree char *path = g_build_filename(folder, name, NULL), *data = NULL;
        assert_true(g_file_get_contents(path, &data, &n, NULL));
        assert_true(read_quickly(data, n, blocks));
        assert_luma_as_libjpeg(data, n, &blocks[0]);
        gb_blocks_clear(blocks);
        photos++;
    }
    assert_int_equal(photos, 61);
}

static void other_kinds_are_left_to_libjpeg(void **state)
{
    static const Kind kinds[] = {
        { .width = 64, .height = 48, .components = 3, .h = 2, .v = 2, .quality = 80, .progressive = TRUE },
        { .width = 64, .height = 48, .components = 3, .h = 2, .v = 2, .quality = 80, .apart = TRUE },
        { .width = 64, .height = 48, .components = 3, .h = 4, .v = 1, .quality = 80 },
        { .width = 64, .height = 48, .components = 4, .h = 1, .v = 1, .quality = 80 },
    };
    (void)state;
    for (gsize i = 0; i < G_N_ELEMENTS(kinds); i++) {
        GbBlocks blocks[3];
        g_autoptr(GBytes) bytes = encode(&kinds[i], 1);
        assert_false(read_quickly(g_bytes_get_data(bytes, NULL), g_bytes_get_size(bytes), blocks));
        assert_null(blocks[0].means);
    }
}

/* The copy is as long as the data, so that a sanitizer sees a read beyond it. */
static void a_photo_cut_anywhere_is_left_to_libjpeg(void **state)
{
    (void)state;
    for (int restart = 0; restart <= 2; restart += 2) {
        const Kind kind = { .width = 70, .height = 50, .components = 3, .h = 2, .v = 2, .quality = 90, .restart_interval = restart };
        gsize n;
        g_autoptr(GBytes) bytes = encode(&kind, 3);
        const void *data = g_bytes_get_data(bytes, &n);
        for (gsize cut = 0; cut < n; cut++) {
            GbBlocks blocks[3] = { 0 };
            g_autofree void *copy = g_memdup2(data, cut);
            assert_false(read_quickly(copy, cut, blocks));
        }
    }
}

static void of_a_spoiled_photo_it_gives_nothing_or_what_libjpeg_reads_without_a_warning(void **state)
{
    static const Kind kinds[] = {
        { .width = 90, .height = 60, .components = 3, .h = 2, .v = 2, .quality = 90 },
        { .width = 90, .height = 60, .components = 3, .h = 2, .v = 1, .quality = 50, .restart_interval = 4, .optimised = TRUE },
        { .width = 90, .height = 60, .components = 1, .h = 1, .v = 1, .quality = 75, .flat = TRUE },
    };
    g_autoptr(GRand) random = g_rand_new_with_seed(2026);
    guint sound = 0;
    (void)state;
    for (guint i = 0; i < 6000; i++) {
        gsize n;
        GbBlocks blocks[3] = { 0 };
        g_autoptr(GBytes) bytes = encode(&kinds[i % G_N_ELEMENTS(kinds)], 1 + i % 5);
        const void *data = g_bytes_get_data(bytes, &n);
        g_autofree guint8 *copy = g_memdup2(data, n);
        for (int flips = g_rand_int_range(random, 1, 4); flips > 0; flips--)
            copy[g_rand_int_range(random, 2, (gint32)n)] ^= (guint8)(1 << g_rand_int_range(random, 0, 8));
        if (!read_quickly(copy, n, blocks))
            continue;
        assert_luma_as_libjpeg(copy, n, &blocks[0]);
        gb_blocks_clear(blocks);
        sound++;
    }
    print_message("%u of 6000 spoiled photos were read without a fault\n", sound);
    assert_true(sound > 100); /* a flipped bit may well make another sound photo */
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(luma_is_what_libjpeg_gives_bit_by_bit_in_every_usual_kind_of_photo),
        cmocka_unit_test(chroma_is_what_libjpeg_gives_where_it_is_not_subsampled),
        cmocka_unit_test(the_demo_photos_are_read_so),
        cmocka_unit_test(other_kinds_are_left_to_libjpeg),
        cmocka_unit_test(a_photo_cut_anywhere_is_left_to_libjpeg),
        cmocka_unit_test(of_a_spoiled_photo_it_gives_nothing_or_what_libjpeg_reads_without_a_warning),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
