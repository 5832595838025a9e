/* cmd_edit.c -- gablebook edit FOLDER
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "facts.h"

#include <math.h>

static int edit(int argc, char **argv);
const GbCommand gb_cmd_edit = {
    .name = "edit",
    .args = "FOLDER",
    .what = "say or correct the facts of the claim, and show them",
    .more = "An empty text (--adjuster '') makes a fact unknown again. Without options the facts are shown.",
    .run = edit,
};

static void show(const char *label, const char *text)
{
    gb_cli_printf("%-16s %s\n", label, text == NULL ? "-" : text);
}

static void show_claim(const GbClaim *claim)
{
    g_autofree char *azimuth = isnan(claim->front_azimuth_deg)
                                   ? NULL
                                   : g_strdup_printf("%g degrees true (%s)", claim->front_azimuth_deg,
                                                     gb_compass_point(claim->front_azimuth_deg));
    show("Insured", claim->insured);
    show("Claim number", claim->number);
    show("Address", claim->address);
    show("Date of loss", claim->loss_date);
    show("Cause", claim->cause);
    show("Inspected", claim->inspection_date);
    show("Adjuster", claim->adjuster);
    show("Front faces", azimuth);
    show("Checklist", claim->checklist != NULL ? claim->checklist : gb_checklist_for_cause(claim->cause));
}

static json_t *text_or_null(const char *text)
{
    return text == NULL ? json_null() : json_string(text);
}

static json_t *claim_json(const GbClaim *claim)
{
    return json_pack("{so so so so so so so so ss sb}", "insured", text_or_null(claim->insured), "claim_number",
        text_or_null(claim->number), "address", text_or_null(claim->address), "loss_date", text_or_null(claim->loss_date), "cause",
        text_or_null(claim->cause), "inspected", text_or_null(claim->inspection_date), "adjuster", text_or_null(claim->adjuster),
        "front_azimuth_deg", isnan(claim->front_azimuth_deg) ? json_null() : json_real(claim->front_azimuth_deg), "checklist",
        claim->checklist != NULL ? claim->checklist : gb_checklist_for_cause(claim->cause), "checklist_said", claim->checklist != NULL);
}

static int edit_and_show(const char *folder, const Facts *facts, gboolean any)
{
    GError *error = NULL;
    g_autoptr(GbLog) log = gb_cli_open(folder, any ? GB_LOG_WRITE : GB_LOG_READ, facts->as);
    if (log == NULL)
        return GB_EXIT_ERROR;
    if (any && !gb_edit(log, &facts->edit, &error))
        return gb_cli_fail(error);
    g_autoptr(GbClaim) claim = gb_claim_load(log, &error);
    if (claim == NULL)
        return gb_cli_fail(error);
    if (facts->as_json)
        gb_cli_print_json(claim_json(claim));
    else
        show_claim(claim);
    return GB_EXIT_DONE;
}

static int edit(int argc, char **argv)
{
    Facts facts = { 0 };
    const GbEdit none = { 0 };
    GOptionEntry entries[FACT_ENTRIES];
    facts_entries(&facts, entries);
    int status = GB_EXIT_ERROR;
    if (gb_cli_parse(&gb_cmd_edit, entries, &argc, &argv, 1, 1))
        status = edit_and_show(argv[1], &facts, memcmp(&facts.edit, &none, sizeof none) != 0);
    facts_clear(&facts);
    return status;
}
