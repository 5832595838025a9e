/* route_roof.c -- POST /api/roof: what was measured of roofs, and how it is to be reckoned. See enter.h.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "web-private.h"

typedef struct {
    GbEnter enter;
    const char *waste, *steep;
    int drop;
    gint64 entry; /* that was made or changed */
    json_t *was;
} Ask;

static gboolean sets(const Ask *ask)
{
    return ask->waste != NULL || ask->steep != NULL;
}

/* null takes back in a request, "none" in the verb. */
static const char *none_for_empty(const char *text)
{
    return text != NULL && *text == '\0' ? "none" : text;
}

static const char *usual_for_empty(const char *text)
{
    return text != NULL && *text == '\0' ? "usual" : text;
}

/* null takes an entry's own words back too: then all is as usual, and of the main section. */
static void understand_null(GbEnter *enter)
{
    enter->left_side = usual_for_empty(enter->left_side);
    enter->right_side = usual_for_empty(enter->right_side);
    enter->top = usual_for_empty(enter->top);
    enter->bottom = usual_for_empty(enter->bottom);
    enter->ridge_runs = usual_for_empty(enter->ridge_runs);
    if (enter->section != NULL && *enter->section == '\0')
        enter->section = "main";
}

static gboolean check(GbLog *log, gpointer user, json_t *conflicts, GError **error)
{
    const Ask *ask = user;
    if (ask->was != NULL && sets(ask))
        return gb_decided_roof_settings_still(log, ask->was, conflicts, error);
    return ask->was == NULL || ask->enter.change == 0 || gb_decided_roof_entry_still(log, ask->enter.change, ask->was, conflicts, error);
}

static gboolean act(GbLog *log, gpointer user, char **summary, GError **error)
{
    Ask *ask = user;
    if (sets(ask))
        return gb_enter_settings(log, none_for_empty(ask->waste), none_for_empty(ask->steep), summary, error);
    return ask->drop == 1 ? gb_enter_remove(log, ask->enter.change, summary, error)
                          : gb_enter_roof(log, &ask->enter, &ask->entry, summary, error);
}

/* {"eave": "40 ft", "pitch": null}; null and "" take one back. FALSE: answered already. */
static gboolean read_given(GbWebRequest *request, const json_t *given, GbEnter *enter)
{
    const char *what;
    json_t *value;
    gboolean ok = given == NULL || json_is_object(given);
    if (json_is_object(given))
        json_object_foreach((json_t *)given, what, value) {
            GbRoofGiven which;
            const char *text = json_string_value(value);
            ok = ok && gb_roof_given_from_word(what, &which) && (json_is_null(value) || text != NULL);
            if (ok)
                enter->given[which] = text == NULL || *text == '\0' ? "none" : text;
        }
    if (!ok)
        gb_web_refuse(request, MHD_HTTP_BAD_REQUEST, "syntax",
                      "'given' must be measurements by their names, as texts or null; nothing was changed");
    return ok;
}

static void answer(GbWebRequest *request)
{
    Ask ask = { .drop = -1 };
    GbEnter *enter = &ask.enter;
    json_t *given = NULL;
    const char *who = NULL;
    int cut_out = -1;
    const GbWebField fields[] = {
        { "entry", GB_WEB_WHOLE, &enter->change }, { "where", GB_WEB_TEXT, &enter->where },
        { "shape", GB_WEB_TEXT, &enter->shape }, { "section", GB_WEB_TEXT, &enter->section },
        { "given", GB_WEB_ANY, &given }, { "left_side", GB_WEB_TEXT, &enter->left_side },
        { "right_side", GB_WEB_TEXT, &enter->right_side }, { "top", GB_WEB_TEXT, &enter->top },
        { "bottom", GB_WEB_TEXT, &enter->bottom }, { "cut_out", GB_WEB_FLAG, &cut_out },
        { "ridge_runs", GB_WEB_TEXT, &enter->ridge_runs }, { "waste", GB_WEB_TEXT, &ask.waste },
        { "steep", GB_WEB_TEXT, &ask.steep }, { "drop", GB_WEB_FLAG, &ask.drop }, { "was", GB_WEB_ANY, &ask.was },
        { "who", GB_WEB_TEXT, &who }, { NULL },
    };
    if (!gb_web_read(request, fields) || !read_given(request, given, enter))
        return;
    understand_null(enter);
    enter->cut_out = cut_out < 0 ? GB_CUT_OUT_KEEP : cut_out == 1 ? GB_CUT_OUT : GB_CUT_OUT_NOT;
    if ((ask.drop == 1 && enter->change == 0) || (enter->change == 0 && enter->where == NULL && !sets(&ask))) {
        gb_web_refuse(request, MHD_HTTP_BAD_REQUEST, "syntax",
                      "'where', for a new entry, or 'entry', for one that is there, must be said; nothing was changed");
        return;
    }
    if (enter->change == 0 && enter->where != NULL && enter->shape == NULL) {
        gb_web_refuse(request, MHD_HTTP_BAD_REQUEST, "syntax", "'shape' of the new entry must be said; nothing was changed");
        return;
    }
    gb_web_change(request, &(GbWebChange){ who, check, act, &ask, "entry", &ask.entry });
}
const GbWebRoute gb_route_roof = { .method = "POST", .path = "/api/roof", .answer = answer };
