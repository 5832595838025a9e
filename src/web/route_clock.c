/* route_clock.c -- POST /api/clock: a person's word on a camera's clock. See correct.h.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "web-private.h"

typedef struct {
    const char *camera, *said;
    gint64 shot, other;
    json_t *was;
} Ask;

static gboolean check(GbLog *log, gpointer user, json_t *conflicts, GError **error)
{
    const Ask *ask = user;
    if (ask->was == NULL)
        return TRUE;
    return ask->shot != 0 ? gb_decided_pair_still(log, ask->shot, ask->was, conflicts, error)
                          : gb_decided_camera_still(log, ask->camera, ask->was, conflicts, error);
}

static gboolean act(GbLog *log, gpointer user, char **summary, GError **error)
{
    const Ask *ask = user;
    return ask->shot != 0 ? gb_correct_pair(log, ask->shot, ask->other, summary, error)
                          : gb_correct_say(log, ask->camera, ask->said, summary, error);
}

static void answer(GbWebRequest *request)
{
    Ask ask = { 0 };
    json_t *other = NULL;
    const char *who = NULL;
    const GbWebField fields[] = {
        { "camera", GB_WEB_TEXT, &ask.camera }, { "said", GB_WEB_TEXT, &ask.said },
        { "shot", GB_WEB_WHOLE, &ask.shot }, { "other", GB_WEB_ANY, &other }, { "was", GB_WEB_ANY, &ask.was },
        { "who", GB_WEB_TEXT, &who }, { NULL },
    };
    if (!gb_web_read(request, fields))
        return;
    gboolean says = ask.camera != NULL && ask.said != NULL && ask.shot == 0 && other == NULL;
    gboolean pairs = ask.shot != 0 && (json_is_integer(other) || json_is_null(other)) && ask.camera == NULL && ask.said == NULL;
    if (!says && !pairs) {
        gb_web_refuse(request, MHD_HTTP_BAD_REQUEST, "syntax",
                      "either 'camera' and 'said', or 'shot' and 'other', must be said; nothing was changed");
        return;
    }
    ask.other = json_integer_value(other);
    gb_web_change(request, &(GbWebChange){ who, check, act, &ask, NULL, NULL });
}
const GbWebRoute gb_route_clock = { .method = "POST", .path = "/api/clock", .answer = answer };
