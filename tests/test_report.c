/* test_report.c -- the page built from a real claim folder: complete, harmless, valid, the same each time.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "test.h"

#include <gablebook/builtin.h>
#include <gablebook/error.h>
#include <gablebook/import.h>
#include <gablebook/new.h>
#include <gablebook/report.h>
#include <gablebook/tag.h>
#include <glib/gstdio.h>
#include <jpeglib.h>

#define HOSTILE "<script>alert(1)</script> \"quoted\" 'single' ]]> <!-- & &amp; {{title}}"

/* --- an invented claim in a folder --- */

/* A picture of one shade, big enough that it must be made smaller. */
static void write_jpeg(const char *path, int width, int height, int shade)
{
    struct jpeg_compress_struct codec = { 0 };
    struct jpeg_error_mgr errors;
    codec.err = jpeg_std_error(&errors);
    jpeg_create_compress(&codec);
    unsigned char *out = NULL;
    unsigned long n = 0;
    jpeg_mem_dest(&codec, &out, &n);
    codec.image_width = (JDIMENSION)width;
    codec.image_height = (JDIMENSION)height;
    codec.input_components = 1;
    codec.in_color_space = JCS_GRAYSCALE;
    jpeg_set_defaults(&codec);
    jpeg_start_compress(&codec, TRUE);
    g_autofree JSAMPLE *line = g_malloc((gsize)width);
    memset(line, shade, (gsize)width);
    for (int y = 0; y < height; y++) {
        JSAMPROW row = line;
        jpeg_write_scanlines(&codec, &row, 1);
    }
    jpeg_finish_compress(&codec);
    jpeg_destroy_compress(&codec);
    assert_true(g_file_set_contents(path, (const char *)out, (gssize)n, NULL));
    free(out);
}

/* A claim with five photos: 1 front, 2 garage front, 3 site, 4 left out, 5 without a place. OWNED by the caller. */
static GbLog *make_claim(const char *folder)
{
    g_autoptr(GError) error = NULL;
    g_autofree char *claim = g_build_filename(folder, "claim", NULL);
    g_autofree char *card = g_build_filename(folder, "card", NULL);
    const GbEdit facts = { .insured = HOSTILE, .address = "418 Cottonwood Bend, Alder Falls", .cause = "hail" };
    GbLog *log = gb_new(claim, &facts, &error);
    assert_no_error(error);
    assert_int_equal(g_mkdir(card, 0755), 0);
    for (int i = 1; i <= 5; i++) {
        g_autofree char *name = g_strdup_printf("IMG_%04d.JPG", i);
        g_autofree char *path = g_build_filename(card, name, NULL);
        write_jpeg(path, 640, 480, 40 * i);
    }
    GbImportTally tally;
    const char *const paths[] = { card, NULL };
    assert_true(gb_import(log, paths, NULL, &tally, &error));
    assert_int_equal(tally.fresh, 5);
    const struct { const char *shots; GbTag tag; } tags[] = {
        { "1", { .place = "front", .subject = "overview", .caption = HOSTILE } },
        { "2", { .place = "rear slope", .subject = "test square", .value = "9" } },
        { "3", { .place = "site", .subject = "address" } },
        { "4", { .place = "front", .in_report = GB_LEAVE_OUT } },
    };
    for (gsize i = 0; i < G_N_ELEMENTS(tags); i++) {
        g_autofree char *summary = NULL;
        gb_tag(log, tags[i].shots, &tags[i].tag, &summary, &error);
        assert_no_error(error);
    }
    return log;
}

/* Build with a small picture size and read what was written. OWNED by the caller. */
static char *build(GbLog *log)
{
    g_autoptr(GError) error = NULL;
    g_autofree char *written = NULL;
    const GbReportOptions options = { .picture_px = 200 };
    gb_report_build(log, &options, &written, &error);
    assert_no_error(error);
    return slurp(written);
}

/* The path of the original that came as this file. OWNED by the caller. */
static char *original_of(GbLog *log, const char *source_name)
{
    g_autoptr(GPtrArray) shots = gb_shots_load(log, NULL);
    for (guint i = 0; i < shots->len; i++) {
        const GbShot *shot = g_ptr_array_index(shots, i);
        if (strcmp(shot->source_name, source_name) == 0)
            return gb_log_path(log, "originals", shot->stored_name, NULL);
    }
    fail_msg("%s was not imported", source_name);
    return NULL;
}

static guint count(const char *page, const char *part)
{
    guint n = 0;
    for (const char *p = page; (p = strstr(p, part)) != NULL; p += strlen(part))
        n++;
    return n;
}

static void assert_holds(const char *page, const char *part)
{
    if (strstr(page, part) == NULL)
        fail_msg("the page does not hold '%s'", part);
}

/* --- what is in it --- */

static void chapters_and_figures_follow_the_walk(void **state)
{
    g_autoptr(GbLog) log = make_claim(*state);
    g_autofree char *page = build(log);
    const char *order[] = { "<h1 dir=\"auto\">418 Cottonwood Bend", "What is missing", "Contents", "<h2 id=\"site\"", "figure-1\"",
                            "<h2 id=\"elevation-front\"", "figure-2\"", "<h2 id=\"elevation-right\"", "<h2 id=\"elevation-rear\"",
                            "<h2 id=\"elevation-left\"", "No photo shows this elevation", "<h2 id=\"roof\"", "figure-3\"",
                            "<h2 id=\"unplaced\"", "figure-4\"", "<h2 id=\"files\"" };
    const char *from = page;
    for (gsize i = 0; i < G_N_ELEMENTS(order); i++) {
        const char *found = strstr(from, order[i]);
        if (found == NULL)
            fail_msg("'%s' is not on the page, or too early", order[i]);
        from = found;
    }
    assert_int_equal(count(page, "<figure "), 4);
    assert_int_equal(count(page, "src=\"data:image/jpeg;base64,"), 4);
}

static void a_photo_left_out_is_listed_among_the_files_only(void **state)
{
    g_autoptr(GbLog) log = make_claim(*state);
    g_autofree char *page = build(log);
    assert_int_equal(count(page, "IMG_0004.JPG"), 1);
    assert_int_equal(count(page, "IMG_0003.JPG"), 2);
    assert_int_equal(count(page, "left out</span>"), 1);
    assert_holds(page, "Each is byte for byte the file that was taken in");
}

static void hostile_text_stays_text(void **state)
{
    g_autoptr(GbLog) log = make_claim(*state);
    g_autofree char *page = build(log);
    assert_null(strstr(page, "<script"));
    assert_holds(page, "&lt;script&gt;alert(1)&lt;/script&gt;");
    assert_holds(page, "{{title}}"); /* not understood a second time */
    assert_int_equal(count(page, "<!--"), 1); /* the digest in the last line */
}

static void nothing_is_loaded_from_elsewhere(void **state)
{
    g_autoptr(GbLog) log = make_claim(*state);
    g_autofree char *page = build(log);
    const char *loads[] = { "src=\"http", "href=\"http", "url(", "@import", "<link", "<iframe", "<object", "src=\"//" };
    for (gsize i = 0; i < G_N_ELEMENTS(loads); i++)
        assert_null(strstr(page, loads[i]));
}

static void every_id_is_unique_and_every_link_within_the_page_arrives(void **state)
{
    g_autoptr(GbLog) log = make_claim(*state);
    g_autofree char *page = build(log);
    g_autoptr(GHashTable) ids = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL);
    for (const char *p = page; (p = strstr(p, " id=\"")) != NULL;) {
        p += strlen(" id=\"");
        char *id = g_strndup(p, strcspn(p, "\""));
        if (!g_hash_table_add(ids, id))
            fail_msg("an id is there twice");
    }
    guint links = 0;
    for (const char *p = page; (p = strstr(p, " href=\"#")) != NULL; links++) {
        p += strlen(" href=\"#");
        g_autofree char *id = g_strndup(p, strcspn(p, "\""));
        if (!g_hash_table_contains(ids, id))
            fail_msg("a link leads to #%s, which is nowhere", id);
    }
    assert_true(links > 10);
}

static void every_picture_has_words_for_who_cannot_see_it(void **state)
{
    g_autoptr(GbLog) log = make_claim(*state);
    g_autofree char *page = build(log);
    guint pictures = 0;
    for (const char *p = page; (p = strstr(p, "<img ")) != NULL; pictures++) {
        g_autofree char *tag = g_strndup(p, strcspn(p, ">"));
        const char *alt = strstr(tag, " alt=\"");
        assert_non_null(alt);
        assert_true(strlen(alt) > 20);
        assert_null(strstr(alt, ".JPG"));
        p += strlen(tag);
    }
    assert_int_equal(pictures, 4);
}

/* --- the same each time, whatever the cache holds --- */

static void the_same_claim_gives_the_same_bytes_with_and_without_its_cache(void **state)
{
    g_autoptr(GbLog) log = make_claim(*state);
    g_autofree char *first = build(log);
    g_autofree char *second = build(log);
    g_autofree char *cache = gb_log_path(log, "cache", NULL);
    remove_tree(cache);
    g_autofree char *third = build(log);
    assert_true(strcmp(first, second) == 0);
    assert_true(strcmp(first, third) == 0);
}

static void a_missing_original_becomes_a_sentence_even_when_the_cache_has_its_picture(void **state)
{
    g_autoptr(GbLog) log = make_claim(*state);
    g_autofree char *before = build(log);
    g_autofree char *original = original_of(log, "IMG_0001.JPG");
    assert_int_equal(g_remove(original), 0);
    g_autofree char *page = build(log);
    assert_int_equal(count(page, "<img "), 3);
    assert_holds(page, "This photo can&#39;t be shown: its original is missing from the claim folder");
    assert_null(strstr(page, "Each is byte for byte"));
    assert_true(strcmp(before, page) != 0);
}

static void a_changed_original_becomes_a_sentence(void **state)
{
    g_autoptr(GbLog) log = make_claim(*state);
    g_autofree char *original = original_of(log, "IMG_0003.JPG");
    (void)g_chmod(original, 0644);
    write_jpeg(original, 640, 480, 7);
    g_autofree char *page = build(log);
    assert_int_equal(count(page, "<img "), 3);
    assert_holds(page, "no longer the file that was taken in: its SHA-256 differs");
}

/* --- templates --- */

static void write_own_template(GbLog *log, const char *file, const char *text)
{
    g_autofree char *folder = gb_log_path(log, "templates", "report", NULL);
    g_autofree char *path = g_build_filename(folder, file, NULL);
    assert_int_equal(g_mkdir_with_parents(folder, 0755), 0);
    assert_true(g_file_set_contents(path, text, -1, NULL));
}

static void a_claims_own_template_and_its_own_style_come_before_the_programs(void **state)
{
    g_autoptr(GbLog) log = make_claim(*state);
    write_own_template(log, "photo-report.css", "body { color: #123456; }\n");
    g_autofree char *styled = build(log);
    assert_holds(styled, "#123456");
    assert_null(strstr(styled, "Iowan"));
    write_own_template(log, "photo-report.html", "{{title}}: {{counts.figures}} of {{counts.files}}\n");
    g_autofree char *page = build(log);
    assert_true(g_str_has_prefix(page, "418 Cottonwood Bend, Alder Falls: 4 of 5\n\n<!-- gablebook-sha256 "));
}

static void a_mistake_in_a_template_is_told_and_the_last_report_is_kept(void **state)
{
    g_autoptr(GbLog) log = make_claim(*state);
    g_autofree char *before = build(log);
    write_own_template(log, "figure.html", "\n{{#time}}");
    g_autoptr(GError) error = NULL;
    const GbReportOptions options = { .picture_px = 200 };
    assert_false(gb_report_build(log, &options, NULL, &error));
    assert_error(error, GB_ERROR_SYNTAX, "figure.html:2: section 'time' is not closed");
    g_autofree char *path = gb_log_path(log, "reports", "photo-report.html", NULL);
    g_autofree char *after = slurp(path);
    assert_true(strcmp(before, after) == 0);
}

/* --- held against standards --- */

/* Source: the Nu HTML checker (npm vnu-jar), the reference implementation of the HTML standard's conformance rules. */
static void the_page_is_valid_html(void **state)
{
    const char *vnu = g_getenv("GB_VNU");
    if (!have_program("java") || vnu == NULL || !g_file_test(vnu, G_FILE_TEST_EXISTS)) {
        if (g_getenv("CI") != NULL)
            fail_msg("GB_VNU names no checker, and this is CI");
        skip();
    }
    g_autoptr(GbLog) log = make_claim(*state);
    g_autofree char *original = original_of(log, "IMG_0001.JPG");
    assert_int_equal(g_remove(original), 0);
    g_autofree char *page = build(log);
    g_autofree char *path = gb_log_path(log, "reports", "photo-report.html", NULL);
    g_autofree char *said = NULL;
    const char *argv[] = { "java", "-jar", vnu, "--errors-only", path, NULL };
    int status = run(argv, NULL, &said);
    if (status != 0)
        fail_msg("the HTML checker says: %s", said);
}

/* Relative luminance and contrast by WCAG 2.2, "relative luminance" and "contrast ratio" (published). */
static double luminance(const char *hex)
{
    double sum = 0;
    const double weights[] = { 0.2126, 0.7152, 0.0722 };
    gsize digits = strspn(hex, "0123456789abcdefABCDEF") == 3 ? 1 : 2;
    for (gsize i = 0; i < 3; i++) {
        g_autofree char *part = g_strndup(hex + i * digits, digits);
        double value = (double)g_ascii_strtoull(part, NULL, 16) / (digits == 1 ? 15.0 : 255.0);
        sum += weights[i] * (value <= 0.04045 ? value / 12.92 : pow((value + 0.055) / 1.055, 2.4));
    }
    return sum;
}

static double contrast(const char *a, const char *b)
{
    double light = MAX(luminance(a), luminance(b)), dark = MIN(luminance(a), luminance(b));
    return (light + 0.05) / (dark + 0.05);
}

/* The digits of a colour in a block of custom properties, behind the '#'. */
static const char *colour(const char *block, const char *name)
{
    g_autofree char *key = g_strconcat("--", name, ": #", NULL);
    const char *at = strstr(block, key);
    assert_non_null(at);
    return at + strlen(key);
}

static void the_contrast_formula_is_the_published_one(void **state)
{
    (void)state;
    assert_near(contrast("000000", "fff"), 21.0, 1e-9);
    assert_near(contrast("767676", "ffffff"), 4.54, 0.005);
}

static void all_words_keep_contrast_aa_in_light_dark_and_print(void **state)
{
    (void)state;
    g_autofree char *css = gb_builtin_text("templates/report/photo-report.css", NULL);
    const char *grounds[] = { "paper", "frame" }, *words[] = { "ink", "soft", "link", "warn" };
    guint blocks = 0;
    for (const char *block = css; (block = strstr(block, ":root {")) != NULL; block++, blocks++)
        for (gsize g = 0; g < G_N_ELEMENTS(grounds); g++)
            for (gsize w = 0; w < G_N_ELEMENTS(words); w++) {
                double ratio = contrast(colour(block, words[w]), colour(block, grounds[g]));
                if (ratio < 4.5)
                    fail_msg("%s on %s in colour scheme %u: %.2f", words[w], grounds[g], blocks, ratio);
            }
    assert_int_equal(blocks, 3);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        test_in_folder(chapters_and_figures_follow_the_walk),
        test_in_folder(a_photo_left_out_is_listed_among_the_files_only),
        test_in_folder(hostile_text_stays_text),
        test_in_folder(nothing_is_loaded_from_elsewhere),
        test_in_folder(every_id_is_unique_and_every_link_within_the_page_arrives),
        test_in_folder(every_picture_has_words_for_who_cannot_see_it),
        test_in_folder(the_same_claim_gives_the_same_bytes_with_and_without_its_cache),
        test_in_folder(a_missing_original_becomes_a_sentence_even_when_the_cache_has_its_picture),
        test_in_folder(a_changed_original_becomes_a_sentence),
        test_in_folder(a_claims_own_template_and_its_own_style_come_before_the_programs),
        test_in_folder(a_mistake_in_a_template_is_told_and_the_last_report_is_kept),
        test_in_folder(the_page_is_valid_html),
        cmocka_unit_test(the_contrast_formula_is_the_published_one),
        cmocka_unit_test(all_words_keep_contrast_aa_in_light_dark_and_print),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
