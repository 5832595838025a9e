/* route_square.c -- POST /api/square: test squares, and the hits that matter. See square.h.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "web-private.h"

typedef struct {
    const char *slope;
    GbSquareEdit edit;
    const char *threshold, *source;
    int drop;
    json_t *was;
} Ask;

static gboolean check(GbLog *log, gpointer user, json_t *conflicts, GError **error)
{
    const Ask *ask = user;
    if (ask->was == NULL)
        return TRUE;
    return ask->slope == NULL ? gb_decided_threshold_still(log, ask->was, conflicts, error)
                              : gb_decided_square_still(log, ask->slope, ask->edit.number, ask->was, conflicts, error);
}

static gboolean act(GbLog *log, gpointer user, char **summary, GError **error)
{
    const Ask *ask = user;
    if (ask->slope == NULL)
        return gb_threshold_set(log, ask->threshold, ask->source, summary, error);
    return ask->drop == 1 ? gb_square_drop(log, ask->slope, ask->edit.number, summary, error)
                          : gb_square_say(log, ask->slope, &ask->edit, summary, error);
}

static void answer(GbWebRequest *request)
{
    Ask ask = { .drop = -1 };
    GbSquareEdit *edit = &ask.edit;
    g_autofree char *text = NULL;
    const char *who = NULL;
    json_t *shots = NULL;
    const GbWebField fields[] = {
        { "place", GB_WEB_TEXT, &ask.slope }, { "number", GB_WEB_TEXT, &edit->number },
        { "hits", GB_WEB_TEXT, &edit->hits }, { "size", GB_WEB_TEXT, &edit->size },
        { "not_drawn", GB_WEB_TEXT, &edit->not_drawn }, { "note", GB_WEB_TEXT, &edit->note },
        { "shots", GB_WEB_ANY, &shots }, { "threshold", GB_WEB_TEXT, &ask.threshold },
        { "source", GB_WEB_TEXT, &ask.source }, { "drop", GB_WEB_FLAG, &ask.drop }, { "was", GB_WEB_ANY, &ask.was },
        { "who", GB_WEB_TEXT, &who }, { NULL },
    };
    if (!gb_web_read(request, fields) || !gb_web_read_shots(request, shots, &text))
        return;
    if ((ask.slope == NULL) == (ask.threshold == NULL)) {
        gb_web_refuse(request, MHD_HTTP_BAD_REQUEST, "syntax", "either 'place' or 'threshold' must be said; nothing was changed");
        return;
    }
    edit->shots = text;
    gb_web_change(request, &(GbWebChange){ who, check, act, &ask, NULL, NULL });
}
const GbWebRoute gb_route_square = { .method = "POST", .path = "/api/square", .answer = answer };
