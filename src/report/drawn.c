/* drawn.c -- what a person drew over a photo, as the report shows it: lines over the picture, and words beside it for who can't see them.
 *
 * Lines are SVG path data in the picture's own pixels; the template strokes them twice, dark under light, so that they show on any photo.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "report-private.h"

#include <math.h>

#define HEAD_SHARE 0.03 /* length of an arrow's head, of the longer side */

typedef struct {
    double width, height;
    double head_px;
} Picture;

static void add_number(GString *path, const char *before, double number)
{
    char text[G_ASCII_DTOSTR_BUF_SIZE];
    g_string_append(path, before);
    g_string_append(path, g_ascii_formatd(text, sizeof text, "%.1f", number));
}

static void add_point(GString *path, const char *command, double x, double y)
{
    add_number(path, command, x);
    add_number(path, " ", y);
}

/* Two strokes back from the tip. */
static void add_head(GString *path, const Picture *picture, double x, double y, double toward)
{
    for (int side = -1; side <= 1; side += 2) {
        double back = toward + G_PI + side * 0.45;
        add_point(path, "M", x, y);
        add_point(path, "L", x + picture->head_px * cos(back), y + picture->head_px * sin(back));
    }
}

/* A short bar across the end of a measured line. */
static void add_end(GString *path, const Picture *picture, double x, double y, double along)
{
    double dx = picture->head_px / 3 * sin(along), dy = -picture->head_px / 3 * cos(along);
    add_point(path, "M", x - dx, y - dy);
    add_point(path, "L", x + dx, y + dy);
}

static void add_ellipse(GString *path, double x1, double y1, double x2, double y2)
{
    double rx = fabs(x2 - x1) / 2, ry = fabs(y2 - y1) / 2, cx = (x1 + x2) / 2, cy = (y1 + y2) / 2;
    add_point(path, "M", cx - rx, cy);
    for (int half = 1; half >= -1; half -= 2) {
        add_number(path, "A", rx);
        add_number(path, " ", ry);
        add_point(path, " 0 0 1 ", cx + half * rx, cy);
    }
}

/* OWNED by the caller; "" for a text. */
static char *path_of(const GbMark *mark, const Picture *picture)
{
    GString *path = g_string_new(NULL);
    const GbMarkPoint *p = mark->points;
    double x1 = p[0].x * picture->width, y1 = p[0].y * picture->height;
    const GbMarkPoint *last = &p[mark->n_points - 1];
    double x2 = last->x * picture->width, y2 = last->y * picture->height;
    if (mark->kind == GB_MARK_ELLIPSE)
        add_ellipse(path, x1, y1, x2, y2);
    else if (mark->kind != GB_MARK_TEXT)
        for (guint i = 0; i < mark->n_points; i++)
            add_point(path, i == 0 ? "M" : "L", p[i].x * picture->width, p[i].y * picture->height);
    if (mark->kind == GB_MARK_ARROW)
        add_head(path, picture, x2, y2, atan2(y2 - y1, x2 - x1));
    if (mark->kind == GB_MARK_SCALE || mark->kind == GB_MARK_LINE) {
        add_end(path, picture, x1, y1, atan2(y2 - y1, x2 - x1));
        add_end(path, picture, x2, y2, atan2(y2 - y1, x2 - x1));
    }
    return g_string_free(path, FALSE);
}

/* What stands in the picture beside the lines: the text, else the measure. OWNED by the caller; NULL nothing. */
static char *label_of(const GbMark *mark, const GPtrArray *marks, const Picture *picture)
{
    double length_in = gb_mark_length_in(mark, marks, picture->width, picture->height);
    double angle_deg = gb_mark_angle_deg(mark, picture->width, picture->height);
    char number[G_ASCII_DTOSTR_BUF_SIZE];
    if (mark->text != NULL || mark->kind == GB_MARK_SCALE)
        return g_strdup(mark->text != NULL ? mark->text : mark->length);
    if (!isnan(length_in))
        return g_strconcat(g_ascii_formatd(number, sizeof number, "%.1f", length_in), " in", NULL);
    if (isnan(angle_deg))
        return NULL;
    char *pitch = gb_mark_pitch(angle_deg);
    return pitch != NULL ? pitch : g_strconcat(g_ascii_formatd(number, sizeof number, "%.1f", angle_deg), "°", NULL);
}

static json_t *mark_json(const GbMark *mark, const GPtrArray *marks, const Picture *picture)
{
    json_t *object = json_object();
    g_autofree char *path = path_of(mark, picture), *label = label_of(mark, marks, picture);
    g_autofree char *words = gb_mark_words(mark, marks, picture->width, picture->height);
    const GbMarkPoint *at = &mark->points[mark->kind == GB_MARK_ANGLE ? 1 : 0];
    double x = at->x * picture->width, y = at->y * picture->height - (mark->kind == GB_MARK_TEXT ? 0 : picture->head_px / 2);
    gb_put_text(object, "path", path);
    gb_put_text(object, "label", label);
    gb_put_text(object, "end", at->x > 0.6 ? "end" : "start"); /* a label near the right edge goes to the left */
    json_object_set_new(object, "x", json_integer((json_int_t)x));
    json_object_set_new(object, "y", json_integer((json_int_t)CLAMP(y, picture->head_px, picture->height)));
    gb_put_text(object, "words", words);
    gb_put_text(object, "caution", gb_mark_caution(mark->kind));
    return object;
}

void gb_put_marks(json_t *figure, const GbShot *shot)
{
    gboolean lies = shot->exif.orientation >= 5;
    Picture picture = { lies ? shot->height : shot->width, lies ? shot->width : shot->height, 0 };
    if (shot->marks == NULL || shot->width <= 0 || shot->height <= 0)
        return;
    picture.head_px = HEAD_SHARE * MAX(picture.width, picture.height);
    json_t *list = json_array(), *drawn = json_object();
    for (guint i = 0; i < shot->marks->len; i++)
        json_array_append_new(list, mark_json(shot->marks->pdata[i], shot->marks, &picture));
    json_object_set_new(drawn, "marks", list);
    json_object_set_new(drawn, "letter_px", json_integer((json_int_t)ceil(picture.head_px)));
    json_object_set_new(figure, "drawn", drawn);
}
