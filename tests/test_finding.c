/* test_finding.c -- findings: written, changed, taken out, undone; what they lack.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "claim_support.h"

#include <gablebook/dossier.h>
#include <gablebook/error.h>
#include <gablebook/finding.h>
#include <gablebook/history.h>
#include <gablebook/structure.h>
#include <gablebook/tag.h>

/* Ten photos; 1-3 are screens of the front, 4 is a gutter there, 5 a hail hit on the rear slope. */
static GbLog *photographed(void **state)
{
    g_autoptr(GError) error = NULL;
    GbLog *log = new_claim(state);
    enter_photos(log, 10);
    gb_tag(log, "1-3", &(GbTag){ .place = "front", .subject = "screen damage" }, NULL, &error);
    assert_no_error(error);
    gb_tag(log, "4", &(GbTag){ .place = "front", .subject = "gutter damage" }, NULL, &error);
    assert_no_error(error);
    gb_tag(log, "5", &(GbTag){ .place = "rear slope", .subject = "hail hit" }, NULL, &error);
    assert_no_error(error);
    return log;
}

static char *added(GbLog *log, GbFindingEdit edit)
{
    g_autoptr(GError) error = NULL;
    char *summary = NULL;
    gb_finding_add(log, &edit, NULL, &summary, &error);
    assert_no_error(error);
    return summary;
}

static char *changed(GbLog *log, gint64 number, GbFindingEdit edit)
{
    g_autoptr(GError) error = NULL;
    char *summary = NULL;
    gb_finding_change(log, number, &edit, &summary, &error);
    assert_no_error(error);
    return summary;
}

static void refused(void **state, GbLog *log, GbFindingEdit edit, GbErrorCode code, const char *part)
{
    g_autoptr(GError) error = NULL;
    g_autofree char *before = dump_work(state), *summary = NULL;
    guint entries = history_length(log);
    assert_false(gb_finding_add(log, &edit, NULL, &summary, &error));
    assert_error(error, (int)code, part);
    assert_null(summary);
    g_autofree char *after = dump_work(state);
    assert_string_equal(after, before);
    assert_int_equal(history_length(log), entries);
}

static void a_finding_is_written_in_a_persons_words(void **state)
{
    g_autoptr(GbLog) log = photographed(state);
    g_autoptr(GError) error = NULL;
    g_autofree char *summary = added(log, (GbFindingEdit){ .place = "re sl", .component = "shing", .cause = "h", .action = "replace",
                                                           .quantity = "3 1/2 sq", .shots = "5", .note = "  two\ncourses\x07 " });
    assert_string_equal(summary, "finding 1: rear slope, Shingles; hail; remove and replace; 3.5 SQ; shot 5; note: two courses");
    g_autofree char *said = last_summary(log);
    assert_string_equal(said, summary + strlen("finding "));
    g_autoptr(GPtrArray) findings = gb_findings_load(log, &error);
    assert_int_equal(findings->len, 1);
    const GbFinding *one = findings->pdata[0];
    assert_int_equal(one->number, 1);
    assert_string_equal(one->component, "shingles");
    assert_string_equal(one->quantity, "3 1/2 sq"); /* as typed */
    assert_near(one->amount, 3.5, 1e-12);
    assert_int_equal(one->unit, GB_UNIT_SQ);
    assert_null(one->measure);
    assert_int_equal(one->shots->len, 1);
    assert_null(gb_finding_lacks(one));
}

static void the_shots_tell_place_and_component_when_they_agree(void **state)
{
    g_autoptr(GbLog) log = photographed(state);
    g_autofree char *first = added(log, (GbFindingEdit){ .shots = "1,3", .quantity = "2" });
    assert_string_equal(first, "finding 1: front, Window screen; 2 EA; shots 1, 3"); /* 2: in the component's unit */
    refused(state, log, (GbFindingEdit){ .shots = "1,4" }, GB_ERROR_STATE, "its shots don't tell one component");
    refused(state, log, (GbFindingEdit){ .shots = "1,5" }, GB_ERROR_STATE, "its shots have no place in common");
    refused(state, log, (GbFindingEdit){ .shots = "7" }, GB_ERROR_STATE, "its shots have no place in common");
    refused(state, log, (GbFindingEdit){ .component = "gutter" }, GB_ERROR_STATE, "a finding needs a place");
    refused(state, log, (GbFindingEdit){ .place = "front" }, GB_ERROR_STATE, "a finding needs a component");
    refused(state, log, (GbFindingEdit){ .place = "", .component = "gutter" }, GB_ERROR_STATE, "a finding needs a place");
}

static void words_that_are_none_are_refused_and_nothing_is_changed(void **state)
{
    g_autoptr(GbLog) log = photographed(state);
    g_autofree char *long_note = g_strnfill(4001, 'x');
    refused(state, log, (GbFindingEdit){ .place = "frnt", .component = "gutter" }, GB_ERROR_UNKNOWN, "is no place");
    refused(state, log, (GbFindingEdit){ .place = "front", .component = "guter" }, GB_ERROR_UNKNOWN, "is no component; nearest: 'Gutter'");
    refused(state, log, (GbFindingEdit){ .shots = "1", .cause = "hale" }, GB_ERROR_UNKNOWN, "is no cause; nearest: 'hail'");
    refused(state, log, (GbFindingEdit){ .shots = "1", .place = "slope" }, GB_ERROR_UNCLEAR, "could be the places");
    refused(state, log, (GbFindingEdit){ .shots = "1", .quantity = "some" }, GB_ERROR_SYNTAX, "is no quantity");
    refused(state, log, (GbFindingEdit){ .shots = "1", .quantity = "=" }, GB_ERROR_SYNTAX, "say which measurement it follows");
    refused(state, log, (GbFindingEdit){ .shots = "99" }, GB_ERROR_UNKNOWN, "there is no shot 99");
    refused(state, log, (GbFindingEdit){ .shots = "x" }, GB_ERROR_SYNTAX, "shot numbers");
    refused(state, log, (GbFindingEdit){ .shots = "1", .note = long_note }, GB_ERROR_TOO_LARGE, "a note of 4001 bytes");
}

static void a_change_says_only_what_is_said_and_an_empty_text_takes_back(void **state)
{
    g_autoptr(GbLog) log = photographed(state);
    g_autofree char *add = added(log, (GbFindingEdit){ .shots = "1-3", .cause = "hail", .action = "repair", .quantity = "2", .note = "top row" });
    g_autofree char *before = dump_work(state);
    g_autofree char *second = changed(log, 1, (GbFindingEdit){ .fewer_shots = "2", .more_shots = "4", .action = "none", .quantity = "" });
    assert_string_equal(second, "finding 1: front, Window screen; hail; action none; shots 1, 3, 4; note: top row");
    g_autofree char *after = dump_work(state);
    assert_undo_brings_back(state, log, before);
    gb_history_redo(log, NULL, NULL);
    g_autofree char *again = dump_work(state);
    assert_string_equal(again, after);
    g_autofree char *third = changed(log, 1, (GbFindingEdit){ .cause = "", .note = "", .shots = "", .place = "rear" });
    assert_string_equal(third, "finding 1: rear, Window screen; action none");
}

static void a_finding_taken_out_comes_back_by_undo_and_its_number_is_not_given_out_again(void **state)
{
    g_autoptr(GbLog) log = photographed(state);
    g_autoptr(GError) error = NULL;
    g_free(added(log, (GbFindingEdit){ .shots = "1-3" }));
    g_autofree char *before = dump_work(state), *summary = NULL;
    gb_finding_remove(log, 1, &summary, &error);
    assert_no_error(error);
    assert_string_equal(summary, "finding 1: front, Window screen; shots 1-3: taken out");
    assert_false(gb_finding_remove(log, 1, NULL, &error));
    assert_error(error, GB_ERROR_UNKNOWN, "there is no finding 1");
    assert_undo_brings_back(state, log, before);
    gb_history_undo(log, NULL, &error); /* the adding, too */
    assert_no_error(error);
    g_autofree char *next = added(log, (GbFindingEdit){ .shots = "4" });
    assert_true(g_str_has_prefix(next, "finding 2: "));
}

static void the_import_of_a_proof_can_be_undone_after_the_finding(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbLog) log = photographed(state);
    g_free(added(log, (GbFindingEdit){ .shots = "1-3" }));
    for (guint i = 0; i < 5; i++) {
        gb_history_undo(log, NULL, &error);
        assert_no_error(error);
    }
    g_autoptr(GPtrArray) none = gb_findings_load(log, &error);
    assert_int_equal(none->len, 0);
    for (guint i = 0; i < 5; i++) {
        gb_history_redo(log, NULL, &error);
        assert_no_error(error);
    }
    g_autoptr(GPtrArray) back = gb_findings_load(log, &error);
    assert_int_equal(((const GbFinding *)back->pdata[0])->shots->len, 3);
}

static void the_history_names_the_place_of_a_finding(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbLog) log = photographed(state);
    g_free(added(log, (GbFindingEdit){ .shots = "5" }));
    g_autoptr(GPtrArray) values = gb_history_values(log, history_length(log), &error);
    assert_no_error(error);
    gboolean named = FALSE;
    for (guint i = 0; i < values->len; i++) {
        const GbHistoryValue *value = values->pdata[i];
        named |= strcmp(value->table, "finding") == 0 && strcmp(value->column, "place") == 0 && g_strcmp0(value->after, "rear slope") == 0;
    }
    assert_true(named);
}

static void a_place_with_a_finding_stays(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbLog) log = photographed(state);
    assert_true(gb_structure_edit(log, &(GbStructureEdit){ .name = "shed", .slopes = "left, right" }, NULL, &error));
    g_free(added(log, (GbFindingEdit){ .place = "shed left slope", .component = "shingles" }));
    assert_false(gb_structure_edit(log, &(GbStructureEdit){ .name = "shed", .slopes = "right" }, NULL, &error));
    assert_error(error, GB_ERROR_STATE, "'shed left slope' still has 1 finding: give it another place first");
    assert_false(gb_structure_drop(log, "shed", &error));
    assert_error(error, GB_ERROR_STATE, "still has 1 finding");
    gb_finding_remove(log, 1, NULL, &error);
    assert_true(gb_structure_drop(log, "shed", &error));
}

static void findings_lie_along_the_walk_and_then_by_number(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbLog) log = photographed(state);
    static const char *const places[] = { "rear slope", "left", "front", "rear slope", "site" };
    for (gsize i = 0; i < G_N_ELEMENTS(places); i++)
        g_free(added(log, (GbFindingEdit){ .place = places[i], .component = "other" }));
    g_autoptr(GPtrArray) findings = gb_findings_load(log, &error);
    static const gint64 order[] = { 5, 3, 2, 1, 4 };
    for (guint i = 0; i < findings->len; i++)
        assert_int_equal(((const GbFinding *)findings->pdata[i])->number, order[i]);
}

static void a_finding_lacks_what_a_price_would_need(void **state)
{
    static const struct { GbFindingEdit edit; const char *lacks; } cases[] = {
        { { .shots = "4" }, "no cause, no action, no quantity" },
        { { .shots = "4", .cause = "hail", .action = "repair" }, "no quantity" },
        { { .shots = "4", .cause = "hail", .action = "none" }, NULL },
        { { .shots = "4", .cause = "hail", .action = "repair", .quantity = "12" }, NULL },
        { { .shots = "4", .cause = "hail", .action = "repair", .quantity = "=" }, "what its quantity follows is not measured" },
    };
    g_autoptr(GError) error = NULL;
    g_autoptr(GbLog) log = photographed(state);
    for (gsize i = 0; i < G_N_ELEMENTS(cases); i++)
        g_free(added(log, cases[i].edit));
    g_autoptr(GPtrArray) findings = gb_findings_load(log, &error);
    for (gsize i = 0; i < G_N_ELEMENTS(cases); i++) {
        g_autofree char *lacks = gb_finding_lacks(findings->pdata[i]);
        if (cases[i].lacks == NULL)
            assert_null(lacks);
        else
            assert_string_equal(lacks, cases[i].lacks);
    }
}

/* A gable roof of 40 x 30 ft at 6/12 over the dwelling, the ridge along the street. */
static GbRoof *gable_roof(const GPtrArray *places)
{
    g_autoptr(GError) error = NULL;
    GPtrArray *entries = g_ptr_array_new_with_free_func((GDestroyNotify)gb_roof_entry_free);
    GbRoofEntry *entry = gb_roof_entry_new(GB_ROOF_GABLE);
    static const struct { GbRoofGiven given; const char *text; } said[] = {
        { GB_GIVEN_WIDTH, "40 ft" }, { GB_GIVEN_DEPTH, "30 ft" }, { GB_GIVEN_PITCH, "6/12" },
    };
    for (gsize i = 0; i < G_N_ELEMENTS(said); i++)
        assert_true(gb_roof_entry_take(entry, said[i].given, said[i].text, &error));
    entry->structure = 1;
    entry->on_dwelling = TRUE;
    entry->structure_name = g_strdup("dwelling");
    for (guint i = 0; i < places->len; i++) {
        const GbPlace *place = places->pdata[i];
        if (place->kind == GB_PLACE_SLOPE && place->structure == 1)
            entry->places[place->face] = place->id;
    }
    g_ptr_array_add(entries, entry);
    GbRoofSettings settings;
    gb_roof_settings_init(&settings);
    return gb_roof_new(entries, &settings);
}

/* Source: a gable of 40 x 30 ft at 6/12 is 1341.64 sq ft, each slope 670.82; eaves 80 ft in all, rakes four of 16.771
 * ft, ridge 40 ft (recomputed). */
static void a_quantity_follows_the_roof_that_was_measured(void **state)
{
    static const struct { const char *place, *component, *quantity; double amount; GbUnit unit; const char *why; } cases[] = {
        { "front slope", "shingles", "=", 6.7082, GB_UNIT_SQ, NULL },
        { "roof", "shingles", "= area, SF", 1341.64, GB_UNIT_SF, NULL },
        { "roof", "shingles", "= area, SQ", 13.4164, GB_UNIT_SQ, NULL },
        { "roof", "drip edge", "=", 147.082, GB_UNIT_LF, NULL },
        { "rear slope", "drip", "= drip", 73.541, GB_UNIT_LF, NULL },
        { "rear", "gutter", "=", 40, GB_UNIT_LF, NULL },
        { "dwelling", "ridge vent", "=", 40, GB_UNIT_LF, NULL },
        { "roof", "shingles", "= hips", 0, GB_UNIT_LF, NULL },
        { "roof", "shingles", "= ridge, SQ", NAN, GB_UNIT_SQ, "'ridge' is measured in LF, which can't be had in SQ" },
        { "left slope", "shingles", "=", NAN, GB_UNIT_NONE, "no roof is measured there" },
        { "site", "shingles", "=", NAN, GB_UNIT_NONE, "say nothing of this place" },
        { "roof", "shingles", "= squares with waste", NAN, GB_UNIT_NONE, "no waste is set" },
    };
    g_autoptr(GError) error = NULL;
    g_autoptr(GbLog) log = photographed(state);
    for (gsize i = 0; i < G_N_ELEMENTS(cases); i++)
        g_free(added(log, (GbFindingEdit){ .place = cases[i].place, .component = cases[i].component, .quantity = cases[i].quantity }));
    g_autoptr(GPtrArray) findings = gb_findings_load(log, &error), places = gb_places_load(log, &error);
    g_autoptr(GbRoof) roof = gable_roof(places);
    gb_findings_follow(findings, places, roof);
    for (gsize i = 0; i < G_N_ELEMENTS(cases); i++) {
        const GbFinding *finding = gb_findings_by_number(findings, (gint64)i + 1);
        if (cases[i].why != NULL) {
            assert_true(isnan(finding->amount));
            assert_non_null(strstr(finding->not_followed, cases[i].why));
            continue;
        }
        assert_near(finding->amount, cases[i].amount, 0.01);
        assert_int_equal(finding->unit, cases[i].unit);
        assert_null(finding->not_followed);
    }
    g_autofree char *text = gb_finding_quantity_text(gb_findings_by_number(findings, 4));
    assert_string_equal(text, "147.08 LF (drip edge)");
    refused(state, log, (GbFindingEdit){ .place = "roof", .component = "shingles", .quantity = "= moss" }, GB_ERROR_UNKNOWN, "is no quantity of a roof");
}

static void a_finding_without_sense_in_the_database_is_refused(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbLog) log = photographed(state);
    g_free(added(log, (GbFindingEdit){ .shots = "4", .quantity = "12" }));
    sqlite3 *db = raw_connection(state);
    raw_exec(db, "PRAGMA ignore_check_constraints = 1; UPDATE finding SET unit = 'miles'");
    sqlite3_close(db);
    assert_null(gb_findings_load(log, &error));
    assert_error(error, GB_ERROR_DAMAGED, "a finding (1) that makes no sense");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        test_in_folder(a_finding_is_written_in_a_persons_words),
        test_in_folder(the_shots_tell_place_and_component_when_they_agree),
        test_in_folder(words_that_are_none_are_refused_and_nothing_is_changed),
        test_in_folder(a_change_says_only_what_is_said_and_an_empty_text_takes_back),
        test_in_folder(a_finding_taken_out_comes_back_by_undo_and_its_number_is_not_given_out_again),
        test_in_folder(the_import_of_a_proof_can_be_undone_after_the_finding),
        test_in_folder(the_history_names_the_place_of_a_finding),
        test_in_folder(a_place_with_a_finding_stays),
        test_in_folder(findings_lie_along_the_walk_and_then_by_number),
        test_in_folder(a_finding_lacks_what_a_price_would_need),
        test_in_folder(a_quantity_follows_the_roof_that_was_measured),
        test_in_folder(a_finding_without_sense_in_the_database_is_refused),
    };
    return cmocka_run_group_tests_name("finding", tests, NULL, NULL);
}
