/* cmd_suggest.c -- gablebook suggest FOLDER
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "command.h"

#include <math.h>

static int suggest(int argc, char **argv);
const GbCommand gb_cmd_suggest = {
    .name = "suggest",
    .args = "FOLDER",
    .what = "tell where the shots without a place seem to belong, and why",
    .more = "Suggestions come from the compass, the position and the order of the walk; each shot that you tag teaches the others. First say "
            "what stands on the property (gablebook structure) and tag a shot or two of each slope; then look through the list, and accept. Only "
            "--accept changes anything, one undo takes it back, and a place that a person gave is never touched.\n\n"
            "Example:\n  gablebook suggest FOLDER --accept 0.9     (nine in ten of these are right, or more)",
    .run = suggest,
};

#define COLUMNS 5

#define UNSURE_DEG 20 /* an estimate of the front no better than that can make a neighbour of every wall */

static void print_house(const GbSuggestions *all, const GbClaim *claim)
{
    if (!isnan(claim->front_azimuth_deg) || isnan(all->house.front_azimuth_deg))
        return;
    double azimuth = fmod(round(all->house.front_azimuth_deg), 360);
    gb_cli_printf("The front seems to face %s, %.0f degrees, give or take %.0f.%s\n", gb_compass_point(azimuth), azimuth,
                  ceil(all->house.front_spread_deg), all->house.front_spread_deg > UNSURE_DEG
                  ? " That is not sure: say it with  gablebook edit FOLDER --front-azimuth DEGREES" : "");
}

static void print_table(const GbDossier *dossier, const GbSuggestions *all)
{
    static const char *const head[COLUMNS] = { "shot", "place", "sure", "distance", "because" };
    g_autoptr(GPtrArray) cells = g_ptr_array_new_with_free_func(g_free);
    for (guint i = 0; i < COLUMNS; i++)
        g_ptr_array_add(cells, g_strdup(head[i]));
    for (guint i = 0; i < all->suggestions->len; i++) {
        const GbSuggestion *suggestion = all->suggestions->pdata[i];
        const GbPlace *place = gb_places_by_id(dossier->places, suggestion->place);
        const char *distance = gb_distance_word(suggestion->distance);
        g_ptr_array_add(cells, g_strdup_printf("%" G_GINT64_FORMAT, suggestion->number));
        g_ptr_array_add(cells, g_strdup(place == NULL ? "can't tell" : place->label));
        g_ptr_array_add(cells, place == NULL ? g_strdup("-") : g_strdup_printf("%.0f %%", floor(100 * suggestion->confidence)));
        g_ptr_array_add(cells, g_strdup(*distance ? distance : "-"));
        g_ptr_array_add(cells, g_strdup(suggestion->reason));
    }
    gb_cli_table(cells, COLUMNS);
}

static json_t *suggestions_json(const GbDossier *dossier, const GbSuggestions *all)
{
    json_t *list = json_array();
    for (guint i = 0; i < all->suggestions->len; i++) {
        const GbSuggestion *suggestion = all->suggestions->pdata[i];
        const GbPlace *place = gb_places_by_id(dossier->places, suggestion->place);
        const char *distance = gb_distance_word(suggestion->distance);
        json_array_append_new(list, json_pack("{sI so sf so sf ss}", "number", (json_int_t)suggestion->number, "place",
            place == NULL ? json_null() : json_string(place->label), "confidence", suggestion->confidence, "distance",
            *distance ? json_string(distance) : json_null(), "distance_confidence", suggestion->distance_confidence, "reason",
            suggestion->reason));
    }
    json_t *front = isnan(all->house.front_azimuth_deg) ? json_null()
        : json_pack("{sf sf sb}", "azimuth_deg", all->house.front_azimuth_deg, "spread_deg", all->house.front_spread_deg, "said",
                    !isnan(dossier->claim->front_azimuth_deg));
    return json_pack("{so so so}", "suggestions", list, "front", front, "caution", all->caution ? json_string(all->caution) : json_null());
}

static int show(GbLog *log, gboolean as_json)
{
    GError *error = NULL;
    g_autoptr(GbDossier) dossier = gb_dossier_load(log, &error);
    g_autoptr(GbSuggestions) all = dossier == NULL ? NULL : gb_suggest(dossier, &error);
    if (all == NULL)
        return gb_cli_fail(error);
    if (as_json)
        gb_cli_print_json(suggestions_json(dossier, all));
    else if (all->suggestions->len == 0)
        puts("Every shot has a place.");
    else {
        print_table(dossier, all);
        print_house(all, dossier->claim);
        if (all->caution != NULL)
            gb_cli_printf("Caution: %s.\n", all->caution);
    }
    return GB_EXIT_DONE;
}

static int accept(GbLog *log, double confidence, gboolean as_json)
{
    GError *error = NULL;
    guint n = 0;
    if (!gb_suggest_accept(log, confidence, &n, &error))
        return gb_cli_fail(error);
    g_autofree char *said = g_strdup_printf("%u shot%s placed.", n, n == 1 ? "" : "s");
    return gb_cli_done(said, as_json);
}

static int suggest(int argc, char **argv)
{
    g_autofree char *confidence = NULL, *as = NULL;
    gboolean as_json = FALSE;
    GOptionEntry entries[] = {
        { "accept", 0, 0, G_OPTION_ARG_STRING, &confidence, "take those of at least this confidence, 0.5 to 1, as places", "0.9" },
        { "json", 0, 0, G_OPTION_ARG_NONE, &as_json, "as JSON", NULL },
        GB_CLI_AS(as),
        { NULL },
    };
    if (!gb_cli_parse(&gb_cmd_suggest, entries, &argc, &argv, 1, 1))
        return GB_EXIT_ERROR;
    char *end = NULL;
    double least = confidence == NULL ? 0 : g_ascii_strtod(confidence, &end);
    if (confidence != NULL && (end == confidence || *end != '\0'))
        return gb_cli_fail(g_error_new(GB_ERROR, GB_ERROR_SYNTAX, "suggest: '%s' is no confidence; write it like 0.9", confidence));
    g_autoptr(GbLog) log = gb_cli_open(argv[1], confidence != NULL ? GB_LOG_WRITE : GB_LOG_READ, as);
    if (log == NULL || !gb_cli_look(log))
        return GB_EXIT_ERROR;
    return confidence != NULL ? accept(log, least, as_json) : show(log, as_json);
}
