/* fact.c -- rows of what a person recorded. See fact.h and rows.h.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "log-private.h"
#include "rows.h"

static void free_fact(gpointer data)
{
    GbFact *fact = data;
    g_free(fact->kind);
    g_free(fact->written);
    g_free(fact->choice);
    g_free(fact->note);
    g_clear_pointer(&fact->shots, g_array_unref);
    g_free(fact);
}

#define FACT_COLUMNS "id, place, kind, value, number, number_to, choice, how, note"
enum { ID, PLACE, KIND, VALUE, NUMBER, NUMBER_TO, CHOICE, HOW, NOTE };

static gboolean read_how(sqlite3_stmt *row, GbHow *how)
{
    g_autofree char *word = gb_column_text(row, HOW);
    for (int h = 0; h < GB_HOWS; h++)
        if (g_strcmp0(word, gb_how_word((GbHow)h)) == 0) {
            *how = (GbHow)h;
            return TRUE;
        }
    return FALSE;
}

/* FALSE when the row is none that this program writes: a hostile database may lack what the schema demands. */
static gboolean read_fact(sqlite3_stmt *row, GbFact *fact)
{
    fact->id = sqlite3_column_int64(row, ID);
    fact->place = sqlite3_column_int64(row, PLACE);
    fact->kind = gb_column_text(row, KIND);
    fact->written = gb_column_text(row, VALUE);
    fact->low = gb_column_double(row, NUMBER);
    fact->high = gb_column_double(row, NUMBER_TO);
    fact->choice = gb_column_text(row, CHOICE);
    fact->note = gb_column_text(row, NOTE);
    return read_how(row, &fact->how) && fact->kind != NULL && fact->written != NULL;
}

GPtrArray *gb_facts_load(GbLog *log, GError **error)
{
    g_autoptr(sqlite3_stmt) stmt = gb_log_prepare(log, "SELECT " FACT_COLUMNS " FROM fact ORDER BY place, kind", error);
    g_autoptr(GPtrArray) facts = g_ptr_array_new_with_free_func(free_fact);
    for (gboolean row = TRUE; row;) {
        if (stmt == NULL || !gb_log_step(log, stmt, &row, error))
            return NULL;
        if (!row)
            break;
        GbFact *fact = g_new0(GbFact, 1);
        g_ptr_array_add(facts, fact);
        if (!read_fact(stmt, fact)) {
            gb_log_senseless(log, "a fact", error);
            return NULL;
        }
        if (!gb_shot_list_read(log, "SELECT shot FROM fact_shot WHERE fact = :of ORDER BY shot", fact->id, &fact->shots, error))
            return NULL;
    }
    return g_steal_pointer(&facts);
}

GbFact *gb_facts_at(const GPtrArray *facts, gint64 place, const char *kind)
{
    for (guint i = 0; i < facts->len; i++) {
        GbFact *fact = facts->pdata[i];
        if (fact->place == place && strcmp(fact->kind, kind) == 0)
            return fact;
    }
    return NULL;
}

static gboolean write_shots(GbLog *log, gint64 id, const GArray *shots, GError **error)
{
    return gb_shot_list_write(log, "DELETE FROM fact_shot WHERE fact = :of", "INSERT INTO fact_shot (fact, shot) VALUES (:of, :shot)", id,
                              shots, error);
}

gboolean gb_fact_store(GbLog *log, GbFact *fact, GError **error)
{
    g_autoptr(sqlite3_stmt) stmt = gb_log_prepare(log, fact->id == 0
        ? "INSERT INTO fact (id, place, kind, value, number, number_to, choice, how, note)"
          " VALUES (:id, :place, :kind, :value, :number, :number_to, :choice, :how, :note)"
        : "UPDATE fact SET place = :place, kind = :kind, value = :value, number = :number, number_to = :number_to, choice = :choice,"
          " how = :how, note = :note WHERE id = :id", error);
    if (stmt == NULL)
        return FALSE;
    gb_bind_null_or_int(stmt, ":id", fact->id != 0, fact->id);
    gb_bind_int(stmt, ":place", fact->place);
    gb_bind_text(stmt, ":kind", fact->kind);
    gb_bind_text(stmt, ":value", fact->written);
    gb_bind_double(stmt, ":number", fact->low);
    gb_bind_double(stmt, ":number_to", fact->high);
    gb_bind_text(stmt, ":choice", fact->choice);
    gb_bind_text(stmt, ":how", gb_how_word(fact->how));
    gb_bind_text(stmt, ":note", fact->note);
    if (!gb_log_finish(log, stmt, error))
        return FALSE;
    if (fact->id == 0)
        fact->id = sqlite3_last_insert_rowid(gb_log_db(log));
    return write_shots(log, fact->id, fact->shots, error);
}

gboolean gb_fact_remove(GbLog *log, gint64 id, GError **error)
{
    g_autoptr(sqlite3_stmt) stmt = gb_log_prepare(log, "DELETE FROM fact WHERE id = :id", error);
    if (stmt == NULL || !write_shots(log, id, NULL, error))
        return FALSE;
    gb_bind_int(stmt, ":id", id);
    return gb_log_finish(log, stmt, error);
}
