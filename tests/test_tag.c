/* test_tag.c -- the verb tag: where, what, how near, which value, in which words and order.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "claim_support.h"

#include <gablebook/dossier.h>
#include <gablebook/error.h>
#include <gablebook/file.h>
#include <gablebook/history.h>
#include <gablebook/structure.h>
#include <gablebook/tag.h>
#include <glib/gstdio.h>

static GbLog *claim_with_photos(void **state, guint n)
{
    GbLog *log = new_claim(state);
    enter_photos(log, n);
    return log;
}

/* A tag that must work, and its summary. OWNED by the caller. */
static char *tagged(GbLog *log, const char *shots, GbTag tag)
{
    g_autoptr(GError) error = NULL;
    char *summary = NULL;
    gb_tag(log, shots, &tag, &summary, &error);
    assert_no_error(error);
    return summary;
}

static void tag(GbLog *log, const char *shots, GbTag words)
{
    g_free(tagged(log, shots, words));
}

static void refused(void **state, GbLog *log, const char *shots, GbTag words, GbErrorCode code, const char *part)
{
    g_autoptr(GError) error = NULL;
    g_autofree char *before = dump_work(state), *summary = NULL;
    guint entries = history_length(log);
    assert_false(gb_tag(log, shots, &words, &summary, &error));
    assert_error(error, (int)code, part);
    assert_null(summary);
    g_autofree char *after = dump_work(state);
    assert_string_equal(after, before);
    assert_int_equal(history_length(log), entries);
}

/* The caption shown, value as number and subject of one shot. */
static void assert_shot(GbLog *log, gint64 number, const char *subject, const char *value, double value_number, const char *caption)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbDossier) dossier = gb_dossier_load(log, &error);
    assert_no_error(error);
    const GbShot *shot = gb_shots_by_number(dossier->shots, number);
    g_autofree char *shown = gb_shot_caption(shot, dossier->places, dossier->catalogue);
    assert_int_equal(g_strcmp0(shot->subject, subject), 0);
    assert_int_equal(g_strcmp0(shot->value, value), 0);
    assert_near(shot->value_number, value_number, 1e-9);
    if (caption != NULL)
        assert_string_equal(shown, caption);
}

static gint compare_in_report(gconstpointer a, gconstpointer b, gpointer catalogue)
{
    const GbShot *s = *(GbShot *const *)a, *t = *(GbShot *const *)b;
    return gb_shot_compare(s, gb_shot_distance(s, catalogue), t, gb_shot_distance(t, catalogue));
}

/* Numbers of the shots of a place in the order of the report: "3 1 2". */
static void assert_order(GbLog *log, const char *label, const char *wanted)
{
    g_autoptr(GbDossier) dossier = gb_dossier_load(log, NULL);
    const GbPlace *place = gb_places_find(dossier->places, label, NULL);
    g_autoptr(GPtrArray) there = g_ptr_array_new();
    for (guint i = 0; i < dossier->shots->len; i++)
        if (((GbShot *)dossier->shots->pdata[i])->place == place->id)
            g_ptr_array_add(there, dossier->shots->pdata[i]);
    g_ptr_array_sort_with_data(there, compare_in_report, dossier->catalogue);
    g_autoptr(GString) seen = g_string_new(NULL);
    for (guint i = 0; i < there->len; i++)
        g_string_append_printf(seen, "%s%d", i > 0 ? " " : "", (int)((GbShot *)there->pdata[i])->number);
    assert_string_equal(seen->str, wanted);
}

static void words_may_be_short_and_the_summary_says_them_in_full(void **state)
{
    g_autoptr(GbLog) log = claim_with_photos(state, 12);
    g_autofree char *summary = tagged(log, "7-9, 3,8", (GbTag){ .place = "re s", .subject = "test sq", .distance = "cl", .value = "9" });
    assert_string_equal(summary, "shots 3, 7-9: place rear slope; subject Test square; distance close-up; value 9");
    assert_shot(log, 8, "test-square", "9", 9, NULL);
    assert_shot(log, 6, NULL, NULL, NAN, "");
    g_autofree char *said = last_summary(log);
    assert_string_equal(said, summary);
}

static void nobody_has_to_take_the_summary(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbLog) log = claim_with_photos(state, 1);
    assert_true(gb_tag(log, "1", &(GbTag){ .place = "front" }, NULL, &error));
    assert_true(gb_structure_edit(log, &(GbStructureEdit){ .name = "barn" }, NULL, &error));
    assert_true(gb_history_undo(log, NULL, &error));
    assert_true(gb_history_redo(log, NULL, &error));
}

static void unknown_and_unclear_words_list_what_may_be_meant(void **state)
{
    g_autoptr(GbLog) log = claim_with_photos(state, 3);
    refused(state, log, "1", (GbTag){ .place = "frnt" }, GB_ERROR_UNKNOWN, "'frnt' is no place; nearest: 'front'");
    refused(state, log, "1", (GbTag){ .place = "r" }, GB_ERROR_UNCLEAR, "'right'");
    refused(state, log, "1", (GbTag){ .subject = "tset square" }, GB_ERROR_UNKNOWN, "'Test square'");
    refused(state, log, "1", (GbTag){ .subject = "r" }, GB_ERROR_UNCLEAR, "could be");
    refused(state, log, "1", (GbTag){ .distance = "far" }, GB_ERROR_UNKNOWN, "'far' is no distance");
    refused(state, log, "1", (GbTag){ .place = "front", .distance = "far" }, GB_ERROR_UNKNOWN, "distance");
}

static void shots_that_are_not_there_are_refused(void **state)
{
    g_autoptr(GbLog) log = claim_with_photos(state, 3);
    refused(state, log, "4", (GbTag){ .place = "front" }, GB_ERROR_UNKNOWN, "there is no shot 4");
    refused(state, log, "1,99", (GbTag){ .place = "front" }, GB_ERROR_UNKNOWN, "there is no shot 99");
    refused(state, log, "7-12", (GbTag){ .place = "front" }, GB_ERROR_UNKNOWN, "there is no shot 7 or after it in that range");
    refused(state, log, "one", (GbTag){ .place = "front" }, GB_ERROR_SYNTAX, "one");
    refused(state, log, "", (GbTag){ .place = "front" }, GB_ERROR_SYNTAX, "");
    refused(state, log, "3-1", (GbTag){ .place = "front" }, GB_ERROR_SYNTAX, "3-1");
    g_autofree char *summary = tagged(log, "2-999999999", (GbTag){ .place = "front" }); /* a range may reach beyond */
    assert_string_equal(summary, "shots 2, 3: place front");
}

static void a_value_is_understood_as_the_subject_carries_it(void **state)
{
    /* Normalised numbers: rise in 12 of 7.5/12 is 7.5; inches of 4 in is 4; counts and layers as they are. */
    static const struct { const char *subject, *value; double number; const char *wrong, *how; } cases[] = {
        { "pitch", "7.5/12", 7.5, "steep", "write it like 6/12" },
        { "siding size", "4 in", 4, "wide", "write it like 4 1/2 in" },
        { "test square", "9", 9, "9.5", "write a whole number" },
        { "layers", "2", 2, "0", "whole number from 1 to 9" },
    };
    g_autoptr(GbLog) log = claim_with_photos(state, 1);
    for (gsize i = 0; i < G_N_ELEMENTS(cases); i++) {
        tag(log, "1", (GbTag){ .subject = "", .value = "" });
        tag(log, "1", (GbTag){ .subject = cases[i].subject, .value = cases[i].value });
        g_autoptr(GPtrArray) shots = gb_shots_load(log, NULL);
        const GbShot *shot = shots->pdata[0];
        assert_string_equal(shot->value, cases[i].value);
        assert_near(shot->value_number, cases[i].number, 1e-9);
        refused(state, log, "1", (GbTag){ .value = cases[i].wrong }, GB_ERROR_SYNTAX, cases[i].how);
    }
}

static void a_value_needs_a_subject_that_carries_one(void **state)
{
    g_autoptr(GbLog) log = claim_with_photos(state, 2);
    refused(state, log, "1", (GbTag){ .value = "9" }, GB_ERROR_STATE, "shot 1: a shot without a subject carries no value like '9'");
    tag(log, "1", (GbTag){ .subject = "test square", .value = "9" });
    refused(state, log, "1", (GbTag){ .subject = "address" }, GB_ERROR_STATE, "take the value back with an empty one");
    refused(state, log, "1", (GbTag){ .subject = "pitch" }, GB_ERROR_SYNTAX, "shot 1, Pitch: ");
    refused(state, log, "1", (GbTag){ .subject = "" }, GB_ERROR_STATE, "a shot without a subject");
    refused(state, log, "1,2", (GbTag){ .place = "front", .value = "3" }, GB_ERROR_STATE, "shot 2: "); /* all or none */
    tag(log, "1", (GbTag){ .subject = "pitch", .value = "6/12" });
    assert_shot(log, 1, "pitch", "6/12", 6, NULL);
    tag(log, "1", (GbTag){ .subject = "address", .value = "" });
    assert_shot(log, 1, "address", NULL, NAN, NULL);
}

/* A claim's own subjects.ini may have been taken away since: the shot can still be put to another place. */
static void a_shot_whose_subject_is_gone_can_still_be_tagged(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbLog) log = claim_with_photos(state, 1);
    g_autofree char *folder = gb_log_path(log, "templates", NULL), *own = gb_log_path(log, "templates", "subjects.ini", NULL);
    const char *text = "[weathervane]\nname = Weathervane\nplain = A vane\ndistance = close-up\nvalue = length\n";
    assert_int_equal(g_mkdir(folder, 0700), 0);
    assert_true(gb_file_write(own, text, strlen(text), 0644, &error));
    tag(log, "1", (GbTag){ .subject = "weathervane", .value = "30 in" });
    g_unlink(own);
    tag(log, "1", (GbTag){ .place = "front" });
    assert_shot(log, 1, "weathervane", "30 in", 30, NULL);
    refused(state, log, "1", (GbTag){ .value = "31 in" }, GB_ERROR_STATE, "'weathervane' carries no value");
}

static void a_caption_is_composed_until_one_is_written_and_again_when_it_is_taken_back(void **state)
{
    g_autoptr(GbLog) log = claim_with_photos(state, 1);
    tag(log, "1", (GbTag){ .place = "rear slope", .distance = "overview" });
    assert_shot(log, 1, NULL, NULL, NAN, "Rear slope, overview");
    g_autofree char *written = tagged(log, "1", (GbTag){ .caption = " The <i>rear</i>\x07 slope & \"more\" " });
    assert_string_equal(written, "shot 1: caption written");
    assert_shot(log, 1, NULL, NULL, NAN, "The <i>rear</i> slope & \"more\"");
    g_autofree char *composed = tagged(log, "1", (GbTag){ .caption = "" });
    assert_string_equal(composed, "shot 1: caption composed");
    assert_shot(log, 1, NULL, NULL, NAN, "Rear slope, overview");
    tag(log, "1", (GbTag){ .caption = "x" });
    tag(log, "1", (GbTag){ .caption = " \n " });
    assert_shot(log, 1, NULL, NULL, NAN, "Rear slope, overview");
}

static void captions_have_at_most_4000_bytes_and_values_200(void **state)
{
    g_autoptr(GbLog) log = claim_with_photos(state, 1);
    g_autofree char *longest = g_strnfill(4000, 'c'), *longer = g_strnfill(4001, 'c');
    tag(log, "1", (GbTag){ .caption = longest });
    refused(state, log, "1", (GbTag){ .caption = longer }, GB_ERROR_TOO_LARGE, "a caption of 4001 bytes; at most 4000");
    refused(state, log, "1", (GbTag){ .subject = "test square", .value = longest }, GB_ERROR_TOO_LARGE, "at most 200");
}

static void everything_said_can_be_taken_back(void **state)
{
    g_autoptr(GbLog) log = claim_with_photos(state, 1);
    g_autofree char *before = dump_work(state);
    tag(log, "1", (GbTag){ "front", "test square", "close", "9", "words", GB_LEAVE_OUT, GB_ORDER_KEEP, 0 });
    g_autofree char *summary = tagged(log, "1", (GbTag){ "", "", "", "", "", GB_TAKE_IN, GB_ORDER_BY_TIME, 0 });
    assert_string_equal(summary, "shot 1: no place; no subject; no distance; no value; caption composed; in the report; ordered by time");
    g_autofree char *after = dump_work(state);
    assert_string_equal(after, before);
}

static void a_shot_can_be_left_out_and_taken_in(void **state)
{
    g_autoptr(GbLog) log = claim_with_photos(state, 2);
    g_autofree char *out = tagged(log, "2", (GbTag){ .in_report = GB_LEAVE_OUT });
    assert_string_equal(out, "shot 2: left out of the report");
    g_autoptr(GPtrArray) shots = gb_shots_load(log, NULL);
    assert_false(gb_shots_by_number(shots, 1)->left_out);
    assert_true(gb_shots_by_number(shots, 2)->left_out);
    tag(log, "2", (GbTag){ .place = "front" }); /* says nothing of the report */
    tag(log, "2", (GbTag){ .in_report = GB_TAKE_IN });
    g_autoptr(GPtrArray) again = gb_shots_load(log, NULL);
    assert_false(gb_shots_by_number(again, 2)->left_out);
}

static void shots_go_before_and_after_others_of_their_place_in_the_order_given(void **state)
{
    g_autoptr(GbLog) log = claim_with_photos(state, 6);
    tag(log, "1-5", (GbTag){ .place = "rear" });
    assert_order(log, "rear", "1 2 3 4 5");
    g_autofree char *summary = tagged(log, "4", (GbTag){ .order = GB_ORDER_BEFORE, .anchor = 1 });
    assert_string_equal(summary, "shot 4: put before shot 1");
    assert_order(log, "rear", "4 1 2 3 5");
    tag(log, "5,2", (GbTag){ .order = GB_ORDER_AFTER, .anchor = 4 });
    assert_order(log, "rear", "4 5 2 1 3");
    tag(log, "4-5", (GbTag){ .order = GB_ORDER_AFTER, .anchor = 3 });
    assert_order(log, "rear", "2 1 3 4 5");
    tag(log, "6", (GbTag){ .place = "rear", .order = GB_ORDER_BEFORE, .anchor = 1 });
    assert_order(log, "rear", "2 6 1 3 4 5");
    tag(log, "3", (GbTag){ .order = GB_ORDER_BY_TIME }); /* one shot names the place */
    assert_order(log, "rear", "1 2 3 4 5 6");
}

/* Against a model: a list of numbers from which the moved ones are taken and put in again. */
static void random_moves_do_what_a_list_does(void **state)
{
    enum { N = 7 };
    g_autoptr(GRand) random = g_rand_new_with_seed(20260514);
    g_autoptr(GbLog) log = claim_with_photos(state, N);
    tag(log, "1-7", (GbTag){ .place = "rear" });
    g_autoptr(GArray) model = g_array_new(FALSE, FALSE, sizeof(int));
    for (int i = 1; i <= N; i++)
        g_array_append_val(model, i);
    for (int step = 0; step < 25; step++) {
        int anchor = g_rand_int_range(random, 1, N + 1), moved[2], after = g_rand_boolean(random);
        moved[0] = 1 + (anchor + g_rand_int_range(random, 0, 3)) % N;
        moved[1] = 1 + (anchor + g_rand_int_range(random, 3, N - 1)) % N;
        g_autofree char *shots = g_strdup_printf("%d,%d", moved[0], moved[1]);
        tag(log, shots, (GbTag){ .order = after ? GB_ORDER_AFTER : GB_ORDER_BEFORE, .anchor = anchor });
        guint at = 0;
        for (guint i = model->len; i-- > 0;)
            if (g_array_index(model, int, i) == moved[0] || g_array_index(model, int, i) == moved[1])
                g_array_remove_index(model, i);
        while (g_array_index(model, int, at) != anchor)
            at++;
        g_array_insert_vals(model, at + (guint)after, moved, 2);
        g_autoptr(GString) wanted = g_string_new(NULL);
        for (guint i = 0; i < model->len; i++)
            g_string_append_printf(wanted, "%s%d", i > 0 ? " " : "", g_array_index(model, int, i));
        assert_order(log, "rear", wanted->str);
    }
}

static void shots_do_not_go_beside_themselves_or_across_places(void **state)
{
    g_autoptr(GbLog) log = claim_with_photos(state, 3);
    tag(log, "1,2", (GbTag){ .place = "rear" });
    tag(log, "3", (GbTag){ .place = "front" });
    refused(state, log, "3", (GbTag){ .order = GB_ORDER_AFTER, .anchor = 1 }, GB_ERROR_STATE, "belong to different places");
    refused(state, log, "2,3", (GbTag){ .order = GB_ORDER_AFTER, .anchor = 1 }, GB_ERROR_STATE, "shot 3 can't go beside shot 1");
    refused(state, log, "1", (GbTag){ .order = GB_ORDER_BEFORE, .anchor = 1 }, GB_ERROR_STATE, "they are the same");
    refused(state, log, "1", (GbTag){ .order = GB_ORDER_BEFORE, .anchor = 9 }, GB_ERROR_UNKNOWN, "there is no shot 9");
}

static void another_place_ends_the_order_by_hand_of_the_shot_that_goes(void **state)
{
    g_autoptr(GbLog) log = claim_with_photos(state, 4);
    tag(log, "1-3", (GbTag){ .place = "rear" });
    tag(log, "3", (GbTag){ .order = GB_ORDER_BEFORE, .anchor = 1 });
    tag(log, "3", (GbTag){ .place = "rear" }); /* it is there already: nothing is lost */
    assert_order(log, "rear", "3 1 2");
    tag(log, "4", (GbTag){ .place = "front" });
    tag(log, "3", (GbTag){ .place = "front" });
    assert_order(log, "front", "3 4");
    assert_order(log, "rear", "1 2");
    tag(log, "3", (GbTag){ .place = "rear" });
    assert_order(log, "rear", "1 2 3"); /* after those that were put in order */
}

static void a_tag_is_one_entry_with_before_and_after_and_undo_restores(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbLog) log = claim_with_photos(state, 3);
    tag(log, "1-3", (GbTag){ .place = "front", .caption = "old" });
    g_autofree char *before = dump_work(state);
    guint entries = history_length(log);
    tag(log, "2,3", (GbTag){ .place = "rear", .caption = "new" });
    assert_int_equal(history_length(log), entries + 1);
    g_autoptr(GPtrArray) values = gb_history_values(log, entries + 1, &error);
    assert_no_error(error);
    assert_int_equal(values->len, 4);
    const GbHistoryValue *place = values->pdata[0], *caption = values->pdata[1];
    assert_string_equal(place->before, "front");
    assert_string_equal(place->after, "rear");
    assert_string_equal(caption->before, "old");
    assert_string_equal(caption->after, "new");
    assert_undo_brings_back(state, log, before);
}

static void a_tag_that_changes_nothing_leaves_no_entry(void **state)
{
    g_autoptr(GbLog) log = claim_with_photos(state, 1);
    tag(log, "1", (GbTag){ .place = "front" });
    guint entries = history_length(log);
    tag(log, "1", (GbTag){ .place = "front" });
    g_autofree char *nothing = tagged(log, "1", (GbTag){ 0 });
    assert_string_equal(nothing, "shot 1: nothing");
    assert_int_equal(history_length(log), entries);
}

static void a_claim_open_for_reading_is_not_tagged(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autofree char *path = claim_path(state), *summary = NULL;
    gb_log_free(claim_with_photos(state, 1));
    g_autoptr(GbLog) log = gb_log_open(path, GB_LOG_READ, &error);
    assert_no_error(error);
    assert_false(gb_tag(log, "1", &(GbTag){ .place = "front" }, &summary, &error));
    assert_non_null(error);
    assert_null(summary);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        test_in_folder(words_may_be_short_and_the_summary_says_them_in_full),
        test_in_folder(nobody_has_to_take_the_summary),
        test_in_folder(unknown_and_unclear_words_list_what_may_be_meant),
        test_in_folder(shots_that_are_not_there_are_refused),
        test_in_folder(a_value_is_understood_as_the_subject_carries_it),
        test_in_folder(a_value_needs_a_subject_that_carries_one),
        test_in_folder(a_shot_whose_subject_is_gone_can_still_be_tagged),
        test_in_folder(a_caption_is_composed_until_one_is_written_and_again_when_it_is_taken_back),
        test_in_folder(captions_have_at_most_4000_bytes_and_values_200),
        test_in_folder(everything_said_can_be_taken_back),
        test_in_folder(a_shot_can_be_left_out_and_taken_in),
        test_in_folder(shots_go_before_and_after_others_of_their_place_in_the_order_given),
        test_in_folder(random_moves_do_what_a_list_does),
        test_in_folder(shots_do_not_go_beside_themselves_or_across_places),
        test_in_folder(another_place_ends_the_order_by_hand_of_the_shot_that_goes),
        test_in_folder(a_tag_is_one_entry_with_before_and_after_and_undo_restores),
        test_in_folder(a_tag_that_changes_nothing_leaves_no_entry),
        test_in_folder(a_claim_open_for_reading_is_not_tagged),
    };
    return cmocka_run_group_tests_name("tag", tests, NULL, NULL);
}
