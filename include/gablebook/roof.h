/* roof.h -- roof measurements: slopes by their shape, whole roofs by their footprint, and the quantities that follow.
 *
 * A person enters slopes one by one (shape and lengths) or a whole roof on a rectangle (footprint, pitch, form), which is taken
 * apart into slopes. Every slope becomes a polygon in its own plane: x along the eave, y straight up the slope, seen from
 * outside. Areas and edge lengths come from that polygon alone. A ridge, hip, valley or break lies between two slopes:
 * those two edges are found (mates), counted once, and pointed out where they don't agree or one of them is not there.
 *
 * Knows no database: ids of structures and places are the caller's, and only compared. Lengths are in inches, areas in square feet,
 * a pitch is rise in inches per 12 in of run; NAN: not known.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_ROOF_H
#define GABLEBOOK_ROOF_H

#include <gablebook/place.h>

G_BEGIN_DECLS

/* --- what can be entered --- */

typedef enum {
    GB_ROOF_RECTANGLE,
    GB_ROOF_TRIANGLE,
    GB_ROOF_TRAPEZOID,
    GB_ROOF_PARALLELOGRAM,
    GB_ROOF_GABLE, /* from here on: whole roofs on a rectangle, one pitch all round */
    GB_ROOF_HIP,
    GB_ROOF_DUTCH_GABLE, /* a hip roof whose ends stop below the ridge, under small gables */
    GB_ROOF_SHAPES
} GbRoofShape;

/* What an edge of a slope is. */
typedef enum {
    GB_EDGE_EAVE,
    GB_EDGE_RAKE,
    GB_EDGE_RIDGE,  /* this and the next two lie between two slopes */
    GB_EDGE_HIP,
    GB_EDGE_VALLEY,
    GB_EDGE_BREAK,  /* a change of pitch: gambrel, mansard; between two slopes of one face */
    GB_EDGE_WALL,   /* the slope ends at a wall, chimney or curb */
    GB_EDGE_HIGH,   /* the free upper edge of a roof with one slope */
    GB_EDGES
} GbEdge;

/* What can be measured. All are lengths but the pitch. */
typedef enum {
    GB_GIVEN_EAVE,          /* of a slope: its lower edge */
    GB_GIVEN_RIDGE,         /* its upper edge */
    GB_GIVEN_UP,            /* from eave to ridge along the surface, square to the eave */
    GB_GIVEN_RUN,           /* the same seen from above: level */
    GB_GIVEN_PITCH,
    GB_GIVEN_LEFT,          /* the left and the right side, as you look at the slope from outside */
    GB_GIVEN_RIGHT,
    GB_GIVEN_WIDTH,         /* of a whole roof: the walls along the street */
    GB_GIVEN_DEPTH,         /* the walls from front to rear */
    GB_GIVEN_OVERHANG,      /* beyond the walls, level; of the eaves, and of the rakes where those have none of their own */
    GB_GIVEN_RAKE_OVERHANG, /* gable only */
    GB_GIVEN_GABLET,        /* dutch gable only: from the end eave in to the wall under the small gable, level */
    GB_ROOF_GIVENS
} GbRoofGiven;

/* "rectangle" ... "dutch gable"; "eave" ... "high edge"; "eave", "rake overhang" ...: as stored and shown. */
const char *gb_roof_shape_word(GbRoofShape shape);
const char *gb_edge_word(GbEdge edge);
const char *gb_roof_given_word(GbRoofGiven given);
/* Exact words back; FALSE when it is none. */
gboolean gb_roof_shape_from_word(const char *word, GbRoofShape *shape);
gboolean gb_edge_from_word(const char *word, GbEdge *edge);
gboolean gb_roof_given_from_word(const char *word, GbRoofGiven *given);
/* A person's words (word.h). GB_ERROR_UNKNOWN, _UNCLEAR. */
gboolean gb_roof_shape_parse(const char *text, GbRoofShape *shape, GError **error);
gboolean gb_edge_parse(const char *text, GbEdge *edge, GError **error);

gboolean gb_roof_shape_is_whole(GbRoofShape shape);

typedef struct {
    char *text;    /* as typed, OWNED; NULL: not measured */
    double number; /* normalised; NAN: not measured */
} GbRoofValue;

/* One thing a person entered. Text OWNED. */
typedef struct {
    gint64 id;        /* its number, as shown; 0 when not stored yet */
    gint64 structure;
    char *structure_name;
    gboolean on_dwelling;
    gint64 places[GB_FACES]; /* the structure's slope places by face; 0 where it has none. A slope needs its own one */
    char *section;    /* which part of a structure's roof: "main", "wing" ... */
    GbRoofShape shape;
    GbRoofValue given[GB_ROOF_GIVENS];
    /* slopes only */
    GbFace face;
    GbEdge bottom, top, left, right; /* what its edges are; one of no length doesn't matter */
    gboolean cut_out; /* not roof, but taken out of the roof: where another section or a skylight stands */
    /* whole roofs only */
    gboolean ridge_to_rear; /* the ridge runs from front to rear; FALSE: along the street */
} GbRoofEntry;

/* An entry with nothing known, its edges those that the shape usually has. OWNED by the caller. */
GbRoofEntry *gb_roof_entry_new(GbRoofShape shape);
/* What the edges of this shape usually are: sides rakes for a rectangle, hips for a triangle and trapezoid, valleys for the sides of a
 * triangle cut out, walls for another cut-out. */
void gb_roof_entry_usual_edges(GbRoofEntry *entry);
/* What of it is not as usual for its shape: "left side valley, upper edge wall", "ridge runs front to rear"; NULL: nothing. OWNED by the
 * caller. */
char *gb_roof_entry_unusual_text(const GbRoofEntry *entry);
/* "along the street", "front to rear". */
const char *gb_roof_ridge_word(gboolean to_rear);
/* Whether the ridge of a whole roof usually runs from front to rear: along the longer walls. */
gboolean gb_roof_entry_usual_ridge(const GbRoofEntry *entry);
/* Understand a measurement: a length with its unit (a plain number is refused: feet or inches?), or a pitch. GB_ERROR_SYNTAX. */
gboolean gb_roof_entry_take(GbRoofEntry *entry, GbRoofGiven given, const char *text, GError **error);
/* Whether it can be computed: GB_ERROR_SYNTAX says in one sentence what is not there or cannot be. */
gboolean gb_roof_entry_check(const GbRoofEntry *entry, GError **error);
void gb_roof_entry_free(GbRoofEntry *entry); /* NULL is allowed */
G_DEFINE_AUTOPTR_CLEANUP_FUNC(GbRoofEntry, gb_roof_entry_free)

/* --- the user's own settings --- */

enum { GB_ROOF_BANDS_MAX = 8 };

typedef struct {
    double rise_in_12;
    gboolean over; /* steeper than that; FALSE: that and steeper */
} GbSteepBand;

typedef struct {
    double waste_percent; /* NAN: not set; then nothing is said of waste */
    char *steep;          /* bands as typed, OWNED; NULL: the usual one */
    GbSteepBand bands[GB_ROOF_BANDS_MAX];
    guint n_bands; /* ascending */
} GbRoofSettings;

/* Nothing set: one band, over 4 in 12. Source: 29 CFR 1926.500(b): a steep roof has a slope greater than 4 in 12. */
void gb_roof_settings_init(GbRoofSettings *settings);
/* Bands as a person writes them: "over 4/12", "7/12, 10/12 and 12/12" (each: that and steeper, which may be said). GB_ERROR_SYNTAX, settings unchanged. */
gboolean gb_roof_settings_take_steep(GbRoofSettings *settings, const char *text, GError **error);
/* "15", "15%", "12.5 %": 0 to 100. GB_ERROR_SYNTAX, settings unchanged. */
gboolean gb_roof_settings_take_waste(GbRoofSettings *settings, const char *text, GError **error);
void gb_roof_settings_clear(GbRoofSettings *settings);
/* "over 4/12", "7/12 and steeper". OWNED by the caller. */
char *gb_steep_band_text(const GbSteepBand *band);

/* --- what follows --- */

enum { GB_SLOPE_CORNERS = 6 };

typedef struct {
    GbEdge kind;
    double length_in; /* as measured where it was, else from the polygon */
    gint mate_slope, mate_edge; /* the other slope's edge along the same line, indices; -1: none */
} GbSlopeEdge;

/* One slope of the roof. */
typedef struct {
    const GbRoofEntry *entry; /* BORROWED from the roof: what it comes from */
    GbFace face;
    gint64 structure, place;  /* place 0: the structure has no slope of that face */
    char *label;              /* "front slope", "garage left slope (wing)"; OWNED */
    gboolean cut_out;
    guint n;                  /* corners: 3 to GB_SLOPE_CORNERS */
    double x_in[GB_SLOPE_CORNERS], y_in[GB_SLOPE_CORNERS]; /* anticlockwise from the lower left */
    GbSlopeEdge edges[GB_SLOPE_CORNERS]; /* edge i goes from corner i to the next */
    double up_in;             /* its height along the surface */
    double pitch;             /* rise in 12; NAN where it was not measured and doesn't follow */
    double area_sqft;         /* > 0, of a cut-out too */
    int band;                 /* index of the steepest band it is in; -1: none, or pitch not known */
} GbRoofSlope;

/* Something that can't be so, or is not there yet: one line for a person. */
typedef struct {
    gint64 structure;
    gint slopes[2]; /* the slopes it is about; -1: none */
    char *text;     /* OWNED */
} GbRoofFault;

typedef struct {
    GPtrArray *entries; /* of GbRoofEntry, as entered */
    GPtrArray *slopes;  /* of GbRoofSlope: dwelling first, main section first, along the walk */
    GPtrArray *faults;  /* of GbRoofFault */
    GbRoofSettings settings;
} GbRoof;

/* Compute a roof, or the roofs of many structures at once. An entry that can't be computed makes a fault and no slope.
 *   entries   array of GbRoofEntry, TAKEN
 *   settings  TAKEN: its texts belong to the roof afterwards
 * OWNED by the caller (gb_roof_free). Cannot fail. O(edges^2) for the mates. */
GbRoof *gb_roof_new(GPtrArray *entries, GbRoofSettings *settings);
void gb_roof_free(GbRoof *roof); /* NULL is allowed */
G_DEFINE_AUTOPTR_CLEANUP_FUNC(GbRoof, gb_roof_free)

/* --- quantities by name --- */

typedef enum {
    GB_QUANTITY_AREA,              /* SF; cut-outs taken off */
    GB_QUANTITY_SQUARES,           /* SQ: 100 square feet of roof */
    GB_QUANTITY_AREA_WITH_WASTE,   /* SF; only where the user set a waste */
    GB_QUANTITY_SQUARES_WITH_WASTE, /* SQ */
    GB_QUANTITY_EAVES,             /* LF, and so all below */
    GB_QUANTITY_RAKES,
    GB_QUANTITY_RIDGE,
    GB_QUANTITY_HIPS,
    GB_QUANTITY_VALLEYS,
    GB_QUANTITY_BREAKS,
    GB_QUANTITY_WALLS,
    GB_QUANTITY_HIGH_EDGES,
    GB_QUANTITY_RIDGE_AND_HIPS,    /* what is capped */
    GB_QUANTITY_DRIP_EDGE,         /* eaves + rakes. Source: IRC R905.2.8.5 asks for it at both */
    GB_QUANTITY_STARTER,           /* eaves (common practice) */
    GB_QUANTITIES
} GbRoofQuantity;

/* "area", "squares", "area with waste" ... "ridge and hips", "drip edge", "starter": as stored and shown; and its unit: "SF", "SQ", "LF". */
const char *gb_roof_quantity_word(GbRoofQuantity quantity);
const char *gb_roof_quantity_unit(GbRoofQuantity quantity);
/* A person's words (word.h): "drip", "ridge". GB_ERROR_UNKNOWN, _UNCLEAR. */
gboolean gb_roof_quantity_parse(const char *text, GbRoofQuantity *quantity, GError **error);

/* How much of it there is, in its unit, not rounded.
 *   structure  whose roof; 0: of the whole claim
 *   place      a slope place of that structure: its slopes alone, each edge in full; 0: all slopes of the structure, an edge between
 *              two slopes counted once (two measurements that differ: their mean)
 *   amount     where it goes; 0 is an answer (a hip roof has no rakes)
 * FALSE with GB_ERROR_STATE where nothing is measured there, or a waste is wanted and none is set. */
gboolean gb_roof_quantity(const GbRoof *roof, gint64 structure, gint64 place, GbRoofQuantity quantity, double *amount, GError **error);

/* The same for a list that a person reads (place 0): FALSE also where there is none of it, or where another line of the list says it already (the
 * ridge and hips of a roof without hips). */
gboolean gb_roof_quantity_worth_listing(const GbRoof *roof, gint64 structure, GbRoofQuantity quantity, double *amount);

/* Square feet of the structure's slopes (0: of the claim's) that are in that band and no steeper one; cut-outs taken off. */
double gb_roof_band_area_sqft(const GbRoof *roof, gint64 structure, guint band);
/* Whether any slope (of the structure; 0: of the claim) is steeper than 4 in 12 or in one of the user's bands. */
gboolean gb_roof_is_steep(const GbRoof *roof, gint64 structure);
/* What to remember where steep slopes are named: falls, local codes, licensed practice. BORROWED for ever. */
const char *gb_roof_steep_caution(void);

G_END_DECLS
#endif
