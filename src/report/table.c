/* table.c -- tables as data: whoever has something to tell in rows puts them into the model, and page and PDF draw them alike.
 *
 * A cell has parts; a part is text, perhaps a note in small letters, and the figures it refers to. Lists are always there, so that a
 * template does not fall through to an outer one.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "report-private.h"

json_t *gb_table_new(const char *id, const char *title, const char *lead)
{
    json_t *table = json_pack("{s:s, s:[], s:[]}", "id", id, "columns", "rows");
    gb_put_text(table, "title", title);
    gb_put_text(table, "lead", lead);
    return table;
}

void gb_table_column(json_t *table, const char *label, int share, gboolean numeric)
{
    json_t *column = json_pack("{s:s, s:i}", "label", label, "share", share);
    if (numeric)
        json_object_set_new(column, "numeric", json_true());
    json_array_append_new(json_object_get(table, "columns"), column);
}

json_t *gb_table_row(json_t *table)
{
    json_t *row = json_pack("{s:[]}", "cells");
    json_array_append_new(json_object_get(table, "rows"), row);
    return row;
}

json_t *gb_table_cell(const json_t *table, json_t *row, const char *text)
{
    json_t *cell = json_pack("{s:[]}", "parts"), *cells = json_object_get(row, "cells");
    const json_t *column = json_array_get(json_object_get(table, "columns"), json_array_size(cells));
    if (json_is_true(json_object_get(column, "numeric")))
        json_object_set_new(cell, "numeric", json_true());
    json_array_append_new(cells, cell);
    gb_table_part(cell, text);
    return cell;
}

json_t *gb_table_part(json_t *cell, const char *text)
{
    g_autofree char *valid = g_utf8_make_valid(text != NULL ? text : "", -1);
    json_t *part = json_pack("{s:s, s:[]}", "text", valid, "figures");
    json_array_append_new(json_object_get(cell, "parts"), part);
    return part;
}

static json_t *last_part(const json_t *cell)
{
    const json_t *parts = json_object_get(cell, "parts");
    return json_array_get(parts, json_array_size(parts) - 1);
}

void gb_table_note(json_t *cell, const char *note)
{
    gb_put_text(last_part(cell), "note", note);
}

/* "test square: 4, 5": a colon tells the number from what stands before it. */
static void put_colon(json_t *part)
{
    const char *text = json_string_value(json_object_get(part, "text"));
    if (*text == '\0' || g_str_has_suffix(text, ":"))
        return;
    g_autofree char *with = g_strconcat(text, ":", NULL);
    json_object_set_new(part, "text", json_string(with));
}

void gb_table_figure(json_t *cell, guint number)
{
    json_t *part = last_part(cell);
    put_colon(part);
    json_array_append_new(json_object_get(part, "figures"), json_pack("{s:i}", "number", (int)number));
}

guint gb_table_rows(const json_t *table)
{
    return (guint)json_array_size(json_object_get(table, "rows"));
}
