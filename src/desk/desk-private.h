/* desk-private.h -- between finding claims, looking into them and remembering what was seen.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_DESK_PRIVATE_H
#define GABLEBOOK_DESK_PRIVATE_H

#include <gablebook/desk.h>

void gb_desk_claim_free(gpointer claim);

/* A claim as JSON without what depends on the hour, and back. claim OWNED by the caller; NULL for JSON that is none of ours. */
json_t *gb_desk_claim_json(const GbDeskClaim *claim);
GbDeskClaim *gb_desk_claim_from_json(const json_t *json);

/* What a claim's answer depends on: changes when claim.db, the claim's own templates or the program do. OWNED by the caller; NULL when it
 * can't be told (a write may be under way): then nothing is to be remembered. */
char *gb_desk_stamp(const char *folder);

/* What was seen of a folder of claims: an object of {"stamp", "claim"} by path. OWNED by the caller (json_decref); empty when there is
 * nothing, or rubbish. */
json_t *gb_desk_recall(const char *dir);
/* Remember it. That it can't be is no error: the next time is slower. */
void gb_desk_remember(const char *dir, const json_t *seen);

#endif
