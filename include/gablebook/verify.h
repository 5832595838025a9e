/* verify.h -- is a claim, as a folder or as a handed-over archive, still what it was?
 *
 * Every original is hashed anew and held against the log, the log against its last seal (state.h) and SQLite's own checks, an archive
 * against its list of digests; each report is held against the digest it carries, and traced to the state of the log it was built from.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_VERIFY_H
#define GABLEBOOK_VERIFY_H

#include <gablebook/progress.h>
#include <gablebook/state.h>
#include <jansson.h>

G_BEGIN_DECLS

/* The list of digests in an archive, in the form of the program sha256sum. */
#define GB_MANIFEST_NAME "manifest.sha256"

/* A report carries the digest of its own bytes in its last line, whatever its format: behind this word, of all bytes before that line. And
 * behind the other word, near its beginning or its end, the state of the log: number, blank, digest. */
#define GB_REPORT_DIGEST_MARK "gablebook-sha256"
#define GB_REPORT_LAST_LINE_HTML "<!-- " GB_REPORT_DIGEST_MARK " %s of all above this line -->\n"
#define GB_REPORT_LAST_LINE_PDF "%%" GB_REPORT_DIGEST_MARK " %s of all above this line\n" /* a comment behind the end */
#define GB_REPORT_STATE_MARK "gablebook-state"

/* All OWNED by the struct. */
typedef struct {
    GPtrArray *faults;  /* of char *: one sentence each: what differs, and how; empty: nothing does */
    GPtrArray *remarks; /* of char *: what is no fault but worth knowing: a report of an earlier state, a file the log does not know */
    guint originals, reports, listed; /* how many were looked at; files in an archive's manifest, 0 for a folder */
    gboolean has_state;
    GbState state; /* of the log, where it could be read */
} GbVerification;

/* Look at everything in a claim folder, or in a zip that export made (a regular file). Nothing is changed, nothing is unpacked but the
 * database, into the system's folder for temporary files; of an archive at most 100 times its own size is unpacked.
 * What differs is a fault in the result, not an error. NULL with GB_ERROR_IO, GB_ERROR_FOREIGN: it could not be looked at; GB_ERROR_STOPPED. OWNED
 * by the caller (gb_verification_free). progress: who follows along; NULL nobody. */
GbVerification *gb_verify(const char *path, const GbProgress *progress, GError **error);
void gb_verification_free(GbVerification *verification); /* NULL is allowed */
G_DEFINE_AUTOPTR_CLEANUP_FUNC(GbVerification, gb_verification_free)

/* What was looked at: "54 originals and 1 report looked at, 57 files in the manifest; the log stands at 41-3fa94c21d07b." And what came of it:
 * "Sound: nothing differs.", "2 things differ." OWNED by the caller. */
char *gb_verification_looked_at(const GbVerification *verification);
char *gb_verification_verdict(const GbVerification *verification);
/* {"sound", "state": {"step", "sha256"} or null, "originals", "reports", "listed", "faults": [..], "remarks": [..], "looked_at", "verdict"}.
 * OWNED by the caller (json_decref). */
json_t *gb_verification_json(const GbVerification *verification);

G_END_DECLS
#endif
