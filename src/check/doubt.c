/* doubt.c -- see doubt.h.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <gablebook/doubt.h>

#include <gablebook/stray.h>
#include <math.h>

static void free_doubt(gpointer data)
{
    GbDoubt *doubt = data;
    g_free(doubt->text);
    g_free(doubt);
}

/* With one decimal, the same in every locale. OWNED by the caller. */
static char *with_unit(double number, const char *unit)
{
    char text[G_ASCII_DTOSTR_BUF_SIZE];
    return g_strconcat(g_ascii_formatd(text, sizeof text, "%.1f", number), unit, NULL);
}

static char *distance_text(double metres)
{
    return metres < 1000 ? g_strdup_printf("%.0f m", metres) : with_unit(metres / 1000, " km");
}

static char *time_text(double seconds)
{
    if (seconds < 48 * 3600)
        return with_unit(seconds / 3600, " hours");
    /* a time from a broken file may be anything */
    return seconds < 36525 * 86400.0 ? g_strdup_printf("%.0f days", seconds / 86400) : g_strdup("more than a century");
}

static char *describe(const GbStray *stray, gint64 number)
{
    g_autoptr(GString) text = g_string_new(NULL);
    g_string_printf(text, "shot %" G_GINT64_FORMAT, number);
    if (stray->far) {
        g_autofree char *distance = distance_text(stray->distance_m), *allowed = distance_text(stray->allowed_m);
        g_string_append_printf(text, " lies %s from the others, where its positioning error allows %s", distance, allowed);
    }
    if (stray->untimely) {
        g_autofree char *apart = time_text(stray->apart_s);
        g_string_append_printf(text, "%s was taken %s away from %s", stray->far ? ", and" : "", apart, stray->far ? "them" : "the others");
    }
    return g_string_free(g_steal_pointer(&text), FALSE);
}

GPtrArray *gb_doubts(const GPtrArray *shots)
{
    GPtrArray *doubts = g_ptr_array_new_with_free_func(free_doubt);
    g_autofree GbVisitShot *positions = g_new0(GbVisitShot, shots->len + 1);
    gboolean utc = FALSE;
    for (guint i = 0; i < shots->len; i++)
        utc = utc || !isnan(((GbShot *)shots->pdata[i])->time.utc_s);
    for (guint i = 0; i < shots->len; i++) {
        const GbShot *shot = shots->pdata[i];
        positions[i] = (GbVisitShot){ utc ? shot->time.utc_s : shot->exif.taken_local_s, shot->exif.lat_deg, shot->exif.lon_deg,
                                      shot->exif.position_error_m, 0, i };
    }
    g_autoptr(GArray) strays = gb_strays_find(positions, shots->len, (double)NAN, (double)NAN);
    for (guint i = 0; i < strays->len; i++) {
        const GbStray *stray = &g_array_index(strays, GbStray, i);
        GbDoubt *doubt = g_new(GbDoubt, 1);
        doubt->number = ((GbShot *)shots->pdata[stray->shot])->number;
        doubt->far = stray->far;
        doubt->text = describe(stray, doubt->number);
        g_ptr_array_add(doubts, doubt);
    }
    return doubts;
}
