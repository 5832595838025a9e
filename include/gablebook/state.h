/* state.h -- which state of its log a claim is in, so that a changed byte can be found and a report traced.
 *
 * After every change, undo and redo a seal is written in the same transaction: the number of the last step in the history, and a
 * SHA-256 over the content of all tables, the earlier seals included. It finds what a disk, a copy or a hand changed in
 * claim.db behind the program's back. It is no signature: who can write the file and knows how can write a new seal too.
 *
 * What is hashed: of each table in order of name its rows in order of their key, the table's name and each value, with type and length.
 * originals and changesets, which are only ever added to, are chained instead (the digest so far and the next row, hashed together), so
 * that a change to a large claim does not hash all of it anew. What the pixels of a photo say (survey.h) follows from its bytes and comes
 * behind the change: no seal covers it, each of its rows carries its own digest.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_STATE_H
#define GABLEBOOK_STATE_H

#include <gablebook/digest.h>
#include <gablebook/log.h>

G_BEGIN_DECLS

typedef struct {
    gint64 step;                /* steps in the history so far; 0: a new claim */
    char sha256[GB_DIGEST_HEX]; /* the seal */
} GbState;

/* The state that was sealed last. */
gboolean gb_state_load(GbLog *log, GbState *state, GError **error);

/* Hash the claim anew, all of it, and hold it against the last seal.
 *   sound  FALSE: the content is not what was sealed */
gboolean gb_state_check(GbLog *log, GbState *state, gboolean *sound, GError **error);

/* Whether the claim was ever in that state. */
gboolean gb_state_known(GbLog *log, const GbState *state, gboolean *known, GError **error);

/* "41-3fa94c21d07b": the step and the first digits of the seal, for people. OWNED by the caller. */
char *gb_state_text(const GbState *state);

G_END_DECLS
#endif
