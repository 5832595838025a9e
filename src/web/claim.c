/* claim.c -- the claim behind the server: handles that are lent to threads, the board as it stands, changes.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "web-private.h"

/* --- handles --- */

#define STOCK_MAX 4 /* at rest, of each mode */

static GbLog *take_from_stock(GbWeb *web, GbLogMode mode)
{
    GPtrArray *stock = web->stock[mode];
    pthread_mutex_lock(&web->stock_lock);
    GbLog *log = stock->len == 0 ? NULL : g_ptr_array_steal_index_fast(stock, stock->len - 1);
    pthread_mutex_unlock(&web->stock_lock);
    return log;
}

GbLog *gb_web_borrow_log(GbWebRequest *request, GbLogMode mode, const char *who)
{
    GError *error = NULL;
    const GbWebNames *names = &request->web->names;
    GbLog *log = take_from_stock(request->web, mode);
    if (log == NULL)
        log = gb_log_open(names->folder, mode, &error);
    if (log == NULL)
        gb_web_fail(request, error);
    else /* another's name may still be on it */
        gb_log_set_who(log, who != NULL && *who != '\0' ? who : names->who);
    return log;
}

void gb_web_return_log(GbWeb *web, GbLogMode mode, GbLog *log)
{
    gb_change_set_guard(log, NULL, NULL);
    pthread_mutex_lock(&web->stock_lock);
    if (web->stock[mode]->len < STOCK_MAX)
        g_ptr_array_add(web->stock[mode], g_steal_pointer(&log));
    pthread_mutex_unlock(&web->stock_lock);
    gb_log_free(log);
}

GbDossier *gb_web_dossier(GbWebRequest *request)
{
    GError *error = NULL;
    GbLog *log = gb_web_borrow_log(request, GB_LOG_READ, NULL);
    if (log == NULL)
        return NULL;
    GbDossier *dossier = gb_dossier_load(log, &error);
    gb_web_return_log(request->web, GB_LOG_READ, log);
    if (dossier == NULL)
        gb_web_fail(request, error);
    return dossier;
}

/* --- the board --- */

GbBoard *gb_web_last_board(GbWeb *web)
{
    pthread_mutex_lock(&web->board_lock);
    GbBoard *board = web->board == NULL ? NULL : gb_board_ref(web->board);
    pthread_mutex_unlock(&web->board_lock);
    return board;
}

static void set_board(GbWeb *web, GbBoard *board)
{
    pthread_mutex_lock(&web->board_lock);
    GbBoard *before = web->board;
    web->board = gb_board_ref(board);
    pthread_mutex_unlock(&web->board_lock);
    gb_board_unref(before);
}

/* Whoever waits here for another thread's board finds it made. */
static GbBoard *look(GbWeb *web, GbLog *log, GError **error)
{
    gint64 version;
    g_autoptr(GbBoard) last = gb_web_last_board(web);
    if (!gb_history_version(log, &version, error))
        return NULL;
    if (last != NULL && gb_board_version(last) == version)
        return g_steal_pointer(&last);
    g_autoptr(GbBoard) board = gb_board_make(log, last, error);
    if (board != NULL)
        set_board(web, board);
    return g_steal_pointer(&board);
}

GbBoard *gb_web_board(GbWebRequest *request)
{
    GError *error = NULL;
    GbWeb *web = request->web;
    GbLog *log = gb_web_borrow_log(request, GB_LOG_READ, NULL);
    if (log == NULL)
        return NULL;
    pthread_mutex_lock(&web->make_lock);
    GbBoard *board = look(web, log, &error);
    pthread_mutex_unlock(&web->make_lock);
    gb_web_return_log(web, GB_LOG_READ, log);
    if (board == NULL)
        gb_web_fail(request, error);
    return board;
}

/* --- changes --- */

typedef struct {
    const GbWebChange *change;
    json_t *conflicts;
} Condition;

static gboolean is_still_so(GbLog *log, gpointer user, GError **error)
{
    Condition *condition = user;
    return condition->change->check(log, condition->change->user, condition->conflicts, error);
}

static void answer_conflicts(GbWebRequest *request, const GError *error, json_t *conflicts)
{
    gb_web_json(request, MHD_HTTP_CONFLICT,
                json_pack("{s{ssss}sO}", "error", "code", "stale", "message", error->message, "conflicts", conflicts));
}

/* GB_ERROR_SYNTAX of a condition is the request's fault, not of a person's words; both read well as they are. */
void gb_web_change(GbWebRequest *request, const GbWebChange *change)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(json_t) conflicts = json_array();
    g_autofree char *summary = NULL;
    gint64 version = 0;
    Condition condition = { change, conflicts };
    GbLog *log = gb_web_borrow_log(request, GB_LOG_WRITE, change->who);
    if (log == NULL)
        return;
    if (change->check != NULL)
        gb_change_set_guard(log, is_still_so, &condition);
    gboolean ok = change->act(log, change->user, &summary, &error) && gb_history_version(log, &version, &error);
    gb_web_return_log(request->web, GB_LOG_WRITE, log);
    if (ok) {
        gb_web_tell(request->web);
        json_t *done = json_pack("{sIss*}", "version", (json_int_t)version, "summary", summary);
        if (change->made != NULL && *change->number != 0)
            json_object_set_new(done, change->made, json_integer(*change->number));
        gb_web_json(request, MHD_HTTP_OK, done);
    } else if (g_error_matches(error, GB_ERROR, GB_ERROR_STALE))
        answer_conflicts(request, error, conflicts);
    else
        gb_web_fail(request, g_steal_pointer(&error));
}
