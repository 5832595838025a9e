/* cmd_list.c -- gablebook list FOLDER
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "command.h"

#include <math.h>

static int list(int argc, char **argv);
const GbCommand gb_cmd_list = {
    .name = "list",
    .args = "FOLDER",
    .what = "show the shots in order of time",
    .more = "Times are local, corrected where a camera's clock was wrong (gablebook clock FOLDER tells how); --readings shows them as the "
            "cameras wrote them. In brackets stands what is wrong with a photo: blurred, overexposed, near-duplicate ...\n\n"
            "Raw photos, videos and other files that came with the photos are listed below them; --attachments lists these alone.\n\n"
            "An empty text finds what is not said yet:\n  gablebook list FOLDER --place ''",
    .run = list,
};

#define COLUMNS 7

static void add(GPtrArray *cells, char *text)
{
    g_ptr_array_add(cells, *text != '\0' ? text : (g_free(text), g_strdup("-")));
}

static void add_shot(GPtrArray *cells, const GbDossier *dossier, const GbShot *shot, gboolean readings)
{
    const GbPlace *place = gb_places_by_id(dossier->places, shot->place);
    const GbSubject *subject = shot->subject == NULL ? NULL : gb_catalogue_by_id(dossier->catalogue, shot->subject);
    add(cells, g_strdup_printf("%" G_GINT64_FORMAT "%s", shot->number, shot->left_out ? " (out)" : ""));
    double local_s = isnan(shot->time.local_s) ? shot->time.reading_s : shot->time.local_s;
    add(cells, gb_time_text(readings ? shot->exif.taken_local_s : local_s));
    add(cells, gb_camera_name(&shot->exif));
    add(cells, g_strdup(place == NULL ? "" : place->label));
    add(cells, g_strdup(subject != NULL ? subject->name : shot->subject != NULL ? shot->subject : ""));
    add(cells, g_strdup(gb_distance_word(gb_shot_distance(shot, dossier->catalogue))));
    g_autofree char *caption = gb_shot_caption(shot, dossier->places, dossier->catalogue);
    if (*caption == '\0') {
        g_free(caption);
        caption = g_strdup(shot->source_name);
    }
    /* One word on what is wrong with it; the whole sentence is in the JSON and the report. */
    const char *flaw = shot->weak != NULL ? shot->weak : shot->remark;
    add(cells, flaw == NULL ? g_steal_pointer(&caption) : g_strdup_printf("%s  (%.*s)", caption, (int)strcspn(flaw, ":"), flaw));
}

static void print_table(const GbDossier *dossier, const GPtrArray *shots, gboolean readings)
{
    static const char *const head[COLUMNS] = { "shot", "time", "camera", "place", "subject", "distance", "caption, or file" };
    g_autoptr(GPtrArray) cells = g_ptr_array_new_with_free_func(g_free);
    for (guint i = 0; i < COLUMNS; i++)
        g_ptr_array_add(cells, g_strdup(head[i]));
    for (guint i = 0; i < shots->len; i++)
        add_shot(cells, dossier, shots->pdata[i], readings);
    gb_cli_table(cells, COLUMNS);
}

/* "24.1 MB", "812 bytes". OWNED by the caller. */
static char *size_text(gint64 bytes)
{
    return bytes < 100000 ? g_strdup_printf("%" G_GINT64_FORMAT " bytes", bytes) : g_strdup_printf("%.1f MB", (double)bytes / 1e6);
}

static void print_attachments(const GPtrArray *attachments)
{
    static const char *const head[] = { "attachment", "what it is", "size", "beside shot" };
    g_autoptr(GPtrArray) cells = g_ptr_array_new_with_free_func(g_free);
    for (gsize i = 0; i < G_N_ELEMENTS(head); i++)
        g_ptr_array_add(cells, g_strdup(head[i]));
    for (guint i = 0; i < attachments->len; i++) {
        const GbAttachment *attachment = attachments->pdata[i];
        add(cells, g_strdup(attachment->source_name));
        add(cells, g_strdup(attachment->kind));
        add(cells, size_text(attachment->bytes));
        add(cells, attachment->beside == 0 ? g_strdup("") : g_strdup_printf("%" G_GINT64_FORMAT, attachment->beside));
    }
    gb_cli_table(cells, G_N_ELEMENTS(head));
}

static void print_shots(const GbDossier *dossier, const GbListFilter *filter, const GPtrArray *shots, gboolean readings)
{
    gboolean all = filter->shots == NULL && filter->place == NULL && filter->subject == NULL && filter->distance == NULL && !filter->left_out;
    if (shots->len == 0)
        puts("No shots.");
    else
        print_table(dossier, shots, readings);
    if (all && dossier->attachments->len > 0) {
        putchar('\n');
        print_attachments(dossier->attachments);
    }
}

static int list_attachments(const char *folder, gboolean as_json)
{
    GError *error = NULL;
    g_autoptr(GbLog) log = gb_cli_open(folder, GB_LOG_READ, NULL);
    g_autoptr(GbDossier) dossier = log == NULL ? NULL : gb_dossier_load(log, &error);
    if (dossier == NULL)
        return log == NULL ? GB_EXIT_ERROR : gb_cli_fail(error);
    if (as_json)
        gb_cli_print_json(gb_list_attachments_json(dossier));
    else if (dossier->attachments->len == 0)
        puts("No attachments.");
    else
        print_attachments(dossier->attachments);
    return GB_EXIT_DONE;
}

static int print_list(const char *folder, const GbListFilter *filter, gboolean readings, gboolean as_json)
{
    GError *error = NULL;
    g_autoptr(GbLog) log = gb_cli_open(folder, GB_LOG_READ, NULL);
    if (log == NULL)
        return GB_EXIT_ERROR;
    g_autoptr(GbDossier) dossier = gb_dossier_load(log, &error);
    g_autoptr(GPtrArray) shots = dossier == NULL ? NULL : gb_list(dossier, filter, &error);
    if (shots == NULL)
        return gb_cli_fail(error);
    if (as_json)
        gb_cli_print_json(gb_list_json(dossier, shots));
    else
        print_shots(dossier, filter, shots, readings);
    return GB_EXIT_DONE;
}

static int list(int argc, char **argv)
{
    g_autofree char *shots = NULL, *place = NULL, *subject = NULL, *distance = NULL;
    gboolean left_out = FALSE, readings = FALSE, attachments = FALSE, as_json = FALSE;
    GOptionEntry entries[] = {
        { "shots", 0, 0, G_OPTION_ARG_STRING, &shots, "only these, like 3,7-12", "SHOTS" },
        { "place", 0, 0, G_OPTION_ARG_STRING, &place, "only those of a place", "PLACE" },
        { "subject", 0, 0, G_OPTION_ARG_STRING, &subject, "only those that show this", "SUBJECT" },
        { "distance", 0, 0, G_OPTION_ARG_STRING, &distance, "only overview, mid-range or close-up", "DISTANCE" },
        { "left-out", 0, 0, G_OPTION_ARG_NONE, &left_out, "only those left out of the report", NULL },
        { "readings", 0, 0, G_OPTION_ARG_NONE, &readings, "times as the cameras wrote them", NULL },
        { "attachments", 0, 0, G_OPTION_ARG_NONE, &attachments, "only the files kept beside the photos", NULL },
        { "json", 0, 0, G_OPTION_ARG_NONE, &as_json, "as JSON", NULL },
        { NULL },
    };
    if (!gb_cli_parse(&gb_cmd_list, entries, &argc, &argv, 1, 1))
        return GB_EXIT_ERROR;
    if (attachments)
        return list_attachments(argv[1], as_json);
    const GbListFilter filter = { shots, place, subject, distance, left_out };
    return print_list(argv[1], &filter, readings, as_json);
}
