/* localize.c -- a finished model in the writing of a place: what the program wrote, never what a person typed.
 *
 * Models are made in one writing, which JSON and CSV keep. Before a page or a PDF is made, the members named here are written anew. Captions,
 * reasons, notes, file names and positions stay: they are words of others, or meant to be copied.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "report-private.h"

#include <string.h>

#define TIMES GB_LOCALE_TIMES
#define NUMBERS GB_LOCALE_NUMBERS
#define WHOLE GB_LOCALE_WHOLE

/* within: the member whose object, or list of objects, has the key; NULL: any. */
static const struct {
    const char *within, *key;
    GbLocaleParts parts;
} rules[] = {
    { NULL, "local", TIMES },
    { NULL, "correction", TIMES },
    { NULL, "when_utc", TIMES },
    { "claim", "loss_date", TIMES | WHOLE },
    { "claim", "inspection_date", TIMES | WHOLE },
    { "facts", "value", TIMES | WHOLE },
    { "summary", "value", TIMES | NUMBERS },
    { NULL, "count_text", NUMBERS },
    { NULL, "quantity", NUMBERS },
    { NULL, "weak", NUMBERS },
    { "slopes", "area", NUMBERS },
    { "slopes", "squares", NUMBERS },
    { "totals", "label", NUMBERS },
    { "totals", "value", NUMBERS },
    { "cameras", "where", NUMBERS },
    { "cameras", "error", NUMBERS },
    { "map", "said", NUMBERS },
    { "tables", "lead", TIMES },
    { "parts", "text", TIMES | WHOLE },
};

static void rewrite(json_t *object, const char *key, const GbLocale *locale, GbLocaleParts parts)
{
    const char *text = json_string_value(json_object_get(object, key));
    if (text == NULL)
        return;
    g_autofree char *written = gb_locale_text(locale, text, parts);
    json_object_set_new(object, key, json_string(written));
}

/* "M. Tarn, 2026-05-14 21:04:11 UTC": what stands before the time is a name. */
static void rewrite_signed(json_t *part, const GbLocale *locale)
{
    static const char moment[] = "2026-05-14 21:04:11 UTC";
    const char *note = json_string_value(json_object_get(part, "note"));
    gsize n = note != NULL ? strlen(note) : 0;
    if (n < sizeof moment || !g_str_has_suffix(note, " UTC"))
        return;
    const char *at = note + n - strlen(moment);
    g_autofree char *written = gb_locale_text(locale, at, TIMES);
    g_autofree char *whole = g_strdup_printf("%.*s%s", (int)(at - note), note, written);
    json_object_set_new(part, "note", json_string(whole));
}

/* A drawing (SVG): what stands between its tags. */
static void rewrite_plan(json_t *object, const GbLocale *locale)
{
    const char *plan = json_string_value(json_object_get(object, "plan"));
    if (plan == NULL)
        return;
    g_autoptr(GString) out = g_string_new(NULL);
    while (*plan != '\0') {
        gsize words = strcspn(plan, "<"), tag = strcspn(plan + words, ">") + (strchr(plan + words, '>') != NULL);
        g_autofree char *said = g_strndup(plan, words), *written = gb_locale_text(locale, said, NUMBERS);
        g_string_append(out, written);
        g_string_append_len(out, plan + words, (gssize)tag);
        plan += words + tag;
    }
    json_object_set_new(object, "plan", json_string(out->str));
}

/* Bytes of a file: a number, grouped like others. */
static void rewrite_bytes(json_t *object, const GbLocale *locale)
{
    const json_t *bytes = json_object_get(object, "bytes");
    if (!json_is_integer(bytes))
        return;
    g_autofree char *plain = g_strdup_printf("%" JSON_INTEGER_FORMAT, json_integer_value(bytes));
    g_autofree char *written = gb_locale_text(locale, plain, NUMBERS);
    json_object_set_new(object, "bytes", json_string(written));
}

static void localize_object(json_t *object, const char *within, const GbLocale *locale)
{
    for (gsize i = 0; i < G_N_ELEMENTS(rules); i++)
        if (rules[i].within == NULL || strcmp(rules[i].within, within) == 0)
            rewrite(object, rules[i].key, locale, rules[i].parts);
    if (strcmp(within, "parts") == 0)
        rewrite_signed(object, locale);
    if (strcmp(within, "marks") == 0 && json_object_get(object, "caution") != NULL) { /* measured: the program's words */
        rewrite(object, "words", locale, NUMBERS);
        rewrite(object, "label", locale, NUMBERS);
    }
    rewrite_plan(object, locale);
    rewrite_bytes(object, locale);
}

/* The sentences of these tables of the reviewer are the program's. */
static gboolean is_said(const json_t *table)
{
    const char *id = json_string_value(json_object_get(table, "id"));
    return g_strcmp0(id, "weak") == 0 || g_strcmp0(id, "doubts") == 0;
}

static void walk(json_t *value, const char *within, gboolean said, const GbLocale *locale)
{
    gsize i;
    const char *key;
    json_t *item;
    if (json_is_array(value))
        json_array_foreach(value, i, item)
            walk(item, within, said, locale);
    if (!json_is_object(value))
        return;
    localize_object(value, within, locale);
    if (said && strcmp(within, "parts") == 0)
        rewrite(value, "text", locale, NUMBERS);
    said = said || (strcmp(within, "tables") == 0 && is_said(value));
    json_object_foreach(value, key, item)
        if (json_is_array(item) || json_is_object(item))
            walk(item, key, said, locale);
}

void gb_localize(json_t *model, const GbLocale *locale)
{
    if (locale == NULL)
        return;
    walk(model, "", FALSE, locale);
    gb_put_text(model, "locale", gb_locale_tag(locale));
}
