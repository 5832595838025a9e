/* new.c -- the verb new. See new.h.
 *
 * The claim's database is committed last, when the set lies beside it: killed at any moment, there is a whole claim or none, and then the
 * same command makes it.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <gablebook/new.h>

#include "work-private.h"

#include <gablebook/checklist.h>
#include <gablebook/set.h>
#include <log/rows.h>
#include <math.h>

/* Without a set a new folder has no checklists of its own: it must be one of the program's. */
static gboolean settle_checklist(GbClaim *claim, const GbSet *set, GError **error)
{
    if (claim->checklist == NULL)
        claim->checklist = g_strdup(gb_set_only_checklist(set));
    if (claim->checklist == NULL || gb_set_has_checklist(set, claim->checklist))
        return TRUE;
    g_autoptr(GbCatalogue) catalogue = gb_catalogue_builtin(error);
    g_autoptr(GbFactlist) factlist = catalogue == NULL ? NULL : gb_factlist_builtin(catalogue, error);
    g_autoptr(GbChecklist) checklist = factlist == NULL ? NULL : gb_checklist_builtin(claim->checklist, catalogue, factlist, error);
    if (checklist != NULL)
        gb_edit_spell_out(&claim->checklist);
    return checklist != NULL;
}

/* The set beside the database, then the claim is there; or neither. */
static gboolean settle_with_set(GbLog *log, const GbSet *set, GError **error)
{
    g_autofree char *templates = gb_log_path(log, "templates", NULL);
    if (!gb_set_copy(set, templates, error))
        return FALSE;
    if (gb_log_settle(log, error))
        return TRUE;
    gb_set_take_back(set, templates);
    return FALSE;
}

static GbSet *load_set(const GbBeginning *beginning, GError **error)
{
    g_autoptr(GbSet) set = beginning->set == NULL ? gb_set_new() : gb_set_read(beginning->set, error);
    gboolean ok = set != NULL && gb_set_add_letterhead(set, beginning->sender, beginning->sender_address, beginning->logo, error);
    return ok ? g_steal_pointer(&set) : NULL;
}

GbLog *gb_new_with(const char *folder, const GbEdit *facts, const GbBeginning *beginning, GError **error)
{
    g_autoptr(GbClaim) claim = g_new0(GbClaim, 1);
    claim->front_azimuth_deg = NAN;
    g_autoptr(GbSet) set = load_set(beginning, error);
    if (set == NULL || !gb_edit_apply(claim, facts, error) || !settle_checklist(claim, set, error))
        return NULL;
    gboolean there = g_file_test(folder, G_FILE_TEST_EXISTS);
    GbLog *log = gb_log_start(folder, error);
    if (log != NULL && (!gb_claim_begin(log, claim, error) || !settle_with_set(log, set, error)))
        gb_log_unmake(g_steal_pointer(&log), !there);
    return log;
}

GbLog *gb_new(const char *folder, const GbEdit *facts, GError **error)
{
    const GbBeginning plain = { 0 };
    return gb_new_with(folder, facts, &plain, error);
}
