/* brief.c -- before the visit, on one page. See brief.h.
 *
 * A requirement is said once, under a heading that names all places it applies to; requirements with the same heading
 * stand together, the property first, then walls, structures, rooms, slopes, and at last what holds for every finding.
 * The cautions are reminders with their sources, not instructions: who may do what on a roof is for local codes and
 * licensed practice to say.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <gablebook/brief.h>

#include <gablebook/escape.h>

#define COLUMNS_MIN 40
#define PRACTICE "common practice, no source"

/* Sources as printed there: the numbers are OSHA's for construction work, quoted as a caution and not as anybody's
 * legal duty. */
static const struct {
    const char *what, *text, *source;
} cautions[] = {
    { "Dogs", "look before the gate; rattle it, call, wait for the owner", PRACTICE },
    { "Power lines", "keep ladder, pole and yourself 10 ft off; one that is down is live", "OSHA, to 50 kV" },
    { "Ladder", "foot out 1/4 of its length, rails 3 ft above the edge, three-point contact", "29 CFR 1926.1053" },
    { "Steep roof", "over 4 in 12; mind falls from 6 ft; wet, icy, gusty: stay off", "29 CFR 1926.500-501" },
    { "Lightning", "thunder within 30 s of the flash: down and in, till 30 min after the last", "extremeweather.unl.edu" },
};
#define LAST_WORD "Local codes and licensed practice decide. No photo is worth a fall: waive it, with the reason."

/* --- headings --- */

static guint phase_of(const GbRequirement *r)
{
    static const guint phases[] = { [GB_WHERE_ONCE] = 0, [GB_WHERE_ELEVATION] = 1, [GB_WHERE_STRUCTURE] = 2, [GB_WHERE_ROOM] = 3,
                                    [GB_WHERE_SLOPE] = 4, [GB_WHERE_FINDING] = 5 };
    return phases[r->where];
}

static gboolean fits(const GbRequirement *r, const GbPlace *place)
{
    static const GbPlaceKind kinds[] = { [GB_WHERE_ELEVATION] = GB_PLACE_ELEVATION, [GB_WHERE_STRUCTURE] = GB_PLACE_WHOLE,
                                         [GB_WHERE_ROOM] = GB_PLACE_ROOM, [GB_WHERE_SLOPE] = GB_PLACE_SLOPE };
    return place->structure != 0 && place->kind == kinds[r->where] &&
           (r->structures[0] == NULL || g_strv_contains((const char *const *)r->structures, place->structure_kind));
}

/* "front slope, rear slope, garage left slope": where a requirement applies; NULL where that is nowhere. OWNED by the
 * caller. */
static char *labels_of(const GbDossier *dossier, const GbRequirement *r)
{
    g_autoptr(GPtrArray) labels = g_ptr_array_new();
    for (guint i = 0; i < dossier->places->len; i++) {
        const GbPlace *place = dossier->places->pdata[i];
        if (fits(r, place))
            g_ptr_array_add(labels, place->label);
    }
    g_ptr_array_add(labels, NULL);
    return labels->len > 1 ? g_strjoinv(", ", (char **)labels->pdata) : NULL;
}

/* What its requirements stand under; NULL where it applies to nothing here. OWNED by the caller. */
static char *heading_of(const GbDossier *dossier, const GbRequirement *r)
{
    if (r->where == GB_WHERE_ONCE)
        return g_strdup("The property, once");
    if (r->where == GB_WHERE_FINDING)
        return g_strdup("Everything damaged, wherever it is");
    g_autofree char *labels = labels_of(dossier, r);
    return labels != NULL ? g_strconcat(r->where == GB_WHERE_STRUCTURE ? "Anywhere: " : "Each: ", labels, NULL) : NULL;
}

/* --- the model --- */

static gboolean is_for_causes(const GbRequirement *r, const char *claim_causes)
{
    if (r->causes[0] == NULL || claim_causes == NULL)
        return TRUE;
    g_auto(GStrv) causes = g_strsplit_set(claim_causes, ",; ", -1);
    for (char **cause = causes; *cause != NULL; cause++)
        if (**cause != '\0' && g_strv_contains((const char *const *)r->causes, *cause))
            return TRUE;
    return FALSE;
}

/* The group of that heading, made where there is none. BORROWED. */
static json_t *group_for(json_t *groups, const char *title)
{
    gsize i;
    json_t *group;
    json_array_foreach(groups, i, group)
        if (g_str_equal(json_string_value(json_object_get(group, "title")), title))
            return group;
    group = json_pack("{s:s, s:[]}", "title", title, "items");
    json_array_append_new(groups, group);
    return group;
}

static json_t *groups_json(const GbDossier *dossier)
{
    json_t *groups = json_array();
    for (guint phase = 0; phase <= 5; phase++)
        for (guint i = 0; i < gb_checklist_size(dossier->checklist); i++) {
            const GbRequirement *r = gb_checklist_peek(dossier->checklist, i);
            g_autofree char *title = heading_of(dossier, r);
            gboolean photos = r->facts[0] == NULL && !r->needs_written && !r->needs_measured;
            if (phase_of(r) != phase || title == NULL || !photos || !is_for_causes(r, dossier->claim->cause))
                continue;
            json_array_append_new(json_object_get(group_for(groups, title), "items"),
                                  json_pack("{s:s, s:b, s:b}", "what", r->what, "required", r->required, "value", r->needs_value));
        }
    return groups;
}

static gboolean has_kind(const GbDossier *dossier, GbPlaceKind kind)
{
    for (guint i = 0; i < dossier->places->len; i++)
        if (((const GbPlace *)dossier->places->pdata[i])->kind == kind)
            return TRUE;
    return FALSE;
}

static void add_measure(json_t *measure, gboolean required, const char *text)
{
    json_array_append_new(measure, json_pack("{s:s, s:b}", "what", text, "required", required));
}

/* "roof covering, layers" of all requirements that ask for facts of these places; NULL when none does. OWNED by the
 * caller. */
static char *facts_of(const GbDossier *dossier, const char *labels, gboolean required)
{
    g_autoptr(GString) names = g_string_new(NULL);
    for (guint i = 0; i < gb_checklist_size(dossier->checklist); i++) {
        const GbRequirement *r = gb_checklist_peek(dossier->checklist, i);
        g_autofree char *here = r->where != GB_WHERE_ONCE && r->facts[0] != NULL ? labels_of(dossier, r) : NULL;
        if (here == NULL || strcmp(here, labels) != 0 || r->required != required || !is_for_causes(r, dossier->claim->cause))
            continue;
        for (char **id = r->facts; *id != NULL; id++) {
            g_autofree char *name = g_utf8_strdown(gb_factlist_by_id(dossier->factlist, *id)->name, -1);
            g_string_append_printf(names, "%s%s", names->len > 0 ? ", " : "", name);
        }
    }
    return names->len > 0 ? g_strdup(names->str) : NULL;
}

/* The facts that the checklist asks for, a line for the same places. */
static void add_facts(const GbDossier *dossier, json_t *measure)
{
    g_autoptr(GHashTable) told = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL);
    for (guint i = 0; i < gb_checklist_size(dossier->checklist); i++) {
        const GbRequirement *r = gb_checklist_peek(dossier->checklist, i);
        char *labels = r->where != GB_WHERE_ONCE && r->facts[0] != NULL ? labels_of(dossier, r) : NULL;
        if (labels == NULL || g_hash_table_contains(told, labels)) {
            g_free(labels);
            continue;
        }
        g_hash_table_add(told, labels);
        for (int required = TRUE; required >= FALSE; required--) {
            g_autofree char *names = facts_of(dossier, labels, required);
            g_autofree char *text = names != NULL ? g_strdup_printf("%s: %s", labels, names) : NULL;
            if (text != NULL)
                add_measure(measure, required, text);
        }
    }
}

static json_t *measure_json(const GbDossier *dossier)
{
    json_t *measure = json_array();
    if (has_kind(dossier, GB_PLACE_SLOPE))
        add_measure(measure, TRUE, "roof: eave, ridge and length up each slope; or footprint, overhang and pitch");
    if (has_kind(dossier, GB_PLACE_ROOM))
        add_measure(measure, TRUE, "rooms: length, width and height; how high and how far the damage goes");
    add_measure(measure, TRUE, "all that is damaged: how many (EA), how long (LF) or how large (SF, SQ)");
    add_facts(dossier, measure);
    return measure;
}

static json_t *cautions_json(void)
{
    json_t *list = json_array();
    for (gsize i = 0; i < G_N_ELEMENTS(cautions); i++)
        json_array_append_new(list, json_pack("{s:s, s:s, s:s}", "what", cautions[i].what, "text", cautions[i].text,
                                              "source", cautions[i].source));
    return list;
}

/* "418 Elm Lane; Ada Quill; H-20417; hail, wind" of what is known. OWNED by the caller. */
static char *claim_text(const GbClaim *claim)
{
    const char *const parts[] = { claim->address, claim->insured, claim->number, claim->cause };
    GString *text = g_string_new(NULL);
    for (gsize i = 0; i < G_N_ELEMENTS(parts); i++)
        if (parts[i] != NULL)
            g_string_append_printf(text, "%s%s", text->len > 0 ? "; " : "", parts[i]);
    return g_string_free(text, FALSE);
}

json_t *gb_brief_json(const GbDossier *dossier)
{
    g_autofree char *claim = claim_text(dossier->claim);
    return json_pack("{s:s, s:s, s:s, s:o, s:s, s:o, s:o}", "title", "Before the visit", "claim", claim,
                     "checklist", gb_checklist_title(dossier->checklist), "cautions", cautions_json(), "last_word", LAST_WORD,
                     "groups", groups_json(dossier), "measure", measure_json(dossier));
}

/* --- the page --- */

/* Append a paragraph, broken at blanks; further lines are indented by so many columns. What comes from the claim is
 * made harmless. */
static void add_paragraph(GString *out, const char *text, guint indent, guint columns)
{
    g_autofree char *safe = gb_escape_terminal(text);
    g_auto(GStrv) words = g_strsplit(safe, " ", -1);
    guint used = 0;
    for (char **word = words; *word != NULL; word++) {
        guint width = (guint)g_utf8_strlen(*word, -1);
        gboolean first = word == words, fold = !first && used + 1 + width > columns;
        if (fold)
            g_string_append_printf(out, "\n%*s", (int)indent, "");
        else if (!first)
            g_string_append_c(out, ' ');
        used = fold ? indent + width : used + width + !first;
        g_string_append(out, *word);
    }
    g_string_append_c(out, '\n');
}

static const char *text_of(const json_t *object, const char *key)
{
    return json_string_value(json_object_get(object, key));
}

static void add_cautions(GString *out, const json_t *brief, guint columns)
{
    gsize i;
    const json_t *caution;
    g_string_append(out, "Take care\n");
    json_array_foreach(json_object_get(brief, "cautions"), i, caution) {
        g_autofree char *line = g_strdup_printf("  %s: %s (%s)", text_of(caution, "what"), text_of(caution, "text"),
                                                text_of(caution, "source"));
        add_paragraph(out, line, 4, columns);
    }
    g_autofree char *last = g_strconcat("  ", text_of(brief, "last_word"), NULL);
    add_paragraph(out, last, 4, columns);
}

static void add_item(GString *out, const json_t *item, const char *more, guint columns)
{
    const char *box = json_is_true(json_object_get(item, "required")) ? "[ ]" : "( )";
    g_autofree char *line = g_strdup_printf("  %s %s%s", box, text_of(item, "what"), more);
    add_paragraph(out, line, 6, columns);
}

static void add_group(GString *out, const json_t *group, guint columns)
{
    gsize i;
    const json_t *item;
    add_paragraph(out, text_of(group, "title"), 2, columns);
    json_array_foreach(json_object_get(group, "items"), i, item)
        add_item(out, item, json_is_true(json_object_get(item, "value")) ? "; write it down" : "", columns);
}

char *gb_brief_text(const GbDossier *dossier, guint columns)
{
    json_t *brief = gb_brief_json(dossier);
    GString *out = g_string_new(NULL);
    guint width = MAX(columns, COLUMNS_MIN);
    gsize i;
    const json_t *group, *measure;
    const char *claim = text_of(brief, "claim");
    g_autofree char *head = g_strdup_printf("%s%s%s", text_of(brief, "title"), *claim != '\0' ? ": " : "", claim);
    g_autofree char *list = g_strdup_printf("%s. In walking order; [ ] required, ( ) if there is one.", text_of(brief, "checklist"));
    add_paragraph(out, head, 2, width);
    add_paragraph(out, list, 2, width);
    add_cautions(out, brief, width);
    g_string_append_c(out, '\n');
    json_array_foreach(json_object_get(brief, "groups"), i, group)
        add_group(out, group, width);
    g_string_append(out, "Measure, count and write down\n");
    json_array_foreach(json_object_get(brief, "measure"), i, measure) {
        add_item(out, measure, "", width);
    }
    json_decref(brief);
    return g_string_free(out, FALSE);
}
