/* quote.c -- words in messages. See quote.h.
 *
 * Nearness is the edit distance with swaps of neighbours (optimal string alignment, Damerau 1964), once to the
 * whole label and once to the best stretch that begins at a word: 'slpoe' is near 'front slope' though half the label is
 * missing. The stretch decides whether and in which order labels are listed, the whole breaks ties.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <gablebook/quote.h>

enum { SHOWN_MAX = 60, LETTERS_MAX = 64, LISTED_MAX = 3 };

typedef struct {
    gsize index;
    guint stretch; /* edits to the best stretch of the label that begins at a word */
    guint whole;   /* edits to the whole label */
} Near;

/* Formatting characters could turn a line's direction around or hide in it. */
static gboolean printable(gunichar c)
{
    return g_unichar_isprint(c) && g_unichar_type(c) != G_UNICODE_FORMAT;
}

char *gb_quote(const char *text)
{
    /* four bytes hold any character: no need to look at more of a long text */
    g_autofree char *start = g_strndup(text, 4 * (SHOWN_MAX + 1));
    g_autofree char *valid = g_utf8_make_valid(start, -1);
    GString *quoted = g_string_new("'");
    guint n = 0;
    for (const char *p = valid; *p != '\0'; p = g_utf8_next_char(p)) {
        if (n++ == SHOWN_MAX) {
            g_string_append(quoted, "…");
            break;
        }
        gunichar c = g_utf8_get_char(p);
        g_string_append_unichar(quoted, printable(c) ? c : 0xFFFD);
    }
    g_string_append_c(quoted, '\'');
    return g_string_free(quoted, FALSE);
}

/* The letters to compare, without case; at most LETTERS_MAX, which the result never exceeds. */
static gunichar *letters_of(const char *text, guint *n)
{
    g_autofree char *start = g_strndup(text, 4 * LETTERS_MAX);
    g_autofree char *valid = g_utf8_make_valid(start, -1);
    g_autofree char *folded = g_utf8_casefold(valid, -1);
    glong length;
    gunichar *letters = g_utf8_to_ucs4_fast(folded, -1, &length);
    *n = (guint)MIN(length, LETTERS_MAX);
    return letters;
}

/* Edits from a to b. With *stretch, also the fewest edits from a to any beginning of b. */
static guint edits(const gunichar *a, guint n_a, const gunichar *b, guint n_b, guint *stretch)
{
    guint table[LETTERS_MAX + 1][LETTERS_MAX + 1];
    for (guint i = 0; i <= n_a; i++)
        table[i][0] = i;
    for (guint j = 0; j <= n_b; j++)
        table[0][j] = j;
    for (guint i = 1; i <= n_a; i++)
        for (guint j = 1; j <= n_b; j++) {
            guint best = MIN(table[i - 1][j], table[i][j - 1]) + 1;
            best = MIN(best, table[i - 1][j - 1] + (a[i - 1] != b[j - 1]));
            if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1])
                best = MIN(best, table[i - 2][j - 2] + 1);
            table[i][j] = best;
        }
    *stretch = table[n_a][0];
    for (guint j = 1; j <= n_b; j++)
        *stretch = MIN(*stretch, table[n_a][j]);
    return table[n_a][n_b];
}

static Near measure(const gunichar *text, guint n_text, const char *label, gsize index)
{
    guint n;
    g_autofree gunichar *letters = letters_of(label, &n);
    Near near = { .index = index, .stretch = G_MAXUINT };
    for (guint i = 0; i < n; i++) {
        gboolean begins = i == 0 || !g_unichar_isalnum(letters[i - 1]);
        if (!begins)
            continue;
        guint stretch, whole = edits(text, n_text, letters + i, n - i, &stretch);
        near.stretch = MIN(near.stretch, stretch);
        if (i == 0)
            near.whole = whole;
    }
    return near;
}

static gint compare(gconstpointer a, gconstpointer b)
{
    const Near *one = a, *other = b;
    if (one->stretch != other->stretch)
        return one->stretch < other->stretch ? -1 : 1;
    if (one->whole != other->whole)
        return one->whole < other->whole ? -1 : 1;
    return one->index < other->index ? -1 : 1;
}

char *gb_quote_nearest(const char *text, const char *const *labels, gsize n)
{
    guint n_text;
    g_autofree gunichar *letters = letters_of(text, &n_text);
    if (n_text == LETTERS_MAX)
        return NULL;

    g_autoptr(GArray) near = g_array_new(FALSE, FALSE, sizeof(Near));
    for (gsize i = 0; i < n; i++) {
        Near one = measure(letters, n_text, labels[i], i);
        if (one.stretch <= (n_text + 2) / 3 && one.stretch < n_text)
            g_array_append_val(near, one);
    }
    g_array_sort(near, compare);

    GString *list = g_string_new(NULL);
    for (guint i = 0; i < MIN(near->len, LISTED_MAX); i++) {
        g_autofree char *quoted = gb_quote(labels[g_array_index(near, Near, i).index]);
        g_string_append_printf(list, "%s%s", i > 0 ? ", " : "", quoted);
    }
    return g_string_free(list, near->len == 0);
}
