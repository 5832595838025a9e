/* size.h -- a width by a height: 10 x 10 ft.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_SIZE_H
#define GABLEBOOK_SIZE_H

#include <glib.h>

G_BEGIN_DECLS

/* Understand "10 x 10 ft", "10x10", 5' by 20', "3 m × 3 m"; one length alone is a square of it. Each side is a length (measure.h); a
 * number without a unit takes that of the other side, or is in feet where neither has one. Result in inches, > 0. FALSE with
 * GB_ERROR_SYNTAX. */
gboolean gb_size_parse(const char *text, double *width_in, double *height_in, GError **error);

G_END_DECLS
#endif
