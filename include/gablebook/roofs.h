/* roofs.h -- the roof measurements of a claim, out of its log. What they mean: roof.h.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_ROOFS_H
#define GABLEBOOK_ROOFS_H

#include <gablebook/claim.h>
#include <gablebook/roof.h>

G_BEGIN_DECLS

/* All that was measured of all roofs, computed. places as loaded, BORROWED for the call. GB_ERROR_DAMAGED where the log holds
 * measurements that no gablebook wrote. OWNED by the caller. */
GbRoof *gb_roofs_load(GbLog *log, const GPtrArray *places, GError **error);

/* An entry of that structure, with its name and slope places filled in and nothing measured. OWNED by the caller. */
GbRoofEntry *gb_roofs_new_entry(const GPtrArray *places, gint64 structure, GbRoofShape shape);

/* What a person typed to say where: the label of the slope it belongs to, or the structure's name for a whole roof. OWNED by the caller. */
char *gb_roofs_where(const GbRoofEntry *entry);

/* Entries that a claim may have. */
enum { GB_ROOFS_MAX = 400 };

G_END_DECLS
#endif
