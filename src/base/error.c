/* error.c -- the one error domain. See error.h.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <gablebook/error.h>

G_DEFINE_QUARK(gablebook-error-quark, gb_error)
