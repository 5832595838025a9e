/* image.c -- the one door to all photo formats. See image.h.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <gablebook/image.h>

#include "heic-private.h"
#include "png-private.h"

#include <gablebook/error.h>
#include <gablebook/file.h>
#include <gablebook/jpeg.h>

#define HEAD_BYTES (128u << 10) /* cameras write their EXIF block first; with a usual colour profile it is still within */

/* The format, if it is a photo's and no larger than the bound. */
static gboolean look_at(const void *data, gsize n, GbFormat *format, GError **error)
{
    *format = gb_format_of(data, n);
    const char *word = gb_format_word(*format);
    if (gb_format_is_attachment(*format))
        g_set_error(error, GB_ERROR, GB_ERROR_FOREIGN, "the file is no photo that can be shown (%s)", word);
    else if (!gb_format_is_photo(*format))
        g_set_error_literal(error, GB_ERROR, GB_ERROR_FOREIGN, n == 0 ? "the file is empty" : "the file is no photo (JPEG, HEIC or PNG)");
    else if (n > GB_IMAGE_MAX_BYTES)
        g_set_error(error, GB_ERROR, GB_ERROR_TOO_LARGE, "the %s is larger than %u MB; it was not read", word, GB_IMAGE_MAX_BYTES >> 20);
    else
        return TRUE;
    return FALSE;
}

static gboolean jpeg_header(const void *data, gsize n, int *width, int *height, GBytes **exif, GError **error)
{
    GbJpegHeader header;
    if (!gb_jpeg_header(data, n, &header, error))
        return FALSE;
    *width = header.width;
    *height = header.height;
    *exif = g_steal_pointer(&header.exif);
    gb_jpeg_header_clear(&header);
    return TRUE;
}

gboolean gb_image_header(const void *data, gsize n, GbImageHeader *header, GError **error)
{
    GbFormat format;
    int width, height;
    g_autoptr(GBytes) exif = NULL;
    if (!look_at(data, n, &format, error))
        return FALSE;
    if (format == GB_FORMAT_HEIC   ? !gb_heic_header(data, n, &width, &height, &exif, error)
        : format == GB_FORMAT_PNG ? !gb_png_header(data, n, &width, &height, &exif, error)
                                  : !jpeg_header(data, n, &width, &height, &exif, error))
        return FALSE;
    *header = (GbImageHeader){ .format = format, .width = width, .height = height };
    gb_exif_init(&header->exif);
    if (exif != NULL)
        gb_exif_read(&header->exif, g_bytes_get_data(exif, NULL), g_bytes_get_size(exif));
    if (format == GB_FORMAT_HEIC)
        header->exif.orientation = 1;
    return TRUE;
}

gboolean gb_image_header_file(const char *path, GbImageHeader *header, GError **error)
{
    g_autofree char *shown = g_filename_display_name(path);
    g_autoptr(GBytes) head = gb_file_read_head(path, HEAD_BYTES, error);
    if (head == NULL)
        return FALSE;
    gsize n;
    const void *data = g_bytes_get_data(head, &n);
    /* A JPEG whose header does not end within the head, and other formats, are looked for in all of the file. */
    if (n == HEAD_BYTES && gb_format_of(data, n) == GB_FORMAT_JPEG && gb_image_header(data, n, header, NULL))
        return TRUE;
    g_autoptr(GBytes) all = n < HEAD_BYTES || !gb_format_is_photo(gb_format_of(data, n))
                                ? g_bytes_ref(head) : gb_file_read(path, GB_IMAGE_MAX_BYTES, error);
    if (all == NULL)
        return FALSE;
    if (gb_image_header(g_bytes_get_data(all, NULL), g_bytes_get_size(all), header, error))
        return TRUE;
    g_prefix_error(error, "%s: ", shown);
    return FALSE;
}

void gb_image_header_clear(GbImageHeader *header)
{
    gb_exif_clear(&header->exif);
    *header = (GbImageHeader){ 0 };
    gb_exif_init(&header->exif);
}

GBytes *gb_image_survey(const void *data, gsize n, int orientation, int max_px, int quality, GbQuality *measured,
                        gboolean *damaged, GError **error)
{
    g_return_val_if_fail(orientation >= 1 && orientation <= 8 && max_px > 0 && quality >= 1 && quality <= 100, NULL);
    GbFormat format;
    if (!look_at(data, n, &format, error))
        return NULL;
    if (format == GB_FORMAT_HEIC)
        return gb_heic_survey(data, n, orientation, max_px, quality, measured, damaged, error);
    if (format == GB_FORMAT_PNG)
        return gb_png_survey(data, n, orientation, max_px, quality, measured, damaged, error);
    return gb_jpeg_survey(data, n, orientation, max_px, quality, measured, damaged, error);
}

GBytes *gb_image_shrink(const void *data, gsize n, int orientation, int max_px, int quality, gboolean *damaged, GError **error)
{
    return gb_image_survey(data, n, orientation, max_px, quality, NULL, damaged, error);
}
