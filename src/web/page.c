/* page.c -- what routes of a few pages share: the whole of the claim for one answer, and pages that are written to reports/.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "web-private.h"

GbDossier *gb_web_dossier(GbWebRequest *request)
{
    GError *error = NULL;
    GbLog *log = gb_web_borrow_log(request, GB_LOG_READ, NULL);
    if (log == NULL)
        return NULL;
    GbDossier *dossier = gb_dossier_load(log, &error);
    gb_web_return_log(request->web, GB_LOG_READ, log);
    if (dossier == NULL)
        gb_web_fail(request, error);
    return dossier;
}

void gb_web_write_page(GbWebRequest *request, GbWebPageWriter writer)
{
    const char *who = NULL;
    const GbWebField fields[] = { { "who", GB_WEB_TEXT, &who }, { NULL } };
    g_autofree char *written = NULL;
    GError *error = NULL;
    if (!gb_web_read(request, fields))
        return;
    GbLog *log = gb_web_borrow_log(request, GB_LOG_READ, NULL);
    if (log == NULL)
        return;
    g_autoptr(GbDossier) dossier = gb_dossier_load(log, &error);
    gboolean done = dossier != NULL && writer(log, dossier, NULL, &written, &error);
    gb_web_return_log(request->web, GB_LOG_READ, log);
    if (!done) {
        gb_web_fail(request, error);
        return;
    }
    g_autofree char *name = g_path_get_basename(written);
    gb_web_json(request, MHD_HTTP_OK, json_pack("{ss}", "report", name));
}
