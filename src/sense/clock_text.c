/* clock_text.c -- clock errors and zones as people write them. See clock.h.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <gablebook/clock.h>

#include <gablebook/error.h>
#include <gablebook/quote.h>
#include <math.h>

#define TEXT_MAX_BYTES 64
#define MAX_S (36525 * 86400.0)
#define HOW_TO "write it like 1 h 7 min slow, 2:05:10 fast, or right"

/* One number with its unit, large units first; a comma, "and" or nothing between. */
#define PART(name, unit) "(?:(?<" name ">[0-9]{1,10}(?:\\.[0-9]{1,6})?) ?(?:" unit ")(?![a-z])\\.?,? ?(?:and )?)?"
#define UNITS PART("d", "days?|d") PART("h", "hours?|hrs?|h") PART("min", "minutes?|mins?|m") PART("s", "seconds?|secs?|s")
#define COLONS "(?<ch>[0-9]{1,6}):(?<cm>[0-5][0-9]):(?<cs>[0-5][0-9](?:\\.[0-9]{1,6})?)"
#define SIDE "(?<side>slow|behind|fast|ahead)"

static const char *const how_words[] = { "none", "aligned", "tag", "gps", "paired", "said" };
static const char *const zone_how_words[] = { "none", "tag", "near", "rounded" };

char *gb_clock_how_text(const GbClockStretch *stretch)
{
    const char *plural = stretch->used == 1 ? "" : "s";
    g_autofree char *guess = gb_clock_text(stretch->guess_s);
    switch (stretch->how) {
    case GB_CLOCK_GPS:
        return g_strdup_printf("measured by GPS time in %u shot%s", stretch->used, plural);
    case GB_CLOCK_TAG:
        return g_strdup("zone from the photos, clock taken as right");
    case GB_CLOCK_ALIGNED:
        return g_strdup_printf("fitted to the other cameras, %.0f %% sure", floor(100 * stretch->confidence));
    case GB_CLOCK_PAIRED:
        return g_strdup_printf("by %u pair%s of shots that a person gave", stretch->used, plural);
    case GB_CLOCK_SAID:
        return g_strdup("as a person said");
    case GB_CLOCK_NONE:
        break;
    }
    if (*guess == '\0')
        return g_strdup("clock not known, taken as right");
    return g_strdup_printf("clock not known, taken as right (it may be %s, %.0f %% sure)", guess, floor(100 * stretch->confidence));
}

const char *gb_clock_how_word(GbClockHow how)
{
    return how_words[how];
}

const char *gb_zone_how_word(GbZoneHow how)
{
    return zone_how_words[how];
}

/* Lower case, single blanks, none at the ends; "" for what is too long or no UTF-8. OWNED by the caller. */
static char *plain(const char *text)
{
    if (strnlen(text, TEXT_MAX_BYTES + 1) > TEXT_MAX_BYTES || !g_utf8_validate(text, -1, NULL))
        return g_strdup("");
    g_autofree char *lower = g_ascii_strdown(text, -1);
    g_autoptr(GRegex) blanks = g_regex_new("\\s+", 0, 0, NULL);
    return g_strstrip(g_regex_replace_literal(blanks, lower, -1, 0, " ", 0, NULL));
}

static double named(const GMatchInfo *found, const char *name, double unit_s)
{
    g_autofree char *digits = g_match_info_fetch_named(found, name);
    return digits != NULL && digits[0] != '\0' ? g_ascii_strtod(digits, NULL) * unit_s : 0;
}

static gboolean matches(const char *pattern, const char *text)
{
    return g_regex_match_simple(pattern, text, 0, 0);
}

static gboolean fail(const char *text, const char *letters, GError **error)
{
    g_autofree char *shown = gb_quote(text);
    if (matches("^[0-9]+:[0-9]+( " SIDE ")?$", letters))
        g_set_error(error, GB_ERROR, GB_ERROR_UNCLEAR, "%s may mean hours or minutes; write 1:07:00 or 1 h 7 min", shown);
    else if (matches("^[0-9.]+( " SIDE ")?$", letters))
        g_set_error(error, GB_ERROR, GB_ERROR_UNCLEAR, "%s has no unit; " HOW_TO, shown);
    else if (matches("^(?=[0-9])(?:" COLONS "|" UNITS ")$", letters))
        g_set_error(error, GB_ERROR, GB_ERROR_UNCLEAR, "%s may be slow or fast; " HOW_TO, shown);
    else
        g_set_error(error, GB_ERROR, GB_ERROR_SYNTAX, "%s does not say how wrong a clock is; " HOW_TO, shown);
    return FALSE;
}

gboolean gb_clock_parse(const char *text, double *error_s, GError **error)
{
    g_autofree char *letters = plain(text);
    if (g_str_equal(letters, "right") || g_str_equal(letters, "correct")) {
        *error_s = 0;
        return TRUE;
    }
    g_autoptr(GRegex) regex = g_regex_new("^(?=[0-9])(?:" COLONS "|" UNITS ") ?(?:too )?" SIDE "$", 0, 0, NULL);
    g_autoptr(GMatchInfo) found = NULL;
    if (!g_regex_match(regex, letters, 0, &found))
        return fail(text, letters, error);
    double s = named(found, "d", 86400) + named(found, "h", 3600) + named(found, "min", 60) + named(found, "s", 1) +
               named(found, "ch", 3600) + named(found, "cm", 60) + named(found, "cs", 1);
    if (s > MAX_S) {
        g_autofree char *shown = gb_quote(text);
        g_set_error(error, GB_ERROR, GB_ERROR_SYNTAX, "%s is more than 100 years; " HOW_TO, shown);
        return FALSE;
    }
    g_autofree char *side = g_match_info_fetch_named(found, "side");
    *error_s = g_str_equal(side, "slow") || g_str_equal(side, "behind") ? 0 - s : s;
    return TRUE;
}

static void append_part(GString *text, gint64 count, const char *unit)
{
    if (count != 0)
        g_string_append_printf(text, "%s%" G_GINT64_FORMAT " %s", text->len > 0 ? " " : "", count, unit);
}

char *gb_clock_text(double error_s)
{
    if (!(fabs(error_s) < 1e15)) /* a NAN fails it */
        return g_strdup("");
    gint64 s = (gint64)round(fabs(error_s));
    if (s == 0)
        return g_strdup("right");
    GString *text = g_string_new(NULL);
    append_part(text, s / 86400, "d");
    append_part(text, s / 3600 % 24, "h");
    append_part(text, s / 60 % 60, "min");
    append_part(text, s % 60, "s");
    g_string_append(text, error_s < 0 ? " slow" : " fast");
    return g_string_free(text, FALSE);
}

char *gb_zone_text(int zone_min)
{
    return g_strdup_printf("UTC%c%02d:%02d", zone_min < 0 ? '-' : '+', ABS(zone_min) / 60, ABS(zone_min) % 60);
}
