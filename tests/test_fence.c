/* test_fence.c -- what the decoder for HEIC can't do any more once its fence is up.
 *
 * The fence is for good, so every trial happens in a process of its own. Source of the error: seccomp(2), SECCOMP_RET_ERRNO.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "test.h"

#include "heic/fence.c"

#include <fcntl.h>
#include <sys/mman.h>
#include <sys/socket.h>
#include <sys/wait.h>

/* Run a trial behind the fence; what it returns. */
static int behind_the_fence(int (*trial)(void))
{
    int status;
    pid_t pid = fork();
    if (pid == 0)
        _exit(gb_fence_up() ? trial() : 99);
    assert_true(pid > 0);
    assert_int_equal(waitpid(pid, &status, 0), pid);
    assert_true(WIFEXITED(status));
    return WEXITSTATUS(status);
}

#if defined ARCH && !defined __SANITIZE_ADDRESS__
#define FENCED TRUE
#else
#define FENCED FALSE
#endif

static int open_a_file(void)
{
    return open("/etc/passwd", O_RDONLY) < 0 ? errno : 0;
}

static int make_a_file(void)
{
    return open("left-by-a-picture", O_WRONLY | O_CREAT, 0600) < 0 ? errno : 0;
}

static int make_a_socket(void)
{
    return socket(AF_INET, SOCK_STREAM, 0) < 0 ? errno : 0;
}

static int run_a_program(void)
{
    execl("/bin/true", "true", (char *)NULL);
    return errno;
}

static int make_a_process(void)
{
    pid_t pid = fork();
    if (pid == 0)
        _exit(0);
    return pid < 0 ? errno : 0;
}

static int reach_a_process(void)
{
    return kill(1, 0) < 0 ? errno : 0;
}

static int take_3_gb(void)
{
    return mmap(NULL, (size_t)3 << 30, PROT_READ | PROT_WRITE, MAP_PRIVATE | MAP_ANONYMOUS, -1, 0) == MAP_FAILED ? errno : 0;
}

static int take_50_mb(void)
{
    char *bytes = g_try_malloc(50 << 20);
    int ok = bytes != NULL;
    g_free(bytes);
    return ok ? 0 : 1;
}

static gpointer nothing(gpointer data)
{
    return data;
}

static int start_a_thread(void)
{
    return g_thread_join(g_thread_new("decode", nothing, GINT_TO_POINTER(7))) == GINT_TO_POINTER(7) ? 0 : 1;
}

static void files_sockets_programs_and_other_processes_are_out_of_reach(void **state)
{
    (void)state;
    if (!FENCED)
        skip();
    assert_int_equal(behind_the_fence(open_a_file), EPERM);
    assert_int_equal(behind_the_fence(make_a_file), EPERM);
    assert_int_equal(behind_the_fence(make_a_socket), EPERM);
    assert_int_equal(behind_the_fence(run_a_program), EPERM);
    assert_int_equal(behind_the_fence(make_a_process), EPERM);
    assert_int_equal(behind_the_fence(reach_a_process), EPERM);
}

static void memory_is_limited(void **state)
{
    (void)state;
    if (!FENCED)
        skip();
    assert_int_equal(behind_the_fence(take_3_gb), ENOMEM);
}

static int check_time(void)
{
    struct rlimit cpu, core;
    return getrlimit(RLIMIT_CPU, &cpu) == 0 && cpu.rlim_cur == CPU_S && cpu.rlim_max > cpu.rlim_cur && getrlimit(RLIMIT_CORE, &core) == 0 &&
           core.rlim_max == 0 ? 0 : 1;
}

/* The rest is the system's: setrlimit(2), SIGXCPU at the soft limit. */
static void time_is_limited_and_nothing_is_dumped(void **state)
{
    (void)state;
    if (FENCED)
        skip(); /* asking is not allowed either: shown where there is no filter */
    assert_int_equal(behind_the_fence(check_time), 0);
}

static void what_decoding_needs_is_left(void **state)
{
    (void)state;
    assert_int_equal(behind_the_fence(take_50_mb), 0);
    assert_int_equal(behind_the_fence(start_a_thread), 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(files_sockets_programs_and_other_processes_are_out_of_reach),
        cmocka_unit_test(memory_is_limited),
        cmocka_unit_test(time_is_limited_and_nothing_is_dumped),
        cmocka_unit_test(what_decoding_needs_is_left),
    };
    return cmocka_run_group_tests_name("fence", tests, NULL, NULL);
}
