/* route_history.c -- GET /api/history: every change; GET /api/history/17: one of them, before and after. See history.h.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "web-private.h"

#include "board-private.h"

static json_t *step_json(const char *step, const char *who, gint64 at_utc_s)
{
    json_t *object = json_object();
    gb_json_text(object, "step", step);
    gb_json_text(object, "who", who);
    gb_json_utc(object, "at_utc", at_utc_s);
    return object;
}

static json_t *entry_json(const GbHistoryEntry *entry)
{
    json_t *object = json_object(), *steps = json_array();
    gb_json_whole(object, "entry", entry->id);
    gb_json_text(object, "verb", entry->verb);
    gb_json_text(object, "summary", entry->summary);
    gb_json_text(object, "state", entry->state);
    gb_json_text(object, "who", entry->who);
    gb_json_utc(object, "at_utc", entry->at_utc_s);
    for (guint i = 0; i < entry->steps->len; i++) {
        const GbHistoryStep *step = entry->steps->pdata[i];
        json_array_append_new(steps, step_json(step->step, step->who, step->at_utc_s));
    }
    json_object_set_new(object, "steps", steps);
    return object;
}

static json_t *value_json(const GbHistoryValue *value)
{
    json_t *object = json_object();
    gb_json_text(object, "table", value->table);
    gb_json_text(object, "row", value->row);
    gb_json_text(object, "column", value->column);
    gb_json_text(object, "before", value->before);
    gb_json_text(object, "after", value->after);
    return object;
}

/* NULL with error. */
static json_t *all_json(GbLog *log, GError **error)
{
    gint64 version;
    g_autoptr(GPtrArray) entries = gb_history_version(log, &version, error) ? gb_history_load(log, error) : NULL;
    if (entries == NULL)
        return NULL;
    json_t *array = json_array();
    for (guint i = entries->len; i > 0; i--)
        json_array_append_new(array, entry_json(entries->pdata[i - 1]));
    return json_pack("{sIso}", "version", (json_int_t)version, "entries", array);
}

static json_t *one_json(GbLog *log, gint64 entry, GError **error)
{
    g_autoptr(GPtrArray) values = gb_history_values(log, entry, error);
    if (values == NULL)
        return NULL;
    json_t *array = json_array();
    for (guint i = 0; i < values->len; i++)
        json_array_append_new(array, value_json(values->pdata[i]));
    return json_pack("{sIso}", "entry", (json_int_t)entry, "values", array);
}

/* entry 0: all. */
static void answer_with(GbWebRequest *request, gint64 entry)
{
    GError *error = NULL;
    GbLog *log = gb_web_borrow_log(request, GB_LOG_READ, NULL);
    if (log == NULL)
        return;
    json_t *json = entry == 0 ? all_json(log, &error) : one_json(log, entry, &error);
    gb_web_return_log(request->web, GB_LOG_READ, log);
    if (json != NULL)
        gb_web_json(request, MHD_HTTP_OK, json);
    else if (g_error_matches(error, GB_ERROR, GB_ERROR_UNKNOWN)) { /* what an address names is no word of a person's */
        gb_web_refuse(request, MHD_HTTP_NOT_FOUND, "unknown", "%s", error->message);
        g_error_free(error);
    } else
        gb_web_fail(request, error);
}

static void answer_all(GbWebRequest *request)
{
    answer_with(request, 0);
}
const GbWebRoute gb_route_history = { .method = "GET", .path = "/api/history", .answer = answer_all };

static void answer_one(GbWebRequest *request)
{
    guint64 entry;
    if (g_ascii_string_to_unsigned(request->rest, 10, 1, G_MAXINT64, &entry, NULL))
        answer_with(request, (gint64)entry);
    else
        gb_web_refuse(request, MHD_HTTP_NOT_FOUND, "unknown", "the history has no such entry");
}
const GbWebRoute gb_route_history_entry = { .method = "GET", .path = "/api/history/", .answer = answer_one };
