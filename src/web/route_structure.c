/* route_structure.c -- POST /api/structure: what stands on the property. See structure.h.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "web-private.h"

typedef struct {
    GbStructureEdit edit;
    const char *drop;
    json_t *was;
} Ask;

static gboolean check(GbLog *log, gpointer user, json_t *conflicts, GError **error)
{
    const Ask *ask = user;
    const char *name = ask->drop != NULL ? ask->drop : ask->edit.name;
    return ask->was == NULL || gb_decided_structure_still(log, name, ask->was, conflicts, error);
}

static gboolean act(GbLog *log, gpointer user, char **summary, GError **error)
{
    const Ask *ask = user;
    if (ask->drop == NULL)
        return gb_structure_edit(log, &ask->edit, summary, error);
    *summary = g_strconcat(ask->drop, " taken out", NULL);
    return gb_structure_drop(log, ask->drop, error);
}

static void answer(GbWebRequest *request)
{
    Ask ask = { 0 };
    GbStructureEdit *edit = &ask.edit;
    const char *who = NULL;
    const GbWebField fields[] = {
        { "name", GB_WEB_TEXT, &edit->name }, { "kind", GB_WEB_TEXT, &edit->kind },
        { "elevations", GB_WEB_TEXT, &edit->elevations }, { "slopes", GB_WEB_TEXT, &edit->slopes },
        { "rooms", GB_WEB_TEXT, &edit->rooms }, { "drop", GB_WEB_TEXT, &ask.drop }, { "was", GB_WEB_ANY, &ask.was },
        { "who", GB_WEB_TEXT, &who }, { NULL },
    };
    if (!gb_web_read(request, fields))
        return;
    if ((edit->name == NULL) == (ask.drop == NULL)) {
        gb_web_refuse(request, MHD_HTTP_BAD_REQUEST, "syntax", "either 'name' or 'drop' must be said; nothing was changed");
        return;
    }
    gb_web_change(request, &(GbWebChange){ who, check, act, &ask, NULL, NULL });
}
const GbWebRoute gb_route_structure = { .method = "POST", .path = "/api/structure", .answer = answer };
