/* builtin.h -- the files that are part of the program: schema, catalogue, checklists, templates.
 *
 * Paths are those of the source tree: "templates/subjects.ini", "src/log/schema.sql".
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_BUILTIN_H
#define GABLEBOOK_BUILTIN_H

#include <glib.h>

G_BEGIN_DECLS

/* The text of a built-in file, NUL-terminated, OWNED by the caller (g_free). NULL with GB_ERROR_UNKNOWN when there is none. */
char *gb_builtin_text(const char *path, GError **error);

/* The same as bytes, for what is no text. OWNED by the caller (g_bytes_unref). */
GBytes *gb_builtin_bytes(const char *path, GError **error);

/* Names of the files in a built-in folder ("templates/checklists"), sorted, NULL-terminated. OWNED by the caller
 * (g_strfreev); empty when there is no such folder. */
char **gb_builtin_names(const char *folder);

G_END_DECLS
#endif
