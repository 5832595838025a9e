/* roof_plan.h -- a small drawing of a measured roof, seen from above.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_ROOF_PLAN_H
#define GABLEBOOK_ROOF_PLAN_H

#include <gablebook/measure.h>
#include <gablebook/roof.h>

G_BEGIN_DECLS

/* The roof of one structure as an SVG element that stands alone as a file and may stand in a page: the front below, every slope where its
 * face is, numbered as in lists (its index in the structure's slopes, from 1), edges by kind of line and with their lengths, steep
 * slopes hatched. Slopes whose numbers don't fit together overlap or leave gaps: that is what was measured. A slope without a known pitch
 * is drawn as it was taped. What is cut out is dashed and in the middle: where it lies is not measured. Colour is the text's own
 * (currentColor). Title and description name all of it for who can't see it. Ids in it begin with "roof-" and the structure's.
 * OWNED by the caller (g_free); NULL where nothing of it was measured. */
char *gb_roof_plan_svg(const GbRoof *roof, gint64 structure, const char *title, GbUnits units);

/* How wide (along the front) and deep the first section of a structure's roof is, seen from above, in inches. FALSE: not measured. */
gboolean gb_roof_plan_box(const GbRoof *roof, gint64 structure, double *width_in, double *depth_in);

G_END_DECLS
#endif
