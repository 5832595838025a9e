/* shrink.c -- pictures that come row by row at full size. See jpeg-private.h.
 *
 * Every row goes two ways. One makes the small picture. The other, for a survey, makes a grey plane of the size at which libjpeg would
 * have taken its closer look; the first look is that plane, shrunk once more to the scale at which libjpeg would have decoded. So the
 * measures of a photo compare with those of the same photo as a JPEG, and nothing is decoded twice.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <gablebook/error.h>
#include <gablebook/jpeg.h>

#include "colour-private.h"
#include "jpeg-private.h"

/* At half the size that shows a blur, a sharp picture's edges are as sharp as pixels allow (0.4 px; measured: 56 of 61 rendered
 * photos), a blurred one's never below 0.6 px, a soft one's at 0.65. */
#define SURE_SMEAR_PX 0.53

int gb_scaled_side(int side, int longest, int max_px)
{
    return MAX(1, (int)(((gint64)side * max_px + longest / 2) / longest));
}

/* Exactly right, or so much larger that sharing pixels out does not blur. A photo of 640 px brought to 500 was seen 36 dB off its
 * exact mean by way of 560 px, 50 dB by way of 640. */
gboolean gb_side_serves(int decoded, int wanted)
{
    return decoded == wanted || 2 * decoded >= 3 * wanted;
}

gboolean gb_needs_closer_look(const GbQuality *measured)
{
    return measured->smear_side_px < GB_SURVEY_PX && !(measured->smear_px <= SURE_SMEAR_PX);
}

/* ITU-R BT.601 weights in 256ths, as JPEG itself makes luma. */
void gb_put_luma(guint8 *restrict luma, const guint8 *restrict row, gsize n, GbPixels pixels)
{
    if (pixels == GB_PIXELS_GREY)
        memcpy(luma, row, n);
    else if (pixels == GB_PIXELS_YCC)
        for (gsize i = 0; i < n; i++)
            luma[i] = row[3 * i];
    else
        for (gsize i = 0; i < n; i++, row += 3)
            luma[i] = (guint8)((77 * row[0] + 150 * row[1] + 29 * row[2] + 128) >> 8);
}

typedef struct {
    int width, height;
} Size;

struct GbShrink {
    Size in, out, first, closer; /* as stored, before turning; the two planes of a survey */
    int channels, orientation;
    int in_y, out_y, plane_y;    /* rows that are done */
    GbResample *resample, *plane_resample;
    guint8 *upright; /* out, turned */
    guint8 *grey;    /* one row of in */
    guint8 *plane;   /* closer */
};

void gb_shrink_free(GbShrink *s)
{
    if (s == NULL)
        return;
    gb_resample_free(s->resample);
    gb_resample_free(s->plane_resample);
    g_free(s->upright);
    g_free(s->grey);
    g_free(s->plane);
    g_free(s);
}

/* The size that libjpeg would decode at: the smallest of 1/8, 1/4, 1/2, 1 that serves and has this longest side. */
static Size plane_size(Size in, Size out, int least_px)
{
    for (int scale = 8; scale > 1; scale /= 2) {
        Size plane = { (in.width + scale - 1) / scale, (in.height + scale - 1) / scale };
        if (gb_side_serves(plane.width, out.width) && gb_side_serves(plane.height, out.height) &&
            MAX(plane.width, plane.height) >= least_px)
            return plane;
    }
    return in;
}

static gboolean allocate(GbShrink *s, gboolean survey)
{
    s->resample = gb_resample_new(s->in.width, s->in.height, s->out.width, s->out.height, s->channels);
    s->upright = g_try_malloc_n((gsize)s->out.width * s->out.height, s->channels);
    if (s->resample == NULL || s->upright == NULL)
        return FALSE;
    if (!survey)
        return TRUE;
    s->plane_resample = gb_resample_new(s->in.width, s->in.height, s->closer.width, s->closer.height, 1);
    s->grey = g_try_malloc((gsize)s->in.width);
    s->plane = g_try_malloc_n((gsize)s->closer.width, (gsize)s->closer.height);
    return s->plane_resample != NULL && s->grey != NULL && s->plane != NULL;
}

GbShrink *gb_shrink_new(int width, int height, int channels, int orientation, int max_px, gboolean survey, GError **error)
{
    int longest = MAX(width, height);
    max_px = MIN(max_px, longest);
    g_autoptr(GbShrink) s = g_new0(GbShrink, 1);
    s->in = (Size){ width, height };
    s->out = (Size){ gb_scaled_side(width, longest, max_px), gb_scaled_side(height, longest, max_px) };
    s->first = plane_size(s->in, s->out, 0);
    s->closer = plane_size(s->in, s->out, GB_SURVEY_PX);
    s->channels = channels;
    s->orientation = orientation;
    if (allocate(s, survey))
        return g_steal_pointer(&s);
    g_set_error(error, GB_ERROR, GB_ERROR_TOO_LARGE, "there is not enough memory for a picture of %d x %d pixels", s->out.width,
                s->out.height);
    return NULL;
}

static void add_to_plane(GbShrink *s, const guint8 *row)
{
    gb_put_luma(s->grey, row, (gsize)s->in.width, s->channels == 1 ? GB_PIXELS_GREY : GB_PIXELS_RGB);
    const guint8 *done = gb_resample_add(s->plane_resample, s->grey);
    if (done != NULL)
        memcpy(s->plane + (gsize)s->closer.width * s->plane_y++, done, (gsize)s->closer.width);
}

void gb_shrink_add(GbShrink *s, const guint8 *row)
{
    if (s->in_y >= s->in.height)
        return;
    s->in_y++;
    if (s->plane != NULL)
        add_to_plane(s, row);
    const guint8 *done = gb_resample_add(s->resample, row);
    if (done != NULL)
        gb_upright_put_row(s->upright, done, s->out_y++, s->out.width, s->out.height, s->channels, s->orientation);
}

/* The closer plane at the first look's size; NULL when memory is refused. OWNED by the caller. */
static guint8 *first_plane(const GbShrink *s)
{
    g_autofree guint8 *first = g_try_malloc_n((gsize)s->first.width, (gsize)s->first.height);
    g_autoptr(GbResample) resample =
        gb_resample_new(s->closer.width, s->closer.height, s->first.width, s->first.height, 1);
    if (first == NULL || resample == NULL)
        return NULL;
    for (int y = 0, done = 0; y < s->closer.height; y++) {
        const guint8 *row = gb_resample_add(resample, s->plane + (gsize)s->closer.width * y);
        if (row != NULL)
            memcpy(first + (gsize)s->first.width * done++, row, (gsize)s->first.width);
    }
    return g_steal_pointer(&first);
}

static gboolean measure(const GbShrink *s, GbQuality *measured)
{
    g_autofree guint8 *first = first_plane(s);
    GbQuality closer;
    if (first == NULL)
        return FALSE;
    gb_quality_measure(first, s->first.width, s->first.height, s->orientation, measured);
    if (s->first.width == s->closer.width || !gb_needs_closer_look(measured))
        return TRUE;
    gb_quality_measure(s->plane, s->closer.width, s->closer.height, s->orientation, &closer);
    measured->smear_px = closer.smear_px;
    measured->smear_side_px = closer.smear_side_px;
    return TRUE;
}

static gboolean fill_lost_rows(GbShrink *s)
{
    gsize n = (gsize)s->in.width * s->channels;
    g_autofree guint8 *row = s->in_y < s->in.height ? g_try_malloc(n) : NULL;
    if (row != NULL)
        memset(row, GB_LOST_GREY, n);
    while (row != NULL && s->in_y < s->in.height)
        gb_shrink_add(s, row);
    return s->in_y == s->in.height;
}

GBytes *gb_shrink_finish(GbShrink *s, const void *profile, gsize profile_bytes, int quality, GbQuality *measured, GError **error)
{
    if (!fill_lost_rows(s) || (measured != NULL && !measure(s, measured))) {
        g_set_error_literal(error, GB_ERROR, GB_ERROR_TOO_LARGE, "there is not enough memory to look at the picture");
        return NULL;
    }
    gboolean swaps = gb_upright_swaps(s->orientation);
    GbPixels pixels = gb_to_srgb(profile, profile_bytes, s->upright, (gsize)s->out.width * (gsize)s->out.height,
                                 s->channels == 1 ? GB_PIXELS_GREY : GB_PIXELS_RGB);
    return gb_jpeg_encode(s->upright, swaps ? s->out.height : s->out.width, swaps ? s->out.width : s->out.height, pixels, quality, error);
}
