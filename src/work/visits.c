/* visits.c -- the verb visits. See visits.h.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <gablebook/visits.h>

#include "work-private.h"

#include <errno.h>
#include <gablebook/camera.h>
#include <gablebook/error.h>
#include <gablebook/file.h>
#include <gablebook/import.h>
#include <gablebook/image.h>
#include <gablebook/new.h>
#include <gablebook/shot.h>
#include <glib/gstdio.h>
#include <math.h>

/* --- reading --- */

static void free_photo(gpointer data)
{
    GbCardPhoto *photo = data;
    gb_exif_clear(&photo->exif);
    g_ptr_array_unref(photo->attachments);
    g_free(photo->path);
    g_free(photo);
}

static void leave_out(GbCard *card, const char *path, const char *why)
{
    g_autofree char *shown = g_filename_display_name(path);
    /* What comes from reading the file names it already. */
    g_ptr_array_add(card->left_out, g_str_has_prefix(why, shown) ? g_strdup_printf("%s; left out", why)
                                                                 : g_strdup_printf("%s: %s; left out", shown, why));
}

static void read_photo(GbCard *card, const GbFound *found)
{
    g_autoptr(GError) error = NULL;
    GbImageHeader header;
    if (found->why_not != NULL) {
        leave_out(card, found->path, found->why_not);
        return;
    }
    if (!gb_image_header_file(found->path, &header, &error)) {
        leave_out(card, found->path, error->message);
        return;
    }
    GbCardPhoto *photo = g_new0(GbCardPhoto, 1);
    photo->path = g_strdup(found->path);
    photo->bytes = (gint64)found->bytes;
    photo->exif = header.exif; /* TAKES its text */
    photo->attachments = g_ptr_array_new_with_free_func(g_free);
    g_ptr_array_add(card->photos, photo);
}

/* How well an attachment goes with a photo: 3 of its name but for the ending, 2 behind it in the folder, 1 before it, 0 not at all. */
static int closeness(const char *attachment, const char *photo)
{
    const char *slash = strrchr(attachment, '/'), *dot = strrchr(attachment, '.'), *other = strrchr(photo, '.');
    gsize folder = slash == NULL ? 0 : (gsize)(slash - attachment) + 1, stem = dot == NULL ? strlen(attachment) : (gsize)(dot - attachment);
    if (strncmp(attachment, photo, folder) != 0 || strchr(photo + folder, '/') != NULL)
        return 0;
    if (other != NULL && (gsize)(other - photo) == stem && g_ascii_strncasecmp(attachment, photo, stem) == 0)
        return 3;
    return strcmp(photo, attachment) < 0 ? 2 : 1;
}

/* Photos lie by path: of those behind which it lies the last is the nearest, of the others the first. */
static void put_beside(GbCard *card, const char *attachment)
{
    GbCardPhoto *best = NULL;
    int best_closeness = 0;
    for (guint i = 0; i < card->photos->len; i++) {
        GbCardPhoto *photo = card->photos->pdata[i];
        int close = closeness(attachment, photo->path);
        if (close > best_closeness || (close == 2 && best_closeness == 2)) {
            best = photo;
            best_closeness = close;
        }
    }
    if (best != NULL)
        g_ptr_array_add(best->attachments, g_strdup(attachment));
    else
        leave_out(card, attachment, "no photo lies beside it that would tell to which property it belongs");
}

/* A file named twice is one. */
static void read_files(GbCard *card, const GPtrArray *files)
{
    g_autoptr(GPtrArray) attachments = g_ptr_array_new();
    g_autoptr(GHashTable) seen = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL);
    for (guint i = 0; i < files->len; i++) {
        GbFound *found = files->pdata[i];
        if (!g_hash_table_add(seen, g_canonicalize_filename(found->path, NULL)))
            continue;
        if (found->why_not == NULL && gb_format_is_attachment(gb_format_of_file(found->path)))
            g_ptr_array_add(attachments, found->path);
        else
            read_photo(card, found);
    }
    for (guint i = 0; i < attachments->len; i++)
        put_beside(card, attachments->pdata[i]);
}

/* --- times and visits --- */

static const char *base_name(const char *path)
{
    const char *slash = strrchr(path, '/');
    return slash == NULL ? path : slash + 1;
}

/* A number for each camera, by first use: one for each photo. OWNED by the caller. */
static guint *number_cameras(const GPtrArray *photos)
{
    g_autoptr(GHashTable) numbers = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL);
    guint *cameras = g_new(guint, photos->len + 1);
    for (guint i = 0; i < photos->len; i++) {
        g_autofree char *key = gb_camera_key(&((GbCardPhoto *)photos->pdata[i])->exif);
        guint next = g_hash_table_size(numbers) + 1;
        guint number = GPOINTER_TO_UINT(g_hash_table_lookup(numbers, key));
        if (number == 0) {
            number = next;
            g_hash_table_insert(numbers, g_steal_pointer(&key), GUINT_TO_POINTER(number));
        }
        cameras[i] = number - 1;
    }
    return cameras;
}

/* Photos lie by path, and so each camera's by its file numbers. */
static GbClockCard *correct_times(GPtrArray *photos, const guint *cameras)
{
    g_autofree GbReading *readings = g_new(GbReading, photos->len + 1);
    for (guint i = 0; i < photos->len; i++) {
        const GbCardPhoto *photo = photos->pdata[i];
        readings[i] = gb_reading_from_exif(&photo->exif, cameras[i], base_name(photo->path));
    }
    GbClockCard *card = gb_clock_card(readings, photos->len, NULL, 0, NULL, 0, NULL); /* fails over people's words alone */
    for (guint i = 0; i < photos->len; i++)
        ((GbCardPhoto *)photos->pdata[i])->time = card->times[i];
    return card;
}

/* The time by which shots of all cameras can be told apart: UTC, or where the card knows no zone the readings. */
static double any_time(const GbClockTime *time, gboolean utc)
{
    return utc ? time->utc_s : isnan(time->local_s) ? time->reading_s : time->local_s;
}

static GbVisits *split(const GPtrArray *photos, const guint *cameras)
{
    g_autofree GbVisitShot *shots = g_new0(GbVisitShot, photos->len + 1);
    gboolean utc = FALSE;
    for (guint i = 0; i < photos->len; i++)
        utc = utc || !isnan(((GbCardPhoto *)photos->pdata[i])->time.utc_s);
    for (guint i = 0; i < photos->len; i++) {
        const GbCardPhoto *photo = photos->pdata[i];
        shots[i] = (GbVisitShot){ any_time(&photo->time, utc), photo->exif.lat_deg, photo->exif.lon_deg, photo->exif.position_error_m,
                                  (int)cameras[i], i };
    }
    return gb_visits_split(shots, photos->len);
}

static void put_in_order(GPtrArray *photos, const GbClockCard *times)
{
    g_autofree gpointer *by_path = g_memdup2(photos->pdata, photos->len * sizeof(gpointer));
    for (guint i = 0; i < photos->len; i++)
        photos->pdata[i] = by_path[times->order[i]];
}

GbCard *gb_card_read(const char *const *paths)
{
    GbCard *card = g_new0(GbCard, 1);
    card->photos = g_ptr_array_new_with_free_func(free_photo);
    card->left_out = g_ptr_array_new_with_free_func(g_free);
    g_autoptr(GPtrArray) files = gb_scan(paths, &card->sidecars);
    read_files(card, files);
    g_autofree guint *cameras = number_cameras(card->photos);
    g_autoptr(GbClockCard) times = correct_times(card->photos, cameras);
    card->visits = split(card->photos, cameras);
    for (guint i = 0; i < card->photos->len; i++)
        ((GbCardPhoto *)card->photos->pdata[i])->visit = card->visits->visit_of[i];
    put_in_order(card->photos, times);
    return card;
}

void gb_card_free(GbCard *card)
{
    if (card == NULL)
        return;
    g_ptr_array_unref(card->photos);
    g_ptr_array_unref(card->left_out);
    gb_visits_free(card->visits);
    g_free(card);
}

/* --- into claim folders --- */

static void free_claim(gpointer data)
{
    GbCardClaim *claim = data;
    g_free(claim->folder);
    g_free(claim);
}

/* Visits of one property share a number; others get one of their own behind those. */
static guint property_of(const GbVisits *visits, guint visit)
{
    guint property = visits->visits[visit].property;
    return property == GB_VISIT_NO_PROPERTY ? visits->n_properties + visit : property;
}

static char *day_of(const GPtrArray *photos)
{
    for (guint i = 0; i < photos->len; i++) {
        const GbClockTime *time = &((GbCardPhoto *)photos->pdata[i])->time;
        g_autofree char *text = gb_time_text(isnan(time->local_s) ? time->reading_s : time->local_s);
        if (strlen(text) >= 10)
            return g_strndup(text, 10);
    }
    return NULL;
}

static char *name_folder(const char *dir, const char *day, guint number)
{
    g_autofree char *name = g_strdup_printf("%s-property-%u", day != NULL ? day : "undated", number);
    return g_build_filename(dir, name, NULL);
}

/* What tells a photo from others without reading it whole. OWNED by the caller. */
static char *mark_of(const char *name, gint64 bytes, const GbExif *exif)
{
    g_autofree char *camera = gb_camera_key(exif);
    return g_strdup_printf("%s\n%" G_GINT64_FORMAT "\n%s\n%a", name, bytes, camera, exif->taken_local_s);
}

static gboolean holds_some(const GPtrArray *shots, const GPtrArray *photos)
{
    g_autoptr(GHashTable) marks = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL);
    for (guint i = 0; i < shots->len; i++) {
        const GbShot *shot = shots->pdata[i];
        g_hash_table_add(marks, mark_of(shot->source_name, shot->bytes, &shot->exif));
    }
    for (guint i = 0; i < photos->len; i++) {
        const GbCardPhoto *photo = photos->pdata[i];
        g_autofree char *name = g_filename_display_name(base_name(photo->path));
        g_autofree char *mark = mark_of(name, photo->bytes, &photo->exif);
        if (g_hash_table_contains(marks, mark))
            return TRUE;
    }
    return FALSE;
}

static GbVisitShot position_of(const GbClockTime *time, const GbExif *exif, guint i)
{
    return (GbVisitShot){ time->utc_s, exif->lat_deg, exif->lon_deg, exif->position_error_m, 0, i };
}

/* Whether the shots of a claim and these photos, taken together, are of one property. */
static gboolean is_one_property(const GPtrArray *shots, const GPtrArray *photos)
{
    guint n = shots->len + photos->len;
    g_autofree GbVisitShot *all = g_new0(GbVisitShot, n + 1);
    g_autoptr(GHashTable) of_claim = g_hash_table_new(NULL, NULL);
    for (guint i = 0; i < n; i++)
        if (i < shots->len)
            all[i] = position_of(&((GbShot *)shots->pdata[i])->time, &((GbShot *)shots->pdata[i])->exif, i);
        else
            all[i] = position_of(&((GbCardPhoto *)photos->pdata[i - shots->len])->time, &((GbCardPhoto *)photos->pdata[i - shots->len])->exif, i);
    g_autoptr(GbVisits) visits = gb_visits_split(all, n);
    for (guint i = 0; i < n; i++) {
        guint property = visits->visits[visits->visit_of[i]].property;
        if (property != GB_VISIT_NO_PROPERTY && i < shots->len)
            g_hash_table_add(of_claim, GUINT_TO_POINTER(property));
        if (property != GB_VISIT_NO_PROPERTY && i >= shots->len && g_hash_table_contains(of_claim, GUINT_TO_POINTER(property)))
            return TRUE;
    }
    return FALSE;
}

/* Whether these photos belong into a claim that is there already: it holds some of them (a run that was cut short), or nothing yet, or
 * shots of their property. Photos of two properties in one claim are worse than one property in two. */
static gboolean belong(const GPtrArray *shots, const GPtrArray *photos)
{
    return shots->len == 0 || holds_some(shots, photos) || is_one_property(shots, photos);
}

/* Where the claims go, and what new ones begin with. */
typedef struct {
    const char *dir;
    const GbEdit *facts; /* NULL: none */
    const GbBeginning *beginning;
    GHashTable *taken;   /* folders of this run */
} Into;

/* The first folder of that day's name which no other property of this run took, and which is new or right for these photos. OWNED by the
 * caller; NULL with error. */
static GbLog *find_claim(const GPtrArray *photos, const Into *into, char **folder, GError **error)
{
    g_autofree char *day = day_of(photos);
    for (guint number = 1;; number++) {
        g_autofree char *path = name_folder(into->dir, day, number), *db = g_build_filename(path, "claim.db", NULL);
        if (g_hash_table_contains(into->taken, path))
            continue;
        GbEdit facts = into->facts != NULL ? *into->facts : (GbEdit){ 0 };
        facts.inspection_date = day;
        gboolean there = g_file_test(db, G_FILE_TEST_EXISTS);
        g_autoptr(GbLog) log = there ? gb_log_open(path, GB_LOG_WRITE, error) : gb_new_with(path, &facts, into->beginning, error);
        g_autoptr(GPtrArray) shots = log == NULL ? NULL : gb_shots_load(log, error);
        if (shots == NULL)
            return NULL;
        if (!belong(shots, photos))
            continue;
        g_hash_table_add(into->taken, g_strdup(path));
        *folder = g_steal_pointer(&path);
        return g_steal_pointer(&log);
    }
}

static GbCardClaim *fill_claim(const GPtrArray *photos, const Into *into, GError **error)
{
    g_autofree char *folder = NULL;
    g_autoptr(GbLog) log = find_claim(photos, into, &folder, error);
    g_autoptr(GPtrArray) paths = g_ptr_array_new();
    GbImportTally tally;
    for (guint i = 0; i < photos->len; i++) {
        const GbCardPhoto *photo = photos->pdata[i];
        g_ptr_array_add(paths, photo->path);
        for (guint k = 0; k < photo->attachments->len; k++)
            g_ptr_array_add(paths, photo->attachments->pdata[k]);
    }
    g_ptr_array_add(paths, NULL);
    if (log == NULL || !gb_import(log, (const char *const *)paths->pdata, NULL, &tally, error))
        return NULL;
    GbCardClaim *claim = g_new(GbCardClaim, 1);
    *claim = (GbCardClaim){ g_steal_pointer(&folder), tally.fresh + tally.back, tally.known, tally.left_out, tally.attached };
    return claim;
}

/* By file name, as import would find them: numbers follow the card. */
static gint compare_paths(gconstpointer a, gconstpointer b)
{
    return strcmp((*(GbCardPhoto *const *)a)->path, (*(GbCardPhoto *const *)b)->path);
}

GPtrArray *gb_card_into(const GbCard *card, const char *dir, const GbEdit *facts, const GbBeginning *beginning, GError **error)
{
    if (g_mkdir_with_parents(dir, 0777) != 0) {
        g_set_error(error, GB_ERROR, GB_ERROR_IO, "%s: can't be made: %s", dir, g_strerror(errno));
        return NULL;
    }
    g_autoptr(GPtrArray) claims = g_ptr_array_new_with_free_func(free_claim);
    g_autoptr(GHashTable) taken = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL);
    const GbBeginning plain = { 0 };
    const Into into = { dir, facts, beginning != NULL ? beginning : &plain, taken };
    guint last = card->visits->n_properties + card->visits->n_visits;
    for (guint property = 0; property < last; property++) {
        g_autoptr(GPtrArray) photos = g_ptr_array_new();
        for (guint i = 0; i < card->photos->len; i++)
            if (property_of(card->visits, ((GbCardPhoto *)card->photos->pdata[i])->visit) == property)
                g_ptr_array_add(photos, card->photos->pdata[i]);
        if (photos->len == 0)
            continue;
        g_ptr_array_sort(photos, compare_paths);
        GbCardClaim *claim = fill_claim(photos, &into, error);
        if (claim == NULL)
            return NULL;
        g_ptr_array_add(claims, claim);
    }
    return g_steal_pointer(&claims);
}
