/* cmd_report.c -- gablebook report FOLDER
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "command.h"

static int report(int argc, char **argv);
const GbCommand gb_cmd_report = {
    .name = "report",
    .args = "FOLDER",
    .what = "build a report: for the file, the reviewer or the insured; HTML or PDF",
    .more = "Each is one file that opens anywhere, offline: the photo report for the file; a sheet that tells a reviewer in two minutes "
            "what is there and what is not; a summary in plain words for the insured, without positions, times and file details. Same "
            "log, same templates, same version: same bytes.\n"
            "Templates may be copied from templates/report/ into FOLDER/templates/report/ and changed there. The letterhead may stand "
            "in FOLDER/templates/letterhead.ini (name, address, logo), what happens next in FOLDER/templates/next.txt.",
    .run = report,
};

/* "10MB", "800kB", "2.5 MiB", "900000". FALSE: said already. */
static gboolean parse_bytes(const char *text, gint64 *bytes, GError **error)
{
    static const struct {
        const char *unit;
        double factor;
    } units[] = { { "", 1 }, { "b", 1 }, { "k", 1e3 }, { "kb", 1e3 }, { "m", 1e6 }, { "mb", 1e6 }, { "g", 1e9 }, { "gb", 1e9 },
                  { "kib", 1024 }, { "mib", 1048576 }, { "gib", 1073741824 } };
    char *end;
    double number = g_ascii_strtod(text, &end);
    g_autofree char *unit = g_ascii_strdown(g_strstrip(end), -1);
    for (gsize i = 0; i < G_N_ELEMENTS(units); i++)
        if (end != text && strcmp(unit, units[i].unit) == 0 && number * units[i].factor >= 1 && number * units[i].factor < 1e12) {
            *bytes = (gint64)(number * units[i].factor);
            return TRUE;
        }
    g_set_error(error, GB_ERROR, GB_ERROR_SYNTAX, "report: '%s' is no size of a file; write 10MB, 800kB or a number of bytes", text);
    return FALSE;
}

/* Words of the command line that are not text alone. */
static gboolean understand(GbReportOptions *options, const char *reader, const char *paper, const char *locale, const char *budget,
                           GError **error)
{
    return (reader == NULL || gb_reader_parse(reader, &options->reader, error)) &&
           ((paper == NULL && options->format != GB_FORMAT_PDF) || gb_paper_parse(paper, &options->paper, error)) &&
           gb_locale_parse(locale, &options->locale, error) &&
           (budget == NULL || parse_bytes(budget, &options->budget_bytes, error));
}

static int print_model(GbLog *log, const GbReportOptions *options)
{
    GError *error = NULL;
    json_t *model = gb_report_json(log, options, &error);
    if (model == NULL)
        return gb_cli_fail(error);
    gb_cli_print_json(model);
    return GB_EXIT_DONE;
}

static int build(GbLog *log, GbReportOptions *options)
{
    GError *error = NULL;
    g_autofree char *written = NULL;
    g_autoptr(GPtrArray) warnings = g_ptr_array_new_with_free_func(g_free);
    options->warnings = warnings;
    if (!gb_report_build(log, options, &written, &error))
        return gb_cli_fail(error);
    gb_cli_warn(warnings);
    gb_cli_printf("%s\n", written);
    return GB_EXIT_DONE;
}

static int report(int argc, char **argv)
{
    g_autofree char *out = NULL, *template = NULL, *reader = NULL, *paper = NULL, *budget = NULL, *shots = NULL, *sender = NULL,
                    *address = NULL, *logo = NULL, *next = NULL, *locale = NULL;
    int picture_px = 0, per_page = 0;
    gboolean pdf = FALSE, json = FALSE;
    GOptionEntry entries[] = {
        { "for", 0, 0, G_OPTION_ARG_STRING, &reader, "who reads it: file, reviewer or insured (default: file)", "READER" },
        { "pdf", 0, 0, G_OPTION_ARG_NONE, &pdf, "a PDF instead of an HTML page", NULL },
        { "out", 'o', 0, G_OPTION_ARG_FILENAME, &out, "where to (default: in FOLDER/reports/)", "FILE" },
        { "shots", 0, 0, G_OPTION_ARG_STRING, &shots, "show these only: 3,7-12", "SHOTS" },
        { "budget", 0, 0, G_OPTION_ARG_STRING, &budget, "at most so large: 10MB; pictures get smaller until it fits", "SIZE" },
        { "picture-size", 0, 0, G_OPTION_ARG_INT, &picture_px, "longest side of a picture in pixels (default: 1280)", "N" },
        { "per-page", 0, 0, G_OPTION_ARG_INT, &per_page, "PDF: photos on a page, 1, 2, 3, 4 or 6 (default: 2)", "N" },
        { "paper", 0, 0, G_OPTION_ARG_STRING, &paper, "PDF: letter or A4 (default: as in settings, else letter)", "PAPER" },
        { "locale", 0, 0, G_OPTION_ARG_STRING, &locale, GB_CLI_LOCALE_HELP, "LOCALE" },
        { "sender", 0, 0, G_OPTION_ARG_STRING, &sender, "letterhead: name", "NAME" },
        { "sender-address", 0, 0, G_OPTION_ARG_STRING, &address, "letterhead: address, lines parted by ';'", "TEXT" },
        { "logo", 0, 0, G_OPTION_ARG_FILENAME, &logo, "letterhead: a JPEG or PNG", "FILE" },
        { "next", 0, 0, G_OPTION_ARG_STRING, &next, "for the insured: what happens next", "TEXT" },
        { "template", 0, 0, G_OPTION_ARG_FILENAME, &template, "HTML: another template", "FILE" },
        { "json", 0, 0, G_OPTION_ARG_NONE, &json, "print what the report is made of (docs/report-model.md), write nothing", NULL },
        { NULL },
    };
    if (!gb_cli_parse(&gb_cmd_report, entries, &argc, &argv, 1, 1))
        return GB_EXIT_ERROR;
    GError *error = NULL;
    g_autoptr(GbLog) log = gb_cli_open(argv[1], GB_LOG_READ, NULL);
    if (log == NULL || !gb_cli_look(log))
        return GB_EXIT_ERROR;
    GbReportOptions options = { .out = out, .template_ = template, .picture_px = picture_px, .per_page = per_page, .shots = shots,
                                .sender = sender, .sender_address = address, .logo = logo, .next = next,
                                .format = pdf ? GB_FORMAT_PDF : GB_FORMAT_HTML };
    if (!understand(&options, reader, paper, locale, budget, &error))
        return gb_cli_fail(error);
    return json ? print_model(log, &options) : build(log, &options);
}
