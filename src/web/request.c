/* request.c -- taking requests apart.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "web-private.h"

const char *gb_web_query(const GbWebRequest *request, const char *name)
{
    return MHD_lookup_connection_value(request->connection, MHD_GET_ARGUMENT_KIND, name);
}

gboolean gb_web_query_int(GbWebRequest *request, const char *name, gint64 absent, gint64 min, gint64 max, gint64 *value)
{
    const char *text = gb_web_query(request, name);
    *value = absent;
    if (text == NULL || g_ascii_string_to_signed(text, 10, min, max, value, NULL))
        return TRUE;
    gb_web_refuse(request, MHD_HTTP_BAD_REQUEST, "syntax", "'%s' must be a whole number from %" G_GINT64_FORMAT " to %" G_GINT64_FORMAT,
                  name, min, max);
    return FALSE;
}

/* Put a member where it belongs; FALSE: of another type. */
static gboolean take(const json_t *value, const GbWebField *field)
{
    switch (field->kind) {
    case GB_WEB_TEXT:
        *(const char **)field->to = json_is_null(value) ? "" : json_string_value(value);
        return json_is_null(value) || json_is_string(value);
    case GB_WEB_WHOLE:
        *(gint64 *)field->to = json_integer_value(value);
        return json_is_integer(value);
    case GB_WEB_REAL:
        *(double *)field->to = json_number_value(value);
        return json_is_number(value);
    case GB_WEB_FLAG:
        *(int *)field->to = json_is_true(value);
        return json_is_boolean(value);
    case GB_WEB_ANY:
        *(json_t **)field->to = (json_t *)value;
        return TRUE;
    }
    return FALSE;
}

gboolean gb_web_read(GbWebRequest *request, const GbWebField *fields)
{
    static const char *const kinds[] = { "a text or null", "a whole number", "a number", "true or false", "anything" };
    const char *name;
    json_t *value;
    json_object_foreach(request->body, name, value) {
        const GbWebField *field = fields;
        while (field->name != NULL && strcmp(field->name, name) != 0)
            field++;
        if (field->name == NULL) {
            g_autofree char *shown = gb_quote(name);
            gb_web_refuse(request, MHD_HTTP_BAD_REQUEST, "syntax", "%s is nothing that can be said here; nothing was changed", shown);
            return FALSE;
        }
        if (!take(value, field)) {
            gb_web_refuse(request, MHD_HTTP_BAD_REQUEST, "syntax", "'%s' must be %s; nothing was changed", name, kinds[field->kind]);
            return FALSE;
        }
    }
    return TRUE;
}

char *gb_web_shots(const json_t *shots)
{
    if (json_is_string(shots))
        return g_strdup(json_string_value(shots));
    if (json_is_null(shots))
        return g_strdup("");
    if (!json_is_array(shots))
        return NULL;
    GString *text = g_string_new(NULL);
    gsize i;
    json_t *number;
    json_array_foreach(shots, i, number) {
        if (!json_is_integer(number) || json_integer_value(number) < 1) {
            g_string_free(text, TRUE);
            return NULL;
        }
        g_string_append_printf(text, "%s%" JSON_INTEGER_FORMAT, i == 0 ? "" : ",", json_integer_value(number));
    }
    return g_string_free(text, FALSE);
}

gboolean gb_web_read_shots(GbWebRequest *request, const json_t *shots, char **text)
{
    *text = shots == NULL ? NULL : gb_web_shots(shots);
    if (shots == NULL || *text != NULL)
        return TRUE;
    gb_web_refuse(request, MHD_HTTP_BAD_REQUEST, "syntax", "'shots' must be a list of numbers; nothing was changed");
    return FALSE;
}
