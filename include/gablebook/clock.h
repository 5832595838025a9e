/* clock.h -- how wrong were the cameras' clocks?
 *
 * A camera writes local time; its GPS writes UTC. Over the shots of one camera the difference, reading - UTC, is a zone
 * (whole quarter hours) plus an error of the clock. What orders shots is the difference alone: corrected UTC is the
 * result that can be relied on; how the difference splits into zone and error is said along with how that is known.
 *
 * A card may hold several cameras, and a camera's clock may be set in the middle: a camera's shots fall into stretches
 * in which its clock ran through and its zone stayed. Knows no database: readings in, answers out.
 *
 * All times are seconds since 1970-01-01, local ones as if they were UTC. Error > 0 is ahead (fast), < 0 behind (slow).
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_CLOCK_H
#define GABLEBOOK_CLOCK_H

#include <gablebook/exif.h>
#include <glib.h>

G_BEGIN_DECLS

/* --- what the files say --- */

typedef struct {
    guint camera;       /* any number that is the same for all shots of one camera (make, model, serial) */
    const char *name;   /* file name, BORROWED; only breaks ties of the order; NULL is allowed */
    double local_s;     /* the camera's own clock; NAN unknown */
    gboolean has_offset;
    int offset_min;     /* the offset tag: minutes east of UTC; meaningful with has_offset */
    double gps_utc_s;   /* GPS date and time; NAN unless both are known */
    double gps_day_s;   /* GPS time of day alone, seconds since midnight UTC; NAN unknown */
    double lat_deg, lon_deg; /* NAN unknown */
} GbReading;

/* A reading from what was read of a file; name is BORROWED by the result. */
GbReading gb_reading_from_exif(const GbExif *exif, guint camera, const char *name);

/* --- what a person says --- */

/* This shot and that one, of another camera, were taken at the same moment. Both are indices into the readings. */
typedef struct {
    guint shot;  /* of the camera that is to be corrected */
    guint other; /* of the camera that is trusted */
} GbClockPair;

/* A person's word on one camera's clock. */
typedef struct {
    guint camera;
    double error_s;
} GbClockWord;

/* Understand "1 h 7 min slow", "67 min slow", "2:05:10 fast" (hours:minutes:seconds), "1 d 30 s behind", "1.5 hours
 * ahead", "right". Units d, h, min, s and their usual words, each once, large before small; up to 100 years.
 * GB_ERROR_SYNTAX, or GB_ERROR_UNCLEAR for a number without a unit, "1:07" (hours or minutes?) and a
 * missing slow or fast; the message shows how to write it. */
gboolean gb_clock_parse(const char *text, double *error_s, GError **error);

/* The same in the other direction, to the second: "1 h 7 min slow", "1 s fast", "right"; "" for NAN. OWNED by the caller. */
char *gb_clock_text(double error_s);

/* "-05:00", "+05:45" of a zone in minutes. OWNED by the caller. */
char *gb_zone_text(int zone_min);

/* --- what comes out --- */

typedef enum {          /* how a difference to UTC is known; a later one wins over an earlier one */
    GB_CLOCK_NONE,      /* not at all: the reading is taken as it is */
    GB_CLOCK_ALIGNED,   /* it fits best between the other cameras' shots */
    GB_CLOCK_TAG,       /* the zone is written in the file; the clock is assumed right */
    GB_CLOCK_GPS,       /* measured against GPS time */
    GB_CLOCK_PAIRED,    /* by pairs of shots that a person gave */
    GB_CLOCK_SAID       /* a person's word */
} GbClockHow;

typedef enum {          /* how a zone is known */
    GB_ZONE_NONE,       /* not at all */
    GB_ZONE_TAG,        /* written in the camera's own files */
    GB_ZONE_NEAR,       /* other shots of the card at about that place and time have it */
    GB_ZONE_ROUNDED     /* the difference to UTC, rounded to a quarter hour */
} GbZoneHow;

/* "gps", "tag", "aligned", "paired", "said", "none"; "tag", "near", "rounded", "none". */
const char *gb_clock_how_word(GbClockHow how);
const char *gb_zone_how_word(GbZoneHow how);

/* Shots of one camera, in the order of the card, over which its clock ran through and its zone stayed. */
typedef struct {
    guint camera;
    guint first, last;     /* indices of its first and last reading; other cameras' may lie between */
    guint shots;           /* with a reading of the clock */
    guint used;            /* GPS times or pairs the difference rests on; 0 for the other ways */
    GbClockHow how;
    double offset_s;       /* reading - UTC; NAN unknown */
    double spread_s;       /* robust standard deviation of what was used; aligned: of the answer. NAN with fewer than 2 */
    double confidence;     /* aligned, or tried to (how is then NONE): the chance that it is right, 0 ... 1; else NAN */
    double guess_s;        /* tried and not sure: the error it would have, best guess, for a person to judge; else NAN */
    GbZoneHow zone_how;
    int zone_min;          /* minutes east of UTC; meaningful unless zone_how is NONE */
    double error_s;        /* of the clock: offset - zone; NAN unknown. 0 assumed where how is TAG or NONE */
    gboolean tag_contradicted; /* the offset tag does not agree with GPS (a quarter hour or more, rounded) */
    int tag_min;           /* what the tag said; meaningful with tag_contradicted */
    int stamp_days;        /* the GPS date stamps are so many days late (> 0) or early, and were put right; usually 0 */
    gboolean day_unsure;   /* no date with the GPS time, and near the date line two days are possible */
} GbClockStretch;

/* How the clock of a stretch is known, and how well, for a person: "measured by GPS time in 31 shots". OWNED by the caller. */
char *gb_clock_how_text(const GbClockStretch *stretch);

typedef struct {
    double reading_s;      /* as the camera wrote it; NAN unknown */
    double correction_s;   /* reading + correction = local; NAN when local is unknown */
    double local_s;        /* corrected, in zone_min; NAN unknown */
    double utc_s;          /* corrected; NAN unknown */
    GbZoneHow zone_how;
    int zone_min;
    GbClockHow how;
    int stretch;           /* index; -1 for a shot without a reading */
} GbClockTime;

typedef struct {
    gsize n;
    GbClockTime *times;    /* n, as the readings lie */
    guint *order;          /* n indices, in the order of corrected time */
    gsize n_stretches;
    GbClockStretch *stretches; /* by camera, then in the order of the card */
} GbClockCard;

/* Correct all shots of a card (or of a day's cards together).
 *   readings  n, BORROWED, each camera's in the order in which it wrote them (its file numbers): a clock that was set is seen by that
 *   pairs, words  what persons say; both BORROWED; a later word on the same camera replaces an earlier one
 *
 * - GPS: the difference is the middle of the densest half of a stretch's values. Fixes older than their shot only ever
 *   make a difference larger, so the truth lies at the low end, where values are dense; the smallest itself would trust the one worst
 *   receiver (GPS time runs 18 s before UTC until it has heard of the leap seconds). A fix used again is not counted.
 * - A clock that was set: two shots in a row with new fixes, agreeing with each other and off the rest by more than 150 s;
 *   less can't be told from old fixes. One such shot makes a stretch only where its clock went back and no more follow.
 * - A GPS date is mended by a day, or by the 1024 weeks after which GPS starts its count anew, when nothing else gives a zone
 *   that exists; a GPS time without date gets the day that suits tag, other shots, or longitude.
 * - Zone: from the tag unless GPS contradicts it; else from tagged shots of the card within 36 h and 100 km; else by rounding, if
 *   that gives a zone between -12 and +14 h. Without any, local_s is the reading less the error where that was said, else NAN.
 * - Without GPS, tag, word or pair: aligned (gb_clock_align), at most 32 stretches; where that can't tell, zone and day as the
 *   others', clock taken as right, how NONE. There a clock that goes back more than 5 min was set; more than 5 times, and the array is
 *   not in the order of writing: then nothing is cut.
 * The order is total: corrected UTC (where the whole card has no zone: corrected local time), then reading, then name, then
 * place in the array; shots without any time come last.
 * Returns OWNED by the caller, or NULL with GB_ERROR_UNKNOWN: a pair names no such shot, one without a reading, or two of one camera;
 * or GB_ERROR_STATE: a pair's trusted camera is itself unknown. O(n log n). */
GbClockCard *gb_clock_card(const GbReading *readings, gsize n, const GbClockPair *pairs, gsize n_pairs,
                           const GbClockWord *words, gsize n_words, GError **error);
void gb_clock_card_free(GbClockCard *card); /* NULL is allowed */
G_DEFINE_AUTOPTR_CLEANUP_FUNC(GbClockCard, gb_clock_card_free)

/* --- a camera that knows nothing but its own clock --- */

typedef struct {
    gboolean found;      /* FALSE: can't tell; offset_s is then only the best guess */
    double offset_s;     /* reading - UTC; NAN when there was nothing to compare */
    double spread_s;     /* standard deviation of the answer around that, within 2 min */
    double confidence;   /* chance that offset_s is right within 90 s, 0 ... 1; 0 where most shots would lie 10 min and
                            more from all others */
} GbClockAlignment;

/* The difference within +-15 h (zones and an hour of error) at which a camera's shots fall best between the others': one person
 * has one pair of hands, so together the shots of a day keep the rhythm of one walk.
 *   local_s  its readings, ascending, n (of more than 200 the first 200 are used)
 *   utc_s    corrected times of the others, ascending, m
 *   zone_s   the others' zone, seconds: clocks right in it, or an hour off, are likelier; NAN unknown
 * found needs confidence >= 0.9. Two people who work at the same time break the model: in a simulation of that, 3 days in 100
 * were called sure, wrongly; of simulated days of one person 7 in 10 are found, 99 in 100 of these right (tests/test_clock.c).
 * O(m + n log m) with a large constant: 30 h are searched in steps of 20 s. */
GbClockAlignment gb_clock_align(const double *local_s, gsize n, const double *utc_s, gsize m, double zone_s);

G_END_DECLS
#endif
