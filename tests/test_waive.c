/* test_waive.c -- the verb waive: saying why a requirement can't be met.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "claim_support.h"

#include <gablebook/dossier.h>
#include <gablebook/edit.h>
#include <gablebook/error.h>
#include <gablebook/tag.h>
#include <gablebook/waive.h>

/* A hail claim, held to exterior-wind-hail. */
static GbLog *hail_claim(void **state)
{
    g_autoptr(GError) error = NULL;
    GbLog *log = new_claim(state);
    gb_log_set_who(log, "Ada Quill");
    gb_edit(log, &(GbEdit){ .cause = "hail" }, &error);
    assert_no_error(error);
    enter_photos(log, 2);
    return log;
}

static void refused(void **state, GbLog *log, const char *requirement, const char *why, GbErrorCode code, const char *part)
{
    g_autoptr(GError) error = NULL;
    g_autofree char *before = dump_work(state), *summary = NULL;
    guint entries = history_length(log);
    assert_false(gb_waive(log, requirement, why, &summary, &error));
    assert_error(error, (int)code, part);
    assert_null(summary);
    g_autofree char *after = dump_work(state);
    assert_string_equal(after, before);
    assert_int_equal(history_length(log), entries);
}

static char *waived(GbLog *log, const char *requirement, const char *why)
{
    g_autoptr(GError) error = NULL;
    char *summary = NULL;
    gb_waive(log, requirement, why, &summary, &error);
    assert_no_error(error);
    return summary;
}

/* The line of the check, BORROWED from the dossier. */
static const GbCheckLine *line_of(const GbDossier *dossier, const char *label)
{
    g_autoptr(GError) error = NULL;
    const GbCheckLine *line = gb_check_find(dossier->check, label, &error);
    assert_no_error(error);
    return line;
}

static void what_is_missing_is_waived_with_who_when_and_why(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbLog) log = hail_claim(state);
    gint64 earliest = g_get_real_time() / G_USEC_PER_SEC;
    g_autofree char *summary = waived(log, "test sq rear", "  Slate, too steep to walk\x07 ");
    assert_string_equal(summary, "test square, rear slope: Slate, too steep to walk");
    g_autofree char *said = last_summary(log);
    assert_string_equal(said, summary); /* cleaned there too */
    g_autoptr(GbDossier) dossier = gb_dossier_load(log, &error);
    const GbCheckLine *line = line_of(dossier, "test square, rear slope");
    assert_int_equal(line->state, GB_CHECK_WAIVED);
    assert_string_equal(line->waived_why, "Slate, too steep to walk");
    assert_string_equal(line->waived_who, "Ada Quill");
    assert_in_range(line->waived_at_utc_s, earliest, earliest + 60);
    assert_int_equal(dossier->check->waived, 1);
}

static void a_second_reason_replaces_the_first(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbLog) log = hail_claim(state);
    g_free(waived(log, "test square rear slope", "ice"));
    g_autofree char *before = dump_work(state);
    gb_log_set_who(log, "Ben Orr");
    g_free(waived(log, "test square rear slope", "slate"));
    g_autoptr(GPtrArray) waivers = gb_waivers_load(log, &error);
    assert_int_equal(waivers->len, 1);
    assert_string_equal(((const GbWaiver *)waivers->pdata[0])->why, "slate");
    assert_string_equal(((const GbWaiver *)waivers->pdata[0])->who, "Ben Orr");
    assert_undo_brings_back(state, log, before);
}

static void a_waiver_is_taken_back_once(void **state)
{
    g_autoptr(GbLog) log = hail_claim(state);
    g_autofree char *before = dump_work(state);
    g_free(waived(log, "test square rear slope", "ice"));
    g_autofree char *summary = waived(log, "test square rear slope", NULL);
    assert_string_equal(summary, "test square, rear slope: waiver taken back");
    g_autofree char *after = dump_work(state);
    assert_string_equal(after, before);
    refused(state, log, "test square rear slope", NULL, GB_ERROR_STATE, "'test square, rear slope' is not waived");
}

static void what_is_there_is_not_waived(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbLog) log = hail_claim(state);
    gb_tag(log, "1", &(GbTag){ .place = "site", .subject = "address" }, NULL, &error);
    assert_no_error(error);
    g_autoptr(GbDossier) dossier = gb_dossier_load(log, &error);
    const GbCheckLine *line = line_of(dossier, "address");
    assert_int_equal(line->state, GB_CHECK_THERE);
    refused(state, log, line->label, "no number on the house", GB_ERROR_STATE, "is there: nothing to waive");
}

/* The photo that came after all is worth more; the waiver stays on record and speaks again when the photo goes. */
static void a_photo_that_comes_later_silences_the_waiver(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbLog) log = hail_claim(state);
    g_free(waived(log, "address", "no number on the house"));
    gb_tag(log, "1", &(GbTag){ .place = "site", .subject = "address" }, NULL, &error);
    g_autoptr(GbDossier) with = gb_dossier_load(log, &error);
    assert_int_equal(line_of(with, "address")->state, GB_CHECK_THERE);
    gb_tag(log, "1", &(GbTag){ .in_report = GB_LEAVE_OUT }, NULL, &error);
    g_autoptr(GbDossier) without = gb_dossier_load(log, &error);
    assert_int_equal(line_of(without, "address")->state, GB_CHECK_WAIVED);
    g_free(waived(log, "address", NULL));
}

static void unknown_and_unclear_requirements_are_refused(void **state)
{
    g_autoptr(GbLog) log = hail_claim(state);
    refused(state, log, "tset square rear", "ice", GB_ERROR_UNKNOWN, "test square, rear slope");
    refused(state, log, "test square", "ice", GB_ERROR_UNCLEAR, "test square, front slope");
    refused(state, log, "", "ice", GB_ERROR_UNKNOWN, "");
}

static void a_reason_is_wanted(void **state)
{
    g_autoptr(GbLog) log = hail_claim(state);
    g_autofree char *longer = g_strnfill(2001, 'w'), *longest = g_strnfill(2000, 'w');
    refused(state, log, "address", "", GB_ERROR_SYNTAX, "needs a reason");
    refused(state, log, "address", " \t\n", GB_ERROR_SYNTAX, "needs a reason");
    refused(state, log, "address", longer, GB_ERROR_SYNTAX, "1 to 2000 bytes");
    g_free(waived(log, "address", longest));
}

static void a_waiver_is_one_entry_and_undo_takes_it_away(void **state)
{
    g_autoptr(GbLog) log = hail_claim(state);
    g_autofree char *before = dump_work(state);
    guint entries = history_length(log);
    assert_true(gb_waive(log, "address", "no number", NULL, NULL)); /* nobody has to take the summary */
    assert_int_equal(history_length(log), entries + 1);
    assert_undo_brings_back(state, log, before);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        test_in_folder(what_is_missing_is_waived_with_who_when_and_why),
        test_in_folder(a_second_reason_replaces_the_first),
        test_in_folder(a_waiver_is_taken_back_once),
        test_in_folder(what_is_there_is_not_waived),
        test_in_folder(a_photo_that_comes_later_silences_the_waiver),
        test_in_folder(unknown_and_unclear_requirements_are_refused),
        test_in_folder(a_reason_is_wanted),
        test_in_folder(a_waiver_is_one_entry_and_undo_takes_it_away),
    };
    return cmocka_run_group_tests_name("waive", tests, NULL, NULL);
}
