/* server.h -- the sorting table's server: one claim, one user, the loopback address. See README.md here for what it says.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_WEB_SERVER_H
#define GABLEBOOK_WEB_SERVER_H

#include <glib.h>

typedef struct {
    const char *folder; /* the claim */
    const char *who;    /* named in the history; NULL: the login's name */
    int port;           /* 0: any that is free */
    /* Called once, when the server answers: url lets its holder in. */
    void (*ready)(const char *url, gpointer user);
    gpointer user;
} GbWebOptions;

/* Serve until SIGINT, SIGTERM or SIGHUP, until the page asks for the end, or nobody asks for anything for long. These signals are
 * blocked from then on in the calling thread, and in all it starts. FALSE with error when it can't begin. */
gboolean gb_web_run(const GbWebOptions *options, GError **error);

#endif
