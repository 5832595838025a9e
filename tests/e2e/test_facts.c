/* test_facts.c -- facts, test squares and notes from the command line to the check, the report and back.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "../e2e_support.h"

#include <jansson.h>
#include <string.h>

G_DEFINE_AUTOPTR_CLEANUP_FUNC(json_t, json_decref)

/* FOLDER/c: a hail claim with a garage and four photos: two of a test square, one of the pitch, one of nothing yet. */
static int setup_claim(void **state)
{
    if (setup_folder(state) != 0)
        return 1;
    make_card(*state, "card", 4, 64);
    int status = sh(*state, NULL, NULL,
                    "gablebook new c --cause hail --address '14 Larkfield Road' && gablebook structure c garage --elevations all --slopes left,right &&"
                    " gablebook import c card && gablebook tag c 1,2 --place 'front slope' --subject 'test square' --value 9 &&"
                    " gablebook tag c 3 --place 'front slope' --subject pitch --value '7 1/2:12'");
    if (status != 0)
        teardown_folder(state);
    return status;
}
#define test_in_claim(f) cmocka_unit_test_setup_teardown(f, setup_claim, teardown_folder)

static void says_at(void **state, const char *script, int status, const char *part, int line)
{
    g_autofree char *out = NULL, *err = NULL;
    int seen = sh(*state, &out, &err, script);
    g_autofree char *both = g_strconcat(out, err, NULL);
    if (seen != status) {
        print_error("%s: exit status %d, wanted %d; it said:\n%s\n", script, seen, status, both);
        _fail(__FILE__, line);
    }
    assert_has_at(both, part, __FILE__, line);
}
#define says(state, script, status, part) says_at((state), (script), (status), (part), __LINE__)

static void what_a_photo_says_is_listed_without_being_recorded(void **state)
{
    says(state, "gablebook fact c", 0, "front slope  Pitch  7 1/2:12 (7.5/12, 32.0°)  measured (photo)  3      -\n");
    says(state, "gablebook square c", 0, "front slope  1 (photo)  -     9     1, 2   -\n");
    says(state, "gablebook note c", 0, "No notes.\n");
}

static void a_record_is_kept_and_undone_and_redone(void **state)
{
    says(state, "gablebook fact c dwelling covering lam --as 'M. Tarn'", 0, "roof: Roof covering laminated asphalt shingle, seen\n");
    says(state, "gablebook history c", 0, "M. Tarn  fact: roof: Roof covering laminated asphalt shingle, seen");
    says(state, "gablebook undo c && gablebook fact c", 0, "Undone: fact: roof: Roof covering");
    says(state, "gablebook redo c && gablebook fact c roof covering --take-back", 0, "roof: Roof covering taken back\n");
    says(state, "gablebook square c 'left slope' --size 5x20 --hits 3 && gablebook square c", 0, "left slope   1          5 x 20 ft  3     -");
    says(state, "gablebook note c 'Wet moss' --place 'rear s' --report && gablebook note c --search 'MOSS we'", 0, "1     rear slope  yes");
    says(state, "gablebook note c --search 'dry moss'", 0, "No notes.\n");
    says(state, "gablebook note c --place 'rear slope'", 0, "Wet moss\n");
    says(state, "gablebook note c --change 1 --no-report && gablebook note c --take-out 1 && gablebook verify c", 0, "Sound: nothing differs.");
}

static void where_record_and_photo_differ_check_and_report_say_so(void **state)
{
    says(state, "gablebook fact c 'front slope' pitch 6/12 && gablebook fact c", 0, "To look at\n  front slope: Pitch is recorded as 6/12, 26.6°");
    says(state, "gablebook check c --short", 1, "> DIFFERS front slope: Pitch is recorded as 6/12, 26.6°, but shot 3 says 7 1/2:12\n");
    says(state, "gablebook fact c roof 'drip edge' none && gablebook check c --short", 1, "  unproven roof: Drip edge none has no photo");
    assert_int_equal(sh(*state, NULL, NULL, "gablebook report c --out a.html && gablebook report c --out b.html && cmp a.html b.html"), 0);
    g_autofree char *path = g_build_filename(*state, "a.html", NULL), *page = slurp(path);
    assert_has(page, "<h2 id=\"differing\">What does not agree</h2>");
    assert_has(page, "Front slope: Pitch is recorded as 6/12, 26.6°, but shot 3 says 7 1/2:12");
    assert_has(page, "<h2 id=\"unproven\">Recorded without a photo</h2>");
}

static void the_check_asks_for_facts_and_a_square_not_drawn_waives_its_photo(void **state)
{
    says(state, "gablebook check c --short", 1, "> MISSING fact storeys, dwelling: not recorded\n            Storeys: the value, and how it is known\n");
    says(state, "gablebook check c --short", 1, "> MISSING fact pitch, rear slope: not recorded");
    says(state, "gablebook fact c roof pitch 7/12 && gablebook check c", 1, "  there   fact pitch, rear slope");
    says(state, "gablebook waive c 'fact storeys' --why 'seen from the air alone'", 0, "fact storeys, dwelling: seen from the air alone\n");
    says(state, "gablebook square c 'rear slope' --not-drawn 'too steep' --as 'M. Tarn' && gablebook check c --short", 1,
         "  waived  test square, rear slope: not drawn: too steep (M. Tarn)\n");
}

static void the_report_has_tables_notes_and_no_verdict(void **state)
{
    assert_int_equal(sh(*state, NULL, NULL,
        "gablebook fact c roof condition fair --note '<b>\"one\" & two</b>' && gablebook square c --threshold 8 --source '<carrier>' --as 'M. Tarn' &&"
        " gablebook note c 'Owner <i>present</i>' --report && gablebook note c 'secret' && gablebook note c 'held to the rake' --shot 3 --report &&"
        " gablebook report c"), 0);
    g_autofree char *path = g_build_filename(*state, "c", "reports", "photo-report.html", NULL), *page = slurp(path);
    assert_has(page, "<h2 id=\"facts\">Facts</h2>");
    assert_has(page, "&lt;b&gt;&quot;one&quot; &amp; two&lt;/b&gt;");
    assert_has(page, "worn all over, single pieces curled");
    assert_has(page, "<h2 id=\"squares\">Test squares</h2>");
    assert_has(page, "Threshold for this claim as entered by <bdi>M. Tarn</bdi>: 8 hits in a square. Its source: <bdi>&lt;carrier&gt;</bdi>. It is theirs; this report only counts.");
    assert_has(page, "Owner &lt;i&gt;present&lt;/i&gt;");
    assert_has(page, "held to the rake");
    assert_has_not(page, "secret");
    says(state, "gablebook new d && gablebook report d", 0, "photo-report.html");
    g_autofree char *empty_path = g_build_filename(*state, "d", "reports", "photo-report.html", NULL), *empty = slurp(empty_path);
    assert_has_not(empty, "id=\"facts\"");
    assert_has_not(empty, "id=\"squares\"");
}

/* Source: the Nu HTML checker (npm vnu-jar). */
static void the_report_with_facts_passes_the_html_checker(void **state)
{
    const char *checker = g_getenv("GB_VNU");
    if (!have_program("java") || checker == NULL || !g_file_test(checker, G_FILE_TEST_EXISTS)) {
        if (g_getenv("CI") != NULL)
            fail_msg("GB_VNU names no checker, and this is CI");
        skip();
    }
    says(state, "gablebook fact c 'front slope' pitch 6/12 && gablebook fact c roof layers 1 && gablebook fact c dwelling condition fair --note 'a \"<& b' &&"
                " gablebook square c 'rear slope' --not-drawn '<&' && gablebook square c 'front slope' --hits 7 && gablebook note c 'x <y>' --report &&"
                " gablebook note c z --shot 1 --report && gablebook note c w --place front --report && gablebook report c", 0, "photo-report.html");
    g_autofree char *path = g_build_filename(*state, "c", "reports", "photo-report.html", NULL), *err = NULL;
    const char *argv[] = { "java", "-jar", checker, path, NULL };
    int status = run(argv, NULL, &err);
    g_auto(GStrv) lines = g_strsplit(err, "\n", -1);
    /* A warning of the checker alone: img-src data: does allow data: (CSP Level 3, "scheme-source" matching). */
    for (char **line = lines; *line != NULL; line++)
        if (**line != '\0' && strstr(*line, "Content Security Policy (meta tag): image “data:image/jpeg;base64,") == NULL)
            fail_msg("%.4000s", *line);
    assert_int_equal(status, 0);
}

static void the_json_is_whole(void **state)
{
    g_autofree char *out = NULL, *notes = NULL;
    assert_int_equal(sh(*state, &out, NULL, "gablebook fact c --json"), 0);
    g_autoptr(json_t) json = json_loads(out, JSON_REJECT_DUPLICATES, NULL);
    const json_t *fact = json_array_get(json_object_get(json, "facts"), 0);
    assert_string_equal(json_string_value(json_object_get(fact, "kind")), "pitch");
    assert_near(json_number_value(json_object_get(fact, "low")), 7.5, 1e-12);
    assert_int_equal(json_integer_value(json_array_get(json_object_get(fact, "shots"), 0)), 3);
    assert_int_equal(sh(*state, &notes, NULL, "gablebook note c 'x' --shot 2 >/dev/null && gablebook note c --json"), 0);
    g_autoptr(json_t) list = json_loads(notes, JSON_REJECT_DUPLICATES, NULL);
    assert_int_equal(json_integer_value(json_object_get(json_array_get(list, 0), "shot")), 2);
}

static void the_kinds_are_listed_with_their_choices(void **state)
{
    says(state, "gablebook fact --kinds", 0, "fair: worn all over, single pieces curled, cracked or repaired");
    says(state, "mkdir -p c/templates && printf '[cupola]\\nname = Cupolas\\nvalue = count\\nwhere = roof\\n' > c/templates/facts.ini &&"
                " gablebook fact c --kinds", 0, "Cupolas");
    says(state, "gablebook fact c roof cup 2", 0, "roof: Cupolas 2, seen\n");
    says(state, "printf '[cupola]\\nname = Cupolas\\nvalue = tally\\nwhere = roof\\n' > c/templates/facts.ini; gablebook fact c", 2,
         "facts.ini:3: 'tally' is no kind of value");
}

static void words_that_make_no_sense_are_told_and_change_nothing(void **state)
{
    says(state, "gablebook fact", 2, "fact: say which claim, or --kinds; nothing was changed");
    says(state, "gablebook fact c roof", 2, "fact: say of which place, and which fact");
    says(state, "gablebook fact c --how told", 2, "fact: say of which place, and which fact");
    says(state, "gablebook fact c roof pitch", 2, "fact: nothing to say; give a value, --how, --shots or --note");
    says(state, "gablebook fact c roof pitch 6/12 --take-back", 2, "--take-back contradicts what else is said");
    says(state, "gablebook fact c roof pitch 6/12 --kinds", 2, "--kinds lists, and does not record");
    says(state, "gablebook fact c front pitch 6/12", 2, "'Pitch' is said of a roof or a slope, and 'front' is none; nothing was changed");
    says(state, "gablebook square c --hits 3", 2, "square: say on which slope");
    says(state, "gablebook square c 'rear slope'", 2, "nothing to say; give --hits or --not-drawn");
    says(state, "gablebook square c 'rear slope' --threshold 3 --source x", 2, "stand alone: they are for the whole claim");
    says(state, "gablebook square c --source x", 2, "stand alone");
    says(state, "gablebook note c x --report --no-report", 2, "contradict each other");
    says(state, "gablebook note c --report", 2, "say which note, with --change NOTE");
    says(state, "gablebook note c --change 9 x", 2, "there is no note 9; nothing was changed");
    says(state, "gablebook note c x --search y", 2, "--search lists, and does not change");
    says(state, "gablebook structure c garage --remove >/dev/null && gablebook undo c >/dev/null && gablebook fact c 'garage roof' layers 1 &&"
                " gablebook structure c garage --remove", 2, "'garage roof' still has 1 fact: take it back first; nothing was changed");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        test_in_claim(what_a_photo_says_is_listed_without_being_recorded),
        test_in_claim(a_record_is_kept_and_undone_and_redone),
        test_in_claim(where_record_and_photo_differ_check_and_report_say_so),
        test_in_claim(the_check_asks_for_facts_and_a_square_not_drawn_waives_its_photo),
        test_in_claim(the_report_has_tables_notes_and_no_verdict),
        test_in_claim(the_report_with_facts_passes_the_html_checker),
        test_in_claim(the_json_is_whole),
        test_in_claim(the_kinds_are_listed_with_their_choices),
        test_in_claim(words_that_make_no_sense_are_told_and_change_nothing),
    };
    return cmocka_run_group_tests_name("facts", tests, NULL, NULL);
}
