/* quality.c -- sharpness, exposure and fingerprint of one plane. See quality.h.
 *
 * Sharpness is the published variance of the Laplacian (Pech-Pacheco et al., 2000). It can't tell a blurred shingle from a sharp
 * wall, so smear asks the picture's own edges. Across an edge the value changes by d1 within 2 pixels and by d4 within 8; on a
 * sharp edge the two are equal, on one smeared by a Gaussian of s pixels
 *
 *     d1 / d4 = erf(1 / (s sqrt 2)) / erf(4 / (s sqrt 2)),
 *
 * which falls from 1 (s = 0) to 1/4 (a ramp). Only the strongest edges of a direction are asked, for noise is small beside them,
 * and of those the sharpest few, for shadows and round things are smooth in a sharp picture too.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <gablebook/quality.h>

#include "jpeg-private.h"

#include <math.h>

#define NEAR 1 /* d1: half the distance, pixels */
#define FAR 4  /* d4 */
/* The strongest edges: at least STRONG of the change that a thousandth of all pixels exceed; that change must be EDGE_MIN. The
 * sharpest of them: the quantile SHARPEST. Tried on blurred copies (Gaussian and straight shakes in five directions) of rendered
 * and real photos: with these, all that are smeared by 1.5 px or more fall below 0.65, all sharp ones stay above 0.85. */
#define STRONG 0.7
#define EDGE_MIN 30
#define SHARPEST 0.94
#define RATIO_STEPS 256
#define ROWS 3 /* each so-many-th is looked at: time matters at import, and it tells no less */

#define SMEAR_LEAST_PX 0.4 /* d1/d4 = 0.988: a finer edge falls between the pixels */
#define SMEAR_MOST_PX 8.0

#define HASH_WIDTH 9
#define HASH_HEIGHT 8

/* --- sharpness --- */

/* Where a neighbour outside is read: -1 is 1, n is n - 2; a single pixel is its own neighbour. */
static int reflect(int i, int n)
{
    if (n == 1)
        return 0;
    return i < 0 ? 1 : i >= n ? n - 2 : i;
}

typedef struct {
    gint64 sum, squares;
} Moments;

/* One row; squares of a piece stay below 2^32: 4000 * 1020 * 1020. */
static void add_laplacians(Moments *m, const guint8 *above, const guint8 *row, const guint8 *below, int width)
{
    for (int from = 1, to; from < width - 1; from = to) {
        gint32 sum = 0;
        guint32 squares = 0;
        to = MIN(from + 4000, width - 1);
        for (int x = from; x < to; x++) {
            int value = row[x - 1] + row[x + 1] + above[x] + below[x] - 4 * row[x];
            sum += value;
            squares += (guint32)(value * value);
        }
        m->sum += sum;
        m->squares += squares;
    }
    for (int x = 0; x < width; x += MAX(1, width - 1)) { /* the ends */
        int value = row[reflect(x - 1, width)] + row[reflect(x + 1, width)] + above[x] + below[x] - 4 * row[x];
        m->sum += value;
        m->squares += value * value;
    }
}

static double laplacian_variance(const guint8 *luma, int width, int height)
{
    Moments m = { 0 };
    for (int y = 0; y < height; y++)
        add_laplacians(&m, luma + (gsize)reflect(y - 1, height) * width, luma + (gsize)y * width,
                       luma + (gsize)reflect(y + 1, height) * width, width);
    double n = (double)width * height, mean = (double)m.sum / n;
    return (double)m.squares / n - mean * mean;
}

/* --- smear --- */

/* How often, in one direction, an edge of each size had each near change: pixels[d4][d1], with d1 at most d4. */
typedef struct {
    guint32 pixels[256][256];
    guint32 of_size[256]; /* only from EDGE_MIN up */
} Edges;

/* step: from a pixel to the next in this direction. A sample of the rows will do. */
static void count_edges(Edges *edges, const guint8 *luma, int width, int height, int step)
{
    for (int y = FAR; y < height - FAR; y += ROWS) {
        const guint8 *row = luma + (gsize)y * width;
        for (int x = FAR; x < width - FAR; x++) {
            int d1 = ABS(row[x + NEAR * step] - row[x - NEAR * step]), d4 = ABS(row[x + FAR * step] - row[x - FAR * step]);
            d4 = MAX(d4, d1); /* a line, not a step */
            if (d4 < EDGE_MIN)
                continue;
            edges->pixels[d4][d1]++;
            edges->of_size[d4]++;
        }
    }
}

/* The change that a thousandth of the pixels exceed; 0 where they don't reach EDGE_MIN. */
static int strong_change(const Edges *edges, gint64 all_pixels)
{
    gint64 seen = 0;
    for (int size = 255; size >= EDGE_MIN; size--) {
        seen += edges->of_size[size];
        if (seen * 1000 > all_pixels)
            return size;
    }
    return 0;
}

/* d1/d4 of the sharpest among the strongest edges, or NAN where there are none. */
static double sharpest_ratio(const Edges *edges, gint64 all_pixels)
{
    int strong = strong_change(edges, all_pixels);
    if (strong == 0)
        return NAN;
    gint64 of_ratio[RATIO_STEPS + 1] = { 0 }, all = 0, seen = 0;
    int least = (int)(strong * STRONG);
    for (int size = MAX(EDGE_MIN, least); size < 256; size++) {
        for (int d1 = 0; d1 <= size; d1++)
            of_ratio[RATIO_STEPS * d1 / size] += edges->pixels[size][d1];
        all += edges->of_size[size];
    }
    int ratio = 0;
    for (; ratio < RATIO_STEPS; ratio++) {
        seen += of_ratio[ratio];
        if ((double)seen >= SHARPEST * (double)all)
            break;
    }
    return (double)ratio / RATIO_STEPS;
}

static double ratio_of_smear(double smear_px)
{
    return erf(NEAR / (smear_px * G_SQRT2)) / erf(FAR / (smear_px * G_SQRT2));
}

/* The ratio falls as the smear grows: halving finds it. */
static double smear_of_ratio(double ratio)
{
    double low = SMEAR_LEAST_PX, high = SMEAR_MOST_PX;
    if (isnan(ratio))
        return NAN;
    while (high - low > 1e-3) {
        double middle = (low + high) / 2;
        if (ratio_of_smear(middle) > ratio)
            low = middle;
        else
            high = middle;
    }
    return low;
}

static double smear(const guint8 *luma, int width, int height)
{
    double worse = NAN;
    gint64 pixels = (gint64)MAX(0, width - 2 * FAR) * (MAX(0, height - 2 * FAR) + ROWS - 1) / ROWS;
    for (int down = 0; down < 2; down++) {
        g_autofree Edges *edges = g_new0(Edges, 1);
        count_edges(edges, luma, width, height, down ? width : 1);
        worse = fmax(worse, smear_of_ratio(sharpest_ratio(edges, pixels))); /* fmax passes over NAN */
    }
    return worse;
}

/* --- exposure --- */

static void expose(GbQuality *q, const guint8 *luma, gsize n)
{
    guint32 count[256] = { 0 };
    guint64 sum = 0, seen = 0, black = 0, white = 0;
    for (gsize i = 0; i < n; i++)
        count[luma[i]]++;
    struct { double share, *value; } ranks[] = { { 0.05, &q->dark }, { 0.50, &q->middle }, { 0.95, &q->light } };
    gsize rank = 0;
    for (int value = 0; value < 256; value++) {
        sum += (guint64)count[value] * (guint)value;
        seen += count[value];
        black += value <= GB_QUALITY_BLACK ? count[value] : 0;
        white += value >= GB_QUALITY_WHITE ? count[value] : 0;
        for (; rank < G_N_ELEMENTS(ranks) && (double)seen >= ranks[rank].share * (double)n; rank++)
            *ranks[rank].value = value;
    }
    q->mean = (double)sum / (double)n;
    q->black = (double)black / (double)n;
    q->white = (double)white / (double)n;
}

/* --- fingerprint --- */

static guint64 hash_of_means(const guint8 *means)
{
    guint64 hash = 0;
    for (int y = 0; y < HASH_HEIGHT; y++, means += HASH_WIDTH)
        for (int x = 0; x + 1 < HASH_WIDTH; x++)
            hash = hash << 1 | (means[x] < means[x + 1]);
    return hash;
}

static gboolean fingerprint(const guint8 *luma, int width, int height, int orientation, guint64 *hash)
{
    gboolean swaps = gb_upright_swaps(orientation);
    int across = swaps ? HASH_HEIGHT : HASH_WIDTH, down = swaps ? HASH_WIDTH : HASH_HEIGHT;
    if (width < across || height < down)
        return FALSE;
    g_autoptr(GbResample) resample = gb_resample_new(width, height, across, down, 1);
    if (resample == NULL)
        return FALSE;
    guint8 means[HASH_WIDTH * HASH_HEIGHT] = { 0 };
    for (int y = 0, done = 0; y < height; y++) {
        const guint8 *row = gb_resample_add(resample, luma + (gsize)y * width);
        if (row != NULL)
            gb_upright_put_row(means, row, done++, across, down, 1, orientation);
    }
    *hash = hash_of_means(means);
    return TRUE;
}

int gb_quality_hash_distance(guint64 a, guint64 b)
{
    return __builtin_popcountll(a ^ b);
}

void gb_quality_measure(const guint8 *luma, int width, int height, int orientation, GbQuality *quality)
{
    g_return_if_fail(width >= 1 && height >= 1 && width <= 65535 && height <= 65535);
    g_return_if_fail(orientation >= 1 && orientation <= 8);
    *quality = (GbQuality){ .width = width, .height = height };
    quality->sharpness = laplacian_variance(luma, width, height);
    quality->smear_px = smear(luma, width, height);
    quality->smear_side_px = MAX(width, height);
    expose(quality, luma, (gsize)width * height);
    quality->hashed = fingerprint(luma, width, height, orientation, &quality->hash);
}
