/* test_found.c -- findings, the scope sheet, the page before the visit and the list for the driveway, through the program.
 *
 * Sources: RFC 4180 as Python's csv module reads it (strict), JSON as jansson does, the Nu HTML checker (npm vnu-jar).
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "../e2e_support.h"

#include <jansson.h>

#define HOSTILE "<b>\"two\"</b>, =1+1 \xE2\x80\xAE"

/* Run a line in the test's folder; its exit status must be this, and what it says, on both channels, must hold part.
 * OWNED by the caller. */
static char *says_at(void **state, const char *script, int status, const char *part, int line)
{
    g_autofree char *out = NULL, *err = NULL;
    int seen = sh(*state, &out, &err, script);
    char *both = g_strconcat(out, err, NULL);
    if (seen != status) {
        print_error("%s: exit status %d, wanted %d; it said:\n%s\n", script, seen, status, both);
        _fail(__FILE__, line);
    }
    assert_has_at(both, part, __FILE__, line);
    return both;
}
#define says(state, script, status, part) g_free(says_at((state), (script), (status), (part), __LINE__))

/* FOLDER/c with four photos, three of damage, a measured roof and three findings. */
static int setup_claim(void **state)
{
    static const char *const lines[] = {
        "gablebook new c --cause hail --insured 'Rosa Test' --address 'At <the> \"corner\"'", "gablebook import c card",
        "gablebook tag c 1,2 --place front --subject 'gutter damage'", "gablebook tag c 3 --place 'rear slope' --subject 'hail hit'",
        "gablebook roof c dwelling gable --width 40ft --depth 30ft --pitch 6/12",
        "gablebook finding c add --shots 1,2 --cause hail --action replace --quantity =",
        "gablebook finding c add --shots 3 --cause hail --action replace --quantity '= squares' --note '" HOSTILE "'",
        "gablebook finding c add --place roof --component 'drip edge' --action replace --quantity =",
    };
    if (setup_folder(state) != 0)
        return 1;
    make_card(*state, "card", 4, 32);
    for (gsize i = 0; i < G_N_ELEMENTS(lines); i++)
        if (sh(*state, NULL, NULL, lines[i]) != 0) {
            print_error("%s\n", lines[i]);
            teardown_folder(state); /* cmocka does not, after a setup that failed */
            return 1;
        }
    return 0;
}
#define test_in_claim(f) cmocka_unit_test_setup_teardown(f, setup_claim, teardown_folder)

static void findings_are_listed_changed_taken_out_and_brought_back(void **state)
{
    says(state, "gablebook finding c", 0, "40 LF (eaves)");
    says(state, "gablebook finding c change 1 --action repair --fewer-shots 2", 0, "finding 1: front, Gutter; hail; repair; = eaves; shot 1\n");
    says(state, "gablebook finding c remove 1", 0, "taken out");
    says(state, "gablebook undo c && gablebook undo c && gablebook finding c", 0, "1, 2");
    says(state, "gablebook finding c remove 9", 2, "gablebook: there is no finding 9 in this claim; nothing was changed\n");
    says(state, "gablebook finding c add", 2, "nothing to say");
    says(state, "gablebook finding c change --cause hail", 2, "say which finding, by its number");
    says(state, "gablebook finding c remove 1 --cause hail", 2, "nothing was changed");
    says(state, "gablebook finding c components", 0, "Shingles");
    says(state, "gablebook structure c dwelling --slopes front", 2, "still has 1 shot");
    g_autofree char *list = says_at(state, "gablebook finding c", 0, "drip edge", __LINE__);
    assert_has_not(list, "\xE2\x80\xAE"); /* nothing turns the writing of a terminal round */
}

static void findings_follow_the_roof_when_it_is_measured_again(void **state)
{
    says(state, "gablebook finding c", 0, "147.08 LF (drip edge)");
    says(state, "gablebook roof c --change 1 --pitch 12/12", 0, "");
    says(state, "gablebook finding c", 0, "164.85 LF (drip edge)"); /* 80 ft of eaves and four rakes of 15 ft times the square root of 2 */
    says(state, "gablebook roof c --remove 1", 0, "");
    says(state, "gablebook finding c", 0, "not measured yet (drip edge)");
}

static void the_scope_is_json_that_parses(void **state)
{
    g_autofree char *json_text = says_at(state, "gablebook scope c --json", 0, "structures", __LINE__);
    json_t *json = json_loads(json_text, JSON_REJECT_DUPLICATES, NULL);
    assert_non_null(json);
    assert_int_equal(json_integer_value(json_object_get(json_object_get(json, "counts"), "findings")), 3);
    json_decref(json);
}

static void the_scope_is_csv_that_another_program_reads_strictly(void **state)
{
    if (!have_program("python3"))
        skip();
    says(state, "gablebook scope c --csv --out scope.csv", 0, "scope.csv");
    says(state, "python3 -c \"import csv; r = list(csv.DictReader(open('scope.csv', newline=''), strict=True)); print(len(r), [x['quantity'] for x in r], "
                "r[0]['note'] == '', repr(r[2]['note']))\"", 0, "3 ['40.00', '147.08', '6.71'] True '<b>\"two\"</b>, =1+1 ");
}

/* Source: qpdf --check, pdfinfo. */
static void the_scope_is_a_pdf_on_the_paper_asked_for(void **state)
{
    if (!have_program("qpdf") || !have_program("pdfinfo"))
        skip();
    says(state, "gablebook scope c --pdf --paper a4 --out scope.pdf && qpdf --check scope.pdf", 0, "No syntax or stream encoding errors found");
    says(state, "pdfinfo scope.pdf", 0, "(A4)");
    says(state, "gablebook scope c --pdf --csv", 2, "say one of --html, --pdf, --csv and --json; nothing was written");
    says(state, "gablebook scope c --paper vellum", 2, "'vellum' is no paper; there is 'letter', 'A4'");
}

static void the_scope_sheet_and_a_report_with_findings_pass_the_html_checker(void **state)
{
    const char *checker = g_getenv("GB_VNU");
    if (!have_program("java") || checker == NULL || !g_file_test(checker, G_FILE_TEST_EXISTS)) {
        if (g_getenv("CI") != NULL)
            fail_msg("GB_VNU names no checker, and this is CI");
        skip();
    }
    says(state, "gablebook scope c --html && gablebook brief c --html && gablebook tag c 1-4 --leave-out && gablebook report c", 0, "photo-report.html");
    static const char *const pages[] = { "scope-sheet.html", "brief.html", "photo-report.html" };
    for (gsize i = 0; i < G_N_ELEMENTS(pages); i++) {
        g_autofree char *path = g_build_filename(*state, "c", "reports", pages[i], NULL), *err = NULL;
        const char *argv[] = { "java", "-jar", checker, path, NULL };
        int status = run(argv, NULL, &err);
        if (status != 0 || *err != '\0')
            fail_msg("%s: %.4000s", pages[i], err);
    }
}

static void the_report_names_findings_and_figures_both_ways(void **state)
{
    says(state, "gablebook report c && gablebook scope c --html && gablebook brief c --html && gablebook verify c", 0, "Sound: nothing differs.");
    g_autofree char *path = g_build_filename(*state, "c", "reports", "photo-report.html", NULL), *page = slurp(path);
    assert_has(page, "<a href=\"#figure-1\">Figure 1</a>");
    assert_has(page, "id=\"finding-1\"");
    assert_has(page, "<a href=\"#finding-1\">finding 1</a>");
    assert_has(page, "No photo in this report proves it"); /* the drip edge */
    assert_has_not(page, "<b>\"two\"</b>");
}

static void the_list_for_the_driveway_ends_in_a_plain_yes_or_no(void **state)
{
    g_autofree char *list = says_at(state, "gablebook check c --leaving", 1, "finding 3, Drip edge: no photo proves it", __LINE__);
    assert_true(g_str_has_suffix(list, "\nReady to leave: no\n"));
    says(state, "mkdir -p c/templates/checklists && printf '[checklist]\\nname = Own\\n[a]\\nwhat = A\\nwhere = once\\nsubjects = gutter damage\\n'"
                " > c/templates/checklists/own.ini && gablebook edit c --checklist own", 0, "");
    g_autofree char *done = says_at(state, "gablebook check c --leaving", 0, "yes", __LINE__);
    assert_true(g_str_has_suffix(done, "Ready to leave: yes\n"));
    says(state, "gablebook check c --leaving --json", 0, "\"ready\": true");
}

static void a_caption_that_contradicts_a_fact_stands_in_the_check_and_in_the_driveway(void **state)
{
    says(state, "gablebook fact c roof pitch 6/12 && gablebook tag c 4 --place 'front slope' --caption 'Front slope, pitch 8/12'", 0, "");
    says(state, "gablebook check c", 1, "> DIFFERS front slope: Pitch is 6/12, 26.6\xC2\xB0, but the caption of shot 4 says 8/12");
    says(state, "gablebook check c --leaving", 1, "but the caption of shot 4 says 8/12");
}

static void the_page_before_the_visit_needs_no_photos(void **state)
{
    says(state, "gablebook new d --cause wind && gablebook brief d", 0, "Local codes and licensed practice decide");
    says(state, "gablebook brief d --json", 0, "\"cautions\"");
    says(state, "gablebook brief d --html --json", 2, "contradict each other");
    says(state, "gablebook edit d --insured '<i>Rosa' && gablebook brief d --html --out page.html", 0, "page.html");
    g_autofree char *path = g_build_filename(*state, "page.html", NULL), *page = slurp(path);
    assert_has(page, "&lt;i&gt;Rosa");
    assert_has(page, "<b>Steep roof</b>");
    says(state, "gablebook brief nowhere", 2, "there is no such folder");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        test_in_claim(findings_are_listed_changed_taken_out_and_brought_back),
        test_in_claim(findings_follow_the_roof_when_it_is_measured_again),
        test_in_claim(the_scope_is_json_that_parses),
        test_in_claim(the_scope_is_csv_that_another_program_reads_strictly),
        test_in_claim(the_scope_is_a_pdf_on_the_paper_asked_for),
        test_in_claim(the_scope_sheet_and_a_report_with_findings_pass_the_html_checker),
        test_in_claim(the_report_names_findings_and_figures_both_ways),
        test_in_claim(the_list_for_the_driveway_ends_in_a_plain_yes_or_no),
        test_in_claim(a_caption_that_contradicts_a_fact_stands_in_the_check_and_in_the_driveway),
        test_in_claim(the_page_before_the_visit_needs_no_photos),
    };
    return cmocka_run_group_tests_name("found", tests, NULL, NULL);
}
