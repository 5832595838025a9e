/* route_tag.c -- POST /api/tag: what a person says of shots. See tag.h.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "web-private.h"

typedef struct {
    char *shots;
    GbTag tag;
    json_t *was, *was_order;
} Ask;

static gboolean check(GbLog *log, gpointer user, json_t *conflicts, GError **error)
{
    const Ask *ask = user;
    return (ask->was == NULL || gb_decided_shots_still(log, ask->was, conflicts, error)) &&
           (ask->was_order == NULL || gb_decided_order_still(log, ask->was_order, conflicts, error));
}

static gboolean act(GbLog *log, gpointer user, char **summary, GError **error)
{
    const Ask *ask = user;
    return gb_tag(log, ask->shots, &ask->tag, summary, error);
}

/* How they are to be ordered; FALSE: more than one of them. */
static gboolean set_order(GbTag *tag, gint64 before, gint64 after, int by_time)
{
    tag->order = before != 0 ? GB_ORDER_BEFORE : after != 0 ? GB_ORDER_AFTER : by_time == 1 ? GB_ORDER_BY_TIME : GB_ORDER_KEEP;
    tag->anchor = before != 0 ? before : after;
    return (before != 0) + (after != 0) + (by_time == 1) <= 1;
}

static void answer(GbWebRequest *request)
{
    Ask ask = { 0 };
    const char *who = NULL;
    json_t *shots = NULL;
    gint64 before = 0, after = 0;
    int left_out = -1, by_time = -1;
    const GbWebField fields[] = {
        { "shots", GB_WEB_ANY, &shots },               { "place", GB_WEB_TEXT, &ask.tag.place },
        { "subject", GB_WEB_TEXT, &ask.tag.subject },  { "distance", GB_WEB_TEXT, &ask.tag.distance },
        { "value", GB_WEB_TEXT, &ask.tag.value },      { "caption", GB_WEB_TEXT, &ask.tag.caption },
        { "left_out", GB_WEB_FLAG, &left_out },        { "before", GB_WEB_WHOLE, &before },
        { "after", GB_WEB_WHOLE, &after },             { "by_time", GB_WEB_FLAG, &by_time },
        { "was", GB_WEB_ANY, &ask.was },               { "was_order", GB_WEB_ANY, &ask.was_order },
        { "who", GB_WEB_TEXT, &who },                  { NULL },
    };
    if (!gb_web_read(request, fields))
        return;
    ask.tag.in_report = left_out < 0 ? GB_KEEP : left_out == 1 ? GB_LEAVE_OUT : GB_TAKE_IN;
    g_autofree char *text = ask.shots = gb_web_shots(shots);
    if (text == NULL || *text == '\0' || !set_order(&ask.tag, before, after, by_time)) {
        gb_web_refuse(request, MHD_HTTP_BAD_REQUEST, "syntax", "%s; nothing was changed",
                      text == NULL || *text == '\0' ? "'shots' must be a list of numbers" : "only one of before, after and by_time can hold");
        return;
    }
    gb_web_change(request, &(GbWebChange){ who, check, act, &ask, NULL, NULL });
}
const GbWebRoute gb_route_tag = { .method = "POST", .path = "/api/tag", .answer = answer };
