/* facts.h -- the options by which new and edit take the facts of a claim.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_FACTS_H
#define GABLEBOOK_FACTS_H

#include "command.h"

typedef struct {
    GbEdit edit; /* its texts are OWNED here: facts_clear */
    char *as;
    gboolean as_json;
} Facts;

#define FACT_ENTRIES 12

/* Fill entries so that parsing fills facts. */
void facts_entries(Facts *facts, GOptionEntry entries[FACT_ENTRIES]);
/* What was not said comes from the person's settings.
 *   set        as typed ("" none; NULL: not said, so the settings' own): becomes the path of its folder, or NULL. OWNED by the caller
 *   beginning  filled; its texts are BORROWED from settings and set
 * Returns the settings, OWNED by the caller; NULL: said to the user already. */
GbSettings *facts_from_settings(GbEdit *edit, char **set, GbBeginning *beginning);
void facts_clear(Facts *facts);

#endif
