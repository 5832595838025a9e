/* new.c -- the verb new. See new.h.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <gablebook/new.h>

#include "work-private.h"

#include <gablebook/checklist.h>
#include <log/rows.h>
#include <math.h>

/* A new folder has no checklists of its own: it must be one of the program's. */
static gboolean settle_checklist(GbClaim *claim, GError **error)
{
    if (claim->checklist == NULL)
        return TRUE;
    g_autoptr(GbCatalogue) catalogue = gb_catalogue_builtin(error);
    g_autoptr(GbFactlist) factlist = catalogue == NULL ? NULL : gb_factlist_builtin(catalogue, error);
    g_autoptr(GbChecklist) checklist = factlist == NULL ? NULL : gb_checklist_builtin(claim->checklist, catalogue, factlist, error);
    if (checklist != NULL)
        gb_edit_spell_out(&claim->checklist);
    return checklist != NULL;
}

GbLog *gb_new(const char *folder, const GbEdit *facts, GError **error)
{
    g_autoptr(GbClaim) claim = g_new0(GbClaim, 1);
    claim->front_azimuth_deg = NAN;
    if (!gb_edit_apply(claim, facts, error) || !settle_checklist(claim, error))
        return NULL;
    gboolean there = g_file_test(folder, G_FILE_TEST_EXISTS);
    GbLog *log = gb_log_create(folder, error);
    if (log != NULL && !gb_claim_begin(log, claim, error))
        gb_log_unmake(g_steal_pointer(&log), !there);
    return log;
}
