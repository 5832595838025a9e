/* look.c -- looking at photos behind an import (survey.h), in a thread of its own beside the jobs: a report or another import need not
 * wait for it. What it finds shows in the claim as any change does.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "web-private.h"

static gboolean is_ending(gpointer user)
{
    GbWeb *web = user;
    pthread_mutex_lock(&web->news_lock);
    gboolean ending = web->ending;
    pthread_mutex_unlock(&web->news_lock);
    return ending;
}

static void look_once(GbWeb *web)
{
    GbSurveyTally tally;
    g_autoptr(GError) error = NULL;
    const GbSurveyWatch watch = { .stop = is_ending, .user = web };
    g_autoptr(GbLog) log = gb_log_open(web->names.folder, GB_LOG_WRITE, &error);
    /* A claim that can't be written is looked at by nobody: its photos are shown all the same. */
    if (log != NULL)
        gb_survey(log, FALSE, &watch, &tally, &error);
}

static void *look(void *user)
{
    GbWeb *web = user;
    for (gboolean more = TRUE; more;) {
        look_once(web);
        pthread_mutex_lock(&web->news_lock);
        more = web->look_again && !web->ending;
        web->look_again = FALSE;
        web->looking = more;
        web->news_count++;
        pthread_cond_broadcast(&web->news);
        pthread_mutex_unlock(&web->news_lock);
    }
    return NULL;
}

void gb_web_look(GbWeb *web)
{
    pthread_mutex_lock(&web->news_lock);
    if (web->looking)
        web->look_again = TRUE;
    else if (!web->ending) {
        if (web->looked)
            pthread_join(web->look_thread, NULL); /* it has said its last under our lock */
        web->looked = web->looking = pthread_create(&web->look_thread, NULL, look, web) == 0;
    }
    pthread_mutex_unlock(&web->news_lock);
}

void gb_web_join_look(GbWeb *web)
{
    if (web->looked)
        pthread_join(web->look_thread, NULL);
    web->looked = FALSE;
}
