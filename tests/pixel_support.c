/* pixel_support.c -- see pixel_support.h.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "pixel_support.h"

#include <glib/gstdio.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

#include <jpeglib.h>

void picture_clear(Picture *p)
{
    g_clear_pointer(&p->pixels, g_free);
}

Picture picture_of_jpeg(GBytes *jpeg)
{
    struct jpeg_decompress_struct codec = { 0 };
    struct jpeg_error_mgr errors;
    codec.err = jpeg_std_error(&errors);
    jpeg_create_decompress(&codec);
    gsize n;
    const guint8 *data = g_bytes_get_data(jpeg, &n);
    jpeg_mem_src(&codec, data, n);
    jpeg_read_header(&codec, TRUE);
    jpeg_start_decompress(&codec);
    Picture p = { (int)codec.output_width, (int)codec.output_height, codec.output_components, NULL };
    p.pixels = g_malloc((gsize)p.width * p.height * p.channels);
    while (codec.output_scanline < codec.output_height) {
        JSAMPROW row = p.pixels + (gsize)codec.output_scanline * p.width * p.channels;
        jpeg_read_scanlines(&codec, &row, 1);
    }
    jpeg_finish_decompress(&codec);
    assert_int_equal(errors.num_warnings, 0);
    jpeg_destroy_decompress(&codec);
    return p;
}

Picture scene(int width, int height, int channels)
{
    Picture p = { width, height, channels, g_malloc((gsize)width * height * channels) };
    guint8 *to = p.pixels;
    for (int y = 0; y < height; y++)
        for (int x = 0; x < width; x++) {
            const int colour[] = { 20 + 200 * x / width, 20 + 200 * y / height, 200 - 120 * x / width };
            for (int c = 0; c < channels; c++)
                *to++ = (guint8)colour[c];
        }
    return p;
}

Picture luma(const Picture *p)
{
    gsize n = (gsize)p->width * p->height;
    Picture grey = { p->width, p->height, 1, g_malloc(n) };
    for (gsize i = 0; i < n; i++) {
        const guint8 *rgb = p->pixels + 3 * i;
        grey.pixels[i] = (guint8)(0.299 * rgb[0] + 0.587 * rgb[1] + 0.114 * rgb[2] + 0.5);
    }
    return grey;
}

double psnr(const Picture *a, const Picture *b)
{
    assert_int_equal(a->width, b->width);
    assert_int_equal(a->height, b->height);
    assert_int_equal(a->channels, b->channels);
    gsize n = (gsize)a->width * a->height * a->channels;
    double sum = 0;
    for (gsize i = 0; i < n; i++) {
        double d = (double)a->pixels[i] - b->pixels[i];
        sum += d * d;
    }
    return sum == 0 ? 99 : 10 * log10(255.0 * 255.0 * (double)n / sum);
}

double luma_psnr(const Picture *a, const Picture *b)
{
    g_auto(Picture) grey_a = luma(a), grey_b = luma(b);
    return psnr(&grey_a, &grey_b);
}

GBytes *load_file(const char *path)
{
    char *data;
    gsize n;
    assert_true(g_file_get_contents(path, &data, &n, NULL));
    return g_bytes_new_take(data, n);
}

/* A binary PPM of 8 bits. */
static Picture picture_of_ppm(GBytes *ppm)
{
    gsize n;
    Picture p = { .channels = 3 };
    int most = 0, head = 0;
    const char *data = g_bytes_get_data(ppm, &n);
    assert_int_equal(sscanf(data, "P6 %d %d %d%n", &p.width, &p.height, &most, &head), 3);
    assert_int_equal(most, 255);
    gsize pixels = 3 * (gsize)p.width * p.height;
    assert_true(n == (gsize)head + 1 + pixels);
    p.pixels = g_memdup2(data + head + 1, pixels);
    return p;
}

Picture picture_by_magick(const char *path, ...)
{
    g_autofree char *out = NULL;
    int fd = g_file_open_tmp("gablebook-test-XXXXXX.ppm", &out, NULL);
    assert_true(fd >= 0);
    close(fd);
    g_autoptr(GPtrArray) argv = g_ptr_array_new();
    va_list more;
    g_ptr_array_add(argv, (gpointer)"convert");
    g_ptr_array_add(argv, (gpointer)path);
    va_start(more, path);
    for (const char *word; (word = va_arg(more, const char *)) != NULL;)
        g_ptr_array_add(argv, (gpointer)word);
    va_end(more);
    static const char *const last[] = { "-colorspace", "sRGB", "-type", "TrueColor", "-depth", "8" };
    for (gsize i = 0; i < G_N_ELEMENTS(last); i++)
        g_ptr_array_add(argv, (gpointer)last[i]);
    g_ptr_array_add(argv, out);
    g_ptr_array_add(argv, NULL);
    assert_int_equal(run((const char *const *)argv->pdata, NULL, NULL), 0);
    g_autoptr(GBytes) ppm = load_file(out);
    (void)g_remove(out);
    return picture_of_ppm(ppm);
}

void save_ppm(const Picture *p, const char *path)
{
    g_autoptr(GString) ppm = g_string_new(NULL);
    assert_int_equal(p->channels, 3);
    g_string_append_printf(ppm, "P6 %d %d 255\n", p->width, p->height);
    g_string_append_len(ppm, (const char *)p->pixels, 3 * (gssize)p->width * p->height);
    assert_true(g_file_set_contents(path, ppm->str, (gssize)ppm->len, NULL));
}
