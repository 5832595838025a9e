/* route_claim.c -- GET /api/claim, GET /api/shots: the claim as it stands, for a page that knows nothing yet.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "web-private.h"

static void answer_claim(GbWebRequest *request)
{
    g_autoptr(GbBoard) board = gb_web_board(request);
    if (board != NULL)
        gb_web_text(request, gb_board_claim_text(board, request->web->names.run));
}
const GbWebRoute gb_route_claim = { .method = "GET", .path = "/api/claim", .answer = answer_claim };

static void answer_shots(GbWebRequest *request)
{
    gint64 from, count;
    if (!gb_web_query_int(request, "from", 0, 0, G_MAXINT32, &from) ||
        !gb_web_query_int(request, "count", G_MAXINT32, 0, G_MAXINT32, &count))
        return;
    g_autoptr(GbBoard) board = gb_web_board(request);
    if (board != NULL)
        gb_web_text(request, gb_board_shots_text(board, request->web->names.run, from, count));
}
const GbWebRoute gb_route_shots = { .method = "GET", .path = "/api/shots", .answer = answer_shots };
