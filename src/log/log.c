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

#define BUSY_MS 10000

struct GbLog {
    char *folder;
    char *who;
    sqlite3 *db;
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
    default:
        return sqlite3_errmsg(db);
    }
}

gboolean gb_log_fail(GbLog *log, const char *doing, GError **error)
{
    g_autofree char *shown = g_filename_display_name(log->folder);
    g_set_error(error, GB_ERROR, code_of(sqlite3_errcode(log->db)), "%s: can't %s: %s; nothing was changed", shown, doing,
                words_of(log->db));
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

/* --- opening --- */

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
    sqlite3_busy_timeout(log->db, BUSY_MS);
    return gb_log_exec(log, "PRAGMA cell_size_check = 1; PRAGMA mmap_size = 0; PRAGMA synchronous = EXTRA", error);
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

static gboolean check_health(GbLog *log, GError **error)
{
    gboolean row;
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

/* version: of the claim, at most this program's */
static gboolean check_version(GbLog *log, gint64 *found, GError **error)
{
    gint64 id, version;
    if (!pragma(log, "PRAGMA application_id", &id, error) || !pragma(log, "PRAGMA user_version", &version, error))
        return FALSE;
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
    if (gb_migrate(log->db, (int)version, GB_SCHEMA_VERSION, gb_migrate_builtin, error))
        return gb_log_exec(log, "BEGIN IMMEDIATE", error) && gb_state_seal(log, error) && gb_log_exec(log, "COMMIT", error);
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

/* The file, and not a link to somewhere else or a device. */
static gboolean is_claim_folder(GbLog *log, GError **error)
{
    g_autofree char *path = gb_log_path(log, "claim.db", NULL);
    GStatBuf st;
    if (g_lstat(path, &st) == 0 && S_ISREG(st.st_mode) && st.st_size > 0)
        return TRUE;
    g_autofree char *shown = g_filename_display_name(log->folder);
    if (!g_file_test(log->folder, G_FILE_TEST_EXISTS))
        g_set_error(error, GB_ERROR, GB_ERROR_IO, "%s: there is no such folder; make a claim with: gablebook new %s", shown, shown);
    else
        g_set_error(error, GB_ERROR, GB_ERROR_FOREIGN, "%s: is no claim folder (it holds no claim.db)", shown);
    return FALSE;
}

GbLog *gb_log_open(const char *folder, GbLogMode mode, GError **error)
{
    g_autoptr(GbLog) log = new_log(folder);
    if (!is_claim_folder(log, error))
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

static gboolean fill(GbLog *log, GError **error)
{
    g_autofree char *schema = gb_builtin_text("src/log/schema.sql", error);
    if (schema == NULL || !connect(log, SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE, error))
        return FALSE;
    g_autofree char *whole = g_strconcat("BEGIN IMMEDIATE;", schema, ";COMMIT", NULL);
    return gb_log_exec(log, whole, error);
}

static gboolean is_empty_folder(const char *folder)
{
    g_autoptr(GDir) dir = g_dir_open(folder, 0, NULL);
    return dir != NULL && g_dir_read_name(dir) == NULL;
}

static gboolean mkdir_or_fail(const char *path, GError **error)
{
    if (g_mkdir(path, 0777) == 0)
        return TRUE;
    g_set_error(error, GB_ERROR, GB_ERROR_IO, "%s: can't be made: %s", path, g_strerror(errno));
    return FALSE;
}

static const char *const folders[] = { "originals", "cache", "reports" };

void gb_log_unmake(GbLog *log, gboolean folder_too)
{
    static const char *const files[] = { "claim.db", "claim.db-journal" };
    g_clear_pointer(&log->db, sqlite3_close_v2);
    for (gsize i = 0; i < G_N_ELEMENTS(files); i++) {
        g_autofree char *path = gb_log_path(log, files[i], NULL);
        g_unlink(path);
    }
    for (gsize i = 0; i < G_N_ELEMENTS(folders); i++) {
        g_autofree char *path = gb_log_path(log, folders[i], NULL);
        g_rmdir(path);
    }
    if (folder_too)
        g_rmdir(log->folder);
    gb_log_free(log);
}

GbLog *gb_log_create(const char *folder, GError **error)
{
    gboolean there = g_file_test(folder, G_FILE_TEST_EXISTS);
    if (there && !is_empty_folder(folder)) {
        g_autofree char *shown = g_filename_display_name(folder);
        g_set_error(error, GB_ERROR, GB_ERROR_STATE, "%s: is there already and not an empty folder; nothing was changed", shown);
        return NULL;
    }
    if (!there && !mkdir_or_fail(folder, error))
        return NULL;
    g_autoptr(GbLog) log = new_log(folder);
    gboolean ok = TRUE;
    for (gsize i = 0; ok && i < G_N_ELEMENTS(folders); i++) {
        g_autofree char *path = gb_log_path(log, folders[i], NULL);
        ok = mkdir_or_fail(path, error);
    }
    if (!ok || !fill(log, error) || !gb_file_sync_folder(folder, error)) {
        gb_log_unmake(g_steal_pointer(&log), !there);
        return NULL;
    }
    return g_steal_pointer(&log);
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
    g_set_error(error, GB_ERROR, GB_ERROR_DAMAGED, "claim.db: is damaged (%s)", said != NULL ? said : "no answer");
    return FALSE;
}

gboolean gb_log_integrity(GbLog *log, GError **error)
{
    return is_well(log, "PRAGMA integrity_check(1)", "ok", error) && is_well(log, "PRAGMA foreign_key_check", NULL, error);
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
