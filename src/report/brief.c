/* brief.c -- the page before the visit as HTML: gb_brief_html, see brief.h.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "report-private.h"

#include <gablebook/brief.h>

gboolean gb_brief_html(const GbLog *log, const GbDossier *dossier, const char *out, char **written, GError **error)
{
    g_autoptr(GbTemplate) page = gb_report_template(log, NULL, GB_BRIEF_TEMPLATE, error);
    if (page == NULL)
        return FALSE;
    json_t *brief = gb_brief_json(dossier);
    json_object_set_new(brief, "program", json_pack("{s:s, s:s}", "name", "gablebook", "version", GB_VERSION));
    gb_put_state(brief, &dossier->state);
    g_autofree char *path = out != NULL ? g_strdup(out) : gb_log_path(log, "reports", GB_BRIEF_TEMPLATE, NULL);
    gboolean done = gb_report_write(page, brief, NULL, 0, path, error);
    json_decref(brief);
    if (done && written != NULL)
        *written = g_steal_pointer(&path);
    return done;
}
