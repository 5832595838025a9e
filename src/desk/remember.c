/* remember.c -- what was seen of claims, and whether it still holds. See desk.h.
 *
 * A claim is unchanged when claim.db has the same size, time of change to the nanosecond, and file change counter (bytes 24 to 27 of the
 * header, which SQLite raises with every transaction that writes: https://sqlite.org/fileformat2.html, 1.3.7), and its templates the same
 * names, sizes and times. A journal beside the database means that a write is under way or was cut short: then nothing is remembered.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "desk-private.h"

#include <fcntl.h>
#include <gablebook/builtin.h>
#include <gablebook/checklist.h>
#include <gablebook/file.h>
#include <sys/stat.h>
#include <unistd.h>

#define CACHE_MAX_BYTES (64u << 20)
#define HEADER_BYTES 28

static void add_stat(GString *stamp, const struct stat *st)
{
    g_string_append_printf(stamp, "%" G_GINT64_FORMAT ",%" G_GINT64_FORMAT ".%09ld,%" G_GUINT64_FORMAT ";", (gint64)st->st_size,
                           (gint64)st->st_mtim.tv_sec, (long)st->st_mtim.tv_nsec, (guint64)st->st_ino);
}

static gboolean add_database(GString *stamp, const char *path)
{
    guint8 header[HEADER_BYTES] = { 0 };
    struct stat st;
    int fd = open(path, O_RDONLY | O_CLOEXEC | O_NONBLOCK | O_NOFOLLOW);
    gboolean ok = fd >= 0 && fstat(fd, &st) == 0 && S_ISREG(st.st_mode) && pread(fd, header, sizeof header, 0) == (gssize)sizeof header;
    if (fd >= 0)
        close(fd);
    if (ok) {
        add_stat(stamp, &st);
        g_string_append_printf(stamp, "%02x%02x%02x%02x;", header[24], header[25], header[26], header[27]);
    }
    return ok;
}

static gint by_text(gconstpointer a, gconstpointer b)
{
    return strcmp(*(char *const *)a, *(char *const *)b);
}

/* templates/ has folders of one level. */
static void add_files(GString *stamp, const char *folder, guint depth)
{
    g_autoptr(GDir) dir = g_dir_open(folder, 0, NULL);
    g_autoptr(GPtrArray) names = g_ptr_array_new_with_free_func(g_free);
    const char *name;
    while (dir != NULL && (name = g_dir_read_name(dir)) != NULL)
        g_ptr_array_add(names, g_strdup(name));
    g_ptr_array_sort(names, by_text);
    for (guint i = 0; i < names->len; i++) {
        g_autofree char *path = g_build_filename(folder, names->pdata[i], NULL);
        struct stat st;
        if (stat(path, &st) != 0)
            continue;
        g_autofree char *safe = g_strescape(names->pdata[i], NULL);
        g_string_append_printf(stamp, "\"%s\"", safe);
        add_stat(stamp, &st);
        if (S_ISDIR(st.st_mode) && depth > 0)
            add_files(stamp, path, depth - 1);
    }
}

char *gb_desk_stamp(const char *folder)
{
    g_autoptr(GString) stamp = g_string_new(NULL);
    g_autofree char *db = g_build_filename(folder, "claim.db", NULL), *journal = g_strconcat(db, "-journal", NULL);
    g_autofree char *templates = g_build_filename(folder, "templates", NULL);
    if (g_file_test(journal, G_FILE_TEST_EXISTS) || !add_database(stamp, db))
        return NULL;
    add_files(stamp, templates, 1);
    return g_strdup(stamp->str);
}

/* --- the file --- */

/* Changes when the program's own checklists, subjects, facts or components do. OWNED by the caller. */
static char *program_stamp(void)
{
    static const char *const lists[] = { "templates/subjects.ini", "templates/facts.ini", "templates/components.ini" };
    g_autoptr(GChecksum) sum = g_checksum_new(G_CHECKSUM_SHA256);
    g_auto(GStrv) names = gb_checklist_names();
    g_checksum_update(sum, (const guchar *)GB_VERSION, -1);
    for (gsize i = 0; i < G_N_ELEMENTS(lists); i++) {
        g_autofree char *text = gb_builtin_text(lists[i], NULL);
        if (text != NULL)
            g_checksum_update(sum, (const guchar *)text, -1);
    }
    for (char **name = names; *name != NULL; name++) {
        g_autofree char *path = g_strdup_printf("templates/checklists/%s.ini", *name), *text = gb_builtin_text(path, NULL);
        if (text != NULL)
            g_checksum_update(sum, (const guchar *)text, -1);
    }
    return g_strdup(g_checksum_get_string(sum));
}

static char *cache_path(const char *dir)
{
    g_autofree char *whole = g_canonicalize_filename(dir, NULL);
    g_autofree char *sum = g_compute_checksum_for_string(G_CHECKSUM_SHA256, whole, -1), *name = g_strdup_printf("%.16s.json", sum);
    return g_build_filename(g_get_user_cache_dir(), "gablebook", "desk", name, NULL);
}

json_t *gb_desk_recall(const char *dir)
{
    g_autofree char *path = cache_path(dir), *program = program_stamp();
    g_autoptr(GBytes) bytes = g_file_test(path, G_FILE_TEST_IS_REGULAR) ? gb_file_read(path, CACHE_MAX_BYTES, NULL) : NULL;
    gsize n = 0;
    const char *data = bytes == NULL ? NULL : g_bytes_get_data(bytes, &n);
    json_t *file = data == NULL ? NULL : json_loadb(data, n, JSON_REJECT_DUPLICATES, NULL);
    const char *by = json_string_value(json_object_get(file, "program"));
    json_t *seen = g_strcmp0(by, program) == 0 ? json_object_get(file, "seen") : NULL;
    json_t *result = json_is_object(seen) ? json_incref(seen) : json_object();
    json_decref(file);
    return result;
}

void gb_desk_remember(const char *dir, const json_t *seen)
{
    g_autofree char *path = cache_path(dir), *folder = g_path_get_dirname(path), *program = program_stamp();
    json_t *file = json_pack("{ss sO}", "program", program, "seen", (json_t *)seen);
    char *text = file == NULL ? NULL : json_dumps(file, JSON_COMPACT);
    if (text != NULL && g_mkdir_with_parents(folder, 0700) == 0)
        (void)gb_file_place(path, text, strlen(text), 0600, FALSE, NULL);
    free(text);
    json_decref(file);
}
