/* factlist_value.c -- what the value of a fact means, and how it is shown. See factlist.h.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <gablebook/factlist.h>

#include "trade/trade-private.h"
#include <gablebook/error.h>
#include <gablebook/quote.h>
#include <gablebook/word.h>
#include <math.h>

#define IN_PER_FT 12.0
/* How far two readings of the same thing may lie apart. */
#define PITCH_WITHIN 0.25
#define LENGTH_WITHIN_IN 0.125
#define LENGTH_WITHIN_PART 0.01

/* --- years and plain numbers --- */

#define YEARS_MAX 300.0
#define NUMBER "(?:[0-9]{1,5}(?:\\.[0-9]{1,6})?|\\.[0-9]{1,6}|(?:[0-9]{1,5}[ -])?[0-9]{1,3}/[0-9]{1,3})"
#define YEARS "(?: ?(?:years?|yrs?\\.?|y)(?: old)?)?"
#define ABOUT "(?:(?:about|around|ca\\.?|approx\\.?|~) ?)?"

/* Hold text against a pattern with one or two groups, each a number; *second is NAN where there is one. */
static gboolean match(const char *pattern, const char *text, double *first, double *second)
{
    g_autoptr(GRegex) regex = g_regex_new(pattern, 0, 0, NULL);
    g_autoptr(GMatchInfo) found = NULL;
    if (!g_regex_match(regex, text, 0, &found))
        return FALSE;
    g_autofree char *one = g_match_info_fetch(found, 1), *two = g_match_info_fetch(found, 2);
    *first = gb_number_of(one);
    *second = two != NULL ? gb_number_of(two) : (double)NAN;
    return TRUE;
}

static gboolean fail(const char *text, const char *how, GError **error)
{
    g_autofree char *shown = gb_quote(text);
    g_set_error(error, GB_ERROR, GB_ERROR_SYNTAX, "%s is no %s", shown, how);
    return FALSE;
}

/* An age or span in years: 12, "12 years", 12-15, "12 to 15 yrs", "over 20 years", 20+, "under 5". An open end is NAN; "under" begins
 * at 0. Both NAN where the text is none. */
static GbFactValue years_of(const char *text)
{
    GbFactValue years = { NAN, NAN, NULL };
    double none;
    if (match("^" ABOUT "(" NUMBER ")" YEARS "$", text, &years.low, &none))
        years.high = years.low;
    else if (match("^" ABOUT "(" NUMBER ")" YEARS " ?(?:-|to|or|and) ?(" NUMBER ")" YEARS "$", text, &years.low, &years.high))
        years.low = isnan(years.high) ? years.high : years.low; /* 12 to 1/0 has no end, which is not an open one */
    else if (match("^(?:over|more than|at least|>) ?(" NUMBER ")" YEARS "$", text, &years.low, &none) ||
             match("^(" NUMBER ") ?(?:\\+|or more|and more|plus)" YEARS "$", text, &years.low, &none))
        years.high = NAN;
    else if (match("^(?:under|less than|up to|at most|<) ?(" NUMBER ")" YEARS "$", text, &years.high, &none))
        years.low = isnan(years.high) ? years.high : 0;
    return years;
}

static gboolean parse_years(const char *text, GbFactValue *value, GError **error)
{
    g_autofree char *letters = gb_plain_letters(text);
    const GbFactValue years = years_of(letters);
    if (g_regex_match_simple("^(?:19|20)[0-9]{2}$", letters, 0, 0))
        return fail(text, "age; write how old it is, not the year: 12 years, 12-15 years", error);
    if (isnan(years.low))
        return fail(text, "number of years; write it like 12 years, 12-15 years, over 20 years or under 5 years", error);
    if (years.low > YEARS_MAX || years.high > YEARS_MAX)
        return fail(text, "number of years: more than 300", error);
    if (years.low > years.high) /* false for an open end */
        return fail(text, "span of years: it ends before it begins", error);
    *value = years;
    return TRUE;
}

static gboolean parse_number(const char *text, GbFactValue *value, GError **error)
{
    g_autofree char *letters = gb_plain_letters(text);
    double none, number = NAN;
    if (!match("^(" NUMBER ")$", letters, &number, &none) || isnan(number))
        return fail(text, "number; write it like 2, 1.5 or 1 1/2", error);
    value->low = value->high = number;
    return TRUE;
}

/* --- reading --- */

static gboolean parse_choice(const GbFactKind *kind, const char *text, GbFactValue *value, GError **error)
{
    g_autofree const char **words = g_new(const char *, kind->choices->len);
    for (guint i = 0; i < kind->choices->len; i++)
        words[i] = ((const GbChoice *)kind->choices->pdata[i])->word;
    gssize i = gb_word_find(text, words, kind->choices->len, "choice", error);
    if (i < 0)
        return FALSE;
    value->choice = words[i];
    return TRUE;
}

static gboolean parse_measured(GbValueKind measured, const char *text, GbFactValue *value, GError **error)
{
    if (!gb_value_parse(measured, text, &value->low, error))
        return FALSE;
    value->high = value->low;
    return TRUE;
}

gboolean gb_fact_value_parse(const GbFactKind *kind, const char *text, GbFactValue *value, GError **error)
{
    *value = (GbFactValue){ NAN, NAN, NULL };
    switch (kind->type) {
    case GB_FACT_CHOICE:
        return parse_choice(kind, text, value, error);
    case GB_FACT_PITCH:
        return parse_measured(GB_VALUE_PITCH, text, value, error);
    case GB_FACT_LENGTH:
        return parse_measured(GB_VALUE_LENGTH, text, value, error);
    case GB_FACT_COUNT:
        return parse_measured(GB_VALUE_COUNT, text, value, error);
    case GB_FACT_LAYERS:
        return parse_measured(GB_VALUE_LAYERS, text, value, error);
    case GB_FACT_YEARS:
        return parse_years(text, value, error);
    case GB_FACT_NUMBER:
        return parse_number(text, value, error);
    case GB_FACT_TEXT:
    case GB_FACT_TYPES:
        break;
    }
    return TRUE;
}

/* --- showing --- */

/* At most two decimals, none that say nothing: "7.5", "4", "0.33". */
static void add_number(GString *text, double number)
{
    g_autofree char *digits = gb_number_text(number, 2);
    g_string_append(text, digits);
}

static void add_length(GString *text, double inches)
{
    double rounded = round(inches * 100) / 100;
    double feet = floor(rounded / IN_PER_FT), rest = rounded - feet * IN_PER_FT;
    if (feet >= 2) {
        add_number(text, feet);
        g_string_append(text, " ft");
    }
    if (feet < 2 || rest >= 0.005) {
        g_string_append(text, feet < 2 ? "" : " ");
        add_number(text, feet < 2 ? rounded : rest);
        g_string_append(text, " in");
    }
}

static void add_pitch(GString *text, double rise_in_12)
{
    char degrees[G_ASCII_DTOSTR_BUF_SIZE];
    g_ascii_formatd(degrees, sizeof degrees, "%.1f", gb_pitch_degrees(rise_in_12));
    add_number(text, rise_in_12);
    g_string_append_printf(text, "/12, %s°", degrees);
}

static void add_years(GString *text, const GbFactValue *value)
{
    gboolean single = value->low >= value->high && value->low <= value->high, open = isnan(value->high);
    gboolean under = !single && !open && value->low <= 0;
    if (open)
        g_string_append(text, "over ");
    if (under)
        g_string_append(text, "under ");
    else
        add_number(text, value->low);
    if (!single && !open && !under)
        g_string_append(text, " to ");
    if (!single && !open)
        add_number(text, value->high);
    double last = open ? value->low : value->high;
    g_string_append(text, last >= 1 && last <= 1 ? " year" : " years");
}

char *gb_fact_value_text(GbFactType type, const GbFactValue *value)
{
    GString *text = g_string_new(NULL);
    if (type == GB_FACT_CHOICE)
        g_string_append(text, value->choice != NULL ? value->choice : "");
    else if (isnan(value->low))
        ; /* free words, or a number that nobody knows */
    else if (type == GB_FACT_PITCH)
        add_pitch(text, value->low);
    else if (type == GB_FACT_LENGTH)
        add_length(text, value->low);
    else if (type == GB_FACT_YEARS)
        add_years(text, value);
    else
        add_number(text, value->low);
    return g_string_free(text, FALSE);
}

/* Case apart, does text begin with part, and end with it or go on with something that is no part of the same word? */
static gboolean begins_with(const char *text, const char *part)
{
    g_autofree char *whole = g_utf8_casefold(text, -1), *start = g_utf8_casefold(part, -1);
    gsize n = strlen(start);
    return g_str_has_prefix(whole, start) && (whole[n] == '\0' || whole[n] == ',' || whole[n] == ' ');
}

char *gb_fact_value_shown(GbFactType type, const char *written, const GbFactValue *value)
{
    g_autofree char *meant = gb_fact_value_text(type, value);
    if (*meant == '\0')
        return g_strdup(written);
    g_autoptr(GString) spoken = g_string_new(written);
    if (type == GB_FACT_YEARS)
        g_string_replace(spoken, "-", " to ", 0); /* 12-15 says 12 to 15 as it is */
    if (type == GB_FACT_CHOICE || begins_with(meant, spoken->str))
        return g_steal_pointer(&meant);
    return g_strdup_printf("%s (%s)", written, meant);
}

/* --- comparing --- */

static gboolean ranges_overlap(const GbFactValue *a, const GbFactValue *b)
{
    gboolean a_before_b = a->high < b->low, b_before_a = b->high < a->low; /* false for an open end */
    return !a_before_b && !b_before_a;
}

gboolean gb_fact_values_agree(GbFactType type, const GbFactValue *a, const GbFactValue *b)
{
    if (type == GB_FACT_TEXT)
        return TRUE;
    if (type == GB_FACT_CHOICE)
        return a->choice == NULL || b->choice == NULL || strcmp(a->choice, b->choice) == 0;
    if (isnan(a->low) || isnan(b->low))
        return TRUE;
    double apart = fabs(a->low - b->low);
    switch (type) {
    case GB_FACT_PITCH:
        return apart < PITCH_WITHIN;
    case GB_FACT_LENGTH:
        return apart <= MAX(LENGTH_WITHIN_IN, LENGTH_WITHIN_PART * MAX(a->low, b->low));
    case GB_FACT_YEARS:
        return ranges_overlap(a, b);
    case GB_FACT_COUNT:
    case GB_FACT_LAYERS:
    case GB_FACT_NUMBER:
    case GB_FACT_CHOICE:
    case GB_FACT_TEXT:
    case GB_FACT_TYPES:
        break;
    }
    return apart < 1e-9;
}

gboolean gb_fact_type_takes(GbFactType type, GbValueKind kind)
{
    switch (kind) {
    case GB_VALUE_PITCH:
        return type == GB_FACT_PITCH;
    case GB_VALUE_LENGTH:
        return type == GB_FACT_LENGTH;
    case GB_VALUE_COUNT:
        return type == GB_FACT_COUNT;
    case GB_VALUE_LAYERS:
        return type == GB_FACT_LAYERS;
    case GB_VALUE_TEXT:
        return type == GB_FACT_CHOICE || type == GB_FACT_YEARS || type == GB_FACT_NUMBER || type == GB_FACT_TEXT;
    case GB_VALUE_NONE:
        break;
    }
    return FALSE;
}
