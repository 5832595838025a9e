/* pdf_page.c -- pages, names and links, rules: what lies around the text.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "pdf-private.h"

#define FOOT_PT 22 /* from the lower edge of the text to the foot line */

/* --- small things --- */

static const double colours[][3] = {
    [GB_INK] = { 0.07, 0.08, 0.09 },
    [GB_SOFT] = { 0.27, 0.28, 0.30 },
    [GB_HAIR] = { 0.73, 0.71, 0.68 },
    [GB_WARN] = { 0.48, 0.16, 0.07 },
    [GB_FRAME] = { 0.955, 0.943, 0.92 },
};

void gb_pdf_set_colour(GbPdf *pdf, GbColour colour)
{
    if (!pdf->measuring)
        cairo_set_source_rgb(pdf->cr, colours[colour][0], colours[colour][1], colours[colour][2]);
}

void gb_pdf_rule(GbPdf *pdf, GbColour colour, double thickness, double x1, double y1, double x2, double y2)
{
    if (pdf->measuring)
        return;
    gb_pdf_set_colour(pdf, colour);
    cairo_set_line_width(pdf->cr, thickness);
    cairo_move_to(pdf->cr, x1, y1);
    cairo_line_to(pdf->cr, x2, y2);
    cairo_stroke(pdf->cr);
}

void gb_pdf_open(GbPdf *pdf, const char *tag)
{
    if (!pdf->measuring)
        cairo_tag_begin(pdf->cr, tag, NULL);
}

void gb_pdf_close(GbPdf *pdf, const char *tag)
{
    if (!pdf->measuring)
        cairo_tag_end(pdf->cr, tag);
}

/* Numbers for attributes of tags, whatever the locale: "x=1.500". OWNED by the caller. */
static char *attribute(const char *name, double value)
{
    char number[G_ASCII_DTOSTR_BUF_SIZE];
    g_ascii_formatd(number, sizeof number, "%.3f", value);
    return g_strdup_printf("%s=%s", name, number);
}

/* --- names and links --- */

void gb_pdf_name(GbPdf *pdf, const char *id, double x, double y)
{
    if (pdf->measuring) {
        g_hash_table_insert(pdf->page_of, g_strdup(id), GINT_TO_POINTER(pdf->page));
        return;
    }
    g_autofree char *at_x = attribute("x", x), *at_y = attribute("y", y);
    g_autofree char *attributes = g_strdup_printf("name='%s' %s %s", id, at_x, at_y);
    cairo_tag_begin(pdf->cr, CAIRO_TAG_DEST, attributes);
    cairo_tag_end(pdf->cr, CAIRO_TAG_DEST);
}

int gb_pdf_page_of(const GbPdf *pdf, const char *id)
{
    return GPOINTER_TO_INT(g_hash_table_lookup(pdf->page_of, id));
}

static void link_to(GbPdf *pdf, const char *target, double x, double y, double width, double height)
{
    char n[4][G_ASCII_DTOSTR_BUF_SIZE];
    const double box[4] = { x, y, width, height };
    if (pdf->measuring)
        return;
    for (int i = 0; i < 4; i++)
        g_ascii_formatd(n[i], sizeof n[i], "%.3f", box[i]);
    g_autofree char *attributes = g_strdup_printf("%s rect=[%s %s %s %s]", target, n[0], n[1], n[2], n[3]);
    cairo_tag_begin(pdf->cr, CAIRO_TAG_LINK, attributes);
    cairo_tag_end(pdf->cr, CAIRO_TAG_LINK);
}

void gb_pdf_link(GbPdf *pdf, const char *id, double x, double y, double width, double height)
{
    if (gb_pdf_page_of(pdf, id) == 0)
        return;
    g_autofree char *target = g_strdup_printf("dest='%s'", id);
    link_to(pdf, target, x, y, width, height);
}

void gb_pdf_link_figure(GbPdf *pdf, gint64 number, double x, double y, double width, double height)
{
    g_autofree char *id = g_strdup_printf("figure-%" G_GINT64_FORMAT, number);
    const char *file = gb_text_of(pdf->model, "figures_in");
    if (file == NULL) {
        gb_pdf_link(pdf, id, x, y, width, height);
        return;
    }
    /* cairo 1.16 crashes on links to a name in another file; pdf_finish.c makes that of this. */
    g_autofree char *target = g_strdup_printf("uri='%s#%s'", file, id);
    link_to(pdf, target, x, y, width, height);
}

int gb_pdf_bookmark(GbPdf *pdf, int parent, const char *text, const char *id)
{
    if (pdf->measuring)
        return 0;
    g_autofree char *target = g_strdup_printf("dest='%s'", id);
    return cairo_pdf_surface_add_outline(pdf->surface, parent, text, target, 0);
}

/* --- pages --- */

void gb_pdf_begin_page(GbPdf *pdf)
{
    pdf->page++;
    pdf->y = pdf->top;
    pdf->on_page = 0;
}

/* The line that every page has; not part of the structure. */
static void put_foot(GbPdf *pdf)
{
    double y = pdf->bottom + FOOT_PT, width = pdf->right - pdf->left;
    const char *number = gb_text_of(json_object_get(pdf->model, "claim"), "number");
    g_autofree char *page = g_strdup_printf("page %d of %d", pdf->page, pdf->pages);
    g_autofree char *name = g_strdup_printf("%s: %s%s%s", gb_text_of(pdf->model, "label"), gb_text_of(pdf->model, "title"),
                                            number != NULL ? ", claim " : "", number != NULL ? number : "");
    g_autoptr(PangoLayout) right = gb_pdf_layout(pdf, GB_STYLE_SMALL, page, -1);
    double right_width = gb_pdf_layout_width(right);
    g_autoptr(PangoLayout) left = gb_pdf_layout_own(pdf, GB_STYLE_SMALL, name, width - right_width - 24);
    pango_layout_set_ellipsize(left, PANGO_ELLIPSIZE_END);
    gb_pdf_rule(pdf, GB_HAIR, 0.4, pdf->left, y - 5, pdf->right, y - 5);
    gb_pdf_show(pdf, NULL, left, GB_SOFT, pdf->left, y);
    gb_pdf_show(pdf, NULL, right, GB_SOFT, pdf->right - right_width, y);
}

void gb_pdf_end_page(GbPdf *pdf)
{
    if (pdf->measuring)
        return;
    put_foot(pdf);
    cairo_show_page(pdf->cr);
}

double gb_pdf_left_over(const GbPdf *pdf)
{
    return pdf->bottom - pdf->y;
}

void gb_pdf_need(GbPdf *pdf, double height)
{
    if (height <= gb_pdf_left_over(pdf) || pdf->y <= pdf->top)
        return;
    gb_pdf_end_page(pdf);
    gb_pdf_begin_page(pdf);
}
