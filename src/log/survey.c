/* survey.c -- rows of what the pixels say. See survey.h and rows.h.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <gablebook/survey.h>

#include "log-private.h"
#include "rows.h"

#include <gablebook/error.h>

/* Photos of the claim that neither this version of the log nor one before it knows anything of. */
#define WAITING                                                                                                                   \
    " FROM shot s JOIN original o ON o.id = s.number LEFT JOIN survey v ON v.original = o.id"                                      \
    " WHERE v.original IS NULL AND o.survey_width IS NULL"

gboolean gb_survey_waiting(GbLog *log, guint *n, GError **error)
{
    gboolean row;
    g_autoptr(sqlite3_stmt) stmt = gb_log_prepare(log, "SELECT count(*)" WAITING, error);
    *n = 0;
    if (stmt == NULL || !gb_log_step(log, stmt, &row, error))
        return FALSE;
    *n = row ? (guint)sqlite3_column_int64(stmt, 0) : 0;
    return TRUE;
}

static void free_shot(gpointer data)
{
    GbShot *shot = data;
    g_free(shot->sha256);
    g_free(shot->source_name);
    g_free(shot->stored_name);
    g_free(shot->trouble);
    g_free(shot);
}

GPtrArray *gb_surveys_wanted(GbLog *log, GError **error)
{
    g_autoptr(sqlite3_stmt) stmt = gb_log_prepare(log,
        "SELECT o.id, o.sha256, o.source_name, o.stored_name, o.orientation" WAITING " ORDER BY o.id", error);
    g_autoptr(GPtrArray) shots = g_ptr_array_new_with_free_func(free_shot);
    for (gboolean row = TRUE; row;) {
        if (stmt == NULL || !gb_log_step(log, stmt, &row, error))
            return NULL;
        if (!row)
            break;
        GbShot *shot = g_new0(GbShot, 1);
        g_ptr_array_add(shots, shot);
        shot->number = sqlite3_column_int64(stmt, 0);
        shot->sha256 = gb_column_text(stmt, 1);
        shot->source_name = gb_column_text(stmt, 2);
        shot->stored_name = gb_column_text(stmt, 3);
        shot->exif.orientation = CLAMP(sqlite3_column_int(stmt, 4), 1, 8);
        if (shot->sha256 == NULL || shot->source_name == NULL || !gb_is_name_in_originals(shot->stored_name)) {
            g_set_error(error, GB_ERROR, GB_ERROR_DAMAGED, "%s: claim.db holds a shot (%" G_GINT64_FORMAT ") that makes no sense",
                        gb_log_folder(log), shot->number);
            return NULL;
        }
    }
    return g_steal_pointer(&shots);
}

/* What is not bound is NULL: of a photo without a picture nothing was measured. */
static void bind_quality(sqlite3_stmt *stmt, const GbQuality *quality)
{
    gb_bind_int(stmt, ":survey_width", quality->width);
    gb_bind_int(stmt, ":survey_height", quality->height);
    gb_bind_double(stmt, ":sharpness", quality->sharpness);
    gb_bind_double(stmt, ":smear", quality->smear_px);
    gb_bind_int(stmt, ":smear_side", quality->smear_side_px);
    gb_bind_double(stmt, ":mean", quality->mean);
    gb_bind_double(stmt, ":dark", quality->dark);
    gb_bind_double(stmt, ":middle", quality->middle);
    gb_bind_double(stmt, ":light", quality->light);
    gb_bind_double(stmt, ":black", quality->black);
    gb_bind_double(stmt, ":white", quality->white);
    gb_bind_null_or_int(stmt, ":hash", quality->hashed, (gint64)quality->hash);
}

static const char *const row_sql =
    "SELECT v.sha256, v.original, o.sha256, v.trouble, v.damaged, v.survey_width, v.survey_height, v.sharpness, v.smear_px, v.smear_side_px,"
    " v.luma_mean, v.luma_dark, v.luma_middle, v.luma_light, v.black, v.white, v.picture_hash"
    " FROM survey v JOIN original o ON o.id = v.original WHERE :original IN (0, v.original)";

static gboolean sign(GbLog *log, gint64 number, GError **error)
{
    gboolean row;
    char sha256[GB_DIGEST_HEX];
    g_autoptr(sqlite3_stmt) written = gb_log_prepare(log, row_sql, error);
    g_autoptr(sqlite3_stmt) stmt =
        written == NULL ? NULL : gb_log_prepare(log, "UPDATE survey SET sha256 = :sha256 WHERE original = :original", error);
    if (stmt == NULL)
        return FALSE;
    gb_bind_int(written, ":original", number);
    if (!gb_log_step(log, written, &row, error) || !gb_state_row_digest(written, 1, sha256, error))
        return FALSE;
    gb_bind_text(stmt, ":sha256", sha256);
    gb_bind_int(stmt, ":original", number);
    return gb_log_finish(log, stmt, error);
}

static gboolean add_one(GbLog *log, sqlite3_stmt *stmt, const GbShot *shot, GError **error)
{
    sqlite3_clear_bindings(stmt);
    gb_bind_int(stmt, ":original", shot->number);
    gb_bind_text(stmt, ":trouble", shot->trouble);
    gb_bind_int(stmt, ":damaged", shot->damaged);
    if (shot->measured)
        bind_quality(stmt, &shot->quality);
    if (!gb_log_finish(log, stmt, error))
        return FALSE;
    return sqlite3_changes(gb_log_db(log)) == 0 || sign(log, shot->number, error);
}

gboolean gb_surveys_add(GbLog *log, GbShot *const *shots, gsize n, GError **error)
{
    gboolean own = sqlite3_get_autocommit(gb_log_db(log)) != 0; /* else the caller's transaction carries it */
    if (n == 0)
        return TRUE;
    if (own && !gb_log_exec(log, "BEGIN IMMEDIATE", error))
        return FALSE;
    /* Another program may have looked at the same photo meanwhile, and found the same. */
    g_autoptr(sqlite3_stmt) stmt = gb_log_prepare(log,
        "INSERT OR IGNORE INTO survey VALUES (:original, :trouble, :damaged, :survey_width, :survey_height, :sharpness, :smear, :smear_side,"
        " :mean, :dark, :middle, :light, :black, :white, :hash, '')", error);
    gboolean ok = stmt != NULL;
    for (gsize i = 0; ok && i < n; i++)
        ok = add_one(log, stmt, shots[i], error);
    if (own && !(ok = ok && gb_log_exec(log, "COMMIT", error)))
        sqlite3_exec(gb_log_db(log), "ROLLBACK", NULL, NULL, NULL); /* fails when SQLite has rolled back already: no matter */
    return ok;
}

gboolean gb_surveys_check(GbLog *log, gboolean *sound, GError **error)
{
    g_autoptr(sqlite3_stmt) stmt = gb_log_prepare(log, row_sql, error);
    *sound = TRUE;
    if (stmt == NULL)
        return FALSE;
    gb_bind_int(stmt, ":original", 0);
    for (;;) {
        gboolean row;
        char sha256[GB_DIGEST_HEX];
        if (!gb_log_step(log, stmt, &row, error))
            return FALSE;
        if (!row)
            return TRUE;
        if (!gb_state_row_digest(stmt, 1, sha256, error))
            return FALSE;
        const char *written = (const char *)sqlite3_column_text(stmt, 0);
        *sound = *sound && g_strcmp0(written, sha256) == 0;
    }
}
