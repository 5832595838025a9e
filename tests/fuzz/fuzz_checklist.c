/* fuzz_checklist.c -- the files people edit, from a claim folder of somebody else: a checklist, subjects, facts (the first byte chooses).
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "fuzz.h"

#include <gablebook/checklist.h>
#include <math.h>
#include <sys/mman.h>
#include <unistd.h>

static GbCatalogue *catalogue;
static GbFactlist *factlist;

int LLVMFuzzerInitialize(int *argc, char ***argv)
{
    (void)argc, (void)argv;
    catalogue = gb_catalogue_builtin(NULL);
    factlist = gb_factlist_builtin(catalogue, NULL);
    return 0;
}

/* Loading and looking through must agree on whether there is a fault. */
static void check_list(const char *path)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GPtrArray) faults = g_ptr_array_new_with_free_func(g_free);
    g_autoptr(GbChecklist) list = gb_checklist_load(path, catalogue, factlist, &error);
    gb_checklist_lint(path, catalogue, factlist, faults);
    holds((list != NULL) == (faults->len == 0));
    if (list == NULL)
        holds_sentence(&error);
    for (guint i = 0; list != NULL && i < gb_checklist_size(list); i++) {
        const GbRequirement *wanted = gb_checklist_peek(list, i);
        holds(wanted->id != NULL && wanted->what != NULL && wanted->why != NULL && wanted->causes != NULL && wanted->subjects != NULL);
    }
}

static void extend_subjects(const char *path)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbCatalogue) own = gb_catalogue_builtin(NULL);
    guint before = gb_catalogue_size(own);
    if (!gb_catalogue_extend(own, path, &error)) {
        holds_sentence(&error);
        holds(gb_catalogue_size(own) == before);
    }
    for (guint i = 0; i < gb_catalogue_size(own); i++) {
        g_autofree char *caption = gb_caption_compose(gb_catalogue_peek(own, i), "Rear slope", GB_DISTANCE_CLOSE, "3");
        holds(caption != NULL);
    }
}

static void extend_facts(const char *path)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbFactlist) own = gb_factlist_builtin(catalogue, NULL);
    guint before = gb_factlist_size(own);
    if (!gb_factlist_extend(own, path, catalogue, &error)) {
        holds_sentence(&error);
        holds(gb_factlist_size(own) == before);
    }
    for (guint i = 0; i < gb_factlist_size(own); i++) {
        const GbFactKind *kind = gb_factlist_peek(own, i);
        g_autofree char *where = gb_fact_where_text(kind);
        holds(where != NULL);
        GbFactValue value;
        if (gb_fact_value_parse(kind, "3", &value, NULL))
            holds(isnan(value.low) || value.low >= 0);
    }
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t n)
{
    int fd = n < 1 ? -1 : memfd_create("ini", 0);
    if (fd < 0 || write(fd, data + 1, n - 1) != (ssize_t)(n - 1))
        return 0;
    g_autofree char *path = g_strdup_printf("/proc/self/fd/%d", fd);
    (data[0] % 3 == 0 ? check_list : data[0] % 3 == 1 ? extend_subjects : extend_facts)(path);
    close(fd);
    return 0;
}
