/* cmd_finding.c -- gablebook finding FOLDER [add | change N | remove N | components]
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "command.h"

static int finding(int argc, char **argv);
const GbCommand gb_cmd_finding = {
    .name = "finding",
    .args = "FOLDER [add | change NUMBER | remove NUMBER | components]",
    .what = "write down what is damaged, by what, what is to be done, how much, and its proof; or list it",
    .more = "Causes: hail, wind, water, fire, impact, wear, other. Actions: remove and replace, repair, detach and reset, clean, none.\n\n"
            "A quantity is a number with EA (each), LF (linear feet), SF (square feet) or SQ (squares), or = and a measurement "
            "that it follows: '= squares', '= drip edge'; '=' alone takes what is usual for the component. Place and component may be left out where the "
            "shots tell them. An empty text takes a thing back.\n\n"
            "Examples:\n  gablebook finding FOLDER add --shots 13-16 --cause hail --action replace --quantity 2\n"
            "  gablebook finding FOLDER add --place 'rear slope' --component shingles --cause wind \\\n"
            "      --quantity '= squares' --shots 48-50\n"
            "  gablebook finding FOLDER change 3 --action repair --more-shots 51",
    .run = finding,
};

#define COLUMNS 8

static void add_finding(GPtrArray *cells, const GbDossier *dossier, const GbFinding *one)
{
    const GbPlace *place = gb_places_by_id(dossier->places, one->place);
    char *quantity = gb_finding_quantity_text(one);
    char *shots = gb_numbers_text(&g_array_index(one->shots, gint64, 0), one->shots->len);
    char *const row[COLUMNS] = {
        g_strdup_printf("%" G_GINT64_FORMAT, one->number), g_strdup(place != NULL ? place->label : ""),
        g_strdup(gb_finding_component_name(one, dossier->components)), g_strdup(one->cause), g_strdup(one->action), quantity, shots,
        g_strdup(one->note),
    };
    for (guint i = 0; i < COLUMNS; i++)
        g_ptr_array_add(cells, row[i] != NULL && *row[i] != '\0' ? row[i] : (g_free(row[i]), g_strdup("-")));
}

static int list(const char *folder, gboolean as_json)
{
    static const char *const head[COLUMNS] = { "finding", "place", "component", "cause", "action", "quantity", "shots", "note" };
    GError *error = NULL;
    g_autoptr(GbLog) log = gb_cli_open(folder, GB_LOG_READ, NULL);
    if (log == NULL)
        return GB_EXIT_ERROR;
    g_autoptr(GbDossier) dossier = gb_dossier_load(log, &error);
    if (dossier == NULL)
        return gb_cli_fail(error);
    if (as_json) {
        gb_cli_print_json(gb_findings_json(dossier->findings, dossier->places, dossier->components));
        return GB_EXIT_DONE;
    }
    if (dossier->findings->len == 0) {
        puts("No findings.");
        return GB_EXIT_DONE;
    }
    g_autoptr(GPtrArray) cells = g_ptr_array_new_with_free_func(g_free);
    for (guint i = 0; i < COLUMNS; i++)
        g_ptr_array_add(cells, g_strdup(head[i]));
    for (guint i = 0; i < dossier->findings->len; i++)
        add_finding(cells, dossier, dossier->findings->pdata[i]);
    gb_cli_table(cells, COLUMNS);
    return GB_EXIT_DONE;
}

static json_t *components_json(const GbComponents *components)
{
    json_t *list = json_array();
    for (guint i = 0; i < gb_components_size(components); i++) {
        const GbComponent *component = gb_components_peek(components, i);
        json_array_append_new(list, json_pack("{ss ss so}", "name", component->name, "unit", gb_unit_code(component->unit), "follows",
                                              component->measure == NULL ? json_null() : json_string(component->measure)));
    }
    return list;
}

static int list_components(const char *folder, gboolean as_json)
{
    GError *error = NULL;
    g_autoptr(GbLog) log = gb_cli_open(folder, GB_LOG_READ, NULL);
    if (log == NULL)
        return GB_EXIT_ERROR;
    g_autoptr(GbComponents) components = gb_dossier_components(log, &error);
    if (components == NULL)
        return gb_cli_fail(error);
    if (as_json) {
        gb_cli_print_json(components_json(components));
        return GB_EXIT_DONE;
    }
    g_autoptr(GPtrArray) cells = g_ptr_array_new();
    static const char *const head[] = { "component", "unit", "which is", "= follows" };
    for (gsize i = 0; i < G_N_ELEMENTS(head); i++)
        g_ptr_array_add(cells, (char *)head[i]);
    for (guint i = 0; i < gb_components_size(components); i++) {
        const GbComponent *component = gb_components_peek(components, i);
        g_ptr_array_add(cells, component->name);
        g_ptr_array_add(cells, (char *)gb_unit_code(component->unit));
        g_ptr_array_add(cells, (char *)gb_unit_name(component->unit));
        g_ptr_array_add(cells, component->measure != NULL ? component->measure : (char *)"");
    }
    gb_cli_table(cells, G_N_ELEMENTS(head));
    return GB_EXIT_DONE;
}

typedef enum { LIST, ADD, CHANGE, REMOVE, COMPONENTS, DEEDS } Deed;

static int contradiction(const char *what)
{
    return gb_cli_fail(g_error_new(GB_ERROR, GB_ERROR_SYNTAX, "finding: %s; nothing was changed", what));
}

static int write_finding(char **words, Deed deed, gint64 number, const char *as, const GbFindingEdit *edit, gboolean as_json)
{
    GError *error = NULL;
    g_autofree char *summary = NULL;
    g_autoptr(GbLog) log = gb_cli_open(words[0], GB_LOG_WRITE, as);
    if (log == NULL)
        return GB_EXIT_ERROR;
    gboolean done = deed == ADD ? gb_finding_add(log, edit, NULL, &summary, &error)
                    : deed == CHANGE ? gb_finding_change(log, number, edit, &summary, &error)
                                     : gb_finding_remove(log, number, &summary, &error);
    if (!done)
        return gb_cli_fail(error);
    return gb_cli_done(summary, as_json);
}

/* words: FOLDER and what follows. */
static int do_deed(char **words, Deed deed, const char *as, const GbFindingEdit *edit, gboolean as_json)
{
    const GbFindingEdit nothing = { 0 };
    gboolean says_something = memcmp(edit, &nothing, sizeof nothing) != 0, numbered = deed == CHANGE || deed == REMOVE;
    guint64 number = 0;
    if (numbered && (words[2] == NULL || !g_ascii_string_to_unsigned(words[2], 10, 1, G_MAXINT64, &number, NULL)))
        return contradiction("say which finding, by its number (gablebook finding FOLDER lists them)");
    if (!numbered && words[2] != NULL)
        return contradiction("too many words");
    if ((deed == ADD || deed == CHANGE) && !says_something)
        return contradiction("nothing to say; give a component, a cause, an action ... (see: gablebook finding --help)");
    if (deed != ADD && deed != CHANGE && says_something)
        return contradiction("what is to be said of which finding? say add, or change and its number");
    return write_finding(words, deed, (gint64)number, as, edit, as_json);
}

static int finding(int argc, char **argv)
{
    static const char *const deeds[DEEDS] = { "list", "add", "change", "remove", "components" };
    g_autofree char *place = NULL, *component = NULL, *cause = NULL, *action = NULL, *quantity = NULL, *note = NULL;
    g_autofree char *shots = NULL, *more = NULL, *fewer = NULL, *as = NULL;
    gboolean as_json = FALSE;
    GOptionEntry entries[] = {
        { "place", 0, 0, G_OPTION_ARG_STRING, &place, "where: front, 'rear slope', 'garage left' ...", "PLACE" },
        { "component", 0, 0, G_OPTION_ARG_STRING, &component, "what is damaged: shingles, gutter, 'window screen' ...", "COMPONENT" },
        { "cause", 0, 0, G_OPTION_ARG_STRING, &cause, "what did it: hail, wind ...", "CAUSE" },
        { "action", 0, 0, G_OPTION_ARG_STRING, &action, "what is to be done: replace, repair, detach, clean, none", "ACTION" },
        { "quantity", 0, 0, G_OPTION_ARG_STRING, &quantity, "how much: '12 LF', '3.5 SQ', 2, '= drip edge'", "QUANTITY" },
        { "note", 0, 0, G_OPTION_ARG_STRING, &note, "in your own words", "TEXT" },
        { "shots", 0, 0, G_OPTION_ARG_STRING, &shots, "the shots that prove it: exactly these", "SHOTS" },
        { "more-shots", 0, 0, G_OPTION_ARG_STRING, &more, "these too", "SHOTS" },
        { "fewer-shots", 0, 0, G_OPTION_ARG_STRING, &fewer, "these no longer", "SHOTS" },
        { "json", 0, 0, G_OPTION_ARG_NONE, &as_json, "as JSON", NULL },
        GB_CLI_AS(as),
        { NULL },
    };
    if (!gb_cli_parse(&gb_cmd_finding, entries, &argc, &argv, 1, 3))
        return GB_EXIT_ERROR;
    const GbFindingEdit edit = { place, component, cause, action, quantity, note, shots, more, fewer };
    GError *error = NULL;
    gssize deed = argc == 2 ? LIST : gb_word_find(argv[2], deeds, DEEDS, "word for finding", &error);
    if (deed < 0)
        return gb_cli_fail(error);
    if (deed == COMPONENTS)
        return list_components(argv[1], as_json);
    const GbFindingEdit nothing = { 0 };
    if (deed == LIST && memcmp(&edit, &nothing, sizeof nothing) == 0)
        return list(argv[1], as_json);
    return do_deed(argv + 1, (Deed)deed, as, &edit, as_json);
}
