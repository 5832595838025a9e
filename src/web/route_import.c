/* route_import.c -- POST /api/import: photos into the claim, uploaded or read from where they lie. See import.h.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "web-private.h"

typedef struct {
    char *who;
    char *set;        /* name of the uploads; NULL none */
    char *uploads;    /* their folder, from when the work begins; removed with the job; NULL */
    GPtrArray *paths; /* of char * */
} Ask;

typedef struct {
    GbWeb *web;
    GbWebJob *job;
} Watch;

static void free_ask(gpointer data)
{
    Ask *ask = data;
    if (ask->uploads != NULL)
        gb_web_remove_folder(ask->uploads);
    g_free(ask->uploads);
    g_free(ask->set);
    g_free(ask->who);
    g_ptr_array_unref(ask->paths);
    g_free(ask);
}

static void on_file(const GbImportFile *file, const GbImportTally *tally, gpointer user)
{
    const Watch *watch = user;
    gb_web_job_progress(watch->web, watch->job, tally, file->message);
}

static gboolean should_stop(gpointer user)
{
    const Watch *watch = user;
    return gb_web_job_should_stop(watch->web, watch->job);
}

/* Only now, when no other job is in the way: until then the uploads wait. */
static gboolean take_uploads(GbWeb *web, Ask *ask, GError **error)
{
    if (ask->set != NULL && (ask->uploads = gb_web_take_set(web, ask->set)) == NULL) {
        g_set_error(error, GB_ERROR, GB_ERROR_STATE, "these uploads were imported already; nothing was changed");
        return FALSE;
    }
    if (ask->uploads != NULL)
        g_ptr_array_add(ask->paths, g_strdup(ask->uploads));
    g_ptr_array_add(ask->paths, NULL);
    return TRUE;
}

static gboolean work(GbWeb *web, GbWebJob *job, gpointer user, GError **error)
{
    Ask *ask = user;
    Watch watch = { web, job };
    GbImportTally tally = { 0 };
    g_autoptr(GbLog) log = gb_log_open(web->names.folder, GB_LOG_WRITE, error);
    if (log == NULL || !take_uploads(web, ask, error))
        return FALSE;
    if (ask->who != NULL)
        gb_log_set_who(log, ask->who);
    const GbImportWatch following = { .file = on_file, .stop = should_stop, .user = &watch, .later = TRUE };
    gboolean ok = gb_import(log, (const char *const *)ask->paths->pdata, &following, &tally, error);
    gb_web_job_progress(web, job, &tally, NULL);
    gb_web_look(web);
    return ok;
}

static gboolean add_paths(Ask *ask, const json_t *paths)
{
    gsize i;
    json_t *path;
    json_array_foreach(paths, i, path) {
        if (!json_is_string(path) || !g_path_is_absolute(json_string_value(path)))
            return FALSE;
        g_ptr_array_add(ask->paths, g_strdup(json_string_value(path)));
    }
    return i > 0;
}

static Ask *new_ask(const GbWeb *web, const char *who)
{
    Ask *ask = g_new0(Ask, 1);
    ask->who = g_strdup(who != NULL && *who != '\0' ? who : web->names.who);
    ask->paths = g_ptr_array_new_with_free_func(g_free);
    return ask;
}

static void answer(GbWebRequest *request)
{
    const char *set = NULL, *who = NULL;
    json_t *paths = NULL;
    const GbWebField fields[] = {
        { "set", GB_WEB_TEXT, &set }, { "paths", GB_WEB_ANY, &paths }, { "who", GB_WEB_TEXT, &who }, { NULL },
    };
    if (!gb_web_read(request, fields))
        return;
    Ask *ask = new_ask(request->web, who);
    gboolean ok = (set == NULL) != (paths == NULL) && (set != NULL ? gb_web_has_set(request->web, set) : add_paths(ask, paths));
    ask->set = g_strdup(set);
    if (ok)
        gb_web_start_job(request, "import", work, ask, free_ask);
    else {
        free_ask(ask);
        gb_web_refuse(request, MHD_HTTP_BAD_REQUEST, "syntax",
                      "either 'set', of photos that were uploaded, or 'paths', a list of whole paths, must be said");
    }
}
const GbWebRoute gb_route_import = { .method = "POST", .path = "/api/import", .answer = answer };
