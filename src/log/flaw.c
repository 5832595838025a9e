/* flaw.c -- which shots of a claim are weak or say the same as another: their measures given to burst.h. See rows.h.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "rows.h"

#include <gablebook/burst.h>

static GbBurstShot *collect(const GPtrArray *shots)
{
    g_autoptr(GHashTable) cameras = g_hash_table_new(g_str_hash, g_str_equal); /* key -> number */
    GbBurstShot *measured = g_new0(GbBurstShot, shots->len);
    for (guint i = 0; i < shots->len; i++) {
        const GbShot *shot = shots->pdata[i];
        if (!g_hash_table_contains(cameras, shot->camera))
            g_hash_table_insert(cameras, shot->camera, GINT_TO_POINTER(g_hash_table_size(cameras)));
        measured[i] = (GbBurstShot){
            .number = shot->number,
            .time_s = shot->exif.taken_local_s,
            .camera = GPOINTER_TO_INT(g_hash_table_lookup(cameras, shot->camera)),
            .damaged = shot->damaged,
            .measured = shot->measured,
            .quality = shot->quality,
        };
    }
    return measured;
}

/* The flaws of shot i that weaken it, or those that only advise: "blurred: ...; overexposed: ..."; NULL none. OWNED by the caller. */
static char *describe(const GbBurst *burst, guint i, gboolean weakening)
{
    g_autoptr(GString) text = g_string_new(NULL);
    for (int flaw = 0; flaw < GB_FLAWS; flaw++) {
        const char *why = gb_burst_why(burst, i, (GbFlaw)flaw);
        if (why != NULL && gb_flaw_weakens((GbFlaw)flaw) == weakening)
            g_string_append_printf(text, "%s%s: %s", text->len > 0 ? "; " : "", gb_flaw_text((GbFlaw)flaw), why);
    }
    return text->len > 0 ? g_strdup(text->str) : NULL;
}

void gb_shots_set_flaws(const GPtrArray *shots)
{
    g_autofree GbBurstShot *measured = collect(shots);
    g_autoptr(GbBurst) burst = gb_burst_judge(measured, shots->len);
    for (guint i = 0; i < shots->len; i++) {
        GbShot *shot = shots->pdata[i];
        shot->weak = shot->trouble != NULL ? g_strdup_printf("no picture: %s", shot->trouble) : describe(burst, i, TRUE);
        shot->remark = describe(burst, i, FALSE);
    }
}
