/* desk.h -- many claims at once: what each lacks, how old it is, when it last changed.
 *
 * Looking into a claim costs a few milliseconds; whether it changed since the last time costs a few system calls. So what was seen is kept in
 * $XDG_CACHE_HOME/gablebook/desk/ (usually ~/.cache), one file a folder of claims, and a claim is looked into again only when its claim.db,
 * its own templates or the program changed. The file may be deleted at any time.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_DESK_H
#define GABLEBOOK_DESK_H

#include <glib.h>
#include <jansson.h>

G_BEGIN_DECLS

/* One claim. Text OWNED by the struct, NULL when unknown. */
typedef struct {
    char *name;   /* path within the folder that was looked through, for people: valid UTF-8; "." for that folder itself */
    char *fault;  /* why nothing is known of it; then all below is unknown or 0 */
    char *insured, *number, *address, *cause, *adjuster;
    char *loss_date, *inspection_date; /* YYYY-MM-DD */
    guint shots, unplaced, unnamed;    /* in the claim; without a place; without a subject */
    guint there, missing, advised, waived, weak; /* lines of its checklist */
    gboolean complete;
    char *first_missing;  /* label of the first line that is missing or weak; NULL when complete */
    gint64 begun_utc_s;   /* first and last step of its history; 0: nothing was done yet */
    gint64 changed_utc_s;
    char *changed_by;
} GbDeskClaim;

typedef struct {
    char *dir;         /* as given, valid UTF-8 */
    GPtrArray *claims; /* of GbDeskClaim: those that lack something first, then the older first, then by name */
    guint looked_into; /* so many anew; the others as they were seen before */
} GbDesk;

/* Folders of claims in a folder, to the fourth level: in order of name; names with a dot in front are passed over, links not followed, a claim
 * is not looked through for others. A folder that is a claim is its only one. Paths (file names), NULL-terminated, OWNED by the caller
 * (g_strfreev). NULL with GB_ERROR_IO: it can't be read. */
char **gb_desk_find(const char *dir, GError **error);

/* Look through a folder, with a thread a processor.
 *   anew  don't believe what was seen before
 * A claim that can't be opened is there with its fault. OWNED by the caller (gb_desk_free). */
GbDesk *gb_desk_load(const char *dir, gboolean anew, GError **error);

/* Days since the day of the inspection, else since the first change; -1: neither is known, or it lies ahead. */
int gb_desk_age_days(const GbDeskClaim *claim, gint64 now_utc_s);

/* {"dir", "claims": [{"folder", "fault", "insured", "claim_number", "address", "cause", "adjuster", "loss_date", "inspected", "shots",
 * "unplaced", "unnamed", "there", "missing", "advised", "waived", "weak", "complete", "first_missing", "age_days", "begun", "changed",
 * "changed_by"}], "complete", "incomplete", "faulty"}; unknown is null. OWNED by the caller (json_decref). */
json_t *gb_desk_json(const GbDesk *desk, gint64 now_utc_s);

/* Write the desk as one HTML page that needs nothing else, all or nothing. */
gboolean gb_desk_write_html(const GbDesk *desk, gint64 now_utc_s, const char *path, GError **error);

void gb_desk_free(GbDesk *desk); /* NULL is allowed */
G_DEFINE_AUTOPTR_CLEANUP_FUNC(GbDesk, gb_desk_free)

G_END_DECLS
#endif
