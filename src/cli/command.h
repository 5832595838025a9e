/* command.h -- what a command of the command line is, and what all commands share.
 *
 * A command is one file, cmd_NAME.c, its entry on top. It parses its words, calls one function of the library, prints the answer.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_COMMAND_H
#define GABLEBOOK_COMMAND_H

#include <gablebook/gablebook.h>
#include <jansson.h>

/* Exit status. */
enum { GB_EXIT_DONE = 0, GB_EXIT_MISSING = 1, GB_EXIT_ERROR = 2 };

typedef struct {
    const char *name;
    const char *args;  /* "FOLDER SHOTS [--place PLACE] ..." */
    const char *what;  /* one line, lower case, no full stop */
    const char *more;  /* paragraphs for --help, or NULL */
    gboolean hidden;   /* for other programs (completion): in no list, and never abbreviated */
    int (*run)(int argc, char **argv); /* argv[0] is the command's name; returns an exit status */
} GbCommand;

/* All commands, in the order of a user's day, NULL-terminated. */
extern const GbCommand *const gb_commands[];

/* The command that a person means, abbreviated perhaps (word.h). NULL: GB_ERROR_UNKNOWN, _UNCLEAR. */
const GbCommand *gb_cli_find_command(const char *word, GError **error);

/* Parse a command's options. Texts (G_OPTION_ARG_STRING) are UTF-8 afterwards, whatever the locale; file names are left as they are.
 *   entries  GOption entries, ended by { NULL }; changed on the way
 *   min, max how many other words there must be (max -1: any number)
 * On success argv holds the command's name and those words, NULL-terminated. FALSE: said to the user already. */
gboolean gb_cli_parse(const GbCommand *command, GOptionEntry *entries, int *argc, char ***argv, int min, int max);

/* An option as help, man page and completion tell it. Texts BORROWED: constants. */
typedef struct {
    const char *name; /* without the dashes */
    char letter;      /* '\0': none */
    const char *arg;  /* what follows it: "PLACE"; NULL: nothing does */
    const char *what;
} GbCliOption;

/* The options of a command, --help aside, in its order: array of GbCliOption, OWNED by the caller (g_array_unref). */
GArray *gb_cli_options(const GbCommand *command);

/* Print "gablebook: MESSAGE" to standard error; returns GB_EXIT_ERROR. TAKES error. */
int gb_cli_fail(GError *error);

/* Print each (char *) like that. */
void gb_cli_warn(const GPtrArray *warnings);

/* Open the claim for reading or writing. as: who is named in the history, NULL for the login's name. NULL: said already. */
GbLog *gb_cli_open(const char *folder, GbLogMode mode, const char *as);

/* Look at photos that nobody looked at yet, showing on a terminal how far it is. FALSE: it failed, and that is said. */
gboolean gb_cli_look(GbLog *log);

/* import --dry-run: say what an import of these paths would do. Gives the exit status. */
/* "3 sidecar files (.aae, .xmp) passed over."; nothing where there was none. */
void gb_cli_print_sidecars(const GbSidecars *sidecars);
int gb_cli_dry_run(GbLog *log, const char *const *paths, gboolean as_json);
/* What to type instead of a folder that is no claim: the claims in it, or where there are none otherwise (NULL: nothing). TAKES error and
 * returns it. */
GError *gb_cli_say_where(GError *error, const char *folder, const char *otherwise);

/* A word as one types it for a shell: in quotes where it needs them. OWNED by the caller. */
char *gb_cli_shell_word(const char *text);

/* Print text of the user's or of a file's, made harmless for a terminal. */
void gb_cli_print(const char *text);
/* printf of one line or a part of one: whatever %s brings is made harmless, line ends included; only a line end that the format
 * ends with is one. */
void gb_cli_printf(const char *format, ...) G_GNUC_PRINTF(1, 2);
/* Print JSON with a line end. TAKES json. */
void gb_cli_print_json(json_t *json);

/* Colours say again what a mark or a word says already, never anything alone. */
typedef enum { GB_PAINT_PLAIN, GB_PAINT_BAD, GB_PAINT_GOOD, GB_PAINT_DIM } GbCliPaint;
/* What begins (or with GB_PAINT_PLAIN ends) a colour on standard output: "" unless that is a terminal, TERM is not dumb and
 * NO_COLOR (https://no-color.org) is unset or empty. BORROWED: a constant. */
const char *gb_cli_paint(GbCliPaint paint);

/* What a change answers: its summary, or with as_json {"done": summary}. Returns GB_EXIT_DONE. */
int gb_cli_done(const char *summary, gboolean as_json);

/* Print rows as a table with aligned columns; the last one is cut to the terminal's width.
 *   cells  rows * columns strings in rows, the first row the head; BORROWED */
void gb_cli_table(const GPtrArray *cells, guint columns);

/* Width of the terminal in columns, 0 when standard output is none. */
int gb_cli_width(void);

/* What --locale says of itself, wherever it is. */
#define GB_CLI_LOCALE_HELP "days and numbers as in ISO, en-US, de-DE ... (default: settings or ISO)"

/* The options that every command that answers, and every one that writes, has. */
#define GB_CLI_JSON(variable) { "json", 0, 0, G_OPTION_ARG_NONE, &(variable), "as JSON", NULL }
#define GB_CLI_AS(variable) { "as", 0, 0, G_OPTION_ARG_STRING, &(variable), "who is named in the history", "NAME" }

#endif
