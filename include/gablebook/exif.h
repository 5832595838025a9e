/* exif.h -- what the camera wrote into the photo.
 *
 * Standard: CIPA DC-008 (EXIF). Unknown is unknown: a zero denominator, a blank or impossible date, a wrong
 * type, text of blanks give NAN, NULL, FALSE or 0 as stated, never a number that looks real.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef GABLEBOOK_EXIF_H
#define GABLEBOOK_EXIF_H

#include <glib.h>

G_BEGIN_DECLS

/* Text members are clean (escape.h, gb_clean_text), OWNED by the struct (gb_exif_clear), NULL when unknown. */
typedef struct {
    char *make, *model, *serial;
    double taken_local_s; /* DateTimeOriginal (else DateTimeDigitized) with sub-seconds: the camera's own clock,
                             seconds since 1970-01-01 read as if UTC; NAN unknown */
    gboolean has_offset;  /* OffsetTimeOriginal (with DateTimeOriginal) was there */
    int offset_min;       /* minutes east of UTC, -840 ... 840; meaningful with has_offset */
    int orientation;      /* 1 ... 8; 1 when absent or out of range */
    double lat_deg, lon_deg;   /* WGS84 as the file says, north and east positive; both NAN unless both known
                                  and |lat| <= 90, |lon| <= 180 */
    double alt_m;              /* above sea level (negative below) or ellipsoid, as the camera meant it; NAN unknown */
    double heading_deg;        /* direction of view, 0 <= h < 360; NAN unknown */
    char heading_ref;          /* 'T' true (also when the reference is absent, as the standard says), 'M' magnetic; 0 without heading */
    double position_error_m;   /* GPSHPositioningError; NAN unknown */
    double gps_utc_s;          /* GPSDateStamp + GPSTimeStamp, seconds since 1970-01-01 UTC; NAN unless both known */
    double gps_day_s;          /* GPSTimeStamp alone, seconds since midnight UTC (some cameras write no date); NAN unknown */
    double focal_35mm_mm;      /* FocalLengthIn35mmFilm; NAN unknown or 0 */
    gboolean incomplete;       /* the block is damaged: more may have been there */
} GbExif;

/* An empty reading: everything unknown. Always call it before gb_exif_read and gb_exif_clear. */
void gb_exif_init(GbExif *exif);

/* Read an EXIF block.
 *   block  "Exif\0\0" and the TIFF structure after it, as in a JPEG's APP1, n bytes, BORROWED for the call
 * Never fails: what can't be read is unknown. exif must be initialised; earlier contents are cleared. */
void gb_exif_read(GbExif *exif, const guint8 *block, gsize n);

/* The embedded thumbnail, if it is a JPEG: a pointer INTO block (BORROWED like it) and its length; NULL and 0 else. */
const guint8 *gb_exif_thumbnail(const guint8 *block, gsize n, gsize *length);

void gb_exif_clear(GbExif *exif); /* frees the text, leaves everything unknown */

/* "2026-05-14 15:02:08" of a local or UTC time in seconds since 1970-01-01 (fraction cut); "" for NAN. OWNED by the caller (g_free). */
char *gb_time_text(double seconds);

G_END_DECLS
#endif
