/* roof-private.h -- shared by the roof files of src/trade/ alone.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_ROOF_PRIVATE_H
#define GABLEBOOK_ROOF_PRIVATE_H

#include <gablebook/roof.h>

/* A slope of that face with nothing computed yet. OWNED by the caller (gb_roof_slope_free). */
GbRoofSlope *gb_roof_slope_new(const GbRoofEntry *entry, GbFace face);
void gb_roof_slope_free(gpointer slope); /* NULL is allowed */
/* Add a corner, and the kind of the edge that goes from it to the next one. */
void gb_roof_slope_corner(GbRoofSlope *slope, double x_in, double y_in, GbEdge kind);
/* Edge lengths, height and area from the corners. */
void gb_roof_slope_close(GbRoofSlope *slope);

/* Compute an entry: append its slopes, and a fault (GbRoofFault) for each contradiction in it. FALSE: it can't be computed. */
gboolean gb_roof_compute(const GbRoofEntry *entry, GPtrArray *slopes, GPtrArray *faults, GError **error);
/* The two halves of that: one slope by its shape; a whole roof on a rectangle. */
gboolean gb_roof_compute_shape(const GbRoofEntry *entry, GPtrArray *slopes, GPtrArray *faults, GError **error);
gboolean gb_roof_compute_whole(const GbRoofEntry *entry, GPtrArray *slopes, GError **error);

/* Find for each edge between two slopes its mate, and a fault where the two don't agree or one is not there. */
void gb_roof_match(GPtrArray *slopes, GPtrArray *faults);

/* Whether two measurements of one length disagree: by more than 3 in and more than 1 in a hundred. A tape over a roof edge is read to an inch or
 * two, and long edges are taped in pieces (common practice, no source). */
gboolean gb_roof_differ(double a_in, double b_in);

/* Add a line. a, b: indices of the slopes, or -1. */
void gb_roof_fault(GPtrArray *faults, gint64 structure, gint a, gint b, const char *format, ...) G_GNUC_PRINTF(5, 6);

#endif
