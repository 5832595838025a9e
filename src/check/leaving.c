/* leaving.c -- what is still to be done before driving away. See leaving.h.
 *
 * Everything that may belong into the list becomes a stop with a place in the walk: lines of the check, points to look
 * at again, faults of the roof's measurements. Sorted, the stops are turned into items; what says the same thing
 * several times (the facts of one place, a finding that no photo proves) is one item.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <gablebook/leaving.h>

#include <math.h>

/* Something on its way into the list. */
typedef struct {
    const GbCheckLine *line; /* NULL: text says it */
    const char *text;        /* BORROWED */
    const char *title;       /* where to stand, BORROWED */
    guint phase;             /* see below */
    guint structure;         /* rank of its structure, 0: none */
    gboolean anywhere;       /* of a structure as a whole: after its walls */
    guint place;             /* rank of its place along the walk; 0: none in particular */
    gboolean can_wait;       /* only advised */
    guint order;             /* as in the check */
} Stop;

/* On foot around everything, then inside, then up. */
enum { PHASE_PROPERTY, PHASE_GROUND, PHASE_ROOMS, PHASE_ROOFS };

static guint phase_of(gint64 structure, const GbPlace *place)
{
    if (place == NULL)
        return structure != 0 ? PHASE_GROUND : PHASE_PROPERTY;
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
    return g_ptr_array_find(dossier->places, place, &rank) ? rank + 1 : 0;
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

/* --- which lines --- */

static gboolean is_required(const GbCheckLine *line)
{
    return line->state == GB_CHECK_MISSING || line->state == GB_CHECK_WEAK;
}

static const GbFinding *finding_of(const GbDossier *dossier, const GbCheckLine *line)
{
    return line->finding != 0 ? gb_findings_by_number(dossier->findings, line->finding) : NULL;
}

/* Only a tape or a count on the spot gives a quantity. */
static gboolean wants_quantity(const GbDossier *dossier, const GbCheckLine *line)
{
    const GbFinding *finding = finding_of(dossier, line);
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
    return finding_of(dossier, line) != NULL && g_strcmp0(line->lacks, GB_LACKS_PROOF) == 0;
}

static char *todo_of(const GbDossier *dossier, const Stop *stop)
{
    const GbCheckLine *line = stop->line;
    const GbFinding *finding = line != NULL ? finding_of(dossier, line) : NULL;
    const char *name = finding != NULL ? gb_finding_component_name(finding, dossier->components) : NULL;
    if (line == NULL)
        return g_strdup(stop->text);
    if (line->fact != NULL) {
        g_autofree char *fact = g_utf8_strdown(gb_factlist_by_id(dossier->factlist, line->fact->id)->name, -1);
        return g_strdup_printf("write down: %s", fact);
    }
    if (is_unproved(dossier, line))
        return g_strdup_printf("finding %" G_GINT64_FORMAT ", %s: no photo proves it; overview, mid-range, close-up", line->finding, name);
    if (line->state == GB_CHECK_ADVISED && line->requirement->needs_written)
        return g_strdup_printf("finding %" G_GINT64_FORMAT ", %s: measure or count it; it has no quantity", line->finding, name);
    return g_strdup_printf("%s: %s", line->label, line->lacks);
}

/* --- collecting --- */

static void add_stop(const GbDossier *dossier, GArray *stops, Stop stop, gint64 structure, const GbPlace *place)
{
    stop.phase = phase_of(structure, place);
    stop.structure = rank_of_structure(dossier, structure);
    stop.anywhere = place == NULL || place->kind == GB_PLACE_WHOLE;
    stop.place = stop.anywhere ? 0 : rank_of_place(dossier, place);
    stop.order = stops->len;
    g_array_append_val(stops, stop);
}

static void add_lines(const GbDossier *dossier, GArray *stops)
{
    for (guint i = 0; i < dossier->check->lines->len; i++) {
        const GbCheckLine *line = dossier->check->lines->pdata[i];
        if (belongs(dossier, line))
            add_stop(dossier, stops, (Stop){ .line = line, .title = line->group, .can_wait = !is_required(line) }, line->structure,
                     line->place != 0 ? gb_places_by_id(dossier->places, line->place) : NULL);
    }
}

/* What contradicts itself is settled by looking once more, while one can. */
static void add_points(const GbDossier *dossier, GArray *stops)
{
    for (guint i = 0; i < dossier->check->points->len; i++) {
        const GbPoint *point = dossier->check->points->pdata[i];
        const GbPlace *place = gb_places_by_id(dossier->places, point->place);
        if (point->contradiction && place != NULL)
            add_stop(dossier, stops, (Stop){ .text = point->text, .title = place->title, .can_wait = TRUE }, place->structure, place);
    }
}

/* The roof of a structure, else the structure. */
static const GbPlace *roof_of(const GbDossier *dossier, gint64 structure)
{
    const GbPlace *whole = NULL;
    for (guint i = 0; i < dossier->places->len; i++) {
        const GbPlace *place = dossier->places->pdata[i];
        if (place->structure == structure && place->kind == GB_PLACE_ROOF)
            return place;
        if (place->structure == structure && place->kind == GB_PLACE_WHOLE)
            whole = place;
    }
    return whole;
}

static void add_faults(const GbDossier *dossier, GArray *stops)
{
    for (guint i = 0; i < dossier->roof->faults->len; i++) {
        const GbRoofFault *fault = dossier->roof->faults->pdata[i];
        const GbPlace *place = roof_of(dossier, fault->structure);
        if (place != NULL)
            add_stop(dossier, stops, (Stop){ .text = fault->text, .title = place->title, .can_wait = TRUE }, fault->structure, place);
    }
}

/* --- the list --- */

static void free_item(gpointer data)
{
    GbLeavingItem *item = data;
    g_free(item->todo);
    g_free(item);
}

/* The item that this stop only adds to, or NULL. before: the last item and the line it came from. */
static GbLeavingItem *joined(const GbDossier *dossier, const Stop *stop, GHashTable *unproved, GbLeavingItem *before,
                             const Stop *before_stop)
{
    const GbCheckLine *line = stop->line;
    if (line != NULL && is_unproved(dossier, line))
        return g_hash_table_lookup(unproved, &line->finding);
    gboolean facts = line != NULL && line->fact != NULL && before != NULL && before_stop->line != NULL &&
                     before_stop->line->fact != NULL;
    return facts && strcmp(before->stop, stop->title) == 0 && before->required == !stop->can_wait ? before : NULL;
}

static void add_fact(GbLeavingItem *item, const GbFactKind *kind)
{
    g_autofree char *fact = g_utf8_strdown(kind->name, -1);
    char *todo = g_strdup_printf("%s, %s", item->todo, fact);
    g_free(item->todo);
    item->todo = todo;
}

GPtrArray *gb_leaving(const GbDossier *dossier)
{
    GPtrArray *items = g_ptr_array_new_with_free_func(free_item);
    g_autoptr(GArray) stops = g_array_new(FALSE, FALSE, sizeof(Stop));
    g_autoptr(GHashTable) unproved = g_hash_table_new(g_int64_hash, g_int64_equal); /* finding number -> its item */
    add_lines(dossier, stops);
    add_points(dossier, stops);
    add_faults(dossier, stops);
    g_array_sort(stops, compare_stops);
    GbLeavingItem *item = NULL;
    for (guint i = 0; i < stops->len; i++) {
        const Stop *stop = &g_array_index(stops, Stop, i);
        GbLeavingItem *same = joined(dossier, stop, unproved, item, stop - (i > 0));
        if (same != NULL && stop->line->fact != NULL)
            add_fact(same, stop->line->fact);
        if (same != NULL) {
            same->required |= !stop->can_wait;
            continue;
        }
        item = g_new0(GbLeavingItem, 1);
        *item = (GbLeavingItem){ stop->title, stop->phase == PHASE_ROOFS, !stop->can_wait, todo_of(dossier, stop) };
        g_ptr_array_add(items, item);
        if (stop->line != NULL && is_unproved(dossier, stop->line))
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
