/* test_quote.c -- words in messages: always one short printable line; the nearest words are those a person would pick.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "test.h"

#include <gablebook/quote.h>

static void quoted(const char *text, const char *wanted)
{
    g_autofree char *seen = gb_quote(text);
    assert_string_equal(seen, wanted);
}

static void what_cannot_be_printed_is_replaced(void **state)
{
    (void)state;
    quoted("front", "'front'");
    quoted("", "''");
    quoted("pitch 7½", "'pitch 7½'");
    quoted("a\nb\x1b[2J", "'a\xEF\xBF\xBD" "b\xEF\xBF\xBD[2J'");
    quoted("a\xff", "'a\xEF\xBF\xBD'");
    quoted("a\xE2\x80\xAE" "b", "'a\xEF\xBF\xBD" "b'"); /* U+202E turns the direction of what follows */
}

static void a_long_word_is_cut_at_60_characters(void **state)
{
    (void)state;
    g_autofree char *sixty = g_strnfill(60, 'x'), *more = g_strnfill(100000, 'x');
    g_autofree char *whole = g_strdup_printf("'%s'", sixty), *cut = g_strdup_printf("'%s…'", sixty);
    quoted(sixty, whole);
    quoted(more, cut);
}

static void nearest(const char *text, const char *wanted)
{
    static const char *const labels[] = { "front", "right", "rear", "left", "front slope", "garage front", "roof", "Straße" };
    g_autofree char *seen = gb_quote_nearest(text, labels, G_N_ELEMENTS(labels));
    if (wanted == NULL)
        assert_null(seen);
    else
        assert_string_equal(seen, wanted);
}

static void the_nearest_words_are_listed_best_first(void **state)
{
    (void)state;
    nearest("frnt", "'front', 'front slope', 'garage front'");
    nearest("FRNT", "'front', 'front slope', 'garage front'");
    nearest("slpoe", "'front slope'"); /* neighbours swapped, not the first word */
    nearest("rihgt", "'right'");
    nearest("rof", "'roof'");
    nearest("strasse", "'Straße'");
    nearest("xyzzy", NULL);
    nearest("", NULL);
    nearest("q", NULL);
}

static void nothing_is_near_a_very_long_text(void **state)
{
    (void)state;
    g_autofree char *text = g_strnfill(1000000, 'f');
    nearest(text, NULL);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_cannot_be_printed_is_replaced),
        cmocka_unit_test(a_long_word_is_cut_at_60_characters),
        cmocka_unit_test(the_nearest_words_are_listed_best_first),
        cmocka_unit_test(nothing_is_near_a_very_long_text),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
