/* child-private.h -- a program of our own that does dangerous work on bytes it is given. Only for src/photo/ and its tests.
 *
 * The bytes lie on its standard input as a file in memory, what it makes of them comes out of its standard output. Reading ends at a
 * deadline, whatever it does.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_CHILD_PRIVATE_H
#define GABLEBOOK_CHILD_PRIVATE_H

#include <glib.h>

G_BEGIN_DECLS

/* Where a program of ours lies: in the folder that GABLEBOOK_LIBEXEC names if it is set, else beside the running program, else in
 * ../libexec/gablebook/ from there. OWNED by the caller; NULL when it is nowhere. */
char *gb_child_find(const char *name);

typedef struct GbChild GbChild;
/* Start it.
 *   what      what it is, in the words of a message: "the HEIC decoder"
 *   input     n bytes, BORROWED for the call
 *   limit_ms  it is ended after so long
 * GB_ERROR_STATE when it can't be started. OWNED by the caller. */
GbChild *gb_child_start(const char *what, const char *path, const char *const *argv, const void *input, gsize n, int limit_ms, GError **error);
/* Read exactly n bytes of what it says. GB_ERROR_DAMAGED with the reason: it ended (of itself, or by a signal), or ran too long. */
gboolean gb_child_read(GbChild *child, void *to, gsize n, GError **error);
void gb_child_free(GbChild *child); /* ends it if it still runs. NULL is allowed */
G_DEFINE_AUTOPTR_CLEANUP_FUNC(GbChild, gb_child_free)

G_END_DECLS
#endif
