/* route_leaving.c -- GET /api/leaving: what is still to be done on the spot, in walking order. See leaving.h.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "web-private.h"

static void answer(GbWebRequest *request)
{
    g_autoptr(GbDossier) dossier = gb_web_dossier(request);
    if (dossier == NULL)
        return;
    g_autoptr(GPtrArray) items = gb_leaving(dossier);
    gb_web_json(request, MHD_HTTP_OK, gb_leaving_json(items));
}
const GbWebRoute gb_route_leaving = { .method = "GET", .path = "/api/leaving", .answer = answer };
