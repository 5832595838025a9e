/* inspection.h -- an invented inspection with its truth: for measuring suggestions.
 *
 * It is made the way a person works, not from the densities the estimator assumes: houses with wings, sides with little room, items
 * on walls looked at from up to 40 degrees off, corners, detours, second visits, pauses, outbuildings that stand askew;
 * position and compass errors that hang together in time, outliers, shots without GPS in runs. The same seed makes the same
 * inspection.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_INSPECTION_H
#define GABLEBOOK_INSPECTION_H

#include <gablebook/facing.h>
#include <gablebook/visits.h>

/* What is fixed; NAN: drawn from the range. */
typedef struct {
    double error_m;       /* positions; 3-15 */
    double compass_deg;   /* standard deviation; 5-25 */
    double without_gps;   /* share of shots; 0-0.4 */
    gboolean front_given; /* the front azimuth is told */
} InspectionKind;

typedef struct {
    GArray *shots;      /* of GbFacingShot */
    GArray *truth;      /* of int: the true place of each */
    GArray *distance;   /* of GbDistance */
    GArray *places;     /* of GbFacingPlace */
    GArray *structures; /* of GbFacingStructure */
    double front_deg, east_m, north_m; /* the truth of the house */
    double error_m, compass_deg;
} Inspection;

Inspection *inspection_new(guint32 seed, const InspectionKind *kind);
/* One of so many shots, for measuring time: days of work at one house. */
Inspection *inspection_long(guint32 seed, gsize shots);
/* The first property of demo-photos/truth.csv, its text given. Times, positions and headings are what the program reads in its photos,
 * their errors included: card is demo-photos, BORROWED for the call. A photo that the card lacks is passed over. */
Inspection *inspection_demo(const char *text, const GbCard *card);
/* What is to be estimated. BORROWED from the inspection. */
GbFacingInput inspection_input(const Inspection *inspection);
gboolean inspection_is_elevation(const Inspection *inspection, gsize shot); /* whether it truly shows a wall side */
/* A person tags more shots, truly: of those not tagged yet, by what the estimator is least sure of on the four walls, or at random. */
void inspection_tag(Inspection *inspection, gsize more, const GbFacing *facing, guint32 seed);
void inspection_free(Inspection *inspection);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(Inspection, inspection_free)

#endif
