/* note.h -- free words on the claim, on a place, or on a shot.
 *
 * A note stays in the claim; in the report it stands only where a person says so. Its number is its for ever, also after undo.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_NOTE_H
#define GABLEBOOK_NOTE_H

#include <gablebook/claim.h>
#include <gablebook/log.h>
#include <jansson.h>

G_BEGIN_DECLS

/* Text OWNED by the struct. */
typedef struct {
    gint64 number;
    gint64 place, shot; /* what it is on; at most one is not 0, both are for the claim as a whole */
    char *text;         /* never empty; may have line ends */
    gboolean in_report;
    char *who;          /* who wrote it, or changed it last */
    gint64 at_utc_s;
} GbNote;

/* All notes by number: array of GbNote, OWNED by the caller (g_ptr_array_unref). */
GPtrArray *gb_notes_load(GbLog *log, GError **error);
/* The note of that number, or NULL. BORROWED from the array. O(n). */
GbNote *gb_notes_by_number(const GPtrArray *notes, gint64 number);

/* Whether every word of words is in the note's text, in any order, as a word or a part of one, without regard to case. */
gboolean gb_note_has(const GbNote *note, const char *words);

/* Notes (all or some) as JSON: an array of {"number", "place" (label or null), "shot" (or null), "text", "in_report", "who",
 * "at_utc" "2026-05-14 20:02:08"}. OWNED by the caller (json_decref). */
json_t *gb_notes_json(const GPtrArray *notes, const GPtrArray *places);

/* --- the verb --- */

typedef enum { GB_NOTE_KEEP, GB_NOTE_FOR_REPORT, GB_NOTE_NOT_FOR_REPORT } GbNoteInReport;

/* Write a note; one change in the history, as each below.
 *   place    in a person's words, or NULL
 *   shot     its number, or 0; not both
 *   number   the note's; may be NULL
 *   summary  "note 3 on rear slope: wet moss below the ridge", OWNED by the caller; may be NULL
 * GB_ERROR_SYNTAX of an empty text, GB_ERROR_TOO_LARGE, GB_ERROR_UNKNOWN, GB_ERROR_UNCLEAR. Nothing was changed on failure. */
gboolean gb_note_add(GbLog *log, const char *place, gint64 shot, const char *text, GbNoteInReport in_report, gint64 *number,
                     char **summary, GError **error);

/* Change its words (NULL keeps them) and whether it is for the report. GB_ERROR_UNKNOWN: there is none of that number. */
gboolean gb_note_change(GbLog *log, gint64 number, const char *text, GbNoteInReport in_report, char **summary, GError **error);

/* Take it out. */
gboolean gb_note_remove(GbLog *log, gint64 number, char **summary, GError **error);

G_END_DECLS
#endif
