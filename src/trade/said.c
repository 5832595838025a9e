/* said.c -- the numbers that a person's own words say. See said.h.
 *
 * As in measure.c: plain letters first, then one pattern a kind, every number bounded to a few digits.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <gablebook/said.h>

#include "trade/trade-private.h"
#include <gablebook/measure.h>
#include <math.h>

#define TEXT_MAX_BYTES 8192

/* Not part of a longer number, fraction, date or file name. */
#define BEGIN "(?<![0-9a-z./:_-])"
#define NUMBER "(?:[0-9]{1,4}(?:\\.[0-9]{1,3})?|(?:[0-9]{1,3}[ -])?[0-9]{1,3}/[0-9]{1,3})"
#define WHOLE "(?:[0-9]{1,4}|no|zero|one|two|three|four|five|six|seven|eight|nine|ten|eleven|twelve)"
#define RISE "(?:[0-9]{1,2} [0-9]/[0-9]{1,2}|[0-9]{1,2}(?:\\.[0-9]{1,3})?)"

static const char *const number_words[] = { "zero", "one", "two",   "three", "four", "five",   "six",
                                            "seven", "eight", "nine", "ten",  "eleven", "twelve" };

static double whole_of(const char *word)
{
    if (g_str_equal(word, "no"))
        return 0;
    for (guint i = 0; i < G_N_ELEMENTS(number_words); i++)
        if (g_str_equal(word, number_words[i]))
            return i;
    return gb_number_of(word);
}

static void free_said(gpointer data)
{
    GbSaid *said = data;
    g_free(said->text);
    g_free(said);
}

static void add(GPtrArray *all, GbSaidKind kind, double low, double high, const char *text)
{
    if (isnan(low) || isnan(high) || low > high)
        return;
    GbSaid *said = g_new0(GbSaid, 1);
    *said = (GbSaid){ kind, low, high, g_strdup(text) };
    g_ptr_array_add(all, said);
}

/* For each place where the pattern fits: its whole text and its first groups. */
typedef void (*Hear)(GPtrArray *all, const char *whole, const char *first, const char *second);

static void each(GPtrArray *all, const char *letters, const char *pattern, Hear hear)
{
    g_autoptr(GRegex) regex = g_regex_new(pattern, 0, 0, NULL);
    g_autoptr(GMatchInfo) match = NULL;
    for (gboolean found = g_regex_match(regex, letters, 0, &match); found; found = g_match_info_next(match, NULL)) {
        g_autofree char *whole = g_match_info_fetch(match, 0), *first = g_match_info_fetch(match, 1);
        g_autofree char *second = g_match_info_fetch(match, 2);
        hear(all, whole, first, second != NULL ? second : "");
    }
}

static void hear_pitch(GPtrArray *all, const char *whole, const char *first, const char *second)
{
    (void)second;
    add(all, GB_SAID_PITCH, gb_number_of(first), gb_number_of(first), whole);
}

static void hear_layers(GPtrArray *all, const char *whole, const char *first, const char *second)
{
    (void)second;
    add(all, GB_SAID_LAYERS, whole_of(first), whole_of(first), whole);
}

static void hear_hits(GPtrArray *all, const char *whole, const char *first, const char *second)
{
    (void)second;
    add(all, GB_SAID_HITS, whole_of(first), whole_of(first), whole);
}

static void hear_storeys(GPtrArray *all, const char *whole, const char *first, const char *second)
{
    double storeys = whole_of(first) + (*second != '\0' ? 0.5 : 0);
    add(all, GB_SAID_STOREYS, storeys, storeys, whole);
}

static void hear_years(GPtrArray *all, const char *whole, const char *first, const char *second)
{
    double low = gb_number_of(first);
    add(all, GB_SAID_YEARS, low, *second != '\0' ? gb_number_of(second) : low, whole);
}

static void hear_length(GPtrArray *all, const char *whole, const char *first, const char *second)
{
    double inches;
    (void)first;
    (void)second;
    if (gb_length_parse(whole, &inches, NULL))
        add(all, GB_SAID_LENGTH, inches, inches, whole);
}

GPtrArray *gb_said(const char *text)
{
    GPtrArray *all = g_ptr_array_new_with_free_func(free_said);
    g_autofree char *letters = gb_plain_words(text, TEXT_MAX_BYTES);
    gboolean of_pitch = g_regex_match_simple("\\b(?:pitch|slope|gauge|steep)\\b", letters, 0, 0);
    each(all, letters, BEGIN "(" RISE ") ?(?::| in ) ?12(?![0-9/:.]| ?(?:in|ft|\"|'))", hear_pitch);
    if (of_pitch)
        each(all, letters, BEGIN "(" RISE ")/12(?![0-9/:.])", hear_pitch);
    each(all, letters, BEGIN "(" WHOLE ")[ -]layers?\\b", hear_layers);
    each(all, letters, BEGIN "(" WHOLE ")(?: hail)? hits?\\b", hear_hits);
    each(all, letters, BEGIN "(" WHOLE ")( and a half| 1/2|\\.5)?[ -]stor(?:e?y|eys|ies)\\b", hear_storeys);
    each(all, letters, BEGIN "([0-9]{1,3})(?: ?- ?([0-9]{1,3}))?[ -](?:years?|yrs?)\\b", hear_years);
    each(all, letters, BEGIN "([0-9]{1,3} ?(?:'|ft\\b|feet\\b) ?-? ?" NUMBER " ?(?:\"|in\\b|inch\\b|inches\\b)|" NUMBER
         " ?(?:\"|'|in\\b(?! [0-9a-z])|inch\\b|inches\\b|ft\\b|feet\\b|foot\\b|mm\\b|cm\\b|m\\b))", hear_length);
    return all;
}

gboolean gb_said_count(const char *text, const char *things, double *count)
{
    g_autofree char *letters = gb_plain_words(text, TEXT_MAX_BYTES), *name = gb_plain_words(things, TEXT_MAX_BYTES);
    gsize n = strlen(name);
    if (n > 1 && name[n - 1] == 's')
        name[n - 1] = '\0';
    g_autofree char *escaped = g_regex_escape_string(name, -1);
    g_autofree char *pattern = g_strdup_printf(BEGIN "(" WHOLE ") %ss?\\b", escaped);
    g_autoptr(GRegex) regex = g_regex_new(pattern, 0, 0, NULL);
    g_autoptr(GMatchInfo) match = NULL;
    if (*name == '\0' || regex == NULL || !g_regex_match(regex, letters, 0, &match))
        return FALSE;
    g_autofree char *first = g_match_info_fetch(match, 1);
    *count = whole_of(first);
    return TRUE;
}
