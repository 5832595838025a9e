/* test_model.c -- the report's model: chapters, figures, words for what is known and silence about what is not.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "test.h"

#include <gablebook/report.h>

/* --- an invented claim: a dwelling with a kitchen, a garage with one slope --- */

typedef struct {
    GbClaim claim;
    GPtrArray *places, *shots, *waivers, *findings;
    GbComponents *components;
    GbCatalogue *catalogue;
    GbFactlist *factlist;
    GPtrArray *facts, *squares, *notes; /* as recorded; their members BORROWED */
    GbThreshold *threshold;             /* likewise */
    GbChecklist *checklist;
} World;

enum { SITE = 1, WHOLE, FRONT, RIGHT, REAR, LEFT, ROOF, SLOPE_FRONT, SLOPE_RIGHT, SLOPE_REAR, SLOPE_LEFT, KITCHEN,
       GARAGE, GARAGE_FRONT, GARAGE_SLOPE };

static void free_place(gpointer data)
{
    GbPlace *place = data;
    g_free(place->structure_name);
    g_free(place->structure_kind);
    g_free(place->room);
    g_free(place->label);
    g_free(place->title);
    g_free(place);
}

static void free_finding(gpointer data)
{
    GbFinding *finding = data;
    g_array_unref(finding->shots);
    g_free(finding);
}

static void add_place(World *world, gint64 structure, GbPlaceKind kind, GbFace face, const char *room)
{
    GbPlace *place = g_new0(GbPlace, 1);
    const char *name = structure == 0 ? "" : structure == 1 ? "dwelling" : "garage";
    place->id = world->places->len + 1;
    place->structure = structure;
    place->structure_name = g_strdup(name);
    place->structure_kind = g_strdup(name);
    place->kind = kind;
    place->face = face;
    place->room = g_strdup(room);
    place->on_dwelling = structure == 1;
    place->label = gb_place_label(kind, name, structure == 1, face, room);
    place->title = gb_place_title(kind, name, structure == 1, face, room);
    g_ptr_array_add(world->places, place);
}

static void free_shot(gpointer data)
{
    GbShot *shot = data;
    g_free(shot->sha256);
    g_free(shot->source_name);
    g_free(shot->stored_name);
    gb_exif_clear(&shot->exif);
    g_free(shot->subject);
    g_free(shot->value);
    g_free(shot->caption);
    g_free(shot);
}

/* A shot that knows nothing but its file. BORROWED from the world. */
static GbShot *add_shot(World *world, gint64 place, const char *subject)
{
    GbShot *shot = g_new0(GbShot, 1);
    gb_exif_init(&shot->exif);
    shot->number = world->shots->len + 1;
    shot->sha256 = g_strdup_printf("%064x", (unsigned)shot->number);
    shot->source_name = g_strdup_printf("IMG_%04d.JPG", (int)shot->number);
    shot->stored_name = g_strdup(shot->source_name);
    shot->bytes = 1000;
    shot->width = 4000;
    shot->height = 3000;
    shot->place = place;
    shot->subject = g_strdup(subject);
    shot->value_number = NAN;
    g_ptr_array_add(world->shots, shot);
    return shot;
}

static int setup_world(void **state)
{
    World *world = g_new0(World, 1);
    world->claim.front_azimuth_deg = NAN;
    world->places = g_ptr_array_new_with_free_func(free_place);
    world->shots = g_ptr_array_new_with_free_func(free_shot);
    world->waivers = g_ptr_array_new();
    world->findings = g_ptr_array_new_with_free_func(free_finding);
    world->components = gb_components_builtin(NULL);
    world->catalogue = gb_catalogue_builtin(NULL);
    world->factlist = gb_factlist_builtin(world->catalogue, NULL);
    world->checklist = gb_checklist_builtin("exterior-wind-hail", world->catalogue, world->factlist, NULL);
    world->facts = g_ptr_array_new();
    world->squares = g_ptr_array_new();
    world->notes = g_ptr_array_new();
    add_place(world, 0, GB_PLACE_SITE, GB_FACE_FRONT, NULL);
    for (gint64 structure = 1; structure <= 2; structure++) {
        add_place(world, structure, GB_PLACE_WHOLE, GB_FACE_FRONT, NULL);
        for (int face = 0; face < (structure == 1 ? (int)GB_FACES : 1); face++)
            add_place(world, structure, GB_PLACE_ELEVATION, (GbFace)face, NULL);
        if (structure == 1)
            add_place(world, structure, GB_PLACE_ROOF, GB_FACE_FRONT, NULL);
        for (int face = 0; face < (structure == 1 ? (int)GB_FACES : 1); face++)
            add_place(world, structure, GB_PLACE_SLOPE, (GbFace)face, NULL);
        if (structure == 1)
            add_place(world, structure, GB_PLACE_ROOM, GB_FACE_FRONT, "kitchen");
    }
    *state = world;
    return world->checklist == NULL;
}

static int teardown_world(void **state)
{
    World *world = *state;
    g_ptr_array_unref(world->places);
    g_ptr_array_unref(world->shots);
    g_ptr_array_unref(world->waivers);
    g_ptr_array_unref(world->findings);
    gb_components_free(world->components);
    gb_checklist_free(world->checklist);
    g_ptr_array_unref(world->facts);
    g_ptr_array_unref(world->squares);
    g_ptr_array_unref(world->notes);
    gb_factlist_free(world->factlist);
    gb_catalogue_free(world->catalogue);
    g_free(world);
    return 0;
}

static GbKnowledge *known_of(const World *world)
{
    return gb_knowledge_make(world->places, world->shots, world->facts, world->squares, world->factlist, world->catalogue);
}

static GbCheck *check_of(const World *world, const GbKnowledge *known)
{
    return gb_check_run(&(GbCheckInput){ .claim = &world->claim, .places = world->places, .shots = world->shots, .waivers = world->waivers,
                                         .findings = world->findings, .components = world->components, .known = known,
                                         .checklist = world->checklist, .catalogue = world->catalogue });
}

static json_t *model_of(const World *world)
{
    g_autoptr(GbKnowledge) known = known_of(world);
    g_autoptr(GbCheck) check = check_of(world, known);
    const GbDossier dossier = { .claim = (GbClaim *)&world->claim, .places = world->places, .shots = world->shots, .notes = world->notes,
                                .findings = world->findings, .components = world->components, .threshold = world->threshold, .known = known, .check = check, .checklist = world->checklist,
                                .factlist = world->factlist, .catalogue = world->catalogue };
    return gb_report_model(&dossier);
}

static json_t *at(const json_t *array, gsize i)
{
    assert_true(i < json_array_size(array));
    return json_array_get(array, i);
}

static const char *text(const json_t *object, const char *key)
{
    return json_string_value(json_object_get(object, key));
}

static const json_t *chapter(const json_t *model, const char *id)
{
    gsize i;
    const json_t *found;
    json_array_foreach(json_object_get(model, "chapters"), i, found)
        if (strcmp(text(found, "id"), id) == 0)
            return found;
    return NULL;
}

/* The one figure of a world with one shot. */
static const json_t *only_figure(const json_t *model)
{
    return at(json_object_get(at(json_object_get(model, "chapters"), 0), "figures"), 0);
}

/* "1:3 2:1 ..." figure number and shot of each figure, through the whole report in its order. */
static void list_figures(const json_t *heading, GString *out)
{
    gsize i;
    const json_t *figure, *section;
    json_array_foreach(json_object_get(heading, "figures"), i, figure)
        g_string_append_printf(out, "%d:%d ", (int)json_integer_value(json_object_get(figure, "number")),
                               (int)json_integer_value(json_object_get(figure, "shot")));
    json_array_foreach(json_object_get(heading, "sections"), i, section)
        list_figures(section, out);
}

/* --- chapters --- */

static void chapters_follow_the_walk_and_what_has_no_place_comes_last(void **state)
{
    World *world = *state;
    const gint64 places[] = { 0, GARAGE_FRONT, KITCHEN, SLOPE_LEFT, SLOPE_FRONT, ROOF, LEFT, REAR, RIGHT, FRONT, WHOLE, SITE };
    for (gsize i = 0; i < G_N_ELEMENTS(places); i++)
        add_shot(world, places[i], "overview");
    json_t *model = model_of(world);
    const char *wanted[] = { "site", "whole", "elevation-front", "elevation-right", "elevation-rear", "elevation-left", "roof",
                             "rooms", "structure-2", "unplaced" };
    const json_t *chapters = json_object_get(model, "chapters");
    g_autoptr(GString) figures = g_string_new(NULL);
    for (gsize i = 0; i < G_N_ELEMENTS(wanted); i++) {
        assert_string_equal(text(at(chapters, i), "id"), wanted[i]);
        list_figures(at(chapters, i), figures);
    }
    assert_int_equal(json_array_size(chapters), G_N_ELEMENTS(wanted));
    assert_string_equal(figures->str, "1:12 2:11 3:10 4:9 5:8 6:7 7:6 8:5 9:4 10:3 11:2 12:1 ");
    assert_string_equal(text(chapter(model, "structure-2"), "title"), "Garage");
    assert_string_equal(text(chapter(model, "unplaced"), "title"), "Not placed yet");
    json_decref(model);
}

static void slopes_are_parts_of_the_roof_with_headings_of_their_own(void **state)
{
    World *world = *state;
    add_shot(world, SLOPE_REAR, "test-square");
    json_t *model = model_of(world);
    const json_t *sections = json_object_get(chapter(model, "roof"), "sections");
    const char *wanted[] = { "Front slope", "Right slope", "Rear slope", "Left slope" };
    for (gsize i = 0; i < G_N_ELEMENTS(wanted); i++)
        assert_string_equal(text(at(sections, i), "title"), wanted[i]);
    assert_null(json_object_get(at(sections, 2), "empty"));
    assert_string_equal(text(at(sections, 0), "empty"), "No photo shows this slope");
    json_decref(model);
}

static void overviews_come_before_close_ups_and_the_own_order_before_both(void **state)
{
    World *world = *state;
    add_shot(world, FRONT, NULL)->distance = GB_DISTANCE_CLOSE;
    add_shot(world, FRONT, NULL)->distance = GB_DISTANCE_OVERVIEW;
    add_shot(world, FRONT, NULL)->distance = GB_DISTANCE_CLOSE;
    ((GbShot *)world->shots->pdata[2])->hand_order = 1;
    json_t *model = model_of(world);
    g_autoptr(GString) figures = g_string_new(NULL);
    list_figures(chapter(model, "elevation-front"), figures);
    assert_string_equal(figures->str, "1:3 2:2 3:1 ");
    json_decref(model);
}

static void an_elevation_without_a_photo_says_so_but_an_empty_room_is_left_out(void **state)
{
    json_t *model = model_of(*state);
    assert_string_equal(text(chapter(model, "elevation-rear"), "empty"), "No photo shows this elevation");
    assert_string_equal(text(chapter(model, "elevation-rear"), "count_text"), "no photo");
    assert_null(chapter(model, "rooms"));
    assert_null(chapter(model, "site"));
    assert_null(chapter(model, "unplaced"));
    json_decref(model);
}

static void a_shot_left_out_has_no_figure_but_a_row_among_the_files(void **state)
{
    World *world = *state;
    add_shot(world, FRONT, "overview")->left_out = TRUE;
    add_shot(world, FRONT, "overview");
    json_t *model = model_of(world);
    const json_t *files = json_object_get(model, "files"), *left_out = at(files, 0), *shown = at(files, 1);
    assert_int_equal(json_array_size(files), 2);
    assert_true(json_is_true(json_object_get(left_out, "left_out")));
    assert_null(json_object_get(left_out, "figure"));
    assert_int_equal(json_integer_value(json_object_get(shown, "figure")), 1);
    assert_null(json_object_get(shown, "left_out"));
    assert_int_equal(json_integer_value(json_object_get(json_object_get(model, "counts"), "left_out")), 1);
    json_decref(model);
}

static void a_place_that_is_gone_does_not_lose_its_shot(void **state)
{
    World *world = *state;
    add_shot(world, 999, "overview");
    json_t *model = model_of(world);
    g_autoptr(GString) figures = g_string_new(NULL);
    list_figures(chapter(model, "unplaced"), figures);
    assert_string_equal(figures->str, "1:1 ");
    json_decref(model);
}

/* --- figures --- */

static void what_is_unknown_leaves_no_trace_in_a_figure(void **state)
{
    World *world = *state;
    add_shot(world, SITE, NULL);
    json_t *model = model_of(world);
    const char *absent[] = { "time", "direction", "position", "camera", "value", "subject", "distance", "damaged" };
    for (gsize i = 0; i < G_N_ELEMENTS(absent); i++)
        assert_null(json_object_get(only_figure(model), absent[i]));
    json_decref(model);
}

static void a_time_is_the_cameras_own_and_tells_whether_it_knows_its_zone(void **state)
{
    World *world = *state;
    GbShot *shot = add_shot(world, SITE, "address");
    shot->exif.taken_local_s = 1778770928.75; /* date -u -d @1778770928: 2026-05-14 15:02:08 */
    json_t *model = model_of(world);
    const json_t *time = json_object_get(only_figure(model), "time");
    assert_string_equal(text(time, "local"), "2026-05-14 15:02:08");
    assert_string_equal(text(time, "zone"), "zone not stated");
    assert_string_equal(text(time, "machine"), "2026-05-14T15:02:08");
    json_decref(model);

    const struct { int offset_min; const char *zone; } zones[] = { { -300, "UTC-05:00" }, { 345, "UTC+05:45" },
                                                                   { -30, "UTC-00:30" }, { 0, "UTC+00:00" } };
    shot->exif.has_offset = TRUE;
    for (gsize i = 0; i < G_N_ELEMENTS(zones); i++) {
        shot->exif.offset_min = zones[i].offset_min;
        model = model_of(world);
        assert_string_equal(text(json_object_get(only_figure(model), "time"), "zone"), zones[i].zone);
        json_decref(model);
    }
}

static void a_direction_names_its_north_and_never_reaches_360(void **state)
{
    World *world = *state;
    GbShot *shot = add_shot(world, SITE, "address");
    const struct { double deg; char ref; const char *wanted; } cases[] = {
        { 24.3, 'T', "looking NNE, 24° true (camera compass)" },
        { 232.4, 'M', "looking SW, 232° magnetic (camera compass)" },
        { 359.6, 'T', "looking N, 0° true (camera compass)" },
        { 0.0, 'T', "looking N, 0° true (camera compass)" },
    };
    for (gsize i = 0; i < G_N_ELEMENTS(cases); i++) {
        shot->exif.heading_deg = cases[i].deg;
        shot->exif.heading_ref = cases[i].ref;
        json_t *model = model_of(world);
        assert_string_equal(text(only_figure(model), "direction"), cases[i].wanted);
        json_decref(model);
    }
}

static void a_position_states_its_error_or_that_none_is_stated(void **state)
{
    World *world = *state;
    GbShot *shot = add_shot(world, SITE, "address");
    shot->exif.lat_deg = 38.7310141;
    shot->exif.lon_deg = -97.4121079;
    json_t *model = model_of(world);
    assert_string_equal(text(json_object_get(only_figure(model), "position"), "text"),
                        "38.73101° N, 97.41211° W, error not stated");
    json_decref(model);
    shot->exif.position_error_m = 4.2; /* rounded away from certainty */
    model = model_of(world);
    assert_string_equal(text(json_object_get(only_figure(model), "position"), "text"),
                        "38.73101° N, 97.41211° W, camera states ± 5 m");
    json_decref(model);
}

static void a_photo_stored_on_its_side_has_the_size_of_an_upright_one(void **state)
{
    World *world = *state;
    add_shot(world, SITE, "address")->exif.orientation = 6;
    json_t *model = model_of(world);
    assert_int_equal(json_integer_value(json_object_get(only_figure(model), "width")), 3000);
    assert_int_equal(json_integer_value(json_object_get(only_figure(model), "height")), 4000);
    json_decref(model);
}

static void the_alternative_text_says_what_and_where_in_a_sentence(void **state)
{
    World *world = *state;
    const struct {
        gint64 place;
        const char *subject;
        GbDistance distance;
        const char *value, *caption, *wanted;
    } cases[] = {
        { FRONT, "overview", 0, NULL, NULL, "Photo: overview at the front elevation." },
        { RIGHT, "siding-size", 0, "4 in", NULL, "Close-up photo: siding size at the right elevation, value 4 in." },
        { SLOPE_REAR, "test-square", GB_DISTANCE_MID, "9", NULL, "Mid-range photo: test square on the rear slope, value 9." },
        { GARAGE_SLOPE, "test-square", GB_DISTANCE_CLOSE, NULL, NULL,
          "Close-up photo: test square on the front slope of the garage." },
        { KITCHEN, NULL, GB_DISTANCE_OVERVIEW, NULL, NULL, "Overview photo in the kitchen, what it shows is not named yet." },
        { GARAGE, NULL, 0, NULL, "Door bent inward", "Photo at the garage: Door bent inward." },
        { SITE, "address", 0, NULL, "House number 418.", "Mid-range photo: address at the site. House number 418." },
        { 0, NULL, 0, NULL, NULL, "Photo, place not recorded, what it shows is not named yet." },
    };
    for (gsize i = 0; i < G_N_ELEMENTS(cases); i++) {
        g_ptr_array_set_size(world->shots, 0);
        GbShot *shot = add_shot(world, cases[i].place, cases[i].subject);
        shot->distance = cases[i].distance;
        shot->value = g_strdup(cases[i].value);
        shot->caption = g_strdup(cases[i].caption);
        json_t *model = model_of(world);
        char *dump = json_dumps(json_object_get(model, "chapters"), JSON_COMPACT);
        g_autofree char *wanted = g_strdup_printf("\"alt\":\"%s\"", cases[i].wanted);
        if (strstr(dump, wanted) == NULL)
            fail_msg("no %s in %s", wanted, dump);
        free(dump);
        json_decref(model);
    }
}

/* --- findings --- */

static GbFinding *add_finding(World *world, gint64 place, const char *component, gint64 shot)
{
    GbFinding *finding = g_new0(GbFinding, 1);
    finding->number = world->findings->len + 1;
    finding->place = place;
    finding->component = (char *)component;
    finding->amount = NAN;
    finding->shots = g_array_new(FALSE, FALSE, sizeof(gint64));
    if (shot != 0)
        g_array_append_val(finding->shots, shot);
    g_ptr_array_add(world->findings, finding);
    return finding;
}

static void findings_name_their_figures_and_figures_their_findings(void **state)
{
    World *world = *state;
    add_shot(world, SLOPE_FRONT, "hail-hit");
    add_shot(world, FRONT, "gutter-damage");
    add_finding(world, FRONT, "gutter", 2);
    add_finding(world, SLOPE_FRONT, "shingles", 1);
    GbFinding *bare = add_finding(world, SLOPE_FRONT, "ridge-cap", 0);
    bare->action = (char *)"repair";
    json_t *model = model_of(world);
    const json_t *found = json_object_get(model, "found"), *groups = json_object_get(found, "groups");
    assert_string_equal(text(found, "count_text"), "3 findings");
    assert_int_equal(json_array_size(groups), 2);
    const json_t *slope = json_object_get(at(groups, 1), "items"), *shingles = at(slope, 0), *cap = at(slope, 1);
    assert_string_equal(text(at(groups, 1), "title"), "Front slope");
    assert_string_equal(text(shingles, "component"), "Shingles");
    assert_int_equal(json_integer_value(json_object_get(at(json_object_get(shingles, "proofs"), 0), "number")), 2); /* the wall comes first */
    assert_int_equal(json_array_size(json_object_get(cap, "proofs")), 0);
    assert_string_equal(text(cap, "lacks"), "no cause, no quantity");
    const json_t *figure = at(json_object_get(chapter(model, "elevation-front"), "figures"), 0);
    assert_string_equal(text(at(json_object_get(figure, "findings"), 0), "what"), "Gutter");
    json_decref(model);
}

static void a_report_without_findings_is_silent_about_them(void **state)
{
    World *world = *state;
    add_shot(world, FRONT, "gutter-damage");
    json_t *model = model_of(world);
    assert_null(json_object_get(model, "found"));
    const json_t *advised = json_object_get(json_object_get(model, "attention"), "advised");
    char *dumped = json_dumps(advised, 0);
    assert_null(strstr(dumped, "belongs to no finding")); /* the adjuster's own business: check says it */
    free(dumped);
    json_decref(model);
}

/* --- up front --- */

static void waived_lines_stand_up_front_with_reason_name_and_time(void **state)
{
    World *world = *state;
    GbWaiver waiver = { .key = (char *)"test-square place:10", .why = (char *)"ice on the rear slope",
                        .who = (char *)"R. Delgado", .at_utc_s = 1778789469 }; /* date -u: 2026-05-14 20:11:09 */
    world->claim.cause = (char *)"hail";
    g_ptr_array_add(world->waivers, &waiver);
    json_t *model = model_of(world);
    const json_t *waived = json_object_get(json_object_get(model, "attention"), "waived");
    assert_int_equal(json_integer_value(json_object_get(waived, "count")), 1);
    const json_t *group = at(json_object_get(waived, "groups"), 0), *line = at(json_object_get(group, "lines"), 0);
    assert_string_equal(text(group, "title"), "Rear slope");
    assert_string_equal(text(line, "reason"), "ice on the rear slope");
    assert_string_equal(text(line, "who"), "R. Delgado");
    assert_string_equal(text(line, "when_utc"), "2026-05-14 20:11:09");
    json_decref(model);
}

static void what_is_missing_is_counted_as_the_check_counts_it(void **state)
{
    World *world = *state;
    g_autoptr(GbKnowledge) known = known_of(world);
    g_autoptr(GbCheck) check = check_of(world, known);
    json_t *model = model_of(world);
    const json_t *attention = json_object_get(model, "attention"), *missing = json_object_get(attention, "missing"), *group;
    gsize lines = 0, i;
    json_array_foreach(json_object_get(missing, "groups"), i, group)
        lines += json_array_size(json_object_get(group, "lines"));
    assert_true(check->missing > 0);
    assert_int_equal(lines, check->missing);
    assert_int_equal(json_integer_value(json_object_get(missing, "count")), check->missing);
    assert_null(json_object_get(attention, "complete"));
    assert_null(json_object_get(attention, "waived"));
    json_decref(model);
}

static void only_known_facts_of_the_claim_are_told(void **state)
{
    World *world = *state;
    world->claim.insured = (char *)"M. Okafor";
    world->claim.front_azimuth_deg = 205;
    json_t *model = model_of(world);
    const json_t *claim = json_object_get(model, "claim"), *facts = json_object_get(claim, "facts");
    assert_string_equal(text(model, "title"), "M. Okafor");
    assert_int_equal(json_array_size(facts), 3); /* insured, checklist, front */
    assert_string_equal(text(at(facts, 0), "label"), "Insured");
    assert_string_equal(text(at(facts, 2), "value"), "SSW, 205° true");
    assert_null(json_object_get(claim, "address"));
    json_decref(model);
}

static void the_same_claim_gives_the_same_bytes(void **state)
{
    World *world = *state;
    for (int i = 0; i < 40; i++)
        add_shot(world, i % (GARAGE_SLOPE + 1), i % 2 == 0 ? "overview" : "siding-size")->exif.taken_local_s = 1e9 + i % 7;
    json_t *first = model_of(world), *second = model_of(world);
    char *a = json_dumps(first, 0), *b = json_dumps(second, 0);
    assert_string_equal(a, b);
    free(a);
    free(b);
    json_decref(first);
    json_decref(second);
}

static void a_caption_that_is_no_utf8_still_makes_a_model(void **state)
{
    World *world = *state;
    add_shot(world, SITE, "address")->caption = g_strdup("caf\xe9 sign");
    json_t *model = model_of(world);
    assert_string_equal(text(only_figure(model), "caption"), "caf\xef\xbf\xbd sign");
    json_decref(model);
}

#define in_world(f) cmocka_unit_test_setup_teardown(f, setup_world, teardown_world)

int main(void)
{
    const struct CMUnitTest tests[] = {
        in_world(chapters_follow_the_walk_and_what_has_no_place_comes_last),
        in_world(slopes_are_parts_of_the_roof_with_headings_of_their_own),
        in_world(overviews_come_before_close_ups_and_the_own_order_before_both),
        in_world(an_elevation_without_a_photo_says_so_but_an_empty_room_is_left_out),
        in_world(a_shot_left_out_has_no_figure_but_a_row_among_the_files),
        in_world(a_place_that_is_gone_does_not_lose_its_shot),
        in_world(what_is_unknown_leaves_no_trace_in_a_figure),
        in_world(a_time_is_the_cameras_own_and_tells_whether_it_knows_its_zone),
        in_world(a_direction_names_its_north_and_never_reaches_360),
        in_world(a_position_states_its_error_or_that_none_is_stated),
        in_world(a_photo_stored_on_its_side_has_the_size_of_an_upright_one),
        in_world(the_alternative_text_says_what_and_where_in_a_sentence),
        in_world(waived_lines_stand_up_front_with_reason_name_and_time),
        in_world(what_is_missing_is_counted_as_the_check_counts_it),
        in_world(only_known_facts_of_the_claim_are_told),
        in_world(the_same_claim_gives_the_same_bytes),
        in_world(a_caption_that_is_no_utf8_still_makes_a_model),
        in_world(findings_name_their_figures_and_figures_their_findings),
        in_world(a_report_without_findings_is_silent_about_them),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
