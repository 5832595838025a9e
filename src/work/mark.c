/* mark.c -- the verb mark: drawing over photos. See mark.h.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <gablebook/mark.h>

#include <gablebook/error.h>
#include <gablebook/escape.h>
#include <gablebook/history.h>
#include <gablebook/measure.h>
#include <gablebook/numbers.h>
#include <gablebook/quote.h>
#include <gablebook/shot.h>
#include <gablebook/word.h>
#include <log/rows.h>
#include <math.h>

#define TEXT_MAX_BYTES 500
#define LENGTH_MAX_BYTES 60

static gboolean refuse(GError **error, GbErrorCode code, const char *why)
{
    g_set_error(error, GB_ERROR, code, "mark: %s; nothing was changed", why);
    return FALSE;
}

/* --- understanding --- */

static gboolean set_points(GbMark *mark, const GbMarkEdit *edit, GError **error)
{
    static const char *const wants[GB_MARK_KINDS] = { "two points", "two points", "two points and more", "one point", "two points", "two points",
                                                      "three points" };
    static const guint min[GB_MARK_KINDS] = { 2, 2, 2, 1, 2, 2, 3 }, max[GB_MARK_KINDS] = { 2, 2, GB_MARK_POINTS_MAX, 1, 2, 2, 3 };
    if (edit->points == NULL && mark->points != NULL)
        return TRUE;
    guint n = edit->points == NULL ? 0 : edit->n_points;
    if (n < min[mark->kind] || n > max[mark->kind]) {
        g_set_error(error, GB_ERROR, GB_ERROR_SYNTAX, "mark: %s %s has %s, not %u; nothing was changed",
                    strchr("ae", *gb_mark_kind_word(mark->kind)) ? "an" : "a", gb_mark_kind_word(mark->kind), wants[mark->kind], n);
        return FALSE;
    }
    for (guint i = 0; i < n; i++)
        if (!(edit->points[i].x >= 0 && edit->points[i].x <= 1 && edit->points[i].y >= 0 && edit->points[i].y <= 1))
            return refuse(error, GB_ERROR_SYNTAX, "a point lies outside the picture (0 to 1 each way)");
    g_free(mark->points);
    mark->points = g_memdup2(edit->points, n * sizeof *mark->points);
    mark->n_points = n;
    gboolean no_length = n == 2 && hypot(mark->points[1].x - mark->points[0].x, mark->points[1].y - mark->points[0].y) < 1e-4;
    return !no_length || refuse(error, GB_ERROR_SYNTAX, "its two points are one and the same");
}

static gboolean set_text(GbMark *mark, const GbMarkEdit *edit, GError **error)
{
    if (edit->text != NULL && strlen(edit->text) > TEXT_MAX_BYTES)
        return refuse(error, GB_ERROR_TOO_LARGE, "a text of more than 500 bytes");
    if (edit->text != NULL) {
        g_free(mark->text);
        mark->text = gb_clean_text(edit->text, strlen(edit->text));
    }
    return mark->kind != GB_MARK_TEXT || mark->text != NULL || refuse(error, GB_ERROR_SYNTAX, "a text mark needs its text");
}

static gboolean set_length(GbMark *mark, const GbMarkEdit *edit, GError **error)
{
    if (mark->kind != GB_MARK_SCALE)
        return edit->length == NULL || *edit->length == '\0' || refuse(error, GB_ERROR_STATE, "only a scale has a known length");
    if (edit->length == NULL && mark->length != NULL)
        return TRUE;
    gsize n = edit->length == NULL ? 0 : strlen(edit->length);
    g_autofree char *clean = n == 0 || n > LENGTH_MAX_BYTES ? NULL : gb_clean_text(edit->length, n);
    if (clean == NULL)
        return refuse(error, GB_ERROR_SYNTAX, "a scale needs the length that it has: 10 ft, 4 in");
    if (!gb_length_parse(clean, &mark->length_in, error)) {
        g_prefix_error(error, "mark: ");
        return FALSE;
    }
    g_free(mark->length);
    mark->length = g_steal_pointer(&clean);
    return TRUE;
}

/* --- which mark, which shot --- */

static const GbMark *find(const GPtrArray *marks, gint64 id)
{
    for (guint i = 0; i < marks->len; i++)
        if (((const GbMark *)marks->pdata[i])->id == id)
            return marks->pdata[i];
    return NULL;
}

static guint count_on(const GPtrArray *marks, gint64 shot)
{
    guint n = 0;
    for (guint i = 0; i < marks->len; i++)
        n += ((const GbMark *)marks->pdata[i])->shot == shot;
    return n;
}

static gboolean is_in_claim(GbLog *log, gint64 number, GError **error)
{
    g_autoptr(GArray) range = g_array_new(FALSE, FALSE, sizeof(GbRange));
    g_array_append_vals(range, &(GbRange){ number, number }, 1);
    g_autoptr(GPtrArray) shots = gb_shots_load_ranges(log, range, error);
    if (shots == NULL || shots->len == 1)
        return shots != NULL;
    g_set_error(error, GB_ERROR, GB_ERROR_UNKNOWN, "there is no shot %" G_GINT64_FORMAT "; nothing was changed", number);
    return FALSE;
}

/* A new mark, not drawn yet; NULL with error. */
static GbMark *begin_mark(GbLog *log, const GPtrArray *marks, const GbMarkEdit *edit, GError **error)
{
    const char *words[GB_MARK_KINDS];
    for (int kind = 0; kind < GB_MARK_KINDS; kind++)
        words[kind] = gb_mark_kind_word((GbMarkKind)kind);
    gssize kind = gb_word_find(edit->kind == NULL ? "" : edit->kind, words, GB_MARK_KINDS, "kind of mark", error);
    if (kind < 0 || !is_in_claim(log, edit->shot, error))
        return NULL;
    if (count_on(marks, edit->shot) >= GB_MARKS_MAX) {
        refuse(error, GB_ERROR_TOO_LARGE, "a photo has at most 200 of them");
        return NULL;
    }
    GbMark *mark = g_new0(GbMark, 1);
    mark->shot = edit->shot;
    mark->kind = (GbMarkKind)kind;
    mark->length_in = (double)NAN;
    return mark;
}

static gboolean unknown_mark(gint64 id, GError **error)
{
    g_set_error(error, GB_ERROR, GB_ERROR_UNKNOWN, "there is no mark %" G_GINT64_FORMAT "; nothing was changed", id);
    return FALSE;
}

static GbMark *copy_mark(const GPtrArray *marks, gint64 id, GError **error)
{
    const GbMark *there = find(marks, id);
    if (there == NULL) {
        unknown_mark(id, error);
        return NULL;
    }
    GbMark *mark = g_memdup2(there, sizeof *there);
    mark->points = g_memdup2(there->points, there->n_points * sizeof *there->points);
    mark->text = g_strdup(there->text);
    mark->length = g_strdup(there->length);
    return mark;
}

/* --- the verbs --- */

gboolean gb_mark(GbLog *log, const GbMarkEdit *edit, gint64 *id, char **summary, GError **error)
{
    g_autoptr(GbChange) change = gb_change_begin(log, "mark", error);
    g_autoptr(GPtrArray) marks = change == NULL ? NULL : gb_marks_load(log, error);
    if (marks == NULL)
        return FALSE;
    g_autoptr(GbMark) mark = edit->mark == 0 ? begin_mark(log, marks, edit, error) : copy_mark(marks, edit->mark, error);
    if (mark == NULL || !set_points(mark, edit, error) || !set_text(mark, edit, error) || !set_length(mark, edit, error) ||
        !gb_mark_store(log, mark, error))
        return FALSE;
    g_autofree char *text = g_strdup_printf("shot %" G_GINT64_FORMAT ": %s %s", mark->shot, gb_mark_kind_word(mark->kind),
                                            edit->mark == 0 ? "drawn" : "changed");
    if (!gb_change_save(change, text, error))
        return FALSE;
    if (id != NULL)
        *id = mark->id;
    if (summary != NULL)
        *summary = g_steal_pointer(&text);
    return TRUE;
}

gboolean gb_mark_drop(GbLog *log, gint64 id, char **summary, GError **error)
{
    g_autoptr(GbChange) change = gb_change_begin(log, "mark", error);
    g_autoptr(GPtrArray) marks = change == NULL ? NULL : gb_marks_load(log, error);
    if (marks == NULL)
        return FALSE;
    const GbMark *mark = find(marks, id);
    if (mark == NULL)
        return unknown_mark(id, error);
    g_autofree char *text = g_strdup_printf("shot %" G_GINT64_FORMAT ": %s taken away", mark->shot, gb_mark_kind_word(mark->kind));
    if (!gb_mark_remove(log, id, error) || !gb_change_save(change, text, error))
        return FALSE;
    if (summary != NULL)
        *summary = g_steal_pointer(&text);
    return TRUE;
}
