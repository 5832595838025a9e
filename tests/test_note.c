/* test_note.c -- the verb note: free words on a claim, a place, a shot.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "claim_support.h"

#include <gablebook/error.h>
#include <gablebook/history.h>
#include <gablebook/note.h>
#include <gablebook/structure.h>
#include <jansson.h>

static GbLog *claim_with_photos(void **state)
{
    GbLog *log = new_claim(state);
    enter_photos(log, 2);
    gb_log_set_who(log, "M. Tarn");
    return log;
}

static gint64 adds(GbLog *log, const char *place, gint64 shot, const char *text, GbNoteInReport in_report, const char *wanted)
{
    g_autoptr(GError) error = NULL;
    g_autofree char *summary = NULL;
    gint64 number = 0;
    gb_note_add(log, place, shot, text, in_report, &number, &summary, &error);
    assert_no_error(error);
    assert_string_equal(summary, wanted);
    return number;
}

static void refused(void **state, GbLog *log, const char *place, gint64 shot, const char *text, GbErrorCode code, const char *part)
{
    g_autoptr(GError) error = NULL;
    g_autofree char *before = dump_work(state);
    assert_false(gb_note_add(log, place, shot, text, GB_NOTE_KEEP, NULL, NULL, &error));
    assert_error(error, (int)code, part);
    g_autofree char *after = dump_work(state);
    assert_string_equal(after, before);
}

static void a_note_is_on_the_claim_a_place_or_a_shot(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbLog) log = claim_with_photos(state);
    adds(log, NULL, 0, " Dog in the yard ", GB_NOTE_KEEP, "note 1: Dog in the yard");
    adds(log, "rear s", 0, "Moss", GB_NOTE_FOR_REPORT, "note 2 on rear slope, for the report: Moss");
    adds(log, NULL, 2, "Chalk washed off", GB_NOTE_NOT_FOR_REPORT, "note 3 on shot 2: Chalk washed off");
    g_autoptr(GPtrArray) notes = gb_notes_load(log, &error), places = gb_places_load(log, &error);
    assert_no_error(error);
    assert_int_equal(notes->len, 3);
    const GbNote *first = notes->pdata[0], *second = notes->pdata[1], *third = notes->pdata[2];
    assert_true(first->place == 0 && first->shot == 0 && !first->in_report);
    assert_string_equal(first->who, "M. Tarn");
    assert_string_equal(gb_places_by_id(places, second->place)->label, "rear slope");
    assert_true(second->in_report);
    assert_int_equal(third->shot, 2);
    json_t *json = gb_notes_json(notes, places);
    assert_string_equal(json_string_value(json_object_get(json_array_get(json, 1), "place")), "rear slope");
    assert_true(json_is_null(json_object_get(json_array_get(json, 1), "shot")));
    assert_int_equal(json_integer_value(json_object_get(json_array_get(json, 2), "shot")), 2);
    json_decref(json);
    refused(state, log, "roof", 1, "x", GB_ERROR_SYNTAX, "not on both");
    refused(state, log, NULL, 9, "x", GB_ERROR_UNKNOWN, "there is no shot 9");
    refused(state, log, "rof", 0, "x", GB_ERROR_UNKNOWN, "'rof' is no place");
    refused(state, log, NULL, 0, " \n ", GB_ERROR_SYNTAX, "a note without words");
}

static void lines_are_kept_and_what_a_terminal_would_obey_is_not(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbLog) log = claim_with_photos(state);
    adds(log, NULL, 0, "\r\nFirst line\r\n\n  second\x1b[2J <b> \n\n", GB_NOTE_KEEP, "note 1: First line  second[2J <b>");
    g_autoptr(GPtrArray) notes = gb_notes_load(log, &error);
    assert_string_equal(((const GbNote *)notes->pdata[0])->text, "First line\n\nsecond[2J <b>");
    g_autofree char *longer = g_strnfill(20001, 'w'), *longest = g_strnfill(20000, 'w');
    refused(state, log, NULL, 0, longer, GB_ERROR_TOO_LARGE, "at most 20000");
    assert_true(gb_note_add(log, NULL, 0, longest, GB_NOTE_KEEP, NULL, NULL, &error));
    g_autofree char *summary = last_summary(log);
    assert_true(g_utf8_strlen(summary, -1) < 100); /* the history stays readable */
}

static void notes_are_found_by_parts_of_words_in_any_order(void **state)
{
    (void)state;
    const GbNote note = { .text = (char *)"Wet MOSS below the ridge;\nÖwner was told" };
    assert_true(gb_note_has(&note, "moss"));
    assert_true(gb_note_has(&note, "ridge wet"));
    assert_true(gb_note_has(&note, " öWN "));
    assert_true(gb_note_has(&note, ""));
    assert_false(gb_note_has(&note, "moss dry"));
}

static void a_note_is_changed_and_taken_out_and_its_number_never_comes_back(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbLog) log = claim_with_photos(state);
    g_autofree char *start = dump_work(state), *summary = NULL;
    adds(log, NULL, 0, "Moss", GB_NOTE_KEEP, "note 1: Moss");
    g_autofree char *first = dump_work(state);
    gb_log_set_who(log, "Ben Orr");
    assert_true(gb_note_change(log, 1, "Moss, wet", GB_NOTE_FOR_REPORT, &summary, &error));
    assert_string_equal(summary, "note 1, for the report: Moss, wet");
    g_autoptr(GPtrArray) notes = gb_notes_load(log, &error);
    assert_string_equal(((const GbNote *)notes->pdata[0])->who, "Ben Orr");
    assert_undo_brings_back(state, log, first);
    assert_undo_brings_back(state, log, start);
    assert_int_equal(adds(log, NULL, 0, "Dog", GB_NOTE_KEEP, "note 2: Dog"), 2);
    assert_false(gb_note_change(log, 1, "x", GB_NOTE_KEEP, NULL, &error));
    assert_error(error, GB_ERROR_UNKNOWN, "there is no note 1");
    assert_true(gb_note_remove(log, 2, NULL, &error));
    assert_false(gb_note_remove(log, 2, NULL, &error));
    assert_error(error, GB_ERROR_UNKNOWN, "there is no note 2");
}

static void a_place_with_a_note_stays(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbLog) log = claim_with_photos(state);
    assert_true(gb_structure_edit(log, &(GbStructureEdit){ .name = "shed" }, NULL, &error));
    adds(log, "shed", 0, "Locked", GB_NOTE_KEEP, "note 1 on shed: Locked");
    assert_false(gb_structure_drop(log, "shed", &error));
    assert_error(error, GB_ERROR_STATE, "'shed' still has 1 note: take it back first");
    assert_true(gb_note_remove(log, 1, NULL, &error));
    assert_true(gb_structure_drop(log, "shed", &error));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        test_in_folder(a_note_is_on_the_claim_a_place_or_a_shot),
        test_in_folder(lines_are_kept_and_what_a_terminal_would_obey_is_not),
        cmocka_unit_test(notes_are_found_by_parts_of_words_in_any_order),
        test_in_folder(a_note_is_changed_and_taken_out_and_its_number_never_comes_back),
        test_in_folder(a_place_with_a_note_stays),
    };
    return cmocka_run_group_tests_name("note", tests, NULL, NULL);
}
