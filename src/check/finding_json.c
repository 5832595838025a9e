/* finding_json.c -- findings as JSON: gb_findings_json, see finding.h.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <gablebook/finding.h>

#include <math.h>

static json_t *text_or_null(const char *text)
{
    return text != NULL ? json_string(text) : json_null();
}

static json_t *finding_json(const GbFinding *finding, const GPtrArray *places, const GbComponents *components)
{
    const GbPlace *place = gb_places_by_id(places, finding->place);
    json_t *shots = json_array();
    for (guint i = 0; i < finding->shots->len; i++)
        json_array_append_new(shots, json_integer(g_array_index(finding->shots, gint64, i)));
    return json_pack("{sI so so so so so so so so so so so}",
        "number", (json_int_t)finding->number, "place", text_or_null(place != NULL ? place->label : NULL),
        "component", text_or_null(gb_finding_component_name(finding, components)), "cause", text_or_null(finding->cause),
        "action", text_or_null(finding->action), "quantity", text_or_null(finding->quantity),
        "amount", isfinite(finding->amount) ? json_real(finding->amount) : json_null(),
        "unit", text_or_null(finding->unit == GB_UNIT_NONE ? NULL : gb_unit_code(finding->unit)),
        "measure", text_or_null(finding->measure), "why_no_amount", text_or_null(finding->not_followed),
        "note", text_or_null(finding->note), "shots", shots);
}

json_t *gb_findings_json(const GPtrArray *findings, const GPtrArray *places, const GbComponents *components)
{
    json_t *list = json_array();
    for (guint i = 0; i < findings->len; i++)
        json_array_append_new(list, finding_json(findings->pdata[i], places, components));
    return list;
}
