/* known.c -- what a person recorded and what photos say, put together. See known.h.
 *
 * First the records are laid out by kind and place. Then every photo that shows the right thing is held against the nearest record
 * that covers its place, its own place first; where there is none, a photo with a value makes an entry of its own.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <gablebook/known.h>

#include <gablebook/measure.h>
#include <math.h>

#define PROOFS_MAX 6
#define HITS_MAX 99999 /* measure.h: a count has five digits at most */

typedef struct {
    const GPtrArray *places, *shots;
    const GbFactlist *list;
    const GbCatalogue *catalogue;
    GHashTable *entries; /* "kind place" -> GbKnown, BORROWED */
    GHashTable *ranks;   /* GbKnown -> how good its proof is so far, from 1: see add_proof */
    GbKnowledge *known;
} Build;

/* --- the places that a place is a part of --- */

static const GbPlace *find_kind(const GPtrArray *places, gint64 structure, GbPlaceKind kind)
{
    for (guint i = 0; i < places->len; i++) {
        const GbPlace *place = places->pdata[i];
        if (place->structure == structure && place->kind == kind)
            return place;
    }
    return NULL;
}

/* What it is a part of: a slope of the roof, anything else of the structure; NULL at the top. */
static const GbPlace *whole_of(const GPtrArray *places, const GbPlace *place)
{
    if (place->kind == GB_PLACE_SITE || place->kind == GB_PLACE_WHOLE)
        return NULL;
    const GbPlace *roof = place->kind == GB_PLACE_SLOPE ? find_kind(places, place->structure, GB_PLACE_ROOF) : NULL;
    return roof != NULL ? roof : find_kind(places, place->structure, GB_PLACE_WHOLE);
}

const GbPlace *gb_fact_home(const GPtrArray *places, const GbFactKind *kind, const GbPlace *place)
{
    for (const GbPlace *p = place; p != NULL; p = whole_of(places, p))
        if (kind->where[p->kind])
            return p;
    /* what is said of the house may be meant of its roof: there is only one */
    return place->kind == GB_PLACE_WHOLE && kind->where[GB_PLACE_ROOF] ? find_kind(places, place->structure, GB_PLACE_ROOF) : NULL;
}

/* --- entries --- */

static void free_known(gpointer data)
{
    GbKnown *known = data;
    g_free(known->written);
    g_free(known->shown);
    g_array_unref(known->shots);
    g_array_unref(known->against);
    g_free(known);
}

static void free_square(gpointer data)
{
    GbKnownSquare *square = data;
    g_free(square->size);
    g_array_unref(square->shots);
    g_array_unref(square->against);
    g_free(square);
}

static void free_point(gpointer data)
{
    GbPoint *point = data;
    g_free(point->text);
    g_array_unref(point->shots);
    g_free(point);
}

static char *entry_key(const char *kind, gint64 place)
{
    return g_strdup_printf("%s %" G_GINT64_FORMAT, kind, place);
}

static GbKnown *find_entry(const Build *build, const char *kind, const GbPlace *place)
{
    g_autofree char *key = entry_key(kind, place->id);
    return g_hash_table_lookup(build->entries, key);
}

static GbKnown *add_entry(Build *build, const char *kind_id, const GbPlace *place, const char *written, const GbFactValue *value, GbHow how)
{
    GbKnown *known = g_new0(GbKnown, 1);
    known->kind = gb_factlist_by_id(build->list, kind_id);
    known->name = known->kind != NULL ? known->kind->name : kind_id;
    known->place = place;
    known->written = g_strdup(written);
    known->value = *value;
    known->how = how;
    known->shown = known->kind != NULL ? gb_fact_value_shown(known->kind->type, written, value) : g_strdup(written);
    known->shots = g_array_new(FALSE, FALSE, sizeof(gint64));
    known->against = g_array_new(FALSE, FALSE, sizeof(gint64));
    g_ptr_array_add(build->known->facts, known);
    g_hash_table_insert(build->entries, entry_key(kind_id, place->id), known);
    return known;
}

static gboolean holds(const GArray *numbers, gint64 number)
{
    for (guint i = 0; numbers != NULL && i < numbers->len; i++)
        if (g_array_index(numbers, gint64, i) == number)
            return TRUE;
    return FALSE;
}

static void add_number(GArray *numbers, gint64 number)
{
    if (!holds(numbers, number))
        g_array_append_val(numbers, number);
}

/* Photos that say the value prove it best (rank 1); of the others those of the first subject that the kind names, then those of
 * the next: an overview is a proof only where there is nothing nearer. Of several equally good the first few are enough. */
static void add_proof(Build *build, GbKnown *known, gint64 number, guint rank)
{
    guint best = GPOINTER_TO_UINT(g_hash_table_lookup(build->ranks, known));
    if (best != 0 && rank > best)
        return;
    if (rank < best)
        g_array_set_size(known->shots, 0);
    g_hash_table_insert(build->ranks, known, GUINT_TO_POINTER(rank));
    if (known->shots->len < PROOFS_MAX || rank == 1)
        add_number(known->shots, number);
}

/* --- the records --- */

static void add_records(Build *build, const GPtrArray *facts)
{
    for (guint i = 0; i < facts->len; i++) {
        GbFact *fact = facts->pdata[i];
        const GbPlace *place = gb_places_by_id(build->places, fact->place);
        if (place == NULL) /* only in a database that somebody bent */
            continue;
        const GbFactValue value = { fact->low, fact->high, fact->choice };
        add_entry(build, fact->kind, place, fact->written, &value, fact->how)->fact = fact;
    }
}

/* --- the photos --- */

/* Free words that happen to begin like a choice are not that choice: a photo says one only word for word. */
static gboolean says_in_full(const GbFactKind *kind, const GbFactValue *value, const char *written)
{
    if (kind->type != GB_FACT_CHOICE)
        return TRUE;
    g_autofree char *typed = g_utf8_casefold(written, -1), *word = g_utf8_casefold(value->choice, -1);
    g_strstrip(g_strdelimit(typed, "-_", ' '));
    g_strdelimit(word, "-_", ' ');
    return strcmp(typed, word) == 0;
}

static gboolean reads_as(const Build *build, const GbFactKind *kind, const GbShot *shot, GbFactValue *value)
{
    const GbSubject *subject = gb_catalogue_by_id(build->catalogue, shot->subject);
    return shot->value != NULL && subject != NULL && gb_fact_type_takes(kind->type, subject->value) &&
           gb_fact_value_parse(kind, shot->value, value, NULL) && says_in_full(kind, value, shot->value);
}

/* The gauge and the tape measure, the eye counts; nobody was told by a photo. */
static GbHow how_by_photo(GbFactType type)
{
    switch (type) {
    case GB_FACT_PITCH:
    case GB_FACT_LENGTH:
        return GB_HOW_MEASURED;
    case GB_FACT_COUNT:
    case GB_FACT_LAYERS:
    case GB_FACT_NUMBER:
        return GB_HOW_COUNTED;
    case GB_FACT_CHOICE:
    case GB_FACT_YEARS:
    case GB_FACT_TEXT:
    case GB_FACT_TYPES:
        break;
    }
    return GB_HOW_SEEN;
}

/* The nearest entry that covers a place, its own first; only of records, if so asked. */
static GbKnown *covering(const Build *build, const GbFactKind *kind, const GbPlace *place, gboolean records_only)
{
    for (const GbPlace *p = place; p != NULL; p = whole_of(build->places, p)) {
        GbKnown *known = find_entry(build, kind->id, p);
        if (known != NULL && (known->fact != NULL || !records_only))
            return known;
    }
    return NULL;
}

/* A photo with a value: the record that covers it, else what photos say at the same place, which this one may begin. */
static void hear_value(Build *build, const GbFactKind *kind, const GbShot *shot, const GbPlace *place, const GbFactValue *value)
{
    GbKnown *known = covering(build, kind, place, TRUE);
    const GbPlace *home = gb_fact_home(build->places, kind, place);
    if (known == NULL && home == NULL)
        return;
    if (known == NULL)
        known = find_entry(build, kind->id, home);
    if (known == NULL)
        known = add_entry(build, kind->id, home, shot->value, value, how_by_photo(kind->type));
    if (gb_fact_values_agree(kind->type, &known->value, value))
        add_proof(build, known, shot->number, 1);
    else
        add_number(known->against, shot->number);
}

/* Where the kind names the subject: 2 for the first, as add_proof wants it. */
static guint rank_of(const GbFactKind *kind, const char *subject)
{
    guint rank = 2;
    for (char **id = kind->subjects; *id != NULL && strcmp(*id, subject) != 0; id++)
        rank++;
    return rank;
}

static void hear_shot(Build *build, const GbFactKind *kind, const GbShot *shot, const GbPlace *place, gboolean values)
{
    GbFactValue value;
    gboolean says = reads_as(build, kind, shot, &value);
    if (says && values)
        hear_value(build, kind, shot, place, &value);
    GbKnown *shown = says || values ? NULL : covering(build, kind, place, FALSE);
    if (shown != NULL)
        add_proof(build, shown, shot->number, rank_of(kind, shot->subject));
}

/* Those with a value first: they may make the fact that the others show. */
static void hear_shots(Build *build, gboolean values)
{
    for (guint i = 0; i < build->shots->len; i++) {
        const GbShot *shot = build->shots->pdata[i];
        const GbPlace *place = shot->place == 0 ? NULL : gb_places_by_id(build->places, shot->place);
        if (shot->left_out || place == NULL || shot->subject == NULL)
            continue;
        for (guint k = 0; k < gb_factlist_size(build->list); k++) {
            const GbFactKind *kind = gb_factlist_peek(build->list, k);
            if (g_strv_contains((const char *const *)kind->subjects, shot->subject))
                hear_shot(build, kind, shot, place, values);
        }
    }
}

/* --- which photos prove it --- */

/* Those of named that are in the report, by time; NULL when there are none. OWNED by the caller. */
static GArray *named_shots(const Build *build, const GArray *named)
{
    GArray *there = g_array_new(FALSE, FALSE, sizeof(gint64));
    for (guint i = 0; i < build->shots->len; i++) {
        const GbShot *shot = build->shots->pdata[i];
        if (!shot->left_out && holds(named, shot->number))
            g_array_append_val(there, shot->number);
    }
    if (there->len == 0)
        g_clear_pointer(&there, g_array_unref);
    return there;
}

static void prefer_named(const Build *build, const GArray *named, GArray **shots)
{
    GArray *there = named_shots(build, named);
    if (there == NULL)
        return;
    g_array_unref(*shots);
    *shots = there;
}

/* Photos were heard in two rounds: put them back into the order of time. */
static void sort_by_time(const Build *build, GArray **shots)
{
    GArray *all = named_shots(build, *shots);
    if (all == NULL)
        return;
    g_array_unref(*shots);
    *shots = all;
}

/* --- test squares --- */

/* At most two decimals, none that say nothing. */
static void add_side(GString *text, double inches)
{
    g_autofree char *digits = gb_number_text(inches / 12, 2);
    g_string_append(text, digits);
}

/* Blanks, case and feet say nothing more: "10X10" is "10 x 10 ft". OWNED by the caller. */
static char *bare_size(const char *size)
{
    GString *bare = g_string_new(NULL);
    for (const char *p = size; *p != '\0'; p++)
        if (!g_ascii_isspace(*p))
            g_string_append_c(bare, g_ascii_tolower(*p));
    g_string_replace(bare, "×", "x", 0);
    g_string_replace(bare, "ft", "", 0);
    return g_string_free(bare, FALSE);
}

/* "10 x 10 ft", "3 m x 3 m (9.84 x 9.84 ft)": as written and, where that says it in another way, in feet. */
static char *size_text(const GbSquare *square)
{
    g_autoptr(GString) feet = g_string_new(NULL);
    if (square == NULL || square->size == NULL)
        return g_strdup("");
    add_side(feet, square->width_in);
    g_string_append(feet, " x ");
    add_side(feet, square->height_in);
    g_string_append(feet, " ft");
    g_autofree char *written = bare_size(square->size), *meant = bare_size(feet->str);
    return strcmp(written, meant) == 0 ? g_strdup(feet->str) : g_strdup_printf("%s (%s)", square->size, feet->str);
}

static GbKnownSquare *add_square(Build *build, const GbPlace *place, const GbSquare *square)
{
    GbKnownSquare *known = g_new0(GbKnownSquare, 1);
    known->place = place;
    known->square = square;
    known->number = square != NULL ? square->number : 1;
    known->drawn = square == NULL || square->not_drawn == NULL;
    known->hits = square != NULL ? square->hits : 0;
    known->width_in = square != NULL ? square->width_in : (double)NAN;
    known->height_in = square != NULL ? square->height_in : (double)NAN;
    known->size = size_text(square);
    known->shots = g_array_new(FALSE, FALSE, sizeof(gint64));
    known->against = g_array_new(FALSE, FALSE, sizeof(gint64));
    g_ptr_array_add(build->known->squares, known);
    return known;
}

/* Which square of its slope a photo shows: the one it was named for, else the one whose count it carries, else the first. */
static GbKnownSquare *square_of(const Build *build, const GbShot *shot)
{
    GbKnownSquare *first = NULL, *alike = NULL;
    for (guint i = 0; i < build->known->squares->len; i++) {
        GbKnownSquare *known = build->known->squares->pdata[i];
        if (known->place->id != shot->place)
            continue;
        if (known->square != NULL && holds(known->square->shots, shot->number))
            return known;
        if (alike == NULL && known->drawn && fabs(known->hits - shot->value_number) < 0.5) /* false for NAN */
            alike = known;
        first = first != NULL ? first : known;
    }
    return alike != NULL ? alike : first;
}

/* A count as a tag writes it; a database that somebody bent may hold others. */
static gboolean is_count(double number)
{
    return number >= 0 && number <= HITS_MAX && number <= floor(number); /* false for NAN */
}

static void hear_square_shot(Build *build, const GbShot *shot, const GbPlace *place)
{
    gboolean counted = shot->value != NULL && is_count(shot->value_number);
    GbKnownSquare *known = square_of(build, shot);
    if (known == NULL && counted) {
        known = add_square(build, place, NULL);
        known->hits = (guint)shot->value_number;
    }
    if (known == NULL)
        return;
    gboolean agrees = !counted || (known->drawn && fabs(known->hits - shot->value_number) < 0.5);
    add_number(agrees ? known->shots : known->against, shot->number);
}

static void add_squares(Build *build, const GPtrArray *squares)
{
    for (guint i = 0; i < squares->len; i++) {
        const GbSquare *square = squares->pdata[i];
        const GbPlace *place = gb_places_by_id(build->places, square->place);
        if (place != NULL)
            add_square(build, place, square);
    }
    for (guint round = 0; round < 2; round++) /* those with a count first: they may make the square that the others show */
        for (guint i = 0; i < build->shots->len; i++) {
            const GbShot *shot = build->shots->pdata[i];
            const GbPlace *place = shot->place == 0 ? NULL : gb_places_by_id(build->places, shot->place);
            if (!shot->left_out && place != NULL && g_strcmp0(shot->subject, GB_SQUARE_SUBJECT) == 0 &&
                (shot->value != NULL) == (round == 0))
                hear_square_shot(build, shot, place);
        }
}

/* --- what to look at --- */

static void add_point(Build *build, const GbPlace *place, const GArray *shots, gboolean contradiction, char *text)
{
    GbPoint *point = g_new0(GbPoint, 1);
    point->contradiction = contradiction;
    point->text = text;
    point->place = place->id;
    point->structure = place->structure;
    point->shots = g_array_copy((GArray *)shots);
    g_ptr_array_add(build->known->points, point);
}

static void add_value_of(const Build *build, GString *text, gint64 number)
{
    const GbShot *shot = gb_shots_by_number(build->shots, number);
    g_string_append_printf(text, "shot %" G_GINT64_FORMAT " says %s", number, shot != NULL && shot->value != NULL ? shot->value : "something else");
}

/* "but shot 42 says 7/12 and shot 43 says 8/12"; three at most. */
static void add_against(const Build *build, GString *text, const GArray *against)
{
    guint shown = MIN(against->len, 3);
    for (guint i = 0; i < shown; i++) {
        g_string_append(text, i == 0 ? ", but " : i + 1 == against->len ? " and " : ", ");
        add_value_of(build, text, g_array_index(against, gint64, i));
    }
    if (against->len > shown)
        g_string_append_printf(text, " and %u more", against->len - shown);
}

static void point_at_fact(Build *build, const GbKnown *known)
{
    if (known->against->len > 0) {
        GString *text = g_string_new(NULL);
        if (known->fact != NULL) {
            g_string_printf(text, "%s: %s is recorded as %s", known->place->label, known->name, known->shown);
        } else {
            g_string_printf(text, "%s: %s: ", known->place->label, known->name);
            add_value_of(build, text, g_array_index(known->shots, gint64, 0));
        }
        add_against(build, text, known->against);
        add_point(build, known->place, known->against, TRUE, g_string_free(text, FALSE));
    }
    gboolean provable = known->kind != NULL && known->kind->subjects[0] != NULL && known->how != GB_HOW_TOLD;
    if (known->fact == NULL || !provable || known->shots->len + known->against->len > 0)
        return;
    add_point(build, known->place, known->shots, FALSE,
              g_strdup_printf("%s: %s %s has no photo that proves it%s", known->place->label, known->name, known->shown,
                              known->fact->shots->len > 0 ? ": the one named is left out of the report" : ""));
}

static void point_at_square(Build *build, const GbKnownSquare *known)
{
    g_autofree char *which = known->number > 1 ? g_strdup_printf("test square %u", known->number) : g_strdup("test square");
    if (known->against->len > 0) {
        GString *text = g_string_new(NULL);
        if (known->square == NULL)
            g_string_printf(text, "%s: %s: shot %" G_GINT64_FORMAT " says %u", known->place->label, which,
                            g_array_index(known->shots, gint64, 0), known->hits);
        else if (known->drawn)
            g_string_printf(text, "%s: %s is recorded with %u hit%s", known->place->label, which, known->hits, known->hits == 1 ? "" : "s");
        else
            g_string_printf(text, "%s: %s is recorded as not drawn", known->place->label, which);
        add_against(build, text, known->against);
        add_point(build, known->place, known->against, TRUE, g_string_free(text, FALSE));
    }
    if (known->square != NULL && known->drawn && known->shots->len + known->against->len == 0)
        add_point(build, known->place, known->shots, FALSE,
                  g_strdup_printf("%s: %s with %u hit%s has no photo that proves it", known->place->label, which, known->hits,
                                  known->hits == 1 ? "" : "s"));
}

/* --- order --- */

static gint position(const GPtrArray *places, const GbPlace *place)
{
    guint at = 0;
    g_ptr_array_find((GPtrArray *)places, place, &at);
    return (gint)at;
}

static gint kind_position(const GbFactlist *list, const GbKnown *known)
{
    for (guint i = 0; known->kind != NULL && i < gb_factlist_size(list); i++)
        if (gb_factlist_peek(list, i) == known->kind)
            return (gint)i;
    return G_MAXINT; /* what the list has lost comes last */
}

static gint compare_facts(gconstpointer a, gconstpointer b, gpointer user)
{
    const Build *build = user;
    const GbKnown *x = *(GbKnown *const *)a, *y = *(GbKnown *const *)b;
    gint by_place = position(build->places, x->place) - position(build->places, y->place);
    if (by_place != 0)
        return by_place;
    gint p = kind_position(build->list, x), q = kind_position(build->list, y);
    return p != q ? (p > q) - (p < q) : strcmp(x->name, y->name);
}

static gint compare_squares(gconstpointer a, gconstpointer b, gpointer user)
{
    const Build *build = user;
    const GbKnownSquare *x = *(GbKnownSquare *const *)a, *y = *(GbKnownSquare *const *)b;
    gint by_place = position(build->places, x->place) - position(build->places, y->place);
    return by_place != 0 ? by_place : (gint)x->number - (gint)y->number;
}

/* --- the whole --- */

static void finish_facts(Build *build)
{
    GPtrArray *facts = build->known->facts;
    g_ptr_array_sort_with_data(facts, compare_facts, build);
    for (guint i = 0; i < facts->len; i++) {
        GbKnown *known = facts->pdata[i];
        if (known->fact != NULL)
            prefer_named(build, known->fact->shots, &known->shots);
        point_at_fact(build, known);
    }
}

static void finish_squares(Build *build)
{
    GPtrArray *squares = build->known->squares;
    g_ptr_array_sort_with_data(squares, compare_squares, build);
    for (guint i = 0; i < squares->len; i++) {
        GbKnownSquare *known = squares->pdata[i];
        sort_by_time(build, &known->shots);
        if (known->square != NULL)
            prefer_named(build, known->square->shots, &known->shots);
        point_at_square(build, known);
    }
}

GbKnowledge *gb_knowledge_make(const GPtrArray *places, const GPtrArray *shots, const GPtrArray *facts, const GPtrArray *squares,
                               const GbFactlist *list, const GbCatalogue *catalogue)
{
    GbKnowledge *known = g_new0(GbKnowledge, 1);
    known->list = list;
    known->facts = g_ptr_array_new_with_free_func(free_known);
    known->squares = g_ptr_array_new_with_free_func(free_square);
    known->points = g_ptr_array_new_with_free_func(free_point);
    g_autoptr(GHashTable) entries = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL);
    g_autoptr(GHashTable) ranks = g_hash_table_new(NULL, NULL);
    Build build = { places, shots, list, catalogue, entries, ranks, known };
    add_records(&build, facts);
    hear_shots(&build, TRUE);
    hear_shots(&build, FALSE);
    add_squares(&build, squares);
    finish_facts(&build);
    finish_squares(&build);
    gb_knowledge_read_captions(known, places, shots, catalogue);
    return known;
}

/* How near a place is, as whole_of would climb to it: 3 the same, 2 its roof, 1 its structure, 0 another. Facts carry their places,
 * so no list of places is wanted here. */
static guint reach(const GbPlace *place, const GbPlace *of)
{
    if (place->id == of->id)
        return 3;
    if (place->structure != of->structure || of->structure == 0)
        return 0;
    if (place->kind == GB_PLACE_ROOF && of->kind == GB_PLACE_SLOPE)
        return 2;
    return place->kind == GB_PLACE_WHOLE;
}

const GbKnown *gb_knowledge_at(const GbKnowledge *knowledge, const char *kind_id, const GbPlace *place)
{
    const GbKnown *nearest = NULL;
    guint best = 0;
    for (guint i = 0; i < knowledge->facts->len; i++) {
        const GbKnown *known = knowledge->facts->pdata[i];
        guint near = known->kind != NULL && strcmp(known->kind->id, kind_id) == 0 ? reach(known->place, place) : 0;
        if (near > best) {
            best = near;
            nearest = known;
        }
    }
    return nearest;
}

void gb_knowledge_free(GbKnowledge *knowledge)
{
    if (knowledge == NULL)
        return;
    g_ptr_array_unref(knowledge->facts);
    g_ptr_array_unref(knowledge->squares);
    g_ptr_array_unref(knowledge->points);
    g_free(knowledge);
}
