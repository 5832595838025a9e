/* changeset.c -- is this blob a whole changeset of ours?
 *
 * A claim may come from elsewhere, and SQLite's reader of changesets is not made for blobs that somebody bent: version 3.40
 * never returns from inverting some. So the shape is gone through here first. It is the documented one
 * (https://www.sqlite.org/session/changegroup.html and sqlite3session.c, "CHANGESET BLOB FORMAT"):
 *
 *     'T'  varint columns  columns bytes (is it in the key?)  table name NUL
 *     then changes of that table: operation byte, indirect byte, one record (insert, delete) or two (update)
 *     a record: for each column a type byte 0-5 and what belongs to it; 0, not part of the change, only where an update leaves
 *     a column alone that is not in the key
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "log-private.h"

#include <string.h>

#define COLUMNS_MAX 64

typedef struct {
    const guint8 *at, *end;
    guint64 columns;   /* of the table whose changes come */
    const guint8 *key; /* so many flags: is it in the key? */
} Reader;

/* Which columns a record must have. */
typedef enum { ALL, KEY, NONE } Needed;

static gboolean skip(Reader *reader, guint64 n)
{
    if ((guint64)(reader->end - reader->at) < n)
        return FALSE;
    reader->at += n;
    return TRUE;
}

static gboolean read_byte(Reader *reader, guint8 *byte)
{
    if (reader->at == reader->end)
        return FALSE;
    *byte = *reader->at++;
    return TRUE;
}

/* SQLite's big-endian varint; ours are short: at most four bytes (2^28). */
static gboolean read_varint(Reader *reader, guint64 *value)
{
    guint8 byte;
    *value = 0;
    for (int i = 0; i < 4; i++) {
        if (!read_byte(reader, &byte))
            return FALSE;
        *value = *value << 7 | (byte & 0x7f);
        if (byte < 0x80)
            return TRUE;
    }
    return FALSE;
}

static gboolean skip_value(Reader *reader, gboolean needed)
{
    guint8 type;
    guint64 n;
    if (!read_byte(reader, &type))
        return FALSE;
    switch (type) {
    case 0: /* not part of the change */
        return !needed;
    case SQLITE_NULL:
        return TRUE;
    case SQLITE_INTEGER:
    case SQLITE_FLOAT:
        return skip(reader, 8);
    case SQLITE_TEXT:
    case SQLITE_BLOB:
        return read_varint(reader, &n) && skip(reader, n);
    default:
        return FALSE;
    }
}

static gboolean skip_record(Reader *reader, Needed needed)
{
    for (guint64 i = 0; i < reader->columns; i++)
        if (!skip_value(reader, needed == ALL || (needed == KEY && reader->key[i] != 0)))
            return FALSE;
    return TRUE;
}

static gboolean skip_change(Reader *reader)
{
    guint8 operation, indirect;
    if (!read_byte(reader, &operation) || !read_byte(reader, &indirect) || indirect > 1)
        return FALSE;
    if (operation == SQLITE_UPDATE)
        return skip_record(reader, KEY) && skip_record(reader, NONE);
    return (operation == SQLITE_INSERT || operation == SQLITE_DELETE) && skip_record(reader, ALL);
}

static gboolean read_head(Reader *reader, gboolean (*is_table)(const char *name))
{
    if (!read_varint(reader, &reader->columns) || reader->columns < 1 || reader->columns > COLUMNS_MAX)
        return FALSE;
    reader->key = reader->at;
    if (!skip(reader, reader->columns))
        return FALSE;
    const char *name = (const char *)reader->at;
    const guint8 *stop = memchr(reader->at, '\0', (gsize)(reader->end - reader->at));
    if (stop == NULL || !is_table(name))
        return FALSE;
    reader->at = stop + 1;
    return TRUE;
}

gboolean gb_changeset_is_sound(const void *changeset, gsize n, gboolean (*is_table)(const char *name))
{
    Reader reader = { changeset, (const guint8 *)changeset + n, 0, NULL };
    if (n == 0 || reader.at[0] != 'T')
        return FALSE;
    while (reader.at < reader.end) {
        gboolean ok = *reader.at == 'T' ? (reader.at++, read_head(&reader, is_table)) : skip_change(&reader);
        if (!ok)
            return FALSE;
    }
    return TRUE;
}
