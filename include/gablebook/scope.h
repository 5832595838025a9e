/* scope.h -- the scope sheet: what is to be done where and how much of it, for whoever prices the work.
 *
 * The findings in the order of structures and places, with quantities, units and the figures of the photo report that
 * prove them. Pure functions of a dossier: same log, same templates, same version, same bytes.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_SCOPE_H
#define GABLEBOOK_SCOPE_H

#include <gablebook/report.h>

G_BEGIN_DECLS

/* The sheet as JSON (docs/scope-sheet.md). OWNED by the caller (json_decref). */
json_t *gb_scope_json(const GbDossier *dossier);

/* The lines as CSV by RFC 4180: a head, then a record a finding, CRLF line ends, UTF-8. Text that a spreadsheet would
 * run as a formula is defused (escape.h); lists of numbers are separated by semicolons, for a spreadsheet would read
 * 3-7 as a date. OWNED by the caller (g_free). */
char *gb_scope_csv(const GbDossier *dossier);

/* Write the sheet as one HTML file that needs nothing else, all or nothing.
 *   locale   how days and numbers are written; NULL: as in JSON
 *   out      NULL: FOLDER/reports/scope-sheet.html
 *   written  path of what was written, OWNED by the caller; may be NULL
 * The template is FOLDER/templates/report/scope-sheet.html, else the program's. GB_ERROR_SYNTAX for it, GB_ERROR_IO. */
gboolean gb_scope_html(const GbLog *log, const GbDossier *dossier, const GbLocale *locale, const char *out, char **written, GError **error);

/* Write it as a PDF, all or nothing. Its figures lead to photo-report.pdf beside it.
 *   options  out (NULL: FOLDER/reports/scope-sheet.pdf), paper, locale and warnings are heeded
 *   written  path of what was written, OWNED by the caller; may be NULL
 * GB_ERROR_IO, GB_ERROR_STATE where no font is installed. */
gboolean gb_scope_pdf(GbLog *log, const GbDossier *dossier, const GbReportOptions *options, char **written, GError **error);

G_END_DECLS
#endif
