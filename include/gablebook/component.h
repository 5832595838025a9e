/* component.h -- what can be damaged and put right: the components, and the words of what happened and what is to be done.
 *
 * A component is not a subject: a subject is what a photo shows ("Hail hit"), a component is what somebody removes,
 * repairs or pays for ("Shingles"), and several subjects may show one. templates/components.ini lists them; a claim may
 * add its own, or change some, in FOLDER/templates/components.ini. Keys of a section:
 *
 *     [drip-edge]
 *     name    = Drip edge
 *     unit    = LF                      EA | LF | SF | SQ: the unit usual for it
 *     measure = drip edge               the measurement its quantity usually follows (roof.h; absent: none)
 *     seen    = trim-damage             damage subjects that usually show it (absent: none)
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_COMPONENT_H
#define GABLEBOOK_COMPONENT_H

#include <gablebook/quantity.h>
#include <glib.h>

G_BEGIN_DECLS

typedef struct {
    char *id;      /* the section: "drip-edge"; stored in the log */
    char *name;    /* "Drip edge"; what people type and read */
    GbUnit unit;   /* never GB_UNIT_NONE */
    char *measure; /* or NULL */
    char **seen;   /* subject ids, NULL-terminated; may be empty */
} GbComponent;

typedef struct GbComponents GbComponents;

/* The components this program was built with. OWNED by the caller. Cannot fail but by a fault of the build. */
GbComponents *gb_components_builtin(GError **error);
/* Add those of a file: new ones after the present ones; a section that exists already changes only the keys it gives.
 * GB_ERROR_SYNTAX with file and line; the list is then unchanged. */
gboolean gb_components_extend(GbComponents *components, const char *path, GError **error);

guint gb_components_size(const GbComponents *components);
/* The i-th in the files' order. BORROWED until the list changes, as below. */
const GbComponent *gb_components_peek(const GbComponents *components, guint i);
/* The component of that exact id, or NULL. */
const GbComponent *gb_components_by_id(const GbComponents *components, const char *id);
/* The component a person means (word.h rules over names). NULL with GB_ERROR_UNKNOWN or _UNCLEAR. */
const GbComponent *gb_components_find(const GbComponents *components, const char *text, GError **error);
/* The first component that this subject usually shows, or NULL. */
const GbComponent *gb_components_by_subject(const GbComponents *components, const char *subject_id);

void gb_components_free(GbComponents *components); /* NULL is allowed */
G_DEFINE_AUTOPTR_CLEANUP_FUNC(GbComponents, gb_components_free)

/* What can have damaged a component: hail, wind, water, fire, impact, wear, other; NULL-terminated. Stored as these.
 * BORROWED for ever. */
const char *const *gb_finding_causes(void);
/* What can be done about it: remove and replace, repair, detach and reset, clean, none; NULL-terminated. Stored as
 * these. BORROWED for ever. */
const char *const *gb_finding_actions(void);
/* The action that needs no quantity. */
#define GB_ACTION_NONE "none"

G_END_DECLS
#endif
