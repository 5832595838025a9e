/* test_glossary.c -- the words on docs/glossary.md, as the program knows them.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "test.h"

#include <gablebook/glossary.h>

static void every_line_of_the_pages_tables_is_a_term_and_no_term_comes_twice(void **state)
{
    (void)state;
    g_autoptr(GError) error = NULL;
    g_autoptr(GPtrArray) terms = gb_glossary_load(&error);
    assert_no_error(error);
    g_autofree char *path = source_path("docs/glossary.md"), *page = slurp(path);
    g_auto(GStrv) lines = g_strsplit(page, "\n| ", -1);
    assert_int_equal(terms->len, g_strv_length(lines) - 1 - 2 * 2); /* two tables with two lines of head each */
    g_autoptr(GHashTable) seen = g_hash_table_new(g_str_hash, g_str_equal);
    for (guint i = 0; i < terms->len; i++) {
        const GbTerm *term = terms->pdata[i];
        assert_true(g_hash_table_add(seen, term->term));
        assert_true(g_str_has_suffix(term->meaning, "."));
        assert_null(strpbrk(term->meaning, "`*|"));
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_line_of_the_pages_tables_is_a_term_and_no_term_comes_twice),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
