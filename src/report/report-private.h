/* report-private.h -- what the files of this room share.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_REPORT_PRIVATE_H
#define GABLEBOOK_REPORT_PRIVATE_H

#include <gablebook/report.h>
#include <gablebook/roof.h>
#include <gablebook/template.h>

G_DEFINE_AUTOPTR_CLEANUP_FUNC(json_t, json_decref)

/* --- model.c, figure.c, found.c, model_facts.c, model_roof.c: the model for the file --- */

/* Set a text member; NULL and "" leave it out, so that a template can ask for it. Text that is not UTF-8 is made so. */
void gb_put_text(json_t *object, const char *key, const char *text);

/* "no photo", "1 photo", "3 photos". OWNED by the caller. */
char *gb_count_text(guint n, const char *one, const char *many);
/* name with its first letter in upper case. OWNED by the caller. */
char *gb_heading(const char *name);

/* When a photo was taken by its camera: {"local", "zone", "machine"}; NULL when unknown. OWNED by the caller. */
json_t *gb_figure_time(const GbShot *shot);
/* The same moment as a number, seconds of local time since 1970-01-01; NAN unknown. */
double gb_figure_local_s(const GbShot *shot);

/* What is drawn over a photo, as "drawn" of its figure, where there is anything. */
void gb_put_marks(json_t *figure, const GbShot *shot);

#define GB_ON_PAPER ((gint64)-1) /* in the place of a place: sketches and notes, wherever they belong */

/* The shots of a place (0: of none; or GB_ON_PAPER) that are in the report, in its order: BORROWED entries, the array OWNED by the caller. */
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

/* page.c. A template with its partials: path, else the claim's own, else the program's of that file name in templates/report. OWNED by the caller. */
GbTemplate *gb_report_template(const GbLog *log, const char *path, const char *file, GError **error);
/* Make the folder that a report goes to, where it isn't there. */
gboolean gb_report_make_folder(const char *path, GError **error);
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

/* --- shot_map.c --- */

/* Add "map" to the model for the file: where its figures were taken; nothing where no figure has a position. */
void gb_put_map(json_t *model, const GbDossier *dossier);

/* --- table.c: tables as data, drawn alike by page and PDF --- */

/* A table without columns and rows. lead: a sentence above it, or NULL. OWNED by the caller. */
json_t *gb_table_new(const char *id, const char *title, const char *lead);
/* share: of the width, in relation to the others; numeric: set to the right. */
void gb_table_column(json_t *table, const char *label, int share, gboolean numeric);
/* A new row; a new cell at its end; both BORROWED from the table. Columns come first. text may be NULL. */
json_t *gb_table_row(json_t *table);
json_t *gb_table_cell(const json_t *table, json_t *row, const char *text);
/* Another part of a cell, after what it has; BORROWED. */
json_t *gb_table_part(json_t *cell, const char *text);
/* To the cell's last part: what is said in small letters; a figure that it refers to. */
void gb_table_note(json_t *cell, const char *note);
void gb_table_figure(json_t *cell, guint number);
guint gb_table_rows(const json_t *table);

/* --- reviewer.c, insured.c: other readers of the same model --- */

/* The reviewer's sheet from the model for the file.
 *   history      gb_history_load
 *   figures_in   the report beside it that its links lead to: "photo-report.html"
 * OWNED by the caller. */
json_t *gb_reviewer_model(const GbDossier *dossier, const json_t *model, const GPtrArray *history, const char *figures_in);

/* The insured's summary: nothing of the model but what is named there. next: what happens next, paragraphs; or NULL. OWNED by the caller. */
json_t *gb_insured_model(const GbDossier *dossier, const json_t *model, const char *next);

/* --- localize.c --- */

/* Write what the program wrote in a model anew, as the locale (NULL: nothing) does, and note it as its member "locale". The last thing that
 * is done to a model, and not to one that is handed out as JSON. */
void gb_localize(json_t *model, const GbLocale *locale);

/* --- letterhead.c --- */

typedef struct {
    char *sender;
    char **address; /* lines; never NULL */
    GBytes *logo;   /* a JPEG (without metadata) or PNG, or NULL */
    const char *logo_type; /* "image/jpeg", "image/png" */
    int logo_width, logo_height; /* pixels */
} GbLetterhead;

/* From the options, and where they say nothing from FOLDER/templates/letterhead.ini. OWNED by the caller. */
GbLetterhead *gb_letterhead_load(const GbLog *log, const GbReportOptions *options, GError **error);
void gb_letterhead_free(GbLetterhead *letterhead); /* NULL is allowed */
G_DEFINE_AUTOPTR_CLEANUP_FUNC(GbLetterhead, gb_letterhead_free)

/* --- seen.c --- */

/* SHA-256 (hex) -> state of the file when it was last read and right. OWNED by the caller; empty where nothing is noted. */
GHashTable *gb_seen_load(const GbLog *log);
void gb_seen_save(const GbLog *log, GHashTable *seen);
/* What the file system says of a file now, OWNED by the caller; NULL when there is none. *settled: it has not changed for a while. */
char *gb_seen_state(const char *path, gboolean *settled);

/* --- pictures.c --- */

typedef struct GbPictures GbPictures;

/* The pictures of these shots, with a longest side of px. log and shots BORROWED until freed. OWNED by the caller. */
GbPictures *gb_pictures_new(GbLog *log, const GPtrArray *shots, int px);
void gb_pictures_free(GbPictures *pictures); /* NULL is allowed */
G_DEFINE_AUTOPTR_CLEANUP_FUNC(GbPictures, gb_pictures_free)

/* Hold every original against its digest and make the pictures of those not left out, on all processors. */
void gb_pictures_prepare(GbPictures *pictures);
/* The report shows none of them; or those that a heading shows. All are shown until this is said. */
void gb_pictures_use_none(GbPictures *pictures);
void gb_pictures_use(GbPictures *pictures, const json_t *heading);
/* Make those that are shown smaller until they have at most so many bytes together. smaller: one step at least. FALSE: the smallest are too large. */
gboolean gb_pictures_fit(GbPictures *pictures, double bytes, gboolean smaller);

/* Why the shot can't be shown, BORROWED; NULL when it can. */
const char *gb_pictures_problem(const GbPictures *pictures, gint64 number);
guint gb_pictures_bad(const GbPictures *pictures);
/* What its picture's bytes depend on, in a word; OWNED by the caller. The shot is one of these. */
char *gb_pictures_name(const GbPictures *pictures, gint64 number);
/* Its picture, OWNED by the caller. */
GBytes *gb_pictures_get(const GbPictures *pictures, gint64 number, GError **error);
/* All that are shown together, bytes. */
double gb_pictures_total(const GbPictures *pictures);

/* --- page.c: the HTML page; also gb_report_template, gb_report_write above --- */

/* Render a model to a file that exists or not, all or nothing. letterhead, pictures BORROWED for the call.
 *   max_bytes  0: no matter; a larger page is not kept
 *   bytes      how many it has, or would have
 * FALSE with error; TRUE and *bytes > max_bytes: nothing was written. */
gboolean gb_page_write(const GbTemplate *page, const json_t *model, const GbLetterhead *letterhead, const GbPictures *pictures,
                       const char *path, gint64 max_bytes, gint64 *bytes, GError **error);
/* How many bytes the page has without its pictures. */
gboolean gb_page_measure(const GbTemplate *page, const json_t *model, const GbLetterhead *letterhead, gint64 *bytes, GError **error);

/* --- report.c --- */

/* The moment of the last change: what a PDF says of its own date. 0 when nothing was done yet. history: gb_history_load. */
gint64 gb_last_change(const GPtrArray *history);

/* --- pdf.c --- */

/* What the pages look like besides the model. All BORROWED. */
typedef struct {
    GbPaper paper;
    int per_page;
    const GbLetterhead *letterhead; /* NULL only for a model without one */
    const GbPictures *pictures;     /* NULL only for a model without figures */
    gint64 at_utc_s;      /* what the document says of its date: the last change of the log */
    GPtrArray *warnings;  /* of char *; NULL: not wanted */
} GbPdfOptions;

/* Draw a model of any reader to a PDF, all or nothing.
 *   max_bytes, bytes   as for gb_page_write
 * GB_ERROR_IO, GB_ERROR_STATE when cairo or qpdf refuse. */
gboolean gb_pdf_write(const json_t *model, const GbPdfOptions *options, const char *path, gint64 max_bytes, gint64 *bytes, GError **error);
/* Put what was kept beside the photos into a model that has "files", "counts" and "originals" (docs/report-model.md), each held against its digest.
 *   attachments  gb_attachments_load */
void gb_put_attached(json_t *model, const GbLog *log, const GPtrArray *attachments);

#endif
