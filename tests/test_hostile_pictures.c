/* test_hostile_pictures.c -- pictures that were made to break what reads them: each is read within bounds and named with its reason, and costs the others
 * of its card nothing.
 *
 * What one format does with one fault stands in its own suite; here is what it costs, and the way through a whole import.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "hostile_support.h"
#include "photo_support.h"
#include "pixel_support.h"

#include <gablebook/image.h>
#include <sys/resource.h>
#include <sys/socket.h>
#include <sys/stat.h>
#include <sys/un.h>
#include <sys/wait.h>
#include <unistd.h>

#define CPU_S 60 /* for one file: the largest takes two on a slow machine, fifteen with sanitizers */

static char *put_hostile(const HostileFile *file, const char *folder)
{
    g_autoptr(GBytes) bytes = file->make();
    return put_file(folder, file->name, g_bytes_get_data(bytes, NULL), g_bytes_get_size(bytes));
}

/* --- one file --- */

static guint peak_kb(void)
{
    g_autofree char *text = slurp("/proc/self/status");
    const char *at = strstr(text, "VmHWM:");
    return at == NULL ? 0 : (guint)g_ascii_strtoull(at + 6, NULL, 10);
}

/* What reading said; "" for a whole picture. OWNED by the caller. */
static char *read_as_import_does(const char *path, GBytes *bytes, HostileOutcome *outcome)
{
    g_autoptr(GError) error = NULL;
    GbImageHeader header;
    GbQuality measured;
    gboolean damaged = FALSE;
    gsize n;
    const void *data = g_bytes_get_data(bytes, &n);
    *outcome = HOSTILE_REFUSED;
    if (!gb_image_header_file(path, &header, &error))
        return g_strdup(error->message);
    g_autoptr(GBytes) small = gb_image_survey(data, n, header.exif.orientation, 320, 85, &measured, &damaged, &error);
    gb_image_header_clear(&header);
    *outcome = small == NULL ? HOSTILE_UNSHOWN : damaged ? HOSTILE_PARTLY : HOSTILE_WHOLE;
    return g_strdup(small == NULL ? error->message : "");
}

/* In a process that is ended when it takes too long, and whose peak is its own. */
static gboolean is_read_within_bounds(const HostileFile *file, const char *path)
{
    static const char *const words[] = { "refused", "not shown", "partly shown", "a whole picture" };
    HostileOutcome outcome;
    setrlimit(RLIMIT_CPU, &(struct rlimit){ CPU_S, CPU_S });
    g_autoptr(GBytes) bytes = load_file(path);
    guint before_kb = peak_kb();
    g_autofree char *said = read_as_import_does(path, bytes, &outcome);
    guint used_kb = peak_kb() - before_kb;
    if (outcome != file->outcome || (file->reason != NULL && strstr(said, file->reason) == NULL))
        print_error("%s: wanted %s (%s), is %s (%s)\n", file->name, words[file->outcome], file->reason, words[outcome], said);
    else if (g_strcmp0(g_getenv("GB_MODE"), "plain") == 0 && used_kb > file->memory_mb << 10)
        print_error("%s: took %u MB, may take %u\n", file->name, used_kb >> 10, file->memory_mb);
    else
        return TRUE;
    return FALSE;
}

static void every_hostile_picture_is_read_within_time_and_memory_or_refused_with_its_reason(void **state)
{
    gsize n;
    guint failed = 0;
    const HostileFile *files = hostile_files(&n);
    for (gsize i = 0; i < n; i++) {
        int status;
        g_autofree char *path = put_hostile(&files[i], *state);
        pid_t pid = fork();
        if (pid == 0)
            _exit(is_read_within_bounds(&files[i], path) ? 0 : 1);
        assert_int_equal(waitpid(pid, &status, 0), pid);
        if (WIFSIGNALED(status))
            print_error("%s: ended by signal %d\n", files[i].name, WTERMSIG(status));
        failed += status != 0;
    }
    assert_int_equal(failed, 0);
}

/* CIPA DC-008 says what these mean, and that they mean nothing here. */
static void what_an_exif_block_of_nonsense_says_is_unknown(void **state)
{
    gsize n;
    const HostileFile *files = hostile_files(&n);
    for (gsize i = 0; i < n; i++) {
        if (strcmp(files[i].name, "nonsense.jpg") != 0)
            continue;
        g_autoptr(GError) error = NULL;
        g_auto(GbImageHeader) header = { 0 };
        g_autoptr(GBytes) bytes = files[i].make();
        (void)state;
        assert_true(gb_image_header(g_bytes_get_data(bytes, NULL), g_bytes_get_size(bytes), &header, &error));
        assert_near(header.exif.taken_local_s, (double)NAN, 0);
        assert_near(header.exif.lat_deg, (double)NAN, 0);
        assert_near(header.exif.lon_deg, (double)NAN, 0);
        assert_near(header.exif.heading_deg, (double)NAN, 0);
        assert_int_equal(header.exif.orientation, 1);
        assert_non_null(header.exif.make);
        assert_true(g_utf8_validate(header.exif.make, -1, NULL));
        assert_null(strchr(header.exif.make, '\x1B'));
        return;
    }
    fail();
}

/* --- a card of them --- */

static void put_what_is_no_file(const char *card)
{
    g_autofree char *pipe = g_build_filename(card, "pipe.jpg", NULL), *line = g_build_filename(card, "line.jpg", NULL);
    assert_int_equal(mkfifo(pipe, 0600), 0);
    struct sockaddr_un at = { .sun_family = AF_UNIX };
    if (strlen(line) >= sizeof at.sun_path)
        return;
    g_strlcpy(at.sun_path, line, sizeof at.sun_path);
    int fd = socket(AF_UNIX, SOCK_STREAM | SOCK_CLOEXEC, 0);
    assert_int_equal(bind(fd, (const struct sockaddr *)&at, sizeof at), 0);
    close(fd);
}

/* The line of text that has the name. OWNED by the caller; "" none. */
static char *line_about(const char *text, const char *name)
{
    g_auto(GStrv) lines = g_strsplit(text, "\n", -1);
    for (guint i = 0; lines[i] != NULL; i++)
        if (strstr(lines[i], name) != NULL)
            return g_strdup(lines[i]);
    return g_strdup("");
}

static void each_file_of_a_hostile_card_is_named_and_the_rest_is_taken(void **state)
{
    gsize n;
    guint refused = 0, taken = 4;
    const HostileFile *files = hostile_files(&n);
    g_autofree char *card = g_build_filename(*state, "card", NULL), *claim = g_build_filename(*state, "claim", NULL);
    for (gsize i = 0; i < n; i++) {
        g_free(put_hostile(&files[i], card));
        *(files[i].outcome < HOSTILE_UNSHOWN ? &refused : &taken) += 1;
    }
    g_free(put_photo(card, "0-first.jpg", 1));
    g_free(put_photo(card, "m-middle.jpg", 2));
    g_free(put_photo(card, "z-last.jpg", 3));
    g_free(put_photo(card, "folder.jpg/inside.jpg", 4));
    put_what_is_no_file(card);
    assert_int_equal(gablebook(NULL, NULL, "new", claim, NULL), 0);

    g_autofree char *out = NULL, *err = NULL;
    int status = gablebook(&out, &err, "import", claim, card, NULL);
    if (status != 1) /* some were left out */
        fail_msg("exit status %d: %s", status, err);
    g_autofree char *said = g_strconcat(out, err, NULL);
    for (gsize i = 0; i < n; i++) {
        g_autofree char *line = line_about(said, files[i].name);
        if (files[i].reason != NULL && strstr(line, files[i].reason) == NULL)
            fail_msg("%s: nothing of '%s' in '%s'", files[i].name, files[i].reason, line);
        if (files[i].outcome == HOSTILE_PARTLY && strstr(line, "damaged") == NULL)
            fail_msg("%s: '%s' does not say that it is damaged", files[i].name, line);
    }
    g_autofree char *pipe = line_about(said, "pipe.jpg");
    assert_true(*pipe != '\0');

    g_autofree char *list = NULL;
    assert_int_equal(gablebook(&list, NULL, "list", claim, "--json", NULL), 0);
    static const char *const good[] = { "0-first.jpg", "m-middle.jpg", "z-last.jpg", "inside.jpg" };
    for (gsize i = 0; i < G_N_ELEMENTS(good); i++)
        assert_non_null(strstr(list, good[i]));
    for (gsize i = 0; i < n; i++)
        if ((strstr(list, files[i].name) != NULL) != (files[i].outcome >= HOSTILE_UNSHOWN))
            fail_msg("%s: %s", files[i].name, files[i].outcome >= HOSTILE_UNSHOWN ? "was not taken" : "was taken");
    assert_true(refused > 10 && taken > 20);
    assert_int_equal(gablebook(NULL, NULL, "verify", claim, NULL), 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        test_in_folder(every_hostile_picture_is_read_within_time_and_memory_or_refused_with_its_reason),
        cmocka_unit_test(what_an_exif_block_of_nonsense_says_is_unknown),
        test_in_folder(each_file_of_a_hostile_card_is_named_and_the_rest_is_taken),
    };
    return cmocka_run_group_tests_name("hostile", tests, NULL, NULL);
}
