/* test_fault.c -- what fails, fails once at every place where it can: allocations, reads, writes, statements.
 *
 * The linker puts our own function in the place of those that can fail (--wrap; FAULTS in the Makefile lists them), and, in the plain build, malloc
 * fails for libraries that promise to survive it. An operation runs again and again; each time the first call whose call stack
 * (the innermost frames of our code) has not failed yet fails, until none is left. After each: the operation either did all it
 * should or says one sentence and did nothing; the claim passes SQLite's check and ours, and the same operation then works.
 *
 * GLib's own allocations are not in this: g_malloc ends the program by design, and the claim is then as after kill -9 (e2e/test_kill.c).
 * Sizes that come from outside are asked for with g_try_malloc.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "claim_support.h"
#include "photo_support.h"

#include <dlfcn.h>
#include <errno.h>
#include <execinfo.h>
#include <fcntl.h>
#include <gablebook/gablebook.h>
#include <glib/gstdio.h>
#include <link.h>
#include <pthread.h>
#include <sqlite3.h>
#include <sys/mman.h>
#include <sys/wait.h>
#include <unistd.h>

/* --- which call fails --- */

#define STACKS_MAX 8192
#define FRAMES 5 /* of our code, innermost first */

static pthread_mutex_t lock = PTHREAD_MUTEX_INITIALIZER;
static volatile int armed;  /* a call may fail, as long as none has */
static const char *failed;  /* the function that did; NULL none */
static guint64 stacks[STACKS_MAX]; /* that have failed */
static guint n_stacks;
static gboolean memory_fails; /* libraries' own too */
static __thread int inside; /* backtrace allocates the first time */

extern const char __executable_start, etext;

static guint64 hash_stack(const char *what)
{
    void *frames[64];
    int n = backtrace(frames, G_N_ELEMENTS(frames)), ours = 0;
    guint64 hash = 14695981039346656037u ^ (guint64)(guintptr)what; /* FNV-1a, Fowler, Noll and Vo */
    for (int i = 2; i < n && ours < FRAMES; i++)
        if ((const char *)frames[i] >= &__executable_start && (const char *)frames[i] < &etext) {
            hash = (hash ^ (guint64)(guintptr)frames[i]) * 1099511628211u;
            ours++;
        }
    return hash;
}

/* Called in the place of every call that can fail. */
static gboolean fails(const char *what)
{
    if (!armed || inside)
        return FALSE;
    inside = 1;
    guint64 hash = hash_stack(what);
    pthread_mutex_lock(&lock);
    gboolean is_new = armed && n_stacks < STACKS_MAX;
    for (guint i = 0; i < n_stacks && is_new; i++)
        is_new = stacks[i] != hash;
    if (is_new) {
        stacks[n_stacks++] = hash;
        armed = 0;
        failed = what;
    }
    pthread_mutex_unlock(&lock);
    inside = 0;
    return is_new;
}

/* --- the calls --- */

#define WRAP(TYPE, NAME, PARAMETERS, ARGUMENTS, FAILURE)  \
    TYPE __real_##NAME PARAMETERS;                        \
    TYPE __wrap_##NAME PARAMETERS;                        \
    TYPE __wrap_##NAME PARAMETERS                         \
    {                                                     \
        if (fails(#NAME))                                 \
            return FAILURE;                               \
        return __real_##NAME ARGUMENTS;                   \
    }

WRAP(gpointer, g_try_malloc, (gsize n), (n), NULL)
WRAP(gpointer, g_try_malloc0, (gsize n), (n), NULL)
WRAP(gpointer, g_try_malloc_n, (gsize n, gsize size), (n, size), NULL)
WRAP(gpointer, g_try_malloc0_n, (gsize n, gsize size), (n, size), NULL)
WRAP(ssize_t, read, (int fd, void *to, size_t n), (fd, to, n), (errno = EIO, -1))
WRAP(ssize_t, pread64, (int fd, void *to, size_t n, off_t at), (fd, to, n, at), (errno = EIO, -1))
WRAP(ssize_t, write, (int fd, const void *from, size_t n), (fd, from, n), (errno = ENOSPC, -1))
WRAP(int, fsync, (int fd), (fd), (errno = EIO, -1))
WRAP(int, rename, (const char *from, const char *to), (from, to), (errno = EIO, -1))
WRAP(int, memfd_create, (const char *name, unsigned flags), (name, flags), (errno = EMFILE, -1))
WRAP(int, sqlite3_step, (sqlite3_stmt * stmt), (stmt), SQLITE_IOERR)
WRAP(int, sqlite3_prepare_v2, (sqlite3 * db, const char *sql, int n, sqlite3_stmt **stmt, const char **tail), (db, sql, n, stmt, tail),
     (*stmt = NULL, SQLITE_NOMEM))
WRAP(int, sqlite3_exec, (sqlite3 * db, const char *sql, int (*each)(void *, int, char **, char **), void *user, char **message),
     (db, sql, each, user, message), SQLITE_IOERR)
WRAP(int, sqlite3_open_v2, (const char *path, sqlite3 **db, int flags, const char *vfs), (path, db, flags, vfs), (*db = NULL, SQLITE_NOMEM))
WRAP(int, sqlite3session_create, (sqlite3 * db, const char *name, void **session), (db, name, session), (*session = NULL, SQLITE_NOMEM))
WRAP(int, sqlite3session_attach, (void *session, const char *table), (session, table), SQLITE_NOMEM)
WRAP(int, sqlite3session_changeset, (void *session, int *n, void **changes), (session, n, changes), (*n = 0, *changes = NULL, SQLITE_NOMEM))
WRAP(int, sqlite3changeset_start, (void **at, int n, void *changes), (at, n, changes), (*at = NULL, SQLITE_NOMEM))
WRAP(int, sqlite3changeset_next, (void *at), (at), SQLITE_NOMEM)
WRAP(int, sqlite3changeset_invert, (int n, const void *changes, int *m, void **inverse), (n, changes, m, inverse),
     (*m = 0, *inverse = NULL, SQLITE_NOMEM))
WRAP(int, sqlite3changeset_apply, (sqlite3 * db, int n, void *changes, int (*filter)(void *, const char *),
     int (*conflict)(void *, int, void *), void *user), (db, n, changes, filter, conflict, user), SQLITE_NOMEM)
WRAP(int, sqlite3_backup_step, (void *backup, int pages), (backup, pages), SQLITE_IOERR)

/* Where these want memory and there is none the program ends (gb_log_out_of_memory). */
#define SPARE(TYPE, NAME, PARAMETERS, ARGUMENTS)   \
    TYPE __real_##NAME PARAMETERS;                 \
    TYPE __wrap_##NAME PARAMETERS;                 \
    TYPE __wrap_##NAME PARAMETERS                  \
    {                                              \
        inside++;                                  \
        TYPE result = __real_##NAME ARGUMENTS;     \
        inside--;                                  \
        return result;                             \
    }

SPARE(int, sqlite3_bind_text, (sqlite3_stmt * stmt, int i, const char *text, int n, void (*drop)(void *)), (stmt, i, text, n, drop))
SPARE(const unsigned char *, sqlite3_column_text, (sqlite3_stmt * stmt, int i), (stmt, i))
SPARE(const unsigned char *, sqlite3_value_text, (sqlite3_value * value), (value))

#ifndef __SANITIZE_ADDRESS__
/* Libraries whose allocations may fail: they say so, and it is tried here. Not GLib and what stands on it, nor jansson, to which the program
 * gives GLib's; nor libarchive, which ends the program itself, nor cairo, whose 1.16 crashes. */
static const char *const libraries[] = { "libjpeg.", "libpng16.", "libexif.", "libsqlite3.", "libcrypto." };
static struct {
    guintptr from, to;
} code[G_N_ELEMENTS(libraries)];
static guint n_code;

static int note_library(struct dl_phdr_info *info, size_t size, void *user)
{
    (void)size, (void)user;
    for (gsize i = 0; i < G_N_ELEMENTS(libraries); i++)
        if (strstr(info->dlpi_name, libraries[i]) != NULL)
            for (int k = 0; k < info->dlpi_phnum; k++)
                if (info->dlpi_phdr[k].p_type == PT_LOAD && (info->dlpi_phdr[k].p_flags & PF_X) != 0 && n_code < G_N_ELEMENTS(code)) {
                    code[n_code].from = info->dlpi_addr + info->dlpi_phdr[k].p_vaddr;
                    code[n_code].to = code[n_code].from + info->dlpi_phdr[k].p_memsz;
                    n_code++;
                }
    return 0;
}

static gboolean fails_for(const void *caller)
{
    if (!armed || inside || !memory_fails)
        return FALSE;
    for (guint i = 0; i < n_code; i++)
        if ((guintptr)caller >= code[i].from && (guintptr)caller < code[i].to)
            return fails("malloc");
    return FALSE;
}

void *__libc_malloc(size_t n);
void *__libc_calloc(size_t n, size_t size);
void *__libc_realloc(void *old, size_t n);

void *malloc(size_t n)
{
    if (fails_for(__builtin_return_address(0)))
        return NULL;
    return __libc_malloc(n);
}

void *calloc(size_t n, size_t size)
{
    if (fails_for(__builtin_return_address(0)))
        return NULL;
    return __libc_calloc(n, size);
}

void *realloc(void *old, size_t n)
{
    if (fails_for(__builtin_return_address(0)))
        return NULL;
    return __libc_realloc(old, n);
}

static void find_libraries(void)
{
    dl_iterate_phdr(note_library, NULL);
    assert_int_equal(n_code, G_N_ELEMENTS(libraries));
}
#else
static void find_libraries(void)
{
}
#endif

/* --- the operations: each opens the claim itself, so that opening may fail too --- */

typedef gboolean (*Act)(GbLog *log, GError **error);
typedef struct {
    const char *name;
    Act act;
    gboolean reads;  /* opened for reading */
    gboolean closed; /* not opened at all: log is NULL */
    gboolean twice;  /* two changes: the first may be all that was done */
    gboolean memory; /* libraries' allocations fail too: not in all, for they are many and alike */
} Operation;

static const char *folder; /* of the claim */
static const char *scratch;

static gboolean tag(GbLog *log, GError **error)
{
    return gb_tag(log, "1-2", &(GbTag){ .place = "rear slope", .subject = "test square", .value = "9", .caption = "words" }, NULL, error);
}

static gboolean reorder(GbLog *log, GError **error)
{
    return gb_tag(log, "1", &(GbTag){ .order = GB_ORDER_AFTER, .anchor = 2 }, NULL, error);
}

static gboolean note(GbLog *log, GError **error)
{
    return gb_note_add(log, "front", 0, "a dog", GB_NOTE_FOR_REPORT, NULL, NULL, error);
}

static gboolean change_note(GbLog *log, GError **error)
{
    return gb_note_change(log, 1, "two dogs", GB_NOTE_FOR_REPORT, NULL, error);
}

static gboolean fact(GbLog *log, GError **error)
{
    return gb_fact_say(log, "roof", "layers", &(GbFactEdit){ .value = "2", .shots = "1,2", .note = "at the eave" }, NULL, error);
}

static gboolean square(GbLog *log, GError **error)
{
    return gb_square_say(log, "rear slope", &(GbSquareEdit){ .hits = "9", .shots = "1" }, NULL, error);
}

static gboolean threshold(GbLog *log, GError **error)
{
    return gb_threshold_set(log, "8", "the carrier's guide", NULL, error);
}

static gboolean finding(GbLog *log, GError **error)
{
    return gb_finding_add(log, &(GbFindingEdit){ .place = "rear slope", .component = "shingles", .cause = "hail", .action = "replace",
                                                 .quantity = "= area", .shots = "1-3" }, NULL, NULL, error);
}

static gboolean change_finding(GbLog *log, GError **error)
{
    return gb_finding_change(log, 1, &(GbFindingEdit){ .quantity = "12 LF", .fewer_shots = "1" }, NULL, error);
}

static gboolean structure(GbLog *log, GError **error)
{
    return gb_structure_edit(log, &(GbStructureEdit){ .name = "shed", .elevations = "front", .slopes = "left, right", .rooms = "loft" }, NULL,
                             error);
}

static gboolean roof(GbLog *log, GError **error)
{
    return gb_enter_roof(log, &(GbEnter){ .where = "front slope", .shape = "rectangle",
                                          .given = { [GB_GIVEN_EAVE] = "40 ft", [GB_GIVEN_UP] = "16 ft", [GB_GIVEN_PITCH] = "6/12" } },
                         NULL, NULL, error);
}

static gboolean mark(GbLog *log, GError **error)
{
    static const GbMarkPoint points[] = { { 0.1, 0.1 }, { 0.5, 0.6 } };
    return gb_mark(log, &(GbMarkEdit){ .shot = 1, .kind = "arrow", .points = points, .n_points = 2, .text = "hit" }, NULL, NULL, error);
}

static gboolean waive(GbLog *log, GError **error)
{
    return gb_waive(log, "address", "no number on the house", NULL, error);
}

static gboolean edit(GbLog *log, GError **error)
{
    return gb_edit(log, &(GbEdit){ .insured = "Reyes", .cause = "hail", .front_azimuth = "205" }, error);
}

static gboolean undo(GbLog *log, GError **error)
{
    return gb_history_undo(log, NULL, error);
}

static gboolean undo_and_redo(GbLog *log, GError **error)
{
    return gb_history_undo(log, NULL, error) && gb_history_redo(log, NULL, error);
}

static gboolean look_at_history(GbLog *log, GError **error)
{
    g_autoptr(GPtrArray) entries = gb_history_load(log, error);
    g_autoptr(GPtrArray) values = entries == NULL ? NULL : gb_history_values(log, 2, error);
    gint64 version;
    return values != NULL && gb_history_version(log, &version, error);
}

static gboolean load(GbLog *log, GError **error)
{
    g_autoptr(GbDossier) dossier = gb_dossier_load(log, error);
    return dossier != NULL;
}

static gboolean check_database(GbLog *log, GError **error)
{
    return gb_log_integrity(log, error);
}

static gboolean copy(GbLog *log, GError **error)
{
    g_autofree char *path = g_build_filename(scratch, "copy.db", NULL);
    g_unlink(path);
    return gb_log_copy(log, path, NULL, error);
}

static gboolean import(GbLog *log, GError **error)
{
    g_autofree char *card = g_build_filename(scratch, "card", NULL);
    const char *const paths[] = { card, NULL };
    GbImportTally tally;
    return gb_import(log, paths, &(GbImportWatch){ .threads = 1 }, &tally, error);
}

static gboolean migrate(GbLog *log, GError **error)
{
    (void)log;
    g_autofree char *old = g_build_filename(scratch, "old", NULL);
    g_autofree char *from = g_build_filename(scratch, "old.db", NULL), *to = g_build_filename(old, "claim.db", NULL);
    g_autofree char *data = NULL;
    gsize n;
    int was_armed = armed;
    armed = 0;
    gboolean put = g_file_get_contents(from, &data, &n, NULL) && g_file_set_contents(to, data, (gssize)n, NULL);
    armed = was_armed;
    assert_true(put);
    g_autoptr(GbLog) opened = gb_log_open(old, GB_LOG_WRITE, error);
    return opened != NULL;
}

static gboolean build(GbLog *log, const GbReportOptions *options, GError **error)
{
    g_autofree char *written = NULL;
    return gb_report_build(log, options, &written, error);
}

static gboolean report(GbLog *log, GError **error)
{
    return build(log, &(GbReportOptions){ .picture_px = 64 }, error);
}

static gboolean report_pdf(GbLog *log, GError **error)
{
    return build(log, &(GbReportOptions){ .picture_px = 64, .format = GB_FORMAT_PDF }, error);
}

static gboolean report_reviewer(GbLog *log, GError **error)
{
    return build(log, &(GbReportOptions){ .picture_px = 64, .reader = GB_READER_REVIEWER }, error);
}

static gboolean report_insured(GbLog *log, GError **error)
{
    return build(log, &(GbReportOptions){ .picture_px = 64, .reader = GB_READER_INSURED, .budget_bytes = 1 << 20 }, error);
}

static gboolean scope(GbLog *log, GError **error)
{
    g_autoptr(GbDossier) dossier = gb_dossier_load(log, error);
    return dossier != NULL && gb_scope_html(log, dossier, NULL, NULL, NULL, error) && gb_scope_pdf(log, dossier, &(GbReportOptions){ 0 }, NULL, error);
}

static gboolean brief(GbLog *log, GError **error)
{
    g_autoptr(GbDossier) dossier = gb_dossier_load(log, error);
    return dossier != NULL && gb_brief_html(log, dossier, NULL, NULL, error);
}

static gboolean hand_over(GbLog *log, GError **error)
{
    g_autofree char *zip = g_build_filename(scratch, "claim.zip", NULL);
    g_unlink(zip);
    return gb_export(log, zip, NULL, NULL, NULL, error);
}

/* A fault of reading may be told as an error or as a fault of the claim: never as a sound claim. */
static gboolean verify(GbLog *log, GError **error)
{
    (void)log;
    g_autoptr(GbVerification) seen = gb_verify(folder, NULL, error);
    if (seen == NULL)
        return FALSE;
    if (seen->faults->len > 0)
        g_set_error_literal(error, GB_ERROR, GB_ERROR_DAMAGED, seen->faults->pdata[0]);
    return seen->faults->len == 0;
}

static gboolean survey(const char *name, GError **error)
{
    g_autofree char *path = g_build_filename(scratch, name, NULL);
    g_auto(GbImageHeader) header = { 0 };
    GbQuality measured;
    g_autoptr(GBytes) bytes = gb_image_header_file(path, &header, error) ? gb_file_read(path, GB_IMAGE_MAX_BYTES, error) : NULL;
    if (bytes == NULL)
        return FALSE;
    g_autoptr(GBytes) small = gb_image_survey(g_bytes_get_data(bytes, NULL), g_bytes_get_size(bytes), 6, 40, 80, &measured, NULL, error);
    char sha256[GB_DIGEST_HEX];
    return small != NULL && gb_digest_file(path, sha256, error);
}

static gboolean survey_jpeg(GbLog *log, GError **error)
{
    (void)log;
    return survey("soft.jpg", error);
}

static gboolean survey_png(GbLog *log, GError **error)
{
    (void)log;
    return survey("picture.png", error);
}

static gboolean survey_heic(GbLog *log, GError **error)
{
    (void)log;
    return survey("picture.heic", error);
}

/* --- running one until nothing more can fail --- */

static gboolean open_and_act(const Operation *operation, GError **error)
{
    if (operation->closed)
        return operation->act(NULL, error);
    g_autoptr(GbLog) log = gb_log_open(folder, operation->reads ? GB_LOG_READ : GB_LOG_WRITE, error);
    return log != NULL && operation->act(log, error);
}

/* The claim as it was at the beginning, but for files that do no harm in originals/. */
static void put_back(GBytes *database)
{
    static const char *const lost[] = { "cache", "reports", "claim.db-journal" };
    for (gsize i = 0; i < G_N_ELEMENTS(lost); i++) {
        g_autofree char *path = g_build_filename(folder, lost[i], NULL);
        remove_tree(path);
    }
    g_autofree char *path = g_build_filename(folder, "claim.db", NULL);
    assert_true(g_file_set_contents_full(path, g_bytes_get_data(database, NULL), (gssize)g_bytes_get_size(database), G_FILE_SET_CONTENTS_NONE,
                                         0600, NULL));
}

static void assert_claim_is_sound(const char *name)
{
    g_autoptr(GError) error = NULL;
    g_autoptr(GbVerification) seen = gb_verify(folder, NULL, &error);
    assert_no_error(error);
    if (seen->faults->len > 0)
        fail_msg("%s, %s failed: %s", name, failed, (const char *)seen->faults->pdata[0]);
}

static void assert_sentence(const char *name, const GError *error)
{
    if (error == NULL || strlen(error->message) < 10 || strchr(error->message, '\n') != NULL || !g_utf8_validate(error->message, -1, NULL))
        fail_msg("%s, %s failed: says '%s'", name, failed, error == NULL ? "nothing" : error->message);
    if (g_getenv("GB_FAULTS") != NULL)
        print_message("%s, %s: %s\n", name, failed, error->message);
}

typedef struct {
    guint places, borne; /* calls that failed; operations that did all the same */
} Tally;

static void run_until_nothing_fails(const Operation *operation, Tally *tally)
{
    void *state = (gpointer)scratch;
    g_autofree char *path = g_build_filename(folder, "claim.db", NULL);
    g_autoptr(GBytes) database = gb_file_read(path, 1 << 24, NULL);
    g_autofree char *before = dump_work(&state);
    g_autoptr(GError) first = NULL;
    open_and_act(operation, &first); /* and so all that is made once has been made */
    if (first != NULL)
        fail_msg("%s: %s", operation->name, first->message);
    g_autofree char *after = dump_work(&state);
    memory_fails = operation->memory;
    for (;;) {
        g_autoptr(GError) error = NULL;
        put_back(database);
        failed = NULL;
        armed = 1;
        gboolean done = open_and_act(operation, &error);
        armed = 0;
        if (failed == NULL)
            break;
        tally->places++;
        tally->borne += done;
        if (!done)
            assert_sentence(operation->name, error);
        else if (error != NULL)
            fail_msg("%s, %s failed: done, and yet '%s'", operation->name, failed, error->message);
        g_autofree char *now = dump_work(&state);
        if (strcmp(now, before) != 0 && strcmp(now, after) != 0 && !operation->twice)
            fail_msg("%s, %s failed: it was done in part", operation->name, failed);
        assert_claim_is_sound(operation->name);
        g_clear_error(&error);
        if (!operation->reads && strcmp(now, before) == 0 && !open_and_act(operation, &error))
            fail_msg("%s, %s had failed: does not work any more: %s", operation->name, failed, error->message);
    }
    put_back(database);
    assert_true(n_stacks < STACKS_MAX);
}

/* --- the claim --- */

static void put_photo_of(const char *name, const char *relative)
{
    g_autofree char *from = source_path(relative), *data = NULL;
    gsize n;
    assert_true(g_file_get_contents(from, &data, &n, NULL));
    g_free(put_file(scratch, name, data, n));
}

/* A claim of an older version, and a decoder for HEIC that knows one answer. */
static void put_old_claim(void)
{
    g_autofree char *script = source_path("tests/claims/v5.sql"), *sql = slurp(script), *old = g_build_filename(scratch, "old.db", NULL);
    sqlite3 *db;
    assert_int_equal(sqlite3_open(old, &db), SQLITE_OK);
    raw_exec(db, "PRAGMA application_id = 1732398155; PRAGMA user_version = 5"); /* as log-private.h says */
    raw_exec(db, sql);
    sqlite3_close(db);
    g_free(put_file(scratch, "old/originals/x", "", 0));
}

static void put_decoder(void)
{
    static const char script[] = "#!/bin/sh\nexec cat \"${0%/*}/answer\"\n";
    put_photo_of("answer", "tests/fuzz/corpus/decoder/pixels");
    g_autofree char *path = put_file(scratch, "gablebook-heic", script, sizeof script - 1);
    assert_int_equal(g_chmod(path, 0700), 0);
    g_free(put_file(scratch, "picture.heic", "\0\0\0\x18" "ftypheic\0\0\0\0mif1heic", 24));
    g_setenv("GABLEBOOK_LIBEXEC", scratch, TRUE);
}

static void do_one(GbLog *log, Act act)
{
    g_autoptr(GError) error = NULL;
    act(log, &error);
    assert_no_error(error);
}

static int make_claim(void **state)
{
    static const Act acts[] = { import, tag, structure, fact, square, threshold, finding, mark, waive, note, roof };
    if (setup_folder(state) != 0)
        return 1;
    scratch = *state;
    folder = g_build_filename(scratch, "claim", NULL);
    g_autoptr(GBytes) noise = jpeg_bytes(700, 500, 9);
    g_free(put_file(scratch, "soft.jpg", g_bytes_get_data(noise, NULL), g_bytes_get_size(noise)));
    put_photo_of("picture.png", "tests/fuzz/corpus/picture/interlaced-alpha.png");
    put_photo_of("card/a.jpg", "tests/fuzz/corpus/picture/camera.jpg");
    put_photo_of("card/b.png", "tests/fuzz/corpus/picture/exif.png");
    put_photo_of("card/c.jpg", "tests/fuzz/corpus/picture/progressive.jpg");
    g_free(put_file(scratch, "card/d.pdf", "%PDF-1.7\n", 9));
    put_old_claim();
    put_decoder();
    GbLog *log = gb_new(folder, &(GbEdit){ .insured = "Okonkwo" }, NULL);
    assert_non_null(log);
    for (gsize i = 0; i < G_N_ELEMENTS(acts); i++)
        do_one(log, acts[i]);
    gb_log_free(log);
    g_free(put_photo(scratch, "card/e.jpg", 5));
    return 0;
}

static int remove_claim(void **state)
{
    g_clear_pointer((char **)&folder, g_free);
    return teardown_folder(state);
}

#define WRITES(NAME, ACT) { .name = (NAME), .act = (ACT) }
#define READS(NAME, ACT) { .name = (NAME), .act = (ACT), .reads = TRUE }
#define ALONE(NAME, ACT) { .name = (NAME), .act = (ACT), .closed = TRUE, .memory = TRUE }

static const Operation photos[] = {
    ALONE("survey of a JPEG", survey_jpeg), ALONE("survey of a PNG", survey_png), ALONE("survey of a HEIC", survey_heic),
};

static const Operation logs[] = {
    { .name = "tag", .act = tag, .memory = TRUE }, WRITES("order", reorder), WRITES("note", note), WRITES("note changed", change_note), WRITES("fact", fact),
    WRITES("square", square), WRITES("threshold", threshold), WRITES("finding", finding), WRITES("finding changed", change_finding),
    WRITES("structure", structure), WRITES("roof", roof), WRITES("mark", mark), WRITES("waive", waive), WRITES("edit", edit),
    WRITES("undo", undo), { .name = "undo and redo", .act = undo_and_redo, .twice = TRUE, .memory = TRUE }, READS("history", look_at_history), { .name = "load", .act = load, .reads = TRUE, .memory = TRUE },
    READS("integrity", check_database), READS("copy", copy), WRITES("import", import), ALONE("migrate", migrate),
};

static const Operation reports[] = {
    READS("report", report), READS("report as PDF", report_pdf), READS("reviewer's sheet", report_reviewer),
    READS("insured's summary", report_insured), READS("scope", scope), READS("brief", brief), READS("export", hand_over),
    ALONE("verify", verify),
};

/* How many places fail is asserted as a floor: were the wrapping lost, nothing would fail and all would pass. */
static void fail_at_every_place(const Operation *operations, gsize n, guint at_least)
{
    Tally tally = { 0, 0 };
    find_libraries();
    for (gsize i = 0; i < n; i++) {
        if (g_getenv("GB_FAULTS") != NULL)
            print_message("--- %s\n", operations[i].name);
        run_until_nothing_fails(&operations[i], &tally);
    }
    print_message("%u places failed, %u of them were borne\n", tally.places, tally.borne);
    assert_true(tally.places >= at_least);
}

static void photos_survive_every_fault(void **state)
{
    (void)state;
    fail_at_every_place(photos, G_N_ELEMENTS(photos), 15);
}

static void the_log_survives_every_fault(void **state)
{
    (void)state;
    fail_at_every_place(logs, G_N_ELEMENTS(logs), 200);
}

static void reports_survive_every_fault(void **state)
{
    (void)state;
    fail_at_every_place(reports, G_N_ELEMENTS(reports), 50);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(photos_survive_every_fault, make_claim, remove_claim),
        cmocka_unit_test_setup_teardown(the_log_survives_every_fault, make_claim, remove_claim),
        cmocka_unit_test_setup_teardown(reports_survive_every_fault, make_claim, remove_claim),
    };
    return cmocka_run_group_tests_name("fault", tests, NULL, NULL);
}
