/* pdf_text.c -- text on paper: styles, breaking, lines.
 *
 * Pango shapes any script and finds a font for each; what no font has becomes a box and is warned about. Text is drawn line by line, so
 * that a paragraph may go on on the next page. Hinting is off: the same text is as wide on every resolution.
 *
 * Shaping is most of the work. So what was set while measuring is kept and drawn, and nothing changes a layout after it was shaped: that
 * would shape it anew. What is kept is bounded; beyond, text is set twice.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "pdf-private.h"

#include <fontconfig/fontconfig.h>
#include <gablebook/error.h>

#define SERIF "Noto Serif, DejaVu Serif, serif"
#define SANS "Noto Sans, DejaVu Sans, sans"
#define MONO "Noto Sans Mono, DejaVu Sans Mono, monospace"

static const struct {
    const char *family;
    double size_pt;
    PangoWeight weight;
    PangoStyle slant;
    double spacing_pt;  /* between letters */
    double line_factor; /* of the font's own height */
    gboolean capitals;
    double gap_pt;      /* between lines */
} styles[GB_STYLES] = {
    [GB_STYLE_TITLE] = { SERIF, 23, PANGO_WEIGHT_NORMAL, PANGO_STYLE_NORMAL, -0.1, 0.92, FALSE },
    [GB_STYLE_CHAPTER] = { SERIF, 15, PANGO_WEIGHT_NORMAL, PANGO_STYLE_NORMAL, 0, 0.95, FALSE },
    [GB_STYLE_SHEET] = { SERIF, 11.5, PANGO_WEIGHT_NORMAL, PANGO_STYLE_NORMAL, 0, 0.95, FALSE },
    [GB_STYLE_PART] = { SERIF, 11.5, PANGO_WEIGHT_NORMAL, PANGO_STYLE_ITALIC, 0, 1, FALSE },
    [GB_STYLE_BODY] = { SERIF, 9.5, PANGO_WEIGHT_NORMAL, PANGO_STYLE_NORMAL, 0, 1, FALSE },
    [GB_STYLE_CAPTION] = { SERIF, 9.8, PANGO_WEIGHT_NORMAL, PANGO_STYLE_NORMAL, 0, 0.95, FALSE },
    [GB_STYLE_CAPTION_SMALL] = { SERIF, 8.5, PANGO_WEIGHT_NORMAL, PANGO_STYLE_NORMAL, 0, 0.95, FALSE },
    [GB_STYLE_NUMBER] = { SERIF, 16, PANGO_WEIGHT_NORMAL, PANGO_STYLE_NORMAL, 0, 0.9, FALSE },
    [GB_STYLE_LABEL] = { SANS, 6.4, PANGO_WEIGHT_SEMIBOLD, PANGO_STYLE_NORMAL, 0.55, 1, TRUE },
    [GB_STYLE_SMALL] = { SANS, 7, PANGO_WEIGHT_NORMAL, PANGO_STYLE_NORMAL, 0, 1, FALSE },
    [GB_STYLE_DATA] = { SANS, 7, PANGO_WEIGHT_NORMAL, PANGO_STYLE_NORMAL, 0, 1, FALSE, .gap_pt = 1.2 },
    [GB_STYLE_SENDER] = { SERIF, 12, PANGO_WEIGHT_NORMAL, PANGO_STYLE_NORMAL, 0, 1, FALSE },
    [GB_STYLE_CELL] = { SANS, 7.8, PANGO_WEIGHT_NORMAL, PANGO_STYLE_NORMAL, 0, 1, FALSE },
};

/* Without any, Pango still lists families of its own, and gives boxes of absurd height. */
static gboolean has_fonts(void)
{
    const FcFontSet *fonts = FcInit() ? FcConfigGetFonts(NULL, FcSetSystem) : NULL;
    return fonts != NULL && fonts->nfont > 0;
}

gboolean gb_pdf_fonts_init(GbPdf *pdf, GError **error)
{
    if (!has_fonts()) { /* before Pango, which would read fontconfig's files at the same time in a thread of its own */
        g_set_error_literal(error, GB_ERROR, GB_ERROR_STATE, "no font is installed here, and a PDF needs one (Debian: fonts-noto-core, or "
                            "fonts-dejavu-core at least); nothing was written");
        return FALSE;
    }
    g_autoptr(PangoFontMap) map = pango_cairo_font_map_new_for_font_type(CAIRO_FONT_TYPE_FT);
    pango_cairo_font_map_set_resolution(PANGO_CAIRO_FONT_MAP(map), 72);
    pdf->context = pango_font_map_create_context(map);
    pango_context_set_round_glyph_positions(pdf->context, FALSE);
    pango_context_set_language(pdf->context, pango_language_from_string("en"));

    cairo_font_options_t *crisp = cairo_font_options_create();
    cairo_font_options_set_hint_style(crisp, CAIRO_HINT_STYLE_NONE);
    cairo_font_options_set_hint_metrics(crisp, CAIRO_HINT_METRICS_OFF);
    cairo_font_options_set_antialias(crisp, CAIRO_ANTIALIAS_GRAY);
    pango_cairo_context_set_font_options(pdf->context, crisp);
    cairo_font_options_destroy(crisp);

    for (int i = 0; i < GB_STYLES; i++) {
        PangoFontDescription *font = pango_font_description_new();
        pango_font_description_set_family_static(font, styles[i].family);
        pango_font_description_set_size(font, (int)(styles[i].size_pt * PANGO_SCALE));
        pango_font_description_set_weight(font, styles[i].weight);
        pango_font_description_set_style(font, styles[i].slant);
        pdf->fonts[i] = font;
    }
    pdf->layouts = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, g_object_unref);
    return TRUE;
}

void gb_pdf_fonts_clear(GbPdf *pdf)
{
    for (int i = 0; i < GB_STYLES; i++)
        g_clear_pointer(&pdf->fonts[i], pango_font_description_free);
    g_clear_pointer(&pdf->layouts, g_hash_table_unref);
    g_clear_object(&pdf->context);
}

/* Once for each thing that is written about. */
static void warn_of_boxes(GbPdf *pdf, PangoLayout *layout)
{
    GPtrArray *warnings = pdf->options->warnings;
    if (!pdf->measuring || warnings == NULL)
        return;
    int unknown = pango_layout_get_unknown_glyphs_count(layout);
    if (unknown == 0)
        return;
    char *text = g_strdup_printf("%s: no font here has %d of its characters; they are shown as boxes. Install one that has them "
                                 "(Debian: fonts-noto-core, fonts-noto-cjk)", pdf->about != NULL ? pdf->about : "the report", unknown);
    gsize same = strcspn(text, ":") + 1;
    for (guint i = 0; i < warnings->len; i++)
        if (strncmp(g_ptr_array_index(warnings, i), text, same) == 0) {
            g_free(text);
            return;
        }
    g_ptr_array_add(warnings, text);
}

/* Everything that a layout looks like besides its text. */
typedef struct {
    GbStyle style;
    double width; /* negative: not broken */
    gboolean right;
    const GArray *smalls; /* of GbSmall, or NULL */
} Look;

static void add_attribute(PangoAttrList *list, PangoAttribute *attribute, const GbSmall *small)
{
    attribute->start_index = (guint)small->at;
    attribute->end_index = (guint)small->end;
    pango_attr_list_insert(list, attribute);
}

/* NULL where there are none. */
static PangoAttrList *attributes_of(const Look *look)
{
    double spacing = styles[look->style].spacing_pt;
    guint smalls = look->smalls != NULL ? look->smalls->len : 0;
    if (spacing == 0 && smalls == 0)
        return NULL;
    PangoAttrList *list = pango_attr_list_new();
    if (spacing != 0)
        pango_attr_list_insert(list, pango_attr_letter_spacing_new((int)(spacing * PANGO_SCALE)));
    for (guint i = 0; i < smalls; i++) {
        const GbSmall *small = &g_array_index(look->smalls, GbSmall, i);
        add_attribute(list, pango_attr_scale_new(small->mono ? 0.78 : 0.9), small);
        add_attribute(list, pango_attr_foreground_new(0x4545, 0x4848, 0x4c4c), small);
        if (small->mono)
            add_attribute(list, pango_attr_family_new(MONO), small);
    }
    return list;
}

static PangoLayout *layout_new(GbPdf *pdf, const Look *look, const char *text)
{
    PangoLayout *layout = pango_layout_new(pdf->context);
    pango_layout_set_font_description(layout, pdf->fonts[look->style]);
    if (look->width >= 0) {
        pango_layout_set_width(layout, (int)(look->width * PANGO_SCALE));
        pango_layout_set_wrap(layout, PANGO_WRAP_WORD_CHAR);
    }
    if (styles[look->style].line_factor < 1)
        pango_layout_set_line_spacing(layout, (float)styles[look->style].line_factor);
    if (styles[look->style].gap_pt > 0)
        pango_layout_set_spacing(layout, (int)(styles[look->style].gap_pt * PANGO_SCALE));
    if (look->right)
        pango_layout_set_alignment(layout, PANGO_ALIGN_RIGHT);
    PangoAttrList *attributes = attributes_of(look);
    if (attributes != NULL) {
        pango_layout_set_attributes(layout, attributes);
        pango_attr_list_unref(attributes);
    }
    g_autofree char *capitals = styles[look->style].capitals ? g_utf8_strup(text, -1) : NULL;
    pango_layout_set_text(layout, capitals != NULL ? capitals : text, -1);
    return layout;
}

/* What tells one layout from another. OWNED by the caller. */
static char *key_of(const Look *look, const char *text)
{
    GString *key = g_string_new(NULL);
    g_string_printf(key, "%d %d %d", (int)look->style, look->width >= 0 ? (int)(look->width * PANGO_SCALE) : -1, look->right);
    for (guint i = 0; look->smalls != NULL && i < look->smalls->len; i++) {
        const GbSmall *small = &g_array_index(look->smalls, GbSmall, i);
        g_string_append_printf(key, " %d-%d-%d", small->at, small->end, small->mono);
    }
    g_string_append_printf(key, ":%s", text);
    return g_string_free(key, FALSE);
}

/* Layouts that are kept, at most: a few kilobytes each. */
#define MOST_KEPT 6000

static PangoLayout *shared_layout(GbPdf *pdf, const Look *look, const char *text)
{
    g_autofree char *key = key_of(look, text);
    PangoLayout *kept = g_hash_table_lookup(pdf->layouts, key);
    PangoLayout *layout = kept != NULL ? g_object_ref(kept) : layout_new(pdf, look, text);
    warn_of_boxes(pdf, layout);
    if (kept == NULL && pdf->measuring && g_hash_table_size(pdf->layouts) < MOST_KEPT)
        g_hash_table_insert(pdf->layouts, g_steal_pointer(&key), g_object_ref(layout));
    return layout;
}

PangoLayout *gb_pdf_layout(GbPdf *pdf, GbStyle style, const char *text, double width)
{
    return shared_layout(pdf, &(Look){ .style = style, .width = width }, text);
}

PangoLayout *gb_pdf_layout_cell(GbPdf *pdf, GbStyle style, const char *text, double width, gboolean right, const GArray *smalls)
{
    return shared_layout(pdf, &(Look){ style, width, right, smalls }, text);
}

PangoLayout *gb_pdf_layout_own(GbPdf *pdf, GbStyle style, const char *text, double width)
{
    PangoLayout *layout = layout_new(pdf, &(Look){ .style = style, .width = width }, text);
    warn_of_boxes(pdf, layout);
    return layout;
}

double gb_pdf_layout_height(PangoLayout *layout)
{
    PangoRectangle logical;
    pango_layout_get_extents(layout, NULL, &logical);
    return (double)logical.height / PANGO_SCALE;
}

double gb_pdf_layout_width(PangoLayout *layout)
{
    PangoRectangle logical;
    pango_layout_get_extents(layout, NULL, &logical);
    return (double)logical.width / PANGO_SCALE;
}

int gb_pdf_lines(GbPdf *pdf, const char *tag, PangoLayout *layout, GbColour colour, double x, double y, int first, double height,
                 double *used)
{
    PangoLayoutIter *iter = pango_layout_get_iter(layout);
    int line = 0, next = -1, begin_y = -1, end_y = 0;
    if (tag != NULL)
        gb_pdf_open(pdf, tag);
    gb_pdf_set_colour(pdf, colour);
    do {
        int y0, y1;
        PangoRectangle extents;
        pango_layout_iter_get_line_yrange(iter, &y0, &y1);
        if (line++ < first)
            continue;
        if (begin_y < 0)
            begin_y = y0;
        gboolean must = line - 1 == first && height > (pdf->bottom - pdf->top) / 2; /* else a line too high for a page never comes */
        if (!must && (double)(y1 - begin_y) / PANGO_SCALE > height) {
            next = line - 1;
            break;
        }
        end_y = y1;
        if (pdf->measuring)
            continue;
        pango_layout_iter_get_line_extents(iter, NULL, &extents);
        cairo_move_to(pdf->cr, x + (double)extents.x / PANGO_SCALE,
                      y + (double)(pango_layout_iter_get_baseline(iter) - begin_y) / PANGO_SCALE);
        pango_cairo_show_layout_line(pdf->cr, pango_layout_iter_get_line_readonly(iter));
    } while (pango_layout_iter_next_line(iter));
    pango_layout_iter_free(iter);
    if (tag != NULL)
        gb_pdf_close(pdf, tag);
    *used = end_y > begin_y ? (double)(end_y - begin_y) / PANGO_SCALE : 0;
    return next;
}

double gb_pdf_show(GbPdf *pdf, const char *tag, PangoLayout *layout, GbColour colour, double x, double y)
{
    double used;
    gb_pdf_lines(pdf, tag, layout, colour, x, y, 0, G_MAXDOUBLE, &used);
    return used;
}

double gb_pdf_put(GbPdf *pdf, const char *tag, GbStyle style, GbColour colour, const char *text, double x, double y, double width)
{
    g_autoptr(PangoLayout) layout = gb_pdf_layout(pdf, style, text, width);
    return gb_pdf_show(pdf, tag, layout, colour, x, y);
}

void gb_pdf_flow(GbPdf *pdf, const char *tag, GbStyle style, GbColour colour, const char *text, double x, double width)
{
    g_autoptr(PangoLayout) layout = gb_pdf_layout(pdf, style, text, width);
    double used;
    gb_pdf_need(pdf, MIN(gb_pdf_layout_height(layout), 3 * styles[style].size_pt));
    for (int line = 0;;) {
        line = gb_pdf_lines(pdf, tag, layout, colour, x, pdf->y, line, gb_pdf_left_over(pdf), &used);
        pdf->y += used;
        if (line < 0)
            return;
        gb_pdf_end_page(pdf);
        gb_pdf_begin_page(pdf);
    }
}
