/* clock.c -- all clocks of a card: ways of knowing are tried from the surest down. See clock.h.
 *
 * Each camera is cut into runs by its own GPS (clock_gps.c). Then, in this order: what tags and GPS settle; zones that other cameras lend;
 * persons' words; alignment of what knows only its own clock (clock_align.c), against all that is settled so far; pairs,
 * which may lean on any of these. Last, runs are cut where their zone changes, and the shots are ordered.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "clock-private.h"

#include <gablebook/error.h>
#include <math.h>

#define CONTRADICTED_S (QUARTER_S / 2)
#define WHOLE_S 120.0           /* a contradiction so near to whole quarter hours is one of zones, else of the clock */
#define NEAR_S (36 * HOUR_S)
#define NEAR_KM 100.0
#define KM_PER_DEG 111.2
#define MAX_ALIGNED 32         /* each costs milliseconds; a card has a few cameras */

/* A shot whose zone can be lent to others. */
typedef struct {
    double utc_s, zone_s, lat_deg, lon_deg;
} Lender;

typedef struct {
    const GbReading *readings;
    gsize n;
    GbTick *ticks;
    guint n_ticks;
    int *tick_of;        /* by reading; -1 for one without a reading of the clock */
    guint *run_of;       /* by tick */
    GArray *runs;        /* of GbRun */
    GHashTable *words;   /* camera -> double * in the words array */
    GArray *tagged;      /* of Lender, by UTC: zones written in files */
    GArray *zoned;       /* of Lender, by UTC: all zones */
} Card;

static void card_clear(Card *card)
{
    g_free(card->ticks);
    g_free(card->tick_of);
    g_free(card->run_of);
    g_clear_pointer(&card->runs, g_array_unref);
    g_clear_pointer(&card->words, g_hash_table_unref);
    g_clear_pointer(&card->tagged, g_array_unref);
    g_clear_pointer(&card->zoned, g_array_unref);
}
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(Card, card_clear)

GbReading gb_reading_from_exif(const GbExif *exif, guint camera, const char *name)
{
    return (GbReading){
        .camera = camera, .name = name, .local_s = exif->taken_local_s, .has_offset = exif->has_offset,
        .offset_min = exif->offset_min, .gps_utc_s = exif->gps_utc_s, .gps_day_s = exif->gps_day_s,
        .lat_deg = exif->lat_deg, .lon_deg = exif->lon_deg,
    };
}

static GbRun *run_at(const Card *card, guint i)
{
    return &g_array_index(card->runs, GbRun, i);
}

/* --- ticks and runs --- */

static int compare_ticks(const void *a, const void *b)
{
    const GbTick *x = a, *y = b;
    if (x->r->camera != y->r->camera)
        return x->r->camera < y->r->camera ? -1 : 1;
    return (x->index > y->index) - (x->index < y->index);
}

static void make_ticks(Card *card)
{
    card->ticks = g_new0(GbTick, card->n + 1); /* + 1: never NULL, which qsort does not take */
    card->tick_of = g_new(int, card->n + 1);
    for (gsize i = 0; i < card->n; i++) {
        card->tick_of[i] = -1;
        if (!isnan(card->readings[i].local_s))
            card->ticks[card->n_ticks++] = (GbTick){ .index = (guint)i, .r = &card->readings[i], .tag_s = NAN, .gps_s = NAN,
                                                     .zone_s = NAN, .offset_s = NAN, .error_s = NAN };
    }
    qsort(card->ticks, card->n_ticks, sizeof *card->ticks, compare_ticks);
    for (guint i = 0; i < card->n_ticks; i++)
        card->tick_of[card->ticks[i].index] = (int)i;
}

/* A camera that writes its zone has it on shots where it did not, too: the one before, at the start the first. */
static void carry_tags(GbTick *ticks, guint n)
{
    double tag = NAN;
    for (guint i = 0; i < n && isnan(tag); i++)
        if (ticks[i].r->has_offset)
            tag = ticks[i].r->offset_min * 60.0;
    for (guint i = 0; i < n; i++) {
        if (ticks[i].r->has_offset)
            tag = ticks[i].r->offset_min * 60.0;
        ticks[i].tag_s = tag;
    }
}

static void make_runs(Card *card)
{
    card->runs = g_array_new(FALSE, FALSE, sizeof(GbRun));
    for (guint first = 0, next; first < card->n_ticks; first = next) {
        for (next = first + 1; next < card->n_ticks && card->ticks[next].r->camera == card->ticks[first].r->camera;)
            next++;
        carry_tags(card->ticks + first, next - first);
        gb_clock_cut(card->ticks, first, next - first, card->runs);
    }
    card->run_of = g_new(guint, card->n_ticks);
    for (guint i = 0; i < card->runs->len; i++)
        for (guint t = run_at(card, i)->first; t <= run_at(card, i)->last; t++)
            card->run_of[t] = i;
}

/* --- zones that others lend --- */

static int compare_lenders(const void *a, const void *b)
{
    const Lender *x = a, *y = b;
    return (x->utc_s > y->utc_s) - (x->utc_s < y->utc_s);
}

static GArray *collect_lenders(const Card *card, gboolean tags_only)
{
    GArray *lenders = g_array_new(FALSE, FALSE, sizeof(Lender));
    for (guint i = 0; i < card->n_ticks; i++) {
        const GbTick *t = &card->ticks[i];
        Lender lender = { t->offset_s, t->zone_s, t->r->lat_deg, t->r->lon_deg };
        lender.utc_s = t->r->local_s - t->offset_s;
        if (!isnan(lender.utc_s) && !isnan(lender.zone_s) && (!tags_only || t->zone_how == GB_ZONE_TAG))
            g_array_append_val(lenders, lender);
    }
    g_array_sort(lenders, compare_lenders);
    return lenders;
}

/* For this a sphere will do; unknown places don't count against it. */
static gboolean is_near(const Lender *lender, double utc_s, const GbReading *r)
{
    double east = fabs(lender->lon_deg - r->lon_deg);
    double km = KM_PER_DEG * hypot(lender->lat_deg - r->lat_deg,
                                   MIN(east, 360 - east) * cos(r->lat_deg * G_PI / 180));
    return fabs(lender->utc_s - utc_s) <= NEAR_S && !(km > NEAR_KM);
}

/* The zone of the shot nearest in time, of the one before and the one after; NAN when neither is near. */
static double lent_zone(const GArray *lenders, double utc_s, const GbReading *r)
{
    const Lender *all = (const Lender *)(void *)lenders->data;
    guint low = 0, high = lenders->len;
    while (low < high) {
        guint middle = low + (high - low) / 2;
        if (all[middle].utc_s <= utc_s)
            low = middle + 1;
        else
            high = middle;
    }
    const Lender *before = low > 0 ? &all[low - 1] : NULL, *after = low < lenders->len ? &all[low] : NULL;
    if (before != NULL && !is_near(before, utc_s, r))
        before = NULL;
    if (after != NULL && !is_near(after, utc_s, r))
        after = NULL;
    if (before != NULL && after != NULL)
        return utc_s - before->utc_s <= after->utc_s - utc_s ? before->zone_s : after->zone_s;
    return before != NULL ? before->zone_s : after != NULL ? after->zone_s : (double)NAN;
}

/* The zone most of the card is in, roughly: that of the middle shot; NAN when the card has none. */
static double usual_zone(const Card *card)
{
    return card->zoned->len > 0 ? g_array_index(card->zoned, Lender, card->zoned->len / 2).zone_s : (double)NAN;
}

/* The same for a shot of which only a local time is known. */
static double lent_zone_local(const Card *card, double local_s, const GbReading *r)
{
    double zone = lent_zone(card->zoned, local_s - usual_zone(card), r);
    return isnan(zone) ? zone : lent_zone(card->zoned, local_s - zone, r);
}

/* --- settling --- */

static void set_tick(GbTick *tick, double offset_s, double zone_s, GbZoneHow how)
{
    tick->offset_s = offset_s;
    tick->zone_s = zone_s;
    tick->zone_how = isnan(zone_s) ? GB_ZONE_NONE : how;
    tick->error_s = offset_s - zone_s;
}

static gboolean trusts_tag(const GbRun *run)
{
    return run->tagged && !run->found.tag_contradicted;
}

/* Tags alone, and tags that GPS bears out; and whether it does. */
static void settle_tags(Card *card)
{
    for (guint i = 0; i < card->runs->len; i++) {
        GbRun *run = run_at(card, i);
        run->found.tag_contradicted = run->tagged && fabs(run->base_s) >= CONTRADICTED_S;
        run->found.tag_min = run->tagged ? (int)(card->ticks[run->first].tag_s / 60) : 0;
        double error = isnan(run->base_s) ? 0 : run->base_s;
        for (guint t = run->first; t <= run->last && trusts_tag(run); t++)
            set_tick(&card->ticks[t], card->ticks[t].tag_s + error, card->ticks[t].tag_s, GB_ZONE_TAG);
    }
}

/* The zone of a known difference: lent, else rounded; a contradicted tag stands when the rest is no matter of zones. */
static void settle_zone(const GArray *lenders, const GbRun *run, GbTick *tick, double offset_s, double error_s)
{
    double zone = lent_zone(lenders, tick->r->local_s - offset_s, tick->r);
    GbZoneHow how = GB_ZONE_NEAR;
    if (isnan(zone)) {
        gboolean of_clock = run->tagged && fabs(remainder(run->base_s - error_s, QUARTER_S)) > WHOLE_S;
        zone = of_clock ? (double)NAN : gb_clock_round(offset_s - error_s);
        how = GB_ZONE_ROUNDED;
    }
    if (isnan(zone) && run->tagged) {
        zone = tick->tag_s;
        how = GB_ZONE_TAG;
    }
    set_tick(tick, offset_s, zone, how);
}

/* GPS without a tag, or against it. */
static void settle_gps(Card *card)
{
    for (guint i = 0; i < card->runs->len; i++) {
        const GbRun *run = run_at(card, i);
        if (isnan(run->base_s) || trusts_tag(run))
            continue;
        for (guint t = run->first; t <= run->last; t++) {
            GbTick *tick = &card->ticks[t];
            settle_zone(card->tagged, run, tick, run->base_s + (run->tagged ? tick->tag_s : 0), 0);
        }
    }
}

/* A person's word on a camera: its error is as said; the zone is as known, or lent. */
static void settle_words(Card *card)
{
    for (guint i = 0; i < card->runs->len; i++) {
        GbRun *run = run_at(card, i);
        const double *said = g_hash_table_lookup(card->words, GUINT_TO_POINTER(run->found.camera));
        if (said == NULL)
            continue;
        run->found.how = GB_CLOCK_SAID;
        run->found.used = 0;
        run->found.spread_s = NAN;
        for (guint t = run->first; t <= run->last; t++) {
            GbTick *tick = &card->ticks[t];
            if (!isnan(tick->offset_s) && tick->zone_how == GB_ZONE_ROUNDED) /* rounded without knowing of the error */
                settle_zone(card->tagged, run, tick, tick->offset_s, *said);
            else if (isnan(tick->zone_s))
                set_tick(tick, NAN, lent_zone_local(card, tick->r->local_s - *said, tick->r), GB_ZONE_NEAR);
            tick->offset_s = tick->zone_s + *said;
            tick->error_s = *said;
        }
    }
}

/* --- alignment --- */

static int compare_doubles(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

static GArray *known_times(const Card *card)
{
    GArray *times = g_array_new(FALSE, FALSE, sizeof(double));
    for (guint t = 0; t < card->n_ticks; t++) {
        double utc = card->ticks[t].r->local_s - card->ticks[t].offset_s;
        if (!isnan(utc))
            g_array_append_val(times, utc);
    }
    g_array_sort(times, compare_doubles);
    return times;
}

static GbClockAlignment align_run(const Card *card, const GbRun *run, const GArray *others)
{
    guint n = run->last - run->first + 1;
    g_autofree double *local = g_new(double, n);
    for (guint i = 0; i < n; i++)
        local[i] = card->ticks[run->first + i].r->local_s;
    qsort(local, n, sizeof *local, compare_doubles);
    return gb_clock_align(local, n, (const double *)(void *)others->data, others->len, usual_zone(card));
}

static void take_alignment(const Card *card, GbRun *run, const GbClockAlignment *answer)
{
    if (!isnan(answer->offset_s))
        run->found.confidence = answer->confidence;
    if (answer->found) {
        run->found.how = GB_CLOCK_ALIGNED;
        run->found.spread_s = answer->spread_s;
    } else {
        run->found.guess_s = answer->offset_s - usual_zone(card);
    }
    for (guint t = run->first; t <= run->last; t++) {
        GbTick *tick = &card->ticks[t];
        if (answer->found) {
            settle_zone(card->zoned, run, tick, answer->offset_s, 0);
            continue;
        }
        double zone = lent_zone_local(card, tick->r->local_s, tick->r);
        set_tick(tick, zone, zone, GB_ZONE_NEAR);
        tick->error_s = 0; /* assumed */
    }
}

/* A run in pairs waits for them. */
static void settle_rest(Card *card, const gboolean *paired)
{
    g_autoptr(GArray) others = known_times(card);
    for (guint i = 0, tried = 0; i < card->runs->len; i++) {
        GbRun *run = run_at(card, i);
        if (run->found.how != GB_CLOCK_NONE)
            continue;
        GbClockAlignment answer = { .offset_s = NAN };
        if (!paired[i] && others->len > 0 && tried++ < MAX_ALIGNED)
            answer = align_run(card, run, others);
        take_alignment(card, run, &answer);
    }
}

/* --- pairs --- */

static guint run_of_reading(const Card *card, guint reading)
{
    return card->run_of[card->tick_of[reading]];
}

static gboolean check_pair(const Card *card, const GbClockPair *pair, GError **error)
{
    const char *wrong = NULL;
    if (pair->shot >= card->n || pair->other >= card->n)
        wrong = "names a shot that is not there";
    else if (card->tick_of[pair->shot] < 0 || card->tick_of[pair->other] < 0)
        wrong = "names a shot without a time of its own";
    else if (card->readings[pair->shot].camera == card->readings[pair->other].camera)
        wrong = "names two shots of one camera";
    if (wrong == NULL)
        return TRUE;
    g_set_error(error, GB_ERROR, GB_ERROR_UNKNOWN, "a pair of shots %s, so no clock was corrected", wrong);
    return FALSE;
}

/* The runs that pairs correct, by run. OWNED by the caller; NULL with error for a pair that can't be. A word outweighs pairs. */
static gboolean *paired_runs(const Card *card, const GbClockPair *pairs, gsize n, GError **error)
{
    g_autofree gboolean *paired = g_new0(gboolean, card->runs->len + 1);
    for (gsize i = 0; i < n; i++) {
        if (!check_pair(card, &pairs[i], error))
            return NULL;
        guint run = run_of_reading(card, pairs[i].shot);
        paired[run] = run_at(card, run)->found.how != GB_CLOCK_SAID;
    }
    return g_steal_pointer(&paired);
}

typedef struct {
    guint run, shot, other; /* the last two are ticks */
} Link;

static int compare_links(const void *a, const void *b)
{
    const Link *x = a, *y = b;
    return (x->run > y->run) - (x->run < y->run);
}

static void settle_by_links(Card *card, const Link *links, gsize n)
{
    GbRun *run = run_at(card, links[0].run);
    g_autofree double *differences = g_new(double, n);
    gboolean utc = TRUE; /* else the trusted shots have but a local time */
    for (gsize i = 0; i < n; i++)
        utc &= !isnan(card->ticks[links[i].other].offset_s);
    for (gsize i = 0; i < n; i++) {
        const GbTick *other = &card->ticks[links[i].other];
        differences[i] = card->ticks[links[i].shot].r->local_s - other->r->local_s + (utc ? other->offset_s : other->error_s);
    }
    double spread, middle = gb_clock_middle(differences, n, &spread);
    run->found.how = GB_CLOCK_PAIRED;
    run->found.used = (guint)n;
    run->found.spread_s = spread;
    for (guint t = run->first; t <= run->last; t++) {
        GbTick *tick = &card->ticks[t];
        if (utc && trusts_tag(run)) {
            /* The difference holds where the shot was taken; the clock's error holds on, whatever the zone. */
            double error = middle - card->ticks[links[0].shot].tag_s;
            set_tick(tick, tick->tag_s + error, tick->tag_s, GB_ZONE_TAG);
        } else if (utc) {
            settle_zone(card->zoned, run, tick, middle, 0);
        } else {
            set_tick(tick, NAN, tick->zone_s, tick->zone_how);
            tick->error_s = middle;
        }
    }
}

static gboolean is_ready(const Card *card, const Link *links, gsize n, const gboolean *waiting)
{
    for (gsize i = 0; i < n; i++)
        if (waiting[card->run_of[links[i].other]])
            return FALSE;
    return TRUE;
}

/* Runs in an order in which each leans on settled ones; waiting[run] ends FALSE. */
static gboolean settle_pairs(Card *card, const GbClockPair *pairs, gsize n_pairs, gboolean *waiting, GError **error)
{
    g_autofree Link *links = g_new(Link, n_pairs + 1);
    gsize n = 0;
    for (gsize i = 0; i < n_pairs; i++) {
        Link link = { run_of_reading(card, pairs[i].shot), (guint)card->tick_of[pairs[i].shot], (guint)card->tick_of[pairs[i].other] };
        if (waiting[link.run])
            links[n++] = link;
    }
    qsort(links, n, sizeof *links, compare_links);
    for (gboolean moved = TRUE, left = n > 0; left; ) {
        moved = left = FALSE;
        for (gsize first = 0, next; first < n; first = next) {
            for (next = first + 1; next < n && links[next].run == links[first].run;)
                next++;
            if (!waiting[links[first].run])
                continue;
            left = TRUE;
            if (!is_ready(card, links + first, next - first, waiting))
                continue;
            settle_by_links(card, links + first, next - first);
            waiting[links[first].run] = FALSE;
            moved = TRUE;
        }
        if (left && !moved) {
            g_set_error_literal(error, GB_ERROR, GB_ERROR_STATE,
                                "the pairs of shots lean on each other in a circle, so no clock was corrected");
            return FALSE;
        }
    }
    return TRUE;
}

/* --- the answer --- */

static void add_stretch(const Card *card, GArray *stretches, guint first, guint last)
{
    const GbTick *tick = &card->ticks[first];
    GbClockStretch stretch = run_at(card, card->run_of[first])->found;
    stretch.first = tick->index;
    stretch.last = card->ticks[last].index;
    stretch.shots = last - first + 1;
    stretch.offset_s = tick->offset_s;
    stretch.error_s = tick->error_s;
    stretch.zone_how = tick->zone_how;
    stretch.zone_min = isnan(tick->zone_s) ? 0 : (int)(tick->zone_s / 60);
    g_array_append_val(stretches, stretch);
}

static gboolean same_stretch(const Card *card, guint a, guint b)
{
    const GbTick *x = &card->ticks[a], *y = &card->ticks[b];
    return card->run_of[a] == card->run_of[b] && x->zone_how == y->zone_how &&
           (x->zone_s == y->zone_s || (isnan(x->zone_s) && isnan(y->zone_s))) &&
           !(fabs(x->offset_s - y->offset_s) > 0.001);
}

static void set_time(GbClockTime *time, const GbTick *tick, const GbClockStretch *stretch, int number)
{
    double reading = tick->r->local_s;
    *time = (GbClockTime){
        .reading_s = reading, .correction_s = 0 - tick->error_s, .local_s = reading - tick->error_s,
        .utc_s = reading - tick->offset_s, .zone_how = stretch->zone_how, .zone_min = stretch->zone_min, .how = stretch->how,
        .stretch = number,
    };
}

/* A shot without a reading has at best its own GPS time. */
static GbClockTime time_without_reading(const Card *card, const GbReading *r)
{
    GbClockTime time = { .reading_s = NAN, .correction_s = NAN, .local_s = NAN, .utc_s = r->gps_utc_s,
                         .how = isnan(r->gps_utc_s) ? GB_CLOCK_NONE : GB_CLOCK_GPS, .stretch = -1 };
    double zone = r->has_offset ? r->offset_min * 60.0 : lent_zone(card->zoned, time.utc_s, r);
    if (!isnan(zone)) {
        time.zone_how = r->has_offset ? GB_ZONE_TAG : GB_ZONE_NEAR;
        time.zone_min = (int)(zone / 60);
        time.local_s = time.utc_s + zone;
    }
    return time;
}

static void make_times(const Card *card, GbClockCard *out)
{
    out->n = card->n;
    out->times = g_new(GbClockTime, card->n);
    for (gsize i = 0; i < card->n; i++)
        if (card->tick_of[i] < 0)
            out->times[i] = time_without_reading(card, &card->readings[i]);
    GArray *stretches = g_array_new(FALSE, FALSE, sizeof(GbClockStretch));
    for (guint first = 0, next; first < card->n_ticks; first = next) {
        for (next = first + 1; next < card->n_ticks && same_stretch(card, first, next);)
            next++;
        add_stretch(card, stretches, first, next - 1);
        int number = (int)stretches->len - 1;
        for (guint t = first; t < next; t++)
            set_time(&out->times[card->ticks[t].index], &card->ticks[t],
                     &g_array_index(stretches, GbClockStretch, number), number);
    }
    out->n_stretches = stretches->len;
    out->stretches = (GbClockStretch *)(void *)g_array_free(stretches, FALSE);
}

/* --- order --- */

typedef struct {
    double key_s, reading_s;
    const char *name;
    guint index;
} Place;

/* Unknown comes last. */
static int compare_times(double a, double b)
{
    if (isnan(a) || isnan(b))
        return isnan(a) - isnan(b);
    return (a > b) - (a < b);
}

static int compare_places(const void *a, const void *b)
{
    const Place *x = a, *y = b;
    int by = compare_times(x->key_s, y->key_s);
    if (by == 0)
        by = compare_times(x->reading_s, y->reading_s);
    if (by == 0)
        by = g_strcmp0(x->name, y->name);
    return by != 0 ? by : (x->index > y->index) - (x->index < y->index);
}

static void make_order(const Card *card, GbClockCard *out)
{
    g_autofree Place *places = g_new(Place, card->n + 1);
    double usual = usual_zone(card);
    for (gsize i = 0; i < card->n; i++) {
        const GbClockTime *t = &out->times[i];
        double key = !isnan(t->utc_s) ? t->utc_s : t->local_s - (isnan(usual) ? 0 : usual);
        places[i] = (Place){ key, t->reading_s, card->readings[i].name, (guint)i };
    }
    qsort(places, card->n, sizeof *places, compare_places);
    out->order = g_new(guint, card->n);
    for (gsize i = 0; i < card->n; i++)
        out->order[i] = places[i].index;
}

/* --- the card --- */

static void take_words(Card *card, const GbClockWord *words, gsize n)
{
    card->words = g_hash_table_new(NULL, NULL);
    for (gsize i = 0; i < n; i++)
        g_hash_table_insert(card->words, GUINT_TO_POINTER(words[i].camera), (void *)&words[i].error_s);
}

GbClockCard *gb_clock_card(const GbReading *readings, gsize n, const GbClockPair *pairs, gsize n_pairs,
                           const GbClockWord *words, gsize n_words, GError **error)
{
    g_auto(Card) card = { .readings = readings, .n = n };
    make_ticks(&card);
    make_runs(&card);
    take_words(&card, words, n_words);
    settle_tags(&card);
    card.tagged = collect_lenders(&card, TRUE);
    settle_gps(&card);
    card.zoned = collect_lenders(&card, FALSE);
    settle_words(&card);
    g_autofree gboolean *waiting = paired_runs(&card, pairs, n_pairs, error);
    if (waiting == NULL)
        return NULL;
    settle_rest(&card, waiting);
    if (!settle_pairs(&card, pairs, n_pairs, waiting, error))
        return NULL;
    g_autoptr(GbClockCard) out = g_new0(GbClockCard, 1);
    make_times(&card, out);
    make_order(&card, out);
    return g_steal_pointer(&out);
}

void gb_clock_card_free(GbClockCard *card)
{
    if (card == NULL)
        return;
    g_free(card->times);
    g_free(card->order);
    g_free(card->stretches);
    g_free(card);
}
