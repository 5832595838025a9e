/* shot.c -- rows of the photos: what the file says (original), what a person says (shot). See shot.h and rows.h.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "log-private.h"
#include "rows.h"

#include <gablebook/error.h>
#include <gablebook/numbers.h>
#include <math.h>

/* --- reading --- */

static void free_shot(gpointer data)
{
    GbShot *shot = data;
    g_free(shot->sha256);
    g_free(shot->source_name);
    g_free(shot->stored_name);
    g_free(shot->trouble);
    gb_exif_clear(&shot->exif);
    g_free(shot->camera);
    g_free(shot->weak);
    g_free(shot->remark);
    g_free(shot->subject);
    g_free(shot->value);
    g_free(shot->caption);
    g_clear_pointer(&shot->marks, g_ptr_array_unref);
    g_free(shot);
}

/* What the pixels say is in survey, or, where a version before 7 looked at them, in original. */
#define LOOKED_AT(column) "ifnull(v." #column ", o." #column "), "
#define SHOT_COLUMNS                                                                                                              \
    "o.id, o.sha256, o.source_name, o.stored_name, o.bytes, o.width, o.height, max(o.damaged, ifnull(v.damaged, 0)),"             \
    " v.original IS NOT NULL OR o.survey_width IS NOT NULL, v.trouble, o.orientation, o.make, o.model,"                           \
    " o.serial, o.taken_local_s, o.offset_min, o.lat_deg, o.lon_deg, o.alt_m, o.heading_deg, o.heading_ref, o.position_error_m,"  \
    " o.gps_utc_s, o.gps_day_s, o.focal_35mm_mm, o.exif_incomplete,"                                                              \
    " " LOOKED_AT(survey_width) LOOKED_AT(survey_height) LOOKED_AT(sharpness) LOOKED_AT(smear_px) LOOKED_AT(smear_side_px)        \
    LOOKED_AT(luma_mean) LOOKED_AT(luma_dark) LOOKED_AT(luma_middle) LOOKED_AT(luma_light) LOOKED_AT(black) LOOKED_AT(white)      \
    LOOKED_AT(picture_hash)                                                                                                       \
    "s.place, s.subject, s.distance, s.value, s.value_number, s.caption, s.left_out, s.hand_order"
#define SHOT_TABLES "shot s JOIN original o ON o.id = s.number LEFT JOIN survey v ON v.original = o.id"
enum {
    ID, SHA256, SOURCE_NAME, STORED_NAME, BYTES, WIDTH, HEIGHT, DAMAGED, IS_LOOKED_AT, TROUBLE, ORIENTATION, MAKE, MODEL,
    SERIAL, TAKEN, OFFSET, LAT, LON, ALT, HEADING, HEADING_REF, POSITION_ERROR,
    GPS_UTC, GPS_DAY, FOCAL, EXIF_INCOMPLETE,
    SURVEY_WIDTH, SURVEY_HEIGHT, SHARPNESS, SMEAR, SMEAR_SIDE, LUMA_MEAN, LUMA_DARK, LUMA_MIDDLE, LUMA_LIGHT,
    BLACK, WHITE, PICTURE_HASH,
    PLACE, SUBJECT, DISTANCE, VALUE, VALUE_NUMBER, CAPTION, LEFT_OUT, HAND_ORDER
};

static void read_exif(sqlite3_stmt *row, GbExif *exif)
{
    gb_exif_init(exif);
    g_autofree char *ref = gb_column_text(row, HEADING_REF);
    exif->make = gb_column_text(row, MAKE);
    exif->model = gb_column_text(row, MODEL);
    exif->serial = gb_column_text(row, SERIAL);
    exif->taken_local_s = gb_column_double(row, TAKEN);
    exif->has_offset = sqlite3_column_type(row, OFFSET) != SQLITE_NULL;
    exif->offset_min = sqlite3_column_int(row, OFFSET);
    exif->orientation = CLAMP(sqlite3_column_int(row, ORIENTATION), 1, 8);
    exif->lat_deg = gb_column_double(row, LAT);
    exif->lon_deg = gb_column_double(row, LON);
    exif->alt_m = gb_column_double(row, ALT);
    exif->heading_deg = gb_column_double(row, HEADING);
    exif->heading_ref = ref == NULL ? 0 : ref[0];
    exif->position_error_m = gb_column_double(row, POSITION_ERROR);
    exif->gps_utc_s = gb_column_double(row, GPS_UTC);
    exif->gps_day_s = gb_column_double(row, GPS_DAY);
    exif->focal_35mm_mm = gb_column_double(row, FOCAL);
    exif->incomplete = sqlite3_column_int(row, EXIF_INCOMPLETE) != 0;
}

/* FALSE: never measured, or not by a program of this kind. */
static gboolean read_quality(sqlite3_stmt *row, GbQuality *quality)
{
    *quality = (GbQuality){
        .width = sqlite3_column_int(row, SURVEY_WIDTH),
        .height = sqlite3_column_int(row, SURVEY_HEIGHT),
        .sharpness = gb_column_double(row, SHARPNESS),
        .smear_px = gb_column_double(row, SMEAR),
        .smear_side_px = sqlite3_column_int(row, SMEAR_SIDE),
        .mean = gb_column_double(row, LUMA_MEAN),
        .dark = gb_column_double(row, LUMA_DARK),
        .middle = gb_column_double(row, LUMA_MIDDLE),
        .light = gb_column_double(row, LUMA_LIGHT),
        .black = gb_column_double(row, BLACK),
        .white = gb_column_double(row, WHITE),
        .hashed = sqlite3_column_type(row, PICTURE_HASH) == SQLITE_INTEGER,
        .hash = (guint64)sqlite3_column_int64(row, PICTURE_HASH),
    };
    return quality->width > 0 && quality->height > 0 && !isnan(quality->sharpness) && !isnan(quality->mean);
}

static GbDistance read_distance(sqlite3_stmt *row)
{
    g_autofree char *word = gb_column_text(row, DISTANCE);
    for (int d = GB_DISTANCE_OVERVIEW; d < GB_DISTANCES; d++)
        if (g_strcmp0(word, gb_distance_word((GbDistance)d)) == 0)
            return (GbDistance)d;
    return GB_DISTANCE_UNKNOWN;
}

static GbShot *read_shot(sqlite3_stmt *row)
{
    GbShot *shot = g_new0(GbShot, 1);
    shot->number = sqlite3_column_int64(row, ID);
    shot->sha256 = gb_column_text(row, SHA256);
    shot->source_name = gb_column_text(row, SOURCE_NAME);
    shot->stored_name = gb_column_text(row, STORED_NAME);
    shot->bytes = sqlite3_column_int64(row, BYTES);
    shot->width = sqlite3_column_int(row, WIDTH);
    shot->height = sqlite3_column_int(row, HEIGHT);
    shot->damaged = sqlite3_column_int(row, DAMAGED) != 0;
    shot->looked_at = sqlite3_column_int(row, IS_LOOKED_AT) != 0;
    shot->trouble = gb_column_text(row, TROUBLE);
    read_exif(row, &shot->exif);
    shot->camera = gb_camera_key(&shot->exif);
    shot->measured = read_quality(row, &shot->quality);
    shot->place = sqlite3_column_int64(row, PLACE);
    shot->subject = gb_column_text(row, SUBJECT);
    shot->distance = read_distance(row);
    shot->value = gb_column_text(row, VALUE);
    shot->value_number = gb_column_double(row, VALUE_NUMBER);
    shot->caption = gb_column_text(row, CAPTION);
    shot->left_out = sqlite3_column_int(row, LEFT_OUT) != 0;
    shot->hand_order = sqlite3_column_int64(row, HAND_ORDER);
    return shot;
}

gboolean gb_is_name_in_originals(const char *name)
{
    return name != NULL && name[0] != '\0' && strchr(name, '/') == NULL && strcmp(name, ".") != 0 && strcmp(name, "..") != 0;
}

/* NULL columns of a hostile database must not reach code that relies on the schema's NOT NULL. */
static gboolean is_sound(const GbShot *shot)
{
    return shot->sha256 != NULL && strlen(shot->sha256) == 64 &&
           strspn(shot->sha256, "0123456789abcdef") == 64 && shot->source_name != NULL &&
           gb_is_name_in_originals(shot->stored_name) && shot->width > 0 && shot->height > 0;
}

static gboolean fail_unsound(GbLog *log, const GbShot *shot, GError **error)
{
    g_set_error(error, GB_ERROR, GB_ERROR_DAMAGED, "%s: claim.db holds a shot (%" G_GINT64_FORMAT ") that makes no sense",
                gb_log_folder(log), shot->number);
    return FALSE;
}

GPtrArray *gb_shots_load_by_name(GbLog *log, GError **error)
{
    g_autoptr(sqlite3_stmt) stmt = gb_log_prepare(log,
        "SELECT " SHOT_COLUMNS " FROM " SHOT_TABLES
        " ORDER BY o.source_name, o.id", error);
    g_autoptr(GPtrArray) shots = g_ptr_array_new_with_free_func(free_shot);
    for (gboolean row = TRUE; row;) {
        if (stmt == NULL || !gb_log_step(log, stmt, &row, error))
            return NULL;
        if (!row)
            break;
        GbShot *shot = read_shot(stmt);
        g_ptr_array_add(shots, shot);
        if (!is_sound(shot)) {
            fail_unsound(log, shot, error);
            return NULL;
        }
    }
    return g_steal_pointer(&shots);
}

/* Append the shots of one range that taken, a set of numbers, does not hold yet. */
static gboolean load_range(GbLog *log, sqlite3_stmt *stmt, const GbRange *range, GPtrArray *shots, GHashTable *taken, GError **error)
{
    gb_bind_int(stmt, ":first", range->first);
    gb_bind_int(stmt, ":last", range->last);
    for (gboolean row = TRUE; row;) {
        if (!gb_log_step(log, stmt, &row, error))
            return FALSE;
        gint64 number = row ? sqlite3_column_int64(stmt, ID) : 0;
        if (!row || g_hash_table_contains(taken, &number))
            continue;
        GbShot *shot = read_shot(stmt);
        g_ptr_array_add(shots, shot);
        if (!is_sound(shot))
            return fail_unsound(log, shot, error);
        g_hash_table_add(taken, &shot->number);
    }
    sqlite3_reset(stmt);
    return TRUE;
}

GPtrArray *gb_shots_load_ranges(GbLog *log, const GArray *ranges, GError **error)
{
    g_autoptr(sqlite3_stmt) stmt = gb_log_prepare(log,
        "SELECT " SHOT_COLUMNS " FROM " SHOT_TABLES " WHERE s.number BETWEEN :first AND :last ORDER BY s.number", error);
    g_autoptr(GPtrArray) shots = g_ptr_array_new_with_free_func(free_shot);
    g_autoptr(GHashTable) taken = g_hash_table_new(g_int64_hash, g_int64_equal);
    for (guint i = 0; stmt != NULL && i < ranges->len; i++)
        if (!load_range(log, stmt, &g_array_index(ranges, GbRange, i), shots, taken, error))
            return NULL;
    return stmt == NULL ? NULL : g_steal_pointer(&shots);
}

static void free_mark(gpointer mark)
{
    gb_mark_free(mark);
}

/* Each mark to its shot. */
static gboolean attach_marks(GbLog *log, const GPtrArray *shots, GError **error)
{
    g_autoptr(GPtrArray) marks = gb_marks_load(log, error);
    g_autoptr(GHashTable) by_number = g_hash_table_new(g_int64_hash, g_int64_equal);
    if (marks == NULL)
        return FALSE;
    for (guint i = 0; i < shots->len && marks->len > 0; i++)
        g_hash_table_insert(by_number, &((GbShot *)shots->pdata[i])->number, shots->pdata[i]);
    while (marks->len > 0) {
        GbMark *mark = g_ptr_array_steal_index(marks, 0);
        GbShot *shot = g_hash_table_lookup(by_number, &mark->shot);
        if (shot == NULL) { /* the schema forbids it; the file may come from elsewhere */
            gb_mark_free(mark);
            continue;
        }
        if (shot->marks == NULL)
            shot->marks = g_ptr_array_new_with_free_func(free_mark);
        g_ptr_array_add(shot->marks, mark);
    }
    return TRUE;
}

GPtrArray *gb_shots_load(GbLog *log, GError **error)
{
    g_autoptr(GPtrArray) shots = gb_shots_load_by_name(log, error);
    if (shots == NULL || !attach_marks(log, shots, error) || !gb_shots_set_times(log, shots, error))
        return NULL;
    gb_shots_set_flaws(shots);
    return g_steal_pointer(&shots);
}

const GbShot *gb_shots_by_number(const GPtrArray *shots, gint64 number)
{
    for (guint i = 0; i < shots->len; i++)
        if (((const GbShot *)shots->pdata[i])->number == number)
            return shots->pdata[i];
    return NULL;
}

/* --- what follows from it --- */

gboolean gb_shot_is_paper(const GbShot *shot, const GbCatalogue *catalogue)
{
    const GbSubject *subject = shot->subject == NULL ? NULL : gb_catalogue_by_id(catalogue, shot->subject);
    return subject != NULL && subject->paper;
}

GbDistance gb_shot_distance(const GbShot *shot, const GbCatalogue *catalogue)
{
    if (shot->distance != GB_DISTANCE_UNKNOWN || shot->subject == NULL)
        return shot->distance;
    const GbSubject *subject = gb_catalogue_by_id(catalogue, shot->subject);
    return subject == NULL ? GB_DISTANCE_UNKNOWN : subject->distance;
}

char *gb_shot_caption(const GbShot *shot, const GPtrArray *places, const GbCatalogue *catalogue)
{
    if (shot->caption != NULL)
        return g_strdup(shot->caption);
    const GbPlace *place = gb_places_by_id(places, shot->place);
    const GbSubject *subject = shot->subject == NULL ? NULL : gb_catalogue_by_id(catalogue, shot->subject);
    return gb_caption_compose(subject, place == NULL ? NULL : place->title, gb_shot_distance(shot, catalogue), shot->value);
}

static int compare_ints(gint64 a, gint64 b)
{
    return (a > b) - (a < b);
}

/* Unknown (0) after everything known. */
static gint64 last_if_zero(gint64 value)
{
    return value == 0 ? G_MAXINT64 : value;
}

int gb_shot_compare(const GbShot *a, GbDistance a_distance, const GbShot *b, GbDistance b_distance)
{
    int by_hand = compare_ints(last_if_zero(a->hand_order), last_if_zero(b->hand_order));
    if (by_hand != 0)
        return by_hand;
    int by_distance = compare_ints(last_if_zero((gint64)a_distance), last_if_zero((gint64)b_distance));
    if (by_distance != 0)
        return by_distance;
    if (a->rank != b->rank)
        return a->rank < b->rank ? -1 : 1;
    double a_time = isnan(a->exif.taken_local_s) ? G_MAXDOUBLE : a->exif.taken_local_s;
    double b_time = isnan(b->exif.taken_local_s) ? G_MAXDOUBLE : b->exif.taken_local_s;
    if (a_time < b_time || a_time > b_time)
        return a_time < b_time ? -1 : 1;
    int by_name = strcmp(a->source_name, b->source_name);
    return by_name != 0 ? by_name : compare_ints(a->number, b->number);
}

/* --- originals: written once --- */

gboolean gb_original_add(GbLog *log, const GbShot *shot, gint64 imported_utc_s, gint64 *number, GError **error)
{
    const GbExif *exif = &shot->exif;
    const char ref[] = { exif->heading_ref, '\0' };
    g_autoptr(sqlite3_stmt) stmt = gb_log_prepare(log,
        "INSERT INTO original (sha256, source_name, stored_name, bytes, width, height, damaged, orientation, make, model, serial,"
        " taken_local_s, offset_min, lat_deg, lon_deg, alt_m, heading_deg, heading_ref, position_error_m, gps_utc_s, gps_day_s,"
        " focal_35mm_mm, exif_incomplete, imported_utc_s)"
        " VALUES (:sha256, :source_name, :stored_name, :bytes, :width, :height, 0, :orientation, :make, :model, :serial,"
        " :taken, :offset, :lat, :lon, :alt, :heading, :heading_ref, :position_error, :gps_utc, :gps_day,"
        " :focal, :exif_incomplete, :imported)", error);
    if (stmt == NULL)
        return FALSE;
    gb_bind_text(stmt, ":sha256", shot->sha256);
    gb_bind_text(stmt, ":source_name", shot->source_name);
    gb_bind_text(stmt, ":stored_name", shot->stored_name);
    gb_bind_int(stmt, ":bytes", shot->bytes);
    gb_bind_int(stmt, ":width", shot->width);
    gb_bind_int(stmt, ":height", shot->height);
    gb_bind_int(stmt, ":orientation", exif->orientation);
    gb_bind_text(stmt, ":make", exif->make);
    gb_bind_text(stmt, ":model", exif->model);
    gb_bind_text(stmt, ":serial", exif->serial);
    gb_bind_double(stmt, ":taken", exif->taken_local_s);
    gb_bind_null_or_int(stmt, ":offset", exif->has_offset, exif->offset_min);
    gb_bind_double(stmt, ":lat", exif->lat_deg);
    gb_bind_double(stmt, ":lon", exif->lon_deg);
    gb_bind_double(stmt, ":alt", exif->alt_m);
    gb_bind_double(stmt, ":heading", exif->heading_deg);
    gb_bind_text(stmt, ":heading_ref", isnan(exif->heading_deg) ? NULL : ref);
    gb_bind_double(stmt, ":position_error", exif->position_error_m);
    gb_bind_double(stmt, ":gps_utc", exif->gps_utc_s);
    gb_bind_double(stmt, ":gps_day", exif->gps_day_s);
    gb_bind_double(stmt, ":focal", exif->focal_35mm_mm);
    gb_bind_int(stmt, ":exif_incomplete", exif->incomplete);
    gb_bind_int(stmt, ":imported", imported_utc_s);
    if (!gb_log_finish(log, stmt, error))
        return FALSE;
    *number = sqlite3_last_insert_rowid(gb_log_db(log));
    return TRUE;
}

gboolean gb_original_find(GbLog *log, const char *sha256, gint64 *number, gboolean *in_claim, char **stored_name, GError **error)
{
    gboolean row;
    g_autoptr(sqlite3_stmt) stmt = gb_log_prepare(log,
        "SELECT o.id, s.number IS NOT NULL, o.stored_name FROM original o LEFT JOIN shot s ON s.number = o.id WHERE o.sha256 = :sha256", error);
    if (stmt == NULL)
        return FALSE;
    gb_bind_text(stmt, ":sha256", sha256);
    if (!gb_log_step(log, stmt, &row, error))
        return FALSE;
    *number = row ? sqlite3_column_int64(stmt, 0) : 0;
    *in_claim = row && sqlite3_column_int(stmt, 1) != 0;
    *stored_name = row ? gb_column_text(stmt, 2) : NULL;
    return TRUE;
}

/* What a query gives: digest and name, a row each. */
static GHashTable *load_names(GbLog *log, const char *sql, GError **error)
{
    g_autoptr(sqlite3_stmt) stmt = gb_log_prepare(log, sql, error);
    g_autoptr(GHashTable) names = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, g_free);
    for (gboolean row = TRUE; row;) {
        if (stmt == NULL || !gb_log_step(log, stmt, &row, error))
            return NULL;
        if (!row)
            break;
        g_autofree char *sha256 = gb_column_text(stmt, 0), *name = gb_column_text(stmt, 1);
        if (sha256 == NULL || !gb_is_name_in_originals(name)) {
            g_set_error(error, GB_ERROR, GB_ERROR_DAMAGED, "%s: claim.db holds an original that makes no sense", gb_log_folder(log));
            return NULL;
        }
        g_hash_table_insert(names, g_steal_pointer(&sha256), g_steal_pointer(&name));
    }
    return g_steal_pointer(&names);
}

GHashTable *gb_original_names(GbLog *log, GError **error)
{
    return load_names(log, "SELECT sha256, stored_name FROM original", error);
}

GHashTable *gb_attachment_names(GbLog *log, GError **error)
{
    return load_names(log, "SELECT sha256, stored_name FROM attachment", error);
}

GHashTable *gb_kept_names(GbLog *log, GError **error)
{
    return load_names(log, "SELECT sha256, stored_name FROM original UNION SELECT sha256, stored_name FROM attachment", error);
}

GHashTable *gb_kept_sizes(GbLog *log, GError **error)
{
    g_autoptr(sqlite3_stmt) stmt = gb_log_prepare(log, "SELECT bytes FROM original UNION SELECT bytes FROM attachment", error);
    g_autoptr(GHashTable) sizes = g_hash_table_new_full(g_int64_hash, g_int64_equal, g_free, NULL);
    for (gboolean row = TRUE; row;) {
        if (stmt == NULL || !gb_log_step(log, stmt, &row, error))
            return NULL;
        gint64 bytes = row ? sqlite3_column_int64(stmt, 0) : 0;
        if (row)
            g_hash_table_add(sizes, g_memdup2(&bytes, sizeof bytes));
    }
    return g_steal_pointer(&sizes);
}

/* --- shots: what people decide --- */

gboolean gb_shot_enter(GbLog *log, gint64 number, GError **error)
{
    g_autoptr(sqlite3_stmt) stmt = gb_log_prepare(log, "INSERT INTO shot (number) VALUES (:number)", error);
    if (stmt == NULL)
        return FALSE;
    gb_bind_int(stmt, ":number", number);
    return gb_log_finish(log, stmt, error);
}

static void bind_decided(sqlite3_stmt *stmt, const GbShot *shot)
{
    gb_bind_null_or_int(stmt, ":place", shot->place != 0, shot->place);
    gb_bind_text(stmt, ":subject", shot->subject);
    gb_bind_text(stmt, ":distance", shot->distance == GB_DISTANCE_UNKNOWN ? NULL : gb_distance_word(shot->distance));
    gb_bind_text(stmt, ":value", shot->value);
    gb_bind_double(stmt, ":value_number", shot->value_number);
    gb_bind_text(stmt, ":caption", shot->caption);
    gb_bind_int(stmt, ":left_out", shot->left_out);
    gb_bind_null_or_int(stmt, ":hand_order", shot->hand_order != 0, shot->hand_order);
    gb_bind_int(stmt, ":number", shot->number);
}

gboolean gb_shots_store(GbLog *log, const GPtrArray *shots, GError **error)
{
    g_autoptr(sqlite3_stmt) stmt = gb_log_prepare(log,
        "UPDATE shot SET place = :place, subject = :subject, distance = :distance, value = :value, value_number = :value_number,"
        " caption = :caption, left_out = :left_out, hand_order = :hand_order WHERE number = :number", error);
    for (guint i = 0; stmt != NULL && i < shots->len; i++) {
        bind_decided(stmt, shots->pdata[i]);
        if (!gb_log_finish(log, stmt, error))
            return FALSE;
    }
    return stmt != NULL;
}

gboolean gb_shot_store(GbLog *log, const GbShot *shot, GError **error)
{
    const gpointer one[] = { (gpointer)shot };
    const GPtrArray shots = { (gpointer *)one, 1 };
    return gb_shots_store(log, &shots, error);
}
