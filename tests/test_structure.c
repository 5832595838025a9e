/* test_structure.c -- the verb structure: what stands on the property, and which parts it has.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "claim_support.h"

#include <gablebook/error.h>
#include <gablebook/history.h>
#include <gablebook/structure.h>
#include <gablebook/tag.h>

/* An edit that must work, and its summary. OWNED by the caller. */
static char *edited(GbLog *log, GbStructureEdit edit)
{
    g_autoptr(GError) error = NULL;
    char *summary = NULL;
    gb_structure_edit(log, &edit, &summary, &error);
    assert_no_error(error);
    return summary;
}

static void refused(void **state, GbLog *log, GbStructureEdit edit, GbErrorCode code, const char *part)
{
    g_autoptr(GError) error = NULL;
    g_autofree char *before = dump_work(state), *summary = NULL;
    guint entries = history_length(log);
    assert_false(gb_structure_edit(log, &edit, &summary, &error));
    assert_error(error, (int)code, part);
    assert_null(summary);
    g_autofree char *after = dump_work(state);
    assert_string_equal(after, before);
    assert_int_equal(history_length(log), entries);
}

static void tag_place(GbLog *log, const char *shots, const char *place)
{
    g_autoptr(GError) error = NULL;
    gb_tag(log, shots, &(GbTag){ .place = place }, NULL, &error);
    assert_no_error(error);
}

/* The labels of a claim's places in walk order: "site|dwelling|front ...". */
static char *labels(GbLog *log)
{
    g_autoptr(GPtrArray) places = gb_places_load(log, NULL);
    g_autoptr(GString) text = g_string_new(NULL);
    for (guint i = 0; i < places->len; i++)
        g_string_append_printf(text, "%s%s", i > 0 ? "|" : "", ((const GbPlace *)places->pdata[i])->label);
    return g_strdup(text->str);
}

#define DWELLING "site|dwelling|front|right|rear|left|roof|front slope|right slope|rear slope|left slope"

static void a_garage_gets_the_walls_and_slopes_named_and_a_roof_with_them(void **state)
{
    g_autoptr(GbLog) log = new_claim(state);
    g_autofree char *before = dump_work(state);
    g_autofree char *summary = edited(log, (GbStructureEdit){ .name = "garage", .elevations = "fr, left", .slopes = "right left" });
    assert_string_equal(summary, "garage: front, left; slopes right, left");
    g_autofree char *all = labels(log);
    assert_string_equal(all, DWELLING "|garage|garage front|garage left|garage roof|garage right slope|garage left slope");
    g_autofree char *said = last_summary(log);
    assert_string_equal(said, summary);
    assert_int_equal(history_length(log), 1);
    assert_undo_brings_back(state, log, before);
}

static void sets_of_parts_are_exact_and_what_is_not_said_stays(void **state)
{
    g_autoptr(GbLog) log = new_claim(state);
    g_autofree char *all = edited(log, (GbStructureEdit){ .name = "shed", .elevations = "all", .slopes = "all", .rooms = "loft, store" });
    assert_string_equal(all, "shed: front, right, rear, left; slopes front, right, rear, left; rooms loft, store");
    g_autofree char *some = edited(log, (GbStructureEdit){ .name = "SHED", .elevations = "rear", .rooms = "attic;Loft" });
    assert_string_equal(some, "SHED: rear; slopes front, right, rear, left; rooms loft, attic");
    g_autofree char *none = edited(log, (GbStructureEdit){ .name = "shed", .elevations = "none", .slopes = "none", .rooms = "none" });
    assert_string_equal(none, "shed");
}

static void the_roof_comes_with_the_first_slope_and_goes_with_the_last(void **state)
{
    g_autoptr(GbLog) log = new_claim(state);
    g_free(edited(log, (GbStructureEdit){ .name = "carport" }));
    g_autofree char *bare = labels(log);
    assert_string_equal(bare, DWELLING "|carport");
    g_free(edited(log, (GbStructureEdit){ .name = "carport", .slopes = "rear" }));
    g_autofree char *roofed = labels(log);
    assert_string_equal(roofed, DWELLING "|carport|carport roof|carport rear slope");
    g_free(edited(log, (GbStructureEdit){ .name = "carport", .slopes = "none" }));
    g_autofree char *again = labels(log);
    assert_string_equal(again, bare);
}

static void a_part_with_shots_is_not_removed_and_nothing_else_is_either(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbLog) log = new_claim(state);
    enter_photos(log, 3);
    g_free(edited(log, (GbStructureEdit){ .name = "garage", .elevations = "all", .slopes = "left, right", .rooms = "loft" }));
    tag_place(log, "1", "garage rear");
    tag_place(log, "2", "garage loft");
    tag_place(log, "3", "garage roof");
    refused(state, log, (GbStructureEdit){ .name = "garage", .elevations = "front" }, GB_ERROR_STATE, "'garage rear' still has 1 shot: give it");
    refused(state, log, (GbStructureEdit){ .name = "garage", .rooms = "none" }, GB_ERROR_STATE, "'garage loft' still has 1 shot");
    refused(state, log, (GbStructureEdit){ .name = "garage", .slopes = "none" }, GB_ERROR_STATE, "'garage roof' still has 1 shot");
    tag_place(log, "1,2", "garage rear");
    g_autofree char *before = dump_work(state);
    assert_false(gb_structure_drop(log, "garage", &error));
    assert_error(error, GB_ERROR_STATE, "'garage rear' still has 2 shots: give them another place first");
    g_autofree char *after = dump_work(state);
    assert_string_equal(after, before);
}

static void an_empty_structure_is_dropped_whole_and_undo_brings_it_back(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbLog) log = new_claim(state);
    g_free(edited(log, (GbStructureEdit){ .name = "Garage", .elevations = "all", .slopes = "all", .rooms = "loft" }));
    g_autofree char *before = dump_work(state);
    assert_true(gb_structure_drop(log, "gaRAGE", &error));
    g_autofree char *all = labels(log);
    assert_string_equal(all, DWELLING);
    g_autofree char *said = last_summary(log);
    assert_string_equal(said, "Garage taken out");
    assert_undo_brings_back(state, log, before);
}

static void the_dwelling_is_there_once_and_for_ever(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbLog) log = new_claim(state);
    assert_false(gb_structure_drop(log, "dwelling", &error));
    assert_error(error, GB_ERROR_STATE, "the dwelling can't be taken out");
    assert_false(gb_structure_drop(log, "gargoyle", &error));
    assert_error(error, GB_ERROR_UNKNOWN, "no structure 'gargoyle'");
    assert_false(gb_structure_drop(log, "dweling", &error));
    assert_error(error, GB_ERROR_UNKNOWN, "nearest: 'dwelling'");
    refused(state, log, (GbStructureEdit){ .name = "house", .kind = "dwelling" }, GB_ERROR_STATE, "a claim has one dwelling");
    g_autofree char *walls = edited(log, (GbStructureEdit){ .name = "dwelling", .elevations = "front, rear", .slopes = "none" });
    assert_string_equal(walls, "dwelling: front, rear");
}

static void a_kind_comes_from_the_name_or_is_said_and_does_not_change(void **state)
{
    static const struct { const char *name, *kind, *wanted; } cases[] = {
        { "Garage", NULL, "garage" }, { "pool house", NULL, "other" }, { "workshop", "sh", "shed" }, { "back fence", "fence", "fence" },
    };
    g_autoptr(GbLog) log = new_claim(state);
    for (gsize i = 0; i < G_N_ELEMENTS(cases); i++)
        g_free(edited(log, (GbStructureEdit){ .name = cases[i].name, .kind = cases[i].kind }));
    g_autoptr(GPtrArray) structures = gb_structures_load(log, NULL);
    for (gsize i = 0; i < G_N_ELEMENTS(cases); i++) {
        const GbStructure *structure = structures->pdata[i + 1];
        assert_string_equal(structure->name, cases[i].name);
        assert_string_equal(structure->kind, cases[i].wanted);
    }
    refused(state, log, (GbStructureEdit){ .name = "garage", .kind = "barn" }, GB_ERROR_STATE, "'garage' is a garage already");
    refused(state, log, (GbStructureEdit){ .name = "x", .kind = "castle" }, GB_ERROR_UNKNOWN, "'castle' is no kind of structure");
    refused(state, log, (GbStructureEdit){ .name = "x", .kind = "d" }, GB_ERROR_UNCLEAR, "'dwelling' or 'deck'");
}

static void faces_are_found_by_their_beginnings_and_unclear_ones_are_refused(void **state)
{
    g_autoptr(GbLog) log = new_claim(state);
    refused(state, log, (GbStructureEdit){ .name = "barn", .elevations = "r" }, GB_ERROR_UNCLEAR, "'right' or 'rear'");
    refused(state, log, (GbStructureEdit){ .name = "barn", .elevations = "front, north" }, GB_ERROR_UNKNOWN, "'north' is no face");
    refused(state, log, (GbStructureEdit){ .name = "barn", .elevations = "all", .slopes = "frnt" }, GB_ERROR_UNKNOWN, "nearest: 'front'");
}

static void rooms_are_kept_once_as_written(void **state)
{
    g_autoptr(GbLog) log = new_claim(state);
    g_autofree char *summary = edited(log, (GbStructureEdit){ .name = "dwelling", .rooms = " kitchen ,, Bath; bath,K\xc3\xbc" "che" });
    assert_string_equal(summary, "dwelling: front, right, rear, left; slopes front, right, rear, left; rooms kitchen, Bath, K\xc3\xbc" "che");
    g_autofree char *all = labels(log);
    assert_string_equal(all, DWELLING "|kitchen|Bath|K\xc3\xbc" "che");
}

static void names_with_markup_and_controls_stay_text(void **state)
{
    g_autoptr(GbLog) log = new_claim(state);
    g_autofree char *summary = edited(log, (GbStructureEdit){ .name = "<b>shed</b>\x1b[31m", .rooms = "a&b\ttwo" });
    assert_null(strchr(summary, '\x1b'));
    assert_non_null(strstr(summary, "<b>shed</b>"));
    assert_non_null(strstr(summary, "a&b"));
}

static void names_have_1_to_80_bytes_and_rooms_a_bound(void **state)
{
    g_autoptr(GbLog) log = new_claim(state);
    g_autofree char *longest = g_strnfill(80, 'n'), *longer = g_strnfill(81, 'n');
    g_free(edited(log, (GbStructureEdit){ .name = longest }));
    refused(state, log, (GbStructureEdit){ .name = longer }, GB_ERROR_SYNTAX, "1 to 80 bytes");
    refused(state, log, (GbStructureEdit){ .name = " \t " }, GB_ERROR_SYNTAX, "can't be the name of a structure");
    refused(state, log, (GbStructureEdit){ .name = "barn", .rooms = longer }, GB_ERROR_SYNTAX, "can't be the name of a room");
    g_autoptr(GString) many = g_string_new(NULL);
    for (int i = 1; i <= 200; i++)
        g_string_append_printf(many, "room %d,", i);
    g_free(edited(log, (GbStructureEdit){ .name = "barn", .rooms = many->str }));
    g_string_append(many, "one more");
    refused(state, log, (GbStructureEdit){ .name = "shed", .rooms = many->str }, GB_ERROR_TOO_LARGE, "at most 200 rooms");
}

/* Otherwise neither of the two could ever be named again: labels that read alike are never chosen between. */
static void a_name_that_would_read_like_another_place_is_refused(void **state)
{
    g_autoptr(GbLog) log = new_claim(state);
    g_free(edited(log, (GbStructureEdit){ .name = "garage", .elevations = "front" }));
    refused(state, log, (GbStructureEdit){ .name = "dwelling", .rooms = "kitchen, Front" }, GB_ERROR_STATE, "can't be told from another place");
    refused(state, log, (GbStructureEdit){ .name = "dwelling", .rooms = "rear-slope" }, GB_ERROR_STATE, "can't be told");
    refused(state, log, (GbStructureEdit){ .name = "dwelling", .rooms = "garage front" }, GB_ERROR_STATE, "can't be told");
    refused(state, log, (GbStructureEdit){ .name = "dwelling", .rooms = "-" }, GB_ERROR_STATE, "can't be told");
    refused(state, log, (GbStructureEdit){ .name = "site" }, GB_ERROR_STATE, "can't be told");
    refused(state, log, (GbStructureEdit){ .name = "roof" }, GB_ERROR_STATE, "can't be told");
}

/* "Not possible, too steep" was said of the garage that is gone. */
static void a_waiver_of_a_structure_that_is_gone_does_not_speak_for_the_next(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbLog) log = new_claim(state);
    g_free(edited(log, (GbStructureEdit){ .name = "garage", .elevations = "front" }));
    g_autofree char *garage = dump_work(state);
    assert_true(gb_structure_drop(log, "garage", &error));
    g_free(edited(log, (GbStructureEdit){ .name = "shed", .elevations = "front" }));
    sqlite3 *db = raw_connection(state);
    g_autofree char *place = raw_text(db, "SELECT min(id) FROM place WHERE structure > 1");
    g_autofree char *structure = raw_text(db, "SELECT max(id) FROM structure");
    sqlite3_close(db);
    assert_string_equal(place, "14"); /* 12 and 13 were the garage's */
    assert_string_equal(structure, "3");
    gb_history_undo(log, NULL, &error);
    assert_undo_brings_back(state, log, garage);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        test_in_folder(a_garage_gets_the_walls_and_slopes_named_and_a_roof_with_them),
        test_in_folder(sets_of_parts_are_exact_and_what_is_not_said_stays),
        test_in_folder(the_roof_comes_with_the_first_slope_and_goes_with_the_last),
        test_in_folder(a_part_with_shots_is_not_removed_and_nothing_else_is_either),
        test_in_folder(an_empty_structure_is_dropped_whole_and_undo_brings_it_back),
        test_in_folder(the_dwelling_is_there_once_and_for_ever),
        test_in_folder(a_kind_comes_from_the_name_or_is_said_and_does_not_change),
        test_in_folder(faces_are_found_by_their_beginnings_and_unclear_ones_are_refused),
        test_in_folder(rooms_are_kept_once_as_written),
        test_in_folder(names_with_markup_and_controls_stay_text),
        test_in_folder(names_have_1_to_80_bytes_and_rooms_a_bound),
        test_in_folder(a_name_that_would_read_like_another_place_is_refused),
        test_in_folder(a_waiver_of_a_structure_that_is_gone_does_not_speak_for_the_next),
    };
    return cmocka_run_group_tests_name("structure", tests, NULL, NULL);
}
