/* known_json.c -- what is known, as JSON: for the command line's --json and for other programs. See known.h.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <gablebook/known.h>

#include <math.h>

static json_t *number_or_null(double value)
{
    return isfinite(value) ? json_real(value) : json_null();
}

static json_t *text_or_null(const char *text)
{
    return text != NULL && *text != '\0' ? json_string(text) : json_null();
}

static json_t *numbers_json(const GArray *numbers)
{
    json_t *array = json_array();
    for (guint i = 0; i < numbers->len; i++)
        json_array_append_new(array, json_integer(g_array_index(numbers, gint64, i)));
    return array;
}

static json_t *fact_json(const GbKnown *known)
{
    g_autofree char *means = known->kind != NULL ? gb_fact_value_text(known->kind->type, &known->value) : NULL;
    const char *id = known->kind != NULL ? known->kind->id : known->name;
    return json_pack("{ss ss ss ss so so so so ss sb so so so}", "place", known->place->label, "kind", id, "name", known->name,
                     "value", known->written, "means", text_or_null(means), "low", number_or_null(known->value.low),
                     "high", number_or_null(known->value.high), "choice", text_or_null(known->value.choice), "how", gb_how_word(known->how),
                     "recorded", known->fact != NULL, "note", text_or_null(known->fact != NULL ? known->fact->note : NULL),
                     "shots", numbers_json(known->shots), "against", numbers_json(known->against));
}

static json_t *square_json(const GbKnownSquare *known)
{
    const GbSquare *square = known->square;
    return json_pack("{ss si so so so so so sb so so so}", "place", known->place->label, "number", (int)known->number,
                     "hits", known->drawn ? json_integer(known->hits) : json_null(),
                     "size", text_or_null(square != NULL ? square->size : NULL), "width_in", number_or_null(known->width_in),
                     "height_in", number_or_null(known->height_in), "not_drawn", text_or_null(square != NULL ? square->not_drawn : NULL),
                     "recorded", square != NULL, "note", text_or_null(square != NULL ? square->note : NULL),
                     "shots", numbers_json(known->shots), "against", numbers_json(known->against));
}

static json_t *point_json(const GbPoint *point)
{
    return json_pack("{sb ss so}", "contradiction", point->contradiction, "text", point->text, "shots", numbers_json(point->shots));
}

json_t *gb_knowledge_json(const GbKnowledge *knowledge, const GbThreshold *threshold)
{
    json_t *facts = json_array(), *squares = json_array(), *points = json_array();
    for (guint i = 0; i < knowledge->facts->len; i++)
        json_array_append_new(facts, fact_json(knowledge->facts->pdata[i]));
    for (guint i = 0; i < knowledge->squares->len; i++)
        json_array_append_new(squares, square_json(knowledge->squares->pdata[i]));
    for (guint i = 0; i < knowledge->points->len; i++)
        json_array_append_new(points, point_json(knowledge->points->pdata[i]));
    json_t *set = threshold == NULL ? json_null()
                                    : json_pack("{si ss ss}", "hits", (int)threshold->hits, "source", threshold->source, "who", threshold->who);
    return json_pack("{so so so so}", "facts", facts, "squares", squares, "points", points, "threshold", set);
}
