/* facing_reason.c -- why a place is suggested, in one plain line.
 *
 * What the camera knew (heading, how far out), then where the shot stands in the walk: between which shots of the same place. A doubt
 * that is big enough to matter is named.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "sense/facing-private.h"

#include <math.h>

#define DOUBT 0.2 /* a second place this likely is named */

static void add(GString *line, const char *format, ...) G_GNUC_PRINTF(2, 3);
static void add(GString *line, const char *format, ...)
{
    va_list arguments;
    va_start(arguments, format);
    if (line->len > 0)
        g_string_append(line, ", ");
    g_string_append_vprintf(line, format, arguments);
    va_end(arguments);
}

static const char *name_of(const GbFacingInput *input, int structure)
{
    const char *name = structure >= 0 && (gsize)structure < input->n_structures ? input->structures[structure].name : NULL;
    return name != NULL ? name : "other structure";
}

static void add_position(const GbFacingInput *input, const GbHypothesis *h, const GbSight *sight, const GbFacingPlace *place,
                         GString *line)
{
    gboolean home = place->kind == GB_PLACE_SITE || (gsize)place->structure == h->dwelling;
    const GbBody *body = &h->bodies[place->kind == GB_PLACE_SITE ? h->dwelling : (gsize)place->structure];
    double de = sight->east_m - body->east_m, dn = sight->north_m - body->north_m;
    if (place->kind == GB_PLACE_ELEVATION) {
        double azimuth = body->front_rad - (double)place->face * G_PI / 2;
        gboolean along = place->face == GB_FACE_FRONT || place->face == GB_FACE_REAR;
        double out = de * sin(azimuth) + dn * cos(azimuth) - (along ? body->half_depth_m : body->half_width_m);
        if (home)
            add(line, "%.0f m out from the %s wall", MAX(out, 0), gb_face_word(place->face));
        else
            add(line, "%.0f m out from the %s wall of the %s", MAX(out, 0), gb_face_word(place->face), name_of(input, place->structure));
        return;
    }
    const char *what = home ? "house" : name_of(input, place->structure);
    add(line, "%.0f m from the middle of the %s", hypot(de, dn), what);
    gboolean up = place->kind == GB_PLACE_ROOF || place->kind == GB_PLACE_SLOPE;
    if (up && sight->has_altitude && sight->altitude_m - h->ground_m > 1)
        add(line, "%.0f m up", sight->altitude_m - h->ground_m);
}

/* The shots before and after that show the same. */
static void add_neighbours(const GbFacingInput *input, const GbSight *sights, gsize n, gsize i, const int *best, GString *line)
{
    gboolean chained = isfinite(sights[i].gap_s);
    gboolean before = i > 0 && chained && best[i - 1] == best[i];
    gboolean after = i + 1 < n && isfinite(sights[i + 1].gap_s) && best[i + 1] == best[i];
    gint64 earlier = before ? input->shots[sights[i - 1].shot].number : 0, later = after ? input->shots[sights[i + 1].shot].number : 0;
    if (before && after)
        add(line, "between shots %" G_GINT64_FORMAT " and %" G_GINT64_FORMAT, earlier, later);
    else if (before)
        add(line, "right after shot %" G_GINT64_FORMAT, earlier);
    else if (after)
        add(line, "right before shot %" G_GINT64_FORMAT, later);
    else if (chained)
        add(line, "by its turn in the walk");
}

static void add_doubt(const GbFacingInput *input, const GbHypothesis *h, int runner_up, GString *line)
{
    const GbFacingPlace *place = &input->places[runner_up];
    gboolean faced = place->kind == GB_PLACE_ELEVATION || place->kind == GB_PLACE_SLOPE;
    gboolean other = place->kind != GB_PLACE_SITE && (gsize)place->structure != h->dwelling;
    g_autoptr(GString) name = g_string_new(NULL);
    if (place->kind == GB_PLACE_WHOLE || other)
        g_string_append_printf(name, "%s%s", other ? "the " : "", other ? name_of(input, place->structure) : "the house as a whole");
    if (other && place->kind != GB_PLACE_WHOLE)
        g_string_append_c(name, ' ');
    if (place->kind != GB_PLACE_WHOLE)
        g_string_append(name, faced ? gb_face_word(place->face) : gb_place_kind_word(place->kind));
    if (place->kind == GB_PLACE_SLOPE)
        g_string_append(name, " slope");
    add(line, "it could be %s", name->str);
}

char *gb_reason_compose(const GbFacingInput *input, const GbHypothesis *hypothesis, const GbSight *sights, gsize n, gsize i,
                        const int *best, double runner_up_confidence, int runner_up)
{
    const GbSight *sight = &sights[i];
    if (sight->place >= 0)
        return g_strdup("tagged by a person");
    if (best[i] < 0)
        return g_strdup(sight->has_heading || sight->has_position ? "heading and position fit no place of the claim"
                                                                  : "no heading, no position, and no tag near it in time");
    GString *line = g_string_new(NULL);
    if (sight->has_heading) {
        double heading = fmod(atan2(sight->look_e, sight->look_n) * 180 / G_PI + 360, 360);
        add(line, "heading %d deg", (int)lround(heading) % 360);
    }
    if (sight->has_position)
        add_position(input, hypothesis, sight, &input->places[best[i]], line);
    add_neighbours(input, sights, n, i, best, line);
    if (runner_up >= 0 && runner_up_confidence > DOUBT)
        add_doubt(input, hypothesis, runner_up, line);
    return g_string_free(line, FALSE);
}
