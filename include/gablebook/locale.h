/* locale.h -- how days, times of day and numbers are written where a report is read.
 *
 * Patterns of the Unicode CLDR, for a few places; the words of a report stay English. Nothing here asks the environment (LC_*, LANG): a
 * report is the same on every machine. What is written without a locale is ISO 8601, a decimal point, no grouping.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_LOCALE_H
#define GABLEBOOK_LOCALE_H

#include <glib.h>

G_BEGIN_DECLS

typedef struct GbLocale GbLocale; /* contents: src/trade/locale.c; all of them live for ever */

/* The locale of a tag (BCP 47), "de-DE", in any case, '_' for '-'. "ISO": none.
 *   tag     NULL: that of the person's settings (settings.h), else none
 *   locale  NULL for none; BORROWED for ever
 * FALSE with GB_ERROR_UNKNOWN, which lists those that there are; or an error of the settings. */
gboolean gb_locale_parse(const char *tag, const GbLocale **locale, GError **error);
/* All tags, "ISO" first, ended by NULL. BORROWED for ever. */
const char *const *gb_locale_tags(void);
const char *gb_locale_tag(const GbLocale *locale);

typedef enum {
    GB_LOCALE_TIMES = 1 << 0,   /* 2026-05-14, 15:02:08, and both with a blank between */
    GB_LOCALE_NUMBERS = 1 << 1, /* 1976.7, 20803944 */
    GB_LOCALE_WHOLE = 1 << 2    /* only when the text is nothing but one of these */
} GbLocaleParts;

/* A text that the program made, in its own writing, with these parts of it as the locale writes them. OWNED by the caller. */
char *gb_locale_text(const GbLocale *locale, const char *text, GbLocaleParts parts);

G_END_DECLS
#endif
