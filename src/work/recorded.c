/* recorded.c -- what the verbs fact, square and note share. See work-private.h.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "work-private.h"

#include <gablebook/error.h>
#include <gablebook/escape.h>
#include <gablebook/fact.h>
#include <gablebook/note.h>
#include <gablebook/quote.h>
#include <gablebook/shot.h>
#include <gablebook/square.h>

static gint compare_numbers(gconstpointer a, gconstpointer b)
{
    gint64 x = *(const gint64 *)a, y = *(const gint64 *)b;
    return (x > y) - (x < y);
}

GArray *gb_find_shot_numbers(const GPtrArray *shots, const char *text, GError **error)
{
    GArray *numbers = g_array_new(FALSE, FALSE, sizeof(gint64));
    if (*text == '\0')
        return numbers;
    g_autoptr(GPtrArray) named = gb_find_shots(shots, text, error);
    if (named == NULL) {
        g_array_unref(numbers);
        return NULL;
    }
    for (guint i = 0; i < named->len; i++)
        g_array_append_val(numbers, ((const GbShot *)named->pdata[i])->number);
    g_array_sort(numbers, compare_numbers);
    return numbers;
}

gboolean gb_take_words(const char *text, gsize max_bytes, const char *what, char **kept, GError **error)
{
    *kept = NULL;
    if (strlen(text) > max_bytes) {
        g_set_error(error, GB_ERROR, GB_ERROR_TOO_LARGE, "a %s of %" G_GSIZE_FORMAT " bytes; at most %" G_GSIZE_FORMAT
                    " are kept; nothing was changed", what, strlen(text), max_bytes);
        return FALSE;
    }
    *kept = gb_clean_text(text, strlen(text));
    return TRUE;
}

static void add_use(GString *uses, guint n, const char *what)
{
    if (n > 0)
        g_string_append_printf(uses, "%s%u %s%s", uses->len > 0 ? " and " : "", n, what, n == 1 ? "" : "s");
}

gboolean gb_place_is_free(GbLog *log, const GbPlace *place, GError **error)
{
    g_autoptr(GPtrArray) facts = gb_facts_load(log, error);
    g_autoptr(GPtrArray) squares = facts == NULL ? NULL : gb_squares_load(log, error);
    g_autoptr(GPtrArray) notes = squares == NULL ? NULL : gb_notes_load(log, error);
    guint n_facts = 0, n_squares = 0, n_notes = 0;
    if (notes == NULL)
        return FALSE;
    for (guint i = 0; i < facts->len; i++)
        n_facts += ((const GbFact *)facts->pdata[i])->place == place->id;
    for (guint i = 0; i < squares->len; i++)
        n_squares += ((const GbSquare *)squares->pdata[i])->place == place->id;
    for (guint i = 0; i < notes->len; i++)
        n_notes += ((const GbNote *)notes->pdata[i])->place == place->id;
    guint all = n_facts + n_squares + n_notes;
    if (all == 0)
        return TRUE;
    g_autoptr(GString) uses = g_string_new(NULL);
    add_use(uses, n_facts, "fact");
    add_use(uses, n_squares, "test square");
    add_use(uses, n_notes, "note");
    g_autofree char *shown = gb_quote(place->label);
    g_set_error(error, GB_ERROR, GB_ERROR_STATE, "%s still has %s: take %s back first; nothing was changed", shown, uses->str,
                all == 1 ? "it" : "them");
    return FALSE;
}
