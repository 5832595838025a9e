/* fence.h -- a thread that works on pictures of strangers gives up what that work does not need.
 *
 * For threads that get bytes in memory and give back bytes in memory (gb_image_header, gb_image_survey of JPEG and PNG): behind the
 * fence they have memory, locks and time, and no files, sockets, programs, other processes or new code. Other threads keep all they had. It
 * is no wall as a process is: who takes over such a thread can still write into the memory of the others. But what usually comes next,
 * to open a file or start a program, is refused where it is tried.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_FENCE_H
#define GABLEBOOK_FENCE_H

#include <glib.h>

G_BEGIN_DECLS

/* Put up the fence around the calling thread, for good. System calls that are not needed then fail with EPERM: the thread can
 * read and write no file or descriptor, start neither thread (EAGAIN) nor program (so it can decode no HEIC: image.h), and map no code. A thread inherits
 * it from the one that starts it. FALSE: this kernel or processor has none (seccomp, on x86-64 and AArch64), or the program was built with
 * AddressSanitizer, whose reports need files; the thread is then as free as before. */
gboolean gb_fence_thread(void);

G_END_DECLS
#endif
