/* test_readme.c -- the examples of README.md and docs/ do what they show.
 *
 * A block is run when the line before its ```console is <!-- run -->. In it, "$ " begins a command for /bin/sh, and the lines up to the next
 * "$ " are what it must print, on either channel; a line of just "..." stands for any number of lines. The blocks of one page are run in
 * order, in one fresh folder in which demo-photos lies.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "../e2e_support.h"

#include <unistd.h>

#define RUN_MARK "<!-- run -->"

typedef struct {
    guint line;        /* in the page */
    char *command;
    GPtrArray *wanted; /* lines */
} Example;

static void free_example(gpointer data)
{
    Example *example = data;
    g_free(example->command);
    g_ptr_array_unref(example->wanted);
    g_free(example);
}

/* --- reading a page --- */

static void add_example(GPtrArray *examples, guint line, const char *command)
{
    Example *example = g_new(Example, 1);
    *example = (Example){ line, g_strdup(command), g_ptr_array_new_with_free_func(g_free) };
    g_ptr_array_add(examples, example);
}

/* The examples of a page that are to be run. *stray becomes the line of a block that shows the program but is not run, else 0. */
static GPtrArray *read_examples(const char *page, guint *stray)
{
    GPtrArray *examples = g_ptr_array_new_with_free_func(free_example);
    g_auto(GStrv) lines = g_strsplit(page, "\n", -1);
    gboolean in_block = FALSE, running = FALSE;
    *stray = 0;
    for (guint i = 0; lines[i] != NULL; i++) {
        const char *line = lines[i];
        if (g_str_has_prefix(line, "```")) {
            in_block = !in_block;
            running = in_block && strcmp(line, "```console") == 0 && i > 0 && strcmp(lines[i - 1], RUN_MARK) == 0;
        } else if (running && g_str_has_prefix(line, "$ "))
            add_example(examples, i + 1, line + 2);
        else if (running && examples->len > 0)
            g_ptr_array_add(((Example *)examples->pdata[examples->len - 1])->wanted, g_strdup(line));
        else if (in_block && g_str_has_prefix(line, "$ gablebook") && *stray == 0)
            *stray = i + 1;
    }
    return examples;
}

/* --- comparing --- */

static gboolean matches(char *const *seen, char *const *wanted, guint n_wanted)
{
    if (n_wanted == 0)
        return *seen == NULL;
    if (strcmp(*wanted, "...") != 0)
        return *seen != NULL && strcmp(*seen, *wanted) == 0 && matches(seen + 1, wanted + 1, n_wanted - 1);
    while (!matches(seen, wanted + 1, n_wanted - 1))
        if (*seen++ == NULL)
            return FALSE;
    return TRUE;
}

/* What the example printed instead, or NULL when it was as it says. OWNED by the caller. */
static char *run_example(const char *folder, const Example *example)
{
    g_autofree char *script = g_strdup_printf("exec 2>&1\n%s", example->command), *out = NULL;
    sh(folder, &out, NULL, script);
    gsize n = strlen(out);
    if (n > 0 && out[n - 1] == '\n')
        out[n - 1] = '\0';
    g_auto(GStrv) seen = n > 0 ? g_strsplit(out, "\n", -1) : g_new0(char *, 1);
    gboolean as_it_says = matches(seen, (char *const *)example->wanted->pdata, example->wanted->len);
    return as_it_says ? NULL : g_steal_pointer(&out);
}

/* Fails the test at the first example that prints something else; returns how many there were. */
static guint run_page(const char *folder, const char *name, const char *page)
{
    guint stray;
    g_autoptr(GPtrArray) examples = read_examples(page, &stray);
    if (stray > 0)
        fail_msg("%s:%u: shows the program in a block that is not run", name, stray);
    for (guint i = 0; i < examples->len; i++) {
        const Example *example = examples->pdata[i];
        g_autofree char *instead = run_example(folder, example);
        if (instead != NULL)
            fail_msg("%s:%u: %s\nprinted instead:\n%s", name, example->line, example->command, instead);
    }
    return examples->len;
}

/* --- the reader itself --- */

static void an_example_whose_output_differs_is_seen(void **state)
{
    static const char page[] = "# Page\n\n" RUN_MARK "\n```console\n"
                               "$ gablebook --version\ngablebook " GB_VERSION "\n" /* 0 right */
                               "$ gablebook --version\ngablebook 0.0.0\n"          /* 1 wrong */
                               "$ gablebook --version\n"                           /* 2 nothing wanted */
                               "$ gablebook --version\n...\n"                      /* 3 right */
                               "$ printf 'a\\nb\\nc\\n'\na\n...\nc\n"              /* 4 right */
                               "$ printf 'a\\nb\\nc\\n'\na\n...\nd\n"              /* 5 wrong */
                               "$ printf 'a\\nb\\n'\na\n"                          /* 6 a line too much */
                               "$ true\n"                                          /* 7 right */
                               "$ echo said >&2\nsaid\n"                           /* 8 right */
                               "```\nText.\n```console\n$ not run\n```\n";
    static const gboolean right[] = { TRUE, FALSE, FALSE, TRUE, TRUE, FALSE, FALSE, TRUE, TRUE };
    guint stray;
    g_autoptr(GPtrArray) examples = read_examples(page, &stray);
    assert_int_equal(examples->len, G_N_ELEMENTS(right));
    assert_int_equal(stray, 0);
    for (guint i = 0; i < examples->len; i++) {
        g_autofree char *instead = run_example(*state, examples->pdata[i]);
        if ((instead == NULL) != right[i])
            fail_msg("example %u", i);
    }
}

static void a_block_that_shows_the_program_and_is_not_run_is_seen(void **state)
{
    (void)state;
    guint stray;
    g_ptr_array_unref(read_examples("Text\n```console\n$ gablebook list c\n```\n", &stray));
    assert_int_equal(stray, 3);
}

/* --- the pages --- */

/* Whether the demo's photos are there; they lie in FOLDER/demo-photos then. */
static gboolean have_demo_photos(const char *folder)
{
    g_autofree char *photos = source_path("demo-photos"), *link = g_build_filename(folder, "demo-photos", NULL);
    g_autofree char *absolute = g_canonicalize_filename(photos, NULL);
    assert_int_equal(symlink(absolute, link), 0);
    return sh(folder, NULL, NULL, "ls demo-photos/*.JPG") == 0;
}

static void the_examples_of_the_readme_print_what_they_show(void **state)
{
    if (!have_demo_photos(*state)) {
        print_message("there are no demo photos to run it with\n");
        skip();
    }
    g_autofree char *path = source_path("README.md"), *page = slurp(path);
    assert_true(run_page(*state, "README.md", page) > 0);
}

static void the_examples_of_the_docs_print_what_they_show(void **state)
{
    if (!have_demo_photos(*state))
        skip();
    g_autofree char *docs = source_path("docs");
    g_autoptr(GDir) dir = g_dir_open(docs, 0, NULL);
    const char *name;
    while (dir != NULL && (name = g_dir_read_name(dir)) != NULL) {
        g_autofree char *path = g_build_filename(docs, name, NULL), *folder = g_build_filename(*state, name, NULL);
        if (!g_str_has_suffix(name, ".md"))
            continue;
        g_autofree char *page = slurp(path), *make = g_strdup_printf("mkdir '%s' && ln -s ../demo-photos '%s/demo-photos'", name, name);
        assert_int_equal(sh(*state, NULL, NULL, make), 0);
        run_page(folder, name, page);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        test_in_folder(an_example_whose_output_differs_is_seen),
        test_in_folder(a_block_that_shows_the_program_and_is_not_run_is_seen),
        test_in_folder(the_examples_of_the_readme_print_what_they_show),
        test_in_folder(the_examples_of_the_docs_print_what_they_show),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
