/* letterhead.c -- who sends the report: name, address, logo.
 *
 *     FOLDER/templates/letterhead.ini
 *     [letterhead]
 *     name    = Tarn Adjusting
 *     address = 12 Mill Row; Alder Falls
 *     logo    = logo.png              (beside this file; JPEG or PNG)
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "report-private.h"

#include <gablebook/error.h>
#include <gablebook/file.h>
#include <gablebook/ini.h>
#include <gablebook/jpeg.h>

#define LOGO_MAX_BYTES (4u << 20)
#define LOGO_MAX_PX 4000
#define LOGO_PX 900 /* of a JPEG, which is made anew */
#define SECTION "letterhead"

void gb_letterhead_free(GbLetterhead *letterhead)
{
    if (letterhead == NULL)
        return;
    g_free(letterhead->sender);
    g_strfreev(letterhead->address);
    g_clear_pointer(&letterhead->logo, g_bytes_unref);
    g_free(letterhead);
}

static guint32 big_endian(const guint8 *at)
{
    return (guint32)at[0] << 24 | (guint32)at[1] << 16 | (guint32)at[2] << 8 | at[3];
}

/* The size of a PNG by its first chunk, which is IHDR (PNG specification, 11.2.2). */
static gboolean take_png(GbLetterhead *letterhead, GBytes *file, const char *path, GError **error)
{
    gsize n;
    const guint8 *data = g_bytes_get_data(file, &n);
    guint32 width = n >= 33 ? big_endian(data + 16) : 0, height = n >= 33 ? big_endian(data + 20) : 0;
    if (width == 0 || height == 0 || width > LOGO_MAX_PX || height > LOGO_MAX_PX || memcmp(data + 12, "IHDR", 4) != 0) {
        g_set_error(error, GB_ERROR, GB_ERROR_DAMAGED, "%s: a logo has at most %d pixels a side; no report was written",
                    path, LOGO_MAX_PX);
        return FALSE;
    }
    letterhead->logo = g_bytes_ref(file);
    letterhead->logo_type = "image/png";
    letterhead->logo_width = (int)width;
    letterhead->logo_height = (int)height;
    return TRUE;
}

/* Made anew: no metadata, no CMYK. */
static gboolean take_jpeg(GbLetterhead *letterhead, GBytes *file, const char *path, GError **error)
{
    gsize n;
    const void *data = g_bytes_get_data(file, &n);
    GbJpegHeader header = { 0 };
    letterhead->logo = gb_jpeg_shrink(data, n, 1, LOGO_PX, 90, NULL, error);
    gboolean ok = letterhead->logo != NULL &&
                  gb_jpeg_header(g_bytes_get_data(letterhead->logo, NULL), g_bytes_get_size(letterhead->logo), &header, error);
    if (!ok)
        g_prefix_error(error, "%s: ", path);
    letterhead->logo_type = "image/jpeg";
    letterhead->logo_width = header.width;
    letterhead->logo_height = header.height;
    gb_jpeg_header_clear(&header);
    return ok;
}

static gboolean take_logo(GbLetterhead *letterhead, const char *path, GError **error)
{
    static const guint8 png[8] = { 0x89, 'P', 'N', 'G', '\r', '\n', 0x1a, '\n' };
    g_autoptr(GBytes) file = gb_file_read(path, LOGO_MAX_BYTES, error);
    if (file == NULL)
        return FALSE;
    gsize n;
    const guint8 *data = g_bytes_get_data(file, &n);
    if (n > sizeof png && memcmp(data, png, sizeof png) == 0)
        return take_png(letterhead, file, path, error);
    return take_jpeg(letterhead, file, path, error);
}

static GbIni *load_ini(const GbLog *log, GError **error)
{
    static const char *const keys[] = { "name", "address", "logo", NULL };
    g_autofree char *path = gb_log_path(log, "templates", "letterhead.ini", NULL);
    return g_file_test(path, G_FILE_TEST_EXISTS) ? gb_ini_load(path, keys, error) : gb_ini_parse("letterhead.ini", "", keys, error);
}

/* Path of the logo that the file names: a file beside it. NULL without error: it names none. */
static char *own_logo(const GbLog *log, const GbIni *ini, GError **error)
{
    const char *name = gb_ini_get(ini, SECTION, "logo");
    if (name == NULL)
        return NULL;
    if (strchr(name, '/') != NULL || *name == '.') {
        gb_ini_fail(ini, SECTION, "logo", error, "'%s' can't be the name of a file beside this one", name);
        return NULL;
    }
    return gb_log_path(log, "templates", name, NULL);
}

GbLetterhead *gb_letterhead_load(const GbLog *log, const GbReportOptions *options, GError **error)
{
    g_autoptr(GbIni) ini = load_ini(log, error);
    if (ini == NULL)
        return NULL;
    g_autoptr(GbLetterhead) letterhead = g_new0(GbLetterhead, 1);
    letterhead->sender = g_strdup(options->sender != NULL ? options->sender : gb_ini_get(ini, SECTION, "name"));
    letterhead->address = options->sender_address != NULL ? g_strsplit_set(options->sender_address, "\n;", -1)
                                                          : gb_ini_list(ini, SECTION, "address");
    for (guint i = 0; letterhead->address[i] != NULL; i++)
        g_strstrip(letterhead->address[i]);

    GError *failed = NULL;
    g_autofree char *logo = options->logo != NULL ? g_strdup(options->logo) : own_logo(log, ini, &failed);
    if (failed != NULL) {
        g_propagate_error(error, failed);
        return NULL;
    }
    if (logo != NULL && !take_logo(letterhead, logo, error))
        return NULL;
    return g_steal_pointer(&letterhead);
}
