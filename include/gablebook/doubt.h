/* doubt.h -- which shots of a claim look as if they belonged to another: far from the property, or hours away from the others.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_DOUBT_H
#define GABLEBOOK_DOUBT_H

#include <gablebook/shot.h>

G_BEGIN_DECLS

typedef struct {
    gint64 number;
    gboolean far; /* it lies too far away; FALSE: only its time is off */
    char *text; /* "shot 12 lies 1.8 km from the others, where its positioning error allows 90 m"; OWNED by the struct */
} GbDoubt;

/* Look through the shots of a claim, BORROWED. Array of GbDoubt in the order of the shots, OWNED by the caller (g_ptr_array_unref). */
GPtrArray *gb_doubts(const GPtrArray *shots);

G_END_DECLS
#endif
