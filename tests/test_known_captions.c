/* test_known_captions.c -- captions in a person's own words, held against facts, test squares and their photo's own value.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "claim_support.h"

#include <gablebook/dossier.h>
#include <gablebook/error.h>
#include <gablebook/fact.h>
#include <gablebook/square.h>
#include <gablebook/tag.h>

static void fact(GbLog *log, const char *place, const char *kind, const char *value)
{
    g_autoptr(GError) error = NULL;
    gb_fact_say(log, place, kind, &(GbFactEdit){ .value = value }, NULL, &error);
    assert_no_error(error);
}

static void caption(GbLog *log, const char *shots, GbTag tag)
{
    g_autoptr(GError) error = NULL;
    gb_tag(log, shots, &tag, NULL, &error);
    assert_no_error(error);
}

/* A house: pitch 6/12 all over, one layer, two storeys, four pipe flashings, covering 12 to 15 years old, siding 4 in;
 * 9 hits in the front. */
static GbLog *house(void **state)
{
    g_autoptr(GError) error = NULL;
    GbLog *log = new_claim(state);
    enter_photos(log, 6);
    fact(log, "roof", "pitch", "6/12");
    fact(log, "roof", "layers", "1");
    fact(log, "dwelling", "storeys", "2");
    fact(log, "roof", "pipe flashings", "4");
    fact(log, "roof", "age of the covering", "12-15 years");
    fact(log, "dwelling", "siding exposure", "4 in");
    gb_square_say(log, "front slope", &(GbSquareEdit){ .hits = "9" }, NULL, &error);
    assert_no_error(error);
    return log;
}

/* The contradictions that a caption is in, joined by '|'. OWNED by the caller. */
static char *captions_in_doubt(GbLog *log)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbDossier) dossier = gb_dossier_load(log, &error);
    assert_no_error(error);
    GString *text = g_string_new(NULL);
    for (guint i = 0; i < dossier->check->points->len; i++) {
        const GbPoint *point = dossier->check->points->pdata[i];
        if (point->contradiction && strstr(point->text, "caption") != NULL)
            g_string_append_printf(text, "%s%s", text->len > 0 ? "|" : "", point->text);
    }
    return g_string_free(text, FALSE);
}

static void assert_doubt(GbLog *log, const char *wanted)
{
    g_autofree char *seen = captions_in_doubt(log);
    assert_string_equal(seen, wanted);
}

static void a_caption_that_contradicts_a_fact_is_pointed_out(void **state)
{
    static const struct { GbTag tag; const char *doubt; } cases[] = {
        { { .place = "front slope", .caption = "Front slope, pitch 8/12" }, "front slope: Pitch is 6/12, 26.6°, but the caption of shot 1 says 8/12" },
        { { .place = "front slope", .caption = "Two layers at the eave" }, "front slope: Layers is 1, but the caption of shot 1 says two layers" },
        { { .place = "front", .caption = "The one-story wing" }, "front: Storeys is 2, but the caption of shot 1 says one-story" },
        { { .place = "rear slope", .caption = "5 pipe flashings here" }, "rear slope: Pipe flashings is 4, but the caption of shot 1 says 5" },
        { { .place = "right", .subject = "siding size", .caption = "Siding exposure 5 in" },
          "right: Siding exposure is 4 in, but the caption of shot 1 says 5 in" },
        { { .place = "front slope", .subject = "test square", .caption = "Test square, 12 hits" },
          "front slope: Test square is 9 hits, but the caption of shot 1 says 12 hits" },
    };
    for (gsize i = 0; i < G_N_ELEMENTS(cases); i++) {
        g_autofree char *folder = claim_path(state);
        if (g_file_test(folder, G_FILE_TEST_EXISTS))
            remove_tree(folder);
        g_autoptr(GbLog) log = house(state);
        caption(log, "1", cases[i].tag);
        assert_doubt(log, cases[i].doubt);
    }
}

static void a_caption_that_can_be_true_is_left_alone(void **state)
{
    static const GbTag tags[] = {
        { .place = "front slope", .caption = "Front slope, pitch 6/12" },
        { .place = "front slope", .caption = "Pitch 26.57 deg, gauge 6:12" },
        { .place = "front slope", .caption = "One layer; the two-story part behind" },
        { .place = "rear slope", .caption = "3 pipe flashings of the four" }, /* one picture, not the roof */
        { .place = "front slope", .subject = "test square", .caption = "Test square: nine hits" },
        { .place = "front slope", .subject = "test square", .caption = "House 12, taken 5/12" },
        { .place = "right", .subject = "siding size", .caption = "Exposure 4 in beside a 6 in tape" }, /* two lengths */
        { .place = "right", .subject = "overview", .caption = "Wall, 5 ft from the corner" },          /* proves no length */
        { .place = "front slope", .caption = "Pitch 8/12", .in_report = GB_LEAVE_OUT },
        { .caption = "Pitch 8/12" }, /* nobody knows where */
    };
    for (gsize i = 0; i < G_N_ELEMENTS(tags); i++) {
        g_autofree char *folder = claim_path(state);
        if (g_file_test(folder, G_FILE_TEST_EXISTS))
            remove_tree(folder);
        g_autoptr(GbLog) log = house(state);
        caption(log, "1", tags[i]);
        assert_doubt(log, "");
    }
}

static void a_caption_is_held_against_its_own_photos_value_first(void **state)
{
    g_autoptr(GbLog) log = house(state);
    caption(log, "2", (GbTag){ .place = "rear slope", .subject = "hail hit", .value = "1.7 in", .caption = "Hail hit, 2 in" });
    assert_doubt(log, "rear slope: Hail hit is 1.7 in, but the caption of shot 2 says 2 in");
    /* The value already contradicts the fact; the caption only repeats it, and is not told twice. */
    caption(log, "2", (GbTag){ .place = "rear slope", .subject = "pitch", .value = "8/12", .caption = "Gauge reads 8/12" });
    assert_doubt(log, "");
}

static void a_composed_caption_is_never_in_doubt(void **state)
{
    g_autoptr(GbLog) log = house(state);
    caption(log, "1", (GbTag){ .place = "front slope", .subject = "test square", .value = "12" }); /* the value is, and that is told */
    assert_doubt(log, "");
}

static void of_several_test_squares_any_may_be_meant(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbLog) log = house(state);
    gb_square_say(log, "front slope", &(GbSquareEdit){ .number = "2", .hits = "12" }, NULL, &error);
    assert_no_error(error);
    caption(log, "1", (GbTag){ .place = "front slope", .subject = "test square", .caption = "Second square, 12 hits" });
    assert_doubt(log, "");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        test_in_folder(a_caption_that_contradicts_a_fact_is_pointed_out),
        test_in_folder(a_caption_that_can_be_true_is_left_alone),
        test_in_folder(a_caption_is_held_against_its_own_photos_value_first),
        test_in_folder(a_composed_caption_is_never_in_doubt),
        test_in_folder(of_several_test_squares_any_may_be_meant),
    };
    return cmocka_run_group_tests_name("known captions", tests, NULL, NULL);
}
