/* escape.h -- text from outside made harmless where it goes out: HTML, CSV, a terminal.
 *
 * Captions, file names and EXIF text are hostile input. They are kept as they came (as valid UTF-8)
 * and escaped here, at output, once.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_ESCAPE_H
#define GABLEBOOK_ESCAPE_H

#include <glib.h>

G_BEGIN_DECLS

/* Append text for HTML element content or a quoted attribute: & < > " ' become references,
 * characters that HTML forbids (C0 but tab and line ends, DEL to U+009F, non-characters) U+FFFD.
 *   text  valid UTF-8, n bytes, BORROWED. */
void gb_escape_html(GString *out, const char *text, gsize n);

/* Append one CSV field by RFC 4180: quoted when it holds a comma, a quote, CR, LF or leading/trailing blank.
 * A field that a spreadsheet would run as a formula (it begins with = + - @, tab or CR and is no
 * number) gets a leading apostrophe. */
void gb_escape_csv(GString *out, const char *text);

/* A copy of text fit for one line of a terminal: control characters (ESC among them) and
 * bidirectional overrides become visible escapes like \x1b and \u202e; line ends become spaces; invalid
 * UTF-8 becomes U+FFFD. OWNED by the caller (g_free). */
char *gb_escape_terminal(const char *text);

/* Bytes from outside as clean text: cut at the first NUL, made valid UTF-8 (bytes that are not are taken as
 * ISO 8859-1 when all of them make printable Latin-1, else U+FFFD), control characters dropped,
 * trimmed of white space at both ends. OWNED by the caller; NULL when nothing is left. */
char *gb_clean_text(const void *bytes, gsize n);

G_END_DECLS
#endif
