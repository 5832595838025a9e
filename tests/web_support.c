/* web_support.c -- see web_support.h.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "web_support.h"

#include <signal.h>
#include <sys/wait.h>
#include <unistd.h>

/* --- the server --- */

static char *read_line(int fd)
{
    GString *line = g_string_new(NULL);
    char c;
    while (read(fd, &c, 1) == 1 && c != '\n')
        g_string_append_c(line, c);
    return g_string_free(line, FALSE);
}

Server *start_server(const char *folder)
{
    g_autoptr(GError) error = NULL;
    int out;
    g_autofree char *claim = g_build_filename(folder, "c", NULL);
    const char *argv[] = { g_getenv("GB_PROGRAM"), "open", claim, "--no-browser", NULL };
    Server *server = g_new0(Server, 1);
    server->folder = g_strdup(folder);
    if (!g_spawn_async_with_pipes(NULL, (char **)argv, NULL, G_SPAWN_DO_NOT_REAP_CHILD, NULL, NULL, &server->pid, NULL, &out, NULL, &error))
        fail_msg("%s", error->message);
    server->url = read_line(out);
    close(out);
    const char *port = strrchr(server->url, ':');
    server->port = port == NULL ? 0 : atoi(port + 1);
    if (server->port == 0)
        fail_msg("the server said '%s'", server->url);
    g_autofree char *script = g_strdup_printf("curl -s -D - -o /dev/null '%s'", server->url);
    g_autofree char *head = NULL;
    assert_int_equal(sh(folder, &head, NULL, script), 0);
    g_autoptr(Answer) entered = g_new0(Answer, 1);
    entered->head = g_steal_pointer(&head);
    g_autofree char *set = header_of(entered, "Set-Cookie");
    assert_non_null(set);
    server->cookie = g_strndup(set, strcspn(set, ";"));
    return server;
}

int wait_server(Server *server)
{
    int status = 0;
    pid_t ended;
    while ((ended = waitpid(server->pid, &status, 0)) < 0 && errno == EINTR)
        ;
    assert_int_equal(ended, server->pid);
    return WIFEXITED(status) ? WEXITSTATUS(status) : 128 + WTERMSIG(status);
}

void free_server(Server *server)
{
    g_spawn_close_pid(server->pid);
    g_free(server->url);
    g_free(server->cookie);
    g_free(server->folder);
    g_free(server);
}

void stop_server(Server *server)
{
    kill(server->pid, SIGTERM);
    int status = wait_server(server);
    free_server(server);
    assert_int_equal(status, 0);
}

/* --- clients --- */

void free_answer(Answer *answer)
{
    if (answer == NULL)
        return;
    g_free(answer->head);
    g_free(answer->body);
    g_free(answer);
}

/* TAKES the bytes of a whole answer, NUL-terminated. */
static Answer *take_apart(char *bytes, gsize n)
{
    Answer *answer = g_new0(Answer, 1);
    char *end = strstr(bytes, "\r\n\r\n");
    if (end == NULL)
        answer->head = bytes;
    else {
        gsize head = (gsize)(end - bytes) + 2;
        answer->n = n - head - 2;
        answer->body = g_malloc(answer->n + 1);
        memcpy(answer->body, end + 4, answer->n);
        answer->body[answer->n] = '\0';
        answer->head = g_strndup(bytes, head);
        g_free(bytes);
    }
    sscanf(answer->head, "HTTP/1.1 %d", &answer->status);
    return answer;
}

Answer *curl(const Server *server, const char *path, const char *more)
{
    g_autofree char *script = g_strdup_printf("curl -s --path-as-is -D head -o body -b '%s' %s 'http://127.0.0.1:%d%s'; "
                                              "touch head body", server->cookie, more == NULL ? "" : more, server->port, path);
    g_autofree char *head_path = g_build_filename(server->folder, "head", NULL), *body_path = g_build_filename(server->folder, "body", NULL);
    remove_tree(head_path);
    remove_tree(body_path);
    assert_int_equal(sh(server->folder, NULL, NULL, script), 0);
    Answer *answer = g_new0(Answer, 1);
    answer->head = slurp(head_path);
    assert_true(g_file_get_contents(body_path, &answer->body, &answer->n, NULL));
    const char *last = g_strrstr(answer->head, "HTTP/1.1 "); /* after a 100 Continue */
    if (last != NULL)
        sscanf(last, "HTTP/1.1 %d", &answer->status);
    return answer;
}

Answer *post(const Server *server, const char *path, const char *json)
{
    g_autofree char *bytes = g_strdup_printf("POST %s HTTP/1.1\r\nHost: 127.0.0.1:%d\r\nCookie: %s\r\nContent-Type: application/json\r\n"
                                             "Content-Length: %zu\r\nConnection: close\r\n\r\n%s",
                                             path, server->port, server->cookie, strlen(json), json);
    return talk(server, bytes);
}

GSocketConnection *dial(const Server *server)
{
    g_autoptr(GSocketClient) client = g_socket_client_new();
    return g_socket_client_connect_to_host(client, "127.0.0.1", (guint16)server->port, NULL, NULL);
}

Answer *talk(const Server *server, const char *bytes)
{
    g_autoptr(GSocketConnection) line = dial(server);
    if (line == NULL)
        return take_apart(g_strdup(""), 0);
    GOutputStream *out = g_io_stream_get_output_stream(G_IO_STREAM(line));
    GInputStream *in = g_io_stream_get_input_stream(G_IO_STREAM(line));
    g_autoptr(GString) said = g_string_new(NULL);
    char some[65536];
    gssize n;
    g_output_stream_write_all(out, bytes, strlen(bytes), NULL, NULL, NULL); /* it may be cut: that too is an answer */
    while ((n = g_input_stream_read(in, some, sizeof some, NULL, NULL)) > 0)
        g_string_append_len(said, some, n);
    gsize length = said->len;
    return take_apart(g_string_free(g_steal_pointer(&said), FALSE), length);
}

/* --- answers --- */

json_t *json_of(const Answer *answer)
{
    json_error_t error;
    json_t *json = json_loads(answer->body == NULL ? "" : answer->body, JSON_REJECT_DUPLICATES, &error);
    if (json == NULL)
        fail_msg("%s in: %s\n%s", error.text, answer->head, answer->body);
    return json;
}

json_t *get_json(const Server *server, const char *path)
{
    g_autoptr(Answer) answer = curl(server, path, NULL);
    assert_status(answer, 200);
    return json_of(answer);
}

const char *code_of(const json_t *json)
{
    const char *code = json_string_value(json_object_get(json_object_get(json, "error"), "code"));
    return code == NULL ? "" : code;
}

char *header_of(const Answer *answer, const char *name)
{
    g_auto(GStrv) lines = g_strsplit(answer->head, "\r\n", -1);
    gsize n = strlen(name);
    for (char **line = lines; *line != NULL; line++)
        if (g_ascii_strncasecmp(*line, name, n) == 0 && (*line)[n] == ':')
            return g_strdup(g_strstrip(*line + n + 1));
    return NULL;
}

void assert_status_at(const Answer *answer, int status, const char *file, int line)
{
    if (answer->status == status)
        return;
    print_error("status %d, wanted %d:\n%s\n%s\n", answer->status, status, answer->head, answer->body == NULL ? "" : answer->body);
    _fail(file, line);
}
