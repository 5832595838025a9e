/* test_place.c -- the words for where.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "test.h"

#include <gablebook/error.h>
#include <gablebook/place.h>

static void the_walk_goes_front_right_rear_left(void **state)
{
    (void)state;
    assert_string_equal(gb_face_word(0), "front");
    assert_string_equal(gb_face_word(1), "right");
    assert_string_equal(gb_face_word(2), "rear");
    assert_string_equal(gb_face_word(3), "left");
}

static void a_face_is_found_by_its_beginning_and_r_alone_is_unclear(void **state)
{
    (void)state;
    g_autoptr(GError) error = NULL;
    GbFace face = GB_FACE_FRONT;
    assert_true(gb_face_parse("Re", &face, &error));
    assert_int_equal(face, GB_FACE_REAR);
    assert_true(gb_face_parse("l", &face, &error));
    assert_int_equal(face, GB_FACE_LEFT);
    assert_false(gb_face_parse("r", &face, &error));
    assert_error(error, GB_ERROR_UNCLEAR, "'right' or 'rear'");
    assert_false(gb_face_parse("north", &face, &error));
    assert_error(error, GB_ERROR_UNKNOWN, "'north' is no face");
    assert_int_equal(face, GB_FACE_LEFT); /* left alone by a failure */
}

static void a_distance_is_read_in_any_spelling_but_never_as_unknown(void **state)
{
    (void)state;
    g_autoptr(GError) error = NULL;
    GbDistance distance = GB_DISTANCE_UNKNOWN;
    const struct { const char *text; GbDistance wanted; } cases[] = {
        { "overview", GB_DISTANCE_OVERVIEW }, { "o", GB_DISTANCE_OVERVIEW },   { "mid", GB_DISTANCE_MID },
        { "Mid-Range", GB_DISTANCE_MID },     { "midrange", GB_DISTANCE_MID }, { "close up", GB_DISTANCE_CLOSE },
        { "closeup", GB_DISTANCE_CLOSE },     { "c", GB_DISTANCE_CLOSE },
    };
    for (guint i = 0; i < G_N_ELEMENTS(cases); i++) {
        assert_true(gb_distance_parse(cases[i].text, &distance, &error));
        assert_int_equal(distance, cases[i].wanted);
    }
    assert_false(gb_distance_parse("", &distance, &error));
    assert_error(error, GB_ERROR_UNKNOWN, "no distance");
    assert_string_equal(gb_distance_word(GB_DISTANCE_UNKNOWN), "");
    assert_string_equal(gb_distance_word(GB_DISTANCE_CLOSE), "close-up");
}

static void every_kind_reads_back_from_its_word_and_nothing_else_does(void **state)
{
    (void)state;
    for (int i = 0; i < GB_PLACE_KINDS; i++) {
        GbPlaceKind kind = GB_PLACE_KINDS;
        assert_true(gb_place_kind_from_word(gb_place_kind_word(i), &kind));
        assert_int_equal(kind, i);
    }
    GbPlaceKind kind;
    assert_false(gb_place_kind_from_word("slo", &kind));
    assert_false(gb_place_kind_from_word("Slope", &kind));
    assert_false(gb_place_kind_from_word("", &kind));
}

static void a_label_is_what_is_typed_and_a_title_what_is_read(void **state)
{
    (void)state;
    const struct {
        GbPlaceKind kind;
        const char *structure;
        gboolean dwelling;
        GbFace face;
        const char *room, *label, *title;
    } cases[] = {
        { GB_PLACE_SITE, "", FALSE, GB_FACE_FRONT, NULL, "site", "Site" },
        { GB_PLACE_WHOLE, "dwelling", TRUE, GB_FACE_FRONT, NULL, "dwelling", "Dwelling" },
        { GB_PLACE_ELEVATION, "dwelling", TRUE, GB_FACE_FRONT, NULL, "front", "Front elevation" },
        { GB_PLACE_ROOF, "dwelling", TRUE, GB_FACE_FRONT, NULL, "roof", "Roof" },
        { GB_PLACE_SLOPE, "dwelling", TRUE, GB_FACE_REAR, NULL, "rear slope", "Rear slope" },
        { GB_PLACE_ROOM, "dwelling", TRUE, GB_FACE_FRONT, "kitchen", "kitchen", "Kitchen" },
        { GB_PLACE_ROOM, "dwelling", TRUE, GB_FACE_FRONT, "émail room", "émail room", "Émail room" },
        { GB_PLACE_WHOLE, "fence", FALSE, GB_FACE_FRONT, NULL, "fence", "Fence" },
        { GB_PLACE_ELEVATION, "garage", FALSE, GB_FACE_FRONT, NULL, "garage front", "Garage: front elevation" },
        { GB_PLACE_SLOPE, "garage", FALSE, GB_FACE_LEFT, NULL, "garage left slope", "Garage: left slope" },
        { GB_PLACE_ROOF, "shed 2", FALSE, GB_FACE_LEFT, NULL, "shed 2 roof", "Shed 2: roof" },
        { GB_PLACE_ROOM, "garage", FALSE, GB_FACE_LEFT, "loft", "garage loft", "Garage: loft" },
    };
    for (guint i = 0; i < G_N_ELEMENTS(cases); i++) {
        g_autofree char *label = gb_place_label(cases[i].kind, cases[i].structure, cases[i].dwelling, cases[i].face, cases[i].room);
        g_autofree char *title = gb_place_title(cases[i].kind, cases[i].structure, cases[i].dwelling, cases[i].face, cases[i].room);
        assert_string_equal(label, cases[i].label);
        assert_string_equal(title, cases[i].title);
    }
}

static void an_empty_name_makes_no_crash(void **state)
{
    (void)state;
    g_autofree char *title = gb_place_title(GB_PLACE_WHOLE, "", FALSE, GB_FACE_FRONT, NULL);
    assert_string_equal(title, "");
}

static void the_house_itself_is_the_first_kind_of_structure(void **state)
{
    (void)state;
    const char *const *kinds = gb_structure_kinds();
    assert_string_equal(kinds[0], "dwelling");
    assert_int_equal(g_strv_length((char **)kinds), 8);
}

/* Sixteen points of 22.5 degrees, each named for its middle: the compass rose. */
static void a_compass_point_covers_eleven_and_a_quarter_degrees_to_each_side(void **state)
{
    (void)state;
    const char *const rose[] = { "N", "NNE", "NE", "ENE", "E", "ESE", "SE", "SSE", "S", "SSW", "SW", "WSW", "W", "WNW", "NW", "NNW" };
    for (int i = 0; i < 16; i++) {
        assert_string_equal(gb_compass_point(i * 22.5), rose[i]);
        assert_string_equal(gb_compass_point(i * 22.5 - 11.2), rose[i]);
        assert_string_equal(gb_compass_point(i * 22.5 + 11.2), rose[i]);
        assert_string_equal(gb_compass_point(i * 22.5 - 720), rose[i]);
        assert_string_equal(gb_compass_point(i * 22.5 + 360), rose[i]);
    }
    assert_string_equal(gb_compass_point(359.99), "N");
    assert_string_equal(gb_compass_point(-1e-20), "N");
    assert_string_equal(gb_compass_point(NAN), "");
    assert_string_equal(gb_compass_point(INFINITY), "");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_walk_goes_front_right_rear_left),
        cmocka_unit_test(a_face_is_found_by_its_beginning_and_r_alone_is_unclear),
        cmocka_unit_test(a_distance_is_read_in_any_spelling_but_never_as_unknown),
        cmocka_unit_test(every_kind_reads_back_from_its_word_and_nothing_else_does),
        cmocka_unit_test(a_label_is_what_is_typed_and_a_title_what_is_read),
        cmocka_unit_test(an_empty_name_makes_no_crash),
        cmocka_unit_test(the_house_itself_is_the_first_kind_of_structure),
        cmocka_unit_test(a_compass_point_covers_eleven_and_a_quarter_degrees_to_each_side),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
