/* glossary.h -- the words of the trade and of this program, explained.
 *
 * docs/glossary.md travels in the program: one text for the page and for gablebook help. A line of one of its tables is a term.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_GLOSSARY_H
#define GABLEBOOK_GLOSSARY_H

#include <glib.h>

G_BEGIN_DECLS

/* Texts OWNED by the struct, never empty. */
typedef struct {
    char *term;    /* "drip edge" */
    char *meaning; /* a sentence or two, no mark-up */
} GbTerm;

/* All terms in the order of the page: array of GbTerm, OWNED by the caller (g_ptr_array_unref). Fails only by a fault of the build. */
GPtrArray *gb_glossary_load(GError **error);

G_END_DECLS
#endif
