/* route_verify.c -- POST /api/verify: is the claim, or the zip that was made of it, still what it was? See verify.h.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "web-private.h"

#include "board-private.h"

static gboolean work(GbWeb *web, GbWebJob *job, gpointer user, GError **error)
{
    const char *path = user;
    const GbProgress progress = { gb_web_job_follow, job };
    g_autoptr(GbVerification) result = gb_verify(path, &progress, error);
    if (result == NULL)
        return FALSE;
    json_t *said = gb_verification_json(result);
    gb_json_text(said, "what", strcmp(path, web->names.folder) == 0 ? "claim" : "zip");
    gb_web_job_say(web, job, "verification", said);
    return TRUE;
}

static void answer(GbWebRequest *request)
{
    const char *what = NULL;
    const GbWebField fields[] = { { "what", GB_WEB_TEXT, &what }, { NULL } };
    if (!gb_web_read(request, fields))
        return;
    const char *folder = request->web->names.folder;
    gboolean zip = g_strcmp0(what, "zip") == 0;
    if (what != NULL && !zip && strcmp(what, "claim") != 0)
        gb_web_refuse(request, MHD_HTTP_BAD_REQUEST, "syntax", "'what' must be 'claim' or 'zip'");
    else
        gb_web_start_job(request, "verify", work, zip ? gb_export_path(folder) : g_strdup(folder), g_free);
}
const GbWebRoute gb_route_verify = { .method = "POST", .path = "/api/verify", .answer = answer };
