/* shot_json.c -- a shot as the page gets it: what it is, what people said of it, what follows from both. See README.md.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "board-private.h"

#include <math.h>

void gb_json_text(json_t *object, const char *key, const char *text)
{
    if (text != NULL && *text != '\0')
        json_object_set_new(object, key, json_string(text));
}

void gb_json_real(json_t *object, const char *key, double value)
{
    if (isfinite(value))
        json_object_set_new(object, key, json_real(value));
}

void gb_json_whole(json_t *object, const char *key, gint64 value)
{
    json_object_set_new(object, key, json_integer(value));
}

void gb_json_utc(json_t *object, const char *key, gint64 utc_s)
{
    g_autoptr(GDateTime) time = g_date_time_new_from_unix_utc(utc_s);
    g_autofree char *text = time ? g_date_time_format(time, "%Y-%m-%dT%H:%M:%SZ") : NULL;
    gb_json_text(object, key, text);
}

/* What the file says. */
static void add_file(json_t *object, const GbShot *shot)
{
    gboolean lies = shot->exif.orientation >= 5; /* these four turn by a quarter */
    gb_json_whole(object, "number", shot->number);
    gb_json_text(object, "sha256", shot->sha256);
    gb_json_text(object, "file", shot->source_name);
    gb_json_whole(object, "width", lies ? shot->height : shot->width);
    gb_json_whole(object, "height", lies ? shot->width : shot->height);
    gb_json_whole(object, "bytes", shot->bytes);
    if (shot->damaged)
        json_object_set_new(object, "damaged", json_true());
}

static void add_where(json_t *object, const GbScene *scene, const GbShot *shot)
{
    const GbExif *exif = &shot->exif;
    double east_m = NAN, north_m = NAN;
    double heading_deg = gb_suggest_heading(shot, scene->mapped ? &scene->map : NULL);
    if (scene->mapped)
        gb_plane_metres(&scene->map, exif->lat_deg, exif->lon_deg, &east_m, &north_m);
    gb_json_real(object, "lat", exif->lat_deg);
    gb_json_real(object, "lon", exif->lon_deg);
    gb_json_real(object, "position_error_m", exif->position_error_m);
    gb_json_real(object, "east_m", east_m);
    gb_json_real(object, "north_m", north_m);
    gb_json_real(object, "heading_deg", isnan(heading_deg) ? exif->heading_deg : heading_deg);
    if (!isnan(exif->heading_deg))
        gb_json_text(object, "heading_ref", isnan(heading_deg) ? "M" : "T");
}

static void add_when(json_t *object, const GbShot *shot, guint stop)
{
    static const char *const how[] = {
        [GB_CLOCK_NONE] = NULL,
        [GB_CLOCK_ALIGNED] = "fitted to the other cameras",
        [GB_CLOCK_TAG] = "zone as the file says",
        [GB_CLOCK_GPS] = "measured by GPS time",
        [GB_CLOCK_PAIRED] = "by shots paired by hand",
        [GB_CLOCK_SAID] = "as a person said",
    };
    const GbClockTime *time = &shot->time;
    g_autofree char *taken = gb_time_text(isnan(time->local_s) ? time->reading_s : time->local_s);
    g_autofree char *reading = gb_time_text(time->reading_s);
    g_autofree char *camera = gb_camera_name(&shot->exif);
    gb_json_text(object, "taken", taken);
    if (strcmp(taken, reading) != 0)
        gb_json_text(object, "reading", reading);
    gb_json_text(object, "clock", how[time->how]);
    gb_json_text(object, "camera", camera);
    gb_json_whole(object, "stop", stop);
}

static void add_shown(json_t *object, const GbShot *shot, const GbDossier *dossier)
{
    g_autofree char *caption = gb_shot_caption(shot, dossier->places, dossier->catalogue);
    if (shot->hand_order != 0)
        gb_json_whole(object, "hand_order", shot->hand_order);
    gb_json_text(object, "distance_shown", gb_distance_word(gb_shot_distance(shot, dossier->catalogue)));
    json_object_set_new(object, "caption_shown", json_string(caption));
    gb_json_text(object, "weak", shot->weak);
    gb_json_text(object, "remark", shot->remark);
}

/* A mark, and what it measures on a picture of this size. */
static json_t *mark_json(const GbMark *mark, const GPtrArray *marks, double width, double height)
{
    json_t *object = gb_decided_mark(mark);
    double angle_deg = gb_mark_angle_deg(mark, width, height);
    g_autofree char *pitch = isnan(angle_deg) ? NULL : gb_mark_pitch(angle_deg);
    g_autofree char *words = gb_mark_words(mark, marks, width, height);
    gb_json_whole(object, "mark", mark->id);
    json_object_del(object, "shot");
    gb_json_real(object, "length_in", mark->length_in);
    gb_json_real(object, "measured_in", gb_mark_length_in(mark, marks, width, height));
    gb_json_real(object, "angle_deg", angle_deg);
    gb_json_text(object, "pitch", pitch);
    gb_json_text(object, "words", words);
    gb_json_text(object, "caution", gb_mark_caution(mark->kind));
    return object;
}

static void add_marks(json_t *object, const GbShot *shot)
{
    if (shot->marks == NULL)
        return;
    gboolean lies = shot->exif.orientation >= 5;
    double width = lies ? shot->height : shot->width, height = lies ? shot->width : shot->height;
    json_t *array = json_array();
    for (guint i = 0; i < shot->marks->len; i++)
        json_array_append_new(array, mark_json(shot->marks->pdata[i], shot->marks, width, height));
    json_object_set_new(object, "marks", array);
}

json_t *gb_board_file_json(const GbScene *scene, const GbShot *shot)
{
    json_t *object = json_object();
    add_file(object, shot);
    add_where(object, scene, shot);
    return object;
}

json_t *gb_board_shot_json(const GbScene *scene, guint i)
{
    const GbShot *shot = scene->dossier->shots->pdata[i];
    json_t *object = gb_decided_shot(shot);
    add_when(object, shot, scene->stops[i]);
    add_shown(object, shot, scene->dossier);
    add_marks(object, shot);
    gb_json_text(object, "doubt", g_hash_table_lookup(scene->doubts, &shot->number));
    return object;
}
