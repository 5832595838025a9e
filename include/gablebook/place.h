/* place.h -- the words for where: faces, structures, parts of structures.
 *
 * Right is on the right hand of a person in the street who faces the front. The walk, and the report, go front,
 * right, rear, left. The front azimuth F is the direction, degrees true, of the front wall's
 * outward normal; the other normals are right F-90, rear F+180, left F+90.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_PLACE_H
#define GABLEBOOK_PLACE_H

#include <glib.h>

G_BEGIN_DECLS

typedef enum { GB_FACE_FRONT, GB_FACE_RIGHT, GB_FACE_REAR, GB_FACE_LEFT, GB_FACES } GbFace; /* in walk order */

typedef enum {
    GB_PLACE_SITE,      /* the property itself: address, street, yard */
    GB_PLACE_WHOLE,     /* a structure as a whole (a fence has no other) */
    GB_PLACE_ELEVATION, /* one wall side */
    GB_PLACE_ROOF,      /* the roof as a whole: ridge, layers at the eave */
    GB_PLACE_SLOPE,     /* one roof slope */
    GB_PLACE_ROOM,      /* a room inside */
    GB_PLACE_KINDS
} GbPlaceKind;

typedef enum { GB_DISTANCE_UNKNOWN, GB_DISTANCE_OVERVIEW, GB_DISTANCE_MID, GB_DISTANCE_CLOSE, GB_DISTANCES } GbDistance;

/* The word of each, lower case ("rear", "slope", "close-up", "mid-range"); of GB_DISTANCE_UNKNOWN "". Stored in the database as these. */
const char *gb_face_word(GbFace face);
const char *gb_place_kind_word(GbPlaceKind kind);
const char *gb_distance_word(GbDistance distance);

/* The value of a full word, abbreviations by word.h. GB_ERROR_UNKNOWN, GB_ERROR_UNCLEAR. */
gboolean gb_face_parse(const char *text, GbFace *face, GError **error);
gboolean gb_distance_parse(const char *text, GbDistance *distance, GError **error);
/* Exact words only: for reading what this program wrote. FALSE when it did not. */
gboolean gb_place_kind_from_word(const char *word, GbPlaceKind *kind);

/* Kinds of structure: "dwelling", "garage", "shed", "barn", "carport", "fence", "deck", "other", in
 * this order; NULL-terminated. The first is the house that the claim is about. */
const char *const *gb_structure_kinds(void);

/* The label a person types and reads for a place: "front", "rear slope", "roof", "kitchen" on the dwelling; with the
 * structure's name before it elsewhere ("garage front", "garage left slope"); the structure's
 * name for the whole; "site".
 *   structure  its name; is_dwelling: whether it is the claim's dwelling
 *   face       for elevations and slopes; room: for rooms, else NULL
 * OWNED by the caller (g_free). */
char *gb_place_label(GbPlaceKind kind, const char *structure, gboolean is_dwelling, GbFace face, const char *room);

/* The same as a heading reads it: "Front elevation", "Rear slope", "Garage: front elevation", "Site". OWNED by the caller. */
char *gb_place_title(GbPlaceKind kind, const char *structure, gboolean is_dwelling, GbFace face, const char *room);

/* One of the sixteen compass points for an azimuth in degrees, any turn of it: "N", "NNE" ...; "" for NAN. */
const char *gb_compass_point(double azimuth_deg);

G_END_DECLS
#endif
