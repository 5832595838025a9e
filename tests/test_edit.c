/* test_edit.c -- the verbs new and edit: the facts of a claim as people write them.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "claim_support.h"

#include <gablebook/edit.h>
#include <gablebook/error.h>
#include <gablebook/file.h>
#include <gablebook/new.h>
#include <glib/gstdio.h>

/* The claim after an edit that must work. OWNED by the caller. */
static GbClaim *edited(GbLog *log, GbEdit edit)
{
    g_autoptr(GError) error = NULL;
    gb_edit(log, &edit, &error);
    assert_no_error(error);
    GbClaim *claim = gb_claim_load(log, &error);
    assert_no_error(error);
    return claim;
}

/* An edit that must be refused, leaving log and history as they are. */
static void refused(void **state, GbLog *log, GbEdit edit, GbErrorCode code, const char *part)
{
    g_autoptr(GError) error = NULL;
    g_autofree char *before = dump_work(state);
    guint entries = history_length(log);
    assert_false(gb_edit(log, &edit, &error));
    assert_error(error, (int)code, part);
    g_autofree char *after = dump_work(state);
    assert_string_equal(after, before);
    assert_int_equal(history_length(log), entries);
}

static void an_edit_changes_what_is_said_and_nothing_else(void **state)
{
    g_autoptr(GbLog) log = new_claim(state);
    g_autoptr(GbClaim) first = edited(log, (GbEdit){ .insured = "  Ines Marlow ", .number = "LK-20260514", .adjuster = "Ada Quill" });
    assert_string_equal(first->insured, "Ines Marlow");
    g_autoptr(GbClaim) second = edited(log, (GbEdit){ .address = "14 Larkfield Road", .adjuster = "" });
    assert_string_equal(second->insured, "Ines Marlow");
    assert_string_equal(second->number, "LK-20260514");
    assert_string_equal(second->address, "14 Larkfield Road");
    assert_null(second->adjuster);
}

static void an_empty_word_makes_any_fact_unknown(void **state)
{
    g_autoptr(GbLog) log = new_claim(state);
    g_autofree char *before = dump_work(state);
    g_autoptr(GbClaim) full = edited(log, (GbEdit){ "a", "b", "c", "d", "2026-05-14", "2026-05-20", "hail", "interior-water", "S" });
    assert_near(full->front_azimuth_deg, 180, 0);
    g_autoptr(GbClaim) none = edited(log, (GbEdit){ "", "", "", "", "", "", "", "", "" });
    assert_true(isnan(none->front_azimuth_deg));
    g_autofree char *after = dump_work(state);
    assert_string_equal(after, before);
}

static void an_edit_is_one_entry_that_names_the_facts_and_undo_brings_them_back(void **state)
{
    g_autoptr(GbLog) log = new_claim(state);
    g_autofree char *before = dump_work(state);
    g_autoptr(GbClaim) claim = edited(log, (GbEdit){ .insured = "Ines Marlow", .loss_date = "2026-05-14", .front_azimuth = "205" });
    g_autofree char *summary = last_summary(log);
    assert_string_equal(summary, "insured, date of loss, front azimuth");
    assert_int_equal(history_length(log), 1);
    assert_undo_brings_back(state, log, before);
}

static void only_days_that_exist_are_dates(void **state)
{
    static const char *const wrong[] = { "2026-02-30", "2026-13-01", "2026-00-10", "2026-04-31", "2025-02-29", "1899-12-31", "14.05.2026",
                                         "2026-5-14", "2026- 5-14", "2026-+5-14", "2026-05--4", "26-05-14", "2026-05-14x", "yesterday" };
    g_autoptr(GbLog) log = new_claim(state);
    for (gsize i = 0; i < G_N_ELEMENTS(wrong); i++) {
        refused(state, log, (GbEdit){ .loss_date = wrong[i] }, GB_ERROR_SYNTAX, "date of loss: ");
        refused(state, log, (GbEdit){ .inspection_date = wrong[i] }, GB_ERROR_SYNTAX, "is no date; write it as YEAR-MONTH-DAY");
    }
    g_autoptr(GbClaim) claim = edited(log, (GbEdit){ .loss_date = "2024-02-29", .inspection_date = " 2026-05-14 " });
    assert_string_equal(claim->loss_date, "2024-02-29");
    assert_string_equal(claim->inspection_date, "2026-05-14");
}

static void causes_are_kept_in_one_order_however_they_are_written(void **state)
{
    static const struct { const char *text, *kept; } cases[] = {
        { "hail", "hail" }, { "hail and wind", "hail, wind" }, { "wind/hail", "hail, wind" }, { "Wind, HAIL & hail", "hail, wind" },
        { "fi", "fire" }, { "wa+other", "water, other" },
    };
    g_autoptr(GbLog) log = new_claim(state);
    for (gsize i = 0; i < G_N_ELEMENTS(cases); i++) {
        g_autoptr(GbClaim) claim = edited(log, (GbEdit){ .cause = cases[i].text });
        assert_string_equal(claim->cause, cases[i].kept);
    }
    refused(state, log, (GbEdit){ .cause = "hail and locusts" }, GB_ERROR_UNKNOWN, "cause: 'locusts' is no cause");
    refused(state, log, (GbEdit){ .cause = "w" }, GB_ERROR_UNCLEAR, "'wind' or 'water'");
}

static void the_front_is_an_azimuth_or_a_compass_point(void **state)
{
    static const struct { const char *text; double azimuth_deg; } cases[] = {
        { "205", 205 }, { "205 deg", 205 }, { "205.5°", 205.5 }, { "SSW", 202.5 }, { "ssw", 202.5 }, { " n ", 0 }, { "0", 0 },
        { "360", 0 }, { "NW", 315 }, { "007", 7 },
    };
    static const char *const wrong[] = { "-5", "abc", "361", "360.1", "205 m", "0x10", "1e2", "nan", "inf", "north-ish", "12,5",
                                         "205 deg deg", "\xff" };
    g_autoptr(GbLog) log = new_claim(state);
    for (gsize i = 0; i < G_N_ELEMENTS(cases); i++) {
        g_autoptr(GbClaim) claim = edited(log, (GbEdit){ .front_azimuth = cases[i].text });
        assert_near(claim->front_azimuth_deg, cases[i].azimuth_deg, 1e-9);
    }
    for (gsize i = 0; i < G_N_ELEMENTS(wrong); i++)
        refused(state, log, (GbEdit){ .front_azimuth = wrong[i] }, GB_ERROR_SYNTAX, "front azimuth: ");
}

static void a_checklist_must_be_one_that_loads(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbLog) log = new_claim(state);
    refused(state, log, (GbEdit){ .checklist = "exterior-wnd" }, GB_ERROR_UNKNOWN, "exterior-wind-hail");
    refused(state, log, (GbEdit){ .checklist = "../x" }, GB_ERROR_UNKNOWN, "can't be the name of a checklist");
    g_autofree char *folder = gb_log_path(log, "templates", "checklists", NULL);
    g_autofree char *own = g_build_filename(folder, "barns.ini", NULL);
    assert_int_equal(g_mkdir_with_parents(folder, 0700), 0);
    assert_true(gb_file_write(own, "[x", 2, 0644, &error));
    refused(state, log, (GbEdit){ .checklist = "barns" }, GB_ERROR_SYNTAX, "barns.ini:1");
    const char *text = "[checklist]\nname = Barns\n[a]\nwhat = A\nwhere = once\n";
    assert_true(gb_file_write(own, text, strlen(text), 0644, &error));
    g_autoptr(GbClaim) claim = edited(log, (GbEdit){ .checklist = " barns " });
    assert_string_equal(claim->checklist, "barns");
}

static void a_short_name_of_a_checklist_is_kept_in_full(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autofree char *path = claim_path(state);
    g_autoptr(GbLog) log = gb_new(path, &(GbEdit){ .checklist = "int w" }, &error);
    assert_no_error(error);
    g_autoptr(GbClaim) made = gb_claim_load(log, &error);
    assert_string_equal(made->checklist, "interior-water");
    g_autoptr(GbClaim) claim = edited(log, (GbEdit){ .checklist = "exterior" });
    assert_string_equal(claim->checklist, "exterior-wind-hail");
}

static void texts_are_cleaned_and_bounded(void **state)
{
    g_autoptr(GbLog) log = new_claim(state);
    g_autofree char *longest = g_strnfill(2000, 'a'), *longer = g_strnfill(2001, 'a');
    g_autoptr(GbClaim) claim = edited(log, (GbEdit){ .insured = "<b>O'Mara\x1b[2J & \xff", .address = longest });
    assert_null(strchr(claim->insured, '\x1b'));
    assert_true(g_utf8_validate(claim->insured, -1, NULL));
    assert_non_null(strstr(claim->insured, "<b>O'Mara")); /* markup stays text; it is escaped where it goes out */
    assert_int_equal(strlen(claim->address), 2000);
    refused(state, log, (GbEdit){ .insured = "x", .address = longer }, GB_ERROR_TOO_LARGE, "address: a text of 2001 bytes");
}

static void a_wrong_word_in_a_message_stays_one_short_line(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbLog) log = new_claim(state);
    g_autofree char *flood = g_strnfill(100000, 'x');
    flood[3] = '\n';
    assert_false(gb_edit(log, &(GbEdit){ .loss_date = flood }, &error));
    assert_true(strlen(error->message) < 300);
    assert_null(strchr(error->message, '\n'));
    assert_error(error, GB_ERROR_SYNTAX, "is no date");
}

static void a_new_claim_has_its_facts_and_an_empty_history(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autofree char *path = claim_path(state);
    g_autoptr(GbLog) log = gb_new(path, &(GbEdit){ .insured = "Ines Marlow", .cause = "wind and hail", .front_azimuth = "SSW" }, &error);
    assert_no_error(error);
    g_autoptr(GbClaim) claim = gb_claim_load(log, &error);
    assert_string_equal(claim->insured, "Ines Marlow");
    assert_string_equal(claim->cause, "hail, wind");
    assert_near(claim->front_azimuth_deg, 202.5, 0);
    assert_null(claim->adjuster);
    assert_int_equal(history_length(log), 0);
}

static void nothing_is_made_when_a_fact_of_a_new_claim_is_wrong(void **state)
{
    static const GbEdit wrong[] = {
        { .loss_date = "2026-02-30" }, { .inspection_date = "2026-+5-14" }, { .cause = "locusts" }, { .checklist = "unheard-of" },
        { .checklist = "../x" }, { .front_azimuth = "-5" },
    };
    g_autofree char *path = claim_path(state);
    for (gsize i = 0; i < G_N_ELEMENTS(wrong); i++) {
        g_autoptr(GError) error = NULL;
        assert_null(gb_new(path, &wrong[i], &error));
        assert_non_null(error);
        assert_false(g_file_test(path, G_FILE_TEST_EXISTS));
    }
}

static void a_new_claim_does_not_take_a_folder_that_holds_something(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbLog) log = new_claim(state);
    g_autofree char *path = claim_path(state), *before = dump_work(state);
    assert_null(gb_new(path, &(GbEdit){ .insured = "Other" }, &error));
    assert_error(error, GB_ERROR_STATE, "nothing was changed");
    g_autofree char *after = dump_work(state);
    assert_string_equal(after, before);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        test_in_folder(an_edit_changes_what_is_said_and_nothing_else),
        test_in_folder(an_empty_word_makes_any_fact_unknown),
        test_in_folder(an_edit_is_one_entry_that_names_the_facts_and_undo_brings_them_back),
        test_in_folder(only_days_that_exist_are_dates),
        test_in_folder(causes_are_kept_in_one_order_however_they_are_written),
        test_in_folder(the_front_is_an_azimuth_or_a_compass_point),
        test_in_folder(a_checklist_must_be_one_that_loads),
        test_in_folder(a_short_name_of_a_checklist_is_kept_in_full),
        test_in_folder(texts_are_cleaned_and_bounded),
        test_in_folder(a_wrong_word_in_a_message_stays_one_short_line),
        test_in_folder(a_new_claim_has_its_facts_and_an_empty_history),
        test_in_folder(nothing_is_made_when_a_fact_of_a_new_claim_is_wrong),
        test_in_folder(a_new_claim_does_not_take_a_folder_that_holds_something),
    };
    return cmocka_run_group_tests_name("edit", tests, NULL, NULL);
}
