/* check.h -- is the photo file complete? Checklist against log.
 *
 * A pure function of what is given: it reads no file and no database.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_CHECK_H
#define GABLEBOOK_CHECK_H

#include <gablebook/checklist.h>
#include <gablebook/claim.h>
#include <gablebook/finding.h>
#include <gablebook/known.h>
#include <gablebook/shot.h>
#include <gablebook/waiver.h>
#include <jansson.h>

G_BEGIN_DECLS

typedef enum {
    GB_CHECK_THERE,
    GB_CHECK_MISSING, /* required, and not (or not fully) there */
    GB_CHECK_ADVISED, /* only advised, and not there */
    GB_CHECK_WAIVED,  /* not there, and a person said why */
    GB_CHECK_WEAK     /* required, and there only in shots that are weak as evidence (blurred, badly exposed) */
} GbCheckState;

/* One requirement at one place (or structure, or once). Text OWNED by the line. */
typedef struct {
    char *key;   /* stable name of the line: "address", "test-square place:7", "ridge-vent structure:1",
                    "close-up finding:7:hail-hit" (damage seen), "close-up finding:3" (finding 3), "roof-facts fact:layers structure:1"; what
                    waivers refer to */
    char *label; /* what a person reads and types: "test square, rear slope", "fact layers, dwelling" */
    char *what;  /* the requirement's sentence; for a finding with its subject: "siding damage close up, ..."; for a fact with its name */
    const GbFactKind *fact; /* the fact that is wanted, BORROWED; NULL: photos are */
    char *group; /* heading along the walk: the place's title, or the structure's name, or "The claim" */
    const GbRequirement *requirement; /* BORROWED from the checklist */
    gint64 place;     /* where it belongs; 0: nowhere in particular */
    gint64 structure; /* likewise */
    gint64 finding;   /* the finding it asks after; 0: none */
    GbCheckState state;
    GArray *shots;   /* gint64 numbers of the shots that count, in time order: those at a wanted distance, and those that
                        carry the wanted value; of a fact those that prove it */
    char *lacks;     /* what is not there, in words: "no close-up", "1 of 2", "no shot carries the count"; NULL when nothing */
    char *waived_why, *waived_who; /* with GB_CHECK_WAIVED, else NULL */
    gint64 waived_at_utc_s;
} GbCheckLine;

typedef struct {
    GPtrArray *lines;  /* of GbCheckLine, along the walk: claim and site first, then places in walk order */
    guint there, missing, advised, waived, weak; /* how many lines of each state */
    const GPtrArray *points; /* of GbPoint, BORROWED from the knowledge: what contradicts itself or has no proof */
    guint unplaced;    /* shots without a place, not left out */
    guint unnamed;     /* shots without a subject, not left out */
    guint unwritten;   /* shots that show damage and belong to no finding, not left out */
    guint unproved;    /* findings without a shot, or with none but such as are left out */
} GbCheck;

/* What a line lacks when no shot at all proves its finding. */
#define GB_LACKS_PROOF "no photo proves it"

/* All that a check looks at, as loaded from one state of the log; BORROWED for the call but where said. */
typedef struct {
    const GbClaim *claim;
    const GPtrArray *places, *shots, *waivers; /* a shot left out of the report counts for nothing */
    const GPtrArray *findings;                 /* NULL: none */
    const GbComponents *components;            /* NULL where there are no findings */
    const GbKnowledge *known;                  /* facts and test squares, BORROWED until the check is freed. A recorded fact or count is as
                                                  good as the same value on a photo of it; a test square that was not drawn, with its
                                                  reason, counts as waived by who recorded it */
    const GbRoof *roof;                        /* what was measured of roofs; NULL: nothing */
    const GbChecklist *checklist;              /* BORROWED until the check is freed; its facts are those of known->list */
    const GbCatalogue *catalogue;
} GbCheckInput;

/* Hold a log against a checklist. A claim whose cause is not known is held to the requirements of every cause.
 *   input   see above
 * OWNED by the caller (gb_check_free). Cannot fail. O(lines + shots). */
GbCheck *gb_check_run(const GbCheckInput *input);

/* The line a person means: word.h rules over labels, then exact keys. NULL with GB_ERROR_UNKNOWN, _UNCLEAR. BORROWED from the check. */
const GbCheckLine *gb_check_find(const GbCheck *check, const char *text, GError **error);

/* Whether nothing that is required is missing or only weakly there. */
gboolean gb_check_complete(const GbCheck *check);

/* "there", "missing", "advised", "waived", "weak". */
const char *gb_check_state_word(GbCheckState state);

/* The check as JSON, for check --json and the report model: {"checklist", "complete", "there", "missing", "advised", "waived", "weak",
 * "unplaced", "unnamed", "unwritten", "unproved", "groups": [{"title", "lines": [{"key", "label", "what", "why", "state", "required", "shots": [..],
 * "finding"?, "lacks"?, "waived_why"?, "waived_who"?, "waived_at"? "2026-05-14T20:02:08Z"}]}],
 * "points": [{"contradiction", "text", "shots"}]}. OWNED by the caller (json_decref). */
json_t *gb_check_json(const GbCheck *check, const GbChecklist *checklist);

void gb_check_free(GbCheck *check); /* NULL is allowed */
G_DEFINE_AUTOPTR_CLEANUP_FUNC(GbCheck, gb_check_free)

G_END_DECLS
#endif
