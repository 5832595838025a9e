/* section.c -- what the files of words have in common: a section is a thing, its word an id, its name what people type. See
 * trade-private.h.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "trade/trade-private.h"

#include <gablebook/quote.h>

enum { ID_MAX_BYTES = 40 };

static gboolean is_id(const char *id)
{
    char last = '-';
    for (const char *p = id; *p != '\0'; last = *p++)
        if (!g_ascii_islower(*p) && !g_ascii_isdigit(*p) && !(*p == '-' && last != '-'))
            return FALSE;
    return last != '-' && strlen(id) <= ID_MAX_BYTES;
}

gboolean gb_section_check_id(const GbIni *ini, const char *id, const char *what, GError **error)
{
    if (is_id(id))
        return TRUE;
    g_autofree char *shown = gb_quote(id);
    return gb_ini_fail(ini, id, NULL, error, "%s can't name a %s; use lower-case letters, digits and single hyphens, %d at most",
                       shown, what, ID_MAX_BYTES);
}

gboolean gb_section_take_text(const GbIni *ini, const char *section, const char *key, gsize max_bytes, char **text, GError **error)
{
    const char *given = gb_ini_get(ini, section, key);
    if (given == NULL)
        return TRUE;
    if (strlen(given) > max_bytes)
        return gb_ini_fail(ini, section, key, error, "the %s is longer than %" G_GSIZE_FORMAT " bytes", key, max_bytes);
    g_free(*text);
    *text = g_strdup(given);
    return TRUE;
}

/* Note one way of typing a thing; FALSE when another thing has it. */
static gboolean claim_word(GHashTable *words, const GbIni *ini, const GbNamed *thing, const char *word, GError **error)
{
    g_autofree char *squeezed = gb_word_squeeze(word);
    const GbNamed *other = g_hash_table_lookup(words, squeezed);
    if (other != NULL && other != thing) {
        /* at least one of the two is named by this file: tell that line */
        gboolean named = gb_ini_get(ini, thing->id, "name") != NULL;
        const char *culprit = named ? thing->id : other->id, *taken = named ? other->id : thing->id;
        g_autofree char *shown = gb_quote(word);
        return gb_ini_fail(ini, culprit, "name", error, "[%s] can't be told from [%s] when typed: both are %s", culprit, taken, shown);
    }
    if (*squeezed == '\0')
        return gb_ini_fail(ini, thing->id, "name", error, "the name has no letters");
    g_hash_table_insert(words, g_steal_pointer(&squeezed), (gpointer)thing);
    return TRUE;
}

gboolean gb_section_names_differ(const GbIni *ini, const GbNamed *things, gsize n, GError **error)
{
    g_autoptr(GHashTable) words = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL);
    for (gsize i = 0; i < n; i++)
        if (!claim_word(words, ini, &things[i], things[i].id, error) || !claim_word(words, ini, &things[i], things[i].name, error))
            return FALSE;
    return TRUE;
}
