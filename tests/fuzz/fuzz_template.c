/* fuzz_template.c -- a report template of a user, and a partial of it after a NUL, rendered over data as a report has it: lists in lists, text
 * that wants escaping. Whatever the template, rendering ends.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "fuzz.h"

#include <gablebook/error.h>
#include <gablebook/template.h>

#define OUTPUT_MAX (1u << 20)

static json_t *data_of_report;

int LLVMFuzzerInitialize(int *argc, char ***argv)
{
    (void)argc, (void)argv;
    data_of_report = json_loads("{\"a\": \"<b>&'\\\"\", \"n\": 1.5, \"i\": 7, \"t\": true, \"f\": false, \"e\": [], \"z\": null,"
                                " \"l\": [{\"a\": 1}, {\"a\": 2, \"l\": [{}, {}]}], \"o\": {\"o\": {\"a\": \"deep\"}}, \"m\": [[1, 2], [3]]}",
                                0, NULL);
    return 0;
}

static gboolean take(const char *text, gsize n, gpointer user, GError **error)
{
    gsize *taken = user;
    (void)text;
    *taken += n;
    if (*taken <= OUTPUT_MAX)
        return TRUE;
    g_set_error_literal(error, GB_ERROR, GB_ERROR_TOO_LARGE, "enough");
    return FALSE;
}

static gboolean write_picture(const json_t *context, GbTemplateSink sink, gpointer sink_user, gpointer user, GError **error)
{
    (void)user;
    return context == NULL || sink("picture", 7, sink_user, error);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t n)
{
    const GbTemplateFunction picture = { "picture", write_picture, NULL };
    g_autoptr(GError) error = NULL;
    g_autofree char *text = fuzz_text(data, n);
    gsize length = strlen(text), taken = 0;
    if (!g_utf8_validate(text, -1, NULL)) /* files are looked at before */
        return 0;
    g_autoptr(GbTemplate) main = gb_template_parse("t", text, &error);
    if (main == NULL) {
        holds_sentence(&error);
        return 0;
    }
    g_autofree char *rest = length < n ? fuzz_text(data + length + 1, n - length - 1) : NULL;
    GbTemplate *partial = rest == NULL ? NULL : gb_template_parse("p", rest, NULL);
    if (partial != NULL)
        gb_template_add_partial(main, "p", partial);
    if (!gb_template_render(main, data_of_report, &picture, 1, take, &taken, &error))
        holds_sentence(&error);
    return 0;
}
