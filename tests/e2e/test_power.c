/* test_power.c -- the power fails: what was not made durable is gone.
 *
 * recorder.c writes down what a command does to its files. From that the folder is built anew as it may be found after a power cut behind any of
 * those calls, in three ways:
 *   hard    a file holds what it held at its last fsync (nothing, where there was none), and a folder has the names that it had at its own
 *   names   the same, but every name is there: as after a journal of names alone, with files of nothing behind them
 *   mixed   a random part of what came after the last fsync is there too: blocks of what was written to a file, in any selection, and names
 *           likewise
 * Then the claim is held against the same promises as after a kill (survive_support.h). Random numbers have a fixed seed.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "../survive_support.h"
#include "recorder.h"

#include <glib/gstdio.h>
#include <sys/stat.h>
#include <unistd.h>

/* --- what was recorded --- */

typedef struct {
    Head head;
    char *name, *other; /* OWNED */
    GBytes *data;       /* OWNED */
} Event;

static void clear_event(gpointer data)
{
    Event *event = data;
    g_free(event->name);
    g_free(event->other);
    g_bytes_unref(event->data);
}

static GArray *read_events(const char *path)
{
    g_autofree char *all = NULL;
    gsize n, at = 0;
    GArray *events = g_array_new(FALSE, FALSE, sizeof(Event));
    g_array_set_clear_func(events, clear_event);
    assert_true(g_file_get_contents(path, &all, &n, NULL));
    while (at < n) {
        Event event;
        assert_true(n - at >= sizeof event.head);
        memcpy(&event.head, all + at, sizeof event.head);
        at += sizeof event.head;
        event.name = g_strndup(all + at, (gsize)event.head.name_n);
        at += (gsize)event.head.name_n;
        event.other = g_strndup(all + at, (gsize)event.head.other_n);
        at += (gsize)event.head.other_n;
        event.data = g_bytes_new(all + at, (gsize)event.head.n);
        at += (gsize)event.head.n;
        g_array_append_val(events, event);
    }
    return events;
}

/* --- the disk --- */

/* A file or a folder, whatever names it has. */
typedef struct {
    gboolean is_folder;
    GBytes *durable;  /* content at the last fsync; OWNED */
    GPtrArray *after; /* of Event, BORROWED: writes and cuts since then */
} Thing;

/* One change of names that was not made durable: thing NULL takes the name away. */
typedef struct {
    guint group; /* the two halves of a renaming are there together or not */
    char *name;  /* OWNED */
    Thing *thing;
} Naming;

typedef struct {
    GPtrArray *things;           /* all there ever were */
    GHashTable *now, *durable;   /* name -> Thing */
    GHashTable *open;            /* fd -> Thing */
    GArray *pending;             /* of Naming, in order */
    guint groups;
} Disk;

static void free_thing(gpointer data)
{
    Thing *thing = data;
    g_bytes_unref(thing->durable);
    g_ptr_array_unref(thing->after);
    g_free(thing);
}

static void clear_naming(gpointer data)
{
    g_free(((Naming *)data)->name);
}

/* TAKES content. */
static Thing *new_thing(Disk *disk, gboolean is_folder, GBytes *content)
{
    Thing *thing = g_new0(Thing, 1);
    *thing = (Thing){ is_folder, content, g_ptr_array_new() };
    g_ptr_array_add(disk->things, thing);
    return thing;
}

/* Everything below a folder, durable long since. */
static void take_folder(Disk *disk, const char *root, const char *below)
{
    g_autofree char *folder = g_build_filename(root, below, NULL);
    g_autoptr(GDir) dir = g_dir_open(folder, 0, NULL);
    const char *entry;
    assert_non_null(dir);
    while ((entry = g_dir_read_name(dir)) != NULL) {
        char *name = *below == '\0' ? g_strdup(entry) : g_strconcat(below, "/", entry, NULL);
        g_autofree char *path = g_build_filename(root, name, NULL), *bytes = NULL;
        gsize n = 0;
        gboolean is_folder = g_file_test(path, G_FILE_TEST_IS_DIR);
        assert_true(is_folder || g_file_get_contents(path, &bytes, &n, NULL));
        Thing *thing = new_thing(disk, is_folder, g_bytes_new(bytes, n));
        g_hash_table_insert(disk->now, g_strdup(name), thing);
        g_hash_table_insert(disk->durable, name, thing);
        if (is_folder)
            take_folder(disk, root, name);
    }
}

static Disk *new_disk(const char *root)
{
    Disk *disk = g_new0(Disk, 1);
    disk->things = g_ptr_array_new_with_free_func(free_thing);
    disk->now = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL);
    disk->durable = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL);
    disk->open = g_hash_table_new(g_direct_hash, g_direct_equal);
    disk->pending = g_array_new(FALSE, FALSE, sizeof(Naming));
    g_array_set_clear_func(disk->pending, clear_naming);
    take_folder(disk, root, "");
    return disk;
}

static void free_disk(Disk *disk)
{
    g_hash_table_unref(disk->now);
    g_hash_table_unref(disk->durable);
    g_hash_table_unref(disk->open);
    g_array_unref(disk->pending);
    g_ptr_array_unref(disk->things);
    g_free(disk);
}

static void set_name(GHashTable *names, const char *name, Thing *thing)
{
    if (thing != NULL)
        g_hash_table_insert(names, g_strdup(name), thing);
    else
        g_hash_table_remove(names, name);
}

static void name_thing(Disk *disk, const char *name, Thing *thing)
{
    const Naming naming = { disk->groups, g_strdup(name), thing };
    g_array_append_val(disk->pending, naming);
    set_name(disk->now, name, thing);
}

static gboolean lies_in(const char *name, const char *folder)
{
    g_autofree char *in = g_path_get_dirname(name);
    return strcmp(strcmp(in, ".") == 0 ? "" : in, folder) == 0;
}

static void sync_folder(Disk *disk, const char *folder)
{
    for (guint i = 0; i < disk->pending->len;) {
        Naming *naming = &g_array_index(disk->pending, Naming, i);
        if (!lies_in(naming->name, folder)) {
            i++;
            continue;
        }
        set_name(disk->durable, naming->name, naming->thing);
        g_array_remove_index(disk->pending, i);
    }
}

static void play_open(Disk *disk, const Event *event)
{
    Thing *thing = g_hash_table_lookup(disk->now, event->name);
    if (thing == NULL)
        name_thing(disk, event->name, thing = new_thing(disk, FALSE, g_bytes_new(NULL, 0)));
    g_hash_table_insert(disk->open, GINT_TO_POINTER(event->head.fd), thing);
}

static void play(Disk *disk, const Event *event)
{
    Thing *open = g_hash_table_lookup(disk->open, GINT_TO_POINTER(event->head.fd));
    disk->groups++;
    switch (event->head.kind) {
    case OPENED:
    case OPENED_EMPTY:
        play_open(disk, event);
        break;
    case OPENED_TO_READ:
        g_hash_table_insert(disk->open, GINT_TO_POINTER(event->head.fd), g_hash_table_lookup(disk->now, event->name));
        break;
    case WRITTEN:
    case CUT:
        assert_non_null(open);
        g_ptr_array_add(open->after, (gpointer)event);
        break;
    case SYNCED:
        assert_non_null(open);
        g_bytes_unref(open->durable);
        open->durable = g_bytes_ref(event->data);
        g_ptr_array_set_size(open->after, 0);
        break;
    case FOLDER_SYNCED:
        sync_folder(disk, event->name);
        break;
    case RENAMED: {
        Thing *thing = g_hash_table_lookup(disk->now, event->name);
        assert_non_null(thing);
        name_thing(disk, event->name, NULL);
        name_thing(disk, event->other, thing);
        break;
    }
    case UNLINKED:
        name_thing(disk, event->name, NULL);
        break;
    case FOLDER_MADE:
        name_thing(disk, event->name, new_thing(disk, TRUE, g_bytes_new(NULL, 0)));
        break;
    default:
        break;
    }
}

/* --- the disk after a power cut --- */

typedef enum { HARD, NAMES, MIXED, WAYS } Way;
static const char *const way_names[] = { "hard", "names", "mixed" };

/* The names that are there. OWNED by the caller. */
static GHashTable *names_after(const Disk *disk, Way way, GRand *random)
{
    GHashTable *names = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL);
    GHashTableIter iter;
    gpointer name, thing;
    guint group = G_MAXUINT;
    gboolean is_there = FALSE;
    g_hash_table_iter_init(&iter, way == NAMES ? disk->now : disk->durable);
    while (g_hash_table_iter_next(&iter, &name, &thing))
        set_name(names, name, thing);
    for (guint i = 0; way == MIXED && i < disk->pending->len; i++) {
        const Naming *naming = &g_array_index(disk->pending, Naming, i);
        if (naming->group != group)
            is_there = g_rand_boolean(random);
        group = naming->group;
        if (is_there)
            set_name(names, naming->name, naming->thing);
    }
    return names;
}

#define BLOCK 4096

static void set_size(GByteArray *content, gsize n)
{
    gsize had = content->len;
    g_byte_array_set_size(content, (guint)n);
    if (n > had)
        memset(content->data + had, 0, n - had);
}

/* A write or a cut. Of a write the file has got its length, and some of the blocks. */
static void apply_in_part(GByteArray *content, const Event *event, GRand *random)
{
    gsize n, at = (gsize)event->head.at;
    const guint8 *data = g_bytes_get_data(event->data, &n);
    if (event->head.kind == CUT) {
        set_size(content, at);
        return;
    }
    set_size(content, MAX((gsize)content->len, at + n));
    gboolean whole = g_rand_boolean(random);
    for (gsize done = 0; done < n;) {
        gsize some = MIN(n - done, BLOCK - (at + done) % BLOCK);
        if (whole || g_rand_boolean(random))
            memcpy(content->data + at + done, data + done, some);
        done += some;
    }
}

static void write_thing(const Thing *thing, const char *path, Way way, GRand *random)
{
    g_autoptr(GByteArray) content = g_byte_array_new();
    gsize n;
    const guint8 *durable = g_bytes_get_data(thing->durable, &n);
    if (n > 0)
        g_byte_array_append(content, durable, (guint)n);
    for (guint i = 0; way == MIXED && i < thing->after->len; i++)
        if (g_rand_boolean(random))
            apply_in_part(content, thing->after->pdata[i], random);
    FILE *file = fopen(path, "wb");
    assert_non_null(file);
    assert_true(content->len == 0 || fwrite(content->data, 1, content->len, file) == content->len);
    assert_int_equal(fclose(file), 0);
}

static gint compare_names(gconstpointer a, gconstpointer b)
{
    return strcmp(a, b); /* a folder before what is in it */
}

/* What has no folder to lie in can't be reached and is not there. */
static void write_disk(const Disk *disk, const char *root, Way way, GRand *random)
{
    remove_tree(root);
    assert_int_equal(g_mkdir(root, 0755), 0);
    g_autoptr(GHashTable) names = names_after(disk, way, random);
    g_autoptr(GList) sorted = g_list_sort(g_hash_table_get_keys(names), compare_names);
    for (const GList *at = sorted; at != NULL; at = at->next) {
        const Thing *thing = g_hash_table_lookup(names, at->data);
        g_autofree char *path = g_build_filename(root, at->data, NULL), *in = g_path_get_dirname(path);
        if (!g_file_test(in, G_FILE_TEST_IS_DIR))
            continue;
        if (thing->is_folder)
            assert_int_equal(g_mkdir(path, 0755), 0);
        else
            write_thing(thing, path, way, random);
    }
}

/* --- cutting --- */

typedef struct {
    const char *folder;
    const Stage *stage;
    GArray *events;
    GRand *random;
} Cutter;

static GArray *record_events(const char *folder, const char *recorder, const Stage *stage)
{
    g_autofree char *work = g_build_filename(folder, "day", NULL), *record = g_build_filename(folder, "record", NULL), *err = NULL;
    char *real = realpath(folder, NULL);
    g_autofree char *below = g_strdup_printf("GB_RECORD_BELOW=%s/day", real), *into = g_strdup_printf("GB_RECORD=%s", record);
    const char *const env[] = { recorder, below, into, NULL };
    free(real);
    copy_tree(stage->before, work);
    if (run_line(work, env, stage->passage.deed->line, NULL, &err) != 0)
        fail_msg("%s: %s", stage->passage.deed->line, err);
    return read_events(record);
}

static void cut_behind(const Cutter *cutter, guint n, Way way)
{
    g_autofree char *work = g_build_filename(cutter->folder, "day", NULL);
    g_autofree char *when = g_strdup_printf("power cut (%s) behind call %u of %u", way_names[way], n, cutter->events->len);
    g_autoptr(GString) said = g_string_new(NULL);
    Disk *disk = new_disk(cutter->stage->before);
    for (guint i = 0; i < n; i++) {
        const Event *event = &g_array_index(cutter->events, Event, i);
        if (event->head.kind == SAID)
            g_string_append_len(said, g_bytes_get_data(event->data, NULL), (gssize)event->head.n);
        play(disk, event);
    }
    write_disk(disk, work, way, cutter->random);
    free_disk(disk);
    assert_survived(work, &cutter->stage->passage, said->str, when);
}

#define MOST_OF_ONE 8     /* points in one command, every day; the end, where most was said and least is durable, among them */
#define MIXED_TORTURE 2   /* random selections at one point */

static guint cut_through(const Cutter *cutter)
{
    guint all = cutter->events->len, points = is_torture() ? all : MIN(all, MOST_OF_ONE), cuts = 0;
    for (guint i = 0; i < points; i++)
        for (guint way = 0; way < WAYS; way++)
            for (guint again = 0; again < (way == MIXED && is_torture() ? MIXED_TORTURE : 1); again++, cuts++)
                cut_behind(cutter, all - i * all / points, (Way)way);
    return cuts;
}

static gboolean is_one_of(const char *line, const char *const *lines)
{
    for (gsize i = 0; lines[i] != NULL; i++)
        if (g_str_has_prefix(line, lines[i]))
            return TRUE;
    return FALSE;
}

static void after_a_power_cut_nothing_is_lost_that_was_said_to_be_done_and_the_same_command_completes_it(void **state)
{
    static const char *const few[] = { "new ", "import c card1", "tag c 4", "undo", "report c --pdf", "report c --for", "export ", NULL };
    static const char *const every[] = { "", NULL };
    if (is_sanitized())
        skip(); /* the sanitizer's runtime wants to be the first library */
    guint cuts = 0;
    g_autofree char *recorder = build_preload(*state, "recorder");
    g_autoptr(GArray) stages = record_day(*state, NULL);
    g_autoptr(GRand) random = g_rand_new_with_seed(20260517);
    for (guint i = 0; i < stages->len; i++) {
        const Stage *stage = &g_array_index(stages, Stage, i);
        if (!is_one_of(stage->passage.deed->line, is_torture() ? every : few))
            continue;
        g_autoptr(GArray) events = record_events(*state, recorder, stage);
        const Cutter cutter = { *state, stage, events, random };
        cuts += cut_through(&cutter);
    }
    print_message("%u power cuts\n", cuts);
}

static void after_a_power_cut_an_older_claim_is_brought_forward_or_as_it_was(void **state)
{
    static const Deed looks = { "list c", TRUE, NULL };
    if (is_sanitized())
        skip();
    guint cuts = 0;
    g_autofree char *recorder = build_preload(*state, "recorder"), *work = g_build_filename(*state, "day", NULL);
    g_autoptr(GRand) random = g_rand_new_with_seed(20260518);
    assert_int_equal(g_mkdir(work, 0755), 0);
    for (int version = 1; version < 6; version += is_torture() ? 1 : 4) {
        make_old_claim(work, version);
        Stage stage = record_deed(*state, work, NULL, &looks, (guint)version);
        g_autoptr(GArray) events = record_events(*state, recorder, &stage);
        const Cutter cutter = { *state, &stage, events, random };
        cuts += cut_through(&cutter);
        clear_stage(&stage);
    }
    print_message("%u power cuts\n", cuts);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        test_in_folder(after_a_power_cut_nothing_is_lost_that_was_said_to_be_done_and_the_same_command_completes_it),
        test_in_folder(after_a_power_cut_an_older_claim_is_brought_forward_or_as_it_was),
    };
    /* What lasts is played here: the disk below does not matter. */
    if (access("/dev/shm", W_OK) == 0)
        g_setenv("TMPDIR", "/dev/shm", TRUE);
    return cmocka_run_group_tests(tests, NULL, NULL);
}
