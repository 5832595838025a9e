/* note.c -- rows of notes. See note.h and rows.h.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "log-private.h"
#include "rows.h"

static void free_note(gpointer data)
{
    GbNote *note = data;
    g_free(note->text);
    g_free(note->who);
    g_free(note);
}

#define NOTE_COLUMNS "id, place, shot, text, in_report, who, at_utc_s"
enum { ID, PLACE, SHOT, TEXT, IN_REPORT, WHO, AT };

static void read_note(sqlite3_stmt *row, GbNote *note)
{
    note->number = sqlite3_column_int64(row, ID);
    note->place = sqlite3_column_int64(row, PLACE);
    note->shot = sqlite3_column_int64(row, SHOT);
    note->text = gb_column_text(row, TEXT);
    note->in_report = sqlite3_column_int(row, IN_REPORT) != 0;
    note->who = gb_column_text(row, WHO);
    note->at_utc_s = sqlite3_column_int64(row, AT);
}

GPtrArray *gb_notes_load(GbLog *log, GError **error)
{
    g_autoptr(sqlite3_stmt) stmt = gb_log_prepare(log, "SELECT " NOTE_COLUMNS " FROM note ORDER BY id", error);
    g_autoptr(GPtrArray) notes = g_ptr_array_new_with_free_func(free_note);
    for (gboolean row = TRUE; row;) {
        if (stmt == NULL || !gb_log_step(log, stmt, &row, error))
            return NULL;
        if (!row)
            break;
        GbNote *note = g_new0(GbNote, 1);
        g_ptr_array_add(notes, note);
        read_note(stmt, note);
        if (note->text == NULL || note->who == NULL) {
            gb_log_senseless(log, "a note", error);
            return NULL;
        }
    }
    return g_steal_pointer(&notes);
}

GbNote *gb_notes_by_number(const GPtrArray *notes, gint64 number)
{
    for (guint i = 0; i < notes->len; i++)
        if (((GbNote *)notes->pdata[i])->number == number)
            return notes->pdata[i];
    return NULL;
}

gboolean gb_note_has(const GbNote *note, const char *words)
{
    g_autofree char *text = g_utf8_casefold(note->text, -1), *wanted = g_utf8_casefold(words, -1);
    g_auto(GStrv) parts = g_strsplit_set(wanted, " \t\r\n", -1);
    for (char **part = parts; *part != NULL; part++)
        if (strstr(text, *part) == NULL) /* of "" it finds the beginning */
            return FALSE;
    return TRUE;
}

gboolean gb_note_store(GbLog *log, GbNote *note, GError **error)
{
    g_autoptr(sqlite3_stmt) stmt = gb_log_prepare(log, note->number == 0
        ? "INSERT INTO note (id, place, shot, text, in_report, who, at_utc_s) VALUES (:id, :place, :shot, :text, :in_report, :who, :at)"
        : "UPDATE note SET place = :place, shot = :shot, text = :text, in_report = :in_report, who = :who, at_utc_s = :at WHERE id = :id",
        error);
    if (stmt == NULL)
        return FALSE;
    gb_bind_null_or_int(stmt, ":id", note->number != 0, note->number);
    gb_bind_null_or_int(stmt, ":place", note->place != 0, note->place);
    gb_bind_null_or_int(stmt, ":shot", note->shot != 0, note->shot);
    gb_bind_text(stmt, ":text", note->text);
    gb_bind_int(stmt, ":in_report", note->in_report);
    gb_bind_text(stmt, ":who", gb_log_who(log));
    gb_bind_int(stmt, ":at", g_get_real_time() / G_USEC_PER_SEC);
    if (!gb_log_finish(log, stmt, error))
        return FALSE;
    if (note->number == 0)
        note->number = sqlite3_last_insert_rowid(gb_log_db(log));
    return TRUE;
}

gboolean gb_note_delete(GbLog *log, gint64 number, GError **error)
{
    g_autoptr(sqlite3_stmt) stmt = gb_log_prepare(log, "DELETE FROM note WHERE id = :id", error);
    if (stmt == NULL)
        return FALSE;
    gb_bind_int(stmt, ":id", number);
    return gb_log_finish(log, stmt, error);
}
