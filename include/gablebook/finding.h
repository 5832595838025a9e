/* finding.h -- what is damaged, by what, what is to be done about it, how much of it, and the shots that prove it.
 *
 * A finding's number is its for ever: never changed, never used again, also after undo. Its quantity is either an
 * amount, or it follows a measurement and changes when that does.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_FINDING_H
#define GABLEBOOK_FINDING_H

#include <gablebook/claim.h>
#include <gablebook/component.h>
#include <gablebook/log.h>
#include <gablebook/roof.h>
#include <jansson.h>

G_BEGIN_DECLS

/* Text OWNED by the struct, NULL where nothing was said. */
typedef struct {
    gint64 number;
    gint64 place;      /* GbPlace id */
    char *component;   /* GbComponent id */
    char *cause;       /* one of gb_finding_causes() */
    char *action;      /* one of gb_finding_actions() */
    char *quantity;    /* as typed: "12 LF", "= drip edge" */
    char *measure;     /* the measurement that the quantity follows; NULL: it is an amount */
    double amount;     /* how much; NAN: not said, or nothing is measured there yet */
    GbUnit unit;       /* of the amount */
    char *not_followed; /* why the measurement gives no amount; NULL when it does or none is followed */
    char *note;
    GArray *shots;     /* gint64 numbers of the shots that prove it, ascending; may be empty */
} GbFinding;

/* All findings in the order of the walk (places as gb_places_load), then by number: array of GbFinding, OWNED by the caller
 * (g_ptr_array_unref). Amounts that follow a measurement are not known yet: gb_findings_follow finds them. */
GPtrArray *gb_findings_load(GbLog *log, GError **error);
/* Find the amounts that follow a measurement: of a slope its own, of an elevation those of the slope above it, of a
 * roof or a whole structure those of all its slopes, each in the measurement's unit or the one asked for (SF and SQ
 * only). Fills amount and unit, or not_followed. places and roof BORROWED for the call. */
void gb_findings_follow(const GPtrArray *findings, const GPtrArray *places, const GbRoof *roof);
/* The finding of that number, or NULL. BORROWED from the array. O(n). */
GbFinding *gb_findings_by_number(const GPtrArray *findings, gint64 number);

/* Whether a finding says all that a price needs: cause, action and, unless that is none, an amount. What it does not
 * say, in words ("no cause, no quantity"), OWNED by the caller; NULL when it says all. */
char *gb_finding_lacks(const GbFinding *finding);
/* "13.42 SQ (squares)", "12 LF"; "not measured yet (drip edge)"; "" when nothing was said. OWNED by the caller. */
char *gb_finding_quantity_text(const GbFinding *finding);
/* Name of its component, as a person reads it: the id where the list has none of that id any more. BORROWED from either. */
const char *gb_finding_component_name(const GbFinding *finding, const GbComponents *components);

/* Findings as JSON: an array of {"number", "place", "component", "cause", "action", "quantity" (as typed), "amount",
 * "unit", "measure", "why_no_amount", "note", "shots": [..]}. Unknown is null. OWNED by the caller (json_decref). */
json_t *gb_findings_json(const GPtrArray *findings, const GPtrArray *places, const GbComponents *components);

/* --- the verb --- */

/* What a person says of a finding (abbreviations by word.h). NULL leaves a thing as it is, "" takes it back. Text
 * BORROWED for the call. */
typedef struct {
    const char *place;     /* can't be taken back */
    const char *component; /* likewise */
    const char *cause, *action;
    const char *quantity;  /* quantity.h; a plain number is in the component's usual unit */
    const char *note;
    const char *shots;     /* "3,7-12": exactly these */
    const char *more_shots, *fewer_shots; /* these too; these no longer */
} GbFindingEdit;

/* Write down a finding; one change in the history. Where place or component is not said, the shots tell: their place,
 * and the component that their subject usually shows, if all agree.
 *   number   the finding's number; may be NULL
 *   summary  "finding 3: rear slope, Shingles; hail; remove and replace; 13.42 SQ; shots 45-48", OWNED by the caller;
 *     may be NULL
 * GB_ERROR_SYNTAX, _UNKNOWN, _UNCLEAR of its words, GB_ERROR_TOO_LARGE; GB_ERROR_STATE when place or component is
 * neither said nor to be told from the shots. Nothing was changed on failure; so below. */
gboolean gb_finding_add(GbLog *log, const GbFindingEdit *edit, gint64 *number, char **summary, GError **error);
/* Change one. GB_ERROR_UNKNOWN: there is none of that number. */
gboolean gb_finding_change(GbLog *log, gint64 number, const GbFindingEdit *edit, char **summary, GError **error);
/* Take one out; its photos stay. */
gboolean gb_finding_remove(GbLog *log, gint64 number, char **summary, GError **error);

G_END_DECLS
#endif
