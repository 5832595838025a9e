/* route_undo.c -- POST /api/undo, /api/redo. See history.h.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "web-private.h"

typedef struct {
    gboolean redo;
    json_t *was;
} Ask;

static gboolean check(GbLog *log, gpointer user, json_t *conflicts, GError **error)
{
    const Ask *ask = user;
    return ask->was == NULL || gb_decided_entry_still(log, ask->redo, ask->was, conflicts, error);
}

static gboolean act(GbLog *log, gpointer user, char **summary, GError **error)
{
    const Ask *ask = user;
    return ask->redo ? gb_history_redo(log, summary, error) : gb_history_undo(log, summary, error);
}

static void move(GbWebRequest *request, gboolean redo)
{
    Ask ask = { .redo = redo };
    const char *who = NULL;
    const GbWebField fields[] = { { "was", GB_WEB_ANY, &ask.was }, { "who", GB_WEB_TEXT, &who }, { NULL } };
    if (gb_web_read(request, fields))
        gb_web_change(request, &(GbWebChange){ who, check, act, &ask, NULL, NULL });
}

static void answer_undo(GbWebRequest *request)
{
    move(request, FALSE);
}
const GbWebRoute gb_route_undo = { .method = "POST", .path = "/api/undo", .answer = answer_undo };

static void answer_redo(GbWebRequest *request)
{
    move(request, TRUE);
}
const GbWebRoute gb_route_redo = { .method = "POST", .path = "/api/redo", .answer = answer_redo };
