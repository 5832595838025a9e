/* catalogue.c -- the subjects and their captions. See catalogue.h.
 *
 * A catalogue is a list of plain records, read from one or more files. A file is applied to a copy, and the copy is
 * checked as a whole before it takes the place of the list: so a faulty file changes nothing, and no
 * two subjects can end up with names that can't be told apart when typed.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <gablebook/catalogue.h>

#include "trade/trade-private.h"
#include <gablebook/builtin.h>
#include <gablebook/error.h>
#include <gablebook/ini.h>
#include <gablebook/quote.h>
#include <gablebook/word.h>

enum { SUBJECTS_MAX = 500, NAME_MAX_BYTES = 60, TEXT_MAX_BYTES = 300 };

#define DEFAULT_CAPTION "[{place}: ]{subject}[ {value}][, {distance}]"

struct GbCatalogue {
    GPtrArray *subjects; /* of GbSubject, owned */
};

static const char *const file_keys[] = { "name", "plain", "caption", "distance", "value", "shows", NULL };
static const char *const shows_words[] = { "neither", "damage", "no damage" };

/* --- captions --- */

typedef enum { FIELD_PLACE, FIELD_SUBJECT, FIELD_DISTANCE, FIELD_VALUE, FIELDS } Field;
static const char *const field_names[FIELDS] = { "place", "subject", "distance", "value" };

/* One walk through a pattern. */
typedef struct {
    const char *const *known; /* what stands for each field, NULL where it is unknown */
    GString *out;
    gboolean in_part; /* between [ and ] */
    gsize part_start; /* length of out at the [ */
    gboolean part_known;
} Walk;

static gboolean G_GNUC_PRINTF(2, 3) fail(GError **error, const char *format, ...)
{
    va_list more;
    va_start(more, format);
    g_autofree char *message = g_strdup_vprintf(format, more);
    va_end(more);
    g_set_error_literal(error, GB_ERROR, GB_ERROR_SYNTAX, message);
    return FALSE;
}

/* FIELDS with error for a name that is none. */
static Field find_field(const char *name, GError **error)
{
    for (guint i = 0; i < FIELDS; i++)
        if (g_str_equal(name, field_names[i]))
            return (Field)i;
    g_autofree char *shown = gb_quote(name);
    fail(error, "the caption has a field %s; there are {place}, {subject}, {distance}, {value}", shown);
    return FIELDS;
}

/* "value hit|hits": the value and the word that fits it. words is what follows the field's name, or NULL. */
static gboolean put_field(Walk *walk, Field field, const char *words, GError **error)
{
    g_auto(GStrv) forms = words != NULL ? g_strsplit(words, "|", -1) : NULL;
    if (words != NULL && (field != FIELD_VALUE || g_strv_length(forms) != 2))
        return fail(error, "in the caption, only {value one|many} can have words beside the field");
    if (!walk->in_part && field != FIELD_SUBJECT)
        return fail(error, "the caption's {%s} may be unknown: put it, with the words that belong to it, in [ ]", field_names[field]);
    const char *text = walk->known[field];
    if (text == NULL) {
        walk->part_known = FALSE;
        return TRUE;
    }
    g_string_append(walk->out, text);
    if (forms != NULL)
        g_string_append_printf(walk->out, " %s", forms[g_str_equal(text, "1") ? 0 : 1]);
    return TRUE;
}

/* Read a field from its { on; *end is set behind its }. */
static gboolean read_field(Walk *walk, const char *text, const char **end, GError **error)
{
    gsize n = strcspn(text + 1, "{}[]");
    if (text[1 + n] != '}')
        return fail(error, "in the caption, a { has no }");
    g_autofree char *name = g_strndup(text + 1, n);
    *end = text + n + 2;
    char *words = strchr(name, ' ');
    if (words != NULL)
        *words++ = '\0';
    Field field = find_field(name, error);
    return field != FIELDS && put_field(walk, field, words, error);
}

static gboolean begin_part(Walk *walk, GError **error)
{
    if (walk->in_part)
        return fail(error, "in the caption, a [ stands inside another [ ]");
    walk->in_part = walk->part_known = TRUE;
    walk->part_start = walk->out->len;
    return TRUE;
}

static gboolean end_part(Walk *walk, GError **error)
{
    if (!walk->in_part)
        return fail(error, "in the caption, a ] has no [");
    walk->in_part = FALSE;
    if (!walk->part_known)
        g_string_truncate(walk->out, walk->part_start);
    return TRUE;
}

/* Fill in a pattern. Every fault of a pattern is found whatever is known, so this also serves to check one. */
static char *fill_in(const char *pattern, const char *const *known, GError **error)
{
    g_autoptr(GString) out = g_string_new(NULL);
    Walk walk = { .known = known, .out = out };
    for (const char *p = pattern; *p != '\0';) {
        gboolean fine = TRUE;
        if (*p == '{')
            fine = read_field(&walk, p, &p, error);
        else if (*p == '[')
            fine = begin_part(&walk, error), p++;
        else if (*p == ']')
            fine = end_part(&walk, error), p++;
        else if (*p == '}')
            fine = fail(error, "in the caption, a } has no {");
        else
            g_string_append_c(out, *p++);
        if (!fine)
            return NULL;
    }
    if (walk.in_part) {
        fail(error, "in the caption, a [ has no ]");
        return NULL;
    }
    return g_strdup(out->str);
}

/* "Garage: front elevation" as it reads before a colon: "Garage, front elevation". */
static char *place_text(const char *title)
{
    GString *text = g_string_new(title);
    g_string_replace(text, ": ", ", ", 0);
    return g_string_free(text, FALSE);
}

/* A name in the middle of a line: "siding size", but "HVAC unit" keeps its capitals. */
static char *subject_text(const char *name)
{
    const char *second = *name != '\0' ? g_utf8_next_char(name) : name;
    if (g_unichar_isupper(g_utf8_get_char(second)))
        return g_strdup(name);
    g_autofree char *first = g_utf8_strdown(name, (gssize)(second - name));
    return g_strconcat(first, second, NULL);
}

/* The value as written; a length without a unit is in inches (measure.h), and a reader must be told. */
static char *value_text(const GbSubject *subject, const char *value)
{
    gboolean bare = subject != NULL && subject->value == GB_VALUE_LENGTH && gb_length_is_bare(value);
    return g_strconcat(value, bare ? " in" : "", NULL);
}

static char *compose_unknown(const char *place, const char *distance, const char *value)
{
    GString *out = g_string_new(place);
    const char *const more[] = { value, distance };
    for (guint i = 0; i < G_N_ELEMENTS(more); i++)
        if (more[i] != NULL)
            g_string_append_printf(out, "%s%s", out->len > 0 ? ", " : "", more[i]);
    return g_string_free(out, FALSE);
}

char *gb_caption_compose(const GbSubject *subject, const char *place_title, GbDistance distance, const char *value)
{
    g_autofree char *place = place_title != NULL ? place_text(place_title) : NULL;
    g_autofree char *shown_value = value != NULL ? value_text(subject, value) : NULL;
    const char *shown_distance = distance != GB_DISTANCE_UNKNOWN ? gb_distance_word(distance) : NULL;
    g_autofree char *line = NULL;
    if (subject != NULL) {
        g_autofree char *name = subject_text(subject->name);
        const char *const known[FIELDS] = { place, name, shown_distance, shown_value };
        line = fill_in(subject->caption, known, NULL);
        if (line == NULL) /* never in a catalogue: its patterns are checked when read */
            line = g_strdup(subject->name);
    } else {
        line = compose_unknown(place, shown_distance, shown_value);
    }
    return gb_capitalise(line);
}

/* --- one section --- */

static void subject_free(gpointer data)
{
    GbSubject *subject = data;
    g_free(subject->id);
    g_free(subject->name);
    g_free(subject->plain);
    g_free(subject->caption);
    g_free(subject);
}

static gpointer subject_copy(gconstpointer data, gpointer unused)
{
    (void)unused;
    const GbSubject *from = data;
    GbSubject *subject = g_memdup2(from, sizeof *from);
    subject->id = g_strdup(from->id);
    subject->name = g_strdup(from->name);
    subject->plain = g_strdup(from->plain);
    subject->caption = g_strdup(from->caption);
    return subject;
}

static gboolean take_caption(const GbIni *ini, GbSubject *subject, GError **error)
{
    if (!gb_section_take_text(ini, subject->id, "caption", TEXT_MAX_BYTES, &subject->caption, error))
        return FALSE;
    const char *const unknown[FIELDS] = { NULL };
    g_autoptr(GError) cause = NULL;
    g_autofree char *tried = fill_in(subject->caption, unknown, &cause);
    return tried != NULL || gb_ini_fail(ini, subject->id, "caption", error, "%s", cause->message);
}

static gboolean take_shows(const GbIni *ini, GbSubject *subject, GError **error)
{
    const char *given = gb_ini_get(ini, subject->id, "shows");
    if (given == NULL)
        return TRUE;
    for (guint i = 0; i < G_N_ELEMENTS(shows_words); i++)
        if (g_str_equal(given, shows_words[i])) {
            subject->shows = (GbShows)i;
            return TRUE;
        }
    g_autofree char *shown = gb_quote(given);
    return gb_ini_fail(ini, subject->id, "shows", error, "%s is not 'damage', 'no damage' or 'neither'", shown);
}

static gboolean take_kinds(const GbIni *ini, GbSubject *subject, GError **error)
{
    g_autoptr(GError) cause = NULL;
    const char *distance = gb_ini_get(ini, subject->id, "distance"), *value = gb_ini_get(ini, subject->id, "value");
    if (distance != NULL && !gb_distance_parse(distance, &subject->distance, &cause))
        return gb_ini_fail(ini, subject->id, "distance", error, "%s", cause->message);
    if (value != NULL && !gb_value_kind_parse(value, &subject->value, &cause))
        return gb_ini_fail(ini, subject->id, "value", error, "%s", cause->message);
    return TRUE;
}

static GbSubject *find_id(const GPtrArray *subjects, const char *id)
{
    for (guint i = 0; i < subjects->len; i++) {
        GbSubject *subject = subjects->pdata[i];
        if (g_str_equal(subject->id, id))
            return subject;
    }
    return NULL;
}

static GbSubject *add_subject(GPtrArray *subjects, const GbIni *ini, const char *id, GError **error)
{
    g_autofree char *shown = gb_quote(id);
    if (!gb_section_check_id(ini, id, "subject", error))
        return NULL;
    if (gb_ini_get(ini, id, "name") == NULL) {
        gb_ini_fail(ini, id, NULL, error, "the new subject %s has no name", shown);
        return NULL;
    }
    if (subjects->len >= SUBJECTS_MAX) {
        gb_ini_fail(ini, id, NULL, error, "with %s there would be more than %d subjects", shown, SUBJECTS_MAX);
        return NULL;
    }
    GbSubject *subject = g_new0(GbSubject, 1);
    subject->id = g_strdup(id);
    subject->name = g_strdup("");
    subject->plain = g_strdup("");
    subject->caption = g_strdup(DEFAULT_CAPTION);
    g_ptr_array_add(subjects, subject);
    return subject;
}

static gboolean apply_section(GPtrArray *subjects, const GbIni *ini, const char *id, GError **error)
{
    GbSubject *subject = find_id(subjects, id);
    if (subject == NULL)
        subject = add_subject(subjects, ini, id, error);
    return subject != NULL && gb_section_take_text(ini, id, "name", NAME_MAX_BYTES, &subject->name, error) &&
           gb_section_take_text(ini, id, "plain", TEXT_MAX_BYTES, &subject->plain, error) && take_caption(ini, subject, error) &&
           take_kinds(ini, subject, error) && take_shows(ini, subject, error);
}

/* --- a file --- */

static gboolean check_words(const GPtrArray *subjects, const GbIni *ini, GError **error)
{
    g_autofree GbNamed *named = g_new(GbNamed, subjects->len);
    for (guint i = 0; i < subjects->len; i++) {
        const GbSubject *subject = subjects->pdata[i];
        named[i] = (GbNamed){ subject->id, subject->name };
    }
    return gb_section_names_differ(ini, named, subjects->len, error);
}

static gboolean apply(GbCatalogue *catalogue, const GbIni *ini, GError **error)
{
    g_autoptr(GPtrArray) copy = g_ptr_array_copy(catalogue->subjects, subject_copy, NULL);
    const char *const *sections = gb_ini_sections(ini);
    for (guint i = 0; sections[i] != NULL; i++)
        if (!apply_section(copy, ini, sections[i], error))
            return FALSE;
    if (!check_words(copy, ini, error))
        return FALSE;
    g_ptr_array_unref(catalogue->subjects);
    catalogue->subjects = g_steal_pointer(&copy);
    return TRUE;
}

/* --- the door --- */

GbCatalogue *gb_catalogue_builtin(GError **error)
{
    g_autofree char *text = gb_builtin_text("templates/subjects.ini", error);
    if (text == NULL)
        return NULL;
    g_autoptr(GbIni) ini = gb_ini_parse("templates/subjects.ini", text, file_keys, error);
    if (ini == NULL)
        return NULL;
    g_autoptr(GbCatalogue) catalogue = g_new0(GbCatalogue, 1);
    catalogue->subjects = g_ptr_array_new_with_free_func(subject_free);
    return apply(catalogue, ini, error) ? g_steal_pointer(&catalogue) : NULL;
}

gboolean gb_catalogue_extend(GbCatalogue *catalogue, const char *path, GError **error)
{
    g_autoptr(GbIni) ini = gb_ini_load(path, file_keys, error);
    return ini != NULL && apply(catalogue, ini, error);
}

guint gb_catalogue_size(const GbCatalogue *catalogue)
{
    return catalogue->subjects->len;
}

const GbSubject *gb_catalogue_peek(const GbCatalogue *catalogue, guint i)
{
    return i < catalogue->subjects->len ? catalogue->subjects->pdata[i] : NULL;
}

const GbSubject *gb_catalogue_by_id(const GbCatalogue *catalogue, const char *id)
{
    return find_id(catalogue->subjects, id);
}

/* Look among names or among ids. */
static gssize find_word(const GPtrArray *subjects, gboolean names, const char *text, GError **error)
{
    g_autofree const char **labels = g_new(const char *, subjects->len + 1);
    for (guint i = 0; i < subjects->len; i++) {
        const GbSubject *subject = subjects->pdata[i];
        labels[i] = names ? subject->name : subject->id;
    }
    return gb_word_find(text, labels, subjects->len, "subject", error);
}

const GbSubject *gb_catalogue_find(const GbCatalogue *catalogue, const char *text, GError **error)
{
    const GbSubject *exact = find_id(catalogue->subjects, text);
    if (exact != NULL)
        return exact;
    g_autoptr(GError) cause = NULL;
    gssize i = find_word(catalogue->subjects, TRUE, text, &cause);
    if (i < 0 && g_error_matches(cause, GB_ERROR, GB_ERROR_UNKNOWN))
        i = find_word(catalogue->subjects, FALSE, text, NULL);
    if (i < 0) {
        g_propagate_error(error, g_steal_pointer(&cause));
        return NULL;
    }
    return catalogue->subjects->pdata[i];
}

void gb_catalogue_free(GbCatalogue *catalogue)
{
    if (catalogue == NULL)
        return;
    g_ptr_array_unref(catalogue->subjects);
    g_free(catalogue);
}
