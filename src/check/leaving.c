/* leaving.c -- what is still to be done before driving away. See leaving.h.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <gablebook/leaving.h>

#include <math.h>

/* A line of the check on its way into the list. */
typedef struct {
    const GbCheckLine *line;
    guint phase;     /* see below */
    guint structure; /* rank of its structure, 0: none */
    gboolean anywhere; /* of a structure as a whole: after its walls */
    guint place;     /* rank of its place along the walk, 0: none */
    gboolean can_wait; /* only advised */
    guint order;     /* as in the check */
} Stop;

/* On foot around everything, then inside, then up. */
enum { PHASE_PROPERTY, PHASE_GROUND, PHASE_ROOMS, PHASE_ROOFS };

static guint phase_of(const GbCheckLine *line, const GbPlace *place)
{
    if (place == NULL)
        return line->structure != 0 ? PHASE_GROUND : PHASE_PROPERTY;
    switch (place->kind) {
    case GB_PLACE_ELEVATION:
    case GB_PLACE_WHOLE:
        return PHASE_GROUND;
    case GB_PLACE_ROOM:
        return PHASE_ROOMS;
    case GB_PLACE_ROOF:
    case GB_PLACE_SLOPE:
        return PHASE_ROOFS;
    case GB_PLACE_SITE:
    case GB_PLACE_KINDS:
        break;
    }
    return PHASE_PROPERTY;
}

static guint rank_of_structure(const GbDossier *dossier, gint64 id)
{
    for (guint i = 0; i < dossier->structures->len; i++)
        if (((const GbStructure *)dossier->structures->pdata[i])->id == id)
            return i + 1;
    return 0;
}

static guint rank_of_place(const GbDossier *dossier, const GbPlace *place)
{
    guint rank = 0;
    return place != NULL && g_ptr_array_find(dossier->places, place, &rank) ? rank + 1 : 0;
}

static gint compare_stops(gconstpointer a, gconstpointer b)
{
    const Stop *left = a, *right = b;
    const guint pairs[][2] = { { left->phase, right->phase }, { left->structure, right->structure },
                               { (guint)left->anywhere, (guint)right->anywhere }, { left->place, right->place },
                               { (guint)left->can_wait, (guint)right->can_wait }, { left->order, right->order } };
    for (gsize i = 0; i < G_N_ELEMENTS(pairs); i++)
        if (pairs[i][0] != pairs[i][1])
            return pairs[i][0] < pairs[i][1] ? -1 : 1;
    return 0;
}

static gboolean is_required(const GbCheckLine *line)
{
    return line->state == GB_CHECK_MISSING || line->state == GB_CHECK_WEAK;
}

/* Only a tape or a count on the spot gives a quantity. */
static gboolean wants_quantity(const GbDossier *dossier, const GbCheckLine *line)
{
    const GbFinding *finding = line->finding != 0 ? gb_findings_by_number(dossier->findings, line->finding) : NULL;
    return finding != NULL && isnan(finding->amount) && g_strcmp0(finding->action, GB_ACTION_NONE) != 0;
}

static gboolean belongs(const GbDossier *dossier, const GbCheckLine *line)
{
    if (line->state != GB_CHECK_ADVISED)
        return is_required(line);
    return !line->requirement->needs_written || wants_quantity(dossier, line);
}

static gboolean is_unproved(const GbDossier *dossier, const GbCheckLine *line)
{
    return line->finding != 0 && !line->requirement->needs_written && line->shots->len == 0 &&
           g_strcmp0(line->lacks, GB_LACKS_PROOF) == 0 && gb_findings_by_number(dossier->findings, line->finding) != NULL;
}

static char *todo_of(const GbDossier *dossier, const GbCheckLine *line)
{
    const GbFinding *finding = line->finding != 0 ? gb_findings_by_number(dossier->findings, line->finding) : NULL;
    const char *name = finding != NULL ? gb_finding_component_name(finding, dossier->components) : NULL;
    if (is_unproved(dossier, line))
        return g_strdup_printf("finding %" G_GINT64_FORMAT ", %s: no photo proves it; overview, mid-range, close-up", line->finding, name);
    if (line->state == GB_CHECK_ADVISED && line->requirement->needs_written)
        return g_strdup_printf("finding %" G_GINT64_FORMAT ", %s: measure or count it; it has no quantity", line->finding, name);
    return g_strdup_printf("%s: %s", line->label, line->lacks);
}

static void free_item(gpointer data)
{
    GbLeavingItem *item = data;
    g_free(item->todo);
    g_free(item);
}

static GArray *collect(const GbDossier *dossier)
{
    GArray *stops = g_array_new(FALSE, FALSE, sizeof(Stop));
    for (guint i = 0; i < dossier->check->lines->len; i++) {
        const GbCheckLine *line = dossier->check->lines->pdata[i];
        const GbPlace *place = line->place != 0 ? gb_places_by_id(dossier->places, line->place) : NULL;
        if (!belongs(dossier, line))
            continue;
        const Stop stop = { line, phase_of(line, place), rank_of_structure(dossier, line->structure),
                            place == NULL || place->kind == GB_PLACE_WHOLE, rank_of_place(dossier, place), !is_required(line), i };
        g_array_append_val(stops, stop);
    }
    g_array_sort(stops, compare_stops);
    return stops;
}

GPtrArray *gb_leaving(const GbDossier *dossier)
{
    GPtrArray *items = g_ptr_array_new_with_free_func(free_item);
    g_autoptr(GArray) stops = collect(dossier);
    g_autoptr(GHashTable) unproved = g_hash_table_new(g_int64_hash, g_int64_equal); /* finding number -> its item */
    for (guint i = 0; i < stops->len; i++) {
        const Stop *stop = &g_array_index(stops, Stop, i);
        gboolean proof = is_unproved(dossier, stop->line);
        GbLeavingItem *same = proof ? g_hash_table_lookup(unproved, &stop->line->finding) : NULL;
        if (same != NULL) {
            same->required |= is_required(stop->line);
            continue;
        }
        GbLeavingItem *item = g_new0(GbLeavingItem, 1);
        *item = (GbLeavingItem){ stop->line->group, stop->phase == PHASE_ROOFS, is_required(stop->line), todo_of(dossier, stop->line) };
        g_ptr_array_add(items, item);
        if (proof)
            g_hash_table_insert(unproved, (gpointer)&stop->line->finding, item);
    }
    return items;
}

gboolean gb_leaving_ready(const GPtrArray *items)
{
    for (guint i = 0; i < items->len; i++)
        if (((const GbLeavingItem *)items->pdata[i])->required)
            return FALSE;
    return TRUE;
}

json_t *gb_leaving_json(const GPtrArray *items)
{
    json_t *stops = json_array(), *todo = NULL;
    const char *title = NULL;
    for (guint i = 0; i < items->len; i++) {
        const GbLeavingItem *item = items->pdata[i];
        if (g_strcmp0(title, item->stop) != 0) {
            title = item->stop;
            todo = json_array();
            json_array_append_new(stops, json_pack("{s:s, s:b, s:o}", "title", title, "on_roof", item->on_roof, "todo", todo));
        }
        json_array_append_new(todo, json_pack("{s:s, s:b}", "text", item->todo, "required", item->required));
    }
    return json_pack("{s:b, s:o}", "ready", gb_leaving_ready(items), "stops", stops);
}
