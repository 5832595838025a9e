/* route_picture.c -- GET /picture/SHA256/preview, screen, original.
 *
 * The address names bytes: what it gives never changes, so browsers keep it for ever. Nothing of the address becomes part of a path: the
 * shot with these bytes is looked up, and its own stored name is used.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "web-private.h"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#define SCREEN_PX 1600

static void answer_missing(GbWebRequest *request, GError *error)
{
    gb_web_refuse(request, MHD_HTTP_NOT_FOUND, "unknown", "%s", error->message);
    g_error_free(error);
}

/* As IANA registers them; what no photo can be any more is bytes. */
static const char *type_of(int fd)
{
    guint8 head[GB_FORMAT_HEAD_BYTES];
    gssize n = pread(fd, head, sizeof head, 0);
    switch (n > 0 ? gb_format_of(head, (gsize)n) : GB_FORMAT_UNKNOWN) {
    case GB_FORMAT_JPEG: return "image/jpeg";
    case GB_FORMAT_PNG: return "image/png";
    case GB_FORMAT_HEIC: return "image/heif";
    default: return "application/octet-stream";
    }
}

/* The file as it came. It is not held against its digest on every look: that is verify's. */
static void answer_original(GbWebRequest *request, const GbBoardShot *shot, const char *etag)
{
    struct stat st;
    g_autofree char *path = g_build_filename(request->web->names.folder, "originals", shot->stored_name, NULL);
    int fd = open(path, O_RDONLY | O_CLOEXEC | O_NOFOLLOW | O_NONBLOCK);
    if (fd >= 0 && fstat(fd, &st) == 0 && S_ISREG(st.st_mode) && st.st_size > 0) {
        gb_web_descriptor(request, fd, (guint64)st.st_size, type_of(fd), etag, TRUE);
        return;
    }
    if (fd >= 0)
        close(fd);
    gb_web_refuse(request, MHD_HTTP_NOT_FOUND, "unknown", "%s: can't be read", shot->stored_name);
}

static void answer_smaller(GbWebRequest *request, const GbBoardShot *shot, int px, const char *etag)
{
    GError *error = NULL;
    GbLog *log = gb_web_borrow_log(request, GB_LOG_READ, NULL);
    if (log == NULL)
        return;
    const GbShot wanted = { .sha256 = shot->sha256, .stored_name = shot->stored_name, .exif = { .orientation = shot->orientation } };
    g_autoptr(GBytes) picture = gb_picture(log, &wanted, px, &error);
    gb_web_return_log(request->web, GB_LOG_READ, log);
    if (picture != NULL)
        gb_web_bytes(request, picture, "image/jpeg", etag, TRUE);
    else
        answer_missing(request, error);
}

/* In the claim as it stood last, else as it stands now: pictures are asked for by the hundred. */
static GbBoard *find_board(GbWebRequest *request, const char *sha256)
{
    g_autoptr(GbBoard) last = gb_web_last_board(request->web);
    return last != NULL && gb_board_find(last, sha256) != NULL ? g_steal_pointer(&last) : gb_web_board(request);
}

static void answer(GbWebRequest *request)
{
    g_auto(GStrv) parts = g_strsplit(request->rest, "/", 3);
    gboolean two = g_strv_length(parts) == 2;
    int px = two && strcmp(parts[1], "preview") == 0 ? GB_PREVIEW_PX : two && strcmp(parts[1], "screen") == 0 ? SCREEN_PX : 0;
    gboolean original = two && strcmp(parts[1], "original") == 0;
    g_autoptr(GbBoard) board = px != 0 || original ? find_board(request, parts[0]) : NULL;
    const GbBoardShot *shot = board == NULL ? NULL : gb_board_find(board, parts[0]);
    if (shot == NULL) {
        if (request->response == NULL)
            gb_web_refuse(request, MHD_HTTP_NOT_FOUND, "unknown", "there is no such picture");
        return;
    }
    g_autofree char *etag = g_strdup_printf("%s-%d", shot->sha256, px);
    if (original)
        answer_original(request, shot, etag);
    else
        answer_smaller(request, shot, px, etag);
}
const GbWebRoute gb_route_picture = { .method = "GET", .path = "/picture/", .answer = answer };
