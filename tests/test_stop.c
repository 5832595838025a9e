/* test_stop.c -- runs of shots at one spot.
 *
 * What a stop is has no source; the tests hold the words of stop.h against the numbers.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "test.h"

#include <gablebook/stop.h>

static GbStopShot at(double time_s, double east_m, double north_m, double error_m)
{
    return (GbStopShot){ time_s, east_m, north_m, error_m };
}

static void a_pause_longer_than_four_usual_gaps_begins_a_stop(void **state)
{
    (void)state;
    const GbStopShot shots[] = { at(0, NAN, NAN, NAN),   at(10, NAN, NAN, NAN),  at(20, NAN, NAN, NAN), at(30, NAN, NAN, NAN),
                                 at(70, NAN, NAN, NAN),  at(111, NAN, NAN, NAN), at(121, NAN, NAN, NAN) };
    guint stops[7];
    gb_stops_number(shots, 7, stops);
    const guint wanted[] = { 1, 1, 1, 1, 1, 2, 2 }; /* 40 s is no longer than 4 x 10 s; 41 s is */
    assert_memory_equal(stops, wanted, sizeof wanted);
}

static void a_walk_beyond_the_errors_begins_a_stop_and_one_within_them_does_not(void **state)
{
    (void)state;
    const GbStopShot shots[] = { at(0, 0, 0, 4), at(5, 3, 0, 4), at(10, 13, 0, 8), at(15, 18, 0, 4), at(20, 18.5, 0.5, 4) };
    guint stops[5];
    gb_stops_number(shots, 5, stops);
    const guint wanted[] = { 1, 1, 1, 2, 2 }; /* 11.5 m from the middle: no walk; 12.7 m from it, errors of 9.3 m: one */
    assert_memory_equal(stops, wanted, sizeof wanted);
}

static void a_shot_without_a_position_stays_with_those_before_it(void **state)
{
    (void)state;
    const GbStopShot shots[] = { at(0, 0, 0, 3), at(5, NAN, NAN, NAN), at(10, 40, 0, 3) };
    guint stops[3];
    gb_stops_number(shots, 3, stops);
    const guint wanted[] = { 1, 1, 2 };
    assert_memory_equal(stops, wanted, sizeof wanted);
}

static void shots_without_a_time_share_the_last_stop(void **state)
{
    (void)state;
    const GbStopShot shots[] = { at(0, 0, 0, 3), at(NAN, 0, 0, 3), at(NAN, 90, 0, 3) };
    guint stops[3];
    gb_stops_number(shots, 3, stops);
    const guint wanted[] = { 1, 2, 2 };
    assert_memory_equal(stops, wanted, sizeof wanted);
    gb_stops_number(shots, 0, stops);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_pause_longer_than_four_usual_gaps_begins_a_stop),
        cmocka_unit_test(a_walk_beyond_the_errors_begins_a_stop_and_one_within_them_does_not),
        cmocka_unit_test(a_shot_without_a_position_stays_with_those_before_it),
        cmocka_unit_test(shots_without_a_time_share_the_last_stop),
    };
    return cmocka_run_group_tests_name("stop", tests, NULL, NULL);
}
