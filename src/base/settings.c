/* settings.c -- see settings.h.
 *
 * Reading goes through GbIni, which names lines; writing through GKeyFile, which keeps remarks. A file that GbIni refuses is not written to.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <gablebook/settings.h>

#include <errno.h>
#include <gablebook/error.h>
#include <gablebook/file.h>
#include <gablebook/ini.h>
#include <string.h>

#define SECTION "settings"
#define FILE_MAX_BYTES (1024 * 1024) /* as GbIni reads */

struct GbSettings {
    GbIni *ini; /* NULL: there is no file */
};

static const GbSetting all[] = {
    { "adjuster", "who inspects, in new claims" },
    { "checklist", "what new claims must show (not set: by their cause)" },
    { "letterhead", "name of who sends reports, in new claims" },
    { "letterhead-address", "its address, lines parted by ';'" },
    { "letterhead-logo", "its logo: path of a JPEG or PNG" },
    { "paper", "letter or A4: of PDFs, where --paper does not say" },
    { "locale", "how reports write days, times and numbers: en-US, de-DE ..., where --locale does not say" },
    { "units", "feet or metres: how gablebook roof shows what was measured" },
    { "set", "the set of checklists and templates for new claims" },
    { NULL, NULL },
};

const GbSetting *gb_settings_all(void)
{
    return all;
}

char *gb_settings_path(void)
{
    return g_build_filename(g_get_user_config_dir(), "gablebook", "settings.ini", NULL);
}

static gboolean is_there(const char *path)
{
    return g_file_test(path, G_FILE_TEST_EXISTS);
}

/* The sections must be checked, too: a setting under a misspelt head would silently not count. */
static GbIni *read_file(const char *path, GError **error)
{
    const char *known[G_N_ELEMENTS(all)];
    for (gsize i = 0; i < G_N_ELEMENTS(all); i++)
        known[i] = all[i].name;
    g_autoptr(GbIni) ini = gb_ini_load(path, known, error);
    if (ini == NULL)
        return NULL;
    for (const char *const *section = gb_ini_sections(ini); *section != NULL; section++)
        if (strcmp(*section, SECTION) != 0) {
            gb_ini_fail(ini, *section, NULL, error, "[%s] is no section of this file; it has [" SECTION "]", *section);
            return NULL;
        }
    return g_steal_pointer(&ini);
}

GbSettings *gb_settings_load(GError **error)
{
    g_autofree char *path = gb_settings_path();
    gboolean there = is_there(path);
    GbIni *ini = there ? read_file(path, error) : NULL;
    if (there && ini == NULL)
        return NULL;
    GbSettings *settings = g_new(GbSettings, 1);
    settings->ini = ini;
    return settings;
}

const char *gb_settings_get(const GbSettings *settings, const char *name)
{
    return settings->ini == NULL ? NULL : gb_ini_get(settings->ini, SECTION, name);
}

void gb_settings_free(GbSettings *settings)
{
    if (settings == NULL)
        return;
    gb_ini_free(settings->ini);
    g_free(settings);
}

/* The file's text with one setting changed. OWNED by the caller. */
static char *changed(const char *path, const char *name, const char *value, gsize *n, GError **error)
{
    g_autoptr(GKeyFile) file = g_key_file_new();
    g_autoptr(GError) cause = NULL;
    /* read as text: GKeyFile knows no byte-order mark */
    g_autofree char *text = is_there(path) ? gb_file_read_text(path, FILE_MAX_BYTES, error) : g_strdup("");
    if (text == NULL)
        return NULL;
    if (!g_key_file_load_from_data(file, text, strlen(text), G_KEY_FILE_KEEP_COMMENTS | G_KEY_FILE_KEEP_TRANSLATIONS, &cause)) {
        g_set_error(error, GB_ERROR, GB_ERROR_SYNTAX, "%s: %s; nothing was changed", path, cause->message);
        return NULL;
    }
    if (value != NULL && *value != '\0')
        g_key_file_set_string(file, SECTION, name, value);
    else if (g_key_file_has_group(file, SECTION))
        g_key_file_remove_key(file, SECTION, name, NULL);
    return g_key_file_to_data(file, n, NULL);
}

/* Line ends and tabs are written as escapes; other control characters would stand in the file as they are, and GbIni refuses those. */
static gboolean can_be_written(const char *name, const char *value, GError **error)
{
    for (const char *p = value; p != NULL && *p != '\0'; p++)
        if (g_ascii_iscntrl(*p) && strchr("\t\r\n", *p) == NULL) {
            g_set_error(error, GB_ERROR, GB_ERROR_SYNTAX, "%s: the value holds a control character (code %d); nothing was changed", name, *p);
            return FALSE;
        }
    return TRUE;
}

gboolean gb_settings_set(const char *name, const char *value, GError **error)
{
    g_autofree char *path = gb_settings_path(), *folder = g_path_get_dirname(path);
    if (!can_be_written(name, value, error))
        return FALSE;
    g_autoptr(GbIni) before = is_there(path) ? read_file(path, error) : NULL;
    if (is_there(path) && before == NULL)
        return FALSE;
    if (g_mkdir_with_parents(folder, 0700) != 0) {
        g_set_error(error, GB_ERROR, GB_ERROR_IO, "%s: can't be made: %s; nothing was changed", folder, g_strerror(errno));
        return FALSE;
    }
    gsize n;
    g_autofree char *text = changed(path, name, value, &n, error);
    return text != NULL && gb_file_write(path, text, n, 0644, error);
}
