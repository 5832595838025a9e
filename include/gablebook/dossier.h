/* dossier.h -- everything about a claim, loaded at once: what a check, a list and a report are made from.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_DOSSIER_H
#define GABLEBOOK_DOSSIER_H

#include <gablebook/check.h>
#include <gablebook/component.h>
#include <gablebook/finding.h>
#include <gablebook/note.h>
#include <gablebook/roofs.h>
#include <gablebook/state.h>

G_BEGIN_DECLS

/* All OWNED by the dossier, none NULL but the threshold. */
typedef struct {
    GbClaim *claim;
    GPtrArray *structures; /* gb_structures_load */
    GPtrArray *places;     /* gb_places_load */
    GPtrArray *shots;      /* gb_shots_load */
    GPtrArray *waivers;    /* gb_waivers_load */
    GPtrArray *findings;   /* gb_findings_load */
    GPtrArray *facts;      /* gb_facts_load */
    GPtrArray *squares;    /* gb_squares_load */
    GbThreshold *threshold; /* gb_threshold_load; NULL: none is set */
    GPtrArray *notes;      /* gb_notes_load */
    GbRoof *roof;          /* gb_roofs_load: what was measured of all roofs */
    GbCatalogue *catalogue; /* the program's, extended by FOLDER/templates/subjects.ini where that is */
    GbComponents *components; /* the program's, extended by FOLDER/templates/components.ini where that is */
    GbFactlist *factlist;   /* the program's, extended by FOLDER/templates/facts.ini where that is */
    GbKnowledge *known;     /* facts and test squares, recorded or told by photos */
    GbChecklist *checklist; /* the claim's, else the one that fits its cause; FOLDER/templates/checklists/NAME.ini comes
                               before the program's own of that name */
    GbCheck *check;         /* the log held against the checklist */
    GbState state;          /* of the log, from which all of it was loaded */
} GbDossier;

/* Load it. Errors are those of the loaders; GB_ERROR_SYNTAX of the claim's own files says file and line. OWNED by the caller. */
GbDossier *gb_dossier_load(GbLog *log, GError **error);

/* The catalogue of a claim alone. OWNED by the caller. */
GbCatalogue *gb_dossier_catalogue(const GbLog *log, GError **error);
/* Its components alone. OWNED by the caller. */
GbComponents *gb_dossier_components(const GbLog *log, GError **error);
/* Its list of facts alone. OWNED by the caller. */
GbFactlist *gb_dossier_factlist(const GbLog *log, const GbCatalogue *catalogue, GError **error);
/* A checklist by name as a claim sees it: its own before the program's. OWNED by the caller. */
GbChecklist *gb_dossier_checklist(const GbLog *log, const char *name, const GbCatalogue *catalogue, const GbFactlist *factlist,
                                  GError **error);

void gb_dossier_free(GbDossier *dossier); /* NULL is allowed */
G_DEFINE_AUTOPTR_CLEANUP_FUNC(GbDossier, gb_dossier_free)

G_END_DECLS
#endif
