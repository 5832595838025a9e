/* server.c -- the server itself: its socket, its connections, its end. See server.h.
 *
 * A thread a connection (a pool's busy thread would block the other connections that it serves). The socket is bound here, so the port is
 * known before the first connection. A connection that does not get its request said in time is shut, however slowly it keeps sending:
 * the library's own time limit begins anew with every byte. Signals are blocked for all threads; the main one asks for them.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "server.h"

#include "web-private.h"

#include <arpa/inet.h>
#include <errno.h>
#include <signal.h>
#include <sys/random.h>
#include <sys/socket.h>
#include <unistd.h>

#define CONNECTIONS_MAX 64
#define QUIET_S 60            /* no byte for so long: the library closes */
#define REQUEST_S 10          /* for a request to be said; an upload has as long as it keeps coming */
#define IDLE_S G_GINT64_CONSTANT(1800)    /* without any request */
#define FORGOTTEN_S G_GINT64_CONSTANT(43200) /* with nothing but waiting for news */
#define LAST_REQUESTS_S 10    /* at the end: for requests that run */
#define LOOK_EVERY_MS 200

/* --- connections --- */

/* One connection. Times are monotonic microseconds. */
typedef struct {
    int fd;
    gint64 since_us;  /* when it began to wait for a request's end */
    gboolean working; /* a request is said and being answered, or its large body is on the way */
} Line;

typedef struct {
    GbWeb *web;
    pthread_mutex_t lock;
    GHashTable *lines; /* set of Line */
} Lines;

static void on_line(void *user, struct MHD_Connection *connection, void **context, enum MHD_ConnectionNotificationCode code)
{
    Lines *lines = user;
    pthread_mutex_lock(&lines->lock);
    if (code == MHD_CONNECTION_NOTIFY_STARTED) {
        Line *line = g_new0(Line, 1);
        line->fd = MHD_get_connection_info(connection, MHD_CONNECTION_INFO_CONNECTION_FD)->connect_fd;
        line->since_us = g_get_monotonic_time();
        g_hash_table_add(lines->lines, line);
        *context = line;
    } else
        g_hash_table_remove(lines->lines, *context); /* before the descriptor is closed: it is not another's yet */
    pthread_mutex_unlock(&lines->lock);
}

static void set_working(Lines *lines, struct MHD_Connection *connection, gboolean working)
{
    const union MHD_ConnectionInfo *info = MHD_get_connection_info(connection, MHD_CONNECTION_INFO_SOCKET_CONTEXT);
    Line *line = info == NULL ? NULL : info->socket_context;
    if (line == NULL)
        return;
    pthread_mutex_lock(&lines->lock);
    line->working = working;
    line->since_us = g_get_monotonic_time();
    pthread_mutex_unlock(&lines->lock);
}

static void shut_slow_lines(Lines *lines)
{
    gint64 now_us = g_get_monotonic_time();
    GHashTableIter iter;
    gpointer each;
    pthread_mutex_lock(&lines->lock);
    g_hash_table_iter_init(&iter, lines->lines);
    while (g_hash_table_iter_next(&iter, &each, NULL)) {
        const Line *line = each;
        if (!line->working && now_us - line->since_us > REQUEST_S * G_USEC_PER_SEC)
            shutdown(line->fd, SHUT_RDWR);
    }
    pthread_mutex_unlock(&lines->lock);
}

/* --- requests --- */

static void note_request(GbWeb *web, const char *path)
{
    gint64 now_us = g_get_monotonic_time();
    pthread_mutex_lock(&web->news_lock);
    web->last_request_us = now_us;
    if (strcmp(path, "/api/changes") != 0)
        web->last_deed_us = now_us;
    pthread_mutex_unlock(&web->news_lock);
}

static enum MHD_Result send_answer(GbWebRequest *request)
{
    enum MHD_Result result = MHD_queue_response(request->connection, request->status, request->response);
    g_clear_pointer(&request->response, MHD_destroy_response);
    return result;
}

static gboolean read_json(GbWebRequest *request)
{
    json_error_t error;
    request->body = json_loadb((const char *)request->text->data, request->text->len, JSON_REJECT_DUPLICATES, &error);
    if (json_is_object(request->body))
        return TRUE;
    gb_web_refuse(request, MHD_HTTP_BAD_REQUEST, "syntax", "the body is no JSON object%s%s; nothing was changed",
                  request->body == NULL ? ": " : "", request->body == NULL ? error.text : "");
    return FALSE;
}

/* The head is here: who may not come in, or asks for too much, is answered before any of the body is taken. */
static enum MHD_Result begin_request(Lines *lines, struct MHD_Connection *connection, const char *path, const char *method, void **context)
{
    GbWebRequest *request = g_new0(GbWebRequest, 1);
    request->web = lines->web;
    request->connection = connection;
    *context = request;
    if (!gb_web_gate(request, method, path))
        return send_answer(request);
    note_request(request->web, path);
    if (request->route->begin == NULL) {
        request->text = g_byte_array_new();
        return MHD_YES;
    }
    set_working(lines, connection, TRUE); /* a photo may take its time; the library sees that it goes on */
    return request->route->begin(request) ? MHD_YES : send_answer(request);
}

static enum MHD_Result take_piece(GbWebRequest *request, const char *data, size_t n)
{
    if (request->route->begin != NULL)
        request->route->more(request, data, n);
    else if (request->text->len + n <= GB_WEB_JSON_MAX_BYTES)
        g_byte_array_append(request->text, (const guint8 *)data, (guint)n);
    else
        return MHD_NO; /* more than its head said */
    return MHD_YES;
}

static enum MHD_Result on_request(void *user, struct MHD_Connection *connection, const char *path, const char *method, const char *version,
                                  const char *data, size_t *n, void **context)
{
    (void)version;
    Lines *lines = user;
    GbWebRequest *request = *context;
    if (request == NULL)
        return begin_request(lines, connection, path, method, context);
    if (*n > 0) {
        enum MHD_Result result = take_piece(request, data, *n);
        *n = 0;
        return result;
    }
    set_working(lines, connection, TRUE);
    gboolean has_json = strcmp(request->route->method, "POST") == 0 && request->route->begin == NULL;
    if (!has_json || read_json(request))
        request->route->answer(request);
    return send_answer(request);
}

static void on_completed(void *user, struct MHD_Connection *connection, void **context, enum MHD_RequestTerminationCode code)
{
    (void)code;
    GbWebRequest *request = *context;
    set_working(user, connection, FALSE);
    if (request == NULL)
        return;
    if (request->upload != NULL)
        request->route->end(request);
    if (request->response != NULL)
        MHD_destroy_response(request->response);
    g_clear_pointer(&request->text, g_byte_array_unref);
    json_decref(request->body);
    g_free(request);
    *context = NULL;
}

/* --- state --- */

void gb_web_tell(GbWeb *web)
{
    pthread_mutex_lock(&web->news_lock);
    web->news_count++;
    pthread_cond_broadcast(&web->news);
    pthread_mutex_unlock(&web->news_lock);
}

void gb_web_end(GbWeb *web)
{
    pthread_mutex_lock(&web->news_lock);
    web->ending = TRUE;
    pthread_cond_broadcast(&web->news);
    pthread_mutex_unlock(&web->news_lock);
}

/* 64 hex digits that nobody can guess. OWNED by the caller; NULL with error. */
static char *make_secret(GError **error)
{
    guint8 random[32];
    if (getrandom(random, sizeof random, 0) != (ssize_t)sizeof random) {
        g_set_error(error, GB_ERROR, GB_ERROR_IO, "this machine gives no random numbers: %s", g_strerror(errno));
        return NULL;
    }
    GString *hex = g_string_new(NULL);
    for (gsize i = 0; i < sizeof random; i++)
        g_string_append_printf(hex, "%02x", random[i]);
    return g_string_free(hex, FALSE);
}

static gboolean set_names(GbWebNames *names, int port, GError **error)
{
    names->host = g_strdup_printf("127.0.0.1:%d", port);
    names->origin = g_strdup_printf("http://127.0.0.1:%d", port);
    names->cookie_name = g_strdup_printf("gablebook-%d", port);
    names->key = make_secret(error);
    names->cookie = names->key == NULL ? NULL : make_secret(error);
    names->run = names->cookie == NULL ? NULL : make_secret(error);
    if (names->run == NULL)
        return FALSE;
    names->run[16] = '\0'; /* it tells runs apart, and is no secret */
    return TRUE;
}

static void clear_names(GbWebNames *names)
{
    g_free(names->folder);
    g_free(names->who);
    g_free(names->key);
    g_free(names->cookie);
    g_free(names->host);
    g_free(names->origin);
    g_free(names->cookie_name);
    g_free(names->run);
}

static void free_log(gpointer log)
{
    gb_log_free(log);
}

static GbWeb *new_web(void)
{
    GbWeb *web = g_new0(GbWeb, 1);
    pthread_mutex_t *locks[] = { &web->stock_lock, &web->make_lock, &web->board_lock, &web->suggest_lock, &web->news_lock };
    for (gsize i = 0; i < G_N_ELEMENTS(locks); i++)
        pthread_mutex_init(locks[i], NULL);
    pthread_condattr_t steady; /* waits are measured by the clock that nobody sets */
    pthread_condattr_init(&steady);
    pthread_condattr_setclock(&steady, CLOCK_MONOTONIC);
    pthread_cond_init(&web->news, &steady);
    pthread_condattr_destroy(&steady);
    for (int mode = 0; mode < 2; mode++)
        web->stock[mode] = g_ptr_array_new_with_free_func(free_log);
    web->last_request_us = web->last_deed_us = g_get_monotonic_time();
    return web;
}

static void free_web(GbWeb *web)
{
    pthread_mutex_t *locks[] = { &web->stock_lock, &web->make_lock, &web->board_lock, &web->suggest_lock, &web->news_lock };
    gb_web_free_job(web->job);
    gb_web_sweep_uploads(web);
    gb_board_unref(web->board);
    for (int mode = 0; mode < 2; mode++)
        g_ptr_array_unref(web->stock[mode]);
    g_free(web->suggestions);
    clear_names(&web->names);
    pthread_cond_destroy(&web->news);
    for (gsize i = 0; i < G_N_ELEMENTS(locks); i++)
        pthread_mutex_destroy(locks[i]);
    g_free(web);
}

/* --- the socket --- */

/* A listening socket on 127.0.0.1; -1 with error. */
static int listen_at(int *port, GError **error)
{
    struct sockaddr_in at = { .sin_family = AF_INET, .sin_port = htons((guint16)*port), .sin_addr.s_addr = htonl(INADDR_LOOPBACK) };
    socklen_t n = sizeof at;
    int yes = 1;
    int fd = socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0);
    if (fd >= 0 && setsockopt(fd, SOL_SOCKET, SO_REUSEADDR, &yes, sizeof yes) == 0 && bind(fd, (struct sockaddr *)&at, sizeof at) == 0 &&
        listen(fd, 64) == 0 && getsockname(fd, (struct sockaddr *)&at, &n) == 0) {
        *port = ntohs(at.sin_port);
        return fd;
    }
    g_set_error(error, GB_ERROR, GB_ERROR_IO, "port %d of 127.0.0.1 can't be used: %s", *port, g_strerror(errno));
    if (fd >= 0)
        close(fd);
    return -1;
}

static struct MHD_Daemon *start_daemon(Lines *lines, int fd)
{
    return MHD_start_daemon(MHD_USE_THREAD_PER_CONNECTION | MHD_USE_INTERNAL_POLLING_THREAD | MHD_USE_POLL | MHD_USE_ITC, 0, NULL, NULL,
                            on_request, lines, MHD_OPTION_LISTEN_SOCKET, fd, MHD_OPTION_CONNECTION_LIMIT, (unsigned)CONNECTIONS_MAX,
                            MHD_OPTION_CONNECTION_TIMEOUT, (unsigned)QUIET_S, MHD_OPTION_NOTIFY_CONNECTION, on_line, lines,
                            MHD_OPTION_NOTIFY_COMPLETED, on_completed, lines, MHD_OPTION_STRICT_FOR_CLIENT, 1,
                            MHD_OPTION_CONNECTION_MEMORY_LIMIT, (size_t)(32 << 10), MHD_OPTION_END);
}

/* --- running --- */

static void block_signals(sigset_t *ends)
{
    static const int each[] = { SIGINT, SIGTERM, SIGHUP };
    sigemptyset(ends);
    for (gsize i = 0; i < G_N_ELEMENTS(each); i++) {
        struct sigaction now;
        if (sigaction(each[i], NULL, &now) == 0 && now.sa_handler != SIG_IGN) /* what nohup wants ignored stays so */
            sigaddset(ends, each[i]);
    }
    pthread_sigmask(SIG_BLOCK, ends, NULL);
    signal(SIGPIPE, SIG_IGN);
}

static gboolean is_forgotten(GbWeb *web)
{
    gint64 now_us = g_get_monotonic_time();
    pthread_mutex_lock(&web->news_lock);
    gboolean forgotten = !gb_web_job_runs(web->job) && (now_us - web->last_request_us > IDLE_S * G_USEC_PER_SEC ||
                                                        now_us - web->last_deed_us > FORGOTTEN_S * G_USEC_PER_SEC);
    pthread_mutex_unlock(&web->news_lock);
    return forgotten;
}

static gboolean is_ending(GbWeb *web)
{
    pthread_mutex_lock(&web->news_lock);
    gboolean ending = web->ending;
    pthread_mutex_unlock(&web->news_lock);
    return ending;
}

static void wait_for_the_end(Lines *lines, const sigset_t *ends)
{
    const struct timespec pause = { 0, LOOK_EVERY_MS * 1000000L };
    while (!is_ending(lines->web) && !is_forgotten(lines->web)) {
        if (sigtimedwait(ends, NULL, &pause) > 0)
            break;
        shut_slow_lines(lines);
    }
    gb_web_end(lines->web);
}

/* New connections are refused, running requests are answered, then the rest is cut. */
static void stop_daemon(struct MHD_Daemon *daemon, Lines *lines)
{
    int fd = MHD_quiesce_daemon(daemon);
    gint64 until_us = g_get_monotonic_time() + LAST_REQUESTS_S * G_USEC_PER_SEC;
    for (gboolean working = TRUE; working && g_get_monotonic_time() < until_us;) {
        GHashTableIter iter;
        gpointer line;
        working = FALSE;
        pthread_mutex_lock(&lines->lock);
        g_hash_table_iter_init(&iter, lines->lines);
        while (g_hash_table_iter_next(&iter, &line, NULL))
            working = working || ((const Line *)line)->working;
        pthread_mutex_unlock(&lines->lock);
        if (working)
            g_usleep(10000);
    }
    MHD_stop_daemon(daemon);
    if (fd >= 0)
        close(fd);
}

static gboolean serve(Lines *lines, const GbWebOptions *options, int fd, const sigset_t *ends, GError **error)
{
    struct MHD_Daemon *daemon = start_daemon(lines, fd);
    if (daemon == NULL) {
        close(fd);
        g_set_error(error, GB_ERROR, GB_ERROR_IO, "the server can't begin: %s", g_strerror(errno));
        return FALSE;
    }
    g_autofree char *url = g_strdup_printf("%s/enter?key=%s", lines->web->names.origin, lines->web->names.key);
    options->ready(url, options->user);
    gb_web_look(lines->web);
    wait_for_the_end(lines, ends);
    gb_web_stop_job(lines->web);
    stop_daemon(daemon, lines);
    gb_web_join_job(lines->web);
    gb_web_join_look(lines->web);
    return TRUE;
}

/* A folder that is no claim, or can't be read, is better said now than by every request. Gives who is named in the history; OWNED. */
static char *look_at_claim(const GbWebOptions *options, GError **error)
{
    g_autoptr(GbLog) log = gb_log_open(options->folder, GB_LOG_READ, error);
    if (log == NULL)
        return NULL;
    if (options->who != NULL)
        gb_log_set_who(log, options->who);
    return g_strdup(gb_log_who(log));
}

gboolean gb_web_run(const GbWebOptions *options, GError **error)
{
    sigset_t ends;
    int port = options->port;
    g_autofree char *who = look_at_claim(options, error);
    int fd = who != NULL ? listen_at(&port, error) : -1;
    if (fd < 0)
        return FALSE;
    GbWeb *web = new_web();
    Lines lines = { .web = web, .lines = g_hash_table_new_full(NULL, NULL, g_free, NULL) };
    pthread_mutex_init(&lines.lock, NULL);
    block_signals(&ends);
    web->names.folder = g_strdup(options->folder);
    web->names.who = g_steal_pointer(&who);
    gboolean ok = set_names(&web->names, port, error);
    if (ok) {
        gb_web_sweep_uploads(web);
        ok = serve(&lines, options, fd, &ends, error);
    } else
        close(fd);
    g_hash_table_unref(lines.lines);
    pthread_mutex_destroy(&lines.lock);
    free_web(web);
    return ok;
}
