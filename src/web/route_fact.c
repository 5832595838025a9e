/* route_fact.c -- POST /api/fact: what is known of a place. See fact.h.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "web-private.h"

typedef struct {
    const char *place, *kind;
    GbFactEdit edit;
    int drop;
    json_t *was;
} Ask;

static gboolean check(GbLog *log, gpointer user, json_t *conflicts, GError **error)
{
    const Ask *ask = user;
    return ask->was == NULL || gb_decided_fact_still(log, ask->place, ask->kind, ask->was, conflicts, error);
}

static gboolean act(GbLog *log, gpointer user, char **summary, GError **error)
{
    const Ask *ask = user;
    return ask->drop == 1 ? gb_fact_drop(log, ask->place, ask->kind, summary, error)
                          : gb_fact_say(log, ask->place, ask->kind, &ask->edit, summary, error);
}

static void answer(GbWebRequest *request)
{
    Ask ask = { .drop = -1 };
    g_autofree char *text = NULL;
    const char *who = NULL;
    json_t *shots = NULL;
    const GbWebField fields[] = {
        { "place", GB_WEB_TEXT, &ask.place }, { "kind", GB_WEB_TEXT, &ask.kind },
        { "value", GB_WEB_TEXT, &ask.edit.value }, { "how", GB_WEB_TEXT, &ask.edit.how },
        { "note", GB_WEB_TEXT, &ask.edit.note }, { "shots", GB_WEB_ANY, &shots }, { "drop", GB_WEB_FLAG, &ask.drop },
        { "was", GB_WEB_ANY, &ask.was }, { "who", GB_WEB_TEXT, &who }, { NULL },
    };
    if (!gb_web_read(request, fields) || !gb_web_read_shots(request, shots, &text))
        return;
    if (ask.place == NULL || ask.kind == NULL) {
        gb_web_refuse(request, MHD_HTTP_BAD_REQUEST, "syntax", "'place' and 'kind' must be said; nothing was changed");
        return;
    }
    ask.edit.shots = text;
    gb_web_change(request, &(GbWebChange){ who, check, act, &ask, NULL, NULL });
}
const GbWebRoute gb_route_fact = { .method = "POST", .path = "/api/fact", .answer = answer };
