/* keep.c -- bytes safely in originals/. See work-private.h.
 *
 * Photos come from memory, where they were read once and looked at. Attachments may be larger than memory: they are copied piece by piece, and
 * because their digest had to be known before, for the name, what was written is held against it.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "work-private.h"

#include <errno.h>
#include <fcntl.h>
#include <gablebook/digest.h>
#include <gablebook/error.h>
#include <gablebook/file.h>
#include <glib/gstdio.h>
#include <unistd.h>

#define STEM_MAX_BYTES 100 /* of a name in originals/ */
#define DIGITS_IN_NAME 12  /* of the digest, in a name in originals/ */
#define PIECE_BYTES (1u << 20)

/* Take the ending off a name, if it is one that files of this format have, and say which it was; else the format's own. */
static char *take_ending(GString *stem, GbFormat format)
{
    const char *dot = strrchr(stem->str, '.');
    if (dot == NULL || !gb_format_has_ending(format, dot))
        return g_strdup(gb_format_ending(format));
    char *ending = g_strdup(dot);
    g_string_truncate(stem, (gsize)(dot - stem->str));
    return ending;
}

char *gb_keep_name(const char *source_name, const char *sha256, GbFormat format)
{
    g_autoptr(GString) stem = g_string_new(source_name);
    g_autofree char *ending = take_ending(stem, format);
    if (stem->len > STEM_MAX_BYTES)
        g_string_truncate(stem, (gsize)(g_utf8_find_prev_char(stem->str, stem->str + STEM_MAX_BYTES + 1) - stem->str));
    for (char *c = stem->str; *c != '\0'; c++)
        if (strchr("/\\:*?\"<>|", *c) != NULL || (guchar)*c < ' ')
            *c = '_';
    if (stem->len == 0 || stem->str[0] == '.' || stem->str[0] == '-') /* hidden, or taken for an option by a shell's tools */
        g_string_prepend_c(stem, '_');
    return g_strdup_printf("%s-%.*s%s", stem->str, DIGITS_IN_NAME, sha256, ending);
}

/* An equal file that a killed import left there will do. FALSE with error; TRUE and *there: nothing to do any more. */
static gboolean look_there(const char *path, const char *sha256, gboolean *there, GError **error)
{
    char hex[GB_DIGEST_HEX];
    *there = g_file_test(path, G_FILE_TEST_EXISTS);
    if (!*there)
        return TRUE;
    if (!gb_digest_file(path, hex, error))
        return FALSE;
    if (strcmp(hex, sha256) == 0)
        return TRUE;
    g_set_error(error, GB_ERROR, GB_ERROR_STATE, "%s: is there already with other bytes; it was not touched", path);
    return FALSE;
}

gboolean gb_keep_bytes(const GbLog *log, const char *stored_name, const char *sha256, GBytes *bytes, gboolean *stored, GError **error)
{
    gboolean there;
    g_autofree char *path = gb_log_path(log, "originals", stored_name, NULL);
    *stored = FALSE;
    if (!look_there(path, sha256, &there, error))
        return FALSE;
    if (there)
        return TRUE;
    *stored = gb_file_place(path, g_bytes_get_data(bytes, NULL), g_bytes_get_size(bytes), 0444, TRUE, error);
    return *stored;
}

/* Reading fails for this file alone. */
static gboolean fail_reading(GError **error)
{
    g_set_error(error, GB_ERROR, GB_ERROR_STATE, "it can't be read to its end: %s", g_strerror(errno));
    return FALSE;
}

static gboolean copy_pieces(int from, GbFileWriter *to, GError **error)
{
    g_autofree guint8 *piece = g_malloc(PIECE_BYTES);
    for (;;) {
        gssize n = read(from, piece, PIECE_BYTES);
        if (n == 0)
            return TRUE;
        if (n < 0 && errno == EINTR)
            continue;
        if (n < 0)
            return fail_reading(error);
        if (!gb_file_writer_add(to, piece, (gsize)n, error))
            return FALSE;
    }
}

static gboolean copy(const char *from, const char *to, GError **error)
{
    g_autoptr(GbFileWriter) out = gb_file_writer_new(to, 0444, error);
    if (out == NULL)
        return FALSE;
    int fd = g_open(from, O_RDONLY | O_CLOEXEC | O_NOCTTY | O_NONBLOCK, 0);
    if (fd < 0)
        return fail_reading(error);
    gboolean ok = copy_pieces(fd, out, error);
    close(fd);
    return ok && gb_file_writer_finish(out, error);
}

gboolean gb_keep_file(const GbLog *log, const char *stored_name, const char *sha256, const char *from, gboolean *stored, GError **error)
{
    gboolean there;
    char written[GB_DIGEST_HEX];
    g_autofree char *path = gb_log_path(log, "originals", stored_name, NULL);
    *stored = FALSE;
    if (!look_there(path, sha256, &there, error))
        return FALSE;
    if (there)
        return TRUE;
    if (!copy(from, path, error) || !gb_digest_file(path, written, error))
        return FALSE;
    if (strcmp(written, sha256) != 0) {
        g_unlink(path);
        g_set_error_literal(error, GB_ERROR, GB_ERROR_STATE, "it changed while it was read");
        return FALSE;
    }
    *stored = TRUE;
    return TRUE;
}
