/* route_report.c -- POST /api/report builds; GET /api/reports lists; GET /report/NAME shows or hands over. See report.h.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "web-private.h"

#include "board-private.h"

#include <fcntl.h>
#include <glib/gstdio.h>
#include <math.h>
#include <sys/stat.h>
#include <unistd.h>

/* --- building --- */

/* What there is to build. */
typedef gboolean (*Build)(GbLog *log, const GbReportOptions *options, char **written, GError **error);

static gboolean build_scope(GbLog *log, const GbReportOptions *options, char **written, GError **error)
{
    g_autoptr(GbDossier) dossier = gb_dossier_load(log, error);
    return dossier != NULL && (options->format == GB_FORMAT_PDF ? gb_scope_pdf(log, dossier, options, written, error)
                                                                : gb_scope_html(log, dossier, options->locale, NULL, written, error));
}

static gboolean build_brief(GbLog *log, const GbReportOptions *options, char **written, GError **error)
{
    (void)options;
    g_autoptr(GbDossier) dossier = gb_dossier_load(log, error);
    return dossier != NULL && gb_brief_html(log, dossier, NULL, written, error);
}

static const struct { const char *word; Build build; } builds[] = {
    { "photo report", gb_report_build }, { "scope sheet", build_scope }, { "brief", build_brief },
};

static Build find_build(const char *word)
{
    for (gsize i = 0; i < G_N_ELEMENTS(builds); i++)
        if (word == NULL || strcmp(builds[i].word, word) == 0)
            return builds[i].build;
    return NULL;
}

/* No text in the options: they outlive the request. */
typedef struct {
    Build build;
    GbReportOptions options;
} Ask;

/* What no font has is told, but is no failure. */
static void tell_warnings(GbWeb *web, GbWebJob *job, const GPtrArray *warnings)
{
    const GbImportTally none = { 0 };
    for (guint i = 0; i < warnings->len; i++)
        gb_web_job_progress(web, job, &none, warnings->pdata[i]);
}

static gboolean work(GbWeb *web, GbWebJob *job, gpointer user, GError **error)
{
    const Ask *ask = user;
    g_autofree char *written = NULL;
    g_autoptr(GPtrArray) warnings = g_ptr_array_new_with_free_func(g_free);
    GbReportOptions options = ask->options;
    options.warnings = warnings;
    g_autoptr(GbLog) log = gb_log_open(web->names.folder, GB_LOG_READ, error);
    if (log == NULL || !gb_survey_finish(log, NULL, NULL, error) || !ask->build(log, &options, &written, error))
        return FALSE;
    tell_warnings(web, job, warnings);
    g_autofree char *name = g_path_get_basename(written), *shown = g_utf8_make_valid(name, -1);
    gb_web_job_say(web, job, "report", json_string(shown));
    return TRUE;
}

/* The words of the body, as a page or a script writes them. */
typedef struct {
    const char *what, *reader, *format, *paper, *locale;
    gint64 per_page, picture_px, budget_bytes;
} Words;

/* Why these numbers can't be; NULL when they can. Constant. */
static const char *find_fault(const Words *words)
{
    if (words->picture_px != 0 && (words->picture_px < 200 || words->picture_px > 8000))
        return "'picture_px' must be from 200 to 8000";
    if (words->per_page < 0 || words->per_page > 6 || words->per_page == 5)
        return "'per_page' must be 1, 2, 3, 4 or 6";
    return words->budget_bytes < 0 ? "'budget_bytes' must be a number of bytes" : NULL;
}

static gboolean understand(const Words *words, Ask *ask, GError **error)
{
    static const char *const formats[] = { "page", "PDF" };
    GbReportOptions *options = &ask->options;
    gssize format = words->format == NULL ? 0 : gb_word_find(words->format, formats, G_N_ELEMENTS(formats), "format", error);
    if (format < 0 || (words->reader != NULL && !gb_reader_parse(words->reader, &options->reader, error)))
        return FALSE;
    options->format = (GbReportFormat)format;
    options->per_page = (int)words->per_page;
    options->picture_px = (int)words->picture_px;
    options->budget_bytes = words->budget_bytes;
    return gb_locale_parse(words->locale, &options->locale, error) &&
           (options->format != GB_FORMAT_PDF || gb_paper_parse(words->paper, &options->paper, error));
}

static void answer_build(GbWebRequest *request)
{
    Ask ask = { 0 };
    Words words = { 0 };
    GError *error = NULL;
    const GbWebField fields[] = {
        { "what", GB_WEB_TEXT, &words.what },           { "reader", GB_WEB_TEXT, &words.reader },
        { "format", GB_WEB_TEXT, &words.format },       { "paper", GB_WEB_TEXT, &words.paper },
        { "per_page", GB_WEB_WHOLE, &words.per_page },  { "picture_px", GB_WEB_WHOLE, &words.picture_px },
        { "budget_bytes", GB_WEB_WHOLE, &words.budget_bytes }, { "locale", GB_WEB_TEXT, &words.locale }, { NULL },
    };
    if (!gb_web_read(request, fields))
        return;
    ask.build = find_build(words.what);
    const char *fault = ask.build == NULL ? "'what' must be 'photo report', 'scope sheet' or 'brief'" : find_fault(&words);
    if (fault != NULL)
        gb_web_refuse(request, MHD_HTTP_BAD_REQUEST, "syntax", "%s", fault);
    else if (!understand(&words, &ask, &error))
        gb_web_fail(request, error);
    else if (ask.build == build_brief && ask.options.format == GB_FORMAT_PDF)
        gb_web_refuse(request, MHD_HTTP_BAD_REQUEST, "syntax", "the brief is a page only; print it from there");
    else
        gb_web_start_job(request, "report", work, g_memdup2(&ask, sizeof ask), g_free);
}
const GbWebRoute gb_route_report = { .method = "POST", .path = "/api/report", .answer = answer_build };

/* --- looking --- */

/* Call each regular file of reports/ that is no hidden one; until each says TRUE. */
typedef gboolean (*EachReport)(const char *name, const char *path, const struct stat *st, gpointer user);

static void walk_reports(const GbWeb *web, EachReport each, gpointer user)
{
    g_autofree char *folder = g_build_filename(web->names.folder, "reports", NULL);
    g_autoptr(GDir) dir = g_dir_open(folder, 0, NULL);
    const char *name;
    while (dir != NULL && (name = g_dir_read_name(dir)) != NULL) {
        struct stat st;
        g_autofree char *path = g_build_filename(folder, name, NULL);
        if (*name != '.' && g_utf8_validate(name, -1, NULL) && lstat(path, &st) == 0 && S_ISREG(st.st_mode) && each(name, path, &st, user))
            return;
    }
}

static gboolean add_report(const char *name, const char *path, const struct stat *st, gpointer user)
{
    (void)path;
    json_t *object = json_object();
    gb_json_text(object, "name", name);
    gb_json_whole(object, "bytes", st->st_size);
    gb_json_utc(object, "built_utc", st->st_mtime);
    json_array_append_new(user, object);
    return FALSE;
}

static void answer_list(GbWebRequest *request)
{
    json_t *reports = json_array();
    walk_reports(request->web, add_report, reports);
    json_t *locales = json_array();
    for (const char *const *tag = gb_locale_tags(); *tag != NULL; tag++)
        json_array_append_new(locales, json_string(*tag));
    gb_web_json(request, MHD_HTTP_OK, json_pack("{so, so}", "reports", reports, "locales", locales));
}
const GbWebRoute gb_route_reports = { .method = "GET", .path = "/api/reports", .answer = answer_list };

/* --- handing out --- */

typedef struct {
    const char *wanted;
    char *path;
} Search;

static gboolean is_wanted(const char *name, const char *path, const struct stat *st, gpointer user)
{
    (void)st;
    Search *search = user;
    if (strcmp(name, search->wanted) != 0)
        return FALSE;
    search->path = g_strdup(path);
    return TRUE;
}

static const char *type_of(const char *name)
{
    return g_str_has_suffix(name, ".html") ? "text/html; charset=utf-8"
         : g_str_has_suffix(name, ".pdf")  ? "application/pdf"
         : g_str_has_suffix(name, ".csv")  ? "text/csv; charset=utf-8"
         : g_str_has_suffix(name, ".json") ? "application/json; charset=utf-8"
                                           : "application/octet-stream";
}

#define POLICY                                                                                                                    \
    "default-src 'none'; style-src 'unsafe-inline'; img-src data:; font-src data:; base-uri 'none'; form-action 'none'; frame-ancestors 'self'"

/* A report is a page of its own in a sandbox: a template may hold anything, it must not reach the claim. */
static void answer_report(GbWebRequest *request)
{
    Search search = { request->rest, NULL };
    struct stat st;
    walk_reports(request->web, is_wanted, &search);
    g_autofree char *path = search.path;
    int fd = path == NULL ? -1 : open(path, O_RDONLY | O_CLOEXEC | O_NOFOLLOW | O_NONBLOCK);
    if (fd < 0 || fstat(fd, &st) != 0) {
        if (fd >= 0)
            close(fd);
        gb_web_refuse(request, MHD_HTTP_NOT_FOUND, "unknown", "there is no such report; build it first");
        return;
    }
    gb_web_descriptor(request, fd, (guint64)st.st_size, type_of(request->rest), NULL, FALSE);
    gboolean page = g_str_has_suffix(search.wanted, ".html"); /* browsers show no PDF in a sandbox */
    g_autofree char *policy = g_strconcat(page ? "sandbox; " : "", POLICY, NULL);
    gb_web_header(request, "Content-Security-Policy", policy);
    if (gb_web_query(request, "download") != NULL)
        gb_web_hand_over(request, request->rest);
}
const GbWebRoute gb_route_report_file = { .method = "GET", .path = "/report/", .answer = answer_report };
