/* settings.h -- what a person wants every time, on this machine.
 *
 *     $XDG_CONFIG_HOME/gablebook/settings.ini        (usually ~/.config/gablebook/settings.ini)
 *
 *     [settings]
 *     adjuster  = M. Tarn                  who inspects, in new claims
 *     checklist = exterior-wind-hail       what new claims are held to (absent: by their cause)
 *     letterhead = Tarn Adjusting          who sends reports (letterhead-address, letterhead-logo): copied into new claims
 *     paper     = letter                   letter or A4, of PDFs
 *     locale    = en-US                    how reports write days, times and numbers (locale.h)
 *     units     = feet                     feet or metres: how lengths and areas are shown at the desk; what was entered stays as entered
 *     set       = alder-mutual             the set of checklists and templates that new claims get (set.h)
 *
 * Settings are read when a claim is made, and go into it, or say how a command shows things. What is built from a claim depends on none of them but paper and locale,
 * which are short for options: a report is a function of the log, the claim's templates and the options, on whichever machine.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_SETTINGS_H
#define GABLEBOOK_SETTINGS_H

#include <glib.h>

G_BEGIN_DECLS

/* One setting, as help tells it. */
typedef struct {
    const char *name;
    const char *what; /* lower case, no full stop */
} GbSetting;

/* All settings; ended by a name of NULL. BORROWED for ever. */
const GbSetting *gb_settings_all(void);

typedef struct GbSettings GbSettings;

/* Path of the file, whether it exists or not. OWNED by the caller. */
char *gb_settings_path(void);

/* Read the file; without one nothing is set. GB_ERROR_SYNTAX "settings.ini:3: ..." OWNED by the caller. */
GbSettings *gb_settings_load(GError **error);

/* The value of a setting, trimmed; NULL when it is not set. BORROWED until the settings are freed. */
const char *gb_settings_get(const GbSettings *settings, const char *name);

/* Write one setting into the file, all or nothing; remarks and the rest of it stay. The file is made where there is none.
 *   value  "" or NULL: no longer set
 * GB_ERROR_SYNTAX when the file as it is can't be understood, or the value holds control characters: then nothing was changed. GB_ERROR_IO. */
gboolean gb_settings_set(const char *name, const char *value, GError **error);

void gb_settings_free(GbSettings *settings); /* NULL is allowed */
G_DEFINE_AUTOPTR_CLEANUP_FUNC(GbSettings, gb_settings_free)

G_END_DECLS
#endif
