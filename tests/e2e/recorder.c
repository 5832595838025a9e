/* recorder.c -- not a suite: a library to preload, which writes down what the program does to the files below a folder.
 *
 *     GB_RECORD_BELOW=FOLDER   an absolute path
 *     GB_RECORD=FILE           gets the events, each a Head (recorder.h), two names and data
 *
 * What a file holds is written down when it is made durable, so that it does not matter by which way it got there. One lock is held over a call and
 * its record: their order is the true one.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#define _GNU_SOURCE
#include "recorder.h"

#include <dlfcn.h>
#include <fcntl.h>
#include <limits.h>
#include <pthread.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#define NEXT(name) __extension__((__typeof__(&name))dlsym(RTLD_NEXT, #name))

static pthread_mutex_t lock = PTHREAD_MUTEX_INITIALIZER;
static const char *below;
static size_t below_n;
static int record = -1;

static void put_all(const void *data, size_t n)
{
    for (const char *from = data; n > 0;) {
        ssize_t put = NEXT(write)(record, from, n);
        if (put <= 0)
            abort();
        from += put;
        n -= (size_t)put;
    }
}

static void put(int kind, int fd, off_t at, const char *name, const char *other, const void *data, size_t n)
{
    Head head = { kind, fd, at, (long long)n, (int)strlen(name), (int)strlen(other) };
    put_all(&head, sizeof head);
    put_all(name, strlen(name));
    put_all(other, strlen(other));
    put_all(data, n);
}

static ssize_t say(void *unused, const char *text, size_t n)
{
    (void)unused;
    pthread_mutex_lock(&lock);
    put(SAID, 1, 0, "", "", text, n);
    pthread_mutex_unlock(&lock);
    return NEXT(write)(1, text, n);
}

static void __attribute__((constructor)) begin(void)
{
    const char *file = getenv("GB_RECORD");
    below = getenv("GB_RECORD_BELOW");
    if (file == NULL || below == NULL)
        return;
    below_n = strlen(below);
    record = NEXT(open)(file, O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC, 0600);
    if (record < 0)
        abort();
    stdout = fopencookie(NULL, "w", (cookie_io_functions_t){ .write = say });
    setvbuf(stdout, NULL, _IOLBF, 0);
}

/* The name relative to the folder, or NULL. */
static const char *inside(const char *path, char into[PATH_MAX])
{
    char whole[PATH_MAX + 2], folder[PATH_MAX], *slash;
    if (record < 0)
        return NULL;
    snprintf(whole, sizeof whole, "%s%s", path[0] == '/' ? "" : "./", path);
    slash = strrchr(whole, '/');
    *slash = '\0'; /* the last part need not be there, nor be followed */
    if (realpath(*whole == '\0' ? "/" : whole, folder) == NULL)
        return NULL;
    int n = snprintf(into, PATH_MAX, strcmp(slash + 1, ".") == 0 || slash[1] == '\0' ? "%s" : "%s/%s", folder, slash + 1);
    if (n >= PATH_MAX)
        abort();
    if (strncmp(into, below, below_n) != 0 || into[below_n] != '/')
        return strcmp(into, below) == 0 ? "" : NULL;
    return into + below_n + 1;
}

static const char *inside_fd(int fd, char into[PATH_MAX])
{
    char link[64];
    snprintf(link, sizeof link, "/proc/self/fd/%d", fd);
    ssize_t n = record < 0 ? -1 : readlink(link, into, PATH_MAX - 1);
    if (n <= 0)
        return NULL;
    into[n] = '\0';
    return strncmp(into, below, below_n) != 0 ? NULL : into[below_n] == '/' ? into + below_n + 1 : into[below_n] == '\0' ? "" : NULL;
}

/* --- calls --- */

static int opened(int fd, int flags, const char *path)
{
    char into[PATH_MAX];
    const char *name = fd >= 0 ? inside(path, into) : NULL;
    if (name != NULL && (flags & O_ACCMODE) != O_RDONLY)
        put(flags & O_TRUNC ? OPENED_EMPTY : OPENED, fd, 0, name, "", NULL, 0);
    else if (name != NULL)
        put(OPENED_TO_READ, fd, 0, name, "", NULL, 0);
    return fd;
}

#define OPEN(name)                                                              \
    int name(const char *path, int flags, ...)                                  \
    {                                                                           \
        va_list more;                                                           \
        va_start(more, flags);                                                  \
        mode_t mode = flags & (O_CREAT | O_TMPFILE) ? va_arg(more, mode_t) : 0; \
        va_end(more);                                                           \
        pthread_mutex_lock(&lock);                                              \
        int fd = opened(NEXT(name)(path, flags, mode), flags, path);            \
        pthread_mutex_unlock(&lock);                                            \
        return fd;                                                              \
    }
OPEN(open)
OPEN(open64)

ssize_t write(int fd, const void *data, size_t n)
{
    char into[PATH_MAX];
    pthread_mutex_lock(&lock);
    off_t at = lseek(fd, 0, SEEK_CUR);
    const char *name = at >= 0 ? inside_fd(fd, into) : NULL;
    ssize_t done = NEXT(write)(fd, data, n);
    if (name != NULL && done > 0)
        put(WRITTEN, fd, at, name, "", data, (size_t)done);
    pthread_mutex_unlock(&lock);
    return done;
}

ssize_t pwrite64(int fd, const void *data, size_t n, off64_t at)
{
    char into[PATH_MAX];
    pthread_mutex_lock(&lock);
    const char *name = inside_fd(fd, into);
    ssize_t done = NEXT(pwrite64)(fd, data, n, at);
    if (name != NULL && done > 0)
        put(WRITTEN, fd, at, name, "", data, (size_t)done);
    pthread_mutex_unlock(&lock);
    return done;
}

int ftruncate64(int fd, off64_t n)
{
    char into[PATH_MAX];
    pthread_mutex_lock(&lock);
    const char *name = inside_fd(fd, into);
    int done = NEXT(ftruncate64)(fd, n);
    if (name != NULL && done == 0)
        put(CUT, fd, n, name, "", NULL, 0);
    pthread_mutex_unlock(&lock);
    return done;
}

/* Of a file what it holds now; a file that can't be read through this fd is opened once more. */
static void put_synced(int fd)
{
    char into[PATH_MAX], link[64];
    struct stat st;
    const char *name = inside_fd(fd, into);
    if (name == NULL || fstat(fd, &st) != 0)
        return;
    if (S_ISDIR(st.st_mode)) {
        put(FOLDER_SYNCED, fd, 0, name, "", NULL, 0);
        return;
    }
    snprintf(link, sizeof link, "/proc/self/fd/%d", fd);
    int other = NEXT(open)(link, O_RDONLY | O_CLOEXEC);
    char *data = malloc((size_t)st.st_size + 1);
    if (other < 0 || data == NULL || pread(other, data, (size_t)st.st_size, 0) != st.st_size)
        abort();
    put(SYNCED, fd, 0, name, "", data, (size_t)st.st_size);
    free(data);
    close(other);
}

#define SYNC(name)                  \
    int name(int fd)                \
    {                               \
        pthread_mutex_lock(&lock);  \
        int done = NEXT(name)(fd);  \
        if (done == 0)              \
            put_synced(fd);         \
        pthread_mutex_unlock(&lock);\
        return done;                \
    }
SYNC(fsync)
SYNC(fdatasync)

int rename(const char *old, const char *new)
{
    char into[2][PATH_MAX];
    pthread_mutex_lock(&lock);
    const char *from = inside(old, into[0]), *to = inside(new, into[1]);
    int done = NEXT(rename)(old, new);
    if (done == 0 && from != NULL && to != NULL)
        put(RENAMED, -1, 0, from, to, NULL, 0);
    pthread_mutex_unlock(&lock);
    return done;
}

#define NAMES(name, kind, params, args)           \
    int name params                               \
    {                                             \
        char into[PATH_MAX];                      \
        pthread_mutex_lock(&lock);                \
        const char *where = inside(path, into);   \
        int done = NEXT(name) args;               \
        if (done == 0 && where != NULL)           \
            put(kind, -1, 0, where, "", NULL, 0); \
        pthread_mutex_unlock(&lock);              \
        return done;                              \
    }
NAMES(unlink, UNLINKED, (const char *path), (path))
NAMES(rmdir, UNLINKED, (const char *path), (path))
NAMES(mkdir, FOLDER_MADE, (const char *path, mode_t mode), (path, mode))
