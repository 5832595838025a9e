/* test_locale.c -- days, times and numbers as people of a place write them, held against the CLDR that node (ECMA-402, Intl) carries.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "test.h"

#include <gablebook/error.h>
#include <gablebook/locale.h>
#include <gablebook/settings.h>

static const GbLocale *locale_of(const char *tag)
{
    g_autoptr(GError) error = NULL;
    const GbLocale *locale = NULL;
    gb_locale_parse(tag, &locale, &error);
    assert_no_error(error);
    return locale;
}

static void assert_written(const char *tag, const char *text, GbLocaleParts parts, const char *wanted)
{
    g_autofree char *got = gb_locale_text(locale_of(tag), text, parts);
    assert_string_equal(got, wanted);
}

/* --- against node --- */

/* What Intl says of one locale: a morning and an afternoon, three numbers; a tab between. Blanks that don't break are blanks. */
#define SCRIPT                                                                                                                      \
    "const l=process.argv[1],u={timeZone:'UTC'},d=h=>new Date(Date.UTC(2026,4,7,h,2,8)),"                                           \
    "D=new Intl.DateTimeFormat(l,{...u,year:'numeric',month:'numeric',day:'numeric'}),"                                             \
    "T=new Intl.DateTimeFormat(l,{...u,timeStyle:'medium'}),N=new Intl.NumberFormat(l,{minimumFractionDigits:1}),"                  \
    "I=new Intl.NumberFormat(l);"                                                                                                   \
    "console.log([D.format(d(0)),T.format(d(0)),T.format(d(15)),T.format(d(12)),N.format(1976.7),I.format(20803944),N.format(0.5)]" \
    ".join('\\t').replace(/[\\u00a0\\u202f]/g,' '))"

static char *plain_blanks(const char *text)
{
    g_autoptr(GString) plain = g_string_new(text);
    g_string_replace(plain, "\xc2\xa0", " ", 0);
    g_string_replace(plain, "\xe2\x80\xaf", " ", 0);
    return g_string_free(g_steal_pointer(&plain), FALSE);
}

/* CLDR moves a little from year to year: 42 (of node 18, which Debian 12 has) differs in days or times of en-CA, es-US, es-MX and it-IT. A node
 * that is older than the table is asked for those alone that have stood for long. */
static gboolean must_agree(const char *tag)
{
    static const char *const settled[] = { "en-US", "en-GB", "fr-FR", "de-DE", "pt-BR", NULL };
    g_autofree char *version = NULL;
    assert_int_equal(run((const char *[]){ "node", "-p", "process.versions.cldr", NULL }, &version, NULL), 0);
    return g_strv_contains(settled, tag) || g_ascii_strtod(version, NULL) >= 48;
}

/* Source: Unicode CLDR, through node's Intl: whichever version that node has. */
static void every_locale_writes_as_cldr_has_it(void **state)
{
    (void)state;
    static const struct { const char *text; GbLocaleParts parts; } asked[] = {
        { "2026-05-07", GB_LOCALE_TIMES }, { "00:02:08", GB_LOCALE_TIMES }, { "15:02:08", GB_LOCALE_TIMES }, { "12:02:08", GB_LOCALE_TIMES },
        { "1976.7", GB_LOCALE_NUMBERS }, { "20803944", GB_LOCALE_NUMBERS }, { "0.5", GB_LOCALE_NUMBERS },
    };
    if (!have_program("node"))
        skip();
    for (const char *const *tag = gb_locale_tags() + 1; *tag != NULL; tag++) {
        g_autofree char *out = NULL;
        const char *argv[] = { "node", "-e", SCRIPT, *tag, NULL };
        assert_int_equal(run(argv, &out, NULL), 0);
        g_auto(GStrv) wanted = g_strsplit(g_strchomp(out), "\t", -1);
        assert_int_equal(g_strv_length(wanted), G_N_ELEMENTS(asked));
        gboolean agree = must_agree(*tag);
        for (gsize i = 0; i < G_N_ELEMENTS(asked); i++) {
            g_autofree char *got = gb_locale_text(locale_of(*tag), asked[i].text, asked[i].parts), *plain = plain_blanks(got);
            if (strcmp(plain, wanted[i]) == 0)
                continue;
            print_message("%s: '%s' is written '%s'; this node's CLDR has '%s'\n", *tag, asked[i].text, plain, wanted[i]);
            assert_false(agree);
        }
    }
}

/* --- in texts --- */

static void only_what_is_a_day_a_time_or_a_number_changes(void **state)
{
    (void)state;
    const GbLocaleParts both = GB_LOCALE_TIMES | GB_LOCALE_NUMBERS;
    assert_written("de-DE", "2026-05-14 15:02:08 to 2026-05-14 16:15:40, local time", both, "14.5.2026, 15:02:08 to 14.5.2026, 16:15:40, local time");
    assert_written("de-DE", "1976.7 sq ft, 19.77 squares", both, "1.976,7 sq ft, 19,77 squares");
    assert_written("de-DE", "1,234.5 LF, 12,345,678 B, 33,34", both, "1.234,5 LF, 12.345.678 B, 33,34");
    assert_written("es-ES", "1,234.5 LF", both, "1234,5 LF");
    assert_written("de-DE", "−101.1 sq ft", both, "−101,1 sq ft");
    assert_written("de-DE", "ends in 12.5.", both, "ends in 12,5.");
    static const char *const kept[] = { "7.5/12", "0.1.0", "IMG_2104.JPG", "IMG_1234.5x", "17' 0 5/8\"", "2026-05-14T15:02:08", "12026-05-14", "2026-5-4",
                                        "UTC-05:00", "4.4px", "#12345", "" };
    for (gsize i = 0; i < G_N_ELEMENTS(kept); i++)
        assert_written("de-DE", kept[i], both, kept[i]);
}

static void asked_for_whole_nothing_changes_that_has_more_to_it(void **state)
{
    (void)state;
    assert_written("en-GB", "2026-05-14", GB_LOCALE_TIMES | GB_LOCALE_WHOLE, "14/05/2026");
    assert_written("en-GB", "2026-05-14 15:02:08", GB_LOCALE_TIMES | GB_LOCALE_WHOLE, "14/05/2026, 15:02:08");
    assert_written("en-GB", "since 2026-05-14", GB_LOCALE_TIMES | GB_LOCALE_WHOLE, "since 2026-05-14");
    assert_written("en-GB", "2026-05-14, they said", GB_LOCALE_TIMES | GB_LOCALE_WHOLE, "2026-05-14, they said");
}

static void a_quoted_letter_of_a_pattern_is_a_letter(void **state)
{
    (void)state;
    assert_written("fr-CA", "15:02:08", GB_LOCALE_TIMES, "15 h 02 min 08 s");
}

/* --- which --- */

static void a_tag_is_known_in_any_case_and_with_either_dash(void **state)
{
    (void)state;
    assert_string_equal(gb_locale_tag(locale_of("EN_us")), "en-US");
    assert_null(locale_of("iso"));
    for (const char *const *tag = gb_locale_tags() + 1; *tag != NULL; tag++)
        assert_string_equal(gb_locale_tag(locale_of(*tag)), *tag);
}

static void an_unknown_one_is_told_with_all_that_there_are(void **state)
{
    (void)state;
    g_autoptr(GError) error = NULL;
    const GbLocale *locale;
    assert_false(gb_locale_parse("tlh\x1b[1m", &locale, &error));
    assert_true(g_error_matches(error, GB_ERROR, GB_ERROR_UNKNOWN));
    assert_null(strchr(error->message, '\x1b'));
    for (const char *const *tag = gb_locale_tags(); *tag != NULL; tag++)
        assert_non_null(strstr(error->message, *tag));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_locale_writes_as_cldr_has_it),
        cmocka_unit_test(only_what_is_a_day_a_time_or_a_number_changes),
        cmocka_unit_test(asked_for_whole_nothing_changes_that_has_more_to_it),
        cmocka_unit_test(a_quoted_letter_of_a_pattern_is_a_letter),
        cmocka_unit_test(a_tag_is_known_in_any_case_and_with_either_dash),
        cmocka_unit_test(an_unknown_one_is_told_with_all_that_there_are),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
