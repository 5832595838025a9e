/* insured.c -- the summary for the insured: plain words, overview pictures, what was found, and nothing else.
 *
 * What is private or only for the trade can't slip in, because nothing is passed on but what is named here: of a
 * figure its number, caption, description and size. Figures are numbered anew.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "report-private.h"

typedef struct {
    const GbDossier *dossier;
    guint next_figure;
    GHashTable *figure_of; /* shot number (gint64) -> new figure number */
    GHashTable *subjects;  /* ids of the subjects shown, borrowed */
} Summary;

static const GbShot *shot_of(const Summary *summary, const json_t *figure)
{
    return gb_shots_by_number(summary->dossier->shots, json_integer_value(json_object_get(figure, "shot")));
}

static const GbSubject *subject_of(const Summary *summary, const GbShot *shot)
{
    return shot != NULL && shot->subject != NULL ? gb_catalogue_by_id(summary->dossier->catalogue, shot->subject) : NULL;
}

static gboolean proves_a_finding(const Summary *summary, const GbShot *shot)
{
    for (guint i = 0; shot != NULL && i < summary->dossier->findings->len; i++) {
        const GbFinding *finding = summary->dossier->findings->pdata[i];
        for (guint k = 0; k < finding->shots->len; k++)
            if (g_array_index(finding->shots, gint64, k) == shot->number)
                return TRUE;
    }
    return FALSE;
}

static gboolean is_for_the_insured(const Summary *summary, const GbShot *shot)
{
    const GbSubject *subject = subject_of(summary, shot);
    return proves_a_finding(summary, shot) || (subject != NULL && subject->shows == GB_SHOWS_DAMAGE) ||
           (shot != NULL && gb_shot_distance(shot, summary->dossier->catalogue) == GB_DISTANCE_OVERVIEW);
}

static json_t *copy_members(const json_t *from, const char *const *keys)
{
    json_t *copy = json_object();
    for (gsize i = 0; keys[i] != NULL; i++)
        if (json_object_get(from, keys[i]) != NULL)
            json_object_set(copy, keys[i], json_object_get(from, keys[i]));
    return copy;
}

static void add_figure(Summary *summary, json_t *figures, const json_t *figure)
{
    static const char *const keys[] = { "shot", "caption", "alt", "width", "height", NULL };
    const GbShot *shot = shot_of(summary, figure);
    const GbSubject *subject = subject_of(summary, shot);
    if (!is_for_the_insured(summary, shot))
        return;
    json_t *copy = copy_members(figure, keys);
    json_object_set_new(copy, "number", json_integer(summary->next_figure));
    if (json_object_get(figure, "unavailable") != NULL)
        gb_put_text(copy, "unavailable", "This photo can’t be shown");
    json_array_append_new(figures, copy);
    g_hash_table_insert(summary->figure_of, (gpointer)&shot->number, GUINT_TO_POINTER(summary->next_figure++));
    if (subject != NULL)
        g_hash_table_add(summary->subjects, subject->id);
}

static json_t *heading_copy(Summary *summary, const json_t *heading)
{
    static const char *const keys[] = { "id", "title", NULL };
    json_t *copy = copy_members(heading, keys), *figures = json_array();
    json_object_set_new(copy, "figures", figures);
    json_object_set_new(copy, "notes", json_array());
    json_object_set_new(copy, "sections", json_array());
    gsize i;
    json_t *figure;
    json_array_foreach(json_object_get(heading, "figures"), i, figure)
        add_figure(summary, figures, figure);
    return copy;
}

/* TAKES heading: adds it to list if it shows something. Returns how many figures it has, sections included. */
static guint add_heading(json_t *list, json_t *heading)
{
    gsize n = json_array_size(json_object_get(heading, "figures")), i;
    json_t *section;
    json_array_foreach(json_object_get(heading, "sections"), i, section)
        n += json_array_size(json_object_get(section, "figures"));
    if (n > 0)
        json_array_append(list, heading);
    json_decref(heading);
    return (guint)n;
}

static json_t *chapters(Summary *summary, const json_t *model)
{
    json_t *list = json_array(), *chapter, *section;
    gsize i, k;
    json_array_foreach(json_object_get(model, "chapters"), i, chapter) {
        json_t *copy = heading_copy(summary, chapter);
        json_array_foreach(json_object_get(chapter, "sections"), k, section)
            add_heading(json_object_get(copy, "sections"), heading_copy(summary, section));
        json_t *kept = json_incref(copy);
        g_autofree char *text = NULL;
        guint n = add_heading(list, copy);
        text = gb_count_text(n, "photo", "photos");
        json_object_set_new(kept, "count_text", json_string(text));
        json_decref(kept);
    }
    return list;
}

/* --- what was found --- */

/* A row for each damaged thing at a place, with its photos. */
static void add_found_at(const Summary *summary, json_t *table, const GbPlace *place)
{
    const GPtrArray *shots = summary->dossier->shots;
    g_autoptr(GHashTable) rows = g_hash_table_new(g_str_hash, g_str_equal); /* subject id -> cell of figures */
    for (guint i = 0; i < shots->len; i++) {
        const GbShot *shot = shots->pdata[i];
        const GbSubject *subject = subject_of(summary, shot);
        guint figure = GPOINTER_TO_UINT(g_hash_table_lookup(summary->figure_of, &shot->number));
        if (shot->place != place->id || figure == 0 || subject == NULL || subject->shows != GB_SHOWS_DAMAGE)
            continue;
        json_t *cell = g_hash_table_lookup(rows, subject->id);
        if (cell == NULL) {
            json_t *row = gb_table_row(table);
            gb_table_cell(table, row, place->title);
            gb_table_note(gb_table_cell(table, row, subject->name), subject->plain);
            cell = gb_table_cell(table, row, NULL);
            g_hash_table_insert(rows, subject->id, cell);
        }
        gb_table_figure(cell, figure);
    }
}

/* A row for each finding that was written down: what and by what; not its quantity, nor the note on it. */
static void add_findings(const Summary *summary, json_t *table)
{
    const GbDossier *dossier = summary->dossier;
    for (guint i = 0; i < dossier->findings->len; i++) {
        const GbFinding *finding = dossier->findings->pdata[i];
        const GbPlace *place = gb_places_by_id(dossier->places, finding->place);
        const char *name = gb_finding_component_name(finding, dossier->components);
        g_autofree char *what = finding->cause != NULL ? g_strdup_printf("%s: %s", name, finding->cause) : g_strdup(name);
        json_t *row = gb_table_row(table);
        gb_table_cell(table, row, place != NULL ? place->title : NULL);
        gb_table_cell(table, row, what);
        json_t *cell = gb_table_cell(table, row, NULL);
        for (guint k = 0; k < finding->shots->len; k++) {
            guint figure = GPOINTER_TO_UINT(g_hash_table_lookup(summary->figure_of, &g_array_index(finding->shots, gint64, k)));
            if (figure > 0)
                gb_table_figure(cell, figure);
        }
    }
}

/* The findings; where none are written down, the damage that photos show. */
static json_t *found_table(const Summary *summary)
{
    json_t *table = gb_table_new("found", "What was found", NULL);
    gb_table_column(table, "Where", 3, FALSE);
    gb_table_column(table, "What", 7, FALSE);
    gb_table_column(table, "Photos", 2, FALSE);
    add_findings(summary, table);
    for (guint i = 0; i < summary->dossier->places->len && summary->dossier->findings->len == 0; i++)
        add_found_at(summary, table, summary->dossier->places->pdata[i]);
    return table;
}

/* --- words --- */

/* The catalogue's plain sentence for every subject that is shown. */
static json_t *glossary(const Summary *summary)
{
    json_t *list = json_array();
    for (guint i = 0; i < gb_catalogue_size(summary->dossier->catalogue); i++) {
        const GbSubject *subject = gb_catalogue_peek(summary->dossier->catalogue, i);
        if (!g_hash_table_contains(summary->subjects, subject->id) || *subject->plain == '\0')
            continue;
        json_t *entry = json_object();
        gb_put_text(entry, "label", subject->name);
        gb_put_text(entry, "value", subject->plain);
        json_array_append_new(list, entry);
    }
    return list;
}

static json_t *facts(const json_t *claim)
{
    static const char *const wanted[] = { "Insured",       "Claim number", "Address", "Date of loss", "Date of inspection",
                                          "Cause of loss", "Inspected by", NULL };
    json_t *list = json_array(), *fact;
    gsize i;
    json_array_foreach(json_object_get(claim, "facts"), i, fact)
        if (g_strv_contains(wanted, json_string_value(json_object_get(fact, "label"))))
            json_array_append(list, fact);
    return list;
}

static void end_paragraph(json_t *list, GString *words)
{
    if (words->len > 0)
        json_array_append_new(list, json_string(words->str));
    g_string_truncate(words, 0);
}

/* Text as paragraphs: a blank line between two, whatever ends a line. */
static json_t *paragraphs(const char *text)
{
    json_t *list = json_array();
    g_autofree char *valid = g_utf8_make_valid(text != NULL ? text : "", -1);
    g_autoptr(GString) plain = g_string_new(valid), words = g_string_new(NULL);
    g_string_replace(plain, "\r\n", "\n", 0);
    g_auto(GStrv) lines = g_strsplit_set(plain->str, "\r\n", -1);
    for (guint i = 0; lines[i] != NULL; i++) {
        g_strstrip(lines[i]);
        if (*lines[i] == '\0')
            end_paragraph(list, words);
        else
            g_string_append_printf(words, "%s%s", words->len > 0 ? " " : "", lines[i]);
    }
    end_paragraph(list, words);
    return list;
}

/* A list in an object of its own, so that a template can ask whether there is one. TAKES list; an empty one is left out. */
static void put_list(json_t *model, const char *key, const char *inner, json_t *list)
{
    if (json_array_size(list) > 0)
        json_object_set_new(model, key, json_pack("{s:O}", inner, list));
    json_decref(list);
}

json_t *gb_insured_model(const GbDossier *dossier, const json_t *model, const char *next)
{
    g_autoptr(GHashTable) figure_of = g_hash_table_new(g_int64_hash, g_int64_equal);
    g_autoptr(GHashTable) subjects = g_hash_table_new(g_str_hash, g_str_equal);
    Summary summary = { .dossier = dossier, .next_figure = 1, .figure_of = figure_of, .subjects = subjects };
    json_t *shown = chapters(&summary, model), *found = found_table(&summary);
    json_t *result = json_pack("{s:O, s:O, s:{s:o}, s:[], s:o, s:{s:i}}", "program", json_object_get(model, "program"),
                               "title", json_object_get(model, "title"), "claim", "facts", facts(json_object_get(model, "claim")),
                               "tables", "chapters", shown, "counts", "figures", (int)summary.next_figure - 1);
    gb_put_text(result, "label", "Summary for the insured");
    gb_put_text(result, "statement",
                "This summary tells what was seen and photographed at the property. It is not a decision about coverage and promises no "
                "payment: the insurance company decides both, and tells you itself.");
    if (gb_table_rows(found) > 0)
        json_array_append(json_object_get(result, "tables"), found);
    else
        gb_put_text(result, "nothing_found", "No photo in this summary shows damage.");
    json_decref(found);
    put_list(result, "glossary", "words", glossary(&summary));
    put_list(result, "next", "paragraphs", paragraphs(next));
    return result;
}
