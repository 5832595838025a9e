/* attachment.c -- rows of the attachments. See attachment.h and rows.h.
 *
 * As with photos, two tables: what came (attachment, only added to) and what is in the claim (attached, undone and redone).
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "log-private.h"
#include "rows.h"

/* --- reading --- */

static void free_attachment(gpointer data)
{
    GbAttachment *attachment = data;
    g_free(attachment->sha256);
    g_free(attachment->source_name);
    g_free(attachment->stored_name);
    g_free(attachment->kind);
    g_free(attachment);
}

#define ATTACHMENT_COLUMNS "a.id, a.sha256, a.source_name, a.stored_name, a.kind, a.bytes"
enum { ID, SHA256, SOURCE_NAME, STORED_NAME, KIND, BYTES };

static GbAttachment *read_attachment(sqlite3_stmt *row)
{
    GbAttachment *attachment = g_new0(GbAttachment, 1);
    attachment->id = sqlite3_column_int64(row, ID);
    attachment->sha256 = gb_column_text(row, SHA256);
    attachment->source_name = gb_column_text(row, SOURCE_NAME);
    attachment->stored_name = gb_column_text(row, STORED_NAME);
    attachment->kind = gb_column_text(row, KIND);
    attachment->bytes = sqlite3_column_int64(row, BYTES);
    return attachment;
}

static gboolean is_sound(const GbAttachment *attachment)
{
    return attachment->sha256 != NULL && strlen(attachment->sha256) == 64 && attachment->source_name != NULL && attachment->kind != NULL &&
           gb_is_name_in_originals(attachment->stored_name);
}

/* "IMG_2101.DNG" -> "img_2101". OWNED by the caller. */
static char *stem_of(const char *name)
{
    const char *dot = strrchr(name, '.');
    g_autofree char *stem = g_strndup(name, dot == NULL || dot == name ? strlen(name) : (gsize)(dot - name));
    return g_utf8_casefold(stem, -1);
}

/* Stems to shot numbers, 0 where several shots share one. OWNED by the caller. */
static GHashTable *shots_by_stem(const GPtrArray *shots)
{
    GHashTable *by_stem = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, g_free);
    for (guint i = 0; i < shots->len; i++) {
        const GbShot *shot = shots->pdata[i];
        char *stem = stem_of(shot->source_name);
        gint64 number = g_hash_table_contains(by_stem, stem) ? 0 : shot->number;
        g_hash_table_insert(by_stem, stem, g_memdup2(&number, sizeof number));
    }
    return by_stem;
}

static void find_beside(GPtrArray *attachments, const GPtrArray *shots)
{
    g_autoptr(GHashTable) by_stem = shots_by_stem(shots);
    for (guint i = 0; i < attachments->len; i++) {
        GbAttachment *attachment = attachments->pdata[i];
        g_autofree char *stem = stem_of(attachment->source_name);
        const gint64 *number = g_hash_table_lookup(by_stem, stem);
        attachment->beside = number == NULL ? 0 : *number;
    }
}

GPtrArray *gb_attachments_load(GbLog *log, const GPtrArray *shots, GError **error)
{
    g_autoptr(sqlite3_stmt) stmt = gb_log_prepare(log,
        "SELECT " ATTACHMENT_COLUMNS " FROM attached t JOIN attachment a ON a.id = t.attachment ORDER BY a.source_name, a.id", error);
    g_autoptr(GPtrArray) attachments = g_ptr_array_new_with_free_func(free_attachment);
    for (gboolean row = TRUE; row;) {
        if (stmt == NULL || !gb_log_step(log, stmt, &row, error))
            return NULL;
        if (!row)
            break;
        GbAttachment *attachment = read_attachment(stmt);
        g_ptr_array_add(attachments, attachment);
        if (!is_sound(attachment)) {
            gb_log_senseless(log, "an attachment", error);
            return NULL;
        }
    }
    find_beside(attachments, shots);
    return g_steal_pointer(&attachments);
}

/* --- writing --- */

gboolean gb_attachment_add(GbLog *log, const GbAttachment *attachment, gint64 imported_utc_s, gint64 *id, GError **error)
{
    g_autoptr(sqlite3_stmt) stmt = gb_log_prepare(log,
        "INSERT INTO attachment (sha256, source_name, stored_name, kind, bytes, imported_utc_s)"
        " VALUES (:sha256, :source_name, :stored_name, :kind, :bytes, :imported)", error);
    if (stmt == NULL)
        return FALSE;
    gb_bind_text(stmt, ":sha256", attachment->sha256);
    gb_bind_text(stmt, ":source_name", attachment->source_name);
    gb_bind_text(stmt, ":stored_name", attachment->stored_name);
    gb_bind_text(stmt, ":kind", attachment->kind);
    gb_bind_int(stmt, ":bytes", attachment->bytes);
    gb_bind_int(stmt, ":imported", imported_utc_s);
    if (!gb_log_finish(log, stmt, error))
        return FALSE;
    *id = sqlite3_last_insert_rowid(gb_log_db(log));
    return TRUE;
}

gboolean gb_attachment_find(GbLog *log, const char *sha256, gint64 *id, gboolean *in_claim, char **stored_name, GError **error)
{
    gboolean row;
    g_autoptr(sqlite3_stmt) stmt = gb_log_prepare(log,
        "SELECT a.id, t.attachment IS NOT NULL, a.stored_name FROM attachment a LEFT JOIN attached t ON t.attachment = a.id"
        " WHERE a.sha256 = :sha256", error);
    if (stmt == NULL)
        return FALSE;
    gb_bind_text(stmt, ":sha256", sha256);
    if (!gb_log_step(log, stmt, &row, error))
        return FALSE;
    *id = row ? sqlite3_column_int64(stmt, 0) : 0;
    *in_claim = row && sqlite3_column_int(stmt, 1) != 0;
    *stored_name = row ? gb_column_text(stmt, 2) : NULL;
    return TRUE;
}

gboolean gb_attachment_enter(GbLog *log, gint64 id, GError **error)
{
    g_autoptr(sqlite3_stmt) stmt = gb_log_prepare(log, "INSERT INTO attached (attachment) VALUES (:id)", error);
    if (stmt == NULL)
        return FALSE;
    gb_bind_int(stmt, ":id", id);
    return gb_log_finish(log, stmt, error);
}
