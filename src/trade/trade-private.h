/* trade-private.h -- shared by the files of src/trade/ alone.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_TRADE_PRIVATE_H
#define GABLEBOOK_TRADE_PRIVATE_H

#include <glib.h>

/* text as word.h compares it: without case, hyphens, underscores, slashes and blanks ("Close-up" and "close up" are both
 * "closeup"). Two labels with the same one can't be told apart when typed. OWNED by the caller. */
char *gb_word_squeeze(const char *text);

/* text with its first letter in upper case. OWNED by the caller. */
char *gb_capitalise(const char *text);

/* Whether a length is written without its last unit: 4, 7½, 10' 4. Those are inches. */
gboolean gb_length_is_bare(const char *text);

#endif
