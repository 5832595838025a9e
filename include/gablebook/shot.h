/* shot.h -- the photos of a claim: what the file says, and what a person said of it.
 *
 * A shot's number is its for ever: never changed, never used again, also after undo. Figure numbers belong to one report.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_SHOT_H
#define GABLEBOOK_SHOT_H

#include <gablebook/catalogue.h>
#include <gablebook/claim.h>
#include <gablebook/clock.h>
#include <gablebook/exif.h>
#include <gablebook/log.h>
#include <gablebook/mark.h>
#include <gablebook/quality.h>

G_BEGIN_DECLS

typedef struct {
    gint64 number;

    /* From the file; never changes. Text OWNED by the struct. */
    char *sha256;      /* 64 hex digits */
    char *source_name; /* the file's name on the card, valid UTF-8 */
    char *stored_name; /* its name in originals/ */
    gint64 bytes;
    int width, height;   /* as stored, before turning */
    GbExif exif;

    /* From its pixels, once somebody looked at them (survey.h); never changes. */
    gboolean looked_at;
    char *trouble;       /* why no picture can be made of it; NULL none is known */
    gboolean damaged;    /* partly readable */
    gboolean measured;   /* quality is known */
    GbQuality quality;

    /* What follows from it and from the claim's other shots, computed anew at every load. */
    char *camera;        /* key of the camera that took it (camera.h) */
    GbClockTime time;    /* reading, correction, corrected time, and how that is known */
    guint rank;          /* place in the order of corrected time, from 1; 0: not loaded from a log */
    char *weak;          /* why it is weak as evidence: "blurred: even its sharpest edges ..."; NULL it is not */
    char *remark;        /* "soft: ...", "near-duplicate: ..."; NULL nothing to say */

    /* From the user. */
    gint64 place;         /* GbPlace id; 0 none yet */
    char *subject;        /* GbSubject id; NULL none yet */
    GbDistance distance;  /* UNKNOWN: none said (the subject's own then counts, see gb_shot_distance) */
    char *value;          /* as typed; NULL none */
    double value_number;  /* normalised by the subject's kind; NAN none */
    char *caption;        /* the user's own words; NULL: composed from what is known */
    gboolean left_out;    /* not in the report */
    gint64 hand_order;    /* the user's own order within the place, from 1; 0 none: by time */
    GPtrArray *marks;     /* of GbMark, in the order they were drawn; NULL none */
} GbShot;

/* All shots by corrected capture time (clock.h, with what people said of the clocks; unknown times last; then file name, then
 * number): array of GbShot, OWNED by the caller (g_ptr_array_unref). */
GPtrArray *gb_shots_load(GbLog *log, GError **error);

/* Some shots alone, without their marks, and without times and flaws, which would need all the others: array of GbShot in the order of the ranges, each
 * once; numbers that are not in the claim are left out. ranges: of GbRange (numbers.h), BORROWED. OWNED by the caller. */
GPtrArray *gb_shots_load_ranges(GbLog *log, const GArray *ranges, GError **error);

/* All originals the log knows, also of shots that were undone: digest to name in originals/, both char *. OWNED by the caller
 * (g_hash_table_unref). */
GHashTable *gb_original_names(GbLog *log, GError **error);
/* The same of all attachments (attachment.h) that ever came; of both. */
GHashTable *gb_attachment_names(GbLog *log, GError **error);
GHashTable *gb_kept_names(GbLog *log, GError **error);
/* How long those files are: a set of gint64. OWNED likewise. */
GHashTable *gb_kept_sizes(GbLog *log, GError **error);

/* The shot of that number, or NULL. BORROWED from the array. O(n). */
const GbShot *gb_shots_by_number(const GPtrArray *shots, gint64 number);

/* Whether it shows a sketch or notes (catalogue.h: paper), not the property itself. */
gboolean gb_shot_is_paper(const GbShot *shot, const GbCatalogue *catalogue);

/* The distance that counts: the user's, else what the subject usually is. */
GbDistance gb_shot_distance(const GbShot *shot, const GbCatalogue *catalogue);

/* The caption that is shown: the user's words, else composed from place, subject, distance and value. OWNED by the caller;
 * never NULL, "" when nothing is known. */
char *gb_shot_caption(const GbShot *shot, const GPtrArray *places, const GbCatalogue *catalogue);

/* Order of two shots within their place as the report shows them: the user's own order first; then overview, mid-range,
 * close-up (unknown last); then as gb_shots_load. Wants the effective distances. qsort-like result. */
int gb_shot_compare(const GbShot *a, GbDistance a_distance, const GbShot *b, GbDistance b_distance);

G_END_DECLS
#endif
