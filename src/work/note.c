/* note.c -- the verb note: free words. See note.h.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <gablebook/note.h>

#include "work-private.h"

#include <gablebook/error.h>
#include <gablebook/escape.h>
#include <gablebook/history.h>
#include <gablebook/shot.h>
#include <log/rows.h>

#define TEXT_MAX_BYTES 20000
#define SHOWN_LETTERS 80 /* in the history */

/* Clean lines, line ends kept, no blank lines at either end. OWNED by the caller; NULL with error. */
static char *clean_lines(const char *text, GError **error)
{
    if (strlen(text) > TEXT_MAX_BYTES) {
        g_set_error(error, GB_ERROR, GB_ERROR_TOO_LARGE, "a note of %" G_GSIZE_FORMAT " bytes; at most %d are kept; nothing was changed",
                    strlen(text), TEXT_MAX_BYTES);
        return NULL;
    }
    g_auto(GStrv) lines = g_strsplit(text, "\n", -1);
    g_autoptr(GString) kept = g_string_new(NULL);
    for (char **line = lines; *line != NULL; line++) {
        g_autofree char *clean = gb_clean_text(*line, strlen(*line));
        g_string_append_printf(kept, "%s%s", kept->len > 0 ? "\n" : "", clean != NULL ? clean : "");
    }
    g_autofree char *trimmed = g_strstrip(g_strdup(kept->str));
    if (*trimmed != '\0')
        return g_steal_pointer(&trimmed);
    g_set_error(error, GB_ERROR, GB_ERROR_SYNTAX, "a note without words; nothing was changed");
    return NULL;
}

/* "note 3 on rear slope, for the report: wet moss below ..." */
static char *describe(const GbNote *note, const GPtrArray *places, const char *done)
{
    GString *text = g_string_new(NULL);
    const GbPlace *place = note->place == 0 ? NULL : gb_places_by_id(places, note->place);
    g_string_printf(text, "note %" G_GINT64_FORMAT, note->number);
    if (place != NULL)
        g_string_append_printf(text, " on %s", place->label);
    if (note->shot != 0)
        g_string_append_printf(text, " on shot %" G_GINT64_FORMAT, note->shot);
    if (done != NULL) {
        g_string_append_printf(text, " %s", done);
        return g_string_free(text, FALSE);
    }
    g_autofree char *line = g_strdelimit(g_strdup(note->text), "\n", ' ');
    gboolean longer = g_utf8_strlen(line, -1) > SHOWN_LETTERS;
    g_autofree char *start = longer ? g_utf8_substring(line, 0, SHOWN_LETTERS) : g_strdup(line);
    g_string_append_printf(text, "%s: %s%s", note->in_report ? ", for the report" : "", start, longer ? "…" : "");
    return g_string_free(text, FALSE);
}

static gboolean save(GbChange *change, char *text, char **summary, GError **error)
{
    g_autofree char *owned = text;
    if (!gb_change_save(change, owned, error))
        return FALSE;
    if (summary != NULL)
        *summary = g_steal_pointer(&owned);
    return TRUE;
}

/* What the new note is on. */
static gboolean find_what(GbLog *log, const GPtrArray *places, const char *place, gint64 shot, GbNote *note, GError **error)
{
    if (place != NULL && shot != 0) {
        g_set_error(error, GB_ERROR, GB_ERROR_SYNTAX, "a note is on a place or on a shot, not on both; nothing was changed");
        return FALSE;
    }
    const GbPlace *found = place == NULL ? NULL : gb_places_find(places, place, error);
    if (place != NULL && found == NULL)
        return FALSE;
    note->place = found == NULL ? 0 : found->id;
    if (shot == 0)
        return TRUE;
    g_autoptr(GPtrArray) shots = gb_shots_load(log, error);
    if (shots == NULL)
        return FALSE;
    if (gb_shots_by_number(shots, shot) == NULL) {
        g_set_error(error, GB_ERROR, GB_ERROR_UNKNOWN, "there is no shot %" G_GINT64_FORMAT "; nothing was changed", shot);
        return FALSE;
    }
    note->shot = shot;
    return TRUE;
}

gboolean gb_note_add(GbLog *log, const char *place, gint64 shot, const char *text, GbNoteInReport in_report, gint64 *number,
                     char **summary, GError **error)
{
    g_autofree char *kept = clean_lines(text, error);
    g_autoptr(GbChange) change = kept == NULL ? NULL : gb_change_begin(log, "note", error);
    g_autoptr(GPtrArray) places = change == NULL ? NULL : gb_places_load(log, error);
    GbNote note = { .text = kept, .in_report = in_report == GB_NOTE_FOR_REPORT };
    if (places == NULL || !find_what(log, places, place, shot, &note, error) || !gb_note_store(log, &note, error) ||
        !save(change, describe(&note, places, NULL), summary, error))
        return FALSE;
    if (number != NULL)
        *number = note.number;
    return TRUE;
}

static GbNote *find_note(const GPtrArray *notes, gint64 number, GError **error)
{
    GbNote *note = gb_notes_by_number(notes, number);
    if (note == NULL)
        g_set_error(error, GB_ERROR, GB_ERROR_UNKNOWN, "there is no note %" G_GINT64_FORMAT "; nothing was changed", number);
    return note;
}

gboolean gb_note_change(GbLog *log, gint64 number, const char *text, GbNoteInReport in_report, char **summary, GError **error)
{
    g_autofree char *kept = text == NULL ? NULL : clean_lines(text, error);
    if (text != NULL && kept == NULL)
        return FALSE;
    g_autoptr(GbChange) change = gb_change_begin(log, "note", error);
    g_autoptr(GPtrArray) places = change == NULL ? NULL : gb_places_load(log, error);
    g_autoptr(GPtrArray) notes = places == NULL ? NULL : gb_notes_load(log, error);
    GbNote *note = notes == NULL ? NULL : find_note(notes, number, error);
    if (note == NULL)
        return FALSE;
    if (kept != NULL) {
        g_free(note->text);
        note->text = g_steal_pointer(&kept);
    }
    if (in_report != GB_NOTE_KEEP)
        note->in_report = in_report == GB_NOTE_FOR_REPORT;
    return gb_note_store(log, note, error) && save(change, describe(note, places, NULL), summary, error);
}

gboolean gb_note_remove(GbLog *log, gint64 number, char **summary, GError **error)
{
    g_autoptr(GbChange) change = gb_change_begin(log, "note", error);
    g_autoptr(GPtrArray) places = change == NULL ? NULL : gb_places_load(log, error);
    g_autoptr(GPtrArray) notes = places == NULL ? NULL : gb_notes_load(log, error);
    const GbNote *note = notes == NULL ? NULL : find_note(notes, number, error);
    return note != NULL && gb_note_delete(log, number, error) && save(change, describe(note, places, "taken out"), summary, error);
}
