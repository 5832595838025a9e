/* test_state.c -- seals: what finds a changed value, and what does not change them.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "claim_support.h"

#include <gablebook/history.h>
#include <gablebook/state.h>
#include <gablebook/tag.h>

static GbState sealed(GbLog *log)
{
    g_autoptr(GError) error = NULL;
    GbState state;
    gb_state_load(log, &state, &error);
    assert_no_error(error);
    return state;
}

static gboolean is_sound(GbLog *log)
{
    g_autoptr(GError) error = NULL;
    GbState state;
    gboolean sound;
    gb_state_check(log, &state, &sound, &error);
    assert_no_error(error);
    return sound;
}

static void tag(GbLog *log, const char *place)
{
    g_autoptr(GError) error = NULL;
    gb_tag(log, "1", &(GbTag){ .place = place }, NULL, &error);
    assert_no_error(error);
}

static void every_step_seals_another_state_and_all_are_sound(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbLog) log = new_claim(state);
    g_autoptr(GHashTable) seen = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL);
    enter_photos(log, 3);
    for (guint i = 0; i < 4; i++) {
        if (i < 2)
            tag(log, i == 0 ? "front" : "rear");
        else
            assert_true(i == 2 ? gb_history_undo(log, NULL, &error) : gb_history_redo(log, NULL, &error));
        GbState now = sealed(log);
        assert_int_equal(now.step, i + 2);
        assert_true(g_hash_table_add(seen, g_strdup(now.sha256)));
        assert_true(is_sound(log));
    }
}

/* One value of each kind in each table, changed behind the program's back, one after the other. */
static void any_changed_value_breaks_the_seal_and_putting_it_back_mends_it(void **state)
{
    g_autoptr(GbLog) log = new_claim(state);
    enter_photos(log, 3);
    tag(log, "front");
    static const struct {
        const char *change, *back;
    } cases[] = {
        { "UPDATE claim SET insured = 'X'", "UPDATE claim SET insured = NULL" },
        { "UPDATE claim SET insured = X'58' WHERE 0", NULL },
        { "UPDATE shot SET caption = 'Other' WHERE number = 2", "UPDATE shot SET caption = NULL WHERE number = 2" },
        { "UPDATE original SET lat_deg = 1, lon_deg = 1 WHERE id = 1", "UPDATE original SET lat_deg = NULL, lon_deg = NULL WHERE id = 1" },
        { "UPDATE original SET bytes = bytes + 1 WHERE id = 3", "UPDATE original SET bytes = bytes - 1 WHERE id = 3" },
        { "UPDATE history SET summary = summary || '.'", "UPDATE history SET summary = rtrim(summary, '.')" },
        { "UPDATE history_step SET who = who || 'x' WHERE id = 1", "UPDATE history_step SET who = rtrim(who, 'x') WHERE id = 1" },
        { "UPDATE history_part SET part = 7 WHERE history = 2", "UPDATE history_part SET part = 0 WHERE history = 2" },
        { "UPDATE seal SET sha256 = upper(sha256) WHERE step = 1", "UPDATE seal SET sha256 = lower(sha256) WHERE step = 1" },
        { "UPDATE seal SET parts = parts + 1 WHERE step = 2", "UPDATE seal SET parts = parts - 1 WHERE step = 2" },
        { "INSERT INTO waiver VALUES ('a', 'b', 'c', 1)", "DELETE FROM waiver" },
        { "UPDATE place SET room = 'front' WHERE 0", NULL },
    };
    sqlite3 *db = raw_connection(state);
    for (gsize i = 0; i < G_N_ELEMENTS(cases); i++) {
        raw_exec(db, cases[i].change);
        if (is_sound(log) != (cases[i].back == NULL))
            fail_msg("%s", cases[i].change);
        if (cases[i].back != NULL)
            raw_exec(db, cases[i].back);
        assert_true(is_sound(log));
    }
    sqlite3_close(db);
}

/* 1 and '1', '' and NULL, 'ab','c' and 'a','bc' must not hash alike. */
static void values_that_print_alike_seal_differently(void **state)
{
    g_autoptr(GbLog) log = new_claim(state);
    enter_photos(log, 1);
    sqlite3 *db = raw_connection(state);
    raw_exec(db, "UPDATE shot SET caption = 'ab', value = 'c' WHERE number = 1");
    tag(log, "front"); /* seals it as it is */
    assert_true(is_sound(log));
    raw_exec(db, "UPDATE shot SET caption = 'a', value = 'bc' WHERE number = 1");
    assert_false(is_sound(log));
    sqlite3_close(db);
}

static void a_state_is_known_while_the_log_remembers_it_and_no_other_is(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbLog) log = new_claim(state);
    enter_photos(log, 1);
    GbState before = sealed(log);
    tag(log, "front");
    gboolean known;
    assert_true(gb_state_known(log, &before, &known, &error) && known);
    before.sha256[0] = before.sha256[0] == '0' ? '1' : '0';
    assert_true(gb_state_known(log, &before, &known, &error) && !known);
}

/* A copy by SQLite's own means has the same rows on other pages. */
static void a_copy_is_sealed_like_its_source(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbLog) log = new_claim(state);
    enter_photos(log, 5);
    tag(log, "front");
    assert_true(gb_history_undo(log, NULL, &error));
    sqlite3 *db = raw_connection(state);
    raw_exec(db, "VACUUM");
    sqlite3_close(db);
    assert_true(is_sound(log));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        test_in_folder(every_step_seals_another_state_and_all_are_sound),
        test_in_folder(any_changed_value_breaks_the_seal_and_putting_it_back_mends_it),
        test_in_folder(values_that_print_alike_seal_differently),
        test_in_folder(a_state_is_known_while_the_log_remembers_it_and_no_other_is),
        test_in_folder(a_copy_is_sealed_like_its_source),
    };
    return cmocka_run_group_tests_name("state", tests, NULL, NULL);
}
