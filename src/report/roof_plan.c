/* roof_plan.c -- see roof_plan.h.
 *
 * A section of the roof is a box seen from above, front below. Every slope is laid with its lower edge on its side of the box and shrunk
 * by its pitch to what is seen from above; where the measurements fit together, the slopes then meet by themselves, and nothing
 * here needs to know gables from hips. Sections stand side by side.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <gablebook/roof_plan.h>

#include <gablebook/escape.h>
#include <math.h>

#define WIDTH 640.0
#define HEIGHT_MAX 430.0
#define MARGIN 42.0   /* room for the lengths of eaves outside */
#define GAP_IN 96.0   /* between sections */
#define LEAST_LABELLED 46.0
#define TEXT_PX 13.0
#define SMALL_PX 11.0
#define LINES "Thick: eave. Thin: ridge, hip. Dashed: rake, break, high edge. Dash and dot: valley. Dotted: wall. Hatched: steep."

typedef struct {
    double x, y;
} Point;

/* One slope as it lies in the plan; inches, y to the rear. */
typedef struct {
    const GbRoofSlope *slope;
    guint index, number;
    Point corners[GB_SLOPE_CORNERS];
} Laid;

typedef struct {
    const char *name;
    GArray *laid; /* of Laid */
    double width, depth;
    double x0; /* where its left wall stands */
} Section;

typedef struct {
    const GbRoof *roof;
    gint64 structure;
    GbUnits units;
    GPtrArray *sections;
    double left, bottom, scale, height;
    GString *out;
} Plan;

static void free_section(gpointer data)
{
    Section *section = data;
    g_array_unref(section->laid);
    g_free(section);
}

static void free_plan(Plan *plan)
{
    g_clear_pointer(&plan->sections, g_ptr_array_unref);
    if (plan->out != NULL)
        g_string_free(plan->out, TRUE);
}
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(Plan, free_plan)

/* --- laying out --- */

/* Seen from above a slope is shorter by its pitch. */
static double shrink(const GbRoofSlope *slope)
{
    return isnan(slope->pitch) ? 1 : 1 / gb_pitch_multiplier(slope->pitch);
}

static void width_of(const GbRoofSlope *slope, double *least, double *most)
{
    *least = *most = slope->x_in[0];
    for (guint i = 1; i < slope->n; i++) {
        *least = MIN(*least, slope->x_in[i]);
        *most = MAX(*most, slope->x_in[i]);
    }
}

/* How far the slopes of a face reach in: one after the other where a break lies between. */
static double run_before(const Section *section, guint upto)
{
    const GbRoofSlope *slope = g_array_index(section->laid, Laid, upto).slope;
    double run = 0;
    if (slope->entry->bottom != GB_EDGE_BREAK || slope->n < 3 || slope->edges[0].kind != GB_EDGE_BREAK)
        return 0;
    for (guint i = 0; i < section->laid->len; i++) {
        const GbRoofSlope *below = g_array_index(section->laid, Laid, i).slope;
        for (guint e = 0; e < below->n && i != upto; e++)
            if (below->face == slope->face && !below->cut_out && below->edges[e].kind == GB_EDGE_BREAK && e > 0)
                run = MAX(run, below->up_in * shrink(below));
    }
    return run;
}

static void measure_box(Section *section)
{
    double run[GB_FACES] = { 0 }, wide[GB_FACES] = { 0 };
    for (guint i = 0; i < section->laid->len; i++) {
        const GbRoofSlope *slope = g_array_index(section->laid, Laid, i).slope;
        double least, most;
        width_of(slope, &least, &most);
        wide[slope->face] = MAX(wide[slope->face], most - least);
        run[slope->face] = MAX(run[slope->face], run_before(section, i) + slope->up_in * shrink(slope));
    }
    section->width = MAX(MAX(wide[GB_FACE_FRONT], wide[GB_FACE_REAR]), run[GB_FACE_RIGHT] + run[GB_FACE_LEFT]);
    section->depth = MAX(MAX(wide[GB_FACE_RIGHT], wide[GB_FACE_LEFT]), run[GB_FACE_FRONT] + run[GB_FACE_REAR]);
}

/* A point of a slope, u along the eave from the middle, v in from the wall, in the box. */
static Point turn(const Section *section, GbFace face, double u, double v)
{
    switch (face) {
    case GB_FACE_RIGHT:
        return (Point){ section->width - v, section->depth / 2 + u };
    case GB_FACE_REAR:
        return (Point){ section->width / 2 - u, section->depth - v };
    case GB_FACE_LEFT:
        return (Point){ v, section->depth / 2 - u };
    default:
        return (Point){ section->width / 2 + u, v };
    }
}

static void lay(Section *section, guint i)
{
    Laid *laid = &g_array_index(section->laid, Laid, i);
    const GbRoofSlope *slope = laid->slope;
    double least, most, before = run_before(section, i), small = shrink(slope);
    width_of(slope, &least, &most);
    for (guint c = 0; c < slope->n; c++) {
        laid->corners[c] = turn(section, slope->face, slope->x_in[c] - (least + most) / 2, before + slope->y_in[c] * small);
        laid->corners[c].x += section->x0;
    }
}

static Section *section_for(Plan *plan, const char *name)
{
    for (guint i = 0; i < plan->sections->len; i++)
        if (g_ascii_strcasecmp(((Section *)plan->sections->pdata[i])->name, name) == 0)
            return plan->sections->pdata[i];
    Section *section = g_new0(Section, 1);
    section->name = name;
    section->laid = g_array_new(FALSE, FALSE, sizeof(Laid));
    g_ptr_array_add(plan->sections, section);
    return section;
}

static void lay_out(Plan *plan)
{
    guint number = 0;
    for (guint i = 0; i < plan->roof->slopes->len; i++) {
        const GbRoofSlope *slope = plan->roof->slopes->pdata[i];
        if (slope->structure != plan->structure)
            continue;
        const Laid laid = { .slope = slope, .index = i, .number = ++number };
        g_array_append_val(section_for(plan, slope->entry->section)->laid, laid);
    }
    double width = 0, depth = 0;
    for (guint i = 0; i < plan->sections->len; i++) {
        Section *section = plan->sections->pdata[i];
        measure_box(section);
        section->x0 = i > 0 ? width + GAP_IN : 0;
        width = section->x0 + section->width;
        depth = MAX(depth, section->depth);
        for (guint s = 0; s < section->laid->len; s++)
            lay(section, s);
    }
    plan->scale = MIN((WIDTH - 2 * MARGIN) / MAX(width, 1), (HEIGHT_MAX - 2 * MARGIN) / MAX(depth, 1));
    plan->left = (WIDTH - width * plan->scale) / 2;
    plan->height = ceil(depth * plan->scale + 2 * MARGIN + 3 * TEXT_PX);
    plan->bottom = plan->height - MARGIN - 3 * TEXT_PX;
}

/* --- drawing --- */

static Point on_paper(const Plan *plan, Point p)
{
    return (Point){ plan->left + p.x * plan->scale, plan->bottom - p.y * plan->scale };
}

/* printf whose every number is a coordinate: one place, the same in every locale. */
static void put_number(GString *out, double number)
{
    g_autofree char *text = gb_number_text(number, 1);
    g_string_append(out, text);
}

static void put_pair(GString *out, const char *x_name, const char *y_name, Point p)
{
    g_string_append_printf(out, " %s=\"", x_name);
    put_number(out, p.x);
    g_string_append_printf(out, "\" %s=\"", y_name);
    put_number(out, p.y);
    g_string_append_c(out, '"');
}

static void put_text(const Plan *plan, Point at, double turn_deg, double px, const char *text)
{
    GString *out = plan->out;
    g_string_append(out, "<text");
    put_pair(out, "x", "y", at);
    if (fabs(turn_deg) > 0.05) {
        g_string_append(out, " transform=\"rotate(");
        put_number(out, turn_deg);
        g_string_append_c(out, ' ');
        put_number(out, at.x);
        g_string_append_c(out, ' ');
        put_number(out, at.y);
        g_string_append(out, ")\"");
    }
    g_string_append(out, " font-size=\"");
    put_number(out, px);
    g_string_append(out, "\">");
    gb_escape_html(out, text, strlen(text));
    g_string_append(out, "</text>\n");
}

/* Kinds of edge differ by their line, not by colour. */
static const char *line_of(GbEdge kind)
{
    switch (kind) {
    case GB_EDGE_EAVE:
        return "stroke-width=\"3\"";
    case GB_EDGE_RIDGE:
    case GB_EDGE_HIP:
        return "stroke-width=\"1.6\"";
    case GB_EDGE_VALLEY:
        return "stroke-width=\"1.6\" stroke-dasharray=\"9 3 2 3\"";
    case GB_EDGE_WALL:
        return "stroke-width=\"1.6\" stroke-dasharray=\"2 3\"";
    default:
        return "stroke-width=\"1.6\" stroke-dasharray=\"7 3\"";
    }
}

static void put_polygon(const Plan *plan, const Laid *laid)
{
    GString *out = plan->out;
    g_string_append(out, "<polygon points=\"");
    for (guint c = 0; c < laid->slope->n; c++) {
        Point p = on_paper(plan, laid->corners[c]);
        if (c > 0)
            g_string_append_c(out, ' ');
        put_number(out, p.x);
        g_string_append_c(out, ',');
        put_number(out, p.y);
    }
    if (laid->slope->band >= 0 && !laid->slope->cut_out)
        g_string_append_printf(out, "\" fill=\"url(#roof-%" G_GINT64_FORMAT "-steep)\" stroke=\"none\"/>\n", plan->structure);
    else
        g_string_append(out, "\" fill=\"currentColor\" fill-opacity=\"0.05\" stroke=\"none\"/>\n");
}

static void put_edge(const Plan *plan, const Laid *laid, guint e)
{
    Point a = on_paper(plan, laid->corners[e]), b = on_paper(plan, laid->corners[(e + 1) % laid->slope->n]);
    g_string_append(plan->out, "<line");
    put_pair(plan->out, "x1", "y1", a);
    put_pair(plan->out, "x2", "y2", b);
    const char *line = laid->slope->cut_out ? "stroke-width=\"1.2\" stroke-dasharray=\"4 4\"" : line_of(laid->slope->edges[e].kind);
    g_string_append_printf(plan->out, " %s/>\n", line);
}

/* Does the edge's length stand elsewhere already? A line between two slopes is labelled once. */
static gboolean is_second(const Laid *laid, guint e)
{
    gint mate = laid->slope->edges[e].mate_slope;
    return mate >= 0 && (guint)mate < laid->index;
}

/* The length beside the middle of the edge: outside the slope at an eave, inside elsewhere. */
static void put_length(const Plan *plan, const Laid *laid, guint e)
{
    Point a = on_paper(plan, laid->corners[e]), b = on_paper(plan, laid->corners[(e + 1) % laid->slope->n]);
    double dx = b.x - a.x, dy = b.y - a.y, length = hypot(dx, dy);
    if (length < LEAST_LABELLED || is_second(laid, e))
        return;
    /* anticlockwise in the plan: outside is to the right of the way, on paper (y down) at (dy, -dx) turned */
    gboolean outside = laid->slope->edges[e].kind == GB_EDGE_EAVE && !laid->slope->cut_out;
    double away = outside ? 9 : -9, angle = atan2(dy, dx) * 180 / G_PI;
    Point at = { (a.x + b.x) / 2 - dy / length * away, (a.y + b.y) / 2 + dx / length * away };
    if (angle > 90 || angle <= -90)
        angle += angle > 90 ? -180 : 180;
    g_autofree char *text = gb_length_text(laid->slope->edges[e].length_in, plan->units);
    put_text(plan, at, angle, SMALL_PX, text);
}

/* The centre of gravity: inside, for all the shapes that there are. */
static Point centre_of(const Laid *laid)
{
    double area = 0, x = 0, y = 0;
    for (guint i = 0; i < laid->slope->n; i++) {
        Point a = laid->corners[i], b = laid->corners[(i + 1) % laid->slope->n];
        double part = a.x * b.y - b.x * a.y;
        area += part;
        x += (a.x + b.x) * part;
        y += (a.y + b.y) * part;
    }
    return fabs(area) < 1e-9 ? laid->corners[0] : (Point){ x / (3 * area), y / (3 * area) };
}

static gboolean has_cut_out(const Section *section, GbFace face)
{
    for (guint i = 0; i < section->laid->len; i++) {
        const GbRoofSlope *slope = g_array_index(section->laid, Laid, i).slope;
        if (slope->cut_out && slope->face == face)
            return TRUE;
    }
    return FALSE;
}

/* In the middle; where something is cut out there, halfway to the first corner. */
static Point name_point(const Section *section, const Laid *laid)
{
    Point at = centre_of(laid), aside = laid->corners[0];
    if (!laid->slope->cut_out && has_cut_out(section, laid->slope->face))
        at = (Point){ (at.x + aside.x) / 2, (at.y + aside.y) / 2 };
    return at;
}

static void put_name(const Plan *plan, const Section *section, const Laid *laid)
{
    Point at = on_paper(plan, name_point(section, laid));
    g_autofree char *number = g_strdup_printf("%u", laid->number);
    gboolean pitched = !isnan(laid->slope->pitch) && !laid->slope->cut_out;
    if (pitched) {
        g_autofree char *pitch = gb_pitch_text(laid->slope->pitch);
        put_text(plan, (Point){ at.x, at.y + 9 }, 0, SMALL_PX, pitch);
        at.y -= 6;
    }
    g_string_append(plan->out, "<g font-weight=\"700\">");
    put_text(plan, at, 0, TEXT_PX + 2, number);
    g_string_append(plan->out, "</g>\n");
}

static void put_section(const Plan *plan, const Section *section)
{
    for (guint i = 0; i < section->laid->len; i++)
        put_polygon(plan, &g_array_index(section->laid, Laid, i));
    for (guint i = 0; i < section->laid->len; i++) {
        const Laid *laid = &g_array_index(section->laid, Laid, i);
        for (guint e = 0; e < laid->slope->n; e++)
            put_edge(plan, laid, e);
    }
    g_string_append(plan->out, "<g fill=\"currentColor\" text-anchor=\"middle\" dominant-baseline=\"middle\" "
                    "style=\"paint-order:stroke;stroke:var(--paper,#fff);stroke-width:3px\">\n");
    for (guint i = 0; i < section->laid->len; i++) {
        const Laid *laid = &g_array_index(section->laid, Laid, i);
        for (guint e = 0; e < laid->slope->n; e++)
            put_length(plan, laid, e);
        put_name(plan, section, laid);
    }
    Point below = on_paper(plan, (Point){ section->x0 + section->width / 2, 0 });
    gboolean named = plan->sections->len > 1;
    g_autofree char *text = g_strconcat(named ? section->name : "front", named ? ", front" : "", NULL);
    put_text(plan, (Point){ below.x, below.y + MARGIN - TEXT_PX }, 0, TEXT_PX, text);
    g_string_append(plan->out, "</g>\n");
}

static void put_key(const Plan *plan)
{
    g_string_append(plan->out, "<g stroke=\"none\" fill=\"currentColor\" text-anchor=\"middle\">\n");
    put_text(plan, (Point){ WIDTH / 2, plan->height - TEXT_PX }, 0, SMALL_PX, LINES);
    g_string_append(plan->out, "</g>\n");
}

/* --- for who can't see it --- */

static void describe(const Plan *plan)
{
    g_autoptr(GString) text = g_string_new("Seen from above, the front below.");
    for (guint i = 0; i < plan->sections->len; i++) {
        const Section *section = plan->sections->pdata[i];
        for (guint s = 0; s < section->laid->len; s++) {
            const Laid *laid = &g_array_index(section->laid, Laid, s);
            g_autofree char *area = gb_area_text(laid->slope->area_sqft, plan->units);
            g_autofree char *pitch = isnan(laid->slope->pitch) ? g_strdup("pitch not known, drawn as taped") : gb_pitch_text(laid->slope->pitch);
            g_string_append_printf(text, " %u: %s, %s, %s%s.", laid->number, laid->slope->label, area, pitch,
                                   laid->slope->band >= 0 ? ", steep" : "");
        }
    }
    gb_escape_html(plan->out, text->str, text->len);
}

static void begin(const Plan *plan, const char *title)
{
    GString *out = plan->out;
    g_string_append_printf(out, "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 %d %d\" width=\"%d\" height=\"%d\" role=\"img\" "
                           "aria-labelledby=\"roof-%" G_GINT64_FORMAT "-title roof-%" G_GINT64_FORMAT "-desc\" fill=\"none\" stroke=\"currentColor\" "
                           "stroke-linecap=\"round\" font-family=\"sans-serif\">\n", (int)WIDTH, (int)plan->height, (int)WIDTH, (int)plan->height,
                           plan->structure, plan->structure);
    g_string_append_printf(out, "<title id=\"roof-%" G_GINT64_FORMAT "-title\">", plan->structure);
    gb_escape_html(out, title, strlen(title));
    g_string_append_printf(out, "</title>\n<desc id=\"roof-%" G_GINT64_FORMAT "-desc\">", plan->structure);
    describe(plan);
    g_string_append_printf(out, "</desc>\n<defs><pattern id=\"roof-%" G_GINT64_FORMAT "-steep\" width=\"9\" height=\"9\" "
                           "patternUnits=\"userSpaceOnUse\" "
                           "patternTransform=\"rotate(45)\"><line x1=\"0\" y1=\"0\" x2=\"0\" y2=\"9\" stroke-width=\"1\" stroke-opacity=\"0.35\"/>"
                           "</pattern></defs>\n", plan->structure);
}

char *gb_roof_plan_svg(const GbRoof *roof, gint64 structure, const char *title, GbUnits units)
{
    g_auto(Plan) plan = { .roof = roof, .structure = structure, .units = units };
    plan.sections = g_ptr_array_new_with_free_func(free_section);
    plan.out = g_string_new(NULL);
    lay_out(&plan);
    if (plan.sections->len == 0)
        return NULL;
    begin(&plan, title);
    for (guint i = 0; i < plan.sections->len; i++)
        put_section(&plan, plan.sections->pdata[i]);
    put_key(&plan);
    g_string_append(plan.out, "</svg>\n");
    return g_strdup(plan.out->str);
}

gboolean gb_roof_plan_box(const GbRoof *roof, gint64 structure, double *width_in, double *depth_in)
{
    g_auto(Plan) plan = { .roof = roof, .structure = structure };
    plan.sections = g_ptr_array_new_with_free_func(free_section);
    lay_out(&plan);
    if (plan.sections->len == 0)
        return FALSE;
    const Section *main_section = plan.sections->pdata[0];
    *width_in = main_section->width;
    *depth_in = main_section->depth;
    return *width_in > 0 && *depth_in > 0;
}
