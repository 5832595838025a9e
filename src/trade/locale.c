/* locale.c -- see locale.h.
 *
 * Source: Unicode CLDR 48 as node 20 with ICU 78 has it; tests/test_locale.c holds the table against the node that is there (older ones differ in some). A day is the
 * skeleton yMd, a time of day the format "medium", both parted by what that locale puts between them; numbers are the format "decimal"
 * with its least number of digits to be grouped. Patterns are of UTS #35: y M d H h m s a, doubled with a leading zero, 'text'.
 *
 * A text is what the program wrote: days, times of day and numbers are found in it by their form, and what only looks like a part of one
 * ("7/12", "0.1.0", "12' 3.5-in") stays.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <gablebook/locale.h>

#include <gablebook/error.h>
#include <gablebook/quote.h>
#include <gablebook/settings.h>
#include <string.h>

struct GbLocale {
    const char *tag, *day, *time, *between, *am, *pm;
    const char *point, *group;
    int least; /* digits before the point from which on thousands are grouped */
};

#define NBSP "\xc2\xa0"      /* U+00A0 */
#define NARROW "\xe2\x80\xaf" /* U+202F */

/* CLDR puts U+202F before AM in English; a plain no-break space is in every font. */
static const GbLocale all[] = {
    { "en-US", "M/d/y", "h:mm:ss" NBSP "a", ", ", "AM", "PM", ".", ",", 4 },
    { "en-CA", "y-MM-dd", "h:mm:ss" NBSP "a", ", ", "a.m.", "p.m.", ".", ",", 4 },
    { "en-GB", "dd/MM/y", "HH:mm:ss", ", ", NULL, NULL, ".", ",", 4 },
    { "en-AU", "dd/MM/y", "h:mm:ss" NBSP "a", ", ", "am", "pm", ".", ",", 4 },
    { "es-US", "d/M/y", "h:mm:ss" NBSP "a", ", ", "a.m.", "p.m.", ".", ",", 4 },
    { "es-MX", "d/M/y", "h:mm:ss" NBSP "a", ", ", "a.m.", "p.m.", ".", ",", 4 },
    { "es-ES", "d/M/y", "H:mm:ss", ", ", NULL, NULL, ",", ".", 5 },
    { "fr-CA", "y-MM-dd", "HH' h 'mm' min 'ss' s'", " ", NULL, NULL, ",", NBSP, 4 },
    { "fr-FR", "dd/MM/y", "HH:mm:ss", " ", NULL, NULL, ",", NARROW, 4 },
    { "de-DE", "d.M.y", "HH:mm:ss", ", ", NULL, NULL, ",", ".", 4 },
    { "it-IT", "dd/MM/y", "HH:mm:ss", ", ", NULL, NULL, ",", ".", 5 },
    { "nl-NL", "d-M-y", "HH:mm:ss", ", ", NULL, NULL, ",", ".", 4 },
    { "pt-BR", "dd/MM/y", "HH:mm:ss", ", ", NULL, NULL, ",", ".", 4 },
    { "sv-SE", "y-MM-dd", "HH:mm:ss", " ", NULL, NULL, ",", NBSP, 4 },
};

static const char *const tags[] = { "ISO",   "en-US", "en-CA", "en-GB", "en-AU", "es-US", "es-MX", "es-ES",
                                    "fr-CA", "fr-FR", "de-DE", "it-IT", "nl-NL", "pt-BR", "sv-SE", NULL };
G_STATIC_ASSERT(G_N_ELEMENTS(tags) == G_N_ELEMENTS(all) + 2);

const char *const *gb_locale_tags(void)
{
    return tags;
}

const char *gb_locale_tag(const GbLocale *locale)
{
    return locale->tag;
}

static gboolean find(const char *tag, const GbLocale **locale, GError **error)
{
    g_autofree char *dashed = g_strdelimit(g_strdup(tag), "_", '-');
    *locale = NULL;
    if (g_ascii_strcasecmp(dashed, tags[0]) == 0)
        return TRUE;
    for (gsize i = 0; i < G_N_ELEMENTS(all); i++)
        if (g_ascii_strcasecmp(dashed, all[i].tag) == 0) {
            *locale = &all[i];
            return TRUE;
        }
    g_autofree char *typed = gb_quote(tag), *known = g_strjoinv(", ", (char **)tags);
    g_set_error(error, GB_ERROR, GB_ERROR_UNKNOWN, "%s is no locale that is known here; there is %s", typed, known);
    return FALSE;
}

gboolean gb_locale_parse(const char *tag, const GbLocale **locale, GError **error)
{
    g_autoptr(GbSettings) settings = tag == NULL ? gb_settings_load(error) : NULL;
    if (tag == NULL && settings == NULL)
        return FALSE;
    const char *said = tag != NULL ? tag : gb_settings_get(settings, "locale");
    return find(said != NULL ? said : tags[0], locale, error);
}

/* --- days and times of day --- */

typedef struct {
    int year, month, day, hour, minute, second;
} Moment;

/* The value of a letter; doubled letters have a leading zero. */
static void add_letter(GString *out, const GbLocale *locale, const Moment *moment, char letter, int times)
{
    int twelve = moment->hour % 12 == 0 ? 12 : moment->hour % 12;
    int value = letter == 'y'   ? moment->year
                : letter == 'M' ? moment->month
                : letter == 'd' ? moment->day
                : letter == 'H' ? moment->hour
                : letter == 'h' ? twelve
                : letter == 'm' ? moment->minute
                                : moment->second;
    if (letter == 'a')
        g_string_append(out, moment->hour < 12 ? locale->am : locale->pm);
    else if (letter == 'y')
        g_string_append_printf(out, "%04d", value);
    else
        g_string_append_printf(out, "%0*d", times, value);
}

static void add_pattern(GString *out, const GbLocale *locale, const Moment *moment, const char *pattern)
{
    gboolean quoted = FALSE;
    for (const char *p = pattern; *p != '\0';) {
        int times = 1;
        if (*p == '\'') {
            quoted = !quoted;
        } else if (!quoted && strchr("yMdHhmsa", *p) != NULL) {
            while (p[times] == *p)
                times++;
            add_letter(out, locale, moment, *p, times);
        } else {
            g_string_append_c(out, *p);
        }
        p += times;
    }
}

/* Exactly as many digits as the mask has zeros, everything else as it stands there. */
static gboolean fits(const char *text, const char *mask)
{
    for (; *mask != '\0'; mask++, text++)
        if (*mask == '0' ? !g_ascii_isdigit(*text) : *text != *mask)
            return FALSE;
    return TRUE;
}

static int digits(const char *text, int n)
{
    int value = 0;
    for (int i = 0; i < n; i++)
        value = value * 10 + text[i] - '0';
    return value;
}

static void read_time(Moment *moment, const char *text)
{
    moment->hour = digits(text, 2);
    moment->minute = digits(text + 3, 2);
    moment->second = digits(text + 6, 2);
}

/* A day, a time of day or both at text: added to out. Returns its length, 0 for none. */
static gsize take_moment(GString *out, const GbLocale *locale, const char *text)
{
    Moment moment = { 0 };
    if (fits(text, "00:00:00") && !g_ascii_isdigit(text[8])) {
        read_time(&moment, text);
        add_pattern(out, locale, &moment, locale->time);
        return 8;
    }
    if (!fits(text, "0000-00-00") || g_ascii_isalnum(text[10]) || text[10] == '-')
        return 0;
    moment.year = digits(text, 4);
    moment.month = digits(text + 5, 2);
    moment.day = digits(text + 8, 2);
    add_pattern(out, locale, &moment, locale->day);
    if (!fits(text + 10, " 00:00:00") || g_ascii_isdigit(text[19]))
        return 10;
    g_string_append(out, locale->between);
    read_time(&moment, text + 11);
    add_pattern(out, locale, &moment, locale->time);
    return 19;
}

/* --- numbers --- */

static void add_grouped(GString *out, const GbLocale *locale, const char *grouped, gsize length)
{
    g_autofree char *text = g_strndup(grouped, length);
    char *digit = text;
    for (const char *p = text; *p != '\0'; p++)
        if (*p != ',')
            *digit++ = *p;
    gsize n = (gsize)(digit - text);
    for (gsize i = 0; i < n; i++) {
        if (i > 0 && (n - i) % 3 == 0 && n >= (gsize)locale->least)
            g_string_append(out, locale->group);
        g_string_append_c(out, text[i]);
    }
}

/* The length of the digits before the point; the program's own grouping, "1,234", is part of them. */
static gsize whole_part(const char *text)
{
    gsize n = strspn(text, "0123456789");
    for (gsize first = n; first <= 3 && fits(text + n, ",000") && !g_ascii_isdigit(text[n + 4]);)
        n += 4;
    return n;
}

/* A number at text, which stands free: "1976.7 sq ft", but not in "0.1.0" or "7.5/12". Returns its length, 0 for none. */
static gsize take_number(GString *out, const GbLocale *locale, const char *text)
{
    gsize whole = whole_part(text), part = text[whole] == '.' ? strspn(text + whole + 1, "0123456789") : 0;
    gsize n = whole + (part > 0 ? 1 + part : 0);
    if (whole == 0 || g_ascii_isalpha(text[n]) || (text[n] != '\0' && strchr("/:-_", text[n]) != NULL) ||
        (text[n] == '.' && g_ascii_isdigit(text[n + 1])))
        return 0;
    add_grouped(out, locale, text, whole);
    if (part > 0) {
        g_string_append(out, locale->point);
        g_string_append_len(out, text + whole + 1, (gssize)part);
    }
    return n;
}

/* --- texts --- */

static gboolean stands_free(const char *text, const char *at)
{
    return at == text || (!g_ascii_isalnum(at[-1]) && strchr("./:-_#", at[-1]) == NULL);
}

char *gb_locale_text(const GbLocale *locale, const char *text, GbLocaleParts parts)
{
    g_autoptr(GString) out = g_string_new(NULL);
    for (const char *at = text; *at != '\0';) {
        gsize n = 0;
        if (g_ascii_isdigit(*at) && stands_free(text, at)) {
            n = parts & GB_LOCALE_TIMES ? take_moment(out, locale, at) : 0;
            if (n == 0 && parts & GB_LOCALE_NUMBERS)
                n = take_number(out, locale, at);
        }
        if (parts & GB_LOCALE_WHOLE && (n == 0 || at[n] != '\0'))
            return g_strdup(text);
        if (n == 0)
            g_string_append_c(out, *at++);
        at += n;
    }
    return g_string_free(g_steal_pointer(&out), FALSE);
}
