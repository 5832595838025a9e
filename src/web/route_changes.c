/* route_changes.c -- GET /api/changes: what is new since a version; waits for it if there is nothing yet.
 *
 * What is done through this server wakes the waiting thread at once. Other programs don't tell: while anybody waits, the log is asked a few
 * times a second where it stands, which costs some hundredths of a millisecond.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "web-private.h"

#define LOOK_EVERY_US (G_USEC_PER_SEC / 4)
#define WAIT_MAX_S 25

typedef struct {
    gint64 since, until_us;
    guint64 job_moves; /* of the job, as the page knows it */
    const char *run;
} Ask;

static struct timespec later(gint64 us)
{
    gint64 at_us = g_get_monotonic_time() + us;
    return (struct timespec){ at_us / G_USEC_PER_SEC, (at_us % G_USEC_PER_SEC) * 1000 };
}

/* Whether the log, or a job, has moved on. FALSE in ok: answered already. */
static gboolean has_news(GbWebRequest *request, const Ask *ask, gboolean *ok)
{
    GError *error = NULL;
    gint64 version = 0;
    GbWeb *web = request->web;
    pthread_mutex_lock(&web->news_lock);
    gboolean moved = gb_web_job_moves(web->job) != ask->job_moves || web->ending;
    pthread_mutex_unlock(&web->news_lock);
    GbLog *log = gb_web_borrow_log(request, GB_LOG_READ, NULL);
    *ok = log != NULL && gb_history_version(log, &version, &error);
    if (log != NULL)
        gb_web_return_log(web, GB_LOG_READ, log);
    if (error != NULL)
        gb_web_fail(request, error);
    return moved || version != ask->since;
}

/* Until something may be new; at most a moment. */
static void wait_a_moment(GbWeb *web, guint64 count)
{
    const struct timespec until = later(LOOK_EVERY_US);
    pthread_mutex_lock(&web->news_lock);
    while (web->news_count == count && !web->ending && pthread_cond_timedwait(&web->news, &web->news_lock, &until) == 0)
        ;
    pthread_mutex_unlock(&web->news_lock);
}

static guint64 count_news(GbWeb *web)
{
    pthread_mutex_lock(&web->news_lock);
    guint64 count = web->news_count;
    pthread_mutex_unlock(&web->news_lock);
    return count;
}

/* FALSE: answered already. */
static gboolean wait_for_news(GbWebRequest *request, const Ask *ask)
{
    for (gboolean ok = TRUE;;) {
        guint64 count = count_news(request->web);
        if (has_news(request, ask, &ok) || !ok)
            return ok;
        if (g_get_monotonic_time() >= ask->until_us)
            return TRUE;
        wait_a_moment(request->web, count);
    }
}

/* The job, if the page does not know its state yet. OWNED by the caller. */
static char *job_news(GbWeb *web, const Ask *ask)
{
    pthread_mutex_lock(&web->news_lock);
    guint64 moves = gb_web_job_moves(web->job);
    g_autoptr(json_t) job = moves == ask->job_moves ? NULL : gb_web_job_json(web->job);
    pthread_mutex_unlock(&web->news_lock);
    if (job == NULL)
        return NULL;
    json_object_set_new(job, "moves", json_integer((json_int_t)moves));
    return json_dumps(job, JSON_COMPACT);
}

static void answer(GbWebRequest *request)
{
    Ask ask = { .run = request->web->names.run };
    gint64 wait_s, moves;
    if (!gb_web_query_int(request, "since", -1, -1, G_MAXINT64, &ask.since) ||
        !gb_web_query_int(request, "wait", 0, 0, WAIT_MAX_S, &wait_s) ||
        !gb_web_query_int(request, "moves", 0, 0, G_MAXINT64, &moves))
        return;
    ask.job_moves = (guint64)moves;
    ask.until_us = g_get_monotonic_time() + wait_s * G_USEC_PER_SEC;
    if (g_strcmp0(gb_web_query(request, "board"), ask.run) != 0)
        ask.since = -1; /* of another run: load anew */
    if (ask.since >= 0 && !wait_for_news(request, &ask))
        return;
    g_autoptr(GbBoard) board = gb_web_board(request);
    if (board == NULL)
        return;
    g_autofree char *job = job_news(request->web, &ask);
    gb_web_text(request, gb_board_changes_text(board, ask.run, ask.since, job));
}
const GbWebRoute gb_route_changes = { .method = "GET", .path = "/api/changes", .answer = answer };
