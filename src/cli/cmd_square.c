/* cmd_square.c -- gablebook square FOLDER [SLOPE]
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "command.h"

static int square(int argc, char **argv);
const GbCommand gb_cmd_square = {
    .name = "square",
    .args = "FOLDER [SLOPE]",
    .what = "record a test square (hits counted, or why none was drawn), or list them",
    .more = "A photo tagged 'test square' with its count is a test square by itself; what is recorded here wins, and gablebook check points "
            "out where they differ. Where no square was drawn because the damage is obvious, or because the slope was not safe, say so: "
            "the reason then stands for the missing photo.\n\ngablebook does not say how many hits matter: that differs from carrier to "
            "carrier. A threshold that you set is shown as yours.\n\nExamples:\n  gablebook square FOLDER 'front slope' --hits 9\n"
            "  gablebook square FOLDER 'left slope' --size '5 x 20 ft' --hits 3 --number 2\n"
            "  gablebook square FOLDER 'rear slope' --not-drawn 'obvious: hits on every shingle'\n"
            "  gablebook square FOLDER --threshold 8 --source \"the carrier's guide\"",
    .run = square,
};

#define COLUMNS 6

static void add(GPtrArray *cells, char *text)
{
    g_ptr_array_add(cells, *text != '\0' ? text : (g_free(text), g_strdup("-")));
}

static void add_square(GPtrArray *cells, const GbKnownSquare *known)
{
    const GbSquare *recorded = known->square;
    add(cells, g_strdup(known->place->label));
    add(cells, g_strdup_printf("%u%s", known->number, recorded == NULL ? " (photo)" : ""));
    add(cells, g_strdup(known->size));
    add(cells, known->drawn ? g_strdup_printf("%u", known->hits) : g_strdup("not drawn"));
    add(cells, gb_numbers_text(&g_array_index(known->shots, gint64, 0), known->shots->len));
    const char *why = recorded != NULL ? recorded->not_drawn : NULL, *note = recorded != NULL ? recorded->note : NULL;
    add(cells, g_strdup_printf("%s%s%s", why != NULL ? why : "", why != NULL && note != NULL ? "; " : "", note != NULL ? note : ""));
}

static void print_squares(const GbDossier *dossier)
{
    static const char *const head[COLUMNS] = { "slope", "square", "size", "hits", "shots", "note" };
    g_autoptr(GPtrArray) cells = g_ptr_array_new_with_free_func(g_free);
    for (guint i = 0; i < COLUMNS; i++)
        g_ptr_array_add(cells, g_strdup(head[i]));
    for (guint i = 0; i < dossier->known->squares->len; i++)
        add_square(cells, dossier->known->squares->pdata[i]);
    gb_cli_table(cells, COLUMNS);
}

static int list_squares(const char *folder, gboolean as_json)
{
    GError *error = NULL;
    g_autoptr(GbLog) log = gb_cli_open(folder, GB_LOG_READ, NULL);
    if (log == NULL)
        return GB_EXIT_ERROR;
    g_autoptr(GbDossier) dossier = gb_dossier_load(log, &error);
    if (dossier == NULL)
        return gb_cli_fail(error);
    const GbThreshold *threshold = dossier->threshold;
    if (as_json)
        gb_cli_print_json(gb_knowledge_json(dossier->known, threshold));
    else if (dossier->known->squares->len == 0)
        puts("No test squares.");
    else
        print_squares(dossier);
    if (!as_json && threshold != NULL)
        gb_cli_printf("Threshold as set by %s for this claim, not by gablebook: %u hit%s in a square (%s).\n", threshold->who, threshold->hits,
                      threshold->hits == 1 ? "" : "s", threshold->source);
    return GB_EXIT_DONE;
}

/* What is to be done, of the words. */
typedef struct {
    GbSquareEdit edit;
    char *threshold, *source, *as;
    gboolean take_back;
} Words;

static int change(int argc, char **argv, const Words *words)
{
    GError *error = NULL;
    g_autofree char *summary = NULL;
    g_autoptr(GbLog) log = gb_cli_open(argv[1], GB_LOG_WRITE, words->as);
    if (log == NULL)
        return GB_EXIT_ERROR;
    gboolean done = argc == 2         ? gb_threshold_set(log, words->threshold, words->source, &summary, &error)
                    : words->take_back ? gb_square_drop(log, argv[2], words->edit.number, &summary, &error)
                                       : gb_square_say(log, argv[2], &words->edit, &summary, &error);
    if (!done)
        return gb_cli_fail(error);
    gb_cli_printf("%s\n", summary);
    return GB_EXIT_DONE;
}

static int contradiction(const char *what)
{
    return gb_cli_fail(g_error_new(GB_ERROR, GB_ERROR_SYNTAX, "square: %s; nothing was changed", what));
}

static int square(int argc, char **argv)
{
    g_autofree char *number = NULL, *size = NULL, *hits = NULL, *not_drawn = NULL, *note = NULL, *shots = NULL, *threshold = NULL,
                    *source = NULL, *as = NULL;
    gboolean take_back = FALSE, as_json = FALSE;
    GOptionEntry entries[] = {
        { "hits", 0, 0, G_OPTION_ARG_STRING, &hits, "how many were counted, also 0", "COUNT" },
        { "size", 0, 0, G_OPTION_ARG_STRING, &size, "of the square (default: 10 x 10 ft)", "SIZE" },
        { "not-drawn", 0, 0, G_OPTION_ARG_STRING, &not_drawn, "why no square was drawn", "TEXT" },
        { "number", 0, 0, G_OPTION_ARG_STRING, &number, "which square of the slope, where it has several (default: 1)", "NUMBER" },
        { "shots", 0, 0, G_OPTION_ARG_STRING, &shots, "the photos that prove it (default: those of test squares there)", "SHOTS" },
        { "note", 0, 0, G_OPTION_ARG_STRING, &note, "what else should be said of it", "TEXT" },
        { "take-back", 0, 0, G_OPTION_ARG_NONE, &take_back, "it is not recorded any more", NULL },
        { "threshold", 0, 0, G_OPTION_ARG_STRING, &threshold, "hits that matter, as you were told ('' takes it back)", "COUNT" },
        { "source", 0, 0, G_OPTION_ARG_STRING, &source, "who says so", "TEXT" },
        { "json", 0, 0, G_OPTION_ARG_NONE, &as_json, "list as JSON", NULL },
        GB_CLI_AS(as),
        { NULL },
    };
    if (!gb_cli_parse(&gb_cmd_square, entries, &argc, &argv, 1, 2))
        return GB_EXIT_ERROR;
    const Words words = { { number, hits, size, not_drawn, note, shots }, threshold, source, as, take_back };
    gboolean says = hits != NULL || size != NULL || not_drawn != NULL || note != NULL || shots != NULL;
    if (threshold != NULL || source != NULL)
        return argc > 2 || says || take_back || threshold == NULL
                   ? contradiction("--threshold COUNT --source TEXT stand alone: they are for the whole claim")
                   : change(2, argv, &words);
    if (argc == 2)
        return says || take_back || number != NULL ? contradiction("say on which slope") : list_squares(argv[1], as_json);
    if (says == take_back)
        return contradiction(says ? "--take-back contradicts what else is said" : "nothing to say; give --hits or --not-drawn");
    return change(3, argv, &words);
}
