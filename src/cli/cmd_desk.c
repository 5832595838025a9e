/* cmd_desk.c -- gablebook desk DIR
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "command.h"

static int desk(int argc, char **argv);
const GbCommand gb_cmd_desk = {
    .name = "desk",
    .args = "DIR",
    .what = "list all claims in a folder: what each lacks, its age, its last change",
    .more = "Those that lack something come first, of these the oldest. Age counts from the day of the inspection, else from the first change. "
            "What was seen is remembered; a claim that did not change since is not looked into again.\n\n"
            "Exit status: 0 all are complete, 1 some lack something or could not be opened, 2 error.",
    .run = desk,
};

#define COLUMNS 7

static void add_claim(GPtrArray *cells, const GbDeskClaim *claim, gint64 now_utc_s)
{
    int age = gb_desk_age_days(claim, now_utc_s);
    g_autofree char *changed = claim->changed_utc_s == 0 ? NULL : gb_time_text((double)claim->changed_utc_s);
    const char *who = claim->insured != NULL ? claim->insured : claim->address;
    g_ptr_array_add(cells, g_strdup(claim->name));
    g_ptr_array_add(cells, g_strdup(who != NULL ? who : "-"));
    g_ptr_array_add(cells, claim->fault != NULL ? g_strdup("-") : g_strdup_printf("%u", claim->shots));
    g_ptr_array_add(cells, claim->fault != NULL ? g_strdup("FAULT") : claim->complete ? g_strdup("complete")
                           : g_strdup_printf("LACKS %u", claim->missing + claim->weak));
    g_ptr_array_add(cells, age < 0 ? g_strdup("-") : g_strdup_printf("%d", age));
    g_ptr_array_add(cells, g_strndup(changed != NULL ? changed : "-", 10));
    g_ptr_array_add(cells, g_strdup(claim->fault != NULL ? claim->fault : claim->first_missing != NULL ? claim->first_missing : "-"));
}

static void print_table(const GbDesk *desk, gint64 now_utc_s)
{
    static const char *const head[COLUMNS] = { "claim", "insured", "shots", "state", "days", "changed", "first of what it lacks" };
    g_autoptr(GPtrArray) cells = g_ptr_array_new_with_free_func(g_free);
    guint complete = 0;
    for (guint i = 0; i < COLUMNS; i++)
        g_ptr_array_add(cells, g_strdup(head[i]));
    for (guint i = 0; i < desk->claims->len; i++) {
        const GbDeskClaim *claim = desk->claims->pdata[i];
        add_claim(cells, claim, now_utc_s);
        complete += claim->complete;
    }
    if (desk->claims->len > 0)
        gb_cli_table(cells, COLUMNS);
    gb_cli_printf("%u claim%s in %s, %u complete.\n", desk->claims->len, desk->claims->len == 1 ? "" : "s", desk->dir, complete);
}

static int status_of(const GbDesk *desk)
{
    for (guint i = 0; i < desk->claims->len; i++)
        if (!((const GbDeskClaim *)desk->claims->pdata[i])->complete)
            return GB_EXIT_MISSING;
    return GB_EXIT_DONE;
}

static int desk(int argc, char **argv)
{
    g_autofree char *html = NULL;
    gboolean as_json = FALSE, anew = FALSE;
    GOptionEntry entries[] = {
        { "html", 0, 0, G_OPTION_ARG_FILENAME, &html, "write it as a page", "FILE" },
        { "anew", 0, 0, G_OPTION_ARG_NONE, &anew, "look into every claim, whatever was seen before", NULL },
        GB_CLI_JSON(as_json),
        { NULL },
    };
    if (!gb_cli_parse(&gb_cmd_desk, entries, &argc, &argv, 1, 1))
        return GB_EXIT_ERROR;
    GError *error = NULL;
    gint64 now_utc_s = g_get_real_time() / G_USEC_PER_SEC;
    g_autoptr(GbDesk) all = gb_desk_load(argv[1], anew, &error);
    if (all == NULL || (html != NULL && !gb_desk_write_html(all, now_utc_s, html, &error)))
        return gb_cli_fail(error);
    if (as_json)
        gb_cli_print_json(gb_desk_json(all, now_utc_s));
    else if (html != NULL) {
        g_autofree char *shown = g_filename_display_name(html);
        gb_cli_printf("%s\n", shown);
    } else
        print_table(all, now_utc_s);
    return status_of(all);
}
