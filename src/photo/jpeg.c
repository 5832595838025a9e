/* jpeg.c -- libjpeg kept on a leash. See jpeg.h.
 *
 * libjpeg reports fatal errors by a function that must not return. Ours keeps the message and longjmps; all there is
 * to lose lives in a Reader or Writer, and the only setjmp is in read_guarded/write_guarded, which have no changing
 * locals. The steps that run under them own nothing that a jump would leak.
 *
 * Warnings are counted from the first pixel on (before that they are about odd headers): they say that what is
 * shown is not what was taken.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <gablebook/jpeg.h>

#include "blocks-private.h"
#include "colour-private.h"
#include "jpeg-private.h"

#include <gablebook/error.h>
#include <setjmp.h>
#include <stdio.h>

#include <jerror.h>
#include <jpeglib.h>

#define MAX_SCANS 100                  /* cameras write about 10; each costs a pass over the whole picture */
#define ICC_PIECES_MAX 255             /* ISO 15076-1, B.4: their number is a byte */
#define MAX_LIBRARY_BYTES (400L << 20) /* libjpeg keeps all coefficients of a progressive picture: 108 MP need 330 MB */

static const char exif_mark[6] = "Exif\0";
static const char icc_mark[12] = "ICC_PROFILE";

/* --- errors, for both directions --- */

typedef struct {
    struct jpeg_error_mgr base; /* first: libjpeg's pointer to it is a pointer to this */
    jmp_buf jump;
    int code; /* of the fatal message, JERR_...; 0 none */
    char message[JMSG_LENGTH_MAX];
} Errors;

G_NORETURN static void fatal(j_common_ptr codec)
{
    Errors *errors = (Errors *)codec->err;
    errors->code = codec->err->msg_code;
    codec->err->format_message(codec, errors->message);
    longjmp(errors->jump, 1);
}

static void count_warning(j_common_ptr codec, int level)
{
    if (level < 0)
        codec->err->num_warnings++;
}

static void print_nothing(j_common_ptr codec)
{
    (void)codec;
}

static struct jpeg_error_mgr *errors_init(Errors *errors)
{
    jpeg_std_error(&errors->base);
    errors->base.error_exit = fatal;
    errors->base.emit_message = count_warning;
    errors->base.output_message = print_nothing;
    return &errors->base;
}

/* --- reading --- */

typedef struct {
    const guint8 *at;
    gsize n;
} Piece;

typedef struct {
    struct jpeg_decompress_struct codec;
    struct jpeg_progress_mgr progress;
    Errors errors;
    gboolean too_many_scans;
    const guint8 *data;
    gsize n;
    const guint8 *exif; /* the first block, exif_n bytes in data; NULL none */
    gsize exif_n;
    Piece pieces[ICC_PIECES_MAX + 1]; /* of the colour profile, by number from 1; n 0: not there */
    guint n_pieces;                   /* so many there should be; 0 no profile */
    gboolean broken_profile;          /* they don't agree */

    /* For gb_jpeg_shrink. */
    int max_px, orientation;
    guint8 *profile; /* ICC, or NULL */
    gsize profile_bytes;
    GbPixels pixels;           /* of the result ... */
    int channels;              /* ... and so 1 or 3 */
    int out_width, out_height; /* of the result before turning */
    int out_y;                 /* rows of it that are done */
    GbResample *resample;
    guint8 *row;     /* as decoded, output_width * output_components */
    guint8 *upright; /* out_width * out_height * channels */

    /* For gb_jpeg_survey. */
    gboolean survey;
    gboolean luma_only; /* no picture is wanted */
    int least_px; /* longest side to be decoded, if there is so much */
    int luma_y;   /* rows of luma that are done */
    guint8 *luma; /* output_width * output_height, or NULL */
} Reader;

static void reader_close(Reader *r)
{
    jpeg_destroy_decompress(&r->codec); /* harmless on a codec that was never created: all zero */
    gb_resample_free(r->resample);
    g_free(r->profile);
    g_free(r->row);
    g_free(r->upright);
    g_free(r->luma);
}
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(Reader, reader_close)

/* Run one step; FALSE when libjpeg gave up in it. */
static gboolean read_guarded(Reader *r, void (*step)(Reader *))
{
    if (setjmp(r->errors.jump) != 0)
        return FALSE;
    step(r);
    return TRUE;
}

static void stop_scan_bomb(j_common_ptr codec)
{
    Reader *r = codec->client_data;
    if (r->codec.input_scan_number > MAX_SCANS) {
        r->too_many_scans = TRUE;
        longjmp(r->errors.jump, 1);
    }
}

/* libjpeg could save these segments itself, but it keeps all and walks along them for each: a million empty ones, 4 MB, take it hours.
 * The source is memory, so what is wanted need only be pointed at. */
static Piece take_segment(j_decompress_ptr codec)
{
    struct jpeg_source_mgr *source = codec->src;
    const guint8 *at = source->next_input_byte;
    gsize left = source->bytes_in_buffer;
    gsize length = left < 2 ? left : MAX(2, (gsize)at[0] << 8 | at[1]); /* its own two bytes included */
    length = MIN(length, left);
    source->next_input_byte += length;
    source->bytes_in_buffer -= length;
    return length < 2 ? (Piece){ at, 0 } : (Piece){ at + 2, length - 2 };
}

static boolean take_app1(j_decompress_ptr codec)
{
    Reader *r = codec->client_data;
    Piece segment = take_segment(codec);
    if (r->exif == NULL && segment.n >= sizeof exif_mark && memcmp(segment.at, exif_mark, sizeof exif_mark) == 0) {
        r->exif = segment.at;
        r->exif_n = segment.n;
    }
    return TRUE;
}

/* A piece of the colour profile: the mark, its number from 1, how many there are, and bytes. */
static boolean take_app2(j_decompress_ptr codec)
{
    Reader *r = codec->client_data;
    Piece segment = take_segment(codec);
    gsize head = sizeof icc_mark + 2;
    if (segment.n <= head || memcmp(segment.at, icc_mark, sizeof icc_mark) != 0)
        return TRUE;
    guint number = segment.at[head - 2], of = segment.at[head - 1];
    if (number < 1 || number > of || r->pieces[number].n > 0 || (r->n_pieces > 0 && r->n_pieces != of)) {
        r->broken_profile = TRUE;
        return TRUE;
    }
    r->n_pieces = of;
    r->pieces[number] = (Piece){ segment.at + head, segment.n - head };
    return TRUE;
}

/* Put the colour profile together; with a piece missing there is none. */
static void join_profile(Reader *r)
{
    gsize n = 0;
    for (guint i = 1; i <= r->n_pieces; i++) {
        n += r->pieces[i].n;
        if (r->pieces[i].n == 0)
            return;
    }
    if (n == 0 || n > GB_PROFILE_MAX_BYTES || r->broken_profile || (r->profile = g_try_malloc(n)) == NULL)
        return;
    for (guint i = 1; i <= r->n_pieces; i++) {
        memcpy(r->profile + r->profile_bytes, r->pieces[i].at, r->pieces[i].n);
        r->profile_bytes += r->pieces[i].n;
    }
}

static void read_header(Reader *r)
{
    r->codec.err = errors_init(&r->errors);
    jpeg_create_decompress(&r->codec);
    r->codec.client_data = r;
    r->codec.mem->max_memory_to_use = MAX_LIBRARY_BYTES;
    r->progress.progress_monitor = stop_scan_bomb;
    r->codec.progress = &r->progress;
    jpeg_mem_src(&r->codec, r->data, r->n);
    jpeg_set_marker_processor(&r->codec, JPEG_APP0 + 1, take_app1);
    jpeg_set_marker_processor(&r->codec, JPEG_APP0 + 2, take_app2);
    jpeg_read_header(&r->codec, TRUE);
}

static gboolean is_about_size(int code)
{
    return code == JERR_IMAGE_TOO_BIG || code == JERR_NO_BACKING_STORE || code == JERR_OUT_OF_MEMORY
        || code == JERR_WIDTH_OVERFLOW;
}

/* The GError for a step that failed. */
static void set_error(const Reader *r, GError **error)
{
    if (r->too_many_scans)
        g_set_error(error, GB_ERROR, GB_ERROR_TOO_LARGE,
                    "the JPEG has more than %d scans, as no camera writes them; it was not decoded", MAX_SCANS);
    else if (is_about_size(r->errors.code))
        g_set_error(error, GB_ERROR, GB_ERROR_TOO_LARGE, "the JPEG is too large to be decoded (%s)", r->errors.message);
    else
        g_set_error(error, GB_ERROR, GB_ERROR_DAMAGED, "the JPEG is damaged and can't be read (%s)", r->errors.message);
}

/* Read the header into a zeroed reader; keeps a pointer to data. */
static gboolean reader_open(Reader *r, const void *data, gsize n, GError **error)
{
    r->data = data;
    r->n = n;
    if (n < 3 || memcmp(data, "\xFF\xD8\xFF", 3) != 0) {
        g_set_error_literal(error, GB_ERROR, GB_ERROR_FOREIGN, n == 0 ? "the file is empty" : "the file is no JPEG picture");
        return FALSE;
    }
    if (n > GB_JPEG_MAX_BYTES) {
        g_set_error(error, GB_ERROR, GB_ERROR_TOO_LARGE, "the JPEG is larger than %u MB; it was not read",
                    GB_JPEG_MAX_BYTES >> 20);
        return FALSE;
    }
    if (!read_guarded(r, read_header)) {
        set_error(r, error);
        return FALSE;
    }
    if ((guint64)r->codec.image_width * r->codec.image_height > GB_MAX_PIXELS) {
        g_set_error(error, GB_ERROR, GB_ERROR_TOO_LARGE,
                    "the JPEG claims %u x %u pixels, more than %d megapixels; it was not decoded",
                    r->codec.image_width, r->codec.image_height, GB_MAX_PIXELS / 1000000);
        return FALSE;
    }
    return TRUE;
}

gboolean gb_jpeg_header(const void *data, gsize n, GbJpegHeader *header, GError **error)
{
    g_auto(Reader) r = { 0 };
    if (!reader_open(&r, data, n, error))
        return FALSE;
    *header = (GbJpegHeader){
        .width = (int)r.codec.image_width,
        .height = (int)r.codec.image_height,
        .components = r.codec.num_components,
        .progressive = r.codec.progressive_mode,
        .exif = r.exif == NULL ? NULL : g_bytes_new(r.exif, r.exif_n),
    };
    return TRUE;
}

void gb_jpeg_header_clear(GbJpegHeader *header)
{
    g_clear_pointer(&header->exif, g_bytes_unref);
    *header = (GbJpegHeader){ 0 };
}

/* --- shrinking --- */

static gboolean serves_all(const Reader *r)
{
    int width = (int)r->codec.output_width, height = (int)r->codec.output_height;
    return gb_side_serves(width, r->out_width) && gb_side_serves(height, r->out_height) && MAX(width, height) >= r->least_px;
}

static void choose_size(Reader *r)
{
    int width = (int)r->codec.image_width, height = (int)r->codec.image_height, longest = MAX(width, height);
    int max_px = MIN(r->max_px, longest);
    r->out_width = gb_scaled_side(width, longest, max_px);
    r->out_height = gb_scaled_side(height, longest, max_px);
    /* 1/8, 1/4, 1/2, 1: the scales that libjpeg has fast code for. */
    r->codec.scale_denom = 8;
    for (r->codec.scale_num = 1; r->codec.scale_num < 8; r->codec.scale_num *= 2) {
        jpeg_calc_output_dimensions(&r->codec);
        if (serves_all(r))
            return;
    }
}

static void choose_output(Reader *r)
{
    /* Usual photos stay as they are stored. libjpeg turns neither CMYK nor YCCK into RGB, but YCCK into CMYK. */
    gboolean ycc = r->codec.num_components == 3 && r->codec.jpeg_color_space == JCS_YCbCr;
    switch (r->codec.num_components) {
    case 1: r->codec.out_color_space = JCS_GRAYSCALE; break;
    case 4: r->codec.out_color_space = JCS_CMYK; break;
    default: r->codec.out_color_space = ycc && r->luma_only ? JCS_GRAYSCALE : ycc ? JCS_YCbCr : JCS_RGB;
    }
    r->pixels = r->codec.out_color_space == JCS_GRAYSCALE ? GB_PIXELS_GREY : ycc ? GB_PIXELS_YCC : GB_PIXELS_RGB;
    r->channels = r->pixels == GB_PIXELS_GREY ? 1 : 3;
    choose_size(r);
}

static void start_decoding(Reader *r)
{
    r->codec.err->num_warnings = 0;
    jpeg_start_decompress(&r->codec);
}

static gboolean allocate_rows(Reader *r, GError **error)
{
    int in_width = (int)r->codec.output_width, in_height = (int)r->codec.output_height;
    gboolean picture = !r->luma_only;
    r->resample = picture ? gb_resample_new(in_width, in_height, r->out_width, r->out_height, r->channels) : NULL;
    r->row = g_try_malloc((gsize)in_width * r->codec.output_components);
    r->upright = picture ? g_try_malloc_n((gsize)r->out_width * r->out_height, r->channels) : NULL;
    r->luma = r->survey ? g_try_malloc_n((gsize)in_width, (gsize)in_height) : NULL;
    if (r->row != NULL && (!picture || (r->resample != NULL && r->upright != NULL)) && (!r->survey || r->luma != NULL))
        return TRUE;
    g_set_error(error, GB_ERROR, GB_ERROR_TOO_LARGE, "there is not enough memory for a picture of %d x %d pixels",
                r->out_width, r->out_height);
    return FALSE;
}

/* CMYK to RGB in place, 4 bytes to 3, as ink on white without a profile. With an Adobe marker the bytes are inverted: 255
 * is no ink. */
static void cmyk_to_rgb(guint8 *row, gsize pixels, gboolean inverted)
{
    guint8 flip = inverted ? 0 : 0xFF;
    for (gsize i = 0; i < pixels; i++) {
        const guint8 *in = row + 4 * i;
        guint8 paper = in[3] ^ flip;
        guint8 rgb[3];
        for (int c = 0; c < 3; c++)
            rgb[c] = (guint8)(((in[c] ^ flip) * paper + 127) / 255);
        memcpy(row + 3 * i, rgb, 3);
    }
}

static void take_row(Reader *r, const guint8 *row)
{
    gsize width = r->codec.output_width;
    if (r->luma != NULL)
        gb_put_luma(r->luma + width * (gsize)r->luma_y++, row, width, r->pixels);
    const guint8 *done = r->resample != NULL ? gb_resample_add(r->resample, row) : NULL;
    if (done != NULL)
        gb_upright_put_row(r->upright, done, r->out_y++, r->out_width, r->out_height, r->channels, r->orientation);
}

static void decode_rows(Reader *r)
{
    while (r->codec.output_scanline < r->codec.output_height) {
        JSAMPROW row = r->row;
        if (jpeg_read_scanlines(&r->codec, &row, 1) != 1)
            break;
        if (r->codec.out_color_space == JCS_CMYK)
            cmyk_to_rgb(r->row, r->codec.output_width, r->codec.saw_Adobe_marker);
        take_row(r, r->row);
    }
    jpeg_finish_decompress(&r->codec);
}

/* Grey for the rows that decoding did not reach. */
static void fill_lost_rows(Reader *r)
{
    memset(r->row, GB_LOST_GREY, (gsize)r->codec.output_width * r->channels);
    while (r->resample != NULL && r->out_y < r->out_height)
        take_row(r, r->row);
}

/* --- an eighth of its size --- */

/* One plane of means at the size of the result, upright. NULL when memory is refused. OWNED by the caller. */
static guint8 *shrink_plane(const GbBlocks *plane, int width, int height, int orientation)
{
    g_autoptr(GbResample) resample = gb_resample_new(plane->width, plane->height, width, height, 1);
    g_autofree guint8 *upright = g_try_malloc((gsize)width * (gsize)height);
    if (resample == NULL || upright == NULL)
        return NULL;
    for (int y = 0, done = 0; y < plane->height; y++) {
        const guint8 *row = gb_resample_add(resample, plane->means + (gsize)y * (gsize)plane->width);
        if (row != NULL)
            gb_upright_put_row(upright, row, done++, width, height, 1, orientation);
    }
    return g_steal_pointer(&upright);
}

/* Put planes together: chroma, half as wide and high, counts for two by two pixels, as it will be stored. */
static void interleave(Reader *r, const guint8 *const planes[3])
{
    gboolean swaps = gb_upright_swaps(r->orientation);
    gsize width = (gsize)(swaps ? r->out_height : r->out_width), height = (gsize)(swaps ? r->out_width : r->out_height);
    gsize half = (width + 1) / 2;
    guint8 *to = r->upright;
    for (gsize y = 0; y < height; y++)
        for (gsize x = 0; x < width; x++, to += 3) {
            to[0] = planes[0][y * width + x];
            to[1] = planes[1][y / 2 * half + x / 2];
            to[2] = planes[2][y / 2 * half + x / 2];
        }
}

/* Where an eighth of its size serves and the photo is a usual one: the same result, chroma rounded otherwise, in a fraction of the time. */
static gboolean decode_blocks(Reader *r)
{
    GbBlocks blocks[3];
    if (r->codec.scale_num != 1 || r->pixels == GB_PIXELS_RGB || r->luma_only || !gb_blocks_read(&r->codec, blocks))
        return FALSE;
    guint8 *planes[3] = { NULL };
    gboolean ok = TRUE;
    for (int i = 0; ok && i < r->channels; i++) {
        int width = i == 0 ? r->out_width : (r->out_width + 1) / 2, height = i == 0 ? r->out_height : (r->out_height + 1) / 2;
        ok = blocks[i].width >= width && blocks[i].height >= height &&
             (planes[i] = shrink_plane(&blocks[i], width, height, r->orientation)) != NULL;
    }
    ok = ok && (r->channels == 1 || (r->upright = g_try_malloc_n((gsize)r->out_width * (gsize)r->out_height, 3)) != NULL);
    if (ok && r->channels == 3)
        interleave(r, (const guint8 *const *)planes);
    else if (ok)
        r->upright = g_steal_pointer(&planes[0]);
    if (ok && r->survey)
        r->luma = g_steal_pointer(&blocks[0].means);
    for (int i = 0; i < 3; i++)
        g_free(planes[i]);
    gb_blocks_clear(blocks);
    return ok;
}

/* --- writing --- */

typedef struct {
    struct jpeg_compress_struct codec;
    struct jpeg_destination_mgr destination;
    Errors errors;
    GByteArray *out;
    guint8 piece[16 * 1024]; /* libjpeg fills it, we append it to out */
    const guint8 *data;
    int width, height, quality;
    GbPixels pixels;
} Writer;

static void writer_close(Writer *w)
{
    jpeg_destroy_compress(&w->codec);
    g_clear_pointer(&w->out, g_byte_array_unref);
}
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(Writer, writer_close)

static gboolean write_guarded(Writer *w, void (*step)(Writer *))
{
    if (setjmp(w->errors.jump) != 0)
        return FALSE;
    step(w);
    return TRUE;
}

/* A destination of our own: after an error jpeg_mem_dest leaves a pointer that may be freed already. */
static void begin_piece(j_compress_ptr codec)
{
    Writer *w = codec->client_data;
    w->destination.next_output_byte = w->piece;
    w->destination.free_in_buffer = sizeof w->piece;
}

static boolean append_full_piece(j_compress_ptr codec)
{
    Writer *w = codec->client_data;
    g_byte_array_append(w->out, w->piece, sizeof w->piece);
    begin_piece(codec);
    return TRUE;
}

static void append_last_piece(j_compress_ptr codec)
{
    Writer *w = codec->client_data;
    g_byte_array_append(w->out, w->piece, (guint)(sizeof w->piece - w->destination.free_in_buffer));
}

/* Baseline, standard tables, 4:2:0: every viewer and PDF reader opens it, and the same pixels give the same bytes. */
static void encode(Writer *w)
{
    w->codec.err = errors_init(&w->errors);
    jpeg_create_compress(&w->codec);
    w->codec.client_data = w;
    w->destination.init_destination = begin_piece;
    w->destination.empty_output_buffer = append_full_piece;
    w->destination.term_destination = append_last_piece;
    w->codec.dest = &w->destination;
    w->codec.image_width = (JDIMENSION)w->width;
    w->codec.image_height = (JDIMENSION)w->height;
    w->codec.input_components = w->pixels == GB_PIXELS_GREY ? 1 : 3;
    w->codec.in_color_space = w->pixels == GB_PIXELS_GREY ? JCS_GRAYSCALE : w->pixels == GB_PIXELS_YCC ? JCS_YCbCr : JCS_RGB;
    jpeg_set_defaults(&w->codec);
    jpeg_set_quality(&w->codec, w->quality, TRUE);
    jpeg_start_compress(&w->codec, TRUE);
    gsize stride = (gsize)w->width * (gsize)w->codec.input_components;
    while (w->codec.next_scanline < w->codec.image_height) {
        JSAMPROW row = (JSAMPROW)(w->data + w->codec.next_scanline * stride);
        jpeg_write_scanlines(&w->codec, &row, 1);
    }
    jpeg_finish_compress(&w->codec);
}

GBytes *gb_jpeg_encode(const guint8 *data, int width, int height, GbPixels pixels, int quality, GError **error)
{
    g_auto(Writer) w = {
        .out = g_byte_array_new(),
        .data = data,
        .width = width,
        .height = height,
        .pixels = pixels,
        .quality = quality,
    };
    if (!write_guarded(&w, encode)) {
        g_set_error(error, GB_ERROR, GB_ERROR_TOO_LARGE, "the smaller picture can't be written (%s)", w.errors.message);
        return NULL;
    }
    return g_byte_array_free_to_bytes(g_steal_pointer(&w.out));
}

static GBytes *encode_upright(Reader *r, int quality, GError **error)
{
    if (r->codec.num_components == 3)
        join_profile(r);
    gboolean swaps = gb_upright_swaps(r->orientation);
    r->pixels = gb_to_srgb(r->profile, r->profile_bytes, r->upright, (gsize)r->out_width * (gsize)r->out_height, r->pixels);
    return gb_jpeg_encode(r->upright, swaps ? r->out_height : r->out_width, swaps ? r->out_width : r->out_height, r->pixels,
                          quality, error);
}

/* --- the whole way --- */

/* Decode into a reader that holds only what is wanted. *whole: nothing was lost. */
static gboolean decode(Reader *r, const void *data, gsize n, gboolean *whole, GError **error)
{
    if (!reader_open(r, data, n, error))
        return FALSE;
    if (!read_guarded(r, choose_output)) {
        set_error(r, error);
        return FALSE;
    }
    *whole = TRUE;
    if (decode_blocks(r))
        return TRUE;
    if (!read_guarded(r, start_decoding)) {
        set_error(r, error);
        return FALSE;
    }
    if (!allocate_rows(r, error))
        return FALSE;
    *whole = read_guarded(r, decode_rows) && r->codec.err->num_warnings == 0;
    fill_lost_rows(r);
    return TRUE;
}

static void measure(const Reader *r, GbQuality *measured)
{
    gb_quality_measure(r->luma, (int)r->codec.output_width, (int)r->codec.output_height, r->orientation, measured);
}

/* When memory is short for it, the first look stands. */
static void look_closer(const void *data, gsize n, const Reader *first, GbQuality *measured)
{
    g_auto(Reader) r = { .orientation = first->orientation, .max_px = first->max_px, .survey = TRUE, .luma_only = TRUE,
                         .least_px = GB_SURVEY_PX };
    GbQuality closer;
    gboolean whole;
    if (!decode(&r, data, n, &whole, NULL) || !whole)
        return;
    measure(&r, &closer);
    measured->smear_px = closer.smear_px;
    measured->smear_side_px = closer.smear_side_px;
}

GBytes *gb_jpeg_survey(const void *data, gsize n, int orientation, int max_px, int quality, GbQuality *measured,
                       gboolean *damaged, GError **error)
{
    g_return_val_if_fail(orientation >= 1 && orientation <= 8 && max_px > 0 && quality >= 1 && quality <= 100, NULL);
    g_auto(Reader) r = { .orientation = orientation, .max_px = max_px, .survey = measured != NULL };
    gboolean whole;
    if (!decode(&r, data, n, &whole, error))
        return NULL;
    if (damaged != NULL)
        *damaged = !whole;
    if (measured != NULL) {
        measure(&r, measured);
        if (whole && r.codec.scale_num < r.codec.scale_denom && gb_needs_closer_look(measured))
            look_closer(data, n, &r, measured);
    }
    return encode_upright(&r, quality, error);
}

GBytes *gb_jpeg_shrink(const void *data, gsize n, int orientation, int max_px, int quality, gboolean *damaged,
                       GError **error)
{
    return gb_jpeg_survey(data, n, orientation, max_px, quality, NULL, damaged, error);
}
