/* cmd_clock.c -- gablebook clock FOLDER
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "command.h"

#include <math.h>

static int clocks(int argc, char **argv);
const GbCommand gb_cmd_clock = {
    .name = "clock",
    .args = "FOLDER",
    .what = "show how right each camera's clock was, or say it",
    .more = "A clock is measured against the GPS time in the photos, or else fitted to the other cameras; what a person says of it counts before both. "
            "Times in lists, checks and reports are corrected by it. The photos are not changed.\n\n"
            "Examples:\n  gablebook clock FOLDER\n  gablebook clock FOLDER --camera compact --is '1 h 7 min slow'\n"
            "  gablebook clock FOLDER --same 12=47     (shot 12 was taken at the moment of shot 47)",
    .run = clocks,
};

static void print_stretch(const GbClockStretch *stretch)
{
    g_autofree char *clock = gb_clock_text(stretch->error_s), *how = gb_clock_how_text(stretch);
    g_autofree char *zone = stretch->zone_how == GB_ZONE_NONE ? g_strdup("zone unknown") : gb_zone_text(stretch->zone_min);
    g_autofree char *which = stretch->first == stretch->last ? g_strdup_printf("shot %u", stretch->first)
                                                             : g_strdup_printf("shots %u to %u", stretch->first, stretch->last);
    gb_cli_printf("  %s: %s, ", which, zone);
    if (stretch->how != GB_CLOCK_NONE && stretch->how != GB_CLOCK_TAG) /* of these nobody knows more than the next words say */
        gb_cli_printf("%s, ", *clock ? clock : "clock unknown");
    gb_cli_printf("%s", how);
    if (!isnan(stretch->spread_s))
        printf(", give or take %.0f s", MAX(1, ceil(stretch->spread_s))); /* times are written in whole seconds */
    putchar('\n');
    if (stretch->tag_contradicted) {
        g_autofree char *tag = gb_zone_text(stretch->tag_min);
        gb_cli_printf("    the photos say %s, their GPS time says otherwise\n", tag);
    }
    if (stretch->stamp_days != 0)
        printf("    its GPS dates are off by %d day%s; that was put right\n", stretch->stamp_days, ABS(stretch->stamp_days) == 1 ? "" : "s");
    if (stretch->day_unsure)
        puts("    near the date line, without a GPS date: the day is not certain");
}

static gboolean is_unknown(const GbCamera *camera)
{
    for (guint s = 0; s < camera->stretches->len; s++)
        if (g_array_index(camera->stretches, GbClockStretch, s).how == GB_CLOCK_NONE)
            return TRUE;
    return FALSE;
}

static void print_cameras(const GbCameras *cameras)
{
    gboolean unknown = FALSE;
    for (guint i = 0; i < cameras->cameras->len; i++) {
        const GbCamera *camera = cameras->cameras->pdata[i];
        gb_cli_printf("%s: %u shot%s\n", camera->name, camera->shots, camera->shots == 1 ? "" : "s");
        for (guint s = 0; s < camera->stretches->len; s++)
            print_stretch(&g_array_index(camera->stretches, GbClockStretch, s));
        if (camera->stretches->len == 0)
            puts("  no times in its photos");
        unknown = unknown || is_unknown(camera);
        if (camera->said != NULL)
            gb_cli_printf("  said of it: %s\n", camera->said);
    }
    for (guint i = 0; i < cameras->pairs->len; i++) {
        const GbCameraPair *pair = &g_array_index(cameras->pairs, GbCameraPair, i);
        printf("Said to be of one moment: shot %" G_GINT64_FORMAT " = shot %" G_GINT64_FORMAT "\n", pair->shot, pair->other);
    }
    if (unknown && cameras->cameras->len > 1)
        puts("A clock that is not known may put shots out of order. Say it with --camera and --is, or pair two shots of one moment with --same.");
    if (cameras->cameras->len == 0)
        puts("No shots.");
}

static json_t *number_or_null(double value)
{
    return isnan(value) ? json_null() : json_real(value);
}

static json_t *cameras_json(const GbCameras *cameras)
{
    json_t *list = json_array();
    for (guint i = 0; i < cameras->cameras->len; i++) {
        const GbCamera *camera = cameras->cameras->pdata[i];
        json_t *stretches = json_array();
        for (guint s = 0; s < camera->stretches->len; s++) {
            const GbClockStretch *stretch = &g_array_index(camera->stretches, GbClockStretch, s);
            json_array_append_new(stretches, json_pack("{si si si si ss ss so so so so so so}", "first", stretch->first, "last", stretch->last,
                "shots", stretch->shots, "used", stretch->used, "known_by", gb_clock_how_word(stretch->how), "zone_known_by",
                gb_zone_how_word(stretch->zone_how), "zone_min", stretch->zone_how == GB_ZONE_NONE ? json_null() : json_integer(stretch->zone_min),
                "error_s", number_or_null(stretch->error_s), "offset_s", number_or_null(stretch->offset_s), "spread_s",
                number_or_null(stretch->spread_s), "confidence", number_or_null(stretch->confidence), "guess_s",
                number_or_null(stretch->guess_s)));
        }
        json_array_append_new(list, json_pack("{ss si so so}", "camera", camera->name, "shots", camera->shots, "said",
            camera->said ? json_string(camera->said) : json_null(), "stretches", stretches));
    }
    return list;
}

static int show(GbLog *log, gboolean as_json)
{
    GError *error = NULL;
    g_autoptr(GbCameras) cameras = gb_cameras_load(log, &error);
    if (cameras == NULL)
        return gb_cli_fail(error);
    if (as_json)
        gb_cli_print_json(cameras_json(cameras));
    else
        print_cameras(cameras);
    return GB_EXIT_DONE;
}

/* "12=47" */
static gboolean parse_pair(const char *text, gint64 *shot, gint64 *other, GError **error)
{
    g_auto(GStrv) ends = g_strsplit(text, "=", 2);
    guint64 a = 0, b = 0;
    if (ends[0] != NULL && ends[1] != NULL && g_ascii_string_to_unsigned(g_strstrip(ends[0]), 10, 1, G_MAXINT32, &a, NULL) &&
        (*g_strstrip(ends[1]) == '\0' || g_ascii_string_to_unsigned(ends[1], 10, 1, G_MAXINT32, &b, NULL))) {
        *shot = (gint64)a;
        *other = (gint64)b;
        return TRUE;
    }
    g_set_error(error, GB_ERROR, GB_ERROR_SYNTAX, "clock: '%s' is no pair of shots; write it like 12=47, or 12= to take it back", text);
    return FALSE;
}

static int change(GbLog *log, const char *camera, const char *is, const char *same, gboolean as_json)
{
    GError *error = NULL;
    g_autofree char *summary = NULL;
    gint64 shot, other;
    gboolean ok = same != NULL ? parse_pair(same, &shot, &other, &error) && gb_correct_pair(log, shot, other, &summary, &error)
                               : gb_correct_say(log, camera, is, &summary, &error);
    if (!ok)
        return gb_cli_fail(error);
    return gb_cli_done(summary, as_json);
}

static int clocks(int argc, char **argv)
{
    g_autofree char *camera = NULL, *is = NULL, *same = NULL, *as = NULL;
    gboolean as_json = FALSE;
    GOptionEntry entries[] = {
        { "camera", 0, 0, G_OPTION_ARG_STRING, &camera, "which one, as far as that is clear", "NAME" },
        { "is", 0, 0, G_OPTION_ARG_STRING, &is, "how its clock is: '67 min slow', '2:05:10 fast', right, or '' to take it back", "TEXT" },
        { "same", 0, 0, G_OPTION_ARG_STRING, &same, "two shots of one moment, the one to be corrected first; '12=' takes it back", "SHOT=SHOT" },
        { "json", 0, 0, G_OPTION_ARG_NONE, &as_json, "as JSON", NULL },
        GB_CLI_AS(as),
        { NULL },
    };
    if (!gb_cli_parse(&gb_cmd_clock, entries, &argc, &argv, 1, 1))
        return GB_EXIT_ERROR;
    if ((camera == NULL) != (is == NULL) || (camera != NULL && same != NULL))
        return gb_cli_fail(g_error_new(GB_ERROR, GB_ERROR_SYNTAX, "clock: say --camera NAME with --is TEXT, or --same SHOT=SHOT; nothing was "
                                       "changed"));
    gboolean any = camera != NULL || same != NULL;
    g_autoptr(GbLog) log = gb_cli_open(argv[1], any ? GB_LOG_WRITE : GB_LOG_READ, as);
    if (log == NULL)
        return GB_EXIT_ERROR;
    return any ? change(log, camera, is, same, as_json) : show(log, as_json);
}
