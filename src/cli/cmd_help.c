/* cmd_help.c -- gablebook help [COMMAND]
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "command.h"

static int help(int argc, char **argv);
const GbCommand gb_cmd_help = { .name = "help", .args = "[COMMAND]", .what = "tell the commands, or one of them in full", .run = help };

static int help_on(const char *word)
{
    GError *error = NULL;
    const GbCommand *command = gb_cli_find_command(word, &error);
    if (command == NULL)
        return gb_cli_fail(error);
    char option[] = "--help", *words[] = { (char *)command->name, option, NULL };
    return command->run(2, words);
}

static int help(int argc, char **argv)
{
    if (!gb_cli_parse(&gb_cmd_help, NULL, &argc, &argv, 0, 1))
        return GB_EXIT_ERROR;
    if (argc == 2)
        return help_on(argv[1]);
    puts("gablebook: from a day's unnamed inspection photos to an ordered, captioned, complete photo file\n\n"
         "Usage: gablebook COMMAND ...\n");
    for (const GbCommand *const *command = gb_commands; *command != NULL; command++)
        printf("  %-10s %s\n", (*command)->name, (*command)->what);
    puts("\nEach command tells its words and options with: gablebook COMMAND --help\n"
         "A day: new and brief before the visit; there visits or import, clock, suggest, tag, fact, square, roof, finding and, before leaving,\n"
         "check --leaving; at the desk check, waive, report, scope, export.\n"
         "Nothing is lost: undo takes back, originals stay as they came.\n"
         "Exit status: 0 done, 1 something required is missing or was left out, 2 error.");
    return GB_EXIT_DONE;
}
