/* test_desk.c -- many claims: which are found, what is told of them, and that what was seen before is believed only as long as it holds.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "claim_support.h"

#include <gablebook/desk.h>
#include <gablebook/edit.h>
#include <gablebook/error.h>
#include <gablebook/history.h>
#include <gablebook/new.h>
#include <glib/gstdio.h>
#include <unistd.h>

/* FOLDER/desk/NAME, a claim with n photos. Path OWNED by the caller. */
static char *add_claim(void **state, const char *name, const char *inspected, guint n)
{
    g_autoptr(GError) error = NULL;
    g_autofree char *path = g_build_filename(*state, "desk", name, NULL), *above = g_path_get_dirname(path);
    assert_int_equal(g_mkdir_with_parents(above, 0755), 0);
    g_autoptr(GbLog) log = gb_new(path, &(GbEdit){ .inspection_date = inspected, .insured = name }, &error);
    assert_no_error(error);
    if (n > 0)
        enter_photos(log, n);
    return g_steal_pointer(&path);
}

static void edit_claim(const char *path, const char *insured)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbLog) log = gb_log_open(path, GB_LOG_WRITE, &error);
    assert_no_error(error);
    assert_true(gb_edit(log, &(GbEdit){ .insured = insured }, &error));
}

static GbDesk *load(void **state, gboolean anew)
{
    g_autoptr(GError) error = NULL;
    g_autofree char *dir = g_build_filename(*state, "desk", NULL);
    GbDesk *desk = gb_desk_load(dir, anew, &error);
    assert_no_error(error);
    return desk;
}

static const GbDeskClaim *claim_of(const GbDesk *desk, const char *name)
{
    for (guint i = 0; i < desk->claims->len; i++) {
        const GbDeskClaim *claim = desk->claims->pdata[i];
        if (strcmp(claim->name, name) == 0)
            return claim;
    }
    fail_msg("%s is not on the desk", name);
    return NULL;
}

static void put(const char *folder, const char *name, const char *text)
{
    g_autofree char *path = g_build_filename(folder, name, NULL), *in = g_path_get_dirname(path);
    assert_int_equal(g_mkdir_with_parents(in, 0755), 0);
    assert_true(g_file_set_contents(path, text, -1, NULL));
}

static void claims_are_found_to_the_fourth_level_but_not_in_claims_links_or_hidden_folders(void **state)
{
    g_autofree char *a = add_claim(state, "a", NULL, 0), *deep = add_claim(state, "1/2/3/d", NULL, 0);
    g_autofree char *too_deep = add_claim(state, "1/2/3/4/e", NULL, 0), *hidden = add_claim(state, ".trash/h", NULL, 0);
    g_autofree char *inside = add_claim(state, "a/reports/x", NULL, 0), *link = g_build_filename(*state, "desk", "z", NULL);
    assert_int_equal(symlink("a", link), 0);
    g_autoptr(GbDesk) desk = load(state, FALSE);
    assert_int_equal(desk->claims->len, 2);
    claim_of(desk, "a");
    claim_of(desk, "1/2/3/d");
}

static void a_claim_is_its_own_desk_and_a_folder_without_claims_an_empty_one(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autofree char *path = add_claim(state, "a", NULL, 0), *empty = g_build_filename(path, "reports", NULL);
    g_autofree char *nowhere = g_build_filename(path, "nowhere", NULL), *file = g_build_filename(path, "claim.db", NULL);
    g_autoptr(GbDesk) one = gb_desk_load(path, FALSE, &error);
    g_autoptr(GbDesk) none = gb_desk_load(empty, FALSE, &error);
    assert_int_equal(one->claims->len, 1);
    assert_string_equal(((const GbDeskClaim *)one->claims->pdata[0])->name, ".");
    assert_int_equal(none->claims->len, 0);
    assert_null(gb_desk_load(nowhere, FALSE, &error));
    assert_error(error, GB_ERROR_IO, "there is no such folder");
    assert_null(gb_desk_load(file, FALSE, &error));
    assert_error(error, GB_ERROR_IO, "is no folder");
}

static void what_is_told_of_a_claim_is_what_its_check_says(void **state)
{
    g_autofree char *path = add_claim(state, "a", "2026-05-14", 3);
    g_autoptr(GbDesk) desk = load(state, FALSE);
    const GbDeskClaim *claim = claim_of(desk, "a");
    assert_null(claim->fault);
    assert_int_equal(claim->shots, 3);
    assert_int_equal(claim->unplaced, 3);
    assert_true(claim->missing > 0);
    assert_false(claim->complete);
    assert_string_equal(claim->first_missing, "address");
    assert_string_equal(claim->insured, "a");
    assert_true(claim->changed_utc_s > 0);
    assert_int_equal(gb_desk_age_days(claim, 1778716800 + 3 * 86400 + 5), 3); /* 2026-05-14T00:00:00Z */
    assert_int_equal(gb_desk_age_days(claim, 1778716800 - 5), -1);
}

static void a_claim_is_looked_into_again_only_when_it_changed(void **state)
{
    g_autofree char *a = add_claim(state, "a", NULL, 1), *b = add_claim(state, "b", NULL, 1);
    g_autoptr(GbDesk) first = load(state, FALSE);
    g_autoptr(GbDesk) second = load(state, FALSE);
    assert_int_equal(first->looked_into, 2);
    assert_int_equal(second->looked_into, 0);
    json_t *one = gb_desk_json(first, 1800000000), *two = gb_desk_json(second, 1800000000);
    assert_true(json_equal(one, two)); /* nothing is lost between */
    json_decref(one);
    json_decref(two);
    edit_claim(b, "Someone Else");
    g_autoptr(GbDesk) third = load(state, FALSE);
    g_autoptr(GbDesk) anew = load(state, TRUE);
    assert_int_equal(third->looked_into, 1);
    assert_string_equal(claim_of(third, "b")->insured, "Someone Else");
    assert_int_equal(anew->looked_into, 2);
}

static void a_claim_s_own_checklist_counts_as_a_change_and_a_claim_that_went_is_forgotten(void **state)
{
    g_autofree char *a = add_claim(state, "a", NULL, 1), *b = add_claim(state, "b", NULL, 1);
    gb_desk_free(load(state, FALSE));
    put(a, "templates/checklists/exterior-wind-hail.ini", "[checklist]\nname = Mine\n[one]\nwhat = One\nwhere = once\n");
    g_autoptr(GbDesk) desk = load(state, FALSE);
    assert_int_equal(desk->looked_into, 1);
    assert_int_equal(claim_of(desk, "a")->missing + claim_of(desk, "a")->there, 1);
    remove_tree(b);
    g_autoptr(GbDesk) after = load(state, FALSE);
    assert_int_equal(after->claims->len, 1);
    assert_int_equal(after->looked_into, 0);
}

static void a_claim_that_cant_be_opened_is_there_with_its_fault_and_is_tried_again(void **state)
{
    g_autofree char *good = add_claim(state, "good", NULL, 1), *bad = g_build_filename(*state, "desk", "bad", NULL);
    put(bad, "claim.db", "this is no database, but it is long enough to have a header of one");
    g_autoptr(GbDesk) desk = load(state, FALSE);
    assert_int_equal(desk->claims->len, 2);
    assert_non_null(claim_of(desk, "bad")->fault);
    assert_null(strstr(claim_of(desk, "bad")->fault, *state)); /* the folder is told once, by its name */
    g_autoptr(GbDesk) again = load(state, FALSE);
    assert_int_equal(again->looked_into, 1);
}

static void rubbish_in_the_cache_costs_time_and_nothing_else(void **state)
{
    static const char *const rubbish[] = { "", "{", "[]", "{\"program\": 3, \"seen\": 4}", "{\"program\": \"x\", \"seen\": {\"a\": {}}}" };
    g_autofree char *a = add_claim(state, "a", NULL, 1), *folder = g_build_filename(g_get_user_cache_dir(), "gablebook", "desk", NULL);
    for (gsize i = 0; i < G_N_ELEMENTS(rubbish); i++) {
        gb_desk_free(load(state, FALSE));
        g_autoptr(GDir) dir = g_dir_open(folder, 0, NULL);
        for (const char *name; (name = g_dir_read_name(dir)) != NULL;)
            put(folder, name, rubbish[i]);
        g_autoptr(GbDesk) desk = load(state, FALSE);
        assert_int_equal(desk->looked_into, 1);
        assert_string_equal(claim_of(desk, "a")->insured, "a");
    }
}

static void those_that_lack_something_come_first_and_of_these_the_oldest(void **state)
{
    g_autofree char *unknown = add_claim(state, "a", NULL, 0), *young = add_claim(state, "b", "2026-05-14", 0);
    g_autofree char *old = add_claim(state, "c", "2026-04-01", 0), *complete = add_claim(state, "d", "2020-01-01", 0);
    put(complete, "templates/checklists/exterior-wind-hail.ini", "[checklist]\nname = Mine\n[one]\nwhat = One\nwhere = once\nlevel = advised\n");
    g_autoptr(GbDesk) desk = load(state, FALSE);
    static const char *const order[] = { "c", "b", "a", "d" };
    for (guint i = 0; i < 4; i++)
        assert_string_equal(((const GbDeskClaim *)desk->claims->pdata[i])->name, order[i]);
}

static void names_are_text_on_the_page_and_never_mark_up(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autofree char *path = add_claim(state, "a<b>", NULL, 0), *page = g_build_filename(*state, "desk.html", NULL);
    edit_claim(path, "<script>alert(1)</script>");
    g_autoptr(GbDesk) desk = load(state, FALSE);
    assert_true(gb_desk_write_html(desk, 1800000000, page, &error));
    g_autofree char *html = slurp(page);
    assert_null(strstr(html, "<script"));
    assert_non_null(strstr(html, "a&lt;b&gt;"));
    assert_non_null(strstr(html, "&lt;script&gt;"));
}

/* Reference: the Nu HTML checker. */
static void the_page_is_valid_HTML(void **state)
{
    const char *jar = g_getenv("GB_VNU");
    if (jar == NULL || !g_file_test(jar, G_FILE_TEST_EXISTS) || !have_program("java"))
        skip();
    g_autofree char *path = add_claim(state, "a", "2026-05-14", 2), *bad = g_build_filename(*state, "desk", "bad", NULL);
    g_autofree char *page = g_build_filename(*state, "desk.html", NULL), *out = NULL, *err = NULL;
    put(bad, "claim.db", "rubbish");
    g_autoptr(GbDesk) desk = load(state, FALSE);
    assert_true(gb_desk_write_html(desk, 1800000000, page, NULL));
    const char *argv[] = { "java", "-jar", jar, "--Werror", page, NULL };
    if (run(argv, &out, &err) != 0)
        fail_msg("%s%s", out, err);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        test_in_folder(claims_are_found_to_the_fourth_level_but_not_in_claims_links_or_hidden_folders),
        test_in_folder(a_claim_is_its_own_desk_and_a_folder_without_claims_an_empty_one),
        test_in_folder(what_is_told_of_a_claim_is_what_its_check_says),
        test_in_folder(a_claim_is_looked_into_again_only_when_it_changed),
        test_in_folder(a_claim_s_own_checklist_counts_as_a_change_and_a_claim_that_went_is_forgotten),
        test_in_folder(a_claim_that_cant_be_opened_is_there_with_its_fault_and_is_tried_again),
        test_in_folder(rubbish_in_the_cache_costs_time_and_nothing_else),
        test_in_folder(those_that_lack_something_come_first_and_of_these_the_oldest),
        test_in_folder(names_are_text_on_the_page_and_never_mark_up),
        test_in_folder(the_page_is_valid_HTML),
    };
    g_autofree char *cache = g_dir_make_tmp("gablebook-test-XXXXXX", NULL);
    g_setenv("XDG_CACHE_HOME", cache, TRUE); /* before anything asks for it */
    int failed = cmocka_run_group_tests(tests, NULL, NULL);
    remove_tree(cache);
    return failed;
}
