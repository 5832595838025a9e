/* pdf_finish.c -- what cairo 1.16 leaves out of a PDF, put in by libqpdf: language, descriptions of pictures, links into
 * another PDF, the title in the window's bar, an identifier made from the content. All in memory: pictures are poured in afterwards.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "pdf-private.h"

#include <gablebook/error.h>
#include <qpdf/qpdf-c.h>

typedef struct {
    qpdf_data qpdf;
    const GPtrArray *alts;
    guint next;
    const char *beside;
} Finish;

static void describe_figures(Finish *finish, qpdf_oh node, int depth);

static void describe_kids(Finish *finish, qpdf_oh kids, int depth)
{
    int n = qpdf_oh_get_array_n_items(finish->qpdf, kids);
    for (int i = 0; i < n; i++) {
        qpdf_oh item = qpdf_oh_get_array_item(finish->qpdf, kids, i);
        describe_figures(finish, item, depth);
        qpdf_oh_release(finish->qpdf, item);
    }
}

static void describe_node(Finish *finish, qpdf_oh node, int depth)
{
    qpdf_data qpdf = finish->qpdf;
    qpdf_oh type = qpdf_oh_get_key(qpdf, node, "/S"), kids = qpdf_oh_get_key(qpdf, node, "/K");
    if (qpdf_oh_is_name_and_equals(qpdf, type, "/Figure") && finish->next < finish->alts->len) {
        qpdf_oh alt = qpdf_oh_new_unicode_string(qpdf, g_ptr_array_index(finish->alts, finish->next++));
        qpdf_oh_replace_key(qpdf, node, "/Alt", alt);
        qpdf_oh_release(qpdf, alt);
    }
    describe_figures(finish, kids, depth);
    qpdf_oh_release(qpdf, type);
    qpdf_oh_release(qpdf, kids);
}

/* Give every Figure of the structure tree its description, in the order of the document. node: an element, a list of them, or something
 * else, which has none. */
static void describe_figures(Finish *finish, qpdf_oh node, int depth)
{
    if (depth > 50)
        return;
    enum qpdf_object_type_e kind = qpdf_oh_get_type_code(finish->qpdf, node);
    if (kind == ot_array)
        describe_kids(finish, node, depth + 1);
    else if (kind == ot_dictionary)
        describe_node(finish, node, depth + 1);
}

/* An action that opens an address "BESIDE#NAME" becomes one that goes to that name in that file (ISO 32000-1, 12.6.4.3). */
static void turn_link(const Finish *finish, qpdf_oh action)
{
    qpdf_data qpdf = finish->qpdf;
    if (!qpdf_oh_is_dictionary(qpdf, action) || !qpdf_oh_has_key(qpdf, action, "/URI"))
        return;
    qpdf_oh uri = qpdf_oh_get_key(qpdf, action, "/URI");
    g_autofree char *address = g_strdup(qpdf_oh_get_string_value(qpdf, uri));
    gsize n = strlen(finish->beside);
    qpdf_oh_release(qpdf, uri);
    if (strncmp(address, finish->beside, n) != 0 || address[n] != '#')
        return;
    qpdf_oh_remove_key(qpdf, action, "/URI");
    qpdf_oh_replace_key(qpdf, action, "/S", qpdf_oh_new_name(qpdf, "/GoToR"));
    qpdf_oh_replace_key(qpdf, action, "/F", qpdf_oh_new_string(qpdf, finish->beside));
    qpdf_oh_replace_key(qpdf, action, "/D", qpdf_oh_new_string(qpdf, address + n + 1));
}

static void turn_links(const Finish *finish)
{
    qpdf_data qpdf = finish->qpdf;
    int pages = finish->beside != NULL ? qpdf_get_num_pages(qpdf) : 0;
    for (int p = 0; p < pages; p++) {
        qpdf_oh page = qpdf_get_page_n(qpdf, (size_t)p);
        qpdf_oh annotations = qpdf_oh_get_key(qpdf, page, "/Annots");
        int n = qpdf_oh_is_array(qpdf, annotations) ? qpdf_oh_get_array_n_items(qpdf, annotations) : 0;
        for (int i = 0; i < n; i++) {
            qpdf_oh link = qpdf_oh_get_array_item(qpdf, annotations, i);
            if (qpdf_oh_is_dictionary(qpdf, link))
                turn_link(finish, qpdf_oh_get_key(qpdf, link, "/A"));
        }
    }
}

static void put_preferences(qpdf_data qpdf, qpdf_oh root)
{
    qpdf_oh preferences = qpdf_oh_new_dictionary(qpdf);
    qpdf_oh_replace_key(qpdf, preferences, "/DisplayDocTitle", qpdf_oh_new_bool(qpdf, QPDF_TRUE));
    qpdf_oh_replace_key(qpdf, root, "/ViewerPreferences", preferences);
    qpdf_oh_replace_key(qpdf, root, "/Lang", qpdf_oh_new_string(qpdf, "en"));
}

static gboolean fail(qpdf_data qpdf, GError **error)
{
    g_set_error(error, GB_ERROR, GB_ERROR_STATE, "the PDF can't be finished (%s); nothing was written",
                qpdf_has_error(qpdf) ? qpdf_get_error_full_text(qpdf, qpdf_get_error(qpdf)) : "qpdf gives no reason");
    return FALSE;
}

static gboolean finish(Finish *finish, const GByteArray *drawn, GError **error)
{
    qpdf_data qpdf = finish->qpdf;
    qpdf_silence_errors(qpdf);
    qpdf_set_suppress_warnings(qpdf, QPDF_TRUE);
    if (qpdf_read_memory(qpdf, "the drawing", (const char *)drawn->data, drawn->len, NULL) >= QPDF_ERRORS)
        return fail(qpdf, error);
    qpdf_oh root = qpdf_get_root(qpdf);
    put_preferences(qpdf, root);
    qpdf_oh tree = qpdf_oh_get_key(qpdf, root, "/StructTreeRoot");
    describe_figures(finish, tree, 0);
    turn_links(finish);
    if (qpdf_init_write_memory(qpdf) >= QPDF_ERRORS)
        return fail(qpdf, error);
    qpdf_set_deterministic_ID(qpdf, QPDF_TRUE);
    qpdf_set_stream_data_mode(qpdf, qpdf_s_preserve);
    qpdf_set_object_stream_mode(qpdf, qpdf_o_generate);
    return qpdf_write(qpdf) < QPDF_ERRORS || fail(qpdf, error);
}

GBytes *gb_pdf_finish(const GByteArray *drawn, const GPtrArray *alts, const char *beside, GError **error)
{
    Finish work = { .qpdf = qpdf_init(), .alts = alts, .beside = beside };
    GBytes *finished = NULL;
    if (finish(&work, drawn, error))
        finished = g_bytes_new(qpdf_get_buffer(work.qpdf), qpdf_get_buffer_length(work.qpdf));
    qpdf_cleanup(&work.qpdf);
    return finished;
}
