/* test_roof_plan.c -- the drawing of a measured roof: well formed, harmless, and the roof that was measured.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "test.h"

#include <gablebook/roof_plan.h>
#include <stdlib.h>
#include <string.h>

static GbRoofEntry *entry_of(GbRoofShape shape, GbFace face, const char *eave, const char *ridge, const char *up, const char *pitch)
{
    GbRoofEntry *entry = gb_roof_entry_new(shape);
    gboolean whole = gb_roof_shape_is_whole(shape);
    const GbRoofGiven what[] = { whole ? GB_GIVEN_WIDTH : GB_GIVEN_EAVE, whole ? GB_GIVEN_DEPTH : GB_GIVEN_RIDGE, whole ? GB_GIVEN_GABLET : GB_GIVEN_UP,
                                 GB_GIVEN_PITCH };
    const char *const texts[] = { eave, ridge, up, pitch };
    entry->id = 1;
    entry->structure = 3;
    entry->structure_name = g_strdup("garage");
    entry->face = face;
    for (guint i = 0; i < G_N_ELEMENTS(texts); i++)
        if (texts[i] != NULL)
            assert_true(gb_roof_entry_take(entry, what[i], texts[i], NULL));
    return entry;
}

static GbRoof *roof_of(GbRoofEntry *a, GbRoofEntry *b)
{
    GPtrArray *entries = g_ptr_array_new();
    GbRoofSettings settings;
    gb_roof_settings_init(&settings);
    g_ptr_array_add(entries, a);
    if (b != NULL)
        g_ptr_array_add(entries, b);
    return gb_roof_new(entries, &settings);
}

/* What a parser of XML finds in a drawing. */
typedef struct {
    guint polygons, lines, texts;
    double area; /* of all polygons, on paper */
    double least_x, most_x, least_y, most_y;
    GString *words; /* all text, a line each */
    gboolean in_text;
} Seen;

static void see_points(Seen *seen, const char *points)
{
    g_auto(GStrv) pairs = g_strsplit(points, " ", -1);
    guint n = g_strv_length(pairs);
    double x[GB_SLOPE_CORNERS], y[GB_SLOPE_CORNERS], twice = 0;
    assert_true(n >= 3 && n <= GB_SLOPE_CORNERS);
    for (guint i = 0; i < n; i++) {
        char *comma = NULL;
        x[i] = g_ascii_strtod(pairs[i], &comma);
        assert_int_equal(*comma, ',');
        y[i] = g_ascii_strtod(comma + 1, NULL);
        seen->least_x = MIN(seen->least_x, x[i]), seen->most_x = MAX(seen->most_x, x[i]);
        seen->least_y = MIN(seen->least_y, y[i]), seen->most_y = MAX(seen->most_y, y[i]);
    }
    for (guint i = 0; i < n; i++)
        twice += x[i] * y[(i + 1) % n] - x[(i + 1) % n] * y[i];
    seen->area += fabs(twice) / 2;
    seen->polygons++;
}

static void start(GMarkupParseContext *context, const char *name, const char **names, const char **values, gpointer user, GError **error)
{
    (void)context, (void)error;
    Seen *seen = user;
    for (guint i = 0; names[i] != NULL; i++)
        if (strcmp(names[i], "points") == 0)
            see_points(seen, values[i]);
    seen->lines += strcmp(name, "line") == 0;
    seen->texts += strcmp(name, "text") == 0;
}

static void text(GMarkupParseContext *context, const char *words, gsize n, gpointer user, GError **error)
{
    (void)context, (void)error;
    g_string_append_len(((Seen *)user)->words, words, (gssize)n);
    g_string_append_c(((Seen *)user)->words, '\n');
}

static Seen look_at(const char *svg)
{
    const GMarkupParser parser = { .start_element = start, .text = text };
    Seen seen = { .least_x = INFINITY, .most_x = -INFINITY, .least_y = INFINITY, .most_y = -INFINITY, .words = g_string_new(NULL) };
    g_autoptr(GError) error = NULL;
    GMarkupParseContext *context = g_markup_parse_context_new(&parser, 0, &seen, NULL);
    g_markup_parse_context_parse(context, svg, -1, &error);
    assert_no_error(error);
    g_markup_parse_context_end_parse(context, &error);
    assert_no_error(error);
    g_markup_parse_context_free(context);
    return seen;
}

/* Slopes that fit together fill the rectangle under the roof, and nothing lies upon another. */
static void a_whole_roof_fills_its_rectangle(void **state)
{
    (void)state;
    const struct { GbRoofShape shape; const char *width, *depth, *gablet; guint slopes, lines; double ratio; } cases[] = {
        { GB_ROOF_HIP, "40'", "30'", NULL, 4, 14, 40.0 / 30 },       { GB_ROOF_HIP, "25'", "44'", NULL, 4, 14, 25.0 / 44 },
        { GB_ROOF_HIP, "30'", "30'", NULL, 4, 12, 1 },               { GB_ROOF_GABLE, "40'", "30'", NULL, 2, 8, 40.0 / 30 },
        { GB_ROOF_DUTCH_GABLE, "40'", "30'", "9'", 4, 20, 40.0 / 30 },
    };
    for (guint i = 0; i < G_N_ELEMENTS(cases); i++) {
        GbRoofEntry *entry = entry_of(cases[i].shape, GB_FACE_FRONT, cases[i].width, cases[i].depth, cases[i].gablet, "8/12");
        g_autoptr(GbRoof) roof = roof_of(entry, NULL);
        g_autofree char *svg = gb_roof_plan_svg(roof, 3, "Roof", GB_UNITS_FEET);
        Seen seen = look_at(svg);
        double width = seen.most_x - seen.least_x, depth = seen.most_y - seen.least_y;
        assert_int_equal(seen.polygons, cases[i].slopes);
        assert_int_equal(seen.lines, cases[i].lines + 1); /* and one in the pattern */
        assert_near(seen.area / (width * depth), 1, 0.003);
        assert_near(width / depth, cases[i].ratio, 0.003);
        g_string_free(seen.words, TRUE);
    }
}

static void slopes_that_do_not_fit_leave_a_gap_to_be_seen(void **state)
{
    (void)state;
    g_autoptr(GbRoof) roof = roof_of(entry_of(GB_ROOF_RECTANGLE, GB_FACE_FRONT, "40'", NULL, "15'", NULL),
                                     entry_of(GB_ROOF_RECTANGLE, GB_FACE_REAR, "30'", NULL, "15'", NULL));
    g_autofree char *svg = gb_roof_plan_svg(roof, 3, "Roof", GB_UNITS_FEET);
    Seen seen = look_at(svg);
    assert_near(seen.area / ((seen.most_x - seen.least_x) * (seen.most_y - seen.least_y)), 35.0 / 40, 0.003);
    assert_non_null(strstr(seen.words->str, "pitch not known, drawn as taped"));
    g_string_free(seen.words, TRUE);
}

static void the_drawing_says_in_words_and_numbers_what_it_shows(void **state)
{
    (void)state;
    g_autoptr(GbRoof) roof = roof_of(entry_of(GB_ROOF_GABLE, GB_FACE_FRONT, "24'", "20'", NULL, "9/12"), NULL);
    g_autofree char *svg = gb_roof_plan_svg(roof, 3, "Roof of the garage", GB_UNITS_FEET);
    assert_non_null(strstr(svg, "role=\"img\" aria-labelledby=\"roof-3-title roof-3-desc\""));
    assert_non_null(strstr(svg, "<title id=\"roof-3-title\">Roof of the garage</title>"));
    assert_non_null(strstr(svg, "1: garage front slope, 300.0 sq ft, 9/12, steep. 2: garage rear slope, 300.0 sq ft, 9/12, steep.</desc>"));
    assert_non_null(strstr(svg, ">24' 0&quot;</text>") ? svg : strstr(svg, ">24&#39; 0&quot;</text>"));
    assert_non_null(strstr(svg, "fill=\"url(#roof-3-steep)\"")); /* hatched, not coloured */
    assert_null(strstr(svg, "color=\""));
    g_autofree char *metric = gb_roof_plan_svg(roof, 3, "Roof", GB_UNITS_METRES);
    assert_non_null(strstr(metric, ">7.32 m</text>")); /* 24 ft x 0.3048 */
}

static void hostile_names_stay_text(void **state)
{
    (void)state;
    GbRoofEntry *entry = entry_of(GB_ROOF_RECTANGLE, GB_FACE_FRONT, "24'", NULL, "10'", "9/12"), *wing = entry_of(GB_ROOF_RECTANGLE, GB_FACE_REAR, "24'", NULL, "10'", NULL);
    g_free(entry->structure_name);
    entry->structure_name = g_strdup("</desc><script>alert(1)</script>");
    g_free(wing->section);
    wing->section = g_strdup("\"><script>&");
    g_autoptr(GbRoof) roof = roof_of(entry, wing);
    g_autofree char *svg = gb_roof_plan_svg(roof, 3, "<b>&", GB_UNITS_FEET);
    assert_null(strstr(svg, "<script"));
    assert_null(strstr(svg, "<b>"));
    Seen seen = look_at(svg);
    assert_non_null(strstr(seen.words->str, "\"><script>&, front"));
    g_string_free(seen.words, TRUE);
}

static void what_is_cut_out_is_drawn_on_its_slope_and_both_keep_their_numbers(void **state)
{
    (void)state;
    GbRoofEntry *hole = entry_of(GB_ROOF_RECTANGLE, GB_FACE_FRONT, "4'", NULL, "3'", "9/12");
    hole->cut_out = TRUE;
    gb_roof_entry_usual_edges(hole);
    g_autoptr(GbRoof) roof = roof_of(entry_of(GB_ROOF_GABLE, GB_FACE_FRONT, "24'", "20'", NULL, "9/12"), hole);
    g_autofree char *svg = gb_roof_plan_svg(roof, 3, "Roof", GB_UNITS_FEET);
    Seen seen = look_at(svg);
    assert_int_equal(seen.polygons, 3);
    assert_non_null(strstr(seen.words->str, "\n1\n"));
    assert_non_null(strstr(seen.words->str, "\n2\n"));
    assert_non_null(strstr(seen.words->str, "\n3\n"));
    g_string_free(seen.words, TRUE);
}

static void nothing_measured_draws_nothing(void **state)
{
    (void)state;
    g_autoptr(GbRoof) roof = roof_of(entry_of(GB_ROOF_GABLE, GB_FACE_FRONT, "24'", "20'", NULL, "9/12"), NULL);
    assert_null(gb_roof_plan_svg(roof, 4, "Roof", GB_UNITS_FEET));
    g_autoptr(GbRoof) broken = roof_of(entry_of(GB_ROOF_TRAPEZOID, GB_FACE_FRONT, "24'", NULL, NULL, "9/12"), NULL);
    assert_null(gb_roof_plan_svg(broken, 3, "Roof", GB_UNITS_FEET));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_whole_roof_fills_its_rectangle),
        cmocka_unit_test(slopes_that_do_not_fit_leave_a_gap_to_be_seen),
        cmocka_unit_test(the_drawing_says_in_words_and_numbers_what_it_shows),
        cmocka_unit_test(hostile_names_stay_text),
        cmocka_unit_test(what_is_cut_out_is_drawn_on_its_slope_and_both_keep_their_numbers),
        cmocka_unit_test(nothing_measured_draws_nothing),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
