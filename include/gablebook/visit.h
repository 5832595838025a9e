/* visit.h -- which shots of a day's card belong to which visit at a property?
 *
 * A visit is all shots at one property on one trip; the same property may see several. Shots in the order they were taken go through
 * a few centres; the course is cut where it moves from one centre to another and time enough passes to get there. A shot without
 * a position goes with its neighbours. Where no shot has one, only long pauses can tell, and the visit says so. Pure numbers: times
 * and positions in, an answer out that does not depend on the order of the input.
 *
 * What it takes for granted: one property is walked within about 80 m (GB_VISIT_REACH_M around its centre; a farm's far barn makes
 * a visit of its own unless one comes back to the house soon); properties nearer to each other than GB_VISIT_APART_M are one.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_VISIT_H
#define GABLEBOOK_VISIT_H

#include <glib.h>

G_BEGIN_DECLS

#define GB_VISIT_REACH_M 80.0        /* how far from a property's centre its own shots are taken */
#define GB_VISIT_APART_M 48.0        /* centres nearer than this are one property */
#define GB_VISIT_PAUSE_S (30 * 60.0) /* without positions: a pause this long ends a visit */
#define GB_VISIT_RETURN_S (3 * 3600.0) /* at one property: away this long makes it another visit (an hour's lunch doesn't) */

typedef struct {
    double time_s;           /* when, corrected: seconds since 1970-01-01, all shots in UTC or all in one local time; NAN unknown */
    double lat_deg, lon_deg; /* WGS84; NAN unknown (also when |lat| > 90 or |lon| > 360) */
    double error_m;          /* the stated positioning error; NAN unknown (then 15 m is taken) */
    int camera;              /* shots of one camera share a number; its file order places those without a time */
    guint64 order;           /* place in its camera's file order */
} GbVisitShot;

/* What one should know before believing a visit; a set of these. gb_visit_notes_text says them. */
typedef enum {
    GB_VISIT_NO_POSITION = 1 << 0,      /* no shot of it has a position: told by pauses alone */
    GB_VISIT_FEW_POSITIONS = 1 << 1,    /* fewer than half have one; the others went with their neighbours */
    GB_VISIT_UNTIMED = 1 << 2,          /* some have no time: placed by file order */
    GB_VISIT_OFF_POSITIONS = 1 << 3,    /* some lie farther off than their stated error allows, but were taken in between */
    GB_VISIT_NEIGHBOUR = 1 << 4,        /* another property of the card is less than 150 m away: look at the border */
    GB_VISIT_LONG_PAUSE = 1 << 5,       /* holds a pause of more than half an hour */
    GB_VISIT_AGAIN = 1 << 6,            /* this property was visited before on this card */
    GB_VISIT_SINGLE_POSITION = 1 << 7   /* its place rests on one position alone */
} GbVisitNote;

typedef struct {
    guint property;         /* visits of one property share this number, 0 for the first seen; GB_VISIT_NO_PROPERTY unknown */
    guint count, located;   /* shots; those with a position */
    double first_s, last_s; /* of the shots with a time; NAN none */
    double lat_deg, lon_deg; /* robust centre of the positions; NAN none */
    double radius_m;        /* nine in ten of the positions lie within; NAN none */
    double from_previous_m; /* from the centre of the visit before this one; NAN when one of the two is unknown, or first */
    guint notes;            /* GbVisitNote */
} GbVisit;

#define GB_VISIT_NO_PROPERTY G_MAXUINT

typedef struct {
    GbVisit *visits; /* in the order they began; those without any time last */
    guint n_visits;
    guint n_properties;
    guint *visit_of; /* for each shot of the input its visit */
    gsize n_shots;
} GbVisits;

/* Split a card's shots, n of them in any order, BORROWED for the call. Never fails; no shots give no visits.
 * OWNED by the caller (gb_visits_free). O(n log n). */
GbVisits *gb_visits_split(const GbVisitShot *shots, gsize n);
void gb_visits_free(GbVisits *visits); /* NULL is allowed */
G_DEFINE_AUTOPTR_CLEANUP_FUNC(GbVisits, gb_visits_free)

/* The notes as half-sentences joined by "; ", "" for none. OWNED by the caller (g_free). */
char *gb_visit_notes_text(guint notes);

G_END_DECLS
#endif
