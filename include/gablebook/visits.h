/* visits.h -- a day's card read without importing it: which photos belong to which property.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_VISITS_H
#define GABLEBOOK_VISITS_H

#include <gablebook/clock.h>
#include <gablebook/new.h>
#include <gablebook/exif.h>
#include <gablebook/sidecar.h>
#include <gablebook/visit.h>

G_BEGIN_DECLS

/* A photo of the card. Text OWNED by the struct. */
typedef struct {
    char *path;
    gint64 bytes; /* size of the file */
    GbExif exif;
    GbClockTime time; /* corrected with all cameras of the card */
    guint visit;      /* index into the card's visits */
    GPtrArray *attachments; /* of char *: raw photos, videos ... (format.h) that lie beside it and go where it goes: of its name but for the
                               ending, else behind it in the folder */
} GbCardPhoto;

typedef struct {
    GPtrArray *photos;   /* of GbCardPhoto, in the order of corrected time */
    GPtrArray *left_out; /* of char *: one sentence a file that is neither photo nor attachment, or an attachment of no photo */
    GbSidecars sidecars; /* passed over */
    GbVisits *visits;
} GbCard;

/* Read files and folders as import does; of each file only what its header wants. paths NULL-terminated, BORROWED. Never fails as a whole. OWNED
 * by the caller (gb_card_free). */
GbCard *gb_card_read(const char *const *paths);
void gb_card_free(GbCard *card); /* NULL is allowed */
G_DEFINE_AUTOPTR_CLEANUP_FUNC(GbCard, gb_card_free)

/* One claim folder that was filled. Text OWNED by the struct. */
typedef struct {
    char *folder;
    guint fresh, known, left_out, attached; /* photos taken in, there already, not taken; attachments taken in */
} GbCardClaim;

/* Make a claim folder in dir for each property (visits of one property share it; a visit whose property is unknown has its own) and import
 * its photos: "2026-05-14-property-1". A folder that is a claim already is added to when it holds some of these photos or others of their
 * property, so that a run that was cut short can be repeated and a second card of the day finds its place; else the next number is taken.
 *   dir  made when absent
 *   facts, beginning  of the claims that are made (gb_new_with), but for the day of the inspection; NULL: none. BORROWED for the call
 * Array of GbCardClaim, OWNED by the caller (g_ptr_array_unref), or NULL with error: what was made until then stays and is whole. */
GPtrArray *gb_card_into(const GbCard *card, const char *dir, const GbEdit *facts, const GbBeginning *beginning, GError **error);

G_END_DECLS
#endif
