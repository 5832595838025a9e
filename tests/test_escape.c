/* test_escape.c -- text from outside made harmless.
 *
 * Sources: HTML Living Standard 13.2.3.5 (characters that are parse errors), RFC 4180 section 2 (CSV), ECMA-48 (ESC, CSI),
 * Unicode 5.2 table 3-7 (what valid UTF-8 is). The apostrophe before formulas is common practice, no source.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "test.h"

#include <gablebook/escape.h>
#include <string.h>

#define BYTES(literal) (literal), sizeof(literal) - 1

static void assert_html(const char *text, gsize n, const char *wanted)
{
    g_autoptr(GString) out = g_string_new("kept:");
    gb_escape_html(out, text, n);
    g_autofree char *whole = g_strconcat("kept:", wanted, NULL);
    assert_string_equal(out->str, whole);
}

static void html_markup_characters_become_references(void **state)
{
    (void)state;
    assert_html(BYTES("<b a=\"x\" c='y'>R&D</b>"), "&lt;b a=&quot;x&quot; c=&#39;y&#39;&gt;R&amp;D&lt;/b&gt;");
    assert_html(BYTES("</script><!--"), "&lt;/script&gt;&lt;!--");
    assert_html(BYTES(""), "");
}

static void html_keeps_tab_line_ends_and_every_script(void **state)
{
    (void)state;
    assert_html(BYTES("a\tb\r\nc"), "a\tb\r\nc");
    assert_html(BYTES("d\xC3\xA9g\xC3\xA2ts \xE5\xB1\x8B \xF0\x9F\x8F\xA0"), "d\xC3\xA9g\xC3\xA2ts \xE5\xB1\x8B \xF0\x9F\x8F\xA0");
    assert_html(BYTES("\xC2\xA0"), "\xC2\xA0");
}

static void html_forbidden_characters_become_u_fffd(void **state)
{
    (void)state;
    assert_html(BYTES("a\0b"), "a\xEF\xBF\xBD" "b");
    assert_html(BYTES("\x1b[2J\x0b\x0c\x7f"), "\xEF\xBF\xBD[2J\xEF\xBF\xBD\xEF\xBF\xBD\xEF\xBF\xBD");
    assert_html(BYTES("\xC2\x80\xC2\x9F"), "\xEF\xBF\xBD\xEF\xBF\xBD");
    assert_html(BYTES("\xEF\xB7\x90\xEF\xBF\xBE\xF4\x8F\xBF\xBF"), "\xEF\xBF\xBD\xEF\xBF\xBD\xEF\xBF\xBD"); /* FDD0 FFFE 10FFFF */
    assert_html(BYTES("\xFFx\xE2\x82"), "\xEF\xBF\xBDx\xEF\xBF\xBD\xEF\xBF\xBD"); /* no UTF-8 at all: still valid out */
}

static void assert_csv(const char *text, const char *wanted)
{
    g_autoptr(GString) out = g_string_new(NULL);
    gb_escape_csv(out, text);
    assert_string_equal(out->str, wanted);
}

static void csv_quotes_only_where_needed(void **state)
{
    (void)state;
    assert_csv("Front slope", "Front slope");
    assert_csv("", "");
    assert_csv("hail, 1.25 in", "\"hail, 1.25 in\"");
    assert_csv("a 6\" gutter", "\"a 6\"\" gutter\"");
    assert_csv("two\nlines", "\"two\nlines\"");
    assert_csv("two\rlines", "\"two\rlines\"");
    assert_csv(" lead", "\" lead\"");
    assert_csv("trail ", "\"trail \"");
}

static void csv_formulas_are_disarmed_and_numbers_are_not(void **state)
{
    (void)state;
    assert_csv("=1+1", "'=1+1");
    assert_csv("=HYPERLINK(\"x\",\"y\")", "\"'=HYPERLINK(\"\"x\"\",\"\"y\"\")\"");
    assert_csv("+cmd", "'+cmd");
    assert_csv("-cmd", "'-cmd");
    assert_csv("@SUM", "'@SUM");
    assert_csv("\t=1", "\"'\t=1\"");
    assert_csv("\r=1", "\"'\r=1\"");
    assert_csv("-97.4121", "-97.4121");
    assert_csv("+12", "+12");
    assert_csv("-1e-6", "-1e-6");
    assert_csv("-.5", "-.5");
    assert_csv("-", "'-");
    assert_csv("-1-2", "'-1-2");
    assert_csv("-inf", "'-inf");
    assert_csv("-0x10", "'-0x10");
    assert_csv("-1e", "'-1e");
    assert_csv("a=b", "a=b");
}

static void assert_terminal(const char *text, const char *wanted)
{
    g_autofree char *seen = gb_escape_terminal(text);
    assert_string_equal(seen, wanted);
}

static void a_terminal_never_sees_a_control_character(void **state)
{
    (void)state;
    assert_terminal("\x1b]0;owned\x07", "\\x1b]0;owned\\x07");
    assert_terminal("a\tb\x7f", "a\\x09b\\x7f");
    assert_terminal("\xC2\x9B" "31m", "\\x9b31m"); /* CSI in one C1 character */
    assert_terminal("\x9b" "31m", "\xEF\xBF\xBD" "31m");
    for (int c = 1; c < 256; c++) {
        char one[2] = { (char)c, '\0' };
        g_autofree char *seen = gb_escape_terminal(one);
        assert_true(g_utf8_validate(seen, -1, NULL));
        for (const char *p = seen; *p != '\0'; p = g_utf8_next_char(p))
            assert_false(g_unichar_iscntrl(g_utf8_get_char(p)));
    }
}

static void a_terminal_line_stays_one_line_in_reading_order(void **state)
{
    (void)state;
    assert_terminal("one\r\ntwo\nthree\rfour", "one two three four");
    assert_terminal("a\xE2\x80\xA8" "b\xC2\x85" "c", "a b c");
    assert_terminal("roof\xE2\x80\xAEgpj.exe", "roof\\u202egpj.exe");
    assert_terminal("a\xE2\x81\xA6" "b\xE2\x80\x8F" "c\xD8\x9C", "a\\u2066b\\u200fc\\u061c");
    assert_terminal("d\xC3\xA9g\xC3\xA2ts", "d\xC3\xA9g\xC3\xA2ts");
}

static void assert_clean(const char *bytes, gsize n, const char *wanted)
{
    g_autofree char *seen = gb_clean_text(bytes, n);
    if (wanted == NULL)
        assert_null(seen);
    else {
        assert_non_null(seen);
        assert_string_equal(seen, wanted);
    }
}

static void clean_text_is_cut_at_nul_and_trimmed(void **state)
{
    (void)state;
    assert_clean(BYTES("NIKON      \0\0"), "NIKON");
    assert_clean(BYTES("  COOLPIX P6000"), "COOLPIX P6000");
    assert_clean(BYTES("one\0two"), "one");
    assert_clean(BYTES("\xC2\xA0x\xE3\x80\x80"), "x"); /* no-break and ideographic space */
    assert_clean(BYTES("\x01 a\x1b[31mb\r\n"), "a[31mb");
}

static void clean_text_of_nothing_is_null(void **state)
{
    (void)state;
    assert_clean(NULL, 0, NULL);
    assert_clean(BYTES(""), NULL);
    assert_clean(BYTES("\0abc"), NULL);
    assert_clean(BYTES("    "), NULL);
    assert_clean(BYTES("\x01\x02 \x7f"), NULL);
}

static void bytes_that_are_no_utf8_are_latin1_when_they_can_be(void **state)
{
    (void)state;
    assert_clean(BYTES("Andr\xE9"), "Andr\xC3\xA9");
    assert_clean(BYTES("Andr\xC3\xA9"), "Andr\xC3\xA9");
    assert_clean(BYTES("a\x93" "b\xE9"), "a\xEF\xBF\xBD" "b\xEF\xBF\xBD"); /* 93 is a control in ISO 8859-1 */
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(html_markup_characters_become_references),
        cmocka_unit_test(html_keeps_tab_line_ends_and_every_script),
        cmocka_unit_test(html_forbidden_characters_become_u_fffd),
        cmocka_unit_test(csv_quotes_only_where_needed),
        cmocka_unit_test(csv_formulas_are_disarmed_and_numbers_are_not),
        cmocka_unit_test(a_terminal_never_sees_a_control_character),
        cmocka_unit_test(a_terminal_line_stays_one_line_in_reading_order),
        cmocka_unit_test(clean_text_is_cut_at_nul_and_trimmed),
        cmocka_unit_test(clean_text_of_nothing_is_null),
        cmocka_unit_test(bytes_that_are_no_utf8_are_latin1_when_they_can_be),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
