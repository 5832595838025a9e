/* test_readers.c -- who gets which report: the insured nothing private, the reviewer all that matters; and what is asked for on the
 * command line.
 *
 * Sources: exiftool (what a file still carries), pdftotext, pdfimages, the Nu HTML checker.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "../e2e_support.h"

#include <glib/gstdio.h>
#include <jansson.h>

/* --- a claim with secrets --- */

/* What the insured must not find: what the camera wrote, what files are called, what was said among the trade. */
static const char *const secrets[] = { "97.412", "38.731", "SECRET-SERIAL", "Larkfield", "IMG_0001", "IMG_0002", "Waived by", "too steep to",
                                       "2026-05-14 15:", "15:02", "UTC", "compass", "Weak photo", NULL };

/* FOLDER/c: front overview, gutter damage close up, a pitch gauge; the rest waived or missing. */
static void make_claim(const char *folder)
{
    if (!have_program("exiftool"))
        skip();
    make_card(folder, "card", 3, 64);
    assert_int_equal(sh(folder, NULL, NULL,
                        "exiftool -q -overwrite_original -Make=Larkfield -Model=LF-7 -SerialNumber=SECRET-SERIAL"
                        " -DateTimeOriginal='2026:05:14 15:02:08' -GPSLatitude=38.73101 -GPSLatitudeRef=N -GPSLongitude=97.41212"
                        " -GPSLongitudeRef=W -GPSImgDirection=24 -GPSImgDirectionRef=T -GPSHPositioningError=5 card"), 0);
    assert_int_equal(sh(folder, NULL, NULL,
                        "gablebook new c --insured 'Ada Quill' --address '418 Elm Lane' --cause hail --inspected 2026-05-14 --adjuster 'M. Tarn'"
                        " && gablebook import c card && gablebook tag c 1 --place front --subject overview"
                        " && gablebook tag c 2 --place front --subject 'gutter damage'"
                        " && gablebook tag c 3 --place 'front slope' --subject pitch --value 6/12"
                        " && gablebook waive c 'slope overview front slope' --why 'too steep to climb' --as 'M. Tarn'"), 0);
}

static char *page(const char *folder, const char *path)
{
    g_autofree char *whole = g_build_filename(folder, path, NULL);
    return slurp(whole);
}

/* --- the insured --- */

static void assert_no_secret(const char *text)
{
    for (gsize i = 0; secrets[i] != NULL; i++)
        assert_has_not(text, secrets[i]);
}

static void the_insureds_page_has_plain_words_and_nothing_private(void **state)
{
    make_claim(*state);
    assert_int_equal(sh(*state, NULL, NULL, "gablebook report c --for insured --next 'We send this on.'"), 0);
    g_autofree char *text = page(*state, "c/reports/insured-summary.html");
    assert_no_secret(text);
    assert_has(text, "It is not a decision about coverage");
    assert_has(text, "Dents, bends or torn-off pieces of the gutter.");
    assert_has(text, "We send this on.");
    assert_has(text, "Front elevation, overview");
    assert_has_not(text, "pitch gauge"); /* neither an overview nor damage */
}

/* Its pictures are taken out of the PDF and asked for metadata; the words are searched, and so are the raw objects. */
static void the_insureds_pdf_has_nothing_private_in_words_objects_or_pictures(void **state)
{
    if (!have_program("pdftotext") || !have_program("qpdf") || !have_program("exiftool"))
        skip();
    g_autofree char *words = NULL, *objects = NULL, *tags = NULL;
    make_claim(*state);
    assert_int_equal(sh(*state, NULL, NULL, "gablebook report c --pdf --for insured && mkdir out"
                                            " && pdfimages -all c/reports/insured-summary.pdf out/p"), 0);
    assert_int_equal(sh(*state, &words, NULL, "pdftotext c/reports/insured-summary.pdf -"), 0);
    assert_int_equal(sh(*state, &objects, NULL, "qpdf --qdf --object-streams=disable c/reports/insured-summary.pdf - | strings"), 0);
    assert_int_equal(sh(*state, &tags, NULL, "exiftool -s -G1 -EXIF:all -GPS:all -XMP:all -IPTC:all out"), 0);
    assert_has(words, "Ada Quill");
    assert_no_secret(words);
    assert_has_not(objects, "SECRET-SERIAL");
    assert_has_not(objects, "IMG_000");
    assert_has_not(objects, "file-1");
    assert_has_not(tags, "[IFD0]");
    assert_has_not(tags, "[GPS]");
    assert_has(tags, "2 image files read");
}

static void findings_are_told_to_the_insured_without_quantity_and_note(void **state)
{
    make_claim(*state);
    assert_int_equal(sh(*state, NULL, NULL, "gablebook finding c add --shots 2 --cause hail --action replace --quantity '987 LF' --note 'haggle' && "
                                            "gablebook note c 'call the roofer first' && gablebook report c --for insured"), 0);
    g_autofree char *text = page(*state, "c/reports/insured-summary.html");
    assert_no_secret(text);
    assert_has(text, "Gutter: hail");
    assert_has_not(text, "987");
    assert_has_not(text, "haggle");
    assert_has_not(text, "roofer");
}

/* --- the reviewer --- */

static void the_reviewer_sees_what_is_missing_waived_there_and_changed_later(void **state)
{
    g_autofree char *out = NULL;
    make_claim(*state);
    assert_int_equal(sh(*state, NULL, NULL, "gablebook report c --for reviewer && gablebook report c"), 0);
    g_autofree char *sheet = page(*state, "c/reports/reviewer-sheet.html");
    g_autofree char *report = page(*state, "c/reports/photo-report.html");
    assert_has(sheet, "Not complete: ");
    assert_has(sheet, "too steep to climb");
    assert_has(sheet, "Changed after the day of the inspection");
    assert_has(sheet, "href=\"photo-report.html#figure-1\"");
    assert_has(report, "id=\"figure-1\"");
    assert_has_not(sheet, "data:image");
    assert_int_equal(sh(*state, &out, NULL, "gablebook report c --for reviewer --json"), 0);
    json_t *model = json_loads(out, 0, NULL);
    assert_non_null(model);
    json_decref(model);
}

static void a_reviewer_is_told_of_a_shot_far_away_and_of_damage_without_an_overview(void **state)
{
    make_claim(*state);
    make_card(*state, "more", 4, 72);
    assert_int_equal(sh(*state, NULL, NULL,
                        "exiftool -q -overwrite_original -Make=Larkfield -Model=LF-7 -DateTimeOriginal='2026:05:14 15:04:08'"
                        " -GPSLatitude=38.73102 -GPSLatitudeRef=N -GPSLongitude=97.41213 -GPSLongitudeRef=W -GPSHPositioningError=5 more"
                        " && exiftool -q -overwrite_original -GPSLatitude=38.83 -DateTimeOriginal='2026:05:14 15:06:08' more/IMG_0004.JPG"
                        " && gablebook import c more && gablebook tag c 4 --place rear --subject 'gutter damage'"
                        " && gablebook tag c 7 --place left --subject overview && gablebook report c --for reviewer"), 0);
    g_autofree char *sheet = page(*state, "c/reports/reviewer-sheet.html");
    assert_has(sheet, "Shot 7 lies 11.0 km from the others");
    assert_has(sheet, "Rear elevation: damage is shown, but no overview shows where on it");
    assert_has(sheet, "Not placed: where on the property is not recorded");
}

/* --- what is asked for --- */

static void words_that_make_no_sense_are_refused_in_one_line(void **state)
{
    static const struct {
        const char *words, *said;
    } wrong[] = {
        { "--for nobody", "is no reader" },
        { "--paper legal", "is no paper" },
        { "--locale tlh", "is no locale that is known here; there is ISO, en-US" },
        { "--per-page 5", "1, 2, 3, 4 or 6" },
        { "--budget some", "write 10MB" },
        { "--budget 10kB", "too few" },
        { "--shots 99", "99" },
        { "--for reviewer --shots 1", "about all shots" },
        { "--pdf --template x.html", "not a PDF" },
        { "--logo card/none.png", "none.png" },
    };
    make_claim(*state);
    for (gsize i = 0; i < G_N_ELEMENTS(wrong); i++) {
        g_autofree char *err = NULL;
        g_autofree char *script = g_strdup_printf("gablebook report c %s", wrong[i].words);
        if (sh(*state, NULL, &err, script) != 2)
            fail_msg("'%s' was taken", wrong[i].words);
        assert_has(err, "gablebook: ");
        assert_has(err, wrong[i].said);
        assert_null(strchr(strchr(err, '\n') + 1, '\n'));
    }
    g_autofree char *reports = g_build_filename(*state, "c", "reports", NULL);
    g_autoptr(GDir) dir = g_dir_open(reports, 0, NULL);
    if (dir != NULL)
        assert_null(g_dir_read_name(dir));
}

static gint64 size_of(const char *folder, const char *path)
{
    g_autofree char *whole = g_build_filename(folder, path, NULL);
    GStatBuf st;
    assert_int_equal(g_stat(whole, &st), 0);
    return (gint64)st.st_size;
}

static void a_budget_is_kept_by_page_and_pdf_alike(void **state)
{
    make_card(*state, "card", 12, 700); /* half a megabyte each */
    assert_int_equal(sh(*state, NULL, NULL, "gablebook new c --cause hail && gablebook import c card"), 0);
    static const struct {
        const char *words, *file;
        gint64 bytes;
    } wanted[] = {
        { "--budget 1.5MB", "c/reports/photo-report.html", 1500000 },
        { "--budget 1MB --pdf", "c/reports/photo-report.pdf", 1000000 },
        { "--budget 600kB --pdf", "c/reports/photo-report.pdf", 600000 },
    };
    for (gsize i = 0; i < G_N_ELEMENTS(wanted); i++) {
        g_autofree char *script = g_strdup_printf("gablebook report c %s", wanted[i].words);
        assert_int_equal(sh(*state, NULL, NULL, script), 0);
        gint64 bytes = size_of(*state, wanted[i].file);
        assert_true(bytes <= wanted[i].bytes);
        assert_true(bytes > wanted[i].bytes / 3); /* no smaller than need be */
    }
}

static void chosen_shots_alone_are_shown_and_the_report_says_so(void **state)
{
    make_claim(*state);
    assert_int_equal(sh(*state, NULL, NULL, "gablebook report c --shots 2"), 0);
    g_autofree char *text = page(*state, "c/reports/photo-report.html");
    assert_has(text, "This report shows chosen photos only: shots 2 of the claim.");
    assert_has(text, "id=\"figure-1\"");
    assert_has_not(text, "id=\"figure-2\"");
    assert_has_not(text, "No photo shows");
}

static void a_measured_roof_is_drawn_in_the_pdf_and_described(void **state)
{
    g_autofree char *text = NULL, *objects = NULL;
    if (!have_program("pdftotext") || !have_program("qpdf"))
        skip();
    make_claim(*state);
    assert_int_equal(sh(*state, NULL, NULL, "gablebook roof c dwelling hip --pitch 6/12 --width 40ft --depth 30ft && gablebook report c --pdf"), 0);
    assert_int_equal(sh(*state, &text, NULL, "pdftotext c/reports/photo-report.pdf -"), 0);
    assert_int_equal(sh(*state, &objects, NULL, "qpdf --qdf --object-streams=disable c/reports/photo-report.pdf - | strings | grep /Alt"), 0);
    assert_has(text, "Roof of the dwelling");
    assert_has(text, "Hatched: steep.");
    assert_has(objects, "Seen from above, the front below.");
}

static void a_letterhead_comes_from_the_claim_folder_or_the_command_line(void **state)
{
    if (!have_program("convert") || !have_program("pdftotext"))
        skip();
    g_autofree char *text = NULL, *images = NULL;
    make_claim(*state);
    assert_int_equal(sh(*state, NULL, NULL,
                        "mkdir -p c/templates && convert -size 120x40 xc:navy c/templates/logo.png"
                        " && printf '[letterhead]\\nname = Tarn Adjusting\\naddress = 12 Mill Row; Alder Falls\\nlogo = logo.png\\n'"
                        " > c/templates/letterhead.ini && gablebook report c && gablebook report c --pdf --sender 'Quill and Tarn'"), 0);
    g_autofree char *html = page(*state, "c/reports/photo-report.html");
    assert_has(html, "data:image/png;base64,");
    assert_has(html, "Tarn Adjusting");
    assert_has(html, "Alder Falls");
    assert_int_equal(sh(*state, &text, NULL, "pdftotext c/reports/photo-report.pdf -"), 0);
    assert_has(text, "Quill and Tarn");
    assert_has(text, "12 Mill Row");
    assert_int_equal(sh(*state, &images, NULL, "pdfimages -list c/reports/photo-report.pdf"), 0);
    assert_has(images, " 120    40 ");
}

/* --- fonts --- */

static void a_script_that_no_font_has_is_told_with_the_figure(void **state)
{
    g_autofree char *err = NULL;
    if (!g_file_test("/usr/share/fonts/truetype/dejavu", G_FILE_TEST_IS_DIR))
        skip();
    make_claim(*state);
    assert_int_equal(sh(*state, NULL, &err,
                        "printf '<?xml version=\"1.0\"?><fontconfig><dir>/usr/share/fonts/truetype/dejavu</dir><cachedir>fc</cachedir></fontconfig>'"
                        " > fonts.conf && gablebook tag c 1 --caption '屋根の写真' && FONTCONFIG_FILE=$PWD/fonts.conf gablebook report c --pdf"), 0);
    assert_has(err, "gablebook: figure 1: no font here has 5 of its characters");
    assert_has(err, "fonts-noto-cjk");
}

static void without_any_font_no_pdf_is_written_and_it_is_said(void **state)
{
    g_autofree char *err = NULL;
    make_claim(*state);
    assert_int_equal(sh(*state, NULL, &err,
                        "printf '<?xml version=\"1.0\"?><fontconfig><dir>/nowhere</dir><cachedir>fc</cachedir></fontconfig>' > fonts.conf"
                        " && FONTCONFIG_FILE=$PWD/fonts.conf timeout 60 gablebook report c --pdf"), 2);
    assert_has(err, "gablebook: no font is installed here");
}

/* --- traced --- */

static void every_report_says_its_state_and_a_changed_byte_in_a_pdf_is_found(void **state)
{
    g_autofree char *out = NULL;
    make_claim(*state);
    assert_int_equal(sh(*state, NULL, NULL, "for r in file reviewer insured; do gablebook report c --for $r && gablebook report c --for $r --pdf || exit 1;"
                                            " done; gablebook verify c"), 0);
    assert_int_equal(sh(*state, &out, NULL, "chmod u+w c/reports/*.pdf; printf X | dd of=c/reports/photo-report.pdf bs=1 seek=900 conv=notrunc"
                                            " 2>/dev/null; gablebook verify c"), 1);
    assert_has(out, "reports/photo-report.pdf: was changed after it was built");
}

/* --- many --- */

static void five_hundred_photos_are_one_pdf(void **state)
{
    g_autofree char *out = NULL;
    if (!have_program("pdfimages") || !have_program("qpdf"))
        skip();
    make_card(*state, "card", 500, 48);
    assert_int_equal(sh(*state, NULL, NULL, "gablebook new c --cause hail && gablebook import c card && gablebook report c --pdf --per-page 6"
                                            " && qpdf --check c/reports/photo-report.pdf"), 0);
    assert_int_equal(sh(*state, &out, NULL, "pdfimages -list c/reports/photo-report.pdf | grep -c jpeg"), 0);
    assert_string_equal(out, "500\n");
}

static void five_hundred_photos_are_one_page(void **state)
{
    g_autofree char *out = NULL;
    make_card(*state, "card", 500, 48);
    assert_int_equal(sh(*state, NULL, NULL, "gablebook new c --cause hail && gablebook import c card && gablebook report c"), 0);
    assert_int_equal(sh(*state, &out, NULL, "grep -o 'src=\"data:image/jpeg;base64,' c/reports/photo-report.html | wc -l"), 0);
    assert_string_equal(g_strstrip(out), "500");
}

/* Words of 2,000 letters, from right to left and without letters come through every reader's page as they were written. */
static void long_captions_other_scripts_and_emoji_are_as_written(void **state)
{
    make_claim(*state);
    assert_int_equal(sh(*state, NULL, NULL,
                        "long=$(printf 'word%.0s ' $(seq 400)) && gablebook tag c 1 --caption \"${long}LASTWORD\""
                        " && gablebook tag c 2 --caption 'سقف المنزل 🏠 👩🏽‍🔧' && gablebook report c && gablebook report c --for insured"), 0);
    static const char *const pages[] = { "c/reports/photo-report.html", "c/reports/insured-summary.html" };
    for (gsize i = 0; i < G_N_ELEMENTS(pages); i++) {
        g_autofree char *text = page(*state, pages[i]);
        assert_has(text, "word word LASTWORD");
        assert_has(text, "سقف المنزل 🏠 👩🏽‍🔧");
        assert_has(text, "dir=\"auto\"");
    }
}

static void what_happens_next_keeps_its_paragraphs_whatever_ends_a_line(void **state)
{
    make_claim(*state);
    static const char *const texts[] = { "One\\n\\nTwo", "One\\r\\n\\r\\nTwo", "One\\r\\rTwo", "One\\n  \\nTwo" };
    for (gsize i = 0; i < G_N_ELEMENTS(texts); i++) {
        g_autofree char *script = g_strdup_printf("mkdir -p c/templates && printf '%s' > c/templates/next.txt && gablebook report c --for insured", texts[i]);
        assert_int_equal(sh(*state, NULL, NULL, script), 0);
        g_autofree char *text = page(*state, "c/reports/insured-summary.html");
        assert_has(text, "<p dir=\"auto\">One</p>\n<p dir=\"auto\">Two</p>");
    }
}

/* Source: exiftool; sha256sum. The page's pictures, taken out of it, and its text. */
static void the_insureds_page_has_pictures_without_metadata_and_no_digest(void **state)
{
    g_autofree char *tags = NULL;
    make_claim(*state);
    assert_int_equal(sh(*state, NULL, NULL, "gablebook report c --for insured && gablebook report c --for insured --pdf && mkdir out"
                                            " && grep -o 'data:image/jpeg;base64,[^\"]*' c/reports/insured-summary.html | cut -d, -f2 |"
                                            " while read -r one; do n=$((n + 1)); printf %s \"$one\" | base64 -d > out/$n.jpg; done"), 0);
    assert_int_equal(sh(*state, &tags, NULL, "exiftool -s -G1 -EXIF:all -GPS:all -XMP:all -IPTC:all -Comment out"), 0);
    assert_has(tags, "2 image files read");
    assert_has_not(tags, "[IFD0]");
    assert_has_not(tags, "[GPS]");
    assert_has_not(tags, "Comment");
    assert_int_equal(sh(*state, NULL, NULL, "for d in $(sha256sum c/originals/* | cut -c1-16); do ! grep -aq $d c/reports/insured-summary.html || exit 1;"
                                            " ! grep -aq $d c/reports/insured-summary.pdf || exit 1; done"), 0);
}

/* Source: the Nu HTML checker (npm vnu-jar). */
static void the_other_readers_pages_are_valid_html(void **state)
{
    const char *vnu = g_getenv("GB_VNU");
    g_autofree char *said = NULL;
    if (!have_program("java") || vnu == NULL || !g_file_test(vnu, G_FILE_TEST_EXISTS)) {
        if (g_getenv("CI") != NULL)
            fail_msg("GB_VNU names no checker, and this is CI");
        skip();
    }
    make_claim(*state);
    g_autofree char *script = g_strdup_printf("gablebook report c --for insured --next 'We send this on.' --sender Tarn --sender-address 'a;b' && "
                                              "gablebook report c --for reviewer && java -jar '%s' --errors-only c/reports/*.html", vnu);
    if (sh(*state, NULL, &said, script) != 0)
        fail_msg("the HTML checker says: %s", said);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        test_in_folder(the_insureds_page_has_plain_words_and_nothing_private),
        test_in_folder(the_insureds_pdf_has_nothing_private_in_words_objects_or_pictures),
        test_in_folder(findings_are_told_to_the_insured_without_quantity_and_note),
        test_in_folder(the_reviewer_sees_what_is_missing_waived_there_and_changed_later),
        test_in_folder(a_reviewer_is_told_of_a_shot_far_away_and_of_damage_without_an_overview),
        test_in_folder(words_that_make_no_sense_are_refused_in_one_line),
        test_in_folder(a_budget_is_kept_by_page_and_pdf_alike),
        test_in_folder(chosen_shots_alone_are_shown_and_the_report_says_so),
        test_in_folder(a_measured_roof_is_drawn_in_the_pdf_and_described),
        test_in_folder(a_letterhead_comes_from_the_claim_folder_or_the_command_line),
        test_in_folder(a_script_that_no_font_has_is_told_with_the_figure),
        test_in_folder(without_any_font_no_pdf_is_written_and_it_is_said),
        test_in_folder(every_report_says_its_state_and_a_changed_byte_in_a_pdf_is_found),
        test_in_folder(five_hundred_photos_are_one_pdf),
        test_in_folder(five_hundred_photos_are_one_page),
        test_in_folder(long_captions_other_scripts_and_emoji_are_as_written),
        test_in_folder(the_insureds_page_has_pictures_without_metadata_and_no_digest),
        test_in_folder(what_happens_next_keeps_its_paragraphs_whatever_ends_a_line),
        test_in_folder(the_other_readers_pages_are_valid_html),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
