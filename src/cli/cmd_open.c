/* cmd_open.c -- gablebook open FOLDER
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "command.h"

#include <gio/gio.h>
#include <web/server.h>

static int open_claim(int argc, char **argv);
const GbCommand gb_cmd_open = {
    .name = "open",
    .args = "FOLDER",
    .what = "open the sorting table: the claim in your browser",
    .more = "Serves the claim to your own browser, on this machine alone (127.0.0.1), until you press Ctrl-C, end it in the page, or leave it "
            "for half an hour. The printed address holds the key: who has it can read and change the claim while it is served. Nothing is "
            "loaded from elsewhere and nothing leaves the machine.",
    .run = open_claim,
};

typedef struct {
    gboolean no_browser;
} Opening;

/* Printed always: a browser may open elsewhere than one looks, or not at all. */
static void on_ready(const char *url, gpointer user)
{
    const Opening *opening = user;
    g_autoptr(GError) error = NULL;
    gb_cli_printf("%s\n", url);
    puts("Press Ctrl-C to end.");
    fflush(stdout);
    if (opening->no_browser)
        return;
    if (!g_app_info_launch_default_for_uri(url, NULL, &error))
        fputs("gablebook: no browser could be opened; open the address above in one on this machine\n", stderr);
}

static int open_claim(int argc, char **argv)
{
    g_autofree char *as = NULL;
    gboolean no_browser = FALSE;
    int port = 0;
    GOptionEntry entries[] = {
        { "no-browser", 0, 0, G_OPTION_ARG_NONE, &no_browser, "print the address only", NULL },
        { "port", 0, 0, G_OPTION_ARG_INT, &port, "1024 to 65535 (default: any that is free)", "N" },
        GB_CLI_AS(as),
        { NULL },
    };
    if (!gb_cli_parse(&gb_cmd_open, entries, &argc, &argv, 1, 1))
        return GB_EXIT_ERROR;
    if (port != 0 && (port < 1024 || port > 65535))
        return gb_cli_fail(g_error_new(GB_ERROR, GB_ERROR_SYNTAX, "open: --port must be from 1024 to 65535"));
    g_autoptr(GbLog) log = gb_cli_open(argv[1], GB_LOG_READ, NULL); /* what is no claim is told as by every command */
    if (log == NULL)
        return GB_EXIT_ERROR;
    g_clear_pointer(&log, gb_log_free);
    GError *error = NULL;
    Opening opening = { no_browser };
    const GbWebOptions options = { argv[1], as, port, on_ready, &opening };
    return gb_web_run(&options, &error) ? GB_EXIT_DONE : gb_cli_fail(error);
}
