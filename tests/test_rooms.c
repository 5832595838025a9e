/* test_rooms.c -- the house keeps its order: no #include goes up, every header has its one room.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "test.h"

/* Rooms in order, lowest first, as src/README.md lists them. OWNED by the caller. */
static GPtrArray *read_rooms(void)
{
    g_autofree char *path = source_path("src/README.md");
    g_autofree char *text = slurp(path);
    g_auto(GStrv) lines = g_strsplit(text, "\n", -1);
    GPtrArray *rooms = g_ptr_array_new_with_free_func(g_free);
    for (char **line = lines; *line != NULL; line++)
        if (g_str_has_prefix(*line, "- ") && strchr(*line, ':') != NULL)
            g_ptr_array_add(rooms, g_strndup(*line + 2, (gsize)(strchr(*line, ':') - *line - 2)));
    return rooms;
}

static int rank_of(const GPtrArray *rooms, const char *room)
{
    for (guint i = 0; i < rooms->len; i++)
        if (strcmp(rooms->pdata[i], room) == 0)
            return (int)i;
    return -1;
}

/* The lowest room that has NAME.c: there the public header NAME.h is at home. -1: nowhere. */
static int home_of(const GPtrArray *rooms, const char *header)
{
    g_autofree char *name = g_strndup(header, strlen(header) - 2);
    for (guint i = 0; i < rooms->len; i++) {
        g_autofree char *relative = g_strdup_printf("src/%s/%s.c", (char *)rooms->pdata[i], name);
        g_autofree char *path = source_path(relative);
        if (g_file_test(path, G_FILE_TEST_EXISTS))
            return (int)i;
    }
    return -1;
}

/* Rank of what an #include line names; -2 when it is none of ours. */
static int rank_of_include(const GPtrArray *rooms, const char *line, const char *file)
{
    if (!g_str_has_prefix(line, "#include"))
        return -2;
    const char *open = strpbrk(line, "<\"");
    const char *close = open == NULL ? NULL : strpbrk(open + 1, ">\"");
    if (close == NULL)
        return -2;
    g_autofree char *name = g_strndup(open + 1, (gsize)(close - open - 1));
    if (strcmp(name, "gablebook/gablebook.h") == 0)
        return rank_of(rooms, "web"); /* all of it: for the doors alone, web and cli */
    if (g_str_has_prefix(name, "gablebook/")) {
        int home = home_of(rooms, name + strlen("gablebook/"));
        if (home < 0)
            print_error("%s: %s is at home in no room\n", file, name);
        return home;
    }
    const char *slash = strchr(name, '/');
    g_autofree char *room = slash == NULL ? NULL : g_strndup(name, (gsize)(slash - name));
    return room == NULL ? -2 : rank_of(rooms, room) < 0 ? -2 : rank_of(rooms, room);
}

/* How many includes of a file go up (or nowhere). */
static int count_wrong(const GPtrArray *rooms, const char *relative, int rank)
{
    g_autofree char *path = source_path(relative);
    g_autofree char *text = slurp(path);
    g_auto(GStrv) lines = g_strsplit(text, "\n", -1);
    int wrong = 0;
    for (char **line = lines; *line != NULL; line++) {
        int other = rank_of_include(rooms, *line, relative);
        if (other == -1 || other > rank) {
            print_error("%s goes up: %s\n", relative, *line);
            wrong++;
        }
    }
    return wrong;
}

/* Visit files with a C ending in a folder. */
static int count_wrong_in(const GPtrArray *rooms, const char *folder, int fixed_rank, int *files)
{
    g_autofree char *path = source_path(folder);
    g_autoptr(GDir) dir = g_dir_open(path, 0, NULL);
    const char *name;
    int wrong = 0;
    while (dir != NULL && (name = g_dir_read_name(dir)) != NULL) {
        if (!g_str_has_suffix(name, ".c") && !g_str_has_suffix(name, ".h"))
            continue;
        g_autofree char *relative = g_build_filename(folder, name, NULL);
        int rank = fixed_rank >= 0 ? fixed_rank : strcmp(name, "gablebook.h") == 0 ? (int)rooms->len : home_of(rooms, name);
        ++*files;
        if (rank < 0) {
            print_error("%s is at home in no room\n", relative);
            wrong++;
        } else
            wrong += count_wrong(rooms, relative, rank);
    }
    return wrong;
}

static void no_include_goes_up(void **state)
{
    (void)state;
    g_autoptr(GPtrArray) rooms = read_rooms();
    int wrong = 0, files = 0;
    assert_true(rooms->len >= 8);
    for (guint i = 0; i < rooms->len; i++) {
        g_autofree char *folder = g_build_filename("src", rooms->pdata[i], NULL);
        wrong += count_wrong_in(rooms, folder, (int)i, &files);
    }
    wrong += count_wrong_in(rooms, "include/gablebook", -1, &files);
    assert_true(files > 50);
    assert_int_equal(wrong, 0);
}

static void every_folder_of_src_is_a_room_that_is_listed(void **state)
{
    (void)state;
    g_autoptr(GPtrArray) rooms = read_rooms();
    g_autofree char *src = source_path("src");
    g_autoptr(GDir) dir = g_dir_open(src, 0, NULL);
    const char *name;
    while ((name = g_dir_read_name(dir)) != NULL) {
        g_autofree char *path = g_build_filename(src, name, NULL);
        if (g_file_test(path, G_FILE_TEST_IS_DIR) && rank_of(rooms, name) < 0)
            fail_msg("src/%s is not listed in src/README.md", name);
    }
}

static void the_map_includes_every_public_header(void **state)
{
    (void)state;
    g_autofree char *map_path = source_path("include/gablebook/gablebook.h");
    g_autofree char *map = slurp(map_path);
    g_autofree char *folder = source_path("include/gablebook");
    g_autoptr(GDir) dir = g_dir_open(folder, 0, NULL);
    const char *name;
    while ((name = g_dir_read_name(dir)) != NULL) {
        g_autofree char *line = g_strdup_printf("#include <gablebook/%s>\n", name);
        if (strcmp(name, "gablebook.h") != 0 && strstr(map, line) == NULL)
            fail_msg("gablebook.h does not include %s", name);
    }
}

static void an_include_that_goes_up_would_be_seen(void **state)
{
    (void)state;
    g_autoptr(GPtrArray) rooms = read_rooms();
    assert_true(rank_of_include(rooms, "#include <gablebook/report.h>", "x") > rank_of(rooms, "log"));
    assert_true(rank_of_include(rooms, "#include \"work/work-private.h\"", "x") > rank_of(rooms, "check"));
    assert_int_equal(rank_of_include(rooms, "#include <glib.h>", "x"), -2);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(no_include_goes_up),
        cmocka_unit_test(every_folder_of_src_is_a_room_that_is_listed),
        cmocka_unit_test(the_map_includes_every_public_header),
        cmocka_unit_test(an_include_that_goes_up_would_be_seen),
    };
    return cmocka_run_group_tests_name("rooms", tests, NULL, NULL);
}
