/* cmd_settings.c -- gablebook settings [NAME [VALUE]]
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "command.h"

static int settings(int argc, char **argv);
const GbCommand gb_cmd_settings = {
    .name = "settings",
    .args = "[NAME [VALUE]]",
    .what = "show or change what is yours on this machine: adjuster, letterhead, checklist, set ...",
    .more = "An empty VALUE ('') takes a setting back. Settings go into new claims, or say how something is shown; claims that are there and their "
            "reports do not depend on them.\n\nA set is a folder with the checklists and templates that a carrier wants, laid out like a claim's own templates/ "
            "(subjects.ini, facts.ini, components.ini, checklists/, report/) and kept in the folder of sets that this command names. gablebook new FOLDER --set NAME copies one "
            "into the claim; the setting does so every time.\n\nExamples:\n  gablebook settings adjuster 'M. Tarn'\n  gablebook settings set "
            "alder-mutual",
    .run = settings,
};

#define COLUMNS 3

static void print_table(const GbSettings *settings)
{
    g_autoptr(GPtrArray) cells = g_ptr_array_new();
    g_autofree char *path = gb_settings_path(), *sets = gb_sets_folder();
    g_auto(GStrv) names = gb_set_names();
    g_autofree char *all = g_strjoinv(", ", names);
    static const char *const head[COLUMNS] = { "setting", "is", "what it is" };
    for (guint i = 0; i < COLUMNS; i++)
        g_ptr_array_add(cells, (char *)head[i]);
    for (const GbSetting *setting = gb_settings_all(); setting->name != NULL; setting++) {
        const char *value = gb_settings_get(settings, setting->name);
        g_ptr_array_add(cells, (char *)setting->name);
        g_ptr_array_add(cells, (char *)(value != NULL ? value : "-"));
        g_ptr_array_add(cells, (char *)setting->what);
    }
    gb_cli_table(cells, COLUMNS);
    gb_cli_printf("File: %s\n", path);
    gb_cli_printf("Sets: %s (in %s)\n", *all != '\0' ? all : "none", sets);
}

static json_t *settings_json(const GbSettings *settings)
{
    json_t *values = json_object(), *sets = json_array();
    g_autofree char *path = gb_settings_path(), *folder = gb_sets_folder();
    g_autofree char *shown = g_filename_display_name(path), *shown_folder = g_filename_display_name(folder);
    g_auto(GStrv) names = gb_set_names();
    for (const GbSetting *setting = gb_settings_all(); setting->name != NULL; setting++) {
        const char *value = gb_settings_get(settings, setting->name);
        json_object_set_new(values, setting->name, value == NULL ? json_null() : json_string(value));
    }
    for (char **name = names; *name != NULL; name++)
        json_array_append_new(sets, json_string(*name));
    return json_pack("{so ss so ss}", "settings", values, "file", shown, "sets", sets, "sets_folder", shown_folder);
}

static int show(const char *name, gboolean as_json)
{
    GError *error = NULL;
    g_autoptr(GbSettings) all = gb_settings_load(&error);
    if (all == NULL)
        return gb_cli_fail(error);
    if (as_json)
        gb_cli_print_json(settings_json(all));
    else if (name == NULL)
        print_table(all);
    else {
        const char *value = gb_settings_get(all, name);
        gb_cli_printf("%s\n", value == NULL ? "" : value);
    }
    return GB_EXIT_DONE;
}

/* One of a few words, abbreviated perhaps. OWNED by the caller; NULL with error. */
static char *one_of(const char *const *words, gsize n, const char *value, const char *what, GError **error)
{
    gssize i = gb_word_find(value, words, n, what, error);
    return i < 0 ? NULL : g_strdup(words[i]);
}

static char *logo_path(const char *value, GError **error)
{
    if (g_file_test(value, G_FILE_TEST_IS_REGULAR))
        return g_canonicalize_filename(value, NULL);
    g_set_error(error, GB_ERROR, GB_ERROR_IO, "%s: there is no such file; nothing was changed", value);
    return NULL;
}

/* A set that is none of those in the folder of sets; kept whole, for who works in another folder tomorrow. */
static char *set_path(const char *value, GError **error)
{
    if (g_file_test(value, G_FILE_TEST_IS_DIR))
        return g_canonicalize_filename(value, NULL);
    g_set_error(error, GB_ERROR, GB_ERROR_IO, "%s: there is no such folder; nothing was changed", value);
    return NULL;
}

/* A set and a logo must be there. A checklist may be one that only a set has; whether a claim can have it, gablebook new tells. What a
 * person abbreviated is written in full. OWNED by the caller; NULL with error. */
static char *understand(const char *name, const char *value, GError **error)
{
    static const char *const units[] = { "feet", "metres" }, *const papers[] = { "letter", "A4" };
    if (*value == '\0')
        return g_strdup(value);
    if (strcmp(name, "units") == 0)
        return one_of(units, G_N_ELEMENTS(units), value, "word for units", error);
    if (strcmp(name, "paper") == 0)
        return one_of(papers, G_N_ELEMENTS(papers), value, "paper", error);
    if (strcmp(name, "locale") == 0) {
        const GbLocale *locale;
        return gb_locale_parse(value, &locale, error) ? g_strdup(locale != NULL ? gb_locale_tag(locale) : gb_locale_tags()[0]) : NULL;
    }
    if (strcmp(name, "letterhead-logo") == 0)
        return logo_path(value, error);
    if (strcmp(name, "set") != 0)
        return g_strdup(value);
    if (strchr(value, '/') != NULL)
        return set_path(value, error);
    g_autofree char *folder = gb_set_find(value, error);
    return folder == NULL ? NULL : g_path_get_basename(folder);
}

static int change(const char *name, const char *value, gboolean as_json)
{
    GError *error = NULL;
    g_autofree char *whole = understand(name, value, &error);
    if (whole == NULL || !gb_settings_set(name, whole, &error))
        return gb_cli_fail(error);
    g_autofree char *said = g_strdup_printf("%s: %s", name, *whole != '\0' ? whole : "no longer set");
    return gb_cli_done(said, as_json);
}

static const char *find_name(const char *word, GError **error)
{
    g_autoptr(GPtrArray) names = g_ptr_array_new();
    for (const GbSetting *setting = gb_settings_all(); setting->name != NULL; setting++)
        g_ptr_array_add(names, (char *)setting->name);
    gssize i = gb_word_find(word, (const char *const *)names->pdata, names->len, "setting", error);
    return i < 0 ? NULL : names->pdata[i];
}

static int settings(int argc, char **argv)
{
    gboolean as_json = FALSE;
    GOptionEntry entries[] = { GB_CLI_JSON(as_json), { NULL } };
    if (!gb_cli_parse(&gb_cmd_settings, entries, &argc, &argv, 0, 2))
        return GB_EXIT_ERROR;
    GError *error = NULL;
    const char *name = argc > 1 ? find_name(argv[1], &error) : NULL;
    if (error != NULL)
        return gb_cli_fail(error);
    if (argc == 3 && !g_utf8_validate(argv[2], -1, NULL))
        return gb_cli_fail(g_error_new(GB_ERROR, GB_ERROR_SYNTAX, "settings: the value is no text in UTF-8; nothing was changed"));
    return argc == 3 ? change(name, argv[2], as_json) : show(name, as_json);
}
