/* edit.h -- the facts of the claim, said or corrected.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_EDIT_H
#define GABLEBOOK_EDIT_H

#include <gablebook/claim.h>

G_BEGIN_DECLS

/* What to change, as a person wrote it. NULL leaves a fact as it is, "" makes it unknown. Text BORROWED for the call. */
typedef struct {
    const char *insured, *number, *address, *adjuster;
    const char *loss_date, *inspection_date; /* YYYY-MM-DD */
    const char *cause;                       /* "hail", "hail and wind", "hail, wind" ...: see gb_cause_words */
    const char *checklist;                   /* a built-in name or one of the claim's own */
    const char *front_azimuth;               /* degrees true, "205", "205 deg", or a compass point, "SSW" */
} GbEdit;

/* The causes: hail, wind, water, fire, impact, other; NULL-terminated. BORROWED for ever. */
const char *const *gb_cause_words(void);

/* Apply an edit; one change in the history. GB_ERROR_SYNTAX, GB_ERROR_UNKNOWN: nothing was changed. */
gboolean gb_edit(GbLog *log, const GbEdit *edit, GError **error);

G_END_DECLS
#endif
