/* route_finding.c -- POST /api/finding: what is damaged and what is to be done. See finding.h.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "web-private.h"

typedef struct {
    gint64 finding; /* the one to change, then the one that was written; 0 a new one */
    GbFindingEdit edit;
    int drop;
    json_t *was;
} Ask;

static gboolean check(GbLog *log, gpointer user, json_t *conflicts, GError **error)
{
    const Ask *ask = user;
    return ask->was == NULL || ask->finding == 0 || gb_decided_finding_still(log, ask->finding, ask->was, conflicts, error);
}

static gboolean act(GbLog *log, gpointer user, char **summary, GError **error)
{
    Ask *ask = user;
    if (ask->finding == 0)
        return gb_finding_add(log, &ask->edit, &ask->finding, summary, error);
    return ask->drop == 1 ? gb_finding_remove(log, ask->finding, summary, error)
                          : gb_finding_change(log, ask->finding, &ask->edit, summary, error);
}

static void answer(GbWebRequest *request)
{
    Ask ask = { .drop = -1 };
    GbFindingEdit *edit = &ask.edit;
    g_autofree char *text = NULL, *more_text = NULL, *fewer_text = NULL;
    const char *who = NULL;
    json_t *shots = NULL, *more = NULL, *fewer = NULL;
    const GbWebField fields[] = {
        { "finding", GB_WEB_WHOLE, &ask.finding }, { "place", GB_WEB_TEXT, &edit->place },
        { "component", GB_WEB_TEXT, &edit->component }, { "cause", GB_WEB_TEXT, &edit->cause },
        { "action", GB_WEB_TEXT, &edit->action }, { "quantity", GB_WEB_TEXT, &edit->quantity },
        { "note", GB_WEB_TEXT, &edit->note }, { "shots", GB_WEB_ANY, &shots }, { "more_shots", GB_WEB_ANY, &more },
        { "fewer_shots", GB_WEB_ANY, &fewer }, { "drop", GB_WEB_FLAG, &ask.drop }, { "was", GB_WEB_ANY, &ask.was },
        { "who", GB_WEB_TEXT, &who }, { NULL },
    };
    if (!gb_web_read(request, fields) || !gb_web_read_shots(request, shots, &text) || !gb_web_read_shots(request, more, &more_text) ||
        !gb_web_read_shots(request, fewer, &fewer_text))
        return;
    if (ask.finding == 0 && ask.drop == 1) {
        gb_web_refuse(request, MHD_HTTP_BAD_REQUEST, "syntax", "'finding' must be said; nothing was changed");
        return;
    }
    edit->shots = text;
    edit->more_shots = more_text;
    edit->fewer_shots = fewer_text;
    gb_web_change(request, &(GbWebChange){ who, check, act, &ask, "finding", &ask.finding });
}
const GbWebRoute gb_route_finding = { .method = "POST", .path = "/api/finding", .answer = answer };
