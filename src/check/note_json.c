/* note_json.c -- notes as JSON: for the command line's --json and for other programs. See note.h.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <gablebook/note.h>

#include <gablebook/shot.h>

json_t *gb_notes_json(const GPtrArray *notes, const GPtrArray *places)
{
    json_t *list = json_array();
    for (guint i = 0; i < notes->len; i++) {
        const GbNote *note = notes->pdata[i];
        const GbPlace *place = note->place == 0 ? NULL : gb_places_by_id(places, note->place);
        g_autofree char *at = gb_time_text((double)note->at_utc_s);
        json_array_append_new(list, json_pack("{sI so so ss sb ss ss}", "number", (json_int_t)note->number,
                                              "place", place != NULL ? json_string(place->label) : json_null(),
                                              "shot", note->shot != 0 ? json_integer(note->shot) : json_null(), "text", note->text,
                                              "in_report", note->in_report, "who", note->who, "at_utc", at));
    }
    return list;
}
