/* route_stop.c -- POST /api/stop: the page wants the server to end.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "web-private.h"

static void answer(GbWebRequest *request)
{
    const GbWebField fields[] = { { NULL } };
    if (!gb_web_read(request, fields))
        return;
    gb_web_json(request, MHD_HTTP_OK, json_object());
    gb_web_end(request->web);
}
const GbWebRoute gb_route_stop = { .method = "POST", .path = "/api/stop", .answer = answer };
