/* test_facing.c -- suggestions of places: floors on invented inspections, the demo's truth, and the cases with nothing to go by.
 *
 * The floors leave a margin under what `make bench-suggest` shows on many more inspections; the inspections are made by
 * tests/inspection.c, which doesn't know the estimator's densities.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "inspection.h"
#include "test.h"

#include <gablebook/error.h>
#include <string.h>

#define SEED 4100u
#define INSPECTIONS 30

static GbFacing *estimate(const GbFacingInput *input)
{
    g_autoptr(GError) error = NULL;
    GbFacing *facing = gb_facing_estimate(input, &error);
    assert_no_error(error);
    assert_non_null(facing);
    return facing;
}

static GbFacing *estimate_inspection(const Inspection *inspection)
{
    GbFacingInput input = inspection_input(inspection);
    return estimate(&input);
}

static GbFacingShot *shot_at(const Inspection *inspection, guint i)
{
    return &g_array_index(inspection->shots, GbFacingShot, i);
}

static int truth_at(const Inspection *inspection, guint i)
{
    return g_array_index(inspection->truth, int, i);
}

static Inspection *usual(guint32 seed)
{
    return inspection_new(seed, &(InspectionKind){ 5, 10, 0.1, FALSE });
}

/* The place every shot is suggested for, and its probabilities, must be sound whatever came in. */
static void assert_sound(const GbFacingInput *input, const GbFacing *facing)
{
    for (gsize i = 0; i < input->n_shots; i++) {
        const GbFacingAnswer *answer = gb_facing_answer(facing, i);
        double sum = answer->cannot_tell, distances = 0;
        for (gsize p = 0; p < input->n_places; p++) {
            double probability = gb_facing_probability(facing, i, p);
            assert_true(probability >= 0 && probability <= 1 + 1e-9);
            sum += probability;
        }
        for (guint d = 0; d < GB_DISTANCES; d++)
            distances += answer->distance[d];
        assert_near(sum, 1, 1e-6);
        assert_near(distances, 1, 1e-6);
        assert_true(answer->confidence >= 0 && answer->confidence <= 1);
        assert_true(answer->place >= -1 && answer->place < (int)input->n_places);
        assert_non_null(answer->reason);
        assert_true(strlen(answer->reason) > 0);
        if (input->shots[i].place >= 0 && input->shots[i].place < (int)input->n_places) {
            assert_int_equal(answer->place, input->shots[i].place);
            assert_near(answer->confidence, 1, 0);
            assert_near(gb_facing_probability(facing, i, (gsize)answer->place), 1, 1e-6);
        }
    }
}

static void forget(Inspection *inspection, gboolean headings, gboolean positions, gboolean times)
{
    for (guint i = 0; i < inspection->shots->len; i++) {
        GbFacingShot *shot = shot_at(inspection, i);
        if (headings)
            shot->heading_deg = NAN;
        if (positions)
            shot->east_m = shot->north_m = shot->altitude_m = NAN;
        if (times)
            shot->time_s = NAN;
    }
}

typedef struct {
    guint right, all;
} Score;

static Score walls_right(const Inspection *inspection, const GbFacing *facing)
{
    Score score = { 0 };
    for (guint i = 0; i < inspection->shots->len; i++) {
        if (!inspection_is_elevation(inspection, i) || shot_at(inspection, i)->place >= 0)
            continue;
        score.all++;
        score.right += gb_facing_answer(facing, i)->place == truth_at(inspection, i);
    }
    return score;
}

static int by_value(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

static double median_after(gsize tags)
{
    double shares[INSPECTIONS];
    for (guint32 k = 0; k < INSPECTIONS; k++) {
        g_autoptr(Inspection) inspection = usual(SEED + k);
        inspection_tag(inspection, tags, NULL, k);
        g_autoptr(GbFacing) facing = estimate_inspection(inspection);
        GbFacingInput input = inspection_input(inspection);
        assert_sound(&input, facing);
        Score score = walls_right(inspection, facing);
        shares[k] = score.all > 0 ? (double)score.right / score.all : 1;
    }
    qsort(shares, INSPECTIONS, sizeof *shares, by_value);
    return (shares[INSPECTIONS / 2 - 1] + shares[INSPECTIONS / 2]) / 2;
}

static void eight_wall_shots_in_ten_are_right_before_anything_is_tagged(void **state)
{
    (void)state;
    assert_true(median_after(0) >= 0.88);
}

static void nine_wall_shots_in_ten_are_right_after_four_tags(void **state)
{
    (void)state;
    assert_true(median_after(4) >= 0.92);
}

static void of_the_shots_it_is_sure_of_nine_in_ten_are_right(void **state)
{
    (void)state;
    guint sure = 0, right = 0;
    for (guint32 k = 0; k < INSPECTIONS; k++) {
        g_autoptr(Inspection) inspection = inspection_new(SEED + 500 + k, &(InspectionKind){ NAN, NAN, NAN, TRUE });
        g_autoptr(GbFacing) facing = estimate_inspection(inspection);
        for (guint i = 0; i < inspection->shots->len; i++) {
            const GbFacingAnswer *answer = gb_facing_answer(facing, i);
            sure += answer->confidence >= 0.9;
            right += answer->confidence >= 0.9 && answer->place == truth_at(inspection, i);
        }
        assert_near(gb_facing_house(facing)->front_azimuth_deg, inspection->front_deg, 1e-6); /* given: never changed */
        assert_near(gb_facing_house(facing)->front_spread_deg, 0, 0);
    }
    assert_true(sure >= 100);
    assert_true(right >= 0.9 * sure);
}

static void the_front_and_the_centre_are_found_when_unknown(void **state)
{
    (void)state;
    guint front = 0, centre = 0;
    for (guint32 k = 0; k < INSPECTIONS; k++) {
        g_autoptr(Inspection) inspection = usual(SEED + k);
        g_autoptr(GbFacing) facing = estimate_inspection(inspection);
        const GbFacingHouse *house = gb_facing_house(facing);
        front += fabs(remainder(house->front_azimuth_deg - inspection->front_deg, 360)) < 30;
        centre += hypot(house->east_m - inspection->east_m, house->north_m - inspection->north_m) < 6;
        assert_true(house->front_spread_deg > 0 && house->centre_spread_m > 0);
    }
    assert_true(front >= INSPECTIONS * 3 / 4);
    assert_true(centre >= INSPECTIONS * 3 / 4);
}

/* OWNED by the caller; NULL where there are no demo photos. */
static char *demo_truth(void)
{
    g_autofree char *path = source_path("demo-photos/truth.csv");
    char *text = NULL;
    return g_file_get_contents(path, &text, NULL, NULL) ? text : NULL;
}

/* Source: the demo's own ground truth, from the scene its photos are rendered from; read as a card, with the photos' errors. */
static void on_the_demo_card_nine_wall_shots_in_ten_are_right_untagged(void **state)
{
    (void)state;
    g_autofree char *text = demo_truth();
    if (text == NULL) {
        assert_null(g_getenv("CI"));
        print_message("no demo-photos/truth.csv: skipped\n");
        skip();
    }
    g_autofree char *photos = source_path("demo-photos");
    g_autoptr(GbCard) card = gb_card_read((const char *const[]){ photos, NULL });
    g_autoptr(Inspection) demo = inspection_demo(text, card);
    g_autoptr(GbFacing) facing = estimate_inspection(demo);
    Score score = walls_right(demo, facing);
    assert_true(score.all >= 25);
    assert_true(score.right >= 0.9 * score.all);
    assert_true(fabs(remainder(gb_facing_house(facing)->front_azimuth_deg - demo->front_deg, 360)) < 10);
}

static void with_no_data_at_all_it_cannot_tell(void **state)
{
    (void)state;
    g_autoptr(Inspection) inspection = usual(SEED);
    forget(inspection, TRUE, TRUE, FALSE);
    GbFacingInput input = inspection_input(inspection);
    g_autoptr(GbFacing) facing = estimate(&input);
    assert_sound(&input, facing);
    for (guint i = 0; i < inspection->shots->len; i++) {
        assert_int_equal(gb_facing_answer(facing, i)->place, -1);
        assert_near(gb_facing_answer(facing, i)->cannot_tell, 1, 1e-9);
        assert_near(gb_facing_answer(facing, i)->confidence, 0, 0);
    }
    assert_true(isnan(gb_facing_house(facing)->front_azimuth_deg));
    assert_true(isnan(gb_facing_house(facing)->east_m));
}

static void no_shots_and_no_places_are_no_error(void **state)
{
    (void)state;
    g_autoptr(Inspection) inspection = usual(SEED);
    GbFacingInput nothing = { 0 }, no_places = inspection_input(inspection), no_shots = inspection_input(inspection);
    no_places.n_places = 0;
    no_shots.n_shots = 0;
    g_autoptr(GbFacing) first = estimate(&nothing);
    g_autoptr(GbFacing) second = estimate(&no_places);
    g_autoptr(GbFacing) third = estimate(&no_shots);
    assert_int_equal(gb_facing_answer(second, 0)->place, -1);
    assert_true(isnan(gb_facing_house(third)->front_azimuth_deg));
    assert_non_null(first);
}

/* One tag and times: its neighbours follow it, shots an hour off hardly. */
static void a_single_tag_lends_itself_to_its_neighbours_in_time(void **state)
{
    (void)state;
    const GbFacingStructure house = { "house", TRUE, NAN, NAN, NAN, NAN, NAN };
    GbFacingPlace places[GB_FACES];
    GbFacingShot shots[4];
    const double times[] = { 0, 10, 20, 7200 };
    for (GbFace f = 0; f < GB_FACES; f++)
        places[f] = (GbFacingPlace){ GB_PLACE_ELEVATION, f, 0 };
    for (guint i = 0; i < 4; i++)
        shots[i] = (GbFacingShot){ i + 14, times[i], NAN, NAN, NAN, NAN, NAN, i == 1 ? GB_FACE_LEFT : -1, GB_DISTANCE_UNKNOWN };
    GbFacingInput input = { shots, 4, &house, 1, places, GB_FACES };
    g_autoptr(GbFacing) facing = estimate(&input);
    assert_sound(&input, facing);
    assert_int_equal(gb_facing_answer(facing, 2)->place, GB_FACE_LEFT);
    assert_string_equal(gb_facing_answer(facing, 2)->reason, "right after shot 15");
    assert_string_equal(gb_facing_answer(facing, 1)->reason, "tagged by a person");
    assert_true(gb_facing_probability(facing, 2, GB_FACE_LEFT) > gb_facing_probability(facing, 3, GB_FACE_LEFT) + 0.2);
    assert_true(gb_facing_answer(facing, 3)->confidence < 0.9);
}

static void without_headings_positions_and_the_walk_still_tell_most_walls(void **state)
{
    (void)state;
    guint right = 0, all = 0;
    for (guint32 k = 0; k < INSPECTIONS; k++) {
        g_autoptr(Inspection) inspection = inspection_new(SEED + k, &(InspectionKind){ 3, 10, 0, TRUE });
        forget(inspection, TRUE, FALSE, FALSE);
        GbFacingInput input = inspection_input(inspection);
        g_autoptr(GbFacing) facing = estimate(&input);
        assert_sound(&input, facing);
        assert_true(isnan(gb_facing_house(facing)->compass_spread_deg));
        Score score = walls_right(inspection, facing);
        right += score.right;
        all += score.all;
    }
    assert_true(right >= 0.7 * all);
}

static void without_positions_headings_and_the_walk_still_tell_most_walls(void **state)
{
    (void)state;
    guint right = 0, all = 0;
    for (guint32 k = 0; k < INSPECTIONS; k++) {
        g_autoptr(Inspection) inspection = inspection_new(SEED + k, &(InspectionKind){ 5, 10, 0, TRUE });
        forget(inspection, FALSE, TRUE, FALSE);
        GbFacingInput input = inspection_input(inspection);
        g_autoptr(GbFacing) facing = estimate(&input);
        assert_sound(&input, facing);
        assert_true(isnan(gb_facing_house(facing)->east_m));
        Score score = walls_right(inspection, facing);
        right += score.right;
        all += score.all;
    }
    assert_true(right >= 0.7 * all);
}

static void without_times_each_shot_speaks_for_itself(void **state)
{
    (void)state;
    g_autoptr(Inspection) inspection = inspection_new(SEED, &(InspectionKind){ 5, 10, 0.2, TRUE });
    forget(inspection, FALSE, FALSE, TRUE);
    GbFacingInput input = inspection_input(inspection);
    g_autoptr(GbFacing) facing = estimate(&input);
    assert_sound(&input, facing);
    for (guint i = 0; i < inspection->shots->len; i++) {
        gboolean blank = isnan(shot_at(inspection, i)->east_m) && isnan(shot_at(inspection, i)->heading_deg);
        assert_true(!blank || gb_facing_answer(facing, i)->place == -1);
        assert_null(strstr(gb_facing_answer(facing, i)->reason, "shot"));
    }
}

static void hostile_values_count_as_unknown(void **state)
{
    (void)state;
    static const double bad[] = { INFINITY, -INFINITY, 1e308, -1e308, 1e15, NAN, 0, -5 };
    g_autoptr(Inspection) inspection = usual(SEED + 3);
    for (guint i = 0; i < inspection->shots->len; i++) {
        GbFacingShot *shot = shot_at(inspection, i);
        double value = bad[i / 7 % G_N_ELEMENTS(bad)];
        switch (i % 7) {
        case 0: shot->time_s = value; break;
        case 1: shot->east_m = value; break;
        case 2: shot->error_m = value; break;
        case 3: shot->altitude_m = value; break;
        case 4: shot->heading_deg = value; break;
        case 5: shot->place = i % 2 ? G_MAXINT : G_MININT; break;
        default: shot->distance = (GbDistance)99; break;
        }
    }
    g_array_index(inspection->structures, GbFacingStructure, 0) =
        (GbFacingStructure){ NULL, TRUE, INFINITY, 1e308, -INFINITY, -3, INFINITY };
    GbFacingInput input = inspection_input(inspection);
    g_autoptr(GbFacing) facing = estimate(&input);
    assert_sound(&input, facing);
    assert_true(isfinite(gb_facing_house(facing)->front_azimuth_deg));
    assert_true(isfinite(gb_facing_house(facing)->east_m));
}

static void tags_are_never_contradicted_however_wrong(void **state)
{
    (void)state;
    g_autoptr(Inspection) inspection = usual(SEED + 4);
    gint n_places = (gint)inspection->places->len;
    for (guint i = 0; i < inspection->shots->len; i += 3) {
        shot_at(inspection, i)->place = (int)(i * 7) % n_places;
        shot_at(inspection, i)->distance = GB_DISTANCE_CLOSE;
    }
    GbFacingInput input = inspection_input(inspection);
    g_autoptr(GbFacing) facing = estimate(&input);
    assert_sound(&input, facing);
    for (guint i = 0; i < inspection->shots->len; i += 3)
        assert_near(gb_facing_answer(facing, i)->distance[GB_DISTANCE_CLOSE], 1, 1e-6);
}

static void the_same_input_gives_the_same_answers_in_any_order(void **state)
{
    (void)state;
    g_autoptr(Inspection) inspection = usual(SEED + 5);
    g_autoptr(GbFacing) first = estimate_inspection(inspection);
    guint n = inspection->shots->len;
    g_autofree GbFacingShot *reversed = g_new(GbFacingShot, n);
    for (guint i = 0; i < n; i++)
        reversed[i] = *shot_at(inspection, n - 1 - i);
    GbFacingInput input = inspection_input(inspection);
    input.shots = reversed;
    g_autoptr(GbFacing) second = estimate(&input);
    for (guint i = 0; i < n; i++) {
        assert_int_equal(gb_facing_answer(first, i)->place, gb_facing_answer(second, n - 1 - i)->place);
        assert_near(gb_facing_answer(first, i)->confidence, gb_facing_answer(second, n - 1 - i)->confidence, 1e-9);
    }
}

static void a_place_of_no_structure_is_refused(void **state)
{
    (void)state;
    const GbFacingPlace place = { GB_PLACE_ELEVATION, GB_FACE_FRONT, 2 };
    const GbFacingInput input = { NULL, 0, NULL, 0, &place, 1 };
    g_autoptr(GError) error = NULL;
    assert_null(gb_facing_estimate(&input, &error));
    assert_error(error, GB_ERROR_STATE, "belongs to no structure");
}

static void too_many_places_are_refused_before_anything_is_allocated(void **state)
{
    (void)state;
    const GbFacingInput input = { NULL, 6000000, NULL, 0, NULL, 1 }, places = { NULL, 1, NULL, 0, NULL, 501 };
    g_autoptr(GError) error = NULL;
    assert_null(gb_facing_estimate(&input, &error));
    assert_error(error, GB_ERROR_TOO_LARGE, "too many");
    assert_null(gb_facing_estimate(&places, &error));
    assert_error(error, GB_ERROR_TOO_LARGE, "too many");
}

/* A right wall seen square on by a camera 8 m out, front given as north: right looks west (F - 90). */
static void a_reason_names_heading_distance_and_neighbours(void **state)
{
    (void)state;
    const GbFacingStructure house = { "house", TRUE, 0, 0, 0, 16, 10 };
    GbFacingPlace places[GB_FACES];
    GbFacingShot shots[3];
    for (GbFace f = 0; f < GB_FACES; f++)
        places[f] = (GbFacingPlace){ GB_PLACE_ELEVATION, f, 0 };
    for (guint i = 0; i < 3; i++)
        shots[i] = (GbFacingShot){ i + 14, 20.0 * i, -16, i - 1.0, 3, NAN, 90, -1, GB_DISTANCE_UNKNOWN };
    GbFacingInput input = { shots, 3, &house, 1, places, GB_FACES };
    g_autoptr(GbFacing) facing = estimate(&input);
    assert_int_equal(gb_facing_answer(facing, 1)->place, GB_FACE_RIGHT);
    assert_string_equal(gb_facing_answer(facing, 1)->reason, "heading 90 deg, 8 m out from the right wall, between shots 14 and 16");
    assert_true(gb_facing_answer(facing, 1)->distance[GB_DISTANCE_OVERVIEW] > 4 * gb_facing_answer(facing, 1)->distance[GB_DISTANCE_CLOSE]);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(eight_wall_shots_in_ten_are_right_before_anything_is_tagged),
        cmocka_unit_test(nine_wall_shots_in_ten_are_right_after_four_tags),
        cmocka_unit_test(of_the_shots_it_is_sure_of_nine_in_ten_are_right),
        cmocka_unit_test(the_front_and_the_centre_are_found_when_unknown),
        cmocka_unit_test(on_the_demo_card_nine_wall_shots_in_ten_are_right_untagged),
        cmocka_unit_test(with_no_data_at_all_it_cannot_tell),
        cmocka_unit_test(no_shots_and_no_places_are_no_error),
        cmocka_unit_test(a_single_tag_lends_itself_to_its_neighbours_in_time),
        cmocka_unit_test(without_headings_positions_and_the_walk_still_tell_most_walls),
        cmocka_unit_test(without_positions_headings_and_the_walk_still_tell_most_walls),
        cmocka_unit_test(without_times_each_shot_speaks_for_itself),
        cmocka_unit_test(hostile_values_count_as_unknown),
        cmocka_unit_test(tags_are_never_contradicted_however_wrong),
        cmocka_unit_test(the_same_input_gives_the_same_answers_in_any_order),
        cmocka_unit_test(a_place_of_no_structure_is_refused),
        cmocka_unit_test(too_many_places_are_refused_before_anything_is_allocated),
        cmocka_unit_test(a_reason_names_heading_distance_and_neighbours),
    };
    return cmocka_run_group_tests_name("facing", tests, NULL, NULL);
}
