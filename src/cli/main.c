/* main.c -- the program: finds the command and runs it.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "command.h"

#include <locale.h>
#include <unistd.h>

extern const GbCommand gb_cmd_new, gb_cmd_edit, gb_cmd_structure, gb_cmd_import, gb_cmd_list, gb_cmd_subjects, gb_cmd_tag, gb_cmd_check,
    gb_cmd_waive, gb_cmd_open, gb_cmd_report, gb_cmd_undo, gb_cmd_redo, gb_cmd_history, gb_cmd_help;

const GbCommand *const gb_commands[] = {
    &gb_cmd_new,   &gb_cmd_edit,   &gb_cmd_structure, &gb_cmd_import, &gb_cmd_list, &gb_cmd_subjects, &gb_cmd_tag,  &gb_cmd_check,
    &gb_cmd_waive, &gb_cmd_open, &gb_cmd_report, &gb_cmd_undo,      &gb_cmd_redo,   &gb_cmd_history, &gb_cmd_help,  NULL,
};

/* At every end, GOption's own after --help included: a full disk or a closed pipe must not look like success. */
static void check_output(void)
{
    if (fflush(stdout) == 0 && !ferror(stdout))
        return;
    gb_cli_fail(g_error_new(GB_ERROR, GB_ERROR_IO, "the output can't be written and is incomplete; what the command changed stays changed"));
    _exit(GB_EXIT_ERROR);
}

int main(int argc, char **argv)
{
    setlocale(LC_ALL, "");
    atexit(check_output);
    if (argc < 2 || strcmp(argv[1], "--help") == 0 || strcmp(argv[1], "-h") == 0)
        return gb_cmd_help.run(1, argv) + (argc < 2 ? GB_EXIT_ERROR : GB_EXIT_DONE);
    if (strcmp(argv[1], "--version") == 0) {
        puts("gablebook " GB_VERSION);
        return GB_EXIT_DONE;
    }
    GError *error = NULL;
    const GbCommand *command = gb_cli_find_command(argv[1], &error);
    return command == NULL ? gb_cli_fail(error) : command->run(argc - 1, argv + 1);
}
