/* cmd_verify.c -- gablebook verify FOLDER|ZIP
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "command.h"

static int verify(int argc, char **argv);
const GbCommand gb_cmd_verify = {
    .name = "verify",
    .args = "FOLDER|ZIP",
    .what = "tell whether every original, the log and the reports still are what they were",
    .more = "Every original is hashed anew and held against the log; the log against the seal that every change leaves; reports against their "
            "digests and the state of the log they name; an exported zip against its manifest. Nothing is changed.\n\n"
            "Exit status: 0 nothing differs, 1 something does, 2 it could not be looked at.",
    .run = verify,
};

static void print_result(const GbVerification *result)
{
    g_autofree char *looked_at = gb_verification_looked_at(result), *verdict = gb_verification_verdict(result);
    for (guint i = 0; i < result->remarks->len; i++)
        gb_cli_printf("  note   %s\n", (const char *)result->remarks->pdata[i]);
    for (guint i = 0; i < result->faults->len; i++)
        gb_cli_printf("> FAULT  %s\n", (const char *)result->faults->pdata[i]);
    printf("%s\n%s\n", looked_at, verdict);
}

static void wait_for_enter(void)
{
    fputs("Press Enter to close. ", stderr);
    for (int c = getchar(); c != EOF && c != '\n'; c = getchar())
        continue;
}

static int verify(int argc, char **argv)
{
    gboolean as_json = FALSE, wait = FALSE;
    GOptionEntry entries[] = {
        { "wait", 0, 0, G_OPTION_ARG_NONE, &wait, "wait for Enter at the end, for a window that would close", NULL },
        { "json", 0, 0, G_OPTION_ARG_NONE, &as_json, "as JSON", NULL },
        { NULL },
    };
    if (!gb_cli_parse(&gb_cmd_verify, entries, &argc, &argv, 1, 1))
        return GB_EXIT_ERROR;
    GError *error = NULL;
    g_autoptr(GbVerification) result = gb_verify(argv[1], NULL, &error);
    if (result == NULL)
        gb_cli_fail(gb_cli_say_where(error, argv[1], NULL));
    else if (as_json)
        gb_cli_print_json(gb_verification_json(result));
    else
        print_result(result);
    if (wait)
        wait_for_enter();
    return result == NULL ? GB_EXIT_ERROR : result->faults->len == 0 ? GB_EXIT_DONE : GB_EXIT_MISSING;
}
