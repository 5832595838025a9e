/* correct.c -- the verb correct: what people say of clocks. See correct.h.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <gablebook/correct.h>

#include <gablebook/error.h>
#include <gablebook/escape.h>
#include <gablebook/history.h>
#include <log/rows.h>
#include <math.h>

#define SAID_MAX_BYTES 100

static gboolean save(GbChange *change, char *text, char **summary, GError **error)
{
    g_autofree char *owned = text;
    if (!gb_change_save(change, owned, error))
        return FALSE;
    if (summary != NULL)
        *summary = g_steal_pointer(&owned);
    return TRUE;
}

/* Words that were stored would be passed over at every load: refuse them now. what: "shots 3 and 14 can't be paired". */
static gboolean hold(GbLog *log, const char *what, GError **error)
{
    g_autoptr(GError) why = NULL;
    if (gb_clock_pairs_hold(log, &why))
        return TRUE;
    if (why->code == GB_ERROR_STATE)
        g_set_error(error, GB_ERROR, GB_ERROR_STATE, "%s: the pairs of shots would then lean on each other in a circle; nothing was changed", what);
    else
        g_propagate_error(error, g_steal_pointer(&why));
    return FALSE;
}

static gboolean store_word(GbLog *log, const GbCamera *camera, const char *said, char **summary, GError **error)
{
    double error_s;
    g_autofree char *clean = strlen(said) <= SAID_MAX_BYTES ? gb_clean_text(said, strlen(said)) : NULL;
    if (!gb_clock_parse(clean != NULL ? clean : "", &error_s, error))
        return FALSE;
    *summary = g_strdup_printf("%s: %s", camera->name, clean);
    return gb_clock_word_store(log, camera->key, clean, error_s, error);
}

static gboolean remove_word(GbLog *log, const GbCamera *camera, char **summary, GError **error)
{
    if (camera->said == NULL) {
        g_set_error(error, GB_ERROR, GB_ERROR_STATE, "nothing was said of the clock of %s; nothing was changed", camera->name);
        return FALSE;
    }
    *summary = g_strdup_printf("%s: word on its clock taken back", camera->name);
    return gb_clock_word_remove(log, camera->key, error) && hold(log, "the word can't be taken back", error);
}

gboolean gb_correct_say(GbLog *log, const char *camera, const char *said, char **summary, GError **error)
{
    gboolean back = said == NULL || *said == '\0';
    g_autoptr(GbChange) change = gb_change_begin(log, "clock", error);
    g_autoptr(GbCameras) cameras = change == NULL ? NULL : gb_cameras_load(log, error);
    const GbCamera *found = cameras == NULL ? NULL : gb_cameras_find(cameras, camera, error);
    if (found == NULL)
        return FALSE;
    g_autofree char *done = NULL;
    if (back ? !remove_word(log, found, &done, error) : !store_word(log, found, said, &done, error))
        return FALSE;
    return save(change, g_steal_pointer(&done), summary, error);
}

/* A pair that makes no sense would be passed over at every load: refuse it now. */
static gboolean makes_sense(const GPtrArray *shots, gint64 shot, gint64 other, GError **error)
{
    const GbShot *first = gb_shots_by_number(shots, shot), *second = gb_shots_by_number(shots, other);
    if (first == NULL || second == NULL) {
        g_set_error(error, GB_ERROR, GB_ERROR_UNKNOWN, "there is no shot %" G_GINT64_FORMAT "; nothing was changed",
                    first == NULL ? shot : other);
        return FALSE;
    }
    const char *why = strcmp(first->camera, second->camera) == 0 ? "both are of one camera"
                      : isnan(first->exif.taken_local_s)         ? "the first has no time"
                      : isnan(second->time.utc_s)                ? "the time of the second is not known itself"
                                                                 : NULL;
    if (why != NULL)
        g_set_error(error, GB_ERROR, GB_ERROR_STATE, "shots %" G_GINT64_FORMAT " and %" G_GINT64_FORMAT " can't be paired: %s; nothing was "
                    "changed", shot, other, why);
    return why == NULL;
}

static gboolean has_pair(GbLog *log, gint64 shot, GError **error)
{
    g_autoptr(GbCameras) cameras = gb_cameras_load(log, error);
    if (cameras == NULL)
        return FALSE;
    for (guint i = 0; i < cameras->pairs->len; i++)
        if (g_array_index(cameras->pairs, GbCameraPair, i).shot == shot)
            return TRUE;
    g_set_error(error, GB_ERROR, GB_ERROR_STATE, "shot %" G_GINT64_FORMAT " is in no pair; nothing was changed", shot);
    return FALSE;
}

gboolean gb_correct_pair(GbLog *log, gint64 shot, gint64 other, char **summary, GError **error)
{
    g_autoptr(GbChange) change = gb_change_begin(log, "clock", error);
    g_autoptr(GPtrArray) shots = change == NULL ? NULL : gb_shots_load(log, error);
    if (shots == NULL)
        return FALSE;
    if (other == 0)
        return has_pair(log, shot, error) && gb_clock_pair_remove(log, shot, error) &&
               save(change, g_strdup_printf("pair of shot %" G_GINT64_FORMAT " taken back", shot), summary, error);
    g_autofree char *what = g_strdup_printf("shots %" G_GINT64_FORMAT " and %" G_GINT64_FORMAT " can't be paired", shot, other);
    return makes_sense(shots, shot, other, error) && gb_clock_pair_store(log, shot, other, error) && hold(log, what, error) &&
           save(change, g_strdup_printf("shot %" G_GINT64_FORMAT " = shot %" G_GINT64_FORMAT, shot, other), summary, error);
}
