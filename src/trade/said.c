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

/* The whole text of a fit and its first groups. */
typedef void (*Hear)(GPtrArray *all, const char *whole, const char *first, const char *second);

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

/* In the order in which kinds are told. */
static const struct {
    const char *pattern;
    Hear hear;
    gboolean slashed; /* counts only beside a word for pitch */
} patterns[] = {
    { BEGIN "(" RISE ") ?(?::| in ) ?12(?![0-9/:.]| ?(?:in|ft|\"|'))", hear_pitch, FALSE },
    { BEGIN "(" RISE ")/12(?![0-9/:.])", hear_pitch, TRUE },
    { BEGIN "(" WHOLE ")[ -]layers?\\b", hear_layers, FALSE },
    { BEGIN "(" WHOLE ")(?: hail)? hits?\\b", hear_hits, FALSE },
    { BEGIN "(" WHOLE ")( and a half| 1/2|\\.5)?[ -]stor(?:e?y|eys|ies)\\b", hear_storeys, FALSE },
    { BEGIN "([0-9]{1,3})(?: ?- ?([0-9]{1,3}))?[ -](?:years?|yrs?)\\b", hear_years, FALSE },
    { BEGIN "([0-9]{1,3} ?(?:'|ft\\b|feet\\b) ?-? ?" NUMBER " ?(?:\"|in\\b|inch\\b|inches\\b)|" NUMBER
      " ?(?:\"|'|in\\b(?! [0-9a-z])|inch\\b|inches\\b|ft\\b|feet\\b|foot\\b|mm\\b|cm\\b|m\\b))", hear_length, FALSE },
};

/* Every caption of a claim is read at every load, and to make a pattern takes longer than to use it: each is made once. */
static const GRegex *made(gsize i)
{
    static GRegex *all[G_N_ELEMENTS(patterns)];
    if (g_once_init_enter(&all[i]))
        g_once_init_leave(&all[i], g_regex_new(patterns[i].pattern, G_REGEX_OPTIMIZE, 0, NULL));
    return all[i];
}

GPtrArray *gb_said(const char *text)
{
    GPtrArray *all = g_ptr_array_new_with_free_func(free_said);
    g_autofree char *letters = gb_plain_words(text, TEXT_MAX_BYTES);
    gboolean of_pitch = strstr(letters, "/12") != NULL && g_regex_match_simple("\\b(?:pitch|slope|gauge|steep)\\b", letters, 0, 0);
    for (gsize i = 0; i < G_N_ELEMENTS(patterns); i++) {
        g_autoptr(GMatchInfo) match = NULL;
        gboolean found = (of_pitch || !patterns[i].slashed) && g_regex_match(made(i), letters, 0, &match);
        for (; found; found = g_match_info_next(match, NULL)) {
            g_autofree char *whole = g_match_info_fetch(match, 0), *first = g_match_info_fetch(match, 1);
            g_autofree char *second = g_match_info_fetch(match, 2);
            patterns[i].hear(all, whole, first, second != NULL ? second : "");
        }
    }
    return all;
}

gboolean gb_said_count(const char *text, const char *things, double *count)
{
    g_autofree char *letters = gb_plain_words(text, TEXT_MAX_BYTES), *name = gb_plain_words(things, TEXT_MAX_BYTES);
    gsize n = strlen(name);
    if (n > 1 && name[n - 1] == 's')
        name[n - 1] = '\0';
    if (*name == '\0' || strstr(letters, name) == NULL) /* most captions: a look costs less than a pattern */
        return FALSE;
    g_autofree char *escaped = g_regex_escape_string(name, -1);
    g_autofree char *pattern = g_strdup_printf(BEGIN "(" WHOLE ") %ss?\\b", escaped);
    g_autoptr(GRegex) regex = g_regex_new(pattern, 0, 0, NULL);
    g_autoptr(GMatchInfo) match = NULL;
    if (regex == NULL || !g_regex_match(regex, letters, 0, &match))
        return FALSE;
    g_autofree char *first = g_match_info_fetch(match, 1);
    *count = whole_of(first);
    return TRUE;
}
