/* e2e_support.h -- what the end-to-end suites share: shell lines around the program, photos made on the spot, a claim looked at from outside.
 *
 * Nothing here uses the library: a claim is read with SQLite and sha256sum, as another program would.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_E2E_SUPPORT_H
#define GABLEBOOK_E2E_SUPPORT_H

#include "test.h"

/* Run a line of shell in a folder, with the folder of the program under test first on the PATH: "gablebook list c | head".
 * out and err as for run(). Returns the exit status, or 128 + signal. */
int sh(const char *folder, char **out, char **err, const char *script);

/* Write a JPEG of px times px pixels of noise, different for every seed; the same seed gives the same bytes. About 1.1 bytes a pixel. */
void make_noise(const char *path, guint seed, guint px);
/* n of them in FOLDER/name: IMG_0001.JPG ... */
void make_card(const char *folder, const char *name, guint n, guint px);

/* What a claim folder holds. */
typedef struct {
    guint originals;  /* rows of original */
    guint shots;      /* rows of shot: the photos in the claim */
    guint aside;      /* files that a killed writer left in originals/ */
    guint unentered;  /* whole files in originals/ that no row names */
} ClaimState;

/* A good claim, whatever happened to it: opens, passes SQLite's own check, and every original that it names lies in originals/ with the
 * bytes of its digest. Fails the test otherwise, saying what was going on. */
ClaimState assert_sound_at(const char *claim, const char *when, const char *file, int line);
#define assert_sound(claim, when) assert_sound_at((claim), (when), __FILE__, __LINE__)

/* Fails unless text has part. */
#define assert_has(text, part) assert_has_at((text), (part), __FILE__, __LINE__)
void assert_has_at(const char *text, const char *part, const char *file, int line);
#define assert_has_not(text, part) assert_has_not_at((text), (part), __FILE__, __LINE__)
void assert_has_not_at(const char *text, const char *part, const char *file, int line);

#endif
