/* dossier.c -- see dossier.h.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <gablebook/dossier.h>
#include <gablebook/error.h>
#include <gablebook/quote.h>

void gb_dossier_free(GbDossier *dossier)
{
    if (dossier == NULL)
        return;
    gb_check_free(dossier->check); /* first: its lines point into the checklist */
    gb_checklist_free(dossier->checklist);
    gb_knowledge_free(dossier->known); /* before what it points into */
    gb_factlist_free(dossier->factlist);
    gb_components_free(dossier->components);
    gb_catalogue_free(dossier->catalogue);
    g_clear_pointer(&dossier->notes, g_ptr_array_unref);
    gb_threshold_free(dossier->threshold);
    g_clear_pointer(&dossier->squares, g_ptr_array_unref);
    g_clear_pointer(&dossier->facts, g_ptr_array_unref);
    g_clear_pointer(&dossier->findings, g_ptr_array_unref);
    gb_roof_free(dossier->roof);
    g_clear_pointer(&dossier->waivers, g_ptr_array_unref);
    g_clear_pointer(&dossier->shots, g_ptr_array_unref);
    g_clear_pointer(&dossier->places, g_ptr_array_unref);
    g_clear_pointer(&dossier->structures, g_ptr_array_unref);
    gb_claim_free(dossier->claim);
    g_free(dossier);
}

GbCatalogue *gb_dossier_catalogue(const GbLog *log, GError **error)
{
    g_autoptr(GbCatalogue) catalogue = gb_catalogue_builtin(error);
    g_autofree char *own = gb_log_path(log, "templates", "subjects.ini", NULL);
    if (catalogue == NULL)
        return NULL;
    if (g_file_test(own, G_FILE_TEST_EXISTS) && !gb_catalogue_extend(catalogue, own, error))
        return NULL;
    return g_steal_pointer(&catalogue);
}

GbComponents *gb_dossier_components(const GbLog *log, GError **error)
{
    g_autoptr(GbComponents) components = gb_components_builtin(error);
    g_autofree char *own = gb_log_path(log, "templates", "components.ini", NULL);
    if (components == NULL)
        return NULL;
    if (g_file_test(own, G_FILE_TEST_EXISTS) && !gb_components_extend(components, own, error))
        return NULL;
    return g_steal_pointer(&components);
}

GbFactlist *gb_dossier_factlist(const GbLog *log, const GbCatalogue *catalogue, GError **error)
{
    g_autoptr(GbFactlist) list = gb_factlist_builtin(catalogue, error);
    g_autofree char *own = gb_log_path(log, "templates", "facts.ini", NULL);
    if (list == NULL)
        return NULL;
    if (g_file_test(own, G_FILE_TEST_EXISTS) && !gb_factlist_extend(list, own, catalogue, error))
        return NULL;
    return g_steal_pointer(&list);
}

GbChecklist *gb_dossier_checklist(const GbLog *log, const char *name, const GbCatalogue *catalogue, const GbFactlist *factlist,
                                  GError **error)
{
    /* The name comes from a database that others may have written: it must not lead out of the folder. */
    if (*name == '\0' || *name == '.' || strpbrk(name, "/\\") != NULL) {
        g_autofree char *shown = gb_quote(name);
        g_set_error(error, GB_ERROR, GB_ERROR_UNKNOWN, "%s can't be the name of a checklist", shown);
        return NULL;
    }
    g_autofree char *file = g_strconcat(name, ".ini", NULL);
    g_autofree char *own = gb_log_path(log, "templates", "checklists", file, NULL);
    if (g_file_test(own, G_FILE_TEST_EXISTS))
        return gb_checklist_load(own, catalogue, factlist, error);
    return gb_checklist_builtin(name, catalogue, factlist, error);
}

/* All from one state of the log, whoever writes meanwhile. */
static gboolean load_rows(GbDossier *dossier, GbLog *log, GError **error)
{
    if (!gb_log_freeze(log, error))
        return FALSE;
    gboolean ok = (dossier->claim = gb_claim_load(log, error)) != NULL &&
           (dossier->structures = gb_structures_load(log, error)) != NULL &&
           (dossier->places = gb_places_load(log, error)) != NULL && (dossier->shots = gb_shots_load(log, error)) != NULL &&
           (dossier->waivers = gb_waivers_load(log, error)) != NULL && (dossier->findings = gb_findings_load(log, error)) != NULL &&
           (dossier->facts = gb_facts_load(log, error)) != NULL && (dossier->squares = gb_squares_load(log, error)) != NULL &&
           gb_threshold_load(log, &dossier->threshold, error) && (dossier->notes = gb_notes_load(log, error)) != NULL &&
           (dossier->roof = gb_roofs_load(log, dossier->places, error)) != NULL && gb_state_load(log, &dossier->state, error);
    gb_log_thaw(log);
    return ok;
}

GbDossier *gb_dossier_load(GbLog *log, GError **error)
{
    g_autoptr(GbDossier) dossier = g_new0(GbDossier, 1);
    if (!load_rows(dossier, log, error))
        return NULL;
    const GbClaim *claim = dossier->claim;
    dossier->catalogue = gb_dossier_catalogue(log, error);
    if (dossier->catalogue == NULL || (dossier->components = gb_dossier_components(log, error)) == NULL ||
        (dossier->factlist = gb_dossier_factlist(log, dossier->catalogue, error)) == NULL)
        return NULL;
    dossier->checklist = gb_dossier_checklist(log, claim->checklist != NULL ? claim->checklist : gb_checklist_for_cause(claim->cause),
                                              dossier->catalogue, dossier->factlist, error);
    if (dossier->checklist == NULL)
        return NULL;
    gb_findings_follow(dossier->findings, dossier->places, dossier->roof);
    dossier->known = gb_knowledge_make(dossier->places, dossier->shots, dossier->facts, dossier->squares, dossier->factlist,
                                       dossier->catalogue);
    const GbCheckInput input = { .claim = claim, .places = dossier->places, .shots = dossier->shots, .waivers = dossier->waivers,
                                 .findings = dossier->findings, .components = dossier->components, .known = dossier->known, .roof = dossier->roof,
                                 .checklist = dossier->checklist, .catalogue = dossier->catalogue };
    dossier->check = gb_check_run(&input);
    return g_steal_pointer(&dossier);
}
