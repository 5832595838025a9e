/* trade-private.h -- shared by the files of src/trade/ alone.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_TRADE_PRIVATE_H
#define GABLEBOOK_TRADE_PRIVATE_H

#include <glib.h>

/* text as word.h compares it: without case, hyphens, underscores, slashes and blanks ("Close-up" and "close up" are both
 * "closeup"). Two labels with the same one can't be told apart when typed. OWNED by the caller. */
char *gb_word_squeeze(const char *text);

/* Lower-case letters and digits in groups joined by single hyphens, GB_ID_MAX_BYTES at most: fit for a database, a file and a URL. */
gboolean gb_is_id(const char *id);
#define GB_ID_MAX_BYTES 40

/* text with its first letter in upper case. OWNED by the caller. */
char *gb_capitalise(const char *text);

/* text in plain lower-case letters with single blanks, typographic primes, dashes and fractions replaced; "" for what is too long (64 bytes) or
 * no UTF-8. OWNED by the caller. */
char *gb_plain_letters(const char *text);

/* The value of 7, 7.5, .5, 1/2 or 7 1/2 in plain letters. NAN for a fraction that is none: 1/0, 7 3/2. */
double gb_number_of(const char *text);

/* Whether a length is written without its last unit: 4, 7½, 10' 4. Those are inches. */
gboolean gb_length_is_bare(const char *text);

#endif
