/* bench_suggest.c -- how good are the suggestions? Run by make bench-suggest.
 *
 *   bench_suggest [--seed N] [--inspections N] [--truth demo-photos/truth.csv] [--fit]
 *
 * Three lots of invented inspections (tests/inspection.h): the usual errors (5 m, 10 degrees), any errors, and any errors with
 * the front azimuth told. Each is estimated after 0, 1, 4 and 10 tags on shots at random, then after 4 that the program
 * itself asks for. Only shots without a tag are counted. Then the demo card, then time.
 *
 * --fit prints calibration constants for src/sense/facing_confidence.c; use another seed for it than for measuring.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "../inspection.h"

#include <math.h>

#define DEFAULT_SEED 2026
#define DEFAULT_COUNT 200 /* in each of three lots */

enum { BINS = 10 };
enum { FRONT, RIGHT, REAR, LEFT, ROOF, SITE, OUTBUILDING, ROOM, GROUPS };
static const char *const group_words[GROUPS] = { "front", "right", "rear", "left", "roof, slopes", "site", "outbuildings", "rooms" };

static const struct { const char *words; gsize tags; gboolean asked; } stages[] = {
    { "no tag", 0, FALSE }, { "1 tag", 1, FALSE }, { "4 tags", 4, FALSE }, { "10 tags", 10, FALSE }, { "4 tags asked for", 4, TRUE },
};
#define STAGES G_N_ELEMENTS(stages)

/* What is counted, of one inspection or of all. */
typedef struct {
    guint right[GROUPS], all[GROUPS];
    guint bin_right[BINS], bin_all[BINS];
    double bin_sum[BINS];
    guint band_right, band_all;  /* confidence 0.85 to 0.95 */
    guint sure_right, sure_all;  /* 0.9 and more */
    guint wall_right, wall_all;
    guint distance_right, distance_all;
    guint silent;
    double surprise; /* sum of -ln of the probability that the truth had */
} Tally;

typedef struct {
    Tally stage[STAGES];
    double front_off, centre_off;
    GArray *pairs[STAGES]; /* of Pair, for --fit */
} Result;

typedef struct {
    double odds;
    gboolean right;
} Pair;

typedef struct {
    guint32 seed;
    gboolean fit;
    InspectionKind kind;
    Result *results;
} Lot;

static int group_of(const GbFacingPlace *place)
{
    if (place->kind == GB_PLACE_SITE)
        return SITE;
    if (place->structure != 0)
        return OUTBUILDING;
    if (place->kind == GB_PLACE_ELEVATION)
        return (int)place->face;
    return place->kind == GB_PLACE_ROOM ? ROOM : place->kind == GB_PLACE_WHOLE ? SITE : ROOF;
}

static void count_shot(const Inspection *inspection, const GbFacing *facing, gsize i, Tally *tally)
{
    const GbFacingAnswer *answer = gb_facing_answer(facing, i);
    int truth = g_array_index(inspection->truth, int, i);
    gboolean right = answer->place == truth;
    int group = group_of(&g_array_index(inspection->places, GbFacingPlace, truth));
    int bin = MIN((int)(answer->confidence * BINS), BINS - 1);
    tally->all[group]++;
    tally->right[group] += right;
    tally->bin_all[bin]++;
    tally->bin_right[bin] += right;
    tally->bin_sum[bin] += answer->confidence;
    tally->silent += answer->place < 0;
    tally->surprise -= log(MAX(gb_facing_probability(facing, i, (gsize)truth), 1e-4));
    if (answer->confidence >= 0.85 && answer->confidence < 0.95) {
        tally->band_all++;
        tally->band_right += right;
    }
    if (answer->confidence >= 0.9) {
        tally->sure_all++;
        tally->sure_right += right;
    }
    if (!inspection_is_elevation(inspection, i))
        return;
    tally->wall_all++;
    tally->wall_right += right;
    GbDistance likely = GB_DISTANCE_OVERVIEW;
    for (GbDistance d = GB_DISTANCE_MID; d < GB_DISTANCES; d++)
        likely = answer->distance[d] > answer->distance[likely] ? d : likely;
    tally->distance_all++;
    tally->distance_right += likely == g_array_index(inspection->distance, GbDistance, i);
}

static void count_inspection(const Inspection *inspection, const GbFacing *facing, Tally *tally, GArray *pairs)
{
    for (guint i = 0; i < inspection->shots->len; i++) {
        if (g_array_index(inspection->shots, GbFacingShot, i).place >= 0)
            continue;
        count_shot(inspection, facing, i, tally);
        const GbFacingAnswer *answer = gb_facing_answer(facing, i);
        double p = CLAMP(answer->confidence, 1e-6, 1 - 1e-6);
        Pair pair = { log(p / (1 - p)), answer->place == g_array_index(inspection->truth, int, i) };
        if (pairs != NULL && answer->place >= 0)
            g_array_append_val(pairs, pair);
    }
}

static GbFacing *estimate(const Inspection *inspection)
{
    GbFacingInput input = inspection_input(inspection);
    GError *error = NULL;
    GbFacing *facing = gb_facing_estimate(&input, &error);
    if (facing == NULL)
        g_error("%s", error->message);
    return facing;
}

static double front_off(const Inspection *inspection, const GbFacing *facing)
{
    return fabs(remainder(gb_facing_house(facing)->front_azimuth_deg - inspection->front_deg, 360));
}

static void measure(gpointer index, gpointer data)
{
    Lot *lot = data;
    guint i = GPOINTER_TO_UINT(index) - 1;
    Result *result = &lot->results[i];
    guint32 seed = lot->seed * 1000003u + i;
    for (guint s = 0; s < STAGES; s++) {
        g_autoptr(Inspection) inspection = inspection_new(seed, &lot->kind);
        if (stages[s].asked)
            for (gsize t = 0; t < stages[s].tags; t++) {
                g_autoptr(GbFacing) before = estimate(inspection);
                inspection_tag(inspection, 1, before, seed);
            }
        else
            inspection_tag(inspection, stages[s].tags, NULL, seed + 1);
        g_autoptr(GbFacing) facing = estimate(inspection);
        if (lot->fit)
            result->pairs[s] = g_array_new(FALSE, FALSE, sizeof(Pair));
        count_inspection(inspection, facing, &result->stage[s], result->pairs[s]);
        if (s > 0)
            continue;
        const GbFacingHouse *house = gb_facing_house(facing);
        result->front_off = front_off(inspection, facing);
        result->centre_off = hypot(house->east_m - inspection->east_m, house->north_m - inspection->north_m);
    }
}

static int by_value(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

static double median(double *values, guint n)
{
    qsort(values, n, sizeof *values, by_value);
    return n == 0 ? (double)NAN : n % 2 ? values[n / 2] : (values[n / 2 - 1] + values[n / 2]) / 2;
}

static void add_tally(const Tally *one, Tally *sum)
{
    for (guint g = 0; g < GROUPS; g++) {
        sum->right[g] += one->right[g];
        sum->all[g] += one->all[g];
    }
    for (guint b = 0; b < BINS; b++) {
        sum->bin_right[b] += one->bin_right[b];
        sum->bin_all[b] += one->bin_all[b];
        sum->bin_sum[b] += one->bin_sum[b];
    }
    sum->band_right += one->band_right;
    sum->band_all += one->band_all;
    sum->sure_right += one->sure_right;
    sum->sure_all += one->sure_all;
    sum->wall_right += one->wall_right;
    sum->wall_all += one->wall_all;
    sum->distance_right += one->distance_right;
    sum->distance_all += one->distance_all;
    sum->silent += one->silent;
    sum->surprise += one->surprise;
}

static double share(guint right, guint all)
{
    return all > 0 ? (double)right / all : (double)NAN;
}

static guint shots_of(const Tally *tally)
{
    guint all = 0;
    for (guint g = 0; g < GROUPS; g++)
        all += tally->all[g];
    return all;
}

static double wall_median(const Result *results, guint n, guint stage)
{
    g_autofree double *values = g_new(double, n);
    guint used = 0;
    for (guint i = 0; i < n; i++)
        if (results[i].stage[stage].wall_all > 0)
            values[used++] = share(results[i].stage[stage].wall_right, results[i].stage[stage].wall_all);
    return median(values, used);
}

static void print_house(const Result *results, guint n)
{
    g_autofree double *front = g_new(double, n);
    g_autofree double *centre = g_new(double, n);
    guint quarter = 0;
    for (guint i = 0; i < n; i++) {
        front[i] = results[i].front_off;
        centre[i] = results[i].centre_off;
        quarter += results[i].front_off < 45;
    }
    printf("  no tag: front azimuth off by %.1f deg (median), by less than 45 deg in %.0f %%; centre off by %.1f m (median)\n",
           median(front, n), 100.0 * quarter / n, median(centre, n));
}

static void print_places(const Tally *sums)
{
    printf("  %-18s", "right by place");
    for (guint g = 0; g < GROUPS; g++)
        printf(" %12s", group_words[g]);
    printf("\n");
    for (guint s = 0; s < STAGES; s++) {
        printf("  %-18s", stages[s].words);
        for (guint g = 0; g < GROUPS; g++)
            printf(" %12.3f", share(sums[s].right[g], sums[s].all[g]));
        printf("\n");
    }
}

static void print_calibration(const Tally *sums)
{
    printf("  %-18s", "stated confidence");
    for (guint b = 0; b < BINS; b++)
        printf("   %.1f-%.1f", b / 10.0, (b + 1) / 10.0);
    printf("  0.85-0.95\n");
    for (guint s = 0; s < STAGES; s++) {
        printf("  %-18s", stages[s].words);
        for (guint b = 0; b < BINS; b++)
            printf("  %8.3f", share(sums[s].bin_right[b], sums[s].bin_all[b]));
        printf("  %8.3f\n", share(sums[s].band_right, sums[s].band_all));
    }
}

/* Offset and slope of the log odds by maximum likelihood: Newton's method. */
static void fit_row(const char *row, GArray *pairs)
{
    double a = 0, b = 1;
    for (int step = 0; step < 30; step++) {
        double ga = 0, gb = 0, haa = 1e-9, hab = 0, hbb = 1e-9;
        for (guint i = 0; i < pairs->len; i++) {
            const Pair *pair = &g_array_index(pairs, Pair, i);
            double p = 1 / (1 + exp(-(a + b * pair->odds))), off = pair->right - p, v = p * (1 - p);
            ga += off;
            gb += off * pair->odds;
            haa += v;
            hab += v * pair->odds;
            hbb += v * pair->odds * pair->odds;
        }
        double det = haa * hbb - hab * hab;
        a += (ga * hbb - gb * hab) / det;
        b += (gb * haa - ga * hab) / det;
    }
    printf("  fit %s: offset = %.3f + %.3f x the present, slope = %.3f x the present (%u shots)\n", row, a, b, b, pairs->len);
}

/* The rows of the table in src/sense/facing_confidence.c. */
enum { FITS = 6 };
static const char *const fit_words[FITS] = { "no tag",
                                             "1 to 3 tags",
                                             "4 tags and more",
                                             "no tag, front given",
                                             "1 to 3 tags, front given",
                                             "4 tags and more, front given" };

static void collect(const Result *results, guint n, gboolean front_given, GArray **fits)
{
    for (guint s = 0; s < STAGES; s++) {
        gsize tags = stages[s].tags;
        guint row = (tags >= 4 ? 2 : tags > 0 ? 1 : 0) + (front_given ? 3 : 0);
        for (guint i = 0; i < n; i++)
            g_array_append_vals(fits[row], results[i].pairs[s]->data, results[i].pairs[s]->len);
    }
}

static void target(const char *what, double seen, double low, double high)
{
    printf("  target %-62s %.3f  %s\n", what, seen, seen >= low && seen <= high ? "HOLDS" : "MISSED");
}

static void run_lot(const char *title, guint32 seed, guint n, const InspectionKind *kind, GArray **fits, gboolean targets)
{
    Lot lot = { seed, fits != NULL, *kind, g_new0(Result, n) };
    GThreadPool *pool = g_thread_pool_new(measure, &lot, (gint)g_get_num_processors(), FALSE, NULL);
    for (guint i = 0; i < n; i++)
        g_thread_pool_push(pool, GUINT_TO_POINTER(i + 1), NULL);
    g_thread_pool_free(pool, FALSE, TRUE);

    Tally sums[STAGES] = { 0 };
    for (guint i = 0; i < n; i++)
        for (guint s = 0; s < STAGES; s++)
            add_tally(&lot.results[i].stage[s], &sums[s]);
    printf("\n%s: %u inspections, %u shots\n", title, n, shots_of(&sums[0]));
    print_house(lot.results, n);
    printf("  %-18s %20s %12s %18s %14s %15s %15s\n", "", "walls right, median", "walls, all", "all places, all", "covered at 0.9",
           "of those right", "mean surprise");
    for (guint s = 0; s < STAGES; s++) {
        guint right = 0;
        for (guint g = 0; g < GROUPS; g++)
            right += sums[s].right[g];
        printf("  %-18s %20.3f %12.3f %18.3f %14.3f %15.3f %15.3f\n", stages[s].words, wall_median(lot.results, n, s),
               share(sums[s].wall_right, sums[s].wall_all), share(right, shots_of(&sums[s])), share(sums[s].sure_all, shots_of(&sums[s])),
               share(sums[s].sure_right, sums[s].sure_all), sums[s].surprise / shots_of(&sums[s]));
    }
    print_places(sums);
    print_calibration(sums);
    printf("  distance (overview, mid-range, close-up) right at walls, no tag: %.3f; no suggestion: %.3f\n",
           share(sums[0].distance_right, sums[0].distance_all), share(sums[0].silent, shots_of(&sums[0])));
    if (targets) {
        target("walls right with no tag, median, at least 0.80:", wall_median(lot.results, n, 0), 0.80, 1);
        target("walls right after 4 tags at random, median, at least 0.92:", wall_median(lot.results, n, 2), 0.92, 1);
        target("walls right after 4 tags asked for, median, at least 0.92:", wall_median(lot.results, n, 4), 0.92, 1);
    }
    for (guint s = 0; s < STAGES; s++) {
        g_autofree char *what = g_strdup_printf("right at stated 0.85-0.95, %s, 0.87 to 0.95:", stages[s].words);
        target(what, share(sums[s].band_right, sums[s].band_all), 0.87, 0.95);
    }
    if (fits != NULL)
        collect(lot.results, n, kind->front_given, fits);
    for (guint i = 0; i < n && fits != NULL; i++)
        for (guint s = 0; s < STAGES; s++)
            g_array_unref(lot.results[i].pairs[s]);
    g_free(lot.results);
}

/* --- the demo card --- */

static void run_demo(const char *path, gboolean front_given)
{
    g_autofree char *text = NULL;
    g_autoptr(GError) error = NULL;
    if (path == NULL || !g_file_get_contents(path, &text, NULL, &error)) {
        printf("\nThe demo card was not measured: %s\n", error != NULL ? error->message : "no --truth");
        return;
    }
    g_autofree char *photos = g_path_get_dirname(path);
    g_autoptr(GbCard) card = gb_card_read((const char *const[]){ photos, NULL });
    printf("\nThe demo card, front %s (times, positions and headings as its photos carry them, held against truth.csv)\n",
           front_given ? "given" : "unknown");
    for (guint s = 0; s < STAGES; s++) {
        g_autoptr(Inspection) demo = inspection_demo(text, card);
        if (front_given)
            g_array_index(demo->structures, GbFacingStructure, 0).front_azimuth_deg = demo->front_deg;
        for (gsize t = 0; t < stages[s].tags; t++) {
            g_autoptr(GbFacing) before = estimate(demo);
            inspection_tag(demo, 1, stages[s].asked ? before : NULL, 5 + (guint32)t);
        }
        g_autoptr(GbFacing) facing = estimate(demo);
        Tally tally = { 0 };
        count_inspection(demo, facing, &tally, NULL);
        guint right = 0;
        for (guint g = 0; g < GROUPS; g++)
            right += tally.right[g];
        printf("  %-18s walls %2u of %2u, all places %2u of %2u; at 0.9 and more: %2u of %2u right; front %.0f +- %.0f deg\n",
               stages[s].words, tally.wall_right, tally.wall_all, right, shots_of(&tally), tally.sure_right, tally.sure_all,
               gb_facing_house(facing)->front_azimuth_deg, gb_facing_house(facing)->front_spread_deg);
    }
}

/* --- time --- */

static double seconds_for(gsize shots)
{
    g_autoptr(Inspection) inspection = inspection_long(7, shots);
    gint64 start = g_get_monotonic_time();
    g_autoptr(GbFacing) facing = estimate(inspection);
    return (double)(g_get_monotonic_time() - start) / 1e6;
}

static void run_time(void)
{
    printf("\nTime, one thread (22 places)\n");
    double last = NAN, before = NAN;
    for (gsize shots = 100; shots <= 20000; shots = shots == 100 ? 1250 : shots * 2) {
        before = last;
        last = seconds_for(shots);
        printf("  %6" G_GSIZE_FORMAT " shots %8.3f s\n", shots, last);
        if (shots == 10000)
            target("seconds for 10,000 shots, at most 1:", last, 0, 1);
    }
    target("20,000 shots over 10,000, at most 2.3 (linear):", last / before, 0, 2.3);
}

int main(int argc, char **argv)
{
    gint seed = DEFAULT_SEED, count = DEFAULT_COUNT;
    gboolean with_fit = FALSE, quick = FALSE;
    g_autofree char *truth = NULL;
    const GOptionEntry entries[] = {
        { "seed", 0, 0, G_OPTION_ARG_INT, &seed, "of the invented inspections", "N" },
        { "inspections", 0, 0, G_OPTION_ARG_INT, &count, "in each lot", "N" },
        { "truth", 0, 0, G_OPTION_ARG_FILENAME, &truth, "the demo card's ground truth", "FILE" },
        { "fit", 0, 0, G_OPTION_ARG_NONE, &with_fit, "print calibration constants", NULL },
        { "quick", 0, 0, G_OPTION_ARG_NONE, &quick, "measure no time", NULL },
        { 0 },
    };
    g_autoptr(GOptionContext) context = g_option_context_new(NULL);
    g_option_context_add_main_entries(context, entries, NULL);
    g_autoptr(GError) error = NULL;
    if (!g_option_context_parse(context, &argc, &argv, &error) || count < 1) {
        g_printerr("%s\n", error != NULL ? error->message : "--inspections is 1 or more");
        return 2;
    }
    gint64 start = g_get_monotonic_time();
    printf("Suggestions, measured on invented inspections (tests/inspection.h; seed %d) and on the demo card.\n", seed);
    guint32 base = (guint32)seed;
    GArray *rows[FITS], **fits = with_fit ? rows : NULL;
    for (guint r = 0; r < FITS; r++)
        rows[r] = g_array_new(FALSE, FALSE, sizeof(Pair));
    guint n = (guint)count;
    run_lot("Usual errors (5 m, 10 deg), front unknown", base, n, &(InspectionKind){ 5, 10, NAN, FALSE }, fits, TRUE);
    run_lot("Any errors, front unknown", base + 1, n, &(InspectionKind){ NAN, NAN, NAN, FALSE }, fits, FALSE);
    run_lot("Any errors, front given", base + 2, n, &(InspectionKind){ NAN, NAN, NAN, TRUE }, fits, FALSE);
    for (guint r = 0; r < FITS; r++) {
        if (with_fit)
            fit_row(fit_words[r], rows[r]);
        g_array_unref(rows[r]);
    }
    run_demo(truth, FALSE);
    run_demo(truth, TRUE);
    if (!quick)
        run_time();
    printf("\nTook %.0f s.\n", (double)(g_get_monotonic_time() - start) / 1e6);
    return 0;
}
