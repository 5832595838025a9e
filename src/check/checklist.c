/* checklist.c -- a file of requirements, read strictly.
 *
 * A checklist decides what a person drives back for, so nothing in it is guessed: a word that is not known, a
 * key that has no effect where it stands, a requirement that is met by nothing or by anything is an error with its
 * line. Words are resolved here, once: after loading, a requirement holds catalogue ids and full words only.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <gablebook/checklist.h>

#include <gablebook/builtin.h>
#include <gablebook/error.h>
#include <gablebook/ini.h>
#include <gablebook/quote.h>
#include <gablebook/word.h>

#define CHECKLIST_FOLDER "templates/checklists"
#define HEAD "checklist"
#define COUNT_MAX 99

struct GbChecklist {
    char *title;
    GPtrArray *requirements; /* of GbRequirement, file order */
};

static const char *const head_keys[] = {"name", "causes", NULL};
static const char *const requirement_keys[] = {"what",  "where", "structures", "subjects", "distances", "count",
                                               "value", "written", "measured", "facts",    "when",      "level", "why", NULL};
static const char *const known_keys[] = {"name",  "causes",  "what",     "where", "structures", "subjects", "distances", "count",
                                         "value", "written", "measured", "facts", "when",       "level",    "why",       NULL};
static const char *const photo_keys[] = {"subjects", "distances", "count", "value", "written", "measured", NULL};

static const char *const where_words[] = {"once",       "each structure", "each elevation", "each slope",
                                          "each room",  "each finding",   NULL}; /* in the order of GbWhere */
static const char *const cause_words[] = {"hail", "wind", "water", "fire", "impact", "other", NULL};
static const char *const level_words[] = {"advised", "required", NULL}; /* index: required or not */
static const char *const yes_words[] = {"no", "yes", NULL};             /* index: yes or not */

/* Words of a checklist that stand for several. */
#define OUTBUILDINGS "outbuildings"
#define ANY_DAMAGE "any damage"

/* --- one requirement ---------------------------------------------------------------------------------------------- */

static void requirement_free(gpointer data)
{
    GbRequirement *r = data;
    g_free(r->id);
    g_free(r->what);
    g_free(r->why);
    g_strfreev(r->structures);
    g_strfreev(r->subjects);
    g_strfreev(r->facts);
    g_strfreev(r->causes);
    g_free(r);
}

/* Index of the word that text means, or -1 with file, line and the nearest words. */
static gssize find_word(const GbIni *ini, const char *section, const char *key, const char *text,
                        const char *const *words, const char *what, GError **error)
{
    g_autoptr(GError) why = NULL;
    gssize i = gb_word_find(text, words, g_strv_length((char **)words), what, &why);
    if (i < 0)
        gb_ini_fail(ini, section, key, error, "%s", why->message);
    return i;
}

/* The one word of a key; absent: otherwise. */
static gboolean read_word(const GbIni *ini, const char *section, const char *key, const char *const *words,
                          const char *what, guint otherwise, guint *index, GError **error)
{
    const char *text = gb_ini_get(ini, section, key);
    gssize i = text ? find_word(ini, section, key, text, words, what, error) : (gssize)otherwise;
    if (i < 0)
        return FALSE;
    *index = (guint)i;
    return TRUE;
}

/* A word given twice is a slip of the pen: most likely another one was meant. */
static gboolean add_once(const GbIni *ini, const char *section, const char *key, GPtrArray *list, const char *word,
                         GError **error)
{
    if (g_ptr_array_find_with_equal_func(list, word, g_str_equal, NULL))
        return gb_ini_fail(ini, section, key, error, "'%s' is in '%s' twice", word, key);
    g_ptr_array_add(list, g_strdup(word));
    return TRUE;
}

static char **steal_words(GPtrArray *list)
{
    g_ptr_array_add(list, NULL);
    return (char **)g_ptr_array_steal(list, NULL);
}

static gboolean read_causes(const GbIni *ini, const char *section, const char *key, char ***causes, GError **error)
{
    g_auto(GStrv) given = gb_ini_list(ini, section, key);
    g_autoptr(GPtrArray) list = g_ptr_array_new_with_free_func(g_free);
    for (char **word = given; *word != NULL; word++) {
        gssize i = find_word(ini, section, key, *word, cause_words, "cause", error);
        if (i < 0 || !add_once(ini, section, key, list, cause_words[i], error))
            return FALSE;
    }
    *causes = steal_words(list);
    return TRUE;
}

static gboolean is_outbuilding(const char *kind)
{
    return !g_str_equal(kind, "dwelling") && !g_str_equal(kind, "fence");
}

static gboolean add_structures(const GbIni *ini, const char *section, const char *word, GPtrArray *list, GError **error)
{
    g_autoptr(GPtrArray) words = g_ptr_array_new();
    for (const char *const *kind = gb_structure_kinds(); *kind != NULL; kind++)
        g_ptr_array_add(words, (gpointer)*kind);
    g_ptr_array_add(words, (gpointer)OUTBUILDINGS);
    g_ptr_array_add(words, NULL);

    const char *const *known = (const char *const *)words->pdata;
    gssize i = find_word(ini, section, "structures", word, known, "kind of structure", error);
    if (i < 0)
        return FALSE;
    if (!g_str_equal(known[i], OUTBUILDINGS))
        return add_once(ini, section, "structures", list, known[i], error);
    for (const char *const *kind = gb_structure_kinds(); *kind != NULL; kind++)
        if (is_outbuilding(*kind) && !add_once(ini, section, "structures", list, *kind, error))
            return FALSE;
    return TRUE;
}

static gboolean read_structures(const GbIni *ini, GbRequirement *r, GError **error)
{
    g_auto(GStrv) given = gb_ini_list(ini, r->id, "structures");
    g_autoptr(GPtrArray) list = g_ptr_array_new_with_free_func(g_free);
    for (char **word = given; *word != NULL; word++)
        if (!add_structures(ini, r->id, *word, list, error))
            return FALSE;
    r->structures = steal_words(list);
    return TRUE;
}

static gboolean add_damage(const GbIni *ini, const char *section, const GbCatalogue *catalogue, GPtrArray *list, GError **error)
{
    for (guint i = 0; i < gb_catalogue_size(catalogue); i++) {
        const GbSubject *subject = gb_catalogue_peek(catalogue, i);
        if (subject->shows == GB_SHOWS_DAMAGE && !add_once(ini, section, "subjects", list, subject->id, error))
            return FALSE;
    }
    return TRUE;
}

static gboolean read_subjects(const GbIni *ini, GbRequirement *r, const GbCatalogue *catalogue, GError **error)
{
    g_auto(GStrv) given = gb_ini_list(ini, r->id, "subjects");
    g_autoptr(GPtrArray) list = g_ptr_array_new_with_free_func(g_free);
    for (char **word = given; *word != NULL; word++) {
        if (g_ascii_strcasecmp(*word, ANY_DAMAGE) == 0) {
            if (!add_damage(ini, r->id, catalogue, list, error))
                return FALSE;
            continue;
        }
        g_autoptr(GError) why = NULL;
        const GbSubject *subject = gb_catalogue_find(catalogue, *word, &why);
        if (subject == NULL)
            return gb_ini_fail(ini, r->id, "subjects", error, "%s", why->message);
        if (!add_once(ini, r->id, "subjects", list, subject->id, error))
            return FALSE;
    }
    r->subjects = steal_words(list);
    return TRUE;
}

/* Whether a fact of the kind can be known where it is wanted: there, or in the whole that it is a part of. */
static gboolean can_be_known(const GbFactKind *kind, GbWhere where)
{
    gboolean whole = kind->where[GB_PLACE_WHOLE];
    switch (where) {
    case GB_WHERE_ONCE:
        return TRUE;
    case GB_WHERE_STRUCTURE:
        return whole || kind->where[GB_PLACE_ELEVATION] || kind->where[GB_PLACE_ROOF] || kind->where[GB_PLACE_SLOPE] || kind->where[GB_PLACE_ROOM];
    case GB_WHERE_ELEVATION:
        return whole || kind->where[GB_PLACE_ELEVATION];
    case GB_WHERE_SLOPE:
        return whole || kind->where[GB_PLACE_ROOF] || kind->where[GB_PLACE_SLOPE];
    case GB_WHERE_ROOM:
        return whole || kind->where[GB_PLACE_ROOM];
    case GB_WHERE_FINDING:
        break;
    }
    return FALSE;
}

static gboolean add_fact(const GbIni *ini, const GbRequirement *r, const char *word, const GbFactlist *factlist, GPtrArray *list, GError **error)
{
    g_autoptr(GError) why = NULL;
    const GbFactKind *kind = gb_factlist_find(factlist, word, &why);
    if (kind == NULL)
        return gb_ini_fail(ini, r->id, "facts", error, "%s", why->message);
    if (!can_be_known(kind, r->where)) {
        g_autofree char *where = gb_fact_where_text(kind);
        return gb_ini_fail(ini, r->id, "facts", error, "'%s' is said of %s, not of '%s'", kind->name, where, where_words[r->where]);
    }
    return add_once(ini, r->id, "facts", list, kind->id, error);
}

static gboolean read_facts(const GbIni *ini, GbRequirement *r, const GbFactlist *factlist, GError **error)
{
    g_auto(GStrv) given = gb_ini_list(ini, r->id, "facts");
    g_autoptr(GPtrArray) list = g_ptr_array_new_with_free_func(g_free);
    for (const char *const *key = photo_keys; given[0] != NULL && *key != NULL; key++)
        if (gb_ini_get(ini, r->id, *key) != NULL)
            return gb_ini_fail(ini, r->id, *key, error, "'%s' is about photos, and [%s] wants facts", *key, r->id);
    for (char **word = given; *word != NULL; word++)
        if (!add_fact(ini, r, *word, factlist, list, error))
            return FALSE;
    r->facts = steal_words(list);
    return TRUE;
}

static gboolean read_distances(const GbIni *ini, GbRequirement *r, GError **error)
{
    g_auto(GStrv) given = gb_ini_list(ini, r->id, "distances");
    for (char **word = given; *word != NULL; word++) {
        g_autoptr(GError) why = NULL;
        GbDistance distance;
        if (!gb_distance_parse(*word, &distance, &why))
            return gb_ini_fail(ini, r->id, "distances", error, "%s", why->message);
        if (r->wants[distance])
            return gb_ini_fail(ini, r->id, "distances", error, "'%s' is in 'distances' twice", gb_distance_word(distance));
        r->wants[distance] = TRUE;
    }
    return TRUE;
}

static gboolean read_count(const GbIni *ini, GbRequirement *r, GError **error)
{
    const char *text = gb_ini_get(ini, r->id, "count");
    guint64 count = 1;
    if (text != NULL && !g_ascii_string_to_unsigned(text, 10, 1, COUNT_MAX, &count, NULL)) {
        g_autofree char *shown = gb_quote(text);
        return gb_ini_fail(ini, r->id, "count", error, "%s is no count; it is a whole number from 1 to %d", shown, COUNT_MAX);
    }
    r->count = (guint)count;
    return TRUE;
}

static gboolean read_texts(const GbIni *ini, GbRequirement *r, GError **error)
{
    r->what = g_strdup(gb_ini_get(ini, r->id, "what"));
    if (r->what == NULL)
        return gb_ini_fail(ini, r->id, NULL, error, "[%s] does not say 'what' must be photographed", r->id);
    const char *why = gb_ini_get(ini, r->id, "why");
    r->why = g_strdup(why ? why : "");
    return TRUE;
}

static gboolean read_choices(const GbIni *ini, GbRequirement *r, GError **error)
{
    guint where = 0, level = 0, value = 0, written = 0, measured = 0;
    if (gb_ini_get(ini, r->id, "where") == NULL)
        return gb_ini_fail(ini, r->id, NULL, error, "[%s] does not say 'where': once, each structure, each elevation, "
                           "each slope, each room or each finding", r->id);
    if (!read_word(ini, r->id, "where", where_words, "word for where", 0, &where, error) ||
        !read_word(ini, r->id, "level", level_words, "level", TRUE, &level, error) ||
        !read_word(ini, r->id, "value", yes_words, "answer", FALSE, &value, error) ||
        !read_word(ini, r->id, "written", yes_words, "answer", FALSE, &written, error) ||
        !read_word(ini, r->id, "measured", yes_words, "answer", FALSE, &measured, error))
        return FALSE;
    r->where = (GbWhere)where;
    r->required = level != 0;
    r->needs_value = value != 0;
    r->needs_written = written != 0;
    r->needs_measured = measured != 0;
    return TRUE;
}

static gboolean names_distances(const GbRequirement *r)
{
    return r->wants[GB_DISTANCE_OVERVIEW] || r->wants[GB_DISTANCE_MID] || r->wants[GB_DISTANCE_CLOSE];
}

static gboolean some_subject_has_a_value(const GbRequirement *r, const GbCatalogue *catalogue)
{
    for (char **id = r->subjects; *id != NULL; id++)
        if (gb_catalogue_by_id(catalogue, *id)->value != GB_VALUE_NONE)
            return TRUE;
    return FALSE;
}

/* What each key says alone may be right and together make no sense. */
static gboolean agrees(const GbIni *ini, const GbRequirement *r, const GbCatalogue *catalogue, GError **error)
{
    if (r->where == GB_WHERE_ONCE && r->structures[0] != NULL)
        return gb_ini_fail(ini, r->id, "structures", error, "'where = once' belongs to no structure; say 'where = each structure'");
    if (r->facts[0] != NULL)
        return TRUE;
    if (r->needs_measured && (r->where != GB_WHERE_SLOPE || r->subjects[0] != NULL || names_distances(r) || r->count > 1 || r->needs_value))
        return gb_ini_fail(ini, r->id, "measured", error, "'measured = yes' goes with 'where = each slope' alone, and asks for no photos");
    if (r->where == GB_WHERE_FINDING) {
        if (r->subjects[0] != NULL)
            return gb_ini_fail(ini, r->id, "subjects", error, "'where = each finding' has the finding's own subject; leave 'subjects' out");
        if (r->needs_value)
            return gb_ini_fail(ini, r->id, "value", error, "'where = each finding' can't want a value: not every kind of damage has one");
        gboolean asks_photos = names_distances(r) || r->count > 1;
        if (!asks_photos && !r->needs_written)
            return gb_ini_fail(ini, r->id, "where", error, "a finding always has a photo; say which 'distances' or what 'count' it needs");
        if (asks_photos && r->needs_written)
            return gb_ini_fail(ini, r->id, "written", error, "'written = yes' asks for words; ask for photos in a section of its own");
    } else if (r->needs_written) {
        return gb_ini_fail(ini, r->id, "written", error, "'written = yes' goes with 'where = each finding' alone");
    }
    if (r->needs_value && !some_subject_has_a_value(r, catalogue))
        return gb_ini_fail(ini, r->id, "value", error, r->subjects[0] ? "none of its subjects has a value" :
                           "'value = yes' needs 'subjects' that have one");
    return TRUE;
}

/* Keys refer to sections and people type them, so a section is a plain word. */
static gboolean is_plain_id(const char *id)
{
    return *id != '\0' && strspn(id, "abcdefghijklmnopqrstuvwxyz0123456789-") == strlen(id);
}

/* A key with nothing behind it would silently mean "any" or "always". */
static gboolean all_filled(const GbIni *ini, const char *section, GError **error)
{
    guint head_line = gb_ini_line(ini, section, NULL);
    for (const char *const *key = known_keys; *key != NULL; key++) {
        const char *text = gb_ini_get(ini, section, *key);
        gboolean given = gb_ini_line(ini, section, *key) != head_line;
        if (given && (text == NULL || strspn(text, ",; ") == strlen(text)))
            return gb_ini_fail(ini, section, *key, error, "'%s' says nothing; fill it in or take the line out", *key);
    }
    return TRUE;
}

/* No key of the other kind of section. */
static gboolean has_only(const GbIni *ini, const char *section, const char *const *others, const char *what, GError **error)
{
    for (const char *const *key = others; *key != NULL; key++)
        if (gb_ini_get(ini, section, *key) != NULL)
            return gb_ini_fail(ini, section, *key, error, "'%s' belongs to %s, not to [%s]", *key, what, section);
    return TRUE;
}

static gboolean add_requirement(GbChecklist *list, const GbIni *ini, const char *section, const GbCatalogue *catalogue,
                                const GbFactlist *factlist, GError **error)
{
    if (!is_plain_id(section)) {
        g_autofree char *shown = gb_quote(section);
        return gb_ini_fail(ini, section, NULL, error, "%s is no name for a requirement; use a-z, 0-9 and '-'", shown);
    }
    if (!all_filled(ini, section, error) || !has_only(ini, section, head_keys, "[" HEAD "]", error))
        return FALSE;
    GbRequirement *r = g_new0(GbRequirement, 1);
    r->id = g_strdup(section);
    g_ptr_array_add(list->requirements, r); /* from here freed with the list */
    return read_texts(ini, r, error) && read_choices(ini, r, error) && read_structures(ini, r, error) &&
           read_subjects(ini, r, catalogue, error) && read_facts(ini, r, factlist, error) && read_distances(ini, r, error) && read_count(ini, r, error) &&
           read_causes(ini, section, "when", &r->causes, error) && agrees(ini, r, catalogue, error);
}

/* --- the file ----------------------------------------------------------------------------------------------------- */

static gboolean read_head(GbChecklist *list, const GbIni *ini, const char *name, GError **error)
{
    if (gb_ini_line(ini, HEAD, NULL) == 0) {
        g_set_error(error, GB_ERROR, GB_ERROR_SYNTAX, "%s:1: the head is missing: [" HEAD "] with its name", name);
        return FALSE;
    }
    g_auto(GStrv) causes = NULL;
    if (!all_filled(ini, HEAD, error) || !has_only(ini, HEAD, requirement_keys, "a requirement", error) ||
        !read_causes(ini, HEAD, "causes", &causes, error))
        return FALSE;
    list->title = g_strdup(gb_ini_get(ini, HEAD, "name"));
    return list->title != NULL || gb_ini_fail(ini, HEAD, NULL, error, "[" HEAD "] has no 'name'");
}

static GbChecklist *understand(const GbIni *ini, const char *name, const GbCatalogue *catalogue, const GbFactlist *factlist, GError **error)
{
    g_autoptr(GbChecklist) list = g_new0(GbChecklist, 1);
    list->requirements = g_ptr_array_new_with_free_func(requirement_free);
    if (!read_head(list, ini, name, error))
        return NULL;
    for (const char *const *section = gb_ini_sections(ini); *section != NULL; section++)
        if (!g_str_equal(*section, HEAD) && !add_requirement(list, ini, *section, catalogue, factlist, error))
            return NULL;
    if (list->requirements->len == 0) {
        gb_ini_fail(ini, HEAD, NULL, error, "the checklist has no requirement; a check against it would always be complete");
        return NULL;
    }
    return g_steal_pointer(&list);
}

GbChecklist *gb_checklist_load(const char *path, const GbCatalogue *catalogue, const GbFactlist *factlist, GError **error)
{
    g_autoptr(GbIni) ini = gb_ini_load(path, known_keys, error);
    g_autofree char *name = g_filename_display_name(path);
    return ini ? understand(ini, name, catalogue, factlist, error) : NULL;
}

GbChecklist *gb_checklist_builtin(const char *name, const GbCatalogue *catalogue, const GbFactlist *factlist, GError **error)
{
    g_auto(GStrv) names = gb_checklist_names();
    gssize i = gb_word_find(name, (const char *const *)names, g_strv_length(names), "checklist", error);
    if (i < 0)
        return NULL;
    g_autofree char *file = g_strconcat(names[i], ".ini", NULL);
    g_autofree char *path = g_build_filename(CHECKLIST_FOLDER, file, NULL);
    g_autofree char *text = gb_builtin_text(path, error);
    g_autoptr(GbIni) ini = text ? gb_ini_parse(file, text, known_keys, error) : NULL;
    return ini ? understand(ini, file, catalogue, factlist, error) : NULL;
}

char **gb_checklist_names(void)
{
    char **names = gb_builtin_names(CHECKLIST_FOLDER);
    for (char **name = names; *name != NULL; name++) {
        char *suffix = g_strrstr(*name, ".ini");
        if (suffix != NULL)
            *suffix = '\0';
    }
    return names;
}

/* Of several causes the first of this list decides; what is unknown is looked at from outside first. */
const char *gb_checklist_for_cause(const char *cause)
{
    static const struct { const char *cause, *checklist; } choice[] = {
        {"hail", "exterior-wind-hail"},
        {"wind", "exterior-wind-hail"},
        {"fire", "fire-basic"},
        {"water", "interior-water"},
    };
    for (gsize i = 0; cause != NULL && i < G_N_ELEMENTS(choice); i++)
        if (strstr(cause, choice[i].cause) != NULL)
            return choice[i].checklist;
    return "exterior-wind-hail";
}

const char *gb_checklist_title(const GbChecklist *checklist)
{
    return checklist->title;
}

guint gb_checklist_size(const GbChecklist *checklist)
{
    return checklist->requirements->len;
}

const GbRequirement *gb_checklist_peek(const GbChecklist *checklist, guint i)
{
    return checklist->requirements->pdata[i];
}

void gb_checklist_free(GbChecklist *checklist)
{
    if (checklist == NULL)
        return;
    g_free(checklist->title);
    g_ptr_array_unref(checklist->requirements);
    g_free(checklist);
}
