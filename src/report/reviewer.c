/* reviewer.c -- the sheet for whoever has two minutes to say whether the file is complete.
 *
 * The worst first: what is missing, weak or waived, with the reason; then what is there, with the figures that show it; then what else
 * a reviewer would ask about: evidence with a gap in it, photos that may be of another place or time, changes made after the
 * inspection. Everything is a table (table.c).
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "report-private.h"

#include <gablebook/doubt.h>
#include <gablebook/history.h>
#include <math.h>

#define EDITS_IN_FULL 12 /* more than these are counted by day */

typedef struct {
    const GbDossier *dossier;
    GHashTable *figure_of; /* shot number (gint64) -> figure number, as GUINT_TO_POINTER */
    json_t *tables;
} Sheet;

static guint figure_of(const Sheet *sheet, gint64 shot)
{
    return GPOINTER_TO_UINT(g_hash_table_lookup(sheet->figure_of, &shot));
}

static GHashTable *figures_by_shot(const json_t *model)
{
    GHashTable *figures = g_hash_table_new_full(g_int64_hash, g_int64_equal, g_free, NULL);
    gsize i;
    json_t *file;
    json_array_foreach(json_object_get(model, "files"), i, file) {
        gint64 shot = json_integer_value(json_object_get(file, "shot"));
        guint figure = (guint)json_integer_value(json_object_get(file, "figure"));
        if (figure > 0)
            g_hash_table_insert(figures, g_memdup2(&shot, sizeof shot), GUINT_TO_POINTER(figure));
    }
    return figures;
}

static int compare_numbers(gconstpointer a, gconstpointer b)
{
    guint left = *(const guint *)a, right = *(const guint *)b;
    return left < right ? -1 : left > right;
}

/* The figures of these shots, rising. */
static void add_figures(const Sheet *sheet, json_t *cell, const GArray *shots)
{
    g_autoptr(GArray) figures = g_array_new(FALSE, FALSE, sizeof(guint));
    for (guint i = 0; i < shots->len; i++) {
        guint figure = figure_of(sheet, g_array_index(shots, gint64, i));
        if (figure > 0)
            g_array_append_val(figures, figure);
    }
    g_array_sort(figures, compare_numbers);
    for (guint i = 0; i < figures->len; i++)
        gb_table_figure(cell, g_array_index(figures, guint, i));
}

static void add_shot(const Sheet *sheet, json_t *cell, gint64 shot)
{
    guint figure = figure_of(sheet, shot);
    if (figure > 0)
        gb_table_figure(cell, figure);
}

/* TAKES table; one without rows has nothing to say. */
static void put_table(Sheet *sheet, json_t *table)
{
    if (gb_table_rows(table) > 0)
        json_array_append(sheet->tables, table);
    json_decref(table);
}

/* --- the checklist --- */

static json_t *lines_table(const char *id, const char *title, const char *lead)
{
    json_t *table = gb_table_new(id, title, lead);
    gb_table_column(table, "Where", 3, FALSE);
    gb_table_column(table, "What", 7, FALSE);
    return table;
}

static void put_missing(Sheet *sheet, GbCheckState state, const char *id, const char *title, const char *lead)
{
    json_t *table = lines_table(id, title, lead);
    gb_table_column(table, "What is lacking", 3, FALSE);
    for (guint i = 0; i < sheet->dossier->check->lines->len; i++) {
        const GbCheckLine *line = sheet->dossier->check->lines->pdata[i];
        if (line->state != state)
            continue;
        json_t *row = gb_table_row(table);
        gb_table_cell(table, row, line->group);
        json_t *what = gb_table_cell(table, row, line->what);
        if (state != GB_CHECK_ADVISED)
            gb_table_note(what, line->requirement->why);
        json_t *lacks = gb_table_cell(table, row, line->lacks != NULL ? line->lacks : "no shot");
        if (line->lacks != NULL && line->shots->len > 0)
            gb_table_part(lacks, "there:");
        add_figures(sheet, lacks, line->shots);
    }
    put_table(sheet, table);
}

static void put_waived(Sheet *sheet)
{
    json_t *table = lines_table("waived", "Waived", "Required, not possible, and a person said why.");
    gb_table_column(table, "Reason", 4, FALSE);
    for (guint i = 0; i < sheet->dossier->check->lines->len; i++) {
        const GbCheckLine *line = sheet->dossier->check->lines->pdata[i];
        if (line->state != GB_CHECK_WAIVED)
            continue;
        g_autofree char *at = gb_time_text((double)line->waived_at_utc_s);
        g_autofree char *by = g_strdup_printf("%s, %s UTC", line->waived_who, at);
        json_t *row = gb_table_row(table);
        gb_table_cell(table, row, line->group);
        gb_table_cell(table, row, line->what);
        gb_table_note(gb_table_cell(table, row, line->waived_why), by);
    }
    put_table(sheet, table);
}

/* What is there, a row for each place: "overview 3; test square 4, 5". */
static void put_there(Sheet *sheet)
{
    json_t *table = gb_table_new("there", "There", "By place, with the figures of the photo report that show it.");
    gb_table_column(table, "Where", 3, FALSE);
    gb_table_column(table, "What, and figures", 10, FALSE);
    const char *last = NULL;
    json_t *cell = NULL;
    for (guint i = 0; i < sheet->dossier->check->lines->len; i++) {
        const GbCheckLine *line = sheet->dossier->check->lines->pdata[i];
        if (line->state != GB_CHECK_THERE)
            continue;
        /* "test square, rear slope" stands under "Rear slope": the place need not be said again. */
        const char *comma = strrchr(line->label, ',');
        gboolean placed = line->place != 0 || line->structure != 0;
        g_autofree char *label = comma != NULL && placed ? g_strndup(line->label, (gsize)(comma - line->label)) : g_strdup(line->label);
        if (cell == NULL || g_strcmp0(last, line->group) != 0) {
            json_t *row = gb_table_row(table);
            gb_table_cell(table, row, line->group);
            cell = gb_table_cell(table, row, label);
            last = line->group;
        } else {
            gb_table_part(cell, label);
        }
        add_figures(sheet, cell, line->shots);
    }
    put_table(sheet, table);
}

/* --- evidence --- */

static json_t *pairs_table(const char *id, const char *title, const char *lead)
{
    json_t *table = gb_table_new(id, title, lead);
    gb_table_column(table, "What", 9, FALSE);
    gb_table_column(table, "Figures", 2, FALSE);
    return table;
}

static const GbSubject *subject_of(const Sheet *sheet, const GbShot *shot)
{
    return shot->subject != NULL ? gb_catalogue_by_id(sheet->dossier->catalogue, shot->subject) : NULL;
}

static gboolean is_of_damage(const Sheet *sheet, const GbShot *shot)
{
    const GbSubject *subject = subject_of(sheet, shot);
    return !shot->left_out && subject != NULL && subject->shows == GB_SHOWS_DAMAGE;
}

static gboolean has_overview(const Sheet *sheet, gint64 place)
{
    const GPtrArray *shots = sheet->dossier->shots;
    for (guint i = 0; i < shots->len; i++) {
        const GbShot *shot = shots->pdata[i];
        if (!shot->left_out && shot->place == place && gb_shot_distance(shot, sheet->dossier->catalogue) == GB_DISTANCE_OVERVIEW)
            return TRUE;
    }
    return FALSE;
}

/* Damage at a place that no photo shows as a whole. */
static void add_lost_damage(const Sheet *sheet, json_t *table)
{
    const GPtrArray *places = sheet->dossier->places, *shots = sheet->dossier->shots;
    for (guint p = 0; p < places->len; p++) {
        const GbPlace *place = places->pdata[p];
        json_t *figures = NULL;
        for (guint i = 0; i < shots->len; i++) {
            const GbShot *shot = shots->pdata[i];
            if (shot->place != place->id || !is_of_damage(sheet, shot))
                continue;
            if (figures == NULL && has_overview(sheet, place->id))
                break;
            if (figures == NULL) {
                g_autofree char *text = g_strdup_printf("%s: damage is shown, but no overview shows where on it", place->title);
                json_t *row = gb_table_row(table);
                gb_table_cell(table, row, text);
                figures = gb_table_cell(table, row, NULL);
            }
            add_shot(sheet, figures, shot->number);
        }
    }
}

/* One row with the figures of all shots that a test picks; nothing where none is picked. */
static void add_picked(const Sheet *sheet, json_t *table, const char *text, gboolean (*is_picked)(const Sheet *, const GbShot *))
{
    json_t *figures = NULL;
    for (guint i = 0; i < sheet->dossier->shots->len; i++) {
        const GbShot *shot = sheet->dossier->shots->pdata[i];
        if (shot->left_out || !is_picked(sheet, shot))
            continue;
        if (figures == NULL) {
            json_t *row = gb_table_row(table);
            gb_table_cell(table, row, text);
            figures = gb_table_cell(table, row, NULL);
        }
        add_shot(sheet, figures, shot->number);
    }
}

static gboolean is_without_value(const Sheet *sheet, const GbShot *shot)
{
    const GbSubject *subject = subject_of(sheet, shot);
    return subject != NULL && subject->value != GB_VALUE_NONE && subject->value != GB_VALUE_TEXT && shot->value == NULL;
}

static gboolean is_unplaced(const Sheet *sheet, const GbShot *shot)
{
    return shot->place == 0 || gb_places_by_id(sheet->dossier->places, shot->place) == NULL;
}

static gboolean is_unnamed(const Sheet *sheet, const GbShot *shot)
{
    (void)sheet;
    return shot->subject == NULL;
}

static gboolean is_half_lost(const Sheet *sheet, const GbShot *shot)
{
    (void)sheet;
    return shot->damaged;
}

static void add_weak_shots(const Sheet *sheet, json_t *table)
{
    for (guint i = 0; i < sheet->dossier->shots->len; i++) {
        const GbShot *shot = sheet->dossier->shots->pdata[i];
        if (shot->left_out || shot->weak == NULL)
            continue;
        g_autofree char *text = g_strdup_printf("Weak photo: %s", shot->weak);
        json_t *row = gb_table_row(table);
        gb_table_cell(table, row, text);
        add_shot(sheet, gb_table_cell(table, row, NULL), shot->number);
    }
}

/* Findings that nothing proves, or that say too little to be priced. */
static void add_findings(const Sheet *sheet, json_t *table)
{
    const GbDossier *dossier = sheet->dossier;
    for (guint i = 0; i < dossier->findings->len; i++) {
        const GbFinding *finding = dossier->findings->pdata[i];
        const GbPlace *place = gb_places_by_id(dossier->places, finding->place);
        g_autofree char *lacks = gb_finding_lacks(finding);
        if (finding->shots->len > 0 && lacks == NULL)
            continue;
        g_autofree char *text = g_strdup_printf("Finding %" G_GINT64_FORMAT ", %s, %s: %s%s%s", finding->number,
                                                place != NULL ? place->title : "nowhere",
                                                gb_finding_component_name(finding, dossier->components),
                                                finding->shots->len == 0 ? "no photo proves it" : "",
                                                finding->shots->len == 0 && lacks != NULL ? "; " : "", lacks != NULL ? lacks : "");
        json_t *row = gb_table_row(table);
        gb_table_cell(table, row, text);
        add_figures(sheet, gb_table_cell(table, row, NULL), finding->shots);
    }
}

/* What contradicts itself, and what was recorded without a photo. */
static void add_points(const Sheet *sheet, json_t *table)
{
    for (guint i = 0; i < sheet->dossier->known->points->len; i++) {
        const GbPoint *point = sheet->dossier->known->points->pdata[i];
        g_autofree char *text = gb_heading(point->text);
        json_t *row = gb_table_row(table);
        gb_table_cell(table, row, text);
        gb_table_cell(table, row, NULL);
    }
}

static void put_gaps(Sheet *sheet)
{
    json_t *table = pairs_table("gaps", "Gaps in the evidence", NULL);
    add_points(sheet, table);
    add_findings(sheet, table);
    add_lost_damage(sheet, table);
    add_picked(sheet, table, "A measurement or count is shown, but its value is not recorded", is_without_value);
    add_picked(sheet, table, "Not placed: where on the property is not recorded", is_unplaced);
    add_picked(sheet, table, "Not named: what the photo shows is not recorded", is_unnamed);
    add_picked(sheet, table, "The file is partly damaged; what could be read of it is shown", is_half_lost);
    add_weak_shots(sheet, table);
    put_table(sheet, table);
}

static void put_doubts(Sheet *sheet)
{
    json_t *table = pairs_table("doubts", "Far away, or off in time",
                                "By what the cameras wrote; such a photo may be of another property.");
    g_autoptr(GPtrArray) doubts = gb_doubts(sheet->dossier->shots);
    for (guint i = 0; i < doubts->len; i++) {
        const GbDoubt *doubt = doubts->pdata[i];
        g_autofree char *text = g_strconcat("S", doubt->text + 1, NULL); /* "shot 12 lies ...": a sentence of its own */
        json_t *row = gb_table_row(table);
        json_t *cell = gb_table_cell(table, row, text);
        if (figure_of(sheet, doubt->number) == 0)
            gb_table_note(cell, "left out of the report");
        add_shot(sheet, gb_table_cell(table, row, NULL), doubt->number);
    }
    put_table(sheet, table);
}

/* --- changes after the inspection --- */

/* The day of the inspection, YYYY-MM-DD: as entered, else that of the last photo; NULL unknown. OWNED by the caller. */
static char *inspection_day(const GbDossier *dossier)
{
    if (dossier->claim->inspection_date != NULL)
        return g_strdup(dossier->claim->inspection_date);
    double last = (double)NAN;
    for (guint i = 0; i < dossier->shots->len; i++)
        last = fmax(last, gb_figure_local_s(dossier->shots->pdata[i]));
    g_autofree char *text = gb_time_text(last);
    return *text != '\0' ? g_strndup(text, 10) : NULL;
}

static char *day_of(const GbHistoryEntry *entry)
{
    g_autofree char *at = gb_time_text((double)entry->at_utc_s);
    return g_strndup(at, 10);
}

/* Entries that stand and were made on a later day. OWNED by the caller. */
static GPtrArray *later_entries(const GPtrArray *history, const char *day)
{
    GPtrArray *later = g_ptr_array_new();
    for (guint i = 0; i < history->len; i++) {
        const GbHistoryEntry *entry = history->pdata[i];
        g_autofree char *done = day_of(entry);
        if (strcmp(entry->state, "done") == 0 && strcmp(done, day) > 0)
            g_ptr_array_add(later, (gpointer)entry);
    }
    return later;
}

static void add_entry(json_t *table, const GbHistoryEntry *entry)
{
    g_autofree char *at = gb_time_text((double)entry->at_utc_s);
    g_autofree char *what = g_strdup_printf("%s: %s", entry->verb, entry->summary);
    json_t *row = gb_table_row(table);
    gb_table_cell(table, row, at);
    gb_table_cell(table, row, entry->who);
    gb_table_cell(table, row, what);
}

/* "3 structure, 54 tag" of the entries first ... last - 1. OWNED by the caller. */
static char *count_verbs(const GPtrArray *entries, guint first, guint last)
{
    g_autoptr(GPtrArray) verbs = g_ptr_array_new();
    g_autoptr(GString) text = g_string_new(NULL);
    for (guint i = first; i < last; i++) {
        const char *verb = ((GbHistoryEntry *)entries->pdata[i])->verb;
        if (g_ptr_array_find_with_equal_func(verbs, verb, g_str_equal, NULL))
            continue;
        g_ptr_array_add(verbs, (gpointer)verb);
        guint n = 0;
        for (guint k = i; k < last; k++)
            n += strcmp(((GbHistoryEntry *)entries->pdata[k])->verb, verb) == 0;
        g_string_append_printf(text, "%s%s: %u", text->len > 0 ? ", " : "", verb, n);
    }
    return g_string_free(g_steal_pointer(&text), FALSE);
}

/* A row for each run of entries of one day and person. */
static void add_days(json_t *table, const GPtrArray *entries)
{
    for (guint first = 0, next; first < entries->len; first = next) {
        const GbHistoryEntry *entry = entries->pdata[first];
        g_autofree char *day = day_of(entry);
        for (next = first + 1; next < entries->len; next++) {
            const GbHistoryEntry *other = entries->pdata[next];
            g_autofree char *its = day_of(other);
            if (strcmp(its, day) != 0 || strcmp(other->who, entry->who) != 0)
                break;
        }
        g_autofree char *changes = gb_count_text(next - first, "change", "changes");
        g_autofree char *verbs = count_verbs(entries, first, next);
        json_t *row = gb_table_row(table);
        gb_table_cell(table, row, day);
        gb_table_cell(table, row, entry->who);
        gb_table_note(gb_table_cell(table, row, changes), verbs);
    }
}

static void put_edits(Sheet *sheet, const GPtrArray *history)
{
    g_autofree char *day = inspection_day(sheet->dossier);
    if (day == NULL)
        return;
    g_autoptr(GPtrArray) later = later_entries(history, day);
    g_autofree char *lead = g_strdup_printf("The inspection was on %s. The claim folder keeps each change with what was before; days "
                                            "and times are UTC.", day);
    json_t *table = gb_table_new("edits", "Changed after the day of the inspection", lead);
    gb_table_column(table, "When", 3, FALSE);
    gb_table_column(table, "Who", 3, FALSE);
    gb_table_column(table, "What", 7, FALSE);
    if (later->len > EDITS_IN_FULL)
        add_days(table, later);
    else
        for (guint i = 0; i < later->len; i++)
            add_entry(table, later->pdata[i]);
    put_table(sheet, table);
}

/* --- the sheet --- */

static char *verdict(const GbCheck *check)
{
    if (gb_check_complete(check))
        return check->waived == 0 ? g_strdup("Complete: nothing required is missing.")
                                  : g_strdup_printf("Complete: nothing required is missing. %u of it was waived for a stated reason.",
                                                    check->waived);
    g_autoptr(GString) text = g_string_new("Not complete: ");
    g_string_append_printf(text, "%u required %s missing", check->missing, check->missing == 1 ? "item is" : "items are");
    if (check->weak > 0)
        g_string_append_printf(text, ", %u there only in weak photos", check->weak);
    if (check->waived > 0)
        g_string_append_printf(text, ", %u waived", check->waived);
    g_string_append_c(text, '.');
    return g_string_free(g_steal_pointer(&text), FALSE);
}

/* What is not to be overlooked though it stands in no table. */
static void put_remarks(json_t *sheet, const Sheet *s, const json_t *model)
{
    json_t *quiet = json_array();
    const struct {
        const char *id, *text;
    } said[] = {
        { "gaps", "No gap was found in the evidence." },
        { "doubts", "No photo lies far from the others or was taken at another time, as far as the cameras say." },
        { "edits", "Nothing was changed after the day of the inspection." },
    };
    for (gsize i = 0; i < G_N_ELEMENTS(said); i++) {
        gboolean found = FALSE;
        gsize k;
        json_t *table;
        json_array_foreach(s->tables, k, table)
            found = found || strcmp(json_string_value(json_object_get(table, "id")), said[i].id) == 0;
        if (!found)
            json_array_append_new(quiet, json_string(said[i].text));
    }
    const json_t *originals = json_object_get(model, "originals"), *bad = json_object_get(originals, "bad");
    if (bad != NULL) {
        g_autofree char *text = g_strdup_printf("▲ %d of %d originals are missing, damaged or changed; the photo report says which.",
                                                (int)json_integer_value(bad),
                                                (int)json_integer_value(json_object_get(originals, "read")));
        json_array_append_new(quiet, json_string(text));
    } else if (json_object_get(originals, "intact") != NULL)
        json_array_append_new(quiet, json_string("Every original is byte for byte the file that was taken in (SHA-256)."));
    json_object_set_new(sheet, "said", quiet);
}

json_t *gb_reviewer_model(const GbDossier *dossier, const json_t *model, const GPtrArray *history, const char *figures_in)
{
    g_autoptr(GHashTable) figures = figures_by_shot(model);
    Sheet sheet = { .dossier = dossier, .figure_of = figures, .tables = json_array() };
    json_t *result = json_pack("{s:O, s:O, s:O, s:O, s:O, s:[]}", "program", json_object_get(model, "program"), "title",
                               json_object_get(model, "title"), "claim", json_object_get(model, "claim"), "summary",
                               json_object_get(model, "summary"), "counts", json_object_get(model, "counts"), "chapters");
    g_autofree char *text = verdict(dossier->check);
    gb_put_text(result, "label", "Reviewer’s sheet");
    gb_put_text(result, "verdict", text);
    gb_put_text(result, "figures_in", figures_in);
    if (gb_check_complete(dossier->check))
        json_object_set_new(result, "complete", json_true());

    put_missing(&sheet, GB_CHECK_MISSING, "missing", "Missing", "Required by the checklist.");
    put_missing(&sheet, GB_CHECK_WEAK, "weak", "There, but weak", "Required, and there only in photos that are weak as evidence.");
    put_waived(&sheet);
    put_gaps(&sheet);
    put_doubts(&sheet);
    put_edits(&sheet, history);
    put_there(&sheet);
    put_missing(&sheet, GB_CHECK_ADVISED, "advised", "Advised, not there", "Not required.");
    json_object_set_new(result, "tables", sheet.tables);
    put_remarks(result, &sheet, model);
    return result;
}
