/* report-private.h -- what the files of this room share.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_REPORT_PRIVATE_H
#define GABLEBOOK_REPORT_PRIVATE_H

#include <gablebook/report.h>
#include <gablebook/roof.h>
#include <gablebook/template.h>

/* Set a text member; NULL and "" leave it out, so that a template can ask for it. Text that is not UTF-8 is made so. */
void gb_put_text(json_t *object, const char *key, const char *text);

/* name with its first letter in upper case. OWNED by the caller. */
char *gb_heading(const char *name);

/* When a photo was taken by its camera: {"local", "zone", "machine"}; NULL when unknown. OWNED by the caller. */
json_t *gb_figure_time(const GbShot *shot);
/* The same moment as a number, seconds of local time since 1970-01-01; NAN unknown. */
double gb_figure_local_s(const GbShot *shot);

/* What is drawn over a photo, as "drawn" of its figure, where there is anything. */
void gb_put_marks(json_t *figure, const GbShot *shot);

/* The shots of a place (0: of none) that are in the report, in its order: BORROWED entries, the array OWNED by the caller. */
GPtrArray *gb_figure_shots(const GbDossier *dossier, gint64 place);
/* Which figure each shot of the report is: shot number (gint64 *, BORROWED from the dossier) to GUINT_TO_POINTER(figure). OWNED by the caller. */
GHashTable *gb_figure_numbers(const GbDossier *dossier);
/* One shot as a figure of the report (docs/report-model.md). OWNED by the caller. */
json_t *gb_figure_json(const GbShot *shot, guint number, const GbDossier *dossier);

/* Which findings a shot proves: [{"number", "what"}], perhaps none. OWNED by the caller. */
json_t *gb_figure_findings(const GbDossier *dossier, const GbShot *shot);
/* A finding with the figures that prove it. OWNED by the caller. */
json_t *gb_found_json(const GbDossier *dossier, const GbFinding *finding, GHashTable *figure_of);
/* All findings, grouped by place: {"count", "count_text", "groups": [{"title", "items": [..]}]}; NULL when there are none. OWNED by the caller. */
json_t *gb_found_groups_json(const GbDossier *dossier, GHashTable *figure_of);

/* The claim as both the report and the scope sheet tell it, and what it is called. OWNED by the caller; BORROWED from the claim. */
json_t *gb_claim_json(const GbDossier *dossier);
const char *gb_claim_title(const GbClaim *claim);

/* The member "state": from which state of the log it is made: {"step", "sha256", "text"}. */
void gb_put_state(json_t *model, const GbState *state);

#define GB_SCOPE_TEMPLATE "scope-sheet.html"
#define GB_BRIEF_TEMPLATE "brief.html"

/* A template with its partials: path, else the claim's own, else the program's of that file name in templates/report. OWNED by the caller. */
GbTemplate *gb_report_template(const GbLog *log, const char *path, const char *file, GError **error);
/* Render into a file, all or nothing; its folder is made where it isn't there. */
gboolean gb_report_write(const GbTemplate *page, const json_t *model, const GbTemplateFunction *functions, gsize n, const char *path,
                         GError **error);

/* Facts and test squares as tables: the members "facts" and "squares" of the model, each absent where there are none.
 *   figure_of  gb_figure_numbers; BORROWED */
void gb_put_facts(json_t *model, const GbDossier *dossier, GHashTable *figure_of);
/* What contradicts itself, and what has no proof: the members "differing" and "unproven" of attention, absent where there is nothing. */
void gb_put_points(json_t *attention, const GbKnowledge *known);

/* The member "remarks": the notes for the report that are on a place, on a shot, or (both 0) on the claim; always there, perhaps empty. */
void gb_put_remarks(json_t *object, const GPtrArray *notes, gint64 place, gint64 shot);

/* Add "roof" to a model: what was measured of the roofs; nothing where nothing was. */
void gb_model_put_roof(json_t *model, const GbRoof *roof);

#endif
