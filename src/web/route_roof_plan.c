/* route_roof_plan.c -- GET /api/roof-plan/1: the drawing of a measured roof, by its structure. See roof_plan.h.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "web-private.h"

/* BORROWED; NULL: nothing of that structure is measured. */
static const char *name_of(const GbRoof *roof, gint64 structure)
{
    for (guint i = 0; i < roof->entries->len; i++) {
        const GbRoofEntry *entry = roof->entries->pdata[i];
        if (entry->structure == structure)
            return entry->structure_name;
    }
    return NULL;
}

static char *draw(const GbRoof *roof, gint64 structure)
{
    const char *name = name_of(roof, structure);
    g_autofree char *title = name == NULL ? NULL : g_strdup_printf("Roof of the %s, seen from above", name);
    return title == NULL ? NULL : gb_roof_plan_svg(roof, structure, title, GB_UNITS_FEET);
}

/* A picture that can do nothing: where it is opened by itself, names in it stay text and nothing is fetched. */
#define POLICY "sandbox; default-src 'none'; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"

static void answer(GbWebRequest *request)
{
    guint64 structure = 0;
    g_autoptr(GbDossier) dossier = gb_web_dossier(request);
    if (dossier == NULL)
        return;
    char *svg = g_ascii_string_to_unsigned(request->rest, 10, 1, G_MAXINT64, &structure, NULL) ? draw(dossier->roof, (gint64)structure) : NULL;
    if (svg == NULL) {
        gb_web_refuse(request, MHD_HTTP_NOT_FOUND, "unknown", "nothing of that roof is measured");
        return;
    }
    g_autoptr(GBytes) bytes = g_bytes_new_take(svg, strlen(svg));
    gb_web_bytes(request, bytes, "image/svg+xml; charset=utf-8", NULL, FALSE);
    gb_web_header(request, "Content-Security-Policy", POLICY);
}
const GbWebRoute gb_route_roof_plan = { .method = "GET", .path = "/api/roof-plan/", .answer = answer };
