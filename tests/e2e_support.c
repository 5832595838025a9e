/* e2e_support.c -- see e2e_support.h.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "e2e_support.h"

#include <jpeglib.h>
#include <sqlite3.h>
#include <sys/wait.h>

int sh(const char *folder, char **out, char **err, const char *script)
{
    const char *argv[] = { "/bin/sh", "-c", script, NULL };
    const char *program = g_getenv("GB_PROGRAM");
    int status = 0;
    g_autoptr(GError) error = NULL;
    g_auto(GStrv) env = g_get_environ();
    if (program != NULL) {
        g_autofree char *beside = g_path_get_dirname(program);
        g_autofree char *path = g_strdup_printf("%s:%s", beside, g_getenv("PATH"));
        env = g_environ_setenv(env, "PATH", path, TRUE);
    }
    GSpawnFlags flags = (out ? 0 : G_SPAWN_STDOUT_TO_DEV_NULL) | (err ? 0 : G_SPAWN_STDERR_TO_DEV_NULL);
    if (!g_spawn_sync(folder, (char **)argv, env, flags, NULL, NULL, out, err, &status, &error))
        fail_msg("%s", error->message);
    return WIFEXITED(status) ? WEXITSTATUS(status) : 128 + WTERMSIG(status);
}

/* --- photos --- */

void make_noise(const char *path, guint seed, guint px)
{
    struct jpeg_compress_struct c;
    struct jpeg_error_mgr errors;
    g_autofree JSAMPLE *row = g_new(JSAMPLE, px);
    GRand *noise = g_rand_new_with_seed(seed);
    FILE *file = fopen(path, "wb");
    assert_non_null(file);
    c.err = jpeg_std_error(&errors);
    jpeg_create_compress(&c);
    jpeg_stdio_dest(&c, file);
    c.image_width = c.image_height = px;
    c.input_components = 1;
    c.in_color_space = JCS_GRAYSCALE;
    jpeg_set_defaults(&c);
    jpeg_set_quality(&c, 95, TRUE);
    jpeg_start_compress(&c, TRUE);
    for (guint y = 0; y < px; y++) {
        for (guint x = 0; x < px; x++)
            row[x] = (JSAMPLE)g_rand_int_range(noise, 0, 256);
        jpeg_write_scanlines(&c, &(JSAMPROW){ row }, 1);
    }
    jpeg_finish_compress(&c);
    jpeg_destroy_compress(&c);
    g_rand_free(noise);
    assert_int_equal(fclose(file), 0);
}

void make_card(const char *folder, const char *name, guint n, guint px)
{
    g_autofree char *card = g_build_filename(folder, name, NULL);
    assert_int_equal(g_mkdir_with_parents(card, 0755), 0);
    for (guint i = 1; i <= n; i++) {
        g_autofree char *path = g_strdup_printf("%s/IMG_%04u.JPG", card, i);
        make_noise(path, i, px);
    }
}

/* --- a claim from outside --- */

typedef struct {
    const char *claim, *when, *file;
    int line;
} Look;

static G_GNUC_PRINTF(2, 3) G_GNUC_NORETURN void unsound(const Look *look, const char *format, ...)
{
    va_list args;
    va_start(args, format);
    g_autofree char *text = g_strdup_vprintf(format, args);
    va_end(args);
    print_error("%s, %s: %s\n", look->claim, look->when, text);
    _fail(look->file, look->line);
    abort(); /* not reached; the compiler can't know */
}

static sqlite3_stmt *prepare(const Look *look, sqlite3 *db, const char *sql)
{
    sqlite3_stmt *stmt;
    if (sqlite3_prepare_v2(db, sql, -1, &stmt, NULL) != SQLITE_OK)
        unsound(look, "%s", sqlite3_errmsg(db));
    return stmt;
}

static guint number_of(const Look *look, sqlite3 *db, const char *sql)
{
    sqlite3_stmt *stmt = prepare(look, db, sql);
    if (sqlite3_step(stmt) != SQLITE_ROW)
        unsound(look, "%s: %s", sql, sqlite3_errmsg(db));
    guint number = (guint)sqlite3_column_int(stmt, 0);
    sqlite3_finalize(stmt);
    return number;
}

static void check_database(const Look *look, sqlite3 *db)
{
    sqlite3_stmt *stmt = prepare(look, db, "PRAGMA integrity_check");
    if (sqlite3_step(stmt) != SQLITE_ROW || strcmp((const char *)sqlite3_column_text(stmt, 0), "ok") != 0)
        unsound(look, "integrity_check: %s", sqlite3_column_text(stmt, 0));
    sqlite3_finalize(stmt);
    if (number_of(look, db, "SELECT count(*) FROM pragma_foreign_key_check") != 0)
        unsound(look, "a foreign key leads nowhere");
    /* numbers are given out without gaps, so none was given out twice or lost */
    if (number_of(look, db, "SELECT ifnull(max(id), 0) - count(*) FROM original") != 0)
        unsound(look, "the numbers have gaps");
}

/* Names in originals/ that are not in names are counted. */
static void count_others(const Look *look, GHashTable *names, ClaimState *state)
{
    g_autofree char *originals = g_build_filename(look->claim, "originals", NULL);
    g_autoptr(GDir) dir = g_dir_open(originals, 0, NULL);
    const char *name;
    while (dir != NULL && (name = g_dir_read_name(dir)) != NULL) {
        if (g_str_has_prefix(name, ".aside-"))
            state->aside++;
        else if (!g_hash_table_contains(names, name))
            state->unentered++;
    }
}

static char *digest_of(const Look *look, const char *path)
{
    g_autoptr(GMappedFile) map = g_mapped_file_new(path, FALSE, NULL);
    if (map == NULL)
        unsound(look, "the log names %s, which is not there", path);
    g_autoptr(GBytes) bytes = g_mapped_file_get_bytes(map);
    return g_compute_checksum_for_bytes(G_CHECKSUM_SHA256, bytes);
}

static void check_originals(const Look *look, sqlite3 *db, ClaimState *state)
{
    g_autoptr(GHashTable) names = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL);
    sqlite3_stmt *stmt = prepare(look, db, "SELECT stored_name, sha256 FROM original ORDER BY id");
    while (sqlite3_step(stmt) == SQLITE_ROW) {
        const char *name = (const char *)sqlite3_column_text(stmt, 0);
        g_autofree char *path = g_build_filename(look->claim, "originals", name, NULL);
        g_autofree char *digest = digest_of(look, path);
        if (strcmp(digest, (const char *)sqlite3_column_text(stmt, 1)) != 0)
            unsound(look, "%s has other bytes than the log says", name);
        g_hash_table_add(names, g_strdup(name));
    }
    sqlite3_finalize(stmt);
    count_others(look, names, state);
}

ClaimState assert_sound_at(const char *claim, const char *when, const char *file, int line)
{
    const Look look = { claim, when, file, line };
    ClaimState state = { 0 };
    g_autofree char *path = g_build_filename(claim, "claim.db", NULL);
    sqlite3 *db = NULL;
    /* for writing, so that the journal of a killed writer is rolled back, as any program does that opens it */
    if (sqlite3_open_v2(path, &db, SQLITE_OPEN_READWRITE, NULL) != SQLITE_OK)
        unsound(&look, "%s", sqlite3_errmsg(db));
    sqlite3_busy_timeout(db, 30000); /* a server may be looking at the photos just then */
    check_database(&look, db);
    check_originals(&look, db, &state);
    state.originals = number_of(&look, db, "SELECT count(*) FROM original");
    state.shots = number_of(&look, db, "SELECT count(*) FROM shot");
    sqlite3_close(db);
    return state;
}

/* --- words --- */

void assert_has_at(const char *text, const char *part, const char *file, int line)
{
    if (text != NULL && strstr(text, part) != NULL)
        return;
    print_error("wanted '%s' in:\n%s\n", part, text != NULL ? text : "(nothing)");
    _fail(file, line);
}

void assert_has_not_at(const char *text, const char *part, const char *file, int line)
{
    if (text == NULL || strstr(text, part) == NULL)
        return;
    print_error("unwanted '%s' in:\n%s\n", part, text);
    _fail(file, line);
}
