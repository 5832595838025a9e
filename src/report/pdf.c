/* pdf.c -- a report as a PDF: cairo draws it to a file aside, libqpdf finishes it into another, and that gets the name.
 *
 * Reproducible: what could differ from one day to the next (dates, the identifier) is made from the log and the content.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "pdf-private.h"

#include <errno.h>
#include <gablebook/digest.h>
#include <gablebook/error.h>
#include <gablebook/file.h>
#include <gablebook/verify.h>
#include <glib/gstdio.h>
#include <stdio.h>

#define SIDE_PT 45.4 /* 16 mm */
#define HEAD_PT 48
#define FOOT_PT 62

static void set_paper(GbPdf *pdf)
{
    gboolean a4 = pdf->options->paper == GB_PAPER_A4;
    pdf->width = a4 ? 595.276 : 612; /* ISO 216 A4: 210 x 297 mm; ANSI A, "letter": 8.5 x 11 in */
    pdf->height = a4 ? 841.89 : 792;
    pdf->left = SIDE_PT;
    pdf->right = pdf->width - SIDE_PT;
    pdf->top = HEAD_PT;
    pdf->bottom = pdf->height - FOOT_PT;
}

static void run_through(GbPdf *pdf)
{
    pdf->page = 0;
    gb_pdf_open(pdf, "Document"); /* without one tag around all, readers take the file for an untagged one */
    gb_pdf_begin_page(pdf);
    gb_pdf_story(pdf);
    gb_pdf_close(pdf, "Document"); /* on the last page: cairo knows tags on pages only */
    gb_pdf_end_page(pdf);
}

/* --- the surface --- */

typedef struct {
    GbFileWriter *out;
    GError *error;
} Stream;

/* Cairo is never told of a full disk: its 1.16 reads behind a null pointer when it finishes a surface whose stream failed. What comes after
 * is thrown away; close_surface knows. */
static cairo_status_t to_file(void *user, const unsigned char *data, unsigned int n)
{
    Stream *stream = user;
    if (stream->error == NULL)
        gb_file_writer_add(stream->out, data, n, &stream->error);
    return CAIRO_STATUS_SUCCESS;
}

static void set_metadata(GbPdf *pdf)
{
    const json_t *program = json_object_get(pdf->model, "program");
    const char *adjuster = NULL, *label = gb_text_of(pdf->model, "label");
    const json_t *fact;
    gsize i;
    json_array_foreach(json_object_get(json_object_get(pdf->model, "claim"), "facts"), i, fact)
        if (strcmp(gb_text_of(fact, "label"), "Inspected by") == 0)
            adjuster = gb_text_of(fact, "value");
    g_autofree char *title = g_strdup_printf("%s: %s", label, gb_text_of(pdf->model, "title"));
    g_autofree char *creator = g_strdup_printf("%s %s", gb_text_of(program, "name"), gb_text_of(program, "version"));
    g_autofree char *day = gb_time_text((double)pdf->options->at_utc_s);
    g_autofree char *at = g_strdup_printf("%sZ", day);
    at[10] = 'T';
    cairo_pdf_surface_set_metadata(pdf->surface, CAIRO_PDF_METADATA_TITLE, title);
    cairo_pdf_surface_set_metadata(pdf->surface, CAIRO_PDF_METADATA_CREATOR, creator);
    if (adjuster != NULL)
        cairo_pdf_surface_set_metadata(pdf->surface, CAIRO_PDF_METADATA_AUTHOR, adjuster);
    cairo_pdf_surface_set_metadata(pdf->surface, CAIRO_PDF_METADATA_CREATE_DATE, at);
    cairo_pdf_surface_set_metadata(pdf->surface, CAIRO_PDF_METADATA_MOD_DATE, at);
}

/* A wrong tag or a full disk puts the surface in error; only its end tells. */
static gboolean close_surface(GbPdf *pdf, Stream *stream, GError **error)
{
    cairo_status_t drawn = cairo_status(pdf->cr);
    cairo_destroy(pdf->cr);
    cairo_surface_finish(pdf->surface);
    cairo_status_t status = cairo_surface_status(pdf->surface);
    cairo_surface_destroy(pdf->surface);
    if (stream->error != NULL || pdf->error != NULL) {
        g_propagate_error(error, stream->error != NULL ? stream->error : pdf->error);
        if (stream->error != NULL)
            g_clear_error(&pdf->error);
        pdf->error = NULL;
        return FALSE;
    }
    if (drawn == CAIRO_STATUS_SUCCESS && status == CAIRO_STATUS_SUCCESS)
        return TRUE;
    g_set_error(error, GB_ERROR, GB_ERROR_STATE, "the PDF can't be drawn: %s; nothing was written",
                cairo_status_to_string(drawn != CAIRO_STATUS_SUCCESS ? drawn : status));
    return FALSE;
}

static gboolean draw(GbPdf *pdf, GbFileWriter *out, GError **error)
{
    Stream stream = { out, NULL };
    pdf->measuring = TRUE;
    run_through(pdf);
    pdf->pages = pdf->page;

    pdf->measuring = FALSE;
    pdf->surface = cairo_pdf_surface_create_for_stream(to_file, &stream, pdf->width, pdf->height);
    pdf->cr = cairo_create(pdf->surface);
    set_metadata(pdf);
    run_through(pdf);
    return close_surface(pdf, &stream, error);
}

/* --- what stands behind its end --- */

static gboolean append(const char *path, const char *text, GError **error)
{
    FILE *file = g_fopen(path, "ab");
    gboolean ok = file != NULL && fputs(text, file) >= 0;
    if (file != NULL && fclose(file) != 0)
        ok = FALSE;
    if (!ok)
        g_set_error(error, GB_ERROR, GB_ERROR_IO, "the PDF can't be written to its end: %s; nothing was written", g_strerror(errno));
    return ok;
}

/* The state of the log and the digest of all before it, as comments: readers look for the end of a PDF in its last kilobyte
 * (ISO 32000-1, annex H.3), so these lines may follow it. */
static gboolean put_seal(const json_t *model, const char *path, GError **error)
{
    char sha256[GB_DIGEST_HEX];
    const json_t *state = json_object_get(model, "state");
    g_autofree char *says = g_strdup_printf("%%" GB_REPORT_STATE_MARK " %lld %s\n",
                                            (long long)json_integer_value(json_object_get(state, "step")), gb_text_of(state, "sha256"));
    if (!append(path, says, error) || !gb_digest_file(path, sha256, error))
        return FALSE;
    g_autofree char *last = g_strdup_printf(GB_REPORT_LAST_LINE_PDF, sha256);
    return append(path, last, error);
}

static gint64 size_of(const char *path)
{
    GStatBuf st;
    return g_stat(path, &st) == 0 ? (gint64)st.st_size : 0;
}

gboolean gb_pdf_write(const json_t *model, const GbPdfOptions *options, const char *path, gint64 max_bytes, gint64 *bytes, GError **error)
{
    g_autoptr(GbFileWriter) drawn = gb_file_writer_new(path, 0600, error);
    g_autoptr(GbFileWriter) finished = drawn != NULL ? gb_file_writer_new(path, 0644, error) : NULL;
    if (finished == NULL)
        return FALSE;
    g_autoptr(GPtrArray) alts = g_ptr_array_new_with_free_func(g_free);
    GbPdf pdf = { .options = options, .model = model, .alts = alts,
                  .page_of = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL) };
    set_paper(&pdf);
    gboolean ok = gb_pdf_fonts_init(&pdf, error) && draw(&pdf, drawn, error);
    gb_pdf_fonts_clear(&pdf);
    g_hash_table_unref(pdf.page_of);
    g_free(pdf.about);

    const char *to = gb_file_writer_aside(finished);
    ok = ok && gb_pdf_finish(gb_file_writer_aside(drawn), to, alts, gb_text_of(model, "figures_in"), error) && put_seal(model, to, error);
    *bytes = ok ? size_of(to) : 0;
    return ok && ((max_bytes > 0 && *bytes > max_bytes) || gb_file_writer_finish(finished, error));
}
