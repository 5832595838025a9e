/* cmd_undo.c -- gablebook undo FOLDER
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "command.h"

static int undo(int argc, char **argv);
const GbCommand gb_cmd_undo = {
    .name = "undo",
    .args = "FOLDER",
    .what = "take back the last change",
    .more = "Undoing an import takes its shots out of the claim; their originals stay safe in FOLDER/originals.",
    .run = undo,
};

static int undo(int argc, char **argv)
{
    g_autofree char *as = NULL, *summary = NULL;
    gboolean as_json = FALSE;
    GOptionEntry entries[] = { GB_CLI_JSON(as_json), GB_CLI_AS(as), { NULL } };
    if (!gb_cli_parse(&gb_cmd_undo, entries, &argc, &argv, 1, 1))
        return GB_EXIT_ERROR;
    GError *error = NULL;
    g_autoptr(GbLog) log = gb_cli_open(argv[1], GB_LOG_WRITE, as);
    if (log == NULL)
        return GB_EXIT_ERROR;
    if (!gb_history_undo(log, &summary, &error))
        return gb_cli_fail(error);
    g_autofree char *said = g_strdup_printf("Undone: %s", summary);
    return gb_cli_done(said, as_json);
}
