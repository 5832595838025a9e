/* fuzz_exif.c -- an EXIF block, as it stands in a JPEG's APP1. Whatever it says, what is read of it is in the bounds of exif.h or unknown.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "fuzz.h"

#include <gablebook/exif.h>
#include <math.h>

static void holds_between(double value, double low, double high)
{
    holds(isnan(value) || (value >= low && value <= high));
}

static void holds_text(const char *text)
{
    holds(text == NULL || (text[0] != '\0' && g_utf8_validate(text, -1, NULL)));
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t n)
{
    GbExif exif;
    gb_exif_init(&exif);
    gb_exif_read(&exif, data, n);
    holds_text(exif.make);
    holds_text(exif.model);
    holds_text(exif.serial);
    holds_between(exif.taken_local_s, -62135596800.0, 253402300800.0);
    holds_between(exif.gps_utc_s, -62135596800.0, 253402300800.0);
    holds_between(exif.gps_day_s, 0, 86400);
    holds_between(exif.lat_deg, -90, 90);
    holds_between(exif.lon_deg, -180, 180);
    holds(isnan(exif.lat_deg) == isnan(exif.lon_deg));
    holds_between(exif.heading_deg, 0, 359.9999999999);
    holds(isnan(exif.heading_deg) == (exif.heading_ref == 0));
    holds_between(exif.position_error_m, 0, 4294967295.0);
    holds_between(exif.alt_m, -4294967295.0, 4294967295.0);
    holds_between(exif.focal_35mm_mm, 1, 65535);
    holds(exif.orientation >= 1 && exif.orientation <= 8 && ABS(exif.offset_min) <= 840);
    g_autofree char *when = gb_time_text(exif.taken_local_s);
    holds(strlen(when) == (isnan(exif.taken_local_s) ? 0 : 19));
    gb_exif_clear(&exif);

    gsize length;
    const guint8 *thumbnail = gb_exif_thumbnail(data, n, &length);
    holds(thumbnail == NULL ? length == 0 : thumbnail >= data && length <= n && thumbnail + length <= data + n);
    return 0;
}
