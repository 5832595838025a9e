/* model.c -- the report before it has a look: gb_report_model (report.h, docs/report-model.md).
 *
 * Two rules make the model fit for logic-less templates. What is unknown or empty is absent, so that a section can ask for
 * it; but lists that occur at several depths (figures, sections, notes) are always there, else a
 * template that asks an inner object would be answered by an outer one.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "report-private.h"

#include <math.h>

typedef struct {
    const GbDossier *dossier;
    const GPtrArray *places, *shots, *notes; /* of it, as the check */
    const GbCheck *check;
    json_t *chapters;
    GHashTable *figure_of; /* gb_figure_numbers */
} Builder;

/* --- words --- */

static char *count_text(guint n, const char *one, const char *many)
{
    return n == 0 ? g_strdup_printf("no %s", one) : g_strdup_printf("%u %s", n, n == 1 ? one : many);
}

char *gb_heading(const char *name)
{
    if (*name == '\0')
        return g_strdup("");
    g_autofree char *first = g_utf8_strup(name, g_utf8_next_char(name) - name);
    return g_strconcat(first, g_utf8_next_char(name), NULL);
}

static void add_pair(json_t *list, const char *label, const char *value)
{
    if (value == NULL || *value == '\0')
        return;
    json_t *pair = json_object();
    gb_put_text(pair, "label", label);
    gb_put_text(pair, "value", value);
    json_array_append_new(list, pair);
}

static void add_count(json_t *list, const char *label, guint count)
{
    g_autofree char *text = g_strdup_printf("%u", count);
    add_pair(list, label, text);
}

/* --- the claim --- */

json_t *gb_claim_json(const GbDossier *dossier)
{
    const GbClaim *claim = dossier->claim;
    const struct {
        const char *key, *label, *value;
    } facts[] = {
        { "insured", "Insured", claim->insured },
        { "number", "Claim number", claim->number },
        { "address", "Address", claim->address },
        { "loss_date", "Date of loss", claim->loss_date },
        { "inspection_date", "Date of inspection", claim->inspection_date },
        { "cause", "Cause of loss", claim->cause },
        { "adjuster", "Inspected by", claim->adjuster },
        { "checklist", "Checklist", gb_checklist_title(dossier->checklist) },
    };
    json_t *object = json_object(), *list = json_array();
    for (gsize i = 0; i < G_N_ELEMENTS(facts); i++) {
        gb_put_text(object, facts[i].key, facts[i].value);
        add_pair(list, facts[i].label, facts[i].value);
    }
    if (!isnan(claim->front_azimuth_deg)) {
        g_autofree char *faces = g_strdup_printf("%s, %d° true", gb_compass_point(claim->front_azimuth_deg),
                                                 (int)fmod(round(claim->front_azimuth_deg), 360.0));
        gb_put_text(object, "front_faces", faces);
        add_pair(list, "The front faces", faces);
    }
    json_object_set_new(object, "facts", list);
    return object;
}

const char *gb_claim_title(const GbClaim *claim)
{
    const char *names[] = { claim->address, claim->insured, claim->number };
    for (gsize i = 0; i < G_N_ELEMENTS(names); i++)
        if (names[i] != NULL && *names[i] != '\0')
            return names[i];
    return "Property without a name";
}

/* --- what is missing, what was waived --- */

static json_t *line_json(const GbCheckLine *line)
{
    json_t *object = json_object();
    gb_put_text(object, "state", gb_check_state_word(line->state));
    gb_put_text(object, "label", line->label);
    gb_put_text(object, "key", line->key);
    gb_put_text(object, "lacks", line->lacks);
    gb_put_text(object, "what", line->what);
    gb_put_text(object, "why", line->requirement->why);
    if (line->state == GB_CHECK_WAIVED) {
        g_autofree char *at = gb_time_text((double)line->waived_at_utc_s);
        gb_put_text(object, "reason", line->waived_why);
        gb_put_text(object, "who", line->waived_who);
        gb_put_text(object, "when_utc", at);
    }
    return object;
}

/* Lines with the same heading stand together. */
static void add_to_group(json_t *groups, const GbCheckLine *line)
{
    gsize n = json_array_size(groups);
    json_t *last = n > 0 ? json_array_get(groups, n - 1) : NULL;
    if (last == NULL || g_strcmp0(json_string_value(json_object_get(last, "title")), line->group) != 0) {
        last = json_pack("{s:[]}", "lines");
        gb_put_text(last, "title", line->group);
        json_array_append_new(groups, last);
    }
    json_array_append_new(json_object_get(last, "lines"), line_json(line));
}

/* That a finding is not written down yet, or not fully, is the adjuster's to see in the check; who gets the report sees the findings. */
static gboolean is_desk_work(const GbCheckLine *line)
{
    return line->requirement->needs_written && line->state == GB_CHECK_ADVISED;
}

/* The lines of one state, or nothing where there are none. */
static void put_attention(json_t *attention, const GbCheck *check, GbCheckState state, const char *one, const char *many)
{
    json_t *groups = json_array();
    guint n = 0;
    for (guint i = 0; i < check->lines->len; i++) {
        const GbCheckLine *line = g_ptr_array_index(check->lines, i);
        if (line->state != state || is_desk_work(line))
            continue;
        add_to_group(groups, line);
        n++;
    }
    g_autofree char *text = count_text(n, one, many);
    if (n > 0)
        json_object_set_new(attention, gb_check_state_word(state),
                            json_pack("{s:i, s:s, s:O}", "count", (int)n, "count_text", text, "groups", groups));
    json_decref(groups);
}

static json_t *attention_json(const GbCheck *check, const GbKnowledge *known)
{
    json_t *attention = json_object();
    put_attention(attention, check, GB_CHECK_MISSING, "required item is missing", "required items are missing");
    put_attention(attention, check, GB_CHECK_WEAK, "required item is there only in a weak photo",
                  "required items are there only in weak photos");
    put_attention(attention, check, GB_CHECK_ADVISED, "advised item is not there", "advised items are not there");
    put_attention(attention, check, GB_CHECK_WAIVED, "required item was waived", "required items were waived");
    gb_put_points(attention, known);
    if (gb_check_complete(check))
        json_object_set_new(attention, "complete", json_true());
    return attention;
}

/* What a reader of this chapter should know: requirements that belong here and are missing, weak or waived. */
static void add_notes(json_t *notes, const GbCheck *check, gint64 place, gint64 structure)
{
    for (guint i = 0; i < check->lines->len; i++) {
        const GbCheckLine *line = g_ptr_array_index(check->lines, i);
        gboolean here = place != 0 ? line->place == place : line->place == 0 && line->structure == structure;
        if (here && (line->state == GB_CHECK_MISSING || line->state == GB_CHECK_WAIVED || line->state == GB_CHECK_WEAK))
            json_array_append_new(notes, line_json(line));
    }
}

/* --- chapters --- */

/* Append the shots of a place (0: of none). */
static void add_figures(Builder *b, json_t *figures, gint64 place)
{
    g_autoptr(GPtrArray) here = gb_figure_shots(b->dossier, place);
    for (guint i = 0; i < here->len; i++) {
        const GbShot *shot = here->pdata[i];
        guint number = GPOINTER_TO_UINT(g_hash_table_lookup(b->figure_of, &shot->number));
        json_t *figure = gb_figure_json(shot, number, b->dossier);
        gb_put_remarks(figure, b->notes, 0, shot->number);
        json_array_append_new(figures, figure);
    }
}

static json_t *heading_json(const char *id, const char *title)
{
    json_t *object = json_pack("{s:s, s:[], s:[], s:[], s:[]}", "id", id, "figures", "notes", "remarks", "sections");
    gb_put_text(object, "title", title);
    return object;
}

static char *chapter_id(const GbPlace *place)
{
    if (place->kind != GB_PLACE_SITE && !place->on_dwelling)
        return g_strdup_printf("structure-%" G_GINT64_FORMAT, place->structure);
    switch (place->kind) {
    case GB_PLACE_ELEVATION:
        return g_strdup_printf("elevation-%s", gb_face_word(place->face));
    case GB_PLACE_ROOF:
    case GB_PLACE_SLOPE:
        return g_strdup("roof");
    case GB_PLACE_ROOM:
        return g_strdup("rooms");
    case GB_PLACE_SITE:
    case GB_PLACE_WHOLE:
    case GB_PLACE_KINDS:
        break;
    }
    return g_strdup(gb_place_kind_word(place->kind));
}

static char *chapter_title(const GbPlace *place)
{
    if (place->kind != GB_PLACE_SITE && !place->on_dwelling)
        return gb_heading(place->structure_name);
    if (place->kind == GB_PLACE_ROOM)
        return g_strdup("Rooms");
    if (place->kind == GB_PLACE_SLOPE)
        return gb_place_title(GB_PLACE_ROOF, place->structure_name, TRUE, place->face, NULL);
    return gb_heading(place->title);
}

/* Does the place speak for its whole chapter, or is it a part of it with a heading of its own? */
static gboolean is_whole_chapter(const GbPlace *place)
{
    return place->kind == GB_PLACE_SITE || place->kind == GB_PLACE_WHOLE ||
           (place->on_dwelling && (place->kind == GB_PLACE_ELEVATION || place->kind == GB_PLACE_ROOF));
}

static const char *nothing_shown(const GbPlace *place)
{
    switch (place->kind) {
    case GB_PLACE_ELEVATION:
        return "No photo shows this elevation";
    case GB_PLACE_ROOF:
        return "No photo shows this roof as a whole";
    case GB_PLACE_SLOPE:
        return "No photo shows this slope";
    case GB_PLACE_ROOM:
        return "No photo shows this room";
    case GB_PLACE_SITE:
    case GB_PLACE_WHOLE:
    case GB_PLACE_KINDS:
        break;
    }
    return "No photo is placed here";
}

static gsize size_of(const json_t *object, const char *list)
{
    return json_array_size(json_object_get(object, list));
}

/* Fill chapter or section with what belongs to a place, and say plainly where photos are wanted but none is. */
static void fill_place(Builder *b, json_t *heading, const GbPlace *place)
{
    json_t *notes = json_object_get(heading, "notes");
    add_figures(b, json_object_get(heading, "figures"), place->id);
    gb_put_remarks(heading, b->notes, place->id, 0);
    add_notes(notes, b->check, place->id, 0);
    if (place->kind == GB_PLACE_WHOLE && !place->on_dwelling)
        add_notes(notes, b->check, 0, place->structure);
    gboolean told = json_array_size(notes) > 0 || (place->kind == GB_PLACE_ELEVATION && place->on_dwelling);
    if (size_of(heading, "figures") == 0 && told)
        gb_put_text(heading, "empty", nothing_shown(place));
}

static gboolean is_worth_a_heading(const json_t *heading)
{
    return size_of(heading, "figures") + size_of(heading, "sections") + size_of(heading, "remarks") > 0 || json_object_get(heading, "empty") != NULL;
}

static void add_section(Builder *b, json_t *chapter, const GbPlace *place)
{
    g_autofree char *id = g_strdup_printf("place-%" G_GINT64_FORMAT, place->id);
    g_autofree char *title = gb_place_title(place->kind, place->structure_name, TRUE, place->face, place->room);
    json_t *section = heading_json(id, title);
    fill_place(b, section, place);
    if (is_worth_a_heading(section))
        json_array_append(json_object_get(chapter, "sections"), section);
    json_decref(section);
}

/* The chapter of that id: the last one if it is that, for places come chapter by chapter; else a new one. BORROWED. */
static json_t *chapter_for(Builder *b, const GbPlace *place)
{
    g_autofree char *id = chapter_id(place);
    gsize n = json_array_size(b->chapters);
    json_t *last = n > 0 ? json_array_get(b->chapters, n - 1) : NULL;
    if (last != NULL && strcmp(json_string_value(json_object_get(last, "id")), id) == 0)
        return last;
    g_autofree char *title = chapter_title(place);
    json_t *chapter = heading_json(id, title);
    json_array_append_new(b->chapters, chapter);
    return chapter;
}

static guint figures_within(const json_t *heading)
{
    gsize n = size_of(heading, "figures"), i;
    const json_t *section;
    json_array_foreach(json_object_get(heading, "sections"), i, section)
        n += size_of(section, "figures");
    return (guint)n;
}

/* Leave out chapters with nothing to say; count what is in the others. */
static void finish_chapters(Builder *b)
{
    for (gsize i = json_array_size(b->chapters); i-- > 0;) {
        json_t *chapter = json_array_get(b->chapters, i);
        if (!is_worth_a_heading(chapter)) {
            json_array_remove(b->chapters, i);
            continue;
        }
        if (size_of(chapter, "sections") > 0 && size_of(chapter, "figures") == 0)
            json_object_del(chapter, "empty"); /* its parts speak for themselves */
        guint n = figures_within(chapter);
        g_autofree char *text = count_text(n, "photo", "photos");
        json_object_set_new(chapter, "count", json_integer(n));
        json_object_set_new(chapter, "count_text", json_string(text));
    }
}

static void add_chapters(Builder *b)
{
    for (guint i = 0; i < b->places->len; i++) {
        const GbPlace *place = g_ptr_array_index(b->places, i);
        json_t *chapter = chapter_for(b, place);
        if (is_whole_chapter(place))
            fill_place(b, chapter, place);
        else
            add_section(b, chapter, place);
    }
    json_t *unplaced = heading_json("unplaced", "Not placed yet");
    add_figures(b, json_object_get(unplaced, "figures"), 0);
    json_array_append_new(b->chapters, unplaced);
    finish_chapters(b);
}

/* --- files and numbers --- */

/* Every file that was taken in, in capture order, those left out of the report too. */
static json_t *files_json(const Builder *b)
{
    json_t *files = json_array();
    for (guint i = 0; i < b->shots->len; i++) {
        const GbShot *shot = g_ptr_array_index(b->shots, i);
        json_t *file = json_pack("{s:I, s:I}", "shot", (json_int_t)shot->number, "bytes", (json_int_t)shot->bytes);
        gb_put_text(file, "file", shot->source_name);
        gb_put_text(file, "stored", shot->stored_name);
        gb_put_text(file, "sha256", shot->sha256);
        json_t *time = gb_figure_time(shot);
        if (time != NULL)
            json_object_set_new(file, "time", time);
        guint figure = GPOINTER_TO_UINT(g_hash_table_lookup(b->figure_of, &shot->number));
        if (figure > 0)
            json_object_set_new(file, "figure", json_integer(figure));
        else
            json_object_set_new(file, "left_out", json_true());
        json_array_append_new(files, file);
    }
    return files;
}

/* "2026-05-14 15:02:08 to 2026-05-14 16:40:51, local time" of the photos that know their time; shots come sorted by it. */
static char *time_span(const GPtrArray *shots)
{
    double first = NAN, last = NAN;
    for (guint i = 0; i < shots->len; i++) {
        const GbShot *shot = g_ptr_array_index(shots, i);
        double local_s = gb_figure_local_s(shot);
        if (shot->left_out || isnan(local_s))
            continue;
        first = isnan(first) ? local_s : MIN(first, local_s);
        last = isnan(last) ? local_s : MAX(last, local_s);
    }
    g_autofree char *from = gb_time_text(first);
    g_autofree char *to = gb_time_text(last);
    return *from == '\0' ? NULL : g_strdup_printf("%s to %s, local time", from, to);
}

static void put_numbers(json_t *model, const Builder *b)
{
    guint shown = g_hash_table_size(b->figure_of), all = b->shots->len;
    json_object_set_new(model, "counts",
                        json_pack("{s:i, s:i, s:i, s:i, s:i}", "files", (int)all, "figures", (int)shown, "left_out",
                                  (int)(all - shown), "unplaced", (int)b->check->unplaced, "unnamed", (int)b->check->unnamed));
    json_t *summary = json_array();
    g_autofree char *span = time_span(b->shots);
    add_count(summary, "Photos in this report", shown);
    add_count(summary, "Photos left out of it", all - shown);
    if (b->check->unplaced > 0)
        add_count(summary, "Photos not placed yet", b->check->unplaced);
    if (b->check->unnamed > 0)
        add_count(summary, "Photos not named yet", b->check->unnamed);
    add_pair(summary, "Photos taken", span);
    if (b->dossier->findings->len > 0)
        add_count(summary, "Findings", b->dossier->findings->len);
    add_count(summary, "Checklist items there", b->check->there);
    add_count(summary, "Required items missing", b->check->missing);
    if (b->check->weak > 0)
        add_count(summary, "Required items only weakly there", b->check->weak);
    add_count(summary, "Required items waived", b->check->waived);
    add_count(summary, "Advised items not there", b->check->advised);
    json_object_set_new(model, "summary", summary);
}

json_t *gb_report_model(const GbDossier *dossier)
{
    g_autoptr(GHashTable) figure_of = gb_figure_numbers(dossier);
    json_t *model = json_object(), *found = gb_found_groups_json(dossier, figure_of);
    Builder b = { .dossier = dossier, .places = dossier->places, .shots = dossier->shots, .notes = dossier->notes, .check = dossier->check,
                  .chapters = json_array(), .figure_of = figure_of };
    add_chapters(&b);
    json_object_set_new(model, "program", json_pack("{s:s, s:s}", "name", "gablebook", "version", GB_VERSION));
    gb_put_text(model, "title", gb_claim_title(dossier->claim));
    json_object_set_new(model, "claim", gb_claim_json(dossier));
    json_object_set_new(model, "attention", attention_json(dossier->check, dossier->known));
    json_object_set_new(model, "check", gb_check_json(dossier->check, dossier->checklist));
    if (found != NULL)
        json_object_set_new(model, "found", found);
    json_object_set_new(model, "chapters", b.chapters);
    json_object_set_new(model, "files", files_json(&b));
    gb_put_facts(model, dossier, figure_of);
    gb_put_remarks(model, dossier->notes, 0, 0);
    put_numbers(model, &b);
    return model;
}
