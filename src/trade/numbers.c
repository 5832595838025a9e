/* numbers.c -- see numbers.h.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <gablebook/numbers.h>

#include <gablebook/error.h>
#include <gablebook/quote.h>

#define LARGEST 999999999

static gboolean parse_number(const char *text, gint64 *number)
{
    g_autofree char *copy = g_strstrip(g_strdup(text));
    guint64 value;
    if (!g_ascii_string_to_unsigned(copy, 10, 1, LARGEST, &value, NULL))
        return FALSE;
    *number = (gint64)value;
    return TRUE;
}

static gboolean parse_range(const char *text, GbRange *range)
{
    g_auto(GStrv) ends = g_strsplit(text, "-", 2);
    if (!parse_number(ends[0] ? ends[0] : "", &range->first))
        return FALSE;
    if (ends[1] == NULL) {
        range->last = range->first;
        return TRUE;
    }
    return parse_number(ends[1], &range->last) && range->first <= range->last;
}

GArray *gb_numbers_parse(const char *text, GError **error)
{
    g_autoptr(GArray) ranges = g_array_new(FALSE, FALSE, sizeof(GbRange));
    g_auto(GStrv) parts = g_strsplit(text, ",", -1);
    for (char **part = parts; *part != NULL; part++) {
        GbRange range;
        if (!parse_range(*part, &range)) {
            g_autofree char *shown = gb_quote(text);
            g_set_error(error, GB_ERROR, GB_ERROR_SYNTAX, "%s is no list of shot numbers; write it like 3,7-12", shown);
            return NULL;
        }
        g_array_append_val(ranges, range);
    }
    if (ranges->len == 0) {
        g_set_error(error, GB_ERROR, GB_ERROR_SYNTAX, "no shot numbers given; write them like 3,7-12");
        return NULL;
    }
    return g_steal_pointer(&ranges);
}

gboolean gb_numbers_hold(const GArray *ranges, gint64 number)
{
    for (guint i = 0; i < ranges->len; i++) {
        const GbRange *range = &g_array_index(ranges, GbRange, i);
        if (range->first <= number && number <= range->last)
            return TRUE;
    }
    return FALSE;
}

char *gb_numbers_text(const gint64 *numbers, gsize n)
{
    GString *text = g_string_new(NULL);
    for (gsize i = 0; i < n;) {
        gsize end = i;
        while (end + 1 < n && numbers[end + 1] == numbers[end] + 1)
            end++;
        gboolean join = end >= i + 2;
        g_string_append_printf(text, "%s%" G_GINT64_FORMAT, i > 0 ? ", " : "", numbers[i]);
        if (join)
            g_string_append_printf(text, "-%" G_GINT64_FORMAT, numbers[end]);
        i = join ? end + 1 : i + 1;
    }
    return g_string_free(text, FALSE);
}
