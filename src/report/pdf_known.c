/* pdf_known.c -- facts, test squares, findings and roof measurements as tables (table.c), drawn from the same members of the model as
 * the page's own.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "pdf-private.h"

static void add_figures(json_t *cell, const json_t *list)
{
    gsize i;
    const json_t *figure;
    json_array_foreach(list, i, figure)
        gb_table_figure(cell, (guint)json_integer_value(json_object_get(figure, "number")));
}

/* The figures that prove a row; "none" is said. against: photos that say something else. */
static void add_proof(json_t *table, json_t *row, const json_t *of, const char *other)
{
    const json_t *proof = json_object_get(of, "proof"), *against = json_object_get(of, "against");
    json_t *cell = gb_table_cell(table, row, json_array_size(proof) == 0 ? "none" : NULL);
    add_figures(cell, proof);
    if (against == NULL)
        return;
    gb_table_part(cell, other);
    add_figures(cell, json_object_get(against, "figures"));
}

static void put_facts(GbPdf *pdf, const json_t *facts)
{
    gsize i, k;
    const json_t *group, *fact;
    json_array_foreach(json_object_get(facts, "groups"), i, group) {
        g_autoptr(json_t) table = gb_table_new("facts", NULL, NULL);
        gb_table_column(table, gb_text_of(group, "title"), 4, FALSE);
        gb_table_column(table, "Where", 4, FALSE);
        gb_table_column(table, "Value", 6, FALSE);
        gb_table_column(table, "How it is known", 4, FALSE);
        gb_table_column(table, "Figures", 3, FALSE);
        json_array_foreach(json_object_get(group, "rows"), k, fact) {
            json_t *row = gb_table_row(table);
            gb_table_cell(table, row, gb_text_of(fact, "name"));
            gb_table_cell(table, row, gb_text_of(fact, "place"));
            gb_table_note(gb_table_cell(table, row, gb_text_of(fact, "value")), gb_text_of(fact, "note"));
            gb_table_cell(table, row, gb_text_of(fact, "how"));
            add_proof(table, row, fact, "▲ another value:");
        }
        gb_pdf_table(pdf, table);
    }
    json_array_foreach(json_object_get(json_object_get(facts, "meanings"), "words"), i, fact) {
        g_autofree char *text = g_strdup_printf("%s, %s: %s", gb_text_of(fact, "name"), gb_text_of(fact, "word"),
                                                gb_text_of(fact, "meaning"));
        gb_pdf_flow(pdf, "P", GB_STYLE_SMALL, GB_SOFT, text, pdf->left, pdf->right - pdf->left);
    }
}

static void put_squares(GbPdf *pdf, const json_t *squares)
{
    g_autoptr(json_t) table = gb_table_new("squares", NULL, NULL);
    const json_t *threshold = json_object_get(squares, "threshold"), *square;
    gsize i;
    gb_table_column(table, "Slope", 5, FALSE);
    gb_table_column(table, "Square", 2, FALSE);
    gb_table_column(table, "Size", 4, FALSE);
    gb_table_column(table, "Hits", 6, FALSE);
    gb_table_column(table, "Figures", 4, FALSE);
    json_array_foreach(json_object_get(squares, "rows"), i, square) {
        const char *hits = gb_text_of(square, "hits"), *not_drawn = gb_text_of(square, "not_drawn"), *size = gb_text_of(square, "size");
        g_autofree char *number = g_strdup_printf("%lld", (long long)json_integer_value(json_object_get(square, "number")));
        g_autofree char *reason = not_drawn != NULL ? g_strdup_printf("not drawn: %s", not_drawn) : NULL;
        json_t *row = gb_table_row(table);
        gb_table_cell(table, row, gb_text_of(square, "slope"));
        gb_table_cell(table, row, number);
        gb_table_cell(table, row, size != NULL ? size : not_drawn != NULL ? "–" : "not recorded");
        gb_table_note(gb_table_cell(table, row, hits != NULL ? hits : reason), gb_text_of(square, "note"));
        add_proof(table, row, square, "▲ another count:");
    }
    gb_pdf_table(pdf, table);
    g_autofree char *text = threshold != NULL
        ? g_strdup_printf("Threshold for this claim as entered by %s: %s in a square. Its source: %s. It is theirs; this report only "
                          "counts.",
                          gb_text_of(threshold, "who"), gb_text_of(threshold, "hits"), gb_text_of(threshold, "source"))
        : g_strdup("How many hits matter differs from carrier to carrier; this report only counts.");
    gb_pdf_flow(pdf, "P", GB_STYLE_SMALL, GB_SOFT, text, pdf->left, pdf->right - pdf->left);
}

/* "Gutter, hail: remove and replace, 12 LF". OWNED by the caller. */
static char *finding_text(const json_t *item)
{
    static const struct {
        const char *before, *key;
    } parts[] = { { "", "component" }, { ", ", "cause" }, { ": ", "action" }, { ", ", "quantity" } };
    GString *text = g_string_new(NULL);
    for (gsize i = 0; i < G_N_ELEMENTS(parts); i++)
        if (gb_text_of(item, parts[i].key) != NULL)
            g_string_append_printf(text, "%s%s", parts[i].before, gb_text_of(item, parts[i].key));
    return g_string_free(text, FALSE);
}

static void add_finding(json_t *table, const char *place, const json_t *item)
{
    const char *lacks = gb_text_of(item, "lacks"), *note = gb_text_of(item, "note");
    const json_t *proofs = json_object_get(item, "proofs");
    g_autofree char *number = g_strdup_printf("%lld", (long long)json_integer_value(json_object_get(item, "number")));
    g_autofree char *id = g_strconcat("finding-", number, NULL), *text = finding_text(item);
    g_autofree char *small = lacks != NULL && note != NULL ? g_strdup_printf("%s. %s", lacks, note)
                                                           : g_strdup(lacks != NULL ? lacks : note);
    json_t *row = gb_table_row(table);
    gb_put_text(row, "id", id);
    gb_table_cell(table, row, number);
    gb_table_cell(table, row, place);
    gb_table_note(gb_table_cell(table, row, text), small);
    add_figures(gb_table_cell(table, row, json_array_size(proofs) == 0 ? "▲ no photo in this report" : NULL), proofs);
}

static void put_findings(GbPdf *pdf, const json_t *found)
{
    g_autoptr(json_t) table = gb_table_new("findings", NULL, NULL);
    gsize i, k;
    const json_t *group, *item;
    gb_table_column(table, "No.", 1, FALSE);
    gb_table_column(table, "Where", 4, FALSE);
    gb_table_column(table, "What, by what, what to do", 9, FALSE);
    gb_table_column(table, "Figures", 3, FALSE);
    json_array_foreach(json_object_get(found, "groups"), i, group)
        json_array_foreach(json_object_get(group, "items"), k, item)
            add_finding(table, gb_text_of(group, "title"), item);
    gb_pdf_table(pdf, table);
}

static void put_slopes(GbPdf *pdf, const json_t *roof)
{
    static const struct {
        const char *label, *key;
        int share;
    } columns[] = { { "No.", NULL, 2 },          { "Slope", "label", 10 }, { "Pitch", "pitch", 5 },
                    { "Up the slope", "up", 4 }, { "Area", "area", 4 },    { "Squares", "squares", 3 } };
    g_autoptr(json_t) table = gb_table_new("slopes", NULL, NULL);
    gsize i;
    const json_t *slope;
    for (gsize c = 0; c < G_N_ELEMENTS(columns); c++)
        gb_table_column(table, columns[c].label, columns[c].share, c >= 4);
    json_array_foreach(json_object_get(roof, "slopes"), i, slope) {
        json_t *row = gb_table_row(table);
        g_autofree char *number = g_strdup_printf("%lld", (long long)json_integer_value(json_object_get(slope, "number")));
        g_autofree char *steep = gb_text_of(slope, "steep") != NULL ? g_strconcat("▲ steep: ", gb_text_of(slope, "steep"), NULL) : NULL;
        for (gsize c = 0; c < G_N_ELEMENTS(columns); c++) {
            const char *text = columns[c].key == NULL ? number : gb_text_of(slope, columns[c].key);
            json_t *cell = gb_table_cell(table, row, text == NULL && c == 2 ? "not known" : text);
            gb_table_note(cell, c == 1 ? gb_text_of(slope, "edges") : c == 2 ? steep : NULL);
        }
    }
    gb_pdf_table(pdf, table);
}

static void put_roof(GbPdf *pdf, const json_t *roof)
{
    double width = pdf->right - pdf->left;
    gsize i;
    const json_t *text, *entry;
    gb_pdf_need(pdf, gb_text_of(roof, "plan") != NULL ? 300 : 90);
    pdf->y += gb_pdf_put(pdf, "H3", GB_STYLE_PART, GB_INK, gb_text_of(roof, "title"), pdf->left, pdf->y, width) + 6;
    gb_pdf_plan(pdf, gb_text_of(roof, "plan"), width * 0.85);
    gb_pdf_facts(pdf, json_object_get(roof, "totals"), 5);
    json_array_foreach(json_object_get(roof, "contradictions"), i, text) {
        g_autofree char *line = g_strdup_printf("▲ Doesn’t fit: %s.", json_string_value(text));
        gb_pdf_flow(pdf, "P", GB_STYLE_SMALL, GB_WARN, line, pdf->left, width);
    }
    put_slopes(pdf, roof);
    json_array_foreach(json_object_get(roof, "entries"), i, entry) {
        const char *section = gb_text_of(entry, "section");
        g_autofree char *line = g_strdup_printf("As entered: %s%s%s%s: %s", gb_text_of(entry, "where"), section != NULL ? " (" : "",
                                                section != NULL ? section : "", section != NULL ? ")" : "", gb_text_of(entry, "measured"));
        gb_pdf_flow(pdf, "P", GB_STYLE_SMALL, GB_SOFT, line, pdf->left, width);
    }
    pdf->y += 8;
}

static void put_roofs(GbPdf *pdf, const json_t *roofs)
{
    gsize i;
    const json_t *roof;
    const char *caution = gb_text_of(roofs, "caution");
    gb_pdf_flow(pdf, "P", GB_STYLE_SMALL, GB_SOFT, "Entered by the inspector; areas and lengths follow from what was entered. A ridge, "
                "hip or valley between two slopes counts once.", pdf->left, pdf->right - pdf->left);
    pdf->y += 6;
    json_array_foreach(json_object_get(roofs, "roofs"), i, roof)
        put_roof(pdf, roof);
    if (caution == NULL)
        return;
    g_autofree char *text = g_strdup_printf("CAUTION  %s", caution);
    gb_pdf_flow(pdf, "P", GB_STYLE_SMALL, GB_INK, text, pdf->left, pdf->right - pdf->left);
}

/* The plan, then the same as a list. */
static void put_map(GbPdf *pdf, const json_t *map)
{
    static const char *const keys[] = { "place", "where", "looking", "error" };
    double width = pdf->right - pdf->left;
    gsize i;
    const json_t *camera;
    gb_pdf_flow(pdf, "P", GB_STYLE_SMALL, GB_SOFT, gb_text_of(map, "said"), pdf->left, MIN(width, 440));
    pdf->y += 6;
    gb_pdf_plan(pdf, gb_text_of(map, "plan"), width * 0.9);
    g_autoptr(json_t) table = gb_table_new("positions", NULL, NULL);
    gb_table_column(table, "Figure", 2, FALSE);
    gb_table_column(table, "Shows", 5, FALSE);
    gb_table_column(table, "Where the camera was", 8, FALSE);
    gb_table_column(table, "Looking (true north)", 4, FALSE);
    gb_table_column(table, "Stated error", 3, FALSE);
    json_array_foreach(json_object_get(map, "cameras"), i, camera) {
        json_t *row = gb_table_row(table);
        gb_table_figure(gb_table_cell(table, row, NULL), (guint)json_integer_value(json_object_get(camera, "figure")));
        for (gsize k = 0; k < G_N_ELEMENTS(keys); k++)
            gb_table_cell(table, row, gb_text_of(camera, keys[k]));
    }
    gb_pdf_table(pdf, table);
}

const GbPdfKnown gb_pdf_known[] = {
    { "facts", "facts", "Facts", put_facts },
    { "squares", "squares", "Test squares", put_squares },
    { "roof", "measured-roofs", "Roof measurements", put_roofs },
    { "found", "findings", "Findings", put_findings },
    { "map", "map", "Where the photos were taken", put_map },
    { NULL, NULL, NULL, NULL },
};
