/* measure.c -- values as adjusters write them. See measure.h.
 *
 * A text is first brought to plain letters (typographic primes, quotes, dashes and fractions), then held against one
 * pattern a spelling; a pattern takes the whole text or nothing, so nothing is ever read half. The patterns bound every
 * number to a few digits: no exponent, sign, infinity or hexadecimal can come through.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <gablebook/measure.h>

#include "trade/trade-private.h"
#include <gablebook/error.h>
#include <gablebook/quote.h>
#include <math.h>

#define TEXT_MAX_BYTES 64
#define PITCH_MAX 48.0
#define LENGTH_MAX_IN 12000.0
#define IN_PER_FT 12.0
#define MM_PER_IN 25.4
#define DEG_PER_RAD (180.0 / G_PI)

/* 7, 7.5, .5, 1/2, 7 1/2, 7-1/2; not \d, which GRegex takes for the digits of every script */
#define NUMBER "(?:[0-9]{1,5}(?:\\.[0-9]{1,6})?|\\.[0-9]{1,6}|(?:[0-9]{1,5}[ -])?[0-9]{1,3}/[0-9]{1,3})"
#define INCH "(?:\"|inches|inch|in\\.?)"
#define FOOT "(?:'|feet|foot|ft\\.?)"

static const char *const kind_words[] = { "none", "pitch", "length", "count", "layers", "text" };

const char *gb_value_kind_word(GbValueKind kind)
{
    return kind_words[kind];
}

gboolean gb_value_kind_parse(const char *word, GbValueKind *kind, GError **error)
{
    for (guint i = 0; i < G_N_ELEMENTS(kind_words); i++)
        if (g_str_equal(word, kind_words[i])) {
            *kind = (GbValueKind)i;
            return TRUE;
        }
    g_autofree char *shown = gb_quote(word);
    g_set_error(error, GB_ERROR, GB_ERROR_UNKNOWN, "%s is no kind of value; there are none, pitch, length, count, layers, text", shown);
    return FALSE;
}

/* --- reading --- */

/* What phones and word processors put in the place of plain letters. */
static const char *plain_letter(gunichar c)
{
    switch (c) {
    case 0x2032: case 0x2019: case 0x2018: case 0x02B9: case 0x02BC: case 0x00B4: return "'";
    case 0x2033: case 0x201D: case 0x201C: case 0x02BA:                           return "\"";
    case 0x2010: case 0x2011: case 0x2012: case 0x2013: case 0x2212:              return "-";
    case 0x2044: case 0x2215:                                                     return "/";
    case 0x2236:                                                                  return ":";
    case 0x00BA:                                                                  return "°";
    case 0x00BD:                                                                  return " 1/2";
    case 0x00BC:                                                                  return " 1/4";
    case 0x00BE:                                                                  return " 3/4";
    case 0x2153:                                                                  return " 1/3";
    case 0x2154:                                                                  return " 2/3";
    case 0x215B:                                                                  return " 1/8";
    case 0x215C:                                                                  return " 3/8";
    case 0x215D:                                                                  return " 5/8";
    case 0x215E:                                                                  return " 7/8";
    default:                                                                      return NULL;
    }
}

char *gb_plain_letters(const char *text)
{
    return gb_plain_words(text, TEXT_MAX_BYTES);
}

char *gb_plain_words(const char *text, gsize max_bytes)
{
    if (strnlen(text, max_bytes + 1) > max_bytes || !g_utf8_validate(text, -1, NULL))
        return g_strdup("");
    GString *out = g_string_new(NULL);
    char last = ' '; /* a blank at the start, after a blank, or between "7-" and its fraction says nothing */
    for (const char *p = text; *p != '\0'; p = g_utf8_next_char(p)) {
        gunichar c = g_utf8_get_char(p);
        const char *letters = g_unichar_isspace(c) ? " " : plain_letter(c);
        if (letters == NULL)
            g_string_append_unichar(out, g_unichar_tolower(c));
        else
            g_string_append(out, letters + (letters[0] == ' ' && (last == ' ' || last == '-')));
        if (out->len > 0)
            last = out->str[out->len - 1];
    }
    g_string_replace(out, "''", "\"", 0); /* two single quotes for inches */
    return g_strchomp(g_string_free(out, FALSE));
}

/* Hold text against a pattern; its first group goes to *first, its second, if any, to *second ("" where it took no part). */
static gboolean match(const char *pattern, const char *text, char **first, char **second)
{
    g_autoptr(GRegex) regex = g_regex_new(pattern, 0, 0, NULL);
    g_autoptr(GMatchInfo) found = NULL;
    if (!g_regex_match(regex, text, 0, &found))
        return FALSE;
    *first = g_match_info_fetch(found, 1);
    if (second != NULL)
        *second = g_match_info_fetch(found, 2);
    return TRUE;
}

double gb_number_of(const char *text)
{
    const char *slash = strchr(text, '/');
    if (slash == NULL)
        return g_ascii_strtod(text, NULL);
    const char *gap = strpbrk(text, " -");
    const char *top = gap != NULL ? gap + 1 : text;
    double numerator = g_ascii_strtod(top, NULL), denominator = g_ascii_strtod(slash + 1, NULL);
    if (denominator == 0 || (gap != NULL && numerator >= denominator))
        return NAN;
    return (gap != NULL ? g_ascii_strtod(text, NULL) : 0) + numerator / denominator;
}

static gboolean fail(const char *text, const char *how, GError **error)
{
    g_autofree char *shown = gb_quote(text);
    g_set_error(error, GB_ERROR, GB_ERROR_SYNTAX, "%s is no %s", shown, how);
    return FALSE;
}

/* --- pitch --- */

/* The run is always 12 in or 1 ft: in "1/4" or "3/10" nobody can tell rise over run from rise over span. */
static double pitch_of(const char *text)
{
    g_autofree char *rise = NULL;
    if (match("^(" NUMBER ") ?" INCH "? ?(?:[:/-]|in|per|on|over|to) ?(?:12 ?" INCH "?|(?:1 ?)?" FOOT ")$", text, &rise, NULL))
        return gb_number_of(rise);
    if (match("^(" NUMBER ") ?(?:°|degrees|degree|deg\\.?)$", text, &rise, NULL)) {
        double deg = gb_number_of(rise);
        return deg < 90 ? 12 * tan(deg / DEG_PER_RAD) : (double)NAN;
    }
    if (match("^(" NUMBER ") ?(?:%|percent)$", text, &rise, NULL))
        return 12 * gb_number_of(rise) / 100;
    return NAN;
}

gboolean gb_pitch_parse(const char *text, double *rise_in_12, GError **error)
{
    g_autofree char *letters = gb_plain_letters(text), *lone = NULL;
    double rise = pitch_of(letters);
    if (rise >= 0 && rise <= PITCH_MAX) { /* false for NAN */
        *rise_in_12 = rise;
        return TRUE;
    }
    if (rise > PITCH_MAX)
        return fail(text, "roof pitch: steeper than 48/12", error);
    if (match("^(" NUMBER ")$", letters, &lone, NULL))
        return fail(text, "clear pitch; write 6/12 for inches per foot, or 32 deg, or 50%", error);
    return fail(text, "roof pitch; write it like 6/12, 7 1/2:12, 32 deg or 50%", error);
}

double gb_pitch_degrees(double rise_in_12)
{
    return atan(rise_in_12 / 12) * DEG_PER_RAD;
}

double gb_pitch_multiplier(double rise_in_12)
{
    return hypot(1, rise_in_12 / 12);
}

double gb_pitch_hip_factor(double rise_in_12)
{
    return hypot(G_SQRT2, rise_in_12 / 12);
}

/* --- length --- */

/* Feet with whole or broken inches: 10'4", 10 ft 4 1/2 in, 10'-4". Inches that would make another foot are a slip. */
static double feet_and_inches(const char *ft, const char *in)
{
    double inches = gb_number_of(in);
    return inches < IN_PER_FT ? g_ascii_strtod(ft, NULL) * IN_PER_FT + inches : (double)NAN;
}

static double length_of(const char *text)
{
    g_autofree char *number = NULL, *more = NULL;
    if (match("^(" NUMBER ") ?" INCH "?$", text, &number, NULL))
        return gb_number_of(number);
    if (match("^(" NUMBER ") ?" FOOT "$", text, &number, NULL))
        return gb_number_of(number) * IN_PER_FT;
    if (match("^([0-9]{1,4}) ?" FOOT " ?-? ?(" NUMBER ") ?" INCH "?$", text, &number, &more))
        return feet_and_inches(number, more);
    if (match("^(" NUMBER ") ?(mm|cm|m)$", text, &number, &more)) {
        double mm = g_str_equal(more, "mm") ? 1 : g_str_equal(more, "cm") ? 10 : 1000;
        return gb_number_of(number) * mm / MM_PER_IN;
    }
    return NAN;
}

gboolean gb_length_parse(const char *text, double *inches, GError **error)
{
    g_autofree char *letters = gb_plain_letters(text);
    double length = length_of(letters);
    if (length > 0 && length <= LENGTH_MAX_IN) { /* false for NAN */
        *inches = length;
        return TRUE;
    }
    if (length > LENGTH_MAX_IN)
        return fail(text, "length: longer than 1000 ft", error);
    if (length == 0)
        return fail(text, "length: it must be more than nothing", error);
    return fail(text, "length; write it like 4 1/2 in, 10'4\", 10 ft or 3.15 m", error);
}

gboolean gb_length_is_bare(const char *text)
{
    g_autofree char *letters = gb_plain_letters(text), *number = NULL;
    return match("^(?:[0-9]{1,4} ?" FOOT " ?-? ?)?(" NUMBER ")$", letters, &number, NULL);
}

gboolean gb_length_parse_with_unit(const char *text, double *inches, GError **error)
{
    g_autofree char *letters = gb_plain_letters(text), *lone = NULL;
    if (match("^(" NUMBER ")$", letters, &lone, NULL))
        return fail(text, "clear length; write 40' or 40 ft, 18 in, or 12 m", error);
    return gb_length_parse(text, inches, error);
}

/* --- showing --- */

/* printf of one number, the same in every locale. format has one double. OWNED by the caller. */
static char *format_number(const char *format, double number)
{
    char text[G_ASCII_DTOSTR_BUF_SIZE];
    return g_strdup(g_ascii_formatd(text, sizeof text, format, number));
}

char *gb_number_text(double number, int places)
{
    const char format[] = { '%', '.', (char)('0' + CLAMP(places, 0, 6)), 'f', '\0' };
    char *text = format_number(format, number);
    if (strchr(text, '.') != NULL) {
        gsize n = strlen(text);
        while (text[n - 1] == '0')
            text[--n] = '\0';
        if (text[n - 1] == '.')
            text[n - 1] = '\0';
    }
    return text;
}

/* Inches and eighths: "9", "9 1/4"; "1/8", or "0 1/8" behind feet. OWNED by the caller. */
static char *inches_text(gint64 eighths, gboolean behind_feet)
{
    gint64 whole = eighths / 8, part = eighths % 8, parts = 8;
    for (; part != 0 && part % 2 == 0; part /= 2)
        parts /= 2;
    if (part == 0)
        return g_strdup_printf("%" G_GINT64_FORMAT, whole);
    return whole == 0 && !behind_feet ? g_strdup_printf("%" G_GINT64_FORMAT "/%" G_GINT64_FORMAT, part, parts)
                                      : g_strdup_printf("%" G_GINT64_FORMAT " %" G_GINT64_FORMAT "/%" G_GINT64_FORMAT, whole, part, parts);
}

char *gb_length_text(double inches, GbUnits units)
{
    if (units == GB_UNITS_METRES) {
        g_autofree char *metres = format_number("%.2f", inches * MM_PER_IN / 1000);
        return g_strconcat(metres, " m", NULL);
    }
    const gint64 per_foot = 8 * (gint64)IN_PER_FT, eighths = (gint64)floor(inches * 8 + 0.5);
    g_autofree char *rest = inches_text(eighths % per_foot, eighths >= per_foot);
    return eighths < per_foot ? g_strconcat(rest, "\"", NULL)
                              : g_strdup_printf("%" G_GINT64_FORMAT "' %s\"", eighths / per_foot, rest);
}

char *gb_area_text(double sqft, GbUnits units)
{
    const double m2_per_sqft = IN_PER_FT * MM_PER_IN / 1000 * (IN_PER_FT * MM_PER_IN / 1000);
    gboolean metres = units == GB_UNITS_METRES;
    g_autofree char *number = format_number(metres ? "%.2f" : "%.1f", metres ? sqft * m2_per_sqft : sqft);
    return g_strconcat(number, metres ? " m²" : " sq ft", NULL);
}

char *gb_squares_text(double sqft)
{
    return format_number("%.2f", sqft / 100);
}

char *gb_pitch_text(double rise_in_12)
{
    g_autofree char *rise = gb_number_text(rise_in_12, 2);
    return g_strconcat(rise, "/12", NULL);
}

/* --- any kind --- */

static gboolean parse_whole(const char *text, const char *pattern, const char *how, double *number, GError **error)
{
    g_autofree char *letters = gb_plain_letters(text), *digits = NULL;
    if (!match(pattern, letters, &digits, NULL))
        return fail(text, how, error);
    *number = g_ascii_strtod(digits, NULL);
    return TRUE;
}

gboolean gb_value_parse(GbValueKind kind, const char *text, double *number, GError **error)
{
    switch (kind) {
    case GB_VALUE_PITCH:
        return gb_pitch_parse(text, number, error);
    case GB_VALUE_LENGTH:
        return gb_length_parse(text, number, error);
    case GB_VALUE_COUNT:
        return parse_whole(text, "^([0-9]{1,5})$", "count; write a whole number like 0 or 9", number, error);
    case GB_VALUE_LAYERS:
        return parse_whole(text, "^([1-9])$", "number of layers; write a whole number from 1 to 9", number, error);
    case GB_VALUE_TEXT:
        *number = NAN;
        return TRUE;
    case GB_VALUE_NONE:
        break;
    }
    g_autofree char *shown = gb_quote(text);
    g_set_error(error, GB_ERROR, GB_ERROR_SYNTAX, "this subject carries no value, so %s was not taken", shown);
    return FALSE;
}
