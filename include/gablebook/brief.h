/* brief.h -- before the visit: what to photograph and to measure, in walking order, and what to take care of, on one page.
 *
 * The claim's checklist, said once for all the places it applies to. What is there already does not matter here: that
 * is the check's.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_BRIEF_H
#define GABLEBOOK_BRIEF_H

#include <gablebook/dossier.h>

G_BEGIN_DECLS

/* The brief as JSON: {"title", "claim" (who and which, "" when unknown), "checklist", "cautions": [{"what", "text",
 * "source"}], "last_word", "groups": [{"title", "items": [{"what", "required", "value"}]}], "measure": [{"what",
 * "required"}]}. value: a number is to be read and written down, too. OWNED by the caller (json_decref). Cannot fail. */
json_t *gb_brief_json(const GbDossier *dossier);

/* The same as lines of plain text, at most columns wide (40 at least), UTF-8. OWNED by the caller (g_free). */
char *gb_brief_text(const GbDossier *dossier, guint columns);

/* Write it as one HTML page that needs nothing else and prints on one sheet, all or nothing.
 *   out      NULL: FOLDER/reports/brief.html
 *   written  path of what was written, OWNED by the caller; may be NULL
 * The template is FOLDER/templates/report/brief.html, else the program's. GB_ERROR_SYNTAX for it, GB_ERROR_IO. */
gboolean gb_brief_html(const GbLog *log, const GbDossier *dossier, const char *out, char **written, GError **error);

G_END_DECLS
#endif
