/* burst.h -- which shots of a day are blurred, badly exposed, or one picture taken several times?
 *
 * Each shot is held against the others of its camera, for what is dark or soft depends on the day and the lens as much as on the
 * photographer; without enough others (fewer than GB_BURST_CARD measured shots) only what is plain without them is said. Near-duplicates
 * are shots of one camera, taken one soon after the other, whose difference hashes are near. Knows neither files nor database:
 * measures and times in, flaws with reasons out.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_BURST_H
#define GABLEBOOK_BURST_H

#include <gablebook/quality.h>

G_BEGIN_DECLS

#define GB_BURST_CARD 8 /* so many shots make a card that a shot can stand out from */

typedef struct {
    gint64 number;    /* as people call the shot; for the reasons only */
    double time_s;    /* when taken, seconds of any clock all shots of this camera share; NAN: unknown, then never a duplicate */
    int camera;       /* any number that tells cameras apart; 0 if there is but one */
    gboolean damaged; /* only partly readable: its measures are passed over */
    gboolean measured; /* FALSE: nothing is known of its pixels, quality is not read */
    GbQuality quality;
} GbBurstShot;

typedef enum {
    GB_FLAW_BLURRED,      /* even its sharpest edges are smeared so far that a report shows it */
    GB_FLAW_SOFT,         /* not blurred, but clearly less sharp than the card, or than the best of its group */
    GB_FLAW_OVEREXPOSED,
    GB_FLAW_UNDEREXPOSED,
    GB_FLAW_DUPLICATE,    /* nearly the same picture as another of its group, which is the better one */
} GbFlaw;
#define GB_FLAWS (GB_FLAW_DUPLICATE + 1)

/* "blurred", "soft", "overexposed", "underexposed", "near-duplicate"; constant. */
const char *gb_flaw_text(GbFlaw flaw);
/* Whether a shot with this flaw is weak as evidence: blurred, over- or underexposed. Soft and near-duplicate only advise. */
gboolean gb_flaw_weakens(GbFlaw flaw);

typedef struct GbBurst GbBurst; /* contents: src/sense/burst.c */

/* Judge n shots, in any order; shots is BORROWED for the call. OWNED by the caller. O(n log n). */
GbBurst *gb_burst_judge(const GbBurstShot *shots, gsize n);
void gb_burst_free(GbBurst *burst); /* NULL is allowed */
G_DEFINE_AUTOPTR_CLEANUP_FUNC(GbBurst, gb_burst_free)

/* All shots below by their place in the array.
 * Why shot i has this flaw, as one plain clause ("even its sharpest edges are smeared over 5.1 px of a picture 1000 px
 * wide"), the same in every locale; NULL: it hasn't.
 * BORROWED until the burst is freed. */
const char *gb_burst_why(const GbBurst *burst, gsize i, GbFlaw flaw);
/* The group of near-duplicates, 0 ... gb_burst_groups() - 1, by camera and time; -1: shot i is like no other. */
int gb_burst_group(const GbBurst *burst, gsize i);
int gb_burst_groups(const GbBurst *burst);
/* The shot to keep of i's group: readable and well exposed before badly, sharp before blurred, then the sharper, then the
 * earlier; i itself when it is in no group. */
gsize gb_burst_best(const GbBurst *burst, gsize i);

G_END_DECLS
#endif
