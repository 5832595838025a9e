/* cmd_visits.c -- gablebook visits PATH...
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "facts.h"

#include <math.h>

static int run_visits(int argc, char **argv);
const GbCommand gb_cmd_visits = {
    .name = "visits",
    .args = "PATH...",
    .what = "read a day's card and tell which photos belong to which property",
    .more = "The card is only read; without --into nothing is written. With --into, DIR gets a claim folder for each property, named by day and "
            "number, with its photos taken in. Run again over the same card, or over another of the same day, it adds what is not there yet. A "
            "folder may be renamed or moved; from then on, add to it with import.\n\n"
            "Example:\n  gablebook visits /media/card --into today",
    .run = run_visits,
};

static const char *base_name(const char *path)
{
    const char *slash = strrchr(path, '/');
    return slash == NULL ? path : slash + 1;
}

static char *time_of(const GbCardPhoto *photo)
{
    return gb_time_text(isnan(photo->time.local_s) ? photo->time.reading_s : photo->time.local_s);
}

/* The photos of each visit, in the order of time; every visit has one at least. Array of arrays, OWNED by the caller. */
static GPtrArray *photos_by_visit(const GbCard *card)
{
    GPtrArray *visits = g_ptr_array_new_with_free_func((GDestroyNotify)g_ptr_array_unref);
    for (guint i = 0; i < card->visits->n_visits; i++)
        g_ptr_array_add(visits, g_ptr_array_new());
    for (guint i = 0; i < card->photos->len; i++) {
        GbCardPhoto *photo = card->photos->pdata[i];
        g_ptr_array_add(visits->pdata[photo->visit], photo);
    }
    return visits;
}

static void print_visit(const GbCard *card, guint i, const GPtrArray *photos)
{
    const GbVisit *visit = &card->visits->visits[i];
    const GbCardPhoto *first = photos->pdata[0], *last = photos->pdata[photos->len - 1];
    g_autofree char *from = time_of(first), *to = time_of(last), *notes = gb_visit_notes_text(visit->notes);
    printf("Visit %u", i + 1);
    if (visit->property != GB_VISIT_NO_PROPERTY)
        printf(", property %u", visit->property + 1);
    gb_cli_printf(": %u photo%s, %s to %s\n", visit->count, visit->count == 1 ? "" : "s", *from ? from : "unknown time",
                  strlen(to) > 11 && strncmp(from, to, 10) == 0 ? to + 11 : to);
    gb_cli_printf("  from %s to %s\n", base_name(first->path), base_name(last->path));
    if (!isnan(visit->lat_deg)) {
        printf("  centre: %.5f, %.5f", visit->lat_deg, visit->lon_deg);
        if (!isnan(visit->radius_m))
            printf(", nine in ten photos within %.0f m", ceil(visit->radius_m));
        if (!isnan(visit->from_previous_m))
            printf(visit->from_previous_m < 1000 ? ", %.0f m from the visit before" : ", %.1f km from the visit before",
                   visit->from_previous_m < 1000 ? visit->from_previous_m : visit->from_previous_m / 1000);
        putchar('\n');
    }
    if (*notes != '\0')
        gb_cli_printf("  note: %s\n", notes);
}

static json_t *text_or_null(const char *text)
{
    return *text == '\0' ? json_null() : json_string(text);
}

static json_t *number_or_null(double value)
{
    return isnan(value) ? json_null() : json_real(value);
}

static json_t *visit_json(const GbVisit *visit, const GPtrArray *photos)
{
    g_autofree char *from = time_of(photos->pdata[0]), *to = time_of(photos->pdata[photos->len - 1]);
    g_autofree char *notes = gb_visit_notes_text(visit->notes);
    json_t *files = json_array();
    for (guint i = 0; i < photos->len; i++) {
        g_autofree char *path = g_filename_display_name(((GbCardPhoto *)photos->pdata[i])->path);
        json_array_append_new(files, json_string(path));
    }
    json_t *property = visit->property == GB_VISIT_NO_PROPERTY ? json_null() : json_integer(visit->property + 1);
    return json_pack("{so si so so so so so so ss so}", "property", property, "count", (int)visit->count, "first", text_or_null(from),
        "last", text_or_null(to), "lat", number_or_null(visit->lat_deg), "lon", number_or_null(visit->lon_deg), "radius_m",
        number_or_null(visit->radius_m), "from_previous_m", number_or_null(visit->from_previous_m), "notes", notes, "files", files);
}

static void print_json(const GbCard *card, const GPtrArray *visits)
{
    json_t *list = json_array();
    for (guint i = 0; i < visits->len; i++)
        json_array_append_new(list, visit_json(&card->visits->visits[i], visits->pdata[i]));
    gb_cli_print_json(list);
}

static void print_claims(const GPtrArray *claims)
{
    for (guint i = 0; i < claims->len; i++) {
        const GbCardClaim *claim = claims->pdata[i];
        g_autofree char *shown = g_filename_display_name(claim->folder);
        gb_cli_printf("%s: %u photo%s taken in", shown, claim->fresh, claim->fresh == 1 ? "" : "s");
        if (claim->attached > 0)
            printf(", %u attachment%s kept", claim->attached, claim->attached == 1 ? "" : "s");
        if (claim->known > 0)
            printf(", %u there already", claim->known);
        if (claim->left_out > 0)
            printf(", %u left out", claim->left_out);
        puts(".");
    }
}

static json_t *claims_json(const GPtrArray *claims)
{
    json_t *list = json_array();
    for (guint i = 0; i < claims->len; i++) {
        const GbCardClaim *claim = claims->pdata[i];
        g_autofree char *shown = g_filename_display_name(claim->folder);
        json_array_append_new(list, json_pack("{ss si si si si}", "folder", shown, "taken_in", (int)claim->fresh, "attached",
                                              (int)claim->attached, "there_already", (int)claim->known, "left_out", (int)claim->left_out));
    }
    return list;
}

/* set: as typed, or NULL; OWNED by the function from here. */
static int make_claims(const GbCard *card, const char *dir, char *set, gboolean as_json)
{
    GError *error = NULL;
    guint left_out = 0;
    Facts facts = { 0 };
    g_autofree char *folder = set;
    g_autoptr(GPtrArray) claims = NULL;
    GbBeginning beginning;
    g_autoptr(GbSettings) settings = facts_from_settings(&facts.edit, &folder, &beginning);
    if (settings != NULL)
        claims = gb_card_into(card, dir, &facts.edit, &beginning, &error);
    facts_clear(&facts);
    if (claims == NULL && error == NULL)
        return GB_EXIT_ERROR;
    if (claims == NULL)
        return gb_cli_fail(error);
    if (as_json)
        gb_cli_print_json(claims_json(claims));
    else
        print_claims(claims);
    for (guint i = 0; i < claims->len; i++)
        left_out += ((const GbCardClaim *)claims->pdata[i])->left_out;
    return left_out > 0 ? GB_EXIT_MISSING : GB_EXIT_DONE;
}

static int run_visits(int argc, char **argv)
{
    g_autofree char *into = NULL, *set = NULL;
    gboolean as_json = FALSE;
    GOptionEntry entries[] = {
        { "into", 0, 0, G_OPTION_ARG_FILENAME, &into, "make a claim folder in DIR for each property", "DIR" },
        { "set", 0, 0, G_OPTION_ARG_STRING, &set, "with --into: a carrier's set for new claims, or '' for none", "SET" },
        { "json", 0, 0, G_OPTION_ARG_NONE, &as_json, "as JSON: the visits, or with --into the claims", NULL },
        { NULL },
    };
    if (!gb_cli_parse(&gb_cmd_visits, entries, &argc, &argv, 1, -1))
        return GB_EXIT_ERROR;
    g_autoptr(GbCard) card = gb_card_read((const char *const *)argv + 1);
    g_autoptr(GPtrArray) visits = photos_by_visit(card);
    if (as_json && into == NULL)
        print_json(card, visits);
    else if (!as_json)
        for (guint i = 0; i < visits->len; i++)
            print_visit(card, i, visits->pdata[i]);
    for (guint i = 0; i < card->left_out->len; i++) {
        g_autofree char *safe = gb_escape_terminal(card->left_out->pdata[i]);
        fprintf(stderr, "%s\n", safe);
    }
    g_autofree char *sidecars = gb_sidecars_text(&card->sidecars);
    if (sidecars != NULL)
        fprintf(stderr, "%s\n", sidecars);
    if (card->photos->len == 0) {
        if (as_json && into != NULL)
            gb_cli_print_json(json_array());
        fputs("No photos found.\n", stderr);
        return GB_EXIT_MISSING;
    }
    int status = into == NULL ? GB_EXIT_DONE : make_claims(card, into, g_steal_pointer(&set), as_json);
    return status == GB_EXIT_DONE && card->left_out->len > 0 ? GB_EXIT_MISSING : status;
}
