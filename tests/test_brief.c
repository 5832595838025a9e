/* test_brief.c -- the page before the visit.
 *
 * Sources of the cautions' numbers: 29 CFR 1926.500(b) (steep: over 4 in 12), 29 CFR 1926.1053 (ladders: a quarter, 3
 * ft, three points), OSHA's 10 ft from power lines up to 50 kV, extremeweather.unl.edu (30 seconds, 30 minutes). Dogs:
 * common practice, no source.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "claim_support.h"

#include <gablebook/brief.h>
#include <gablebook/edit.h>
#include <gablebook/error.h>
#include <gablebook/structure.h>

#define PAGE_LINES 60 /* of a letter page at ten points with margins: common practice, no source */
#define PAGE_COLUMNS 100

static GbLog *claim_of(void **state, const char *cause)
{
    g_autoptr(GError) error = NULL;
    GbLog *log = new_claim(state);
    gb_edit(log, &(GbEdit){ .cause = cause, .insured = "Ada \x1b[31mQuill", .address = "418 Elm Lane" }, &error);
    assert_no_error(error);
    gb_structure_edit(log, &(GbStructureEdit){ .name = "garage", .elevations = "all", .slopes = "left, right" }, NULL, &error);
    gb_structure_edit(log, &(GbStructureEdit){ .name = "fence" }, NULL, &error);
    gb_structure_edit(log, &(GbStructureEdit){ .name = "dwelling", .rooms = "kitchen, bath" }, NULL, &error);
    assert_no_error(error);
    return log;
}

static char *brief_of(GbLog *log, guint columns)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbDossier) dossier = gb_dossier_load(log, &error);
    assert_no_error(error);
    return gb_brief_text(dossier, columns);
}

static void the_brief_of_every_kind_of_claim_fits_a_page(void **state)
{
    static const char *const causes[] = { "hail and wind", "water", "fire" };
    for (gsize c = 0; c < G_N_ELEMENTS(causes); c++) {
        g_autofree char *folder = claim_path(state);
        if (g_file_test(folder, G_FILE_TEST_EXISTS))
            remove_tree(folder);
        g_autoptr(GbLog) log = claim_of(state, causes[c]);
        g_autofree char *text = brief_of(log, PAGE_COLUMNS);
        g_auto(GStrv) lines = g_strsplit(text, "\n", -1);
        if (g_strv_length(lines) - 1 > PAGE_LINES)
            fail_msg("%s: %u lines\n%s", causes[c], g_strv_length(lines) - 1, text);
        for (char **line = lines; *line != NULL; line++)
            if (g_utf8_strlen(*line, -1) > PAGE_COLUMNS)
                fail_msg("%s", *line);
    }
}

static void every_caution_is_there_with_its_source(void **state)
{
    static const char *const parts[] = { "Dogs: look before the gate", "common practice, no source", "Power lines:", "10 ft", "three-point contact",
                                         "29 CFR 1926.1053", "over 4 in 12", "29 CFR 1926.500", "30 s of the flash", "30 min after the last",
                                         "Local codes and licensed practice decide" };
    g_autoptr(GbLog) log = claim_of(state, "water");
    g_autofree char *text = brief_of(log, 10000);
    for (gsize i = 0; i < G_N_ELEMENTS(parts); i++)
        if (strstr(text, parts[i]) == NULL)
            fail_msg("%s", parts[i]);
}

/* Where in the text; fails when it is not there. */
static gsize at(const char *text, const char *part)
{
    const char *found = strstr(text, part);
    if (found == NULL)
        fail_msg("'%s' is not in:\n%s", part, text);
    return (gsize)(found - text);
}

static void it_goes_from_the_property_round_the_walls_and_then_up(void **state)
{
    g_autoptr(GbLog) log = claim_of(state, "hail");
    g_autofree char *text = brief_of(log, 1000);
    static const char *const order[] = { "Take care", "The property, once", "[ ] House number", "Each: front, right, rear, left\n", "[ ] The whole elevation, ground to eave",
                                         "Anywhere: dwelling", "[ ] The pitch, with a gauge held to the roof or its edge; write it down",
                                         "Each: front slope, right slope, rear slope, left slope\n", "Everything damaged", "Measure, count and write down", "dwelling: roof covering" };
    for (gsize i = 0; i + 1 < G_N_ELEMENTS(order); i++)
        assert_true(at(text, order[i]) < at(text, order[i + 1]));
}

static void what_the_cause_does_not_ask_for_is_not_in_it(void **state)
{
    g_autoptr(GbLog) log = claim_of(state, "wind");
    g_autofree char *text = brief_of(log, 1000);
    assert_null(strstr(text, "Test square, ten by ten feet"));
    assert_non_null(strstr(text, "The whole slope, ridge to eave"));
}

static void what_a_claim_says_is_harmless_on_the_screen(void **state)
{
    g_autoptr(GbLog) log = claim_of(state, "hail");
    g_autofree char *text = brief_of(log, 40);
    assert_null(strchr(text, 0x1b));
    assert_non_null(strstr(text, "418 Elm Lane"));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        test_in_folder(the_brief_of_every_kind_of_claim_fits_a_page),
        test_in_folder(every_caution_is_there_with_its_source),
        test_in_folder(it_goes_from_the_property_round_the_walls_and_then_up),
        test_in_folder(what_the_cause_does_not_ask_for_is_not_in_it),
        test_in_folder(what_a_claim_says_is_harmless_on_the_screen),
    };
    return cmocka_run_group_tests_name("brief", tests, NULL, NULL);
}
