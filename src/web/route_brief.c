/* route_brief.c -- before the visit: GET /api/brief as JSON, POST /api/brief writes the page. See brief.h.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "web-private.h"

static void answer_json(GbWebRequest *request)
{
    g_autoptr(GbDossier) dossier = gb_web_dossier(request);
    if (dossier != NULL)
        gb_web_json(request, MHD_HTTP_OK, gb_brief_json(dossier));
}
const GbWebRoute gb_route_brief = { .method = "GET", .path = "/api/brief", .answer = answer_json };

static void answer_write(GbWebRequest *request)
{
    gb_web_write_page(request, gb_brief_html);
}
const GbWebRoute gb_route_brief_page = { .method = "POST", .path = "/api/brief", .answer = answer_write };
