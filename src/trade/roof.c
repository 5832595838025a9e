/* roof.c -- all slopes together: bands, mates, quantities. See roof.h.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "trade/roof-private.h"

#include <gablebook/error.h>
#include <gablebook/measure.h>
#include <gablebook/word.h>
#include <math.h>

#define OSHA_STEEP_RISE 4.0 /* 29 CFR 1926.500(b): steep is greater than 4 in 12 */
#define SQFT_PER_SQUARE 100.0
#define IN_PER_FT 12.0

static const struct { const char *word, *unit; } quantity_words[] = {
    { "area", "SF" }, { "squares", "SQ" }, { "area with waste", "SF" }, { "squares with waste", "SQ" }, { "eaves", "LF" }, { "rakes", "LF" },
    { "ridge", "LF" }, { "hips", "LF" }, { "valleys", "LF" }, { "breaks", "LF" }, { "walls", "LF" }, { "high edges", "LF" },
    { "ridge and hips", "LF" }, { "drip edge", "LF" }, { "starter", "LF" },
};
G_STATIC_ASSERT(G_N_ELEMENTS(quantity_words) == GB_QUANTITIES);

const char *gb_roof_quantity_word(GbRoofQuantity quantity)
{
    return quantity_words[quantity].word;
}

const char *gb_roof_quantity_unit(GbRoofQuantity quantity)
{
    return quantity_words[quantity].unit;
}

gboolean gb_roof_quantity_parse(const char *text, GbRoofQuantity *quantity, GError **error)
{
    const char *words[GB_QUANTITIES];
    for (guint i = 0; i < GB_QUANTITIES; i++)
        words[i] = quantity_words[i].word;
    gssize found = gb_word_find(text, words, GB_QUANTITIES, "quantity of a roof", error);
    if (found >= 0)
        *quantity = (GbRoofQuantity)found;
    return found >= 0;
}

/* --- making it --- */

void gb_roof_fault(GPtrArray *faults, gint64 structure, gint a, gint b, const char *format, ...)
{
    va_list more;
    va_start(more, format);
    GbRoofFault *fault = g_new0(GbRoofFault, 1);
    *fault = (GbRoofFault){ structure, { a, b }, g_strdup_vprintf(format, more) };
    va_end(more);
    g_ptr_array_add(faults, fault);
}

static void free_fault(gpointer data)
{
    g_free(((GbRoofFault *)data)->text);
    g_free(data);
}

static void compute_entries(GbRoof *roof)
{
    for (guint i = 0; i < roof->entries->len; i++) {
        const GbRoofEntry *entry = roof->entries->pdata[i];
        guint first_slope = roof->slopes->len, first_fault = roof->faults->len;
        g_autoptr(GError) error = NULL;
        if (!gb_roof_compute(entry, roof->slopes, roof->faults, &error))
            gb_roof_fault(roof->faults, entry->structure, -1, -1, "roof entry %" G_GINT64_FORMAT " can't be computed: %s", entry->id, error->message);
        for (guint f = first_fault; f < roof->faults->len && roof->slopes->len > first_slope; f++)
            ((GbRoofFault *)roof->faults->pdata[f])->slopes[0] = (gint)first_slope; /* only a slope by itself has faults of its own */
    }
}

/* Dwelling first, then by structure; the main part of a roof before its wings; along the walk. */
static int compare_slopes(gconstpointer a, gconstpointer b)
{
    const GbRoofSlope *p = *(const GbRoofSlope *const *)a, *q = *(const GbRoofSlope *const *)b;
    gboolean p_wing = g_ascii_strcasecmp(p->entry->section, "main") != 0, q_wing = g_ascii_strcasecmp(q->entry->section, "main") != 0;
    const gint64 order[][2] = {
        { !p->entry->on_dwelling, !q->entry->on_dwelling }, { p->structure, q->structure }, { p_wing, q_wing },
        { g_ascii_strcasecmp(p->entry->section, q->entry->section), 0 }, { p->face, q->face }, { p->entry->id, q->entry->id },
    };
    for (gsize i = 0; i < G_N_ELEMENTS(order); i++)
        if (order[i][0] != order[i][1])
            return order[i][0] < order[i][1] ? -1 : 1;
    return 0;
}

/* Faults name slopes by index: keep them right. */
static void sort_slopes(const GbRoof *roof)
{
    g_autoptr(GPtrArray) before = g_ptr_array_copy(roof->slopes, NULL, NULL);
    g_ptr_array_set_free_func(before, NULL); /* the slopes stay the roof's */
    g_ptr_array_sort(roof->slopes, compare_slopes);
    for (guint f = 0; f < roof->faults->len; f++) {
        GbRoofFault *fault = roof->faults->pdata[f];
        guint now;
        if (fault->slopes[0] >= 0 && g_ptr_array_find(roof->slopes, before->pdata[fault->slopes[0]], &now))
            fault->slopes[0] = (gint)now;
    }
}

/* Two slopes of one face and section need names of their own. */
static void tell_apart(GPtrArray *slopes)
{
    g_autoptr(GHashTable) seen = g_hash_table_new(g_str_hash, g_str_equal);
    for (guint i = 0; i < slopes->len; i++) {
        const GbRoofSlope *slope = slopes->pdata[i];
        g_hash_table_insert(seen, slope->label, GUINT_TO_POINTER(GPOINTER_TO_UINT(g_hash_table_lookup(seen, slope->label)) + 1));
    }
    g_autoptr(GPtrArray) labels = g_ptr_array_new();
    for (guint i = 0; i < slopes->len; i++) {
        const GbRoofSlope *slope = slopes->pdata[i];
        gboolean several = GPOINTER_TO_UINT(g_hash_table_lookup(seen, slope->label)) > 1;
        g_ptr_array_add(labels, several ? g_strdup_printf("%s, entry %" G_GINT64_FORMAT, slope->label, slope->entry->id) : g_strdup(slope->label));
    }
    for (guint i = 0; i < slopes->len; i++) {
        GbRoofSlope *slope = slopes->pdata[i];
        g_free(slope->label);
        slope->label = labels->pdata[i];
    }
}

static gboolean in_band(const GbSteepBand *band, double pitch)
{
    const double slack = 0.005; /* half of the last place that is shown: 33.69 deg is 7.99998/12, shown and meant as 8/12 */
    return band->over ? pitch > band->rise_in_12 + slack : pitch >= band->rise_in_12 - slack; /* both FALSE for NAN */
}

static void find_bands(const GbRoof *roof)
{
    for (guint i = 0; i < roof->slopes->len; i++) {
        GbRoofSlope *slope = roof->slopes->pdata[i];
        for (guint b = 0; b < roof->settings.n_bands; b++)
            if (in_band(&roof->settings.bands[b], slope->pitch))
                slope->band = (int)b;
    }
}

/* More may not be cut out of a face than there is. */
static void check_cut_outs(const GbRoof *roof)
{
    for (guint i = 0; i < roof->slopes->len; i++) {
        const GbRoofSlope *cut = roof->slopes->pdata[i];
        double left = 0;
        for (guint j = 0; j < roof->slopes->len; j++) {
            const GbRoofSlope *other = roof->slopes->pdata[j];
            if (other->structure == cut->structure && other->face == cut->face)
                left += other->cut_out ? -other->area_sqft : other->area_sqft;
        }
        if (cut->cut_out && left < 0)
            gb_roof_fault(roof->faults, cut->structure, (gint)i, -1, "%s: more is cut out than there is slope", cut->label);
    }
}

/* The index of its first slope; -1: it couldn't be computed. */
static gint slope_of(const GbRoof *roof, const GbRoofEntry *entry)
{
    for (guint i = 0; i < roof->slopes->len; i++)
        if (((const GbRoofSlope *)roof->slopes->pdata[i])->entry == entry)
            return (gint)i;
    return -1;
}

static gboolean are_doubles(const GbRoof *roof, const GbRoofEntry *a, const GbRoofEntry *b)
{
    gboolean whole = gb_roof_shape_is_whole(a->shape) || gb_roof_shape_is_whole(b->shape);
    return whole && !a->cut_out && !b->cut_out && a->structure == b->structure && g_ascii_strcasecmp(a->section, b->section) == 0 &&
           slope_of(roof, a) >= 0 && slope_of(roof, b) >= 0;
}

/* A whole roof fills its section: another roof in it would be counted on top. What is cut out of it belongs there. One line for each entry
 * that came on top. */
static void check_doubles(const GbRoof *roof)
{
    for (guint j = 1; j < roof->entries->len; j++)
        for (guint i = 0; i < j; i++) {
            const GbRoofEntry *a = roof->entries->pdata[i], *b = roof->entries->pdata[j];
            if (!are_doubles(roof, a, b))
                continue;
            gb_roof_fault(roof->faults, a->structure, slope_of(roof, a), slope_of(roof, b), "roof entries %" G_GINT64_FORMAT " and %" G_GINT64_FORMAT
                          " are both in the section '%s', which a whole roof fills alone: both are counted", a->id, b->id, a->section);
            break;
        }
}

static void free_entry(gpointer entry)
{
    gb_roof_entry_free(entry);
}

GbRoof *gb_roof_new(GPtrArray *entries, GbRoofSettings *settings)
{
    GbRoof *roof = g_new0(GbRoof, 1);
    roof->entries = entries;
    g_ptr_array_set_free_func(entries, free_entry);
    roof->slopes = g_ptr_array_new_with_free_func(gb_roof_slope_free);
    roof->faults = g_ptr_array_new_with_free_func(free_fault);
    roof->settings = *settings;
    settings->steep = NULL;
    compute_entries(roof);
    sort_slopes(roof);
    tell_apart(roof->slopes);
    find_bands(roof);
    gb_roof_match(roof->slopes, roof->faults);
    check_cut_outs(roof);
    check_doubles(roof);
    return roof;
}

void gb_roof_free(GbRoof *roof)
{
    if (roof == NULL)
        return;
    g_ptr_array_unref(roof->faults);
    g_ptr_array_unref(roof->slopes);
    g_ptr_array_unref(roof->entries);
    gb_roof_settings_clear(&roof->settings);
    g_free(roof);
}

/* --- quantities --- */

static double sign_of(const GbRoofSlope *slope)
{
    return slope->cut_out ? -1 : 1;
}

/* An edge's share of the total, so that a line between two slopes counts once. */
static double share(const GbRoofSlope *slope, const GbSlopeEdge *edge, gboolean alone)
{
    gboolean adds = edge->kind == GB_EDGE_VALLEY || edge->kind == GB_EDGE_WALL; /* round a hole too */
    double length = adds ? edge->length_in : sign_of(slope) * edge->length_in;
    return alone || edge->mate_slope < 0 ? length : length / 2;
}

typedef struct {
    double area_sqft, length_ft[GB_EDGES];
    guint slopes;
} Sums;

static Sums add_up(const GbRoof *roof, gint64 structure, gint64 place)
{
    Sums sums = { 0 };
    for (guint i = 0; i < roof->slopes->len; i++) {
        const GbRoofSlope *slope = roof->slopes->pdata[i];
        if ((structure != 0 && slope->structure != structure) || (place != 0 && slope->place != place))
            continue;
        sums.slopes++;
        sums.area_sqft += sign_of(slope) * slope->area_sqft;
        for (guint e = 0; e < slope->n; e++)
            sums.length_ft[slope->edges[e].kind] += share(slope, &slope->edges[e], place != 0) / IN_PER_FT;
    }
    return sums;
}

static double amount_of(const Sums *sums, double waste_percent, GbRoofQuantity quantity)
{
    const double *ft = sums->length_ft;
    double with_waste = sums->area_sqft * (1 + waste_percent / 100);
    switch (quantity) {
    case GB_QUANTITY_AREA:               return sums->area_sqft;
    case GB_QUANTITY_SQUARES:            return sums->area_sqft / SQFT_PER_SQUARE;
    case GB_QUANTITY_AREA_WITH_WASTE:    return with_waste;
    case GB_QUANTITY_SQUARES_WITH_WASTE: return with_waste / SQFT_PER_SQUARE;
    case GB_QUANTITY_EAVES:              return ft[GB_EDGE_EAVE];
    case GB_QUANTITY_RAKES:              return ft[GB_EDGE_RAKE];
    case GB_QUANTITY_RIDGE:              return ft[GB_EDGE_RIDGE];
    case GB_QUANTITY_HIPS:               return ft[GB_EDGE_HIP];
    case GB_QUANTITY_VALLEYS:            return ft[GB_EDGE_VALLEY];
    case GB_QUANTITY_BREAKS:             return ft[GB_EDGE_BREAK];
    case GB_QUANTITY_WALLS:              return ft[GB_EDGE_WALL];
    case GB_QUANTITY_HIGH_EDGES:         return ft[GB_EDGE_HIGH];
    case GB_QUANTITY_RIDGE_AND_HIPS:     return ft[GB_EDGE_RIDGE] + ft[GB_EDGE_HIP];
    case GB_QUANTITY_DRIP_EDGE:          return ft[GB_EDGE_EAVE] + ft[GB_EDGE_RAKE];
    case GB_QUANTITY_STARTER:            return ft[GB_EDGE_EAVE];
    case GB_QUANTITIES:                  break;
    }
    return NAN;
}

gboolean gb_roof_quantity(const GbRoof *roof, gint64 structure, gint64 place, GbRoofQuantity quantity, double *amount, GError **error)
{
    gboolean waste = quantity == GB_QUANTITY_AREA_WITH_WASTE || quantity == GB_QUANTITY_SQUARES_WITH_WASTE;
    if (waste && isnan(roof->settings.waste_percent)) {
        g_set_error(error, GB_ERROR, GB_ERROR_STATE, "no waste is set, so there is no %s", quantity_words[quantity].word);
        return FALSE;
    }
    Sums sums = add_up(roof, structure, place);
    if (sums.slopes == 0) {
        g_set_error(error, GB_ERROR, GB_ERROR_STATE, "no roof is measured there, so '%s' has no quantity", quantity_words[quantity].word);
        return FALSE;
    }
    *amount = amount_of(&sums, roof->settings.waste_percent, quantity);
    return TRUE;
}

gboolean gb_roof_quantity_worth_listing(const GbRoof *roof, gint64 structure, GbRoofQuantity quantity, double *amount)
{
    Sums sums = add_up(roof, structure, 0);
    gboolean both = sums.length_ft[GB_EDGE_RIDGE] != 0 && sums.length_ft[GB_EDGE_HIP] != 0;
    return gb_roof_quantity(roof, structure, 0, quantity, amount, NULL) && *amount != 0 && (quantity != GB_QUANTITY_RIDGE_AND_HIPS || both);
}

double gb_roof_band_area_sqft(const GbRoof *roof, gint64 structure, guint band)
{
    double area = 0;
    for (guint i = 0; i < roof->slopes->len; i++) {
        const GbRoofSlope *slope = roof->slopes->pdata[i];
        if ((structure == 0 || slope->structure == structure) && slope->band == (int)band)
            area += sign_of(slope) * slope->area_sqft;
    }
    return area;
}

gboolean gb_roof_is_steep(const GbRoof *roof, gint64 structure)
{
    const GbSteepBand osha = { OSHA_STEEP_RISE, TRUE };
    for (guint i = 0; i < roof->slopes->len; i++) {
        const GbRoofSlope *slope = roof->slopes->pdata[i];
        if ((structure == 0 || slope->structure == structure) && (slope->band >= 0 || in_band(&osha, slope->pitch)))
            return TRUE;
    }
    return FALSE;
}

const char *gb_roof_steep_caution(void)
{
    return "Steep roof: a fall can kill. Don't go up without fall protection and the training for it, nor when it is wet, icy, mossy or windy; "
           "what can't be reached safely is measured from the ground or left out. Local codes and licensed practice decide. "
           "29 CFR 1926.500(b) calls a roof steep over 4 in 12.";
}
