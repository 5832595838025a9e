/* claim_support.h -- a small claim for tests of the log and of what stands above it.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_CLAIM_SUPPORT_H
#define GABLEBOOK_CLAIM_SUPPORT_H

#include "test.h"

#include <gablebook/log.h>
#include <gablebook/shot.h>
#include <sqlite3.h>

/* A new claim in FOLDER/claim, open for writing. OWNED by the caller. */
GbLog *new_claim(void **state);
/* Its path, OWNED by the caller. */
char *claim_path(void **state);
/* Open it again. OWNED by the caller. */
GbLog *open_claim(void **state);

/* Enter a photo that exists in the log alone (no file): number i gets digest i. Must be inside a change. */
gint64 enter_photo(GbLog *log, guint i, double taken_local_s);

/* The same with what its file says; name, its name on the card; quality NULL: not measured. */
gint64 enter_file(GbLog *log, guint i, const char *name, const GbExif *exif, const GbQuality *quality);

/* Photos 1 to n, a second apart, in a change of their own. */
void enter_photos(GbLog *log, guint n);

/* How many entries the history has, and the summary of the last ("" when there is none; OWNED by the caller). */
guint history_length(GbLog *log);
char *last_summary(GbLog *log);
/* Undo once; then people's decisions must be as in before (dump_work). */
void assert_undo_brings_back(void **state, GbLog *log, const char *before);

/* Everything people decided, as text: what undo must bring back. OWNED by the caller. */
char *dump_work(void **state);

/* A second connection without any of our settings, for playing the hostile or the other program. OWNED by the caller (sqlite3_close). */
sqlite3 *raw_connection(void **state);
void raw_exec(sqlite3 *db, const char *sql);
/* First column of the first row, OWNED by the caller; NULL for none. */
char *raw_text(sqlite3 *db, const char *sql);

#endif
