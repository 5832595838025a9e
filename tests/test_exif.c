/* test_exif.c -- what is read from EXIF, held against exiftool and the standard.
 *
 * Sources: CIPA DC-008 (tags, types, blanks; Exif 2.2 table 12 for GPS); rationals to degrees recomputed with exiftool -n;
 * exiftool as reader of real camera files and as writer of files with chosen values. Blocks that no decent program
 * writes are built here, byte by byte.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "test.h"

#include "photo/exif-private.h"

#include <gablebook/exif.h>
#include <gablebook/jpeg.h>
#include <jansson.h>
#include <libexif/exif-data.h>
#include <string.h>

static void clear_exif(GbExif *exif)
{
    gb_exif_clear(exif);
}
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(GbExif, clear_exif)
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(GbJpegHeader, gb_jpeg_header_clear)
G_DEFINE_AUTOPTR_CLEANUP_FUNC(json_t, json_decref)

/* Seconds since 1970 of a date and time, by GLib's calendar. */
static double at(int year, int month, int day, int hour, int min, double s)
{
    g_autoptr(GDateTime) t = g_date_time_new_utc(year, month, day, hour, min, 0);
    assert_non_null(t);
    return (double)g_date_time_to_unix(t) + s;
}

/* --- blocks built by hand --- */

typedef struct {
    guint16 tag, type;
    guint32 count;
    GByteArray *value;
} Entry;

/* A block in the making: three directories of entries, in one byte order. */
typedef struct {
    int little;
    GArray *ifd[3]; /* of Entry: 0th, Exif, GPS */
} Block;
enum { IFD0, EXIF, GPS };
enum { BYTE = 1, ASCII = 2, SHORT = 3, LONG = 4, RATIONAL = 5, SRATIONAL = 10 };

static void clear_entry(void *entry)
{
    g_byte_array_unref(((Entry *)entry)->value);
}

/* Big-endian for 0, little-endian for 1; anything else ends EACH_ORDER. */
static Block block_new(int little)
{
    Block b = { little, { NULL } };
    for (int i = 0; i < 3 && little <= 1; i++) {
        b.ifd[i] = g_array_new(FALSE, FALSE, sizeof(Entry));
        g_array_set_clear_func(b.ifd[i], clear_entry);
    }
    return b;
}

/* The body runs once for each byte order and must end in read_block or block_finish. */
#define EACH_ORDER(b) for (Block b = block_new(0); b.little <= 1; b = block_new(b.little + 1))

/* Append a number of n bytes in the block's order. */
static void put(const Block *b, GByteArray *to, guint32 value, int n)
{
    for (int i = 0; i < n; i++) {
        guint8 byte = (guint8)(value >> 8 * (b->little ? i : n - 1 - i));
        g_byte_array_append(to, &byte, 1);
    }
}

static GByteArray *add(Block *b, int ifd, guint16 tag, guint16 type, guint32 count)
{
    Entry entry = { tag, type, count, g_byte_array_new() };
    g_array_append_val(b->ifd[ifd], entry);
    return entry.value;
}

static void add_bytes(Block *b, int ifd, guint16 tag, guint16 type, const void *bytes, guint n)
{
    g_byte_array_append(add(b, ifd, tag, type, n), bytes, n);
}

static void add_text(Block *b, int ifd, guint16 tag, const char *text)
{
    add_bytes(b, ifd, tag, ASCII, text, (guint)strlen(text) + 1);
}

static void add_short(Block *b, int ifd, guint16 tag, guint16 value)
{
    put(b, add(b, ifd, tag, SHORT, 1), value, 2);
}

/* n rationals: numerator, denominator, ... */
static void add_rationals(Block *b, int ifd, guint16 tag, guint n, const guint32 *pairs)
{
    GByteArray *value = add(b, ifd, tag, RATIONAL, n);
    for (guint i = 0; i < 2 * n; i++)
        put(b, value, pairs[i], 4);
}
#define RATIONALS(b, tag, ...) \
    add_rationals((b), GPS, (tag), sizeof((guint32[]){ __VA_ARGS__ }) / 8, (const guint32[]){ __VA_ARGS__ })

static void put_directory(const Block *b, GByteArray *to, const GArray *entries)
{
    gsize values_at = to->len - GB_EXIF_MARK_BYTES + 2 + 12 * (gsize)entries->len + 4;
    g_autoptr(GByteArray) values = g_byte_array_new();
    put(b, to, entries->len, 2);
    for (guint i = 0; i < entries->len; i++) {
        const Entry *e = &g_array_index(entries, Entry, i);
        put(b, to, e->tag, 2);
        put(b, to, e->type, 2);
        put(b, to, e->count, 4);
        if (e->value->len <= 4) {
            g_byte_array_append(to, e->value->data, e->value->len);
            put(b, to, 0, 4 - (int)e->value->len);
        } else {
            put(b, to, (guint32)(values_at + values->len), 4);
            g_byte_array_append(values, e->value->data, e->value->len);
        }
    }
    put(b, to, 0, 4); /* no next directory */
    g_byte_array_append(to, values->data, values->len);
}

/* The bytes of a directory, to know its length before the pointers to the next ones are written. */
static guint directory_bytes(const GArray *entries)
{
    guint n = 2 + 12 * entries->len + 4;
    for (guint i = 0; i < entries->len; i++) {
        guint len = g_array_index(entries, Entry, i).value->len;
        n += len > 4 ? len : 0;
    }
    return n;
}

/* The finished block, OWNED by the caller. Uses the parts up. */
static GByteArray *block_finish(Block *b)
{
    GByteArray *exif_pointer = add(b, IFD0, 0x8769, LONG, 1), *gps_pointer = add(b, IFD0, 0x8825, LONG, 1);
    guint exif_at = 8 + directory_bytes(b->ifd[IFD0]); /* the pointers are inline: still empty counts the same */
    put(b, exif_pointer, exif_at, 4);
    put(b, gps_pointer, exif_at + directory_bytes(b->ifd[EXIF]), 4);
    GByteArray *out = g_byte_array_new();
    g_byte_array_append(out, (const guint8 *)"Exif\0", 6);
    g_byte_array_append(out, (const guint8 *)(b->little ? "II" : "MM"), 2);
    put(b, out, 42, 2);
    put(b, out, 8, 4);
    for (int i = 0; i < 3; i++) {
        put_directory(b, out, b->ifd[i]);
        g_clear_pointer(&b->ifd[i], g_array_unref);
    }
    return out;
}

static void read_block(Block *b, GbExif *exif)
{
    g_autoptr(GByteArray) bytes = block_finish(b);
    gb_exif_init(exif);
    gb_exif_read(exif, bytes->data, bytes->len);
    assert_false(exif->incomplete);
}

static void nothing_is_known_of_an_empty_reading(void **state)
{
    (void)state;
    GbExif exif;
    gb_exif_init(&exif);
    assert_null(exif.make);
    assert_int_equal(exif.orientation, 1);
    assert_false(exif.has_offset);
    assert_int_equal(exif.heading_ref, 0);
    const double values[] = { exif.taken_local_s, exif.lat_deg, exif.lon_deg, exif.alt_m, exif.heading_deg, exif.position_error_m,
                              exif.gps_utc_s, exif.gps_day_s, exif.focal_35mm_mm };
    for (gsize i = 0; i < G_N_ELEMENTS(values); i++)
        assert_near(values[i], (double)NAN, 0);
    gb_exif_clear(&exif);
    gb_exif_clear(&exif);
}

/* Recomputed: written by exiv2, read by exiftool -n. The last row: a zero denominator is unknown, not 0. */
static void three_rationals_become_these_degrees_in_both_byte_orders(void **state)
{
    (void)state;
    static const struct {
        const char *lat_ref, *lon_ref;
        guint32 lat[6], lon[6];
        double lat_deg, lon_deg;
    } rows[] = {
        { "N", "W", { 38, 1, 43, 1, 5232, 100 }, { 97, 1, 24, 1, 4356, 100 }, 38.7312, -97.4121 },
        { "N", "E", { 43, 1, 2811443, 100000, 0, 1 }, { 11, 1, 5288, 100, 0, 1 }, 43.4685738333, 11.8813333333 },
        { "S", "E", { 33, 1, 51, 1, 3548, 60 }, { 151, 1, 12, 1, 3348, 100 }, -33.8664259259, 151.2093 },
        { "N", "W", { 387312, 10000, 0, 1, 0, 1 }, { 974121, 10000, 0, 1, 0, 1 }, 38.7312, -97.4121 },
        { "S", "W", { 22, 1, 57, 1, 0, 1 }, { 43, 1, 12, 1, 36, 1 }, -22.95, -43.21 },
        { "N", "E", { 0, 1, 0, 1, 1, 1000 }, { 179, 1, 59, 1, 59999, 1000 }, 0.000000277778, 179.999999722222 },
        { "N", "W", { 38, 1, 43, 1, 0, 0 }, { 97, 1, 24, 1, 4356, 100 }, (double)NAN, (double)NAN },
        { "N", "W", { 38, 1, 43, 1, 5232, 100 }, { 0, 0, 0, 0, 0, 0 }, (double)NAN, (double)NAN },
        { "N", "W", { 90, 1, 0, 1, 1, 100 }, { 97, 1, 24, 1, 0, 1 }, (double)NAN, (double)NAN },   /* past the pole */
        { "N", "W", { 38, 1, 43, 1, 0, 1 }, { 180, 1, 1, 1, 0, 1 }, (double)NAN, (double)NAN },    /* past 180 */
        { "X", "W", { 38, 1, 43, 1, 0, 1 }, { 97, 1, 24, 1, 0, 1 }, (double)NAN, (double)NAN },    /* reserved */
        { "", "W", { 38, 1, 43, 1, 0, 1 }, { 97, 1, 24, 1, 0, 1 }, (double)NAN, (double)NAN },     /* hemisphere unknown */
        { "N", "N", { 38, 1, 43, 1, 0, 1 }, { 97, 1, 24, 1, 0, 1 }, (double)NAN, (double)NAN },
    };
    for (gsize i = 0; i < G_N_ELEMENTS(rows); i++)
        EACH_ORDER(b) {
            add_text(&b, GPS, 1, rows[i].lat_ref);
            add_rationals(&b, GPS, 2, 3, rows[i].lat);
            add_text(&b, GPS, 3, rows[i].lon_ref);
            add_rationals(&b, GPS, 4, 3, rows[i].lon);
            g_auto(GbExif) exif;
            read_block(&b, &exif);
            assert_near(exif.lat_deg, rows[i].lat_deg, 1e-10);
            assert_near(exif.lon_deg, rows[i].lon_deg, 1e-10);
        }
}

static void a_position_of_two_parts_or_of_another_type_is_unknown(void **state)
{
    (void)state;
    EACH_ORDER(b) {
        add_text(&b, GPS, 1, "N");
        RATIONALS(&b, 2, 38, 1, 43, 1);
        add_text(&b, GPS, 3, "W");
        RATIONALS(&b, 4, 97, 1, 24, 1, 0, 1);
        g_auto(GbExif) exif;
        read_block(&b, &exif);
        assert_near(exif.lat_deg, (double)NAN, 0);
        assert_near(exif.lon_deg, (double)NAN, 0);
    }
    EACH_ORDER(b) {
        add_text(&b, GPS, 1, "N");
        add_text(&b, GPS, 2, "38 43 52.32");
        add_text(&b, GPS, 3, "W");
        RATIONALS(&b, 4, 97, 1, 24, 1, 0, 1);
        g_auto(GbExif) exif;
        read_block(&b, &exif);
        assert_near(exif.lat_deg, (double)NAN, 0);
    }
}

/* As one real phone writes them: SRATIONAL, type 10. A negative degree is no way to say west. */
static void signed_rationals_are_read_unless_they_are_negative(void **state)
{
    (void)state;
    for (int negative = 0; negative < 2; negative++)
        EACH_ORDER(b) {
            add_text(&b, GPS, 1, "N");
            RATIONALS(&b, 2, 60, 1, 8, 1, 4814, 100);
            add_text(&b, GPS, 3, "E");
            RATIONALS(&b, 4, negative ? (guint32)-24 : 24, 1, 54, 1, 2438, 100);
            RATIONALS(&b, 6, (guint32)-125, 10);
            for (guint i = 0; i < b.ifd[GPS]->len; i++)
                if (g_array_index(b.ifd[GPS], Entry, i).type == RATIONAL)
                    g_array_index(b.ifd[GPS], Entry, i).type = SRATIONAL;
            g_auto(GbExif) exif;
            read_block(&b, &exif);
            assert_near(exif.lat_deg, negative ? (double)NAN : 60.1467055556, 1e-9);
            assert_near(exif.lon_deg, negative ? (double)NAN : 24.9067722222, 1e-9);
            assert_near(exif.alt_m, -12.5, 1e-9);
        }
}

static double taken(const char *date, guint n, const char *fraction)
{
    Block b = block_new(1);
    add_bytes(&b, EXIF, 0x9003, ASCII, date, n);
    if (fraction != NULL)
        add_text(&b, EXIF, 0x9291, fraction);
    g_auto(GbExif) exif;
    read_block(&b, &exif);
    return exif.taken_local_s;
}
#define TAKEN(text, fraction) taken((text), sizeof(text), (fraction)) /* with the final NUL */

static void a_date_is_read_with_and_without_its_padding(void **state)
{
    (void)state;
    double wanted = at(2026, 5, 14, 15, 2, 8);
    assert_near(TAKEN("2026:05:14 15:02:08", NULL), wanted, 0);
    assert_near(taken("2026:05:14 15:02:08", 19, NULL), wanted, 0); /* without NUL */
    assert_near(TAKEN("2026:05:14 15:02:08\0", NULL), wanted, 0);   /* two NULs */
    assert_near(TAKEN("2026:05:14 15:02:08  ", NULL), wanted, 0);
    assert_near(TAKEN("2024:02:29 00:00:00", NULL), at(2024, 2, 29, 0, 0, 0), 0);
    assert_near(TAKEN("1969:12:31 23:59:59", NULL), -1, 0);
}

static void a_blank_or_impossible_date_is_unknown(void **state)
{
    (void)state;
    static const char *const dates[] = {
        "0000:00:00 00:00:00", "                   ", "    :  :     :  :  ", "2026:02:30 10:00:00", "2025:02:29 10:00:00",
        "2026:13:01 10:00:00", "2026:00:01 10:00:00", "2026:01:00 10:00:00", "2026:05:14 24:00:00", "2026:05:14 10:60:00",
        "2026:05:14 10:00:60", "2026:05:14", "2026:05:14 10:00", "2026:05:14 10:00:00Z", "2026:05:1x 10:00:00", "+026:05:14 10:00:00",
        "hello", "",
    };
    for (gsize i = 0; i < G_N_ELEMENTS(dates); i++)
        assert_near(taken(dates[i], (guint)strlen(dates[i]) + 1, "5"), (double)NAN, 0);
}

/* CIPA DC-008: the digits stand after the point; trailing blanks are allowed. */
static void sub_seconds_are_digits_after_the_point(void **state)
{
    (void)state;
    double whole = at(2026, 5, 14, 15, 2, 8);
    static const struct { const char *text; double s; } rows[] = {
        { "5", 0.5 }, { "05", 0.05 }, { "50", 0.5 }, { "308", 0.308 }, { "000", 0 }, { "5   ", 0.5 }, { "", 0 }, { "   ", 0 },
        { "-5", 0 }, { "5a", 0 }, { "123456", 0.123456 },
    };
    for (gsize i = 0; i < G_N_ELEMENTS(rows); i++)
        assert_near(TAKEN("2026:05:14 15:02:08", rows[i].text) - whole, rows[i].s, 1e-6);
    assert_true(TAKEN("2026:05:14 15:02:08", "99999999999999999999999999999999") < whole + 1);
}

static void the_time_of_digitizing_stands_in_with_its_own_sub_seconds_and_no_offset(void **state)
{
    (void)state;
    EACH_ORDER(b) {
        add_text(&b, EXIF, 0x9003, "0000:00:00 00:00:00");
        add_text(&b, EXIF, 0x9004, "2026:05:14 15:02:08");
        add_text(&b, EXIF, 0x9011, "-05:00");
        add_text(&b, EXIF, 0x9291, "9");
        add_text(&b, EXIF, 0x9292, "25");
        g_auto(GbExif) exif;
        read_block(&b, &exif);
        assert_near(exif.taken_local_s, at(2026, 5, 14, 15, 2, 8.25), 1e-6);
        assert_false(exif.has_offset);
    }
}

static void an_offset_has_a_sign_two_hours_digits_and_two_minutes_digits(void **state)
{
    (void)state;
    static const struct { const char *text; gboolean known; int min; } rows[] = {
        { "+03:00", TRUE, 180 }, { "-05:00", TRUE, -300 }, { "+05:30", TRUE, 330 }, { "-03:30", TRUE, -210 }, { "+00:00", TRUE, 0 },
        { "-00:00", TRUE, 0 }, { "+14:00", TRUE, 840 }, { "-14:00", TRUE, -840 }, { "+14:01", FALSE, 0 }, { "   :  ", FALSE, 0 },
        { "", FALSE, 0 }, { "+0300", FALSE, 0 }, { "03:00", FALSE, 0 }, { "Z", FALSE, 0 }, { "+3:00", FALSE, 0 }, { "+03:60", FALSE, 0 },
        { "+25:00", FALSE, 0 }, { "+-3:00", FALSE, 0 },
    };
    for (gsize i = 0; i < G_N_ELEMENTS(rows); i++)
        EACH_ORDER(b) {
            add_text(&b, EXIF, 0x9003, "2026:05:14 15:02:08");
            add_text(&b, EXIF, 0x9011, rows[i].text);
            g_auto(GbExif) exif;
            read_block(&b, &exif);
            assert_int_equal(exif.has_offset, rows[i].known);
            assert_int_equal(exif.offset_min, rows[i].min);
        }
}

static void gps_time_is_utc_with_its_fraction_and_wants_its_date(void **state)
{
    (void)state;
    EACH_ORDER(b) {
        RATIONALS(&b, 7, 18, 1, 12, 1, 2206, 100);
        add_text(&b, GPS, 29, "2015:04:10");
        g_auto(GbExif) exif;
        read_block(&b, &exif);
        assert_near(exif.gps_utc_s, at(2015, 4, 10, 18, 12, 22.06), 1e-6);
        assert_near(exif.gps_day_s, 65542.06, 1e-9);
    }
    static const char *const no_dates[] = { "", "2015:02:30", "0000:00:00", "2015:04:10 12:00:00", "          " };
    for (gsize i = 0; i < G_N_ELEMENTS(no_dates); i++)
        EACH_ORDER(b) {
            RATIONALS(&b, 7, 0, 1, 0, 1, 249, 100);
            add_text(&b, GPS, 29, no_dates[i]);
            g_auto(GbExif) exif;
            read_block(&b, &exif);
            assert_near(exif.gps_day_s, 2.49, 1e-9);
            assert_near(exif.gps_utc_s, (double)NAN, 0);
        }
    EACH_ORDER(b) { /* seconds 0/0, as one real camera writes */
        RATIONALS(&b, 7, 14, 1, 27, 1, 0, 0);
        add_text(&b, GPS, 29, "2008:10:23");
        g_auto(GbExif) exif;
        read_block(&b, &exif);
        assert_near(exif.gps_day_s, (double)NAN, 0);
        assert_near(exif.gps_utc_s, (double)NAN, 0);
    }
    EACH_ORDER(b) {
        RATIONALS(&b, 7, 24, 1, 0, 1, 0, 1);
        g_auto(GbExif) exif;
        read_block(&b, &exif);
        assert_near(exif.gps_day_s, (double)NAN, 0);
    }
    EACH_ORDER(b) { /* each part in bounds, but not the time: 23 1/2 h and 45 min */
        RATIONALS(&b, 7, 47, 2, 45, 1, 0, 1);
        g_auto(GbExif) exif;
        read_block(&b, &exif);
        assert_near(exif.gps_day_s, (double)NAN, 0);
    }
}

/* Exif 2.2 table 12: without a reference a direction is true. */
static void a_heading_is_true_unless_it_says_magnetic(void **state)
{
    (void)state;
    static const struct { const char *ref; guint32 n, d; double deg; char letter; } rows[] = {
        { "T", 21287, 100, 212.87, 'T' }, { "M", 56, 1, 56, 'M' }, { NULL, 56, 1, 56, 'T' }, { "", 56, 1, 56, 'T' },
        { "M", 360, 1, 0, 'M' }, { "T", 35999, 100, 359.99, 'T' }, { "T", 0, 1, 0, 'T' },
        { "T", 0, 0, (double)NAN, 0 }, { "M", 36001, 100, (double)NAN, 0 }, { "Q", 56, 1, (double)NAN, 0 },
    };
    for (gsize i = 0; i < G_N_ELEMENTS(rows); i++)
        EACH_ORDER(b) {
            if (rows[i].ref != NULL)
                add_text(&b, GPS, 16, rows[i].ref);
            RATIONALS(&b, 17, rows[i].n, rows[i].d);
            g_auto(GbExif) exif;
            read_block(&b, &exif);
            assert_near(exif.heading_deg, rows[i].deg, 1e-9);
            assert_int_equal(exif.heading_ref, rows[i].letter);
        }
}

/* 0 and 1: Exif 2.2 table 12; 2 and 3: since Exif 3.0, seen in public code only. */
static void altitude_is_negative_for_references_1_and_3(void **state)
{
    (void)state;
    static const struct { int ref; guint32 n, d; double m; } rows[] = {
        { -1, 1225, 10, 122.5 }, { 0, 1225, 10, 122.5 }, { 1, 1225, 10, -122.5 }, { 2, 1225, 10, 122.5 }, { 3, 1225, 10, -122.5 },
        { 4, 1225, 10, (double)NAN }, { 0, 0, 0, (double)NAN }, { 0, 5, 0, (double)NAN },
    };
    for (gsize i = 0; i < G_N_ELEMENTS(rows); i++)
        EACH_ORDER(b) {
            guint8 ref = (guint8)rows[i].ref;
            if (rows[i].ref >= 0)
                add_bytes(&b, GPS, 5, BYTE, &ref, 1);
            RATIONALS(&b, 6, rows[i].n, rows[i].d);
            g_auto(GbExif) exif;
            read_block(&b, &exif);
            assert_near(exif.alt_m, rows[i].m, 1e-9);
        }
}

static void orientation_and_focal_length_out_of_range_are_unknown(void **state)
{
    (void)state;
    static const guint16 stored[] = { 0, 1, 6, 8, 9, 65535 }, wanted[] = { 1, 1, 6, 8, 1, 1 };
    for (gsize i = 0; i < G_N_ELEMENTS(stored); i++)
        EACH_ORDER(b) {
            add_short(&b, IFD0, 0x0112, stored[i]);
            add_short(&b, EXIF, 0xA405, i == 0 ? 0 : 26);
            g_auto(GbExif) exif;
            read_block(&b, &exif);
            assert_int_equal(exif.orientation, wanted[i]);
            assert_near(exif.focal_35mm_mm, i == 0 ? (double)NAN : 26, 0);
        }
    EACH_ORDER(b) {
        put(&b, add(&b, IFD0, 0x0112, LONG, 1), 6, 4); /* not by the book, but clear */
        g_auto(GbExif) exif;
        read_block(&b, &exif);
        assert_int_equal(exif.orientation, 6);
    }
    EACH_ORDER(b) {
        add_text(&b, IFD0, 0x0112, "6");
        g_auto(GbExif) exif;
        read_block(&b, &exif);
        assert_int_equal(exif.orientation, 1);
    }
}

static void make_model_and_serial_are_clean_text(void **state)
{
    (void)state;
    EACH_ORDER(b) {
        add_bytes(&b, IFD0, 0x010F, ASCII, "NIKON     ", 10); /* no NUL */
        add_text(&b, IFD0, 0x0110, "Andr\xE9 \x1b[2J");        /* no UTF-8, and an escape */
        add_text(&b, EXIF, 0xA431, "  0042  ");
        g_auto(GbExif) exif;
        read_block(&b, &exif);
        assert_string_equal(exif.make, "NIKON");
        assert_string_equal(exif.model, "Andr\xC3\xA9 [2J");
        assert_string_equal(exif.serial, "0042");
    }
    EACH_ORDER(b) {
        add_text(&b, IFD0, 0x010F, "      ");
        add_bytes(&b, IFD0, 0x0110, ASCII, "\0\0\0\0\0\0", 6);
        g_auto(GbExif) exif;
        read_block(&b, &exif);
        assert_null(exif.make);
        assert_null(exif.model);
        assert_null(exif.serial);
    }
}

static void what_is_no_exif_block_is_incomplete_and_empty(void **state)
{
    (void)state;
    static const struct { const char *bytes; gsize n; } blocks[] = {
        { NULL, 0 }, { "", 0 }, { "Exif\0\0", 6 }, { "Exif\0\0II*\0", 10 }, { "EXIF\0\0II*\0\x08\0\0\0\0\0", 16 },
        { "Exif\0\0XX*\0\x08\0\0\0\0\0", 16 }, { "Exif\0\0II*\0\xFF\xFF\xFF\xFF\0\0", 16 }, { "Exif\0\0MM\0*\0\0\0\x08\xFF\xFF", 16 },
        { "Exif\0\0II*\0\0\0\0\0\0\0", 16 },
    };
    for (gsize i = 0; i < G_N_ELEMENTS(blocks); i++) {
        g_auto(GbExif) exif;
        gb_exif_init(&exif);
        gb_exif_read(&exif, (const guint8 *)blocks[i].bytes, blocks[i].n);
        assert_true(exif.incomplete);
        assert_near(exif.taken_local_s, (double)NAN, 0);
        gsize length;
        assert_null(gb_exif_thumbnail((const guint8 *)blocks[i].bytes, blocks[i].n, &length));
        assert_int_equal(length, 0);
    }
}

/* A block with one of everything. */
static GByteArray *full_block(int little)
{
    Block b = block_new(little);
    add_text(&b, IFD0, 0x010F, "Maker of Cameras");
    add_text(&b, IFD0, 0x0110, "Model Seven");
    add_short(&b, IFD0, 0x0112, 6);
    add_text(&b, EXIF, 0x9003, "2026:05:14 15:02:08");
    add_text(&b, EXIF, 0x9011, "-05:00");
    add_bytes(&b, EXIF, 0x927C, 7, "Nikon\0\x02\x10\0\0MM\0*\0\0\0\x08\xFF\xFF", 20);
    add_text(&b, EXIF, 0x9291, "25");
    add_text(&b, GPS, 1, "N");
    RATIONALS(&b, 2, 38, 1, 43, 1, 5232, 100);
    add_text(&b, GPS, 3, "W");
    RATIONALS(&b, 4, 97, 1, 24, 1, 4356, 100);
    RATIONALS(&b, 7, 20, 1, 2, 1, 8, 1);
    RATIONALS(&b, 17, 90, 1);
    add_text(&b, GPS, 29, "2026:05:14");
    return block_finish(&b);
}

/* NAN or the true value: never anything else. */
static void assert_unknown_or(double seen, double wanted)
{
    if (!isnan(seen))
        assert_near(seen, wanted, 1e-9);
}

static void a_block_cut_anywhere_gives_true_values_or_none(void **state)
{
    (void)state;
    for (int little = 0; little < 2; little++) {
        g_autoptr(GByteArray) bytes = full_block(little);
        for (gsize n = 0; n <= bytes->len; n++) {
            g_autofree guint8 *cut = g_memdup2(bytes->data, n); /* its own allocation: the sanitizer sees its end */
            g_auto(GbExif) exif;
            gb_exif_init(&exif);
            gb_exif_read(&exif, cut, n);
            gsize length;
            gb_exif_thumbnail(cut, n, &length);
            assert_unknown_or(exif.lat_deg, 38.7312);
            assert_unknown_or(exif.lon_deg, -97.4121);
            assert_unknown_or(floor(exif.taken_local_s), at(2026, 5, 14, 15, 2, 8));
            assert_unknown_or(exif.gps_utc_s, at(2026, 5, 14, 20, 2, 8));
            assert_unknown_or(exif.heading_deg, 90);
            assert_true(exif.orientation == 6 || exif.orientation == 1);
            assert_true(!exif.has_offset || exif.offset_min == -300);
        }
    }
}

static void a_block_with_any_byte_changed_is_survived(void **state)
{
    (void)state;
    for (int little = 0; little < 2; little++) {
        g_autoptr(GByteArray) bytes = full_block(little);
        for (guint i = 0; i < bytes->len; i++)
            for (int bit = 0; bit < 8; bit += 7) {
                bytes->data[i] ^= 1 << bit;
                g_auto(GbExif) exif;
                gb_exif_init(&exif);
                gb_exif_read(&exif, bytes->data, bytes->len);
                assert_true(exif.orientation >= 1 && exif.orientation <= 8);
                assert_true(isnan(exif.lat_deg) == isnan(exif.lon_deg));
                assert_true(isnan(exif.heading_deg) == (exif.heading_ref == 0));
                bytes->data[i] ^= 1 << bit;
            }
    }
}

static void maker_notes_are_hidden_by_changing_two_bytes(void **state)
{
    (void)state;
    for (int little = 0; little < 2; little++) {
        g_autoptr(GByteArray) bytes = full_block(little);
        g_autofree guint8 *copy = g_memdup2(bytes->data, bytes->len);
        gb_tiff_hide_maker_notes(copy, bytes->len);
        int changed = 0;
        for (guint i = 0; i < bytes->len; i++)
            changed += copy[i] != bytes->data[i];
        assert_int_equal(changed, 2);
        ExifData *data = exif_data_new_from_data(copy, bytes->len);
        assert_null(exif_data_get_entry(data, EXIF_TAG_MAKER_NOTE));
        assert_null(exif_data_get_mnote_data(data));
        exif_data_unref(data);
    }
}

static void put_le(GByteArray *to, guint32 value, int bytes)
{
    for (int i = 0; i < bytes; i++) {
        guint8 byte = (guint8)(value >> 8 * i);
        g_byte_array_append(to, &byte, 1);
    }
}

/* One entry of 12 bytes. */
static void put_entry(GByteArray *to, guint16 tag, guint16 type, guint32 count, guint32 value)
{
    put_le(to, tag, 2);
    put_le(to, type, 2);
    put_le(to, count, 4);
    put_le(to, value, 4);
}

/* So many pointers to an empty GPS directory, then one to an Exif directory that holds a MakerNote and the number of a body. */
static GByteArray *crowded_block(guint empty)
{
    const guint32 exif = 8 + 2 + (empty + 1) * 12 + 4, none = exif + 2 + 12 + 4;
    GByteArray *block = g_byte_array_new();
    g_byte_array_append(block, (const guint8 *)"Exif\0\0II*\0", 10);
    put_le(block, 8, 4);
    put_le(block, empty + 1, 2);
    for (guint i = 0; i < empty; i++)
        put_entry(block, EXIF_TAG_GPS_INFO_IFD_POINTER, EXIF_FORMAT_LONG, 1, none);
    put_entry(block, EXIF_TAG_EXIF_IFD_POINTER, EXIF_FORMAT_LONG, 1, exif);
    put_le(block, 0, 4);
    put_le(block, 1, 2);
    put_entry(block, EXIF_TAG_MAKER_NOTE, EXIF_FORMAT_UNDEFINED, 4, 0x31313131);
    put_le(block, 0, 4);
    put_le(block, 0, 2);
    put_le(block, 0, 4);
    return block;
}

/* Seen before: with more pointers than were followed, libexif still found the MakerNote behind them, and took it apart. */
static void maker_notes_are_hidden_however_many_directories_stand_before_them(void **state)
{
    (void)state;
    for (guint empty = 0; empty < 40; empty++) {
        g_autoptr(GByteArray) block = crowded_block(empty);
        g_autofree guint8 *copy = g_memdup2(block->data, block->len);
        gboolean hidden = gb_tiff_hide_maker_notes(copy, block->len);
        ExifData *data = exif_data_new_from_data(copy, block->len);
        assert_true(!hidden || exif_data_get_entry(data, EXIF_TAG_MAKER_NOTE) == NULL);
        assert_true(hidden || empty > 10); /* more than any camera writes: then the block is not given to libexif at all */
        exif_data_unref(data);
        g_auto(GbExif) exif;
        gb_exif_init(&exif);
        gb_exif_read(&exif, block->data, block->len);
        assert_true(hidden || exif.incomplete);
    }
}

static void write_entry(guint8 *at, guint16 tag, guint32 count, guint32 value)
{
    const guint32 words[] = { GUINT32_TO_LE(tag | (guint32)EXIF_FORMAT_LONG << 16), GUINT32_TO_LE(count), GUINT32_TO_LE(value) };
    memcpy(at, words, sizeof words);
}

/* A directory at 200h whose pointer is at the same time the tag of another directory's MakerNote. Hidden, that tag makes the pointer lead
 * to FEFEh, where the next MakerNote stands. */
static void a_maker_note_that_hiding_another_uncovers_is_hidden_too(void **state)
{
    (void)state;
    enum { MARK = 6, SIZE = 65535 };
    g_autofree guint8 *block = g_malloc0(SIZE);
    guint8 *tiff = block + MARK;
    memcpy(block, "Exif\0\0II*\0\10", 11);
    tiff[8] = 2;
    write_entry(tiff + 10, EXIF_TAG_EXIF_IFD_POINTER, 1, 0x200);
    write_entry(tiff + 22, EXIF_TAG_GPS_INFO_IFD_POINTER, 1, 0x208);
    tiff[0x200] = 1;
    write_entry(tiff + 0x202, EXIF_TAG_INTEROPERABILITY_IFD_POINTER, 0x10001, EXIF_TAG_MAKER_NOTE);
    tiff[0xFEFE] = 1;
    write_entry(tiff + 0xFEFE + 2, EXIF_TAG_MAKER_NOTE, 1, 0x31313131);
    assert_true(gb_tiff_hide_maker_notes(block, SIZE));
    ExifData *data = exif_data_new();
    exif_data_unset_option(data, EXIF_DATA_OPTION_IGNORE_UNKNOWN_TAGS);
    exif_data_unset_option(data, EXIF_DATA_OPTION_FOLLOW_SPECIFICATION);
    exif_data_load_data(data, block, SIZE);
    assert_null(exif_data_get_entry(data, EXIF_TAG_MAKER_NOTE));
    exif_data_unref(data);
}

static void times_are_written_as_people_sort_them(void **state)
{
    (void)state;
    static const struct { double s; const char *text; } rows[] = {
        { 0, "1970-01-01 00:00:00" }, { 0.999, "1970-01-01 00:00:00" }, { -1, "1969-12-31 23:59:59" }, { -0.5, "1969-12-31 23:59:59" },
        { 1778770928.75, "2026-05-14 15:02:08" }, { 951782400, "2000-02-29 00:00:00" }, { 253402300799.0, "9999-12-31 23:59:59" },
        { -62135596800.0, "0001-01-01 00:00:00" }, { 253402300800.0, "" }, { (double)NAN, "" }, { (double)INFINITY, "" },
        { -(double)INFINITY, "" }, { 1e300, "" },
    };
    for (gsize i = 0; i < G_N_ELEMENTS(rows); i++) {
        g_autofree char *text = gb_time_text(rows[i].s);
        assert_string_equal(text, rows[i].text);
    }
}

/* --- against exiftool --- */

static const char *const asked[] = {
    "exiftool", "-j", "-n", "-G1", "-Make", "-Model", "-SerialNumber", "-DateTimeOriginal", "-CreateDate", "-SubSecTimeOriginal",
    "-SubSecTimeDigitized", "-OffsetTimeOriginal", "-Orientation", "-GPSLatitude", "-GPSLatitudeRef", "-GPSLongitude", "-GPSLongitudeRef",
    "-GPSAltitude", "-GPSAltitudeRef", "-GPSImgDirection", "-GPSImgDirectionRef", "-GPSHPositioningError", "-GPSDateStamp",
    "-GPSTimeStamp", "-FocalLengthIn35mmFormat", "-ThumbnailLength",
};

/* A value as text, OWNED by the caller; NULL absent. exiftool writes "308" as the number 308. */
static char *json_text(const json_t *photo, const char *key)
{
    const json_t *value = json_object_get(photo, key);
    if (json_is_string(value))
        return g_strdup(json_string_value(value));
    return value != NULL ? json_dumps(value, JSON_ENCODE_ANY | JSON_REAL_PRECISION(15)) : NULL;
}

static double json_number(const json_t *photo, const char *key)
{
    const json_t *value = json_object_get(photo, key);
    return json_is_number(value) ? json_number_value(value) : (double)NAN;
}

/* Text that exiftool gave, blank as unknown. Counts what it compared. */
static void assert_text(const char *seen, const json_t *photo, const char *key, int *compared)
{
    g_autofree char *wanted = json_text(photo, key);
    if (wanted != NULL)
        g_strstrip(wanted);
    if (wanted == NULL || *wanted == '\0')
        assert_null(seen);
    else {
        assert_non_null(seen);
        assert_string_equal(seen, wanted);
        ++*compared;
    }
}

static void assert_number(double seen, double wanted, double within, int *compared)
{
    assert_near(seen, wanted, within);
    *compared += !isnan(wanted);
}

/* exiftool's date, by GLib's calendar. */
static double wanted_date(const json_t *photo, const char *date_key, const char *fraction_key)
{
    g_autofree char *date = json_text(photo, date_key), *fraction = json_text(photo, fraction_key);
    int y, mo, d, h, mi, s;
    if (date == NULL || sscanf(date, "%4d:%2d:%2d %2d:%2d:%2d", &y, &mo, &d, &h, &mi, &s) != 6 || y == 0)
        return (double)NAN;
    g_autofree char *point = g_strconcat("0.", fraction ? g_strstrip(fraction) : "0", NULL);
    return at(y, mo, d, h, mi, s + g_ascii_strtod(point, NULL));
}

static double wanted_angle(const json_t *photo, const char *key, const char *ref_key, char negative)
{
    g_autofree char *ref = json_text(photo, ref_key);
    double deg = json_number(photo, key);
    return ref == NULL || *ref == '\0' ? (double)NAN : *ref == negative ? -deg : deg;
}

static void compare_times(const GbExif *exif, const json_t *photo, int *compared)
{
    double original = wanted_date(photo, "ExifIFD:DateTimeOriginal", "ExifIFD:SubSecTimeOriginal");
    double digitized = wanted_date(photo, "ExifIFD:CreateDate", "ExifIFD:SubSecTimeDigitized");
    assert_number(exif->taken_local_s, isnan(original) ? digitized : original, 1e-6, compared);
    g_autofree char *offset = json_text(photo, "ExifIFD:OffsetTimeOriginal");
    assert_int_equal(exif->has_offset, offset != NULL);
    if (offset != NULL) {
        g_autofree char *seen = g_strdup_printf("%c%02d:%02d", exif->offset_min < 0 ? '-' : '+', abs(exif->offset_min) / 60,
                                                abs(exif->offset_min) % 60);
        assert_string_equal(seen, offset);
        ++*compared;
    }
    g_autofree char *time = json_text(photo, "GPS:GPSTimeStamp"), *date = json_text(photo, "GPS:GPSDateStamp");
    int h, mi, y, mo, d;
    char *seconds = time != NULL ? strrchr(time, ':') : NULL;
    if (seconds != NULL && sscanf(time, "%d:%d:", &h, &mi) == 2) {
        double s = g_ascii_strtod(seconds + 1, NULL);
        assert_number(exif->gps_day_s, h * 3600 + mi * 60 + s, 1e-6, compared);
        if (date != NULL && sscanf(date, "%d:%d:%d", &y, &mo, &d) == 3)
            assert_number(exif->gps_utc_s, at(y, mo, d, h, mi, s), 1e-6, compared);
    } else
        assert_near(exif->gps_day_s, (double)NAN, 0);
}

static void compare_place(const GbExif *exif, const json_t *photo, int *compared)
{
    assert_number(exif->lat_deg, wanted_angle(photo, "GPS:GPSLatitude", "GPS:GPSLatitudeRef", 'S'), 1e-9, compared);
    assert_number(exif->lon_deg, wanted_angle(photo, "GPS:GPSLongitude", "GPS:GPSLongitudeRef", 'W'), 1e-9, compared);
    double alt = json_number(photo, "GPS:GPSAltitude");
    assert_number(exif->alt_m, fabs(json_number(photo, "GPS:GPSAltitudeRef") - 1) < 0.5 ? -alt : alt, 1e-6, compared);
    assert_number(exif->heading_deg, json_number(photo, "GPS:GPSImgDirection"), 1e-6, compared);
    g_autofree char *ref = json_text(photo, "GPS:GPSImgDirectionRef");
    if (!isnan(exif->heading_deg))
        assert_int_equal(exif->heading_ref, ref != NULL && *ref != '\0' ? *ref : 'T');
    assert_number(exif->position_error_m, json_number(photo, "GPS:GPSHPositioningError"), 1e-6, compared);
}

static void compare_thumbnail(const guint8 *block, gsize n, const json_t *photo, int *compared)
{
    gsize length;
    const guint8 *thumbnail = gb_exif_thumbnail(block, n, &length);
    double wanted = json_number(photo, "IFD1:ThumbnailLength");
    assert_int_equal(length, isnan(wanted) ? 0 : (gsize)wanted);
    if (thumbnail == NULL)
        return;
    g_auto(GbJpegHeader) header = { 0 };
    g_autoptr(GError) error = NULL;
    assert_true(gb_jpeg_header(thumbnail, length, &header, &error));
    assert_no_error(error);
    ++*compared;
}

static void compare_photo(const json_t *photo, int *compared)
{
    g_autofree char *path = json_text(photo, "SourceFile"), *bytes = NULL;
    gsize n;
    assert_true(g_file_get_contents(path, &bytes, &n, NULL));
    g_auto(GbJpegHeader) header = { 0 };
    g_autoptr(GError) error = NULL;
    gb_jpeg_header(bytes, n, &header, &error);
    assert_no_error(error);
    gsize block_bytes = 0;
    const guint8 *block = header.exif != NULL ? g_bytes_get_data(header.exif, &block_bytes) : NULL;
    g_auto(GbExif) exif;
    gb_exif_init(&exif);
    if (block != NULL)
        gb_exif_read(&exif, block, block_bytes);
    if (exif.incomplete)
        print_message("%s: EXIF incomplete\n", path);
    assert_text(exif.make, photo, "IFD0:Make", compared);
    assert_text(exif.model, photo, "IFD0:Model", compared);
    assert_text(exif.serial, photo, "ExifIFD:SerialNumber", compared);
    double orientation = json_number(photo, "IFD0:Orientation");
    assert_number(exif.orientation, isnan(orientation) ? 1 : orientation, 0, compared);
    double focal = json_number(photo, "ExifIFD:FocalLengthIn35mmFormat");
    assert_number(exif.focal_35mm_mm, focal > 0 ? focal : (double)NAN, 0, compared);
    compare_times(&exif, photo, compared);
    compare_place(&exif, photo, compared);
    compare_thumbnail(block, block_bytes, photo, compared);
}

/* Every JPEG in a folder and the folders in it. */
static void collect_jpegs(const char *folder, GPtrArray *paths)
{
    g_autoptr(GDir) dir = g_dir_open(folder, 0, NULL);
    const char *name;
    while (dir != NULL && (name = g_dir_read_name(dir)) != NULL) {
        g_autofree char *path = g_build_filename(folder, name, NULL), *lower = g_ascii_strdown(name, -1);
        if (g_file_test(path, G_FILE_TEST_IS_DIR))
            collect_jpegs(path, paths);
        else if (g_str_has_suffix(lower, ".jpg") || g_str_has_suffix(lower, ".jpeg"))
            g_ptr_array_add(paths, g_steal_pointer(&path));
    }
}

/* Compare all that we keep of these files with exiftool, asked once. Returns how many values both have. */
static int compare_with_exiftool(GPtrArray *paths)
{
    g_autoptr(GPtrArray) argv = g_ptr_array_new();
    for (gsize i = 0; i < G_N_ELEMENTS(asked); i++)
        g_ptr_array_add(argv, (gpointer)asked[i]);
    for (guint i = 0; i < paths->len; i++)
        g_ptr_array_add(argv, paths->pdata[i]);
    g_ptr_array_add(argv, NULL);
    g_autofree char *out = NULL;
    assert_int_equal(run((const char *const *)argv->pdata, &out, NULL), 0);
    json_error_t problem;
    g_autoptr(json_t) photos = json_loads(out, 0, &problem);
    assert_int_equal(json_array_size(photos), paths->len);
    int compared = 0;
    for (gsize i = 0; i < json_array_size(photos); i++)
        compare_photo(json_array_get(photos, i), &compared);
    return compared;
}

/* FALSE when there is nothing to compare: the caller then skips, with nothing allocated. */
static gboolean agrees_with_exiftool(const char *folder)
{
    g_autoptr(GPtrArray) paths = g_ptr_array_new_with_free_func(g_free);
    collect_jpegs(folder, paths);
    if (paths->len == 0 || !have_program("exiftool"))
        return FALSE;
    int compared = compare_with_exiftool(paths);
    print_message("%u photos, %d values as exiftool reads them\n", paths->len, compared);
    assert_true(compared >= (int)paths->len);
    return TRUE;
}

static gboolean real_photos_agree(void)
{
    g_autofree char *one = real_photo("DSCN0010.jpg"), *folder = one != NULL ? g_path_get_dirname(one) : NULL;
    return folder != NULL && agrees_with_exiftool(folder);
}

static gboolean demo_photos_agree(void)
{
    g_autofree char *folder = source_path("demo-photos");
    return agrees_with_exiftool(folder);
}

static void real_photos_are_read_as_exiftool_reads_them(void **state)
{
    (void)state;
    if (!real_photos_agree())
        skip();
}

static void demo_photos_are_read_as_exiftool_reads_them(void **state)
{
    (void)state;
    if (!demo_photos_agree())
        skip();
}

/* Two independent programs write; what they were told is known. */
static void what_exiftool_was_told_to_write_is_read_back(void **state)
{
    if (!have_program("exiftool") || !have_program("convert"))
        skip();
    static const char *const orders[] = { "-ExifByteOrder=II", "-ExifByteOrder=MM" };
    g_autoptr(GPtrArray) paths = g_ptr_array_new_with_free_func(g_free);
    for (gsize i = 0; i < G_N_ELEMENTS(orders); i++) {
        char *path = g_strdup_printf("%s/%zu.jpg", (char *)*state, i);
        g_ptr_array_add(paths, path);
        assert_int_equal(run((const char *[]){ "convert", "-size", "32x24", "gradient:", path, NULL }, NULL, NULL), 0);
        assert_int_equal(run((const char *[]){ "exiftool", "-q", "-n", "-overwrite_original", orders[i], "-Make=Cam\xC3\xA9ra", "-Model=M 7",
                             "-SerialNumber=X-0042", "-DateTimeOriginal=2026:05:14 15:02:08", "-SubSecTimeOriginal=05",
                             "-OffsetTimeOriginal=-05:30", "-Orientation=8", "-GPSLatitude=38.7312", "-GPSLatitudeRef=S",
                             "-GPSLongitude=97.4121", "-GPSLongitudeRef=W", "-GPSAltitude=12.5", "-GPSAltitudeRef=1",
                             "-GPSImgDirection=348.06", "-GPSImgDirectionRef=M", "-GPSHPositioningError=38.8",
                             "-GPSDateStamp=2026:05:14", "-GPSTimeStamp=20:32:07.57", "-FocalLengthIn35mmFormat=26", path, NULL },
                             NULL, NULL), 0);
        g_autofree char *bytes = NULL;
        gsize n, block_bytes;
        assert_true(g_file_get_contents(path, &bytes, &n, NULL));
        g_auto(GbJpegHeader) header = { 0 };
        assert_true(gb_jpeg_header(bytes, n, &header, NULL));
        g_auto(GbExif) exif;
        gb_exif_init(&exif);
        gb_exif_read(&exif, g_bytes_get_data(header.exif, &block_bytes), g_bytes_get_size(header.exif));
        assert_false(exif.incomplete);
        assert_string_equal(exif.make, "Cam\xC3\xA9ra");
        assert_string_equal(exif.model, "M 7");
        assert_string_equal(exif.serial, "X-0042");
        assert_near(exif.taken_local_s, at(2026, 5, 14, 15, 2, 8.05), 1e-6);
        assert_int_equal(exif.offset_min, -330);
        assert_int_equal(exif.orientation, 8);
        assert_near(exif.lat_deg, -38.7312, 1e-8);
        assert_near(exif.lon_deg, -97.4121, 1e-8);
        assert_near(exif.alt_m, -12.5, 1e-9);
        assert_near(exif.heading_deg, 348.06, 1e-9);
        assert_int_equal(exif.heading_ref, 'M');
        assert_near(exif.position_error_m, 38.8, 1e-9);
        assert_near(exif.gps_utc_s, at(2026, 5, 14, 20, 32, 7.57), 1e-6);
        assert_near(exif.focal_35mm_mm, 26, 0);
    }
    assert_int_equal(compare_with_exiftool(paths), 2 * 14);
}

/* The clock table: values seen with exiftool, written down here so that both readers can't change together. */
static void a_known_phone_photo_has_these_values(void **state)
{
    (void)state;
    g_autofree char *path = real_photo("HMD_Nokia_8.3_5G.jpg"), *bytes = NULL;
    if (path == NULL)
        skip();
    gsize n;
    assert_true(g_file_get_contents(path, &bytes, &n, NULL));
    g_auto(GbJpegHeader) header = { 0 };
    assert_true(gb_jpeg_header(bytes, n, &header, NULL));
    g_auto(GbExif) exif;
    gb_exif_init(&exif);
    gb_exif_read(&exif, g_bytes_get_data(header.exif, NULL), g_bytes_get_size(header.exif));
    assert_near(floor(exif.taken_local_s), at(2022, 8, 14, 14, 12, 31), 0);
    assert_true(exif.has_offset);
    assert_int_equal(exif.offset_min, 180);
    assert_near(exif.gps_utc_s, at(2022, 8, 14, 11, 12, 32), 1e-6);
    assert_near(exif.heading_deg, 56, 1e-9);
    assert_int_equal(exif.heading_ref, 'M');
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(nothing_is_known_of_an_empty_reading),
        cmocka_unit_test(three_rationals_become_these_degrees_in_both_byte_orders),
        cmocka_unit_test(a_position_of_two_parts_or_of_another_type_is_unknown),
        cmocka_unit_test(signed_rationals_are_read_unless_they_are_negative),
        cmocka_unit_test(a_date_is_read_with_and_without_its_padding),
        cmocka_unit_test(a_blank_or_impossible_date_is_unknown),
        cmocka_unit_test(sub_seconds_are_digits_after_the_point),
        cmocka_unit_test(the_time_of_digitizing_stands_in_with_its_own_sub_seconds_and_no_offset),
        cmocka_unit_test(an_offset_has_a_sign_two_hours_digits_and_two_minutes_digits),
        cmocka_unit_test(gps_time_is_utc_with_its_fraction_and_wants_its_date),
        cmocka_unit_test(a_heading_is_true_unless_it_says_magnetic),
        cmocka_unit_test(altitude_is_negative_for_references_1_and_3),
        cmocka_unit_test(orientation_and_focal_length_out_of_range_are_unknown),
        cmocka_unit_test(make_model_and_serial_are_clean_text),
        cmocka_unit_test(what_is_no_exif_block_is_incomplete_and_empty),
        cmocka_unit_test(a_block_cut_anywhere_gives_true_values_or_none),
        cmocka_unit_test(a_block_with_any_byte_changed_is_survived),
        cmocka_unit_test(maker_notes_are_hidden_however_many_directories_stand_before_them),
        cmocka_unit_test(a_maker_note_that_hiding_another_uncovers_is_hidden_too),
        cmocka_unit_test(maker_notes_are_hidden_by_changing_two_bytes),
        cmocka_unit_test(times_are_written_as_people_sort_them),
        cmocka_unit_test(real_photos_are_read_as_exiftool_reads_them),
        cmocka_unit_test(demo_photos_are_read_as_exiftool_reads_them),
        test_in_folder(what_exiftool_was_told_to_write_is_read_back),
        cmocka_unit_test(a_known_phone_photo_has_these_values),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
