/* clock_gps.c -- one camera's clock against its GPS: the differences, and where the clock was set. See clock.h.
 *
 * A difference is what the clock is wrong by (with its zone) plus the age of the fix. Ages are nothing or little as a rule, and
 * sometimes minutes: values lie dense at the low end and thin out upwards. A fix that is
 * written again shows by its unchanged time and is left out. What remains is walked in the order of the card.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "clock-private.h"

#include <math.h>

#define JUMP_S 150.0         /* less than this may be the age of a fix */
#define AGREE_S 10.0         /* two new fixes in a row agree */
#define BACK_S 300.0         /* a clock without GPS that goes back so far was set */
#define MAX_BACK 5           /* more often, and the ticks are not in the order of writing */
#define ROLLOVER_DAYS 7168   /* 1024 weeks: the week number in the GPS message has 10 bits (IS-GPS-200) */
#define ZONE_MIN_S (-12 * HOUR_S)
#define ZONE_MAX_S (14 * HOUR_S)

double gb_tick_steady_s(const GbTick *tick)
{
    return tick->r->local_s - (isnan(tick->tag_s) ? 0 : tick->tag_s);
}

double gb_clock_round(double offset_s)
{
    double zone = QUARTER_S * round(offset_s / QUARTER_S);
    return zone >= ZONE_MIN_S && zone <= ZONE_MAX_S ? zone : (double)NAN; /* NAN fails both */
}

static int compare_doubles(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

double gb_clock_middle(double *values, gsize n, double *spread)
{
    qsort(values, n, sizeof *values, compare_doubles);
    gsize half = n / 2 + 1, best = 0;
    for (gsize i = 1; i + half <= n; i++)
        if (values[i + half - 1] - values[i] < values[best + half - 1] - values[best])
            best = i;
    double middle = values[best + (half - 1) / 2]; /* the lower one of two: a fix is old rather than early */
    g_autofree double *away = g_new(double, n);
    for (gsize i = 0; i < n; i++)
        away[i] = fabs(values[i] - middle);
    qsort(away, n, sizeof *away, compare_doubles);
    *spread = n > 1 ? 1.4826 * (away[(n - 1) / 2] + away[n / 2]) / 2 : (double)NAN; /* 1.4826: as a normal's deviation */
    return middle;
}

/* --- differences --- */

/* value plus whole days, as near to target as can be. */
static double fold(double value, double target)
{
    return value - DAY_S * round((value - target) / DAY_S);
}

static gboolean same_fix(const GbReading *a, const GbReading *b)
{
    return a->gps_day_s == b->gps_day_s && (a->gps_utc_s == b->gps_utc_s || (isnan(a->gps_utc_s) && isnan(b->gps_utc_s)));
}

static double longitude_zone(const GbReading *r)
{
    return r->lon_deg / 15 * HOUR_S;
}

/* Where a difference without a date belongs: to the tag, the camera's dated ones, the sun; else -12 ... +12 h. */
static double undated_target(const GbTick *tick, double dated)
{
    if (!isnan(tick->tag_s))
        return tick->tag_s;
    if (!isnan(dated))
        return dated;
    return isnan(tick->r->lon_deg) ? 0 : longitude_zone(tick->r);
}

static void take_differences(GbTick *ticks, guint n)
{
    double dated = NAN;
    for (guint i = 0; i < n && isnan(dated); i++)
        dated = ticks[i].r->local_s - ticks[i].r->gps_utc_s;
    const GbReading *before = NULL;
    for (guint i = 0; i < n; i++) {
        const GbReading *r = ticks[i].r;
        ticks[i].gps_s = NAN;
        if ((isnan(r->gps_utc_s) && isnan(r->gps_day_s)) || (before != NULL && same_fix(before, r)))
            continue;
        before = r;
        if (!isnan(r->gps_utc_s))
            ticks[i].gps_s = dated = r->local_s - r->gps_utc_s;
        else
            ticks[i].gps_s = fold(r->local_s - r->gps_day_s, undated_target(&ticks[i], dated));
    }
}

/* --- the days of a GPS date --- */

static gboolean zone_exists(double offset_s)
{
    return !isnan(gb_clock_round(offset_s));
}

/* Whether a difference is believable. near_s: the zone by tag (then an hour more or less), or by the sun (then four, as in the
 * west of China), or NAN. */
static gboolean fits(double offset_s, double near_s, double within_s)
{
    return isnan(near_s) ? zone_exists(offset_s) : fabs(offset_s - near_s) <= within_s;
}

/* How many days late the GPS date stamps are. A date is left alone as long as it can be true. */
static int days_late(double offset_s, double tag_s, double sun_s)
{
    gboolean tagged = !isnan(tag_s);
    double near_s = tagged ? tag_s : sun_s;
    if ((!tagged && zone_exists(offset_s)) || fabs(offset_s - near_s) <= 12 * HOUR_S)
        return 0;
    const int days[] = { 1, -1, ROLLOVER_DAYS, -ROLLOVER_DAYS };
    for (guint i = 0; i < G_N_ELEMENTS(days); i++)
        if (fits(offset_s + days[i] * DAY_S, near_s, (tagged ? 1 : 4) * HOUR_S))
            return days[i];
    return 0;
}

/* --- runs --- */

/* GPS differences of a run, less the tag. */
static double relative(const GbTick *tick)
{
    return tick->gps_s - (isnan(tick->tag_s) ? 0 : tick->tag_s);
}

static void mend_days(const GbTick *ticks, GbRun *run)
{
    gboolean dated = FALSE;
    double sun = NAN;
    for (guint i = run->first; i <= run->last; i++) {
        dated |= !isnan(ticks[i].gps_s) && !isnan(ticks[i].r->gps_utc_s);
        if (isnan(sun))
            sun = longitude_zone(ticks[i].r);
    }
    double tag = ticks[run->first].tag_s, offset = run->base_s + (run->tagged ? tag : 0);
    if (dated) {
        run->found.stamp_days = days_late(offset, tag, sun);
        run->base_s += run->found.stamp_days * DAY_S;
    } else {
        run->found.day_unsure = !run->tagged && (zone_exists(offset - DAY_S) || zone_exists(offset + DAY_S));
    }
}

static void add_run(const GbTick *ticks, guint first, guint last, GArray *runs)
{
    GbRun run = { .first = first, .last = last, .tagged = !isnan(ticks[first].tag_s), .base_s = NAN };
    run.found = (GbClockStretch){ .camera = ticks[first].r->camera, .how = run.tagged ? GB_CLOCK_TAG : GB_CLOCK_NONE,
                                  .offset_s = NAN, .spread_s = NAN, .confidence = NAN, .guess_s = NAN, .error_s = NAN };
    g_autofree double *values = g_new(double, last - first + 1);
    gsize m = 0;
    for (guint i = first; i <= last; i++)
        if (!isnan(ticks[i].gps_s))
            values[m++] = relative(&ticks[i]);
    if (m > 0) {
        run.base_s = gb_clock_middle(values, m, &run.found.spread_s);
        for (gsize i = 0; i < m; i++)
            run.found.used += fabs(values[i] - run.base_s) <= JUMP_S;
        run.found.how = GB_CLOCK_GPS;
        mend_days(ticks, &run);
    }
    g_array_append_val(runs, run);
}

/* The first tick after the clock was set, somewhere in (before, after]: where the readings jump most that way. */
static guint find_step(const GbTick *ticks, guint before, guint after, gboolean forward)
{
    guint at = after;
    double most = -INFINITY;
    for (guint i = before + 1; i <= after; i++) {
        double step = gb_tick_steady_s(&ticks[i]) - gb_tick_steady_s(&ticks[i - 1]);
        if ((forward ? step : -step) > most) {
            most = forward ? step : -step;
            at = i;
        }
    }
    return at;
}

/* The walk along a camera's fixes. */
typedef struct {
    const GbTick *ticks;
    const guint *fix;     /* ticks with a GPS difference, n of them */
    guint n;
    guint held, last_held; /* fixes that belong to the present run: how many, and the latest */
    double low_s;          /* their smallest difference */
} Walk;

static double fix_s(const Walk *walk, guint i)
{
    return relative(&walk->ticks[walk->fix[i]]);
}

static void hold(Walk *walk, guint i, gboolean anew)
{
    walk->low_s = anew ? fix_s(walk, i) : MIN(walk->low_s, fix_s(walk, i));
    walk->held = anew ? 1 : walk->held + 1;
    walk->last_held = i;
}

/* Whether the clock was set before fix i, which does not belong: the next one confirms it, or, at the end of the card, the clock
 * went back, which no old fix can feign. */
static gboolean was_set(const Walk *walk, guint i)
{
    if (i + 1 < walk->n)
        return fabs(fix_s(walk, i + 1) - fix_s(walk, i)) <= AGREE_S;
    return fix_s(walk, i) < walk->low_s;
}

/* A single fix above all that follow is an old one, as after switching on, unless the readings themselves go back. */
static gboolean was_stale(const Walk *walk, guint i)
{
    guint before = walk->fix[walk->last_held], after = walk->fix[i];
    guint step = find_step(walk->ticks, before, after, FALSE);
    return walk->held == 1 && fix_s(walk, i) < walk->low_s &&
           gb_tick_steady_s(&walk->ticks[step]) >= gb_tick_steady_s(&walk->ticks[step - 1]);
}

/* Where the run that is confirmed at fix i begins: fixes before it that agree with it are its own. */
static guint run_start(const Walk *walk, guint i)
{
    guint own = i;
    while (own - 1 > walk->last_held && fabs(fix_s(walk, own - 1) - fix_s(walk, i)) <= JUMP_S)
        own--;
    return find_step(walk->ticks, walk->fix[walk->last_held], walk->fix[own], fix_s(walk, i) > walk->low_s);
}

static void cut_by_gps(const GbTick *ticks, guint first, guint last, const guint *fix, guint n_fix, GArray *runs)
{
    Walk walk = { .ticks = ticks, .fix = fix, .n = n_fix };
    hold(&walk, 0, TRUE);
    for (guint i = 1; i < n_fix; i++) {
        if (fabs(fix_s(&walk, i) - walk.low_s) <= JUMP_S) {
            hold(&walk, i, FALSE);
        } else if (was_set(&walk, i)) {
            if (!was_stale(&walk, i)) {
                guint start = run_start(&walk, i);
                add_run(ticks, first, start - 1, runs);
                first = start;
            }
            hold(&walk, i, TRUE);
        }
    }
    add_run(ticks, first, last, runs);
}

static gboolean goes_back(const GbTick *tick)
{
    return isnan(tick->tag_s) && tick->r->local_s < tick[-1].r->local_s - BACK_S;
}

static void cut_by_steps_back(const GbTick *ticks, guint first, guint last, GArray *runs)
{
    guint steps = 0;
    for (guint i = first + 1; i <= last; i++)
        steps += goes_back(&ticks[i]);
    for (guint i = first + 1; i <= last && steps <= MAX_BACK; i++)
        if (goes_back(&ticks[i])) {
            add_run(ticks, first, i - 1, runs);
            first = i;
        }
    add_run(ticks, first, last, runs);
}

void gb_clock_cut(GbTick *ticks, guint first, guint n, GArray *runs)
{
    take_differences(ticks + first, n);
    g_autofree guint *fix = g_new(guint, n);
    guint n_fix = 0;
    for (guint i = first; i < first + n; i++)
        if (!isnan(ticks[i].gps_s))
            fix[n_fix++] = i;
    if (n_fix > 0)
        cut_by_gps(ticks, first, first + n - 1, fix, n_fix, runs);
    else
        cut_by_steps_back(ticks, first, first + n - 1, runs);
}
