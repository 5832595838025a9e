/* survey.c -- looking at photos behind their import. See survey.h.
 *
 *     calling thread: original read -> queue -> worker: bytes in, preview and measures out -> queue -> calling thread: kept, entered
 *
 * Workers touch neither files nor the log, and behind a fence (fence.h) they could not; but for one, free, that hands HEIC photos to their
 * decoder, a fenced program of its own. A few photos more than there are workers are on the way, and of large ones fewer: that bounds
 * the memory. Order does not matter: every row carries its photo's number.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <gablebook/survey.h>

#include <gablebook/digest.h>
#include <gablebook/error.h>
#include <gablebook/fence.h>
#include <gablebook/file.h>
#include <gablebook/format.h>
#include <gablebook/image.h>
#include <gablebook/picture.h>
#include <log/rows.h>

#define THREADS_MAX 64
#define AHEAD 16                 /* photos that are read while all workers are at work, or this thread waits for the disk */
#define BYTES_AHEAD (48u << 20)  /* no more is read ahead while so much is on the way */
#define BATCH 256                /* rows a transaction ... */
#define BATCH_US (2 * G_USEC_PER_SEC) /* ... or fewer when the first has waited so long */
#define WAIT_US (100 * G_TIME_SPAN_MILLISECOND)

/* One photo on its way. shot is BORROWED from the list of those wanted; its lower members are filled by the worker. */
typedef struct {
    GbShot *shot;
    GBytes *bytes;
    GBytes *preview; /* NULL: shot->trouble says why, or ... */
    char *not_now;   /* ... this: nothing is wrong with the photo, or nobody knows yet */
} Item;

typedef struct {
    GbLog *log;
    gboolean fresh;
    const GbSurveyWatch *watch;
    GbSurveyTally *tally;
    GPtrArray *wanted;
    GAsyncQueue *todo, *heic, *done; /* of Item; in the first two an Item without a shot ends one worker */
    GThread *free_thread;     /* works on heic; begun with the first of them */
    guint next;               /* the next of wanted to be read */
    guint under_way;
    gsize bytes_under_way;
    GPtrArray *batch;         /* of GbShot, looked at and not entered yet; BORROWED */
    gint64 since;             /* when the first of the batch came, monotonic */
} Survey;

static void free_item(gpointer data)
{
    Item *item = data;
    g_clear_pointer(&item->bytes, g_bytes_unref);
    g_clear_pointer(&item->preview, g_bytes_unref);
    g_free(item->not_now);
    g_free(item);
}

/* --- in a worker --- */

static void look_at(Item *item)
{
    gsize n;
    GError *error = NULL;
    GbShot *shot = item->shot;
    const void *data = g_bytes_get_data(item->bytes, &n);
    item->preview = gb_image_survey(data, n, shot->exif.orientation, GB_PREVIEW_PX, GB_PICTURE_QUALITY, &shot->quality, &shot->damaged, &error);
    shot->measured = item->preview != NULL;
    if (item->preview != NULL)
        return;
    /* A decoder that is not installed is no fault of the photo. */
    if (g_error_matches(error, GB_ERROR, GB_ERROR_DAMAGED) || g_error_matches(error, GB_ERROR, GB_ERROR_FOREIGN) ||
        g_error_matches(error, GB_ERROR, GB_ERROR_TOO_LARGE))
        shot->trouble = g_strdup(error->message);
    else
        item->not_now = g_strdup(error->message);
    g_error_free(error);
}

static void work_through(GAsyncQueue *todo, GAsyncQueue *done)
{
    for (;;) {
        Item *item = g_async_queue_pop(todo);
        if (item->shot == NULL) {
            free_item(item);
            return;
        }
        look_at(item);
        g_async_queue_push(done, item);
    }
}

static gpointer work(gpointer user)
{
    Survey *survey = user;
    gb_fence_thread(); /* where there is none, it works as well */
    work_through(survey->todo, survey->done);
    return NULL;
}

static gpointer work_on_heic(gpointer user)
{
    Survey *survey = user;
    work_through(survey->heic, survey->done);
    return NULL;
}

/* --- in the calling thread --- */

static void tell(Survey *survey, const GbShot *shot, const char *message)
{
    survey->tally->done++;
    if (survey->watch != NULL && survey->watch->shot != NULL)
        survey->watch->shot(shot->number, message, survey->tally, survey->watch->user);
}

/* The original's bytes, if they are those that were imported. */
static GBytes *read_original(const Survey *survey, const GbShot *shot, GError **error)
{
    char sha256[GB_DIGEST_HEX];
    g_autofree char *path = gb_log_path(survey->log, "originals", shot->stored_name, NULL);
    g_autoptr(GBytes) bytes = gb_file_read(path, GB_IMAGE_MAX_BYTES, error);
    if (bytes == NULL || survey->fresh)
        return g_steal_pointer(&bytes);
    if (!gb_digest(g_bytes_get_data(bytes, NULL), g_bytes_get_size(bytes), sha256, error))
        return NULL;
    if (strcmp(sha256, shot->sha256) == 0)
        return g_steal_pointer(&bytes);
    g_set_error(error, GB_ERROR, GB_ERROR_DAMAGED, "%s: is no longer the file that was imported (its SHA-256 differs)", path);
    return NULL;
}

/* It will be wanted again. */
static void miss(Survey *survey, const GbShot *shot, const char *why)
{
    g_autofree char *message = g_strdup_printf("%s; it was not looked at", why);
    survey->tally->missed++;
    tell(survey, shot, message);
}

/* Where no thread is to be had for HEIC, the fenced ones say that its decoder can't be started. */
static GAsyncQueue *queue_for(Survey *survey, GBytes *bytes)
{
    if (gb_format_of(g_bytes_get_data(bytes, NULL), g_bytes_get_size(bytes)) != GB_FORMAT_HEIC)
        return survey->todo;
    if (survey->free_thread == NULL)
        survey->free_thread = g_thread_try_new("heic", work_on_heic, survey, NULL);
    return survey->free_thread != NULL ? survey->heic : survey->todo;
}

/* Read the next photo and put it on its way. */
static void send_next(Survey *survey)
{
    g_autoptr(GError) error = NULL;
    GbShot *shot = survey->wanted->pdata[survey->next++];
    GBytes *bytes = read_original(survey, shot, &error);
    if (bytes == NULL) {
        miss(survey, shot, error->message);
        return;
    }
    Item *item = g_new0(Item, 1);
    item->shot = shot;
    item->bytes = bytes;
    survey->under_way++;
    survey->bytes_under_way += g_bytes_get_size(bytes);
    g_async_queue_push(queue_for(survey, bytes), item);
}

static gboolean may_send(const Survey *survey, guint threads)
{
    return survey->next < survey->wanted->len && !survey->tally->stopped && survey->under_way < threads + AHEAD &&
           (survey->under_way == 0 || survey->bytes_under_way < BYTES_AHEAD);
}

static void receive(Survey *survey, Item *item)
{
    GbShot *shot = item->shot;
    survey->under_way--;
    survey->bytes_under_way -= g_bytes_get_size(item->bytes);
    if (item->preview != NULL)
        gb_picture_keep(survey->log, shot->sha256, GB_PREVIEW_PX, item->preview);
    if (item->not_now != NULL) {
        g_autofree char *why = g_strdup_printf("%s: %s", shot->source_name, item->not_now);
        miss(survey, shot, why);
        free_item(item);
        return;
    }
    if (survey->batch->len == 0)
        survey->since = g_get_monotonic_time();
    g_ptr_array_add(survey->batch, shot);
    free_item(item);
}

/* What a person should know of a photo that was looked at. OWNED by the caller; NULL nothing. */
static char *say(const GbShot *shot)
{
    if (shot->trouble != NULL)
        return g_strdup_printf("%s (shot %" G_GINT64_FORMAT "): no picture can be made of it: %s; its original is kept", shot->source_name,
                               shot->number, shot->trouble);
    return shot->damaged ? g_strdup_printf("%s (shot %" G_GINT64_FORMAT "): damaged, only partly readable; taken in as it is", shot->source_name,
                                           shot->number) : NULL;
}

static gboolean enter_batch(Survey *survey, GError **error)
{
    if (!gb_surveys_add(survey->log, (GbShot *const *)survey->batch->pdata, survey->batch->len, error))
        return FALSE;
    for (guint i = 0; i < survey->batch->len; i++) {
        GbShot *shot = survey->batch->pdata[i];
        g_autofree char *message = say(shot);
        survey->tally->troubled += shot->trouble != NULL;
        tell(survey, shot, message);
    }
    g_ptr_array_set_size(survey->batch, 0);
    return TRUE;
}

static gboolean is_due(const Survey *survey)
{
    return survey->batch->len >= BATCH || (survey->batch->len > 0 && g_get_monotonic_time() - survey->since >= BATCH_US);
}

static gboolean run(Survey *survey, guint threads, GError **error)
{
    while (may_send(survey, threads) || survey->under_way > 0) {
        if (survey->watch != NULL && survey->watch->stop != NULL && survey->watch->stop(survey->watch->user))
            survey->tally->stopped = TRUE;
        while (may_send(survey, threads))
            send_next(survey);
        Item *item = survey->under_way > 0 ? g_async_queue_timeout_pop(survey->done, WAIT_US) : NULL;
        if (item != NULL)
            receive(survey, item);
        if (is_due(survey) && !enter_batch(survey, error))
            return FALSE;
    }
    return enter_batch(survey, error);
}

/* Threads of our own and not of GLib's pool: those live on, and what libraries keep for each of them with them. */
static gboolean run_workers(Survey *survey, GError **error)
{
    guint wanted = survey->watch != NULL && survey->watch->threads > 0 ? survey->watch->threads : g_get_num_processors();
    guint most = MIN(MIN(wanted, THREADS_MAX), survey->wanted->len), n = 0;
    GThread *threads[THREADS_MAX];
    while (n < most && (threads[n] = g_thread_try_new("survey", work, survey, n == 0 ? error : NULL)) != NULL)
        n++;
    gboolean ok = most == 0 || (n > 0 && run(survey, n, error));
    for (guint i = 0; i < n; i++)
        g_async_queue_push_front(survey->todo, g_new0(Item, 1));
    if (survey->free_thread != NULL) {
        g_async_queue_push_front(survey->heic, g_new0(Item, 1));
        g_thread_join(survey->free_thread);
    }
    while (n > 0)
        g_thread_join(threads[--n]); /* waits for the photos at work */
    return ok;
}

gboolean gb_survey(GbLog *log, gboolean fresh, const GbSurveyWatch *watch, GbSurveyTally *tally, GError **error)
{
    *tally = (GbSurveyTally){ 0 };
    g_autofree char *size = g_strdup_printf("%d", GB_PREVIEW_PX), *previews = gb_log_path(log, "cache", size, NULL);
    gb_file_sweep(previews);
    g_autoptr(GPtrArray) wanted = gb_surveys_wanted(log, error);
    if (wanted == NULL)
        return FALSE;
    tally->total = wanted->len;
    g_autoptr(GAsyncQueue) todo = g_async_queue_new_full(free_item), heic = g_async_queue_new_full(free_item),
                           done = g_async_queue_new_full(free_item);
    g_autoptr(GPtrArray) batch = g_ptr_array_new();
    Survey survey = { .log = log, .fresh = fresh, .watch = watch, .tally = tally, .wanted = wanted, .todo = todo, .heic = heic,
                      .done = done, .batch = batch };
    gboolean ok = run_workers(&survey, error);
    if (!ok)
        g_prefix_error(error, "stopped looking at photos after %u of %u: ", tally->done, tally->total);
    return ok;
}

gboolean gb_survey_finish(GbLog *log, const GbSurveyWatch *watch, GbSurveyTally *tally, GError **error)
{
    guint waiting;
    GbSurveyTally none, *into = tally != NULL ? tally : &none;
    *into = (GbSurveyTally){ 0 };
    if (!gb_survey_waiting(log, &waiting, error))
        return FALSE;
    g_autoptr(GbLog) writing = waiting > 0 ? gb_log_open(gb_log_folder(log), GB_LOG_WRITE, NULL) : NULL;
    return writing == NULL || gb_survey(writing, FALSE, watch, into, error);
}
