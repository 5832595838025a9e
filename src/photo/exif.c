/* exif.c -- the readings a claim keeps, taken from an EXIF block by libexif. See exif.h.
 *
 * libexif by default "repairs" what it reads: it invents tags and drops unknown ones. Both options are off here.
 * Values are taken from an entry's raw bytes, after its type, its number of components and its size were
 * looked at: libexif's text calls round and translate, and its look-up across all directories finds
 * Interoperability tags 1 and 2 where latitude was meant.
 *
 * Every reader below answers "unknown" (NAN, NULL, 0) for what it does not find exactly as the standard has it.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <gablebook/exif.h>

#include "exif-private.h"

#include <gablebook/escape.h>
#include <libexif/exif-data.h>
#include <math.h>

#define MAX_BLOCK_BYTES 0xFFFF /* what one APP1 holds; libexif ignores the rest */
#define DAY_S 86400
#define JULIAN_1970 719163 /* GDate's day number of 1970-01-01 */

G_DEFINE_AUTOPTR_CLEANUP_FUNC(ExifData, exif_data_unref)
G_DEFINE_AUTOPTR_CLEANUP_FUNC(ExifLog, exif_log_unref)

/* --- raw values --- */

/* The entry of one directory if at least so many components of it lie within its bytes. */
static const ExifEntry *entry_of(ExifData *data, ExifIfd ifd, ExifTag tag, gulong components)
{
    const ExifEntry *entry = exif_content_get_entry(data->ifd[ifd], tag);
    if (entry == NULL || entry->data == NULL || entry->components < components)
        return NULL;
    /* Only what is asked for need be there: entry->components itself may be absurd. */
    return components * exif_format_get_size(entry->format) <= entry->size ? entry : NULL;
}

/* Clean text, OWNED by the caller; NULL unknown or blank. */
static char *text_of(ExifData *data, ExifIfd ifd, ExifTag tag)
{
    const ExifEntry *entry = entry_of(data, ifd, tag, 1);
    if (entry == NULL || entry->format != EXIF_FORMAT_ASCII)
        return NULL;
    return gb_clean_text(entry->data, MIN(entry->size, entry->components));
}

/* The letter of a reference such as 'N'; 0 absent or blank, '?' something that is no single letter. */
static char letter_of(ExifData *data, ExifTag tag)
{
    const ExifEntry *entry = exif_content_get_entry(data->ifd[EXIF_IFD_GPS], tag);
    if (entry == NULL)
        return 0;
    if (entry->format != EXIF_FORMAT_ASCII)
        return '?';
    g_autofree char *text = text_of(data, EXIF_IFD_GPS, tag);
    if (text == NULL)
        return 0;
    return strlen(text) == 1 ? text[0] : '?';
}

/* Component 0 of a SHORT (or, as some write it, a LONG); 0 unknown. */
static guint32 integer_of(ExifData *data, ExifIfd ifd, ExifTag tag)
{
    const ExifEntry *entry = entry_of(data, ifd, tag, 1);
    if (entry == NULL)
        return 0;
    ExifByteOrder order = exif_data_get_byte_order(data);
    switch (entry->format) {
    case EXIF_FORMAT_SHORT: return exif_get_short(entry->data, order);
    case EXIF_FORMAT_LONG: return exif_get_long(entry->data, order);
    default: return 0;
    }
}

/* Component i of a GPS RATIONAL with at least i + 1 of them; NAN unknown, also for a zero denominator. Signed ones occur in
 * photos of real phones; negative they mean nothing sure, save for an altitude. */
static double rational_of(ExifData *data, ExifTag tag, guint i)
{
    const ExifEntry *entry = entry_of(data, EXIF_IFD_GPS, tag, i + 1);
    if (entry == NULL || (entry->format != EXIF_FORMAT_RATIONAL && entry->format != EXIF_FORMAT_SRATIONAL))
        return NAN;
    const guint8 *bytes = entry->data + 8 * i;
    ExifByteOrder order = exif_data_get_byte_order(data);
    double numerator = exif_get_long(bytes, order), denominator = exif_get_long(bytes + 4, order);
    if (entry->format == EXIF_FORMAT_SRATIONAL) {
        numerator = exif_get_slong(bytes, order);
        denominator = exif_get_slong(bytes + 4, order);
    }
    if (denominator == 0)
        return NAN;
    return numerator / denominator;
}

/* The same where a negative number can't be. */
static double positive_of(ExifData *data, ExifTag tag, guint i)
{
    double value = rational_of(data, tag, i);
    return value < 0 ? (double)NAN : value;
}

/* --- times --- */

/* The number in exactly so many digits; -1 otherwise. */
static int digits(const char *p, int n)
{
    int value = 0;
    for (int i = 0; i < n; i++) {
        if (!g_ascii_isdigit(p[i]))
            return -1;
        value = 10 * value + (p[i] - '0');
    }
    return value;
}

/* "YYYY:MM:DD" at the start of text: seconds since 1970-01-01; NAN for blanks, zeros, 30 February. */
static double parse_date(const char *text)
{
    int year = digits(text, 4);
    if (year < 1 || text[4] != ':')
        return NAN;
    int month = digits(text + 5, 2);
    if (month < 1 || text[7] != ':')
        return NAN;
    int day = digits(text + 8, 2);
    if (day < 1 || !g_date_valid_dmy((GDateDay)day, month, (GDateYear)year))
        return NAN;
    GDate date;
    g_date_clear(&date, 1);
    g_date_set_dmy(&date, (GDateDay)day, month, (GDateYear)year);
    return ((double)g_date_get_julian(&date) - JULIAN_1970) * DAY_S;
}

/* "YYYY:MM:DD HH:MM:SS" and nothing after it. */
static double parse_date_time(const char *text)
{
    if (strlen(text) != 19 || text[10] != ' ' || text[13] != ':' || text[16] != ':')
        return NAN;
    int hour = digits(text + 11, 2), min = digits(text + 14, 2), s = digits(text + 17, 2);
    if (hour < 0 || hour > 23 || min < 0 || min > 59 || s < 0 || s > 59)
        return NAN;
    return parse_date(text) + hour * 3600 + min * 60 + s;
}

/* Digits after the point: "5" is half a second, "05" a twentieth. Anything else adds nothing. */
static double parse_fraction(const char *text)
{
    double value = 0, unit = 1;
    for (const char *p = text; *p != '\0'; p++) {
        if (!g_ascii_isdigit(*p))
            return 0;
        unit /= 10;
        value += unit * (*p - '0');
    }
    return MIN(value, 0.999999); /* a long row of nines must not round up to the next second */
}

static double time_of(ExifData *data, ExifTag date_tag, ExifTag fraction_tag)
{
    g_autofree char *date = text_of(data, EXIF_IFD_EXIF, date_tag);
    g_autofree char *fraction = text_of(data, EXIF_IFD_EXIF, fraction_tag);
    if (date == NULL)
        return NAN;
    return parse_date_time(date) + (fraction != NULL ? parse_fraction(fraction) : 0);
}

/* "+HH:MM" or "-HH:MM", up to 14 hours. */
static gboolean parse_offset(const char *text, int *offset_min)
{
    if (strlen(text) != 6 || (text[0] != '+' && text[0] != '-') || text[3] != ':')
        return FALSE;
    int hour = digits(text + 1, 2), min = digits(text + 4, 2);
    if (hour < 0 || min < 0 || min > 59 || 60 * hour + min > 840)
        return FALSE;
    *offset_min = (text[0] == '-' ? -1 : 1) * (60 * hour + min);
    return TRUE;
}

static void read_times(GbExif *exif, ExifData *data)
{
    exif->taken_local_s = time_of(data, EXIF_TAG_DATE_TIME_ORIGINAL, EXIF_TAG_SUB_SEC_TIME_ORIGINAL);
    if (isnan(exif->taken_local_s)) {
        /* An offset belongs to one of the two times; the one that is read belongs to DateTimeOriginal. */
        exif->taken_local_s = time_of(data, EXIF_TAG_DATE_TIME_DIGITIZED, EXIF_TAG_SUB_SEC_TIME_DIGITIZED);
        return;
    }
    g_autofree char *offset = text_of(data, EXIF_IFD_EXIF, EXIF_TAG_OFFSET_TIME_ORIGINAL);
    exif->has_offset = offset != NULL && parse_offset(offset, &exif->offset_min);
}

static void read_gps_time(GbExif *exif, ExifData *data)
{
    double hour = positive_of(data, EXIF_TAG_GPS_TIME_STAMP, 0), min = positive_of(data, EXIF_TAG_GPS_TIME_STAMP, 1),
           s = positive_of(data, EXIF_TAG_GPS_TIME_STAMP, 2);
    double day_s = hour * 3600 + min * 60 + s;
    if (hour < 24 && min < 60 && s < 60 && day_s < DAY_S) /* parts may be broken: 23 1/2 h and 45 min is past midnight */
        exif->gps_day_s = day_s;
    g_autofree char *date = text_of(data, EXIF_IFD_GPS, EXIF_TAG_GPS_DATE_STAMP);
    if (date != NULL && strlen(date) == 10)
        exif->gps_utc_s = parse_date(date) + exif->gps_day_s;
}

/* --- place --- */

/* Degrees, minutes and seconds with their reference; NAN unless all four are known. */
static double angle_of(ExifData *data, ExifTag tag, ExifTag ref_tag, char positive, char negative, double limit)
{
    char ref = letter_of(data, ref_tag);
    double deg = positive_of(data, tag, 0) + positive_of(data, tag, 1) / 60 + positive_of(data, tag, 2) / 3600;
    if ((ref != positive && ref != negative) || !(deg <= limit))
        return NAN;
    return ref == negative ? 0 - deg : deg; /* never -0 */
}

static void read_position(GbExif *exif, ExifData *data)
{
    double lat = angle_of(data, EXIF_TAG_GPS_LATITUDE, EXIF_TAG_GPS_LATITUDE_REF, 'N', 'S', 90);
    double lon = angle_of(data, EXIF_TAG_GPS_LONGITUDE, EXIF_TAG_GPS_LONGITUDE_REF, 'E', 'W', 180);
    if (isnan(lat) || isnan(lon))
        return;
    exif->lat_deg = lat;
    exif->lon_deg = lon;
}

/* 0 and, since EXIF 3.0, 2 are upwards; 1 and 3 downwards; absent is upwards. A reference that we can't read, or a
 * negative number that is to be taken downwards, leaves the sign, and so the altitude, unknown. */
static double altitude_of(ExifData *data)
{
    double alt = rational_of(data, EXIF_TAG_GPS_ALTITUDE, 0);
    const ExifEntry *ref = exif_content_get_entry(data->ifd[EXIF_IFD_GPS], EXIF_TAG_GPS_ALTITUDE_REF);
    if (ref == NULL)
        return alt;
    if (ref->format != EXIF_FORMAT_BYTE || ref->data == NULL || ref->size < 1 || ref->data[0] > 3)
        return NAN;
    if (ref->data[0] % 2 == 0)
        return alt;
    return alt < 0 ? (double)NAN : 0 - alt;
}

static void read_heading(GbExif *exif, ExifData *data)
{
    double heading = positive_of(data, EXIF_TAG_GPS_IMG_DIRECTION, 0);
    char ref = letter_of(data, EXIF_TAG_GPS_IMG_DIRECTION_REF);
    if (ref == 0)
        ref = 'T'; /* the standard's default */
    if (!(heading <= 360) || (ref != 'T' && ref != 'M'))
        return;
    exif->heading_deg = heading < 360 ? heading : 0;
    exif->heading_ref = ref;
}

/* --- the block --- */

static void notice_damage(ExifLog *log, ExifLogCode code, const char *domain, const char *format, va_list args,
                          void *incomplete)
{
    (void)log, (void)domain, (void)format, (void)args;
    if (code == EXIF_LOG_CODE_CORRUPT_DATA || code == EXIF_LOG_CODE_NO_MEMORY)
        *(gboolean *)incomplete = TRUE;
}

static gboolean is_empty(const ExifData *data)
{
    for (int i = 0; i < EXIF_IFD_COUNT; i++)
        if (data->ifd[i]->count > 0)
            return FALSE;
    return TRUE;
}

/* Let libexif take the block apart; NULL when memory is refused, or the block is not fit to be given to it. */
static ExifData *load(const guint8 *block, gsize n, gboolean *incomplete)
{
    g_autoptr(ExifData) data = exif_data_new();
    g_autoptr(ExifLog) log = exif_log_new();
    g_autofree guint8 *copy = g_try_malloc(n);
    if (data == NULL || log == NULL || copy == NULL)
        return NULL;
    memcpy(copy, block, n);
    if (!gb_tiff_hide_maker_notes(copy, n))
        return NULL;
    exif_log_set_func(log, notice_damage, incomplete);
    exif_data_log(data, log);
    exif_data_unset_option(data, EXIF_DATA_OPTION_IGNORE_UNKNOWN_TAGS);
    exif_data_unset_option(data, EXIF_DATA_OPTION_FOLLOW_SPECIFICATION);
    exif_data_load_data(data, copy, (unsigned int)n);
    exif_data_log(data, NULL);
    return g_steal_pointer(&data);
}

void gb_exif_read(GbExif *exif, const guint8 *block, gsize n)
{
    gb_exif_clear(exif);
    n = MIN(n, MAX_BLOCK_BYTES);
    GbTiff tiff;
    g_autoptr(ExifData) data = gb_tiff_open(&tiff, block, n) ? load(block, n, &exif->incomplete) : NULL;
    if (data == NULL || is_empty(data)) {
        exif->incomplete = TRUE;
        return;
    }
    exif->make = text_of(data, EXIF_IFD_0, EXIF_TAG_MAKE);
    exif->model = text_of(data, EXIF_IFD_0, EXIF_TAG_MODEL);
    exif->serial = text_of(data, EXIF_IFD_EXIF, EXIF_TAG_BODY_SERIAL_NUMBER);
    read_times(exif, data);
    read_gps_time(exif, data);
    read_position(exif, data);
    read_heading(exif, data);
    exif->alt_m = altitude_of(data);
    exif->position_error_m = positive_of(data, EXIF_TAG_GPS_H_POSITIONING_ERROR, 0);
    guint32 orientation = integer_of(data, EXIF_IFD_0, EXIF_TAG_ORIENTATION);
    if (orientation >= 1 && orientation <= 8)
        exif->orientation = (int)orientation;
    guint32 focal = integer_of(data, EXIF_IFD_EXIF, EXIF_TAG_FOCAL_LENGTH_IN_35MM_FILM);
    if (focal > 0 && focal <= G_MAXUINT16)
        exif->focal_35mm_mm = focal;
}

void gb_exif_init(GbExif *exif)
{
    *exif = (GbExif){
        .taken_local_s = NAN, .orientation = 1, .lat_deg = NAN, .lon_deg = NAN, .alt_m = NAN, .heading_deg = NAN,
        .position_error_m = NAN, .gps_utc_s = NAN, .gps_day_s = NAN, .focal_35mm_mm = NAN,
    };
}

void gb_exif_clear(GbExif *exif)
{
    g_free(exif->make);
    g_free(exif->model);
    g_free(exif->serial);
    gb_exif_init(exif);
}

char *gb_time_text(double seconds)
{
    /* Years 1 to 9999; a NAN fails both comparisons. */
    if (!(seconds >= -62135596800.0 && seconds < 253402300800.0))
        return g_strdup("");
    gint64 whole = (gint64)floor(seconds), day = whole / DAY_S - (whole % DAY_S < 0);
    int rest = (int)(whole - day * DAY_S);
    GDate date;
    g_date_clear(&date, 1);
    g_date_set_julian(&date, (guint32)(day + JULIAN_1970));
    return g_strdup_printf("%04d-%02d-%02d %02d:%02d:%02d",
                           g_date_get_year(&date), g_date_get_month(&date), g_date_get_day(&date),
                           rest / 3600, rest / 60 % 60, rest % 60);
}
