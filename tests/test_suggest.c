/* test_suggest.c -- suggestions for a claim's shots, and their acceptance.
 *
 * How good they are is measured in test_facing.c and, through the program, in e2e/test_tell.c. Here: that a claim reaches the estimator
 * whole (positions, headings made true, tags), and that what people said is never touched. The house is invented: it faces south, 12 m wide and
 * 9 m deep, walked around once, four shots a side from 8 m away.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "claim_support.h"

#include <gablebook/edit.h>
#include <gablebook/error.h>
#include <gablebook/history.h>
#include <gablebook/magnetic.h>
#include <gablebook/suggest.h>
#include <gablebook/tag.h>

#define SIDES 4
#define PER_SIDE 4
#define SHOTS (SIDES * PER_SIDE)
static const char *const sides[SIDES] = { "front", "right", "rear", "left" };

/* Where and when the walk takes place. */
typedef struct {
    double lat_deg, lon_deg, noon_utc_s;
    char heading_ref;
    double declination_deg; /* what a compass needle is off by */
    gboolean no_positions;
} Site;
static const Site plain = { 38.73, -97.41, 1778778000, 'T', 0, FALSE }; /* 2026-05-14 17:00 UTC */

static double degrees(double turn)
{
    return fmod(turn + 720, 360);
}

static GbExif shot_of(const Site *site, int side, int i)
{
    static const double normals[SIDES] = { 180, 90, 0, 270 }; /* front, right, rear, left of a house that faces south */
    double normal = normals[side] * G_PI / 180, out = (side % 2 == 0 ? 4.5 : 6) + 8, along = 2 * i - 3;
    double east = out * sin(normal) + along * cos(normal), north = out * cos(normal) - along * sin(normal);
    GbExif exif;
    gb_exif_init(&exif);
    exif.make = (char *)"Acme";
    exif.model = (char *)"Phone";
    exif.taken_local_s = site->noon_utc_s - 5 * 3600 + 40 * (PER_SIDE * side + i);
    exif.has_offset = TRUE;
    exif.offset_min = -300;
    exif.gps_utc_s = exif.taken_local_s + 5 * 3600;
    if (!site->no_positions) {
        exif.lat_deg = site->lat_deg + north / 111100;
        exif.lon_deg = site->lon_deg + east / (111300 * cos(site->lat_deg * G_PI / 180));
        exif.position_error_m = 4;
    }
    exif.heading_deg = degrees(normals[side] + 180 - site->declination_deg + (i % 2 == 0 ? 4 : -4));
    exif.heading_ref = site->heading_ref;
    return exif;
}

/* Shots 1 to 16, four of each side in the order of the walk; the front is said. */
static GbLog *walked_claim(void **state, const Site *site)
{
    g_autoptr(GError) error = NULL;
    GbLog *log = new_claim(state);
    g_autoptr(GbChange) change = gb_change_begin(log, "import", NULL);
    for (int n = 0; n < SHOTS; n++) {
        g_autofree char *name = g_strdup_printf("IMG_%04d.JPG", n + 1);
        const GbExif exif = shot_of(site, n / PER_SIDE, n % PER_SIDE);
        enter_file(log, (guint)n + 1, name, &exif, NULL);
    }
    assert_true(gb_change_save(change, "photos", NULL));
    g_clear_pointer(&change, gb_change_free);
    gb_edit(log, &(GbEdit){ .front_azimuth = "180" }, &error);
    assert_no_error(error);
    return log;
}

static void tag(GbLog *log, const char *shots, GbTag words)
{
    g_autoptr(GError) error = NULL;
    gb_tag(log, shots, &words, NULL, &error);
    assert_no_error(error);
}

static GbDossier *load(GbLog *log)
{
    g_autoptr(GError) error = NULL;
    GbDossier *dossier = gb_dossier_load(log, &error);
    assert_no_error(error);
    return dossier;
}

static GbSuggestions *suggest(const GbDossier *dossier)
{
    g_autoptr(GError) error = NULL;
    GbSuggestions *all = gb_suggest(dossier, &error);
    assert_no_error(error);
    return all;
}

static const char *label_of(const GbDossier *dossier, gint64 place)
{
    const GbPlace *found = gb_places_by_id(dossier->places, place);
    return found == NULL ? "" : found->label;
}

static guint count_right(const GbDossier *dossier, const GbSuggestions *all)
{
    guint right = 0;
    for (guint i = 0; i < all->suggestions->len; i++) {
        const GbSuggestion *s = all->suggestions->pdata[i];
        right += strcmp(label_of(dossier, s->place), sides[(s->number - 1) / PER_SIDE]) == 0;
    }
    return right;
}

static guint accept(GbLog *log, double confidence)
{
    g_autoptr(GError) error = NULL;
    guint n = 9999;
    gb_suggest_accept(log, confidence, &n, &error);
    assert_no_error(error);
    return n;
}

/* --- what is suggested --- */

static void a_walk_around_a_house_is_told_side_by_side_with_a_reason_each(void **state)
{
    g_autoptr(GbLog) log = walked_claim(state, &plain);
    g_autoptr(GbDossier) dossier = load(log);
    g_autoptr(GbSuggestions) all = suggest(dossier);
    assert_int_equal(all->suggestions->len, SHOTS);
    assert_int_equal(count_right(dossier, all), SHOTS);
    for (guint i = 0; i < all->suggestions->len; i++) {
        const GbSuggestion *s = all->suggestions->pdata[i];
        assert_int_equal(s->number, i + 1); /* in the order of time */
        assert_true(s->confidence > 0.5 && s->confidence <= 1);
        assert_true(s->distance_confidence >= 0 && s->distance_confidence <= 1);
        assert_non_null(strstr(s->reason, "heading "));
    }
    assert_near(all->house.front_azimuth_deg, 180, 1e-9);
    assert_null(all->caution);
}

static void placed_shots_get_no_suggestion_and_teach_the_rest(void **state)
{
    g_autoptr(GbLog) log = walked_claim(state, &plain);
    tag(log, "3,7", (GbTag){ .place = "roof" });
    g_autoptr(GbDossier) dossier = load(log);
    g_autoptr(GbSuggestions) all = suggest(dossier);
    assert_int_equal(all->suggestions->len, SHOTS - 2);
    for (guint i = 0; i < all->suggestions->len; i++) {
        const GbSuggestion *s = all->suggestions->pdata[i];
        assert_true(s->number != 3 && s->number != 7);
    }
    tag(log, "1-16", (GbTag){ .place = "site" });
    g_autoptr(GbDossier) placed = load(log);
    g_autoptr(GbSuggestions) none = suggest(placed);
    assert_int_equal(none->suggestions->len, 0);
}

static void a_claim_without_photos_has_nothing_to_suggest_and_nothing_to_accept(void **state)
{
    g_autoptr(GbLog) log = new_claim(state);
    g_autoptr(GbDossier) dossier = load(log);
    g_autoptr(GbSuggestions) all = suggest(dossier);
    assert_int_equal(all->suggestions->len, 0);
    assert_int_equal(accept(log, 0.9), 0);
    assert_int_equal(history_length(log), 0);
}

static void photos_that_say_nothing_get_no_place(void **state)
{
    g_autoptr(GbLog) log = new_claim(state);
    enter_photos(log, 5);
    g_autoptr(GbDossier) dossier = load(log);
    g_autoptr(GbSuggestions) all = suggest(dossier);
    assert_int_equal(all->suggestions->len, 5);
    for (guint i = 0; i < 5; i++) {
        const GbSuggestion *s = all->suggestions->pdata[i];
        assert_true(s->confidence < 0.5);
        assert_true(strlen(s->reason) > 0);
    }
    assert_int_equal(accept(log, 0.5), 0);
}

/* --- magnetic headings --- */

/* Eastport, Maine, is near 15 degrees west (magnetic.h; held against the agency's test values in test_magnetic.c). */
static Site maine(char ref, double utc_s)
{
    Site site = { 44.9, -67.0, utc_s, ref, 0, FALSE };
    GbMagnetic field;
    assert_true(gb_magnetic_field(44.9, -67.0, 0, 2026.4, &field, NULL));
    assert_true(field.declination_deg < -13);
    site.declination_deg = ref == 'M' ? field.declination_deg : 0;
    return site;
}

static void magnetic_headings_are_made_true_and_then_tell_the_same(void **state)
{
    const Site magnetic = maine('M', plain.noon_utc_s), geographic = maine('T', plain.noon_utc_s);
    g_autoptr(GbLog) log = walked_claim(state, &magnetic);
    g_autoptr(GbDossier) dossier = load(log);
    g_autoptr(GbSuggestions) all = suggest(dossier);
    assert_null(all->caution);
    assert_int_equal(count_right(dossier, all), SHOTS);
    /* the same shots with what a true compass would have said */
    for (guint i = 0; i < SHOTS; i++) {
        GbShot *shot = dossier->shots->pdata[i];
        const GbExif exif = shot_of(&geographic, (int)i / PER_SIDE, (int)i % PER_SIDE);
        shot->exif.heading_deg = exif.heading_deg;
        shot->exif.heading_ref = 'T';
    }
    g_autoptr(GbSuggestions) truly = suggest(dossier);
    for (guint i = 0; i < SHOTS; i++) {
        const GbSuggestion *a = all->suggestions->pdata[i], *b = truly->suggestions->pdata[i];
        assert_int_equal(a->place, b->place);
        assert_near(a->confidence, b->confidence, 0.01);
        assert_string_equal(a->reason, b->reason); /* "heading 4 deg": the true one is told */
    }
    assert_near(all->house.compass_bias_deg, truly->house.compass_bias_deg, 0.1); /* nothing is left to be learnt as the compass's own fault */
}

static void magnetic_headings_that_can_not_be_corrected_are_used_with_a_caution(void **state)
{
    const Site late = maine('M', plain.noon_utc_s + 5 * 365.25 * 86400); /* 2031: the model ends with 2029 */
    g_autoptr(GbLog) log = walked_claim(state, &late);
    g_autoptr(GbDossier) dossier = load(log);
    g_autoptr(GbSuggestions) all = suggest(dossier);
    assert_non_null(all->caution);
    assert_non_null(strstr(all->caution, "2025 to 2030"));
    assert_int_equal(all->suggestions->len, SHOTS);
}

static void without_any_position_magnetic_headings_come_with_a_caution_and_true_ones_without(void **state)
{
    Site lost = plain;
    lost.no_positions = TRUE;
    g_autoptr(GbLog) log = walked_claim(state, &lost);
    g_autoptr(GbDossier) dossier = load(log);
    g_autoptr(GbSuggestions) of_true = suggest(dossier);
    assert_null(of_true->caution);
    for (guint i = 0; i < SHOTS; i++)
        ((GbShot *)dossier->shots->pdata[i])->exif.heading_ref = 'M';
    g_autoptr(GbSuggestions) magnetic = suggest(dossier);
    assert_non_null(magnetic->caution);
}

/* --- accepting --- */

static void accepting_places_the_sure_ones_alone(void **state)
{
    g_autoptr(GbLog) log = walked_claim(state, &plain);
    g_autoptr(GbDossier) before = load(log);
    g_autoptr(GbSuggestions) all = suggest(before);
    guint sure = 0;
    for (guint i = 0; i < all->suggestions->len; i++)
        sure += ((const GbSuggestion *)all->suggestions->pdata[i])->confidence >= 0.95;
    assert_int_equal(accept(log, 0.95), sure);
    assert_true(sure > 0);
    g_autoptr(GbDossier) after = load(log);
    for (guint i = 0; i < all->suggestions->len; i++) {
        const GbSuggestion *s = all->suggestions->pdata[i];
        const GbShot *shot = gb_shots_by_number(after->shots, s->number);
        assert_int_equal(shot->place, s->confidence >= 0.95 ? s->place : 0);
        gboolean near = s->confidence >= 0.95 && s->distance_confidence >= 0.95;
        assert_int_equal(shot->distance, near ? s->distance : GB_DISTANCE_UNKNOWN);
        assert_null(shot->subject);
    }
    g_autofree char *summary = last_summary(log);
    assert_non_null(strstr(summary, "accepted at 95 % confidence and more"));
}

static void accepting_touches_nothing_that_a_person_said(void **state)
{
    g_autoptr(GbLog) log = walked_claim(state, &plain);
    tag(log, "2", (GbTag){ .place = "left slope", .subject = "hail hit", .distance = "close-up", .caption = "mine" });
    tag(log, "5", (GbTag){ .distance = "close-up" });     /* a distance without a place */
    tag(log, "6", (GbTag){ .subject = "siding size" });   /* whose distance is known by its subject */
    tag(log, "9", (GbTag){ .in_report = GB_LEAVE_OUT });
    tag(log, "10", (GbTag){ .caption = "two hits" });
    assert_true(accept(log, 0.5) >= SHOTS - 2);
    g_autoptr(GbDossier) dossier = load(log);
    const GbShot *placed = gb_shots_by_number(dossier->shots, 2), *near = gb_shots_by_number(dossier->shots, 5);
    const GbShot *named = gb_shots_by_number(dossier->shots, 6), *out = gb_shots_by_number(dossier->shots, 9);
    assert_string_equal(label_of(dossier, placed->place), "left slope");
    assert_string_equal(placed->subject, "hail-hit");
    assert_string_equal(placed->caption, "mine");
    assert_int_equal(placed->distance, GB_DISTANCE_CLOSE);
    assert_string_equal(label_of(dossier, near->place), "right");
    assert_int_equal(near->distance, GB_DISTANCE_CLOSE);
    assert_string_equal(named->subject, "siding-size");
    assert_int_equal(named->distance, GB_DISTANCE_UNKNOWN); /* nobody said it; the subject's own goes on counting */
    assert_true(out->left_out);
    assert_string_equal(gb_shots_by_number(dossier->shots, 10)->caption, "two hits");
}

static void undo_takes_all_accepted_places_back_and_redo_gives_them_again(void **state)
{
    g_autoptr(GbLog) log = walked_claim(state, &plain);
    g_autoptr(GError) error = NULL;
    tag(log, "2", (GbTag){ .place = "left slope" });
    g_autofree char *before = dump_work(state);
    guint entries = history_length(log);
    assert_true(accept(log, 0.5) > 0);
    assert_int_equal(history_length(log), entries + 1); /* one change */
    g_autofree char *after = dump_work(state);
    assert_string_not_equal(before, after);
    assert_undo_brings_back(state, log, before);
    assert_true(gb_history_redo(log, NULL, &error));
    g_autofree char *again = dump_work(state);
    assert_string_equal(again, after);
}

static void accepting_again_where_nothing_is_left_is_no_change(void **state)
{
    g_autoptr(GbLog) log = walked_claim(state, &plain);
    accept(log, 0.5);
    tag(log, "1-16", (GbTag){ .place = "site" });
    guint entries = history_length(log);
    assert_int_equal(accept(log, 0.5), 0);
    assert_int_equal(history_length(log), entries);
}

static void no_confidence_but_one_from_a_half_to_one_is_taken(void **state)
{
    static const double bad[] = { 0.4999, 0, -1, 1.0001, 90, (double)NAN, (double)INFINITY, (double)-INFINITY };
    g_autoptr(GbLog) log = walked_claim(state, &plain);
    g_autofree char *before = dump_work(state);
    for (gsize i = 0; i < G_N_ELEMENTS(bad); i++) {
        g_autoptr(GError) error = NULL;
        guint n = 77;
        assert_false(gb_suggest_accept(log, bad[i], &n, &error));
        assert_error(error, GB_ERROR_SYNTAX, "from 0.5 to 1; nothing was changed");
        assert_int_equal(n, 77);
    }
    g_autofree char *after = dump_work(state);
    assert_string_equal(after, before);
    assert_true(gb_suggest_accept(log, 1, NULL, NULL));
}

/* --- hostile rows --- */

/* A database from elsewhere may hold anything in these columns; the schema's checks are only this program's. */
static void no_position_time_or_heading_makes_it_fall_over(void **state)
{
    static const char *const columns[] = { "lat_deg", "lon_deg", "alt_m", "heading_deg", "position_error_m", "taken_local_s", "gps_utc_s",
                                           "gps_day_s", "offset_min", "focal_35mm_mm" };
    static const char *const values[] = { "NULL", "0", "-1", "1e308", "-1e308", "9e999", "-9e999", "9223372036854775807", "1e-308" };
    g_autoptr(GbLog) log = walked_claim(state, &plain);
    sqlite3 *db = raw_connection(state);
    guint tried = 0;
    raw_exec(db, "PRAGMA ignore_check_constraints = ON; CREATE TEMP TABLE kept AS SELECT * FROM original;"
                 " UPDATE original SET heading_ref = 'M' WHERE id % 3 = 0");
    for (gsize c = 0; c < G_N_ELEMENTS(columns); c++) {
        for (gsize v = 0; v < G_N_ELEMENTS(values); v++) {
            g_autofree char *sql = g_strdup_printf("UPDATE original SET %s = %s WHERE id %% 2", columns[c], values[v]);
            if (sqlite3_exec(db, sql, NULL, NULL, NULL) != SQLITE_OK)
                continue; /* an INTEGER column of a strict table takes no 1e308 */
            g_autoptr(GbDossier) dossier = gb_dossier_load(log, NULL);
            g_autoptr(GbSuggestions) all = dossier == NULL ? NULL : gb_suggest(dossier, NULL);
            for (guint i = 0; all != NULL && i < all->suggestions->len; i++) {
                const GbSuggestion *s = all->suggestions->pdata[i];
                assert_true(s->confidence >= 0 && s->confidence <= 1);
                assert_true(s->distance_confidence >= 0 && s->distance_confidence <= 1);
                assert_null(strstr(s->reason, "nan"));
                assert_null(strstr(s->reason, "inf"));
            }
            tried += all != NULL;
        }
        g_autofree char *back = g_strdup_printf("UPDATE original SET %s = (SELECT kept.%s FROM kept WHERE kept.id = original.id)", columns[c],
                                                columns[c]);
        raw_exec(db, back);
    }
    raw_exec(db, "UPDATE original SET lat_deg = 9e999, lon_deg = -9e999, heading_deg = 9e999, taken_local_s = 9e999, gps_utc_s = -9e999");
    g_autoptr(GbDossier) worst = load(log);
    g_autoptr(GbSuggestions) all = suggest(worst);
    assert_int_equal(all->suggestions->len, SHOTS);
    sqlite3_close(db);
    assert_true(tried > 50);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        test_in_folder(a_walk_around_a_house_is_told_side_by_side_with_a_reason_each),
        test_in_folder(placed_shots_get_no_suggestion_and_teach_the_rest),
        test_in_folder(a_claim_without_photos_has_nothing_to_suggest_and_nothing_to_accept),
        test_in_folder(photos_that_say_nothing_get_no_place),
        test_in_folder(magnetic_headings_are_made_true_and_then_tell_the_same),
        test_in_folder(magnetic_headings_that_can_not_be_corrected_are_used_with_a_caution),
        test_in_folder(without_any_position_magnetic_headings_come_with_a_caution_and_true_ones_without),
        test_in_folder(accepting_places_the_sure_ones_alone),
        test_in_folder(accepting_touches_nothing_that_a_person_said),
        test_in_folder(undo_takes_all_accepted_places_back_and_redo_gives_them_again),
        test_in_folder(accepting_again_where_nothing_is_left_is_no_change),
        test_in_folder(no_confidence_but_one_from_a_half_to_one_is_taken),
        test_in_folder(no_position_time_or_heading_makes_it_fall_over),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
