/* edit.c -- the verb edit: the facts of the claim. See edit.h.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "work-private.h"

#include <gablebook/checklist.h>
#include <gablebook/dossier.h>
#include <gablebook/error.h>
#include <gablebook/escape.h>
#include <gablebook/history.h>
#include <gablebook/quote.h>
#include <gablebook/word.h>
#include <log/rows.h>
#include <math.h>

#define TEXT_MAX_BYTES 2000

static const char *const causes[] = { "hail", "wind", "water", "fire", "impact", "other", NULL };

const char *const *gb_cause_words(void)
{
    return causes;
}

/* --- one fact each: text as typed to text as kept; *kept NULL is "unknown" --- */

typedef gboolean (*Understand)(const char *text, char **kept, GError **error);

static gboolean understand_words(const char *text, char **kept, GError **error)
{
    if (strlen(text) > TEXT_MAX_BYTES) {
        g_set_error(error, GB_ERROR, GB_ERROR_TOO_LARGE, "a text of %u bytes; at most %d are kept", (guint)strlen(text), TEXT_MAX_BYTES);
        return FALSE;
    }
    *kept = gb_clean_text(text, strlen(text));
    return TRUE;
}

static gboolean understand_date(const char *text, char **kept, GError **error)
{
    g_autofree char *date = g_strstrip(g_strdup(text));
    if (g_regex_match_simple("^[0-9]{4}-[0-9]{2}-[0-9]{2}\\z", date, 0, 0)) {
        guint64 year = g_ascii_strtoull(date, NULL, 10);
        guint64 month = g_ascii_strtoull(date + 5, NULL, 10), day = g_ascii_strtoull(date + 8, NULL, 10);
        if (year >= 1900 && month >= 1 && month <= 12 &&
            g_date_valid_dmy((GDateDay)day, (GDateMonth)month, (GDateYear)year)) {
            *kept = g_steal_pointer(&date);
            return TRUE;
        }
    }
    g_autofree char *shown = gb_quote(text);
    g_set_error(error, GB_ERROR, GB_ERROR_SYNTAX, "%s is no date; write it as YEAR-MONTH-DAY, for example 2026-05-14", shown);
    return FALSE;
}

static gboolean understand_cause(const char *text, char **kept, GError **error)
{
    gboolean named[G_N_ELEMENTS(causes) - 1] = { FALSE };
    g_auto(GStrv) words = g_strsplit_set(text, " ,;/+&", -1);
    for (char **word = words; *word != NULL; word++) {
        if (**word == '\0' || g_ascii_strcasecmp(*word, "and") == 0)
            continue;
        gssize found = gb_word_find(*word, causes, G_N_ELEMENTS(named), "cause", error);
        if (found < 0)
            return FALSE;
        named[found] = TRUE;
    }
    g_autoptr(GString) all = g_string_new(NULL); /* always in the same order */
    for (gsize i = 0; i < G_N_ELEMENTS(named); i++)
        if (named[i])
            g_string_append_printf(all, "%s%s", all->len > 0 ? ", " : "", causes[i]);
    *kept = all->len > 0 ? g_strdup(all->str) : NULL;
    return TRUE;
}

static gboolean understand_azimuth(const char *text, double *azimuth_deg, GError **error)
{
    g_autofree char *direction = g_strstrip(g_strdup(text));
    for (int point = 0; point < 16; point++)
        if (g_ascii_strcasecmp(direction, gb_compass_point(point * 22.5)) == 0) {
            *azimuth_deg = point * 22.5;
            return TRUE;
        }
    /* The pattern first: strtod alone would take 0x10 and 1e2. */
    double value = g_regex_match_simple("^[0-9]{1,3}(\\.[0-9]+)? *(deg|°)?\\z", direction, 0, 0) ? g_ascii_strtod(direction, NULL) : (double)NAN;
    if (value <= 360) { /* false for NAN */
        *azimuth_deg = fmod(value, 360);
        return TRUE;
    }
    g_autofree char *shown = gb_quote(text);
    g_set_error(error, GB_ERROR, GB_ERROR_SYNTAX,
                "front azimuth: %s is no direction; write the way the front wall faces in degrees from true north (0 to 360) or as a "
                "compass point like SSW", shown);
    return FALSE;
}

/* --- the whole --- */

static gboolean set_text(char **fact, const char *option, const char *text, Understand understand, GError **error)
{
    char *kept = NULL;
    if (text == NULL)
        return TRUE;
    if (*text != '\0' && !understand(text, &kept, error)) {
        g_prefix_error(error, "%s: ", option);
        return FALSE;
    }
    g_free(*fact);
    *fact = kept;
    return TRUE;
}

static gboolean set_azimuth(double *fact, const char *text, GError **error)
{
    if (text == NULL)
        return TRUE;
    if (*text == '\0') {
        *fact = NAN;
        return TRUE;
    }
    return understand_azimuth(text, fact, error);
}

gboolean gb_edit_apply(GbClaim *claim, const GbEdit *edit, GError **error)
{
    return set_text(&claim->insured, "insured", edit->insured, understand_words, error) &&
           set_text(&claim->number, "claim number", edit->number, understand_words, error) &&
           set_text(&claim->address, "address", edit->address, understand_words, error) &&
           set_text(&claim->adjuster, "adjuster", edit->adjuster, understand_words, error) &&
           set_text(&claim->loss_date, "date of loss", edit->loss_date, understand_date, error) &&
           set_text(&claim->inspection_date, "inspection date", edit->inspection_date, understand_date, error) &&
           set_text(&claim->cause, "cause", edit->cause, understand_cause, error) &&
           set_text(&claim->checklist, "checklist", edit->checklist, understand_words, error) &&
           set_azimuth(&claim->front_azimuth_deg, edit->front_azimuth, error);
}

void gb_edit_spell_out(char **checklist)
{
    g_auto(GStrv) names = gb_checklist_names();
    gssize found = gb_word_find(*checklist, (const char *const *)names, g_strv_length(names), "checklist", NULL);
    if (found < 0)
        return;
    g_free(*checklist);
    *checklist = g_strdup(names[found]);
}

/* A checklist that does not load would make every later check fail. */
static gboolean settle_checklist(GbLog *log, GbClaim *claim, GError **error)
{
    if (claim->checklist == NULL)
        return TRUE;
    g_autoptr(GbCatalogue) catalogue = gb_dossier_catalogue(log, error);
    g_autoptr(GbFactlist) factlist = catalogue == NULL ? NULL : gb_dossier_factlist(log, catalogue, error);
    g_autoptr(GbChecklist) checklist = factlist == NULL ? NULL : gb_dossier_checklist(log, claim->checklist, catalogue, factlist, error);
    if (checklist == NULL)
        return FALSE;
    g_autofree char *file = g_strconcat(claim->checklist, ".ini", NULL);
    g_autofree char *own = gb_log_path(log, "templates", "checklists", file, NULL);
    if (!g_file_test(own, G_FILE_TEST_EXISTS))
        gb_edit_spell_out(&claim->checklist);
    return TRUE;
}

/* "insured, date of loss" */
static char *name_facts(const GbEdit *edit)
{
    const struct { const char *text, *name; } facts[] = {
        { edit->insured, "insured" },     { edit->number, "claim number" },       { edit->address, "address" },
        { edit->loss_date, "date of loss" }, { edit->inspection_date, "inspection date" }, { edit->cause, "cause" },
        { edit->adjuster, "adjuster" },   { edit->checklist, "checklist" },       { edit->front_azimuth, "front azimuth" },
    };
    GString *names = g_string_new(NULL);
    for (gsize i = 0; i < G_N_ELEMENTS(facts); i++)
        if (facts[i].text != NULL)
            g_string_append_printf(names, "%s%s", names->len > 0 ? ", " : "", facts[i].name);
    return g_string_free(names, FALSE);
}

gboolean gb_edit(GbLog *log, const GbEdit *edit, GError **error)
{
    g_autoptr(GbChange) change = gb_change_begin(log, "edit", error);
    g_autoptr(GbClaim) claim = change == NULL ? NULL : gb_claim_load(log, error);
    g_autofree char *names = name_facts(edit);
    return claim != NULL && gb_edit_apply(claim, edit, error) &&
           (edit->checklist == NULL || settle_checklist(log, claim, error)) && gb_claim_store(log, claim, error) &&
           gb_change_save(change, names, error);
}
