/* new.h -- a new claim.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_NEW_H
#define GABLEBOOK_NEW_H

#include <gablebook/edit.h>

G_BEGIN_DECLS

/* Make a claim folder (gb_log_create) whose facts are these; nothing is made when one of them can't be understood. The claim begins
 * with an empty history. OWNED by the caller, open for writing. */
GbLog *gb_new(const char *folder, const GbEdit *facts, GError **error);

/* The same with a copy of a set (set.h) in FOLDER/templates/. The claim's checklist may be one of the set; where the facts name none and the
 * set has exactly one, it is that.
 *   set  its folder; NULL: none */
GbLog *gb_new_with_set(const char *folder, const GbEdit *facts, const char *set, GError **error);

G_END_DECLS
#endif
