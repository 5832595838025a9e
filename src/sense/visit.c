/* visit.c -- see visit.h.
 *
 * 1. Entries: the shots in the order they were taken; one without a time stands behind its camera's shot before it.
 * 2. Fixes: the positions along that order, as points in space (metres from the earth's centre: no date line, no pole); repeats of
 *    one fix in a burst count once, and a lone fix that nobody could have reached and left in time is set aside.
 * 3. Cuts: a range of fixes is cut where the two sides' means differ most, if what lies around that cut looks like two places
 *    rather than one walk, and both halves are looked at again.
 * 4. Spans: what lies between cuts; neighbours that turn out to have one centre, and short excursions, are joined again.
 * 5. Every shot gets a span, those without position by their neighbours or the longest pause.
 * 6. A run of shots of one span, or of none, is a visit.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <gablebook/visit.h>

#include <gablebook/geodesy.h>
#include <math.h>

#define ERROR_UNKNOWN_M 15.0
#define WALK_SD_M 12.0        /* how far a person walks around one centre, each way: what is added to the stated error */
#define FAR_M 100.0           /* farther than a walk */
#define STALE_S 10.0          /* a burst may repeat one fix this long */
#define MOVE_S 60.0           /* nobody gets to another property faster */
#define DRIVE_M_A_S 20.0
#define NEAR_MOVE_S 75.0      /* to a neighbour on foot, with a word at the door */
#define NEAR_RATIO 0.42       /* below: two places; half of a walk around against the other half has 0.6 */
#define AROUND_FIXES 12       /* how much around a cut is looked at: at least this many on each side, */
#define AROUND_S (20 * 60.0)  /* and what was taken within this time */
#define CLOSE_FIXES 4
#define AWAY_S (12 * 60.0)    /* an excursion to an outbuilding or a wild fix */
#define AWAY_FIXES 5
#define AWAY_M 120.0
#define NEIGHBOUR_M 150.0
#define DEPTH_MAX 64          /* of cutting: bounds the work to n times this */
#define NO_SPAN G_MAXUINT

typedef struct {
    const GbVisitShot *shot;
    guint index;  /* in the caller's array */
    double sort_s; /* time, or that of the camera's shot before; INFINITY where a camera has none at all */
    gboolean timed, located;
    double at[3]; /* where, when located */
    double error_m;
    guint span;
} Entry;

typedef struct {
    double at[3];
    double error_m, weight;
    guint entry;    /* first of its entries */
    double pause_s; /* longest pause between two shots, with or without position, since the fix before; NAN unknown: all travel
                       is done in one pause, for who takes photos stands still */
} Fix;

typedef struct {
    guint from, to; /* fixes, to excluded */
    double centre[3];
    guint property; /* index of the first span of the same property */
    gboolean neighbour;
} Span;

typedef struct {
    Entry *entries;
    guint n;
    GArray *fixes; /* Fix */
    GArray *cuts;  /* guint8 a fix: a new span begins here */
    GArray *spans; /* Span */
} Course;

static double distance(const double a[3], const double b[3])
{
    return sqrt((a[0] - b[0]) * (a[0] - b[0]) + (a[1] - b[1]) * (a[1] - b[1]) + (a[2] - b[2]) * (a[2] - b[2]));
}

static int compare_doubles(gconstpointer a, gconstpointer b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

/* Sorts values. NAN for none. */
static double quantile(double *values, guint n, double share)
{
    if (n == 0)
        return NAN;
    qsort(values, n, sizeof *values, compare_doubles);
    double at = share * (n - 1);
    guint low = (guint)at, high = MIN(low + 1, n - 1);
    return values[low] + (at - low) * (values[high] - values[low]);
}

/* --- 1. entries --- */

#define COMPARE(a, b) \
    do { \
        if ((a) != (b)) \
            return (a) < (b) ? -1 : 1; \
    } while (0)

static int by_camera_and_order(gconstpointer a, gconstpointer b)
{
    const Entry *x = a, *y = b;
    COMPARE(x->shot->camera, y->shot->camera);
    COMPARE(x->shot->order, y->shot->order);
    COMPARE(x->sort_s, y->sort_s);
    COMPARE(x->at[0], y->at[0]); /* the rest only keeps the caller's order out of it */
    COMPARE(x->at[1], y->at[1]);
    return 0;
}

static int by_time(gconstpointer a, gconstpointer b)
{
    const Entry *x = a, *y = b;
    COMPARE(x->sort_s, y->sort_s);
    return by_camera_and_order(a, b);
}

static Entry make_entry(const GbVisitShot *shot, guint index)
{
    GbPlane place;
    Entry e = { .shot = shot, .index = index, .timed = isfinite(shot->time_s), .span = NO_SPAN };
    e.located = gb_plane_init(&place, shot->lat_deg, shot->lon_deg);
    for (int i = 0; i < 3; i++)
        e.at[i] = e.located ? place.point[i] : 0;
    e.error_m = shot->error_m >= 0 && isfinite(shot->error_m) ? shot->error_m : ERROR_UNKNOWN_M;
    e.sort_s = e.timed ? shot->time_s : (double)INFINITY;
    return e;
}

/* Entries without a time take that of their camera's one before, or else of the one after. */
static void lend_times(Entry *entries, guint n)
{
    for (guint i = 1; i < n; i++)
        if (!entries[i].timed && entries[i - 1].shot->camera == entries[i].shot->camera)
            entries[i].sort_s = entries[i - 1].sort_s;
    for (guint i = n; i-- > 1;)
        if (isinf(entries[i - 1].sort_s) && entries[i - 1].shot->camera == entries[i].shot->camera)
            entries[i - 1].sort_s = entries[i].sort_s;
}

static void order_entries(Course *c, const GbVisitShot *shots)
{
    for (guint i = 0; i < c->n; i++)
        c->entries[i] = make_entry(&shots[i], i);
    qsort(c->entries, c->n, sizeof *c->entries, by_camera_and_order);
    lend_times(c->entries, c->n);
    qsort(c->entries, c->n, sizeof *c->entries, by_time);
}

/* Seconds between two entries; NAN when one has no time of its own. */
static double entry_gap(const Entry *a, const Entry *b)
{
    return a->timed && b->timed ? b->sort_s - a->sort_s : (double)NAN;
}

/* --- 2. fixes --- */

static Fix *fix_at(const Course *c, guint i)
{
    return &g_array_index(c->fixes, Fix, i);
}

/* Seconds from one fix to another. */
static double fix_gap(const Course *c, guint i, guint j)
{
    return entry_gap(&c->entries[fix_at(c, i)->entry], &c->entries[fix_at(c, j)->entry]);
}

static double longest_pause(const Course *c, guint from, guint to)
{
    double longest = NAN;
    const Entry *last = &c->entries[from];
    if (!last->timed || !c->entries[to].timed)
        return NAN;
    for (guint i = from + 1; i <= to; i++)
        if (c->entries[i].timed) {
            longest = fmax(longest, entry_gap(last, &c->entries[i])); /* fmax takes the number of a NAN and a number */
            last = &c->entries[i];
        }
    return longest;
}

static void measure_pauses(Course *c)
{
    for (guint i = 1; i < c->fixes->len; i++)
        fix_at(c, i)->pause_s = longest_pause(c, fix_at(c, i - 1)->entry, fix_at(c, i)->entry);
}

static void add_fix(Course *c, guint entry)
{
    const Entry *e = &c->entries[entry];
    double sd2 = WALK_SD_M * WALK_SD_M + e->error_m * e->error_m;
    Fix fix = { { e->at[0], e->at[1], e->at[2] }, e->error_m, 1 / sd2, entry, NAN };
    g_array_append_val(c->fixes, fix);
}

static void collect_fixes(Course *c)
{
    const Entry *last = NULL;
    for (guint i = 0; i < c->n; i++) {
        const Entry *e = &c->entries[i];
        if (!e->located)
            continue;
        gboolean repeat = last != NULL && distance(last->at, e->at) < 0.01 && entry_gap(last, e) <= STALE_S;
        if (!repeat)
            add_fix(c, i);
        last = e;
    }
    measure_pauses(c);
}

/* Middle, coordinate by coordinate, of up to three fixes from begin on (to excluded). */
static void middle_of_three(const Course *c, guint from, guint to, double middle[3])
{
    for (int k = 0; k < 3; k++) {
        double values[3];
        for (guint i = from; i < to; i++)
            values[i - from] = fix_at(c, i)->at[k];
        middle[k] = quantile(values, to - from, 0.5);
    }
}

static double time_needed(double metres)
{
    return MOVE_S + metres / DRIVE_M_A_S;
}

/* A lone fix far from those before and after it, which nobody could have reached, or left, in time. Between neighbours that
 * agree, unknown times are no excuse. */
static gboolean is_wild(const Course *c, guint i)
{
    guint n = c->fixes->len, from = i > 3 ? i - 3 : 0, to = MIN(n, i + 4);
    double limit = FAR_M + 2 * fix_at(c, i)->error_m, before[3], after[3], to_before = NAN, to_after = NAN;
    if (n < 4)
        return FALSE;
    if (from < i) {
        middle_of_three(c, from, i, before);
        to_before = distance(before, fix_at(c, i)->at);
    }
    if (i + 1 < to) {
        middle_of_three(c, i + 1, to, after);
        to_after = distance(after, fix_at(c, i)->at);
    }
    if (to_before <= limit || to_after <= limit)
        return FALSE;
    double came = from < i ? fix_at(c, i)->pause_s : (double)INFINITY, left = i + 1 < to ? fix_at(c, i + 1)->pause_s : (double)INFINITY;
    if (came < time_needed(to_before) || left < time_needed(to_after))
        return TRUE;
    gboolean agree = from < i && i + 1 < to && distance(before, after) <= FAR_M;
    return agree && (isnan(came) || isnan(left));
}

static void drop_wild_fixes(Course *c)
{
    GArray *kept = g_array_new(FALSE, FALSE, sizeof(Fix));
    for (guint i = 0; i < c->fixes->len; i++)
        if (!is_wild(c, i))
            g_array_append_val(kept, *fix_at(c, i));
    g_array_unref(c->fixes);
    c->fixes = kept;
    measure_pauses(c);
}

/* --- 3. cuts --- */

typedef struct {
    double weight, mean[3], square; /* square: weighted sum of squares about the mean */
} Sum;

/* Weighted mean and scatter so far (Welford, West 1979): no squares of the earth's radius are ever subtracted. */
static void sum_add(Sum *s, const Fix *fix)
{
    s->weight += fix->weight;
    for (int k = 0; k < 3; k++) {
        double off = fix->at[k] - s->mean[k];
        s->mean[k] += off * fix->weight / s->weight;
        s->square += fix->weight * off * (fix->at[k] - s->mean[k]);
    }
}

static Sum sum_of(const Course *c, guint from, guint to)
{
    Sum s = { 0 };
    for (guint i = from; i < to; i++)
        sum_add(&s, fix_at(c, i));
    return s;
}

/* What cutting into these two saves in scatter. */
static double saving(const Sum *a, const Sum *b)
{
    double d = distance(a->mean, b->mean);
    return a->weight * b->weight / (a->weight + b->weight) * d * d;
}

/* The cut that saves most, among those with time enough to move; 0 none. */
static guint best_cut(const Course *c, guint from, guint to)
{
    Sum all = sum_of(c, from, to), left = { 0 };
    guint best = 0;
    double most = 0;
    for (guint i = from; i + 1 < to; i++) {
        sum_add(&left, fix_at(c, i));
        Sum right = { .weight = all.weight - left.weight };
        for (int k = 0; k < 3; k++)
            right.mean[k] = all.mean[k] + (all.mean[k] - left.mean[k]) * left.weight / right.weight;
        double saved = saving(&left, &right);
        if (saved > most && !(fix_at(c, i + 1)->pause_s < MOVE_S)) {
            most = saved;
            best = i + 1;
        }
    }
    return best;
}

/* What lies on both sides of a cut. */
typedef struct {
    double apart_m, sd_m; /* of the two means, and how well their distance is known */
    double ratio;         /* scatter within the sides as a share of all scatter: 1 one place, 0 two points */
    double pause_s;
} View;

/* Looks at as many fixes on each side as given, and at all that were taken within seconds. */
static View look_around(const Course *c, guint from, guint cut, guint to, guint fixes, double seconds)
{
    guint a = cut, b = cut;
    while (a > from && (cut - a < fixes || fix_gap(c, a - 1, cut - 1) < seconds))
        a--;
    while (b < to && (b - cut < fixes || fix_gap(c, cut, b) < seconds))
        b++;
    Sum left = sum_of(c, a, cut), right = sum_of(c, cut, b);
    double within = left.square + right.square, between = saving(&left, &right), all = within + between;
    return (View){ distance(left.mean, right.mean), sqrt(1 / left.weight + 1 / right.weight), all > 0 ? within / all : 1,
                   fix_at(c, cut)->pause_s };
}

/* Farther apart than one property is wide, with time enough to get there. */
static gboolean is_far(const View *v)
{
    return v->apart_m > FAR_M + 2 * v->sd_m && !(v->pause_s < time_needed(v->apart_m));
}

static gboolean is_next_door(const View *v)
{
    return v->apart_m > GB_VISIT_APART_M && v->apart_m > 2.5 * v->sd_m && !(v->pause_s < NEAR_MOVE_S) && v->ratio < NEAR_RATIO;
}

/* Do the fixes around this cut lie at two places? How clearly: less is clearer. */
static gboolean is_move(const Course *c, guint from, guint cut, guint to, double *ratio)
{
    View wide = look_around(c, from, cut, to, AROUND_FIXES, AROUND_S);
    *ratio = wide.ratio;
    if (is_far(&wide) || is_next_door(&wide))
        return TRUE;
    View narrow = look_around(c, from, cut, to, CLOSE_FIXES, 0); /* a short visit is drowned in the wide view */
    *ratio = narrow.ratio;
    return is_far(&narrow) && narrow.ratio < NEAR_RATIO;
}

/* A short visit in the middle of a long one hardly shows in the means of the two sides: so every pause is looked at. 0 none.
 * Linear: within AROUND_S there is room for few pauses. */
static guint clearest_move(const Course *c, guint from, guint to)
{
    guint best = 0;
    double least = INFINITY, ratio;
    for (guint i = from + 1; i < to; i++)
        if (!(fix_at(c, i)->pause_s < NEAR_MOVE_S) && is_move(c, from, i, to, &ratio) && ratio < least) {
            least = ratio;
            best = i;
        }
    return best;
}

static void cut_range(Course *c, guint from, guint to, int depth)
{
    double ratio;
    guint cut = to - from < 2 || depth == 0 ? 0 : best_cut(c, from, to);
    if (cut > 0 && !is_move(c, from, cut, to, &ratio))
        cut = clearest_move(c, from, to);
    if (cut == 0)
        return;
    g_array_index(c->cuts, guint8, cut) = TRUE;
    cut_range(c, from, cut, depth - 1);
    cut_range(c, cut, to, depth - 1);
}

/* --- 4. spans --- */

static Span *span_at(const Course *c, guint i)
{
    return &g_array_index(c->spans, Span, i);
}

/* The middle of all, then the weighted mean of those that can belong to it. n > 0. */
static void find_centre(const Fix *fixes, guint n, double centre[3])
{
    g_autofree double *values = g_new(double, n);
    for (int k = 0; k < 3; k++) {
        for (guint i = 0; i < n; i++)
            values[i] = fixes[i].at[k];
        centre[k] = quantile(values, n, 0.5);
    }
    Sum near = { 0 };
    for (guint i = 0; i < n; i++)
        if (distance(fixes[i].at, centre) <= GB_VISIT_REACH_M + 2 * fixes[i].error_m)
            sum_add(&near, &fixes[i]);
    for (int k = 0; k < 3 && near.weight > 0; k++)
        centre[k] = near.mean[k];
}

static void collect_spans(Course *c)
{
    for (guint i = 0; i < c->fixes->len;) {
        Span span = { .from = i, .to = i + 1 };
        while (span.to < c->fixes->len && !g_array_index(c->cuts, guint8, span.to))
            span.to++;
        find_centre(fix_at(c, span.from), span.to - span.from, span.centre);
        g_array_append_val(c->spans, span);
        i = span.to;
    }
}

static int by_height(gconstpointer a, gconstpointer b)
{
    const Span *x = *(Span *const *)a, *y = *(Span *const *)b;
    COMPARE(x->centre[2], y->centre[2]);
    COMPARE(x->from, y->from);
    return 0;
}

/* Calls f for every pair of spans nearer than reach. Sorted along the earth's axis, so only few are tried. */
static void each_near_pair(const Course *c, double reach, void (*f)(Span *, Span *, gpointer), gpointer data)
{
    guint n = c->spans->len;
    g_autofree Span **sorted = g_new(Span *, n);
    for (guint i = 0; i < n; i++)
        sorted[i] = span_at(c, i);
    qsort(sorted, n, sizeof *sorted, by_height);
    for (guint i = 1; i < n; i++)
        for (guint j = i; j-- > 0 && sorted[i]->centre[2] - sorted[j]->centre[2] < reach;)
            if (distance(sorted[i]->centre, sorted[j]->centre) < reach)
                f(sorted[i], sorted[j], data);
}

/* While properties are found each leads to an earlier span of the same property; the first one to itself. */
static guint root_of(Course *c, guint i)
{
    while (span_at(c, i)->property != i)
        i = span_at(c, i)->property = span_at(c, span_at(c, i)->property)->property;
    return i;
}

static void join_properties(Span *a, Span *b, gpointer data)
{
    Course *c = data;
    guint x = root_of(c, (guint)(a - span_at(c, 0))), y = root_of(c, (guint)(b - span_at(c, 0)));
    span_at(c, MAX(x, y))->property = MIN(x, y);
}

static void find_properties(Course *c)
{
    for (guint i = 0; i < c->spans->len; i++)
        span_at(c, i)->property = i;
    if (c->spans->len > 1)
        each_near_pair(c, GB_VISIT_APART_M, join_properties, c);
    for (guint i = 0; i < c->spans->len; i++)
        span_at(c, i)->property = root_of(c, i);
}

static guint size_of(const Span *s)
{
    return s->to - s->from;
}

/* There and back again: a few fixes nearby, or one or two anywhere, between two spans of one property, within minutes. */
static gboolean is_excursion(const Course *c, const Span *before, const Span *away, const Span *after)
{
    if (before->property != after->property || !(fix_gap(c, before->to - 1, after->from) < AWAY_S))
        return FALSE;
    return size_of(away) <= 2 || (size_of(away) <= AWAY_FIXES && distance(before->centre, away->centre) < AWAY_M);
}

/* Neighbours of one property become one span, excursions part of what is around them. */
static gboolean join_spans(Course *c)
{
    g_autoptr(GArray) joined = g_array_new(FALSE, FALSE, sizeof(Span));
    guint before = c->spans->len;
    for (guint i = 0; i < before; i++) {
        Span *last = joined->len > 0 ? &g_array_index(joined, Span, joined->len - 1) : NULL;
        if (last != NULL && i + 1 < before && is_excursion(c, last, span_at(c, i), span_at(c, i + 1)))
            last->to = span_at(c, ++i)->to;
        else if (last != NULL && last->property == span_at(c, i)->property)
            last->to = span_at(c, i)->to;
        else
            g_array_append_val(joined, *span_at(c, i));
    }
    g_array_set_size(c->spans, 0);
    for (guint i = 0; i < joined->len; i++) {
        Span *span = &g_array_index(joined, Span, i);
        find_centre(fix_at(c, span->from), size_of(span), span->centre);
        g_array_append_val(c->spans, *span);
    }
    return c->spans->len < before;
}

/* --- 5. every shot its span --- */

static void label_fixed_entries(Course *c)
{
    for (guint s = 0; s < c->spans->len; s++)
        for (guint i = span_at(c, s)->from; i < span_at(c, s)->to; i++)
            c->entries[fix_at(c, i)->entry].span = s;
}

/* Give entries from ... to (excluded) a span. */
static void label(Course *c, guint from, guint to, guint span)
{
    for (guint i = from; i < to; i++)
        c->entries[i].span = span;
}

/* Seconds before the i-th entry; NAN unknown; what has no time at all is set apart from what has. */
static double pause_before(const Course *c, guint i)
{
    const Entry *a = &c->entries[i - 1], *b = &c->entries[i];
    return isinf(a->sort_s) != isinf(b->sort_s) ? (double)INFINITY : entry_gap(a, b);
}

/* The pauses within and around a run of entries without a span: places of the first and last long one (to + 1 and from - 1 when
 * there is none, so that first > last) and of the longest (to when none is known). */
typedef struct {
    gint64 first, last, longest;
} Pauses;

static Pauses look_at_pauses(const Course *c, guint from, guint to)
{
    Pauses p = { (gint64)to + 1, (gint64)from - 1, to };
    double longest = 0;
    for (guint i = MAX(from, 1); i <= to && i < c->n; i++) {
        double pause = pause_before(c, i);
        if (pause > longest) {
            longest = pause;
            p.longest = i;
        }
        if (pause >= GB_VISIT_PAUSE_S) {
            p.first = MIN(p.first, i);
            p.last = i;
        }
    }
    return p;
}

/* A run of entries without a span goes with its neighbours where they agree; else it is divided at the longest pause, or stays
 * by itself between two long ones. */
static void label_run(Course *c, guint from, guint to)
{
    guint before = from > 0 ? c->entries[from - 1].span : NO_SPAN, after = to < c->n ? c->entries[to].span : NO_SPAN;
    Pauses p = look_at_pauses(c, from, to);
    if (before == after)
        label(c, from, to, before);
    else if (before == NO_SPAN)
        label(c, (guint)MAX(p.last, from), to, after);
    else if (after == NO_SPAN)
        label(c, from, (guint)MIN(p.first, to), before);
    else if (p.first < p.last) {
        label(c, from, (guint)p.first, before);
        label(c, (guint)p.last, to, after);
    } else {
        label(c, from, (guint)p.longest, before);
        label(c, (guint)p.longest, to, after);
    }
}

static void label_entries(Course *c)
{
    label_fixed_entries(c);
    for (guint i = 0; i < c->n;) {
        guint to = i;
        while (to < c->n && c->entries[to].span == NO_SPAN)
            to++;
        if (to > i)
            label_run(c, i, to);
        i = to + 1;
    }
}

/* --- 6. visits --- */

static guint property_of(const Course *c, const Entry *e)
{
    return e->span == NO_SPAN ? GB_VISIT_NO_PROPERTY : span_at(c, e->span)->property;
}

/* What is known of a visit while its entries arrive. */
typedef struct {
    GbVisit visit;
    guint span;
    double last_s;     /* of the last entry with a time; NAN none yet */
    gboolean timeless; /* began with what has no time at all */
    GArray *fixes;     /* Fix, OWNED */
} Draft;

static void clear_draft(gpointer draft)
{
    g_array_unref(((Draft *)draft)->fixes);
}

/* Does this entry begin another visit? */
static gboolean ends(const Draft *now, const Entry *e)
{
    double pause = e->timed ? e->sort_s - now->last_s : (double)NAN;
    return now->span != e->span || (now->timeless ? FALSE : isinf(e->sort_s) && e->span == NO_SPAN) ||
           pause >= (e->span == NO_SPAN ? GB_VISIT_PAUSE_S : GB_VISIT_RETURN_S);
}

static Draft *begin_draft(const Course *c, GArray *drafts, const Entry *e)
{
    Draft fresh = { .visit = { .property = property_of(c, e), .first_s = NAN, .last_s = NAN, .lat_deg = NAN, .lon_deg = NAN,
                               .radius_m = NAN, .from_previous_m = NAN },
                    .span = e->span, .last_s = NAN, .timeless = isinf(e->sort_s), .fixes = g_array_new(FALSE, FALSE, sizeof(Fix)) };
    if (e->span != NO_SPAN && span_at(c, e->span)->neighbour)
        fresh.visit.notes |= GB_VISIT_NEIGHBOUR;
    g_array_append_val(drafts, fresh);
    return &g_array_index(drafts, Draft, drafts->len - 1);
}

/* The draft an entry belongs to. Shots of a camera without any time join the first visit at their property, if there is one.
 *   first_at  property -> 1 + index of the draft that saw it first */
static Draft *find_draft(const Course *c, GArray *drafts, GHashTable *first_at, const Entry *e)
{
    gpointer property = GUINT_TO_POINTER(property_of(c, e));
    guint first = e->span == NO_SPAN ? 0 : GPOINTER_TO_UINT(g_hash_table_lookup(first_at, property));
    if (first > 0 && isinf(e->sort_s))
        return &g_array_index(drafts, Draft, first - 1);
    if (drafts->len > 0 && !ends(&g_array_index(drafts, Draft, drafts->len - 1), e))
        return &g_array_index(drafts, Draft, drafts->len - 1);
    if (first == 0)
        g_hash_table_insert(first_at, property, GUINT_TO_POINTER(drafts->len + 1));
    return begin_draft(c, drafts, e);
}

static void add_entry(Draft *d, const Entry *e)
{
    GbVisit *v = &d->visit;
    v->count++;
    v->located += e->located;
    if (!e->timed) {
        v->notes |= GB_VISIT_UNTIMED;
        return;
    }
    if (isnan(v->first_s))
        v->first_s = e->sort_s;
    if (e->sort_s - d->last_s > GB_VISIT_PAUSE_S)
        v->notes |= GB_VISIT_LONG_PAUSE;
    v->last_s = d->last_s = e->sort_s;
}

static void collect_drafts(const Course *c, GArray *drafts, guint *visit_of)
{
    g_autoptr(GHashTable) first_at = g_hash_table_new(g_direct_hash, g_direct_equal);
    guint fix = 0;
    for (guint i = 0; i < c->n; i++) {
        Draft *d = find_draft(c, drafts, first_at, &c->entries[i]);
        add_entry(d, &c->entries[i]);
        visit_of[c->entries[i].index] = (guint)(d - &g_array_index(drafts, Draft, 0));
        if (fix < c->fixes->len && fix_at(c, fix)->entry == i)
            g_array_append_val(d->fixes, *fix_at(c, fix++));
    }
}

/* Centre and radius of what has positions. */
static void place_visit(const Course *c, Draft *d)
{
    GbVisit *v = &d->visit;
    if (d->fixes->len == 0) {
        v->notes |= GB_VISIT_NO_POSITION;
        return;
    }
    const Fix *fixes = &g_array_index(d->fixes, Fix, 0);
    const GbVisitShot *first = c->entries[fixes[0].entry].shot;
    double centre[3], east = 0, north = 0;
    GbPlane plane;
    find_centre(fixes, d->fixes->len, centre);
    gb_plane_init(&plane, first->lat_deg, first->lon_deg);
    for (int k = 0; k < 3; k++) {
        east += (centre[k] - plane.point[k]) * plane.east[k];
        north += (centre[k] - plane.point[k]) * plane.north[k];
    }
    gb_plane_position(&plane, east, north, &v->lat_deg, &v->lon_deg);
    g_autofree double *away = g_new(double, d->fixes->len);
    for (guint i = 0; i < d->fixes->len; i++)
        away[i] = distance(fixes[i].at, centre);
    v->radius_m = quantile(away, d->fixes->len, 0.9);
    if (d->fixes->len == 1)
        v->notes |= GB_VISIT_SINGLE_POSITION;
    if (2 * v->located < v->count)
        v->notes |= GB_VISIT_FEW_POSITIONS;
}

/* Numbers the properties from 0 as they are first seen. */
static void number_properties(GbVisits *visits)
{
    g_autoptr(GHashTable) numbers = g_hash_table_new(g_direct_hash, g_direct_equal);
    for (guint i = 0; i < visits->n_visits; i++) {
        GbVisit *v = &visits->visits[i];
        gpointer key = GUINT_TO_POINTER(v->property), number;
        if (v->property == GB_VISIT_NO_PROPERTY)
            continue;
        if (g_hash_table_lookup_extended(numbers, key, NULL, &number)) {
            v->property = GPOINTER_TO_UINT(number);
            v->notes |= GB_VISIT_AGAIN;
        } else {
            v->property = visits->n_properties++;
            g_hash_table_insert(numbers, key, GUINT_TO_POINTER(v->property));
        }
    }
}

/* Notes those visits that hold a position their centre can't explain. */
static void note_off_positions(const Course *c, GbVisits *visits)
{
    for (guint i = 0; i < c->n; i++) {
        const Entry *e = &c->entries[i];
        GbVisit *v = &visits->visits[visits->visit_of[e->index]];
        GbLine line = gb_geodesy_line(v->lat_deg, v->lon_deg, e->shot->lat_deg, e->shot->lon_deg);
        if (line.distance_m > GB_VISIT_REACH_M + 2 * e->error_m) /* FALSE without a position */
            v->notes |= GB_VISIT_OFF_POSITIONS;
    }
}

static void build_visits(const Course *c, GbVisits *visits)
{
    g_autoptr(GArray) drafts = g_array_new(FALSE, FALSE, sizeof(Draft));
    g_array_set_clear_func(drafts, clear_draft);
    collect_drafts(c, drafts, visits->visit_of);
    visits->n_visits = drafts->len;
    visits->visits = g_new(GbVisit, drafts->len);
    for (guint i = 0; i < drafts->len; i++) {
        Draft *d = &g_array_index(drafts, Draft, i);
        place_visit(c, d);
        GbVisit *v = &visits->visits[i], *previous = i > 0 ? v - 1 : NULL;
        *v = d->visit;
        if (previous != NULL)
            v->from_previous_m = gb_geodesy_line(previous->lat_deg, previous->lon_deg, v->lat_deg, v->lon_deg).distance_m;
    }
    number_properties(visits);
    note_off_positions(c, visits);
}

static void mark_neighbours(Span *a, Span *b, gpointer data)
{
    (void)data;
    if (a->property != b->property)
        a->neighbour = b->neighbour = TRUE;
}

static void find_spans(Course *c)
{
    g_array_set_size(c->cuts, c->fixes->len);
    cut_range(c, 0, c->fixes->len, DEPTH_MAX);
    collect_spans(c);
    do /* a joined span has a better centre, which may join it again; each round leaves fewer */
        find_properties(c);
    while (join_spans(c));
    find_properties(c);
    if (c->spans->len > 1)
        each_near_pair(c, NEIGHBOUR_M, mark_neighbours, NULL);
}

GbVisits *gb_visits_split(const GbVisitShot *shots, gsize n)
{
    g_autofree Entry *entries = g_new(Entry, n);
    Course c = { .entries = entries, .n = (guint)n, .fixes = g_array_new(FALSE, FALSE, sizeof(Fix)),
                 .cuts = g_array_new(FALSE, TRUE, sizeof(guint8)), .spans = g_array_new(FALSE, FALSE, sizeof(Span)) };
    GbVisits *visits = g_new0(GbVisits, 1);
    visits->n_shots = n;
    visits->visit_of = g_new(guint, n);
    if (n > 0) { /* qsort may not be given NULL */
        order_entries(&c, shots);
        collect_fixes(&c);
        drop_wild_fixes(&c);
        find_spans(&c);
        label_entries(&c);
        build_visits(&c, visits);
    }
    g_array_unref(c.fixes);
    g_array_unref(c.cuts);
    g_array_unref(c.spans);
    return visits;
}

void gb_visits_free(GbVisits *visits)
{
    if (visits == NULL)
        return;
    g_free(visits->visits);
    g_free(visits->visit_of);
    g_free(visits);
}

char *gb_visit_notes_text(guint notes)
{
    static const struct { GbVisitNote note; const char *text; } texts[] = {
        { GB_VISIT_NO_POSITION, "no shot has a position: told by pauses alone" },
        { GB_VISIT_FEW_POSITIONS, "most shots have no position and went with their neighbours" },
        { GB_VISIT_SINGLE_POSITION, "its place rests on one position" },
        { GB_VISIT_UNTIMED, "shots without a time were placed by file order" },
        { GB_VISIT_OFF_POSITIONS, "some positions are farther off than their stated error" },
        { GB_VISIT_NEIGHBOUR, "another property is less than 150 m away: look at the border" },
        { GB_VISIT_LONG_PAUSE, "holds a pause of more than half an hour" },
        { GB_VISIT_AGAIN, "this property was visited before" },
    };
    GString *text = g_string_new(NULL);
    for (gsize i = 0; i < G_N_ELEMENTS(texts); i++)
        if (notes & texts[i].note)
            g_string_append_printf(text, "%s%s", text->len > 0 ? "; " : "", texts[i].text);
    return g_string_free(text, FALSE);
}
