/* work-private.h -- what the verbs share.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_WORK_PRIVATE_H
#define GABLEBOOK_WORK_PRIVATE_H

#include <gablebook/edit.h>
#include <jansson.h>
#include <gablebook/format.h>
#include <gablebook/log.h>
#include <gablebook/sidecar.h>

/* Put an edit's words into a claim in memory, understood; all texts but the checklist, whose existence depends on the folder, are
 * validated. The claim may be half changed on failure: throw it away. */
gboolean gb_edit_apply(GbClaim *claim, const GbEdit *edit, GError **error);

/* An abbreviated name of a checklist of the program's, in full: what is short for one list today could be short for two tomorrow. */
void gb_edit_spell_out(char **checklist);

/* The shots that a person names ("3,7-12"), in the order named: array of GbShot BORROWED from shots, OWNED by the caller. A number that is in
 * no range of existing shots is GB_ERROR_UNKNOWN. */
GPtrArray *gb_find_shots(const GPtrArray *shots, const char *text, GError **error);

/* Their numbers, rising, each once: GArray of gint64, OWNED by the caller; of an empty text none. NULL with error. */
GArray *gb_find_shot_numbers(const GPtrArray *shots, const char *text, GError **error);

/* A person's words of at most max_bytes, clean; *kept is NULL when nothing is left, and OWNED by the caller. what: "note", for the message. */
gboolean gb_take_words(const char *text, gsize max_bytes, const char *what, char **kept, GError **error);

/* Whether nothing that was recorded (facts, test squares, notes) is at a place. FALSE with GB_ERROR_STATE, which says what is. */
gboolean gb_place_is_free(GbLog *log, const GbPlace *place, GError **error);

/* A file found. */
typedef struct {
    char *path;
    guint64 bytes;
    char *why_not; /* known already while scanning: why it is left out; else NULL */
} GbFound;

/* Files and folders, to the bottom in order of name: names that begin with a dot, links to folders and claims' own folders are passed
 * over; what can't be looked at is found as well, and says so when it is read. paths NULL-terminated; *sidecars: those that are not among the
 * files. Array of GbFound, OWNED by the caller (g_ptr_array_unref). */
GPtrArray *gb_scan(const char *const *paths, GbSidecars *sidecars);

/* For "is it still so?" (decided.h): the members of was that are not so in now (NULL: there is none) go to conflicts. fields: those it
 * may have, NULL-terminated; shot 0: it is of no shot. FALSE with GB_ERROR_SYNTAX for a was that can't be one. */
gboolean gb_decided_compare(const json_t *was, const json_t *now, const char *const *fields, gint64 shot, json_t *conflicts, GError **error);
void gb_decided_conflict(json_t *conflicts, gint64 shot, const char *field, json_t *was, json_t *now);
/* FALSE with GB_ERROR_STALE where there are conflicts: "shot 3: place was changed meanwhile, and 4 things more; nothing was changed"; whose: for
 * what is of no shot. */
gboolean gb_decided_settle(const json_t *conflicts, const char *whose, GError **error);
/* A name for originals/ that a person finds by the name on the card, that no two different files share, and that every file
 * system takes: "IMG_2101-3fa94c21d07b.JPG". OWNED by the caller. */
char *gb_keep_name(const char *source_name, const char *sha256, GbFormat format);
/* Put bytes, or a file's, into originals/ under that name, read-only and durable but for the folder. *stored: they were not there before.
 * GB_ERROR_STATE concerns this file alone: its name is taken by other bytes, it can't be read, it changed meanwhile; other errors
 * concern all that follow. */
gboolean gb_keep_bytes(const GbLog *log, const char *stored_name, const char *sha256, GBytes *bytes, gboolean *stored, GError **error);
gboolean gb_keep_file(const GbLog *log, const char *stored_name, const char *sha256, const char *from, gboolean *stored, GError **error);

#endif
