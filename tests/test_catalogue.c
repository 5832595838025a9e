/* test_catalogue.c -- the subjects: the built-in ones read well, a claim's own can't spoil them.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "test.h"

#include <gablebook/catalogue.h>
#include <gablebook/error.h>

static GbCatalogue *builtin(void)
{
    g_autoptr(GError) error = NULL;
    GbCatalogue *catalogue = gb_catalogue_builtin(&error);
    assert_no_error(error);
    return catalogue;
}

static const char *sample(GbValueKind kind)
{
    static const char *const samples[] = { NULL, "7/12", "4 1/2", "9", "2", "as seen" };
    return samples[kind];
}

static void composes(const GbCatalogue *catalogue, const char *id, const char *place, GbDistance distance, const char *value,
                     const char *wanted)
{
    const GbSubject *subject = gb_catalogue_by_id(catalogue, id);
    assert_non_null(subject);
    g_autofree char *seen = gb_caption_compose(subject, place, distance, value);
    assert_string_equal(seen, wanted);
}

static void captions_read_as_a_person_would_write_them(void **state)
{
    (void)state;
    g_autoptr(GbCatalogue) all = builtin();
    composes(all, "overview", "Front elevation", GB_DISTANCE_OVERVIEW, NULL, "Front elevation, overview");
    composes(all, "address", "Site", GB_DISTANCE_MID, NULL, "Property address");
    composes(all, "siding-size", "Front elevation", GB_DISTANCE_CLOSE, "4 in", "Front elevation: siding exposure 4 in");
    composes(all, "siding-size", "Front elevation", GB_DISTANCE_CLOSE, NULL, "Front elevation: siding exposure");
    composes(all, "siding-size", NULL, GB_DISTANCE_CLOSE, NULL, "Siding exposure");
    composes(all, "test-square", "Rear slope", GB_DISTANCE_CLOSE, "9", "Rear slope: test square, 9 hits, close-up");
    composes(all, "test-square", "Rear slope", GB_DISTANCE_MID, "1", "Rear slope: test square, 1 hit, mid-range");
    composes(all, "test-square", "Rear slope", GB_DISTANCE_MID, "0", "Rear slope: test square, 0 hits, mid-range");
    composes(all, "layers", "Roof", GB_DISTANCE_CLOSE, "1", "Roof: edge of the roof covering, 1 layer");
    composes(all, "layers", "Roof", GB_DISTANCE_CLOSE, "2", "Roof: edge of the roof covering, 2 layers");
    composes(all, "pitch", "Left slope", GB_DISTANCE_CLOSE, "7 1/2:12", "Left slope: pitch gauge reading 7 1/2:12");
    composes(all, "gutter-damage", "Garage: front elevation", GB_DISTANCE_CLOSE, NULL,
             "Garage, front elevation: gutter damage, close-up");
    composes(all, "ridge-vent", "Roof", GB_DISTANCE_UNKNOWN, NULL, "Roof: ridge vent");
    composes(all, "moisture-reading", "Kitchen", GB_DISTANCE_CLOSE, "18 %", "Kitchen: moisture meter reading 18 %");
    composes(all, "no-damage-seen", "Right elevation", GB_DISTANCE_OVERVIEW, NULL, "Right elevation: no damage seen, overview");
}

static void a_length_without_a_unit_is_shown_in_inches(void **state)
{
    (void)state;
    g_autoptr(GbCatalogue) all = builtin();
    composes(all, "hail-hit", NULL, GB_DISTANCE_UNKNOWN, "7/8", "Hail hit, 7/8 in across");
    composes(all, "siding-size", NULL, GB_DISTANCE_UNKNOWN, "4½", "Siding exposure 4½ in");
    composes(all, "siding-size", NULL, GB_DISTANCE_UNKNOWN, "4\"", "Siding exposure 4\"");
    composes(all, "siding-size", NULL, GB_DISTANCE_UNKNOWN, "10 cm", "Siding exposure 10 cm");
    composes(all, "water-line", "Den", GB_DISTANCE_MID, "1' 4", "Den: water line 1' 4 in above the floor");
}

static void without_a_subject_what_is_known_is_joined(void **state)
{
    (void)state;
    const struct { const char *place; GbDistance distance; const char *value, *wanted; } cases[] = {
        { "Front elevation", GB_DISTANCE_OVERVIEW, NULL, "Front elevation, overview" },
        { "Front elevation", GB_DISTANCE_UNKNOWN, NULL, "Front elevation" },
        { NULL, GB_DISTANCE_CLOSE, NULL, "Close-up" },
        { NULL, GB_DISTANCE_UNKNOWN, NULL, "" },
        { "Garage: roof", GB_DISTANCE_CLOSE, "2", "Garage, roof, 2, close-up" },
    };
    for (guint i = 0; i < G_N_ELEMENTS(cases); i++) {
        g_autofree char *seen = gb_caption_compose(NULL, cases[i].place, cases[i].distance, cases[i].value);
        assert_string_equal(seen, cases[i].wanted);
    }
}

static void every_subject_composes_a_clean_line_whatever_is_known(void **state)
{
    (void)state;
    g_autoptr(GbCatalogue) all = builtin();
    const char *const places[] = { NULL, "Rear slope", "Garage: left elevation" };
    for (guint i = 0; i < gb_catalogue_size(all); i++) {
        const GbSubject *subject = gb_catalogue_peek(all, i);
        for (guint p = 0; p < G_N_ELEMENTS(places); p++)
            for (guint valued = 0; valued < 2; valued++)
                for (int d = 0; d < GB_DISTANCES; d++) {
                    g_autofree char *line = gb_caption_compose(subject, places[p], d, valued ? sample(subject->value) : NULL);
                    assert_true(g_unichar_isupper(g_utf8_get_char(line)));
                    assert_null(strpbrk(line, "[]{}|"));
                    assert_null(strstr(line, "  "));
                    assert_null(strstr(line, ": ,"));
                    assert_null(strstr(line, ",,"));
                    assert_true(g_ascii_isalnum(line[strlen(line) - 1]));
                }
    }
}

static void every_subject_is_explained_in_a_sentence_and_found_by_name_and_id(void **state)
{
    (void)state;
    g_autoptr(GbCatalogue) all = builtin();
    assert_true(gb_catalogue_size(all) > 60);
    for (guint i = 0; i < gb_catalogue_size(all); i++) {
        const GbSubject *subject = gb_catalogue_peek(all, i);
        g_autoptr(GError) error = NULL;
        assert_ptr_equal(gb_catalogue_find(all, subject->name, &error), subject);
        assert_ptr_equal(gb_catalogue_find(all, subject->id, &error), subject);
        assert_ptr_equal(gb_catalogue_by_id(all, subject->id), subject);
        assert_true(g_str_has_suffix(subject->plain, "."));
        assert_true(strlen(subject->plain) < 120);
        assert_true(subject->distance != GB_DISTANCE_UNKNOWN || g_str_equal(subject->id, "other"));
    }
    assert_null(gb_catalogue_peek(all, gb_catalogue_size(all)));
    assert_null(gb_catalogue_by_id(all, "gutt"));
}

/* The log stores ids: whoever renames one orphans photos of old claims. These are relied on by checklists and demo. */
static void the_ids_in_use_are_there_and_say_what_they_show(void **state)
{
    (void)state;
    const struct { const char *id; GbValueKind value; GbShows shows; } fixed[] = {
        { "address", GB_VALUE_NONE, 0 },          { "overview", GB_VALUE_NONE, 0 },
        { "elevation-detail", GB_VALUE_NONE, 0 }, { "siding-size", GB_VALUE_LENGTH, 0 },
        { "layers", GB_VALUE_LAYERS, 0 },         { "pitch", GB_VALUE_PITCH, 0 },
        { "test-square", GB_VALUE_COUNT, 0 },     { "drip-edge", GB_VALUE_TEXT, 0 },
        { "ridge-vent", GB_VALUE_NONE, 0 },       { "pipe-flashing", GB_VALUE_NONE, 0 },
        { "gutter", GB_VALUE_LENGTH, 0 },         { "moisture-reading", GB_VALUE_TEXT, 0 },
        { "window-screen", GB_VALUE_NONE, 0 },    { "room-overview", GB_VALUE_NONE, 0 },
        { "gutter-damage", GB_VALUE_NONE, GB_SHOWS_DAMAGE },   { "siding-damage", GB_VALUE_NONE, GB_SHOWS_DAMAGE },
        { "hail-hit", GB_VALUE_LENGTH, GB_SHOWS_DAMAGE },      { "soft-metal", GB_VALUE_LENGTH, GB_SHOWS_DAMAGE },
        { "condenser-fins", GB_VALUE_NONE, GB_SHOWS_DAMAGE },  { "missing-shingles", GB_VALUE_COUNT, GB_SHOWS_DAMAGE },
        { "ceiling-damage", GB_VALUE_NONE, GB_SHOWS_DAMAGE },  { "burn-damage", GB_VALUE_NONE, GB_SHOWS_DAMAGE },
        { "smoke-and-soot", GB_VALUE_NONE, GB_SHOWS_DAMAGE },  { "no-damage-seen", GB_VALUE_NONE, GB_SHOWS_NO_DAMAGE },
    };
    g_autoptr(GbCatalogue) all = builtin();
    for (guint i = 0; i < G_N_ELEMENTS(fixed); i++) {
        const GbSubject *subject = gb_catalogue_by_id(all, fixed[i].id);
        assert_non_null(subject);
        assert_int_equal(subject->value, fixed[i].value);
        assert_int_equal(subject->shows, fixed[i].shows);
    }
}

static void two_letters_a_word_are_enough_for_the_daily_ones(void **state)
{
    (void)state;
    const struct { const char *typed, *id; } cases[] = {
        { "gutter", "gutter" },      { "gut", "gutter" },        { "gut d", "gutter-damage" }, { "ov", "overview" },
        { "si s", "siding-size" },   { "si d", "siding-damage" }, { "te s", "test-square" },   { "pi", "pitch" },
        { "la", "layers" },          { "dr e", "drip-edge" },     { "ri v", "ridge-vent" },    { "pi f", "pipe-flashing" },
        { "so m", "soft-metal" },    { "co f", "condenser-fins" }, { "hail h", "hail-hit" },   { "no d", "no-damage-seen" },
        { "mi s", "missing-shingles" }, { "wind d", "wind-damage" }, { "addr", "address" },    { "ce d", "ceiling-damage" },
        { "mo r", "moisture-reading" }, { "wi s", "window-screen" }, { "sm so", "smoke-and-soot" },
    };
    g_autoptr(GbCatalogue) all = builtin();
    for (guint i = 0; i < G_N_ELEMENTS(cases); i++) {
        g_autoptr(GError) error = NULL;
        const GbSubject *found = gb_catalogue_find(all, cases[i].typed, &error);
        if (found == NULL)
            print_message("%s\n", error->message);
        else if (!g_str_equal(found->id, cases[i].id))
            print_message("'%s' is %s, wanted %s\n", cases[i].typed, found->id, cases[i].id);
        assert_true(found != NULL && g_str_equal(found->id, cases[i].id));
    }
    g_autoptr(GError) error = NULL;
    assert_null(gb_catalogue_find(all, "gutr", &error));
    assert_error(error, GB_ERROR_UNKNOWN, "nearest: 'Gutter', 'Gutter damage'");
    assert_null(gb_catalogue_find(all, "wind", &error));
    assert_error(error, GB_ERROR_UNCLEAR, "'Wind damage'");
}

/* --- a claim's own file --- */

static char *own_file(const char *folder, const char *text)
{
    char *path = g_build_filename(folder, "subjects.ini", NULL);
    assert_true(g_file_set_contents(path, text, -1, NULL));
    return path;
}

static void a_claims_own_file_adds_after_and_changes_only_what_it_gives(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbCatalogue) all = builtin();
    guint before = gb_catalogue_size(all);
    g_autofree char *path = own_file(*state,
        "[gutter]\nplain = Ours.\n[barn-cupola]\nname = Barn cupola\nvalue = length\ndistance = mid\nshows = damage\n");
    assert_true(gb_catalogue_extend(all, path, &error));
    assert_no_error(error);
    assert_int_equal(gb_catalogue_size(all), before + 1);

    const GbSubject *gutter = gb_catalogue_by_id(all, "gutter");
    assert_string_equal(gutter->plain, "Ours.");
    assert_string_equal(gutter->name, "Gutter");
    assert_int_equal(gutter->distance, GB_DISTANCE_MID);

    const GbSubject *cupola = gb_catalogue_peek(all, before);
    assert_string_equal(cupola->id, "barn-cupola");
    assert_string_equal(cupola->plain, "");
    assert_int_equal(cupola->value, GB_VALUE_LENGTH);
    assert_int_equal(cupola->shows, GB_SHOWS_DAMAGE);
    composes(all, "barn-cupola", "Barn", GB_DISTANCE_MID, "30", "Barn: barn cupola 30 in, mid-range");
}

static void sketches_and_notes_are_on_paper_and_a_claim_may_say_so_of_others(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbCatalogue) all = builtin();
    g_autofree char *path = own_file(*state, "[receipt]\nname = Receipt\npaper = yes\n[notes]\npaper = no\n");
    for (guint i = 0; i < gb_catalogue_size(all); i++) {
        const GbSubject *subject = gb_catalogue_peek(all, i);
        assert_int_equal(subject->paper, strcmp(subject->id, "sketch") == 0 || strcmp(subject->id, "notes") == 0);
    }
    assert_true(gb_catalogue_extend(all, path, &error));
    assert_true(gb_catalogue_by_id(all, "receipt")->paper);
    assert_false(gb_catalogue_by_id(all, "notes")->paper);
    assert_true(gb_catalogue_by_id(all, "sketch")->paper);
}

static void a_name_in_capitals_keeps_them_within_a_caption(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbCatalogue) all = builtin();
    g_autofree char *path = own_file(*state, "[tv]\nname = TV antenna\n");
    assert_true(gb_catalogue_extend(all, path, &error));
    composes(all, "tv", "Roof", GB_DISTANCE_UNKNOWN, NULL, "Roof: TV antenna");
}

/* The catalogue must be as before, and the message name file and line. */
static void spoils_nothing(const char *folder, const char *text, guint line, const char *part)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbCatalogue) all = builtin();
    guint before = gb_catalogue_size(all);
    /* a good change first: it must not stay */
    g_autofree char *whole = g_strconcat("[gutter]\nplain = Changed.\n", text, NULL);
    g_autofree char *path = own_file(folder, whole);
    assert_false(gb_catalogue_extend(all, path, &error));
    g_autofree char *place = g_strdup_printf("%s:%u: ", path, line + 2);
    if (error != NULL && strstr(error->message, part) == NULL)
        print_message("%s\n", error->message);
    assert_true(error != NULL && strstr(error->message, part) != NULL);
    assert_error(error, GB_ERROR_SYNTAX, place);
    assert_int_equal(gb_catalogue_size(all), before);
    assert_string_not_equal(gb_catalogue_by_id(all, "gutter")->plain, "Changed.");
}

static void a_faulty_file_changes_nothing_and_is_told_with_its_line(void **state)
{
    const struct { const char *text; guint line; const char *part; } cases[] = {
        { "[x]\nplain = No name.\n", 1, "'x' has no name" },
        { "[x]\nname = X\nnmae = Y\n", 3, "nearest: 'name'" },
        { "[x]\nname = X\ncaption = a {place\n", 3, "a { has no }" },
        { "[x]\nname = X\ncaption = a place}\n", 3, "a } has no {" },
        { "[x]\nname = X\ncaption = [a {place}\n", 3, "a [ has no ]" },
        { "[x]\nname = X\ncaption = a {place}]\n", 3, "may be unknown" },
        { "[x]\nname = X\ncaption = a]\n", 3, "a ] has no [" },
        { "[x]\nname = X\ncaption = [a [b]]\n", 3, "inside another" },
        { "[x]\nname = X\ncaption = [{plaec}]\n", 3, "a field 'plaec'; there are {place}" },
        { "[x]\nname = X\ncaption = {{subject}}\n", 3, "a { has no }" },
        { "[x]\nname = X\ncaption = {value}\n", 3, "may be unknown: put it" },
        { "[x]\nname = X\ncaption = [{value a|b|c}]\n", 3, "only {value one|many}" },
        { "[x]\nname = X\ncaption = [{place a|b}]\n", 3, "only {value one|many}" },
        { "[x]\nname = X\ncaption = %s {%n}\n", 3, "a field '%n'" },
        { "[x]\nname = X\nvalue = metres\n", 3, "'metres' is no kind of value" },
        { "[x]\nname = X\ndistance = far\n", 3, "'far' is no distance" },
        { "[x]\nname = X\nshows = dmage\n", 3, "'dmage' is not 'damage'" },
        { "[x]\nname = X\npaper = true\n", 3, "'true' is not 'yes' or 'no'" },
        { "[Hail Hit]\nname = X\n", 1, "can't name a subject" },
        { "[hail--hit]\nname = X\n", 1, "can't name a subject" },
        { "[-]\nname = X\n", 1, "can't name a subject" },
        { "[../x]\nname = X\n", 1, "can't name a subject" },
        { "[x]\nname = Gutter\n", 2, "[x] can't be told from [gutter] when typed: both are 'Gutter'" },
        { "[x]\nname = hail-hit\n", 2, "[x] can't be told from [hail-hit]" },
        { "[downspout]\nname = GUTTER\n", 2, "can't be told from" },
        { "[address]\nname = Gutter\n", 2, "[address] can't be told from [gutter]" },
        { "[x]\nname = --\n", 2, "has no letters" },
        { "[x]\nname = X\n[x]\nname = Y\n", 3, "is in line 3 already" },
    };
    for (guint i = 0; i < G_N_ELEMENTS(cases); i++)
        spoils_nothing(*state, cases[i].text, cases[i].line, cases[i].part);
}

static void sizes_from_a_file_are_bounded(void **state)
{
    g_autofree char *many_x = g_strnfill(100000, 'x');
    g_autofree char *name = g_strdup_printf("[x]\nname = %s\n", many_x);
    spoils_nothing(*state, name, 2, "the name is longer than 60 bytes");
    g_autofree char *caption = g_strdup_printf("[x]\nname = X\ncaption = %s\n", many_x);
    spoils_nothing(*state, caption, 3, "the caption is longer than 300 bytes");
    g_autofree char *id = g_strdup_printf("[%s]\nname = X\n", many_x);
    spoils_nothing(*state, id, 1, "can't name a subject");

    g_autoptr(GString) crowd = g_string_new(NULL);
    guint present, room;
    {
        g_autoptr(GbCatalogue) all = builtin();
        present = gb_catalogue_size(all);
        room = 500 - present;
    }
    for (guint i = 0; i <= room; i++)
        g_string_append_printf(crowd, "[crowd-%u]\nname = Crowd %u\n", i, i);
    spoils_nothing(*state, crowd->str, 2 * room + 1, "more than 500 subjects");
}

static void a_missing_file_is_named(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbCatalogue) all = builtin();
    g_autofree char *path = g_build_filename(*state, "none.ini", NULL);
    assert_false(gb_catalogue_extend(all, path, &error));
    assert_error(error, GB_ERROR_IO, "none.ini");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(captions_read_as_a_person_would_write_them),
        cmocka_unit_test(a_length_without_a_unit_is_shown_in_inches),
        cmocka_unit_test(without_a_subject_what_is_known_is_joined),
        cmocka_unit_test(every_subject_composes_a_clean_line_whatever_is_known),
        cmocka_unit_test(every_subject_is_explained_in_a_sentence_and_found_by_name_and_id),
        cmocka_unit_test(the_ids_in_use_are_there_and_say_what_they_show),
        cmocka_unit_test(two_letters_a_word_are_enough_for_the_daily_ones),
        test_in_folder(a_claims_own_file_adds_after_and_changes_only_what_it_gives),
        test_in_folder(sketches_and_notes_are_on_paper_and_a_claim_may_say_so_of_others),
        test_in_folder(a_name_in_capitals_keeps_them_within_a_caption),
        test_in_folder(a_faulty_file_changes_nothing_and_is_told_with_its_line),
        test_in_folder(sizes_from_a_file_are_bounded),
        test_in_folder(a_missing_file_is_named),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
