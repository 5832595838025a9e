/* web_support.h -- a server of the program under test, and two clients for it: curl, and bare bytes on a socket for what no honest client sends.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_WEB_SUPPORT_H
#define GABLEBOOK_WEB_SUPPORT_H

#include "e2e_support.h"

#include <gio/gio.h>
#include <jansson.h>

G_DEFINE_AUTOPTR_CLEANUP_FUNC(json_t, json_decref)

typedef struct {
    GPid pid;
    int port;
    char *url;    /* as printed: with the key */
    char *cookie; /* "gablebook-PORT=..." */
    char *folder; /* the test's own */
} Server;

/* Run `gablebook open FOLDER/c --no-browser` and enter. OWNED by the caller: stop_server, kill_server or drop_server. */
Server *start_server(const char *folder);
/* Wait for its end and return the exit status, 128 + signal. */
int wait_server(Server *server);
/* SIGTERM, wait, free; the test fails unless it ended well (under sanitizers that includes: without a leak). */
void stop_server(Server *server);
void free_server(Server *server);

/* An answer. */
typedef struct {
    int status; /* 0: the connection was closed without an answer */
    char *head; /* its lines */
    char *body;
    gsize n;
} Answer;
void free_answer(Answer *answer);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(Answer, free_answer)

/* What curl gets, with the cookie; more: further options for the shell, or NULL. */
Answer *curl(const Server *server, const char *path, const char *more);
/* POST of a JSON text. */
Answer *post(const Server *server, const char *path, const char *json);

/* Bare bytes to a new connection, and all that comes back until it is closed. */
Answer *talk(const Server *server, const char *bytes);
/* OWNED by the caller (g_object_unref); NULL when nobody listens any more. */
GSocketConnection *dial(const Server *server);

/* JSON of a GET, which must succeed; of an answer's body. OWNED by the caller. */
json_t *get_json(const Server *server, const char *path);
json_t *json_of(const Answer *answer);
/* "error.code" of an answer; "" without. BORROWED from json. */
const char *code_of(const json_t *json);

/* A header's value, OWNED by the caller; NULL absent. */
char *header_of(const Answer *answer, const char *name);

/* Fails the test unless the answer has that status, showing it otherwise. */
#define assert_status(answer, status) assert_status_at((answer), (status), __FILE__, __LINE__)
void assert_status_at(const Answer *answer, int status, const char *file, int line);

#endif
