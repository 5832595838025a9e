/* finding.c -- rows of the findings. See finding.h and rows.h.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "log-private.h"
#include "rows.h"

#include <gablebook/error.h>
#include <math.h>

/* --- reading --- */

static void free_finding(gpointer data)
{
    GbFinding *finding = data;
    g_free(finding->component);
    g_free(finding->cause);
    g_free(finding->action);
    g_free(finding->quantity);
    g_free(finding->measure);
    g_free(finding->not_followed);
    g_free(finding->note);
    g_array_unref(finding->shots);
    g_free(finding);
}

#define FINDING_COLUMNS "id, place, component, cause, action, quantity, measure, amount, unit, note"
enum { ID, PLACE, COMPONENT, CAUSE, ACTION, QUANTITY, MEASURE, AMOUNT, UNIT, NOTE };

static GbFinding *read_finding(sqlite3_stmt *row)
{
    GbFinding *finding = g_new0(GbFinding, 1);
    g_autofree char *unit = gb_column_text(row, UNIT);
    finding->number = sqlite3_column_int64(row, ID);
    finding->place = sqlite3_column_int64(row, PLACE);
    finding->component = gb_column_text(row, COMPONENT);
    finding->cause = gb_column_text(row, CAUSE);
    finding->action = gb_column_text(row, ACTION);
    finding->quantity = gb_column_text(row, QUANTITY);
    finding->measure = gb_column_text(row, MEASURE);
    finding->amount = gb_column_double(row, AMOUNT);
    finding->note = gb_column_text(row, NOTE);
    finding->shots = g_array_new(FALSE, FALSE, sizeof(gint64));
    if (unit == NULL || !gb_unit_from_code(unit, &finding->unit))
        finding->unit = GB_UNIT_NONE;
    return finding;
}

static gboolean load_rows(GbLog *log, GPtrArray *findings, GError **error)
{
    g_autoptr(sqlite3_stmt) stmt = gb_log_prepare(log, "SELECT " FINDING_COLUMNS " FROM finding ORDER BY id", error);
    for (gboolean row = TRUE; row;) {
        if (stmt == NULL || !gb_log_step(log, stmt, &row, error))
            return FALSE;
        if (!row)
            break;
        GbFinding *finding = read_finding(stmt);
        g_ptr_array_add(findings, finding);
        /* NULL columns of a hostile database must not reach code that relies on the schema's NOT NULL. */
        gboolean measured = !isnan(finding->amount);
        if (finding->component == NULL || (measured && (finding->unit == GB_UNIT_NONE || !(finding->amount > 0)))) {
            g_set_error(error, GB_ERROR, GB_ERROR_DAMAGED, "%s: claim.db holds a finding (%" G_GINT64_FORMAT ") that makes no sense",
                        gb_log_folder(log), finding->number);
            return FALSE;
        }
    }
    return TRUE;
}

static gboolean load_shots(GbLog *log, const GPtrArray *findings, GError **error)
{
    g_autoptr(GHashTable) by_number = g_hash_table_new(g_int64_hash, g_int64_equal);
    for (guint i = 0; i < findings->len; i++) {
        GbFinding *finding = findings->pdata[i];
        g_hash_table_insert(by_number, &finding->number, finding);
    }
    g_autoptr(sqlite3_stmt) stmt = gb_log_prepare(log, "SELECT finding, shot FROM finding_shot ORDER BY finding, shot", error);
    for (gboolean row = TRUE; row;) {
        if (stmt == NULL || !gb_log_step(log, stmt, &row, error))
            return FALSE;
        gint64 number = row ? sqlite3_column_int64(stmt, 0) : 0, shot = row ? sqlite3_column_int64(stmt, 1) : 0;
        GbFinding *finding = g_hash_table_lookup(by_number, &number);
        if (row && finding != NULL)
            g_array_append_val(finding->shots, shot);
    }
    return TRUE;
}

/* Places by their rank along the walk. */
static gint compare_by_walk(gconstpointer a, gconstpointer b, gpointer rank)
{
    const GbFinding *left = *(const GbFinding *const *)a, *right = *(const GbFinding *const *)b;
    guint first = GPOINTER_TO_UINT(g_hash_table_lookup(rank, &left->place));
    guint second = GPOINTER_TO_UINT(g_hash_table_lookup(rank, &right->place));
    if (first != second)
        return first < second ? -1 : 1;
    return (left->number > right->number) - (left->number < right->number);
}

static gboolean sort_by_walk(GbLog *log, GPtrArray *findings, GError **error)
{
    g_autoptr(GPtrArray) places = gb_places_load(log, error);
    if (places == NULL)
        return FALSE;
    g_autoptr(GHashTable) rank = g_hash_table_new(g_int64_hash, g_int64_equal);
    for (guint i = 0; i < places->len; i++)
        g_hash_table_insert(rank, &((GbPlace *)places->pdata[i])->id, GUINT_TO_POINTER(i + 1));
    g_ptr_array_sort_with_data(findings, compare_by_walk, rank);
    return TRUE;
}

GPtrArray *gb_findings_load(GbLog *log, GError **error)
{
    g_autoptr(GPtrArray) findings = g_ptr_array_new_with_free_func(free_finding);
    return load_rows(log, findings, error) && load_shots(log, findings, error) && sort_by_walk(log, findings, error)
        ? g_steal_pointer(&findings) : NULL;
}

GbFinding *gb_findings_by_number(const GPtrArray *findings, gint64 number)
{
    for (guint i = 0; i < findings->len; i++)
        if (((GbFinding *)findings->pdata[i])->number == number)
            return findings->pdata[i];
    return NULL;
}

/* --- what follows from it --- */

static gboolean is_action(const GbFinding *finding, const char *action)
{
    return g_strcmp0(finding->action, action) == 0;
}

char *gb_finding_lacks(const GbFinding *finding)
{
    g_autoptr(GPtrArray) lacks = g_ptr_array_new();
    if (finding->cause == NULL)
        g_ptr_array_add(lacks, (char *)"no cause");
    if (finding->action == NULL)
        g_ptr_array_add(lacks, (char *)"no action");
    if (isnan(finding->amount) && !is_action(finding, GB_ACTION_NONE))
        g_ptr_array_add(lacks, (char *)(finding->measure != NULL ? "what its quantity follows is not measured" : "no quantity"));
    g_ptr_array_add(lacks, NULL);
    return lacks->len > 1 ? g_strjoinv(", ", (char **)lacks->pdata) : NULL;
}

char *gb_finding_quantity_text(const GbFinding *finding)
{
    if (isnan(finding->amount))
        return finding->measure != NULL ? g_strdup_printf("not measured yet (%s)", finding->measure) : g_strdup("");
    g_autofree char *amount = gb_quantity_text(finding->amount, finding->unit);
    return finding->measure != NULL ? g_strdup_printf("%s (%s)", amount, finding->measure) : g_steal_pointer(&amount);
}

const char *gb_finding_component_name(const GbFinding *finding, const GbComponents *components)
{
    const GbComponent *component = gb_components_by_id(components, finding->component);
    return component != NULL ? component->name : finding->component;
}

/* --- writing --- */

/* An amount that follows a measurement is not stored: it is worked out at every load, so there is one truth. */
static void bind(sqlite3_stmt *stmt, const GbFinding *finding)
{
    gboolean own = finding->measure == NULL && !isnan(finding->amount);
    gb_bind_int(stmt, ":place", finding->place);
    gb_bind_text(stmt, ":component", finding->component);
    gb_bind_text(stmt, ":cause", finding->cause);
    gb_bind_text(stmt, ":action", finding->action);
    gb_bind_text(stmt, ":quantity", finding->quantity);
    gb_bind_text(stmt, ":measure", finding->measure);
    gb_bind_double(stmt, ":amount", own ? finding->amount : (double)NAN);
    gb_bind_text(stmt, ":unit", finding->unit == GB_UNIT_NONE ? NULL : gb_unit_code(finding->unit));
    gb_bind_text(stmt, ":note", finding->note);
}

static gboolean store_shots(GbLog *log, const GbFinding *finding, GError **error)
{
    return gb_shot_list_write(log, "DELETE FROM finding_shot WHERE finding = :of",
                              "INSERT INTO finding_shot (finding, shot) VALUES (:of, :shot)", finding->number, finding->shots, error);
}

gboolean gb_finding_insert(GbLog *log, GbFinding *finding, GError **error)
{
    g_autoptr(sqlite3_stmt) stmt = gb_log_prepare(log,
        "INSERT INTO finding (place, component, cause, action, quantity, measure, amount, unit, note)"
        " VALUES (:place, :component, :cause, :action, :quantity, :measure, :amount, :unit, :note)", error);
    if (stmt == NULL)
        return FALSE;
    bind(stmt, finding);
    if (!gb_log_finish(log, stmt, error))
        return FALSE;
    finding->number = sqlite3_last_insert_rowid(gb_log_db(log));
    return store_shots(log, finding, error);
}

gboolean gb_finding_store(GbLog *log, const GbFinding *finding, GError **error)
{
    g_autoptr(sqlite3_stmt) stmt = gb_log_prepare(log,
        "UPDATE finding SET place = :place, component = :component, cause = :cause, action = :action, quantity = :quantity,"
        " measure = :measure, amount = :amount, unit = :unit, note = :note WHERE id = :id", error);
    if (stmt == NULL)
        return FALSE;
    bind(stmt, finding);
    gb_bind_int(stmt, ":id", finding->number);
    return gb_log_finish(log, stmt, error) && store_shots(log, finding, error);
}

gboolean gb_finding_delete(GbLog *log, GbFinding *finding, GError **error)
{
    g_autoptr(sqlite3_stmt) stmt = gb_log_prepare(log, "DELETE FROM finding WHERE id = :id", error);
    if (stmt == NULL)
        return FALSE;
    g_array_set_size(finding->shots, 0);
    gb_bind_int(stmt, ":id", finding->number);
    return store_shots(log, finding, error) && gb_log_finish(log, stmt, error);
}
