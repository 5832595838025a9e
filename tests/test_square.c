/* test_square.c -- sizes, the verb square, and the threshold that is the user's own.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "claim_support.h"

#include <gablebook/dossier.h>
#include <gablebook/error.h>
#include <gablebook/history.h>
#include <gablebook/size.h>
#include <gablebook/square.h>
#include <gablebook/structure.h>

/* --- sizes --- */

/* Source: 1 in = 25.4 mm exactly; a test square is 100 sq ft, usually 10 x 10 ft (Shepard & Gromicko, Mastering Roof Inspections: Hail, part
 * 12), as another shape too. */
static void a_size_is_understood_in_the_usual_spellings(void **state)
{
    (void)state;
    const struct {
        const char *text;
        double width_in, height_in;
    } cases[] = {
        { "10 x 10 ft", 120, 120 }, { "10x10", 120, 120 },       { "10 ft x 10 ft", 120, 120 }, { "10' x 10'", 120, 120 },
        { "5 x 20 ft", 60, 240 },   { "5' by 20'", 60, 240 },    { "10 × 10 FT", 120, 120 },    { "10 ft", 120, 120 },
        { "3 m x 3 m", 118.1102, 118.1102 }, { "3 x 3 m", 118.1102, 118.1102 }, { "120 in x 120 in", 120, 120 }, { "5 ft x 240 in", 60, 240 },
    };
    for (gsize i = 0; i < G_N_ELEMENTS(cases); i++) {
        double width, height;
        if (!gb_size_parse(cases[i].text, &width, &height, NULL))
            fail_msg("'%s' was refused", cases[i].text);
        assert_near(width, cases[i].width_in, 5e-5);
        assert_near(height, cases[i].height_in, 5e-5);
    }
    const char *const none[] = { "", "x", "10 x", "10 x 10 x 10", "0 x 10 ft", "ten by ten", "10 x 10 sq", "-10 x 10" };
    for (gsize i = 0; i < G_N_ELEMENTS(none); i++) {
        double width, height;
        g_autoptr(GError) error = NULL;
        if (gb_size_parse(none[i], &width, &height, &error))
            fail_msg("'%s' was taken", none[i]);
        assert_error(error, GB_ERROR_SYNTAX, "write it like 10 x 10 ft");
    }
}

/* --- the verb --- */

static GbLog *claim_with_photos(void **state)
{
    GbLog *log = new_claim(state);
    enter_photos(log, 4);
    gb_log_set_who(log, "M. Tarn");
    return log;
}

static void says(GbLog *log, const char *slope, GbSquareEdit edit, const char *wanted)
{
    g_autoptr(GError) error = NULL;
    g_autofree char *summary = NULL;
    gb_square_say(log, slope, &edit, &summary, &error);
    assert_no_error(error);
    assert_string_equal(summary, wanted);
}

static void refused(void **state, GbLog *log, const char *slope, GbSquareEdit edit, GbErrorCode code, const char *part)
{
    g_autoptr(GError) error = NULL;
    g_autofree char *before = dump_work(state);
    assert_false(gb_square_say(log, slope, &edit, NULL, &error));
    assert_error(error, (int)code, part);
    g_autofree char *after = dump_work(state);
    assert_string_equal(after, before);
}

static void a_square_is_ten_by_ten_feet_unless_somebody_says_otherwise(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbLog) log = claim_with_photos(state);
    says(log, "front slope", (GbSquareEdit){ .hits = "9", .shots = "2, 1" }, "front slope: test square 10 x 10 ft, 9 hits; shots 1, 2");
    says(log, "left slope", (GbSquareEdit){ .hits = "1", .size = "5 x 20" }, "left slope: test square 5 x 20, 1 hit");
    says(log, "left slope", (GbSquareEdit){ .hits = "0" }, "left slope: test square 5 x 20, 0 hits");
    says(log, "left slope", (GbSquareEdit){ .size = "" }, "left slope: test square 10 x 10 ft, 0 hits");
    g_autoptr(GPtrArray) squares = gb_squares_load(log, &error);
    assert_no_error(error);
    assert_int_equal(squares->len, 2);
    const GbSquare *front = squares->pdata[0];
    assert_near(front->width_in * front->height_in / 144, 100, 1e-9);
    assert_int_equal(front->hits, 9);
    assert_string_equal(front->who, "M. Tarn");
}

static void a_slope_may_have_several_squares(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbLog) log = claim_with_photos(state);
    says(log, "front slope", (GbSquareEdit){ .hits = "9" }, "front slope: test square 10 x 10 ft, 9 hits");
    says(log, "front slope", (GbSquareEdit){ .hits = "4", .number = "2" }, "front slope: test square 2, 10 x 10 ft, 4 hits");
    refused(state, log, "front slope", (GbSquareEdit){ .hits = "4", .number = "0" }, GB_ERROR_SYNTAX, "from 1 to 9");
    refused(state, log, "front slope", (GbSquareEdit){ .hits = "4", .number = "two" }, GB_ERROR_SYNTAX, "from 1 to 9");
    assert_true(gb_square_drop(log, "front slope", NULL, NULL, &error));
    assert_false(gb_square_drop(log, "front slope", "1", NULL, &error));
    assert_error(error, GB_ERROR_STATE, "test square 1 is not recorded");
    assert_true(gb_square_drop(log, "front slope", "2", NULL, &error));
}

static void it_is_counted_or_not_drawn_for_a_reason_and_never_both(void **state)
{
    g_autoptr(GbLog) log = claim_with_photos(state);
    refused(state, log, "rear slope", (GbSquareEdit){ .note = "x" }, GB_ERROR_STATE, "say how many hits were counted, or why");
    refused(state, log, "rear slope", (GbSquareEdit){ .not_drawn = "obvious", .hits = "9" }, GB_ERROR_STATE, "has no hits");
    refused(state, log, "rear slope", (GbSquareEdit){ .not_drawn = " " }, GB_ERROR_SYNTAX, "needs its reason");
    says(log, "rear slope", (GbSquareEdit){ .not_drawn = "obvious: hits on every shingle" },
         "rear slope: test square not drawn: obvious: hits on every shingle");
    says(log, "rear slope", (GbSquareEdit){ .note = "seen from the ladder" },
         "rear slope: test square not drawn: obvious: hits on every shingle; seen from the ladder");
    refused(state, log, "rear slope", (GbSquareEdit){ .size = "10 x 10 ft" }, GB_ERROR_STATE, "say how many hits");
    says(log, "rear slope", (GbSquareEdit){ .hits = "12" }, "rear slope: test square 10 x 10 ft, 12 hits; seen from the ladder");
    says(log, "rear slope", (GbSquareEdit){ .not_drawn = "moss" }, "rear slope: test square not drawn: moss; seen from the ladder");
}

static void a_square_belongs_to_a_slope_and_its_count_is_whole(void **state)
{
    g_autoptr(GbLog) log = claim_with_photos(state);
    refused(state, log, "front", (GbSquareEdit){ .hits = "9" }, GB_ERROR_STATE, "belongs to a slope, and 'front' is none");
    refused(state, log, "roof", (GbSquareEdit){ .hits = "9" }, GB_ERROR_STATE, "'roof' is none");
    refused(state, log, "front slope", (GbSquareEdit){ .hits = "nine" }, GB_ERROR_SYNTAX, "hits: 'nine' is no count");
    refused(state, log, "front slope", (GbSquareEdit){ .hits = "-1" }, GB_ERROR_SYNTAX, "hits: ");
    refused(state, log, "front slope", (GbSquareEdit){ .hits = "9", .size = "big" }, GB_ERROR_SYNTAX, "'big' is no size");
    refused(state, log, "front slope", (GbSquareEdit){ .hits = "9", .shots = "40" }, GB_ERROR_UNKNOWN, "there is no shot 40");
}

static void every_change_is_one_entry_and_undo_takes_it_away(void **state)
{
    g_autoptr(GbLog) log = claim_with_photos(state);
    g_autofree char *start = dump_work(state);
    says(log, "front slope", (GbSquareEdit){ .hits = "9", .shots = "1" }, "front slope: test square 10 x 10 ft, 9 hits; shot 1");
    g_autofree char *first = dump_work(state);
    says(log, "front slope", (GbSquareEdit){ .not_drawn = "rain" }, "front slope: test square not drawn: rain; shot 1");
    assert_undo_brings_back(state, log, first);
    assert_undo_brings_back(state, log, start);
}

static void a_slope_with_a_square_stays(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbLog) log = claim_with_photos(state);
    says(log, "front slope", (GbSquareEdit){ .hits = "9" }, "front slope: test square 10 x 10 ft, 9 hits");
    assert_false(gb_structure_edit(log, &(GbStructureEdit){ .name = "dwelling", .slopes = "left, right, rear" }, NULL, &error));
    assert_error(error, GB_ERROR_STATE, "'front slope' still has 1 test square: take it back first");
}

/* --- the threshold --- */

static void a_threshold_has_a_source_and_judges_nothing(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbLog) log = claim_with_photos(state);
    g_autoptr(GbThreshold) none = NULL, set = NULL, gone = NULL;
    g_autofree char *before = dump_work(state), *summary = NULL;
    assert_true(gb_threshold_load(log, &none, &error));
    assert_null(none);
    assert_false(gb_threshold_set(log, "8", NULL, NULL, &error));
    assert_error(error, GB_ERROR_SYNTAX, "needs its source");
    assert_false(gb_threshold_set(log, "0", "me", NULL, &error));
    assert_error(error, GB_ERROR_SYNTAX, "one hit at least");
    assert_true(gb_threshold_set(log, "8", "the carrier's guide", &summary, &error));
    assert_string_equal(summary, "threshold 8 hits in a square, as set by M. Tarn: the carrier's guide");
    assert_true(gb_threshold_load(log, &set, &error));
    assert_int_equal(set->hits, 8);
    assert_string_equal(set->source, "the carrier's guide");
    assert_string_equal(set->who, "M. Tarn");
    says(log, "front slope", (GbSquareEdit){ .hits = "20" }, "front slope: test square 10 x 10 ft, 20 hits"); /* no word about it */
    assert_true(gb_history_undo(log, NULL, &error));
    assert_true(gb_threshold_set(log, "", NULL, NULL, &error));
    assert_true(gb_threshold_load(log, &gone, &error));
    assert_null(gone);
    g_autofree char *after = dump_work(state);
    assert_string_equal(after, before);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_size_is_understood_in_the_usual_spellings),
        test_in_folder(a_square_is_ten_by_ten_feet_unless_somebody_says_otherwise),
        test_in_folder(a_slope_may_have_several_squares),
        test_in_folder(it_is_counted_or_not_drawn_for_a_reason_and_never_both),
        test_in_folder(a_square_belongs_to_a_slope_and_its_count_is_whole),
        test_in_folder(every_change_is_one_entry_and_undo_takes_it_away),
        test_in_folder(a_slope_with_a_square_stays),
        test_in_folder(a_threshold_has_a_source_and_judges_nothing),
    };
    return cmocka_run_group_tests_name("square", tests, NULL, NULL);
}
