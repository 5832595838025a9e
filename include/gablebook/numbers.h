/* numbers.h -- lists of shot numbers as people write them: 3, 7-12.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_NUMBERS_H
#define GABLEBOOK_NUMBERS_H

#include <glib.h>

G_BEGIN_DECLS

typedef struct {
    gint64 first, last; /* both included; first <= last */
} GbRange;

/* Understand "3,7-12" (blanks don't matter). Numbers from 1 to 999 999 999. Array of GbRange as written, never empty,
 * OWNED by the caller (g_array_unref). NULL with GB_ERROR_SYNTAX. */
GArray *gb_numbers_parse(const char *text, GError **error);

/* Whether one of the ranges holds number. */
gboolean gb_numbers_hold(const GArray *ranges, gint64 number);

/* "3, 7-12" of n ascending numbers; runs of three and more are joined; "" for none. OWNED by the caller (g_free). */
char *gb_numbers_text(const gint64 *numbers, gsize n);

G_END_DECLS
#endif
