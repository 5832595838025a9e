/* lint.h -- are the files that people edit right? Checklists, subjects, facts, components, report templates.
 *
 * What is loaded when a claim is opened stops at the first fault; here all faults of a checklist are told at once.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_LINT_H
#define GABLEBOOK_LINT_H

#include <glib.h>

G_BEGIN_DECLS

/* One file looked at. Text OWNED by the struct. */
typedef struct {
    char *path;       /* for people, valid UTF-8 */
    const char *kind; /* "checklist", "subjects", "facts", "components", "template" */
    GPtrArray *faults; /* of char *: "hail.ini:3: ..."; empty: it is right */
} GbLintFile;

/* Look at a file, or at all that are of a known kind in a folder (a set, a claim's templates), to the third level, in order of name. What a
 * file is, its name and its place tell: NAME.html a template, subjects.ini, facts.ini and components.ini what they say, any other NAME.ini
 * a checklist. A checklist may use the subjects and facts of the files beside it or beside its folder.
 * Array of GbLintFile, OWNED by the caller (g_ptr_array_unref). A file that can't be read has that as its fault. */
GPtrArray *gb_lint(const char *path);

G_END_DECLS
#endif
