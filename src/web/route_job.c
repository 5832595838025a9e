/* route_job.c -- GET /api/job, POST /api/job/stop: how far the long work is.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "web-private.h"

static void answer(GbWebRequest *request)
{
    GbWeb *web = request->web;
    pthread_mutex_lock(&web->news_lock);
    json_t *job = gb_web_job_json(web->job);
    pthread_mutex_unlock(&web->news_lock);
    gb_web_json(request, MHD_HTTP_OK, json_pack("{so*}", "job", job));
}
const GbWebRoute gb_route_job = { .method = "GET", .path = "/api/job", .answer = answer };

static void answer_stop(GbWebRequest *request)
{
    const GbWebField fields[] = { { NULL } };
    if (!gb_web_read(request, fields))
        return;
    gb_web_stop_job(request->web);
    answer(request);
}
const GbWebRoute gb_route_job_stop = { .method = "POST", .path = "/api/job/stop", .answer = answer_stop };
