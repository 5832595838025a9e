/* dry_run.c -- see dry_run.h. Workers look at the files; what the log says of them is asked by the calling thread alone.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <gablebook/dry_run.h>

#include "work-private.h"

#include <gablebook/digest.h>
#include <gablebook/error.h>
#include <gablebook/image.h>
#include <log/rows.h>

#define THREADS_MAX 64

typedef struct {
    const GPtrArray *found;   /* of GbFound */
    const GHashTable *sizes;  /* of files that the log has, gint64; read only */
    GbDryFile **files;
    char (*digests)[GB_DIGEST_HEX]; /* "" where none was needed */
    gint next;                /* atomic */
} Job;

static void free_file(gpointer data)
{
    GbDryFile *file = data;
    g_free(file->path);
    g_free(file->message);
    gb_exif_clear(&file->exif);
    g_free(file);
}

/* --- in a worker --- */

static void leave_out(GbDryFile *file, const char *why)
{
    file->outcome = GB_IMPORT_LEFT_OUT;
    file->message = g_strdup_printf("%s; would be left out", why);
}

static gboolean read_header(GbDryFile *file, GError **error)
{
    GbImageHeader header;
    if (!gb_image_header_file(file->path, &header, error))
        return FALSE;
    gb_exif_clear(&file->exif);
    file->exif = header.exif; /* TAKES its text */
    file->width = header.width;
    file->height = header.height;
    file->format = header.format;
    file->outcome = GB_IMPORT_NEW;
    return TRUE;
}

static void look_at(Job *job, guint i)
{
    const GbFound *found = job->found->pdata[i];
    g_autoptr(GError) error = NULL;
    GbDryFile *file = job->files[i] = g_new0(GbDryFile, 1);
    gb_exif_init(&file->exif);
    file->path = g_strdup(found->path);
    file->bytes = found->bytes;
    if (found->why_not != NULL) {
        g_autofree char *shown = g_filename_display_name(found->path), *why = g_strdup_printf("%s: %s", shown, found->why_not);
        leave_out(file, why);
        return;
    }
    file->format = gb_format_of_file(found->path);
    file->outcome = GB_IMPORT_ATTACHED;
    gint64 bytes = (gint64)found->bytes;
    gboolean ok = (gb_format_is_attachment(file->format) || read_header(file, &error)) &&
                  (!g_hash_table_contains((GHashTable *)job->sizes, &bytes) || gb_digest_file(found->path, job->digests[i], &error));
    if (!ok)
        leave_out(file, error->message);
}

static gpointer work(gpointer user)
{
    Job *job = user;
    for (guint i; (i = (guint)g_atomic_int_add(&job->next, 1)) < job->found->len;)
        look_at(job, i);
    return NULL;
}

static gboolean run_workers(Job *job, guint wanted, GError **error)
{
    guint most = MIN(MIN(wanted > 0 ? wanted : g_get_num_processors(), THREADS_MAX), job->found->len), n = 0;
    GThread *threads[THREADS_MAX];
    while (n < most && (threads[n] = g_thread_try_new("look", work, job, n == 0 ? error : NULL)) != NULL)
        n++;
    gboolean ok = n > 0 || most == 0;
    while (n > 0)
        g_thread_join(threads[--n]);
    return ok;
}

/* --- in the calling thread --- */

static void say_known(GbDryFile *file, gboolean in_claim)
{
    g_autofree char *shown = g_filename_display_name(file->path);
    if (!in_claim)
        file->message = g_strdup_printf("%s: was in the claim before; it would come back", shown);
    else if (file->number > 0)
        file->message = g_strdup_printf("%s: the same photo is in the claim already as number %" G_GINT64_FORMAT, shown, file->number);
    else
        file->message = g_strdup_printf("%s: the same file is attached already", shown);
    file->outcome = in_claim ? GB_IMPORT_KNOWN : GB_IMPORT_BACK;
}

/* What the log has of these bytes. */
static gboolean ask_log(GbLog *log, GbDryFile *file, const char *sha256, GError **error)
{
    gint64 id;
    gboolean in_claim;
    g_autofree char *name = NULL;
    gboolean attachment = gb_format_is_attachment(file->format);
    if (attachment ? !gb_attachment_find(log, sha256, &id, &in_claim, &name, error)
                   : !gb_original_find(log, sha256, &id, &in_claim, &name, error))
        return FALSE;
    if (id == 0)
        return TRUE;
    file->number = attachment ? 0 : id;
    say_known(file, in_claim);
    return TRUE;
}

GPtrArray *gb_dry_run(GbLog *log, const char *const *paths, guint threads, GbSidecars *sidecars, GError **error)
{
    g_autoptr(GPtrArray) found = gb_scan(paths, sidecars);
    g_autoptr(GHashTable) sizes = gb_kept_sizes(log, error);
    if (sizes == NULL)
        return NULL;
    g_autoptr(GPtrArray) files = g_ptr_array_new_with_free_func(free_file);
    g_ptr_array_set_size(files, (gint)found->len);
    g_autofree char(*digests)[GB_DIGEST_HEX] = g_malloc0_n(found->len, sizeof *digests);
    Job job = { .found = found, .sizes = sizes, .files = (GbDryFile **)files->pdata, .digests = digests };
    if (!run_workers(&job, threads, error))
        return NULL;
    for (guint i = 0; i < files->len; i++) {
        GbDryFile *file = files->pdata[i];
        if (file->outcome != GB_IMPORT_LEFT_OUT && digests[i][0] != '\0' && !ask_log(log, file, digests[i], error))
            return NULL;
    }
    return g_steal_pointer(&files);
}
