/* known_captions.c -- captions in a person's own words, held against what is known: gb_knowledge_read_captions, see
 * known.h.
 *
 * A caption is held against the value of its own photo first, then against the facts and test squares of its place.
 * Only what can't both be true is a contradiction: a caption may count fewer pipe flashings than the roof has, for it
 * speaks of one picture, but not more; a length counts only where the photo's subject proves that very fact, and only
 * when the caption names one length.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <gablebook/known.h>

#include <gablebook/said.h>
#include <math.h>

typedef struct {
    GbKnowledge *known;
    const GbShot *shot;
    const GbPlace *place;
    const GbSubject *subject; /* NULL: none said */
    GPtrArray *said;          /* of GbSaid */
} Reading;

static void add_point(const Reading *reading, const char *what, const char *is, const char *says)
{
    GbPoint *point = g_new0(GbPoint, 1);
    point->contradiction = TRUE;
    point->text = g_strdup_printf("%s: %s is %s, but the caption of shot %" G_GINT64_FORMAT " says %s", reading->place->label, what, is,
                                  reading->shot->number, says);
    point->place = reading->place->id;
    point->structure = reading->place->structure;
    point->shots = g_array_new(FALSE, FALSE, sizeof(gint64));
    g_array_append_val(point->shots, reading->shot->number);
    g_ptr_array_add(reading->known->points, point);
}

/* Whether two ranges have nothing in common. within: what may lie between two ways of writing the same. */
static gboolean differs(const GbSaid *said, double low, double high, double within)
{
    return said->high < low - within || (!isnan(high) && said->low > high + within);
}

static const GbSaid *find(const Reading *reading, GbSaidKind kind)
{
    for (guint i = 0; i < reading->said->len; i++)
        if (((const GbSaid *)reading->said->pdata[i])->kind == kind)
            return reading->said->pdata[i];
    return NULL;
}

/* Of several lengths nobody can tell which one is meant. */
static const GbSaid *only_length(const Reading *reading)
{
    const GbSaid *first = find(reading, GB_SAID_LENGTH);
    const GbSaid *last = reading->said->len > 0 ? reading->said->pdata[reading->said->len - 1] : NULL; /* lengths come last */
    return first == last ? first : NULL;
}

#define PITCH_WITHIN 0.05  /* inches in 12: how degrees and inches are rounded */
#define LENGTH_WITHIN 0.05 /* inches: how metres and inches are */

/* --- its own value --- */

static const GbSaid *said_of_value(const Reading *reading, double *within)
{
    *within = 1e-6;
    switch (reading->subject->value) {
    case GB_VALUE_PITCH:
        *within = PITCH_WITHIN;
        return find(reading, GB_SAID_PITCH);
    case GB_VALUE_LAYERS:
        return find(reading, GB_SAID_LAYERS);
    case GB_VALUE_COUNT:
        return find(reading, GB_SAID_HITS);
    case GB_VALUE_LENGTH:
        *within = LENGTH_WITHIN;
        return only_length(reading);
    case GB_VALUE_TEXT:
    case GB_VALUE_NONE:
        break;
    }
    return NULL;
}

/* What the photo's own value speaks to; NULL where nothing. That the value itself differs from a fact is told already
 * (known.c). */
static const GbSaid *read_value(const Reading *reading)
{
    double within;
    if (reading->subject == NULL || reading->shot->value == NULL || isnan(reading->shot->value_number))
        return NULL;
    const GbSaid *said = said_of_value(reading, &within);
    if (said != NULL && differs(said, reading->shot->value_number, reading->shot->value_number, within))
        add_point(reading, reading->subject->name, reading->shot->value, said->text);
    return said;
}

/* --- facts --- */

static gboolean proves(const GbFactKind *kind, const GbSubject *subject)
{
    return subject != NULL && g_strv_contains((const char *const *)kind->subjects, subject->id);
}

/* What the caption says of a kind of fact, NULL where nothing. */
static const GbSaid *said_of_fact(const Reading *reading, const GbFactKind *kind, double *within)
{
    *within = 1e-6;
    switch (kind->type) {
    case GB_FACT_PITCH:
        *within = PITCH_WITHIN;
        return find(reading, GB_SAID_PITCH);
    case GB_FACT_LAYERS:
        return find(reading, GB_SAID_LAYERS);
    case GB_FACT_YEARS:
        return proves(kind, reading->subject) || kind->subjects[0] == NULL ? find(reading, GB_SAID_YEARS) : NULL;
    case GB_FACT_LENGTH:
        *within = LENGTH_WITHIN;
        return proves(kind, reading->subject) ? only_length(reading) : NULL;
    case GB_FACT_NUMBER:
        return g_str_equal(kind->id, "storeys") ? find(reading, GB_SAID_STOREYS) : NULL;
    case GB_FACT_COUNT:
    case GB_FACT_CHOICE:
    case GB_FACT_TEXT:
    case GB_FACT_TYPES:
        break;
    }
    return NULL;
}

static void read_fact(const Reading *reading, const GbFactKind *kind, const GbSaid *settled)
{
    const GbKnown *fact = gb_knowledge_at(reading->known, kind->id, reading->place);
    double within, count;
    if (fact == NULL)
        return;
    const GbSaid *said = said_of_fact(reading, kind, &within);
    if (said != NULL && said != settled && differs(said, fact->value.low, fact->value.high, within))
        add_point(reading, fact->name, fact->shown, said->text);
    if (kind->type == GB_FACT_COUNT && gb_said_count(reading->shot->caption, kind->name, &count) && count > fact->value.high) {
        g_autofree char *says = g_strdup_printf("%d", (int)count);
        add_point(reading, fact->name, fact->shown, says);
    }
}

/* --- test squares --- */

static void read_hits(const Reading *reading, const GbSaid *settled)
{
    const GbSaid *said = find(reading, GB_SAID_HITS);
    const GbKnownSquare *square = NULL;
    if (said == NULL || said == settled || g_strcmp0(reading->shot->subject, GB_SQUARE_SUBJECT) != 0)
        return;
    for (guint i = 0; i < reading->known->squares->len; i++) {
        const GbKnownSquare *here = reading->known->squares->pdata[i];
        if (here->place->id != reading->place->id || !here->drawn)
            continue;
        if (!differs(said, here->hits, here->hits, 1e-6))
            return; /* of several squares it may be any */
        square = here;
    }
    if (square == NULL)
        return;
    g_autofree char *is = g_strdup_printf("%u hit%s", square->hits, square->hits == 1 ? "" : "s");
    add_point(reading, "Test square", is, said->text);
}

/* --- the whole --- */

void gb_knowledge_read_captions(GbKnowledge *knowledge, const GPtrArray *places, const GPtrArray *shots,
                                const GbCatalogue *catalogue)
{
    for (guint i = 0; i < shots->len; i++) {
        const GbShot *shot = shots->pdata[i];
        const GbPlace *place = shot->place != 0 ? gb_places_by_id(places, shot->place) : NULL;
        if (shot->caption == NULL || shot->left_out || place == NULL)
            continue;
        g_autoptr(GPtrArray) said = gb_said(shot->caption);
        const GbSubject *subject = shot->subject != NULL ? gb_catalogue_by_id(catalogue, shot->subject) : NULL;
        const Reading reading = { knowledge, shot, place, subject, said };
        const GbSaid *settled = read_value(&reading);
        for (guint k = 0; k < gb_factlist_size(knowledge->list); k++)
            read_fact(&reading, gb_factlist_peek(knowledge->list, k), settled);
        read_hits(&reading, settled);
    }
}
