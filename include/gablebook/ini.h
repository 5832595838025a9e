/* ini.h -- the files people edit: sections of key = value, with the line of everything.
 *
 *     # a comment
 *     [siding-size]
 *     name = Siding size
 *     distance = close-up
 *
 * Read by GKeyFile (comments, CRLF, escapes, lists separated by ';'), after a first pass that knows what GKeyFile
 * forgets: the line of each section and key, sections and keys given twice, keys this kind of file does not
 * have. A byte-order mark is taken.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_INI_H
#define GABLEBOOK_INI_H

#include <glib.h>

G_BEGIN_DECLS

typedef struct GbIni GbIni;

/* Understand a file's text.
 *   name   what error messages call the file ("subjects.ini"), BORROWED for the call
 *   text   the whole file, BORROWED for the call
 *   known  NULL-terminated names of the keys this kind of file has; any other key is an error that
 *          names the nearest one
 * Returns OWNED by the caller, or NULL with GB_ERROR_SYNTAX "subjects.ini:12: ..." */
GbIni *gb_ini_parse(const char *name, const char *text, const char *const *known, GError **error);

/* As above from a file of at most 1 MiB. */
GbIni *gb_ini_load(const char *path, const char *const *known, GError **error);

/* Section names in file order, NULL-terminated. BORROWED until the ini is freed. */
const char *const *gb_ini_sections(const GbIni *ini);

/* The value of a key, trimmed, or NULL where it is absent or empty. BORROWED until the ini is freed. */
const char *gb_ini_get(const GbIni *ini, const char *section, const char *key);

/* A value that lists several things: separated by ',' or ';', each trimmed, empty ones dropped.
 * OWNED by the caller (g_strfreev); an empty vector where the key is absent. */
char **gb_ini_list(const GbIni *ini, const char *section, const char *key);

/* Line of a key (or of its section's head when key is NULL or absent), from 1; 0 when there is no such section. */
guint gb_ini_line(const GbIni *ini, const char *section, const char *key);

/* Set error to GB_ERROR_SYNTAX "NAME:LINE: message" for that key. Always returns FALSE, so that a
 * caller can write: return gb_ini_fail(ini, section, "count", error, "'%s' is no number", text); */
gboolean gb_ini_fail(const GbIni *ini, const char *section, const char *key, GError **error, const char *format, ...)
    G_GNUC_PRINTF(5, 6);

void gb_ini_free(GbIni *ini); /* NULL is allowed */
G_DEFINE_AUTOPTR_CLEANUP_FUNC(GbIni, gb_ini_free)

G_END_DECLS
#endif
