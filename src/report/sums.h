/* sums.h -- lists of digests in the form that the program sha256sum writes and reads: 64 digits, two blanks, a name.
 *
 * A name with a line end or a backslash is written with a backslash at the head of its line, as that program does.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_SUMS_H
#define GABLEBOOK_SUMS_H

#include <glib.h>

#define GB_SUMS_MAX_BYTES (256u << 20)

/* Add a line. */
void gb_sums_add(GString *sums, const char *sha256, const char *name);
/* Read a list: name -> digest, both OWNED by the table (g_hash_table_unref). NULL with GB_ERROR_SYNTAX naming the line; of two lines for one
 * name too. what: the list's name, for the error. */
GHashTable *gb_sums_parse(const char *text, const char *what, GError **error);

#endif
