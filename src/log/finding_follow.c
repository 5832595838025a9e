/* finding_follow.c -- the amounts of findings that follow a measurement of the roof: gb_findings_follow, see finding.h.
 *
 * Nothing of this is stored: it is worked out at every load, so a finding changes with what was measured and there is
 * one truth.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <gablebook/finding.h>

#include <gablebook/error.h>
#include <math.h>

static gboolean fail(GError **error, const char *why)
{
    g_set_error_literal(error, GB_ERROR, GB_ERROR_STATE, why);
    return FALSE;
}

/* The slope of that face, or NULL. */
static const GbPlace *find_slope(const GPtrArray *places, gint64 structure, GbFace face)
{
    for (guint i = 0; i < places->len; i++) {
        const GbPlace *place = places->pdata[i];
        if (place->structure == structure && place->kind == GB_PLACE_SLOPE && place->face == face)
            return place;
    }
    return NULL;
}

/* Which part of a roof a place speaks of: a slope of itself, an elevation of the slope above it (its gutter hangs at
 * that eave), the roof and the structure as a whole of all slopes. slope 0: all. */
static gboolean part_of(const GbPlace *place, const GPtrArray *places, gint64 *slope, GError **error)
{
    const GbPlace *above;
    *slope = 0;
    switch (place->kind) {
    case GB_PLACE_SLOPE:
        *slope = place->id;
        return TRUE;
    case GB_PLACE_ELEVATION:
        above = find_slope(places, place->structure, place->face);
        *slope = above != NULL ? above->id : 0;
        return above != NULL || fail(error, "this side has no roof slope above it");
    case GB_PLACE_ROOF:
    case GB_PLACE_WHOLE:
        return TRUE;
    case GB_PLACE_SITE:
    case GB_PLACE_ROOM:
    case GB_PLACE_KINDS:
        break;
    }
    return fail(error, "a roof's measurements say nothing of this place");
}

static gboolean to_unit(GbFinding *finding, double measured, GbUnit unit, GError **error)
{
    GbUnit wanted = finding->unit != GB_UNIT_NONE ? finding->unit : unit;
    if (gb_unit_convert(measured, unit, wanted, &finding->amount)) {
        finding->unit = wanted;
        return TRUE;
    }
    g_set_error(error, GB_ERROR, GB_ERROR_STATE, "'%s' is measured in %s, which can't be had in %s", finding->measure, gb_unit_code(unit),
                gb_unit_code(wanted));
    return FALSE;
}

static gboolean follow(GbFinding *finding, const GPtrArray *places, const GbRoof *roof, GError **error)
{
    GbRoofQuantity quantity;
    GbUnit unit;
    gint64 slope;
    double measured;
    const GbPlace *place = gb_places_by_id(places, finding->place);
    if (!gb_roof_quantity_parse(finding->measure, &quantity, error) ||
        !gb_unit_from_code(gb_roof_quantity_unit(quantity), &unit)) /* always is one */
        return FALSE;
    return place != NULL && part_of(place, places, &slope, error) &&
           gb_roof_quantity(roof, place->structure, slope, quantity, &measured, error) && to_unit(finding, measured, unit, error);
}

void gb_findings_follow(const GPtrArray *findings, const GPtrArray *places, const GbRoof *roof)
{
    for (guint i = 0; i < findings->len; i++) {
        GbFinding *finding = findings->pdata[i];
        g_autoptr(GError) why = NULL;
        if (finding->measure == NULL || follow(finding, places, roof, &why))
            continue;
        finding->amount = NAN;
        g_free(finding->not_followed);
        finding->not_followed = g_strdup(why != NULL ? why->message : "its place is gone");
    }
}
