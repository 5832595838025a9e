/* history.c -- changes, their record, undo and redo. See history.h.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "log-private.h"

#include <gablebook/claim.h>
#include <gablebook/error.h>
#include <gablebook/history.h>

/* What people decide. The history itself and the facts of the files are not undone. */
static const char *const work_tables[] = { "claim", "structure", "place", "shot", "waiver", "clock_word", "clock_pair",
                                           "fact", "fact_shot", "test_square", "test_square_shot", "square_threshold", "note",
                                           "roof_entry", "roof_given", "roof_setting", "finding", "finding_shot", "mark", "attached" };

struct GbChange {
    GbLog *log;
    char *verb;
    sqlite3_session *session; /* NULL between save and more */
    gint64 entry;             /* 0 until something was saved */
    int parts;
};

static gint64 now_utc_s(void)
{
    return g_get_real_time() / G_USEC_PER_SEC;
}

static void rollback(GbLog *log)
{
    sqlite3_exec(gb_log_db(log), "ROLLBACK", NULL, NULL, NULL); /* fails when SQLite has rolled back already: no matter */
}

/* --- recording --- */

/* From here on nobody else writes; then the condition is asked. */
static gboolean begin(GbLog *log, GError **error)
{
    if (!gb_log_exec(log, "BEGIN IMMEDIATE", error))
        return FALSE;
    if (gb_log_may_change(log, error))
        return TRUE;
    rollback(log);
    return FALSE;
}

static gboolean start(GbChange *change, GError **error)
{
    if (!begin(change->log, error))
        return FALSE;
    sqlite3 *db = gb_log_db(change->log);
    gboolean ok = sqlite3session_create(db, "main", &change->session) == SQLITE_OK;
    for (gsize i = 0; ok && i < G_N_ELEMENTS(work_tables); i++)
        ok = sqlite3session_attach(change->session, work_tables[i]) == SQLITE_OK;
    if (!ok)
        gb_log_fail(change->log, "record the change", error);
    return ok;
}

GbChange *gb_change_begin(GbLog *log, const char *verb, GError **error)
{
    g_autoptr(GbChange) change = g_new0(GbChange, 1);
    change->log = log;
    change->verb = g_strdup(verb);
    return start(change, error) ? g_steal_pointer(&change) : NULL;
}

gboolean gb_change_more(GbChange *change, GError **error)
{
    return start(change, error);
}

gint64 gb_change_entry(const GbChange *change)
{
    return change->entry;
}

static gboolean add_step(GbLog *log, gint64 entry, const char *step, GError **error)
{
    g_autoptr(sqlite3_stmt) stmt = gb_log_prepare(log,
        "INSERT INTO history_step (history, step, who, at_utc_s) VALUES (:history, :step, :who, :at)", error);
    if (stmt == NULL)
        return FALSE;
    gb_bind_int(stmt, ":history", entry);
    gb_bind_text(stmt, ":step", step);
    gb_bind_text(stmt, ":who", gb_log_who(log));
    gb_bind_int(stmt, ":at", now_utc_s());
    return gb_log_finish(log, stmt, error);
}

/* An entry that still stands? It may have been undone by another program between two parts. */
static gboolean still_done(GbChange *change, gboolean *done, GError **error)
{
    *done = FALSE;
    if (change->entry == 0)
        return TRUE;
    g_autoptr(sqlite3_stmt) stmt =
        gb_log_prepare(change->log, "SELECT 1 FROM history WHERE id = :id AND state = 'done'", error);
    if (stmt == NULL)
        return FALSE;
    gb_bind_int(stmt, ":id", change->entry);
    return gb_log_step(change->log, stmt, done, error);
}

static gboolean open_entry(GbChange *change, GError **error)
{
    /* A new deed ends the possibility to redo what was undone before it. */
    if (!gb_log_exec(change->log, "UPDATE history SET state = 'dropped' WHERE state = 'undone'", error))
        return FALSE;
    g_autoptr(sqlite3_stmt) stmt =
        gb_log_prepare(change->log, "INSERT INTO history (verb, summary, state) VALUES (:verb, '', 'done')", error);
    if (stmt == NULL)
        return FALSE;
    gb_bind_text(stmt, ":verb", change->verb);
    if (!gb_log_finish(change->log, stmt, error))
        return FALSE;
    change->entry = sqlite3_last_insert_rowid(gb_log_db(change->log));
    change->parts = 0;
    return add_step(change->log, change->entry, "done", error);
}

static gboolean add_part(GbChange *change, const char *summary, const void *changeset, int n, GError **error)
{
    gboolean done;
    if (!still_done(change, &done, error) || (!done && !open_entry(change, error)))
        return FALSE;
    g_autoptr(sqlite3_stmt) part = gb_log_prepare(change->log,
        "INSERT INTO history_part (history, part, changeset) VALUES (:history, :part, :changeset)", error);
    g_autoptr(sqlite3_stmt) name =
        part == NULL ? NULL : gb_log_prepare(change->log, "UPDATE history SET summary = :summary WHERE id = :id", error);
    if (name == NULL)
        return FALSE;
    gb_bind_int(part, ":history", change->entry);
    gb_bind_int(part, ":part", change->parts++);
    sqlite3_bind_blob(part, sqlite3_bind_parameter_index(part, ":changeset"), changeset, n, SQLITE_STATIC);
    gb_bind_text(name, ":summary", summary);
    gb_bind_int(name, ":id", change->entry);
    return gb_log_finish(change->log, part, error) && gb_log_finish(change->log, name, error);
}

static gboolean record(GbChange *change, const char *summary, GError **error)
{
    int n = 0;
    void *changeset = NULL;
    int code = sqlite3session_changeset(change->session, &n, &changeset);
    g_clear_pointer(&change->session, sqlite3session_delete);
    gboolean ok = code == SQLITE_OK || gb_log_fail(change->log, "record the change", error);
    if (ok && n > 0)
        ok = add_part(change, summary, changeset, n, error);
    sqlite3_free(changeset);
    return ok;
}

gboolean gb_change_save(GbChange *change, const char *summary, GError **error)
{
    gint64 entry_before = change->entry;
    int parts_before = change->parts;
    if (record(change, summary, error) && gb_state_seal(change->log, error) && gb_log_exec(change->log, "COMMIT", error))
        return TRUE;
    rollback(change->log);
    change->entry = entry_before;
    change->parts = parts_before;
    return FALSE;
}

void gb_change_free(GbChange *change)
{
    if (change == NULL)
        return;
    g_clear_pointer(&change->session, sqlite3session_delete);
    if (!sqlite3_get_autocommit(gb_log_db(change->log)))
        rollback(change->log);
    g_free(change->verb);
    g_free(change);
}

/* --- undo and redo --- */

/* A changeset fits what it is applied to, or something is wrong: then all of it is refused. */
static int on_conflict(void *unused, int kind, sqlite3_changeset_iter *iter)
{
    (void)unused, (void)kind, (void)iter;
    return SQLITE_CHANGESET_ABORT;
}

/* A changeset reaches the tables of people's decisions and no other. */
static gboolean is_work_table(const char *table)
{
    for (gsize i = 0; i < G_N_ELEMENTS(work_tables); i++)
        if (strcmp(table, work_tables[i]) == 0)
            return TRUE;
    return FALSE;
}

static gboolean refuse(GbLog *log, const char *why, GError **error)
{
    g_set_error(error, GB_ERROR, GB_ERROR_STATE, "%s: the log no longer fits this change (%s); nothing was changed", gb_log_folder(log),
                why);
    return FALSE;
}

static gboolean apply(GbLog *log, const void *changeset, int n, gboolean inverse, GError **error)
{
    void *turned = NULL;
    int code = SQLITE_OK;
    if (!gb_changeset_is_sound(changeset, (gsize)n, is_work_table))
        return refuse(log, "its record is damaged", error);
    if (inverse)
        code = sqlite3changeset_invert(n, changeset, &n, &turned);
    if (code == SQLITE_OK)
        code = sqlite3changeset_apply(gb_log_db(log), n, inverse ? turned : (void *)changeset, NULL, on_conflict, NULL);
    sqlite3_free(turned);
    return code == SQLITE_OK || refuse(log, sqlite3_errstr(code), error);
}

static gboolean apply_parts(GbLog *log, gint64 entry, gboolean inverse, GError **error)
{
    g_autoptr(sqlite3_stmt) stmt = gb_log_prepare(log, inverse
        ? "SELECT changeset FROM history_part WHERE history = :id ORDER BY part DESC"
        : "SELECT changeset FROM history_part WHERE history = :id ORDER BY part", error);
    if (stmt == NULL)
        return FALSE;
    gb_bind_int(stmt, ":id", entry);
    for (;;) {
        gboolean row;
        if (!gb_log_step(log, stmt, &row, error))
            return FALSE;
        if (!row)
            return TRUE;
        if (!apply(log, sqlite3_column_blob(stmt, 0), sqlite3_column_bytes(stmt, 0), inverse, error))
            return FALSE;
    }
}

static gboolean set_state(GbLog *log, gint64 entry, const char *state, GError **error)
{
    g_autoptr(sqlite3_stmt) stmt = gb_log_prepare(log, "UPDATE history SET state = :state WHERE id = :id", error);
    if (stmt == NULL)
        return FALSE;
    gb_bind_text(stmt, ":state", state);
    gb_bind_int(stmt, ":id", entry);
    return gb_log_finish(log, stmt, error);
}

/* Undo and redo are the same walk in two directions. */
static const struct Direction {
    const char *find, *state, *step, *none;
    gboolean inverse;
} backward = { "SELECT id, verb || ': ' || summary FROM history WHERE state = 'done' ORDER BY id DESC LIMIT 1", "undone", "undone",
               "there is nothing to undo", TRUE },
  forward = { "SELECT id, verb || ': ' || summary FROM history WHERE state = 'undone' ORDER BY id LIMIT 1", "done", "redone",
              "there is nothing to redo", FALSE };

static gboolean find_entry(GbLog *log, const struct Direction *way, gint64 *entry, char **summary, GError **error)
{
    gboolean row;
    g_autoptr(sqlite3_stmt) stmt = gb_log_prepare(log, way->find, error);
    if (stmt == NULL || !gb_log_step(log, stmt, &row, error))
        return FALSE;
    if (!row) {
        g_set_error(error, GB_ERROR, GB_ERROR_STATE, "%s: %s", gb_log_folder(log), way->none);
        return FALSE;
    }
    *entry = sqlite3_column_int64(stmt, 0);
    *summary = gb_column_text(stmt, 1);
    return *summary != NULL || gb_log_senseless(log, "a change", error);
}

gboolean gb_history_next(GbLog *log, gboolean redo, gint64 *entry, char **summary, GError **error)
{
    g_autoptr(GError) none = NULL;
    *entry = 0;
    *summary = NULL;
    if (find_entry(log, redo ? &forward : &backward, entry, summary, &none) || g_error_matches(none, GB_ERROR, GB_ERROR_STATE))
        return TRUE;
    g_propagate_error(error, g_steal_pointer(&none));
    return FALSE;
}

/* Steps and parts are only ever added, so each of the two grows with what it records: an import adds parts to its one step. */
gboolean gb_history_version(GbLog *log, gint64 *version, GError **error)
{
    gboolean row;
    g_autoptr(sqlite3_stmt) stmt = gb_log_prepare(log,
        "SELECT (SELECT ifnull(max(id), 0) FROM history_step) + (SELECT ifnull(max(rowid), 0) FROM history_part)", error);
    if (stmt == NULL || !gb_log_step(log, stmt, &row, error))
        return FALSE;
    *version = row ? sqlite3_column_int64(stmt, 0) : 0;
    return TRUE;
}

static gboolean move(GbLog *log, const struct Direction *way, char **summary, GError **error)
{
    gint64 entry;
    g_autofree char *which = NULL;
    if (!begin(log, error))
        return FALSE;
    if (find_entry(log, way, &entry, &which, error) && apply_parts(log, entry, way->inverse, error) &&
        set_state(log, entry, way->state, error) && add_step(log, entry, way->step, error) &&
        gb_state_seal(log, error) && gb_log_exec(log, "COMMIT", error)) {
        if (summary != NULL)
            *summary = g_steal_pointer(&which);
        return TRUE;
    }
    rollback(log);
    return FALSE;
}

gboolean gb_history_undo(GbLog *log, char **summary, GError **error)
{
    return move(log, &backward, summary, error);
}

gboolean gb_history_redo(GbLog *log, char **summary, GError **error)
{
    return move(log, &forward, summary, error);
}

/* --- reading the record --- */

static void free_step(gpointer data)
{
    GbHistoryStep *step = data;
    g_free(step->step);
    g_free(step->who);
    g_free(step);
}

static void free_entry(gpointer data)
{
    GbHistoryEntry *entry = data;
    g_free(entry->verb);
    g_free(entry->summary);
    g_free(entry->state);
    g_free(entry->who);
    g_ptr_array_unref(entry->steps);
    g_free(entry);
}

static void free_value(gpointer data)
{
    GbHistoryValue *value = data;
    g_free(value->table);
    g_free(value->row);
    g_free(value->column);
    g_free(value->before);
    g_free(value->after);
    g_free(value);
}

#define ENTRY_COLUMNS "h.id, h.verb, h.summary, h.state, s.step, s.who, s.at_utc_s"
enum { ENTRY_ID, ENTRY_VERB, ENTRY_SUMMARY, ENTRY_STATE, ENTRY_STEP, ENTRY_WHO, ENTRY_AT };

static GbHistoryEntry *read_entry(sqlite3_stmt *row)
{
    GbHistoryEntry *entry = g_new0(GbHistoryEntry, 1);
    entry->id = sqlite3_column_int64(row, ENTRY_ID);
    entry->verb = gb_column_text(row, ENTRY_VERB);
    entry->summary = gb_column_text(row, ENTRY_SUMMARY);
    entry->state = gb_column_text(row, ENTRY_STATE);
    entry->steps = g_ptr_array_new_with_free_func(free_step);
    return entry;
}

/* FALSE when step or entry are none that this program writes. */
static gboolean read_step(sqlite3_stmt *row, GbHistoryEntry *entry)
{
    GbHistoryStep *step = g_new0(GbHistoryStep, 1);
    step->step = gb_column_text(row, ENTRY_STEP);
    step->who = gb_column_text(row, ENTRY_WHO);
    step->at_utc_s = sqlite3_column_int64(row, ENTRY_AT);
    g_ptr_array_add(entry->steps, step);
    g_free(entry->who);
    entry->who = g_strdup(step->who);
    entry->at_utc_s = step->at_utc_s;
    return step->step != NULL && step->who != NULL && entry->verb != NULL && entry->summary != NULL && entry->state != NULL;
}

GPtrArray *gb_history_load(GbLog *log, GError **error)
{
    g_autoptr(sqlite3_stmt) stmt = gb_log_prepare(log,
        "SELECT " ENTRY_COLUMNS " FROM history h JOIN history_step s ON s.history = h.id ORDER BY h.id, s.id", error);
    g_autoptr(GPtrArray) entries = g_ptr_array_new_with_free_func(free_entry);
    GbHistoryEntry *entry = NULL;
    gboolean row = stmt != NULL;
    while (row) {
        if (!gb_log_step(log, stmt, &row, error))
            return NULL;
        if (!row)
            break;
        if (entry == NULL || entry->id != sqlite3_column_int64(stmt, ENTRY_ID)) {
            entry = read_entry(stmt);
            g_ptr_array_add(entries, entry);
        }
        if (!read_step(stmt, entry)) {
            gb_log_senseless(log, "a change", error);
            return NULL;
        }
    }
    return stmt == NULL ? NULL : g_steal_pointer(&entries);
}

/* A value of a changeset as text; NULL for SQL NULL and for "not in the changeset". */
static char *value_text(sqlite3_value *value)
{
    if (value == NULL || sqlite3_value_type(value) == SQLITE_NULL)
        return NULL;
    const char *text = (const char *)sqlite3_value_text(value);
    if (text == NULL)
        gb_log_out_of_memory();
    return g_utf8_make_valid(text, -1);
}

static GPtrArray *column_names(GbLog *log, const char *table, GError **error)
{
    g_autoptr(sqlite3_stmt) stmt = gb_log_prepare(log, "SELECT name FROM pragma_table_info(:table)", error);
    if (stmt == NULL)
        return NULL;
    gb_bind_text(stmt, ":table", table);
    g_autoptr(GPtrArray) names = g_ptr_array_new_with_free_func(g_free);
    for (gboolean row = TRUE; row;) {
        if (!gb_log_step(log, stmt, &row, error))
            return NULL;
        if (row)
            g_ptr_array_add(names, gb_column_text(stmt, 0));
    }
    return g_steal_pointer(&names);
}

/* Numbers of places mean nothing to a person: their label as far as the place still exists. TAKES text. */
static char *name_place(const GPtrArray *places, char *text)
{
    const GbPlace *place = text == NULL ? NULL : gb_places_by_id(places, g_ascii_strtoll(text, NULL, 10));
    if (place == NULL)
        return text;
    g_free(text);
    return g_strdup(place->label);
}

static void add_value(GPtrArray *values, const GPtrArray *places, const char *table, const char *row, const char *column, char *before,
                      char *after)
{
    if (strcmp(column, "place") == 0) {
        before = name_place(places, before);
        after = name_place(places, after);
    }
    GbHistoryValue *value = g_new0(GbHistoryValue, 1);
    *value = (GbHistoryValue){ g_strdup(table), g_strdup(row), g_strdup(column), before, after };
    g_ptr_array_add(values, value);
}

/* The key of the row that a changeset is at, as text; of several columns joined: "3 eave". is_key tells which they are. OWNED by the caller. */
static char *key_text(sqlite3_changeset_iter *iter, int operation, unsigned char **is_key, int *columns)
{
    GString *text = g_string_new(NULL);
    if (sqlite3changeset_pk(iter, is_key, columns) != SQLITE_OK)
        *columns = 0;
    for (int i = 0; i < *columns; i++) {
        sqlite3_value *key = NULL;
        if (!(*is_key)[i])
            continue;
        if (operation == SQLITE_INSERT)
            sqlite3changeset_new(iter, i, &key);
        else
            sqlite3changeset_old(iter, i, &key);
        g_autofree char *part = value_text(key);
        g_string_append_printf(text, "%s%s", text->len > 0 ? " " : "", part != NULL ? part : "");
    }
    return g_string_free(text, FALSE);
}

/* One row of a changeset: what it was and what it became, column by column. */
static gboolean read_change(GbLog *log, const GPtrArray *places, sqlite3_changeset_iter *iter, GPtrArray *values, GError **error)
{
    const char *table;
    int columns, operation;
    sqlite3changeset_op(iter, &table, &columns, &operation, NULL);
    g_autoptr(GPtrArray) names = column_names(log, table, error);
    if (names == NULL)
        return FALSE;
    sqlite3_value *old = NULL, *new = NULL;
    unsigned char *is_key = NULL;
    g_autofree char *row = key_text(iter, operation, &is_key, &columns);
    if (operation != SQLITE_UPDATE)
        add_value(values, places, table, row, "", operation == SQLITE_DELETE ? g_strdup("there") : NULL,
                  operation == SQLITE_INSERT ? g_strdup("there") : NULL);
    for (int i = 0; i < columns && i < (int)names->len; i++) {
        if (is_key[i])
            continue;
        old = new = NULL;
        if (operation != SQLITE_INSERT)
            sqlite3changeset_old(iter, i, &old);
        if (operation != SQLITE_DELETE)
            sqlite3changeset_new(iter, i, &new);
        g_autofree char *before = value_text(old), *after = value_text(new);
        if (before != NULL || after != NULL)
            add_value(values, places, table, row, names->pdata[i], g_steal_pointer(&before), g_steal_pointer(&after));
    }
    return TRUE;
}

static gboolean read_changeset(GbLog *log, const GPtrArray *places, const void *changeset, int n, GPtrArray *values, GError **error)
{
    sqlite3_changeset_iter *iter = NULL;
    if (!gb_changeset_is_sound(changeset, (gsize)n, is_work_table))
        return refuse(log, "its record is damaged", error);
    if (sqlite3changeset_start(&iter, n, (void *)changeset) != SQLITE_OK)
        return gb_log_fail(log, "read the history", error);
    gboolean ok = TRUE;
    while (ok && sqlite3changeset_next(iter) == SQLITE_ROW)
        ok = read_change(log, places, iter, values, error);
    if (sqlite3changeset_finalize(iter) != SQLITE_OK && ok)
        ok = gb_log_fail(log, "read the history", error);
    return ok;
}

static gboolean entry_exists(GbLog *log, gint64 entry, GError **error)
{
    gboolean row;
    g_autoptr(sqlite3_stmt) stmt = gb_log_prepare(log, "SELECT 1 FROM history WHERE id = :id", error);
    if (stmt == NULL)
        return FALSE;
    gb_bind_int(stmt, ":id", entry);
    if (!gb_log_step(log, stmt, &row, error))
        return FALSE;
    if (!row)
        g_set_error(error, GB_ERROR, GB_ERROR_UNKNOWN, "there is no entry %" G_GINT64_FORMAT " in the history", entry);
    return row;
}

GPtrArray *gb_history_values(GbLog *log, gint64 entry, GError **error)
{
    if (!entry_exists(log, entry, error))
        return NULL;
    g_autoptr(sqlite3_stmt) stmt =
        gb_log_prepare(log, "SELECT changeset FROM history_part WHERE history = :id ORDER BY part", error);
    if (stmt == NULL)
        return NULL;
    gb_bind_int(stmt, ":id", entry);
    g_autoptr(GPtrArray) places = gb_places_load(log, error);
    if (places == NULL)
        return NULL;
    g_autoptr(GPtrArray) values = g_ptr_array_new_with_free_func(free_value);
    for (gboolean row = TRUE; row;) {
        if (!gb_log_step(log, stmt, &row, error))
            return NULL;
        if (row && !read_changeset(log, places, sqlite3_column_blob(stmt, 0), sqlite3_column_bytes(stmt, 0), values, error))
            return NULL;
    }
    return g_steal_pointer(&values);
}
