/* size.c -- a width by a height. See size.h.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <gablebook/size.h>

#include "trade/trade-private.h"
#include <gablebook/error.h>
#include <gablebook/measure.h>
#include <gablebook/quote.h>

/* The unit that ends a side: "ft" of "10 ft"; NULL where it ends in a digit. BORROWED from side. */
static const char *unit_of(const char *side)
{
    const char *end = side + strlen(side);
    while (end > side && !g_ascii_isdigit(end[-1]))
        end--;
    while (*end == ' ')
        end++;
    return *end != '\0' ? end : NULL;
}

/* A side with its own unit, else the other side's, else feet. OWNED by the caller. */
static char *complete(const char *side, const char *other)
{
    const char *unit = unit_of(side), *others = unit_of(other);
    return unit != NULL ? g_strdup(side) : g_strdup_printf("%s %s", side, others != NULL ? others : "ft");
}

gboolean gb_size_parse(const char *text, double *width_in, double *height_in, GError **error)
{
    g_autofree char *letters = gb_plain_letters(text);
    g_auto(GStrv) sides = g_regex_split_simple(" ?(?:x|×|by) ?", letters, 0, 0);
    guint n = g_strv_length(sides);
    if (n == 1 || n == 2) {
        const char *first = sides[0], *second = sides[n - 1];
        g_autofree char *width = complete(first, second), *height = complete(second, first);
        if (gb_length_parse(width, width_in, NULL) && gb_length_parse(height, height_in, NULL))
            return TRUE;
    }
    g_autofree char *shown = gb_quote(text);
    g_set_error(error, GB_ERROR, GB_ERROR_SYNTAX, "%s is no size; write it like 10 x 10 ft or 5 x 20 ft", shown);
    return FALSE;
}
