/* route_page.c -- GET / and /ui/NAME: the page, which travels in the program.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "web-private.h"

static const char *type_of(const char *name)
{
    static const struct { const char *end, *type; } types[] = {
        { ".html", "text/html; charset=utf-8" },      { ".js", "text/javascript; charset=utf-8" }, { ".css", "text/css; charset=utf-8" },
        { ".svg", "image/svg+xml; charset=utf-8" },   { ".png", "image/png" },
        { ".webmanifest", "application/manifest+json; charset=utf-8" },
    };
    for (gsize i = 0; i < G_N_ELEMENTS(types); i++)
        if (g_str_has_suffix(name, types[i].end))
            return types[i].type;
    return "application/octet-stream";
}

/* The name is looked for among those that there are. */
static void answer_file(GbWebRequest *request, const char *name)
{
    GError *error = NULL;
    char sha256[GB_DIGEST_HEX];
    g_auto(GStrv) names = gb_builtin_names("src/web/ui");
    g_autofree char *path = g_strconcat("src/web/ui/", name, NULL);
    g_autoptr(GBytes) bytes = g_strv_contains((const char *const *)names, name) ? gb_builtin_bytes(path, &error) : NULL;
    if (bytes != NULL && gb_digest(g_bytes_get_data(bytes, NULL), g_bytes_get_size(bytes), sha256, &error))
        gb_web_bytes(request, bytes, type_of(name), sha256, FALSE);
    else if (error != NULL)
        gb_web_fail(request, error);
    else
        gb_web_refuse(request, MHD_HTTP_NOT_FOUND, "unknown", "there is nothing at this address");
}

static void answer_page(GbWebRequest *request)
{
    answer_file(request, "index.html");
}
const GbWebRoute gb_route_page = { .method = "GET", .path = "/", .answer = answer_page };

static void answer_part(GbWebRequest *request)
{
    answer_file(request, request->rest);
}
const GbWebRoute gb_route_part = { .method = "GET", .path = "/ui/", .answer = answer_part };
