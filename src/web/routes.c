/* routes.c -- the list of routes. See README.md for what each says.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "web-private.h"

#define ROUTES(ENTRY) \
    ENTRY(page) \
    ENTRY(part) \
    ENTRY(claim) \
    ENTRY(shots) \
    ENTRY(changes) \
    ENTRY(suggestions) \
    ENTRY(history) \
    ENTRY(history_entry) \
    ENTRY(tag) \
    ENTRY(edit) \
    ENTRY(structure) \
    ENTRY(waive) \
    ENTRY(suggest) \
    ENTRY(clock) \
    ENTRY(mark) \
    ENTRY(recorded) \
    ENTRY(fact) \
    ENTRY(square) \
    ENTRY(note) \
    ENTRY(finding) \
    ENTRY(roof) \
    ENTRY(roof_plan) \
    ENTRY(scope) \
    ENTRY(scope_csv) \
    ENTRY(leaving) \
    ENTRY(undo) \
    ENTRY(redo) \
    ENTRY(upload) \
    ENTRY(import) \
    ENTRY(report) \
    ENTRY(reports) \
    ENTRY(report_file) \
    ENTRY(export) \
    ENTRY(export_look) \
    ENTRY(export_file) \
    ENTRY(verify) \
    ENTRY(job) \
    ENTRY(job_stop) \
    ENTRY(picture) \
    ENTRY(stop)

#define DECLARE(NAME) extern const GbWebRoute gb_route_##NAME;
#define LIST(NAME) &gb_route_##NAME,
ROUTES(DECLARE)
static const GbWebRoute *const routes[] = { ROUTES(LIST) };

/* A path that ends with '/' stands for all below it; "/" alone is itself. */
static gboolean fits(const GbWebRoute *route, const char *path)
{
    gsize n = strlen(route->path);
    gboolean prefix = n > 1 && route->path[n - 1] == '/';
    return prefix ? g_str_has_prefix(path, route->path) && path[n] != '\0' : strcmp(path, route->path) == 0;
}

const GbWebRoute *gb_web_find_route(const char *method, const char *path, const char **other)
{
    *other = NULL;
    for (gsize i = 0; i < G_N_ELEMENTS(routes); i++) {
        if (!fits(routes[i], path))
            continue;
        if (strcmp(routes[i]->method, method) == 0)
            return routes[i];
        *other = routes[i]->method;
    }
    return NULL;
}
