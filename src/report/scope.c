/* scope.c -- the scope sheet as JSON, CSV and HTML. See scope.h.
 *
 * Totals add up only what is the same: one component, one action, one unit. Square feet and squares are one unit in two
 * spellings and are added in the component's own; pieces of different things are never added.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "report-private.h"

#include <gablebook/escape.h>
#include <gablebook/scope.h>
#include <math.h>

/* --- totals --- */

typedef struct {
    const char *component; /* id */
    const char *action;    /* "" where none is said */
    GbUnit unit;
    double amount;
    guint findings;
} Total;

/* Work that is not to be done is no part of a total. */
static gboolean counts(const GbFinding *finding)
{
    return !isnan(finding->amount) && g_strcmp0(finding->action, GB_ACTION_NONE) != 0;
}

/* The unit in which a finding is added, and its amount in that. */
static GbUnit unit_for(const GbDossier *dossier, const GbFinding *finding, double *amount)
{
    const GbComponent *component = gb_components_by_id(dossier->components, finding->component);
    if (component != NULL && gb_unit_convert(finding->amount, finding->unit, component->unit, amount))
        return component->unit;
    gboolean squares = finding->unit == GB_UNIT_SQ && gb_unit_convert(finding->amount, GB_UNIT_SQ, GB_UNIT_SF, amount);
    if (!squares)
        *amount = finding->amount;
    return squares ? GB_UNIT_SF : finding->unit;
}

static Total *total_of(GArray *totals, const char *component, const char *action, GbUnit unit)
{
    for (guint i = 0; i < totals->len; i++) {
        Total *total = &g_array_index(totals, Total, i);
        if (strcmp(total->component, component) == 0 && strcmp(total->action, action) == 0 && total->unit == unit)
            return total;
    }
    const Total fresh = { component, action, unit, 0, 0 };
    g_array_append_val(totals, fresh);
    return &g_array_index(totals, Total, totals->len - 1);
}

static json_t *totals_json(const GbDossier *dossier)
{
    g_autoptr(GArray) totals = g_array_new(FALSE, FALSE, sizeof(Total));
    json_t *list = json_array();
    for (guint i = 0; i < dossier->findings->len; i++) {
        const GbFinding *finding = dossier->findings->pdata[i];
        double amount;
        if (!counts(finding))
            continue;
        GbUnit unit = unit_for(dossier, finding, &amount);
        Total *total = total_of(totals, finding->component, finding->action != NULL ? finding->action : "", unit);
        total->amount += amount;
        total->findings++;
    }
    for (guint i = 0; i < totals->len; i++) {
        const Total *total = &g_array_index(totals, Total, i);
        const GbComponent *component = gb_components_by_id(dossier->components, total->component);
        g_autofree char *quantity = gb_quantity_text(total->amount, total->unit);
        json_t *item = json_pack("{s:f, s:s, s:i}", "amount", total->amount, "unit", gb_unit_code(total->unit),
                                 "findings", (int)total->findings);
        gb_put_text(item, "component", component != NULL ? component->name : total->component);
        gb_put_text(item, "action", total->action);
        gb_put_text(item, "quantity", quantity);
        json_array_append_new(list, item);
    }
    return list;
}

/* --- the sheet --- */

static char *structure_title(const GbPlace *place)
{
    if (place->structure == 0)
        return gb_place_title(GB_PLACE_SITE, "", FALSE, GB_FACE_FRONT, NULL);
    return gb_place_title(GB_PLACE_WHOLE, place->structure_name, place->on_dwelling, GB_FACE_FRONT, NULL);
}

/* The title without the structure's name, which stands above it. */
static char *part_title(const GbPlace *place)
{
    if (place->kind == GB_PLACE_WHOLE)
        return g_strdup("As a whole");
    return gb_place_title(place->kind, place->structure_name, TRUE, place->face, place->room);
}

static json_t *structures_json(const GbDossier *dossier, GHashTable *figure_of)
{
    json_t *structures = json_array(), *lines = NULL;
    gint64 before = -1;
    for (guint i = 0; i < dossier->findings->len; i++) {
        const GbFinding *finding = dossier->findings->pdata[i];
        const GbPlace *place = gb_places_by_id(dossier->places, finding->place);
        if (place == NULL) /* the schema has no such finding */
            continue;
        if (place->structure != before) {
            g_autofree char *title = structure_title(place);
            lines = json_array();
            json_t *structure = json_pack("{s:o}", "lines", lines);
            gb_put_text(structure, "title", title);
            json_array_append_new(structures, structure);
        }
        before = place->structure;
        g_autofree char *part = part_title(place);
        json_t *line = gb_found_json(dossier, finding, figure_of);
        gb_put_text(line, "part", part);
        json_array_append_new(lines, line);
    }
    return structures;
}

static json_t *counts_json(const GbDossier *dossier)
{
    guint n = dossier->findings->len, no_quantity = 0, no_photo = 0;
    for (guint i = 0; i < n; i++) {
        const GbFinding *finding = dossier->findings->pdata[i];
        no_quantity += isnan(finding->amount) && g_strcmp0(finding->action, GB_ACTION_NONE) != 0;
        no_photo += finding->shots->len == 0;
    }
    json_t *counts_of = json_pack("{s:i}", "findings", (int)n);
    if (no_quantity > 0)
        json_object_set_new(counts_of, "without_quantity", json_integer(no_quantity));
    if (no_photo > 0)
        json_object_set_new(counts_of, "without_photo", json_integer(no_photo));
    return counts_of;
}

json_t *gb_scope_json(const GbDossier *dossier)
{
    g_autoptr(GHashTable) figure_of = gb_figure_numbers(dossier);
    json_t *sheet = json_pack("{s:{s:s, s:s}}", "program", "name", "gablebook", "version", GB_VERSION);
    gb_put_state(sheet, &dossier->state);
    gb_put_text(sheet, "title", gb_claim_title(dossier->claim));
    json_object_set_new(sheet, "claim", gb_claim_json(dossier));
    json_object_set_new(sheet, "counts", counts_json(dossier));
    json_object_set_new(sheet, "structures", structures_json(dossier, figure_of));
    json_t *totals = totals_json(dossier);
    if (json_array_size(totals) > 0)
        json_object_set_new(sheet, "any_totals", json_true());
    json_object_set_new(sheet, "totals", totals);
    return sheet;
}

/* --- CSV --- */

/* A record's first field must not be empty: nothing would tell it from the record before it. */
static void add_field(GString *out, const char *text)
{
    if (out->len > 0 && out->str[out->len - 1] != '\n')
        g_string_append_c(out, ',');
    gb_escape_csv(out, text != NULL ? text : "");
}

static void end_record(GString *out)
{
    g_string_append(out, "\r\n");
}

static char *semicolons(const json_t *numbers)
{
    GString *text = g_string_new(NULL);
    gsize i;
    const json_t *number;
    json_array_foreach(numbers, i, number)
        g_string_append_printf(text, "%s%" JSON_INTEGER_FORMAT, i > 0 ? "; " : "", json_integer_value(number));
    return g_string_free(text, FALSE);
}

static void add_line(GString *out, const char *structure, const json_t *line)
{
    static const char *const texts[] = { "part", "component", "cause", "action" };
    char amount[G_ASCII_DTOSTR_BUF_SIZE] = "", number[32];
    const json_t *exact = json_object_get(line, "amount");
    if (exact != NULL)
        g_ascii_formatd(amount, sizeof amount, "%.2f", json_real_value(exact));
    g_snprintf(number, sizeof number, "%" JSON_INTEGER_FORMAT, json_integer_value(json_object_get(line, "number")));
    g_autofree char *shots = semicolons(json_object_get(line, "shots"));
    g_autofree char *figures = semicolons(json_object_get(line, "figures_list"));
    add_field(out, number);
    add_field(out, structure);
    for (gsize i = 0; i < G_N_ELEMENTS(texts); i++)
        add_field(out, json_string_value(json_object_get(line, texts[i])));
    add_field(out, amount);
    add_field(out, json_string_value(json_object_get(line, "unit")));
    add_field(out, json_string_value(json_object_get(line, "measure")));
    add_field(out, figures);
    add_field(out, shots);
    add_field(out, json_string_value(json_object_get(line, "note")));
    end_record(out);
}

char *gb_scope_csv(const GbDossier *dossier)
{
    static const char *const head[] = { "finding", "structure", "place", "component", "cause", "action", "quantity", "unit", "follows",
                                        "figures", "shots", "note" };
    GString *out = g_string_new(NULL);
    json_t *sheet = gb_scope_json(dossier);
    gsize s, l;
    const json_t *structure, *line;
    for (gsize i = 0; i < G_N_ELEMENTS(head); i++)
        add_field(out, head[i]);
    end_record(out);
    json_array_foreach(json_object_get(sheet, "structures"), s, structure)
        json_array_foreach(json_object_get(structure, "lines"), l, line)
            add_line(out, json_string_value(json_object_get(structure, "title")), line);
    json_decref(sheet);
    return g_string_free(out, FALSE);
}

/* --- HTML --- */

gboolean gb_scope_html(const GbLog *log, const GbDossier *dossier, const GbLocale *locale, const char *out, char **written, GError **error)
{
    g_autoptr(GbTemplate) page = gb_report_template(log, NULL, GB_SCOPE_TEMPLATE, error);
    if (page == NULL)
        return FALSE;
    json_t *sheet = gb_scope_json(dossier);
    gb_localize(sheet, locale);
    g_autofree char *path = out != NULL ? g_strdup(out) : gb_log_path(log, "reports", GB_SCOPE_TEMPLATE, NULL);
    gboolean done = gb_report_write(page, sheet, NULL, 0, path, error);
    json_decref(sheet);
    if (done && written != NULL)
        *written = g_steal_pointer(&path);
    return done;
}
