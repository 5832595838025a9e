/* test_leaving.c -- the list for the driveway: what is in it, in which order, and when one may go.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "claim_support.h"

#include <gablebook/edit.h>
#include <gablebook/error.h>
#include <gablebook/leaving.h>
#include <gablebook/structure.h>
#include <gablebook/tag.h>
#include <gablebook/waive.h>

/* A claim with a checklist of its own. */
static GbLog *claim_with(void **state, const char *checklist)
{
    g_autoptr(GError) error = NULL;
    GbLog *log = new_claim(state);
    g_autofree char *folder = gb_log_path(log, "templates", "checklists", NULL), *path = g_build_filename(folder, "own.ini", NULL);
    g_autofree char *text = g_strconcat("[checklist]\nname = Own\n", checklist, NULL);
    assert_int_equal(g_mkdir_with_parents(folder, 0755), 0);
    assert_true(g_file_set_contents(path, text, -1, NULL));
    gb_edit(log, &(GbEdit){ .checklist = "own" }, &error);
    assert_no_error(error);
    gb_structure_edit(log, &(GbStructureEdit){ .name = "garage", .elevations = "front", .slopes = "left" }, NULL, &error);
    assert_no_error(error);
    enter_photos(log, 6);
    return log;
}

static GbDossier *load(GbLog *log)
{
    g_autoptr(GError) error = NULL;
    GbDossier *dossier = gb_dossier_load(log, &error);
    assert_no_error(error);
    return dossier;
}

/* "stop: todo" a line; advised ones begin with "(". OWNED by the caller. */
static char *text_of(const GPtrArray *items)
{
    GString *text = g_string_new(NULL);
    for (guint i = 0; i < items->len; i++) {
        const GbLeavingItem *item = items->pdata[i];
        g_string_append_printf(text, "%s%s: %s\n", item->required ? "" : "(", item->stop, item->todo);
    }
    return g_string_free(text, FALSE);
}

static void assert_list(GbLog *log, const char *wanted, gboolean ready)
{
    g_autoptr(GbDossier) dossier = load(log);
    g_autoptr(GPtrArray) items = gb_leaving(dossier);
    g_autofree char *text = text_of(items);
    assert_string_equal(text, wanted);
    assert_int_equal(gb_leaving_ready(items), ready);
}

#define WALK                                                                                                                \
    "[s]\nwhat = S\nwhere = each slope\nsubjects = overview\n[a]\nwhat = A\nwhere = each structure\nsubjects = gutter\n"           \
    "[e]\nwhat = E\nwhere = each elevation\nsubjects = overview\n[r]\nwhat = R\nwhere = each room\n[o]\nwhat = O\nwhere = once\n"   \
    "subjects = address\nlevel = advised\n[p]\nwhat = P\nwhere = each elevation\nstructures = garage\nlevel = advised\n"

static void the_walk_goes_front_right_rear_left_round_all_structures_then_in_then_up(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbLog) log = claim_with(state, WALK);
    gb_structure_edit(log, &(GbStructureEdit){ .name = "dwelling", .rooms = "attic" }, NULL, &error);
    assert_no_error(error);
    assert_list(log, "(The claim: o: no shot\n"
                "Front elevation: e, front: no shot\nRight elevation: e, right: no shot\nRear elevation: e, rear: no shot\n"
                "Left elevation: e, left: no shot\nDwelling: a, dwelling: no shot\n"
                "Garage: front elevation: e, garage front: no shot\n(Garage: front elevation: p, garage front: no shot\nGarage: a, garage: no shot\n"
                "Attic: r, attic: no shot\n"
                "Front slope: s, front slope: no shot\nRight slope: s, right slope: no shot\nRear slope: s, rear slope: no shot\n"
                "Left slope: s, left slope: no shot\nGarage: left slope: s, garage left slope: no shot\n", FALSE);
}

static void what_is_there_waived_or_only_advised_does_not_hold_up(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbLog) log = claim_with(state, "[a]\nwhat = A\nwhere = once\nsubjects = address\n[g]\nwhat = G\nwhere = once\nsubjects = gutter\n"
                                             "[w]\nwhat = W\nwhere = once\nsubjects = weather\nlevel = advised\n");
    assert_list(log, "The claim: a: no shot\nThe claim: g: no shot\n(The claim: w: no shot\n", FALSE);
    gb_tag(log, "1", &(GbTag){ .place = "site", .subject = "address" }, NULL, &error);
    assert_no_error(error);
    gb_waive(log, "g", "no gutters", NULL, &error);
    assert_no_error(error);
    assert_list(log, "(The claim: w: no shot\n", TRUE);
}

#define FINDINGS                                                                                                     \
    "[c]\nwhat = C\nwhere = each finding\ndistances = close-up\n[m]\nwhat = M\nwhere = each finding\ndistances = mid-range\nlevel = advised\n" \
    "[w]\nwhat = W\nwhere = each finding\nwritten = yes\nlevel = advised\n"

static void a_finding_without_a_photo_stands_in_the_list_once(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbLog) log = claim_with(state, FINDINGS);
    gb_finding_add(log, &(GbFindingEdit){ .place = "rear slope", .component = "shingles", .action = "none" }, NULL, NULL, &error);
    assert_no_error(error);
    assert_list(log, "Rear slope: finding 1, Shingles: no photo proves it; overview, mid-range, close-up\n", FALSE);
}

static void what_only_a_tape_can_tell_is_asked_for_and_desk_work_is_not(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbLog) log = claim_with(state, FINDINGS);
    gb_tag(log, "1,2", &(GbTag){ .place = "front", .subject = "gutter damage", .distance = "close-up" }, NULL, &error);
    gb_tag(log, "2", &(GbTag){ .distance = "mid-range" }, NULL, &error);
    assert_no_error(error);
    assert_list(log, "", TRUE); /* photographed from near and less near; that no finding names it yet is for the desk */
    gb_finding_add(log, &(GbFindingEdit){ .shots = "1,2" }, NULL, NULL, &error);
    assert_no_error(error);
    assert_list(log, "(Front elevation: finding 1, Gutter: measure or count it; it has no quantity\n", TRUE);
    gb_finding_change(log, 1, &(GbFindingEdit){ .quantity = "40" }, NULL, &error);
    assert_no_error(error);
    assert_list(log, "", TRUE); /* cause and action can be said at the desk */
}

static void the_json_groups_by_stop(void **state)
{
    g_autoptr(GbLog) log = claim_with(state, WALK);
    g_autoptr(GbDossier) dossier = load(log);
    g_autoptr(GPtrArray) items = gb_leaving(dossier);
    json_t *json = gb_leaving_json(items);
    const json_t *stops = json_object_get(json, "stops"), *last = json_array_get(stops, json_array_size(stops) - 1);
    assert_true(json_is_false(json_object_get(json, "ready")));
    assert_string_equal(json_string_value(json_object_get(last, "title")), "Garage: left slope");
    assert_true(json_is_true(json_object_get(last, "on_roof")));
    assert_int_equal(json_array_size(json_object_get(last, "todo")), 1);
    json_decref(json);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        test_in_folder(the_walk_goes_front_right_rear_left_round_all_structures_then_in_then_up),
        test_in_folder(what_is_there_waived_or_only_advised_does_not_hold_up),
        test_in_folder(a_finding_without_a_photo_stands_in_the_list_once),
        test_in_folder(what_only_a_tape_can_tell_is_asked_for_and_desk_work_is_not),
        test_in_folder(the_json_groups_by_stop),
    };
    return cmocka_run_group_tests_name("leaving", tests, NULL, NULL);
}
