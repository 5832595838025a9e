/* route_suggest.c -- GET /api/suggestions: what the program believes; POST /api/suggest: a person takes it. See suggest.h.
 *
 * It takes some tenths of a second, so it is kept until the claim moves on.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "web-private.h"

#include "board-private.h"

/* --- what it believes --- */

static json_t *house_json(const GbFacingHouse *house)
{
    json_t *object = json_object();
    gb_json_real(object, "front_azimuth_deg", house->front_azimuth_deg);
    gb_json_real(object, "front_spread_deg", house->front_spread_deg);
    gb_json_real(object, "east_m", house->east_m);
    gb_json_real(object, "north_m", house->north_m);
    gb_json_real(object, "width_m", house->width_m);
    gb_json_real(object, "depth_m", house->depth_m);
    return object;
}

static json_t *suggestion_json(const GbSuggestion *suggestion)
{
    json_t *object = json_object();
    gb_json_whole(object, "shot", suggestion->number);
    if (suggestion->place != 0) {
        gb_json_whole(object, "place", suggestion->place);
        gb_json_real(object, "confidence", suggestion->confidence);
    }
    if (suggestion->distance != GB_DISTANCE_UNKNOWN) {
        gb_json_text(object, "distance", gb_distance_word(suggestion->distance));
        gb_json_real(object, "distance_confidence", suggestion->distance_confidence);
    }
    gb_json_text(object, "reason", suggestion->reason);
    return object;
}

static char *text_of(const GbWeb *web, gint64 version, const GbSuggestions *all)
{
    g_autoptr(json_t) object = json_object();
    json_t *array = json_array();
    for (guint i = 0; i < all->suggestions->len; i++)
        json_array_append_new(array, suggestion_json(all->suggestions->pdata[i]));
    gb_json_text(object, "board", web->names.run);
    gb_json_whole(object, "version", version);
    gb_json_text(object, "caution", all->caution);
    json_object_set_new(object, "house", house_json(&all->house));
    json_object_set_new(object, "suggestions", array);
    return json_dumps(object, JSON_COMPACT);
}

/* Needs suggest_lock. OWNED by the caller; NULL with error. */
static char *believe(GbWeb *web, GbLog *log, GError **error)
{
    gint64 version;
    if (!gb_log_freeze(log, error))
        return NULL;
    gboolean known = gb_history_version(log, &version, error);
    gboolean kept = known && web->suggestions != NULL && web->suggestions_version == version;
    g_autoptr(GbDossier) dossier = known && !kept ? gb_dossier_load(log, error) : NULL;
    gb_log_thaw(log);
    if (!kept) {
        g_autoptr(GbSuggestions) all = dossier == NULL ? NULL : gb_suggest(dossier, error);
        if (all == NULL)
            return NULL;
        g_free(web->suggestions);
        web->suggestions = text_of(web, version, all);
        web->suggestions_version = version;
    }
    return g_strdup(web->suggestions);
}

static void answer_suggestions(GbWebRequest *request)
{
    GError *error = NULL;
    GbWeb *web = request->web;
    GbLog *log = gb_web_borrow_log(request, GB_LOG_READ, NULL);
    if (log == NULL)
        return;
    pthread_mutex_lock(&web->suggest_lock);
    char *text = believe(web, log, &error);
    pthread_mutex_unlock(&web->suggest_lock);
    gb_web_return_log(web, GB_LOG_READ, log);
    if (text != NULL)
        gb_web_text(request, text);
    else
        gb_web_fail(request, error);
}
const GbWebRoute gb_route_suggestions = { .method = "GET", .path = "/api/suggestions", .answer = answer_suggestions };

/* --- taking it --- */

static gboolean act(GbLog *log, gpointer user, char **summary, GError **error)
{
    guint n = 0;
    if (!gb_suggest_accept(log, *(const double *)user, &n, error))
        return FALSE;
    *summary = g_strdup_printf("%u place%s accepted", n, n == 1 ? "" : "s");
    return TRUE;
}

static void answer_suggest(GbWebRequest *request)
{
    double accept = 0; /* out of range: it must be said */
    const char *who = NULL;
    const GbWebField fields[] = { { "accept", GB_WEB_REAL, &accept }, { "who", GB_WEB_TEXT, &who }, { NULL } };
    if (gb_web_read(request, fields))
        gb_web_change(request, &(GbWebChange){ who, NULL, act, &accept, NULL, NULL });
}
const GbWebRoute gb_route_suggest = { .method = "POST", .path = "/api/suggest", .answer = answer_suggest };
