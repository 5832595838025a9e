/* known.h -- what is known of the property: what a person recorded, and what the photos say by themselves.
 *
 * One rule, so that nobody types a thing twice. A photo whose subject proves a kind of fact and that carries a value of that kind
 * says the fact where it was taken. Where a person recorded the fact, there or on the roof or structure it is a part of, the
 * record holds, and the photo is its proof if both agree, a contradiction if they don't. Where nobody did, the photo's value is
 * the fact. Test squares likewise: a photo of one with its count is one, until somebody records the slope's. A photo that is left out
 * of the report says nothing.
 *
 * A pure function of what is given: it reads no file and no database.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_KNOWN_H
#define GABLEBOOK_KNOWN_H

#include <gablebook/fact.h>
#include <gablebook/shot.h>
#include <gablebook/square.h>
#include <jansson.h>

G_BEGIN_DECLS

/* One fact at one place. Text and arrays OWNED by the struct unless told. */
typedef struct {
    const GbFactKind *kind; /* BORROWED; NULL: the claim's list of facts has lost it */
    const char *name;       /* "Roof covering"; BORROWED; without a kind its id */
    const GbPlace *place;   /* BORROWED */
    const GbFact *fact;     /* as recorded, BORROWED; NULL: photos say it */
    char *written;          /* the value as typed */
    GbFactValue value;
    GbHow how;
    char *shown;            /* as a report shows it: "7 1/2:12 (7.5/12, 32.0°)" */
    GArray *shots;          /* gint64: the photos that prove it, by time. Those that were named, else all that show the right thing there */
    GArray *against;        /* gint64: the photos that say something else, by time */
} GbKnown;

/* One test square of a slope, likewise. */
typedef struct {
    const GbPlace *place;
    const GbSquare *square; /* as recorded, BORROWED; NULL: photos say it */
    guint number;           /* on its slope, from 1 */
    gboolean drawn;         /* FALSE: see square->not_drawn */
    guint hits;
    double width_in, height_in; /* NAN unknown */
    char *size;             /* "10 x 10 ft"; "" unknown or not drawn */
    GArray *shots, *against;
} GbKnownSquare;

/* Something that a person should look at. */
typedef struct {
    gboolean contradiction; /* FALSE: it only has no photo */
    char *text;             /* "front slope: Pitch is 6/12, 26.6°, but shot 42 says 7/12" */
    gint64 place, structure; /* where; structure 0 for the site */
    GArray *shots;          /* gint64: the photos it speaks of, by time */
} GbPoint;

typedef struct {
    const GbFactlist *list; /* BORROWED */
    GPtrArray *facts;   /* of GbKnown: places in walk order, kinds in the list's order */
    GPtrArray *squares; /* of GbKnownSquare: places in walk order, then by number */
    GPtrArray *points;  /* of GbPoint: contradictions, and facts and squares without a photo where one can prove them; in the same order;
                           then captions that contradict what is known, by time */
} GbKnowledge;

/* Put together what is known.
 *   places, shots, facts, squares   as loaded; BORROWED until the knowledge is freed, as are list and catalogue
 * OWNED by the caller (gb_knowledge_free). Cannot fail. */
GbKnowledge *gb_knowledge_make(const GPtrArray *places, const GPtrArray *shots, const GPtrArray *facts, const GPtrArray *squares,
                               const GbFactlist *list, const GbCatalogue *catalogue);

/* Add to the points the captions in a person's own words that contradict a fact, a test square, or the value of their own photo: "front slope: Pitch is
 * 6/12, 26.6°, but the caption of shot 42 says 8/12". Part of gb_knowledge_make; arguments as there. */
void gb_knowledge_read_captions(GbKnowledge *knowledge, const GPtrArray *places, const GPtrArray *shots, const GbCatalogue *catalogue);

/* What is known of a place: its own fact of that kind, else its roof's (of a slope), else its structure's. NULL: nothing. BORROWED. */
const GbKnown *gb_knowledge_at(const GbKnowledge *knowledge, const char *kind_id, const GbPlace *place);

/* The place of the same structure, or the site, where a fact of that kind belongs if it is said of place: itself, else its roof, else its
 * structure as a whole; of a whole its roof. NULL when the kind belongs to none of them. BORROWED from places. */
const GbPlace *gb_fact_home(const GPtrArray *places, const GbFactKind *kind, const GbPlace *place);

/* As JSON: {"facts": [{"place", "kind", "name", "value" (as typed), "means", "low", "high", "choice", "how", "recorded", "note",
 * "shots": [..], "against": [..]}], "squares": [{"place", "number", "hits", "size", "width_in", "height_in", "not_drawn", "recorded", "note",
 * "shots", "against"}], "points": [{"contradiction", "text", "shots"}], "threshold": null or {"hits", "source", "who"}}. Unknown is null.
 *   threshold  or NULL
 * OWNED by the caller (json_decref). */
json_t *gb_knowledge_json(const GbKnowledge *knowledge, const GbThreshold *threshold);

void gb_knowledge_free(GbKnowledge *knowledge); /* NULL is allowed */
G_DEFINE_AUTOPTR_CLEANUP_FUNC(GbKnowledge, gb_knowledge_free)

G_END_DECLS
#endif
