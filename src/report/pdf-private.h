/* pdf-private.h -- what the files that draw a PDF share: a place on paper, styles, blocks.
 *
 * A document is drawn twice by the same code. The first time nothing is drawn: pages are counted and it is noted on which page each
 * name comes to stand. The second time page numbers, "page x of y" and links are known; a link is only made to a name that exists.
 *
 * Units are points (1/72 inch), y grows downwards. Everything drawn as text belongs to a leaf of the structure tree ("P", "H1" ...)
 * unless it repeats on every page.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_PDF_PRIVATE_H
#define GABLEBOOK_PDF_PRIVATE_H

#include "report-private.h"

#include <cairo-pdf.h>
#include <pango/pangocairo.h>

typedef enum {
    GB_STYLE_TITLE,   /* h1 */
    GB_STYLE_CHAPTER, /* h2 */
    GB_STYLE_SHEET,   /* h2 of a sheet that must be short */
    GB_STYLE_PART,    /* h3, italic */
    GB_STYLE_BODY,
    GB_STYLE_CAPTION,
    GB_STYLE_CAPTION_SMALL, /* in a grid */
    GB_STYLE_NUMBER,        /* of a figure, large */
    GB_STYLE_LABEL,         /* spaced capitals */
    GB_STYLE_SMALL,         /* notes */
    GB_STYLE_DATA,          /* what the camera says: the same, its lines further apart */
    GB_STYLE_SENDER,
    GB_STYLE_CELL,
    GB_STYLES
} GbStyle;

typedef enum { GB_INK, GB_SOFT, GB_HAIR, GB_WARN, GB_FRAME } GbColour;

typedef struct {
    const GbPdfOptions *options;
    const json_t *model;
    gboolean measuring; /* the first time: cr and surface are NULL */
    cairo_surface_t *surface;
    cairo_t *cr;
    PangoContext *context;
    PangoFontDescription *fonts[GB_STYLES];
    GHashTable *layouts; /* what was set while measuring, to be drawn: key (pdf_text.c) -> PangoLayout */

    double width, height;            /* of the paper */
    double left, right, top, bottom; /* of what is written on */
    double y;                        /* where the next block begins */
    int page, pages;                 /* pages: 0 while measuring */
    guint on_page;                   /* figures on this page */
    GHashTable *page_of;             /* name -> page, as GINT_TO_POINTER; filled while measuring */

    GPtrArray *alts;      /* descriptions of the figures in the order of their tags: char * */
    GHashTable *stand_ins; /* pictures to be poured in (pdf_pour.c) */
    char *about;          /* what is being written, for warnings: "figure 12" */
    GError *error;        /* the first thing that went wrong; drawing goes on without effect */
} GbPdf;

/* --- pdf_text.c --- */

/* GB_ERROR_STATE when there is no font at all. Clear in either case. */
gboolean gb_pdf_fonts_init(GbPdf *pdf, GError **error);
void gb_pdf_fonts_clear(GbPdf *pdf);

/* A stretch of a text, bytes, in smaller and softer letters; mono: all of one width, for digests. */
typedef struct {
    int at, end;
    gboolean mono;
} GbSmall;

/* Text in a style, broken at width (negative: not at all). Whoever is without a font for some of it is warned.
 * Setting text is what a PDF costs most, so the same text of the same look is set once: the layout is shared, don't change it.
 * OWNED by the caller. */
PangoLayout *gb_pdf_layout(GbPdf *pdf, GbStyle style, const char *text, double width);
/* The same for a cell of a table. right: its lines end at the right; smalls: of GbSmall, or NULL; BORROWED for the call. */
PangoLayout *gb_pdf_layout_cell(GbPdf *pdf, GbStyle style, const char *text, double width, gboolean right, const GArray *smalls);
/* As gb_pdf_layout, but the caller's alone, to be changed. */
PangoLayout *gb_pdf_layout_own(GbPdf *pdf, GbStyle style, const char *text, double width);
double gb_pdf_layout_height(PangoLayout *layout);
double gb_pdf_layout_width(PangoLayout *layout);

/* Draw lines of a layout from line first on, as many as fit into height, its top left at x, y. tag: of the structure tree, or NULL.
 * Returns the line to go on with, -1 when all are drawn; *used is the height of those drawn. */
int gb_pdf_lines(GbPdf *pdf, const char *tag, PangoLayout *layout, GbColour colour, double x, double y, int first, double height,
                 double *used);
/* All of it. Returns its height. */
double gb_pdf_show(GbPdf *pdf, const char *tag, PangoLayout *layout, GbColour colour, double x, double y);
/* Text that must fit where it stands. Returns its height. */
double gb_pdf_put(GbPdf *pdf, const char *tag, GbStyle style, GbColour colour, const char *text, double x, double y, double width);
/* A paragraph at pdf->y, over as many pages as it needs. */
void gb_pdf_flow(GbPdf *pdf, const char *tag, GbStyle style, GbColour colour, const char *text, double x, double width);

/* --- pdf_page.c --- */

void gb_pdf_begin_page(GbPdf *pdf);
void gb_pdf_end_page(GbPdf *pdf);
/* Go on on a new page unless height is left on this one. */
void gb_pdf_need(GbPdf *pdf, double height);
double gb_pdf_left_over(const GbPdf *pdf);
void gb_pdf_set_colour(GbPdf *pdf, GbColour colour);
void gb_pdf_rule(GbPdf *pdf, GbColour colour, double thickness, double x1, double y1, double x2, double y2);
/* Open and close an inner node of the structure tree. */
void gb_pdf_open(GbPdf *pdf, const char *tag);
void gb_pdf_close(GbPdf *pdf, const char *tag);
/* This place can be linked to. id: letters, digits, '-'. */
void gb_pdf_name(GbPdf *pdf, const char *id, double x, double y);
/* The page of a name, 0 when there is none (or not known yet). */
int gb_pdf_page_of(const GbPdf *pdf, const char *id);
/* A rectangle that leads to a name of this document; nothing where there is no such name. */
void gb_pdf_link(GbPdf *pdf, const char *id, double x, double y, double width, double height);
/* A rectangle that leads to a figure: of this document, or of the one that the model names. */
void gb_pdf_link_figure(GbPdf *pdf, gint64 number, double x, double y, double width, double height);
/* A bookmark; parent 0: at the top. Returns its id. */
int gb_pdf_bookmark(GbPdf *pdf, int parent, const char *text, const char *id);

/* --- pdf_figure.c --- */

/* Draw the figures of a heading, a list of the model, from pdf->y on. */
void gb_pdf_figures(GbPdf *pdf, const json_t *figures);
/* How much room the first row of them takes: 0 for none, a whole page when this page has its photos. */
double gb_pdf_first_figures(GbPdf *pdf, const json_t *figures);
/* The logo, at most width x height. Returns the width it takes. */
double gb_pdf_logo(GbPdf *pdf, double x, double y, double width, double height);

/* --- pdf_drawn.c --- */

/* What is drawn over a figure's photo, over its picture there; nothing where nothing is. Within the picture's tag. */
void gb_pdf_drawn(GbPdf *pdf, const json_t *figure, double x, double y, double width, double height);

/* --- pdf_table.c --- */

void gb_pdf_table(GbPdf *pdf, const json_t *table);
/* Pairs of label and value, so many to a row, at most 5. */
void gb_pdf_facts(GbPdf *pdf, const json_t *facts, guint per_row);

/* --- pdf_plan.c --- */

/* A drawing of a roof (gb_roof_plan_svg) at pdf->y, at most so wide; NULL: none. */
void gb_pdf_plan(GbPdf *pdf, const char *svg, double room);

/* --- pdf_known.c --- */

/* Members of the model that are chapters of their own, in order, ended by NULL: where the model has one, it is put. */
typedef struct {
    const char *member, *id, *title;
    void (*put)(GbPdf *pdf, const json_t *member);
} GbPdfKnown;
extern const GbPdfKnown gb_pdf_known[];

/* --- pdf_story.c --- */

/* Everything, from the first page's top to the end. */
void gb_pdf_story(GbPdf *pdf);

/* --- pdf_finish.c --- */

/* What cairo can't write: language, descriptions of figures, title in the window; and an identifier that depends on the content alone.
 *   drawn  the document as cairo wrote it
 *   alts   in the order of the figures
 *   beside a PDF in the same folder: addresses "BESIDE#NAME" become links to a name in it; NULL: there are none
 * The document anew, OWNED by the caller; NULL with GB_ERROR_STATE. */
GBytes *gb_pdf_finish(const GByteArray *drawn, const GPtrArray *alts, const char *beside, GError **error);

/* --- pdf_pour.c --- */

/* A picture of a few bytes that stands in a document for a shot's until this is poured in: begins like a JPEG of GB_STAND_IN_PX square,
 * and has no image. Stand-ins are kept in a table of GBytes * to shot (gint64 *), both OWNED by it. */
#define GB_STAND_IN_PX 16
GHashTable *gb_stand_ins_new(void);
/* Another one. name: tells it from every other picture of the document. BORROWED. */
GBytes *gb_stand_in_add(GHashTable *stand_ins, const char *name, gint64 shot);

typedef gboolean (*GbPour)(const void *data, gsize n, gpointer user, GError **error);

/* Hand a finished document over, piece by piece, each stand-in replaced by its picture.
 *   stand_ins  all of them are in the document
 * GB_ERROR_STATE when it is not as qpdf writes it; errors of pictures and of pour. */
gboolean gb_pdf_pour(GBytes *finished, GHashTable *stand_ins, const GbPictures *pictures, GbPour pour, gpointer user, GError **error);

/* Text of a member, NULL when absent. BORROWED. */
static inline const char *gb_text_of(const json_t *object, const char *key)
{
    return json_string_value(json_object_get(object, key));
}

#endif
