/* test_word.c -- abbreviations: never a guess, never a surprise.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "test.h"

#include <gablebook/error.h>
#include <gablebook/word.h>

static const char *const places[] = {
    "site", "dwelling", "front", "right", "rear", "left", "roof", "front slope", "right slope", "rear slope", "left slope",
    "garage", "garage front", "garage front slope", "garage rear slope", "fence", "Übungsraum", "Tom's shed",
};

static void finds(const char *text, const char *wanted)
{
    g_autoptr(GError) error = NULL;
    gssize i = gb_word_find(text, places, G_N_ELEMENTS(places), "place", &error);
    assert_no_error(error);
    assert_true(i >= 0);
    assert_string_equal(places[i], wanted);
}

static void fails(const char *text, int code, const char *part)
{
    g_autoptr(GError) error = NULL;
    assert_int_equal(gb_word_find(text, places, G_N_ELEMENTS(places), "place", &error), -1);
    assert_error(error, code, part);
}

static void an_exact_label_wins_over_the_longer_ones_it_begins(void **state)
{
    (void)state;
    for (guint i = 0; i < G_N_ELEMENTS(places); i++)
        finds(places[i], places[i]);
}

static void each_word_typed_begins_a_word_of_the_label_in_order(void **state)
{
    (void)state;
    finds("g f s", "garage front slope");
    finds("gar rear", "garage rear slope");
    finds("ro", "roof");
    finds("tom", "Tom's shed");
}

static void as_many_words_as_typed_win_over_more(void **state)
{
    (void)state;
    finds("f s", "front slope"); /* not 'garage front slope' */
    finds("fr sl", "front slope");
    finds("fr", "front"); /* not 'front slope', 'garage front' */
    finds("g f", "garage front");
    finds("s", "site"); /* not 'front slope' */
}

static void a_whole_word_of_a_longer_label_is_not_taken_for_the_beginning_of_another(void **state)
{
    (void)state;
    const char *const labels[] = { "Window", "Wind damage", "Gutter", "Gutter damage", "Window damage" };
    g_autoptr(GError) error = NULL;
    assert_int_equal(gb_word_find("wind", labels, 5, "subject", &error), -1);
    assert_error(error, GB_ERROR_UNCLEAR, "'wind' could be the subjects 'Window' or 'Wind damage'");
    assert_int_equal(gb_word_find("windo", labels, 5, "subject", &error), 0);
    assert_int_equal(gb_word_find("wind d", labels, 5, "subject", &error), 1);
    assert_int_equal(gb_word_find("gut", labels, 5, "subject", &error), 2);
    assert_int_equal(gb_word_find("gutter", labels, 5, "subject", &error), 2);
}

static void an_unclear_text_lists_what_it_could_be_in_order(void **state)
{
    (void)state;
    fails("g s", GB_ERROR_UNCLEAR, "'g s' could be the places 'garage front slope' or 'garage rear slope'; type more of it");
    fails("f", GB_ERROR_UNCLEAR, "'front' or 'fence'");
    fails("r", GB_ERROR_UNCLEAR, "'right', 'rear' or 'roof'");
    fails("r s", GB_ERROR_UNCLEAR, "'right slope' or 'rear slope'");
}

static void what_is_unclear_is_named_in_the_plural(void **state)
{
    (void)state;
    static const struct { const char *one, *several; } names[] = {
        { "requirement", "requirements" }, { "edge of a roof", "edges of a roof" }, { "word for units", "words for units" },
        { "structure with a measured roof", "structures with a measured roof" }, { "thing to do with sets", "things to do with sets" },
    };
    const char *const two[] = { "rake", "ridge" };
    for (gsize i = 0; i < G_N_ELEMENTS(names); i++) {
        g_autoptr(GError) error = NULL;
        g_autofree char *message = g_strdup_printf("'r' could be the %s 'rake' or 'ridge'; type more of it", names[i].several);
        assert_int_equal(gb_word_find("r", two, 2, names[i].one, &error), -1);
        assert_error(error, GB_ERROR_UNCLEAR, message);
    }
}

static void a_long_list_of_candidates_is_cut(void **state)
{
    (void)state;
    const char *const many[] = { "a b1", "a b2", "a b3", "a b4", "a b5", "a b6", "a b7", "a b8", "a b9", "a c" };
    g_autoptr(GError) error = NULL;
    assert_int_equal(gb_word_find("a", many, G_N_ELEMENTS(many), "subject", &error), -1);
    assert_error(error, GB_ERROR_UNCLEAR, "'a b8' or 2 more; type more of it");
}

static void an_unknown_text_names_the_nearest(void **state)
{
    (void)state;
    fails("frnt", GB_ERROR_UNKNOWN, "'frnt' is no place; nearest: 'front', ");
    fails("graage", GB_ERROR_UNKNOWN, "nearest: 'garage', 'garage front', ");
    fails("kitchen", GB_ERROR_UNKNOWN, "'kitchen' is no place");
    fails("slope front", GB_ERROR_UNKNOWN, "'slope front' is no place"); /* words out of order */
    fails("ront", GB_ERROR_UNKNOWN, "nearest: 'front'"); /* the end of a word is no beginning */
}

static void case_hyphens_underscores_slashes_and_blanks_do_not_matter(void **state)
{
    (void)state;
    finds("FRONT", "front");
    finds("Front-Slope", "front slope");
    finds("front_slope", "front slope");
    finds("front/slope", "front slope");
    finds("  front \t slope  ", "front slope");
    finds("frontslope", "front slope");
    finds("übungsraum", "Übungsraum");
    finds("U\xCC\x88" "bung", "Übungsraum"); /* U and a combining diaeresis */
}

static void an_empty_text_names_nothing(void **state)
{
    (void)state;
    fails("", GB_ERROR_UNKNOWN, "no place is named");
    fails(" - ", GB_ERROR_UNKNOWN, "no place is named");
}

static void two_labels_that_read_alike_are_never_chosen_between(void **state)
{
    (void)state;
    const char *const twice[] = { "Front", "front" };
    g_autoptr(GError) error = NULL;
    assert_int_equal(gb_word_find("front", twice, 2, "place", &error), -1);
    assert_error(error, GB_ERROR_UNCLEAR, "'Front' or 'front'");
}

static void hostile_text_gets_one_short_line(void **state)
{
    (void)state;
    g_autofree char *text = g_strnfill(1000000, 'f');
    g_autoptr(GError) error = NULL;
    assert_int_equal(gb_word_find(text, places, G_N_ELEMENTS(places), "place", &error), -1);
    assert_true(strlen(error->message) < 200);
    fails("%s%n\xff", GB_ERROR_UNKNOWN, "'%s%n\xEF\xBF\xBD' is no place");
    g_clear_error(&error);
    assert_int_equal(gb_word_find("front", NULL, 0, "place", &error), -1);
    assert_error(error, GB_ERROR_UNKNOWN, "'front' is no place");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(an_exact_label_wins_over_the_longer_ones_it_begins),
        cmocka_unit_test(each_word_typed_begins_a_word_of_the_label_in_order),
        cmocka_unit_test(as_many_words_as_typed_win_over_more),
        cmocka_unit_test(a_whole_word_of_a_longer_label_is_not_taken_for_the_beginning_of_another),
        cmocka_unit_test(an_unclear_text_lists_what_it_could_be_in_order),
        cmocka_unit_test(what_is_unclear_is_named_in_the_plural),
        cmocka_unit_test(a_long_list_of_candidates_is_cut),
        cmocka_unit_test(an_unknown_text_names_the_nearest),
        cmocka_unit_test(case_hyphens_underscores_slashes_and_blanks_do_not_matter),
        cmocka_unit_test(an_empty_text_names_nothing),
        cmocka_unit_test(two_labels_that_read_alike_are_never_chosen_between),
        cmocka_unit_test(hostile_text_gets_one_short_line),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
