/* gate.c -- who may come in: only the user's own page, from this machine, with the key of this start.
 *
 * Any web site can make a browser send requests to 127.0.0.1, and can point a name of its own there. So: the Host must be exactly ours (a
 * name that was pointed here says another), the cookie must be ours (SameSite=Strict: other sites' requests don't carry it, and cookies
 * don't know ports, so its name does), and what the browser says of where a request comes from (Sec-Fetch-Site, Origin) must be our page.
 * Chunked bodies have no length that could be bounded beforehand: refused.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "web-private.h"

#include <openssl/crypto.h>

static const char *header(const GbWebRequest *request, const char *name)
{
    return MHD_lookup_connection_value(request->connection, MHD_HEADER_KIND, name);
}

static gboolean is_secret(const char *said, const char *secret)
{
    gsize n = strlen(secret);
    return said != NULL && strlen(said) == n && CRYPTO_memcmp(said, secret, n) == 0;
}

/* --- where it was sent, where it comes from --- */

typedef struct {
    const char *name;
    guint times;
} Count;

static enum MHD_Result count_header(void *user, enum MHD_ValueKind kind, const char *name, const char *value)
{
    (void)kind, (void)value;
    Count *count = user;
    count->times += g_ascii_strcasecmp(name, count->name) == 0;
    return MHD_YES;
}

/* Of two headers of a name MHD gives the first; whoever sends two means somebody else to read the second. */
static gboolean is_single(const GbWebRequest *request, const char *name)
{
    Count count = { name, 0 };
    MHD_get_connection_values(request->connection, MHD_HEADER_KIND, count_header, &count);
    return count.times <= 1;
}

static gboolean is_ours(GbWebRequest *request)
{
    const char *host = header(request, MHD_HTTP_HEADER_HOST);
    if (host != NULL && is_single(request, MHD_HTTP_HEADER_HOST) && strcmp(host, request->web->names.host) == 0)
        return TRUE;
    gb_web_refuse(request, MHD_HTTP_FORBIDDEN, "refused", "this address is not this server's own; open the address that gablebook printed");
    return FALSE;
}

/* Browsers say it of every request; other programs don't, and need the cookie all the same. "none" is the user's own doing: a typed
 * address, a bookmark. same-site is another port of this machine. */
static gboolean comes_from_our_page(GbWebRequest *request, gboolean writes)
{
    const char *site = header(request, "Sec-Fetch-Site"), *origin = header(request, "Origin");
    gboolean ok = (site == NULL || strcmp(site, "same-origin") == 0 || (!writes && strcmp(site, "none") == 0)) &&
                  (origin == NULL || strcmp(origin, request->web->names.origin) == 0);
    if (!ok)
        gb_web_refuse(request, MHD_HTTP_FORBIDDEN, "refused", "another site sent this request; nothing was changed");
    return ok;
}

/* --- the key and the cookie --- */

static gboolean has_cookie(GbWebRequest *request)
{
    const GbWebNames *names = &request->web->names;
    if (is_secret(MHD_lookup_connection_value(request->connection, MHD_COOKIE_KIND, names->cookie_name), names->cookie))
        return TRUE;
    gb_web_refuse(request, MHD_HTTP_FORBIDDEN, "refused", "this browser has not been let in; open the address that gablebook printed");
    return FALSE;
}

/* /enter?key=KEY: the key goes, the cookie comes, and the key does not stay in the address. Always answers. */
static void enter(GbWebRequest *request)
{
    const GbWebNames *names = &request->web->names;
    if (!is_secret(gb_web_query(request, "key"), names->key)) {
        gb_web_refuse(request, MHD_HTTP_FORBIDDEN, "refused",
                      "the key is not that of this start; open the address that gablebook printed last");
        return;
    }
    g_autofree char *cookie = g_strdup_printf("%s=%s; Path=/; HttpOnly; SameSite=Strict", names->cookie_name, names->cookie);
    gb_web_json(request, MHD_HTTP_SEE_OTHER, json_object());
    gb_web_header(request, MHD_HTTP_HEADER_SET_COOKIE, cookie);
    gb_web_header(request, MHD_HTTP_HEADER_LOCATION, "/");
}

/* --- the body --- */

/* A body's length must be said, and be in bounds, before any of it is taken. */
static gboolean is_bounded(GbWebRequest *request, gint64 max_bytes)
{
    const char *length = header(request, MHD_HTTP_HEADER_CONTENT_LENGTH);
    guint64 n;
    if (header(request, MHD_HTTP_HEADER_TRANSFER_ENCODING) != NULL || length == NULL ||
        !is_single(request, MHD_HTTP_HEADER_CONTENT_LENGTH)) {
        gb_web_refuse(request, MHD_HTTP_LENGTH_REQUIRED, "refused", "the length of the body must be said beforehand");
        return FALSE;
    }
    if (!g_ascii_string_to_unsigned(length, 10, 0, G_MAXINT64, &n, NULL) || (gint64)n > max_bytes) {
        gb_web_refuse(request, MHD_HTTP_CONTENT_TOO_LARGE, "refused", "a body of %s bytes; at most %" G_GINT64_FORMAT " are taken",
                      length, max_bytes);
        return FALSE;
    }
    request->length = (gint64)n;
    return TRUE;
}

static gboolean is_type(const char *type, const char *wanted)
{
    gsize n = strlen(wanted);
    return type != NULL && g_ascii_strncasecmp(type, wanted, n) == 0 && (type[n] == '\0' || type[n] == ';' || type[n] == ' ');
}

/* What an HTML form of another site can send is no JSON; and no upload comes as a form. */
static gboolean is_fit_type(GbWebRequest *request)
{
    static const char *const forms[] = { "application/x-www-form-urlencoded", "multipart/form-data", "text/plain" };
    const char *type = header(request, MHD_HTTP_HEADER_CONTENT_TYPE);
    gboolean ok = request->route->begin == NULL ? is_type(type, "application/json") : type != NULL;
    for (gsize i = 0; ok && i < G_N_ELEMENTS(forms); i++)
        ok = !is_type(type, forms[i]);
    if (!ok)
        gb_web_refuse(request, MHD_HTTP_UNSUPPORTED_MEDIA_TYPE, "refused", "the body must be %s",
                      request->route->begin == NULL ? "application/json" : "application/octet-stream or the photo's own type");
    return ok;
}

/* A GET has none: what is not asked for must not fill memory either. */
static gboolean has_no_body(GbWebRequest *request)
{
    const char *length = header(request, MHD_HTTP_HEADER_CONTENT_LENGTH);
    if (header(request, MHD_HTTP_HEADER_TRANSFER_ENCODING) == NULL && (length == NULL || strcmp(length, "0") == 0))
        return TRUE;
    gb_web_refuse(request, MHD_HTTP_CONTENT_TOO_LARGE, "refused", "this request takes no body");
    return FALSE;
}

/* --- the whole --- */

static gboolean find_route(GbWebRequest *request, const char *method, const char *path)
{
    const char *other;
    request->route = gb_web_find_route(method, path, &other);
    if (request->route != NULL) {
        request->rest = path + strlen(request->route->path);
        return TRUE;
    }
    if (other != NULL) {
        gb_web_refuse(request, MHD_HTTP_METHOD_NOT_ALLOWED, "refused", "not with this method");
        gb_web_header(request, MHD_HTTP_HEADER_ALLOW, strcmp(other, "GET") == 0 ? "GET, HEAD" : other); /* RFC 9110, 15.5.6 */
    } else
        gb_web_refuse(request, MHD_HTTP_NOT_FOUND, "unknown", "there is nothing at this address");
    return FALSE;
}

gboolean gb_web_gate(GbWebRequest *request, const char *method, const char *path)
{
    gboolean reads = strcmp(method, "GET") == 0 || strcmp(method, "HEAD") == 0;
    if (!is_ours(request))
        return FALSE;
    if (reads && strcmp(path, "/enter") == 0) {
        enter(request);
        return FALSE;
    }
    if (!comes_from_our_page(request, !reads) || !has_cookie(request) || !find_route(request, reads ? "GET" : method, path))
        return FALSE;
    if (reads)
        return has_no_body(request);
    return is_bounded(request, request->route->begin == NULL ? GB_WEB_JSON_MAX_BYTES : request->route->max_bytes) && is_fit_type(request);
}
