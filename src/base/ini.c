/* ini.c -- the files people edit. See ini.h.
 *
 * Two passes over the same text. The first goes line by line and knows where everything stands, what
 * stands twice and what doesn't belong; GKeyFile would merge the twice-given silently and name no line. The second is
 * GKeyFile's: it alone decides what a value says (blanks, escapes). The values are then kept beside their lines.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <gablebook/ini.h>

#include <gablebook/error.h>
#include <gablebook/file.h>
#include <gablebook/quote.h>

#define INI_MAX_BYTES (1024 * 1024)

typedef struct {
    guint line;
    char *value; /* trimmed; NULL where nothing stands after '=' */
} Entry;

typedef struct {
    guint line;
    GHashTable *entries; /* key name -> Entry */
} Section;

struct GbIni {
    char *name;
    GPtrArray *names;     /* of the sections, in file order, NULL-terminated once parsed; owned by the table */
    GHashTable *sections; /* name -> Section */
};

/* Where the first pass stands. */
typedef struct {
    GbIni *ini;
    const char *const *known;
    guint line;
    Section *section; /* NULL before the first */
} Reader;

static void entry_free(gpointer data)
{
    Entry *entry = data;
    g_free(entry->value);
    g_free(entry);
}

static void section_free(gpointer data)
{
    Section *section = data;
    g_hash_table_unref(section->entries);
    g_free(section);
}

static GbIni *ini_new(const char *name)
{
    GbIni *ini = g_new0(GbIni, 1);
    ini->name = g_strdup(name);
    ini->names = g_ptr_array_new();
    ini->sections = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, section_free);
    return ini;
}

void gb_ini_free(GbIni *ini)
{
    if (ini == NULL)
        return;
    g_ptr_array_unref(ini->names);
    g_hash_table_unref(ini->sections);
    g_free(ini->name);
    g_free(ini);
}

static gboolean G_GNUC_PRINTF(4, 5) fail_at(const char *name, guint line, GError **error, const char *format, ...)
{
    va_list more;
    va_start(more, format);
    g_autofree char *message = g_strdup_vprintf(format, more);
    va_end(more);
    g_set_error(error, GB_ERROR, GB_ERROR_SYNTAX, "%s:%u: %s", name, line, message);
    return FALSE;
}

/* --- first pass --- */

static gboolean read_section(Reader *reader, const char *text, GError **error)
{
    GbIni *ini = reader->ini;
    g_autofree char *shown = gb_quote(text);
    gsize n = strcspn(text + 1, "[]");
    if (n == 0 || text[1 + n] != ']' || text[2 + n] != '\0' || g_ascii_isspace(text[1]) || g_ascii_isspace(text[n]))
        return fail_at(ini->name, reader->line, error, "%s is no section; write one as [word], alone on its line", shown);

    g_autofree char *name = g_strndup(text + 1, n);
    const Section *before = g_hash_table_lookup(ini->sections, name);
    if (before != NULL)
        return fail_at(ini->name, reader->line, error, "section %s is in line %u already", shown, before->line);

    reader->section = g_new0(Section, 1);
    reader->section->line = reader->line;
    reader->section->entries = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, entry_free);
    g_ptr_array_add(ini->names, name);
    g_hash_table_insert(ini->sections, g_steal_pointer(&name), reader->section);
    return TRUE;
}

static gboolean fail_unknown(const Reader *reader, const char *key, GError **error)
{
    g_autofree char *shown = gb_quote(key);
    g_autofree char *near = gb_quote_nearest(key, reader->known, g_strv_length((char **)reader->known));
    if (near != NULL)
        return fail_at(reader->ini->name, reader->line, error, "%s is no key of this file; nearest: %s", shown, near);
    g_autofree char *all = g_strjoinv(", ", (char **)reader->known);
    return fail_at(reader->ini->name, reader->line, error, "%s is no key of this file; it has %s", shown, all);
}

static gboolean read_key(Reader *reader, const char *text, GError **error)
{
    const char *name = reader->ini->name;
    const char *equals = strchr(text, '=');
    if (equals == NULL || equals == text) {
        g_autofree char *shown = gb_quote(text);
        return fail_at(name, reader->line, error, "%s is neither [section] nor 'key = value'%s", shown,
                       text[0] == ';' ? "; a remark begins with #" : "");
    }
    g_autofree char *key = g_strchomp(g_strndup(text, (gsize)(equals - text)));
    g_autofree char *shown = gb_quote(key);
    if (reader->section == NULL)
        return fail_at(name, reader->line, error, "%s stands before the first [section]", shown);
    if (!g_strv_contains(reader->known, key))
        return fail_unknown(reader, key, error);
    const Entry *before = g_hash_table_lookup(reader->section->entries, key);
    if (before != NULL)
        return fail_at(name, reader->line, error, "%s is in line %u already", shown, before->line);

    Entry *entry = g_new0(Entry, 1);
    entry->line = reader->line;
    g_hash_table_insert(reader->section->entries, g_steal_pointer(&key), entry);
    return TRUE;
}

static gboolean read_line(Reader *reader, char *text, GError **error)
{
    g_strstrip(text); /* takes the CR of a CRLF, too */
    for (const char *p = text; *p != '\0'; p++)
        if (g_ascii_iscntrl(*p) && *p != '\t')
            return fail_at(reader->ini->name, reader->line, error, "a control character (code %d) stands here", *p);
    if (text[0] == '\0' || text[0] == '#')
        return TRUE;
    return text[0] == '[' ? read_section(reader, text, error) : read_key(reader, text, error);
}

static gboolean read_lines(GbIni *ini, const char *text, const char *const *known, GError **error)
{
    Reader reader = { .ini = ini, .known = known };
    g_auto(GStrv) lines = g_strsplit(text, "\n", -1);
    for (guint i = 0; lines[i] != NULL; i++) {
        reader.line = i + 1;
        if (!read_line(&reader, lines[i], error))
            return FALSE;
    }
    g_ptr_array_add(ini->names, NULL);
    return TRUE;
}

static gboolean check_utf8(const char *name, const char *text, GError **error)
{
    const char *end;
    if (g_utf8_validate(text, -1, &end))
        return TRUE;
    guint line = 1;
    for (const char *p = text; p < end; p++)
        line += *p == '\n';
    return fail_at(name, line, error, "this is not UTF-8 text; save the file as UTF-8");
}

/* --- second pass --- */

static gboolean fetch_value(const GbIni *ini, GKeyFile *file, const char *section, const char *key, Entry *entry, GError **error)
{
    g_autoptr(GError) cause = NULL; /* a bad escape sets it and returns a string all the same */
    g_autofree char *value = g_key_file_get_string(file, section, key, &cause);
    if (cause != NULL)
        return fail_at(ini->name, entry->line, error, "after a backslash comes one of s n t r or a second backslash");
    /* A value is one line wherever it is shown. */
    g_strstrip(g_strdelimit(value, "\t\r\n", ' '));
    if (*value != '\0')
        entry->value = g_steal_pointer(&value);
    return TRUE;
}

static gboolean fetch_values(const GbIni *ini, const char *text, GError **error)
{
    g_autoptr(GKeyFile) file = g_key_file_new();
    g_autoptr(GError) cause = NULL;
    if (!g_key_file_load_from_data(file, text, strlen(text), G_KEY_FILE_NONE, &cause)) {
        g_set_error(error, GB_ERROR, GB_ERROR_SYNTAX, "%s: %s", ini->name, cause->message);
        return FALSE;
    }
    for (guint i = 0; ini->names->pdata[i] != NULL; i++) {
        const char *name = ini->names->pdata[i];
        const Section *section = g_hash_table_lookup(ini->sections, name);
        GHashTableIter iter;
        gpointer key, entry;
        g_hash_table_iter_init(&iter, section->entries);
        while (g_hash_table_iter_next(&iter, &key, &entry))
            if (!fetch_value(ini, file, name, key, entry, error))
                return FALSE;
    }
    return TRUE;
}

/* --- the door --- */

GbIni *gb_ini_parse(const char *name, const char *text, const char *const *known, GError **error)
{
    if (g_str_has_prefix(text, "\xEF\xBB\xBF"))
        text += 3;
    if (!check_utf8(name, text, error))
        return NULL;
    g_autoptr(GbIni) ini = ini_new(name);
    if (!read_lines(ini, text, known, error) || !fetch_values(ini, text, error))
        return NULL;
    return g_steal_pointer(&ini);
}

GbIni *gb_ini_load(const char *path, const char *const *known, GError **error)
{
    g_autofree char *text = gb_file_read_text(path, INI_MAX_BYTES, error);
    if (text == NULL)
        return NULL;
    g_autofree char *name = g_filename_display_name(path);
    return gb_ini_parse(name, text, known, error);
}

static const Entry *find_entry(const GbIni *ini, const char *section, const char *key)
{
    const Section *found = g_hash_table_lookup(ini->sections, section);
    return found != NULL && key != NULL ? g_hash_table_lookup(found->entries, key) : NULL;
}

const char *const *gb_ini_sections(const GbIni *ini)
{
    return (const char *const *)ini->names->pdata;
}

const char *gb_ini_get(const GbIni *ini, const char *section, const char *key)
{
    const Entry *entry = find_entry(ini, section, key);
    return entry != NULL ? entry->value : NULL;
}

char **gb_ini_list(const GbIni *ini, const char *section, const char *key)
{
    const char *value = gb_ini_get(ini, section, key);
    g_auto(GStrv) parts = g_strsplit_set(value != NULL ? value : "", ",;", -1);
    g_autoptr(GStrvBuilder) kept = g_strv_builder_new();
    for (guint i = 0; parts[i] != NULL; i++)
        if (*g_strstrip(parts[i]) != '\0')
            g_strv_builder_add(kept, parts[i]);
    return g_strv_builder_end(kept);
}

guint gb_ini_line(const GbIni *ini, const char *section, const char *key)
{
    const Entry *entry = find_entry(ini, section, key);
    if (entry != NULL)
        return entry->line;
    const Section *found = g_hash_table_lookup(ini->sections, section);
    return found != NULL ? found->line : 0;
}

gboolean gb_ini_fail(const GbIni *ini, const char *section, const char *key, GError **error, const char *format, ...)
{
    va_list more;
    va_start(more, format);
    g_autofree char *message = g_strdup_vprintf(format, more);
    va_end(more);
    return fail_at(ini->name, gb_ini_line(ini, section, key), error, "%s", message);
}
