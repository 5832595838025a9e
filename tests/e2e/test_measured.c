/* test_measured.c -- roof measurements from the command line to the report and back.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "../e2e_support.h"

#include <jansson.h>
#include <string.h>

G_DEFINE_AUTOPTR_CLEANUP_FUNC(json_t, json_decref)

/* FOLDER/c: a dwelling 40 x 30 with a hip roof at 7/12 and a garage with a measured gable at 4/12. */
static int setup_roofs(void **state)
{
    if (setup_folder(state) != 0)
        return 1;
    int status = sh(*state, NULL, NULL,
                    "gablebook new c --cause hail --address '14 Larkfield Road' && gablebook structure c garage --elevations all --slopes left,right &&"
                    " gablebook roof c dwelling hip --width 40ft --depth 30ft --pitch 7/12 &&"
                    " gablebook roof c garage gable --width 24ft --depth 24ft --pitch 4/12 --ridge-runs 'front to rear' &&"
                    " gablebook roof c --waste 15");
    if (status != 0)
        teardown_folder(state);
    return status;
}
#define test_in_roofs(f) cmocka_unit_test_setup_teardown(f, setup_roofs, teardown_folder)

static void says_at(void **state, const char *script, int status, const char *part, int line)
{
    g_autofree char *out = NULL, *err = NULL;
    int seen = sh(*state, &out, &err, script);
    g_autofree char *both = g_strconcat(out, err, NULL);
    if (seen != status) {
        print_error("%s: exit status %d, wanted %d; it said:\n%s\n", script, seen, status, both);
        _fail(__FILE__, line);
    }
    assert_has_at(both, part, __FILE__, line);
}
#define says(state, script, status, part) says_at((state), (script), (status), (part), __LINE__)

static json_t *json_of(void **state)
{
    g_autofree char *out = NULL;
    assert_int_equal(sh(*state, &out, NULL, "gablebook roof c --json"), 0);
    json_t *json = json_loads(out, JSON_REJECT_DUPLICATES, NULL);
    assert_non_null(json);
    return json;
}

static double amount(const json_t *json, gsize structure, const char *name)
{
    const json_t *of = json_array_get(json_object_get(json, "structures"), structure);
    return json_number_value(json_object_get(json_object_get(json_object_get(of, "quantities"), name), "amount"));
}

/* Sources of the numbers: plan area x the published multipliers 1.1577 (7/12) and 1.0541 (4/12); hips 15 ft of run x 1.5298. */
static void the_json_carries_the_numbers(void **state)
{
    g_autoptr(json_t) json = json_of(state);
    assert_near(amount(json, 0, "area"), 1200 * 1.1577, 0.1);
    assert_near(amount(json, 0, "hips"), 4 * 15 * 1.5298, 0.01);
    assert_near(amount(json, 0, "squares with waste"), 12 * 1.1577 * 1.15, 0.01);
    assert_near(amount(json, 1, "area"), 576 * 1.0541, 0.1);
    assert_near(amount(json, 1, "drip edge"), 48 + 4 * 12 * 1.0541, 0.01);
    assert_near(json_number_value(json_object_get(json, "waste_percent")), 15, 0);
    assert_has(json_string_value(json_object_get(json, "caution")), "fall protection");
    const json_t *entry = json_array_get(json_object_get(json, "entries"), 0), *width = json_object_get(json_object_get(entry, "given"), "width");
    assert_string_equal(json_string_value(json_object_get(width, "typed")), "40ft");
    assert_near(json_number_value(json_object_get(width, "inches")), 480, 0);
    const json_t *garage = json_array_get(json_object_get(json, "structures"), 1);
    assert_int_equal(json_array_size(json_object_get(garage, "steep")), 0); /* 4/12 is not over 4/12 */
    assert_int_equal(json_array_size(json_object_get(garage, "contradictions")), 0);
}

static void the_list_tells_areas_lengths_and_the_caution(void **state)
{
    g_autofree char *out = NULL;
    assert_int_equal(sh(*state, &out, NULL, "gablebook roof c"), 0);
    assert_has(out, "Roof of the dwelling\n");
    assert_has(out, "Area 1389.2 sq ft = 13.89 squares; with 15 % waste 1597.6 sq ft = 15.98 squares");
    assert_has(out, "Steep, over 4/12: 1389.2 sq ft");
    assert_has(out, "Roof of the garage\n");
    assert_has(out, "eaves 48' 0\"; rakes 50' 7 1/8\"; ridge 24' 0\"; drip edge 98' 7 1/8\"; starter 48' 0\"\n");
    assert_has(out, "Local codes and licensed practice decide.");
    says(state, "gablebook roof c --metric", 0, "Area 129.07 m² = 13.89 squares");
    says(state, "gablebook roof c --remove 1 && gablebook roof c", 0, "Roof of the garage");
    g_autofree char *flat = NULL;
    assert_int_equal(sh(*state, &flat, NULL, "gablebook roof c"), 0);
    assert_has_not(flat, "licensed practice"); /* nothing steep is left */
    says(state, "gablebook undo c && gablebook roof c", 0, "Area 1389.2 sq ft");
}

static void contradictions_are_told_when_entered_and_in_the_report(void **state)
{
    const char *line = "the ridge between garage left slope and";
    says(state, "gablebook roof c --remove 2 && gablebook roof c 'garage left' rectangle --eave 24ft --up 12ft8in", 0,
         "> garage left slope: no slope is entered on the other side of its ridge of 24' 0\"");
    says(state, "gablebook roof c 'garage right' rectangle --eave 26ft --up 12ft8in", 0,
         "> the ridge between garage right slope and garage left slope is 26' 0\" on the one and 24' 0\" on the other");
    says(state, "gablebook roof c", 0, "Doesn't fit together yet:\n> the ridge between garage right slope and");
    assert_int_equal(sh(*state, NULL, NULL, "gablebook report c"), 0);
    g_autofree char *path = g_build_filename(*state, "c", "reports", "photo-report.html", NULL), *page = slurp(path);
    assert_has(page, "The ridge between garage right slope and garage left slope is 26&#39; 0&quot; on the one");
    assert_has_not(page, line);
}

static void a_roof_entered_twice_is_told_at_once(void **state)
{
    says(state, "gablebook roof c rear rectangle --eave 40ft --up 16ft --top wall", 0,
         "> roof entries 1 and 3 are both in the section 'main', which a whole roof fills alone: both are counted\n");
    says(state, "gablebook roof c --change 3 --section porch", 0, "roof entry 3: rear slope (porch), rectangle, eave 40ft, up 16ft, upper edge wall: 640.0 sq ft\n");
}

static void what_is_not_usual_is_listed_and_can_be_taken_back(void **state)
{
    says(state, "gablebook roof c front triangle --cut-out --eave 20ft --up 11ft2in --sides valley,wall", 0, "up 11ft2in, right side wall: 111.7 sq ft\n");
    says(state, "gablebook roof c", 0, "3      front slope  triangle, cut out  eave 20ft, up 11ft2in, right side wall\n");
    says(state, "gablebook roof c --change 3 --sides usual", 0, "triangle cut out, eave 20ft, up 11ft2in: 111.7 sq ft\n");
    says(state, "gablebook roof c --change 3 --no-cut-out --section porch", 0, "front slope (porch), triangle, eave 20ft, up 11ft2in: 111.7 sq ft\n");
}

static void the_report_has_the_roof_its_drawing_and_the_caution(void **state)
{
    assert_int_equal(sh(*state, NULL, NULL, "gablebook report c --out a.html && gablebook report c --out b.html && cmp a.html b.html"), 0);
    g_autofree char *path = g_build_filename(*state, "a.html", NULL), *page = slurp(path);
    assert_has(page, "<h2 id=\"measured-roofs\">Roof measurements</h2>");
    assert_has(page, "<a href=\"#measured-roofs\">");
    assert_has(page, "<title id=\"roof-1-title\">Roof of the dwelling, seen from above</title>");
    assert_has(page, "1389.2 sq ft, 13.89 squares");
    assert_has(page, "With 15 % waste");
    assert_has(page, "hip roof, pitch 7/12, width 40ft, depth 30ft");
    assert_has(page, "Local codes and licensed practice decide.");
    says(state, "gablebook new d && gablebook report d && cat d/reports/photo-report.html", 0, "Contents");
    g_autofree char *empty_path = g_build_filename(*state, "d", "reports", "photo-report.html", NULL), *empty = slurp(empty_path);
    assert_has_not(empty, "Roof measurements");
}

/* Source: the Nu HTML checker (npm vnu-jar), for HTML and the SVG in it. */
static void the_report_with_a_roof_passes_the_html_checker(void **state)
{
    const char *checker = g_getenv("GB_VNU");
    if (!have_program("java") || checker == NULL || !g_file_test(checker, G_FILE_TEST_EXISTS)) {
        if (g_getenv("CI") != NULL)
            fail_msg("GB_VNU names no checker, and this is CI");
        skip();
    }
    says(state, "gablebook roof c front triangle --cut-out --eave 20ft --up 11ft2in --section 'bay \"<&' && gablebook report c", 0, "photo-report.html");
    g_autofree char *path = g_build_filename(*state, "c", "reports", "photo-report.html", NULL), *err = NULL;
    const char *argv[] = { "java", "-jar", checker, path, NULL };
    int status = run(argv, NULL, &err);
    if (status != 0 || *err != '\0')
        fail_msg("%.4000s", err);
}

static void the_plan_is_written_whole_or_not_at_all(void **state)
{
    says(state, "gablebook roof c garage --plan garage.svg", 0, "garage.svg");
    g_autofree char *path = g_build_filename(*state, "garage.svg", NULL), *svg = slurp(path);
    assert_true(g_str_has_prefix(svg, "<svg xmlns=\"http://www.w3.org/2000/svg\""));
    assert_has(svg, "Roof of the garage, seen from above");
    says(state, "gablebook roof c barn --plan x.svg", 2, "'barn' is no structure with a measured roof");
    says(state, "gablebook new d && gablebook roof d --plan x.svg", 2, "nothing is measured yet, so there is no plan to draw; x.svg was not written");
    says(state, "gablebook roof c --plan nowhere/x.svg", 2, "nowhere");
    says(state, "test ! -e x.svg && echo gone", 0, "gone");
}

static void words_that_make_no_sense_are_told_and_change_nothing(void **state)
{
    g_autoptr(json_t) before = json_of(state);
    says(state, "gablebook roof c 'rear slope'", 2, "roof: say where it is and which shape it has, as in 'rear slope' rectangle; nothing was changed");
    says(state, "gablebook roof c --eave 3ft", 2, "say where it is and which shape it has");
    says(state, "gablebook roof c rear rectangle --eave 40 --up 16ft", 2, "eave: '40' is no clear length; write 40' or 40 ft");
    says(state, "gablebook roof c rear rectangle --eave 40ft", 2, "a rectangle needs how far it goes up the slope");
    says(state, "gablebook roof c rear rectangle --eave 40ft --up 9ft --sides a,b,c", 2, "--sides wants one word, or two");
    says(state, "gablebook roof c --remove 9", 2, "there is no roof entry 9; gablebook roof FOLDER lists them; nothing was changed");
    says(state, "gablebook roof c --remove 1 --waste 3", 2, "one thing at a time");
    says(state, "gablebook roof c --change -1 --eave 3ft", 2, "entries are numbered from 1");
    says(state, "gablebook roof c --change 1 --cut-out --no-cut-out", 2, "--cut-out and --no-cut-out contradict each other; nothing was changed");
    says(state, "gablebook roof c --steep flat", 2, "'flat' is no roof pitch");
    says(state, "gablebook roof c garage hip --width 9ft --depth 9ft --pitch 3/12", 2, "'garage' has no front slope");
    says(state, "gablebook structure c garage --slopes none", 2, "has measurements: take those out first");
    g_autoptr(json_t) after = json_of(state);
    assert_true(json_equal(before, after));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        test_in_roofs(the_json_carries_the_numbers),
        test_in_roofs(the_list_tells_areas_lengths_and_the_caution),
        test_in_roofs(contradictions_are_told_when_entered_and_in_the_report),
        test_in_roofs(a_roof_entered_twice_is_told_at_once),
        test_in_roofs(what_is_not_usual_is_listed_and_can_be_taken_back),
        test_in_roofs(the_report_has_the_roof_its_drawing_and_the_caution),
        test_in_roofs(the_report_with_a_roof_passes_the_html_checker),
        test_in_roofs(the_plan_is_written_whole_or_not_at_all),
        test_in_roofs(words_that_make_no_sense_are_told_and_change_nothing),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
