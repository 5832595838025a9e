/* cmd_tag.c -- gablebook tag FOLDER SHOTS
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "command.h"

static int tag(int argc, char **argv);
const GbCommand gb_cmd_tag = {
    .name = "tag",
    .args = "FOLDER SHOTS",
    .what = "say where shots belong, what they show, and in which words",
    .more = "SHOTS is a list like 3,7-12. Places, subjects and distances may be abbreviated as long as they are clear. An empty text takes "
            "a thing back: --caption '' lets the caption be composed again.\n\n"
            "Example:\n  gablebook tag FOLDER 31,32 --place 'front slope' --subject 'test square' --value 9",
    .run = tag,
};

static int tag_shots(char **words, const char *as, const GbTag *what, gboolean as_json)
{
    GError *error = NULL;
    g_autofree char *summary = NULL;
    g_autoptr(GbLog) log = gb_cli_open(words[0], GB_LOG_WRITE, as);
    if (log == NULL)
        return GB_EXIT_ERROR;
    if (!gb_tag(log, words[1], what, &summary, &error))
        return gb_cli_fail(error);
    return gb_cli_done(summary, as_json);
}

static int contradiction(const char *what)
{
    return gb_cli_fail(g_error_new(GB_ERROR, GB_ERROR_SYNTAX, "tag: %s; nothing was changed", what));
}

static int tag(int argc, char **argv)
{
    g_autofree char *place = NULL, *subject = NULL, *distance = NULL, *value = NULL, *caption = NULL, *as = NULL;
    gint64 before = 0, after = 0;
    gboolean by_time = FALSE, leave_out = FALSE, take_in = FALSE, as_json = FALSE;
    GOptionEntry entries[] = {
        { "place", 0, 0, G_OPTION_ARG_STRING, &place, "where it is: front, 'rear slope', 'garage left' ...", "PLACE" },
        { "subject", 0, 0, G_OPTION_ARG_STRING, &subject, "what it shows (gablebook subjects lists them)", "SUBJECT" },
        { "distance", 0, 0, G_OPTION_ARG_STRING, &distance, "overview, mid-range or close-up", "DISTANCE" },
        { "value", 0, 0, G_OPTION_ARG_STRING, &value, "what was measured or counted: 7.5/12, '4 in', 9", "VALUE" },
        { "caption", 0, 0, G_OPTION_ARG_STRING, &caption, "your own words", "TEXT" },
        { "before", 0, 0, G_OPTION_ARG_INT64, &before, "put before that shot of the same place", "SHOT" },
        { "after", 0, 0, G_OPTION_ARG_INT64, &after, "put after that shot of the same place", "SHOT" },
        { "by-time", 0, 0, G_OPTION_ARG_NONE, &by_time, "take back your own order of that place", NULL },
        { "leave-out", 0, 0, G_OPTION_ARG_NONE, &leave_out, "not in the report (the photo stays in the claim)", NULL },
        { "take-in", 0, 0, G_OPTION_ARG_NONE, &take_in, "in the report again", NULL },
        GB_CLI_JSON(as_json),
        GB_CLI_AS(as),
        { NULL },
    };
    if (!gb_cli_parse(&gb_cmd_tag, entries, &argc, &argv, 2, 2))
        return GB_EXIT_ERROR;
    if (leave_out && take_in)
        return contradiction("--leave-out and --take-in contradict each other");
    if ((before != 0) + (after != 0) + by_time > 1)
        return contradiction("only one of --before, --after and --by-time can hold");
    const GbTag what = {
        .place = place, .subject = subject, .distance = distance, .value = value, .caption = caption,
        .in_report = leave_out ? GB_LEAVE_OUT : take_in ? GB_TAKE_IN : GB_KEEP,
        .order = before ? GB_ORDER_BEFORE : after ? GB_ORDER_AFTER : by_time ? GB_ORDER_BY_TIME : GB_ORDER_KEEP,
        .anchor = before ? before : after,
    };
    const GbTag nothing = { 0 };
    if (memcmp(&what, &nothing, sizeof what) == 0)
        return contradiction("nothing to say; give a place, a subject, a caption ... (see: gablebook tag --help)");
    return tag_shots(argv + 1, as, &what, as_json);
}
