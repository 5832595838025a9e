/* cmd_brief.c -- gablebook brief FOLDER
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "command.h"

static int brief(int argc, char **argv);
const GbCommand gb_cmd_brief = {
    .name = "brief",
    .args = "FOLDER",
    .what = "before the visit: what to photograph and measure, in walking order, with the cautions, on one page",
    .more = "From the claim's checklist and places. For paper: --html writes FOLDER/reports/brief.html, which prints on one sheet.",
    .run = brief,
};

#define PAGE_COLUMNS 100

static int brief(int argc, char **argv)
{
    g_autofree char *out = NULL, *written = NULL;
    gboolean as_json = FALSE, html = FALSE;
    GOptionEntry entries[] = {
        { "html", 0, 0, G_OPTION_ARG_NONE, &html, "as a page that prints on one sheet", NULL },
        { "out", 'o', 0, G_OPTION_ARG_FILENAME, &out, "with --html: into this file", "FILE" },
        { "json", 0, 0, G_OPTION_ARG_NONE, &as_json, "as JSON", NULL },
        { NULL },
    };
    if (!gb_cli_parse(&gb_cmd_brief, entries, &argc, &argv, 1, 1))
        return GB_EXIT_ERROR;
    if ((html && as_json) || (out != NULL && !html))
        return gb_cli_fail(g_error_new(GB_ERROR, GB_ERROR_SYNTAX, "brief: --html and --json contradict each other, and --out goes with --html; "
                                       "nothing was written"));
    GError *error = NULL;
    g_autoptr(GbLog) log = gb_cli_open(argv[1], GB_LOG_READ, NULL);
    if (log == NULL)
        return GB_EXIT_ERROR;
    g_autoptr(GbDossier) dossier = gb_dossier_load(log, &error);
    if (dossier == NULL)
        return gb_cli_fail(error);
    if (html) {
        if (!gb_brief_html(log, dossier, out, &written, &error))
            return gb_cli_fail(error);
        gb_cli_printf("%s\n", written);
        return GB_EXIT_DONE;
    }
    if (as_json) {
        gb_cli_print_json(gb_brief_json(dossier));
        return GB_EXIT_DONE;
    }
    int screen = gb_cli_width();
    g_autofree char *text = gb_brief_text(dossier, screen > 0 ? (guint)MIN(screen, PAGE_COLUMNS) : PAGE_COLUMNS);
    fputs(text, stdout); /* made harmless already, line by line */
    return GB_EXIT_DONE;
}
