/* main.c -- the program: finds the command and runs it.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "command.h"

#include <locale.h>
#include <unistd.h>

/* In the order of a user's day; help prints it in this order. One a line. */
#define COMMANDS(ENTRY) \
    ENTRY(visits) \
    ENTRY(new) \
    ENTRY(edit) \
    ENTRY(structure) \
    ENTRY(brief) \
    ENTRY(import) \
    ENTRY(clock) \
    ENTRY(list) \
    ENTRY(suggest) \
    ENTRY(subjects) \
    ENTRY(checklist) \
    ENTRY(tag) \
    ENTRY(mark) \
    ENTRY(fact) \
    ENTRY(square) \
    ENTRY(note) \
    ENTRY(roof) \
    ENTRY(finding) \
    ENTRY(check) \
    ENTRY(waive) \
    ENTRY(open) \
    ENTRY(report) \
    ENTRY(scope) \
    ENTRY(export) \
    ENTRY(verify) \
    ENTRY(undo) \
    ENTRY(redo) \
    ENTRY(history) \
    ENTRY(desk) \
    ENTRY(each) \
    ENTRY(settings) \
    ENTRY(help) \
    ENTRY(complete)

#define DECLARE(NAME) extern const GbCommand gb_cmd_##NAME;
#define LIST(NAME) &gb_cmd_##NAME,
COMMANDS(DECLARE)
const GbCommand *const gb_commands[] = { COMMANDS(LIST) NULL };

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
    setlocale(LC_NUMERIC, "C"); /* a number reads the same everywhere, in a report above all */
    atexit(check_output);
    json_set_alloc_funcs(g_malloc, g_free); /* out of memory it would leave members out of a report and go on */
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
