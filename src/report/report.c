/* report.c -- from an open claim to a file: dossier, pictures, model for the reader, page or PDF (report.h).
 *
 * Before anything is written, every original is held against the digest that was recorded when it was taken in, and every picture is
 * made ready in the cache; so the model can say beforehand which photo can't be shown and why. What the cache holds never changes
 * what a report says.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "report-private.h"

#include <gablebook/error.h>
#include <gablebook/file.h>
#include <gablebook/history.h>
#include <gablebook/list.h>
#include <gablebook/settings.h>
#include <gablebook/word.h>

#define DEFAULT_PX 1280
#define DEFAULT_PER_PAGE 2
#define NEXT_MAX_BYTES (64u << 10)
#define MOST_TRIES 6 /* of a budget: each takes smaller pictures */

static const char *const reader_words[GB_READERS] = { "file", "reviewer", "insured" };
static const char *const reader_files[GB_READERS] = { "photo-report", "reviewer-sheet", "insured-summary" };

gboolean gb_reader_parse(const char *word, GbReader *reader, GError **error)
{
    gssize found = gb_word_find(word, reader_words, GB_READERS, "reader", error);
    if (found >= 0)
        *reader = (GbReader)found;
    return found >= 0;
}

gboolean gb_paper_parse(const char *word, GbPaper *paper, GError **error)
{
    static const char *const papers[] = { "letter", "A4" };
    g_autoptr(GbSettings) settings = word == NULL ? gb_settings_load(error) : NULL;
    if (word == NULL && settings == NULL)
        return FALSE;
    const char *said = word != NULL ? word : gb_settings_get(settings, "paper");
    gssize found = said == NULL ? GB_PAPER_LETTER : gb_word_find(said, papers, G_N_ELEMENTS(papers), "paper", error);
    if (found >= 0)
        *paper = (GbPaper)found;
    return found >= 0;
}

/* All that a report is made of. Zeroed before use. */
typedef struct {
    GbLog *log;
    const GbReportOptions *options;
    GbDossier *dossier;
    GPtrArray *history;
    GbLetterhead *letterhead;
    GbPictures *pictures;
    char *next;
    json_t *model;
} Job;

static void job_clear(Job *job)
{
    json_decref(job->model);
    gb_pictures_free(job->pictures); /* before the shots it borrows */
    gb_letterhead_free(job->letterhead);
    g_clear_pointer(&job->history, g_ptr_array_unref);
    gb_dossier_free(job->dossier);
    g_free(job->next);
}
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(Job, job_clear)

/* --- what is asked for --- */

static gboolean refuse(GError **error, const char *why)
{
    g_set_error_literal(error, GB_ERROR, GB_ERROR_SYNTAX, why);
    return FALSE;
}

static gboolean check_options(const GbReportOptions *options, GError **error)
{
    static const int per_page[] = { 0, 1, 2, 3, 4, 6 };
    gboolean fits = FALSE;
    for (gsize i = 0; i < G_N_ELEMENTS(per_page); i++)
        fits = fits || options->per_page == per_page[i];
    if (!fits)
        return refuse(error, "photos on a page: 1, 2, 3, 4 or 6");
    if (options->picture_px < 0 || options->picture_px > 8000)
        return refuse(error, "the longest side of a picture is 1 to 8000 pixels");
    if (options->template_ != NULL && options->format == GB_FORMAT_PDF)
        return refuse(error, "a template makes a page, not a PDF; leave one of the two out");
    if (options->shots != NULL && options->reader == GB_READER_REVIEWER)
        return refuse(error, "the reviewer's sheet is about all shots; a choice of shots is for the other readers");
    return TRUE;
}

/* Shots that are not chosen are left out of this report; the check was made before and is about all of them. */
static gboolean choose_shots(Job *job, GError **error)
{
    if (job->options->shots == NULL)
        return TRUE;
    const GbListFilter filter = { .shots = job->options->shots };
    g_autoptr(GPtrArray) chosen = gb_list(job->dossier, &filter, error);
    if (chosen == NULL)
        return FALSE;
    if (chosen->len == 0) {
        g_set_error(error, GB_ERROR, GB_ERROR_UNKNOWN, "no shot of the claim is among %s; no report was written", job->options->shots);
        return FALSE;
    }
    for (guint i = 0; i < job->dossier->shots->len; i++) {
        GbShot *shot = job->dossier->shots->pdata[i];
        shot->left_out = !g_ptr_array_find(chosen, shot, NULL);
    }
    return TRUE;
}

/* What happens next, in the user's words. NULL without error: nothing is said. */
static gboolean load_next(Job *job, GError **error)
{
    g_autofree char *own = gb_log_path(job->log, "templates", "next.txt", NULL);
    if (job->options->next != NULL)
        job->next = g_strdup(job->options->next);
    else if (g_file_test(own, G_FILE_TEST_EXISTS))
        job->next = gb_file_read_text(own, NEXT_MAX_BYTES, error);
    else
        return TRUE;
    return job->next != NULL;
}

/* One state of the log, whoever writes meanwhile. */
static gboolean load_log(Job *job, GError **error)
{
    if (!gb_log_freeze(job->log, error))
        return FALSE;
    gboolean ok = (job->dossier = gb_dossier_load(job->log, error)) != NULL &&
                  (job->history = gb_history_load(job->log, error)) != NULL;
    gb_log_thaw(job->log);
    return ok;
}

/* --- what the pictures say goes into the model --- */

static void mark_figures(const GbPictures *pictures, json_t *heading)
{
    gsize i;
    json_t *figure, *section;
    json_array_foreach(json_object_get(heading, "figures"), i, figure) {
        const char *problem = gb_pictures_problem(pictures, json_integer_value(json_object_get(figure, "shot")));
        if (problem == NULL)
            continue;
        g_autofree char *text = g_strdup_printf("This photo can't be shown: %s", problem);
        gb_put_text(figure, "unavailable", text);
    }
    json_array_foreach(json_object_get(heading, "sections"), i, section)
        mark_figures(pictures, section);
}

static void mark_model(const Job *job, json_t *model)
{
    gsize i;
    json_t *chapter, *file;
    json_array_foreach(json_object_get(model, "chapters"), i, chapter)
        mark_figures(job->pictures, chapter);
    json_array_foreach(json_object_get(model, "files"), i, file)
        gb_put_text(file, "problem", gb_pictures_problem(job->pictures, json_integer_value(json_object_get(file, "shot"))));

    guint bad = gb_pictures_bad(job->pictures), all = job->dossier->shots->len;
    json_t *originals = json_pack("{s:i}", "read", (int)all);
    if (bad > 0)
        json_object_set_new(originals, "bad", json_integer(bad));
    else if (all > 0)
        json_object_set_new(originals, "intact", json_true());
    json_object_set_new(model, "originals", originals);
}

/* --- a choice of shots --- */

/* A heading that shows nothing of the choice says nothing: no photo was looked for there. FALSE: nothing is left of it. */
static gboolean keep_chosen(json_t *heading)
{
    json_t *sections = json_object_get(heading, "sections");
    for (gsize i = json_array_size(sections); i-- > 0;)
        if (!keep_chosen(json_array_get(sections, i)))
            json_array_remove(sections, i);
    json_object_del(heading, "empty");
    return json_array_size(sections) + json_array_size(json_object_get(heading, "figures")) > 0;
}

static void tell_choice(const Job *job, json_t *model)
{
    if (job->options->shots == NULL)
        return;
    json_t *chapters = json_object_get(model, "chapters");
    for (gsize i = json_array_size(chapters); i-- > 0;)
        if (!keep_chosen(json_array_get(chapters, i)))
            json_array_remove(chapters, i);
    g_autofree char *text = g_strdup_printf("This report shows chosen photos only: shots %s of the claim", job->options->shots);
    gb_put_text(model, "chosen", text);
}

/* --- the model for the reader --- */

static void put_letterhead(const Job *job, json_t *model)
{
    const GbLetterhead *head = job->letterhead;
    if (head->sender == NULL && head->address[0] == NULL && head->logo == NULL)
        return;
    json_t *object = json_pack("{s:[]}", "address");
    gb_put_text(object, "name", head->sender);
    for (guint i = 0; head->address[i] != NULL; i++) {
        g_autofree char *valid = g_utf8_make_valid(head->address[i], -1);
        json_array_append_new(json_object_get(object, "address"), json_string(valid));
    }
    if (head->logo != NULL)
        json_object_set_new(object, "has_logo", json_true());
    json_object_set_new(model, "letterhead", object);
}

/* Which state of the log the report was built from: verify.h traces it. */
void gb_put_state(json_t *model, const GbState *state)
{
    g_autofree char *text = gb_state_text(state);
    json_object_set_new(model, "state", json_pack("{s:I, s:s, s:s}", "step", (json_int_t)state->step, "sha256", state->sha256,
                                                  "text", text));
}

static void make_model(Job *job)
{
    const GbDossier *d = job->dossier;
    g_autoptr(json_t) full = gb_report_model(d);
    gb_model_put_roof(full, d->roof);
    mark_model(job, full);
    gb_put_attached(full, job->log, d->attachments);
    tell_choice(job, full);
    switch (job->options->reader) {
    case GB_READER_REVIEWER:
        job->model = gb_reviewer_model(d, full, job->history, job->options->format == GB_FORMAT_PDF ? "photo-report.pdf"
                                                                                                    : "photo-report.html");
        break;
    case GB_READER_INSURED:
        job->model = gb_insured_model(d, full, job->next);
        break;
    case GB_READER_FILE:
    case GB_READERS:
        gb_put_map(full, d);
        job->model = json_incref(full);
        break;
    }
    put_letterhead(job, job->model);
    gb_put_state(job->model, &d->state);

    gsize i;
    json_t *chapter;
    gb_pictures_use_none(job->pictures);
    json_array_foreach(json_object_get(job->model, "chapters"), i, chapter)
        gb_pictures_use(job->pictures, chapter);
}

static gboolean begin(Job *job, GError **error)
{
    if (!check_options(job->options, error) || !load_log(job, error) || !choose_shots(job, error) || !load_next(job, error))
        return FALSE;
    job->letterhead = gb_letterhead_load(job->log, job->options, error);
    if (job->letterhead == NULL)
        return FALSE;
    int px = job->options->picture_px > 0 ? job->options->picture_px : DEFAULT_PX;
    job->pictures = gb_pictures_new(job->log, job->dossier->shots, px);
    gb_pictures_prepare(job->pictures);
    make_model(job);
    return TRUE;
}

json_t *gb_report_json(GbLog *log, const GbReportOptions *options, GError **error)
{
    g_auto(Job) job = { .log = log, .options = options };
    return begin(&job, error) ? g_steal_pointer(&job.model) : NULL;
}

/* --- writing, within a budget --- */

gint64 gb_last_change(const GPtrArray *history)
{
    gint64 last = 0;
    for (guint i = 0; i < history->len; i++)
        last = MAX(last, ((const GbHistoryEntry *)history->pdata[i])->at_utc_s);
    return last;
}

static gboolean write_once(const Job *job, const GbTemplate *page, const char *path, gint64 *bytes, GError **error)
{
    const GbReportOptions *options = job->options;
    if (page != NULL)
        return gb_page_write(page, job->model, job->letterhead, job->pictures, path, options->budget_bytes, bytes, error);
    const GbPdfOptions pdf = {
        .paper = options->paper,
        .per_page = options->per_page > 0 ? options->per_page : DEFAULT_PER_PAGE,
        .letterhead = job->letterhead,
        .pictures = job->pictures,
        .at_utc_s = gb_last_change(job->history),
        .warnings = options->warnings,
    };
    return gb_pdf_write(job->model, &pdf, path, options->budget_bytes, bytes, error);
}

/* Base64 makes four bytes of three. */
#define PAGE_FACTOR (4.0 / 3.0)

static gboolean too_small(const Job *job, gint64 bytes, GError **error)
{
    g_autofree char *wanted = g_format_size((guint64)job->options->budget_bytes), *least = g_format_size((guint64)bytes);
    g_set_error(error, GB_ERROR, GB_ERROR_TOO_LARGE,
                "%s are too few: with the smallest pictures the report has %s; choose fewer shots or allow more", wanted, least);
    return FALSE;
}

/* Pictures get smaller until the whole file fits; what has to be spared is known from the first try on. */
static gboolean write_within(Job *job, const GbTemplate *page, const char *path, GError **error)
{
    gint64 budget = job->options->budget_bytes, bytes = 0, bare = 0;
    double factor = page != NULL ? PAGE_FACTOR : 1;
    if (page != NULL && budget > 0 && !gb_page_measure(page, job->model, job->letterhead, &bare, error))
        return FALSE;
    if (budget > 0)
        gb_pictures_fit(job->pictures, (double)(budget - bare) / factor, FALSE);
    for (int try = 0; try < MOST_TRIES; try++) {
        if (!write_once(job, page, path, &bytes, error))
            return FALSE;
        if (budget <= 0 || bytes <= budget)
            return TRUE;
        double other = (double)bytes - factor * gb_pictures_total(job->pictures);
        if (!gb_pictures_fit(job->pictures, ((double)budget - other) / factor, TRUE))
            break;
    }
    return too_small(job, bytes, error);
}

static char *default_path(const Job *job)
{
    g_autofree char *name = g_strconcat(reader_files[job->options->reader],
                                        job->options->format == GB_FORMAT_PDF ? ".pdf" : ".html", NULL);
    return gb_log_path(job->log, "reports", name, NULL);
}

gboolean gb_report_build(GbLog *log, const GbReportOptions *options, char **written, GError **error)
{
    g_auto(Job) job = { .log = log, .options = options };
    g_autoptr(GbTemplate) page = NULL;
    if (options->format == GB_FORMAT_HTML) {
        g_autofree char *main = g_strconcat(reader_files[options->reader], ".html", NULL);
        page = gb_report_template(log, options->template_, main, error);
        if (page == NULL)
            return FALSE;
    }
    if (!begin(&job, error))
        return FALSE;
    gb_localize(job.model, options->locale);
    g_autofree char *path = options->out != NULL ? g_strdup(options->out) : default_path(&job);
    if (!gb_report_make_folder(path, error) || !write_within(&job, page, path, error))
        return FALSE;
    if (written != NULL)
        *written = g_steal_pointer(&path);
    return TRUE;
}
