/* bench_desk.c -- what many claims cost. Run by make bench-desk.
 *
 *   bench_desk DIR [CLAIMS [SHOTS]]
 *
 * Makes claims (1,000 of 100 shots, unless told otherwise) in DIR/claims where they are not there yet, by the library, without image files; with
 * addresses, places and subjects as a day's work leaves them. Then looks through them: the first time, the second, after one changed.
 * Prints; holds nothing up.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "../claim_support.h"

#include <gablebook/desk.h>
#include <gablebook/edit.h>
#include <gablebook/error.h>
#include <gablebook/history.h>
#include <gablebook/new.h>
#include <gablebook/tag.h>
#include <glib/gstdio.h>

static void must(gboolean ok, const GError *error)
{
    if (!ok)
        g_error("%s", error != NULL ? error->message : "failed");
}

static void tag_some(GbLog *log, guint shots, guint seed)
{
    static const char *const places[] = { "site", "front", "right", "rear", "left", "front slope", "rear slope", "roof" };
    for (guint i = 0; i < G_N_ELEMENTS(places) && (i + 1) * 10 <= shots; i++) {
        g_autoptr(GError) error = NULL;
        g_autofree char *numbers = g_strdup_printf("%u-%u", i * 10 + 1, i * 10 + 1 + seed % 9);
        const GbTag tag = { .place = places[i], .subject = "overview" };
        must(gb_tag(log, numbers, &tag, NULL, &error), error);
    }
}

static void make_claim(const char *path, guint seed, guint shots)
{
    g_autoptr(GError) error = NULL;
    g_autofree char *insured = g_strdup_printf("Invented Person %u", seed), *number = g_strdup_printf("H-%05u", seed);
    g_autofree char *day = g_strdup_printf("2026-%02u-%02u", 1 + seed % 10, 1 + seed % 28);
    const GbEdit facts = { .insured = insured, .number = number, .inspection_date = day, .cause = "hail" };
    g_autoptr(GbLog) log = gb_new(path, &facts, &error);
    must(log != NULL, error);
    enter_photos(log, shots);
    tag_some(log, shots, seed);
}

static double look(const char *dir, const char *when)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GTimer) timer = g_timer_new();
    g_autoptr(GbDesk) desk = gb_desk_load(dir, FALSE, &error);
    must(desk != NULL, error);
    double seconds = g_timer_elapsed(timer, NULL);
    printf("%-24s %u claims, %u looked into: %.3f s\n", when, desk->claims->len, desk->looked_into, seconds);
    return seconds;
}

int main(int argc, char **argv)
{
    if (argc < 2)
        g_error("usage: bench_desk DIR [CLAIMS [SHOTS]]");
    guint claims = argc > 2 ? (guint)g_ascii_strtoull(argv[2], NULL, 10) : 1000, shots = argc > 3 ? (guint)g_ascii_strtoull(argv[3], NULL, 10) : 100;
    g_autofree char *dir = g_build_filename(argv[1], "claims", NULL), *cache = g_build_filename(argv[1], "cache", NULL), *first = NULL;
    g_setenv("XDG_CACHE_HOME", cache, TRUE);
    remove_tree(cache);
    must(g_mkdir_with_parents(dir, 0755) == 0, NULL);
    g_autoptr(GTimer) timer = g_timer_new();
    for (guint i = 0; i < claims; i++) {
        g_autofree char *path = g_strdup_printf("%s/claim-%04u", dir, i);
        if (!g_file_test(path, G_FILE_TEST_EXISTS))
            make_claim(path, i, shots);
        if (first == NULL)
            first = g_steal_pointer(&path);
    }
    printf("%-24s %u claims of %u shots: %.1f s\n", "made", claims, shots, g_timer_elapsed(timer, NULL));
    look(dir, "the first time");
    look(dir, "the second time");
    g_autoptr(GError) error = NULL;
    g_autoptr(GbLog) log = gb_log_open(first, GB_LOG_WRITE, &error);
    must(log != NULL && gb_edit(log, &(GbEdit){ .adjuster = "M. Tarn" }, &error), error);
    look(dir, "after one changed");
    look(dir, "once more");
    return 0;
}
