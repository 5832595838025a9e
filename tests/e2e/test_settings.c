/* test_settings.c -- settings and sets as a user meets them; every test has a configuration of its own.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "../e2e_support.h"

#include <glib/gstdio.h>

/* Run with $XDG_CONFIG_HOME in the test's folder. */
static int with_settings(void **state, char **out, char **err, const char *script)
{
    g_autofree char *whole = g_strconcat("export XDG_CONFIG_HOME=$PWD/config; ", script, NULL);
    return sh(*state, out, err, whole);
}

static void says_at(void **state, const char *script, int status, const char *part, int line)
{
    g_autofree char *out = NULL, *err = NULL;
    int seen = with_settings(state, &out, &err, script);
    g_autofree char *both = g_strconcat(out, err, NULL);
    if (seen != status) {
        print_error("%s: exit status %d, wanted %d; it said:\n%s\n", script, seen, status, both);
        _fail(__FILE__, line);
    }
    assert_has_at(both, part, __FILE__, line);
}
#define says(state, script, status, part) says_at((state), (script), (status), (part), __LINE__)

/* A set with one checklist of its own, a subject of its own and a template. */
static int setup_set(void **state)
{
    if (setup_folder(state) != 0)
        return 1;
    return with_settings(state, NULL, NULL,
        "s=config/gablebook/sets/alder-mutual; mkdir -p $s/checklists $s/report &&"
        " printf '[dome]\\nname = Skylight dome\\nplain = A dome in the roof.\\n' > $s/subjects.ini &&"
        " printf '[checklist]\\nname = Alder hail\\n[domes]\\nwhat = Every dome\\nwhere = each slope\\nsubjects = skylight dome\\n'"
        " > $s/checklists/alder-hail.ini && printf '<p>{{claim.insured}}</p>' > $s/report/photo-report.html && touch $s/.hidden");
}
#define test_with_set(f) cmocka_unit_test_setup_teardown(f, setup_set, teardown_folder)

static void a_setting_goes_into_new_claims_and_what_is_said_comes_before_it(void **state)
{
    says(state, "gablebook settings adjuster 'M. Tarn'", 0, "adjuster: M. Tarn");
    says(state, "gablebook settings adjuster", 0, "M. Tarn\n");
    says(state, "gablebook settings checklist fire-basic", 0, "checklist: fire-basic");
    says(state, "gablebook new a && gablebook edit a", 0, "Adjuster         M. Tarn");
    says(state, "gablebook edit a", 0, "Checklist        fire-basic");
    says(state, "gablebook new b --adjuster 'O. Ther' --checklist interior-water && gablebook edit b", 0, "Adjuster         O. Ther");
    says(state, "gablebook edit b", 0, "Checklist        interior-water");
    says(state, "gablebook new c --adjuster '' && gablebook edit c", 0, "Adjuster         -");
    says(state, "gablebook settings adj '' && gablebook new d && gablebook edit d", 0, "Adjuster         -");
}

static void claims_made_of_a_card_begin_with_the_settings_as_well(void **state)
{
    make_card(*state, "card", 2, 32);
    says(state, "gablebook settings adjuster 'M. Tarn' && gablebook visits card --into day", 0, "2 photos taken in");
    says(state, "gablebook edit day/*", 0, "Adjuster         M. Tarn");
}

static void settings_keep_the_remarks_in_the_file(void **state)
{
    says(state, "mkdir -p config/gablebook && printf '# mine\\n[settings]\\n# me\\nadjuster = A\\n' > config/gablebook/settings.ini &&"
                " gablebook settings checklist fire-basic && cat config/gablebook/settings.ini", 0, "# me\nadjuster=A\n");
    says(state, "cat config/gablebook/settings.ini", 0, "# mine\n");
    says(state, "gablebook settings", 0, "fire-basic");
}

static void a_fault_in_the_settings_is_told_with_its_line_and_nothing_is_made_or_written(void **state)
{
    says(state, "mkdir -p config/gablebook && printf '[settings]\\nadjustor = A\\n' > config/gablebook/settings.ini && gablebook new a", 2,
         "settings.ini:2: 'adjustor' is no key of this file; nearest: 'adjuster'");
    says(state, "gablebook settings adjuster B", 2, "settings.ini:2:");
    says(state, "cat config/gablebook/settings.ini; ls", 0, "adjustor = A\nconfig\n");
    says(state, "printf '[setings]\\nadjuster = A\\n' > config/gablebook/settings.ini && gablebook new a", 2, "settings.ini:1: [setings]");
    says(state, "gablebook settings frob 1", 2, "'frob' is no setting");
}

/* What is built from a claim must not depend on whose machine it is. */
static void a_file_with_a_byte_order_mark_is_read_and_changed(void **state)
{
    says(state, "mkdir -p config/gablebook && printf '\\357\\273\\277[settings]\\r\\nadjuster = A\\r\\n' > config/gablebook/settings.ini &&"
         " gablebook settings adjuster", 0, "A\n");
    says(state, "gablebook settings checklist fire-basic && gablebook settings", 0, "fire-basic");
    says(state, "gablebook settings adjuster", 0, "A\n");
}

static void what_would_make_the_file_unreadable_is_not_written(void **state)
{
    says(state, "gablebook settings adjuster A && gablebook settings adjuster \"$(printf 'B\\033[1m')\"", 2, "nothing was changed");
    says(state, "gablebook settings adjuster", 0, "A\n");
}

static void a_report_is_the_same_whatever_the_settings_are(void **state)
{
    make_card(*state, "card", 1, 32);
    says(state, "gablebook new a && gablebook import a card && gablebook report a -o one.html && gablebook settings adjuster X &&"
                " gablebook settings checklist fire-basic && gablebook report a -o two.html && cmp one.html two.html", 0, "");
}

static void a_set_is_copied_into_the_claim_and_its_only_checklist_holds(void **state)
{
    says(state, "gablebook new a --set alder && diff -r -x .hidden a/templates config/gablebook/sets/alder-mutual", 0, "");
    says(state, "test ! -e a/templates/.hidden && gablebook edit a", 0, "Checklist        alder-hail");
    says(state, "gablebook check a", 1, "domes, front slope");
    says(state, "gablebook settings set alder && gablebook new b && gablebook check b", 1, "domes, front slope");
    says(state, "gablebook new c --set '' && gablebook edit c", 0, "Checklist        exterior-wind-hail");
    says(state, "gablebook new d --set ./config/gablebook/sets/alder-mutual && gablebook edit d", 0, "alder-hail");
    says(state, "gablebook new e --set alder --checklist fire-basic && gablebook edit e", 0, "Checklist        fire-basic");
}

static void a_set_that_is_a_path_is_found_from_everywhere(void **state)
{
    says(state, "gablebook settings set ./config/gablebook/sets/alder-mutual && mkdir away && cd away && gablebook new a && gablebook edit a", 0,
         "Checklist        alder-hail");
    says(state, "gablebook settings set ./nope", 2, "nope: there is no such folder; nothing was changed");
    says(state, "gablebook settings set", 0, "/config/gablebook/sets/alder-mutual\n");
}

static void a_set_with_a_fault_makes_no_claim_and_the_line_is_told(void **state)
{
    says(state, "echo 'frob = 1' >> config/gablebook/sets/alder-mutual/checklists/alder-hail.ini && gablebook new a --set alder", 2,
         "alder-hail.ini:7: 'frob' is no key");
    says(state, "test ! -e a && gablebook new a --set nope", 2, "'nope' is no set; there is 'alder-mutual'");
    says(state, "test ! -e a && gablebook new a --set ./nope", 2, "no such folder");
    says(state, "gablebook settings set nope", 2, "'nope' is no set");
    says(state, "test ! -e a && gablebook settings set", 0, "");
}

static void lint_tells_every_fault_with_its_line_and_the_program_s_own_files_have_none(void **state)
{
    g_autofree char *templates = source_path("templates"), *path = g_canonicalize_filename(templates, NULL);
    g_autofree char *own = g_strdup_printf("gablebook checklist lint '%s'", path);
    says(state, own, 0, "0 faults");
    says(state, "gablebook checklist lint config/gablebook/sets", 0, "3 files looked at, 0 faults");
    says(state, "printf '[checklist]\\nname = x\\ncauses = hial\\n[a]\\nwhat=\\n[b]\\nwhat = b\\nwhere = nowhere\\n' > bad.ini &&"
                " gablebook checklist lint bad.ini", 1, "bad.ini:3: 'hial' is no cause; nearest: 'hail'\nbad.ini:5: 'what' says nothing");
    says(state, "gablebook checklist lint bad.ini", 1, "bad.ini:8: 'nowhere' is no word for where");
    says(state, "gablebook checklist lint bad.ini --json", 1, "\"kind\": \"checklist\"");
    says(state, "printf '{{#claim}}' > page.html; gablebook checklist lint page.html", 1, "page.html:1:");
    says(state, "mkdir x && printf '[a]\\nnmae = A\\n' > x/subjects.ini; gablebook checklist lint x", 1, "x/subjects.ini:2: 'nmae'");
    says(state, "gablebook checklist lint nope.ini", 1, "nope.ini");
    says(state, "gablebook checklist lint config/gablebook/sets/alder-mutual/.hidden", 1, "it was not looked at");
    says(state, "mkdir empty && gablebook checklist lint empty", 1, "0 files looked at");
}

static void measurements_are_shown_in_the_units_of_the_settings(void **state)
{
    says(state, "gablebook new a && gablebook roof a 'rear slope' rectangle --eave 40ft --up 16ft && gablebook roof a", 0, "640.0 sq ft");
    says(state, "gablebook roof a --metric > metric.txt; gablebook settings units met", 0, "units: metres");
    says(state, "gablebook roof a | cmp - metric.txt", 0, "");
    says(state, "gablebook settings units cubits", 2, "'cubits' is no word for units; there is 'feet', 'metres'");
}

/* The letterhead goes into the claim, so that the report needs no settings any more. */
static void the_letterhead_of_the_settings_is_copied_into_the_claim_and_stands_in_its_report(void **state)
{
    make_card(*state, "card", 1, 32);
    says(state, "gablebook settings letterhead 'Tarn & Sons' && gablebook settings letterhead-address '12 Mill Row; Alder Falls' &&"
                " gablebook settings letterhead-logo card/IMG_0001.JPG && gablebook new a && gablebook import a card", 0, "a new claim");
    says(state, "cmp a/templates/logo.jpg card/IMG_0001.JPG && cat a/templates/letterhead.ini", 0, "address=12 Mill Row; Alder Falls");
    says(state, "gablebook settings letterhead '' && gablebook report a && grep -c 'Tarn &amp; Sons' a/reports/photo-report.html", 0, "");
    says(state, "echo text > x.png && gablebook settings letterhead-logo x.png && gablebook new b", 2, "x.png: a logo is a JPEG or a PNG");
    says(state, "test ! -e b && gablebook settings letterhead-logo nope.png", 2, "nope.png: there is no such file");
}

static void a_set_with_a_letterhead_keeps_its_own(void **state)
{
    says(state, "printf '[letterhead]\nname = Alder Mutual\n' > config/gablebook/sets/alder-mutual/letterhead.ini &&"
                " gablebook settings letterhead 'Tarn' && gablebook new a --set alder && cat a/templates/letterhead.ini", 0, "Alder Mutual");
}

/* Reference: pdfinfo (poppler). */
static void a_PDF_is_on_the_paper_of_the_settings_unless_another_is_asked_for(void **state)
{
    if (!have_program("pdfinfo"))
        skip();
    make_card(*state, "card", 1, 32);
    says(state, "gablebook new a && gablebook import a card && gablebook settings paper a4", 0, "paper: A4");
    says(state, "gablebook report a --pdf -o a.pdf && pdfinfo a.pdf", 0, "(A4)");
    says(state, "gablebook report a --pdf --paper letter -o b.pdf && pdfinfo b.pdf", 0, "(letter)");
    says(state, "gablebook settings paper foolscap", 2, "'foolscap' is no paper; there is 'letter', 'A4'");
}

/* All four reports, as page and PDF; LC_ALL and LANG are those of whoever builds and count for nothing. */
static void days_and_numbers_are_as_the_locale_has_them_and_never_as_the_environment(void **state)
{
    make_card(*state, "card", 1, 32);
    says(state, "gablebook new a --inspected 2026-05-14 && gablebook import a card && gablebook tag a 1 --place front --subject overview &&"
                " gablebook finding a add --place front --component gutter --cause hail --action replace --quantity '1234.5 LF' --shots 1 --note 'seen 2026-05-14, 7.5'", 0, "finding 1");
    static const char *const builds[] = { "report a", "report a --for reviewer", "report a --for insured", "scope a --html" };
    for (gsize i = 0; i < G_N_ELEMENTS(builds); i++) {
        g_autofree char *page = g_strdup_printf("gablebook %s --locale de-DE -o de.html && cat de.html", builds[i]);
        says(state, page, 0, "14.5.2026");
        says(state, "cat de.html", 0, "written as in de-DE (Unicode CLDR)");
        g_autofree char *plain = g_strdup_printf("gablebook %s -o 1.html && LC_ALL=de_DE.UTF-8 gablebook %s -o 2.html && cmp 1.html 2.html &&"
                                                 " cat 1.html", builds[i], builds[i]);
        says(state, plain, 0, "2026-05-14");
        says(state, "grep -c CLDR 1.html", 1, "0");
    }
    says(state, "gablebook scope a --html --locale de-DE -o de.html && cat de.html", 0, "1.234,5");
    says(state, "cat de.html", 0, "seen 2026-05-14, 7.5");
    if (have_program("pdftotext"))
        for (gsize i = 0; i < G_N_ELEMENTS(builds); i++) {
            g_auto(GStrv) words = g_strsplit(builds[i], " --html", 2);
            g_autofree char *pdf = g_strdup_printf("gablebook %s --pdf --locale en-us -o en.pdf && pdftotext en.pdf - | tr '\n' ' '", words[0]);
            says(state, pdf, 0, "5/14/2026");
            says(state, "pdftotext en.pdf - | tr '\n' ' '", 0, "written as in en-US");
        }
    says(state, "gablebook report a --locale de-DE --json", 0, "\"inspection_date\": \"2026-05-14\"");
    says(state, "gablebook scope a --csv", 0, "1234.50");
    says(state, "gablebook settings locale EN_gb && gablebook report a -o gb.html && cat gb.html", 0, "14/05/2026");
    says(state, "gablebook report a --locale iso -o iso.html && cmp iso.html 1.html; grep -c 14/05/2026 iso.html", 1, "0");
    says(state, "gablebook settings locale xx", 2, "'xx' is no locale that is known here; there is ISO, en-US");
}

static void a_printed_checklist_is_one_to_begin_with(void **state)
{
    says(state, "gablebook checklist print ext > mine.ini && gablebook checklist lint mine.ini", 0, "1 file looked at, 0 faults");
    says(state, "gablebook checklist", 0, "fire-basic");
    says(state, "gablebook checklist print", 2, "usage:");
    says(state, "gablebook checklist frob", 2, "'frob' is no thing to do");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        test_in_folder(a_setting_goes_into_new_claims_and_what_is_said_comes_before_it),
        test_in_folder(claims_made_of_a_card_begin_with_the_settings_as_well),
        test_in_folder(settings_keep_the_remarks_in_the_file),
        test_in_folder(a_fault_in_the_settings_is_told_with_its_line_and_nothing_is_made_or_written),
        test_in_folder(a_file_with_a_byte_order_mark_is_read_and_changed),
        test_in_folder(what_would_make_the_file_unreadable_is_not_written),
        test_in_folder(a_report_is_the_same_whatever_the_settings_are),
        test_with_set(a_set_is_copied_into_the_claim_and_its_only_checklist_holds),
        test_with_set(a_set_that_is_a_path_is_found_from_everywhere),
        test_with_set(a_set_with_a_fault_makes_no_claim_and_the_line_is_told),
        test_with_set(lint_tells_every_fault_with_its_line_and_the_program_s_own_files_have_none),
        test_in_folder(measurements_are_shown_in_the_units_of_the_settings),
        test_in_folder(the_letterhead_of_the_settings_is_copied_into_the_claim_and_stands_in_its_report),
        test_with_set(a_set_with_a_letterhead_keeps_its_own),
        test_in_folder(a_PDF_is_on_the_paper_of_the_settings_unless_another_is_asked_for),
        test_in_folder(days_and_numbers_are_as_the_locale_has_them_and_never_as_the_environment),
        test_in_folder(a_printed_checklist_is_one_to_begin_with),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
