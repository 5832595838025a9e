/* desk_html.c -- the desk as a page: templates/desk.html over the desk's JSON. See desk.h.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "desk-private.h"

#include <gablebook/builtin.h>
#include <gablebook/file.h>
#include <gablebook/template.h>

/* Mustache has no comparisons: the page is told what it may say. */
static void add_words(json_t *model, gint64 now_utc_s)
{
    g_autoptr(GDateTime) now = g_date_time_new_from_unix_utc(now_utc_s);
    g_autofree char *at = g_date_time_format(now, "%Y-%m-%d %H:%M UTC");
    json_t *one;
    size_t i;
    g_autofree char *whole = g_canonicalize_filename(json_string_value(json_object_get(model, "dir")), NULL);
    g_autofree char *last = g_path_get_basename(whole);
    json_object_set_new(model, "dir", json_string(last)); /* "." says nothing on a page */
    json_object_set_new(model, "at", json_string(at));
    json_object_set_new(model, "count", json_integer((json_int_t)json_array_size(json_object_get(model, "claims"))));
    json_array_foreach(json_object_get(model, "claims"), i, one) {
        gboolean fault = json_is_string(json_object_get(one, "fault")), complete = json_is_true(json_object_get(one, "complete"));
        const char *changed = json_string_value(json_object_get(one, "changed"));
        json_object_set_new(one, "state", json_string(fault ? "fault" : complete ? "complete" : "incomplete"));
        json_object_set_new(one, "known", json_boolean(!fault));
        json_object_set_new(one, "day", changed == NULL ? json_null() : json_stringn(changed, 10));
    }
}

static gboolean to_file(const char *text, gsize n, gpointer user, GError **error)
{
    return gb_file_writer_add(user, text, n, error);
}

gboolean gb_desk_write_html(const GbDesk *desk, gint64 now_utc_s, const char *path, GError **error)
{
    gb_file_sweep_beside(path);
    g_autofree char *text = gb_builtin_text("templates/desk.html", error);
    g_autoptr(GbTemplate) page = text == NULL ? NULL : gb_template_parse("desk.html", text, error);
    g_autoptr(GbFileWriter) out = page == NULL ? NULL : gb_file_writer_new(path, 0644, error);
    if (out == NULL)
        return FALSE;
    json_t *model = gb_desk_json(desk, now_utc_s);
    add_words(model, now_utc_s);
    gboolean ok = gb_template_render(page, model, NULL, 0, to_file, out, error) && gb_file_writer_finish(out, error);
    json_decref(model);
    return ok;
}
