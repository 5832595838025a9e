/* roof_entry.c -- what a person enters of a roof: its words, its measurements, its settings. See roof.h.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "trade/roof-private.h"

#include <gablebook/error.h>
#include <gablebook/measure.h>
#include <gablebook/quote.h>
#include <gablebook/word.h>
#include <math.h>

#define LENGTH_MAX_IN 12000.0
#define PITCH_MAX 48.0
#define OSHA_STEEP "over 4/12"

enum { STEEP_MAX_BYTES = 200 };

static const char *const shape_words[] = { "rectangle", "triangle", "trapezoid", "parallelogram", "gable", "hip", "dutch gable" };
static const char *const edge_words[] = { "eave", "rake", "ridge", "hip", "valley", "break", "wall", "high edge" };
static const char *const given_words[] = { "eave", "ridge", "up", "run", "pitch", "left", "right", "width", "depth", "overhang", "rake overhang",
                                           "gablet" };
G_STATIC_ASSERT(G_N_ELEMENTS(shape_words) == GB_ROOF_SHAPES);
G_STATIC_ASSERT(G_N_ELEMENTS(edge_words) == GB_EDGES);
G_STATIC_ASSERT(G_N_ELEMENTS(given_words) == GB_ROOF_GIVENS);

/* --- words --- */

const char *gb_roof_shape_word(GbRoofShape shape)
{
    return shape_words[shape];
}

const char *gb_edge_word(GbEdge edge)
{
    return edge_words[edge];
}

const char *gb_roof_given_word(GbRoofGiven given)
{
    return given_words[given];
}

static int index_of(const char *word, const char *const *words, guint n)
{
    for (guint i = 0; i < n; i++)
        if (g_str_equal(word, words[i]))
            return (int)i;
    return -1;
}

gboolean gb_roof_shape_from_word(const char *word, GbRoofShape *shape)
{
    int i = index_of(word, shape_words, GB_ROOF_SHAPES);
    if (i >= 0)
        *shape = (GbRoofShape)i;
    return i >= 0;
}

gboolean gb_edge_from_word(const char *word, GbEdge *edge)
{
    int i = index_of(word, edge_words, GB_EDGES);
    if (i >= 0)
        *edge = (GbEdge)i;
    return i >= 0;
}

gboolean gb_roof_given_from_word(const char *word, GbRoofGiven *given)
{
    int i = index_of(word, given_words, GB_ROOF_GIVENS);
    if (i >= 0)
        *given = (GbRoofGiven)i;
    return i >= 0;
}

gboolean gb_roof_shape_parse(const char *text, GbRoofShape *shape, GError **error)
{
    gssize i = gb_word_find(text, shape_words, GB_ROOF_SHAPES, "shape of a roof", error);
    if (i >= 0)
        *shape = (GbRoofShape)i;
    return i >= 0;
}

gboolean gb_edge_parse(const char *text, GbEdge *edge, GError **error)
{
    gssize i = gb_word_find(text, edge_words, GB_EDGES, "edge of a roof", error);
    if (i >= 0)
        *edge = (GbEdge)i;
    return i >= 0;
}

gboolean gb_roof_shape_is_whole(GbRoofShape shape)
{
    return shape >= GB_ROOF_GABLE;
}

/* --- entries --- */

void gb_roof_entry_usual_edges(GbRoofEntry *entry)
{
    gboolean leans = entry->shape == GB_ROOF_TRIANGLE || entry->shape == GB_ROOF_TRAPEZOID;
    GbEdge side = leans ? GB_EDGE_HIP : GB_EDGE_RAKE;
    if (entry->cut_out)
        side = entry->shape == GB_ROOF_TRIANGLE ? GB_EDGE_VALLEY : GB_EDGE_WALL;
    gboolean closed = entry->cut_out && entry->shape != GB_ROOF_TRIANGLE; /* a skylight has no eave under it */
    entry->bottom = closed ? GB_EDGE_WALL : GB_EDGE_EAVE;
    entry->top = entry->cut_out ? GB_EDGE_WALL : GB_EDGE_RIDGE;
    entry->left = entry->right = side;
}

gboolean gb_roof_entry_usual_ridge(const GbRoofEntry *entry)
{
    return entry->given[GB_GIVEN_DEPTH].number > entry->given[GB_GIVEN_WIDTH].number;
}

const char *gb_roof_ridge_word(gboolean to_rear)
{
    return to_rear ? "front to rear" : "along the street";
}

char *gb_roof_entry_unusual_text(const GbRoofEntry *entry)
{
    GbRoofEntry usual = { .shape = entry->shape, .cut_out = entry->cut_out };
    gb_roof_entry_usual_edges(&usual);
    if (gb_roof_shape_is_whole(entry->shape))
        return entry->ridge_to_rear == gb_roof_entry_usual_ridge(entry)
                   ? NULL : g_strconcat("ridge runs ", gb_roof_ridge_word(entry->ridge_to_rear), NULL);
    const struct { const char *name; GbEdge is, usual; } edges[] = {
        { "left side", entry->left, usual.left }, { "right side", entry->right, usual.right },
        { "upper edge", entry->top, usual.top },  { "lower edge", entry->bottom, usual.bottom },
    };
    g_autoptr(GString) text = g_string_new(NULL);
    for (gsize i = 0; i < G_N_ELEMENTS(edges); i++)
        if (edges[i].is != edges[i].usual)
            g_string_append_printf(text, "%s%s %s", text->len > 0 ? ", " : "", edges[i].name, edge_words[edges[i].is]);
    return text->len == 0 ? NULL : g_string_free(g_steal_pointer(&text), FALSE);
}

GbRoofEntry *gb_roof_entry_new(GbRoofShape shape)
{
    GbRoofEntry *entry = g_new0(GbRoofEntry, 1);
    entry->shape = shape;
    entry->section = g_strdup("main");
    for (guint i = 0; i < GB_ROOF_GIVENS; i++)
        entry->given[i].number = NAN;
    gb_roof_entry_usual_edges(entry);
    return entry;
}

void gb_roof_entry_free(GbRoofEntry *entry)
{
    if (entry == NULL)
        return;
    for (guint i = 0; i < GB_ROOF_GIVENS; i++)
        g_free(entry->given[i].text);
    g_free(entry->structure_name);
    g_free(entry->section);
    g_free(entry);
}

gboolean gb_roof_entry_take(GbRoofEntry *entry, GbRoofGiven given, const char *text, GError **error)
{
    double number = NAN;
    gboolean ok = given == GB_GIVEN_PITCH ? gb_pitch_parse(text, &number, error) : gb_length_parse_with_unit(text, &number, error);
    if (!ok) {
        g_prefix_error(error, "%s: ", given_words[given]);
        return FALSE;
    }
    g_free(entry->given[given].text);
    entry->given[given] = (GbRoofValue){ g_strstrip(g_strdup(text)), number };
    return TRUE;
}

static gboolean fail(GError **error, const char *format, ...) G_GNUC_PRINTF(2, 3);
static gboolean fail(GError **error, const char *format, ...)
{
    va_list more;
    va_start(more, format);
    g_autofree char *text = g_strdup_vprintf(format, more);
    va_end(more);
    g_set_error_literal(error, GB_ERROR, GB_ERROR_SYNTAX, text);
    return FALSE;
}

/* What a claim.db holds may be anybody's: numbers that no parser of ours would give are not computed with. */
static gboolean in_bounds(const GbRoofEntry *entry, GError **error)
{
    for (guint i = 0; i < GB_ROOF_GIVENS; i++) {
        double number = entry->given[i].number;
        gboolean pitch = i == GB_GIVEN_PITCH;
        if (isnan(number) || (pitch ? number >= 0 && number <= PITCH_MAX : number > 0 && number <= LENGTH_MAX_IN))
            continue;
        return fail(error, "what is written for '%s' is no %s that a roof has", given_words[i], pitch ? "pitch" : "length");
    }
    return TRUE;
}

static gboolean belongs(const GbRoofEntry *entry, GError **error)
{
    gboolean whole = gb_roof_shape_is_whole(entry->shape);
    for (guint i = 0; i < GB_ROOF_GIVENS; i++) {
        gboolean of_whole = i >= GB_GIVEN_WIDTH, fits = i == GB_GIVEN_PITCH || of_whole == whole;
        if (i == GB_GIVEN_RAKE_OVERHANG)
            fits = entry->shape == GB_ROOF_GABLE;
        if (i == GB_GIVEN_GABLET)
            fits = entry->shape == GB_ROOF_DUTCH_GABLE;
        if (!fits && !isnan(entry->given[i].number))
            return fail(error, "a %s%s has no %s of its own", shape_words[entry->shape], whole ? " roof" : "", given_words[i]);
    }
    return TRUE;
}

static gboolean one_of(GbEdge edge, guint allowed, const char *where, GError **error)
{
    return (allowed & 1u << edge) != 0 || fail(error, "%s %s can't be the %s of a slope", edge == GB_EDGE_EAVE ? "an" : "a", edge_words[edge],
                                                     where);
}

static gboolean edges_fit(const GbRoofEntry *entry, GError **error)
{
    const guint bottom = 1u << GB_EDGE_EAVE | 1u << GB_EDGE_BREAK | 1u << GB_EDGE_WALL;
    const guint top = 1u << GB_EDGE_RIDGE | 1u << GB_EDGE_BREAK | 1u << GB_EDGE_WALL | 1u << GB_EDGE_HIGH;
    const guint side = 1u << GB_EDGE_RAKE | 1u << GB_EDGE_VALLEY | 1u << GB_EDGE_WALL | (entry->cut_out ? 0 : 1u << GB_EDGE_HIP);
    return one_of(entry->bottom, bottom, "lower edge", error) && one_of(entry->top, top, "upper edge", error) &&
           one_of(entry->left, side, entry->cut_out ? "side of what is cut out" : "side", error) &&
           one_of(entry->right, side, entry->cut_out ? "side of what is cut out" : "side", error);
}

gboolean gb_roof_compute(const GbRoofEntry *entry, GPtrArray *slopes, GPtrArray *faults, GError **error)
{
    if (!in_bounds(entry, error) || !belongs(entry, error))
        return FALSE;
    if (gb_roof_shape_is_whole(entry->shape))
        return gb_roof_compute_whole(entry, slopes, error);
    return edges_fit(entry, error) && gb_roof_compute_shape(entry, slopes, faults, error);
}

static void free_fault(gpointer fault)
{
    g_free(((GbRoofFault *)fault)->text);
    g_free(fault);
}

gboolean gb_roof_entry_check(const GbRoofEntry *entry, GError **error)
{
    g_autoptr(GPtrArray) slopes = g_ptr_array_new_with_free_func(gb_roof_slope_free);
    g_autoptr(GPtrArray) faults = g_ptr_array_new_with_free_func(free_fault);
    return gb_roof_compute(entry, slopes, faults, error);
}

/* --- settings --- */

void gb_roof_settings_init(GbRoofSettings *settings)
{
    *settings = (GbRoofSettings){ .waste_percent = NAN };
    gb_roof_settings_take_steep(settings, OSHA_STEEP, NULL); /* known to be well written */
    g_clear_pointer(&settings->steep, g_free);
}

static int by_steepness(const void *a, const void *b)
{
    const GbSteepBand *x = a, *y = b;
    if (x->rise_in_12 != y->rise_in_12)
        return x->rise_in_12 < y->rise_in_12 ? -1 : 1;
    return x->over - y->over;
}

/* "over 4/12", "7/12", "7/12 and steeper". */
static gboolean parse_band(const char *text, GbSteepBand *band, GError **error)
{
    const char over[] = "over ", steeper[] = " and steeper";
    band->over = g_ascii_strncasecmp(text, over, sizeof over - 1) == 0;
    g_autofree char *pitch = g_strdup(band->over ? text + sizeof over - 1 : text);
    gsize n = strlen(pitch), tail = sizeof steeper - 1;
    if (!band->over && n > tail && g_ascii_strcasecmp(pitch + n - tail, steeper) == 0)
        pitch[n - tail] = '\0';
    return gb_pitch_parse(pitch, &band->rise_in_12, error);
}

gboolean gb_roof_settings_take_steep(GbRoofSettings *settings, const char *text, GError **error)
{
    if (strlen(text) > STEEP_MAX_BYTES || !g_utf8_validate(text, -1, NULL))
        return fail(error, "the steep pitches are too long to read; write them like 'over 4/12' or '7/12, 10/12'");
    g_autoptr(GRegex) between = g_regex_new("\\s*,\\s*|\\s+and\\s+(?!steeper)|\\s*;\\s*", G_REGEX_CASELESS, 0, NULL);
    g_autofree char *clean = g_strstrip(g_strdup(text));
    g_auto(GStrv) parts = g_regex_split(between, clean, 0);
    GbSteepBand bands[GB_ROOF_BANDS_MAX];
    guint n = 0;
    for (guint i = 0; parts[i] != NULL; i++, n++) {
        if (n == GB_ROOF_BANDS_MAX)
            return fail(error, "more than %d steep pitches", GB_ROOF_BANDS_MAX);
        if (!parse_band(parts[i], &bands[n], error))
            return FALSE;
    }
    if (n == 0)
        return fail(error, "no steep pitch is given; write it like 'over 4/12' or '7/12, 10/12'");
    qsort(bands, n, sizeof *bands, by_steepness);
    memcpy(settings->bands, bands, n * sizeof *bands);
    settings->n_bands = n;
    g_free(settings->steep);
    settings->steep = g_steal_pointer(&clean);
    return TRUE;
}

gboolean gb_roof_settings_take_waste(GbRoofSettings *settings, const char *text, GError **error)
{
    g_autoptr(GRegex) number = g_regex_new("^\\s*([0-9]{1,3}(?:\\.[0-9]{1,3})?)\\s*%?\\s*$", 0, 0, NULL);
    g_autoptr(GMatchInfo) found = NULL;
    gboolean valid = strlen(text) < 40 && g_utf8_validate(text, -1, NULL) && g_regex_match(number, text, 0, &found);
    g_autofree char *digits = valid ? g_match_info_fetch(found, 1) : NULL;
    double percent = digits != NULL ? g_ascii_strtod(digits, NULL) : (double)NAN;
    if (!(percent <= 100)) {
        g_autofree char *shown = gb_quote(text);
        return fail(error, "%s is no waste; write a percentage from 0 to 100 like 12.5", shown);
    }
    settings->waste_percent = percent;
    return TRUE;
}

void gb_roof_settings_clear(GbRoofSettings *settings)
{
    g_clear_pointer(&settings->steep, g_free);
}

char *gb_steep_band_text(const GbSteepBand *band)
{
    g_autofree char *pitch = gb_pitch_text(band->rise_in_12);
    return band->over ? g_strconcat("over ", pitch, NULL) : g_strconcat(pitch, " and steeper", NULL);
}
