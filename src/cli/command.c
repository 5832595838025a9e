/* command.c -- what all commands share. See command.h.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "command.h"

#include <sys/ioctl.h>
#include <unistd.h>

#define HELP_COLUMNS 80

static int complain(const char *message)
{
    g_autofree char *safe = gb_escape_terminal(message);
    fprintf(stderr, "gablebook: %s\n", safe);
    return GB_EXIT_ERROR;
}

int gb_cli_fail(GError *error)
{
    complain(error->message);
    g_error_free(error);
    return GB_EXIT_ERROR;
}

void gb_cli_warn(const GPtrArray *warnings)
{
    for (guint i = 0; i < warnings->len; i++) {
        g_autofree char *safe = gb_escape_terminal(warnings->pdata[i]);
        g_printerr("gablebook: %s\n", safe);
    }
}

const GbCommand *gb_cli_find_command(const char *word, GError **error)
{
    g_autoptr(GPtrArray) names = g_ptr_array_new();
    g_autoptr(GPtrArray) shown = g_ptr_array_new();
    for (const GbCommand *const *command = gb_commands; *command != NULL; command++) {
        if ((*command)->hidden && strcmp((*command)->name, word) == 0)
            return *command;
        if ((*command)->hidden)
            continue;
        g_ptr_array_add(shown, (gpointer)*command);
        g_ptr_array_add(names, (gpointer)(*command)->name);
    }
    gssize found = gb_word_find(word, (const char *const *)names->pdata, names->len, "command", error);
    if (found >= 0)
        return shown->pdata[found];
    if (error != NULL && g_error_matches(*error, GB_ERROR, GB_ERROR_UNKNOWN)) {
        char *message = g_strconcat((*error)->message, "; gablebook help lists them all", NULL);
        g_free((*error)->message);
        (*error)->message = message;
    }
    return NULL;
}

/* --- options --- */

/* GOption would convert texts from the locale's encoding, and refuse "Größe" where no locale is set: take them raw. Returns which they
 * are, a bit each. */
static guint64 take_texts_raw(GOptionEntry *entries)
{
    guint64 texts = 0;
    for (guint i = 0; entries != NULL && entries[i].long_name != NULL; i++)
        if (entries[i].arg == G_OPTION_ARG_STRING) {
            entries[i].arg = G_OPTION_ARG_FILENAME;
            texts |= G_GUINT64_CONSTANT(1) << i;
        }
    return texts;
}

/* UTF-8 is UTF-8; anything else is read as the locale's encoding. */
static gboolean make_utf8(const GOptionEntry *entry, GError **error)
{
    char **text = entry->arg_data;
    if (*text == NULL || g_utf8_validate(*text, -1, NULL))
        return TRUE;
    char *converted = g_locale_to_utf8(*text, -1, NULL, NULL, NULL);
    if (converted == NULL) {
        g_set_error(error, GB_ERROR, GB_ERROR_SYNTAX, "what follows --%s is no text in UTF-8; nothing was changed", entry->long_name);
        return FALSE;
    }
    g_free(*text);
    *text = converted;
    return TRUE;
}

static gboolean make_texts_utf8(const GOptionEntry *entries, guint64 texts, GError **error)
{
    for (guint i = 0; entries != NULL && entries[i].long_name != NULL; i++)
        if ((texts >> i & 1) != 0 && !make_utf8(&entries[i], error))
            return FALSE;
    return TRUE;
}

/* Paragraphs broken at blanks to lines of a readable length; lines that begin with a blank (examples) stay as they are. OWNED. */
static char *fold(const char *text)
{
    GString *out = g_string_new(NULL);
    g_auto(GStrv) lines = g_strsplit(text == NULL ? "" : text, "\n", -1);
    for (char **line = lines; *line != NULL; line++) {
        if (line != lines)
            g_string_append_c(out, '\n');
        if (**line == ' ') {
            g_string_append(out, *line);
            continue;
        }
        g_auto(GStrv) words = g_strsplit(*line, " ", -1);
        gsize used = 0;
        for (char **word = words; *word != NULL; word++) {
            gsize width = (gsize)g_utf8_strlen(*word, -1);
            if (word != words)
                g_string_append_c(out, used + 1 + width > HELP_COLUMNS ? '\n' : ' ');
            used = word != words && used + 1 + width <= HELP_COLUMNS ? used + 1 + width : width;
            g_string_append(out, *word);
        }
    }
    return g_string_free(out, FALSE);
}

/* GOption leaves the "--" in argv after which everything is a plain word. */
static void drop_dashes(int *argc, char **argv)
{
    for (int i = 1; i < *argc; i++)
        if (strcmp(argv[i], "--") == 0) {
            for (int j = i; j < *argc; j++)
                argv[j] = argv[j + 1];
            --*argc;
            return;
        }
}

/* A command's entries stand in its own function and point at its variables, so they can only be told from within: asked with a word
 * that is known by its address, which nobody can type, gb_cli_parse tells the entries instead of parsing. */
static const char ask_options[] = "options?";

static void tell_options(const GOptionEntry *entries, GArray *options)
{
    for (guint i = 0; entries != NULL && entries[i].long_name != NULL; i++) {
        gboolean alone = entries[i].arg == G_OPTION_ARG_NONE;
        const GbCliOption option = { entries[i].long_name, entries[i].short_name,
                                     alone ? NULL : entries[i].arg_description ? entries[i].arg_description : "VALUE",
                                     entries[i].description ? entries[i].description : "" };
        g_array_append_val(options, option);
    }
}

GArray *gb_cli_options(const GbCommand *command)
{
    GArray *options = g_array_new(FALSE, FALSE, sizeof(GbCliOption));
    char *words[] = { (char *)command->name, (char *)ask_options, (char *)options, NULL };
    (void)command->run(3, words);
    return options;
}

gboolean gb_cli_parse(const GbCommand *command, GOptionEntry *entries, int *argc, char ***argv, int min, int max)
{
    if (*argc == 3 && (*argv)[1] == ask_options) {
        tell_options(entries, (GArray *)(gpointer)(*argv)[2]);
        return FALSE;
    }
    g_autoptr(GError) error = NULL;
    g_autoptr(GOptionContext) context = g_option_context_new(command->args);
    g_autofree char *summary = g_strdup_printf("%c%s.", g_ascii_toupper(command->what[0]), command->what + 1);
    g_autofree char *name = g_strdup_printf("gablebook %s", command->name);
    g_set_prgname(name);
    g_option_context_set_summary(context, summary);
    g_autofree char *more = fold(command->more);
    g_option_context_set_description(context, more);
    guint64 texts = take_texts_raw(entries);
    if (entries != NULL)
        g_option_context_add_main_entries(context, entries, NULL);
    if (!g_option_context_parse(context, argc, argv, &error) || !make_texts_utf8(entries, texts, &error)) {
        g_autofree char *text = g_strdup_printf("%s: %s (see: gablebook %s --help)", command->name, error->message, command->name);
        complain(text);
        return FALSE;
    }
    drop_dashes(argc, *argv);
    if (*argc - 1 >= min && (max < 0 || *argc - 1 <= max))
        return TRUE;
    g_autofree char *text = g_strdup_printf("%s: too %s words; usage: gablebook %s %s", command->name, *argc - 1 < min ? "few" : "many",
                                            command->name, command->args);
    complain(text);
    return FALSE;
}

#define CLAIMS_NAMED 3

static gint by_text(gconstpointer a, gconstpointer b)
{
    return strcmp(*(char *const *)a, *(char *const *)b);
}

/* The claims that lie in a folder which is none itself, in order of name: "today/elm-lane-418, today/oak-7 ..."; NULL: none. OWNED. */
static char *claims_inside(const char *folder)
{
    g_autoptr(GDir) dir = g_dir_open(folder, 0, NULL);
    g_autoptr(GPtrArray) found = g_ptr_array_new_with_free_func(g_free);
    const char *name;
    while (dir != NULL && (name = g_dir_read_name(dir)) != NULL) {
        g_autofree char *inside = g_build_filename(folder, name, NULL), *db = g_build_filename(inside, "claim.db", NULL);
        if (g_file_test(db, G_FILE_TEST_IS_REGULAR))
            g_ptr_array_add(found, g_filename_display_name(inside));
    }
    if (found->len == 0)
        return NULL;
    g_ptr_array_sort(found, by_text);
    gboolean more = found->len > CLAIMS_NAMED;
    if (more)
        g_ptr_array_set_size(found, CLAIMS_NAMED);
    g_ptr_array_add(found, NULL);
    g_autofree char *list = g_strjoinv(", ", (char **)found->pdata);
    return g_strconcat(list, more ? " ..." : "", NULL);
}

GError *gb_cli_say_where(GError *error, const char *folder, const char *otherwise)
{
    if (!g_error_matches(error, GB_ERROR, GB_ERROR_FOREIGN) || !g_file_test(folder, G_FILE_TEST_IS_DIR))
        return error;
    g_autofree char *inside = claims_inside(folder);
    g_autofree char *more = inside != NULL ? g_strconcat("; there are claims in it: ", inside, NULL)
                            : otherwise != NULL ? g_strconcat("; ", otherwise, NULL) : g_strdup("");
    GError *whole = g_error_new(GB_ERROR, GB_ERROR_FOREIGN, "%s%s", error->message, more);
    g_error_free(error);
    return whole;
}

char *gb_cli_shell_word(const char *text)
{
    return text[strspn(text, "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789_./+:@%,=-")] == '\0' && *text != '\0'
               ? g_strdup(text) : g_shell_quote(text);
}

GbLog *gb_cli_open(const char *folder, GbLogMode mode, const char *as)
{
    GError *error = NULL;
    GbLog *log = gb_log_open(folder, mode, &error);
    if (log == NULL)
        gb_cli_fail(gb_cli_say_where(error, folder, "gablebook new makes one"));
    else if (as != NULL)
        gb_log_set_who(log, as);
    return log;
}

void gb_cli_print(const char *text)
{
    g_autofree char *safe = gb_escape_terminal(text);
    fputs(safe, stdout);
}

void gb_cli_printf(const char *format, ...)
{
    va_list args;
    va_start(args, format);
    g_autofree char *text = g_strdup_vprintf(format, args);
    va_end(args);
    gboolean ends_line = g_str_has_suffix(format, "\n");
    if (ends_line)
        text[strlen(text) - 1] = '\0';
    gb_cli_print(text);
    if (ends_line)
        putchar('\n');
}

/* Characters that jansson leaves as they are, but that change what a terminal shows. */
static gboolean turns_writing(gunichar u)
{
    return u != '\n' && u <= 0xFFFF && (g_unichar_type(u) == G_UNICODE_CONTROL || g_unichar_type(u) == G_UNICODE_FORMAT);
}

void gb_cli_print_json(json_t *json)
{
    g_autofree char *text = json_dumps(json, JSON_INDENT(2));
    for (const char *c = text; *c != '\0'; c = g_utf8_next_char(c)) {
        gunichar u = g_utf8_get_char(c);
        if (turns_writing(u)) /* only ever within a string, where JSON can say the same in ASCII */
            printf("\\u%04x", u);
        else
            fwrite(c, 1, (gsize)(g_utf8_next_char(c) - c), stdout);
    }
    putchar('\n');
    json_decref(json);
}

const char *gb_cli_paint(GbCliPaint paint)
{
    static const char *const codes[] = { "\033[0m", "\033[1;31m", "\033[32m", "\033[2m" };
    const char *no_color = g_getenv("NO_COLOR"), *term = g_getenv("TERM");
    gboolean wanted = (no_color == NULL || *no_color == '\0') && term != NULL && strcmp(term, "dumb") != 0;
    return wanted && isatty(STDOUT_FILENO) ? codes[paint] : "";
}

int gb_cli_done(const char *summary, gboolean as_json)
{
    if (as_json)
        gb_cli_print_json(json_pack("{ss}", "done", summary));
    else
        gb_cli_printf("%s\n", summary);
    return GB_EXIT_DONE;
}

int gb_cli_width(void)
{
    struct winsize size;
    if (!isatty(STDOUT_FILENO) || ioctl(STDOUT_FILENO, TIOCGWINSZ, &size) != 0)
        return 0;
    return size.ws_col;
}

/* --- tables --- */

/* Columns that a text takes on a terminal. */
static guint text_width(const char *text)
{
    guint width = 0;
    for (const char *c = text; *c != '\0'; c = g_utf8_next_char(c)) {
        gunichar u = g_utf8_get_char(c);
        width += u < 0x80 ? 1 : g_unichar_iszerowidth(u) ? 0 : g_unichar_iswide(u) ? 2 : 1; /* control characters are escaped by now */
    }
    return width;
}

/* As much of text as fits; an ellipsis says that there is more. */
static void print_cut(const char *text, guint room)
{
    if (room == 0 || text_width(text) <= room) {
        fputs(text, stdout);
        return;
    }
    guint used = 0;
    const char *end = text;
    for (; *end != '\0'; end = g_utf8_next_char(end)) {
        gunichar u = g_utf8_get_char(end);
        guint width = g_unichar_iszerowidth(u) ? 0 : g_unichar_iswide(u) ? 2 : 1;
        if (used + width + 1 > room)
            break;
        used += width;
    }
    printf("%.*s…", (int)(end - text), text);
}

void gb_cli_table(const GPtrArray *cells, guint columns)
{
    g_autoptr(GPtrArray) safe = g_ptr_array_new_with_free_func(g_free);
    g_autofree guint *widths = g_new0(guint, columns);
    for (guint i = 0; i < cells->len; i++) {
        g_ptr_array_add(safe, gb_escape_terminal(cells->pdata[i]));
        widths[i % columns] = MAX(widths[i % columns], text_width(safe->pdata[i]));
    }
    guint before_last = 0;
    for (guint c = 0; c + 1 < columns; c++)
        before_last += widths[c] + 2;
    guint screen = (guint)gb_cli_width();
    guint room = screen == 0 ? 0 : screen > before_last + 20 ? screen - before_last : 20;
    for (guint i = 0; i < safe->len; i++) {
        guint column = i % columns;
        if (column + 1 == columns) {
            print_cut(safe->pdata[i], room);
            putchar('\n');
        } else
            printf("%s%*s", (char *)safe->pdata[i], (int)(widths[column] + 2 - text_width(safe->pdata[i])), "");
    }
}
