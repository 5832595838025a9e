/* checklist.h -- what must be there: a file of requirements.
 *
 * templates/checklists/NAME.ini, or a claim's own in FOLDER/templates/checklists/. One section a requirement:
 *
 *     [test-square]
 *     what      = Test square, ten by ten feet, hits circled and counted
 *     where     = each slope            once | each structure | each elevation | each slope | each room | each finding
 *     structures = dwelling             kinds it applies to (absent: all); 'outbuildings' = all but dwelling and fence; not for 'once'
 *     subjects  = test square           any of these satisfies it (ids or names of the catalogue; absent: any); 'any damage' =
 *                                       all that show damage, also the user's own; for 'each finding' absent
 *     distances = mid-range, close-up   one shot of each is wanted (absent: any distance)
 *     count     = 1                     so many shots at least (of each distance, if distances are named)
 *     value     = yes                   at least one of the shots, at whatever distance, must carry its value
 *     written   = yes                   for 'each finding' alone: it must be written down with cause, action and quantity (finding.h), or belong
 *                                       to a finding that is; distances, count and value are then left out
 *     measured  = yes                   for 'each slope' alone: its measurements must be there (roof.h), by itself or with the whole roof;
 *                                       subjects, distances, count and value are then left out
 *     when      = hail                  only for claims of these causes (absent: always)
 *     level     = required              required | advised (absent: required)
 *     why       = Reviewers count hits per slope
 *
 * A section may want facts instead of photos; each becomes a line of its own:
 *
 *     [roof-facts]
 *     what      = the value, and how it is known          (follows the name of the fact: 'Layers: the value, ...')
 *     where     = each structure        once | each structure | each elevation | each slope | each room
 *     structures, when, level, why      as above
 *     facts     = covering, layers      ids or names of templates/facts.ini; no subjects, distances, count or value beside them
 *
 * and once:  [checklist]  name = Exterior, wind and hail ;  causes = hail, wind
 *
 * Words may be abbreviated as everywhere (word.h). Keys that contradict each other, or say nothing, are errors.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_CHECKLIST_H
#define GABLEBOOK_CHECKLIST_H

#include <gablebook/catalogue.h>
#include <gablebook/factlist.h>
#include <gablebook/place.h>

G_BEGIN_DECLS

typedef enum {
    GB_WHERE_ONCE,
    GB_WHERE_STRUCTURE,
    GB_WHERE_ELEVATION,
    GB_WHERE_SLOPE,
    GB_WHERE_ROOM,
    GB_WHERE_FINDING /* each finding, over its own shots; and each damage seen that is no finding yet: a place and a damage subject
                        with at least one shot that belongs to no finding */
} GbWhere;

typedef struct {
    char *id;   /* the section: "test-square" */
    char *what;  /* a sentence; for 'each finding' and facts what follows the name of the damage or fact */
    char *why;  /* never NULL, may be "" */
    GbWhere where;
    char **structures; /* kinds, NULL-terminated; empty: all */
    char **subjects;   /* catalogue ids, NULL-terminated; empty: any (each finding: the finding's own) */
    char **facts;      /* ids of kinds, NULL-terminated; empty: photos are wanted */
    gboolean wants[GB_DISTANCES]; /* which distances are named; none: any distance counts */
    guint count;
    gboolean needs_value;
    gboolean needs_written;
    gboolean needs_measured;
    char **causes; /* NULL-terminated; empty: always */
    gboolean required; /* FALSE: advised */
} GbRequirement;

typedef struct GbChecklist GbChecklist;

/* The names of the checklists this program was built with, NULL-terminated. OWNED by the caller (g_strfreev). */
char **gb_checklist_names(void);
/* Which built-in checklist fits a cause ("hail, wind", NULL): "exterior-wind-hail", "interior-water", "fire-basic". BORROWED for ever. */
const char *gb_checklist_for_cause(const char *cause);

/* Load a built-in checklist by name, or a file. Subjects and facts are checked against their lists. GB_ERROR_SYNTAX: "hail.ini:3: ...";
 * GB_ERROR_UNKNOWN: no such checklist. OWNED by the caller. */
GbChecklist *gb_checklist_builtin(const char *name, const GbCatalogue *catalogue, const GbFactlist *factlist, GError **error);
GbChecklist *gb_checklist_load(const char *path, const GbCatalogue *catalogue, const GbFactlist *factlist, GError **error);

const char *gb_checklist_title(const GbChecklist *checklist); /* BORROWED */
guint gb_checklist_size(const GbChecklist *checklist);
const GbRequirement *gb_checklist_peek(const GbChecklist *checklist, guint i); /* file order; BORROWED */

void gb_checklist_free(GbChecklist *checklist); /* NULL is allowed */
G_DEFINE_AUTOPTR_CLEANUP_FUNC(GbChecklist, gb_checklist_free)

G_END_DECLS
#endif
