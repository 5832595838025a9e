/* test_model_facts.c -- facts, test squares and notes in the report model.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "claim_support.h"

#include <gablebook/dossier.h>
#include <gablebook/report.h>
#include <gablebook/tag.h>
#include <jansson.h>

G_DEFINE_AUTOPTR_CLEANUP_FUNC(json_t, json_decref)

/* Shots 1 and 2 show the front slope's test square, 3 its pitch, 4 is left out. */
static GbLog *claim_with_photos(void **state)
{
    GbLog *log = new_claim(state);
    gb_log_set_who(log, "M. Tarn");
    enter_photos(log, 4);
    assert_true(gb_tag(log, "1,2", &(GbTag){ .place = "front slope", .subject = "test square", .value = "9" }, NULL, NULL));
    assert_true(gb_tag(log, "3", &(GbTag){ .place = "front slope", .subject = "pitch", .value = "7 1/2:12" }, NULL, NULL));
    assert_true(gb_tag(log, "4", &(GbTag){ .place = "roof", .subject = "layers", .in_report = GB_LEAVE_OUT }, NULL, NULL));
    return log;
}

static json_t *model_of(GbLog *log)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbDossier) dossier = gb_dossier_load(log, &error);
    assert_no_error(error);
    return gb_report_model(dossier);
}

/* The value at a path like "facts/groups/0/title"; NULL where there is none. BORROWED. */
static const json_t *find(const json_t *json, const char *path)
{
    g_auto(GStrv) steps = g_strsplit(path, "/", -1);
    for (char **step = steps; json != NULL && *step != NULL; step++)
        json = json_is_array(json) ? json_array_get(json, (gsize)g_ascii_strtoull(*step, NULL, 10)) : json_object_get(json, *step);
    return json;
}

static const char *text(const json_t *json, const char *path)
{
    const char *found = json_string_value(find(json, path));
    if (found == NULL)
        fail_msg("no text at %s", path);
    return found;
}

static gint64 number(const json_t *json, const char *path)
{
    return json_integer_value(find(json, path));
}

static void facts_stand_by_structure_with_value_way_and_figures(void **state)
{
    g_autoptr(GbLog) log = claim_with_photos(state);
    assert_true(gb_fact_say(log, "dwelling", "storeys", &(GbFactEdit){ .value = "2", .note = "walk-out basement" }, NULL, NULL));
    assert_true(gb_fact_say(log, "site", "largest hailstone", &(GbFactEdit){ .value = "1.75 in" }, NULL, NULL));
    g_autoptr(json_t) model = model_of(log);
    assert_string_equal(text(model, "facts/groups/0/title"), "Site");
    assert_string_equal(text(model, "facts/groups/1/title"), "Dwelling");
    assert_string_equal(text(model, "facts/groups/1/rows/0/name"), "Storeys");
    assert_string_equal(text(model, "facts/groups/1/rows/0/note"), "walk-out basement");
    assert_string_equal(text(model, "facts/groups/1/rows/0/how"), "counted");
    assert_int_equal(json_array_size(find(model, "facts/groups/1/rows/0/proof")), 0); /* always there */
    assert_string_equal(text(model, "facts/groups/1/rows/1/value"), "7 1/2:12 (7.5/12, 32.0°)");
    assert_string_equal(text(model, "facts/groups/1/rows/1/how"), "measured, read from the photo");
    assert_string_equal(text(model, "facts/groups/1/rows/1/place"), "Front slope");
    assert_int_equal(number(model, "facts/groups/1/rows/1/proof/0/number"), 3);
    assert_true(json_is_true(find(model, "facts/groups/1/rows/1/proof/0/first")));
    assert_null(find(model, "facts/meanings"));
}

static void what_a_step_of_the_condition_means_is_told_once(void **state)
{
    g_autoptr(GbLog) log = claim_with_photos(state);
    assert_true(gb_fact_say(log, "roof", "condition", &(GbFactEdit){ .value = "fair" }, NULL, NULL));
    assert_true(gb_fact_say(log, "front", "condition", &(GbFactEdit){ .value = "fair" }, NULL, NULL));
    g_autoptr(json_t) model = model_of(log);
    assert_int_equal(json_array_size(find(model, "facts/meanings/words")), 1);
    assert_string_equal(text(model, "facts/meanings/words/0/word"), "fair");
    assert_non_null(strstr(text(model, "facts/meanings/words/0/meaning"), "worn all over"));
}

static void squares_are_a_table_and_the_threshold_is_told_as_the_users_own(void **state)
{
    g_autoptr(GbLog) log = claim_with_photos(state);
    assert_true(gb_square_say(log, "rear slope", &(GbSquareEdit){ .not_drawn = "obvious" }, NULL, NULL));
    assert_true(gb_square_say(log, "left slope", &(GbSquareEdit){ .hits = "0", .note = "no chalk" }, NULL, NULL));
    {
        g_autoptr(json_t) without = model_of(log);
        assert_null(find(without, "squares/threshold"));
    }
    assert_true(gb_threshold_set(log, "1", "the carrier", NULL, NULL));
    g_autoptr(json_t) model = model_of(log);
    assert_int_equal(json_array_size(find(model, "squares/rows")), 3);
    assert_string_equal(text(model, "squares/rows/0/slope"), "Front slope");
    assert_string_equal(text(model, "squares/rows/0/hits"), "9");
    assert_null(find(model, "squares/rows/0/size")); /* a photo does not say it */
    assert_int_equal(number(model, "squares/rows/0/proof/1/number"), 2);
    assert_string_equal(text(model, "squares/rows/1/not_drawn"), "obvious");
    assert_null(find(model, "squares/rows/1/hits"));
    assert_string_equal(text(model, "squares/rows/2/hits"), "0"); /* counted, and none */
    assert_string_equal(text(model, "squares/rows/2/size"), "10 x 10 ft");
    assert_string_equal(text(model, "squares/threshold/hits"), "1 hit");
    assert_string_equal(text(model, "squares/threshold/who"), "M. Tarn");
    assert_string_equal(text(model, "squares/threshold/source"), "the carrier");
}

static void what_differs_or_has_no_photo_stands_up_front(void **state)
{
    g_autoptr(GbLog) log = claim_with_photos(state);
    assert_true(gb_fact_say(log, "front slope", "pitch", &(GbFactEdit){ .value = "6/12" }, NULL, NULL));
    assert_true(gb_fact_say(log, "roof", "layers", &(GbFactEdit){ .value = "1", .shots = "4" }, NULL, NULL));
    g_autoptr(json_t) model = model_of(log);
    assert_string_equal(text(model, "attention/differing/points/0/text"),
                        "Front slope: Pitch is recorded as 6/12, 26.6°, but shot 3 says 7 1/2:12");
    assert_string_equal(text(model, "attention/unproven/points/0/text"),
                        "Roof: Layers 1 has no photo that proves it: the one named is left out of the report");
    assert_int_equal(number(model, "facts/groups/0/rows/1/against/figures/0/number"), 3);
}

static void a_claim_of_which_nothing_is_known_has_no_tables(void **state)
{
    g_autoptr(GbLog) log = new_claim(state);
    g_autoptr(json_t) model = model_of(log);
    assert_null(find(model, "facts"));
    assert_null(find(model, "squares"));
    assert_null(find(model, "attention/differing"));
    assert_null(find(model, "attention/unproven"));
    assert_int_equal(json_array_size(find(model, "remarks")), 0);
}

/* The chapter or section of that id; BORROWED. */
static const json_t *part_of(const json_t *model, const char *title)
{
    gsize i, s;
    const json_t *chapter, *section;
    json_array_foreach(json_object_get(model, "chapters"), i, chapter) {
        if (g_strcmp0(json_string_value(json_object_get(chapter, "title")), title) == 0)
            return chapter;
        json_array_foreach(json_object_get(chapter, "sections"), s, section)
            if (g_strcmp0(json_string_value(json_object_get(section, "title")), title) == 0)
                return section;
    }
    fail_msg("no part '%s'", title);
    return NULL;
}

static void only_notes_for_the_report_stand_in_it_each_where_it_belongs(void **state)
{
    g_autoptr(GbLog) log = claim_with_photos(state);
    const char *const hidden = "not for others";
    assert_true(gb_note_add(log, NULL, 0, "Owner was present", GB_NOTE_FOR_REPORT, NULL, NULL, NULL));
    assert_true(gb_note_add(log, NULL, 0, hidden, GB_NOTE_KEEP, NULL, NULL, NULL));
    assert_true(gb_note_add(log, "rear slope", 0, "Moss,\nnot walked", GB_NOTE_FOR_REPORT, NULL, NULL, NULL));
    assert_true(gb_note_add(log, NULL, 3, "Gauge held to the rake", GB_NOTE_FOR_REPORT, NULL, NULL, NULL));
    assert_true(gb_note_add(log, NULL, 1, hidden, GB_NOTE_NOT_FOR_REPORT, NULL, NULL, NULL));
    g_autoptr(json_t) model = model_of(log);
    assert_int_equal(json_array_size(find(model, "remarks")), 1);
    assert_string_equal(text(model, "remarks/0/text"), "Owner was present");
    assert_string_equal(text(model, "remarks/0/who"), "M. Tarn");
    assert_string_equal(text(part_of(model, "Rear slope"), "remarks/0/text"), "Moss,\nnot walked"); /* although no photo is there */
    const json_t *front = part_of(model, "Front slope");
    assert_int_equal(json_array_size(find(front, "remarks")), 0);
    gsize i;
    const json_t *figure;
    json_array_foreach(json_object_get(front, "figures"), i, figure)
        assert_int_equal(json_array_size(json_object_get(figure, "remarks")), number(figure, "shot") == 3);
    char *dump = json_dumps(model, 0);
    assert_null(strstr(dump, hidden));
    free(dump);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        test_in_folder(facts_stand_by_structure_with_value_way_and_figures),
        test_in_folder(what_a_step_of_the_condition_means_is_told_once),
        test_in_folder(squares_are_a_table_and_the_threshold_is_told_as_the_users_own),
        test_in_folder(what_differs_or_has_no_photo_stands_up_front),
        test_in_folder(a_claim_of_which_nothing_is_known_has_no_tables),
        test_in_folder(only_notes_for_the_report_stand_in_it_each_where_it_belongs),
    };
    return cmocka_run_group_tests_name("model_facts", tests, NULL, NULL);
}
