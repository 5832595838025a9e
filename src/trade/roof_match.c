/* roof_match.c -- which two edges are one line of the roof, and do they agree? See roof.h.
 *
 * Faces stand in the order of the walk: front, right, rear, left. Seen from outside, the right side of a slope meets the left side
 * of the next one in a hip. A ridge lies between opposite faces, a break between two slopes of one face, a valley between two
 * faces round a corner, often of two sections. Of several edges that would do, the one nearest in length is taken.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "trade/roof-private.h"

#include <gablebook/measure.h>
#include <math.h>

gboolean gb_roof_differ(double a_in, double b_in)
{
    return fabs(a_in - b_in) > MAX(3, 0.01 * MAX(a_in, b_in));
}

/* One edge of one slope. */
typedef struct {
    gint slope, edge;
    const GbRoofSlope *of;
    const GbSlopeEdge *it;
} End;

static gboolean is_shared(const GbRoofSlope *slope, GbEdge kind)
{
    return kind == GB_EDGE_VALLEY || (!slope->cut_out && (kind == GB_EDGE_RIDGE || kind == GB_EDGE_HIP || kind == GB_EDGE_BREAK));
}

/* The edge leads up (the polygon runs anticlockwise): a right side. */
static gboolean is_right(const End *end)
{
    return end->of->y_in[(end->edge + 1) % (gint)end->of->n] > end->of->y_in[end->edge] + 1e-6;
}

static gboolean is_bottom(const End *end)
{
    return end->of->y_in[(end->edge + 1) % (gint)end->of->n] < 1e-6 && end->of->y_in[end->edge] < 1e-6;
}

static gboolean same_section(const End *a, const End *b)
{
    return g_ascii_strcasecmp(a->of->entry->section, b->of->entry->section) == 0;
}

static gboolean can_meet(const End *a, const End *b)
{
    if (a->slope == b->slope || a->it->kind != b->it->kind || a->of->structure != b->of->structure)
        return FALSE;
    guint turn = (guint)((int)b->of->face - (int)a->of->face + GB_FACES) % GB_FACES; /* faces from a on to b */
    switch (a->it->kind) {
    case GB_EDGE_RIDGE:
        return same_section(a, b) && turn == 2;
    case GB_EDGE_HIP:
        return same_section(a, b) && ((turn == 1 && is_right(a) && !is_right(b)) || (turn == 3 && !is_right(a) && is_right(b)));
    case GB_EDGE_VALLEY:
        return turn % 2 == 1;
    case GB_EDGE_BREAK:
        return same_section(a, b) && turn == 0 && is_bottom(a) != is_bottom(b);
    default:
        return FALSE;
    }
}

static GArray *shared_edges(const GPtrArray *slopes)
{
    GArray *ends = g_array_new(FALSE, FALSE, sizeof(End));
    for (guint i = 0; i < slopes->len; i++) {
        const GbRoofSlope *slope = slopes->pdata[i];
        for (guint e = 0; e < slope->n; e++) {
            const End end = { (gint)i, (gint)e, slope, &slope->edges[e] };
            if (is_shared(slope, end.it->kind))
                g_array_append_val(ends, end);
        }
    }
    return ends;
}

static void mate(GPtrArray *slopes, const End *a, const End *b)
{
    GbRoofSlope *first = slopes->pdata[a->slope], *second = slopes->pdata[b->slope];
    first->edges[a->edge].mate_slope = b->slope;
    first->edges[a->edge].mate_edge = b->edge;
    second->edges[b->edge].mate_slope = a->slope;
    second->edges[b->edge].mate_edge = a->edge;
}

/* How far an edge climbs; NAN where the pitch is not known. */
static double rise_of(const End *end)
{
    double dy = end->of->y_in[(end->edge + 1) % (gint)end->of->n] - end->of->y_in[end->edge];
    return fabs(dy) * sin(gb_pitch_degrees(end->of->pitch) * G_PI / 180);
}

static void compare(GPtrArray *faults, const End *a, const End *b)
{
    const char *word = gb_edge_word(a->it->kind);
    double first = a->it->length_in, second = b->it->length_in;
    g_autofree char *one = gb_length_text(first, GB_UNITS_FEET), *two = gb_length_text(second, GB_UNITS_FEET);
    if (gb_roof_differ(first, second)) {
        gb_roof_fault(faults, a->of->structure, a->slope, b->slope, "the %s between %s and %s is %s on the one and %s on the other", word,
                      a->of->label, b->of->label, one, two);
        return;
    }
    first = rise_of(a), second = rise_of(b);
    if (a->it->kind == GB_EDGE_RIDGE || a->it->kind == GB_EDGE_BREAK || isnan(first) || isnan(second) || !gb_roof_differ(first, second))
        return;
    g_autofree char *high = gb_length_text(first, GB_UNITS_FEET), *low = gb_length_text(second, GB_UNITS_FEET);
    gb_roof_fault(faults, a->of->structure, a->slope, b->slope, "by their pitches the %s between %s and %s rises %s on the one and %s on the other",
                  word, a->of->label, b->of->label, high, low);
}

static void alone(GPtrArray *faults, const End *end)
{
    g_autofree char *length = gb_length_text(end->it->length_in, GB_UNITS_FEET);
    const char *where = end->it->kind == GB_EDGE_HIP || end->it->kind == GB_EDGE_VALLEY ? is_right(end) ? "right " : "left " : "";
    gb_roof_fault(faults, end->of->structure, end->slope, -1, "%s: no slope is entered on the other side of its %s%s of %s", end->of->label, where,
                  gb_edge_word(end->it->kind), length);
}

void gb_roof_match(GPtrArray *slopes, GPtrArray *faults)
{
    g_autoptr(GArray) ends = shared_edges(slopes);
    for (guint i = 0; i < ends->len; i++) {
        const End *a = &g_array_index(ends, End, i), *best = NULL;
        if (a->it->mate_slope >= 0)
            continue;
        for (guint j = i + 1; j < ends->len; j++) {
            const End *b = &g_array_index(ends, End, j);
            if (b->it->mate_slope < 0 && can_meet(a, b) &&
                (best == NULL || fabs(b->it->length_in - a->it->length_in) < fabs(best->it->length_in - a->it->length_in)))
                best = b;
        }
        if (best == NULL) {
            alone(faults, a);
            continue;
        }
        mate(slopes, a, best);
        compare(faults, a, best);
    }
}
