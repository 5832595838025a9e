/* mark.c -- rows of the marks, and what can be measured with them. See mark.h and rows.h.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <gablebook/mark.h>

#include "log-private.h"
#include "rows.h"

#include <gablebook/measure.h>
#include <math.h>

static const char *const kind_words[GB_MARK_KINDS] = { "arrow", "ellipse", "chalk", "text", "scale", "line", "angle" };

const char *gb_mark_kind_word(GbMarkKind kind)
{
    return kind_words[kind];
}

void gb_mark_free(GbMark *mark)
{
    if (mark == NULL)
        return;
    g_free(mark->points);
    g_free(mark->text);
    g_free(mark->length);
    g_free(mark);
}

static void free_mark(gpointer mark)
{
    gb_mark_free(mark);
}

/* --- rows --- */

/* "0.25000,0.50000 0.30000,0.55000": five digits are a twentieth of a pixel of a large photo. OWNED by the caller. */
static char *points_text(const GbMark *mark)
{
    GString *text = g_string_new(NULL);
    for (guint i = 0; i < mark->n_points; i++) {
        char x[G_ASCII_DTOSTR_BUF_SIZE], y[G_ASCII_DTOSTR_BUF_SIZE];
        g_ascii_formatd(x, sizeof x, "%.5f", mark->points[i].x);
        g_ascii_formatd(y, sizeof y, "%.5f", mark->points[i].y);
        g_string_append_printf(text, "%s%s,%s", i == 0 ? "" : " ", x, y);
    }
    return g_string_free(text, FALSE);
}

/* The file may come from elsewhere: FALSE for what points_text did not write. */
static gboolean read_points(const char *text, GbMark *mark)
{
    g_auto(GStrv) pairs = g_strsplit(text == NULL ? "" : text, " ", GB_MARK_POINTS_MAX + 1);
    guint n = g_strv_length(pairs);
    if (n == 0 || n > GB_MARK_POINTS_MAX)
        return FALSE;
    mark->points = g_new0(GbMarkPoint, n);
    for (; mark->n_points < n; mark->n_points++) {
        char *comma, *end = NULL;
        GbMarkPoint *point = &mark->points[mark->n_points];
        point->x = g_ascii_strtod(pairs[mark->n_points], &comma);
        if (*comma != ',')
            return FALSE;
        point->y = g_ascii_strtod(comma + 1, &end);
        if (end == comma + 1 || *end != '\0' || !(point->x >= 0 && point->x <= 1 && point->y >= 0 && point->y <= 1))
            return FALSE;
    }
    return TRUE;
}

static gboolean has_right_number(const GbMark *mark)
{
    static const guint numbers[GB_MARK_KINDS] = { 2, 2, 0, 1, 2, 2, 3 };
    return mark->kind == GB_MARK_CHALK ? mark->n_points >= 2 : mark->n_points == numbers[mark->kind];
}

/* NULL for a row that makes no sense. */
static GbMark *read_mark(sqlite3_stmt *row)
{
    g_autoptr(GbMark) mark = g_new0(GbMark, 1);
    g_autofree char *kind = gb_column_text(row, 2), *points = gb_column_text(row, 3);
    mark->id = sqlite3_column_int64(row, 0);
    mark->shot = sqlite3_column_int64(row, 1);
    for (mark->kind = GB_MARK_ARROW; mark->kind < GB_MARK_KINDS && g_strcmp0(kind, kind_words[mark->kind]) != 0; mark->kind++)
        ;
    mark->text = gb_column_text(row, 4);
    mark->length = gb_column_text(row, 5);
    mark->length_in = gb_column_double(row, 6);
    gboolean scale = mark->length != NULL && mark->length_in > 0;
    return mark->kind < GB_MARK_KINDS && read_points(points, mark) && has_right_number(mark) && (mark->kind == GB_MARK_SCALE) == scale
        ? g_steal_pointer(&mark) : NULL;
}

GPtrArray *gb_marks_load(GbLog *log, GError **error)
{
    g_autoptr(sqlite3_stmt) stmt = gb_log_prepare(log, "SELECT id, shot, kind, points, text, length, length_in FROM mark ORDER BY id", error);
    g_autoptr(GPtrArray) marks = g_ptr_array_new_with_free_func(free_mark);
    for (gboolean row = TRUE; row;) {
        if (stmt == NULL || !gb_log_step(log, stmt, &row, error))
            return NULL;
        if (!row)
            break;
        GbMark *mark = read_mark(stmt);
        if (mark == NULL) {
            gb_log_senseless(log, "a mark", error);
            return NULL;
        }
        g_ptr_array_add(marks, mark);
    }
    return g_steal_pointer(&marks);
}

gboolean gb_mark_store(GbLog *log, GbMark *mark, GError **error)
{
    g_autoptr(sqlite3_stmt) stmt = gb_log_prepare(log, mark->id == 0
        ? "INSERT INTO mark (shot, kind, points, text, length, length_in) VALUES (:shot, :kind, :points, :text, :length, :length_in)"
        : "UPDATE mark SET points = :points, text = :text, length = :length, length_in = :length_in WHERE id = :id", error);
    if (stmt == NULL)
        return FALSE;
    g_autofree char *points = points_text(mark);
    gb_bind_int(stmt, ":id", mark->id);
    gb_bind_int(stmt, ":shot", mark->shot);
    gb_bind_text(stmt, ":kind", kind_words[mark->kind]);
    gb_bind_text(stmt, ":points", points);
    gb_bind_text(stmt, ":text", mark->text);
    gb_bind_text(stmt, ":length", mark->length);
    gb_bind_double(stmt, ":length_in", mark->length_in);
    if (!gb_log_finish(log, stmt, error))
        return FALSE;
    if (mark->id == 0)
        mark->id = sqlite3_last_insert_rowid(gb_log_db(log));
    return TRUE;
}

gboolean gb_mark_remove(GbLog *log, gint64 id, GError **error)
{
    g_autoptr(sqlite3_stmt) stmt = gb_log_prepare(log, "DELETE FROM mark WHERE id = :id", error);
    if (stmt == NULL)
        return FALSE;
    gb_bind_int(stmt, ":id", id);
    return gb_log_finish(log, stmt, error);
}

/* --- measured --- */

static double length_in_picture(const GbMark *mark, double width, double height)
{
    return hypot((mark->points[1].x - mark->points[0].x) * width, (mark->points[1].y - mark->points[0].y) * height);
}

static double apart(const GbMark *a, const GbMark *b, double width, double height)
{
    double x = a->points[0].x + a->points[1].x - b->points[0].x - b->points[1].x;
    double y = a->points[0].y + a->points[1].y - b->points[0].y - b->points[1].y;
    return hypot(x * width, y * height) / 2;
}

/* The scale of the same photo whose middle is nearest; NULL none. BORROWED. */
static const GbMark *nearest_scale(const GbMark *line, const GPtrArray *marks, double width, double height)
{
    const GbMark *nearest = NULL;
    for (guint i = 0; i < marks->len; i++) {
        const GbMark *mark = marks->pdata[i];
        if (mark->kind == GB_MARK_SCALE && mark->shot == line->shot && length_in_picture(mark, width, height) > 0 &&
            (nearest == NULL || apart(line, mark, width, height) < apart(line, nearest, width, height)))
            nearest = mark;
    }
    return nearest;
}

double gb_mark_length_in(const GbMark *line, const GPtrArray *marks, double width, double height)
{
    const GbMark *scale = line->kind == GB_MARK_LINE ? nearest_scale(line, marks, width, height) : NULL;
    if (scale == NULL)
        return (double)NAN;
    return scale->length_in * length_in_picture(line, width, height) / length_in_picture(scale, width, height);
}

double gb_mark_angle_deg(const GbMark *angle, double width, double height)
{
    if (angle->kind != GB_MARK_ANGLE)
        return (double)NAN;
    const GbMarkPoint *p = angle->points;
    double ax = (p[0].x - p[1].x) * width, ay = (p[0].y - p[1].y) * height;
    double bx = (p[2].x - p[1].x) * width, by = (p[2].y - p[1].y) * height;
    if (hypot(ax, ay) <= 0 || hypot(bx, by) <= 0)
        return (double)NAN;
    return atan2(fabs(ax * by - ay * bx), ax * bx + ay * by) * 180 / G_PI;
}

#define PITCH_MAX 48.0 /* rise in 12, as measure.h takes */

char *gb_mark_pitch(double angle_deg)
{
    double acute_deg = angle_deg > 90 ? 180 - angle_deg : angle_deg;
    double rise = 12 * tan(acute_deg * G_PI / 180);
    if (!(rise >= 0 && rise <= PITCH_MAX))
        return NULL;
    g_autofree char *number = gb_number_text(rise, 1);
    return g_strconcat(number, ":12", NULL);
}

/* --- in words --- */

static char *number_text(double number)
{
    char text[G_ASCII_DTOSTR_BUF_SIZE];
    return g_strdup(g_ascii_formatd(text, sizeof text, "%.1f", number));
}

/* What it measures; NULL nothing. OWNED by the caller. */
static char *measure_text(const GbMark *mark, const GPtrArray *marks, double width, double height)
{
    double length_in = gb_mark_length_in(mark, marks, width, height), angle_deg = gb_mark_angle_deg(mark, width, height);
    if (mark->kind == GB_MARK_SCALE)
        return g_strdup(mark->length);
    if (!isnan(length_in)) {
        g_autofree char *inches = number_text(length_in);
        return g_strdup_printf("%s in against %s", inches, nearest_scale(mark, marks, width, height)->length);
    }
    if (mark->kind == GB_MARK_LINE)
        return g_strdup("not measured, no scale");
    if (isnan(angle_deg))
        return NULL;
    g_autofree char *degrees = number_text(angle_deg), *pitch = gb_mark_pitch(angle_deg);
    return g_strdup_printf("%s degrees%s%s", degrees, pitch != NULL ? " or pitch " : "", pitch != NULL ? pitch : "");
}

char *gb_mark_words(const GbMark *mark, const GPtrArray *marks, double width, double height)
{
    g_autofree char *measure = measure_text(mark, marks, width, height);
    return g_strdup_printf("%s%s%s%s%s", kind_words[mark->kind], measure != NULL ? ", " : "", measure != NULL ? measure : "",
                           mark->text != NULL ? ": " : "", mark->text != NULL ? mark->text : "");
}

const char *gb_mark_caution(GbMarkKind kind)
{
    switch (kind) {
    case GB_MARK_LINE: return "measured on the photo: right only in the plane of the scale, seen squarely";
    case GB_MARK_ANGLE: return "read on the photo: a pitch only if the camera was level and square to the gable and one line is level";
    default: return NULL;
    }
}
