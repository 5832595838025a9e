/* check.c -- the log held against a checklist.
 *
 * First every shot is put into the pockets it could count in: one for each scope it lies in (the claim, its
 * structure, its place) and, within a scope, one for its subject, one for any subject and one for overviews. Then each requirement makes a
 * line for each thing it applies to, along the walk, and a line looks into its own pockets only. So the work grows
 * with shots plus lines, not with their product.
 *
 * A scope is written as in the keys of the lines: "" (the claim), "structure:1", "place:7".
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <gablebook/check.h>

#include <gablebook/error.h>
#include <gablebook/numbers.h>
#include <gablebook/word.h>
#include <math.h>

typedef struct {
    const GPtrArray *places, *shots, *findings;
    const GbComponents *components;
    const GbKnowledge *known;
    const GbRoof *roof; /* or NULL */
    const GbChecklist *checklist;
    const GbCatalogue *catalogue;
    char **causes;        /* of the claim; empty: not known */
    GHashTable *place_of; /* place id (gint64) -> GbPlace */
    GHashTable *pockets;  /* "scope\nsubject" -> GArray of guint, indices of shots, rising; no subject: any; or OVERVIEWS */
    GHashTable *index_of; /* shot number (gint64) -> its index + 1 */
    GHashTable *claimed;  /* numbers (gint64) of shots that belong to a finding */
    GHashTable *seen;     /* place id (gint64) -> GPtrArray of Seen, by first shot */
    GHashTable *waivers;  /* key -> GbWaiver */
    GbCheck *check;
} Run;

/* Damage in photos of a place that belong to no finding. */
typedef struct {
    const GbSubject *subject;
    GArray *shots; /* gint64 numbers, in time order */
} Seen;

/* --- pockets ------------------------------------------------------------------------------------------------------ */

#define OVERVIEWS "\n" /* no subject's id */

static char *pocket_name(const char *scope, const char *subject)
{
    return g_strconcat(scope, "\n", subject, NULL);
}

static void put(Run *run, const char *scope, const char *subject, guint shot)
{
    char *name = pocket_name(scope, subject);
    GArray *pocket = g_hash_table_lookup(run->pockets, name);
    if (pocket == NULL) {
        pocket = g_array_new(FALSE, FALSE, sizeof(guint));
        g_hash_table_insert(run->pockets, name, pocket);
    } else {
        g_free(name);
    }
    g_array_append_val(pocket, shot);
}

static void put_into_scope(Run *run, const char *scope, guint shot)
{
    const GbShot *s = run->shots->pdata[shot];
    put(run, scope, "", shot);
    if (s->subject != NULL)
        put(run, scope, s->subject, shot);
    if (gb_shot_distance(s, run->catalogue) == GB_DISTANCE_OVERVIEW)
        put(run, scope, OVERVIEWS, shot);
}

static char *place_scope(gint64 place)
{
    return g_strdup_printf("place:%" G_GINT64_FORMAT, place);
}

static char *structure_scope(gint64 structure)
{
    return g_strdup_printf("structure:%" G_GINT64_FORMAT, structure);
}

static void seen_free(gpointer data)
{
    Seen *seen = data;
    g_array_unref(seen->shots);
    g_free(seen);
}

/* What was seen of a subject at a place, made at its first shot. */
static Seen *seen_of(Run *run, const GbPlace *place, const GbSubject *subject)
{
    GPtrArray *here = g_hash_table_lookup(run->seen, &place->id);
    if (here == NULL) {
        here = g_ptr_array_new_with_free_func(seen_free);
        g_hash_table_insert(run->seen, (gpointer)&place->id, here);
    }
    for (guint i = 0; i < here->len; i++) {
        Seen *seen = here->pdata[i];
        if (seen->subject == subject)
            return seen;
    }
    Seen *seen = g_new(Seen, 1);
    *seen = (Seen){subject, g_array_new(FALSE, FALSE, sizeof(gint64))};
    g_ptr_array_add(here, seen);
    return seen;
}

static void note_damage(Run *run, const GbPlace *place, const GbShot *shot)
{
    const GbSubject *subject = shot->subject ? gb_catalogue_by_id(run->catalogue, shot->subject) : NULL;
    if (subject == NULL || subject->shows != GB_SHOWS_DAMAGE || g_hash_table_contains(run->claimed, &shot->number))
        return;
    g_array_append_val(seen_of(run, place, subject)->shots, shot->number);
    run->check->unwritten++;
}

static void put_shot(Run *run, guint i)
{
    const GbShot *shot = run->shots->pdata[i];
    if (shot->left_out)
        return;
    run->check->unnamed += shot->subject == NULL;
    put_into_scope(run, "", i);

    const GbPlace *place = g_hash_table_lookup(run->place_of, &shot->place);
    if (place == NULL) {
        run->check->unplaced += !gb_shot_is_paper(shot, run->catalogue);
        return;
    }
    g_autofree char *here = place_scope(place->id);
    put_into_scope(run, here, i);
    note_damage(run, place, shot);
    if (place->structure != 0) {
        g_autofree char *structure = structure_scope(place->structure);
        put_into_scope(run, structure, i);
    }
}

/* --- one line ----------------------------------------------------------------------------------------------------- */

static void line_free(gpointer data)
{
    GbCheckLine *line = data;
    g_free(line->key);
    g_free(line->label);
    g_free(line->what);
    g_free(line->group);
    g_free(line->lacks);
    g_free(line->waived_why);
    g_free(line->waived_who);
    g_array_unref(line->shots);
    g_free(line);
}

static int compare_indices(const void *a, const void *b)
{
    guint left = *(const guint *)a, right = *(const guint *)b;
    return (left > right) - (left < right);
}

/* The shots of these subjects (none named: of any) in a scope, in time order: indices, OWNED by the caller. */
static GArray *gather(const Run *run, const char *scope, const char *const *subjects)
{
    static const char *const any[] = {"", NULL};
    GArray *found = g_array_new(FALSE, FALSE, sizeof(guint));
    for (const char *const *subject = subjects[0] ? subjects : any; *subject != NULL; subject++) {
        g_autofree char *name = pocket_name(scope, *subject);
        const GArray *pocket = g_hash_table_lookup(run->pockets, name);
        if (pocket != NULL)
            g_array_append_vals(found, pocket->data, pocket->len);
    }
    g_array_sort(found, compare_indices);
    return found;
}

static gboolean carries_value(const GbShot *shot)
{
    return shot->value != NULL && *shot->value != '\0';
}

static gboolean names_distances(const GbRequirement *r)
{
    for (guint d = GB_DISTANCE_OVERVIEW; d < GB_DISTANCES; d++)
        if (r->wants[d])
            return TRUE;
    return FALSE;
}

/* What was found for a line. */
typedef struct {
    guint all;                 /* shots of its subjects in its scope */
    guint at[GB_DISTANCES];    /* of these, at each distance */
    gboolean value;            /* one of them carries its value */
} Found;

/* Count what is there: all shots, or only those that are not weak. */
static Found count_shots(const Run *run, const GbRequirement *r, const GArray *shots, gboolean weak_too)
{
    Found found = {0};
    for (guint i = 0; i < shots->len; i++) {
        const GbShot *shot = run->shots->pdata[g_array_index(shots, guint, i)];
        if (shot->weak != NULL && !weak_too)
            continue;
        found.all++;
        found.at[gb_shot_distance(shot, run->catalogue)]++;
        found.value |= r->needs_value && carries_value(shot);
    }
    return found;
}

/* A shot counts that was taken at a wanted distance, or carries a wanted value, from wherever. */
static gboolean counts(const Run *run, const GbRequirement *r, const GbShot *shot)
{
    return !names_distances(r) || r->wants[gb_shot_distance(shot, run->catalogue)] || (r->needs_value && carries_value(shot));
}

static void note_shots(const Run *run, GbCheckLine *line, const GArray *shots)
{
    for (guint i = 0; i < shots->len; i++) {
        const GbShot *shot = run->shots->pdata[g_array_index(shots, guint, i)];
        if (counts(run, line->requirement, shot))
            g_array_append_val(line->shots, shot->number);
    }
}

/* "shot 31 (overexposed: ...), shot 32 (blurred: ...)": those that would count. shots: indices. OWNED by the caller. */
static char *weak_shots(const Run *run, const GbRequirement *r, const GArray *shots)
{
    GString *text = g_string_new(NULL);
    for (guint i = 0; i < shots->len; i++) {
        const GbShot *shot = run->shots->pdata[g_array_index(shots, guint, i)];
        if (shot->weak != NULL && counts(run, r, shot))
            g_string_append_printf(text, "%sshot %" G_GINT64_FORMAT " (%s)", text->len > 0 ? ", " : "", shot->number, shot->weak);
    }
    return g_string_free(text, FALSE);
}

static void add_lack(GString *lacks, const char *text)
{
    g_string_append_printf(lacks, "%s%s", lacks->len ? ", " : "", text);
}

/* "no close-up", "1 of 2 close-up shots"; of any distance: "no shot", "1 of 2 shots". */
static void add_count_lack(GString *lacks, guint there, guint wanted, GbDistance distance)
{
    const char *word = gb_distance_word(distance);
    g_autofree char *text = NULL;
    if (there >= wanted)
        return;
    if (wanted == 1)
        text = g_strdup_printf("no %s", *word ? word : "shot");
    else
        text = g_strdup_printf("%u of %u %s%sshots", there, wanted, word, *word ? " " : "");
    add_lack(lacks, text);
}

/* What a value is, in words. */
static const char *value_name(const Run *run, const GbRequirement *r)
{
    for (char **id = r->subjects; *id != NULL; id++) {
        const GbSubject *subject = gb_catalogue_by_id(run->catalogue, *id);
        switch (subject ? subject->value : GB_VALUE_NONE) {
        case GB_VALUE_PITCH:  return "the pitch";
        case GB_VALUE_LENGTH: return "the size";
        case GB_VALUE_COUNT:  return "the count";
        case GB_VALUE_LAYERS: return "the number of layers";
        case GB_VALUE_TEXT:   return "the reading";
        case GB_VALUE_NONE:   break;
        }
    }
    return "its value";
}

/* What is not there, in words; OWNED by the caller, NULL when nothing. Where no shot is there yet, its value is not asked for. */
static char *lacks_of(const Run *run, const GbRequirement *r, const Found *found)
{
    g_autoptr(GString) lacks = g_string_new(NULL);
    if (!names_distances(r))
        add_count_lack(lacks, found->all, r->count, GB_DISTANCE_UNKNOWN);
    for (guint d = GB_DISTANCE_OVERVIEW; d < GB_DISTANCES; d++)
        if (r->wants[d])
            add_count_lack(lacks, found->at[d], r->count, (GbDistance)d);
    if (r->needs_value && !found->value && found->all > 0) {
        g_autofree char *text = g_strdup_printf("no shot carries %s", value_name(run, r));
        add_lack(lacks, text);
    }
    return lacks->len ? g_strdup(lacks->str) : NULL;
}

/* Whoever records that a test square was not drawn, and why, has said why its photo is missing. NULL: nobody has. */
static const GbSquare *not_drawn(const Run *run, const GbCheckLine *line)
{
    char **subjects = line->requirement->subjects;
    gboolean about_squares = line->place != 0 && subjects[0] != NULL && subjects[1] == NULL && g_str_equal(subjects[0], GB_SQUARE_SUBJECT);
    for (guint i = 0; about_squares && i < run->known->squares->len; i++) {
        const GbKnownSquare *known = run->known->squares->pdata[i];
        if (known->place->id == line->place && !known->drawn)
            return known->square;
    }
    return NULL;
}

static void set_waived(GbCheckLine *line, char *why, const char *who, gint64 at_utc_s)
{
    line->state = GB_CHECK_WAIVED;
    line->waived_why = why;
    line->waived_who = g_strdup(who);
    line->waived_at_utc_s = at_utc_s;
}

/* A waiver speaks only while something is missing: a photo that came after all is worth more.
 *   weak  what is lacking is there in weak shots */
static void judge(const Run *run, GbCheckLine *line, gboolean weak)
{
    const GbWaiver *waiver = g_hash_table_lookup(run->waivers, line->key);
    const GbSquare *square = not_drawn(run, line);
    if (line->lacks == NULL) {
        line->state = GB_CHECK_THERE;
    } else if (waiver != NULL) {
        set_waived(line, g_strdup(waiver->why), waiver->who, waiver->at_utc_s);
    } else if (square != NULL) {
        set_waived(line, g_strdup_printf("not drawn: %s", square->not_drawn), square->who, square->at_utc_s);
    } else if (line->requirement->required) {
        line->state = weak ? GB_CHECK_WEAK : GB_CHECK_MISSING;
    } else {
        line->state = GB_CHECK_ADVISED;
    }
    GbCheck *check = run->check;
    check->there += line->state == GB_CHECK_THERE;
    check->missing += line->state == GB_CHECK_MISSING;
    check->advised += line->state == GB_CHECK_ADVISED;
    check->waived += line->state == GB_CHECK_WAIVED;
    check->weak += line->state == GB_CHECK_WEAK;
}

/* "test-square" as a person types it: "test square". */
static char *spoken_id(const char *id)
{
    return g_strdelimit(g_strdup(id), "-", ' ');
}

/* Does the line's own place, or its structure, or the whole claim take in this place? What holds for a roof holds for its slopes. */
static gboolean takes_in(const Run *run, const GbCheckLine *line, const GbKnown *known)
{
    if (line->place != 0) {
        const GbPlace *place = g_hash_table_lookup(run->place_of, &line->place);
        return place != NULL && gb_knowledge_at(run->known, known->kind->id, place) == known;
    }
    return line->structure == 0 || known->place->structure == line->structure;
}

/* Can a photo of one of these subjects carry the value that was recorded? */
static gboolean is_value_of(const Run *run, const GbFactKind *kind, char *const *subjects)
{
    for (; *subjects != NULL; subjects++) {
        const GbSubject *subject = gb_catalogue_by_id(run->catalogue, *subjects);
        if (subject != NULL && gb_fact_type_takes(kind->type, subject->value) &&
            g_strv_contains((const char *const *)kind->subjects, *subjects))
            return TRUE;
    }
    return FALSE;
}

/* What a person recorded need not be typed again at the photo. */
static gboolean is_recorded(const Run *run, const GbCheckLine *line)
{
    char *const *subjects = line->requirement->subjects;
    for (guint i = 0; i < run->known->facts->len; i++) {
        const GbKnown *known = run->known->facts->pdata[i];
        if (known->fact != NULL && known->kind != NULL && is_value_of(run, known->kind, subjects) && takes_in(run, line, known))
            return TRUE;
    }
    gboolean squares = g_strv_contains((const char *const *)subjects, GB_SQUARE_SUBJECT);
    for (guint i = 0; squares && i < run->known->squares->len; i++) {
        const GbKnownSquare *known = run->known->squares->pdata[i];
        if (known->square != NULL && known->drawn &&
            (line->place != 0 ? known->place->id == line->place : line->structure == 0 || known->place->structure == line->structure))
            return TRUE;
    }
    return FALSE;
}

/* Finish a line about these shots (indices), and take it into the check. TAKES line. */
static void take_line_of(Run *run, GbCheckLine *line, const GArray *shots)
{
    note_shots(run, line, shots);
    Found strong = count_shots(run, line->requirement, shots, FALSE), all = count_shots(run, line->requirement, shots, TRUE);
    if (line->requirement->needs_value && is_recorded(run, line))
        strong.value = all.value = TRUE;
    g_autofree char *strong_lacks = lacks_of(run, line->requirement, &strong), *all_lacks = lacks_of(run, line->requirement, &all);
    g_autofree char *weak_text = weak_shots(run, line->requirement, shots);
    gboolean weak = strong_lacks != NULL && all_lacks == NULL;
    if (weak)
        line->lacks = g_strdup_printf("only weak: %s", weak_text);
    else if (g_strcmp0(strong_lacks, all_lacks) != 0) /* what is missing, and what is there but weak */
        line->lacks = g_strdup_printf("%s; weak: %s", strong_lacks, weak_text);
    else
        line->lacks = g_steal_pointer(&strong_lacks);
    judge(run, line, weak);
    g_ptr_array_add(run->check->lines, line);
}

/* Finish a line that knows where it belongs, and take it into the check. TAKES line. */
static void take_line(Run *run, GbCheckLine *line, const char *scope, const char *const *subjects)
{
    g_autoptr(GArray) shots = gather(run, scope, subjects);
    take_line_of(run, line, shots);
}

/* damage: name of what is damaged, NULL for other lines. */
static GbCheckLine *new_line(const GbRequirement *r, char *key, const char *damage, const char *where_label, const char *group)
{
    g_autofree char *id = spoken_id(r->id);
    g_autofree char *lower = damage ? g_utf8_strdown(damage, -1) : NULL;
    g_autofree char *name = damage ? g_strdup_printf("%s %s", lower, id) : g_strdup(id);
    GbCheckLine *line = g_new0(GbCheckLine, 1);
    line->requirement = r;
    line->key = key;
    line->shots = g_array_new(FALSE, FALSE, sizeof(gint64));
    line->label = where_label ? g_strdup_printf("%s, %s", name, where_label) : g_strdup(name);
    line->group = g_strdup(group);
    line->what = damage ? g_strdup_printf("%s %s", damage, r->what) : g_strdup(r->what);
    return line;
}

/* --- facts -------------------------------------------------------------------------------------------------------- */

static void add_shots(GArray *shots, const GArray *more)
{
    for (guint i = 0; i < more->len; i++) {
        gint64 number = g_array_index(more, gint64, i);
        gboolean there = FALSE;
        for (guint s = 0; s < shots->len; s++)
            there = there || g_array_index(shots, gint64, s) == number;
        if (!there)
            g_array_append_val(shots, number);
    }
}

/* "fact layers, dwelling", not "layers, dwelling": that is its photo. */
static GbCheckLine *new_fact_line(const GbRequirement *r, const GbFactKind *kind, const char *scope, const char *where_label, const char *group)
{
    g_autofree char *lower = g_utf8_strdown(kind->name, -1);
    GbCheckLine *line = g_new0(GbCheckLine, 1);
    line->requirement = r;
    line->fact = kind;
    line->key = *scope != '\0' ? g_strdup_printf("%s fact:%s %s", r->id, kind->id, scope) : g_strdup_printf("%s fact:%s", r->id, kind->id);
    line->label = where_label != NULL ? g_strdup_printf("fact %s, %s", lower, where_label) : g_strdup_printf("fact %s", lower);
    line->group = g_strdup(group);
    line->what = g_strdup_printf("%s: %s", kind->name, r->what);
    line->shots = g_array_new(FALSE, FALSE, sizeof(gint64));
    return line;
}

/* The pitch of a slope that was measured need not be said again. */
static gboolean is_measured(const Run *run, const GbCheckLine *line)
{
    for (guint i = 0; run->roof != NULL && line->place != 0 && line->fact->type == GB_FACT_PITCH && i < run->roof->slopes->len; i++) {
        const GbRoofSlope *slope = run->roof->slopes->pdata[i];
        if (slope->place == line->place && !isnan(slope->pitch))
            return TRUE;
    }
    return FALSE;
}

/* A line that knows where it belongs: is its fact known there? TAKES line. */
static void take_fact_line(Run *run, GbCheckLine *line)
{
    gboolean there = FALSE;
    for (guint i = 0; i < run->known->facts->len; i++) {
        const GbKnown *known = run->known->facts->pdata[i];
        if (known->kind != line->fact || !takes_in(run, line, known))
            continue;
        there = TRUE;
        add_shots(line->shots, known->shots);
    }
    if (!there && !is_measured(run, line))
        line->lacks = g_strdup("not recorded");
    judge(run, line, FALSE);
    g_ptr_array_add(run->check->lines, line);
}

/* Whether the fact can be said of a structure (or of anything in it), or of the place or what that is a part of: a deck has no roof, so
 * nobody asks for its covering. */
static gboolean has_home(const Run *run, const GbFactKind *kind, const GbPlace *place, gboolean whole_structure)
{
    if (!whole_structure)
        return gb_fact_home(run->places, kind, place) != NULL;
    for (guint i = 0; i < run->places->len; i++) {
        const GbPlace *part = run->places->pdata[i];
        if (part->structure == place->structure && kind->where[part->kind])
            return TRUE;
    }
    return FALSE;
}

/* Where the lines of a requirement go. */
typedef struct {
    const GbPlace *place;  /* NULL: the claim; of a structure any of its places */
    gboolean whole_structure;
    const char *scope, *label, *group; /* label may be NULL */
} Spot;

/* One line for each fact that the requirement wants there. */
static void add_fact_lines(Run *run, const GbRequirement *r, const Spot *spot)
{
    for (char **id = r->facts; *id != NULL; id++) {
        const GbFactKind *kind = gb_factlist_by_id(run->known->list, *id);
        if (spot->place != NULL && !has_home(run, kind, spot->place, spot->whole_structure))
            continue;
        GbCheckLine *line = new_fact_line(r, kind, spot->scope, spot->label, spot->group);
        line->structure = spot->place != NULL ? spot->place->structure : 0;
        line->place = spot->place != NULL && !spot->whole_structure ? spot->place->id : 0;
        take_fact_line(run, line);
    }
}

/* --- which lines there are ---------------------------------------------------------------------------------------- */

/* A cause that nobody has entered yet excludes nothing. */
static gboolean is_for_causes(const GbRequirement *r, const char *const *causes)
{
    if (r->causes[0] == NULL || causes[0] == NULL)
        return TRUE;
    for (const char *const *cause = causes; *cause != NULL; cause++)
        if (g_strv_contains((const char *const *)r->causes, *cause))
            return TRUE;
    return FALSE;
}

static gboolean is_for_structure(const GbRequirement *r, const GbPlace *place)
{
    return r->structures[0] == NULL || g_strv_contains((const char *const *)r->structures, place->structure_kind);
}

/* The next requirement of a kind from *i on that this claim (and place, unless NULL) is subject to; NULL at the end. */
static const GbRequirement *next_requirement(const Run *run, GbWhere where, const GbPlace *place, guint *i)
{
    while (*i < gb_checklist_size(run->checklist)) {
        const GbRequirement *r = gb_checklist_peek(run->checklist, (*i)++);
        if (r->where == where && is_for_causes(r, (const char *const *)run->causes) &&
            (place == NULL || is_for_structure(r, place)))
            return r;
    }
    return NULL;
}

static void add_claim_lines(Run *run)
{
    const GbRequirement *r;
    const Spot spot = { NULL, FALSE, "", NULL, "The claim" };
    for (guint i = 0; (r = next_requirement(run, GB_WHERE_ONCE, NULL, &i)) != NULL;)
        if (r->facts[0] != NULL)
            add_fact_lines(run, r, &spot);
        else
            take_line(run, new_line(r, g_strdup(r->id), NULL, NULL, "The claim"), "", (const char *const *)r->subjects);
}

static void add_structure_lines(Run *run, const GbPlace *place)
{
    g_autofree char *scope = structure_scope(place->structure);
    g_autofree char *group = gb_place_title(GB_PLACE_WHOLE, place->structure_name, place->on_dwelling, GB_FACE_FRONT, NULL);
    const Spot spot = { place, TRUE, scope, place->structure_name, group };
    const GbRequirement *r;
    for (guint i = 0; (r = next_requirement(run, GB_WHERE_STRUCTURE, place, &i)) != NULL;) {
        if (r->facts[0] != NULL) {
            add_fact_lines(run, r, &spot);
            continue;
        }
        GbCheckLine *line = new_line(r, g_strdup_printf("%s %s", r->id, scope), NULL, place->structure_name, group);
        line->structure = place->structure;
        take_line(run, line, scope, (const char *const *)r->subjects);
    }
}

static gboolean where_of_place(GbPlaceKind kind, GbWhere *where)
{
    switch (kind) {
    case GB_PLACE_ELEVATION: *where = GB_WHERE_ELEVATION; return TRUE;
    case GB_PLACE_SLOPE:     *where = GB_WHERE_SLOPE;     return TRUE;
    case GB_PLACE_ROOM:      *where = GB_WHERE_ROOM;      return TRUE;
    case GB_PLACE_SITE:
    case GB_PLACE_WHOLE:
    case GB_PLACE_ROOF:
    case GB_PLACE_KINDS:     break;
    }
    return FALSE;
}

/* A line that is about no shots: done when it lacks nothing. TAKES line and lacks. */
static void take_line_lacking(Run *run, GbCheckLine *line, char *lacks)
{
    line->lacks = lacks;
    judge(run, line, FALSE);
    g_ptr_array_add(run->check->lines, line);
}

/* A slope is measured when an entry of its own, or the whole roof's, could be computed. OWNED by the caller. */
static char *measures_lacking(const Run *run, const GbPlace *place)
{
    for (guint i = 0; run->roof != NULL && i < run->roof->slopes->len; i++)
        if (((const GbRoofSlope *)run->roof->slopes->pdata[i])->place == place->id)
            return NULL;
    return g_strdup("not measured");
}

static void add_place_lines(Run *run, const GbPlace *place)
{
    GbWhere where;
    if (!where_of_place(place->kind, &where))
        return;
    g_autofree char *scope = place_scope(place->id);
    const Spot spot = { place, FALSE, scope, place->label, place->title };
    const GbRequirement *r;
    for (guint i = 0; (r = next_requirement(run, where, place, &i)) != NULL;) {
        if (r->facts[0] != NULL) {
            add_fact_lines(run, r, &spot);
            continue;
        }
        GbCheckLine *line = new_line(r, g_strdup_printf("%s %s", r->id, scope), NULL, place->label, place->title);
        line->place = place->id;
        line->structure = place->structure;
        if (r->needs_measured)
            take_line_lacking(run, line, measures_lacking(run, place));
        else
            take_line(run, line, scope, (const char *const *)r->subjects);
    }
}

/* --- findings: those written down, over their own shots; and damage that was only photographed so far --- */

/* Does an overview of one place show what lies at another? Of the same it does; a slope's shows a part of its roof, and every side's and slope's a part
 * of the structure as a whole. */
static gboolean shows(const GbPlace *overview, const GbPlace *place)
{
    if (overview->id == place->id)
        return TRUE;
    if (overview->structure != place->structure || place->structure == 0)
        return FALSE;
    return place->kind == GB_PLACE_WHOLE || (place->kind == GB_PLACE_ROOF && overview->kind == GB_PLACE_SLOPE);
}

/* One overview serves every finding that it shows. */
static void add_overviews(const Run *run, const GbRequirement *r, const GbPlace *place, GArray *shots)
{
    static const char *const overviews[] = {OVERVIEWS, NULL};
    g_autofree char *scope = place->structure != 0 ? structure_scope(place->structure) : place_scope(place->id);
    g_autoptr(GArray) here = r->wants[GB_DISTANCE_OVERVIEW] ? gather(run, scope, overviews) : NULL;
    for (guint i = 0; here != NULL && i < here->len; i++) {
        guint index = g_array_index(here, guint, i);
        const GbShot *shot = run->shots->pdata[index];
        const GbPlace *from = g_hash_table_lookup(run->place_of, &shot->place);
        gboolean there = from == NULL || !shows(from, place);
        for (guint j = 0; !there && j < shots->len; j++)
            there = g_array_index(shots, guint, j) == index;
        if (!there)
            g_array_append_val(shots, index);
    }
    g_array_sort(shots, compare_indices);
}

/* The shots of a finding that count: indices, OWNED by the caller. */
static GArray *own_shots(const Run *run, const GbFinding *finding)
{
    GArray *shots = g_array_new(FALSE, FALSE, sizeof(guint));
    for (guint i = 0; i < finding->shots->len; i++) {
        guint index = GPOINTER_TO_UINT(g_hash_table_lookup(run->index_of, &g_array_index(finding->shots, gint64, i)));
        if (index-- > 0 && !((const GbShot *)run->shots->pdata[index])->left_out)
            g_array_append_val(shots, index);
    }
    return shots;
}

static void add_finding_lines(Run *run, const GbPlace *place, const GbFinding *finding)
{
    const char *name = gb_finding_component_name(finding, run->components);
    g_autofree char *where = g_strdup_printf("finding %" G_GINT64_FORMAT ", %s", finding->number, place->label);
    g_autoptr(GArray) own = own_shots(run, finding);
    const GbRequirement *r;
    run->check->unproved += own->len == 0;
    for (guint i = 0; (r = next_requirement(run, GB_WHERE_FINDING, place, &i)) != NULL;) {
        GbCheckLine *line = new_line(r, g_strdup_printf("%s finding:%" G_GINT64_FORMAT, r->id, finding->number), name, where, place->title);
        line->place = place->id;
        line->structure = place->structure;
        line->finding = finding->number;
        if (r->needs_written) {
            take_line_lacking(run, line, gb_finding_lacks(finding));
        } else if (own->len == 0) {
            take_line_lacking(run, line, g_strdup(GB_LACKS_PROOF));
        } else {
            g_autoptr(GArray) shots = g_array_copy(own);
            add_overviews(run, r, place, shots);
            take_line_of(run, line, shots);
        }
    }
}

/* What was only photographed: held to the same requirements, over all shots of its subject there. */
static void add_seen_lines(Run *run, const GbPlace *place, const Seen *seen)
{
    g_autofree char *scope = place_scope(place->id);
    const char *subjects[] = {seen->subject->id, NULL};
    const GbRequirement *r;
    for (guint i = 0; (r = next_requirement(run, GB_WHERE_FINDING, place, &i)) != NULL;) {
        char *key = g_strdup_printf("%s finding:%" G_GINT64_FORMAT ":%s", r->id, place->id, seen->subject->id);
        GbCheckLine *line = new_line(r, key, seen->subject->name, place->label, place->title);
        line->place = place->id;
        line->structure = place->structure;
        if (r->needs_written) {
            g_autofree char *numbers = gb_numbers_text(&g_array_index(seen->shots, gint64, 0), seen->shots->len);
            gboolean one = seen->shots->len == 1;
            take_line_lacking(run, line, g_strdup_printf("shot%s %s belong%s to no finding", one ? "" : "s", numbers, one ? "s" : ""));
        } else {
            g_autoptr(GArray) shots = gather(run, scope, subjects);
            add_overviews(run, r, place, shots);
            take_line_of(run, line, shots);
        }
    }
}

static void add_damage_lines(Run *run, const GbPlace *place)
{
    for (guint i = 0; i < run->findings->len; i++) {
        const GbFinding *finding = run->findings->pdata[i];
        if (finding->place == place->id)
            add_finding_lines(run, place, finding);
    }
    const GPtrArray *seen = g_hash_table_lookup(run->seen, &place->id);
    for (guint i = 0; seen != NULL && i < seen->len; i++)
        add_seen_lines(run, place, seen->pdata[i]);
}

static void walk(Run *run)
{
    g_autoptr(GHashTable) seen = g_hash_table_new(g_int64_hash, g_int64_equal); /* structures */
    add_claim_lines(run);
    for (guint i = 0; i < run->places->len; i++) {
        GbPlace *place = run->places->pdata[i];
        if (place->structure != 0 && g_hash_table_add(seen, &place->structure))
            add_structure_lines(run, place);
        add_place_lines(run, place);
        add_damage_lines(run, place);
    }
}

/* --- the whole ---------------------------------------------------------------------------------------------------- */

/* "hail, wind" as words; empty where none is known. OWNED by the caller. */
static char **split_causes(const char *text)
{
    g_auto(GStrv) parts = g_strsplit_set(text ? text : "", ",; ", -1);
    g_autoptr(GStrvBuilder) causes = g_strv_builder_new();
    for (char **part = parts; *part != NULL; part++)
        if (**part != '\0')
            g_strv_builder_add(causes, *part);
    return g_strv_builder_end(causes);
}

static void index_log(Run *run, const GPtrArray *waivers)
{
    for (guint i = 0; i < run->places->len; i++) {
        GbPlace *place = run->places->pdata[i];
        g_hash_table_insert(run->place_of, &place->id, place);
    }
    for (guint i = 0; i < waivers->len; i++) {
        GbWaiver *waiver = waivers->pdata[i];
        g_hash_table_insert(run->waivers, waiver->key, waiver);
    }
    for (guint i = 0; i < run->findings->len; i++) {
        GbFinding *finding = run->findings->pdata[i];
        for (guint j = 0; j < finding->shots->len; j++)
            g_hash_table_add(run->claimed, &g_array_index(finding->shots, gint64, j));
    }
    for (guint i = 0; i < run->shots->len; i++) {
        GbShot *shot = run->shots->pdata[i];
        g_hash_table_insert(run->index_of, &shot->number, GUINT_TO_POINTER(i + 1));
        put_shot(run, i);
    }
}

GbCheck *gb_check_run(const GbCheckInput *input)
{
    g_auto(GStrv) causes = split_causes(input->claim->cause);
    g_autoptr(GPtrArray) none = g_ptr_array_new();
    g_autoptr(GHashTable) place_of = g_hash_table_new(g_int64_hash, g_int64_equal);
    g_autoptr(GHashTable) pockets = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, (GDestroyNotify)g_array_unref);
    g_autoptr(GHashTable) index_of = g_hash_table_new(g_int64_hash, g_int64_equal);
    g_autoptr(GHashTable) claimed = g_hash_table_new(g_int64_hash, g_int64_equal);
    g_autoptr(GHashTable) seen = g_hash_table_new_full(g_int64_hash, g_int64_equal, NULL, (GDestroyNotify)g_ptr_array_unref);
    g_autoptr(GHashTable) waived = g_hash_table_new(g_str_hash, g_str_equal);
    g_autoptr(GbCheck) check = g_new0(GbCheck, 1);
    check->lines = g_ptr_array_new_with_free_func(line_free);
    check->points = input->known->points;
    Run run = {.places = input->places, .shots = input->shots, .findings = input->findings ? input->findings : none,
               .components = input->components, .known = input->known, .roof = input->roof, .checklist = input->checklist, .catalogue = input->catalogue,
               .causes = causes, .place_of = place_of, .pockets = pockets, .index_of = index_of, .claimed = claimed, .seen = seen,
               .waivers = waived, .check = check};
    index_log(&run, input->waivers);
    walk(&run);
    return g_steal_pointer(&check);
}

const GbCheckLine *gb_check_find(const GbCheck *check, const char *text, GError **error)
{
    g_autoptr(GPtrArray) labels = g_ptr_array_new();
    for (guint i = 0; i < check->lines->len; i++) {
        const GbCheckLine *line = check->lines->pdata[i];
        g_ptr_array_add(labels, line->label);
    }
    g_autoptr(GError) why = NULL;
    gssize found = gb_word_find(text, (const char *const *)labels->pdata, labels->len, "requirement", &why);
    if (found >= 0)
        return check->lines->pdata[found];
    for (guint i = 0; i < check->lines->len; i++) {
        const GbCheckLine *line = check->lines->pdata[i];
        if (g_str_equal(line->key, text))
            return line;
    }
    g_propagate_error(error, g_steal_pointer(&why));
    return NULL;
}

gboolean gb_check_complete(const GbCheck *check)
{
    return check->missing == 0 && check->weak == 0;
}

const char *gb_check_state_word(GbCheckState state)
{
    static const char *const words[] = {"there", "missing", "advised", "waived", "weak"};
    return words[state];
}

void gb_check_free(GbCheck *check)
{
    if (check == NULL)
        return;
    g_ptr_array_unref(check->lines);
    g_free(check);
}
