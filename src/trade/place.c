/* place.c -- the words for where. See place.h.
 *
 * A place has a label, short and as it is typed, and a title, as a heading or caption reads it. Both are made here
 * from the same parts, so that one never says what the other doesn't.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <gablebook/place.h>

#include "trade/trade-private.h"
#include <gablebook/word.h>
#include <math.h>

static const char *const face_words[GB_FACES] = { "front", "right", "rear", "left" };
static const char *const kind_words[GB_PLACE_KINDS] = { "site", "whole", "elevation", "roof", "slope", "room" };
static const char *const distance_words[GB_DISTANCES] = { "", "overview", "mid-range", "close-up" };

const char *gb_face_word(GbFace face)
{
    return face_words[face];
}

const char *gb_place_kind_word(GbPlaceKind kind)
{
    return kind_words[kind];
}

const char *gb_distance_word(GbDistance distance)
{
    return distance_words[distance];
}

gboolean gb_face_parse(const char *text, GbFace *face, GError **error)
{
    gssize i = gb_word_find(text, face_words, GB_FACES, "face", error);
    if (i >= 0)
        *face = (GbFace)i;
    return i >= 0;
}

gboolean gb_distance_parse(const char *text, GbDistance *distance, GError **error)
{
    const gsize first = GB_DISTANCE_OVERVIEW; /* nobody types "unknown" */
    gssize i = gb_word_find(text, distance_words + first, GB_DISTANCES - first, "distance", error);
    if (i >= 0)
        *distance = (GbDistance)(i + (gssize)first);
    return i >= 0;
}

gboolean gb_place_kind_from_word(const char *word, GbPlaceKind *kind)
{
    for (guint i = 0; i < GB_PLACE_KINDS; i++)
        if (g_str_equal(word, kind_words[i])) {
            *kind = (GbPlaceKind)i;
            return TRUE;
        }
    return FALSE;
}

const char *const *gb_structure_kinds(void)
{
    static const char *const kinds[] = { "dwelling", "garage", "shed", "barn", "carport", "fence", "deck", "other", NULL };
    return kinds;
}

/* --- label and title --- */

char *gb_capitalise(const char *text)
{
    if (*text == '\0')
        return g_strdup("");
    const char *rest = g_utf8_next_char(text);
    g_autofree char *first = g_utf8_strup(text, (gssize)(rest - text));
    return g_strconcat(first, rest, NULL);
}

/* What the place is called on its structure; NULL for the site and the whole. */
static char *part_of(GbPlaceKind kind, const char *elevation, GbFace face, const char *room)
{
    switch (kind) {
    case GB_PLACE_ELEVATION:
        return g_strconcat(face_words[face], elevation, NULL);
    case GB_PLACE_SLOPE:
        return g_strconcat(face_words[face], " slope", NULL);
    case GB_PLACE_ROOF:
        return g_strdup("roof");
    case GB_PLACE_ROOM:
        return g_strdup(room != NULL ? room : "room");
    case GB_PLACE_SITE:
    case GB_PLACE_WHOLE:
    case GB_PLACE_KINDS:
        break;
    }
    return NULL;
}

char *gb_place_label(GbPlaceKind kind, const char *structure, gboolean is_dwelling, GbFace face, const char *room)
{
    if (kind == GB_PLACE_SITE)
        return g_strdup("site");
    g_autofree char *part = part_of(kind, "", face, room);
    if (part == NULL)
        return g_strdup(structure);
    return is_dwelling ? g_steal_pointer(&part) : g_strdup_printf("%s %s", structure, part);
}

char *gb_place_title(GbPlaceKind kind, const char *structure, gboolean is_dwelling, GbFace face, const char *room)
{
    if (kind == GB_PLACE_SITE)
        return g_strdup("Site");
    g_autofree char *part = part_of(kind, " elevation", face, room);
    if (part == NULL)
        return gb_capitalise(structure);
    if (is_dwelling)
        return gb_capitalise(part);
    g_autofree char *whole = gb_capitalise(structure);
    return g_strdup_printf("%s: %s", whole, part);
}

const char *gb_compass_point(double azimuth_deg)
{
    static const char *const points[] = { "N", "NNE", "NE", "ENE", "E", "ESE", "SE", "SSE",
                                          "S", "SSW", "SW", "WSW", "W", "WNW", "NW", "NNW" };
    const double sixteenth = 360.0 / G_N_ELEMENTS(points);
    if (!isfinite(azimuth_deg))
        return "";
    double turn = fmod(azimuth_deg, 360);
    if (turn < 0)
        turn += 360;
    return points[(guint)floor(turn / sixteenth + 0.5) % G_N_ELEMENTS(points)];
}
