/* catalogue.h -- what a photo can show: the subjects.
 *
 * A subject is a section of templates/subjects.ini; a claim may add subjects of its own, or change some, in its
 * folder (templates/subjects.ini there). Keys of a section:
 *
 *     [siding-size]
 *     name     = Siding size
 *     plain    = How much of each board shows; it tells which siding fits      (for the insured)
 *     caption  = [{place}: ]siding exposure[ {value}]
 *     distance = close-up                                                      (what it usually is)
 *     value    = length                                                        (see measure.h)
 *     shows    = damage | no damage | neither                                  (absent: neither)
 *     paper    = yes | no                                 (a sketch or notes: in a chapter of their own, wherever placed; absent: no)
 *
 * In a caption pattern {place} {subject} {distance} {value} stand for what is known; a part in [ ] vanishes when a
 * field in it is unknown, and all but {subject} may be. {value hit|hits} is the value with the word that fits one or
 * many. Without a pattern it is [{place}: ]{subject}[ {value}][, {distance}].
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_CATALOGUE_H
#define GABLEBOOK_CATALOGUE_H

#include <gablebook/measure.h>
#include <gablebook/place.h>
#include <glib.h>

G_BEGIN_DECLS

typedef enum { GB_SHOWS_NEITHER, GB_SHOWS_DAMAGE, GB_SHOWS_NO_DAMAGE } GbShows;

typedef struct {
    char *id;      /* the section: "siding-size"; stored in the log */
    char *name;    /* "Siding size"; what people type and read */
    char *plain;   /* one plain sentence for the insured; never NULL, may be "" */
    char *caption; /* the pattern; never NULL */
    GbDistance distance;
    GbValueKind value;
    GbShows shows;
    gboolean paper; /* shows no part of the property but what was drawn or written of it */
} GbSubject;

typedef struct GbCatalogue GbCatalogue;

/* The catalogue this program was built with. OWNED by the caller. Cannot fail but by a fault of the build. */
GbCatalogue *gb_catalogue_builtin(GError **error);

/* Add the subjects of a file: new ones after the present ones, a section that exists already replaces only the keys it gives.
 * GB_ERROR_SYNTAX with file and line; the catalogue is then unchanged. */
gboolean gb_catalogue_extend(GbCatalogue *catalogue, const char *path, GError **error);

guint gb_catalogue_size(const GbCatalogue *catalogue);
/* The i-th subject in the catalogue's order. BORROWED until the catalogue changes. */
const GbSubject *gb_catalogue_peek(const GbCatalogue *catalogue, guint i);
/* The subject of that exact id, or NULL. BORROWED likewise. */
const GbSubject *gb_catalogue_by_id(const GbCatalogue *catalogue, const char *id);
/* The subject a person means (word.h rules over names and ids). NULL with GB_ERROR_UNKNOWN or _UNCLEAR. BORROWED likewise. */
const GbSubject *gb_catalogue_find(const GbCatalogue *catalogue, const char *text, GError **error);

/* The caption composed from what is known.
 *   place_title  as gb_place_title says it, or NULL; value: as the user wrote it, or NULL
 * OWNED by the caller; never NULL; begins with a capital. A subject of NULL (unknown) composes "Front elevation, overview"
 * or, where nothing is known, "". A title's own colon becomes a comma ("Garage, front elevation: gutter"); a length without
 * a unit gets its "in". */
char *gb_caption_compose(const GbSubject *subject, const char *place_title, GbDistance distance, const char *value);

void gb_catalogue_free(GbCatalogue *catalogue); /* NULL is allowed */
G_DEFINE_AUTOPTR_CLEANUP_FUNC(GbCatalogue, gb_catalogue_free)

G_END_DECLS
#endif
