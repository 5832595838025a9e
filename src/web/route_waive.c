/* route_waive.c -- POST /api/waive: why a requirement can't be met. See waive.h.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "web-private.h"

typedef struct {
    const char *requirement, *why;
    json_t *was;
} Ask;

static gboolean check(GbLog *log, gpointer user, json_t *conflicts, GError **error)
{
    const Ask *ask = user;
    return ask->was == NULL || gb_decided_waiver_still(log, ask->requirement, ask->was, conflicts, error);
}

static gboolean act(GbLog *log, gpointer user, char **summary, GError **error)
{
    const Ask *ask = user;
    return gb_waive(log, ask->requirement, ask->why, summary, error);
}

static void answer(GbWebRequest *request)
{
    Ask ask = { 0 };
    const char *who = NULL;
    const GbWebField fields[] = {
        { "requirement", GB_WEB_TEXT, &ask.requirement }, { "why", GB_WEB_TEXT, &ask.why }, { "was", GB_WEB_ANY, &ask.was },
        { "who", GB_WEB_TEXT, &who },                     { NULL },
    };
    if (!gb_web_read(request, fields))
        return;
    if (ask.requirement == NULL || json_object_get(request->body, "why") == NULL) {
        gb_web_refuse(request, MHD_HTTP_BAD_REQUEST, "syntax", "'requirement' and 'why' must be said; nothing was changed");
        return;
    }
    if (json_is_null(json_object_get(request->body, "why")))
        ask.why = NULL; /* takes it back */
    gb_web_change(request, &(GbWebChange){ who, check, act, &ask, NULL, NULL });
}
const GbWebRoute gb_route_waive = { .method = "POST", .path = "/api/waive", .answer = answer };
