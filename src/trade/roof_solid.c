/* roof_solid.c -- a whole roof on a rectangle, taken apart into slopes. See roof.h.
 *
 * One pitch all round. The roof planes go on beyond the walls, so overhangs only make the rectangle bigger. All lines of the roof
 * seen from above are parallel to the walls or at 45 degrees (a hip between equal pitches): every slope is known in plan, and
 * its height up the surface is its plan depth times the pitch multiplier.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "trade/roof-private.h"

#include <gablebook/error.h>
#include <gablebook/measure.h>
#include <math.h>

typedef struct {
    const GbRoofEntry *entry;
    double along, across; /* the rectangle under the roof, overhangs included: along the ridge, across it */
    double m;             /* surface length of one unit of run */
    gboolean to_rear;     /* the ridge runs from front to rear */
} Solid;

static gboolean refuse(GError **error, const char *text)
{
    g_set_error_literal(error, GB_ERROR, GB_ERROR_SYNTAX, text);
    return FALSE;
}

static double or_nothing(const GbRoofValue *value)
{
    return isnan(value->number) ? 0 : value->number;
}

static gboolean measure(Solid *solid, GError **error)
{
    const GbRoofValue *given = solid->entry->given;
    GbRoofShape shape = solid->entry->shape;
    double width = given[GB_GIVEN_WIDTH].number, depth = given[GB_GIVEN_DEPTH].number;
    if (isnan(width) || isnan(depth) || isnan(given[GB_GIVEN_PITCH].number))
        return refuse(error, "a whole roof needs the width and the depth of its walls and its pitch");
    double eaves = or_nothing(&given[GB_GIVEN_OVERHANG]), rakes = eaves;
    if (!isnan(given[GB_GIVEN_RAKE_OVERHANG].number))
        rakes = given[GB_GIVEN_RAKE_OVERHANG].number;
    solid->to_rear = shape == GB_ROOF_HIP ? depth > width : solid->entry->ridge_to_rear; /* a hip roof's ridge has no choice */
    solid->along = (solid->to_rear ? depth : width) + 2 * (shape == GB_ROOF_GABLE ? rakes : eaves);
    solid->across = (solid->to_rear ? width : depth) + 2 * eaves;
    solid->m = gb_pitch_multiplier(given[GB_GIVEN_PITCH].number);
    return TRUE;
}

static void finish(GbRoofSlope *slope, GPtrArray *slopes)
{
    gb_roof_slope_close(slope);
    g_ptr_array_add(slopes, slope);
}

/* A slope that leans in by lean at both ends; sides that lean are hips. */
static void add_plain(const Solid *solid, GbFace face, double eave, double run, double lean, GbEdge side, GbEdge top, GPtrArray *slopes)
{
    GbRoofSlope *slope = gb_roof_slope_new(solid->entry, face);
    double up = run * solid->m;
    gb_roof_slope_corner(slope, 0, 0, GB_EDGE_EAVE);
    gb_roof_slope_corner(slope, eave, 0, side);
    if (eave - 2 * lean > 1e-6)
        gb_roof_slope_corner(slope, eave - lean, up, top);
    gb_roof_slope_corner(slope, lean, up, side);
    finish(slope, slopes);
}

/* A main slope of a dutch gable: hips up to the gablets, rakes from there to the ridge. */
static void add_shouldered(const Solid *solid, GbFace face, double gablet, GPtrArray *slopes)
{
    GbRoofSlope *slope = gb_roof_slope_new(solid->entry, face);
    double eave = solid->along, shoulder = gablet * solid->m, up = solid->across / 2 * solid->m;
    gb_roof_slope_corner(slope, 0, 0, GB_EDGE_EAVE);
    gb_roof_slope_corner(slope, eave, 0, GB_EDGE_HIP);
    gb_roof_slope_corner(slope, eave - gablet, shoulder, GB_EDGE_RAKE);
    gb_roof_slope_corner(slope, eave - gablet, up, GB_EDGE_RIDGE);
    gb_roof_slope_corner(slope, gablet, up, GB_EDGE_RAKE);
    gb_roof_slope_corner(slope, gablet, shoulder, GB_EDGE_HIP);
    finish(slope, slopes);
}

static void add_main(const Solid *solid, GbFace face, GPtrArray *slopes)
{
    double half = solid->across / 2;
    switch (solid->entry->shape) {
    case GB_ROOF_GABLE:
        add_plain(solid, face, solid->along, half, 0, GB_EDGE_RAKE, GB_EDGE_RIDGE, slopes);
        break;
    case GB_ROOF_HIP:
        add_plain(solid, face, solid->along, half, half, GB_EDGE_HIP, GB_EDGE_RIDGE, slopes);
        break;
    default:
        add_shouldered(solid, face, solid->entry->given[GB_GIVEN_GABLET].number, slopes);
        break;
    }
}

static void add_end(const Solid *solid, GbFace face, GPtrArray *slopes)
{
    if (solid->entry->shape == GB_ROOF_GABLE)
        return;
    double gablet = solid->entry->given[GB_GIVEN_GABLET].number, half = solid->across / 2;
    double run = solid->entry->shape == GB_ROOF_HIP ? half : gablet;
    add_plain(solid, face, solid->across, run, run, GB_EDGE_HIP, GB_EDGE_WALL, slopes); /* the gablet's wall */
}

static gboolean gablet_fits(const Solid *solid, GError **error)
{
    double gablet = solid->entry->given[GB_GIVEN_GABLET].number;
    if (isnan(gablet))
        return refuse(error, "a dutch gable needs how far its small gables stand in from the end eaves");
    if (2 * gablet < solid->across && 2 * gablet < solid->along)
        return TRUE;
    g_autofree char *most = gb_length_text(MIN(solid->across, solid->along) / 2, GB_UNITS_FEET);
    g_autofree char *text = g_strdup_printf("the small gables must stand in less than %s from the end eaves: there the hips meet", most);
    return refuse(error, text);
}

gboolean gb_roof_compute_whole(const GbRoofEntry *entry, GPtrArray *slopes, GError **error)
{
    Solid solid = { .entry = entry };
    if (!measure(&solid, error) || (entry->shape == GB_ROOF_DUTCH_GABLE && !gablet_fits(&solid, error)))
        return FALSE;
    for (int face = 0; face < GB_FACES; face++) {
        gboolean at_front_or_rear = face == GB_FACE_FRONT || face == GB_FACE_REAR;
        if (at_front_or_rear != solid.to_rear)
            add_main(&solid, (GbFace)face, slopes);
        else
            add_end(&solid, (GbFace)face, slopes);
    }
    return TRUE;
}
