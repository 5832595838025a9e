/* pdf_drawn.c -- what a person drew over a photo, on paper: strokes over the picture, which stays as it is.
 *
 * The lines are those of the page (drawn.c), path data in pixels of the upright picture; they are drawn twice, dark under light, so that
 * they show on any photo. Their thickness is one of the paper, not of the picture. Not paths at large: M, L and the half ellipses that
 * drawn.c writes.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "pdf-private.h"

#include <math.h>

#define LIGHT_PT 1.6
#define DARK_PT 3.8
#define LEAST_LETTER_PT 5.5

static void set_light(cairo_t *cr)
{
    cairo_set_source_rgb(cr, 1, 1, 1);
}

static void set_dark(cairo_t *cr)
{
    cairo_set_source_rgb(cr, 0.08, 0.09, 0.10);
}

/* The next n numbers. FALSE when there are fewer. */
static gboolean take(const char **at, double *numbers, int n)
{
    for (int i = 0; i < n; i++) {
        char *end;
        numbers[i] = g_ascii_strtod(*at, &end);
        if (end == *at || !isfinite(numbers[i]))
            return FALSE;
        *at = end;
    }
    return TRUE;
}

/* Half an ellipse from the current point to one at the same height. A flat one is a line. */
static void half_ellipse(cairo_t *cr, const double *arc)
{
    double from_x, from_y, rx = arc[0], ry = arc[1], x = arc[5], y = arc[6];
    cairo_get_current_point(cr, &from_x, &from_y);
    if (rx < 0.1 || ry < 0.1) {
        cairo_line_to(cr, x, y);
        return;
    }
    double start = x > from_x ? G_PI : 0;
    cairo_save(cr);
    cairo_translate(cr, (from_x + x) / 2, y);
    cairo_scale(cr, rx, ry);
    cairo_arc(cr, 0, 0, 1, start, start + G_PI);
    cairo_restore(cr);
}

static void trace(cairo_t *cr, const char *path)
{
    double n[7];
    cairo_new_path(cr);
    for (const char *at = path; *at != '\0';) {
        char command = *at++;
        if (command == 'A' && take(&at, n, 7))
            half_ellipse(cr, n);
        else if (command == 'M' && take(&at, n, 2))
            cairo_move_to(cr, n[0], n[1]);
        else if (command == 'L' && take(&at, n, 2))
            cairo_line_to(cr, n[0], n[1]);
        else
            return;
    }
}

static void put_label(GbPdf *pdf, const json_t *mark, double x, double y, double letter_pt)
{
    g_autofree char *text = g_strdup(gb_text_of(mark, "label"));
    if (text == NULL)
        return;
    g_strdelimit(text, "\r\n", ' ');
    g_autoptr(PangoLayout) layout = gb_pdf_layout_own(pdf, GB_STYLE_CELL, text, -1);
    PangoFontDescription *font = pango_font_description_copy(pango_layout_get_font_description(layout));
    pango_font_description_set_size(font, (int)(letter_pt * PANGO_SCALE));
    pango_font_description_set_weight(font, PANGO_WEIGHT_SEMIBOLD);
    pango_layout_set_font_description(layout, font);
    pango_font_description_free(font);
    double left = g_strcmp0(gb_text_of(mark, "end"), "end") == 0 ? x - gb_pdf_layout_width(layout) : x;
    double top = y - (double)pango_layout_get_baseline(layout) / PANGO_SCALE;

    cairo_move_to(pdf->cr, left, top);
    pango_cairo_layout_path(pdf->cr, layout);
    set_dark(pdf->cr);
    cairo_set_line_width(pdf->cr, letter_pt * 0.2);
    cairo_stroke(pdf->cr);
    set_light(pdf->cr);
    cairo_move_to(pdf->cr, left, top);
    pango_cairo_show_layout(pdf->cr, layout);
}

void gb_pdf_drawn(GbPdf *pdf, const json_t *figure, double x, double y, double width, double height)
{
    const json_t *drawn = json_object_get(figure, "drawn"), *mark;
    double pixels = json_number_value(json_object_get(figure, "width"));
    gsize i;
    if (drawn == NULL || pdf->measuring || !(pixels > 0))
        return;
    cairo_t *cr = pdf->cr;
    double scale = width / pixels, letter_pt = MAX(LEAST_LETTER_PT, scale * json_number_value(json_object_get(drawn, "letter_px")));
    cairo_save(cr);
    cairo_rectangle(cr, x, y, width, height);
    cairo_clip(cr);
    cairo_set_line_cap(cr, CAIRO_LINE_CAP_ROUND);
    cairo_set_line_join(cr, CAIRO_LINE_JOIN_ROUND);
    json_array_foreach(json_object_get(drawn, "marks"), i, mark) {
        const char *path = gb_text_of(mark, "path");
        if (path != NULL) {
            cairo_save(cr);
            cairo_translate(cr, x, y);
            cairo_scale(cr, scale, scale);
            trace(cr, path);
            cairo_restore(cr);
            set_dark(cr);
            cairo_set_line_width(cr, DARK_PT);
            cairo_stroke_preserve(cr);
            set_light(cr);
            cairo_set_line_width(cr, LIGHT_PT);
            cairo_stroke(cr);
        }
        put_label(pdf, mark, x + scale * json_number_value(json_object_get(mark, "x")),
                  y + scale * json_number_value(json_object_get(mark, "y")), letter_pt);
    }
    cairo_restore(cr);
}
