/* report-private.h -- what the files of this room share.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_REPORT_PRIVATE_H
#define GABLEBOOK_REPORT_PRIVATE_H

#include <gablebook/report.h>

/* Set a text member; NULL and "" leave it out, so that a template can ask for it. Text that is not UTF-8 is made so. */
void gb_put_text(json_t *object, const char *key, const char *text);

/* name with its first letter in upper case. OWNED by the caller. */
char *gb_heading(const char *name);

/* When a photo was taken by its camera: {"local", "zone", "machine"}; NULL when unknown. OWNED by the caller. */
json_t *gb_figure_time(const GbShot *shot);
/* The same moment as a number, seconds of local time since 1970-01-01; NAN unknown. */
double gb_figure_local_s(const GbShot *shot);

/* One shot as a figure of the report (docs/report-model.md). OWNED by the caller. */
json_t *gb_figure_json(const GbShot *shot, guint number, const GPtrArray *places, const GbCatalogue *catalogue);

/* Facts and test squares as tables: the members "facts" and "squares" of the model, each absent where there are none.
 *   figure_of  GbShot -> figure number, as GUINT_TO_POINTER; BORROWED */
void gb_put_facts(json_t *model, const GbDossier *dossier, GHashTable *figure_of);
/* What contradicts itself, and what has no proof: the members "differing" and "unproven" of attention, absent where there is nothing. */
void gb_put_points(json_t *attention, const GbKnowledge *known);

/* The member "remarks": the notes for the report that are on a place, on a shot, or (both 0) on the claim; always there, perhaps empty. */
void gb_put_remarks(json_t *object, const GPtrArray *notes, gint64 place, gint64 shot);

#endif
