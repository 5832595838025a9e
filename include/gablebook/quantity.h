/* quantity.h -- how much: a number with its unit, or a measurement that it follows.
 *
 *     12 LF   3 1/2 SQ   1,250 sq ft   10'4"   2      (a plain number is in the unit usual for the thing)
 *     = drip edge   = area, SF   =                    (what was measured, whatever it will be; '=' alone: what is usual)
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_QUANTITY_H
#define GABLEBOOK_QUANTITY_H

#include <glib.h>

G_BEGIN_DECLS

/* A square is 100 square feet. */
typedef enum { GB_UNIT_NONE, GB_UNIT_EA, GB_UNIT_LF, GB_UNIT_SF, GB_UNIT_SQ, GB_UNITS } GbUnit;

/* "EA", "LF", "SF", "SQ"; of GB_UNIT_NONE "". Stored in the database as these. */
const char *gb_unit_code(GbUnit unit);
/* "each", "linear feet", "square feet", "squares"; of GB_UNIT_NONE "". */
const char *gb_unit_name(GbUnit unit);
/* Exact codes only: for reading what this program or its files wrote. FALSE when it is none. */
gboolean gb_unit_from_code(const char *code, GbUnit *unit);
/* An amount in another unit: SF and SQ can be had from each other, every unit from itself. FALSE for any other pair. */
gboolean gb_unit_convert(double amount, GbUnit from, GbUnit to, double *converted);

/* A quantity, understood. Either the amount is known and measure is NULL, or it follows a measurement and amount is NAN. */
typedef struct {
    double amount; /* in unit, > 0 */
    GbUnit unit;   /* of a measurement: the unit asked for, NONE where none was named */
    char *measure; /* name of the measurement: "drip edge", in plain lower-case letters; OWNED by the struct */
} GbQuantity;

/* Understand a quantity as typed.
 *   usual, usual_measure   the unit a plain number is in (NONE: then it is refused), and what '=' alone means (NULL:
 *     refused)
 * Whole numbers only for EA; at most 1 000 000 of anything. Metres and square metres become LF and SF. FALSE with
 * GB_ERROR_SYNTAX, which shows how one can be written; *quantity is then untouched. */
gboolean gb_quantity_parse(const char *text, GbUnit usual, const char *usual_measure, GbQuantity *quantity, GError **error);
void gb_quantity_clear(GbQuantity *quantity);
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(GbQuantity, gb_quantity_clear)

/* "12 LF", "3.5 SQ", "1,250 SF": two decimals at most, ends without zeros. OWNED by the caller (g_free). */
char *gb_quantity_text(double amount, GbUnit unit);

G_END_DECLS
#endif
