/* test_office.c -- desk and each as a user meets them.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "../e2e_support.h"

static void says_at(void **state, const char *script, int status, const char *part, int line)
{
    g_autofree char *out = NULL, *err = NULL, *whole = g_strconcat("export XDG_CACHE_HOME=$PWD/cache; ", script, NULL);
    int seen = sh(*state, &out, &err, whole);
    g_autofree char *both = g_strconcat(out, err, NULL);
    if (seen != status) {
        print_error("%s: exit status %d, wanted %d; it said:\n%s\n", script, seen, status, both);
        _fail(__FILE__, line);
    }
    assert_has_at(both, part, __FILE__, line);
}
#define says(state, script, status, part) says_at((state), (script), (status), (part), __LINE__)

/* FOLDER/claims: one with a photo and much missing, one complete, one that is no claim. */
static int setup_claims(void **state)
{
    if (setup_folder(state) != 0)
        return 1;
    make_card(*state, "card", 1, 32);
    return sh(*state, NULL, NULL,
        "mkdir -p claims/bad set/checklists && printf 'no database' > claims/bad/claim.db &&"
        " printf '[checklist]\\nname = Easy\\n[one]\\nwhat = One\\nwhere = once\\nlevel = advised\\n' > set/checklists/easy.ini &&"
        " gablebook new claims/a --insured 'Ada Quill' && gablebook import claims/a card && gablebook new claims/b --set ./set");
}
#define test_with_claims(f) cmocka_unit_test_setup_teardown(f, setup_claims, teardown_folder)

static void the_desk_tells_what_each_claim_lacks(void **state)
{
    says(state, "gablebook desk claims", 1, "3 claims in claims, 1 complete.\n");
    says(state, "gablebook desk claims", 1, "Ada Quill");
    says(state, "gablebook desk claims | grep '^a '", 0, "LACKS ");
    says(state, "gablebook desk claims | grep '^b '", 0, "complete");
    says(state, "gablebook desk claims | grep '^bad '", 0, "FAULT");
    says(state, "rm -r claims/a claims/bad && gablebook desk claims", 0, "1 claim in claims, 1 complete.\n");
    says(state, "gablebook desk card", 0, "0 claims in card");
    says(state, "gablebook desk nope", 2, "nope: there is no such folder");
}

static void the_desk_as_a_page_is_one_file_without_addresses_elsewhere(void **state)
{
    says(state, "gablebook desk claims --html desk.html", 1, "desk.html\n");
    says(state, "grep -c 'https\\?://' desk.html || cat desk.html", 0, "Ada Quill");
    says(state, "gablebook edit claims/b --claim-number 47-11 && gablebook desk claims --html desk.html; cat desk.html", 0, "47-11"); /* no insured */
    says(state, "cat desk.html", 0, "Claims: 3. Lacking something: 1; complete: 1; could not be opened: 1.");
    says(state, "gablebook desk claims --html nope/desk.html", 2, "nope/desk.html");
}

/* The cache may be anywhere that can't be written to. */
static void without_a_cache_the_desk_still_answers(void **state)
{
    says(state, "touch full; XDG_CACHE_HOME=$PWD/full gablebook desk claims", 1, "Ada Quill");
}

static void each_runs_over_all_claims_and_one_that_fails_stops_no_other(void **state)
{
    says(state, "gablebook each claims -- check", 2, "> ERROR  claims/bad: ");
    says(state, "gablebook each claims -- check", 2, "  done   claims/b: Easy: ");
    says(state, "gablebook each claims -- check", 2, "> LOOK   claims/a: Exterior, wind and hail: ");
    says(state, "gablebook each claims -- check", 2, "check: 3 claims, 1 done, 1 to look at, 1 with errors.\n");
    says(state, "rm -r claims/bad; gablebook each claims -- check --short", 1, "check: 2 claims, 1 done, 1 to look at, 0 with errors.\n");
    says(state, "gablebook each claims --full -- check", 1, "MISSING address");
    says(state, "gablebook each claims -- report && ls claims/*/reports", 0, "photo-report.html");
    says(state, "gablebook each claims -- verify", 0, "verify: 2 claims, 2 done");
    says(state, "gablebook each claims -- export && ls claims", 0, "a.claim.zip");
}

static void each_finds_the_claim_whose_original_was_changed(void **state)
{
    says(state, "rm -r claims/bad; for f in claims/a/originals/*; do chmod u+w $f; printf x >> $f; done; gablebook each claims -- verify", 1,
         "> LOOK   claims/a: ");
    says(state, "gablebook each claims -- verify", 1, "  done   claims/b: Sound");
}

static void each_runs_nothing_that_changes_claims(void **state)
{
    static const char *const words[] = { "tag", "undo", "import", "edit", "waive", "structure", "new", "each", "sh" };
    for (gsize i = 0; i < G_N_ELEMENTS(words); i++) {
        g_autofree char *script = g_strdup_printf("gablebook each claims -- %s", words[i]);
        says(state, script, 2, "is no command for each; ");
    }
    says(state, "gablebook each claims", 2, "too few words; usage: gablebook each DIR -- ");
    says(state, "gablebook each nope -- check", 2, "nope: there is no such folder");
}

/* All claims would write the same file, and the last one would stay. */
static void each_writes_no_two_claims_into_one_file(void **state)
{
    static const char *const words[] = { "report --out x.html", "report --out=x.html", "report -o x.html", "export -ox.zip" };
    for (gsize i = 0; i < G_N_ELEMENTS(words); i++) {
        g_autofree char *script = g_strdup_printf("gablebook each claims -- %s", words[i]);
        says(state, script, 2, "all claims would be written to one file; nothing was run");
    }
    says(state, "ls", 0, "claims");
    assert_int_equal(sh(*state, NULL, NULL, "test ! -e x.html && test ! -e x.zip"), 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        test_with_claims(the_desk_tells_what_each_claim_lacks),
        test_with_claims(the_desk_as_a_page_is_one_file_without_addresses_elsewhere),
        test_with_claims(without_a_cache_the_desk_still_answers),
        test_with_claims(each_runs_over_all_claims_and_one_that_fails_stops_no_other),
        test_with_claims(each_finds_the_claim_whose_original_was_changed),
        test_with_claims(each_runs_nothing_that_changes_claims),
        test_with_claims(each_writes_no_two_claims_into_one_file),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
