/* check.c -- the log held against a checklist.
 *
 * First every shot is put into the pockets it could count in: one for each scope it lies in (the claim, its
 * structure, its place) and, within a scope, one for its subject and one for any subject. Then each requirement makes a
 * line for each thing it applies to, along the walk, and a line looks into its own pockets only. So the work grows
 * with shots plus lines, not with their product.
 *
 * A scope is written as in the keys of the lines: "" (the claim), "structure:1", "place:7".
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <gablebook/check.h>

#include <gablebook/error.h>
#include <gablebook/word.h>

typedef struct {
    const GPtrArray *places, *shots;
    const GbChecklist *checklist;
    const GbCatalogue *catalogue;
    char **causes;        /* of the claim; empty: not known */
    GHashTable *place_of; /* place id (gint64) -> GbPlace */
    GHashTable *pockets;  /* "scope\nsubject" -> GArray of guint, indices of shots, rising; no subject: any */
    GHashTable *findings; /* place id (gint64) -> GPtrArray of subject ids, by first shot */
    GHashTable *waivers;  /* key -> GbWaiver */
    GbCheck *check;
} Run;

/* --- pockets ------------------------------------------------------------------------------------------------------ */

static char *pocket_name(const char *scope, const char *subject)
{
    return g_strconcat(scope, "\n", subject, NULL);
}

/* TRUE when the shot is the first in this pocket. */
static gboolean put(Run *run, const char *scope, const char *subject, guint shot)
{
    char *name = pocket_name(scope, subject);
    GArray *pocket = g_hash_table_lookup(run->pockets, name);
    gboolean first = pocket == NULL;
    if (first) {
        pocket = g_array_new(FALSE, FALSE, sizeof(guint));
        g_hash_table_insert(run->pockets, name, pocket);
    } else {
        g_free(name);
    }
    g_array_append_val(pocket, shot);
    return first;
}

/* TRUE when the shot is the first of its subject there. */
static gboolean put_into_scope(Run *run, const char *scope, guint shot)
{
    const GbShot *s = run->shots->pdata[shot];
    put(run, scope, "", shot);
    return s->subject != NULL && put(run, scope, s->subject, shot);
}

static char *place_scope(gint64 place)
{
    return g_strdup_printf("place:%" G_GINT64_FORMAT, place);
}

static char *structure_scope(gint64 structure)
{
    return g_strdup_printf("structure:%" G_GINT64_FORMAT, structure);
}

static void note_finding(Run *run, const GbPlace *place, const char *subject_id)
{
    const GbSubject *subject = gb_catalogue_by_id(run->catalogue, subject_id);
    if (subject == NULL || subject->shows != GB_SHOWS_DAMAGE)
        return;
    GPtrArray *here = g_hash_table_lookup(run->findings, &place->id);
    if (here == NULL) {
        here = g_ptr_array_new();
        g_hash_table_insert(run->findings, (gpointer)&place->id, here);
    }
    g_ptr_array_add(here, (gpointer)subject_id);
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
    if (put_into_scope(run, here, i))
        note_finding(run, place, shot->subject);
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

/* A waiver speaks only while something is missing: a photo that came after all is worth more.
 *   weak  what is lacking is there in weak shots */
static void judge(const Run *run, GbCheckLine *line, gboolean weak)
{
    const GbWaiver *waiver = g_hash_table_lookup(run->waivers, line->key);
    if (line->lacks == NULL) {
        line->state = GB_CHECK_THERE;
    } else if (waiver != NULL) {
        line->state = GB_CHECK_WAIVED;
        line->waived_why = g_strdup(waiver->why);
        line->waived_who = g_strdup(waiver->who);
        line->waived_at_utc_s = waiver->at_utc_s;
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

/* Finish a line that knows where it belongs, and take it into the check. TAKES line. */
static void take_line(Run *run, GbCheckLine *line, const char *scope, const char *const *subjects)
{
    g_autoptr(GArray) shots = gather(run, scope, subjects);
    line->shots = g_array_new(FALSE, FALSE, sizeof(gint64));
    note_shots(run, line, shots);
    Found strong = count_shots(run, line->requirement, shots, FALSE), all = count_shots(run, line->requirement, shots, TRUE);
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

/* damage: the finding's subject, NULL for other lines. */
static GbCheckLine *new_line(const GbRequirement *r, char *key, const GbSubject *damage, const char *where_label, const char *group)
{
    g_autofree char *id = spoken_id(r->id);
    g_autofree char *lower = damage ? g_utf8_strdown(damage->name, -1) : NULL;
    g_autofree char *name = damage ? g_strdup_printf("%s %s", lower, id) : g_strdup(id);
    GbCheckLine *line = g_new0(GbCheckLine, 1);
    line->requirement = r;
    line->key = key;
    line->label = where_label ? g_strdup_printf("%s, %s", name, where_label) : g_strdup(name);
    line->group = g_strdup(group);
    line->what = damage ? g_strdup_printf("%s %s", damage->name, r->what) : g_strdup(r->what);
    return line;
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
    for (guint i = 0; (r = next_requirement(run, GB_WHERE_ONCE, NULL, &i)) != NULL;)
        take_line(run, new_line(r, g_strdup(r->id), NULL, NULL, "The claim"), "", (const char *const *)r->subjects);
}

static void add_structure_lines(Run *run, const GbPlace *place)
{
    g_autofree char *scope = structure_scope(place->structure);
    g_autofree char *group = gb_place_title(GB_PLACE_WHOLE, place->structure_name, place->on_dwelling, GB_FACE_FRONT, NULL);
    const GbRequirement *r;
    for (guint i = 0; (r = next_requirement(run, GB_WHERE_STRUCTURE, place, &i)) != NULL;) {
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

static void add_place_lines(Run *run, const GbPlace *place)
{
    GbWhere where;
    if (!where_of_place(place->kind, &where))
        return;
    g_autofree char *scope = place_scope(place->id);
    const GbRequirement *r;
    for (guint i = 0; (r = next_requirement(run, where, place, &i)) != NULL;) {
        GbCheckLine *line = new_line(r, g_strdup_printf("%s %s", r->id, scope), NULL, place->label, place->title);
        line->place = place->id;
        line->structure = place->structure;
        take_line(run, line, scope, (const char *const *)r->subjects);
    }
}

static void add_finding_lines(Run *run, const GbPlace *place, const char *subject_id)
{
    const GbSubject *subject = gb_catalogue_by_id(run->catalogue, subject_id);
    g_autofree char *scope = place_scope(place->id);
    const char *subjects[] = {subject_id, NULL};
    const GbRequirement *r;
    for (guint i = 0; (r = next_requirement(run, GB_WHERE_FINDING, place, &i)) != NULL;) {
        char *key = g_strdup_printf("%s finding:%" G_GINT64_FORMAT ":%s", r->id, place->id, subject_id);
        GbCheckLine *line = new_line(r, key, subject, place->label, place->title);
        line->place = place->id;
        line->structure = place->structure;
        take_line(run, line, scope, subjects);
    }
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
        const GPtrArray *findings = g_hash_table_lookup(run->findings, &place->id);
        for (guint f = 0; findings != NULL && f < findings->len; f++)
            add_finding_lines(run, place, findings->pdata[f]);
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
    for (guint i = 0; i < run->shots->len; i++)
        put_shot(run, i);
}

GbCheck *gb_check_run(const GbClaim *claim, const GPtrArray *places, const GPtrArray *shots, const GPtrArray *waivers,
                      const GbChecklist *checklist, const GbCatalogue *catalogue)
{
    g_auto(GStrv) causes = split_causes(claim->cause);
    g_autoptr(GHashTable) place_of = g_hash_table_new(g_int64_hash, g_int64_equal);
    g_autoptr(GHashTable) pockets = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, (GDestroyNotify)g_array_unref);
    g_autoptr(GHashTable) findings = g_hash_table_new_full(g_int64_hash, g_int64_equal, NULL, (GDestroyNotify)g_ptr_array_unref);
    g_autoptr(GHashTable) waived = g_hash_table_new(g_str_hash, g_str_equal);
    g_autoptr(GbCheck) check = g_new0(GbCheck, 1);
    check->lines = g_ptr_array_new_with_free_func(line_free);
    Run run = {.places = places, .shots = shots, .checklist = checklist, .catalogue = catalogue, .causes = causes,
               .place_of = place_of, .pockets = pockets, .findings = findings, .waivers = waived, .check = check};
    index_log(&run, waivers);
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
