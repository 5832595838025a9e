/* cmd_import.c -- gablebook import FOLDER PATH...
 *
 * Ctrl-C is no signal handler here: the signals are blocked for all threads, and the import asks now and then whether one is waiting.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "command.h"

#include <signal.h>
#include <unistd.h>

static int import(int argc, char **argv);
const GbCommand gb_cmd_import = {
    .name = "import",
    .args = "FOLDER PATH...",
    .what = "take photos into the claim: files, or folders to the bottom",
    .more = "The card is only read. Every photo is copied byte for byte into FOLDER/originals and is in the claim only when it is safe "
            "there; when all are, that is said, and the card can be taken out. Then their pixels are looked at: previews, blur, exposure, "
            "near-duplicates. What of that is not done when the import ends (Ctrl-C, --later) is done by the next import, check, report, suggest "
            "or open.\n\n"
            "JPEG, HEIC and PNG are photos; raw photos, videos, sound and PDF are kept as attachments, which are listed and never shown. "
            "Photos that are in the claim already are recognised. Sidecar files (.aae, .xmp, .thm, Thumbs.db, desktop.ini) are passed over. Ctrl-C ends the import after the files at work; run the same "
            "import again for the rest. Exit status 1: some files were left out, with their reasons.",
    .run = import,
};

#define LINE_EVERY_S 5.0 /* without a terminal, a line of progress at most so often */
#define BAR_WIDTH 24

typedef struct {
    GHashTable *fresh; /* numbers of the shots that came in, gint64, to what --json says of their file, BORROWED, or NULL */
    json_t *files; /* with --json: each file and what became of it; NULL: said as they come */
    gboolean on_terminal;
    GTimer *clock;
    double last_line_s;
    gboolean said_safe;
} Progress;

static gboolean is_interrupted(gpointer user)
{
    (void)user;
    sigset_t waiting;
    return sigpending(&waiting) == 0 &&
           (sigismember(&waiting, SIGINT) || sigismember(&waiting, SIGTERM) || sigismember(&waiting, SIGHUP));
}

/* A signal that whoever started us wants ignored (nohup) stays so: blocked, it would wait and be seen. */
static void block_signals(void)
{
    static const int ends[] = { SIGINT, SIGTERM, SIGHUP };
    sigset_t set;
    sigemptyset(&set);
    for (gsize i = 0; i < G_N_ELEMENTS(ends); i++) {
        struct sigaction now;
        if (sigaction(ends[i], NULL, &now) == 0 && now.sa_handler != SIG_IGN)
            sigaddset(&set, ends[i]);
    }
    pthread_sigmask(SIG_BLOCK, &set, NULL);
}

/* "  37 of 120   31 %   12.4 MB/s   about 8 s left" */
static char *progress_text(const GbImportTally *tally, double elapsed_s)
{
    double share = tally->total_bytes == 0 ? 1 : (double)tally->bytes / (double)tally->total_bytes;
    double rate = elapsed_s > 0 ? (double)tally->bytes / 1e6 / elapsed_s : 0;
    GString *text = g_string_new(NULL);
    g_string_append_printf(text, "%u of %u files  %3.0f %%  %.1f MB/s", gb_import_done(tally), tally->total, 100 * share, rate);
    if (elapsed_s > 1 && share > 0.02 && share < 1)
        g_string_append_printf(text, "  about %.0f s left", elapsed_s * (1 - share) / share + 0.5);
    return g_string_free(text, FALSE);
}

static void draw_bar(double share, const char *text)
{
    guint filled = (guint)(BAR_WIDTH * share);
    fputs("\r\033[K[", stderr);
    for (guint i = 0; i < BAR_WIDTH; i++)
        fputc(i < filled ? '#' : '.', stderr);
    fprintf(stderr, "]  %s", text);
}

static void show(Progress *progress, double now, double share, const char *text)
{
    if (progress->on_terminal)
        draw_bar(share, text);
    else if (now - progress->last_line_s >= LINE_EVERY_S) {
        fprintf(stderr, "%s\n", text);
        progress->last_line_s = now;
    }
}

static void show_progress(Progress *progress, const GbImportTally *tally)
{
    double now = g_timer_elapsed(progress->clock, NULL);
    g_autofree char *text = progress_text(tally, now);
    show(progress, now, tally->total_bytes == 0 ? 1 : (double)tally->bytes / (double)tally->total_bytes, text);
}

static json_t *file_json(const GbImportFile *file)
{
    static const char *const outcomes[] = { [GB_IMPORT_NEW] = "taken in", [GB_IMPORT_BACK] = "back", [GB_IMPORT_KNOWN] = "there already",
                                            [GB_IMPORT_LEFT_OUT] = "left out", [GB_IMPORT_ATTACHED] = "attached" };
    g_autofree char *shown = g_filename_display_name(file->path);
    return json_pack("{ss ss so so}", "file", shown, "outcome", outcomes[file->outcome], "number",
                     file->number == 0 ? json_null() : json_integer(file->number), "message",
                     file->message == NULL ? json_null() : json_string(file->message));
}

static void print_message(const Progress *progress, const char *message)
{
    if (progress->on_terminal)
        fputs("\r\033[K", stderr);
    gb_cli_printf("%s\n", message);
    fflush(stdout);
}

static void on_file(const GbImportFile *file, const GbImportTally *tally, gpointer user)
{
    Progress *progress = user;
    json_t *said = progress->files != NULL ? file_json(file) : NULL;
    if (file->outcome == GB_IMPORT_NEW || file->outcome == GB_IMPORT_BACK)
        g_hash_table_insert(progress->fresh, g_memdup2(&file->number, sizeof file->number), said);
    if (said != NULL)
        json_array_append_new(progress->files, said);
    else if (file->message != NULL)
        print_message(progress, file->message);
    show_progress(progress, tally);
}

static void add_count(GString *text, guint n, const char *what)
{
    if (n > 0)
        g_string_append_printf(text, "%s%u %s", text->len > 0 ? ", " : "", n, what);
}

static void print_tally(const GbImportTally *tally)
{
    g_autoptr(GString) text = g_string_new(NULL);
    add_count(text, tally->fresh, tally->fresh == 1 ? "photo taken in" : "photos taken in");
    add_count(text, tally->back, "back in the claim");
    add_count(text, tally->known, "in the claim already");
    add_count(text, tally->attached, tally->attached == 1 ? "attachment kept" : "attachments kept");
    add_count(text, tally->left_out, "left out");
    printf("%s.\n", text->len > 0 ? text->str : "No files found");
    gb_cli_print_sidecars(&tally->sidecars);
    if (tally->stopped)
        printf("Stopped: %u of %u files are done and safe. Run the same import again for the rest.\n", gb_import_done(tally), tally->total);
}

/* A script that waits for this line may go on; so may a person, with the card in the hand. */
static void on_safe(const GbImportTally *tally, gpointer user)
{
    Progress *progress = user;
    progress->said_safe = TRUE;
    if (progress->on_terminal)
        fputs("\r\033[K", stderr);
    if (progress->files != NULL)
        return;
    print_tally(tally);
    fflush(stdout);
    if (progress->on_terminal && tally->fresh + tally->back + tally->attached > 0)
        fputs("All are safe now: the card can be taken out.\n", stderr);
}

static void on_looked(gint64 number, const char *message, const GbSurveyTally *survey, gpointer user)
{
    Progress *progress = user;
    json_t *said = g_hash_table_lookup(progress->fresh, &number);
    g_autofree char *text = g_strdup_printf("looking at the photos: %u of %u", survey->done, survey->total);
    if (message != NULL && said != NULL)
        json_object_set_new(said, "message", json_string(message));
    else if (message != NULL && progress->files == NULL)
        print_message(progress, message);
    show(progress, g_timer_elapsed(progress->clock, NULL), (double)survey->done / survey->total, text);
}

static void print_survey(const GbImportTally *tally)
{
    const GbSurveyTally *survey = &tally->survey;
    if (survey->stopped)
        printf("Stopped: %u of %u photos were looked at. All are safe; the next import, check or report goes on with it.\n", survey->done,
               survey->total);
}

#define DOUBTS_MAX 3 /* more than that are one line: another property's photos, or those of another day */

/* What is doubted of the shots that came in: those that lie far, or those that are off in time alone. */
static void print_doubts_of(const GPtrArray *doubts, GHashTable *fresh, gboolean far)
{
    g_autoptr(GPtrArray) found = g_ptr_array_new();
    g_autoptr(GArray) numbers = g_array_new(FALSE, FALSE, sizeof(gint64));
    for (guint i = 0; i < doubts->len; i++) {
        GbDoubt *doubt = doubts->pdata[i];
        if (doubt->far != far || !g_hash_table_contains(fresh, &doubt->number))
            continue;
        g_ptr_array_add(found, doubt);
        g_array_append_val(numbers, doubt->number);
    }
    for (guint i = 0; found->len <= DOUBTS_MAX && i < found->len; i++)
        gb_cli_printf("Look again: %s.\n", ((const GbDoubt *)found->pdata[i])->text);
    if (found->len <= DOUBTS_MAX)
        return;
    g_autofree char *text = gb_numbers_text(&g_array_index(numbers, gint64, 0), numbers->len);
    gb_cli_printf("Look again: %u shots (%s) %s?\n", found->len, text, far ? "lie far from the others: another property"
                  : "were taken hours away from the others: a second visit, or another property");
    gb_cli_printf("  The first: %s.\n", ((const GbDoubt *)found->pdata[0])->text);
    if (far)
        puts("  For a claim of each property: gablebook undo, then gablebook visits PATH... --into DIR");
}

/* Photos of another property on the same card are easily taken in by mistake. */
static void print_doubts(GbLog *log, GHashTable *fresh)
{
    if (g_hash_table_size(fresh) == 0)
        return;
    g_autoptr(GPtrArray) shots = gb_shots_load(log, NULL);
    g_autoptr(GPtrArray) doubts = shots == NULL ? g_ptr_array_new() : gb_doubts(shots);
    print_doubts_of(doubts, fresh, TRUE);
    print_doubts_of(doubts, fresh, FALSE);
}

static json_t *doubts_json(GbLog *log, GHashTable *fresh)
{
    json_t *list = json_array();
    g_autoptr(GPtrArray) shots = gb_shots_load(log, NULL);
    g_autoptr(GPtrArray) doubts = shots == NULL ? g_ptr_array_new() : gb_doubts(shots);
    for (guint i = 0; i < doubts->len; i++) {
        GbDoubt *doubt = doubts->pdata[i];
        if (g_hash_table_contains(fresh, &doubt->number))
            json_array_append_new(list, json_pack("{sI sb ss}", "number", (json_int_t)doubt->number, "far", doubt->far, "text", doubt->text));
    }
    return list;
}

static json_t *tally_json(const GbImportTally *tally)
{
    return json_pack("{si si si si si si si sb}", "taken_in", (int)tally->fresh, "back", (int)tally->back, "there_already", (int)tally->known,
                     "left_out", (int)tally->left_out, "attached", (int)tally->attached, "passed_over", (int)tally->sidecars.n, "no_picture", (int)tally->survey.troubled,
                     "stopped", tally->stopped);
}

static int run_import(GbLog *log, char **paths, gboolean as_json, gboolean later)
{
    GError *error = NULL;
    GbImportTally tally;
    g_autoptr(GTimer) clock = g_timer_new();
    g_autoptr(GHashTable) fresh = g_hash_table_new_full(g_int64_hash, g_int64_equal, g_free, NULL);
    Progress progress = { fresh, as_json ? json_array() : NULL, isatty(STDERR_FILENO), clock, 0, FALSE };
    const GbImportWatch watch = { .file = on_file, .stop = is_interrupted, .user = &progress, .safe = on_safe, .looked = on_looked, .later = later };
    block_signals();
    gboolean ok = gb_import(log, (const char *const *)paths, &watch, &tally, &error);
    if (progress.on_terminal)
        fputs("\r\033[K", stderr);
    if (as_json) {
        json_t *answer = tally_json(&tally);
        json_object_set_new(answer, "files", progress.files);
        json_object_set_new(answer, "look_again", doubts_json(log, fresh));
        gb_cli_print_json(answer);
    } else {
        if (!progress.said_safe)
            print_tally(&tally);
        print_survey(&tally);
        print_doubts(log, fresh);
    }
    if (!ok)
        return gb_cli_fail(error);
    return tally.left_out > 0 || tally.stopped || tally.survey.stopped || tally.survey.troubled > 0 || tally.total == 0 ? GB_EXIT_MISSING : GB_EXIT_DONE;
}

static int import(int argc, char **argv)
{
    g_autofree char *as = NULL;
    gboolean as_json = FALSE, later = FALSE, dry_run = FALSE;
    GOptionEntry entries[] = {
        { "later", 0, 0, G_OPTION_ARG_NONE, &later, "only make the photos safe; look at their pixels later", NULL },
        { "dry-run", 0, 0, G_OPTION_ARG_NONE, &dry_run, "only say what would be done; nothing is written", NULL },
        GB_CLI_JSON(as_json), GB_CLI_AS(as), { NULL },
    };
    if (!gb_cli_parse(&gb_cmd_import, entries, &argc, &argv, 2, -1))
        return GB_EXIT_ERROR;
    g_autoptr(GbLog) log = gb_cli_open(argv[1], dry_run ? GB_LOG_READ : GB_LOG_WRITE, as);
    if (log == NULL)
        return GB_EXIT_ERROR;
    return dry_run ? gb_cli_dry_run(log, (const char *const *)argv + 2, as_json) : run_import(log, argv + 2, as_json, later);
}
