/* cmd_each.c -- gablebook each DIR -- COMMAND
 *
 * Each claim is a process of its own: a claim that brings one down leaves the others alone, and what is run is what a person would type.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "command.h"

#include <sys/wait.h>
#include <unistd.h>

static int each(int argc, char **argv);
const GbCommand gb_cmd_each = {
    .name = "each",
    .args = "DIR -- check|report|verify|export [OPTION...]",
    .what = "run a command over all claims in a folder, and sum up",
    .more = "A worker for each processor. Claims stay apart: one that fails does not stop the others. Options after the command go to it, "
            "but for --out: each claim is written to where it is by itself.\n\n"
            "Examples:\n  gablebook each claims -- check\n  gablebook each claims -- report --picture-size 1600\n\n"
            "Exit status: the highest of all: 0 all done, 1 something is missing or differs, 2 error.",
    .run = each,
};

/* What may be run: it takes FOLDER first and changes nothing that a person said. */
static const struct {
    const char *name;
    gboolean paragraph; /* what sums it up is the first line of its last paragraph; else its last line */
} commands[] = { { "check", TRUE }, { "report", FALSE }, { "verify", FALSE }, { "export", FALSE } };

typedef struct {
    const char *folder;
    int status;
    char *out, *err;
} Run;

typedef struct {
    const char *program;
    char **words; /* the command and its options, NULL-terminated */
    GMutex lock;  /* guards done */
    guint done, all;
    gboolean on_terminal;
} Batch;

static void count(Batch *batch)
{
    g_mutex_lock(&batch->lock);
    batch->done++;
    if (batch->on_terminal)
        fprintf(stderr, "\r\033[K%u of %u", batch->done, batch->all);
    g_mutex_unlock(&batch->lock);
}

static void run_one(gpointer data, gpointer user)
{
    Run *run = data;
    Batch *batch = user;
    g_autoptr(GPtrArray) argv = g_ptr_array_new();
    g_ptr_array_add(argv, (char *)batch->program);
    for (char **word = batch->words; *word != NULL; word++) {
        g_ptr_array_add(argv, *word);
        if (word == batch->words)
            g_ptr_array_add(argv, (char *)run->folder);
    }
    g_ptr_array_add(argv, NULL);
    g_autoptr(GError) error = NULL;
    int wait_status = 0;
    if (!g_spawn_sync(NULL, (char **)argv->pdata, NULL, G_SPAWN_DEFAULT, NULL, NULL, &run->out, &run->err, &wait_status, &error)) {
        run->status = GB_EXIT_ERROR;
        run->err = g_strdup(error->message);
    } else if (WIFEXITED(wait_status))
        run->status = WEXITSTATUS(wait_status);
    else {
        run->status = GB_EXIT_ERROR;
        g_free(run->err);
        run->err = g_strdup_printf("was ended by signal %d", WTERMSIG(wait_status));
    }
    count(batch);
}

/* The line that sums up what a command said. OWNED by the caller. */
static char *summary_of(const Run *run, gboolean paragraph)
{
    const char *text = run->status >= GB_EXIT_ERROR && run->err != NULL && *run->err != '\0' ? run->err : run->out;
    g_autofree char *trimmed = g_strchomp(g_strdup(text != NULL ? text : ""));
    const char *from = text == run->out && paragraph ? g_strrstr(trimmed, "\n\n") : NULL;
    const char *last = from != NULL ? from + 2 : text == run->out && paragraph ? trimmed : strrchr(trimmed, '\n');
    last = last == NULL ? trimmed : last + strspn(last, "\n");
    g_autofree char *shown = g_filename_display_name(run->folder), *again = g_strconcat(shown, ": ", NULL);
    last += g_str_has_prefix(last, "gablebook: ") ? strlen("gablebook: ") : 0;
    last += g_str_has_prefix(last, again) ? strlen(again) : 0; /* stands before it already */
    return g_strndup(last, strcspn(last, "\n"));
}

static const char *mark(int status)
{
    return status == GB_EXIT_DONE ? "  done   " : status == GB_EXIT_MISSING ? "> LOOK   " : "> ERROR  ";
}

static void print_run(const Run *run, gboolean paragraph, gboolean full)
{
    g_autofree char *summary = summary_of(run, paragraph), *shown = g_filename_display_name(run->folder);
    GbCliPaint paint = run->status == GB_EXIT_DONE ? GB_PAINT_GOOD : GB_PAINT_BAD;
    printf("%s%s%s", gb_cli_paint(paint), mark(run->status), gb_cli_paint(GB_PAINT_PLAIN));
    gb_cli_printf("%s: %s\n", shown, summary);
    if (!full || run->out == NULL)
        return;
    g_auto(GStrv) lines = g_strsplit(g_strchomp(run->out), "\n", -1);
    for (char **line = lines; *line != NULL; line++)
        gb_cli_printf("         %s\n", *line);
}

static json_t *runs_json(const Run *runs, guint n, gboolean paragraph, const char *command)
{
    int counts[3] = { 0 };
    json_t *list = json_array();
    for (guint i = 0; i < n; i++) {
        g_autofree char *summary = summary_of(&runs[i], paragraph), *shown = g_filename_display_name(runs[i].folder);
        g_autofree char *out = g_utf8_make_valid(runs[i].out != NULL ? runs[i].out : "", -1), *says = g_utf8_make_valid(summary, -1);
        json_array_append_new(list, json_pack("{ss si ss ss}", "folder", shown, "status", runs[i].status, "summary", says, "output", out));
        counts[CLAMP(runs[i].status, 0, 2)]++;
    }
    return json_pack("{ss si si si so}", "command", command, "done", counts[0], "look", counts[1], "error", counts[2], "claims", list);
}

static int sum_up(const Run *runs, guint n, gboolean full, gboolean paragraph, const char *command, gboolean as_json)
{
    int worst = GB_EXIT_DONE;
    guint counts[3] = { 0 };
    for (guint i = 0; i < n; i++) {
        int status = CLAMP(runs[i].status, 0, 2);
        if (!as_json)
            print_run(&runs[i], paragraph, full);
        worst = MAX(worst, status);
        counts[status]++;
    }
    if (as_json)
        gb_cli_print_json(runs_json(runs, n, paragraph, command));
    else
        printf("%s: %u claim%s, %u done, %u to look at, %u with errors.\n", command, n, n == 1 ? "" : "s", counts[0], counts[1], counts[2]);
    return worst;
}

/* The program itself: not whatever has its name on the PATH now. OWNED by the caller. */
static char *own_program(void)
{
    char *path = g_file_read_link("/proc/self/exe", NULL);
    return path != NULL ? path : g_find_program_in_path("gablebook");
}

static int run_all(char **folders, char **words, gsize command, gboolean full, gboolean as_json)
{
    guint n = g_strv_length(folders);
    g_autofree Run *runs = g_new0(Run, n + 1);
    g_autofree char *program = own_program();
    if (program == NULL)
        return gb_cli_fail(g_error_new(GB_ERROR, GB_ERROR_IO, "each: this program can't find its own file; nothing was run"));
    Batch batch = { .program = program, .words = words, .all = n, .on_terminal = isatty(STDERR_FILENO) };
    g_mutex_init(&batch.lock);
    GThreadPool *pool = g_thread_pool_new(run_one, &batch, (gint)g_get_num_processors(), FALSE, NULL);
    for (guint i = 0; i < n; i++) {
        runs[i].folder = folders[i];
        g_thread_pool_push(pool, &runs[i], NULL);
    }
    g_thread_pool_free(pool, FALSE, TRUE);
    g_mutex_clear(&batch.lock);
    if (batch.on_terminal)
        fputs("\r\033[K", stderr);
    int status = sum_up(runs, n, full, commands[command].paragraph, commands[command].name, as_json);
    for (guint i = 0; i < n; i++) {
        g_free(runs[i].out);
        g_free(runs[i].err);
    }
    return status;
}

/* An option that names one file for all. */
static gboolean names_a_file(char **words)
{
    for (; *words != NULL; words++)
        if (g_str_has_prefix(*words, "-o") || strcmp(*words, "--out") == 0 || g_str_has_prefix(*words, "--out="))
            return TRUE;
    return FALSE;
}

static int each(int argc, char **argv)
{
    gboolean full = FALSE, as_json = FALSE;
    GOptionEntry entries[] = {
        { "full", 0, 0, G_OPTION_ARG_NONE, &full, "with all that the command said of each claim", NULL },
        GB_CLI_JSON(as_json),
        { NULL },
    };
    if (!gb_cli_parse(&gb_cmd_each, entries, &argc, &argv, 2, -1))
        return GB_EXIT_ERROR;
    GError *error = NULL;
    const char *names[G_N_ELEMENTS(commands)];
    for (gsize i = 0; i < G_N_ELEMENTS(commands); i++)
        names[i] = commands[i].name;
    gssize command = gb_word_find(argv[2], names, G_N_ELEMENTS(names), "command for each", &error);
    g_auto(GStrv) folders = command < 0 ? NULL : gb_desk_find(argv[1], &error);
    if (folders == NULL)
        return gb_cli_fail(error);
    if (names_a_file(argv + 3))
        return gb_cli_fail(g_error_new(GB_ERROR, GB_ERROR_SYNTAX, "each: with --out all claims would be written to one file; nothing was run"));
    argv[2] = (char *)names[command];
    return run_all(folders, argv + 2, (gsize)command, full, as_json);
}
