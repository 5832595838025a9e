/* history.h -- every change a person makes: who, when, before, after; undo and redo.
 *
 * A change is one transaction on the database, recorded by SQLite's session extension as a changeset of its net effect
 * and kept in the same transaction. Undo applies the inverse, redo the changeset again; both are steps in the record, which is
 * only ever added to.
 *
 *     g_autoptr(GbChange) change = gb_change_begin(log, "tag", error);
 *     ... row writers ...
 *     gb_change_save(change, "tag: shots 3, 7-12: place rear", error)
 *
 * Freed without save, the change never was.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_HISTORY_H
#define GABLEBOOK_HISTORY_H

#include <gablebook/log.h>

G_BEGIN_DECLS

typedef struct GbChange GbChange;

/* Begin a change; others' writes wait from now on (for at most 10 s, then they fail with a clear line).
 *   log   open for writing, BORROWED until the change is freed; one change at a time
 *   verb  "import", "tag" ...: copied */
GbChange *gb_change_begin(GbLog *log, const char *verb, GError **error);

/* Save it: all or nothing. A change that changed nothing leaves no entry in the history. FALSE with error: nothing was saved. */
gboolean gb_change_save(GbChange *change, const char *summary, GError **error);

/* Go on after a save: what follows belongs to the same entry (a long import saves as it goes). */
gboolean gb_change_more(GbChange *change, GError **error);

/* The entry's number in the history; 0 while nothing was changed. */
gint64 gb_change_entry(const GbChange *change);

void gb_change_free(GbChange *change); /* rolls back what is not saved; NULL is allowed */
G_DEFINE_AUTOPTR_CLEANUP_FUNC(GbChange, gb_change_free)

/* A condition for changes: called at the beginning of every change, undo and redo on this log, within its transaction, before anything
 * is changed. FALSE with error: it does not happen. For what a person decided on the strength of what they saw (decided.h). */
typedef gboolean (*GbChangeGuard)(GbLog *log, gpointer user, GError **error);
/* Set the condition; guard NULL: none. user is BORROWED until set again. */
void gb_change_set_guard(GbLog *log, GbChangeGuard guard, gpointer user);

/* Undo the last change that stands, or redo the last that was undone.
 *   summary  which change it was, OWNED by the caller; may be NULL
 * GB_ERROR_STATE when there is none. A redo is gone once something else has been done. */
gboolean gb_history_undo(GbLog *log, char **summary, GError **error);
gboolean gb_history_redo(GbLog *log, char **summary, GError **error);

/* What undo, or redo, would do now: the entry's number, 0 for nothing, and "verb: summary", OWNED by the caller, NULL for nothing. */
gboolean gb_history_next(GbLog *log, gboolean redo, gint64 *entry, char **summary, GError **error);

/* Where the log stands: a number that differs after every change, undo and redo, by whatever program. */
gboolean gb_history_version(GbLog *log, gint64 *version, GError **error);

/* Text members OWNED by the struct. */
typedef struct {
    gint64 id;
    char *verb;
    char *summary;
    char *state; /* done, undone, dropped (undone, and no longer to be redone) */
    char *who;   /* of the last step */
    gint64 at_utc_s;
    GPtrArray *steps; /* of GbHistoryStep, in order */
} GbHistoryEntry;

typedef struct {
    char *step; /* done, undone, redone */
    char *who;
    gint64 at_utc_s;
} GbHistoryStep;

/* One value that a change changed. */
typedef struct {
    char *table;  /* "shot" */
    char *row;    /* its key, as text: "12"; of several columns: "3 eave" */
    char *column; /* "place"; "" for a row that came or went */
    char *before; /* as text; NULL: nothing */
    char *after;
} GbHistoryValue;

/* All entries, oldest first: array of GbHistoryEntry, OWNED by the caller (g_ptr_array_unref). */
GPtrArray *gb_history_load(GbLog *log, GError **error);
/* What an entry changed: array of GbHistoryValue in the order of the tables, OWNED by the caller. GB_ERROR_UNKNOWN: no such entry. */
GPtrArray *gb_history_values(GbLog *log, gint64 entry, GError **error);

G_END_DECLS
#endif
