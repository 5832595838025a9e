/* test_doubt.c -- which shots look as if they belonged to another claim, and how that is said.
 *
 * What is far or untimely is decided in stray.h and tested in test_visit.c.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "test.h"

#include <gablebook/doubt.h>
#include <locale.h>

#define NOON 1778760000.0 /* 2026-05-14 12:00 */
#define UNKNOWN ((double)NAN)

/* Shots of one house, n of them, a minute apart; their corrected UTC is known. */
typedef struct {
    GPtrArray *shots;
} Job;

static int setup_job(void **state)
{
    Job *job = g_new0(Job, 1);
    job->shots = g_ptr_array_new_with_free_func(g_free);
    for (int i = 0; i < 8; i++) {
        GbShot *shot = g_new0(GbShot, 1);
        shot->number = i + 1;
        gb_exif_init(&shot->exif);
        shot->exif.lat_deg = 38.73 + 0.00002 * i;
        shot->exif.lon_deg = -97.41;
        shot->exif.position_error_m = 5;
        shot->exif.taken_local_s = NOON + 60 * i;
        shot->time.utc_s = NOON + 60 * i + 5 * 3600;
        g_ptr_array_add(job->shots, shot);
    }
    *state = job;
    return 0;
}

static int teardown_job(void **state)
{
    Job *job = *state;
    g_ptr_array_unref(job->shots);
    g_free(job);
    return 0;
}

static GbShot *shot(Job *job, guint number)
{
    return job->shots->pdata[number - 1];
}

/* All doubts, a line each; OWNED by the caller. */
static char *doubts_of(Job *job)
{
    g_autoptr(GPtrArray) doubts = gb_doubts(job->shots);
    GString *text = g_string_new(NULL);
    for (guint i = 0; i < doubts->len; i++) {
        const GbDoubt *doubt = doubts->pdata[i];
        g_autofree char *named = g_strdup_printf("shot %" G_GINT64_FORMAT " ", doubt->number);
        assert_true(g_str_has_prefix(doubt->text, named));
        assert_int_equal(doubt->far, strstr(doubt->text, " lies ") != NULL);
        g_string_append_printf(text, "%s\n", doubt->text);
    }
    return g_string_free(text, FALSE);
}

static void assert_doubts(Job *job, const char *wanted)
{
    g_autofree char *seen = doubts_of(job);
    assert_string_equal(seen, wanted);
}

static void shots_of_one_visit_raise_no_doubt(void **state)
{
    assert_doubts(*state, "");
}

static void no_shots_raise_no_doubt(void **state)
{
    (void)state;
    g_autoptr(GPtrArray) none = g_ptr_array_new();
    g_autoptr(GPtrArray) doubts = gb_doubts(none);
    assert_int_equal(doubts->len, 0);
}

/* A minute of latitude is about 1850 m here (1 degree is 110.99 km at 38.7 N on WGS84: published formula, recomputed). */
static void a_shot_farther_than_its_error_allows_is_told_with_both_distances(void **state)
{
    shot(*state, 4)->exif.lat_deg += 1.0 / 60;
    assert_doubts(*state, "shot 4 lies 1.8 km from the others, where its positioning error allows 90 m\n");
    shot(*state, 4)->exif.position_error_m = 2000;
    assert_doubts(*state, "");
}

static void doubts_have_a_decimal_point_in_every_locale(void **state)
{
    g_autofree char *folder = g_dir_make_tmp("gablebook-test-XXXXXX", NULL);
    gboolean comma = use_decimal_comma(folder);
    shot(*state, 4)->exif.lat_deg += 1.0 / 60;
    shot(*state, 8)->time.utc_s += 6 * 3600;
    g_autofree char *seen = doubts_of(*state);
    setlocale(LC_NUMERIC, "C");
    remove_tree(folder);
    if (comma)
        assert_string_equal(seen, "shot 4 lies 1.9 km from the others, where its positioning error allows 90 m\n"
                                  "shot 8 was taken 6.0 hours away from the others\n");
}

static void a_nearer_one_is_told_in_metres(void **state)
{
    shot(*state, 4)->exif.lat_deg = 38.73006 + 0.003;
    g_autofree char *seen = doubts_of(*state);
    assert_non_null(strstr(seen, "shot 4 lies 33"));
    assert_non_null(strstr(seen, " m from the others, where its positioning error allows 90 m\n"));
}

static void a_shot_taken_hours_away_is_told_in_hours_and_in_days_where_these_are_many(void **state)
{
    shot(*state, 8)->time.utc_s += 6 * 3600;
    assert_doubts(*state, "shot 8 was taken 6.0 hours away from the others\n");
    shot(*state, 8)->time.utc_s += 30 * 86400.0;
    assert_doubts(*state, "shot 8 was taken 30 days away from the others\n");
}

static void a_shot_of_another_place_and_day_is_told_once(void **state)
{
    shot(*state, 8)->exif.lat_deg += 2;
    shot(*state, 8)->time.utc_s += 400 * 86400.0;
    g_autofree char *seen = doubts_of(*state);
    assert_non_null(strstr(seen, " km from the others, where its positioning error allows 90 m, and was taken 400 days away from them\n"));
    assert_int_equal(strchr(seen, '\n') - seen, (gssize)strlen(seen) - 1);
}

static void shots_without_position_or_time_raise_no_doubt_by_that(void **state)
{
    Job *job = *state;
    shot(job, 2)->exif.lat_deg = shot(job, 2)->exif.lon_deg = UNKNOWN;
    shot(job, 3)->time.utc_s = shot(job, 3)->exif.taken_local_s = UNKNOWN;
    shot(job, 5)->exif.position_error_m = UNKNOWN;
    assert_doubts(job, "");
}

static void where_no_utc_is_known_the_readings_tell(void **state)
{
    Job *job = *state;
    for (guint i = 1; i <= 8; i++)
        shot(job, i)->time.utc_s = UNKNOWN;
    assert_doubts(job, "");
    shot(job, 8)->exif.taken_local_s += 5 * 3600;
    assert_doubts(job, "shot 8 was taken 5.0 hours away from the others\n");
}

static void what_can_not_be_makes_nothing_fall_over(void **state)
{
    static const double values[] = { 1e308, -1e308, (double)INFINITY, (double)-INFINITY, 0, 1e-308 };
    Job *job = *state;
    for (gsize v = 0; v < G_N_ELEMENTS(values); v++) {
        GbShot *last = shot(job, 8), kept = *last;
        double *const fields[] = { &last->exif.lat_deg, &last->exif.lon_deg, &last->exif.position_error_m, &last->time.utc_s };
        for (gsize f = 0; f < G_N_ELEMENTS(fields); f++) {
            *fields[f] = values[v];
            g_autofree char *seen = doubts_of(job);
            assert_null(strstr(seen, "nan"));
            assert_null(strstr(seen, "inf"));
            assert_true(strlen(seen) < 300);
            *last = kept;
        }
    }
}

#define test_of_job(f) cmocka_unit_test_setup_teardown(f, setup_job, teardown_job)

int main(void)
{
    const struct CMUnitTest tests[] = {
        test_of_job(shots_of_one_visit_raise_no_doubt),
        cmocka_unit_test(no_shots_raise_no_doubt),
        test_of_job(a_shot_farther_than_its_error_allows_is_told_with_both_distances),
        test_of_job(doubts_have_a_decimal_point_in_every_locale),
        test_of_job(a_nearer_one_is_told_in_metres),
        test_of_job(a_shot_taken_hours_away_is_told_in_hours_and_in_days_where_these_are_many),
        test_of_job(a_shot_of_another_place_and_day_is_told_once),
        test_of_job(shots_without_position_or_time_raise_no_doubt_by_that),
        test_of_job(where_no_utc_is_known_the_readings_tell),
        test_of_job(what_can_not_be_makes_nothing_fall_over),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
