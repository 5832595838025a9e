/* main.c -- gablebook-heic: one HEIC picture in, its pixels out. See src/photo/heic-private.h for what is said.
 *
 * libheif and the HEVC decoder behind it have had dozens of faults by which a picture could take over the program that reads it. So
 * they live here, in a process that lasts for one picture and is denied, before it reads the first byte, what it needs no more: memory and time
 * without end, files, other programs, the network (fence.c). What is left to a hostile picture is to lie about its pixels.
 *
 * One thread decodes, for as many pictures are decoded at a time as there are processors.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "heic-main-private.h"

#include <errno.h>
#include <libheif/heif.h>
#include <math.h>
#include <photo/heic-private.h>
#include <sys/mman.h>
#include <sys/stat.h>
#include <unistd.h>

#define MAX_PIXELS (200 * 1000 * 1000) /* as for the other formats */
#define MAX_THUMBNAILS 8

/* --- saying --- */

static gboolean say(const void *data, gsize n)
{
    for (const guint8 *at = data; n > 0;) {
        ssize_t written = write(STDOUT_FILENO, at, n);
        if (written < 0 && errno == EINTR)
            continue;
        if (written <= 0)
            return FALSE; /* nobody listens any more */
        at += written;
        n -= (gsize)written;
    }
    return TRUE;
}

static int say_failed(GbHeicStatus status, const char *message)
{
    GbHeicReply reply = { .magic = GB_HEIC_MAGIC, .status = status };
    reply.message_bytes = (guint32)MIN(strlen(message), GB_HEIC_MAX_MESSAGE_BYTES);
    return say(&reply, sizeof reply) && say(message, reply.message_bytes) ? 0 : 1;
}

static int say_error(struct heif_error error)
{
    const char *message = error.message != NULL ? error.message : "no reason given";
    if (error.code != heif_error_Memory_allocation_error && error.subcode != heif_suberror_Security_limit_exceeded)
        return say_failed(GB_HEIC_DAMAGED, message);
    g_autofree char *large = g_strdup_printf("is too large (%s)", message);
    return say_failed(GB_HEIC_TOO_LARGE, large);
}

/* --- reading --- */

typedef struct {
    const guint8 *data;
    gsize n;
    struct heif_context *context;
    struct heif_image_handle *picture, *thumbnail;
    struct heif_image *pixels;
    GByteArray *exif; /* or NULL */
    guint8 *profile;  /* ICC, or NULL */
    gsize profile_bytes;
    int primaries;
} Work;

static void work_clear(Work *work)
{
    g_clear_pointer(&work->exif, g_byte_array_unref);
    g_clear_pointer(&work->profile, g_free);
    g_clear_pointer(&work->pixels, heif_image_release);
    g_clear_pointer(&work->thumbnail, heif_image_handle_release);
    g_clear_pointer(&work->picture, heif_image_handle_release);
    g_clear_pointer(&work->context, heif_context_free);
}
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(Work, work_clear)

static gboolean read_input(Work *work)
{
    struct stat st;
    if (fstat(STDIN_FILENO, &st) != 0 || !S_ISREG(st.st_mode) || st.st_size <= 0)
        return FALSE;
    work->n = (gsize)st.st_size;
    void *data = mmap(NULL, work->n, PROT_READ, MAP_PRIVATE, STDIN_FILENO, 0);
    work->data = data;
    return data != MAP_FAILED;
}

static struct heif_error open_picture(Work *work)
{
    work->context = heif_context_alloc();
    heif_context_set_maximum_image_size_limit(work->context, GB_HEIC_MAX_SIDE);
    heif_context_set_max_decoding_threads(work->context, 0);
    struct heif_error error = heif_context_read_from_memory_without_copy(work->context, work->data, work->n, NULL);
    return error.code != heif_error_Ok ? error : heif_context_get_primary_image_handle(work->context, &work->picture);
}

/* The item is four bytes, big-endian: how many more come before the TIFF structure (ISO/IEC 23008-12, A.2.1). */
static void take_exif(Work *work, const guint8 *item, gsize n)
{
    gsize offset = n < 4 ? n : ((gsize)item[0] << 24 | (gsize)item[1] << 16 | (gsize)item[2] << 8 | item[3]);
    if (n < 4 || offset > n - 4 || n - 4 - offset > GB_HEIC_MAX_EXIF_BYTES - 6)
        return;
    work->exif = g_byte_array_new();
    g_byte_array_append(work->exif, (const guint8 *)"Exif\0", 6);
    g_byte_array_append(work->exif, item + 4 + offset, (guint)(n - 4 - offset));
}

static void read_exif(Work *work)
{
    heif_item_id id;
    if (heif_image_handle_get_list_of_metadata_block_IDs(work->picture, "Exif", &id, 1) != 1)
        return;
    gsize n = heif_image_handle_get_metadata_size(work->picture, id);
    g_autofree guint8 *item = n <= GB_HEIC_MAX_EXIF_BYTES ? g_try_malloc(MAX(1, n)) : NULL;
    if (item != NULL && heif_image_handle_get_metadata(work->picture, id, item).code == heif_error_Ok)
        take_exif(work, item, n);
}

/* What the file says of its colours: a profile, or their primaries by number where the curve is sRGB's or near it. */
static void read_colours(Work *work)
{
    gsize n = heif_image_handle_get_raw_color_profile_size(work->picture);
    struct heif_color_profile_nclx *numbers = NULL;
    if (n > 0 && n <= GB_HEIC_MAX_PROFILE_BYTES && (work->profile = g_try_malloc(n)) != NULL) {
        if (heif_image_handle_get_raw_color_profile(work->picture, work->profile).code == heif_error_Ok)
            work->profile_bytes = n;
    } else if (n == 0 && heif_image_handle_get_nclx_color_profile(work->picture, &numbers).code == heif_error_Ok) {
        gboolean bright = numbers->transfer_characteristics == heif_transfer_characteristic_ITU_R_BT_2100_0_PQ ||
                          numbers->transfer_characteristics == heif_transfer_characteristic_ITU_R_BT_2100_0_HLG;
        work->primaries = bright ? heif_color_primaries_unspecified : (int)numbers->color_primaries;
        heif_nclx_color_profile_free(numbers);
    }
}

static gboolean is_decodable(const struct heif_image_handle *handle)
{
    gint64 width = heif_image_handle_get_width(handle), height = heif_image_handle_get_height(handle);
    return width >= 1 && height >= 1 && width <= GB_HEIC_MAX_SIDE && height <= GB_HEIC_MAX_SIDE && width * height <= MAX_PIXELS;
}

/* The whole picture, smaller: of the same shape to the pixel, so neither cropped nor turned otherwise. */
static gboolean is_same_picture(const struct heif_image_handle *small, const struct heif_image_handle *large)
{
    double scale = (double)heif_image_handle_get_width(large) / heif_image_handle_get_width(small);
    return fabs(heif_image_handle_get_height(large) / scale - heif_image_handle_get_height(small)) <= 1;
}

/* The smallest embedded thumbnail whose longest side has so many pixels. */
static void choose_thumbnail(Work *work, int px)
{
    heif_item_id ids[MAX_THUMBNAILS];
    int n = heif_image_handle_get_list_of_thumbnail_IDs(work->picture, ids, MAX_THUMBNAILS), best = G_MAXINT;
    for (int i = 0; i < n; i++) {
        struct heif_image_handle *handle = NULL;
        if (heif_image_handle_get_thumbnail(work->picture, ids[i], &handle).code != heif_error_Ok)
            continue;
        int longest = MAX(heif_image_handle_get_width(handle), heif_image_handle_get_height(handle));
        gboolean good = is_decodable(handle) && longest >= px && longest < best && is_same_picture(handle, work->picture);
        if (good) {
            g_clear_pointer(&work->thumbnail, heif_image_handle_release);
            work->thumbnail = g_steal_pointer(&handle);
            best = longest;
        }
        g_clear_pointer(&handle, heif_image_handle_release);
    }
}

/* libheif turns the picture as irot and imir say, and converts what has more than 8 bits. */
static struct heif_error decode(Work *work, const struct heif_image_handle *handle)
{
    struct heif_decoding_options *options = heif_decoding_options_alloc();
    options->convert_hdr_to_8bit = 1;
    gboolean alpha = heif_image_handle_has_alpha_channel(handle) != 0;
    struct heif_error error = heif_decode_image(handle, &work->pixels, heif_colorspace_RGB,
                                                alpha ? heif_chroma_interleaved_RGBA : heif_chroma_interleaved_RGB, options);
    heif_decoding_options_free(options);
    return error;
}

/* What is transparent is laid on white, as paper would show it. */
static void put_rgb(guint8 *to, const guint8 *row, int width, gboolean alpha)
{
    if (!alpha)
        memcpy(to, row, 3 * (gsize)width);
    else
        for (int i = 0; i < width; i++, row += 4)
            for (int c = 0; c < 3; c++)
                *to++ = (guint8)((row[c] * row[3] + 255 * (255 - row[3]) + 127) / 255);
}

static int say_picture(const Work *work)
{
    int stride = 0, width = work->pixels == NULL ? 0 : heif_image_get_primary_width(work->pixels);
    int height = work->pixels == NULL ? 0 : heif_image_get_primary_height(work->pixels);
    const guint8 *rows = work->pixels == NULL ? NULL : heif_image_get_plane_readonly(work->pixels, heif_channel_interleaved, &stride);
    gboolean alpha = work->pixels != NULL && heif_image_get_chroma_format(work->pixels) == heif_chroma_interleaved_RGBA;
    struct heif_error warning;
    const GbHeicReply reply = {
        .magic = GB_HEIC_MAGIC,
        .status = GB_HEIC_OK,
        .width = heif_image_handle_get_width(work->picture),
        .height = heif_image_handle_get_height(work->picture),
        .pixel_width = rows == NULL ? 0 : width,
        .pixel_height = rows == NULL ? 0 : height,
        .damaged = work->pixels != NULL && heif_image_get_decoding_warnings(work->pixels, 0, &warning, 1) > 0,
        .exif_bytes = work->exif == NULL ? 0 : work->exif->len,
        .profile_bytes = (guint32)work->profile_bytes,
        .primaries = work->primaries,
    };
    if (!say(&reply, sizeof reply) || (work->exif != NULL && !say(work->exif->data, work->exif->len)) ||
        !say(work->profile, work->profile_bytes))
        return 1;
    g_autofree guint8 *rgb = g_malloc(3 * (gsize)MAX(1, width));
    for (int y = 0; y < reply.pixel_height; y++) {
        put_rgb(rgb, rows + (gsize)stride * y, width, alpha);
        if (!say(rgb, 3 * (gsize)width))
            return 1;
    }
    return 0;
}

/* px: 0 for the header alone. */
static int answer(Work *work, int px)
{
    struct heif_error error = open_picture(work);
    if (error.code != heif_error_Ok)
        return say_error(error);
    if (!is_decodable(work->picture)) {
        g_autofree char *message = g_strdup_printf("claims %d x %d pixels, more than %d megapixels",
            heif_image_handle_get_width(work->picture), heif_image_handle_get_height(work->picture), MAX_PIXELS / 1000000);
        return say_failed(GB_HEIC_TOO_LARGE, message);
    }
    read_exif(work);
    if (px > 0)
        read_colours(work);
    if (px > 0 && px < GB_HEIC_WHOLE)
        choose_thumbnail(work, px);
    if (px > 0 && work->thumbnail != NULL && decode(work, work->thumbnail).code != heif_error_Ok)
        g_clear_pointer(&work->thumbnail, heif_image_handle_release); /* a broken thumbnail is no reason to show nothing */
    if (px > 0 && work->thumbnail == NULL && (error = decode(work, work->picture)).code != heif_error_Ok)
        return say_error(error);
    return say_picture(work);
}

int main(int argc, char **argv)
{
    if (argc != 2 || isatty(STDOUT_FILENO)) {
        fputs("gablebook-heic decodes one picture for gablebook, which starts it; there is nothing to do by hand.\n", stderr);
        return 2;
    }
    g_auto(Work) work = { 0 };
    gint64 px = strcmp(argv[1], "header") == 0 ? 0 : g_ascii_strtoll(argv[1], NULL, 10);
    if (heif_init(NULL).code != heif_error_Ok || !gb_fence_up())
        return 1;
    if (!read_input(&work))
        return say_failed(GB_HEIC_DAMAGED, "there is nothing to read");
    return answer(&work, (int)CLAMP(px, 0, GB_HEIC_WHOLE));
}
