/* fence-private.h -- the words of which a filter of system calls is made. Only for src/photo/fence.c and src/heic/fence.c.
 *
 * A filter is a small program over the call's number and arguments (seccomp(2)); struct sock_filter. GB_FENCED is defined where one can
 * be made: the processor's call numbers are known, and no AddressSanitizer wants files for its reports.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_FENCE_PRIVATE_H
#define GABLEBOOK_FENCE_PRIVATE_H

#include <linux/audit.h>
#include <linux/filter.h>
#include <linux/seccomp.h>
#include <stddef.h>
#include <sys/prctl.h>
#include <sys/syscall.h>

#if defined __x86_64__
#define FENCE_ARCH AUDIT_ARCH_X86_64
#elif defined __aarch64__
#define FENCE_ARCH AUDIT_ARCH_AARCH64
#endif

#if defined FENCE_ARCH && !defined __SANITIZE_ADDRESS__
#define GB_FENCED 1
#else
#define GB_FENCED 0
#endif

/* Calls of another processor's table end the process; else the call's number is what the rest looks at. */
#define FENCE_BEGIN                                                              \
    BPF_STMT(BPF_LD | BPF_W | BPF_ABS, offsetof(struct seccomp_data, arch)),     \
    BPF_JUMP(BPF_JMP | BPF_JEQ | BPF_K, FENCE_ARCH, 1, 0),                       \
    BPF_STMT(BPF_RET | BPF_K, SECCOMP_RET_KILL_PROCESS),                         \
    BPF_STMT(BPF_LD | BPF_W | BPF_ABS, offsetof(struct seccomp_data, nr))
#define FENCE_ALLOW(CALL) BPF_JUMP(BPF_JMP | BPF_JEQ | BPF_K, (CALL), 0, 1), BPF_STMT(BPF_RET | BPF_K, SECCOMP_RET_ALLOW)
/* Unless argument I (its lower half: both processors are little-endian) has one of these bits, and then EPERM. */
#define FENCE_ALLOW_WITHOUT(CALL, I, BITS)                                        \
    BPF_JUMP(BPF_JMP | BPF_JEQ | BPF_K, (CALL), 0, 4),                            \
    BPF_STMT(BPF_LD | BPF_W | BPF_ABS, offsetof(struct seccomp_data, args[I])),   \
    BPF_JUMP(BPF_JMP | BPF_JSET | BPF_K, (BITS), 0, 1),                           \
    BPF_STMT(BPF_RET | BPF_K, SECCOMP_RET_ERRNO | EPERM),                         \
    BPF_STMT(BPF_RET | BPF_K, SECCOMP_RET_ALLOW)
#define FENCE_FAIL(CALL, ERROR) BPF_JUMP(BPF_JMP | BPF_JEQ | BPF_K, (CALL), 0, 1), BPF_STMT(BPF_RET | BPF_K, SECCOMP_RET_ERRNO | (ERROR))
#define FENCE_REFUSE BPF_STMT(BPF_RET | BPF_K, SECCOMP_RET_ERRNO | EPERM)

/* What memory, locks, time and a thread's end are made of. */
#define FENCE_ALLOW_WORK                                                                                                       \
    FENCE_ALLOW(SYS_munmap), FENCE_ALLOW(SYS_mremap), FENCE_ALLOW(SYS_madvise), FENCE_ALLOW(SYS_brk), FENCE_ALLOW(SYS_futex),  \
    FENCE_ALLOW(SYS_set_robust_list), FENCE_ALLOW(SYS_rseq), FENCE_ALLOW(SYS_exit), FENCE_ALLOW(SYS_rt_sigprocmask),           \
    FENCE_ALLOW(SYS_rt_sigaction), FENCE_ALLOW(SYS_rt_sigreturn), FENCE_ALLOW(SYS_clock_gettime),                              \
    FENCE_ALLOW(SYS_clock_nanosleep), FENCE_ALLOW(SYS_nanosleep), FENCE_ALLOW(SYS_sched_yield), FENCE_ALLOW(SYS_sched_getaffinity),  \
    FENCE_ALLOW(SYS_getrandom), FENCE_ALLOW(SYS_gettid), FENCE_ALLOW(SYS_getpid)

#endif
