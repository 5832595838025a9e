/* escape.c -- text from outside made harmless where it goes out. See escape.h.
 *
 * Each function walks the text once, character by character, and decides by code point. Bytes that are no
 * UTF-8 are not expected behind gb_clean_text; where they turn up all the same, each becomes U+FFFD, so that
 * no output is ever invalid because an earlier step forgot to clean.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <gablebook/escape.h>

#define REPLACEMENT 0xFFFD

/* The character at *p, and *p moved past it; U+FFFD for one byte that is no UTF-8 (NUL among them). */
static gunichar next_char(const char **p, const char *end)
{
    gunichar c = g_utf8_get_char_validated(*p, end - *p);
    if (c == (gunichar)-1 || c == (gunichar)-2) {
        *p += 1;
        return REPLACEMENT;
    }
    *p = g_utf8_next_char(*p);
    return c;
}

static gboolean is_line_end(gunichar c)
{
    return c == '\n' || c == '\r' || c == 0x0B || c == 0x0C || c == 0x85 || c == 0x2028 || c == 0x2029;
}

static gboolean is_control(gunichar c)
{
    return c < 0x20 || (c >= 0x7F && c <= 0x9F);
}

/* Characters that reorder what a terminal shows: a file name can pretend another ending with them. */
static gboolean is_bidi_control(gunichar c)
{
    return c == 0x061C || c == 0x200E || c == 0x200F || (c >= 0x202A && c <= 0x202E) || (c >= 0x2066 && c <= 0x2069);
}

/* HTML, "Preprocessing the input stream": controls other than white space, and non-characters, are errors. */
static gboolean is_forbidden_in_html(gunichar c)
{
    if (is_control(c))
        return c != '\t' && c != '\n' && c != '\r';
    return (c >= 0xFDD0 && c <= 0xFDEF) || (c & 0xFFFE) == 0xFFFE;
}

void gb_escape_html(GString *out, const char *text, gsize n)
{
    for (const char *p = text, *end = text + n; p < end;) {
        gunichar c = next_char(&p, end);
        switch (c) {
        case '&': g_string_append(out, "&amp;"); break;
        case '<': g_string_append(out, "&lt;"); break;
        case '>': g_string_append(out, "&gt;"); break;
        case '"': g_string_append(out, "&quot;"); break;
        case '\'': g_string_append(out, "&#39;"); break;
        default: g_string_append_unichar(out, is_forbidden_in_html(c) ? REPLACEMENT : c);
        }
    }
}

static const char *skip_digits(const char *p)
{
    while (g_ascii_isdigit(*p))
        p++;
    return p;
}

/* "-12", "+4.5", "-1e6": what a spreadsheet reads as a number. strtod would also take "-inf" and "-0x1p3". */
static gboolean is_number(const char *text)
{
    const char *p = text + (*text == '+' || *text == '-');
    const char *whole = p;
    p = skip_digits(p);
    gsize digits = p - whole;
    if (*p == '.') {
        const char *fraction = ++p;
        p = skip_digits(p);
        digits += p - fraction;
    }
    if (digits == 0)
        return FALSE;
    if (*p == 'e' || *p == 'E') {
        p += 1 + (p[1] == '+' || p[1] == '-');
        if (!g_ascii_isdigit(*p))
            return FALSE;
        p = skip_digits(p);
    }
    return *p == '\0';
}

static gboolean would_be_formula(const char *text)
{
    return *text != '\0' && strchr("=+-@\t\r", *text) != NULL && !is_number(text);
}

static gboolean wants_quotes(const char *text)
{
    if (*text == '\0')
        return FALSE;
    char last = text[strlen(text) - 1];
    return strpbrk(text, ",\"\r\n") != NULL || *text == ' ' || *text == '\t' || last == ' ' || last == '\t';
}

void gb_escape_csv(GString *out, const char *text)
{
    gboolean quoted = wants_quotes(text);
    if (quoted)
        g_string_append_c(out, '"');
    if (would_be_formula(text))
        g_string_append_c(out, '\'');
    for (const char *p = text; *p != '\0'; p++) {
        if (*p == '"')
            g_string_append_c(out, '"');
        g_string_append_c(out, *p);
    }
    if (quoted)
        g_string_append_c(out, '"');
}

/* Most text is: nothing in it can need escaping. */
static gboolean is_plain(const char *text)
{
    while (*text >= ' ' && *text <= '~')
        text++;
    return *text == '\0';
}

char *gb_escape_terminal(const char *text)
{
    if (is_plain(text))
        return g_strdup(text);
    GString *out = g_string_new(NULL);
    const char *end = text + strlen(text);
    for (const char *p = text; p < end;) {
        gunichar c = next_char(&p, end);
        if (c == '\r' && p < end && *p == '\n')
            p++; /* CR LF is one line end */
        if (is_line_end(c))
            g_string_append_c(out, ' ');
        else if (is_control(c))
            g_string_append_printf(out, "\\x%02x", c);
        else if (is_bidi_control(c))
            g_string_append_printf(out, "\\u%04x", c);
        else
            g_string_append_unichar(out, c);
    }
    return g_string_free(out, FALSE);
}

/* Whether bytes above ASCII are all printable in ISO 8859-1, where 80-9F are controls. */
static gboolean is_latin1(const char *bytes, gsize n)
{
    for (gsize i = 0; i < n; i++)
        if ((guchar)bytes[i] >= 0x80 && (guchar)bytes[i] < 0xA0)
            return FALSE;
    return TRUE;
}

static char *as_utf8(const char *bytes, gsize n)
{
    if (g_utf8_validate_len(bytes, n, NULL) || !is_latin1(bytes, n))
        return g_utf8_make_valid(bytes, n);
    GString *out = g_string_sized_new(n);
    for (gsize i = 0; i < n; i++)
        g_string_append_unichar(out, (guchar)bytes[i]);
    return g_string_free(out, FALSE);
}

/* The text without its control characters. */
static GString *printable(const char *text)
{
    GString *out = g_string_sized_new(strlen(text));
    for (const char *p = text; *p != '\0'; p = g_utf8_next_char(p))
        if (!is_control(g_utf8_get_char(p)))
            g_string_append_unichar(out, g_utf8_get_char(p));
    return out;
}

static void trim(GString *text)
{
    const char *start = text->str;
    while (*start != '\0' && g_unichar_isspace(g_utf8_get_char(start)))
        start = g_utf8_next_char(start);
    g_string_erase(text, 0, start - text->str);
    while (text->len > 0) {
        const char *last = g_utf8_prev_char(text->str + text->len);
        if (!g_unichar_isspace(g_utf8_get_char(last)))
            break;
        g_string_truncate(text, last - text->str);
    }
}

char *gb_clean_text(const void *bytes, gsize n)
{
    const char *nul = n > 0 ? memchr(bytes, '\0', n) : NULL;
    gsize length = nul != NULL ? (gsize)(nul - (const char *)bytes) : n;
    if (length == 0)
        return NULL;
    g_autofree char *utf8 = as_utf8(bytes, length);
    GString *text = printable(utf8);
    trim(text);
    gboolean empty = text->len == 0;
    char *result = g_string_free(text, empty);
    return empty ? NULL : result;
}
