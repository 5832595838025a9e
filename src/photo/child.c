/* child.c -- dangerous work in a process of its own. See child-private.h.
 *
 * posix_spawn and not fork: the import has many threads, and of a copied process only one would live. No shell, no search of PATH.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "child-private.h"

#include <errno.h>
#include <gablebook/error.h>
#include <glib-unix.h>
#include <poll.h>
#include <signal.h>
#include <spawn.h>
#include <sys/mman.h>
#include <sys/wait.h>
#include <unistd.h>

struct GbChild {
    char *what;
    pid_t pid; /* 0: its end was seen */
    int from;  /* its standard output, or -1 */
    int limit_ms;
    gint64 until_us;
};

char *gb_child_find(const char *name)
{
    g_autofree char *program = g_file_read_link("/proc/self/exe", NULL);
    g_autofree char *here = program == NULL ? NULL : g_path_get_dirname(program);
    const char *said = g_getenv("GABLEBOOK_LIBEXEC");
    if (said != NULL && *said != '\0')
        return g_build_filename(said, name, NULL);
    if (here == NULL)
        return NULL;
    char *beside = g_build_filename(here, name, NULL);
    if (g_file_test(beside, G_FILE_TEST_IS_EXECUTABLE))
        return beside;
    g_free(beside);
    char *installed = g_build_filename(here, "..", "libexec", "gablebook", name, NULL);
    if (g_file_test(installed, G_FILE_TEST_IS_EXECUTABLE))
        return installed;
    g_free(installed);
    return NULL;
}

static gboolean fail_start(const char *what, int number, GError **error)
{
    g_set_error(error, GB_ERROR, GB_ERROR_STATE, "%s can't be started: %s", what, g_strerror(number));
    return FALSE;
}

/* A file in memory that holds the bytes, to be read from its start; -1 with errno. */
static int file_of(const guint8 *data, gsize n)
{
    int fd = memfd_create("picture", MFD_CLOEXEC);
    for (gsize done = 0; fd >= 0 && done < n;) {
        ssize_t written = pwrite(fd, data + done, n - done, (off_t)done);
        if (written < 0 && errno == EINTR)
            continue;
        if (written <= 0) {
            int number = errno;
            close(fd);
            errno = number;
            return -1;
        }
        done += (gsize)written;
    }
    return fd;
}

static int spawn(pid_t *pid, const char *path, const char *const *argv, int in, int out)
{
    posix_spawn_file_actions_t actions;
    posix_spawn_file_actions_init(&actions);
    posix_spawn_file_actions_adddup2(&actions, in, STDIN_FILENO);
    posix_spawn_file_actions_adddup2(&actions, out, STDOUT_FILENO);
    posix_spawn_file_actions_addopen(&actions, STDERR_FILENO, "/dev/null", O_WRONLY, 0);
    int number = posix_spawn(pid, path, &actions, NULL, (char *const *)argv, environ);
    posix_spawn_file_actions_destroy(&actions);
    return number;
}

GbChild *gb_child_start(const char *what, const char *path, const char *const *argv, const void *input, gsize n, int limit_ms, GError **error)
{
    int pipe_ends[2];
    pid_t pid = 0;
    int in = file_of(input, n);
    if (in < 0) {
        fail_start(what, errno, error);
        return NULL;
    }
    if (!g_unix_open_pipe(pipe_ends, FD_CLOEXEC, NULL)) {
        fail_start(what, errno, error);
        close(in);
        return NULL;
    }
    int number = spawn(&pid, path, argv, in, pipe_ends[1]);
    close(in);
    close(pipe_ends[1]);
    if (number != 0) {
        close(pipe_ends[0]);
        fail_start(what, number, error);
        return NULL;
    }
    GbChild *child = g_new(GbChild, 1);
    *child = (GbChild){ g_strdup(what), pid, pipe_ends[0], limit_ms, g_get_monotonic_time() + (gint64)limit_ms * 1000 };
    return child;
}

static gboolean fail_late(GbChild *child, GError **error)
{
    char limit_s[G_ASCII_DTOSTR_BUF_SIZE];
    g_ascii_formatd(limit_s, sizeof limit_s, "%g", child->limit_ms / 1000.0);
    g_set_error(error, GB_ERROR, GB_ERROR_DAMAGED, "%s took longer than %s s and was ended", child->what, limit_s);
    return FALSE;
}

/* It closed its output: how did it end? */
static gboolean fail_ended(GbChild *child, GError **error)
{
    int status = 0;
    pid_t seen;
    kill(child->pid, SIGKILL); /* what has closed its output is of no more use */
    while ((seen = waitpid(child->pid, &status, 0)) < 0 && errno == EINTR)
        ;
    child->pid = 0;
    if (seen > 0 && WIFEXITED(status) && WEXITSTATUS(status) == 127)
        g_set_error(error, GB_ERROR, GB_ERROR_STATE, "%s can't be started: a library that it needs is missing", child->what);
    else if (seen > 0 && WIFSIGNALED(status) && WTERMSIG(status) == SIGXCPU)
        g_set_error(error, GB_ERROR, GB_ERROR_DAMAGED, "%s used too much time and was ended", child->what);
    else if (seen > 0 && WIFSIGNALED(status))
        g_set_error(error, GB_ERROR, GB_ERROR_DAMAGED, "%s broke down over it (signal %d)", child->what, WTERMSIG(status));
    else
        g_set_error(error, GB_ERROR, GB_ERROR_DAMAGED, "%s gave up over it", child->what);
    return FALSE;
}

gboolean gb_child_read(GbChild *child, void *to, gsize n, GError **error)
{
    for (gsize done = 0; done < n;) {
        gint64 left_ms = (child->until_us - g_get_monotonic_time() + 999) / 1000;
        struct pollfd ready = { .fd = child->from, .events = POLLIN };
        if (child->pid == 0 || left_ms <= 0)
            return fail_late(child, error);
        if (poll(&ready, 1, (int)left_ms) <= 0)
            continue; /* too late, or a signal: the loop's head tells */
        ssize_t seen = read(child->from, (guint8 *)to + done, n - done);
        if (seen == 0)
            return fail_ended(child, error);
        if (seen > 0)
            done += (gsize)seen;
        else if (errno != EINTR)
            return fail_ended(child, error);
    }
    return TRUE;
}

void gb_child_free(GbChild *child)
{
    if (child == NULL)
        return;
    close(child->from);
    if (child->pid > 0) {
        kill(child->pid, SIGKILL);
        while (waitpid(child->pid, NULL, 0) < 0 && errno == EINTR)
            ;
    }
    g_free(child->what);
    g_free(child);
}
