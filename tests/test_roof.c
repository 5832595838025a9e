/* test_roof.c -- slopes and whole roofs: published examples, and the same solids computed from corners in space.
 *
 * The worked shapes (40 x 30 ft and so on) are recomputed from the area and hip multipliers (source named at each); the solids
 * in space know neither pitch multiplier nor trigonometry: corners, cross products, distances.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "test.h"

#include <gablebook/error.h>
#include <gablebook/measure.h>
#include <gablebook/roof.h>
#include <string.h>

/* --- making roofs --- */

static void take(GbRoofEntry *entry, GbRoofGiven given, const char *text)
{
    g_autoptr(GError) error = NULL;
    gb_roof_entry_take(entry, given, text, &error);
    assert_no_error(error);
}

/* "eave 40 ft; up 16.771 ft": what is given of an entry. */
static void take_all(GbRoofEntry *entry, const char *givens)
{
    g_auto(GStrv) parts = g_strsplit(givens, "; ", -1);
    for (char **part = parts; *part != NULL; part++) {
        char *value = strchr(*part, '=');
        assert_non_null(value);
        *value++ = '\0';
        GbRoofGiven given;
        assert_true(gb_roof_given_from_word(*part, &given));
        take(entry, given, value);
    }
}

static GbRoofEntry *entry_of(GbRoofShape shape, const char *givens)
{
    GbRoofEntry *entry = gb_roof_entry_new(shape);
    entry->id = 1;
    entry->structure = 1;
    entry->on_dwelling = TRUE;
    entry->structure_name = g_strdup("dwelling");
    for (int f = 0; f < GB_FACES; f++)
        entry->places[f] = 10 + f;
    take_all(entry, givens);
    return entry;
}

static GbRoofEntry *slope_of(GbFace face, GbRoofShape shape, const char *givens)
{
    GbRoofEntry *entry = entry_of(shape, givens);
    entry->face = face;
    return entry;
}

/* Entries up to NULL, numbered from 1. */
static GbRoof *roof_of(GbRoofEntry *first, ...)
{
    GPtrArray *entries = g_ptr_array_new();
    va_list more;
    va_start(more, first);
    for (GbRoofEntry *entry = first; entry != NULL; entry = va_arg(more, GbRoofEntry *)) {
        g_ptr_array_add(entries, entry);
        entry->id = entries->len;
    }
    va_end(more);
    GbRoofSettings settings;
    gb_roof_settings_init(&settings);
    return gb_roof_new(entries, &settings);
}

static const GbRoofSlope *slope_at(const GbRoof *roof, guint i)
{
    assert_true(i < roof->slopes->len);
    return roof->slopes->pdata[i];
}

static double amount(const GbRoof *roof, GbRoofQuantity quantity)
{
    g_autoptr(GError) error = NULL;
    double number = NAN;
    gb_roof_quantity(roof, 1, 0, quantity, &number, &error);
    assert_no_error(error);
    return number;
}

static void no_faults(const GbRoof *roof)
{
    if (roof->faults->len > 0)
        fail_msg("%s", ((const GbRoofFault *)roof->faults->pdata[0])->text);
}

/* Exactly one fault, and it says that. */
static void one_fault(const GbRoof *roof, const char *text)
{
    if (roof->faults->len != 1)
        fail_msg("%u faults, the first: %s", roof->faults->len, roof->faults->len == 0 ? "" : ((GbRoofFault *)roof->faults->pdata[0])->text);
    assert_string_equal(((const GbRoofFault *)roof->faults->pdata[0])->text, text);
}

static void refused(GbRoofEntry *taken, const char *part)
{
    g_autoptr(GbRoofEntry) entry = taken;
    g_autoptr(GError) error = NULL;
    assert_false(gb_roof_entry_check(entry, &error));
    assert_error(error, GB_ERROR_SYNTAX, part);
}

/* --- worked shapes --- */

/* Source: worked shapes, recomputed: any roof of one pitch has plan area x sqrt(1 + (rise/12)^2); 6/12: x 1.1180 (published multiplier). */
static void a_gable_of_40_by_30_at_6_in_12_is_13_42_squares(void **state)
{
    (void)state;
    g_autoptr(GbRoof) roof = roof_of(entry_of(GB_ROOF_GABLE, "width=40 ft; depth=30 ft; pitch=6/12"), NULL);
    no_faults(roof);
    assert_int_equal(roof->slopes->len, 2);
    assert_near(slope_at(roof, 0)->area_sqft, 670.82, 0.005);
    assert_near(slope_at(roof, 0)->up_in / 12, 16.771, 0.0005);
    assert_near(amount(roof, GB_QUANTITY_AREA), 1341.64, 0.005);
    assert_near(amount(roof, GB_QUANTITY_SQUARES), 13.42, 0.005);
    assert_near(amount(roof, GB_QUANTITY_RIDGE), 40, 1e-9);
    assert_near(amount(roof, GB_QUANTITY_EAVES), 80, 1e-9);
    assert_near(amount(roof, GB_QUANTITY_RAKES), 67.08, 0.005);
    assert_near(amount(roof, GB_QUANTITY_DRIP_EDGE), 147.08, 0.005);
    assert_near(amount(roof, GB_QUANTITY_STARTER), 80, 1e-9);
    assert_near(amount(roof, GB_QUANTITY_HIPS), 0, 0);
    assert_near(amount(roof, GB_QUANTITY_VALLEYS), 0, 0);
}

/* Source: the same list, hip roof. */
static void a_hip_roof_of_40_by_30_has_a_ridge_of_10_and_90_feet_of_hips(void **state)
{
    (void)state;
    g_autoptr(GbRoof) roof = roof_of(entry_of(GB_ROOF_HIP, "width=40 ft; depth=30 ft; pitch=6/12"), NULL);
    no_faults(roof);
    assert_int_equal(roof->slopes->len, 4);
    const double areas[] = { 419.26, 251.56, 419.26, 251.56 }; /* front, right, rear, left */
    for (guint i = 0; i < 4; i++) {
        assert_int_equal(slope_at(roof, i)->face, i);
        assert_near(slope_at(roof, i)->area_sqft, areas[i], 0.005);
        assert_int_equal(slope_at(roof, i)->n, i % 2 == 0 ? 4 : 3);
    }
    assert_near(amount(roof, GB_QUANTITY_AREA), 1341.64, 0.005);
    assert_near(amount(roof, GB_QUANTITY_RIDGE), 10, 1e-9);
    assert_near(amount(roof, GB_QUANTITY_HIPS), 90, 1e-9);
    assert_near(amount(roof, GB_QUANTITY_EAVES), 140, 1e-9);
    assert_near(amount(roof, GB_QUANTITY_RIDGE_AND_HIPS), 100, 1e-9);
    assert_near(amount(roof, GB_QUANTITY_DRIP_EDGE), 140, 1e-9);
}

/* Source: the same list, dutch gable with the gablet 9 ft in from the end eaves. */
static void a_dutch_gable_of_40_by_30_has_both_hips_and_rakes(void **state)
{
    (void)state;
    g_autoptr(GbRoof) roof = roof_of(entry_of(GB_ROOF_DUTCH_GABLE, "width=40 ft; depth=30 ft; pitch=6/12; gablet=9 ft"), NULL);
    no_faults(roof);
    const double areas[] = { 459.51, 211.31, 459.51, 211.31 };
    for (guint i = 0; i < 4; i++)
        assert_near(slope_at(roof, i)->area_sqft, areas[i], 0.005);
    assert_near(amount(roof, GB_QUANTITY_AREA), 1341.64, 0.005);
    assert_near(amount(roof, GB_QUANTITY_RIDGE), 22, 1e-9);
    assert_near(amount(roof, GB_QUANTITY_HIPS), 54, 1e-9);
    assert_near(amount(roof, GB_QUANTITY_RAKES), 26.83, 0.005);
    assert_near(amount(roof, GB_QUANTITY_WALLS), 24, 1e-9); /* the end slopes stop at two gablets 12 ft wide */
}

/* Source: the same list; its hips are the published example of NAVEDTRA 14044, ch. 2: 8 in 12, run 15 ft, hip 23.45 ft. */
static void a_pyramid_of_30_by_30_at_8_in_12_has_the_published_hips(void **state)
{
    (void)state;
    g_autoptr(GbRoof) roof = roof_of(entry_of(GB_ROOF_HIP, "width=30 ft; depth=30 ft; pitch=8/12"), NULL);
    no_faults(roof);
    for (guint i = 0; i < 4; i++)
        assert_near(slope_at(roof, i)->area_sqft, 270.42, 0.005);
    assert_near(amount(roof, GB_QUANTITY_AREA), 1081.67, 0.005);
    assert_near(amount(roof, GB_QUANTITY_HIPS) / 4, 23.45, 0.005);
    assert_near(amount(roof, GB_QUANTITY_RIDGE), 0, 0);
}

/* Source: the same list (a 3-4-5 triangle: 10 ft of run, 12.5 up). */
static void a_gable_of_24_by_20_at_9_in_12_is_600_square_feet(void **state)
{
    (void)state;
    g_autoptr(GbRoof) roof = roof_of(entry_of(GB_ROOF_GABLE, "width=24 ft; depth=20 ft; pitch=9/12"), NULL);
    assert_near(amount(roof, GB_QUANTITY_AREA), 600, 1e-9);
    assert_near(slope_at(roof, 1)->up_in, 150, 1e-9);
}

/* Source: US Navy NAVEDTRA 14044, ch. 2: 7 in 12, span 16 ft: common rafter 9 ft 3 1/8 in. */
static void the_navys_rafter_is_a_slope_from_run_and_pitch(void **state)
{
    (void)state;
    g_autoptr(GbRoof) roof = roof_of(slope_of(GB_FACE_FRONT, GB_ROOF_RECTANGLE, "eave=20 ft; run=8 ft; pitch=7/12"), NULL);
    g_autofree char *up = gb_length_text(slope_at(roof, 0)->up_in, GB_UNITS_FEET);
    assert_string_equal(up, "9' 3 1/8\"");
}

/* Source: public slope-factor page (weak): 6 in 12, 5 000 sq ft in plan x 1.118 = 5 590. */
static void a_plan_of_5000_square_feet_at_6_in_12_is_5590_of_roof(void **state)
{
    (void)state;
    g_autoptr(GbRoof) roof = roof_of(entry_of(GB_ROOF_HIP, "width=100 ft; depth=50 ft; pitch=6/12"), NULL);
    assert_near(amount(roof, GB_QUANTITY_AREA), 5590, 0.5);
}

/* Source: the same list as the first: gable wing 20 ft wide, same pitch 6/12: valleys 15.0 ft each, and it covers 100 sq ft of the main
 * plan, whose place it takes one for one. Here the wing stands out 10 ft from a 40 x 30 gable, so the ridge of the wing is 20 ft. */
static void a_wing_takes_the_place_of_what_it_covers(void **state)
{
    (void)state;
    const double m = sqrt(1.25);
    GbRoofEntry *left = slope_of(GB_FACE_LEFT, GB_ROOF_TRAPEZOID, "eave=10 ft; ridge=20 ft; run=10 ft; pitch=6/12");
    GbRoofEntry *right = slope_of(GB_FACE_RIGHT, GB_ROOF_TRAPEZOID, "eave=10 ft; ridge=20 ft; run=10 ft; pitch=6/12");
    GbRoofEntry *hole = slope_of(GB_FACE_FRONT, GB_ROOF_TRIANGLE, "eave=20 ft; run=10 ft; pitch=6/12");
    GbRoofEntry *wing[] = { left, right };
    for (guint i = 0; i < 2; i++) {
        g_free(wing[i]->section);
        wing[i]->section = g_strdup("wing");
    }
    left->left = GB_EDGE_VALLEY, left->right = GB_EDGE_RAKE; /* seen from the left, the street is on the right */
    right->right = GB_EDGE_VALLEY, right->left = GB_EDGE_RAKE;
    hole->cut_out = TRUE;
    gb_roof_entry_usual_edges(hole);
    g_autoptr(GbRoof) roof = roof_of(entry_of(GB_ROOF_GABLE, "width=40 ft; depth=30 ft; pitch=6/12"), hole, left, right, NULL);
    no_faults(roof);
    assert_near(amount(roof, GB_QUANTITY_AREA), (40 * 30 + 20 * 10) * m, 1e-6); /* plan area x m, whatever stands where */
    assert_near(amount(roof, GB_QUANTITY_VALLEYS), 30, 1e-9);
    assert_near(amount(roof, GB_QUANTITY_RIDGE), 60, 1e-9);
    assert_near(amount(roof, GB_QUANTITY_EAVES), 80 - 20 + 20, 1e-9);
    assert_near(slope_at(roof, 1)->area_sqft, 100 * m, 1e-9); /* the hole, behind the front slope it is cut out of */
    g_autoptr(GError) error = NULL;
    double front = NAN;
    assert_true(gb_roof_quantity(roof, 1, 10 + GB_FACE_FRONT, GB_QUANTITY_AREA, &front, &error));
    assert_near(front, 500 * m, 1e-9);
    assert_true(gb_roof_quantity(roof, 1, 10 + GB_FACE_FRONT, GB_QUANTITY_EAVES, &front, &error));
    assert_near(front, 20, 1e-9);
}

/* --- the same solids from corners in space --- */

typedef struct { double x, y, z; } Point;

static Point minus(Point a, Point b)
{
    return (Point){ a.x - b.x, a.y - b.y, a.z - b.z };
}

static double size(Point a)
{
    return sqrt(a.x * a.x + a.y * a.y + a.z * a.z);
}

static Point cross(Point a, Point b)
{
    return (Point){ a.y * b.z - a.z * b.y, a.z * b.x - a.x * b.z, a.x * b.y - a.y * b.x };
}

/* Area of a flat polygon in space: half the length of the sum of cross products. */
static double area_of(const Point *corners, guint n)
{
    Point sum = { 0, 0, 0 };
    for (guint i = 1; i + 1 < n; i++) {
        Point c = cross(minus(corners[i], corners[0]), minus(corners[i + 1], corners[0]));
        sum = (Point){ sum.x + c.x, sum.y + c.y, sum.z + c.z };
    }
    return size(sum) / 2;
}

/* A roof over 0..w along the street, 0..d from front to rear, ridge along the street, height h: the corners of its slopes. */
static void a_hip_roof_is_the_solid_of_its_corners(void **state)
{
    (void)state;
    for (double w = 24; w < 70; w += 11.25)
        for (double d = 20; d <= w; d += 9.5)
            for (double rise = 1.5; rise < 20; rise += 3.7) {
                const double h = d / 2 * rise / 12;
                const Point a = { 0, 0, 0 }, b = { w, 0, 0 }, c = { w, d, 0 }, r1 = { d / 2, d / 2, h }, r2 = { w - d / 2, d / 2, h };
                const Point front[] = { a, b, r2, r1 }, right[] = { b, c, r2 };
                g_autofree char *givens = g_strdup_printf("width=%.3f ft; depth=%.3f ft; pitch=%.3f/12", w, d, rise);
                g_autoptr(GbRoof) roof = roof_of(entry_of(GB_ROOF_HIP, givens), NULL);
                no_faults(roof);
                assert_near(slope_at(roof, 0)->area_sqft, area_of(front, 4), 1e-6);
                assert_near(slope_at(roof, 1)->area_sqft, area_of(right, 3), 1e-6);
                assert_near(amount(roof, GB_QUANTITY_HIPS), 4 * size(minus(r1, a)), 1e-6);
                assert_near(amount(roof, GB_QUANTITY_RIDGE), size(minus(r2, r1)), 1e-6);
            }
}

static void a_dutch_gable_is_the_solid_of_its_corners(void **state)
{
    (void)state;
    const double w = 46.5, d = 28, oh = 1.5, W = w + 2 * oh, D = d + 2 * oh;
    for (double g = 1; g < D / 2; g += 2.3)
        for (double rise = 2; rise < 18; rise += 3.5) {
            const double h = D / 2 * rise / 12, s = g * rise / 12;
            const Point a = { 0, 0, 0 }, b = { W, 0, 0 }, c = { W, D, 0 }, s1 = { g, g, s }, s2 = { W - g, g, s }, s3 = { W - g, D - g, s },
                        r1 = { g, D / 2, h }, r2 = { W - g, D / 2, h };
            const Point front[] = { a, b, s2, r2, r1, s1 }, right[] = { b, c, s3, s2 };
            g_autofree char *givens = g_strdup_printf("width=%.3f ft; depth=%.3f ft; overhang=%.3f ft; pitch=%.3f/12; gablet=%.3f ft", w, d, oh, rise, g);
            g_autoptr(GbRoof) roof = roof_of(entry_of(GB_ROOF_DUTCH_GABLE, givens), NULL);
            no_faults(roof);
            assert_near(slope_at(roof, 0)->area_sqft, area_of(front, 6), 1e-6);
            assert_near(slope_at(roof, 1)->area_sqft, area_of(right, 4), 1e-6);
            assert_near(amount(roof, GB_QUANTITY_HIPS), 4 * size(minus(s1, a)), 1e-6);
            assert_near(amount(roof, GB_QUANTITY_RAKES), 4 * size(minus(r1, s1)), 1e-6);
            assert_near(amount(roof, GB_QUANTITY_RIDGE), size(minus(r2, r1)), 1e-6);
            assert_near(amount(roof, GB_QUANTITY_WALLS), 2 * size(minus(s3, s2)), 1e-6);
        }
}

static void a_gable_with_overhangs_is_the_solid_of_its_corners_whichever_way_it_runs(void **state)
{
    (void)state;
    const double w = 31.25, d = 44, eave = 1.5, rake = 0.75, rise = 7.5;
    const double W = w + 2 * eave, D = d + 2 * rake, h = W / 2 * rise / 12; /* the ridge runs to the rear */
    const Point left[] = { { 0, D, 0 }, { 0, 0, 0 }, { W / 2, 0, h }, { W / 2, D, h } };
    GbRoofEntry *entry = entry_of(GB_ROOF_GABLE, "width=31.25 ft; depth=44 ft; overhang=18 in; rake overhang=9 in; pitch=7 1/2:12");
    entry->ridge_to_rear = TRUE;
    g_autoptr(GbRoof) roof = roof_of(entry, NULL);
    no_faults(roof);
    assert_int_equal(slope_at(roof, 0)->face, GB_FACE_RIGHT);
    assert_int_equal(slope_at(roof, 1)->face, GB_FACE_LEFT);
    assert_near(slope_at(roof, 1)->area_sqft, area_of(left, 4), 1e-6);
    assert_near(amount(roof, GB_QUANTITY_RAKES), 4 * size(minus(left[2], left[1])), 1e-6);
    assert_near(amount(roof, GB_QUANTITY_EAVES), 2 * D, 1e-9);
    assert_near(amount(roof, GB_QUANTITY_RIDGE), D, 1e-9);
}

/* As on an L-shaped hip roof of one pitch: at one end of the eave a hip leads in, at the other a valley leads out. */
static void a_slope_between_a_hip_and_a_valley_is_the_parallelogram_in_space(void **state)
{
    (void)state;
    /* eave from (0,0,0) to (12,0,0); the run is 9; at the left a hip leads in by 9, at the right a valley leads out by 9 */
    const double run = 9, rise = 8, h = run * rise / 12;
    const Point corners[] = { { 0, 0, 0 }, { 12, 0, 0 }, { 12 + run, run, h }, { run, run, h } };
    GbRoofEntry *entry = slope_of(GB_FACE_FRONT, GB_ROOF_PARALLELOGRAM, "eave=12 ft; run=9 ft; pitch=8/12");
    entry->left = GB_EDGE_HIP, entry->right = GB_EDGE_VALLEY;
    g_autoptr(GbRoof) roof = roof_of(entry, NULL);
    assert_near(slope_at(roof, 0)->area_sqft, area_of(corners, 4), 1e-9);
    assert_near(amount(roof, GB_QUANTITY_HIPS), size(minus(corners[3], corners[0])), 1e-9);
    assert_near(amount(roof, GB_QUANTITY_VALLEYS), size(minus(corners[2], corners[1])), 1e-9);
    assert_int_equal(roof->faults->len, 3); /* ridge, hip and valley have no other side yet */
}

/* --- slopes by what was measured --- */

/* Source: the worked shapes: triangle from eave 30 and 16.771 up: 251.56 (half base x height). */
static void a_triangle_is_the_same_from_height_plan_or_three_sides(void **state)
{
    (void)state;
    const char *const ways[] = { "eave=30 ft; up=16.771 ft", "eave=30 ft; run=15 ft; pitch=6/12", "eave=30 ft; left=22.5 ft; right=22.5 ft" };
    for (guint i = 0; i < G_N_ELEMENTS(ways); i++) {
        g_autoptr(GbRoof) roof = roof_of(slope_of(GB_FACE_RIGHT, GB_ROOF_TRIANGLE, ways[i]), NULL);
        assert_near(slope_at(roof, 0)->area_sqft, 251.56, 0.005);
        assert_near(slope_at(roof, 0)->edges[1].length_in, 270, 0.01);
    }
}

static void a_pitch_follows_from_height_and_run(void **state)
{
    (void)state;
    g_autoptr(GbRoof) roof = roof_of(slope_of(GB_FACE_FRONT, GB_ROOF_RECTANGLE, "eave=24 ft; up=12.5 ft; run=10 ft"), NULL);
    assert_near(slope_at(roof, 0)->pitch, 9, 1e-9);
    g_autoptr(GbRoof) unknown = roof_of(slope_of(GB_FACE_FRONT, GB_ROOF_RECTANGLE, "eave=24 ft; up=12.5 ft"), NULL);
    assert_near(slope_at(unknown, 0)->pitch, NAN, 0);
    assert_int_equal(slope_at(unknown, 0)->band, -1);
}

/* Source: law of cosines for the height (16.771 ft), then as above: 12 sqrt(16.771^2 - 15^2) / 15 = 6. */
static void the_pitch_of_a_triangle_of_three_sides_follows_from_its_run(void **state)
{
    (void)state;
    g_autoptr(GbRoof) roof = roof_of(slope_of(GB_FACE_RIGHT, GB_ROOF_TRIANGLE, "eave=30 ft; left=22.5 ft; right=22.5 ft; run=15 ft"), NULL);
    assert_near(slope_at(roof, 0)->pitch, 6, 0.001);
    assert_int_equal(slope_at(roof, 0)->band, 0);
}

static void a_rake_beside_a_hip_leaves_all_the_lean_to_the_hip(void **state)
{
    (void)state;
    GbRoofEntry *entry = slope_of(GB_FACE_FRONT, GB_ROOF_TRAPEZOID, "eave=40 ft; ridge=25 ft; run=15 ft; pitch=6/12");
    entry->left = GB_EDGE_RAKE;
    g_autoptr(GbRoof) roof = roof_of(entry, NULL);
    assert_near(amount(roof, GB_QUANTITY_RAKES), 16.771, 0.0005);
    assert_near(amount(roof, GB_QUANTITY_HIPS), 22.5, 1e-9);
}

static void a_triangle_may_stand_on_its_point_between_two_valleys(void **state)
{
    (void)state;
    GbRoofEntry *entry = slope_of(GB_FACE_FRONT, GB_ROOF_TRIANGLE, "ridge=20 ft; run=10 ft; pitch=6/12");
    entry->left = entry->right = GB_EDGE_VALLEY;
    g_autoptr(GbRoof) roof = roof_of(entry, NULL);
    assert_near(amount(roof, GB_QUANTITY_VALLEYS), 30, 1e-9);
    assert_near(amount(roof, GB_QUANTITY_RIDGE), 20, 1e-9);
    assert_near(amount(roof, GB_QUANTITY_EAVES), 0, 0);
    assert_near(amount(roof, GB_QUANTITY_AREA), 100 * sqrt(1.25), 1e-9);
}

static void a_skylight_comes_off_the_area_and_adds_its_curb(void **state)
{
    (void)state;
    GbRoofEntry *skylight = slope_of(GB_FACE_REAR, GB_ROOF_RECTANGLE, "eave=4 ft; up=5 ft");
    skylight->cut_out = TRUE;
    gb_roof_entry_usual_edges(skylight);
    g_autoptr(GbRoof) roof = roof_of(entry_of(GB_ROOF_GABLE, "width=40 ft; depth=30 ft; pitch=6/12"), skylight, NULL);
    no_faults(roof);
    assert_near(amount(roof, GB_QUANTITY_AREA), 1341.64 - 20, 0.005);
    assert_near(amount(roof, GB_QUANTITY_WALLS), 18, 1e-9);
    assert_near(amount(roof, GB_QUANTITY_EAVES), 80, 1e-9);
}

static void what_cannot_be_computed_is_refused_in_one_sentence(void **state)
{
    (void)state;
    refused(slope_of(GB_FACE_FRONT, GB_ROOF_RECTANGLE, "up=12 ft"), "a rectangle needs the length of its eave");
    refused(slope_of(GB_FACE_FRONT, GB_ROOF_RECTANGLE, "eave=12 ft; run=10 ft"), "a rectangle needs how far it goes up the slope, or its run seen from above and its pitch");
    refused(slope_of(GB_FACE_FRONT, GB_ROOF_TRAPEZOID, "eave=12 ft; up=10 ft"), "a trapezoid needs its eave and its ridge");
    refused(slope_of(GB_FACE_FRONT, GB_ROOF_TRIANGLE, "eave=12 ft; ridge=3 ft; up=10 ft"), "not both; with both it is a trapezoid");
    refused(slope_of(GB_FACE_FRONT, GB_ROOF_TRIANGLE, "eave=30 ft; left=10 ft; right=12 ft"), "no triangle has sides of 30' 0\", 10' 0\" and 12' 0\"");
    refused(slope_of(GB_FACE_FRONT, GB_ROOF_PARALLELOGRAM, "eave=12 ft; up=10 ft"), "a parallelogram with a rake and a rake needs the length of its left side");
    refused(slope_of(GB_FACE_FRONT, GB_ROOF_RECTANGLE, "eave=12 ft; up=10 ft; gablet=2 ft"), "a rectangle has no gablet of its own");
    refused(entry_of(GB_ROOF_HIP, "width=40 ft; pitch=6/12"), "a whole roof needs the width and the depth of its walls and its pitch");
    refused(entry_of(GB_ROOF_HIP, "width=40 ft; depth=30 ft; pitch=6/12; rake overhang=1 ft"), "a hip roof has no rake overhang of its own");
    refused(entry_of(GB_ROOF_GABLE, "width=40 ft; depth=30 ft; pitch=6/12; eave=1 ft"), "a gable roof has no eave of its own");
    refused(entry_of(GB_ROOF_DUTCH_GABLE, "width=40 ft; depth=30 ft; pitch=6/12"), "needs how far its small gables stand in");
    refused(entry_of(GB_ROOF_DUTCH_GABLE, "width=40 ft; depth=30 ft; pitch=6/12; gablet=15 ft"), "less than 15' 0\" from the end eaves");
    GbRoofEntry *entry = slope_of(GB_FACE_FRONT, GB_ROOF_RECTANGLE, "eave=12 ft; up=10 ft");
    entry->left = GB_EDGE_EAVE;
    refused(entry, "an eave can't be the side of a slope");
    entry = slope_of(GB_FACE_FRONT, GB_ROOF_RECTANGLE, "eave=12 ft; up=10 ft");
    entry->given[GB_GIVEN_EAVE].number = -5; /* as a foreign claim.db may have it */
    refused(entry, "what is written for 'eave' is no length that a roof has");
    entry = slope_of(GB_FACE_FRONT, GB_ROOF_RECTANGLE, "eave=12 ft; up=10 ft");
    entry->given[GB_GIVEN_UP].number = INFINITY;
    refused(entry, "what is written for 'up' is no length that a roof has");
}

/* Whatever is measured, also nonsense: it is refused, or it is a polygon with the area of a trapezoid (half the sum of its level edges times its
 * height) and finite edges; never a crash, a hang or a number that is none. */
static void any_measurements_are_refused_or_make_a_trapezoid(void **state)
{
    (void)state;
    GRand *random = g_rand_new_with_seed(1911);
    guint computed = 0;
    for (guint i = 0; i < 20000; i++) {
        g_autoptr(GbRoofEntry) entry = gb_roof_entry_new((GbRoofShape)g_rand_int_range(random, 0, GB_ROOF_SHAPES));
        gboolean whole = gb_roof_shape_is_whole(entry->shape);
        entry->face = (GbFace)g_rand_int_range(random, 0, GB_FACES);
        entry->cut_out = g_rand_int_range(random, 0, 4) == 0;
        entry->ridge_to_rear = g_rand_boolean(random);
        if (g_rand_boolean(random)) {
            entry->left = (GbEdge)g_rand_int_range(random, 0, GB_EDGES);
            entry->right = (GbEdge)g_rand_int_range(random, 0, GB_EDGES);
        }
        for (guint g = 0; g < GB_ROOF_GIVENS; g++)
            if (g_rand_int_range(random, 0, 3) > 0 && (g == GB_GIVEN_PITCH || (g >= GB_GIVEN_WIDTH) == whole) &&
                (g != GB_GIVEN_RAKE_OVERHANG || entry->shape == GB_ROOF_GABLE) && (g != GB_GIVEN_GABLET || entry->shape == GB_ROOF_DUTCH_GABLE)) {
                entry->given[g].text = g_strdup("x");
                entry->given[g].number = g == GB_GIVEN_PITCH ? g_rand_double_range(random, 0, 24) : g_rand_double_range(random, 1, 900);
            }
        GPtrArray *entries = g_ptr_array_new();
        g_ptr_array_add(entries, g_steal_pointer(&entry));
        GbRoofSettings settings;
        gb_roof_settings_init(&settings);
        g_autoptr(GbRoof) roof = gb_roof_new(entries, &settings);
        for (guint s = 0; s < roof->slopes->len; s++) {
            const GbRoofSlope *slope = slope_at(roof, s);
            double level = 0;
            computed++;
            assert_true(slope->n >= 3 && slope->n <= GB_SLOPE_CORNERS);
            for (guint e = 0; e < slope->n; e++) {
                guint next = (e + 1) % slope->n;
                assert_true(isfinite(slope->edges[e].length_in) && slope->edges[e].length_in >= 0);
                if (fabs(slope->y_in[e] - slope->y_in[next]) < 1e-9)
                    level += fabs(slope->x_in[e] - slope->x_in[next]);
            }
            assert_true(isfinite(slope->area_sqft) && slope->area_sqft > 0);
            if (slope->n < GB_SLOPE_CORNERS) /* a dutch gable's main slope is two trapezoids */
                assert_near(slope->area_sqft, level / 2 * slope->up_in / 144, 1e-6 * slope->area_sqft);
        }
    }
    g_rand_free(random);
    assert_true(computed > 3000);
}

static void an_entry_that_cannot_be_computed_does_not_spoil_the_others(void **state)
{
    (void)state;
    g_autoptr(GbRoof) roof = roof_of(slope_of(GB_FACE_LEFT, GB_ROOF_TRAPEZOID, "eave=3 ft"),
                                     entry_of(GB_ROOF_GABLE, "width=24 ft; depth=20 ft; pitch=9/12"), NULL);
    one_fault(roof, "roof entry 1 can't be computed: a trapezoid needs its eave and its ridge");
    assert_near(amount(roof, GB_QUANTITY_AREA), 600, 1e-9);
}

/* --- contradictions --- */

static void a_height_that_does_not_fit_run_and_pitch_is_pointed_out(void **state)
{
    (void)state;
    GbRoofEntry *rear = slope_of(GB_FACE_REAR, GB_ROOF_RECTANGLE, "eave=40 ft; up=16' 9\"");
    g_autoptr(GbRoof) roof = roof_of(slope_of(GB_FACE_FRONT, GB_ROOF_RECTANGLE, "eave=40 ft; up=18 ft; run=15 ft; pitch=6/12"), rear, NULL);
    one_fault(roof, "front slope: 18' 0\" up the slope doesn't fit a run of 15' 0\" at its pitch, which makes 16' 9 1/4\"");
    assert_near(slope_at(roof, 0)->up_in, 216, 0); /* what was taped is kept */
}

static void a_height_less_than_its_run_is_pointed_out(void **state)
{
    (void)state;
    GbRoofEntry *rear = slope_of(GB_FACE_REAR, GB_ROOF_RECTANGLE, "eave=40 ft; up=14 ft");
    g_autoptr(GbRoof) roof = roof_of(slope_of(GB_FACE_FRONT, GB_ROOF_RECTANGLE, "eave=40 ft; up=14 ft; run=15 ft"), rear, NULL);
    one_fault(roof, "front slope: 14' 0\" up the slope can't be less than its run of 15' 0\" seen from above");
}

static void a_rectangle_with_two_widths_is_pointed_out(void **state)
{
    (void)state;
    GbRoofEntry *rear = slope_of(GB_FACE_REAR, GB_ROOF_RECTANGLE, "ridge=38 ft; up=14 ft");
    g_autoptr(GbRoof) roof = roof_of(slope_of(GB_FACE_FRONT, GB_ROOF_RECTANGLE, "eave=40 ft; ridge=38 ft; up=14 ft"), rear, NULL);
    one_fault(roof, "front slope: its shape has an eave and a ridge alike, but they are 40' 0\" and 38' 0\"");
}

/* By hand: over 201 in of height, sides of 312 and 270 in stand on 238.6 + 180.3 = 418.9 in; the eave is 360. Taking half of the difference from
 * each foot leaves 209.2 and 150.8, and sides of 290.1 and 251.3. */
static void triangle_sides_that_do_not_close_are_pointed_out(void **state)
{
    (void)state;
    GbRoofEntry *entry = slope_of(GB_FACE_RIGHT, GB_ROOF_TRIANGLE, "eave=30 ft; up=16' 9\"; left=26 ft; right=22' 6\"");
    entry->left = entry->right = GB_EDGE_RAKE; /* no other slope is missing */
    g_autoptr(GbRoof) roof = roof_of(entry, NULL);
    one_fault(roof, "right slope: sides of 26' 0\" and 22' 6\" don't fit its eave, ridge and height, which make about 24' 2 1/8\" and 20' 11 1/4\"");
    GbRoofEntry *fits = slope_of(GB_FACE_RIGHT, GB_ROOF_TRIANGLE, "eave=30 ft; up=16' 9\"; left=22' 6\"; right=22' 6\"");
    fits->left = fits->right = GB_EDGE_RAKE;
    g_autoptr(GbRoof) whole = roof_of(fits, NULL);
    no_faults(whole);
}

static void a_side_shorter_than_the_way_straight_up_is_pointed_out(void **state)
{
    (void)state;
    GbRoofEntry *entry = slope_of(GB_FACE_RIGHT, GB_ROOF_TRIANGLE, "eave=30 ft; up=16' 9\"; left=15 ft");
    entry->left = entry->right = GB_EDGE_RAKE;
    g_autoptr(GbRoof) roof = roof_of(entry, NULL);
    one_fault(roof, "right slope: a side of 15' 0\" is shorter than the 16' 9\" straight up the slope");
}

static void a_ridge_that_differs_from_front_to_rear_is_pointed_out_and_counted_once(void **state)
{
    (void)state;
    g_autoptr(GbRoof) roof = roof_of(slope_of(GB_FACE_FRONT, GB_ROOF_RECTANGLE, "eave=40 ft; up=16' 9\""),
                                     slope_of(GB_FACE_REAR, GB_ROOF_RECTANGLE, "eave=38' 6\"; up=16' 9\""), NULL);
    one_fault(roof, "the ridge between front slope and rear slope is 40' 0\" on the one and 38' 6\" on the other");
    const GbRoofFault *fault = roof->faults->pdata[0];
    assert_int_equal(fault->slopes[0], 0);
    assert_int_equal(fault->slopes[1], 1);
    assert_near(amount(roof, GB_QUANTITY_RIDGE), 39.25, 1e-9);
}

static void three_inches_or_one_in_a_hundred_are_no_contradiction(void **state)
{
    (void)state;
    g_autoptr(GbRoof) near = roof_of(slope_of(GB_FACE_FRONT, GB_ROOF_RECTANGLE, "eave=40 ft; up=16 ft"),
                                     slope_of(GB_FACE_REAR, GB_ROOF_RECTANGLE, "eave=40' 4\"; up=16 ft"), NULL);
    no_faults(near);
    g_autoptr(GbRoof) far = roof_of(slope_of(GB_FACE_FRONT, GB_ROOF_RECTANGLE, "eave=10 ft; up=16 ft"),
                                    slope_of(GB_FACE_REAR, GB_ROOF_RECTANGLE, "eave=10' 4\"; up=16 ft"), NULL);
    assert_int_equal(far->faults->len, 1);
}

static void a_hip_that_differs_round_the_corner_is_pointed_out(void **state)
{
    (void)state;
    g_autoptr(GbRoof) roof = roof_of(slope_of(GB_FACE_FRONT, GB_ROOF_TRAPEZOID, "eave=40 ft; ridge=10 ft; run=15 ft; pitch=6/12"),
                                     slope_of(GB_FACE_RIGHT, GB_ROOF_TRIANGLE, "eave=30 ft; up=19 ft"),
                                     slope_of(GB_FACE_REAR, GB_ROOF_TRAPEZOID, "eave=40 ft; ridge=10 ft; run=15 ft; pitch=6/12"),
                                     slope_of(GB_FACE_LEFT, GB_ROOF_TRIANGLE, "eave=30 ft; run=15 ft; pitch=6/12"), NULL);
    assert_int_equal(roof->faults->len, 2);
    assert_string_equal(((GbRoofFault *)roof->faults->pdata[0])->text,
                        "the hip between front slope and right slope is 22' 6\" on the one and 24' 2 1/2\" on the other");
    assert_string_equal(((GbRoofFault *)roof->faults->pdata[1])->text,
                        "the hip between right slope and rear slope is 24' 2 1/2\" on the one and 22' 6\" on the other");
}

static void a_hip_that_rises_differently_by_the_pitches_is_pointed_out(void **state)
{
    (void)state;
    g_autoptr(GbRoof) roof = roof_of(slope_of(GB_FACE_FRONT, GB_ROOF_TRAPEZOID, "eave=40 ft; ridge=10 ft; up=16' 9\"; pitch=6/12"),
                                     slope_of(GB_FACE_RIGHT, GB_ROOF_TRIANGLE, "eave=30 ft; up=16' 9\"; pitch=8/12"),
                                     slope_of(GB_FACE_REAR, GB_ROOF_TRAPEZOID, "eave=40 ft; ridge=10 ft; up=16' 9\""),
                                     slope_of(GB_FACE_LEFT, GB_ROOF_TRIANGLE, "eave=30 ft; up=16' 9\""), NULL);
    /* 201 in x sin(atan(6/12)) = 89.9 in; x sin(atan(8/12)) = 111.5 in */
    one_fault(roof, "by their pitches the hip between front slope and right slope rises 7' 5 7/8\" on the one and 9' 3 1/2\" on the other");
}

static void a_slope_that_is_not_entered_yet_is_missed(void **state)
{
    (void)state;
    g_autoptr(GbRoof) roof = roof_of(slope_of(GB_FACE_FRONT, GB_ROOF_TRAPEZOID, "eave=40 ft; ridge=10 ft; run=15 ft; pitch=6/12"),
                                     slope_of(GB_FACE_RIGHT, GB_ROOF_TRIANGLE, "eave=30 ft; run=15 ft; pitch=6/12"),
                                     slope_of(GB_FACE_REAR, GB_ROOF_TRAPEZOID, "eave=40 ft; ridge=10 ft; run=15 ft; pitch=6/12"), NULL);
    assert_int_equal(roof->faults->len, 2);
    assert_string_equal(((GbRoofFault *)roof->faults->pdata[0])->text, "front slope: no slope is entered on the other side of its left hip of 22' 6\"");
    assert_string_equal(((GbRoofFault *)roof->faults->pdata[1])->text, "rear slope: no slope is entered on the other side of its right hip of 22' 6\"");
    assert_near(amount(roof, GB_QUANTITY_HIPS), 90, 1e-9); /* two shared, two seen from one side only */
}

static void a_roof_of_another_structure_or_section_is_no_other_side(void **state)
{
    (void)state;
    GbRoofEntry *garage = slope_of(GB_FACE_REAR, GB_ROOF_RECTANGLE, "eave=40 ft; up=10 ft");
    garage->structure = 2;
    garage->on_dwelling = FALSE;
    g_free(garage->structure_name);
    garage->structure_name = g_strdup("garage");
    g_autoptr(GbRoof) roof = roof_of(slope_of(GB_FACE_FRONT, GB_ROOF_RECTANGLE, "eave=40 ft; up=10 ft"), garage, NULL);
    assert_int_equal(roof->faults->len, 2);
    assert_string_equal(((GbRoofFault *)roof->faults->pdata[1])->text,
                        "garage rear slope: no slope is entered on the other side of its ridge of 40' 0\"");
    assert_near(amount(roof, GB_QUANTITY_AREA), 400, 1e-9); /* of structure 1 */
}

static void a_gambrel_breaks_between_its_two_slopes_of_a_face(void **state)
{
    (void)state;
    GbRoofEntry *lower = slope_of(GB_FACE_FRONT, GB_ROOF_RECTANGLE, "eave=30 ft; up=8 ft; pitch=20/12");
    GbRoofEntry *upper = slope_of(GB_FACE_FRONT, GB_ROOF_RECTANGLE, "eave=30 ft; up=9 ft; pitch=6/12");
    lower->top = upper->bottom = GB_EDGE_BREAK;
    GbRoofEntry *rear = slope_of(GB_FACE_REAR, GB_ROOF_RECTANGLE, "eave=30 ft; up=12 ft");
    g_autoptr(GbRoof) roof = roof_of(lower, upper, rear, NULL);
    no_faults(roof);
    assert_near(amount(roof, GB_QUANTITY_BREAKS), 30, 1e-9);
    assert_near(amount(roof, GB_QUANTITY_RIDGE), 30, 1e-9);
    assert_near(amount(roof, GB_QUANTITY_EAVES), 60, 1e-9);
    assert_string_equal(slope_at(roof, 0)->label, "front slope, entry 1");
    assert_string_equal(slope_at(roof, 2)->label, "rear slope");
}

static void more_cannot_be_cut_out_than_there_is(void **state)
{
    (void)state;
    GbRoofEntry *hole = slope_of(GB_FACE_FRONT, GB_ROOF_RECTANGLE, "eave=10 ft; up=12 ft");
    hole->cut_out = TRUE;
    gb_roof_entry_usual_edges(hole);
    GbRoofEntry *front = slope_of(GB_FACE_FRONT, GB_ROOF_RECTANGLE, "eave=10 ft; up=10 ft");
    front->top = GB_EDGE_HIGH;
    g_autoptr(GbRoof) roof = roof_of(front, hole, NULL);
    one_fault(roof, "front slope, cut out: more is cut out than there is slope");
}

static void a_slope_beside_a_whole_roof_in_one_section_is_pointed_out(void **state)
{
    (void)state;
    GbRoofEntry *slope = slope_of(GB_FACE_REAR, GB_ROOF_RECTANGLE, "eave=24 ft; up=12 ft");
    slope->top = GB_EDGE_WALL;
    g_autoptr(GbRoof) roof = roof_of(entry_of(GB_ROOF_GABLE, "width=24 ft; depth=20 ft; pitch=9/12"), slope, NULL);
    one_fault(roof, "roof entries 1 and 2 are both in the section 'main', which a whole roof fills alone: both are counted");
    GbRoofEntry *porch = slope_of(GB_FACE_REAR, GB_ROOF_RECTANGLE, "eave=24 ft; up=12 ft");
    porch->top = GB_EDGE_WALL;
    g_free(porch->section);
    porch->section = g_strdup("porch");
    g_autoptr(GbRoof) apart = roof_of(entry_of(GB_ROOF_GABLE, "width=24 ft; depth=20 ft; pitch=9/12"), porch, NULL);
    no_faults(apart);
}

/* --- settings --- */

/* Source: 29 CFR 1926.500(b): "steep roof means a roof having a slope greater than 4 in 12". */
static void four_in_twelve_is_not_steep_and_anything_over_it_is(void **state)
{
    (void)state;
    const struct { const char *pitch; int band; } cases[] = { { "4/12", -1 }, { "4.1/12", 0 }, { "18.4 deg", -1 }, { "18.5 deg", 0 }, { "12/12", 0 }, { "0/12", -1 } };
    for (guint i = 0; i < G_N_ELEMENTS(cases); i++) {
        g_autofree char *givens = g_strdup_printf("width=24 ft; depth=20 ft; pitch=%s", cases[i].pitch);
        g_autoptr(GbRoof) roof = roof_of(entry_of(GB_ROOF_GABLE, givens), NULL);
        assert_int_equal(slope_at(roof, 0)->band, cases[i].band);
        assert_int_equal(gb_roof_is_steep(roof, 1), cases[i].band == 0);
        assert_near(gb_roof_band_area_sqft(roof, 1, 0), cases[i].band == 0 ? amount(roof, GB_QUANTITY_AREA) : 0, 1e-9);
    }
}

static void bands_are_the_users_own_and_the_steepest_one_counts(void **state)
{
    (void)state;
    g_autoptr(GError) error = NULL;
    GbRoofSettings settings;
    gb_roof_settings_init(&settings);
    assert_true(gb_roof_settings_take_steep(&settings, "10/12 and steeper, 7/12 and over 12/12", &error));
    assert_int_equal(settings.n_bands, 3);
    const char *const texts[] = { "7/12 and steeper", "10/12 and steeper", "over 12/12" };
    for (guint i = 0; i < 3; i++) {
        g_autofree char *text = gb_steep_band_text(&settings.bands[i]);
        assert_string_equal(text, texts[i]);
    }
    GPtrArray *entries = g_ptr_array_new();
    g_ptr_array_add(entries, entry_of(GB_ROOF_GABLE, "width=24 ft; depth=20 ft; pitch=7/12"));
    g_ptr_array_add(entries, entry_of(GB_ROOF_GABLE, "width=24 ft; depth=20 ft; pitch=12/12"));
    g_ptr_array_add(entries, entry_of(GB_ROOF_GABLE, "width=24 ft; depth=20 ft; pitch=5/12"));
    for (guint i = 0; i < 3; i++)
        ((GbRoofEntry *)entries->pdata[i])->structure = i + 1;
    g_autoptr(GbRoof) roof = gb_roof_new(entries, &settings);
    assert_int_equal(slope_at(roof, 0)->band, 0);
    assert_int_equal(slope_at(roof, 2)->band, 1); /* 12/12 is not over 12/12 */
    assert_int_equal(slope_at(roof, 4)->band, -1);
    for (gint64 structure = 0; structure <= 3; structure++)
        assert_true(gb_roof_is_steep(roof, structure)); /* 5/12 is in none of the user's bands, and a caution all the same */
    assert_non_null(strstr(gb_roof_steep_caution(), "fall protection"));
    assert_non_null(strstr(gb_roof_steep_caution(), "Local codes and licensed practice decide"));
}

/* An angle is read and typed to two decimals at best: atan(8/12) is 33.690068, atan(7/12) 30.256437 degrees. */
static void a_pitch_typed_in_degrees_is_in_the_band_that_it_is_shown_as(void **state)
{
    (void)state;
    const struct { const char *pitch, *shown, *steep; int band; } cases[] = {
        { "33.69 deg", "8/12", "8/12", 0 }, { "30.26 deg", "7/12", "over 7/12", -1 }, { "30.28 deg", "7.01/12", "over 7/12", 0 },
        { "33.66 deg", "7.99/12", "8/12", -1 },
    };
    for (guint i = 0; i < G_N_ELEMENTS(cases); i++) {
        GbRoofSettings settings;
        gb_roof_settings_init(&settings);
        assert_true(gb_roof_settings_take_steep(&settings, cases[i].steep, NULL));
        g_autofree char *givens = g_strdup_printf("width=24 ft; depth=20 ft; pitch=%s", cases[i].pitch);
        GPtrArray *entries = g_ptr_array_new();
        g_ptr_array_add(entries, entry_of(GB_ROOF_GABLE, givens));
        g_autoptr(GbRoof) roof = gb_roof_new(entries, &settings);
        g_autofree char *shown = gb_pitch_text(slope_at(roof, 0)->pitch);
        assert_string_equal(shown, cases[i].shown);
        assert_int_equal(slope_at(roof, 0)->band, cases[i].band);
    }
}

static void bands_and_waste_that_are_none_are_refused(void **state)
{
    (void)state;
    g_autoptr(GError) error = NULL;
    GbRoofSettings settings;
    gb_roof_settings_init(&settings);
    assert_near(settings.waste_percent, NAN, 0);
    const char *const no_bands[] = { "", "steep", "over", "7", "7/12,", "1/12,2/12,3/12,4/12,5/12,6/12,7/12,8/12,9/12", "7/12\xff" };
    for (guint i = 0; i < G_N_ELEMENTS(no_bands); i++) {
        assert_false(gb_roof_settings_take_steep(&settings, no_bands[i], &error));
        assert_error(error, GB_ERROR_SYNTAX, "");
    }
    assert_int_equal(settings.n_bands, 1);
    const char *const no_waste[] = { "", "-1", "101", "ten", "1e1", "nan", "10 %%", "\xff" };
    for (guint i = 0; i < G_N_ELEMENTS(no_waste); i++) {
        assert_false(gb_roof_settings_take_waste(&settings, no_waste[i], &error));
        assert_error(error, GB_ERROR_SYNTAX, "is no waste; write a percentage from 0 to 100");
    }
    assert_true(gb_roof_settings_take_waste(&settings, "12.5 %", &error));
    assert_near(settings.waste_percent, 12.5, 0);
    gb_roof_settings_clear(&settings);
}

/* Common practice, no source: area x (1 + waste). */
static void waste_is_added_only_where_it_was_set(void **state)
{
    (void)state;
    g_autoptr(GError) error = NULL;
    g_autoptr(GbRoof) roof = roof_of(entry_of(GB_ROOF_GABLE, "width=24 ft; depth=20 ft; pitch=9/12"), NULL);
    double number = NAN;
    assert_false(gb_roof_quantity(roof, 1, 0, GB_QUANTITY_SQUARES_WITH_WASTE, &number, &error));
    assert_error(error, GB_ERROR_STATE, "no waste is set");
    roof->settings.waste_percent = 15;
    assert_near(amount(roof, GB_QUANTITY_SQUARES_WITH_WASTE), 6.9, 1e-9);
    assert_near(amount(roof, GB_QUANTITY_AREA_WITH_WASTE), 690, 1e-9);
}

static void a_place_without_measurements_has_no_quantity_rather_than_none(void **state)
{
    (void)state;
    g_autoptr(GError) error = NULL;
    g_autoptr(GbRoof) roof = roof_of(entry_of(GB_ROOF_GABLE, "width=24 ft; depth=20 ft; pitch=9/12"), NULL);
    double number = NAN;
    assert_false(gb_roof_quantity(roof, 1, 10 + GB_FACE_LEFT, GB_QUANTITY_EAVES, &number, &error));
    assert_error(error, GB_ERROR_STATE, "no roof is measured there, so 'eaves' has no quantity");
    assert_false(gb_roof_quantity(roof, 7, 0, GB_QUANTITY_EAVES, &number, &error));
    assert_error(error, GB_ERROR_STATE, "no roof is measured");
    assert_near(number, NAN, 0);
    assert_true(gb_roof_quantity(roof, 1, 10 + GB_FACE_FRONT, GB_QUANTITY_RIDGE, &number, &error));
    assert_near(number, 24, 1e-9);
}

static void every_word_reads_back(void **state)
{
    (void)state;
    for (guint i = 0; i < GB_ROOF_SHAPES; i++) {
        GbRoofShape shape;
        assert_true(gb_roof_shape_from_word(gb_roof_shape_word(i), &shape) && shape == i);
        assert_true(gb_roof_shape_parse(gb_roof_shape_word(i), &shape, NULL) && shape == i);
    }
    for (guint i = 0; i < GB_EDGES; i++) {
        GbEdge edge;
        assert_true(gb_edge_from_word(gb_edge_word(i), &edge) && edge == i);
        assert_true(gb_edge_parse(gb_edge_word(i), &edge, NULL) && edge == i);
    }
    for (guint i = 0; i < GB_QUANTITIES; i++) {
        GbRoofQuantity quantity;
        assert_true(gb_roof_quantity_parse(gb_roof_quantity_word(i), &quantity, NULL) && quantity == i);
    }
    GbRoofGiven given;
    GbRoofShape shape;
    assert_false(gb_roof_given_from_word("length", &given));
    assert_false(gb_roof_shape_from_word("Hip", &shape));
    g_autoptr(GError) error = NULL;
    GbRoofQuantity quantity;
    assert_true(gb_roof_quantity_parse("drip", &quantity, &error));
    assert_int_equal(quantity, GB_QUANTITY_DRIP_EDGE);
    assert_false(gb_roof_quantity_parse("gutters", &quantity, &error));
    assert_error(error, GB_ERROR_UNKNOWN, "'gutters' is no quantity of a roof");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_gable_of_40_by_30_at_6_in_12_is_13_42_squares),
        cmocka_unit_test(a_hip_roof_of_40_by_30_has_a_ridge_of_10_and_90_feet_of_hips),
        cmocka_unit_test(a_dutch_gable_of_40_by_30_has_both_hips_and_rakes),
        cmocka_unit_test(a_pyramid_of_30_by_30_at_8_in_12_has_the_published_hips),
        cmocka_unit_test(a_gable_of_24_by_20_at_9_in_12_is_600_square_feet),
        cmocka_unit_test(the_navys_rafter_is_a_slope_from_run_and_pitch),
        cmocka_unit_test(a_plan_of_5000_square_feet_at_6_in_12_is_5590_of_roof),
        cmocka_unit_test(a_wing_takes_the_place_of_what_it_covers),
        cmocka_unit_test(a_hip_roof_is_the_solid_of_its_corners),
        cmocka_unit_test(a_dutch_gable_is_the_solid_of_its_corners),
        cmocka_unit_test(a_gable_with_overhangs_is_the_solid_of_its_corners_whichever_way_it_runs),
        cmocka_unit_test(a_slope_between_a_hip_and_a_valley_is_the_parallelogram_in_space),
        cmocka_unit_test(a_triangle_is_the_same_from_height_plan_or_three_sides),
        cmocka_unit_test(a_pitch_follows_from_height_and_run),
        cmocka_unit_test(the_pitch_of_a_triangle_of_three_sides_follows_from_its_run),
        cmocka_unit_test(a_rake_beside_a_hip_leaves_all_the_lean_to_the_hip),
        cmocka_unit_test(a_triangle_may_stand_on_its_point_between_two_valleys),
        cmocka_unit_test(a_skylight_comes_off_the_area_and_adds_its_curb),
        cmocka_unit_test(what_cannot_be_computed_is_refused_in_one_sentence),
        cmocka_unit_test(any_measurements_are_refused_or_make_a_trapezoid),
        cmocka_unit_test(an_entry_that_cannot_be_computed_does_not_spoil_the_others),
        cmocka_unit_test(a_height_that_does_not_fit_run_and_pitch_is_pointed_out),
        cmocka_unit_test(a_height_less_than_its_run_is_pointed_out),
        cmocka_unit_test(a_rectangle_with_two_widths_is_pointed_out),
        cmocka_unit_test(triangle_sides_that_do_not_close_are_pointed_out),
        cmocka_unit_test(a_side_shorter_than_the_way_straight_up_is_pointed_out),
        cmocka_unit_test(a_ridge_that_differs_from_front_to_rear_is_pointed_out_and_counted_once),
        cmocka_unit_test(three_inches_or_one_in_a_hundred_are_no_contradiction),
        cmocka_unit_test(a_hip_that_differs_round_the_corner_is_pointed_out),
        cmocka_unit_test(a_hip_that_rises_differently_by_the_pitches_is_pointed_out),
        cmocka_unit_test(a_slope_that_is_not_entered_yet_is_missed),
        cmocka_unit_test(a_roof_of_another_structure_or_section_is_no_other_side),
        cmocka_unit_test(a_gambrel_breaks_between_its_two_slopes_of_a_face),
        cmocka_unit_test(more_cannot_be_cut_out_than_there_is),
        cmocka_unit_test(a_slope_beside_a_whole_roof_in_one_section_is_pointed_out),
        cmocka_unit_test(four_in_twelve_is_not_steep_and_anything_over_it_is),
        cmocka_unit_test(bands_are_the_users_own_and_the_steepest_one_counts),
        cmocka_unit_test(a_pitch_typed_in_degrees_is_in_the_band_that_it_is_shown_as),
        cmocka_unit_test(bands_and_waste_that_are_none_are_refused),
        cmocka_unit_test(waste_is_added_only_where_it_was_set),
        cmocka_unit_test(a_place_without_measurements_has_no_quantity_rather_than_none),
        cmocka_unit_test(every_word_reads_back),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
