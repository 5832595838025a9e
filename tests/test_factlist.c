/* test_factlist.c -- the kinds of fact and their values: the built-in file reads well, a claim's own can't spoil it, values mean the
 * same however they are written.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "test.h"

#include <gablebook/error.h>
#include <gablebook/factlist.h>
#include <gablebook/word.h>

static GbCatalogue *subjects(void)
{
    g_autoptr(GError) error = NULL;
    GbCatalogue *catalogue = gb_catalogue_builtin(&error);
    assert_no_error(error);
    return catalogue;
}

static GbFactlist *builtin(void)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbCatalogue) catalogue = subjects();
    GbFactlist *list = gb_factlist_builtin(catalogue, &error);
    assert_no_error(error);
    return list;
}

static const GbFactKind *kind_of(const GbFactlist *list, const char *id)
{
    const GbFactKind *kind = gb_factlist_by_id(list, id);
    if (kind == NULL)
        fail_msg("no kind '%s'", id);
    return kind;
}

static GbFactValue value_of(const GbFactKind *kind, const char *text)
{
    GbFactValue value;
    g_autoptr(GError) error = NULL;
    gb_fact_value_parse(kind, text, &value, &error);
    assert_no_error(error);
    return value;
}

static void shows(const GbFactlist *list, const char *id, const char *written, const char *wanted)
{
    const GbFactKind *kind = kind_of(list, id);
    GbFactValue value = value_of(kind, written);
    g_autofree char *seen = gb_fact_value_shown(kind->type, written, &value);
    assert_string_equal(seen, wanted);
}

static void refuses(const GbFactlist *list, const char *id, const char *written, GbErrorCode code, const char *part)
{
    GbFactValue value;
    g_autoptr(GError) error = NULL;
    if (gb_fact_value_parse(kind_of(list, id), written, &value, &error))
        fail_msg("%s took '%s'", id, written);
    assert_error(error, (int)code, part);
}

/* --- the built-in file --- */

static void everything_that_prices_a_roof_and_a_wall_has_its_kind(void **state)
{
    (void)state;
    g_autoptr(GbFactlist) list = builtin();
    const char *const wanted[] = { "covering", "covering-age", "layers", "condition", "pitch", "drip-edge", "ridge-vent", "pipe-flashings",
                                   "chimney-flashings", "wall-flashings", "siding", "siding-exposure", "storeys", "access", "gutter",
                                   "gutter-size" };
    for (gsize i = 0; i < G_N_ELEMENTS(wanted); i++)
        kind_of(list, wanted[i]);
    assert_int_equal(kind_of(list, "pitch")->type, GB_FACT_PITCH);
    assert_true(kind_of(list, "pitch")->where[GB_PLACE_SLOPE]);
    assert_false(kind_of(list, "pitch")->where[GB_PLACE_ELEVATION]);
    assert_int_equal(kind_of(list, "covering-age")->how, GB_HOW_TOLD);
    assert_null(kind_of(list, "covering-age")->subjects[0]); /* nobody can photograph an age */
    assert_string_equal(kind_of(list, "layers")->subjects[0], "layers");
}

static void every_kind_tells_the_insured_what_it_is_and_is_found_by_its_name(void **state)
{
    (void)state;
    g_autoptr(GbFactlist) list = builtin();
    for (guint i = 0; i < gb_factlist_size(list); i++) {
        const GbFactKind *kind = gb_factlist_peek(list, i);
        g_autoptr(GError) error = NULL;
        if (!g_str_has_suffix(kind->plain, "."))
            fail_msg("[%s] has no plain sentence", kind->id);
        assert_ptr_equal(gb_factlist_find(list, kind->name, &error), kind);
        assert_no_error(error);
        g_autofree char *where = gb_fact_where_text(kind);
        assert_true(*where != '\0');
    }
    assert_null(gb_factlist_peek(list, gb_factlist_size(list)));
}

static void each_step_of_the_condition_says_what_it_means(void **state)
{
    (void)state;
    g_autoptr(GbFactlist) list = builtin();
    const GbFactKind *condition = kind_of(list, "condition");
    assert_int_equal(condition->choices->len, 5);
    for (guint i = 0; i < condition->choices->len; i++)
        assert_true(strlen(((const GbChoice *)condition->choices->pdata[i])->meaning) > 10);
    assert_string_equal(((const GbChoice *)condition->choices->pdata[1])->word, "good");
}

/* Otherwise a person would have to type something else than they read. */
static void every_choice_is_found_by_its_own_word(void **state)
{
    (void)state;
    g_autoptr(GbFactlist) list = builtin();
    for (guint i = 0; i < gb_factlist_size(list); i++) {
        const GbFactKind *kind = gb_factlist_peek(list, i);
        for (guint c = 0; c < kind->choices->len; c++) {
            const GbChoice *choice = kind->choices->pdata[c];
            assert_string_equal(value_of(kind, choice->word).choice, choice->word);
        }
    }
}

static void kinds_are_found_by_the_beginning_of_their_words(void **state)
{
    (void)state;
    g_autoptr(GError) error = NULL;
    g_autoptr(GbFactlist) list = builtin();
    assert_string_equal(gb_factlist_find(list, "pi fl", &error)->id, "pipe-flashings");
    assert_string_equal(gb_factlist_find(list, "covering", &error)->id, "covering"); /* the id wins over 'Age of the covering' */
    assert_string_equal(gb_factlist_find(list, "storeys", &error)->id, "storeys");
    assert_null(gb_factlist_find(list, "pich", &error));
    assert_error(error, GB_ERROR_UNKNOWN, "nearest: 'Pitch'");
    assert_null(gb_factlist_find(list, "fence", &error));
    assert_error(error, GB_ERROR_UNCLEAR, "Fence height");
}

static void where_a_kind_belongs_reads_as_a_sentence(void **state)
{
    (void)state;
    g_autoptr(GbFactlist) list = builtin();
    g_autofree char *pitch = gb_fact_where_text(kind_of(list, "pitch")), *siding = gb_fact_where_text(kind_of(list, "siding"));
    g_autofree char *hail = gb_fact_where_text(kind_of(list, "hail-size"));
    assert_string_equal(pitch, "a roof or a slope");
    assert_string_equal(siding, "a structure or an elevation");
    assert_string_equal(hail, "the site");
}

/* --- values --- */

/* Source: 1 in = 25.4 mm exactly (international yard, 1959); degrees = atan(rise / 12), recomputed: 7.5/12 32.01, 6/12 26.57. */
static void the_same_value_means_the_same_however_it_is_written(void **state)
{
    (void)state;
    g_autoptr(GbFactlist) list = builtin();
    const GbFactKind *pitch = kind_of(list, "pitch"), *length = kind_of(list, "eave-height");
    const char *const pitches[] = { "7 1/2:12", "7.5/12", "7½/12", "62.5%" }, *const lengths[] = { "10'4\"", "10 ft 4 in", "124", "124 in" };
    for (gsize i = 0; i < 4; i++) {
        assert_near(value_of(pitch, pitches[i]).low, 7.5, 1e-9);
        assert_near(value_of(pitch, pitches[i]).high, 7.5, 1e-9);
        assert_near(value_of(length, lengths[i]).low, 124, 1e-9);
    }
    assert_near(value_of(pitch, "32 deg").low, 7.4984, 5e-5); /* 12 tan 32 deg */
    assert_near(value_of(length, "3.15 m").low, 124.0157, 5e-5); /* 3150 / 25.4 */
}

static void a_value_is_shown_as_it_was_written_and_as_everybody_reads_it(void **state)
{
    (void)state;
    g_autoptr(GbFactlist) list = builtin();
    shows(list, "pitch", "7 1/2:12", "7 1/2:12 (7.5/12, 32.0°)");
    shows(list, "pitch", "6/12", "6/12, 26.6°");
    shows(list, "pitch", "32 deg", "32 deg (7.5/12, 32.0°)");
    shows(list, "siding-exposure", "4 in", "4 in");
    shows(list, "siding-exposure", "4", "4 in");
    shows(list, "siding-exposure", "4 1/2\"", "4 1/2\" (4.5 in)");
    shows(list, "eave-height", "10'4\"", "10'4\" (10 ft 4 in)");
    shows(list, "eave-height", "9 ft", "9 ft");
    shows(list, "eave-height", "3.15 m", "3.15 m (10 ft 4.02 in)");
    shows(list, "eave-height", "23.999 in", "23.999 in (2 ft)"); /* rounded before it is split: never '1 ft 12 in' */
    shows(list, "covering-age", "12-15 years", "12 to 15 years");
    shows(list, "covering-age", "12 to 15 years", "12 to 15 years");
    shows(list, "covering-age", "20+", "20+ (over 20 years)");
    shows(list, "covering-age", "under 5", "under 5 years");
    shows(list, "covering-age", "1", "1 year");
    shows(list, "covering-age", "about 8 yrs", "about 8 yrs (8 years)");
    shows(list, "covering", "lam", "laminated asphalt shingle");
    shows(list, "layers", "2", "2");
    shows(list, "storeys", "1 1/2", "1 1/2 (1.5)");
    shows(list, "storeys", "2", "2");
    shows(list, "hazards", "Dog in the yard", "Dog in the yard");
}

static void years_are_a_number_a_span_or_open_at_one_end(void **state)
{
    (void)state;
    g_autoptr(GbFactlist) list = builtin();
    const GbFactKind *age = kind_of(list, "covering-age");
    const struct {
        const char *text;
        double low, high;
    } cases[] = {
        { "12", 12, 12 },         { "12-15 years", 12, 15 }, { "12–15", 12, 15 },     { "12 to 15 yrs", 12, 15 }, { "12 or 13", 12, 13 },
        { "under 5 years", 0, 5 }, { "less than 5", 0, 5 },   { "0", 0, 0 },           { "2.5 years", 2.5, 2.5 },  { "1 1/2 years", 1.5, 1.5 },
        { "10 years old", 10, 10 }, { "~12", 12, 12 },        { "ca. 12-15 y", 12, 15 },
    };
    for (gsize i = 0; i < G_N_ELEMENTS(cases); i++) {
        GbFactValue value = value_of(age, cases[i].text);
        assert_near(value.low, cases[i].low, 1e-12);
        assert_near(value.high, cases[i].high, 1e-12);
    }
    const char *const open[] = { "over 20 years", "20+", "20 or more", "more than 20", "20+ years" };
    for (gsize i = 0; i < G_N_ELEMENTS(open); i++) {
        assert_near(value_of(age, open[i]).low, 20, 1e-12);
        assert_true(isnan(value_of(age, open[i]).high));
    }
}

static void what_is_no_value_of_its_kind_is_refused_with_a_way_to_write_it(void **state)
{
    (void)state;
    g_autoptr(GbFactlist) list = builtin();
    refuses(list, "covering-age", "2014", GB_ERROR_SYNTAX, "not the year");
    refuses(list, "covering-age", "15-12", GB_ERROR_SYNTAX, "ends before it begins");
    refuses(list, "covering-age", "301", GB_ERROR_SYNTAX, "more than 300");
    refuses(list, "covering-age", "12 to 1/0", GB_ERROR_SYNTAX, "write it like");
    refuses(list, "covering-age", "under 1/0", GB_ERROR_SYNTAX, "write it like");
    refuses(list, "covering-age", "old", GB_ERROR_SYNTAX, "write it like 12 years");
    refuses(list, "covering-age", "-5", GB_ERROR_SYNTAX, "write it like");
    refuses(list, "covering-age", "", GB_ERROR_SYNTAX, "write it like");
    refuses(list, "covering-age", "1e2", GB_ERROR_SYNTAX, "write it like");
    refuses(list, "pitch", "6", GB_ERROR_SYNTAX, "6/12");
    refuses(list, "layers", "0", GB_ERROR_SYNTAX, "from 1 to 9");
    refuses(list, "pipe-flashings", "three", GB_ERROR_SYNTAX, "whole number");
    refuses(list, "storeys", "two", GB_ERROR_SYNTAX, "1 1/2");
    refuses(list, "covering", "thatch", GB_ERROR_UNKNOWN, "'thatch' is no choice");
    refuses(list, "covering", "wood", GB_ERROR_UNCLEAR, "wood shake");
}

static gboolean agree(const GbFactlist *list, const char *id, const char *one, const char *other)
{
    const GbFactKind *kind = kind_of(list, id);
    GbFactValue a = value_of(kind, one), b = value_of(kind, other);
    gboolean there = gb_fact_values_agree(kind->type, &a, &b);
    assert_int_equal(gb_fact_values_agree(kind->type, &b, &a), there); /* either way round */
    return there;
}

static void two_readings_of_one_thing_agree_and_two_things_do_not(void **state)
{
    (void)state;
    g_autoptr(GbFactlist) list = builtin();
    assert_true(agree(list, "pitch", "6/12", "27 deg")); /* 6.11/12 */
    assert_false(agree(list, "pitch", "6/12", "7/12"));
    assert_true(agree(list, "siding-exposure", "4 in", "4 1/8 in"));
    assert_false(agree(list, "siding-exposure", "4 in", "4 1/2 in"));
    assert_true(agree(list, "eave-height", "10 ft", "3.05 m"));
    assert_false(agree(list, "layers", "1", "2"));
    assert_true(agree(list, "covering-age", "12-15", "15-20"));
    assert_false(agree(list, "covering-age", "12-15", "over 20"));
    assert_true(agree(list, "covering-age", "25", "over 20"));
    assert_true(agree(list, "covering", "slate", "sla"));
    assert_false(agree(list, "covering", "slate", "clay tile"));
    assert_true(agree(list, "hazards", "dog", "loose wires"));
    assert_false(agree(list, "storeys", "1", "1.5"));
}

static void a_photo_can_say_a_value_only_of_its_own_kind(void **state)
{
    (void)state;
    assert_true(gb_fact_type_takes(GB_FACT_PITCH, GB_VALUE_PITCH));
    assert_true(gb_fact_type_takes(GB_FACT_CHOICE, GB_VALUE_TEXT));
    assert_false(gb_fact_type_takes(GB_FACT_COUNT, GB_VALUE_LENGTH));
    assert_false(gb_fact_type_takes(GB_FACT_TEXT, GB_VALUE_NONE));
}

/* --- a claim's own file --- */

static GbFactlist *extended(void **state, const char *text, GError **error)
{
    g_autofree char *path = g_build_filename(*state, "facts.ini", NULL);
    g_autoptr(GbCatalogue) catalogue = subjects();
    GbFactlist *list = builtin();
    assert_true(g_file_set_contents(path, text, -1, NULL));
    gb_factlist_extend(list, path, catalogue, error);
    return list;
}

static void a_claim_adds_kinds_and_changes_single_keys_and_choices(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbFactlist) list = extended(state,
        "[solar]\nname = Solar panels\nvalue = count\nwhere = roof\nsubjects = solar panel\nhow = counted\n"
        "[drip-edge]\nchoice3 =\nchoice5 = gable ends only\n[storeys]\nplain = Floors.\n", &error);
    assert_no_error(error);
    assert_string_equal(kind_of(list, "solar")->subjects[0], "solar-panel");
    assert_int_equal(kind_of(list, "drip-edge")->choices->len, 4);
    assert_string_equal(value_of(kind_of(list, "drip-edge"), "gable").choice, "gable ends only");
    refuses(list, "drip-edge", "rakes only", GB_ERROR_UNKNOWN, "is no choice");
    assert_string_equal(kind_of(list, "storeys")->plain, "Floors.");
    assert_int_equal(kind_of(list, "storeys")->type, GB_FACT_NUMBER);
}

static void spoils(void **state, const char *text, const char *part)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbFactlist) untouched = builtin();
    g_autoptr(GbFactlist) list = extended(state, text, &error);
    assert_error(error, GB_ERROR_SYNTAX, part);
    assert_int_equal(gb_factlist_size(list), gb_factlist_size(untouched));
    assert_int_equal(kind_of(list, "drip-edge")->choices->len, 4);
}

static void a_faulty_file_is_told_with_its_line_and_changes_nothing(void **state)
{
    spoils(state, "[drip-edge]\nchoice5 = x y\n[Solar]\nname = Solar\nvalue = count\nwhere = roof\n", "facts.ini:3: 'Solar' can't name a fact");
    spoils(state, "[solar]\nvalue = count\nwhere = roof\n", "facts.ini:1: the new fact [solar] has no 'name'");
    spoils(state, "[solar]\nname = Solar\nwhere = roof\n", "facts.ini:1: the new fact [solar] has no 'value'");
    spoils(state, "[solar]\nname = Solar\nvalue = count\n", "facts.ini:1: [solar] does not say 'where'");
    spoils(state, "[solar]\nname = Solar\nvalue = tally\nwhere = roof\n", "facts.ini:3: 'tally' is no kind of value");
    spoils(state, "[solar]\nname = Solar\nvalue = count\nwhere = sloep\n", "facts.ini:4: 'sloep' is no word for where; nearest: 'slope'");
    spoils(state, "[solar]\nname = Solar\nvalue = count\nwhere = roof\nsubjects = solr panel\n", "facts.ini:5: 'solr panel' is no subject");
    spoils(state, "[solar]\nname = Solar\nvalue = count\nwhere = roof\nhow = dreamt\n", "facts.ini:5: 'dreamt' is no way of knowing");
    spoils(state, "[solar]\nname = Solar\nvalue = choice\nchoice1 = yes\nwhere = roof\n", "facts.ini:3: 'value = choice' needs two choices");
    spoils(state, "[solar]\nname = Solar\nvalue = count\nwhere = roof\nchoice1 = yes\n", "facts.ini:3: [solar] has choices");
    spoils(state, "[drip-edge]\nchoice5 = None\n", "facts.ini:2: the choice 'None' is there twice");
    spoils(state, "[drip-edge]\nchoice5 = -\n", "facts.ini:2: the choice '-' has no letters");
    spoils(state, "[drip-edge]\nchoice25 = more\n", "facts.ini:2: 'choice25' is no key of this file");
    spoils(state, "[steepness]\nname = Pitch\nvalue = pitch\nwhere = slope\n", "facts.ini:2: [steepness] can't be told from [pitch]");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(everything_that_prices_a_roof_and_a_wall_has_its_kind),
        cmocka_unit_test(every_kind_tells_the_insured_what_it_is_and_is_found_by_its_name),
        cmocka_unit_test(each_step_of_the_condition_says_what_it_means),
        cmocka_unit_test(every_choice_is_found_by_its_own_word),
        cmocka_unit_test(kinds_are_found_by_the_beginning_of_their_words),
        cmocka_unit_test(where_a_kind_belongs_reads_as_a_sentence),
        cmocka_unit_test(the_same_value_means_the_same_however_it_is_written),
        cmocka_unit_test(a_value_is_shown_as_it_was_written_and_as_everybody_reads_it),
        cmocka_unit_test(years_are_a_number_a_span_or_open_at_one_end),
        cmocka_unit_test(what_is_no_value_of_its_kind_is_refused_with_a_way_to_write_it),
        cmocka_unit_test(two_readings_of_one_thing_agree_and_two_things_do_not),
        cmocka_unit_test(a_photo_can_say_a_value_only_of_its_own_kind),
        test_in_folder(a_claim_adds_kinds_and_changes_single_keys_and_choices),
        test_in_folder(a_faulty_file_is_told_with_its_line_and_changes_nothing),
    };
    return cmocka_run_group_tests_name("factlist", tests, NULL, NULL);
}
