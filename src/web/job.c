/* job.c -- long work in a thread of its own: an import, a report, an export, a verification. One at a time; its state is looked at under news_lock.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "web-private.h"

#define MESSAGES_MAX 200
#define TELL_EVERY_US (G_USEC_PER_SEC / 4)

typedef enum { RUNNING, DONE, FAILED, STOPPED } State;

struct GbWebJob {
    /* Never changes while it runs. */
    GbWeb *web;
    const char *kind;
    GbWebWork work;
    gpointer user;
    GDestroyNotify free_user;
    pthread_t thread;

    /* Under news_lock. */
    gint64 id;
    State state;
    gboolean should_stop, joined;
    GbImportTally tally;
    guint files; /* done, of work that has no tally */
    GQueue messages; /* of char *, the last ones */
    guint message_count;
    char *error;
    json_t *said; /* what came of it; NULL nothing */
    guint64 moves;
    gint64 told_us;
};

void gb_web_free_job(GbWebJob *job)
{
    if (job == NULL)
        return;
    g_queue_clear_full(&job->messages, g_free);
    if (job->user != NULL)
        job->free_user(job->user);
    g_free(job->error);
    json_decref(job->said);
    g_free(job);
}

/* --- what it says --- */

gboolean gb_web_job_runs(const GbWebJob *job)
{
    return job != NULL && job->state == RUNNING;
}

guint64 gb_web_job_moves(const GbWebJob *job)
{
    return job == NULL ? 0 : job->moves;
}

static void add_tally(json_t *object, const GbImportTally *tally, guint files)
{
    const struct { const char *key; guint64 n; } counts[] = {
        { "done", gb_import_done(tally) + files },
        { "total", tally->total }, { "bytes", tally->bytes }, { "total_bytes", tally->total_bytes },
        { "fresh", tally->fresh }, { "back", tally->back },   { "known", tally->known }, { "left_out", tally->left_out }, { "attached", tally->attached },
        { "passed_over", tally->sidecars.n },
    };
    for (gsize i = 0; i < G_N_ELEMENTS(counts); i++)
        json_object_set_new(object, counts[i].key, json_integer((json_int_t)counts[i].n));
}

json_t *gb_web_job_json(const GbWebJob *job)
{
    static const char *const states[] = { "running", "done", "failed", "stopped" };
    if (job == NULL)
        return NULL;
    json_t *messages = json_array();
    for (const GList *message = job->messages.head; message != NULL; message = message->next)
        json_array_append_new(messages, json_string(message->data));
    json_t *object = json_pack("{sIssssso}", "id", (json_int_t)job->id, "kind", job->kind, "state", states[job->state],
                               "messages", messages);
    json_object_set_new(object, "message_count", json_integer(job->message_count));
    add_tally(object, &job->tally, job->files);
    if (job->error != NULL)
        json_object_set_new(object, "error", json_string(job->error));
    if (job->said != NULL)
        json_object_update(object, job->said);
    return object;
}

/* --- what its thread does --- */

gboolean gb_web_job_should_stop(GbWeb *web, GbWebJob *job)
{
    pthread_mutex_lock(&web->news_lock);
    gboolean stop = job->should_stop;
    pthread_mutex_unlock(&web->news_lock);
    return stop;
}

static void move_on(GbWeb *web, GbWebJob *job)
{
    job->moves++;
    job->told_us = g_get_monotonic_time();
    web->news_count++;
    pthread_cond_broadcast(&web->news);
}

/* Not at every step: four times a second. */
static void tell_soon(GbWeb *web, GbWebJob *job)
{
    if (g_get_monotonic_time() - job->told_us >= TELL_EVERY_US)
        move_on(web, job);
}

void gb_web_job_progress(GbWeb *web, GbWebJob *job, const GbImportTally *tally, const char *message)
{
    pthread_mutex_lock(&web->news_lock);
    job->tally = *tally;
    if (message != NULL) {
        job->message_count++;
        g_queue_push_tail(&job->messages, g_utf8_make_valid(message, -1));
        if (g_queue_get_length(&job->messages) > MESSAGES_MAX)
            g_free(g_queue_pop_head(&job->messages));
    }
    tell_soon(web, job);
    pthread_mutex_unlock(&web->news_lock);
}

gboolean gb_web_job_follow(guint done, guint total, gpointer user)
{
    GbWebJob *job = user;
    pthread_mutex_lock(&job->web->news_lock);
    job->files = MAX(job->files, done); /* several threads tell, in any order */
    job->tally.total = total;
    tell_soon(job->web, job);
    gboolean go_on = !job->should_stop;
    pthread_mutex_unlock(&job->web->news_lock);
    return go_on;
}

void gb_web_job_say(GbWeb *web, GbWebJob *job, const char *key, json_t *value)
{
    pthread_mutex_lock(&web->news_lock);
    if (job->said == NULL)
        job->said = json_object();
    json_object_set_new(job->said, key, value);
    pthread_mutex_unlock(&web->news_lock);
}

static void *run_job(void *user)
{
    GbWebJob *job = user;
    GbWeb *web = job->web;
    g_autoptr(GError) error = NULL;
    gboolean ok = job->work(web, job, job->user, &error);
    job->free_user(g_steal_pointer(&job->user)); /* what was uploaded for it is gone when it says that it is over */
    pthread_mutex_lock(&web->news_lock);
    gboolean stopped = ok ? job->tally.stopped : g_error_matches(error, GB_ERROR, GB_ERROR_STOPPED);
    job->state = stopped ? STOPPED : ok ? DONE : FAILED;
    job->error = ok || stopped ? NULL : g_utf8_make_valid(error->message, -1);
    move_on(web, job);
    pthread_mutex_unlock(&web->news_lock);
    return NULL;
}

/* --- beginning and ending --- */

/* Needs news_lock. NULL: begun; else why not. */
static const char *begin(GbWeb *web, GbWebJob *job)
{
    if (web->ending)
        return "the server is ending";
    if (gb_web_job_runs(web->job))
        return "another job is running; wait until it is done, or stop it";
    job->id = web->job == NULL ? 1 : web->job->id + 1;
    job->moves = gb_web_job_moves(web->job) + 1; /* never falls: a page that saw the last job sees this one */
    if (web->job != NULL && !web->job->joined)
        pthread_join(web->job->thread, NULL); /* it has said its last under our lock */
    if (pthread_create(&job->thread, NULL, run_job, job) != 0) {
        g_clear_pointer(&web->job, gb_web_free_job);
        return "this machine gives no more threads";
    }
    gb_web_free_job(web->job);
    web->job = job;
    return NULL;
}

void gb_web_start_job(GbWebRequest *request, const char *kind, GbWebWork work, gpointer user, GDestroyNotify free_user)
{
    GbWeb *web = request->web;
    GbWebJob *job = g_new0(GbWebJob, 1);
    *job = (GbWebJob){ .web = web, .kind = kind, .work = work, .user = user, .free_user = free_user };
    pthread_mutex_lock(&web->news_lock);
    const char *why_not = begin(web, job);
    json_t *said = why_not == NULL ? json_pack("{so}", "job", gb_web_job_json(job)) : NULL;
    pthread_mutex_unlock(&web->news_lock);
    if (said != NULL) {
        gb_web_json(request, MHD_HTTP_OK, said);
        return;
    }
    gb_web_free_job(job);
    gb_web_refuse(request, MHD_HTTP_CONFLICT, "busy", "%s", why_not);
}

void gb_web_stop_job(GbWeb *web)
{
    pthread_mutex_lock(&web->news_lock);
    if (web->job != NULL)
        web->job->should_stop = TRUE;
    pthread_mutex_unlock(&web->news_lock);
}

void gb_web_join_job(GbWeb *web)
{
    gb_web_stop_job(web);
    if (web->job != NULL && !web->job->joined)
        pthread_join(web->job->thread, NULL);
    if (web->job != NULL)
        web->job->joined = TRUE;
}
