/* suggest.c -- the verb suggest: a claim's shots given to facing.h, its answers to a person. See suggest.h.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <gablebook/suggest.h>

#include <gablebook/error.h>
#include <gablebook/geodesy.h>
#include <gablebook/history.h>
#include <gablebook/magnetic.h>
#include <log/rows.h>
#include <math.h>

/* What facing.h wants, made of a dossier. */
typedef struct {
    const GbDossier *dossier;
    GbFacingShot *shots;
    GbFacingStructure *structures;
    GbFacingPlace *places;
    gboolean uncorrected; /* a magnetic heading was used as it is */
} Input;

static void clear_input(Input *input)
{
    g_clear_pointer(&input->shots, g_free);
    g_clear_pointer(&input->structures, g_free);
    g_clear_pointer(&input->places, g_free);
}
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(Input, clear_input)

static gint compare_doubles(gconstpointer a, gconstpointer b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

/* A map around the median position: an outlier must not lead it away. FALSE: no shot has a position. */
static gboolean make_plane(const GPtrArray *shots, GbPlane *plane)
{
    g_autofree double *lat = g_new(double, shots->len + 1), *lon = g_new(double, shots->len + 1);
    guint n = 0;
    for (guint i = 0; i < shots->len; i++) {
        const GbExif *exif = &((GbShot *)shots->pdata[i])->exif;
        if (isnan(exif->lat_deg))
            continue;
        lat[n] = exif->lat_deg;
        lon[n++] = exif->lon_deg;
    }
    qsort(lat, n, sizeof *lat, compare_doubles);
    qsort(lon, n, sizeof *lon, compare_doubles);
    return n > 0 && gb_plane_init(plane, lat[n / 2], lon[n / 2]);
}

/* The heading from true north; a magnetic one is corrected for its place and date, or used as it is and said so. */
static double true_heading(Input *input, const GbExif *exif, double utc_s, const GbPlane *plane)
{
    GbMagnetic field;
    if (isnan(exif->heading_deg) || exif->heading_ref != 'M')
        return exif->heading_deg;
    double lat = isnan(exif->lat_deg) && plane != NULL ? plane->lat_deg : exif->lat_deg;
    double lon = isnan(exif->lat_deg) && plane != NULL ? plane->lon_deg : exif->lon_deg;
    double when = isnan(utc_s) ? exif->taken_local_s : utc_s;
    if (!isnan(lat) && gb_magnetic_field(lat, lon, exif->alt_m, gb_magnetic_year(when), &field, NULL))
        return gb_magnetic_to_true(exif->heading_deg, field.declination_deg);
    input->uncorrected = TRUE;
    return exif->heading_deg;
}

static int index_of_place(const GPtrArray *places, gint64 id)
{
    for (guint i = 0; i < places->len; i++)
        if (((GbPlace *)places->pdata[i])->id == id)
            return (int)i;
    return -1;
}

static void add_shots(Input *input)
{
    const GPtrArray *shots = input->dossier->shots;
    GbPlane plane;
    gboolean mapped = make_plane(shots, &plane);
    input->shots = g_new0(GbFacingShot, shots->len + 1);
    for (guint i = 0; i < shots->len; i++) {
        const GbShot *shot = shots->pdata[i];
        GbFacingShot *in = &input->shots[i];
        *in = (GbFacingShot){
            .number = shot->number,
            .time_s = isnan(shot->time.utc_s) ? shot->exif.taken_local_s : shot->time.utc_s,
            .east_m = (double)NAN,
            .north_m = (double)NAN,
            .error_m = shot->exif.position_error_m,
            .altitude_m = shot->exif.alt_m,
            .heading_deg = true_heading(input, &shot->exif, shot->time.utc_s, mapped ? &plane : NULL),
            .place = shot->place == 0 ? -1 : index_of_place(input->dossier->places, shot->place),
            .distance = gb_shot_distance(shot, input->dossier->catalogue),
        };
        if (mapped && !isnan(shot->exif.lat_deg))
            gb_plane_metres(&plane, shot->exif.lat_deg, shot->exif.lon_deg, &in->east_m, &in->north_m);
    }
}

static int index_of_structure(const GPtrArray *structures, gint64 id)
{
    for (guint i = 0; i < structures->len; i++)
        if (((GbStructure *)structures->pdata[i])->id == id)
            return (int)i;
    return 0; /* the site belongs to none; facing.h passes its structure over */
}

static void add_property(Input *input)
{
    const GPtrArray *structures = input->dossier->structures, *places = input->dossier->places;
    const double unknown = (double)NAN;
    input->structures = g_new0(GbFacingStructure, structures->len + 1);
    input->places = g_new0(GbFacingPlace, places->len + 1);
    for (guint i = 0; i < structures->len; i++) {
        const GbStructure *structure = structures->pdata[i];
        gboolean dwelling = strcmp(structure->kind, "dwelling") == 0;
        input->structures[i] = (GbFacingStructure){ structure->name, dwelling, dwelling ? input->dossier->claim->front_azimuth_deg : unknown,
                                                    unknown, unknown, unknown, unknown };
    }
    for (guint i = 0; i < places->len; i++) {
        const GbPlace *place = places->pdata[i];
        input->places[i] = (GbFacingPlace){ place->kind, place->face, index_of_structure(structures, place->structure) };
    }
}

static void free_suggestion(gpointer data)
{
    GbSuggestion *suggestion = data;
    g_free(suggestion->reason);
    g_free(suggestion);
}

static GbSuggestion *read_answer(const GbFacingAnswer *answer, const GbShot *shot, const GPtrArray *places)
{
    GbSuggestion *suggestion = g_new0(GbSuggestion, 1);
    suggestion->number = shot->number;
    suggestion->place = answer->place < 0 ? 0 : ((GbPlace *)places->pdata[answer->place])->id;
    suggestion->confidence = answer->confidence;
    for (int d = GB_DISTANCE_UNKNOWN; d < GB_DISTANCES; d++)
        if (answer->distance[d] > suggestion->distance_confidence) {
            suggestion->distance = (GbDistance)d;
            suggestion->distance_confidence = answer->distance[d];
        }
    suggestion->reason = g_strdup(answer->reason);
    return suggestion;
}

GbSuggestions *gb_suggest(const GbDossier *dossier, GError **error)
{
    g_auto(Input) input = { .dossier = dossier };
    add_shots(&input);
    add_property(&input);
    const GbFacingInput numbers = { input.shots, dossier->shots->len, input.structures, dossier->structures->len, input.places,
                                    dossier->places->len };
    g_autoptr(GbFacing) facing = gb_facing_estimate(&numbers, error);
    if (facing == NULL)
        return NULL;
    GbSuggestions *all = g_new0(GbSuggestions, 1);
    all->suggestions = g_ptr_array_new_with_free_func(free_suggestion);
    all->house = *gb_facing_house(facing);
    if (input.uncorrected)
        all->caution = g_strdup("some compass headings are magnetic and could not be corrected (no position, or a date outside the magnetic "
                                "model's years, 2025 to 2030)");
    for (guint i = 0; i < dossier->shots->len; i++) {
        const GbShot *shot = dossier->shots->pdata[i];
        if (shot->place == 0)
            g_ptr_array_add(all->suggestions, read_answer(gb_facing_answer(facing, i), shot, dossier->places));
    }
    return all;
}

void gb_suggestions_free(GbSuggestions *suggestions)
{
    if (suggestions == NULL)
        return;
    g_ptr_array_unref(suggestions->suggestions);
    g_free(suggestions->caution);
    g_free(suggestions);
}

/* A shot takes the place it is suggested for, and the distance where that is as sure and nobody has said it. */
static gboolean take(GbLog *log, const GbDossier *dossier, GbShot *shot, const GbSuggestion *suggestion, double confidence, GError **error)
{
    shot->place = suggestion->place;
    if (gb_shot_distance(shot, dossier->catalogue) == GB_DISTANCE_UNKNOWN && suggestion->distance_confidence >= confidence)
        shot->distance = suggestion->distance;
    return gb_shot_store(log, shot, error);
}

/* Suggestions lie as the shots without a place do. */
static gboolean accept(GbLog *log, const GbDossier *dossier, const GbSuggestions *all, double confidence, guint *n, GError **error)
{
    guint next = 0;
    for (guint i = 0; i < dossier->shots->len && next < all->suggestions->len; i++) {
        GbShot *shot = dossier->shots->pdata[i];
        const GbSuggestion *suggestion = all->suggestions->pdata[next];
        if (shot->number != suggestion->number)
            continue;
        next++;
        if (suggestion->place == 0 || suggestion->confidence < confidence)
            continue;
        if (!take(log, dossier, shot, suggestion, confidence, error))
            return FALSE;
        ++*n;
    }
    return TRUE;
}

gboolean gb_suggest_accept(GbLog *log, double confidence, guint *accepted, GError **error)
{
    guint n = 0;
    if (!(confidence >= 0.5 && confidence <= 1)) {
        g_set_error(error, GB_ERROR, GB_ERROR_SYNTAX, "a confidence to accept must be from 0.5 to 1; nothing was changed");
        return FALSE;
    }
    g_autoptr(GbChange) change = gb_change_begin(log, "suggest", error);
    g_autoptr(GbDossier) dossier = change == NULL ? NULL : gb_dossier_load(log, error);
    g_autoptr(GbSuggestions) all = dossier == NULL ? NULL : gb_suggest(dossier, error);
    if (all == NULL || !accept(log, dossier, all, confidence, &n, error))
        return FALSE;
    g_autofree char *summary = g_strdup_printf("%u place%s accepted at %.0f %% confidence and more", n, n == 1 ? "" : "s", 100 * confidence);
    if (!gb_change_save(change, summary, error))
        return FALSE;
    if (accepted != NULL)
        *accepted = n;
    return TRUE;
}
