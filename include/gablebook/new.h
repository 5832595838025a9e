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

/* What a new claim has in its templates/ from the beginning. NULL: none. */
typedef struct {
    const char *set; /* folder of a set (set.h) */
    const char *sender, *sender_address, *logo; /* letterhead, where the set has none (gb_set_add_letterhead) */
} GbBeginning;

/* The same with that. The claim's checklist may be one of the set; where the facts name none and the set has exactly one, it is that. */
GbLog *gb_new_with(const char *folder, const GbEdit *facts, const GbBeginning *beginning, GError **error);

G_END_DECLS
#endif
