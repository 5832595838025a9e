/* killer.c -- not a suite: a library to preload, which kills the program at a named step.
 *
 * A step is a call that changes a file: write, fsync, rename, unlink ... The GB_KILL_AT-th of them is not made any more: SIGKILL instead,
 * of a write after half its bytes. What the program has said by then is known: its lines go out one by one. GB_KILL_COUNT names a file into which the number of all steps goes when the program ends by itself.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#define _GNU_SOURCE
#include <dlfcn.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <sys/types.h>
#include <unistd.h>

static int steps;

static int is_last(void)
{
    const char *at = getenv("GB_KILL_AT");
    int step = __atomic_add_fetch(&steps, 1, __ATOMIC_SEQ_CST);
    return at != NULL && step == atoi(at);
}

static void die(void)
{
    kill(getpid(), SIGKILL);
    for (;;)
        pause();
}

#define NEXT(name) __extension__((__typeof__(&name))dlsym(RTLD_NEXT, #name))

#define STEP(result, name, params, args)         \
    result name params                           \
    {                                            \
        if (is_last())                           \
            die();                               \
        return NEXT(name) args;                  \
    }

STEP(int, fsync, (int fd), (fd))
STEP(int, fdatasync, (int fd), (fd))
STEP(int, rename, (const char *from, const char *to), (from, to))
STEP(int, unlink, (const char *path), (path))
STEP(int, ftruncate, (int fd, off_t n), (fd, n))
STEP(int, ftruncate64, (int fd, off64_t n), (fd, n))
STEP(int, fchmod, (int fd, mode_t mode), (fd, mode))
STEP(int, mkdir, (const char *path, mode_t mode), (path, mode))
STEP(int, rmdir, (const char *path), (path))

ssize_t write(int fd, const void *data, size_t n)
{
    int last = fd > 2 && is_last(); /* what is said to the user is no step */
    ssize_t put = NEXT(write)(fd, data, last ? n / 2 : n);
    if (last)
        die();
    return put;
}

ssize_t pwrite64(int fd, const void *data, size_t n, off64_t at)
{
    int last = is_last();
    ssize_t put = NEXT(pwrite64)(fd, data, last ? n / 2 : n, at);
    if (last)
        die();
    return put;
}

static void __attribute__((constructor)) say_at_once(void)
{
    setvbuf(stdout, NULL, _IOLBF, 0);
}

static void __attribute__((destructor)) tell(void)
{
    const char *path = getenv("GB_KILL_COUNT");
    FILE *file = path != NULL ? fopen(path, "w") : NULL;
    if (file == NULL)
        return;
    fprintf(file, "%d\n", steps);
    fclose(file);
}
