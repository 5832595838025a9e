/* clock_align.c -- a camera that knows only its own clock, laid between the others' shots. See clock.h.
 *
 * Model: one person takes all shots of a day, now with this camera, now with that; the gaps of the merged row are those of one walk:
 * mostly around the usual gap, sometimes a pause or a drive. Laid wrongly, a camera's shots fall into pauses and leave others open.
 * The likelihood of the merged gaps, times what is known of camera clocks (most are right in some zone of the place, some are an hour off,
 * a few are anything), is a posterior over all differences; its mass around the top is the confidence.
 *
 * Adding a shot changes only the gap it falls into, so one difference costs O(shots of this camera).
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "clock-private.h"

#include <math.h>

#define MAX_SHOTS 200
#define RANGE_S (15 * HOUR_S)
#define STEP_S 20
#define STEPS (2 * 15 * 3600 / STEP_S + 1)
#define GAPS_S 16384       /* longer gaps are all alike */
#define SURE_S 90.0        /* the answer is right when it is that near */
#define FOUND 0.9
#define HELD_S 600.0       /* so near is one of the others' shots, for most */
#define PAUSE_S 1500.0     /* usual length of a pause or drive, and how often: common practice, no source */
#define PAUSES 0.08
#define PAUSE_SIGMA 1.5    /* of the logarithm */
#define WALK_S 600.0       /* gaps below are taken for gaps within a walk */
#define CHANGES 0.15       /* how often the next shot is the other camera's, and what the change of hands takes more */
#define CHANGE_S 10.0
#define TEMPER 0.85        /* days are less regular than the model: a little less sure than it would be */

/* --- gaps --- */

static double log_normal(double gap_s, double middle_s, double sigma)
{
    double z = log(gap_s / middle_s) / sigma;
    return exp(-0.5 * z * z) / (gap_s * sigma * sqrt(2 * G_PI));
}

/* What is usual between shots of a walk, from both rows. */
typedef struct {
    double middle_s, sigma; /* sigma: of the logarithm */
} Usual;

static gsize add_log_gaps(const double *times, gsize n, double *logs)
{
    gsize count = 0;
    for (gsize i = 1; i < n; i++)
        if (times[i] - times[i - 1] < WALK_S)
            logs[count++] = log(MAX(times[i] - times[i - 1], 1));
    return count;
}

static Usual usual_gap(const double *a, gsize n, const double *b, gsize m)
{
    g_autofree double *logs = g_new(double, n + m);
    gsize count = add_log_gaps(a, n, logs);
    count += add_log_gaps(b, m, logs + count);
    if (count < 3)
        return (Usual){ 45, 1 };
    double spread;
    gb_clock_middle(logs, count, &spread); /* sorts */
    double middle = exp(logs[count / 2]);
    return (Usual){ CLAMP(middle, 10, 300), CLAMP(spread, 0.5, 1.2) };
}

/* Logarithm of the density of each whole second of gap: between shots of one camera, and from one camera to the other, which takes
 * a moment longer. */
typedef struct {
    float same[GAPS_S], other[GAPS_S];
} Gaps;

/* OWNED by the caller. */
static Gaps *gap_table(Usual usual)
{
    Gaps *gaps = g_new(Gaps, 1);
    for (int g = 0; g < GAPS_S; g++) {
        double gap = g + 0.5, pause = PAUSES * log_normal(gap, PAUSE_S, PAUSE_SIGMA);
        double same = (1 - PAUSES) * log_normal(gap, usual.middle_s, usual.sigma) + pause;
        double other = (1 - PAUSES) * log_normal(gap, usual.middle_s + CHANGE_S, usual.sigma) + pause;
        gaps->same[g] = (float)log((1 - CHANGES) * same);
        gaps->other[g] = (float)log(CHANGES * other);
    }
    return gaps;
}

static double weight(const float *table, double gap_s)
{
    return (double)table[gap_s < GAPS_S - 1 ? (int)gap_s : GAPS_S - 1];
}

/* --- likelihood and posterior --- */

typedef struct {
    const double *local_s, *utc_s;
    gsize n, m;
    const Gaps *gaps;
} Rows;

static gsize first_after(const double *sorted, gsize n, double value)
{
    gsize low = 0, high = n;
    while (low < high) {
        gsize middle = low + (high - low) / 2;
        if (sorted[middle] <= value)
            low = middle + 1;
        else
            high = middle;
    }
    return low;
}

/* What the merged row gains or loses by this camera's shots, laid in with that difference. */
static double likelihood(const Rows *rows, double offset_s)
{
    const Gaps *gaps = rows->gaps;
    gboolean from_other = TRUE;
    gsize next = first_after(rows->utc_s, rows->m, rows->local_s[0] - offset_s);
    double sum = 0, before = next > 0 ? rows->utc_s[next - 1] : (double)NAN;
    for (gsize i = 0; i < rows->n; i++) {
        double t = rows->local_s[i] - offset_s;
        if (!isnan(before))
            sum += weight(from_other ? gaps->other : gaps->same, t - before);
        before = t;
        from_other = FALSE;
        gboolean last_here = next < rows->m && (i + 1 == rows->n || rows->local_s[i + 1] - offset_s > rows->utc_s[next]);
        if (!last_here)
            continue;
        sum += weight(gaps->other, rows->utc_s[next] - t);
        if (next > 0)
            sum -= weight(gaps->same, rows->utc_s[next] - rows->utc_s[next - 1]);
        if (i + 1 == rows->n)
            break;
        next += first_after(rows->utc_s + next, rows->m - next, rows->local_s[i + 1] - offset_s);
        before = rows->utc_s[next - 1];
        from_other = TRUE;
    }
    return sum;
}

/* How likely a clock has that error, per second. Common practice, no source: half are right within minutes, a fifth kept
 * another season's hour, the rest are anything. */
static double clock_prior(double offset_s, double zone_s)
{
    double even = 1 / (2 * RANGE_S), error = offset_s - zone_s, scale = 150;
    if (isnan(error))
        return even;
    return 0.5 * exp(-fabs(error) / scale) / (2 * scale) +
           0.1 * (exp(-fabs(error - HOUR_S) / scale) + exp(-fabs(error + HOUR_S) / scale)) / (2 * scale) + 0.3 * even;
}

static double log_posterior(const Rows *rows, double offset_s, double zone_s)
{
    return TEMPER * likelihood(rows, offset_s) + log(clock_prior(offset_s, zone_s));
}

/* The best difference near the best step, to the second. */
static double refine(const Rows *rows, double around_s, double zone_s)
{
    double best = around_s, most = -INFINITY;
    for (int d = -STEP_S; d <= STEP_S; d++) {
        double p = log_posterior(rows, around_s + d, zone_s);
        if (p > most) {
            most = p;
            best = around_s + d;
        }
    }
    return best;
}

/* Mass and spread of the posterior around the answer. */
static void weigh(const double *log_p, int top, GbClockAlignment *answer)
{
    double all = 0, near = 0, square = 0, there = 0;
    for (int k = 0; k < STEPS; k++) {
        double p = exp(log_p[k] - log_p[top]), away = k * STEP_S - RANGE_S - answer->offset_s;
        all += p;
        near += fabs(away) <= SURE_S ? p : 0;
        if (fabs(away) <= 120) {
            there += p;
            square += p * away * away;
        }
    }
    answer->confidence = near / all;
    answer->spread_s = sqrt(square / there);
}

/* Whether most shots have one of the others' near. A row that goes before, after or between the others' work fits many places,
 * and the model only shows where it does not clash. */
static gboolean is_held(const Rows *rows, double offset_s)
{
    gsize held = 0;
    for (gsize i = 0; i < rows->n; i++) {
        double t = rows->local_s[i] - offset_s;
        gsize next = first_after(rows->utc_s, rows->m, t);
        held += (next > 0 && t - rows->utc_s[next - 1] <= HELD_S) || (next < rows->m && rows->utc_s[next] - t <= HELD_S);
    }
    return 2 * held >= rows->n;
}

GbClockAlignment gb_clock_align(const double *local_s, gsize n, const double *utc_s, gsize m, double zone_s)
{
    GbClockAlignment answer = { .offset_s = NAN, .spread_s = NAN };
    n = MIN(n, MAX_SHOTS);
    if (n == 0 || m == 0 || local_s[0] - RANGE_S > utc_s[m - 1] + DAY_S || local_s[n - 1] + RANGE_S < utc_s[0] - DAY_S)
        return answer;
    g_autofree Gaps *gaps = gap_table(usual_gap(local_s, n, utc_s, m));
    g_autofree double *log_p = g_new(double, STEPS);
    Rows rows = { local_s, utc_s, n, m, gaps };
    int top = 0;
    for (int k = 0; k < STEPS; k++) {
        log_p[k] = log_posterior(&rows, k * STEP_S - RANGE_S, zone_s);
        if (log_p[k] > log_p[top])
            top = k;
    }
    answer.offset_s = refine(&rows, top * STEP_S - RANGE_S, zone_s);
    weigh(log_p, top, &answer);
    if (!is_held(&rows, answer.offset_s))
        answer.confidence = 0;
    answer.found = answer.confidence >= FOUND;
    return answer;
}
