/* cmd_mark.c -- gablebook mark FOLDER
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "command.h"

static int mark(int argc, char **argv);
const GbCommand gb_cmd_mark = {
    .name = "mark",
    .args = "FOLDER [SHOT KIND POINTS]",
    .what = "list what is drawn over the photos, or draw: arrow, ellipse, chalk, text, scale, line, angle",
    .more = "Marks lie beside the photo, which stays as it is. Points are shares of the upright picture from its top left corner: '0.2,0.5 0.4,0.5'. "
            "A scale is something of known length; a line is measured against the nearest one; an angle (end, corner, end) is read as a pitch. "
            "What is measured holds only in one plane that the camera looked at squarely. It is easier in the sorting table: gablebook open.\n\n"
            "Examples:\n  gablebook mark FOLDER 12 scale '0.2,0.5 0.4,0.5' --length '10 ft'\n  gablebook mark FOLDER 12 line '0.2,0.7 0.9,0.7'\n"
            "  gablebook mark FOLDER --drop 3",
    .run = mark,
};

/* "0.2,0.5 0.4,0.5"; NULL with error. OWNED by the caller. */
static GbMarkPoint *parse_points(const char *text, guint *n, GError **error)
{
    g_auto(GStrv) pairs = g_strsplit(text, " ", GB_MARK_POINTS_MAX + 1);
    g_autofree GbMarkPoint *points = g_new0(GbMarkPoint, g_strv_length(pairs) + 1);
    *n = 0;
    for (char **pair = pairs; *pair != NULL; pair++) {
        char *comma, *end;
        if (**pair == '\0')
            continue;
        points[*n].x = g_ascii_strtod(*pair, &comma);
        points[*n].y = *comma == ',' ? g_ascii_strtod(comma + 1, &end) : 0;
        if (comma == *pair || *comma != ',' || end == comma + 1 || *end != '\0') {
            g_autofree char *shown = gb_quote(*pair);
            g_set_error(error, GB_ERROR, GB_ERROR_SYNTAX,
                        "mark: %s is no point; write shares of width and height like 0.2,0.5; nothing was changed", shown);
            return NULL;
        }
        ++*n;
    }
    return g_steal_pointer(&points);
}

static int list(GbLog *log)
{
    GError *error = NULL;
    g_autoptr(GPtrArray) shots = gb_shots_load(log, &error);
    if (shots == NULL)
        return gb_cli_fail(error);
    guint n = 0;
    for (guint i = 0; i < shots->len; i++) {
        const GbShot *shot = shots->pdata[i];
        gboolean lies = shot->exif.orientation >= 5;
        for (guint m = 0; shot->marks != NULL && m < shot->marks->len; m++, n++) {
            const GbMark *each = shot->marks->pdata[m];
            const char *caution = gb_mark_caution(each->kind);
            g_autofree char *words = gb_mark_words(each, shot->marks, lies ? shot->height : shot->width, lies ? shot->width : shot->height);
            gb_cli_printf("%4" G_GINT64_FORMAT "  shot %" G_GINT64_FORMAT "  %s%s%s%s\n", each->id, shot->number, words, caution ? " (" : "",
                          caution ? caution : "", caution ? ")" : "");
        }
    }
    if (n == 0)
        puts("Nothing is drawn.");
    return GB_EXIT_DONE;
}

static int draw(GbLog *log, char **words, const char *text, const char *length)
{
    GError *error = NULL;
    g_autofree char *summary = NULL;
    guint64 shot;
    guint n;
    gint64 id;
    if (!g_ascii_string_to_unsigned(words[0], 10, 1, G_MAXINT32, &shot, NULL))
        return gb_cli_fail(g_error_new(GB_ERROR, GB_ERROR_SYNTAX, "mark: '%s' is no number of a shot; nothing was changed", words[0]));
    g_autofree GbMarkPoint *points = parse_points(words[2], &n, &error);
    const GbMarkEdit edit = { .shot = (gint64)shot, .kind = words[1], .points = points, .n_points = n, .text = text, .length = length };
    if (points == NULL || !gb_mark(log, &edit, &id, &summary, &error))
        return gb_cli_fail(error);
    gb_cli_printf("%s, mark %" G_GINT64_FORMAT "\n", summary, id);
    return GB_EXIT_DONE;
}

static int take_away(GbLog *log, gint64 id)
{
    GError *error = NULL;
    g_autofree char *summary = NULL;
    if (!gb_mark_drop(log, id, &summary, &error))
        return gb_cli_fail(error);
    gb_cli_printf("%s\n", summary);
    return GB_EXIT_DONE;
}

static int mark(int argc, char **argv)
{
    g_autofree char *text = NULL, *length = NULL, *as = NULL;
    gint64 id = 0;
    GOptionEntry entries[] = {
        { "text", 0, 0, G_OPTION_ARG_STRING, &text, "words at the mark", "TEXT" },
        { "length", 0, 0, G_OPTION_ARG_STRING, &length, "of a scale: how long it is in truth", "LENGTH" },
        { "drop", 0, 0, G_OPTION_ARG_INT64, &id, "take a mark away, by its number in the list", "MARK" },
        GB_CLI_AS(as),
        { NULL },
    };
    if (!gb_cli_parse(&gb_cmd_mark, entries, &argc, &argv, 1, 4))
        return GB_EXIT_ERROR;
    gboolean said = text != NULL || length != NULL;
    if ((argc != 2 && argc != 5) || (id != 0 && (argc == 5 || said)) || (argc == 2 && said))
        return gb_cli_fail(g_error_new(GB_ERROR, GB_ERROR_SYNTAX, "mark: say a shot, a kind and points, or --drop, or nothing for the list "
                                                                  "(see: gablebook mark --help)"));
    g_autoptr(GbLog) log = gb_cli_open(argv[1], argc == 5 || id != 0 ? GB_LOG_WRITE : GB_LOG_READ, as);
    if (log == NULL)
        return GB_EXIT_ERROR;
    return id != 0 ? take_away(log, id) : argc == 5 ? draw(log, argv + 2, text, length) : list(log);
}
