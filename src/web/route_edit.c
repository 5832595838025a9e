/* route_edit.c -- POST /api/edit: the facts of the claim. See edit.h.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "web-private.h"

typedef struct {
    GbEdit edit;
    json_t *was;
} Ask;

static gboolean check(GbLog *log, gpointer user, json_t *conflicts, GError **error)
{
    const Ask *ask = user;
    return ask->was == NULL || gb_decided_claim_still(log, ask->was, conflicts, error);
}

static gboolean act(GbLog *log, gpointer user, char **summary, GError **error)
{
    const Ask *ask = user;
    *summary = g_strdup("facts of the claim");
    return gb_edit(log, &ask->edit, error);
}

static void answer(GbWebRequest *request)
{
    Ask ask = { 0 };
    GbEdit *edit = &ask.edit;
    const char *who = NULL;
    const GbWebField fields[] = {
        { "insured", GB_WEB_TEXT, &edit->insured },     { "number", GB_WEB_TEXT, &edit->number },
        { "address", GB_WEB_TEXT, &edit->address },     { "adjuster", GB_WEB_TEXT, &edit->adjuster },
        { "loss_date", GB_WEB_TEXT, &edit->loss_date }, { "inspection_date", GB_WEB_TEXT, &edit->inspection_date },
        { "cause", GB_WEB_TEXT, &edit->cause },         { "checklist", GB_WEB_TEXT, &edit->checklist },
        { "front_azimuth", GB_WEB_TEXT, &edit->front_azimuth },
        { "was", GB_WEB_ANY, &ask.was },                { "who", GB_WEB_TEXT, &who },
        { NULL },
    };
    if (gb_web_read(request, fields))
        gb_web_change(request, &(GbWebChange){ who, check, act, &ask, NULL, NULL });
}
const GbWebRoute gb_route_edit = { .method = "POST", .path = "/api/edit", .answer = answer };
