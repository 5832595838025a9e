/* fact.h -- what a person recorded of a place: one value of one kind, how it is known, and the photos that prove it.
 *
 * A place has at most one fact of a kind. What is said of a roof holds for each of its slopes, what is said of a structure for each
 * of its parts, until something else is said of that part (known.h).
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_FACT_H
#define GABLEBOOK_FACT_H

#include <gablebook/claim.h>
#include <gablebook/factlist.h>
#include <gablebook/log.h>

G_BEGIN_DECLS

/* Text OWNED by the struct. */
typedef struct {
    gint64 id;
    gint64 place;   /* GbPlace id */
    char *kind;     /* GbFactKind id */
    char *written;  /* the value as typed */
    double low, high; /* what it means: see GbFactValue */
    char *choice;   /* of a choice, the word in full; else NULL */
    GbHow how;
    char *note;     /* NULL none */
    GArray *shots;  /* gint64 numbers of the photos named as its proof, rising; may be empty */
} GbFact;

/* All recorded facts by place and kind: array of GbFact, OWNED by the caller (g_ptr_array_unref). */
GPtrArray *gb_facts_load(GbLog *log, GError **error);
/* The fact of that place and kind, or NULL. BORROWED from the array. O(n). */
GbFact *gb_facts_at(const GPtrArray *facts, gint64 place, const char *kind);

/* --- the verb --- */

/* What to change, in a person's words. NULL leaves a thing as it is, "" takes it back. Text BORROWED for the call. */
typedef struct {
    const char *value; /* must be given where nothing is recorded yet; can't be "" */
    const char *how;   /* "", and where nothing is said of a new fact: as its kind is usually known */
    const char *note;
    const char *shots; /* "36, 40-42": exactly these */
} GbFactEdit;

/* Record a fact, or change it; one change in the history.
 *   place    in a person's words; a fact of the roof said of its structure goes to the roof, and one of a structure said of a part of
 *            it to the structure, where the kind belongs nowhere nearer
 *   kind     likewise
 *   summary  "roof: Roof covering laminated asphalt shingle, seen; shot 45", OWNED by the caller; may be NULL
 * GB_ERROR_SYNTAX, _UNKNOWN, _UNCLEAR, _TOO_LARGE of its words, GB_ERROR_STATE when the kind does not belong to the place or there
 * is no value yet. Nothing was changed on failure. */
gboolean gb_fact_say(GbLog *log, const char *place, const char *kind, const GbFactEdit *edit, char **summary, GError **error);

/* Take a recorded fact back. GB_ERROR_STATE when there is none. */
gboolean gb_fact_drop(GbLog *log, const char *place, const char *kind, char **summary, GError **error);

G_END_DECLS
#endif
