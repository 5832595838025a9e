/* test_home.c -- at home on the user's machine: the manual page, what shells complete, colours, help on words, errors that go on.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "../e2e_support.h"

#include <glib/gstdio.h>

/* FOLDER/'my claim' with three photos, the second tagged. */
static int setup_claim(void **state)
{
    if (setup_folder(state) != 0)
        return 1;
    make_card(*state, "card", 3, 32);
    int status = sh(*state, NULL, NULL, "gablebook new 'my claim' --cause hail && gablebook import 'my claim' card &&"
                                        " gablebook tag 'my claim' 2 --place 'rear slope' --subject overview");
    if (status != 0)
        teardown_folder(state);
    return status;
}
#define test_in_claim(f) cmocka_unit_test_setup_teardown(f, setup_claim, teardown_folder)

static char *out_of_at(void **state, const char *script, int line)
{
    g_autofree char *out = NULL, *err = NULL;
    int status = sh(*state, &out, &err, script);
    if (status != 0) {
        print_error("%s: exit status %d:\n%s%s\n", script, status, out, err);
        _fail(__FILE__, line);
    }
    return g_steal_pointer(&out);
}
#define out_of(state, script) out_of_at((state), (script), __LINE__)

/* --- the manual page --- */

static void the_manual_page_has_every_command_and_option_of_the_help(void **state)
{
    g_autofree char *page = out_of(state, "gablebook help --man | sed 's/\\\\-/-/g; s/\\\\f[BIR]//g'");
    g_autofree char *names = out_of(state, "gablebook complete -- ''");
    g_auto(GStrv) lines = g_strsplit(names, "\n", -1);
    for (char **line = lines; **line != '\0'; line++) {
        *strchr(*line, '\t') = '\0';
        g_autofree char *head = g_strdup_printf("\n.SS gablebook %s ", *line);
        assert_has(page, head);
        g_autofree char *ask = g_strdup_printf("gablebook %s --help | grep -oE '^  (-., )?--[a-z-]+' | grep -oE -e '--[a-z-]+'", *line);
        g_autofree char *options = NULL;
        (void)sh(*state, &options, NULL, ask);
        g_auto(GStrv) words = g_strsplit(options, "\n", -1);
        for (char **word = words; **word != '\0'; word++)
            if (strcmp(*word, "--help") != 0 && strcmp(*word, "--help-all") != 0)
                assert_has(strstr(page, head), *word);
    }
}

/* Reference: mandoc's own lint, and groff by way of man. */
static void the_manual_page_is_clean_for_mandoc_and_man(void **state)
{
    if (!have_program("mandoc") || !have_program("man"))
        skip();
    g_autofree char *lint = out_of(state, "gablebook help --man > gablebook.1 && mandoc -T lint -W warning gablebook.1");
    assert_string_equal(lint, "");
    g_autofree char *groff = out_of(state, "LC_ALL=C.UTF-8 man --warnings -E UTF-8 -l -Tutf8 -Z gablebook.1 2>&1 >/dev/null");
    assert_string_equal(groff, "");
}

static void words_in_the_manual_page_read_as_they_do_in_the_help(void **state)
{
    if (!have_program("mandoc"))
        skip();
    g_autofree char *text = out_of(state, "gablebook help --man | mandoc -T ascii -O width=200 | sed 's/.\\o10//g'");
    assert_has(text, "gablebook tag FOLDER 31,32 --place 'front slope' --subject 'test square' --value 9");
    assert_has(text, "gablebook list FOLDER --place ''");
    assert_has(text, "EXIT STATUS");
    assert_has(text, "NO_COLOR");
}

/* --- completion: what the program answers --- */

static void answers(void **state, const char *words, const char *wanted)
{
    g_autofree char *script = g_strdup_printf("gablebook complete -- %s | cut -f1 | tr '\\n' '|'", words);
    g_autofree char *out = out_of(state, script);
    if (strcmp(out, wanted) != 0)
        fail_msg("%s: %s, wanted %s", words, out, wanted);
}

static void a_word_is_completed_by_what_can_stand_there(void **state)
{
    answers(state, "re", "report|redo|");
    answers(state, "tag ''", ":dirs|");
    answers(state, "import 'my claim' ca", ":files|");
    answers(state, "import 'my claim' card more", ":files|");
    answers(state, "verify x", ":files|");
    answers(state, "tag 'my claim' ''", "1|2|3|");
    answers(state, "tag 'my claim' 1,3-", "1,3-1|1,3-2|1,3-3|");
    answers(state, "tag 'my claim' 1 --place re", "rear|rear slope|");
    answers(state, "tag 'my claim' 1 --place=rear' s'", "--place=rear slope|");
    answers(state, "tag 'my claim' 1 --place = RI", "right|right slope|");
    answers(state, "tag 'my claim' 1 --subject 'test'", "test square|");
    answers(state, "tag 'my claim' 1 --distance ''", "overview|mid-range|close-up|");
    answers(state, "tag 'my claim' 1 --before ''", "1|2|3|");
    answers(state, "tag 'my claim' 1 --caption ''", "");
    answers(state, "tag 'my claim' 1 --ca", "--caption|");
    answers(state, "waive 'my claim' 'test square, r'", "test square, right slope|test square, rear slope|");
    answers(state, "structure 'my claim' ''", "dwelling|");
    answers(state, "structure 'my claim' x --kind ga", "garage|");
    answers(state, "new c --checklist ex", "exterior-wind-hail|");
    answers(state, "help sug", "suggest|");
    answers(state, "settings ''", "adjuster|checklist|letterhead|letterhead-address|letterhead-logo|paper|locale|units|set|");
    answers(state, "checklist l", "lint|");
    answers(state, "fact 'my claim' roof 'age'", "age of the covering|");
    answers(state, "fact 'my claim' roof layers 2 --how m", "measured|");
    answers(state, "square 'my claim' 'front s'", "front slope|");
    answers(state, "finding 'my claim' ch", "change|");
    answers(state, "finding 'my claim' add --component gutter", "gutter|gutter guard|");
    answers(state, "each claims -- ver", "verify|");
    answers(state, "mark 'my claim' 1 ''", "arrow|ellipse|chalk|text|scale|line|angle|");
    answers(state, "finding 'my claim' add --action re", "remove and replace|repair|");
    answers(state, "finding 'my claim' add --cause w", "wind|water|wear|");
    answers(state, "edit 'my claim' --cause w", "wind|water|");
    answers(state, "roof 'my claim' 'rear slope' t", "triangle|trapezoid|");
    answers(state, "subj --j", "--json|"); /* an abbreviated command */
    answers(state, "report 'my claim' -o x", ":files|");
}

static void what_cant_be_completed_is_silence_not_an_error(void **state)
{
    static const char *const lines[] = { "tag nope 1 --place ''", "frob ''", "tag 'my claim' 1 2 3", "''x", "tag \"$(printf '\\377')\" ''",
                                         "history 'my claim' ''", "tag 'my claim' 1 --place zz", "complete ''" };
    for (gsize i = 0; i < G_N_ELEMENTS(lines); i++) {
        g_autofree char *script = g_strdup_printf("gablebook complete -- %s", lines[i]), *out = NULL, *err = NULL;
        assert_int_equal(sh(*state, &out, &err, script), 0);
        assert_string_equal(out, "");
        assert_string_equal(err, "");
    }
}

/* A room's name may hold what a terminal obeys; a candidate is one line whatever it is called. */
static void a_candidate_is_one_harmless_line(void **state)
{
    assert_int_equal(sh(*state, NULL, NULL, "gablebook tag 'my claim' 1 --caption \"$(printf 'a\\033[31mb\\tc\\nd')\""), 0);
    g_autofree char *out = out_of(state, "gablebook complete -- tag 'my claim' 1");
    assert_null(strchr(out, '\033'));
    g_auto(GStrv) lines = g_strsplit(out, "\n", -1);
    assert_int_equal(g_strv_length(lines), 2);
    g_auto(GStrv) cells = g_strsplit(lines[0], "\t", -1);
    assert_int_equal(g_strv_length(cells), 2);
}

static void hidden_commands_are_in_no_list_and_not_abbreviated(void **state)
{
    g_autofree char *help = out_of(state, "gablebook help && gablebook help --man"), *err = NULL;
    assert_has_not(help, "gablebook complete");
    assert_has_not(help, "  complete ");
    assert_int_equal(sh(*state, NULL, &err, "gablebook comple -- ''"), 2);
}

/* --- completion: in the shells themselves --- */

static char *completion_file(const char *name)
{
    g_autofree char *file = g_build_filename("src/cli/completion", name, NULL), *path = source_path(file);
    return g_canonicalize_filename(path, NULL);
}

static void bash_offers_words_quoted_as_it_needs_them(void **state)
{
    if (!have_program("bash"))
        skip();
    g_autofree char *file = completion_file("gablebook.bash");
    g_autofree char *script = g_strdup_printf(
        "bash --norc -c '. \"%s\"; try() { COMP_WORDS=(\"$@\"); COMP_CWORD=$(($# - 1)); _gablebook; printf \"%%s|\" \"${COMPREPLY[@]}\"; echo; };"
        " try gablebook re; try gablebook tag my\\\\\\ claim 1 --place rear; try gablebook tag \"\\\"my claim\\\"\" 1 --place \"\\\"rear \";"
        " complete -p gablebook'", file);
    g_autofree char *out = out_of(state, script);
    assert_string_equal(out, "report|redo|\nrear|rear\\ slope|\nrear slope|\ncomplete -F _gablebook gablebook\n");
}

static void fish_offers_words_with_what_they_mean(void **state)
{
    if (!have_program("fish"))
        skip();
    g_autofree char *file = completion_file("gablebook.fish");
    g_autofree char *script = g_strdup_printf("HOME=$PWD fish --no-config -c 'source \"%s\"; complete -C \"gablebook re\"; "
                                              "complete -C \"gablebook tag my\\\\ claim 1 --place rear\"; complete -C \"gablebook list my\"'", file);
    g_autofree char *out = out_of(state, script);
    assert_has(out, "redo\tdo again what was last undone");
    assert_has(out, "rear slope\tRear slope");
    assert_has(out, "my claim/");
}

/* zsh's own functions want a terminal; they are replaced by ones that print what they are told. */
static void zsh_is_told_words_and_their_meanings(void **state)
{
    if (!have_program("zsh"))
        skip();
    g_autofree char *file = completion_file("_gablebook");
    g_autofree char *script = g_strdup_printf(
        "zsh -f -c '_describe() { print -rl -- \"${(@P)4}\" }; _files() { print files $* };"
        " try() { local -a words=(\"$@\"); local CURRENT=$#; . \"%s\" };"
        " try gablebook redo; try gablebook tag \"my\\\\ claim\" 1 --place rear; try gablebook list \"\"'", file);
    g_autofree char *out = out_of(state, script);
    assert_has(out, "redo:do again");
    assert_has(out, "rear slope:Rear slope");
    assert_has(out, "files -/");
}

/* --- colours --- */

static void colours_are_for_terminals_alone_and_never_where_NO_COLOR_is_set(void **state)
{
    if (!have_program("script"))
        skip();
    if (sh(*state, NULL, NULL, "script -qec true /dev/null") != 0) { /* a bare container may have none to give */
        print_message("no pseudo-terminal can be made here: colours are not looked at\n");
        skip();
    }
    g_autofree char *piped = NULL, *on_terminal = NULL, *without = NULL, *dumb = NULL, *empty = NULL;
    (void)sh(*state, &piped, NULL, "TERM=xterm gablebook check 'my claim'");
    assert_null(strchr(piped, '\033'));
    assert_has(piped, "> MISSING ");
    (void)sh(*state, &on_terminal, NULL, "TERM=xterm script -qec \"gablebook check 'my claim'\" /dev/null");
    assert_has(on_terminal, "\033[1;31m> MISSING \033[0m");
    assert_has(on_terminal, "\033[1;31mNot complete.\033[0m");
    (void)sh(*state, &without, NULL, "TERM=xterm NO_COLOR=1 script -qec \"gablebook check 'my claim'\" /dev/null");
    assert_null(strchr(without, '\033'));
    assert_has(without, "> MISSING ");
    (void)sh(*state, &dumb, NULL, "TERM=dumb script -qec \"gablebook check 'my claim'\" /dev/null");
    assert_null(strchr(dumb, '\033'));
    (void)sh(*state, &empty, NULL, "TERM=xterm NO_COLOR= script -qec \"gablebook check 'my claim'\" /dev/null");
    assert_has(empty, "\033[1;31m");
}

/* --- help on words --- */

static void help_explains_words_of_the_trade_and_subjects(void **state)
{
    g_autofree char *eave = out_of(state, "gablebook help eave"), *pitch = out_of(state, "gablebook help PITCH");
    g_autofree char *two = out_of(state, "gablebook help 'drip edge'");
    assert_has(eave, "The lower edge of a slope");
    assert_has(pitch, "How steep a roof is");
    assert_has(pitch, "read from a gauge");
    assert_has(two, "metal strip at eave and rake");
}

static void help_on_no_word_at_all_is_an_error_that_names_the_help(void **state)
{
    g_autofree char *err = NULL, *empty = NULL;
    assert_int_equal(sh(*state, NULL, &err, "gablebook help zzzz"), 2);
    assert_has(err, "'zzzz' is no command; gablebook help lists them all");
    assert_int_equal(sh(*state, NULL, &empty, "gablebook help ''"), 2);
}

/* --- errors that say what to type next --- */

static void a_folder_that_holds_claims_names_them(void **state)
{
    g_autofree char *err = NULL, *none = NULL;
    assert_int_equal(sh(*state, NULL, &err, "mkdir day && cp -r 'my claim' day/b && cp -r 'my claim' day/a && gablebook check day"), 2);
    assert_has(err, "there are claims in it: day/a, day/b\n");
    assert_int_equal(sh(*state, NULL, &none, "gablebook check card"), 2);
    assert_has(none, "gablebook new makes one");
}

static void what_to_type_next_can_be_pasted(void **state)
{
    g_autofree char *out = out_of(state, "gablebook new 'two words'"), *plain = out_of(state, "gablebook new oneword");
    assert_has(out, "Next: gablebook import 'two words' PATH...\n");
    assert_has(plain, "Next: gablebook import oneword PATH...\n");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        test_in_folder(the_manual_page_has_every_command_and_option_of_the_help),
        test_in_folder(the_manual_page_is_clean_for_mandoc_and_man),
        test_in_folder(words_in_the_manual_page_read_as_they_do_in_the_help),
        test_in_claim(a_word_is_completed_by_what_can_stand_there),
        test_in_claim(what_cant_be_completed_is_silence_not_an_error),
        test_in_claim(a_candidate_is_one_harmless_line),
        test_in_folder(hidden_commands_are_in_no_list_and_not_abbreviated),
        test_in_claim(bash_offers_words_quoted_as_it_needs_them),
        test_in_claim(fish_offers_words_with_what_they_mean),
        test_in_claim(zsh_is_told_words_and_their_meanings),
        test_in_claim(colours_are_for_terminals_alone_and_never_where_NO_COLOR_is_set),
        test_in_folder(help_explains_words_of_the_trade_and_subjects),
        test_in_folder(help_on_no_word_at_all_is_an_error_that_names_the_help),
        test_in_claim(a_folder_that_holds_claims_names_them),
        test_in_folder(what_to_type_next_can_be_pasted),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
