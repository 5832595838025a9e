/* route_recorded.c -- GET /api/recorded: facts, test squares, notes, findings, roof measurements, and the words for them. See README.md.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "web-private.h"

#include "board-private.h"

static json_t *json_of_words(const char *const *words)
{
    json_t *array = json_array();
    for (const char *const *word = words; *word != NULL; word++)
        json_array_append_new(array, json_string(*word));
    return array;
}

/* --- the words one can choose from --- */

static json_t *kind_json(const GbFactKind *kind)
{
    json_t *object = json_object(), *choices = json_array(), *where = json_array();
    gb_json_text(object, "id", kind->id);
    gb_json_text(object, "name", kind->name);
    gb_json_text(object, "plain", kind->plain);
    gb_json_text(object, "type", gb_fact_type_word(kind->type));
    gb_json_text(object, "how", gb_how_word(kind->how));
    for (guint i = 0; i < kind->choices->len; i++) {
        const GbChoice *choice = kind->choices->pdata[i];
        json_array_append_new(choices, json_pack("{ssss}", "word", choice->word, "meaning", choice->meaning));
    }
    for (int p = 0; p < GB_PLACE_KINDS; p++)
        if (kind->where[p])
            json_array_append_new(where, json_string(gb_place_kind_word((GbPlaceKind)p)));
    json_object_set_new(object, "choices", choices);
    json_object_set_new(object, "where", where);
    return object;
}

static json_t *component_json(const GbComponent *component)
{
    json_t *object = json_object();
    gb_json_text(object, "id", component->id);
    gb_json_text(object, "name", component->name);
    gb_json_text(object, "unit", gb_unit_code(component->unit));
    gb_json_text(object, "measure", component->measure);
    json_object_set_new(object, "seen", json_of_words((const char *const *)component->seen));
    return object;
}

static json_t *words_json(const GbDossier *dossier)
{
    json_t *words = json_object(), *kinds = json_array(), *hows = json_array(), *components = json_array(), *shapes = json_array(),
           *givens = json_array(), *edges = json_array(), *quantities = json_array();
    for (guint i = 0; i < gb_factlist_size(dossier->factlist); i++)
        json_array_append_new(kinds, kind_json(gb_factlist_peek(dossier->factlist, i)));
    for (int h = 0; h < GB_HOWS; h++)
        json_array_append_new(hows, json_string(gb_how_word((GbHow)h)));
    for (guint i = 0; i < gb_components_size(dossier->components); i++)
        json_array_append_new(components, component_json(gb_components_peek(dossier->components, i)));
    for (int q = 0; q < GB_QUANTITIES; q++)
        json_array_append_new(quantities, json_pack("{ssss}", "word", gb_roof_quantity_word((GbRoofQuantity)q), "unit", gb_roof_quantity_unit((GbRoofQuantity)q)));
    for (int s = 0; s < GB_ROOF_SHAPES; s++)
        json_array_append_new(shapes, json_string(gb_roof_shape_word((GbRoofShape)s)));
    for (int g = 0; g < GB_ROOF_GIVENS; g++)
        json_array_append_new(givens, json_string(gb_roof_given_word((GbRoofGiven)g)));
    for (int e = 0; e < GB_EDGES; e++)
        json_array_append_new(edges, json_string(gb_edge_word((GbEdge)e)));
    json_object_set_new(words, "fact_kinds", kinds);
    json_object_set_new(words, "hows", hows);
    json_object_set_new(words, "components", components);
    json_object_set_new(words, "causes", json_of_words(gb_finding_causes()));
    json_object_set_new(words, "actions", json_of_words(gb_finding_actions()));
    json_object_set_new(words, "roof_shapes", shapes);
    json_object_set_new(words, "roof_givens", givens);
    json_object_set_new(words, "roof_edges", edges);
    json_object_set_new(words, "roof_quantities", quantities);
    gb_json_text(words, "usual_square", GB_SQUARE_USUAL_SIZE);
    return words;
}

/* --- what is recorded --- */

static json_t *facts_json(const GbDossier *dossier)
{
    json_t *array = json_array();
    for (guint i = 0; i < dossier->facts->len; i++) {
        const GbFact *fact = dossier->facts->pdata[i];
        json_t *object = gb_decided_fact(fact);
        gb_json_whole(object, "place", fact->place);
        gb_json_text(object, "kind", fact->kind);
        json_array_append_new(array, object);
    }
    return array;
}

static json_t *squares_json(const GbDossier *dossier)
{
    json_t *array = json_array();
    for (guint i = 0; i < dossier->squares->len; i++) {
        const GbSquare *square = dossier->squares->pdata[i];
        json_t *object = gb_decided_square(square);
        gb_json_whole(object, "place", square->place);
        gb_json_whole(object, "number", square->number);
        gb_json_text(object, "who", square->who);
        gb_json_utc(object, "at_utc", square->at_utc_s);
        json_array_append_new(array, object);
    }
    return array;
}

static json_t *notes_json(const GbDossier *dossier)
{
    json_t *array = json_array();
    for (guint i = 0; i < dossier->notes->len; i++) {
        const GbNote *note = dossier->notes->pdata[i];
        json_t *object = gb_decided_note(note);
        gb_json_whole(object, "note", note->number);
        if (note->place != 0)
            gb_json_whole(object, "place", note->place);
        if (note->shot != 0)
            gb_json_whole(object, "shot", note->shot);
        gb_json_text(object, "who", note->who);
        gb_json_utc(object, "at_utc", note->at_utc_s);
        json_array_append_new(array, object);
    }
    return array;
}

static json_t *findings_json(const GbDossier *dossier)
{
    json_t *array = json_array();
    for (guint i = 0; i < dossier->findings->len; i++) {
        const GbFinding *finding = dossier->findings->pdata[i];
        g_autofree char *quantity = gb_finding_quantity_text(finding), *lacks = gb_finding_lacks(finding);
        json_t *object = gb_decided_finding(finding);
        gb_json_whole(object, "finding", finding->number);
        gb_json_text(object, "component_name", gb_finding_component_name(finding, dossier->components));
        gb_json_text(object, "quantity_shown", quantity);
        gb_json_text(object, "lacks", lacks);
        json_array_append_new(array, object);
    }
    return array;
}

static json_t *recorded_json(const GbWeb *web, const GbDossier *dossier, gint64 version)
{
    json_t *object = json_object();
    gb_json_text(object, "board", web->names.run);
    gb_json_whole(object, "version", version);
    json_object_set_new(object, "words", words_json(dossier));
    json_object_set_new(object, "facts", facts_json(dossier));
    json_object_set_new(object, "squares", squares_json(dossier));
    if (dossier->threshold != NULL) {
        json_t *threshold = gb_decided_threshold(dossier->threshold);
        gb_json_text(threshold, "who", dossier->threshold->who);
        json_object_set_new(object, "threshold", threshold);
    }
    json_object_set_new(object, "notes", notes_json(dossier));
    json_object_set_new(object, "findings", findings_json(dossier));
    json_object_set_new(object, "roof", gb_roof_json(dossier->roof));
    json_object_set_new(object, "known", gb_knowledge_json(dossier->known, dossier->threshold));
    return object;
}

/* Both from one state of the log. NULL with error. */
static GbDossier *load(GbLog *log, gint64 *version, GError **error)
{
    if (!gb_log_freeze(log, error))
        return NULL;
    GbDossier *dossier = gb_history_version(log, version, error) ? gb_dossier_load(log, error) : NULL;
    gb_log_thaw(log);
    return dossier;
}

static void answer(GbWebRequest *request)
{
    GError *error = NULL;
    gint64 version;
    GbLog *log = gb_web_borrow_log(request, GB_LOG_READ, NULL);
    if (log == NULL)
        return;
    g_autoptr(GbDossier) dossier = load(log, &version, &error);
    gb_web_return_log(request->web, GB_LOG_READ, log);
    if (dossier != NULL)
        gb_web_json(request, MHD_HTTP_OK, recorded_json(request->web, dossier, version));
    else
        gb_web_fail(request, error);
}
const GbWebRoute gb_route_recorded = { .method = "GET", .path = "/api/recorded", .answer = answer };
