/* finding.c -- the verb finding: what is damaged, by what, what is to be done, how much. See finding.h.
 *
 * A person's words are understood into a finding in memory, against the claim as it is inside the change; then the
 * whole of it is stored.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <gablebook/finding.h>

#include "work-private.h"

#include <gablebook/dossier.h>
#include <gablebook/error.h>
#include <gablebook/escape.h>
#include <gablebook/history.h>
#include <gablebook/numbers.h>
#include <gablebook/quote.h>
#include <gablebook/word.h>
#include <log/rows.h>
#include <math.h>

#define NOTE_MAX_BYTES 4000
#define QUANTITY_MAX_BYTES 64
#define FINDINGS_MAX 10000

static gboolean says(const char *text)
{
    return text != NULL && *text != '\0';
}

static void replace(char **text, const char *with)
{
    char *copy = g_strdup(with);
    g_free(*text);
    *text = copy;
}

/* --- each word --- */

/* One of a list of words, stored in full; "" takes it back. */
static gboolean set_word(char **kept, const char *text, const char *const *words, const char *what, GError **error)
{
    if (text == NULL)
        return TRUE;
    gssize found = *text == '\0' ? -1 : gb_word_find(text, words, g_strv_length((char **)words), what, error);
    if (*text != '\0' && found < 0)
        return FALSE;
    replace(kept, found < 0 ? NULL : words[found]);
    return TRUE;
}

static gboolean clean(const char *text, gsize max_bytes, const char *what, char **kept, GError **error)
{
    if (strlen(text) > max_bytes) {
        g_set_error(error, GB_ERROR, GB_ERROR_TOO_LARGE, "a %s of %" G_GSIZE_FORMAT " bytes; at most %" G_GSIZE_FORMAT
                    " are kept; nothing was changed", what, strlen(text), max_bytes);
        return FALSE;
    }
    g_autofree char *one_line = g_strdelimit(g_strdup(text), "\r\n\t", ' ');
    g_free(*kept);
    *kept = gb_clean_text(one_line, strlen(one_line));
    return TRUE;
}

/* The component's own unit and measure are what a plain number and a plain '=' mean. */
static gboolean set_quantity(GbFinding *finding, const char *text, const GbComponents *components, GError **error)
{
    g_auto(GbQuantity) quantity = { .amount = NAN };
    const GbComponent *component = gb_components_by_id(components, finding->component);
    if (text == NULL)
        return TRUE;
    if (!clean(text, QUANTITY_MAX_BYTES, "quantity", &finding->quantity, error))
        return FALSE;
    if (finding->quantity != NULL &&
        !gb_quantity_parse(finding->quantity, component != NULL ? component->unit : GB_UNIT_NONE,
                           component != NULL ? component->measure : NULL, &quantity, error))
        return FALSE;
    GbRoofQuantity measure;
    if (quantity.measure != NULL && !gb_roof_quantity_parse(quantity.measure, &measure, error))
        return FALSE;
    replace(&finding->measure, quantity.measure != NULL ? gb_roof_quantity_word(measure) : NULL);
    finding->amount = quantity.amount;
    finding->unit = quantity.unit;
    return TRUE;
}

/* --- shots --- */

static gint compare_numbers(gconstpointer a, gconstpointer b)
{
    gint64 x = *(const gint64 *)a, y = *(const gint64 *)b;
    return (x > y) - (x < y);
}

static gboolean holds(const GArray *numbers, gint64 number)
{
    for (guint i = 0; i < numbers->len; i++)
        if (g_array_index(numbers, gint64, i) == number)
            return TRUE;
    return FALSE;
}

/* Add the shots named, or take them away. "" names none. */
static gboolean change_shots(GArray *numbers, const char *text, gboolean add, const GPtrArray *shots, GError **error)
{
    if (!says(text))
        return TRUE;
    g_autoptr(GPtrArray) named = gb_find_shots(shots, text, error);
    for (guint i = 0; named != NULL && i < named->len; i++) {
        gint64 number = ((const GbShot *)named->pdata[i])->number;
        if (add && !holds(numbers, number))
            g_array_append_val(numbers, number);
        for (guint n = numbers->len; !add && n-- > 0;)
            if (g_array_index(numbers, gint64, n) == number)
                g_array_remove_index(numbers, n);
    }
    g_array_sort(numbers, compare_numbers);
    return named != NULL;
}

static gboolean set_shots(GbFinding *finding, const GbFindingEdit *edit, const GPtrArray *shots, GError **error)
{
    if (edit->shots != NULL)
        g_array_set_size(finding->shots, 0);
    return change_shots(finding->shots, edit->shots, TRUE, shots, error) &&
           change_shots(finding->shots, edit->more_shots, TRUE, shots, error) &&
           change_shots(finding->shots, edit->fewer_shots, FALSE, shots, error);
}

/* --- place and component: said, or told by the shots --- */

/* The place that all its shots share; 0 where they don't. */
static gint64 place_of_shots(const GbFinding *finding, const GPtrArray *shots)
{
    gint64 place = 0;
    for (guint i = 0; i < finding->shots->len; i++) {
        const GbShot *shot = gb_shots_by_number(shots, g_array_index(finding->shots, gint64, i));
        if (shot->place == 0 || (place != 0 && shot->place != place))
            return 0;
        place = shot->place;
    }
    return place;
}

/* The component that its shots agree on; those that show none in particular have no say. NULL where there is none. */
static const GbComponent *component_of_shots(const GbFinding *finding, const GbDossier *dossier)
{
    const GbComponent *component = NULL;
    for (guint i = 0; i < finding->shots->len; i++) {
        const GbShot *shot = gb_shots_by_number(dossier->shots, g_array_index(finding->shots, gint64, i));
        const GbComponent *shown = shot->subject == NULL ? NULL : gb_components_by_subject(dossier->components, shot->subject);
        if (shown != NULL && component != NULL && shown != component)
            return NULL;
        component = shown != NULL ? shown : component;
    }
    return component;
}

static gboolean set_place(GbFinding *finding, const char *text, const GbDossier *dossier, GError **error)
{
    if (text == NULL && finding->place != 0)
        return TRUE;
    if (says(text)) {
        const GbPlace *place = gb_places_find(dossier->places, text, error);
        finding->place = place != NULL ? place->id : 0;
        return place != NULL;
    }
    if (text == NULL && (finding->place = place_of_shots(finding, dossier->shots)) != 0)
        return TRUE;
    g_set_error(error, GB_ERROR, GB_ERROR_STATE, "%s: say where it is, with its place; nothing was changed",
                text == NULL && finding->shots->len > 0 ? "its shots have no place in common" : "a finding needs a place");
    return FALSE;
}

static gboolean set_component(GbFinding *finding, const char *text, const GbDossier *dossier, GError **error)
{
    if (text == NULL && finding->component != NULL)
        return TRUE;
    const GbComponent *component = says(text) ? gb_components_find(dossier->components, text, error) : NULL;
    if (says(text) && component == NULL)
        return FALSE;
    if (text == NULL)
        component = component_of_shots(finding, dossier);
    if (component != NULL) {
        replace(&finding->component, component->id);
        return TRUE;
    }
    g_set_error(error, GB_ERROR, GB_ERROR_STATE, "%s: say which component is damaged; nothing was changed",
                finding->shots->len > 0 ? "its shots don't tell one component" : "a finding needs a component");
    return FALSE;
}

/* --- the whole --- */

static gboolean apply(GbFinding *finding, const GbFindingEdit *edit, const GbDossier *dossier, GError **error)
{
    return set_shots(finding, edit, dossier->shots, error) && set_place(finding, edit->place, dossier, error) &&
           set_component(finding, edit->component, dossier, error) &&
           set_word(&finding->cause, edit->cause, gb_finding_causes(), "cause", error) &&
           set_word(&finding->action, edit->action, gb_finding_actions(), "action", error) &&
           set_quantity(finding, edit->quantity, dossier->components, error) &&
           (edit->note == NULL || clean(edit->note, NOTE_MAX_BYTES, "note", &finding->note, error));
}

/* "3: rear slope, Shingles; hail; remove and replace; 13.42 SQ; shots 45-48" */
static char *describe(const GbFinding *finding, const GbDossier *dossier)
{
    const GbPlace *place = gb_places_by_id(dossier->places, finding->place);
    GString *text = g_string_new(NULL);
    g_string_append_printf(text, "%" G_GINT64_FORMAT ": %s, %s", finding->number, place != NULL ? place->label : "no place",
                           gb_finding_component_name(finding, dossier->components));
    g_autofree char *amount = finding->measure == NULL && finding->quantity != NULL ? gb_quantity_text(finding->amount, finding->unit)
                              : finding->measure != NULL ? g_strdup_printf("= %s", finding->measure) : NULL;
    const char *const parts[] = { finding->cause, finding->action, amount };
    for (gsize i = 0; i < G_N_ELEMENTS(parts); i++)
        if (parts[i] != NULL)
            g_string_append_printf(text, "; %s%s", i == 1 && g_str_equal(parts[i], GB_ACTION_NONE) ? "action " : "", parts[i]);
    g_autofree char *shots = gb_numbers_text(&g_array_index(finding->shots, gint64, 0), finding->shots->len);
    if (finding->shots->len > 0)
        g_string_append_printf(text, "; shot%s %s", finding->shots->len == 1 ? "" : "s", shots);
    if (finding->note != NULL)
        g_string_append_printf(text, "; note: %s", finding->note);
    return g_string_free(text, FALSE);
}

/* The history names the verb itself. TAKES said. */
static gboolean save(GbChange *change, char *said, char **summary, GError **error)
{
    g_autofree char *text = said;
    if (!gb_change_save(change, text, error))
        return FALSE;
    if (summary != NULL)
        *summary = g_strconcat("finding ", text, NULL);
    return TRUE;
}

gboolean gb_finding_add(GbLog *log, const GbFindingEdit *edit, gint64 *number, char **summary, GError **error)
{
    g_autoptr(GbChange) change = gb_change_begin(log, "finding", error);
    g_autoptr(GbDossier) dossier = change == NULL ? NULL : gb_dossier_load(log, error);
    if (dossier == NULL)
        return FALSE;
    if (dossier->findings->len >= FINDINGS_MAX) {
        g_set_error(error, GB_ERROR, GB_ERROR_TOO_LARGE, "the claim has %u findings; it can't have more; nothing was changed",
                    dossier->findings->len);
        return FALSE;
    }
    GbFinding *finding = g_new0(GbFinding, 1);
    finding->amount = NAN;
    finding->shots = g_array_new(FALSE, FALSE, sizeof(gint64));
    g_ptr_array_add(dossier->findings, finding); /* from here freed with the dossier */
    if (!apply(finding, edit, dossier, error) || !gb_finding_insert(log, finding, error) ||
        !save(change, describe(finding, dossier), summary, error))
        return FALSE;
    if (number != NULL)
        *number = finding->number;
    return TRUE;
}

/* The finding of that number, BORROWED; NULL with error. */
static GbFinding *find(const GbDossier *dossier, gint64 number, GError **error)
{
    GbFinding *finding = gb_findings_by_number(dossier->findings, number);
    if (finding == NULL)
        g_set_error(error, GB_ERROR, GB_ERROR_UNKNOWN, "there is no finding %" G_GINT64_FORMAT " in this claim; nothing was changed",
                    number);
    return finding;
}

gboolean gb_finding_change(GbLog *log, gint64 number, const GbFindingEdit *edit, char **summary, GError **error)
{
    g_autoptr(GbChange) change = gb_change_begin(log, "finding", error);
    g_autoptr(GbDossier) dossier = change == NULL ? NULL : gb_dossier_load(log, error);
    GbFinding *finding = dossier == NULL ? NULL : find(dossier, number, error);
    return finding != NULL && apply(finding, edit, dossier, error) && gb_finding_store(log, finding, error) &&
           save(change, describe(finding, dossier), summary, error);
}

gboolean gb_finding_remove(GbLog *log, gint64 number, char **summary, GError **error)
{
    g_autoptr(GbChange) change = gb_change_begin(log, "finding", error);
    g_autoptr(GbDossier) dossier = change == NULL ? NULL : gb_dossier_load(log, error);
    GbFinding *finding = dossier == NULL ? NULL : find(dossier, number, error);
    if (finding == NULL)
        return FALSE;
    g_autofree char *was = describe(finding, dossier);
    return gb_finding_delete(log, finding, error) && save(change, g_strdup_printf("%s: taken out", was), summary, error);
}
