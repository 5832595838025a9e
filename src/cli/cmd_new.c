/* cmd_new.c -- gablebook new FOLDER
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "facts.h"

static int new(int argc, char **argv);
const GbCommand gb_cmd_new = {
    .name = "new",
    .args = "FOLDER",
    .what = "make a claim folder",
    .more = "The claim begins with a dwelling of four elevations, a roof and four slopes; gablebook structure adds others. All facts "
            "can be said or corrected later with gablebook edit. Adjuster, checklist, letterhead and set come from gablebook settings where they are not said.",
    .run = new,
};

static int new(int argc, char **argv)
{
    Facts facts = { 0 };
    g_autofree char *set = NULL;
    GOptionEntry entries[FACT_ENTRIES + 1] = {
        { "set", 0, 0, G_OPTION_ARG_STRING, &set, "a carrier's set of checklists and templates, or '' for none", "SET" },
    };
    facts_entries(&facts, entries + 1);
    if (!gb_cli_parse(&gb_cmd_new, entries, &argc, &argv, 1, 1))
        return facts_clear(&facts), GB_EXIT_ERROR;
    GbBeginning beginning;
    g_autoptr(GbSettings) settings = facts_from_settings(&facts.edit, &set, &beginning);
    if (settings == NULL)
        return facts_clear(&facts), GB_EXIT_ERROR;
    GError *error = NULL;
    g_autoptr(GbLog) log = gb_new_with(argv[1], &facts.edit, &beginning, &error);
    gboolean as_json = facts.as_json;
    facts_clear(&facts);
    if (log == NULL)
        return gb_cli_fail(error);
    if (as_json) {
        g_autofree char *shown = g_filename_display_name(argv[1]);
        gb_cli_print_json(json_pack("{ss}", "folder", shown));
        return GB_EXIT_DONE;
    }
    gb_cli_printf("%s: a new claim, with a dwelling of four elevations, a roof and four slopes.\n", argv[1]);
    g_autofree char *word = gb_cli_shell_word(argv[1]);
    gb_cli_printf("Next: gablebook import %s PATH...\n", word);
    return GB_EXIT_DONE;
}
