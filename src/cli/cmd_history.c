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

static json_t *utc_json(gint64 at_utc_s)
{
    g_autoptr(GDateTime) at = g_date_time_new_from_unix_utc(at_utc_s);
    g_autofree char *text = at == NULL ? NULL : g_date_time_format(at, "%Y-%m-%dT%H:%M:%SZ");
    return text == NULL ? json_null() : json_string(text);
}

static json_t *text_or_null(const char *text)
{
    return text == NULL ? json_null() : json_string(text);
}

static json_t *entry_json(const GbHistoryEntry *entry)
{
    json_t *steps = json_array();
    for (guint i = 0; i < entry->steps->len; i++) {
        const GbHistoryStep *step = entry->steps->pdata[i];
        json_array_append_new(steps, json_pack("{ss so ss}", "step", step->step, "at", utc_json(step->at_utc_s), "who", step->who));
    }
    return json_pack("{sI ss ss ss ss so so}", "entry", (json_int_t)entry->id, "verb", entry->verb, "summary", entry->summary, "state",
                     entry->state, "who", entry->who, "at", utc_json(entry->at_utc_s), "steps", steps);
}

static json_t *values_json(const GPtrArray *values)
{
    json_t *list = json_array();
    for (guint i = 0; i < values->len; i++) {
        const GbHistoryValue *value = values->pdata[i];
        json_array_append_new(list, json_pack("{ss ss so so so}", "table", value->table, "row", value->row, "column",
            *value->column ? json_string(value->column) : json_null(), "before", text_or_null(value->before), "after",
            text_or_null(value->after)));
    }
    return list;
}

/* All entries; or with number one of them, and what it changed. */
static int print_json(GbLog *log, const GPtrArray *entries, gint64 number)
{
    GError *error = NULL;
    g_autoptr(GPtrArray) values = number == 0 ? NULL : gb_history_values(log, number, &error);
    if (error != NULL)
        return gb_cli_fail(error);
    json_t *list = json_array(), *one = NULL;
    for (guint i = 0; i < entries->len; i++) {
        const GbHistoryEntry *entry = entries->pdata[i];
        if (number == 0)
            json_array_append_new(list, entry_json(entry));
        else if (entry->id == number)
            one = entry_json(entry);
    }
    if (one != NULL)
        json_object_set_new(one, "values", values_json(values));
    gb_cli_print_json(one != NULL ? one : json_incref(list));
    json_decref(list);
    return GB_EXIT_DONE;
}

static int history(int argc, char **argv)
{
    gboolean as_json = FALSE;
    GOptionEntry options[] = { GB_CLI_JSON(as_json), { NULL } };
    if (!gb_cli_parse(&gb_cmd_history, options, &argc, &argv, 1, 2))
        return GB_EXIT_ERROR;
    GError *error = NULL;
    guint64 number = 0;
    if (argc == 3 && !g_ascii_string_to_unsigned(argv[2], 10, 1, G_MAXINT64, &number, NULL))
        return gb_cli_fail(g_error_new(GB_ERROR, GB_ERROR_SYNTAX, "history: '%s' is no number of an entry; gablebook history FOLDER lists them", argv[2]));
    g_autoptr(GbLog) log = gb_cli_open(argv[1], GB_LOG_READ, NULL);
    if (log == NULL)
        return GB_EXIT_ERROR;
    g_autoptr(GPtrArray) entries = gb_history_load(log, &error);
    if (entries == NULL)
        return gb_cli_fail(error);
    if (as_json)
        return print_json(log, entries, (gint64)number);
    if (argc == 3)
        return print_entry(log, entries, (gint64)number);
    print_all(entries);
    return GB_EXIT_DONE;
}
