/* desk_json.c -- a claim on the desk as JSON: for --json, for the page, and to be remembered. See desk.h.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "desk-private.h"

#include <stddef.h>

/* Members by kind: what is written is what is read again. */
static const struct {
    const char *name;
    gsize offset;
} texts[] = {
    { "folder", offsetof(GbDeskClaim, name) },          { "fault", offsetof(GbDeskClaim, fault) },
    { "insured", offsetof(GbDeskClaim, insured) },      { "claim_number", offsetof(GbDeskClaim, number) },
    { "address", offsetof(GbDeskClaim, address) },      { "cause", offsetof(GbDeskClaim, cause) },
    { "adjuster", offsetof(GbDeskClaim, adjuster) },    { "loss_date", offsetof(GbDeskClaim, loss_date) },
    { "inspected", offsetof(GbDeskClaim, inspection_date) }, { "first_missing", offsetof(GbDeskClaim, first_missing) },
    { "changed_by", offsetof(GbDeskClaim, changed_by) },
}, counts[] = {
    { "shots", offsetof(GbDeskClaim, shots) },     { "unplaced", offsetof(GbDeskClaim, unplaced) },
    { "unnamed", offsetof(GbDeskClaim, unnamed) }, { "there", offsetof(GbDeskClaim, there) },
    { "missing", offsetof(GbDeskClaim, missing) }, { "advised", offsetof(GbDeskClaim, advised) },
    { "waived", offsetof(GbDeskClaim, waived) },   { "weak", offsetof(GbDeskClaim, weak) },
}, times[] = {
    { "begun_utc_s", offsetof(GbDeskClaim, begun_utc_s) }, { "changed_utc_s", offsetof(GbDeskClaim, changed_utc_s) },
};

#define MEMBER(type, claim, entry) ((type *)(gpointer)((char *)(claim) + (entry).offset))

json_t *gb_desk_claim_json(const GbDeskClaim *claim)
{
    json_t *json = json_object();
    for (gsize i = 0; i < G_N_ELEMENTS(texts); i++) {
        const char *text = *MEMBER(char *const, claim, texts[i]);
        json_object_set_new(json, texts[i].name, text == NULL ? json_null() : json_string(text));
    }
    for (gsize i = 0; i < G_N_ELEMENTS(counts); i++)
        json_object_set_new(json, counts[i].name, json_integer(*MEMBER(const guint, claim, counts[i])));
    for (gsize i = 0; i < G_N_ELEMENTS(times); i++)
        json_object_set_new(json, times[i].name, json_integer(*MEMBER(const gint64, claim, times[i])));
    json_object_set_new(json, "complete", json_boolean(claim->complete));
    return json;
}

GbDeskClaim *gb_desk_claim_from_json(const json_t *json)
{
    if (!json_is_string(json_object_get(json, "folder")) || !json_is_boolean(json_object_get(json, "complete")))
        return NULL;
    GbDeskClaim *claim = g_new0(GbDeskClaim, 1);
    for (gsize i = 0; i < G_N_ELEMENTS(texts); i++)
        *MEMBER(char *, claim, texts[i]) = g_strdup(json_string_value(json_object_get(json, texts[i].name)));
    for (gsize i = 0; i < G_N_ELEMENTS(counts); i++)
        *MEMBER(guint, claim, counts[i]) = (guint)CLAMP(json_integer_value(json_object_get(json, counts[i].name)), 0, G_MAXINT);
    for (gsize i = 0; i < G_N_ELEMENTS(times); i++)
        *MEMBER(gint64, claim, times[i]) = json_integer_value(json_object_get(json, times[i].name));
    claim->complete = json_is_true(json_object_get(json, "complete"));
    return claim;
}

void gb_desk_claim_free(gpointer data)
{
    GbDeskClaim *claim = data;
    for (gsize i = 0; i < G_N_ELEMENTS(texts); i++)
        g_free(*MEMBER(char *, claim, texts[i]));
    g_free(claim);
}

static json_t *utc_json(gint64 utc_s)
{
    g_autoptr(GDateTime) at = utc_s == 0 ? NULL : g_date_time_new_from_unix_utc(utc_s);
    g_autofree char *text = at == NULL ? NULL : g_date_time_format(at, "%Y-%m-%dT%H:%M:%SZ");
    return text == NULL ? json_null() : json_string(text);
}

/* With what depends on the hour. */
static json_t *shown_json(const GbDeskClaim *claim, gint64 now_utc_s)
{
    json_t *json = gb_desk_claim_json(claim);
    int age = gb_desk_age_days(claim, now_utc_s);
    for (gsize i = 0; i < G_N_ELEMENTS(times); i++)
        json_object_del(json, times[i].name);
    json_object_set_new(json, "age_days", age < 0 ? json_null() : json_integer(age));
    json_object_set_new(json, "begun", utc_json(claim->begun_utc_s));
    json_object_set_new(json, "changed", utc_json(claim->changed_utc_s));
    return json;
}

json_t *gb_desk_json(const GbDesk *desk, gint64 now_utc_s)
{
    json_t *list = json_array();
    int complete = 0, faulty = 0;
    for (guint i = 0; i < desk->claims->len; i++) {
        const GbDeskClaim *claim = desk->claims->pdata[i];
        json_array_append_new(list, shown_json(claim, now_utc_s));
        faulty += claim->fault != NULL;
        complete += claim->fault == NULL && claim->complete;
    }
    return json_pack("{ss so si si si}", "dir", desk->dir, "claims", list, "complete", complete, "incomplete",
                     (int)desk->claims->len - complete - faulty, "faulty", faulty);
}
