/* facts.c -- see facts.h.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "facts.h"

void facts_entries(Facts *facts, GOptionEntry entries[FACT_ENTRIES])
{
    GbEdit *edit = &facts->edit;
    const GOptionEntry all[FACT_ENTRIES] = {
        { "insured", 0, 0, G_OPTION_ARG_STRING, &edit->insured, "whose house it is", "NAME" },
        { "claim-number", 0, 0, G_OPTION_ARG_STRING, &edit->number, "the carrier's number", "NUMBER" },
        { "address", 0, 0, G_OPTION_ARG_STRING, &edit->address, "of the property", "TEXT" },
        { "loss-date", 0, 0, G_OPTION_ARG_STRING, &edit->loss_date, "YEAR-MONTH-DAY of the loss", "DATE" },
        { "cause", 0, 0, G_OPTION_ARG_STRING, &edit->cause, "hail, wind, water, fire, impact, other; or several", "CAUSE" },
        { "inspected", 0, 0, G_OPTION_ARG_STRING, &edit->inspection_date, "YEAR-MONTH-DAY of the inspection", "DATE" },
        { "adjuster", 0, 0, G_OPTION_ARG_STRING, &edit->adjuster, "who inspects", "NAME" },
        { "front-azimuth", 0, 0, G_OPTION_ARG_STRING, &edit->front_azimuth, "which way the front faces: degrees true, or SSW", "DEG" },
        { "checklist", 0, 0, G_OPTION_ARG_STRING, &edit->checklist, "what must be there (default: by the cause)", "NAME" },
        GB_CLI_JSON(facts->as_json),
        GB_CLI_AS(facts->as),
        { NULL },
    };
    memcpy(entries, all, sizeof all);
}

static void settle(const char **fact, const char *setting)
{
    if (*fact == NULL)
        *fact = g_strdup(setting);
}

/* A checklist that goes with another set would not be found in the one that was asked for. */
GbSettings *facts_from_settings(GbEdit *edit, char **set, GbBeginning *beginning)
{
    GError *error = NULL;
    g_autoptr(GbSettings) settings = gb_settings_load(&error);
    if (settings == NULL)
        return gb_cli_fail(error), NULL;
    settle(&edit->adjuster, gb_settings_get(settings, "adjuster"));
    if (*set == NULL)
        settle(&edit->checklist, gb_settings_get(settings, "checklist"));
    g_autofree char *word = *set != NULL ? g_steal_pointer(set) : g_strdup(gb_settings_get(settings, "set"));
    if (word != NULL && *word != '\0' && (*set = gb_set_find(word, &error)) == NULL)
        return gb_cli_fail(error), NULL;
    *beginning = (GbBeginning){ *set, gb_settings_get(settings, "letterhead"), gb_settings_get(settings, "letterhead-address"),
                                gb_settings_get(settings, "letterhead-logo") };
    return g_steal_pointer(&settings);
}

void facts_clear(Facts *facts)
{
    const char *texts[] = { facts->edit.insured, facts->edit.number, facts->edit.address, facts->edit.loss_date, facts->edit.cause,
                            facts->edit.inspection_date, facts->edit.adjuster, facts->edit.front_azimuth, facts->edit.checklist };
    for (gsize i = 0; i < G_N_ELEMENTS(texts); i++)
        g_free((char *)texts[i]);
    g_free(facts->as);
    *facts = (Facts){ 0 };
}
