/* test_digest.c -- SHA-256 against FIPS 180-2 appendix B.1-B.3 and against sha256sum.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "test.h"

#include <gablebook/digest.h>
#include <gablebook/error.h>
#include <gio/gio.h>
#include <string.h>
#include <sys/stat.h>

static void assert_digest(const void *data, gsize n, const char *wanted)
{
    char hex[GB_DIGEST_HEX];
    g_autoptr(GError) error = NULL;
    assert_true(gb_digest(data, n, hex, &error));
    assert_no_error(error);
    assert_string_equal(hex, wanted);
}

static void the_published_messages_have_the_published_digests(void **state)
{
    (void)state;
    /* FIPS 180-2, B.1 and B.2; the empty message and BD: as published with NIST's example values, recomputed by sha256sum. */
    assert_digest("abc", 3, "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
    const char *two_blocks = "abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq";
    assert_digest(two_blocks, strlen(two_blocks), "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1");
    assert_digest(NULL, 0, "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
    assert_digest("\xBD", 1, "68325720aabd7c82f30f554b313d0570c95accbb7dc4b5aae11204c08ffe732b");
}

static void a_million_times_a_has_the_published_digest(void **state)
{
    (void)state;
    g_autofree char *as = g_strnfill(1000000, 'a'); /* FIPS 180-2, B.3 */
    assert_digest(as, 1000000, "cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0");
}

static void assert_as_sha256sum(const char *folder, const char *name, const void *data, gsize n)
{
    g_autofree char *path = g_build_filename(folder, name, NULL);
    g_autoptr(GError) error = NULL;
    assert_true(g_file_set_contents(path, data, n, &error));
    char hex[GB_DIGEST_HEX];
    assert_true(gb_digest_file(path, hex, &error));
    assert_no_error(error);
    g_autofree char *line = NULL;
    assert_int_equal(run((const char *[]){ "sha256sum", path, NULL }, &line, NULL), 0);
    /* A name with a backslash or a line end: sha256sum begins its line with a backslash. */
    assert_true(g_str_has_prefix(line + (line[0] == '\\'), hex));
}

static void a_file_has_the_digest_that_sha256sum_prints(void **state)
{
    g_autofree guint8 *data = g_malloc(200001);
    for (gsize i = 0; i < 200001; i++)
        data[i] = (guint8)(i * i >> 3);
    assert_as_sha256sum(*state, "plain.jpg", data, 200001);
    assert_as_sha256sum(*state, "one piece.jpg", data, 64 * 1024);
    assert_as_sha256sum(*state, "one piece and a byte.jpg", data, 64 * 1024 + 1);
    assert_as_sha256sum(*state, "empty", data, 0);
}

static void the_name_of_a_file_has_no_part_in_its_digest(void **state)
{
    static const char *const names[] = { "-rf", "--help", "sp ace\ttab", "new\nline", "back\\slash", "d\xC3\xA9g\xC3\xA2ts \xE5\xB1\x8B.jpg",
                                         "not utf-8 \xFF\xFE", "'\"$(x)`y`", "%s%n" };
    for (gsize i = 0; i < G_N_ELEMENTS(names); i++)
        assert_as_sha256sum(*state, names[i], "abc", 3);
}

static void what_is_no_readable_file_is_named_in_the_error(void **state)
{
    char hex[GB_DIGEST_HEX];
    g_autoptr(GError) error = NULL;
    g_autofree char *missing = g_build_filename(*state, "IMG_0007.JPG", NULL);
    assert_false(gb_digest_file(missing, hex, &error));
    assert_error(error, GB_ERROR_IO, "IMG_0007.JPG");
    assert_false(gb_digest_file(*state, hex, &error));
    assert_error(error, GB_ERROR_IO, "no regular file");
    g_autofree char *fifo = g_build_filename(*state, "pipe", NULL);
    assert_int_equal(mkfifo(fifo, 0600), 0);
    assert_false(gb_digest_file(fifo, hex, &error)); /* and does not wait for a writer */
    assert_error(error, GB_ERROR_IO, "pipe");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_published_messages_have_the_published_digests),
        cmocka_unit_test(a_million_times_a_has_the_published_digest),
        test_in_folder(a_file_has_the_digest_that_sha256sum_prints),
        test_in_folder(the_name_of_a_file_has_no_part_in_its_digest),
        test_in_folder(what_is_no_readable_file_is_named_in_the_error),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
