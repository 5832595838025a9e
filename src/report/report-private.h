/* report-private.h -- what the files of this room share.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_REPORT_PRIVATE_H
#define GABLEBOOK_REPORT_PRIVATE_H

#include <gablebook/report.h>

/* Set a text member; NULL and "" leave it out, so that a template can ask for it. Text that is not UTF-8 is made so. */
void gb_put_text(json_t *object, const char *key, const char *text);

/* When a photo was taken by its camera: {"local", "zone", "machine"}; NULL when unknown. OWNED by the caller. */
json_t *gb_figure_time(const GbShot *shot);
/* The same moment as a number, seconds of local time since 1970-01-01; NAN unknown. */
double gb_figure_local_s(const GbShot *shot);

/* One shot as a figure of the report (docs/report-model.md). OWNED by the caller. */
json_t *gb_figure_json(const GbShot *shot, guint number, const GPtrArray *places, const GbCatalogue *catalogue);

/* Put what was kept beside the photos into a model that has "files", "counts" and "originals" (docs/report-model.md), each held against its digest.
 *   attachments  gb_attachments_load */
void gb_put_attached(json_t *model, const GbLog *log, const GPtrArray *attachments);

#endif
