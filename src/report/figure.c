/* figure.c -- one photo as the report tells it: what it shows, where, when, which way, from which file.
 *
 * What is unknown is left out, never shown as zero; what only the camera says is worded as the camera's word.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "report-private.h"

#include <gablebook/camera.h>

#include <math.h>

void gb_put_text(json_t *object, const char *key, const char *text)
{
    if (text == NULL || *text == '\0')
        return;
    g_autofree char *valid = g_utf8_make_valid(text, -1);
    json_object_set_new(object, key, json_string(valid));
}

/* "Rear slope" inside a sentence: "rear slope". A word that begins with two capitals ("HVAC unit") stays. */
static char *lower_first(const char *text)
{
    const char *next = g_utf8_next_char(text);
    if (*text == '\0' || g_unichar_isupper(g_utf8_get_char(next)))
        return g_strdup(text);
    g_autofree char *first = g_utf8_strdown(text, next - text);
    return g_strconcat(first, next, NULL);
}

static char *upper_first(const char *text)
{
    if (*text == '\0')
        return g_strdup("");
    const char *next = g_utf8_next_char(text);
    g_autofree char *first = g_utf8_strup(text, next - text);
    return g_strconcat(first, next, NULL);
}

/* Where, as the end of a sentence: "on the rear slope of the garage". OWNED by the caller. */
static char *place_phrase(const GbPlace *place)
{
    if (place->kind == GB_PLACE_WHOLE)
        return g_strdup_printf("at the %s", place->structure_name);
    /* As if it were the dwelling's: the structure is named behind it. */
    g_autofree char *title = gb_place_title(place->kind, place->structure_name, TRUE, place->face, place->room);
    g_autofree char *lower = lower_first(title);
    const char *word = place->kind == GB_PLACE_ROOF || place->kind == GB_PLACE_SLOPE ? "on"
                       : place->kind == GB_PLACE_ROOM                                ? "in"
                                                                                     : "at";
    gboolean elsewhere = place->kind != GB_PLACE_SITE && !place->on_dwelling;
    return g_strdup_printf("%s the %s%s%s", word, lower, elsewhere ? " of the " : "", elsewhere ? place->structure_name : "");
}

static gboolean holds_word(const char *text, const char *word)
{
    g_autofree char *in = g_utf8_casefold(text, -1);
    g_autofree char *sought = g_utf8_casefold(word, -1);
    return strstr(in, sought) != NULL;
}

/* A sentence for who can't see the photo: what it shows and where, never the file's name. OWNED by the caller. */
static char *alt_text(const GbShot *shot, const GbSubject *subject, GbDistance distance, const GbPlace *place)
{
    gboolean own_words = shot->caption != NULL && *shot->caption != '\0';
    const char *distance_word = gb_distance_word(distance);
    if (subject != NULL && holds_word(subject->name, distance_word))
        distance_word = ""; /* "Overview photo: slope overview" says it twice */
    g_autofree char *what = subject != NULL ? lower_first(subject->name) : NULL;
    g_autofree char *where = place != NULL ? place_phrase(place) : NULL;

    g_autoptr(GString) alt = g_string_new(distance_word);
    g_string_append(alt, *distance_word != '\0' ? " photo" : "Photo");
    if (what != NULL)
        g_string_append_printf(alt, ": %s", what);
    if (where != NULL)
        g_string_append_printf(alt, " %s", where);
    else
        g_string_append(alt, ", place not recorded");
    if (what != NULL && shot->value != NULL)
        g_string_append_printf(alt, ", value %s", shot->value);
    if (own_words)
        g_string_append_printf(alt, "%s%s", what != NULL ? ". " : ": ", shot->caption);
    else if (what == NULL)
        g_string_append(alt, ", what it shows is not named yet");
    if (!g_str_has_suffix(alt->str, "."))
        g_string_append_c(alt, '.');
    return upper_first(alt->str);
}

/* "camera clock read 14:14:40, 1 h 7 min slow (measured by GPS time)"; NULL when it was right to the second, or nothing is known of it. The
 * day is said when it differs. OWNED by the caller. */
static char *correction_text(const GbClockTime *time, const char *local)
{
    if (isnan(time->correction_s) || fabs(time->correction_s) < 0.5)
        return NULL;
    g_autofree char *reading = gb_time_text(time->reading_s);
    g_autofree char *error = gb_clock_text(-time->correction_s);
    gboolean same_day = strlen(reading) > 11 && strncmp(reading, local, 10) == 0;
    static const char *const how[] = { "not known how", "fitted to the other cameras", "as the file states", "measured by GPS time",
                                       "by shots paired by hand", "as the adjuster says" };
    return g_strdup_printf("camera clock read %s, %s (%s)", same_day ? reading + 11 : reading, error, how[time->how]);
}

/* What the reader should take for the time: corrected where the log knows how, else as the camera wrote it. */
static GbClockTime time_of(const GbShot *shot)
{
    const GbExif *exif = &shot->exif;
    if (shot->rank != 0 && !isnan(shot->time.local_s))
        return shot->time;
    return (GbClockTime){ .reading_s = exif->taken_local_s, .correction_s = (double)NAN, .local_s = exif->taken_local_s,
                          .zone_how = exif->has_offset ? GB_ZONE_TAG : GB_ZONE_NONE, .zone_min = exif->offset_min };
}

double gb_figure_local_s(const GbShot *shot)
{
    return time_of(shot).local_s;
}

json_t *gb_figure_time(const GbShot *shot)
{
    const GbClockTime taken = time_of(shot);
    g_autofree char *local = gb_time_text(taken.local_s);
    if (*local == '\0')
        return NULL;
    gboolean zoned = taken.zone_how != GB_ZONE_NONE;
    g_autofree char *zone = zoned ? gb_zone_text(taken.zone_min) : g_strdup("zone not stated");
    g_autofree char *machine = g_strconcat(local, zoned ? zone + strlen("UTC") : NULL, NULL);
    g_autofree char *correction = correction_text(&taken, local);
    char *blank = strchr(machine, ' ');
    if (blank != NULL)
        *blank = 'T';
    json_t *time = json_object();
    gb_put_text(time, "local", local);
    gb_put_text(time, "zone", zone);
    gb_put_text(time, "machine", machine);
    gb_put_text(time, "correction", correction);
    return time;
}

static void put_direction(json_t *figure, const GbExif *exif)
{
    if (isnan(exif->heading_deg))
        return;
    const char *north = exif->heading_ref == 'M' ? "magnetic" : "true";
    int whole = (int)fmod(round(exif->heading_deg), 360.0);
    g_autofree char *text =
        g_strdup_printf("looking %s, %d° %s (camera compass)", gb_compass_point(exif->heading_deg), whole, north);
    gb_put_text(figure, "direction", text);
}

static char *degrees_text(double degrees, const char *positive, const char *negative)
{
    char number[32];
    g_ascii_formatd(number, sizeof number, "%.5f", fabs(degrees));
    return g_strdup_printf("%s° %s", number, degrees < 0 ? negative : positive);
}

static void put_position(json_t *figure, const GbExif *exif)
{
    if (isnan(exif->lat_deg) || isnan(exif->lon_deg))
        return;
    g_autofree char *lat = degrees_text(exif->lat_deg, "N", "S");
    g_autofree char *lon = degrees_text(exif->lon_deg, "E", "W");
    json_t *position = json_pack("{s:f, s:f}", "lat", exif->lat_deg, "lon", exif->lon_deg);
    char error_m[32] = "";
    if (!isnan(exif->position_error_m)) {
        g_ascii_formatd(error_m, sizeof error_m, "%.0f", ceil(exif->position_error_m));
        json_object_set_new(position, "error_m", json_real(exif->position_error_m));
    }
    g_autofree char *text = *error_m != '\0' ? g_strdup_printf("%s, %s, camera states ± %s m", lat, lon, error_m)
                                             : g_strdup_printf("%s, %s, error not stated", lat, lon);
    gb_put_text(position, "text", text);
    json_object_set_new(figure, "position", position);
}

static void put_camera(json_t *figure, const GbExif *exif)
{
    g_autofree char *name = gb_camera_name(exif);
    gb_put_text(figure, "camera", name);
}

static void put_size(json_t *figure, const GbShot *shot)
{
    gboolean lying = shot->exif.orientation >= 5;
    if (shot->width <= 0 || shot->height <= 0)
        return;
    json_object_set_new(figure, "width", json_integer(lying ? shot->height : shot->width));
    json_object_set_new(figure, "height", json_integer(lying ? shot->width : shot->height));
}

/* --- order and numbers --- */

/* The order within a place wants the distances that count. */
static int compare_shots(gconstpointer a, gconstpointer b, gpointer catalogue)
{
    const GbShot *left = *(const GbShot *const *)a, *right = *(const GbShot *const *)b;
    return gb_shot_compare(left, gb_shot_distance(left, catalogue), right, gb_shot_distance(right, catalogue));
}

static gboolean is_at(const GbDossier *dossier, const GbShot *shot, gint64 place)
{
    gboolean on_paper = gb_shot_is_paper(shot, dossier->catalogue);
    if (on_paper || place == GB_ON_PAPER)
        return on_paper && place == GB_ON_PAPER;
    if (place != 0)
        return shot->place == place;
    return shot->place == 0 || gb_places_by_id(dossier->places, shot->place) == NULL;
}

GPtrArray *gb_figure_shots(const GbDossier *dossier, gint64 place)
{
    GPtrArray *here = g_ptr_array_new();
    for (guint i = 0; i < dossier->shots->len; i++) {
        const GbShot *shot = dossier->shots->pdata[i];
        if (!shot->left_out && is_at(dossier, shot, place))
            g_ptr_array_add(here, (gpointer)shot);
    }
    g_ptr_array_sort_with_data(here, compare_shots, (gpointer)dossier->catalogue);
    return here;
}

/* Number the shots of a place (0: of none; or GB_ON_PAPER), going on after what the table holds. */
static void number_shots(const GbDossier *dossier, gint64 place, GHashTable *figure_of)
{
    g_autoptr(GPtrArray) here = gb_figure_shots(dossier, place);
    for (guint i = 0; i < here->len; i++) {
        const GbShot *shot = here->pdata[i];
        g_hash_table_insert(figure_of, (gpointer)&shot->number, GUINT_TO_POINTER(g_hash_table_size(figure_of) + 1));
    }
}

GHashTable *gb_figure_numbers(const GbDossier *dossier)
{
    GHashTable *figure_of = g_hash_table_new(g_int64_hash, g_int64_equal);
    for (guint i = 0; i < dossier->places->len; i++)
        number_shots(dossier, ((const GbPlace *)dossier->places->pdata[i])->id, figure_of);
    number_shots(dossier, GB_ON_PAPER, figure_of);
    number_shots(dossier, 0, figure_of);
    return figure_of;
}

/* --- one figure --- */

json_t *gb_figure_json(const GbShot *shot, guint number, const GbDossier *dossier)
{
    const GPtrArray *places = dossier->places;
    const GbCatalogue *catalogue = dossier->catalogue;
    const GbPlace *place = shot->place != 0 ? gb_places_by_id(places, shot->place) : NULL;
    const GbSubject *subject = shot->subject != NULL ? gb_catalogue_by_id(catalogue, shot->subject) : NULL;
    GbDistance distance = gb_shot_distance(shot, catalogue);
    g_autofree char *caption = gb_shot_caption(shot, places, catalogue);
    g_autofree char *alt = alt_text(shot, subject, distance, place);

    json_t *figure = json_pack("{s:i, s:I}", "number", (int)number, "shot", (json_int_t)shot->number);
    gb_put_text(figure, "caption", *caption != '\0' ? caption : "Not named yet");
    gb_put_text(figure, "alt", alt);
    gb_put_text(figure, "place", place != NULL ? place->title : NULL);
    gb_put_text(figure, "subject", subject != NULL ? subject->name : shot->subject);
    gb_put_text(figure, "distance", gb_distance_word(distance));
    gb_put_text(figure, "value", shot->value);
    gb_put_text(figure, "file", shot->source_name);
    gb_put_text(figure, "sha256", shot->sha256);
    json_t *time = gb_figure_time(shot);
    if (time != NULL)
        json_object_set_new(figure, "time", time);
    put_direction(figure, &shot->exif);
    put_position(figure, &shot->exif);
    put_camera(figure, &shot->exif);
    put_size(figure, shot);
    gb_put_marks(figure, shot);
    if (shot->damaged)
        gb_put_text(figure, "damaged", "The file is partly damaged; what could be read of it is shown");
    gb_put_text(figure, "weak", shot->weak);
    json_object_set_new(figure, "findings", gb_figure_findings(dossier, shot));
    return figure;
}
