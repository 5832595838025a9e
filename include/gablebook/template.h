/* template.h -- Mustache templates (mustache(5), the open specification) over JSON data.
 *
 * Interpolation, sections, inverted sections, comments, partials and delimiters as in the specification;
 * {{name}} is escaped for HTML, {{{name}}} and {{&name}} are not. Besides the data, a template may use functions of the
 * program by name: {{picture}} may produce megabytes that need not be in the data.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_TEMPLATE_H
#define GABLEBOOK_TEMPLATE_H

#include <glib.h>
#include <jansson.h>

G_BEGIN_DECLS

typedef struct GbTemplate GbTemplate;

/* Where rendered text goes, piece by piece. FALSE with error stops the rendering. */
typedef gboolean (*GbTemplateSink)(const char *text, gsize n, gpointer user, GError **error);

/* A function of the program: writes what stands for its name, given the innermost context. What it writes is not escaped. */
typedef struct {
    const char *name;
    gboolean (*write)(const json_t *context, GbTemplateSink sink, gpointer sink_user, gpointer user, GError **error);
    gpointer user;
} GbTemplateFunction;

/* Understand a template.
 *   name   for messages; text: NUL-terminated UTF-8; both BORROWED for the call
 * GB_ERROR_SYNTAX "report.html:12: section 'figures' is not closed". Nesting deeper than 64 is an error. OWNED by the caller. */
GbTemplate *gb_template_parse(const char *name, const char *text, GError **error);

/* Make a partial known under a name ({{> figure}}). TAKES partial; a second of the same name replaces the first. A partial
 * that is unknown renders as nothing (as the specification says). */
void gb_template_add_partial(GbTemplate *main, const char *name, GbTemplate *partial);

/* Render.
 *   data       BORROWED for the call
 *   functions  n of them, BORROWED for the call; data of the same name comes first
 * Partials that include each other deeper than 64 are GB_ERROR_SYNTAX; sections that multiply beyond 256 MiB of text, 8 GiB from functions or
 * 50 million steps are GB_ERROR_TOO_LARGE. */
gboolean gb_template_render(const GbTemplate *main, const json_t *data, const GbTemplateFunction *functions, gsize n,
                            GbTemplateSink sink, gpointer user, GError **error);

void gb_template_free(GbTemplate *main); /* NULL is allowed; frees its partials */
G_DEFINE_AUTOPTR_CLEANUP_FUNC(GbTemplate, gb_template_free)

G_END_DECLS
#endif
