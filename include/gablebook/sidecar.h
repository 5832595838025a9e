/* sidecar.h -- small files that phones and programs put beside photos for themselves: edits (.aae), tags (.xmp), a picture for a camera's
 * screen (.thm), what a folder looked like (Thumbs.db, desktop.ini). Nothing of the inspection is in them that is not in the photos.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_SIDECAR_H
#define GABLEBOOK_SIDECAR_H

#include <glib.h>

G_BEGIN_DECLS

/* Those that an import passed over. */
typedef struct {
    guint n;
    guint kinds; /* a bit for each, see sidecar.c */
} GbSidecars;

/* Count a file if it is one: by its name, and because its bytes are no photo nor anything else that would be kept (a .thm is a small JPEG, and is
 * one all the same). FALSE: it is none. */
gboolean gb_sidecars_add(GbSidecars *sidecars, const char *path, guint64 bytes);
/* "3 sidecar files (.aae, .xmp) passed over". OWNED by the caller; NULL when there was none. */
char *gb_sidecars_text(const GbSidecars *sidecars);

G_END_DECLS
#endif
