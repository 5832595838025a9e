/* claim_json.c -- the claim as the page gets it: facts, structures, places with their counts, subjects, stops, the check, undo and redo.
 * See README.md.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "board-private.h"

#include <math.h>

static json_t *json_of_words(const char *const *words)
{
    json_t *array = json_array();
    for (const char *const *word = words; *word != NULL; word++)
        json_array_append_new(array, json_string(*word));
    return array;
}

/* --- the words one can choose from --- */

static gint by_text(gconstpointer a, gconstpointer b)
{
    return strcmp(*(char *const *)a, *(char *const *)b);
}

/* The program's checklists, and the claim's own. */
static json_t *json_of_checklists(const GbLog *log)
{
    g_auto(GStrv) builtin = gb_checklist_names();
    g_autofree char *own = gb_log_path(log, "templates", "checklists", NULL);
    g_autoptr(GDir) dir = g_dir_open(own, 0, NULL);
    g_autoptr(GPtrArray) names = g_ptr_array_new_with_free_func(g_free);
    json_t *array = json_of_words((const char *const *)builtin);
    const char *file;
    while (dir != NULL && (file = g_dir_read_name(dir)) != NULL) {
        g_autofree char *name = g_str_has_suffix(file, ".ini") ? g_strndup(file, strlen(file) - strlen(".ini")) : NULL;
        if (name != NULL && *name != '.' && *name != '\0' && g_utf8_validate(name, -1, NULL) &&
            !g_strv_contains((const char *const *)builtin, name))
            g_ptr_array_add(names, g_steal_pointer(&name));
    }
    g_ptr_array_sort(names, by_text); /* a folder has no order of its own */
    for (guint i = 0; i < names->len; i++)
        json_array_append_new(array, json_string(names->pdata[i]));
    return array;
}

static json_t *words_json(const GbLog *log)
{
    json_t *words = json_object(), *distances = json_array(), *faces = json_array();
    for (int d = GB_DISTANCE_OVERVIEW; d < GB_DISTANCES; d++)
        json_array_append_new(distances, json_string(gb_distance_word((GbDistance)d)));
    for (int f = 0; f < GB_FACES; f++)
        json_array_append_new(faces, json_string(gb_face_word((GbFace)f)));
    json_object_set_new(words, "causes", json_of_words(gb_cause_words()));
    json_object_set_new(words, "checklists", json_of_checklists(log));
    json_object_set_new(words, "structure_kinds", json_of_words(gb_structure_kinds()));
    json_object_set_new(words, "distances", distances);
    json_object_set_new(words, "faces", faces);
    return words;
}

/* --- the claim, its structures and places --- */

static json_t *facts_json(const GbClaim *claim)
{
    json_t *facts = gb_decided_claim(claim);
    gb_json_text(facts, "front_compass", gb_compass_point(claim->front_azimuth_deg));
    return facts;
}

static json_t *structures_json(const GbDossier *dossier)
{
    json_t *array = json_array();
    for (guint i = 0; i < dossier->structures->len; i++) {
        const GbStructure *structure = dossier->structures->pdata[i];
        json_t *object = gb_decided_structure(structure, dossier->places);
        gb_json_whole(object, "id", structure->id);
        json_array_append_new(array, object);
    }
    return array;
}

/* Which way a wall or slope looks: see place.h. */
static double normal_of(const GbPlace *place, double front_azimuth_deg)
{
    static const double turn_deg[GB_FACES] = { [GB_FACE_FRONT] = 0, [GB_FACE_RIGHT] = -90, [GB_FACE_REAR] = 180, [GB_FACE_LEFT] = 90 };
    if (place->kind != GB_PLACE_ELEVATION && place->kind != GB_PLACE_SLOPE)
        return (double)NAN;
    return fmod(front_azimuth_deg + turn_deg[place->face] + 360, 360);
}

static guint count_shots_at(const GbDossier *dossier, gint64 place)
{
    guint n = 0;
    for (guint i = 0; i < dossier->shots->len; i++) {
        const GbShot *shot = dossier->shots->pdata[i];
        n += shot->place == place && !shot->left_out;
    }
    return n;
}

static void add_lines(json_t *object, const GbCheck *check, gint64 place)
{
    guint n[GB_CHECK_WEAK + 1] = { 0 };
    for (guint i = 0; i < check->lines->len; i++) {
        const GbCheckLine *line = check->lines->pdata[i];
        n[line->state] += line->place == place;
    }
    for (int state = GB_CHECK_THERE; state <= GB_CHECK_WEAK; state++)
        gb_json_whole(object, gb_check_state_word((GbCheckState)state), n[state]);
}

static json_t *place_json(const GbDossier *dossier, const GbPlace *place)
{
    json_t *object = json_object();
    gb_json_whole(object, "id", place->id);
    if (place->structure != 0)
        gb_json_whole(object, "structure", place->structure);
    gb_json_text(object, "kind", gb_place_kind_word(place->kind));
    if (place->kind == GB_PLACE_ELEVATION || place->kind == GB_PLACE_SLOPE)
        gb_json_text(object, "face", gb_face_word(place->face));
    gb_json_text(object, "room", place->room);
    gb_json_text(object, "label", place->label);
    gb_json_text(object, "title", place->title);
    gb_json_real(object, "normal_deg", normal_of(place, dossier->claim->front_azimuth_deg));
    gb_json_whole(object, "shots", count_shots_at(dossier, place->id));
    add_lines(object, dossier->check, place->id);
    return object;
}

static json_t *places_json(const GbDossier *dossier)
{
    json_t *array = json_array();
    for (guint i = 0; i < dossier->places->len; i++)
        json_array_append_new(array, place_json(dossier, dossier->places->pdata[i]));
    return array;
}

/* --- subjects --- */

static const char *hint_of(GbValueKind kind)
{
    switch (kind) {
    case GB_VALUE_PITCH: return "a pitch: 6/12, 7 1/2:12, 32 deg";
    case GB_VALUE_LENGTH: return "a length: 4 in, 7 1/2 in, 10 ft 4 in";
    case GB_VALUE_COUNT: return "a count: 9";
    case GB_VALUE_LAYERS: return "layers: 1 to 9";
    case GB_VALUE_TEXT: return "in words";
    case GB_VALUE_NONE: break;
    }
    return NULL;
}

static json_t *subject_json(const GbDossier *dossier, const GbSubject *subject)
{
    json_t *object = json_object();
    guint shots = 0;
    for (guint i = 0; i < dossier->shots->len; i++) {
        const GbShot *shot = dossier->shots->pdata[i];
        shots += !shot->left_out && g_strcmp0(shot->subject, subject->id) == 0;
    }
    gb_json_text(object, "id", subject->id);
    gb_json_text(object, "name", subject->name);
    gb_json_text(object, "plain", subject->plain);
    gb_json_text(object, "distance", gb_distance_word(subject->distance));
    if (subject->value != GB_VALUE_NONE)
        gb_json_text(object, "value", gb_value_kind_word(subject->value));
    gb_json_text(object, "value_hint", hint_of(subject->value));
    if (subject->shows != GB_SHOWS_NEITHER)
        gb_json_text(object, "shows", subject->shows == GB_SHOWS_DAMAGE ? "damage" : "no damage");
    gb_json_whole(object, "shots", shots);
    return object;
}

static json_t *subjects_json(const GbDossier *dossier)
{
    json_t *array = json_array();
    for (guint i = 0; i < gb_catalogue_size(dossier->catalogue); i++)
        json_array_append_new(array, subject_json(dossier, gb_catalogue_peek(dossier->catalogue, i)));
    return array;
}

/* --- stops --- */

static void set_time(json_t *object, const char *key, const GbShot *shot)
{
    g_autofree char *text = gb_time_text(isnan(shot->time.local_s) ? shot->time.reading_s : shot->time.local_s);
    gb_json_text(object, key, text);
}

static json_t *stops_json(const GbScene *scene)
{
    const GPtrArray *shots = scene->dossier->shots;
    json_t *array = json_array();
    for (guint i = 0, next; i < shots->len; i = next) {
        for (next = i; next < shots->len && scene->stops[next] == scene->stops[i]; next++)
            ;
        json_t *stop = json_object();
        gb_json_whole(stop, "stop", scene->stops[i]);
        gb_json_whole(stop, "shots", next - i);
        set_time(stop, "taken", shots->pdata[i]);
        set_time(stop, "until", shots->pdata[next - 1]);
        json_array_append_new(array, stop);
    }
    return array;
}

/* --- the check, with where each line belongs --- */

static void add_place_of_line(json_t *object, const GbCheckLine *line)
{
    if (line->place != 0)
        gb_json_whole(object, "place", line->place);
    if (line->structure != 0)
        gb_json_whole(object, "structure", line->structure);
}

/* The lines of all groups, one after the other, are those of the check. */
static json_t *check_json(const GbDossier *dossier)
{
    json_t *check = gb_check_json(dossier->check, dossier->checklist);
    gsize g, l;
    guint i = 0;
    json_t *group, *line;
    json_array_foreach(json_object_get(check, "groups"), g, group)
        json_array_foreach(json_object_get(group, "lines"), l, line)
            add_place_of_line(line, dossier->check->lines->pdata[i++]);
    return check;
}

/* --- undo and redo --- */

static gboolean add_next(json_t *object, GbLog *log, gboolean redo, GError **error)
{
    gint64 entry;
    g_autofree char *summary = NULL;
    if (!gb_history_next(log, redo, &entry, &summary, error))
        return FALSE;
    if (entry == 0)
        return TRUE;
    json_t *next = json_object();
    gb_json_whole(next, "entry", entry);
    gb_json_text(next, "summary", summary);
    json_object_set_new(object, redo ? "redo" : "undo", next);
    return TRUE;
}

static void add_origin(json_t *object, const GbScene *scene)
{
    if (!scene->mapped)
        return;
    json_t *origin = json_object();
    gb_json_real(origin, "lat", scene->map.lat_deg);
    gb_json_real(origin, "lon", scene->map.lon_deg);
    json_object_set_new(object, "origin", origin);
}

/* --- cameras --- */

/* Of its longest stretch: "12 s slow, measured by GPS time in 31 shots". OWNED by the caller; NULL when its photos have no times. */
static char *clock_text(const GbCamera *camera)
{
    const GbClockStretch *longest = NULL;
    for (guint i = 0; i < camera->stretches->len; i++) {
        const GbClockStretch *stretch = &g_array_index(camera->stretches, GbClockStretch, i);
        if (longest == NULL || stretch->shots > longest->shots)
            longest = stretch;
    }
    if (longest == NULL)
        return NULL;
    g_autofree char *error = gb_clock_text(longest->error_s), *how = gb_clock_how_text(longest);
    gboolean known = longest->how != GB_CLOCK_NONE && longest->how != GB_CLOCK_TAG; /* of these nobody knows more than how says */
    return known ? g_strdup_printf("%s, %s", error, how) : g_steal_pointer(&how);
}

static json_t *cameras_json(const GbCameras *cameras)
{
    json_t *array = json_array();
    for (guint i = 0; i < cameras->cameras->len; i++) {
        const GbCamera *camera = cameras->cameras->pdata[i];
        g_autofree char *clock = clock_text(camera);
        json_t *object = json_object();
        gb_json_text(object, "name", camera->name);
        gb_json_whole(object, "shots", camera->shots);
        gb_json_text(object, "said", camera->said);
        gb_json_text(object, "clock", clock);
        json_array_append_new(array, object);
    }
    return array;
}

static json_t *pairs_json(const GbCameras *cameras)
{
    json_t *array = json_array();
    for (guint i = 0; i < cameras->pairs->len; i++) {
        const GbCameraPair *pair = &g_array_index(cameras->pairs, GbCameraPair, i);
        json_array_append_new(array, json_pack("{sIsI}", "shot", (json_int_t)pair->shot, "other", (json_int_t)pair->other));
    }
    return array;
}

json_t *gb_board_claim_json(const GbScene *scene, GError **error)
{
    const GbDossier *dossier = scene->dossier;
    g_autoptr(GbCameras) cameras = gb_cameras_of(scene->log, dossier->shots, error);
    if (cameras == NULL)
        return NULL;
    json_t *object = json_object();
    g_autofree char *whole = g_canonicalize_filename(gb_log_folder(scene->log), NULL);
    g_autofree char *folder = g_filename_display_basename(whole);
    gb_json_text(object, "program", GB_VERSION);
    gb_json_text(object, "folder", folder);
    gb_json_text(object, "who", gb_log_who(scene->log));
    json_object_set_new(object, "claim", facts_json(dossier->claim));
    json_object_set_new(object, "words", words_json(scene->log));
    json_object_set_new(object, "structures", structures_json(dossier));
    json_object_set_new(object, "places", places_json(dossier));
    json_object_set_new(object, "subjects", subjects_json(dossier));
    json_object_set_new(object, "stops", stops_json(scene));
    json_object_set_new(object, "check", check_json(dossier));
    json_object_set_new(object, "cameras", cameras_json(cameras));
    json_object_set_new(object, "pairs", pairs_json(cameras));
    add_origin(object, scene);
    if (add_next(object, scene->log, FALSE, error) && add_next(object, scene->log, TRUE, error))
        return object;
    json_decref(object);
    return NULL;
}
