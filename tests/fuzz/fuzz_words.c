/* fuzz_words.c -- what a person types, in all its kinds: measures, quantities, lists of numbers, places; and what makes text harmless.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "fuzz.h"

#include <gablebook/escape.h>
#include <gablebook/measure.h>
#include <gablebook/numbers.h>
#include <gablebook/place.h>
#include <gablebook/quantity.h>
#include <gablebook/quote.h>
#include <gablebook/size.h>
#include <gablebook/word.h>
#include <math.h>

static void holds_near(double a, double b, double within)
{
    holds(fabs(a - b) <= within);
}

static void measures(const char *text)
{
    g_autoptr(GError) error = NULL;
    double number, width, height, again;
    for (int kind = GB_VALUE_NONE; kind <= GB_VALUE_TEXT; kind++)
        if (!gb_value_parse(kind, text, &number, &error))
            holds_sentence(&error);
    if (!gb_pitch_parse(text, &number, &error))
        holds_sentence(&error);
    else {
        g_autofree char *shown = gb_pitch_text(number);
        holds(number >= 0 && number <= 48 && gb_pitch_parse(shown, &again, NULL));
        holds_near(again, number, 0.0051);
    }
    if (!gb_length_parse(text, &number, &error))
        holds_sentence(&error);
    else {
        g_autofree char *shown = gb_length_text(number, GB_UNITS_FEET);
        holds(number > 0 && number <= 12000);
        holds(number < 0.0625 || gb_length_parse(shown, &again, NULL));
        if (number >= 0.0625)
            holds_near(again, number, 0.0626);
    }
    if (!gb_size_parse(text, &width, &height, &error))
        holds_sentence(&error);
    else
        holds(width > 0 && height > 0 && isfinite(width) && isfinite(height));
}

static void quantities(const char *text)
{
    g_autoptr(GError) error = NULL;
    g_auto(GbQuantity) quantity = { 0 };
    if (!gb_quantity_parse(text, GB_UNIT_LF, "drip edge", &quantity, &error))
        holds_sentence(&error);
    else
        holds(quantity.measure != NULL ? isnan(quantity.amount) : quantity.amount > 0 && quantity.amount <= 1e6);
}

static void numbers(const char *text)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GArray) ranges = gb_numbers_parse(text, &error);
    if (ranges == NULL) {
        holds_sentence(&error);
        return;
    }
    holds(ranges->len > 0);
    for (guint i = 0; i < ranges->len; i++) {
        GbRange range = g_array_index(ranges, GbRange, i);
        holds(range.first >= 1 && range.first <= range.last && range.last <= 999999999 && gb_numbers_hold(ranges, range.last));
    }
}

static void words(const char *text)
{
    static const char *const labels[] = { "front", "front slope", "garage front slope", "rear", "site", "roof", "wind damage", "Küche", "" };
    g_autoptr(GError) error = NULL;
    GbFace face;
    GbDistance distance;
    gssize found = gb_word_find(text, labels, G_N_ELEMENTS(labels), "place", &error);
    holds(found >= -1 && found < (gssize)G_N_ELEMENTS(labels));
    if (found < 0)
        holds_sentence(&error);
    if (!gb_face_parse(text, &face, &error))
        holds_sentence(&error);
    if (!gb_distance_parse(text, &distance, &error))
        holds_sentence(&error);
}

static void harmless(const char *clean)
{
    g_autoptr(GString) html = g_string_new(NULL), csv = g_string_new(NULL);
    gb_escape_html(html, clean, strlen(clean));
    gb_escape_csv(csv, clean);
    holds(strpbrk(html->str, "<>\"'") == NULL);
    holds(strlen(csv->str) == csv->len && (csv->len == 0 || strchr("=@\t", csv->str[0]) == NULL));
    g_autofree char *terminal = gb_escape_terminal(clean), *quoted = gb_quote(clean);
    for (const char *c = terminal; *c != '\0'; c++)
        holds((guchar)*c >= ' ' && *c != 0x7F);
    holds(g_utf8_validate(quoted, -1, NULL));
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t n)
{
    g_autofree char *clean = gb_clean_text(data, n);
    if (clean == NULL)
        return 0;
    holds(clean[0] != '\0' && g_utf8_validate(clean, -1, NULL));
    measures(clean);
    quantities(clean);
    numbers(clean);
    words(clean);
    harmless(clean);
    return 0;
}
