/* shot_map.c -- where the photos were taken: a plan of the property with numbered camera positions, and the same as a list.
 *
 * All of it is what cameras wrote into their files; where the dwelling stands is estimated from them (suggest.h), how large it is from what
 * was measured of its roof. Each of that is said in words beside the plan. North is up. The drawing is an SVG of the same few kinds of
 * elements as a roof's plan, so the PDF can read it.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "report-private.h"

#include <gablebook/escape.h>
#include <gablebook/numbers.h>
#include <gablebook/roof_plan.h>
#include <gablebook/suggest.h>
#include <math.h>

#define WIDTH 640.0
#define HEIGHT_MAX 560.0
#define MARGIN 40.0
#define FOOT 44.0       /* scale and key below */
#define FAR_M 150.0     /* further from the middle a camera is listed, not drawn */
#define LEAST_M 20.0    /* no plan shows less ground than this */
#define SAME_PX 9.0     /* positions nearer than this share a label */
#define SIGHT_PX 17.0
#define TEXT_PX 13.0
#define SMALL_PX 11.0
#define M_PER_INCH 0.0254
#define KEY "Dot: camera. Two lines: which way it looked. Thick line: the front."
#define KEY_CROWDED " Where numbers had no room, the list has them."

typedef struct {
    double x, y;
} Point;

typedef struct {
    gint64 figure, shot;
    const char *place;        /* title; NULL not placed */
    double east_m, north_m;   /* of the plane of gb_suggest_map */
    double heading_deg, error_m; /* true; NAN unknown */
    Point at;
} Camera;

typedef struct {
    const GbDossier *dossier;
    GbPlane plane;
    GArray *cameras;          /* of Camera, by figure */
    guint figures;            /* that the report shows, with a position or not */
    gboolean has_house, measured; /* measured: its size is */
    GbFacingHouse house;
    const char *name;         /* of the dwelling */
    double west, south, scale, height;
    gboolean crowded;         /* some numbers had no room */
    GString *out;
} Map;

static void clear_map(Map *map)
{
    g_clear_pointer(&map->cameras, g_array_unref);
    if (map->out != NULL)
        g_string_free(map->out, TRUE);
}
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(Map, clear_map)

static const Camera *camera_at(const Map *map, guint i)
{
    return &g_array_index(map->cameras, Camera, i);
}

/* --- what is known --- */

static void add_camera(Map *map, const json_t *figure)
{
    const GbShot *shot = gb_shots_by_number(map->dossier->shots, json_integer_value(json_object_get(figure, "shot")));
    map->figures++;
    if (shot == NULL || isnan(shot->exif.lat_deg) || isnan(shot->exif.lon_deg))
        return;
    const GbPlace *place = gb_places_by_id(map->dossier->places, shot->place);
    Camera camera = { .figure = json_integer_value(json_object_get(figure, "number")), .shot = shot->number,
                      .place = place != NULL ? place->title : NULL, .heading_deg = gb_suggest_heading(shot, &map->plane),
                      .error_m = shot->exif.position_error_m };
    gb_plane_metres(&map->plane, shot->exif.lat_deg, shot->exif.lon_deg, &camera.east_m, &camera.north_m);
    if (!isnan(camera.east_m))
        g_array_append_val(map->cameras, camera);
}

/* The figures of a heading and of those below it. */
static void add_cameras(Map *map, const json_t *heading)
{
    gsize i;
    const json_t *item;
    json_array_foreach(json_object_get(heading, "figures"), i, item)
        add_camera(map, item);
    json_array_foreach(json_object_get(heading, "sections"), i, item)
        add_cameras(map, item);
}

/* Where the dwelling stands, as far as anything tells. */
static void find_house(Map *map)
{
    g_autoptr(GbSuggestions) suggestions = gb_suggest(map->dossier, NULL); /* too many places for it: a map without the house */
    if (suggestions == NULL)
        return;
    map->house = suggestions->house;
    map->has_house = !isnan(map->house.east_m) && !isnan(map->house.front_azimuth_deg) && map->house.width_m > 0 && map->house.depth_m > 0;
    for (guint i = 0; i < map->dossier->structures->len; i++) {
        const GbStructure *structure = map->dossier->structures->pdata[i];
        double width_in, depth_in;
        if (strcmp(structure->kind, "dwelling") != 0)
            continue;
        map->name = structure->name;
        map->measured = gb_roof_plan_box(map->dossier->roof, structure->id, &width_in, &depth_in);
        if (map->measured) {
            map->house.width_m = width_in * M_PER_INCH;
            map->house.depth_m = depth_in * M_PER_INCH;
        }
        return;
    }
}

/* A corner of the house, sides -1 or 1: across from left to right as its front is seen, out from rear to front. */
static Point corner(const Map *map, double across, double out)
{
    double a = map->house.front_azimuth_deg * G_PI / 180, w = across * map->house.width_m / 2, d = out * map->house.depth_m / 2;
    return (Point){ map->house.east_m + w * -cos(a) + d * sin(a), map->house.north_m + w * sin(a) + d * cos(a) };
}

static Point middle(const Map *map)
{
    return map->has_house ? (Point){ map->house.east_m, map->house.north_m } : (Point){ 0, 0 };
}

static double distance(const Map *map, const Camera *camera)
{
    Point from = middle(map);
    return hypot(camera->east_m - from.x, camera->north_m - from.y);
}

static gboolean is_drawn(const Map *map, const Camera *camera)
{
    return distance(map, camera) <= FAR_M;
}

/* --- laying out --- */

typedef struct {
    double west, east, south, north;
} Bounds;

static void reach(Bounds *bounds, double east_m, double north_m)
{
    bounds->west = MIN(bounds->west, east_m);
    bounds->east = MAX(bounds->east, east_m);
    bounds->south = MIN(bounds->south, north_m);
    bounds->north = MAX(bounds->north, north_m);
}

static void lay_out(Map *map)
{
    Point centre = middle(map);
    Bounds bounds = { centre.x, centre.x, centre.y, centre.y };
    for (guint i = 0; i < map->cameras->len; i++)
        if (is_drawn(map, camera_at(map, i)))
            reach(&bounds, camera_at(map, i)->east_m, camera_at(map, i)->north_m);
    for (int k = 0; k < 4 && map->has_house; k++) {
        Point p = corner(map, k < 2 ? -1 : 1, k % 2 == 0 ? -1 : 1);
        reach(&bounds, p.x, p.y);
    }
    double wide = MAX(bounds.east - bounds.west, LEAST_M), high = MAX(bounds.north - bounds.south, LEAST_M);
    map->scale = MIN((WIDTH - 2 * MARGIN) / wide, (HEIGHT_MAX - 2 * MARGIN - FOOT) / high);
    map->west = (bounds.west + bounds.east) / 2 - WIDTH / map->scale / 2;
    map->height = ceil(high * map->scale + 2 * MARGIN + FOOT);
    map->south = (bounds.south + bounds.north) / 2 - (map->height - FOOT) / map->scale / 2;
    for (guint i = 0; i < map->cameras->len; i++) {
        Camera *camera = &g_array_index(map->cameras, Camera, i);
        camera->at = (Point){ (camera->east_m - map->west) * map->scale,
                              map->height - FOOT - (camera->north_m - map->south) * map->scale };
    }
}

static Point on_paper(const Map *map, Point p)
{
    return (Point){ (p.x - map->west) * map->scale, map->height - FOOT - (p.y - map->south) * map->scale };
}

/* --- drawing --- */

static void put_pair(GString *out, const char *x_name, const char *y_name, Point p)
{
    g_autofree char *x = gb_number_text(p.x, 1), *y = gb_number_text(p.y, 1);
    g_string_append_printf(out, " %s=\"%s\" %s=\"%s\"", x_name, x, y_name, y);
}

static void put_line(const Map *map, Point from, Point to, const char *width)
{
    g_string_append_printf(map->out, "<line stroke-width=\"%s\"", width);
    put_pair(map->out, "x1", "y1", from);
    put_pair(map->out, "x2", "y2", to);
    g_string_append(map->out, "/>\n");
}

static void put_text(const Map *map, Point at, double px, const char *text)
{
    g_string_append(map->out, "<text");
    put_pair(map->out, "x", "y", at);
    g_string_append_printf(map->out, " font-size=\"%d\" stroke-width=\"3\">", (int)px);
    gb_escape_html(map->out, text, strlen(text));
    g_string_append(map->out, "</text>\n");
}

static void put_house(const Map *map)
{
    static const int sides[4][2] = { { -1, 1 }, { 1, 1 }, { 1, -1 }, { -1, -1 } };
    for (int k = 0; k < 4 && map->has_house; k++)
        put_line(map, on_paper(map, corner(map, sides[k][0], sides[k][1])), on_paper(map, corner(map, sides[(k + 1) % 4][0], sides[(k + 1) % 4][1])),
                 k == 0 ? "3.5" : "1.2");
}

/* A label's box around its middle. */
typedef struct {
    double x, y, half_width, half_height;
} Box;

static double overlap(const Box *a, const Box *b)
{
    double x = a->half_width + b->half_width - fabs(a->x - b->x), y = a->half_height + b->half_height - fabs(a->y - b->y);
    return x > 0 && y > 0 ? x * y : 0;
}

/* Where one of the two lines of a camera's view is, a share along it. */
static Point on_sight(const Camera *camera, int side, double share)
{
    double a = (camera->heading_deg + side * 18) * G_PI / 180;
    return (Point){ camera->at.x + share * SIGHT_PX * sin(a), camera->at.y - share * SIGHT_PX * cos(a) };
}

/* What a label would cover of a camera: its dot, its view. */
static double covered(const Camera *camera, const Box *box)
{
    const Box dot = { camera->at.x, camera->at.y, 3.5, 3.5 };
    double cost = 3 * overlap(box, &dot);
    for (int side = -1; side <= 1 && !isnan(camera->heading_deg); side += 2)
        for (double share = 0.35; share <= 1; share += 0.3) {
            Point p = on_sight(camera, side, share);
            const Box piece = { p.x, p.y, 2, 2 };
            cost += overlap(box, &piece);
        }
    return cost;
}

static double covered_labels(const Box *box, const GArray *taken)
{
    double cost = 0;
    for (guint i = 0; i < taken->len; i++)
        cost += overlap(box, &g_array_index(taken, Box, i));
    return cost;
}

/* What a label would cover there: other labels, cameras, what lies outside the paper. */
static double cost_of(const Map *map, const Box *box, const GArray *taken)
{
    double cost = 3 * covered_labels(box, taken);
    for (guint i = 0; i < map->cameras->len; i++)
        cost += is_drawn(map, camera_at(map, i)) ? covered(camera_at(map, i), box) : 0;
    gboolean outside = box->x - box->half_width < 0 || box->x + box->half_width > WIDTH || box->y - box->half_height < 0 ||
                       box->y + box->half_height > map->height - FOOT;
    return cost + (outside ? 1e4 : 0);
}

/* The place around a camera where its label covers least. */
static Box best_box(const Map *map, Point at, const char *text, const GArray *taken)
{
    static const double ways[8][2] = { { 1, 0 }, { 0, -1 }, { -1, 0 }, { 0, 1 }, { 1, -1 }, { -1, -1 }, { 1, 1 }, { -1, 1 } };
    Box best = { 0, 0, 3.2 * (double)strlen(text) + 1, SMALL_PX / 2 };
    double least = G_MAXDOUBLE;
    for (int ring = 0; ring < 2; ring++)
        for (int k = 0; k < 8; k++) {
            Box box = best;
            box.x = at.x + ways[k][0] * (box.half_width + 5 + 9 * ring);
            box.y = at.y + ways[k][1] * (box.half_height + 5 + 9 * ring);
            double cost = cost_of(map, &box, taken) + ring;
            if (cost < least) {
                least = cost;
                best.x = box.x;
                best.y = box.y;
            }
        }
    return best;
}

/* The dwelling's name, and the figures; cameras that stand together have one label: "3-5, 8". */
static void put_labels(Map *map)
{
    guint n = map->cameras->len;
    g_autofree gboolean *done = g_new0(gboolean, n + 1);
    g_autofree gint64 *figures = g_new(gint64, n + 1);
    g_autoptr(GArray) taken = g_array_new(FALSE, FALSE, sizeof(Box));
    if (map->has_house) {
        const char *name = map->name != NULL ? map->name : "dwelling";
        Box box = best_box(map, on_paper(map, middle(map)), name, taken);
        g_array_append_val(taken, box);
        put_text(map, (Point){ box.x, box.y }, SMALL_PX, name);
    }
    for (guint i = 0; i < n; i++) {
        const Camera *first = camera_at(map, i);
        gsize together = 0;
        if (done[i] || !is_drawn(map, first))
            continue;
        for (guint k = i; k < n; k++) {
            const Camera *other = camera_at(map, k);
            if (done[k] || !is_drawn(map, other) || hypot(other->at.x - first->at.x, other->at.y - first->at.y) > SAME_PX)
                continue;
            done[k] = TRUE;
            figures[together++] = other->figure;
        }
        g_autofree char *text = gb_numbers_text(figures, together);
        Box box = best_box(map, first->at, text, taken);
        if (covered_labels(&box, taken) > box.half_width * box.half_height) { /* a quarter of it: nobody could read either */
            map->crowded = TRUE;
            continue;
        }
        g_array_append_val(taken, box);
        put_text(map, (Point){ box.x, box.y }, SMALL_PX, text);
    }
}

static void put_camera(const Map *map, const Camera *camera)
{
    put_line(map, camera->at, (Point){ camera->at.x + 0.1, camera->at.y }, "5"); /* a round end makes a dot of it */
    for (int side = -1; side <= 1 && !isnan(camera->heading_deg); side += 2)
        put_line(map, camera->at, on_sight(camera, side, 1), "0.9");
}

/* A length to measure by, and north. */
static void put_foot(const Map *map)
{
    static const int lengths[] = { 50, 20, 10, 5 };
    int metres = lengths[G_N_ELEMENTS(lengths) - 1];
    for (gsize i = G_N_ELEMENTS(lengths); i-- > 0;)
        if (lengths[i] * map->scale <= WIDTH / 4)
            metres = lengths[i];
    double y = map->height - 30, end = MARGIN + metres * map->scale;
    put_line(map, (Point){ MARGIN, y }, (Point){ end, y }, "1.6");
    put_line(map, (Point){ MARGIN, y - 4 }, (Point){ MARGIN, y + 4 }, "1");
    put_line(map, (Point){ end, y - 4 }, (Point){ end, y + 4 }, "1");
    double x = WIDTH - 24;
    put_line(map, (Point){ x, 52 }, (Point){ x, 24 }, "1.6");
    put_line(map, (Point){ x, 24 }, (Point){ x - 5, 33 }, "1.6");
    put_line(map, (Point){ x, 24 }, (Point){ x + 5, 33 }, "1.6");
    g_autofree char *text = g_strdup_printf("%d m, %.0f ft", metres, metres / 0.3048);
    g_string_append(map->out, "<g stroke=\"none\" fill=\"currentColor\" text-anchor=\"middle\" dominant-baseline=\"middle\">\n");
    put_text(map, (Point){ end + 8 + 3.2 * (double)strlen(text), y }, SMALL_PX, text);
    put_text(map, (Point){ x, 14 }, TEXT_PX, "N");
    put_text(map, (Point){ WIDTH / 2, map->height - 10 }, SMALL_PX, map->crowded ? KEY KEY_CROWDED : KEY);
    g_string_append(map->out, "</g>\n");
}

static void draw(Map *map, const char *said)
{
    map->out = g_string_new(NULL);
    int height = (int)map->height;
    g_string_append_printf(map->out, "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 %d %d\" width=\"%d\" height=\"%d\" role=\"img\" "
                           "aria-labelledby=\"map-title map-desc\" fill=\"none\" stroke=\"currentColor\" stroke-linecap=\"round\" "
                           "font-family=\"sans-serif\">\n<title id=\"map-title\">Where the photos were taken</title>\n<desc id=\"map-desc\">",
                           (int)WIDTH, height, (int)WIDTH, height);
    gb_escape_html(map->out, said, strlen(said));
    g_string_append(map->out, "</desc>\n<g fill=\"currentColor\" text-anchor=\"middle\" dominant-baseline=\"middle\" "
                    "style=\"paint-order:stroke;stroke:var(--paper,#fff);stroke-width:3px\">\n");
    put_labels(map);
    g_string_append(map->out, "</g>\n");
    put_house(map);
    for (guint i = 0; i < map->cameras->len; i++)
        if (is_drawn(map, camera_at(map, i)))
            put_camera(map, camera_at(map, i));
    put_foot(map);
    g_string_append(map->out, "</svg>\n");
}

/* --- in words --- */

/* "14 m SSW of the middle of the dwelling". OWNED by the caller. */
static char *where_text(const Map *map, const Camera *camera)
{
    Point from = middle(map);
    double far = distance(map, camera), azimuth = atan2(camera->east_m - from.x, camera->north_m - from.y) * 180 / G_PI;
    const char *what = map->has_house ? "of the middle of the dwelling" : "of the middle of the photos";
    if (far < 1)
        return g_strdup_printf("within 1 m %s", what);
    return g_strdup_printf("%.0f m %s %s%s", far, gb_compass_point(azimuth < 0 ? azimuth + 360 : azimuth), what,
                           is_drawn(map, camera) ? "" : ", not on the plan");
}

static json_t *camera_json(const Map *map, const Camera *camera)
{
    json_t *object = json_pack("{s:I, s:I, s:f, s:f, s:f, s:f}", "figure", (json_int_t)camera->figure, "shot", (json_int_t)camera->shot,
                               "east_m", camera->east_m, "north_m", camera->north_m, "x", camera->at.x, "y", camera->at.y);
    g_autofree char *where = where_text(map, camera);
    g_autofree char *looking = isnan(camera->heading_deg) ? NULL
        : g_strdup_printf("%s, %d°", gb_compass_point(camera->heading_deg), (int)fmod(round(camera->heading_deg), 360));
    g_autofree char *error = isnan(camera->error_m) ? NULL : g_strdup_printf("± %.0f m", ceil(camera->error_m));
    gb_put_text(object, "place", camera->place != NULL ? camera->place : "Not placed yet");
    gb_put_text(object, "where", where);
    gb_put_text(object, "looking", looking != NULL ? looking : "not stated");
    gb_put_text(object, "error", error != NULL ? error : "not stated");
    if (!isnan(camera->heading_deg))
        json_object_set_new(object, "heading_deg", json_real(camera->heading_deg));
    return object;
}

/* "The cameras state errors of 4 to 12 m". OWNED by the caller. */
static char *errors_text(const Map *map)
{
    double least = G_MAXDOUBLE, most = 0;
    guint silent = 0;
    for (guint i = 0; i < map->cameras->len; i++) {
        double error_m = ceil(camera_at(map, i)->error_m);
        silent += isnan(error_m);
        if (isnan(error_m))
            continue;
        least = MIN(least, error_m);
        most = MAX(most, error_m);
    }
    if (silent == map->cameras->len)
        return g_strdup("The cameras state no error of their positions.");
    g_autofree char *some = silent == 0 ? g_strdup("") : g_strdup_printf(", for %u position%s none", silent, silent == 1 ? "" : "s");
    return least < most ? g_strdup_printf("The cameras state errors of ± %.0f to ± %.0f m%s.", least, most, some)
                        : g_strdup_printf("The cameras state an error of ± %.0f m%s.", most, some);
}

/* How the outline of the dwelling is known. OWNED by the caller. */
static char *house_text(const Map *map)
{
    if (!map->has_house)
        return g_strdup("Nothing tells where the dwelling stands; its outline is not drawn.");
    g_autofree char *spread = map->house.centre_spread_m > 0 ? g_strdup_printf(", to about ± %.0f m", ceil(map->house.centre_spread_m)) : g_strdup("");
    return g_strdup_printf("Where the dwelling stands is estimated from the photos%s; %s; %s.", spread,
                           map->house.front_spread_deg == 0 ? "its front faces as was entered" : "which way its front faces is estimated too",
                           map->measured ? "its outline is that of its measured roof" : "its size is not measured and drawn as a usual one");
}

static void put_map(Map *map, json_t *model)
{
    json_t *cameras = json_array(), *object;
    guint n = map->cameras->len, all = map->figures;
    g_autofree char *errors = errors_text(map), *house = house_text(map), *count = gb_count_text(n, "position", "positions");
    g_autofree char *rest = n < all ? g_strdup_printf(" %u of %u photos have no position.", all - n, all) : g_strdup("");
    g_autofree char *said = g_strdup_printf("North is up; numbers are those of the figures. Positions and directions are what the cameras wrote into "
                                            "the files; nobody measured them. %s %s%s", errors, house, rest);
    draw(map, said);
    for (guint i = 0; i < n; i++)
        json_array_append_new(cameras, camera_json(map, camera_at(map, i)));
    object = json_pack("{s:o}", "cameras", cameras);
    gb_put_text(object, "count_text", count);
    gb_put_text(object, "said", said);
    gb_put_text(object, "plan", map->out->str);
    json_object_set_new(model, "map", object);
}

void gb_put_map(json_t *model, const GbDossier *dossier)
{
    g_auto(Map) map = { .dossier = dossier, .cameras = g_array_new(FALSE, FALSE, sizeof(Camera)) };
    gsize i;
    const json_t *chapter;
    if (!gb_suggest_map(dossier->shots, &map.plane))
        return;
    json_array_foreach(json_object_get(model, "chapters"), i, chapter)
        add_cameras(&map, chapter);
    if (map.cameras->len == 0)
        return;
    find_house(&map);
    lay_out(&map);
    put_map(&map, model);
}
