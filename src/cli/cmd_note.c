/* cmd_note.c -- gablebook note FOLDER [TEXT]
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "command.h"

static int note(int argc, char **argv);
const GbCommand gb_cmd_note = {
    .name = "note",
    .args = "FOLDER [TEXT]",
    .what = "write a note on the claim, a place or a shot; list and search them",
    .more = "A note stays in the claim. It stands in the report only with --report.\n\nExamples:\n"
            "  gablebook note FOLDER 'Owner was present; dog in the yard'\n"
            "  gablebook note FOLDER 'Moss below the ridge, not walked' --place 'rear slope' --report\n"
            "  gablebook note FOLDER --search moss\n  gablebook note FOLDER 'Moss, not walked' --change 2",
    .run = note,
};

#define COLUMNS 5

/* What a person asked for. */
typedef struct {
    char *place, *search, *as;
    gint64 shot, change, take_out;
    gboolean report, no_report, as_json;
} Words;

/* --- listing --- */

static gboolean passes(const Words *words, const GbPlace *place, const GbNote *n)
{
    return (words->search == NULL || gb_note_has(n, words->search)) && (words->place == NULL || (place != NULL && n->place == place->id)) &&
           (words->shot == 0 || n->shot == words->shot);
}

/* Those that pass. Array of const GbNote *, OWNED by the caller; NULL with error. */
static GPtrArray *filter(const GbDossier *dossier, const Words *words, GError **error)
{
    const GbPlace *place = words->place == NULL ? NULL : gb_places_find(dossier->places, words->place, error);
    if (words->place != NULL && place == NULL)
        return NULL;
    GPtrArray *found = g_ptr_array_new();
    for (guint i = 0; i < dossier->notes->len; i++)
        if (passes(words, place, dossier->notes->pdata[i]))
            g_ptr_array_add(found, dossier->notes->pdata[i]);
    return found;
}

static char *on_text(const GbDossier *dossier, const GbNote *n)
{
    const GbPlace *place = n->place == 0 ? NULL : gb_places_by_id(dossier->places, n->place);
    return place != NULL ? g_strdup(place->label) : n->shot != 0 ? g_strdup_printf("shot %" G_GINT64_FORMAT, n->shot) : g_strdup("claim");
}

static void print_notes(const GbDossier *dossier, const GPtrArray *notes)
{
    static const char *const head[COLUMNS] = { "note", "on", "report", "by", "text" };
    g_autoptr(GPtrArray) cells = g_ptr_array_new_with_free_func(g_free);
    for (guint i = 0; i < COLUMNS; i++)
        g_ptr_array_add(cells, g_strdup(head[i]));
    for (guint i = 0; i < notes->len; i++) {
        const GbNote *n = notes->pdata[i];
        g_ptr_array_add(cells, g_strdup_printf("%" G_GINT64_FORMAT, n->number));
        g_ptr_array_add(cells, on_text(dossier, n));
        g_ptr_array_add(cells, g_strdup(n->in_report ? "yes" : "-"));
        g_ptr_array_add(cells, g_strdup(n->who));
        g_ptr_array_add(cells, g_strdup(n->text));
    }
    gb_cli_table(cells, COLUMNS);
}

static int list_notes(const char *folder, const Words *words)
{
    GError *error = NULL;
    g_autoptr(GbLog) log = gb_cli_open(folder, GB_LOG_READ, NULL);
    if (log == NULL)
        return GB_EXIT_ERROR;
    g_autoptr(GbDossier) dossier = gb_dossier_load(log, &error);
    g_autoptr(GPtrArray) notes = dossier == NULL ? NULL : filter(dossier, words, &error);
    if (notes == NULL)
        return gb_cli_fail(error);
    if (words->as_json)
        gb_cli_print_json(gb_notes_json(notes, dossier->places));
    else if (notes->len == 0)
        puts("No notes.");
    else
        print_notes(dossier, notes);
    return GB_EXIT_DONE;
}

/* --- writing --- */

static int write_note(const char *folder, const char *text, const Words *words)
{
    GError *error = NULL;
    g_autofree char *summary = NULL;
    GbNoteInReport in_report = words->report ? GB_NOTE_FOR_REPORT : words->no_report ? GB_NOTE_NOT_FOR_REPORT : GB_NOTE_KEEP;
    g_autoptr(GbLog) log = gb_cli_open(folder, GB_LOG_WRITE, words->as);
    if (log == NULL)
        return GB_EXIT_ERROR;
    gboolean done = words->take_out != 0 ? gb_note_remove(log, words->take_out, &summary, &error)
                    : words->change != 0 ? gb_note_change(log, words->change, text, in_report, &summary, &error)
                                         : gb_note_add(log, words->place, words->shot, text, in_report, NULL, &summary, &error);
    if (!done)
        return gb_cli_fail(error);
    gb_cli_printf("%s\n", summary);
    return GB_EXIT_DONE;
}

static int contradiction(const char *what)
{
    return gb_cli_fail(g_error_new(GB_ERROR, GB_ERROR_SYNTAX, "note: %s; nothing was changed", what));
}

/* NULL when the words make sense together. */
static const char *find_contradiction(const Words *words, const char *text)
{
    gboolean says = text != NULL || words->report || words->no_report;
    if (words->report && words->no_report)
        return "--report and --no-report contradict each other";
    if (words->search != NULL && (says || words->change != 0 || words->take_out != 0))
        return "--search lists, and does not change";
    if (words->change != 0 && (words->take_out != 0 || words->place != NULL || words->shot != 0))
        return "--change is for the words of a note and whether it is for the report";
    if (words->change != 0 && !says)
        return "nothing to change; give the new words, --report or --no-report";
    if (words->take_out != 0 && says)
        return "--take-out contradicts what else is said";
    return words->change == 0 && text == NULL && (words->report || words->no_report) ? "say which note, with --change NOTE" : NULL;
}

static int note(int argc, char **argv)
{
    g_autofree char *place = NULL, *search = NULL, *as = NULL;
    Words words = { 0 };
    GOptionEntry entries[] = {
        { "place", 0, 0, G_OPTION_ARG_STRING, &place, "on this place", "PLACE" },
        { "shot", 0, 0, G_OPTION_ARG_INT64, &words.shot, "on this shot", "SHOT" },
        { "report", 0, 0, G_OPTION_ARG_NONE, &words.report, "it stands in the report", NULL },
        { "no-report", 0, 0, G_OPTION_ARG_NONE, &words.no_report, "it does not", NULL },
        { "change", 0, 0, G_OPTION_ARG_INT64, &words.change, "change that note", "NOTE" },
        { "take-out", 0, 0, G_OPTION_ARG_INT64, &words.take_out, "take that note out", "NOTE" },
        { "search", 0, 0, G_OPTION_ARG_STRING, &search, "list those with all these words", "WORDS" },
        { "json", 0, 0, G_OPTION_ARG_NONE, &words.as_json, "list as JSON", NULL },
        GB_CLI_AS(as),
        { NULL },
    };
    if (!gb_cli_parse(&gb_cmd_note, entries, &argc, &argv, 1, 2))
        return GB_EXIT_ERROR;
    words.place = place;
    words.search = search;
    words.as = as;
    const char *text = argc == 3 ? argv[2] : NULL, *wrong = find_contradiction(&words, text);
    if (wrong != NULL)
        return contradiction(wrong);
    if (text == NULL && words.change == 0 && words.take_out == 0)
        return list_notes(argv[1], &words);
    return write_note(argv[1], text, &words);
}
