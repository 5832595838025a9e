/* board.h -- the claim as the page shows it, at one version: made once, then only read.
 *
 * A board is JSON text in pieces: the claim, and each shot. When the claim has moved on, a new one is made; a piece that
 * reads the same keeps the version at which it last changed, so a page that knows version V asks for what changed after V,
 * whatever the cause: a tag, a caption composed anew, a clock corrected.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_WEB_BOARD_H
#define GABLEBOOK_WEB_BOARD_H

#include <gablebook/log.h>
#include <glib.h>

typedef struct {
    gint64 number;
    char *text;         /* GRefString: the shot as a JSON object */
    char *file;         /* GRefString: the part of it that its file says, likewise an object; made at: */
    double utc_s;       /* its corrected time; NAN unknown */
    gint64 changed_at;  /* version */
    char *sha256;       /* GRefString */
    char *stored_name;  /* GRefString */
    int orientation;
} GbBoardShot;

typedef struct GbBoard GbBoard;

/* Make the board of a claim. previous: the board before, BORROWED; NULL none. OWNED by the caller. */
GbBoard *gb_board_make(GbLog *log, const GbBoard *previous, GError **error);
GbBoard *gb_board_ref(GbBoard *board);
void gb_board_unref(GbBoard *board); /* NULL is allowed */
G_DEFINE_AUTOPTR_CLEANUP_FUNC(GbBoard, gb_board_unref)

gint64 gb_board_version(const GbBoard *board);
/* The shot with these bytes, or NULL. BORROWED. */
const GbBoardShot *gb_board_find(const GbBoard *board, const char *sha256);

/* JSON texts, OWNED by the caller. run: names this run of the server. */
char *gb_board_claim_text(const GbBoard *board, const char *run);
char *gb_board_shots_text(const GbBoard *board, const char *run, gint64 from, gint64 count);
/* What changed after version since; job: JSON text that goes in with it, or NULL. */
char *gb_board_changes_text(const GbBoard *board, const char *run, gint64 since, const char *job);

#endif
