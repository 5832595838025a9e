/* camera.c -- rows of what people say of clocks, and the clocks as they then are. See camera.h and rows.h.
 *
 * Corrected times are not stored: they follow from the originals, which don't change, and from these rows, and are worked out at
 * every load. So there is one truth, and undo needs no care.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "log-private.h"
#include "rows.h"

#include <gablebook/word.h>
#include <math.h>

/* --- names --- */

char *gb_camera_name(const GbExif *exif)
{
    if (exif->model == NULL)
        return g_strdup(exif->make == NULL ? "" : exif->make);
    if (exif->make == NULL)
        return g_strdup(exif->model);
    gsize first_word = strcspn(exif->make, " "); /* makes are written with their legal form, models without it */
    if (g_ascii_strncasecmp(exif->model, exif->make, first_word) == 0)
        return g_strdup(exif->model);
    return g_strdup_printf("%s %s", exif->make, exif->model);
}

char *gb_camera_key(const GbExif *exif)
{
    if (exif->make == NULL && exif->model == NULL && exif->serial == NULL)
        return g_strdup("");
    return g_strdup_printf("%s|%s|%s", exif->make ? exif->make : "", exif->model ? exif->model : "", exif->serial ? exif->serial : "");
}

/* --- rows --- */

typedef struct {
    GHashTable *said;    /* camera key -> words */
    GHashTable *error_s; /* camera key -> double, owned */
    GArray *pairs;       /* of GbCameraPair */
} Sayings;

static void clear_sayings(Sayings *sayings)
{
    g_clear_pointer(&sayings->said, g_hash_table_unref);
    g_clear_pointer(&sayings->error_s, g_hash_table_unref);
    g_clear_pointer(&sayings->pairs, g_array_unref);
}
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(Sayings, clear_sayings)

#define WORD_MAX_S (100 * 366 * 86400.0) /* as far as gb_clock_parse goes */

/* One word, into the tables; FALSE for what no person can have said. */
static gboolean read_word(sqlite3_stmt *row, Sayings *sayings)
{
    g_autofree char *key = gb_column_text(row, 0), *said = gb_column_text(row, 1);
    double error_s = gb_column_double(row, 2);
    if (key == NULL || said == NULL || !(fabs(error_s) <= WORD_MAX_S))
        return FALSE;
    g_hash_table_insert(sayings->error_s, g_strdup(key), g_memdup2(&error_s, sizeof error_s));
    g_hash_table_insert(sayings->said, g_steal_pointer(&key), g_steal_pointer(&said));
    return TRUE;
}

static gboolean load_words(GbLog *log, Sayings *sayings, GError **error)
{
    g_autoptr(sqlite3_stmt) stmt = gb_log_prepare(log, "SELECT camera, said, error_s FROM clock_word", error);
    for (gboolean row = TRUE; row;) {
        if (stmt == NULL || !gb_log_step(log, stmt, &row, error))
            return FALSE;
        if (!row)
            break;
        if (!read_word(stmt, sayings)) {
            gb_log_senseless(log, "a word on a clock", error);
            return FALSE;
        }
    }
    return TRUE;
}

static gboolean load_pairs(GbLog *log, Sayings *sayings, GError **error)
{
    g_autoptr(sqlite3_stmt) stmt = gb_log_prepare(log, "SELECT shot, other FROM clock_pair ORDER BY shot", error);
    for (gboolean row = TRUE; row;) {
        if (stmt == NULL || !gb_log_step(log, stmt, &row, error))
            return FALSE;
        if (row) {
            const GbCameraPair pair = { sqlite3_column_int64(stmt, 0), sqlite3_column_int64(stmt, 1) };
            g_array_append_val(sayings->pairs, pair);
        }
    }
    return TRUE;
}

static gboolean load_sayings(GbLog *log, Sayings *sayings, GError **error)
{
    sayings->said = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, g_free);
    sayings->error_s = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, g_free);
    sayings->pairs = g_array_new(FALSE, FALSE, sizeof(GbCameraPair));
    return load_words(log, sayings, error) && load_pairs(log, sayings, error);
}

gboolean gb_clock_word_store(GbLog *log, const char *camera, const char *said, double error_s, GError **error)
{
    g_autoptr(sqlite3_stmt) stmt = gb_log_prepare(log,
        "INSERT INTO clock_word (camera, said, error_s) VALUES (:camera, :said, :error_s)"
        " ON CONFLICT (camera) DO UPDATE SET said = excluded.said, error_s = excluded.error_s", error);
    if (stmt == NULL)
        return FALSE;
    gb_bind_text(stmt, ":camera", camera);
    gb_bind_text(stmt, ":said", said);
    gb_bind_double(stmt, ":error_s", error_s);
    return gb_log_finish(log, stmt, error);
}

gboolean gb_clock_word_remove(GbLog *log, const char *camera, GError **error)
{
    g_autoptr(sqlite3_stmt) stmt = gb_log_prepare(log, "DELETE FROM clock_word WHERE camera = :camera", error);
    if (stmt == NULL)
        return FALSE;
    gb_bind_text(stmt, ":camera", camera);
    return gb_log_finish(log, stmt, error);
}

gboolean gb_clock_pair_store(GbLog *log, gint64 shot, gint64 other, GError **error)
{
    g_autoptr(sqlite3_stmt) stmt = gb_log_prepare(log,
        "INSERT INTO clock_pair (shot, other) VALUES (:shot, :other) ON CONFLICT (shot) DO UPDATE SET other = excluded.other", error);
    if (stmt == NULL)
        return FALSE;
    gb_bind_int(stmt, ":shot", shot);
    gb_bind_int(stmt, ":other", other);
    return gb_log_finish(log, stmt, error);
}

gboolean gb_clock_pair_remove(GbLog *log, gint64 shot, GError **error)
{
    g_autoptr(sqlite3_stmt) stmt = gb_log_prepare(log, "DELETE FROM clock_pair WHERE shot = :shot", error);
    if (stmt == NULL)
        return FALSE;
    gb_bind_int(stmt, ":shot", shot);
    return gb_log_finish(log, stmt, error);
}

/* --- the clocks of these shots --- */

typedef struct {
    const GPtrArray *shots;
    GPtrArray *keys;     /* camera number -> key, BORROWED from the shots */
    GbReading *readings; /* one for each shot */
    GArray *words;       /* of GbClockWord */
    GArray *pairs;       /* of GbClockPair */
} Input;

static void clear_input(Input *input)
{
    g_clear_pointer(&input->keys, g_ptr_array_unref);
    g_clear_pointer(&input->readings, g_free);
    g_clear_pointer(&input->words, g_array_unref);
    g_clear_pointer(&input->pairs, g_array_unref);
}
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(Input, clear_input)

static void read_cameras(Input *input)
{
    g_autoptr(GHashTable) numbers = g_hash_table_new(g_str_hash, g_str_equal); /* key -> number + 1 */
    for (guint i = 0; i < input->shots->len; i++) {
        const GbShot *shot = input->shots->pdata[i];
        guint number = GPOINTER_TO_UINT(g_hash_table_lookup(numbers, shot->camera));
        if (number == 0) {
            g_ptr_array_add(input->keys, shot->camera);
            number = input->keys->len;
            g_hash_table_insert(numbers, shot->camera, GUINT_TO_POINTER(number));
        }
        input->readings[i] = gb_reading_from_exif(&shot->exif, number - 1, shot->source_name);
    }
}

static void read_words(Input *input, const Sayings *sayings)
{
    for (guint camera = 0; camera < input->keys->len; camera++) {
        const double *error_s = g_hash_table_lookup(sayings->error_s, input->keys->pdata[camera]);
        if (error_s != NULL) {
            const GbClockWord word = { camera, *error_s };
            g_array_append_val(input->words, word);
        }
    }
}

/* Pairs of shots that are not in the claim now (their import was undone) are passed over. */
static void read_pairs(Input *input, const Sayings *sayings)
{
    g_autoptr(GHashTable) places = g_hash_table_new(g_int64_hash, g_int64_equal); /* number -> index + 1 */
    if (sayings->pairs->len == 0)
        return;
    for (guint i = 0; i < input->shots->len; i++)
        g_hash_table_insert(places, &((GbShot *)input->shots->pdata[i])->number, GUINT_TO_POINTER(i + 1));
    for (guint i = 0; i < sayings->pairs->len; i++) {
        const GbCameraPair *said = &g_array_index(sayings->pairs, GbCameraPair, i);
        guint shot = GPOINTER_TO_UINT(g_hash_table_lookup(places, &said->shot));
        guint other = GPOINTER_TO_UINT(g_hash_table_lookup(places, &said->other));
        const GbClockPair pair = { shot - 1, other - 1 };
        if (shot != 0 && other != 0)
            g_array_append_val(input->pairs, pair);
    }
}

static GbClockCard *follow(const Input *input, gboolean pairs_too, GError **error)
{
    return gb_clock_card(input->readings, input->shots->len, (const GbClockPair *)(gpointer)input->pairs->data,
                         pairs_too ? input->pairs->len : 0, (const GbClockWord *)(gpointer)input->words->data, input->words->len, error);
}

/* Pairs may no longer make sense (an undone import took the trusted camera away): then they are passed over. Words always do. */
static GbClockCard *make_card(const Input *input)
{
    GbClockCard *card = follow(input, TRUE, NULL);
    return card != NULL ? card : follow(input, FALSE, NULL);
}

/* Fills input with shots, which lie by file name, and with what people say of their clocks. */
static gboolean fill_input(GbLog *log, const GPtrArray *shots, Sayings *sayings, Input *input, GError **error)
{
    if (!load_sayings(log, sayings, error))
        return FALSE;
    *input = (Input){ shots, g_ptr_array_new(), g_new0(GbReading, shots->len), g_array_new(FALSE, FALSE, sizeof(GbClockWord)),
                      g_array_new(FALSE, FALSE, sizeof(GbClockPair)) };
    read_cameras(input);
    read_words(input, sayings);
    read_pairs(input, sayings);
    return TRUE;
}

gboolean gb_clock_pairs_hold(GbLog *log, GError **error)
{
    g_auto(Sayings) sayings = { NULL, NULL, NULL };
    g_auto(Input) input = { NULL, NULL, NULL, NULL, NULL };
    g_autoptr(GPtrArray) shots = gb_shots_load_by_name(log, error);
    if (shots == NULL || !fill_input(log, shots, &sayings, &input, error))
        return FALSE;
    g_autoptr(GbClockCard) card = follow(&input, TRUE, error);
    return card != NULL;
}

gboolean gb_shots_set_times(GbLog *log, GPtrArray *shots, GError **error)
{
    g_auto(Sayings) sayings = { NULL, NULL, NULL };
    g_auto(Input) input = { NULL, NULL, NULL, NULL, NULL };
    if (!fill_input(log, shots, &sayings, &input, error))
        return FALSE;
    g_autoptr(GbClockCard) card = make_card(&input);
    g_autofree gpointer *by_name = g_memdup2(shots->pdata, shots->len * sizeof *shots->pdata);
    for (guint i = 0; i < shots->len; i++)
        ((GbShot *)by_name[i])->time = card->times[i];
    for (guint i = 0; i < shots->len; i++) {
        shots->pdata[i] = by_name[card->order[i]];
        ((GbShot *)shots->pdata[i])->rank = i + 1;
    }
    return TRUE;
}

/* --- cameras --- */

static void free_camera(gpointer data)
{
    GbCamera *camera = data;
    g_free(camera->key);
    g_free(camera->name);
    g_free(camera->said);
    g_array_unref(camera->stretches);
    g_free(camera);
}

void gb_cameras_free(GbCameras *cameras)
{
    if (cameras == NULL)
        return;
    g_ptr_array_unref(cameras->cameras);
    g_array_unref(cameras->pairs);
    g_free(cameras);
}

static GbCamera *new_camera(const Input *input, guint number, const Sayings *sayings)
{
    GbCamera *camera = g_new0(GbCamera, 1);
    camera->key = g_strdup(input->keys->pdata[number]);
    camera->said = g_strdup(g_hash_table_lookup(sayings->said, camera->key));
    camera->stretches = g_array_new(FALSE, FALSE, sizeof(GbClockStretch));
    for (guint i = 0; i < input->shots->len; i++) {
        const GbShot *shot = input->shots->pdata[i];
        if (input->readings[i].camera != number)
            continue;
        if (camera->shots++ == 0)
            camera->name = gb_camera_name(&shot->exif);
    }
    if (camera->name == NULL || *camera->name == '\0') {
        g_free(camera->name);
        camera->name = g_strdup("unknown camera");
    }
    return camera;
}

/* Two of one model are told apart by their serial number. */
static void tell_apart(GPtrArray *cameras)
{
    g_autoptr(GHashTable) first_of = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL); /* name -> camera */
    g_autoptr(GHashTable) shared = g_hash_table_new(NULL, NULL);                                   /* of GbCamera */
    for (guint i = 0; i < cameras->len; i++) {
        GbCamera *camera = cameras->pdata[i], *first = g_hash_table_lookup(first_of, camera->name);
        if (first == NULL) {
            g_hash_table_insert(first_of, g_strdup(camera->name), camera);
            continue;
        }
        g_hash_table_add(shared, first);
        g_hash_table_add(shared, camera);
    }
    for (guint i = 0; i < cameras->len; i++) {
        GbCamera *camera = cameras->pdata[i];
        const char *serial = strrchr(camera->key, '|');
        if (!g_hash_table_contains(shared, camera) || serial == NULL)
            continue;
        /* no brackets: a serial number is to be found by typing it (word.h) */
        char *name = serial[1] != '\0' ? g_strdup_printf("%s, serial %s", camera->name, serial + 1)
                                       : g_strdup_printf("%s, no serial", camera->name);
        g_free(camera->name);
        camera->name = name;
    }
}

/* The order of gb_shots_load_by_name, in which a camera writes its files. */
static int compare_by_name(gconstpointer a, gconstpointer b)
{
    const GbShot *x = *(const GbShot *const *)a, *y = *(const GbShot *const *)b;
    int by_name = strcmp(x->source_name, y->source_name);
    return by_name != 0 ? by_name : (x->number > y->number) - (x->number < y->number);
}

GbCameras *gb_cameras_of(GbLog *log, const GPtrArray *shots_in_any_order, GError **error)
{
    g_auto(Sayings) sayings = { NULL, NULL, NULL };
    g_auto(Input) input = { NULL, NULL, NULL, NULL, NULL };
    g_autoptr(GPtrArray) shots = g_ptr_array_copy((GPtrArray *)shots_in_any_order, NULL, NULL);
    g_ptr_array_set_free_func(shots, NULL); /* they stay the caller's */
    g_ptr_array_sort(shots, compare_by_name);
    if (!fill_input(log, shots, &sayings, &input, error))
        return NULL;
    g_autoptr(GbClockCard) card = make_card(&input);
    GbCameras *all = g_new(GbCameras, 1);
    all->cameras = g_ptr_array_new_with_free_func(free_camera);
    all->pairs = g_steal_pointer(&sayings.pairs);
    for (guint number = 0; number < input.keys->len; number++)
        g_ptr_array_add(all->cameras, new_camera(&input, number, &sayings));
    for (gsize i = 0; i < card->n_stretches; i++) {
        GbClockStretch stretch = card->stretches[i];
        GbCamera *camera = all->cameras->pdata[stretch.camera];
        stretch.first = (guint)((GbShot *)shots->pdata[stretch.first])->number;
        stretch.last = (guint)((GbShot *)shots->pdata[stretch.last])->number;
        g_array_append_val(camera->stretches, stretch);
    }
    tell_apart(all->cameras);
    return all;
}

GbCameras *gb_cameras_load(GbLog *log, GError **error)
{
    g_autoptr(GPtrArray) shots = gb_shots_load_by_name(log, error);
    return shots == NULL ? NULL : gb_cameras_of(log, shots, error);
}

const GbCamera *gb_cameras_find(const GbCameras *cameras, const char *text, GError **error)
{
    guint n = cameras->cameras->len;
    g_autofree const char **names = g_new(const char *, n + 1);
    for (guint i = 0; i < n; i++)
        names[i] = ((const GbCamera *)cameras->cameras->pdata[i])->name;
    gssize found = gb_word_find(text, names, n, "camera", error);
    return found < 0 ? NULL : cameras->cameras->pdata[found];
}
