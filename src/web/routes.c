/* routes.c -- the list of routes. See README.md for what each says.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "web-private.h"

extern const GbWebRoute gb_route_page, gb_route_part, gb_route_claim, gb_route_shots, gb_route_changes, gb_route_history,
    gb_route_history_entry, gb_route_tag, gb_route_edit, gb_route_structure, gb_route_waive, gb_route_undo, gb_route_redo, gb_route_upload,
    gb_route_import, gb_route_report, gb_route_reports, gb_route_report_file, gb_route_job, gb_route_job_stop, gb_route_picture,
    gb_route_stop;

static const GbWebRoute *const routes[] = {
    &gb_route_page,   &gb_route_part,      &gb_route_claim,   &gb_route_shots,   &gb_route_changes,     &gb_route_history,
    &gb_route_history_entry, &gb_route_tag, &gb_route_edit,   &gb_route_structure, &gb_route_waive,     &gb_route_undo,
    &gb_route_redo,   &gb_route_upload,    &gb_route_import,  &gb_route_report,  &gb_route_reports,     &gb_route_report_file,
    &gb_route_job,    &gb_route_job_stop,  &gb_route_picture, &gb_route_stop,
};

/* A path that ends with '/' stands for all below it; "/" alone is itself. */
static gboolean fits(const GbWebRoute *route, const char *path)
{
    gsize n = strlen(route->path);
    gboolean prefix = n > 1 && route->path[n - 1] == '/';
    return prefix ? g_str_has_prefix(path, route->path) && path[n] != '\0' : strcmp(path, route->path) == 0;
}

const GbWebRoute *gb_web_find_route(const char *method, const char *path, gboolean *other_method)
{
    *other_method = FALSE;
    for (gsize i = 0; i < G_N_ELEMENTS(routes); i++) {
        if (!fits(routes[i], path))
            continue;
        if (strcmp(routes[i]->method, method) == 0)
            return routes[i];
        *other_method = TRUE;
    }
    return NULL;
}
