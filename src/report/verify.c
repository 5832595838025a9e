/* verify.c -- see verify.h.
 *
 * A folder and an archive become the same thing first: a list of files, each with its digest and, where it is a report, the state
 * it says it was built from. The rest compares that list with the log and with lists of digests.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <gablebook/verify.h>

#include "sums.h"

#include <archive.h>
#include <archive_entry.h>
#include <errno.h>
#include <fcntl.h>
#include <gablebook/error.h>
#include <gablebook/file.h>
#include <gablebook/shot.h>
#include <glib/gstdio.h>
#include <locale.h>
#include <sys/stat.h>
#include <unistd.h>

#define PIECE (256 * 1024)
#define DEPTH_MAX 16
#define THREADS_MAX 16
#define UNPACKED_MAX 100                       /* times the archive's own size; export packs nothing closer ... */
#define UNPACKED_FREE ((gint64)64 << 20)       /* ... above so many bytes */
#define DATABASE_MAX_BYTES ((gint64)4 << 30)
#define STATE_LOOK_BYTES (1 << 20) /* a report says its state near its beginning or its end */

/* One file of a claim. */
typedef struct {
    char *name;      /* relative to the claim's folder, "/" between: "originals/IMG_1-3fa94c21d07b.JPG" */
    char *path;      /* where it lies; NULL in an archive */
    char sha256[GB_DIGEST_HEX];
    char *problem;   /* why it has no digest; NULL it has one */
    gboolean has_state;
    GbState state;
    gboolean carries, changed; /* a report in a folder: it carries a digest of itself, and has another one */
} File;

typedef struct {
    GbVerification *result;
    GPtrArray *files;   /* of File */
    GHashTable *by_name; /* name -> File, BORROWED */
    const GbProgress *progress;
} Looker;

static void free_file(gpointer data)
{
    File *file = data;
    g_free(file->name);
    g_free(file->path);
    g_free(file->problem);
    g_free(file);
}

static void init_looker(Looker *looker, const GbProgress *progress)
{
    looker->progress = progress;
    looker->result = g_new0(GbVerification, 1);
    looker->result->faults = g_ptr_array_new_with_free_func(g_free);
    looker->result->remarks = g_ptr_array_new_with_free_func(g_free);
    looker->files = g_ptr_array_new_with_free_func(free_file);
    looker->by_name = g_hash_table_new(g_str_hash, g_str_equal);
}

static void clear_looker(Looker *looker)
{
    gb_verification_free(looker->result);
    g_ptr_array_unref(looker->files);
    g_hash_table_unref(looker->by_name);
}
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(Looker, clear_looker)

static void G_GNUC_PRINTF(2, 3) add(GPtrArray *list, const char *format, ...)
{
    va_list arguments;
    va_start(arguments, format);
    g_ptr_array_add(list, g_strdup_vprintf(format, arguments));
    va_end(arguments);
}

static File *add_file(Looker *looker, const char *name)
{
    File *file = g_new0(File, 1);
    file->name = g_strdup(name);
    g_ptr_array_add(looker->files, file);
    g_hash_table_insert(looker->by_name, file->name, file);
    return file;
}

/* --- reading a file: its digest, and the state it names --- */

/* Where GB_REPORT_STATE_MARK ends in text, which may hold NULs; NULL when it is not there. */
static const char *after_mark(const char *text, const char *end)
{
    const gsize n = strlen(GB_REPORT_STATE_MARK);
    for (; (gsize)(end - text) >= n && (text = memchr(text, *GB_REPORT_STATE_MARK, (gsize)(end - text) - n + 1)) != NULL; text++)
        if (memcmp(text, GB_REPORT_STATE_MARK, n) == 0)
            return text + n;
    return NULL;
}

/* "gablebook-state" ... "41 3fa9...": the number and the digest stand behind it, whatever marks the format puts between. */
static gboolean find_state(const char *text, gsize n, GbState *state)
{
    const char *at = text, *end = text + n;
    while ((at = after_mark(at, end)) != NULL) {
        g_autofree char *line = g_strndup(at, MIN((gsize)(end - at), 128));
        char *number = line + strcspn(line, "0123456789"), *digest;
        gint64 step = g_ascii_strtoll(number, &digest, 10);
        if (number - line <= 16 && digest != number && *digest == ' ' && strspn(digest + 1, "0123456789abcdef") == GB_DIGEST_HEX - 1) {
            state->step = step;
            g_strlcpy(state->sha256, digest + 1, GB_DIGEST_HEX);
            return TRUE;
        }
    }
    return FALSE;
}

/* Hashes what comes in pieces, and keeps its beginning and its end. */
typedef struct {
    GbDigester *digester;
    GString *head, *tail; /* the last two windows' worth, cut when it grows */
} Reading;

static void clear_reading(Reading *reading)
{
    gb_digester_free(reading->digester);
    g_string_free(reading->head, TRUE);
    g_string_free(reading->tail, TRUE);
}
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(Reading, clear_reading)

static gboolean read_piece(Reading *reading, const void *data, gsize n, gboolean look, GError **error)
{
    if (look && reading->head->len < STATE_LOOK_BYTES)
        g_string_append_len(reading->head, data, (gssize)MIN(n, STATE_LOOK_BYTES - reading->head->len));
    if (look) {
        g_string_append_len(reading->tail, data, (gssize)n);
        if (reading->tail->len > 2 * STATE_LOOK_BYTES)
            g_string_erase(reading->tail, 0, (gssize)(reading->tail->len - STATE_LOOK_BYTES));
    }
    return gb_digester_add(reading->digester, data, n, error);
}

static gboolean end_reading(Reading *reading, File *file, GError **error)
{
    file->has_state = find_state(reading->head->str, reading->head->len, &file->state) ||
                      find_state(reading->tail->str, reading->tail->len, &file->state);
    return gb_digester_end(reading->digester, file->sha256, error);
}

static gboolean is_report(const File *file)
{
    return g_str_has_prefix(file->name, "reports/");
}

/* --- a folder --- */

#define LAST_LINE_MAX 256

/* The digest that a report carries, and how many bytes it speaks for: 0 when there is none. */
static gint64 carried_digest(int fd, gint64 bytes, char sha256[GB_DIGEST_HEX])
{
    char end[LAST_LINE_MAX + 1];
    gint64 from = MAX(0, bytes - LAST_LINE_MAX);
    gssize got = pread(fd, end, LAST_LINE_MAX, from);
    if (got <= 1)
        return 0;
    end[got] = '\0';
    gssize line = got - 1; /* the last byte ends the last line */
    while (line > 0 && end[line - 1] != '\n')
        line--;
    const char *mark = strstr(end + line, GB_REPORT_DIGEST_MARK " ");
    if (mark == NULL || strspn(mark + strlen(GB_REPORT_DIGEST_MARK " "), "0123456789abcdef") != GB_DIGEST_HEX - 1)
        return 0;
    g_strlcpy(sha256, mark + strlen(GB_REPORT_DIGEST_MARK " "), GB_DIGEST_HEX);
    g_autofree char *html = g_strdup_printf(GB_REPORT_LAST_LINE_HTML, sha256), *pdf = g_strdup_printf(GB_REPORT_LAST_LINE_PDF, sha256);
    return strcmp(end + line, html) == 0 || strcmp(end + line, pdf) == 0 ? from + line : 0;
}

/* Hash a report: all of it, and what its own digest speaks for. */
static gboolean read_open_report(File *file, int fd, gint64 bytes, GError **error)
{
    char carried[GB_DIGEST_HEX], own[GB_DIGEST_HEX];
    gint64 spoken_for = carried_digest(fd, bytes, carried);
    g_auto(Reading) reading = { gb_digester_new(error), g_string_new(NULL), g_string_new(NULL) };
    g_autoptr(GbDigester) before = reading.digester == NULL ? NULL : gb_digester_new(error);
    g_autofree guint8 *piece = g_malloc(PIECE);
    gint64 at = 0;
    for (gssize got = -1; before != NULL && got != 0; at += got) {
        got = pread(fd, piece, PIECE, at);
        if (got < 0) {
            g_set_error(error, GB_ERROR, GB_ERROR_IO, "can't be read: %s", g_strerror(errno));
            return FALSE;
        }
        if (!read_piece(&reading, piece, (gsize)got, TRUE, error) ||
            !gb_digester_add(before, piece, (gsize)CLAMP(spoken_for - at, 0, (gint64)got), error))
            return FALSE;
    }
    if (before == NULL || !end_reading(&reading, file, error) || !gb_digester_end(before, own, error))
        return FALSE;
    file->carries = spoken_for > 0;
    file->changed = file->carries && strcmp(own, carried) != 0;
    return TRUE;
}

static gboolean read_report(File *file, GError **error)
{
    struct stat st;
    int fd = open(file->path, O_RDONLY | O_CLOEXEC | O_NOFOLLOW | O_NONBLOCK);
    if (fd < 0 || fstat(fd, &st) != 0 || !S_ISREG(st.st_mode)) {
        g_set_error(error, GB_ERROR, GB_ERROR_IO, "can't be read");
        if (fd >= 0)
            close(fd);
        return FALSE;
    }
    gboolean ok = read_open_report(file, fd, st.st_size, error);
    close(fd);
    return ok;
}

static void read_folder_file(File *file)
{
    g_autoptr(GError) error = NULL;
    if (!(is_report(file) ? read_report(file, &error) : gb_digest_file(file->path, file->sha256, &error)))
        file->problem = g_strdup(error->message);
}

typedef struct {
    GPtrArray *files;
    const GbProgress *progress;
    gint next, done, stopped; /* atomic */
} Work;

static gpointer read_some(gpointer data)
{
    Work *work = data;
    for (;;) {
        gint i = g_atomic_int_add(&work->next, 1);
        if (i >= (gint)work->files->len || g_atomic_int_get(&work->stopped))
            return NULL;
        read_folder_file(work->files->pdata[i]);
        guint done = (guint)g_atomic_int_add(&work->done, 1) + 1;
        if (!gb_progress_tell(work->progress, done, work->files->len, NULL))
            g_atomic_int_set(&work->stopped, 1);
    }
}

/* FALSE with error: stopped. */
static gboolean read_files(GPtrArray *files, const GbProgress *progress, GError **error)
{
    Work work = { files, progress, 0, 0, 0 };
    GThread *threads[THREADS_MAX];
    guint n = CLAMP(g_get_num_processors(), 1, THREADS_MAX);
    for (guint i = 0; i < n; i++)
        threads[i] = g_thread_new("verify", read_some, &work);
    for (guint i = 0; i < n; i++)
        g_thread_join(threads[i]);
    return !work.stopped || gb_progress_tell(progress, (guint)work.done, files->len, error);
}

static void list_folder(Looker *looker, const char *root, const char *below, int depth)
{
    g_autofree char *folder = g_build_filename(root, below, NULL);
    gboolean is_link = g_file_test(folder, G_FILE_TEST_IS_SYMLINK); /* gb_log_open says so */
    g_autoptr(GDir) dir = depth < DEPTH_MAX && !is_link ? g_dir_open(folder, 0, NULL) : NULL;
    const char *entry;
    while (dir != NULL && (entry = g_dir_read_name(dir)) != NULL) {
        g_autofree char *name = g_strconcat(below, "/", entry, NULL), *path = g_build_filename(folder, entry, NULL);
        GStatBuf st;
        if (g_lstat(path, &st) == 0 && S_ISDIR(st.st_mode))
            list_folder(looker, root, name, depth + 1);
        else if (g_str_has_prefix(entry, ".aside-"))
            add(looker->result->remarks, "%s: is left over from a program that was killed; the next %s removes it", name,
                strcmp(below, "reports") == 0 ? "report" : "import");
        else
            add_file(looker, name)->path = g_steal_pointer(&path);
    }
}

static gint compare_files(gconstpointer a, gconstpointer b)
{
    return strcmp((*(File *const *)a)->name, (*(File *const *)b)->name);
}

static gboolean look_at_folder(Looker *looker, const char *folder, GError **error)
{
    list_folder(looker, folder, "originals", 0);
    list_folder(looker, folder, "reports", 0);
    g_ptr_array_sort(looker->files, compare_files);
    return read_files(looker->files, looker->progress, error);
}

/* --- an archive --- */

typedef struct {
    char *temporary; /* folder of the unpacked database, or NULL */
    char *manifest;  /* text, or NULL */
    gint64 room;     /* how many bytes may still come out of it */
} Unpacked;

static void clear_unpacked(Unpacked *unpacked)
{
    if (unpacked->temporary != NULL) {
        static const char *const names[] = { "claim.db", "claim.db-journal" };
        for (gsize i = 0; i < G_N_ELEMENTS(names); i++) {
            g_autofree char *path = g_build_filename(unpacked->temporary, names[i], NULL);
            g_unlink(path);
        }
        g_rmdir(unpacked->temporary);
    }
    g_free(unpacked->temporary);
    g_free(unpacked->manifest);
}
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(Unpacked, clear_unpacked)

/* Where the pieces of an entry go beside the digest. */
typedef struct {
    GbFileWriter *database; /* NULL: not the database */
    GString *manifest;      /* NULL: not the manifest */
    gint64 bytes;
} Aside;

static gboolean keep_piece(Aside *aside, const void *data, gsize n, GError **error)
{
    aside->bytes += (gint64)n;
    if (aside->manifest != NULL && aside->bytes <= GB_SUMS_MAX_BYTES)
        g_string_append_len(aside->manifest, data, (gssize)n);
    if (aside->database == NULL)
        return TRUE;
    if (aside->bytes > DATABASE_MAX_BYTES) {
        g_set_error(error, GB_ERROR, GB_ERROR_TOO_LARGE, "is larger than a claim's database gets");
        return FALSE;
    }
    return gb_file_writer_add(aside->database, data, n, error);
}

/* Read one entry to its end. */
static gboolean read_entry(struct archive *zip, File *file, Aside *aside, gint64 *room, GError **error)
{
    g_auto(Reading) reading = { gb_digester_new(error), g_string_new(NULL), g_string_new(NULL) };
    g_autofree guint8 *piece = g_malloc(PIECE);
    if (reading.digester == NULL)
        return FALSE;
    for (;;) {
        la_ssize_t got = archive_read_data(zip, piece, PIECE);
        if (got == 0)
            return end_reading(&reading, file, error);
        if (got < 0) {
            const char *why = archive_error_string(zip);
            g_set_error(error, GB_ERROR, GB_ERROR_DAMAGED, "is damaged in the archive: %s", why != NULL ? why : "it can't be unpacked");
            return FALSE;
        }
        if ((*room -= got) < 0) {
            g_set_error(error, GB_ERROR, GB_ERROR_TOO_LARGE, "unpacks to more than %d times what the whole archive has; not read to its end",
                        UNPACKED_MAX);
            return FALSE;
        }
        if (!read_piece(&reading, piece, (gsize)got, is_report(file), error) || !keep_piece(aside, piece, (gsize)got, error))
            return FALSE;
    }
}

/* "smith/originals/x.jpg" -> "originals/x.jpg"; NULL for what has no folder before it. */
static const char *below_top(const char *name)
{
    const char *slash = strchr(name, '/');
    return slash == NULL || slash == name || slash[1] == '\0' ? NULL : slash + 1;
}

static gboolean take_entry(Looker *looker, struct archive *zip, struct archive_entry *entry, Unpacked *unpacked, GError **error)
{
    const char *full = archive_entry_pathname_utf8(entry);
    const char *name = full == NULL ? NULL : below_top(full);
    if (archive_entry_filetype(entry) == AE_IFDIR)
        return TRUE;
    g_autofree char *shown = g_utf8_make_valid(full != NULL ? full : "a file whose name can't be read", -1);
    if (name == NULL || archive_entry_filetype(entry) != AE_IFREG || g_hash_table_contains(looker->by_name, name)) {
        add(looker->result->faults, "%s: is not a file that an export puts there, or is there twice", shown);
        return TRUE;
    }
    File *file = add_file(looker, name);
    g_autoptr(GbFileWriter) database = NULL;
    g_autoptr(GError) why = NULL;
    Aside aside = { NULL, strcmp(name, GB_MANIFEST_NAME) == 0 ? g_string_new(NULL) : NULL, 0 };
    if (strcmp(name, "claim.db") == 0) {
        g_autofree char *path = g_build_filename(unpacked->temporary, "claim.db", NULL);
        database = aside.database = gb_file_writer_new(path, 0600, error);
        if (database == NULL)
            return FALSE;
    }
    if (!read_entry(zip, file, &aside, &unpacked->room, &why))
        file->problem = g_strdup(why->message);
    else if (database != NULL && !gb_file_writer_finish(database, error))
        return FALSE;
    if (aside.manifest != NULL)
        unpacked->manifest = g_string_free(aside.manifest, FALSE);
    return TRUE;
}

static gboolean read_entries(Looker *looker, struct archive *zip, Unpacked *unpacked, GError **error)
{
    struct archive_entry *entry;
    for (;;) {
        int code = archive_read_next_header(zip, &entry);
        if (code == ARCHIVE_EOF)
            return TRUE;
        if (code == ARCHIVE_WARN || code == ARCHIVE_OK) {
            if (!gb_progress_tell(looker->progress, looker->files->len, 0, error) || !take_entry(looker, zip, entry, unpacked, error))
                return FALSE;
            if (unpacked->room < 0)
                return TRUE; /* told with the entry */
            continue;
        }
        add(looker->result->faults, "the archive can't be read to its end: %s", archive_error_string(zip));
        return TRUE;
    }
}

/* libarchive gives names in UTF-8 only by way of the locale's characters, and the locale may have none but ASCII. */
static locale_t begin_utf8(locale_t *made)
{
    *made = newlocale(LC_CTYPE_MASK, "C.UTF-8", (locale_t)0);
    return *made != (locale_t)0 ? uselocale(*made) : (locale_t)0;
}

static void end_utf8(locale_t made, locale_t before)
{
    if (made == (locale_t)0)
        return;
    uselocale(before);
    freelocale(made);
}

static gboolean read_archive(Looker *looker, const char *path, Unpacked *unpacked, GError **error)
{
    unpacked->temporary = g_dir_make_tmp("gablebook-verify-XXXXXX", error);
    if (unpacked->temporary == NULL)
        return FALSE;
    locale_t made, before = begin_utf8(&made);
    struct archive *zip = archive_read_new();
    archive_read_support_format_zip(zip);
    gboolean ok = archive_read_open_filename(zip, path, PIECE) == ARCHIVE_OK;
    if (!ok)
        g_set_error(error, GB_ERROR, GB_ERROR_FOREIGN, "%s: is neither a claim folder nor an archive of one", path);
    ok = ok && read_entries(looker, zip, unpacked, error);
    archive_read_free(zip);
    end_utf8(made, before);
    return ok;
}

/* --- the manifest --- */

static void compare_list(Looker *looker, GHashTable *sums)
{
    GHashTableIter iter;
    gpointer name, sha256;
    g_hash_table_iter_init(&iter, sums);
    while (g_hash_table_iter_next(&iter, &name, &sha256)) {
        g_autofree char *shown = g_utf8_make_valid(name, -1);
        const File *file = g_hash_table_lookup(looker->by_name, name);
        if (file == NULL)
            add(looker->result->faults, "%s: is gone; " GB_MANIFEST_NAME " lists it", shown);
        else if (file->problem == NULL && strcmp(file->sha256, sha256) != 0)
            add(looker->result->faults, "%s: was changed: its SHA-256 is %.12s..., " GB_MANIFEST_NAME " says %.12s...", shown, file->sha256,
                (char *)sha256);
    }
}

static void check_manifest(Looker *looker, const char *text)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GHashTable) sums = text == NULL ? NULL : gb_sums_parse(text, GB_MANIFEST_NAME, &error);
    if (sums == NULL) {
        add(looker->result->faults, "%s", text == NULL ? "the archive has no " GB_MANIFEST_NAME : error->message);
        return;
    }
    looker->result->listed = g_hash_table_size(sums);
    compare_list(looker, sums);
    for (guint i = 0; i < looker->files->len; i++) {
        const File *file = looker->files->pdata[i];
        if (strcmp(file->name, GB_MANIFEST_NAME) != 0 && !g_hash_table_contains(sums, file->name))
            add(looker->result->faults, "%s: is in the archive, but " GB_MANIFEST_NAME " does not list it", file->name);
    }
}

/* --- against the log --- */

static void check_originals(Looker *looker, GbLog *log)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GHashTable) names = gb_kept_names(log, &error), wanted = g_hash_table_new(g_str_hash, g_str_equal);
    if (names == NULL) {
        add(looker->result->faults, "%s", error->message);
        return;
    }
    GHashTableIter iter;
    gpointer sha256, stored;
    g_hash_table_iter_init(&iter, names);
    while (g_hash_table_iter_next(&iter, &sha256, &stored)) {
        g_autofree char *name = g_strconcat("originals/", stored, NULL);
        File *file = g_hash_table_lookup(looker->by_name, name);
        looker->result->originals++;
        if (file == NULL) {
            add(looker->result->faults, "%s: is gone; the log has it", name);
            continue;
        }
        g_hash_table_add(wanted, file->name);
        if (file->problem == NULL && strcmp(file->sha256, sha256) != 0)
            add(looker->result->faults, "%s: is no longer the file that was taken in: its SHA-256 is %.12s..., the log says %.12s...", name,
                file->sha256, (char *)sha256);
    }
    for (guint i = 0; i < looker->files->len; i++) {
        const File *file = looker->files->pdata[i];
        if (g_str_has_prefix(file->name, "originals/") && !g_hash_table_contains(wanted, file->name))
            add(looker->result->remarks, "%s: is not in the log (a copy cut short, or put there by hand)", file->name);
    }
}

static void check_reports(Looker *looker, GbLog *log)
{
    for (guint i = 0; i < looker->files->len; i++) {
        const File *file = looker->files->pdata[i];
        gboolean known = FALSE;
        if (!is_report(file))
            continue;
        looker->result->reports++;
        if (file->problem != NULL)
            continue;
        if (file->path != NULL && file->has_state && !file->carries)
            add(looker->result->faults, "%s: was changed after it was built: its last line is not the digest of its bytes", file->name);
        if (file->changed)
            add(looker->result->faults, "%s: was changed after it was built: its bytes are not those of the digest it carries", file->name);
        if (!file->has_state)
            add(looker->result->remarks, "%s: is no report of this program, or one of an older version: whether it was changed can't be told",
                file->name);
        else if (!gb_state_known(log, &file->state, &known, NULL) || !known)
            add(looker->result->faults, "%s: says it was built from state %" G_GINT64_FORMAT "-%.12s; the log was never in that state",
                file->name, file->state.step, file->state.sha256);
        else if (strcmp(file->state.sha256, looker->result->state.sha256) != 0)
            add(looker->result->remarks, "%s: was built from state %" G_GINT64_FORMAT "; the log has gone on to %" G_GINT64_FORMAT, file->name,
                file->state.step, looker->result->state.step);
    }
}

/* The database of folder: SQLite's own checks, the seal, and what it says of the files. */
static void check_log(Looker *looker, const char *folder)
{
    g_autoptr(GError) error = NULL;
    gboolean sound = FALSE;
    g_autoptr(GbLog) log = gb_log_open(folder, GB_LOG_READ, &error);
    if (log == NULL || !gb_log_integrity(log, &error) || !gb_state_check(log, &looker->result->state, &sound, &error)) {
        add(looker->result->faults, "%s", error->message);
        return;
    }
    looker->result->has_state = TRUE;
    if (!sound) {
        g_autofree char *state = gb_state_text(&looker->result->state);
        add(looker->result->faults, "claim.db: was changed by something else than gablebook since its last seal, %s", state);
    }
    check_originals(looker, log);
    check_reports(looker, log);
}

static void add_problems(Looker *looker)
{
    for (guint i = 0; i < looker->files->len; i++) {
        const File *file = looker->files->pdata[i];
        if (file->problem != NULL)
            add(looker->result->faults, "%s: %s", file->name, file->problem);
    }
}

static gint compare_lines(gconstpointer a, gconstpointer b)
{
    return strcmp(*(const char *const *)a, *(const char *const *)b);
}

static gboolean verify_archive(Looker *looker, const char *path, GError **error)
{
    GStatBuf st;
    if (g_stat(path, &st) != 0) {
        int saved = errno;
        g_autofree char *shown = g_filename_display_name(path);
        g_set_error(error, GB_ERROR, GB_ERROR_IO, "%s: %s", shown,
                    saved == ENOENT ? "there is no such file or folder" : g_strerror(saved));
        return FALSE;
    }
    g_auto(Unpacked) unpacked = { NULL, NULL, UNPACKED_FREE + UNPACKED_MAX * (gint64)st.st_size };
    if (!read_archive(looker, path, &unpacked, error))
        return FALSE;
    g_autofree char *database = g_build_filename(unpacked.temporary, "claim.db", NULL);
    add_problems(looker);
    check_manifest(looker, unpacked.manifest);
    if (g_file_test(database, G_FILE_TEST_EXISTS))
        check_log(looker, unpacked.temporary);
    else
        add(looker->result->faults, "the archive holds no claim.db that can be read");
    return TRUE;
}

static gboolean verify_folder(Looker *looker, const char *folder, GError **error)
{
    if (!look_at_folder(looker, folder, error))
        return FALSE;
    add_problems(looker);
    check_log(looker, folder);
    return TRUE;
}

GbVerification *gb_verify(const char *path, const GbProgress *progress, GError **error)
{
    g_auto(Looker) looker = { NULL, NULL, NULL, NULL };
    init_looker(&looker, progress);
    if (g_file_test(path, G_FILE_TEST_IS_DIR)) {
        g_autofree char *database = g_build_filename(path, "claim.db", NULL);
        if (!g_file_test(database, G_FILE_TEST_EXISTS)) {
            g_set_error(error, GB_ERROR, GB_ERROR_FOREIGN, "%s: is no claim folder (it holds no claim.db)", path);
            return NULL;
        }
        if (!verify_folder(&looker, path, error))
            return NULL;
    } else if (!verify_archive(&looker, path, error))
        return NULL;
    g_ptr_array_sort(looker.result->faults, compare_lines);
    g_ptr_array_sort(looker.result->remarks, compare_lines);
    return g_steal_pointer(&looker.result);
}

/* --- in words --- */

static const char *plural(guint n)
{
    return n == 1 ? "" : "s";
}

char *gb_verification_looked_at(const GbVerification *verification)
{
    g_autoptr(GString) text = g_string_new(NULL);
    g_string_append_printf(text, "%u original%s and %u report%s looked at", verification->originals, plural(verification->originals),
                           verification->reports, plural(verification->reports));
    if (verification->listed > 0)
        g_string_append_printf(text, ", %u file%s in the manifest", verification->listed, plural(verification->listed));
    if (verification->has_state) {
        g_autofree char *state = gb_state_text(&verification->state);
        g_string_append_printf(text, "; the log stands at %s", state);
    }
    g_string_append_c(text, '.');
    return g_string_free(g_steal_pointer(&text), FALSE);
}

char *gb_verification_verdict(const GbVerification *verification)
{
    guint n = verification->faults->len;
    return n == 0 ? g_strdup("Sound: nothing differs.") : g_strdup_printf("%u thing%s differ%s.", n, plural(n), n == 1 ? "s" : "");
}

/* A name in a line may be of any bytes. */
static json_t *lines_json(const GPtrArray *lines)
{
    json_t *list = json_array();
    for (guint i = 0; i < lines->len; i++) {
        g_autofree char *line = g_utf8_make_valid(lines->pdata[i], -1);
        json_array_append_new(list, json_string(line));
    }
    return list;
}

json_t *gb_verification_json(const GbVerification *verification)
{
    g_autofree char *looked_at = gb_verification_looked_at(verification), *verdict = gb_verification_verdict(verification);
    json_t *state = !verification->has_state ? json_null()
        : json_pack("{sI ss}", "step", (json_int_t)verification->state.step, "sha256", verification->state.sha256);
    return json_pack("{sb so si si si so so ss ss}", "sound", verification->faults->len == 0, "state", state, "originals",
                     (int)verification->originals, "reports", (int)verification->reports, "listed", (int)verification->listed, "faults",
                     lines_json(verification->faults), "remarks", lines_json(verification->remarks), "looked_at", looked_at, "verdict", verdict);
}

void gb_verification_free(GbVerification *verification)
{
    if (verification == NULL)
        return;
    g_ptr_array_unref(verification->faults);
    g_ptr_array_unref(verification->remarks);
    g_free(verification);
}
