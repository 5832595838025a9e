/* web-private.h -- what the files of src/web share: a request, a route, the server's state, ways to answer.
 *
 * A connection has a thread of its own. What threads share stands behind one of a few locks, each named at its member; a log handle is
 * lent to one thread at a time (gb_web_borrow_log). A route is one file: it reads its request, calls one function of the library, answers.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_WEB_PRIVATE_H
#define GABLEBOOK_WEB_PRIVATE_H

#include <gablebook/gablebook.h>
#include <jansson.h>
#include <microhttpd.h>
#include <pthread.h>

#include "board.h"

G_DEFINE_AUTOPTR_CLEANUP_FUNC(json_t, json_decref)

typedef struct GbWeb GbWeb;
typedef struct GbWebJob GbWebJob;
typedef struct GbWebRequest GbWebRequest;

/* --- routes --- */

typedef struct {
    const char *method; /* "GET" (HEAD with it) or "POST" */
    const char *path;   /* the whole path, or a prefix that ends with '/' */
    void (*answer)(GbWebRequest *request);
    /* For bodies that go to a file: called before the first byte, for each piece, and if it ends early. Absent: the body is JSON, at most
     * GB_WEB_JSON_MAX_BYTES, and is there as request->body when answer is called. begin FALSE: answered already. */
    gboolean (*begin)(GbWebRequest *request);
    void (*more)(GbWebRequest *request, const char *data, gsize n);
    void (*end)(GbWebRequest *request);
    gint64 max_bytes; /* of a body that goes to a file */
} GbWebRoute;

/* Every route_NAME.c has one or several; routes.c lists them. */
/* other: the method that the address has where it has another one, else NULL. */
const GbWebRoute *gb_web_find_route(const char *method, const char *path, const char **other);

#define GB_WEB_JSON_MAX_BYTES (4 << 20)

/* --- one request --- */

struct GbWebRequest {
    GbWeb *web;
    struct MHD_Connection *connection;
    const GbWebRoute *route;
    const char *rest;    /* of the path, what follows a prefix; BORROWED */
    gint64 length;       /* of the body, as the client said */
    GByteArray *text;    /* of a JSON body, so far */
    json_t *body;        /* a JSON body: always an object */
    gpointer upload;     /* of a body that goes to a file: the route's own; freed by its end */
    struct MHD_Response *response; /* what will be answered; NULL nothing yet */
    guint status;
};

/* A query parameter, BORROWED; NULL absent. */
const char *gb_web_query(const GbWebRequest *request, const char *name);
/* The same as a number within bounds; FALSE: answered already. */
gboolean gb_web_query_int(GbWebRequest *request, const char *name, gint64 absent, gint64 min, gint64 max, gint64 *value);

/* --- reading a JSON body --- */

typedef enum {
    GB_WEB_TEXT,    /* const char **, BORROWED from the body; null is "" */
    GB_WEB_WHOLE,   /* gint64 * */
    GB_WEB_REAL,    /* double * */
    GB_WEB_FLAG,    /* int *: -1 absent, else 0 or 1 */
    GB_WEB_ANY      /* json_t **, BORROWED */
} GbWebKind;

typedef struct {
    const char *name;
    GbWebKind kind;
    gpointer to; /* left alone when the member is absent */
} GbWebField;

/* Take a body's members apart. FALSE: a member that is not in fields (ended by { NULL }), or of another type; answered already. */
gboolean gb_web_read(GbWebRequest *request, const GbWebField *fields);

/* Shots as the verbs take them, of "3,7-12" or [3, 7] or null (""); NULL when it is none of these. OWNED by the caller. */
char *gb_web_shots(const json_t *shots);
/* The same for a member that may be absent (NULL). FALSE: answered already. *text is OWNED by the caller. */
gboolean gb_web_read_shots(GbWebRequest *request, const json_t *shots, char **text);

/* --- answering: once a request --- */

void gb_web_json(GbWebRequest *request, guint status, json_t *json);  /* TAKES json */
void gb_web_text(GbWebRequest *request, char *json);                  /* TAKES the text of a JSON value; status 200 */
void gb_web_fail(GbWebRequest *request, GError *error);               /* TAKES error; the status follows from its code */
void gb_web_refuse(GbWebRequest *request, guint status, const char *code, const char *format, ...) G_GNUC_PRINTF(4, 5);
/* A file: type is its Content-Type; etag without quotes, or NULL; 304 when the client has it already. bytes is BORROWED. */
void gb_web_bytes(GbWebRequest *request, GBytes *bytes, const char *type, const char *etag, gboolean for_ever);
/* The same from an open file, whose descriptor is TAKEN. */
void gb_web_descriptor(GbWebRequest *request, int fd, guint64 n, const char *type, const char *etag, gboolean for_ever);
void gb_web_header(GbWebRequest *request, const char *name, const char *value);
/* The answer is a file to take along, under that name. */
void gb_web_hand_over(GbWebRequest *request, const char *name);

/* --- the claim --- */

/* A handle for this thread, until given back; NULL: answered already. who: named in the history for what is done; NULL the server's. */
GbLog *gb_web_borrow_log(GbWebRequest *request, GbLogMode mode, const char *who);
void gb_web_return_log(GbWeb *web, GbLogMode mode, GbLog *log);

/* All that is known of the claim now. OWNED by the caller (gb_dossier_free). NULL: answered already. */
GbDossier *gb_web_dossier(GbWebRequest *request);

/* The claim as it stands now, for showing. OWNED by the caller (gb_board_unref). NULL: answered already. */
GbBoard *gb_web_board(GbWebRequest *request);
/* The claim as it stood when somebody last looked. OWNED likewise; NULL when nobody did. */
GbBoard *gb_web_last_board(GbWeb *web);

/* A change of the claim, in a route:
 *     check  is asked within the change's transaction, see decided.h: FALSE with GB_ERROR_STALE and conflicts filled; NULL: no condition
 *     act    does it; summary is OWNED by gb_web_change
 * answers with {"version", "summary"}, or 409 with the conflicts. */
typedef struct {
    const char *who;
    gboolean (*check)(GbLog *log, gpointer user, json_t *conflicts, GError **error);
    gboolean (*act)(GbLog *log, gpointer user, char **summary, GError **error);
    gpointer user;
    const char *made;    /* what may have been made: its number goes into the answer under this name ... */
    const gint64 *number; /* ... when it is not 0; NULL none */
} GbWebChange;
void gb_web_change(GbWebRequest *request, const GbWebChange *change);

/* --- the server --- */

typedef struct {
    char *folder, *who;
    char *key, *cookie; /* 64 hex digits each */
    char *host;         /* "127.0.0.1:PORT" */
    char *origin;       /* "http://127.0.0.1:PORT" */
    char *cookie_name;  /* "gablebook-PORT": cookies don't know ports */
    char *run;          /* names this run: GbBoard ids of two runs don't mix */
} GbWebNames;

struct GbWeb {
    GbWebNames names; /* never changes while threads run */

    pthread_mutex_t stock_lock;
    GPtrArray *stock[2]; /* of GbLog, by GbLogMode: open and at rest */

    pthread_mutex_t make_lock; /* held while a board is made: one at a time */
    pthread_mutex_t board_lock; /* held for a moment */
    GbBoard *board;
    char *suggestions; /* JSON of what the program believed at suggestions_version */
    gint64 suggestions_version;
    pthread_mutex_t suggest_lock; /* of the two above */

    pthread_mutex_t news_lock; /* of all below */
    pthread_cond_t news;       /* something was changed here, a job moved, or the end has come */
    guint64 news_count;
    gboolean ending;
    gint64 last_request_us, last_deed_us; /* monotonic: of any request; of one that is no waiting for news */
    GbWebJob *job;                        /* the last one, running or not; NULL there was none */
    GHashTable *sets;                     /* uploads, by name: see route_upload.c */
    pthread_t look_thread;                /* see look.c */
    gboolean looking, look_again, looked; /* it runs; it has to begin anew; there is one to be joined */
};

/* Wake whoever waits for news. */
void gb_web_tell(GbWeb *web);
/* Ask the server to end. */
void gb_web_end(GbWeb *web);

/* --- jobs --- */

/* Begin work in a thread of its own. work gets the job and its user data; OWNED by the job, freed with free_user. FALSE: one is running;
 * answered already (then user is freed too). Answers the request. */
typedef gboolean (*GbWebWork)(GbWeb *web, GbWebJob *job, gpointer user, GError **error);
void gb_web_start_job(GbWebRequest *request, const char *kind, GbWebWork work, gpointer user, GDestroyNotify free_user);
/* The job as JSON, OWNED by the caller; NULL there was none. Needs news_lock. */
json_t *gb_web_job_json(const GbWebJob *job);
guint64 gb_web_job_moves(const GbWebJob *job); /* grows with what its JSON says; 0 for NULL. Needs news_lock. */
gboolean gb_web_job_runs(const GbWebJob *job); /* needs news_lock */
gboolean gb_web_job_should_stop(GbWeb *web, GbWebJob *job);
void gb_web_job_progress(GbWeb *web, GbWebJob *job, const GbImportTally *tally, const char *message);
/* A GbProgress for it: one that is stopped makes the work stop. user: the job. */
gboolean gb_web_job_follow(guint done, guint total, gpointer user);
void gb_web_job_say(GbWeb *web, GbWebJob *job, const char *key, json_t *value); /* what came of it, into its JSON; TAKES value */
void gb_web_stop_job(GbWeb *web); /* asks it to stop; doesn't wait */
void gb_web_join_job(GbWeb *web); /* waits until it has ended */
void gb_web_free_job(GbWebJob *job); /* NULL is allowed */

/* --- looking at photos --- */

/* Begin to look at the photos that nobody looked at yet, in a thread of its own; at once, or when that thread is through. */
void gb_web_look(GbWeb *web);
void gb_web_join_look(GbWeb *web); /* waits until it has ended; the server is ending */

/* --- uploads --- */

gboolean gb_web_has_set(GbWeb *web, const char *set);
/* The folder of a set of uploads, TAKEN out of the server's list: OWNED by the caller, who removes it. NULL: no such set. */
char *gb_web_take_set(GbWeb *web, const char *set);
/* Remove what uploads of servers that are no longer alive left in the claim's cache. */
void gb_web_sweep_uploads(GbWeb *web);
void gb_web_remove_folder(const char *path);

/* --- the gate --- */

/* Whether a request may come in; FALSE: answered already. */
gboolean gb_web_gate(GbWebRequest *request, const char *method, const char *path);

#endif
