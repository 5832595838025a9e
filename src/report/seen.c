/* seen.c -- which originals were read and found right before, and have not been touched since.
 *
 * Hashing every original for every report would cost more than all the rest of a second building. cache/originals.seen says of each
 * original, by its digest, what the file system said of the file when it was last read whole and had that digest: size, times
 * of change of content and of inode, inode, device. The time of change of the inode can't be set by a program: whatever writes,
 * replaces, restores or renames a file leaves another one. A copy of the claim folder, or a folder without its cache, is read anew.
 *
 * A file changed within two seconds before it was read is not noted: a second change in the same tick of a coarse clock would
 * look like none. What no time can show (a disk that returns other bytes than were written) is for a full verification to find.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "report-private.h"

#include <gablebook/file.h>
#include <sys/stat.h>

#define SEEN_MAX_BYTES (32u << 20)
#define SETTLED_S 2

static char *seen_path(const GbLog *log)
{
    return gb_log_path(log, "cache", "originals.seen", NULL);
}

GHashTable *gb_seen_load(const GbLog *log)
{
    GHashTable *seen = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, g_free);
    g_autofree char *path = seen_path(log);
    g_autofree char *text = gb_file_read_text(path, SEEN_MAX_BYTES, NULL);
    g_auto(GStrv) lines = g_strsplit(text != NULL ? text : "", "\n", -1);
    for (guint i = 0; lines[i] != NULL; i++)
        if (strlen(lines[i]) > 65 && lines[i][64] == ' ')
            g_hash_table_insert(seen, g_strndup(lines[i], 64), g_strdup(lines[i] + 65));
    return seen;
}

char *gb_seen_state(const char *path, gboolean *settled)
{
    struct stat st;
    if (stat(path, &st) != 0 || !S_ISREG(st.st_mode))
        return NULL;
    gint64 changed_s = MAX((gint64)st.st_mtim.tv_sec, (gint64)st.st_ctim.tv_sec);
    *settled = g_get_real_time() / G_USEC_PER_SEC - changed_s > SETTLED_S;
    return g_strdup_printf("%" G_GINT64_FORMAT " %" G_GINT64_FORMAT ".%09ld %" G_GINT64_FORMAT ".%09ld %" G_GUINT64_FORMAT
                           " %" G_GUINT64_FORMAT, (gint64)st.st_size, (gint64)st.st_mtim.tv_sec, st.st_mtim.tv_nsec,
                           (gint64)st.st_ctim.tv_sec, st.st_ctim.tv_nsec, (guint64)st.st_ino, (guint64)st.st_dev);
}

static int compare_text(gconstpointer a, gconstpointer b)
{
    return strcmp(a, b);
}

void gb_seen_save(const GbLog *log, GHashTable *seen)
{
    g_autoptr(GString) text = g_string_new(NULL);
    g_autoptr(GList) keys = g_list_sort(g_hash_table_get_keys(seen), compare_text);
    for (const GList *k = keys; k != NULL; k = k->next)
        g_string_append_printf(text, "%s %s\n", (const char *)k->data, (const char *)g_hash_table_lookup(seen, k->data));
    g_autofree char *path = seen_path(log);
    g_autofree char *folder = g_path_get_dirname(path);
    if (g_mkdir_with_parents(folder, 0777) == 0)
        gb_file_place(path, text->str, text->len, 0644, FALSE, NULL); /* a cache that can't be written is no error */
}
