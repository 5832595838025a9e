/* import.h -- photos, and what was beside them, into the claim: every file read once, its bytes safe before the log speaks of it.
 *
 * Each photo is read whole into memory; digest, EXIF and copy are made from those bytes by several threads. The copy is written
 * aside, fsynced and renamed; then, a batch at a time, the folder is fsynced and the rows are committed. Killed at any
 * moment, the claim is good, and the same import again completes it. The source is only ever read. Only when all are safe are they
 * looked at (survey.h): the card can be taken out meanwhile.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_IMPORT_H
#define GABLEBOOK_IMPORT_H

#include <gablebook/sidecar.h>
#include <gablebook/survey.h>

G_BEGIN_DECLS

typedef enum {
    GB_IMPORT_NEW,     /* taken in, safe, entered */
    GB_IMPORT_BACK,    /* the same bytes were in the claim before its import was undone: entered again under its old number */
    GB_IMPORT_KNOWN,   /* the same bytes are in the claim already: not stored again */
    GB_IMPORT_LEFT_OUT, /* not a photo, unreadable, too large ...: message says why */
    GB_IMPORT_ATTACHED  /* no photo that can be shown, but a raw photo, a video ...: kept as an attachment (attachment.h), new or back */
} GbImportOutcome;

typedef struct {
    const char *path; /* as found */
    GbImportOutcome outcome;
    gint64 number;       /* of the shot; 0 when left out or an attachment */
    const char *message; /* one sentence for the user where there is something to say, else NULL */
} GbImportFile;

typedef struct {
    guint total;                       /* files found */
    guint fresh, back, known, left_out, attached; /* how many of each outcome so far */
    guint64 bytes, total_bytes;        /* of the files done, of all */
    GbSidecars sidecars;               /* passed over, and not in total */
    gboolean stopped;                  /* the user asked to stop before all were safe */
    GbSurveyTally survey;              /* of looking at them */
} GbImportTally;

/* How many files of the tally are done, whatever became of them. */
guint gb_import_done(const GbImportTally *tally);

/* How the caller follows along; all members may be NULL or 0. Called in the importing thread alone. BORROWED for the call. */
typedef struct {
    void (*file)(const GbImportFile *file, const GbImportTally *tally, gpointer user); /* once a file, in order, when it is safe */
    gboolean (*stop)(gpointer user); /* asked a few times a second: TRUE ends the import after the files at work */
    gpointer user;
    guint threads; /* 0: as many as there are processors, and two more, which wait for the disk */
    void (*safe)(const GbImportTally *tally, gpointer user); /* once, when all that came in is safe and in the log */
    void (*looked)(gint64 number, const char *message, const GbSurveyTally *survey, gpointer user); /* after that; as GbSurveyWatch.shot */
    gboolean later; /* don't look at the photos now */
} GbImportWatch;

/* Import files and folders (searched to the bottom in order of name; names that begin with a dot are passed over, links to folders
 * are not followed, claims' own folders and sidecars are passed over). One change in the history.
 *   paths   NULL-terminated; one that does not exist is left out like an unreadable file
 *   tally   what was done; filled also on failure
 * Unless told otherwise all the claim's photos that were not looked at yet are looked at then, also those of an earlier import; when it is
 * stopped in that, it is not stopped as an import.
 * FALSE when the claim itself can't take more (disk full, log not writable): what was done until then is safe. */
gboolean gb_import(GbLog *log, const char *const *paths, const GbImportWatch *watch, GbImportTally *tally, GError **error);

G_END_DECLS
#endif
