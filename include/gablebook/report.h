/* report.h -- the photo report: a model made from the log, a page made from the model.
 *
 * A report is a pure function of log, templates and program version: same input, same bytes.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_REPORT_H
#define GABLEBOOK_REPORT_H

#include <gablebook/dossier.h>

G_BEGIN_DECLS

/* All that a report says but the pictures, as JSON (docs/report-model.md).
 *   dossier  from one state of the log; BORROWED for the call. Its rows as recorded (facts, squares, waivers, structures) are not asked
 *            for: known and check speak for them
 * Chapters in the order: site, front, right, rear, left, roof, other structures; in each the figures as gb_shot_compare orders
 * them. Figure numbers from 1, in that order; shots left out are not in it. Findings name the figures that prove them, figures their
 * findings. OWNED by the caller (json_decref). */
json_t *gb_report_model(const GbDossier *dossier);

/* What to build. */
typedef struct {
    const char *out;       /* path of the page; NULL: FOLDER/reports/photo-report.html */
    const char *template_; /* path of a template; NULL: FOLDER/templates/report/photo-report.html, else the built-in one */
    int picture_px;        /* longest side of a picture in the report; 0: 1280 */
} GbReportOptions;

/* Build the HTML report of an open claim: one file that needs nothing else, all or nothing.
 *   written   path of what was written, OWNED by the caller; may be NULL
 * A photo that can't be shown (its original is gone or damaged) becomes a framed sentence, not an error.
 * GB_ERROR_SYNTAX for the template, GB_ERROR_IO. Memory: one picture at a time. */
gboolean gb_report_build(GbLog *log, const GbReportOptions *options, char **written, GError **error);

G_END_DECLS
#endif
