/* photo_support.c -- see photo_support.h.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "photo_support.h"

#include <glib/gstdio.h>
#include <stdio.h>

#include <jpeglib.h>

GBytes *jpeg_bytes(guint width, guint height, guint seed)
{
    struct jpeg_compress_struct jpeg;
    struct jpeg_error_mgr errors;
    unsigned char *data = NULL;
    unsigned long n = 0;
    g_autofree JSAMPLE *row = g_malloc(3 * width);
    g_autoptr(GRand) random = g_rand_new_with_seed(seed);
    jpeg.err = jpeg_std_error(&errors);
    jpeg_create_compress(&jpeg);
    jpeg_mem_dest(&jpeg, &data, &n);
    jpeg.image_width = width;
    jpeg.image_height = height;
    jpeg.input_components = 3;
    jpeg.in_color_space = JCS_RGB;
    jpeg_set_defaults(&jpeg);
    jpeg_start_compress(&jpeg, TRUE);
    while (jpeg.next_scanline < height) {
        for (guint i = 0; i < 3 * width; i++)
            row[i] = (JSAMPLE)g_rand_int_range(random, 0, 256);
        jpeg_write_scanlines(&jpeg, (JSAMPROW[]){ row }, 1);
    }
    jpeg_finish_compress(&jpeg);
    jpeg_destroy_compress(&jpeg);
    return g_bytes_new_with_free_func(data, n, free, data);
}

char *put_file(const char *folder, const char *name, const void *data, gsize n)
{
    g_autoptr(GError) error = NULL;
    char *path = g_build_filename(folder, name, NULL);
    g_autofree char *inside = g_path_get_dirname(path);
    assert_int_equal(g_mkdir_with_parents(inside, 0700), 0);
    g_file_set_contents_full(path, data, (gssize)n, G_FILE_SET_CONTENTS_NONE, 0644, &error);
    assert_no_error(error);
    return path;
}

char *put_photo(const char *folder, const char *name, guint seed)
{
    g_autoptr(GBytes) bytes = jpeg_bytes(64, 48, seed);
    return put_file(folder, name, g_bytes_get_data(bytes, NULL), g_bytes_get_size(bytes));
}

char *sha256sum(const char *path)
{
    g_autofree char *out = NULL;
    const char *const argv[] = { "sha256sum", "-z", "--", path, NULL };
    assert_int_equal(run(argv, &out, NULL), 0);
    return g_strndup(out, 64);
}
