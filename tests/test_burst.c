/* test_burst.c -- flaws relative to the card, near-duplicates, the best of a group.
 *
 * Source: the demo photos' truth.csv, written by their scene, says which shots are blurred, soft, overexposed or repeat another:
 * exactly those must be found. The other cases are ours, each at one rule.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "test.h"

#include <gablebook/burst.h>
#include <gablebook/exif.h>
#include <gablebook/jpeg.h>
#include <locale.h>
#include <string.h>

static const GbFlaw all_flaws[] = { GB_FLAW_BLURRED, GB_FLAW_SOFT, GB_FLAW_OVEREXPOSED, GB_FLAW_UNDEREXPOSED, GB_FLAW_DUPLICATE };

/* --- cards of our own --- */

/* A good shot like no other. The hash is spread by a multiplier, so that two of them differ in about half their bits. */
static GbBurstShot good_shot(gsize i)
{
    return (GbBurstShot){
        .number = (gint64)i + 1,
        .time_s = 60.0 * (double)i,
        .measured = TRUE,
        .quality = { .width = 1000, .height = 750, .sharpness = 400 + 10 * (double)(i % 7), .smear_px = 0.5 + 0.02 * (double)(i % 5),
                     .smear_side_px = 1000, .mean = 118, .dark = 50, .middle = 110 + (double)(i % 9), .light = 200, .black = 0.001,
                     .white = 0.001, .hashed = TRUE, .hash = (guint64)(i + 1) * G_GUINT64_CONSTANT(0x9E3779B97F4A7C15) },
    };
}

#define CARD 12
typedef struct {
    GbBurstShot shots[CARD];
} Day;

static Day good_day(void)
{
    Day day;
    for (gsize i = 0; i < CARD; i++)
        day.shots[i] = good_shot(i);
    return day;
}

/* "3 blurred; 5 soft" by place, "" for a day without flaws. */
static char *flaws_of(const GbBurst *burst, gsize n)
{
    GString *out = g_string_new("");
    for (gsize i = 0; i < n; i++)
        for (gsize f = 0; f < G_N_ELEMENTS(all_flaws); f++)
            if (gb_burst_why(burst, i, all_flaws[f]) != NULL)
                g_string_append_printf(out, "%s%" G_GSIZE_FORMAT " %s", out->len > 0 ? "; " : "", i, gb_flaw_text(all_flaws[f]));
    return g_string_free(out, FALSE);
}

static void assert_flaws(const GbBurstShot *shots, gsize n, const char *wanted)
{
    g_autoptr(GbBurst) burst = gb_burst_judge(shots, n);
    g_autofree char *seen = flaws_of(burst, n);
    assert_string_equal(seen, wanted);
}

static void assert_why(const GbBurst *burst, gsize i, GbFlaw flaw, const char *part)
{
    const char *why = gb_burst_why(burst, i, flaw);
    assert_non_null(why);
    if (strstr(why, part) == NULL)
        print_error("'%s' does not say '%s'\n", why, part);
    assert_non_null(strstr(why, part));
}

/* --- flaws --- */

static void a_day_of_good_shots_has_no_flaw(void **state)
{
    (void)state;
    Day day = good_day();
    assert_flaws(day.shots, CARD, "");
    assert_flaws(day.shots, 1, "");
    assert_flaws(NULL, 0, "");
}

static void a_plain_blur_needs_no_card_and_is_told_in_pixels_of_a_figure(void **state)
{
    (void)state;
    GbBurstShot shot = good_shot(0);
    shot.quality.smear_px = 2; /* of 1000: an edge of 5.1 px */
    assert_flaws(&shot, 1, "0 blurred");
    g_autoptr(GbBurst) burst = gb_burst_judge(&shot, 1);
    assert_why(burst, 0, GB_FLAW_BLURRED, "5.1 px of a picture 1000 px wide");
}

static void reasons_have_a_decimal_point_in_every_locale(void **state)
{
    Day day = good_day();
    if (!use_decimal_comma(*state))
        skip();
    day.shots[3].quality.smear_px = 2;
    day.shots[5].quality.smear_px = 1.2;
    g_autoptr(GbBurst) burst = gb_burst_judge(day.shots, CARD);
    setlocale(LC_NUMERIC, "C");
    assert_why(burst, 3, GB_FLAW_BLURRED, "5.1 px of a picture 1000 px wide");
    assert_why(burst, 5, GB_FLAW_SOFT, "3.1 px of a picture 1000 px wide; usual for this camera's photos is ");
    assert_null(strchr(gb_burst_why(burst, 5, GB_FLAW_SOFT), ','));
}

static void a_small_picture_is_not_called_blurred_for_its_few_pixels(void **state)
{
    (void)state;
    GbBurstShot shot = good_shot(0);
    shot.quality.smear_side_px = shot.quality.width = 200;
    shot.quality.smear_px = 0.6; /* 3 thousandths, yet an edge as sharp as its pixels allow */
    assert_flaws(&shot, 1, "");
}

static void a_soft_shot_stands_out_only_from_a_sharp_card(void **state)
{
    (void)state;
    Day day = good_day();
    day.shots[4].quality.smear_px = 1.25;
    assert_flaws(day.shots, CARD, "4 soft");
    assert_flaws(day.shots, 5, ""); /* too few to say */
    for (gsize i = 0; i < CARD; i++)
        day.shots[i].quality.smear_px = 1.15 + 0.02 * (double)(i % 5); /* an old lens: usual for it */
    assert_flaws(day.shots, CARD, "");
}

static void a_few_spoiled_shots_do_not_move_what_is_usual(void **state)
{
    (void)state;
    Day day = good_day();
    for (gsize i = 0; i < 3; i++)
        day.shots[i].quality.smear_px = 1.25;
    for (gsize i = 3; i < 5; i++)
        day.shots[i].quality.smear_px = 6;
    assert_flaws(day.shots, CARD, "0 soft; 1 soft; 2 soft; 3 blurred; 4 blurred");
}

static void each_camera_is_held_against_its_own_card(void **state)
{
    (void)state;
    GbBurstShot shots[2 * CARD];
    for (gsize i = 0; i < 2 * CARD; i++) {
        shots[i] = good_shot(i);
        shots[i].camera = i % 2 ? 7 : -3;
        if (i % 2)
            shots[i].quality.smear_px = 1.2 + 0.02 * (double)(i % 5); /* the other camera's lens is soft */
    }
    assert_flaws(shots, 2 * CARD, "");
    shots[0].quality.smear_px = 1.2; /* usual for the other, not for this one */
    assert_flaws(shots, 2 * CARD, "0 soft");
}

static void set_exposure(GbBurstShot *shot, double dark, double middle, double light, double black, double white)
{
    shot->quality.dark = dark;
    shot->quality.middle = middle;
    shot->quality.light = light;
    shot->quality.black = black;
    shot->quality.white = white;
}

static void overexposed_is_light_throughout_and_lighter_than_the_card(void **state)
{
    (void)state;
    Day day = good_day();
    set_exposure(&day.shots[2], 130, 205, 238, 0, 0.04);
    assert_flaws(day.shots, CARD, "2 overexposed");
    set_exposure(&day.shots[2], 130, 205, 225, 0, 0.001); /* a white door: light, but nothing is lost */
    assert_flaws(day.shots, CARD, "");
    set_exposure(&day.shots[2], 30, 205, 250, 0.01, 0.30); /* snow with its shadows, or much white sky */
    assert_flaws(day.shots, CARD, "");
    for (gsize i = 0; i < CARD; i++)
        set_exposure(&day.shots[i], 100, 190 + (double)(i % 9) * 3, 242, 0, 0.05); /* white siding all day */
    assert_flaws(day.shots, CARD, "");
}

static void underexposed_is_dark_throughout_and_darker_than_the_card(void **state)
{
    (void)state;
    Day day = good_day();
    set_exposure(&day.shots[2], 5, 35, 80, 0.2, 0);
    assert_flaws(day.shots, CARD, "2 underexposed");
    set_exposure(&day.shots[2], 5, 35, 210, 0.2, 0.01); /* an attic by flash */
    assert_flaws(day.shots, CARD, "");
    for (gsize i = 0; i < CARD; i++)
        set_exposure(&day.shots[i], 5, 30 + (double)(i % 9) * 3, 90, 0.1, 0); /* dusk all day */
    assert_flaws(day.shots, CARD, "");
}

static void a_white_or_black_picture_is_badly_exposed_whatever_the_card(void **state)
{
    (void)state;
    Day day;
    for (gsize i = 0; i < CARD; i++) {
        day.shots[i] = good_shot(i);
        set_exposure(&day.shots[i], 240, 254, 255, 0, 0.95);
    }
    g_autoptr(GbBurst) white = gb_burst_judge(day.shots, CARD);
    assert_why(white, 11, GB_FLAW_OVEREXPOSED, "more than half of it is white");
    set_exposure(&day.shots[0], 0, 3, 12, 0.99, 0);
    g_autoptr(GbBurst) black = gb_burst_judge(day.shots, 1);
    assert_why(black, 0, GB_FLAW_UNDEREXPOSED, "more than half of it is black");
}

static void damaged_and_unmeasured_shots_have_no_flaws_and_no_say(void **state)
{
    (void)state;
    Day day = good_day();
    for (gsize i = 0; i < CARD; i++) {
        set_exposure(&day.shots[i], 240, 254, 255, 0, 0.95);
        day.shots[i].quality.smear_px = 5;
        day.shots[i].damaged = i % 2 == 0;
        day.shots[i].measured = i % 2 == 0;
    }
    assert_flaws(day.shots, CARD, "");
}

static void an_unknown_smear_is_no_blur(void **state)
{
    (void)state;
    Day day = good_day();
    for (gsize i = 0; i < CARD; i++)
        day.shots[i].quality.smear_px = NAN;
    assert_flaws(day.shots, CARD, "");
}

static void only_what_spoils_the_picture_weakens_it(void **state)
{
    (void)state;
    assert_true(gb_flaw_weakens(GB_FLAW_BLURRED));
    assert_true(gb_flaw_weakens(GB_FLAW_OVEREXPOSED));
    assert_true(gb_flaw_weakens(GB_FLAW_UNDEREXPOSED));
    assert_false(gb_flaw_weakens(GB_FLAW_SOFT));
    assert_false(gb_flaw_weakens(GB_FLAW_DUPLICATE));
}

/* --- groups --- */

/* later repeats earlier so many seconds after it, with so many bits changed. */
static void repeat(GbBurstShot *later, const GbBurstShot *earlier, double gap_s, int bits)
{
    later->time_s = earlier->time_s + gap_s;
    later->quality.hash = earlier->quality.hash ^ (bits > 0 ? G_MAXUINT64 >> (64 - bits) : 0);
}

static void the_sooner_the_next_shot_the_more_of_its_hash_may_differ(void **state)
{
    (void)state;
    static const struct { double gap_s; int bits; gboolean alike; } rows[] = {
        { 0, 0, TRUE }, { 3, 16, TRUE }, { 3, 17, FALSE }, { 3.5, 13, FALSE }, { 10, 12, TRUE },
        { 11, 11, FALSE }, { 30, 10, TRUE }, { 31, 0, FALSE }, { NAN, 0, FALSE },
    };
    for (gsize i = 0; i < G_N_ELEMENTS(rows); i++) {
        Day day = good_day();
        repeat(&day.shots[1], &day.shots[0], rows[i].gap_s, rows[i].bits);
        g_autoptr(GbBurst) burst = gb_burst_judge(day.shots, CARD);
        assert_int_equal(gb_burst_groups(burst), rows[i].alike);
        assert_int_equal(gb_burst_group(burst, 1), rows[i].alike ? 0 : -1);
    }
}

static void another_camera_and_a_picture_without_hash_repeat_nothing(void **state)
{
    (void)state;
    Day day = good_day();
    repeat(&day.shots[1], &day.shots[0], 1, 0);
    repeat(&day.shots[2], &day.shots[0], 2, 0);
    day.shots[1].camera = 5;
    day.shots[2].quality.hashed = FALSE;
    assert_flaws(day.shots, CARD, "");
}

static void order_of_the_array_does_not_matter_and_groups_are_numbered_by_time(void **state)
{
    (void)state;
    Day day = good_day();
    repeat(&day.shots[0], &day.shots[9], 2, 5); /* the later group stands first */
    repeat(&day.shots[3], &day.shots[9], 3, 6);
    repeat(&day.shots[5], &day.shots[2], 2, 5);
    g_autoptr(GbBurst) burst = gb_burst_judge(day.shots, CARD);
    static const int groups[CARD] = { 1, -1, 0, 1, -1, 0, -1, -1, -1, 1, -1, -1 };
    assert_int_equal(gb_burst_groups(burst), 2);
    for (gsize i = 0; i < CARD; i++)
        assert_int_equal(gb_burst_group(burst, i), groups[i]);
}

/* Two alike shots, 0 and 1, the first spoiled by what; the second is less sharp by the published measure, and yet best. */
static void assert_second_is_best(GbBurstShot *first, GbBurstShot *second, const char *why)
{
    GbBurstShot pair[] = { *first, *second };
    g_autoptr(GbBurst) burst = gb_burst_judge(pair, 2);
    assert_int_equal(gb_burst_best(burst, 0), 1);
    assert_int_equal(gb_burst_best(burst, 1), 1);
    assert_null(gb_burst_why(burst, 1, GB_FLAW_DUPLICATE));
    assert_why(burst, 0, GB_FLAW_DUPLICATE, why);
}

static void the_best_is_whole_then_well_exposed_then_not_blurred_then_sharper_then_first(void **state)
{
    (void)state;
    GbBurstShot first = good_shot(0), second = good_shot(1);
    repeat(&second, &first, 1, 2);
    first.quality.sharpness = 900;
    second.quality.sharpness = 300;
    GbBurstShot spoiled = first;
    spoiled.damaged = TRUE;
    assert_second_is_best(&spoiled, &second, "number 2, which is whole");
    spoiled = first;
    set_exposure(&spoiled, 240, 254, 255, 0, 0.9);
    assert_second_is_best(&spoiled, &second, "number 2, which is better exposed");
    spoiled = first;
    spoiled.quality.smear_px = 3;
    assert_second_is_best(&spoiled, &second, "number 2, which is not blurred");
    spoiled = first;
    spoiled.quality.sharpness = 100;
    assert_second_is_best(&spoiled, &second, "number 2, which is sharper");

    GbBurstShot equal[] = { second, first }; /* first is earlier by a second */
    equal[0].quality.sharpness = 905;
    g_autoptr(GbBurst) burst = gb_burst_judge(equal, 2);
    assert_int_equal(gb_burst_best(burst, 0), 1);
    assert_why(burst, 0, GB_FLAW_DUPLICATE, "number 1, which is as good and came first");
}

static void half_the_detail_of_its_twin_is_soft_without_any_card(void **state)
{
    (void)state;
    GbBurstShot pair[] = { good_shot(0), good_shot(1) };
    repeat(&pair[1], &pair[0], 1, 3);
    pair[0].quality.sharpness = 400;
    pair[1].quality.sharpness = 80;
    assert_flaws(pair, 2, "1 soft; 1 near-duplicate");
    g_autoptr(GbBurst) burst = gb_burst_judge(pair, 2);
    assert_why(burst, 1, GB_FLAW_SOFT, "20 % of the fine detail of number 1");
}

static void a_hundred_thousand_shots_of_one_moment_are_judged(void **state)
{
    (void)state;
    gsize n = 100000;
    g_autofree GbBurstShot *shots = g_new(GbBurstShot, n);
    for (gsize i = 0; i < n; i++) {
        shots[i] = good_shot(i);
        shots[i].time_s = i % 3 == 0 ? 0 : i % 3 == 1 ? NAN : INFINITY;
        shots[i].camera = (int)(i % 1000) - 500;
    }
    g_autoptr(GbBurst) burst = gb_burst_judge(shots, n);
    assert_null(gb_burst_why(burst, n - 1, GB_FLAW_BLURRED));
}

/* --- the demo --- */

typedef struct {
    char *name, *fault;
} Truth;

static void free_truth(gpointer data)
{
    Truth *truth = data;
    g_free(truth->name);
    g_free(truth->fault);
    g_free(truth);
}

/* Columns: file first, planted_fault eleventh; none before it is quoted. */
static GPtrArray *read_truth(void)
{
    g_autofree char *path = source_path("demo-photos/truth.csv");
    if (!g_file_test(path, G_FILE_TEST_EXISTS))
        return NULL;
    g_autofree char *text = slurp(path);
    g_auto(GStrv) lines = g_strsplit(text, "\n", -1);
    GPtrArray *rows = g_ptr_array_new_with_free_func(free_truth);
    for (guint i = 1; lines[i] != NULL && *lines[i] != '\0'; i++) {
        g_auto(GStrv) cells = g_strsplit(lines[i], ",", 12);
        assert_int_equal(g_strv_length(cells), 12);
        Truth *truth = g_new(Truth, 1);
        *truth = (Truth){ g_strdup(cells[0]), g_strdup(cells[10]) };
        g_ptr_array_add(rows, truth);
    }
    return rows;
}

static GbBurstShot demo_shot(const char *name, gsize i)
{
    g_autofree char *folder = source_path("demo-photos"), *path = g_build_filename(folder, name, NULL), *data = NULL;
    gsize n;
    GbJpegHeader header;
    GbExif exif;
    GbBurstShot shot = { .number = (gint64)i, .measured = TRUE };
    g_autoptr(GError) error = NULL;
    assert_true(g_file_get_contents(path, &data, &n, NULL));
    assert_true(gb_jpeg_header(data, n, &header, NULL));
    gb_exif_init(&exif);
    gb_exif_read(&exif, g_bytes_get_data(header.exif, NULL), g_bytes_get_size(header.exif));
    shot.time_s = exif.taken_local_s;
    shot.camera = (int)g_str_hash(exif.serial);
    g_autoptr(GBytes) preview = gb_jpeg_survey(data, n, exif.orientation, 320, 82, &shot.quality, &shot.damaged, &error);
    assert_no_error(error);
    gb_exif_clear(&exif);
    gb_jpeg_header_clear(&header);
    return shot;
}

/* Which shot's group this one is in, by the truth: its own name or the one that it repeats. OWNED by the caller. */
static char *true_group(const Truth *truth)
{
    const char *mark = strstr(truth->fault, "near-duplicate of ");
    return mark == NULL ? g_strdup(truth->name) : g_strndup(mark + strlen("near-duplicate of "), strlen(truth->name));
}

static void assert_groups_are_true(const GbBurst *burst, const GPtrArray *rows)
{
    for (gsize i = 0; i < rows->len; i++)
        for (gsize k = 0; k < i; k++) {
            g_autofree char *a = true_group(rows->pdata[i]), *b = true_group(rows->pdata[k]);
            gboolean seen = gb_burst_group(burst, i) >= 0 && gb_burst_group(burst, i) == gb_burst_group(burst, k);
            if (seen != (strcmp(a, b) == 0))
                print_error("%s and %s\n", ((Truth *)rows->pdata[i])->name, ((Truth *)rows->pdata[k])->name);
            assert_int_equal(seen, strcmp(a, b) == 0);
        }
}

/* The planted words; of two alike the spoiled one must not be the best. */
static void assert_flaws_are_true(const GbBurst *burst, const GPtrArray *rows)
{
    static const struct { GbFlaw flaw; const char *planted; } words[] = {
        { GB_FLAW_BLURRED, "blurred" }, { GB_FLAW_SOFT, "slightly soft" }, { GB_FLAW_OVEREXPOSED, "overexposed" },
        { GB_FLAW_UNDEREXPOSED, "underexposed" },
    };
    for (gsize i = 0; i < rows->len; i++) {
        const Truth *truth = rows->pdata[i];
        gboolean spoiled = FALSE;
        for (gsize w = 0; w < G_N_ELEMENTS(words); w++) {
            gboolean planted = strstr(truth->fault, words[w].planted) != NULL;
            const char *why = gb_burst_why(burst, i, words[w].flaw);
            if (why != NULL || planted)
                print_message("%s %s: %s\n", truth->name, gb_flaw_text(words[w].flaw), why ? why : "not seen");
            assert_int_equal(why != NULL, planted);
            spoiled = spoiled || planted;
        }
        if (spoiled)
            assert_int_not_equal(gb_burst_best(burst, i), i);
    }
}

static void on_the_demo_card_the_planted_faults_are_found_and_nothing_else(void **state)
{
    (void)state;
    g_autoptr(GPtrArray) rows = read_truth();
    if (rows == NULL) {
        print_message("demo-photos/truth.csv is absent\n");
        assert_null(g_getenv("CI"));
        skip();
        return;
    }
    g_autoptr(GArray) shots = g_array_new(FALSE, FALSE, sizeof(GbBurstShot));
    for (gsize i = 0; i < rows->len; i++) {
        GbBurstShot shot = demo_shot(((Truth *)rows->pdata[i])->name, i + 1);
        g_array_append_val(shots, shot);
    }
    assert_true(shots->len > 50);
    g_autoptr(GbBurst) burst = gb_burst_judge((const GbBurstShot *)(void *)shots->data, shots->len);
    assert_flaws_are_true(burst, rows);
    assert_groups_are_true(burst, rows);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_day_of_good_shots_has_no_flaw),
        cmocka_unit_test(a_plain_blur_needs_no_card_and_is_told_in_pixels_of_a_figure),
        test_in_folder(reasons_have_a_decimal_point_in_every_locale),
        cmocka_unit_test(a_small_picture_is_not_called_blurred_for_its_few_pixels),
        cmocka_unit_test(a_soft_shot_stands_out_only_from_a_sharp_card),
        cmocka_unit_test(a_few_spoiled_shots_do_not_move_what_is_usual),
        cmocka_unit_test(each_camera_is_held_against_its_own_card),
        cmocka_unit_test(overexposed_is_light_throughout_and_lighter_than_the_card),
        cmocka_unit_test(underexposed_is_dark_throughout_and_darker_than_the_card),
        cmocka_unit_test(a_white_or_black_picture_is_badly_exposed_whatever_the_card),
        cmocka_unit_test(damaged_and_unmeasured_shots_have_no_flaws_and_no_say),
        cmocka_unit_test(an_unknown_smear_is_no_blur),
        cmocka_unit_test(only_what_spoils_the_picture_weakens_it),
        cmocka_unit_test(the_sooner_the_next_shot_the_more_of_its_hash_may_differ),
        cmocka_unit_test(another_camera_and_a_picture_without_hash_repeat_nothing),
        cmocka_unit_test(order_of_the_array_does_not_matter_and_groups_are_numbered_by_time),
        cmocka_unit_test(the_best_is_whole_then_well_exposed_then_not_blurred_then_sharper_then_first),
        cmocka_unit_test(half_the_detail_of_its_twin_is_soft_without_any_card),
        cmocka_unit_test(a_hundred_thousand_shots_of_one_moment_are_judged),
        cmocka_unit_test(on_the_demo_card_the_planted_faults_are_found_and_nothing_else),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
