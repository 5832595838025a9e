/* fuzz.h -- what the fuzz targets share. Each target is one file, fuzz_NAME.c, with seeds in corpus/NAME/ and perhaps words in NAME.dict.
 *
 * A target does not only look for crashes: what the headers promise of every input (one sentence for every failure, bounds of what
 * comes out, what is written reads back) is asked of each.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_FUZZ_H
#define GABLEBOOK_FUZZ_H

#include <glib.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t n);
int LLVMFuzzerInitialize(int *argc, char ***argv);
size_t LLVMFuzzerMutate(uint8_t *data, size_t n, size_t max);
size_t LLVMFuzzerCustomMutator(uint8_t *data, size_t n, size_t max, unsigned seed);

/* A promise that was broken: says which, and ends the run (by abort, whose input libFuzzer keeps). */
#define holds(promise) \
    do { \
        if (!(promise)) { \
            g_printerr("%s:%d: broken promise: %s\n", __FILE__, __LINE__, #promise); \
            abort(); \
        } \
    } while (0)

/* A warning is a finding too. */
static inline void abort_on_warning(const char *domain, GLogLevelFlags level, const char *message, gpointer user)
{
    (void)domain, (void)user;
    if ((level & (G_LOG_LEVEL_ERROR | G_LOG_LEVEL_CRITICAL | G_LOG_LEVEL_WARNING)) == 0)
        return;
    g_printerr("%s\n", message);
    abort();
}

__attribute__((constructor)) static void watch_warnings(void)
{
    g_log_set_default_handler(abort_on_warning, NULL);
}

/* A failure must have said one sentence: valid UTF-8 on one line. Frees it. */
static inline void holds_sentence(GError **error)
{
    holds(*error != NULL && (*error)->message[0] != '\0');
    holds(g_utf8_validate((*error)->message, -1, NULL) && strchr((*error)->message, '\n') == NULL);
    g_clear_error(error);
}

/* The input as text. OWNED by the caller. */
static inline char *fuzz_text(const uint8_t *data, size_t n)
{
    return g_strndup((const char *)data, n);
}

#endif
