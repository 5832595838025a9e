/* survive_support.c -- see survive_support.h.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "survive_support.h"

#include <errno.h>
#include <glib/gstdio.h>
#include <sqlite3.h>
#include <sys/wait.h>

gboolean is_sanitized(void)
{
    return g_strcmp0(g_getenv("GB_MODE"), "asan") == 0;
}

gboolean is_torture(void)
{
    return g_getenv("GB_TORTURE") != NULL && *g_getenv("GB_TORTURE") != '\0';
}

char *build_preload(const char *folder, const char *name)
{
    g_autofree char *relative = g_strdup_printf("tests/e2e/%s.c", name), *source = source_path(relative);
    g_autofree char *file = g_strdup_printf("%s.so", name);
    g_autofree char *library = g_build_filename(folder, file, NULL);
    const char *argv[] = { "cc", "-std=gnu11", "-shared", "-fPIC", "-O1", "-Wall", "-Werror", "-o", library, source, "-ldl", "-pthread", NULL };
    assert_int_equal(run(argv, NULL, NULL), 0);
    return g_strdup_printf("LD_PRELOAD=%s", library);
}

int run_line(const char *folder, const char *const *more_env, const char *line, char **out, char **err)
{
    int status = 0, argc;
    g_autoptr(GError) error = NULL;
    g_auto(GStrv) words = NULL, env = g_get_environ();
    if (!g_shell_parse_argv(line, &argc, &words, &error))
        fail_msg("%s: %s", line, error->message);
    for (gsize i = 0; more_env != NULL && more_env[i] != NULL; i++) {
        g_auto(GStrv) pair = g_strsplit(more_env[i], "=", 2);
        env = g_environ_setenv(env, pair[0], pair[1], TRUE);
    }
    g_autoptr(GPtrArray) argv = g_ptr_array_new();
    g_ptr_array_add(argv, (gpointer)g_getenv("GB_PROGRAM"));
    for (int i = 0; i <= argc; i++)
        g_ptr_array_add(argv, words[i]);
    GSpawnFlags flags = (out ? 0 : G_SPAWN_STDOUT_TO_DEV_NULL) | (err ? 0 : G_SPAWN_STDERR_TO_DEV_NULL);
    if (!g_spawn_sync(folder, (char **)argv->pdata, env, flags, NULL, NULL, out, err, &status, &error))
        fail_msg("%s", error->message);
    return WIFEXITED(status) ? WEXITSTATUS(status) : 128 + WTERMSIG(status);
}

void copy_tree(const char *from, const char *to)
{
    remove_tree(to);
    const char *argv[] = { "cp", "-a", from, to, NULL };
    assert_int_equal(run(argv, NULL, NULL), 0);
}

/* --- a claim as text --- */

static sqlite3_stmt *prepare(sqlite3 *db, const char *sql)
{
    sqlite3_stmt *stmt = NULL;
    if (sqlite3_prepare_v2(db, sql, -1, &stmt, NULL) != SQLITE_OK)
        fail_msg("%s: %s", sql, sqlite3_errmsg(db));
    return stmt;
}

static void add_table(GString *text, sqlite3 *db, const char *table)
{
    g_autofree char *sql = g_strdup_printf("SELECT *, 0 FROM \"%s\" ORDER BY 1, 2", table);
    sqlite3_stmt *stmt = prepare(db, sql);
    g_string_append_printf(text, "--- %s\n", table);
    while (sqlite3_step(stmt) == SQLITE_ROW) {
        for (int i = 0; i < sqlite3_column_count(stmt); i++) {
            const char *name = sqlite3_column_name(stmt, i);
            gboolean is_when = strcmp(name, "at_utc_s") == 0 || strcmp(name, "imported_utc_s") == 0;
            const char *value = is_when ? "when" : (const char *)sqlite3_column_text(stmt, i);
            g_string_append_printf(text, "%s|", value != NULL ? value : "NULL");
        }
        g_string_append_c(text, '\n');
    }
    sqlite3_finalize(stmt);
}

/* NULL where there is no database, or one with nothing in it. For writing, so that the journal of a killed writer is rolled back. */
static sqlite3 *open_database(const char *folder)
{
    g_autofree char *path = g_build_filename(folder, "c", "claim.db", NULL);
    sqlite3 *db = NULL;
    if (!g_file_test(path, G_FILE_TEST_EXISTS))
        return NULL;
    if (sqlite3_open_v2(path, &db, SQLITE_OPEN_READWRITE, NULL) != SQLITE_OK)
        fail_msg("%s: %s", path, sqlite3_errmsg(db));
    return db;
}

static void add_tables(GString *text, sqlite3 *db, gboolean history)
{
    sqlite3_stmt *stmt = prepare(db, history ? "SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite_%' AND"
                                               " name NOT IN ('seal', 'history_part') ORDER BY name"
                                             : "SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite_%' AND"
                                               " name NOT IN ('seal') AND name NOT LIKE 'history%' ORDER BY name");
    while (sqlite3_step(stmt) == SQLITE_ROW)
        add_table(text, db, (const char *)sqlite3_column_text(stmt, 0));
    sqlite3_finalize(stmt);
}

char *claim_text(const char *folder, gboolean history)
{
    GString *text = g_string_new(NULL);
    sqlite3 *db = open_database(folder);
    if (db != NULL)
        add_tables(text, db, history);
    sqlite3_close(db);
    return g_string_free(text, FALSE);
}

static guint count_rows(const char *folder, const char *sql)
{
    sqlite3 *db = open_database(folder);
    assert_non_null(db);
    sqlite3_stmt *stmt = prepare(db, sql);
    assert_int_equal(sqlite3_step(stmt), SQLITE_ROW);
    guint n = (guint)sqlite3_column_int(stmt, 0);
    sqlite3_finalize(stmt);
    sqlite3_close(db);
    return n;
}

void assert_verified_at(const char *folder, const char *when, const char *file, int line)
{
    g_autofree char *out = NULL, *err = NULL;
    int status = run_line(folder, NULL, "verify c", &out, &err);
    if (status == 0)
        return;
    print_error("%s: verify ends with %d:\n%s%s", when, status, out, err);
    _fail(file, line);
}

/* --- a claim of an older version --- */

static void exec(sqlite3 *db, const char *sql)
{
    char *message = NULL;
    if (sqlite3_exec(db, sql, NULL, NULL, &message) != SQLITE_OK)
        fail_msg("%s: %s", sql, message);
}

/* The photos of that claim are not kept: others take their place, and their digests those in its rows. */
static void put_photos(sqlite3 *db, const char *claim)
{
    sqlite3_stmt *stmt = prepare(db, "SELECT id, stored_name FROM original");
    g_autoptr(GString) sql = g_string_new("BEGIN;");
    while (sqlite3_step(stmt) == SQLITE_ROW) {
        guint id = (guint)sqlite3_column_int(stmt, 0);
        g_autofree char *path = g_build_filename(claim, "originals", (const char *)sqlite3_column_text(stmt, 1), NULL), *bytes = NULL;
        gsize n;
        make_noise(path, id, 32);
        assert_true(g_file_get_contents(path, &bytes, &n, NULL));
        g_autofree char *sha256 = g_compute_checksum_for_data(G_CHECKSUM_SHA256, (guchar *)bytes, n);
        g_string_append_printf(sql, "UPDATE original SET sha256 = '%s', bytes = %u WHERE id = %u;", sha256, (guint)n, id);
    }
    sqlite3_finalize(stmt);
    g_string_append(sql, "COMMIT");
    exec(db, sql->str);
}

void make_old_claim(const char *folder, int version)
{
    static const char *const folders[] = { "originals", "cache", "reports" };
    g_autofree char *name = g_strdup_printf("tests/claims/v%d.sql", version), *sql_path = source_path(name), *sql = slurp(sql_path);
    g_autofree char *claim = g_build_filename(folder, "c", NULL), *path = g_build_filename(claim, "claim.db", NULL);
    remove_tree(claim);
    for (gsize i = 0; i < G_N_ELEMENTS(folders); i++) {
        g_autofree char *inside = g_build_filename(claim, folders[i], NULL);
        assert_int_equal(g_mkdir_with_parents(inside, 0755), 0);
    }
    sqlite3 *db = NULL;
    assert_int_equal(sqlite3_open(path, &db), SQLITE_OK);
    g_autofree char *head = g_strdup_printf("PRAGMA application_id = 1732398155; PRAGMA user_version = %d", version);
    exec(db, sql);
    exec(db, head);
    put_photos(db, claim);
    if (sqlite3_table_column_metadata(db, "main", "seal", "step", NULL, NULL, NULL, NULL, NULL) == SQLITE_OK)
        exec(db, "DELETE FROM seal"); /* it was of other digests */
    sqlite3_close(db);
}

/* --- a day's work --- */

const Deed day[] = {
    { "new c --insured 'Ines Marlow' --cause hail --set ./set", FALSE, NULL },
    { "import c card1", TRUE, NULL },
    { "structure c garage --elevations all --slopes left,right", FALSE, NULL },
    { "tag c 1-3 --place front --distance overview --caption 'The front, from the street.'", FALSE, NULL },
    { "tag c 4 --place 'rear slope' --subject 'test square' --distance mid-range --value 9", FALSE, NULL },
    { "note c 'Dog in the yard' --place front --report", FALSE, NULL },
    { "fact c dwelling storeys 2 --how seen", FALSE, NULL },
    { "finding c add --place 'rear slope' --component shingles --cause hail --action replace --quantity '3 SQ' --shots 4", FALSE, NULL },
    { "square c 'left slope' --hits 7", FALSE, NULL },
    { "mark c 4 arrow '0.2,0.5 0.4,0.5'", FALSE, NULL },
    { "waive c address --why 'No number on the house'", FALSE, NULL },
    { "edit c --claim-number LK-20260514 --adjuster 'Ada Quill'", FALSE, NULL },
    { "undo c", FALSE, NULL },
    { "redo c", FALSE, NULL },
    { "import c card2", TRUE, NULL },
    { "undo c", FALSE, NULL },
    { "redo c", FALSE, NULL },
    { "report c", FALSE, "c/reports/photo-report.html" },
    { "report c --pdf", FALSE, "c/reports/photo-report.pdf" },
    { "report c --for reviewer", FALSE, "c/reports/reviewer-sheet.html" },
    { "export c --out z.zip", FALSE, "z.zip" },
    { NULL, FALSE, NULL },
};

static void put(const char *folder, const char *name, const char *text)
{
    g_autofree char *path = g_build_filename(folder, name, NULL), *in = g_path_get_dirname(path);
    assert_int_equal(g_mkdir_with_parents(in, 0755), 0);
    assert_true(g_file_set_contents(path, text, -1, NULL));
}

/* The second card holds one photo of the first. */
void make_cards(const char *folder)
{
    make_card(folder, "card1", 4, 72);
    make_card(folder, "card2", 3, 72);
    for (guint i = 2; i <= 3; i++) {
        g_autofree char *path = g_strdup_printf("%s/card2/IMG_%04u.JPG", folder, i);
        make_noise(path, 70 + i, 72);
    }
    put(folder, "card1/ESTIMATE.PDF", "%PDF-1.4\nnot much of one\n");
    put(folder, "set/letterhead.ini", "[letterhead]\nname=Quill & Daughter\n");
    put(folder, "set/checklists/own.ini",
        "[checklist]\nname = Our own\n\n[address]\nwhat = The house number\nwhere = once\nsubjects = address\nlevel = required\nwhy = It is this house\n");
}

/* --- doing it once --- */

void clear_passage(Passage *passage)
{
    g_free(passage->before);
    g_free(passage->after);
    g_free(passage->product_sha256);
}

/* NULL where there is no such file. OWNED by the caller. */
static char *digest_of(const char *folder, const char *name)
{
    g_autofree char *path = g_build_filename(folder, name, NULL), *bytes = NULL;
    gsize n;
    return g_file_get_contents(path, &bytes, &n, NULL) ? g_compute_checksum_for_data(G_CHECKSUM_SHA256, (guchar *)bytes, n) : NULL;
}

void clear_stage(gpointer data)
{
    Stage *stage = data;
    clear_passage(&stage->passage);
    g_free(stage->before);
}

static guint photos_in(const char *text)
{
    const char *rows = strstr(text, "--- shot\n");
    guint n = 0;
    for (const char *at = rows == NULL ? NULL : rows + strlen("--- shot\n"); at != NULL && *at != '\0' && *at != '-'; at = strchr(at, '\n') + 1)
        n++;
    return n;
}

static guint count_in(const char *path)
{
    g_autofree char *text = slurp(path);
    return (guint)atoi(text);
}

Stage record_deed(const char *folder, const char *work, const char *killer, const Deed *deed, guint number)
{
    g_autofree char *name = g_strdup_printf("before-%u", number), *count = g_build_filename(folder, "count", NULL), *err = NULL;
    g_autofree char *into = g_strdup_printf("GB_KILL_COUNT=%s", count);
    const char *const env[] = { killer, into, NULL };
    Stage stage = { .before = g_build_filename(folder, name, NULL) };
    stage.passage.deed = deed;
    stage.passage.before = claim_text(work, !deed->in_parts);
    copy_tree(work, stage.before);
    if (run_line(work, killer == NULL ? NULL : env, deed->line, NULL, &err) != 0)
        fail_msg("%s: %s", deed->line, err);
    stage.passage.after = claim_text(work, !deed->in_parts);
    stage.passage.photos_after = photos_in(stage.passage.after);
    stage.passage.product_sha256 = deed->product == NULL ? NULL : digest_of(work, deed->product);
    stage.steps = killer == NULL ? 0 : count_in(count);
    assert_true(killer == NULL || stage.steps > 0);
    return stage;
}

GArray *record_day(const char *folder, const char *killer)
{
    GArray *stages = g_array_new(FALSE, FALSE, sizeof(Stage));
    g_array_set_clear_func(stages, clear_stage);
    g_autofree char *work = g_build_filename(folder, "day", NULL);
    assert_int_equal(g_mkdir(work, 0755), 0);
    make_cards(work);
    for (guint i = 0; day[i].line != NULL; i++) {
        Stage stage = record_deed(folder, work, killer, &day[i], i);
        g_array_append_val(stages, stage);
    }
    return stages;
}

/* --- what a broken-off command leaves --- */

typedef struct {
    const char *folder, *when, *file;
    const Passage *passage;
    int line;
} Look;

static G_GNUC_PRINTF(2, 3) void unsound(const Look *look, const char *format, ...)
{
    va_list args;
    va_start(args, format);
    g_autofree char *text = g_strdup_vprintf(format, args);
    va_end(args);
    print_error("%s (in %s), %s: %s\n", look->passage->deed->line, look->folder, look->when, text);
    _fail(look->file, look->line);
}

/* "4 photos taken in, 1 attachment kept." said before the end. */
static void check_said_of_import(const Look *look, const char *said)
{
    const char *photos = strstr(said, " photos taken in"), *attached = strstr(said, "kept as an attachment");
    if (photos != NULL && count_rows(look->folder, "SELECT count(*) FROM shot") < look->passage->photos_after)
        unsound(look, "it said '%s', and the photos are not there", said);
    if (attached != NULL && count_rows(look->folder, "SELECT count(*) FROM attached") == 0)
        unsound(look, "it said '%s', and the attachment is not there", said);
}

/* There it is, and whole: same log, same bytes, as of the command that was not broken off; and verify finds nothing in it. */
static void check_product(const Look *look)
{
    const char *product = look->passage->deed->product;
    g_autofree char *line = g_strdup_printf("verify %s", g_str_has_suffix(product, ".zip") ? product : "c"), *out = NULL, *err = NULL;
    g_autofree char *sha256 = digest_of(look->folder, product);
    if (sha256 == NULL)
        unsound(look, "%s is not there", product);
    if (run_line(look->folder, NULL, line, &out, &err) != 0 || strstr(out, "was changed can't be told") != NULL)
        unsound(look, "%s is not whole: %s%s", product, out, err);
    if (g_strcmp0(sha256, look->passage->product_sha256) != 0)
        unsound(look, "%s has other bytes than that of the command that was not broken off", product);
}

static void check_no_rest(const Look *look, const char *below)
{
    g_autofree char *folder = g_build_filename(look->folder, below, NULL);
    g_autoptr(GDir) dir = g_dir_open(folder, 0, NULL);
    const char *name;
    while (dir != NULL && (name = g_dir_read_name(dir)) != NULL)
        if (g_str_has_prefix(name, ".aside-"))
            unsound(look, "%s/%s is left over", below, name);
}

static void do_again(const Look *look)
{
    const Deed *deed = look->passage->deed;
    g_autofree char *out = NULL, *err = NULL;
    int status = run_line(look->folder, NULL, deed->line, &out, &err);
    if (status != 0)
        unsound(look, "done again it ends with %d: %s%s", status, out, err);
    g_autofree char *now = claim_text(look->folder, !deed->in_parts);
    if (strcmp(now, look->passage->after) != 0)
        unsound(look, "done again the claim is another one:\n%s\nand not\n%s", now, look->passage->after);
    check_no_rest(look, "c/originals");
    if (deed->product != NULL) {
        g_autofree char *in = g_path_get_dirname(deed->product);
        check_no_rest(look, in);
    }
}

void assert_survived_at(const char *folder, const Passage *passage, const char *said, const char *when, const char *file, int line)
{
    const Look look = { folder, when, file, passage, line };
    const Deed *deed = passage->deed;
    g_autofree char *now = claim_text(folder, !deed->in_parts), *product = NULL;
    gboolean is_done = strcmp(now, passage->after) == 0, changes = strcmp(passage->before, passage->after) != 0;
    if (!deed->in_parts && !is_done && strcmp(now, passage->before) != 0)
        unsound(&look, "half of it was done:\n%s", now);
    if (*now != '\0')
        assert_verified_at(folder, when, file, line);
    if (said != NULL && *said != '\0' && deed->in_parts)
        check_said_of_import(&look, said);
    else if (said != NULL && *said != '\0' && !is_done)
        unsound(&look, "it said '%s', and that is not so", said);
    if (deed->product != NULL)
        product = g_build_filename(folder, deed->product, NULL);
    gboolean said_done = said != NULL && *said != '\0';
    if (product != NULL && (said_done || g_file_test(product, G_FILE_TEST_EXISTS)))
        check_product(&look);
    if (!deed->in_parts && changes && is_done)
        return;
    do_again(&look);
    if (product != NULL)
        check_product(&look);
    else
        assert_verified_at(folder, when, file, line);
}
