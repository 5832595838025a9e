/* route_mark.c -- POST /api/mark: what a person draws over a photo. See mark.h.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "web-private.h"

typedef struct {
    GbMarkEdit edit;
    int drop;
    gint64 mark; /* that was drawn or changed */
    json_t *was;
} Ask;

static gboolean check(GbLog *log, gpointer user, json_t *conflicts, GError **error)
{
    const Ask *ask = user;
    return ask->was == NULL || ask->edit.mark == 0 || gb_decided_mark_still(log, ask->edit.mark, ask->was, conflicts, error);
}

static gboolean act(GbLog *log, gpointer user, char **summary, GError **error)
{
    Ask *ask = user;
    return ask->drop == 1 ? gb_mark_drop(log, ask->edit.mark, summary, error) : gb_mark(log, &ask->edit, &ask->mark, summary, error);
}

/* [[x, y], ...] to points, OWNED by the caller; NULL when it is none, or too long. */
static GbMarkPoint *read_points(const json_t *array)
{
    gsize n = json_array_size(array), i;
    json_t *pair;
    if (n == 0 || n > GB_MARK_POINTS_MAX)
        return NULL;
    g_autofree GbMarkPoint *points = g_new(GbMarkPoint, n);
    json_array_foreach(array, i, pair) {
        const json_t *x = json_array_get(pair, 0), *y = json_array_get(pair, 1);
        if (json_array_size(pair) != 2 || !json_is_number(x) || !json_is_number(y))
            return NULL;
        points[i] = (GbMarkPoint){ json_number_value(x), json_number_value(y) };
    }
    return g_steal_pointer(&points);
}

static void answer(GbWebRequest *request)
{
    Ask ask = { .drop = -1 };
    GbMarkEdit *edit = &ask.edit;
    json_t *points = NULL;
    const char *who = NULL;
    const GbWebField fields[] = {
        { "mark", GB_WEB_WHOLE, &edit->mark }, { "shot", GB_WEB_WHOLE, &edit->shot },
        { "kind", GB_WEB_TEXT, &edit->kind }, { "points", GB_WEB_ANY, &points }, { "text", GB_WEB_TEXT, &edit->text },
        { "length", GB_WEB_TEXT, &edit->length }, { "drop", GB_WEB_FLAG, &ask.drop }, { "was", GB_WEB_ANY, &ask.was },
        { "who", GB_WEB_TEXT, &who }, { NULL },
    };
    if (!gb_web_read(request, fields))
        return;
    g_autofree GbMarkPoint *read = read_points(points);
    edit->points = read;
    edit->n_points = read == NULL ? 0 : (guint)json_array_size(points);
    if ((edit->mark == 0) == (edit->shot == 0) || (points != NULL && read == NULL) || (ask.drop == 1 && edit->mark == 0)) {
        gb_web_refuse(request, MHD_HTTP_BAD_REQUEST, "syntax", "%s; nothing was changed",
                      points != NULL && read == NULL ? "'points' must be a list of 1 to 2000 pairs of numbers"
                                                     : "either 'shot', for a new mark, or 'mark', for one that is there, must be said");
        return;
    }
    gb_web_change(request, &(GbWebChange){ who, check, act, &ask, "mark", &ask.mark });
}
const GbWebRoute gb_route_mark = { .method = "POST", .path = "/api/mark", .answer = answer };
