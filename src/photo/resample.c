/* resample.c -- smaller by area mean. See jpeg-private.h.
 *
 * Along one side, pixel i of the source covers [i * out, (i + 1) * out) and pixel x of the result
 * [x * in, (x + 1) * in) on a common line of in * out units; a pixel's weight is the length of the overlap. All
 * weights are whole numbers, those of one result pixel sum to in, so both sides together to in_width * in_height.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "jpeg-private.h"

struct GbResample {
    int in_width, in_height, out_width, out_height, channels;
    int in_y;         /* rows taken */
    guint64 *sums;    /* of the result row in work, out_width * channels */
    guint32 *across;  /* the row just taken, brought to out_width: at most 255 * in_width */
    guint8 *out;
};

GbResample *gb_resample_new(int in_width, int in_height, int out_width, int out_height, int channels)
{
    g_assert(channels == 1 || channels == 3);
    g_assert(out_width > 0 && out_width <= in_width && in_width <= 65535);
    g_assert(out_height > 0 && out_height <= in_height && in_height <= 65535);
    gsize n = (gsize)out_width * channels;
    g_autoptr(GbResample) r = g_new0(GbResample, 1);
    *r = (GbResample){ in_width, in_height, out_width, out_height, channels, 0,
                       g_try_new0(guint64, n), g_try_new(guint32, n), g_try_new(guint8, n) };
    if (r->sums == NULL || r->across == NULL || r->out == NULL)
        return NULL;
    return g_steal_pointer(&r);
}

void gb_resample_free(GbResample *r)
{
    if (r == NULL)
        return;
    g_free(r->sums);
    g_free(r->across);
    g_free(r->out);
    g_free(r);
}

/* One source row to out_width, each channel's sum still times in_width. Inlined below with a constant number of channels. */
static inline void shrink_across(GbResample *r, const guint8 *row, int channels)
{
    guint32 *to = r->across, step = (guint32)r->out_width;
    guint32 left = step; /* of the source pixel in hand, how much is not given away yet */
    for (int x = 0; x < r->out_width; x++, to += channels) {
        guint32 wanted = (guint32)r->in_width - left;
        for (int c = 0; c < channels; c++)
            to[c] = left * row[c]; /* left is at most wanted: the result is never the larger one */
        row += channels;
        for (; wanted >= step; wanted -= step, row += channels)
            for (int c = 0; c < channels; c++)
                to[c] += step * row[c];
        left = step - wanted;
        for (int c = 0; c < channels && wanted > 0; c++)
            to[c] += wanted * row[c];
    }
}

static void add_weighted(GbResample *r, guint32 weight)
{
    for (gsize i = 0, n = (gsize)r->out_width * r->channels; i < n; i++)
        r->sums[i] += (guint64)weight * r->across[i];
}

static void finish_row(GbResample *r)
{
    guint64 area = (guint64)r->in_width * r->in_height;
    for (gsize i = 0, n = (gsize)r->out_width * r->channels; i < n; i++) {
        r->out[i] = (guint8)((r->sums[i] + area / 2) / area);
        r->sums[i] = 0;
    }
}

const guint8 *gb_resample_add(GbResample *r, const guint8 *row)
{
    if (r->channels == 1)
        shrink_across(r, row, 1);
    else
        shrink_across(r, row, 3);
    gint64 top = (gint64)r->in_y * r->out_height, bottom = top + r->out_height;
    gint64 edge = (top / r->in_height + 1) * r->in_height; /* where the result row in work ends */
    r->in_y++;
    if (bottom < edge) {
        add_weighted(r, (guint32)(bottom - top));
        return NULL;
    }
    add_weighted(r, (guint32)(edge - top));
    finish_row(r);
    if (bottom > edge)
        add_weighted(r, (guint32)(bottom - edge));
    return r->out;
}
