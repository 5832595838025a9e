/* list.c -- see list.h.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <gablebook/list.h>

#include <gablebook/numbers.h>
#include <math.h>

/* A filter, understood. */
typedef struct {
    const GbListFilter *words;
    GArray *numbers;
    const GbPlace *place;
    const GbSubject *subject;
    GbDistance distance;
} Filter;

static gboolean says(const char *text)
{
    return text != NULL && *text != '\0';
}

static gboolean understand(Filter *filter, const GbDossier *dossier, GError **error)
{
    const GbListFilter *words = filter->words;
    if (words->shots != NULL && (filter->numbers = gb_numbers_parse(words->shots, error)) == NULL)
        return FALSE;
    if (says(words->place) && (filter->place = gb_places_find(dossier->places, words->place, error)) == NULL)
        return FALSE;
    if (says(words->subject) && (filter->subject = gb_catalogue_find(dossier->catalogue, words->subject, error)) == NULL)
        return FALSE;
    return !says(words->distance) || gb_distance_parse(words->distance, &filter->distance, error);
}

static gboolean passes(const Filter *filter, const GbShot *shot, const GbCatalogue *catalogue)
{
    const GbListFilter *words = filter->words;
    return (filter->numbers == NULL || gb_numbers_hold(filter->numbers, shot->number)) &&
           (words->place == NULL || shot->place == (filter->place == NULL ? 0 : filter->place->id)) &&
           (words->subject == NULL || g_strcmp0(shot->subject, filter->subject == NULL ? NULL : filter->subject->id) == 0) &&
           (words->distance == NULL || gb_shot_distance(shot, catalogue) == filter->distance) &&
           (!words->left_out || shot->left_out);
}

GPtrArray *gb_list(const GbDossier *dossier, const GbListFilter *words, GError **error)
{
    Filter filter = { .words = words };
    GPtrArray *shots = NULL;
    if (understand(&filter, dossier, error)) {
        shots = g_ptr_array_new();
        for (guint i = 0; i < dossier->shots->len; i++)
            if (passes(&filter, dossier->shots->pdata[i], dossier->catalogue))
                g_ptr_array_add(shots, dossier->shots->pdata[i]);
    }
    g_clear_pointer(&filter.numbers, g_array_unref);
    return shots;
}

static json_t *number_or_null(double value)
{
    return isfinite(value) ? json_real(value) : json_null();
}

static json_t *text_or_null(const char *text)
{
    return says(text) ? json_string(text) : json_null();
}

static json_t *shot_json(const GbDossier *dossier, const GbShot *shot)
{
    const GbExif *exif = &shot->exif;
    const char ref[] = { g_ascii_isalpha(exif->heading_ref) ? exif->heading_ref : '\0', '\0' };
    const GbPlace *place = gb_places_by_id(dossier->places, shot->place);
    const GbSubject *subject = shot->subject == NULL ? NULL : gb_catalogue_by_id(dossier->catalogue, shot->subject);
    const GbClockTime *time = &shot->time;
    g_autofree char *taken = gb_time_text(isnan(time->local_s) ? time->reading_s : time->local_s);
    g_autofree char *reading = gb_time_text(exif->taken_local_s);
    g_autofree char *utc = gb_time_text(time->utc_s);
    g_autofree char *camera = gb_camera_name(exif);
    g_autofree char *caption = gb_shot_caption(shot, dossier->places, dossier->catalogue);
    return json_pack("{sI ss ss so so so so so ss so so so so so so so so so so so so sb sb sb sb so so}",
        "number", (json_int_t)shot->number, "file", shot->source_name, "sha256", shot->sha256,
        "taken", text_or_null(taken), "taken_utc", text_or_null(utc), "reading", text_or_null(reading),
        "correction_s", number_or_null(time->correction_s),
        "zone_min", time->zone_how == GB_ZONE_NONE ? json_null() : json_integer(time->zone_min),
        "clock_known_by", gb_clock_how_word(time->how),
        "offset_min", exif->has_offset ? json_integer(exif->offset_min) : json_null(),
        "camera", text_or_null(camera), "lat", number_or_null(exif->lat_deg), "lon", number_or_null(exif->lon_deg),
        "position_error_m", number_or_null(exif->position_error_m), "heading_deg", number_or_null(exif->heading_deg),
        "heading_ref", text_or_null(ref), "place", text_or_null(place == NULL ? NULL : place->label),
        "subject", text_or_null(subject == NULL ? shot->subject : subject->name),
        "distance", text_or_null(gb_distance_word(gb_shot_distance(shot, dossier->catalogue))),
        "value", text_or_null(shot->value), "caption", text_or_null(caption),
        "caption_written", shot->caption != NULL, "left_out", shot->left_out, "looked_at", shot->looked_at, "damaged", shot->damaged,
        "weak", text_or_null(shot->weak), "remark", text_or_null(shot->remark));
}

json_t *gb_list_json(const GbDossier *dossier, const GPtrArray *shots)
{
    json_t *list = json_array();
    for (guint i = 0; i < shots->len; i++)
        json_array_append_new(list, shot_json(dossier, shots->pdata[i]));
    return list;
}

json_t *gb_list_attachments_json(const GbDossier *dossier)
{
    json_t *list = json_array();
    for (guint i = 0; i < dossier->attachments->len; i++) {
        const GbAttachment *attachment = dossier->attachments->pdata[i];
        json_t *beside = attachment->beside == 0 ? json_null() : json_integer(attachment->beside);
        json_array_append_new(list, json_pack("{ss ss ss ss sI so}", "file", attachment->source_name, "stored", attachment->stored_name,
            "sha256", attachment->sha256, "kind", attachment->kind, "bytes", (json_int_t)attachment->bytes, "beside", beside));
    }
    return list;
}
