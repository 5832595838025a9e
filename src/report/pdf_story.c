/* pdf_story.c -- what stands on the pages, in order, for every reader: each block is there when the model has it.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "pdf-private.h"

#define ITEM_TITLE_PT 112 /* the left column of a list of items */
#define PLAN_PT 470       /* room for a plan and what is said above it: they stand on one page */

static double width_of(const GbPdf *pdf)
{
    return pdf->right - pdf->left;
}

/* The reviewer's: short at all costs. */
static gboolean is_sheet(const GbPdf *pdf)
{
    return json_object_get(pdf->model, "verdict") != NULL;
}

/* --- headings --- */

/* A hairline, a heading, a bookmark, a name. keep: room for what must not be parted from it. Returns the bookmark. */
static int put_chapter(GbPdf *pdf, const char *id, const char *title, const char *count, double keep)
{
    gboolean sheet = is_sheet(pdf);
    pdf->y += pdf->y > pdf->top ? (sheet ? 3 : 8) : 0;
    gb_pdf_need(pdf, 34 + keep);
    gb_pdf_name(pdf, id, pdf->left, pdf->y - 4);
    gb_pdf_rule(pdf, GB_INK, 0.4, pdf->left, pdf->y, pdf->right, pdf->y);
    pdf->y += 5;
    double right = 0;
    if (count != NULL) {
        g_autoptr(PangoLayout) layout = gb_pdf_layout(pdf, GB_STYLE_SMALL, count, -1);
        right = gb_pdf_layout_width(layout);
        gb_pdf_show(pdf, "P", layout, GB_SOFT, pdf->right - right, pdf->y + 8);
    }
    pdf->y += gb_pdf_put(pdf, "H2", sheet ? GB_STYLE_SHEET : GB_STYLE_CHAPTER, GB_INK, title, pdf->left, pdf->y,
                         width_of(pdf) - right - 12) + (sheet ? 3 : 7);
    return gb_pdf_bookmark(pdf, CAIRO_PDF_OUTLINE_ROOT, title, id);
}

static void put_part(GbPdf *pdf, int parent, const char *id, const char *title, double keep)
{
    gb_pdf_need(pdf, 24 + keep);
    gb_pdf_name(pdf, id, pdf->left, pdf->y - 4);
    pdf->y += gb_pdf_put(pdf, "H3", GB_STYLE_PART, GB_INK, title, pdf->left, pdf->y, width_of(pdf)) + 6;
    gb_pdf_bookmark(pdf, parent, title, id);
}

static void put_paragraph(GbPdf *pdf, GbColour colour, const char *text)
{
    if (text == NULL)
        return;
    gb_pdf_flow(pdf, "P", GB_STYLE_BODY, colour, text, pdf->left, MIN(width_of(pdf), 440));
    pdf->y += 5;
}

static void put_small(GbPdf *pdf, const char *text)
{
    if (text == NULL)
        return;
    gb_pdf_flow(pdf, "P", GB_STYLE_SMALL, GB_SOFT, text, pdf->left, MIN(width_of(pdf), 440));
    pdf->y += 5;
}

/* --- the front --- */

static void put_letterhead(GbPdf *pdf)
{
    const json_t *head = json_object_get(pdf->model, "letterhead");
    const char *name = gb_text_of(head, "name");
    if (head == NULL)
        return;
    double logo = gb_pdf_logo(pdf, pdf->left, pdf->y, 170, 46), x = pdf->left + (logo > 0 ? logo + 14 : 0), y = pdf->y;
    double room = pdf->right - x;
    if (name != NULL)
        y += gb_pdf_put(pdf, "P", GB_STYLE_SENDER, GB_INK, name, x, y, room) + 1;
    gsize i;
    const json_t *line;
    json_array_foreach(json_object_get(head, "address"), i, line)
        y += gb_pdf_put(pdf, "P", GB_STYLE_SMALL, GB_SOFT, json_string_value(line), x, y, room);
    pdf->y = MAX(y, pdf->y + (logo > 0 ? 46 : 0)) + 10;
    gb_pdf_rule(pdf, GB_HAIR, 0.4, pdf->left, pdf->y, pdf->right, pdf->y);
    pdf->y += 22;
}

static void put_front(GbPdf *pdf)
{
    put_letterhead(pdf);
    pdf->y += gb_pdf_put(pdf, "P", GB_STYLE_LABEL, GB_SOFT, gb_text_of(pdf->model, "label"), pdf->left, pdf->y, width_of(pdf)) + 3;
    gb_pdf_name(pdf, "top", pdf->left, pdf->y);
    gb_pdf_flow(pdf, "H1", GB_STYLE_TITLE, GB_INK, gb_text_of(pdf->model, "title"), pdf->left, width_of(pdf));
    pdf->y += 14;
    gb_pdf_facts(pdf, json_object_get(json_object_get(pdf->model, "claim"), "facts"), is_sheet(pdf) ? 5 : 3);
    put_paragraph(pdf, GB_INK, gb_text_of(pdf->model, "chosen"));
    put_paragraph(pdf, GB_INK, gb_text_of(pdf->model, "statement"));

    const char *verdict = gb_text_of(pdf->model, "verdict");
    if (verdict == NULL)
        return;
    g_autofree char *text = g_strconcat(json_object_get(pdf->model, "complete") != NULL ? "✓ " : "▲ ", verdict, NULL);
    gb_pdf_flow(pdf, "P", GB_STYLE_SENDER, json_object_get(pdf->model, "complete") != NULL ? GB_INK : GB_WARN, text, pdf->left,
                width_of(pdf));
    pdf->y += 6;
    gsize i;
    const json_t *remark;
    json_array_foreach(json_object_get(pdf->model, "said"), i, remark)
        put_small(pdf, json_string_value(remark));
}

/* --- what must not be overlooked --- */

/* A line beside the items tells their state by its kind, as well as the heading does: thick, double, dashed. */
static void put_state_rule(GbPdf *pdf, const char *state, double from, double to)
{
    static const double dashes[] = { 2.5, 2 };
    double x = pdf->left + 1;
    if (pdf->measuring)
        return;
    if (g_strcmp0(state, "advised") == 0)
        cairo_set_dash(pdf->cr, dashes, G_N_ELEMENTS(dashes), 0);
    if (g_strcmp0(state, "waived") == 0) {
        gb_pdf_rule(pdf, GB_SOFT, 0.5, x - 0.8, from, x - 0.8, to);
        gb_pdf_rule(pdf, GB_SOFT, 0.5, x + 0.8, from, x + 0.8, to);
    } else {
        gboolean grave = g_strcmp0(state, "missing") == 0 || g_strcmp0(state, "weak") == 0;
        gb_pdf_rule(pdf, grave ? GB_WARN : GB_SOFT, grave ? 1.8 : 0.5, x, from, x, to);
    }
    cairo_set_dash(pdf->cr, NULL, 0, 0);
}

/* What a line says, and in small letters why or by whom. Returned OWNED. */
static char *line_text(const json_t *line, char **small)
{
    const char *reason = gb_text_of(line, "reason"), *what = gb_text_of(line, "what"), *lacks = gb_text_of(line, "lacks");
    *small = reason != NULL ? g_strdup_printf("Waived by %s, %s UTC", gb_text_of(line, "who"), gb_text_of(line, "when_utc"))
                            : g_strdup(lacks);
    return reason != NULL ? g_strdup_printf("%s: %s", what, reason) : g_strdup(what);
}

static void put_line(GbPdf *pdf, const char *state, const char *title, const json_t *line)
{
    g_autofree char *small = NULL;
    g_autofree char *text = line_text(line, &small);
    double x = pdf->left + 10 + ITEM_TITLE_PT + 12, room = pdf->right - x;
    g_autoptr(PangoLayout) label = title != NULL ? gb_pdf_layout(pdf, GB_STYLE_LABEL, title, ITEM_TITLE_PT) : NULL;
    g_autoptr(PangoLayout) body = gb_pdf_layout(pdf, GB_STYLE_BODY, text, room);
    g_autoptr(PangoLayout) note = small != NULL ? gb_pdf_layout(pdf, GB_STYLE_SMALL, small, room) : NULL;
    double height = gb_pdf_layout_height(body) + (note != NULL ? gb_pdf_layout_height(note) : 0) + 4;
    if (height > (pdf->bottom - pdf->top) / 2) { /* a very long reason goes over pages */
        if (title != NULL)
            put_small(pdf, title);
        gb_pdf_flow(pdf, "P", GB_STYLE_BODY, GB_INK, text, x, room);
        put_small(pdf, small);
        return;
    }
    if (label != NULL)
        height = MAX(height, gb_pdf_layout_height(label) + 5);
    gb_pdf_need(pdf, height);
    if (label != NULL)
        gb_pdf_show(pdf, "P", label, GB_SOFT, pdf->left + 10, pdf->y + 3);
    double y = pdf->y + gb_pdf_show(pdf, "P", body, GB_INK, x, pdf->y);
    if (note != NULL)
        gb_pdf_show(pdf, "P", note, GB_SOFT, x, y);
    put_state_rule(pdf, state, pdf->y, pdf->y + height);
    pdf->y += height;
}

static void put_items(GbPdf *pdf, const char *id, const char *title, const char *sign, const char *state)
{
    const json_t *items = json_object_get(json_object_get(pdf->model, "attention"), state), *group, *line;
    gsize i, k;
    if (items == NULL)
        return;
    put_chapter(pdf, id, title, NULL, 40);
    g_autofree char *lead = g_strdup_printf("%s %s.", sign, gb_text_of(items, "count_text"));
    put_paragraph(pdf, GB_INK, lead);
    json_array_foreach(json_object_get(items, "groups"), i, group) {
        json_array_foreach(json_object_get(group, "lines"), k, line)
            put_line(pdf, state, k == 0 ? gb_text_of(group, "title") : NULL, line);
        pdf->y += 3;
    }
    pdf->y += 6;
}

/* What contradicts itself, what nothing proves. */
static void put_points(GbPdf *pdf, const char *member, const char *title)
{
    const json_t *points = json_object_get(json_object_get(json_object_get(pdf->model, "attention"), member), "points"), *point;
    gsize i;
    if (json_array_size(points) == 0)
        return;
    put_chapter(pdf, member, title, NULL, 40);
    json_array_foreach(points, i, point) {
        g_autofree char *text = g_strdup_printf("▲ %s.", gb_text_of(point, "text"));
        put_paragraph(pdf, GB_INK, text);
    }
    pdf->y += 6;
}

static void put_attention(GbPdf *pdf)
{
    const json_t *attention = json_object_get(pdf->model, "attention");
    if (attention == NULL)
        return;
    put_items(pdf, "missing", "What is missing", "▲", "missing");
    put_items(pdf, "weak", "What is there, but weak", "▲", "weak");
    if (json_object_get(attention, "complete") != NULL) {
        const char *checklist = gb_text_of(json_object_get(pdf->model, "claim"), "checklist");
        g_autofree char *text = g_strdup_printf("✓ Every required item of the checklist “%s” is there%s.", checklist,
                                                json_object_get(attention, "waived") != NULL ? ", or was waived for a stated reason" : "");
        put_chapter(pdf, "missing", "Nothing required is missing", NULL, 20);
        put_paragraph(pdf, GB_INK, text);
    }
    put_items(pdf, "waived", "What was waived", "◇", "waived");
    if (json_object_get(attention, "waived") == NULL)
        put_paragraph(pdf, GB_INK, "Nothing was waived.");
    put_points(pdf, "differing", "What does not agree");
    put_points(pdf, "unproven", "Recorded without a photo");
    put_items(pdf, "advised", "Advised, not there", "○", "advised");
}

static void put_summary(GbPdf *pdf)
{
    const json_t *summary = json_object_get(pdf->model, "summary");
    if (json_array_size(summary) == 0 || is_sheet(pdf))
        return;
    put_chapter(pdf, "summary", "Summary", NULL, 60);
    gb_pdf_facts(pdf, summary, 3);
    put_small(pdf, "Times are local. Where a camera’s clock was wrong, its own reading, the error and how it is known stand beside the "
                   "corrected time; everywhere else the time is the camera’s own. Positions, directions and their errors are what the "
                   "camera wrote into the file; nobody measured them.");
}

/* --- contents --- */

static void put_entry(GbPdf *pdf, const char *id, const char *title, const char *count)
{
    int page = gb_pdf_page_of(pdf, id);
    g_autofree char *number = page > 0 ? g_strdup_printf("page %d", page) : g_strdup("page");
    g_autoptr(PangoLayout) right = gb_pdf_layout(pdf, GB_STYLE_SMALL, number, -1);
    g_autoptr(PangoLayout) middle = gb_pdf_layout(pdf, GB_STYLE_SMALL, count != NULL ? count : "", -1);
    g_autoptr(PangoLayout) left = gb_pdf_layout(pdf, GB_STYLE_BODY, title, width_of(pdf) - 170);
    double height = gb_pdf_layout_height(left) + 4;
    gb_pdf_need(pdf, height);
    gb_pdf_open(pdf, "TOCI");
    gb_pdf_show(pdf, "P", left, GB_INK, pdf->left, pdf->y + 1);
    gb_pdf_show(pdf, "P", middle, GB_SOFT, pdf->right - 150, pdf->y + 3.5);
    gb_pdf_show(pdf, "P", right, GB_SOFT, pdf->right - gb_pdf_layout_width(right), pdf->y + 3.5);
    gb_pdf_link(pdf, id, pdf->left, pdf->y, width_of(pdf), height);
    gb_pdf_close(pdf, "TOCI");
    pdf->y += height;
    gb_pdf_rule(pdf, GB_HAIR, 0.4, pdf->left, pdf->y, pdf->right, pdf->y);
}

static void put_contents(GbPdf *pdf)
{
    const json_t *chapters = json_object_get(pdf->model, "chapters"), *chapter, *table;
    gsize i;
    if (json_array_size(chapters) == 0)
        return;
    put_chapter(pdf, "contents", "Contents", NULL, 60);
    gb_pdf_open(pdf, "TOC");
    json_array_foreach(json_object_get(pdf->model, "tables"), i, table)
        put_entry(pdf, gb_text_of(table, "id"), gb_text_of(table, "title"), NULL);
    for (const GbPdfKnown *known = gb_pdf_known; known->member != NULL; known++) {
        const json_t *member = json_object_get(pdf->model, known->member);
        if (member != NULL)
            put_entry(pdf, known->id, known->title, gb_text_of(member, "count_text"));
    }
    json_array_foreach(chapters, i, chapter)
        put_entry(pdf, gb_text_of(chapter, "id"), gb_text_of(chapter, "title"), gb_text_of(chapter, "count_text"));
    if (json_object_get(pdf->model, "glossary") != NULL)
        put_entry(pdf, "words", "Words", NULL);
    if (json_object_get(pdf->model, "next") != NULL)
        put_entry(pdf, "next", "What happens next", NULL);
    if (json_object_get(pdf->model, "files") != NULL) {
        gsize beside = json_array_size(json_object_get(json_object_get(pdf->model, "attached"), "files"));
        g_autofree char *more = beside > 0 ? g_strdup_printf(", %d beside them", (int)beside) : NULL;
        g_autofree char *count = g_strdup_printf("%d listed%s", (int)json_array_size(json_object_get(pdf->model, "files")),
                                                 more != NULL ? more : "");
        put_entry(pdf, "files", "Files", count);
    }
    gb_pdf_close(pdf, "TOC");
    pdf->y += 10;
}

/* --- tables, chapters --- */

static void put_tables(GbPdf *pdf)
{
    gsize i;
    const json_t *table;
    json_array_foreach(json_object_get(pdf->model, "tables"), i, table) {
        put_chapter(pdf, gb_text_of(table, "id"), gb_text_of(table, "title"), NULL, 50);
        put_small(pdf, gb_text_of(table, "lead"));
        gb_pdf_table(pdf, table);
    }
    put_paragraph(pdf, GB_INK, gb_text_of(pdf->model, "nothing_found"));
}

/* Facts, squares, roofs, findings. */
static void put_known(GbPdf *pdf)
{
    for (const GbPdfKnown *known = gb_pdf_known; known->member != NULL; known++) {
        const json_t *member = json_object_get(pdf->model, known->member);
        if (member == NULL)
            continue;
        double keep = gb_text_of(member, "plan") != NULL ? PLAN_PT : 60;
        put_chapter(pdf, known->id, known->title, gb_text_of(member, "count_text"), keep);
        known->put(pdf, member);
        pdf->y += 8;
    }
}

static void put_note(GbPdf *pdf, const char *state, const char *text)
{
    g_autoptr(PangoLayout) layout = gb_pdf_layout(pdf, GB_STYLE_SMALL, text, width_of(pdf) - 12);
    double height = gb_pdf_layout_height(layout) + 3;
    if (height > (pdf->bottom - pdf->top) / 2) {
        gb_pdf_flow(pdf, "P", GB_STYLE_SMALL, GB_INK, text, pdf->left + 10, width_of(pdf) - 12);
        return;
    }
    gb_pdf_need(pdf, height);
    gb_pdf_show(pdf, "P", layout, GB_INK, pdf->left + 10, pdf->y + 1);
    put_state_rule(pdf, state, pdf->y, pdf->y + height);
    pdf->y += height + 3;
}

/* Notes that a person wants in the report. */
static void put_remarks(GbPdf *pdf, const json_t *heading)
{
    gsize i;
    const json_t *remark;
    json_array_foreach(json_object_get(heading, "remarks"), i, remark) {
        g_autofree char *text = g_strdup_printf("NOTE  %s (%s, %s UTC)", gb_text_of(remark, "text"), gb_text_of(remark, "who"),
                                                gb_text_of(remark, "when_utc"));
        gb_pdf_flow(pdf, "P", GB_STYLE_SMALL, GB_INK, text, pdf->left + 10, width_of(pdf) - 10);
        pdf->y += 3;
    }
}

static void put_notes(GbPdf *pdf, const json_t *heading)
{
    const char *empty = gb_text_of(heading, "empty");
    gsize i;
    const json_t *note;
    if (empty != NULL) {
        g_autofree char *text = g_strdup_printf("▲ %s.", empty);
        put_note(pdf, "missing", text);
    }
    json_array_foreach(json_object_get(heading, "notes"), i, note) {
        g_autofree char *small = NULL;
        g_autofree char *said = line_text(note, &small);
        g_autofree char *state = g_utf8_strup(gb_text_of(note, "state"), -1);
        g_autofree char *text = small != NULL ? g_strdup_printf("%s  %s (%s)", state, said, small) : g_strdup_printf("%s  %s", state, said);
        put_note(pdf, gb_text_of(note, "state"), text);
    }
    put_remarks(pdf, heading);
    if (empty != NULL || json_array_size(json_object_get(heading, "notes")) + json_array_size(json_object_get(heading, "remarks")) > 0)
        pdf->y += 6;
}

/* Room that a heading's notes and first photos take: they are not parted from it unless they fill a page. */
static double room_below(GbPdf *pdf, const json_t *heading)
{
    double notes = 14.0 * (double)json_array_size(json_object_get(heading, "notes")) + (gb_text_of(heading, "empty") != NULL ? 14 : 0);
    double figures = gb_pdf_first_figures(pdf, json_object_get(heading, "figures"));
    return MIN(notes + figures, pdf->bottom - pdf->top - 60);
}

static void put_chapters(GbPdf *pdf)
{
    gsize i, k;
    const json_t *chapter, *section;
    json_array_foreach(json_object_get(pdf->model, "chapters"), i, chapter) {
        const json_t *sections = json_object_get(chapter, "sections");
        double keep = room_below(pdf, chapter);
        if (json_array_size(json_object_get(chapter, "figures")) == 0 && json_array_size(sections) > 0)
            keep += 24 + room_below(pdf, json_array_get(sections, 0));
        int mark = put_chapter(pdf, gb_text_of(chapter, "id"), gb_text_of(chapter, "title"), gb_text_of(chapter, "count_text"),
                               MIN(keep, pdf->bottom - pdf->top - 60));
        put_notes(pdf, chapter);
        gb_pdf_figures(pdf, json_object_get(chapter, "figures"));
        json_array_foreach(sections, k, section) {
            put_part(pdf, mark, gb_text_of(section, "id"), gb_text_of(section, "title"), room_below(pdf, section));
            put_notes(pdf, section);
            gb_pdf_figures(pdf, json_object_get(section, "figures"));
        }
    }
}

/* --- the end --- */

static void put_words(GbPdf *pdf)
{
    const json_t *words = json_object_get(json_object_get(pdf->model, "glossary"), "words"), *word;
    gsize i;
    if (json_array_size(words) == 0)
        return;
    put_chapter(pdf, "words", "Words", NULL, 40);
    json_array_foreach(words, i, word) {
        g_autoptr(PangoLayout) term = gb_pdf_layout(pdf, GB_STYLE_BODY, gb_text_of(word, "label"), 130);
        g_autoptr(PangoLayout) said = gb_pdf_layout(pdf, GB_STYLE_BODY, gb_text_of(word, "value"), width_of(pdf) - 146);
        double height = MAX(gb_pdf_layout_height(term), gb_pdf_layout_height(said)) + 5;
        gb_pdf_need(pdf, height);
        gb_pdf_show(pdf, "P", term, GB_INK, pdf->left, pdf->y + 2);
        gb_pdf_show(pdf, "P", said, GB_SOFT, pdf->left + 146, pdf->y + 2);
        pdf->y += height;
        gb_pdf_rule(pdf, GB_HAIR, 0.4, pdf->left, pdf->y, pdf->right, pdf->y);
    }
    pdf->y += 10;
}

static void put_next(GbPdf *pdf)
{
    const json_t *next = json_object_get(json_object_get(pdf->model, "next"), "paragraphs"), *paragraph;
    gsize i;
    if (json_array_size(next) == 0)
        return;
    put_chapter(pdf, "next", "What happens next", NULL, 30);
    json_array_foreach(next, i, paragraph)
        put_paragraph(pdf, GB_INK, json_string_value(paragraph));
}

/* Which figure a file belongs to, or what to say instead. */
static void add_figure_cell(json_t *table, json_t *row, const json_t *file, const char *none)
{
    const json_t *figure = json_object_get(file, "figure");
    json_t *cell = gb_table_cell(table, row, NULL);
    if (figure != NULL)
        gb_table_figure(cell, (guint)json_integer_value(figure));
    else
        gb_table_note(cell, none);
}

/* Its name, its digest and what is wrong with it. */
static void add_name_cell(json_t *table, json_t *row, const json_t *file)
{
    const char *problem = gb_text_of(file, "problem");
    json_t *name = gb_table_cell(table, row, gb_text_of(file, "file"));
    gb_table_note(name, gb_text_of(file, "sha256"));
    json_object_set_new(json_array_get(json_object_get(name, "parts"), 0), "mono", json_true());
    if (problem == NULL)
        return;
    g_autofree char *text = g_strdup_printf("▲ %s", problem);
    gb_table_part(name, text);
}

static void add_bytes_cell(json_t *table, json_t *row, const json_t *file)
{
    const json_t *said = json_object_get(file, "bytes"); /* text where a locale groups it */
    g_autofree char *bytes = g_strdup_printf("%lld", (long long)json_integer_value(said));
    gb_table_cell(table, row, json_is_string(said) ? json_string_value(said) : bytes);
}

static void add_file_row(json_t *table, const json_t *file)
{
    json_t *row = gb_table_row(table);
    const json_t *time = json_object_get(file, "time");
    g_autofree char *id = g_strdup_printf("file-%lld", (long long)json_integer_value(json_object_get(file, "shot")));
    g_autofree char *shot = g_strdup_printf("%lld", (long long)json_integer_value(json_object_get(file, "shot")));
    gb_put_text(row, "id", id);
    add_figure_cell(table, row, file, "left out");
    gb_table_cell(table, row, shot);
    add_name_cell(table, row, file);
    json_t *taken = gb_table_cell(table, row, time != NULL ? gb_text_of(time, "local") : "not stated");
    const char *correction = gb_text_of(time, "correction");
    g_autofree char *zone = correction != NULL ? g_strdup_printf("%s; %s", gb_text_of(time, "zone"), correction)
                                               : g_strdup(gb_text_of(time, "zone"));
    gb_table_note(taken, zone);
    add_bytes_cell(table, row, file);
}

/* Raw photos, videos and other files that came with the photos. */
static void put_attached(GbPdf *pdf, int parent)
{
    const json_t *attached = json_object_get(pdf->model, "attached"), *file;
    gsize i;
    if (attached == NULL)
        return;
    g_autofree char *title = g_strdup_printf("Kept beside the photos, %s", gb_text_of(attached, "count_text"));
    pdf->y += 8;
    put_part(pdf, parent, "attached", title, 60);
    put_small(pdf, "Raw photos, videos and other files that came with the photos. They are kept byte for byte with the originals, and are not "
                   "shown here.");
    g_autoptr(json_t) table = gb_table_new("attached", NULL, NULL);
    gb_table_column(table, "Beside figure", 14, FALSE);
    gb_table_column(table, "Shot", 9, FALSE);
    gb_table_column(table, "File and SHA-256", 66, FALSE);
    gb_table_column(table, "What it is", 24, FALSE);
    gb_table_column(table, "Bytes", 18, TRUE);
    json_array_foreach(json_object_get(attached, "files"), i, file) {
        json_t *row = gb_table_row(table);
        const json_t *beside = json_object_get(file, "beside");
        g_autofree char *shot = beside != NULL ? g_strdup_printf("%lld", (long long)json_integer_value(beside)) : g_strdup("–");
        add_figure_cell(table, row, file, "–");
        gb_table_cell(table, row, shot);
        add_name_cell(table, row, file);
        gb_table_cell(table, row, gb_text_of(file, "kind"));
        add_bytes_cell(table, row, file);
    }
    gb_pdf_table(pdf, table);
}

static void put_files(GbPdf *pdf)
{
    const json_t *files = json_object_get(pdf->model, "files"), *originals = json_object_get(pdf->model, "originals"), *file;
    gsize i;
    if (files == NULL)
        return;
    gb_pdf_end_page(pdf);
    gb_pdf_begin_page(pdf);
    int mark = put_chapter(pdf, "files", "Files", NULL, 60);
    if (json_object_get(originals, "intact") != NULL)
        put_small(pdf, "✓ All files were read and held against their digests, for this report or for an earlier one since which the file "
                       "system shows no change of them. Each is byte for byte the file that was taken in: "
                       "its SHA-256 is the one recorded then.");
    else if (json_object_get(originals, "bad") != NULL)
        put_small(pdf, "▲ All files were read and held against their digests, for this report or for an earlier one since which the file "
                       "system shows no change of them. Those marked below are missing, damaged or changed; "
                       "each other one has the SHA-256 that was recorded when it was taken in.");
    put_small(pdf, "All files of the claim in the order they were taken, those left out of the report too.");
    g_autoptr(json_t) table = gb_table_new("files", NULL, NULL);
    gb_table_column(table, "Figure", 12, FALSE);
    gb_table_column(table, "Shot", 9, FALSE);
    gb_table_column(table, "File and SHA-256", 66, FALSE);
    gb_table_column(table, "Taken", 26, FALSE);
    gb_table_column(table, "Bytes", 15, TRUE);
    json_array_foreach(files, i, file)
        add_file_row(table, file);
    gb_pdf_table(pdf, table);
    put_attached(pdf, mark);
}

#define BELOW_PT 14 /* between the text of a page and the line at its foot: the imprint may stand there rather than alone on a page */

static void put_last(GbPdf *pdf, const char *text)
{
    double width = MIN(width_of(pdf), 440), room = gb_pdf_left_over(pdf);
    g_autoptr(PangoLayout) layout = gb_pdf_layout(pdf, GB_STYLE_SMALL, text, width);
    double height = gb_pdf_layout_height(layout), apart = CLAMP(room - height, 0, 8);
    pdf->y += apart;
    if (height > room && height <= room + BELOW_PT)
        gb_pdf_show(pdf, "P", layout, GB_SOFT, pdf->left, pdf->y);
    else
        put_small(pdf, text);
}

static void put_imprint(GbPdf *pdf)
{
    const json_t *program = json_object_get(pdf->model, "program");
    const char *beside = gb_text_of(pdf->model, "figures_in"), *locale = gb_text_of(pdf->model, "locale");
    g_autoptr(GString) text = g_string_new(NULL);
    g_string_printf(text, "Made by %s %s from state %s of the claim’s log. ", gb_text_of(program, "name"), gb_text_of(program, "version"),
                    gb_text_of(json_object_get(pdf->model, "state"), "text"));
    if (beside != NULL)
        g_string_append_printf(text, "Figures are those of the photo report, %s, in the same folder.", beside);
    else
        g_string_append(text, "The pictures here are smaller copies, turned upright; the originals are kept unchanged in the claim "
                        "folder.");
    if (locale != NULL)
        g_string_append_printf(text, " Days, times and numbers are written as in %s (Unicode CLDR).", locale);
    put_last(pdf, text->str);
}

void gb_pdf_story(GbPdf *pdf)
{
    put_front(pdf);
    put_remarks(pdf, pdf->model);
    put_attention(pdf);
    put_summary(pdf);
    put_contents(pdf);
    put_known(pdf);
    put_tables(pdf);
    put_chapters(pdf);
    put_words(pdf);
    put_next(pdf);
    put_files(pdf);
    put_imprint(pdf);
}
