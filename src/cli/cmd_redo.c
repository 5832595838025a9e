/* cmd_redo.c -- gablebook redo FOLDER
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "command.h"

static int redo(int argc, char **argv);
const GbCommand gb_cmd_redo = {
    .name = "redo",
    .args = "FOLDER",
    .what = "do again what was last undone",
    .more = "Possible until something else is done.",
    .run = redo,
};

static int redo(int argc, char **argv)
{
    g_autofree char *as = NULL, *summary = NULL;
    gboolean as_json = FALSE;
    GOptionEntry entries[] = { GB_CLI_JSON(as_json), GB_CLI_AS(as), { NULL } };
    if (!gb_cli_parse(&gb_cmd_redo, entries, &argc, &argv, 1, 1))
        return GB_EXIT_ERROR;
    GError *error = NULL;
    g_autoptr(GbLog) log = gb_cli_open(argv[1], GB_LOG_WRITE, as);
    if (log == NULL)
        return GB_EXIT_ERROR;
    if (!gb_history_redo(log, &summary, &error))
        return gb_cli_fail(error);
    g_autofree char *said = g_strdup_printf("Done again: %s", summary);
    return gb_cli_done(said, as_json);
}
