/* glossary.c -- reads the tables of docs/glossary.md. See glossary.h.
 *
 * A table's line is "| term | meaning |"; its head and the line of dashes under it are no terms. A bar within a meaning is not
 * expected: the page is ours, and a test reads it.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <gablebook/glossary.h>

#include <gablebook/builtin.h>
#include <string.h>

static void free_term(gpointer data)
{
    GbTerm *term = data;
    g_free(term->term);
    g_free(term->meaning);
    g_free(term);
}

/* NULL for a line that is no term. OWNED by the caller. */
static GbTerm *read_line(const char *line)
{
    g_auto(GStrv) cells = g_strsplit(line, "|", -1);
    if (g_strv_length(cells) != 4 || *cells[0] != '\0')
        return NULL;
    g_strstrip(cells[1]);
    g_strstrip(cells[2]);
    if (*cells[1] == '\0' || *cells[2] == '\0' || g_str_has_prefix(cells[1], "--") || strcmp(cells[2], "meaning") == 0)
        return NULL;
    GbTerm *term = g_new0(GbTerm, 1);
    term->term = g_strdup(cells[1]);
    term->meaning = g_strdup(cells[2]);
    return term;
}

GPtrArray *gb_glossary_load(GError **error)
{
    g_autofree char *text = gb_builtin_text("docs/glossary.md", error);
    if (text == NULL)
        return NULL;
    GPtrArray *terms = g_ptr_array_new_with_free_func(free_term);
    g_auto(GStrv) lines = g_strsplit(text, "\n", -1);
    for (char **line = lines; *line != NULL; line++) {
        GbTerm *term = read_line(*line);
        if (term != NULL)
            g_ptr_array_add(terms, term);
    }
    return terms;
}
