/* cmd_check.c -- gablebook check FOLDER
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "command.h"

static int check(int argc, char **argv);
const GbCommand gb_cmd_check = {
    .name = "check",
    .args = "FOLDER",
    .what = "say what is there, what is missing and what was waived, along the walk",
    .more = "Exit status: 0 nothing required is missing or weak (blurred, badly exposed), 1 something is, 2 error.",
    .run = check,
};

static const char *mark(GbCheckState state)
{
    static const char *const marks[] = { "  there   ", "> MISSING ", "  advised ", "  waived  ", "> WEAK    " };
    return marks[state];
}

static GbCliPaint paint(GbCheckState state)
{
    static const GbCliPaint paints[] = { GB_PAINT_GOOD, GB_PAINT_BAD, GB_PAINT_DIM, GB_PAINT_DIM, GB_PAINT_BAD };
    return paints[state];
}

/* The label comes first: it is what waive wants to hear. */
static void print_line(const GbCheckLine *line)
{
    g_autofree char *shots = gb_numbers_text(&g_array_index(line->shots, gint64, 0), line->shots->len);
    fputs(gb_cli_paint(paint(line->state)), stdout);
    fputs(mark(line->state), stdout);
    fputs(gb_cli_paint(GB_PAINT_PLAIN), stdout);
    gb_cli_print(line->label);
    if (line->shots->len > 0)
        gb_cli_printf(" [%s]", shots);
    if (line->state == GB_CHECK_WAIVED)
        gb_cli_printf(": %s (%s)", line->waived_why, line->waived_who);
    else if (line->lacks != NULL)
        gb_cli_printf(": %s", line->lacks);
    putchar('\n');
    if (line->state == GB_CHECK_MISSING)
        gb_cli_printf("            %s\n", line->what);
}

/* Lines in walk order, a heading where the group changes; of what is there only when asked for. */
static void print_lines(const GbCheck *found, gboolean all)
{
    const char *group = NULL;
    for (guint i = 0; i < found->lines->len; i++) {
        const GbCheckLine *line = found->lines->pdata[i];
        if (!all && line->state == GB_CHECK_THERE)
            continue;
        if (group != NULL && strcmp(group, line->group) != 0)
            putchar('\n');
        if (g_strcmp0(group, line->group) != 0)
            gb_cli_printf("%s\n", line->group);
        group = line->group;
        print_line(line);
    }
    if (group != NULL)
        putchar('\n');
}

/* What contradicts itself, and what has no proof: a person decides. */
static void print_points(const GbCheck *found)
{
    if (found->points->len > 0)
        puts("To look at");
    for (guint i = 0; i < found->points->len; i++) {
        const GbPoint *point = found->points->pdata[i];
        gb_cli_printf("%s%s\n", point->contradiction ? "> DIFFERS " : "  unproven ", point->text);
    }
    if (found->points->len > 0)
        putchar('\n');
}

static void print_end(const GbDossier *dossier)
{
    const GbCheck *found = dossier->check;
    gb_cli_printf("%s: %u there, %u missing, %u weak, %u advised, %u waived.\n", gb_checklist_title(dossier->checklist), found->there,
                  found->missing, found->weak, found->advised, found->waived);
    if (found->unplaced > 0)
        printf("%u shot%s no place yet (gablebook list FOLDER --place '').\n", found->unplaced, found->unplaced == 1 ? " has" : "s have");
    if (found->unnamed > 0)
        printf("%u shot%s no subject yet (gablebook list FOLDER --subject '').\n", found->unnamed, found->unnamed == 1 ? " has" : "s have");
    if (found->unproved > 0)
        printf("%u finding%s no photo (gablebook finding FOLDER).\n", found->unproved, found->unproved == 1 ? " has" : "s have");
    if (found->unwritten > 0)
        printf("%u shot%s damage and belong%s to no finding.\n", found->unwritten, found->unwritten == 1 ? " shows" : "s show",
               found->unwritten == 1 ? "s" : "");
    if (!gb_check_complete(found))
        printf("%sNot complete.%s\n", gb_cli_paint(GB_PAINT_BAD), gb_cli_paint(GB_PAINT_PLAIN));
    else
        printf("%sComplete: nothing that is required is missing.%s\n", gb_cli_paint(GB_PAINT_GOOD), gb_cli_paint(GB_PAINT_PLAIN));
}

/* The list for the driveway. */
static void print_leaving(const GbDossier *dossier, const GPtrArray *items)
{
    const GbLeavingItem *before = NULL;
    gboolean warned = FALSE;
    for (guint i = 0; i < items->len; i++) {
        const GbLeavingItem *item = items->pdata[i];
        if (before != NULL && strcmp(before->stop, item->stop) != 0)
            putchar('\n');
        if (before == NULL || strcmp(before->stop, item->stop) != 0)
            gb_cli_printf("%s\n", item->stop);
        if (item->on_roof && !warned)
            puts("  (Only where it is safe. Steep, wet, in gusts, thunder: from the ladder or the ground, or waive it with the reason.)");
        warned = warned || item->on_roof;
        gb_cli_printf("%s%s\n", item->required ? "  [ ] " : "  if you can: ", item->todo);
        before = item;
    }
    if (items->len > 0)
        putchar('\n');
    if (dossier->check->unplaced + dossier->check->unnamed > 0)
        puts("Shots without a place or a subject count for nothing here; tag them first.");
    printf("Ready to leave: %s\n", gb_leaving_ready(items) ? "yes" : "no");
}

static int leaving(const GbDossier *dossier, gboolean as_json)
{
    g_autoptr(GPtrArray) items = gb_leaving(dossier);
    if (as_json)
        gb_cli_print_json(gb_leaving_json(items));
    else
        print_leaving(dossier, items);
    return gb_leaving_ready(items) ? GB_EXIT_DONE : GB_EXIT_MISSING;
}

static int check(int argc, char **argv)
{
    gboolean as_json = FALSE, short_list = FALSE, before_leaving = FALSE;
    GOptionEntry entries[] = {
        { "short", 0, 0, G_OPTION_ARG_NONE, &short_list, "without the lines of what is there", NULL },
        { "leaving", 0, 0, G_OPTION_ARG_NONE, &before_leaving, "what is left to do on the spot, in walking order; ends in yes or no", NULL },
        { "json", 0, 0, G_OPTION_ARG_NONE, &as_json, "as JSON", NULL },
        { NULL },
    };
    if (!gb_cli_parse(&gb_cmd_check, entries, &argc, &argv, 1, 1))
        return GB_EXIT_ERROR;
    GError *error = NULL;
    g_autoptr(GbLog) log = gb_cli_open(argv[1], GB_LOG_READ, NULL);
    if (log == NULL || !gb_cli_look(log))
        return GB_EXIT_ERROR;
    g_autoptr(GbDossier) dossier = gb_dossier_load(log, &error);
    if (dossier == NULL)
        return gb_cli_fail(error);
    if (before_leaving)
        return leaving(dossier, as_json);
    if (as_json)
        gb_cli_print_json(gb_check_json(dossier->check, dossier->checklist));
    else {
        print_lines(dossier->check, !short_list);
        print_points(dossier->check);
        print_end(dossier);
    }
    return gb_check_complete(dossier->check) ? GB_EXIT_DONE : GB_EXIT_MISSING;
}
