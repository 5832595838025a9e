/* word.h -- what a person typed, found among the words that are possible here.
 *
 * Used for places, subjects, distances, requirements, commands: one way to abbreviate everywhere.
 * Case, hyphens, underscores, slashes and repeated blanks don't matter. Every word typed must begin a word of
 * the label, in order: "g f s" finds "garage front slope". An exact label wins over an abbreviation; among
 * abbreviations, labels with as many words as were typed win over longer ones ("f s" is "front slope"), most of all those
 * that have a word typed in full ("wind d" is "wind damage", not "window damage"). A longer label that has all the words
 * in full doesn't lose to one that has none: "wind" may be "window" or "wind damage".
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_WORD_H
#define GABLEBOOK_WORD_H

#include <glib.h>

G_BEGIN_DECLS

/* Find text among labels.
 *   labels  n strings, valid UTF-8, BORROWED
 *   what    what one of the labels is, for the message: "place", "edge of a roof"
 * Returns the index 0 ... n-1, or -1 with GB_ERROR_UNCLEAR ("'g s' could be the places 'garage front slope' or 'garage
 * rear slope'; type more of it") or GB_ERROR_UNKNOWN ("'frnt' is no place; nearest: 'front', 'front slope'"; up to
 * three by edit distance; where none is near, all of a few: "'CRV' is no camera; there is 'Pellow C20'"). Labels that read alike are unclear, never chosen between. O(n * length). */
gssize gb_word_find(const char *text, const char *const *labels, gsize n, const char *what, GError **error);

G_END_DECLS
#endif
