/* heic.c -- asks the decoder, and trusts none of its numbers. See heic-private.h.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "heic-private.h"

#include "child-private.h"
#include "colour-private.h"
#include "jpeg-private.h"

#include <gablebook/error.h>
#include <gablebook/escape.h>

#define LIMIT_MS 120000 /* 12 megapixels take 0.4 s, 200 a dozen times that, on a busy machine several times more */
#define DECODER "the decoder for HEIC"

/* Start the decoder. */
static GbChild *ask(const void *data, gsize n, const char *what, int limit_ms, GError **error)
{
    g_autofree char *path = gb_child_find(GB_HEIC_PROGRAM);
    if (path == NULL) {
        g_set_error_literal(error, GB_ERROR, GB_ERROR_STATE,
                            DECODER " (" GB_HEIC_PROGRAM ") is not installed; without it HEIC photos can't be read");
        return NULL;
    }
    return gb_child_start(DECODER, path, (const char *const[]){ path, what, NULL }, data, n, limit_ms, error);
}

static gboolean is_size(gint32 width, gint32 height)
{
    return width >= 1 && height >= 1 && width <= GB_HEIC_MAX_SIDE && height <= GB_HEIC_MAX_SIDE &&
           (gint64)width * height <= GB_MAX_PIXELS;
}

static gboolean makes_sense(const GbHeicReply *reply)
{
    if (reply->magic != GB_HEIC_MAGIC || reply->message_bytes > GB_HEIC_MAX_MESSAGE_BYTES ||
        reply->exif_bytes > GB_HEIC_MAX_EXIF_BYTES || reply->profile_bytes > GB_HEIC_MAX_PROFILE_BYTES)
        return FALSE;
    if (reply->status != GB_HEIC_OK)
        return reply->status == GB_HEIC_DAMAGED || reply->status == GB_HEIC_TOO_LARGE;
    return is_size(reply->width, reply->height) &&
           ((reply->pixel_width == 0 && reply->pixel_height == 0) || is_size(reply->pixel_width, reply->pixel_height));
}

/* It failed, and says why. */
static gboolean pass_on(GbChild *child, const GbHeicReply *reply, GError **error)
{
    char said[GB_HEIC_MAX_MESSAGE_BYTES + 1];
    if (!gb_child_read(child, said, reply->message_bytes, error))
        return FALSE;
    g_autofree char *message = gb_clean_text(said, reply->message_bytes);
    if (reply->status == GB_HEIC_TOO_LARGE)
        g_set_error(error, GB_ERROR, GB_ERROR_TOO_LARGE, "the HEIC %s; it was not decoded", message != NULL ? message : "is too large");
    else
        g_set_error(error, GB_ERROR, GB_ERROR_DAMAGED, "the HEIC is damaged and can't be read (%s)",
                    message != NULL ? message : "no reason given");
    return FALSE;
}

/* A block of so many bytes. OWNED by the caller; of none, empty. NULL with error. */
static GBytes *hear_block(GbChild *child, gsize n, GError **error)
{
    g_autofree guint8 *block = g_try_malloc(MAX(1, n));
    if (block == NULL) {
        g_set_error_literal(error, GB_ERROR, GB_ERROR_TOO_LARGE, "there is not enough memory for what it says of itself");
        return NULL;
    }
    return gb_child_read(child, block, n, error) ? g_bytes_new_take(g_steal_pointer(&block), n) : NULL;
}

/* The reply and what comes before the pixels. *exif and *profile are OWNED by the caller; NULL there is none. */
static gboolean hear(GbChild *child, GbHeicReply *reply, GBytes **exif, GBytes **profile, GError **error)
{
    if (!gb_child_read(child, reply, sizeof *reply, error))
        return FALSE;
    if (!makes_sense(reply)) {
        g_set_error_literal(error, GB_ERROR, GB_ERROR_DAMAGED, DECODER " answers nonsense to it");
        return FALSE;
    }
    if (reply->status != GB_HEIC_OK)
        return pass_on(child, reply, error);
    if ((reply->exif_bytes > 0 && (*exif = hear_block(child, reply->exif_bytes, error)) == NULL) ||
        (reply->profile_bytes > 0 && (*profile = hear_block(child, reply->profile_bytes, error)) == NULL))
        return FALSE;
    if (reply->profile_bytes == 0)
        *profile = gb_profile_of_primaries(reply->primaries);
    return TRUE;
}

gboolean gb_heic_header(const void *data, gsize n, int *width, int *height, GBytes **exif, GError **error)
{
    GbHeicReply reply;
    g_autoptr(GBytes) profile = NULL;
    *exif = NULL;
    g_autoptr(GbChild) child = ask(data, n, "header", LIMIT_MS, error);
    if (child == NULL || !hear(child, &reply, exif, &profile, error))
        return FALSE;
    *width = reply.width;
    *height = reply.height;
    return TRUE;
}

static gboolean hear_rows(GbChild *child, const GbHeicReply *reply, GbShrink *shrink, GError **error)
{
    gsize stride = 3 * (gsize)reply->pixel_width;
    g_autofree guint8 *row = g_malloc(stride); /* at most 3 * GB_HEIC_MAX_SIDE */
    for (int y = 0; y < reply->pixel_height; y++) {
        if (!gb_child_read(child, row, stride, error))
            return FALSE;
        gb_shrink_add(shrink, row);
    }
    return TRUE;
}

GBytes *gb_heic_survey_within(const void *data, gsize n, int orientation, int max_px, int quality, int limit_ms, GbQuality *measured,
                              gboolean *damaged, GError **error)
{
    GbHeicReply reply;
    g_autoptr(GBytes) exif = NULL, profile = NULL;
    g_autofree char *px = g_strdup_printf("%d", measured != NULL ? GB_HEIC_WHOLE : max_px);
    g_autoptr(GbChild) child = ask(data, n, px, limit_ms, error);
    if (child == NULL || !hear(child, &reply, &exif, &profile, error))
        return NULL;
    if (reply.pixel_width == 0) {
        g_set_error_literal(error, GB_ERROR, GB_ERROR_DAMAGED, DECODER " gave no pixels");
        return NULL;
    }
    g_autoptr(GbShrink) shrink =
        gb_shrink_new(reply.pixel_width, reply.pixel_height, 3, orientation, max_px, measured != NULL, error);
    if (shrink == NULL || !hear_rows(child, &reply, shrink, error))
        return NULL;
    if (damaged != NULL)
        *damaged = reply.damaged != 0;
    gsize profile_bytes = 0;
    const void *icc = profile == NULL ? NULL : g_bytes_get_data(profile, &profile_bytes);
    return gb_shrink_finish(shrink, icc, profile_bytes, quality, measured, error);
}

GBytes *gb_heic_survey(const void *data, gsize n, int orientation, int max_px, int quality, GbQuality *measured, gboolean *damaged,
                       GError **error)
{
    return gb_heic_survey_within(data, n, orientation, max_px, quality, LIMIT_MS, measured, damaged, error);
}
