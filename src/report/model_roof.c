/* model_roof.c -- what was measured of the roofs, as the report tells it (docs/report-model.md).
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "report-private.h"

#include <gablebook/measure.h>
#include <gablebook/roof_json.h>
#include <gablebook/roof_plan.h>
#include <math.h>

static void add_pair(json_t *list, const char *label, const char *value)
{
    json_t *pair = json_object();
    gb_put_text(pair, "label", label);
    gb_put_text(pair, "value", value);
    json_array_append_new(list, pair);
}

/* With a capital letter; our own words are ASCII. */
static char *heading_of(const char *word)
{
    char *text = g_strdup(word);
    text[0] = g_ascii_toupper(text[0]);
    return text;
}

/* --- as entered --- */

static json_t *entry_json(const GbRoofEntry *entry)
{
    g_autoptr(GString) text = g_string_new(NULL);
    g_autofree char *where = gb_roofs_where(entry);
    gboolean whole = gb_roof_shape_is_whole(entry->shape);
    g_string_append_printf(text, "%s%s%s", gb_roof_shape_word(entry->shape), whole ? " roof" : "", entry->cut_out ? ", cut out" : "");
    for (guint g = 0; g < GB_ROOF_GIVENS; g++)
        if (entry->given[g].text != NULL)
            g_string_append_printf(text, ", %s %s", gb_roof_given_word((GbRoofGiven)g), entry->given[g].text);
    g_autofree char *unusual = gb_roof_entry_unusual_text(entry);
    if (unusual != NULL)
        g_string_append_printf(text, ", %s", unusual);
    json_t *object = json_object();
    json_object_set_new(object, "entry", json_integer(entry->id));
    gb_put_text(object, "where", where);
    gb_put_text(object, "section", g_ascii_strcasecmp(entry->section, "main") == 0 ? NULL : entry->section);
    gb_put_text(object, "measured", text->str);
    return object;
}

static json_t *entries_json(const GbRoof *roof, gint64 structure)
{
    json_t *list = json_array();
    for (guint i = 0; i < roof->entries->len; i++) {
        const GbRoofEntry *entry = roof->entries->pdata[i];
        if (entry->structure == structure)
            json_array_append_new(list, entry_json(entry));
    }
    return list;
}

/* --- slopes --- */

static char *edges_text(const GbRoofSlope *slope)
{
    GString *text = g_string_new(NULL);
    for (guint e = 0; e < slope->n; e++) {
        g_autofree char *length = gb_length_text(slope->edges[e].length_in, GB_UNITS_FEET);
        g_string_append_printf(text, "%s%s %s", e > 0 ? ", " : "", gb_edge_word(slope->edges[e].kind), length);
    }
    return g_string_free(text, FALSE);
}

static json_t *slope_json(const GbRoof *roof, const GbRoofSlope *slope, guint number)
{
    g_autofree char *area = gb_area_text(slope->area_sqft, GB_UNITS_FEET), *up = gb_length_text(slope->up_in, GB_UNITS_FEET);
    g_autofree char *squares = gb_squares_text(slope->area_sqft), *edges = edges_text(slope);
    g_autofree char *pitch = isnan(slope->pitch) ? NULL : gb_pitch_text(slope->pitch);
    g_autofree char *band = slope->band < 0 ? NULL : gb_steep_band_text(&roof->settings.bands[slope->band]);
    g_autofree char *label = heading_of(slope->label), *minus_area = g_strconcat(slope->cut_out ? "−" : "", area, NULL),
                    *minus_squares = g_strconcat(slope->cut_out ? "−" : "", squares, NULL);
    json_t *object = json_object();
    json_object_set_new(object, "number", json_integer(number));
    json_object_set_new(object, "entry", json_integer(slope->entry->id));
    gb_put_text(object, "label", label);
    gb_put_text(object, "pitch", pitch);
    gb_put_text(object, "steep", band);
    gb_put_text(object, "up", up);
    gb_put_text(object, "area", minus_area);
    gb_put_text(object, "squares", minus_squares);
    gb_put_text(object, "edges", edges);
    return object;
}

static json_t *slopes_json(const GbRoof *roof, gint64 structure)
{
    json_t *list = json_array();
    for (guint i = 0; i < roof->slopes->len; i++) {
        const GbRoofSlope *slope = roof->slopes->pdata[i];
        if (slope->structure == structure)
            json_array_append_new(list, slope_json(roof, slope, (guint)json_array_size(list) + 1));
    }
    return list;
}

/* --- totals --- */

static void add_area(json_t *list, const GbRoof *roof, gint64 structure, GbRoofQuantity quantity, const char *label)
{
    double area;
    if (!gb_roof_quantity(roof, structure, 0, quantity, &area, NULL))
        return;
    g_autofree char *shown = gb_area_text(area, GB_UNITS_FEET), *squares = gb_squares_text(area);
    g_autofree char *text = g_strdup_printf("%s, %s squares", shown, squares);
    add_pair(list, label, text);
}

/* Areas, then every length that there is; what is steep comes last. */
static json_t *totals_json(const GbRoof *roof, gint64 structure)
{
    json_t *list = json_array();
    g_autofree char *percent = gb_number_text(roof->settings.waste_percent, 3), *waste = g_strdup_printf("With %s %% waste", percent);
    add_area(list, roof, structure, GB_QUANTITY_AREA, "Area");
    add_area(list, roof, structure, GB_QUANTITY_AREA_WITH_WASTE, waste); /* absent where none is set */
    for (guint q = GB_QUANTITY_EAVES; q < GB_QUANTITIES; q++) {
        double feet;
        if (!gb_roof_quantity_worth_listing(roof, structure, (GbRoofQuantity)q, &feet))
            continue;
        g_autofree char *label = heading_of(gb_roof_quantity_word((GbRoofQuantity)q)), *text = gb_length_text(feet * 12, GB_UNITS_FEET);
        add_pair(list, label, text);
    }
    for (guint b = 0; b < roof->settings.n_bands; b++) {
        double area = gb_roof_band_area_sqft(roof, structure, b);
        g_autofree char *band = gb_steep_band_text(&roof->settings.bands[b]), *label = g_strdup_printf("Steep, %s", band),
                        *text = gb_area_text(area, GB_UNITS_FEET);
        if (area > 0)
            add_pair(list, label, text);
    }
    return list;
}

static json_t *faults_json(const GbRoof *roof, gint64 structure)
{
    json_t *list = json_array();
    for (guint i = 0; i < roof->faults->len; i++) {
        const GbRoofFault *fault = roof->faults->pdata[i];
        g_autofree char *text = heading_of(fault->text);
        if (fault->structure == structure)
            json_array_append_new(list, json_string(text));
    }
    return list;
}

static json_t *structure_json(const GbRoof *roof, gint64 structure)
{
    const char *name = "";
    for (guint i = 0; i < roof->entries->len; i++) {
        const GbRoofEntry *entry = roof->entries->pdata[i];
        name = entry->structure == structure ? entry->structure_name : name;
    }
    g_autofree char *title = g_strdup_printf("Roof of the %s", name), *plan_title = g_strconcat(title, ", seen from above", NULL),
                    *id = g_strdup_printf("roof-%" G_GINT64_FORMAT, structure);
    g_autofree char *plan = gb_roof_plan_svg(roof, structure, plan_title, GB_UNITS_FEET);
    json_t *object = json_object();
    gb_put_text(object, "id", id);
    gb_put_text(object, "title", title);
    gb_put_text(object, "plan", plan);
    json_object_set_new(object, "entries", entries_json(roof, structure));
    json_object_set_new(object, "slopes", slopes_json(roof, structure));
    json_object_set_new(object, "totals", totals_json(roof, structure));
    json_object_set_new(object, "contradictions", faults_json(roof, structure));
    return object;
}

void gb_model_put_roof(json_t *model, const GbRoof *roof)
{
    if (roof->entries->len == 0)
        return;
    g_autoptr(GArray) ids = gb_roof_structures(roof);
    json_t *object = json_object(), *structures = json_array();
    if (gb_roof_is_steep(roof, 0))
        gb_put_text(object, "caution", gb_roof_steep_caution());
    for (guint i = 0; i < ids->len; i++)
        json_array_append_new(structures, structure_json(roof, g_array_index(ids, gint64, i)));
    json_object_set_new(object, "roofs", structures);
    json_object_set_new(model, "roof", object);
}
