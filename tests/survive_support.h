/* survive_support.h -- what the suites share that end the program, or fail its calls, in the midst of its work.
 *
 * A claim is looked at from outside (SQLite, the program's own verify), and compared as text: two claims with the same text hold the same,
 * whenever it was entered.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_SURVIVE_SUPPORT_H
#define GABLEBOOK_SURVIVE_SUPPORT_H

#include "e2e_support.h"

/* Whether the program runs with sanitizers, whose runtime wants to be the first library: nothing can be preloaded then. */
gboolean is_sanitized(void);
/* Whether the long form is wanted (make torture), else the one for every day. */
gboolean is_torture(void);

/* Build tests/e2e/NAME.c as a library to preload, FOLDER/NAME.so. What the environment needs for it, "LD_PRELOAD=...", OWNED by the caller. */
char *build_preload(const char *folder, const char *name);

/* Run a line ("tag c 1-3 --place front", parted as a shell parts words) in a folder, with more environment variables: "NAME=VALUE", NULL at
 * the end. out and err as for run(). Returns the exit status, or 128 + signal. */
int run_line(const char *folder, const char *const *more_env, const char *line, char **out, char **err);

/* Copy a folder with all in it; what was at to is removed first. */
void copy_tree(const char *from, const char *to);

/* Whatever FOLDER/c, a claim, holds, as text: rows of all tables, without what depends on when and in how many steps it was entered (times,
 * seals; with history FALSE the history too). "" where there is no claim yet. OWNED by the caller. */
char *claim_text(const char *folder, gboolean history);

/* Fails the test unless `gablebook verify c` in that folder finds nothing that differs. */
void assert_verified_at(const char *folder, const char *when, const char *file, int line);
#define assert_verified(folder, when) assert_verified_at((folder), (when), __FILE__, __LINE__)

/* A claim of an older version, tests/claims/vN.sql, as FOLDER/c; its photos are not there. */
void make_old_claim(const char *folder, int version);

/* One command of a day's work. */
typedef struct {
    const char *line;
    gboolean in_parts; /* killed, it may have done a part of its work, which the same line completes; others do all or nothing */
    const char *product; /* what it writes, in FOLDER, for verify; NULL: nothing beside the claim */
} Deed;

/* What an adjuster does with a claim c and cards card1 and card2, first to last, NULL line at the end. */
extern const Deed day[];
/* Make the cards and the set that these lines name. */
void make_cards(const char *folder);

/* A claim before and after one command, as text. */
typedef struct {
    const Deed *deed;
    char *before, *after;
    guint photos_after;
    char *product_sha256; /* of what it wrote; NULL: nothing beside the claim */
} Passage;
void clear_passage(Passage *passage);

/* One command with the folder before it. */
typedef struct {
    Passage passage;
    char *before; /* folder */
    guint steps;  /* calls that change a file, from its beginning to its end; 0: not counted */
} Stage;
void clear_stage(gpointer stage);

/* Do a command in work, with a copy of work before it as FOLDER/before-NUMBER. killer: of build_preload, to count; NULL: not. */
Stage record_deed(const char *folder, const char *work, const char *killer, const Deed *deed, guint number);
/* The whole day in FOLDER/day: an array of Stage, OWNED by the caller. */
GArray *record_day(const char *folder, const char *killer);

/* After a command was ended in the midst, having said so much: what it said is true, and done again it is complete. Fails the test otherwise.
 *   folder  where it happened; changed
 *   said    its standard output; NULL: unknown */
void assert_survived_at(const char *folder, const Passage *passage, const char *said, const char *when, const char *file, int line);
#define assert_survived(folder, passage, said, when) assert_survived_at((folder), (passage), (said), (when), __FILE__, __LINE__)

#endif
