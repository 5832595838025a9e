/* fuzz_decoder.c -- what the decoder for HEIC says, had a picture taken it over: the input is its answer. The program itself is not run
 * (--wrap of child.c); libheif's own faults are what its fence is for.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "fuzz.h"

#include <gablebook/error.h>
#include <gablebook/jpeg.h>
#include <photo/child-private.h>
#include <photo/heic-private.h>

char *__wrap_gb_child_find(const char *name);
GbChild *__wrap_gb_child_start(const char *what, const char *path, const char *const *argv, const void *input, gsize n, int limit_ms,
                               GError **error);
gboolean __wrap_gb_child_read(GbChild *child, void *to, gsize n, GError **error);
void __wrap_gb_child_free(GbChild *child);

struct GbChild {
    const guint8 *at, *end;
};

static GbChild answer;

char *__wrap_gb_child_find(const char *name)
{
    return g_strdup(name);
}

GbChild *__wrap_gb_child_start(const char *what, const char *path, const char *const *argv, const void *input, gsize n, int limit_ms,
                               GError **error)
{
    (void)what, (void)path, (void)argv, (void)limit_ms, (void)error;
    answer = (GbChild){ input, (const guint8 *)input + n };
    return &answer;
}

gboolean __wrap_gb_child_read(GbChild *child, void *to, gsize n, GError **error)
{
    if ((gsize)(child->end - child->at) < n) {
        g_set_error_literal(error, GB_ERROR, GB_ERROR_DAMAGED, "it ended");
        return FALSE;
    }
    memcpy(to, child->at, n);
    child->at += n;
    return TRUE;
}

void __wrap_gb_child_free(GbChild *child)
{
    (void)child;
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t n)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GBytes) exif = NULL;
    int width, height;
    gboolean damaged;
    GbQuality measured;
    if (!gb_heic_header(data, n, &width, &height, &exif, &error))
        holds_sentence(&error);
    else
        holds(width >= 1 && height >= 1 && width <= GB_HEIC_MAX_SIDE && height <= GB_HEIC_MAX_SIDE);
    g_autoptr(GBytes) small = gb_heic_survey(data, n, 1 + (int)(n % 8), 64, 80, n % 2 ? &measured : NULL, &damaged, &error);
    if (small == NULL)
        holds_sentence(&error);
    return 0;
}
