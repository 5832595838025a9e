/* quantity.c -- how much. See quantity.h.
 *
 * As in measure.c: the text is brought to plain letters, then one pattern a spelling takes the whole of it or nothing.
 * Units are told apart by their patterns alone; what is written as a length (feet and inches, metres) is left to the
 * parser of lengths.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <gablebook/quantity.h>

#include "trade/trade-private.h"
#include <gablebook/error.h>
#include <gablebook/measure.h>
#include <gablebook/quote.h>
#include <math.h>

#define AMOUNT_MAX 1000000.0
#define SF_PER_SQ 100.0
#define SF_PER_M2 (1 / 0.09290304) /* a foot is 0.3048 m exactly */
#define IN_PER_FT 12.0
#define WHAT_UNIT "of what unit? EA (each), LF (linear feet), SF (square feet) or SQ (squares)"
#define HOW "write it like 12 LF, 3.5 SQ, 1,250 SF, 2 EA, or = and a measurement (= area, = drip edge)"

/* 1,250 and 1,250.5 too: people write areas so. */
#define NUMBER \
    "([0-9]{1,3}(?:,[0-9]{3})+(?:\\.[0-9]{1,6})?|[0-9]{1,7}(?:\\.[0-9]{1,6})?|\\.[0-9]{1,6}|" \
    "(?:[0-9]{1,6}[ -])?[0-9]{1,3}/[0-9]{1,3})"

static const struct {
    const char *code, *name, *spellings; /* a pattern of plain lower-case letters */
} units[GB_UNITS] = {
    [GB_UNIT_NONE] = { "", "", NULL },
    [GB_UNIT_EA] = { "EA", "each", "ea\\.?|each|pcs?\\.?|pieces?" },
    [GB_UNIT_LF] = { "LF", "linear feet", "lf|l\\.f\\.|lin(?:ear|\\.)? ?(?:feet|foot|ft\\.?)|feet|foot|ft\\.?" },
    [GB_UNIT_SF] = { "SF", "square feet", "sf|s\\.f\\.|sq(?:uare|\\.)? ?(?:feet|foot|ft\\.?)|ft2|ft²" },
    [GB_UNIT_SQ] = { "SQ", "squares", "sq\\.?|sqs\\.?|squares?" },
};

const char *gb_unit_code(GbUnit unit)
{
    return units[unit].code;
}

const char *gb_unit_name(GbUnit unit)
{
    return units[unit].name;
}

gboolean gb_unit_from_code(const char *code, GbUnit *unit)
{
    for (guint u = GB_UNIT_EA; u < GB_UNITS; u++)
        if (g_str_equal(code, units[u].code)) {
            *unit = (GbUnit)u;
            return TRUE;
        }
    return FALSE;
}

gboolean gb_unit_convert(double amount, GbUnit from, GbUnit to, double *converted)
{
    if (from == to)
        *converted = amount;
    else if (from == GB_UNIT_SF && to == GB_UNIT_SQ)
        *converted = amount / SF_PER_SQ;
    else if (from == GB_UNIT_SQ && to == GB_UNIT_SF)
        *converted = amount * SF_PER_SQ;
    else
        return FALSE;
    return TRUE;
}

/* --- reading --- */

static gboolean fail(const char *text, const char *what, GError **error)
{
    g_autofree char *shown = gb_quote(text);
    g_set_error(error, GB_ERROR, GB_ERROR_SYNTAX, "%s is no quantity: %s", shown, what);
    return FALSE;
}

/* NUMBER and a unit spelt as in spellings. */
static gboolean match(const char *text, const char *spellings, double *number)
{
    gboolean bare = *spellings == '\0';
    g_autofree char *pattern = g_strdup_printf("^" NUMBER "%s%s%s$", bare ? "" : " ?(?:", spellings, bare ? "" : ")");
    g_autoptr(GRegex) regex = g_regex_new(pattern, 0, 0, NULL);
    g_autoptr(GMatchInfo) found = NULL;
    if (!g_regex_match(regex, text, 0, &found))
        return FALSE;
    g_autofree char *digits = g_match_info_fetch(found, 1);
    g_auto(GStrv) thousands = g_strsplit(digits, ",", -1);
    g_autofree char *joined = g_strjoinv("", thousands);
    *number = gb_number_of(joined);
    return TRUE;
}

static gboolean find_unit(const char *letters, GbUnit usual, GbQuantity *found)
{
    for (guint u = GB_UNIT_EA; u < GB_UNITS; u++)
        if (match(letters, units[u].spellings, &found->amount)) {
            found->unit = (GbUnit)u;
            return TRUE;
        }
    if (match(letters, "m2|m²|sqm", &found->amount)) {
        found->amount *= SF_PER_M2;
        found->unit = GB_UNIT_SF;
        return TRUE;
    }
    if (usual != GB_UNIT_NONE && match(letters, "", &found->amount)) {
        found->unit = usual;
        return TRUE;
    }
    if (!gb_length_is_bare(letters) && gb_length_parse(letters, &found->amount, NULL)) {
        found->amount /= IN_PER_FT;
        found->unit = GB_UNIT_LF;
        return TRUE;
    }
    return FALSE;
}

static gboolean parse_amount(const char *text, const char *letters, GbUnit usual, GbQuantity *quantity, GError **error)
{
    GbQuantity found = { .amount = NAN };
    if (!find_unit(letters, usual, &found)) {
        double bare;
        return fail(text, match(letters, "", &bare) ? WHAT_UNIT : HOW, error);
    }
    if (!(found.amount > 0)) /* NAN too: 1/0 */
        return fail(text, "it must be more than nothing; where there is nothing to do, the action is none", error);
    if (found.amount > AMOUNT_MAX)
        return fail(text, "more than 1,000,000", error);
    if (found.unit == GB_UNIT_EA && found.amount > floor(found.amount))
        return fail(text, "EA are counted; write a whole number", error);
    *quantity = found;
    return TRUE;
}

/* "drip edge, lf" to "drip edge" and its unit. */
static void split_unit(char *name, GbUnit *unit)
{
    char *comma = strrchr(name, ',');
    if (comma == NULL)
        return;
    g_autofree char *code = g_ascii_strup(comma + 1, -1);
    if (!gb_unit_from_code(g_strstrip(code), unit))
        return;
    *comma = '\0';
    g_strchomp(name);
}

static gboolean parse_measure(const char *text, char *letters, const char *usual_measure, GbQuantity *quantity, GError **error)
{
    GbQuantity found = { .amount = NAN };
    char *name = g_strchug(letters + 1);
    split_unit(name, &found.unit);
    if (*name == '\0' && usual_measure == NULL)
        return fail(text, "say which measurement it follows, for example = area or = drip edge", error);
    found.measure = g_strdup(*name != '\0' ? name : usual_measure);
    *quantity = found;
    return TRUE;
}

gboolean gb_quantity_parse(const char *text, GbUnit usual, const char *usual_measure, GbQuantity *quantity, GError **error)
{
    g_autofree char *letters = gb_plain_letters(text);
    if (*letters == '=')
        return parse_measure(text, letters, usual_measure, quantity, error);
    return parse_amount(text, letters, usual, quantity, error);
}

void gb_quantity_clear(GbQuantity *quantity)
{
    g_clear_pointer(&quantity->measure, g_free);
}

/* --- writing --- */

/* "1250" to "1,250". */
static void insert_commas(GString *digits, gsize whole)
{
    for (gsize at = whole; at > 3;) {
        at -= 3;
        g_string_insert_c(digits, (gssize)at, ',');
    }
}

char *gb_quantity_text(double amount, GbUnit unit)
{
    g_autofree char *number = gb_number_text(amount, 2);
    GString *text = g_string_new(number);
    insert_commas(text, strcspn(number, "."));
    if (unit != GB_UNIT_NONE)
        g_string_append_printf(text, " %s", units[unit].code);
    return g_string_free(text, FALSE);
}
