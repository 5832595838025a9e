/* pictures.c -- the pictures of a report: originals held against their digests, pictures made on all processors, a size kept.
 *
 * Every original is read once (unless it is known to be untouched, seen.c) and everything is done with those bytes: digest, picture.
 * A worker holds one original and one picture, so memory does not grow with their number. What is written later comes
 * picture by picture from the cache.
 *
 * A budget is met by going down a fixed ladder of scales and qualities. A sample tells which step may fit; the sizes of all the
 * pictures decide. Nothing in it depends on what the cache holds or on the order in which the workers finish.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "report-private.h"

#include <gablebook/digest.h>
#include <gablebook/error.h>
#include <gablebook/file.h>
#include <gablebook/image.h>
#include <gablebook/picture.h>
#include <math.h>

#define MOST_WORKERS 4
#define SAMPLE 12

typedef struct {
    const GbShot *shot;
    char *problem;     /* why it can't be shown; NULL: it can */
    char *state;       /* gb_seen_state of an original that was read whole and is right */
    gsize bytes;       /* of its picture; 0: none */
    gboolean used;     /* the report shows it */
} Entry;

struct GbPictures {
    GbLog *log;
    Entry *entries;
    guint n;
    GHashTable *index;  /* shot number (gint64, in the shot) -> Entry */
    GHashTable *seen;   /* gb_seen_load; not written to while workers run */
    int first_px, px, quality;
    guint step;
};

GbPictures *gb_pictures_new(GbLog *log, const GPtrArray *shots, int px)
{
    GbPictures *pictures = g_new(GbPictures, 1);
    *pictures = (GbPictures){ .log = log, .entries = g_new0(Entry, shots->len + 1), .n = shots->len,
                              .index = g_hash_table_new(g_int64_hash, g_int64_equal), .seen = gb_seen_load(log),
                              .first_px = px, .px = px, .quality = GB_PICTURE_QUALITY };
    for (guint i = 0; i < shots->len; i++) {
        GbShot *shot = g_ptr_array_index(shots, i);
        pictures->entries[i].shot = shot;
        pictures->entries[i].used = TRUE;
        g_hash_table_insert(pictures->index, &shot->number, &pictures->entries[i]);
    }
    return pictures;
}

void gb_pictures_free(GbPictures *pictures)
{
    if (pictures == NULL)
        return;
    for (guint i = 0; i < pictures->n; i++) {
        g_free(pictures->entries[i].problem);
        g_free(pictures->entries[i].state);
    }
    g_free(pictures->entries);
    g_hash_table_unref(pictures->index);
    g_hash_table_unref(pictures->seen);
    g_free(pictures);
}

/* --- one photo, in a worker --- */

/* Problems are sentences that are the same on every machine. */
#define MISSING "its original is missing from the claim folder"
#define UNREADABLE "its original can't be read"
#define CHANGED "its original is no longer the file that was taken in: its SHA-256 differs"
#define DAMAGED "its original is damaged so that no picture can be made of it"

/* The original's bytes if they are right; else NULL, and entry->problem. */
static GBytes *read_right(Entry *entry, const char *path)
{
    char hex[GB_DIGEST_HEX];
    gboolean settled = FALSE;
    g_autofree char *before = gb_seen_state(path, &settled);
    g_autoptr(GBytes) bytes = gb_file_read(path, GB_IMAGE_MAX_BYTES, NULL);
    if (bytes == NULL || !gb_digest(g_bytes_get_data(bytes, NULL), g_bytes_get_size(bytes), hex, NULL)) {
        entry->problem = g_strdup(UNREADABLE);
        return NULL;
    }
    if (strcmp(hex, entry->shot->sha256) != 0) {
        entry->problem = g_strdup(CHANGED);
        return NULL;
    }
    gboolean ignored;
    g_autofree char *after = gb_seen_state(path, &ignored);
    g_clear_pointer(&entry->state, g_free);
    if (settled && g_strcmp0(before, after) == 0)
        entry->state = g_steal_pointer(&before);
    return g_steal_pointer(&bytes);
}

static gboolean is_untouched(const GbPictures *pictures, const Entry *entry, const char *path)
{
    gboolean settled;
    const char *noted = g_hash_table_lookup(pictures->seen, entry->shot->sha256);
    g_autofree char *now = noted != NULL ? gb_seen_state(path, &settled) : NULL;
    return now != NULL && strcmp(now, noted) == 0;
}

static void make_ready(gpointer data, gpointer user)
{
    Entry *entry = data;
    const GbPictures *pictures = user;
    const GbShot *shot = entry->shot;
    g_autofree char *path = gb_log_path(pictures->log, "originals", shot->stored_name, NULL);
    if (!g_file_test(path, G_FILE_TEST_EXISTS)) {
        entry->problem = g_strdup(MISSING);
        return;
    }
    entry->bytes = shot->left_out ? 0 : gb_picture_kept(pictures->log, shot, pictures->px, pictures->quality);
    gboolean made = shot->left_out || entry->bytes > 0;
    if (made && is_untouched(pictures, entry, path))
        return;
    g_autoptr(GBytes) original = read_right(entry, path);
    if (original == NULL || made)
        return;
    g_autoptr(GBytes) picture = gb_picture_make(pictures->log, shot, original, pictures->px, pictures->quality, NULL);
    if (picture == NULL)
        entry->problem = g_strdup(DAMAGED);
    else
        entry->bytes = g_bytes_get_size(picture);
}

/* --- all of them --- */

/* Every stride-th entry that is used and has no problem. Each belongs to one worker; the pool's end makes what they wrote visible. */
static void work(GbPictures *pictures, guint stride)
{
    int workers = (int)CLAMP(g_get_num_processors(), 1, MOST_WORKERS);
    GThreadPool *pool = g_thread_pool_new(make_ready, pictures, workers, FALSE, NULL);
    for (guint i = 0; i < pictures->n; i += stride)
        if (pictures->entries[i].used && pictures->entries[i].problem == NULL)
            g_thread_pool_push(pool, &pictures->entries[i], NULL);
    g_thread_pool_free(pool, FALSE, TRUE);
}

/* Remember what was found right. */
static void note_seen(GbPictures *pictures)
{
    gboolean fresh = FALSE;
    for (guint i = 0; i < pictures->n; i++) {
        Entry *entry = &pictures->entries[i];
        if (entry->state == NULL)
            continue;
        g_hash_table_insert(pictures->seen, g_strdup(entry->shot->sha256), g_steal_pointer(&entry->state));
        fresh = TRUE;
    }
    if (fresh)
        gb_seen_save(pictures->log, pictures->seen);
}

void gb_pictures_prepare(GbPictures *pictures)
{
    work(pictures, 1);
    note_seen(pictures);
}

static Entry *entry_of(const GbPictures *pictures, gint64 number)
{
    return g_hash_table_lookup(pictures->index, &number);
}

const char *gb_pictures_problem(const GbPictures *pictures, gint64 number)
{
    const Entry *entry = entry_of(pictures, number);
    return entry != NULL ? entry->problem : NULL;
}

void gb_pictures_use(GbPictures *pictures, const json_t *heading)
{
    gsize i;
    json_t *figure, *section;
    json_array_foreach(json_object_get(heading, "figures"), i, figure) {
        Entry *entry = entry_of(pictures, json_integer_value(json_object_get(figure, "shot")));
        if (entry != NULL)
            entry->used = TRUE;
    }
    json_array_foreach(json_object_get(heading, "sections"), i, section)
        gb_pictures_use(pictures, section);
}

void gb_pictures_use_none(GbPictures *pictures)
{
    for (guint i = 0; i < pictures->n; i++)
        pictures->entries[i].used = FALSE;
}

guint gb_pictures_bad(const GbPictures *pictures)
{
    guint bad = 0;
    for (guint i = 0; i < pictures->n; i++)
        bad += pictures->entries[i].problem != NULL;
    return bad;
}

char *gb_pictures_name(const GbPictures *pictures, gint64 number)
{
    return g_strdup_printf("%s-%d-q%d", entry_of(pictures, number)->shot->sha256, pictures->px, pictures->quality);
}

GBytes *gb_pictures_get(const GbPictures *pictures, gint64 number, GError **error)
{
    const Entry *entry = entry_of(pictures, number);
    if (entry == NULL) {
        g_set_error(error, GB_ERROR, GB_ERROR_UNKNOWN, "there is no shot %" G_GINT64_FORMAT, number);
        return NULL;
    }
    return gb_picture_at(pictures->log, entry->shot, pictures->px, pictures->quality, error);
}

/* --- a budget --- */

/* From the size that was asked for down to what still shows a house. */
static const struct {
    double scale;
    int quality;
} ladder[] = {
    { 1, GB_PICTURE_QUALITY }, { 1, 74 }, { 0.85, 74 }, { 0.85, 66 }, { 0.72, 66 }, { 0.6, 66 }, { 0.5, 62 },
    { 0.42, 60 }, { 0.35, 58 }, { 0.3, 54 }, { 0.25, 50 },
};
#define LEAST_PX 240

static void take_step(GbPictures *pictures, guint step)
{
    pictures->step = step;
    pictures->px = MAX(MIN(LEAST_PX, pictures->first_px), (int)lround(pictures->first_px * ladder[step].scale));
    pictures->quality = ladder[step].quality;
}

static double total(const GbPictures *pictures, guint stride)
{
    double bytes = 0;
    for (guint i = 0; i < pictures->n; i += stride)
        if (pictures->entries[i].used && pictures->entries[i].problem == NULL)
            bytes += (double)pictures->entries[i].bytes;
    return bytes;
}

double gb_pictures_total(const GbPictures *pictures)
{
    return total(pictures, 1);
}

gboolean gb_pictures_fit(GbPictures *pictures, double bytes, gboolean smaller)
{
    guint stride = MAX(1, pictures->n / SAMPLE);
    double first_total = total(pictures, 1), first_sample = total(pictures, stride);
    if (first_total <= bytes && !smaller)
        return TRUE;
    for (guint step = pictures->step + 1; step < G_N_ELEMENTS(ladder); step++) {
        take_step(pictures, step);
        work(pictures, stride);
        double guess = first_sample > 0 ? first_total * total(pictures, stride) / first_sample : 0;
        if (guess > bytes * 1.1 && step + 1 < G_N_ELEMENTS(ladder))
            continue; /* not worth making them all */
        work(pictures, 1);
        if (total(pictures, 1) <= bytes)
            return TRUE;
        first_total = total(pictures, 1);
        first_sample = total(pictures, stride);
    }
    return FALSE;
}
