/* test_pdf.c -- the PDF held against other programs: qpdf (is it sound, where do links lead), pdfinfo, pdftotext and pdfimages of poppler
 * (what a reader finds in it).
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "photo_support.h"

#include <gablebook/catalogue.h>
#include <gablebook/edit.h>
#include <gablebook/error.h>
#include <gablebook/finding.h>
#include <gablebook/import.h>
#include <gablebook/mark.h>
#include <gablebook/new.h>
#include <gablebook/note.h>
#include <gablebook/report.h>
#include <gablebook/tag.h>
#include <gablebook/waive.h>
#include <glib/gstdio.h>
#include <jansson.h>

#define PX 200

/* --- an invented claim --- */

/* A claim with n photos in FOLDER/claim, none of them placed. OWNED by the caller. */
static GbLog *bare_claim(const char *folder, guint n)
{
    g_autoptr(GError) error = NULL;
    g_autofree char *claim = g_build_filename(folder, "claim", NULL);
    g_autofree char *card = g_build_filename(folder, "card", NULL);
    const GbEdit facts = { .insured = "Ada Quill", .number = "H-1", .address = "418 Cottonwood Bend", .cause = "hail",
                           .inspection_date = "2026-05-14", .adjuster = "M. Tarn" };
    GbLog *log = gb_new(claim, &facts, &error);
    assert_no_error(error);
    for (guint i = 1; i <= n; i++) {
        g_autofree char *name = g_strdup_printf("IMG_%04u.JPG", i);
        g_autoptr(GBytes) bytes = i % 5 == 2 ? jpeg_bytes(48, 64, i) : jpeg_bytes(64, 48, i);
        g_autofree char *path = put_file(card, name, g_bytes_get_data(bytes, NULL), g_bytes_get_size(bytes));
    }
    if (n == 0)
        return log;
    GbImportTally tally;
    const char *const paths[] = { card, NULL };
    assert_true(gb_import(log, paths, NULL, &tally, &error));
    assert_int_equal(tally.fresh, n);
    return log;
}

static void tag(GbLog *log, const char *shots, const GbTag *words)
{
    g_autoptr(GError) error = NULL;
    g_autofree char *summary = NULL;
    gb_tag(log, shots, words, &summary, &error);
    assert_no_error(error);
}

/* Six photos: address, overview and gutter damage in front, test square on the rear slope, one left out, one nowhere. */
static GbLog *make_claim(const char *folder)
{
    GbLog *log = bare_claim(folder, 6);
    tag(log, "1", &(GbTag){ .place = "site", .subject = "address", .caption = "Zebra caption of the site" });
    tag(log, "2", &(GbTag){ .place = "front", .subject = "overview", .caption = "Yellow caption in front" });
    tag(log, "3", &(GbTag){ .place = "front", .subject = "gutter damage" });
    tag(log, "4", &(GbTag){ .place = "rear slope", .subject = "test square", .value = "9" });
    tag(log, "5", &(GbTag){ .place = "front", .in_report = GB_LEAVE_OUT });
    return log;
}

/* Build a PDF; its path, OWNED by the caller. */
static char *build(GbLog *log, GbReportOptions options)
{
    g_autoptr(GError) error = NULL;
    char *written = NULL;
    options.format = GB_FORMAT_PDF;
    options.picture_px = options.picture_px > 0 ? options.picture_px : PX;
    gb_report_build(log, &options, &written, &error);
    assert_no_error(error);
    return written;
}

static char *build_plain(GbLog *log)
{
    return build(log, (GbReportOptions){ 0 });
}

/* --- what others see in it --- */

static void want(const char *program)
{
    if (!have_program(program))
        skip();
}

static char *ask(const char *a, const char *b, const char *c, const char *d)
{
    g_autofree char *out = NULL;
    const char *argv[] = { a, b, c, d, NULL };
    assert_int_equal(run(argv, &out, NULL), 0);
    return g_steal_pointer(&out);
}

/* Text in the order of the content, not of the place on the page. */
static char *text_of(const char *pdf)
{
    return ask("pdftotext", "-raw", pdf, "-");
}

static char *info_of(const char *pdf)
{
    return ask("pdfinfo", pdf, NULL, NULL);
}

static void assert_holds(const char *text, const char *part)
{
    if (strstr(text, part) == NULL)
        fail_msg("'%s' is not in it", part);
}

/* The text without breaks between words. OWNED by the caller. */
static char *unbroken(const char *text)
{
    g_auto(GStrv) words = g_strsplit_set(text, " \n\f", -1);
    g_autoptr(GString) joined = g_string_new(NULL);
    for (guint i = 0; words[i] != NULL; i++)
        if (*words[i] != '\0')
            g_string_append_printf(joined, "%s ", words[i]);
    return g_string_free(g_steal_pointer(&joined), FALSE);
}

static void assert_in_order(const char *text, const char *const *parts)
{
    const char *from = text;
    for (gsize i = 0; parts[i] != NULL; i++) {
        const char *found = strstr(from, parts[i]);
        if (found == NULL)
            fail_msg("'%s' is not there, or too early", parts[i]);
        from = found;
    }
}

/* All objects of a PDF by qpdf's own JSON. OWNED by the caller. */
static json_t *objects_of(const char *pdf)
{
    g_autofree char *out = ask("qpdf", "--json=2", "--json-key=qpdf", pdf);
    json_t *all = json_loads(out, 0, NULL);
    assert_non_null(all);
    json_t *objects = json_incref(json_array_get(json_object_get(all, "qpdf"), 1));
    json_decref(all);
    assert_non_null(objects);
    return objects;
}

static gboolean is(const json_t *object, const char *key, const char *value)
{
    return g_strcmp0(json_string_value(json_object_get(object, key)), value) == 0;
}

/* --- tests --- */

/* Source: qpdf --check. */
static void qpdf_finds_nothing_wrong(void **state)
{
    want("qpdf");
    g_autoptr(GbLog) log = make_claim(*state);
    for (int reader = GB_READER_FILE; reader < GB_READERS; reader++) {
        g_autofree char *pdf = build(log, (GbReportOptions){ .reader = (GbReader)reader });
        g_autofree char *said = ask("qpdf", "--check", pdf, NULL);
        assert_holds(said, "No syntax or stream encoding errors found");
        assert_null(strstr(said, "WARNING"));
    }
}

static void it_is_tagged_has_its_title_and_the_paper_asked_for(void **state)
{
    want("pdfinfo");
    g_autoptr(GbLog) log = make_claim(*state);
    g_autofree char *letter = build_plain(log);
    g_autofree char *about = info_of(letter);
    assert_holds(about, "Tagged:          yes");
    assert_holds(about, "Title:           Photo report: 418 Cottonwood Bend");
    assert_holds(about, "Author:          M. Tarn");
    assert_holds(about, "612 x 792 pts (letter)");
    g_autofree char *a4 = build(log, (GbReportOptions){ .paper = GB_PAPER_A4 });
    g_autofree char *about_a4 = info_of(a4);
    assert_holds(about_a4, "(A4)");
}

static void it_says_its_language_and_describes_every_picture(void **state)
{
    want("qpdf");
    g_autoptr(GbLog) log = make_claim(*state);
    g_autofree char *pdf = build_plain(log);
    json_t *objects = objects_of(pdf), *object;
    const char *key;
    guint figures = 0, catalogues = 0;
    json_object_foreach(objects, key, object) {
        const json_t *value = json_object_get(object, "value");
        if (is(value, "/Type", "/Catalog")) {
            catalogues++;
            assert_true(is(value, "/Lang", "u:en"));
            assert_true(json_is_true(json_object_get(json_object_get(value, "/ViewerPreferences"), "/DisplayDocTitle")));
        }
        if (!is(value, "/S", "/Figure"))
            continue;
        figures++;
        const char *alt = json_string_value(json_object_get(value, "/Alt"));
        assert_non_null(alt);
        assert_true(strlen(alt) > 20);
        assert_null(strstr(alt, ".JPG"));
    }
    json_decref(objects);
    assert_int_equal(catalogues, 1);
    assert_int_equal(figures, 5);
}

/* Source: pdfimages -all writes the streams as they are; sha256sum tells them apart. */
static void its_pictures_are_in_the_cache(const char *folder, GbLog *log)
{
    g_autofree char *pdf = build_plain(log);
    g_autofree char *out = g_build_filename(folder, "out", NULL);
    g_autofree char *prefix = g_build_filename(out, "p", NULL);
    assert_int_equal(g_mkdir(out, 0755), 0);
    g_free(ask("pdfimages", "-all", pdf, prefix));
    g_autoptr(GHashTable) kept = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL);
    g_autofree char *cache = gb_log_path(log, "cache", "200", NULL);
    g_autoptr(GDir) dir = g_dir_open(cache, 0, NULL), found = g_dir_open(out, 0, NULL);
    for (const char *name; (name = g_dir_read_name(dir)) != NULL;) {
        g_autofree char *path = g_build_filename(cache, name, NULL);
        g_hash_table_add(kept, sha256sum(path));
    }
    guint n = 0;
    for (const char *name; (name = g_dir_read_name(found)) != NULL; n++) {
        g_autofree char *path = g_build_filename(out, name, NULL);
        g_autofree char *digest = sha256sum(path);
        assert_true(g_str_has_suffix(name, ".jpg"));
        assert_true(g_hash_table_contains(kept, digest));
    }
    assert_int_equal(n, 5);
}

static void its_pictures_are_those_of_the_cache_byte_for_byte(void **state)
{
    want("pdfimages");
    g_autoptr(GbLog) log = make_claim(*state);
    its_pictures_are_in_the_cache(*state, log);
}

static void draw_over(GbLog *log, gint64 shot, const char *kind, GbMarkPoint from, GbMarkPoint to, const char *text)
{
    g_autoptr(GError) error = NULL;
    const GbMarkPoint points[] = { from, to };
    gb_mark(log, &(GbMarkEdit){ .shot = shot, .kind = kind, .points = points, .n_points = strcmp(kind, "text") == 0 ? 1 : 2, .text = text,
                                .length = strcmp(kind, "scale") == 0 ? "10 in" : NULL }, NULL, NULL, &error);
    assert_no_error(error);
}

typedef struct {
    int width, height;
    guint8 *pixels; /* red, green, blue */
    char *bytes;
} Sheet;

/* The first page with a picture at 72 dots an inch: a pixel a point. Source: pdfimages -list tells the page, pdftoppm draws it. */
static Sheet picture_page(const char *folder, const char *pdf)
{
    g_autofree char *list = ask("pdfimages", "-list", pdf, NULL);
    g_auto(GStrv) lines = g_strsplit(list, "\n", 4);
    g_autofree char *page = g_strdup_printf("%d", (int)g_ascii_strtoll(lines[2], NULL, 10));
    g_autofree char *stem = g_build_filename(folder, "page", NULL), *path = g_strconcat(stem, ".ppm", NULL);
    const char *argv[] = { "pdftoppm", "-r", "72", "-f", page, "-l", page, "-singlefile", pdf, stem, NULL };
    assert_int_equal(run(argv, NULL, NULL), 0);
    Sheet sheet;
    gsize n;
    int head = 0;
    assert_true(g_file_get_contents(path, &sheet.bytes, &n, NULL));
    assert_int_equal(sscanf(sheet.bytes, "P6 %d %d 255%n", &sheet.width, &sheet.height, &head), 2);
    assert_int_equal(n, head + 1 + 3 * sheet.width * sheet.height);
    sheet.pixels = (guint8 *)sheet.bytes + head + 1;
    return sheet;
}

/* Pictures stand right of the column of words: whatever differs right of x = 210 is in the picture. A stroke over the middle half of its
 * width changes just that part, and is light over dark there. */
static void what_is_drawn_over_a_photo_is_seen_where_it_was_drawn(void **state)
{
    want("pdftoppm");
    want("pdfimages");
    g_autoptr(GbLog) log = bare_claim(*state, 1);
    g_autofree char *pdf = build_plain(log);
    Sheet before = picture_page(*state, pdf);
    draw_over(log, 1, "chalk", (GbMarkPoint){ 0.25, 0.5 }, (GbMarkPoint){ 0.75, 0.5 }, NULL);
    g_free(build_plain(log));
    Sheet after = picture_page(*state, pdf);
    int left = 10000, right = -1, top = 10000, bottom = -1, light = 0, dark = 0;
    assert_int_equal(before.width, 612);
    for (int y = 0; y < before.height; y++)
        for (int x = 210; x < before.width; x++) {
            gsize at = 3 * (gsize)(y * before.width + x);
            if (memcmp(before.pixels + at, after.pixels + at, 3) == 0)
                continue;
            left = MIN(left, x);
            right = MAX(right, x);
            top = MIN(top, y);
            bottom = MAX(bottom, y);
            light += after.pixels[at] > 250 && after.pixels[at + 1] > 250 && after.pixels[at + 2] > 250;
            dark += after.pixels[at] < 30 && after.pixels[at + 1] < 30 && after.pixels[at + 2] < 35;
        }
    g_free(before.bytes);
    g_free(after.bytes);
    /* A picture of 4:3 is as wide as the room beside the words, 612 - 2 * 45.4 - 136 points; the stroke half of that and its round ends. */
    assert_in_range(right - left, 194, 200);
    assert_in_range(bottom - top, 2, 7);
    assert_true(light > 100);
    assert_true(dark > 100);
}

static void marks_leave_the_bytes_of_the_picture_and_are_told_in_words(void **state)
{
    want("pdftotext");
    want("pdfimages");
    g_autoptr(GbLog) log = make_claim(*state);
    draw_over(log, 3, "arrow", (GbMarkPoint){ 0.1, 0.1 }, (GbMarkPoint){ 0.5, 0.5 }, "bruise <here>");
    draw_over(log, 3, "ellipse", (GbMarkPoint){ 0.2, 0.5 }, (GbMarkPoint){ 0.7, 0.5 }, NULL); /* flat */
    draw_over(log, 3, "text", (GbMarkPoint){ 0.3, 0.3 }, (GbMarkPoint){ 0.3, 0.3 }, "Zinc flashing");
    draw_over(log, 3, "scale", (GbMarkPoint){ 0.1, 0.9 }, (GbMarkPoint){ 0.5, 0.9 }, NULL);
    draw_over(log, 3, "line", (GbMarkPoint){ 0.1, 0.8 }, (GbMarkPoint){ 0.3, 0.8 }, NULL);
    its_pictures_are_in_the_cache(*state, log);
    const int layouts[] = { 1, 2, 6 };
    for (gsize i = 0; i < G_N_ELEMENTS(layouts); i++) {
        g_autofree char *pdf = build(log, (GbReportOptions){ .per_page = layouts[i] });
        g_autofree char *text = text_of(pdf), *joined = unbroken(text);
        assert_holds(joined, "Drawn over it: arrow: bruise <here>");
        assert_holds(joined, "Drawn over it: line, 5.0 in against 10 in (");
        const char *first = strstr(joined, "Zinc flashing");
        assert_non_null(first);
        assert_non_null(strstr(first + 1, "Zinc flashing")); /* in the picture and in words */
    }
    g_autofree char *summary = build(log, (GbReportOptions){ .reader = GB_READER_INSURED });
    g_autofree char *plain = text_of(summary);
    assert_null(strstr(plain, "bruise"));
}

static void it_reads_in_the_order_of_the_walk(void **state)
{
    want("pdftotext");
    g_autoptr(GbLog) log = make_claim(*state);
    g_autofree char *pdf = build_plain(log);
    g_autofree char *text = text_of(pdf);
    const char *const order[] = { "PHOTO REPORT", "418 Cottonwood Bend", "What is missing", "Summary", "Contents", "Site", "Zebra caption of the",
                                  "Front elevation", "Yellow caption in", "Roof", "Rear slope", "Not placed yet", "Files", "IMG_0001.JPG", NULL };
    assert_in_order(text, order);
    assert_holds(text, "left out");
    assert_holds(text, "page 1 of ");
}

/* Whether a name (with qpdf's "u:") is in a PDF's name tree. */
static gboolean has_name(const json_t *objects, const char *wanted)
{
    const char *key;
    json_t *object;
    json_object_foreach((json_t *)objects, key, object) {
        const json_t *names = json_object_get(json_object_get(json_object_get(object, "value"), "/Dests"), "/Names");
        if (names == NULL)
            names = json_object_get(json_object_get(object, "value"), "/Names");
        for (gsize i = 0; i < json_array_size(names); i += 2)
            if (g_strcmp0(json_string_value(json_array_get(names, i)), wanted) == 0)
                return TRUE;
    }
    return FALSE;
}

/* Every link leads to a page of this file. Source: the objects as qpdf reads them. */
static void every_link_arrives(void **state)
{
    want("qpdf");
    g_autoptr(GbLog) log = make_claim(*state);
    g_autofree char *pdf = build_plain(log);
    json_t *objects = objects_of(pdf), *object;
    const char *key;
    guint links = 0;
    json_object_foreach(objects, key, object) {
        const json_t *value = json_object_get(object, "value");
        if (!is(value, "/Subtype", "/Link"))
            continue;
        links++;
        const json_t *target = json_object_get(value, "/Dest");
        if (json_is_string(target)) { /* a name that comes later */
            assert_true(has_name(objects, json_string_value(target)));
            continue;
        }
        const char *page = json_string_value(json_array_get(target, 0));
        assert_non_null(page);
        g_autofree char *name = g_strconcat("obj:", page, NULL);
        assert_true(is(json_object_get(json_object_get(objects, name), "value"), "/Type", "/Page"));
    }
    json_decref(objects);
    assert_true(links >= 5 + 5 + 6); /* figure to file, file to figure, contents */
}

static void the_reviewers_links_lead_to_figures_of_the_photo_report(void **state)
{
    want("qpdf");
    g_autoptr(GbLog) log = make_claim(*state);
    g_autofree char *report = build_plain(log);
    g_autofree char *sheet = build(log, (GbReportOptions){ .reader = GB_READER_REVIEWER });
    json_t *there = objects_of(report), *here = objects_of(sheet), *object;
    const char *key;
    guint links = 0;
    json_object_foreach(here, key, object) {
        const json_t *value = json_object_get(object, "value"), *action = json_object_get(value, "/A");
        if (!is(value, "/Subtype", "/Link") || action == NULL)
            continue;
        const char *indirect = json_string_value(action);
        if (indirect != NULL) {
            g_autofree char *name = g_strconcat("obj:", indirect, NULL);
            action = json_object_get(json_object_get(here, name), "value");
        }
        assert_true(is(action, "/S", "/GoToR"));
        assert_true(is(action, "/F", "u:photo-report.pdf"));
        assert_true(has_name(there, json_string_value(json_object_get(action, "/D"))));
        links++;
    }
    json_decref(there);
    json_decref(here);
    assert_true(links >= 4);
}

static void finding_and_figure_lead_to_each_other(void **state)
{
    want("qpdf");
    want("pdftotext");
    g_autoptr(GError) error = NULL;
    g_autoptr(GbLog) log = make_claim(*state);
    const GbFindingEdit finding = { .component = "gutter", .cause = "hail", .action = "replace", .quantity = "12 LF", .note = "dented", .shots = "3" };
    gb_finding_add(log, &finding, NULL, NULL, &error);
    assert_no_error(error);
    g_autofree char *pdf = build_plain(log), *text = text_of(pdf), *joined = unbroken(text);
    assert_holds(joined, "Proves finding 1, Gutter");
    assert_holds(joined, "Gutter, hail: remove and replace, 12 LF");
    json_t *objects = objects_of(pdf);
    assert_true(has_name(objects, "u:finding-1"));
    json_decref(objects);
}

static void the_same_claim_gives_the_same_bytes_with_and_without_its_cache(void **state)
{
    g_autoptr(GbLog) log = make_claim(*state);
    g_autofree char *pdf = build_plain(log);
    g_autofree char *first = sha256sum(pdf);
    g_free(build_plain(log));
    g_autofree char *second = sha256sum(pdf);
    g_autofree char *cache = gb_log_path(log, "cache", NULL);
    remove_tree(cache);
    g_free(build_plain(log));
    g_autofree char *third = sha256sum(pdf);
    assert_string_equal(first, second);
    assert_string_equal(first, third);
}

static void a_caption_of_two_thousand_letters_is_there_to_its_last_word(void **state)
{
    want("pdftotext");
    g_autoptr(GbLog) log = make_claim(*state);
    g_autoptr(GString) caption = g_string_new("Begins");
    for (guint i = 0; caption->len < 1990; i++)
        g_string_append_printf(caption, " word%u", i);
    g_string_append(caption, " endsthere");
    tag(log, "2", &(GbTag){ .caption = caption->str });
    const int layouts[] = { 1, 2, 3, 4, 6 };
    for (gsize i = 0; i < G_N_ELEMENTS(layouts); i++) {
        g_autofree char *pdf = build(log, (GbReportOptions){ .per_page = layouts[i] });
        g_autofree char *text = text_of(pdf);
        g_auto(GStrv) words = g_strsplit(caption->str, " ", -1);
        assert_in_order(text, (const char *const *)words); /* a page may end in between */
    }
}

/* OWNED by the caller: about n letters in words that are all different. */
static char *many_words(const char *stem, gsize n)
{
    GString *text = g_string_new(NULL);
    for (guint i = 0; text->len + 12 < n; i++)
        g_string_append_printf(text, "%s%s%u", i > 0 ? " " : "", stem, i);
    return g_string_free(text, FALSE);
}

static void nothing_is_lost_of_the_longest_address_reason_and_notes(void **state)
{
    want("pdftotext");
    g_autoptr(GError) error = NULL;
    g_autoptr(GbLog) log = make_claim(*state);
    g_autofree char *address = many_words("street", 1980), *reason = many_words("because", 1990);
    g_autofree char *note = many_words("note", 19900), *shot_note = many_words("seen", 19900);
    const GbEdit edit = { .address = address };
    assert_true(gb_edit(log, &edit, &error));
    assert_no_error(error);
    gb_waive(log, "slope overview rear slope", reason, NULL, &error);
    assert_no_error(error);
    gb_note_add(log, NULL, 0, note, GB_NOTE_FOR_REPORT, NULL, NULL, &error);
    assert_no_error(error);
    gb_note_add(log, NULL, 3, shot_note, GB_NOTE_FOR_REPORT, NULL, NULL, &error);
    assert_no_error(error);
    for (int reader = GB_READER_FILE; reader < GB_READERS; reader++) {
        g_autofree char *pdf = build(log, (GbReportOptions){ .reader = (GbReader)reader });
        g_autofree char *text = text_of(pdf);
        g_auto(GStrv) streets = g_strsplit(address, " ", -1), becauses = g_strsplit(reason, " ", -1);
        assert_in_order(text, (const char *const *)streets);
        if (reader != GB_READER_INSURED)
            assert_in_order(text, (const char *const *)becauses);
        g_auto(GStrv) notes = g_strsplit(note, " ", -1), seen = g_strsplit(shot_note, " ", -1);
        if (reader == GB_READER_FILE) {
            assert_in_order(text, (const char *const *)notes);
            assert_in_order(text, (const char *const *)seen);
        }
    }
}

static void words_from_right_to_left_and_of_many_scripts_can_be_searched(void **state)
{
    want("pdftotext");
    g_autoptr(GbLog) log = make_claim(*state);
    tag(log, "2", &(GbTag){ .caption = "Łukasz Γάμμα Дом" });
    tag(log, "3", &(GbTag){ .caption = "שלום" });
    g_autofree char *pdf = build_plain(log);
    g_autofree char *text = ask("pdftotext", pdf, "-", NULL); /* without -raw: brings right-to-left text into its logical order */
    assert_holds(text, "Łukasz Γάμμα");
    assert_holds(text, "Дом");
    assert_holds(text, "שלום");
}

/* Whether a font here has it or not, every letter of the caption can be found, and nothing else goes wrong. */
static void an_emoji_in_a_caption_harms_nothing(void **state)
{
    want("pdftotext");
    want("qpdf");
    g_autoptr(GbLog) log = make_claim(*state);
    tag(log, "2", &(GbTag){ .caption = "Roof 🏠 with 👩🏽‍🔧 and 🇺🇸 done" });
    g_autoptr(GPtrArray) warnings = g_ptr_array_new_with_free_func(g_free);
    g_autofree char *pdf = build(log, (GbReportOptions){ .warnings = warnings });
    g_autofree char *text = text_of(pdf), *joined = unbroken(text), *checked = ask("qpdf", "--check", pdf, NULL);
    assert_holds(joined, "Roof ");
    assert_holds(joined, " done");
    for (guint i = 0; i < warnings->len; i++)
        assert_holds(g_ptr_array_index(warnings, i), "figure 2: no font here has");
}

/* Source: pdfimages -list. */
static void one_photo_is_one_picture_for_every_reader_that_has_pictures(void **state)
{
    want("pdfimages");
    g_autoptr(GbLog) log = bare_claim(*state, 1);
    tag(log, "1", &(GbTag){ .place = "front", .subject = "overview" });
    const int pictures[GB_READERS] = { [GB_READER_FILE] = 1, [GB_READER_REVIEWER] = 0, [GB_READER_INSURED] = 1 };
    for (int reader = GB_READER_FILE; reader < GB_READERS; reader++) {
        g_autofree char *pdf = build(log, (GbReportOptions){ .reader = (GbReader)reader });
        g_autofree char *list = ask("pdfimages", "-list", pdf, NULL);
        const char *first = strstr(list, "jpeg");
        assert_int_equal(first != NULL, pictures[reader]);
        assert_null(first != NULL ? strstr(first + 1, "jpeg") : NULL);
    }
}

static void a_claim_without_photos_has_a_pdf(void **state)
{
    want("pdftotext");
    g_autoptr(GbLog) log = bare_claim(*state, 0);
    for (int reader = GB_READER_FILE; reader < GB_READERS; reader++) {
        g_autofree char *pdf = build(log, (GbReportOptions){ .reader = (GbReader)reader });
        g_autofree char *text = text_of(pdf);
        assert_holds(text, "418 Cottonwood Bend");
    }
}

/* Source: pdfimages -list, whose first column is the page. */
static void no_page_has_more_photos_than_asked_for(void **state)
{
    want("pdfimages");
    g_autoptr(GbLog) log = bare_claim(*state, 13);
    const int layouts[] = { 1, 2, 3, 4, 6 };
    for (gsize i = 0; i < G_N_ELEMENTS(layouts); i++) {
        g_autofree char *pdf = build(log, (GbReportOptions){ .per_page = layouts[i] });
        g_autofree char *list = ask("pdfimages", "-list", pdf, NULL);
        g_auto(GStrv) lines = g_strsplit(list, "\n", -1);
        int on_page[100] = { 0 }, most = 0, all = 0;
        for (guint k = 2; lines[k] != NULL && *lines[k] != '\0'; k++, all++) {
            int page = (int)g_ascii_strtoll(lines[k], NULL, 10);
            assert_in_range(page, 1, 99);
            on_page[page]++;
            most = MAX(most, on_page[page]);
        }
        assert_int_equal(all, 13);
        assert_int_equal(most, layouts[i]);
    }
}

static void a_missing_original_becomes_a_sentence(void **state)
{
    want("pdftotext");
    g_autoptr(GbLog) log = make_claim(*state);
    g_autoptr(GPtrArray) shots = gb_shots_load(log, NULL);
    const GbShot *shot = gb_shots_by_number(shots, 2);
    g_autofree char *original = gb_log_path(log, "originals", shot->stored_name, NULL);
    assert_int_equal(g_remove(original), 0);
    g_autofree char *pdf = build_plain(log);
    g_autofree char *text = text_of(pdf);
    g_autofree char *joined = unbroken(text);
    assert_holds(joined, "This photo can't be shown: its original is missing from the claim folder");
    assert_holds(joined, "Those marked below are missing, damaged or changed");
}

static void the_plan_of_cameras_is_in_the_files_pdf_alone(void **state)
{
    want("pdftotext");
    g_autoptr(GError) error = NULL;
    g_autoptr(GbLog) log = bare_claim(*state, 0);
    g_autofree char *photo = source_path("demo-photos/IMG_2102.JPG");
    GbImportTally tally;
    const char *const paths[] = { photo, NULL };
    assert_true(gb_import(log, paths, NULL, &tally, &error));
    assert_no_error(error);
    for (int reader = GB_READER_FILE; reader < GB_READERS; reader++) {
        g_autofree char *pdf = build(log, (GbReportOptions){ .reader = (GbReader)reader });
        g_autofree char *text = text_of(pdf), *joined = unbroken(text);
        assert_int_equal(strstr(joined, "Where the photos were taken") != NULL, reader == GB_READER_FILE);
        assert_int_equal(strstr(joined, "Dot: camera. Two lines: which way it looked.") != NULL, reader == GB_READER_FILE);
        if (reader == GB_READER_FILE)
            assert_holds(joined, "The cameras state an error of ± 6 m.");
    }
}

static void the_head_of_a_table_is_drawn_once(void **state)
{
    want("pdftotext");
    g_autoptr(GbLog) log = make_claim(*state);
    g_autofree char *pdf = build_plain(log), *text = text_of(pdf), *joined = unbroken(text);
    assert_holds(joined, "FIGURE SHOT FILE AND SHA-256 TAKEN BYTES 1 1 IMG_0001.JPG");
}

static void files_kept_beside_the_photos_are_listed_with_their_digest(void **state)
{
    want("pdftotext");
    g_autoptr(GError) error = NULL;
    g_autoptr(GbLog) log = make_claim(*state);
    g_autofree char *without = build_plain(log), *before = text_of(without);
    assert_null(strstr(before, "Kept beside the photos"));
    g_autofree char *more = g_build_filename(*state, "more", NULL);
    g_autofree char *note = put_file(more, "<b> memo.PDF", "%PDF-1.4 invented", 17), *digest = sha256sum(note);
    GbImportTally tally;
    const char *const paths[] = { more, NULL };
    assert_true(gb_import(log, paths, NULL, &tally, &error));
    assert_no_error(error);
    assert_int_equal(tally.attached, 1);
    g_autofree char *pdf = build_plain(log), *text = text_of(pdf), *joined = unbroken(text);
    assert_holds(joined, "6 listed, 1 beside them");
    assert_in_order(joined, (const char *const[]){ "IMG_0006.JPG", "Kept beside the photos, 1 file", "BESIDE FIGURE", "<b> memo.PDF", "document", "17",
                                                   NULL });
    g_autofree char *half = g_strndup(digest, 20); /* the column may break it */
    assert_holds(joined, half);
    for (int reader = GB_READER_REVIEWER; reader <= GB_READER_INSURED; reader++) {
        g_autofree char *other = build(log, (GbReportOptions){ .reader = (GbReader)reader }), *said = text_of(other);
        assert_null(strstr(said, "memo.PDF"));
    }
}

/* What pdfimages says of the pictures in a PDF with one photo, made by ImageMagick in that colour space. OWNED by the caller. */
static char *list_of_one(const char *folder, const char *colours)
{
    g_autofree char *card = g_build_filename(folder, "card", NULL);
    g_autofree char *file = g_build_filename(card, "ONE.JPG", NULL);
    assert_int_equal(g_mkdir(card, 0755), 0);
    const char *argv[] = { "convert", "-size", "80x60", "gradient:red-blue", "-colorspace", colours, file, NULL };
    assert_int_equal(run(argv, NULL, NULL), 0);
    g_autoptr(GbLog) log = bare_claim(folder, 0);
    GbImportTally tally;
    const char *const paths[] = { card, NULL };
    assert_true(gb_import(log, paths, NULL, &tally, NULL));
    g_autofree char *pdf = build_plain(log);
    g_free(ask("qpdf", "--check", pdf, NULL));
    return ask("pdfimages", "-list", pdf, NULL);
}

/* Source: pdfimages -list tells the colour space of each picture. */
static void a_photo_in_ink_colours_is_made_anew_in_light_colours(void **state)
{
    want("convert");
    want("pdfimages");
    want("qpdf");
    g_autofree char *list = list_of_one(*state, "CMYK");
    assert_null(strstr(list, "cmyk"));
    assert_holds(list, "rgb     3   8  jpeg");
}

static void a_grey_photo_is_grey_on_paper(void **state)
{
    want("convert");
    want("pdfimages");
    want("qpdf");
    g_autofree char *list = list_of_one(*state, "Gray");
    assert_holds(list, "gray    1   8  jpeg");
}

/* Source: pdfinfo -struct-text shows the text that hangs on the structure, which a screen reader reads. */
static void every_cell_of_a_table_is_read_out(void **state)
{
    want("pdfinfo");
    g_autoptr(GbLog) log = make_claim(*state);
    g_autofree char *pdf = build_plain(log);
    g_autofree char *structure = ask("pdfinfo", "-struct-text", pdf, NULL);
    const char *from = strstr(structure, "FILE AND SHA-256");
    assert_non_null(from);
    for (guint i = 1; i <= 6; i++) {
        g_autofree char *name = g_strdup_printf("IMG_%04u.JPG", i);
        assert_holds(from, name);
    }
    assert_holds(from, "left out");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        test_in_folder(qpdf_finds_nothing_wrong),
        test_in_folder(it_is_tagged_has_its_title_and_the_paper_asked_for),
        test_in_folder(it_says_its_language_and_describes_every_picture),
        test_in_folder(its_pictures_are_those_of_the_cache_byte_for_byte),
        test_in_folder(what_is_drawn_over_a_photo_is_seen_where_it_was_drawn),
        test_in_folder(marks_leave_the_bytes_of_the_picture_and_are_told_in_words),
        test_in_folder(it_reads_in_the_order_of_the_walk),
        test_in_folder(every_link_arrives),
        test_in_folder(the_reviewers_links_lead_to_figures_of_the_photo_report),
        test_in_folder(finding_and_figure_lead_to_each_other),
        test_in_folder(the_same_claim_gives_the_same_bytes_with_and_without_its_cache),
        test_in_folder(a_caption_of_two_thousand_letters_is_there_to_its_last_word),
        test_in_folder(nothing_is_lost_of_the_longest_address_reason_and_notes),
        test_in_folder(words_from_right_to_left_and_of_many_scripts_can_be_searched),
        test_in_folder(an_emoji_in_a_caption_harms_nothing),
        test_in_folder(one_photo_is_one_picture_for_every_reader_that_has_pictures),
        test_in_folder(a_claim_without_photos_has_a_pdf),
        test_in_folder(no_page_has_more_photos_than_asked_for),
        test_in_folder(a_missing_original_becomes_a_sentence),
        test_in_folder(the_plan_of_cameras_is_in_the_files_pdf_alone),
        test_in_folder(the_head_of_a_table_is_drawn_once),
        test_in_folder(files_kept_beside_the_photos_are_listed_with_their_digest),
        test_in_folder(a_photo_in_ink_colours_is_made_anew_in_light_colours),
        test_in_folder(a_grey_photo_is_grey_on_paper),
        test_in_folder(every_cell_of_a_table_is_read_out),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
