/* measure.h -- values as adjusters write them, and what they mean.
 *
 * The user's own spelling is kept and shown; the number is for arithmetic. A parser takes the whole text or
 * nothing.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_MEASURE_H
#define GABLEBOOK_MEASURE_H

#include <glib.h>

G_BEGIN_DECLS

/* What kind of value a subject carries. */
typedef enum {
    GB_VALUE_NONE,   /* carries none */
    GB_VALUE_PITCH,  /* roof pitch: normalised to rise in inches per 12 in of run */
    GB_VALUE_LENGTH, /* normalised to inches */
    GB_VALUE_COUNT,  /* a whole number from 0 (hits in a test square) */
    GB_VALUE_LAYERS, /* a whole number from 1 to 9 */
    GB_VALUE_TEXT    /* free words, no number (normalised: NAN) */
} GbValueKind;

/* "pitch", "length" ...; NULL is never returned. */
const char *gb_value_kind_word(GbValueKind kind);
/* The kind of that word; GB_ERROR_UNKNOWN names the possible ones. */
gboolean gb_value_kind_parse(const char *word, GbValueKind *kind, GError **error);

/* Check and normalise a value of a kind.
 *   text    as typed, BORROWED
 *   number  where the normalised number goes (unit as above; NAN for text)
 * FALSE with GB_ERROR_SYNTAX, which shows how the value can be written. */
gboolean gb_value_parse(GbValueKind kind, const char *text, double *number, GError **error);

/* Roof pitch in any usual spelling: 6/12, 6:12, "7 1/2:12", 7.5/12, "6 in 12", 6-12, 32 deg, 32°, 50%. A plain
 * number without a unit is refused as unclear (inches or degrees?). Result: rise in inches per 12
 * inches of run, 0 ... 48 (0 is flat). */
gboolean gb_pitch_parse(const char *text, double *rise_in_12, GError **error);

double gb_pitch_degrees(double rise_in_12); /* atan(rise/12), degrees */
/* Area of a sloping plane = plan area x this; also the length of a rafter or rake per unit of run: sqrt(1 + (rise/12)^2). */
double gb_pitch_multiplier(double rise_in_12);
/* Length of a hip or valley per unit of common run where both roofs have this pitch: sqrt(2 + (rise/12)^2). */
double gb_pitch_hip_factor(double rise_in_12);

/* A length: 4 in, 4", 4 1/2 in, 10'4", 10 ft 4 in, 10 ft, 3.15 m, 12 cm, 8 mm. A plain number is inches. Typographic primes
 * and quotes are taken. Result: inches, > 0, at most 12 000. */
gboolean gb_length_parse(const char *text, double *inches, GError **error);
/* The same where a plain number could as well be feet, as on a roof: one without any unit is refused. */
gboolean gb_length_parse_with_unit(const char *text, double *inches, GError **error);

/* How a normalised measure is shown. */
typedef enum { GB_UNITS_FEET, GB_UNITS_METRES } GbUnits;

/* A length to the nearest eighth of an inch, or to the centimetre: 16' 9 1/4", 40' 0", 9 1/2"; 5.11 m. OWNED by the caller. */
char *gb_length_text(double inches, GbUnits units);
/* An area: 1341.6 sq ft; 124.64 m². OWNED by the caller. */
char *gb_area_text(double sqft, GbUnits units);
/* The same in roofing squares of 100 square feet, without the word: 13.42, 2.60. OWNED by the caller. */
char *gb_squares_text(double sqft);
/* A pitch, to two places at most: 6/12, 7.5/12. OWNED by the caller. */
char *gb_pitch_text(double rise_in_12);
/* A number with up to that many places (0 to 6), without zeros at its end, the same in every locale: 12.5, 40. OWNED by the caller. */
char *gb_number_text(double number, int places);

G_END_DECLS
#endif
