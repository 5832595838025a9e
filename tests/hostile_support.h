/* hostile_support.h -- pictures that were made to break what reads them, written by the tests.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_HOSTILE_SUPPORT_H
#define GABLEBOOK_HOSTILE_SUPPORT_H

#include "test.h"

typedef enum {
    HOSTILE_REFUSED, /* its header is refused */
    HOSTILE_UNSHOWN, /* the header is good, the pixels are refused */
    HOSTILE_PARTLY,  /* a picture with a part missing */
    HOSTILE_WHOLE    /* a good picture, whatever else the file says */
} HostileOutcome;

typedef struct {
    const char *name; /* of the file */
    GBytes *(*make)(void);
    HostileOutcome outcome;
    const char *reason; /* part of the sentence, for the refused; else NULL */
    guint memory_mb;    /* what reading it may add to the peak */
} HostileFile;

/* All of them, *n. BORROWED for ever. */
const HostileFile *hostile_files(gsize *n);

#endif
