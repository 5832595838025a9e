/* report.c -- the page: a model, a template, and the pictures poured in between (report.h).
 *
 * Before anything is written, every original is read and held against the digest that was recorded when it was taken in,
 * and every picture is made ready in the cache; so the model can say beforehand which photo can't be shown and why. What the
 * cache holds never changes what the page says. While rendering, one picture at a time passes through memory.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "report-private.h"

#include <gablebook/builtin.h>
#include <gablebook/digest.h>
#include <gablebook/dossier.h>
#include <gablebook/error.h>
#include <gablebook/file.h>
#include <gablebook/picture.h>
#include <gablebook/template.h>
#include <gablebook/verify.h>
#include <errno.h>
#include <glib/gstdio.h>

#define TEMPLATES "templates/report"
#define MAIN_TEMPLATE "photo-report.html"
#define TEMPLATE_MAX_BYTES (1u << 20)
#define DEFAULT_PX 1280

typedef struct {
    GbLog *log;
    const GPtrArray *shots;
    int px;
    GHashTable *problems; /* shot number (gint64) -> why it can't be shown */
} Pictures;

/* --- pictures --- */

/* Why the photo can't be shown, as a sentence that is the same on every machine; NULL when it can. OWNED by the caller. */
static char *find_problem(const Pictures *pictures, const GbShot *shot)
{
    g_autofree char *original = gb_log_path(pictures->log, "originals", shot->stored_name, NULL);
    char hex[GB_DIGEST_HEX];
    if (!g_file_test(original, G_FILE_TEST_EXISTS))
        return g_strdup("its original is missing from the claim folder");
    if (!gb_digest_file(original, hex, NULL))
        return g_strdup("its original can't be read");
    if (strcmp(hex, shot->sha256) != 0)
        return g_strdup("its original is no longer the file that was taken in: its SHA-256 differs");
    if (shot->left_out)
        return NULL;
    g_autoptr(GBytes) picture = gb_picture(pictures->log, shot, pictures->px, NULL);
    return picture != NULL ? NULL : g_strdup("its original is damaged so that no picture can be made of it");
}

static void find_problems(Pictures *pictures)
{
    for (guint i = 0; i < pictures->shots->len; i++) {
        const GbShot *shot = g_ptr_array_index(pictures->shots, i);
        char *problem = find_problem(pictures, shot);
        if (problem != NULL)
            g_hash_table_insert(pictures->problems, g_memdup2(&shot->number, sizeof shot->number), problem);
    }
}

/* The template's {{picture}}: a data: URI of the figure it stands in. */
static gboolean write_picture(const json_t *figure, GbTemplateSink sink, gpointer sink_user, gpointer user, GError **error)
{
    static const char head[] = "data:image/jpeg;base64,";
    const Pictures *pictures = user;
    const GbShot *shot = gb_shots_by_number(pictures->shots, json_integer_value(json_object_get(figure, "shot")));
    if (shot == NULL)
        return TRUE; /* {{picture}} outside of a figure */
    g_autoptr(GBytes) bytes = gb_picture(pictures->log, shot, pictures->px, error);
    if (bytes == NULL)
        return FALSE;
    g_autofree char *text = g_base64_encode(g_bytes_get_data(bytes, NULL), g_bytes_get_size(bytes));
    return sink(head, sizeof head - 1, sink_user, error) && sink(text, strlen(text), sink_user, error);
}

/* --- what the pictures say goes into the model --- */

static const char *problem_of(const Pictures *pictures, const json_t *of)
{
    gint64 number = json_integer_value(json_object_get(of, "shot"));
    return g_hash_table_lookup(pictures->problems, &number);
}

static void mark_figures(const Pictures *pictures, json_t *heading)
{
    gsize i;
    json_t *figure, *section;
    json_array_foreach(json_object_get(heading, "figures"), i, figure) {
        const char *problem = problem_of(pictures, figure);
        if (problem == NULL)
            continue;
        g_autofree char *text = g_strdup_printf("This photo can't be shown: %s", problem);
        gb_put_text(figure, "unavailable", text);
    }
    json_array_foreach(json_object_get(heading, "sections"), i, section)
        mark_figures(pictures, section);
}

static void mark_model(const Pictures *pictures, json_t *model)
{
    gsize i;
    json_t *chapter, *file;
    json_array_foreach(json_object_get(model, "chapters"), i, chapter)
        mark_figures(pictures, chapter);
    json_array_foreach(json_object_get(model, "files"), i, file)
        gb_put_text(file, "problem", problem_of(pictures, file));

    guint bad = g_hash_table_size(pictures->problems), all = pictures->shots->len;
    json_t *originals = json_pack("{s:i}", "read", (int)all);
    if (bad > 0)
        json_object_set_new(originals, "bad", json_integer(bad));
    else if (all > 0)
        json_object_set_new(originals, "intact", json_true());
    json_object_set_new(model, "originals", originals);
}

/* Which state of the log the report was built from: verify.h traces it. */
void gb_put_state(json_t *model, const GbState *state)
{
    g_autofree char *text = gb_state_text(state);
    json_object_set_new(model, "state", json_pack("{s:I, s:s, s:s}", "step", (json_int_t)state->step, "sha256", state->sha256, "text", text));
}

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

/* A page is no partial of another: what is wrong in one must not spoil the other. */
static gboolean is_page(const char *file)
{
    return strcmp(file, MAIN_TEMPLATE) == 0 || strcmp(file, GB_SCOPE_TEMPLATE) == 0 ||
           strcmp(file, GB_BRIEF_TEMPLATE) == 0;
}

/* Every other file beside the pages is a partial of its name: {{> figure.html}}. */
static gboolean add_partials(GbTemplate *template, const GbLog *log, GError **error)
{
    g_auto(GStrv) names = gb_builtin_names(TEMPLATES);
    for (guint i = 0; names[i] != NULL; i++) {
        if (is_page(names[i]))
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
    g_autofree char *text =
        path != NULL ? gb_file_read_text(path, TEMPLATE_MAX_BYTES, error) : template_text(log, file, error);
    if (text == NULL)
        return NULL;
    g_autoptr(GbTemplate) template = gb_template_parse(path != NULL ? path : file, text, error);
    if (template == NULL || !add_partials(template, log, error))
        return NULL;
    return g_steal_pointer(&template);
}

/* --- building --- */

/* The page on its way to the disk, and the digest of what went there. */
typedef struct {
    GbFileWriter *file;
    GbDigester *digester;
} Out;

static gboolean to_file(const char *text, gsize n, gpointer user, GError **error)
{
    Out *out = user;
    return gb_digester_add(out->digester, text, n, error) && gb_file_writer_add(out->file, text, n, error);
}

/* The last line carries the digest of all before it (verify.h). */
static gboolean finish_page(Out *out, GError **error)
{
    char sha256[GB_DIGEST_HEX];
    if (!gb_digester_end(out->digester, sha256, error))
        return FALSE;
    g_autofree char *line = g_strdup_printf(GB_REPORT_LAST_LINE_HTML, sha256);
    return gb_file_writer_add(out->file, line, strlen(line), error) && gb_file_writer_finish(out->file, error);
}

gboolean gb_report_write(const GbTemplate *page, const json_t *model, const GbTemplateFunction *functions, gsize n, const char *path,
                         GError **error)
{
    g_autofree char *folder = g_path_get_dirname(path);
    if (g_mkdir_with_parents(folder, 0755) != 0) {
        g_set_error(error, GB_ERROR, GB_ERROR_IO, "%s can't be made: %s; no report was written", folder, g_strerror(errno));
        return FALSE;
    }
    g_autoptr(GbDigester) digester = gb_digester_new(error);
    g_autoptr(GbFileWriter) file = digester == NULL ? NULL : gb_file_writer_new(path, 0644, error);
    Out out = { file, digester };
    return file != NULL && gb_template_render(page, model, functions, n, to_file, &out, error) &&
           to_file("\n", 1, &out, error) && finish_page(&out, error);
}

gboolean gb_report_build(GbLog *log, const GbReportOptions *options, char **written, GError **error)
{
    g_autoptr(GbTemplate) template = gb_report_template(log, options->template_, MAIN_TEMPLATE, error);
    if (template == NULL)
        return FALSE;
    g_autoptr(GbDossier) d = gb_dossier_load(log, error);
    if (d == NULL)
        return FALSE;
    g_autoptr(GHashTable) problems = g_hash_table_new_full(g_int64_hash, g_int64_equal, g_free, g_free);
    Pictures pictures = { .log = log, .shots = d->shots, .px = options->picture_px > 0 ? options->picture_px : DEFAULT_PX,
                          .problems = problems };
    find_problems(&pictures);

    json_t *model = gb_report_model(d);
    gb_model_put_roof(model, d->roof);
    mark_model(&pictures, model);
    gb_put_state(model, &d->state);
    g_autofree char *path =
        options->out != NULL ? g_strdup(options->out) : gb_log_path(log, "reports", MAIN_TEMPLATE, NULL);
    const GbTemplateFunction functions[] = { { "picture", write_picture, &pictures } };
    gboolean done = gb_report_write(template, model, functions, G_N_ELEMENTS(functions), path, error);
    json_decref(model);
    if (done && written != NULL)
        *written = g_steal_pointer(&path);
    return done;
}
