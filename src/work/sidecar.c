/* sidecar.c -- see sidecar.h.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <gablebook/sidecar.h>

#include <gablebook/format.h>
#include <string.h>

#define SCREEN_PICTURE_BYTES (256u << 10) /* a .thm has 160 x 120 pixels (DCF 2.0); what is larger is somebody's photo */

/* A bit of GbSidecars.kinds each, in this order. */
static const struct {
    const char *ending; /* or the whole name */
    gboolean is_jpeg;
} kinds[] = { { ".aae", FALSE }, { ".xmp", FALSE }, { ".thm", TRUE }, { "Thumbs.db", FALSE }, { "desktop.ini", FALSE } };

static gboolean is_called(const char *name, const char *ending)
{
    gsize n = strlen(name), m = strlen(ending);
    return (ending[0] == '.' ? n > m : n == m) && g_ascii_strcasecmp(name + n - m, ending) == 0;
}

gboolean gb_sidecars_add(GbSidecars *sidecars, const char *path, guint64 bytes)
{
    g_autofree char *name = g_path_get_basename(path);
    gsize i = 0;
    while (i < G_N_ELEMENTS(kinds) && !is_called(name, kinds[i].ending))
        i++;
    if (i == G_N_ELEMENTS(kinds))
        return FALSE;
    GbFormat format = gb_format_of_file(path);
    gboolean small_picture = kinds[i].is_jpeg && format == GB_FORMAT_JPEG && bytes <= SCREEN_PICTURE_BYTES;
    if (format != GB_FORMAT_UNKNOWN && !small_picture)
        return FALSE;
    sidecars->n++;
    sidecars->kinds |= 1u << i;
    return TRUE;
}

char *gb_sidecars_text(const GbSidecars *sidecars)
{
    g_autoptr(GString) endings = g_string_new(NULL);
    for (gsize i = 0; i < G_N_ELEMENTS(kinds); i++)
        if (sidecars->kinds & 1u << i)
            g_string_append_printf(endings, "%s%s", endings->len > 0 ? ", " : "", kinds[i].ending);
    return sidecars->n == 0 ? NULL
                            : g_strdup_printf("%u sidecar file%s (%s) passed over", sidecars->n, sidecars->n == 1 ? "" : "s", endings->str);
}
