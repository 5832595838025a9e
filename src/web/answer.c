/* answer.c -- ways to answer a request. Every answer carries the same guards: see add_guards.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "web-private.h"

#include <unistd.h>

/* Nothing but our own files, no script in the page, nobody's frame; the browser neither guesses types nor tells where it was. */
#define POLICY                                                                                                                    \
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob:; connect-src 'self'; frame-src 'self'; "       \
    "manifest-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"

void gb_web_header(GbWebRequest *request, const char *name, const char *value)
{
    MHD_del_response_header(request->response, name, MHD_get_response_header(request->response, name));
    MHD_add_response_header(request->response, name, value);
}

static void add_guards(struct MHD_Response *response, const char *cache)
{
    MHD_add_response_header(response, "Content-Security-Policy", POLICY);
    MHD_add_response_header(response, "X-Content-Type-Options", "nosniff");
    MHD_add_response_header(response, "Referrer-Policy", "no-referrer");
    MHD_add_response_header(response, "Cross-Origin-Resource-Policy", "same-origin");
    MHD_add_response_header(response, "Cross-Origin-Opener-Policy", "same-origin");
    MHD_add_response_header(response, "Cache-Control", cache);
}

/* TAKES response. */
static void answer(GbWebRequest *request, guint status, struct MHD_Response *response, const char *type, const char *cache)
{
    g_return_if_fail(response != NULL && request->response == NULL);
    add_guards(response, cache);
    if (type != NULL)
        MHD_add_response_header(response, MHD_HTTP_HEADER_CONTENT_TYPE, type);
    request->response = response;
    request->status = status;
}

/* TAKES the text. */
static void answer_json(GbWebRequest *request, guint status, char *text)
{
    gsize n = strlen(text);
    struct MHD_Response *response = MHD_create_response_from_buffer_with_free_callback(n, text, g_free);
    answer(request, status, response, "application/json; charset=utf-8", "no-store");
}

void gb_web_text(GbWebRequest *request, char *json)
{
    answer_json(request, MHD_HTTP_OK, json);
}

void gb_web_json(GbWebRequest *request, guint status, json_t *json)
{
    char *text = json_dumps(json, JSON_COMPACT);
    json_decref(json);
    answer_json(request, status, text);
}

/* --- what went wrong --- */

static void fail_with(GbWebRequest *request, guint status, const char *code, const char *message)
{
    g_autofree char *clean = g_utf8_make_valid(message, -1);
    const char *accepts = MHD_lookup_connection_value(request->connection, MHD_HEADER_KIND, MHD_HTTP_HEADER_ACCEPT);
    if (accepts != NULL && g_str_has_prefix(accepts, "text/html")) { /* a person opens an address: let them read it */
        g_autofree char *line = g_strconcat("gablebook: ", clean, ".\n", NULL);
        g_autoptr(GBytes) bytes = g_bytes_new(line, strlen(line));
        gb_web_bytes(request, bytes, "text/plain; charset=utf-8", NULL, FALSE);
        request->status = status;
        return;
    }
    gb_web_json(request, status, json_pack("{s{ssss}}", "error", "code", code, "message", clean));
}

void gb_web_refuse(GbWebRequest *request, guint status, const char *code, const char *format, ...)
{
    va_list args;
    va_start(args, format);
    g_autofree char *message = g_strdup_vprintf(format, args);
    va_end(args);
    fail_with(request, status, code, message);
}

void gb_web_fail(GbWebRequest *request, GError *error)
{
    static const struct { guint status; const char *code; } kinds[] = {
        [GB_ERROR_IO] = { 500, "io" },           [GB_ERROR_TOO_LARGE] = { 422, "too-large" }, [GB_ERROR_FOREIGN] = { 500, "foreign" },
        [GB_ERROR_DAMAGED] = { 500, "damaged" }, [GB_ERROR_SYNTAX] = { 422, "syntax" },       [GB_ERROR_UNKNOWN] = { 422, "unknown" },
        [GB_ERROR_UNCLEAR] = { 422, "unclear" }, [GB_ERROR_STATE] = { 422, "state" },         [GB_ERROR_VERSION] = { 500, "version" },
        [GB_ERROR_STOPPED] = { 422, "stopped" }, [GB_ERROR_STALE] = { 409, "stale" },
    };
    gboolean ours = error->domain == GB_ERROR && (gsize)error->code < G_N_ELEMENTS(kinds);
    fail_with(request, ours ? kinds[error->code].status : 500, ours ? kinds[error->code].code : "io", error->message);
    g_error_free(error);
}

/* --- files --- */

/* "* or a list of tags, our own among them": RFC 9110, 13.1.2. */
static gboolean has_it_already(GbWebRequest *request, const char *quoted)
{
    const char *known = MHD_lookup_connection_value(request->connection, MHD_HEADER_KIND, MHD_HTTP_HEADER_IF_NONE_MATCH);
    return known != NULL && (strcmp(known, "*") == 0 || strstr(known, quoted) != NULL);
}

/* TAKES response, the one that carries the file. */
static void answer_file(GbWebRequest *request, struct MHD_Response *response, const char *type, const char *etag, gboolean for_ever)
{
    g_autofree char *quoted = etag == NULL ? NULL : g_strdup_printf("\"%s\"", etag);
    guint status = MHD_HTTP_OK;
    if (quoted != NULL && has_it_already(request, quoted)) {
        MHD_destroy_response(response);
        response = MHD_create_response_from_buffer(0, (void *)"", MHD_RESPMEM_PERSISTENT);
        status = MHD_HTTP_NOT_MODIFIED;
    }
    answer(request, status, response, status == MHD_HTTP_OK ? type : NULL,
           for_ever ? "private, max-age=31536000, immutable" : etag != NULL ? "no-cache" : "no-store");
    if (quoted != NULL)
        MHD_add_response_header(response, MHD_HTTP_HEADER_ETAG, quoted);
}

static void unref_bytes(void *bytes)
{
    g_bytes_unref(bytes);
}

static ssize_t read_bytes(void *user, uint64_t at, char *into, size_t max)
{
    gsize n;
    const char *data = g_bytes_get_data(user, &n);
    if (at >= n)
        return MHD_CONTENT_READER_END_OF_STREAM;
    gsize some = MIN(max, n - (gsize)at);
    memcpy(into, data + at, some);
    return (ssize_t)some;
}

#define BLOCK_BYTES (64 << 10)

void gb_web_bytes(GbWebRequest *request, GBytes *bytes, const char *type, const char *etag, gboolean for_ever)
{
    struct MHD_Response *response =
        MHD_create_response_from_callback(g_bytes_get_size(bytes), BLOCK_BYTES, read_bytes, g_bytes_ref(bytes), unref_bytes);
    answer_file(request, response, type, etag, for_ever);
}

void gb_web_descriptor(GbWebRequest *request, int fd, guint64 n, const char *type, const char *etag, gboolean for_ever)
{
    answer_file(request, MHD_create_response_from_fd64(n, fd), type, etag, for_ever);
}

/* "attachment; filename*=UTF-8''photo-report.html": RFC 6266. */
void gb_web_hand_over(GbWebRequest *request, const char *name)
{
    g_autofree char *escaped = g_uri_escape_string(name, NULL, FALSE);
    g_autofree char *value = g_strdup_printf("attachment; filename*=UTF-8''%s", escaped);
    gb_web_header(request, MHD_HTTP_HEADER_CONTENT_DISPOSITION, value);
}
