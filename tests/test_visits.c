/* test_visits.c -- a day's card read without importing it, and claim folders made of it.
 *
 * How shots are split is tested in test_visit.c. Here: what is read of the files, what is left out, which claim gets which photos. Positions
 * are an invented street, about 1.1 km of latitude between the houses.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "claim_support.h"
#include "photo_support.h"

#include <gablebook/error.h>
#include <gablebook/history.h>
#include <gablebook/import.h>
#include <gablebook/new.h>
#include <gablebook/visits.h>
#include <glib/gstdio.h>
#include <libexif/exif-data.h>
#include <unistd.h>

#define LAT 38.70
#define LON (-97.40)
#define HOUSE 0.01 /* degrees of latitude from one house to the next */
#define UNKNOWN ((double)NAN)

/* --- photos with a time and a place --- */

static void add_entry(ExifData *data, ExifIfd ifd, int tag, ExifFormat format, gulong components, const void *value, guint bytes)
{
    ExifEntry *entry = exif_entry_new();
    entry->tag = (ExifTag)tag;
    exif_content_add_entry(data->ifd[ifd], entry);
    entry->format = format;
    entry->components = components;
    entry->size = bytes;
    entry->data = malloc(bytes);
    memcpy(entry->data, value, bytes);
    exif_entry_unref(entry);
}

static void add_text(ExifData *data, ExifIfd ifd, int tag, const char *text)
{
    add_entry(data, ifd, tag, EXIF_FORMAT_ASCII, strlen(text) + 1, text, (guint)strlen(text) + 1);
}

static void add_degrees(ExifData *data, int tag, double degrees)
{
    guint8 parts[24];
    const ExifRational deg = { (ExifLong)(fabs(degrees) * 1e7), 10000000 }, zero = { 0, 1 };
    exif_set_rational(parts, EXIF_BYTE_ORDER_INTEL, deg);
    exif_set_rational(parts + 8, EXIF_BYTE_ORDER_INTEL, zero);
    exif_set_rational(parts + 16, EXIF_BYTE_ORDER_INTEL, zero);
    add_entry(data, EXIF_IFD_GPS, tag, EXIF_FORMAT_RATIONAL, 3, parts, sizeof parts);
}

/* "Exif\0\0" and what follows: taken at hh:mm of 2026-05-14, five hours west, at house number house (UNKNOWN: no position). */
static GBytes *exif_block(int minute, double house)
{
    ExifData *data = exif_data_new();
    g_autofree char *time = g_strdup_printf("2026:05:14 %02d:%02d:00", minute / 60, minute % 60);
    guchar *block = NULL;
    guint n = 0;
    exif_data_set_byte_order(data, EXIF_BYTE_ORDER_INTEL);
    add_text(data, EXIF_IFD_0, EXIF_TAG_MAKE, "Acme");
    add_text(data, EXIF_IFD_0, EXIF_TAG_MODEL, "One");
    add_text(data, EXIF_IFD_EXIF, EXIF_TAG_DATE_TIME_ORIGINAL, time);
    add_text(data, EXIF_IFD_EXIF, 0x9011 /* OffsetTimeOriginal */, "-05:00");
    if (!isnan(house)) {
        add_text(data, EXIF_IFD_GPS, 1, "N");
        add_degrees(data, 2, LAT + HOUSE * house + 0.00001 * (minute % 7)); /* some steps around it */
        add_text(data, EXIF_IFD_GPS, 3, "W");
        add_degrees(data, 4, LON);
    }
    exif_data_save_data(data, &block, &n);
    exif_data_unref(data);
    return g_bytes_new_with_free_func(block, n, free, block);
}

static void add_segment(GByteArray *file, guint8 marker, const void *data, gsize n)
{
    const guint8 head[] = { 0xff, marker, (guint8)((n + 2) >> 8), (guint8)(n + 2) };
    g_byte_array_append(file, head, sizeof head);
    g_byte_array_append(file, data, (guint)n);
}

/* A JPEG of that time and place; filler: so many segments of 65 kB stand before its EXIF block. */
static GByteArray *photo_bytes(int minute, double house, guint filler)
{
    GByteArray *file = g_byte_array_new();
    g_autoptr(GBytes) picture = jpeg_bytes(64, 48, (guint)minute), block = exif_block(minute, house);
    g_autofree char *blank = g_strnfill(65533, 'x');
    const guint8 *bytes = g_bytes_get_data(picture, NULL);
    g_byte_array_append(file, bytes, 2); /* SOI */
    for (guint i = 0; i < filler; i++)
        add_segment(file, 0xe5, blank, 65533);
    add_segment(file, 0xe1, g_bytes_get_data(block, NULL), g_bytes_get_size(block));
    g_byte_array_append(file, bytes + 2, (guint)g_bytes_get_size(picture) - 2);
    return file;
}

static void put(void **state, const char *folder, const char *name, int minute, double house)
{
    g_autofree char *in = g_build_filename(*state, folder, NULL);
    g_autoptr(GByteArray) bytes = photo_bytes(minute, house, 0);
    g_free(put_file(in, name, bytes->data, bytes->len));
}

/* n photos of a house from a minute on, two minutes apart. */
static void put_house(void **state, const char *folder, int from_minute, double house, int n)
{
    for (int i = 0; i < n; i++) {
        g_autofree char *name = g_strdup_printf("IMG_%04d.JPG", from_minute + 2 * i);
        put(state, folder, name, from_minute + 2 * i, house);
    }
}

/* The card in FOLDER/name. OWNED by the caller. */
static GbCard *read_card(void **state, const char *name)
{
    g_autofree char *path = g_build_filename(*state, name, NULL);
    const char *const paths[] = { path, NULL };
    return gb_card_read(paths);
}

static const GbCardPhoto *photo_of(const GbCard *card, const char *name)
{
    for (guint i = 0; i < card->photos->len; i++) {
        const GbCardPhoto *photo = card->photos->pdata[i];
        if (g_str_has_suffix(photo->path, name))
            return photo;
    }
    fail_msg("%s is not on the card", name);
    abort(); /* not reached; the compiler can't know */
}

/* --- reading --- */

static void a_file_cut_off_far_behind_its_head_is_read(void **state)
{
    g_autofree char *folder = g_build_filename(*state, "card", NULL), *endless = g_strnfill(700000, 'x');
    g_autoptr(GByteArray) bytes = photo_bytes(600, 0, 0);
    g_byte_array_set_size(bytes, bytes->len - 400); /* into the picture's data, then 600 kB of something: no end of image */
    g_byte_array_append(bytes, (const guint8 *)endless, 600000);
    g_free(put_file(folder, "cut.jpg", bytes->data, bytes->len));
    g_autoptr(GbCard) card = read_card(state, "card");
    assert_int_equal(card->photos->len, 1);
    assert_int_equal(card->left_out->len, 0);
    assert_near(photo_of(card, "cut.jpg")->exif.lat_deg, LAT + 0.00005, 1e-6);
}

/* Read whole, this file would be refused; a card of raw files and videos beside photos must not be read to its bottom. */
static void of_a_file_of_many_gigabytes_only_the_head_is_read(void **state)
{
    g_autofree char *folder = g_build_filename(*state, "card", NULL);
    g_autoptr(GByteArray) bytes = photo_bytes(600, 0, 0);
    g_autofree char *path = put_file(folder, "huge.jpg", bytes->data, bytes->len);
    if (truncate(path, (off_t)20 << 30) != 0) /* a hole: takes no room */
        return;
    g_autoptr(GbCard) card = read_card(state, "card");
    assert_int_equal(card->photos->len, 1);
    assert_int_equal(card->left_out->len, 0);
}

static void headers_longer_than_the_head_are_read_to_their_end(void **state)
{
    g_autofree char *folder = g_build_filename(*state, "card", NULL);
    static const guint fillers[] = { 7, 8, 12 }; /* just within, over the border, beyond */
    for (gsize i = 0; i < G_N_ELEMENTS(fillers); i++) {
        g_autoptr(GByteArray) bytes = photo_bytes(600 + (int)i, 0, fillers[i]);
        g_autofree char *name = g_strdup_printf("%u.jpg", fillers[i]);
        g_free(put_file(folder, name, bytes->data, bytes->len));
    }
    g_autoptr(GbCard) card = read_card(state, "card");
    assert_int_equal(card->left_out->len, 0);
    assert_int_equal(card->photos->len, G_N_ELEMENTS(fillers));
    for (guint i = 0; i < card->photos->len; i++)
        assert_near(((GbCardPhoto *)card->photos->pdata[i])->exif.lat_deg, LAT, 0.001);
}

static void what_is_no_photo_is_named_once_with_its_reason_and_the_rest_goes_on(void **state)
{
    g_autofree char *folder = g_build_filename(*state, "card", NULL), *cut = NULL;
    g_autoptr(GByteArray) bytes = photo_bytes(600, 0, 0);
    put_house(state, "card", 610, 0, 2);
    g_free(put_file(folder, "notes.txt", "milk", 4));
    g_free(put_file(folder, "IMG_0001.xmp", "<x:xmpmeta/>", 12));
    g_free(put_file(folder, "empty.jpg", "", 0));
    g_free(put_file(folder, "half-a-head.jpg", bytes->data, 100));
    g_autofree char *claim = g_build_filename(folder, "claim", NULL), *gone = g_build_filename(*state, "gone.jpg", NULL);
    g_autoptr(GbLog) log = gb_new(claim, &(GbEdit){ 0 }, NULL);
    const char *const paths[] = { folder, gone, claim, NULL };
    g_autoptr(GbCard) card = gb_card_read(paths);
    assert_int_equal(card->photos->len, 2);
    static const char *const names[] = { "empty.jpg: ", "half-a-head.jpg: ", "notes.txt: ", "gone.jpg: ", "claim: is a claim's own folder" };
    assert_int_equal(card->left_out->len, G_N_ELEMENTS(names));
    assert_int_equal(card->sidecars.n, 1);
    for (guint i = 0; i < card->left_out->len; i++) {
        const char *line = card->left_out->pdata[i], *at = strstr(line, names[i]);
        if (at == NULL || !g_str_has_suffix(line, "; left out") || strstr(at + 1, names[i]) != NULL)
            fail_msg("'%s' is to name '%s' once", line, names[i]);
    }
}

static void put_film(void **state, const char *name)
{
    g_autofree char *folder = g_build_filename(*state, "card", NULL);
    static const guint8 head[] = { 0, 0, 0, 20, 'f', 't', 'y', 'p', 'q', 't', ' ', ' ', 0, 0, 0, 0, 'q', 't', ' ', ' ' };
    g_autoptr(GByteArray) film = g_byte_array_new();
    g_byte_array_append(film, head, sizeof head);
    g_byte_array_append(film, (const guint8 *)name, (guint)strlen(name));
    g_free(put_file(folder, name, film->data, film->len));
}

/* "IMG_0540.JPG: IMG_0540.MOV" a photo that has some. OWNED by the caller. */
static char *attachments_of(const GbCard *card)
{
    GString *text = g_string_new(NULL);
    for (guint i = 0; i < card->photos->len; i++) {
        const GbCardPhoto *photo = card->photos->pdata[i];
        g_autofree char *name = g_path_get_basename(photo->path);
        for (guint k = 0; k < photo->attachments->len; k++) {
            g_autofree char *other = g_path_get_basename(photo->attachments->pdata[k]);
            g_string_append_printf(text, "%s: %s\n", name, other);
        }
    }
    return g_string_free(text, FALSE);
}

/* A film has no position: it goes where its photo goes, or the one before it in the folder. */
static void attachments_go_with_the_photo_of_their_name_or_the_one_before_them(void **state)
{
    put_house(state, "card", 540, 0, 2); /* IMG_0540, IMG_0542 */
    put_house(state, "card", 660, 1, 2); /* IMG_0660, IMG_0662 */
    put_film(state, "IMG_0660.MOV");
    put_film(state, "img_0542.mov");
    put_film(state, "IMG_0541.MOV");
    put_film(state, "IMG_0999.MOV");
    put_film(state, "IMG_0001.MOV");
    put_film(state, "alone/IMG_0542.MOV");
    g_autoptr(GbCard) card = read_card(state, "card");
    g_autofree char *seen = attachments_of(card);
    assert_string_equal(seen, "IMG_0540.JPG: IMG_0001.MOV\nIMG_0540.JPG: IMG_0541.MOV\nIMG_0542.JPG: img_0542.mov\n"
                              "IMG_0660.JPG: IMG_0660.MOV\nIMG_0662.JPG: IMG_0999.MOV\n");
    assert_int_equal(card->left_out->len, 1);
    assert_non_null(strstr(card->left_out->pdata[0], "alone/IMG_0542.MOV: no photo lies beside it"));
    g_autofree char *dir = g_build_filename(*state, "day", NULL);
    g_autoptr(GPtrArray) claims = gb_card_into(card, dir, NULL, NULL, NULL);
    assert_int_equal(claims->len, 2);
    assert_int_equal(((GbCardClaim *)claims->pdata[0])->attached, 3);
    assert_int_equal(((GbCardClaim *)claims->pdata[1])->attached, 2);
    assert_int_equal(((GbCardClaim *)claims->pdata[1])->left_out, 0);
}

static void a_file_named_twice_is_one_photo(void **state)
{
    put_house(state, "card", 600, 0, 3);
    g_autofree char *folder = g_build_filename(*state, "card", NULL), *one = g_build_filename(folder, "IMG_0600.JPG", NULL);
    g_autofree char *crooked = g_build_filename(*state, "card", "..", "card", NULL);
    const char *const paths[] = { folder, one, crooked, NULL };
    g_autoptr(GbCard) card = gb_card_read(paths);
    assert_int_equal(card->photos->len, 3);
}

static void a_card_without_a_photo_has_no_visit(void **state)
{
    g_autofree char *folder = g_build_filename(*state, "card", NULL);
    assert_int_equal(g_mkdir(folder, 0755), 0);
    g_autoptr(GbCard) card = read_card(state, "card");
    assert_int_equal(card->photos->len, 0);
    assert_int_equal(card->visits->n_visits, 0);
    const char *const none[] = { NULL };
    g_autoptr(GbCard) nothing = gb_card_read(none);
    assert_int_equal(nothing->photos->len, 0);
}

static void photos_lie_in_the_order_of_time_and_know_their_visit(void **state)
{
    put_house(state, "card", 600, 0, 4);
    put_house(state, "card", 700, 1, 3);
    put(state, "card", "A.JPG", 603, 0); /* its name would come first */
    g_autoptr(GbCard) card = read_card(state, "card");
    assert_int_equal(card->visits->n_visits, 2);
    assert_true(g_str_has_suffix(((GbCardPhoto *)card->photos->pdata[2])->path, "A.JPG"));
    for (guint i = 0; i < card->photos->len; i++)
        assert_int_equal(((GbCardPhoto *)card->photos->pdata[i])->visit, i < 5 ? 0 : 1);
}

/* --- into --- */

/* Fill FOLDER/day from a card; lines "2026-05-14-property-1: 3 fresh, 0 known\n". OWNED by the caller. */
static char *fill(void **state, const char *name)
{
    g_autoptr(GError) error = NULL;
    g_autofree char *dir = g_build_filename(*state, "day", NULL);
    g_autoptr(GbCard) card = read_card(state, name);
    g_autoptr(GPtrArray) claims = gb_card_into(card, dir, NULL, NULL, &error);
    assert_no_error(error);
    GString *text = g_string_new(NULL);
    for (guint i = 0; i < claims->len; i++) {
        const GbCardClaim *claim = claims->pdata[i];
        g_autofree char *base = g_path_get_basename(claim->folder);
        g_string_append_printf(text, "%s: %u fresh, %u known\n", base, claim->fresh, claim->known);
        assert_int_equal(claim->left_out, 0);
    }
    return g_string_free(text, FALSE);
}

static void assert_fills(void **state, const char *card, const char *wanted)
{
    g_autofree char *seen = fill(state, card);
    assert_string_equal(seen, wanted);
}

/* How many shots a claim of the day holds. */
static guint shots_in(void **state, const char *name)
{
    g_autoptr(GError) error = NULL;
    g_autofree char *path = g_build_filename(*state, "day", name, NULL);
    g_autoptr(GbLog) log = gb_log_open(path, GB_LOG_READ, &error);
    assert_no_error(error);
    g_autoptr(GPtrArray) shots = gb_shots_load(log, &error);
    assert_no_error(error);
    return shots->len;
}

static void each_property_gets_one_claim_also_when_visited_twice(void **state)
{
    put_house(state, "card", 540, 0, 4);
    put_house(state, "card", 600, 1, 3);
    put_house(state, "card", 840, 0, 2); /* back in the afternoon */
    assert_fills(state, "card", "2026-05-14-property-1: 6 fresh, 0 known\n2026-05-14-property-2: 3 fresh, 0 known\n");
    g_autofree char *path = g_build_filename(*state, "day", "2026-05-14-property-1", NULL);
    g_autoptr(GbLog) log = gb_log_open(path, GB_LOG_READ, NULL);
    g_autoptr(GbClaim) claim = gb_claim_load(log, NULL);
    assert_string_equal(claim->inspection_date, "2026-05-14");
}

static void run_again_it_adds_nothing(void **state)
{
    static const char again[] = "2026-05-14-property-1: 0 fresh, 4 known\n2026-05-14-property-2: 0 fresh, 3 known\n";
    put_house(state, "card", 540, 0, 4);
    put_house(state, "card", 600, 1, 3);
    g_free(fill(state, "card"));
    assert_fills(state, "card", again);
    assert_fills(state, "card", again);
}

static void a_run_that_was_cut_short_is_completed_by_the_same_run(void **state)
{
    g_autofree char *empty = g_build_filename(*state, "day", "2026-05-14-property-1", NULL), *in = g_build_filename(*state, "day", NULL);
    g_autofree char *first = g_build_filename(*state, "card", "IMG_0542.JPG", NULL);
    const char *const paths[] = { first, NULL };
    GbImportTally tally;
    put_house(state, "card", 540, 0, 4);
    put_house(state, "card", 600, 1, 3);
    assert_int_equal(g_mkdir(in, 0755), 0);
    GbLog *log = gb_new(empty, &(GbEdit){ 0 }, NULL); /* the claim was made and nothing more ... */
    assert_non_null(log);
    gb_log_free(log);
    assert_fills(state, "card", "2026-05-14-property-1: 4 fresh, 0 known\n2026-05-14-property-2: 3 fresh, 0 known\n");
    remove_tree(in);
    assert_int_equal(g_mkdir(in, 0755), 0);
    log = gb_new(empty, &(GbEdit){ 0 }, NULL); /* ... or one photo was taken in */
    assert_true(gb_import(log, paths, NULL, &tally, NULL));
    gb_log_free(log);
    assert_fills(state, "card", "2026-05-14-property-1: 3 fresh, 1 known\n2026-05-14-property-2: 3 fresh, 0 known\n");
}

/* Photos of two people's houses in one claim would go to the wrong carrier. */
static void a_second_card_of_the_day_is_not_mixed_into_another_propertys_claim(void **state)
{
    put_house(state, "morning", 540, 0, 4);
    put_house(state, "afternoon", 840, 1, 3);
    put_house(state, "afternoon", 900, 0, 2); /* and back to the first house */
    assert_fills(state, "morning", "2026-05-14-property-1: 4 fresh, 0 known\n");
    assert_fills(state, "afternoon", "2026-05-14-property-2: 3 fresh, 0 known\n2026-05-14-property-1: 2 fresh, 0 known\n");
    assert_int_equal(shots_in(state, "2026-05-14-property-1"), 6);
    assert_int_equal(shots_in(state, "2026-05-14-property-2"), 3);
    assert_fills(state, "afternoon", "2026-05-14-property-2: 0 fresh, 3 known\n2026-05-14-property-1: 0 fresh, 2 known\n");
}

static void photos_without_a_position_make_claims_by_their_pauses_and_are_found_again(void **state)
{
    put_house(state, "card", 540, UNKNOWN, 4);
    put_house(state, "card", 640, UNKNOWN, 3);
    static const char first[] = "2026-05-14-property-1: 4 fresh, 0 known\n2026-05-14-property-2: 3 fresh, 0 known\n";
    static const char again[] = "2026-05-14-property-1: 0 fresh, 4 known\n2026-05-14-property-2: 0 fresh, 3 known\n";
    assert_fills(state, "card", first);
    assert_fills(state, "card", again);
    put_house(state, "later", 840, UNKNOWN, 2); /* nothing tells that it is one of these */
    assert_fills(state, "later", "2026-05-14-property-3: 2 fresh, 0 known\n");
}

static void photos_without_a_time_make_an_undated_claim(void **state)
{
    g_autofree char *folder = g_build_filename(*state, "card", NULL);
    g_free(put_photo(folder, "a.jpg", 1));
    g_free(put_photo(folder, "b.jpg", 2));
    assert_fills(state, "card", "undated-property-1: 2 fresh, 0 known\n");
    assert_fills(state, "card", "undated-property-1: 0 fresh, 2 known\n");
    g_autofree char *other = g_build_filename(*state, "other", NULL);
    g_autoptr(GBytes) larger = jpeg_bytes(80, 48, 3);
    g_free(put_file(other, "a.jpg", g_bytes_get_data(larger, NULL), g_bytes_get_size(larger))); /* a name alone says nothing */
    assert_fills(state, "other", "undated-property-2: 1 fresh, 0 known\n");
}

/* An empty claim is taken for one that a cut-short run made; within a run it is the one whose photos could not be taken in. */
static void a_property_whose_photos_are_all_left_out_keeps_its_claim_to_itself(void **state)
{
    g_autoptr(GError) error = NULL;
    g_autofree char *folder = g_build_filename(*state, "card", NULL), *dir = g_build_filename(*state, "day", NULL);
    g_autoptr(GByteArray) bytes = photo_bytes(540, 0, 0);
    g_autofree char *huge = put_file(folder, "huge.jpg", bytes->data, bytes->len);
    put_house(state, "card", 600, 1, 3);
    if (truncate(huge, (off_t)20 << 30) != 0)
        return;
    g_autoptr(GbCard) card = read_card(state, "card");
    g_autoptr(GPtrArray) claims = gb_card_into(card, dir, NULL, NULL, &error);
    assert_no_error(error);
    assert_int_equal(claims->len, 2);
    const GbCardClaim *first = claims->pdata[0], *second = claims->pdata[1];
    assert_true(first->fresh == 0 && first->left_out == 1 && second->fresh == 3 && second->left_out == 0);
    assert_string_not_equal(first->folder, second->folder);
}

static void a_folder_that_can_not_be_made_is_said(void **state)
{
    g_autoptr(GError) error = NULL;
    put_house(state, "card", 540, 0, 1);
    g_autofree char *file = put_file(*state, "file", "x", 1), *dir = g_build_filename(file, "day", NULL);
    g_autoptr(GbCard) card = read_card(state, "card");
    assert_null(gb_card_into(card, dir, NULL, NULL, &error));
    assert_error(error, GB_ERROR_IO, "file/day: can't be made");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        test_in_folder(a_file_cut_off_far_behind_its_head_is_read),
        test_in_folder(of_a_file_of_many_gigabytes_only_the_head_is_read),
        test_in_folder(headers_longer_than_the_head_are_read_to_their_end),
        test_in_folder(what_is_no_photo_is_named_once_with_its_reason_and_the_rest_goes_on),
        test_in_folder(attachments_go_with_the_photo_of_their_name_or_the_one_before_them),
        test_in_folder(a_file_named_twice_is_one_photo),
        test_in_folder(a_card_without_a_photo_has_no_visit),
        test_in_folder(photos_lie_in_the_order_of_time_and_know_their_visit),
        test_in_folder(each_property_gets_one_claim_also_when_visited_twice),
        test_in_folder(run_again_it_adds_nothing),
        test_in_folder(a_run_that_was_cut_short_is_completed_by_the_same_run),
        test_in_folder(a_second_card_of_the_day_is_not_mixed_into_another_propertys_claim),
        test_in_folder(photos_without_a_position_make_claims_by_their_pauses_and_are_found_again),
        test_in_folder(photos_without_a_time_make_an_undated_claim),
        test_in_folder(a_property_whose_photos_are_all_left_out_keeps_its_claim_to_itself),
        test_in_folder(a_folder_that_can_not_be_made_is_said),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
