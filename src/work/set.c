/* set.c -- see set.h.
 *
 * The files are held in memory between reading and copying, so that a fault in the set is known before a claim is made.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <gablebook/set.h>

#include <errno.h>
#include <gablebook/checklist.h>
#include <gablebook/component.h>
#include <gablebook/error.h>
#include <gablebook/file.h>
#include <gablebook/word.h>
#include <glib/gstdio.h>
#include <string.h>

#define FILES_MAX 200
#define BYTES_MAX (16u << 20)
#define CHECKLISTS "checklists/"
#define LETTERHEAD "letterhead.ini"
#define LOGO_MAX_BYTES (4u << 20)

typedef struct {
    char *name; /* within the set: "checklists/hail.ini" */
    GBytes *bytes;
} File;

struct GbSet {
    char *folder;
    GPtrArray *files;      /* of File */
    GPtrArray *checklists; /* of char *, names without folder and .ini */
    gsize bytes;
};

static void free_file(gpointer data)
{
    File *file = data;
    g_free(file->name);
    g_bytes_unref(file->bytes);
    g_free(file);
}

void gb_set_free(GbSet *set)
{
    if (set == NULL)
        return;
    g_free(set->folder);
    g_ptr_array_unref(set->files);
    g_ptr_array_unref(set->checklists);
    g_free(set);
}

/* --- which sets there are --- */

char *gb_sets_folder(void)
{
    return g_build_filename(g_get_user_config_dir(), "gablebook", "sets", NULL);
}

static gint by_text(gconstpointer a, gconstpointer b)
{
    return strcmp(*(char *const *)a, *(char *const *)b);
}

/* Names in a folder, sorted, those with a dot in front passed over. OWNED by the caller (g_ptr_array_unref). */
static GPtrArray *names_in(const char *folder)
{
    GPtrArray *names = g_ptr_array_new_with_free_func(g_free);
    g_autoptr(GDir) dir = g_dir_open(folder, 0, NULL);
    const char *name;
    while (dir != NULL && (name = g_dir_read_name(dir)) != NULL)
        if (*name != '.')
            g_ptr_array_add(names, g_strdup(name));
    g_ptr_array_sort(names, by_text);
    return names;
}

char **gb_set_names(void)
{
    g_autofree char *sets = gb_sets_folder();
    g_autoptr(GPtrArray) names = names_in(sets);
    g_autoptr(GStrvBuilder) found = g_strv_builder_new();
    for (guint i = 0; i < names->len; i++) {
        g_autofree char *path = g_build_filename(sets, names->pdata[i], NULL);
        if (g_file_test(path, G_FILE_TEST_IS_DIR) && g_utf8_validate(names->pdata[i], -1, NULL))
            g_strv_builder_add(found, names->pdata[i]);
    }
    return g_strv_builder_end(found);
}

char *gb_set_find(const char *word, GError **error)
{
    if (strchr(word, '/') != NULL)
        return g_strdup(word);
    g_auto(GStrv) names = gb_set_names();
    g_autofree char *sets = gb_sets_folder();
    gssize i = gb_word_find(word, (const char *const *)names, g_strv_length(names), "set", error);
    if (i < 0 && names[0] == NULL && error != NULL) {
        char *message = g_strdup_printf("%s; there are none in %s yet", (*error)->message, sets);
        g_free((*error)->message);
        (*error)->message = message;
    }
    return i < 0 ? NULL : g_build_filename(sets, names[i], NULL);
}

/* --- reading one --- */

GbSet *gb_set_new(void)
{
    GbSet *set = g_new0(GbSet, 1);
    set->files = g_ptr_array_new_with_free_func(free_file);
    set->checklists = g_ptr_array_new_with_free_func(g_free);
    return set;
}

/* TAKES bytes. */
static void add_file(GbSet *set, const char *name, GBytes *bytes)
{
    File *file = g_new(File, 1);
    *file = (File){ g_strdup(name), bytes };
    g_ptr_array_add(set->files, file);
}

static gboolean take_file(GbSet *set, const char *name, GError **error)
{
    g_autofree char *path = g_build_filename(set->folder, name, NULL);
    if (set->files->len == FILES_MAX) {
        g_set_error(error, GB_ERROR, GB_ERROR_TOO_LARGE, "%s: holds more than %d files, which no set does", set->folder, FILES_MAX);
        return FALSE;
    }
    GBytes *bytes = gb_file_read(path, BYTES_MAX - set->bytes, error);
    if (bytes == NULL)
        return FALSE;
    set->bytes += g_bytes_get_size(bytes);
    add_file(set, name, bytes);
    if (g_str_has_prefix(name, CHECKLISTS) && g_str_has_suffix(name, ".ini"))
        g_ptr_array_add(set->checklists, g_strndup(name + strlen(CHECKLISTS), strlen(name) - strlen(CHECKLISTS) - strlen(".ini")));
    return TRUE;
}

static gboolean take_folder(GbSet *set, const char *name, GError **error)
{
    g_autofree char *path = g_build_filename(set->folder, name, NULL);
    g_autoptr(GPtrArray) names = names_in(path);
    for (guint i = 0; i < names->len; i++) {
        g_autofree char *inside = *name == '\0' ? g_strdup(names->pdata[i]) : g_strconcat(name, "/", names->pdata[i], NULL);
        g_autofree char *whole = g_build_filename(set->folder, inside, NULL);
        gboolean is_folder = g_file_test(whole, G_FILE_TEST_IS_DIR);
        if (is_folder && *name == '\0' ? !take_folder(set, inside, error) : !is_folder && !take_file(set, inside, error))
            return FALSE;
    }
    return TRUE;
}

static gboolean has(const GbSet *set, const char *name, char **path)
{
    *path = g_build_filename(set->folder, name, NULL);
    return g_file_test(*path, G_FILE_TEST_EXISTS);
}

/* A set that can't be understood is no use to a claim. */
static gboolean understand(const GbSet *set, GError **error)
{
    g_autofree char *subjects = NULL, *facts = NULL, *components = NULL;
    g_autoptr(GbCatalogue) catalogue = gb_catalogue_builtin(error);
    if (catalogue == NULL || (has(set, "subjects.ini", &subjects) && !gb_catalogue_extend(catalogue, subjects, error)))
        return FALSE;
    g_autoptr(GbFactlist) factlist = gb_factlist_builtin(catalogue, error);
    if (factlist == NULL || (has(set, "facts.ini", &facts) && !gb_factlist_extend(factlist, facts, catalogue, error)))
        return FALSE;
    g_autoptr(GbComponents) parts = gb_components_builtin(error);
    if (parts == NULL || (has(set, "components.ini", &components) && !gb_components_extend(parts, components, error)))
        return FALSE;
    for (guint i = 0; i < set->checklists->len; i++) {
        g_autofree char *path = g_strdup_printf("%s/" CHECKLISTS "%s.ini", set->folder, (char *)set->checklists->pdata[i]);
        g_autoptr(GbChecklist) list = gb_checklist_load(path, catalogue, factlist, error);
        if (list == NULL)
            return FALSE;
    }
    return TRUE;
}

GbSet *gb_set_read(const char *folder, GError **error)
{
    if (!g_file_test(folder, G_FILE_TEST_IS_DIR)) {
        g_set_error(error, GB_ERROR, GB_ERROR_IO, "%s: there is no such folder of a set; nothing was made", folder);
        return NULL;
    }
    g_autoptr(GbSet) set = gb_set_new();
    set->folder = g_strdup(folder);
    if (!take_folder(set, "", error) || !understand(set, error))
        return NULL;
    return g_steal_pointer(&set);
}

/* The name under which a logo is kept, by what it is; NULL with error. BORROWED: a constant. */
static const char *logo_name(GBytes *bytes, const char *path, GError **error)
{
    gsize n;
    const guint8 *data = g_bytes_get_data(bytes, &n);
    if (n > 8 && memcmp(data, "\x89PNG\r\n\x1a\n", 8) == 0)
        return "logo.png";
    if (n > 3 && memcmp(data, "\xff\xd8\xff", 3) == 0)
        return "logo.jpg";
    g_set_error(error, GB_ERROR, GB_ERROR_FOREIGN, "%s: a logo is a JPEG or a PNG; nothing was made", path);
    return NULL;
}

gboolean gb_set_add_letterhead(GbSet *set, const char *name, const char *address, const char *logo, GError **error)
{
    for (guint i = 0; i < set->files->len; i++)
        if (strcmp(((const File *)set->files->pdata[i])->name, LETTERHEAD) == 0)
            return TRUE;
    if (name == NULL && address == NULL && logo == NULL)
        return TRUE;
    g_autoptr(GBytes) picture = logo == NULL ? NULL : gb_file_read(logo, LOGO_MAX_BYTES, error);
    const char *kept = picture == NULL ? NULL : logo_name(picture, logo, error);
    if (logo != NULL && kept == NULL)
        return FALSE;
    g_autoptr(GKeyFile) file = g_key_file_new();
    const char *const keys[] = { "name", name, "address", address, "logo", kept };
    for (gsize i = 0; i < G_N_ELEMENTS(keys); i += 2)
        if (keys[i + 1] != NULL)
            g_key_file_set_string(file, "letterhead", keys[i], keys[i + 1]);
    gsize n;
    char *text = g_key_file_to_data(file, &n, NULL);
    add_file(set, LETTERHEAD, g_bytes_new_take(text, n));
    if (kept != NULL)
        add_file(set, kept, g_steal_pointer(&picture));
    return TRUE;
}

const char *gb_set_only_checklist(const GbSet *set)
{
    return set->checklists->len == 1 ? set->checklists->pdata[0] : NULL;
}

gboolean gb_set_has_checklist(const GbSet *set, const char *name)
{
    return g_ptr_array_find_with_equal_func(set->checklists, name, g_str_equal, NULL);
}

/* --- copying --- */

static gboolean write_file(const File *file, const char *folder, GError **error)
{
    g_autofree char *path = g_build_filename(folder, file->name, NULL), *in = g_path_get_dirname(path);
    gsize n;
    const void *data = g_bytes_get_data(file->bytes, &n);
    if (g_mkdir_with_parents(in, 0777) != 0) {
        g_set_error(error, GB_ERROR, GB_ERROR_IO, "%s: can't be made: %s", in, g_strerror(errno));
        return FALSE;
    }
    return gb_file_write(path, data, n, 0644, error);
}

/* Take away what the files up to the n-th left, folders that are empty then included. */
static void take_back(const GbSet *set, const char *folder, guint n)
{
    for (guint i = 0; i <= n && i < set->files->len; i++) {
        g_autofree char *path = g_build_filename(folder, ((const File *)set->files->pdata[i])->name, NULL), *in = g_path_get_dirname(path);
        g_unlink(path);
        g_rmdir(in);
    }
    g_rmdir(folder);
}

void gb_set_take_back(const GbSet *set, const char *folder)
{
    take_back(set, folder, set->files->len);
}

static const File *find_file(const GbSet *set, const char *name)
{
    for (guint i = 0; i < set->files->len; i++)
        if (strcmp(((const File *)set->files->pdata[i])->name, name) == 0)
            return set->files->pdata[i];
    return NULL;
}

/* A file that is there already must be one that this set would write, byte for byte. */
static gboolean is_ours(const GbSet *set, const char *folder, const char *name, GError **error)
{
    g_autofree char *path = g_build_filename(folder, name, NULL);
    const File *file = find_file(set, name);
    g_autoptr(GBytes) bytes = file == NULL ? NULL : gb_file_read(path, BYTES_MAX, NULL);
    if (bytes != NULL && g_bytes_equal(bytes, file->bytes))
        return TRUE;
    g_autofree char *shown = g_filename_display_name(path);
    g_set_error(error, GB_ERROR, GB_ERROR_STATE, "%s: lies there from before; move %s away and say it again", shown, folder);
    return FALSE;
}

/* What a killed copy left may stay; anything else is not touched. below: "", or the name of a folder in folder. */
static gboolean check_rest(const GbSet *set, const char *folder, const char *below, GError **error)
{
    g_autofree char *path = g_build_filename(folder, below, NULL);
    g_autoptr(GPtrArray) names = names_in(path);
    gb_file_sweep(path);
    for (guint i = 0; i < names->len; i++) {
        g_autofree char *name = *below == '\0' ? g_strdup(names->pdata[i]) : g_strconcat(below, "/", names->pdata[i], NULL);
        g_autofree char *whole = g_build_filename(folder, name, NULL);
        gboolean inner = *below == '\0' && g_file_test(whole, G_FILE_TEST_IS_DIR) && !g_file_test(whole, G_FILE_TEST_IS_SYMLINK);
        if (inner ? !check_rest(set, folder, name, error) : !is_ours(set, folder, name, error))
            return FALSE;
    }
    return TRUE;
}

gboolean gb_set_copy(const GbSet *set, const char *folder, GError **error)
{
    if (!check_rest(set, folder, "", error))
        return FALSE;
    for (guint i = 0; i < set->files->len; i++)
        if (!write_file(set->files->pdata[i], folder, error)) {
            take_back(set, folder, i);
            return FALSE;
        }
    return TRUE;
}
