/* test_check.c -- constructed claims held against checklists: what is there, what is missing, what was set aside.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "test.h"

#include <gablebook/check.h>
#include <gablebook/error.h>
#include <glib/gstdio.h>

#define HEAD "[checklist]\nname = Test\n"

/* The claim of one test: a dwelling (structure 1) with the places that a new claim has, and what the test adds. */
enum { SITE = 1, WHOLE, FRONT, RIGHT, REAR, LEFT, ROOF, FRONT_SLOPE, RIGHT_SLOPE, REAR_SLOPE, LEFT_SLOPE };

typedef struct {
    GbClaim claim;
    GPtrArray *places, *shots, *waivers, *findings;
    GbComponents *components;
    GbCatalogue *catalogue;
    GbFactlist *factlist;
    GPtrArray *facts, *squares; /* as recorded */
    GbKnowledge *known;
    GbRoof *roof; /* NULL: nothing was measured */
    GbChecklist *list;
    GbCheck *check;
} Job;

static void place_free(gpointer data)
{
    GbPlace *place = data;
    g_free(place->structure_name);
    g_free(place->structure_kind);
    g_free(place->room);
    g_free(place->label);
    g_free(place->title);
    g_free(place);
}

static void shot_free(gpointer data)
{
    GbShot *shot = data;
    g_free(shot->weak);
    g_free(shot->subject);
    g_free(shot->value);
    g_free(shot);
}

static void finding_free(gpointer data)
{
    GbFinding *finding = data;
    g_free(finding->component);
    g_free(finding->cause);
    g_free(finding->action);
    g_free(finding->measure);
    g_array_unref(finding->shots);
    g_free(finding);
}

static gint64 add_place(Job *job, gint64 structure, const char *name, const char *kind, GbPlaceKind what, GbFace face, const char *room)
{
    GbPlace *place = g_new0(GbPlace, 1);
    place->id = job->places->len + 1;
    place->structure = structure;
    place->structure_name = g_strdup(name);
    place->structure_kind = g_strdup(kind);
    place->kind = what;
    place->face = face;
    place->room = g_strdup(room);
    place->on_dwelling = g_str_equal(kind, "dwelling");
    place->label = gb_place_label(what, name, place->on_dwelling, face, room);
    place->title = gb_place_title(what, name, place->on_dwelling, face, room);
    g_ptr_array_add(job->places, place);
    return place->id;
}

static GbShot *add_shot(Job *job, gint64 place, const char *subject, GbDistance distance, const char *value)
{
    GbShot *shot = g_new0(GbShot, 1);
    shot->number = job->shots->len + 1;
    shot->place = place;
    shot->subject = g_strdup(subject);
    shot->distance = distance;
    shot->value = g_strdup(value);
    shot->value_number = NAN;
    g_ptr_array_add(job->shots, shot);
    return shot;
}

static void waive(Job *job, const char *key)
{
    GbWaiver *waiver = g_new0(GbWaiver, 1);
    *waiver = (GbWaiver){.key = (char *)key, .why = (char *)"ice on the roof", .who = (char *)"Dana Reyes", .at_utc_s = 1778788928};
    g_ptr_array_add(job->waivers, waiver);
}

static void fact_free(gpointer data)
{
    GbFact *fact = data;
    g_array_unref(fact->shots);
    g_free(fact);
}

static void square_free(gpointer data)
{
    GbSquare *square = data;
    g_array_unref(square->shots);
    g_free(square);
}

/* Record a fact; kind and value BORROWED. */
static void record(Job *job, gint64 place, const char *kind, const char *value)
{
    g_autoptr(GError) error = NULL;
    GbFactValue meant;
    const GbFactKind *known = gb_factlist_by_id(job->factlist, kind);
    gb_fact_value_parse(known, value, &meant, &error);
    assert_no_error(error);
    GbFact *fact = g_new0(GbFact, 1);
    *fact = (GbFact){ .id = job->facts->len + 1, .place = place, .kind = (char *)kind, .written = (char *)value, .low = meant.low,
                      .high = meant.high, .choice = (char *)meant.choice, .how = known->how,
                      .shots = g_array_new(FALSE, FALSE, sizeof(gint64)) };
    g_ptr_array_add(job->facts, fact);
}

/* Record a square: its hits, or why it was not drawn; text BORROWED. */
static void record_square(Job *job, gint64 place, guint hits, const char *not_drawn)
{
    GbSquare *square = g_new0(GbSquare, 1);
    *square = (GbSquare){ .id = job->squares->len + 1, .place = place, .number = 1, .hits = hits, .not_drawn = (char *)not_drawn,
                          .size = (char *)(not_drawn == NULL ? "10 x 10 ft" : NULL), .width_in = not_drawn == NULL ? 120 : (double)NAN,
                          .height_in = not_drawn == NULL ? 120 : (double)NAN, .who = (char *)"Dana Reyes", .at_utc_s = 1778788928,
                          .shots = g_array_new(FALSE, FALSE, sizeof(gint64)) };
    g_ptr_array_add(job->squares, square);
}

static int setup_job(void **state)
{
    Job *job = g_new0(Job, 1);
    job->claim.cause = (char *)"hail, wind";
    job->claim.front_azimuth_deg = NAN;
    job->places = g_ptr_array_new_with_free_func(place_free);
    job->shots = g_ptr_array_new_with_free_func(shot_free);
    job->waivers = g_ptr_array_new_with_free_func(g_free);
    job->findings = g_ptr_array_new_with_free_func(finding_free);
    job->components = gb_components_builtin(NULL);
    job->catalogue = gb_catalogue_builtin(NULL);
    job->factlist = gb_factlist_builtin(job->catalogue, NULL);
    job->facts = g_ptr_array_new_with_free_func(fact_free);
    job->squares = g_ptr_array_new_with_free_func(square_free);
    add_place(job, 0, "", "", GB_PLACE_SITE, GB_FACE_FRONT, NULL);
    add_place(job, 1, "dwelling", "dwelling", GB_PLACE_WHOLE, GB_FACE_FRONT, NULL);
    for (guint face = 0; face < GB_FACES; face++)
        add_place(job, 1, "dwelling", "dwelling", GB_PLACE_ELEVATION, (GbFace)face, NULL);
    add_place(job, 1, "dwelling", "dwelling", GB_PLACE_ROOF, GB_FACE_FRONT, NULL);
    for (guint face = 0; face < GB_FACES; face++)
        add_place(job, 1, "dwelling", "dwelling", GB_PLACE_SLOPE, (GbFace)face, NULL);
    *state = job;
    return job->factlist == NULL;
}

static int teardown_job(void **state)
{
    Job *job = *state;
    gb_check_free(job->check);
    gb_checklist_free(job->list);
    gb_knowledge_free(job->known);
    g_ptr_array_unref(job->facts);
    g_ptr_array_unref(job->squares);
    gb_factlist_free(job->factlist);
    gb_catalogue_free(job->catalogue);
    g_ptr_array_unref(job->places);
    g_ptr_array_unref(job->shots);
    g_ptr_array_unref(job->waivers);
    g_ptr_array_unref(job->findings);
    gb_components_free(job->components);
    gb_roof_free(job->roof);
    g_free(job);
    return 0;
}

/* Hold the claim against the checklist that was loaded. */
static GbCheck *run_check(Job *job)
{
    gb_knowledge_free(job->known);
    job->known = gb_knowledge_make(job->places, job->shots, job->facts, job->squares, job->factlist, job->catalogue);
    return job->check = gb_check_run(&(GbCheckInput){ .claim = &job->claim, .places = job->places, .shots = job->shots, .waivers = job->waivers,
                                                      .findings = job->findings, .components = job->components, .known = job->known, .roof = job->roof,
                                                      .checklist = job->list, .catalogue = job->catalogue });
}

/* Hold the claim against a checklist of this text. */
static GbCheck *check_text(Job *job, const char *text)
{
    g_autofree char *path = NULL;
    g_autoptr(GError) error = NULL;
    int file = g_file_open_tmp("gablebook-check-XXXXXX.ini", &path, &error);
    assert_no_error(error);
    assert_true(g_close(file, NULL));
    assert_true(g_file_set_contents(path, text, -1, NULL));
    gb_check_free(g_steal_pointer(&job->check));
    gb_checklist_free(job->list);
    job->list = gb_checklist_load(path, job->catalogue, job->factlist, &error);
    (void)g_remove(path);
    assert_no_error(error);
    return run_check(job);
}

static GbCheck *check_shipped(Job *job, const char *name)
{
    g_autoptr(GError) error = NULL;
    gb_check_free(g_steal_pointer(&job->check));
    gb_checklist_free(job->list);
    job->list = gb_checklist_builtin(name, job->catalogue, job->factlist, &error);
    assert_no_error(error);
    return run_check(job);
}

static const GbCheckLine *line_of(const GbCheck *check, const char *key)
{
    for (guint i = 0; i < check->lines->len; i++) {
        const GbCheckLine *line = check->lines->pdata[i];
        if (g_str_equal(line->key, key))
            return line;
    }
    fail_msg("the check has no line '%s'", key);
    return NULL;
}

static void assert_line(const GbCheck *check, const char *key, GbCheckState state, const char *lacks)
{
    const GbCheckLine *line = line_of(check, key);
    if (line->state != state || g_strcmp0(line->lacks, lacks) != 0)
        fail_msg("'%s' is %s, lacks '%s'; wanted %s, '%s'", key, gb_check_state_word(line->state), line->lacks,
                 gb_check_state_word(state), lacks);
}

/* All keys of one state, a line each; OWNED by the caller. */
static char *keys_of(const GbCheck *check, GbCheckState state)
{
    GString *keys = g_string_new(NULL);
    for (guint i = 0; i < check->lines->len; i++) {
        const GbCheckLine *line = check->lines->pdata[i];
        if (line->state == state)
            g_string_append_printf(keys, "%s\n", line->key);
    }
    return g_string_free(keys, FALSE);
}

/* --- where -------------------------------------------------------------------------------------------------------- */

static void once_is_met_by_a_shot_of_any_place_or_none(void **state)
{
    Job *job = *state;
    const char *text = HEAD "[address]\nwhat = A\nwhere = once\nsubjects = address\n";
    assert_line(check_text(job, text), "address", GB_CHECK_MISSING, "no shot");
    add_shot(job, REAR_SLOPE, "address", GB_DISTANCE_CLOSE, NULL);
    assert_line(check_text(job, text), "address", GB_CHECK_THERE, NULL);
    ((GbShot *)job->shots->pdata[0])->place = 0;
    assert_line(check_text(job, text), "address", GB_CHECK_THERE, NULL);
    assert_int_equal(job->check->unplaced, 1);
}

static void each_structure_is_met_by_a_shot_of_any_place_of_that_structure_only(void **state)
{
    Job *job = *state;
    add_place(job, 2, "garage", "garage", GB_PLACE_WHOLE, GB_FACE_FRONT, NULL);
    gint64 garage_front = add_place(job, 2, "garage", "garage", GB_PLACE_ELEVATION, GB_FACE_FRONT, NULL);
    const char *text = HEAD "[ridge-vent]\nwhat = A\nwhere = each structure\nsubjects = ridge-vent\n";
    add_shot(job, garage_front, "ridge-vent", GB_DISTANCE_CLOSE, NULL);
    const GbCheck *check = check_text(job, text);
    assert_line(check, "ridge-vent structure:1", GB_CHECK_MISSING, "no shot");
    assert_line(check, "ridge-vent structure:2", GB_CHECK_THERE, NULL);
    add_shot(job, ROOF, "ridge-vent", GB_DISTANCE_CLOSE, NULL);
    assert_int_equal(check_text(job, text)->missing, 0);
}

static void a_place_is_met_by_its_own_shots_only(void **state)
{
    Job *job = *state;
    add_shot(job, FRONT, "overview", GB_DISTANCE_OVERVIEW, NULL);
    add_shot(job, FRONT_SLOPE, "overview", GB_DISTANCE_OVERVIEW, NULL);
    const GbCheck *check = check_text(job, HEAD "[seen]\nwhat = A\nwhere = each elevation\nsubjects = overview\n");
    assert_int_equal(check->lines->len, 4);
    assert_line(check, "seen place:3", GB_CHECK_THERE, NULL);
    assert_line(check, "seen place:4", GB_CHECK_MISSING, "no shot");
    assert_line(check, "seen place:5", GB_CHECK_MISSING, "no shot");
    assert_line(check, "seen place:6", GB_CHECK_MISSING, "no shot");
}

static void structures_limit_a_requirement_to_their_kinds(void **state)
{
    Job *job = *state;
    add_place(job, 2, "shed", "shed", GB_PLACE_ELEVATION, GB_FACE_REAR, NULL);
    add_place(job, 3, "fence", "fence", GB_PLACE_WHOLE, GB_FACE_FRONT, NULL);
    const GbCheck *check = check_text(job, HEAD "[a]\nwhat = A\nwhere = each elevation\nstructures = outbuildings\n"
                                                "[b]\nwhat = B\nwhere = each structure\nstructures = fence\n"
                                                "[c]\nwhat = C\nwhere = each elevation\n");
    g_autofree char *keys = keys_of(check, GB_CHECK_MISSING);
    assert_string_equal(keys, "c place:3\nc place:4\nc place:5\nc place:6\na place:12\nc place:12\nb structure:3\n");
}

static void what_a_claim_does_not_have_makes_no_lines(void **state)
{
    Job *job = *state;
    const GbCheck *check = check_text(job, HEAD "[a]\nwhat = A\nwhere = each room\n"
                                                "[b]\nwhat = B\nwhere = each finding\ndistances = close-up\n"
                                                "[c]\nwhat = C\nwhere = each structure\nstructures = barn\n");
    assert_int_equal(check->lines->len, 0);
    assert_int_equal(check->there + check->missing + check->advised + check->waived, 0);
    add_place(job, 1, "dwelling", "dwelling", GB_PLACE_ROOM, GB_FACE_FRONT, "kitchen");
    check = check_text(job, HEAD "[a]\nwhat = A\nwhere = each room\n");
    assert_line(check, "a place:12", GB_CHECK_MISSING, "no shot");
    assert_string_equal(line_of(check, "a place:12")->label, "a, kitchen");
}

static void damage_seen_is_each_pair_of_place_and_damage_that_has_a_shot(void **state)
{
    Job *job = *state;
    add_shot(job, REAR_SLOPE, "hail-hit", GB_DISTANCE_CLOSE, NULL);
    add_shot(job, REAR_SLOPE, "hail-hit", GB_DISTANCE_MID, NULL);
    add_shot(job, REAR_SLOPE, "missing-shingles", GB_DISTANCE_MID, NULL);
    add_shot(job, FRONT_SLOPE, "hail-hit", GB_DISTANCE_CLOSE, NULL);
    add_shot(job, LEFT_SLOPE, "no-damage-seen", GB_DISTANCE_MID, NULL);
    add_shot(job, LEFT, "hail-hit", GB_DISTANCE_CLOSE, NULL)->left_out = TRUE;
    add_shot(job, 0, "hail-hit", GB_DISTANCE_CLOSE, NULL);
    const GbCheck *check = check_text(job, HEAD "[finding]\nwhat = A\nwhere = each finding\ndistances = mid-range, close-up\n");
    assert_int_equal(check->lines->len, 3);
    assert_line(check, "finding finding:8:hail-hit", GB_CHECK_MISSING, "no mid-range");
    assert_line(check, "finding finding:10:hail-hit", GB_CHECK_THERE, NULL);
    assert_line(check, "finding finding:10:missing-shingles", GB_CHECK_MISSING, "no close-up");
    assert_int_equal(line_of(check, "finding finding:8:hail-hit")->place, FRONT_SLOPE);
    assert_int_equal(line_of(check, "finding finding:10:hail-hit")->shots->len, 2);

    check = check_text(job, HEAD "[finding]\nwhat = A\nwhere = each finding\ncount = 2\n"); /* whatever their distances */
    assert_line(check, "finding finding:8:hail-hit", GB_CHECK_MISSING, "1 of 2 shots");
    assert_line(check, "finding finding:10:hail-hit", GB_CHECK_THERE, NULL);
}

/* Write down a finding proved by these shots, ended by 0. */
static GbFinding *add_finding(Job *job, gint64 place, const char *component, ...)
{
    GbFinding *finding = g_new0(GbFinding, 1);
    finding->number = job->findings->len + 1;
    finding->place = place;
    finding->component = g_strdup(component);
    finding->amount = NAN;
    finding->shots = g_array_new(FALSE, FALSE, sizeof(gint64));
    va_list shots;
    va_start(shots, component);
    for (gint64 shot; (shot = va_arg(shots, int)) != 0;)
        g_array_append_val(finding->shots, shot);
    va_end(shots);
    g_ptr_array_add(job->findings, finding);
    return finding;
}

#define SET HEAD "[set]\nwhat = A\nwhere = each finding\ndistances = overview, mid-range, close-up\n"
#define WRITTEN HEAD "[w]\nwhat = written\nwhere = each finding\nwritten = yes\nlevel = advised\n"

static void a_finding_is_held_to_its_own_shots(void **state)
{
    Job *job = *state;
    add_shot(job, REAR_SLOPE, "hail-hit", GB_DISTANCE_CLOSE, NULL);
    add_shot(job, REAR_SLOPE, "hail-hit", GB_DISTANCE_MID, NULL);
    add_shot(job, FRONT, "gutter-damage", GB_DISTANCE_CLOSE, NULL)->left_out = TRUE;
    add_shot(job, FRONT, "soft-metal", GB_DISTANCE_OVERVIEW, NULL); /* of another place */
    add_finding(job, REAR_SLOPE, "shingles", 1, 4, 0);
    add_finding(job, REAR_SLOPE, "ridge-cap", 0);
    add_finding(job, FRONT, "gutter", 3, 0);
    const GbCheck *check = check_text(job, SET);
    assert_line(check, "set finding:1", GB_CHECK_MISSING, "no mid-range"); /* shot 2 shows hail hits there, but proves it not */
    assert_line(check, "set finding:2", GB_CHECK_MISSING, "no photo proves it");
    assert_line(check, "set finding:3", GB_CHECK_MISSING, "no photo proves it"); /* it is left out of the report */
    assert_int_equal(check->unproved, 2);
    assert_int_equal(line_of(check, "set finding:1")->finding, 1);
    assert_int_equal(line_of(check, "set finding:1")->place, REAR_SLOPE);
    assert_string_equal(line_of(check, "set finding:1")->label, "shingles set, finding 1, rear slope");
    assert_string_equal(line_of(check, "set finding:1")->what, "Shingles A");
}

static void an_overview_of_the_place_serves_its_findings(void **state)
{
    Job *job = *state;
    add_shot(job, REAR_SLOPE, "hail-hit", GB_DISTANCE_CLOSE, NULL);
    add_shot(job, REAR_SLOPE, "hail-hit", GB_DISTANCE_MID, NULL);
    add_finding(job, REAR_SLOPE, "shingles", 1, 2, 0);
    assert_line(check_text(job, SET), "set finding:1", GB_CHECK_MISSING, "no overview");
    add_shot(job, FRONT_SLOPE, "overview", GB_DISTANCE_UNKNOWN, NULL);
    assert_line(check_text(job, SET), "set finding:1", GB_CHECK_MISSING, "no overview");
    add_shot(job, REAR_SLOPE, "overview", GB_DISTANCE_UNKNOWN, NULL);
    const GbCheck *check = check_text(job, SET);
    assert_line(check, "set finding:1", GB_CHECK_THERE, NULL);
    assert_int_equal(line_of(check, "set finding:1")->shots->len, 3);
    add_finding(job, ROOF, "ridge-cap", 1, 2, 0); /* a slope's overview shows a part of the roof, not of a wall */
    add_finding(job, REAR, "gutter", 1, 2, 0);
    check = check_text(job, SET);
    assert_line(check, "set finding:2", GB_CHECK_THERE, NULL);
    assert_line(check, "set finding:3", GB_CHECK_MISSING, "no overview");
}

static void damage_in_photos_that_no_finding_names_is_pointed_out(void **state)
{
    Job *job = *state;
    add_shot(job, REAR_SLOPE, "hail-hit", GB_DISTANCE_CLOSE, NULL);
    add_shot(job, REAR_SLOPE, "hail-hit", GB_DISTANCE_MID, NULL);
    add_shot(job, REAR_SLOPE, "overview", GB_DISTANCE_UNKNOWN, NULL); /* shows no damage: nothing is asked */
    const GbCheck *check = check_text(job, WRITTEN);
    assert_line(check, "w finding:10:hail-hit", GB_CHECK_ADVISED, "shots 1, 2 belong to no finding");
    assert_int_equal(check->unwritten, 2);
    GbFinding *finding = add_finding(job, REAR_SLOPE, "shingles", 1, 0);
    check = check_text(job, WRITTEN);
    assert_line(check, "w finding:10:hail-hit", GB_CHECK_ADVISED, "shot 2 belongs to no finding");
    const gint64 second = 2;
    g_array_append_val(finding->shots, second);
    check = check_text(job, WRITTEN);
    assert_int_equal(check->lines->len, 1);
    assert_int_equal(check->unwritten, 0);
}

static void a_finding_must_say_what_a_price_needs(void **state)
{
    Job *job = *state;
    GbFinding *finding = add_finding(job, REAR_SLOPE, "shingles", 0);
    assert_line(check_text(job, WRITTEN), "w finding:1", GB_CHECK_ADVISED, "no cause, no action, no quantity");
    finding->cause = g_strdup("hail");
    finding->action = g_strdup("remove and replace");
    finding->measure = g_strdup("squares");
    assert_line(check_text(job, WRITTEN), "w finding:1", GB_CHECK_ADVISED, "what its quantity follows is not measured");
    finding->amount = 13.42;
    assert_line(check_text(job, WRITTEN), "w finding:1", GB_CHECK_THERE, NULL);
}

static void two_findings_of_one_component_are_told_apart_and_waived_apart(void **state)
{
    g_autoptr(GError) error = NULL;
    Job *job = *state;
    add_finding(job, REAR_SLOPE, "shingles", 0);
    add_finding(job, REAR_SLOPE, "shingles", 0);
    waive(job, "set finding:2");
    const GbCheck *check = check_text(job, SET);
    assert_line(check, "set finding:1", GB_CHECK_MISSING, "no photo proves it");
    assert_line(check, "set finding:2", GB_CHECK_WAIVED, "no photo proves it");
    assert_ptr_equal(gb_check_find(check, "shingles set finding 2", &error), line_of(check, "set finding:2"));
    assert_no_error(error);
}

/* A slope is measured by an entry of its own or with the whole roof. */
static void a_slope_that_nobody_measured_is_pointed_out(void **state)
{
    g_autoptr(GError) error = NULL;
    Job *job = *state;
    const char *text = HEAD "[m]\nwhat = M\nwhere = each slope\nmeasured = yes\n[f]\nwhat = F\nwhere = each slope\nfacts = pitch\n";
    assert_line(check_text(job, text), "m place:8", GB_CHECK_MISSING, "not measured");
    GbRoofEntry *entry = gb_roof_entry_new(GB_ROOF_RECTANGLE);
    entry->structure = 1;
    entry->on_dwelling = TRUE;
    entry->structure_name = g_strdup("dwelling");
    for (int face = 0; face < GB_FACES; face++)
        entry->places[face] = FRONT_SLOPE + face;
    entry->face = GB_FACE_REAR;
    assert_true(gb_roof_entry_take(entry, GB_GIVEN_EAVE, "40 ft", &error) && gb_roof_entry_take(entry, GB_GIVEN_UP, "16 ft 9 in", &error) &&
                gb_roof_entry_take(entry, GB_GIVEN_PITCH, "6/12", &error));
    GPtrArray *entries = g_ptr_array_new_with_free_func((GDestroyNotify)gb_roof_entry_free);
    g_ptr_array_add(entries, entry);
    GbRoofSettings settings;
    gb_roof_settings_init(&settings);
    job->roof = gb_roof_new(entries, &settings);
    const GbCheck *check = check_text(job, text);
    assert_line(check, "m place:10", GB_CHECK_THERE, NULL);
    assert_line(check, "f fact:pitch place:10", GB_CHECK_THERE, NULL); /* the measurements say it */
    assert_line(check, "f fact:pitch place:8", GB_CHECK_MISSING, "not recorded");
    assert_int_equal(check->missing, 6);
}

/* --- what is enough ----------------------------------------------------------------------------------------------- */

static void each_named_distance_wants_its_own_shots(void **state)
{
    Job *job = *state;
    const char *text = HEAD "[a]\nwhat = A\nwhere = once\nsubjects = test-square\ndistances = mid-range, close-up\ncount = 2\n";
    assert_line(check_text(job, text), "a", GB_CHECK_MISSING, "0 of 2 mid-range shots, 0 of 2 close-up shots");
    add_shot(job, REAR_SLOPE, "test-square", GB_DISTANCE_MID, NULL);
    add_shot(job, REAR_SLOPE, "test-square", GB_DISTANCE_OVERVIEW, NULL);
    add_shot(job, REAR_SLOPE, "test-square", GB_DISTANCE_CLOSE, NULL);
    add_shot(job, REAR_SLOPE, "test-square", GB_DISTANCE_CLOSE, NULL);
    const GbCheck *check = check_text(job, text);
    assert_line(check, "a", GB_CHECK_MISSING, "1 of 2 mid-range shots");
    const GArray *shots = line_of(check, "a")->shots;
    assert_int_equal(shots->len, 3); /* the overview does not count */
    assert_int_equal(g_array_index(shots, gint64, 0), 1);
    assert_int_equal(g_array_index(shots, gint64, 1), 3);
    assert_int_equal(g_array_index(shots, gint64, 2), 4);
    add_shot(job, REAR_SLOPE, "test-square", GB_DISTANCE_MID, NULL);
    assert_line(check_text(job, text), "a", GB_CHECK_THERE, NULL);
}

static void a_shot_without_a_distance_has_that_of_its_subject(void **state)
{
    Job *job = *state;
    const char *text = HEAD "[a]\nwhat = A\nwhere = each elevation\nsubjects = overview\ndistances = overview\n";
    add_shot(job, FRONT, "overview", GB_DISTANCE_UNKNOWN, NULL);
    assert_line(check_text(job, text), "a place:3", GB_CHECK_THERE, NULL);
}

static void a_count_counts_shots_of_any_of_the_subjects(void **state)
{
    Job *job = *state;
    const char *text = HEAD "[a]\nwhat = A\nwhere = once\nsubjects = ridge-vent, drip-edge\ncount = 3\n";
    add_shot(job, ROOF, "drip-edge", GB_DISTANCE_CLOSE, NULL);
    add_shot(job, ROOF, "ridge-vent", GB_DISTANCE_CLOSE, NULL);
    const GbCheck *check = check_text(job, text);
    assert_line(check, "a", GB_CHECK_MISSING, "2 of 3 shots");
    const GArray *shots = line_of(check, "a")->shots; /* in time order, whatever the order of the subjects */
    assert_int_equal(g_array_index(shots, gint64, 0), 1);
    assert_int_equal(g_array_index(shots, gint64, 1), 2);
    add_shot(job, FRONT, "drip-edge", GB_DISTANCE_CLOSE, NULL);
    assert_line(check_text(job, text), "a", GB_CHECK_THERE, NULL);
}

static void a_wanted_value_must_be_on_one_of_the_shots(void **state)
{
    Job *job = *state;
    const char *text = HEAD "[square]\nwhat = A\nwhere = once\nsubjects = test-square\ndistances = close-up\nvalue = yes\n";
    assert_line(check_text(job, text), "square", GB_CHECK_MISSING, "no close-up");
    GbShot *close = add_shot(job, REAR_SLOPE, "test-square", GB_DISTANCE_CLOSE, NULL);
    assert_line(check_text(job, text), "square", GB_CHECK_MISSING, "no shot carries the count");
    close->value = g_strdup("0");
    assert_line(check_text(job, text), "square", GB_CHECK_THERE, NULL);

    /* The value may stand on a shot from another distance; that shot then counts. */
    g_clear_pointer(&close->value, g_free);
    add_shot(job, REAR_SLOPE, "test-square", GB_DISTANCE_OVERVIEW, "8");
    assert_line(check_text(job, text), "square", GB_CHECK_THERE, NULL);
    assert_int_equal(line_of(job->check, "square")->shots->len, 2);

    static const struct { const char *subject, *lacks; } kinds[] = {{"pitch", "no shot carries the pitch"},
        {"layers", "no shot carries the number of layers"}, {"siding-size", "no shot carries the size"}};
    for (gsize i = 0; i < G_N_ELEMENTS(kinds); i++) {
        g_autofree char *other = g_strdup_printf(HEAD "[a]\nwhat = A\nwhere = once\nsubjects = %s\nvalue = yes\n", kinds[i].subject);
        add_shot(job, ROOF, kinds[i].subject, GB_DISTANCE_CLOSE, NULL);
        assert_line(check_text(job, other), "a", GB_CHECK_MISSING, kinds[i].lacks);
    }
}

static void a_shot_left_out_counts_for_nothing(void **state)
{
    Job *job = *state;
    const char *text = HEAD "[a]\nwhat = A\nwhere = once\nsubjects = address\n";
    add_shot(job, 0, "address", GB_DISTANCE_CLOSE, NULL)->left_out = TRUE;
    add_shot(job, FRONT, NULL, GB_DISTANCE_UNKNOWN, NULL)->left_out = TRUE;
    const GbCheck *check = check_text(job, text);
    assert_line(check, "a", GB_CHECK_MISSING, "no shot");
    assert_int_equal(line_of(check, "a")->shots->len, 0);
    assert_int_equal(check->unplaced, 0);
    assert_int_equal(check->unnamed, 0);
}

static void shots_without_place_or_subject_are_told(void **state)
{
    Job *job = *state;
    add_shot(job, 0, NULL, GB_DISTANCE_UNKNOWN, NULL);
    add_shot(job, 0, "address", GB_DISTANCE_CLOSE, NULL);
    add_shot(job, FRONT, NULL, GB_DISTANCE_UNKNOWN, NULL);
    const GbCheck *check = check_text(job, HEAD "[a]\nwhat = A\nwhere = once\nsubjects = address\n");
    assert_int_equal(check->unplaced, 2);
    assert_int_equal(check->unnamed, 2);
}

static void what_is_only_advised_does_not_make_a_claim_incomplete(void **state)
{
    Job *job = *state;
    const GbCheck *check = check_text(job, HEAD "[a]\nwhat = A\nwhere = once\nsubjects = address\nlevel = advised\n");
    assert_line(check, "a", GB_CHECK_ADVISED, "no shot");
    assert_int_equal(check->missing, 0);
    assert_int_equal(check->advised, 1);
}

static void a_requirement_for_hail_is_no_line_of_a_wind_claim(void **state)
{
    Job *job = *state;
    const char *text = HEAD "[a]\nwhat = A\nwhere = each slope\nwhen = hail\n";
    job->claim.cause = (char *)"wind";
    assert_int_equal(check_text(job, text)->lines->len, 0);
    job->claim.cause = (char *)"wind, hail";
    assert_int_equal(check_text(job, text)->lines->len, 4);
    job->claim.cause = NULL; /* not known yet: nothing is excluded */
    assert_int_equal(check_text(job, text)->lines->len, 4);
}

/* --- waivers ------------------------------------------------------------------------------------------------------ */

static void a_waiver_sets_aside_what_is_missing_and_only_while_it_is(void **state)
{
    Job *job = *state;
    const char *text = HEAD "[seen]\nwhat = A\nwhere = each slope\nsubjects = overview\n";
    waive(job, "seen place:10");
    waive(job, "gone place:99"); /* of a requirement that is no more: harmless */
    const GbCheck *check = check_text(job, text);
    assert_line(check, "seen place:10", GB_CHECK_WAIVED, "no shot");
    const GbCheckLine *line = line_of(check, "seen place:10");
    assert_string_equal(line->waived_why, "ice on the roof");
    assert_string_equal(line->waived_who, "Dana Reyes");
    assert_int_equal(line->waived_at_utc_s, 1778788928);
    assert_int_equal(check->waived, 1);
    assert_int_equal(check->missing, 3);

    add_shot(job, REAR_SLOPE, "overview", GB_DISTANCE_OVERVIEW, NULL);
    check = check_text(job, text);
    assert_line(check, "seen place:10", GB_CHECK_THERE, NULL);
    assert_null(line_of(check, "seen place:10")->waived_why);
    assert_int_equal(check->waived, 0);
    assert_int_equal(check->there, 1);
}

static void a_weak_shot_makes_a_requirement_weak_and_a_good_one_beside_it_makes_it_there(void **state)
{
    Job *job = *state;
    const char *text = HEAD "[a]\nwhat = A\nwhere = each elevation\nsubjects = overview\ndistances = overview\n"
                            "[b]\nwhat = B\nwhere = each elevation\nsubjects = overview\nlevel = advised\n";
    add_shot(job, FRONT, "overview", GB_DISTANCE_OVERVIEW, NULL)->weak = g_strdup("blurred: smeared");
    const GbCheck *check = check_text(job, text);
    assert_line(check, "a place:3", GB_CHECK_WEAK, "only weak: shot 1 (blurred: smeared)");
    assert_line(check, "b place:3", GB_CHECK_ADVISED, "only weak: shot 1 (blurred: smeared)");
    assert_line(check, "a place:4", GB_CHECK_MISSING, "no overview");
    assert_int_equal(check->weak, 1);
    assert_int_equal(line_of(check, "a place:3")->shots->len, 1);
    assert_false(gb_check_complete(check));
    add_shot(job, FRONT, "overview", GB_DISTANCE_OVERVIEW, NULL);
    check = check_text(job, text);
    assert_line(check, "a place:3", GB_CHECK_THERE, NULL);
    assert_int_equal(check->weak, 0);
}

/* --- order, labels, words ----------------------------------------------------------------------------------------- */

static void lines_go_along_the_walk_and_in_the_order_of_the_file(void **state)
{
    Job *job = *state;
    add_place(job, 2, "garage", "garage", GB_PLACE_ELEVATION, GB_FACE_FRONT, NULL);
    add_shot(job, FRONT, "hail-hit", GB_DISTANCE_CLOSE, NULL);
    const GbCheck *check = check_text(job, HEAD "[f]\nwhat = F\nwhere = each finding\ndistances = mid-range\n"
                                                "[s]\nwhat = S\nwhere = each slope\n"
                                                "[e]\nwhat = E\nwhere = each elevation\nsubjects = overview\n"
                                                "[d]\nwhat = D\nwhere = each elevation\nsubjects = no-damage-seen\n"
                                                "[h]\nwhat = H\nwhere = each structure\nsubjects = pitch\n"
                                                "[c]\nwhat = C\nwhere = once\nsubjects = address\n");
    g_autofree char *keys = keys_of(check, GB_CHECK_MISSING);
    assert_string_equal(keys, "c\nh structure:1\n"
                              "e place:3\nd place:3\nf finding:3:hail-hit\ne place:4\nd place:4\ne place:5\nd place:5\ne place:6\nd place:6\n"
                              "s place:8\ns place:9\ns place:10\ns place:11\n"
                              "h structure:2\ne place:12\nd place:12\n");
    assert_string_equal(line_of(check, "c")->group, "The claim");
    assert_string_equal(line_of(check, "e place:3")->group, "Front elevation");
    assert_string_equal(line_of(check, "f finding:3:hail-hit")->group, "Front elevation");
    assert_string_equal(line_of(check, "s place:10")->group, "Rear slope");
}

static void a_line_is_found_by_abbreviated_label_and_by_its_key(void **state)
{
    Job *job = *state;
    const GbCheck *check = check_text(job, HEAD "[test-square]\nwhat = A\nwhere = each slope\nsubjects = test-square\n"
                                                "[address]\nwhat = A\nwhere = once\nsubjects = address\n");
    const GbCheckLine *rear = line_of(check, "test-square place:10");
    assert_string_equal(rear->label, "test square, rear slope");
    static const char *const spellings[] = {"test square, rear slope", "test rear slope", "test-square/rear slope", "TEST re sl",
                                            "test-square place:10"};
    for (gsize i = 0; i < G_N_ELEMENTS(spellings); i++) {
        g_autoptr(GError) error = NULL;
        assert_ptr_equal(gb_check_find(check, spellings[i], &error), rear);
        assert_no_error(error);
    }
    g_autoptr(GError) error = NULL;
    assert_ptr_equal(gb_check_find(check, "addr", &error), line_of(check, "address"));
    assert_null(gb_check_find(check, "test square", &error));
    assert_error(error, GB_ERROR_UNCLEAR, "'test square, rear slope'");
    assert_null(gb_check_find(check, "adress", &error));
    assert_error(error, GB_ERROR_UNKNOWN, "nearest: 'address'");
    assert_null(gb_check_find(check, "test-square place:99", &error));
    assert_error(error, GB_ERROR_UNKNOWN, "test-square place:99");
}

static void states_have_their_words(void **state)
{
    (void)state;
    assert_string_equal(gb_check_state_word(GB_CHECK_THERE), "there");
    assert_string_equal(gb_check_state_word(GB_CHECK_MISSING), "missing");
    assert_string_equal(gb_check_state_word(GB_CHECK_ADVISED), "advised");
    assert_string_equal(gb_check_state_word(GB_CHECK_WAIVED), "waived");
}

/* --- the shipped checklists --------------------------------------------------------------------------------------- */

#define EVERY_ELEVATION(id) id " place:3\n" id " place:4\n" id " place:5\n" id " place:6\n"

static void an_empty_hail_claim_lacks_exactly_this(void **state)
{
    Job *job = *state;
    const GbCheck *check = check_shipped(job, "exterior-wind-hail");
    g_autofree char *missing = keys_of(check, GB_CHECK_MISSING), *advised = keys_of(check, GB_CHECK_ADVISED);
    assert_string_equal(missing,
        "address\n"
        "siding-size structure:1\nwindow-screens structure:1\ngutters structure:1\ndownspouts structure:1\n"
        "roof-covering structure:1\nlayers structure:1\npitch structure:1\ndrip-edge structure:1\npipe-flashing structure:1\n"
        "roof-facts fact:covering structure:1\nroof-facts fact:drip-edge structure:1\n"
        "wall-facts fact:storeys structure:1\nwall-facts fact:siding structure:1\n"
        "elevation-overview place:3\nelevation-condition place:3\n"
        "elevation-overview place:4\nelevation-condition place:4\n"
        "elevation-overview place:5\nelevation-condition place:5\n"
        "elevation-overview place:6\nelevation-condition place:6\n"
        "slope-overview place:8\ntest-square place:8\nslope-condition place:8\nslope-facts fact:pitch place:8\n"
        "slope-overview place:9\ntest-square place:9\nslope-condition place:9\nslope-facts fact:pitch place:9\n"
        "slope-overview place:10\ntest-square place:10\nslope-condition place:10\nslope-facts fact:pitch place:10\n"
        "slope-overview place:11\ntest-square place:11\nslope-condition place:11\nslope-facts fact:pitch place:11\n");
    assert_string_equal(advised,
        "condenser\nfence\nmailbox\nridge-vent structure:1\n"
        "more-facts fact:access structure:1\nmore-facts fact:covering-age structure:1\nmore-facts fact:condition structure:1\n"
        "more-facts fact:layers structure:1\nmore-facts fact:siding-exposure structure:1\nmore-facts fact:ridge-vent structure:1\n"
        "more-facts fact:pipe-flashings structure:1\nmore-facts fact:roof-vents structure:1\nmore-facts fact:gutter-size structure:1\n"
        "soft-metals structure:1\n"
        EVERY_ELEVATION("hail-direction")
        "measurements place:8\nmeasurements place:9\nmeasurements place:10\nmeasurements place:11\n");
    assert_int_equal(check->there + check->waived, 0);
}

static void a_wind_claim_wants_neither_test_squares_nor_signs_of_hail(void **state)
{
    Job *job = *state;
    job->claim.cause = (char *)"wind";
    const GbCheck *check = check_shipped(job, "exterior-wind-hail");
    for (guint i = 0; i < check->lines->len; i++) {
        const GbCheckLine *line = check->lines->pdata[i];
        assert_false(g_str_has_prefix(line->key, "test-square") || g_str_has_prefix(line->key, "hail-direction"));
    }
    assert_int_equal(check->missing, 34); /* the 38 above without four test squares */
    assert_int_equal(check->advised, 14); /* the ridge vent, nine facts and the measurements of four slopes */
}

/* All that the exterior list requires of the house, and one finding; also its facts that no photo says. */
static void photograph_the_house(Job *job)
{
    record(job, ROOF, "covering", "slate");
    record(job, ROOF, "drip-edge", "none");
    record(job, WHOLE, "storeys", "1 1/2");
    record(job, WHOLE, "siding", "brick");
    static const struct { const char *subject, *value; } facts[] = {
        {"siding-size", "4 in"}, {"window-screen", NULL}, {"gutter-damage", NULL}, {"downspout", NULL},
        {"layers", "1"}, {"pitch", "6/12"}, {"drip-edge", NULL}, {"pipe-flashing", NULL}};
    add_shot(job, SITE, "address", GB_DISTANCE_UNKNOWN, NULL);
    for (gsize i = 0; i < G_N_ELEMENTS(facts); i++)
        add_shot(job, i < 4 ? LEFT : ROOF, facts[i].subject, GB_DISTANCE_CLOSE, facts[i].value);
    for (gint64 place = FRONT; place <= LEFT_SLOPE; place++) {
        if (place == ROOF)
            continue;
        add_shot(job, place, "overview", GB_DISTANCE_UNKNOWN, NULL);
        if (place != LEFT && place < ROOF) /* the left side has a dented gutter; a slope's test square tells its condition */
            add_shot(job, place, "no-damage-seen", GB_DISTANCE_MID, NULL);
        if (place > ROOF) {
            add_shot(job, place, "test-square", GB_DISTANCE_MID, "0");
            add_shot(job, place, "test-square", GB_DISTANCE_CLOSE, NULL);
        }
    }
}

static void a_complete_claim_is_complete_and_one_photo_less_is_not(void **state)
{
    Job *job = *state;
    photograph_the_house(job);
    const GbCheck *check = check_shipped(job, "exterior-wind-hail");
    g_autofree char *missing = keys_of(check, GB_CHECK_MISSING);
    assert_string_equal(missing, "");
    assert_int_equal(check->unplaced + check->unnamed, 0);
    assert_line(check, "close-up finding:6:gutter-damage", GB_CHECK_THERE, NULL);

    /* Each shot is needed by some line: the claim was built without any to spare. */
    for (guint i = 0; i < job->shots->len; i++) {
        GbShot *shot = job->shots->pdata[i];
        shot->left_out = TRUE;
        if (check_shipped(job, "exterior-wind-hail")->missing == 0)
            fail_msg("without shot %u (%s, place %d) the claim is still complete", i + 1, shot->subject, (int)shot->place);
        shot->left_out = FALSE;
    }
}

static void an_outbuilding_adds_its_own_sides_and_no_siding_size(void **state)
{
    Job *job = *state;
    photograph_the_house(job);
    for (guint face = 0; face < GB_FACES; face++)
        add_place(job, 2, "garage", "garage", GB_PLACE_ELEVATION, (GbFace)face, NULL);
    add_place(job, 2, "garage", "garage", GB_PLACE_SLOPE, GB_FACE_LEFT, NULL);
    add_place(job, 3, "fence", "fence", GB_PLACE_WHOLE, GB_FACE_FRONT, NULL);
    g_autofree char *missing = keys_of(check_shipped(job, "exterior-wind-hail"), GB_CHECK_MISSING);
    assert_string_equal(missing, "elevation-condition place:12\noutbuilding-overview place:12\n"
                                 "elevation-condition place:13\noutbuilding-overview place:13\n"
                                 "elevation-condition place:14\noutbuilding-overview place:14\n"
                                 "elevation-condition place:15\noutbuilding-overview place:15\n"
                                 "slope-overview place:16\nslope-condition place:16\n"
                                 "fence-overview structure:3\n");
}

/* --- facts -------------------------------------------------------------------------------------------------------- */

#define FACTS "[checklist]\nname = Test\n[f]\nwhat = is known\nwhere = each structure\nfacts = layers, storeys\n" \
              "[p]\nwhat = is known\nwhere = each slope\nfacts = pitch\n"

static void a_fact_that_nobody_recorded_is_missing_by_its_own_line(void **state)
{
    Job *job = *state;
    const GbCheck *check = check_text(job, FACTS);
    assert_line(check, "f fact:layers structure:1", GB_CHECK_MISSING, "not recorded");
    assert_line(check, "p fact:pitch place:8", GB_CHECK_MISSING, "not recorded");
    assert_int_equal(check->missing, 6);
    const GbCheckLine *line = line_of(check, "f fact:layers structure:1");
    assert_string_equal(line->label, "fact layers, dwelling");
    assert_string_equal(line->what, "Layers: is known");
    record(job, WHOLE, "storeys", "2");
    record(job, RIGHT_SLOPE, "layers", "1"); /* one slope is in the structure */
    check = check_text(job, FACTS);
    assert_line(check, "f fact:layers structure:1", GB_CHECK_THERE, NULL);
    assert_line(check, "f fact:storeys structure:1", GB_CHECK_THERE, NULL);
}

static void what_is_said_of_the_roof_holds_for_its_slopes(void **state)
{
    Job *job = *state;
    record(job, ROOF, "pitch", "6/12");
    const GbCheck *check = check_text(job, FACTS);
    for (gint64 place = 8; place <= 11; place++) {
        g_autofree char *key = g_strdup_printf("p fact:pitch place:%d", (int)place);
        assert_line(check, key, GB_CHECK_THERE, NULL);
    }
}

static void a_photo_with_the_value_is_the_fact_and_its_shots_are_named(void **state)
{
    Job *job = *state;
    add_shot(job, FRONT_SLOPE, "pitch", GB_DISTANCE_CLOSE, "6/12");
    const GbCheck *check = check_text(job, FACTS);
    assert_line(check, "p fact:pitch place:8", GB_CHECK_THERE, NULL);
    assert_line(check, "p fact:pitch place:9", GB_CHECK_MISSING, "not recorded");
    const GbCheckLine *line = line_of(check, "p fact:pitch place:8");
    assert_int_equal(line->shots->len, 1);
    assert_int_equal(g_array_index(line->shots, gint64, 0), 1);
}

/* Otherwise the count would have to be typed twice: with the square and with its photo. */
static void a_recorded_value_need_not_be_typed_at_the_photo(void **state)
{
    Job *job = *state;
    const char *list = "[checklist]\nname = Test\n[s]\nwhat = S\nwhere = each slope\nsubjects = test-square\nvalue = yes\n"
                       "[l]\nwhat = L\nwhere = each structure\nsubjects = layers\nvalue = yes\n";
    add_shot(job, FRONT_SLOPE, "test-square", GB_DISTANCE_MID, NULL);
    add_shot(job, ROOF, "layers", GB_DISTANCE_CLOSE, NULL);
    assert_line(check_text(job, list), "s place:8", GB_CHECK_MISSING, "no shot carries the count");
    record_square(job, FRONT_SLOPE, 9, NULL);
    record(job, ROOF, "layers", "2");
    const GbCheck *check = check_text(job, list);
    assert_line(check, "s place:8", GB_CHECK_THERE, NULL);
    assert_line(check, "l structure:1", GB_CHECK_THERE, NULL);
    assert_line(check, "s place:9", GB_CHECK_MISSING, "no shot");
}

static void a_square_that_was_not_drawn_waives_its_photo_with_its_reason(void **state)
{
    Job *job = *state;
    const char *list = "[checklist]\nname = Test\n[s]\nwhat = S\nwhere = each slope\nsubjects = test-square\n"
                       "[c]\nwhat = C\nwhere = each slope\nsubjects = test-square, no-damage-seen\n";
    record_square(job, FRONT_SLOPE, 0, "obvious: hits on every shingle");
    const GbCheck *check = check_text(job, list);
    assert_line(check, "s place:8", GB_CHECK_WAIVED, "no shot");
    const GbCheckLine *line = line_of(check, "s place:8");
    assert_string_equal(line->waived_why, "not drawn: obvious: hits on every shingle");
    assert_string_equal(line->waived_who, "Dana Reyes");
    assert_int_equal(line->waived_at_utc_s, 1778788928);
    assert_line(check, "c place:8", GB_CHECK_MISSING, "no shot"); /* that the slope was looked at is another matter */
    assert_line(check, "s place:9", GB_CHECK_MISSING, "no shot");
}

static void a_structure_without_a_roof_is_not_asked_for_its_covering(void **state)
{
    Job *job = *state;
    add_place(job, 3, "fence", "fence", GB_PLACE_WHOLE, GB_FACE_FRONT, NULL);
    const GbCheck *check = check_text(job, FACTS);
    for (guint i = 0; i < check->lines->len; i++)
        assert_string_not_equal(((const GbCheckLine *)check->lines->pdata[i])->key, "f fact:layers structure:3");
    assert_line(check, "f fact:storeys structure:3", GB_CHECK_MISSING, "not recorded");
}

static void a_fact_can_be_waived_alone(void **state)
{
    Job *job = *state;
    waive(job, "f fact:layers structure:1");
    const GbCheck *check = check_text(job, FACTS);
    assert_line(check, "f fact:layers structure:1", GB_CHECK_WAIVED, "not recorded");
    assert_line(check, "f fact:storeys structure:1", GB_CHECK_MISSING, "not recorded");
}

static void the_indoor_lists_are_not_complete_without_a_room(void **state)
{
    Job *job = *state;
    assert_line(check_shipped(job, "interior-water"), "inside", GB_CHECK_MISSING, "no shot");
    assert_line(check_shipped(job, "fire-basic"), "inside", GB_CHECK_MISSING, "no shot");
    gint64 kitchen = add_place(job, 1, "dwelling", "dwelling", GB_PLACE_ROOM, GB_FACE_FRONT, "kitchen");
    add_shot(job, kitchen, "room-overview", GB_DISTANCE_UNKNOWN, NULL);
    const GbCheck *check = check_shipped(job, "interior-water");
    assert_line(check, "inside", GB_CHECK_THERE, NULL);
    assert_line(check, "room-overview place:12", GB_CHECK_MISSING, "1 of 2 shots");
    assert_line(check, "room-condition place:12", GB_CHECK_MISSING, "no shot");
}

/* Waivers are kept by key: a key names one line only, and stays when the claim grows. */
static void keys_and_labels_are_unique_and_outlive_changes(void **state)
{
    Job *job = *state;
    static const char *const names[] = {"exterior-wind-hail", "interior-water", "fire-basic"};
    for (gsize i = 0; i < G_N_ELEMENTS(names); i++) {
        g_autoptr(GHashTable) keys = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL);
        g_autoptr(GHashTable) labels = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL);
        g_autofree char *before = keys_of(check_shipped(job, names[i]), GB_CHECK_MISSING);
        add_place(job, 2 + i, names[i], "shed", GB_PLACE_ELEVATION, GB_FACE_FRONT, NULL);
        add_place(job, 1, "dwelling", "dwelling", GB_PLACE_ROOM, GB_FACE_FRONT, names[i]);
        add_shot(job, REAR, "hail-hit", GB_DISTANCE_OVERVIEW, NULL);
        add_shot(job, REAR, "wind-damage", GB_DISTANCE_OVERVIEW, NULL);
        const GbCheck *check = check_shipped(job, names[i]);
        for (guint l = 0; l < check->lines->len; l++) {
            const GbCheckLine *line = check->lines->pdata[l];
            assert_true(g_hash_table_add(keys, g_strdup(line->key)));
            assert_true(g_hash_table_add(labels, g_strdup(line->label)));
            g_autoptr(GError) error = NULL;
            assert_ptr_equal(gb_check_find(check, line->label, &error), line);
            assert_ptr_equal(gb_check_find(check, line->key, &error), line);
            assert_no_error(error);
        }
        g_auto(GStrv) old = g_strsplit(before, "\n", -1);
        for (char **key = old; *key != NULL && **key != '\0'; key++)
            assert_true(g_hash_table_contains(keys, *key));
    }
}

/* --- weak shots --------------------------------------------------------------------------------------------------- */

static GbShot *add_weak(Job *job, gint64 place, const char *subject, GbDistance distance, const char *value)
{
    GbShot *shot = add_shot(job, place, subject, distance, value);
    shot->weak = g_strdup("blurred: shaken");
    return shot;
}

static void what_is_required_and_only_weakly_there_is_weak_and_not_complete(void **state)
{
    Job *job = *state;
    const char *text = HEAD "[address]\nwhat = A\nwhere = once\nsubjects = address\n";
    add_weak(job, SITE, "address", GB_DISTANCE_MID, NULL);
    const GbCheck *check = check_text(job, text);
    assert_line(check, "address", GB_CHECK_WEAK, "only weak: shot 1 (blurred: shaken)");
    assert_int_equal(line_of(check, "address")->shots->len, 1); /* it is still shown what there is */
    assert_true(check->weak == 1 && check->missing == 0 && check->there == 0);
    assert_false(gb_check_complete(check));
    json_t *json = gb_check_json(check, job->list);
    assert_true(json_is_false(json_object_get(json, "complete")));
    assert_int_equal(json_integer_value(json_object_get(json, "weak")), 1);
    json_decref(json);

    add_weak(job, SITE, "address", GB_DISTANCE_CLOSE, NULL); /* two weak ones are no strong one */
    assert_line(check_text(job, text), "address", GB_CHECK_WEAK, "only weak: shot 1 (blurred: shaken), shot 2 (blurred: shaken)");
    add_shot(job, SITE, "address", GB_DISTANCE_CLOSE, NULL);
    check = check_text(job, text);
    assert_line(check, "address", GB_CHECK_THERE, NULL);
    assert_true(gb_check_complete(check));
}

static void a_weak_shot_that_is_left_out_does_not_count_as_weakly_there(void **state)
{
    Job *job = *state;
    add_weak(job, SITE, "address", GB_DISTANCE_MID, NULL)->left_out = TRUE;
    assert_line(check_text(job, HEAD "[address]\nwhat = A\nwhere = once\nsubjects = address\n"), "address", GB_CHECK_MISSING, "no shot");
}

static void what_is_advised_or_waived_stays_so_where_only_weak_shots_are_there(void **state)
{
    Job *job = *state;
    add_weak(job, SITE, "address", GB_DISTANCE_MID, NULL);
    add_weak(job, ROOF, "ridge-vent", GB_DISTANCE_MID, NULL);
    waive(job, "b");
    const GbCheck *check = check_text(job, HEAD "[a]\nwhat = A\nwhere = once\nsubjects = address\nlevel = advised\n"
                                                "[b]\nwhat = B\nwhere = once\nsubjects = ridge-vent\n");
    assert_line(check, "a", GB_CHECK_ADVISED, "only weak: shot 1 (blurred: shaken)");
    assert_line(check, "b", GB_CHECK_WAIVED, "only weak: shot 2 (blurred: shaken)");
    assert_true(gb_check_complete(check));
    assert_int_equal(check->weak, 0);
}

static void one_weak_distance_makes_a_line_weak_and_one_absent_makes_it_missing(void **state)
{
    Job *job = *state;
    const char *text = HEAD "[a]\nwhat = A\nwhere = once\nsubjects = test-square\ndistances = mid-range, close-up\n";
    add_weak(job, REAR_SLOPE, "test-square", GB_DISTANCE_OVERVIEW, NULL); /* weak, but of no wanted distance: not spoken of */
    assert_line(check_text(job, text), "a", GB_CHECK_MISSING, "no mid-range, no close-up");
    add_weak(job, REAR_SLOPE, "test-square", GB_DISTANCE_MID, NULL);
    assert_line(check_text(job, text), "a", GB_CHECK_MISSING, "no mid-range, no close-up; weak: shot 2 (blurred: shaken)");
    add_shot(job, REAR_SLOPE, "test-square", GB_DISTANCE_CLOSE, NULL);
    assert_line(check_text(job, text), "a", GB_CHECK_WEAK, "only weak: shot 2 (blurred: shaken)");
    add_shot(job, REAR_SLOPE, "test-square", GB_DISTANCE_MID, NULL);
    assert_line(check_text(job, text), "a", GB_CHECK_THERE, NULL);
}

static void of_several_wanted_shots_each_must_be_strong(void **state)
{
    Job *job = *state;
    const char *text = HEAD "[a]\nwhat = A\nwhere = once\nsubjects = overview\ncount = 2\n";
    add_shot(job, FRONT, "overview", GB_DISTANCE_OVERVIEW, NULL);
    add_weak(job, FRONT, "overview", GB_DISTANCE_OVERVIEW, NULL);
    assert_line(check_text(job, text), "a", GB_CHECK_WEAK, "only weak: shot 2 (blurred: shaken)");
    add_shot(job, FRONT, "overview", GB_DISTANCE_OVERVIEW, NULL);
    assert_line(check_text(job, text), "a", GB_CHECK_THERE, NULL);
}

static void a_value_that_only_a_weak_shot_carries_is_weak(void **state)
{
    Job *job = *state;
    const char *text = HEAD "[a]\nwhat = A\nwhere = once\nsubjects = pitch\nvalue = yes\n";
    add_shot(job, FRONT_SLOPE, "pitch", GB_DISTANCE_CLOSE, NULL);
    assert_line(check_text(job, text), "a", GB_CHECK_MISSING, "no shot carries the pitch");
    add_weak(job, FRONT_SLOPE, "pitch", GB_DISTANCE_CLOSE, "6/12");
    assert_line(check_text(job, text), "a", GB_CHECK_WEAK, "only weak: shot 2 (blurred: shaken)");
    ((GbShot *)job->shots->pdata[0])->value = g_strdup("6/12");
    assert_line(check_text(job, text), "a", GB_CHECK_THERE, NULL);
}

static void a_finding_with_only_a_weak_shot_is_a_finding_and_weak(void **state)
{
    Job *job = *state;
    add_weak(job, REAR_SLOPE, "hail-hit", GB_DISTANCE_CLOSE, NULL);
    const GbCheck *check = check_text(job, HEAD "[finding]\nwhat = A\nwhere = each finding\ndistances = close-up\n");
    assert_line(check, "finding finding:10:hail-hit", GB_CHECK_WEAK, "only weak: shot 1 (blurred: shaken)");
}

/* --- JSON --------------------------------------------------------------------------------------------------------- */

static void the_json_says_what_the_check_says(void **state)
{
    Job *job = *state;
    waive(job, "b place:10");
    add_shot(job, SITE, "address", GB_DISTANCE_CLOSE, NULL);
    const GbCheck *check = check_text(job, HEAD "[a]\nwhat = The \"house\" number\nwhere = once\nsubjects = address\nwhy = Whose house\n"
                                                "[b]\nwhat = B\nwhere = each slope\nlevel = advised\n");
    g_autofree char *text = NULL;
    json_t *json = gb_check_json(check, job->list);
    char *dumped = json_dumps(json, JSON_COMPACT);
    text = g_strdup(dumped);
    free(dumped);
    json_decref(json);
    assert_string_equal(text,
        "{\"checklist\":\"Test\",\"complete\":true,\"there\":1,\"missing\":0,\"advised\":3,\"waived\":1,\"weak\":0,\"unplaced\":0,\"unnamed\":0,\"unwritten\":0,\"unproved\":0,"
        "\"groups\":[{\"title\":\"The claim\",\"lines\":[{\"key\":\"a\",\"label\":\"a\",\"what\":\"The \\\"house\\\" number\","
        "\"why\":\"Whose house\",\"state\":\"there\",\"required\":true,\"shots\":[1]}]},"
        "{\"title\":\"Front slope\",\"lines\":[{\"key\":\"b place:8\",\"label\":\"b, front slope\",\"what\":\"B\",\"why\":\"\","
        "\"state\":\"advised\",\"required\":false,\"shots\":[],\"lacks\":\"no shot\"}]},"
        "{\"title\":\"Right slope\",\"lines\":[{\"key\":\"b place:9\",\"label\":\"b, right slope\",\"what\":\"B\",\"why\":\"\","
        "\"state\":\"advised\",\"required\":false,\"shots\":[],\"lacks\":\"no shot\"}]},"
        "{\"title\":\"Rear slope\",\"lines\":[{\"key\":\"b place:10\",\"label\":\"b, rear slope\",\"what\":\"B\",\"why\":\"\","
        "\"state\":\"waived\",\"required\":false,\"shots\":[],\"lacks\":\"no shot\",\"waived_why\":\"ice on the roof\","
        "\"waived_who\":\"Dana Reyes\",\"waived_at\":\"2026-05-14T20:02:08Z\"}]},"
        "{\"title\":\"Left slope\",\"lines\":[{\"key\":\"b place:11\",\"label\":\"b, left slope\",\"what\":\"B\",\"why\":\"\","
        "\"state\":\"advised\",\"required\":false,\"shots\":[],\"lacks\":\"no shot\"}]}],\"points\":[]}");
}

static void the_json_of_an_incomplete_claim_says_so(void **state)
{
    Job *job = *state;
    const GbCheck *check = check_text(job, HEAD "[a]\nwhat = A\nwhere = once\nsubjects = address\n");
    json_t *json = gb_check_json(check, job->list);
    assert_true(json_is_false(json_object_get(json, "complete")));
    assert_int_equal(json_integer_value(json_object_get(json, "missing")), 1);
    json_decref(json);
}

/* Each test begins with the claim of setup_job. */
#define test_of_job(f) cmocka_unit_test_setup_teardown(f, setup_job, teardown_job)

int main(void)
{
    const struct CMUnitTest tests[] = {
        test_of_job(once_is_met_by_a_shot_of_any_place_or_none),
        test_of_job(each_structure_is_met_by_a_shot_of_any_place_of_that_structure_only),
        test_of_job(a_place_is_met_by_its_own_shots_only),
        test_of_job(structures_limit_a_requirement_to_their_kinds),
        test_of_job(what_a_claim_does_not_have_makes_no_lines),
        test_of_job(damage_seen_is_each_pair_of_place_and_damage_that_has_a_shot),
        test_of_job(a_finding_is_held_to_its_own_shots),
        test_of_job(an_overview_of_the_place_serves_its_findings),
        test_of_job(damage_in_photos_that_no_finding_names_is_pointed_out),
        test_of_job(a_finding_must_say_what_a_price_needs),
        test_of_job(a_slope_that_nobody_measured_is_pointed_out),
        test_of_job(two_findings_of_one_component_are_told_apart_and_waived_apart),
        test_of_job(each_named_distance_wants_its_own_shots),
        test_of_job(a_shot_without_a_distance_has_that_of_its_subject),
        test_of_job(a_count_counts_shots_of_any_of_the_subjects),
        test_of_job(a_wanted_value_must_be_on_one_of_the_shots),
        test_of_job(a_shot_left_out_counts_for_nothing),
        test_of_job(shots_without_place_or_subject_are_told),
        test_of_job(what_is_only_advised_does_not_make_a_claim_incomplete),
        test_of_job(a_requirement_for_hail_is_no_line_of_a_wind_claim),
        test_of_job(a_waiver_sets_aside_what_is_missing_and_only_while_it_is),
        test_of_job(a_fact_that_nobody_recorded_is_missing_by_its_own_line),
        test_of_job(what_is_said_of_the_roof_holds_for_its_slopes),
        test_of_job(a_photo_with_the_value_is_the_fact_and_its_shots_are_named),
        test_of_job(a_recorded_value_need_not_be_typed_at_the_photo),
        test_of_job(a_square_that_was_not_drawn_waives_its_photo_with_its_reason),
        test_of_job(a_structure_without_a_roof_is_not_asked_for_its_covering),
        test_of_job(a_fact_can_be_waived_alone),
        test_of_job(a_weak_shot_makes_a_requirement_weak_and_a_good_one_beside_it_makes_it_there),
        test_of_job(lines_go_along_the_walk_and_in_the_order_of_the_file),
        test_of_job(a_line_is_found_by_abbreviated_label_and_by_its_key),
        test_of_job(states_have_their_words),
        test_of_job(an_empty_hail_claim_lacks_exactly_this),
        test_of_job(a_wind_claim_wants_neither_test_squares_nor_signs_of_hail),
        test_of_job(a_complete_claim_is_complete_and_one_photo_less_is_not),
        test_of_job(an_outbuilding_adds_its_own_sides_and_no_siding_size),
        test_of_job(the_indoor_lists_are_not_complete_without_a_room),
        test_of_job(keys_and_labels_are_unique_and_outlive_changes),
        test_of_job(what_is_required_and_only_weakly_there_is_weak_and_not_complete),
        test_of_job(a_weak_shot_that_is_left_out_does_not_count_as_weakly_there),
        test_of_job(what_is_advised_or_waived_stays_so_where_only_weak_shots_are_there),
        test_of_job(one_weak_distance_makes_a_line_weak_and_one_absent_makes_it_missing),
        test_of_job(of_several_wanted_shots_each_must_be_strong),
        test_of_job(a_value_that_only_a_weak_shot_carries_is_weak),
        test_of_job(a_finding_with_only_a_weak_shot_is_a_finding_and_weak),
        test_of_job(the_json_says_what_the_check_says),
        test_of_job(the_json_of_an_incomplete_claim_says_so),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
