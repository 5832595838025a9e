/* man.c -- gablebook(1) from the commands' own entries, so that page and --help can't differ. See man.h.
 *
 * roff reads a line that begins with '.' or '\'' as a request and a backslash as an escape: every text goes through roff().
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "man.h"

#include "command.h"

#define LINE_COLUMNS 60 /* lines of text are broken at the next blank */

static void roff_char(char c)
{
    if (c == '\\')
        fputs("\\e", stdout);
    else if (c == '-')
        fputs("\\-", stdout); /* a hyphen that can be copied */
    else if (c == '\'')
        fputs("\\(aq", stdout);
    else
        putchar(c);
}

/* One line of text, safe for roff; literal: not broken. */
static void roff(const char *text, gboolean literal)
{
    guint column = 0;
    for (const char *c = text; *c != '\0'; c++) {
        gboolean broken = !literal && *c == ' ' && column >= LINE_COLUMNS && c[1] != '\0';
        if (column == 0 && (*c == '.' || *c == '\''))
            fputs("\\&", stdout);
        if (broken)
            putchar('\n');
        else
            roff_char(*c);
        column = broken ? 0 : column + 1;
    }
}

static void roff_text(const char *text)
{
    roff(text, FALSE);
}

/* Paragraphs as in --help: an empty line parts them, lines that begin with a blank are examples and stay as they are. */
static void paragraphs(const char *text)
{
    g_auto(GStrv) lines = g_strsplit(text, "\n", -1);
    gboolean example = FALSE;
    for (char **line = lines; *line != NULL; line++) {
        gboolean literal = **line == ' ';
        if (literal != example)
            puts(literal ? ".PP\n.EX" : ".EE");
        example = literal;
        if (**line == '\0') {
            if (line[1] != NULL && *line[1] != ' ')
                puts(".PP");
            continue;
        }
        roff(*line, literal);
        putchar('\n');
    }
    if (example)
        puts(".EE");
}

static void option(const GbCliOption *option)
{
    puts(".TP");
    if (option->letter != '\0')
        printf("\\fB\\-%c\\fR, ", option->letter);
    fputs("\\fB\\-\\-", stdout);
    roff_text(option->name);
    fputs("\\fR", stdout);
    if (option->arg != NULL) {
        fputs(" \\fI", stdout);
        roff_text(option->arg);
        fputs("\\fR", stdout);
    }
    putchar('\n');
    roff_text(option->what);
    puts(".");
}

static void command(const GbCommand *command)
{
    printf(".SS gablebook %s ", command->name);
    roff_text(command->args);
    printf("\n%c", g_ascii_toupper(command->what[0]));
    roff_text(command->what + 1);
    puts(".");
    if (command->more != NULL) {
        puts(".PP");
        paragraphs(command->more);
    }
    g_autoptr(GArray) options = gb_cli_options(command);
    for (guint i = 0; i < options->len; i++)
        option(&g_array_index(options, GbCliOption, i));
}

static void tagged(const char *tag, const char *text)
{
    fputs(".TP\n\\fB", stdout);
    roff_text(tag);
    puts("\\fR");
    roff_text(text);
    putchar('\n');
}

/* Text that is roff already. */
static void raw(const char *const *lines)
{
    for (; *lines != NULL; lines++)
        puts(*lines);
}

static const char *const head[] = {
    ".SH NAME", "gablebook \\- photo file of a property inspection",
    ".SH SYNOPSIS", "\\fBgablebook\\fR \\fICOMMAND\\fR ...", ".br", "\\fBgablebook help\\fR [\\fIWORD\\fR]",
    ".SH DESCRIPTION",
    "gablebook turns a day\\(aqs unnamed inspection photos into an ordered,",
    "captioned and complete photo file: it takes photos in, suggests where each",
    "belongs, holds what is there against a checklist before the adjuster leaves",
    "the property, and builds the report.",
    "Originals are kept byte for byte, every change can be undone, and nothing",
    "needs a network.",
    ".PP",
    "A day: \\fBnew\\fR and \\fBbrief\\fR before the visit; there \\fBvisits\\fR or",
    "\\fBimport\\fR, \\fBclock\\fR, \\fBsuggest\\fR, \\fBtag\\fR, \\fBfact\\fR,",
    "\\fBsquare\\fR, \\fBroof\\fR, \\fBfinding\\fR and \\fBcheck \\-\\-leaving\\fR; at the",
    "desk \\fBcheck\\fR, \\fBwaive\\fR, \\fBreport\\fR, \\fBscope\\fR, \\fBexport\\fR.",
    ".SH COMMANDS",
    "In the order of a day.",
    "Every command also has \\fB\\-\\-help\\fR.",
    "A command may be abbreviated as long as it is clear; so may places, subjects",
    "and the other words.",
    NULL };

static const char *const safety[] = {
    ".SH SAFETY",
    "gablebook asks for photos of roofs; it never asks anyone to climb one.",
    "Ladders, steep, wet or mossy roofs, power lines, dogs and lightning hurt",
    "people.",
    "Photograph from the ground where a roof is not safe, and \\fBwaive\\fR the",
    "requirement with the reason.",
    "Local codes and licensed practice come first.",
    NULL };

void gb_cli_print_man(void)
{
    puts(".TH GABLEBOOK 1 " GB_RELEASED " \"gablebook " GB_VERSION "\" \"User commands\"");
    raw(head);
    for (const GbCommand *const *one = gb_commands; *one != NULL; one++)
        if (!(*one)->hidden)
            command(*one);
    puts(".SH EXIT STATUS");
    tagged("0", "Done; with check: nothing required is missing; with verify: nothing differs.");
    tagged("1", "Done, but something required is missing or weak, something differs, or some files were left out.");
    tagged("2", "Error: one line on standard error says what is wrong and what was done. What was complete before stays.");
    puts(".SH FILES");
    tagged("FOLDER/claim.db", "The log of a claim: what is known, said and done.");
    tagged("FOLDER/originals/", "The photos as they came, read-only.");
    tagged("FOLDER/reports/", "What was built.");
    tagged("FOLDER/templates/", "Optional, of this claim alone: subjects.ini, facts.ini, components.ini, checklists/, report/, letterhead.ini, next.txt.");
    tagged("$XDG_CONFIG_HOME/gablebook/settings.ini", "Settings; usually in ~/.config.");
    tagged("$XDG_CONFIG_HOME/gablebook/sets/", "Sets of checklists and templates, a folder each.");
    tagged("FOLDER/cache/", "Smaller pictures. It may be deleted and comes back.");
    puts(".SH ENVIRONMENT");
    tagged("NO_COLOR", "If set and not empty, output has no colours. It never has any where it goes to a file or another program.");
    tagged("LANG, LC_ALL", "The encoding of words on the command line. Numbers are read and written the same everywhere.");
    raw(safety);
}
