/* test_known.c -- what is known: records and photos put together, nothing typed twice, and where they differ.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "claim_support.h"

#include <gablebook/dossier.h>
#include <gablebook/error.h>
#include <gablebook/structure.h>
#include <gablebook/tag.h>

static GbLog *claim_with_photos(void **state)
{
    GbLog *log = new_claim(state);
    enter_photos(log, 8);
    return log;
}

static void tags(GbLog *log, const char *shots, const char *place, const char *subject, const char *value)
{
    g_autoptr(GError) error = NULL;
    gb_tag(log, shots, &(GbTag){ .place = place, .subject = subject, .value = value }, NULL, &error);
    assert_no_error(error);
}

static void records(GbLog *log, const char *place, const char *kind, const char *value, const char *shots)
{
    g_autoptr(GError) error = NULL;
    gb_fact_say(log, place, kind, &(GbFactEdit){ .value = value, .shots = shots }, NULL, &error);
    assert_no_error(error);
}

static void counts(GbLog *log, const char *slope, const char *number, const char *hits, const char *shots)
{
    g_autoptr(GError) error = NULL;
    gb_square_say(log, slope, &(GbSquareEdit){ .number = number, .hits = hits, .shots = shots }, NULL, &error);
    assert_no_error(error);
}

static GbDossier *loaded(GbLog *log)
{
    g_autoptr(GError) error = NULL;
    GbDossier *dossier = gb_dossier_load(log, &error);
    assert_no_error(error);
    return dossier;
}

/* "front slope: Pitch 6/12, 26.6° (measured; photo) [1, 2] !3" a line, as the knowledge holds them. OWNED by the caller. */
static char *facts_text(const GbDossier *dossier)
{
    GString *text = g_string_new(NULL);
    for (guint i = 0; i < dossier->known->facts->len; i++) {
        const GbKnown *known = dossier->known->facts->pdata[i];
        g_string_append_printf(text, "%s: %s %s (%s%s)", known->place->label, known->name, known->shown, gb_how_word(known->how),
                               known->fact == NULL ? "; photo" : "");
        for (guint s = 0; s < known->shots->len; s++)
            g_string_append_printf(text, " %d", (int)g_array_index(known->shots, gint64, s));
        for (guint s = 0; s < known->against->len; s++)
            g_string_append_printf(text, " !%d", (int)g_array_index(known->against, gint64, s));
        g_string_append_c(text, '\n');
    }
    return g_string_free(text, FALSE);
}

static char *squares_text(const GbDossier *dossier)
{
    GString *text = g_string_new(NULL);
    for (guint i = 0; i < dossier->known->squares->len; i++) {
        const GbKnownSquare *known = dossier->known->squares->pdata[i];
        g_string_append_printf(text, "%s %u: ", known->place->label, known->number);
        g_string_append(text, known->drawn ? "" : "not drawn");
        if (known->drawn)
            g_string_append_printf(text, "%u in %s", known->hits, *known->size != '\0' ? known->size : "?");
        for (guint s = 0; s < known->shots->len; s++)
            g_string_append_printf(text, " %d", (int)g_array_index(known->shots, gint64, s));
        for (guint s = 0; s < known->against->len; s++)
            g_string_append_printf(text, " !%d", (int)g_array_index(known->against, gint64, s));
        g_string_append_c(text, '\n');
    }
    return g_string_free(text, FALSE);
}

static char *points_text(const GbDossier *dossier)
{
    GString *text = g_string_new(NULL);
    for (guint i = 0; i < dossier->known->points->len; i++) {
        const GbPoint *point = dossier->known->points->pdata[i];
        g_string_append_printf(text, "%s%s\n", point->contradiction ? "! " : "", point->text);
    }
    return g_string_free(text, FALSE);
}

static void holds(GbLog *log, char *(*part)(const GbDossier *dossier), const char *wanted)
{
    g_autoptr(GbDossier) dossier = loaded(log);
    g_autofree char *seen = part(dossier);
    assert_string_equal(seen, wanted);
}

/* --- photos alone --- */

static void a_photo_with_a_value_is_a_fact_that_nobody_types_again(void **state)
{
    g_autoptr(GbLog) log = claim_with_photos(state);
    tags(log, "1", "front slope", "pitch", "7 1/2:12");
    tags(log, "2", "left slope", "layers", "2");
    tags(log, "3", "right", "siding size", "4 in");
    tags(log, "4", "front", "siding", "fiber cement");
    tags(log, "5", "roof", "drip edge", "None");
    holds(log, facts_text, "front: Siding kind fiber cement (seen; photo) 4\n"
                           "right: Siding exposure 4 in (measured; photo) 3\n"
                           "roof: Drip edge none (seen; photo) 5\n"
                           "front slope: Pitch 7 1/2:12 (7.5/12, 32.0°) (measured; photo) 1\n"
                           "left slope: Layers 2 (counted; photo) 2\n");
    holds(log, points_text, "");
}

/* "wood" begins 'wood lap', and would be a guess; "loose" of a drip edge is a remark. */
static void free_words_that_are_not_a_choice_word_for_word_say_no_fact(void **state)
{
    g_autoptr(GbLog) log = claim_with_photos(state);
    tags(log, "1", "front", "siding", "brick veneer, painted");
    tags(log, "2", "front", "siding", "vin");
    tags(log, "3", "roof", "drip edge", "loose");
    holds(log, facts_text, "");
}

static void a_photo_that_is_left_out_or_has_no_place_says_nothing(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbLog) log = claim_with_photos(state);
    tags(log, "1", "front slope", "pitch", "6/12");
    tags(log, "2", NULL, "pitch", "6/12");
    assert_true(gb_tag(log, "1", &(GbTag){ .in_report = GB_LEAVE_OUT }, NULL, &error));
    holds(log, facts_text, "");
}

static void a_photo_where_the_fact_does_not_belong_speaks_for_what_it_is_a_part_of(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbLog) log = claim_with_photos(state);
    assert_true(gb_structure_edit(log, &(GbStructureEdit){ .name = "dwelling", .rooms = "attic" }, NULL, &error));
    tags(log, "1", "attic", "siding size", "5 in");  /* siding is said of walls and structures */
    tags(log, "2", "site", "pitch", "6/12");          /* of the site no pitch is said: nothing */
    holds(log, facts_text, "dwelling: Siding exposure 5 in (measured; photo) 1\n");
}

static void photos_that_differ_are_a_contradiction_at_one_place_and_none_at_two(void **state)
{
    g_autoptr(GbLog) log = claim_with_photos(state);
    tags(log, "1", "front slope", "layers", "1");
    tags(log, "2", "rear slope", "layers", "2");
    holds(log, points_text, "");
    tags(log, "3", "front slope", "layers", "2");
    tags(log, "4", "front slope", "layers", "1");
    holds(log, facts_text, "front slope: Layers 1 (counted; photo) 1 4 !3\nrear slope: Layers 2 (counted; photo) 2\n");
    holds(log, points_text, "! front slope: Layers: shot 1 says 1, but shot 3 says 2\n");
}

/* --- records and photos --- */

static void a_record_wins_and_the_photo_is_its_proof_or_its_contradiction(void **state)
{
    g_autoptr(GbLog) log = claim_with_photos(state);
    tags(log, "1", "front slope", "pitch", "6/12");
    records(log, "front slope", "pitch", "26.5 deg", NULL); /* 5.98/12: the same to a gauge */
    holds(log, facts_text, "front slope: Pitch 26.5 deg (5.98/12, 26.5°) (measured) 1\n");
    holds(log, points_text, "");
    records(log, "front slope", "pitch", "7/12", NULL);
    holds(log, facts_text, "front slope: Pitch 7/12, 30.3° (measured) !1\n");
    holds(log, points_text, "! front slope: Pitch is recorded as 7/12, 30.3°, but shot 1 says 6/12\n");
}

static void what_is_recorded_of_the_roof_is_held_against_the_photos_of_its_slopes(void **state)
{
    g_autoptr(GbLog) log = claim_with_photos(state);
    tags(log, "1", "front slope", "layers", "1");
    tags(log, "2", "left slope", "layers", "2");
    records(log, "roof", "layers", "1", NULL);
    holds(log, facts_text, "roof: Layers 1 (counted) 1 !2\n");
    holds(log, points_text, "! roof: Layers is recorded as 1, but shot 2 says 2\n");
    records(log, "left slope", "layers", "2", NULL); /* the slope has a record of its own: nothing differs any more */
    holds(log, facts_text, "roof: Layers 1 (counted) 1\nleft slope: Layers 2 (counted) 2\n");
    holds(log, points_text, "");
}

static void a_fact_of_one_structure_says_nothing_of_another(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbLog) log = claim_with_photos(state);
    assert_true(gb_structure_edit(log, &(GbStructureEdit){ .name = "garage", .slopes = "left" }, NULL, &error));
    records(log, "roof", "layers", "1", NULL);
    tags(log, "1", "garage left slope", "layers", "2");
    holds(log, facts_text, "roof: Layers 1 (counted)\ngarage left slope: Layers 2 (counted; photo) 1\n");
    g_autoptr(GbDossier) dossier = loaded(log);
    const GbPlace *slope = gb_places_find(dossier->places, "garage left slope", &error), *rear = gb_places_find(dossier->places, "rear slope", &error);
    assert_string_equal(gb_knowledge_at(dossier->known, "layers", slope)->shown, "2");
    assert_string_equal(gb_knowledge_at(dossier->known, "layers", rear)->place->label, "roof");
    assert_null(gb_knowledge_at(dossier->known, "pitch", rear));
}

static void a_fact_without_a_photo_is_pointed_out_unless_none_could_prove_it(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbLog) log = claim_with_photos(state);
    records(log, "roof", "layers", "1", NULL);
    records(log, "roof", "age of the covering", "12-15", NULL); /* nobody can photograph an age */
    assert_true(gb_fact_say(log, "roof", "covering", &(GbFactEdit){ .value = "slate", .how = "told" }, NULL, &error));
    holds(log, points_text, "roof: Layers 1 has no photo that proves it\n");
    tags(log, "1", "left slope", "layers", NULL); /* no value, and yet a proof */
    holds(log, points_text, "");
    tags(log, "2", "rear slope", "notes", NULL);
    records(log, "roof", "layers", "1", "2"); /* named: it counts, whatever it shows */
    holds(log, facts_text, "roof: Roof covering slate (told)\nroof: Age of the covering 12 to 15 years (told)\n"
                           "roof: Layers 1 (counted) 2\n");
}

static void a_named_photo_that_is_left_out_proves_nothing(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbLog) log = claim_with_photos(state);
    tags(log, "2", "roof", "layers", NULL);
    records(log, "roof", "layers", "1", "2");
    assert_true(gb_tag(log, "2", &(GbTag){ .in_report = GB_LEAVE_OUT }, NULL, &error));
    holds(log, points_text, "roof: Layers 1 has no photo that proves it: the one named is left out of the report\n");
}

static void the_nearest_photo_is_the_proof_and_an_overview_only_where_there_is_no_other(void **state)
{
    g_autoptr(GbLog) log = claim_with_photos(state);
    records(log, "dwelling", "siding kind", "brick", NULL);
    tags(log, "1,2", "front", "overview", NULL);
    holds(log, facts_text, "dwelling: Siding kind brick (seen) 1 2\n");
    tags(log, "3", "rear", "siding", NULL);
    holds(log, facts_text, "dwelling: Siding kind brick (seen) 3\n");
    tags(log, "4", "left", "siding", "brick");
    holds(log, facts_text, "dwelling: Siding kind brick (seen) 4\n");
}

/* --- test squares --- */

static void photos_of_a_test_square_with_a_count_are_one(void **state)
{
    g_autoptr(GbLog) log = claim_with_photos(state);
    tags(log, "1,2", "front slope", "test square", "9");
    tags(log, "3", "front slope", "test square", NULL);
    tags(log, "4", "left slope", "test square", NULL); /* no count: a photo, and no square yet */
    holds(log, squares_text, "front slope 1: 9 in ? 1 2 3\n");
    tags(log, "5", "front slope", "test square", "7");
    holds(log, squares_text, "front slope 1: 9 in ? 1 2 3 !5\n");
    holds(log, points_text, "! front slope: test square: shot 1 says 9, but shot 5 says 7\n");
}

static void a_recorded_square_wins_and_a_count_that_no_square_has_is_pointed_out(void **state)
{
    g_autoptr(GbLog) log = claim_with_photos(state);
    tags(log, "1", "front slope", "test square", "9");
    tags(log, "2", "front slope", "test square", "4");
    counts(log, "front slope", NULL, "9", NULL);
    holds(log, points_text, "! front slope: test square is recorded with 9 hits, but shot 2 says 4\n");
    counts(log, "front slope", "2", "4", NULL);
    holds(log, squares_text, "front slope 1: 9 in 10 x 10 ft 1\nfront slope 2: 4 in 10 x 10 ft 2\n");
    holds(log, points_text, "");
    counts(log, "front slope", NULL, "9", "1, 2"); /* both named for the first */
    holds(log, points_text, "! front slope: test square is recorded with 9 hits, but shot 2 says 4\n"
                            "front slope: test square 2 with 4 hits has no photo that proves it\n");
}

static void a_square_that_was_not_drawn_contradicts_a_photo_with_a_count(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbLog) log = claim_with_photos(state);
    tags(log, "1", "front slope", "test square", "9");
    assert_true(gb_square_say(log, "front slope", &(GbSquareEdit){ .not_drawn = "obvious" }, NULL, &error));
    holds(log, squares_text, "front slope 1: not drawn !1\n");
    holds(log, points_text, "! front slope: test square is recorded as not drawn, but shot 1 says 9\n");
}

static void a_size_is_shown_as_written_and_in_feet(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbLog) log = claim_with_photos(state);
    const char *const slopes[] = { "front slope", "right slope", "rear slope", "left slope" };
    const char *const sizes[] = { "10X10", "5 FT x 20 ft", "3 m x 3 m", NULL };
    for (gsize i = 0; i < 4; i++)
        assert_true(gb_square_say(log, slopes[i], &(GbSquareEdit){ .hits = "0", .size = sizes[i] }, NULL, &error));
    holds(log, squares_text, "front slope 1: 0 in 10 x 10 ft\nright slope 1: 0 in 5 x 20 ft\n"
                             "rear slope 1: 0 in 3 m x 3 m (9.84 x 9.84 ft)\nleft slope 1: 0 in 10 x 10 ft\n");
}

static void the_json_has_what_is_known_with_null_for_unknown(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbLog) log = claim_with_photos(state);
    tags(log, "1", "front slope", "test square", "9");
    records(log, "roof", "age of the covering", "over 20", NULL);
    assert_true(gb_threshold_set(log, "8", "the carrier", NULL, &error));
    g_autoptr(GbDossier) dossier = loaded(log);
    json_t *json = gb_knowledge_json(dossier->known, dossier->threshold), *fact = json_array_get(json_object_get(json, "facts"), 0),
           *square = json_array_get(json_object_get(json, "squares"), 0);
    assert_string_equal(json_string_value(json_object_get(fact, "value")), "over 20");
    assert_string_equal(json_string_value(json_object_get(fact, "means")), "over 20 years");
    assert_near(json_number_value(json_object_get(fact, "low")), 20, 0);
    assert_true(json_is_null(json_object_get(fact, "high")));
    assert_int_equal(json_integer_value(json_object_get(square, "hits")), 9);
    assert_true(json_is_null(json_object_get(square, "size")));
    assert_true(json_is_false(json_object_get(square, "recorded")));
    assert_int_equal(json_integer_value(json_object_get(json_object_get(json, "threshold"), "hits")), 8);
    json_decref(json);
}

/* A claim may come from anywhere: counts that no tag could have written make no square, and no crash. */
static void a_count_that_is_none_makes_no_test_square(void **state)
{
    static const char *const counts_that_are_none[] = { "0.5", "-3.0", "1e9", "9e999" };
    g_autoptr(GbLog) log = claim_with_photos(state);
    tags(log, "1", "front slope", "test square", "9");
    for (gsize i = 0; i < G_N_ELEMENTS(counts_that_are_none); i++) {
        g_autofree char *sql = g_strdup_printf("UPDATE shot SET value_number = %s WHERE number = 1", counts_that_are_none[i]);
        sqlite3 *db = raw_connection(state);
        raw_exec(db, sql);
        sqlite3_close(db);
        g_autoptr(GbDossier) dossier = loaded(log);
        assert_int_equal(dossier->known->squares->len, 0);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        test_in_folder(a_photo_with_a_value_is_a_fact_that_nobody_types_again),
        test_in_folder(free_words_that_are_not_a_choice_word_for_word_say_no_fact),
        test_in_folder(a_photo_that_is_left_out_or_has_no_place_says_nothing),
        test_in_folder(a_photo_where_the_fact_does_not_belong_speaks_for_what_it_is_a_part_of),
        test_in_folder(photos_that_differ_are_a_contradiction_at_one_place_and_none_at_two),
        test_in_folder(a_record_wins_and_the_photo_is_its_proof_or_its_contradiction),
        test_in_folder(what_is_recorded_of_the_roof_is_held_against_the_photos_of_its_slopes),
        test_in_folder(a_fact_of_one_structure_says_nothing_of_another),
        test_in_folder(a_fact_without_a_photo_is_pointed_out_unless_none_could_prove_it),
        test_in_folder(a_named_photo_that_is_left_out_proves_nothing),
        test_in_folder(the_nearest_photo_is_the_proof_and_an_overview_only_where_there_is_no_other),
        test_in_folder(photos_of_a_test_square_with_a_count_are_one),
        test_in_folder(a_recorded_square_wins_and_a_count_that_no_square_has_is_pointed_out),
        test_in_folder(a_square_that_was_not_drawn_contradicts_a_photo_with_a_count),
        test_in_folder(a_size_is_shown_as_written_and_in_feet),
        test_in_folder(the_json_has_what_is_known_with_null_for_unknown),
        test_in_folder(a_count_that_is_none_makes_no_test_square),
    };
    return cmocka_run_group_tests_name("known", tests, NULL, NULL);
}
