/* pdf.c -- a report as a PDF: cairo draws it in memory with stand-ins for the photos, libqpdf finishes it, and on the way into its file the
 * pictures are poured in. So what is in memory does not grow with the pictures, and each of their bytes is handled once.
 *
 * Reproducible: what could differ from one day to the next (dates, the identifier) is made from the log and the content.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "pdf-private.h"

#include <gablebook/digest.h>
#include <gablebook/error.h>
#include <gablebook/file.h>
#include <gablebook/verify.h>

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

static cairo_status_t to_memory(void *user, const unsigned char *data, unsigned int n)
{
    g_byte_array_append(user, data, n);
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

/* A wrong tag puts the surface in error; only its end tells. */
static gboolean close_surface(GbPdf *pdf, GError **error)
{
    cairo_status_t drawn = cairo_status(pdf->cr);
    cairo_destroy(pdf->cr);
    cairo_surface_finish(pdf->surface);
    cairo_status_t status = cairo_surface_status(pdf->surface);
    cairo_surface_destroy(pdf->surface);
    if (pdf->error != NULL) {
        g_propagate_error(error, g_steal_pointer(&pdf->error));
        return FALSE;
    }
    if (drawn == CAIRO_STATUS_SUCCESS && status == CAIRO_STATUS_SUCCESS)
        return TRUE;
    g_set_error(error, GB_ERROR, GB_ERROR_STATE, "the PDF can't be drawn: %s; nothing was written",
                cairo_status_to_string(drawn != CAIRO_STATUS_SUCCESS ? drawn : status));
    return FALSE;
}

static gboolean draw(GbPdf *pdf, GByteArray *drawn, GError **error)
{
    pdf->measuring = TRUE;
    run_through(pdf);
    pdf->pages = pdf->page;

    pdf->measuring = FALSE;
    pdf->surface = cairo_pdf_surface_create_for_stream(to_memory, drawn, pdf->width, pdf->height);
    pdf->cr = cairo_create(pdf->surface);
    set_metadata(pdf);
    run_through(pdf);
    return close_surface(pdf, error);
}

/* The document without its pictures, finished; OWNED by the caller. NULL with error. */
static GBytes *make_document(GbPdf *pdf, GError **error)
{
    g_autoptr(GByteArray) drawn = g_byte_array_new();
    pdf->page_of = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL);
    set_paper(pdf);
    gboolean ok = gb_pdf_fonts_init(pdf, error) && draw(pdf, drawn, error);
    gb_pdf_fonts_clear(pdf);
    g_hash_table_unref(pdf->page_of);
    g_free(pdf->about);
    return ok ? gb_pdf_finish(drawn, pdf->alts, gb_text_of(pdf->model, "figures_in"), error) : NULL;
}

/* --- its file --- */

typedef struct {
    GbFileWriter *out;
    GbDigester *digester; /* of what goes there */
    gint64 bytes;
} Sink;

static gboolean take(const void *data, gsize n, gpointer user, GError **error)
{
    Sink *sink = user;
    sink->bytes += (gint64)n;
    return gb_digester_add(sink->digester, data, n, error) && gb_file_writer_add(sink->out, data, n, error);
}

/* The state of the log and the digest of all before it, as comments: readers look for the end of a PDF in its last kilobyte
 * (ISO 32000-1, annex H.3), so these lines may follow it. */
static gboolean put_seal(const json_t *model, Sink *sink, GError **error)
{
    char sha256[GB_DIGEST_HEX];
    const json_t *state = json_object_get(model, "state");
    g_autofree char *says = g_strdup_printf("%%" GB_REPORT_STATE_MARK " %lld %s\n",
                                            (long long)json_integer_value(json_object_get(state, "step")), gb_text_of(state, "sha256"));
    if (!take(says, strlen(says), sink, error) || !gb_digester_end(sink->digester, sha256, error))
        return FALSE;
    g_autofree char *last = g_strdup_printf(GB_REPORT_LAST_LINE_PDF, sha256);
    sink->bytes += (gint64)strlen(last);
    return gb_file_writer_add(sink->out, last, strlen(last), error);
}

gboolean gb_pdf_write(const json_t *model, const GbPdfOptions *options, const char *path, gint64 max_bytes, gint64 *bytes, GError **error)
{
    gb_file_sweep_beside(path);
    g_autoptr(GPtrArray) alts = g_ptr_array_new_with_free_func(g_free);
    g_autoptr(GHashTable) stand_ins = gb_stand_ins_new();
    GbPdf pdf = { .options = options, .model = model, .alts = alts, .stand_ins = stand_ins };
    g_autoptr(GBytes) document = make_document(&pdf, error);
    g_autoptr(GbDigester) digester = document != NULL ? gb_digester_new(error) : NULL;
    g_autoptr(GbFileWriter) out = digester != NULL ? gb_file_writer_new(path, 0644, error) : NULL;
    Sink sink = { out, digester, 0 };
    if (out == NULL || !gb_pdf_pour(document, stand_ins, options->pictures, take, &sink, error) || !put_seal(model, &sink, error))
        return FALSE;
    *bytes = sink.bytes;
    return (max_bytes > 0 && *bytes > max_bytes) || gb_file_writer_finish(out, error);
}
