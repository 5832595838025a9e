/* test_component.c -- the components: the built-in ones fit the subjects, a claim's own can't spoil them.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "test.h"

#include <gablebook/catalogue.h>
#include <gablebook/component.h>
#include <gablebook/error.h>

static GbComponents *builtin(void)
{
    g_autoptr(GError) error = NULL;
    GbComponents *components = gb_components_builtin(&error);
    assert_no_error(error);
    return components;
}

static void every_subject_named_in_the_list_shows_damage_and_leads_to_one_component(void **state)
{
    (void)state;
    g_autoptr(GbComponents) all = builtin();
    g_autoptr(GbCatalogue) catalogue = gb_catalogue_builtin(NULL);
    g_autoptr(GHashTable) seen = g_hash_table_new(g_str_hash, g_str_equal);
    for (guint i = 0; i < gb_components_size(all); i++)
        for (char **id = gb_components_peek(all, i)->seen; *id != NULL; id++) {
            const GbSubject *subject = gb_catalogue_by_id(catalogue, *id);
            if (subject == NULL || subject->shows != GB_SHOWS_DAMAGE || !g_hash_table_add(seen, *id))
                fail_msg("[%s]: %s", gb_components_peek(all, i)->id, *id);
        }
    assert_string_equal(gb_components_by_subject(all, "screen-damage")->name, "Window screen");
    assert_null(gb_components_by_subject(all, "overview"));
}

static void a_component_is_found_by_abbreviation_and_by_its_id(void **state)
{
    (void)state;
    g_autoptr(GError) error = NULL;
    g_autoptr(GbComponents) all = builtin();
    assert_string_equal(gb_components_find(all, "dr ed", &error)->id, "drip-edge");
    assert_int_equal(gb_components_find(all, "shingles", &error)->unit, GB_UNIT_SQ);
    for (guint i = 0; i < gb_components_size(all); i++) {
        const GbComponent *component = gb_components_peek(all, i);
        assert_ptr_equal(gb_components_find(all, component->name, &error), component);
        assert_ptr_equal(gb_components_find(all, component->id, &error), component);
        assert_int_not_equal(component->unit, GB_UNIT_NONE);
    }
    assert_null(gb_components_find(all, "shingels", &error));
    assert_error(error, GB_ERROR_UNKNOWN, "nearest: 'Shingles'");
    assert_null(gb_components_find(all, "ridge", &error));
    assert_error(error, GB_ERROR_UNCLEAR, "'Ridge cap' or 'Ridge vent'");
}

static char *write_ini(void **state, const char *text)
{
    char *path = g_build_filename(*state, "components.ini", NULL);
    assert_true(g_file_set_contents(path, text, -1, NULL));
    return path;
}

static void a_claim_adds_its_own_and_changes_others(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbComponents) all = builtin();
    guint before = gb_components_size(all);
    g_autofree char *path = write_ini(state, "[weather-vane]\nname = Weather vane\nunit = EA\n[shingles]\nmeasure =\n[siding]\nunit = SQ\nmeasure = sq with\n");
    gb_components_extend(all, path, &error);
    assert_no_error(error);
    assert_int_equal(gb_components_size(all), before + 1);
    assert_string_equal(gb_components_find(all, "vane", &error)->id, "weather-vane");
    assert_null(gb_components_by_id(all, "shingles")->measure);
    assert_string_equal(gb_components_by_id(all, "shingles")->name, "Shingles");
    assert_int_equal(gb_components_by_id(all, "siding")->unit, GB_UNIT_SQ);
    assert_string_equal(gb_components_by_id(all, "siding")->measure, "squares with waste");
}

static void a_faulty_file_changes_nothing_and_says_where(void **state)
{
    static const struct { const char *text, *part; } cases[] = {
        { "[vane]\nname = Vane\n", "components.ini:1: the new component 'vane' has no unit" },
        { "[vane]\nunit = EA\n", "has no name" },
        { "[vane]\nname = Vane\nunit = each\n", "components.ini:3: 'each' is no unit; there are EA, LF, SF and SQ" },
        { "[Vane]\nname = Vane\nunit = EA\n", "can't name a component" },
        { "[shingle]\nname = shin-gles\nunit = EA\n", "can't be told from [shingles] when typed" },
        { "[vane]\nname = ---\nunit = EA\n", "the name has no letters" },
        { "[vane]\nname = Vane\nunit = EA\nmeasure = height\n", "components.ini:4: 'height' is no quantity of a roof" },
        { "[vane]\nname = Vane\nunit = EA\ncolour = red\n", "colour" },
    };
    for (gsize i = 0; i < G_N_ELEMENTS(cases); i++) {
        g_autoptr(GError) error = NULL;
        g_autoptr(GbComponents) all = builtin();
        guint before = gb_components_size(all);
        g_autofree char *path = write_ini(state, cases[i].text);
        assert_false(gb_components_extend(all, path, &error));
        assert_error(error, GB_ERROR_SYNTAX, cases[i].part);
        assert_int_equal(gb_components_size(all), before);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_subject_named_in_the_list_shows_damage_and_leads_to_one_component),
        cmocka_unit_test(a_component_is_found_by_abbreviation_and_by_its_id),
        test_in_folder(a_claim_adds_its_own_and_changes_others),
        test_in_folder(a_faulty_file_changes_nothing_and_says_where),
    };
    return cmocka_run_group_tests_name("component", tests, NULL, NULL);
}
