/* state.c -- seals: writing them, and finding whether the log still is what was sealed. See state.h and rows.h.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "log-private.h"
#include "rows.h"

#include <gablebook/error.h>
#include <gablebook/state.h>

/* Digests so far of the two tables that only grow, and up to which row. */
typedef struct {
    gint64 upto;
    char sha256[GB_DIGEST_HEX];
} Chain;

typedef struct {
    Chain originals, parts;
    GbState state;
} Seal;

static const char *const originals_sql = "SELECT id, * FROM original WHERE id > :upto ORDER BY id";
static const char *const parts_sql = "SELECT rowid, * FROM history_part WHERE rowid > :upto ORDER BY rowid";

/* --- hashing --- */

/* A number as it is stored, not as it is printed: asking SQLite for its text would print it. */
static guint64 number_bits(sqlite3_stmt *row, int column, int type)
{
    gint64 whole = sqlite3_column_int64(row, column);
    double real = sqlite3_column_double(row, column);
    guint64 bits;
    memcpy(&bits, type == SQLITE_INTEGER ? (void *)&whole : (void *)&real, sizeof bits);
    return GUINT64_TO_BE(bits);
}

/* Type and length go before the bytes, so that no two different rows give the same string. Runs over every value of the claim at each
 * change: short ones go to the digest at one go. */
static gboolean add_value(GbDigester *digester, sqlite3_stmt *row, int column, GError **error)
{
    int type = sqlite3_column_type(row, column);
    gboolean is_number = type == SQLITE_INTEGER || type == SQLITE_FLOAT;
    guint64 bits = is_number ? number_bits(row, column, type) : 0;
    const void *bytes = is_number ? &bits
                        : type == SQLITE_TEXT ? (const void *)gb_column_peek(row, column)
                                              : sqlite3_column_blob(row, column);
    gsize n = is_number ? sizeof bits : type == SQLITE_NULL ? 0 : (gsize)sqlite3_column_bytes(row, column);
    guint8 whole[64] = { (guint8)type, (guint8)(n >> 24), (guint8)(n >> 16), (guint8)(n >> 8), (guint8)n };
    enum { HEAD = 5 };
    if (n > sizeof whole - HEAD)
        return gb_digester_add(digester, whole, HEAD, error) && gb_digester_add(digester, bytes, n, error);
    if (n > 0)
        memcpy(whole + HEAD, bytes, n);
    return gb_digester_add(digester, whole, HEAD + n, error);
}

static gboolean add_row(GbDigester *digester, sqlite3_stmt *row, int first_column, GError **error)
{
    for (int i = first_column; i < sqlite3_column_count(row); i++)
        if (!add_value(digester, row, i, error))
            return FALSE;
    return gb_digester_add(digester, "\n", 1, error);
}

gboolean gb_state_row_digest(sqlite3_stmt *row, int first_column, char hex[GB_DIGEST_HEX], GError **error)
{
    g_autoptr(GbDigester) digester = gb_digester_new(error);
    return digester != NULL && add_row(digester, row, first_column, error) && gb_digester_end(digester, hex, error);
}

/* Go on with a chain to the end of its table. */
static gboolean grow(GbLog *log, Chain *chain, const char *sql, GError **error)
{
    g_autoptr(sqlite3_stmt) stmt = gb_log_prepare(log, sql, error);
    if (stmt == NULL)
        return FALSE;
    gb_bind_int(stmt, ":upto", chain->upto);
    for (;;) {
        gboolean row;
        if (!gb_log_step(log, stmt, &row, error))
            return FALSE;
        if (!row)
            return TRUE;
        g_autoptr(GbDigester) digester = gb_digester_new(error);
        if (digester == NULL || !gb_digester_add(digester, chain->sha256, strlen(chain->sha256), error) ||
            !add_row(digester, stmt, 1, error) || !gb_digester_end(digester, chain->sha256, error))
            return FALSE;
        chain->upto = sqlite3_column_int64(stmt, 0);
    }
}

/* A query for each table that is hashed whole, its rows in order of their key: whatever is there but the chained tables, the seals, what
 * follows from the photos' bytes and comes behind them (survey), and SQLite's own. */
static GPtrArray *whole_tables(GbLog *log, GError **error)
{
    g_autoptr(sqlite3_stmt) stmt = gb_log_prepare(log,
        "SELECT printf('SELECT ''%q'', * FROM \"%w\" ORDER BY ', name, name) ||"
        " (SELECT group_concat(printf('\"%w\"', k.name)) FROM (SELECT name FROM pragma_table_info(t.name) WHERE pk > 0 ORDER BY pk) k)"
        " FROM sqlite_schema t WHERE type = 'table' AND name NOT LIKE 'sqlite_%'"
        " AND name NOT IN ('original', 'history_part', 'seal', 'survey') ORDER BY name", error);
    g_autoptr(GPtrArray) names = g_ptr_array_new_with_free_func(g_free);
    for (gboolean row = stmt != NULL; row;) {
        if (!gb_log_step(log, stmt, &row, error))
            return NULL;
        if (row)
            g_ptr_array_add(names, gb_column_text(stmt, 0));
    }
    return stmt == NULL ? NULL : g_steal_pointer(&names);
}

static gboolean add_rows(GbLog *log, GbDigester *digester, sqlite3_stmt *stmt, GError **error)
{
    for (;;) {
        gboolean row;
        if (!gb_log_step(log, stmt, &row, error))
            return FALSE;
        if (!row)
            return TRUE;
        if (!add_row(digester, stmt, 0, error))
            return FALSE;
    }
}

static gboolean add_table(GbLog *log, GbDigester *digester, const char *sql, GError **error)
{
    g_autoptr(sqlite3_stmt) stmt = gb_log_prepare(log, sql, error);
    return stmt != NULL && add_rows(log, digester, stmt, error);
}

static gboolean add_earlier_seals(GbLog *log, GbDigester *digester, gint64 step, GError **error)
{
    g_autoptr(sqlite3_stmt) stmt = gb_log_prepare(log, "SELECT * FROM seal WHERE step < :step ORDER BY step", error);
    if (stmt == NULL)
        return FALSE;
    gb_bind_int(stmt, ":step", step);
    return add_rows(log, digester, stmt, error);
}

static gboolean last_step(GbLog *log, gint64 *step, GError **error)
{
    gboolean row;
    g_autoptr(sqlite3_stmt) stmt = gb_log_prepare(log, "SELECT ifnull(max(id), 0) FROM history_step", error);
    if (stmt == NULL || !gb_log_step(log, stmt, &row, error))
        return FALSE;
    *step = row ? sqlite3_column_int64(stmt, 0) : 0;
    return TRUE;
}

/* Hash the claim as it is. The chains of seal are gone on with. */
static gboolean hash_claim(GbLog *log, Seal *seal, GError **error)
{
    g_autoptr(GPtrArray) tables = whole_tables(log, error);
    g_autoptr(GbDigester) digester = tables == NULL ? NULL : gb_digester_new(error);
    if (digester == NULL || !last_step(log, &seal->state.step, error) || !grow(log, &seal->originals, originals_sql, error) ||
        !grow(log, &seal->parts, parts_sql, error))
        return FALSE;
    for (guint i = 0; i < tables->len; i++)
        if (!add_table(log, digester, tables->pdata[i], error))
            return FALSE;
    return add_earlier_seals(log, digester, seal->state.step, error) &&
           gb_digester_add(digester, seal->originals.sha256, strlen(seal->originals.sha256), error) &&
           gb_digester_add(digester, seal->parts.sha256, strlen(seal->parts.sha256), error) &&
           gb_digester_end(digester, seal->state.sha256, error);
}

/* --- rows --- */

static void copy_digest(sqlite3_stmt *row, int column, char into[GB_DIGEST_HEX])
{
    const char *text = gb_column_peek(row, column);
    g_strlcpy(into, text != NULL ? text : "", GB_DIGEST_HEX);
}

/* The last seal; all 0 and empty where there is none. */
static gboolean load_seal(GbLog *log, Seal *seal, GError **error)
{
    gboolean row;
    *seal = (Seal){ 0 };
    g_autoptr(sqlite3_stmt) stmt = gb_log_prepare(log,
        "SELECT step, originals, originals_sha256, parts, parts_sha256, sha256 FROM seal ORDER BY step DESC LIMIT 1", error);
    if (stmt == NULL || !gb_log_step(log, stmt, &row, error))
        return FALSE;
    if (!row)
        return TRUE;
    seal->state.step = sqlite3_column_int64(stmt, 0);
    seal->originals.upto = sqlite3_column_int64(stmt, 1);
    copy_digest(stmt, 2, seal->originals.sha256);
    seal->parts.upto = sqlite3_column_int64(stmt, 3);
    copy_digest(stmt, 4, seal->parts.sha256);
    copy_digest(stmt, 5, seal->state.sha256);
    return TRUE;
}

static gboolean store_seal(GbLog *log, const Seal *seal, GError **error)
{
    g_autoptr(sqlite3_stmt) stmt = gb_log_prepare(log,
        "INSERT OR REPLACE INTO seal (step, originals, originals_sha256, parts, parts_sha256, sha256)"
        " VALUES (:step, :originals, :originals_sha256, :parts, :parts_sha256, :sha256)", error);
    if (stmt == NULL)
        return FALSE;
    gb_bind_int(stmt, ":step", seal->state.step);
    gb_bind_int(stmt, ":originals", seal->originals.upto);
    gb_bind_text(stmt, ":originals_sha256", seal->originals.sha256);
    gb_bind_int(stmt, ":parts", seal->parts.upto);
    gb_bind_text(stmt, ":parts_sha256", seal->parts.sha256);
    gb_bind_text(stmt, ":sha256", seal->state.sha256);
    return gb_log_finish(log, stmt, error);
}

gboolean gb_state_seal(GbLog *log, GError **error)
{
    Seal seal;
    return load_seal(log, &seal, error) && hash_claim(log, &seal, error) && store_seal(log, &seal, error);
}

/* --- asking --- */

gboolean gb_state_load(GbLog *log, GbState *state, GError **error)
{
    Seal seal;
    if (!load_seal(log, &seal, error))
        return FALSE;
    *state = seal.state;
    return TRUE;
}

gboolean gb_state_check(GbLog *log, GbState *state, gboolean *sound, GError **error)
{
    Seal sealed, now = { 0 };
    gboolean surveys;
    if (!load_seal(log, &sealed, error) || !hash_claim(log, &now, error) || !gb_surveys_check(log, &surveys, error))
        return FALSE;
    *state = sealed.state;
    *sound = surveys && sealed.state.step == now.state.step && strcmp(sealed.state.sha256, now.state.sha256) == 0 &&
             sealed.originals.upto == now.originals.upto && strcmp(sealed.originals.sha256, now.originals.sha256) == 0 &&
             sealed.parts.upto == now.parts.upto && strcmp(sealed.parts.sha256, now.parts.sha256) == 0;
    return TRUE;
}

gboolean gb_state_known(GbLog *log, const GbState *state, gboolean *known, GError **error)
{
    g_autoptr(sqlite3_stmt) stmt = gb_log_prepare(log, "SELECT 1 FROM seal WHERE step = :step AND sha256 = :sha256", error);
    if (stmt == NULL)
        return FALSE;
    gb_bind_int(stmt, ":step", state->step);
    gb_bind_text(stmt, ":sha256", state->sha256);
    return gb_log_step(log, stmt, known, error);
}

char *gb_state_text(const GbState *state)
{
    return g_strdup_printf("%" G_GINT64_FORMAT "-%.12s", state->step, state->sha256);
}
