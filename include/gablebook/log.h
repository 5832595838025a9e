/* log.h -- a claim folder, opened.
 *
 *     FOLDER/claim.db     what is known, decided and done (SQLite; schema in src/log/schema.sql)
 *     FOLDER/originals/   the photos byte for byte as they came, read-only
 *     FOLDER/cache/       smaller pictures; may be deleted, comes back
 *     FOLDER/reports/     what was built
 *     FOLDER/templates/   optional: subjects.ini, facts.ini, components.ini, checklists/, report/ ... of this claim's own
 *
 * A photo is in the log if and only if its bytes are safe in originals/. The folder can be copied, moved and opened
 * elsewhere. One GbLog is used by one thread at a time; several processes may have the same claim open.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_LOG_H
#define GABLEBOOK_LOG_H

#include <glib.h>

G_BEGIN_DECLS

typedef struct GbLog GbLog;

typedef enum { GB_LOG_READ, GB_LOG_WRITE } GbLogMode;

/* Make a claim folder: folder must be absent or empty, or hold what a program left that was killed while it made one. It holds a claim
 * without facts, the site, and a dwelling with four elevations, a roof and four slopes. All or nothing: on failure nothing is left behind.
 * OWNED by the caller, open for writing. GB_ERROR_STATE when the folder holds something else. */
GbLog *gb_log_create(const char *folder, GError **error);

/* Open a claim folder. A database of an older version is brought forward when opened for writing; for
 * reading too, unless the folder is read-only (then GB_ERROR_STATE says so).
 * GB_ERROR_IO, GB_ERROR_FOREIGN (no claim folder; or originals/, cache/, reports/, templates/ or what is in the last are links),
 * GB_ERROR_DAMAGED (fails its own integrity check), GB_ERROR_VERSION (newer). OWNED by the caller. */
GbLog *gb_log_open(const char *folder, GbLogMode mode, GError **error);

/* The folder, as given. BORROWED. */
const char *gb_log_folder(const GbLog *log);
/* A path inside: gb_log_path(log, "originals", name). NULL-terminated like g_build_filename. OWNED by the caller. */
char *gb_log_path(const GbLog *log, const char *first, ...) G_GNUC_NULL_TERMINATED;

/* Between freeze and thaw all reads see one state of the log, whoever writes meanwhile. Short, please: writers
 * wait. They may be nested; inside a change (history.h) both do nothing. */
gboolean gb_log_freeze(GbLog *log, GError **error);
void gb_log_thaw(GbLog *log);

/* SQLite's full check of the database, index by index, and of its references; and that its tables are those of a claim, without views and
 * triggers. FALSE with GB_ERROR_DAMAGED, which says what. */
gboolean gb_log_integrity(GbLog *log, GError **error);

/* Write a whole copy of the database, also while others write to it.
 *   path    must not exist
 *   time_s  of the last step in the history, seconds since 1970-01-01 UTC; 2000-01-01 where there is none; may be NULL
 * Same content, same bytes (for one version of SQLite). FALSE with GB_ERROR_IO; then remove what is at path. */
gboolean gb_log_copy(GbLog *log, const char *path, gint64 *time_s, GError **error);

/* Who is named in the history for what is done through this log: the login's real name, else its user name, until
 * set. who is copied. */
void gb_log_set_who(GbLog *log, const char *who);
const char *gb_log_who(const GbLog *log); /* BORROWED until set again */

void gb_log_free(GbLog *log); /* NULL is allowed */
G_DEFINE_AUTOPTR_CLEANUP_FUNC(GbLog, gb_log_free)

G_END_DECLS
#endif
