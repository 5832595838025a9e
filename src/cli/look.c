/* look.c -- photos that nobody looked at yet are looked at before a command says something that depends on it. See command.h.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "command.h"

#include <unistd.h>

/* What is found is said by the command that comes: weak photos, and those of which no picture can be made. */
static void on_shot(gint64 number, const char *message, const GbSurveyTally *tally, gpointer user)
{
    (void)number, (void)message, (void)user;
    fprintf(stderr, "\r\033[Klooking at the photos: %u of %u", tally->done, tally->total);
}

gboolean gb_cli_look(GbLog *log)
{
    GError *error = NULL;
    GbSurveyTally tally;
    gboolean on_terminal = isatty(STDERR_FILENO);
    const GbSurveyWatch watch = { .shot = on_terminal ? on_shot : NULL };
    gboolean ok = gb_survey_finish(log, &watch, &tally, &error);
    if (on_terminal && tally.total > 0)
        fputs("\r\033[K", stderr);
    if (!ok)
        gb_cli_fail(error);
    else if (tally.missed > 0)
        fprintf(stderr, "gablebook: %u photo%s could not be looked at: missing or changed; gablebook verify says which\n", tally.missed,
                tally.missed == 1 ? "" : "s");
    return ok;
}
