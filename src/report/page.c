/* page.c -- the HTML page: a model, a template, and the pictures poured in between. One picture at a time passes through memory.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "report-private.h"

#include <errno.h>
#include <gablebook/builtin.h>
#include <gablebook/error.h>
#include <gablebook/file.h>
#include <gablebook/verify.h>
#include <glib/gstdio.h>

#define TEMPLATES "templates/report"
#define TEMPLATE_MAX_BYTES (1u << 20)

/* --- templates --- */

/* One template file: the claim's own before the program's. NULL without error: neither has it. */
static char *template_text(const GbLog *log, const char *file, GError **error)
{
    g_autofree char *own = gb_log_path(log, "templates", "report", file, NULL);
    if (g_file_test(own, G_FILE_TEST_EXISTS))
        return gb_file_read_text(own, TEMPLATE_MAX_BYTES, error);
    g_autofree char *builtin = g_build_filename(TEMPLATES, file, NULL);
    return gb_builtin_text(builtin, error);
}

/* A page of its own, no part of others: one reader's template can't spoil another's. */
static gboolean is_main(const char *name)
{
    static const char *const mains[] = { "photo-report.html", "reviewer-sheet.html", "insured-summary.html", GB_SCOPE_TEMPLATE,
                                         GB_BRIEF_TEMPLATE, NULL };
    return g_strv_contains(mains, name);
}

/* Every other file beside the main template is a partial of its name: {{> figure.html}}. */
static gboolean add_partials(GbTemplate *template, const GbLog *log, GError **error)
{
    g_auto(GStrv) names = gb_builtin_names(TEMPLATES);
    for (guint i = 0; names[i] != NULL; i++) {
        if (is_main(names[i]))
            continue;
        g_autofree char *text = template_text(log, names[i], error);
        GbTemplate *partial = text != NULL ? gb_template_parse(names[i], text, error) : NULL;
        if (partial == NULL)
            return FALSE;
        gb_template_add_partial(template, names[i], partial);
    }
    return TRUE;
}

GbTemplate *gb_report_template(const GbLog *log, const char *path, const char *file, GError **error)
{
    g_autofree char *text = path != NULL ? gb_file_read_text(path, TEMPLATE_MAX_BYTES, error) : template_text(log, file, error);
    if (text == NULL)
        return NULL;
    g_autoptr(GbTemplate) template = gb_template_parse(path != NULL ? path : file, text, error);
    if (template == NULL || !add_partials(template, log, error))
        return NULL;
    return g_steal_pointer(&template);
}

/* --- what the program writes into it --- */

static gboolean write_uri(const char *type, GBytes *bytes, GbTemplateSink sink, gpointer sink_user, GError **error)
{
    g_autofree char *head = g_strdup_printf("data:%s;base64,", type);
    g_autofree char *text = g_base64_encode(g_bytes_get_data(bytes, NULL), g_bytes_get_size(bytes));
    return sink(head, strlen(head), sink_user, error) && sink(text, strlen(text), sink_user, error);
}

/* The template's {{picture}}: a data: URI of the figure it stands in. */
static gboolean write_picture(const json_t *figure, GbTemplateSink sink, gpointer sink_user, gpointer user, GError **error)
{
    const GbPictures *pictures = user;
    const json_t *shot = json_object_get(figure, "shot");
    if (shot == NULL || pictures == NULL)
        return TRUE; /* {{picture}} outside of a figure; or only measuring */
    g_autoptr(GBytes) bytes = gb_pictures_get(pictures, json_integer_value(shot), error);
    return bytes != NULL && write_uri("image/jpeg", bytes, sink, sink_user, error);
}

/* {{logo}}, likewise. */
static gboolean write_logo(const json_t *context, GbTemplateSink sink, gpointer sink_user, gpointer user, GError **error)
{
    const GbLetterhead *letterhead = user;
    (void)context;
    return letterhead->logo == NULL || write_uri(letterhead->logo_type, letterhead->logo, sink, sink_user, error);
}

#define PAGE_FUNCTIONS(pictures, letterhead) \
    { { "picture", write_picture, (gpointer)(pictures) }, { "logo", write_logo, (gpointer)(letterhead) } }

/* --- sinks --- */

typedef struct {
    GbFileWriter *out;    /* NULL: only count */
    GbDigester *digester; /* of what goes there */
    GString *buffer;   /* a template comes in small pieces */
    gint64 bytes;
} Sink;

#define BUFFER_BYTES (256u << 10)

static gboolean put(Sink *sink, const char *text, gsize n, GError **error)
{
    return sink->out == NULL || (gb_digester_add(sink->digester, text, n, error) && gb_file_writer_add(sink->out, text, n, error));
}

static gboolean flush(Sink *sink, GError **error)
{
    gboolean ok = put(sink, sink->buffer->str, sink->buffer->len, error);
    g_string_truncate(sink->buffer, 0);
    return ok;
}

static gboolean take(const char *text, gsize n, gpointer user, GError **error)
{
    Sink *sink = user;
    sink->bytes += (gint64)n;
    if (sink->buffer->len + n > BUFFER_BYTES && !flush(sink, error))
        return FALSE;
    if (n > BUFFER_BYTES)
        return put(sink, text, n, error);
    g_string_append_len(sink->buffer, text, (gssize)n);
    return TRUE;
}

/* The last line carries the digest of all before it (verify.h). */
static gboolean put_last_line(Sink *sink, GError **error)
{
    char sha256[GB_DIGEST_HEX];
    if (!take("\n", 1, sink, error) || !flush(sink, error) || !gb_digester_end(sink->digester, sha256, error))
        return FALSE;
    g_autofree char *line = g_strdup_printf(GB_REPORT_LAST_LINE_HTML, sha256);
    sink->bytes += (gint64)strlen(line);
    return gb_file_writer_add(sink->out, line, strlen(line), error);
}

gboolean gb_page_measure(const GbTemplate *page, const json_t *model, const GbLetterhead *letterhead, gint64 *bytes, GError **error)
{
    g_autoptr(GString) buffer = g_string_new(NULL);
    Sink sink = { NULL, NULL, buffer, 0 };
    const GbTemplateFunction functions[] = PAGE_FUNCTIONS(NULL, letterhead);
    gboolean ok = gb_template_render(page, model, functions, G_N_ELEMENTS(functions), take, &sink, error);
    *bytes = sink.bytes;
    return ok;
}

static gboolean write_page(const GbTemplate *page, const json_t *model, const GbTemplateFunction *functions, gsize n, const char *path,
                           gint64 max_bytes, gint64 *bytes, GError **error)
{
    gb_file_sweep_beside(path);
    g_autoptr(GbDigester) digester = gb_digester_new(error);
    g_autoptr(GbFileWriter) out = digester != NULL ? gb_file_writer_new(path, 0644, error) : NULL;
    g_autoptr(GString) buffer = g_string_sized_new(BUFFER_BYTES);
    Sink sink = { out, digester, buffer, 0 };
    if (out == NULL || !gb_template_render(page, model, functions, n, take, &sink, error) || !put_last_line(&sink, error))
        return FALSE;
    *bytes = sink.bytes;
    return (max_bytes > 0 && sink.bytes > max_bytes) || gb_file_writer_finish(out, error);
}

gboolean gb_page_write(const GbTemplate *page, const json_t *model, const GbLetterhead *letterhead, const GbPictures *pictures,
                       const char *path, gint64 max_bytes, gint64 *bytes, GError **error)
{
    const GbTemplateFunction functions[] = PAGE_FUNCTIONS(pictures, letterhead);
    return write_page(page, model, functions, G_N_ELEMENTS(functions), path, max_bytes, bytes, error);
}

gboolean gb_report_make_folder(const char *path, GError **error)
{
    g_autofree char *folder = g_path_get_dirname(path);
    if (g_mkdir_with_parents(folder, 0755) == 0)
        return TRUE;
    g_set_error(error, GB_ERROR, GB_ERROR_IO, "%s can't be made: %s; no report was written", folder, g_strerror(errno));
    return FALSE;
}

gboolean gb_report_write(const GbTemplate *page, const json_t *model, const GbTemplateFunction *functions, gsize n, const char *path,
                         GError **error)
{
    gint64 bytes;
    return gb_report_make_folder(path, error) && write_page(page, model, functions, n, path, 0, &bytes, error);
}
