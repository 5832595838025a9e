/* test_dossier.c -- everything about a claim, loaded at once, with the claim's own subjects and checklists.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "claim_support.h"
#include "photo_support.h"

#include <gablebook/dossier.h>
#include <gablebook/edit.h>
#include <gablebook/error.h>
#include <gablebook/history.h>
#include <gablebook/tag.h>
#include <log/rows.h>

#define OWN_LIST "[checklist]\nname = Own list\n[one]\nwhat = One thing\nwhere = once\nlevel = required\n"

static void put_own(GbLog *log, const char *name, const char *text)
{
    g_autofree char *folder = gb_log_path(log, "templates", NULL);
    g_free(put_file(folder, name, text, strlen(text)));
}

static GbDossier *loaded(GbLog *log)
{
    g_autoptr(GError) error = NULL;
    GbDossier *dossier = gb_dossier_load(log, &error);
    assert_no_error(error);
    return dossier;
}

static void edit(GbLog *log, GbEdit words)
{
    g_autoptr(GError) error = NULL;
    gb_edit(log, &words, &error);
    assert_no_error(error);
}

static void a_new_claim_has_a_whole_dossier(void **state)
{
    g_autoptr(GbLog) log = new_claim(state);
    g_autoptr(GbDossier) dossier = loaded(log);
    assert_non_null(dossier->claim);
    assert_int_equal(dossier->structures->len, 1);
    assert_int_equal(dossier->places->len, 11);
    assert_int_equal(dossier->shots->len, 0);
    assert_int_equal(dossier->waivers->len, 0);
    assert_true(gb_catalogue_size(dossier->catalogue) > 50);
    assert_true(dossier->check->missing > 0);
}

static void the_checklist_is_the_claims_else_the_one_that_fits_the_cause(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbLog) log = new_claim(state);
    g_autoptr(GbCatalogue) catalogue = gb_catalogue_builtin(&error);
    g_autoptr(GbFactlist) factlist = gb_factlist_builtin(catalogue, &error);
    static const struct { GbEdit edit; const char *list; } cases[] = {
        { { .cause = "" }, "exterior-wind-hail" }, { { .cause = "water" }, "interior-water" }, { { .cause = "fire" }, "fire-basic" },
        { { .cause = "hail, wind" }, "exterior-wind-hail" }, { { .checklist = "fire-basic" }, "fire-basic" },
        { { .checklist = "", .cause = "water" }, "interior-water" },
    };
    for (gsize i = 0; i < G_N_ELEMENTS(cases); i++) {
        edit(log, cases[i].edit);
        g_autoptr(GbChecklist) wanted = gb_checklist_builtin(cases[i].list, catalogue, factlist, &error);
        g_autoptr(GbDossier) dossier = loaded(log);
        assert_string_equal(gb_checklist_title(dossier->checklist), gb_checklist_title(wanted));
    }
}

static void the_claims_own_subjects_and_lists_come_before_the_programs(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbLog) log = new_claim(state);
    put_own(log, "subjects.ini", "[weathervane]\nname = Weathervane\nplain = A vane on the ridge\ndistance = close-up\n");
    put_own(log, "checklists/exterior-wind-hail.ini", OWN_LIST);
    enter_photos(log, 1);
    assert_true(gb_tag(log, "1", &(GbTag){ .subject = "weathervane" }, NULL, &error));
    g_autoptr(GbDossier) dossier = loaded(log);
    assert_non_null(gb_catalogue_by_id(dossier->catalogue, "weathervane"));
    assert_string_equal(gb_checklist_title(dossier->checklist), "Own list");
    assert_int_equal(dossier->check->lines->len, 1);
}

static void a_mistake_in_the_claims_own_files_is_told_with_file_and_line(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbLog) log = new_claim(state);
    put_own(log, "checklists/exterior-wind-hail.ini", "[checklist]\nname = Own list\n[one]\nwaht = One thing\nwhere = once\n");
    assert_null(gb_dossier_load(log, &error));
    assert_error(error, GB_ERROR_SYNTAX, "exterior-wind-hail.ini:4");
    put_own(log, "subjects.ini", "\n[vane\n");
    assert_null(gb_dossier_load(log, &error));
    assert_error(error, GB_ERROR_SYNTAX, "subjects.ini:2");
}

/* A database from elsewhere names a checklist outside its folder. */
static void a_checklists_name_does_not_lead_out_of_the_folder(void **state)
{
    static const char *const names[] = { "../../../etc/passwd", "/etc/passwd", "..", ".hidden", "a\\\\b", "\x1b[2J/" };
    g_autoptr(GError) error = NULL;
    g_autoptr(GbLog) log = new_claim(state);
    g_autoptr(GbCatalogue) catalogue = gb_dossier_catalogue(log, &error);
    g_autoptr(GbFactlist) factlist = gb_dossier_factlist(log, catalogue, &error);
    for (gsize i = 0; i < G_N_ELEMENTS(names); i++) {
        assert_null(gb_dossier_checklist(log, names[i], catalogue, factlist, &error));
        assert_null(strchr(error->message, '\x1b'));
        assert_error(error, GB_ERROR_UNKNOWN, "can't be the name of a checklist");
    }
    sqlite3 *db = raw_connection(state);
    raw_exec(db, "UPDATE claim SET checklist = '../x'");
    sqlite3_close(db);
    assert_null(gb_dossier_load(log, &error));
    assert_error(error, GB_ERROR_UNKNOWN, "'../x' can't be the name");
}

/* A dossier loaded inside a change sees what the change has done so far; after it is given up, nothing of it. */
static void a_dossier_inside_a_change_sees_the_change(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbLog) log = new_claim(state);
    GbChange *change = gb_change_begin(log, "import", &error);
    enter_photo(log, 1, 1);
    g_autoptr(GbDossier) inside = loaded(log);
    gb_change_free(change);
    g_autoptr(GbDossier) outside = loaded(log);
    assert_int_equal(inside->shots->len, 1);
    assert_int_equal(outside->shots->len, 0);
}

/* White as paper is: nine tenths of its pixels at the top. */
static gint64 enter_white(GbLog *log)
{
    g_autoptr(GError) error = NULL;
    g_autofree char *sha256 = g_strdup_printf("%064x", 77);
    GbShot shot = { .sha256 = sha256, .source_name = (char *)"S.JPG", .stored_name = (char *)"S.JPG", .bytes = 9, .width = 40, .height = 30,
                    .measured = TRUE, .quality = { .width = 500, .height = 400, .sharpness = 300, .smear_px = 0.5, .smear_side_px = 500, .mean = 245,
                                                   .dark = 240, .middle = 250, .light = 255, .white = 0.95 } };
    gint64 number = 0;
    gb_exif_init(&shot.exif);
    g_autoptr(GbChange) change = gb_change_begin(log, "import", &error);
    assert_true(gb_original_add(log, &shot, 1700000000, &number, &error) && gb_shot_enter(log, number, &error));
    shot.number = number;
    assert_true(gb_surveys_add(log, (GbShot *[]){ &shot }, 1, &error));
    assert_true(gb_change_save(change, "a white one", &error));
    return number;
}

static void white_paper_is_not_overexposed_and_wants_no_place(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbLog) log = new_claim(state);
    enter_white(log);
    g_autoptr(GbDossier) before = loaded(log);
    const GbShot *shot = before->shots->pdata[0];
    assert_non_null(shot->weak);
    assert_true(g_str_has_prefix(shot->weak, "overexposed: "));
    assert_int_equal(before->check->unplaced, 1);
    gb_tag(log, "1", &(GbTag){ .subject = "sketch" }, NULL, &error);
    assert_no_error(error);
    g_autoptr(GbDossier) after = loaded(log);
    assert_null(((GbShot *)after->shots->pdata[0])->weak);
    assert_int_equal(after->check->unplaced, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        test_in_folder(white_paper_is_not_overexposed_and_wants_no_place),
        test_in_folder(a_new_claim_has_a_whole_dossier),
        test_in_folder(the_checklist_is_the_claims_else_the_one_that_fits_the_cause),
        test_in_folder(the_claims_own_subjects_and_lists_come_before_the_programs),
        test_in_folder(a_mistake_in_the_claims_own_files_is_told_with_file_and_line),
        test_in_folder(a_checklists_name_does_not_lead_out_of_the_folder),
        test_in_folder(a_dossier_inside_a_change_sees_the_change),
    };
    return cmocka_run_group_tests_name("dossier", tests, NULL, NULL);
}
