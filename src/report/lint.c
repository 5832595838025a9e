/* lint.c -- see lint.h.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <gablebook/lint.h>

#include <gablebook/checklist.h>
#include <gablebook/component.h>
#include <gablebook/file.h>
#include <gablebook/template.h>
#include <string.h>

#define TEMPLATE_MAX_BYTES (1u << 20)
#define DEPTH_MAX 3

static void free_file(gpointer data)
{
    GbLintFile *file = data;
    g_free(file->path);
    g_ptr_array_unref(file->faults);
    g_free(file);
}

/* TAKES error; NULL is no fault. */
static void add_fault(GPtrArray *faults, GError *error)
{
    if (error == NULL)
        return;
    g_ptr_array_add(faults, g_strdup(error->message));
    g_error_free(error);
}

static void lint_subjects(const char *path, GPtrArray *faults)
{
    GError *error = NULL;
    g_autoptr(GbCatalogue) catalogue = gb_catalogue_builtin(&error);
    if (catalogue != NULL)
        gb_catalogue_extend(catalogue, path, &error);
    add_fault(faults, error);
}

static void lint_components(const char *path, GPtrArray *faults)
{
    GError *error = NULL;
    g_autoptr(GbComponents) components = gb_components_builtin(&error);
    if (components != NULL)
        gb_components_extend(components, path, &error);
    add_fault(faults, error);
}

/* The file of that name that a claim or a set would use with this one: beside it, or beside its folder. OWNED by the caller; NULL: none. */
static char *companion(const char *path, const char *name)
{
    g_autofree char *folder = g_path_get_dirname(path), *above = g_path_get_dirname(folder);
    g_autofree char *here = g_build_filename(folder, name, NULL), *there = g_build_filename(above, name, NULL);
    return g_file_test(here, G_FILE_TEST_EXISTS) ? g_steal_pointer(&here) : g_file_test(there, G_FILE_TEST_EXISTS) ? g_steal_pointer(&there) : NULL;
}

/* The program's subjects and facts, with those of the files beside. Faults of these are told with them: then the program's alone. */
static GbCatalogue *subjects_for(const char *path, GError **error)
{
    GbCatalogue *catalogue = gb_catalogue_builtin(error);
    g_autofree char *own = companion(path, "subjects.ini");
    if (catalogue != NULL && own != NULL)
        gb_catalogue_extend(catalogue, own, NULL);
    return catalogue;
}

static void lint_facts(const char *path, GPtrArray *faults)
{
    GError *error = NULL;
    g_autoptr(GbCatalogue) catalogue = subjects_for(path, &error);
    g_autoptr(GbFactlist) factlist = catalogue == NULL ? NULL : gb_factlist_builtin(catalogue, &error);
    if (factlist != NULL)
        gb_factlist_extend(factlist, path, catalogue, &error);
    add_fault(faults, error);
}

static void lint_checklist(const char *path, GPtrArray *faults)
{
    GError *error = NULL;
    g_autoptr(GbCatalogue) catalogue = subjects_for(path, &error);
    g_autoptr(GbFactlist) factlist = catalogue == NULL ? NULL : gb_factlist_builtin(catalogue, &error);
    g_autofree char *own = companion(path, "facts.ini");
    if (factlist != NULL && own != NULL)
        gb_factlist_extend(factlist, own, catalogue, NULL);
    if (factlist != NULL)
        gb_checklist_lint(path, catalogue, factlist, faults);
    add_fault(faults, error);
}

static void lint_template(const char *path, GPtrArray *faults)
{
    GError *error = NULL;
    g_autofree char *shown = g_filename_display_name(path);
    g_autofree char *text = gb_file_read_text(path, TEMPLATE_MAX_BYTES, &error);
    g_autoptr(GbTemplate) parsed = text == NULL ? NULL : gb_template_parse(shown, text, &error);
    (void)parsed;
    add_fault(faults, error);
}

/* What it is by its name; the first that fits. */
static const struct {
    const char *ends, *kind;
    void (*lint)(const char *path, GPtrArray *faults); /* NULL: nothing that this looks at */
} kinds[] = {
    { "/subjects.ini", "subjects", lint_subjects },
    { "/facts.ini", "facts", lint_facts },
    { "/components.ini", "components", lint_components },
    { "/settings.ini", NULL, NULL },
    { "/letterhead.ini", NULL, NULL },
    { ".ini", "checklist", lint_checklist },
    { ".html", "template", lint_template },
};

/* named: it was named by a person, so something must be said of it. */
static void lint_file(const char *path, gboolean named, GPtrArray *files)
{
    g_autofree char *with_slash = g_strconcat("/", path, NULL);
    gsize i = 0;
    while (i < G_N_ELEMENTS(kinds) && !g_str_has_suffix(with_slash, kinds[i].ends))
        i++;
    gboolean known = i < G_N_ELEMENTS(kinds) && kinds[i].lint != NULL;
    if (!known && !named)
        return;
    GbLintFile *file = g_new(GbLintFile, 1);
    *file = (GbLintFile){ g_filename_display_name(path), known ? kinds[i].kind : "file", g_ptr_array_new_with_free_func(g_free) };
    g_ptr_array_add(files, file);
    if (known)
        kinds[i].lint(path, file->faults);
    else
        g_ptr_array_add(file->faults, g_strdup_printf("%s: is no checklist (NAME.ini), subjects.ini, facts.ini, components.ini or template "
                                                      "(NAME.html); it was not looked at", file->path));
}

static gint by_text(gconstpointer a, gconstpointer b)
{
    return strcmp(*(char *const *)a, *(char *const *)b);
}

static void lint_path(const char *path, guint depth, GPtrArray *files)
{
    if (!g_file_test(path, G_FILE_TEST_IS_DIR)) {
        lint_file(path, depth == 0, files);
        return;
    }
    g_autoptr(GPtrArray) names = g_ptr_array_new_with_free_func(g_free);
    g_autoptr(GDir) dir = g_dir_open(path, 0, NULL);
    const char *name;
    while (dir != NULL && (name = g_dir_read_name(dir)) != NULL)
        if (*name != '.')
            g_ptr_array_add(names, g_build_filename(path, name, NULL));
    g_ptr_array_sort(names, by_text);
    for (guint i = 0; depth < DEPTH_MAX && i < names->len; i++)
        lint_path(names->pdata[i], depth + 1, files);
}

GPtrArray *gb_lint(const char *path)
{
    GPtrArray *files = g_ptr_array_new_with_free_func(free_file);
    lint_path(path, 0, files);
    return files;
}
