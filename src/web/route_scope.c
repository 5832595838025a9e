/* route_scope.c -- the scope sheet: GET /api/scope as JSON, GET /api/scope.csv. The page of it is built like a report. See scope.h.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "web-private.h"

static void answer_json(GbWebRequest *request)
{
    g_autoptr(GbDossier) dossier = gb_web_dossier(request);
    if (dossier != NULL)
        gb_web_json(request, MHD_HTTP_OK, gb_scope_json(dossier));
}
const GbWebRoute gb_route_scope = { .method = "GET", .path = "/api/scope", .answer = answer_json };

static void answer_csv(GbWebRequest *request)
{
    g_autoptr(GbDossier) dossier = gb_web_dossier(request);
    if (dossier == NULL)
        return;
    char *text = gb_scope_csv(dossier);
    g_autoptr(GBytes) bytes = g_bytes_new_take(text, strlen(text));
    gb_web_bytes(request, bytes, "text/csv; charset=utf-8", NULL, FALSE);
    gb_web_header(request, MHD_HTTP_HEADER_CONTENT_DISPOSITION, "attachment; filename=\"scope-sheet.csv\"");
}
const GbWebRoute gb_route_scope_csv = { .method = "GET", .path = "/api/scope.csv", .answer = answer_csv };
