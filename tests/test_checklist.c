/* test_checklist.c -- checklist files: what is taken, what is refused and how, and what the shipped ones ask for.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "test.h"

#include <gablebook/builtin.h>
#include <gablebook/checklist.h>
#include <gablebook/error.h>

#define HEAD "[checklist]\nname = Test\n"

static GbCatalogue *catalogue_new(void)
{
    g_autoptr(GError) error = NULL;
    GbCatalogue *catalogue = gb_catalogue_builtin(&error);
    assert_no_error(error);
    return catalogue;
}

static GbFactlist *factlist_new(const GbCatalogue *catalogue)
{
    g_autoptr(GError) error = NULL;
    GbFactlist *list = gb_factlist_builtin(catalogue, &error);
    assert_no_error(error);
    return list;
}

static GbChecklist *load_text(const char *folder, const char *text, GError **error)
{
    g_autoptr(GbCatalogue) catalogue = catalogue_new();
    g_autoptr(GbFactlist) factlist = factlist_new(catalogue);
    g_autofree char *path = g_build_filename(folder, "own.ini", NULL);
    assert_true(g_file_set_contents(path, text, -1, NULL));
    return gb_checklist_load(path, catalogue, factlist, error);
}

static void assert_refused(const char *folder, const char *text, const char *part)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbChecklist) list = load_text(folder, text, &error);
    assert_null(list);
    assert_error(error, GB_ERROR_SYNTAX, part);
}

static GbChecklist *shipped(const char *name)
{
    g_autoptr(GbCatalogue) catalogue = catalogue_new();
    g_autoptr(GbFactlist) factlist = factlist_new(catalogue);
    g_autoptr(GError) error = NULL;
    GbChecklist *list = gb_checklist_builtin(name, catalogue, factlist, &error);
    assert_no_error(error);
    assert_non_null(list);
    return list;
}

static const GbRequirement *requirement(const GbChecklist *list, const char *id)
{
    for (guint i = 0; i < gb_checklist_size(list); i++)
        if (g_str_equal(gb_checklist_peek(list, i)->id, id))
            return gb_checklist_peek(list, i);
    fail_msg("the checklist '%s' has no [%s]", gb_checklist_title(list), id);
    return NULL;
}

static gboolean has(char **words, const char *word)
{
    return g_strv_contains((const char *const *)words, word);
}

/* --- what is taken ------------------------------------------------------------------------------------------------ */

static void every_key_is_understood(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbChecklist) list = load_text(*state,
        "[checklist]\nname = Our own\ncauses = hail, wind\n"
        "[test-square]\nwhat = Ten by ten\nwhere = each slope\nstructures = dwelling; garage\nsubjects = Test square, drip-edge\n"
        "distances = mid-range, close-up\ncount = 2\nvalue = yes\nwhen = wind, hail\nlevel = advised\nwhy = Because\n", &error);
    assert_no_error(error);
    assert_string_equal(gb_checklist_title(list), "Our own");
    assert_int_equal(gb_checklist_size(list), 1);
    const GbRequirement *r = gb_checklist_peek(list, 0);
    assert_string_equal(r->id, "test-square");
    assert_string_equal(r->what, "Ten by ten");
    assert_string_equal(r->why, "Because");
    assert_int_equal(r->where, GB_WHERE_SLOPE);
    assert_int_equal(g_strv_length(r->structures), 2);
    assert_true(has(r->structures, "dwelling") && has(r->structures, "garage"));
    assert_string_equal(r->subjects[0], "test-square");
    assert_string_equal(r->subjects[1], "drip-edge");
    assert_true(r->wants[GB_DISTANCE_MID] && r->wants[GB_DISTANCE_CLOSE] && !r->wants[GB_DISTANCE_OVERVIEW]);
    assert_int_equal(r->count, 2);
    assert_true(r->needs_value);
    assert_true(has(r->causes, "hail") && has(r->causes, "wind"));
    assert_false(r->required);
}

static void what_is_not_said_is_required_once_always_at_any_distance(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbChecklist) list = load_text(*state, HEAD "[a]\nwhat = A\nwhere = once\nsubjects = address\n", &error);
    assert_no_error(error);
    const GbRequirement *r = gb_checklist_peek(list, 0);
    assert_true(r->required);
    assert_int_equal(r->count, 1);
    assert_false(r->needs_value);
    assert_string_equal(r->why, "");
    assert_null(r->structures[0]);
    assert_null(r->causes[0]);
    for (guint d = 0; d < GB_DISTANCES; d++)
        assert_false(r->wants[d]);
}

static void outbuildings_are_all_kinds_but_dwelling_and_fence(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbChecklist) list = load_text(*state, HEAD "[a]\nwhat = A\nwhere = each structure\nstructures = outbuildings\n", &error);
    assert_no_error(error);
    char **kinds = gb_checklist_peek(list, 0)->structures;
    assert_int_equal(g_strv_length(kinds), g_strv_length((char **)gb_structure_kinds()) - 2);
    assert_true(has(kinds, "garage") && has(kinds, "shed"));
    assert_false(has(kinds, "dwelling") || has(kinds, "fence"));
}

static void any_damage_means_every_damage_subject_also_those_of_the_user(void **state)
{
    g_autoptr(GbCatalogue) catalogue = catalogue_new();
    g_autoptr(GbFactlist) factlist = factlist_new(catalogue);
    g_autofree char *subjects = g_build_filename(*state, "subjects.ini", NULL);
    g_autofree char *path = g_build_filename(*state, "own.ini", NULL);
    g_autoptr(GError) error = NULL;
    assert_true(g_file_set_contents(subjects, "[beak-hole]\nname = Beak hole\ncaption = beak hole\ndistance = close-up\nshows = damage\n", -1, NULL));
    assert_true(g_file_set_contents(path, HEAD "[a]\nwhat = A\nwhere = each slope\nsubjects = any damage, no-damage-seen\n", -1, NULL));
    gb_catalogue_extend(catalogue, subjects, &error);
    assert_no_error(error);
    g_autoptr(GbChecklist) list = gb_checklist_load(path, catalogue, factlist, &error);
    assert_no_error(error);
    char **ids = gb_checklist_peek(list, 0)->subjects;
    assert_true(has(ids, "beak-hole"));
    for (guint i = 0; i < gb_catalogue_size(catalogue); i++) {
        const GbSubject *subject = gb_catalogue_peek(catalogue, i);
        assert_int_equal(has(ids, subject->id), subject->shows != GB_SHOWS_NEITHER);
    }
}

/* --- what is refused ---------------------------------------------------------------------------------------------- */

static void a_refusal_names_file_line_word_and_the_nearest(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbChecklist) list = load_text(*state, HEAD "[a]\nwhat = A\nwhere = each slop\nsubjects = tset square\n", &error);
    assert_null(list);
    assert_error(error, GB_ERROR_SYNTAX, "own.ini:6: ");
    list = load_text(*state, HEAD "[a]\nwhat = A\nwhere = each slope\nsubjects = tset square\n", &error);
    assert_null(list);
    assert_error(error, GB_ERROR_SYNTAX, "nearest: 'Test square'");
}

static void every_unknown_word_is_refused_with_its_line(void **state)
{
    static const struct { const char *text, *part; } cases[] = {
        {"[a]\nwhat = A\nwhere = each moon\n", "own.ini:5: 'each moon'"},
        {"[a]\nwhat = A\nwhere = each slope\nstructures = dweling\n", "own.ini:6: 'dweling'"},
        {"[a]\nwhat = A\nwhere = each slope\nsubjects = address, gargoyle\n", "own.ini:6: 'gargoyle'"},
        {"[a]\nwhat = A\nwhere = each slope\ndistances = overview, far\n", "own.ini:6: 'far'"},
        {"[a]\nwhat = A\nwhere = each slope\nwhen = hail, frogs\n", "own.ini:6: 'frogs'"},
        {"[a]\nwhat = A\nwhere = each slope\nlevel = mandatory\n", "own.ini:6: 'mandatory'"},
        {"[a]\nwhat = A\nwhere = each slope\nsubjects = pitch\nvalue = maybe\n", "own.ini:7: 'maybe'"},
        {"[a]\nwhat = A\nwhere = each slope\nsubject = pitch\n", "own.ini:6: "},
    };
    for (gsize i = 0; i < G_N_ELEMENTS(cases); i++) {
        g_autofree char *text = g_strconcat(HEAD, cases[i].text, NULL);
        assert_refused(*state, text, cases[i].part);
    }
    assert_refused(*state, "[checklist]\nname = A\ncauses = frogs\n[a]\nwhat = A\nwhere = each slope\n", "own.ini:3: 'frogs'");
}

static void a_count_is_a_whole_number_from_1_to_99(void **state)
{
    static const char *const wrong[] = {"0", "100", "-1", "1.5", "two", "+1", "18446744073709551617"};
    for (gsize i = 0; i < G_N_ELEMENTS(wrong); i++) {
        g_autofree char *text = g_strconcat(HEAD "[a]\nwhat = A\nwhere = each slope\ncount = ", wrong[i], "\n", NULL);
        assert_refused(*state, text, "own.ini:6: ");
    }
    g_autoptr(GError) error = NULL;
    g_autoptr(GbChecklist) list = load_text(*state, HEAD "[a]\nwhat = A\nwhere = each slope\ncount = 99\n", &error);
    assert_no_error(error);
    assert_int_equal(gb_checklist_peek(list, 0)->count, 99);
}

static void keys_that_contradict_each_other_are_refused(void **state)
{
    static const struct { const char *text, *part; } cases[] = {
        {"[a]\nwhat = A\nwhere = once\nsubjects = address\nstructures = shed\n", "own.ini:7: 'where = once'"},
        {"[a]\nwhat = A\nwhere = each finding\nsubjects = address\ndistances = close-up\n", "own.ini:6: 'where = each finding'"},
        {"[a]\nwhat = A\nwhere = each finding\ndistances = close-up\nvalue = yes\n", "own.ini:7: 'where = each finding'"},
        {"[a]\nwhat = A\nwhere = each finding\n", "own.ini:5: a finding always has a photo"},
        {"[a]\nwhat = A\nwhere = each finding\nwritten = yes\ndistances = close-up\n", "own.ini:6: 'written = yes' asks for words"},
        {"[a]\nwhat = A\nwhere = each room\nmeasured = yes\n", "own.ini:6: 'measured = yes' goes with 'where = each slope' alone"},
        {"[a]\nwhat = A\nwhere = each slope\nmeasured = yes\ncount = 2\n", "own.ini:6: 'measured = yes' goes with"},
        {"[a]\nwhat = A\nwhere = each slope\nwritten = yes\n", "own.ini:6: 'written = yes' goes with 'where = each finding' alone"},
        {"[a]\nwhat = A\nwhere = each slope\nvalue = yes\n", "own.ini:6: 'value = yes' needs"},
        {"[a]\nwhat = A\nwhere = once\nsubjects = address\nvalue = yes\n", "own.ini:7: none of its subjects has a value"},
        {"[a]\nwhat = A\nwhere = each slope\ndistances = close-up, close-up\n", "twice"},
        {"[a]\nwhat = A\nwhere = once\nsubjects = address, address\n", "twice"},
        {"[a]\nwhat = A\nwhere = each slope\nwhen = hail, hail\n", "twice"},
        {"[a]\nwhat = A\nwhere = each slope\nstructures = outbuildings, garage\n", "'garage' is in 'structures' twice"},
        {"[a]\nwhat = A\nwhere = each slope\nname = B\n", "own.ini:6: 'name' belongs to [checklist]"},
        {"[a]\nwhat = A\nwhere = each slope\nsubjects =\n", "own.ini:6: 'subjects' says nothing"},
        {"[a]\nwhat = A\nwhere = each slope\nwhen = ,;\n", "own.ini:6: 'when' says nothing"},
        {"[a]\nwhere = each slope\n", "own.ini:3: [a] does not say 'what'"},
        {"[a]\nwhat = A\n", "own.ini:3: [a] does not say 'where'"},
        {"[a b]\nwhat = A\nwhere = each slope\n", "own.ini:3: 'a b' is no name"},
    };
    for (gsize i = 0; i < G_N_ELEMENTS(cases); i++) {
        g_autofree char *text = g_strconcat(HEAD, cases[i].text, NULL);
        assert_refused(*state, text, cases[i].part);
    }
}

static void a_checklist_without_head_name_or_requirement_is_refused(void **state)
{
    assert_refused(*state, "", "own.ini:1: the head is missing");
    assert_refused(*state, "[a]\nwhat = A\nwhere = each slope\n", "own.ini:1: the head is missing");
    assert_refused(*state, "[checklist]\n[a]\nwhat = A\nwhere = each slope\n", "own.ini:1: [checklist] has no 'name'");
    assert_refused(*state, HEAD, "own.ini:1: the checklist has no requirement");
    assert_refused(*state, HEAD "what = A\n[a]\nwhat = A\nwhere = each slope\n", "own.ini:3: 'what' belongs to a requirement");
}

static void a_name_that_is_no_checklist_is_answered_with_the_nearest(void **state)
{
    (void)state;
    g_autoptr(GbCatalogue) catalogue = catalogue_new();
    g_autoptr(GbFactlist) factlist = factlist_new(catalogue);
    g_autoptr(GError) error = NULL;
    g_autoptr(GbChecklist) list = gb_checklist_builtin("fire-basics", catalogue, factlist, &error);
    assert_null(list);
    assert_error(error, GB_ERROR_UNKNOWN, "'fire-basic'");
    list = gb_checklist_load("/no/such/file.ini", catalogue, factlist, &error);
    assert_null(list);
    assert_error(error, GB_ERROR_IO, "/no/such/file.ini");
}

/* --- what is shipped ---------------------------------------------------------------------------------------------- */

static void every_shipped_checklist_loads_gives_its_reasons_and_uses_exact_ids(void **state)
{
    (void)state;
    g_auto(GStrv) names = gb_checklist_names();
    assert_int_equal(g_strv_length(names), 3);
    for (char **name = names; *name != NULL; name++) {
        g_autoptr(GbChecklist) list = shipped(*name);
        for (guint i = 0; i < gb_checklist_size(list); i++) {
            const GbRequirement *r = gb_checklist_peek(list, i);
            if (*r->why == '\0')
                fail_msg("%s: [%s] gives no reason", *name, r->id);
        }
    }
}

/* Each section stands under a line that says who else asks for it, or that nobody citable does. */
static void every_shipped_requirement_says_its_source_or_that_it_has_none(void **state)
{
    (void)state;
    g_auto(GStrv) names = gb_checklist_names();
    for (char **name = names; *name != NULL; name++) {
        g_autofree char *path = g_strconcat("templates/checklists/", *name, ".ini", NULL);
        g_autofree char *text = gb_builtin_text(path, NULL);
        g_auto(GStrv) lines = g_strsplit(text, "\n", -1);
        for (guint i = 1; lines[i] != NULL; i++)
            if (lines[i][0] == '[' && !g_str_equal(lines[i], "[checklist]") &&
                !g_str_has_prefix(lines[i - 1], "# source: ") && !g_str_equal(lines[i - 1], "# common practice, no source"))
                fail_msg("%s:%u: %s stands without its source", *name, i + 1, lines[i]);
    }
}

static void the_cause_chooses_the_checklist_that_says_it_is_for_it(void **state)
{
    (void)state;
    assert_string_equal(gb_checklist_for_cause("hail"), "exterior-wind-hail");
    assert_string_equal(gb_checklist_for_cause("wind"), "exterior-wind-hail");
    assert_string_equal(gb_checklist_for_cause("water, hail"), "exterior-wind-hail");
    assert_string_equal(gb_checklist_for_cause("water"), "interior-water");
    assert_string_equal(gb_checklist_for_cause("fire, water"), "fire-basic");
    assert_string_equal(gb_checklist_for_cause("impact"), "exterior-wind-hail");
    assert_string_equal(gb_checklist_for_cause(NULL), "exterior-wind-hail");

    static const struct { const char *name, *causes; } heads[] = {
        {"exterior-wind-hail", "\ncauses = hail, wind"}, {"interior-water", "\ncauses = water\n"}, {"fire-basic", "\ncauses = fire\n"}};
    for (gsize i = 0; i < G_N_ELEMENTS(heads); i++) {
        g_autofree char *path = g_strconcat("templates/checklists/", heads[i].name, ".ini", NULL);
        g_autofree char *text = gb_builtin_text(path, NULL);
        assert_non_null(strstr(text, heads[i].causes));
    }
}

/* Source: National Park Service, National Register Bulletin "How to Improve the Quality of Photographs", sec. III: views of
 * every principal facade; outbuildings appear. */
static void the_exterior_list_wants_every_side_of_house_and_outbuildings(void **state)
{
    (void)state;
    g_autoptr(GbChecklist) list = shipped("exterior-wind-hail");
    const GbRequirement *house = requirement(list, "elevation-overview"), *others = requirement(list, "outbuilding-overview");
    assert_int_equal(house->where, GB_WHERE_ELEVATION);
    assert_true(house->required && has(house->structures, "dwelling") && has(house->subjects, "overview"));
    assert_null(house->causes[0]);
    assert_int_equal(others->where, GB_WHERE_ELEVATION);
    assert_true(others->required && has(others->structures, "garage") && has(others->structures, "shed") && has(others->structures, "barn"));
    assert_true(has(others->subjects, "overview"));
}

/* Source: OSAC proposed Standard Guide for Crime Scene Photography v1.0 (2020): overall, mid-range, close-up. */
static void every_list_wants_findings_from_general_to_specific(void **state)
{
    (void)state;
    g_auto(GStrv) names = gb_checklist_names();
    for (char **name = names; *name != NULL; name++) {
        g_autoptr(GbChecklist) list = shipped(*name);
        const GbRequirement *close = requirement(list, "close-up"), *context = requirement(list, "context");
        assert_true(close->where == GB_WHERE_FINDING && context->where == GB_WHERE_FINDING);
        assert_true(close->required && close->wants[GB_DISTANCE_CLOSE] && context->wants[GB_DISTANCE_MID]);
        assert_true(requirement(list, "overall")->wants[GB_DISTANCE_OVERVIEW] && requirement(list, "written-down")->needs_written);
        assert_null(close->structures[0]);
        assert_null(context->structures[0]);
    }
}

/* Source: Shepard & Gromicko, Mastering Roof Inspections: Hail, part 12: a test square of 10 x 10 ft on each slope; the hits
 * in it are counted. */
static void the_exterior_list_wants_a_counted_test_square_on_each_slope_after_hail(void **state)
{
    (void)state;
    g_autoptr(GbChecklist) list = shipped("exterior-wind-hail");
    const GbRequirement *r = requirement(list, "test-square");
    assert_int_equal(r->where, GB_WHERE_SLOPE);
    assert_true(r->required && r->needs_value && r->wants[GB_DISTANCE_MID] && r->wants[GB_DISTANCE_CLOSE]);
    assert_true(has(r->subjects, "test-square") && has(r->causes, "hail") && !has(r->causes, "wind"));
}

/* Source: Florida form OIR-B1-1802 (Rev. 01/12), note at the top: at least one photo for each attribute claimed. What prices a
 * roof and a wall here: siding size, layers, pitch. */
static void the_exterior_list_wants_a_photo_and_a_value_for_each_fact_that_prices_the_repair(void **state)
{
    (void)state;
    static const char *const facts[] = {"siding-size", "layers", "pitch"};
    g_autoptr(GbChecklist) list = shipped("exterior-wind-hail");
    for (gsize i = 0; i < G_N_ELEMENTS(facts); i++) {
        const GbRequirement *r = requirement(list, facts[i]);
        assert_true(r->required && r->needs_value && r->count >= 1 && has(r->structures, "dwelling"));
        assert_int_equal(r->where, GB_WHERE_STRUCTURE);
    }
}

/* Source: NIJ, Fire and Arson Scene Evidence guide: exterior and interior, in a systematic order. */
static void the_fire_list_wants_outside_and_inside(void **state)
{
    (void)state;
    g_autoptr(GbChecklist) list = shipped("fire-basic");
    assert_int_equal(requirement(list, "elevation-overview")->where, GB_WHERE_ELEVATION);
    assert_int_equal(requirement(list, "room-overview")->where, GB_WHERE_ROOM);
    assert_true(requirement(list, "elevation-overview")->required && requirement(list, "room-overview")->required);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        test_in_folder(every_key_is_understood),
        test_in_folder(what_is_not_said_is_required_once_always_at_any_distance),
        test_in_folder(outbuildings_are_all_kinds_but_dwelling_and_fence),
        test_in_folder(any_damage_means_every_damage_subject_also_those_of_the_user),
        test_in_folder(a_refusal_names_file_line_word_and_the_nearest),
        test_in_folder(every_unknown_word_is_refused_with_its_line),
        test_in_folder(a_count_is_a_whole_number_from_1_to_99),
        test_in_folder(keys_that_contradict_each_other_are_refused),
        test_in_folder(a_checklist_without_head_name_or_requirement_is_refused),
        cmocka_unit_test(a_name_that_is_no_checklist_is_answered_with_the_nearest),
        cmocka_unit_test(every_shipped_checklist_loads_gives_its_reasons_and_uses_exact_ids),
        cmocka_unit_test(every_shipped_requirement_says_its_source_or_that_it_has_none),
        cmocka_unit_test(the_cause_chooses_the_checklist_that_says_it_is_for_it),
        cmocka_unit_test(the_exterior_list_wants_every_side_of_house_and_outbuildings),
        cmocka_unit_test(every_list_wants_findings_from_general_to_specific),
        cmocka_unit_test(the_exterior_list_wants_a_counted_test_square_on_each_slope_after_hail),
        cmocka_unit_test(the_exterior_list_wants_a_photo_and_a_value_for_each_fact_that_prices_the_repair),
        cmocka_unit_test(the_fire_list_wants_outside_and_inside),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
