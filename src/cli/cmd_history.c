/* cmd_history.c -- gablebook history FOLDER [ENTRY]
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "command.h"

static int history(int argc, char **argv);
const GbCommand gb_cmd_history = {
    .name = "history",
    .args = "FOLDER [ENTRY]",
    .what = "show every change, by whom and when; or one of them, before and after",
    .more = "Times are UTC.",
    .run = history,
};

static void print_steps(const GbHistoryEntry *entry)
{
    for (guint i = 0; i < entry->steps->len; i++) {
        const GbHistoryStep *step = entry->steps->pdata[i];
        g_autofree char *at = gb_time_text((double)step->at_utc_s);
        gb_cli_printf("%s %s by %s\n", step->step, at, step->who);
    }
}

static int print_entry(GbLog *log, const GPtrArray *entries, gint64 number)
{
    GError *error = NULL;
    g_autoptr(GPtrArray) values = gb_history_values(log, number, &error);
    if (values == NULL)
        return gb_cli_fail(error);
    for (guint i = 0; i < entries->len; i++) {
        const GbHistoryEntry *entry = entries->pdata[i];
        if (entry->id == number) {
            gb_cli_printf("%s: %s\n", entry->verb, entry->summary);
            print_steps(entry);
        }
    }
    for (guint i = 0; i < values->len; i++) {
        const GbHistoryValue *value = values->pdata[i];
        gb_cli_printf("  %s %s%s%s: %s -> %s\n", value->table, value->row, *value->column ? ", " : "", value->column,
                      value->before ? value->before : "nothing", value->after ? value->after : "nothing");
    }
    return GB_EXIT_DONE;
}

static void print_all(const GPtrArray *entries)
{
    if (entries->len == 0)
        puts("Nothing was done yet.");
    for (guint i = 0; i < entries->len; i++) {
        const GbHistoryEntry *entry = entries->pdata[i];
        g_autofree char *at = gb_time_text((double)entry->at_utc_s);
        gb_cli_printf("%4" G_GINT64_FORMAT "  %s  %s  %s: %s%s\n", entry->id, at, entry->who, entry->verb, entry->summary,
                      strcmp(entry->state, "done") == 0     ? ""
                      : strcmp(entry->state, "undone") == 0 ? "  (undone)"
                                                            : "  (undone for good)");
    }
}

static int history(int argc, char **argv)
{
    if (!gb_cli_parse(&gb_cmd_history, NULL, &argc, &argv, 1, 2))
        return GB_EXIT_ERROR;
    GError *error = NULL;
    guint64 number = 0;
    if (argc == 3 && !g_ascii_string_to_unsigned(argv[2], 10, 1, G_MAXINT64, &number, NULL))
        return gb_cli_fail(g_error_new(GB_ERROR, GB_ERROR_SYNTAX, "history: '%s' is no number of an entry", argv[2]));
    g_autoptr(GbLog) log = gb_cli_open(argv[1], GB_LOG_READ, NULL);
    if (log == NULL)
        return GB_EXIT_ERROR;
    g_autoptr(GPtrArray) entries = gb_history_load(log, &error);
    if (entries == NULL)
        return gb_cli_fail(error);
    if (argc == 3)
        return print_entry(log, entries, (gint64)number);
    print_all(entries);
    return GB_EXIT_DONE;
}
