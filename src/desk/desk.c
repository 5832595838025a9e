/* desk.c -- looking into many claims, those that changed. See desk.h.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "desk-private.h"

#include <gablebook/dossier.h>
#include <gablebook/history.h>

#define DAY_S 86400

void gb_desk_free(GbDesk *desk)
{
    if (desk == NULL)
        return;
    g_free(desk->dir);
    g_ptr_array_unref(desk->claims);
    g_free(desk);
}

/* --- one claim --- */

static void take_facts(GbDeskClaim *claim, const GbClaim *facts)
{
    claim->insured = g_strdup(facts->insured);
    claim->number = g_strdup(facts->number);
    claim->address = g_strdup(facts->address);
    claim->cause = g_strdup(facts->cause);
    claim->adjuster = g_strdup(facts->adjuster);
    claim->loss_date = g_strdup(facts->loss_date);
    claim->inspection_date = g_strdup(facts->inspection_date);
}

static void take_check(GbDeskClaim *claim, const GbCheck *check)
{
    claim->unplaced = check->unplaced;
    claim->unnamed = check->unnamed;
    claim->there = check->there;
    claim->missing = check->missing;
    claim->advised = check->advised;
    claim->waived = check->waived;
    claim->weak = check->weak;
    claim->complete = gb_check_complete(check);
    for (guint i = 0; claim->first_missing == NULL && i < check->lines->len; i++) {
        const GbCheckLine *line = check->lines->pdata[i];
        if (line->state == GB_CHECK_MISSING || line->state == GB_CHECK_WEAK)
            claim->first_missing = g_strdup(line->label);
    }
}

/* Steps may be of different clocks: the first and the last as they were done. */
static void take_history(GbDeskClaim *claim, const GPtrArray *entries)
{
    for (guint i = 0; i < entries->len; i++) {
        const GbHistoryEntry *entry = entries->pdata[i];
        for (guint s = 0; s < entry->steps->len; s++) {
            const GbHistoryStep *step = entry->steps->pdata[s];
            if (claim->begun_utc_s == 0)
                claim->begun_utc_s = step->at_utc_s;
            if (step->at_utc_s < claim->changed_utc_s)
                continue;
            claim->changed_utc_s = step->at_utc_s;
            g_free(claim->changed_by);
            claim->changed_by = g_strdup(step->who);
        }
    }
}

/* OWNED by the caller; whatever goes wrong is its fault. */
static GbDeskClaim *look_into(const char *folder)
{
    GbDeskClaim *claim = g_new0(GbDeskClaim, 1);
    g_autoptr(GError) error = NULL;
    g_autoptr(GbLog) log = gb_log_open(folder, GB_LOG_READ, &error);
    g_autoptr(GbDossier) dossier = log == NULL ? NULL : gb_dossier_load(log, &error);
    g_autoptr(GPtrArray) entries = dossier == NULL ? NULL : gb_history_load(log, &error);
    if (entries == NULL) {
        g_autofree char *shown = g_filename_display_name(folder), *before = g_strconcat(shown, ": ", NULL);
        claim->fault = g_strdup(error->message + (g_str_has_prefix(error->message, before) ? strlen(before) : 0));
        return claim;
    }
    take_facts(claim, dossier->claim);
    take_check(claim, dossier->check);
    take_history(claim, entries);
    claim->shots = dossier->shots->len;
    return claim;
}

/* When it began: the day of the inspection, else the first change; 0: not known. */
static gint64 began(const GbDeskClaim *claim)
{
    g_autofree char *midnight = claim->inspection_date == NULL ? NULL : g_strconcat(claim->inspection_date, "T00:00:00Z", NULL);
    g_autoptr(GDateTime) at = midnight == NULL ? NULL : g_date_time_new_from_iso8601(midnight, NULL);
    return at != NULL ? g_date_time_to_unix(at) : claim->begun_utc_s;
}

int gb_desk_age_days(const GbDeskClaim *claim, gint64 now_utc_s)
{
    gint64 from = began(claim);
    return from == 0 || from > now_utc_s ? -1 : (int)MIN((now_utc_s - from) / DAY_S, G_MAXINT);
}

/* --- all of them --- */

/* One claim on its way to the desk. */
typedef struct {
    const char *folder; /* BORROWED */
    char *name, *stamp; /* OWNED; no stamp: nothing is to be remembered */
    GbDeskClaim *seen;  /* NULL: it has to be looked into; written by one worker */
} Job;

static void work(gpointer data, gpointer user)
{
    (void)user;
    Job *job = data;
    job->seen = look_into(job->folder);
    job->seen->name = g_strdup(job->name);
}

/* Look into those that nothing is known of; returns how many. */
static guint look_into_new(Job *jobs, gsize n)
{
    guint pushed = 0;
    GThreadPool *pool = g_thread_pool_new(work, NULL, (gint)g_get_num_processors(), FALSE, NULL);
    for (gsize i = 0; i < n; i++)
        if (jobs[i].seen == NULL) {
            g_thread_pool_push(pool, &jobs[i], NULL);
            pushed++;
        }
    g_thread_pool_free(pool, FALSE, TRUE);
    return pushed;
}

/* Path within dir, for people. OWNED by the caller. */
static char *name_in(const char *dir, const char *folder)
{
    gsize n = strlen(dir);
    if (strcmp(dir, folder) == 0)
        return g_strdup(".");
    const char *inside = g_str_has_prefix(folder, dir) ? folder + n : folder;
    return g_filename_display_name(inside + strspn(inside, "/"));
}

static gint compare(gconstpointer a, gconstpointer b)
{
    const GbDeskClaim *one = *(GbDeskClaim *const *)a, *other = *(GbDeskClaim *const *)b;
    if (one->complete != other->complete)
        return one->complete ? 1 : -1;
    gint64 from = began(one), other_from = began(other);
    if (from != other_from && (from == 0 || other_from == 0))
        return from == 0 ? 1 : -1;
    return from != other_from ? (from < other_from ? -1 : 1) : strcmp(one->name, other->name);
}

/* What was seen of a claim before, if that still holds. OWNED by the caller. */
static GbDeskClaim *recall(const json_t *before, const Job *job)
{
    const json_t *entry = json_object_get(before, job->name);
    const char *then = json_string_value(json_object_get(entry, "stamp"));
    return job->stamp == NULL || g_strcmp0(then, job->stamp) != 0 ? NULL : gb_desk_claim_from_json(json_object_get(entry, "claim"));
}

static json_t *all_seen(const Job *jobs, gsize n)
{
    json_t *seen = json_object();
    for (gsize i = 0; i < n; i++)
        if (jobs[i].stamp != NULL && jobs[i].seen->fault == NULL)
            json_object_set_new(seen, jobs[i].name, json_pack("{ss so}", "stamp", jobs[i].stamp, "claim", gb_desk_claim_json(jobs[i].seen)));
    return seen;
}

/* The stamps are taken before anything is looked into: a claim that changes meanwhile is looked into again the next time. */
static void prepare(Job *jobs, char **folders, const char *dir, const json_t *before)
{
    for (gsize i = 0; folders[i] != NULL; i++) {
        jobs[i].folder = folders[i];
        jobs[i].name = name_in(dir, folders[i]);
        jobs[i].stamp = gb_desk_stamp(folders[i]);
        jobs[i].seen = recall(before, &jobs[i]);
    }
}

GbDesk *gb_desk_load(const char *dir, gboolean anew, GError **error)
{
    g_auto(GStrv) folders = gb_desk_find(dir, error);
    if (folders == NULL)
        return NULL;
    gsize n = g_strv_length(folders);
    GbDesk *desk = g_new0(GbDesk, 1);
    desk->dir = g_filename_display_name(dir);
    desk->claims = g_ptr_array_new_with_free_func(gb_desk_claim_free);
    g_autofree Job *jobs = g_new0(Job, n + 1);
    json_t *before = anew ? json_object() : gb_desk_recall(dir);
    prepare(jobs, folders, dir, before);
    desk->looked_into = look_into_new(jobs, n);
    json_t *seen = all_seen(jobs, n);
    if (!json_equal(before, seen))
        gb_desk_remember(dir, seen);
    json_decref(before);
    json_decref(seen);
    for (gsize i = 0; i < n; i++) {
        g_ptr_array_add(desk->claims, jobs[i].seen);
        g_free(jobs[i].name);
        g_free(jobs[i].stamp);
    }
    g_ptr_array_sort(desk->claims, compare);
    return desk;
}
