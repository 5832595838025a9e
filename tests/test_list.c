/* test_list.c -- which shots: the table of a claim, filtered.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "claim_support.h"

#include <gablebook/error.h>
#include <gablebook/history.h>
#include <gablebook/list.h>
#include <gablebook/tag.h>
#include <log/rows.h>

/* Six shots: 1 front overview, 2 front siding size (a close-up by its subject), 3 rear test square 9, 4 rear left out, 5 and 6 bare. */
static GbLog *six_shots(void **state)
{
    static const struct { const char *shots; GbTag tag; } said[] = {
        { "1", { .place = "front", .distance = "overview" } },
        { "2", { .place = "front", .subject = "siding size", .value = "4 in" } },
        { "3", { .place = "rear slope", .subject = "test square", .distance = "mid", .value = "9", .caption = "Nine <hits>" } },
        { "4", { .place = "rear slope", .in_report = GB_LEAVE_OUT } },
    };
    GbLog *log = new_claim(state);
    enter_photos(log, 6);
    for (gsize i = 0; i < G_N_ELEMENTS(said); i++) {
        g_autoptr(GError) error = NULL;
        gb_tag(log, said[i].shots, &said[i].tag, NULL, &error);
        assert_no_error(error);
    }
    return log;
}

static void every_filter_holds_and_all_of_them_together(void **state)
{
    static const struct { GbListFilter filter; const char *wanted; } cases[] = {
        { { 0 }, "1 2 3 4 5 6" },
        { { .shots = "2-4,9" }, "2 3 4" },
        { { .place = "fr" }, "1 2" },
        { { .place = "" }, "5 6" },
        { { .subject = "siding size" }, "2" },
        { { .subject = "" }, "1 4 5 6" },
        { { .distance = "close" }, "2" }, /* by its subject */
        { { .distance = "" }, "4 5 6" },
        { { .left_out = TRUE }, "4" },
        { { .place = "rear slope", .subject = "" }, "4" },
        { { .place = "front", .left_out = TRUE }, "" },
        { { .shots = "7" }, "" },
    };
    g_autoptr(GError) error = NULL;
    g_autoptr(GbLog) log = six_shots(state);
    g_autoptr(GbDossier) dossier = gb_dossier_load(log, &error);
    assert_no_error(error);
    for (gsize i = 0; i < G_N_ELEMENTS(cases); i++) {
        g_autoptr(GPtrArray) shots = gb_list(dossier, &cases[i].filter, &error);
        assert_no_error(error);
        g_autoptr(GString) seen = g_string_new(NULL);
        for (guint s = 0; s < shots->len; s++)
            g_string_append_printf(seen, "%s%d", s > 0 ? " " : "", (int)((const GbShot *)shots->pdata[s])->number);
        assert_string_equal(seen->str, cases[i].wanted);
    }
}

static void words_that_name_nothing_are_refused(void **state)
{
    static const struct { GbListFilter filter; GbErrorCode code; const char *part; } cases[] = {
        { { .shots = "x" }, GB_ERROR_SYNTAX, "x" },
        { { .place = "frnt" }, GB_ERROR_UNKNOWN, "nearest: 'front'" },
        { { .place = "r" }, GB_ERROR_UNCLEAR, "'right'" },
        { { .subject = "zzz" }, GB_ERROR_UNKNOWN, "'zzz' is no subject" },
        { { .shots = "1", .distance = "far" }, GB_ERROR_UNKNOWN, "'far' is no distance" },
    };
    g_autoptr(GbLog) log = six_shots(state);
    g_autoptr(GbDossier) dossier = gb_dossier_load(log, NULL);
    for (gsize i = 0; i < G_N_ELEMENTS(cases); i++) {
        g_autoptr(GError) error = NULL;
        assert_null(gb_list(dossier, &cases[i].filter, &error));
        assert_error(error, (int)cases[i].code, cases[i].part);
    }
}

/* One shot with everything from its file, one with nothing. */
static void json_has_every_field_and_null_for_the_unknown(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbLog) log = new_claim(state);
    GbShot shot = { .sha256 = (char *)"00000000000000000000000000000000000000000000000000000000000000aa",
                    .source_name = (char *)"IMG <1>.JPG", .stored_name = (char *)"x.jpg", .bytes = 9, .width = 4, .height = 3, .damaged = TRUE };
    gb_exif_init(&shot.exif);
    shot.exif.make = (char *)"Larkfield";
    shot.exif.model = (char *)"LF-7";
    shot.exif.taken_local_s = 1778770928.75; /* 2026-05-14 15:02:08, as date -u says */
    shot.exif.has_offset = TRUE;
    shot.exif.offset_min = -300;
    shot.exif.lat_deg = 32.5;
    shot.exif.lon_deg = -97.25;
    shot.exif.position_error_m = 4.5;
    shot.exif.heading_deg = 205;
    shot.exif.heading_ref = 'M';
    g_autoptr(GbChange) change = gb_change_begin(log, "import", &error);
    gint64 number;
    assert_true(gb_original_add(log, &shot, 1700000000, &number, &error) && gb_shot_enter(log, number, &error));
    shot.number = number;
    assert_true(gb_surveys_add(log, (GbShot *[]){ &shot }, 1, &error));
    enter_photo(log, 2, (double)NAN);
    assert_true(gb_change_save(change, "photos", &error));
    gb_tag(log, "1", &(GbTag){ .place = "front", .subject = "pitch", .value = "6/12", .caption = "C" }, NULL, &error);
    assert_no_error(error);
    g_autoptr(GbDossier) dossier = gb_dossier_load(log, &error);
    g_autoptr(GPtrArray) all = gb_list(dossier, &(GbListFilter){ 0 }, &error);
    json_t *seen = gb_list_json(dossier, all);
    /* Single quotes stand for double ones. */
    g_autofree char *text = g_strdelimit(g_strdup(
        "[{'number':1,'file':'IMG <1>.JPG','sha256':'00000000000000000000000000000000000000000000000000000000000000aa',"
        "'taken':'2026-05-14 15:02:08','taken_utc':'2026-05-14 20:02:08','reading':'2026-05-14 15:02:08','correction_s':0.0,"
        "'zone_min':-300,'clock_known_by':'tag','offset_min':-300,'camera':'Larkfield LF-7','lat':32.5,'lon':-97.25,'position_error_m':4.5,"
        "'heading_deg':205.0,'heading_ref':'M','place':'front','subject':'Pitch','distance':'close-up','value':'6/12','caption':'C',"
        "'caption_written':true,'left_out':false,'looked_at':true,'damaged':true,'weak':null,'remark':null},"
        "{'number':2,'file':'IMG_0002.JPG','sha256':'0000000000000000000000000000000000000000000000000000000000000002',"
        "'taken':null,'taken_utc':null,'reading':null,'correction_s':null,'zone_min':null,'clock_known_by':'none','offset_min':null,'camera':null,'lat':null,'lon':null,'position_error_m':null,'heading_deg':null,"
        "'heading_ref':null,'place':null,'subject':null,'distance':null,'value':null,'caption':null,'caption_written':false,"
        "'left_out':false,'looked_at':false,'damaged':false,'weak':null,'remark':null}]"), "'", '"');
    json_t *wanted = json_loads(text, 0, NULL);
    assert_non_null(wanted);
    for (gsize i = 0; i < json_array_size(wanted); i++) {
        const char *key;
        json_t *value;
        json_object_foreach(json_array_get(wanted, i), key, value)
            if (!json_equal(json_object_get(json_array_get(seen, i), key), value))
                fail_msg("shot %d: %s", (int)i + 1, key);
    }
    assert_true(json_equal(seen, wanted)); /* and no field more */
    json_decref(wanted);
    json_decref(seen);
}

static void the_make_of_a_camera_is_not_said_twice(void **state)
{
    (void)state;
    static const struct { const char *make, *model, *name; } cases[] = {
        { NULL, NULL, "" }, { "Larkfield", NULL, "Larkfield" }, { NULL, "LF-7", "LF-7" }, { "Larkfield", "LF-7 phone", "Larkfield LF-7 phone" },
        { "Larkfield", "Larkfield LF-7", "Larkfield LF-7" }, { "LARKFIELD OPTICAL CO.", "Larkfield LF-7", "Larkfield LF-7" },
    };
    for (gsize i = 0; i < G_N_ELEMENTS(cases); i++) {
        const GbExif exif = { .make = (char *)cases[i].make, .model = (char *)cases[i].model };
        g_autofree char *name = gb_camera_name(&exif);
        assert_string_equal(name, cases[i].name);
    }
}

/* JSON has no infinity, and half of a character is none; a claim may come from anywhere. */
static void what_json_cannot_say_is_null_and_its_shot_is_there(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbLog) log = six_shots(state);
    sqlite3 *db = raw_connection(state);
    raw_exec(db, "PRAGMA ignore_check_constraints = 1; UPDATE original SET position_error_m = 9e999, lat_deg = -9e999, lon_deg = 9e999,"
                 " heading_deg = 9e999, heading_ref = 'Ü' WHERE id = 2");
    sqlite3_close(db);
    g_autoptr(GbDossier) dossier = gb_dossier_load(log, &error);
    assert_no_error(error);
    json_t *list = gb_list_json(dossier, dossier->shots);
    assert_int_equal(json_array_size(list), 6);
    json_t *shot = json_array_get(list, 1);
    assert_int_equal(json_integer_value(json_object_get(shot, "number")), 2);
    static const char *const unknown[] = { "position_error_m", "lat", "lon", "heading_deg", "heading_ref" };
    for (gsize i = 0; i < G_N_ELEMENTS(unknown); i++)
        assert_true(json_is_null(json_object_get(shot, unknown[i])));
    json_decref(list);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        test_in_folder(every_filter_holds_and_all_of_them_together),
        test_in_folder(words_that_name_nothing_are_refused),
        test_in_folder(json_has_every_field_and_null_for_the_unknown),
        test_in_folder(what_json_cannot_say_is_null_and_its_shot_is_there),
        cmocka_unit_test(the_make_of_a_camera_is_not_said_twice),
    };
    return cmocka_run_group_tests_name("list", tests, NULL, NULL);
}
