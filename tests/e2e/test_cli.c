/* test_cli.c -- the commands as a user meets them: words, options, exit statuses, what reaches the terminal.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "../e2e_support.h"

#include <jansson.h>

G_DEFINE_AUTOPTR_CLEANUP_FUNC(json_t, json_decref)

static const char *const commands[] = { "visits", "new", "edit", "structure", "brief", "import", "clock", "list", "suggest", "subjects",
                                        "checklist", "tag", "mark", "fact", "square", "note", "roof", "finding", "check", "waive", "open", "report",
                                        "scope", "export", "verify", "undo", "redo", "history", "desk", "each", "settings", "help" };

/* Run a line in the test's folder; its exit status must be this, and what it says, on both channels, must hold part. */
static void says_at(void **state, const char *script, int status, const char *part, int line)
{
    g_autofree char *out = NULL, *err = NULL;
    int seen = sh(*state, &out, &err, script);
    g_autofree char *both = g_strconcat(out, err, NULL);
    if (seen != status)
        print_error("%s: exit status %d, wanted %d; it said:\n%s\n", script, seen, status, both);
    if (seen != status)
        _fail(__FILE__, line);
    assert_has_at(both, part, __FILE__, line);
}
#define says(state, script, status, part) says_at((state), (script), (status), (part), __LINE__)

/* Failure is one line on standard error, which names the program and ends without a full stop; nothing on standard output. */
static void fails_at(void **state, const char *script, const char *part, int line)
{
    g_autofree char *out = NULL, *err = NULL;
    int status = sh(*state, &out, &err, script);
    if (status != 2 || *out != '\0' || !g_str_has_prefix(err, "gablebook: ") || strchr(err, '\n') != err + strlen(err) - 1 ||
        (g_str_has_suffix(err, ".\n") && !g_str_has_suffix(err, "...\n"))) {
        print_error("%s: exit status %d; out:\n%s\nerr:\n%s\n", script, status, out, err);
        _fail(__FILE__, line);
    }
    assert_has_at(err, part, __FILE__, line);
}
#define fails(state, script, part) fails_at((state), (script), (part), __LINE__)

static json_t *json_of_at(void **state, const char *script, int line)
{
    g_autofree char *out = NULL;
    json_error_t error;
    (void)sh(*state, &out, NULL, script);
    json_t *json = json_loads(out, JSON_REJECT_DUPLICATES, &error);
    if (json == NULL) {
        print_error("%s: %s in:\n%s\n", script, error.text, out);
        _fail(__FILE__, line);
    }
    return json;
}
#define json_of(state, script) json_of_at((state), (script), __LINE__)

static const char *text_of(const json_t *object, const char *key)
{
    return json_string_value(json_object_get(object, key));
}

/* FOLDER/c with three photos. */
static int setup_claim(void **state)
{
    if (setup_folder(state) != 0)
        return 1;
    make_card(*state, "card", 3, 32);
    int status = sh(*state, NULL, NULL, "gablebook new c --cause hail --insured 'Rosa Test' && gablebook import c card");
    if (status != 0)
        teardown_folder(state); /* cmocka does not, after a setup that failed */
    return status;
}
#define test_in_claim(f) cmocka_unit_test_setup_teardown(f, setup_claim, teardown_folder)

/* --- help --- */

static void alone_it_tells_the_commands_and_that_nothing_was_done(void **state)
{
    g_autofree char *help = NULL;
    says(state, "gablebook", 2, "Usage: gablebook COMMAND");
    says(state, "gablebook --help", 0, "Usage: gablebook COMMAND");
    says(state, "gablebook -h", 0, "Usage: gablebook COMMAND");
    assert_int_equal(sh(*state, &help, NULL, "gablebook help"), 0);
    for (gsize i = 0; i < G_N_ELEMENTS(commands); i++) {
        g_autofree char *line = g_strdup_printf("\n  %-10s ", commands[i]);
        assert_has(help, line);
    }
    guint told = 0; /* and it has no others */
    g_auto(GStrv) lines = g_strsplit(help, "\n", -1);
    for (char **line = lines; *line != NULL; line++) {
        told += g_str_has_prefix(*line, "  ") && (*line)[2] != ' ';
        if (g_utf8_strlen(*line, -1) > 80)
            fail_msg("%ld columns: %s", g_utf8_strlen(*line, -1), *line);
    }
    assert_int_equal(told, G_N_ELEMENTS(commands));
}

static void every_command_tells_its_words_and_options(void **state)
{
    for (gsize i = 0; i < G_N_ELEMENTS(commands); i++) {
        g_autofree char *option = g_strdup_printf("gablebook %s --help", commands[i]);
        g_autofree char *word = g_strdup_printf("gablebook help %s", commands[i]);
        g_autofree char *usage = g_strdup_printf("gablebook %s ", commands[i]);
        g_autofree char *by_option = NULL, *by_word = NULL, *err = NULL;
        assert_int_equal(sh(*state, &by_option, &err, option), 0);
        assert_string_equal(err, "");
        assert_has(by_option, "Usage:");
        assert_has(by_option, usage);
        assert_int_equal(sh(*state, &by_word, NULL, word), 0);
        assert_string_equal(by_word, by_option);
    }
}

static void help_is_readable_in_a_narrow_terminal(void **state)
{
    for (gsize i = 0; i < G_N_ELEMENTS(commands); i++) {
        g_autofree char *option = g_strdup_printf("gablebook %s --help", commands[i]), *out = NULL;
        assert_int_equal(sh(*state, &out, NULL, option), 0);
        g_auto(GStrv) lines = g_strsplit(out, "\n", -1);
        for (char **line = lines; *line != NULL; line++)
            if (g_utf8_strlen(*line, -1) > 100)
                fail_msg("help of %s: %ld columns: %s", commands[i], g_utf8_strlen(*line, -1), *line);
    }
}

static void the_version_is_one_line(void **state)
{
    g_autofree char *out = NULL;
    assert_int_equal(sh(*state, &out, NULL, "gablebook --version"), 0);
    assert_string_equal(out, "gablebook " GB_VERSION "\n");
}

/* --- words --- */

static void a_command_may_be_abbreviated_as_long_as_it_is_clear(void **state)
{
    fails(state, "gablebook imp", "usage: gablebook import");
    says(state, "gablebook lis c", 0, "IMG_0001.JPG");
    says(state, "gablebook help imp", 0, "gablebook import [OPTION");
    fails(state, "gablebook re c", "'report' or 'redo'");
}

static void an_unknown_command_names_the_nearest_and_the_help(void **state)
{
    fails(state, "gablebook improt c", "nearest: 'import'");
    fails(state, "gablebook improt c", "gablebook help");
    fails(state, "gablebook zzzz", "gablebook help");
    fails(state, "gablebook help improt", "nearest: 'import'");
    fails(state, "gablebook --frob", "gablebook help");
}

static void too_few_and_too_many_words_are_told_with_the_usage(void **state)
{
    fails(state, "gablebook list", "too few words; usage: gablebook list FOLDER");
    fails(state, "gablebook list a b", "too many words; usage: gablebook list FOLDER");
    fails(state, "gablebook import c", "too few words; usage: gablebook import FOLDER PATH...");
    fails(state, "gablebook tag c", "too few words; usage: gablebook tag FOLDER SHOTS");
    fails(state, "gablebook waive c", "too few words");
    fails(state, "gablebook help list tag", "too many words");
    fails(state, "gablebook subjects a b", "too many words");
}

static void an_unknown_option_points_to_the_help(void **state)
{
    for (gsize i = 0; i < G_N_ELEMENTS(commands); i++) {
        g_autofree char *script = g_strdup_printf("gablebook %s --frob", commands[i]);
        g_autofree char *see = g_strdup_printf("--frob (see: gablebook %s --help)", commands[i]);
        fails(state, script, see);
    }
}

static void words_after_two_dashes_are_no_options(void **state)
{
    says(state, "gablebook new -- --odd && gablebook import -- --odd card && gablebook list -- --odd", 0, "IMG_0003.JPG");
}

static void a_missing_folder_is_told_and_not_made(void **state)
{
    static const char *const scripts[] = { "list nope", "check nope", "import nope card", "tag nope 1 --place front", "report nope",
                                           "history nope", "undo nope", "redo nope", "edit nope", "structure nope", "subjects nope",
                                           "waive nope address --why dark" };
    for (gsize i = 0; i < G_N_ELEMENTS(scripts); i++) {
        g_autofree char *script = g_strconcat("gablebook ", scripts[i], NULL);
        fails(state, script, "nope: there is no such folder");
    }
    says(state, "ls", 0, "");
    fails(state, "mkdir other && gablebook list other", "other");
    fails(state, "gablebook list card", "card");
    assert_int_equal(sh(*state, NULL, NULL, "test -e nope || test -e other/claim.db || test -e card/claim.db"), 1);
}

static void a_folder_that_holds_something_is_never_made_a_claim(void **state)
{
    fails(state, "gablebook new card", "card: is there already and not an empty folder; nothing was changed");
    fails(state, "gablebook new c", "nothing was changed");
    says(state, "mkdir empty && gablebook new empty", 0, "a new claim");
    fails(state, "gablebook new d --loss-date 2026-02-30", "'2026-02-30' is no date");
    assert_int_equal(sh(*state, NULL, NULL, "test -e d"), 1);
}

static void a_mistake_in_the_words_changes_nothing(void **state)
{
    g_autofree char *before = NULL, *after = NULL;
    assert_int_equal(sh(*state, &before, NULL, "gablebook list c --json; gablebook history c"), 0);
    fails(state, "gablebook tag c 1", "nothing to say");
    fails(state, "gablebook tag c 99 --place front", "there is no shot 99");
    fails(state, "gablebook tag c 1,99 --place front", "there is no shot 99");
    fails(state, "gablebook tag c x --place front", "'x'");
    fails(state, "gablebook tag c 1 --place frnt", "nearest: 'front'");
    fails(state, "gablebook tag c 1 --subject overveiw", "nearest:");
    fails(state, "gablebook tag c 1 --place front --distance far", "far");
    fails(state, "gablebook tag c 1 --subject pitch --value steep", "steep");
    fails(state, "gablebook tag c 1 --leave-out --take-in", "contradict");
    fails(state, "gablebook tag c 1 --before 2 --after 3", "only one of");
    fails(state, "gablebook tag c 1 --before two", "two");
    fails(state, "gablebook waive c address", "--why");
    fails(state, "gablebook waive c address --why ''", "reason");
    fails(state, "gablebook waive c adress --why dark", "nearest: 'address'");
    fails(state, "gablebook edit c --cause hial", "nearest: 'hail'");
    fails(state, "gablebook edit c --front-azimuth up", "'up'");
    fails(state, "gablebook edit c --checklist nosuch", "nosuch");
    fails(state, "gablebook history c x", "'x'");
    fails(state, "gablebook history c 0", "'0'");
    fails(state, "gablebook history c 99", "there is no entry 99");
    fails(state, "gablebook redo c", "redo");
    assert_int_equal(sh(*state, &after, NULL, "gablebook list c --json; gablebook history c"), 0);
    assert_string_equal(after, before);
}

/* --- list --- */

static void the_list_is_a_table_with_one_line_a_shot(void **state)
{
    g_autofree char *out = NULL;
    assert_int_equal(sh(*state, &out, NULL, "gablebook tag c 2 --place 'rear slope' --subject 'test square' --value 9 &&"
                                            " gablebook list c"), 0);
    g_auto(GStrv) lines = g_strsplit(strstr(out, "shot  time"), "\n", -1);
    assert_int_equal(g_strv_length(lines), 5); /* head, three shots, the end of the last line */
    assert_true(g_str_has_prefix(lines[1], "1     -"));
    assert_has(lines[1], "IMG_0001.JPG");
    assert_has(lines[2], "rear slope");
}

static void the_list_as_json_holds_what_is_known_and_null_for_what_is_not(void **state)
{
    assert_int_equal(sh(*state, NULL, NULL, "gablebook tag c 2 --place 'rear slope' --subject 'test square' --value 9"), 0);
    g_autoptr(json_t) list = json_of(state, "gablebook list c --json");
    assert_int_equal(json_array_size(list), 3);
    const json_t *first = json_array_get(list, 0), *second = json_array_get(list, 1);
    assert_int_equal(json_integer_value(json_object_get(second, "number")), 2);
    assert_string_equal(text_of(second, "file"), "IMG_0002.JPG");
    assert_string_equal(text_of(second, "place"), "rear slope");
    assert_string_equal(text_of(second, "value"), "9");
    assert_int_equal(strlen(text_of(second, "sha256")), 64);
    static const char *const unknown[] = { "taken", "offset_min", "camera", "lat", "lon", "heading_deg", "heading_ref", "place", "subject" };
    for (gsize i = 0; i < G_N_ELEMENTS(unknown); i++)
        assert_true(json_is_null(json_object_get(first, unknown[i])));
}

static void filters_show_what_they_name(void **state)
{
    const struct { const char *filter; gsize shots; } cases[] = {
        { "--shots 2-3", 2 },          { "--place 'rear slope'", 1 }, { "--place ''", 2 },    { "--subject 'test sq'", 1 },
        { "--subject ''", 2 },         { "--left-out", 1 },           { "--distance mid", 1 }, { "--place front", 0 },
        { "--shots 1 --left-out", 0 },
    };
    assert_int_equal(sh(*state, NULL, NULL, "gablebook tag c 2 --place 'rear slope' --subject 'test square' --distance mid --value 9 &&"
                                            " gablebook tag c 3 --leave-out"), 0);
    for (gsize i = 0; i < G_N_ELEMENTS(cases); i++) {
        g_autofree char *script = g_strdup_printf("gablebook list c --json %s", cases[i].filter);
        g_autoptr(json_t) list = json_of(state, script);
        if (json_array_size(list) != cases[i].shots)
            fail_msg("%s: %d shots", cases[i].filter, (int)json_array_size(list));
    }
    says(state, "gablebook list c --place front", 0, "No shots.");
    fails(state, "gablebook list c --place frnt", "nearest: 'front'");
    fails(state, "gablebook list c --shots 3-1", "3-1");
}

/* --- check --- */

static void check_ends_with_1_until_all_that_is_missing_is_waived_and_then_with_0(void **state)
{
    says(state, "gablebook check c", 1, "Not complete.");
    g_autoptr(json_t) check = json_of(state, "gablebook check c --json");
    assert_true(json_is_false(json_object_get(check, "complete")));
    gsize i, j, waived = 0;
    json_t *group, *line;
    json_array_foreach(json_object_get(check, "groups"), i, group)
        json_array_foreach(json_object_get(group, "lines"), j, line)
            if (strcmp(text_of(line, "state"), "missing") == 0) {
                g_autofree char *claim = g_build_filename(*state, "c", NULL);
                assert_int_equal(gablebook(NULL, NULL, "waive", claim, text_of(line, "label"), "--why", "not safe to reach", NULL), 0);
                waived++;
            }
    assert_int_equal(waived, json_integer_value(json_object_get(check, "missing")));
    g_autoptr(json_t) after = json_of(state, "gablebook check c --json");
    assert_true(json_is_true(json_object_get(after, "complete")));
    assert_int_equal(json_integer_value(json_object_get(after, "waived")), waived);
    says(state, "gablebook check c", 0, "Complete: nothing that is required is missing.");
    says(state, "gablebook check c --short", 0, "not safe to reach");
    says(state, "gablebook undo c && gablebook check c", 1, "Not complete.");
}

static void the_short_check_leaves_out_what_is_there(void **state)
{
    g_autofree char *whole = NULL, *brief = NULL;
    assert_int_equal(sh(*state, NULL, NULL, "gablebook tag c 1 --place site --subject address"), 0);
    assert_int_equal(sh(*state, &whole, NULL, "gablebook check c"), 1);
    assert_int_equal(sh(*state, &brief, NULL, "gablebook check c --short"), 1);
    assert_has(whole, "  there   address [1]");
    assert_has_not(brief, "  there   ");
    assert_has(brief, "> MISSING ");
}

/* --- history --- */

static void the_history_tells_who_did_what_and_what_it_was_before(void **state)
{
    says(state, "gablebook tag c 1 --place front --as 'Mary Doe'", 0, "shot 1");
    says(state, "gablebook history c", 0, "import: 3 photos from card");
    says(state, "gablebook history c", 0, "Mary Doe");
    says(state, "gablebook history c 2", 0, "done ");
    says(state, "gablebook history c 2", 0, " by Mary Doe");
    says(state, "gablebook history c 2", 0, "place: nothing -> ");
    says(state, "gablebook undo c && gablebook history c", 0, "(undone)");
    says(state, "gablebook redo c && gablebook list c --place front", 0, "Front elevation");
}

/* --- what reaches the terminal --- */

/* No control character, nothing that turns the writing round, valid UTF-8: what a program prints must be harmless where it is read. */
static void assert_harmless(const char *text, const char *what)
{
    if (!g_utf8_validate(text, -1, NULL))
        fail_msg("%s printed bytes that are no UTF-8", what);
    for (const char *p = text; *p != '\0'; p = g_utf8_next_char(p)) {
        gunichar c = g_utf8_get_char(p);
        if ((c < 0x20 && c != '\n') || (c >= 0x7f && c <= 0x9f) || (c >= 0x202a && c <= 0x202e) || (c >= 0x2066 && c <= 0x2069))
            fail_msg("%s printed U+%04X raw:\n%s", what, c, text);
    }
}

static void nothing_from_outside_reaches_the_terminal_raw(void **state)
{
    static const char *const scripts[] = {
        "gablebook import c evil",
        "gablebook tag c 1 --caption \"$EVIL\" --as \"$EVIL\"",
        "gablebook tag c 2 --value \"$EVIL\" --subject address",
        "gablebook edit c --insured \"$EVIL\" --address \"$EVIL\"",
        "gablebook structure c \"$EVIL\" --kind shed --rooms \"$EVIL\"",
        "gablebook structure c",
        "gablebook waive c address --why \"$EVIL\"",
        "gablebook list c", "gablebook list c --json", "gablebook check c", "gablebook check c --json", "gablebook history c",
        "gablebook history c 2", "gablebook history c 3", "gablebook history c 4", "gablebook report c", "gablebook undo c",
        "gablebook redo c", "gablebook \"$EVIL\"", "gablebook help \"$EVIL\"", "gablebook list \"$EVIL\"", "gablebook new \"n$EVIL\"",
        "gablebook tag c \"$EVIL\" --place \"$EVIL\"", "gablebook tag c 1 --place \"$EVIL\"", "gablebook list c --\"$EVIL\"",
        "gablebook waive c \"$EVIL\" --why x", "gablebook report c --template \"$EVIL\"", "gablebook report c --out \"$EVIL/x\"",
        "gablebook history c \"$EVIL\"", "gablebook edit c --checklist \"$EVIL\"", "gablebook import c \"$EVIL\"",
    };
    const char *evil = "EVIL=$(printf 'a\\033[31m\\033]0;t\\007\\r\\nforged: line\\302\\233x\\342\\200\\256gpj.exe\\177<b>')\n";
    g_autofree char *make = g_strdup_printf("%smkdir evil && cp card/IMG_0001.JPG \"evil/known$EVIL.JPG\" && echo x >\"evil/$EVIL.txt\" &&"
                                            " { cat card/IMG_0002.JPG; echo; } >\"evil/new$EVIL.JPG\"", evil);
    assert_int_equal(sh(*state, NULL, NULL, make), 0);
    for (gsize i = 0; i < G_N_ELEMENTS(scripts); i++) {
        g_autofree char *out = NULL, *err = NULL, *script = g_strconcat(evil, scripts[i], NULL);
        sh(*state, &out, &err, script);
        assert_harmless(out, scripts[i]);
        assert_harmless(err, scripts[i]);
        if (g_str_has_prefix(out, "forged: line") || strstr(out, "\nforged: line") != NULL || strstr(err, "\nforged: line") != NULL)
            fail_msg("%s: a line that a name forged:\n%s%s", scripts[i], out, err);
    }
    says(state, "gablebook list c", 0, "<b>"); /* and it was all there to be seen */
}

static void output_that_cannot_be_written_is_an_error(void **state)
{
    static const char *const scripts[] = { "list c", "list c --json", "check c --json", "history c", "report c", "help", "--version",
                                           "--help", "list --help", "tag c 1 --place front", "subjects" };
    for (gsize i = 0; i < G_N_ELEMENTS(scripts); i++) {
        g_autofree char *script = g_strdup_printf("gablebook %s >/dev/full", scripts[i]);
        fails(state, script, "can't be written");
    }
    says(state, "gablebook list c --place front", 0, "Front elevation"); /* the tag itself was done */
}

static void a_pipe_that_is_closed_ends_the_program_without_a_word(void **state)
{
    g_autofree char *err = NULL;
    sh(*state, NULL, &err, "for i in 1 2 3 4 5 6 7 8 9 10; do gablebook subjects | true; done");
    assert_string_equal(err, "");
}

/* --- the wrong folder, the forgotten word --- */

static void where_a_folder_holds_claims_they_are_named(void **state)
{
    fails(state, "gablebook check .", "there are claims in it: ./c");
    fails(state, "gablebook open . --no-browser", "there are claims in it: ./c");
    fails(state, "gablebook verify .", "there are claims in it: ./c");
    fails(state, "mkdir none; gablebook open none --no-browser", "gablebook new makes one");
}

static void a_structure_without_its_name_is_no_list(void **state)
{
    fails(state, "gablebook structure c --slopes left,right", "say which structure");
    fails(state, "gablebook structure c --remove", "say which structure");
    fails(state, "gablebook structure c dwelling --remove --slopes none", "contradict");
    says(state, "gablebook structure c", 0, "front slope");
}

/* --- languages --- */

static void text_in_utf8_is_taken_in_every_locale(void **state)
{
    static const char *const locales[] = { "LC_ALL=C", "LC_ALL=C.UTF-8", "LC_ALL=nosuch_XX.UTF-8" };
    for (gsize i = 0; i < G_N_ELEMENTS(locales); i++) {
        g_autofree char *script = g_strdup_printf("export %s; gablebook tag c 1 --caption 'Dach %u, Größe ✓' && gablebook list c --json",
                                                  locales[i], (guint)i);
        g_autofree char *caption = g_strdup_printf("Dach %u, Größe ✓", (guint)i);
        says(state, script, 0, caption);
    }
    says(state, "LC_ALL=C gablebook list c", 0, "Größe ✓");
    says(state, "LC_ALL=C gablebook help list", 0, "Usage:");
}

static void numbers_do_not_follow_the_locale(void **state)
{
    gboolean made = make_decimal_comma(*state);
    g_unsetenv("LOCPATH");
    if (!made)
        skip();
    says(state, "unset LC_ALL; LOCPATH=$PWD LC_NUMERIC=comma_XX env printf '%.1f\\n' 1", 0, "1,0");
    says(state, "unset LC_ALL; LOCPATH=$PWD LC_NUMERIC=comma_XX gablebook edit c --front-azimuth 202.5", 0, "202.5 degrees true (SSW)");
    says(state, "unset LC_ALL; LOCPATH=$PWD LC_NUMERIC=comma_XX gablebook list c --json", 0, "\"left_out\": false");
}

static void bytes_that_are_no_text_are_told_by_option(void **state)
{
    fails(state, "LC_ALL=C gablebook tag c 1 --caption \"$(printf 'caf\\351')\"", "--caption");
    fails(state, "LC_ALL=C.UTF-8 gablebook tag c 1 --caption \"$(printf 'caf\\351')\"", "--caption");
    fails(state, "gablebook \"$(printf '\\377')\"", "is no command");
    fails(state, "gablebook tag c \"$(printf '\\377')\" --place front", "");
    fails(state, "gablebook list c --place \"$(printf 'fr\\377nt')\"", "--place");
}

static void folders_and_files_may_have_names_that_are_no_text(void **state)
{
    says(state, "D=$(printf 'd\\377'); gablebook new \"$D\" && cp -r card \"c$D\" && gablebook import \"$D\" \"c$D\" &&"
                " mv \"c$D/IMG_0001.JPG\" \"c$D/$D.JPG\" && gablebook import \"$D\" \"c$D\"", 0, "3 in the claim already");
    says(state, "D=$(printf 'd\\377'); gablebook report \"$D\" && gablebook check \"$D\" --json", 1, "missing");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        test_in_folder(alone_it_tells_the_commands_and_that_nothing_was_done),
        test_in_folder(every_command_tells_its_words_and_options),
        test_in_folder(help_is_readable_in_a_narrow_terminal),
        test_in_folder(the_version_is_one_line),
        test_in_claim(a_command_may_be_abbreviated_as_long_as_it_is_clear),
        test_in_folder(an_unknown_command_names_the_nearest_and_the_help),
        test_in_folder(too_few_and_too_many_words_are_told_with_the_usage),
        test_in_folder(an_unknown_option_points_to_the_help),
        test_in_claim(words_after_two_dashes_are_no_options),
        test_in_claim(a_missing_folder_is_told_and_not_made),
        test_in_claim(a_folder_that_holds_something_is_never_made_a_claim),
        test_in_claim(a_mistake_in_the_words_changes_nothing),
        test_in_claim(the_list_is_a_table_with_one_line_a_shot),
        test_in_claim(the_list_as_json_holds_what_is_known_and_null_for_what_is_not),
        test_in_claim(filters_show_what_they_name),
        test_in_claim(check_ends_with_1_until_all_that_is_missing_is_waived_and_then_with_0),
        test_in_claim(the_short_check_leaves_out_what_is_there),
        test_in_claim(the_history_tells_who_did_what_and_what_it_was_before),
        test_in_claim(nothing_from_outside_reaches_the_terminal_raw),
        test_in_claim(output_that_cannot_be_written_is_an_error),
        test_in_folder(a_pipe_that_is_closed_ends_the_program_without_a_word),
        test_in_claim(text_in_utf8_is_taken_in_every_locale),
        test_in_claim(where_a_folder_holds_claims_they_are_named),
        test_in_claim(a_structure_without_its_name_is_no_list),
        test_in_claim(numbers_do_not_follow_the_locale),
        test_in_claim(bytes_that_are_no_text_are_told_by_option),
        test_in_claim(folders_and_files_may_have_names_that_are_no_text),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
