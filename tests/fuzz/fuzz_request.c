/* fuzz_request.c -- one request to the sorting table's server, through its gate and its routes, on a small claim, without a socket.
 *
 *     METHOD path?query
 *     Header: value
 *
 *     body
 *
 * What an honest page always sends (host, cookie, type and length of the body) is added where the input does not say it, or hardly anything would
 * get past the gate. Uploads, imports, and reports are left out: they are files and threads. After a request that may have changed the claim, it
 * is put back.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "fuzz.h"

#include <glib/gstdio.h>
#include <log/rows.h>
#include <unistd.h>
#include <web/server.c> /* on_request and what it needs are its own */

#define HOST "127.0.0.1:1"
#define COOKIE "cookie-of-this-start"

static char *folder, *database;
static GBytes *pristine;
static GbWeb *web;
static Lines lines;

/* --- the connection, as the request says it --- */

typedef struct {
    GHashTable *query, *headers; /* lower-case names, to values */
    guint answers;
} Said;

static Said said;

const char *__wrap_MHD_lookup_connection_value(struct MHD_Connection *connection, enum MHD_ValueKind kind, const char *key);
int __wrap_MHD_get_connection_values(struct MHD_Connection *connection, enum MHD_ValueKind kind, MHD_KeyValueIterator each, void *user);
const union MHD_ConnectionInfo *__wrap_MHD_get_connection_info(struct MHD_Connection *connection, enum MHD_ConnectionInfoType type, ...);
enum MHD_Result __wrap_MHD_queue_response(struct MHD_Connection *connection, unsigned status, struct MHD_Response *response);
struct MHD_Response *__wrap_MHD_create_response_from_buffer_with_free_callback(size_t n, void *text, MHD_ContentReaderFreeCallback drop);
struct MHD_Response *__real_MHD_create_response_from_buffer_with_free_callback(size_t n, void *text, MHD_ContentReaderFreeCallback drop);

const char *__wrap_MHD_lookup_connection_value(struct MHD_Connection *connection, enum MHD_ValueKind kind, const char *key)
{
    (void)connection;
    g_autofree char *name = g_ascii_strdown(key, -1);
    if (kind == MHD_COOKIE_KIND)
        return g_hash_table_contains(said.headers, "cookie") ? g_hash_table_lookup(said.headers, "cookie") : COOKIE;
    return g_hash_table_lookup(kind == MHD_HEADER_KIND ? said.headers : said.query, kind == MHD_HEADER_KIND ? name : key);
}

int __wrap_MHD_get_connection_values(struct MHD_Connection *connection, enum MHD_ValueKind kind, MHD_KeyValueIterator each, void *user)
{
    (void)connection;
    GHashTableIter iter;
    gpointer name, value;
    g_hash_table_iter_init(&iter, kind == MHD_HEADER_KIND ? said.headers : said.query);
    while (g_hash_table_iter_next(&iter, &name, &value))
        each(user, kind, name, value);
    return 0;
}

const union MHD_ConnectionInfo *__wrap_MHD_get_connection_info(struct MHD_Connection *connection, enum MHD_ConnectionInfoType type, ...)
{
    (void)connection, (void)type;
    return NULL;
}

enum MHD_Result __wrap_MHD_queue_response(struct MHD_Connection *connection, unsigned status, struct MHD_Response *response)
{
    (void)connection;
    holds(response != NULL && status >= 200 && status <= 599);
    said.answers++;
    return MHD_YES;
}

/* Every answer made of text is JSON. */
struct MHD_Response *__wrap_MHD_create_response_from_buffer_with_free_callback(size_t n, void *text, MHD_ContentReaderFreeCallback drop)
{
    json_error_t error;
    json_t *json = json_loadb(text, n, JSON_REJECT_DUPLICATES, &error);
    if (json == NULL)
        g_printerr("%s\n%s\n", error.text, (const char *)text);
    holds(json != NULL);
    json_decref(json);
    return __real_MHD_create_response_from_buffer_with_free_callback(n, text, drop);
}

/* --- the claim --- */

static void enter_shots(GbLog *log)
{
    static const char *const names[] = { "IMG_0001.JPG", "IMG_0002.JPG", "IMG_0003.JPG" };
    GbChange *change = gb_change_begin(log, "import", NULL);
    for (guint i = 0; i < G_N_ELEMENTS(names); i++) {
        gint64 number;
        g_autofree char *sha256 = g_strdup_printf("%064x", i + 1);
        GbShot shot = { .sha256 = sha256, .source_name = (char *)names[i], .stored_name = (char *)names[i], .bytes = 1000, .width = 40,
                        .height = 30 };
        gb_exif_init(&shot.exif);
        shot.exif.taken_local_s = 1778770000.0 + i;
        holds(gb_original_add(log, &shot, 1700000000, &number, NULL) && gb_shot_enter(log, number, NULL));
    }
    holds(gb_change_save(change, "3 photos", NULL));
    gb_change_free(change);
}

static void forget_claim(void)
{
    for (int mode = 0; mode < 2; mode++)
        g_ptr_array_set_size(web->stock[mode], 0);
    g_clear_pointer(&web->board, gb_board_unref);
    g_clear_pointer(&web->suggestions, g_free);
}

static void put_claim_back(void)
{
    forget_claim();
    holds(g_file_set_contents_full(database, g_bytes_get_data(pristine, NULL), (gssize)g_bytes_get_size(pristine), G_FILE_SET_CONTENTS_NONE,
                                   0600, NULL));
}

static void remove_claim(void)
{
    g_autofree char *command = g_strdup_printf("rm -rf '%s'", folder);
    if (system(command) != 0)
        g_printerr("%s is left behind\n", folder);
}

int LLVMFuzzerInitialize(int *argc, char ***argv)
{
    (void)argc, (void)argv;
    const char *memory = g_file_test("/dev/shm", G_FILE_TEST_IS_DIR) ? "/dev/shm" : g_get_tmp_dir();
    g_autofree char *pattern = g_build_filename(memory, "gablebook-fuzz-XXXXXX", NULL);
    folder = g_strdup(g_mkdtemp(pattern));
    database = g_build_filename(folder, "claim", "claim.db", NULL);
    web = new_web();
    web->names = (GbWebNames){ .folder = g_build_filename(folder, "claim", NULL), .who = g_strdup("Ann"), .key = g_strdup("key"),
                               .cookie = g_strdup(COOKIE), .host = g_strdup(HOST), .origin = g_strdup("http://" HOST),
                               .cookie_name = g_strdup("gablebook-1"), .run = g_strdup("run") };
    web->ending = TRUE; /* nothing waits */
    lines = (Lines){ .web = web, .lines = g_hash_table_new(NULL, NULL) };
    pthread_mutex_init(&lines.lock, NULL);
    GbLog *log = gb_new(web->names.folder, &(GbEdit){ .insured = "Okonkwo" }, NULL);
    holds(log != NULL);
    enter_shots(log);
    gb_log_free(log);
    char *data;
    gsize n;
    holds(g_file_get_contents(database, &data, &n, NULL));
    pristine = g_bytes_new_take(data, n);
    return atexit(remove_claim);
}

/* --- the request --- */

static void add_query(char *text)
{
    g_auto(GStrv) parts = g_strsplit(text, "&", 16);
    for (guint i = 0; parts[i] != NULL; i++) {
        char *value = strchr(parts[i], '=');
        if (value != NULL)
            *value++ = '\0';
        g_hash_table_replace(said.query, g_strdup(parts[i]), value == NULL ? NULL : g_uri_unescape_string(value, NULL));
    }
}

static void add_header(const char *line)
{
    const char *colon = strchr(line, ':');
    if (colon == NULL)
        return;
    g_autofree char *raw = g_strndup(line, (gsize)(colon - line));
    g_hash_table_replace(said.headers, g_ascii_strdown(raw, -1), g_strdup(colon + 1 + (colon[1] == ' ')));
}

static void add_honest(const char *name, const char *value)
{
    if (!g_hash_table_contains(said.headers, name))
        g_hash_table_replace(said.headers, g_strdup(name), g_strdup(value));
}

static gboolean is_left_out(const char *path)
{
    static const char *const paths[] = { "/api/upload", "/api/import", "/api/report", "/api/stop" };
    for (gsize i = 0; i < G_N_ELEMENTS(paths); i++)
        if (strcmp(path, paths[i]) == 0)
            return TRUE;
    return FALSE;
}

static void serve_request(const char *method, const char *path, const char *body, gsize n)
{
    void *context = NULL;
    gsize none = 0;
    enum MHD_Result result = on_request(&lines, NULL, path, method, "HTTP/1.1", NULL, &none, &context);
    const char *length = g_hash_table_lookup(said.headers, "content-length");
    if (said.answers == 0 && result == MHD_YES && length != NULL && n > 0)
        result = on_request(&lines, NULL, path, method, "HTTP/1.1", body, &n, &context);
    if (said.answers == 0 && result == MHD_YES)
        on_request(&lines, NULL, path, method, "HTTP/1.1", NULL, &none, &context);
    holds(said.answers == 1);
    on_completed(&lines, NULL, &context, MHD_REQUEST_TERMINATED_COMPLETED_OK);
    holds(context == NULL);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t n)
{
    const char *stop = g_strstr_len((const char *)data, (gssize)n, "\n\n");
    g_autofree char *head = g_strndup((const char *)data, stop == NULL ? n : (gsize)(stop - (const char *)data));
    const char *body = stop == NULL ? "" : stop + 2;
    gsize body_n = stop == NULL ? 0 : n - (gsize)(body - (const char *)data);
    g_auto(GStrv) text = g_strsplit(head, "\n", 16);
    g_auto(GStrv) words = text[0] == NULL ? NULL : g_strsplit(text[0], " ", 3);
    if (words == NULL || words[0] == NULL || words[1] == NULL || words[1][0] != '/')
        return 0;
    said = (Said){ .query = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, g_free),
                   .headers = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, g_free) };
    char *query = strchr(words[1], '?');
    if (query != NULL) {
        *query = '\0';
        add_query(query + 1);
    }
    for (guint i = 1; text[i] != NULL; i++)
        add_header(text[i]);
    gboolean writes = strcmp(words[0], "GET") != 0 && strcmp(words[0], "HEAD") != 0;
    g_autofree char *length = g_strdup_printf("%" G_GSIZE_FORMAT, body_n);
    add_honest("host", HOST);
    if (writes) {
        add_honest("content-type", "application/json");
        add_honest("content-length", length);
    }
    g_autofree char *path = g_uri_unescape_string(words[1], NULL); /* as the library does before it asks us */
    if (path != NULL && !is_left_out(path))
        serve_request(words[0], path, body, body_n);
    if (writes)
        put_claim_back();
    g_hash_table_unref(said.query);
    g_hash_table_unref(said.headers);
    return 0;
}
