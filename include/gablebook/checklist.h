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
 *     when      = hail                  only for claims of these causes (absent: always)
 *     level     = required              required | advised (absent: required)
 *     why       = Reviewers count hits per slope
 *
 * and once:  [checklist]  name = Exterior, wind and hail ;  causes = hail, wind
 *
 * Words may be abbreviated as everywhere (word.h). Keys that contradict each other, or say nothing, are errors.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_CHECKLIST_H
#define GABLEBOOK_CHECKLIST_H

#include <gablebook/catalogue.h>
#include <gablebook/place.h>

G_BEGIN_DECLS

typedef enum {
    GB_WHERE_ONCE,
    GB_WHERE_STRUCTURE,
    GB_WHERE_ELEVATION,
    GB_WHERE_SLOPE,
    GB_WHERE_ROOM,
    GB_WHERE_FINDING /* each damaged component seen: a place and a damage subject with at least one shot */
} GbWhere;

typedef struct {
    char *id;   /* the section: "test-square" */
    char *what;  /* a sentence; for 'each finding' what follows the name of the damage */
    char *why;  /* never NULL, may be "" */
    GbWhere where;
    char **structures; /* kinds, NULL-terminated; empty: all */
    char **subjects;   /* catalogue ids, NULL-terminated; empty: any (each finding: the finding's own) */
    gboolean wants[GB_DISTANCES]; /* which distances are named; none: any distance counts */
    guint count;
    gboolean needs_value;
    char **causes; /* NULL-terminated; empty: always */
    gboolean required; /* FALSE: advised */
} GbRequirement;

typedef struct GbChecklist GbChecklist;

/* The names of the checklists this program was built with, NULL-terminated. OWNED by the caller (g_strfreev). */
char **gb_checklist_names(void);
/* Which built-in checklist fits a cause ("hail, wind", NULL): "exterior-wind-hail", "interior-water", "fire-basic". BORROWED for ever. */
const char *gb_checklist_for_cause(const char *cause);

/* Load a built-in checklist by name, or a file. Subjects are checked against the catalogue. GB_ERROR_SYNTAX: "hail.ini:3: ...";
 * GB_ERROR_UNKNOWN: no such checklist. OWNED by the caller. */
GbChecklist *gb_checklist_builtin(const char *name, const GbCatalogue *catalogue, GError **error);
GbChecklist *gb_checklist_load(const char *path, const GbCatalogue *catalogue, GError **error);

/* Look through a file and tell all its faults, not the first alone: sentences with file and line (char *, g_free) are added to faults. */
void gb_checklist_lint(const char *path, const GbCatalogue *catalogue, GPtrArray *faults);

const char *gb_checklist_title(const GbChecklist *checklist); /* BORROWED */
guint gb_checklist_size(const GbChecklist *checklist);
const GbRequirement *gb_checklist_peek(const GbChecklist *checklist, guint i); /* file order; BORROWED */

void gb_checklist_free(GbChecklist *checklist); /* NULL is allowed */
G_DEFINE_AUTOPTR_CLEANUP_FUNC(GbChecklist, gb_checklist_free)

G_END_DECLS
#endif
