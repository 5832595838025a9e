/* square.c -- the verb square: hits counted on a slope, or why none were. See square.h.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <gablebook/square.h>

#include "work-private.h"

#include <gablebook/error.h>
#include <gablebook/history.h>
#include <gablebook/measure.h>
#include <gablebook/numbers.h>
#include <gablebook/quote.h>
#include <gablebook/shot.h>
#include <gablebook/size.h>
#include <log/rows.h>
#include <math.h>

#define SIZE_MAX_BYTES 60
#define NOTE_MAX_BYTES 2000

/* What the words mean in this claim. */
typedef struct {
    GPtrArray *places, *shots, *squares;
    const GbPlace *slope; /* BORROWED from places */
    guint number;
} Scene;

static void clear_scene(Scene *scene)
{
    g_clear_pointer(&scene->squares, g_ptr_array_unref);
    g_clear_pointer(&scene->shots, g_ptr_array_unref);
    g_clear_pointer(&scene->places, g_ptr_array_unref);
}
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(Scene, clear_scene)

static gboolean find_slope(Scene *scene, const char *words, GError **error)
{
    scene->slope = gb_places_find(scene->places, words, error);
    if (scene->slope == NULL)
        return FALSE;
    if (scene->slope->kind == GB_PLACE_SLOPE)
        return TRUE;
    g_autofree char *label = gb_quote(scene->slope->label);
    g_set_error(error, GB_ERROR, GB_ERROR_STATE, "a test square belongs to a slope, and %s is none; nothing was changed", label);
    return FALSE;
}

static gboolean read_number(Scene *scene, const char *words, GError **error)
{
    guint64 number = 1;
    if (words != NULL && !g_ascii_string_to_unsigned(words, 10, 1, 9, &number, NULL)) {
        g_autofree char *shown = gb_quote(words);
        g_set_error(error, GB_ERROR, GB_ERROR_SYNTAX, "%s is no number of a square; a slope has them from 1 to 9; nothing was changed", shown);
        return FALSE;
    }
    scene->number = (guint)number;
    return TRUE;
}

static gboolean load_scene(Scene *scene, GbLog *log, const char *slope, const char *number, GError **error)
{
    return (scene->places = gb_places_load(log, error)) != NULL && (scene->shots = gb_shots_load(log, error)) != NULL &&
           (scene->squares = gb_squares_load(log, error)) != NULL && find_slope(scene, slope, error) && read_number(scene, number, error);
}

/* --- what changes --- */

static gboolean says(const char *text)
{
    return text != NULL && *text != '\0';
}

static void clear_size(GbSquare *square)
{
    g_clear_pointer(&square->size, g_free);
    square->width_in = square->height_in = NAN;
}

static gboolean set_size(GbSquare *square, const char *text, GError **error)
{
    g_autofree char *kept = NULL;
    if (!gb_take_words(text, SIZE_MAX_BYTES, "size", &kept, error) ||
        !gb_size_parse(kept != NULL ? kept : "", &square->width_in, &square->height_in, error))
        return FALSE;
    g_free(square->size);
    square->size = g_steal_pointer(&kept);
    return TRUE;
}

/* Where nobody says a size, the usual one is meant. */
static gboolean set_or_keep_size(GbSquare *square, const char *text, GError **error)
{
    if (says(text))
        return set_size(square, text, error);
    return (text == NULL && square->size != NULL) || set_size(square, GB_SQUARE_USUAL_SIZE, error);
}

static gboolean set_hits(GbSquare *square, const char *text, GError **error)
{
    double hits;
    if (!gb_value_parse(GB_VALUE_COUNT, text, &hits, error)) {
        g_prefix_error(error, "hits: ");
        return FALSE;
    }
    square->hits = (guint)hits;
    g_clear_pointer(&square->not_drawn, g_free);
    return TRUE;
}

static gboolean set_not_drawn(GbSquare *square, const char *text, GError **error)
{
    g_autofree char *kept = NULL;
    if (!gb_take_words(text, NOTE_MAX_BYTES, "reason", &kept, error))
        return FALSE;
    if (kept == NULL) {
        g_set_error(error, GB_ERROR, GB_ERROR_SYNTAX, "a square that is not drawn needs its reason; nothing was changed");
        return FALSE;
    }
    g_free(square->not_drawn);
    square->not_drawn = g_steal_pointer(&kept);
    square->hits = 0;
    clear_size(square);
    return TRUE;
}

/* Counted, or not drawn and why: one of the two, never both. */
static gboolean set_count(GbSquare *square, const GbSquareEdit *edit, GError **error)
{
    if (says(edit->not_drawn) && (says(edit->hits) || says(edit->size))) {
        g_set_error(error, GB_ERROR, GB_ERROR_STATE, "a square that was not drawn has no hits and no size; nothing was changed");
        return FALSE;
    }
    if (says(edit->not_drawn))
        return set_not_drawn(square, edit->not_drawn, error);
    if (edit->hits != NULL && !set_hits(square, edit->hits, error))
        return FALSE;
    gboolean counted = square->not_drawn == NULL && (square->id != 0 || edit->hits != NULL);
    if (counted)
        return set_or_keep_size(square, edit->size, error);
    if (square->id != 0 && edit->size == NULL && edit->not_drawn == NULL)
        return TRUE; /* it stays not drawn */
    g_set_error(error, GB_ERROR, GB_ERROR_STATE, "say how many hits were counted, or why no square was drawn; nothing was changed");
    return FALSE;
}

static gboolean set_rest(const Scene *scene, GbSquare *square, const GbSquareEdit *edit, GError **error)
{
    char *kept = NULL;
    if (edit->note != NULL) {
        if (!gb_take_words(edit->note, NOTE_MAX_BYTES, "note", &kept, error))
            return FALSE;
        g_free(square->note);
        square->note = kept;
    }
    if (edit->shots == NULL)
        return TRUE;
    GArray *numbers = gb_find_shot_numbers(scene->shots, edit->shots, error);
    if (numbers == NULL)
        return FALSE;
    g_clear_pointer(&square->shots, g_array_unref);
    square->shots = numbers;
    return TRUE;
}

/* "front slope: test square 10 x 10 ft, 9 hits; shots 39, 40" */
static char *describe(const Scene *scene, const GbSquare *square)
{
    GString *text = g_string_new(NULL);
    g_string_printf(text, "%s: test square ", scene->slope->label);
    if (square->number > 1)
        g_string_append_printf(text, "%u, ", square->number);
    if (square->not_drawn != NULL)
        g_string_append_printf(text, "not drawn: %s", square->not_drawn);
    else
        g_string_append_printf(text, "%s, %u hit%s", square->size, square->hits, square->hits == 1 ? "" : "s");
    if (square->shots != NULL && square->shots->len > 0) {
        g_autofree char *numbers = gb_numbers_text(&g_array_index(square->shots, gint64, 0), square->shots->len);
        g_string_append_printf(text, "; shot%s %s", square->shots->len == 1 ? "" : "s", numbers);
    }
    if (square->note != NULL)
        g_string_append_printf(text, "; %s", square->note);
    return g_string_free(text, FALSE);
}

/* --- the verb --- */

/* The square that is there, else a new one, added to the loaded ones. BORROWED from them. */
static GbSquare *square_of(const Scene *scene)
{
    GbSquare *square = gb_squares_at(scene->squares, scene->slope->id, scene->number);
    if (square != NULL)
        return square;
    square = g_new0(GbSquare, 1);
    square->place = scene->slope->id;
    square->number = scene->number;
    square->width_in = square->height_in = NAN;
    g_ptr_array_add(scene->squares, square);
    return square;
}

gboolean gb_square_say(GbLog *log, const char *slope, const GbSquareEdit *edit, char **summary, GError **error)
{
    g_auto(Scene) scene = { 0 };
    g_autoptr(GbChange) change = gb_change_begin(log, "square", error);
    if (change == NULL || !load_scene(&scene, log, slope, edit->number, error))
        return FALSE;
    GbSquare *square = square_of(&scene);
    if (!set_count(square, edit, error) || !set_rest(&scene, square, edit, error))
        return FALSE;
    g_autofree char *text = describe(&scene, square);
    if (!gb_square_store(log, square, error) || !gb_change_save(change, text, error))
        return FALSE;
    if (summary != NULL)
        *summary = g_steal_pointer(&text);
    return TRUE;
}

gboolean gb_square_drop(GbLog *log, const char *slope, const char *number, char **summary, GError **error)
{
    g_auto(Scene) scene = { 0 };
    g_autoptr(GbChange) change = gb_change_begin(log, "square", error);
    if (change == NULL || !load_scene(&scene, log, slope, number, error))
        return FALSE;
    const GbSquare *square = gb_squares_at(scene.squares, scene.slope->id, scene.number);
    if (square == NULL) {
        g_set_error(error, GB_ERROR, GB_ERROR_STATE, "%s: test square %u is not recorded; nothing was changed", scene.slope->label, scene.number);
        return FALSE;
    }
    g_autofree char *text = scene.number == 1 ? g_strdup_printf("%s: test square taken back", scene.slope->label)
                                              : g_strdup_printf("%s: test square %u taken back", scene.slope->label, scene.number);
    if (!gb_square_remove(log, square->id, error) || !gb_change_save(change, text, error))
        return FALSE;
    if (summary != NULL)
        *summary = g_steal_pointer(&text);
    return TRUE;
}

/* --- the threshold --- */

/* "threshold 8 hits in a square, as the carrier's guide says" */
static gboolean set_threshold(GbLog *log, const char *hits, const char *source, char **text, GError **error)
{
    double number;
    g_autofree char *kept = NULL;
    if (!gb_value_parse(GB_VALUE_COUNT, hits, &number, error) || !gb_take_words(source != NULL ? source : "", NOTE_MAX_BYTES, "source", &kept, error))
        return FALSE;
    if (number < 1 || kept == NULL) {
        g_set_error(error, GB_ERROR, GB_ERROR_SYNTAX, number < 1 ? "a threshold is one hit at least; nothing was changed"
                    : "a threshold needs its source: who says that so many hits matter; nothing was changed");
        return FALSE;
    }
    *text = g_strdup_printf("threshold %u hit%s in a square, as set by %s: %s", (guint)number, number < 2 ? "" : "s", gb_log_who(log), kept);
    return gb_threshold_store(log, (guint)number, kept, error);
}

gboolean gb_threshold_set(GbLog *log, const char *hits, const char *source, char **summary, GError **error)
{
    g_autofree char *text = *hits == '\0' ? g_strdup("threshold taken back") : NULL;
    g_autoptr(GbChange) change = gb_change_begin(log, "square", error);
    if (change == NULL || !(text != NULL ? gb_threshold_store(log, 0, NULL, error) : set_threshold(log, hits, source, &text, error)) ||
        !gb_change_save(change, text, error))
        return FALSE;
    if (summary != NULL)
        *summary = g_steal_pointer(&text);
    return TRUE;
}
