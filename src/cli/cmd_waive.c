/* cmd_waive.c -- gablebook waive FOLDER REQUIREMENT --why TEXT
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "command.h"

static int waive(int argc, char **argv);
const GbCommand gb_cmd_waive = {
    .name = "waive",
    .args = "FOLDER REQUIREMENT --why TEXT",
    .what = "say why a required photo could not be taken",
    .more = "REQUIREMENT is a line of gablebook check in your own words, as long as it is clear. Your name, the time and the reason stand in "
            "the report.\n\nExample:\n  gablebook waive FOLDER 'test square rear slope' --why 'wet and mossy, not safe to walk'",
    .run = waive,
};

static int waive(int argc, char **argv)
{
    g_autofree char *why = NULL, *as = NULL;
    gboolean take_back = FALSE, as_json = FALSE;
    GOptionEntry entries[] = {
        { "why", 0, 0, G_OPTION_ARG_STRING, &why, "the reason", "TEXT" },
        { "take-back", 0, 0, G_OPTION_ARG_NONE, &take_back, "the requirement holds again", NULL },
        GB_CLI_JSON(as_json),
        GB_CLI_AS(as),
        { NULL },
    };
    if (!gb_cli_parse(&gb_cmd_waive, entries, &argc, &argv, 2, 2))
        return GB_EXIT_ERROR;
    if ((why == NULL) != take_back)
        return gb_cli_fail(g_error_new(GB_ERROR, GB_ERROR_SYNTAX, "waive: %s; nothing was changed",
                                       take_back ? "--why and --take-back contradict each other" : "say why, with --why TEXT"));
    GError *error = NULL;
    g_autofree char *summary = NULL;
    g_autoptr(GbLog) log = gb_cli_open(argv[1], GB_LOG_WRITE, as);
    if (log == NULL)
        return GB_EXIT_ERROR;
    if (!gb_waive(log, argv[2], why, &summary, &error))
        return gb_cli_fail(error);
    return gb_cli_done(summary, as_json);
}
