/* found.c -- findings as the report and the scope sheet tell them, with the figures that prove them and the other way
 * round.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "report-private.h"

#include <math.h>

static gboolean proves(const GbFinding *finding, gint64 shot)
{
    for (guint i = 0; i < finding->shots->len; i++)
        if (g_array_index(finding->shots, gint64, i) == shot)
            return TRUE;
    return FALSE;
}

json_t *gb_figure_findings(const GbDossier *dossier, const GbShot *shot)
{
    json_t *list = json_array();
    for (guint i = 0; i < dossier->findings->len; i++) {
        const GbFinding *finding = dossier->findings->pdata[i];
        if (!proves(finding, shot->number))
            continue;
        json_t *item = json_pack("{s:I}", "number", (json_int_t)finding->number);
        gb_put_text(item, "what", gb_finding_component_name(finding, dossier->components));
        json_array_append_new(list, item);
    }
    return list;
}

static gint compare_numbers(gconstpointer a, gconstpointer b)
{
    gint64 x = *(const gint64 *)a, y = *(const gint64 *)b;
    return (x > y) - (x < y);
}

/* The figures of a finding, rising; shots left out of the report are none. OWNED by the caller. */
static GArray *figures_of(const GbFinding *finding, GHashTable *figure_of)
{
    GArray *figures = g_array_new(FALSE, FALSE, sizeof(gint64));
    for (guint i = 0; i < finding->shots->len; i++) {
        gint64 figure = GPOINTER_TO_UINT(g_hash_table_lookup(figure_of, &g_array_index(finding->shots, gint64, i)));
        if (figure > 0)
            g_array_append_val(figures, figure);
    }
    g_array_sort(figures, compare_numbers);
    return figures;
}

static json_t *numbers_json(const GArray *numbers)
{
    json_t *list = json_array();
    for (guint i = 0; i < numbers->len; i++)
        json_array_append_new(list, json_integer(g_array_index(numbers, gint64, i)));
    return list;
}

/* For templates, which can't know what is last: [{"number", "last"?}]. */
static json_t *proofs_json(const GArray *figures)
{
    json_t *list = json_array();
    for (guint i = 0; i < figures->len; i++) {
        json_t *item = json_pack("{s:I}", "number", (json_int_t)g_array_index(figures, gint64, i));
        if (i + 1 == figures->len)
            json_object_set_new(item, "last", json_true());
        json_array_append_new(list, item);
    }
    return list;
}

static void put_quantity(json_t *item, const GbFinding *finding)
{
    g_autofree char *quantity = gb_finding_quantity_text(finding);
    gb_put_text(item, "quantity", quantity);
    if (!isnan(finding->amount))
        json_object_set_new(item, "amount", json_real(finding->amount));
    gb_put_text(item, "unit", gb_unit_code(finding->unit));
    gb_put_text(item, "measure", finding->measure);
    gb_put_text(item, "why_no_amount", finding->not_followed);
    if (g_strcmp0(finding->action, GB_ACTION_NONE) == 0)
        json_object_set_new(item, "nothing_to_do", json_true());
}

json_t *gb_found_json(const GbDossier *dossier, const GbFinding *finding, GHashTable *figure_of)
{
    const GbPlace *place = gb_places_by_id(dossier->places, finding->place);
    g_autoptr(GArray) figures = figures_of(finding, figure_of);
    g_autofree char *lacks = gb_finding_lacks(finding);
    json_t *item = json_pack("{s:I, s:o, s:o, s:o}", "number", (json_int_t)finding->number, "shots", numbers_json(finding->shots),
                             "figures_list", numbers_json(figures), "proofs", proofs_json(figures));
    gb_put_text(item, "place", place != NULL ? place->title : NULL);
    gb_put_text(item, "component", gb_finding_component_name(finding, dossier->components));
    gb_put_text(item, "cause", finding->cause);
    gb_put_text(item, "action", finding->action);
    put_quantity(item, finding);
    gb_put_text(item, "lacks", lacks);
    gb_put_text(item, "note", finding->note);
    return item;
}

json_t *gb_found_groups_json(const GbDossier *dossier, GHashTable *figure_of)
{
    guint n = dossier->findings->len;
    json_t *groups = json_array(), *items = NULL;
    gint64 place = 0;
    for (guint i = 0; i < n; i++) {
        const GbFinding *finding = dossier->findings->pdata[i];
        const GbPlace *here = gb_places_by_id(dossier->places, finding->place);
        if (items == NULL || finding->place != place) {
            items = json_array();
            json_t *group = json_pack("{s:o}", "items", items);
            gb_put_text(group, "title", here != NULL ? here->title : NULL);
            json_array_append_new(groups, group);
        }
        place = finding->place;
        json_array_append_new(items, gb_found_json(dossier, finding, figure_of));
    }
    g_autofree char *text = g_strdup_printf("%u finding%s", n, n == 1 ? "" : "s");
    json_t *found = json_pack("{s:i, s:s, s:o}", "count", (int)n, "count_text", text, "groups", groups);
    if (n > 0)
        return found;
    json_decref(found);
    return NULL;
}
