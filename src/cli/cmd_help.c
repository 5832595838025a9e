/* cmd_help.c -- gablebook help [WORD]
 *
 * A word is a command first; else whatever is called like that: subjects, terms of the glossary.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "command.h"
#include "man.h"

static int help(int argc, char **argv);
const GbCommand gb_cmd_help = {
    .name = "help",
    .args = "[COMMAND|WORD]",
    .what = "tell the commands, or one of them in full; or what a word means",
    .more = "A word that is no command is looked for among the subjects and in the glossary.\n\nExamples:\n"
            "  gablebook help tag\n  gablebook help 'drip edge'",
    .run = help,
};

#define WORD_COLUMN 18
#define COMMAND_COLUMN 13 /* where what a command does begins */
#define PAGE_COLUMNS 80

static gboolean holds(const char *text, const char *word)
{
    g_autofree char *in = g_utf8_casefold(text, -1), *part = g_utf8_casefold(word, -1);
    return strstr(in, part) != NULL;
}

static guint tell_subjects(const GbCatalogue *catalogue, const char *word)
{
    guint found = 0;
    for (guint i = 0; i < gb_catalogue_size(catalogue); i++) {
        const GbSubject *subject = gb_catalogue_peek(catalogue, i);
        if (!holds(subject->name, word) && !holds(subject->id, word))
            continue;
        if (found++ == 0)
            puts("What a photo can show (tag SHOTS --subject ...):");
        gb_cli_printf("  %-*s %s\n", WORD_COLUMN, subject->name, subject->plain);
    }
    return found;
}

static guint tell_terms(const GPtrArray *terms, const char *word)
{
    guint found = 0;
    for (guint i = 0; i < terms->len; i++) {
        const GbTerm *term = terms->pdata[i];
        if (!holds(term->term, word))
            continue;
        if (found++ == 0)
            puts("Words:");
        gb_cli_printf("  %-*s %s\n", WORD_COLUMN, term->term, term->meaning);
    }
    return found;
}

/* TAKES not_found: what to say when it is no word of ours either. */
static int help_on_word(const char *word, GError *not_found)
{
    GError *error = NULL;
    g_autoptr(GbCatalogue) catalogue = gb_catalogue_builtin(&error);
    g_autoptr(GPtrArray) terms = catalogue == NULL ? NULL : gb_glossary_load(&error);
    if (terms == NULL) {
        g_error_free(not_found);
        return gb_cli_fail(error);
    }
    if (tell_terms(terms, word) + tell_subjects(catalogue, word) == 0)
        return gb_cli_fail(not_found);
    g_error_free(not_found);
    return GB_EXIT_DONE;
}

static int help_on(const char *word)
{
    GError *error = NULL;
    const GbCommand *command = gb_cli_find_command(word, &error);
    if (command == NULL && g_error_matches(error, GB_ERROR, GB_ERROR_UNKNOWN) && *word != '\0' && g_utf8_validate(word, -1, NULL))
        return help_on_word(word, error);
    if (command == NULL)
        return gb_cli_fail(error);
    char option[] = "--help", *words[] = { (char *)command->name, option, NULL };
    return command->run(2, words);
}

/* Words from a column on, in lines of a readable length. */
static void print_from(guint column, const char *text)
{
    g_auto(GStrv) words = g_strsplit(text, " ", -1);
    guint at = column;
    for (char **word = words; *word != NULL; word++) {
        guint width = (guint)g_utf8_strlen(*word, -1);
        if (at > column && at + 1 + width > PAGE_COLUMNS) {
            printf("\n%*s", (int)column, "");
            at = column;
        }
        printf("%s%s", at > column ? " " : "", *word);
        at += width + (at > column);
    }
    putchar('\n');
}

static int help(int argc, char **argv)
{
    gboolean man = FALSE;
    GOptionEntry entries[] = {
        { "man", 0, 0, G_OPTION_ARG_NONE, &man, "print the manual page (for man -l, or mandoc)", NULL },
        { NULL },
    };
    if (!gb_cli_parse(&gb_cmd_help, entries, &argc, &argv, 0, 1))
        return GB_EXIT_ERROR;
    if (man)
        return gb_cli_print_man(), GB_EXIT_DONE;
    if (argc == 2)
        return help_on(argv[1]);
    puts("gablebook: from a day's unnamed inspection photos to an ordered, captioned,\ncomplete photo file\n\n"
         "Usage: gablebook COMMAND ...\n");
    for (const GbCommand *const *command = gb_commands; *command != NULL; command++) {
        if ((*command)->hidden)
            continue;
        printf("  %-*s ", COMMAND_COLUMN - 3, (*command)->name);
        print_from(COMMAND_COLUMN, (*command)->what);
    }
    puts("\nEach command tells its words and options with: gablebook COMMAND --help\n"
         "What a word means: gablebook help WORD");
    print_from(0, "A day: new and brief before the visit; there visits or import, clock, suggest, tag, fact, square, roof, finding and, before "
                  "leaving, check --leaving; at the desk check, waive, report, scope, export.");
    puts("Nothing is lost: undo takes back, originals stay as they came.\n"
         "Exit status: 0 done, 1 something required is missing or was left out, 2 error.");
    return GB_EXIT_DONE;
}
