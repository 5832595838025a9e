/* cmd_checklist.c -- gablebook checklist [lint PATH... | print NAME]
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "command.h"

static int checklist(int argc, char **argv);
const GbCommand gb_cmd_checklist = {
    .name = "checklist",
    .args = "[lint PATH... | print NAME]",
    .what = "list the checklists, print one to begin your own with, or look for faults in yours",
    .more = "lint looks at checklists, subjects.ini, facts.ini, components.ini and report templates (NAME.html), in files or whole folders, and "
            "tells faults with file and line.\n\nA checklist of your own stands in a claim's templates/checklists/, or in a set (gablebook settings).\n\n"
            "Examples:\n  gablebook checklist print exterior-wind-hail > hail.ini\n  gablebook checklist lint hail.ini\n\n"
            "Exit status of lint: 0 no faults, 1 faults, 2 error.",
    .run = checklist,
};

#define COLUMNS 3

static int list_all(gboolean as_json)
{
    GError *error = NULL;
    g_autoptr(GbCatalogue) catalogue = gb_catalogue_builtin(&error);
    g_autoptr(GbFactlist) factlist = catalogue == NULL ? NULL : gb_factlist_builtin(catalogue, &error);
    g_auto(GStrv) names = gb_checklist_names();
    g_autoptr(GPtrArray) cells = g_ptr_array_new_with_free_func(g_free);
    json_t *list = json_array();
    static const char *const head[COLUMNS] = { "checklist", "lines", "title" };
    for (guint i = 0; i < COLUMNS; i++)
        g_ptr_array_add(cells, g_strdup(head[i]));
    for (char **name = names; factlist != NULL && *name != NULL; name++) {
        g_autoptr(GbChecklist) one = gb_checklist_builtin(*name, catalogue, factlist, &error);
        if (one == NULL)
            break;
        g_ptr_array_add(cells, g_strdup(*name));
        g_ptr_array_add(cells, g_strdup_printf("%u", gb_checklist_size(one)));
        g_ptr_array_add(cells, g_strdup(gb_checklist_title(one)));
        json_array_append_new(list, json_pack("{ss si ss}", "name", *name, "requirements", (int)gb_checklist_size(one), "title",
                                              gb_checklist_title(one)));
    }
    if (error == NULL && as_json)
        gb_cli_print_json(json_incref(list));
    else if (error == NULL)
        gb_cli_table(cells, COLUMNS);
    json_decref(list);
    return error == NULL ? GB_EXIT_DONE : gb_cli_fail(error);
}

static int print(const char *word)
{
    GError *error = NULL;
    g_auto(GStrv) names = gb_checklist_names();
    gssize i = gb_word_find(word, (const char *const *)names, g_strv_length(names), "checklist", &error);
    g_autofree char *path = i < 0 ? NULL : g_strdup_printf("templates/checklists/%s.ini", names[i]);
    g_autofree char *text = path == NULL ? NULL : gb_builtin_text(path, &error);
    if (text == NULL)
        return gb_cli_fail(error);
    fputs(text, stdout);
    return GB_EXIT_DONE;
}

static json_t *file_json(const GbLintFile *file)
{
    json_t *faults = json_array();
    for (guint i = 0; i < file->faults->len; i++)
        json_array_append_new(faults, json_string(file->faults->pdata[i]));
    return json_pack("{ss ss so}", "file", file->path, "kind", file->kind, "faults", faults);
}

static int lint(char **paths, gboolean as_json)
{
    json_t *list = json_array();
    guint looked_at = 0, faults = 0;
    for (; *paths != NULL; paths++) {
        g_autoptr(GPtrArray) files = gb_lint(*paths);
        for (guint i = 0; i < files->len; i++, looked_at++) {
            const GbLintFile *file = files->pdata[i];
            faults += file->faults->len;
            json_array_append_new(list, file_json(file));
            for (guint f = 0; !as_json && f < file->faults->len; f++)
                gb_cli_printf("%s\n", (const char *)file->faults->pdata[f]);
        }
    }
    if (as_json)
        gb_cli_print_json(json_incref(list));
    else
        printf("%u file%s looked at, %u fault%s.\n", looked_at, looked_at == 1 ? "" : "s", faults, faults == 1 ? "" : "s");
    json_decref(list);
    return faults == 0 && looked_at > 0 ? GB_EXIT_DONE : GB_EXIT_MISSING;
}

static int checklist(int argc, char **argv)
{
    gboolean as_json = FALSE;
    GOptionEntry entries[] = { GB_CLI_JSON(as_json), { NULL } };
    if (!gb_cli_parse(&gb_cmd_checklist, entries, &argc, &argv, 0, -1))
        return GB_EXIT_ERROR;
    static const char *const words[] = { "lint", "print" };
    GError *error = NULL;
    if (argc == 1)
        return list_all(as_json);
    gssize word = gb_word_find(argv[1], words, G_N_ELEMENTS(words), "thing to do with checklists", &error);
    if (word < 0)
        return gb_cli_fail(error);
    if (argc == 2 || (word == 1 && argc > 3))
        return gb_cli_fail(g_error_new(GB_ERROR, GB_ERROR_SYNTAX, "checklist: usage: gablebook checklist lint PATH...  or  gablebook "
                                       "checklist print NAME"));
    return word == 0 ? lint(argv + 2, as_json) : print(argv[2]);
}
