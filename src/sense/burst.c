/* burst.c -- flaws, near-duplicates, the best of a group. See burst.h.
 *
 * Shots are sorted by camera and time; the shots of one camera make its card. What is usual on a card is the median of each
 * measure and its spread (1.4826 times the median distance from the median: the standard deviation, were the measures normal),
 * which a few bad shots can't move. A flaw takes two things: a measure that is bad by itself, at bounds wide enough that the best
 * camera's worst subject stays within, and, unless it is bad beyond doubt, one that stands out from the card.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <gablebook/burst.h>

#include <math.h>

/* Standard deviations of a smear: in thousandths of the longest side, but no less than what the plane's own pixels can show.
 * 1.4 smear an edge over 3.6 px of a figure 1000 px wide: plainly seen there. */
#define BLURRED_PERMILLE 1.4
#define BLURRED_LEAST_PX 1.1
#define SOFT_PERMILLE 1.1
#define SOFT_LEAST_PX 0.9
#define SOFT_SPREADS 3.0
#define SPREAD_LEAST_PERMILLE 0.05 /* a card of sharp shots all alike has no spread, but no use of one either */
#define SOFT_SHARE 0.5             /* of the sharpness of the best of the group */
#define SHARPER 1.1                /* times as sharp: less is chance */

#define FULL_WHITE 240.0 /* half the picture so light, or ... */
#define FULL_BLACK 15.0  /* ... so dark, is lost whatever the rest of the card is like */
#define LOST_SHARE 0.01  /* of the pixels white (black): the sensor was at its end */
#define OVER_MIDDLE 170.0
#define OVER_DARK 80.0 /* not even the darkest twentieth is dark: light walls and snow keep their shadows */
#define UNDER_MIDDLE 60.0
#define UNDER_LIGHT 110.0 /* not even the lightest twentieth is light: in a dark attic the flash lights something */
#define EXPOSURE_SPREADS 2.0
#define SPREAD_LEAST_MIDDLE 5.0

#define RETAKE_S 30.0
#define LOOK_BACK 64 /* shots; a camera takes no more in RETAKE_S, whatever a file claims */

typedef struct {
    int group;
    gsize best;
    char *why[GB_FLAWS];
} Verdict;

struct GbBurst {
    gsize n;
    int groups;
    Verdict *verdicts;
};

/* --- what is usual --- */

typedef struct {
    double median, spread;
} Usual;

typedef struct {
    gboolean known; /* enough shots */
    Usual smear, middle;
} Card;

static int compare_doubles(gconstpointer a, gconstpointer b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

static double median(GArray *values)
{
    g_array_sort(values, compare_doubles);
    guint half = values->len / 2;
    double upper = g_array_index(values, double, half);
    return values->len % 2 == 1 ? upper : (g_array_index(values, double, half - 1) + upper) / 2;
}

static Usual usual_of(GArray *values, double least_spread)
{
    if (values->len == 0)
        return (Usual){ NAN, NAN };
    Usual usual = { .median = median(values) };
    for (guint i = 0; i < values->len; i++)
        g_array_index(values, double, i) = fabs(g_array_index(values, double, i) - usual.median);
    usual.spread = fmax(1.4826 * median(values), least_spread);
    return usual;
}

static double smear_permille(const GbQuality *q)
{
    return 1000 * q->smear_px / q->smear_side_px;
}

static gboolean is_sound(const GbBurstShot *shot)
{
    return shot->measured && !shot->damaged;
}

static Card card_of(const GbBurstShot *const *shots, gsize n)
{
    g_autoptr(GArray) smears = g_array_new(FALSE, FALSE, sizeof(double));
    g_autoptr(GArray) middles = g_array_new(FALSE, FALSE, sizeof(double));
    for (gsize i = 0; i < n; i++) {
        double smear = smear_permille(&shots[i]->quality);
        if (!is_sound(shots[i]))
            continue;
        g_array_append_val(middles, shots[i]->quality.middle);
        if (!isnan(smear))
            g_array_append_val(smears, smear);
    }
    return (Card){ .known = smears->len >= GB_BURST_CARD,
                   .smear = usual_of(smears, SPREAD_LEAST_PERMILLE),
                   .middle = usual_of(middles, SPREAD_LEAST_MIDDLE) };
}

/* --- flaws of one shot --- */

static double edge_of_1000(const GbQuality *q)
{
    return 2.563 * smear_permille(q); /* from 10 to 90 % of a Gaussian step */
}

/* "3.6", the same in every locale: reasons stand in reports. OWNED by the caller. */
static char *px_text(double px)
{
    char text[G_ASCII_DTOSTR_BUF_SIZE];
    return g_strdup(g_ascii_formatd(text, sizeof text, "%.1f", px));
}

static void judge_sharpness(Verdict *v, const GbQuality *q, const Card *card)
{
    g_autofree char *edge = px_text(edge_of_1000(q)), *usual = px_text(2.563 * card->smear.median);
    if (q->smear_px >= fmax(BLURRED_LEAST_PX, BLURRED_PERMILLE * q->smear_side_px / 1000))
        v->why[GB_FLAW_BLURRED] = g_strdup_printf(
            "even its sharpest edges are smeared over %s px of a picture 1000 px wide", edge);
    else if (card->known && q->smear_px >= fmax(SOFT_LEAST_PX, SOFT_PERMILLE * q->smear_side_px / 1000) &&
             smear_permille(q) > card->smear.median + SOFT_SPREADS * card->smear.spread)
        v->why[GB_FLAW_SOFT] = g_strdup_printf(
            "its sharpest edges are smeared over %s px of a picture 1000 px wide; usual for this camera's photos is %s", edge, usual);
}

static gboolean is_lighter_than_usual(const GbQuality *q, const Card *card)
{
    return !card->known || q->middle >= card->middle.median + EXPOSURE_SPREADS * card->middle.spread;
}

static gboolean is_darker_than_usual(const GbQuality *q, const Card *card)
{
    return !card->known || q->middle <= card->middle.median - EXPOSURE_SPREADS * card->middle.spread;
}

static char *than_usual(const Card *card)
{
    return card->known ? g_strdup_printf(" (usual for this camera's photos: %.0f)", card->middle.median) : g_strdup("");
}

static void judge_exposure(Verdict *v, const GbQuality *q, const Card *card)
{
    g_autofree char *usual = than_usual(card);
    if (q->middle >= FULL_WHITE)
        v->why[GB_FLAW_OVEREXPOSED] = g_strdup("more than half of it is white");
    else if (q->middle <= FULL_BLACK)
        v->why[GB_FLAW_UNDEREXPOSED] = g_strdup("more than half of it is black");
    else if (q->middle >= OVER_MIDDLE && q->dark >= OVER_DARK && q->white >= LOST_SHARE && is_lighter_than_usual(q, card))
        v->why[GB_FLAW_OVEREXPOSED] = g_strdup_printf(
            "%.0f %% of it is white and nothing in it is dark; half of it is lighter than %.0f of 255%s", 100 * q->white,
            q->middle, usual);
    else if (q->middle <= UNDER_MIDDLE && q->light <= UNDER_LIGHT && q->black >= LOST_SHARE && is_darker_than_usual(q, card))
        v->why[GB_FLAW_UNDEREXPOSED] = g_strdup_printf(
            "%.0f %% of it is black and nothing in it is light; half of it is darker than %.0f of 255%s", 100 * q->black,
            q->middle, usual);
}

/* --- groups --- */

static int compare_shots(gconstpointer a, gconstpointer b)
{
    const GbBurstShot *x = *(const GbBurstShot *const *)a, *y = *(const GbBurstShot *const *)b;
    if (x->camera != y->camera)
        return x->camera < y->camera ? -1 : 1;
    if (isnan(x->time_s) != isnan(y->time_s))
        return isnan(x->time_s) ? 1 : -1; /* unknown times last, so that the known stand together */
    if (x->time_s != y->time_s && !isnan(x->time_s))
        return x->time_s < y->time_s ? -1 : 1;
    return x < y ? -1 : x > y; /* in the order given */
}

/* The sooner the next shot, the more of the 64 bits may have been changed by a moving hand or another exposure. Unlike views of the
 * rendered day lie 13 bits apart and more, but two bare walls may lie 7. */
static gboolean is_alike(const GbBurstShot *earlier, const GbBurstShot *later)
{
    static const struct { double gap_s; int bits; } bounds[] = { { 3, 16 }, { 10, 12 }, { RETAKE_S, 10 } };
    if (!earlier->measured || !later->measured || !earlier->quality.hashed || !later->quality.hashed)
        return FALSE;
    double gap_s = later->time_s - earlier->time_s;
    int bits = gb_quality_hash_distance(earlier->quality.hash, later->quality.hash);
    for (gsize i = 0; i < G_N_ELEMENTS(bounds); i++)
        if (gap_s <= bounds[i].gap_s && bits <= bounds[i].bits)
            return TRUE;
    return FALSE;
}

/* The place in sorted of the last shot before i that i repeats; i when there is none. */
static gsize find_alike(const GbBurstShot *const *sorted, gsize i)
{
    for (gsize back = 1; back <= MIN(i, LOOK_BACK); back++) {
        const GbBurstShot *earlier = sorted[i - back];
        if (earlier->camera != sorted[i]->camera || !(sorted[i]->time_s - earlier->time_s <= RETAKE_S))
            break;
        if (is_alike(earlier, sorted[i]))
            return i - back;
    }
    return i;
}

static gboolean is_badly_exposed(const Verdict *v)
{
    return v->why[GB_FLAW_OVEREXPOSED] != NULL || v->why[GB_FLAW_UNDEREXPOSED] != NULL;
}

/* Whether a is the better picture; equal ones: neither. *because, if not NULL, says what makes it so. */
static gboolean is_better(const GbBurstShot *a, const Verdict *va, const GbBurstShot *b, const Verdict *vb, const char **because)
{
    const struct { gboolean good, other; const char *text; } tests[] = {
        { is_sound(a), is_sound(b), "is whole" },
        { !is_badly_exposed(va), !is_badly_exposed(vb), "is better exposed" },
        { va->why[GB_FLAW_BLURRED] == NULL, vb->why[GB_FLAW_BLURRED] == NULL, "is not blurred" },
        { a->quality.sharpness > SHARPER * b->quality.sharpness, b->quality.sharpness > SHARPER * a->quality.sharpness, "is sharper" },
    };
    for (gsize i = 0; i < G_N_ELEMENTS(tests); i++)
        if (tests[i].good != tests[i].other) {
            if (because != NULL)
                *because = tests[i].text;
            return tests[i].good;
        }
    return FALSE;
}

static void say_what_is_better(GbBurst *burst, const GbBurstShot *shots, gsize i)
{
    Verdict *v = &burst->verdicts[i];
    const GbBurstShot *best = &shots[v->best];
    const char *because = "is as good and came first";
    if (v->best == i)
        return;
    is_better(best, &burst->verdicts[v->best], &shots[i], v, &because);
    v->why[GB_FLAW_DUPLICATE] = g_strdup_printf("nearly the same picture as number %" G_GINT64_FORMAT ", which %s",
                                                best->number, because);
    if (is_sound(&shots[i]) && v->why[GB_FLAW_BLURRED] == NULL && v->why[GB_FLAW_SOFT] == NULL &&
        shots[i].quality.sharpness < SOFT_SHARE * best->quality.sharpness)
        v->why[GB_FLAW_SOFT] = g_strdup_printf("shows %.0f %% of the fine detail of number %" G_GINT64_FORMAT
                                               ", nearly the same picture",
                                               100 * shots[i].quality.sharpness / best->quality.sharpness, best->number);
}

/* Each shot joins the group of the one that it repeats; best[g] is the best of group g so far. */
static void group(GbBurst *burst, const GbBurstShot *shots, const GbBurstShot *const *sorted)
{
    g_autoptr(GArray) best = g_array_new(FALSE, FALSE, sizeof(gsize));
    for (gsize i = 0; i < burst->n; i++) {
        gsize alike = find_alike(sorted, i), at = (gsize)(sorted[i] - shots), other = (gsize)(sorted[alike] - shots);
        Verdict *v = &burst->verdicts[at], *first = &burst->verdicts[other];
        if (alike == i)
            continue;
        if (first->group < 0) {
            first->group = (int)best->len;
            g_array_append_val(best, other);
        }
        v->group = first->group;
        gsize *so_far = &g_array_index(best, gsize, v->group);
        if (is_better(sorted[i], v, &shots[*so_far], &burst->verdicts[*so_far], NULL))
            *so_far = at;
    }
    burst->groups = (int)best->len;
    for (gsize i = 0; i < burst->n; i++)
        if (burst->verdicts[i].group >= 0)
            burst->verdicts[i].best = g_array_index(best, gsize, burst->verdicts[i].group);
}

/* --- all of it --- */

static void judge_card(GbBurst *burst, const GbBurstShot *shots, const GbBurstShot *const *sorted, gsize n, const Card *all)
{
    Card own = card_of(sorted, n);
    const Card *card = own.known ? &own : all; /* a second camera with a handful of shots */
    for (gsize i = 0; i < n; i++) {
        Verdict *v = &burst->verdicts[sorted[i] - shots];
        if (!is_sound(sorted[i]))
            continue;
        judge_sharpness(v, &sorted[i]->quality, card);
        judge_exposure(v, &sorted[i]->quality, card);
    }
}

GbBurst *gb_burst_judge(const GbBurstShot *shots, gsize n)
{
    GbBurst *burst = g_new0(GbBurst, 1);
    *burst = (GbBurst){ .n = n, .verdicts = g_new0(Verdict, n) };
    g_autoptr(GPtrArray) sorted = g_ptr_array_new();
    for (gsize i = 0; i < n; i++) {
        burst->verdicts[i] = (Verdict){ .group = -1, .best = i };
        g_ptr_array_add(sorted, (gpointer)&shots[i]);
    }
    g_ptr_array_sort(sorted, compare_shots);
    const GbBurstShot *const *in_order = (const GbBurstShot *const *)sorted->pdata;
    Card all = card_of(in_order, n);
    for (gsize from = 0, to; from < n; from = to) {
        for (to = from + 1; to < n && in_order[to]->camera == in_order[from]->camera; to++)
            ;
        judge_card(burst, shots, in_order + from, to - from, &all);
    }
    group(burst, shots, in_order);
    for (gsize i = 0; i < n; i++)
        say_what_is_better(burst, shots, i);
    return burst;
}

void gb_burst_free(GbBurst *burst)
{
    if (burst == NULL)
        return;
    for (gsize i = 0; i < burst->n; i++)
        for (int flaw = 0; flaw < GB_FLAWS; flaw++)
            g_free(burst->verdicts[i].why[flaw]);
    g_free(burst->verdicts);
    g_free(burst);
}

const char *gb_burst_why(const GbBurst *burst, gsize i, GbFlaw flaw)
{
    g_return_val_if_fail(i < burst->n && flaw < GB_FLAWS, NULL);
    return burst->verdicts[i].why[flaw];
}

int gb_burst_group(const GbBurst *burst, gsize i)
{
    g_return_val_if_fail(i < burst->n, -1);
    return burst->verdicts[i].group;
}

int gb_burst_groups(const GbBurst *burst)
{
    return burst->groups;
}

gsize gb_burst_best(const GbBurst *burst, gsize i)
{
    g_return_val_if_fail(i < burst->n, i);
    return burst->verdicts[i].best;
}

const char *gb_flaw_text(GbFlaw flaw)
{
    static const char *const texts[GB_FLAWS] = { "blurred", "soft", "overexposed", "underexposed", "near-duplicate" };
    g_return_val_if_fail(flaw < GB_FLAWS, NULL);
    return texts[flaw];
}

gboolean gb_flaw_weakens(GbFlaw flaw)
{
    return flaw == GB_FLAW_BLURRED || flaw == GB_FLAW_OVEREXPOSED || flaw == GB_FLAW_UNDEREXPOSED;
}
