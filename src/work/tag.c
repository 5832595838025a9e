/* tag.c -- the verb tag. See tag.h.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <gablebook/tag.h>

#include "work-private.h"

#include <gablebook/dossier.h>
#include <gablebook/error.h>
#include <gablebook/escape.h>
#include <gablebook/history.h>
#include <gablebook/numbers.h>
#include <gablebook/quote.h>
#include <log/rows.h>
#include <math.h>

#define CAPTION_MAX_BYTES 4000
#define VALUE_MAX_BYTES 200

/* A tag's words, understood against this claim. */
typedef struct {
    const GbTag *tag;
    const GbPlace *place;     /* NULL: keep or clear */
    const GbSubject *subject; /* likewise */
    GbDistance distance;
    char *caption, *value;    /* clean; NULL: keep or clear */
} Words;

static void clear_words(Words *words)
{
    g_free(words->caption);
    g_free(words->value);
}
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(Words, clear_words)

static gboolean says(const char *text)
{
    return text != NULL && *text != '\0';
}

static gboolean clean(const char *text, gsize max_bytes, const char *what, char **kept, GError **error)
{
    if (!says(text))
        return TRUE;
    if (strlen(text) > max_bytes) {
        g_set_error(error, GB_ERROR, GB_ERROR_TOO_LARGE, "a %s of %" G_GSIZE_FORMAT " bytes; at most %" G_GSIZE_FORMAT
                    " are kept; nothing was changed", what, strlen(text), max_bytes);
        return FALSE;
    }
    *kept = gb_clean_text(text, strlen(text));
    return TRUE;
}

static gboolean understand(Words *words, const GPtrArray *places, const GbCatalogue *catalogue, GError **error)
{
    const GbTag *tag = words->tag;
    if (says(tag->place) && (words->place = gb_places_find(places, tag->place, error)) == NULL)
        return FALSE;
    if (says(tag->subject) && (words->subject = gb_catalogue_find(catalogue, tag->subject, error)) == NULL)
        return FALSE;
    if (says(tag->distance) && !gb_distance_parse(tag->distance, &words->distance, error))
        return FALSE;
    return clean(tag->caption, CAPTION_MAX_BYTES, "caption", &words->caption, error) &&
           clean(tag->value, VALUE_MAX_BYTES, "value", &words->value, error);
}

/* --- one shot --- */

static void replace(char **text, const char *with)
{
    char *copy = g_strdup(with);
    g_free(*text);
    *text = copy;
}

/* "'Test square'"; OWNED by the caller. */
static char *name_subject(const GbShot *shot, const GbSubject *subject)
{
    return shot->subject == NULL ? g_strdup("a shot without a subject") : gb_quote(subject != NULL ? subject->name : shot->subject);
}

/* The value must be one that the subject can carry, also when only the subject changes: a hit count must not become a pitch. What
 * touches neither asks neither: the claim's own catalogue may have lost the subject meanwhile. */
static gboolean set_value(GbShot *shot, const Words *words, const GbCatalogue *catalogue, GError **error)
{
    if (words->tag->value == NULL && words->tag->subject == NULL)
        return TRUE;
    if (words->tag->value != NULL)
        replace(&shot->value, words->value);
    shot->value_number = NAN;
    if (shot->value == NULL)
        return TRUE;
    const GbSubject *subject = shot->subject == NULL ? NULL : gb_catalogue_by_id(catalogue, shot->subject);
    if (subject == NULL || subject->value == GB_VALUE_NONE) {
        g_autofree char *name = name_subject(shot, subject), *value = gb_quote(shot->value);
        g_set_error(error, GB_ERROR, GB_ERROR_STATE, "shot %" G_GINT64_FORMAT ": %s carries no value like %s%s; nothing was changed",
                    shot->number, name, value, words->tag->value == NULL ? " (take the value back with an empty one)" : "");
        return FALSE;
    }
    if (gb_value_parse(subject->value, shot->value, &shot->value_number, error))
        return TRUE;
    g_prefix_error(error, "shot %" G_GINT64_FORMAT ", %s: ", shot->number, subject->name);
    return FALSE;
}

static gboolean apply(GbShot *shot, const Words *words, const GbCatalogue *catalogue, GError **error)
{
    const GbTag *tag = words->tag;
    if (tag->place != NULL) {
        gint64 place = words->place == NULL ? 0 : words->place->id;
        if (place != shot->place)
            shot->hand_order = 0; /* the user's own order was that of the old place */
        shot->place = place;
    }
    if (tag->subject != NULL)
        replace(&shot->subject, words->subject == NULL ? NULL : words->subject->id);
    if (tag->distance != NULL)
        shot->distance = words->distance;
    if (tag->caption != NULL)
        replace(&shot->caption, words->caption);
    if (tag->in_report != GB_KEEP)
        shot->left_out = tag->in_report == GB_LEAVE_OUT;
    return set_value(shot, words, catalogue, error);
}

/* --- the user's own order within a place --- */

typedef struct {
    GPtrArray *shots; /* of the claim; where the order is kept, the named ones alone */
    const GbCatalogue *catalogue; /* NULL where it is not asked: see needs_catalogue */
} All;

static gint compare_in_place(gconstpointer a, gconstpointer b, gpointer catalogue)
{
    const GbShot *s = *(GbShot *const *)a, *t = *(GbShot *const *)b;
    return gb_shot_compare(s, gb_shot_distance(s, catalogue), t, gb_shot_distance(t, catalogue));
}

/* The shots of a place as the report orders them. BORROWED entries; the array is OWNED by the caller. */
static GPtrArray *shots_of_place(const All *all, gint64 place)
{
    GPtrArray *there = g_ptr_array_new();
    for (guint i = 0; i < all->shots->len; i++)
        if (((GbShot *)all->shots->pdata[i])->place == place)
            g_ptr_array_add(there, all->shots->pdata[i]);
    g_ptr_array_sort_with_data(there, compare_in_place, (gpointer)all->catalogue);
    return there;
}

/* Moving one shot fixes the whole place in the order that is then seen: what the user arranged does not shift later. */
static gboolean order_shots(const All *all, const GPtrArray *moved, const GbTag *tag, GError **error)
{
    GbShot *anchor = (GbShot *)gb_shots_by_number(all->shots, tag->anchor);
    if (anchor == NULL) {
        g_set_error(error, GB_ERROR, GB_ERROR_UNKNOWN, "there is no shot %" G_GINT64_FORMAT "; nothing was changed", tag->anchor);
        return FALSE;
    }
    g_autoptr(GPtrArray) there = shots_of_place(all, anchor->place);
    for (guint i = 0; i < moved->len; i++) {
        GbShot *shot = moved->pdata[i];
        if (shot == anchor || shot->place != anchor->place) {
            g_set_error(error, GB_ERROR, GB_ERROR_STATE, "shot %" G_GINT64_FORMAT " can't go beside shot %" G_GINT64_FORMAT
                        ": %s; nothing was changed", shot->number, anchor->number,
                        shot == anchor ? "they are the same" : "they belong to different places");
            return FALSE;
        }
        g_ptr_array_remove(there, shot);
    }
    guint at;
    g_ptr_array_find(there, anchor, &at);
    for (guint i = 0; i < moved->len; i++)
        g_ptr_array_insert(there, (gint)(at + i + (tag->order == GB_ORDER_AFTER)), moved->pdata[i]);
    for (guint i = 0; i < there->len; i++)
        ((GbShot *)there->pdata[i])->hand_order = i + 1;
    return TRUE;
}

static void order_by_time(const All *all, const GPtrArray *moved)
{
    for (guint m = 0; m < moved->len; m++) {
        gint64 place = ((GbShot *)moved->pdata[m])->place;
        for (guint i = 0; i < all->shots->len; i++)
            if (((GbShot *)all->shots->pdata[i])->place == place)
                ((GbShot *)all->shots->pdata[i])->hand_order = 0;
    }
}

/* --- which shots --- */

GPtrArray *gb_find_shots(const GPtrArray *shots, const char *text, GError **error)
{
    g_autoptr(GArray) ranges = gb_numbers_parse(text, error);
    g_autoptr(GHashTable) taken = g_hash_table_new(NULL, NULL);
    g_autoptr(GHashTable) by_number = g_hash_table_new(g_int64_hash, g_int64_equal);
    g_autoptr(GPtrArray) found = g_ptr_array_new();
    gint64 largest = 0;
    if (ranges == NULL)
        return NULL;
    for (guint i = 0; i < shots->len; i++) {
        GbShot *shot = shots->pdata[i];
        g_hash_table_insert(by_number, &shot->number, shot);
        largest = MAX(largest, shot->number);
    }
    for (guint r = 0; r < ranges->len; r++) {
        GbRange range = g_array_index(ranges, GbRange, r);
        guint before = found->len;
        gboolean any = FALSE;
        for (gint64 number = range.first; number <= MIN(range.last, largest); number++) {
            GbShot *shot = g_hash_table_lookup(by_number, &number);
            any = any || shot != NULL;
            if (shot != NULL && g_hash_table_add(taken, shot))
                g_ptr_array_add(found, shot);
        }
        if (found->len == before && !any) {
            g_set_error(error, GB_ERROR, GB_ERROR_UNKNOWN, "there is no shot %" G_GINT64_FORMAT "%s; nothing was changed", range.first,
                        range.last > range.first ? " or after it in that range" : "");
            return NULL;
        }
    }
    return g_steal_pointer(&found);
}

/* --- the words for the history --- */

static void add_part(GString *text, const char *what, const char *said, const char *understood)
{
    if (said == NULL)
        return;
    if (understood == NULL || *said == '\0')
        g_string_append_printf(text, "; no %s", what);
    else
        g_string_append_printf(text, "; %s %s", what, understood);
}

static gint compare_numbers(gconstpointer a, gconstpointer b)
{
    gint64 x = *(const gint64 *)a, y = *(const gint64 *)b;
    return (x > y) - (x < y);
}

static char *describe(const GPtrArray *shots, const Words *words)
{
    g_autofree gint64 *numbers = g_new(gint64, shots->len);
    for (guint i = 0; i < shots->len; i++)
        numbers[i] = ((GbShot *)shots->pdata[i])->number;
    qsort(numbers, shots->len, sizeof *numbers, compare_numbers);
    g_autofree char *which = gb_numbers_text(numbers, shots->len);
    const GbTag *tag = words->tag;
    g_autoptr(GString) done = g_string_new(NULL);
    add_part(done, "place", tag->place, words->place ? words->place->label : NULL);
    add_part(done, "subject", tag->subject, words->subject ? words->subject->name : NULL);
    add_part(done, "distance", tag->distance, gb_distance_word(words->distance));
    add_part(done, "value", tag->value, words->value);
    if (tag->caption != NULL)
        g_string_append(done, words->caption ? "; caption written" : "; caption composed");
    if (tag->in_report != GB_KEEP)
        g_string_append(done, tag->in_report == GB_LEAVE_OUT ? "; left out of the report" : "; in the report");
    if (tag->order == GB_ORDER_BY_TIME)
        g_string_append(done, "; ordered by time");
    else if (tag->order != GB_ORDER_KEEP)
        g_string_append_printf(done, "; put %s shot %" G_GINT64_FORMAT, tag->order == GB_ORDER_AFTER ? "after" : "before", tag->anchor);
    return g_strdup_printf("shot%s %s: %s", shots->len == 1 ? "" : "s", which, done->len > 2 ? done->str + 2 : "nothing");
}

/* --- the verb --- */

static gboolean tag_shots(const All *all, const GPtrArray *shots, const Words *words, GError **error)
{
    for (guint i = 0; i < shots->len; i++)
        if (!apply(shots->pdata[i], words, all->catalogue, error))
            return FALSE;
    if (words->tag->order == GB_ORDER_BY_TIME)
        order_by_time(all, shots);
    else if (words->tag->order != GB_ORDER_KEEP)
        return order_shots(all, shots, words->tag, error);
    return TRUE;
}

/* Moving shots renumbers the whole place; otherwise only the named ones can have changed. */
static gboolean store(GbLog *log, const All *all, const GPtrArray *shots, const GbTag *tag, GError **error)
{
    return gb_shots_store(log, tag->order == GB_ORDER_KEEP ? shots : all->shots, error);
}

/* All of them only where their order matters: a large claim must not slow down each tag. */
static GPtrArray *load_shots(GbLog *log, const GbTag *tag, const GArray *ranges, GError **error)
{
    return tag->order == GB_ORDER_KEEP ? gb_shots_load_ranges(log, ranges, error) : gb_shots_load(log, error);
}

/* Only these ask what a subject is; reading the catalogue takes as long as the rest of a tag. */
static gboolean needs_catalogue(const GbTag *tag)
{
    return tag->subject != NULL || tag->value != NULL || tag->order != GB_ORDER_KEEP;
}

gboolean gb_tag(GbLog *log, const char *shots, const GbTag *tag, char **summary, GError **error)
{
    g_autoptr(GbCatalogue) catalogue = needs_catalogue(tag) ? gb_dossier_catalogue(log, error) : NULL;
    gboolean ready = catalogue != NULL || !needs_catalogue(tag);
    g_autoptr(GbChange) change = ready ? gb_change_begin(log, "tag", error) : NULL;
    g_autoptr(GPtrArray) places = change == NULL ? NULL : gb_places_load(log, error);
    g_autoptr(GArray) ranges = places == NULL ? NULL : gb_numbers_parse(shots, error);
    g_autoptr(GPtrArray) all_shots = ranges == NULL ? NULL : load_shots(log, tag, ranges, error);
    g_autoptr(GPtrArray) named = all_shots == NULL ? NULL : gb_find_shots(all_shots, shots, error);
    g_auto(Words) words = { .tag = tag };
    All all = { all_shots, catalogue };
    if (named == NULL || !understand(&words, places, catalogue, error) || !tag_shots(&all, named, &words, error) ||
        !store(log, &all, named, tag, error))
        return FALSE;
    g_autofree char *text = describe(named, &words);
    if (!gb_change_save(change, text, error))
        return FALSE;
    if (summary != NULL)
        *summary = g_steal_pointer(&text);
    return TRUE;
}
