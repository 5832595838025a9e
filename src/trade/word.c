/* word.c -- abbreviations, the same everywhere. See word.h.
 *
 * Text and labels are folded to words without case. Every label gets a rank for the text; the best rank wins, and
 * where two labels share it, nothing is guessed.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <gablebook/word.h>

#include "trade/trade-private.h"
#include <gablebook/error.h>
#include <gablebook/quote.h>

enum { TEXT_MAX_BYTES = 256, LISTED_MAX = 8 };

/* How well a label answers a text; higher is better. */
typedef enum {
    RANK_NONE,
    RANK_BEGINS,   /* the words typed begin words of the label, in order */
    RANK_AS_MANY,  /* ... and the label has no further words, or whole words were typed */
    RANK_IN_PART,  /* as many, and at least one word was typed in full: "wind d" for "wind damage" */
    RANK_SQUEEZED, /* the same letters, spaced otherwise: "closeup" */
    RANK_EXACT
} Rank;

static gboolean separates(gunichar c)
{
    return g_unichar_isspace(c) || c == '_' || c == '/' || g_unichar_type(c) == G_UNICODE_DASH_PUNCTUATION;
}

/* The words of a text, folded. Never holds an empty one. OWNED by the caller. */
static char **words_of(const char *text)
{
    g_autofree char *valid = g_utf8_make_valid(text, -1);
    g_autofree char *composed = g_utf8_normalize(valid, -1, G_NORMALIZE_ALL_COMPOSE);
    g_autofree char *folded = g_utf8_casefold(composed, -1);
    g_autoptr(GStrvBuilder) words = g_strv_builder_new();
    g_autoptr(GString) word = g_string_new(NULL);
    for (const char *p = folded; ; p = g_utf8_next_char(p)) {
        gunichar c = g_utf8_get_char(p);
        if (c != '\0' && !separates(c)) {
            g_string_append_unichar(word, c);
            continue;
        }
        if (word->len > 0)
            g_strv_builder_add(words, word->str);
        g_string_truncate(word, 0);
        if (c == '\0')
            return g_strv_builder_end(words);
    }
}

char *gb_word_squeeze(const char *text)
{
    g_auto(GStrv) words = words_of(text);
    return g_strjoinv("", words);
}

/* Hold the words typed against those of a label, in order. Taking the first that fits never spoils a later one. */
static Rank rank_of_words(char *const *typed, char *const *label)
{
    gboolean whole = TRUE, part = FALSE, as_many = g_strv_length((char **)typed) == g_strv_length((char **)label);
    for (; *typed != NULL; typed++, label++) {
        while (*label != NULL && !g_str_has_prefix(*label, *typed))
            label++;
        if (*label == NULL)
            return RANK_NONE;
        gboolean full = g_str_equal(*typed, *label);
        whole = whole && full;
        part = part || full;
    }
    if (as_many && part)
        return RANK_IN_PART;
    /* 'wind' is as likely a part of 'wind damage' as the beginning of 'window' */
    return as_many || whole ? RANK_AS_MANY : RANK_BEGINS;
}

static Rank rank_of(char *const *typed, const char *squeezed, const char *label_text)
{
    g_auto(GStrv) label = words_of(label_text);
    if (g_strv_equal((const char *const *)typed, (const char *const *)label))
        return RANK_EXACT;
    g_autofree char *label_squeezed = g_strjoinv("", label);
    return g_str_equal(squeezed, label_squeezed) ? RANK_SQUEEZED : rank_of_words(typed, label);
}

/* "edge of a roof" in the plural: "edges of a roof". OWNED by the caller. */
static char *plural_of(const char *what)
{
    static const char *const joints[] = { " of ", " for ", " with ", " to " };
    gsize n = strlen(what);
    for (gsize i = 0; i < G_N_ELEMENTS(joints); i++) {
        const char *joint = strstr(what, joints[i]);
        if (joint != NULL)
            n = MIN(n, (gsize)(joint - what));
    }
    return g_strdup_printf("%.*ss%s", (int)n, what, what + n);
}

static void fail_unclear(const char *text, const char *const *labels, const GArray *best, const char *what, GError **error)
{
    g_autoptr(GString) list = g_string_new(NULL);
    guint shown = MIN(best->len, LISTED_MAX);
    for (guint i = 0; i < shown; i++) {
        g_autofree char *label = gb_quote(labels[g_array_index(best, gsize, i)]);
        const char *joint = i == 0 ? "" : i + 1 == best->len ? " or " : ", ";
        g_string_append_printf(list, "%s%s", joint, label);
    }
    if (shown < best->len)
        g_string_append_printf(list, " or %u more", best->len - shown);
    g_autofree char *typed = gb_quote(text), *several = plural_of(what);
    g_set_error(error, GB_ERROR, GB_ERROR_UNCLEAR, "%s could be the %s %s; type more of it", typed, several, list->str);
}

/* All of a few labels, quoted; NULL when there are none or many. OWNED by the caller. */
static char *quote_few(const char *const *labels, gsize n)
{
    if (n == 0 || n > LISTED_MAX)
        return NULL;
    g_autoptr(GString) list = g_string_new(NULL);
    for (gsize i = 0; i < n; i++) {
        g_autofree char *label = gb_quote(labels[i]);
        g_string_append_printf(list, "%s%s", i == 0 ? "" : ", ", label);
    }
    return g_string_free(g_steal_pointer(&list), FALSE);
}

static void fail_unknown(const char *text, const char *const *labels, gsize n, const char *what, GError **error)
{
    g_autofree char *typed = gb_quote(text);
    g_autofree char *near = gb_quote_nearest(text, labels, n);
    g_autofree char *few = near != NULL ? NULL : quote_few(labels, n);
    g_set_error(error, GB_ERROR, GB_ERROR_UNKNOWN, "%s is no %s%s%s", typed, what, near != NULL ? "; nearest: " : few != NULL ? "; there is " : "",
                near != NULL ? near : few != NULL ? few : "");
}

gssize gb_word_find(const char *text, const char *const *labels, gsize n, const char *what, GError **error)
{
    if (strlen(text) > TEXT_MAX_BYTES) {
        fail_unknown(text, labels, 0, what, error);
        return -1;
    }
    g_auto(GStrv) typed = words_of(text);
    if (typed[0] == NULL) {
        g_set_error(error, GB_ERROR, GB_ERROR_UNKNOWN, "no %s is named: the text is empty", what);
        return -1;
    }
    g_autofree char *squeezed = g_strjoinv("", typed);
    g_autoptr(GArray) best = g_array_new(FALSE, FALSE, sizeof(gsize));
    Rank best_rank = RANK_BEGINS;
    for (gsize i = 0; i < n; i++) {
        Rank rank = rank_of(typed, squeezed, labels[i]);
        if (rank < best_rank)
            continue;
        if (rank > best_rank)
            g_array_set_size(best, 0);
        best_rank = rank;
        g_array_append_val(best, i);
    }
    if (best->len == 1)
        return (gssize)g_array_index(best, gsize, 0);
    if (best->len == 0)
        fail_unknown(text, labels, n, what, error);
    else
        fail_unclear(text, labels, best, what, error);
    return -1;
}
