/* trade-private.h -- shared by the files of src/trade/ alone.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_TRADE_PRIVATE_H
#define GABLEBOOK_TRADE_PRIVATE_H

#include <gablebook/ini.h>
#include <glib.h>

/* text as word.h compares it: without case, hyphens, underscores, slashes and blanks ("Close-up" and "close up" are both
 * "closeup"). Two labels with the same one can't be told apart when typed. OWNED by the caller. */
char *gb_word_squeeze(const char *text);

/* text with its first letter in upper case. OWNED by the caller. */
char *gb_capitalise(const char *text);

/* text in plain lower-case letters with single blanks, typographic primes, dashes and fractions replaced; "" for what is too long (64 bytes) or
 * no UTF-8. OWNED by the caller. */
char *gb_plain_letters(const char *text);
/* The same of longer texts. */
char *gb_plain_words(const char *text, gsize max_bytes);

/* The value of 7, 7.5, .5, 1/2 or 7 1/2 in plain letters. NAN for a fraction that is none: 1/0, 7 3/2. */
double gb_number_of(const char *text);

/* Whether a length is written without its last unit: 4, 7½, 10' 4. Those are inches. */
gboolean gb_length_is_bare(const char *text);

/* --- what the files of words (subjects.ini, facts.ini, components.ini) have in common: section.c --- */

/* Whether a section's word is fit for a database, a file and a URL: lower-case letters and digits in groups joined by single
 * hyphens, 40 at most. FALSE with error: "%s can't name a WHAT ...". */
gboolean gb_section_check_id(const GbIni *ini, const char *id, const char *what, GError **error);

/* Take a text key over, if it is given: the old *text is freed. Errors say file and line. */
gboolean gb_section_take_text(const GbIni *ini, const char *section, const char *key, gsize max_bytes, char **text, GError **error);

/* A thing that people type: by its id or by its name. BORROWED. */
typedef struct {
    const char *id, *name;
} GbNamed;

/* Whether n things can all be told from each other when typed. FALSE with error at the line of the file that is to blame. */
gboolean gb_section_names_differ(const GbIni *ini, const GbNamed *things, gsize n, GError **error);

#endif
