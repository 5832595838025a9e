/* pdf_pour.c -- pictures poured into a finished PDF.
 *
 * A report is nearly all JPEG data that nobody needs to look into. cairo and qpdf would copy every byte of it several times, so they are
 * given stand-ins: JPEGs that end behind their header. Here the document goes out, and where a stand-in lies, its picture goes in its
 * place. What lies behind it moves, so the table of places (cross-reference stream, ISO 32000-1, 7.5.8) is written anew.
 *
 * That table is read by qpdf. Of the rest only the objects that may be stand-ins are looked at, where the table says that they are. The
 * pages scale a picture to the place it has, whatever its pixels, so a picture's size is not known before it is poured.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "pdf-private.h"

#include <gablebook/error.h>
#include <gablebook/jpeg.h>
#include <qpdf/qpdf-c.h>

/* --- stand-ins --- */

static void put16(GByteArray *bytes, guint marker_or_number)
{
    const guint8 two[] = { (guint8)(marker_or_number >> 8), (guint8)marker_or_number };
    g_byte_array_append(bytes, two, sizeof two);
}

GHashTable *gb_stand_ins_new(void)
{
    return g_hash_table_new_full(g_bytes_hash, g_bytes_equal, (GDestroyNotify)g_bytes_unref, g_free);
}

/* Start, a comment that makes it unlike any other, a frame header (ITU-T T.81, B.2.2) of three components, end. */
GBytes *gb_stand_in_add(GHashTable *stand_ins, const char *name, gint64 shot)
{
    static const guint8 components[] = { 3, 1, 0x11, 0, 2, 0x11, 0, 3, 0x11, 0 };
    GByteArray *bytes = g_byte_array_new();
    put16(bytes, 0xffd8);
    put16(bytes, 0xfffe);
    put16(bytes, 2 + (guint)strlen(name));
    g_byte_array_append(bytes, (const guint8 *)name, (guint)strlen(name));
    put16(bytes, 0xffc0);
    put16(bytes, 7 + sizeof components);
    g_byte_array_append(bytes, (const guint8[]){ 8 }, 1); /* bits */
    put16(bytes, GB_STAND_IN_PX);
    put16(bytes, GB_STAND_IN_PX);
    g_byte_array_append(bytes, components, sizeof components);
    put16(bytes, 0xffd9);
    GBytes *made = g_byte_array_free_to_bytes(bytes);
    g_hash_table_insert(stand_ins, made, g_memdup2(&shot, sizeof shot));
    return made;
}

/* --- where everything lies --- */

/* A line of the table: of an object in the file itself (kind 1) where it begins, of one in an object stream (2) which and where in it. */
typedef struct {
    guint8 kind;
    guint64 at;
    guint32 index;
} Place;

/* Where a picture belongs. */
typedef struct {
    gsize begin, end; /* its dictionary and the stand-in */
    gint64 shot;
    gint64 shift; /* how much further everything behind it lies, once it is poured */
} Hole;

typedef struct {
    const char *text; /* the document */
    gsize n;
    gsize table_at; /* the object that holds the table: the last one */
    int table_id;
    GArray *places; /* of Place, by object number */
    GArray *holes;  /* of Hole, in order */
    char *same;     /* of the table's dictionary, what stays */
} Document;

static void document_clear(Document *document)
{
    g_array_unref(document->places);
    g_array_unref(document->holes);
    g_free(document->same);
}
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(Document, document_clear)

static gboolean refuse(GError **error, const char *what)
{
    g_set_error(error, GB_ERROR, GB_ERROR_STATE, "the pictures can't be put into the PDF (%s); nothing was written", what);
    return FALSE;
}

/* The first what from ... end, which may hold NULs; NULL: none. */
static const char *find(const char *from, const char *end, const char *what)
{
    gsize n = strlen(what);
    for (; end - from >= (gssize)n; from++)
        if (memcmp(from, what, n) == 0)
            return from;
    return NULL;
}

/* The last lines are "startxref", where the table is, "%%EOF". */
static gboolean find_table(Document *document, GError **error)
{
    const char *end = document->text + document->n, *last = find(end - MIN(document->n, 64), end, "startxref\n");
    guint64 at = last != NULL ? g_ascii_strtoull(last + strlen("startxref\n"), NULL, 10) : 0;
    if (at == 0 || at >= document->n)
        return refuse(error, "it has no table of places");
    document->table_at = (gsize)at;
    document->table_id = (int)g_ascii_strtoll(document->text + at, NULL, 10);
    return TRUE;
}

static guint64 number_at(const guint8 *bytes, guint width)
{
    guint64 number = 0;
    for (guint i = 0; i < width; i++)
        number = number << 8 | bytes[i];
    return number;
}

/* Lines of three numbers of so many bytes each; the first is always there in what qpdf writes. */
static void read_places(Document *document, const guint8 *data, gsize n, const guint width[3])
{
    for (gsize step = width[0] + width[1] + width[2]; n >= step; data += step, n -= step) {
        const Place place = { .kind = (guint8)number_at(data, width[0]), .at = number_at(data + width[0], width[1]),
                              .index = (guint32)number_at(data + width[0] + width[1], width[2]) };
        g_array_append_val(document->places, place);
    }
}

static void keep_entry(GString *same, qpdf_data qpdf, qpdf_oh dictionary, const char *key)
{
    if (qpdf_oh_has_key(qpdf, dictionary, key))
        g_string_append_printf(same, " %s %s", key, qpdf_oh_unparse(qpdf, qpdf_oh_get_key(qpdf, dictionary, key)));
}

static gboolean read_table(Document *document, qpdf_data qpdf, GError **error)
{
    static const char *const same[] = { "/Size", "/Root", "/Info", "/ID" };
    guint width[3];
    qpdf_silence_errors(qpdf);
    if (qpdf_read_memory(qpdf, "the report", document->text, document->n, NULL) >= QPDF_ERRORS)
        return refuse(error, "it can't be read again");
    qpdf_oh table = qpdf_get_object_by_id(qpdf, document->table_id, 0), dictionary = qpdf_oh_get_dict(qpdf, table);
    qpdf_oh widths = qpdf_oh_get_key(qpdf, dictionary, "/W");
    for (int i = 0; i < 3; i++) {
        width[i] = (guint)qpdf_oh_get_int_value_as_int(qpdf, qpdf_oh_get_array_item(qpdf, widths, i));
        if (width[i] > 8 || (i < 2 && width[i] == 0))
            return refuse(error, "its table of places is of another form");
    }
    guint8 *data = NULL;
    size_t n = 0;
    if (qpdf_oh_get_stream_data(qpdf, table, qpdf_dl_generalized, NULL, &data, &n) >= QPDF_ERRORS || data == NULL)
        return refuse(error, "its table of places can't be read");
    read_places(document, data, n, width);
    free(data); /* malloc'ed by qpdf */
    g_autoptr(GString) kept = g_string_new(NULL);
    for (gsize i = 0; i < G_N_ELEMENTS(same); i++)
        keep_entry(kept, qpdf, dictionary, same[i]);
    document->same = g_string_free(g_steal_pointer(&kept), FALSE);
    return TRUE;
}

/* --- where pictures belong --- */

#define MOST_HEAD 1024 /* of an object: far more than an image's dictionary has */
#define MOST_STAND_IN 512

/* The object at a place, when it is one of the stand-ins. */
static gboolean is_hole(const Document *document, gsize at, GHashTable *stand_ins, Hole *hole)
{
    const char *from = document->text + at, *end = from + MIN(MOST_HEAD, document->n - at);
    const char *stream = find(from, end, "stream\n"), *begin = stream != NULL ? find(from, stream, "<<") : NULL;
    const char *length = begin != NULL ? find(begin, stream, "/Length ") : NULL;
    if (length == NULL || find(from, stream, "endobj") != NULL)
        return FALSE;
    const char *data = stream + strlen("stream\n");
    guint64 n = g_ascii_strtoull(length + strlen("/Length "), NULL, 10);
    if (n > MOST_STAND_IN || n > (gsize)(document->text + document->n - data))
        return FALSE;
    g_autoptr(GBytes) bytes = g_bytes_new_static(data, (gsize)n);
    const gint64 *shot = g_hash_table_lookup(stand_ins, bytes);
    if (shot == NULL)
        return FALSE;
    *hole = (Hole){ .begin = (gsize)(begin - document->text), .end = (gsize)(data - document->text) + (gsize)n, .shot = *shot };
    return TRUE;
}

static int by_place(gconstpointer a, gconstpointer b)
{
    const Hole *x = a, *y = b;
    return (x->begin > y->begin) - (x->begin < y->begin);
}

static gboolean find_holes(Document *document, GHashTable *stand_ins, GError **error)
{
    for (guint i = 0; i < document->places->len; i++) {
        const Place *place = &g_array_index(document->places, Place, i);
        Hole hole;
        if (place->kind == 1 && place->at < document->n && is_hole(document, (gsize)place->at, stand_ins, &hole))
            g_array_append_val(document->holes, hole);
    }
    g_array_sort(document->holes, by_place);
    return document->holes->len == g_hash_table_size(stand_ins) || refuse(error, "not all of them have a place in it");
}

/* --- out --- */

/* A picture with its dictionary (ISO 32000-1, 8.9.5): colours as libjpeg writes them need no more. *bytes: how many that are. */
static gboolean pour_picture(const GbPictures *pictures, gint64 shot, GbPour pour, gpointer user, gsize *bytes, GError **error)
{
    gsize n;
    GbJpegHeader header = { 0 };
    g_autoptr(GBytes) picture = gb_pictures_get(pictures, shot, error);
    const void *data = picture != NULL ? g_bytes_get_data(picture, &n) : NULL;
    if (data == NULL || !gb_jpeg_header(data, n, &header, error))
        return FALSE;
    g_autofree char *head = g_strdup_printf("<< /Type /XObject /Subtype /Image /Width %d /Height %d /ColorSpace /%s /BitsPerComponent 8"
                                            " /Interpolate true /Filter /DCTDecode /Length %" G_GSIZE_FORMAT " >>\nstream\n",
                                            header.width, header.height, header.components == 1 ? "DeviceGray" : "DeviceRGB", n);
    gb_jpeg_header_clear(&header);
    *bytes = strlen(head) + n;
    return pour(head, strlen(head), user, error) && pour(data, n, user, error);
}

/* The document up to the table, pictures in their places. */
static gboolean pour_body(Document *document, const GbPictures *pictures, GbPour pour, gpointer user, GError **error)
{
    gsize at = 0, bytes;
    gint64 shift = 0;
    for (guint i = 0; i < document->holes->len; i++) {
        Hole *hole = &g_array_index(document->holes, Hole, i);
        if (!pour(document->text + at, hole->begin - at, user, error) || !pour_picture(pictures, hole->shot, pour, user, &bytes, error))
            return FALSE;
        shift += (gint64)bytes - (gint64)(hole->end - hole->begin);
        hole->shift = shift;
        at = hole->end;
    }
    return pour(document->text + at, document->table_at - at, user, error);
}

/* Where something has come to lie. */
static guint64 moved(const Document *document, guint64 at)
{
    guint low = 0, high = document->holes->len; /* of the holes, those before low begin before it */
    while (low < high) {
        guint middle = low + (high - low) / 2;
        if (g_array_index(document->holes, Hole, middle).begin < at)
            low = middle + 1;
        else
            high = middle;
    }
    return low == 0 ? at : at + (guint64)g_array_index(document->holes, Hole, low - 1).shift;
}

#define WIDTHS "[ 1 6 2 ]"

static void put_number(GByteArray *bytes, guint64 number, guint width)
{
    for (guint i = width; i-- > 0;)
        g_byte_array_append(bytes, (const guint8[]){ (guint8)(number >> (8 * i)) }, 1);
}

static gboolean pour_table(const Document *document, GbPour pour, gpointer user, GError **error)
{
    g_autoptr(GByteArray) lines = g_byte_array_new();
    for (guint i = 0; i < document->places->len; i++) {
        const Place *place = &g_array_index(document->places, Place, i);
        put_number(lines, place->kind, 1);
        put_number(lines, place->kind == 1 ? moved(document, place->at) : place->at, 6);
        put_number(lines, place->index, 2);
    }
    g_autofree char *head = g_strdup_printf("%d 0 obj\n<< /Type /XRef /W " WIDTHS "%s /Length %u >>\nstream\n", document->table_id,
                                            document->same, lines->len);
    g_autofree char *tail = g_strdup_printf("\nendstream\nendobj\n\nstartxref\n%" G_GUINT64_FORMAT "\n%%%%EOF\n",
                                            moved(document, document->table_at));
    return pour(head, strlen(head), user, error) && pour(lines->data, lines->len, user, error) && pour(tail, strlen(tail), user, error);
}

gboolean gb_pdf_pour(GBytes *finished, GHashTable *stand_ins, const GbPictures *pictures, GbPour pour, gpointer user, GError **error)
{
    g_auto(Document) document = { .places = g_array_new(FALSE, FALSE, sizeof(Place)), .holes = g_array_new(FALSE, FALSE, sizeof(Hole)) };
    document.text = g_bytes_get_data(finished, &document.n);
    if (g_hash_table_size(stand_ins) == 0)
        return pour(document.text, document.n, user, error);
    if (!find_table(&document, error))
        return FALSE;
    qpdf_data qpdf = qpdf_init();
    gboolean ok = read_table(&document, qpdf, error);
    qpdf_cleanup(&qpdf);
    return ok && find_holes(&document, stand_ins, error) && pour_body(&document, pictures, pour, user, error) &&
           pour_table(&document, pour, user, error);
}
