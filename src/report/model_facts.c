/* model_facts.c -- facts, test squares and notes in the report model (docs/report-model.md).
 *
 * Lists that a template asks for inside rows (proof, remarks) are always there, so that no outer object answers for an inner one.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "report-private.h"

/* The figures of these shots, each {"number"}, the first also "first": for commas. A shot that is left out has none. */
static json_t *proof_json(const GArray *shots, const GbDossier *dossier, GHashTable *figure_of)
{
    json_t *proof = json_array();
    for (guint i = 0; i < shots->len; i++) {
        const GbShot *shot = gb_shots_by_number(dossier->shots, g_array_index(shots, gint64, i));
        guint figure = GPOINTER_TO_UINT(g_hash_table_lookup(figure_of, &shot->number));
        if (figure > 0)
            json_array_append_new(proof, json_array_size(proof) == 0 ? json_pack("{s:i, s:b}", "number", (int)figure, "first", TRUE)
                                                                    : json_pack("{s:i}", "number", (int)figure));
    }
    return proof;
}

/* Photos that say something else: {"figures": as above}. */
static void put_against(json_t *row, const GArray *against, const GbDossier *dossier, GHashTable *figure_of)
{
    if (against->len > 0)
        json_object_set_new(row, "against", json_pack("{s:o}", "figures", proof_json(against, dossier, figure_of)));
}

/* "measured", "measured, read from the photo". OWNED by the caller. */
static char *how_text(const GbKnown *known)
{
    return g_strdup_printf("%s%s", gb_how_word(known->how), known->fact == NULL ? ", read from the photo" : "");
}

static json_t *fact_json(const GbKnown *known, const GbDossier *dossier, GHashTable *figure_of)
{
    g_autofree char *how = how_text(known);
    json_t *row = json_object();
    gb_put_text(row, "place", known->place->title);
    gb_put_text(row, "name", known->name);
    gb_put_text(row, "value", known->shown);
    gb_put_text(row, "how", how);
    gb_put_text(row, "plain", known->kind != NULL ? known->kind->plain : NULL);
    gb_put_text(row, "note", known->fact != NULL ? known->fact->note : NULL);
    json_object_set_new(row, "proof", proof_json(known->shots, dossier, figure_of));
    put_against(row, known->against, dossier, figure_of);
    return row;
}

/* What a choice means, where its list says so: "fair: worn all over ...", once each. */
static void add_meaning(json_t *meanings, GHashTable *told, const GbKnown *known)
{
    for (guint i = 0; known->kind != NULL && known->value.choice != NULL && i < known->kind->choices->len; i++) {
        const GbChoice *choice = known->kind->choices->pdata[i];
        g_autofree char *key = g_strconcat(known->kind->id, " ", choice->word, NULL);
        if (strcmp(choice->word, known->value.choice) != 0 || *choice->meaning == '\0' || !g_hash_table_add(told, g_strdup(key)))
            continue;
        json_t *meaning = json_object();
        gb_put_text(meaning, "name", known->name);
        gb_put_text(meaning, "word", choice->word);
        gb_put_text(meaning, "meaning", choice->meaning);
        json_array_append_new(meanings, meaning);
    }
}

/* Facts come in walk order, so those of a structure stand together. */
static json_t *group_for(json_t *groups, const GbPlace *place)
{
    g_autofree char *title = place->kind == GB_PLACE_SITE
        ? g_strdup(place->title) : gb_place_title(GB_PLACE_WHOLE, place->structure_name, place->on_dwelling, GB_FACE_FRONT, NULL);
    gsize n = json_array_size(groups);
    json_t *last = n > 0 ? json_array_get(groups, n - 1) : NULL;
    if (last != NULL && g_strcmp0(json_string_value(json_object_get(last, "title")), title) == 0)
        return json_object_get(last, "rows");
    json_t *group = json_object(), *rows = json_array();
    gb_put_text(group, "title", title);
    json_object_set_new(group, "rows", rows);
    json_array_append_new(groups, group);
    return rows;
}

static json_t *squares_json(const GbDossier *dossier, GHashTable *figure_of)
{
    json_t *rows = json_array();
    for (guint i = 0; i < dossier->known->squares->len; i++) {
        const GbKnownSquare *known = dossier->known->squares->pdata[i];
        json_t *row = json_object();
        g_autofree char *hits = known->drawn ? g_strdup_printf("%u", known->hits) : NULL;
        gb_put_text(row, "slope", known->place->title);
        json_object_set_new(row, "number", json_integer(known->number));
        gb_put_text(row, "size", known->size);
        gb_put_text(row, "hits", hits);
        gb_put_text(row, "not_drawn", known->square != NULL ? known->square->not_drawn : NULL);
        gb_put_text(row, "note", known->square != NULL ? known->square->note : NULL);
        json_object_set_new(row, "proof", proof_json(known->shots, dossier, figure_of));
        put_against(row, known->against, dossier, figure_of);
        json_array_append_new(rows, row);
    }
    return rows;
}

static json_t *threshold_json(const GbThreshold *threshold)
{
    json_t *object = json_object();
    g_autofree char *hits = g_strdup_printf("%u hit%s", threshold->hits, threshold->hits == 1 ? "" : "s");
    gb_put_text(object, "hits", hits);
    gb_put_text(object, "source", threshold->source);
    gb_put_text(object, "who", threshold->who);
    return object;
}

void gb_put_facts(json_t *model, const GbDossier *dossier, GHashTable *figure_of)
{
    const GbKnowledge *known = dossier->known;
    if (known->facts->len > 0) {
        g_autoptr(GHashTable) told = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL);
        json_t *groups = json_array(), *meanings = json_array();
        for (guint i = 0; i < known->facts->len; i++) {
            const GbKnown *fact = known->facts->pdata[i];
            json_array_append_new(group_for(groups, fact->place), fact_json(fact, dossier, figure_of));
            add_meaning(meanings, told, fact);
        }
        json_t *facts = json_pack("{s:o}", "groups", groups);
        if (json_array_size(meanings) > 0)
            json_object_set_new(facts, "meanings", json_pack("{s:O}", "words", meanings));
        json_object_set_new(model, "facts", facts);
        json_decref(meanings);
    }
    if (known->squares->len == 0)
        return;
    json_t *squares = json_pack("{s:o}", "rows", squares_json(dossier, figure_of));
    if (dossier->threshold != NULL)
        json_object_set_new(squares, "threshold", threshold_json(dossier->threshold));
    json_object_set_new(model, "squares", squares);
}

void gb_put_points(json_t *attention, const GbKnowledge *known)
{
    json_t *differing = json_array(), *unproven = json_array();
    for (guint i = 0; i < known->points->len; i++) {
        const GbPoint *point = known->points->pdata[i];
        json_t *object = json_object();
        g_autofree char *text = gb_heading(point->text);
        gb_put_text(object, "text", text);
        json_array_append_new(point->contradiction ? differing : unproven, object);
    }
    if (json_array_size(differing) > 0)
        json_object_set_new(attention, "differing", json_pack("{s:O}", "points", differing));
    if (json_array_size(unproven) > 0)
        json_object_set_new(attention, "unproven", json_pack("{s:O}", "points", unproven));
    json_decref(differing);
    json_decref(unproven);
}

void gb_put_remarks(json_t *object, const GPtrArray *notes, gint64 place, gint64 shot)
{
    json_t *remarks = json_array();
    for (guint i = 0; i < notes->len; i++) {
        const GbNote *note = notes->pdata[i];
        if (!note->in_report || note->place != place || note->shot != shot)
            continue;
        g_autofree char *at = gb_time_text((double)note->at_utc_s);
        json_t *remark = json_pack("{s:I}", "note", (json_int_t)note->number);
        gb_put_text(remark, "text", note->text);
        gb_put_text(remark, "who", note->who);
        gb_put_text(remark, "when_utc", at);
        json_array_append_new(remarks, remark);
    }
    json_object_set_new(object, "remarks", remarks);
}
