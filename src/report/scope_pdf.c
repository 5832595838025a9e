/* scope_pdf.c -- the scope sheet as a PDF: the same sheet as tables (table.c), drawn as any report is. See scope.h.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "report-private.h"

#include <gablebook/history.h>
#include <gablebook/scope.h>

static const char *text_of(const json_t *object, const char *key)
{
    return json_string_value(json_object_get(object, key));
}

static const char *or_not_said(const char *text)
{
    return text != NULL ? text : "not said";
}

/* "12 LF", "–" where nothing is to be done. */
static void add_quantity(json_t *table, json_t *row, const json_t *line)
{
    const char *quantity = text_of(line, "quantity");
    gboolean nothing = json_object_get(line, "nothing_to_do") != NULL;
    json_t *cell = gb_table_cell(table, row, quantity != NULL ? quantity : nothing ? "–" : "not said");
    gb_table_note(cell, text_of(line, "why_no_amount"));
}

static void add_line(json_t *table, const json_t *line)
{
    json_t *row = gb_table_row(table), *cell;
    const json_t *figures = json_object_get(line, "figures_list"), *figure;
    gsize i;
    g_autofree char *number = g_strdup_printf("%" JSON_INTEGER_FORMAT, json_integer_value(json_object_get(line, "number")));
    g_autofree char *id = g_strconcat("finding-", number, NULL);
    gb_put_text(row, "id", id);
    gb_table_cell(table, row, number);
    gb_table_cell(table, row, text_of(line, "part"));
    gb_table_note(gb_table_cell(table, row, text_of(line, "component")), text_of(line, "note"));
    gb_table_cell(table, row, or_not_said(text_of(line, "action")));
    add_quantity(table, row, line);
    gb_table_cell(table, row, or_not_said(text_of(line, "cause")));
    cell = gb_table_cell(table, row, json_array_size(figures) == 0 ? "no photo" : NULL);
    json_array_foreach(figures, i, figure)
        gb_table_figure(cell, (guint)json_integer_value(figure));
}

static json_t *structure_table(const json_t *structure, gsize number)
{
    g_autofree char *id = g_strdup_printf("structure-%d", (int)number);
    json_t *table = gb_table_new(id, text_of(structure, "title"), NULL);
    const json_t *line;
    gsize i;
    gb_table_column(table, "No.", 4, FALSE);
    gb_table_column(table, "Place", 14, FALSE);
    gb_table_column(table, "Component", 20, FALSE);
    gb_table_column(table, "What is to be done", 16, FALSE);
    gb_table_column(table, "Quantity", 14, TRUE);
    gb_table_column(table, "Cause", 9, FALSE);
    gb_table_column(table, "Figures", 11, FALSE);
    json_array_foreach(json_object_get(structure, "lines"), i, line)
        add_line(table, line);
    return table;
}

static json_t *totals_table(const json_t *totals)
{
    json_t *table = gb_table_new("totals", "Totals", "The same component, action and unit added up; what has no quantity, or needs nothing done, "
                                 "is not in it. EA each, LF linear feet, SF square feet, SQ squares of 100 square feet. A quantity with a word "
                                 "in brackets follows that measurement of the roof.");
    const json_t *total;
    gsize i;
    gb_table_column(table, "Component", 3, FALSE);
    gb_table_column(table, "What is to be done", 3, FALSE);
    gb_table_column(table, "Quantity", 2, TRUE);
    json_array_foreach(totals, i, total) {
        json_t *row = gb_table_row(table);
        gb_table_cell(table, row, text_of(total, "component"));
        gb_table_cell(table, row, or_not_said(text_of(total, "action")));
        gb_table_cell(table, row, text_of(total, "quantity"));
    }
    return table;
}

/* What a price would still need, before anything else. */
static void put_lacking(json_t *model, const json_t *counts)
{
    static const struct {
        const char *key, *what;
    } lacks[] = { { "without_quantity", "Without a quantity" }, { "without_photo", "Without a photo" } };
    g_autoptr(GString) text = g_string_new(NULL);
    int all = (int)json_integer_value(json_object_get(counts, "findings"));
    for (gsize i = 0; i < G_N_ELEMENTS(lacks); i++) {
        const json_t *n = json_object_get(counts, lacks[i].key);
        if (n != NULL)
            g_string_append_printf(text, "%s▲ %s: %d of %d.", text->len > 0 ? "\n" : "", lacks[i].what, (int)json_integer_value(n), all);
    }
    gb_put_text(model, "statement", text->str);
}

/* The sheet as a model that the PDF knows (docs/report-model.md). OWNED by the caller. */
static json_t *sheet_model(const GbDossier *dossier, const GbLocale *locale)
{
    static const char *const same[] = { "program", "state", "title", "claim", "locale" };
    g_autoptr(json_t) sheet = gb_scope_json(dossier);
    gb_localize(sheet, locale);
    json_t *tables = json_array(), *structure, *totals = json_object_get(sheet, "totals");
    json_t *model = json_pack("{s:s, s:s, s:o}", "label", "Scope sheet", "figures_in", "photo-report.pdf", "tables", tables);
    gsize s;
    for (gsize i = 0; i < G_N_ELEMENTS(same); i++)
        if (json_object_get(sheet, same[i]) != NULL)
            json_object_set(model, same[i], json_object_get(sheet, same[i]));
    put_lacking(model, json_object_get(sheet, "counts"));
    json_array_foreach(json_object_get(sheet, "structures"), s, structure)
        json_array_append_new(tables, structure_table(structure, s + 1));
    if (s == 0)
        gb_put_text(model, "nothing_found", "▲ No findings are written down.");
    if (json_array_size(totals) > 0)
        json_array_append_new(tables, totals_table(totals));
    return model;
}

gboolean gb_scope_pdf(GbLog *log, const GbDossier *dossier, const GbReportOptions *options, char **written, GError **error)
{
    g_autoptr(GPtrArray) history = gb_history_load(log, error);
    if (history == NULL)
        return FALSE;
    g_autofree char *path = options->out != NULL ? g_strdup(options->out) : gb_log_path(log, "reports", "scope-sheet.pdf", NULL);
    g_autoptr(json_t) model = sheet_model(dossier, options->locale);
    const GbPdfOptions pdf = { .paper = options->paper, .per_page = 1, .at_utc_s = gb_last_change(history), .warnings = options->warnings };
    gint64 bytes;
    if (!gb_report_make_folder(path, error) || !gb_pdf_write(model, &pdf, path, 0, &bytes, error))
        return FALSE;
    if (written != NULL)
        *written = g_steal_pointer(&path);
    return TRUE;
}
