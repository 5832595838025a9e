/* decided.h -- what people have decided of a claim so far, as JSON; and whether it is still so.
 *
 * A door shows these objects. Who then decides something gives back what they saw of it ("was"); held against the log within the change's
 * own transaction (gb_change_set_guard), it tells whether somebody else was quicker. A member that is not known is absent; in "was" it
 * may be absent or null.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_DECIDED_H
#define GABLEBOOK_DECIDED_H

#include <gablebook/camera.h>
#include <gablebook/claim.h>
#include <gablebook/fact.h>
#include <gablebook/finding.h>
#include <gablebook/note.h>
#include <gablebook/roof.h>
#include <gablebook/shot.h>
#include <gablebook/square.h>
#include <jansson.h>

G_BEGIN_DECLS

/* {"insured", "number", "address", "loss_date", "inspection_date", "cause", "adjuster", "checklist", "front_azimuth_deg"}.
 * All OWNED by the caller (json_decref). */
json_t *gb_decided_claim(const GbClaim *claim);
/* {"name", "kind", "elevations": "front, rear", "slopes": "none", "rooms": "kitchen, bath"}, as structure.h takes them. */
json_t *gb_decided_structure(const GbStructure *structure, const GPtrArray *places);
/* {"place": id, "subject": id, "distance", "value", "caption", "left_out": true} */
json_t *gb_decided_shot(const GbShot *shot);

/* {"shot", "kind", "points": [[x, y], ...], "text", "length"} */
json_t *gb_decided_mark(const GbMark *mark);

/* {"value", "how", "note", "shots": [..]}; {"size", "hits", "not_drawn", "note", "shots"}; {"text", "in_report"};
 * {"place": id, "component": id, "cause", "action", "quantity", "note", "shots"}; {"where", "section", "shape", "given": {"eave": "40 ft"},
 * of a slope "left_side", "right_side", "top", "bottom", "cut_out": true, of a whole roof "ridge_runs"} */
json_t *gb_decided_fact(const GbFact *fact);
json_t *gb_decided_square(const GbSquare *square);
json_t *gb_decided_note(const GbNote *note);
json_t *gb_decided_finding(const GbFinding *finding);
json_t *gb_decided_roof_entry(const GbRoofEntry *entry);
/* {"hits", "source"} */
json_t *gb_decided_threshold(const GbThreshold *threshold);
/* {"waste_percent", "steep_pitches": ["7/12 and steeper", ..]}, as gb_roof_json has them; never without steep pitches, for some are usual. */
json_t *gb_decided_roof_settings(const GbRoofSettings *settings);

/* Is it still as it was seen? Only the members that are in "was" are compared.
 *   was        BORROWED
 *   conflicts  an array that gets {"shot"?, "field", "was"?, "now"?} for what is not; BORROWED
 * FALSE with GB_ERROR_STALE when something is not, saying what; GB_ERROR_SYNTAX for a "was" that can't be one. */

/* was: {"3": {"place": 4, ...}, ...}. A shot that has left the claim is a conflict of the field "shot". */
gboolean gb_decided_shots_still(GbLog *log, const json_t *was, json_t *conflicts, GError **error);
/* was: [3, 9, 4], all shots of one place, left out or not, in the order of gb_shot_compare. */
gboolean gb_decided_order_still(GbLog *log, const json_t *was, json_t *conflicts, GError **error);
gboolean gb_decided_claim_still(GbLog *log, const json_t *was, json_t *conflicts, GError **error);
/* was: {}: there was none of that name. */
gboolean gb_decided_structure_still(GbLog *log, const char *name, const json_t *was, json_t *conflicts, GError **error);
/* requirement as gb_waive takes it; was: {"why": text}. */
gboolean gb_decided_waiver_still(GbLog *log, const char *requirement, const json_t *was, json_t *conflicts, GError **error);
/* A mark that is gone is a conflict of the field "mark". */
gboolean gb_decided_mark_still(GbLog *log, gint64 mark, const json_t *was, json_t *conflicts, GError **error);
/* place, kind, slope and number (NULL: the first) as the verbs take them. A {} says that there was none; one that is gone is a conflict of the
 * field "fact", "square", "note", "finding", "entry". */
gboolean gb_decided_fact_still(GbLog *log, const char *place, const char *kind, const json_t *was, json_t *conflicts, GError **error);
gboolean gb_decided_square_still(GbLog *log, const char *slope, const char *number, const json_t *was, json_t *conflicts, GError **error);
gboolean gb_decided_note_still(GbLog *log, gint64 number, const json_t *was, json_t *conflicts, GError **error);
gboolean gb_decided_finding_still(GbLog *log, gint64 number, const json_t *was, json_t *conflicts, GError **error);
gboolean gb_decided_roof_entry_still(GbLog *log, gint64 id, const json_t *was, json_t *conflicts, GError **error);
/* was: {}: none was set; one that came or went is a conflict of the field "threshold". */
gboolean gb_decided_threshold_still(GbLog *log, const json_t *was, json_t *conflicts, GError **error);
gboolean gb_decided_roof_settings_still(GbLog *log, const json_t *was, json_t *conflicts, GError **error);
/* camera in a person's words; was: {"said": text}. */
gboolean gb_decided_camera_still(GbLog *log, const char *camera, const json_t *was, json_t *conflicts, GError **error);
/* The pair that a person gave of that shot; was: {"other": 41}. */
gboolean gb_decided_pair_still(GbLog *log, gint64 shot, const json_t *was, json_t *conflicts, GError **error);
/* What undo, or redo, would do; was: {"entry": 17}. */
gboolean gb_decided_entry_still(GbLog *log, gboolean redo, const json_t *was, json_t *conflicts, GError **error);

G_END_DECLS
#endif
