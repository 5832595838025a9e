/* test_json.c -- docs/json.md is true: each of its lines is run, and what it prints has the members of its table and no others.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "../e2e_support.h"

#include <jansson.h>

/* --- what an answer has --- */

/* Every value that is no object and no list, by its path: path (OWNED) to a word a kind, "text number". */
static void note(GHashTable *seen, const char *path, const char *kind)
{
    const char *before = g_hash_table_lookup(seen, path);
    if (before == NULL || strstr(before, kind) == NULL)
        g_hash_table_insert(seen, g_strdup(path), g_strjoin(" ", before ? before : "", kind, NULL));
}

static void walk(GHashTable *seen, const char *path, json_t *value)
{
    size_t i;
    const char *key;
    json_t *inside;
    g_autofree char *element = g_strconcat(path, "[]", NULL);
    if (json_is_array(value))
        json_array_foreach(value, i, inside)
            walk(seen, element, inside);
    else if (json_is_object(value))
        json_object_foreach(value, key, inside) {
            g_autofree char *member = g_strconcat(path, *path ? "." : "", key, NULL);
            walk(seen, member, inside);
        }
    else
        note(seen, path, json_is_string(value) ? "text" : json_is_number(value) ? "number" : json_is_boolean(value) ? "yes" : "null");
}

/* --- what the page says --- */

typedef struct {
    char *command;
    GHashTable *members; /* path to what it is: "text or null" */
    GHashTable *maybe;   /* paths that need not be there */
} Block;

static void free_block(gpointer data)
{
    Block *block = data;
    g_free(block->command);
    g_hash_table_unref(block->members);
    g_hash_table_unref(block->maybe);
    g_free(block);
}

static void add_member(Block *block, const char *line)
{
    g_auto(GStrv) cells = g_strsplit(line, "|", -1);
    g_auto(GStrv) name = g_strsplit(cells[1], "`", -1);
    assert_int_equal(g_strv_length(name), 3);
    gsize length = strlen(name[1]);
    gboolean maybe = name[1][length - 1] == '?';
    name[1][length - maybe] = '\0';
    if (maybe)
        g_hash_table_add(block->maybe, g_strdup(name[1]));
    assert_true(g_hash_table_insert(block->members, g_strdup(name[1]), g_strdup(cells[2])));
}

static GPtrArray *read_page(void)
{
    g_autofree char *path = source_path("docs/json.md"), *text = slurp(path);
    GPtrArray *blocks = g_ptr_array_new_with_free_func(free_block);
    g_auto(GStrv) lines = g_strsplit(text, "\n", -1);
    for (char **line = lines; *line != NULL; line++)
        if (g_str_has_prefix(*line, "### `")) {
            Block *block = g_new0(Block, 1);
            block->command = g_strndup(*line + 5, strlen(*line) - 6);
            block->members = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, g_free);
            block->maybe = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL);
            g_ptr_array_add(blocks, block);
        } else if (g_str_has_prefix(*line, "| `"))
            add_member(blocks->pdata[blocks->len - 1], *line);
    return blocks;
}

/* --- both --- */

/* What the page says of a path: of that path, or of one with a '*' that it fits. NULL: nothing. */
static const char *said_of(const Block *block, const char *path)
{
    const char *said = g_hash_table_lookup(block->members, path);
    GHashTableIter all;
    gpointer pattern, kind;
    for (g_hash_table_iter_init(&all, block->members); said == NULL && g_hash_table_iter_next(&all, &pattern, &kind);)
        if (strchr(pattern, '*') != NULL && g_pattern_match_simple(pattern, path))
            said = kind;
    return said;
}

static void hold_against_table(const Block *block, json_t *answer)
{
    g_autoptr(GHashTable) seen = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, g_free);
    GHashTableIter all;
    gpointer path, kinds;
    walk(seen, "", answer);
    for (g_hash_table_iter_init(&all, seen); g_hash_table_iter_next(&all, &path, &kinds);) {
        const char *said = said_of(block, path);
        if (said == NULL)
            fail_msg("%s: prints %s, which docs/json.md doesn't tell", block->command, (char *)path);
        g_auto(GStrv) words = g_strsplit(g_strstrip(kinds), " ", -1);
        for (char **word = words; *word != NULL; word++)
            if (strstr(said, *word) == NULL)
                fail_msg("%s: %s is %s, docs/json.md says%s", block->command, (char *)path, *word, said);
    }
    for (g_hash_table_iter_init(&all, block->members); g_hash_table_iter_next(&all, &path, NULL);)
        if (strchr(path, '*') == NULL && !g_hash_table_contains(seen, path) && !g_hash_table_contains(block->maybe, path))
            fail_msg("%s: docs/json.md tells %s, which it doesn't print", block->command, (char *)path);
}

static void every_command_prints_what_the_page_on_json_says_and_nothing_else(void **state)
{
    g_autofree char *photos = source_path("demo-photos"), *card = g_canonicalize_filename(photos, NULL);
    g_autofree char *link = g_strdup_printf("ln -s '%s' card", card);
    assert_int_equal(sh(*state, NULL, NULL, link), 0);
    g_autoptr(GPtrArray) blocks = read_page();
    assert_true(blocks->len >= 20);
    for (guint i = 0; i < blocks->len; i++) {
        const Block *block = blocks->pdata[i];
        g_autofree char *out = NULL, *err = NULL;
        json_error_t error;
        if (sh(*state, &out, &err, block->command) == 2)
            fail_msg("%s: %s", block->command, err);
        json_t *answer = json_loads(out, JSON_REJECT_DUPLICATES, &error);
        if (answer == NULL)
            fail_msg("%s: %s in:\n%s", block->command, error.text, out);
        hold_against_table(block, answer);
        json_decref(answer);
    }
}

/* Every option named --json belongs to a command of the page, and the page forgets none. */
static void no_command_with_json_is_missing_from_the_page(void **state)
{
    g_autofree char *path = source_path("docs/json.md"), *page = slurp(path), *names = NULL;
    assert_int_equal(sh(*state, &names, NULL, "gablebook complete -- ''"), 0);
    g_auto(GStrv) lines = g_strsplit(names, "\n", -1);
    for (char **line = lines; **line != '\0'; line++) {
        *strchr(*line, '\t') = '\0';
        g_autofree char *ask = g_strdup_printf("gablebook complete -- %s --json", *line), *option = NULL;
        g_autofree char *there = g_strdup_printf("`gablebook %s ", *line);
        assert_int_equal(sh(*state, &option, NULL, ask), 0);
        if (*option != '\0' && strstr(page, there) == NULL)
            fail_msg("docs/json.md doesn't tell what gablebook %s --json prints", *line);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        test_in_folder(every_command_prints_what_the_page_on_json_says_and_nothing_else),
        test_in_folder(no_command_with_json_is_missing_from_the_page),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
