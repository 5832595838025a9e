/* test_package.c -- what make install puts down: complete, valid by the standards' own checkers, and gone after uninstall.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "../e2e_support.h"

#include <jansson.h>

/* Run with the source tree's path as $S and the build's arguments for make as $M. */
static int in_tree(void **state, char **out, char **err, const char *script)
{
    g_autofree char *relative = source_path("."), *source = g_canonicalize_filename(relative, NULL);
    g_autofree char *mode = g_path_get_dirname(g_getenv("GB_PROGRAM")), *build = g_path_get_dirname(mode);
    g_autofree char *whole = g_strdup_printf("S='%s'; M=\"BUILD=%s MODE=%s\"; unset MAKEFLAGS MAKELEVEL; %s", source, build, g_getenv("GB_MODE"), script);
    return sh(*state, out, err, whole);
}

static char *out_of_at(void **state, const char *script, int line)
{
    g_autofree char *out = NULL, *err = NULL;
    int status = in_tree(state, &out, &err, script);
    if (status != 0) {
        print_error("%s: exit status %d:\n%s%s\n", script, status, out, err);
        _fail(__FILE__, line);
    }
    return g_steal_pointer(&out);
}
#define out_of(state, script) out_of_at((state), (script), __LINE__)

#define INSTALL "make -s -C \"$S\" install $M DESTDIR=\"$PWD/root\" PREFIX=/usr >/dev/null"

static void uninstall_leaves_nothing_of_what_install_put_down(void **state)
{
    g_autofree char *installed = out_of(state, INSTALL " && cd root && find . -type f | LC_ALL=C sort");
    static const char *const wanted[] = { "bin/gablebook", "lib/libgablebook.a", "lib/pkgconfig/gablebook.pc", "include/gablebook/gablebook.h",
        "share/man/man1/gablebook.1", "share/bash-completion/completions/gablebook", "share/zsh/site-functions/_gablebook",
        "share/fish/vendor_completions.d/gablebook.fish", "share/applications/gablebook.desktop",
        "share/icons/hicolor/scalable/apps/gablebook.svg", "share/mime/packages/gablebook.xml", "share/gablebook/templates/subjects.ini",
        "share/doc/gablebook/sbom.spdx.json", "share/doc/gablebook/docs/glossary.md" };
    for (gsize i = 0; i < G_N_ELEMENTS(wanted); i++) {
        g_autofree char *line = g_strdup_printf("./usr/%s\n", wanted[i]);
        assert_has(installed, line);
    }
    g_autofree char *left = out_of(state, "make -s -C \"$S\" uninstall $M DESTDIR=\"$PWD/root\" PREFIX=/usr && find root -type f");
    assert_string_equal(left, "");
}

/* As on a system with another package manager: everything is on the PATH but dpkg and apt. */
static void what_is_there_is_found_without_dpkg(void **state)
{
    g_autofree char *said = out_of(state,
        "mkdir bin && for d in $(echo $PATH | tr : ' '); do for f in $d/*; do case ${f##*/} in dpkg*|apt*) ;; *) ln -s $f bin/ 2>/dev/null;; esac; done; done;"
        " for l in BUILD_PACKAGES TEST_PACKAGES; do p=$(make -npR -C \"$S\" help | sed -n \"s/^$l := //p\"); test -n \"$p\" &&"
        " env PATH=$PWD/bin sh \"$S/.ci/need\" $p || exit 1; done; env PATH=$PWD/bin sh \"$S/.ci/need\" no-such-package 2>&1 || echo missed");
    assert_string_equal(said, "These packages (Debian names) are missing; please install what your system calls them, then run make again:\n"
                              "  no-such-package\nmissed\n");
}

/* Reference: the checkers of the desktop entry and shared MIME-info specifications. */
static void desktop_entry_icon_and_media_type_are_valid_and_belong_together(void **state)
{
    if (!have_program("desktop-file-validate") || !have_program("update-mime-database"))
        skip();
    g_autofree char *entry = out_of(state, "desktop-file-validate \"$S/src/package/gablebook.desktop\"");
    assert_string_equal(entry, "");
    g_autofree char *mime = out_of(state, "mkdir -p data/mime/packages && cp \"$S/src/package/gablebook.xml\" data/mime/packages/ &&"
                                          " update-mime-database data/mime 2>&1 && cat data/mime/globs2");
    assert_has(mime, "60:application/vnd.gablebook.claim+zip:*.claim.zip\n");
    g_autofree char *type = out_of(state, "grep -q 'MimeType=application/vnd.gablebook.claim+zip;' \"$S/src/package/gablebook.desktop\" &&"
                                          " grep -q '^Icon=gablebook$' \"$S/src/package/gablebook.desktop\" && ls \"$S/src/package/gablebook.svg\"");
    assert_has(type, "gablebook.svg");
}

/* What the entry runs, without its %f. */
static void the_desktop_entry_runs_a_command_that_exists_with_an_archive_of_that_name(void **state)
{
    make_card(*state, "card", 1, 32);
    g_autofree char *made = out_of(state, "gablebook new c >/dev/null && gablebook import c card >/dev/null && gablebook export c");
    assert_has(made, "c.claim.zip: ");
    g_autofree char *ran = out_of(state, "line=$(sed -n 's/^Exec=\\(.*\\) %f$/\\1/p' \"$S/src/package/gablebook.desktop\") && echo | $line c.claim.zip");
    assert_has(ran, "Sound: nothing differs.");
}

/* Members that SPDX 2.3 (clauses 6, 7 and 11) wants, and one package for each library that the two programs name. */
static void the_bill_of_materials_is_SPDX_and_names_every_library_of_the_program_and_its_decoder(void **state)
{
    static const char *const document[] = { "spdxVersion", "dataLicense", "SPDXID", "name", "documentNamespace", "creationInfo", "packages" };
    static const char *const package[] = { "SPDXID", "name", "versionInfo", "downloadLocation", "licenseDeclared", "licenseConcluded" };
    g_autofree char *out = out_of(state, "SOURCE_DATE_EPOCH=1700000000 sh \"$S/src/package/sbom.sh\" \"$GB_PROGRAM\" \"$GABLEBOOK_LIBEXEC/gablebook-heic\" 1.2");
    json_error_t error;
    json_t *sbom = json_loads(out, JSON_REJECT_DUPLICATES, &error), *one;
    size_t i;
    if (sbom == NULL)
        fail_msg("%s in:\n%s", error.text, out);
    for (gsize m = 0; m < G_N_ELEMENTS(document); m++)
        assert_non_null(json_object_get(sbom, document[m]));
    assert_string_equal(json_string_value(json_object_get(sbom, "spdxVersion")), "SPDX-2.3");
    assert_has(out, "\"created\": \"2023-11-14T22:13:20Z\"");
    g_autoptr(GHashTable) ids = g_hash_table_new(g_str_hash, g_str_equal);
    json_array_foreach(json_object_get(sbom, "packages"), i, one) {
        for (gsize m = 0; m < G_N_ELEMENTS(package); m++)
            assert_true(json_is_string(json_object_get(one, package[m])));
        assert_true(g_hash_table_add(ids, (gpointer)json_string_value(json_object_get(one, "SPDXID"))));
    }
    json_array_foreach(json_object_get(sbom, "relationships"), i, one)
        assert_true(g_hash_table_contains(ids, json_string_value(json_object_get(one, "relatedSpdxElement"))));
    g_autofree char *needed = out_of(state, "readelf -d \"$GB_PROGRAM\" \"$GABLEBOOK_LIBEXEC/gablebook-heic\" |"
                                                " sed -n 's/.*(NEEDED).*\\[\\(.*\\)\\]/\\1/p' | grep -vE 'asan|ubsan' | sort -u");
    assert_has(needed, "libheif.");
    g_auto(GStrv) libraries = g_strsplit(g_strchomp(needed), "\n", -1);
    for (char **library = libraries; *library != NULL; library++)
        assert_has(out, *library);
    assert_int_equal(g_hash_table_size(ids), g_strv_length(libraries) + 1);
    json_decref(sbom);
}

/* GPL-3.0-or-later, said in the SPDX way. */
static void every_source_file_names_its_licence(void **state)
{
    g_autofree char *without = out_of(state, "cd \"$S\" && grep -L 'SPDX-License-Identifier: GPL-3.0-or-later' src/*/*.c src/*/*.h include/gablebook/*.h"
                                             " tests/*.c tests/*.h tests/e2e/*.c src/package/*.sh src/package/gablebook.* src/cli/completion/* || true");
    assert_string_equal(without, "");
    g_autofree char *licence = out_of(state, "head -n 2 \"$S/LICENSE\"");
    assert_has(licence, "GNU GENERAL PUBLIC LICENSE");
    assert_has(licence, "Version 3");
}

/* Reference: https://reproducible-builds.org/docs/build-path/ -- the program must not know where it was built. */
static void no_path_of_the_build_is_in_the_program(void **state)
{
    g_autofree char *found = out_of(state, "grep -c \"$S/\" \"$GB_PROGRAM\" || true");
    if (g_strcmp0(g_getenv("GB_MODE"), "plain") == 0)
        assert_string_equal(found, "0\n");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        test_in_folder(what_is_there_is_found_without_dpkg),
        test_in_folder(uninstall_leaves_nothing_of_what_install_put_down),
        test_in_folder(desktop_entry_icon_and_media_type_are_valid_and_belong_together),
        test_in_folder(the_desktop_entry_runs_a_command_that_exists_with_an_archive_of_that_name),
        test_in_folder(the_bill_of_materials_is_SPDX_and_names_every_library_of_the_program_and_its_decoder),
        test_in_folder(every_source_file_names_its_licence),
        test_in_folder(no_path_of_the_build_is_in_the_program),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
