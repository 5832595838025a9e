/* cmd_export.c -- gablebook export FOLDER
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "command.h"

static int export(int argc, char **argv);
const GbCommand gb_cmd_export = {
    .name = "export",
    .args = "FOLDER",
    .what = "put the whole claim into one zip for handing over, with a list of digests",
    .more = "Log, originals, reports and the claim's own templates; the cache stays out. Whoever gets it checks it with  gablebook verify ZIP, or "
            "unpacks it and runs  sha256sum -c manifest.sha256  in its folder.",
    .run = export,
};

static int export(int argc, char **argv)
{
    g_autofree char *out = NULL, *written = NULL;
    gboolean as_json = FALSE;
    GOptionEntry entries[] = {
        { "out", 'o', 0, G_OPTION_ARG_FILENAME, &out, "where to (default: FOLDER.claim.zip)", "FILE" },
        GB_CLI_JSON(as_json),
        { NULL },
    };
    if (!gb_cli_parse(&gb_cmd_export, entries, &argc, &argv, 1, 1))
        return GB_EXIT_ERROR;
    GError *error = NULL;
    guint files = 0;
    g_autoptr(GbLog) log = gb_cli_open(argv[1], GB_LOG_READ, NULL);
    if (log == NULL)
        return GB_EXIT_ERROR;
    if (!gb_export(log, out, NULL, &written, &files, &error))
        return gb_cli_fail(error);
    g_autofree char *shown = g_filename_display_name(written);
    if (as_json)
        gb_cli_print_json(json_pack("{ss si}", "written", shown, "files", (int)files));
    else
        gb_cli_printf("%s: %u file%s and their digests.\n", shown, files, files == 1 ? "" : "s");
    return GB_EXIT_DONE;
}
