/* cmd_roof.c -- gablebook roof FOLDER [WHERE SHAPE]
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "command.h"

#include <math.h>

static int roof(int argc, char **argv);
const GbCommand gb_cmd_roof = {
    .name = "roof",
    .args = "FOLDER [WHERE SHAPE]",
    .what = "enter what was measured of the roofs, or list areas and lengths",
    .more = "A slope: rectangle, triangle, trapezoid or parallelogram, from eave, ridge and the way straight up the slope, or with its run seen from "
            "above and its pitch in place of the latter. Left and right are yours as you look at it from outside; what its edges are is usual for the "
            "shape where nothing else is said. A whole roof on a "
            "rectangle: gable, hip or dutch gable, from the walls' width and depth, the pitch and the overhangs.\n\n"
            "Lengths: 40ft, 16ft9in, 16'9\", 16 ft 9 1/2 in, 5.1 m. Pitches: 6/12, 7 1/2:12, 32 deg.\n\n"
            "Examples:\n"
            "  gablebook roof FOLDER dwelling hip --width 40ft --depth 30ft --pitch 6/12\n"
            "  gablebook roof FOLDER 'rear slope' rectangle --eave 40ft --up 16ft9in\n"
            "  gablebook roof FOLDER front triangle --cut-out --eave 20ft --up 11ft2in\n"
            "  gablebook roof FOLDER --change 1 --pitch 7/12\n"
            "  gablebook roof FOLDER --change 3 --sides usual --no-cut-out\n"
            "  gablebook roof FOLDER --waste 12 --steep '7/12, 10/12'",
    .run = roof,
};

enum { CAUTION_COLUMNS = 100 };

/* --- showing --- */

static void add_cell(GPtrArray *cells, char *taken)
{
    g_ptr_array_add(cells, taken);
}

/* "eave 40 ft, up 16'9\", left side valley" as typed; what it normalises to is in the table of slopes. */
static char *given_text(const GbRoofEntry *entry)
{
    GString *text = g_string_new(NULL);
    for (guint g = 0; g < GB_ROOF_GIVENS; g++)
        if (entry->given[g].text != NULL)
            g_string_append_printf(text, "%s%s %s", text->len > 0 ? ", " : "", gb_roof_given_word((GbRoofGiven)g), entry->given[g].text);
    g_autofree char *unusual = gb_roof_entry_unusual_text(entry);
    if (unusual != NULL)
        g_string_append_printf(text, ", %s", unusual);
    return g_string_free(text, FALSE);
}

static void print_entries(const GbRoof *measured)
{
    g_autoptr(GPtrArray) cells = g_ptr_array_new_with_free_func(g_free);
    const char *const head[] = { "entry", "where", "shape", "measured" };
    for (guint i = 0; i < G_N_ELEMENTS(head); i++)
        add_cell(cells, g_strdup(head[i]));
    for (guint i = 0; i < measured->entries->len; i++) {
        const GbRoofEntry *entry = measured->entries->pdata[i];
        g_autofree char *where = gb_roofs_where(entry);
        gboolean main_section = g_ascii_strcasecmp(entry->section, "main") == 0, whole = gb_roof_shape_is_whole(entry->shape);
        add_cell(cells, g_strdup_printf("%" G_GINT64_FORMAT, entry->id));
        add_cell(cells, main_section ? g_strdup(where) : g_strdup_printf("%s (%s)", where, entry->section));
        add_cell(cells, g_strdup_printf("%s%s%s", gb_roof_shape_word(entry->shape), whole ? " roof" : "", entry->cut_out ? ", cut out" : ""));
        add_cell(cells, given_text(entry));
    }
    gb_cli_table(cells, G_N_ELEMENTS(head));
}

/* "eave 40' 0\", hip 22' 6\", ridge 10' 0\", hip 22' 6\"" */
static char *edges_text(const GbRoofSlope *slope, GbUnits units)
{
    GString *text = g_string_new(NULL);
    for (guint e = 0; e < slope->n; e++) {
        g_autofree char *length = gb_length_text(slope->edges[e].length_in, units);
        g_string_append_printf(text, "%s%s %s", e > 0 ? ", " : "", gb_edge_word(slope->edges[e].kind), length);
    }
    return g_string_free(text, FALSE);
}

static char *pitch_text(const GbRoofSlope *slope)
{
    if (isnan(slope->pitch))
        return g_strdup("not known");
    g_autofree char *pitch = gb_pitch_text(slope->pitch);
    return g_strconcat(pitch, slope->band >= 0 ? " steep" : "", NULL);
}

static void print_slopes(const GbRoof *measured, gint64 structure, GbUnits units)
{
    g_autoptr(GPtrArray) cells = g_ptr_array_new_with_free_func(g_free);
    const char *const head[] = { "no", "slope", "entry", "pitch", "up", "area", "edges, from the lower one to the right" };
    guint number = 0;
    for (guint i = 0; i < G_N_ELEMENTS(head); i++)
        add_cell(cells, g_strdup(head[i]));
    for (guint i = 0; i < measured->slopes->len; i++) {
        const GbRoofSlope *slope = measured->slopes->pdata[i];
        if (slope->structure != structure)
            continue;
        g_autofree char *area = gb_area_text(slope->area_sqft, units);
        add_cell(cells, g_strdup_printf("%u", ++number));
        add_cell(cells, g_strdup(slope->label));
        add_cell(cells, g_strdup_printf("%" G_GINT64_FORMAT, slope->entry->id));
        add_cell(cells, pitch_text(slope));
        add_cell(cells, gb_length_text(slope->up_in, units));
        add_cell(cells, g_strconcat(slope->cut_out ? "-" : "", area, NULL));
        add_cell(cells, edges_text(slope, units));
    }
    gb_cli_table(cells, G_N_ELEMENTS(head));
}

static double amount_of(const GbRoof *measured, gint64 structure, GbRoofQuantity quantity)
{
    double amount = NAN;
    return gb_roof_quantity(measured, structure, 0, quantity, &amount, NULL) ? amount : (double)NAN;
}

static void print_area(const GbRoof *measured, gint64 structure, GbUnits units)
{
    double area = amount_of(measured, structure, GB_QUANTITY_AREA);
    g_autofree char *shown = gb_area_text(area, units), *squares = gb_squares_text(area);
    gb_cli_printf("Area %s = %s squares", shown, squares);
    if (!isnan(measured->settings.waste_percent)) {
        double more = amount_of(measured, structure, GB_QUANTITY_AREA_WITH_WASTE);
        g_autofree char *percent = gb_number_text(measured->settings.waste_percent, 3), *shown_more = gb_area_text(more, units),
                        *squares_more = gb_squares_text(more);
        gb_cli_printf("; with %s %% waste %s = %s squares", percent, shown_more, squares_more);
    }
    putchar('\n');
}

static void print_lengths(const GbRoof *measured, gint64 structure, GbUnits units)
{
    const char *between = "";
    for (guint q = GB_QUANTITY_EAVES; q < GB_QUANTITIES; q++) {
        double feet;
        if (!gb_roof_quantity_worth_listing(measured, structure, (GbRoofQuantity)q, &feet))
            continue;
        g_autofree char *text = gb_length_text(feet * 12, units);
        gb_cli_printf("%s%s %s", between, gb_roof_quantity_word((GbRoofQuantity)q), text);
        between = "; ";
    }
    putchar('\n');
}

static void print_bands(const GbRoof *measured, gint64 structure, GbUnits units)
{
    for (guint b = 0; b < measured->settings.n_bands; b++) {
        double area = gb_roof_band_area_sqft(measured, structure, b);
        g_autofree char *band = gb_steep_band_text(&measured->settings.bands[b]), *text = gb_area_text(area, units);
        if (area > 0)
            gb_cli_printf("Steep, %s: %s\n", band, text);
    }
}

static void print_faults(const GbRoof *measured, gint64 structure)
{
    gboolean any = FALSE;
    for (guint i = 0; i < measured->faults->len; i++) {
        const GbRoofFault *fault = measured->faults->pdata[i];
        if (fault->structure != structure)
            continue;
        if (!any)
            puts("Doesn't fit together yet:");
        any = TRUE;
        gb_cli_printf("> %s\n", fault->text);
    }
}

static const char *name_of(const GbRoof *measured, gint64 structure)
{
    for (guint i = 0; i < measured->entries->len; i++)
        if (((const GbRoofEntry *)measured->entries->pdata[i])->structure == structure)
            return ((const GbRoofEntry *)measured->entries->pdata[i])->structure_name;
    return "";
}

/* Words wrapped to what a page or terminal holds. */
static void print_wrapped(const char *text)
{
    int width = gb_cli_width();
    gsize columns = width > 20 && width < CAUTION_COLUMNS ? (gsize)width : CAUTION_COLUMNS, at = 0;
    g_auto(GStrv) words = g_strsplit(text, " ", -1);
    for (char **word = words; *word != NULL; word++) {
        gsize n = strlen(*word);
        if (at > 0 && at + 1 + n > columns) {
            putchar('\n');
            at = 0;
        }
        gb_cli_printf("%s%s", at > 0 ? " " : "", *word);
        at += n + (at > 0);
    }
    putchar('\n');
}

static void print_roof(const GbRoof *measured, GbUnits units)
{
    if (measured->entries->len == 0) {
        puts("Nothing is measured yet; gablebook roof --help shows how to enter it.");
        return;
    }
    print_entries(measured);
    g_autoptr(GArray) structures = gb_roof_structures(measured);
    for (guint i = 0; i < structures->len; i++) {
        gint64 structure = g_array_index(structures, gint64, i);
        putchar('\n');
        gb_cli_printf("Roof of the %s\n", name_of(measured, structure));
        if (!isnan(amount_of(measured, structure, GB_QUANTITY_AREA))) {
            print_slopes(measured, structure, units);
            print_area(measured, structure, units);
            print_lengths(measured, structure, units);
            print_bands(measured, structure, units);
        }
        print_faults(measured, structure);
    }
    if (gb_roof_is_steep(measured, 0)) {
        putchar('\n');
        print_wrapped(gb_roof_steep_caution());
    }
}

/* --- the plan as a file --- */

static gboolean write_plan(const GbRoof *measured, const char *where, const char *path, GbUnits units, GError **error)
{
    g_autoptr(GArray) structures = gb_roof_structures(measured);
    if (structures->len == 0) {
        g_set_error(error, GB_ERROR, GB_ERROR_STATE, "nothing is measured yet, so there is no plan to draw; %s was not written", path);
        return FALSE;
    }
    g_autofree const char **names = g_new(const char *, structures->len);
    for (guint i = 0; i < structures->len; i++)
        names[i] = name_of(measured, g_array_index(structures, gint64, i));
    gssize found = where == NULL ? 0 : gb_word_find(where, names, structures->len, "structure with a measured roof", error);
    if (found < 0)
        return FALSE;
    g_autofree char *title = g_strdup_printf("Roof of the %s, seen from above", names[found]);
    g_autofree char *svg = gb_roof_plan_svg(measured, g_array_index(structures, gint64, found), title, units);
    if (svg == NULL) {
        g_set_error(error, GB_ERROR, GB_ERROR_STATE, "nothing of the %s can be drawn; %s was not written", names[found], path);
        return FALSE;
    }
    g_autoptr(GbFileWriter) out = gb_file_writer_new(path, 0644, error);
    return out != NULL && gb_file_writer_add(out, svg, strlen(svg), error) && gb_file_writer_finish(out, error);
}

/* --- the command --- */

typedef struct {
    GbEnter enter;
    char *where, *shape, *section, *sides, *left_side, *right_side, *top, *bottom, *ridge_runs, *given[GB_ROOF_GIVENS];
    char *waste, *steep, *plan, *as;
    gboolean cut_out, no_cut_out, as_json, metric;
    int change, remove;
} Words;

static void clear_words(Words *words)
{
    char **const texts[] = { &words->where, &words->shape, &words->section, &words->sides, &words->left_side, &words->right_side, &words->top,
                             &words->bottom, &words->ridge_runs, &words->waste, &words->steep, &words->plan, &words->as };
    for (guint i = 0; i < G_N_ELEMENTS(texts); i++)
        g_clear_pointer(texts[i], g_free);
    for (guint g = 0; g < GB_ROOF_GIVENS; g++)
        g_clear_pointer(&words->given[g], g_free);
}
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(Words, clear_words)

/* As asked for, else as the person's settings say. */
static gboolean choose_units(gboolean metric, GbUnits *units, GError **error)
{
    g_autoptr(GbSettings) settings = gb_settings_load(error);
    const char *set = settings == NULL ? NULL : gb_settings_get(settings, "units");
    *units = metric || g_strcmp0(set, "metres") == 0 ? GB_UNITS_METRES : GB_UNITS_FEET;
    return settings != NULL;
}

static int show(const char *folder, const Words *words, const char *where)
{
    GError *error = NULL;
    GbUnits units;
    if (!choose_units(words->metric, &units, &error))
        return gb_cli_fail(error);
    g_autoptr(GbLog) log = gb_cli_open(folder, GB_LOG_READ, NULL);
    if (log == NULL)
        return GB_EXIT_ERROR;
    g_autoptr(GPtrArray) places = gb_places_load(log, &error);
    g_autoptr(GbRoof) measured = places == NULL ? NULL : gb_roofs_load(log, places, &error);
    if (measured == NULL || (words->plan != NULL && !write_plan(measured, where, words->plan, units, &error)))
        return gb_cli_fail(error);
    if (words->plan != NULL)
        gb_cli_printf("%s\n", words->plan);
    else if (words->as_json)
        gb_cli_print_json(gb_roof_json(measured));
    else
        print_roof(measured, units);
    return GB_EXIT_DONE;
}

static gboolean concerns(const GbRoof *measured, const GbRoofFault *fault, gint64 entry)
{
    for (guint i = 0; i < G_N_ELEMENTS(fault->slopes); i++)
        if (fault->slopes[i] >= 0 && ((const GbRoofSlope *)measured->slopes->pdata[fault->slopes[i]])->entry->id == entry)
            return TRUE;
    return FALSE;
}

/* What doesn't fit is best told while the tape is still out: in full where it is about what was just entered. */
static gboolean print_after(GbLog *log, const char *folder, gint64 entry, GError **error)
{
    g_autoptr(GPtrArray) places = gb_places_load(log, error);
    g_autoptr(GbRoof) measured = places == NULL ? NULL : gb_roofs_load(log, places, error);
    guint others = 0;
    if (measured == NULL)
        return FALSE;
    for (guint i = 0; i < measured->faults->len; i++) {
        const GbRoofFault *fault = measured->faults->pdata[i];
        if (concerns(measured, fault, entry))
            gb_cli_printf("> %s\n", fault->text);
        else
            others++;
    }
    if (others > 0)
        gb_cli_printf("Elsewhere, %u measurement%s not fit yet: gablebook roof %s\n", others, others == 1 ? " does" : "s do", folder);
    return TRUE;
}

static int store(const char *folder, Words *words)
{
    GError *error = NULL;
    g_autofree char *summary = NULL, *settings = NULL;
    gint64 entry = 0;
    g_autoptr(GbLog) log = gb_cli_open(folder, GB_LOG_WRITE, words->as);
    if (log == NULL)
        return GB_EXIT_ERROR;
    gboolean setting = words->waste != NULL || words->steep != NULL;
    if (setting && !gb_enter_settings(log, words->waste, words->steep, &settings, &error))
        return gb_cli_fail(error);
    if (!setting && (words->remove != 0 ? !gb_enter_remove(log, words->remove, &summary, &error)
                                        : !gb_enter_roof(log, &words->enter, &entry, &summary, &error)))
        return gb_cli_fail(error);
    gb_cli_printf("%s\n", setting ? settings : summary);
    return setting || print_after(log, folder, entry, &error) ? GB_EXIT_DONE : gb_cli_fail(error);
}

/* "hip, valley": left and right; "hip": both. */
static gboolean split_sides(Words *words, GError **error)
{
    if (words->sides == NULL)
        return TRUE;
    g_auto(GStrv) sides = g_strsplit(words->sides, ",", -1);
    guint n = g_strv_length(sides);
    if (n < 1 || n > 2) {
        g_set_error(error, GB_ERROR, GB_ERROR_SYNTAX, "--sides wants one word, or two for left and right like 'hip, valley'; nothing was changed");
        return FALSE;
    }
    words->left_side = g_strstrip(g_strdup(sides[0]));
    words->right_side = g_strstrip(g_strdup(sides[n - 1]));
    return TRUE;
}

/* The words as the verb wants them; says whether there is anything to enter. */
static gboolean fill_enter(Words *words)
{
    GbEnter *enter = &words->enter;
    *enter = (GbEnter){ .change = words->change, .where = words->where, .shape = words->shape, .section = words->section,
                        .left_side = words->left_side, .right_side = words->right_side, .top = words->top, .bottom = words->bottom,
                        .cut_out = words->cut_out ? GB_CUT_OUT : words->no_cut_out ? GB_CUT_OUT_NOT : GB_CUT_OUT_KEEP,
                        .ridge_runs = words->ridge_runs };
    gboolean any = words->shape != NULL || words->change != 0 || words->section != NULL || words->sides != NULL || words->top != NULL ||
                   words->bottom != NULL || words->cut_out || words->no_cut_out || words->ridge_runs != NULL;
    for (guint g = 0; g < GB_ROOF_GIVENS; g++) {
        enter->given[g] = words->given[g];
        any = any || words->given[g] != NULL;
    }
    return any;
}

static int refuse(const char *why)
{
    return gb_cli_fail(g_error_new(GB_ERROR, GB_ERROR_SYNTAX, "roof: %s; nothing was changed", why));
}

static int dispatch(int argc, char **argv, Words *words)
{
    GError *error = NULL;
    if (!split_sides(words, &error))
        return gb_cli_fail(error);
    gboolean reading = words->plan != NULL || words->as_json || words->metric, setting = words->waste != NULL || words->steep != NULL;
    if (!reading) {
        words->where = argc > 2 ? g_strdup(argv[2]) : NULL;
        words->shape = argc > 3 ? g_strdup(argv[3]) : NULL;
    }
    gboolean entering = fill_enter(words) || (argc > 2 && !reading);
    if (reading + setting + entering + (words->remove != 0) > 1)
        return refuse("enter, --change, --remove, settings and showing are one thing at a time");
    if (reading || (!setting && !entering && words->remove == 0))
        return show(argv[1], words, argc > 2 ? argv[2] : NULL);
    if (entering && words->change == 0 && (words->where == NULL || words->shape == NULL))
        return refuse("say where it is and which shape it has, as in 'rear slope' rectangle");
    if (words->cut_out && words->no_cut_out)
        return refuse("--cut-out and --no-cut-out contradict each other");
    if (words->change < 0 || words->remove < 0)
        return refuse("entries are numbered from 1");
    return store(argv[1], words);
}

static int roof(int argc, char **argv)
{
    g_auto(Words) words = { 0 };
    GOptionEntry entries[] = {
        { "eave", 0, 0, G_OPTION_ARG_STRING, &words.given[GB_GIVEN_EAVE], "the lower edge of the slope", "LENGTH" },
        { "ridge", 0, 0, G_OPTION_ARG_STRING, &words.given[GB_GIVEN_RIDGE], "its upper edge", "LENGTH" },
        { "up", 0, 0, G_OPTION_ARG_STRING, &words.given[GB_GIVEN_UP], "straight up the slope, along the surface", "LENGTH" },
        { "run", 0, 0, G_OPTION_ARG_STRING, &words.given[GB_GIVEN_RUN], "the same seen from above", "LENGTH" },
        { "pitch", 0, 0, G_OPTION_ARG_STRING, &words.given[GB_GIVEN_PITCH], "rise in 12, or degrees", "PITCH" },
        { "left", 0, 0, G_OPTION_ARG_STRING, &words.given[GB_GIVEN_LEFT], "its left side", "LENGTH" },
        { "right", 0, 0, G_OPTION_ARG_STRING, &words.given[GB_GIVEN_RIGHT], "its right side", "LENGTH" },
        { "sides", 0, 0, G_OPTION_ARG_STRING, &words.sides, "what they are: rake, hip, valley, wall, usual; or two, left and right", "WORDS" },
        { "top", 0, 0, G_OPTION_ARG_STRING, &words.top, "what the upper edge is: ridge, break, wall, high edge, usual", "WORD" },
        { "bottom", 0, 0, G_OPTION_ARG_STRING, &words.bottom, "what the lower edge is: eave, break, wall, usual", "WORD" },
        { "cut-out", 0, 0, G_OPTION_ARG_NONE, &words.cut_out, "not roof but taken out of it: under a wing, a skylight", NULL },
        { "no-cut-out", 0, 0, G_OPTION_ARG_NONE, &words.no_cut_out, "roof after all (with --change)", NULL },
        { "width", 0, 0, G_OPTION_ARG_STRING, &words.given[GB_GIVEN_WIDTH], "whole roof: the walls along the street", "LENGTH" },
        { "depth", 0, 0, G_OPTION_ARG_STRING, &words.given[GB_GIVEN_DEPTH], "whole roof: the walls from front to rear", "LENGTH" },
        { "overhang", 0, 0, G_OPTION_ARG_STRING, &words.given[GB_GIVEN_OVERHANG], "beyond the walls, level", "LENGTH" },
        { "rake-overhang", 0, 0, G_OPTION_ARG_STRING, &words.given[GB_GIVEN_RAKE_OVERHANG], "at the rakes, where it differs", "LENGTH" },
        { "gablet", 0, 0, G_OPTION_ARG_STRING, &words.given[GB_GIVEN_GABLET], "dutch gable: from the end eave in to the small gable", "LENGTH" },
        { "ridge-runs", 0, 0, G_OPTION_ARG_STRING, &words.ridge_runs, "along the street, front to rear; usual: along the longer walls", "WAY" },
        { "section", 0, 0, G_OPTION_ARG_STRING, &words.section, "which part of the roof (default: main)", "NAME" },
        { "change", 0, 0, G_OPTION_ARG_INT, &words.change, "change that entry; a measurement 'none' takes it back", "ENTRY" },
        { "remove", 0, 0, G_OPTION_ARG_INT, &words.remove, "take that entry out", "ENTRY" },
        { "waste", 0, 0, G_OPTION_ARG_STRING, &words.waste, "your own percentage, or none", "PERCENT" },
        { "steep", 0, 0, G_OPTION_ARG_STRING, &words.steep, "pitches from which on slopes are called out (default: over 4/12)", "PITCHES" },
        { "plan", 0, 0, G_OPTION_ARG_FILENAME, &words.plan, "draw the roof (of the structure named, else the first) into an SVG file", "FILE" },
        { "metric", 0, 0, G_OPTION_ARG_NONE, &words.metric, "show metres (always: gablebook settings units metres)", NULL },
        { "json", 0, 0, G_OPTION_ARG_NONE, &words.as_json, "as JSON", NULL },
        GB_CLI_AS(words.as),
        { NULL },
    };
    return gb_cli_parse(&gb_cmd_roof, entries, &argc, &argv, 1, 3) ? dispatch(argc, argv, &words) : GB_EXIT_ERROR;
}
