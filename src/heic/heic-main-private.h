/* heic-main-private.h -- what the two files of the decoder share.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_HEIC_MAIN_PRIVATE_H
#define GABLEBOOK_HEIC_MAIN_PRIVATE_H

#include <glib.h>

/* Give up, for good, what decoding does not need. FALSE when the system refuses: then nothing must be decoded. */
gboolean gb_fence_up(void);

#endif
