/* test_phone.c -- a phone's card, with all that phones write, from the card to the archive that is handed over.
 *
 * heif-enc writes the HEIC, ImageMagick the PNG and the readings of what the report shows; a film and a raw photo are heads of such files
 * with something behind. sha256sum and unzip look at the result.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "../e2e_support.h"

static gboolean have_writers(void)
{
    return have_program("heif-enc") && have_program("convert") && have_program("exiftool") && have_program("unzip");
}

/* FOLDER/card: a raw and JPEG pair, a HEIC with its film, a sketch, a text. The decoder is found beside the program, as after an install. */
static void make_phone_card(const char *folder)
{
    g_unsetenv("GABLEBOOK_LIBEXEC");
    make_card(folder, "card", 1, 64);
    assert_int_equal(sh(folder, NULL, NULL,
        "cd card && convert -size 400x300 gradient:red-blue up.png && heif-enc -q 80 up.png -o IMG_0002.HEIC >/dev/null && rm up.png &&"
        " exiftool -q -overwrite_original -Make=Acme -Model=Nine -DateTimeOriginal='2026:05:14 15:02:08' IMG_0002.HEIC &&"
        " convert -size 300x200 xc:white -fill black -draw 'line 20,20 250,150' sketch.png &&"
        " printf '\\0\\0\\0\\024ftypqt  \\0\\0\\0\\0qt  film' > IMG_0002.MOV &&"
        " printf 'II*\\0\\010\\0\\0\\0\\001\\0\\112\\001\\004\\0\\001\\0\\0\\0\\0\\0\\0\\0' > IMG_0001.DNG && echo milk > notes.txt"), 0);
}

static void a_phones_card_comes_in_whole_and_what_is_not_shown_is_named(void **state)
{
    if (!have_writers())
        skip();
    g_autofree char *out = NULL;
    make_phone_card(*state);
    assert_int_equal(sh(*state, &out, NULL, "gablebook new c >/dev/null && gablebook import c card"), 1);
    assert_has(out, "card/IMG_0001.DNG: raw photo; kept as an attachment: no preview\n");
    assert_has(out, "card/IMG_0002.MOV: video; kept as an attachment: no preview\n");
    assert_has(out, "card/notes.txt: the file is no photo (JPEG, HEIC or PNG); left out\n");
    assert_has(out, "3 photos taken in, 2 attachments kept, 1 left out.\n");
    g_clear_pointer(&out, g_free);
    assert_int_equal(sh(*state, &out, NULL, "gablebook list c"), 0);
    assert_has(out, "2026-05-14 15:02:08  Acme Nine  -      -        -         IMG_0002.HEIC\n");
    assert_has(out, "\nattachment    what it is  size      beside shot\n"
                    "IMG_0001.DNG  raw photo   22 bytes  1\n"
                    "IMG_0002.MOV  video       24 bytes  2\n");
    g_clear_pointer(&out, g_free);
    assert_int_equal(sh(*state, &out, NULL, "gablebook list c --shots 1; gablebook list c --attachments --json"), 0);
    assert_has_not(out, "what it is");
    assert_has(out, "\"beside\": 2");
    g_clear_pointer(&out, g_free);
    assert_int_equal(sh(*state, &out, NULL, "gablebook new d >/dev/null && gablebook import d card --json"), 1);
    assert_has(out, "\"outcome\": \"attached\"");
    assert_has(out, "\"attached\": 2");
}

static void undo_takes_the_attachments_out_and_redo_brings_them_back(void **state)
{
    if (!have_writers())
        skip();
    g_autofree char *out = NULL;
    make_phone_card(*state);
    sh(*state, NULL, NULL, "gablebook new c && gablebook import c card");
    assert_int_equal(sh(*state, &out, NULL, "gablebook undo c && gablebook list c --attachments &&"
                                            " gablebook redo c && gablebook list c --attachments"), 0);
    assert_has(out, "Undone: import: 3 photos and 2 attachments from card\nNo attachments.\n"
                    "Done again: import: 3 photos and 2 attachments from card\nattachment");
}

static void a_sketch_has_its_chapter_a_heic_its_picture_and_the_archive_everything(void **state)
{
    if (!have_writers())
        skip();
    g_autofree char *out = NULL, *sums = NULL;
    make_phone_card(*state);
    assert_int_equal(sh(*state, &out, NULL,
        "gablebook new c >/dev/null; gablebook import c card >/dev/null; gablebook tag c 3 --place front --subject sketch &&"
        " gablebook report c && gablebook export c --out c.zip && gablebook verify c.zip && gablebook verify c"), 0);
    assert_has(out, "Sound: nothing differs.");
    g_autofree char *path = g_build_filename(*state, "c", "reports", "photo-report.html", NULL), *page = slurp(path);
    assert_has(page, "<h2 id=\"sketches\">Sketches and notes <span class=\"count\">1 photo</span></h2>");
    assert_has(page, "Front elevation: sketch made on the spot");
    assert_has(page, "<bdi>IMG_0002.HEIC</bdi>");
    assert_has(page, "<bdi>IMG_0002.MOV</bdi>");
    assert_has_not(page, "can't be shown");
    assert_has_not(page, "image/heic");
    assert_int_equal(sh(*state, &sums, NULL, "unzip -q c.zip -d z && cd z/* && sha256sum -c manifest.sha256 && (cd originals && sha256sum *) &&"
                                             " cd ../.. && sha256sum card/*"), 0);
    assert_has(sums, "originals/IMG_0001-");
    assert_has(sums, ".DNG: OK");
    g_auto(GStrv) lines = g_strsplit(sums, "\n", -1);
    guint same = 0; /* digests that stand twice: in the archive and on the card */
    for (guint i = 0; lines[i] != NULL; i++)
        for (guint k = i + 1; lines[k] != NULL; k++)
            same += strlen(lines[i]) > 66 && lines[i][64] == ' ' && strncmp(lines[i], lines[k], 64) == 0;
    assert_int_equal(same, 5);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        test_in_folder(a_phones_card_comes_in_whole_and_what_is_not_shown_is_named),
        test_in_folder(undo_takes_the_attachments_out_and_redo_brings_them_back),
        test_in_folder(a_sketch_has_its_chapter_a_heic_its_picture_and_the_archive_everything),
    };
    return cmocka_run_group_tests_name("phone", tests, NULL, NULL);
}
