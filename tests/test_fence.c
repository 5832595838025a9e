/* test_fence.c -- what the decoder for HEIC, and a thread that decodes, can't do any more once their fence is up.
 *
 * The fence is for good, so every trial happens in a process, or thread, of its own. Source of the error: seccomp(2), SECCOMP_RET_ERRNO.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "test.h"

#include "heic/fence.c"
#include "photo_support.h"

#include <fcntl.h>
#include <gablebook/fence.h>
#include <gablebook/image.h>
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
    if (!GB_FENCED)
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
    if (!GB_FENCED)
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
    if (GB_FENCED)
        skip(); /* asking is not allowed either: shown where there is no filter */
    assert_int_equal(behind_the_fence(check_time), 0);
}

static void what_decoding_needs_is_left(void **state)
{
    (void)state;
    assert_int_equal(behind_the_fence(take_50_mb), 0);
    assert_int_equal(behind_the_fence(start_a_thread), 0);
}

/* --- around a thread --- */

/* What a trial in a thread of its own returns, behind the fence; 99: there was none. */
static gpointer fence_and_try(gpointer trial)
{
    return GINT_TO_POINTER(gb_fence_thread() ? ((int (*)(void))trial)() : 99);
}

static int in_a_fenced_thread(int (*trial)(void))
{
    return GPOINTER_TO_INT(g_thread_join(g_thread_new("fenced", fence_and_try, (gpointer)trial)));
}

static int null_fd; /* opened by a thread that may */

static int write_a_file(void)
{
    return write(null_fd, "x", 1) < 0 ? errno : 0;
}

static int make_code(void)
{
    return mmap(NULL, 4096, PROT_READ | PROT_EXEC, MAP_PRIVATE | MAP_ANONYMOUS, -1, 0) == MAP_FAILED ? errno : 0;
}

static int turn_memory_into_code(void)
{
    void *memory = mmap(NULL, 4096, PROT_READ | PROT_WRITE, MAP_PRIVATE | MAP_ANONYMOUS, -1, 0);
    return mprotect(memory, 4096, PROT_READ | PROT_EXEC) < 0 ? errno : 0;
}

static int start_another(void)
{
    g_autoptr(GError) error = NULL;
    GThread *thread = g_thread_try_new("other", nothing, NULL, &error);
    if (thread != NULL)
        g_thread_join(thread);
    return g_error_matches(error, G_THREAD_ERROR, G_THREAD_ERROR_AGAIN) ? EAGAIN : 0;
}

static void a_fenced_thread_has_no_files_sockets_programs_threads_or_new_code(void **state)
{
    (void)state;
    if (!GB_FENCED)
        skip();
    null_fd = open("/dev/null", O_WRONLY | O_CLOEXEC);
    int (*const trials[])(void) = { open_a_file, make_a_file, make_a_socket, run_a_program, write_a_file, make_code, turn_memory_into_code,
                                    reach_a_process };
    for (gsize i = 0; i < G_N_ELEMENTS(trials); i++)
        assert_int_equal(in_a_fenced_thread(trials[i]), EPERM);
    assert_int_equal(in_a_fenced_thread(make_a_process), EAGAIN);
    assert_int_equal(in_a_fenced_thread(start_another), EAGAIN);
    assert_int_equal(close(null_fd), 0);
}

static void the_other_threads_keep_all_they_had(void **state)
{
    (void)state;
    if (!GB_FENCED)
        skip();
    assert_int_equal(in_a_fenced_thread(open_a_file), EPERM);
    assert_int_equal(open_a_file(), 0);
    assert_int_equal(prctl(PR_GET_NO_NEW_PRIVS, 0, 0, 0, 0), 0);
    assert_int_equal(run((const char *const[]){ "true", NULL }, NULL, NULL), 0);
}

static GBytes *to_survey;
static const char *survey_sha256;

static int survey_in_memory(void)
{
    GbImageHeader header;
    GbQuality measured;
    gsize n;
    const void *data = g_bytes_get_data(to_survey, &n);
    if (!gb_image_header(data, n, &header, NULL))
        return 1;
    g_autoptr(GBytes) small = gb_image_survey(data, n, header.exif.orientation, 320, 85, &measured, NULL, NULL);
    gb_image_header_clear(&header);
    if (small == NULL)
        return 2;
    g_autofree char *sha256 = g_compute_checksum_for_bytes(G_CHECKSUM_SHA256, small);
    if (survey_sha256 == NULL)
        survey_sha256 = g_steal_pointer(&sha256);
    return strcmp(survey_sha256, sha256 != NULL ? sha256 : survey_sha256) == 0 ? 0 : 3;
}

/* A large one, so that memory is asked of the system; refused pictures with their sentence too. */
static void decoding_is_the_same_behind_the_fence(void **state)
{
    (void)state;
    if (!GB_FENCED)
        skip();
    to_survey = jpeg_bytes(3000, 2000, 5);
    survey_sha256 = NULL;
    assert_int_equal(survey_in_memory(), 0);
    assert_int_equal(in_a_fenced_thread(survey_in_memory), 0);
    g_bytes_unref(to_survey);
    to_survey = g_bytes_new_static("no picture", 10);
    assert_int_equal(in_a_fenced_thread(survey_in_memory), 1);
    g_bytes_unref(to_survey);
    g_free((char *)survey_sha256);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(files_sockets_programs_and_other_processes_are_out_of_reach),
        cmocka_unit_test(memory_is_limited),
        cmocka_unit_test(time_is_limited_and_nothing_is_dumped),
        cmocka_unit_test(what_decoding_needs_is_left),
        cmocka_unit_test(a_fenced_thread_has_no_files_sockets_programs_threads_or_new_code),
        cmocka_unit_test(the_other_threads_keep_all_they_had),
        cmocka_unit_test(decoding_is_the_same_behind_the_fence),
    };
    return cmocka_run_group_tests_name("fence", tests, NULL, NULL);
}
