/* set.h -- a set: the checklists and templates that a carrier wants, kept in a folder.
 *
 *     $XDG_CONFIG_HOME/gablebook/sets/NAME/          (usually ~/.config/gablebook/sets/NAME/)
 *         subjects.ini  facts.ini  components.ini  checklists/NAME.ini  report/...      laid out like a claim's own templates/
 *
 * A new claim gets a copy in its templates/ (new.h): whatever happens to the set later, the claim keeps what it was made with.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_SET_H
#define GABLEBOOK_SET_H

#include <glib.h>

G_BEGIN_DECLS

/* Folder that holds the sets, whether it exists or not. OWNED by the caller. */
char *gb_sets_folder(void);
/* Names of the sets there, sorted, NULL-terminated. OWNED by the caller (g_strfreev). */
char **gb_set_names(void);

/* The folder of the set a person means: a name, abbreviated perhaps (word.h), or a path with a '/' in it. OWNED by the caller. NULL with
 * GB_ERROR_UNKNOWN, _UNCLEAR. */
char *gb_set_find(const char *word, GError **error);

/* A set, read whole: then it can be copied without surprises. */
typedef struct GbSet GbSet;

/* Read a set's folder: regular files, two levels deep at most, names with a dot in front passed over; at most 200 files and 16 MiB together.
 * Its subjects, facts, components and checklists are understood as well: GB_ERROR_SYNTAX names file and line. OWNED by the caller. */
GbSet *gb_set_read(const char *folder, GError **error);

/* A set without files. OWNED by the caller. */
GbSet *gb_set_new(void);

/* Add a letterhead (FOLDER/templates/letterhead.ini, as report.h knows it, and the logo beside it), unless the set has one.
 *   name, address, logo  NULL: not known; the address with its lines parted by ';', the logo a path
 * FALSE with GB_ERROR_IO, GB_ERROR_FOREIGN: the logo can't be read, or is neither JPEG nor PNG. */
gboolean gb_set_add_letterhead(GbSet *set, const char *name, const char *address, const char *logo, GError **error);

/* Name of its only checklist, without .ini; NULL when it has none or several. BORROWED until the set is freed. */
const char *gb_set_only_checklist(const GbSet *set);
/* Whether it has a checklist of exactly that name. */
gboolean gb_set_has_checklist(const GbSet *set, const char *name);

/* Write its files into a folder, which is made. All or nothing. GB_ERROR_IO; GB_ERROR_STATE when something else lies there than what
 * an earlier copy of the same files left that was broken off. */
gboolean gb_set_copy(const GbSet *set, const char *folder, GError **error);

/* Take away what gb_set_copy wrote there. */
void gb_set_take_back(const GbSet *set, const char *folder);

void gb_set_free(GbSet *set); /* NULL is allowed */
G_DEFINE_AUTOPTR_CLEANUP_FUNC(GbSet, gb_set_free)

G_END_DECLS
#endif
