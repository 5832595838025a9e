/* leaving.h -- what is still to be done before driving away: the short list, in walking order.
 *
 * From the check it takes what can only be had on the spot: photos that are missing or weak, facts not written down,
 * quantities nobody measured, and what contradicts itself (facts, captions, roof measurements): that is settled by
 * looking once more. What can be written at the desk (words of a finding, photos that belong to none yet) is left out
 * unless the checklist requires it.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_LEAVING_H
#define GABLEBOOK_LEAVING_H

#include <gablebook/dossier.h>

G_BEGIN_DECLS

typedef struct {
    const char *stop;   /* where to stand: a heading; BORROWED from the dossier */
    gboolean on_roof;   /* on a roof or slope */
    gboolean required;
    char *todo;         /* "test square, rear slope: no mid-range, no close-up"; OWNED by the struct */
} GbLeavingItem;

/* The list: the property first, walls front, right, rear, left and what may be anywhere on a structure, rooms, roofs
 * last. A finding that no photo proves stands in it once, facts of one place in one item. Array of GbLeavingItem, OWNED
 * by the caller (g_ptr_array_unref). */
GPtrArray *gb_leaving(const GbDossier *dossier);

/* Whether one may leave: nothing required is in the list. */
gboolean gb_leaving_ready(const GPtrArray *items);

/* {"ready", "stops": [{"title", "on_roof", "todo": [{"text", "required"}]}]}. OWNED by the caller (json_decref). */
json_t *gb_leaving_json(const GPtrArray *items);

G_END_DECLS
#endif
