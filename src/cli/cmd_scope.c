/* cmd_scope.c -- gablebook scope FOLDER
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "command.h"

static int scope(int argc, char **argv);
const GbCommand gb_cmd_scope = {
    .name = "scope",
    .args = "FOLDER",
    .what = "the scope sheet: what is to be done where, and how much of it, for whoever prices the work",
    .more = "Without an option it is shown here. HTML and PDF go to FOLDER/reports/scope-sheet.html and .pdf unless --out says another "
            "file; CSV (RFC 4180) and JSON are printed unless --out names a file. Figures are those of the photo report; in a PDF they "
            "lead to photo-report.pdf beside it.",
    .run = scope,
};

#define COLUMNS 8

static char *proof_text(const json_t *line)
{
    gsize n = json_array_size(json_object_get(line, "figures_list"));
    if (n == 0)
        return g_strdup("no photo");
    g_autofree gint64 *figures = g_new(gint64, n);
    for (gsize i = 0; i < n; i++)
        figures[i] = json_integer_value(json_array_get(json_object_get(line, "figures_list"), i));
    return gb_numbers_text(figures, n);
}

static void add_cell(GPtrArray *cells, const json_t *object, const char *key)
{
    const char *text = json_string_value(json_object_get(object, key));
    g_ptr_array_add(cells, g_strdup(text != NULL ? text : "-"));
}

static void print_structure(const json_t *structure)
{
    static const char *const head[COLUMNS] = { "no.", "place", "component", "action", "cause", "quantity", "figures", "note" };
    static const char *const keys[] = { "part", "component", "action", "cause", "quantity" };
    g_autoptr(GPtrArray) cells = g_ptr_array_new_with_free_func(g_free);
    gsize i;
    const json_t *line;
    gb_cli_printf("%s\n", json_string_value(json_object_get(structure, "title")));
    for (guint c = 0; c < COLUMNS; c++)
        g_ptr_array_add(cells, g_strdup(head[c]));
    json_array_foreach(json_object_get(structure, "lines"), i, line) {
        g_ptr_array_add(cells, g_strdup_printf("%" JSON_INTEGER_FORMAT, json_integer_value(json_object_get(line, "number"))));
        for (gsize k = 0; k < G_N_ELEMENTS(keys); k++)
            add_cell(cells, line, keys[k]);
        g_ptr_array_add(cells, proof_text(line));
        add_cell(cells, line, "note");
    }
    gb_cli_table(cells, COLUMNS);
    putchar('\n');
}

static void print_totals(const json_t *totals)
{
    g_autoptr(GPtrArray) cells = g_ptr_array_new_with_free_func(g_free);
    gsize i;
    const json_t *total;
    if (json_array_size(totals) > 0)
        puts("Totals");
    json_array_foreach(totals, i, total) {
        add_cell(cells, total, "component");
        add_cell(cells, total, "action");
        add_cell(cells, total, "quantity");
    }
    gb_cli_table(cells, 3);
}

static void print_sheet(json_t *sheet)
{
    gsize i;
    const json_t *structure, *structures = json_object_get(sheet, "structures");
    if (json_array_size(structures) == 0)
        puts("No findings.");
    json_array_foreach(structures, i, structure)
        print_structure(structure);
    print_totals(json_object_get(sheet, "totals"));
    json_decref(sheet);
}

/* To the file, or where there is none to standard output. */
static int put_out(const char *text, const char *out)
{
    GError *error = NULL;
    if (out == NULL) {
        fputs(text, stdout);
        return GB_EXIT_DONE;
    }
    if (!gb_file_write(out, text, strlen(text), 0644, &error))
        return gb_cli_fail(error);
    gb_cli_printf("%s\n", out);
    return GB_EXIT_DONE;
}

static int put_json(json_t *sheet, const char *out)
{
    if (out == NULL) {
        gb_cli_print_json(sheet);
        return GB_EXIT_DONE;
    }
    char *dumped = json_dumps(sheet, JSON_INDENT(2));
    g_autofree char *text = g_strconcat(dumped, "\n", NULL);
    free(dumped);
    json_decref(sheet);
    return put_out(text, out);
}

static int put_html(const GbLog *log, const GbDossier *dossier, const GbLocale *locale, const char *out)
{
    GError *error = NULL;
    g_autofree char *written = NULL;
    if (!gb_scope_html(log, dossier, locale, out, &written, &error))
        return gb_cli_fail(error);
    gb_cli_printf("%s\n", written);
    return GB_EXIT_DONE;
}

static int put_pdf(GbLog *log, const GbDossier *dossier, GbPaper paper, const GbLocale *locale, const char *out)
{
    GError *error = NULL;
    g_autofree char *written = NULL;
    g_autoptr(GPtrArray) warnings = g_ptr_array_new_with_free_func(g_free);
    const GbReportOptions options = { .out = out, .paper = paper, .locale = locale, .warnings = warnings };
    if (!gb_scope_pdf(log, dossier, &options, &written, &error))
        return gb_cli_fail(error);
    gb_cli_warn(warnings);
    gb_cli_printf("%s\n", written);
    return GB_EXIT_DONE;
}

static int scope(int argc, char **argv)
{
    g_autofree char *out = NULL, *paper_word = NULL, *tag = NULL;
    GbPaper paper = GB_PAPER_LETTER;
    const GbLocale *locale = NULL;
    gboolean html = FALSE, pdf = FALSE, csv = FALSE, as_json = FALSE;
    GOptionEntry entries[] = {
        { "html", 0, 0, G_OPTION_ARG_NONE, &html, "as a page", NULL },
        { "pdf", 0, 0, G_OPTION_ARG_NONE, &pdf, "as a PDF", NULL },
        { "paper", 0, 0, G_OPTION_ARG_STRING, &paper_word, "PDF: letter or A4 (default: as in settings, else letter)", "PAPER" },
        { "locale", 0, 0, G_OPTION_ARG_STRING, &tag, GB_CLI_LOCALE_HELP, "LOCALE" },
        { "csv", 0, 0, G_OPTION_ARG_NONE, &csv, "as CSV", NULL },
        { "json", 0, 0, G_OPTION_ARG_NONE, &as_json, "as JSON", NULL },
        { "out", 'o', 0, G_OPTION_ARG_FILENAME, &out, "into this file", "FILE" },
        { NULL },
    };
    if (!gb_cli_parse(&gb_cmd_scope, entries, &argc, &argv, 1, 1))
        return GB_EXIT_ERROR;
    int forms = html + pdf + csv + as_json;
    if (forms > 1 || (out != NULL && forms == 0))
        return gb_cli_fail(g_error_new(GB_ERROR, GB_ERROR_SYNTAX, "scope: say one of --html, --pdf, --csv and --json; nothing was written"));
    GError *error = NULL;
    if ((pdf || paper_word != NULL) && !gb_paper_parse(paper_word, &paper, &error))
        return gb_cli_fail(error);
    if ((html || pdf || tag != NULL) && !gb_locale_parse(tag, &locale, &error))
        return gb_cli_fail(error);
    g_autoptr(GbLog) log = gb_cli_open(argv[1], GB_LOG_READ, NULL);
    if (log == NULL || !gb_cli_look(log))
        return GB_EXIT_ERROR;
    g_autoptr(GbDossier) dossier = gb_dossier_load(log, &error);
    if (dossier == NULL)
        return gb_cli_fail(error);
    if (html)
        return put_html(log, dossier, locale, out);
    if (pdf)
        return put_pdf(log, dossier, paper, locale, out);
    if (as_json)
        return put_json(gb_scope_json(dossier), out);
    g_autofree char *text = csv ? gb_scope_csv(dossier) : NULL;
    if (csv)
        return put_out(text, out);
    print_sheet(gb_scope_json(dossier));
    return GB_EXIT_DONE;
}
