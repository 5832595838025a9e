/* test_flaw.c -- the measures of the pixels in the log, and the flaws and the order that follow from them at every load.
 *
 * What the measures mean is held against other programs in test_quality.c, which shots they flag in test_burst.c; here: that they come
 * through the log whole, and that nothing in a database makes the load fall over.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "claim_support.h"

#include <gablebook/correct.h>
#include <gablebook/history.h>
#include <gablebook/list.h>

#define NOON 1778760000.0 /* 2026-05-14 12:00 */

G_DEFINE_AUTOPTR_CLEANUP_FUNC(json_t, json_decref)

/* A good photo like no other; hashes are spread by a multiplier, so that two differ in about half their bits. */
static GbQuality good(guint i)
{
    return (GbQuality){ .width = 1000, .height = 750, .sharpness = 400 + 10.5 * (i % 7), .smear_px = 0.5 + 0.02 * (i % 5), .smear_side_px = 1000,
                        .mean = 118.25, .dark = 50, .middle = 110 + i % 9, .light = 200, .black = 0.001, .white = 0.002, .hashed = TRUE,
                        .hash = (guint64)(i + 1) * G_GUINT64_CONSTANT(0x9E3779B97F4A7C15) };
}

static void enter(GbLog *log, guint i, const char *model, double taken_local_s, const GbQuality *quality)
{
    g_autofree char *name = g_strdup_printf("IMG_%04u.JPG", i);
    GbExif exif;
    gb_exif_init(&exif);
    exif.model = (char *)model;
    exif.taken_local_s = taken_local_s;
    enter_file(log, i, name, &exif, quality);
}

/* Twelve good photos a minute apart, numbers 1 to 12; flaw(i, quality) may spoil some. */
static GbLog *card_of_twelve(void **state, void (*spoil)(guint i, GbQuality *quality))
{
    GbLog *log = new_claim(state);
    g_autoptr(GbChange) change = gb_change_begin(log, "import", NULL);
    for (guint i = 1; i <= 12; i++) {
        GbQuality quality = good(i);
        if (spoil != NULL)
            spoil(i, &quality);
        enter(log, i, "One", NOON + 60 * i, &quality);
    }
    assert_true(gb_change_save(change, "photos", NULL));
    return log;
}

static GPtrArray *load(GbLog *log)
{
    g_autoptr(GError) error = NULL;
    GPtrArray *shots = gb_shots_load(log, &error);
    assert_no_error(error);
    return shots;
}

/* --- measures --- */

static void assert_same_quality(const GbQuality *seen, const GbQuality *wanted)
{
    assert_true(seen->width == wanted->width && seen->height == wanted->height && seen->smear_side_px == wanted->smear_side_px);
    assert_near(seen->sharpness, wanted->sharpness, 0);
    assert_near(seen->smear_px, wanted->smear_px, 0);
    assert_near(seen->mean, wanted->mean, 0);
    assert_near(seen->dark, wanted->dark, 0);
    assert_near(seen->middle, wanted->middle, 0);
    assert_near(seen->light, wanted->light, 0);
    assert_near(seen->black, wanted->black, 0);
    assert_near(seen->white, wanted->white, 0);
    assert_int_equal(seen->hashed, wanted->hashed);
    assert_true(!wanted->hashed || seen->hash == wanted->hash);
}

static void measures_come_back_as_they_went_in_with_all_64_bits_of_the_hash(void **state)
{
    static const guint64 hashes[] = { 0, 1, G_GUINT64_CONSTANT(0x8000000000000000), G_MAXUINT64, G_GUINT64_CONSTANT(0x7fffffffffffffff),
                                      G_GUINT64_CONSTANT(0xfedcba9876543210) };
    g_autoptr(GbLog) log = new_claim(state);
    g_autoptr(GbChange) change = gb_change_begin(log, "import", NULL);
    GbQuality qualities[G_N_ELEMENTS(hashes)];
    for (guint i = 0; i < G_N_ELEMENTS(hashes); i++) {
        qualities[i] = good(i);
        qualities[i].hash = hashes[i];
        enter(log, i + 1, "One", NOON + i, &qualities[i]);
    }
    assert_true(gb_change_save(change, "photos", NULL));
    g_autoptr(GPtrArray) shots = load(log);
    for (guint i = 0; i < G_N_ELEMENTS(hashes); i++) {
        const GbShot *shot = gb_shots_by_number(shots, i + 1);
        assert_true(shot->measured);
        assert_same_quality(&shot->quality, &qualities[i]);
    }
}

static void what_was_not_measured_stays_unknown(void **state)
{
    g_autoptr(GbLog) log = new_claim(state);
    g_autoptr(GbChange) change = gb_change_begin(log, "import", NULL);
    GbQuality plain = good(1);
    plain.smear_px = NAN; /* no edges to judge by */
    plain.hashed = FALSE; /* smaller than 9 x 8 */
    enter(log, 1, "One", NOON, &plain);
    enter(log, 2, "One", NOON + 60, NULL);
    assert_true(gb_change_save(change, "photos", NULL));
    g_autoptr(GPtrArray) shots = load(log);
    const GbShot *first = gb_shots_by_number(shots, 1), *second = gb_shots_by_number(shots, 2);
    assert_true(first->measured && isnan(first->quality.smear_px) && !first->quality.hashed);
    assert_same_quality(&first->quality, &plain);
    assert_false(second->measured);
    assert_true(first->weak == NULL && first->remark == NULL && second->weak == NULL && second->remark == NULL);
}

/* --- flaws --- */

static void spoil_some(guint i, GbQuality *quality)
{
    const GbQuality sixth = good(6);
    if (i == 3)
        quality->smear_px = 5; /* of 1000 */
    if (i == 5)
        *quality = (GbQuality){ .width = 1000, .height = 750, .sharpness = 100, .smear_px = 0.6, .smear_side_px = 1000, .mean = 220,
                                .dark = 150, .middle = 230, .light = 255, .black = 0, .white = 0.4, .hashed = TRUE, .hash = quality->hash };
    if (i == 7)
        quality->hash = sixth.hash ^ 1;
}

static void blurred_and_overexposed_shots_are_weak_and_a_second_take_is_but_remarked(void **state)
{
    g_autoptr(GbLog) log = card_of_twelve(state, spoil_some);
    g_autoptr(GError) error = NULL;
    sqlite3 *db = raw_connection(state);
    raw_exec(db, "UPDATE original SET taken_local_s = taken_local_s - 55 WHERE id = 7"); /* 5 s after 6 */
    sqlite3_close(db);
    g_autoptr(GPtrArray) shots = load(log);
    for (guint i = 0; i < shots->len; i++) {
        const GbShot *shot = shots->pdata[i];
        const char *weak = shot->number == 3 ? "blurred: " : shot->number == 5 ? "overexposed: " : NULL;
        assert_true(weak == NULL ? shot->weak == NULL : g_str_has_prefix(shot->weak, weak));
        gboolean pair = shot->number == 6 || shot->number == 7;
        assert_true(pair || shot->remark == NULL);
    }
    const char *six = gb_shots_by_number(shots, 6)->remark, *seven = gb_shots_by_number(shots, 7)->remark;
    assert_true((six == NULL) != (seven == NULL)); /* the better one of the two is not remarked */
    assert_true(g_str_has_prefix(six != NULL ? six : seven, "near-duplicate: "));

    g_autoptr(GbDossier) dossier = gb_dossier_load(log, &error);
    assert_no_error(error);
    const GbListFilter third = { .shots = "3" };
    g_autoptr(GPtrArray) listed = gb_list(dossier, &third, &error);
    g_autoptr(json_t) json = gb_list_json(dossier, listed);
    const json_t *weak = json_object_get(json_array_get(json, 0), "weak");
    assert_true(g_str_has_prefix(json_string_value(weak), "blurred: "));
    assert_true(json_is_null(json_object_get(json_array_get(json, 0), "remark")));
}

static void the_same_picture_from_two_cameras_is_no_second_take(void **state)
{
    g_autoptr(GbLog) log = new_claim(state);
    g_autoptr(GbChange) change = gb_change_begin(log, "import", NULL);
    const GbQuality same = good(1);
    enter(log, 1, "One", NOON, &same);
    enter(log, 2, "Two", NOON + 1, &same);
    assert_true(gb_change_save(change, "photos", NULL));
    g_autoptr(GPtrArray) shots = load(log);
    assert_null(gb_shots_by_number(shots, 1)->remark);
    assert_null(gb_shots_by_number(shots, 2)->remark);
}

/* A database from elsewhere may hold anything in these columns; the schema's checks are only this program's. */
static void no_value_in_the_measures_makes_the_load_fall_over(void **state)
{
    static const char *const columns[] = { "survey_width", "survey_height", "sharpness", "smear_px", "smear_side_px", "luma_mean", "luma_dark",
                                           "luma_middle", "luma_light", "black", "white", "picture_hash", "taken_local_s" };
    static const char *const values[] = { "NULL", "0", "-1", "1e300", "-1e300", "9e999", "-9e999", "9223372036854775807", "-9223372036854775807" };
    g_autoptr(GbLog) log = card_of_twelve(state, NULL);
    sqlite3 *db = raw_connection(state);
    raw_exec(db, "PRAGMA ignore_check_constraints = ON");
    guint loaded = 0;
    for (gsize c = 0; c < G_N_ELEMENTS(columns); c++)
        for (gsize v = 0; v < G_N_ELEMENTS(values); v++) {
            g_autofree char *set = g_strdup_printf("UPDATE original SET %s = %s WHERE id %% 2", columns[c], values[v]);
            g_autofree char *all = g_strdup_printf("SAVEPOINT s; %s; RELEASE s", set);
            /* an INTEGER column of a strict table refuses what is no integer: then nothing is to be shown */
            if (sqlite3_exec(db, all, NULL, NULL, NULL) != SQLITE_OK) {
                raw_exec(db, "ROLLBACK TO s; RELEASE s");
                continue;
            }
            g_autoptr(GPtrArray) shots = gb_shots_load(log, NULL);
            g_autoptr(GbCameras) cameras = gb_cameras_load(log, NULL);
            if (shots == NULL)
                continue;
            loaded++;
            assert_int_equal(shots->len, 12);
            for (guint i = 0; i < shots->len; i++)
                assert_int_equal(((GbShot *)shots->pdata[i])->rank, i + 1);
        }
    sqlite3_close(db);
    assert_true(loaded > 50);
}

/* --- order --- */

static void a_corrected_clock_changes_ranks_and_the_order_within_a_place_but_no_number(void **state)
{
    g_autoptr(GbLog) log = new_claim(state);
    g_autoptr(GbChange) change = gb_change_begin(log, "import", NULL);
    enter(log, 1, "Phone", NOON, NULL);
    enter(log, 2, "Phone", NOON + 120, NULL);
    enter(log, 3, "Compact", NOON + 60 - 4020, NULL);
    assert_true(gb_change_save(change, "photos", NULL));
    g_clear_pointer(&change, gb_change_free);
    assert_true(gb_correct_say(log, "phone", "right", NULL, NULL));
    assert_true(gb_correct_say(log, "compact", "right", NULL, NULL));
    g_autoptr(GPtrArray) before = load(log);
    assert_int_equal(gb_shots_by_number(before, 3)->rank, 1);
    assert_true(gb_correct_say(log, "compact", "67 min slow", NULL, NULL));
    g_autoptr(GPtrArray) after = load(log);
    static const gint64 wanted[] = { 1, 3, 2 };
    for (guint i = 0; i < after->len; i++) {
        const GbShot *shot = after->pdata[i];
        assert_int_equal(shot->number, wanted[i]);
        assert_int_equal(shot->rank, i + 1);
    }
    const GbShot *compact = gb_shots_by_number(after, 3);
    assert_near(compact->exif.taken_local_s, NOON + 60 - 4020, 0); /* what the file says stays */
    for (guint i = 0; i + 1 < after->len; i++) {
        assert_true(gb_shot_compare(after->pdata[i], GB_DISTANCE_MID, after->pdata[i + 1], GB_DISTANCE_MID) < 0);
        assert_true(gb_shot_compare(after->pdata[i + 1], GB_DISTANCE_MID, after->pdata[i], GB_DISTANCE_MID) > 0);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        test_in_folder(measures_come_back_as_they_went_in_with_all_64_bits_of_the_hash),
        test_in_folder(what_was_not_measured_stays_unknown),
        test_in_folder(blurred_and_overexposed_shots_are_weak_and_a_second_take_is_but_remarked),
        test_in_folder(the_same_picture_from_two_cameras_is_no_second_take),
        test_in_folder(no_value_in_the_measures_makes_the_load_fall_over),
        test_in_folder(a_corrected_clock_changes_ranks_and_the_order_within_a_place_but_no_number),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
