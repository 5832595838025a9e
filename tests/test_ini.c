/* test_ini.c -- the files people edit: what they may hold, and that every fault is told with its line.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "test.h"

#include <gablebook/error.h>
#include <gablebook/ini.h>

static const char *const keys[] = { "name", "plain", "count", "distances", NULL };

static GbIni *parsed(const char *text)
{
    g_autoptr(GError) error = NULL;
    GbIni *ini = gb_ini_parse("a.ini", text, keys, &error);
    assert_no_error(error);
    assert_non_null(ini);
    return ini;
}

static void refused(const char *text, const char *part)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbIni) ini = gb_ini_parse("a.ini", text, keys, &error);
    assert_null(ini);
    assert_error(error, GB_ERROR_SYNTAX, part);
}

static void sections_come_in_file_order_with_the_line_of_everything(void **state)
{
    (void)state;
    g_autoptr(GbIni) ini = parsed("# a remark\n\n[zinc]\nname =  Zinc cap \n\n[ash]\n  count=3\nplain = 100 % sure\n");
    const char *const *sections = gb_ini_sections(ini);
    assert_string_equal(sections[0], "zinc");
    assert_string_equal(sections[1], "ash");
    assert_null(sections[2]);
    assert_string_equal(gb_ini_get(ini, "zinc", "name"), "Zinc cap");
    assert_string_equal(gb_ini_get(ini, "ash", "count"), "3");
    assert_string_equal(gb_ini_get(ini, "ash", "plain"), "100 % sure");
    assert_int_equal(gb_ini_line(ini, "zinc", NULL), 3);
    assert_int_equal(gb_ini_line(ini, "zinc", "name"), 4);
    assert_int_equal(gb_ini_line(ini, "zinc", "count"), 3); /* not given: the section's */
    assert_int_equal(gb_ini_line(ini, "ash", "plain"), 8);
    assert_int_equal(gb_ini_line(ini, "oak", NULL), 0);
}

static void what_is_absent_or_empty_is_null(void **state)
{
    (void)state;
    g_autoptr(GbIni) ini = parsed("[a]\nname =\nplain =   \n");
    assert_null(gb_ini_get(ini, "a", "name"));
    assert_null(gb_ini_get(ini, "a", "plain"));
    assert_null(gb_ini_get(ini, "a", "count"));
    assert_null(gb_ini_get(ini, "b", "name"));
    assert_int_equal(gb_ini_line(ini, "a", "name"), 2);
}

static void a_byte_order_mark_and_crlf_ends_change_nothing(void **state)
{
    (void)state;
    g_autoptr(GbIni) ini = parsed("\xEF\xBB\xBF[a]\r\nname = Gutter\r\n\r\n# r\r\n[b]\r\nname = \xC2\xBD pipe\r\n");
    assert_string_equal(gb_ini_get(ini, "a", "name"), "Gutter");
    assert_string_equal(gb_ini_get(ini, "b", "name"), "½ pipe");
    assert_int_equal(gb_ini_line(ini, "b", NULL), 5);
}

static void an_empty_file_has_no_sections(void **state)
{
    (void)state;
    const char *const texts[] = { "", "\n\n", "# only a remark\n", "\xEF\xBB\xBF" };
    for (guint i = 0; i < G_N_ELEMENTS(texts); i++) {
        g_autoptr(GbIni) ini = parsed(texts[i]);
        assert_null(gb_ini_sections(ini)[0]);
    }
}

static void a_list_is_split_at_commas_and_semicolons_without_empty_parts(void **state)
{
    (void)state;
    g_autoptr(GbIni) ini = parsed("[a]\ndistances = mid-range, ; close-up ,, overview;\n");
    g_auto(GStrv) list = gb_ini_list(ini, "a", "distances");
    assert_int_equal(g_strv_length(list), 3);
    assert_string_equal(list[0], "mid-range");
    assert_string_equal(list[1], "close-up");
    assert_string_equal(list[2], "overview");
    g_auto(GStrv) none = gb_ini_list(ini, "a", "name");
    assert_int_equal(g_strv_length(none), 0);
}

static void an_escape_is_resolved_and_a_value_stays_one_line(void **state)
{
    (void)state;
    g_autoptr(GbIni) ini = parsed("[a]\nname = one\\ntwo \\\\ three\n");
    assert_string_equal(gb_ini_get(ini, "a", "name"), "one two \\ three");
}

static void a_fault_is_told_with_its_line(void **state)
{
    (void)state;
    refused("[a]\nname = x\n[b]\n[a]\n", "a.ini:4: section '[a]' is in line 1 already");
    refused("[a]\nname = x\nname = y\n", "a.ini:3: 'name' is in line 2 already");
    refused("[a]\nnmae = x\n", "a.ini:2: 'nmae' is no key of this file; nearest: 'name'");
    refused("[a]\nzzzzzz = x\n", "it has name, plain, count, distances");
    refused("# r\nname = x\n", "a.ini:2: 'name' stands before the first [section]");
    refused("[a]\nhello\n", "a.ini:2: 'hello' is neither");
    refused("[a]\n; hello\n", "a remark begins with #");
    refused("[a]\n= x\n", "a.ini:2: '= x' is neither");
    refused("[a]\nname[de] = x\n", "a.ini:2: 'name[de]' is no key");
    refused("[a] # note\n", "a.ini:1: '[a] # note' is no section");
    refused("[]\n", "a.ini:1: ");
    refused("[ a ]\n", "a.ini:1: ");
    refused("[a\n", "a.ini:1: ");
    refused("[a]\nname = C:\\Users\n", "a.ini:2: after a backslash");
    refused("[a]\nname = x\ry\n", "a.ini:2: a control character (code 13)");
    refused("[a]\nname = \xC3\x28\n", "a.ini:2: this is not UTF-8");
}

static void percent_signs_in_a_file_or_its_name_are_only_text(void **state)
{
    (void)state;
    g_autoptr(GError) error = NULL;
    g_autoptr(GbIni) none = gb_ini_parse("%s%n.ini", "[a]\n%s%n = x\n", keys, &error);
    assert_null(none);
    assert_error(error, GB_ERROR_SYNTAX, "%s%n.ini:2: '%s%n' is no key");

    g_autoptr(GbIni) ini = gb_ini_parse("%d.ini", "[a]\ncount = %n\n", keys, &error);
    assert_no_error(error);
    assert_false(gb_ini_fail(ini, "a", "count", &error, "'%s' is no number", gb_ini_get(ini, "a", "count")));
    assert_error(error, GB_ERROR_SYNTAX, "%d.ini:2: '%n' is no number");
}

static void a_message_stays_short_whatever_the_file_holds(void **state)
{
    (void)state;
    g_autoptr(GString) text = g_string_new("[a]\n");
    for (guint i = 0; i < 100000; i++)
        g_string_append(text, "xyzzy");
    g_autoptr(GError) error = NULL;
    g_autoptr(GbIni) ini = gb_ini_parse("a.ini", text->str, keys, &error);
    assert_null(ini);
    assert_non_null(error);
    assert_true(strlen(error->message) < 200);
}

static void a_file_on_disk_is_read_and_named_by_its_path(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autofree char *path = g_build_filename(*state, "own.ini", NULL);
    g_autoptr(GbIni) absent = gb_ini_load(path, keys, &error);
    assert_null(absent);
    assert_error(error, GB_ERROR_IO, "own.ini");

    assert_true(g_file_set_contents(path, "[a]\r\nname = Gutter\r\n", -1, NULL));
    g_autoptr(GbIni) ini = gb_ini_load(path, keys, &error);
    assert_no_error(error);
    assert_string_equal(gb_ini_get(ini, "a", "name"), "Gutter");

    assert_true(g_file_set_contents(path, "[a]\nnaem = Gutter\n", -1, NULL));
    g_autoptr(GbIni) wrong = gb_ini_load(path, keys, &error);
    assert_null(wrong);
    g_autofree char *place = g_strconcat(path, ":2: ", NULL);
    assert_error(error, GB_ERROR_SYNTAX, place);
}

static void a_file_of_more_than_a_mebibyte_is_refused(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autofree char *path = g_build_filename(*state, "big.ini", NULL);
    g_autofree char *text = g_strnfill(1024 * 1024 + 1, '\n');
    assert_true(g_file_set_contents(path, text, -1, NULL));
    g_autoptr(GbIni) ini = gb_ini_load(path, keys, &error);
    assert_null(ini);
    assert_error(error, GB_ERROR_TOO_LARGE, "big.ini");
}

static void a_nul_byte_never_hides_the_rest_of_a_file(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autofree char *path = g_build_filename(*state, "nul.ini", NULL);
    const char text[] = "[a]\nname = x\n\0[b]\nname = y\n";
    assert_true(g_file_set_contents(path, text, sizeof text - 1, NULL));
    g_autoptr(GbIni) ini = gb_ini_load(path, keys, &error);
    assert_null(ini);
    assert_error(error, GB_ERROR_SYNTAX, "nul.ini");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(sections_come_in_file_order_with_the_line_of_everything),
        cmocka_unit_test(what_is_absent_or_empty_is_null),
        cmocka_unit_test(a_byte_order_mark_and_crlf_ends_change_nothing),
        cmocka_unit_test(an_empty_file_has_no_sections),
        cmocka_unit_test(a_list_is_split_at_commas_and_semicolons_without_empty_parts),
        cmocka_unit_test(an_escape_is_resolved_and_a_value_stays_one_line),
        cmocka_unit_test(a_fault_is_told_with_its_line),
        cmocka_unit_test(percent_signs_in_a_file_or_its_name_are_only_text),
        cmocka_unit_test(a_message_stays_short_whatever_the_file_holds),
        test_in_folder(a_file_on_disk_is_read_and_named_by_its_path),
        test_in_folder(a_nul_byte_never_hides_the_rest_of_a_file),
        test_in_folder(a_file_of_more_than_a_mebibyte_is_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
