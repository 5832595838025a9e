/* waive.c -- the verb waive. See waive.h.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <gablebook/waive.h>

#include <gablebook/dossier.h>
#include <gablebook/error.h>
#include <gablebook/escape.h>
#include <gablebook/history.h>
#include <log/rows.h>

#define WHY_MAX_BYTES 2000

static char *clean_reason(const char *why, GError **error)
{
    g_autofree char *clean = strlen(why) > WHY_MAX_BYTES ? NULL : gb_clean_text(why, strlen(why));
    if (clean == NULL)
        g_set_error(error, GB_ERROR, GB_ERROR_SYNTAX, "a waiver needs a reason of 1 to %d bytes; nothing was changed", WHY_MAX_BYTES);
    return g_steal_pointer(&clean);
}

static gboolean set_aside(GbLog *log, const GbCheckLine *line, const char *reason, GError **error)
{
    if (line->state == GB_CHECK_THERE) {
        g_set_error(error, GB_ERROR, GB_ERROR_STATE, "'%s' is there: nothing to waive; nothing was changed", line->label);
        return FALSE;
    }
    const GbWaiver waiver = { line->key, (char *)reason, (char *)gb_log_who(log), g_get_real_time() / G_USEC_PER_SEC };
    return gb_waiver_store(log, &waiver, error);
}

static gboolean take_back(GbLog *log, const GPtrArray *waivers, const GbCheckLine *line, GError **error)
{
    for (guint i = 0; i < waivers->len; i++)
        if (strcmp(((const GbWaiver *)waivers->pdata[i])->key, line->key) == 0)
            return gb_waiver_remove(log, line->key, error);
    g_set_error(error, GB_ERROR, GB_ERROR_STATE, "'%s' is not waived; nothing was changed", line->label);
    return FALSE;
}

gboolean gb_waive(GbLog *log, const char *requirement, const char *why, char **summary, GError **error)
{
    g_autofree char *reason = why == NULL ? NULL : clean_reason(why, error);
    if (why != NULL && reason == NULL)
        return FALSE;
    g_autoptr(GbChange) change = gb_change_begin(log, "waive", error);
    g_autoptr(GbDossier) dossier = change == NULL ? NULL : gb_dossier_load(log, error);
    const GbCheckLine *line = dossier == NULL ? NULL : gb_check_find(dossier->check, requirement, error);
    if (line == NULL)
        return FALSE;
    g_autofree char *text = g_strdup_printf("%s: %s", line->label, reason == NULL ? "waiver taken back" : reason);
    gboolean ok = reason == NULL ? take_back(log, dossier->waivers, line, error) : set_aside(log, line, reason, error);
    if (!ok || !gb_change_save(change, text, error))
        return FALSE;
    if (summary != NULL)
        *summary = g_steal_pointer(&text);
    return TRUE;
}
