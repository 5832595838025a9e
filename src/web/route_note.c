/* route_note.c -- POST /api/note: free words on the claim, a place or a shot. See note.h.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "web-private.h"

typedef struct {
    gint64 note, shot; /* note: the one to change, then the one that was written; 0 a new one */
    const char *place, *text;
    int in_report, drop;
    json_t *was;
} Ask;

static gboolean check(GbLog *log, gpointer user, json_t *conflicts, GError **error)
{
    const Ask *ask = user;
    return ask->was == NULL || ask->note == 0 || gb_decided_note_still(log, ask->note, ask->was, conflicts, error);
}

static gboolean act(GbLog *log, gpointer user, char **summary, GError **error)
{
    Ask *ask = user;
    GbNoteInReport in_report = ask->in_report < 0 ? GB_NOTE_KEEP : ask->in_report == 1 ? GB_NOTE_FOR_REPORT : GB_NOTE_NOT_FOR_REPORT;
    if (ask->note == 0)
        return gb_note_add(log, ask->place, ask->shot, ask->text, in_report, &ask->note, summary, error);
    return ask->drop == 1 ? gb_note_remove(log, ask->note, summary, error)
                          : gb_note_change(log, ask->note, ask->text, in_report, summary, error);
}

static void answer(GbWebRequest *request)
{
    Ask ask = { .in_report = -1, .drop = -1 };
    const char *who = NULL;
    const GbWebField fields[] = {
        { "note", GB_WEB_WHOLE, &ask.note }, { "shot", GB_WEB_WHOLE, &ask.shot },
        { "place", GB_WEB_TEXT, &ask.place }, { "text", GB_WEB_TEXT, &ask.text },
        { "in_report", GB_WEB_FLAG, &ask.in_report }, { "drop", GB_WEB_FLAG, &ask.drop },
        { "was", GB_WEB_ANY, &ask.was }, { "who", GB_WEB_TEXT, &who }, { NULL },
    };
    if (!gb_web_read(request, fields))
        return;
    if ((ask.note == 0 && ask.text == NULL) || (ask.note != 0 && (ask.shot != 0 || ask.place != NULL))) {
        gb_web_refuse(request, MHD_HTTP_BAD_REQUEST, "syntax", "%s; nothing was changed",
                      ask.note == 0 ? "a new note needs its 'text'" : "a note stays where it is: 'place' and 'shot' are of a new one");
        return;
    }
    if (ask.place != NULL && *ask.place == '\0')
        ask.place = NULL; /* null, as of any other member: on no place */
    gb_web_change(request, &(GbWebChange){ who, check, act, &ask, "note", &ask.note });
}
const GbWebRoute gb_route_note = { .method = "POST", .path = "/api/note", .answer = answer };
