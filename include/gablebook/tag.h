/* tag.h -- what a person says of shots: where, what, how near, which value, in which words and order.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_TAG_H
#define GABLEBOOK_TAG_H

#include <gablebook/log.h>

G_BEGIN_DECLS

typedef enum { GB_KEEP, GB_LEAVE_OUT, GB_TAKE_IN } GbInReport;
typedef enum { GB_ORDER_KEEP, GB_ORDER_BEFORE, GB_ORDER_AFTER, GB_ORDER_BY_TIME } GbOrder;

/* What to change, in a person's words (abbreviations by word.h). NULL leaves a thing as it is, "" takes it back. Text BORROWED for the call. */
typedef struct {
    const char *place;
    const char *subject;
    const char *distance;
    const char *value;   /* understood as the subject's kind of value */
    const char *caption; /* "": composed again from what is known */
    GbInReport in_report;
    GbOrder order;       /* within the place; one shot's position or several shots' in the order given */
    gint64 anchor;       /* the shot before or after which they go */
} GbTag;

/* Tag shots; one change in the history.
 *   shots    "3,7-12"; a number that is in no range of existing shots is an error
 *   summary  what was done, for the user: "shots 3, 7-12: place rear slope", OWNED by the caller; may be NULL
 * GB_ERROR_SYNTAX, _UNKNOWN, _UNCLEAR, _STATE (a value the subject can't carry ...): nothing was changed. */
gboolean gb_tag(GbLog *log, const char *shots, const GbTag *tag, char **summary, GError **error);

G_END_DECLS
#endif
