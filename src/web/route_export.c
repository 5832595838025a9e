/* route_export.c -- POST /api/export puts the whole claim into a zip beside its folder, as the command does; GET /api/export tells of it, GET
 * /export hands it over. See export.h.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "web-private.h"

#include "board-private.h"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

/* An open zip, as it lies there: a link or a folder of that name is none of ours. */
typedef struct {
    int fd; /* -1: there is none */
    char *path, *name; /* as shown */
    struct stat st;
} Zip;

static void clear_zip(Zip *zip)
{
    if (zip->fd >= 0)
        close(zip->fd);
    g_free(zip->path);
    g_free(zip->name);
}
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(Zip, clear_zip)

static Zip open_zip(const GbWeb *web)
{
    g_autofree char *path = gb_export_path(web->names.folder), *name = g_path_get_basename(path);
    Zip zip = { .path = g_filename_display_name(path), .name = g_utf8_make_valid(name, -1) };
    zip.fd = open(path, O_RDONLY | O_CLOEXEC | O_NOFOLLOW | O_NONBLOCK);
    if (zip.fd >= 0 && (fstat(zip.fd, &zip.st) != 0 || !S_ISREG(zip.st.st_mode))) {
        close(zip.fd);
        zip.fd = -1;
    }
    return zip;
}

/* NULL: there is none. */
static json_t *zip_json(const GbWeb *web)
{
    g_auto(Zip) zip = open_zip(web);
    if (zip.fd < 0)
        return NULL;
    json_t *object = json_object();
    gb_json_text(object, "name", zip.name);
    gb_json_text(object, "path", zip.path);
    gb_json_whole(object, "bytes", zip.st.st_size);
    gb_json_utc(object, "built_utc", zip.st.st_mtime);
    return object;
}

static gboolean work(GbWeb *web, GbWebJob *job, gpointer user, GError **error)
{
    (void)user;
    const GbProgress progress = { gb_web_job_follow, job };
    guint files = 0;
    g_autoptr(GbLog) log = gb_log_open(web->names.folder, GB_LOG_READ, error);
    if (log == NULL || !gb_export(log, NULL, &progress, NULL, &files, error))
        return FALSE;
    json_t *zip = zip_json(web);
    if (zip != NULL) {
        gb_json_whole(zip, "files", files);
        gb_web_job_say(web, job, "export", zip);
    }
    return TRUE;
}

static void answer_build(GbWebRequest *request)
{
    const GbWebField fields[] = { { NULL } };
    if (gb_web_read(request, fields))
        gb_web_start_job(request, "export", work, NULL, g_free);
}
const GbWebRoute gb_route_export = { .method = "POST", .path = "/api/export", .answer = answer_build };

static void answer_look(GbWebRequest *request)
{
    gb_web_json(request, MHD_HTTP_OK, json_pack("{so*}", "export", zip_json(request->web)));
}
const GbWebRoute gb_route_export_look = { .method = "GET", .path = "/api/export", .answer = answer_look };

static void answer_file(GbWebRequest *request)
{
    g_auto(Zip) zip = open_zip(request->web);
    if (zip.fd < 0) {
        gb_web_refuse(request, MHD_HTTP_NOT_FOUND, "unknown", "the claim has not been put into a zip yet, or that was moved away");
        return;
    }
    int fd = zip.fd;
    zip.fd = -1; /* the answer's now */
    gb_web_descriptor(request, fd, (guint64)zip.st.st_size, "application/vnd.gablebook.claim+zip", NULL, FALSE);
    gb_web_hand_over(request, zip.name);
}
const GbWebRoute gb_route_export_file = { .method = "GET", .path = "/export", .answer = answer_file };
