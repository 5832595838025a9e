/* test_scope.c -- the scope sheet: its order, its totals, its four forms.
 *
 * Sources: RFC 4180 (CRLF, quoted fields, doubled quotes); a square is 100 square feet (US Army EN5156, para. 3-15);
 * that formulas run in spreadsheets: OWASP, CSV injection (from memory).
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "claim_support.h"
#include "photo_support.h"

#include <gablebook/edit.h>
#include <gablebook/error.h>
#include <gablebook/scope.h>
#include <gablebook/structure.h>
#include <gablebook/tag.h>

#define HOSTILE "<script>alert(1)</script> & \"two\", courses"

static void add(GbLog *log, GbFindingEdit edit)
{
    g_autoptr(GError) error = NULL;
    gb_finding_add(log, &edit, NULL, NULL, &error);
    assert_no_error(error);
}

/* Findings on the roof, at the garage, at the front and on the site, in no order. Figures: 1 is shot 3 (front), 2-4 are
 * shots 1, 2, 4. */
static GbLog *claim_with_findings(void **state)
{
    g_autoptr(GError) error = NULL;
    GbLog *log = new_claim(state);
    gb_edit(log, &(GbEdit){ .address = "418 Elm Lane " HOSTILE, .cause = "hail" }, &error);
    gb_structure_edit(log, &(GbStructureEdit){ .name = "garage", .elevations = "all", .slopes = "left" }, NULL, &error);
    assert_no_error(error);
    enter_photos(log, 5);
    gb_tag(log, "1,2,4", &(GbTag){ .place = "rear slope", .subject = "hail hit" }, NULL, &error);
    gb_tag(log, "3", &(GbTag){ .place = "front", .subject = "gutter damage" }, NULL, &error);
    gb_tag(log, "5", &(GbTag){ .place = "front", .in_report = GB_LEAVE_OUT }, NULL, &error);
    assert_no_error(error);
    add(log, (GbFindingEdit){ .place = "garage left slope", .component = "shingles", .cause = "hail", .action = "replace", .quantity = "350 SF" });
    add(log, (GbFindingEdit){ .shots = "1,2,4", .cause = "hail", .action = "replace", .quantity = "3.5 SQ", .note = HOSTILE });
    add(log, (GbFindingEdit){ .shots = "3,5", .component = "gutter", .action = "repair", .quantity = "12", .note = "=1+1" });
    add(log, (GbFindingEdit){ .place = "site", .component = "mailbox", .cause = "hail", .action = "none" });
    add(log, (GbFindingEdit){ .place = "rear slope", .component = "shingles", .cause = "wind", .action = "repair", .quantity = "2 EA" });
    add(log, (GbFindingEdit){ .place = "roof", .component = "drip edge", .cause = "hail", .action = "replace", .quantity = "=" });
    return log;
}

static GbDossier *load(GbLog *log)
{
    g_autoptr(GError) error = NULL;
    GbDossier *dossier = gb_dossier_load(log, &error);
    assert_no_error(error);
    return dossier;
}

static const char *text(const json_t *object, const char *key)
{
    return json_string_value(json_object_get(object, key));
}

static void lines_go_by_structure_and_place(void **state)
{
    g_autoptr(GbLog) log = claim_with_findings(state);
    g_autoptr(GbDossier) dossier = load(log);
    json_t *sheet = gb_scope_json(dossier);
    g_autoptr(GString) order = g_string_new(NULL);
    gsize s, l;
    const json_t *structure, *line;
    json_array_foreach(json_object_get(sheet, "structures"), s, structure) {
        g_string_append_printf(order, "%s:", text(structure, "title"));
        json_array_foreach(json_object_get(structure, "lines"), l, line)
            g_string_append_printf(order, " %d %s", (int)json_integer_value(json_object_get(line, "number")), text(line, "part"));
        g_string_append_c(order, '\n');
    }
    assert_string_equal(order->str, "Site: 4 Site\nDwelling: 3 Front elevation 6 Roof 2 Rear slope 5 Rear slope\nGarage: 1 Left slope\n");
    json_decref(sheet);
}

static void only_what_is_the_same_is_added_up(void **state)
{
    g_autoptr(GbLog) log = claim_with_findings(state);
    g_autoptr(GbDossier) dossier = load(log);
    json_t *sheet = gb_scope_json(dossier);
    const json_t *totals = json_object_get(sheet, "totals"), *total;
    g_autoptr(GString) seen = g_string_new(NULL);
    gsize i;
    json_array_foreach(totals, i, total)
        g_string_append_printf(seen, "%s, %s: %s (%d)\n", text(total, "component"), text(total, "action"), text(total, "quantity"),
                               (int)json_integer_value(json_object_get(total, "findings")));
    /* 3.5 SQ and 350 SF are 7 SQ; repairing 2 pieces is another thing; no quantity and nothing to do count for nothing */
    assert_string_equal(seen->str, "Gutter, repair: 12 LF (1)\nShingles, remove and replace: 7 SQ (2)\nShingles, repair: 2 EA (1)\n");
    const json_t *counts = json_object_get(sheet, "counts");
    assert_int_equal(json_integer_value(json_object_get(counts, "findings")), 6);
    assert_int_equal(json_integer_value(json_object_get(counts, "without_quantity")), 1);
    assert_int_equal(json_integer_value(json_object_get(counts, "without_photo")), 4);
    json_decref(sheet);
}

static void the_csv_is_as_rfc_4180_has_it_and_runs_no_formula(void **state)
{
    g_autoptr(GbLog) log = claim_with_findings(state);
    g_autoptr(GbDossier) dossier = load(log);
    g_autofree char *csv = gb_scope_csv(dossier);
    assert_string_equal(csv,
        "finding,structure,place,component,cause,action,quantity,unit,follows,figures,shots,note\r\n"
        "4,Site,Site,Mailbox,hail,none,,,,,,\r\n"
        "3,Dwelling,Front elevation,Gutter,,repair,12.00,LF,,1,3; 5,'=1+1\r\n"
        "6,Dwelling,Roof,Drip edge,hail,remove and replace,,,drip edge,,,\r\n"
        "2,Dwelling,Rear slope,Shingles,hail,remove and replace,3.50,SQ,,2; 3; 4,1; 2; 4,\"<script>alert(1)</script> & \"\"two\"\", courses\"\r\n"
        "5,Dwelling,Rear slope,Shingles,wind,repair,2.00,EA,,,,\r\n"
        "1,Garage,Left slope,Shingles,hail,remove and replace,350.00,SF,,,,\r\n");
}

static void the_page_is_harmless_and_names_the_figures(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbLog) log = claim_with_findings(state);
    g_autoptr(GbDossier) dossier = load(log);
    g_autofree char *written = NULL;
    gb_scope_html(log, dossier, NULL, NULL, &written, &error);
    assert_no_error(error);
    assert_true(g_str_has_suffix(written, "/reports/scope-sheet.html"));
    g_autofree char *page = slurp(written);
    assert_null(strstr(page, "<script>"));
    assert_non_null(strstr(page, "&lt;script&gt;alert(1)"));
    assert_non_null(strstr(page, "2, 3, 4</td>"));
    assert_non_null(strstr(page, "Without a quantity: 1 of 6."));
    assert_non_null(strstr(page, "not measured yet (drip edge)"));
    g_autofree char *again = NULL, *other = g_build_filename(*state, "other.html", NULL);
    gb_scope_html(log, dossier, NULL, other, NULL, &error);
    assert_no_error(error);
    again = slurp(other);
    assert_string_equal(again, page); /* same log, same bytes */
}

/* Source: pdftotext and qpdf --check. */
static void the_pdf_says_what_the_page_says_and_leads_to_the_photo_report(void **state)
{
    g_autoptr(GError) error = NULL;
    if (!have_program("pdftotext") || !have_program("qpdf"))
        skip();
    g_autoptr(GbLog) log = claim_with_findings(state);
    g_autoptr(GbDossier) dossier = load(log);
    g_autofree char *written = NULL, *again = g_build_filename(*state, "again.pdf", NULL), *said = NULL, *checked = NULL, *shown = NULL;
    gb_scope_pdf(log, dossier, &(GbReportOptions){ 0 }, &written, &error);
    assert_no_error(error);
    assert_true(g_str_has_suffix(written, "/reports/scope-sheet.pdf"));
    const char *ask[] = { "pdftotext", "-raw", written, "-", NULL }, *check[] = { "qpdf", "--check", written, NULL };
    const char *show[] = { "qpdf", "--qdf", "--object-streams=disable", written, "-", NULL };
    assert_int_equal(run(ask, &said, NULL), 0);
    assert_int_equal(run(check, &checked, NULL), 0);
    assert_int_equal(run(show, &shown, NULL), 0);
    static const char *const parts[] = { "SCOPE SHEET", "418 Elm Lane", "Without a quantity: 1 of 6.", "Site", "Mailbox", "Dwelling", "12 LF",
                                         "not measured", "Drip edge", "3.5 SQ", "<script>alert(1)", "2, 3, 4", "Garage", "Totals",
                                         "page 1 of " };
    for (gsize i = 0; i < G_N_ELEMENTS(parts); i++)
        if (strstr(said, parts[i]) == NULL)
            fail_msg("'%s' is not in '%s'", parts[i], said);
    assert_non_null(strstr(shown, "/GoToR"));
    assert_non_null(strstr(shown, "(photo-report.pdf)"));
    gb_scope_pdf(log, dossier, &(GbReportOptions){ .out = again }, NULL, &error);
    assert_no_error(error);
    g_autofree char *one = sha256sum(written), *two = sha256sum(again);
    assert_string_equal(one, two);
}

static void a_claim_without_findings_says_so_in_every_form(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbLog) log = new_claim(state);
    g_autoptr(GbDossier) dossier = load(log);
    g_autofree char *csv = gb_scope_csv(dossier), *written = NULL;
    assert_string_equal(csv, "finding,structure,place,component,cause,action,quantity,unit,follows,figures,shots,note\r\n");
    gb_scope_html(log, dossier, NULL, NULL, &written, &error);
    assert_no_error(error);
    g_autofree char *page = slurp(written);
    assert_non_null(strstr(page, "No findings are written down."));
    assert_null(strstr(page, "Totals"));
    g_autofree char *pdf = NULL;
    gb_scope_pdf(log, dossier, &(GbReportOptions){ .paper = GB_PAPER_A4 }, &pdf, &error);
    assert_no_error(error);
    assert_true(g_file_test(pdf, G_FILE_TEST_IS_REGULAR));
}

static void a_faulty_template_is_told_with_its_line_and_spoils_no_other_page(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbLog) log = claim_with_findings(state);
    g_autoptr(GbDossier) dossier = load(log);
    g_autofree char *folder = gb_log_path(log, "templates", "report", NULL), *own = g_build_filename(folder, "scope-sheet.html", NULL);
    assert_int_equal(g_mkdir_with_parents(folder, 0755), 0);
    assert_true(g_file_set_contents(own, "<p>\n{{#lines}}", -1, NULL));
    assert_false(gb_scope_html(log, dossier, NULL, NULL, NULL, &error));
    assert_error(error, GB_ERROR_SYNTAX, "scope-sheet.html:2: section 'lines' is not closed");
    assert_true(g_file_set_contents(own, "{{title}}: {{counts.findings}}", -1, NULL));
    g_autofree char *written = NULL;
    gb_scope_html(log, dossier, NULL, NULL, &written, &error);
    assert_no_error(error);
    g_autofree char *page = slurp(written);
    assert_non_null(strstr(page, ": 6\n")); /* and the line with its digest */
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        test_in_folder(lines_go_by_structure_and_place),
        test_in_folder(only_what_is_the_same_is_added_up),
        test_in_folder(the_csv_is_as_rfc_4180_has_it_and_runs_no_formula),
        test_in_folder(the_page_is_harmless_and_names_the_figures),
        test_in_folder(the_pdf_says_what_the_page_says_and_leads_to_the_photo_report),
        test_in_folder(a_claim_without_findings_says_so_in_every_form),
        test_in_folder(a_faulty_template_is_told_with_its_line_and_spoils_no_other_page),
    };
    return cmocka_run_group_tests_name("scope", tests, NULL, NULL);
}
