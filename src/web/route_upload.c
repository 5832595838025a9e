/* route_upload.c -- POST /api/upload: a photo from the page, written aside for the import to take.
 *
 * Each drop of photos is a set, in a folder of its own under cache/, each file in a numbered folder below: two photos of one name may come,
 * and the import, which goes by name, meets them in the order they came. A file's name is the client's word: it is made harmless, and
 * never a path.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "web-private.h"

#include <errno.h>
#include <glib/gstdio.h>
#include <signal.h>
#include <unistd.h>

#define SETS_MAX 16
#define FILES_MAX 50000
#define SET_NAME_MAX 40
#define NAME_MAX_BYTES 200
#define FOLDER_HEAD "upload-"

/* Under news_lock. */
typedef struct {
    char *folder;
    guint begun, files; /* so many uploads began; so many are whole */
    gint64 bytes;
} Set;

/* One upload on its way. */
typedef struct {
    char *set, *folder; /* the folder of this file alone */
    GbFileWriter *out;
    gint64 bytes;
    GError *error; /* the first one: what comes after it is not written */
} Upload;

static void free_set(gpointer data)
{
    Set *set = data;
    g_free(set->folder);
    g_free(set);
}

/* --- folders --- */

void gb_web_remove_folder(const char *path)
{
    g_autoptr(GDir) dir = g_file_test(path, G_FILE_TEST_IS_SYMLINK) ? NULL : g_dir_open(path, 0, NULL);
    const char *name;
    while (dir != NULL && (name = g_dir_read_name(dir)) != NULL) {
        g_autofree char *inside = g_build_filename(path, name, NULL);
        gb_web_remove_folder(inside);
    }
    g_remove(path);
}

/* "upload-1234-a7": made by the process 1234. Ours are removed at the end, those of a dead one at the beginning. */
static gboolean is_left_behind(const char *name)
{
    if (!g_str_has_prefix(name, FOLDER_HEAD))
        return FALSE;
    gint64 pid = g_ascii_strtoll(name + strlen(FOLDER_HEAD), NULL, 10);
    return pid > 0 && pid <= G_MAXINT32 && (pid == getpid() || (kill((pid_t)pid, 0) != 0 && errno == ESRCH));
}

void gb_web_sweep_uploads(GbWeb *web)
{
    g_autofree char *cache = g_build_filename(web->names.folder == NULL ? "" : web->names.folder, "cache", NULL);
    g_autoptr(GDir) dir = g_dir_open(cache, 0, NULL);
    const char *name;
    g_clear_pointer(&web->sets, g_hash_table_unref);
    while (dir != NULL && (name = g_dir_read_name(dir)) != NULL) {
        g_autofree char *path = g_build_filename(cache, name, NULL);
        if (is_left_behind(name))
            gb_web_remove_folder(path);
    }
}

/* --- sets --- */

/* Needs news_lock. NULL: there are too many. */
static Set *need_set(GbWeb *web, const char *name)
{
    if (web->sets == NULL)
        web->sets = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, free_set);
    Set *set = g_hash_table_lookup(web->sets, name);
    if (set != NULL || g_hash_table_size(web->sets) >= SETS_MAX)
        return set;
    set = g_new0(Set, 1);
    g_autofree char *folder = g_strdup_printf(FOLDER_HEAD "%d-%s", (int)getpid(), name);
    set->folder = g_build_filename(web->names.folder, "cache", folder, NULL);
    g_hash_table_insert(web->sets, g_strdup(name), set);
    return set;
}

gboolean gb_web_has_set(GbWeb *web, const char *name)
{
    pthread_mutex_lock(&web->news_lock);
    gboolean there = web->sets != NULL && g_hash_table_contains(web->sets, name);
    pthread_mutex_unlock(&web->news_lock);
    return there;
}

char *gb_web_take_set(GbWeb *web, const char *name)
{
    pthread_mutex_lock(&web->news_lock);
    Set *set = web->sets == NULL ? NULL : g_hash_table_lookup(web->sets, name);
    char *folder = set == NULL ? NULL : g_steal_pointer(&set->folder);
    if (set != NULL)
        g_hash_table_remove(web->sets, name);
    pthread_mutex_unlock(&web->news_lock);
    return folder;
}

static gboolean is_set_name(const char *name)
{
    gsize n = name == NULL ? 0 : strlen(name);
    for (gsize i = 0; i < n; i++)
        if (!g_ascii_isalnum(name[i]))
            return FALSE;
    return n >= 1 && n <= SET_NAME_MAX;
}

/* The last part of what the client called the file, fit to be a file's name. OWNED by the caller. */
static char *harmless_name(const char *said)
{
    const char *last = said == NULL ? "" : said;
    for (const char *c = last; *c != '\0'; c++)
        if (*c == '/' || *c == '\\')
            last = c + 1;
    g_autofree char *clean = gb_clean_text(last, strlen(last));
    while (clean != NULL && *clean == '.')
        memmove(clean, clean + 1, strlen(clean));
    if (clean == NULL || *clean == '\0' || strlen(clean) > NAME_MAX_BYTES)
        return g_strdup("photo.jpg");
    return g_steal_pointer(&clean);
}

/* --- one upload --- */

/* The folder of the next file of the set; NULL: answered already. OWNED by the caller. */
static char *next_folder(GbWebRequest *request, const char *name)
{
    GbWeb *web = request->web;
    pthread_mutex_lock(&web->news_lock);
    Set *set = need_set(web, name);
    char *folder = set == NULL || set->begun >= FILES_MAX ? NULL : g_strdup_printf("%s/%06u", set->folder, ++set->begun);
    pthread_mutex_unlock(&web->news_lock);
    if (folder == NULL)
        gb_web_refuse(request, MHD_HTTP_UNPROCESSABLE_CONTENT, "too-large", "too many uploads are waiting for their import");
    return folder;
}

static gboolean begin(GbWebRequest *request)
{
    GError *error = NULL;
    const char *set = gb_web_query(request, "set");
    if (!is_set_name(set)) {
        gb_web_refuse(request, MHD_HTTP_BAD_REQUEST, "syntax", "'set' must be a word of 1 to %d letters and digits", SET_NAME_MAX);
        return FALSE;
    }
    g_autofree char *folder = next_folder(request, set);
    if (folder == NULL)
        return FALSE;
    g_autofree char *name = harmless_name(gb_web_query(request, "name"));
    g_autofree char *path = g_build_filename(folder, name, NULL);
    if (g_mkdir_with_parents(folder, 0777) != 0)
        g_set_error(&error, GB_ERROR, GB_ERROR_IO, "%s: can't be made: %s", folder, g_strerror(errno));
    Upload *upload = g_new0(Upload, 1);
    *upload = (Upload){ g_strdup(set), g_steal_pointer(&folder), NULL, 0, error };
    if (error == NULL)
        upload->out = gb_file_writer_new(path, 0644, &upload->error);
    request->upload = upload;
    return TRUE;
}

static void more(GbWebRequest *request, const char *data, gsize n)
{
    Upload *upload = request->upload;
    if (upload->error == NULL && upload->bytes + (gint64)n <= request->length)
        gb_file_writer_add(upload->out, data, n, &upload->error);
    upload->bytes += (gint64)n;
}

/* Counted only when it is whole. */
static void answer(GbWebRequest *request)
{
    Upload *upload = request->upload;
    GbWeb *web = request->web;
    if (upload->error == NULL && upload->bytes == request->length)
        gb_file_writer_finish(upload->out, &upload->error);
    if (upload->error != NULL) {
        gb_web_fail(request, g_steal_pointer(&upload->error));
        return;
    }
    pthread_mutex_lock(&web->news_lock);
    Set *set = g_hash_table_lookup(web->sets, upload->set);
    json_t *json = set == NULL ? NULL : json_pack("{sssisI}", "set", upload->set, "files", (int)++set->files, "bytes",
                                                  (json_int_t)(set->bytes += upload->bytes));
    pthread_mutex_unlock(&web->news_lock);
    if (json != NULL)
        gb_web_json(request, MHD_HTTP_OK, json);
    else
        gb_web_refuse(request, MHD_HTTP_UNPROCESSABLE_CONTENT, "state",
                      "the import of this set has begun already; this photo is not in it");
}

static void end(GbWebRequest *request)
{
    Upload *upload = request->upload;
    gb_file_writer_free(upload->out);
    g_clear_error(&upload->error);
    g_free(upload->set);
    g_free(upload->folder);
    g_free(upload);
}

const GbWebRoute gb_route_upload = { .method = "POST", .path = "/api/upload", .answer = answer, .begin = begin, .more = more, .end = end,
                                     .max_bytes = GB_JPEG_MAX_BYTES };
