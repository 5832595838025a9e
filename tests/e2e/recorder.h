/* recorder.h -- the events that recorder.c writes down and test_power.c reads.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_RECORDER_H
#define GABLEBOOK_RECORDER_H

enum { OPENED, OPENED_EMPTY, OPENED_TO_READ, WRITTEN, CUT, SYNCED, FOLDER_SYNCED, RENAMED, UNLINKED, FOLDER_MADE, SAID };

/* Behind it: name (relative to the folder; "" is the folder), other (the new name of RENAMED), data. No zero bytes end them. */
typedef struct {
    int kind, fd;
    long long at;        /* of WRITTEN; the length of CUT */
    long long n;         /* bytes of data: of WRITTEN; of SYNCED the whole content; of SAID */
    int name_n, other_n;
} Head;

#endif
