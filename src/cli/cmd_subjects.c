/* cmd_subjects.c -- gablebook subjects [FOLDER]
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "command.h"

static int subjects(int argc, char **argv);
const GbCommand gb_cmd_subjects = {
    .name = "subjects",
    .args = "[FOLDER]",
    .what = "list what a photo can show",
    .more = "With a claim folder: as that claim knows them, its own templates/subjects.ini included.",
    .run = subjects,
};

#define COLUMNS 4

static void print_catalogue(const GbCatalogue *catalogue)
{
    static const char *const head[COLUMNS] = { "subject", "usually", "value", "in plain words" };
    g_autoptr(GPtrArray) cells = g_ptr_array_new();
    for (guint i = 0; i < COLUMNS; i++)
        g_ptr_array_add(cells, (char *)head[i]);
    for (guint i = 0; i < gb_catalogue_size(catalogue); i++) {
        const GbSubject *subject = gb_catalogue_peek(catalogue, i);
        const char *distance = gb_distance_word(subject->distance);
        g_ptr_array_add(cells, subject->name);
        g_ptr_array_add(cells, (char *)(*distance ? distance : "-"));
        g_ptr_array_add(cells, (char *)(subject->value == GB_VALUE_NONE ? "-" : gb_value_kind_word(subject->value)));
        g_ptr_array_add(cells, subject->plain);
    }
    gb_cli_table(cells, COLUMNS);
}

static json_t *word_or_null(const char *word)
{
    return *word ? json_string(word) : json_null();
}

static json_t *catalogue_json(const GbCatalogue *catalogue)
{
    static const char *const shows[] = { "neither", "damage", "no damage" };
    json_t *list = json_array();
    for (guint i = 0; i < gb_catalogue_size(catalogue); i++) {
        const GbSubject *subject = gb_catalogue_peek(catalogue, i);
        json_array_append_new(list, json_pack("{ss ss so so ss ss ss}", "id", subject->id, "name", subject->name, "distance",
            word_or_null(gb_distance_word(subject->distance)), "value",
            word_or_null(subject->value == GB_VALUE_NONE ? "" : gb_value_kind_word(subject->value)), "shows", shows[subject->shows],
            "caption", subject->caption, "plain", subject->plain));
    }
    return list;
}

static int subjects(int argc, char **argv)
{
    gboolean as_json = FALSE;
    GOptionEntry entries[] = { GB_CLI_JSON(as_json), { NULL } };
    if (!gb_cli_parse(&gb_cmd_subjects, entries, &argc, &argv, 0, 1))
        return GB_EXIT_ERROR;
    GError *error = NULL;
    g_autoptr(GbLog) log = argc == 2 ? gb_cli_open(argv[1], GB_LOG_READ, NULL) : NULL;
    if (argc == 2 && log == NULL)
        return GB_EXIT_ERROR;
    g_autoptr(GbCatalogue) catalogue = log == NULL ? gb_catalogue_builtin(&error) : gb_dossier_catalogue(log, &error);
    if (catalogue == NULL)
        return gb_cli_fail(error);
    if (as_json)
        gb_cli_print_json(catalogue_json(catalogue));
    else
        print_catalogue(catalogue);
    return GB_EXIT_DONE;
}
