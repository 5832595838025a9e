/* cmd_mark.c -- gablebook mark FOLDER
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "command.h"

#include <math.h>

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

/* --- the list --- */

/* A mark, and the upright picture it lies on. */
typedef struct {
    const GbMark *mark;
    const GPtrArray *beside; /* all marks of that picture */
    double width, height;
} Drawn;

static json_t *text_or_null(const char *text)
{
    return text == NULL ? json_null() : json_string(text);
}

static json_t *number_or_null(double value)
{
    return isnan(value) ? json_null() : json_real(value);
}

static json_t *drawn_json(const Drawn *drawn)
{
    const GbMark *one = drawn->mark;
    double angle_deg = gb_mark_angle_deg(one, drawn->width, drawn->height);
    g_autofree char *pitch = isnan(angle_deg) ? NULL : gb_mark_pitch(angle_deg);
    g_autofree char *words = gb_mark_words(one, drawn->beside, drawn->width, drawn->height);
    json_t *points = json_array();
    for (guint i = 0; i < one->n_points; i++)
        json_array_append_new(points, json_pack("[f, f]", one->points[i].x, one->points[i].y));
    return json_pack("{sI sI ss so so so so so so so ss so}", "mark", (json_int_t)one->id, "shot", (json_int_t)one->shot, "kind",
                     gb_mark_kind_word(one->kind), "points", points, "text", text_or_null(one->text), "length", text_or_null(one->length),
                     "length_in", number_or_null(one->length_in), "measured_in",
                     number_or_null(gb_mark_length_in(one, drawn->beside, drawn->width, drawn->height)), "angle_deg", number_or_null(angle_deg),
                     "pitch", text_or_null(pitch), "words", words, "caution", text_or_null(gb_mark_caution(one->kind)));
}

static void print_drawn(const Drawn *drawn)
{
    const char *caution = gb_mark_caution(drawn->mark->kind);
    g_autofree char *words = gb_mark_words(drawn->mark, drawn->beside, drawn->width, drawn->height);
    gb_cli_printf("%4" G_GINT64_FORMAT "  shot %" G_GINT64_FORMAT "  %s%s%s%s\n", drawn->mark->id, drawn->mark->shot, words,
                  caution ? " (" : "", caution ? caution : "", caution ? ")" : "");
}

static int list(GbLog *log, gboolean as_json)
{
    GError *error = NULL;
    g_autoptr(GPtrArray) shots = gb_shots_load(log, &error);
    if (shots == NULL)
        return gb_cli_fail(error);
    json_t *all = json_array();
    guint n = 0;
    for (guint i = 0; i < shots->len; i++) {
        const GbShot *shot = shots->pdata[i];
        gboolean lies = shot->exif.orientation >= 5;
        for (guint m = 0; shot->marks != NULL && m < shot->marks->len; m++, n++) {
            const Drawn drawn = { shot->marks->pdata[m], shot->marks, lies ? shot->height : shot->width, lies ? shot->width : shot->height };
            if (as_json)
                json_array_append_new(all, drawn_json(&drawn));
            else
                print_drawn(&drawn);
        }
    }
    if (as_json)
        gb_cli_print_json(json_incref(all));
    else if (n == 0)
        puts("Nothing is drawn.");
    json_decref(all);
    return GB_EXIT_DONE;
}

/* --- drawing --- */

static int draw(GbLog *log, char **words, const char *text, const char *length, gboolean as_json)
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
    if (as_json)
        gb_cli_print_json(json_pack("{ss sI}", "done", summary, "mark", (json_int_t)id));
    else
        gb_cli_printf("%s, mark %" G_GINT64_FORMAT "\n", summary, id);
    return GB_EXIT_DONE;
}

static int take_away(GbLog *log, gint64 id, gboolean as_json)
{
    GError *error = NULL;
    g_autofree char *summary = NULL;
    if (!gb_mark_drop(log, id, &summary, &error))
        return gb_cli_fail(error);
    return gb_cli_done(summary, as_json);
}

static int mark(int argc, char **argv)
{
    g_autofree char *text = NULL, *length = NULL, *as = NULL;
    gint64 id = 0;
    gboolean as_json = FALSE;
    GOptionEntry entries[] = {
        { "text", 0, 0, G_OPTION_ARG_STRING, &text, "words at the mark", "TEXT" },
        { "length", 0, 0, G_OPTION_ARG_STRING, &length, "of a scale: how long it is in truth", "LENGTH" },
        { "drop", 0, 0, G_OPTION_ARG_INT64, &id, "take a mark away, by its number in the list", "MARK" },
        GB_CLI_JSON(as_json),
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
    return id != 0 ? take_away(log, id, as_json) : argc == 5 ? draw(log, argv + 2, text, length, as_json) : list(log, as_json);
}
