/* factlist.c -- the kinds of fact, read from facts.ini. See factlist.h; what a value means is in factlist_value.c.
 *
 * Built like the catalogue of subjects: a file is applied to a copy, the copy is checked as a whole, and only then takes the
 * place of the list. So a faulty file changes nothing, and what was stored by one spelling is not read by another.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <gablebook/factlist.h>

#include "trade/trade-private.h"
#include <gablebook/builtin.h>
#include <gablebook/error.h>
#include <gablebook/ini.h>
#include <gablebook/quote.h>
#include <gablebook/word.h>

enum { KINDS_MAX = 500, CHOICES_MAX = 24, NAME_MAX_BYTES = 60, TEXT_MAX_BYTES = 300 };

struct GbFactlist {
    GPtrArray *kinds; /* of GbFactKind, owned */
};

static const char *const file_keys[] = {
    "name",     "plain",    "value",    "where",    "how",      "subjects", "choice1",  "choice2",  "choice3",  "choice4",  "choice5",
    "choice6",  "choice7",  "choice8",  "choice9",  "choice10", "choice11", "choice12", "choice13", "choice14", "choice15", "choice16",
    "choice17", "choice18", "choice19", "choice20", "choice21", "choice22", "choice23", "choice24", NULL,
};
static const char *const type_words[] = { "choice", "pitch", "length", "count", "layers", "years", "number", "text", NULL };
static const char *const how_words[] = { "seen", "measured", "counted", "estimated", "told", NULL };
static const char *const where_words[] = { "site", "structure", "elevation", "roof", "slope", "room", NULL }; /* in the order of GbPlaceKind */

const char *gb_fact_type_word(GbFactType type)
{
    return type_words[type];
}

const char *gb_how_word(GbHow how)
{
    return how_words[how];
}

gboolean gb_how_parse(const char *text, GbHow *how, GError **error)
{
    gssize i = gb_word_find(text, how_words, GB_HOWS, "way of knowing", error);
    if (i >= 0)
        *how = (GbHow)i;
    return i >= 0;
}

char *gb_fact_where_text(const GbFactKind *kind)
{
    GString *text = g_string_new(NULL);
    guint all = 0, said = 0;
    for (int p = 0; p < GB_PLACE_KINDS; p++)
        all += kind->where[p];
    for (int p = 0; p < GB_PLACE_KINDS; p++) {
        if (!kind->where[p])
            continue;
        const char *joint = said == 0 ? "" : said + 1 == all ? " or " : ", ";
        const char *article = p == GB_PLACE_SITE ? "the" : p == GB_PLACE_ELEVATION ? "an" : "a";
        g_string_append_printf(text, "%s%s %s", joint, article, where_words[p]);
        said++;
    }
    return g_string_free(text, FALSE);
}

/* --- one kind --- */

static void choice_free(gpointer data)
{
    GbChoice *choice = data;
    if (choice == NULL) /* a number that is not given, while a file is read */
        return;
    g_free(choice->word);
    g_free(choice->meaning);
    g_free(choice);
}

static gpointer choice_copy(gconstpointer data, gpointer unused)
{
    (void)unused;
    const GbChoice *from = data;
    if (from == NULL)
        return NULL;
    GbChoice *choice = g_new0(GbChoice, 1);
    choice->word = g_strdup(from->word);
    choice->meaning = g_strdup(from->meaning);
    return choice;
}

static void kind_free(gpointer data)
{
    GbFactKind *kind = data;
    g_free(kind->id);
    g_free(kind->name);
    g_free(kind->plain);
    g_ptr_array_unref(kind->choices);
    g_strfreev(kind->subjects);
    g_free(kind);
}

static gpointer kind_copy(gconstpointer data, gpointer unused)
{
    (void)unused;
    const GbFactKind *from = data;
    GbFactKind *kind = g_memdup2(from, sizeof *from);
    kind->id = g_strdup(from->id);
    kind->name = g_strdup(from->name);
    kind->plain = g_strdup(from->plain);
    kind->choices = g_ptr_array_copy(from->choices, choice_copy, NULL);
    kind->subjects = g_strdupv(from->subjects);
    return kind;
}

/* --- one section --- */

/* Index of the word, or -1 with file and line. */
static gssize take_word(const GbIni *ini, const char *section, const char *key, const char *text, const char *const *words,
                        const char *what, GError **error)
{
    g_autoptr(GError) cause = NULL;
    gssize i = gb_word_find(text, words, g_strv_length((char **)words), what, &cause);
    if (i < 0)
        gb_ini_fail(ini, section, key, error, "%s", cause->message);
    return i;
}

static gboolean take_type(const GbIni *ini, GbFactKind *kind, GError **error)
{
    const char *given = gb_ini_get(ini, kind->id, "value");
    if (given == NULL)
        return TRUE;
    gssize i = take_word(ini, kind->id, "value", given, type_words, "kind of value", error);
    if (i < 0)
        return FALSE;
    kind->type = (GbFactType)i;
    return TRUE;
}

static gboolean take_how(const GbIni *ini, GbFactKind *kind, GError **error)
{
    const char *given = gb_ini_get(ini, kind->id, "how");
    if (given == NULL)
        return TRUE;
    gssize i = take_word(ini, kind->id, "how", given, how_words, "way of knowing", error);
    if (i < 0)
        return FALSE;
    kind->how = (GbHow)i;
    return TRUE;
}

static gboolean take_where(const GbIni *ini, GbFactKind *kind, GError **error)
{
    if (gb_ini_get(ini, kind->id, "where") == NULL)
        return TRUE;
    g_auto(GStrv) given = gb_ini_list(ini, kind->id, "where");
    memset(kind->where, 0, sizeof kind->where);
    for (char **word = given; *word != NULL; word++) {
        gssize i = take_word(ini, kind->id, "where", *word, where_words, "word for where", error);
        if (i < 0)
            return FALSE;
        kind->where[i] = TRUE;
    }
    return TRUE;
}

static gboolean take_subjects(const GbIni *ini, GbFactKind *kind, const GbCatalogue *catalogue, GError **error)
{
    if (gb_ini_get(ini, kind->id, "subjects") == NULL)
        return TRUE;
    g_auto(GStrv) given = gb_ini_list(ini, kind->id, "subjects");
    g_autoptr(GStrvBuilder) ids = g_strv_builder_new();
    for (char **word = given; *word != NULL; word++) {
        g_autoptr(GError) cause = NULL;
        const GbSubject *subject = gb_catalogue_find(catalogue, *word, &cause);
        if (subject == NULL)
            return gb_ini_fail(ini, kind->id, "subjects", error, "%s", cause->message);
        g_strv_builder_add(ids, subject->id);
    }
    g_strfreev(kind->subjects);
    kind->subjects = g_strv_builder_end(ids);
    return TRUE;
}

/* "fair: worn all over" to its two halves. While a file is read, choices stand at the index of their number, so that a claim's own
 * file can change one; gaps are closed afterwards. */
static gboolean take_choice(const GbIni *ini, GbFactKind *kind, guint i, GError **error)
{
    g_autofree char *key = g_strdup_printf("choice%u", i + 1);
    guint head = gb_ini_line(ini, kind->id, NULL);
    if (gb_ini_line(ini, kind->id, key) == head)
        return TRUE; /* not given */
    if (kind->choices->len <= i)
        g_ptr_array_set_size(kind->choices, (gint)i + 1);
    g_clear_pointer(&kind->choices->pdata[i], choice_free);
    const char *given = gb_ini_get(ini, kind->id, key);
    if (given == NULL)
        return TRUE; /* taken out */
    if (strlen(given) > TEXT_MAX_BYTES)
        return gb_ini_fail(ini, kind->id, key, error, "the choice is longer than %d bytes", TEXT_MAX_BYTES);
    const char *colon = strstr(given, ": ");
    GbChoice *choice = g_new0(GbChoice, 1);
    choice->word = g_strstrip(colon != NULL ? g_strndup(given, (gsize)(colon - given)) : g_strdup(given));
    choice->meaning = g_strstrip(g_strdup(colon != NULL ? colon + 2 : ""));
    kind->choices->pdata[i] = choice;
    if (strlen(choice->word) > NAME_MAX_BYTES)
        return gb_ini_fail(ini, kind->id, key, error, "the word of the choice is longer than %d bytes", NAME_MAX_BYTES);
    return TRUE;
}

static gboolean take_choices(const GbIni *ini, GbFactKind *kind, GError **error)
{
    for (guint i = 0; i < CHOICES_MAX; i++)
        if (!take_choice(ini, kind, i, error))
            return FALSE;
    return TRUE;
}

/* Which key of a choice: for the message. OWNED by the caller. */
static char *choice_key(guint i)
{
    return g_strdup_printf("choice%u", i + 1);
}

/* Every choice can be typed and told from the others. */
static gboolean choices_differ(const GbIni *ini, const GbFactKind *kind, GError **error)
{
    g_autoptr(GHashTable) words = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL);
    for (guint i = 0; i < kind->choices->len; i++) {
        const GbChoice *choice = kind->choices->pdata[i];
        if (choice == NULL)
            continue;
        char *squeezed = gb_word_squeeze(choice->word);
        g_autofree char *key = choice_key(i);
        gboolean empty = *squeezed == '\0';
        if (!g_hash_table_add(words, squeezed) || empty) {
            g_autofree char *shown = gb_quote(choice->word);
            return gb_ini_fail(ini, kind->id, key, error, empty ? "the choice %s has no letters" : "the choice %s is there twice", shown);
        }
    }
    return TRUE;
}

static guint count_choices(const GbFactKind *kind)
{
    guint n = 0;
    for (guint i = 0; i < kind->choices->len; i++)
        n += kind->choices->pdata[i] != NULL;
    return n;
}

/* What each key says alone may be right and together make no sense. */
static gboolean agrees(const GbIni *ini, const GbFactKind *kind, GError **error)
{
    guint choices = count_choices(kind);
    gboolean anywhere = FALSE;
    for (int p = 0; p < GB_PLACE_KINDS; p++)
        anywhere = anywhere || kind->where[p];
    if (!anywhere)
        return gb_ini_fail(ini, kind->id, NULL, error, "[%s] does not say 'where': site, structure, elevation, roof, slope or room", kind->id);
    if (kind->type == GB_FACT_CHOICE && choices < 2)
        return gb_ini_fail(ini, kind->id, "value", error, "'value = choice' needs two choices at least: choice1, choice2 ...");
    if (kind->type != GB_FACT_CHOICE && choices > 0)
        return gb_ini_fail(ini, kind->id, "value", error, "[%s] has choices, but its 'value' is %s", kind->id, type_words[kind->type]);
    return choices_differ(ini, kind, error);
}

static GbFactKind *find_id(const GPtrArray *kinds, const char *id)
{
    for (guint i = 0; i < kinds->len; i++) {
        GbFactKind *kind = kinds->pdata[i];
        if (g_str_equal(kind->id, id))
            return kind;
    }
    return NULL;
}

static GbFactKind *add_kind(GPtrArray *kinds, const GbIni *ini, const char *id, GError **error)
{
    if (!gb_section_check_id(ini, id, "fact", error))
        return NULL;
    const char *const wanted[] = { "name", "value" };
    for (gsize i = 0; i < G_N_ELEMENTS(wanted); i++)
        if (gb_ini_get(ini, id, wanted[i]) == NULL) {
            gb_ini_fail(ini, id, NULL, error, "the new fact [%s] has no '%s'", id, wanted[i]);
            return NULL;
        }
    if (kinds->len >= KINDS_MAX) {
        gb_ini_fail(ini, id, NULL, error, "with [%s] there would be more than %d kinds of fact", id, KINDS_MAX);
        return NULL;
    }
    GbFactKind *kind = g_new0(GbFactKind, 1);
    kind->id = g_strdup(id);
    kind->name = g_strdup("");
    kind->plain = g_strdup("");
    kind->choices = g_ptr_array_new_with_free_func(choice_free);
    kind->subjects = g_new0(char *, 1);
    g_ptr_array_add(kinds, kind);
    return kind;
}

static gboolean apply_section(GPtrArray *kinds, const GbIni *ini, const char *id, const GbCatalogue *catalogue, GError **error)
{
    GbFactKind *kind = find_id(kinds, id);
    if (kind == NULL)
        kind = add_kind(kinds, ini, id, error);
    return kind != NULL && gb_section_take_text(ini, id, "name", NAME_MAX_BYTES, &kind->name, error) &&
           gb_section_take_text(ini, id, "plain", TEXT_MAX_BYTES, &kind->plain, error) && take_type(ini, kind, error) &&
           take_where(ini, kind, error) && take_how(ini, kind, error) && take_subjects(ini, kind, catalogue, error) &&
           take_choices(ini, kind, error) && agrees(ini, kind, error);
}

/* --- a file --- */

static gboolean check_words(const GPtrArray *kinds, const GbIni *ini, GError **error)
{
    g_autofree GbNamed *named = g_new(GbNamed, kinds->len);
    for (guint i = 0; i < kinds->len; i++) {
        const GbFactKind *kind = kinds->pdata[i];
        named[i] = (GbNamed){ kind->id, kind->name };
    }
    return gb_section_names_differ(ini, named, kinds->len, error);
}

static gboolean apply(GbFactlist *list, const GbIni *ini, const GbCatalogue *catalogue, GError **error)
{
    g_autoptr(GPtrArray) copy = g_ptr_array_copy(list->kinds, kind_copy, NULL);
    const char *const *sections = gb_ini_sections(ini);
    for (guint i = 0; sections[i] != NULL; i++)
        if (!apply_section(copy, ini, sections[i], catalogue, error))
            return FALSE;
    if (!check_words(copy, ini, error))
        return FALSE;
    for (guint i = 0; i < copy->len; i++)
        while (g_ptr_array_remove(((GbFactKind *)copy->pdata[i])->choices, NULL))
            continue;
    g_ptr_array_unref(list->kinds);
    list->kinds = g_steal_pointer(&copy);
    return TRUE;
}

/* --- the door --- */

GbFactlist *gb_factlist_builtin(const GbCatalogue *catalogue, GError **error)
{
    g_autofree char *text = gb_builtin_text("templates/facts.ini", error);
    g_autoptr(GbIni) ini = text == NULL ? NULL : gb_ini_parse("templates/facts.ini", text, file_keys, error);
    if (ini == NULL)
        return NULL;
    g_autoptr(GbFactlist) list = g_new0(GbFactlist, 1);
    list->kinds = g_ptr_array_new_with_free_func(kind_free);
    return apply(list, ini, catalogue, error) ? g_steal_pointer(&list) : NULL;
}

gboolean gb_factlist_extend(GbFactlist *list, const char *path, const GbCatalogue *catalogue, GError **error)
{
    g_autoptr(GbIni) ini = gb_ini_load(path, file_keys, error);
    return ini != NULL && apply(list, ini, catalogue, error);
}

guint gb_factlist_size(const GbFactlist *list)
{
    return list->kinds->len;
}

const GbFactKind *gb_factlist_peek(const GbFactlist *list, guint i)
{
    return i < list->kinds->len ? list->kinds->pdata[i] : NULL;
}

const GbFactKind *gb_factlist_by_id(const GbFactlist *list, const char *id)
{
    return find_id(list->kinds, id);
}

/* Look among names or among ids. */
static gssize find_word(const GPtrArray *kinds, gboolean names, const char *text, GError **error)
{
    g_autofree const char **labels = g_new(const char *, kinds->len + 1);
    for (guint i = 0; i < kinds->len; i++) {
        const GbFactKind *kind = kinds->pdata[i];
        labels[i] = names ? kind->name : kind->id;
    }
    return gb_word_find(text, labels, kinds->len, "fact", error);
}

const GbFactKind *gb_factlist_find(const GbFactlist *list, const char *text, GError **error)
{
    const GbFactKind *exact = find_id(list->kinds, text);
    if (exact != NULL)
        return exact;
    g_autoptr(GError) cause = NULL;
    gssize i = find_word(list->kinds, TRUE, text, &cause);
    if (i < 0 && g_error_matches(cause, GB_ERROR, GB_ERROR_UNKNOWN))
        i = find_word(list->kinds, FALSE, text, NULL);
    if (i < 0) {
        g_propagate_error(error, g_steal_pointer(&cause));
        return NULL;
    }
    return list->kinds->pdata[i];
}

void gb_factlist_free(GbFactlist *list)
{
    if (list == NULL)
        return;
    g_ptr_array_unref(list->kinds);
    g_free(list);
}
