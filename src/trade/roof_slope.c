/* roof_slope.c -- one slope by its shape. See roof.h.
 *
 * Eave and ridge are level, so a slope with straight sides is fixed by four lengths: eave, ridge, the height up the surface,
 * and how far its upper left corner stands in from its lower left one ("lean"). The first three are measured; the leans come
 * from measured sides, or from what the sides are. What was measured beyond need is held against what follows, and a
 * difference is a fault, never silently mended.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "trade/roof-private.h"

#include <gablebook/error.h>
#include <gablebook/measure.h>
#include <math.h>

#define SQIN_PER_SQFT 144.0

/* --- polygons --- */

GbRoofSlope *gb_roof_slope_new(const GbRoofEntry *entry, GbFace face)
{
    GbRoofSlope *slope = g_new0(GbRoofSlope, 1);
    slope->entry = entry;
    slope->face = face;
    slope->structure = entry->structure;
    slope->place = entry->places[face];
    slope->cut_out = entry->cut_out;
    slope->pitch = entry->given[GB_GIVEN_PITCH].number;
    slope->band = -1;
    g_autofree char *place = gb_place_label(GB_PLACE_SLOPE, entry->structure_name != NULL ? entry->structure_name : "dwelling",
                                            entry->structure_name == NULL || entry->on_dwelling, face, NULL);
    gboolean main_section = g_ascii_strcasecmp(entry->section, "main") == 0;
    slope->label = g_strdup_printf("%s%s%s%s%s", place, main_section ? "" : " (", main_section ? "" : entry->section, main_section ? "" : ")",
                                   entry->cut_out ? ", cut out" : "");
    return slope;
}

void gb_roof_slope_free(gpointer data)
{
    GbRoofSlope *slope = data;
    if (slope == NULL)
        return;
    g_free(slope->label);
    g_free(slope);
}

void gb_roof_slope_corner(GbRoofSlope *slope, double x_in, double y_in, GbEdge kind)
{
    g_assert(slope->n < GB_SLOPE_CORNERS);
    slope->x_in[slope->n] = x_in;
    slope->y_in[slope->n] = y_in;
    slope->edges[slope->n++] = (GbSlopeEdge){ .kind = kind, .mate_slope = -1, .mate_edge = -1 };
}

void gb_roof_slope_close(GbRoofSlope *slope)
{
    double twice_area = 0;
    for (guint i = 0; i < slope->n; i++) {
        guint j = (i + 1) % slope->n;
        twice_area += slope->x_in[i] * slope->y_in[j] - slope->x_in[j] * slope->y_in[i];
        slope->edges[i].length_in = hypot(slope->x_in[j] - slope->x_in[i], slope->y_in[j] - slope->y_in[i]);
        slope->up_in = MAX(slope->up_in, slope->y_in[i]);
    }
    slope->area_sqft = twice_area / 2 / SQIN_PER_SQFT;
}

/* --- from measurements --- */

typedef struct {
    const GbRoofEntry *entry;
    const char *label;
    GPtrArray *faults;
    double eave, ridge, up, run, pitch;
    double left, right;           /* measured sides; NAN: not measured */
    double left_lean, right_lean; /* how far the upper corner stands in from the lower one */
} Shape;

static gboolean G_GNUC_PRINTF(2, 3) fail(GError **error, const char *format, ...)
{
    va_list more;
    va_start(more, format);
    g_autofree char *text = g_strdup_vprintf(format, more);
    va_end(more);
    g_set_error_literal(error, GB_ERROR, GB_ERROR_SYNTAX, text);
    return FALSE;
}

/* "LABEL: " and what doesn't fit; each # in text stands for the next of the lengths. */
static void doubt(const Shape *shape, const char *text, const double *lengths_in)
{
    g_autoptr(GString) out = g_string_new(NULL);
    for (const char *p = text; *p != '\0'; p++) {
        g_autofree char *length = *p == '#' ? gb_length_text(*lengths_in++, GB_UNITS_FEET) : NULL;
        if (length != NULL)
            g_string_append(out, length);
        else
            g_string_append_c(out, *p);
    }
    gb_roof_fault(shape->faults, shape->entry->structure, -1, -1, "%s: %s", shape->label, out->str);
}

/* Eave and ridge: one of them may be nothing in a triangle, or not measured where the shape makes them alike. */
static gboolean find_widths(Shape *shape, GError **error)
{
    gboolean no_eave = isnan(shape->eave), no_ridge = isnan(shape->ridge);
    const char *word = gb_roof_shape_word(shape->entry->shape);
    if (no_eave && no_ridge)
        return fail(error, "a %s needs the length of its eave", word);
    switch (shape->entry->shape) {
    case GB_ROOF_TRIANGLE:
        if (!no_eave && !no_ridge)
            return fail(error, "a triangle has an eave or a ridge, not both; with both it is a trapezoid");
        shape->eave = no_eave ? 0 : shape->eave;
        shape->ridge = no_ridge ? 0 : shape->ridge;
        return TRUE;
    case GB_ROOF_TRAPEZOID:
        if (no_eave || no_ridge)
            return fail(error, "a trapezoid needs its eave and its ridge");
        return TRUE;
    default:
        shape->eave = no_eave ? shape->ridge : shape->eave;
        shape->ridge = no_ridge ? shape->eave : shape->ridge;
        if (gb_roof_differ(shape->eave, shape->ridge))
            doubt(shape, "its shape has an eave and a ridge alike, but they are # and #", (const double[]){ shape->eave, shape->ridge });
        return TRUE;
    }
}

/* A triangle's height over its base from three sides. Source: law of cosines. */
static gboolean height_from_sides(Shape *shape, GError **error)
{
    double base = MAX(shape->eave, shape->ridge), left = shape->left, right = shape->right;
    double foot = (base * base + left * left - right * right) / (2 * base), square = left * left - foot * foot;
    if (!(square > 1)) { /* flatter than an inch: no triangle */
        g_autofree char *a = gb_length_text(base, GB_UNITS_FEET), *b = gb_length_text(left, GB_UNITS_FEET),
                        *c = gb_length_text(right, GB_UNITS_FEET);
        return fail(error, "no triangle has sides of %s, %s and %s", a, b, c);
    }
    shape->up = sqrt(square);
    return TRUE;
}

static gboolean find_height(Shape *shape, GError **error)
{
    gboolean level = !isnan(shape->run), pitched = !isnan(shape->pitch);
    double follows = level && pitched ? shape->run * gb_pitch_multiplier(shape->pitch) : (double)NAN;
    if (isnan(shape->up) && !isnan(follows))
        shape->up = follows;
    else if (!isnan(follows) && gb_roof_differ(shape->up, follows))
        doubt(shape, "# up the slope doesn't fit a run of # at its pitch, which makes #", (const double[]){ shape->up, shape->run, follows });
    if (isnan(shape->up) && shape->entry->shape == GB_ROOF_TRIANGLE && !isnan(shape->left) && !isnan(shape->right) &&
        !height_from_sides(shape, error))
        return FALSE;
    if (isnan(shape->up))
        return fail(error, "a %s needs how far it goes up the slope, or its run seen from above and its pitch%s",
                    gb_roof_shape_word(shape->entry->shape), shape->entry->shape == GB_ROOF_TRIANGLE ? ", or both its sides" : "");
    if (level && !pitched && shape->up < shape->run)
        doubt(shape, "# up the slope can't be less than its run of # seen from above", (const double[]){ shape->up, shape->run });
    else if (level && !pitched)
        shape->pitch = 12 * sqrt(shape->up * shape->up - shape->run * shape->run) / shape->run;
    else if (!level && pitched)
        shape->run = shape->up / gb_pitch_multiplier(shape->pitch);
    return TRUE;
}

/* --- the sides --- */

static gboolean is_straight(GbEdge kind)
{
    return kind == GB_EDGE_RAKE || kind == GB_EDGE_WALL;
}

/* Going up, a hip leads inward; a valley leads outward, but around what is cut out inward too. */
static double way(const Shape *shape, GbEdge kind)
{
    return kind == GB_EDGE_VALLEY && !shape->entry->cut_out ? -1 : 1;
}

/* The lean of a measured side, without its sign. */
static double lean_of(Shape *shape, double side)
{
    if (isnan(side))
        return NAN;
    if (side < shape->up && gb_roof_differ(side, shape->up))
        doubt(shape, "a side of # is shorter than the # straight up the slope", (const double[]){ side, shape->up });
    return side > shape->up ? sqrt(side * side - shape->up * shape->up) : 0;
}

/* Both leans are known but for their signs: take those that come nearest to closing the shape, then close it. */
static void close_both(Shape *shape, double left, double right, double both)
{
    const double signs[][2] = { { way(shape, shape->entry->left), way(shape, shape->entry->right) }, { 1, 1 }, { 1, -1 }, { -1, 1 }, { -1, -1 } };
    double best = INFINITY;
    for (guint i = 0; i < G_N_ELEMENTS(signs); i++) {
        double rest = both - signs[i][0] * left - signs[i][1] * right;
        if (fabs(rest) > fabs(best) - 1e-6)
            continue;
        best = rest;
        shape->left_lean = signs[i][0] * left + rest / 2;
        shape->right_lean = signs[i][1] * right + rest / 2;
    }
    double left_is = hypot(shape->up, shape->left_lean), right_is = hypot(shape->up, shape->right_lean);
    double left_was = hypot(shape->up, left), right_was = hypot(shape->up, right);
    if (gb_roof_differ(left_is, left_was) || gb_roof_differ(right_is, right_was))
        doubt(shape, "sides of # and # don't fit its eave, ridge and height, which make about # and #",
              (const double[]){ left_was, right_was, left_is, right_is });
}

static gboolean close_by_kind(Shape *shape, double both, GError **error)
{
    GbEdge left = shape->entry->left, right = shape->entry->right;
    gboolean mixed = (left == GB_EDGE_HIP) != (right == GB_EDGE_HIP) || shape->entry->shape == GB_ROOF_PARALLELOGRAM;
    if (!mixed) { /* both alike */
        shape->left_lean = shape->right_lean = both / 2;
        return TRUE;
    }
    /* Between two slopes of one pitch a hip or valley runs at 45 degrees seen from above: it leans by the run. */
    if (isnan(shape->run) || is_straight(left))
        return fail(error, "a %s with a %s and a %s needs the length of its left side%s", gb_roof_shape_word(shape->entry->shape), gb_edge_word(left),
                    gb_edge_word(right), is_straight(left) ? "" : ", or its pitch where both slopes have the same");
    shape->left_lean = way(shape, left) * shape->run;
    shape->right_lean = both - shape->left_lean;
    return TRUE;
}

static gboolean find_sides(Shape *shape, GError **error)
{
    double both = shape->eave - shape->ridge, left = lean_of(shape, shape->left), right = lean_of(shape, shape->right);
    gboolean left_straight = is_straight(shape->entry->left), right_straight = is_straight(shape->entry->right);
    gboolean rectangle = shape->entry->shape == GB_ROOF_RECTANGLE, measured = !isnan(left) || !isnan(right);
    /* A rake beside a hip goes straight up: all the lean is the hip's. */
    if (isnan(left) && (rectangle ? measured : left_straight && !right_straight))
        left = 0;
    if (isnan(right) && (rectangle ? measured : right_straight && !left_straight))
        right = 0;
    if (rectangle && !measured)
        shape->left_lean = shape->right_lean = both / 2;
    else if (isnan(left) && isnan(right))
        return close_by_kind(shape, both, error);
    else if (!isnan(left) && !isnan(right))
        close_both(shape, left, right, both);
    else if (!isnan(left))
        shape->right_lean = both - (shape->left_lean = way(shape, shape->entry->left) * left);
    else
        shape->left_lean = both - (shape->right_lean = way(shape, shape->entry->right) * right);
    return TRUE;
}

/* A measured side keeps its own length, whatever the polygon makes of it. */
static GbRoofSlope *slope_of(const Shape *shape)
{
    const GbRoofEntry *entry = shape->entry;
    GbRoofSlope *slope = gb_roof_slope_new(entry, entry->face);
    int left = -1, right = -1;
    double upper_left = shape->left_lean;
    if (shape->eave > 0)
        gb_roof_slope_corner(slope, 0, 0, entry->bottom);
    right = (int)slope->n;
    gb_roof_slope_corner(slope, shape->eave, 0, entry->right);
    if (shape->ridge > 0)
        gb_roof_slope_corner(slope, upper_left + shape->ridge, shape->up, entry->top);
    left = (int)slope->n;
    gb_roof_slope_corner(slope, upper_left, shape->up, entry->left);
    gb_roof_slope_close(slope);
    slope->pitch = shape->pitch;
    if (!isnan(shape->left))
        slope->edges[left].length_in = shape->left;
    if (!isnan(shape->right))
        slope->edges[right].length_in = shape->right;
    return slope;
}

gboolean gb_roof_compute_shape(const GbRoofEntry *entry, GPtrArray *slopes, GPtrArray *faults, GError **error)
{
    GbRoofSlope *named = gb_roof_slope_new(entry, entry->face);
    const GbRoofValue *given = entry->given;
    Shape shape = { .entry = entry, .label = named->label, .faults = faults, .eave = given[GB_GIVEN_EAVE].number,
                    .ridge = given[GB_GIVEN_RIDGE].number, .up = given[GB_GIVEN_UP].number, .run = given[GB_GIVEN_RUN].number,
                    .pitch = given[GB_GIVEN_PITCH].number, .left = given[GB_GIVEN_LEFT].number, .right = given[GB_GIVEN_RIGHT].number };
    gboolean ok = find_widths(&shape, error) && find_height(&shape, error) && find_sides(&shape, error);
    if (ok)
        g_ptr_array_add(slopes, slope_of(&shape));
    gb_roof_slope_free(named);
    return ok;
}
