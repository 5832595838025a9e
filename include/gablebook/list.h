/* list.h -- which shots: the table of a claim, filtered.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_LIST_H
#define GABLEBOOK_LIST_H

#include <gablebook/camera.h>
#include <gablebook/dossier.h>
#include <jansson.h>

G_BEGIN_DECLS

/* All that is said must hold. Text in a person's words (word.h), BORROWED for the call; NULL and FALSE: no matter. */
typedef struct {
    const char *shots;    /* "3,7-12" */
    const char *place;    /* "" : without a place */
    const char *subject;  /* "" : without a subject */
    const char *distance; /* "" : without a distance */
    gboolean left_out;    /* only those left out of the report */
} GbListFilter;

/* The shots that pass, in order of time. Array of const GbShot * BORROWED from the dossier; the array is OWNED by the caller
 * (g_ptr_array_unref). GB_ERROR_SYNTAX, _UNKNOWN, _UNCLEAR. */
GPtrArray *gb_list(const GbDossier *dossier, const GbListFilter *filter, GError **error);

/* Those shots as JSON: an array of {"number", "file", "sha256", "taken" (corrected local time or null), "taken_utc",
 * "reading" (the camera's own), "correction_s", "zone_min", "clock_known_by" (clock.h), "offset_min" (as the file says), "camera",
 * "lat", "lon", "position_error_m", "heading_deg", "heading_ref", "place", "subject", "distance", "value", "caption",
 * "caption_written" (by a person), "left_out", "damaged", "weak", "remark"}. Unknown is null. OWNED by the caller (json_decref). */
json_t *gb_list_json(const GbDossier *dossier, const GPtrArray *shots);

/* The attachments (attachment.h) as JSON: an array of {"file", "stored", "sha256", "kind", "bytes", "beside" (a shot's number or null)}. OWNED by
 * the caller. */
json_t *gb_list_attachments_json(const GbDossier *dossier);

G_END_DECLS
#endif
