/* test_circular.c -- directions, against worked examples of the textbooks and tabulated Bessel values.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "test.h"

#include <gablebook/circular.h>

/* Source: Mardia and Jupp, Directional Statistics (2000), Example 1.1 prints mean 51 and R 0.711; the further digits recomputed. */
static void nine_directions_have_the_published_mean_51_and_length_0_711(void **state)
{
    (void)state;
    const double deg[] = { 43, 45, 52, 61, 75, 88, 88, 279, 357 };
    double length = NAN;
    assert_near(gb_circular_mean_deg(deg, NULL, G_N_ELEMENTS(deg), &length), 51.0502, 5e-4);
    assert_near(length, 0.71099, 5e-6);
    assert_near(length * cos(51.0502 * G_PI / 180), 0.4470, 5e-5);
    assert_near(gb_von_mises_kappa(length), 2.0833, 5e-4);
}

/* Source: Zar, Biostatistical Analysis (2010), Example 26.4 prints mean 99, r 0.82522, cos -0.15623 and sin 0.98772; its
 * hand calculation is one off in the fifth digit. */
static void eight_directions_have_the_published_mean_99_and_length_0_825(void **state)
{
    (void)state;
    const double deg[] = { 45, 55, 81, 96, 110, 117, 132, 154 };
    double length = NAN;
    double mean = gb_circular_mean_deg(deg, NULL, G_N_ELEMENTS(deg), &length);
    assert_near(mean, 98.98775, 5e-5);
    assert_near(length, 0.82522, 5e-6);
    assert_near(cos(mean * G_PI / 180), -0.15623, 1e-5);
    assert_near(sin(mean * G_PI / 180), 0.98772, 1e-5);
    assert_near(gb_von_mises_kappa(length), 3.2231, 5e-4);
}

/* Source: the documentation page of scipy.stats.circmean prints 7.294976657784009 for 20, 30, 330. */
static void the_mean_goes_across_north(void **state)
{
    (void)state;
    const double over[] = { 20, 30, 330 }, around[] = { 355, 5, 15 }, turned[] = { -5, 365, 15 };
    double length = NAN;
    assert_near(gb_circular_mean_deg(over, NULL, 3, NULL), 7.294976657784009, 1e-9);
    assert_near(gb_circular_mean_deg(around, NULL, 3, &length), 5, 1e-9);
    assert_near(length, 0.98987, 5e-6); /* recomputed */
    assert_near(gb_circular_mean_deg(turned, NULL, 3, NULL), 5, 1e-9);
}

static void opposite_headings_have_no_mean_and_it_is_said(void **state)
{
    (void)state;
    const double deg[] = { 90, 270 };
    double length = NAN;
    assert_true(isnan(gb_circular_mean_deg(deg, NULL, 2, &length)));
    assert_near(length, 0, 1e-9);
    assert_true(isnan(gb_circular_mean_deg(deg, NULL, 0, &length)));
    assert_true(isnan(length));
}

static void weights_count_and_unknown_headings_do_not(void **state)
{
    (void)state;
    const double deg[] = { 10, NAN, 30, INFINITY, 200 }, weights[] = { 1, 5, 1, 5, 0 };
    assert_near(gb_circular_mean_deg(deg, weights, 5, NULL), 20, 1e-9);
}

/* Source: definition sqrt(-2 ln R): R = exp(-1/2) is one radian. */
static void the_spread_of_r_0_60653_is_one_radian(void **state)
{
    (void)state;
    assert_near(gb_circular_sd_deg(exp(-0.5)), 57.29578, 1e-4);
    assert_near(gb_circular_sd_deg(1), 0, 0);
    assert_true(isinf(gb_circular_sd_deg(0)));
    assert_true(isnan(gb_circular_sd_deg(1.5)));
}

static void differences_go_the_short_way(void **state)
{
    (void)state;
    assert_near(gb_circular_difference_deg(10, 350), 20, 1e-12);
    assert_near(gb_circular_difference_deg(350, 10), -20, 1e-12);
    assert_near(gb_circular_difference_deg(0, 180), 180, 1e-12);
    assert_near(gb_circular_difference_deg(180, 0), 180, 1e-12);
    assert_true(isnan(gb_circular_difference_deg(NAN, 0)));
}

/* Source: I0 and A as tabulated (Abramowitz and Stegun, table 9.8), digits recomputed with an independent library. */
static void bessel_values_are_the_tabulated_ones(void **state)
{
    (void)state;
    static const struct { double k, i0; } orders[] = { { 0, 1 }, { 1, 1.26606588 }, { 2, 2.27958530 }, { 5, 27.23987182 } };
    static const struct { double k, a; } lengths[] = {
        { 0, 0 }, { 0.5, 0.242500 }, { 1, 0.446390 }, { 2, 0.697775 }, { 5, 0.893383 }, { 10, 0.948600 },
    };
    for (gsize i = 0; i < G_N_ELEMENTS(orders); i++)
        assert_near(gb_bessel_i0_scaled(orders[i].k) * exp(orders[i].k) / orders[i].i0, 1, 2e-7);
    for (gsize i = 0; i < G_N_ELEMENTS(lengths); i++)
        assert_near(gb_von_mises_length(lengths[i].k), lengths[i].a, 1e-6);
}

static void concentration_and_length_are_each_others_inverse(void **state)
{
    (void)state;
    for (double k = 0.05; k < 400; k *= 1.7)
        assert_near(gb_von_mises_kappa(gb_von_mises_length(k)) / k, 1, k < 100 ? 1e-4 : 2e-2);
    assert_near(gb_von_mises_kappa(0), 0, 0);
    assert_near(gb_von_mises_kappa(1), 10000, 0);
    assert_true(isnan(gb_von_mises_kappa(NAN)));
}

/* Source: density for k = 5 recomputed with an independent library. */
static void the_density_at_k_5_is_0_867_ahead_and_0_006_square_to_it(void **state)
{
    (void)state;
    assert_near(gb_von_mises_density(40, 40, 5), 0.867137, 1e-6);
    assert_near(gb_von_mises_density(10, 40, 5), 0.443778, 1e-6);
    assert_near(gb_von_mises_density(310, 40, 5), 0.005843, 1e-6);
    double sum = 0;
    for (int deg = 0; deg < 360; deg++)
        sum += gb_von_mises_density(deg, 77, 2) * G_PI / 180;
    assert_near(sum, 1, 1e-6);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(nine_directions_have_the_published_mean_51_and_length_0_711),
        cmocka_unit_test(eight_directions_have_the_published_mean_99_and_length_0_825),
        cmocka_unit_test(the_mean_goes_across_north),
        cmocka_unit_test(opposite_headings_have_no_mean_and_it_is_said),
        cmocka_unit_test(weights_count_and_unknown_headings_do_not),
        cmocka_unit_test(the_spread_of_r_0_60653_is_one_radian),
        cmocka_unit_test(differences_go_the_short_way),
        cmocka_unit_test(bessel_values_are_the_tabulated_ones),
        cmocka_unit_test(concentration_and_length_are_each_others_inverse),
        cmocka_unit_test(the_density_at_k_5_is_0_867_ahead_and_0_006_square_to_it),
    };
    return cmocka_run_group_tests_name("circular", tests, NULL, NULL);
}
