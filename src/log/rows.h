/* rows.h -- the row writers. For src/work alone, inside a change (history.h), so that everything a person does is recorded.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_ROWS_H
#define GABLEBOOK_ROWS_H

#include <gablebook/attachment.h>
#include <gablebook/camera.h>
#include <gablebook/claim.h>
#include <gablebook/mark.h>
#include <gablebook/fact.h>
#include <gablebook/finding.h>
#include <gablebook/note.h>
#include <gablebook/roof.h>
#include <gablebook/shot.h>
#include <gablebook/square.h>
#include <gablebook/waiver.h>

/* Begin to make a claim folder, as gb_log_create does: all that is written from here on, by this log, is there only after gb_log_settle. A
 * program killed in between leaves a folder that this function takes, as if it were empty. OWNED by the caller. */
GbLog *gb_log_start(const char *folder, GError **error);
/* The claim is there, also after a power cut. On failure: gb_log_unmake. */
gboolean gb_log_settle(GbLog *log, GError **error);
/* Take back what gb_log_start made, and the folder too if it was not there before. TAKES log. */
void gb_log_unmake(GbLog *log, gboolean folder_too);

gboolean gb_claim_store(GbLog *log, const GbClaim *claim, GError **error);
/* The first facts of a claim being made (before gb_log_settle), and its first seal: no change, there was nothing before. */
gboolean gb_claim_begin(GbLog *log, const GbClaim *claim, GError **error);

gboolean gb_structure_add(GbLog *log, const char *name, const char *kind, gint64 *id, GError **error);
/* Its places must be gone first. */
gboolean gb_structure_remove(GbLog *log, gint64 id, GError **error);

/* face counts for elevations and slopes, room for rooms. */
gboolean gb_place_add(GbLog *log, gint64 structure, GbPlaceKind kind, GbFace face, const char *room, GError **error);
/* GB_ERROR_STATE when shots or findings belong to it. */
gboolean gb_place_remove(GbLog *log, gint64 id, GError **error);

/* Write down a file whose bytes are safe in originals/: the "from the file" members of shot. Gives its number. Not recorded in the history: a
 * fact, not a decision. */
gboolean gb_original_add(GbLog *log, const GbShot *shot, gint64 imported_utc_s, gint64 *number, GError **error);
/* Look for bytes: *number is 0 when they were never imported, and *stored_name NULL; *in_claim tells whether a shot of that number
 * is in the claim now. *stored_name is OWNED by the caller. */
gboolean gb_original_find(GbLog *log, const char *sha256, gint64 *number, gboolean *in_claim, char **stored_name, GError **error);

/* The photos that nobody looked at yet (survey.h), by number: array of GbShot with number, digest, names and orientation alone, OWNED by
 * the caller. */
GPtrArray *gb_surveys_wanted(GbLog *log, GError **error);
/* Write down what was found of n of them: trouble, damaged, measured and quality. In a transaction of its own, unless
 * the caller has one open; not recorded in the history. */
gboolean gb_surveys_add(GbLog *log, GbShot *const *shots, gsize n, GError **error);

/* The same for attachments: write one down (id and beside are not read), look for one, take one into the claim. */
gboolean gb_attachment_add(GbLog *log, const GbAttachment *attachment, gint64 imported_utc_s, gint64 *id, GError **error);
gboolean gb_attachment_find(GbLog *log, const char *sha256, gint64 *id, gboolean *in_claim, char **stored_name, GError **error);
gboolean gb_attachment_enter(GbLog *log, gint64 id, GError **error);

/* Take an original into the claim, nothing said of it yet. */
gboolean gb_shot_enter(GbLog *log, gint64 number, GError **error);
/* Store the "from the user" members of a shot, or of many (array of GbShot), but not the marks. */
gboolean gb_shot_store(GbLog *log, const GbShot *shot, GError **error);
gboolean gb_shots_store(GbLog *log, const GPtrArray *shots, GError **error);

/* The shots of the claim by file name and number, without times and flaws. As gb_shots_load. */
GPtrArray *gb_shots_load_by_name(GbLog *log, GError **error);
/* Work out the corrected times of shots that lie by file name, and put the array into their order. */
gboolean gb_shots_set_times(GbLog *log, GPtrArray *shots, GError **error);
/* Find flaws: fills weak and remark of all shots, whose times are set. */
void gb_shots_set_flaws(const GPtrArray *shots);

/* What a person says of a camera's clock, and of pairs of shots. */
gboolean gb_clock_word_store(GbLog *log, const char *camera, const char *said, double error_s, GError **error);
gboolean gb_clock_word_remove(GbLog *log, const char *camera, GError **error);
gboolean gb_clock_pair_store(GbLog *log, gint64 shot, gint64 other, GError **error);
gboolean gb_clock_pair_remove(GbLog *log, gint64 shot, GError **error);
/* Whether the pairs as they are stored now can all be followed; where they can't (they lean on each other in a circle), every load would
 * pass over them. Errors as gb_clock_card. */
gboolean gb_clock_pairs_hold(GbLog *log, GError **error);

/* Store a mark; one with id 0 is new and gets its id. */
gboolean gb_mark_store(GbLog *log, GbMark *mark, GError **error);
gboolean gb_mark_remove(GbLog *log, gint64 id, GError **error);
/* Findings with their shots. Insert gives the number; delete takes the shots out of the struct, too. */
gboolean gb_finding_insert(GbLog *log, GbFinding *finding, GError **error);
gboolean gb_finding_store(GbLog *log, const GbFinding *finding, GError **error);
gboolean gb_finding_delete(GbLog *log, GbFinding *finding, GError **error);

/* Facts with their shots: a new one (id 0) is added, and gets its id. */
gboolean gb_fact_store(GbLog *log, GbFact *fact, GError **error);
gboolean gb_fact_remove(GbLog *log, gint64 id, GError **error);

/* Test squares likewise; who and when are the log's and now. */
gboolean gb_square_store(GbLog *log, GbSquare *square, GError **error);
gboolean gb_square_remove(GbLog *log, gint64 id, GError **error);
/* hits 0 takes it back. */
gboolean gb_threshold_store(GbLog *log, guint hits, const char *source, GError **error);

/* Notes likewise: a new one (number 0) is added, and gets its number. */
gboolean gb_note_store(GbLog *log, GbNote *note, GError **error);
gboolean gb_note_delete(GbLog *log, gint64 number, GError **error);

gboolean gb_waiver_store(GbLog *log, const GbWaiver *waiver, GError **error);
gboolean gb_waiver_remove(GbLog *log, const char *key, GError **error);

/* roofs: write an entry with all its measurements; *id is its number. entry->id 0 adds one, else that one is replaced. place: the slope's own,
 * or the structure's roof for a whole one. */
gboolean gb_roof_entry_store(GbLog *log, const GbRoofEntry *entry, gint64 place, gint64 *id, GError **error);
gboolean gb_roof_entry_remove(GbLog *log, gint64 id, GError **error);
gboolean gb_roof_settings_store(GbLog *log, const GbRoofSettings *settings, GError **error);

#endif
