/* test_format.c -- what a file is, by its first bytes.
 *
 * Sources: the standards named in format.c for the marks; the demo photos, and files that ImageMagick, exiftool and heif-enc write.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "test.h"

#include <gablebook/format.h>

#define BYTES(TEXT) TEXT, sizeof(TEXT) - 1

static void every_mark_tells_its_format(void **state)
{
    (void)state;
    static const struct {
        const char *head;
        gsize n;
        GbFormat format;
    } rows[] = {
        { BYTES("\xFF\xD8\xFF\xE1"), GB_FORMAT_JPEG },
        { BYTES("\x89PNG\r\n\x1A\n\0\0\0\rIHDR"), GB_FORMAT_PNG },
        { BYTES("\0\0\0\x18" "ftypheic\0\0\0\0mif1heic"), GB_FORMAT_HEIC },
        { BYTES("\0\0\0\x18" "ftypmif1\0\0\0\0mif1heic"), GB_FORMAT_HEIC },
        { BYTES("\0\0\0\x1C" "ftypmsf1\0\0\0\0msf1hevcmif1"), GB_FORMAT_HEIC },
        { BYTES("\0\0\0\x1C" "ftypavif\0\0\0\0avifmif1miaf"), GB_FORMAT_HEIC },
        { BYTES("\0\0\0\x14" "ftypqt  \0\0\0\0qt  "), GB_FORMAT_VIDEO },
        { BYTES("\0\0\0\x18" "ftypisom\0\0\2\0isommp42"), GB_FORMAT_VIDEO },
        { BYTES("\0\0\0\x18" "ftypmp42\0\0\0\0isommp42"), GB_FORMAT_VIDEO },
        { BYTES("\0\0\0\x18" "ftyp3gp4\0\0\0\0isom3gp4"), GB_FORMAT_VIDEO },
        { BYTES("\0\0\0\x18" "ftypcrx \0\0\0\1crx isom"), GB_FORMAT_RAW },
        { BYTES("\0\0\0\x1C" "ftypM4A \0\0\0\0M4A mp42isom"), GB_FORMAT_SOUND },
        { BYTES("\0\0\0\x08wide\0\0\0\0mdat"), GB_FORMAT_VIDEO },
        { BYTES("RIFF\x10\0\0\0AVI LIST"), GB_FORMAT_VIDEO },
        { BYTES("RIFF\x10\0\0\0WAVEfmt "), GB_FORMAT_SOUND },
        { BYTES("RIFF\x10\0\0\0WEBPVP8 "), GB_FORMAT_PICTURE },
        { BYTES("\x1A\x45\xDF\xA3\x01\0\0\0"), GB_FORMAT_VIDEO },
        { BYTES("FUJIFILMCCD-RAW 0201"), GB_FORMAT_RAW },
        { BYTES("IIRO\x08\0\0\0"), GB_FORMAT_RAW },
        { BYTES("IIU\0\x18\0\0\0"), GB_FORMAT_RAW },
        { BYTES("II*\0\x08\0\0\0\x01\0\x4A\x01\x04\0\1\0\0\0\0\0\0\0"), GB_FORMAT_RAW },     /* SubIFDs */
        { BYTES("MM\0*\0\0\0\x08\0\1\xC6\x12\0\1\0\0\0\4\1\4\0\0"), GB_FORMAT_RAW },          /* DNGVersion */
        { BYTES("MM\0*\0\0\0\x08\0\1\1\0\0\4\0\0\0\1\0\0\0\4"), GB_FORMAT_PICTURE },          /* ImageWidth alone */
        { BYTES("II*\0\xFF\xFF\xFF\xFF"), GB_FORMAT_PICTURE },                                 /* leads nowhere */
        { BYTES("GIF89a\1\0"), GB_FORMAT_PICTURE },
        { BYTES("BM\x46\0\0\0\0\0\0\0\x36"), GB_FORMAT_PICTURE },
        { BYTES("%PDF-1.7\n"), GB_FORMAT_DOCUMENT },
        { BYTES("ID3\4\0"), GB_FORMAT_SOUND },
        { BYTES("#!AMR\n"), GB_FORMAT_SOUND },
        { BYTES("call the insured on Monday\n"), GB_FORMAT_UNKNOWN },
        { BYTES("BMW, grey, in the drive way\n"), GB_FORMAT_UNKNOWN },
        { BYTES("RIFF\x10\0\0\0ACON"), GB_FORMAT_UNKNOWN },
        { BYTES("GGGGGGGG"), GB_FORMAT_UNKNOWN },
        { BYTES("<x:xmpmeta"), GB_FORMAT_UNKNOWN },
        { BYTES("\xFF\xD8"), GB_FORMAT_UNKNOWN },
        { BYTES("\0\0\0\x18" "fty"), GB_FORMAT_UNKNOWN },
        { "", 0, GB_FORMAT_UNKNOWN },
    };
    for (gsize i = 0; i < G_N_ELEMENTS(rows); i++) {
        g_autofree char *exact = g_memdup2(rows[i].head, rows[i].n); /* not a byte more to read */
        if (gb_format_of(exact, rows[i].n) != rows[i].format)
            fail_msg("row %d: %d, wanted %d", (int)i, gb_format_of(exact, rows[i].n), rows[i].format);
    }
}

static void a_camcorders_stream_has_its_mark_every_188_or_192_bytes(void **state)
{
    (void)state;
    for (gsize step = 188; step <= 192; step += 4) {
        guint8 head[GB_FORMAT_HEAD_BYTES] = { 0 };
        for (gsize at = step - 188; at < sizeof head; at += step)
            head[at] = 0x47;
        assert_int_equal(gb_format_of(head, sizeof head), GB_FORMAT_VIDEO);
        assert_int_equal(gb_format_of(head, 3 * step), GB_FORMAT_UNKNOWN); /* three times may be chance */
        head[step - 188 + step] = 0;
        assert_int_equal(gb_format_of(head, sizeof head), GB_FORMAT_UNKNOWN);
    }
}

static void a_format_is_a_photo_or_an_attachment_or_unknown_and_has_its_word(void **state)
{
    (void)state;
    for (int i = 0; i < GB_FORMATS; i++) {
        GbFormat format = (GbFormat)i;
        assert_int_equal(gb_format_is_photo(format) + gb_format_is_attachment(format), format != GB_FORMAT_UNKNOWN);
        assert_int_equal(gb_format_word(format) != NULL, format != GB_FORMAT_UNKNOWN);
        assert_int_equal(gb_format_ending(format)[0], '.');
    }
}

static void endings_belong_to_formats_in_either_case(void **state)
{
    (void)state;
    assert_true(gb_format_has_ending(GB_FORMAT_HEIC, ".HEIC"));
    assert_true(gb_format_has_ending(GB_FORMAT_JPEG, ".jpeg"));
    assert_true(gb_format_has_ending(GB_FORMAT_RAW, ".Dng"));
    assert_true(gb_format_has_ending(GB_FORMAT_VIDEO, ".mov"));
    assert_false(gb_format_has_ending(GB_FORMAT_JPEG, ".heic")); /* a HEIC that somebody called .jpg must not be stored as one */
    assert_false(gb_format_has_ending(GB_FORMAT_VIDEO, ".bin"));
    assert_false(gb_format_has_ending(GB_FORMAT_UNKNOWN, ".txt"));
    assert_string_equal(gb_format_ending(GB_FORMAT_HEIC), ".heic");
    assert_string_equal(gb_format_ending(GB_FORMAT_RAW), ".bin");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_mark_tells_its_format),
        cmocka_unit_test(a_camcorders_stream_has_its_mark_every_188_or_192_bytes),
        cmocka_unit_test(a_format_is_a_photo_or_an_attachment_or_unknown_and_has_its_word),
        cmocka_unit_test(endings_belong_to_formats_in_either_case),
    };
    return cmocka_run_group_tests_name("format", tests, NULL, NULL);
}
