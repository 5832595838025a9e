/* pdf_plan.c -- the drawing of a roof on paper: the same one as on the page, an SVG of our own making (roof_plan.h), read by GMarkup.
 *
 * Not SVG at large: lines, polygons, texts and what roof_plan.c says of them. What is not known is left out.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "pdf-private.h"

#define HATCH 9.0 /* between the lines that tell a steep slope */

typedef struct {
    GbPdf *pdf;
    double size;        /* of the text being read */
    double x, y, turn;  /* its middle; radians */
    gboolean bold;
    gboolean in_text, in_key, in_defs, in_desc;
    GString *text, *desc;
} Drawing;

static double number_of(const char **names, const char **values, const char *name, double other)
{
    for (gsize i = 0; names[i] != NULL; i++)
        if (strcmp(names[i], name) == 0)
            return g_ascii_strtod(values[i], NULL);
    return other;
}

static const char *value_of(const char **names, const char **values, const char *name)
{
    for (gsize i = 0; names[i] != NULL; i++)
        if (strcmp(names[i], name) == 0)
            return values[i];
    return "";
}

static void put_line(Drawing *drawing, const char **names, const char **values)
{
    cairo_t *cr = drawing->pdf->cr;
    double dashes[4];
    int n = 0;
    for (char *at = (char *)value_of(names, values, "stroke-dasharray"); *at != '\0' && n < 4; n++)
        dashes[n] = g_ascii_strtod(at, &at);
    cairo_set_dash(cr, dashes, n, 0);
    cairo_set_line_width(cr, number_of(names, values, "stroke-width", 1));
    cairo_move_to(cr, number_of(names, values, "x1", 0), number_of(names, values, "y1", 0));
    cairo_line_to(cr, number_of(names, values, "x2", 0), number_of(names, values, "y2", 0));
    cairo_stroke(cr);
    cairo_set_dash(cr, NULL, 0, 0);
}

/* Lines from lower left to upper right over all of a shape. */
static void hatch(GbPdf *pdf)
{
    cairo_t *cr = pdf->cr;
    double x1, y1, x2, y2;
    cairo_path_extents(cr, &x1, &y1, &x2, &y2);
    cairo_save(cr);
    cairo_clip(cr);
    gb_pdf_set_colour(pdf, GB_HAIR);
    cairo_set_line_width(cr, 0.5);
    for (double x = x1 - (y2 - y1); x < x2; x += HATCH * G_SQRT2) {
        cairo_move_to(cr, x, y2);
        cairo_line_to(cr, x + (y2 - y1), y1);
    }
    cairo_stroke(cr);
    cairo_restore(cr);
}

static void put_polygon(Drawing *drawing, const char **names, const char **values)
{
    cairo_t *cr = drawing->pdf->cr;
    char *at = (char *)value_of(names, values, "points");
    cairo_new_path(cr);
    while (*at != '\0') {
        double x = g_ascii_strtod(at, &at), y;
        if (*at != ',')
            break;
        y = g_ascii_strtod(at + 1, &at);
        cairo_line_to(cr, x, y);
    }
    cairo_close_path(cr);
    if (g_str_has_prefix(value_of(names, values, "fill"), "url(")) {
        hatch(drawing->pdf);
    } else {
        gb_pdf_set_colour(drawing->pdf, GB_FRAME);
        cairo_fill(cr);
        gb_pdf_set_colour(drawing->pdf, GB_INK);
    }
    cairo_new_path(cr);
}

/* White around the letters, so that lines don't cross them. */
static void put_text(Drawing *drawing)
{
    GbPdf *pdf = drawing->pdf;
    g_autoptr(PangoLayout) layout = gb_pdf_layout_own(pdf, GB_STYLE_CELL, drawing->text->str, -1);
    PangoFontDescription *font = pango_font_description_copy(pango_layout_get_font_description(layout));
    pango_font_description_set_size(font, (int)(drawing->size * PANGO_SCALE));
    if (drawing->bold)
        pango_font_description_set_weight(font, PANGO_WEIGHT_BOLD);
    pango_layout_set_font_description(layout, font);
    pango_font_description_free(font);
    double width = gb_pdf_layout_width(layout), height = gb_pdf_layout_height(layout);
    cairo_save(pdf->cr);
    cairo_translate(pdf->cr, drawing->x, drawing->y);
    cairo_rotate(pdf->cr, drawing->turn);
    cairo_set_source_rgb(pdf->cr, 1, 1, 1);
    cairo_rectangle(pdf->cr, -width / 2 - 1, -height * 0.36, width + 2, height * 0.72);
    cairo_fill(pdf->cr);
    gb_pdf_set_colour(pdf, GB_INK);
    cairo_move_to(pdf->cr, -width / 2, -height / 2);
    pango_cairo_show_layout(pdf->cr, layout);
    cairo_restore(pdf->cr);
}

static void begin(GMarkupParseContext *context, const char *name, const char **names, const char **values, gpointer user, GError **error)
{
    Drawing *drawing = user;
    (void)context;
    (void)error;
    if (strcmp(name, "defs") == 0)
        drawing->in_defs = TRUE;
    else if (strcmp(name, "desc") == 0)
        drawing->in_desc = TRUE;
    else if (strcmp(name, "g") == 0)
        drawing->bold = *value_of(names, values, "font-weight") != '\0';
    if (drawing->in_defs || drawing->pdf->measuring)
        return;
    if (strcmp(name, "line") == 0) {
        put_line(drawing, names, values);
    } else if (strcmp(name, "polygon") == 0) {
        put_polygon(drawing, names, values);
    } else if (strcmp(name, "text") == 0) {
        const char *turn = value_of(names, values, "transform");
        drawing->in_text = TRUE;
        g_string_truncate(drawing->text, 0);
        drawing->x = number_of(names, values, "x", 0);
        drawing->y = number_of(names, values, "y", 0);
        drawing->size = number_of(names, values, "font-size", 11);
        drawing->turn = g_str_has_prefix(turn, "rotate(") ? g_ascii_strtod(turn + strlen("rotate("), NULL) * G_PI / 180 : 0;
    }
}

static void end(GMarkupParseContext *context, const char *name, gpointer user, GError **error)
{
    Drawing *drawing = user;
    (void)context;
    (void)error;
    if (strcmp(name, "defs") == 0)
        drawing->in_defs = FALSE;
    else if (strcmp(name, "desc") == 0)
        drawing->in_desc = FALSE;
    else if (strcmp(name, "g") == 0)
        drawing->bold = FALSE;
    else if (strcmp(name, "text") == 0 && drawing->in_text) {
        drawing->in_text = FALSE;
        put_text(drawing);
    }
}

static void take_text(GMarkupParseContext *context, const char *text, gsize n, gpointer user, GError **error)
{
    Drawing *drawing = user;
    (void)context;
    (void)error;
    if (drawing->in_text)
        g_string_append_len(drawing->text, text, (gssize)n);
    else if (drawing->in_desc)
        g_string_append_len(drawing->desc, text, (gssize)n);
}

static const GMarkupParser parser = { begin, end, take_text, NULL, NULL };

/* The size that the SVG says of itself. */
static gboolean size_of(const char *svg, double *width, double *height)
{
    const char *box = strstr(svg, "viewBox=\"0 0 ");
    char *at;
    if (box == NULL)
        return FALSE;
    *width = g_ascii_strtod(box + strlen("viewBox=\"0 0 "), &at);
    *height = g_ascii_strtod(at, NULL);
    return *width > 0 && *height > 0;
}

void gb_pdf_plan(GbPdf *pdf, const char *svg, double room)
{
    double width, height;
    if (svg == NULL || !size_of(svg, &width, &height))
        return;
    double scale = MIN(1, room / width);
    g_autoptr(GString) text = g_string_new(NULL), desc = g_string_new(NULL);
    Drawing drawing = { .pdf = pdf, .text = text, .desc = desc };
    gb_pdf_need(pdf, height * scale);
    if (!pdf->measuring) {
        gb_pdf_open(pdf, "Figure");
        cairo_save(pdf->cr);
        cairo_translate(pdf->cr, pdf->left, pdf->y);
        cairo_scale(pdf->cr, scale, scale);
        cairo_set_line_cap(pdf->cr, CAIRO_LINE_CAP_ROUND);
        gb_pdf_set_colour(pdf, GB_INK);
    }
    GMarkupParseContext *context = g_markup_parse_context_new(&parser, 0, &drawing, NULL);
    g_markup_parse_context_parse(context, svg, -1, NULL); /* what can't be read is not drawn */
    g_markup_parse_context_free(context);
    if (!pdf->measuring) {
        cairo_restore(pdf->cr);
        gb_pdf_close(pdf, "Figure");
        g_ptr_array_add(pdf->alts, g_strdup(desc->len > 0 ? desc->str : "Roof, seen from above"));
    }
    pdf->y += height * scale + 6;
}
