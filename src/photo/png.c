/* png.c -- libpng kept on a leash. See png-private.h.
 *
 * As in jpeg.c, a fatal error longjmps, all there is to lose lives in a Reader, and the only setjmp is in read_guarded, which has no changing
 * locals. Whatever the kind of PNG, rows leave here as 8-bit grey or RGB: palettes and few bits expanded, 16 bits rounded to
 * 8, what is transparent laid on white, as paper would show it. A colour profile is followed; gamma and primaries without one are passed over.
 *
 * A picture that comes row by row is never held whole. An interlaced one must be, and so has a smaller bound.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "png-private.h"

#include "colour-private.h"
#include "exif-private.h"
#include "jpeg-private.h"

#include <gablebook/error.h>
#include <png.h>

#define MAX_SIDE 65535
#define MAX_INTERLACED_PIXELS (64 * 1000 * 1000)
#define MAX_CHUNK_BYTES GB_PROFILE_MAX_BYTES /* libpng's memory for one chunk that is no pixels: a colour profile */
#define MAX_EXIF_BYTES (1u << 20)

typedef struct {
    png_structp codec;
    png_infop info;
    char message[120]; /* of the fatal error; "" none */
    gboolean warned;   /* since the first pixel */
    const guint8 *data;
    gsize n, at;

    int width, height;
    int passes;
    int channels; /* as libpng gives them: 1 grey, 2 grey and alpha, 3, 4 */
    GbShrink *shrink;
    guint8 *row;      /* one row, or all of an interlaced picture */
    guint8 *interlaced;
} Reader;

static void reader_close(Reader *r)
{
    png_destroy_read_struct(&r->codec, &r->info, NULL); /* NULLs are harmless */
    gb_shrink_free(r->shrink);
    g_free(r->row);
    g_free(r->interlaced);
}
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(Reader, reader_close)

G_NORETURN static void fatal(png_structp codec, png_const_charp message)
{
    Reader *r = png_get_error_ptr(codec);
    g_strlcpy(r->message, message, sizeof r->message);
    longjmp(png_jmpbuf(codec), 1);
}

static void note_warning(png_structp codec, png_const_charp message)
{
    (void)message;
    ((Reader *)png_get_error_ptr(codec))->warned = TRUE;
}

static void give_bytes(png_structp codec, png_bytep to, size_t n)
{
    Reader *r = png_get_io_ptr(codec);
    if (n > r->n - r->at)
        png_error(codec, "the file ends too early");
    memcpy(to, r->data + r->at, n);
    r->at += n;
}

/* Run one step; FALSE when libpng gave up in it. */
static gboolean read_guarded(Reader *r, void (*step)(Reader *))
{
    if (setjmp(png_jmpbuf(r->codec)) != 0)
        return FALSE;
    step(r);
    return TRUE;
}

static void read_header(Reader *r)
{
    png_set_user_limits(r->codec, MAX_SIDE, MAX_SIDE);
    png_set_chunk_malloc_max(r->codec, MAX_CHUNK_BYTES);
    png_set_crc_action(r->codec, PNG_CRC_DEFAULT, PNG_CRC_WARN_DISCARD);
    /* -1: nor those it knows and a picture can be shown without. Text could unpack to anything, and for eXIf it asks for as much memory as the
     * chunk claims. A colour profile unpacks to no more than the bound above. */
    png_set_keep_unknown_chunks(r->codec, PNG_HANDLE_CHUNK_NEVER, NULL, -1);
    png_set_keep_unknown_chunks(r->codec, PNG_HANDLE_CHUNK_AS_DEFAULT, (png_const_bytep)"iCCP", 1);
    png_set_read_fn(r->codec, r, give_bytes);
    png_read_info(r->codec, r->info);
}

static gboolean fail_damaged(const Reader *r, GError **error)
{
    g_set_error(error, GB_ERROR, GB_ERROR_DAMAGED, "the PNG is damaged and can't be read (%s)", r->message);
    return FALSE;
}

/* Before libpng sees a byte of it: the size is in the first chunk, which is always the same. */
static gboolean check_size(Reader *r, GError **error)
{
    if (r->n < 33 || memcmp(r->data, "\x89PNG\r\n\x1A\n", 8) != 0 || memcmp(r->data + 12, "IHDR", 4) != 0) {
        g_strlcpy(r->message, "it has no header", sizeof r->message);
        return fail_damaged(r, error);
    }
    guint32 width, height;
    memcpy(&width, r->data + 16, 4);
    memcpy(&height, r->data + 20, 4);
    width = GUINT32_FROM_BE(width);
    height = GUINT32_FROM_BE(height);
    gboolean interlaced = r->data[28] != 0;
    guint64 most = interlaced ? MAX_INTERLACED_PIXELS : GB_MAX_PIXELS;
    if (width <= MAX_SIDE && height <= MAX_SIDE && (guint64)width * height <= most)
        return TRUE;
    g_set_error(error, GB_ERROR, GB_ERROR_TOO_LARGE,
                "the PNG claims %u x %u pixels%s, more than %d megapixels or %d on a side; it was not decoded",
                width, height, interlaced ? ", interlaced" : "", (int)(most / 1000000), MAX_SIDE);
    return FALSE;
}

static gboolean reader_open(Reader *r, const void *data, gsize n, GError **error)
{
    r->data = data;
    r->n = n;
    if (!check_size(r, error))
        return FALSE;
    r->codec = png_create_read_struct(PNG_LIBPNG_VER_STRING, r, fatal, note_warning);
    r->info = r->codec == NULL ? NULL : png_create_info_struct(r->codec);
    if (r->info == NULL) {
        g_set_error_literal(error, GB_ERROR, GB_ERROR_TOO_LARGE, "there is not enough memory to read the PNG");
        return FALSE;
    }
    if (!read_guarded(r, read_header))
        return fail_damaged(r, error);
    r->width = (int)png_get_image_width(r->codec, r->info);
    r->height = (int)png_get_image_height(r->codec, r->info);
    return TRUE;
}

/* --- EXIF --- */

/* The chunk may stand on either side of the pixels, so it is looked for without libpng: length, name, bytes, checksum, and so on. */
static GBytes *find_exif(const guint8 *data, gsize n)
{
    gsize length;
    for (gsize at = 8; n - at >= 12; at += 12 + length) {
        length = (gsize)data[at] << 24 | (gsize)data[at + 1] << 16 | (gsize)data[at + 2] << 8 | data[at + 3];
        if (length > n - at - 12)
            return NULL;
        if (memcmp(data + at + 4, "eXIf", 4) != 0 || length > MAX_EXIF_BYTES)
            continue;
        GByteArray *block = g_byte_array_sized_new((guint)(GB_EXIF_MARK_BYTES + length));
        g_byte_array_append(block, (const guint8 *)"Exif\0", GB_EXIF_MARK_BYTES);
        g_byte_array_append(block, data + at + 8, (guint)length);
        return g_byte_array_free_to_bytes(block);
    }
    return NULL;
}

gboolean gb_png_header(const void *data, gsize n, int *width, int *height, GBytes **exif, GError **error)
{
    g_auto(Reader) r = { 0 };
    if (!reader_open(&r, data, n, error))
        return FALSE;
    *width = r.width;
    *height = r.height;
    *exif = find_exif(data, n);
    return TRUE;
}

/* --- pixels --- */

static void start_decoding(Reader *r)
{
    png_set_expand(r->codec);
    png_set_scale_16(r->codec);
    r->passes = png_set_interlace_handling(r->codec);
    png_read_update_info(r->codec, r->info);
    r->channels = png_get_channels(r->codec, r->info);
    r->warned = FALSE;
}

static gboolean allocate(Reader *r, int orientation, int max_px, gboolean survey, GError **error)
{
    gsize stride = (gsize)r->width * r->channels;
    r->shrink = gb_shrink_new(r->width, r->height, r->channels < 3 ? 1 : 3, orientation, max_px, survey, error);
    if (r->shrink == NULL)
        return FALSE;
    r->row = g_try_malloc(stride);
    r->interlaced = r->passes > 1 ? g_try_malloc0_n((gsize)r->height, stride) : NULL;
    if (r->row != NULL && (r->passes == 1 || r->interlaced != NULL))
        return TRUE;
    g_set_error(error, GB_ERROR, GB_ERROR_TOO_LARGE, "there is not enough memory for a PNG of %d x %d pixels", r->width, r->height);
    return FALSE;
}

/* The last channel is alpha: lay the row on white, in place. */
static void lay_on_white(guint8 *row, gsize pixels, int channels)
{
    int colours = channels - 1;
    guint8 *to = row;
    for (gsize i = 0; i < pixels; i++, row += channels) {
        guint alpha = row[colours];
        for (int c = 0; c < colours; c++)
            *to++ = (guint8)((row[c] * alpha + 255 * (255 - alpha) + 127) / 255);
    }
}

static void take_row(Reader *r, guint8 *row)
{
    if (r->channels == 2 || r->channels == 4)
        lay_on_white(row, (gsize)r->width, r->channels);
    gb_shrink_add(r->shrink, row);
}

static void decode_rows(Reader *r)
{
    gsize stride = (gsize)r->width * r->channels;
    for (int pass = 0; pass < r->passes; pass++)
        for (int y = 0; y < r->height; y++) {
            guint8 *row = r->interlaced != NULL ? r->interlaced + stride * y : r->row;
            png_read_row(r->codec, row, NULL);
            if (r->interlaced == NULL)
                take_row(r, row);
        }
    png_read_end(r->codec, NULL);
}

/* BORROWED from libpng; NULL there is none. */
static const guint8 *profile_of(Reader *r, gsize *n)
{
    png_charp name;
    png_bytep profile = NULL;
    png_uint_32 bytes = 0;
    int method;
    png_get_iCCP(r->codec, r->info, &name, &method, &profile, &bytes);
    *n = bytes;
    return profile;
}

GBytes *gb_png_survey(const void *data, gsize n, int orientation, int max_px, int quality, GbQuality *measured, gboolean *damaged,
                      GError **error)
{
    g_auto(Reader) r = { 0 };
    if (!reader_open(&r, data, n, error))
        return NULL;
    if (!read_guarded(&r, start_decoding)) {
        fail_damaged(&r, error);
        return NULL;
    }
    if (!allocate(&r, orientation, max_px, measured != NULL, error))
        return NULL;
    gboolean whole = read_guarded(&r, decode_rows) && !r.warned;
    for (int y = 0; r.interlaced != NULL && y < r.height; y++)
        take_row(&r, r.interlaced + (gsize)r.width * r.channels * y);
    if (damaged != NULL)
        *damaged = !whole;
    gsize profile_bytes;
    const guint8 *profile = profile_of(&r, &profile_bytes);
    return gb_shrink_finish(r.shrink, profile, profile_bytes, quality, measured, error);
}
