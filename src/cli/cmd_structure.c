/* cmd_structure.c -- gablebook structure FOLDER [NAME]
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "command.h"

static int structure(int argc, char **argv);
const GbCommand gb_cmd_structure = {
    .name = "structure",
    .args = "FOLDER [NAME]",
    .what = "add or change a structure (garage, shed, fence ...), or list the places of the claim",
    .more = "Kinds: dwelling, garage, shed, barn, carport, fence, deck, other. Right is on the right hand of a person in the street who "
            "faces the front.\n\nExample:\n  gablebook structure FOLDER garage --elevations all --slopes left,right",
    .run = structure,
};

static json_t *text_or_null(const char *text)
{
    return text == NULL || *text == '\0' ? json_null() : json_string(text);
}

static json_t *places_json(const GPtrArray *places)
{
    json_t *list = json_array();
    for (guint i = 0; i < places->len; i++) {
        const GbPlace *place = places->pdata[i];
        gboolean faced = place->kind == GB_PLACE_ELEVATION || place->kind == GB_PLACE_SLOPE;
        json_array_append_new(list, json_pack("{ss ss ss so so so so}", "label", place->label, "title", place->title, "kind",
            gb_place_kind_word(place->kind), "structure", text_or_null(place->structure_name), "structure_kind",
            text_or_null(place->structure_kind), "face", text_or_null(faced ? gb_face_word(place->face) : NULL), "room",
            text_or_null(place->room)));
    }
    return list;
}

static void print_places(const GPtrArray *places)
{
    g_autoptr(GPtrArray) cells = g_ptr_array_new();
    g_ptr_array_add(cells, (char *)"type this");
    g_ptr_array_add(cells, (char *)"it means");
    for (guint i = 0; i < places->len; i++) {
        const GbPlace *place = places->pdata[i];
        g_ptr_array_add(cells, place->label);
        g_ptr_array_add(cells, place->title);
    }
    gb_cli_table(cells, 2);
}

static int list_places(const char *folder, gboolean as_json)
{
    GError *error = NULL;
    g_autoptr(GbLog) log = gb_cli_open(folder, GB_LOG_READ, NULL);
    if (log == NULL)
        return GB_EXIT_ERROR;
    g_autoptr(GPtrArray) places = gb_places_load(log, &error);
    if (places == NULL)
        return gb_cli_fail(error);
    if (as_json)
        gb_cli_print_json(places_json(places));
    else
        print_places(places);
    return GB_EXIT_DONE;
}

static int change(const char *folder, const char *as, const GbStructureEdit *edit, gboolean remove, gboolean as_json)
{
    GError *error = NULL;
    g_autofree char *summary = NULL;
    g_autoptr(GbLog) log = gb_cli_open(folder, GB_LOG_WRITE, as);
    if (log == NULL)
        return GB_EXIT_ERROR;
    if (remove ? !gb_structure_drop(log, edit->name, &error) : !gb_structure_edit(log, edit, &summary, &error))
        return gb_cli_fail(error);
    g_autofree char *said = remove ? g_strconcat(edit->name, ": taken out", NULL) : g_steal_pointer(&summary);
    return gb_cli_done(said, as_json);
}

static int contradiction(const char *what)
{
    return gb_cli_fail(g_error_new(GB_ERROR, GB_ERROR_SYNTAX, "structure: %s; nothing was changed", what));
}

static int structure(int argc, char **argv)
{
    g_autofree char *kind = NULL, *elevations = NULL, *slopes = NULL, *rooms = NULL, *as = NULL;
    gboolean remove = FALSE, as_json = FALSE;
    GOptionEntry entries[] = {
        { "kind", 0, 0, G_OPTION_ARG_STRING, &kind, "what it is (default: its name, if that is a kind)", "KIND" },
        { "elevations", 0, 0, G_OPTION_ARG_STRING, &elevations, "the walls it has: front,right,rear,left or all or none", "FACES" },
        { "slopes", 0, 0, G_OPTION_ARG_STRING, &slopes, "the roof slopes it has, likewise", "FACES" },
        { "rooms", 0, 0, G_OPTION_ARG_STRING, &rooms, "the rooms that matter, or none", "NAMES" },
        { "remove", 0, 0, G_OPTION_ARG_NONE, &remove, "take the structure out (nothing may belong to it any more)", NULL },
        GB_CLI_JSON(as_json),
        GB_CLI_AS(as),
        { NULL },
    };
    if (!gb_cli_parse(&gb_cmd_structure, entries, &argc, &argv, 1, 2))
        return GB_EXIT_ERROR;
    const GbStructureEdit edit = { argv[2], kind, elevations, slopes, rooms };
    gboolean says = kind != NULL || elevations != NULL || slopes != NULL || rooms != NULL;
    if (remove && says)
        return contradiction("--remove and what the structure is to have contradict each other");
    if (argc == 2 && (says || remove))
        return contradiction("say which structure, by its name: dwelling, garage ...");
    return argc == 2 ? list_places(argv[1], as_json) : change(argv[1], as, &edit, remove, as_json);
}
