/* test_fact.c -- the verb fact: recording what is known, taking it back, and what stands on it.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "claim_support.h"

#include <gablebook/dossier.h>
#include <gablebook/error.h>
#include <gablebook/history.h>
#include <gablebook/structure.h>
#include <gablebook/tag.h>

static GbLog *claim_with_photos(void **state)
{
    GbLog *log = new_claim(state);
    enter_photos(log, 4);
    return log;
}

static char *said(GbLog *log, const char *place, const char *kind, GbFactEdit edit)
{
    g_autoptr(GError) error = NULL;
    char *summary = NULL;
    gb_fact_say(log, place, kind, &edit, &summary, &error);
    assert_no_error(error);
    return summary;
}

static void says(GbLog *log, const char *place, const char *kind, GbFactEdit edit, const char *wanted)
{
    g_autofree char *summary = said(log, place, kind, edit);
    assert_string_equal(summary, wanted);
}

static void refused(void **state, GbLog *log, const char *place, const char *kind, GbFactEdit edit, GbErrorCode code, const char *part)
{
    g_autoptr(GError) error = NULL;
    g_autofree char *before = dump_work(state), *summary = NULL;
    guint entries = history_length(log);
    assert_false(gb_fact_say(log, place, kind, &edit, &summary, &error));
    assert_error(error, (int)code, part);
    assert_null(summary);
    g_autofree char *after = dump_work(state);
    assert_string_equal(after, before);
    assert_int_equal(history_length(log), entries);
}

/* The one fact of the claim, BORROWED from the array. */
static const GbFact *only_fact(const GPtrArray *facts)
{
    assert_int_equal(facts->len, 1);
    return facts->pdata[0];
}

static GPtrArray *loaded(GbLog *log)
{
    g_autoptr(GError) error = NULL;
    GPtrArray *facts = gb_facts_load(log, &error);
    assert_no_error(error);
    return facts;
}

static void a_fact_is_kept_as_written_beside_what_it_means(void **state)
{
    g_autoptr(GbLog) log = claim_with_photos(state);
    says(log, "front slope", "pitch", (GbFactEdit){ .value = " 7 1/2:12 ", .shots = "4, 2" },
         "front slope: Pitch 7 1/2:12 (7.5/12, 32.0°), measured; shots 2, 4");
    g_autoptr(GPtrArray) facts = loaded(log);
    const GbFact *fact = only_fact(facts);
    assert_string_equal(fact->written, "7 1/2:12");
    assert_near(fact->low, 7.5, 1e-12);
    assert_near(fact->high, 7.5, 1e-12);
    assert_null(fact->choice);
    assert_int_equal(fact->how, GB_HOW_MEASURED);
    assert_int_equal(fact->shots->len, 2);
    assert_int_equal(g_array_index(fact->shots, gint64, 0), 2); /* rising, however they were named */
}

static void ranges_open_ends_and_choices_are_read_back_as_they_were(void **state)
{
    g_autoptr(GbLog) log = claim_with_photos(state);
    g_free(said(log, "roof", "age of the covering", (GbFactEdit){ .value = "over 20", .note = "owner, on site" }));
    g_free(said(log, "roof", "covering", (GbFactEdit){ .value = "lam asph" }));
    g_free(said(log, "roof", "hazards", (GbFactEdit){ .value = "loose tiles <above> the \"door\"" }));
    g_autoptr(GPtrArray) facts = loaded(log);
    const GbFact *age = gb_facts_at(facts, ((const GbFact *)facts->pdata[0])->place, "covering-age");
    const GbFact *covering = gb_facts_at(facts, age->place, "covering"), *hazards = gb_facts_at(facts, age->place, "hazards");
    assert_near(age->low, 20, 0);
    assert_true(isnan(age->high));
    assert_string_equal(age->note, "owner, on site");
    assert_int_equal(age->how, GB_HOW_TOLD);
    assert_string_equal(covering->written, "lam asph");
    assert_string_equal(covering->choice, "laminated asphalt shingle");
    assert_true(isnan(covering->low));
    assert_string_equal(hazards->written, "loose tiles <above> the \"door\"");
}

static void saying_it_again_changes_only_what_is_said(void **state)
{
    g_autoptr(GbLog) log = claim_with_photos(state);
    g_free(said(log, "roof", "layers", (GbFactEdit){ .value = "1", .shots = "1", .note = "at the rake", .how = "est" }));
    says(log, "roof", "layers", (GbFactEdit){ .value = "2" }, "roof: Layers 2, estimated; shot 1; at the rake");
    says(log, "roof", "layers", (GbFactEdit){ .how = "" }, "roof: Layers 2, counted; shot 1; at the rake");
    says(log, "roof", "layers", (GbFactEdit){ .shots = "" }, "roof: Layers 2, counted; at the rake");
    says(log, "roof", "layers", (GbFactEdit){ .note = "" }, "roof: Layers 2, counted");
    g_autoptr(GPtrArray) facts = loaded(log);
    only_fact(facts);
}

/* A claim has one roof on its house: nobody should have to know whether a fact is the house's or the roof's. */
static void a_fact_goes_home_to_the_structure_or_the_roof_it_belongs_to(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbLog) log = claim_with_photos(state);
    says(log, "dwelling", "covering", (GbFactEdit){ .value = "slate" }, "roof: Roof covering slate, seen");
    says(log, "roof", "storeys", (GbFactEdit){ .value = "2" }, "dwelling: Storeys 2, counted");
    says(log, "left slope", "ridge vent", (GbFactEdit){ .value = "none" }, "roof: Ridge vent none, seen");
    says(log, "front", "siding kind", (GbFactEdit){ .value = "brick" }, "front: Siding kind brick, seen");
    assert_true(gb_structure_edit(log, &(GbStructureEdit){ .name = "fence" }, NULL, &error));
    refused(state, log, "fence", "covering", (GbFactEdit){ .value = "slate" }, GB_ERROR_STATE,
            "'Roof covering' is said of a roof or a slope, and 'fence' is none");
    refused(state, log, "front", "pitch", (GbFactEdit){ .value = "6/12" }, GB_ERROR_STATE, "'front' is none");
    refused(state, log, "site", "storeys", (GbFactEdit){ .value = "2" }, GB_ERROR_STATE, "'site' is none");
}

static void what_can_not_be_understood_changes_nothing(void **state)
{
    g_autoptr(GbLog) log = claim_with_photos(state);
    g_autofree char *longer = g_strnfill(201, 'w');
    refused(state, log, "roof", "pich", (GbFactEdit){ .value = "6/12" }, GB_ERROR_UNKNOWN, "nearest: 'Pitch'");
    refused(state, log, "rof", "pitch", (GbFactEdit){ .value = "6/12" }, GB_ERROR_UNKNOWN, "'rof' is no place");
    refused(state, log, "roof", "pitch", (GbFactEdit){ .value = "6" }, GB_ERROR_SYNTAX, "Pitch: '6' is no clear pitch");
    refused(state, log, "roof", "pitch", (GbFactEdit){ .value = " " }, GB_ERROR_SYNTAX, "the value is empty");
    refused(state, log, "roof", "pitch", (GbFactEdit){ .how = "measured" }, GB_ERROR_STATE, "roof: Pitch is not recorded yet: give its value");
    refused(state, log, "roof", "pitch", (GbFactEdit){ .value = "6/12", .how = "guessed" }, GB_ERROR_UNKNOWN, "'guessed' is no way of knowing");
    refused(state, log, "roof", "pitch", (GbFactEdit){ .value = "6/12", .shots = "9" }, GB_ERROR_UNKNOWN, "there is no shot 9");
    refused(state, log, "roof", "hazards", (GbFactEdit){ .value = longer }, GB_ERROR_TOO_LARGE, "at most 200");
}

static void a_fact_is_taken_back_once(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbLog) log = claim_with_photos(state);
    g_autofree char *before = dump_work(state), *summary = NULL;
    g_free(said(log, "roof", "pitch", (GbFactEdit){ .value = "6/12", .shots = "1-3" }));
    assert_true(gb_fact_drop(log, "dwelling", "pitch", &summary, &error));
    assert_string_equal(summary, "roof: Pitch taken back");
    g_autofree char *after = dump_work(state);
    assert_string_equal(after, before);
    assert_false(gb_fact_drop(log, "roof", "pitch", NULL, &error));
    assert_error(error, GB_ERROR_STATE, "roof: Pitch is not recorded");
}

static void every_change_of_a_fact_is_one_entry_that_undo_takes_away_and_redo_brings_back(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbLog) log = claim_with_photos(state);
    g_autofree char *start = dump_work(state);
    guint entries = history_length(log);
    g_free(said(log, "roof", "pitch", (GbFactEdit){ .value = "6/12", .shots = "1, 2" }));
    g_autofree char *first = dump_work(state);
    g_free(said(log, "roof", "pitch", (GbFactEdit){ .value = "8/12", .shots = "2, 3" }));
    g_autofree char *second = dump_work(state);
    assert_int_equal(history_length(log), entries + 2);
    assert_undo_brings_back(state, log, first);
    assert_undo_brings_back(state, log, start);
    assert_true(gb_history_redo(log, NULL, &error) && gb_history_redo(log, NULL, &error));
    g_autofree char *again = dump_work(state);
    assert_string_equal(again, second);
    g_autoptr(GPtrArray) values = gb_history_values(log, entries + 1, &error);
    assert_no_error(error);
    gboolean place = FALSE;
    for (guint i = 0; i < values->len; i++) {
        const GbHistoryValue *value = values->pdata[i];
        place = place || (strcmp(value->table, "fact") == 0 && strcmp(value->column, "place") == 0 && strcmp(value->after, "roof") == 0);
    }
    assert_true(place); /* the place by its name, not its number */
}

static void a_structure_that_something_is_known_of_stays(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbLog) log = claim_with_photos(state);
    assert_true(gb_structure_edit(log, &(GbStructureEdit){ .name = "garage", .elevations = "all", .slopes = "left" }, NULL, &error));
    g_free(said(log, "garage roof", "covering", (GbFactEdit){ .value = "slate" }));
    g_free(said(log, "garage roof", "layers", (GbFactEdit){ .value = "1" }));
    assert_false(gb_structure_drop(log, "garage", &error));
    assert_error(error, GB_ERROR_STATE, "'garage roof' still has 2 facts: take them back first");
    assert_false(gb_structure_edit(log, &(GbStructureEdit){ .name = "garage", .slopes = "none" }, NULL, &error));
    assert_error(error, GB_ERROR_STATE, "'garage roof' still has 2 facts");
    assert_true(gb_fact_drop(log, "garage roof", "covering", NULL, &error));
    assert_true(gb_fact_drop(log, "garage roof", "layers", NULL, &error));
    assert_true(gb_structure_drop(log, "garage", &error));
}

static void write_own_list(GbLog *log, const char *text)
{
    g_autofree char *folder = gb_log_path(log, "templates", NULL), *path = gb_log_path(log, "templates", "facts.ini", NULL);
    assert_int_equal(g_mkdir_with_parents(folder, 0700), 0);
    assert_true(g_file_set_contents(path, text, -1, NULL));
}

static void a_claims_own_kinds_are_used_and_one_that_was_lost_can_be_taken_back(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbLog) log = claim_with_photos(state);
    write_own_list(log, "[cupola]\nname = Cupolas\nvalue = count\nwhere = roof\n");
    says(log, "roof", "cup", (GbFactEdit){ .value = "2" }, "roof: Cupolas 2, seen");
    write_own_list(log, "[pitch]\nplain = Ours.\n");
    g_autoptr(GbDossier) dossier = gb_dossier_load(log, &error);
    assert_no_error(error);
    const GbKnown *lost = dossier->known->facts->pdata[0];
    assert_null(lost->kind);
    assert_string_equal(lost->name, "cupola");
    assert_string_equal(lost->shown, "2");
    refused(state, log, "roof", "cupola", (GbFactEdit){ .value = "3" }, GB_ERROR_UNKNOWN, "'cupola' is no fact");
    assert_true(gb_fact_drop(log, "roof", "cupola", NULL, &error));
    write_own_list(log, "[pitch]\nvalue = steep\n");
    g_autoptr(GbDossier) spoilt = gb_dossier_load(log, &error);
    assert_null(spoilt);
    assert_error(error, GB_ERROR_SYNTAX, "facts.ini:2: 'steep' is no kind of value");
}

/* A claim may come from anywhere. */
static void a_fact_that_makes_no_sense_is_refused_not_believed(void **state)
{
    g_autoptr(GError) error = NULL;
    gb_log_free(claim_with_photos(state));
    sqlite3 *db = raw_connection(state);
    raw_exec(db, "DROP TABLE fact; CREATE TABLE fact (id INTEGER PRIMARY KEY, place, kind, value, number, number_to, choice, how, note);"
                 "INSERT INTO fact (place, kind, value, how) VALUES (7, 'pitch', '6/12', 'dreamt')");
    sqlite3_close(db);
    g_autoptr(GbLog) log = open_claim(state);
    assert_null(gb_facts_load(log, &error));
    assert_error(error, GB_ERROR_DAMAGED, "a fact that makes no sense");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        test_in_folder(a_fact_is_kept_as_written_beside_what_it_means),
        test_in_folder(ranges_open_ends_and_choices_are_read_back_as_they_were),
        test_in_folder(saying_it_again_changes_only_what_is_said),
        test_in_folder(a_fact_goes_home_to_the_structure_or_the_roof_it_belongs_to),
        test_in_folder(what_can_not_be_understood_changes_nothing),
        test_in_folder(a_fact_is_taken_back_once),
        test_in_folder(every_change_of_a_fact_is_one_entry_that_undo_takes_away_and_redo_brings_back),
        test_in_folder(a_structure_that_something_is_known_of_stays),
        test_in_folder(a_claims_own_kinds_are_used_and_one_that_was_lost_can_be_taken_back),
        test_in_folder(a_fact_that_makes_no_sense_is_refused_not_believed),
    };
    return cmocka_run_group_tests_name("fact", tests, NULL, NULL);
}
