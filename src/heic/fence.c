/* fence.c -- limits and a filter of system calls, put up before the first byte of a picture is read.
 *
 * Memory, processor time and the size of files are limited by setrlimit. The filter (seccomp) lets memory, threads, time and the two ends of the
 * pipe pass; every other call fails with EPERM, as if for want of rights, so that a library that merely asks something goes on
 * without an answer. Where the processor is one whose call numbers are not known here, the limits alone must do.
 *
 * Not under AddressSanitizer: its shadow needs terabytes of addresses and its reports need files.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "heic-main-private.h"

#include <errno.h>
#include <photo/fence-private.h>
#include <sched.h>
#include <sys/resource.h>
#include <unistd.h>

#define MEMORY_BYTES (2048ull << 20) /* 200 megapixels want 900 MB, as 4:2:0 and as RGB */
#define CPU_S 60
#define CPU_GRACE_S 5 /* at CPU_S comes SIGXCPU, which tells what happened; then SIGKILL */

static gboolean limit(__rlimit_resource_t what, rlim_t most, rlim_t grace)
{
    struct rlimit now;
    if (getrlimit(what, &now) != 0)
        return FALSE;
    return setrlimit(what, &(struct rlimit){ MIN(most, now.rlim_max), MIN(most + grace, now.rlim_max) }) == 0;
}

#if GB_FENCED
static gboolean filter_calls(void)
{
    struct sock_filter rules[] = {
        FENCE_BEGIN,
        FENCE_ALLOW(SYS_read), FENCE_ALLOW(SYS_write), FENCE_ALLOW(SYS_fstat), FENCE_ALLOW(SYS_newfstatat), FENCE_ALLOW(SYS_lseek),
        FENCE_ALLOW(SYS_close), FENCE_ALLOW(SYS_mmap), FENCE_ALLOW(SYS_mprotect),
        FENCE_ALLOW_WORK,
        FENCE_ALLOW(SYS_tgkill), FENCE_ALLOW(SYS_exit_group),
        /* Threads, but no processes. What clone3 is asked for can't be seen from here: without it, clone is taken. */
        FENCE_FAIL(SYS_clone3, ENOSYS),
        BPF_JUMP(BPF_JMP | BPF_JEQ | BPF_K, SYS_clone, 0, 3),
        BPF_STMT(BPF_LD | BPF_W | BPF_ABS, offsetof(struct seccomp_data, args[0])), /* its lower half */
        BPF_JUMP(BPF_JMP | BPF_JSET | BPF_K, CLONE_THREAD, 0, 1),
        BPF_STMT(BPF_RET | BPF_K, SECCOMP_RET_ALLOW),
        FENCE_REFUSE,
    };
    const struct sock_fprog program = { G_N_ELEMENTS(rules), rules };
    return prctl(PR_SET_NO_NEW_PRIVS, 1, 0, 0, 0) == 0 && prctl(PR_SET_SECCOMP, SECCOMP_MODE_FILTER, &program) == 0;
}
#else
static gboolean filter_calls(void)
{
    return TRUE;
}
#endif

gboolean gb_fence_up(void)
{
    close_range(STDERR_FILENO + 1, ~0u, 0); /* what others left open is none of a picture's business; old kernels can't */
    if (!limit(RLIMIT_CORE, 0, 0) || !limit(RLIMIT_FSIZE, 0, 0) || !limit(RLIMIT_CPU, CPU_S, CPU_GRACE_S))
        return FALSE;
#ifndef __SANITIZE_ADDRESS__
    if (!limit(RLIMIT_AS, MEMORY_BYTES, 0))
        return FALSE;
#endif
    return filter_calls();
}
