/* report.h -- what leaves the house: a model made from the log, an HTML page or a PDF made from the model.
 *
 * A report is a pure function of log, templates, options and program version: same input, same bytes (a PDF: with the same fonts
 * and libraries). Three readers, one source: whoever keeps the file, the reviewer who wants to know in two minutes whether
 * it is complete, and the insured, who gets plain words and nothing that is not theirs to know.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_REPORT_H
#define GABLEBOOK_REPORT_H

#include <gablebook/dossier.h>
#include <gablebook/locale.h>

G_BEGIN_DECLS

/* All that a report for the file says but the pictures, as JSON (docs/report-model.md).
 *   dossier  from one state of the log; BORROWED for the call. Its rows as recorded (facts, squares, waivers, structures) are not asked
 *            for: known and check speak for them
 * Chapters in the order: site, front, right, rear, left, roof, other structures; in each the figures as gb_shot_compare orders
 * them. Figure numbers from 1, in that order; shots left out are not in it. Findings name the figures that prove them, figures their
 * findings. OWNED by the caller (json_decref). */
json_t *gb_report_model(const GbDossier *dossier);

typedef enum { GB_READER_FILE, GB_READER_REVIEWER, GB_READER_INSURED, GB_READERS } GbReader;
typedef enum { GB_FORMAT_HTML, GB_FORMAT_PDF } GbReportFormat;
typedef enum { GB_PAPER_LETTER, GB_PAPER_A4 } GbPaper;

/* "file", "reviewer", "insured", abbreviated as everywhere (word.h): GB_ERROR_UNKNOWN, _UNCLEAR. */
gboolean gb_reader_parse(const char *word, GbReader *reader, GError **error);
/* "letter", "A4" likewise. NULL: the person's usual one (settings.h), else letter. */
gboolean gb_paper_parse(const char *word, GbPaper *paper, GError **error);

/* What to build. Zero and NULL are the usual. Text BORROWED for the call. */
typedef struct {
    const char *out;       /* path of what is written; NULL: in FOLDER/reports/, named after the reader */
    const char *template_; /* HTML: path of a template; NULL: FOLDER/templates/report/NAME.html, else the built-in one */
    int picture_px;        /* longest side of a picture in the report; 0: 1280 */
    GbReader reader;
    GbReportFormat format;
    GbPaper paper;         /* PDF */
    int per_page;          /* PDF: photos on a page, 1, 2, 3, 4 or 6; 0: 2 */
    gint64 budget_bytes;   /* the file is to have at most so many bytes; 0: no matter. Pictures get smaller until it fits */
    const char *shots;     /* show these only: "3,7-12"; NULL: all that are not left out. Not for the reviewer */
    const char *sender, *sender_address; /* letterhead; ; parts the address's lines. NULL: FOLDER/templates/letterhead.ini */
    const char *logo;      /* path of a JPEG or PNG; NULL likewise */
    const GbLocale *locale; /* how days, times and numbers are written; NULL: as ISO 8601 has them, with a decimal point. Not in JSON */
    const char *next;      /* for the insured: what happens next, in the user's words; NULL: FOLDER/templates/next.txt */
    GPtrArray *warnings;   /* sentences (char *, g_free) are added: characters that no font has; NULL: not wanted */
} GbReportOptions;

/* The model of what these options would build, to look at or to use elsewhere. OWNED by the caller (json_decref). */
json_t *gb_report_json(GbLog *log, const GbReportOptions *options, GError **error);

/* Build a report of an open claim: one file that needs nothing else, all or nothing.
 *   written   path of what was written, OWNED by the caller; may be NULL
 * A photo that can't be shown (its original is gone or damaged) becomes a framed sentence, not an error. Every original is held
 * against its digest; one that was read and found right before and has not been touched since (cache/originals.seen) counts as read.
 * GB_ERROR_SYNTAX for templates and words, GB_ERROR_TOO_LARGE when the budget can't be met, GB_ERROR_IO. Runs on all
 * processors; memory: a few pictures at a time. */
gboolean gb_report_build(GbLog *log, const GbReportOptions *options, char **written, GError **error);

G_END_DECLS
#endif
