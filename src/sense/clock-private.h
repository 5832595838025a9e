/* clock-private.h -- a card while its clocks are worked out. For clock*.c alone.
 *
 * A tick is a shot with a reading; ticks lie by camera, then in the order of the card. A run is a stretch in the making: ticks of one
 * camera between two settings of its clock. A tagged run may hold several zones; stretches are cut from it at the end.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_CLOCK_PRIVATE_H
#define GABLEBOOK_CLOCK_PRIVATE_H

#include <gablebook/clock.h>

#define HOUR_S 3600.0
#define DAY_S 86400.0
#define QUARTER_S 900.0

typedef struct {
    guint index;           /* of its reading */
    const GbReading *r;
    double tag_s;          /* the zone of its camera's tag, carried to shots without one; NAN: the camera has none */
    double gps_s;          /* reading - GPS UTC as the file has it; NAN without, or when the fix was used before */
    double zone_s;         /* as found; NAN unknown */
    GbZoneHow zone_how;
    double offset_s;       /* reading - UTC as found; NAN unknown */
    double error_s;        /* reading - local as found; NAN unknown */
} GbTick;

typedef struct {
    guint first, last;     /* ticks, both included */
    gboolean tagged;
    double base_s;         /* GPS difference less the tag (if tagged); NAN without GPS */
    GbClockStretch found;  /* what does not depend on the zone is filled in */
} GbRun;

/* reading - tag: the time that goes on evenly when a tagged camera changes its zone. */
double gb_tick_steady_s(const GbTick *tick);

/* Take the GPS differences of one camera's ticks, and cut it into runs, which are appended to runs (GArray of GbRun).
 *   ticks  all ticks of the card; first and n say which are the camera's; their tag_s must be set */
void gb_clock_cut(GbTick *ticks, guint first, guint n, GArray *runs);

/* The middle of the densest half of n values (sorted in place), and a robust standard deviation around it (NAN for one value). */
double gb_clock_middle(double *values, gsize n, double *spread);

/* A zone in whole quarter hours that exists, nearest to a difference; NAN when none is. */
double gb_clock_round(double offset_s);

#endif
