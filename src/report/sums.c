/* sums.c -- see sums.h.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "sums.h"

#include <gablebook/digest.h>
#include <gablebook/error.h>

void gb_sums_add(GString *sums, const char *sha256, const char *name)
{
    if (strpbrk(name, "\n\r\\") == NULL) {
        g_string_append_printf(sums, "%s  %s\n", sha256, name);
        return;
    }
    g_string_append_printf(sums, "\\%s  ", sha256);
    for (; *name != '\0'; name++)
        g_string_append(sums, *name == '\n' ? "\\n" : *name == '\r' ? "\\r" : *name == '\\' ? "\\\\" : (char[]){ *name, '\0' });
    g_string_append_c(sums, '\n');
}

static char *unescape(const char *name)
{
    g_autoptr(GString) text = g_string_new(NULL);
    for (; *name != '\0'; name++)
        if (*name == '\\' && name[1] != '\0')
            g_string_append_c(text, *++name == 'n' ? '\n' : *name == 'r' ? '\r' : *name);
        else
            g_string_append_c(text, *name);
    return g_string_free(g_steal_pointer(&text), FALSE);
}

/* One line without its end: a digest and a name. */
static gboolean parse_line(const char *line, char **sha256, char **name)
{
    gboolean escaped = *line == '\\';
    line += escaped;
    if (strspn(line, "0123456789abcdef") != GB_DIGEST_HEX - 1 || strncmp(line + GB_DIGEST_HEX - 1, "  ", 2) != 0 ||
        line[GB_DIGEST_HEX + 1] == '\0')
        return FALSE;
    *sha256 = g_strndup(line, GB_DIGEST_HEX - 1);
    *name = escaped ? unescape(line + GB_DIGEST_HEX + 1) : g_strdup(line + GB_DIGEST_HEX + 1);
    return TRUE;
}

GHashTable *gb_sums_parse(const char *text, const char *what, GError **error)
{
    g_autoptr(GHashTable) sums = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, g_free);
    g_auto(GStrv) lines = g_strsplit(text, "\n", -1);
    for (guint i = 0; lines[i] != NULL; i++) {
        char *sha256, *name;
        if (*lines[i] == '\0' && lines[i + 1] == NULL)
            break;
        if (!parse_line(lines[i], &sha256, &name)) {
            g_set_error(error, GB_ERROR, GB_ERROR_SYNTAX, "%s:%u: is no digest and name", what, i + 1);
            return NULL;
        }
        gboolean twice = g_hash_table_contains(sums, name);
        g_hash_table_insert(sums, name, sha256);
        if (twice) {
            g_set_error(error, GB_ERROR, GB_ERROR_SYNTAX, "%s:%u: names a file for the second time", what, i + 1);
            return NULL;
        }
    }
    return g_steal_pointer(&sums);
}
