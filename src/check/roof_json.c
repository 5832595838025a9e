/* roof_json.c -- see roof_json.h.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <gablebook/roof_json.h>

#include <gablebook/measure.h>
#include <math.h>

static void set_text(json_t *object, const char *key, const char *text)
{
    json_object_set_new(object, key, json_string(text));
}

/* Doubles print with all their digits: round what follows from a tape to what can be read. Unknown is absent. */
static void set_number(json_t *object, const char *key, double number)
{
    if (isfinite(number))
        json_object_set_new(object, key, json_real(round(number * 1e4) / 1e4));
}

static json_t *json_of_given(const GbRoofEntry *entry)
{
    json_t *object = json_object();
    for (guint g = 0; g < GB_ROOF_GIVENS; g++) {
        const GbRoofValue *value = &entry->given[g];
        if (value->text == NULL)
            continue;
        json_t *one = json_object();
        set_text(one, "typed", value->text);
        set_number(one, g == GB_GIVEN_PITCH ? "rise_in_12" : "inches", value->number);
        json_object_set_new(object, gb_roof_given_word((GbRoofGiven)g), one);
    }
    return object;
}

static json_t *json_of_entry(const GbRoofEntry *entry)
{
    g_autofree char *where = gb_roofs_where(entry);
    json_t *object = json_object();
    json_object_set_new(object, "entry", json_integer(entry->id));
    json_object_set_new(object, "structure", json_integer(entry->structure));
    set_text(object, "where", where);
    set_text(object, "section", entry->section);
    set_text(object, "shape", gb_roof_shape_word(entry->shape));
    json_object_set_new(object, "cut_out", json_boolean(entry->cut_out));
    if (gb_roof_shape_is_whole(entry->shape))
        set_text(object, "ridge_runs", gb_roof_ridge_word(entry->ridge_to_rear));
    else {
        set_text(object, "left_side", gb_edge_word(entry->left));
        set_text(object, "right_side", gb_edge_word(entry->right));
        set_text(object, "top", gb_edge_word(entry->top));
        set_text(object, "bottom", gb_edge_word(entry->bottom));
    }
    g_autofree char *unusual = gb_roof_entry_unusual_text(entry);
    if (unusual != NULL)
        set_text(object, "unusual", unusual);
    json_object_set_new(object, "given", json_of_given(entry));
    return object;
}

static json_t *json_of_slope(const GbRoof *roof, const GbRoofSlope *slope)
{
    json_t *object = json_object(), *edges = json_array();
    json_object_set_new(object, "entry", json_integer(slope->entry->id));
    set_text(object, "label", slope->label);
    set_text(object, "face", gb_face_word(slope->face));
    if (slope->place != 0)
        json_object_set_new(object, "place", json_integer(slope->place));
    set_text(object, "section", slope->entry->section);
    json_object_set_new(object, "cut_out", json_boolean(slope->cut_out));
    set_number(object, "area_sqft", slope->area_sqft);
    set_number(object, "up_in", slope->up_in);
    set_number(object, "rise_in_12", slope->pitch);
    set_number(object, "degrees", gb_pitch_degrees(slope->pitch));
    if (slope->band >= 0) {
        g_autofree char *band = gb_steep_band_text(&roof->settings.bands[slope->band]);
        set_text(object, "steep", band);
    }
    for (guint e = 0; e < slope->n; e++) {
        json_t *edge = json_object();
        set_text(edge, "kind", gb_edge_word(slope->edges[e].kind));
        set_number(edge, "length_in", slope->edges[e].length_in);
        json_array_append_new(edges, edge);
    }
    json_object_set_new(object, "edges", edges);
    return object;
}

static json_t *json_of_quantities(const GbRoof *roof, gint64 structure)
{
    json_t *object = json_object();
    for (guint q = 0; q < GB_QUANTITIES; q++) {
        double amount;
        if (!gb_roof_quantity(roof, structure, 0, (GbRoofQuantity)q, &amount, NULL))
            continue;
        json_t *one = json_object();
        set_number(one, "amount", amount);
        set_text(one, "unit", gb_roof_quantity_unit((GbRoofQuantity)q));
        json_object_set_new(object, gb_roof_quantity_word((GbRoofQuantity)q), one);
    }
    return object;
}

static json_t *json_of_bands(const GbRoof *roof, gint64 structure)
{
    json_t *array = json_array();
    for (guint b = 0; b < roof->settings.n_bands; b++) {
        double area = gb_roof_band_area_sqft(roof, structure, b);
        if (area <= 0)
            continue;
        g_autofree char *pitch = gb_steep_band_text(&roof->settings.bands[b]);
        json_t *one = json_object();
        set_text(one, "pitch", pitch);
        set_number(one, "area_sqft", area);
        json_array_append_new(array, one);
    }
    return array;
}

static json_t *json_of_faults(const GbRoof *roof, gint64 structure)
{
    json_t *array = json_array();
    for (guint i = 0; i < roof->faults->len; i++) {
        const GbRoofFault *fault = roof->faults->pdata[i];
        if (fault->structure == structure)
            json_array_append_new(array, json_string(fault->text));
    }
    return array;
}

static json_t *json_of_structure(const GbRoof *roof, gint64 structure)
{
    json_t *object = json_object(), *slopes = json_array();
    json_object_set_new(object, "structure", json_integer(structure));
    for (guint i = 0; i < roof->entries->len; i++) {
        const GbRoofEntry *entry = roof->entries->pdata[i];
        if (entry->structure == structure)
            set_text(object, "name", entry->structure_name);
    }
    for (guint i = 0; i < roof->slopes->len; i++) {
        const GbRoofSlope *slope = roof->slopes->pdata[i];
        if (slope->structure == structure)
            json_array_append_new(slopes, json_of_slope(roof, slope));
    }
    json_object_set_new(object, "slopes", slopes);
    json_object_set_new(object, "quantities", json_of_quantities(roof, structure));
    json_object_set_new(object, "steep", json_of_bands(roof, structure));
    json_object_set_new(object, "contradictions", json_of_faults(roof, structure));
    return object;
}

static gboolean has(const GArray *ids, gint64 id)
{
    for (guint i = 0; i < ids->len; i++)
        if (g_array_index(ids, gint64, i) == id)
            return TRUE;
    return FALSE;
}

GArray *gb_roof_structures(const GbRoof *roof)
{
    GArray *ids = g_array_new(FALSE, FALSE, sizeof(gint64));
    for (int others = 0; others < 2; others++)
        for (guint i = 0; i < roof->entries->len; i++) {
            const GbRoofEntry *entry = roof->entries->pdata[i];
            if (entry->on_dwelling == !others && !has(ids, entry->structure))
                g_array_append_val(ids, entry->structure);
        }
    return ids;
}

json_t *gb_roof_json(const GbRoof *roof)
{
    json_t *object = json_object(), *pitches = json_array(), *entries = json_array(), *structures = json_array();
    set_number(object, "waste_percent", roof->settings.waste_percent);
    for (guint b = 0; b < roof->settings.n_bands; b++) {
        g_autofree char *text = gb_steep_band_text(&roof->settings.bands[b]);
        json_array_append_new(pitches, json_string(text));
    }
    json_object_set_new(object, "steep_pitches", pitches);
    if (gb_roof_is_steep(roof, 0))
        set_text(object, "caution", gb_roof_steep_caution());
    for (guint i = 0; i < roof->entries->len; i++)
        json_array_append_new(entries, json_of_entry(roof->entries->pdata[i]));
    json_object_set_new(object, "entries", entries);
    g_autoptr(GArray) ids = gb_roof_structures(roof);
    for (guint i = 0; i < ids->len; i++)
        json_array_append_new(structures, json_of_structure(roof, g_array_index(ids, gint64, i)));
    json_object_set_new(object, "structures", structures);
    return object;
}
