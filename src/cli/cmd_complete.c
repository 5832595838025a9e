/* cmd_complete.c -- gablebook complete -- WORD...
 *
 * What the shells ask while a person types: the words so far, the last of them unfinished and perhaps empty. Answered are the words that
 * can stand there, one a line, after a tab what each means. A line ":dirs" or ":files" leaves it to the shell. All that is known of
 * commands and options comes from their entries: a new one needs nothing here, as long as it calls its words as the others do (FOLDER,
 * SHOTS, PLACE ...). Whatever can't be looked up is no candidate, and no error: a person is typing.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "command.h"

static int complete(int argc, char **argv);
const GbCommand gb_cmd_complete = {
    .name = "complete",
    .args = "-- WORD...",
    .what = "tell a shell how the last word can go on",
    .hidden = TRUE,
    .run = complete,
};

/* One word to go on with. */
typedef struct {
    const char *typed;   /* as far as it is there */
    const char *before;  /* what stands before it in the same word: "--place=", "3,7-" */
    const char *folder;  /* the claim, if one was named; else NULL */
    gboolean of_finding; /* the command is that of findings, which have causes of their own */
} Typing;

static void offer(const Typing *typing, const char *word, const char *means)
{
    g_autofree char *so_far = g_utf8_casefold(typing->typed, -1), *candidate = g_utf8_casefold(word, -1);
    if (!g_str_has_prefix(candidate, so_far))
        return;
    g_autofree char *safe_word = gb_escape_terminal(word), *safe_means = gb_escape_terminal(means);
    g_strdelimit(safe_word, "\t\n", ' ');
    g_strdelimit(safe_means, "\t\n", ' ');
    printf("%s%s\t%s\n", typing->before, safe_word, safe_means);
}

static void offer_all(const Typing *typing, const char *const *words)
{
    for (; *words != NULL; words++)
        offer(typing, *words, "");
}

static void offer_commands(const Typing *typing)
{
    for (const GbCommand *const *command = gb_commands; *command != NULL; command++)
        if (!(*command)->hidden)
            offer(typing, (*command)->name, (*command)->what);
}

static void offer_options(const Typing *typing, const GArray *options)
{
    for (guint i = 0; i < options->len; i++) {
        const GbCliOption *option = &g_array_index(options, GbCliOption, i);
        g_autofree char *word = g_strconcat("--", option->name, NULL);
        offer(typing, word, option->what);
    }
    offer(typing, "--help", "tell the words and options of this command");
}

/* --- what the claim knows --- */

static GbLog *open_quietly(const Typing *typing)
{
    return typing->folder == NULL ? NULL : gb_log_open(typing->folder, GB_LOG_READ, NULL);
}

static void offer_places(const Typing *typing)
{
    g_autoptr(GbLog) log = open_quietly(typing);
    g_autoptr(GPtrArray) places = log == NULL ? NULL : gb_places_load(log, NULL);
    for (guint i = 0; places != NULL && i < places->len; i++) {
        const GbPlace *place = places->pdata[i];
        offer(typing, place->label, place->title);
    }
}

static void offer_structures(const Typing *typing)
{
    g_autoptr(GbLog) log = open_quietly(typing);
    g_autoptr(GPtrArray) structures = log == NULL ? NULL : gb_structures_load(log, NULL);
    for (guint i = 0; structures != NULL && i < structures->len; i++) {
        const GbStructure *structure = structures->pdata[i];
        offer(typing, structure->name, structure->kind);
    }
}

static void offer_subjects(const Typing *typing)
{
    g_autoptr(GbLog) log = open_quietly(typing);
    g_autoptr(GbCatalogue) catalogue = log == NULL ? gb_catalogue_builtin(NULL) : gb_dossier_catalogue(log, NULL);
    for (guint i = 0; catalogue != NULL && i < gb_catalogue_size(catalogue); i++) {
        const GbSubject *subject = gb_catalogue_peek(catalogue, i);
        g_autofree char *word = g_utf8_strdown(subject->name, -1);
        offer(typing, word, subject->plain);
    }
}

/* "3,7-1": what is being typed is the last number. */
static void offer_shots(const Typing *typing)
{
    const char *last = typing->typed + strlen(typing->typed);
    while (last > typing->typed && last[-1] != ',' && last[-1] != '-')
        last--;
    g_autofree char *done = g_strndup(typing->typed, (gsize)(last - typing->typed));
    g_autofree char *before = g_strconcat(typing->before, done, NULL);
    const Typing number = { last, before, typing->folder, FALSE };
    g_autoptr(GbLog) log = open_quietly(typing);
    g_autoptr(GPtrArray) shots = log == NULL ? NULL : gb_shots_load(log, NULL);
    g_autoptr(GPtrArray) places = shots == NULL ? NULL : gb_places_load(log, NULL);
    g_autoptr(GbCatalogue) catalogue = places == NULL ? NULL : gb_dossier_catalogue(log, NULL);
    for (guint i = 0; catalogue != NULL && i < shots->len; i++) {
        const GbShot *shot = shots->pdata[i];
        g_autofree char *word = g_strdup_printf("%" G_GINT64_FORMAT, shot->number);
        g_autofree char *caption = gb_shot_caption(shot, places, catalogue);
        offer(&number, word, *caption != '\0' ? caption : shot->source_name);
    }
}

static void offer_requirements(const Typing *typing)
{
    g_autoptr(GbLog) log = open_quietly(typing);
    g_autoptr(GbDossier) dossier = log == NULL ? NULL : gb_dossier_load(log, NULL);
    for (guint i = 0; dossier != NULL && i < dossier->check->lines->len; i++) {
        const GbCheckLine *line = dossier->check->lines->pdata[i];
        if (line->state != GB_CHECK_THERE)
            offer(typing, line->label, line->lacks != NULL ? line->lacks : gb_check_state_word(line->state));
    }
}

static void offer_cameras(const Typing *typing)
{
    g_autoptr(GbLog) log = open_quietly(typing);
    g_autoptr(GbCameras) cameras = log == NULL ? NULL : gb_cameras_load(log, NULL);
    for (guint i = 0; cameras != NULL && i < cameras->cameras->len; i++)
        offer(typing, ((const GbCamera *)cameras->cameras->pdata[i])->name, "");
}

/* --- by the name of a word --- */

static void offer_checklists(const Typing *typing)
{
    g_auto(GStrv) names = gb_checklist_names();
    offer_all(typing, (const char *const *)names);
}

static void offer_sets(const Typing *typing)
{
    g_auto(GStrv) names = gb_set_names();
    offer_all(typing, (const char *const *)names);
}

static void offer_settings(const Typing *typing)
{
    for (const GbSetting *setting = gb_settings_all(); setting->name != NULL; setting++)
        offer(typing, setting->name, setting->what);
}

static void offer_checklist_words(const Typing *typing)
{
    offer(typing, "lint", "look for faults");
    offer(typing, "print", "print one");
}

static void offer_components(const Typing *typing)
{
    g_autoptr(GbLog) log = open_quietly(typing);
    g_autoptr(GbComponents) components = log == NULL ? gb_components_builtin(NULL) : gb_dossier_components(log, NULL);
    for (guint i = 0; components != NULL && i < gb_components_size(components); i++) {
        g_autofree char *word = g_utf8_strdown(gb_components_peek(components, i)->name, -1);
        offer(typing, word, gb_unit_name(gb_components_peek(components, i)->unit));
    }
}

static void offer_fact_kinds(const Typing *typing)
{
    g_autoptr(GbLog) log = open_quietly(typing);
    g_autoptr(GbCatalogue) catalogue = log == NULL ? gb_catalogue_builtin(NULL) : gb_dossier_catalogue(log, NULL);
    g_autoptr(GbFactlist) list = catalogue == NULL ? NULL : log == NULL ? gb_factlist_builtin(catalogue, NULL) : gb_dossier_factlist(log, catalogue, NULL);
    for (guint i = 0; list != NULL && i < gb_factlist_size(list); i++) {
        g_autofree char *word = g_utf8_strdown(gb_factlist_peek(list, i)->name, -1);
        offer(typing, word, gb_factlist_peek(list, i)->plain);
    }
}

static void offer_hows(const Typing *typing)
{
    for (GbHow how = GB_HOW_SEEN; how < GB_HOWS; how++)
        offer(typing, gb_how_word(how), "");
}

static void offer_finding_words(const Typing *typing)
{
    static const char *const words[] = { "list", "add", "change", "remove", "components", NULL };
    offer_all(typing, words);
}

static void offer_each_commands(const Typing *typing)
{
    static const char *const words[] = { "check", "report", "verify", "export", NULL };
    offer_all(typing, words);
}

static void offer_distances(const Typing *typing)
{
    for (GbDistance distance = GB_DISTANCE_OVERVIEW; distance < GB_DISTANCES; distance++)
        offer(typing, gb_distance_word(distance), "");
}

static void offer_actions(const Typing *typing)
{
    offer_all(typing, gb_finding_actions());
}

static void offer_mark_kinds(const Typing *typing)
{
    for (GbMarkKind kind = 0; kind < GB_MARK_KINDS; kind++)
        offer(typing, gb_mark_kind_word(kind), "");
}

static void offer_shapes(const Typing *typing)
{
    for (GbRoofShape shape = 0; shape < GB_ROOF_SHAPES; shape++)
        offer(typing, gb_roof_shape_word(shape), "");
}

static void offer_kinds(const Typing *typing)
{
    offer_all(typing, gb_structure_kinds());
}

static void offer_faces(const Typing *typing)
{
    static const char *const words[] = { "all", "none", "front", "right", "rear", "left", NULL };
    offer_all(typing, words);
}

static void offer_papers(const Typing *typing)
{
    static const char *const words[] = { "letter", "A4", NULL };
    offer_all(typing, words);
}

static void offer_locales(const Typing *typing)
{
    offer_all(typing, gb_locale_tags());
}

static void offer_readers(const Typing *typing)
{
    static const char *const words[] = { "file", "reviewer", "insured", NULL };
    offer_all(typing, words);
}

/* Those of a claim, or of a finding: wear is no cause of a claim. */
static void offer_causes(const Typing *typing)
{
    offer_all(typing, typing->of_finding ? gb_finding_causes() : gb_cause_words());
}

static void ask_for_folder(const Typing *typing)
{
    (void)typing;
    puts(":dirs");
}

static void ask_for_file(const Typing *typing)
{
    (void)typing;
    puts(":files");
}

/* owner: of an option its name, of a command's own words the command; NULL: whosever it is. */
static const struct {
    const char *word, *owner;
    void (*offer)(const Typing *typing);
} kinds[] = {
    { "NAME", "checklist", offer_checklists },  { "NAME", "structure", offer_structures }, { "NAME", "camera", offer_cameras },
    { "NAME", "settings", offer_settings },     { "SET", NULL, offer_sets },               { "lint", "checklist", offer_checklist_words },
    { "FOLDER", NULL, ask_for_folder },         { "DIR", NULL, ask_for_folder },           { "PATH", NULL, ask_for_file },
    { "FILE", NULL, ask_for_file },             { "FOLDER|ZIP", NULL, ask_for_file },      { "PLACE", NULL, offer_places },
    { "PLACES", NULL, offer_places },           { "SUBJECT", NULL, offer_subjects },       { "SHOT", NULL, offer_shots },
    { "SHOTS", NULL, offer_shots },             { "DISTANCE", NULL, offer_distances },     { "REQUIREMENT", NULL, offer_requirements },
    { "KIND", "mark", offer_mark_kinds },       { "ACTION", NULL, offer_actions },         { "SHAPE", NULL, offer_shapes },
    { "KIND", NULL, offer_kinds },              { "FACES", NULL, offer_faces },            { "CAUSE", NULL, offer_causes },
    { "COMPONENT", NULL, offer_components },    { "FACT", NULL, offer_fact_kinds },        { "HOW", NULL, offer_hows },
    { "SLOPE", NULL, offer_places },            { "WHERE", NULL, offer_places },           { "add", "finding", offer_finding_words },
    { "check|report|verify|export", "each", offer_each_commands }, { "PAPER", NULL, offer_papers }, { "READER", NULL, offer_readers },
    { "COMMAND", NULL, offer_commands },        { "COMMAND|WORD", NULL, offer_commands },      { "LOCALE", NULL, offer_locales },
};

static void offer_kind(const Typing *typing, const char *word, const char *owner)
{
    for (gsize i = 0; i < G_N_ELEMENTS(kinds); i++)
        if (strcmp(kinds[i].word, word) == 0 && (kinds[i].owner == NULL || strcmp(kinds[i].owner, owner) == 0)) {
            kinds[i].offer(typing);
            return;
        }
}

/* The name of a command's i-th own word: of "FOLDER [NAME] --why TEXT" "NAME" is the second; the last of "FOLDER PATH..." repeats.
 * OWNED by the caller; NULL past the end. */
static char *own_word(const char *args, guint i)
{
    g_auto(GStrv) words = g_strsplit_set(args, " []", -1);
    const char *last = NULL;
    guint n = 0;
    for (char **word = words; *word != NULL && !(g_str_has_prefix(*word, "--") && (*word)[2] != '\0'); word++) {
        if (**word == '\0' || strcmp(*word, "--") == 0)
            continue;
        last = *word;
        if (n++ == i)
            break;
    }
    if (last == NULL || (n <= i && !g_str_has_suffix(last, "...")))
        return NULL;
    return g_strndup(last, strcspn(last, "."));
}

/* --- the line so far --- */

static const GbCliOption *option_of(const GArray *options, const char *word)
{
    for (guint i = 0; i < options->len; i++) {
        const GbCliOption *option = &g_array_index(options, GbCliOption, i);
        if ((g_str_has_prefix(word, "--") && strcmp(word + 2, option->name) == 0) ||
            (word[0] == '-' && word[1] == option->letter && option->letter != '\0' && word[2] == '\0'))
            return option;
    }
    return NULL;
}

/* bash gives "--place=rear" as three words, the others as one. */
static void complete_after(const GbCommand *command, char **words, guint n)
{
    g_autoptr(GArray) options = gb_cli_options(command);
    const GbCliOption *open = NULL; /* its value comes next */
    Typing typing = { words[n - 1], "", NULL, strcmp(command->name, "finding") == 0 };
    g_autofree char *first_own = own_word(command->args, 0);
    const char *first = first_own != NULL ? first_own : "";
    guint own = 0;
    for (guint i = 1; i + 1 < n; i++) {
        if (strcmp(words[i], "=") == 0)
            continue;
        const GbCliOption *option = open == NULL ? option_of(options, words[i]) : NULL;
        if (open == NULL && *words[i] != '-' && own++ == 0 && g_str_has_prefix(first, "FOLDER"))
            typing.folder = words[i];
        open = option != NULL && option->arg != NULL ? option : NULL;
    }
    const char *equals = g_str_has_prefix(typing.typed, "--") ? strchr(typing.typed, '=') : NULL;
    g_autofree char *name = equals == NULL ? NULL : g_strndup(typing.typed, (gsize)(equals - typing.typed));
    g_autofree char *before = equals == NULL ? NULL : g_strconcat(name, "=", NULL);
    if (open != NULL && strcmp(typing.typed, "=") == 0)
        typing.typed = "";
    if (equals != NULL) {
        open = option_of(options, name);
        typing.before = before;
        typing.typed = equals + 1;
    }
    g_autofree char *word = own_word(command->args, own);
    if (open != NULL)
        offer_kind(&typing, open->arg, open->name);
    else if (*typing.typed == '-')
        offer_options(&typing, options);
    else if (word != NULL)
        offer_kind(&typing, word, command->name);
}

static int complete(int argc, char **argv)
{
    if (!gb_cli_parse(&gb_cmd_complete, NULL, &argc, &argv, 1, -1))
        return GB_EXIT_ERROR;
    char **words = argv + 1;
    guint n = (guint)argc - 1;
    const Typing first = { words[0], "", NULL, FALSE };
    for (guint i = 0; i < n; i++)
        if (!g_utf8_validate(words[i], -1, NULL))
            return GB_EXIT_DONE; /* a folder's name perhaps: nothing of ours to offer */
    const GbCommand *command = n == 1 ? NULL : gb_cli_find_command(words[0], NULL);
    if (n == 1)
        offer_commands(&first);
    else if (command != NULL)
        complete_after(command, words, n);
    return GB_EXIT_DONE;
}
