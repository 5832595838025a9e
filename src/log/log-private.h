/* log-private.h -- what the files of src/log share: the database handle and short ways to prepare, step and fail.
 *
 * SQL stands in src/log alone. A statement is prepared where it is used, bound by name, finalized by g_autoptr.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_LOG_PRIVATE_H
#define GABLEBOOK_LOG_PRIVATE_H

/* The session extension is compiled into Debian's SQLite; its header wants these. */
#define SQLITE_ENABLE_SESSION 1
#define SQLITE_ENABLE_PREUPDATE_HOOK 1
#include <sqlite3.h>

#include <gablebook/digest.h>
#include <gablebook/log.h>

#define GB_SCHEMA_VERSION 7
#define GB_APPLICATION_ID 1732398155 /* 'gBLK', as in schema.sql */

G_DEFINE_AUTOPTR_CLEANUP_FUNC(sqlite3_stmt, sqlite3_finalize)

sqlite3 *gb_log_db(GbLog *log); /* BORROWED */

/* Ask the condition of gb_change_set_guard, if there is one. */
gboolean gb_log_may_change(GbLog *log, GError **error);

/* Set error from the database's last message: "FOLDER: can't DOING: ...". Always FALSE. */
gboolean gb_log_fail(GbLog *log, const char *doing, GError **error);

/* Set GB_ERROR_DAMAGED for a row that is none that this program writes: "FOLDER: claim.db holds a waiver that makes no sense". NULL columns
 * of a hostile database must not reach code that relies on the schema's NOT NULL. Always FALSE. */
gboolean gb_log_senseless(const GbLog *log, const char *what, GError **error);

/* A statement, OWNED by the caller; NULL with error. */
sqlite3_stmt *gb_log_prepare(GbLog *log, const char *sql, GError **error);
/* One step: *row tells whether there is a row. FALSE with error. */
gboolean gb_log_step(GbLog *log, sqlite3_stmt *stmt, gboolean *row, GError **error);
/* Run a statement that gives no rows, to its end, and reset it. */
gboolean gb_log_finish(GbLog *log, sqlite3_stmt *stmt, GError **error);
/* Run SQL without parameters. */
gboolean gb_log_exec(GbLog *log, const char *sql, GError **error);

/* SQLite has no other answer than NULL to "there is no memory for this text", which reads like unknown: a caption would be lost in
 * silence. So then the program ends, as GLib does where its memory runs out; a change that was under way never was. */
G_NORETURN void gb_log_out_of_memory(void);

/* Bind by name; NULL and NAN become SQL NULL. The text is copied. */
void gb_bind_text(sqlite3_stmt *stmt, const char *name, const char *text);
void gb_bind_int(sqlite3_stmt *stmt, const char *name, gint64 value);
void gb_bind_double(sqlite3_stmt *stmt, const char *name, double value);
void gb_bind_null_or_int(sqlite3_stmt *stmt, const char *name, gboolean known, gint64 value);

/* A text column as it is, NULL for SQL NULL. BORROWED until the next step. */
const char *gb_column_peek(sqlite3_stmt *stmt, int column);
/* A column as clean UTF-8, OWNED by the caller, NULL for SQL NULL; as a double, NAN for NULL. */
char *gb_column_text(sqlite3_stmt *stmt, int column);
double gb_column_double(sqlite3_stmt *stmt, int column);

/* Whether a name from the database is that of a file in originals/: one with a folder in it would lead out of there. */
gboolean gb_is_name_in_originals(const char *name);

/* The shot numbers that sql selects for :of, OWNED by the caller (g_array_unref), also on failure. */
gboolean gb_shot_list_read(GbLog *log, const char *sql, gint64 of, GArray **shots, GError **error);
/* Put these in the place of those: delete_sql has :of, insert_sql :of and :shot. shots may be NULL: none. */
gboolean gb_shot_list_write(GbLog *log, const char *delete_sql, const char *insert_sql, gint64 of, const GArray *shots, GError **error);

/* Whether n bytes are a whole changeset that touches none but the tables that is_table accepts. Ask before giving SQLite a
 * changeset out of a database. */
gboolean gb_changeset_is_sound(const void *changeset, gsize n, gboolean (*is_table)(const char *name));

/* Seal the state of the log (state.h), inside the transaction that changed it. */
gboolean gb_state_seal(GbLog *log, GError **error);

/* The digest of a row's columns from first_column on, with their types and lengths. */
gboolean gb_state_row_digest(sqlite3_stmt *row, int first_column, char hex[GB_DIGEST_HEX], GError **error);
/* Whether every row of survey still is as it was written; *sound FALSE: one is not. */
gboolean gb_surveys_check(GbLog *log, gboolean *sound, GError **error);

/* What else belongs into the transaction of the last step. */
typedef struct {
    gboolean (*function)(gpointer user, GError **error);
    gpointer user;
} GbMigrateEnd;

/* Bring a database forward, one version at a time, each in a transaction of its own.
 *   from, to  versions; script(v) gives the SQL that makes version v of v-1, OWNED by the caller, or NULL with error
 *   end       may be NULL */
gboolean gb_migrate(sqlite3 *db, int from, int to, char *(*script)(int version, GError **error), const GbMigrateEnd *end, GError **error);
/* The scripts this program carries: src/log/migrate-N.sql. */
char *gb_migrate_builtin(int version, GError **error);

#endif
