/* waiver.h -- "not possible, because ...": a requirement that a person has set aside, by name, time and reason.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_WAIVER_H
#define GABLEBOOK_WAIVER_H

#include <gablebook/log.h>

G_BEGIN_DECLS

typedef struct {
    char *key; /* which line of the check: "test-square place:7" (GbCheckLine.key) */
    char *why; /* the reason, never empty */
    char *who;
    gint64 at_utc_s; /* seconds since 1970-01-01 UTC */
} GbWaiver;

/* All waivers by key: array of GbWaiver, OWNED by the caller (g_ptr_array_unref). */
GPtrArray *gb_waivers_load(GbLog *log, GError **error);

G_END_DECLS
#endif
