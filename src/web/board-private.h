/* board-private.h -- the pieces of a board as JSON.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_WEB_BOARD_PRIVATE_H
#define GABLEBOOK_WEB_BOARD_PRIVATE_H

#include <gablebook/gablebook.h>
#include <jansson.h>

/* A claim, and what is worked out of it once for all its shots. */
typedef struct {
    GbLog *log;
    const GbDossier *dossier;
    guint *stops;   /* of each shot, as the shots lie */
    GHashTable *doubts; /* number of a shot that looks astray (gint64 *) to a sentence */
    gboolean mapped; /* some shot has a position */
    GbPlane map;     /* see gb_suggest_map */
} GbScene;

/* The objects that README.md describes, without "board" and "version". OWNED by the caller; NULL with error. */
json_t *gb_board_claim_json(const GbScene *scene, GError **error);
json_t *gb_board_shot_json(const GbScene *scene, guint i); /* without what the next one has */
/* What a shot's file says: it changes only with the map and, for magnetic headings, with the corrected time. */
json_t *gb_board_file_json(const GbScene *scene, const GbShot *shot);

/* Absent is an absent member. */
void gb_json_text(json_t *object, const char *key, const char *text); /* NULL and "" are absent */
void gb_json_real(json_t *object, const char *key, double value);     /* NAN is absent */
void gb_json_whole(json_t *object, const char *key, gint64 value);
void gb_json_utc(json_t *object, const char *key, gint64 utc_s);

#endif
