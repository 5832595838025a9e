/* claim.h -- the facts of a claim, its structures and their places.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_CLAIM_H
#define GABLEBOOK_CLAIM_H

#include <gablebook/log.h>
#include <gablebook/place.h>

G_BEGIN_DECLS

/* Text members: OWNED by the struct, NULL when unknown. */
typedef struct {
    char *insured;
    char *number; /* the carrier's claim number */
    char *address;
    char *loss_date;       /* YYYY-MM-DD */
    char *inspection_date; /* YYYY-MM-DD */
    char *cause;           /* one or several of hail, wind, water, fire, impact, other: "hail, wind" */
    char *adjuster;
    char *checklist;          /* name of the checklist; NULL: chosen by the cause */
    double front_azimuth_deg; /* outward normal of the front wall, 0 <= a < 360, true; NAN unknown */
} GbClaim;

/* Read the claim. OWNED by the caller (gb_claim_free). */
GbClaim *gb_claim_load(GbLog *log, GError **error);
void gb_claim_free(GbClaim *claim); /* NULL is allowed */
G_DEFINE_AUTOPTR_CLEANUP_FUNC(GbClaim, gb_claim_free)

typedef struct {
    gint64 id;
    char *name; /* "dwelling", "garage": unique in the claim */
    char *kind; /* one of gb_structure_kinds() */
} GbStructure;

typedef struct {
    gint64 id;
    gint64 structure; /* 0 for the site */
    char *structure_name; /* "" for the site */
    char *structure_kind; /* "" for the site */
    GbPlaceKind kind;
    GbFace face;  /* elevations and slopes only */
    char *room;   /* rooms only, else NULL */
    char *label;  /* gb_place_label */
    char *title;  /* gb_place_title */
    gboolean on_dwelling;
} GbPlace;

/* All structures, dwelling first, then as added: array of GbStructure. OWNED by the caller (g_ptr_array_unref). */
GPtrArray *gb_structures_load(GbLog *log, GError **error);

/* All places in walk order: site; dwelling: whole, elevations (front right rear left), roof, slopes (same
 * order), rooms as added; then the other structures likewise. Array of GbPlace, OWNED by the caller. */
GPtrArray *gb_places_load(GbLog *log, GError **error);

/* Find a place by what a person typed (word.h rules over labels). NULL with GB_ERROR_UNKNOWN, _UNCLEAR. BORROWED from the array. */
const GbPlace *gb_places_find(const GPtrArray *places, const char *text, GError **error);
/* The place of that id, or NULL. BORROWED from the array. */
const GbPlace *gb_places_by_id(const GPtrArray *places, gint64 id);

G_END_DECLS
#endif
