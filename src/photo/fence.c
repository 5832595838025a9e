/* fence.c -- a filter of system calls around one thread. See fence.h; src/heic/fence.c is the same idea around a process.
 *
 * Both what is asked of prctl hold for the calling thread alone: no_new_privs, without which an ordinary user may set no filter, and the
 * filter, which is not spread to other threads. exit_group and tgkill are left, so that an assertion that fails still ends the program.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <gablebook/fence.h>

#include "fence-private.h"

#include <errno.h>
#include <sys/mman.h>

gboolean gb_fence_thread(void)
{
#if GB_FENCED
    struct sock_filter rules[] = {
        FENCE_BEGIN,
        FENCE_ALLOW_WORK,
        FENCE_ALLOW_WITHOUT(SYS_mmap, 2, PROT_EXEC),
        FENCE_ALLOW_WITHOUT(SYS_mprotect, 2, PROT_EXEC),
        FENCE_ALLOW(SYS_tgkill), FENCE_ALLOW(SYS_exit_group),
        FENCE_FAIL(SYS_clone, EAGAIN), FENCE_FAIL(SYS_clone3, EAGAIN), /* the one error of which GLib does not abort */
        FENCE_REFUSE,
    };
    const struct sock_fprog program = { G_N_ELEMENTS(rules), rules };
    return prctl(PR_SET_NO_NEW_PRIVS, 1, 0, 0, 0) == 0 && prctl(PR_SET_SECCOMP, SECCOMP_MODE_FILTER, &program) == 0;
#else
    return FALSE;
#endif
}
