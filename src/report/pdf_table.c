/* pdf_table.c -- tables and pairs on paper, from data (table.c, docs/report-model.md).
 *
 * The head of a table is drawn again on every page it goes on to; a row moves to the next page as a whole unless it is so high that it
 * must be broken.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "pdf-private.h"

#define PAD_PT 3.2    /* above and below the text of a row */
#define APART_PT 9    /* between columns */
#define MOST_COLUMNS 12

/* --- cells --- */

/* A number in the text of a cell that leads to a figure. */
typedef struct {
    int at, end; /* bytes */
    gint64 figure;
} Reference;

typedef struct {
    PangoLayout *layout;
    GArray *references;
    int next_line; /* -1: all drawn */
} Cell;

static void add_references(GString *text, const json_t *part, GArray *references)
{
    gsize i;
    const json_t *figure;
    json_array_foreach(json_object_get(part, "figures"), i, figure) {
        Reference reference = { .figure = json_integer_value(json_object_get(figure, "number")) };
        g_string_append(text, i == 0 ? (text->len > 0 && !g_str_has_suffix(text->str, " ") ? " " : "") : ", ");
        reference.at = (int)text->len;
        g_string_append_printf(text, "%lld", (long long)reference.figure);
        reference.end = (int)text->len;
        g_array_append_val(references, reference);
    }
}

/* A cell's parts as one text, "overview 3 · test square 4, 5", notes on lines of their own. */
static Cell cell_new(GbPdf *pdf, const json_t *cell, double width, gboolean numeric)
{
    g_autoptr(GString) text = g_string_new(NULL);
    g_autoptr(GArray) smalls = g_array_new(FALSE, FALSE, sizeof(GbSmall));
    Cell made = { .references = g_array_new(FALSE, FALSE, sizeof(Reference)) };
    gsize i;
    const json_t *part;
    json_array_foreach(json_object_get(cell, "parts"), i, part) {
        const char *note = gb_text_of(part, "note");
        if (i > 0)
            g_string_append(text, " · ");
        g_string_append(text, gb_text_of(part, "text"));
        add_references(text, part, made.references);
        if (note == NULL)
            continue;
        GbSmall small = { .at = (int)text->len, .mono = json_is_true(json_object_get(part, "mono")) };
        g_string_append_printf(text, "%s%s", text->len > 0 ? "\n" : "", note);
        small.end = (int)text->len;
        g_array_append_val(smalls, small);
    }
    made.layout = gb_pdf_layout_cell(pdf, GB_STYLE_CELL, text->str, width, numeric, smalls);
    return made;
}

static void cell_clear(Cell *cell)
{
    g_clear_object(&cell->layout);
    g_array_unref(cell->references);
}

/* Links over the numbers in the lines that were drawn: from line first to before line end (-1: all). top: y of the first of them. */
static void link_references(GbPdf *pdf, const Cell *cell, double x, double top, int first, int end)
{
    double begin = -1;
    for (guint i = 0; i < cell->references->len; i++) {
        const Reference *reference = &g_array_index(cell->references, Reference, i);
        PangoRectangle from, to;
        int line, ignored;
        pango_layout_index_to_line_x(cell->layout, reference->at, FALSE, &line, &ignored);
        if (line < first || (end >= 0 && line >= end))
            continue;
        if (begin < 0) {
            PangoLayoutLine *l = pango_layout_get_line_readonly(cell->layout, first);
            pango_layout_index_to_pos(cell->layout, l->start_index, &from);
            begin = (double)from.y / PANGO_SCALE;
        }
        pango_layout_index_to_pos(cell->layout, reference->at, &from);
        pango_layout_index_to_pos(cell->layout, reference->end - 1, &to);
        double left = (double)MIN(from.x, to.x) / PANGO_SCALE, right = (double)MAX(from.x + from.width, to.x + to.width) / PANGO_SCALE;
        gb_pdf_link_figure(pdf, reference->figure, x + left, top + (double)from.y / PANGO_SCALE - begin, right - left,
                           (double)from.height / PANGO_SCALE);
    }
}

/* --- rows --- */

typedef struct {
    const json_t *columns;
    gsize n;
    double x[MOST_COLUMNS], width[MOST_COLUMNS];
    gboolean numeric[MOST_COLUMNS];
} Grid;

static Grid make_grid(const GbPdf *pdf, const json_t *table)
{
    Grid grid = { .columns = json_object_get(table, "columns") };
    grid.n = MIN(json_array_size(grid.columns), MOST_COLUMNS);
    double shares = 0, x = pdf->left, room = pdf->right - pdf->left - APART_PT * (double)(grid.n > 0 ? grid.n - 1 : 0);
    for (gsize i = 0; i < grid.n; i++)
        shares += MAX(1, json_number_value(json_object_get(json_array_get(grid.columns, i), "share")));
    for (gsize i = 0; i < grid.n; i++) {
        const json_t *column = json_array_get(grid.columns, i);
        grid.x[i] = x;
        grid.width[i] = room * MAX(1, json_number_value(json_object_get(column, "share"))) / shares;
        grid.numeric[i] = json_is_true(json_object_get(column, "numeric"));
        x += grid.width[i] + APART_PT;
    }
    return grid;
}

/* again: on the pages that a table goes on to it is no part of the structure. */
static void put_head(GbPdf *pdf, const Grid *grid, gboolean again)
{
    double height = 0;
    if (!again)
        gb_pdf_open(pdf, "TR");
    for (gsize i = 0; i < grid->n; i++) {
        g_autoptr(PangoLayout) layout = gb_pdf_layout_cell(pdf, GB_STYLE_LABEL, gb_text_of(json_array_get(grid->columns, i), "label"),
                                                           grid->width[i], grid->numeric[i], NULL);
        double used = gb_pdf_show(pdf, again ? NULL : "TH", layout, GB_SOFT, grid->x[i], pdf->y); /* MAX would draw it twice */
        height = MAX(height, used);
    }
    if (!again)
        gb_pdf_close(pdf, "TR");
    pdf->y += height + PAD_PT;
    gb_pdf_rule(pdf, GB_SOFT, 0.5, pdf->left, pdf->y, pdf->right, pdf->y);
}

static void next_page(GbPdf *pdf, const Grid *grid)
{
    gb_pdf_end_page(pdf);
    gb_pdf_begin_page(pdf);
    put_head(pdf, grid, TRUE);
}

/* What fits of all cells. TRUE when something is left. */
static gboolean put_cells(GbPdf *pdf, const Grid *grid, Cell *cells)
{
    double most = 0, room = gb_pdf_left_over(pdf) - 2 * PAD_PT;
    gboolean more = FALSE;
    for (gsize i = 0; i < grid->n; i++) {
        if (cells[i].layout == NULL || cells[i].next_line < 0)
            continue;
        double used;
        int first = cells[i].next_line;
        double y = pdf->y + PAD_PT;
        const char *tag = i == 0 ? "TH" : "TD", *inner = cells[i].references->len > 0 ? "P" : NULL; /* text stands in leaves alone */
        gb_pdf_open(pdf, tag);
        cells[i].next_line = gb_pdf_lines(pdf, inner, cells[i].layout, GB_INK, grid->x[i], y, first, room, &used);
        link_references(pdf, &cells[i], grid->x[i], y, first, cells[i].next_line);
        gb_pdf_close(pdf, tag);
        most = MAX(most, used);
        more = more || cells[i].next_line >= 0;
    }
    pdf->y += most + 2 * PAD_PT;
    gb_pdf_rule(pdf, GB_HAIR, 0.4, pdf->left, pdf->y, pdf->right, pdf->y);
    return more;
}

static void put_row(GbPdf *pdf, const Grid *grid, const json_t *row)
{
    Cell cells[MOST_COLUMNS] = { 0 };
    const json_t *list = json_object_get(row, "cells");
    const char *id = gb_text_of(row, "id");
    double height = 0;
    gsize n = MIN(grid->n, json_array_size(list));
    for (gsize i = 0; i < n; i++) {
        cells[i] = cell_new(pdf, json_array_get(list, i), grid->width[i], grid->numeric[i]);
        height = MAX(height, gb_pdf_layout_height(cells[i].layout));
    }
    height += 2 * PAD_PT;
    if (height > gb_pdf_left_over(pdf) && height < (pdf->bottom - pdf->top) / 2)
        next_page(pdf, grid);
    if (id != NULL)
        gb_pdf_name(pdf, id, pdf->left, pdf->y);
    gb_pdf_open(pdf, "TR");
    while (put_cells(pdf, grid, cells))
        next_page(pdf, grid);
    gb_pdf_close(pdf, "TR");
    for (gsize i = 0; i < n; i++)
        cell_clear(&cells[i]);
}

void gb_pdf_table(GbPdf *pdf, const json_t *table)
{
    const Grid grid = make_grid(pdf, table);
    gsize i;
    const json_t *row;
    if (grid.n == 0)
        return;
    gb_pdf_need(pdf, 60);
    gb_pdf_open(pdf, "Table");
    put_head(pdf, &grid, FALSE);
    json_array_foreach(json_object_get(table, "rows"), i, row)
        put_row(pdf, &grid, row);
    gb_pdf_close(pdf, "Table");
    pdf->y += 6;
}

/* --- pairs --- */

#define MOST_PER_ROW 5

/* Too much for a row: one below the other, over as many pages as they need. */
static void flow_facts(GbPdf *pdf, const json_t *facts, gsize from, gsize to)
{
    double width = pdf->right - pdf->left;
    for (gsize i = from; i < to; i++) {
        const json_t *fact = json_array_get(facts, i);
        gb_pdf_need(pdf, 30);
        pdf->y += gb_pdf_put(pdf, "P", GB_STYLE_LABEL, GB_SOFT, gb_text_of(fact, "label"), pdf->left, pdf->y, width) + 1;
        gb_pdf_flow(pdf, "P", GB_STYLE_BODY, GB_INK, gb_text_of(fact, "value"), pdf->left, width);
        pdf->y += 6;
    }
}

void gb_pdf_facts(GbPdf *pdf, const json_t *facts, guint per_row)
{
    double apart = per_row > 3 ? 12 : 18, width = (pdf->right - pdf->left - (per_row - 1) * apart) / per_row;
    gsize n = json_array_size(facts);
    for (gsize i = 0; i < n; i += per_row) {
        PangoLayout *values[MOST_PER_ROW + 1] = { NULL };
        double height = 0;
        for (gsize k = 0; k < MIN(per_row, MOST_PER_ROW) && i + k < n; k++) {
            values[k] = gb_pdf_layout(pdf, GB_STYLE_BODY, gb_text_of(json_array_get(facts, i + k), "value"), width);
            height = MAX(height, gb_pdf_layout_height(values[k]));
        }
        if (height > (pdf->bottom - pdf->top) / 3) {
            flow_facts(pdf, facts, i, MIN(i + per_row, n));
            for (gsize k = 0; values[k] != NULL; k++)
                g_object_unref(values[k]);
            continue;
        }
        gb_pdf_need(pdf, height + 10);
        for (gsize k = 0; values[k] != NULL; k++) {
            double x = pdf->left + (double)k * (width + apart);
            gb_pdf_put(pdf, "P", GB_STYLE_LABEL, GB_SOFT, gb_text_of(json_array_get(facts, i + k), "label"), x, pdf->y, width);
            gb_pdf_show(pdf, "P", values[k], GB_INK, x, pdf->y + 10);
            g_object_unref(values[k]);
        }
        pdf->y += height + 18;
    }
}
