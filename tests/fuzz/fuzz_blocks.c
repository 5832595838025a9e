/* fuzz_blocks.c -- the quick way to an eighth of a photo's size: what it reads is what libjpeg reads without a warning, to the bit.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "fuzz.h"

#include <photo/blocks-private.h>
#include <setjmp.h>

#define PIXELS_MAX (512 * 512)

typedef struct {
    struct jpeg_decompress_struct codec;
    struct jpeg_error_mgr errors;
    jmp_buf jump;
    guint8 *row;
} Reader;

static void give_up(j_common_ptr codec)
{
    longjmp(((Reader *)codec->client_data)->jump, 1);
}

static void say_nothing(j_common_ptr codec)
{
    (void)codec;
}

/* FALSE: the header is none, or of too many pixels. */
static gboolean open_reader(Reader *r, const uint8_t *data, size_t n)
{
    r->codec.err = jpeg_std_error(&r->errors);
    r->errors.error_exit = give_up;
    r->errors.output_message = say_nothing;
    jpeg_create_decompress(&r->codec);
    r->codec.client_data = r;
    if (setjmp(r->jump) != 0)
        return FALSE;
    jpeg_mem_src(&r->codec, data, n);
    jpeg_read_header(&r->codec, TRUE);
    return (gint64)r->codec.image_width * r->codec.image_height <= PIXELS_MAX;
}

/* Whether libjpeg reads the same luma, without a warning. */
static gboolean reads_the_same(Reader *r, const GbBlocks *luma)
{
    if (setjmp(r->jump) != 0)
        return FALSE;
    r->errors.num_warnings = 0; /* of what stands before the picture */
    r->codec.out_color_space = JCS_GRAYSCALE;
    r->codec.scale_num = 1;
    r->codec.scale_denom = 8;
    jpeg_start_decompress(&r->codec);
    if ((int)r->codec.output_width != luma->width || (int)r->codec.output_height != luma->height)
        return FALSE;
    r->row = g_malloc(r->codec.output_width);
    for (gsize y = 0; r->codec.output_scanline < r->codec.output_height; y++) {
        jpeg_read_scanlines(&r->codec, (JSAMPROW[]){ r->row }, 1);
        if (memcmp(r->row, luma->means + y * (gsize)luma->width, (gsize)luma->width) != 0)
            return FALSE;
    }
    jpeg_finish_decompress(&r->codec);
    return r->errors.num_warnings == 0;
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t n)
{
    Reader r = { .row = NULL };
    GbBlocks blocks[3] = { { 0 } };
    if (n > 0 && open_reader(&r, data, n) && gb_blocks_read(&r.codec, blocks)) {
        holds(reads_the_same(&r, &blocks[0]));
        gb_blocks_clear(blocks);
    }
    g_free(r.row);
    jpeg_destroy_decompress(&r.codec);
    return 0;
}
