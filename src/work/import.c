/* import.c -- the verb import. See import.h.
 *
 * Three parts: the search for files (scan.c), what a worker does with one file (take), and the importing thread, which receives the
 * workers' results in order and enters them in the log, a batch a transaction (enter). Numbers follow the
 * order of the files, whichever worker is quicker. No pixel is decoded until all are safe; then comes survey.c.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <gablebook/import.h>

#include "work-private.h"

#include <errno.h>
#include <gablebook/digest.h>
#include <gablebook/error.h>
#include <gablebook/escape.h>
#include <gablebook/exif.h>
#include <gablebook/file.h>
#include <gablebook/history.h>
#include <gablebook/image.h>
#include <glib/gstdio.h>
#include <log/rows.h>

#define THREADS_MAX 64
#define BATCH_FILES 256       /* a batch is entered when it has so many files ... */
#define BATCH_US 300000       /* ... or when its first file has waited so long */

/* --- take: one file, in a worker --- */

typedef struct Job Job;

/* What a worker found and made. */
typedef struct {
    gboolean ready;       /* set under the job's lock, last */
    GbFormat format;      /* whether it is a photo or an attachment */
    GbShot shot;          /* the "from the file" members; of an attachment names, digest and size alone */
    gboolean stored;      /* shot.stored_name was written by this worker */
    gboolean put_back;    /* ... in the place of an original that the log knows and that was gone */
    char *kept_name;      /* the name under which the log has these bytes; NULL: it had none */
    GError *left_out;     /* the file is not taken, and why */
    GError *fatal;        /* the claim can't take more */
    gboolean skipped;     /* the import was stopping */
} Taken;

struct Job {
    GbLog *log; /* its folder only: the database belongs to the importing thread */
    GPtrArray *files;
    GHashTable *photos, *attachments; /* digests in the log before the import began, to stored names; read only while workers run */
    Taken *taken;      /* one for each file */
    GMutex lock;       /* of ready in taken, and of names */
    GHashTable *names; /* digests of files new in this import, to their names in originals/: the same bytes twice get one name */
    GCond ready;
    gint next;     /* atomic: the next file that a worker takes */
    gint stopping; /* atomic */
};

static void clear_taken(Taken *taken)
{
    g_free(taken->shot.sha256);
    g_free(taken->shot.source_name);
    g_free(taken->shot.stored_name);
    g_free(taken->kept_name);
    gb_exif_clear(&taken->shot.exif);
    g_clear_error(&taken->left_out);
    g_clear_error(&taken->fatal);
}

/* What concerns one file leaves that out; a disk that is full concerns all that follow. TAKES error. */
static gboolean say_why(Taken *taken, const char *path, GError *error)
{
    GError **whose = g_error_matches(error, GB_ERROR, GB_ERROR_STATE) ? &taken->left_out : &taken->fatal;
    g_autofree char *shown = g_filename_display_name(path);
    g_prefix_error(&error, "%s: can't be kept: ", shown);
    *whose = error;
    return FALSE;
}

/* bytes: NULL for an attachment, which is copied from its file. */
static gboolean store_or_say_why(Job *job, Taken *taken, const char *path, GBytes *bytes)
{
    GError *error = NULL;
    const GbShot *shot = &taken->shot;
    if (bytes != NULL ? gb_keep_bytes(job->log, shot->stored_name, shot->sha256, bytes, &taken->stored, &error)
                      : gb_keep_file(job->log, shot->stored_name, shot->sha256, path, &taken->stored, &error))
        return TRUE;
    return say_why(taken, path, error);
}

/* Files the log knows are not looked at again; but an original that has gone from the folder is put back. */
static gboolean handle_known(Job *job, Taken *taken, GHashTable *known, const char *path, GBytes *bytes)
{
    const char *stored_name = g_hash_table_lookup(known, taken->shot.sha256);
    if (stored_name == NULL)
        return FALSE;
    taken->shot.stored_name = g_strdup(stored_name);
    g_autofree char *kept = gb_log_path(job->log, "originals", stored_name, NULL);
    if (!g_file_test(kept, G_FILE_TEST_EXISTS))
        taken->put_back = store_or_say_why(job, taken, path, bytes);
    return TRUE;
}

/* The name for bytes that are new: that of the first file which has them. Each of several still stores them itself, under that one name,
 * so that none is entered on the strength of what another worker has yet to do. */
static void name_original(Job *job, Taken *taken)
{
    g_mutex_lock(&job->lock);
    const char *first = g_hash_table_lookup(job->names, taken->shot.sha256);
    if (first == NULL) {
        char *name = gb_keep_name(taken->shot.source_name, taken->shot.sha256, taken->format);
        g_hash_table_insert(job->names, g_strdup(taken->shot.sha256), name);
        first = name;
    }
    taken->shot.stored_name = g_strdup(first);
    g_mutex_unlock(&job->lock);
}

static gboolean read_photo(Taken *taken, const char *path, GBytes *bytes, GError **error)
{
    gsize n;
    const void *data = g_bytes_get_data(bytes, &n);
    GbImageHeader header;
    if (!gb_image_header(data, n, &header, error)) {
        g_autofree char *shown = g_filename_display_name(path);
        g_prefix_error(error, "%s: ", shown);
        return FALSE;
    }
    taken->shot.exif = header.exif; /* TAKES its text */
    taken->shot.width = header.width;
    taken->shot.height = header.height;
    taken->shot.bytes = (gint64)n;
    taken->format = header.format;
    return TRUE;
}

static void set_names(Taken *taken, const char *path, const char *sha256)
{
    g_autofree char *base = g_path_get_basename(path);
    taken->shot.sha256 = g_strdup(sha256);
    taken->shot.source_name = gb_clean_text(base, strlen(base));
    if (taken->shot.source_name == NULL)
        taken->shot.source_name = g_strdup("unnamed");
}

static void take_attachment(Job *job, Taken *taken, const GbFound *candidate)
{
    char sha256[GB_DIGEST_HEX];
    const char *path = candidate->path;
    if (!gb_digest_file(path, sha256, &taken->left_out))
        return;
    set_names(taken, path, sha256);
    taken->shot.bytes = (gint64)candidate->bytes;
    if (handle_known(job, taken, job->attachments, path, NULL))
        return;
    name_original(job, taken);
    store_or_say_why(job, taken, path, NULL);
}

static void take_photo(Job *job, Taken *taken, const char *path)
{
    char sha256[GB_DIGEST_HEX];
    g_autoptr(GBytes) bytes = gb_file_read(path, GB_IMAGE_MAX_BYTES, &taken->left_out);
    if (bytes == NULL || !gb_digest(g_bytes_get_data(bytes, NULL), g_bytes_get_size(bytes), sha256, &taken->left_out))
        return;
    set_names(taken, path, sha256);
    if (handle_known(job, taken, job->photos, path, bytes) || !read_photo(taken, path, bytes, &taken->left_out))
        return;
    name_original(job, taken);
    store_or_say_why(job, taken, path, bytes);
}

static void take(Job *job, Taken *taken, const GbFound *candidate)
{
    if (candidate->why_not != NULL) {
        g_autofree char *shown = g_filename_display_name(candidate->path);
        g_set_error(&taken->left_out, GB_ERROR, GB_ERROR_FOREIGN, "%s: %s", shown, candidate->why_not);
        return;
    }
    taken->format = gb_format_of_file(candidate->path);
    if (gb_format_is_attachment(taken->format))
        take_attachment(job, taken, candidate);
    else
        take_photo(job, taken, candidate->path);
}

static void work_on(Job *job, guint i)
{
    Taken *taken = &job->taken[i];
    gb_exif_init(&taken->shot.exif);
    if (g_atomic_int_get(&job->stopping))
        taken->skipped = TRUE;
    else
        take(job, taken, job->files->pdata[i]);
    g_mutex_lock(&job->lock);
    taken->ready = TRUE;
    g_cond_signal(&job->ready);
    g_mutex_unlock(&job->lock);
}

static gpointer work(gpointer job_of_all)
{
    Job *job = job_of_all;
    for (guint i; (i = (guint)g_atomic_int_add(&job->next, 1)) < job->files->len;)
        work_on(job, i);
    return NULL;
}

/* --- enter: results into the log, in order --- */

typedef struct {
    GbLog *log;
    const char *source; /* what was named, for the history */
    const GbImportWatch *watch;
    GbImportTally *tally;
    GbChange *change; /* NULL until the first batch */
} Entry;

static gboolean enter_attachment(Entry *entry, Taken *taken, GbImportFile *file, GError **error)
{
    gint64 id;
    gboolean in_claim;
    const GbShot *shot = &taken->shot;
    if (!gb_attachment_find(entry->log, shot->sha256, &id, &in_claim, &taken->kept_name, error))
        return FALSE;
    const GbAttachment attachment = { .sha256 = shot->sha256, .source_name = shot->source_name, .stored_name = shot->stored_name,
                                      .kind = (char *)gb_format_word(taken->format), .bytes = shot->bytes };
    file->outcome = in_claim ? GB_IMPORT_KNOWN : GB_IMPORT_ATTACHED;
    if (id == 0 && !gb_attachment_add(entry->log, &attachment, g_get_real_time() / G_USEC_PER_SEC, &id, error))
        return FALSE;
    return in_claim || gb_attachment_enter(entry->log, id, error);
}

static gboolean enter_photo(Entry *entry, Taken *taken, GbImportFile *file, GError **error)
{
    gint64 number;
    gboolean in_claim;
    if (!gb_original_find(entry->log, taken->shot.sha256, &number, &in_claim, &taken->kept_name, error))
        return FALSE;
    file->outcome = number == 0 ? GB_IMPORT_NEW : in_claim ? GB_IMPORT_KNOWN : GB_IMPORT_BACK;
    if (number == 0 &&
        !gb_original_add(entry->log, &taken->shot, g_get_real_time() / G_USEC_PER_SEC, &number, error))
        return FALSE;
    file->number = number;
    return in_claim || gb_shot_enter(entry->log, number, error);
}

static gboolean enter_one(Entry *entry, Taken *taken, GbImportFile *file, GError **error)
{
    return gb_format_is_attachment(taken->format) ? enter_attachment(entry, taken, file, error) : enter_photo(entry, taken, file, error);
}

/* Another program took the same bytes in meanwhile, under another name: the second copy is not needed. Where names that differ by case
 * alone are one file, it is no second copy. */
static void drop_spare_copy(GbLog *log, const Taken *taken)
{
    GStatBuf spare, kept;
    if (!taken->stored || taken->kept_name == NULL || strcmp(taken->kept_name, taken->shot.stored_name) == 0)
        return;
    g_autofree char *path = gb_log_path(log, "originals", taken->shot.stored_name, NULL);
    g_autofree char *kept_path = gb_log_path(log, "originals", taken->kept_name, NULL);
    if (g_lstat(path, &spare) == 0 && g_lstat(kept_path, &kept) == 0 && (spare.st_ino != kept.st_ino || spare.st_dev != kept.st_dev))
        g_unlink(path);
}

static char *say(const Taken *taken, const GbImportFile *file)
{
    g_autofree char *name = g_filename_display_name(file->path);
    const char *put_back = taken->put_back ? "; its missing original was put back" : "";
    switch (file->outcome) {
    case GB_IMPORT_LEFT_OUT:
        return g_strdup_printf("%s; left out", taken->left_out->message);
    case GB_IMPORT_ATTACHED:
        return g_strdup_printf("%s: %s; kept as an attachment: no preview%s", name, gb_format_word(taken->format), put_back);
    case GB_IMPORT_KNOWN:
        if (file->number == 0)
            return g_strdup_printf("%s: the same file is attached already%s", name, taken->put_back ? put_back : "; not stored again");
        return g_strdup_printf("%s: the same photo is in the claim already as number %" G_GINT64_FORMAT "%s", name,
                               file->number, taken->put_back ? put_back : "; not stored again");
    case GB_IMPORT_BACK:
        return g_strdup_printf("%s: was in the claim before; back as number %" G_GINT64_FORMAT "%s", name, file->number, put_back);
    case GB_IMPORT_NEW:
        break;
    }
    return NULL;
}

static void count(GbImportTally *tally, const GbImportFile *file, guint64 bytes)
{
    guint *counters[] = { &tally->fresh, &tally->back, &tally->known, &tally->left_out, &tally->attached };
    ++*counters[file->outcome];
    tally->bytes += bytes;
}

static gboolean enter_rows(Entry *entry, Job *job, gsize from, gsize to, GbImportFile *files, GError **error)
{
    for (gsize i = from; i < to; i++) {
        Taken *taken = &job->taken[i];
        GbImportFile *file = &files[i - from];
        *file = (GbImportFile){ ((GbFound *)job->files->pdata[i])->path, GB_IMPORT_LEFT_OUT, 0, NULL };
        if (taken->left_out == NULL && !enter_one(entry, taken, file, error))
            return FALSE;
    }
    return TRUE;
}

/* "5 photos and 1 attachment from card". OWNED by the caller. */
static char *summary_of(const Entry *entry, guint photos, guint attachments)
{
    g_autofree char *more = g_strdup_printf(" and %u attachment%s", attachments, attachments == 1 ? "" : "s");
    return g_strdup_printf("%u photo%s%s from %s", photos, photos == 1 ? "" : "s", attachments > 0 ? more : "", entry->source);
}

static gboolean save(Entry *entry, GbImportFile *files, gsize n, GError **error)
{
    guint photos = entry->tally->fresh + entry->tally->back, attachments = entry->tally->attached;
    for (gsize i = 0; i < n; i++) {
        photos += files[i].outcome == GB_IMPORT_NEW || files[i].outcome == GB_IMPORT_BACK;
        attachments += files[i].outcome == GB_IMPORT_ATTACHED;
    }
    g_autofree char *summary = summary_of(entry, photos, attachments);
    return gb_change_save(entry->change, summary, error);
}

/* Files from ... to-1 have been taken by workers: make their names durable, enter them, and only then say that they are safe. */
static gboolean enter_batch(Entry *entry, Job *job, gsize from, gsize to, GError **error)
{
    g_autofree char *originals = gb_log_path(entry->log, "originals", NULL);
    g_autofree GbImportFile *files = g_new0(GbImportFile, to - from);
    if (from == to)
        return TRUE;
    if (!gb_file_sync_folder(originals, error))
        return FALSE;
    if (entry->change == NULL ? (entry->change = gb_change_begin(entry->log, "import", error)) == NULL
                              : !gb_change_more(entry->change, error))
        return FALSE;
    if (!enter_rows(entry, job, from, to, files, error) || !save(entry, files, to - from, error))
        return FALSE;
    for (gsize i = from; i < to; i++) {
        GbImportFile *file = &files[i - from];
        g_autofree char *message = say(&job->taken[i], file);
        file->message = message;
        drop_spare_copy(entry->log, &job->taken[i]);
        count(entry->tally, file, ((GbFound *)job->files->pdata[i])->bytes);
        if (entry->watch != NULL && entry->watch->file != NULL)
            entry->watch->file(file, entry->tally, entry->watch->user);
        clear_taken(&job->taken[i]);
        job->taken[i] = (Taken){ .ready = TRUE };
    }
    return TRUE;
}

static void ask_to_stop(Entry *entry, Job *job)
{
    if (entry->watch != NULL && entry->watch->stop != NULL && entry->watch->stop(entry->watch->user))
        g_atomic_int_set(&job->stopping, 1);
}

/* Wait a little for file i. */
static gboolean wait_for(Job *job, gsize i)
{
    g_mutex_lock(&job->lock);
    gint64 until = g_get_monotonic_time() + 100 * G_TIME_SPAN_MILLISECOND;
    while (!job->taken[i].ready && g_cond_wait_until(&job->ready, &job->lock, until))
        ;
    gboolean ready = job->taken[i].ready;
    g_mutex_unlock(&job->lock);
    return ready;
}

/* Receive results in order until the end, a stop or a failure; enter them in batches. */
static gboolean receive(Entry *entry, Job *job, GError **error)
{
    gsize entered = 0, next = 0;
    gint64 since = 0;
    while (next < job->files->len) {
        ask_to_stop(entry, job);
        gboolean ready = wait_for(job, next);
        Taken *taken = &job->taken[next];
        if (ready && (taken->skipped || taken->fatal != NULL))
            break;
        if (ready && next++ == entered)
            since = g_get_monotonic_time();
        if (next - entered >= BATCH_FILES || (next > entered && g_get_monotonic_time() - since >= BATCH_US)) {
            if (!enter_batch(entry, job, entered, next, error))
                return FALSE;
            entered = next;
        }
    }
    if (!enter_batch(entry, job, entered, next, error))
        return FALSE;
    if (next < job->files->len && job->taken[next].fatal != NULL) {
        g_propagate_error(error, g_steal_pointer(&job->taken[next].fatal));
        return FALSE;
    }
    entry->tally->stopped = next < job->files->len;
    return TRUE;
}

/* Threads of our own and not of GLib's pool: those live on, and what libraries keep for each of them with them. */
static gboolean run_workers(Entry *entry, Job *job, GError **error)
{
    guint wanted = entry->watch != NULL && entry->watch->threads > 0 ? entry->watch->threads : g_get_num_processors() + 2;
    guint most = MIN(MIN(wanted, THREADS_MAX), job->files->len), n = 0;
    GThread *threads[THREADS_MAX];
    while (n < most && (threads[n] = g_thread_try_new("import", work, job, n == 0 ? error : NULL)) != NULL)
        n++;
    gboolean ok = (n > 0 || most == 0) && receive(entry, job, error);
    g_atomic_int_set(&job->stopping, 1);
    while (n > 0)
        g_thread_join(threads[--n]); /* waits for the files at work; the rest is skipped */
    return ok;
}

static void count_files(const GPtrArray *files, GbImportTally *tally)
{
    tally->total = files->len;
    for (guint i = 0; i < files->len; i++)
        tally->total_bytes += ((GbFound *)files->pdata[i])->bytes;
}

/* For the history: "card", "card/IMG_1.JPG and 199 more". OWNED by the caller. */
static char *name_source(const char *const *paths)
{
    guint n = g_strv_length((char **)paths);
    g_autofree char *first = n == 0 ? g_strdup("nowhere") : g_filename_display_name(paths[0]);
    return n <= 1 ? g_steal_pointer(&first) : g_strdup_printf("%s and %u more", first, n - 1);
}

guint gb_import_done(const GbImportTally *tally)
{
    return tally->fresh + tally->back + tally->known + tally->left_out + tally->attached;
}

/* The first step: until all is safe, entered and said. */
static gboolean take_in(GbLog *log, const char *const *paths, const GbImportWatch *watch, GbImportTally *tally, GError **error)
{
    g_autofree char *originals = gb_log_path(log, "originals", NULL);
    gb_file_sweep(originals);
    g_autoptr(GPtrArray) files = gb_scan(paths, &tally->sidecars);
    count_files(files, tally);
    g_autoptr(GHashTable) photos = gb_original_names(log, error);
    g_autoptr(GHashTable) attachments = photos == NULL ? NULL : gb_attachment_names(log, error);
    if (attachments == NULL)
        return FALSE;
    g_autofree char *source = name_source(paths);
    g_autofree Taken *taken = g_new0(Taken, files->len);
    g_autoptr(GHashTable) names = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, g_free);
    Job job = { .log = log, .files = files, .photos = photos, .attachments = attachments, .taken = taken, .names = names };
    Entry entry = { .log = log, .source = source, .watch = watch, .tally = tally };
    g_mutex_init(&job.lock);
    g_cond_init(&job.ready);
    gboolean ok = run_workers(&entry, &job, error);
    gb_change_free(entry.change);
    for (guint i = 0; i < files->len; i++)
        clear_taken(&taken[i]);
    g_mutex_clear(&job.lock);
    g_cond_clear(&job.ready);
    guint done = gb_import_done(tally);
    if (!ok && done == 0)
        g_prefix_error(error, "stopped before any of the %u files was in the claim; run the same import again: ", tally->total);
    else if (!ok)
        g_prefix_error(error, "stopped after %u of %u files, which are safe; run the same import again to go on: ", done, tally->total);
    return ok;
}

/* The second. Photos that waited before this import began were written by nobody knows whom. */
static gboolean look(GbLog *log, gboolean fresh, const GbImportWatch *watch, GbImportTally *tally, GError **error)
{
    if (watch != NULL && watch->safe != NULL)
        watch->safe(tally, watch->user);
    if (tally->stopped || (watch != NULL && watch->later))
        return TRUE;
    const GbImportWatch nobody = { 0 }, *follow = watch != NULL ? watch : &nobody;
    const GbSurveyWatch survey = { follow->looked, follow->stop, follow->user, follow->threads };
    if (gb_survey(log, fresh, &survey, &tally->survey, error))
        return TRUE;
    g_prefix_error_literal(error, "all photos are safe; ");
    return FALSE;
}

gboolean gb_import(GbLog *log, const char *const *paths, const GbImportWatch *watch, GbImportTally *tally, GError **error)
{
    guint waiting;
    *tally = (GbImportTally){ 0 };
    return gb_survey_waiting(log, &waiting, error) && take_in(log, paths, watch, tally, error) && look(log, waiting == 0, watch, tally, error);
}
