/* cmd_report.c -- gablebook report FOLDER
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "command.h"

static int report(int argc, char **argv);
const GbCommand gb_cmd_report = {
    .name = "report",
    .args = "FOLDER",
    .what = "build the photo report: one HTML file that opens anywhere, offline",
    .more = "Same log, same template, same version: same bytes. The template may be copied from templates/report/photo-report.html into "
            "FOLDER/templates/report/ and changed there.",
    .run = report,
};

static int report(int argc, char **argv)
{
    g_autofree char *out = NULL, *template = NULL, *written = NULL;
    int picture_px = 0;
    GOptionEntry entries[] = {
        { "out", 'o', 0, G_OPTION_ARG_FILENAME, &out, "where to (default: FOLDER/reports/photo-report.html)", "FILE" },
        { "template", 0, 0, G_OPTION_ARG_FILENAME, &template, "another template", "FILE" },
        { "picture-size", 0, 0, G_OPTION_ARG_INT, &picture_px, "longest side of a picture in pixels (default: 1280)", "N" },
        { NULL },
    };
    if (!gb_cli_parse(&gb_cmd_report, entries, &argc, &argv, 1, 1))
        return GB_EXIT_ERROR;
    GError *error = NULL;
    g_autoptr(GbLog) log = gb_cli_open(argv[1], GB_LOG_READ, NULL);
    if (log == NULL)
        return GB_EXIT_ERROR;
    const GbReportOptions options = { out, template, picture_px };
    if (!gb_report_build(log, &options, &written, &error))
        return gb_cli_fail(error);
    gb_cli_printf("%s\n", written);
    return GB_EXIT_DONE;
}
