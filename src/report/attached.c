/* attached.c -- what was kept beside the photos, in the files appendix of a report. See report-private.h.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "report-private.h"

#include <gablebook/attachment.h>
#include <gablebook/digest.h>

/* Files that were read before, were right and have not been touched since (seen.c). */
typedef struct {
    GHashTable *noted;
    gboolean fresh; /* something was added */
} Seen;

/* Read it, and note it when it is right and nobody touched it meanwhile. */
static const char *read_again(Seen *seen, const GbAttachment *attachment, const char *path)
{
    char hex[GB_DIGEST_HEX];
    gboolean settled = FALSE, ignored;
    g_autofree char *before = gb_seen_state(path, &settled);
    if (!gb_digest_file(path, hex, NULL))
        return "it can't be read";
    if (strcmp(hex, attachment->sha256) != 0)
        return "it is no longer the file that was taken in: its SHA-256 differs";
    g_autofree char *after = gb_seen_state(path, &ignored);
    if (settled && before != NULL && g_strcmp0(before, after) == 0) {
        g_hash_table_insert(seen->noted, g_strdup(attachment->sha256), g_steal_pointer(&before));
        seen->fresh = TRUE;
    }
    return NULL;
}

/* Why it can't be trusted any more; NULL when it can. Constant. */
static const char *find_problem(Seen *seen, const GbLog *log, const GbAttachment *attachment)
{
    gboolean ignored;
    g_autofree char *path = gb_log_path(log, "originals", attachment->stored_name, NULL);
    if (!g_file_test(path, G_FILE_TEST_EXISTS))
        return "it is missing from the claim folder";
    const char *noted = g_hash_table_lookup(seen->noted, attachment->sha256);
    g_autofree char *now = noted != NULL ? gb_seen_state(path, &ignored) : NULL;
    return now != NULL && strcmp(now, noted) == 0 ? NULL : read_again(seen, attachment, path);
}

/* The figure that shows a shot in this model, or 0. */
static json_int_t figure_of(const json_t *model, gint64 shot)
{
    gsize i;
    json_t *file;
    json_array_foreach(json_object_get(model, "files"), i, file)
        if (json_integer_value(json_object_get(file, "shot")) == shot)
            return json_integer_value(json_object_get(file, "figure"));
    return 0;
}

static json_t *attachment_json(const json_t *model, const GbAttachment *attachment, const char *problem)
{
    json_t *file = json_pack("{s:I}", "bytes", (json_int_t)attachment->bytes);
    gb_put_text(file, "file", attachment->source_name);
    gb_put_text(file, "stored", attachment->stored_name);
    gb_put_text(file, "sha256", attachment->sha256);
    gb_put_text(file, "kind", attachment->kind);
    gb_put_text(file, "problem", problem);
    json_int_t figure = attachment->beside == 0 ? 0 : figure_of(model, attachment->beside);
    if (attachment->beside != 0)
        json_object_set_new(file, "beside", json_integer(attachment->beside));
    if (figure != 0)
        json_object_set_new(file, "figure", json_integer(figure));
    return file;
}

/* The originals of the photos are counted already; these come on top. */
static void count_originals(json_t *model, guint all, guint bad)
{
    json_t *originals = json_object_get(model, "originals");
    json_int_t bad_before = json_integer_value(json_object_get(originals, "bad"));
    json_object_set_new(originals, "read", json_integer(json_integer_value(json_object_get(originals, "read")) + all));
    json_object_del(originals, "intact");
    if (bad + bad_before > 0)
        json_object_set_new(originals, "bad", json_integer(bad + bad_before));
    else
        json_object_set_new(originals, "intact", json_true());
}

void gb_put_attached(json_t *model, const GbLog *log, const GPtrArray *attachments)
{
    if (attachments->len == 0) {
        json_object_set_new(json_object_get(model, "counts"), "attached", json_integer(0));
        return;
    }
    g_autoptr(GHashTable) noted = gb_seen_load(log);
    Seen seen = { .noted = noted };
    json_t *files = json_array();
    guint bad = 0;
    for (guint i = 0; i < attachments->len; i++) {
        const GbAttachment *attachment = attachments->pdata[i];
        const char *problem = find_problem(&seen, log, attachment);
        bad += problem != NULL;
        json_array_append_new(files, attachment_json(model, attachment, problem));
    }
    if (seen.fresh)
        gb_seen_save(log, noted);
    json_object_set_new(json_object_get(model, "counts"), "attached", json_integer(attachments->len));
    g_autofree char *text = g_strdup_printf("%u file%s", attachments->len, attachments->len == 1 ? "" : "s");
    json_object_set_new(model, "attached", json_pack("{s:s, s:o}", "count_text", text, "files", files));
    count_originals(model, attachments->len, bad);
}
