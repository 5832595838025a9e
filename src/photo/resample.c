/* resample.c -- smaller by area mean. See jpeg-private.h.
 *
 * Along one side, pixel i of the source covers [i * out, (i + 1) * out) and pixel x of the result
 * [x * in, (x + 1) * in) on a common line of in * out units; a pixel's weight is the length of the overlap. All
 * weights are whole numbers, those of one result pixel sum to in, so both sides together to in_width * in_height.
 *
 * Rows are first summed downwards, which is plain work for vector units, and shrunk across once a result row is whole.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "jpeg-private.h"

struct GbResample {
    int in_width, in_height, out_width, out_height, channels;
    int in_y;      /* rows taken */
    guint32 *down; /* the result row in work at full width: weighted sums of rows, at most 255 * in_height */
    guint8 *out;
};

GbResample *gb_resample_new(int in_width, int in_height, int out_width, int out_height, int channels)
{
    g_assert(channels == 1 || channels == 3);
    g_assert(out_width > 0 && out_width <= in_width && in_width <= 65535);
    g_assert(out_height > 0 && out_height <= in_height && in_height <= 65535);
    g_autoptr(GbResample) r = g_new0(GbResample, 1);
    *r = (GbResample){ in_width, in_height, out_width, out_height, channels, 0,
                       g_try_new0(guint32, (gsize)in_width * channels), g_try_new(guint8, (gsize)out_width * channels) };
    if (r->down == NULL || r->out == NULL)
        return NULL;
    return g_steal_pointer(&r);
}

void gb_resample_free(GbResample *r)
{
    if (r == NULL)
        return;
    g_free(r->down);
    g_free(r->out);
    g_free(r);
}

static void add_weighted(GbResample *r, const guint8 *row, guint16 weight)
{
    guint32 *down = r->down;
    for (gsize i = 0, n = (gsize)r->in_width * r->channels; i < n; i++)
        down[i] += (guint32)row[i] * weight;
}

/* The sums of one result row across, to out. Inlined below with a constant number of channels. */
static inline void shrink_across(GbResample *r, int channels)
{
    const guint32 *from = r->down;
    guint8 *to = r->out;
    guint64 in_width = (guint64)r->in_width, area = in_width * (guint64)r->in_height, step = (guint64)r->out_width;
    guint64 left = step; /* of the source pixel in hand, how much is not given away yet */
    for (int x = 0; x < r->out_width; x++, to += channels) {
        guint64 wanted = in_width - left, sum[3], whole[3] = { 0 };
        for (int c = 0; c < channels; c++)
            sum[c] = left * from[c]; /* left is at most wanted: the result is never the larger one */
        from += channels;
        for (; wanted >= step; wanted -= step, from += channels)
            for (int c = 0; c < channels; c++)
                whole[c] += from[c];
        left = step - wanted;
        for (int c = 0; c < channels; c++) {
            sum[c] += step * whole[c] + (wanted > 0 ? wanted * from[c] : 0);
            to[c] = (guint8)((sum[c] + area / 2) / area);
        }
    }
}

static void finish_row(GbResample *r)
{
    if (r->channels == 1)
        shrink_across(r, 1);
    else
        shrink_across(r, 3);
    memset(r->down, 0, (gsize)r->in_width * r->channels * sizeof *r->down);
}

const guint8 *gb_resample_add(GbResample *r, const guint8 *row)
{
    gint64 top = (gint64)r->in_y * r->out_height, bottom = top + r->out_height;
    gint64 edge = (top / r->in_height + 1) * r->in_height; /* where the result row in work ends */
    r->in_y++;
    if (bottom < edge) {
        add_weighted(r, row, (guint16)(bottom - top));
        return NULL;
    }
    add_weighted(r, row, (guint16)(edge - top));
    finish_row(r);
    if (bottom > edge)
        add_weighted(r, row, (guint16)(bottom - edge));
    return r->out;
}
