/* check_json.c -- a check as JSON: for the command line's --json and for the report model.
 *
 * Members keep the order they are set in, so the same check gives the same bytes.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <gablebook/check.h>

/* Absent text is an absent member, not null. */
static void set_text(json_t *object, const char *key, const char *text)
{
    if (text != NULL)
        json_object_set_new(object, key, json_string(text));
}

static void set_count(json_t *object, const char *key, guint count)
{
    json_object_set_new(object, key, json_integer(count));
}

static void set_utc(json_t *object, const char *key, gint64 utc_s)
{
    g_autoptr(GDateTime) time = g_date_time_new_from_unix_utc(utc_s);
    g_autofree char *text = time ? g_date_time_format(time, "%Y-%m-%dT%H:%M:%SZ") : NULL;
    set_text(object, key, text);
}

static json_t *json_of_shots(const GArray *shots)
{
    json_t *array = json_array();
    for (guint i = 0; i < shots->len; i++)
        json_array_append_new(array, json_integer(g_array_index(shots, gint64, i)));
    return array;
}

static json_t *json_of_line(const GbCheckLine *line)
{
    json_t *object = json_object();
    set_text(object, "key", line->key);
    set_text(object, "label", line->label);
    set_text(object, "what", line->what);
    set_text(object, "why", line->requirement->why);
    set_text(object, "state", gb_check_state_word(line->state));
    json_object_set_new(object, "required", json_boolean(line->requirement->required));
    json_object_set_new(object, "shots", json_of_shots(line->shots));
    if (line->finding != 0)
        json_object_set_new(object, "finding", json_integer(line->finding));
    set_text(object, "lacks", line->lacks);
    if (line->state == GB_CHECK_WAIVED) {
        set_text(object, "waived_why", line->waived_why);
        set_text(object, "waived_who", line->waived_who);
        set_utc(object, "waived_at", line->waived_at_utc_s);
    }
    return object;
}

/* Lines of one group stand together: a group ends where the heading changes. */
static json_t *json_of_groups(const GPtrArray *lines)
{
    json_t *groups = json_array(), *members = NULL;
    const char *title = NULL;
    for (guint i = 0; i < lines->len; i++) {
        const GbCheckLine *line = lines->pdata[i];
        if (title == NULL || !g_str_equal(title, line->group)) {
            title = line->group;
            members = json_array();
            json_t *group = json_object();
            set_text(group, "title", title);
            json_object_set_new(group, "lines", members);
            json_array_append_new(groups, group);
        }
        json_array_append_new(members, json_of_line(line));
    }
    return groups;
}

static json_t *json_of_points(const GPtrArray *points)
{
    json_t *array = json_array();
    for (guint i = 0; i < points->len; i++) {
        const GbPoint *point = points->pdata[i];
        json_t *object = json_object();
        json_object_set_new(object, "contradiction", json_boolean(point->contradiction));
        set_text(object, "text", point->text);
        json_object_set_new(object, "shots", json_of_shots(point->shots));
        json_array_append_new(array, object);
    }
    return array;
}

json_t *gb_check_json(const GbCheck *check, const GbChecklist *checklist)
{
    json_t *object = json_object();
    set_text(object, "checklist", gb_checklist_title(checklist));
    json_object_set_new(object, "complete", json_boolean(gb_check_complete(check)));
    set_count(object, "there", check->there);
    set_count(object, "missing", check->missing);
    set_count(object, "advised", check->advised);
    set_count(object, "waived", check->waived);
    set_count(object, "weak", check->weak);
    set_count(object, "unplaced", check->unplaced);
    set_count(object, "unnamed", check->unnamed);
    set_count(object, "unwritten", check->unwritten);
    set_count(object, "unproved", check->unproved);
    json_object_set_new(object, "groups", json_of_groups(check->lines));
    json_object_set_new(object, "points", json_of_points(check->points));
    return object;
}
