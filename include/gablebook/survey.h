/* survey.h -- looking at the photos behind their import: previews, and what the pixels say.
 *
 * An import makes the photos safe first: copied, hashed, in the log with what their headers say. Decoding them takes many times as long
 * and can wait: it comes behind, and whatever of it was not done when the program ended is done the next time somebody wants to know.
 *
 * A photo is looked at once. What was found stays in the log; it follows from the photo's bytes, so it is nobody's decision: it has no place
 * in the history, can't be undone and changes no state (state.h).
 *
 * Pictures come from strangers' memory cards: each is decoded in a thread that was given its bytes and gives back a preview, and that the
 * kernel lets do nothing else where it knows how (fence.h).
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_SURVEY_H
#define GABLEBOOK_SURVEY_H

#include <gablebook/log.h>

G_BEGIN_DECLS

#define GB_PREVIEW_PX 320 /* longest side of the pictures in cache/320/ */

typedef struct {
    guint total;    /* photos that were still to be looked at */
    guint done;     /* of these so far, whatever came of it */
    guint troubled; /* no picture can be made of them: in the log now, with the reason */
    guint missed;   /* their original is missing, changed or can't be read: still to be looked at */
    gboolean stopped; /* the user asked to stop before the end */
} GbSurveyTally;

/* How the caller follows along; all members may be NULL or 0. Called in the calling thread alone. BORROWED for the call. */
typedef struct {
    /* Once a photo, in any order. message: one sentence where there is something to say, else NULL. */
    void (*shot)(gint64 number, const char *message, const GbSurveyTally *tally, gpointer user);
    gboolean (*stop)(gpointer user); /* asked a few times a second: TRUE ends it after the photos at work */
    gpointer user;
    guint threads; /* 0: as many as there are processors */
} GbSurveyWatch;

/* How many of the claim's photos were not looked at yet. */
gboolean gb_survey_waiting(GbLog *log, guint *n, GError **error);

/* Look at them: previews into cache/320/, the rest into the log, a batch a transaction. Two programs may do it at once.
 *   fresh  the originals were written by this program a moment ago, from bytes whose digest it knows: they are not hashed again
 *   watch  may be NULL
 *   tally  what was done; filled also on failure
 * FALSE when the log can't be written. */
gboolean gb_survey(GbLog *log, gboolean fresh, const GbSurveyWatch *watch, GbSurveyTally *tally, GError **error);

/* Before something is said that depends on it: look at what is waiting, through a handle of its own for writing. A folder that can't be
 * written is no error: then the photos stay as they are, not looked at. log is any handle. watch and tally may be NULL. */
gboolean gb_survey_finish(GbLog *log, const GbSurveyWatch *watch, GbSurveyTally *tally, GError **error);

G_END_DECLS
#endif
