/* pdf_figure.c -- photos on paper, with what is known of them.
 *
 * Two photos or three to a page stand one under the other, the words to the left; one, four or six stand in a grid, the words
 * underneath. A photo whose words are too long for that gets the full width for them, over as many pages as they need.
 *
 * cairo embeds a JPEG as it is, without decoding it: the surface is only a carrier of its size, and the thinnest there is (one bit a
 * pixel). A photo's picture is not given to cairo itself but a stand-in of a few bytes (pdf_pour.c). Its identity is its name: cairo would
 * show the first of two pictures that name the same one.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "pdf-private.h"

#include <gablebook/error.h>

#define WORDS_PT 122  /* the column of words beside a photo */
#define GUTTER_PT 14  /* between columns */
#define GAP_PT 17     /* between rows */
#define HEADING_PT 48 /* of a page's height kept for a heading, so that it does not cost a photo */

/* --- pictures --- */

static void unref_bytes(void *bytes)
{
    g_bytes_unref(bytes);
}

/* A surface that carries a JPEG. name: its identity in the document. OWNED by the caller. */
static cairo_surface_t *carrier(GBytes *bytes, int width, int height, const char *name)
{
    gsize n;
    const guint8 *data = g_bytes_get_data(bytes, &n);
    cairo_surface_t *surface = cairo_image_surface_create(CAIRO_FORMAT_A1, width, height);
    char *id = g_strdup(name);
    cairo_surface_set_mime_data(surface, CAIRO_MIME_TYPE_UNIQUE_ID, (unsigned char *)id, strlen(id), g_free, id);
    cairo_surface_set_mime_data(surface, CAIRO_MIME_TYPE_JPEG, data, n, unref_bytes, g_bytes_ref(bytes));
    return surface;
}

/* TAKES surface. */
static void paint(GbPdf *pdf, cairo_surface_t *surface, double x, double y, double width, double height)
{
    if (cairo_surface_status(surface) == CAIRO_STATUS_SUCCESS) {
        cairo_save(pdf->cr);
        cairo_translate(pdf->cr, x, y);
        cairo_scale(pdf->cr, width / cairo_image_surface_get_width(surface), height / cairo_image_surface_get_height(surface));
        cairo_set_source_surface(pdf->cr, surface, 0, 0);
        /* Not cairo_paint: as the first thing on a page it makes cairo forget what was recorded before, tags included. */
        cairo_rectangle(pdf->cr, 0, 0, cairo_image_surface_get_width(surface), cairo_image_surface_get_height(surface));
        cairo_fill(pdf->cr);
        cairo_restore(pdf->cr);
    } else if (pdf->error == NULL) {
        g_set_error(&pdf->error, GB_ERROR, GB_ERROR_STATE, "a picture can't be drawn: %s",
                    cairo_status_to_string(cairo_surface_status(surface)));
    }
    cairo_surface_destroy(surface);
}

static void paint_stand_in(GbPdf *pdf, gint64 shot, double x, double y, double width, double height)
{
    g_autofree char *name = gb_pictures_name(pdf->options->pictures, shot);
    GBytes *stand_in = gb_stand_in_add(pdf->stand_ins, name, shot);
    paint(pdf, carrier(stand_in, GB_STAND_IN_PX, GB_STAND_IN_PX, name), x, y, width, height);
}

static void put_picture(GbPdf *pdf, const json_t *figure, double x, double y, double width, double height)
{
    if (pdf->measuring || pdf->error != NULL)
        return;
    const char *alt = gb_text_of(figure, "alt");
    gb_pdf_open(pdf, "Figure");
    paint_stand_in(pdf, json_integer_value(json_object_get(figure, "shot")), x, y, width, height);
    gb_pdf_drawn(pdf, figure, x, y, width, height);
    gb_pdf_close(pdf, "Figure");
    g_ptr_array_add(pdf->alts, g_strdup(alt != NULL ? alt : "Photo"));
}

typedef struct {
    const guint8 *at;
    gsize left;
} Reader;

static cairo_status_t read_png(void *user, unsigned char *into, unsigned int n)
{
    Reader *reader = user;
    if (n > reader->left)
        return CAIRO_STATUS_READ_ERROR;
    memcpy(into, reader->at, n);
    reader->at += n;
    reader->left -= n;
    return CAIRO_STATUS_SUCCESS;
}

double gb_pdf_logo(GbPdf *pdf, double x, double y, double width, double height)
{
    const GbLetterhead *head = pdf->options->letterhead;
    if (head->logo == NULL)
        return 0;
    double scale = MIN(width / head->logo_width, height / head->logo_height);
    double drawn = scale * head->logo_width;
    if (pdf->measuring)
        return drawn;
    gb_pdf_open(pdf, "Figure");
    if (strcmp(head->logo_type, "image/png") == 0) {
        Reader reader = { g_bytes_get_data(head->logo, NULL), g_bytes_get_size(head->logo) };
        paint(pdf, cairo_image_surface_create_from_png_stream(read_png, &reader), x, y, drawn, scale * head->logo_height);
    } else {
        paint(pdf, carrier(head->logo, head->logo_width, head->logo_height, "logo"), x, y, drawn, scale * head->logo_height);
    }
    gb_pdf_close(pdf, "Figure");
    g_ptr_array_add(pdf->alts, g_strdup_printf("Logo%s%s", head->sender != NULL ? " of " : "", head->sender != NULL ? head->sender : ""));
    return drawn;
}

/* --- words --- */

/* A part of the data that leads to a name of this document; bytes. */
typedef struct {
    int at, end;
    char id[32];
} Span;

typedef struct {
    const json_t *figure;
    PangoLayout *number, *caption, *data; /* data may be NULL */
    GArray *spans;                        /* of Span */
    double picture_width, picture_height;
    gboolean available;
} Box;

static void box_clear(Box *box)
{
    g_clear_object(&box->number);
    g_clear_object(&box->caption);
    g_clear_object(&box->data);
    g_clear_pointer(&box->spans, g_array_unref);
}

static void add_line(GString *data, const char *between, const char *text)
{
    if (text != NULL)
        g_string_append_printf(data, "%s%s", data->len > 0 ? between : "", text);
}

static void add_time(GString *data, const char *between, const json_t *figure)
{
    const json_t *time = json_object_get(figure, "time");
    if (time == NULL) {
        add_line(data, between, "Time not stated");
        return;
    }
    g_autofree char *text = g_strdup_printf("%s, %s", gb_text_of(time, "local"), gb_text_of(time, "zone"));
    add_line(data, between, text);
    add_line(data, between, gb_text_of(time, "correction"));
}

/* text, which leads to a name. */
static void add_span(GString *data, GArray *spans, const char *text, const char *kind, gint64 number)
{
    Span span = { .at = (int)data->len, .end = (int)(data->len + strlen(text)) };
    g_snprintf(span.id, sizeof span.id, "%s-%" G_GINT64_FORMAT, kind, number);
    g_string_append(data, text);
    g_array_append_val(spans, span);
}

/* "Proves finding 3, Gutter". */
static void add_findings(GString *data, const char *between, const json_t *figure, GArray *spans)
{
    gsize i;
    const json_t *finding;
    json_array_foreach(json_object_get(figure, "findings"), i, finding) {
        gint64 number = json_integer_value(json_object_get(finding, "number"));
        g_autofree char *text = g_strdup_printf("finding %" G_GINT64_FORMAT, number);
        add_line(data, between, "Proves ");
        add_span(data, spans, text, "finding", number);
        g_string_append_printf(data, ", %s", gb_text_of(finding, "what"));
    }
}

static void add_remarks(GString *data, const char *between, const json_t *figure)
{
    gsize i;
    const json_t *remark;
    json_array_foreach(json_object_get(figure, "remarks"), i, remark) {
        g_autofree char *text = g_strdup_printf("Note: %s (%s, %s UTC)", gb_text_of(remark, "text"), gb_text_of(remark, "who"),
                                                gb_text_of(remark, "when_utc"));
        add_line(data, between, text);
    }
}

/* "Drawn over it: line, 23.5 in against 10 ft (the caution)". */
static void add_marks(GString *data, const char *between, const json_t *figure)
{
    gsize i;
    const json_t *mark;
    json_array_foreach(json_object_get(json_object_get(figure, "drawn"), "marks"), i, mark) {
        const char *caution = gb_text_of(mark, "caution");
        g_autofree char *text = g_strdup_printf("Drawn over it: %s%s%s%s", gb_text_of(mark, "words"), caution != NULL ? " (" : "",
                                                caution != NULL ? caution : "", caution != NULL ? ")" : "");
        add_line(data, between, text);
    }
}

/* What the camera and the program say, one after the other. NULL when the reader is not to know. OWNED by the caller. */
static char *data_text(const json_t *figure, const char *between, GArray *spans)
{
    static const struct {
        const char *key, *before;
    } said[] = { { "value", "Recorded value: " }, { "damaged", "▲ " }, { "weak", "▲ Weak photo: " } };
    const char *file = gb_text_of(figure, "file");
    if (file == NULL)
        return NULL;
    g_autoptr(GString) data = g_string_new(NULL);
    add_remarks(data, between, figure);
    add_marks(data, between, figure);
    add_findings(data, between, figure, spans);
    for (gsize i = 0; i < G_N_ELEMENTS(said); i++) {
        const char *text = gb_text_of(figure, said[i].key);
        g_autofree char *line = text != NULL ? g_strconcat(said[i].before, text, NULL) : NULL;
        add_line(data, between, line);
    }
    add_time(data, between, figure);
    add_line(data, between, gb_text_of(figure, "direction"));
    add_line(data, between, gb_text_of(json_object_get(figure, "position"), "text"));
    add_line(data, between, gb_text_of(figure, "camera"));
    gint64 shot = json_integer_value(json_object_get(figure, "shot"));
    g_autofree char *line = g_strdup_printf("Shot %" G_GINT64_FORMAT ", ", shot);
    add_line(data, between, line);
    add_span(data, spans, file, "file", shot);
    return g_string_free(g_steal_pointer(&data), FALSE);
}

/* The size of a picture within a room, its sides in proportion. */
static void fit_picture(Box *box, double width, double height)
{
    double w = json_number_value(json_object_get(box->figure, "width")), h = json_number_value(json_object_get(box->figure, "height"));
    double aspect = w > 0 && h > 0 ? w / h : 4.0 / 3.0;
    box->available = json_object_get(box->figure, "unavailable") == NULL;
    box->picture_width = MIN(width, height * aspect);
    box->picture_height = box->picture_width / aspect;
    if (!box->available) {
        box->picture_width = width;
        box->picture_height = MIN(height, 96);
    }
}

/* The number stands above the caption, or before it on the same line. */
static double number_room(const Box *box)
{
    return MAX(20, gb_pdf_layout_width(box->number) + 7);
}

static Box box_new(GbPdf *pdf, const json_t *figure, double words_width, gboolean grid)
{
    Box box = { .figure = figure, .spans = g_array_new(FALSE, FALSE, sizeof(Span)) };
    g_autofree char *number = g_strdup_printf("%lld", (long long)json_integer_value(json_object_get(figure, "number")));
    g_autofree char *data = data_text(figure, grid ? " · " : "\n", box.spans);
    g_autofree char *about = g_strdup_printf("figure %s", number);
    g_free(pdf->about);
    pdf->about = g_steal_pointer(&about);
    box.number = gb_pdf_layout(pdf, GB_STYLE_NUMBER, number, -1);
    box.caption = gb_pdf_layout(pdf, grid ? GB_STYLE_CAPTION_SMALL : GB_STYLE_CAPTION, gb_text_of(figure, "caption"),
                                words_width - (grid ? number_room(&box) : 0));
    box.data = data != NULL ? gb_pdf_layout(pdf, grid ? GB_STYLE_SMALL : GB_STYLE_DATA, data, words_width) : NULL;
    g_clear_pointer(&pdf->about, g_free);
    return box;
}

static double words_height(const Box *box, gboolean grid)
{
    double number = gb_pdf_layout_height(box->number), caption = gb_pdf_layout_height(box->caption);
    double head = grid ? MAX(number, caption + 4) : number + caption;
    return head + (box->data != NULL ? 4 + gb_pdf_layout_height(box->data) : 0);
}

static void link_span(GbPdf *pdf, const Box *box, const Span *span, double x, double y)
{
    PangoRectangle from, to;
    pango_layout_index_to_pos(box->data, span->at, &from);
    pango_layout_index_to_pos(box->data, span->end - 1, &to);
    double left = (double)MIN(from.x, to.x) / PANGO_SCALE, top = (double)to.y / PANGO_SCALE;
    double right = (double)MAX(from.x + from.width, to.x + to.width) / PANGO_SCALE;
    gboolean one_line = from.y == to.y;
    gb_pdf_link(pdf, span->id, x + (one_line ? left : 0), y + top, one_line ? right - left : right, (double)to.height / PANGO_SCALE);
}

/* The file's name leads to its row in the appendix, a finding to the list of findings. */
static void link_data(GbPdf *pdf, const Box *box, double x, double y)
{
    for (guint i = 0; box->data != NULL && i < box->spans->len; i++)
        link_span(pdf, box, &g_array_index(box->spans, Span, i), x, y);
}

static void put_words(GbPdf *pdf, const Box *box, double x, double y, gboolean grid)
{
    double number = gb_pdf_layout_height(box->number);
    gb_pdf_open(pdf, "Caption");
    gb_pdf_show(pdf, NULL, box->number, GB_INK, x, y);
    double caption = grid ? gb_pdf_show(pdf, NULL, box->caption, GB_INK, x + number_room(box), y + 4)
                          : gb_pdf_show(pdf, NULL, box->caption, GB_INK, x, y + number);
    gb_pdf_close(pdf, "Caption");
    if (box->data == NULL)
        return;
    y += (grid ? MAX(number, caption + 4) : number + caption) + 4;
    gb_pdf_show(pdf, "P", box->data, GB_SOFT, x, y);
    link_data(pdf, box, x, y);
}

/* A frame that says why there is no picture. */
static void put_excuse(GbPdf *pdf, const Box *box, double x, double y)
{
    static const double dashes[] = { 3, 2 };
    g_autofree char *text = g_strdup_printf("▲ %s. It was: %s", gb_text_of(box->figure, "unavailable"), gb_text_of(box->figure, "alt"));
    if (!pdf->measuring) {
        cairo_rectangle(pdf->cr, x, y, box->picture_width, box->picture_height);
        gb_pdf_set_colour(pdf, GB_FRAME);
        cairo_fill_preserve(pdf->cr);
        gb_pdf_set_colour(pdf, GB_SOFT);
        cairo_set_line_width(pdf->cr, 0.6);
        cairo_set_dash(pdf->cr, dashes, G_N_ELEMENTS(dashes), 0);
        cairo_stroke(pdf->cr);
        cairo_set_dash(pdf->cr, NULL, 0, 0);
    }
    g_autoptr(PangoLayout) layout = gb_pdf_layout(pdf, GB_STYLE_SMALL, text, box->picture_width - 24);
    double used;
    gb_pdf_lines(pdf, "P", layout, GB_INK, x + 12, y + 12, 0, box->picture_height - 16, &used);
}

static void put_box_picture(GbPdf *pdf, const Box *box, double x, double y)
{
    g_autofree char *id = g_strdup_printf("figure-%lld", (long long)json_integer_value(json_object_get(box->figure, "number")));
    gb_pdf_name(pdf, id, x, y);
    if (box->available)
        put_picture(pdf, box->figure, x, y, box->picture_width, box->picture_height);
    else
        put_excuse(pdf, box, x, y);
}

/* --- how they stand --- */

typedef struct {
    gboolean grid;
    int columns;
    double words_width;                    /* for the words of a photo */
    double picture_width, picture_height;  /* room for a picture */
    double most_words;                     /* more than this stands under the picture, at full width */
} Plan;

static Plan make_plan(const GbPdf *pdf)
{
    int n = pdf->options->per_page;
    int columns = n == 6 ? 3 : n == 4 ? 2 : 1, rows = n / columns;
    double width = pdf->right - pdf->left, height = (pdf->bottom - pdf->top - HEADING_PT - rows * GAP_PT) / rows;
    Plan plan = { .grid = n != 2 && n != 3, .columns = columns };
    if (plan.grid) {
        plan.words_width = plan.picture_width = (width - (columns - 1) * GUTTER_PT) / columns;
        plan.picture_height = height - (n == 1 ? 70 : 104);
        plan.most_words = (pdf->bottom - pdf->top) / 3;
    } else {
        plan.words_width = WORDS_PT;
        plan.picture_width = width - WORDS_PT - GUTTER_PT;
        plan.picture_height = height;
        plan.most_words = MAX(height, 260);
    }
    return plan;
}

/* Beside each other: words to the left. Returns the height. */
static double beside(GbPdf *pdf, const Box *box, const Plan *plan, gboolean draw)
{
    double height = MAX(box->picture_height, words_height(box, FALSE) + 4);
    if (draw) {
        double x = pdf->left + plan->words_width + GUTTER_PT;
        put_box_picture(pdf, box, x, pdf->y);
        gb_pdf_rule(pdf, GB_INK, 0.4, pdf->left, pdf->y + 0.2, pdf->left + plan->words_width, pdf->y + 0.2);
        put_words(pdf, box, pdf->left, pdf->y + 3, FALSE);
    }
    return height;
}

/* A row of a grid. Returns the height. */
static double row(GbPdf *pdf, const Box *boxes, guint n, const Plan *plan, gboolean draw)
{
    double pictures = 0, words = 0;
    for (guint i = 0; i < n; i++) {
        pictures = MAX(pictures, boxes[i].picture_height);
        words = MAX(words, words_height(&boxes[i], TRUE));
    }
    for (guint i = 0; i < n && draw; i++) {
        double x = pdf->left + i * (plan->picture_width + GUTTER_PT), y = pdf->y + pictures + 5;
        put_box_picture(pdf, &boxes[i], x, pdf->y);
        gb_pdf_rule(pdf, GB_INK, 0.4, x, y, x + plan->words_width, y);
        put_words(pdf, &boxes[i], x, y + 2, TRUE);
    }
    return pictures + 5 + words + 2;
}

/* A photo with many words: the picture, then the words over the whole width and as many pages as they need. */
static void long_words(GbPdf *pdf, const json_t *figure, const Plan *plan)
{
    double width = pdf->right - pdf->left;
    Box box = { .figure = figure };
    g_autoptr(GArray) spans = g_array_new(FALSE, FALSE, sizeof(Span));
    fit_picture(&box, MIN(width, MAX(plan->picture_width, 300)), MAX(plan->picture_height, 200));
    gb_pdf_need(pdf, box.picture_height + 60);
    put_box_picture(pdf, &box, pdf->left, pdf->y);
    pdf->y += box.picture_height + 6;
    g_autofree char *data = data_text(figure, " · ", spans);
    g_autofree char *text = g_strdup_printf("%lld  %s", (long long)json_integer_value(json_object_get(figure, "number")),
                                            gb_text_of(figure, "caption"));
    gb_pdf_flow(pdf, "Caption", GB_STYLE_CAPTION, GB_INK, text, pdf->left, width);
    pdf->y += 3;
    if (data != NULL)
        gb_pdf_flow(pdf, "P", GB_STYLE_SMALL, GB_SOFT, data, pdf->left, width);
    pdf->y += GAP_PT;
}

/* The next row of figures from i on: at most the plan's columns, none with long words unless it stands alone. Returns how many;
 * *is_long tells that the one has long words. */
static guint take_row(GbPdf *pdf, const json_t *figures, gsize i, const Plan *plan, Box boxes[3], gboolean *is_long)
{
    guint n = 0;
    *is_long = FALSE;
    for (; n < (guint)plan->columns && i + n < json_array_size(figures); n++) {
        boxes[n] = box_new(pdf, json_array_get(figures, i + n), plan->words_width, plan->grid);
        fit_picture(&boxes[n], plan->picture_width, plan->picture_height);
        if (words_height(&boxes[n], plan->grid) <= plan->most_words)
            continue;
        if (n > 0)
            box_clear(&boxes[n]);
        *is_long = n == 0;
        return MAX(n, 1);
    }
    return n;
}

/* Whether n more would be more than a page is to have. */
static gboolean is_full(const GbPdf *pdf, guint n)
{
    return pdf->on_page > 0 && pdf->on_page + n > (guint)pdf->options->per_page;
}

void gb_pdf_figures(GbPdf *pdf, const json_t *figures)
{
    const Plan plan = make_plan(pdf);
    for (gsize i = 0; i < json_array_size(figures) && pdf->error == NULL;) {
        Box boxes[3];
        gboolean is_long;
        guint n = take_row(pdf, figures, i, &plan, boxes, &is_long);
        if (is_full(pdf, n))
            gb_pdf_need(pdf, G_MAXDOUBLE);
        if (is_long) {
            long_words(pdf, boxes[0].figure, &plan);
        } else if (plan.grid) {
            gb_pdf_need(pdf, row(pdf, boxes, n, &plan, FALSE));
            pdf->y += row(pdf, boxes, n, &plan, TRUE) + GAP_PT;
        } else {
            gb_pdf_need(pdf, beside(pdf, &boxes[0], &plan, FALSE));
            pdf->y += beside(pdf, &boxes[0], &plan, TRUE) + GAP_PT;
        }
        for (guint k = 0; k < n; k++)
            box_clear(&boxes[k]);
        pdf->on_page += n;
        i += n;
    }
}

double gb_pdf_first_figures(GbPdf *pdf, const json_t *figures)
{
    if (json_array_size(figures) == 0)
        return 0;
    const Plan plan = make_plan(pdf);
    Box boxes[3];
    gboolean is_long;
    guint n = take_row(pdf, figures, 0, &plan, boxes, &is_long);
    double height = is_long    ? MAX(plan.picture_height, 200) + 60
                    : plan.grid ? row(pdf, boxes, n, &plan, FALSE)
                                : beside(pdf, &boxes[0], &plan, FALSE);
    for (guint k = 0; k < n; k++)
        box_clear(&boxes[k]);
    return is_full(pdf, n) ? pdf->bottom - pdf->top : height;
}
