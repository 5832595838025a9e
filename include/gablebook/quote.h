/* quote.h -- a person's word inside a message, and the words they may have meant.
 *
 * A message must stay one readable line whatever was typed or stood in a file: words are cut, and what can't be
 * printed is replaced.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_QUOTE_H
#define GABLEBOOK_QUOTE_H

#include <glib.h>

G_BEGIN_DECLS

/* text in single quotes, for a message: "'frnt'". Any bytes are taken; control and formatting characters and bytes that
 * are not UTF-8 become U+FFFD, more than 60 characters are cut with an ellipsis. OWNED by the caller. */
char *gb_quote(const char *text);

/* The labels that look most like text, quoted and joined: "'front', 'front slope'"; up to three, best first. Compared
 * is the whole label and what begins at each word of it, by edits (insert, drop, change, swap neighbours),
 * without regard to case. NULL when nothing is near: more than a third of the letters would have to change.
 *   labels  n strings, valid UTF-8, BORROWED
 * OWNED by the caller. O(n * length of text * length of label * words of label); long texts have nothing near. */
char *gb_quote_nearest(const char *text, const char *const *labels, gsize n);

G_END_DECLS
#endif
