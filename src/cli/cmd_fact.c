/* cmd_fact.c -- gablebook fact FOLDER [PLACE FACT [VALUE]]
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "command.h"

static int fact(int argc, char **argv);
const GbCommand gb_cmd_fact = {
    .name = "fact",
    .args = "[FOLDER [PLACE FACT [VALUE]]]",
    .what = "record what is known of the property (covering, layers, pitch, storeys ...), or list it",
    .more = "A photo that was tagged with a value says the fact by itself: nobody types it twice. What is recorded here wins over the "
            "photos, and gablebook check points out where they differ. What is said of the roof holds for each slope that has no fact of its "
            "own, what is said of a structure for its parts. Values may be written in any usual way: 7 1/2:12, 32 deg, 10'4\", 3.15 m, "
            "12-15 years.\n\nExamples:\n  gablebook fact --kinds\n"
            "  gablebook fact FOLDER roof covering 'laminated asphalt shingle' --shots 45\n"
            "  gablebook fact FOLDER roof 'age of the covering' '12-15 years' --how told --note 'owner, on site'",
    .run = fact,
};

#define COLUMNS 6
#define KIND_COLUMNS 4

/* --- listing --- */

static void add(GPtrArray *cells, char *text)
{
    g_ptr_array_add(cells, *text != '\0' ? text : (g_free(text), g_strdup("-")));
}

static char *numbers_text(const GArray *numbers)
{
    return gb_numbers_text(&g_array_index(numbers, gint64, 0), numbers->len);
}

static void print_facts(const GbKnowledge *known)
{
    static const char *const head[COLUMNS] = { "place", "fact", "value", "how", "shots", "note" };
    g_autoptr(GPtrArray) cells = g_ptr_array_new_with_free_func(g_free);
    for (guint i = 0; i < COLUMNS; i++)
        g_ptr_array_add(cells, g_strdup(head[i]));
    for (guint i = 0; i < known->facts->len; i++) {
        const GbKnown *fact = known->facts->pdata[i];
        add(cells, g_strdup(fact->place->label));
        add(cells, g_strdup(fact->name));
        add(cells, g_strdup(fact->shown));
        add(cells, g_strdup_printf("%s%s", gb_how_word(fact->how), fact->fact == NULL ? " (photo)" : ""));
        add(cells, numbers_text(fact->shots));
        add(cells, g_strdup(fact->fact != NULL && fact->fact->note != NULL ? fact->fact->note : ""));
    }
    gb_cli_table(cells, COLUMNS);
}

static void print_points(const GbKnowledge *known)
{
    if (known->points->len > 0)
        puts("\nTo look at");
    for (guint i = 0; i < known->points->len; i++)
        gb_cli_printf("  %s\n", ((const GbPoint *)known->points->pdata[i])->text);
}

static int list_facts(const char *folder, gboolean as_json)
{
    GError *error = NULL;
    g_autoptr(GbLog) log = gb_cli_open(folder, GB_LOG_READ, NULL);
    if (log == NULL)
        return GB_EXIT_ERROR;
    g_autoptr(GbDossier) dossier = gb_dossier_load(log, &error);
    if (dossier == NULL)
        return gb_cli_fail(error);
    if (as_json) {
        gb_cli_print_json(gb_knowledge_json(dossier->known, dossier->threshold));
        return GB_EXIT_DONE;
    }
    if (dossier->known->facts->len == 0)
        puts("Nothing is recorded yet (gablebook fact --kinds shows what can be).");
    else
        print_facts(dossier->known);
    print_points(dossier->known);
    return GB_EXIT_DONE;
}

/* "choice", and under it the words: each with what it means. */
static void add_kind(GPtrArray *cells, const GbFactKind *kind)
{
    g_autofree char *where = gb_fact_where_text(kind);
    add(cells, g_strdup(kind->name));
    add(cells, g_strdup(gb_fact_type_word(kind->type)));
    add(cells, g_strdup(where));
    add(cells, g_strdup(kind->plain));
    for (guint i = 0; i < kind->choices->len; i++) {
        const GbChoice *choice = kind->choices->pdata[i];
        g_ptr_array_add(cells, g_strdup(""));
        g_ptr_array_add(cells, g_strdup(""));
        g_ptr_array_add(cells, g_strdup(""));
        g_ptr_array_add(cells, g_strdup_printf("  %s%s%s", choice->word, *choice->meaning != '\0' ? ": " : "", choice->meaning));
    }
}

static int print_kinds(const char *folder)
{
    static const char *const head[KIND_COLUMNS] = { "fact", "value", "said of", "in plain words, and the choices" };
    GError *error = NULL;
    g_autoptr(GbLog) log = folder != NULL ? gb_cli_open(folder, GB_LOG_READ, NULL) : NULL;
    if (folder != NULL && log == NULL)
        return GB_EXIT_ERROR;
    g_autoptr(GbCatalogue) catalogue = log == NULL ? gb_catalogue_builtin(&error) : gb_dossier_catalogue(log, &error);
    g_autoptr(GbFactlist) list = catalogue == NULL ? NULL
                                 : log == NULL     ? gb_factlist_builtin(catalogue, &error)
                                                   : gb_dossier_factlist(log, catalogue, &error);
    if (list == NULL)
        return gb_cli_fail(error);
    g_autoptr(GPtrArray) cells = g_ptr_array_new_with_free_func(g_free);
    for (guint i = 0; i < KIND_COLUMNS; i++)
        g_ptr_array_add(cells, g_strdup(head[i]));
    for (guint i = 0; i < gb_factlist_size(list); i++)
        add_kind(cells, gb_factlist_peek(list, i));
    gb_cli_table(cells, KIND_COLUMNS);
    return GB_EXIT_DONE;
}

/* --- recording --- */

static int record(char **words, const GbFactEdit *edit, gboolean take_back, const char *as)
{
    GError *error = NULL;
    g_autofree char *summary = NULL;
    g_autoptr(GbLog) log = gb_cli_open(words[0], GB_LOG_WRITE, as);
    if (log == NULL)
        return GB_EXIT_ERROR;
    if (take_back ? !gb_fact_drop(log, words[1], words[2], &summary, &error) : !gb_fact_say(log, words[1], words[2], edit, &summary, &error))
        return gb_cli_fail(error);
    gb_cli_printf("%s\n", summary);
    return GB_EXIT_DONE;
}

static int contradiction(const char *what)
{
    return gb_cli_fail(g_error_new(GB_ERROR, GB_ERROR_SYNTAX, "fact: %s; nothing was changed", what));
}

static int fact(int argc, char **argv)
{
    g_autofree char *how = NULL, *note = NULL, *shots = NULL, *as = NULL;
    gboolean take_back = FALSE, kinds = FALSE, as_json = FALSE;
    GOptionEntry entries[] = {
        { "how", 0, 0, G_OPTION_ARG_STRING, &how, "seen, measured, counted, estimated or told (default: as is usual for it)", "HOW" },
        { "shots", 0, 0, G_OPTION_ARG_STRING, &shots, "the photos that prove it (default: all that show it there)", "SHOTS" },
        { "note", 0, 0, G_OPTION_ARG_STRING, &note, "what else should be said of it", "TEXT" },
        { "take-back", 0, 0, G_OPTION_ARG_NONE, &take_back, "it is not recorded any more", NULL },
        { "kinds", 0, 0, G_OPTION_ARG_NONE, &kinds, "list what can be recorded, with the choices", NULL },
        { "json", 0, 0, G_OPTION_ARG_NONE, &as_json, "list as JSON", NULL },
        GB_CLI_AS(as),
        { NULL },
    };
    if (!gb_cli_parse(&gb_cmd_fact, entries, &argc, &argv, 0, 4))
        return GB_EXIT_ERROR;
    const GbFactEdit edit = { .value = argc == 5 ? argv[4] : NULL, .how = how, .note = note, .shots = shots };
    gboolean says = edit.value != NULL || how != NULL || note != NULL || shots != NULL;
    if (argc <= 2 && (says || take_back))
        return contradiction("say of which place, and which fact");
    if (kinds)
        return argc <= 2 ? print_kinds(argv[1]) : contradiction("--kinds lists, and does not record");
    if (argc == 2)
        return list_facts(argv[1], as_json);
    if (argc == 1 || argc == 3)
        return contradiction(argc == 1 ? "say which claim, or --kinds" : "say of which place, and which fact");
    if (says == take_back)
        return contradiction(says ? "--take-back contradicts what else is said" : "nothing to say; give a value, --how, --shots or --note");
    return record(argv + 1, &edit, take_back, as);
}
