/* board.c -- see board.h.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "board.h"

#include "board-private.h"

#include <math.h>

G_DEFINE_AUTOPTR_CLEANUP_FUNC(json_t, json_decref)

typedef struct {
    gint64 number, at; /* the version at which it went */
} Gone;

struct GbBoard {
    gint64 version;
    gint64 first;         /* the version of this run's first board: older pages must load anew */
    double lat_deg, lon_deg; /* of the map's origin; NAN without a map */
    char *claim;          /* GRefString */
    gint64 claim_at, order_at; /* versions at which the claim's text, and the set or order of the shots, last changed */
    GArray *shots;        /* of GbBoardShot, in the order of time */
    GHashTable *by_number, *by_sha256; /* into shots */
    GArray *gone;
};

static void clear_shot(gpointer data)
{
    GbBoardShot *shot = data;
    g_ref_string_release(shot->text);
    g_ref_string_release(shot->file);
    g_ref_string_release(shot->sha256);
    g_ref_string_release(shot->stored_name);
}

static void clear_board(gpointer data)
{
    GbBoard *board = data;
    g_hash_table_unref(board->by_number);
    g_hash_table_unref(board->by_sha256);
    g_array_unref(board->shots);
    g_array_unref(board->gone);
    g_clear_pointer(&board->claim, g_ref_string_release);
}

GbBoard *gb_board_ref(GbBoard *board)
{
    return g_atomic_rc_box_acquire(board);
}

void gb_board_unref(GbBoard *board)
{
    if (board != NULL)
        g_atomic_rc_box_release_full(board, clear_board);
}

static GbBoard *new_board(gint64 version, const GbBoard *previous)
{
    GbBoard *board = g_atomic_rc_box_new0(GbBoard);
    board->version = version;
    board->first = previous == NULL ? version : previous->first;
    board->shots = g_array_new(FALSE, FALSE, sizeof(GbBoardShot));
    g_array_set_clear_func(board->shots, clear_shot);
    board->gone = g_array_new(FALSE, FALSE, sizeof(Gone));
    board->by_number = g_hash_table_new(g_int64_hash, g_int64_equal);
    board->by_sha256 = g_hash_table_new(g_str_hash, g_str_equal);
    return board;
}

/* --- the scene --- */

static guint *number_stops(const GbScene *scene, const GPtrArray *shots)
{
    g_autofree GbStopShot *at = g_new(GbStopShot, shots->len + 1);
    guint *stops = g_new(guint, shots->len + 1);
    for (guint i = 0; i < shots->len; i++) {
        const GbShot *shot = shots->pdata[i];
        at[i] = (GbStopShot){ isnan(shot->time.utc_s) ? shot->time.local_s : shot->time.utc_s, NAN, NAN, shot->exif.position_error_m };
        if (scene->mapped)
            gb_plane_metres(&scene->map, shot->exif.lat_deg, shot->exif.lon_deg, &at[i].east_m, &at[i].north_m);
    }
    gb_stops_number(at, shots->len, stops);
    return stops;
}

/* Into doubts, which BORROWS from list. */
static GHashTable *index_doubts(const GPtrArray *list)
{
    GHashTable *doubts = g_hash_table_new(g_int64_hash, g_int64_equal);
    for (guint i = 0; i < list->len; i++) {
        GbDoubt *doubt = list->pdata[i];
        g_hash_table_insert(doubts, &doubt->number, doubt->text);
    }
    return doubts;
}

/* --- making --- */

/* TAKES json; OWNED by the caller. */
static char *text_of(json_t *json)
{
    char *text = json_dumps(json, JSON_COMPACT | JSON_REAL_PRECISION(10)); /* a millimetre of a position */
    json_decref(json);
    return text;
}

/* A new text, or the old one when they read the same. OWNED by the caller (g_ref_string_release). */
static char *keep_text(const char *text, char *old, gboolean *same)
{
    *same = old != NULL && strcmp(old, text) == 0;
    return *same ? g_ref_string_acquire(old) : g_ref_string_new(text);
}

static const GbBoardShot *find_number(const GbBoard *board, gint64 number)
{
    return board == NULL ? NULL : g_hash_table_lookup(board->by_number, &number);
}

/* Known or not, and if known the same. */
static gboolean is_same(double a, double b)
{
    return isnan(a) ? isnan(b) : !(a < b) && !(a > b);
}

/* What the file says is most of a shot's text, and hardly ever changes: a large claim's news would take twice as long. OWNED likewise. */
static char *file_text(const GbBoard *board, const GbScene *scene, const GbShot *shot, const GbBoardShot *before, const GbBoard *previous)
{
    if (before != NULL && is_same(board->lat_deg, previous->lat_deg) && is_same(board->lon_deg, previous->lon_deg) &&
        is_same(before->utc_s, shot->time.utc_s))
        return g_ref_string_acquire(before->file);
    g_autofree char *text = text_of(gb_board_file_json(scene, shot));
    return g_ref_string_new(text);
}

/* The members of two objects in one, both having some. OWNED by the caller. */
static char *join(const char *one, const char *other)
{
    return g_strdup_printf("%.*s,%s", (int)strlen(one) - 1, one, other + 1);
}

static void add_shot(GbBoard *board, const GbScene *scene, guint i, const GbBoard *previous)
{
    const GbShot *shot = scene->dossier->shots->pdata[i];
    const GbBoardShot *before = find_number(previous, shot->number);
    gboolean same;
    if (before != NULL && strcmp(before->sha256, shot->sha256) != 0)
        before = NULL; /* another claim's */
    GbBoardShot now = { .number = shot->number, .orientation = shot->exif.orientation, .utc_s = shot->time.utc_s };
    now.file = file_text(board, scene, shot, before, previous);
    g_autofree char *said = text_of(gb_board_shot_json(scene, i)), *text = join(said, now.file);
    now.text = keep_text(text, before == NULL ? NULL : before->text, &same);
    now.changed_at = same && before != NULL ? before->changed_at : board->version;
    now.sha256 = before != NULL ? g_ref_string_acquire(before->sha256) : g_ref_string_new(shot->sha256);
    now.stored_name = before != NULL ? g_ref_string_acquire(before->stored_name) : g_ref_string_new(shot->stored_name);
    g_array_append_val(board->shots, now);
}

static void index_shots(GbBoard *board)
{
    for (guint i = 0; i < board->shots->len; i++) {
        GbBoardShot *shot = &g_array_index(board->shots, GbBoardShot, i);
        g_hash_table_insert(board->by_number, &shot->number, shot);
        g_hash_table_insert(board->by_sha256, shot->sha256, shot);
    }
}

static gboolean is_same_order(const GbBoard *board, const GbBoard *previous)
{
    if (board->shots->len != previous->shots->len)
        return FALSE;
    for (guint i = 0; i < board->shots->len; i++)
        if (g_array_index(board->shots, GbBoardShot, i).number != g_array_index(previous->shots, GbBoardShot, i).number)
            return FALSE;
    return TRUE;
}

static void note_gone(GbBoard *board, const GbBoard *previous)
{
    for (guint i = 0; i < previous->gone->len; i++) {
        const Gone *gone = &g_array_index(previous->gone, Gone, i);
        if (find_number(board, gone->number) == NULL)
            g_array_append_vals(board->gone, gone, 1);
    }
    for (guint i = 0; i < previous->shots->len; i++) {
        const Gone gone = { g_array_index(previous->shots, GbBoardShot, i).number, board->version };
        if (find_number(board, gone.number) == NULL)
            g_array_append_vals(board->gone, &gone, 1);
    }
}

static gboolean fill(GbBoard *board, GbScene *scene, const GbBoard *previous, GError **error)
{
    gboolean same;
    json_t *claim = gb_board_claim_json(scene, error);
    if (claim == NULL)
        return FALSE;
    g_autofree char *text = text_of(claim);
    board->claim = keep_text(text, previous == NULL ? NULL : previous->claim, &same);
    board->claim_at = same && previous != NULL ? previous->claim_at : board->version;
    for (guint i = 0; i < scene->dossier->shots->len; i++)
        add_shot(board, scene, i, previous);
    index_shots(board);
    board->order_at = previous != NULL && is_same_order(board, previous) ? previous->order_at : board->version;
    if (previous != NULL)
        note_gone(board, previous);
    return TRUE;
}

static GbBoard *make(GbLog *log, const GbBoard *previous, GError **error)
{
    gint64 version;
    g_autoptr(GbDossier) dossier = gb_history_version(log, &version, error) ? gb_dossier_load(log, error) : NULL;
    if (dossier == NULL)
        return NULL;
    if (previous != NULL && version < previous->version)
        previous = NULL; /* another claim.db lies there now: an older copy was put back */
    GbScene scene = { .log = log, .dossier = dossier };
    g_autoptr(GPtrArray) list = gb_doubts(dossier->shots);
    g_autoptr(GHashTable) doubts = scene.doubts = index_doubts(list);
    scene.mapped = gb_suggest_map(dossier->shots, &scene.map);
    g_autofree guint *stops = scene.stops = number_stops(&scene, dossier->shots);
    g_autoptr(GbBoard) board = new_board(version, previous);
    board->lat_deg = scene.mapped ? scene.map.lat_deg : (double)NAN;
    board->lon_deg = scene.mapped ? scene.map.lon_deg : (double)NAN;
    return fill(board, &scene, previous, error) ? g_steal_pointer(&board) : NULL;
}

GbBoard *gb_board_make(GbLog *log, const GbBoard *previous, GError **error)
{
    if (!gb_log_freeze(log, error))
        return NULL;
    GbBoard *board = make(log, previous, error);
    gb_log_thaw(log);
    return board;
}

/* --- reading --- */

gint64 gb_board_version(const GbBoard *board)
{
    return board->version;
}

const GbBoardShot *gb_board_find(const GbBoard *board, const char *sha256)
{
    return g_hash_table_lookup(board->by_sha256, sha256);
}

static GString *begin_text(const GbBoard *board, const char *run)
{
    GString *text = g_string_new(NULL);
    g_string_append_printf(text, "{\"board\":\"%s\",\"version\":%" G_GINT64_FORMAT, run, board->version);
    return text;
}

char *gb_board_claim_text(const GbBoard *board, const char *run)
{
    GString *text = begin_text(board, run);
    g_string_append_printf(text, ",%s", board->claim + 1); /* the claim's members after ours, in one object */
    return g_string_free(text, FALSE);
}

char *gb_board_shots_text(const GbBoard *board, const char *run, gint64 from, gint64 count)
{
    GString *text = begin_text(board, run);
    gint64 end = MIN((gint64)board->shots->len, from > G_MAXINT64 - count ? G_MAXINT64 : from + count);
    g_string_append_printf(text, ",\"total\":%u,\"from\":%" G_GINT64_FORMAT ",\"shots\":[", board->shots->len, from);
    for (gint64 i = from; i < end; i++) {
        g_string_append(text, i == from ? "" : ",");
        g_string_append(text, g_array_index(board->shots, GbBoardShot, i).text);
    }
    g_string_append(text, "]}");
    return g_string_free(text, FALSE);
}

static void append_changed(GString *text, const GbBoard *board, gint64 since)
{
    const char *between = ",\"shots\":[";
    for (guint i = 0; i < board->shots->len; i++) {
        const GbBoardShot *shot = &g_array_index(board->shots, GbBoardShot, i);
        if (shot->changed_at <= since)
            continue;
        g_string_append(text, between);
        g_string_append(text, shot->text);
        between = ",";
    }
    if (between[1] == '\0')
        g_string_append_c(text, ']');
}

static void append_order(GString *text, const GbBoard *board, gint64 since)
{
    const char *between = ",\"gone\":[";
    for (guint i = 0; i < board->gone->len; i++) {
        const Gone *gone = &g_array_index(board->gone, Gone, i);
        if (gone->at <= since)
            continue;
        g_string_append_printf(text, "%s%" G_GINT64_FORMAT, between, gone->number);
        between = ",";
    }
    if (between[1] == '\0')
        g_string_append_c(text, ']');
    g_string_append(text, ",\"order\":[");
    for (guint i = 0; i < board->shots->len; i++)
        g_string_append_printf(text, "%s%" G_GINT64_FORMAT, i == 0 ? "" : ",", g_array_index(board->shots, GbBoardShot, i).number);
    g_string_append_c(text, ']');
}

char *gb_board_changes_text(const GbBoard *board, const char *run, gint64 since, const char *job)
{
    GString *text = begin_text(board, run);
    if (job != NULL)
        g_string_append_printf(text, ",\"job\":%s", job);
    if (since < board->first || since > board->version)
        g_string_append(text, ",\"reload\":true");
    else if (since < board->version) {
        if (board->claim_at > since)
            g_string_append_printf(text, ",\"claim\":%s", board->claim);
        append_changed(text, board, since);
        if (board->order_at > since)
            append_order(text, board, since);
    }
    g_string_append_c(text, '}');
    return g_string_free(text, FALSE);
}
