/* stray.h -- which shots of a claim look as if they belonged elsewhere?
 *
 * For the warning at import: a shot that lies farther from the property than its positioning error allows, or was taken hours
 * away from the others. It may still be right: the caller says it and leaves the shot where the user put it.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_STRAY_H
#define GABLEBOOK_STRAY_H

#include <gablebook/visit.h>

G_BEGIN_DECLS

typedef struct {
    guint shot;        /* index into the input */
    gboolean far;      /* distance_m > allowed_m */
    gboolean untimely; /* apart_s > GB_VISIT_RETURN_S */
    double distance_m; /* from the property's centre; NAN unknown */
    double allowed_m;  /* GB_VISIT_REACH_M and twice the stated error (25 m where none is stated); NAN as distance_m */
    double apart_s;    /* from the nearer end of the time the inspection took, 0 within it; NAN unknown */
} GbStray;

/* Look through a claim's shots, n of them in any order, BORROWED.
 *   lat_deg, lon_deg  the property's centre where it is known; NAN: that of the property with most positions among the shots
 * The inspection is the run of shots without a break of GB_VISIT_RETURN_S that has most of them.
 * Array of GbStray by index, only those far or untimely; empty for none. OWNED by the caller (g_array_unref). O(n log n). */
GArray *gb_strays_find(const GbVisitShot *shots, gsize n, double lat_deg, double lon_deg);

G_END_DECLS
#endif
