/* test_mark.c -- what is drawn over photos: the verb, its undo, what is measured, what a foreign file may hold.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "claim_support.h"

#include <gablebook/error.h>
#include <gablebook/history.h>
#include <gablebook/mark.h>
#include <gablebook/measure.h>

/* A mark of these points, in memory. OWNED by the caller. */
static GbMark *mark_of(GbMarkKind kind, guint n, const GbMarkPoint *points)
{
    GbMark *mark = g_new0(GbMark, 1);
    *mark = (GbMark){ .id = 1, .shot = 1, .kind = kind, .n_points = n, .length_in = NAN };
    mark->points = g_memdup2(points, n * sizeof *points);
    return mark;
}

/* --- measured --- */

static void an_angle_of_32_005_degrees_is_a_pitch_of_7_5_in_12(void **state) /* atan(7.5 / 12) = 32.0054 degrees, bc -l */
{
    (void)state;
    /* In a picture of 2400 x 1200, level to the right and 7.5 up in 12: the aspect matters. */
    const GbMarkPoint points[] = { { 0.9, 0.9 }, { 0.4, 0.9 }, { 0.4 + 0.25, 0.9 - 0.25 * 2 * 7.5 / 12 } };
    g_autoptr(GbMark) angle = mark_of(GB_MARK_ANGLE, 3, points);
    assert_near(gb_mark_angle_deg(angle, 2400, 1200), 32.0054, 0.0001);
    g_autofree char *pitch = gb_mark_pitch(gb_mark_angle_deg(angle, 2400, 1200)), *obtuse = gb_mark_pitch(180 - 32.0054);
    assert_string_equal(pitch, "7.5:12");
    assert_string_equal(obtuse, "7.5:12");
    for (double rise = 0; rise <= 24; rise += 0.5) { /* and as measure.h says it the other way */
        g_autofree char *text = gb_mark_pitch(gb_pitch_degrees(rise));
        double back;
        assert_true(gb_pitch_parse(text, &back, NULL));
        assert_near(back, rise, 1e-9);
    }
    assert_null(gb_mark_pitch(80)); /* 68 in 12 */
    assert_null(gb_mark_pitch(90));
    g_autofree char *level = gb_mark_pitch(180);
    assert_string_equal(level, "0:12");
}

static void an_angle_with_an_end_in_its_corner_is_none(void **state)
{
    (void)state;
    const GbMarkPoint points[] = { { 0.4, 0.9 }, { 0.4, 0.9 }, { 0.6, 0.2 } };
    g_autoptr(GbMark) angle = mark_of(GB_MARK_ANGLE, 3, points);
    assert_true(isnan(gb_mark_angle_deg(angle, 100, 100)));
}

static void a_line_is_measured_against_the_nearest_scale_of_its_own_photo(void **state)
{
    (void)state;
    g_autoptr(GPtrArray) marks = g_ptr_array_new_with_free_func((GDestroyNotify)gb_mark_free);
    const GbMarkPoint far[] = { { 0.0, 0.0 }, { 0.5, 0.0 } }, near[] = { { 0.5, 0.8 }, { 0.6, 0.8 } };
    const GbMarkPoint upright[] = { { 0.6, 0.9 }, { 0.6, 0.5 } };
    g_ptr_array_add(marks, mark_of(GB_MARK_SCALE, 2, far));
    g_ptr_array_add(marks, mark_of(GB_MARK_SCALE, 2, near));
    g_ptr_array_add(marks, mark_of(GB_MARK_SCALE, 2, upright));
    ((GbMark *)marks->pdata[0])->length_in = 1000;
    ((GbMark *)marks->pdata[1])->length_in = 12;
    ((GbMark *)marks->pdata[2])->length_in = 7;
    ((GbMark *)marks->pdata[2])->shot = 2; /* another photo's */
    g_autoptr(GbMark) line = mark_of(GB_MARK_LINE, 2, upright);
    /* 12 in are 0.1 of 3000 px wide = 300 px; the line is 0.4 of 2000 px high = 800 px: 32 in. */
    assert_near(gb_mark_length_in(line, marks, 3000, 2000), 32, 1e-9);
    g_autoptr(GPtrArray) none = g_ptr_array_new();
    assert_true(isnan(gb_mark_length_in(line, none, 3000, 2000)));
    assert_true(isnan(gb_mark_length_in(marks->pdata[1], marks, 3000, 2000)));
}

/* --- the verb --- */

static gint64 draw(GbLog *log, const char *kind, guint n, const GbMarkPoint *points, const char *text, const char *length)
{
    g_autoptr(GError) error = NULL;
    gint64 id = 0;
    const GbMarkEdit edit = { .shot = 1, .kind = kind, .points = points, .n_points = n, .text = text, .length = length };
    gb_mark(log, &edit, &id, NULL, &error);
    assert_no_error(error);
    return id;
}

static const GbMarkPoint two[] = { { 0.125, 0.25 }, { 0.5, 1 } };

static void a_mark_comes_back_as_it_was_drawn_and_undo_takes_it_away(void **state)
{
    g_autoptr(GbLog) log = new_claim(state);
    enter_photos(log, 2);
    g_autofree char *before = dump_work(state);
    gint64 id = draw(log, "arr", 2, two, " <b>bruise</b> ", NULL);
    g_autoptr(GPtrArray) marks = gb_marks_load(log, NULL), shots = gb_shots_load(log, NULL);
    const GbMark *mark = marks->pdata[0];
    assert_int_equal(marks->len, 1);
    assert_int_equal(mark->id, id);
    assert_int_equal(mark->kind, GB_MARK_ARROW);
    assert_string_equal(mark->text, "<b>bruise</b>");
    assert_memory_equal(mark->points, two, sizeof two); /* these are whole in five digits and in binary */
    assert_int_equal(gb_shots_by_number(shots, 1)->marks->len, 1);
    assert_null(gb_shots_by_number(shots, 2)->marks);
    assert_undo_brings_back(state, log, before);
}

static void a_changed_mark_keeps_what_was_not_said(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbLog) log = new_claim(state);
    enter_photos(log, 1);
    gint64 id = draw(log, "scale", 2, two, "tape", "10 ft 4 in");
    g_autofree char *before = dump_work(state), *summary = NULL;
    assert_true(gb_mark(log, &(GbMarkEdit){ .mark = id, .length = "3 m" }, NULL, &summary, &error));
    assert_string_equal(summary, "shot 1: scale changed");
    g_autoptr(GPtrArray) marks = gb_marks_load(log, &error);
    const GbMark *mark = marks->pdata[0];
    assert_string_equal(mark->text, "tape");
    assert_string_equal(mark->length, "3 m");
    assert_near(mark->length_in, 3000 / 25.4, 1e-9); /* an inch is 25.4 mm */
    assert_undo_brings_back(state, log, before);
    assert_true(gb_mark_drop(log, id, NULL, &error));
    assert_undo_brings_back(state, log, before);
    gint64 next = draw(log, "line", 2, two, NULL, NULL);
    assert_true(next > id);
}

static void what_makes_no_sense_is_refused_and_changes_nothing(void **state)
{
    static const GbMarkPoint outside[] = { { 0.5, 0.5 }, { 1.01, 0.5 } }, nan_point[] = { { NAN, 0.5 }, { 0.1, 0.5 } };
    static const GbMarkPoint same[] = { { 0.5, 0.5 }, { 0.5, 0.5 } };
    const struct { GbMarkEdit edit; int code; const char *part; } cases[] = {
        { { .shot = 9, .kind = "arrow", .points = two, .n_points = 2 }, GB_ERROR_UNKNOWN, "no shot 9" },
        { { .shot = 1, .kind = "blob", .points = two, .n_points = 2 }, GB_ERROR_UNKNOWN, "'blob' is no kind of mark" },
        { { .shot = 1, .kind = "arrow", .points = two, .n_points = 1 }, GB_ERROR_SYNTAX, "an arrow has two points, not 1" },
        { { .shot = 1, .kind = "angle", .points = two, .n_points = 2 }, GB_ERROR_SYNTAX, "an angle has three points, not 2" },
        { { .shot = 1, .kind = "arrow" }, GB_ERROR_SYNTAX, "not 0" },
        { { .shot = 1, .kind = "arrow", .points = outside, .n_points = 2 }, GB_ERROR_SYNTAX, "outside the picture" },
        { { .shot = 1, .kind = "arrow", .points = nan_point, .n_points = 2 }, GB_ERROR_SYNTAX, "outside the picture" },
        { { .shot = 1, .kind = "line", .points = same, .n_points = 2 }, GB_ERROR_SYNTAX, "one and the same" },
        { { .shot = 1, .kind = "text", .points = two, .n_points = 1 }, GB_ERROR_SYNTAX, "needs its text" },
        { { .shot = 1, .kind = "scale", .points = two, .n_points = 2 }, GB_ERROR_SYNTAX, "needs the length" },
        { { .shot = 1, .kind = "scale", .points = two, .n_points = 2, .length = "long" }, GB_ERROR_SYNTAX, "mark: " },
        { { .shot = 1, .kind = "line", .points = two, .n_points = 2, .length = "4 in" }, GB_ERROR_STATE, "only a scale" },
        { { .mark = 7, .text = "x" }, GB_ERROR_UNKNOWN, "no mark 7" },
    };
    g_autoptr(GbLog) log = new_claim(state);
    enter_photos(log, 1);
    guint length = history_length(log);
    for (gsize i = 0; i < G_N_ELEMENTS(cases); i++) {
        g_autoptr(GError) error = NULL;
        assert_false(gb_mark(log, &cases[i].edit, NULL, NULL, &error));
        assert_error(error, cases[i].code, cases[i].part);
    }
    g_autoptr(GError) error = NULL;
    assert_false(gb_mark_drop(log, 7, NULL, &error));
    assert_error(error, GB_ERROR_UNKNOWN, "no mark 7");
    assert_int_equal(history_length(log), length);
}

static void a_mark_of_a_foreign_file_that_makes_no_sense_is_an_error_and_no_crash(void **state)
{
    static const char *const rows[] = {
        "'arrow', '0.1,0.2'", "'arrow', '0.1,0.2 0.3'", "'arrow', '0.1,0.2 0.3,'", "'arrow', '0.1,0.2 0.3,x'", "'arrow', '0.1,0.2 3,0.1'",
        "'arrow', 'nan,0.2 0.3,0.1'", "'arrow', '0.1,0.2  0.3,0.1'", "'chalk', '0.1,0.2'", "'angle', '0.1,0.2 0.3,0.1'",
    };
    g_autoptr(GbLog) log = new_claim(state);
    enter_photos(log, 1);
    sqlite3 *db = raw_connection(state);
    for (gsize i = 0; i < G_N_ELEMENTS(rows); i++) {
        g_autoptr(GError) error = NULL;
        g_autofree char *sql = g_strdup_printf("DELETE FROM mark; INSERT INTO mark (shot, kind, points) VALUES (1, %s)", rows[i]);
        raw_exec(db, sql);
        assert_null(gb_marks_load(log, &error));
        assert_error(error, GB_ERROR_DAMAGED, "a mark that makes no sense");
    }
    sqlite3_close(db);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(an_angle_of_32_005_degrees_is_a_pitch_of_7_5_in_12),
        cmocka_unit_test(an_angle_with_an_end_in_its_corner_is_none),
        cmocka_unit_test(a_line_is_measured_against_the_nearest_scale_of_its_own_photo),
        test_in_folder(a_mark_comes_back_as_it_was_drawn_and_undo_takes_it_away),
        test_in_folder(a_changed_mark_keeps_what_was_not_said),
        test_in_folder(what_makes_no_sense_is_refused_and_changes_nothing),
        test_in_folder(a_mark_of_a_foreign_file_that_makes_no_sense_is_an_error_and_no_crash),
    };
    return cmocka_run_group_tests_name("mark", tests, NULL, NULL);
}
