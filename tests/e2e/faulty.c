/* faulty.c -- not a suite: a library to preload, which makes calls fail, folds the case of names, or sets the clock.
 *
 *     GB_FAULT="CALL ERRNO FROM PART"  from the FROM-th on (of read: from that byte on) all calls fail that reach a path with PART in it.
 *                                      CALL: open read write sync rename unlink link mkdir. write is pwrite and ftruncate too, sync fsync
 *     GB_FAULT_COUNT=FILE              into which the number of calls that GB_FAULT speaks of goes at the end (FROM 0: none fails)
 *     GB_FOLD=FOLDER                   names in FOLDER that differ by case alone are the same, as on many a stick and card
 *     GB_CLOCK=SECONDS                 the clock is wrong by so much
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#define _GNU_SOURCE
#include <dirent.h>
#include <dlfcn.h>
#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <pthread.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>
#include <sys/stat.h>
#include <sys/time.h>
#include <time.h>
#include <unistd.h>

#define NEXT(name) __extension__((__typeof__(&name))dlsym(RTLD_NEXT, #name))

/* --- what fails --- */

static char call[16], part[PATH_MAX];
static int number;
static long from, seen;

static void __attribute__((constructor)) begin(void)
{
    const char *fault = getenv("GB_FAULT");
    setvbuf(stdout, NULL, _IOLBF, 0);
    if (fault != NULL && sscanf(fault, "%15s %d %ld %4095s", call, &number, &from, part) != 4)
        abort();
}

static void __attribute__((destructor)) tell(void)
{
    const char *path = getenv("GB_FAULT_COUNT");
    FILE *file = path != NULL ? fopen(path, "w") : NULL;
    if (file == NULL)
        return;
    fprintf(file, "%ld\n", seen);
    fclose(file);
}

/* n: calls, or bytes. Whether this one fails; errno is then set. */
static int fails(const char *what, const char *path, long n)
{
    if (strcmp(call, what) != 0 || strstr(path, part) == NULL)
        return 0;
    if (__atomic_add_fetch(&seen, n, __ATOMIC_SEQ_CST) < from || from == 0)
        return 0;
    errno = number;
    return 1;
}

static int fails_at(const char *what, int fd, long n)
{
    char name[64], path[PATH_MAX];
    if (strcmp(call, what) != 0)
        return 0;
    snprintf(name, sizeof name, "/proc/self/fd/%d", fd);
    ssize_t got = readlink(name, path, sizeof path - 1);
    if (got <= 0 || path[0] != '/')
        return 0;
    path[got] = '\0';
    return fails(what, path, n);
}

ssize_t read(int fd, void *into, size_t n)
{
    return fails_at("read", fd, (long)n) ? -1 : NEXT(read)(fd, into, n);
}

ssize_t write(int fd, const void *data, size_t n)
{
    return fd > 2 && fails_at("write", fd, 1) ? -1 : NEXT(write)(fd, data, n);
}

ssize_t pwrite64(int fd, const void *data, size_t n, off64_t at)
{
    return fails_at("write", fd, 1) ? -1 : NEXT(pwrite64)(fd, data, n, at);
}

int ftruncate64(int fd, off64_t n)
{
    return fails_at("write", fd, 1) ? -1 : NEXT(ftruncate64)(fd, n);
}

int fsync(int fd)
{
    return fails_at("sync", fd, 1) ? -1 : NEXT(fsync)(fd);
}

int fdatasync(int fd)
{
    return fails_at("sync", fd, 1) ? -1 : NEXT(fdatasync)(fd);
}

/* --- names --- */

static pthread_mutex_t naming = PTHREAD_MUTEX_INITIALIZER;

/* A path whose last part is that of the entry there with other letters, if there is one. */
static const char *fold(const char *path, char into[PATH_MAX])
{
    const char *folder = getenv("GB_FOLD"), *slash = strrchr(path, '/');
    if (folder == NULL || slash == NULL || strstr(path, folder) == NULL)
        return path;
    snprintf(into, PATH_MAX, "%.*s", (int)(slash - path), path);
    DIR *dir = opendir(into);
    for (struct dirent *entry; dir != NULL && (entry = readdir(dir)) != NULL;)
        if (strcasecmp(entry->d_name, slash + 1) == 0) {
            size_t n = strlen(into);
            snprintf(into + n, PATH_MAX - n, "/%s", entry->d_name);
            closedir(dir);
            return into;
        }
    if (dir != NULL)
        closedir(dir);
    return path;
}

int open64(const char *path, int flags, ...)
{
    char folded[PATH_MAX];
    va_list more;
    va_start(more, flags);
    mode_t mode = flags & (O_CREAT | O_TMPFILE) ? va_arg(more, mode_t) : 0;
    va_end(more);
    return fails("open", path, 1) ? -1 : NEXT(open64)(fold(path, folded), flags, mode);
}

int open(const char *path, int flags, ...)
{
    char folded[PATH_MAX];
    va_list more;
    va_start(more, flags);
    mode_t mode = flags & (O_CREAT | O_TMPFILE) ? va_arg(more, mode_t) : 0;
    va_end(more);
    return fails("open", path, 1) ? -1 : NEXT(open)(fold(path, folded), flags, mode);
}

int rename(const char *old, const char *new)
{
    char folded[2][PATH_MAX];
    if (fails("rename", new, 1))
        return -1;
    pthread_mutex_lock(&naming); /* or two of one name come to be */
    int answer = NEXT(rename)(fold(old, folded[0]), fold(new, folded[1]));
    pthread_mutex_unlock(&naming);
    return answer;
}

int unlink(const char *path)
{
    char folded[PATH_MAX];
    return fails("unlink", path, 1) ? -1 : NEXT(unlink)(fold(path, folded));
}

int access(const char *path, int mode)
{
    char folded[PATH_MAX];
    return NEXT(access)(fold(path, folded), mode);
}

int mkdir(const char *path, mode_t mode)
{
    return fails("mkdir", path, 1) ? -1 : NEXT(mkdir)(path, mode);
}

int link(const char *old, const char *new)
{
    return fails("link", new, 1) ? -1 : NEXT(link)(old, new);
}

int linkat(int old_fd, const char *old, int new_fd, const char *new, int flags)
{
    return fails("link", new, 1) ? -1 : NEXT(linkat)(old_fd, old, new_fd, new, flags);
}

/* --- the clock --- */

static time_t wrong_by(void)
{
    const char *seconds = getenv("GB_CLOCK");
    return seconds != NULL ? (time_t)strtoll(seconds, NULL, 10) : 0;
}

int clock_gettime(clockid_t id, struct timespec *now)
{
    int answer = NEXT(clock_gettime)(id, now);
    if (id == CLOCK_REALTIME || id == CLOCK_REALTIME_COARSE)
        now->tv_sec += wrong_by();
    return answer;
}

int gettimeofday(struct timeval *now, void *zone)
{
    int answer = NEXT(gettimeofday)(now, zone);
    now->tv_sec += wrong_by();
    return answer;
}

time_t time(time_t *into)
{
    time_t now = NEXT(time)(NULL) + wrong_by();
    if (into != NULL)
        *into = now;
    return now;
}
