/* stop.h -- where did the person stand still? Runs of shots at one spot, between two pauses or walks.
 *
 * For looking: a contact sheet is easier to sort in such runs than as one long row. Knows no database: numbers in, numbers out.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_STOP_H
#define GABLEBOOK_STOP_H

#include <glib.h>

G_BEGIN_DECLS

/* A pause ends a stop when it is longer than four times the usual gap between two shots, within these bounds. The walk from one wall of
 * a house to the next takes half a minute and more; common practice, no source. */
#define GB_STOP_PAUSE_MIN_S 30.0
#define GB_STOP_PAUSE_MAX_S 180.0
/* A walk ends a stop: farther than this from the middle of its shots so far (along one wall it is less), and than their error and this
 * one's together. */
#define GB_STOP_WALK_M 12.0

/* NAN where unknown. */
typedef struct {
    double time_s;           /* corrected, any epoch */
    double east_m, north_m;  /* both or neither */
    double error_m;          /* stated; unknown: 5 m are taken */
} GbStopShot;

/* Number the stops of shots that lie in the order of time: stops[i] from 1, never falling. Shots without a time share the last stop.
 *   stops  n numbers, the caller's. O(n log n). */
void gb_stops_number(const GbStopShot *shots, gsize n, guint *stops);

G_END_DECLS
#endif
