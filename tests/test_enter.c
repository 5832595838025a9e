/* test_enter.c -- the verb that enters roof measurements, and their rows in the log.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "claim_support.h"

#include <gablebook/dossier.h>
#include <gablebook/enter.h>
#include <gablebook/error.h>
#include <gablebook/history.h>
#include <gablebook/roofs.h>
#include <gablebook/structure.h>

static const GbEnter hip = { .where = "dwelling", .shape = "hip", .given = { [GB_GIVEN_WIDTH] = "40'", [GB_GIVEN_DEPTH] = "30 ft", [GB_GIVEN_PITCH] = "6:12" } };
static const GbEnter rear = { .where = "rear", .shape = "rect", .given = { [GB_GIVEN_EAVE] = "12.2 m", [GB_GIVEN_UP] = "16'9\"" } };

/* An entry that must work, and its summary. OWNED by the caller. */
static char *entered(GbLog *log, GbEnter enter)
{
    g_autoptr(GError) error = NULL;
    char *summary = NULL;
    gint64 id = 0;
    gb_enter_roof(log, &enter, &id, &summary, &error);
    assert_no_error(error);
    g_autofree char *begins = g_strdup_printf("roof entry %" G_GINT64_FORMAT ": ", id);
    assert_true(g_str_has_prefix(summary, begins));
    return summary;
}

static void refused(void **state, GbLog *log, GbEnter enter, GbErrorCode code, const char *part)
{
    g_autoptr(GError) error = NULL;
    g_autofree char *before = dump_work(state), *summary = NULL;
    guint entries = history_length(log);
    assert_false(gb_enter_roof(log, &enter, NULL, &summary, &error));
    assert_error(error, (int)code, part);
    assert_null(summary);
    g_autofree char *after = dump_work(state);
    assert_string_equal(after, before);
    assert_int_equal(history_length(log), entries);
}

static GbRoof *load(GbLog *log)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GPtrArray) places = gb_places_load(log, &error);
    GbRoof *roof = gb_roofs_load(log, places, &error);
    assert_no_error(error);
    return roof;
}

static void add_garage(GbLog *log, const char *slopes)
{
    g_autoptr(GError) error = NULL;
    gb_structure_edit(log, &(GbStructureEdit){ .name = "garage", .slopes = slopes }, NULL, &error);
    assert_no_error(error);
}

static double area(GbLog *log)
{
    g_autoptr(GbRoof) roof = load(log);
    double sqft = NAN;
    gb_roof_quantity(roof, 0, 0, GB_QUANTITY_AREA, &sqft, NULL);
    return sqft;
}

/* Source of the area: worked shape, hip 40 x 30 at 6/12 (see test_roof.c). */
static void a_whole_roof_is_one_entry_and_four_slopes(void **state)
{
    g_autoptr(GbLog) log = new_claim(state);
    g_autofree char *before = dump_work(state), *summary = entered(log, hip), *told = last_summary(log);
    assert_string_equal(summary, "roof entry 1: dwelling, hip roof, pitch 6:12, width 40', depth 30 ft: 1341.6 sq ft");
    assert_string_equal(told, summary);
    g_autoptr(GbRoof) roof = load(log);
    assert_int_equal(roof->entries->len, 1);
    assert_int_equal(roof->slopes->len, 4);
    assert_int_equal(roof->faults->len, 0);
    g_autoptr(GPtrArray) places = gb_places_load(log, NULL);
    for (guint i = 0; i < 4; i++) {
        const GbRoofSlope *slope = roof->slopes->pdata[i];
        const GbPlace *place = gb_places_by_id(places, slope->place);
        assert_int_equal(place->kind, GB_PLACE_SLOPE);
        assert_int_equal(place->face, slope->face);
    }
    assert_undo_brings_back(state, log, before);
    assert_near(area(log), NAN, 0);
}

static void a_measurement_is_kept_as_typed_and_normalised(void **state)
{
    g_autoptr(GbLog) log = new_claim(state);
    g_free(entered(log, rear));
    g_autoptr(GbRoof) roof = load(log);
    const GbRoofEntry *entry = roof->entries->pdata[0];
    assert_string_equal(entry->given[GB_GIVEN_EAVE].text, "12.2 m");
    assert_near(entry->given[GB_GIVEN_EAVE].number, 12200 / 25.4, 1e-9); /* inch = 25.4 mm exactly */
    assert_string_equal(entry->given[GB_GIVEN_UP].text, "16'9\"");
    assert_near(entry->given[GB_GIVEN_UP].number, 201, 0);
    assert_null(entry->given[GB_GIVEN_PITCH].text);
    assert_near(entry->given[GB_GIVEN_PITCH].number, NAN, 0);
    sqlite3 *db = raw_connection(state);
    g_autofree char *typed = raw_text(db, "SELECT typed || '|' || number FROM roof_given WHERE what = 'up'");
    sqlite3_close(db);
    assert_string_equal(typed, "16'9\"|201.0");
}

static void everything_said_of_a_slope_comes_back(void **state)
{
    g_autoptr(GbLog) log = new_claim(state);
    add_garage(log, "left, right");
    g_autofree char *summary = entered(log, (GbEnter){ .where = "garage left", .shape = "parallelogram", .section = "Wing \"B\"", .left_side = "valley",
                                       .right_side = "hip", .top = "wall", .bottom = "break",
                                       .given = { [GB_GIVEN_EAVE] = "12'", [GB_GIVEN_RUN] = "9'", [GB_GIVEN_PITCH] = "8/12" } });
    assert_non_null(strstr(summary, "roof entry 1: garage left slope (Wing \"B\"), parallelogram, eave 12', run 9', pitch 8/12, left side valley, right side hip, "
                                    "upper edge wall, lower edge break: "));
    g_autoptr(GbRoof) roof = load(log);
    const GbRoofEntry *entry = roof->entries->pdata[0];
    assert_string_equal(entry->section, "Wing \"B\"");
    assert_string_equal(entry->structure_name, "garage");
    assert_false(entry->on_dwelling);
    assert_int_equal(entry->face, GB_FACE_LEFT);
    assert_int_equal(entry->left, GB_EDGE_VALLEY);
    assert_int_equal(entry->right, GB_EDGE_HIP);
    assert_int_equal(entry->top, GB_EDGE_WALL);
    assert_int_equal(entry->bottom, GB_EDGE_BREAK);
    assert_false(entry->cut_out);
}

static void what_is_cut_out_gets_the_edges_of_a_hole(void **state)
{
    g_autoptr(GbLog) log = new_claim(state);
    g_free(entered(log, hip));
    g_free(entered(log, (GbEnter){ .where = "front slope", .shape = "triangle", .cut_out = GB_CUT_OUT,
                                   .given = { [GB_GIVEN_EAVE] = "20'", [GB_GIVEN_RUN] = "10'", [GB_GIVEN_PITCH] = "6/12" } }));
    assert_near(area(log), 1100 * sqrt(1.25), 1e-6);
    g_autoptr(GbRoof) roof = load(log);
    assert_int_equal(((GbRoofEntry *)roof->entries->pdata[1])->left, GB_EDGE_VALLEY);
}

/* What edges are usual: roof.h, gb_roof_entry_usual_edges. */
static void what_was_said_of_edges_and_holes_can_be_taken_back(void **state)
{
    g_autoptr(GbLog) log = new_claim(state);
    g_autofree char *first = entered(log, (GbEnter){ .where = "front slope", .shape = "rectangle", .cut_out = GB_CUT_OUT, .left_side = "valley", .top = "ridge",
                                                     .given = { [GB_GIVEN_EAVE] = "4'", [GB_GIVEN_UP] = "3'" } });
    assert_string_equal(first, "roof entry 1: front slope, rectangle cut out, eave 4', up 3', left side valley, upper edge ridge: 12.0 sq ft");
    g_autofree char *side = entered(log, (GbEnter){ .change = 1, .left_side = "usual", .right_side = "rake" });
    assert_string_equal(side, "roof entry 1: front slope, rectangle cut out, eave 4', up 3', right side rake, upper edge ridge: 12.0 sq ft");
    g_autofree char *before = dump_work(state);
    g_autofree char *filled = entered(log, (GbEnter){ .change = 1, .cut_out = GB_CUT_OUT_NOT });
    assert_string_equal(filled, "roof entry 1: front slope, rectangle, eave 4', up 3': 12.0 sq ft"); /* roof's usual edges, not a hole's */
    assert_near(area(log), 12, 1e-9);
    assert_undo_brings_back(state, log, before);
    assert_true(gb_history_redo(log, NULL, NULL));
    g_free(entered(log, (GbEnter){ .change = 1, .bottom = "break", .top = "wall" }));
    g_autofree char *usual = entered(log, (GbEnter){ .change = 1, .bottom = "Usual", .top = "usual" });
    assert_string_equal(usual, filled);
}

static void a_ridge_that_was_turned_runs_as_usual_again(void **state)
{
    g_autoptr(GbLog) log = new_claim(state);
    GbEnter turned = hip;
    turned.ridge_runs = "front to rear";
    turned.given[GB_GIVEN_DEPTH] = "40'";
    g_autofree char *said = entered(log, turned);
    assert_non_null(strstr(said, "depth 40', ridge runs front to rear: "));
    g_autofree char *back = entered(log, (GbEnter){ .change = 1, .ridge_runs = "usual" });
    assert_null(strstr(back, "ridge runs"));
    refused(state, log, (GbEnter){ .change = 1, .left_side = "valley" }, GB_ERROR_SYNTAX, "is said of one slope, not of a whole roof");
    refused(state, log, (GbEnter){ .change = 1, .cut_out = GB_CUT_OUT }, GB_ERROR_SYNTAX, "is said of one slope, not of a whole roof");
}

static void the_dwellings_slope_needs_no_more_words_when_a_garage_has_one_too(void **state)
{
    g_autoptr(GbLog) log = new_claim(state);
    add_garage(log, "all");
    GbEnter left = rear;
    left.where = "left";
    g_autofree char *summary = entered(log, left);
    assert_true(g_str_has_prefix(summary, "roof entry 1: left slope, rectangle"));
    left.where = "g l";
    g_autofree char *garage = entered(log, left);
    assert_true(g_str_has_prefix(garage, "roof entry 2: garage left slope, rectangle"));
}

static void a_ridge_runs_along_the_longer_walls_unless_told(void **state)
{
    g_autoptr(GbLog) log = new_claim(state);
    GbEnter gable = { .where = "dwelling", .shape = "gable", .given = { [GB_GIVEN_WIDTH] = "24'", [GB_GIVEN_DEPTH] = "40'", [GB_GIVEN_PITCH] = "6/12" } };
    g_free(entered(log, gable));
    gable.ridge_runs = "along";
    g_free(entered(log, gable));
    g_autoptr(GbRoof) roof = load(log);
    assert_true(((GbRoofEntry *)roof->entries->pdata[0])->ridge_to_rear);
    assert_false(((GbRoofEntry *)roof->entries->pdata[1])->ridge_to_rear);
}

static void a_changed_measurement_changes_what_follows_and_undo_brings_it_back(void **state)
{
    g_autoptr(GbLog) log = new_claim(state);
    g_free(entered(log, hip));
    g_autofree char *before = dump_work(state);
    g_autofree char *summary = entered(log, (GbEnter){ .change = 1, .given = { [GB_GIVEN_PITCH] = "8/12", [GB_GIVEN_OVERHANG] = "1'" } });
    assert_string_equal(summary, "roof entry 1: dwelling, hip roof, pitch 8/12, width 40', depth 30 ft, overhang 1': 1615.3 sq ft");
    assert_near(area(log), 42 * 32 * sqrt(1 + 64.0 / 144), 1e-6);
    assert_undo_brings_back(state, log, before);
    assert_near(area(log), 1200 * sqrt(1.25), 1e-6);
    assert_true(gb_history_redo(log, NULL, NULL));
    assert_near(area(log), 42 * 32 * sqrt(1 + 64.0 / 144), 1e-6);
}

/* The history shows which measurement it was, and where. */
static void the_history_tells_a_changed_measurement_before_and_after(void **state)
{
    g_autoptr(GbLog) log = new_claim(state);
    g_autoptr(GError) error = NULL;
    g_free(entered(log, rear));
    g_free(entered(log, (GbEnter){ .change = 1, .where = "front", .given = { [GB_GIVEN_UP] = "18 ft" } }));
    g_autoptr(GPtrArray) values = gb_history_values(log, 2, &error);
    assert_no_error(error);
    g_autoptr(GString) text = g_string_new(NULL);
    for (guint i = 0; i < values->len; i++) {
        const GbHistoryValue *value = values->pdata[i];
        g_string_append_printf(text, "%s %s %s: %s -> %s\n", value->table, value->row, value->column, value->before, value->after);
    }
    assert_string_equal(text->str, "roof_entry 1 place: rear slope -> front slope\n"
                                   "roof_given 1 up typed: 16'9\" -> 18 ft\n"
                                   "roof_given 1 up number: 201.0 -> 216.0\n");
}

static void a_change_may_take_a_measurement_back_or_give_another_shape_or_place(void **state)
{
    g_autoptr(GbLog) log = new_claim(state);
    GbEnter slope = rear;
    slope.given[GB_GIVEN_PITCH] = "6/12";
    g_free(entered(log, slope));
    g_free(entered(log, (GbEnter){ .change = 1, .shape = "triangle", .where = "left slope", .given = { [GB_GIVEN_PITCH] = "none" } }));
    g_autoptr(GbRoof) roof = load(log);
    const GbRoofEntry *entry = roof->entries->pdata[0];
    assert_int_equal(roof->entries->len, 1);
    assert_int_equal(entry->shape, GB_ROOF_TRIANGLE);
    assert_int_equal(entry->face, GB_FACE_LEFT);
    assert_int_equal(entry->left, GB_EDGE_HIP); /* as usual for a triangle */
    assert_null(entry->given[GB_GIVEN_PITCH].text);
    assert_string_equal(entry->given[GB_GIVEN_EAVE].text, "12.2 m");
    refused(state, log, (GbEnter){ .change = 1, .given = { [GB_GIVEN_UP] = "none" } }, GB_ERROR_SYNTAX, "a triangle needs how far it goes up the slope");
    refused(state, log, (GbEnter){ .change = 1, .shape = "hip" }, GB_ERROR_SYNTAX, "a slope can't become a whole roof");
    refused(state, log, (GbEnter){ .change = 7, .shape = "triangle" }, GB_ERROR_UNKNOWN, "there is no roof entry 7");
}

static void an_entry_taken_out_is_gone_and_its_number_is_not_used_again(void **state)
{
    g_autoptr(GbLog) log = new_claim(state);
    g_autoptr(GError) error = NULL;
    g_autofree char *summary = NULL;
    g_free(entered(log, hip));
    g_autofree char *before = dump_work(state);
    assert_true(gb_enter_remove(log, 1, &summary, &error));
    assert_string_equal(summary, "roof entry 1 taken out: dwelling, hip");
    assert_undo_brings_back(state, log, before);
    assert_true(gb_history_redo(log, NULL, &error));
    g_autofree char *next = entered(log, rear);
    assert_true(g_str_has_prefix(next, "roof entry 2: "));
    assert_false(gb_enter_remove(log, 1, NULL, &error));
    assert_error(error, GB_ERROR_UNKNOWN, "there is no roof entry 1");
}

static void words_that_make_no_roof_change_nothing(void **state)
{
    g_autoptr(GbLog) log = new_claim(state);
    add_garage(log, "left, right");
    GbEnter bad = rear;
    bad.where = "attic";
    refused(state, log, bad, GB_ERROR_UNKNOWN, "'attic' is no slope");
    bad = hip, bad.where = "barn";
    refused(state, log, bad, GB_ERROR_UNKNOWN, "'barn' is no structure");
    bad = rear, bad.shape = "octagon";
    refused(state, log, bad, GB_ERROR_UNKNOWN, "'octagon' is no shape of a roof");
    bad = rear, bad.given[GB_GIVEN_EAVE] = "40";
    refused(state, log, bad, GB_ERROR_SYNTAX, "eave: '40' is no clear length; write 40' or 40 ft");
    bad = rear, bad.given[GB_GIVEN_UP] = "none";
    refused(state, log, bad, GB_ERROR_SYNTAX, "a rectangle needs how far it goes up the slope");
    bad = rear, bad.left_side = "gutter";
    refused(state, log, bad, GB_ERROR_UNKNOWN, "'gutter' is no edge of a roof");
    bad = rear, bad.left_side = "eave";
    refused(state, log, bad, GB_ERROR_SYNTAX, "an eave can't be the side of a slope");
    bad = rear, bad.section = "\n";
    refused(state, log, bad, GB_ERROR_SYNTAX, "the name of a section has 1 to 40 bytes");
    bad = rear, bad.ridge_runs = "front to rear";
    refused(state, log, bad, GB_ERROR_SYNTAX, "said of a whole roof, not of one slope");
    bad = hip, bad.where = "garage";
    refused(state, log, bad, GB_ERROR_STATE, "'garage' has no front slope, and this roof has one: add it first");
    add_garage(log, "none");
    bad = hip, bad.where = "garage", bad.shape = "gable";
    refused(state, log, bad, GB_ERROR_STATE, "'garage' has no front slope");
}

static void a_measured_slope_cannot_be_taken_from_its_structure(void **state)
{
    g_autoptr(GbLog) log = new_claim(state);
    g_autoptr(GError) error = NULL;
    add_garage(log, "left, right");
    g_free(entered(log, (GbEnter){ .where = "garage", .shape = "gable", .ridge_runs = "front to rear",
                                   .given = { [GB_GIVEN_WIDTH] = "24'", [GB_GIVEN_DEPTH] = "24'", [GB_GIVEN_PITCH] = "4/12" } }));
    g_autofree char *before = dump_work(state);
    assert_false(gb_structure_edit(log, &(GbStructureEdit){ .name = "garage", .slopes = "left" }, NULL, &error));
    assert_error(error, GB_ERROR_STATE, "'garage right slope' has measurements: take those out first");
    assert_false(gb_structure_drop(log, "garage", &error));
    assert_error(error, GB_ERROR_STATE, "has measurements");
    g_autofree char *after = dump_work(state);
    assert_string_equal(after, before);
    assert_true(gb_enter_remove(log, 1, NULL, &error));
    assert_true(gb_structure_drop(log, "garage", &error));
}

static void waste_and_steep_pitches_are_the_users_and_can_be_taken_back(void **state)
{
    g_autoptr(GbLog) log = new_claim(state);
    g_autoptr(GError) error = NULL;
    g_autofree char *before = dump_work(state), *summary = NULL, *more = NULL, *back = NULL;
    assert_true(gb_enter_settings(log, "12.5%", NULL, &summary, &error));
    assert_string_equal(summary, "waste 12.5 %; steep: over 4/12");
    assert_undo_brings_back(state, log, before);
    assert_true(gb_history_redo(log, NULL, &error));
    assert_true(gb_enter_settings(log, NULL, "7/12, 10/12", &more, &error));
    assert_string_equal(more, "waste 12.5 %; steep: 7/12, 10/12");
    g_autoptr(GbRoof) roof = load(log);
    assert_near(roof->settings.waste_percent, 12.5, 0);
    assert_int_equal(roof->settings.n_bands, 2);
    assert_false(gb_enter_settings(log, "lots", NULL, NULL, &error));
    assert_error(error, GB_ERROR_SYNTAX, "'lots' is no waste");
    assert_true(gb_enter_settings(log, "none", "none", &back, &error));
    assert_string_equal(back, "no waste; steep: over 4/12");
    g_autoptr(GbRoof) usual = load(log);
    assert_int_equal(usual->settings.n_bands, 1);
    assert_near(usual->settings.waste_percent, NAN, 0);
}

static void the_dossier_brings_the_roof(void **state)
{
    g_autoptr(GbLog) log = new_claim(state);
    g_autoptr(GError) error = NULL;
    g_free(entered(log, hip));
    g_autoptr(GbDossier) dossier = gb_dossier_load(log, &error);
    assert_no_error(error);
    double hips = NAN;
    assert_true(gb_roof_quantity(dossier->roof, 1, 0, GB_QUANTITY_HIPS, &hips, &error));
    assert_near(hips, 90, 1e-9);
}

/* --- a database that others wrote --- */

static void senseless(void **state, GbLog *log, const char *sql)
{
    g_autoptr(GError) error = NULL;
    sqlite3 *db = raw_connection(state);
    raw_exec(db, "PRAGMA foreign_keys = OFF; PRAGMA ignore_check_constraints = ON");
    raw_exec(db, sql);
    sqlite3_close(db);
    g_autoptr(GPtrArray) places = gb_places_load(log, &error);
    g_autoptr(GbRoof) roof = gb_roofs_load(log, places, &error);
    assert_null(roof);
    assert_error(error, GB_ERROR_DAMAGED, "claim.db holds a roof measurement that makes no sense");
}

#define ROW(place, shape, left) "INSERT INTO roof_entry VALUES (NULL, " place ", 'main', '" shape "', 'eave', 'ridge', '" left "', 'hip', 0, 0); "

static void rows_that_make_no_sense_are_damage_not_a_crash(void **state)
{
    static const char *const rows[] = {
        ROW("999", "hip", "hip"), ROW("1", "hip", "hip"), ROW("8", "hip", "hip"), ROW("7", "rectangle", "hip"), ROW("8", "igloo", "hip"),
        ROW("8", "rectangle", "fence"), "INSERT INTO roof_given VALUES (5, 'eave', '40 ft', 480)",
        ROW("8", "rectangle", "hip") "INSERT INTO roof_given VALUES (1, 'weight', '40 ft', 480)",
        "INSERT INTO roof_setting VALUES (1, 10, 'very')",
        "WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n WHERE i < 401)"
        " INSERT INTO roof_entry SELECT i, 8, 'main', 'rectangle', 'eave', 'ridge', 'rake', 'rake', 0, 0 FROM n",
    };
    for (guint i = 0; i < G_N_ELEMENTS(rows); i++) {
        g_autoptr(GbLog) log = new_claim(state);
        senseless(state, log, rows[i]);
        g_clear_pointer(&log, gb_log_free);
        g_autofree char *folder = claim_path(state);
        remove_tree(folder);
    }
}

static void numbers_that_no_tape_gives_make_a_line_not_a_roof(void **state)
{
    g_autoptr(GbLog) log = new_claim(state);
    g_free(entered(log, rear));
    sqlite3 *db = raw_connection(state);
    raw_exec(db, "UPDATE roof_given SET number = 9e999 WHERE what = 'up'");
    sqlite3_close(db);
    g_autoptr(GbRoof) roof = load(log);
    assert_int_equal(roof->slopes->len, 0);
    assert_int_equal(roof->faults->len, 1);
    assert_string_equal(((GbRoofFault *)roof->faults->pdata[0])->text, "roof entry 1 can't be computed: what is written for 'up' is no length that a roof has");
}

static void a_claim_takes_four_hundred_entries_and_no_more(void **state)
{
    g_autoptr(GbLog) log = new_claim(state);
    sqlite3 *db = raw_connection(state);
    raw_exec(db, "WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n WHERE i < 400)"
                 " INSERT INTO roof_entry SELECT i, 8, 'main', 'rectangle', 'eave', 'ridge', 'rake', 'rake', 0, 0 FROM n");
    sqlite3_close(db);
    refused(state, log, rear, GB_ERROR_TOO_LARGE, "a claim has at most 400 roof entries");
    g_autoptr(GbRoof) roof = load(log);
    assert_int_equal(roof->faults->len, 400); /* nothing is measured of any */
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        test_in_folder(a_whole_roof_is_one_entry_and_four_slopes),
        test_in_folder(a_measurement_is_kept_as_typed_and_normalised),
        test_in_folder(everything_said_of_a_slope_comes_back),
        test_in_folder(what_is_cut_out_gets_the_edges_of_a_hole),
        test_in_folder(what_was_said_of_edges_and_holes_can_be_taken_back),
        test_in_folder(a_ridge_that_was_turned_runs_as_usual_again),
        test_in_folder(the_dwellings_slope_needs_no_more_words_when_a_garage_has_one_too),
        test_in_folder(a_ridge_runs_along_the_longer_walls_unless_told),
        test_in_folder(a_changed_measurement_changes_what_follows_and_undo_brings_it_back),
        test_in_folder(the_history_tells_a_changed_measurement_before_and_after),
        test_in_folder(a_change_may_take_a_measurement_back_or_give_another_shape_or_place),
        test_in_folder(an_entry_taken_out_is_gone_and_its_number_is_not_used_again),
        test_in_folder(words_that_make_no_roof_change_nothing),
        test_in_folder(a_measured_slope_cannot_be_taken_from_its_structure),
        test_in_folder(waste_and_steep_pitches_are_the_users_and_can_be_taken_back),
        test_in_folder(the_dossier_brings_the_roof),
        test_in_folder(rows_that_make_no_sense_are_damage_not_a_crash),
        test_in_folder(numbers_that_no_tape_gives_make_a_line_not_a_roof),
        test_in_folder(a_claim_takes_four_hundred_entries_and_no_more),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
