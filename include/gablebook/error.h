/* error.h -- what can go wrong, sorted by what a caller can do about it.
 *
 * Every fallible function takes a GError ** last. The message is one complete sentence without a
 * final full stop, fit to be shown to the user as it is: which file or word, what is wrong, what was
 * done about it. A level that knows more puts its knowledge in front (g_prefix_error).
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_ERROR_H
#define GABLEBOOK_ERROR_H

#include <glib.h>

G_BEGIN_DECLS

#define GB_ERROR (gb_error_quark())
GQuark gb_error_quark(void);

typedef enum {
    GB_ERROR_IO,        /* the operating system refused: missing, no permission, disk full, pulled card */
    GB_ERROR_TOO_LARGE, /* bigger than the bound stated by the function; nothing was allocated for it */
    GB_ERROR_FOREIGN,   /* not the kind of file this is for (a text file among photos): leave it out */
    GB_ERROR_DAMAGED,   /* the right kind of file, but unreadable or cut short */
    GB_ERROR_SYNTAX,    /* a person's text or file can't be understood; the message says where and why */
    GB_ERROR_UNKNOWN,   /* a word that names nothing here; the message lists the nearest */
    GB_ERROR_UNCLEAR,   /* a word that could name several things; the message lists them */
    GB_ERROR_STATE,     /* not possible as things stand: nothing to undo, place still in use ... */
    GB_ERROR_VERSION,   /* made by a newer gablebook: open it with that one */
    GB_ERROR_STOPPED,   /* the user asked to stop */
    GB_ERROR_STALE      /* decided on what is no longer so: look again, then decide */
} GbErrorCode;

G_END_DECLS
#endif
