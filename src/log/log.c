/* log.c -- opening and making a claim folder. See log.h.
 *
 * The journal is a rollback journal, not a WAL: a claim folder gets copied, and a copy of claim.db alone must be
 * whole. Nothing is open while nobody works, write transactions are short. The database may come from elsewhere, so
 * SQLite is told to trust nothing in it: no triggers, no views, no functions in the schema.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "log-private.h"
#include "rows.h"

#include <errno.h>
#include <gablebook/builtin.h>
#include <gablebook/error.h>
#include <gablebook/escape.h>
#include <gablebook/file.h>
#include <gablebook/history.h>
#include <glib/gstdio.h>
#include <math.h>
#include <unistd.h>

#define BUSY_MAX_US (30 * G_USEC_PER_SEC)
#define BUSY_STEP_US 2000

struct GbLog {
    char *folder;
    char *who;
    sqlite3 *db;
    gint64 busy_since_us; /* when the waiting for another program began, on the monotonic clock */
    guint frozen; /* how many gb_log_freeze hold one read transaction open */
    GbChangeGuard guard;
    gpointer guard_user;
};

/* --- statements --- */

sqlite3 *gb_log_db(GbLog *log)
{
    return log->db;
}

/* What the user can do about a failure of the database. */
static GbErrorCode code_of(int sqlite_code)
{
    switch (sqlite_code & 0xff) {
    case SQLITE_CORRUPT:
    case SQLITE_NOTADB:
        return GB_ERROR_DAMAGED;
    case SQLITE_BUSY:
    case SQLITE_LOCKED:
    case SQLITE_CONSTRAINT:
    case SQLITE_READONLY:
        return GB_ERROR_STATE;
    default:
        return GB_ERROR_IO;
    }
}

static const char *words_of(sqlite3 *db)
{
    switch (sqlite3_errcode(db) & 0xff) {
    case SQLITE_BUSY:
        return "another program is writing to this claim; try again";
    case SQLITE_FULL:
        return "the disk is full";
    case SQLITE_READONLY:
        return "the folder can't be written";
    case SQLITE_NOTADB:
        return "claim.db is not a claim's database";
    case SQLITE_CORRUPT:
        return "claim.db is damaged; the photos in originals/ are not touched by this";
    default:
        return sqlite3_errmsg(db);
    }
}

/* The journal has gone, and with that the change is made; only whether it outlives a power cut is open. */
static const char *outcome_of(sqlite3 *db)
{
    return sqlite3_extended_errcode(db) == SQLITE_IOERR_DIR_FSYNC
               ? "the disk did not confirm the change: gablebook history tells whether it was made" : "nothing was changed";
}

gboolean gb_log_fail(GbLog *log, const char *doing, GError **error)
{
    g_autofree char *shown = g_filename_display_name(log->folder);
    g_set_error(error, GB_ERROR, code_of(sqlite3_errcode(log->db)), "%s: can't %s: %s; %s", shown, doing, words_of(log->db),
                outcome_of(log->db));
    return FALSE;
}

sqlite3_stmt *gb_log_prepare(GbLog *log, const char *sql, GError **error)
{
    sqlite3_stmt *stmt = NULL;
    if (sqlite3_prepare_v2(log->db, sql, -1, &stmt, NULL) != SQLITE_OK)
        gb_log_fail(log, "read the log", error);
    return stmt;
}

gboolean gb_log_step(GbLog *log, sqlite3_stmt *stmt, gboolean *row, GError **error)
{
    int code = sqlite3_step(stmt);
    *row = code == SQLITE_ROW;
    return code == SQLITE_ROW || code == SQLITE_DONE || gb_log_fail(log, "use the log", error);
}

gboolean gb_log_finish(GbLog *log, sqlite3_stmt *stmt, GError **error)
{
    int code;
    while ((code = sqlite3_step(stmt)) == SQLITE_ROW)
        ;
    if (code != SQLITE_DONE)
        gb_log_fail(log, "write the log", error);
    sqlite3_reset(stmt);
    return code == SQLITE_DONE;
}

gboolean gb_log_exec(GbLog *log, const char *sql, GError **error)
{
    return sqlite3_exec(log->db, sql, NULL, NULL, NULL) == SQLITE_OK || gb_log_fail(log, "write the log", error);
}

void gb_log_out_of_memory(void)
{
    g_error("memory ran out over the log; what was not said to be done was not done");
}

void gb_bind_text(sqlite3_stmt *stmt, const char *name, const char *text)
{
    if (sqlite3_bind_text(stmt, sqlite3_bind_parameter_index(stmt, name), text, -1, SQLITE_TRANSIENT) == SQLITE_NOMEM)
        gb_log_out_of_memory();
}

void gb_bind_int(sqlite3_stmt *stmt, const char *name, gint64 value)
{
    sqlite3_bind_int64(stmt, sqlite3_bind_parameter_index(stmt, name), value);
}

void gb_bind_double(sqlite3_stmt *stmt, const char *name, double value)
{
    sqlite3_bind_double(stmt, sqlite3_bind_parameter_index(stmt, name), value); /* SQLite makes NULL of NAN */
}

void gb_bind_null_or_int(sqlite3_stmt *stmt, const char *name, gboolean known, gint64 value)
{
    if (known)
        gb_bind_int(stmt, name, value);
    else
        sqlite3_bind_null(stmt, sqlite3_bind_parameter_index(stmt, name));
}

const char *gb_column_peek(sqlite3_stmt *stmt, int column)
{
    const char *text = (const char *)sqlite3_column_text(stmt, column);
    if (text == NULL && sqlite3_column_type(stmt, column) != SQLITE_NULL)
        gb_log_out_of_memory();
    return text;
}

char *gb_column_text(sqlite3_stmt *stmt, int column)
{
    const char *text = gb_column_peek(stmt, column);
    return text == NULL ? NULL : g_utf8_make_valid(text, -1); /* the file may come from elsewhere */
}

double gb_column_double(sqlite3_stmt *stmt, int column)
{
    return sqlite3_column_type(stmt, column) == SQLITE_NULL ? (double)NAN : sqlite3_column_double(stmt, column);
}

gboolean gb_log_senseless(const GbLog *log, const char *what, GError **error)
{
    g_autofree char *shown = g_filename_display_name(log->folder);
    g_set_error(error, GB_ERROR, GB_ERROR_DAMAGED, "%s: claim.db holds %s that makes no sense", shown, what);
    return FALSE;
}

/* --- opening --- */

/* Another program has the lock. SQLite's own way, to ask more seldom the longer it waits, lets those who came last go first: of eight
 * programs that write all the time some never got it. All ask equally often, and not in step. */
static int wait_for_lock(void *user, int asked)
{
    GbLog *log = user;
    gint64 now_us = g_get_monotonic_time();
    if (asked == 0)
        log->busy_since_us = now_us;
    if (now_us - log->busy_since_us >= BUSY_MAX_US)
        return 0;
    g_usleep(BUSY_STEP_US / 2 + (gulong)g_random_int_range(0, BUSY_STEP_US));
    return 1;
}

/* Nothing in the file is trusted: see the head of this file. */
static gboolean defend(GbLog *log, GError **error)
{
    static const struct { int option, value; } settings[] = {
        { SQLITE_DBCONFIG_DEFENSIVE, 1 },   { SQLITE_DBCONFIG_TRUSTED_SCHEMA, 0 }, { SQLITE_DBCONFIG_DQS_DDL, 0 },
        { SQLITE_DBCONFIG_DQS_DML, 0 },     { SQLITE_DBCONFIG_ENABLE_VIEW, 0 },    { SQLITE_DBCONFIG_ENABLE_TRIGGER, 0 },
        { SQLITE_DBCONFIG_ENABLE_FKEY, 1 },
    };
    for (gsize i = 0; i < G_N_ELEMENTS(settings); i++)
        if (sqlite3_db_config(log->db, settings[i].option, settings[i].value, NULL) != SQLITE_OK)
            return gb_log_fail(log, "open it", error);
    sqlite3_limit(log->db, SQLITE_LIMIT_LENGTH, 256 << 20);
    sqlite3_limit(log->db, SQLITE_LIMIT_ATTACHED, 0);
    sqlite3_busy_handler(log->db, wait_for_lock, log);
    const char *sql = "PRAGMA cell_size_check = 1; PRAGMA mmap_size = 0; PRAGMA synchronous = EXTRA";
    return sqlite3_exec(log->db, sql, NULL, NULL, NULL) == SQLITE_OK || gb_log_fail(log, "read the log", error);
}

static gboolean connect(GbLog *log, int flags, GError **error)
{
    g_autofree char *path = gb_log_path(log, "claim.db", NULL);
    if (sqlite3_open_v2(path, &log->db, flags | SQLITE_OPEN_NOMUTEX | SQLITE_OPEN_EXRESCODE, NULL) != SQLITE_OK)
        return gb_log_fail(log, "open claim.db", error);
    return defend(log, error);
}

/* An integer PRAGMA; -1 with error. */
static gboolean pragma(GbLog *log, const char *sql, gint64 *value, GError **error)
{
    gboolean row;
    g_autoptr(sqlite3_stmt) stmt = gb_log_prepare(log, sql, error);
    if (stmt == NULL || !gb_log_step(log, stmt, &row, error))
        return FALSE;
    *value = row ? sqlite3_column_int64(stmt, 0) : 0;
    return TRUE;
}

/* The pages and rows of the database, at every opening. Not its CHECK constraints, which take most of the time and are asked by verify: who
 * reads rows does not trust them anyway. */
static gboolean check_health(GbLog *log, GError **error)
{
    gboolean row;
    if (!gb_log_exec(log, "PRAGMA ignore_check_constraints = 1", error))
        return FALSE;
    g_autoptr(sqlite3_stmt) stmt = gb_log_prepare(log, "PRAGMA quick_check(1)", error);
    if (stmt == NULL || !gb_log_step(log, stmt, &row, error))
        return FALSE;
    const char *said = row ? gb_column_peek(stmt, 0) : "no answer";
    if (g_strcmp0(said, "ok") == 0)
        return TRUE;
    g_set_error(error, GB_ERROR, GB_ERROR_DAMAGED, "%s: claim.db is damaged (%s); the photos in originals/ are not touched by this",
                log->folder, said);
    return FALSE;
}

/* Whether a database has nothing in it: not even the tables of a claim. */
static gboolean is_blank(GbLog *log, gboolean *blank, GError **error)
{
    gint64 objects, version;
    if (!pragma(log, "SELECT count(*) FROM sqlite_schema", &objects, error) || !pragma(log, "PRAGMA user_version", &version, error))
        return FALSE;
    *blank = objects == 0 && version == 0;
    return TRUE;
}

static gboolean fail_unfinished(GbLog *log, GError **error)
{
    g_autofree char *shown = g_filename_display_name(log->folder);
    g_set_error(error, GB_ERROR, GB_ERROR_FOREIGN, "%s: a claim was begun here and not finished; run the same gablebook new again", shown);
    return FALSE;
}

/* version: of the claim, at most this program's */
static gboolean check_version(GbLog *log, gint64 *found, GError **error)
{
    gint64 id, version;
    gboolean blank;
    if (!pragma(log, "PRAGMA application_id", &id, error) || !pragma(log, "PRAGMA user_version", &version, error) ||
        !is_blank(log, &blank, error))
        return FALSE;
    if (blank)
        return fail_unfinished(log, error);
    if (id != GB_APPLICATION_ID || version < 1) {
        g_set_error(error, GB_ERROR, GB_ERROR_FOREIGN, "%s: claim.db is not a claim's database", log->folder);
        return FALSE;
    }
    if (version > GB_SCHEMA_VERSION) {
        g_set_error(error, GB_ERROR, GB_ERROR_VERSION, "%s: was written by a newer gablebook (format %d; this one knows %d); nothing was changed",
                    log->folder, (int)version, GB_SCHEMA_VERSION);
        return FALSE;
    }
    *found = version;
    return TRUE;
}

static gboolean seal(gpointer log, GError **error)
{
    return gb_state_seal(log, error);
}

/* After the health check: damage must not be carried into the new format. */
static gboolean bring_forward(GbLog *log, gint64 version, GError **error)
{
    if (version == GB_SCHEMA_VERSION)
        return TRUE;
    if (sqlite3_db_readonly(log->db, "main")) {
        g_set_error(error, GB_ERROR, GB_ERROR_STATE, "%s: has format %d and must be brought to %d, but the folder can't be written",
                    log->folder, (int)version, GB_SCHEMA_VERSION);
        return FALSE;
    }
    const GbMigrateEnd end = { seal, log };
    if (gb_migrate(log->db, (int)version, GB_SCHEMA_VERSION, gb_migrate_builtin, &end, error))
        return TRUE;
    g_prefix_error(error, "%s: ", log->folder);
    return FALSE;
}

static GbLog *new_log(const char *folder)
{
    GbLog *log = g_new0(GbLog, 1);
    log->folder = g_strdup(folder);
    const char *name = g_get_real_name();
    gb_log_set_who(log, name != NULL && *name != '\0' && strcmp(name, "Unknown") != 0 ? name : g_get_user_name());
    return log;
}

static const char *const folders[] = { "originals", "cache", "reports" };

static gboolean is_empty_folder(const char *folder, const char *name)
{
    g_autofree char *path = g_build_filename(folder, name, NULL);
    g_autoptr(GDir) dir = g_dir_open(path, 0, NULL);
    return dir != NULL && g_dir_read_name(dir) == NULL;
}

/* Whether a claim begins with an entry of this name, in this state. */
static gboolean is_beginning(const char *folder, const char *name)
{
    for (gsize i = 0; i < G_N_ELEMENTS(folders); i++)
        if (strcmp(name, folders[i]) == 0)
            return is_empty_folder(folder, name);
    return strcmp(name, "templates") == 0 || strcmp(name, "claim.db") == 0 || strcmp(name, "claim.db-journal") == 0;
}

/* Whether a folder is empty, or has nothing in it but what a claim begins with: then its making was broken off, if its claim.db is blank
 * or not there. */
static gboolean looks_begun(const char *folder)
{
    g_autoptr(GDir) dir = g_dir_open(folder, 0, NULL);
    gboolean others = dir == NULL;
    const char *name;
    while (dir != NULL && (name = g_dir_read_name(dir)) != NULL)
        others |= !is_beginning(folder, name);
    return !others;
}

#define LINK_DEPTH 3 /* templates/report/name */

/* A claim folder may come from elsewhere: through a link in it, files that are not of the claim would get into reports and exports. Of originals/ and
 * reports/ each file is looked at where it is read. */
static gboolean has_no_links(const char *folder, const char *name, int depth, GError **error)
{
    g_autofree char *path = g_build_filename(folder, name, NULL), *shown = g_filename_display_name(path);
    GStatBuf st;
    if (g_lstat(path, &st) != 0)
        return TRUE;
    if (S_ISLNK(st.st_mode)) {
        g_set_error(error, GB_ERROR, GB_ERROR_FOREIGN, "%s: is a link to elsewhere; a claim holds what it shows itself", shown);
        return FALSE;
    }
    g_autoptr(GDir) dir = S_ISDIR(st.st_mode) && depth > 0 ? g_dir_open(path, 0, NULL) : NULL;
    const char *inner;
    while (dir != NULL && (inner = g_dir_read_name(dir)) != NULL)
        if (!has_no_links(path, inner, depth - 1, error))
            return FALSE;
    return TRUE;
}

static gboolean is_self_contained(const GbLog *log, GError **error)
{
    for (gsize i = 0; i < G_N_ELEMENTS(folders); i++)
        if (!has_no_links(log->folder, folders[i], 0, error))
            return FALSE;
    return has_no_links(log->folder, "templates", LINK_DEPTH, error);
}

/* The file, and not a link to somewhere else or a device. */
static gboolean is_claim_folder(GbLog *log, GError **error)
{
    g_autofree char *path = gb_log_path(log, "claim.db", NULL);
    GStatBuf st = { 0 };
    if (g_lstat(path, &st) == 0 && S_ISREG(st.st_mode) && st.st_size > 0)
        return TRUE;
    g_autofree char *shown = g_filename_display_name(log->folder);
    if (!g_file_test(log->folder, G_FILE_TEST_EXISTS))
        g_set_error(error, GB_ERROR, GB_ERROR_IO, "%s: there is no such folder; make a claim with: gablebook new %s", shown, shown);
    else if (S_ISREG(st.st_mode) && looks_begun(log->folder))
        fail_unfinished(log, error);
    else
        g_set_error(error, GB_ERROR, GB_ERROR_FOREIGN, "%s: is no claim folder (it holds no claim.db)", shown);
    return FALSE;
}

GbLog *gb_log_open(const char *folder, GbLogMode mode, GError **error)
{
    g_autoptr(GbLog) log = new_log(folder);
    if (!is_claim_folder(log, error) || !is_self_contained(log, error))
        return NULL;
    /* For reading too: what a killed writer left can only be rolled back by who may write. SQLite itself falls back to
     * read-only where the file can't be written. */
    gint64 version;
    if (!connect(log, SQLITE_OPEN_READWRITE, error) || !check_version(log, &version, error) || !check_health(log, error) ||
        !bring_forward(log, version, error))
        return NULL;
    if (mode == GB_LOG_WRITE && sqlite3_db_readonly(log->db, "main")) {
        g_autofree char *shown = g_filename_display_name(folder);
        g_set_error(error, GB_ERROR, GB_ERROR_STATE, "%s: the claim can't be written here (a read-only folder or disk); nothing was changed", shown);
        return NULL;
    }
    if (mode == GB_LOG_READ && !gb_log_exec(log, "PRAGMA query_only = 1", error))
        return NULL;
    return g_steal_pointer(&log);
}

/* --- making --- */

static gboolean refuse_folder(const char *folder, GError **error)
{
    g_autofree char *shown = g_filename_display_name(folder);
    g_set_error(error, GB_ERROR, GB_ERROR_STATE, "%s: is there already and not an empty folder; nothing was changed", shown);
    return FALSE;
}

static gboolean mkdir_or_fail(const char *path, GError **error)
{
    if (g_mkdir(path, 0777) == 0 || (errno == EEXIST && g_file_test(path, G_FILE_TEST_IS_DIR)))
        return TRUE;
    g_set_error(error, GB_ERROR, GB_ERROR_IO, "%s: can't be made: %s", path, g_strerror(errno));
    return FALSE;
}

/* The folder it lies in may be one that can't be opened for reading: then this is for its file system to do. */
static gboolean make_durable_folder(const char *folder, GError **error)
{
    g_autofree char *whole = g_canonicalize_filename(folder, NULL), *beside = g_path_get_dirname(whole);
    if (!mkdir_or_fail(folder, error))
        return FALSE;
    gb_file_sync_folder(beside, NULL);
    return TRUE;
}

/* claim.db is unlinked while it is still locked: who waits for it notices that it has gone, and writes nothing into a file without a name. */
void gb_log_unmake(GbLog *log, gboolean folder_too)
{
    static const char *const files[] = { "claim.db", "claim.db-journal" };
    for (gsize i = 0; i < G_N_ELEMENTS(files); i++) {
        g_autofree char *path = gb_log_path(log, files[i], NULL);
        g_unlink(path);
        g_clear_pointer(&log->db, sqlite3_close_v2);
    }
    for (gsize i = 0; i < G_N_ELEMENTS(folders); i++) {
        g_autofree char *path = gb_log_path(log, folders[i], NULL);
        g_rmdir(path);
    }
    if (folder_too)
        g_rmdir(log->folder);
    gb_log_free(log);
}

/* Lock claim.db, and only then believe that nothing is in it: another program may be making a claim here too. On failure what was made of
 * it is gone. */
static gboolean own_blank(GbLog *log, GError **error)
{
    gboolean blank = FALSE;
    g_autofree char *path = gb_log_path(log, "claim.db", NULL);
    GStatBuf st;
    gboolean there = g_lstat(path, &st) == 0;
    if (there && !S_ISREG(st.st_mode)) /* SQLite would follow a link */
        return refuse_folder(log->folder, error);
    if (connect(log, SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE, error) && gb_log_exec(log, "BEGIN IMMEDIATE", error)) {
        if (is_blank(log, &blank, error) && !blank)
            refuse_folder(log->folder, error);
    } else if (!there && (sqlite3_errcode(log->db) & 0xff) != SQLITE_BUSY)
        g_unlink(path);
    return blank;
}

static gboolean fill(GbLog *log, GError **error)
{
    g_autofree char *schema = gb_builtin_text("src/log/schema.sql", error);
    for (gsize i = 0; schema != NULL && i < G_N_ELEMENTS(folders); i++) {
        g_autofree char *path = gb_log_path(log, folders[i], NULL);
        if (!mkdir_or_fail(path, error))
            return FALSE;
    }
    return schema != NULL && gb_log_exec(log, schema, error);
}

GbLog *gb_log_start(const char *folder, GError **error)
{
    gboolean there = g_file_test(folder, G_FILE_TEST_EXISTS);
    if (there && !looks_begun(folder)) {
        refuse_folder(folder, error);
        return NULL;
    }
    if (!there && !make_durable_folder(folder, error))
        return NULL;
    g_autoptr(GbLog) log = new_log(folder);
    if (!own_blank(log, error)) {
        if (!there)
            g_rmdir(folder);
        return NULL;
    }
    if (fill(log, error))
        return g_steal_pointer(&log);
    gb_log_unmake(g_steal_pointer(&log), !there);
    return NULL;
}

gboolean gb_log_settle(GbLog *log, GError **error)
{
    return gb_log_exec(log, "COMMIT", error) && gb_file_sync_folder(log->folder, error);
}

GbLog *gb_log_create(const char *folder, GError **error)
{
    gboolean there = g_file_test(folder, G_FILE_TEST_EXISTS);
    GbLog *log = gb_log_start(folder, error);
    if (log != NULL && !gb_log_settle(log, error))
        gb_log_unmake(g_steal_pointer(&log), !there);
    return log;
}

/* --- the rest --- */

gboolean gb_log_freeze(GbLog *log, GError **error)
{
    if (log->frozen == 0) {
        if (!sqlite3_get_autocommit(log->db))
            return TRUE; /* in a change: one state already */
        if (!gb_log_exec(log, "BEGIN", error))
            return FALSE;
    }
    log->frozen++;
    return TRUE;
}

void gb_log_thaw(GbLog *log)
{
    if (log->frozen == 0)
        return;
    if (--log->frozen == 0)
        sqlite3_exec(log->db, "COMMIT", NULL, NULL, NULL); /* nothing was written: it can't fail in a way that matters */
}

#define SAID_MAX_BYTES 200

/* The first row of a PRAGMA that answers "ok", or with what is wrong. */
static gboolean is_well(GbLog *log, const char *sql, const char *well, GError **error)
{
    gboolean row;
    g_autoptr(sqlite3_stmt) stmt = gb_log_prepare(log, sql, error);
    if (stmt == NULL || !gb_log_step(log, stmt, &row, error))
        return FALSE;
    const char *said = row ? gb_column_peek(stmt, 0) : NULL;
    if (g_strcmp0(said, well) == 0)
        return TRUE;
    g_autofree char *shown = said == NULL ? g_strdup("no answer") : g_utf8_make_valid(said, MIN(SAID_MAX_BYTES, (gssize)strlen(said)));
    g_set_error(error, GB_ERROR, GB_ERROR_DAMAGED, "claim.db: is damaged (%s)", shown);
    return FALSE;
}

#define COLUMNS_OF_ALL_TABLES                                                                                                            \
    "SELECT group_concat(t.name || '.' || c.name, ' ') FROM (SELECT name FROM sqlite_schema WHERE type = 'table' AND"                    \
    " name NOT LIKE 'sqlite_%' ORDER BY name) t, pragma_table_info(t.name) c"

/* A fresh database's tables and columns, as text. OWNED by the caller; NULL with error. */
static char *wanted_columns(GError **error)
{
    g_autofree char *schema = gb_builtin_text("src/log/schema.sql", error), *text = NULL;
    sqlite3 *db = NULL;
    sqlite3_stmt *stmt = NULL;
    if (schema != NULL && sqlite3_open(":memory:", &db) == SQLITE_OK && sqlite3_exec(db, schema, NULL, NULL, NULL) == SQLITE_OK &&
        sqlite3_prepare_v2(db, COLUMNS_OF_ALL_TABLES, -1, &stmt, NULL) == SQLITE_OK && sqlite3_step(stmt) == SQLITE_ROW)
        text = g_strdup((const char *)sqlite3_column_text(stmt, 0));
    sqlite3_finalize(stmt);
    sqlite3_close(db);
    if (text == NULL && schema != NULL)
        g_set_error(error, GB_ERROR, GB_ERROR_IO, "a claim's tables can't be made to compare with");
    return g_steal_pointer(&text);
}

/* The tables of a claim, no others, and nothing that would run by itself. */
static gboolean has_own_tables(GbLog *log, GError **error)
{
    g_autofree char *wanted = wanted_columns(error);
    if (wanted == NULL)
        return FALSE;
    if (is_well(log, "SELECT type || ' ' || name FROM sqlite_schema WHERE type IN ('view', 'trigger')", NULL, error) &&
        is_well(log, COLUMNS_OF_ALL_TABLES, wanted, NULL))
        return TRUE;
    g_clear_error(error);
    g_set_error(error, GB_ERROR, GB_ERROR_DAMAGED, "claim.db: its tables are not those of a claim: something else has changed them");
    return FALSE;
}

gboolean gb_log_integrity(GbLog *log, GError **error)
{
    return has_own_tables(log, error) && is_well(log, "PRAGMA integrity_check(1)", "ok", error) &&
           is_well(log, "PRAGMA foreign_key_check", NULL, error);
}

#define NO_STEP_UTC_S 946684800 /* 2000-01-01; a zip knows no time before 1980 */

static gboolean last_time(GbLog *log, gint64 *time_s, GError **error)
{
    gboolean row;
    g_autoptr(sqlite3_stmt) stmt = gb_log_prepare(log, "SELECT max(at_utc_s) FROM history_step", error);
    if (stmt == NULL || !gb_log_step(log, stmt, &row, error))
        return FALSE;
    *time_s = row && sqlite3_column_type(stmt, 0) != SQLITE_NULL ? sqlite3_column_int64(stmt, 0) : NO_STEP_UTC_S;
    return TRUE;
}

/* The backup interface copies pages, and through them what a writer in between changed, once more. */
gboolean gb_log_copy(GbLog *log, const char *path, gint64 *time_s, GError **error)
{
    sqlite3 *copy = NULL;
    if (time_s != NULL && !last_time(log, time_s, error))
        return FALSE;
    int code = sqlite3_open_v2(path, &copy, SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE | SQLITE_OPEN_EXRESCODE, NULL);
    sqlite3_backup *backup = code == SQLITE_OK ? sqlite3_backup_init(copy, "main", log->db, "main") : NULL;
    if (backup != NULL) {
        sqlite3_backup_step(backup, -1);
        code = sqlite3_backup_finish(backup);
    }
    gboolean ok = backup != NULL && code == SQLITE_OK;
    if (!ok)
        g_set_error(error, GB_ERROR, GB_ERROR_IO, "%s: the log can't be copied there: %s", path,
                    copy != NULL ? sqlite3_errmsg(copy) : sqlite3_errstr(code));
    sqlite3_close_v2(copy);
    return ok;
}

const char *gb_log_folder(const GbLog *log)
{
    return log->folder;
}

char *gb_log_path(const GbLog *log, const char *first, ...)
{
    g_autoptr(GPtrArray) parts = g_ptr_array_new();
    g_ptr_array_add(parts, log->folder);
    va_list more;
    va_start(more, first);
    for (const char *part = first; part != NULL; part = va_arg(more, const char *))
        g_ptr_array_add(parts, (gpointer)part);
    va_end(more);
    g_ptr_array_add(parts, NULL);
    return g_build_filenamev((char **)parts->pdata);
}

void gb_log_set_who(GbLog *log, const char *who)
{
    char *clean = gb_clean_text(who, strlen(who));
    g_free(log->who);
    log->who = clean != NULL ? clean : g_strdup("unknown");
}

const char *gb_log_who(const GbLog *log)
{
    return log->who;
}

void gb_change_set_guard(GbLog *log, GbChangeGuard guard, gpointer user)
{
    log->guard = guard;
    log->guard_user = user;
}

gboolean gb_log_may_change(GbLog *log, GError **error)
{
    return log->guard == NULL || log->guard(log, log->guard_user, error);
}

void gb_log_free(GbLog *log)
{
    if (log == NULL)
        return;
    sqlite3_close_v2(log->db);
    g_free(log->folder);
    g_free(log->who);
    g_free(log);
}
